"""The window of the strands' force: enough that no station of the chord and no splice is over 1.0, little enough that the chord is safe at lock-off.

``Ratios`` give the largest demand over capacity of the chord at forces of all strands together (lb), and where it is. What is asked for
falls as the force grows where the chord is pulled, and rises where it is pushed.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from detailgen.core.tolerance import at_most

CLOSE = 25.0
"""A force is found to so many pounds; the least is taken at the upper end, the greatest at the lower one."""
PIECES = 12
"""An interval of forces is cut into so many pieces at once: one look at twelve forces costs little more than one at one."""

Ratios = Callable[[Sequence[float]], list[tuple[float, str]]]
"""Forces (lb) -> the largest ratio at each, and its place."""


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


def _steps(low: float, high: float) -> list[float]:
    return [low + (high - low) * k / PIECES for k in range(1, PIECES)]


def least_force(ratios: Ratios, most: float) -> Bound:
    """The least force at which nothing that is pulled is over 1.0; infinite where even ``most`` is not enough."""
    (bare, where), (full, last) = ratios([0.0, most])
    if at_most(bare, 1.0):
        return Bound(0.0, where, bare)
    if not at_most(full, 1.0):
        return Bound(math.inf, last, bare)
    low, high, last = 0.0, most, where
    while high - low > CLOSE:
        forces = _steps(low, high)
        found = ratios(forces)
        enough = next((k for k, (value, _) in enumerate(found) if at_most(value, 1.0)), len(forces))
        if enough:
            low, last = forces[enough - 1], found[enough - 1][1]
        high = forces[enough] if enough < len(forces) else high
    return Bound(high, last, bare)


def greatest_force(ratios: Ratios, most: float) -> Bound:
    """The greatest force at lock-off; zero where the chord fails without any, at most ``most``."""
    (bare, where), (full, place) = ratios([0.0, most])
    if at_most(full, 1.0):
        return Bound(most, place, bare)
    if not at_most(bare, 1.0):
        return Bound(0.0, where, bare)
    low, high = 0.0, most
    while high - low > CLOSE:
        forces = _steps(low, high)
        found = ratios(forces)
        over = next((k for k, (value, _) in enumerate(found) if not at_most(value, 1.0)), len(forces))
        if over < len(forces):
            high, place = forces[over], found[over][1]
        low = forces[over - 1] if over else low
    return Bound(low, place, bare)
