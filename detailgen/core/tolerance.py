"""The one tolerance of the house, and rounding before anything is compared or chosen by."""

from __future__ import annotations

import math
from fractions import Fraction

LENGTH_IN = 1e-6
"""Lengths are equal when they differ by less (in)."""
RELATIVE = 1e-6
"""Forces and ratios are equal when they differ by less, relative to their size."""


def rounded_length(value_in: float) -> float:
    """Length (in) on the 1e-6 in. grid."""
    return round(value_in, 6) + 0.0


def rounded(value: float) -> float:
    """Force, stress or ratio to seven significant figures, so that 1e-6 relative never decides."""
    return float(f"{value:.7g}") + 0.0


def at_most(value: float, limit: float) -> bool:
    """Is value <= limit, the tolerance counted in favour?"""
    margin = 1e-5 * abs(limit) + 1e-11
    if abs(value - limit) > margin:  # far from the limit rounding cannot decide
        return value < limit
    return rounded(value) <= rounded(limit) * (1 + RELATIVE) + 1e-12


def down_to_grid(value_in: float, grid: Fraction) -> float:
    """Last multiple of ``grid`` (in) at or below the length (in)."""
    return float(math.floor(Fraction(rounded_length(value_in)) / grid + Fraction(1, 10**6)) * grid)


def up_to_grid(value_in: float, grid: Fraction) -> float:
    """Next multiple of ``grid`` (in) at or above the length (in), away from a minimum."""
    return float(math.ceil(Fraction(rounded_length(value_in)) / grid - Fraction(1, 10**6)) * grid)
