"""Net sections, axes and shares against hand values."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from sample_trusses import US_SAMPLE, truss

from detailgen.analysis.build import build_frame
from detailgen.assessment.bolts import direction, group_of_connection, group_of_splice, turn
from detailgen.assessment.connections import reverses
from detailgen.assessment.sections import Hole, depth_at_connection, hole_groups, net_section, what_is_left


def hole(along: float, across: float, bolt: float = 0.75) -> Hole:
    return Hole(along, across, bolt + 1 / 16, bolt)


def test_two_holes_abreast_by_hand() -> None:
    area, modulus = net_section(2.5, 9.5, (hole(0, 2), hole(0, -2)))
    assert area == pytest.approx(2.5 * (9.5 - 2 * 0.8125))
    inertia = 2.5 * 9.5**3 / 12 - 2 * (2.5 * 0.8125**3 / 12 + 2.5 * 0.8125 * 2**2)
    assert modulus == pytest.approx(inertia / 4.75)


def test_one_row_along_the_grain_counts_once() -> None:
    assert net_section(2.5, 9.5, (hole(0, 0), hole(3.5, 0), hole(7, 0)))[0] == pytest.approx(2.5 * (9.5 - 0.8125))


@pytest.mark.parametrize(("pitch", "count"), [(2.9, 2), (3.1, 1)])
def test_staggered_holes_closer_than_four_diameters_count_together(pitch: float, count: int) -> None:
    # NDS 2018 3.1.2.2: 4 D = 3 in. for a 3/4 in. bolt (from memory)
    assert net_section(2.5, 9.5, (hole(0, 2), hole(pitch, -2)))[0] == pytest.approx(2.5 * (9.5 - count * 0.8125))


@given(st.floats(-3.2, 3.2), st.floats(-3.2, 3.2), st.lists(st.tuples(st.floats(-9, 9), st.floats(-9, 9)), min_size=2, max_size=5))
def test_turning_keeps_every_distance(along: float, into: float, positions: list[tuple[float, float]]) -> None:
    bolts = np.array(positions)
    turned = turn(bolts, along, into)
    for a in range(len(bolts)):
        for b in range(a):
            assert math.dist(turned[a], turned[b]) == pytest.approx(math.dist(bolts[a], bolts[b]), abs=1e-9)


def test_across_is_up_at_both_heels() -> None:
    above = np.array([[8.0, 2.0]])
    assert turn(above, 0.0, 0.0)[0] == pytest.approx([8.0, 2.0])
    assert turn(above, math.pi, 0.0)[0] == pytest.approx([-8.0, 2.0])


def test_tangent_of_the_curved_chord() -> None:
    chosen = truss(US_SAMPLE, "T2")
    top = chosen.member("top chord")
    assert math.degrees(direction(chosen, top, "L0")) == pytest.approx(30.0)
    assert direction(chosen, top, "U4") == pytest.approx(0.0, abs=1e-12)


def test_a_web_end_sees_the_chord_at_the_web_angle() -> None:
    chosen = truss(US_SAMPLE, "T2")
    model = build_frame(chosen, lambda *_: 1.6e6, damaged=False)
    (connection,) = [c for c in chosen.connections if c.member == "U3-L4" and c.joint == "L4"]
    (run,) = group_of_connection(chosen, model, connection).runs
    assert [p.side for p in run.parts] == ["other", "member", "other"]
    dx, dy = (a - b for a, b in zip(chosen.joints["U3"], chosen.joints["L4"], strict=True))
    chord = run.parts[0]
    assert chord.load_angle == pytest.approx(math.atan2(dy, dx))
    assert chord.bolts[0] == pytest.approx([1.5 * dx / math.hypot(dx, dy), 1.5 * dy / math.hypot(dx, dy)])
    assert run.share == pytest.approx(1.0)


def test_a_heel_between_plates_has_one_run_for_each_ply() -> None:
    chosen = truss(US_SAMPLE, "T2")
    model = build_frame(chosen, lambda *_: 1.6e6, damaged=False)
    (connection,) = [c for c in chosen.connections if c.member == "bottom chord" and c.joint == "L8"]
    runs = group_of_connection(chosen, model, connection).runs
    assert [[p.name for p in r.parts] for r in runs] == [
        ["steel plate", "far ply of bottom chord", "steel plate"], ["steel plate", "near ply of bottom chord", "steel plate"],
    ]  # fmt: skip
    assert [r.share for r in runs] == pytest.approx([0.5, 0.5])


def test_a_bolt_through_a_filler_drills_the_ply_behind_but_loads_it_not() -> None:
    chosen = truss(US_SAMPLE, "T2")
    model = build_frame(chosen, lambda *_: 1.6e6, damaged=False)
    group = group_of_splice(chosen, model, chosen.splices[0])
    assert {p.ply for p in group.drilled} == {"near", "far"}
    (run,) = group.runs
    assert [p.name for p in run.parts] == ["steel plate", "near ply of bottom chord", "steel plate"]


@pytest.mark.parametrize(
    ("forces", "answer"),
    [
        ((1000.0, 900.0), False), ((10000.0, -400.0), False), ((10000.0, -501.0), True), ((20000.0, -501.0), True),
        ((100.0, -6.0), True), ((-800.0, 0.0), False),
    ],
)  # fmt: skip
def test_reversal_rule(forces: tuple[float, float], answer: bool) -> None:
    # Ours: opposite force over 5 % of the governing one or over 500 lb
    assert reverses(np.array(forces)) is answer


@pytest.mark.parametrize(("across", "depth"), [((0.0,), 4.75), ((2.0, -2.0), 6.75), ((1.0, 2.0), 3.75), ((-2.0,), 2.75), ((3.0, -1.0), 5.75)])
def test_depth_that_counts_for_shear_at_a_connection(across: tuple[float, ...], depth: float) -> None:
    # NDS 3.4.3.3: depth less the distance from the unloaded edge to the nearest bolt; either edge may be the loaded one, the smaller counts.
    assert depth_at_connection(9.5, tuple(hole(0, a) for a in across)) == pytest.approx(depth)


def test_where_connections_hang_load_on_the_sample_chord() -> None:
    chosen = truss(US_SAMPLE, "T2")
    model = build_frame(chosen, lambda *_: 1.6e6, damaged=False)
    chord, pair = chosen.member("bottom chord"), ("L3", "L4")
    holes = hole_groups(chosen, model)
    station = np.linspace(0.0, 84.0, 9)  # a panel of 7 ft
    part = next(p for p in model.parts["L3-L4"] if p.ply == "near")
    left = what_is_left(chosen, chord, pair, part, model.parts["L3-L4"], station, holes, damaged=False)
    hung = np.isfinite(left.connection_depth)
    assert hung[0]
    assert hung[-1]
    assert np.array_equal(hung, np.isfinite(left.connection_to_end))
    assert np.all(left.connection_depth[hung] <= part.depth)
    cuts = [s.x for s in chosen.splices if s.chord == "bottom chord" and s.ply == "near"]
    at_L3, at_L4 = 21 * 12.0, 28 * 12.0
    for k, x in ((0, at_L3), (-1, at_L4)):
        nearest = min(abs(x - stop) for stop in (0.0, chosen.span, *cuts))
        assert left.connection_to_end[k] <= nearest + 1e-9
