"""Snow along a roof: balanced, and unbalanced on either half (ASCE 7-16 7.4, 7.6.2). psf and ft inside; psi and inches outside."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from detailgen.core.clause import Calculation, Cite
from detailgen.core.geometry import arc_radius
from detailgen.core.units import FOOT, UNITS
from detailgen.standards.asce7_16 import snow
from detailgen.standards.asce7_16.snow import HalfRoof, UnbalancedHalf
from detailgen.standards.interface import Floats, RoofCurve, RoofPressure, SnowSite

PSF = UNITS["area load"]["psf"]
SITE = Cite("project file", "snow")


def _halves(roof: RoofCurve) -> tuple[HalfRoof, HalfRoof]:
    """Left and right half, from the crown outward."""
    x, slope = np.asarray(roof.x, dtype=float) / FOOT, np.abs(np.degrees(np.asarray(roof.slope, dtype=float)))
    crown = roof.crown / FOOT
    here = float(np.interp(crown, x, slope))

    def half(sign: float) -> HalfRoof:
        outside = (x - crown) * sign > 1e-9
        order = np.argsort(np.abs(x[outside] - crown), kind="stable")
        distance = np.concatenate([[0.0], np.abs(x[outside] - crown)[order]])
        return HalfRoof(distance, np.concatenate([[here], slope[outside][order]]), roof.rise / FOOT)

    return half(-1.0), half(1.0)


def _flat(site: SnowSite, sheet: Calculation) -> float:
    factors = {"C_e": site.exposure, "C_t": site.thermal, "I_s": site.importance}
    for symbol, value in factors.items():
        sheet.given(symbol, value, "-", SITE)
    ground = sheet.given("p_g", site.ground_snow / PSF, "psf", SITE)
    return float(sheet(snow.p_f, p_g=ground, **factors))


def _balanced(roof: RoofCurve, site: SnowSite, chord: float) -> RoofPressure:
    sheet = Calculation()
    flat = _flat(site, sheet)
    full_to, none_from, cite = snow.slope_limits(site.thermal, site.slippery)
    sheet.given("full_to", full_to, "deg", cite)
    sheet.given("none_from", none_from, "deg", cite)
    x, slope = _with_breaks(np.asarray(roof.x, dtype=float), np.abs(np.degrees(np.asarray(roof.slope, dtype=float))), (full_to, none_from))
    factor = sheet(snow.C_s, slope=slope, full_to=full_to, none_from=none_from)
    pressure = np.asarray(sheet(snow.p_s, C_s=factor, p_f=flat), dtype=float)
    notes = []
    if chord < snow.curved("least chord slope"):
        least = float(sheet(snow.p_m, I_s=site.importance, p_g=site.ground_snow / PSF))
        if (pressure < least).any():
            notes.append(f"Raised to the least load of low slopes, {least:.1f} psf (7.3.4), where the balanced load is smaller.")
        pressure = np.maximum(pressure, least)
    return RoofPressure("S balanced", x, pressure * PSF, sheet, tuple(notes))


def _with_breaks(x: Floats, slope: Floats, breaks: tuple[float, ...]) -> tuple[Floats, Floats]:
    """Add the places where the slope (deg) passes a break of the slope factor, so that straight lines between the points are exact enough."""
    added_x, added_slope = [], []
    for value in breaks:
        low, high = slope[:-1], slope[1:]
        crossing = np.flatnonzero((low - value) * (high - value) < 0)
        share = (value - low[crossing]) / (high[crossing] - low[crossing])
        added_x.append(x[crossing] + share * (x[crossing + 1] - x[crossing]))
        added_slope.append(np.full(len(crossing), value))
    all_x, all_slope = np.concatenate([x, *added_x]), np.concatenate([slope, *added_slope])
    order = np.argsort(all_x, kind="stable")
    return all_x[order], all_slope[order]


def _unbalanced(roof: RoofCurve, site: SnowSite, half: HalfRoof, side: str) -> RoofPressure:
    sheet = Calculation()
    flat = _flat(site, sheet)
    loaded = snow.unbalanced_half(half, flat, site.exposure, site.thermal, site.slippery, sheet)
    distance, pressure = np.array(loaded.distance) * FOOT, np.array(loaded.pressure) * PSF
    left, right = float(roof.x[0]), float(roof.x[-1])
    # At the crown the load steps from nothing to its crown value: the place stands twice.
    if side == "left":
        x = np.concatenate([(roof.crown - distance)[::-1], [roof.crown, right]])
        p = np.concatenate([pressure[::-1], [0.0, 0.0]])
    else:
        x = np.concatenate([[left, roof.crown], roof.crown + distance])
        p = np.concatenate([[0.0, 0.0], pressure])
    other = "right" if side == "left" else "left"
    cause = f"case {loaded.case} by the eave slope of {half.slope[-1]:.1f} degrees"
    note = f"Snow on the {side} half, the {other} half bare (wind from the {other}); {cause}."
    return RoofPressure(f"S unbalanced {side}", x, p, sheet, (note,))


def roof_snow(roof: RoofCurve, site: SnowSite) -> tuple[RoofPressure, ...]:
    """Balanced snow, then unbalanced snow with the left half loaded, then with the right half loaded, each where 7.6.2 asks for it.

    The name says which half carries the snow.
    Raises: OutOfRange, NotCovered
    """
    halves = dict(zip(("left", "right"), _halves(roof), strict=True))
    chords = {side: half.chord_slope for side, half in halves.items()}
    balanced = _balanced(roof, site, min(chords.values()))
    needed = [side for side in ("left", "right") if snow.is_unbalanced_needed(chords[side])]
    skipped = tuple(
        f"No unbalanced snow on the {side} half: the line from eave to crown slopes {chords[side]:.1f} degrees, outside of 10 to 60 (7.6.2)."
        for side in halves
        if side not in needed
    )
    first = RoofPressure(balanced.name, balanced.x, balanced.pressure, balanced.calculation, balanced.notes + skipped)
    return (first, *(_unbalanced(roof, site, halves[side], side) for side in needed))


def circular_roof(span: float, rise: float, points: int = 241) -> RoofCurve:
    """A roof on a circle: span and rise in inches."""
    radius = arc_radius(span, rise)
    x = np.linspace(0.0, span, points)
    return RoofCurve(x, np.arcsin(np.clip((span / 2 - x) / radius, -1.0, 1.0)), span / 2, span, rise)


@dataclass(frozen=True)
class CurvedRoofSnow:
    """The named values of the unbalanced case on a symmetrical circular roof: degrees and psf."""

    eave_slope: float
    chord_slope: float
    needed: bool
    half: UnbalancedHalf


def curved_roof_snow(span: float, rise: float, flat: float, C_e: float, C_t: float, slippery: bool) -> CurvedRoofSnow:
    """Unbalanced snow of a roof on a circle.

    span, rise: ft
    flat: flat roof snow load, psf
    """
    half, _ = _halves(circular_roof(span * FOOT, rise * FOOT))
    chord = half.chord_slope
    values = snow.unbalanced_half(half, flat, C_e, C_t, slippery, Calculation())
    return CurvedRoofSnow(float(half.slope[-1]), chord, snow.is_unbalanced_needed(chord), values)


def flat_roof_snow(C_e: float, C_t: float, I_s: float, p_g: float) -> float:
    """Flat roof snow load (psf) from the ground snow load (psf)."""
    return float(snow.p_f(C_e, C_t, I_s, p_g))
