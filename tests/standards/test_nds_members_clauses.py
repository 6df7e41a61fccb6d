"""Clauses of chapters 3 and 15 against values worked by hand: they bind the constants that no published case binds."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from detailgen.core.errors import NotCovered, OutOfRange
from detailgen.standards.nds_2018 import adjustment, columns, members

INF = math.inf
positive = st.floats(1e-3, 1e3)


def interaction(**changes):
    values = {
        "f_c": 400.0, "F_c_prime": 800.0, "F_cE1": 1000.0, "f_b1": 0.0, "F_b1_prime": 1200.0, "e_1": 0.0, "d_1": 6.0, "F_cE2": INF, "f_b2": 0.0,
        "F_b2_prime": 1000.0, "e_2": 0.0, "d_2": 3.0, "F_bE": INF,
    }  # fmt: skip
    return float(members.compression_and_bending(**{**values, **changes}))


def test_0_234_of_15_4_edgewise():
    """By hand: (400/800)^2 + 400 (1 + 0.234 x 0.4)/(1200 x 0.6) = 0.25 + 0.607556."""
    assert interaction(e_1=1.0) == pytest.approx(0.857556, abs=1e-6)


def test_0_234_of_15_4_flatwise_with_bending_edgewise():
    """By hand: 0.25 + 600/1500 + 400 (1 + 0.234 x 0.4 + 0.234 x 0.09)/(1000 (1 - 0.4 - 0.09)) = 0.25 + 0.4 + 0.874243."""
    found = interaction(F_cE1=INF, F_cE2=1000.0, f_b1=600.0, F_b1_prime=1500.0, F_bE=2000.0, e_2=0.5)
    assert found == pytest.approx(1.524243, abs=1e-6)


def test_15_4_without_eccentricity_is_3_9_3():
    """By hand: 0.25 + 300/(1200 x 0.6) + 200/(1000 (1 - 0.2 - 0.0225)) with F_cE2 2000, F_bE 2000."""
    found = interaction(f_b1=300.0, f_b2=200.0, F_cE2=2000.0, F_bE=2000.0)
    assert found == pytest.approx(0.25 + 300 / 720 + 200 / 777.5, abs=1e-9)


def test_weak_axis_equation_3_9_4():
    """By hand: 400/1000 + (600/2000)^2 = 0.49; with e_1 = 1 of d_1 = 6 the edgewise stress is 600 + 400."""
    assert float(members.weak_axis(400.0, 1000.0, 600.0, 2000.0, 0.0, 6.0)) == pytest.approx(0.49)
    assert float(members.weak_axis(400.0, 1000.0, 600.0, 2000.0, 1.0, 6.0)) == pytest.approx(0.4 + 0.25)


def test_past_lateral_buckling_fails_even_where_the_plain_sum_does_not():
    """f_c = 0.5 F_cE2 and f_b1 = 0.7072 F_bE: 0.5 + 0.50013 is over 1 (3.9-4), while (0.5/0.986)^2 + 0.7072/0.996 is only 0.967."""
    found = interaction(f_c=50.0, F_c_prime=98.6, F_cE1=1e6, f_b1=70.72, F_b1_prime=99.6, F_cE2=100.0, F_bE=100.0)
    assert found == pytest.approx(1.00013 / 0.99, abs=1e-4)


def test_past_buckling_a_bow_or_a_moment_makes_it_worse_not_better():
    """f_c = 1.5 F_cE over either axis: B is -0.5, so the floor of 0.01 stands in for it. By hand, with F_c' 90 and F_cE 100: (150/90)^2 = 2.7778.

    Moment edgewise: 120/(1200 x 0.01) = 10. Bow flatwise, 6 e_2/d_2 = 1: 150 (1 + 0.234 x 1.5)/(1000 x 0.01) = 20.265.
    """
    edgewise = interaction(f_c=150.0, F_c_prime=90.0, F_cE1=100.0, f_b1=120.0)
    assert edgewise == pytest.approx(2.7778 + 10.0, abs=1e-4)
    flatwise = interaction(f_c=150.0, F_c_prime=90.0, F_cE1=INF, F_cE2=100.0, e_2=0.5)
    assert flatwise == pytest.approx(2.7778 + 20.265, abs=1e-4)


@given(
    load=st.floats(0.01, 3.0), more=st.floats(1.0, 3.0), share=st.floats(0.0, 1.0), bow=st.floats(0.0, 2.0),
    f_cE1=st.floats(200, 5000), f_cE2=st.floats(200, 5000), f_bE=st.floats(300, 20000),
)  # fmt: skip
def test_interaction_grows_with_the_load_through_and_past_buckling(load, more, share, bow, f_cE1, f_cE2, f_bE):
    """Never NaN, never negative, never smaller under a larger load, over 1.0 at and past elastic buckling."""
    star, bending = 1500.0, 1200.0
    stability = float(columns.C_P(min(f_cE1, f_cE2), star, 0.8))
    lateral = float(members.C_L(f_bE, bending))

    def at(scale):
        return interaction(
            f_c=1000 * scale * share, f_b1=1000 * scale * (1 - share), F_c_prime=star * stability, F_cE1=f_cE1, F_cE2=f_cE2, F_bE=f_bE,
            F_b1_prime=bending * lateral, e_2=bow,
        )  # fmt: skip

    assert 0 <= at(load) <= at(load * more) * (1 + 1e-12)
    f_c, f_b = 1000 * load * share, 1000 * load * (1 - share)
    if f_c >= f_cE1 or f_c / f_cE2 + (f_b / f_bE) ** 2 >= 1:
        assert at(load) > 1


def test_constants_of_stability():
    """By hand: 0.822 x 620,000/20^2 = 1274.1; 1.20 x 620,000/10^2 = 7440; C_L at ratio 1:
    2/1.9 - sqrt((2/1.9)^2 - 1/0.95) = 1.0526316 - sqrt(0.0554016) = 1.0526316 - 0.2353755."""
    assert float(columns.F_cE(620000.0, 60.0, 3.0)) == pytest.approx(1274.1)
    assert float(members.F_bE(620000.0, 10.0)) == pytest.approx(7440.0)
    assert float(members.C_L(1000.0, 1000.0)) == pytest.approx(0.817256, abs=1e-6)
    assert float(columns.C_P(1000.0, 1000.0, 0.8)) == pytest.approx(1.25 - math.sqrt(0.3125))
    assert float(columns.C_P(1000.0, 1000.0, 0.9)) == pytest.approx(2 / 1.8 - math.sqrt((2 / 1.8) ** 2 - 1 / 0.9))
    assert (columns.stability_constant("sawn"), columns.stability_constant("glulam")) == (0.8, 0.9)


@given(r=st.floats(0.01, 100), c=st.floats(0.5, 0.95))
def test_stability_factor_stays_under_crushing_and_under_buckling(r, c):
    found = float(columns.C_P(r * 1000, 1000.0, c))
    assert 0 < found < min(1.0, r) + 1e-9
    if found < 1 - 1e-9:
        assert float(columns.r_of_C_P(found, c)) == pytest.approx(r, rel=1e-6)


def test_size_and_volume_exponents():
    """By hand: 0.5^(1/9) = 0.925875 at 24 in.; 0.5^(1/10) = 0.933033, 0.5^(1/20) = 0.965936; widths over 10.75 in. count as that."""
    assert float(adjustment.C_F_timber(24.0)) == pytest.approx(0.925875, abs=1e-6)
    assert float(adjustment.C_F_timber(11.0)) == 1.0
    assert float(adjustment.C_V(21.0, 24.0, 5.125, 10.0)) == pytest.approx(0.933033, abs=1e-6)
    assert float(adjustment.C_V(42.0, 12.0, 5.125, 20.0)) == pytest.approx(0.965936, abs=1e-6)
    assert float(adjustment.C_V(21.0, 12.0, 14.0, 10.0)) == pytest.approx((5.125 / 10.75) ** 0.1)
    assert float(adjustment.C_V(10.0, 6.0, 3.125, 10.0)) == 1.0


@pytest.mark.parametrize(
    ("load", "ratio", "expected"),
    [("any", 6.9, 2.06 * 69), ("any", 7.0, 1.63 * 70 + 30), ("any", 20.0, 1.84 * 200), ("uniform", 20.0, 1.63 * 200 + 30),
     ("at midspan", 6.0, 1.80 * 60), ("at midspan", 10.0, 1.37 * 100 + 30), ("at midspan, braced there", 10.0, 111.0)],
)  # fmt: skip
def test_effective_length_in_bending(load, ratio, expected):
    """Table 3.3.3, recalled; 1.11 also in Breyer 6.3. Depth 10 in."""
    k_u, k_d, _ = members.bending_length_factors(load, 10 * ratio, 10.0)
    assert float(members.l_e_bending(k_u, 10 * ratio, k_d, 10.0)) == pytest.approx(expected)
    with pytest.raises(NotCovered):
        members.bending_length_factors("sideways", 10.0, 10.0)


def test_bearing():
    """3.10: 0.75 F_c*; C_b (l_b + 0.375)/l_b only for bearings under 6 in. at least 3 in. from the end (recalled)."""
    assert float(members.bearing_limit(2000.0)) == 1500.0
    assert float(members.C_b(3.0, 3.0)) == pytest.approx(1.125)
    assert float(members.C_b(3.0, 2.9)) == 1.0
    assert float(members.C_b(6.0, 10.0)) == 1.0
    at_limit = members.end_grain_bearing(75000.0, 10.0, 10.0, 1000.0, 1.0)
    assert not at_limit.plate_needed
    assert members.end_grain_bearing(75001.0, 10.0, 10.0, 1000.0, 1.0).plate_needed


@given(parallel=positive, across=positive, angle=st.floats(0, math.pi / 2))
def test_hankinson_lies_between_its_ends(parallel, across, angle):
    found = float(members.F_theta_prime(parallel, across, angle))
    assert min(parallel, across) * (1 - 1e-9) <= found <= max(parallel, across) * (1 + 1e-9)
    assert float(members.F_theta_prime(parallel, across, 0.0)) == pytest.approx(parallel)
    assert float(members.F_theta_prime(parallel, across, math.pi / 2)) == pytest.approx(across)


def test_tension_with_bending_on_both_faces():
    """By hand: 300/600 + 200/1000 = 0.7; (200 - 300) counts as none; (500 - 300)/1000 = 0.2."""
    assert float(members.tension_face(300.0, 600.0, 200.0, 1000.0)) == pytest.approx(0.7)
    assert float(members.compression_face(200.0, 300.0, 1000.0)) == 0.0
    assert float(members.compression_face(500.0, 300.0, 1000.0)) == pytest.approx(0.2)


def test_spaced_columns_have_their_own_limits():
    """15.2 (recalled): l_1/d_1 at most 80, l_2/d_2 at most 50; K_S stops at its upper bound and at nothing under l_1/d_1 = 11."""
    ask = {"n": 2, "d_1": 2.5, "d_2": 7.25, "l_2": 120.0, "F_c": 1700.0, "C_D": 1.15, "C_F": 1.05, "E_min_prime": 690000.0, "c": 0.8, "K_x": 2.5,
           "slope": 8.14, "greatest": 399.0}  # fmt: skip
    assert columns.spaced_column(l_1=200.0, **ask).slenderness == 80
    with pytest.raises(OutOfRange, match="80"):
        columns.spaced_column(l_1=200.1, **ask)
    with pytest.raises(OutOfRange, match="50"):
        columns.spaced_column(l_1=100.0, **{**ask, "l_2": 363.0})
    assert float(columns.K_S(8.14, 399.0, 100.0, 1.0)) == 399.0
    assert float(columns.K_S(8.14, 399.0, 10.0, 1.0)) == 0.0
    assert columns.spaced_column(l_1=100.0, **ask).P > columns.spaced_column(l_1=100.0, **{**ask, "K_x": 1.0}).P


@pytest.mark.parametrize(
    ("G", "expected"),
    [(0.67, (9.55, 468)), (0.60, (9.55, 468)), (0.59, (8.14, 399)), (0.5, (8.14, 399)), (0.43, (6.73, 330)), (0.42, (6.73, 330)),
     (0.36, (5.32, 261))],
)
def test_end_blocks_by_specific_gravity(G, expected):
    """15.2.2.3, recalled: 0.60 and more, 0.50 to 0.59, 0.42 to 0.49, less than 0.42."""
    assert columns.end_block_constants(G) == expected


def test_built_up_columns_have_two_to_five_plies():
    ask = {"t": 1.5, "d_1": 5.5, "l_1": 96.0, "l_2": 96.0, "F_c": 1350.0, "C_D": 1.0, "C_F": 1.1, "E_min_prime": 580000.0, "K_f": 0.6}
    bolted = columns.built_up_column(n=3, **{**ask, "K_f": 0.75})
    assert bolted.C_P_weak / columns.built_up_column(n=3, **ask).C_P_weak == pytest.approx(0.75 / 0.6)
    for n, t in ((1, 1.5), (6, 1.5), (3, 1.4)):
        with pytest.raises(OutOfRange):
            columns.built_up_column(n=n, **{**ask, "t": t})


def test_out_of_range_is_refused_not_bent():
    for call in (
        lambda: columns.F_cE(1.0, 0.0, 1.0),
        lambda: members.R_B(0.0, 1.0, 1.0),
        lambda: adjustment.C_V(0.0, 12.0, 5.0, 10.0),
        lambda: columns.longest_column(1e6, 6e5, 1000.0, 5.5, 5.5, 0.8),
        lambda: columns.C_P(1.0, 1.0, 1.2),
    ):
        with pytest.raises(OutOfRange):
            call()


@given(scale=st.floats(0.1, 10))
def test_a_longer_yardstick_changes_no_ratio(scale):
    """Dimensions: lengths times s and stresses as they are leave every factor alone; forces go with s squared."""
    one = columns.column_capacity(620000.0, 1500.0, 100.0, 3.5, 12.25, 0.8)
    other = columns.column_capacity(620000.0, 1500.0, 100.0 * scale, 3.5 * scale, 12.25 * scale**2, 0.8)
    np.testing.assert_allclose([other.C_P, other.P], [one.C_P, one.P * scale**2], rtol=1e-9)
    assert float(members.R_B(100.0 * scale, 12.0 * scale, 2.0 * scale)) == pytest.approx(float(members.R_B(100.0, 12.0, 2.0)))


def test_clauses_take_arrays():
    found = columns.C_P(np.array([500.0, 1000.0]), np.array([1000.0, 1000.0]), 0.8)
    assert np.asarray(found).shape == (2,)
