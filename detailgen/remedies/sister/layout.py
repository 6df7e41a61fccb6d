"""Every sister that stock and room allow, with its bolts, from the least work to the most."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from detailgen.core.tolerance import down_to_grid, rounded_length, up_to_grid
from detailgen.model.added import Sister
from detailgen.model.member import Bolts, Member, Wood
from detailgen.remedies import usual
from detailgen.remedies.sister import parameters as p
from detailgen.remedies.sister.room import Room
from detailgen.stock.bolts import OrderedBolt, bolt_length
from detailgen.stock.plates import dry_lumber


@dataclass(frozen=True)
class Layout:
    """A sister with its pattern of bolts; ``columns`` and ``lines`` are from the sister's middle and from the web's axis (in)."""

    sister: Sister
    length: float
    spacing: float
    gauge: float
    columns: tuple[float, ...]
    lines: tuple[float, ...]
    greatest_spacing: float
    ordered: OrderedBolt

    @property
    def diameter(self) -> float:
        return self.sister.bolts.diameter

    @property
    def end(self) -> float:
        """From the sister's end to its first bolt (in)."""
        return self.length / 2 - self.columns[-1]

    @property
    def edge(self) -> float:
        """From the outer row to the sister's edge (in)."""
        return self.sister.depth / 2 - self.lines[-1]

    @property
    def timber(self) -> float:
        """Thickness of all sisters together (in)."""
        return self.sister.thickness * len(self.sister.sides)

    @property
    def middle(self) -> float:
        return (self.sister.start + self.sister.end) / 2

    @property
    def effort(self) -> tuple[float, ...]:
        """What layouts are preferred by: bolts to drill, timber, pieces to lift, size of the bolts."""
        volume = self.timber * self.sister.depth * self.length
        return len(self.sister.bolts.positions), rounded_length(volume), len(self.sister.sides), self.diameter


def layouts(
    name: str, web: Member, room: Room, wood: Wood, sides: Sequence[tuple[str, ...]], diameters: Sequence[float], system: str,
    heads: str = "near",
) -> list[Layout]:  # fmt: skip
    """All that fit, the least effort first; a sister on one side stands where the bolts go in. Raises NotCovered for a diameter not stocked."""
    return list(_fitting(name, web, room, wood, tuple(sides), tuple(diameters), system, heads))


@lru_cache(maxsize=64)
def _fitting(
    name: str, web: Member, room: Room, wood: Wood, sides: tuple[tuple[str, ...], ...], diameters: tuple[float, ...], system: str, heads: str,
) -> tuple[Layout, ...]:  # fmt: skip
    """What ``layouts`` says; no force decides it, so it is the same in every round."""
    depth = max((d for d in dry_lumber()[1] if d <= web.plies[0].depth), default=0.0)
    thicknesses = [t for t in dry_lumber()[0] if t >= p.LEAST_THICKNESS]
    found = [
        one
        for way, t, D in itertools.product([s if len(s) > 1 else (heads,) for s in sides], thicknesses, diameters) if depth
        for one in _laid(name, web, room, wood, way, t, depth, D, system)
    ]  # fmt: skip
    return tuple(sorted(found, key=lambda x: x.effort))


def _laid(
    name: str, web: Member, room: Room, wood: Wood, sides: tuple[str, ...], thickness: float, depth: float, D: float, system: str,
) -> Iterator[Layout]:  # fmt: skip
    """The pattern with the fewest bolts for one size of sister; none where it does not fit."""
    step, cut = p.grids(system)
    hole = step / 2
    ply = web.plies[0]
    thinnest = min(thickness, ply.thickness)
    length = down_to_grid(room.end - room.start - float(hole), cut)
    rows = 1 if depth <= p.ONE_ROW_UP_TO * thinnest else 2
    most = min(p.GREATEST_SPACING * thinnest, length)
    least_end = up_to_grid(p.END * D, step)
    usable = length - 2 * least_end
    if usable < p.SPACING * D:
        return
    count = math.ceil(rounded_length(usable / down_to_grid(most, step))) + 1
    spacing = down_to_grid(usable / (count - 1), step)
    gauge = 0.0 if rows == 1 else down_to_grid(depth / 2, step)
    columns = tuple(rounded_length((k - (count - 1) / 2) * spacing) for k in range(count))
    lines = tuple(rounded_length((k - (rows - 1) / 2) * gauge) for k in range(rows))
    if spacing < p.SPACING * D or depth / 2 - lines[-1] < p.EDGE * D or (rows > 1 and gauge < p.GAUGE * D):
        return
    half = room.length / 2  # whole steps from the web's middle, which is the work point
    middle = rounded_length(half + round(((room.start + room.end) / 2 - half) / float(hole)) * float(hole))
    grip = ply.thickness + thickness * len(sides)
    planes = (thickness, grip - thickness) if len(sides) == 2 else (thickness,)  # from the heads, where a sister on one side stands
    ordered = bolt_length(D, grip, grip, shear_planes=planes)
    bolts = Bolts(D, tuple((rounded_length(middle + x), y) for x in columns for y in lines), usual.BOLT_YIELD,
                  root=ordered.root_diameter if ordered.threads_in_shear else 0.0)  # fmt: skip
    sister = Sister(name, web.name, thickness, depth, sides, middle - length / 2, middle + length / 2, wood, bolts, 0.0)
    weight = len(sides) * thickness * depth * length * usual.WOOD_WEIGHT + len(bolts.positions) * ordered.weight
    yield Layout(replace(sister, weight=weight), length, spacing, gauge, columns, lines, most, ordered)
