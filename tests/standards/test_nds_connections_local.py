"""Appendix E: printed examples through the whole check, hand values, and the holes of one section."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from nds_connection_requests import HEM_FIR, checks, grid, member, only, plate, steps_of, wood_side

from detailgen.core.result import State
from detailgen.standards.interface import WoodGrade
from detailgen.standards.nds_2018.group_action import rows_along
from detailgen.standards.nds_2018.local_stress import holes_in_one_section, local_values


def example_e7():
    bolts = grid(3.5, 2, 3)
    return checks(
        wood_side("post", 3.5, bolts, half_depth=1.75, wood=HEM_FIR), member("2x4", 1.5, bolts, half_depth=1.75, wood=HEM_FIR),
        axial=[1000.0], diameter=0.5,
    )  # fmt: skip


def test_example_e7_through_the_whole_check():
    """NDS Appendix E, example E.7 as restated in the AWC errata of March 2019: 3 bolts 1/2 in. in a 2x4 give nZ 1,650, Z_NT 3,470, Z_RT 1,350 lb
    without C_g. Row tear-out governs though the spacing of 4 D is the full one."""
    results = example_e7()
    assert only(results, "net section at the bolts").capacity == pytest.approx(3470, abs=5)
    assert only(results, "row tear-out").capacity == pytest.approx(1350, abs=0.5)
    steps = steps_of(only(results, "bolts"))
    assert next(value for symbol, value in steps.items() if symbol.startswith("Z, mode")) == pytest.approx(550, abs=5)
    assert steps["C_delta"] == 1.0
    assert only(results, "row tear-out").capacity < only(results, "bolts").capacity
    assert not [r for r in results if r.check == "group tear-out"]


def test_example_e6_by_its_layout():
    """Example E.6 (from memory): staggered 3-2-3 one-inch bolts in a 3-1/8 x 12 glulam of axial combination 2, plates on both faces.

    Printed: Z_NT 34,424, Z_RT 26,500, Z_GT 21,169 lb with F_v' 265 psi. Here glulam at connections counts 0.72 of that (5.3.10):
    19,080 lb and 11,230.5 + 9,937.5 x 0.72 = 18,385.5 lb. Editions differ in it; the net section and the value of a bolt are the printed ones."""
    glulam = WoodGrade("glulam", "Douglas Fir-Larch", "combination 2")
    bolts = np.vstack([grid(7, 4, 3, (-2.5,)), grid(9, 4, 2, (0.0,)), grid(7, 4, 3, (2.5,))])
    results = checks(plate("a", bolts), member("chord", 3.125, bolts, half_depth=6.0, wood=glulam), plate("b", bolts), axial=[10000.0], diameter=1.0)
    assert only(results, "net section at the bolts").capacity == pytest.approx(34424, abs=1)
    assert only(results, "row tear-out").capacity == pytest.approx(26500 * 0.72, abs=1)
    assert only(results, "group tear-out").capacity == pytest.approx(18385.5, abs=1)
    assert steps_of(only(results, "bolts"))["Z, mode I_m"] == pytest.approx(4380, abs=10)


def test_group_tear_out_counts_half_of_the_outer_rows():
    """t 2.5, two rows 4 in. apart of 4 bolts at 3 in., end 6 in., hole 13/16: F_v' 180, F_t' 675 x 1.1 = 742.5 psi (No.1, 2x10 width).
    Rows 4 x 180 x 2.5 x 3 = 5,400 each; net between them 2.5 x (4 - 0.8125) = 7.96875 in2."""
    bolts = grid(6, 3, 4, (-2, 2))
    results = checks(plate("a", bolts), member(bolts=bolts), plate("b", bolts), axial=[5000.0])
    assert only(results, "row tear-out").capacity == pytest.approx(10800, rel=1e-6)
    assert only(results, "group tear-out").capacity == pytest.approx(5400 + 742.5 * 7.96875, rel=1e-6)
    assert only(results, "net section at the bolts").capacity == pytest.approx(742.5 * 2.5 * (9.25 - 2 * 0.8125), rel=1e-6)


def test_end_distance_under_the_spacing_is_the_critical_one():
    bolts = grid(2.75, 4, 2)
    torn = only(checks(plate("a", bolts), member(bolts=bolts), plate("b", bolts), axial=[100.0]), "row tear-out")
    assert torn.capacity == pytest.approx(2 * 180 * 2.5 * 2.75, rel=1e-6)


def test_no_tear_out_in_compression_or_where_the_part_runs_through():
    bolts = grid(6, 3, 2)
    parts = (plate("a", bolts), member(bolts=bolts), plate("b", bolts))
    assert not [r for r in checks(*parts, axial=[-1000.0]) if r.check == "row tear-out"]
    assert not [r for r in checks(plate("a", bolts), member(bolts=bolts, end=-math.inf), axial=[1000.0]) if r.check == "row tear-out"]


def test_a_wood_side_part_tears_towards_its_own_end():
    """A splice piece 6 in. long beyond the last bolt is pulled towards that end; it carries half of the force."""
    bolts = grid(6, 3, 3)
    sides = [wood_side(n, 1.5, bolts, end=12 + 6.0) for n in "ab"]
    torn = only(checks(sides[0], member(thickness=5.5, bolts=bolts), sides[1], axial=[3000.0]), "row tear-out")
    assert torn.demand == pytest.approx(1500)
    assert torn.capacity == pytest.approx(3 * 180 * 1.5 * 3, rel=1e-6)
    assert any(s.symbol == "F_v of a" for s in torn.steps)


def test_condition_and_duration_reduce_local_stress_too():
    bolts = grid(6, 3, 2)
    sound = only(checks(plate("a", bolts), member(bolts=bolts), axial=[100.0]), "row tear-out").capacity
    worn = checks(plate("a", bolts), member(bolts=bolts, condition=0.8), axial=[100.0], durations=["snow"])
    assert only(worn, "row tear-out").capacity == pytest.approx(sound * 0.8 * 1.15, rel=1e-6)


def test_over_one_does_not_pass():
    result = only(checks(plate(), member(), plate(), axial=[2000.0]), "row tear-out")
    hand = 180 * 2.5 * 8
    assert result.ratio == pytest.approx(2000 / hand, rel=1e-6)
    assert result.state is State.PASSES
    assert only(checks(plate(), member(), plate(), axial=[3700.0]), "row tear-out").state is State.DOES_NOT_PASS


@pytest.mark.parametrize(("shift", "holes"), [(0.0, 2), (2.9, 2), (3.0, 1), (4.0, 1)])
def test_staggered_holes_closer_than_four_diameters_share_a_section(shift, holes):
    """3.1.2.2 with D 3/4: 4 D = 3 in."""
    bolts = np.vstack([grid(8, 8, 3, (-2.0,)), grid(8 + shift, 8, 3, (2.0,))])
    assert holes_in_one_section(rows_along(bolts), 0.75) == holes


@settings(max_examples=40)
@given(t=st.floats(1.5, 6), w=st.floats(8, 14), n=st.integers(1, 6), rows=st.integers(1, 3), s=st.floats(2, 6), factor=st.floats(1.1, 2))
def test_more_wood_is_never_worse(t, w, n, rows, s, factor):
    def value(t, w, s):
        return local_values(
            t=t, w=w, D_h=0.8125, bolts_per_row=[n] * rows, s_row=2.0, s_critical=s, n_h=rows, F_t_prime=700.0, F_v=180.0, Z_prime=2000.0,
        )  # fmt: skip

    base = value(t, w, s)
    for other in (value(t * factor, w, s), value(t, w * factor, s), value(t, w, s * factor)):
        assert other.governs >= base.governs * (1 - 1e-12)
    thicker = value(t * factor, w, s)
    assert float(thicker.Z_RT) == pytest.approx(base.Z_RT * factor)


def test_arrays_over_layouts():
    s = np.array([2.0, 3.0, 4.0])
    value = local_values(t=1.5, w=3.5, D_h=0.5625, bolts_per_row=[3], s_row=0.0, s_critical=s, n_h=1, F_t_prime=788.0, F_v=150.0, Z_prime=550.0)
    assert list(value.Z_RT) == pytest.approx([1350.0, 2025.0, 2700.0])
    assert value.governs == pytest.approx([1350.0, 1650.0, 1650.0])
