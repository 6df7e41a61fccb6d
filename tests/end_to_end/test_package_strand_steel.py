"""Strands that push on a wide shoe at one heel and on end grain at the other, through plates with ribs, past blocking and a lug that are slotted: the
package as a user makes it, in US and SI units."""

from __future__ import annotations

import json

import ezdxf
import pytest
from command_line import detailgen_run
from package_runs import Made, copy_without_marks, edit, kept_folder, words_of

ACROSS = """    across the chord:
      - {what: blocking, material: wood, at: 14', thickness: 1-1/2 in, low: -5-3/4 in, high: 5-3/4 in, inner: 4-1/2 in, outer: 14-1/2 in, slot: yes}
      - {what: lug, material: steel, at: 34', thickness: 1/2 in, low: -5 in, high: 5 in, inner: 4-1/2 in, outer: 10 in, slot: yes, pulled: 14 kip}
    strand bearing:
      left: {on: shoe, face: 1-1/4 in, gap: 1/2 in, low: -5 in, high: 5 in, width: 20 in, weld: {leg: 1/4 in, length: 80 in}}
    supports: {left: pin, right: roller}
"""
RIBS = "    tributary width: 20'-6\"\n    overrides: [{item: end plate, value: ribs, reason: lighter to lift}]\n"


@pytest.fixture(scope="module", params=["US", "SI"])
def made(request: pytest.FixtureRequest) -> Made:
    home = kept_folder(f"strand-steel-{request.param}")
    project = copy_without_marks("granary", home / "job")
    edit(
        project, ("    supports: {left: pin, right: roller}\n", ACROSS), ("    tributary width: 20'-6\"\n", RIBS),
        ("units: US", f"units: {request.param}"),
    )  # fmt: skip
    return Made(detailgen_run("package", project, "--out", home / "out"), home / "out" / "Tern-Island-Granary")


def force(made: Made, row: dict[str, str], name: str) -> float:
    return float(next(v for k, v in row.items() if k in (f"{name}_lb", f"{name}_kN")))


def test_it_is_made_and_every_drawing_and_fit_passes(made: Made) -> None:
    assert made.answer.code == 0, made.answer.out + made.answer.err
    assert "all drawings pass the checker" in words_of(made.answer)
    checks = json.loads((made.folder / "checks" / "checks.json").read_text(encoding="utf-8"))
    assert checks["passes"]
    said = [r["check"] for f in checks["fit"] for r in f["results"]]
    assert sum("a slot with room for strand" in s for s in said) == 2
    assert any("jack's nose" in s for s in said)


def test_bolts_of_the_shoe_carry_the_rest_and_those_at_end_grain_the_whole_thrust(made: Made) -> None:
    rows = made.rows("schedules/heel_forces.csv")
    assert {(r["heel"], r["strands_push_on"]) for r in rows} == {("left", "shoe"), ("right", "end grain")}
    for r in rows:
        thrust, strands, bolts = (force(made, r, n) for n in ("thrust", "strands", "heel_bolts"))
        assert bolts == pytest.approx(thrust - strands if r["heel"] == "left" else thrust, abs=max(2, 1e-3 * abs(thrust)))


def test_ribs_are_listed_without_a_cut_file_and_plates_with_one(made: Made) -> None:
    bars = [p for p in made.rows("schedules/parts.csv") if p["kind"] == "bar"]
    assert [(b["mark"], b["quantity"], b["file"]) for b in bars] == [("FL-1", "4", "")]
    assert all("FL-" not in r["marks"] for r in made.rows("schedules/plates.csv"))
    assert not list((made.folder / "cut").glob("FL-*"))


@pytest.mark.parametrize(("sheet", "words"), [
    ("G3-strands", ("ribs, flat bars on edge", "2 slots", "back of the shoe")),
    ("G3-strands-slot-1", ("SECTION across the chord", "blocking", "made in the field")),
    ("truss_G3_strands", ("HEELS AS FREE BODIES", "AFTERWARDS")),
])  # fmt: skip
def test_what_stands_on_the_sheets(made: Made, sheet: str, words: tuple[str, ...]) -> None:
    document = ezdxf.readfile(made.folder / "drawings" / f"{sheet}.dxf")
    said = " ".join(
        " ".join((e.dxf.text if e.dxftype() == "TEXT" else e.plain_text()).split()) for layout in document.layouts for e in layout.query("TEXT MTEXT")
    )
    for text in words:
        assert all(word in said for word in text.split()), text


def test_the_slots_have_a_solid_and_the_holes_in_the_drawing_are_slots(made: Made) -> None:
    names = {f.name for f in (made.folder / "models").glob("*.step")}
    assert {"G3-strands-slot-1.step", "G3-strands-slot-2.step"} <= names
