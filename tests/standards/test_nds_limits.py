"""Each bound of a clause, from just inside and just outside: nothing here may move by 2 % unnoticed. Bounds by NDS 2018, some from memory."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from nds_connection_requests import DFL, checks, grid, member, only, plate, request

from detailgen.core.clause import TableStatus
from detailgen.core.errors import OutOfRange
from detailgen.core.result import State
from detailgen.standards.interface import BearingRequest, Demands, MemberRequest, WoodGrade
from detailgen.standards.nds_2018 import STANDARD, adjustment, columns, dowels, member_factors, members, reference, screws_and_nails
from detailgen.standards.nds_2018.group_action import rows_along, rows_that_count

GLULAM = WoodGrade("glulam", "Douglas Fir-Larch", "combination 2")


@pytest.mark.parametrize("clause", [dowels.F_e_parallel, lambda G: dowels.F_e_perpendicular(G, 0.75), screws_and_nails.F_e])
def test_specific_gravity_from_0_31_to_0_73(clause):
    for G in (0.31, 0.73):
        assert clause(G) > 0
    for G in (0.309, 0.731):
        with pytest.raises(OutOfRange):
            clause(G)


def test_diameters_across_the_grain_from_a_quarter_inch_to_one():
    for D in (0.25, 1.0):
        assert dowels.F_e_perpendicular(0.5, D) > 0
    for D in (0.249, 1.005):
        with pytest.raises(OutOfRange):
            dowels.F_e_perpendicular(0.5, D)


def test_thin_roots_end_at_a_quarter_inch():
    # table 12.3.1B note 1: nominal D of 1/4 in. and more, root under 1/4 in.: K_D K_theta for all modes; from 1/4 in. on the mode's own term.
    assert dowels.R_d_thin(4.0, 1.25, 3.0, 0.26, 0.249) == pytest.approx(3.75)
    assert dowels.R_d_thin(4.0, 1.25, 3.0, 0.26, 0.252) == pytest.approx(5.0)
    assert dowels.R_d_thin(4.0, 1.25, 3.0, 0.249, 0.2) == pytest.approx(3.0)
    assert dowels.R_d_thin(4.0, 1.25, 3.0, 0.252, 0.2) == pytest.approx(3.75)


def test_columns():
    for c in (0.0, 1.01):
        with pytest.raises(OutOfRange):
            columns.C_P(500.0, 1000.0, c)
        with pytest.raises(OutOfRange):
            columns.C_P_built_up(500.0, 1000.0, c, 0.6)
    for C_P in (0.0, 1.01):
        with pytest.raises(OutOfRange):
            columns.r_of_C_P(C_P, 0.8)
    with pytest.raises(OutOfRange, match=r"1\.01 of the crushing strength"):
        columns.longest_column(1010.0, 600e3, 1000.0, 1.0, 1.0, 0.8)
    assert columns.C_P_built_up(500.0, 1000.0, 1.0, 0.6) == pytest.approx(0.6 * 0.5)  # c = 1: the lesser of buckling and crushing


def test_built_up_columns_of_two_plies_of_an_inch_and_a_half():
    terms = {"d_1": 5.5, "l_1": 96.0, "l_2": 96.0, "F_c": 1500.0, "C_D": 1.0, "C_F": 1.1, "E_min_prime": 620e3, "K_f": 0.6}
    assert columns.built_up_column(n=2, t=1.5, **terms).P > 0
    assert columns.built_up_column(n=5, t=1.5, **terms).P > 0
    for n, t in ((1, 1.5), (6, 1.5), (2, 1.48)):
        with pytest.raises(OutOfRange):
            columns.built_up_column(n=n, t=t, **terms)


def test_a_spaced_column_by_the_formulas():
    # Two dry 2-1/2 by 9-1/2 in. pieces, 100 in. long; 15.2.3 written out: F_cE = 0.822 K_x E_min' / (l_1/d_1)^2, C_P with c = 0.8.
    found = columns.spaced_column(
        n=2, d_1=2.5, d_2=9.5, l_1=100.0, l_2=100.0, F_c=1500.0, C_D=1.15, C_F=1.0, E_min_prime=620e3, c=0.8, K_x=2.5, slope=8.14, greatest=399.0,
    )  # fmt: skip
    F_cE, star = 0.822 * 2.5 * 620e3 / 40**2, 1500 * 1.15
    a = (1 + F_cE / star) / 1.6
    C_P = a - math.sqrt(a**2 - F_cE / star / 0.8)
    assert pytest.approx(2 * 2.5 * 9.5 * star * C_P, rel=1e-9) == found.P
    assert pytest.approx(8.14 * 29) == found.K_S
    terms = {"n": 2, "d_1": 2.5, "d_2": 9.5, "F_c": 1500.0, "C_D": 1.0, "C_F": 1.0, "E_min_prime": 620e3, "c": 0.8, "K_x": 2.5}
    terms |= {"slope": 8.14, "greatest": 399.0}
    for lengths in ({"l_1": 201.0, "l_2": 100.0}, {"l_1": 100.0, "l_2": 476.0}):
        with pytest.raises(OutOfRange):
            columns.spaced_column(**terms, **lengths)
    assert columns.spaced_column(**terms, l_1=200.0, l_2=475.0).P > 0


def test_brackets_and_repetition():
    assert member_factors.P_s(1000.0, 6.0, 75.0, 100.0) > 0
    with pytest.raises(OutOfRange):
        member_factors.P_s(1000.0, 6.0, 74.9, 100.0)
    assert member_factors.repetitive_factor("dimension lumber", 3, 24.1) == 1.0


def test_size_class_at_two_inches_wider_than_thick():
    # 4.1.3: nominal 5 in. is 4-1/2 in. dressed; beams and stringers are more than 2 in. wider than thick.
    assert reference.size_class(5.5, 7.5) == "posts and timbers"
    assert reference.size_class(5.5, 7.51) == "beams and stringers"
    assert reference.size_class(4.49, 9.5) == "dimension lumber"
    assert reference.size_class(4.5, 6.5) == "posts and timbers"


def test_glulam_up_to_15_in_deep_rests_on_the_printed_table_alone():
    shallow, deep = (reference.wood_values(GLULAM, 5.125, d) for d in (15.0, 16.5))
    assert shallow.cite_of("Fb").status is TableStatus.PRINT
    assert deep.cite_of("Fb").table == "glulam_axial; glulam_axial_depth"
    assert reference.wood_values(GLULAM, 5.125, 15.2).Fb == pytest.approx(0.88 * 1700)
    assert (shallow.Fb, deep.Fb) == (1700.0, pytest.approx(0.88 * 1700))


def test_factors_that_nobody_names_are_one():
    for name in ("Fb", "Ft", "Fv", "Fc", "Fcperp", "E", "Emin"):
        assert adjustment.adjusted_value(name, 1000.0) == 1000.0


def bending(moment, unbraced=0.0, wood=DFL, thickness=2.5, depth=9.25, axial=0.0, out_of_plane=0.0):
    one = np.ones(1)
    demands = Demands(one * axial, one * moment, one * 0.0, one * 0.0, np.zeros(1, dtype=np.int64), ("C0",), ("ten years",))
    area, modulus = thickness * depth, thickness * depth**2 / 6
    made = MemberRequest("chord", wood, thickness, depth, demands, one * area, one * modulus, one, 0.0, out_of_plane, unbraced)
    return {r.check: r for r in STANDARD.member_checks([made])[0]}


def test_slenderness_in_bending_ends_at_fifty():
    def with_R_B(R_B):
        l_e = R_B**2 * 1.5**2 / 11.25
        return bending(1000.0, l_e / 1.84, thickness=1.5, depth=11.25)["slenderness in bending"]

    assert with_R_B(49.9).state is State.PASSES
    result = with_R_B(50.4)
    assert result.state is State.DOES_NOT_PASS
    assert result.ratio == pytest.approx(50.4 / 50, rel=1e-4)


def test_slenderness_of_a_column_ends_at_fifty():
    assert bending(0.0, axial=-100.0, out_of_plane=49.9 * 2.5)["slenderness"].state is State.PASSES
    assert bending(0.0, axial=-100.0, out_of_plane=50.4 * 2.5)["slenderness"].state is State.DOES_NOT_PASS


def test_a_column_held_throughout_is_crushed_not_buckled():
    result = bending(0.0, axial=-1000.0)["compression with buckling"]
    assert result.capacity == pytest.approx(1500 * 1.0)
    assert next(s.value for s in result.steps if s.symbol == "C_P") == 1.0


def test_bending_outweighs_tension_on_the_pressed_face():
    # f_b = 60,000 / 35.651 = 1,682.98 psi, f_t = 10,000 / 23.125 = 432.43 psi; F_b = 1000 x 1.1 (2-1/2 by 9-1/4 in.).
    result = bending(60_000.0, axial=10_000.0)["tension and bending, compression face"]
    assert result.ratio == pytest.approx((60_000 / (2.5 * 9.25**2 / 6) - 10_000 / 23.125) / 1100, rel=1e-9)


def bearing(force, **more):
    made = BearingRequest("heel", DFL, 2.5, 9.25, 20.0, True, np.array([force]), ("C0",), ("ten years",))
    return STANDARD.bearing_checks(replace(made, **more))


def test_end_grain_bearing_by_hand():
    # 20 in2, F_c* = 1500 x 1.0 (C_F of F_c is 1.0 for a nominal 10 in. width): 30,000 lb on a steel face; 0.75 of that on wood (3.10.1.3).
    (steel,) = bearing(-20_000.0)
    assert (steel.demand, steel.capacity) == (pytest.approx(1000.0), pytest.approx(1500.0))
    assert steel.state is State.PASSES
    (wood,) = bearing(-22_000.0, steel_face=False)
    assert wood.capacity == pytest.approx(1125.0)
    assert wood.state is State.PASSES
    assert bearing(-22_800.0, steel_face=False)[0].state is State.DOES_NOT_PASS
    assert bearing(-30_300.0)[0].state is State.DOES_NOT_PASS


def test_a_bolt_group_one_percent_over_does_not_pass():
    bolts = grid(8.0, 4.0, 2)
    capacity = only(checks(plate(bolts=bolts), member(bolts=bolts)), "bolts").capacity
    for part, state in ((0.999, State.PASSES), (1.01, State.DOES_NOT_PASS)):
        found = only(checks(plate(bolts=bolts), member(bolts=bolts), axial=(part * capacity,)), "bolts")
        assert found.state is state


def test_a_bolt_square_to_the_grain_has_the_value_across_it():
    parts = (plate(), member(angle=math.pi / 2, end=-50.0), plate())
    sheet = only(STANDARD.connection_checks(request(*parts)), "bolts").steps
    found = next(s.value for s in sheet if s.symbol.startswith("Z, mode"))
    F_e = dowels.F_e_perpendicular(0.5, 0.75)
    Z = dowels.lateral_value(planes=2, D=0.75, F_yb=45000.0, l_m=2.5, l_s=0.25, F_em=F_e, F_es=87000.0, theta_m=math.pi / 2).Z
    assert found == pytest.approx(float(Z), rel=1e-9)


def test_one_bolt_in_a_row_says_that_its_group_action_is_one():
    sheet = only(checks(plate(), member(), plate()), "bolts").steps
    assert next(s.value for s in sheet if s.symbol.startswith("C_g (one bolt")) == 1.0


def test_what_stands_in_one_row():
    # Ours: bolts whose distance across the load is at most 1/16 in. stand in one row.
    together, apart = (np.array([[0.0, 0.0], [3.0, y]]) for y in (0.0625, 0.0632))
    assert len(rows_along(together)) == 1
    assert len(rows_along(apart)) == 2


@pytest.mark.parametrize(("across", "rows"), [(0.99, 1), (1.01, 2)])
def test_staggered_rows_closer_than_a_quarter_of_the_spacing_count_as_one(across, rows):
    # 11.3.6.2: bolts 4 in. from those of the next row, measured along the rows.
    bolts = np.array([[0.0, 0.0], [8.0, 0.0], [4.0, across], [12.0, across]])
    for off_axis in (0.0, 5.0, -5.0):
        assert len(rows_that_count(rows_along(bolts + np.array([0.0, off_axis])))) == rows


def test_interaction_near_buckling_stops_at_one_hundredth():
    # Ours: what is left before buckling counts as 0.01 at least.
    def value(f_c):
        return float(members.compression_and_bending(f_c, 1000.0, 1000.0, 10.0, 1000.0, 0.0, 9.0, math.inf, 0.0, 1000.0, 0.0, 2.5, math.inf))

    assert value(989.0) == pytest.approx(0.989**2 + 0.01 / 0.011)
    assert value(995.0) == pytest.approx(0.995**2 + 0.01 / 0.01)
