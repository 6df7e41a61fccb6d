"""The heel of a truss with strands as a free body, along the bottom chord: what its panel pulls, what the strands push and on what, and what the old
bolts therefore carry. Pounds.

The whole heel is in equilibrium: panel and strands together hold the thrust that the top chord brings. Strands that push on the end grain of the
bottom chord come in behind its bolts, which hand over the whole thrust as before. Strands that push on the shoe, or on the top chord's end, meet the
thrust before it comes to the bolts.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from detailgen.model.added import END_GRAIN, TOP_END
from detailgen.model.assessment import Forces
from detailgen.model.project import Truss

SIDES = ("left", "right")


@dataclass(frozen=True)
class HeelForces:
    """One heel under one combination. ``panel`` and ``bolts``: tension of the chord is positive; below zero the bolts push the chord inward.

    ``seated`` is what the top chord still thrusts on its seat: all of it, less what strands take from its end. ``slope``: of the top chord (rad).
    """

    combination: str
    panel: float
    strands: float
    bolts: float
    seated: float
    top_axial: float
    slope: float

    @property
    def thrust(self) -> float:
        """What the top chord brings along the bottom chord."""
        return self.panel + self.strands


def heel_forces(truss: Truss, forces: Forces, side: str, on: str) -> tuple[HeelForces, ...]:
    """One heel under every combination; ``on``: what the plate of the strands presses on there."""
    at = 0 if side == "left" else -1
    bottom, top = (truss.bottom[:2], truss.top[:2]) if side == "left" else (truss.bottom[-2:], truss.top[-2:])
    chord, upper = forces.members["-".join(bottom)], forces.members["-".join(top)]
    (x0, y0), (x1, y1) = (truss.joints[j] for j in top)
    slope = math.atan2(y1 - y0, x1 - x0)
    strands = forces.strands if forces.strands is not None else [0.0] * len(forces.combinations)
    found = []
    for k, c in enumerate(forces.combinations):
        panel, push = float(chord.axial[k, at]), float(strands[k])
        bolts = panel + push if on == END_GRAIN else panel
        seated = panel + push if on != TOP_END else panel
        found.append(HeelForces(c.name, panel, push, bolts, seated, float(upper.axial[k, at]), slope))
    return tuple(found)


def most_pulled(rows: Iterable[HeelForces]) -> HeelForces:
    """The row in which the bolts pull the chord most."""
    return max(rows, key=lambda r: round(r.bolts, 3))


def most_pushed(rows: Iterable[HeelForces]) -> HeelForces:
    return min(rows, key=lambda r: round(r.bolts, 3))
