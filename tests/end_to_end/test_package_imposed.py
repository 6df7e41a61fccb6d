"""Strands and a new splice on one chord, from the survey to the package: the splice's rows make room for the strands that pass it."""

from __future__ import annotations

import json
from pathlib import Path

import ezdxf
import pytest
from command_line import detailgen_run
from package_runs import DEMO, Made, copy_without_marks, edit, kept_folder, words_of

from detailgen.checker.check import check_file
from detailgen.core.result import State

NEED = 0.5 + 0.65 / 2 + 1.35
"""1/2 in. beside a sheath of 0.65 in., and half a washer of a 1 in. bolt at 1.35 diameters (common practice, no published source)."""


@pytest.fixture(scope="module")
def made() -> Made:
    home = kept_folder("imposed")
    project = copy_without_marks("printworks", home / "job")
    file = project / "project.yaml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text[: text.index("  - mark: T2")] + text[text.index("  - mark: T6") :], encoding="utf-8")
    room = "heel room: {left: 5 ft, right: 20 in}"
    damage = "damage:\n      - {kind: break, member: bottom chord, ply: near, at: 25'-0\", length: 6 in, photo: P41}"
    edit(project, ("heel room: {left: 6 in, right: 20 in}", f"{room}\n    {damage}"))
    return Made(detailgen_run("package", project, "--out", home / "out"), home / "out" / DEMO)


def sheet(made: Made) -> Path:
    return made.folder / "drawings" / "T6-splice-1.dxf"


def test_both_are_the_repair_and_everything_passes(made: Made) -> None:
    said = words_of(made.answer)
    assert made.answer.code == 0, made.answer.out + made.answer.err
    assert "Repair T6-splice-1, PROPOSED" in said
    assert "Repair T6-strands, PROPOSED" in said
    assert "all drawings pass the checker" in said
    assert made.manifest["result"]["T6"]["as_repaired"] <= 1.0


def test_what_it_cost_the_splice_is_told(made: Made) -> None:
    said = words_of(made.answer)
    assert "Strands pass on both faces, on the chord's axis, their middle 6 1/2\" from the truss's plane (asked by T6-strands)" in said
    assert "instead, were nothing asked of it: 2 rows of 2 bolts 1\" each side, 4\" apart, rows 3\" apart" in said


def test_the_sheet_draws_the_band_and_says_who_asked(made: Made) -> None:
    document = ezdxf.readfile(sheet(made))
    (zone,) = [e for e in document.modelspace().query("LWPOLYLINE") if "ZONE" in e.dxf.layer]
    ys = [y for _, y in zone.get_points("xy")]
    assert (min(ys), max(ys)) == (pytest.approx(-NEED), pytest.approx(NEED))
    texts = (e.dxf.text if e.dxftype() == "TEXT" else e.plain_text() for layout in document.layouts for e in layout.query("TEXT MTEXT"))
    words = " ".join(" ".join(texts).split())
    assert "(asked by T6-strands)" in words
    assert "row of bolts to the strands' middle" in words


def test_holes_in_the_cut_file_stand_clear_of_the_band(made: Made) -> None:
    files = [f for f in (made.folder / "cut").glob("PL-*.dxf") if len(ezdxf.readfile(f).modelspace().query("CIRCLE")) == 8]
    assert files
    for file in files:
        circles = ezdxf.readfile(file).modelspace().query("CIRCLE")
        ys = sorted({round(c.dxf.center.y, 4) for c in circles})
        assert ys[1] - ys[0] >= 2 * NEED


def test_the_fit_measures_strands_against_the_splice_and_guides_beside_it(made: Made) -> None:
    fit = {f["detail"]: f for f in json.loads((made.folder / "checks" / "checks.json").read_text(encoding="utf-8"))["fit"]}
    assert all(f["passes"] for f in fit.values())
    (passed,) = [r for r in fit["T6-splice-1"]["results"] if "which passes it" in r["check"]]
    assert passed["there"] >= passed["needed"] == 0.25


def test_a_row_that_stands_in_the_band_as_it_is_drawn_is_found(made: Made, tmp_path: Path) -> None:
    document = ezdxf.readfile(sheet(made))
    (zone,) = [e for e in document.modelspace().query("LWPOLYLINE") if "ZONE" in e.dxf.layer]
    wider = [(x, 1.1 * y) for x, y in zone.get_points("xy")]
    zone.set_points(wider, format="xy")
    moved = tmp_path / "T6-splice-1.dxf"
    document.saveas(moved)
    assert not [r for r in check_file(sheet(made)) if r.state is State.DOES_NOT_PASS]
    assert any("a new bolt in a no-drill zone" in r.check for r in check_file(moved) if r.state is State.DOES_NOT_PASS)
