"""Loads on the frame against totals that anyone can add up."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sample_trusses import SLENDER, US_SAMPLE, project, truss

from detailgen.analysis.build import build_frame
from detailgen.loads.cases import _mean_pressure, build_cases, over_span
from detailgen.loads.combinations import expand
from detailgen.loads.roof import roof_curve, top_y
from detailgen.model.roof_loads import DriftInput, GivenLoad
from detailgen.pipeline import known_standards

PSF = 1 / 144
WOOD, LOADS = known_standards()


def load_set(name: str, mark: str):
    chosen, owner = truss(name, mark), project(name)
    model = build_frame(chosen, lambda *_: 1.6e6, damaged=False)
    return chosen, model, build_cases(chosen, owner.loads, model, LOADS["asce7_16"])


def total(model, case) -> float:
    """Sum of all vertical load (lb, downward)."""
    return -float((case.distributed[:, 1] * model.length).sum() + case.nodal[:, 1].sum())


def test_live_load_is_pressure_times_plan_area() -> None:
    chosen, model, found = load_set(US_SAMPLE, "T2")
    by_name = {c.name: c for c in found.cases}
    whole = 20 * PSF * 672 * 144  # 20 psf on 56 ft by 12 ft
    assert total(model, by_name["Lr full span"]) == pytest.approx(whole, rel=1e-9)
    assert total(model, by_name["Lr left half"]) == pytest.approx(whole / 2, rel=1e-9)
    left = model.end_x <= chosen.span / 2 + 1e-6
    assert not by_name["Lr right half"].distributed[left].any()


def test_dead_load_by_parts() -> None:
    chosen, model, found = load_set(US_SAMPLE, "T2")
    dead = total(model, found.cases[0])
    # By hand: roof on the arc (radius 56 ft, 60 degrees: length 56 pi / 3 ft), ceiling on plan, wood 35 pcf on every piece.
    arc = 672 * math.pi / 3
    roof, ceiling = 12 * PSF * 144 * arc, 2 * PSF * 144 * 672
    chords = 2 * 2.5 * 9.5 * (arc + 672)
    webs = 3.5 * 5.5 * sum(math.dist(*(chosen.joints[j] for j in m.joints)) for m in chosen.members if m.kind == "web")
    assert dead == pytest.approx(roof + ceiling + 35 / 1728 * (chords + webs), rel=2e-4)  # the curve is followed by 32 straight pieces


def test_snow_on_the_frame_is_the_pressure_under_its_curve() -> None:
    _, model, found = load_set(US_SAMPLE, "T2")
    by_name = {c.name: c for c in found.cases}
    assert [p.name for p in found.pressures] == ["S balanced", "S unbalanced left", "S unbalanced right", "S partial left", "S partial right"]
    for pressure in found.pressures:
        area = float(np.trapezoid(pressure.pressure, pressure.x))
        assert total(model, by_name[pressure.name]) == pytest.approx(area * 144, rel=1e-6)


def test_unbalanced_snow_left_and_right_are_mirror_images() -> None:
    _, model, found = load_set(US_SAMPLE, "T2")
    by_name = {c.name: c for c in found.cases}
    left, right = (total(model, by_name[f"S unbalanced {side}"]) for side in ("left", "right"))
    assert left == pytest.approx(right, rel=1e-9)
    carrying = model.start_x + model.end_x < 672
    share = -(by_name["S unbalanced left"].distributed[:, 1] * model.length)[carrying].sum() / left
    assert share == pytest.approx(1.0)


def test_radius_equal_to_span_has_thirty_degrees_at_the_heel() -> None:
    curve = roof_curve(truss(US_SAMPLE, "T2"))
    assert math.degrees(curve.slope[0]) == pytest.approx(30.0, abs=1e-9)
    assert curve.rise / curve.span == pytest.approx(1 - math.sqrt(3) / 2, rel=1e-9)


def test_straight_pieces_between_given_points_have_their_own_slopes() -> None:
    chosen = truss(SLENDER, "C")
    x = np.array([j[0] for n, j in chosen.joints.items() if n in chosen.top])
    y = np.array([j[1] for n, j in chosen.joints.items() if n in chosen.top])
    order = np.argsort(x)
    assert top_y(chosen, x[order]) == pytest.approx(y[order], abs=1e-6)


@settings(max_examples=60)
@given(
    st.lists(st.floats(0.0, 5.0), min_size=2, max_size=6),
    st.lists(st.floats(0.0, 100.0), min_size=2, max_size=6),
)
def test_pieces_together_carry_the_whole_load(pressures: list[float], cuts: list[float]) -> None:
    x = np.linspace(0.0, 100.0, len(pressures))
    edges = np.array(sorted({0.0, *cuts, 100.0}))
    means = _mean_pressure(np.array(pressures), x, edges[:-1], edges[1:])
    assert float((means * np.diff(edges)).sum()) == pytest.approx(float(np.trapezoid(pressures, x)), rel=1e-9, abs=1e-9)


def test_combinations_are_those_of_the_standard_with_every_arrangement() -> None:
    # ASCE 7-16 2.4.1, allowable stress: D; D + (Lr or S). No floor live load and no wind are given; 2,000 lb stand at seven joints in turn.
    _, _, found = load_set(US_SAMPLE, "T2")
    names = {c.name: (c.factors, c.duration) for c in expand(LOADS["asce7_16"], found.kinds)}
    assert names["D"] == ((("D", 1.0),), "permanent")
    assert names["D + Lr left half"] == ((("D", 1.0), ("Lr left half", 1.0)), "construction")
    assert names["D + S unbalanced right"] == ((("D", 1.0), ("S unbalanced right", 1.0)), "snow")
    assert len(names) == 1 + 3 + 7 + 5


# ---------------------------------------------------------------- loads that the survey adds


def with_loads(name: str, mark: str, more: dict, standard: str = "asce7_16", **changes):
    chosen, owner = replace(truss(name, mark), **changes), project(name)
    model = build_frame(chosen, lambda *_: 1.6e6, damaged=False)
    return chosen, model, build_cases(chosen, replace(owner.loads, **more), model, LOADS[standard])


def test_a_concentrated_load_stands_at_each_joint_of_the_bottom_chord_in_turn() -> None:
    _, model, found = with_loads(US_SAMPLE, "T2", {"concentrated": 2000.0})
    names = [n for n in found.kinds["Lr"] if " at " in n]
    assert names == [f"Lr at L{k}" for k in range(1, 8)]
    for name in names:
        case = next(c for c in found.cases if c.name == name)
        row = model.structure.joint_names.index(name.removeprefix("Lr at "))
        assert case.nodal[row, 1] == -2000.0
        assert total(model, case) == pytest.approx(2000.0)
    combinations = {c.name: c for c in expand(LOADS["asce7_16"], found.kinds)}
    assert combinations["D + Lr at L3"].duration == "construction"
    assert [p.forces[0][1] for p in found.pictures if p.forces] == [2000.0]
    _, _, without = with_loads(US_SAMPLE, "T2", {"concentrated": 0.0})
    assert not any(" at " in n for n in without.kinds["Lr"])


def test_given_loads_lie_on_the_balanced_snow_or_stand_alone() -> None:
    sliding = GivenLoad("sliding", "snow", ((0.0, 18 * PSF), (180.0, 18 * PSF)))
    uplift = GivenLoad("uplift", "wind", ((0.0, -12 * PSF), (672.0, -12 * PSF)), ("T2",))
    pond = GivenLoad("pond", "rain", ((100.0, 0.0), (200.0, 30 * PSF), (300.0, 0.0)), ("T3",))
    _, model, found = with_loads(US_SAMPLE, "T2", {"given": (sliding, uplift, pond)})
    by_name = {c.name: c for c in found.cases}
    balanced = total(model, by_name["S balanced"])
    assert total(model, by_name["S sliding"]) == pytest.approx(balanced + 18 * PSF * 180 * 144, rel=1e-9)
    assert total(model, by_name["W uplift"]) == pytest.approx(-12 * PSF * 672 * 144, rel=1e-9)
    assert "R" not in found.kinds
    names = [c.name for c in expand(LOADS["asce7_16"], found.kinds)]
    assert "0.6 D + 0.6 W uplift" in names
    assert "D + 0.45 W uplift + 0.75 S sliding" in names
    _, model, other = with_loads(US_SAMPLE, "T3", {"given": (pond,)})
    case = next(c for c in other.cases if c.name == "R pond")
    assert total(model, case) == pytest.approx(30 * PSF * 200 / 2 * truss(US_SAMPLE, "T3").tributary_width, rel=1e-9)


def test_a_drift_beside_one_truss_is_on_that_truss_only() -> None:
    wall = DriftInput("parapet", "end wall", 72.0, 0.0, 600.0, 72.0, ("T2",))
    snow = replace(project(US_SAMPLE).loads.snow, drifts=(wall,))
    names = [with_loads(US_SAMPLE, mark, {"snow": snow})[2].kinds["S"] for mark in ("T2", "T3")]
    assert "S drift end wall" in names[0]
    assert "S drift end wall" not in names[1]


@pytest.mark.parametrize("standard", ["asce7_16", "asce7_22"])
def test_both_editions_load_the_same_truss(standard: str) -> None:
    """Radius = span, 25 psf, C_t 1.1: p_f = 0.7 x 1.1 x 25 = 19.25 psf in both; 7-22 takes 0.7 of it into the combination."""
    _, model, found = with_loads(US_SAMPLE, "T2", {}, standard)
    case = next(c for c in found.cases if c.name == "S balanced")
    assert total(model, case) == pytest.approx(19.25 * PSF * 672 * 144, rel=1e-6)
    assert found.flat_roof_snow == pytest.approx(19.25 * PSF, rel=1e-9)
    factor = {c.name: dict(c.factors)["S balanced"] for c in expand(LOADS[standard], found.kinds) if "S balanced" in c.name}
    assert factor == ({"D + S balanced": 1.0} if standard == "asce7_16" else {"D + 0.7 S balanced": 0.7})
    strength = expand(LOADS[standard], found.kinds, "strength")
    assert {dict(c.factors)["D"] for c in strength} == {1.4, 1.2}


def test_a_reduced_roof_live_load_by_hand() -> None:
    """672 ft2: R_1 0.6; F = 32 x 0.13397 = 4.287: R_2 0.9856; 20 x 0.6 x 0.9856 = 11.83, at least 12 psf."""
    _, model, found = with_loads(US_SAMPLE, "T2", {"live_reduced": True})
    assert total(model, next(c for c in found.cases if c.name == "Lr full span")) == pytest.approx(12 * PSF * 672 * 144, rel=1e-9)
    assert any("reduced to 12.0 psf (0.57 kPa)" in a for a in found.assumptions)


def moments(model, case, about: float) -> float:
    """Moment of all loads about a point at the height of the heels (in-lb); only vertical loads here."""
    middle = (model.start_x + model.end_x) / 2
    sum_ = float((-case.distributed[:, 1] * model.length * (middle - about)).sum())
    for element, _, fy, distance in case.point:
        x = model.start_x[element] + (model.end_x[element] - model.start_x[element]) * distance / model.length[element]
        sum_ += -fy * (x - about)
    joints = {name: model.structure.joints[k, 0] for k, name in enumerate(model.structure.joint_names)}
    return sum_ + sum(-f * (joints[model.structure.joint_names[k]] - about) for k, f in enumerate(case.nodal[:, 1]))


@settings(max_examples=25)
@given(st.lists(st.floats(5.0, 660.0), min_size=1, max_size=12, unique_by=lambda x: round(x, 2)))
def test_purlins_carry_the_whole_load_and_its_moment(stations: list[float]) -> None:
    """Whatever the purlins' places: the lever rule keeps the resultant. Without purlins the same load lies along the chord."""
    places = tuple(sorted(stations))
    chosen, there, by_purlins = with_loads(US_SAMPLE, "T2", {}, purlins=places)
    along = build_cases(replace(chosen, purlins=()), project(US_SAMPLE).loads, there, LOADS["asce7_16"])
    for one, other in zip(along.cases, by_purlins.cases, strict=True):
        whole = total(there, one)
        assert total(there, other) - sum(fy for _, _, fy, _ in other.point) == pytest.approx(whole, rel=1e-9)
        assert moments(there, other, 0.0) == pytest.approx(moments(there, one, 0.0), rel=1e-9, abs=1e-6)


def test_one_purlin_at_midspan_by_hand() -> None:
    """20 psf over 56 ft: the middle purlin takes half of the load, each heel a quarter."""
    _, model, found = with_loads(US_SAMPLE, "T2", {}, purlins=(336.0,))
    case = next(c for c in found.cases if c.name == "Lr full span")
    whole = 20 * PSF * 672 * 144
    at = {name: -float(f) for name, f in zip(model.structure.joint_names, case.nodal[:, 1], strict=True) if f}
    assert at == pytest.approx({"L0": whole / 4, "U4": whole / 2, "L8": whole / 4})
    assert not case.distributed.any()
    assert not case.point


def test_a_high_purlin_loads_the_chord_nearer_the_eave() -> None:
    """10 in. above the axis where the roof slopes 15 degrees (x from the crown R sin 15): the load acts 10 sin 15 = 2.588 in. toward the eave."""
    x = 336 - 672 * math.sin(math.radians(15))
    _, model, found = with_loads(US_SAMPLE, "T2", {}, purlins=(x, 336.0), purlin_height=10.0)
    case = next(c for c in found.cases if c.name == "Lr full span")
    places = sorted(float(model.structure.joints[k, 0]) for k in np.flatnonzero(case.nodal[:, 1]))
    assert not case.point  # the frame has a joint where each purlin's load acts
    assert places == pytest.approx([0.0, x - 10 * math.sin(math.radians(15)), 336.0, 672.0], abs=1e-6)


def test_a_load_given_by_points_is_nothing_outside_of_them() -> None:
    x, p = over_span(((100.0, 2.0), (200.0, 4.0)), 672.0)
    assert list(x) == [0.0, 100.0, 100.0, 200.0, 200.0, 672.0]
    assert list(p) == [0.0, 0.0, 2.0, 4.0, 0.0, 0.0]
    whole, _ = over_span(((0.0, 1.0), (672.0, 1.0)), 672.0)
    assert list(whole) == [0.0, 672.0]
