"""Member checks of a curved glulam chord (5.3.8, 5.4.1), by hand."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest

from detailgen.core.result import CheckResult, State
from detailgen.standards.interface import Demands, MemberRequest, WoodGrade
from detailgen.standards.nds_2018 import STANDARD

GLULAM = WoodGrade("glulam", "Douglas Fir-Larch", "24F-V4")


def checked(request: MemberRequest) -> Sequence[CheckResult]:
    """What the standard says of one piece."""
    return STANDARD.member_checks([request])[0]


def request(moments, durations, *, axial=0.0, radius=480.0, wood=GLULAM, thickness=5.125, depth=12.0):
    k = len(moments)
    area, modulus = thickness * depth, thickness * depth**2 / 6
    demands = Demands(
        np.full(k, axial), np.array(moments, dtype=float), np.zeros(k), np.arange(k) * 10.0, np.arange(k), tuple(f"C{i}" for i in range(k)),
        tuple(durations),
    )  # fmt: skip
    full = np.ones(k)
    return MemberRequest(
        "chord U2-U3", wood, thickness, depth, demands, full * area, full * modulus, full, 100.0, 50.0, 0.0, zero_moment_length=100.0, radius=radius,
    )  # fmt: skip


def found(check, results, combination="C0"):
    return next(r for r in results if r.check == check and r.combination == combination)


def test_bending_value_is_reduced_by_curvature():
    straight, bent = (checked(request([200_000.0], ["snow"], radius=r)) for r in (0.0, 480.0))
    check = "tension and bending, tension face"
    C_c = 1 - 2000 * (1.5 / (480 - 6)) ** 2  # laminations of 1-1/2 in., radius of the inside face
    assert C_c == pytest.approx(0.97997, abs=1e-5)
    assert found(check, straight).ratio / found(check, bent).ratio == pytest.approx(C_c)
    assert not any(r.check.startswith("radial") for r in straight)


def test_radial_tension_where_the_moment_flattens_the_curve():
    # f_r = 3 x 200,000 / (2 x 480 x 5.125 x 12) = 10.163 psi against 15 psi x 1.15 under snow.
    result = found("radial stress, tension", checked(request([200_000.0], ["snow"])))
    assert (result.demand, result.capacity) == (pytest.approx(10.1626, abs=1e-4), pytest.approx(17.25))
    assert result.state is State.PASSES


def test_under_wind_a_third_of_the_shear_value():
    results = checked(request([200_000.0, 200_000.0], ["snow", "wind"]))
    assert found("radial stress, tension", results, "C1").capacity == pytest.approx(265 / 3 * 1.6)
    assert found("radial stress, tension", results, "C0").capacity == pytest.approx(17.25)


def test_radial_compression_where_it_bends_it_more():
    results = checked(request([-200_000.0], ["snow"]))
    result = found("radial stress, compression", results)
    assert (result.demand, result.capacity) == (pytest.approx(10.1626, abs=1e-4), pytest.approx(650.0))
    assert not any(r.check == "radial stress, tension" for r in results)


def test_wet_curved_glulam():
    wet = WoodGrade("glulam", "Douglas Fir-Larch", "24F-V4", wet=True)
    results = checked(request([200_000.0, -200_000.0], ["snow", "snow"], wood=wet))
    assert found("radial stress, tension", results).capacity == pytest.approx(15 * 1.15 * 0.875)
    assert found("radial stress, compression", results, "C1").capacity == pytest.approx(650 * 0.53)


def test_a_thrust_in_the_curve_counts_the_curvature_too():
    straight, bent = (checked(request([100_000.0], ["snow"], axial=-20_000.0, radius=r)) for r in (0.0, 480.0))
    assert found("compression and bending", bent).ratio > found("compression and bending", straight).ratio


def test_bent_too_sharply_it_cannot_be_checked():
    # 1-1/2 in. over 1/125: 187.5 in. at the inside face, 6 in. under the axis.
    assert len(checked(request([200_000.0], ["snow"], radius=193.5))) > 1
    (result,) = checked(request([200_000.0], ["snow"], radius=193.4))
    assert result.state is State.CANNOT_BE_CHECKED
    assert "at most 0.008" in result.missing


def test_sawn_wood_has_no_curvature_factor():
    sawn = WoodGrade("sawn", "Douglas Fir-Larch", "No.1")
    results = checked(request([5_000.0], ["snow"], wood=sawn, thickness=2.5, depth=9.25))
    assert not any(r.check.startswith("radial") for r in results)
