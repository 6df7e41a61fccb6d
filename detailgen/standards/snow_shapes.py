"""The halves of a roof as snow sees them: distance from the crown and slope. Feet and degrees."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from detailgen.core.geometry import arc_radius
from detailgen.core.units import FOOT
from detailgen.standards.interface import Floats, RoofCurve


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

    def chord_slope(self, bare: float) -> float:
        """Slope (deg) of the straight line from the eave, or from the point where the slope ``bare`` (deg) is reached, to the crown."""
        end = self.first_at(bare)
        if end is None:
            return float(np.degrees(np.arctan2(self.rise, self.distance[-1])))
        inside = self.distance < end
        distance = np.append(self.distance[inside], end)
        steepness = np.tan(np.radians(np.append(self.slope[inside], bare)))
        drop = float(np.sum((steepness[1:] + steepness[:-1]) / 2 * np.diff(distance)))
        return float(np.degrees(np.arctan2(drop, end))) if end > 0 else bare

    @property
    def straight(self) -> float | None:
        """Slope (deg) of a half that is one straight line; None for any other."""
        outer = self.slope[1:]
        return float(outer[-1]) if len(outer) and float(np.ptp(outer)) < 1e-6 and outer[-1] > 1e-6 else None


def halves(roof: RoofCurve) -> dict[str, HalfRoof]:
    """Left and right half, from the crown outward."""
    x, slope = np.asarray(roof.x, dtype=float) / FOOT, np.abs(np.degrees(np.asarray(roof.slope, dtype=float)))
    crown = roof.crown / FOOT
    here = float(np.interp(crown, x, slope))

    def half(sign: float) -> HalfRoof:
        outside = (x - crown) * sign > 1e-9
        order = np.argsort(np.abs(x[outside] - crown), kind="stable")
        distance = np.concatenate([[0.0], np.abs(x[outside] - crown)[order]])
        return HalfRoof(distance, np.concatenate([[here], slope[outside][order]]), roof.rise / FOOT)

    return {"left": half(-1.0), "right": half(1.0)}


def with_breaks(x: Floats, slope: Floats, breaks: tuple[float, ...]) -> tuple[Floats, Floats]:
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


def circular_roof(span: float, rise: float, points: int = 241) -> RoofCurve:
    """A roof on a circle: span and rise in inches."""
    radius = arc_radius(span, rise)
    x = np.linspace(0.0, span, points)
    return RoofCurve(x, np.arcsin(np.clip((span / 2 - x) / radius, -1.0, 1.0)), span / 2, span, rise)
