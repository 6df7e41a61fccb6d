"""Snow on roofs (chapter 7): the clauses. Here psf, ft and degrees; ``snow_arrangements`` lays the snow on a roof."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from detailgen.core.clause import Calculation, Number, require
from detailgen.standards.interface import SnowSite
from detailgen.standards.snow_arrangements import PSF, SITE, SnowRules

DOCUMENT = "ASCE 7-16"
TABLES = Path(__file__).parent / "tables"


def p_f(C_e: Number, C_t: Number, I_s: Number, p_g: Number) -> Number:
    """Flat roof snow load.

    C_e: exposure factor, -
    C_t: thermal factor, -
    I_s: importance factor, -
    p_g: ground snow load, psf
    Returns: psf
    Source: ASCE 7-16, 7.3, equation 7.3-1
    """
    require(
        (np.asarray(C_e) > 0) & (np.asarray(C_t) > 0) & (np.asarray(I_s) > 0) & (np.asarray(p_g) >= 0),
        "factors must be above zero, ground snow not below",
        "ASCE 7-16 7.3",
    )
    return 0.7 * C_e * C_t * I_s * p_g


def p_m(I_s: Number, p_g: Number) -> Number:
    """Least snow load of roofs of low slope.

    I_s: importance factor, -
    p_g: ground snow load, psf
    Returns: psf
    Source: ASCE 7-16, 7.3.4
    """
    return I_s * np.minimum(p_g, 20)


def C_s(slope: Number, full_to: Number, none_from: Number) -> Number:
    """Roof slope factor: 1.0 on flat slopes, none on steep ones, a straight line between.

    slope: slope of the roof without its sign, deg
    full_to: slope up to which all snow stays, by surface and thermal factor, deg
    none_from: slope from which no snow stays, deg
    Returns: -
    Source: ASCE 7-16, 7.4, figure 7.4-1
    """
    return np.clip((none_from - slope) / (none_from - full_to), 0, 1)


def p_s(C_s: Number, p_f: Number) -> Number:
    """Balanced snow load of a slope, on the horizontal projection.

    C_s: roof slope factor, -
    p_f: flat roof snow load, psf
    Returns: psf
    Source: ASCE 7-16, 7.4, equation 7.4-1
    """
    return C_s * p_f


def p_crown(crown_factor: Number, p_f: Number) -> Number:
    """Unbalanced snow at the crown of a curved roof, on the side that carries it.

    crown_factor: 0.5, -
    p_f: flat roof snow load, psf
    Returns: psf
    Source: ASCE 7-16, 7.6.2, figure 7.4-2
    """
    return crown_factor * p_f


def p_lee(eave_factor: Number, p_f: Number, C_s: Number, C_e: Number) -> Number:
    """Unbalanced snow of a curved roof at the eave or at the 30 degree point.

    eave_factor: 2, -
    p_f: flat roof snow load, psf
    C_s: roof slope factor at that point, -
    C_e: exposure factor, -
    Returns: psf
    Source: ASCE 7-16, 7.6.2, figure 7.4-2
    """
    return eave_factor * p_f * C_s / C_e


def p_valley(eave_factor: Number, p_f: Number, C_e: Number, p_crown: Number, gamma: Number, rise: Number) -> Number:
    """Unbalanced snow in the valley between two barrels; its surface is no higher than that of the snow on the crown.

    eave_factor: 2, -
    p_f: flat roof snow load, psf
    C_e: exposure factor, -
    p_crown: unbalanced snow at the crown, psf
    gamma: density of the snow, pcf
    rise: height of the crown above the valley, ft
    Returns: psf
    Source: ASCE 7-16, 7.6.3
    """
    return np.minimum(eave_factor * p_f / C_e, p_crown + gamma * rise)


def p_partial(part: Number, p_s: Number) -> Number:
    """Snow of the areas that are loaded in part.

    part: 0.5, -
    p_s: balanced snow load, psf
    Returns: psf
    Source: ASCE 7-16, 7.5
    """
    return part * p_s


def gamma(p_g: Number) -> Number:
    """Density of the snow.

    p_g: ground snow load, psf
    Returns: pcf
    Source: ASCE 7-16, 7.7.1, equation 7.7-1
    """
    return np.minimum(0.13 * p_g + 14, 30)


def h_windward(h_d: Number) -> Number:
    """Height of a windward drift, or of one at a parapet.

    h_d: height of a leeward drift behind the roof upwind, ft
    Returns: ft
    Source: ASCE 7-16, 7.7.1 and 7.8
    """
    return 0.75 * h_d


def w(h_d: Number, h_c: Number) -> Number:
    """Width of a drift, by its height and the clear height above the balanced snow.

    h_d: height of the drift, ft
    h_c: clear height, ft
    Returns: ft
    Source: ASCE 7-16, 7.7.1
    """
    require(np.asarray(h_c) > 0, "the clear height must be above zero", "ASCE 7-16 7.7.1")
    return np.where(h_d <= h_c, 4 * h_d, np.minimum(4 * h_d**2 / h_c, 8 * h_c))


def p_d(h_d: Number, gamma: Number) -> Number:
    """Greatest surcharge of a drift.

    h_d: height of the drift, ft
    gamma: density of the snow, pcf
    Returns: psf
    Source: ASCE 7-16, 7.7.1
    """
    return h_d * gamma


def p_windward(p_s: Number) -> Number:
    """Snow on the windward slope of a gable roof when the other carries the drift.

    p_s: balanced snow load, psf
    Returns: psf
    Source: ASCE 7-16, 7.6.1
    """
    return 0.3 * p_s


def p_ridge(h_d: Number, gamma: Number, S: Number) -> Number:
    """Surcharge beside the ridge on the lee slope of a gable roof.

    h_d: height of the drift behind the windward slope, ft
    gamma: density of the snow, pcf
    S: run of the slope for a rise of one, -
    Returns: psf
    Source: ASCE 7-16, 7.6.1
    """
    return h_d * gamma / np.sqrt(S)


def l_ridge(h_d: Number, S: Number) -> Number:
    """How far from the ridge that surcharge reaches.

    h_d: height of the drift behind the windward slope, ft
    S: run of the slope for a rise of one, -
    Returns: ft
    Source: ASCE 7-16, 7.6.1
    """
    return 8 * h_d * np.sqrt(S) / 3


def h_d(I_s: Number, l_u: Number, p_g: Number) -> Number:
    """Height of a leeward drift. A roof upwind that is shorter than 20 ft counts as 20 ft.

    I_s: importance factor, -
    l_u: length of the roof upwind, ft
    p_g: ground snow load, psf
    Returns: ft
    Source: ASCE 7-16, 7.6.1, figure 7.6-1 and its equation
    """
    require(np.asarray(l_u) > 0, "the roof upwind must have a length", "ASCE 7-16 7.7.1")
    return np.sqrt(I_s) * (0.43 * np.maximum(l_u, 20) ** (1 / 3) * (p_g + 10) ** (1 / 4) - 1.5)


def h_short(I_s: Number, p_g: Number, l_u: Number, gamma: Number) -> Number:
    """Greatest height of a drift that a roof shorter than 20 ft can feed.

    I_s: importance factor, -
    p_g: ground snow load, psf
    l_u: length of the roof upwind, ft
    gamma: density of the snow, pcf
    Returns: ft
    Source: ASCE 7-16, 7.7.1
    """
    return np.sqrt(I_s * p_g * l_u / (4 * gamma))


def _flat(site: SnowSite, sheet: Calculation) -> float:
    factors = {"C_e": site.exposure, "C_t": site.thermal, "I_s": site.importance}
    for symbol, value in factors.items():
        sheet.given(symbol, value, "-", SITE)
    ground = sheet.given("p_g", site.ground_snow / PSF, "psf", SITE)
    return float(sheet(p_f, p_g=ground, **factors))


def _least(site: SnowSite, sheet: Calculation) -> float:
    return float(sheet(p_m, I_s=site.importance, p_g=site.ground_snow / PSF))


def _drift(l_u: float, site: SnowSite, sheet: Calculation) -> float:
    ground = site.ground_snow / PSF
    height = float(sheet(h_d, I_s=site.importance, l_u=l_u, p_g=ground))
    if l_u >= RULES.number("short roof"):
        return height
    density = float(sheet(gamma, p_g=ground))
    return min(height, float(sheet(h_short, I_s=site.importance, p_g=ground, l_u=l_u, gamma=density)))


RULES = SnowRules(
    document=DOCUMENT, tables=TABLES, flat=_flat, least=_least, drift_height=_drift, C_s=C_s, p_s=p_s, p_crown=p_crown, p_lee=p_lee,
    p_valley=p_valley, p_partial=p_partial, gamma=gamma, h_windward=h_windward, w=w, p_d=p_d, p_windward=p_windward, p_ridge=p_ridge, l_ridge=l_ridge,
)  # fmt: skip
