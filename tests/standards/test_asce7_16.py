"""ASCE 7-16: snow on curved roofs and combinations. Where no source is named, the number is worked by hand from the recalled rule."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from detailgen.core.clause import Calculation
from detailgen.core.errors import NotCovered, OutOfRange
from detailgen.core.geometry import arc_radius, arc_slopes
from detailgen.standards.asce7_16 import STANDARD, snow
from detailgen.standards.asce7_16.combinations import TABLE
from detailgen.standards.asce7_16.roofs import PSF, curved_roof_snow
from detailgen.standards.interface import DURATIONS, RoofCurve, SnowSite
from detailgen.standards.snow_shapes import circular_roof

pytestmark = pytest.mark.filterwarnings("error")
SITE = SnowSite(30 * PSF, 1.0, 1.0, 1.0, False)
FOOT = 12.0


def rise_for(span, eave_degrees):
    """Rise of the arc whose tangent at the eave has this slope: span/2 x tan of half of it."""
    return span / 2 * math.tan(math.radians(eave_degrees) / 2)


def total(load):
    return float(np.sum((load.pressure[1:] + load.pressure[:-1]) / 2 * np.diff(load.x)))


@pytest.mark.parametrize(
    ("thermal", "slippery", "full_to"),
    [(1.0, False, 30), (0.85, False, 30), (1.1, False, 37.5), (1.2, False, 45), (1.3, False, 45), (1.0, True, 5), (1.1, True, 10), (1.2, True, 15)],
)
def test_slope_factor_by_surface_and_thermal_factor(thermal, slippery, full_to):
    """Figure 7.4-1, recalled (the cold slippery line for C_t 1.1 also seen in print): 1.0 up to a slope, 0 at 70, straight between."""
    full, none, _ = snow.RULES.slope_limits(thermal, slippery)
    assert (full, none) == (full_to, 70)
    found = snow.C_s(np.array([0.0, full_to, (full_to + 70) / 2, 70.0, 85.0]), full, none)
    np.testing.assert_allclose(found, [1, 1, 0.5, 0, 0], atol=1e-12)


def test_flat_and_least_loads():
    """7.3: O'Rourke example 4-3, 25.2 psf. 7.3.4 (recalled): I_s p_g up to 20 psf, 20 I_s over it."""
    assert float(snow.p_f(1.0, 1.2, 1.0, 30.0)) == pytest.approx(25.2)
    assert float(snow.p_m(1.1, 15.0)) == pytest.approx(16.5)
    assert float(snow.p_m(1.1, 50.0)) == pytest.approx(22.0)
    with pytest.raises(OutOfRange):
        snow.p_f(0.0, 1.0, 1.0, 30.0)


def test_bowstring_with_radius_equal_to_span():
    """100 ft, radius = span, p_g 30: balanced 21 psf throughout; unbalanced 10.5 psf at the crown to 42 psf at the eave of one half."""
    span = 1200.0
    balanced, left, right, *parts = STANDARD.snow(circular_roof(span, rise_for(span, 30)), SITE)
    assert [p.name for p in (balanced, left, right)] == ["S balanced", "S unbalanced left", "S unbalanced right"]
    assert [p.name for p in parts] == ["S partial left", "S partial right"]
    np.testing.assert_allclose(balanced.pressure / PSF, 21.0, rtol=1e-6)
    assert total(left) / PSF == pytest.approx((10.5 + 42) / 2 * 600, rel=1e-6)
    np.testing.assert_allclose(np.interp([0.0, 300.0, 599.0, 601.0, 1200.0], left.x, left.pressure) / PSF, [42, 26.25, 10.5525, 0, 0], rtol=1e-4)
    assert "left half" in left.notes[0]
    assert "right half bare" in left.notes[0]


@pytest.mark.parametrize("eave", [20.0, 30.0, 41.0, 65.0, 80.0])
def test_left_and_right_are_mirror_images(eave):
    span = 1000.0
    _, left, right, left_part, right_part = STANDARD.snow(circular_roof(span, rise_for(span, eave)), SITE)
    np.testing.assert_allclose(left_part.x, span - right_part.x[::-1], atol=1e-6)
    np.testing.assert_allclose(left_part.pressure, right_part.pressure[::-1], rtol=1e-9)
    np.testing.assert_allclose(left.x, span - right.x[::-1], atol=1e-6)
    np.testing.assert_allclose(left.pressure, right.pressure[::-1], rtol=1e-9)
    for load in (left, right):
        assert np.all(np.diff(load.x) >= 0)
        assert np.all(load.pressure >= 0)
        assert (load.x[0], load.x[-1]) == (0.0, span)


@given(exposure=st.floats(0.7, 1.2), thermal=st.sampled_from([1.0, 1.1, 1.2]), slippery=st.booleans(), step=st.floats(1e-6, 1e-4))
def test_cases_1_and_2_agree_at_thirty_degrees(exposure, thermal, slippery, step):
    """At an eave slope of exactly 30 degrees the first two cases are one load; just beside it they differ by nothing to speak of."""
    found = [curved_roof_snow(100.0, rise_for(100.0, 30 + d), 21.0, exposure, thermal, slippery).half for d in (-step, 0.0, step)]
    assert found[0].case == 1
    assert found[2].case == 2
    at = np.linspace(0, 50, 21)
    pressures = [np.interp(at, h.distance, h.pressure) for h in found]
    np.testing.assert_allclose(pressures[0], pressures[1], rtol=1e-4)
    np.testing.assert_allclose(pressures[2], pressures[1], rtol=1e-4)


@pytest.mark.parametrize(("chord", "needed"), [(9.9, False), (10.0, True), (10.1, True), (59.9, True), (60.0, True), (60.1, False)])
def test_unbalanced_snow_between_ten_and_sixty_degrees(chord, needed):
    assert snow.RULES.is_unbalanced_needed(chord) is needed


@pytest.mark.parametrize(("chord", "count"), [(9.9, 3), (10.1, 5), (15.0, 5)])
def test_flat_arches_need_no_unbalanced_snow_and_keep_the_least_load(chord, count):
    span = 1000.0
    found = STANDARD.snow(circular_roof(span, span / 2 * math.tan(math.radians(chord))), SnowSite(30 * PSF, 0.7, 1.0, 1.0, False))
    assert len(found) == count
    flat = 0.7 * 0.7 * 30  # 14.7 psf, under the least load of 20 psf
    np.testing.assert_allclose(found[0].pressure / PSF, 20.0 if count == 3 else flat, rtol=1e-6)
    assert any("No unbalanced snow" in n for n in found[0].notes) is (count == 3)
    assert any("least load" in n for n in found[0].notes) is (count == 3)


def test_case_2_theater():
    """80 ft by 15 ft, p_f 17, C_e 0.9 (ASCE 7 Commentary example, from memory): half of p_f at the crown, 38 at 30 degrees, 27 at the eave.

    The 30 degree point lies R sin 30 = 60.833/2 = 30.417 ft from the crown.
    """
    half = curved_roof_snow(80.0, 15.0, 17.0, 0.9, 1.0, False).half
    assert half.case == 2
    assert half.distance[1] == pytest.approx(30.417, abs=2e-3)
    assert half.at_crown == pytest.approx(8.5)
    assert half.at_30 == pytest.approx(38, rel=0.02)
    assert half.at_eave == pytest.approx(27, rel=0.02)


def test_case_3_ends_at_seventy_degrees():
    """Eave at 80 degrees, R = 50/sin 80 = 50.7713 ft: 30 degrees at 25.3857 ft, bare from R sin 70 = 47.7094 ft on."""
    found = curved_roof_snow(100.0, rise_for(100.0, 80), 20.0, 1.0, 1.0, False)
    half = found.half
    assert half.case == 3
    np.testing.assert_allclose(half.distance, [0, 25.3857, 47.7094, 50], atol=5e-3)
    np.testing.assert_allclose(half.pressure, [10, 40, 0, 0], atol=1e-9)
    # Chord from the 70 degree point: (R - R cos 70)/(R sin 70) = tan 35.
    assert found.chord_slope == pytest.approx(35.0, abs=0.02)
    balanced = STANDARD.snow(circular_roof(1200.0, rise_for(1200.0, 80)), SITE)[0]
    assert np.all(balanced.pressure[balanced.x < 26] == 0)  # (50 - 47.709) ft = 27.5 in.


def test_a_vertical_eave_is_no_obstacle():
    """Half circle: the chord counts from the 70 degree point, so it is 35 degrees again."""
    found = curved_roof_snow(100.0, 50.0, 20.0, 1.0, 1.0, False)
    assert found.chord_slope == pytest.approx(35.0, abs=0.05)


def test_balanced_load_follows_the_slope_with_its_breaks_among_the_points():
    """41 degree eave: full load to the 30 degree point, then (70 - slope)/40 of it."""
    span = 960.0
    load = STANDARD.snow(circular_roof(span, 180.0), SITE)[0]
    radius = arc_radius(span, 180.0)
    at = np.linspace(1, span - 1, 500)
    slope = np.degrees(np.arcsin(np.abs(span / 2 - at) / radius))
    np.testing.assert_allclose(np.interp(at, load.x, load.pressure) / PSF, 21 * np.minimum(1, (70 - slope) / 40), rtol=1e-4)
    assert np.min(np.abs(load.x - (span / 2 - radius / 2))) < 0.01


def test_straight_pieces_are_a_roof_too():
    """Top chord of straight pieces: slopes stand in steps; the steeper outer piece still decides the eave."""
    x = np.array([0.0, 199.0, 200.0, 599.0, 600.0, 601.0, 1000.0, 1001.0, 1200.0])
    slope = np.radians([35.0, 35.0, 15.0, 15.0, 0.0, -15.0, -15.0, -35.0, -35.0])
    roof = RoofCurve(x, slope, 600.0, 1200.0, 200 * math.tan(math.radians(35)) + 400 * math.tan(math.radians(15)))
    found = STANDARD.snow(roof, SITE)
    assert [p.name for p in found[:3]] == ["S balanced", "S unbalanced left", "S unbalanced right"]
    assert found[1].pressure[0] / PSF == pytest.approx(42 * 35 / 40)
    assert found[0].pressure[0] / PSF == pytest.approx(21 * 35 / 40)


def test_more_ground_snow_is_in_proportion_and_none_is_none():
    roof = circular_roof(1000.0, 150.0)
    one, two, none = (STANDARD.snow(roof, SnowSite(g * PSF, 1.0, 1.0, 1.0, False)) for g in (20.0, 40.0, 0.0))
    for a, b, c in zip(one, two, none, strict=True):
        np.testing.assert_allclose(b.pressure, 2 * a.pressure)
        assert np.all(c.pressure == 0)


def test_the_sheet_shows_how_the_numbers_came_about():
    for load in STANDARD.snow(circular_roof(960.0, 180.0), SITE)[:3]:
        symbols = {s.symbol: s for s in load.calculation.steps()}
        assert symbols["p_f"].value == pytest.approx(21.0)
        assert symbols["p_f"].unit == "psf"
        assert all(math.isfinite(s.value) for s in symbols.values())
    assert isinstance(load.calculation, Calculation)
    assert symbols["p_lee"].value == pytest.approx(load.pressure[-1] / PSF)


def test_a_thermal_factor_beyond_the_table_is_not_covered():
    with pytest.raises(NotCovered):
        snow.RULES.slope_limits(-1.0, False)


def test_combinations_of_dead_roof_live_and_snow():
    found = STANDARD.combinations(["D", "Lr", "S"])
    assert [(r.name, r.factors, r.duration) for r in found] == [
        ("D", (("D", 1.0),), "permanent"),
        ("D + Lr", (("D", 1.0), ("Lr", 1.0)), "construction"),
        ("D + S", (("D", 1.0), ("S", 1.0)), "snow"),
    ]
    assert [r.name for r in STANDARD.combinations(["D"])] == ["D"]
    assert all(r.cite.table == "asd_combinations" for r in found)


def test_combinations_with_wind_and_floor_live_load():
    """2.4.1, recalled: 0.45 W is 0.75 of 0.6 W; 0.6 D + 0.6 W stands against uplift."""
    names = [r.name for r in STANDARD.combinations(["D", "S", "W"])]
    assert names == ["D", "D + S", "D + 0.6W", "D + 0.45W + 0.75S", "0.6D + 0.6W"]
    names = [r.name for r in STANDARD.combinations(["D", "L", "S", "W"])]
    assert "D + 0.75L + 0.45W + 0.75S" in names
    assert "D + 0.45W + 0.75S" not in names
    with pytest.raises(NotCovered, match="E"):
        STANDARD.combinations(["D", "E"])


kinds = st.sets(st.sampled_from(["L", "Lr", "S", "R", "W"]))


@given(kinds=kinds)
def test_every_combination_uses_only_what_acts_and_everything_acts_somewhere(kinds):
    found = STANDARD.combinations(["D", *sorted(kinds)])
    assert {k for r in found for k, _ in r.factors} == {"D", *kinds}
    assert len({r.factors for r in found}) == len(found)
    for rule in found:
        assert rule.duration in DURATIONS
        loads = dict(zip(("D", "L", "Lr", "S", "R", "W"), (15.0, 40.0, 20.0, 30.0, 5.0, 25.0), strict=True))
        assert TABLE.combine(rule.name, loads) == pytest.approx(sum(f * loads[k] for k, f in rule.factors))


def test_a_combination_by_its_printed_name():
    """D + 0.75L + 0.75Lr: 117.5 psf in J. Thomas MST 7.17. The nested 0.75(0.6W) reads as 0.45 W."""
    assert TABLE.combine("D + 0.75L + 0.75Lr", {"D": 20, "L": 90, "Lr": 40}) == pytest.approx(117.5)
    assert TABLE.combine("D + 0.75L + 0.75(0.6W) + 0.75S", {"D": 20, "L": 40, "W": 20, "S": 30}) == pytest.approx(20 + 30 + 9 + 22.5)
    for name in ("D + 0.7S", "1.2D + 1.6S", "D + X"):
        with pytest.raises(NotCovered):
            TABLE.combine(name, {"D": 1.0, "S": 1.0})


def test_arc_over_a_span():
    """64 ft by 16 ft is the 3-4-5 triangle: R 40. Radius = span has 30 degrees at the ends and 15 to the crown."""
    arc = arc_slopes(64.0, 16.0)
    assert (arc.radius, arc.crown_to_30) == (pytest.approx(40.0), pytest.approx(20.0))
    assert math.sin(arc.eave_slope) == pytest.approx(0.8)
    bow = arc_slopes(100.0, 100.0 * (1 - math.cos(math.pi / 6)))
    assert math.degrees(bow.eave_slope) == pytest.approx(30.0)
    assert math.degrees(bow.chord_slope) == pytest.approx(15.0)
    assert math.isnan(arc_slopes(100.0, 5.0).crown_to_30)
    for span, rise in ((0.0, 1.0), (10.0, 0.0), (10.0, 5.1)):
        with pytest.raises(ValueError):
            arc_slopes(span, rise)
