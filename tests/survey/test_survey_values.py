"""Quantities, shorthands and geometry of a survey."""

from __future__ import annotations

import itertools
import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter, ValidationError
from surveys import SHORT, problems_of, project_of, swapped

from detailgen.core.units import MM, feet_inches, parse
from detailgen.model.project import Truss
from detailgen.survey.geometry import arc_from_radius, arc_from_rise, arc_height, arc_slope, brace_stations
from detailgen.survey.quantities import Length, PositiveLength


def truss_of(text: str) -> Truss:
    return project_of(text).trusses[0]


@given(st.integers(min_value=0, max_value=16 * 12 * 200))
def test_feet_and_inches_come_back(ticks: int) -> None:
    value = float(Fraction(ticks, 16))
    assert parse(feet_inches(value), "length") == value
    assert TypeAdapter(Length).validate_python(feet_inches(value)) == value


@given(st.integers(min_value=1, max_value=50_000))
def test_millimetres_and_inches_mean_the_same(mm: int) -> None:
    assert TypeAdapter(PositiveLength).validate_python(f"{mm} mm") == pytest.approx(mm * MM, rel=1e-12)


@given(st.text(max_size=60))
def test_any_text_is_a_length_or_refused_in_words(text: str) -> None:
    allowed, value = "", 0.0
    try:
        value = TypeAdapter(Length).validate_python(text)
    except ValidationError as error:
        allowed = error.errors()[0]["ctx"]["allowed"]
    assert math.isfinite(value)
    assert allowed or parse(text, "length") == value


def test_radius_equal_to_span() -> None:
    """A radius equal to the span: by geometry the heel's slope is asin(1/2) = 30 degrees and the rise span (1 - sqrt(3)/2) = 0.134 span."""
    arc = arc_from_radius(720.0, 720.0)
    assert math.degrees(arc_slope(arc, 0.0)) == pytest.approx(30.0, abs=1e-9)
    assert math.degrees(arc_slope(arc, 720.0)) == pytest.approx(-30.0, abs=1e-9)
    assert arc_height(arc, 360.0) / 720.0 == pytest.approx(0.13397, abs=1e-5)
    truss = truss_of(swapped("rise: 7 ft", "radius: 48 ft"))
    assert truss.joints["U3"][1] / truss.span == pytest.approx(1 - math.sqrt(3) / 2, abs=1e-6)


@given(st.floats(100, 2000), st.floats(0.02, 0.5), st.floats(0, 1))
def test_rise_and_radius_describe_the_same_arc(span: float, flat: float, at: float) -> None:
    rise = arc_from_rise(span, flat * span)
    assert arc_height(rise, 0.0) == pytest.approx(0.0, abs=1e-4)
    assert arc_height(rise, span / 2) == pytest.approx(flat * span, rel=1e-9)
    radius = arc_from_radius(span, rise.radius)
    assert arc_height(radius, at * span) == pytest.approx(arc_height(rise, at * span), abs=1e-4)


def test_joints_above_between_and_listed() -> None:
    above = truss_of(SHORT)
    assert [above.joints[j][0] for j in above.top] == [0, 96, 192, 288, 384, 480, 576]
    assert above.bottom == ("L0", "L1", "L2", "L3", "L4", "L5", "L6")
    assert above.top == ("L0", "U1", "U2", "U3", "U4", "U5", "L6")
    webs = "[U1-L1, U2-L1, U2-L2, U3-L2, U3-L3, U4-L3, U4-L4, U5-L4, U5-L5, U6-L5]"
    text = swapped("[U1-L1, U1-L2, U2-L2, U2-L3, U3-L3, U4-L3, U4-L4, U5-L4, U5-L5]", webs)
    between = truss_of(swapped("top points: above", "top points: between", text))
    assert [between.joints[j][0] for j in between.top] == [0, 48, 144, 240, 336, 432, 528, 576]
    listed = truss_of(swapped("top points: above", "top points: [7', 15', 24', 33', 41']"))
    assert [listed.joints[j][0] for j in listed.top] == [0, 84, 180, 288, 396, 492, 576]


def test_points_with_and_without_heels_and_interpolated() -> None:
    points = "points: [[8', 4'], [16', 6'], [24', 7'], [32', 6'], [40', 4']]"
    heels = points.replace("[[8'", "[[0 in, 0 in], [8'").replace("4']]", "4'], [48', 0 in]]")
    text = swapped("    top points: above\n", "")
    plain, ends = (truss_of(swapped("rise: 7 ft", p, text)) for p in (points, heels))
    assert plain.joints == ends.joints
    assert plain.joints["U2"] == (192.0, 72.0)
    assert (plain.arc, plain.curved) == (None, False)
    coarse = truss_of(swapped("rise: 7 ft", "points: [[16', 6'], [32', 6']]"))
    assert coarse.joints["U1"] == (96.0, 36.0)
    assert coarse.joints["U3"] == (288.0, 72.0)


def test_panel_points() -> None:
    truss = truss_of(swapped("panels: 6", "panel points: [7', 15', 24', 33', 41']"))
    assert [truss.joints[j][0] for j in truss.bottom] == [0, 84, 180, 288, 396, 492, 576]


@pytest.mark.parametrize(
    ("plies", "expected"),
    [
        ("{two: {thickness: 2-1/2 in, depth: 9-1/2 in, gap: 3 in}}", [("near", 2.5, 9.5, 2.75), ("far", 2.5, 9.5, -2.75)]),
        ("{one: {thickness: 5-1/4 in, depth: 9-1/2 in}}", [("single", 5.25, 9.5, 0.0)]),
        ("{near: {thickness: 3 in, depth: 10 in}, far: {thickness: 2 in, depth: 9 in}, gap: 4 in}", [("near", 3, 10, 3.5), ("far", 2, 9, -3.0)]),
        ("[{name: mid, thickness: 2 in, depth: 8 in, z: 0 in}, {name: back, thickness: 2 in, depth: 8 in, z: -2 in}]",
         [("mid", 2, 8, 0), ("back", 2, 8, -2)]),
    ],
)
def test_shorthands_of_plies(plies: str, expected: list[tuple[str, float, float, float]]) -> None:
    text = swapped("{two: {thickness: 2-1/2 in, depth: 9-1/2 in, gap: 3 in}}\n      braces: every", plies + "\n      braces: every")
    assert [(p.name, p.thickness, p.depth, p.z) for p in truss_of(text).member("top chord").plies] == expected


def test_layers() -> None:
    layered = "{one: {thickness: 5-1/2 in, layers: [1-1/2 in, 1-1/2 in, 1-1/2 in], fastening: nailed}}"
    old = "{two: {thickness: 2-1/2 in, depth: 9-1/2 in, gap: 3 in}}\n      braces: every"
    project = project_of(swapped(old, layered + "\n      braces: every"))
    ply = project.trusses[0].member("top chord").plies[0]
    assert (ply.depth, ply.layers, ply.composite) == (4.5, (1.5, 1.5, 1.5), "none")
    assert any("only nailed" in a for a in project.assumptions)
    glued = project_of(swapped(old, layered.replace("nailed", "glued") + "\n      braces: every"))
    assert glued.trusses[0].member("top chord").plies[0].composite == "full"
    [problem] = problems_of(swapped(old, layered.replace("layers:", "depth: 6 in, layers:") + "\n      braces: every"))
    assert "4 1/2\" in a depth of 6\"" in problem.found


def test_the_nearest_wood_counts_entry_by_entry() -> None:
    text = swapped("    webs:\n", "      wood: {grade: Select Structural, moisture: wet}\n    webs:\n")
    text = swapped("{one: {thickness: 3 in", "{one: {wood: {grade: No.2, product: sawn}, thickness: 3 in", text)
    truss = truss_of("wood: {species: Southern Pine, grade: No.1}\n" + text)
    woods = {m.name: (m.plies[0].wood.species, m.plies[0].wood.grade, m.plies[0].wood.wet) for m in truss.members}
    assert woods["top chord"] == ("Douglas Fir-Larch", "No.1", False)
    assert woods["bottom chord"] == ("Douglas Fir-Larch", "Select Structural", True)
    assert woods["U1-L1"] == ("Douglas Fir-Larch", "No.2", False)


def test_own_values_take_the_place_of_a_table() -> None:
    wood = "{species: Old growth, grade: ours, values: {E: 1500000 psi, Ft: 900 psi, G: 0.5}, source: tests of 2025}"
    made = truss_of(swapped("{species: Douglas Fir-Larch, grade: No.1}", wood)).members[0].plies[0].wood
    assert dict(made.values) == {"E": 1.5e6, "Ft": 900.0, "G": 0.5}
    assert made.source == "tests of 2025"


def test_curved_or_straight_is_said_or_assumed() -> None:
    assert not truss_of(SHORT).curved
    assert any("sawn wood, taken as straight" in a for a in project_of(SHORT).assumptions)
    glulam = swapped("      rise: 7 ft\n", "      rise: 7 ft\n      wood: {species: Douglas Fir, grade: 24F-V4, product: glulam}\n")
    assert truss_of(glulam).curved
    assert any("glulam, taken as curved" in a for a in project_of(glulam).assumptions)
    said = project_of(swapped("rise: 7 ft", "rise: 7 ft\n      pieces: curved"))
    assert said.trusses[0].curved
    assert not any("curved" in a for a in said.assumptions)


@given(st.floats(1.0, 400.0), st.floats(2.0, 2000.0))
def test_braces_at_a_spacing(spacing: float, length: float) -> None:
    stations = (0.0, *brace_stations(spacing, (), length), length)
    gaps = [b - a for a, b in itertools.pairwise(stations)]
    assert min(gaps) > 0
    assert max(gaps) <= spacing + 1e-5


def test_braces_in_words() -> None:
    truss = truss_of(SHORT)
    assert truss.member("bottom chord").braces == (96, 192, 288, 384, 480)
    assert truss.member("top chord").braces == tuple(24.0 * i for i in range(1, 24))
    assert truss.member("U1-L1").braces == ()


def test_connections_of_a_group_and_of_one_end() -> None:
    assert len(truss_of(SHORT).connections) == 18
    only = truss_of(swapped("members: all webs", "members: all webs\n        joints: top"))
    assert {c.joint for c in only.connections} == {"U1", "U2", "U3", "U4", "U5"}
    turned = truss_of(swapped("members: all webs", "members: [L1-U1]\n        joints: [L1]"))
    assert [c.name for c in turned.connections] == ["U1-L1 at L1"]


def test_end_bearings() -> None:
    text = swapped("    splices:\n", "    end bearings: [{members: top chord, width: 5 in, height: 9 in, face: steel}]\n    splices:\n")
    assert [(b.member, b.joint, b.width, b.height, b.steel) for b in truss_of(text).bearings] == [
        ("top chord", "L0", 5, 9, True), ("top chord", "L6", 5, 9, True)]  # fmt: skip


def test_damage_acts_where_it_should() -> None:
    old = "{kind: break, member: bottom chord, ply: far, at: 22', photo: 3}"
    new = "{kind: missing bolt, connection: L1-U1 at L1, count: 1, photo: 4}"
    text = swapped("at: [[3 in, 0 in]]", "at: [[3 in, 0 in], [6 in, 0 in]]", swapped(old, new))
    truss = truss_of(text)
    missing = {c.name: c.bolts.missing for c in truss.connections}
    assert {k for k, v in missing.items() if v} == {"U1-L1 at L1"}
    assert truss.damage[0].member == "U1-L1"
    height = truss.joints["U1"][1]
    assert truss.damage[0].at == pytest.approx(height)
    split = truss_of(swapped(old, "{kind: split, member: L1-U1, at: 12 in, length: 6 in, factor: 0.6, basis: seen, photo: 5}")).damage[0]
    assert (split.member, split.factor) == ("U1-L1", 0.6)
    assert split.at == pytest.approx(height - 12)  # said from L1, kept from U1
    new = "{kind: failed connector, connection: bottom chord near at 20'-0\", factor: 0.4, basis: seen, photo: 6}"
    failed = truss_of(swapped(old, new)).damage[0]
    assert (failed.member, failed.ply, failed.at, failed.factor) == ("bottom chord", "near", 240, 0.4)
    assert truss_of(SHORT).damage[0].factor == 0.0


def test_changes_replace_lists_and_merge_tables() -> None:
    text = swapped("    damage:", "    changes: {span: 50', top chord: {radius: 40 ft, bow: 1 in}, splices: []}\n    damage:")
    text += "  - {mark: T2, type: A, tributary width: 16 ft}\n"
    changed, plain = project_of(text).trusses
    assert (changed.span, changed.splices, changed.member("top chord").bow) == (600, (), 1)
    assert changed.arc is not None
    assert changed.arc.radius == 480
    assert changed.member("top chord").braces[:2] == (24, 48)
    assert (plain.span, len(plain.splices), plain.member("top chord").bow) == (576, 1, 0)


def test_loads_in_inside_units() -> None:
    loads = project_of(SHORT).loads
    assert loads.roof_dead == pytest.approx(15 / 144)
    assert loads.snow is not None
    assert (loads.snow.ground_snow, loads.snow.thermal) == (pytest.approx(30 / 144), 1.1)
    assert project_of(swapped("{ground: 30 psf, thermal: 1.1}", "none")).loads.snow is None


def test_taken_defaults_are_listed() -> None:
    said = project_of(SHORT).assumptions
    for part in ("per sloped area", "exposure factor", "importance factor", "moisture", "left bearing is taken as a pin"):
        assert any(part in a for a in said), part
    assert not any("thermal" in a for a in said)


def test_plain_bowstring_is_short() -> None:
    """The aim of the format: about 40 lines for a whole truss."""
    assert len(SHORT.splitlines()) <= 42
