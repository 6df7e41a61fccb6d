"""A pinned column that is stiffer between two points than at its ends: how long a plain one buckles under the same load."""

from __future__ import annotations

import math

HALVINGS = 80


def stepped_factor(bare: float, stiff: float) -> float:
    """Effective length of the stepped column over its length, counted on the section of its ends.

    The ends' half waves (sines) meet that of the middle (a cosine) with one slope: tan(k_1 a) tan(k_2 b) = k_1/k_2, a the bare end, b half of the
    stiffened length, k = sqrt(P/EI). The load grows from nothing to where either tangent runs away, so the first root lies between.

    bare: length at each end without the stiffer section, as a share of the whole (0 to 0.5)
    stiff: EI of the middle over that of the ends, 1 or more
    Source: the differential equation of the bent column, Timoshenko and Gere, Theory of Elastic Stability, 2.14
    Raises: ValueError out of these bounds
    """
    if not (0 <= bare <= 0.5 and stiff >= 1 and math.isfinite(stiff)):
        raise ValueError(f"bare ends of {bare:g} of the length and {stiff:g} times the stiffness: 0 to 0.5, and 1 or more")
    a, b, root = bare, 0.5 - bare, math.sqrt(stiff)
    low, high = 0.0, min(math.pi / (2 * root * a) if a > 0 else math.inf, math.pi / (2 * b) if b > 0 else math.inf)
    for _ in range(HALVINGS):
        k = (low + high) / 2
        low, high = (k, high) if math.tan(root * k * a) * math.tan(k * b) < root else (low, k)
    return math.pi / (root * (low + high) / 2)
