"""Solids as walls and caps: every piece is a profile of lines, arcs and circles pushed along z, a bolt two of them one on the other.

From this follow, in closed form, the boundary that the STEP file writes (``boundary.py``) and volume, area and centroid that it states.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from detailgen.model.detail import Part, Slot, Vertex
from detailgen.model.outlines import circle_of, edges_of
from detailgen.outputs.solids.hardware import HexBolt, HexNut, Piece, Washer

Moments = tuple[float, float, float, float]
"""Of a closed line: area, area times x and times y of its centroid, length; area and moments negative where it runs clockwise."""


@dataclass(frozen=True)
class Side:
    """A straight line, or an arc whose ``bulge`` is the tangent of a quarter of its angle."""

    x0: float
    y0: float
    x1: float
    y1: float
    bulge: float = 0.0

    def circle(self) -> tuple[float, float, float]:
        """Centre and radius of an arc."""
        return circle_of(Vertex(self.x0, self.y0, self.bulge), Vertex(self.x1, self.y1))

    def moments(self) -> Moments:
        """What the side adds to its loop: the triangle to the origin, and for an arc the segment between it and its chord."""
        cross, chord = self.x0 * self.y1 - self.x1 * self.y0, math.dist((self.x0, self.y0), (self.x1, self.y1))
        area, mx, my = cross / 2, (self.x0 + self.x1) * cross / 6, (self.y0 + self.y1) * cross / 6
        if not self.bulge:
            return area, mx, my, chord
        x, y, r = self.circle()
        turn = 4 * math.atan(self.bulge)
        out = math.copysign(1.0, self.bulge) / chord  # the arc lies right of its chord where it runs counter-clockwise
        nx, ny = (self.y1 - self.y0) * out, -(self.x1 - self.x0) * out
        segment, reach = r * r * (turn - math.sin(turn)) / 2, 2 / 3 * r**3 * math.sin(turn / 2) ** 3
        return area + segment, mx + x * segment + nx * reach, my + y * segment + ny * reach, r * abs(turn)


@dataclass(frozen=True)
class Ring:
    """A whole circle, counter-clockwise or (round an opening) clockwise."""

    x: float
    y: float
    radius: float
    clockwise: bool = False

    def moments(self) -> Moments:
        area = math.pi * self.radius**2 * (-1 if self.clockwise else 1)
        return area, area * self.x, area * self.y, math.tau * self.radius


Loop = tuple[Side, ...] | Ring
"""Material lies to the left: outlines run counter-clockwise, openings clockwise."""


def moments(loop: Loop) -> Moments:
    if isinstance(loop, Ring):
        return loop.moments()
    a, x, y, length = (math.fsum(column) for column in zip(*(s.moments() for s in loop), strict=True))
    return a, x, y, length


@dataclass(frozen=True)
class Wall:
    """The upright faces over a loop from ``low`` to ``high``."""

    loop: Loop
    low: float
    high: float


@dataclass(frozen=True)
class Cap:
    """A level face that looks up or down, bounded by its first loop, without what the others enclose."""

    z: float
    up: bool
    loops: tuple[Loop, ...]


@dataclass(frozen=True)
class Measured:
    """What a receiver of a product should find: volume, surface area, centroid."""

    volume: float
    area: float
    centroid: tuple[float, float, float]


@dataclass(frozen=True)
class Body:
    walls: tuple[Wall, ...]
    caps: tuple[Cap, ...]

    def measured(self) -> Measured:
        """By the divergence theorem over the caps; walls are upright, so they add to the area alone."""
        volume = x = y = z = area = 0.0
        for cap in self.caps:
            a, mx, my, _ = (math.fsum(column) for column in zip(*map(moments, cap.loops), strict=True))
            height = cap.z if cap.up else -cap.z
            volume += height * a
            x += height * mx
            y += height * my
            z += height * cap.z * a / 2
            area += a
        area += math.fsum(moments(w.loop)[3] * (w.high - w.low) for w in self.walls)
        return Measured(volume, area, (x / volume, y / volume, z / volume))


def body_of(source: Part | Piece, scale: float) -> Body:
    """The body of a part or piece in its own axes, inches times ``scale``."""
    match source:
        case Part():
            openings = [Ring(h.x * scale, h.y * scale, h.diameter / 2 * scale, True) for h in source.holes]
            return _pushed(closed(source.outline, scale), [*openings, *(closed(slot_outline(s), scale) for s in source.slots)],
                           source.thickness * scale)  # fmt: skip
        case HexBolt():
            head, shank = closed(hexagon(source.flats), scale), Ring(0, 0, source.diameter / 2 * scale)
            top, end = source.height * scale, -source.length * scale
            seat = Ring(0, 0, shank.radius, True)
            caps = (Cap(top, True, (head,)), Cap(0.0, False, (head, seat)), Cap(end, False, (shank,)))
            return Body((Wall(head, 0.0, top), Wall(shank, end, 0.0)), caps)
        case HexNut():
            bore = Ring(0, 0, source.diameter / 2 * scale, True)
            return _pushed(closed(hexagon(source.flats), scale), [bore], source.height * scale)
        case Washer():
            return _pushed(Ring(0, 0, source.diameter / 2 * scale), [Ring(0, 0, source.hole / 2 * scale, True)], source.thickness * scale)


def _pushed(outline: Loop, openings: Iterable[Loop], height: float) -> Body:
    loops = (outline, *openings)
    return Body(tuple(Wall(p, 0.0, height) for p in loops), (Cap(height, True, loops), Cap(0.0, False, loops)))


def closed(outline: tuple[Vertex, ...], scale: float) -> tuple[Side, ...]:
    return tuple(Side(a.x * scale, a.y * scale, b.x * scale, b.y * scale, a.bulge) for a, b in edges_of(outline))


def slot_outline(slot: Slot) -> tuple[Vertex, ...]:
    """Clockwise, round ends as half circles."""
    c, s = math.cos(slot.angle), math.sin(slot.angle)
    half, radius = (slot.length - slot.width) / 2, slot.width / 2
    corners = ((-half, -radius, -1.0), (-half, radius, 0.0), (half, radius, -1.0), (half, -radius, 0.0))
    return tuple(Vertex(slot.x + c * x - s * y, slot.y + s * x + c * y, bulge) for x, y, bulge in corners)


def hexagon(flats: float) -> tuple[Vertex, ...]:
    """Two flats parallel to x."""
    corner = flats / math.sqrt(3)
    return tuple(Vertex(corner * math.cos(k * math.pi / 3), corner * math.sin(k * math.pi / 3)) for k in range(6))
