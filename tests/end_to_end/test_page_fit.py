"""What does not go together on site reaches the exit code, checks.json and the page."""

from __future__ import annotations

import json
import re
from pathlib import Path

from package_runs import demo, one_truss, package, words_of


def test_the_demo_goes_together() -> None:
    checks = json.loads((demo().folder / "checks" / "checks.json").read_text(encoding="utf-8"))
    strands = [f"T6-strands{part}" for part in ("", "-right", "-guide", "-base")]
    assert [f["detail"] for f in checks["fit"]] == ["T2-splice-1", "T3-splice-1", "T5-splice-1", *strands]
    assert all(f["passes"] and len(f["results"]) > (10 if f["detail"] in strands[:2] else 25) for f in checks["fit"])
    words = (demo().folder / "index.html").read_text(encoding="utf-8")
    assert words.count("Fits: ") == 7


def test_no_room_to_drill_does_not_pass(tmp_path: Path) -> None:
    """A foot between truss and wall: bolts and drill need more at the near side."""
    made = package(one_truss(tmp_path / "job", ("near: 8 ft", "near: 12 in")), tmp_path / "out")
    assert made.answer.code == 1
    (fit,) = json.loads((made.folder / "checks" / "checks.json").read_text(encoding="utf-8"))["fit"]
    assert fit["passes"] is False
    bad = [r for r in fit["results"] if r["state"] != "passes"]
    assert {r["there"] for r in bad} == {12.0}
    assert all(r["needed"] > 12.0 for r in bad)
    assert any("withdraw the longest bolt" in r["check"] for r in bad)
    assert any("room to drill through PL-1" in r["check"] for r in bad)
    page = (made.folder / "index.html").read_text(encoding="utf-8")
    assert "room to withdraw the longest bolt at the near side" in page
    assert "checks.json" in words_of(made.answer)


def test_no_heading_of_a_joint_stands_alone() -> None:
    """A further detail without checks of its own says which repair it belongs to, and has no empty headings."""
    words = (demo().folder / "index.html").read_text(encoding="utf-8")
    assert re.search(r"<h4>[^<]*</h4>\s*(<h4>|</section>)", words) is None
    base = words[words.index("Repair T6-strands-base:") :]
    assert "Part of repair T6-strands: see there why." in base[: base.index("</section>")]


def test_what_is_bought_is_named_whole_in_the_solid() -> None:
    words = (demo().folder / "index.html").read_text(encoding="utf-8")
    assert '"outer nut"' in words
    assert not re.search(r'"(outer|inner|tie)"', words)
