"""What does not go together on site reaches the exit code, checks.json and the page."""

from __future__ import annotations

import json
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
