"""Snow along a roof by ASCE 7-16: all arrangements, and named values of single ones."""

from __future__ import annotations

from dataclasses import dataclass

from detailgen.core.clause import Calculation
from detailgen.standards.asce7_16 import snow
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


def flat_roof_snow(C_e: float, C_t: float, I_s: float, p_g: float) -> float:
    """Flat roof snow load (psf) from the ground snow load (psf)."""
    return float(snow.p_f(C_e, C_t, I_s, p_g))


@dataclass(frozen=True)
class GableSnow:
    """Unbalanced snow of a gable roof: density pcf, drift height ft, surcharge at the ridge and snow of the windward slope psf."""

    density: float
    height: float
    surcharge: float
    windward: float


def gable_unbalanced(p_g: float, W: float, S: float, p_s: float) -> GableSnow:
    """Unbalanced snow of a gable roof of ordinary importance.

    p_g, p_s: ground snow, balanced snow of the slope, psf
    W: eave to ridge, ft
    S: run of the slope for a rise of one
    """
    sheet = Calculation()
    density = float(sheet(snow.gamma, p_g=p_g))
    height = snow.RULES.drift_height(W, SnowSite(p_g * PSF, 1.0, 1.0, 1.0, False), sheet)
    return GableSnow(density, height, float(sheet(snow.p_ridge, h_d=height, gamma=density, S=S)), float(sheet(snow.p_windward, p_s=p_s)))
