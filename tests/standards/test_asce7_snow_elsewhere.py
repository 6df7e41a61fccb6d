"""Snow beyond the balanced and unbalanced curved roof: valleys, drifts, gables, parts, rain; and what ASCE 7-22 changes.

Where no source is named, the number is worked by hand from the recalled rule.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from detailgen.core.errors import NotCovered, OutOfRange
from detailgen.standards import asce7_16, asce7_22
from detailgen.standards.asce7_16 import live
from detailgen.standards.asce7_16 import snow as snow_16
from detailgen.standards.asce7_22 import combinations as combinations_22
from detailgen.standards.asce7_22 import snow as snow_22
from detailgen.standards.asce7_22.roofs import curved_roof_snow, drift_height
from detailgen.standards.interface import DURATIONS, METHODS, DriftSource, RoofCurve, RoofLive, SnowSite
from detailgen.standards.snow_arrangements import PSF
from detailgen.standards.snow_shapes import circular_roof

pytestmark = pytest.mark.filterwarnings("error")
FOOT = 12.0
SPAN = 1200.0  # 100 ft
BOWSTRING = circular_roof(SPAN, SPAN / 2 * math.tan(math.radians(15)))  # radius = span, 30 degrees at the eave
SITE = SnowSite(30 * PSF, 1.0, 1.0, 1.0, False)
EDITIONS = [asce7_16.STANDARD, asce7_22.STANDARD]


def gable(slope: float, span: float = SPAN) -> RoofCurve:
    x = np.linspace(0.0, span, 241)
    return RoofCurve(x, np.where(x < span / 2, 1, -1) * math.radians(slope), span / 2, span, span / 2 * math.tan(math.radians(slope)))


def by_name(standard, roof, site):
    return {p.name: p for p in standard.snow(roof, site)}


def at(load, x_ft):
    return float(np.interp(x_ft * FOOT, load.x, load.pressure)) / PSF


def total(load) -> float:
    return float(np.trapezoid(load.pressure, load.x))


@pytest.mark.parametrize("standard", EDITIONS, ids=lambda s: s.key)
def test_adjoining_barrels_keep_all_snow_and_gather_it_in_the_valley(standard):
    """7.4.4 and 7.6.3, recalled: no reduction for the slope; 0.5 p_f = 10.5 psf at the crown to 2 p_f / C_e = 42 psf in the valley."""
    steep = circular_roof(SPAN, 300.0)
    found = by_name(standard, steep, replace(SITE, eaves=("valley", "free")))
    np.testing.assert_allclose(found["S balanced"].pressure / PSF, 21.0)
    valley = found["S valley left"]
    np.testing.assert_allclose([at(valley, 0), at(valley, 25), at(valley, 49.999), at(valley, 75)], [42, 26.25, 10.5, 0], atol=0.01)
    assert "S unbalanced left" not in found
    assert "S unbalanced right" in found
    both = by_name(standard, steep, replace(SITE, eaves=("valley", "valley")))
    assert [n for n in both if "valley" in n] == ["S valley left", "S valley right", "S valley left and right"]
    assert total(both["S valley left and right"]) == pytest.approx(2 * total(valley))


def test_snow_in_a_valley_does_not_stand_higher_than_on_the_crown():
    """A rise of 1 ft with snow of 17.9 pcf: 10.5 + 17.9 = 28.4 psf in place of 42."""
    flat = circular_roof(SPAN, 12.0)
    assert at(by_name(asce7_16.STANDARD, flat, replace(SITE, eaves=("valley", "free")))["S valley left"], 0) == pytest.approx(28.4)


@pytest.mark.parametrize("standard", EDITIONS, ids=lambda s: s.key)
def test_a_roof_or_the_ground_near_the_eave_keeps_the_snow_of_30_degrees(standard):
    """7.6.2, recalled: an eave of 60 degrees would carry 2 p_f x 10/40; with the ground near it carries the 2 p_f of the 30 degree point."""
    steep = circular_roof(SPAN, SPAN / 2 * math.tan(math.radians(30)))
    free = by_name(standard, steep, SITE)["S unbalanced left"]
    near = by_name(standard, steep, replace(SITE, eaves=("near", "free")))
    assert at(free, 0) == pytest.approx(42 * 10 / 40, rel=1e-3)
    assert at(near["S unbalanced left"], 0) == pytest.approx(42.0, rel=1e-6)
    assert at(near["S unbalanced right"], 100) == pytest.approx(42 * 10 / 40, rel=1e-3)
    assert "near" in near["S unbalanced left"].notes[0]


@pytest.mark.parametrize("standard", EDITIONS, ids=lambda s: s.key)
def test_partial_load_is_the_balanced_one_on_a_half_and_half_of_it_on_the_other(standard):
    found = by_name(standard, BOWSTRING, SITE)
    np.testing.assert_allclose([at(found["S partial left"], f) for f in (10, 49, 51, 90)], [21, 21, 10.5, 10.5], rtol=1e-6)
    assert total(found["S partial left"]) == pytest.approx(0.75 * total(found["S balanced"]))


def test_drift_height_of_7_16_by_hand():
    """7.7.1 with p_g 40, l_u 100: 0.43 x 4.6416 x 2.6591 - 1.5 = 3.807 ft; gamma 0.13 x 40 + 14 = 19.2 pcf. Windward: three quarters."""
    h = float(snow_16.h_d(I_s=1.0, l_u=100.0, p_g=40.0))
    assert h == pytest.approx(3.807, abs=2e-3)
    assert float(snow_16.h_d(1.1, 100.0, 40.0)) == pytest.approx(math.sqrt(1.1) * h)
    assert float(snow_16.gamma(40.0)) == pytest.approx(19.2)
    assert float(snow_16.gamma(200.0)) == 30.0
    assert float(snow_16.h_windward(h)) == pytest.approx(0.75 * h)
    assert float(snow_16.w(h, 5.0)) == pytest.approx(4 * h)
    assert float(snow_16.w(3.0, 2.0)) == pytest.approx(16.0)  # 4 x 9 / 2 = 18, at most 8 x 2
    assert float(snow_16.w(2.5, 2.0)) == pytest.approx(12.5)
    with pytest.raises(OutOfRange):
        snow_16.w(1.0, 0.0)


@pytest.mark.parametrize(("fetch", "height"), [(20.0, 0.43 * 20 ** (1 / 3) * 40**0.25 - 1.5), (4.0, math.sqrt(30 * 4 / (4 * 17.9)))])
def test_short_roofs_upwind(fetch, height):
    """Under 20 ft the formula stays at 20 ft, and the snow of the roof upwind is a limit: sqrt(30 x 4 / (4 x 17.9)) = 1.294 ft (recalled)."""
    from detailgen.core.clause import Calculation

    assert snow_16.RULES.drift_height(fetch, SITE, Calculation()) == pytest.approx(height)


def test_drift_beside_a_higher_roof():
    """Left eave, p_g 30, balanced 21 psf = 1.173 ft deep, step 8 ft, 100 ft of roof on either side.

    h_d = 0.43 x 100^(1/3) x 40^(1/4) - 1.5 = 3.5195 ft (leeward decides over windward), 14.08 ft wide, 3.5195 x 17.9 = 63.0 psf at the step.
    """
    source = DriftSource("higher roof", "left", 8 * FOOT, 100 * FOOT, 100 * FOOT)
    drift = by_name(asce7_16.STANDARD, BOWSTRING, replace(SITE, drifts=(source,)))["S drift left"]
    h = 0.43 * 100 ** (1 / 3) * 40**0.25 - 1.5
    assert at(drift, 0) == pytest.approx(21 + h * 17.9, rel=1e-6)
    assert at(drift, 2 * h) == pytest.approx(21 + h * 17.9 / 2, rel=1e-3)
    assert at(drift, 4 * h + 0.1) == pytest.approx(21, rel=1e-6)
    assert "lee" in drift.notes[0]


def test_a_low_step_cuts_the_drift_and_widens_it():
    """Step 3 ft: h_c = 3 - 1.173 = 1.827 ft, under h_d 3.52: 1.827 ft high, and the lesser of 4 h_d^2 / h_c = 27.1 and 8 h_c = 14.6 ft wide."""
    source = DriftSource("higher roof", "right", 3 * FOOT, 100 * FOOT, 100 * FOOT)
    drift = by_name(asce7_16.STANDARD, BOWSTRING, replace(SITE, drifts=(source,)))["S drift right"]
    clear = 3 - 21 / 17.9
    assert at(drift, 100) == pytest.approx(21 + clear * 17.9, rel=1e-6)
    assert at(drift, 100 - 8 * clear - 0.1) == pytest.approx(21, rel=1e-6)
    assert at(drift, 100 - 4 * clear) == pytest.approx(21 + clear * 17.9 / 2, rel=1e-3)


def test_a_parapet_and_one_that_hardly_stands_out():
    parapet = DriftSource("parapet", "left", 6 * FOOT, 0.0, 100 * FOOT)
    found = by_name(asce7_16.STANDARD, BOWSTRING, replace(SITE, drifts=(parapet,)))
    h = 0.75 * (0.43 * 100 ** (1 / 3) * 40**0.25 - 1.5)
    assert at(found["S drift left"], 0) == pytest.approx(21 + h * 17.9, rel=1e-6)
    low = by_name(asce7_16.STANDARD, BOWSTRING, replace(SITE, drifts=(replace(parapet, height=1.3 * FOOT),)))
    assert "S drift left" not in low
    assert any("hardly stands" in n for n in low["S balanced"].notes)


def test_an_end_wall_loads_the_truss_beside_it_along_its_whole_length():
    """Mean of the triangle over 12 ft of roof from 4 to 16 ft of the wall; nothing from its end at 14.08 ft on."""
    source = DriftSource("higher roof", "end wall", 8 * FOOT, 100 * FOOT, 100 * FOOT, 10 * FOOT, 12 * FOOT)
    drift = by_name(asce7_16.STANDARD, BOWSTRING, replace(SITE, drifts=(source,)))["S drift end wall"]
    h = 0.43 * 100 ** (1 / 3) * 40**0.25 - 1.5
    peak, w = h * 17.9, 4 * h
    mean = peak * (1 - 4 / w) / 2 * (w - 4) / 12
    np.testing.assert_allclose(drift.pressure / PSF, 21 + mean, rtol=1e-4)


def test_gable_of_two_straight_slopes():
    """p_g 30, 65 ft slopes of 1/2 on 12 (S = 24): h_d = 0.43 x 65^(1/3) x 40^(1/4) - 1.5 = 2.85 ft; the lee slope carries balanced snow and
    h_d gamma / sqrt S over 8 sqrt S h_d / 3, the windward slope 0.3 of the balanced load. Same rule as O'Rourke 6-2 (130 ft: 3.97 ft)."""
    roof = gable(math.degrees(math.atan(1 / 24)), 130 * FOOT)
    found = by_name(asce7_16.STANDARD, roof, SITE)
    h = 0.43 * 65 ** (1 / 3) * 40**0.25 - 1.5
    lee = found["S unbalanced left"]
    balanced = at(found["S balanced"], 20)
    assert at(lee, 64.9) == pytest.approx(balanced + h * 17.9 / math.sqrt(24), rel=1e-3)
    assert at(lee, 65 - 8 * math.sqrt(24) * h / 3 - 0.5) == pytest.approx(balanced, rel=1e-6)
    assert at(lee, 70) == pytest.approx(0.3 * balanced, rel=1e-6)
    for slope in (2.0, 31.0):
        assert "S unbalanced left" not in by_name(asce7_16.STANDARD, gable(slope), SITE)


@pytest.mark.parametrize(("standard", "limit", "rain"), [(asce7_16.STANDARD, 20, 5), (asce7_22.STANDARD, 30, 8)], ids=["7-16", "7-22"])
def test_rain_on_snow_where_the_roof_is_flat_for_its_width(standard, limit, rain):
    """7.10, recalled: 5 psf (7-22: 8 psf) for little ground snow and a slope under W/50; here W = 50 ft, limit 1 degree."""
    for ground, slope, wet in ((limit, 0.9, True), (limit, 1.1, False), (limit + 1, 0.9, False)):
        site = replace(SITE, ground_snow=ground * PSF, exposure=1.5)  # so that the least load of low slopes is not above it
        balanced = by_name(standard, gable(slope), site)["S balanced"]
        flat = 0.7 * 1.5 * ground
        least = min(ground, limit)
        assert at(balanced, 20) == pytest.approx(max(flat + rain * wet, least), rel=1e-6)
        assert any("Rain" in n for n in balanced.notes) is wet


def test_7_22_has_strength_level_snow():
    """7-22, recalled: no importance factor, least load up to p_m,max of the risk category (II: 30 psf), drift by the winter wind parameter."""
    balanced = by_name(asce7_22.STANDARD, BOWSTRING, SITE)["S balanced"]
    assert at(balanced, 30) == pytest.approx(21.0)
    with pytest.raises(NotCovered, match="importance"):
        asce7_22.STANDARD.snow(BOWSTRING, replace(SITE, importance=1.1))
    flat = gable(2.0)
    for risk, most in (("I", 25), ("II", 30), ("III", 35), ("IV", 40)):
        site = replace(SITE, ground_snow=60 * PSF, exposure=0.7, thermal=0.9, risk=risk)
        assert at(by_name(asce7_22.STANDARD, flat, site)["S balanced"], 20) == pytest.approx(max(0.7 * 0.7 * 0.9 * 60, most), rel=1e-6)
    # Equation 7.6-1 by hand: 1.5 sqrt(42^0.74 x 100^0.70 x 0.45^1.7 / 19.46) = 3.446 ft (also a published case).
    assert drift_height(42.0, 100.0, 0.45) == pytest.approx(3.446, rel=2e-3)
    drift = DriftSource("parapet", "left", 6 * FOOT, 0.0, 100 * FOOT)
    with pytest.raises(NotCovered, match="winter wind"):
        asce7_22.STANDARD.snow(BOWSTRING, replace(SITE, drifts=(drift,)))
    found = by_name(asce7_22.STANDARD, BOWSTRING, replace(SITE, drifts=(drift,), winter_wind=0.45))["S drift left"]
    assert at(found, 0) == pytest.approx(21 + 0.75 * drift_height(30.0, 100.0, 0.45) * 17.9, rel=1e-6)


@given(exposure=st.floats(0.7, 1.2), thermal=st.sampled_from([1.0, 1.1, 1.2]), slippery=st.booleans(), step=st.floats(1e-6, 1e-4))
def test_7_22_cases_1_and_2_agree_at_thirty_degrees(exposure, thermal, slippery, step):
    rise = [50 * math.tan(math.radians(30 + d) / 2) for d in (-step, 0.0, step)]
    found = [curved_roof_snow(100.0, r, 21.0, exposure, thermal, slippery).half for r in rise]
    assert (found[0].case, found[2].case) == (1, 2)
    places = np.linspace(0, 50, 21)
    for half in found:
        np.testing.assert_allclose(
            np.interp(places, half.distance, half.pressure), np.interp(places, found[1].distance, found[1].pressure), rtol=1e-4
        )


@pytest.mark.parametrize(
    ("thermal", "slippery", "full_to"),
    [(1.0, False, 30), (1.1, False, 37.5), (1.19, False, 37.5), (1.2, False, 45), (1.1, True, 10), (1.3, True, 15)],
)
def test_slope_factor_of_7_22(thermal, slippery, full_to):
    assert snow_22.RULES.slope_limits(thermal, slippery)[:2] == (full_to, 70)


SHARED = ("w", "gamma", "p_d", "h_windward", "p_valley", "p_lee", "C_s", "p_s", "p_crown", "p_partial", "p_ridge", "l_ridge", "p_windward")


@pytest.mark.parametrize("name", SHARED)
def test_what_both_editions_share_is_the_same(name):
    one, other = getattr(snow_16, name), getattr(snow_22, name)
    terms = {n: 1.3 + 0.7 * k for k, n in enumerate(one.__code__.co_varnames[: one.__code__.co_argcount])}
    assert float(one(**terms)) == float(other(**terms))


def test_combinations_of_7_22():
    """2.4.1: snow at 0.7, and 0.75 of 0.7 beside others; 2.3.1: 1.0 and 0.3 (recalled)."""
    names = [r.name for r in asce7_22.STANDARD.combinations(["D", "Lr", "S"])]
    assert names == ["D", "D + Lr", "D + 0.7S"]
    assert combinations_22.TABLE.combine("D + 0.7S", {"D": 15, "S": 30}) == pytest.approx(36.0)
    assert combinations_22.TABLE.combine("D + 0.75L + 0.75(0.7S)", {"D": 15, "L": 20, "S": 30}) == pytest.approx(15 + 15 + 15.75)
    strength = {r.name: r for r in asce7_22.STANDARD.combinations(["D", "L", "S", "W"], "strength")}
    assert strength["1.2D + L + S"].factors == (("D", 1.2), ("L", 1.0), ("S", 1.0))
    assert strength["1.2D + L + 0.3S + W"].duration == "wind"


@pytest.mark.parametrize("standard", EDITIONS, ids=lambda s: s.key)
def test_strength_combinations(standard):
    """2.3.1, recalled: 1.4D; 1.2D + 1.6(Lr or S or R); 0.9D + W against uplift. 7-16 takes snow 1.6 times, 7-22 once."""
    found = {r.name: dict(r.factors) for r in standard.combinations(["D", "Lr", "S"], "strength")}
    snow = 1.6 if standard.key == "asce7_16" else 1.0
    assert list(found.values()) == [{"D": 1.4}, {"D": 1.2, "Lr": 1.6}, {"D": 1.2, "S": snow}]
    with_wind = standard.combinations(["D", "S", "W"], "strength")
    assert {"D": 0.9, "W": 1.0} in [dict(r.factors) for r in with_wind]
    assert all(r.duration in DURATIONS for r in with_wind)
    beside = next(r for r in with_wind if dict(r.factors) == {"D": 1.2, "S": snow, "W": 0.5})
    assert beside.duration == "snow"  # the snow decides the time effect, not the wind beside it
    with pytest.raises(NotCovered, match="design method"):
        standard.combinations(["D"], "limit state")


@given(kinds=st.sets(st.sampled_from(["L", "Lr", "S", "R", "W"])), standard=st.sampled_from(EDITIONS), method=st.sampled_from(METHODS))
def test_everything_that_acts_acts_somewhere_and_no_combination_stands_twice(kinds, standard, method):
    found = standard.combinations(["D", *sorted(kinds)], method)
    assert {k for r in found for k, _ in r.factors} == {"D", *kinds}
    assert len({r.factors for r in found}) == len(found)


def test_roof_live_load_is_reduced_by_area_and_slope():
    """4.8.2, recalled: R_1 = 1.2 - 0.001 A_t, R_2 = 1.2 - 0.05 F; F of an arch is 32 rise / span. 400 ft2 and F 8: 20 x 0.8 x 0.8 = 12.8 psf."""
    np.testing.assert_allclose(live.R_1(np.array([100.0, 200.0, 400.0, 600.0, 900.0])), [1, 1, 0.8, 0.6, 0.6])
    np.testing.assert_allclose(live.R_2(np.array([2.0, 4.0, 8.0, 12.0, 20.0])), [1, 1, 0.8, 0.6, 0.6])
    arch = RoofLive(20 * PSF, 400 * 144.0, 150.0, 600.0, True)  # F = 8
    load, sheet = asce7_16.STANDARD.roof_live(arch)
    assert load / PSF == pytest.approx(12.8)
    assert sheet.steps()[-1].symbol == "L_r"
    assert asce7_22.STANDARD.roof_live(replace(arch, area=1000 * 144.0))[0] / PSF == pytest.approx(12.0)
    straight = RoofLive(20 * PSF, 150 * 144.0, 100.0, 300.0, False)  # 100 in. rise on 150 in.: F = 8
    assert asce7_16.STANDARD.roof_live(straight)[0] / PSF == pytest.approx(16.0)
    with pytest.raises(OutOfRange):
        asce7_16.STANDARD.roof_live(replace(arch, load=30 * PSF))
