"""Dowel bearing and yield modes: hand values, and properties of the equations."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from detailgen.core.errors import OutOfRange
from detailgen.standards.nds_2018.dowels import K_D, F_e_parallel, F_e_perpendicular, F_e_theta, K_theta, dowel_bearing, lateral_value

STEEL = 87000.0  # A36: 1.5 F_u (J. Thomas, MST 5260, notes 13/03)


def test_bearing_constants_by_hand():
    """11200 G, and 6100 G^1.45 / sqrt(D): printed values are rounded to 50 psi and do not bind them (constants from memory)."""
    assert F_e_parallel(0.50) == pytest.approx(5600.0, rel=1e-9)
    assert F_e_parallel(0.36) == pytest.approx(4032.0, rel=1e-9)
    # by logarithms: ln 0.5 = -0.6931472; 1.45 times it = -1.0050634; exp = 0.3660214; times 6100 = 2232.7308
    assert F_e_perpendicular(0.50, 1.0) == pytest.approx(2232.731, rel=1e-6)
    assert F_e_perpendicular(0.50, 0.25) == pytest.approx(4465.461, rel=1e-6)


def test_hankinson_at_45_degrees_is_the_harmonic_mean():
    along, across = 5600.0, 2578.0
    assert F_e_theta(along, across, math.pi / 4) == pytest.approx(2 * along * across / (along + across), rel=1e-12)
    assert dowel_bearing(0.5, 0.75, 0.0) == pytest.approx(5600.0)
    assert dowel_bearing(0.5, 0.75, math.pi / 2) == pytest.approx(float(F_e_perpendicular(0.5, 0.75)), rel=1e-12)


def test_floor_and_slope_of_thin_fasteners():
    """K_D is 2.2 up to 0.17 in. and 10 D + 0.5 above (from memory; the slope is bound by table 12K, the floor by nothing printed here)."""
    assert [float(K_D(d)) for d in (0.10, 0.17, 0.20, 0.249)] == pytest.approx([2.2, 2.2, 2.5, 2.99])


def test_angle_factor():
    assert [float(K_theta(math.radians(a))) for a in (0, 45, 90)] == pytest.approx([1.0, 1.125, 1.25])
    with pytest.raises(OutOfRange):
        K_theta(math.radians(120))


@pytest.mark.parametrize(
    ("diameter", "main", "expected", "mode"),
    [
        (0.75, 3.125, 3281.25, "I_m"),  # 0.75 x 3.125 x 5600 / 4; printed as 3,280 for a 3-1/8 in. glulam
        (1.0, 3.125, 4375.0, "I_m"),  # printed as 4,380 (example E.6, from memory)
        (0.75, 5.0, 3342.8, "III_s"),  # printed as 3,340 from 3-1/2 in. on
        (1.0, 5.125, 5720.0, "III_s"),  # printed as 5,720, rounded to 10 lb
    ],
)
def test_two_quarter_inch_plates(diameter, main, expected, mode):
    """Douglas fir G 0.50, along the grain, two 1/4 in. A36 plates (checks/CONNECTIONS, section 2)."""
    value = lateral_value(planes=2, D=diameter, F_yb=45000.0, l_m=main, l_s=0.25, F_em=5600.0, F_es=STEEL)
    assert float(value.Z) == pytest.approx(expected, abs=5.0 if diameter == 1.0 else 0.05)
    assert value.governing.item() == mode


def test_reduction_term_of_a_lag_screw_with_a_thin_root():
    """D 1/4, root 0.173: R_d = K_D K_theta with K_D = 2.23 in every mode, so mode I_s is D_r l_s F_es / 2.23."""
    value = lateral_value(planes=1, D=0.25, D_r=0.173, F_yb=70000.0, l_m=2.0, l_s=0.075, F_em=5600.0, F_es=61850.0)
    assert float(value.modes["I_s"]) == pytest.approx(0.173 * 0.075 * 61850.0 / 2.23, rel=1e-12)


lengths = st.floats(0.5, 8.0)
strengths = st.floats(1500.0, 9000.0)


@settings(max_examples=60)
@given(d=st.floats(0.25, 1.0), a=lengths, b=lengths, f=strengths, g=strengths, angle=st.floats(0.0, math.pi / 2))
def test_single_shear_does_not_care_which_member_is_called_main(d, a, b, f, g, angle):
    one = lateral_value(planes=1, D=d, F_yb=45000.0, l_m=a, l_s=b, F_em=f, F_es=g, theta_m=angle)
    two = lateral_value(planes=1, D=d, F_yb=45000.0, l_m=b, l_s=a, F_em=g, F_es=f, theta_s=angle)
    assert float(one.Z) == pytest.approx(float(two.Z), rel=1e-9)
    for mode, mirror in (("I_m", "I_s"), ("II", "II"), ("III_m", "III_s"), ("IV", "IV")):
        assert float(one.modes[mode]) == pytest.approx(float(two.modes[mirror]), rel=1e-9)


@settings(max_examples=60)
@given(d=st.floats(0.25, 0.5), a=lengths, b=lengths, f=strengths, g=strengths, k=st.floats(1.1, 2.0), planes=st.sampled_from([1, 2]))
def test_scaling(d, a, b, f, g, k, planes):
    """k times all lengths: k^2 times the value; k times all strengths: k times the value."""
    base = lateral_value(planes=planes, D=d, F_yb=45000.0, l_m=a, l_s=b, F_em=f, F_es=g)
    large = lateral_value(planes=planes, D=k * d, F_yb=45000.0, l_m=k * a, l_s=k * b, F_em=f, F_es=g)
    strong = lateral_value(planes=planes, D=d, F_yb=k * 45000.0, l_m=a, l_s=b, F_em=k * f, F_es=k * g)
    assert float(large.Z) == pytest.approx(k**2 * float(base.Z), rel=1e-9)
    assert float(strong.Z) == pytest.approx(k * float(base.Z), rel=1e-9)


@settings(max_examples=40)
@given(d=st.floats(0.25, 1.0), a=lengths, b=lengths, f=strengths, g=strengths)
def test_double_shear_is_twice_single_shear_with_half_the_main_member_at_most(d, a, b, f, g):
    """By symmetry a plane of double shear is a plane of single shear whose main member is half as thick and cannot turn: never less than
    modes I, II, III and IV of that half allow, and I_m equals twice it."""
    double = lateral_value(planes=2, D=d, F_yb=45000.0, l_m=a, l_s=b, F_em=f, F_es=g)
    half = lateral_value(planes=1, D=d, F_yb=45000.0, l_m=a / 2, l_s=b, F_em=f, F_es=g)
    assert float(double.modes["I_m"]) == pytest.approx(2 * float(half.modes["I_m"]), rel=1e-9)
    assert float(double.Z) >= 2 * float(half.Z) * (1 - 1e-9)


def test_arrays_over_layouts_equal_single_values():
    d = np.array([0.5, 0.75, 1.0, 0.75])
    thickness = np.array([1.5, 2.5, 5.5, 2.5])
    together = lateral_value(planes=1, D=d, F_yb=45000.0, l_m=thickness, l_s=0.25, F_em=dowel_bearing(0.5, d, 1.0), F_es=STEEL, theta_m=1.0)
    for k in range(len(d)):
        one, bearing = float(d[k]), dowel_bearing(0.5, float(d[k]), 1.0)
        alone = lateral_value(planes=1, D=one, F_yb=45000.0, l_m=float(thickness[k]), l_s=0.25, F_em=bearing, F_es=STEEL, theta_m=1.0)
        assert together.Z[k] == pytest.approx(float(alone.Z), rel=1e-12)
        assert together.governing[k] == alone.governing.item()


def test_out_of_range():
    with pytest.raises(OutOfRange):
        F_e_parallel(0.25)
    with pytest.raises(OutOfRange):
        F_e_perpendicular(0.5, 1.25)
    with pytest.raises(ValueError, match="one or two"):
        lateral_value(planes=3, D=0.5, F_yb=45000.0, l_m=1.5, l_s=1.5, F_em=5600.0, F_es=5600.0)
