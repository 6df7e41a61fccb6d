"""The analysis against formulas that can be checked by hand. Each test names where its numbers come from."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from plane_frames import INF, along_element, at_joint, frame, joint_residual, no_load

from detailgen.analysis.frame import combine, solve, solve_stages
from detailgen.model.structure import LoadCase

L, W = 8.0, 3.0
BEAM = {"A": (0.0, 0.0), "B": (L, 0.0)}


def test_propped_cantilever():
    # Source: beam table, fixed and propped, uniform load: w L^2 / 8 at the fixed end, props 5/8 and 3/8, greatest span moment 9/128 w L^2.
    beam = frame(BEAM, [("A", "B")], {"A": "xyr", "B": "y"})
    result = solve(beam, [along_element(beam, 0, (0.0, -W))], stations=9)
    assert result.end_moment[0, 0, 0] == pytest.approx(W * L**2 / 8)
    assert result.moment[0, 0, 0] == pytest.approx(-W * L**2 / 8)
    assert result.moment[0, 0, 5] == pytest.approx(9 / 128 * W * L**2)  # 5/8 of the span from the fixed end
    assert result.reaction[0, 0] == pytest.approx([0.0, 5 / 8 * W * L, W * L**2 / 8], abs=1e-12)
    assert result.reaction[0, 1] == pytest.approx([0.0, 3 / 8 * W * L, 0.0], abs=1e-12)
    assert result.shear[0, 0] == pytest.approx(5 / 8 * W * L - W * L * result.fraction)


def test_point_load_at_a_third():
    # Source: beam table, simple beam, load P at a: P b / L and P a / L, moment P a b / L.
    beam = frame(BEAM, [("A", "B")], {"A": "xy", "B": "y"})
    case = replace(no_load(beam), point=((0, 0.0, -12.0, 2.0), (0, 4.0, 0.0, 2.0)))
    result = solve(beam, [case])
    assert result.moment[0, 0] == pytest.approx([0.0, 12 * 2 * 6 / 8, 12.0, 6.0, 0.0], abs=1e-12)
    assert result.shear[0, 0] == pytest.approx([9.0, 9.0, -3.0, -3.0, -3.0])  # the station at the load has the value before it
    assert result.axial[0, 0] == pytest.approx([4.0, 4.0, 0.0, 0.0, 0.0], abs=1e-12)
    assert result.reaction[0, 0, :2] == pytest.approx([-4.0, 9.0])


def test_point_loads_at_the_ends_of_an_element_go_into_the_joints():
    # Source: statics; a load over a support does not bend the beam.
    beam = frame(BEAM, [("A", "B")], {"A": "xyr", "B": "xyr"})
    result = solve(beam, [replace(no_load(beam), point=((0, 1.0, -5.0, 0.0), (0, 2.0, -7.0, L)))])
    assert np.abs(result.moment).max() < 1e-12
    assert result.reaction[0, :, :2] == pytest.approx(np.array([(-1.0, 5.0), (-2.0, 7.0)]))
    assert result.shear[0, 0, :-1] == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize("stiffness", [1e-3, 50.0, 2000.0, 1e9])
def test_semi_rigid_beam(stiffness):
    # Source: slope deflection of a beam with equal springs at both ends, uniform load: M = (w L^2 / 12) / (1 + 2 E I / (k L)).
    beam = frame(BEAM, [("A", "B")], {"A": "xyr", "B": "xyr"}, spring=stiffness)
    result = solve(beam, [along_element(beam, 0, (0.0, -W))])
    expected = W * L**2 / 12 / (1 + 2 * 1000.0 * 20.0 / (stiffness * L))
    assert result.end_moment[0, 0] == pytest.approx([expected, -expected])
    assert result.moment[0, 0, 2] == pytest.approx(W * L**2 / 8 - expected)


def test_spring_at_one_end_only():
    # Source: slope deflection, fixed at A, spring k to a fixed support at B, uniform load, E I / (k L) = c:
    # M_B (4 c + 1) = w L^2 / 12 (spring turns by M_B / k), M_A = w L^2 / 12 + 2 E I / L M_B / k.
    stiffness = 900.0
    c = 1000.0 * 20.0 / (stiffness * L)
    beam = frame(BEAM, [("A", "B")], {"A": "xyr", "B": "xyr"}, spring=[(INF, stiffness)])
    result = solve(beam, [along_element(beam, 0, (0.0, -W))])
    at_b = W * L**2 / 12 / (1 + 4 * c)
    assert result.end_moment[0, 0] == pytest.approx([W * L**2 / 12 + 2 * c * at_b, -at_b])


def test_inclined_cantilever_under_its_weight():
    # Source: statics. Rise 3, run 4, length 5, vertical load w per length: N(s) = -w sin (L - s), V(s) = w cos (L - s), M = -w cos (L - s)^2 / 2.
    bar = frame({"A": (0.0, 0.0), "B": (4.0, 3.0)}, [("A", "B")], {"A": "xyr"})
    result = solve(bar, [along_element(bar, 0, (0.0, -W))], stations=6)
    rest = 5.0 * (1.0 - result.fraction)
    assert result.axial[0, 0] == pytest.approx(-W * 0.6 * rest, abs=1e-10)
    assert result.shear[0, 0] == pytest.approx(W * 0.8 * rest, abs=1e-10)
    assert result.moment[0, 0] == pytest.approx(-W * 0.8 * rest**2 / 2, abs=1e-10)
    # Source: tip deflection across the bar w cos L^4 / (8 E I) and along it w sin L^2 / (2 E A).
    across, along = W * 0.8 * 5**4 / (8 * 20000.0), W * 0.6 * 25 / (2 * 10000.0)
    assert result.displacement[0, 1, :2] == pytest.approx([0.6 * across - 0.8 * along, -0.8 * across - 0.6 * along])


def test_element_cut_in_two_gives_the_same_forces_within():
    # Source: a joint in the middle of a straight stiff bar changes nothing.
    whole = frame({"A": (0.0, 0.0), "B": (4.0, 3.0)}, [("A", "B")], {"A": "xyr", "B": "xy"}, spring=[(700.0, 0.0)])
    halves = frame(
        {"A": (0.0, 0.0), "C": (2.0, 1.5), "B": (4.0, 3.0)}, [("A", "C"), ("C", "B")], {"A": "xyr", "B": "xy"}, spring=[(700.0, INF), (INF, 0.0)]
    )
    one = replace(along_element(whole, 0, (2.0, -W)), point=((0, 1.0, -6.0, 3.5),))
    two = along_element(halves, 0, (2.0, -W))
    two.distributed[1] = two.distributed[0]
    two = replace(two, point=((1, 1.0, -6.0, 1.0),))
    long, short = solve(whole, [one], stations=11), solve(halves, [two], stations=6)
    for name in ("axial", "shear", "moment"):
        pieces = getattr(short, name)[0]
        assert getattr(long, name)[0, 0] == pytest.approx(np.append(pieces[0, :-1], pieces[1])), name


def test_strain_of_a_held_bar():
    # Source: N = -E A strain between two fixed ends; free to lengthen by strain L otherwise.
    held = frame(BEAM, [("A", "B")], {"A": "xyr", "B": "xyr"})
    case = no_load(held)
    case.strain[0] = 2e-3
    assert solve(held, [case]).axial[0, 0] == pytest.approx(-1000.0 * 10.0 * 2e-3)
    free = solve(replace(held, fixed=np.array([[True] * 3, [False] * 3])), [case])
    assert free.displacement[0, 1, 0] == pytest.approx(2e-3 * L)
    assert np.abs(free.axial).max() < 1e-12


def test_settlement_is_read_only_where_the_support_holds():
    # Source: 3 E I delta / L^2 at the fixed end of a propped beam whose prop sinks by delta.
    beam = frame(BEAM, [("A", "B")], {"A": "xyr", "B": "y"})
    case = no_load(beam)
    case.settlement[1] = (9.0, -0.01, 9.0)
    result = solve(beam, [case])
    assert result.end_moment[0, 0, 0] == pytest.approx(3 * 20000.0 * 0.01 / L**2)
    assert result.displacement[0, 1, 1] == -0.01
    assert result.displacement[0, 1, 0] == pytest.approx(0.0, abs=1e-12)


def test_offset_carries_a_load_on_the_element_to_the_joint():
    # Source: statics of a bar whose axis lies 2 above both joints: a horizontal line load p makes a couple p L 2 on the pair of supports.
    beam = replace(frame(BEAM, [("A", "B")], {"A": "xy", "B": "y"}), offset=np.array([[(0.0, 2.0), (0.0, 2.0)]]))
    result = solve(beam, [along_element(beam, 0, (W, 0.0))])
    assert result.reaction[0, :, :2] == pytest.approx(np.array([(-W * L, -2 * W), (0.0, 2 * W)]))


def test_combinations_are_sums():
    # Source: superposition.
    beam = frame(BEAM, [("A", "B")], {"A": "xyr", "B": "y"})
    cases = [along_element(beam, 0, (0.0, -W), "dead"), at_joint(beam, "B", (5.0, 0.0, 2.0), "wind")]
    single = solve(beam, cases)
    both = combine(single, ("D", "D + W", "0.6 D - W"), np.array([(1.0, 0.0), (1.0, 1.0), (0.6, -1.0)]))
    assert both.names == ("D", "D + W", "0.6 D - W")
    for name in ("displacement", "reaction", "axial", "shear", "moment", "end_moment"):
        rows, mixed = getattr(single, name), getattr(both, name)
        assert mixed[0] == pytest.approx(rows[0]), name
        assert mixed[2] == pytest.approx(0.6 * rows[0] - rows[1]), name
    with pytest.raises(ValueError, match="factors"):
        combine(single, ("D",), np.ones((1, 3)))


THREE = {"A": (0.0, 0.0), "B": (4.0, 0.0), "C": (0.0, 3.0)}


def two_bars_at_b():
    return frame(THREE, [("A", "B"), ("C", "B"), ("A", "B")], {"A": "xy", "C": "xy"}, I=0.0, spring=0.0)


def test_prop_taken_away_hands_its_force_on():
    # Source: statics. Two equal bars side by side share the force; when one is cut out, the other carries all of it and the structure
    # stands as if it had been built without the one that went.
    frame_ = two_bars_at_b()
    case = at_joint(frame_, "B", (0.0, -6.0, 0.0), "D")
    everything, without = np.array([True, True, True]), np.array([True, True, False])
    staged = solve_stages(frame_, [case], [(everything, {"D": 1.0}), (without, {})])
    alone = solve(frame_, [case], active=without)
    assert staged.names == ("stage 1", "stage 2")
    assert staged.axial[0, :, 0] == pytest.approx([-4.0, 10.0, -4.0])
    assert staged.axial[1, :, 0] == pytest.approx([-8.0, 10.0, 0.0], abs=1e-12)
    assert staged.displacement[1] == pytest.approx(alone.displacement[0])
    assert staged.reaction[1] == pytest.approx(alone.reaction[0])


def test_load_of_a_stage_goes_with_its_element():
    # Source: statics. The beam C-B with its own load is cut out again: nothing of its weight stays in the cantilever A-B.
    beams = frame({"A": (0.0, 0.0), "B": (4.0, 0.0), "C": (8.0, 0.0)}, [("A", "B"), ("B", "C")], {"A": "xyr", "C": "y"})
    weight = along_element(beams, 1, (0.0, -W), "weight")
    staged = solve_stages(beams, [weight], [(np.array([True, True]), {"weight": 2.0}), (np.array([True, False]), {})])
    assert np.abs(staged.moment[0]).max() > 1.0
    assert np.abs(staged.moment[1]).max() < 1e-10
    assert np.abs(staged.reaction[1]).max() < 1e-10


def test_new_element_starts_free_of_stress():
    # Source: closed form, bars of A1 = A2 in a row of stages: 30 on the first alone, then 20 shared equally.
    pair = frame(BEAM, [("A", "B"), ("A", "B")], {"A": "xy", "B": "y"}, I=0.0, spring=0.0)
    cases = [at_joint(pair, "B", (30.0, 0.0, 0.0), "D"), at_joint(pair, "B", (10.0, 0.0, 0.0), "S")]
    staged = solve_stages(pair, cases, [(np.array([True, False]), {"D": 1.0}), (np.array([True, True]), {"S": 2.0})])
    assert staged.axial[:, :, 0] == pytest.approx(np.array([(30.0, 0.0), (40.0, 10.0)]))
    with pytest.raises(ValueError, match="stage"):
        solve_stages(pair, cases, [])
    with pytest.raises(ValueError, match="wind"):
        solve_stages(pair, cases, [(np.array([True, True]), {"wind": 1.0})])


def test_forces_read_at_the_stations_balance_every_joint():
    # Source: equilibrium of a joint, written from the sign rules of FrameResult.
    structure = frame(THREE, [("A", "B"), ("C", "B"), ("A", "C")], {"A": "xy", "C": "x"}, spring=[(INF, 500.0), (0.0, INF), (INF, INF)])
    structure.offset[0, 1] = (0.1, -0.3)
    case: LoadCase = replace(along_element(structure, 1, (1.0, -W)), point=((0, 2.0, -4.0, 1.0),))
    result = solve(structure, [case])
    left = joint_residual(structure, case, result.axial[0], result.shear[0], result.moment[0], result.reaction[0])
    assert np.abs(left).max() < 1e-9
