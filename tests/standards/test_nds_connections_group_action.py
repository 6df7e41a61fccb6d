"""Rows of bolts and the group action factor."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from nds_connection_requests import checks, grid, member, only, plate, steps_of, wood_side

from detailgen.core.clause import Calculation
from detailgen.core.errors import OutOfRange
from detailgen.standards.nds_2018.group_action import C_g, group_action, rows_along, rows_that_count


def spring_chain(n, s, slip, EA_m, EA_s):
    """Group action worked out another way: n equal springs between two bars, loaded at opposite ends; mean over greatest bolt force.

    In bay i between bolts the main bar carries what is still in it, the side bar the rest; slips differ by the bars' stretch.
    """
    A, b = np.zeros((n, n)), np.zeros(n)
    for i in range(n - 1):  # slip_i+1 - slip_i = s (N_side / EA_s - N_main / EA_m), N_main = 1 - sum of bolts to i, N_side = that sum
        A[i, i], A[i, i + 1] = -1 / slip, 1 / slip
        A[i, : i + 1] -= s * (1 / EA_s + 1 / EA_m)
        b[i] = -s / EA_m
    A[n - 1, :], b[n - 1] = 1.0, 1.0
    bolts = np.linalg.solve(A, b)
    return 1 / (n * bolts.max())


@settings(max_examples=80)
@given(
    n=st.integers(1, 12), s=st.floats(1.5, 8.0), d=st.floats(0.25, 1.0), main=st.floats(5e6, 2e8), side=st.floats(5e6, 2e8),
)  # fmt: skip
def test_factor_equals_a_chain_of_springs(n, s, d, main, side):
    slip = 180000.0 * d**1.5
    assert float(C_g(n, s, d, slip, main, 1.0, side, 1.0)) == pytest.approx(spring_chain(n, s, slip, main, side), rel=1e-6)


def test_thin_fasteners_have_no_group_action():
    assert float(C_g(8, 4.0, 0.24, 20000.0, 1.4e6, 5.0, 1.4e6, 5.0)) == 1.0


def test_a_row_without_spacing_is_refused():
    with pytest.raises(OutOfRange):
        C_g(3, 0.0, 0.75, 1e5, 1.4e6, 5.0, 1.4e6, 5.0)


@pytest.mark.parametrize(
    ("members", "D", "slip"),
    [("wood and wood", 0.75, 116913.4), ("wood and steel", 0.75, 175370.1), ("4 in. split ring or shear plate", 0.75, 500000.0)],
)
def test_load_slip_by_hand(members, D, slip):
    """180,000 x 0.75^1.5 = 116,913; 270,000 x 0.75^1.5 = 175,370; rings do not depend on D (from memory)."""
    sheet = Calculation()
    group_action(rows_along(grid(8, 4, 3)), D, members, (1.7e6, 20.0), (1.7e6, 20.0), sheet)
    assert {s.symbol: s.value for s in sheet.steps()}["gamma"] == pytest.approx(slip, rel=1e-6)


def test_rows_follow_the_load():
    bolts = grid(0, 4, 3, (-2, 2))
    assert [len(r.along) for r in rows_along(bolts, 0.0)] == [3, 3]
    assert [len(r.along) for r in rows_along(bolts, math.pi / 2)] == [2, 2, 2]
    near = bolts + np.array([[0, 0], [0, 0.05], [0, -0.01], [0, 0], [0, 0.06], [0, 0.01]])
    assert [len(r.along) for r in rows_along(near, math.pi)] == [3, 3]


def staggered(apart, rows=2, shift=4.0):
    return np.vstack([grid(6 + shift * (k % 2), 2 * shift, 3, (k * apart,)) for k in range(rows)])


def test_close_staggered_rows_count_as_one():
    """11.3.6.2: closer than a quarter of the distance along the rows between the nearest bolts of neighbour rows (here 4 in.)."""
    assert [len(r.along) for r in rows_that_count(rows_along(staggered(0.9)))] == [6]
    assert [len(r.along) for r in rows_that_count(rows_along(staggered(1.0)))] == [3, 3]
    assert [len(r.along) for r in rows_that_count(rows_along(staggered(0.9, rows=4)))] == [6, 6]
    assert [len(r.along) for r in rows_that_count(rows_along(staggered(0.9, rows=3)))] == [9]


def test_the_connection_uses_the_rows_along_the_load():
    bolts = grid(6, 3, 4, (-2, 2))
    result = only(checks(plate("a", bolts), member(bolts=bolts), plate("b", bolts), axial=[5000.0]), "bolts")
    steps = steps_of(result)
    hand = C_g(4, 3.0, 0.75, 270000 * 0.75**1.5, 1.7e6, 2.5 * 9.25, 29e6, 2 * 0.25 * 6)
    assert steps["C_g"] == pytest.approx(float(hand), rel=1e-9)
    assert next(s for s in result.steps if s.symbol == "C").terms[1].value == 4


def test_area_of_a_part_loaded_across_its_grain():
    """11.3.6.3: thickness times the width of the group along the grain; for one line of bolts 4 D (the latter from memory)."""
    bolts = grid(8, 4, 2)
    across = np.column_stack([np.zeros(2), [-3.0, 1.0]])
    steps = only(checks(wood_side(bolts=across, angle=math.pi / 2), member(bolts=bolts), axial=[500.0]), "bolts").steps
    areas = {t.symbol: t.value for s in steps for t in s.terms if t.symbol in ("A_m", "A_s")}
    assert areas["A_m"] == pytest.approx(2.5 * 9.25)
    assert areas["A_s"] == pytest.approx(2.5 * 3.0)
