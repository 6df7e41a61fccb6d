"""The roof over a truss: its slope along x, as the load standard wants to see it."""

from __future__ import annotations

import numpy as np

from detailgen.model.project import Truss
from detailgen.standards.interface import Floats, RoofCurve

POINTS = 241
"""Samples of the curve along the span; the load standard adds its own break points."""


def top_y(truss: Truss, x: Floats) -> Floats:
    """Height (in) of the top chord's centre line at x (in)."""
    if truss.arc is not None:
        y: Floats = truss.arc.centre_y + np.sqrt(np.maximum(truss.arc.radius**2 - (x - truss.arc.centre_x) ** 2, 0.0))
        return y
    corners = np.array([truss.joints[j] for j in truss.top])
    heights: Floats = np.interp(x, corners[:, 0], corners[:, 1])
    return heights


def slope_at(truss: Truss, x: Floats) -> Floats:
    """Slope (radians) of the roof at x (in), positive where it rises to the right. On a circle it is the tangent."""
    if truss.arc is not None:
        tangent: Floats = np.arcsin(np.clip(-(x - truss.arc.centre_x) / truss.arc.radius, -1.0, 1.0))
        return tangent
    corners = np.array([truss.joints[j] for j in truss.top])
    pieces = np.arctan2(np.diff(corners[:, 1]), np.diff(corners[:, 0]))
    steps: Floats = pieces[np.clip(np.searchsorted(corners[:, 0], x, side="right") - 1, 0, len(pieces) - 1)]
    return steps


def roof_curve(truss: Truss) -> RoofCurve:
    """Slope of the roof along the span; the eave slope is the tangent at the heel."""
    x = np.linspace(0.0, truss.span, POINTS)
    y = top_y(truss, x)
    slope = slope_at(truss, x)
    crown = int(np.argmax(y))
    return RoofCurve(x=x, slope=slope, crown=float(x[crown]), span=truss.span, rise=float(y[crown]))
