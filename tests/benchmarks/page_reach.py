"""Reach of the review page: two trusses with ten details in one file under 3 MB, and 2 s until it can be used. Run by hand; prints medians.

The package is a real one: the sample building with five breaks in the bottom chord of each of two trusses. Used means: opened from disk, scrolled
to the first joint at once, and its solid has answered a key. Clock, and processor time of the page's own process; Chromium paints in software.
"""

from __future__ import annotations

import shutil
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SAMPLE = ROOT / "detailgen" / "samples" / "printworks"
BREAKS = ("10'-6\"", "18'-6\"", "38'-6\"", "45'-6\"", "51'-3\"")
OPENINGS = 5
MOST_MB, MOST_S = 3.0, 2.0


def ten_breaks(folder: Path) -> Path:
    shutil.copytree(SAMPLE, folder, ignore=shutil.ignore_patterns("marks.json", "edited"))
    text = (folder / "project.yaml").read_text(encoding="utf-8")
    trusses = ["trusses:"]
    for mark, bay in (("T2", "2"), ("T3", "3")):
        trusses += [f"  - mark: {mark}", "    type: A", f"    bay: grid line {bay}", "    tributary width: 12'-0\"", "    damage:"]
        trusses += [f"      - {{kind: break, member: bottom chord, ply: near, at: {at}, length: 4 in, photo: P{k}}}" for k, at in enumerate(BREAKS)]
    (folder / "project.yaml").write_text(text[: text.index("trusses:\n  - mark")] + "\n".join(trusses) + "\n", encoding="utf-8")
    return folder


def opened(browser: object, page_file: Path) -> tuple[float, float]:
    """Seconds of the clock and of the processor until the first joint has answered a key."""
    page = browser.new_page(viewport={"width": 1280, "height": 900})  # type: ignore[attr-defined]
    session = page.context.new_cdp_session(page)
    session.send("Performance.enable")
    page.goto(page_file.as_uri())
    page.evaluate("() => document.querySelector('.detail .joint').scrollIntoView({ block: 'center' })")
    page.wait_for_selector(".detail .joint.live")
    page.locator(".detail .joint canvas").first.press("ArrowLeft")
    page.evaluate("() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")
    clock = page.evaluate("() => performance.now()") / 1000
    metrics = {m["name"]: m["value"] for m in session.send("Performance.getMetrics")["metrics"]}
    page.close()
    return clock, metrics["ProcessTime"]


def main() -> None:
    from playwright.sync_api import sync_playwright

    chromium = next(found for name in ("chromium", "chromium-browser", "google-chrome") if (found := shutil.which(name)))
    with tempfile.TemporaryDirectory() as place:
        home = Path(place)
        words = [sys.executable, "-m", "detailgen", "package", str(ten_breaks(home / "job")), "--out", str(home / "out"), "--quiet"]
        done = subprocess.run(words, cwd=ROOT, capture_output=True, text=True, check=False)
        if done.returncode not in (0, 1):
            raise SystemExit(done.stdout + done.stderr)
        (page_file,) = (home / "out").glob("*/index.html")
        text = page_file.read_text(encoding="utf-8")
        joints, wholes = text.count('class="detail"'), text.count('class="joint whole"')
        if (joints, wholes) != (10, 2):
            raise SystemExit(f"the page has {joints} details and {wholes} whole trusses, not ten and two")
        with sync_playwright() as driver:
            browser = driver.chromium.launch(
                executable_path=chromium, args=["--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"]
            )
            runs = [opened(browser, page_file) for _ in range(OPENINGS)]
            browser.close()
        clock, processor = (statistics.median(column) for column in zip(*runs, strict=True))
        print(f"two trusses, ten details: {page_file.stat().st_size / 1e6:.2f} MB (under {MOST_MB})")
        print(f"until a joint answers a key: {clock:.2f} s, of which the page's process {processor:.2f} s of processor time (under {MOST_S} s)")


if __name__ == "__main__":
    main()
