"""ASCE 7-16 and 7-22: both sides of every bound of roof live load, snow and drift, so that a bound that moves by two percent is noticed.

Every expected value is worked by hand from the recalled text of the clause (the printed standard decides).
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from detailgen.core.clause import Calculation
from detailgen.core.errors import NotCovered, OutOfRange
from detailgen.core.table import read_table
from detailgen.standards import asce7_16, asce7_22
from detailgen.standards.asce7_16 import live as live_16
from detailgen.standards.asce7_16 import snow as snow_16
from detailgen.standards.asce7_22 import live as live_22
from detailgen.standards.asce7_22 import roofs as roofs_22
from detailgen.standards.asce7_22 import snow as snow_22
from detailgen.standards.interface import DriftSource, RoofCurve, RoofLive, SnowSite
from detailgen.standards.snow_arrangements import PSF
from detailgen.standards.snow_shapes import circular_roof

FOOT = 12.0
EDITIONS = pytest.mark.parametrize("standard", [asce7_16.STANDARD, asce7_22.STANDARD], ids=lambda s: s.key)
LIVES = pytest.mark.parametrize("live", [live_16, live_22], ids=["7-16", "7-22"])
SNOWS = pytest.mark.parametrize("snow", [snow_16, snow_22], ids=["7-16", "7-22"])
SITE = SnowSite(30 * PSF, 1.0, 1.0, 1.0, False, winter_wind=0.45)
BOWSTRING = circular_roof(1200.0, 600 * math.tan(math.radians(15)))


def gable(slope: float, span_ft: float = 100.0) -> RoofCurve:
    span = span_ft * FOOT
    x = np.linspace(0.0, span, 241)
    return RoofCurve(x, np.where(x < span / 2, 1, -1) * math.radians(slope), span / 2, span, span / 2 * math.tan(math.radians(slope)))


def by_name(standard, roof, site):
    return {p.name: p for p in standard.snow(roof, site)}


# ---------------------------------------------------------------- 4.8.2, roof live load


@LIVES
def test_reduction_by_area_and_slope(live):
    """1.2 - 0.001 A_t between 200 and 600 ft2; 1.2 - 0.05 F between 4 and 12 in 12; 0.6 and 1 outside of them."""
    areas, slopes = np.array([100.0, 201.0, 400.0, 599.0, 601.0, 2000.0]), np.array([1.0, 4.1, 8.0, 11.9, 12.1, 30.0])
    np.testing.assert_allclose(live.R_1(areas), [1, 0.999, 0.8, 0.601, 0.6, 0.6], rtol=1e-12)
    np.testing.assert_allclose(live.R_2(slopes), [1, 0.995, 0.8, 0.605, 0.6, 0.6], rtol=1e-12)
    np.testing.assert_allclose(live.L_r(20.0, np.array([0.8, 0.62, 0.6, 0.6]), np.array([1.0, 1.0, 1.0, 0.8])), [16, 12.4, 12, 12], rtol=1e-12)


@EDITIONS
@pytest.mark.parametrize(("load", "ordinary"), [(11.9, False), (12.0, True), (12.1, True), (19.9, True), (20.0, True), (20.2, False)])
def test_only_ordinary_roofs_are_reduced(standard, load, ordinary):
    roof = RoofLive(load * PSF, 100 * 144.0, 10.0, 600.0, False)
    if ordinary:
        assert standard.roof_live(roof)[0] / PSF == pytest.approx(load)
        return
    with pytest.raises(OutOfRange, match="12 to 20 psf"):
        standard.roof_live(roof)


@EDITIONS
def test_slope_of_arches_and_of_straight_roofs(standard):
    """Arch 60 by 15 ft: F = 32 x 15/60 = 8, R_2 0.8; 400 ft2: R_1 0.8. Straight, 12 ft on 30: F = 4.8 in. per foot, R_2 0.96; 300 ft2: R_1 0.9."""
    arch = RoofLive(20 * PSF, 400 * 144.0, 15 * FOOT, 60 * FOOT, True)
    assert standard.roof_live(arch)[0] / PSF == pytest.approx(12.8)
    straight = RoofLive(20 * PSF, 300 * 144.0, 12 * FOOT, 60 * FOOT, False)
    assert standard.roof_live(straight)[0] / PSF == pytest.approx(17.28)


# ---------------------------------------------------------------- chapter 7, the clauses


@SNOWS
def test_flat_roof_and_slope(snow):
    """7.3: 0.7 C_e C_t (I_s) p_g; 7.4: a straight line; figure 7.4-2: crown and lee; 7.5; 7.6.3."""
    terms = {"I_s": 1.0} if snow is snow_16 else {}
    assert float(snow.p_f(C_e=0.9, C_t=1.1, p_g=40.0, **terms)) == pytest.approx(27.72)
    assert float(snow.C_s(40.0, 30.0, 70.0)) == pytest.approx(0.75)
    assert [float(snow.C_s(s, 30.0, 70.0)) for s in (29.0, 71.0)] == [1.0, 0.0]
    assert float(snow.p_s(0.75, 28.0)) == pytest.approx(21.0)
    assert float(snow.p_crown(0.5, 28.0)) == pytest.approx(14.0)
    assert float(snow.p_lee(2.0, 28.0, 0.75, 0.9)) == pytest.approx(46.6666667)
    assert float(snow.p_partial(0.5, 21.0)) == pytest.approx(10.5)
    assert [float(snow.p_valley(2.0, 28.0, 1.0, 14.0, 20.0, rise)) for rise in (2.0, 2.2)] == pytest.approx([54.0, 56.0])


@SNOWS
def test_density(snow):
    """7.7-1: 0.13 p_g + 14, at most 30 pcf, which is reached at 123 psf."""
    np.testing.assert_allclose(snow.gamma(np.array([1.0, 40.0, 122.0, 124.0, 126.0, 300.0])), [14.13, 19.2, 29.86, 30, 30, 30], rtol=1e-12)


@SNOWS
def test_drifts(snow):
    """7.7.1: 4 h_d wide; where the clear height is less 4 h_d2 / h_c, at most 8 h_c; 7.8: three quarters of a leeward one."""
    found = snow.w(np.array([2.0, 3.0, 3.1, 4.2, 4.25, 6.0]), 3.0)
    np.testing.assert_allclose(found, [8, 12, 4 * 9.61 / 3, 4 * 17.64 / 3, 24, 24], rtol=1e-12)
    assert float(snow.h_windward(4.0)) == pytest.approx(3.0)
    assert float(snow.p_d(4.0, 20.0)) == pytest.approx(80.0)


@SNOWS
def test_ridge_of_a_gable(snow):
    """7.6.1, S = 9: 4 ft of 20 pcf: 80/3 psf over 8 x 4 x 3 / 3 = 32 ft; 0.3 of the balanced load to windward."""
    assert float(snow.p_windward(20.0)) == pytest.approx(6.0)
    assert float(snow.p_ridge(4.0, 20.0, 9.0)) == pytest.approx(80 / 3)
    assert float(snow.l_ridge(4.0, 9.0)) == pytest.approx(32.0)


def test_height_of_drifts():
    """7-16: 0.43 x 64^(1/3) (246 + 10)^(1/4) - 1.5 = 5.38; short roofs sqrt(20 x 9 / (4 x 20)) = 1.5. 7-22, equation 7.6-1, with logarithms:
    p_g 30, l_u 64, W_2 0.5, 20 pcf: 0.74 ln 30 + 0.70 ln 64 + 1.7 ln 0.5 - ln 20 = 1.25408, half of it e^0.62704 = 1.87205, times 1.5."""
    assert float(snow_16.h_d(1.0, 64.0, 246.0)) == pytest.approx(5.38)
    assert float(snow_16.h_short(1.0, 20.0, 9.0, 20.0)) == pytest.approx(1.5)
    assert float(snow_22.h_d(30.0, 64.0, 0.5, 20.0)) == pytest.approx(2.80808, abs=2e-4)


def test_least_loads_of_low_slopes():
    """7.3.4 of 7-16: I_s p_g up to 20 psf, 20 I_s beyond; 7.3.3 of 7-22: up to the table's value."""
    np.testing.assert_allclose(snow_16.p_m(1.1, np.array([19.9, 20.1, 60.0])), [21.89, 22, 22], rtol=1e-12)
    np.testing.assert_allclose(snow_22.p_m(np.array([29.0, 31.0]), 30.0), [29, 30])


# ---------------------------------------------------------------- the tables

SHARED = {
    "least chord slope": 10, "greatest chord slope": 60, "slope of the inner point": 30, "slope free of snow": 70, "crown factor": 0.5,
    "eave factor": 2, "partial factor": 0.5, "least gable slope": 2.38, "greatest gable slope": 30.2, "least clear height": 0.2,
    "rain slope divisor": 50,
}  # fmt: skip


def test_snow_numbers_keyed_a_second_time():
    """7.6.1 (1/2 on 12 to 7 on 12: 2.38 to 30.2 degrees), 7.6.2, 7.5, 7.7, 7.10: 5 psf of rain, 8 in 7-22; 20 ft only in 7-16."""
    for snow, own in ((snow_16, {"rain surcharge": 5, "short roof": 20}), (snow_22, {"rain surcharge": 8})):
        assert {str(r["what"]): r["value"] for r in read_table(snow.TABLES, "snow_numbers")} == {**SHARED, **own}
    assert math.degrees(math.atan(0.5 / 12)) == pytest.approx(2.38, abs=0.01)
    assert math.degrees(math.atan(7 / 12)) == pytest.approx(30.2, abs=0.1)


@SNOWS
@pytest.mark.parametrize(("chord", "needed"), [(9.9, False), (10.0, True), (10.1, True), (59.9, True), (60.0, True), (60.3, False)])
def test_curved_roofs_that_need_unbalanced_snow(snow, chord, needed):
    assert snow.RULES.is_unbalanced_needed(chord) is needed


@EDITIONS
@pytest.mark.parametrize(("slope", "needed"), [(2.36, False), (2.39, True), (30.1, True), (30.3, False)])
def test_gables_that_need_unbalanced_snow(standard, slope, needed):
    assert ("S unbalanced left" in by_name(standard, gable(slope), SITE)) is needed


@pytest.mark.parametrize(
    ("thermal", "other", "slippery"),
    [(0.85, 30, 5), (1.0, 30, 5), (1.01, 45, 15), (1.09, 45, 15), (1.1, 37.5, 10), (1.11, 45, 15), (1.2, 45, 15), (1.3, 45, 15)],
)
def test_slopes_of_7_16(thermal, other, slippery):
    """Figure 7.4-1: C_t of 1.1 has its own line; any other above 1.0 that of 1.2 (as the table's note reads it). No snow from 70 degrees on."""
    assert [snow_16.RULES.slope_limits(thermal, s)[:2] for s in (False, True)] == [(other, 70), (slippery, 70)]


@pytest.mark.parametrize(
    ("thermal", "other", "slippery"),
    [(0.85, 30, 5), (1.0, 30, 5), (1.098, 30, 5), (1.1, 37.5, 10), (1.11, 37.5, 10), (1.198, 37.5, 10), (1.2, 45, 15), (1.21, 45, 15), (1.3, 45, 15)],
)
def test_slopes_of_7_22(thermal, other, slippery):
    """Figure 7.4-1 of 7-22: below 1.1, from 1.1 to 1.2, from 1.2 on."""
    assert [snow_22.RULES.slope_limits(thermal, s)[:2] for s in (False, True)] == [(other, 70), (slippery, 70)]


# ---------------------------------------------------------------- arrangements


@EDITIONS
@pytest.mark.parametrize(("share", "drifted"), [(0.198, False), (0.202, True)])
def test_what_hardly_stands_above_the_snow_gathers_none(standard, share, drifted):
    """7.7: no drift where the clear height is under 0.2 of the balanced snow, here 21 psf / 17.9 pcf deep."""
    parapet = DriftSource("parapet", "left", 21 / 17.9 * (1 + share) * FOOT, 0.0, 100 * FOOT)
    assert ("S drift left" in by_name(standard, BOWSTRING, replace(SITE, drifts=(parapet,)))) is drifted


def test_a_truss_wholly_inside_the_drift_of_an_end_wall():
    """7.7.1 of 7-16: p_g 30, 100 ft upwind: 3.5195 ft of 17.9 pcf, 14.078 ft wide. From 3 to 7 ft of the wall the mean is 63.0 (1 - 5/14.078) psf."""
    source = DriftSource("higher roof", "end wall", 8 * FOOT, 100 * FOOT, 100 * FOOT, 5 * FOOT, 4 * FOOT)
    drift = by_name(asce7_16.STANDARD, BOWSTRING, replace(SITE, drifts=(source,)))["S drift end wall"]
    h = 0.43 * 100 ** (1 / 3) * 40**0.25 - 1.5
    np.testing.assert_allclose(drift.pressure / PSF, 21 + h * 17.9 * (1 - 5 / (4 * h)), rtol=1e-6)


@pytest.mark.parametrize(("standard", "limit", "rain"), [(asce7_16.STANDARD, 20, 5), (asce7_22.STANDARD, 30, 8)], ids=["7-16", "7-22"])
@pytest.mark.parametrize(("over", "slope", "wet"), [(0.0, 0.99, True), (0.0, 1.01, False), (0.2, 0.99, False)])
def test_rain_on_snow_beside_its_bounds(standard, limit, rain, over, slope, wet):
    """7.10: W = 50 ft, so slopes under 1 degree, and ground snow up to 20 psf (7-22, risk category II: 30). C_e 1.6: the least load is below."""
    site = replace(SITE, ground_snow=(limit + over) * PSF, exposure=1.6)
    balanced = by_name(standard, gable(slope), site)["S balanced"].pressure / PSF
    np.testing.assert_allclose(balanced, 0.7 * 1.6 * (limit + over) + rain * wet, rtol=1e-6)


@pytest.mark.parametrize(("risk", "limit"), [("I", 25), ("II", 30), ("III", 35), ("IV", 40)])
def test_rain_on_snow_by_risk_category(risk, limit):
    for over, wet in ((0.0, 8), (0.2, 0)):
        site = replace(SITE, ground_snow=(limit + over) * PSF, exposure=1.6, risk=risk)
        balanced = by_name(asce7_22.STANDARD, gable(0.5), site)["S balanced"].pressure / PSF
        np.testing.assert_allclose(balanced, 0.7 * 1.6 * (limit + over) + wet, rtol=1e-6)


@pytest.mark.parametrize(("fetch", "height"), [(19.9, math.sqrt(0.5 * 19.9 / (4 * 14.065))), (20.1, 0.43 * 20.1 ** (1 / 3) * 10.5**0.25 - 1.5)])
def test_a_roof_upwind_of_twenty_feet_is_no_short_one(fetch, height):
    """7.7.1 of 7-16: below 20 ft the snow of the roof upwind is a limit, sqrt(p_g l_u / 4 gamma). It decides with 0.5 psf only: 14.065 pcf."""
    assert snow_16.RULES.drift_height(fetch, replace(SITE, ground_snow=0.5 * PSF), Calculation()) == pytest.approx(height)


def test_named_values_of_7_22():
    """Flat roof 0.7 x 0.9 x 1.1 x 40 = 27.72 psf; an arch of 80 by 16 ft under 28 psf: half of it at the crown, twice at 30 degrees."""
    assert roofs_22.flat_roof_snow(0.9, 1.1, 40.0) == pytest.approx(27.72)
    found = roofs_22.curved_roof_snow(80.0, 16.0, 28.0, 1.0, 1.0, False)
    assert (found.half.at_crown, found.half.at_30) == (pytest.approx(14.0), pytest.approx(56.0))


def test_importance_other_than_one_is_refused_by_7_22():
    for importance in (0.8, 0.99, 1.01, 1.2):
        with pytest.raises(NotCovered, match="importance"):
            asce7_22.STANDARD.snow(BOWSTRING, replace(SITE, importance=importance))
