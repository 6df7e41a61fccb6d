"""Live load on roofs (4.8): its reduction by area and slope. psf and ft2 here; psi and inches outside."""

from __future__ import annotations

import numpy as np

from detailgen.core.clause import Calculation, Cite, Number, require
from detailgen.core.tolerance import RELATIVE
from detailgen.core.units import FOOT, UNITS
from detailgen.standards.interface import RoofLive

PSF = UNITS["area load"]["psf"]


def R_1(A_t: Number) -> Number:
    """Reduction by the area that the member carries.

    A_t: tributary area, ft2
    Returns: -
    Source: ASCE 7-22, 4.8.2
    """
    return np.clip(1.2 - 0.001 * A_t, 0.6, 1)


def R_2(F: Number) -> Number:
    """Reduction by the slope.

    F: inches of rise per foot; of an arch 32 times rise over span, -
    Returns: -
    Source: ASCE 7-22, 4.8.2
    """
    return np.clip(1.2 - 0.05 * F, 0.6, 1)


def L_r(L_o: Number, R_1: Number, R_2: Number) -> Number:
    """Reduced live load of an ordinary roof, on the horizontal projection; never below 12 psf.

    L_o: live load before reduction, psf
    R_1: reduction by area, -
    R_2: reduction by slope, -
    Returns: psf
    Source: ASCE 7-22, 4.8.2, equation 4.8-1
    """
    return np.maximum(L_o * R_1 * R_2, 12)


def reduced(request: RoofLive) -> tuple[float, Calculation]:
    """The reduced load (psi) and how it came about. Raises OutOfRange."""
    sheet = Calculation()
    survey = Cite("project file", "loads and geometry")
    ordinary = 12 * (1 - RELATIVE) <= request.load / PSF <= 20 * (1 + RELATIVE)
    require(ordinary, "only live loads of ordinary roofs, 12 to 20 psf, are reduced so", "ASCE 7-22 4.8.2")
    load = sheet.given("L_o", request.load / PSF, "psf", survey)
    area = sheet.given("A_t", request.area / FOOT**2, "ft2", survey)
    steepness = request.rise / request.span * 32 if request.curved else request.rise / (request.span / 2) * 12
    F = sheet.given("F", steepness, "-", survey)
    by_area, by_slope = sheet(R_1, A_t=area), sheet(R_2, F=F)
    return float(sheet(L_r, L_o=load, R_1=by_area, R_2=by_slope)) * PSF, sheet
