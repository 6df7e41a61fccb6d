"""The window of the strands' force: enough that no station of the chord and no splice is over 1.0, little enough that the chord is safe at lock-off.

``ratio`` functions give the largest demand over capacity of the chord at a force of all strands together (lb), and where it is. What is asked for
falls as the force grows where the chord is pulled, and rises where it is pushed.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from detailgen.core.tolerance import at_most

CLOSE = 25.0
"""A force is found to so many pounds; the least is taken at the upper end, the greatest at the lower one."""

Ratio = Callable[[float], tuple[float, str]]
"""Force (lb) -> the largest ratio and its place."""


@dataclass(frozen=True)
class Bound:
    """A force (lb) of all strands together, and the place that asks for it. ``ratio`` is that of the place without strands."""

    force: float
    where: str
    ratio: float


@dataclass(frozen=True)
class Window:
    """``least`` counts what is left after all losses, ``greatest`` is at lock-off under dead load alone."""

    least: Bound
    greatest: Bound

    @property
    def open(self) -> bool:
        return self.least.force <= self.greatest.force


def least_force(ratio: Ratio, most: float) -> Bound:
    """The least force at which nothing that is pulled is over 1.0; infinite where even ``most`` is not enough."""
    bare, where = ratio(0.0)
    if at_most(bare, 1.0):
        return Bound(0.0, where, bare)
    if not at_most(ratio(most)[0], 1.0):
        return Bound(math.inf, ratio(most)[1], bare)
    low, high, last = 0.0, most, where
    while high - low > CLOSE:
        middle = (low + high) / 2
        value, place = ratio(middle)
        if at_most(value, 1.0):
            high = middle
        else:
            low, last = middle, place
    return Bound(high, last, bare)


def greatest_force(ratio: Ratio, most: float) -> Bound:
    """The greatest force at lock-off; zero where the chord fails without any, at most ``most``."""
    bare, where = ratio(0.0)
    value, place = ratio(most)
    if at_most(value, 1.0):
        return Bound(most, place, bare)
    if not at_most(bare, 1.0):
        return Bound(0.0, where, bare)
    low, high = 0.0, most
    while high - low > CLOSE:
        middle = (low + high) / 2
        value, found = ratio(middle)
        if at_most(value, 1.0):
            low = middle
        else:
            high, place = middle, found
    return Bound(low, place, bare)
