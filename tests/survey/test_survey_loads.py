"""Loads of the survey beyond the simple ones: read into inside units, their faults named."""

from __future__ import annotations

import pytest
from surveys import SHORT, line_of, problems_of, project_of, swapped

PSF = 1 / 144
SNOW = "snow: {ground: 30 psf, thermal: 1.1"


def with_snow(more: str) -> str:
    return swapped(SNOW, f"{SNOW}, {more}")


def with_loads(more: str) -> str:
    return swapped("  roof live: 20 psf\n", f"  roof live: 20 psf\n  {more}\n")


def test_everything_is_read() -> None:
    text = with_snow(
        "risk category: III, winter wind: 0.45, left eave: valley, right eave: near, drifts: [{beside: higher roof, side: end wall, height: 9 ft, "
        "roof above: 60 ft, distance: 8 ft, trusses: [T1]}, {beside: parapet, side: left, height: 1.2 m}]"
    )
    text = swapped("  roof live: 20 psf\n", "  roof live: 20 psf\n  roof live reduction: yes\n  concentrated: 2 kip\n"
                   "  given: [{name: sliding, kind: snow, points: [[0 ft, 18 psf], [15 ft, 18 psf]]}, "
                   "{name: uplift, kind: wind, points: [[0 ft, -0.5 kPa], [48 ft, -0.5 kPa]]}]\n", text)  # fmt: skip
    text = swapped("    splices:", "    purlins: every 8 ft\n    purlin height: 9 in\n    splices:", text)
    project = project_of(text)
    loads, snow = project.loads, project.loads.snow
    assert (loads.live_reduced, loads.concentrated) == (True, 2000.0)
    assert [(g.name, g.kind) for g in loads.given] == [("sliding", "snow"), ("uplift", "wind")]
    assert loads.given[0].points == ((0.0, pytest.approx(18 * PSF)), (180.0, pytest.approx(18 * PSF)))
    assert loads.given[1].points[0][1] == pytest.approx(-0.5 * 0.1450377, rel=1e-6)  # 1 kPa = 0.1450377 psi
    assert snow is not None
    assert (snow.risk, snow.winter_wind, snow.eaves) == ("III", 0.45, ("valley", "near"))
    assert snow.drifts[0].trusses == ("T1",)
    assert (snow.drifts[0].upper, snow.drifts[0].distance) == (720.0, 96.0)
    assert snow.drifts[1].height == pytest.approx(1200 / 25.4)
    (truss,) = project.trusses
    assert truss.purlins == (96.0, 192.0, 288.0, 384.0, 480.0)
    assert truss.purlin_height == 9.0


def test_nothing_is_added_where_nothing_is_said() -> None:
    project = project_of(SHORT)
    assert (project.loads.concentrated, project.loads.given, project.loads.live_reduced) == (0.0, (), False)
    assert project.loads.snow is not None
    assert project.loads.snow.eaves == ("free", "free")
    assert project.trusses[0].purlins == ()


def test_an_unusual_ground_snow_load_is_told() -> None:
    told = [a for a in project_of(swapped("ground: 30 psf", "ground: 320 psf")).assumptions if "unusual" in a]
    assert told == ["Loads: a ground snow load of 320 psf is unusual; check the number and its unit."]
    assert not [a for a in project_of(swapped("ground: 30 psf", "ground: 300 psf")).assumptions if "unusual" in a]


HIGHER = "drifts: [{beside: higher roof, side: left, height: 9 ft}]"
FAULTS = [
    (swapped("ground: 30 psf", "ground: -5 psf"), "loads.snow.ground", "more than 0"),
    (with_snow(HIGHER), "loads.snow.drifts[0].roof above", "the length of the higher roof"),
    (with_snow("drifts: [{beside: parapet, side: end wall, height: 4 ft}]"), "loads.snow.drifts[0].distance", "the distance from the end wall"),
    (with_snow("drifts: [{beside: parapet, side: left, height: 4 ft, trusses: [T9]}]"), "loads.snow.drifts[0].trusses", "'T9', no truss"),
    (with_snow("drifts: [{beside: tree, side: left, height: 4 ft}]"), "loads.snow.drifts[0].beside", "higher roof or parapet"),
    (with_snow("left eave: open"), "loads.snow.left eave", "free, near or valley"),
    (with_snow("winter wind: 4"), "loads.snow.winter wind", "a parameter from 0.1 to 1"),
    (with_loads("concentrated: 2000 psf"), "loads.concentrated", "'psf' is a unit of area load"),
    (with_loads("given: [{name: a, kind: ice, points: [[0 ft, 1 psf], [9 ft, 1 psf]]}]"), "loads.given[0].kind", "snow, rain or wind"),
    (with_loads("given: [{name: a, kind: rain, points: [[9 ft, 1 psf], [0 ft, 1 psf]]}]"), "loads.given[0].points", "beyond the one before"),
    (with_loads("given: [{name: a, kind: rain, points: [[9 ft, 1 psf]]}]"), "loads.given[0].points", "two points or more"),
    (swapped(SNOW + "}", "snow: none\n  given: [{name: a, kind: snow, points: [[0 ft, 1 psf], [9 ft, 1 psf]]}]"), "loads.given", "without snow"),
    (swapped("    splices:", "    purlins: [60 ft]\n    splices:"), "types.A.purlins", "stations between the heels"),
]


@pytest.mark.parametrize(("text", "field", "words"), FAULTS, ids=[f"{f}-{w}" for _, f, w in FAULTS])
def test_fault(text: str, field: str, words: str) -> None:
    (problem,) = problems_of(text)
    assert problem.field == field
    assert words in str(problem)
    assert problem.line >= line_of("loads:", text)


LAYERED = "{one: {thickness: 5-1/2 in, layers: [1-1/2 in, 1-1/2 in, 1-1/2 in], fastening: nailed%s}}"
OLD = "{two: {thickness: 2-1/2 in, depth: 9-1/2 in, gap: 3 in}}\n      braces: every"


def layered_chord(more: str) -> str:
    return swapped(OLD, LAYERED % more + "\n      braces: every")


def test_layers_that_slip_on_one_another() -> None:
    project = project_of(layered_chord(", fastener stiffness: 12000 lb/in, fastener spacing: 6 in"))
    (ply,) = project.trusses[0].member("top chord").plies
    assert (ply.composite, ply.joint) == ("partial", 2000.0)
    assert any("slip on one another" in a for a in project.assumptions)
    (problem,) = problems_of(layered_chord(", fastener stiffness: 12000 lb/in"))
    assert problem.field.endswith("fastener spacing")
    glued = layered_chord(", fastener spacing: 6 in").replace("fastening: nailed", "fastening: glued")
    (problem,) = problems_of(glued)
    assert "not nailed or bolted" in str(problem)


def test_what_the_analysis_counts() -> None:
    text = swapped("types:\n", "analysis: {shear: yes, web bolts slip: yes, free travel: 1/32 in}\ntypes:\n")
    asked = project_of(text).modelling
    assert (asked.shear, asked.slip, asked.play, asked.second_order) == (True, True, 0.03125, False)
    assert asked.one_by_one
    assert not project_of(SHORT).modelling.one_by_one
    (problem,) = problems_of(swapped("types:\n", "analysis: {second order: yes, free travel: 1/32 in}\ntypes:\n"))
    assert problem.field == "analysis.free travel"


def test_a_wall_against_thrust() -> None:
    held = swapped("    splices:", "    supports: {left: pin, right: roller, wall stiffness: 20 kip/in}\n    splices:")
    left, right = project_of(held).trusses[0].supports
    assert (left.thrust, right.thrust) == (0.0, 20000.0)
    two = held.replace("right: roller", "right: pin")
    assert any(p.field == "types.A.supports.wall stiffness" for p in problems_of(two))


def test_how_far_a_bearing_has_moved() -> None:
    supports = "{left: pin, right: roller, left settlement: [1/2 in, 0 in], right settlement: [0 in, -3/4 in]}"
    moved = swapped("    splices:", f"    supports: {supports}\n    splices:")
    project = project_of(moved)
    assert [s.settlement for s in project.trusses[0].supports] == [(0.5, 0.0), (0.0, -0.75)]
    assert any("acts with the dead load" in a for a in project.assumptions)
    (problem,) = problems_of(moved.replace("[0 in, -3/4 in]", "[1 in, 0 in]"))
    assert problem.field == "types.A.supports.right settlement"
    assert "at a roller" in problem.found


ON_NOTHING = [
    ("[[50 ft, 18 psf], [60 ft, 18 psf]]", "beyond the right heel of truss T1"),
    ("[[40 ft, 18 psf], [60 ft, 18 psf]]", "beyond the right heel of truss T1"),
    ("[[10 ft, 0 psf], [20 ft, 0 psf]]", "no load at any of its points"),
    ("[[10 ft, 9 psf], [10 ft, 9 psf]]", "a load on no length"),
]


@pytest.mark.parametrize(("points", "words"), ON_NOTHING, ids=[w for _, w in ON_NOTHING])
def test_a_load_on_nothing(points: str, words: str) -> None:
    (problem,) = problems_of(with_loads(f"given: [{{name: sliding, kind: snow, points: {points}}}]"))
    assert problem.field == "loads.given[0].points"
    assert words in problem.found


@pytest.mark.parametrize("ground", ["-5 psf", "0 psf"])
def test_ground_snow_of_nothing_or_less(ground: str) -> None:
    (problem,) = problems_of(swapped("ground: 30 psf", f"ground: {ground}"))
    assert problem.field == "loads.snow.ground"
    assert "more than 0" in problem.allowed
