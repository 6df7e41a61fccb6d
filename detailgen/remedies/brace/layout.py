"""Every line that stock allows, with its blocks and bolts, from the least work to the most. Inches.

Axes of the detail: x across the truss from its middle plane, y along the member, z off the member's edge. The line is one timber from truss to truss;
at each truss a block on either side of the member holds it both ways. The far block is long: over its middle the line's timbers butt.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from detailgen.core.errors import NotCovered
from detailgen.core.tolerance import rounded_length, up_to_grid
from detailgen.model.member import Member
from detailgen.remedies import usual
from detailgen.remedies.brace import parameters as p
from detailgen.stock.bolts import OrderedBolt, bolt_length
from detailgen.stock.plates import shop_grid


@dataclass(frozen=True)
class Layout:
    """A timber of a height off the member and a width along it, and so many bolts on each side of a joint. ``low``, ``high``: faces of the member."""

    height: float
    width: float
    diameter: float
    count: int
    spacing: float
    end: float
    span: float  # from truss to truss
    low: float
    high: float
    gaps: tuple[tuple[float, float], ...]  # between plies, far to near
    ordered: OrderedBolt

    @property
    def half(self) -> float:
        """Length of a block for one group of bolts, and of half the far block."""
        return 2 * self.end + (self.count - 1) * self.spacing

    @property
    def joint(self) -> float:
        """x where the line's timbers butt."""
        return rounded_length(self.low - self.half)

    @property
    def groups(self) -> dict[str, tuple[float, ...]]:
        """x of the bolts: into the timber of the next bay, into this one, into the near block."""
        row = [self.end + k * self.spacing for k in range(self.count)]
        found = {
            "B1": [self.joint - self.half + a for a in row],
            "B2": [self.joint + a for a in row],
            "B3": [self.high + a for a in row[: self.near]],
        }
        return {key: tuple(rounded_length(x) for x in xs) for key, xs in found.items()}

    @property
    def near(self) -> int:
        """Bolts in the near block, which holds the force of one truss alone."""
        return min(p.PER_GROUP)

    @property
    def near_block(self) -> float:
        return 2 * self.end + (self.near - 1) * self.spacing

    @property
    def bolts(self) -> int:
        return sum(len(xs) for xs in self.groups.values())

    @property
    def weight(self) -> float:
        """lb of one truss: its timber from bay to bay, its blocks, its bolts."""
        blocks = (2 * self.half + self.near_block) * self.width + sum((b - a) * self.width for a, b in self.gaps)
        wood = (self.span * self.width + blocks) * self.height * usual.WOOD_WEIGHT
        return wood + self.bolts * self.ordered.weight

    @property
    def effort(self) -> tuple[float, ...]:
        """What layouts are preferred by: timber, bolts, size of the bolts."""
        return rounded_length(self.height * self.width), self.bolts, self.diameter


def layouts(member: Member, span: float, least: float, diameters: Sequence[float], system: str) -> list[Layout]:
    """All that keep their distances, the least effort first. Raises NotCovered for a diameter that is not stocked.

    least: width and height of the line's timber, in
    """
    grid = shop_grid(system).holes
    faces = sorted((x.z - x.thickness / 2, x.z + x.thickness / 2) for x in member.plies)
    gaps = tuple((a[1], b[0]) for a, b in itertools.pairwise(faces) if b[0] - a[1] > 1e-6)
    depth = min(x.depth for x in member.plies)
    found = []
    for (height, width), D, count in itertools.product(p.timbers(), diameters, p.PER_GROUP):
        if height > depth + 1e-6 or width / 2 < p.EDGE * D - 1e-9:
            continue
        if min(height, width) < least - 1e-6:
            continue
        end, spacing = up_to_grid(p.END * D, grid), up_to_grid(p.SPACING * D, grid)
        try:
            ordered = bolt_length(D, 2 * height, 2 * height, shear_planes=(height,))
        except NotCovered:
            if D not in p.DIAMETERS:
                raise
            continue
        found.append(Layout(height, width, D, count, spacing, end, span, faces[0][0], faces[-1][1], gaps, ordered))
    return sorted(found, key=lambda x: x.effort)
