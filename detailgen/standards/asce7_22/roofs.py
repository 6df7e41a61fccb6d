"""Snow along a roof by ASCE 7-22: all arrangements, and named values of single ones."""

from __future__ import annotations

from detailgen.core.clause import Calculation
from detailgen.standards.asce7_22 import snow
from detailgen.standards.interface import RoofCurve, RoofPressure, SnowSite
from detailgen.standards.snow_arrangements import PSF, Arrangements, CurvedRoofSnow
from detailgen.standards.snow_arrangements import curved_roof_snow as _curved


def roof_snow(roof: RoofCurve, site: SnowSite) -> tuple[RoofPressure, ...]:
    """Balanced snow, then every other arrangement that chapter 7 asks for; the name says which half carries the snow.

    Raises: OutOfRange, NotCovered
    """
    return Arrangements(snow.RULES, roof, site).all()


def curved_roof_snow(span: float, rise: float, flat: float, C_e: float, C_t: float, slippery: bool) -> CurvedRoofSnow:
    """Unbalanced snow of a roof on a circle: span and rise in ft, flat roof snow load in psf."""
    return _curved(snow.RULES, span, rise, flat, C_e, C_t, slippery)


def flat_roof_snow(C_e: float, C_t: float, p_g: float) -> float:
    """Flat roof snow load (psf) from the ground snow load (psf)."""
    return float(snow.p_f(C_e, C_t, p_g))


def drift_height(p_g: float, l_u: float, W_2: float) -> float:
    """Height (ft) of a leeward drift: ground snow load (psf), length of the roof upwind (ft), winter wind parameter."""
    return snow.RULES.drift_height(l_u, SnowSite(p_g * PSF, 1.0, 1.0, 1.0, False, winter_wind=W_2), Calculation())
