"""Faults of a survey: each is found, stands at its line, says what is allowed, and hides no other."""

from __future__ import annotations

import pytest
from surveys import SHORT, STARTER, line_of, problems_of, project_of, swapped

CASES = [
    # what is changed, into what, dotted field, words of the message
    ("grade: No.1}", "grade: Selekt Structural}", "types.A.wood.grade",
     ["'Selekt Structural'", "Select Structural, No.1 or No.2", "Did you mean 'Select Structural'"]),
    ("species: Douglas Fir-Larch", "species: Duoglas Fir-Larch", "types.A.wood.species", ["Southern Pine", "Did you mean 'Douglas Fir-Larch'"]),
    ("{species: Douglas Fir-Larch, grade: No.1}", "{species: Douglas Fir-Larch}", "types.A.wood.grade", ["nothing", "the grade of the wood"]),
    ("grade: No.1}", "grade: No.1, values: {Ft: 900 psi}}", "types.A.wood.values", ["without a source"]),
    ("thickness: 3 in, depth", "thickness: 13 in, depth", "types.A.webs[0].plies.one", ["no size class", "Or give 'values:'"]),
    ("depth: 9-1/2 in, gap: 3 in}}\n      braces: joints", "depth: -9-1/2 in, gap: 3 in}}\n      braces: joints",
     "types.A.bottom chord.plies.two.depth", ["'-9-1/2 in'", "more than 0"]),
    ("span: 48'-0\"", "span: 576", "types.A.span", ["bare number", "'576 in'"]),
    ("roof dead: 15 psf", "roof dead: 20 psi", "loads.roof dead", ["'psi' is a unit of stress", "20 psf"]),
    ("roof dead: 15 psf", "roof dead: 15 furlongs", "loads.roof dead", ["no unit known here"]),
    ("  roof live: 20 psf\n", "", "loads.roof live", ["found nothing", "area load with its unit"]),
    ("  snow: {ground: 30 psf, thermal: 1.1}\n", "", "loads.snow", ["found nothing", "none"]),
    ("thermal: 1.1", "thermal: 1.1 psf", "loads.snow.thermal", ["a factor from 0.5 to 2", "no unit"]),
    ("loads:\n", "load:\n", "load", ["Did you mean 'loads'"]),
    ("roof live:", "roof life:", "loads.roof life", ["unknown entry", "Did you mean 'roof live'"]),
    ("units: US", "units: Us", "project.units", ["'Us'", "US or SI"]),
    ("date: 2026-05-04", "date: 2026-02-30", "project.date", ["year-month-day"]),
    ("wood: nds_2018", "wood: nds_2015", "standards.wood", ["Did you mean 'nds_2018'"]),
    ("loads: asce7_16", "loads: asce7_61", "standards.loads", ["asce7_16"]),
    ("U5-L5]", "U5-L9]", "types.A.webs[0].members[8]", ["the joint L9", "L0, L1"]),
    ("U5-L5]", "U5-U4]", "types.A.webs[0].members[8]", ["a panel of a chord"]),
    ("U5-L5]", "L3-L5]", "types.A.webs[0].members[8]", ["both joints on the bottom chord"]),
    ("U5-L5]", "L1-U1]", "types.A.webs[0].members[8]", ["a second time"]),
    ("U5-L5]", "U5]", "types.A.webs[0].members[8]", ["two joints with a hyphen"]),
    ("ply: near", "ply: middle", "types.A.splices[0].ply", ["no ply of the bottom chord", "near or far"]),
    ("ply: near, at: 20'-0\"", "ply: near, at: 50'", "types.A.splices[0].at", ["from 0 to 48'-0\""]),
    ("behaviour: hinge", "behaviour: semi-rigid", "types.A.splices[0].stiffness", ["900 kip-in/rad"]),
    ("behaviour: hinge", "behaviour: hinge, stiffness: 900 kip-in/rad", "types.A.splices[0].stiffness", ["only with semi-rigid"]),
    ("rise: 7 ft", "rise: 25 ft", "types.A.top chord.rise", ["a rise of 25'-0\"", "half the span, 24'-0\""]),
    ("rise: 7 ft", "rise: 0 ft", "types.A.top chord.rise", ["more than 0"]),
    ("rise: 7 ft", "radius: 20 ft", "types.A.top chord.radius", ["at least half the span, 24'-0\""]),
    ("rise: 7 ft", "rise: 7 ft\n      radius: 50 ft", "types.A.top chord.rise", ["radius and rise", "exactly one"]),
    ("      rise: 7 ft\n", "", "types.A.top chord", ["one of radius, rise or points"]),
    ("rise: 7 ft", "points: [[0 ft, 1 ft], [24', 7']]", "types.A.top chord.points", ["heels at y = 0"]),
    ("rise: 7 ft", "points: [[30', 7'], [24', 7']]", "types.A.top chord.points", ["from left to right"]),
    ("panels: 6", "panel points: [8', 16', 16', 30']", "types.A.panel points", ["16'-0\" after 16'-0\""]),
    ("panels: 6", "panel points: [8', 16', 48']", "types.A.panel points", ["less than the span of 48'-0\""]),
    ("panels: 6", "panels: 1.5", "types.A.panels", ["a whole number from 2 to 100"]),
    ("gap: 3 in}}\n      braces: every 24 in", "gap: 3 in}, one: {thickness: 3 in, depth: 3 in}}\n      braces: every 24 in",
     "types.A.top chord.plies", ["one and two"]),
    ("braces: joints", "braces: often", "types.A.bottom chord.braces", ["every 24 in"]),
    ("braces: joints", "braces: [50']", "types.A.bottom chord.braces", ["between 0 and 48'-0\""]),
    ("members: all webs", "members: [U1-L1, U9-L1]", "types.A.connections[0].members[1]", ["no member of this truss"]),
    ("members: all webs", "members: U1-L1\n        joints: [L2]", "types.A.connections[0].joints[0]", ["'L2', which U1-L1 does not reach"]),
    ("members: all webs", "members: [U1-L1, U5-L5]\n        joints: [L1]", "types.A.connections[0].joints", ["no joint of U5-L5"]),
    ("members: all webs", "members: bottom chord\n        joints: [L3]", "types.A.connections[0].joints[0]", ["L0 or L6"]),
    ("at: [[3 in, 0 in]]", "at: [[3 in, 3 in]]", "types.A.connections[0].bolts.at", ["outside U1-L1", "2 3/4"]),
    ("at: [[3 in, 0 in]]", "at: [[3 in]]", "types.A.connections[0].bolts.at[0]", ["1 values", "[3 in, 0 in]"]),
    ("end: 4 in", "end: 4 in\n        plates: [{thickness: 1/4 in, width: 3 in, z: 1 in, bearing strength: 87000 psi, end: 6 in}]",
     "types.A.connections[0]", ["plate 1", "overlapping by 0.625 in."]),
    ("type: A", "type: B", "trusses[0].type", ["no type of this file"]),
    ("tributary width: 18 ft", "tributary width: 18 psf", "trusses[0].tributary width", ["a unit of area load"]),
    ("member: bottom chord, ply: far", "member: U1-L4, ply: far", "trusses[0].damage[0].member", ["no member of this truss", "bottom chord"]),
    ("at: 22'", "at: 49'", "trusses[0].damage[0].at", ["from 0 to 48'-0\""]),
    (", photo: 3", "", "trusses[0].damage[0].photo", ["found nothing"]),
    ("kind: break", "kind: brake", "trusses[0].damage[0].kind", ["Did you mean 'break'"]),
    ("kind: break", "factor: 0.5, kind: break", "trusses[0].damage[0].factor", ["factor with break", "counts as 0"]),
    ("kind: break", "factor: 0.5, amount: 1 in, kind: bow", "trusses[0].damage[0].factor", ["factor with bow", "not by a factor"]),
    ("kind: break", "kind: sag", "trusses[0].damage[0].amount", ["found nothing"]),
    ("kind: break", "length: 1 ft, basis: seen, kind: split", "trusses[0].damage[0].factor", ["never assumed"]),
    ("kind: break", "length: 1 ft, factor: 0.6, kind: decay", "trusses[0].damage[0].basis", ["on what the factor rests"]),
    ("kind: break", "length: 1 ft, factor: 1.2, basis: seen, kind: check", "trusses[0].damage[0].factor", ["from 0 to 1"]),
    ("{kind: break, member: bottom chord, ply: far, at: 22'", "{kind: missing bolt, connection: U1-L1 at L2, count: 1",
     "trusses[0].damage[0].connection", ["no connection or splice", "U1-L1 at L1"]),
    ("{kind: break, member: bottom chord, ply: far, at: 22'", "{kind: missing bolt, connection: U1-L1 at L1, count: 1",
     "trusses[0].damage[0].count", ["fewer than the 1 bolts"]),
    ("{kind: break, member: bottom chord, ply: far, at: 22'", "{kind: failed connector, connection: U1-L1 at L1, basis: seen",
     "trusses[0].damage[0].factor", ["found nothing"]),
    ("    damage:", "    forces: {file: none.csv}\n    damage:", "trusses[0].forces.file", ["no such file"]),
    ("    damage:", "    forces: {file: " + "f" * 300 + "}\n    damage:", "trusses[0].forces.file", ["no such file"]),
    ("    damage:", "    changes: {span: 40}\n    damage:", "trusses[0].changes.span", ["bare number"]),
    ("    damage:", "    changes: {splices: [{chord: top chord, ply: mid, at: 10', behaviour: fixed}]}\n    damage:",
     "trusses[0].changes.splices[0].ply", ["near or far"]),
    ("    top points: above\n", "    top points: above\n    supports: {left: pin, right: pin}\n",
     "types.A.supports", ["two pins", "two pinned supports"]),
    ("    top points: above\n", "    top points: above\n    supports: {left: roller}\n", "types.A.supports", ["two rollers"]),
    ("    top points: above\n", "", "types.A.top points", ["above, between"]),
]


@pytest.mark.parametrize(("old", "new", "field", "words"), CASES, ids=[f"{c[2]} {i}" for i, c in enumerate(CASES)])
def test_one_fault(old: str, new: str, field: str, words: list[str]) -> None:
    problems = problems_of(swapped(old, new))
    assert [p.field for p in problems] == [field]
    problem = problems[0]
    for word in words:
        assert word in str(problem)
    assert problem.file.endswith("project.yaml")
    # The line: the entry's own text, or for a missing entry the line of its table.
    key = field.rpartition(".")[2].partition("[")[0]
    line = swapped(old, new).splitlines()[problem.line - 1]
    if "found nothing" not in str(problem) and "[" not in field.rpartition(".")[2]:
        assert f"{key}:" in line


def test_two_faults_are_reported_together_each_at_its_line() -> None:
    text = swapped("depth: 5-1/2 in", "depth: -5-1/2 in")
    text = swapped("grade: No.1}", "grade: Best}", text)
    text = swapped("roof dead: 15 psf", "roof dead: 15", text)
    text = swapped("U5-L5]", "U5-L7]", text)
    text = swapped("at: 22'", "at: 60'", text)
    found = {p.field: p.line for p in problems_of(text)}
    assert found == {
        "loads.roof dead": line_of("roof dead: 15", text),
        "types.A.wood.grade": line_of("grade: Best", text),
        "types.A.webs[0].members[8]": line_of("U5-L7", text),
        "types.A.webs[0].plies.one.depth": line_of("-5-1/2 in", text),
        "trusses[0].damage[0].at": line_of("at: 60'", text),
    }


def test_faulty_sections_do_not_hide_others_or_invent_faults() -> None:
    """A faulty span leaves the joints unknown: nothing that depends on them is called wrong, and the rest is still looked at."""
    text = swapped("span: 48'-0\"", "span: wide")
    text = swapped("units: US", "units: feet", text)
    assert [p.field for p in problems_of(swapped(", photo: 3", "", text))] == ["project.units", "types.A.span", "trusses[0].damage[0].photo"]


def test_a_missing_section_is_named() -> None:
    start, end = SHORT.index("loads:\n"), SHORT.index("types:")
    assert [(p.field, p.line) for p in problems_of(SHORT[:start] + SHORT[end:])] == [("loads", 1)]


def test_marks_are_unique() -> None:
    text = SHORT + "  - {mark: T1, type: A, tributary width: 16 ft}\n"
    [problem] = problems_of(text)
    assert problem.field == "trusses[1].mark"
    assert f"line {line_of('mark: T1', text)} already" in str(problem)


def test_two_pins_with_an_override() -> None:
    text = swapped("    top points: above\n", "    top points: above\n    supports: {left: pin, right: pin}\n")
    text = swapped("    damage:", "    overrides: [{item: two pinned supports, reason: buttressed walls}]\n    damage:", text)
    truss = project_of(text).trusses[0]
    assert [s.kind for s in truss.supports] == ["pin", "pin"]
    assert truss.overrides[0].reason == "buttressed walls"


def test_nothing_there(tmp_path: object) -> None:
    for text in ("", "\n# only a comment\n", "- a list", "word"):
        [problem] = problems_of(text)
        assert "project, standards, loads, types, trusses" in str(problem)


def test_the_starter_reads() -> None:
    project = project_of(STARTER)
    assert [t.mark for t in project.trusses] == ["T1", "T2"]
    assert project.assumptions == ()
