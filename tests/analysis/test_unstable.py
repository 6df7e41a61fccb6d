"""Structures that cannot stand are refused with the joint that moves; structures that look like them are not. Source: statics."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from plane_frames import INF, along_element, at_joint, bowstring, frame, no_load, roof_cases

from detailgen.analysis.frame import Unstable, solve

SQUARE = {"A": (0.0, 0.0), "B": (10.0, 0.0), "C": (10.0, 10.0), "D": (0.0, 10.0)}
SIDES = [("A", "B"), ("B", "C"), ("C", "D"), ("D", "A")]


def turned(structure, angle):
    c, s = np.cos(angle), np.sin(angle)
    return replace(structure, joints=structure.joints @ np.array([(c, s), (-s, c)]))


def refusal(structure, case=None, **options):
    with pytest.raises(Unstable) as caught:
        solve(structure, [no_load(structure) if case is None else case], **options)
    assert caught.value.joint in str(caught.value)
    return caught.value.joint, caught.value.direction


def test_square_without_diagonal():
    square = frame(SQUARE, SIDES, {"A": "xy", "B": "y"}, I=0.0, spring=0.0)
    joint, direction = refusal(square)
    assert joint in ("C", "D")
    assert direction == "x"


@pytest.mark.parametrize("angle", [0.0, 0.3, 1.0, np.pi / 2])
def test_square_without_diagonal_turned(angle):
    square = turned(frame(SQUARE, SIDES, {"A": "xy", "B": "xy"}, I=0.0, spring=0.0), angle)
    joint, direction = refusal(square)
    assert joint in ("C", "D")
    assert direction == ("x" if angle < np.pi / 4 else "y")


def test_square_with_diagonal_stands():
    square = frame(SQUARE, [*SIDES, ("A", "C")], {"A": "xy", "B": "y"}, I=0.0, spring=0.0)
    assert np.abs(solve(square, [at_joint(square, "C", (1.0, 0.0, 0.0))]).axial).max() == pytest.approx(np.sqrt(2.0))


def test_square_with_stiff_corners_stands():
    square = frame(SQUARE, SIDES, {"A": "xy", "B": "y"})
    assert np.isfinite(solve(square, [at_joint(square, "C", (1.0, 0.0, 0.0))]).axial).all()


def test_diagonal_that_is_not_active():
    square = frame(SQUARE, [*SIDES, ("A", "C")], {"A": "xy", "B": "y"}, I=0.0, spring=0.0)
    joint, direction = refusal(square, active=np.array([True] * 4 + [False]))
    assert (joint in ("C", "D"), direction) == (True, "x")


def test_too_few_supports():
    beam = frame({"A": (0.0, 0.0), "B": (10.0, 0.0)}, [("A", "B")], {"A": "y", "B": "y"})
    assert refusal(beam)[1] == "x"
    pinned_once = frame({"A": (0.0, 0.0), "B": (10.0, 0.0)}, [("A", "B")], {"A": "xy"})
    assert refusal(pinned_once) == ("B", "y")
    assert refusal(replace(bowstring(), fixed=np.zeros_like(bowstring().fixed)))[0] in bowstring().joint_names


def test_bowstring_on_one_pin():
    truss = bowstring()
    fixed = truss.fixed.copy()
    fixed[8] = False
    assert refusal(replace(truss, fixed=fixed)) == ("B8", "y")


@pytest.mark.parametrize("angle", [0.0, 1e-8, 0.1, 0.7, np.pi / 2])
def test_middle_joint_of_two_bars_in_line(angle):
    line = frame({"A": (0.0, 0.0), "M": (0.1 + 0.2, 0.0), "B": (1.0, 0.0)}, [("A", "M"), ("M", "B")], {"A": "xy", "B": "xy"}, I=0.0, spring=0.0)
    assert refusal(turned(line, angle)) == ("M", "y" if angle < np.pi / 4 else "x")


def test_middle_joint_nearly_in_line_within_the_rounding_of_a_survey():
    line = frame({"A": (0.0, 0.0), "M": (50.0, 1e-7), "B": (100.0, 0.0)}, [("A", "M"), ("M", "B")], {"A": "xy", "B": "xy"}, I=0.0, spring=0.0)
    assert refusal(line) == ("M", "y")


def test_three_hinges_in_a_span():
    beam = frame(
        {"A": (0.0, 0.0), "M": (5.0, 0.0), "B": (10.0, 0.0)}, [("A", "M"), ("M", "B")], {"A": "xy", "B": "y"}, spring=[(INF, 0.0), (0.0, INF)]
    )
    assert refusal(beam) == ("M", "y")


def test_moment_on_a_joint_that_nothing_turns_with():
    square = frame(SQUARE, [*SIDES, ("A", "C")], {"A": "xy", "B": "y"}, spring=0.0)
    assert refusal(square, at_joint(square, "C", (0.0, 0.0, 5.0))) == ("C", "rotation")


@pytest.mark.parametrize("angle", [0.0, 0.3, 1.1, 2.0])
def test_arm_in_line_with_its_pinned_bar_can_turn(angle):
    line = turned(frame({"A": (0.0, 0.0), "B": (10.0, 0.0)}, [("A", "B")], {"A": "xy", "B": "xy"}, spring=0.0), angle)
    line.offset[0, 1] = (-np.cos(angle), -np.sin(angle))
    assert refusal(line) == ("B", "rotation")


def test_load_on_a_joint_without_active_element():
    square = frame(SQUARE, [*SIDES, ("A", "C")], {"A": "xy", "B": "y"}, I=0.0, spring=0.0)
    only_bottom = np.array([True, False, False, False, False])
    assert refusal(square, at_joint(square, "D", (0.0, -5.0, 0.0)), active=only_bottom) == ("D", "y")
    result = solve(square, [at_joint(square, "B", (3.0, 0.0, 0.0))], active=only_bottom)
    assert result.axial[0, :, 0] == pytest.approx([3.0, 0.0, 0.0, 0.0, 0.0])


def test_bowstring_with_pinned_webs_stands():
    truss = bowstring()
    result = solve(truss, roof_cases(truss))
    assert np.isfinite(result.moment).all()
    webs = result.end_moment[:, 16:]
    assert np.abs(webs).max() == 0.0


def test_slender_rods_and_many_pieces_stand():
    # A chord of 80 pieces and a rod a thousand times softer in bending than along its axis: soft, and stable.
    names = {f"P{number}": (float(number), 0.3 * number) for number in range(81)}
    bars = [(f"P{number}", f"P{number + 1}") for number in range(80)]
    rod = frame(names, bars, {"P0": "xyr"}, A=1000.0, I=1e-3)
    result = solve(rod, [at_joint(rod, "P80", (0.0, -1e-6, 0.0))])
    length = 80.0 * np.hypot(1.0, 0.3)
    # Source: cantilever, P L^3 / (3 E I) across the bar, seen vertically.
    cos = 1.0 / np.hypot(1.0, 0.3)
    assert result.displacement[0, 80, 1] == pytest.approx(-1e-6 * cos**2 * length**3 / (3 * 1000.0 * 1e-3), rel=1e-3)


def test_impossible_values_are_named():
    beam = frame({"A": (0.0, 0.0), "B": (10.0, 0.0)}, [("A", "B")], {"A": "xyr"})
    for change in ({"A": np.array([0.0])}, {"E": np.array([np.nan])}, {"I": np.array([-1.0])}, {"joints": np.zeros((2, 2))}):
        with pytest.raises(ValueError, match="member A-B"):
            solve(replace(beam, **change), [no_load(beam)])
    with pytest.raises(ValueError, match="A-B"):
        solve(replace(beam, spring=np.array([[-1.0, INF]])), [no_load(beam)])
    with pytest.raises(ValueError, match="shape"):
        solve(replace(beam, A=np.ones(2)), [no_load(beam)])
    with pytest.raises(ValueError, match="does not exist"):
        solve(replace(beam, ends=np.array([[0, 2]])), [no_load(beam)])
    with pytest.raises(ValueError, match="sleet"):
        solve(beam, [along_element(beam, 0, (0.0, np.nan), "sleet")])
    for point in ((0, 0.0, 1.0, 10.5), (0, 0.0, 1.0, -0.5), (3, 0.0, 1.0, 1.0)):
        with pytest.raises(ValueError, match="hail"):
            solve(beam, [replace(no_load(beam, "hail"), point=(point,))])
    with pytest.raises(ValueError, match="No element"):
        solve(beam, [no_load(beam)], active=np.array([False]))
    with pytest.raises(ValueError, match="at least"):
        solve(beam, [])


def test_a_mechanism_among_thousands_of_equations_is_found_too():
    """Over a thousand equations the softest motion is sought in another way. A chain of pinned bars in line, held at both ends."""
    names = {f"P{k}": (float(k), 0.0) for k in range(601)}
    structure = frame(names, [(f"P{k}", f"P{k + 1}") for k in range(600)], {"P0": "xy", "P600": "xy"}, spring=0.0)
    with pytest.raises(Unstable):
        solve(structure, [no_load(structure)])
    stiff = frame(names, [(f"P{k}", f"P{k + 1}") for k in range(600)], {"P0": "xyr", "P600": "xyr"}, I=2e4)
    assert np.isfinite(solve(stiff, [no_load(stiff)]).moment).all()
