"""Notches, connections near an end, curved glulam, seldom factors, odd columns, strength design. By hand unless a source is named."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from detailgen.core.errors import NotCovered, OutOfRange
from detailgen.standards.nds_2018 import curved, notches, strength_design
from detailgen.standards.nds_2018 import member_factors as f


def test_notches_by_hand():
    # F_v' 180 psi, 3-1/2 by 11-1/4 in., 9 in. left: two thirds of F_v' b d_n, times (d_n/d)^2 on the tension face.
    assert notches.V_r_notch(180.0, 3.5, 11.25, 9.0) == pytest.approx(2 / 3 * 180 * 3.5 * 9 * 0.64)
    assert notches.V_r_notch(180.0, 3.5, 11.25, 11.25) == pytest.approx(2 / 3 * 180 * 3.5 * 11.25)
    assert notches.V_r_notch_round(180.0, 50.0, 10.0, 8.0) == pytest.approx(2 / 3 * 180 * 50 * 0.64)
    assert notches.V_r_compression_notch(180.0, 3.5, 11.25, 9.0, 0.0) == pytest.approx(2 / 3 * 180 * 3.5 * 11.25)
    assert notches.V_r_compression_notch(180.0, 3.5, 11.25, 9.0, 6.0) == pytest.approx(2 / 3 * 180 * 3.5 * (11.25 - 2.25 / 9 * 6))
    assert notches.V_r_compression_notch(180.0, 3.5, 11.25, 9.0, 30.0) == pytest.approx(2 / 3 * 180 * 3.5 * 9)  # e over d_n: d_n counts
    for bad in ((180.0, 3.5, 11.25, 0.0), (180.0, 3.5, 11.25, 12.0)):
        with pytest.raises(OutOfRange):
            notches.V_r_notch(*bad)


def test_shear_at_a_connection_by_hand():
    near = notches.V_r_connection(180.0, 5.5, 11.5, 8.0, 57.0)
    assert near == pytest.approx(2 / 3 * 180 * 5.5 * 8 * (8 / 11.5) ** 2)
    assert notches.V_r_connection(180.0, 5.5, 11.5, 8.0, 57.5) == pytest.approx(2 / 3 * 180 * 5.5 * 8)  # five depths from the end
    with pytest.raises(OutOfRange):
        notches.V_r_connection(180.0, 5.5, 11.5, 12.0, 57.0)


@given(st.floats(1, 12), st.floats(0.1, 1.0), st.floats(0, 200))
def test_a_deeper_cut_never_carries_more(d, part, to_end):
    d_n = d * part
    for clause in (lambda x: notches.V_r_notch(100.0, 3.5, d, x), lambda x: notches.V_r_connection(100.0, 3.5, d, x, to_end)):
        assert clause(d_n * 0.99) <= clause(d_n)
    assert notches.V_r_compression_notch(100.0, 3.5, d, d_n * 0.99, 2.0) <= notches.V_r_compression_notch(100.0, 3.5, d, d_n, 2.0) * (1 + 1e-12)


# 3.2.3, 4.4.3, 5.4.5; from memory.
@pytest.mark.parametrize(
    ("product", "face", "place", "d", "b", "depth"),
    [
        ("sawn", "tension", "end", 12.0, 1.5, 3.0), ("sawn", "tension", "outer thirds", 12.0, 1.5, 2.0),
        ("sawn", "tension", "middle third", 12.0, 1.5, 0.0),
        ("sawn", "tension", "outer thirds", 12.0, 3.5, 0.0), ("sawn", "compression", "outer thirds", 12.0, 3.5, 2.0),
        ("glulam", "tension", "end", 24.0, 5.125, 2.4), ("glulam", "tension", "end", 48.0, 5.125, 3.0),
        ("glulam", "compression", "end", 24.0, 5.125, 9.6),
    ],
)  # fmt: skip
def test_how_deep_a_notch_may_be(product, face, place, d, b, depth):
    assert notches.greatest_notch(product, face, place, d, b)[0] == pytest.approx(depth)
    with pytest.raises(NotCovered):
        notches.greatest_notch(product, face, "anywhere", d, b)


def test_curvature_factor():
    assert curved.C_c(0.9, 90.0) == pytest.approx(0.8)
    assert curved.C_c(1.5, 60 * 12.0) == pytest.approx(1 - 2000 / 480**2)
    assert curved.F_b_curved(1000.0, 0.9) == pytest.approx(900.0)
    assert curved.F_rt_prime(15.0, 1.15, 0.875, 0.9) == pytest.approx(15 * 1.15 * 0.875 * 0.9)
    curved.least_radius_holds("Southern Pine", 1.375, 137.5)
    curved.least_radius_holds("Douglas Fir-Larch", 1.5, 187.5)
    for species, t, R in (("Southern Pine", 1.375, 137.0), ("Douglas Fir-Larch", 1.5, 187.0)):
        with pytest.raises(OutOfRange, match=r"at most 0\.0"):
            curved.least_radius_holds(species, t, R)


def test_radial_stress_and_what_it_may_be():
    # Formula as an engineering text prints it (engineeringcivil.com, radial stresses and curvature factor): 3 M / (2 R b d).
    assert curved.f_r(600_000.0, 720.0, 5.125, 24.0) == pytest.approx(3 * 600_000 / (2 * 720 * 5.125 * 24))
    assert curved.radial_tension_value("Douglas Fir-Larch", "other", 265.0)[0] == 15.0
    assert curved.radial_tension_value("Douglas Fir-Larch", "wind or earthquake", 265.0)[0] == pytest.approx(265 / 3)
    assert curved.radial_tension_value("Southern Pine", "other", 300.0)[0] == pytest.approx(100.0)
    with pytest.raises(NotCovered):
        curved.radial_tension_value("Douglas Fir-Larch", "jacking", 265.0)


def test_radial_stress_is_that_of_a_curved_bar_by_equilibrium():
    # A thin slice between two radial cuts: the resultant of half the bending stress, over dphi, on the area b R dphi. Numerically, R >> d.
    M, R, b, d = 1000.0, 500.0, 2.0, 6.0
    y = np.linspace(0, d / 2, 20001)
    stress = M * y / (b * d**3 / 12)
    force = float(np.sum((stress[1:] + stress[:-1]) / 2 * np.diff(y)) * b)
    assert float(curved.f_r(M, R, b, d)) == pytest.approx(force / (b * R), rel=1e-6)


def test_flat_use():
    assert curved.C_fu_glulam(12.0) == 1.0
    assert curved.C_fu_glulam(5.125) == pytest.approx((12 / 5.125) ** (1 / 9))
    assert curved.C_fu_glulam(12.1) == 1.0
    assert curved.C_fu_glulam(20.0) == 1.0
    # Supplement tables 4A and 4B; from memory.
    measured = {(1.5, 3.5): 1.1, (1.5, 5.5): 1.15, (1.5, 7.25): 1.15, (1.5, 11.25): 1.2, (3.5, 5.5): 1.05, (3.5, 9.25): 1.1, (1.5, 2.5): 1.0}
    for (thickness, width), C_fu in measured.items():
        assert f.flat_use_factor(thickness, width)[0] == C_fu, (thickness, width)
    with pytest.raises(OutOfRange):
        f.flat_use_factor(3.5, 3.5)


def test_repetition_incising_creep_temperature():
    # C_r 1.15: MST 5260 problem 4.30. The others from memory.
    assert f.repetitive_factor("dimension lumber", 3, 24.0) == 1.15
    none = (("dimension lumber", 2, 16.0), ("dimension lumber", 3, 25.0), ("posts and timbers", 5, 16.0))
    assert [f.repetitive_factor(*a) for a in none] == [1.0] * 3
    assert [f.incising_factor(v) for v in ("E", "Fb", "Ft", "Fc", "Fv", "Fc_perp")] == [0.95, 0.8, 0.8, 0.8, 0.8, 1.0]
    assert f.Delta_T(f.creep_factor("dry")[0], 0.4, 0.3) == pytest.approx(0.9)
    assert f.creep_factor("wet")[0] == 2.0
    read = [f.temperature_factor("other values", s, t)[0] for s in ("dry", "wet") for t in (100, 101, 126, 150)]
    assert read == [1.0, 0.8, 0.7, 0.7, 1.0, 0.7, 0.5, 0.5]
    assert [f.temperature_factor("Ft and moduli", "wet", t)[0] for t in (90, 120, 150)] == [1.0, 0.9, 0.9]
    assert f.temperature_factor("connections", "wet", 140)[0] == 0.5
    with pytest.raises(OutOfRange):
        f.temperature_factor("connections", "dry", 151)


def test_odd_columns():
    assert f.d_round(10.0) ** 2 == pytest.approx(math.pi * 25)
    a = f.tapered_constant("large end fixed, small end free")
    assert f.d_tapered(6.0, 10.0, a) == pytest.approx(6 + 4 * (0.7 - 0.15 * 0.4))
    assert f.d_tapered_any(6.0, 10.0) == pytest.approx(6 + 4 / 3)
    assert f.tapered_constant("both ends held, tapered towards one end") == 0.5
    assert f.tapered_constant("small end fixed, large end free") == 0.3
    assert f.P_s(1000.0, 6.0, 90.0, 100.0) == pytest.approx(3 * 1000 * 6 * 90 / 100**2)
    with pytest.raises(OutOfRange):
        f.P_s(1000.0, 6.0, 70.0, 100.0)
    with pytest.raises(OutOfRange):
        f.d_tapered(10.0, 6.0, 0.7)


def test_a_bracket_stands_for_a_side_load_with_at_least_its_moment():
    # Where the bracket stands, the moment of the eccentric load splits; 15.4.2 puts P_s at mid-height: P_s l / 4 is 3/4 P a l_p / l, by the formula.
    P_s = float(f.P_s(1000.0, 6.0, 100.0, 100.0))
    assert P_s * 100 / 4 == pytest.approx(0.75 * 1000 * 6)


# 15.3.3; from memory.
@pytest.mark.parametrize(
    ("fastener", "wood", "quantity", "least", "greatest"),
    [
        ("nail", "softwood", "end", 15, 18), ("nail", "softwood", "edge", 5, 20), ("nail", "softwood", "between_rows", 10, 20),
        ("bolt", "softwood", "end", 7, 8.4), ("bolt", "hardwood", "end", 5, 6), ("bolt", "softwood", "edge", 1.5, 10),
        ("bolt", "softwood", "between_rows", 1.5, 10),
    ],
)  # fmt: skip
def test_fasteners_of_built_up_columns(fastener, wood, quantity, least, greatest):
    assert f.built_up_fastening(fastener, wood, quantity, 0.5, 1.5)[:2] == pytest.approx((least * 0.5, greatest * 0.5))


def test_spacing_in_built_up_columns_is_bound_by_the_ply():
    assert f.built_up_fastening("bolt", "softwood", "spacing_in_row", 0.5, 1.5)[:2] == pytest.approx((2.0, 9.0))
    assert f.built_up_fastening("nail", "softwood", "spacing_in_row", 0.162, 1.5)[:2] == pytest.approx((20 * 0.162, 9.0))


def test_strength_design():
    # Table N1 against phi: K_F is 2.16/phi for bending, tension, compression, shear, and connections (NDS 2018 as printed to two decimals);
    # 3.32 and 0.65 of connections stand so in table 11.3.1 (lfportal.everettwa.gov, document 1614580, page 86).
    for value in ("Fb", "Ft", "Fv", "Fc", "connections"):
        found = strength_design.conversion(value)
        assert round(2.16 / found.phi, 2) == found.K_F
    assert (strength_design.conversion("connections").K_F, strength_design.conversion("connections").phi) == (3.32, 0.65)
    assert strength_design.conversion("Fc_perp").K_F == 1.67
    assert round(1.5 / strength_design.conversion("E_min").phi, 2) == strength_design.conversion("E_min").K_F
    assert strength_design.F_n(1000.0, 2.54, 0.85, 0.8) == pytest.approx(1000 * 2.54 * 0.85 * 0.8)
    assert strength_design.time_effect("1.4D")[0] == 0.6
    assert strength_design.time_effect("1.2D + 1.6(Lr or S or R) + (L or 0.5W)")[0] == 0.8
    assert [strength_design.time_effect("1.2D + 1.6L + 0.5(Lr or S or R)", u)[0] for u in ("storage", "occupancy", "impact")] == [0.7, 0.8, 1.25]
    assert {strength_design.time_effect(c)[0] for c in ("0.9D + 1.0W", "0.9D + 1.0E", "1.2D + 1.0E + L + 0.2S")} == {1.0}
    with pytest.raises(NotCovered):
        strength_design.time_effect("2D")
