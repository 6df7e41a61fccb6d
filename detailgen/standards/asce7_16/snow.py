"""Snow on roofs (chapter 7): flat roof load, slope factor, curved roofs. Here psf, ft and degrees; the folder's front converts."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from detailgen.core.clause import Calculation, Cite, Number, require
from detailgen.core.errors import NotCovered
from detailgen.core.table import read_table
from detailgen.core.tolerance import RELATIVE
from detailgen.standards.interface import Floats

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


def slope_limits(C_t: float, slippery: bool) -> tuple[float, float, Cite]:
    """Slopes (deg) up to which all snow stays and from which none does. Raises NotCovered for a thermal factor that no row holds."""
    table = read_table(TABLES, "slope_factor")
    for row in table:
        low, high = float(row["thermal_from"]), float(row["thermal_to"])
        if row["surface"] == ("slippery" if slippery else "other") and low * (1 - RELATIVE) <= C_t <= high * (1 + RELATIVE):
            return float(row["full_to"]), float(row["none_from"]), table.cite(row)
    raise NotCovered(f"no slope factor for a thermal factor of {C_t:g}", "ASCE 7-16 7.4")


def curved(what: str) -> float:
    """One of the numbers of the unbalanced case of curved roofs."""
    return float(read_table(TABLES, "unbalanced_curved").find(what=what)["value"])


@dataclass(frozen=True)
class HalfRoof:
    """One half of a roof from the crown outward: distance (ft) and slope (deg, without sign); ``rise`` (ft) of the crown above the eave."""

    distance: Floats
    slope: Floats
    rise: float

    def first_at(self, slope: float) -> float | None:
        """Distance (ft) at which a slope (deg) is reached first; None where the roof stays flatter."""
        reached = np.flatnonzero(self.slope >= slope * (1 - 1e-9))
        if len(reached) == 0:
            return None
        k = int(reached[0])
        if k == 0 or self.slope[k] == self.slope[k - 1]:
            return float(self.distance[k])
        share = (slope - self.slope[k - 1]) / (self.slope[k] - self.slope[k - 1])
        return float(self.distance[k - 1] + min(share, 1.0) * (self.distance[k] - self.distance[k - 1]))

    @property
    def chord_slope(self) -> float:
        """Slope (deg) of the straight line from the eave, or from the point where 70 degrees are reached, to the crown."""
        end = self.first_at(curved("slope free of snow"))
        if end is None:
            return float(np.degrees(np.arctan2(self.rise, self.distance[-1])))
        inside = self.distance < end
        distance = np.append(self.distance[inside], end)
        steepness = np.tan(np.radians(np.append(self.slope[inside], curved("slope free of snow"))))
        drop = float(np.sum((steepness[1:] + steepness[:-1]) / 2 * np.diff(distance)))
        return float(np.degrees(np.arctan2(drop, end))) if end > 0 else curved("slope free of snow")


@dataclass(frozen=True)
class UnbalancedHalf:
    """Snow of the half that carries it: distance from the crown (ft), psf, and the values that the figure names."""

    case: int
    distance: tuple[float, ...]
    pressure: tuple[float, ...]
    C_s_eave: float
    at_crown: float
    at_30: float | None
    at_eave: float


def is_unbalanced_needed(chord_slope: float) -> bool:
    """Does a curved roof whose eave-to-crown line has this slope (deg) need the unbalanced case? At 10 and at 60 degrees it does."""
    return curved("least chord slope") * (1 - RELATIVE) <= chord_slope <= curved("greatest chord slope") * (1 + RELATIVE)


def unbalanced_half(half: HalfRoof, flat: float, C_e: float, C_t: float, slippery: bool, sheet: Calculation) -> UnbalancedHalf:
    """Unbalanced snow of the lee half of a curved roof: Case 1, 2 or 3 by the eave slope.

    flat: flat roof snow load, psf
    """
    full_to, none_from, cite = slope_limits(C_t, slippery)
    sheet.given("full_to", full_to, "deg", cite)
    sheet.given("none_from", none_from, "deg", cite)
    numbers = read_table(TABLES, "unbalanced_curved").cite()
    crown_factor = sheet.given("crown_factor", curved("crown factor"), "-", numbers)
    eave_factor = sheet.given("eave_factor", curved("eave factor"), "-", numbers)
    eave, edge = float(half.slope[-1]), float(half.distance[-1])

    def lee(slope: float) -> tuple[float, float]:
        factor = sheet(C_s, slope=slope, full_to=full_to, none_from=none_from)
        return float(factor), float(sheet(p_lee, eave_factor=eave_factor, p_f=flat, C_s=factor, C_e=C_e))

    crown = float(sheet(p_crown, crown_factor=crown_factor, p_f=flat))
    inner, bare = half.first_at(curved("slope of the inner point")), half.first_at(curved("slope free of snow"))
    if inner is None:
        factor, at_eave = lee(eave)
        return UnbalancedHalf(1, (0.0, edge), (crown, at_eave), factor, crown, None, at_eave)
    _, at_inner = lee(curved("slope of the inner point"))
    places: tuple[float, ...]
    values: tuple[float, ...]
    if bare is None:
        factor, at_eave = lee(eave)
        case, places, values = 2, (0.0, inner, edge), (crown, at_inner, at_eave)
    else:
        factor, at_eave = 0.0, 0.0
        case, places, values = 3, (0.0, inner, bare, edge), (crown, at_inner, 0.0, 0.0)
    kept = [k for k in range(len(places)) if k == len(places) - 1 or places[k] < places[k + 1] * (1 - 1e-9)]
    return UnbalancedHalf(case, tuple(places[k] for k in kept), tuple(values[k] for k in kept), factor, crown, at_inner, at_eave)
