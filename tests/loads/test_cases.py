"""Loads on the frame against totals that anyone can add up."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sample_trusses import SLENDER, US_SAMPLE, project, truss

from detailgen.analysis.build import build_frame
from detailgen.loads.cases import _mean_pressure, build_cases
from detailgen.loads.combinations import expand
from detailgen.loads.roof import roof_curve, top_y
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


@settings(max_examples=60, deadline=None)
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
    # ASCE 7-16 2.4.1, allowable stress: D; D + (Lr or S). No floor live load and no wind are given here.
    _, _, found = load_set(US_SAMPLE, "T2")
    names = {c.name: (c.factors, c.duration) for c in expand(LOADS["asce7_16"], found.kinds)}
    assert names["D"] == ((("D", 1.0),), "permanent")
    assert names["D + Lr left half"] == ((("D", 1.0), ("Lr left half", 1.0)), "construction")
    assert names["D + S unbalanced right"] == ((("D", 1.0), ("S unbalanced right", 1.0)), "snow")
    assert len(names) == 1 + 3 + 5
