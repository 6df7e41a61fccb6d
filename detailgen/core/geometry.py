"""Plane geometry of a circular arc over a span, and what intervals make together. Lengths in any one unit, angles in radians."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass


def arc_radius(span: float, rise: float) -> float:
    """Radius of the circle through both ends of a span with the given rise at its middle."""
    if not (span > 0 and rise > 0):
        raise ValueError(f"span and rise must be above zero, found {span:g} and {rise:g}")
    return (span**2 / 4 + rise**2) / (2 * rise)


@dataclass(frozen=True)
class ArcSlopes:
    """What an arc of a given span and rise is. ``crown_to_30``: distance along x from the crown to a slope of 30 degrees (nan: there is none)."""

    radius: float
    eave_slope: float
    chord_slope: float
    crown_to_30: float


def arc_slopes(span: float, rise: float) -> ArcSlopes:
    """Radius, slope of the tangent at the ends, slope of the chord from an end to the crown, and where the slope is 30 degrees.

    Raises: ValueError for a rise above half the span, where the ends stand past the vertical
    """
    radius = arc_radius(span, rise)
    if rise > span / 2:
        raise ValueError(f"rise {rise:g} is more than half of the span {span:g}")
    eave = math.asin(min(1.0, span / (2 * radius)))
    half = radius * math.sin(math.pi / 6)
    return ArcSlopes(radius, eave, math.atan2(rise, span / 2), half if half <= span / 2 * (1 + 1e-9) else math.nan)


def union(bands: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    """Intervals (low, high) that may overlap, as those that do not, the lowest first."""
    out: list[tuple[float, float]] = []
    for low, high in sorted(bands):
        if out and low <= out[-1][1]:
            out[-1] = (out[-1][0], max(out[-1][1], high))
        else:
            out.append((low, high))
    return out
