"""Things that take up room at a joint: flat bodies with convex plans and upright cylinders, and by how much two of them run into each other.

All in the axes of the detail, inches. Every part is flat between two planes of constant z, so this is exact for straight outlines and needs no solid
kernel; round sides are chords, which leave the true line by at most a hundredth of an inch.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from detailgen.model.detail import Part
from detailgen.model.timbers import outline_in_place

Point = tuple[float, float]
Floats = NDArray[np.float64]
SAG = 0.01
"""A chord leaves its arc by no more (in)."""
TOUCH = 1e-4
"""Bodies that share less (in) only touch."""


@dataclass(frozen=True)
class Body:
    """A flat body between ``low`` and ``high``, its outline counter-clockwise. ``part``: key of the part, "" for what stands around."""

    name: str
    outline: tuple[Point, ...]
    low: float
    high: float
    part: str = ""

    @cached_property
    def pieces(self) -> tuple[Floats, ...]:
        """Its plan in convex pieces."""
        return tuple(np.array(p) for p in convex_pieces(self.outline))

    @cached_property
    def boxes(self) -> Floats:
        """Of the pieces: least and greatest x and y."""
        return np.array([(*p.min(axis=0), *p.max(axis=0)) for p in self.pieces])

    def pieces_at(self, box: tuple[float, float, float, float]) -> list[Floats]:
        """Pieces that a box may meet; none are made where it meets no edge and lies outside."""
        x0, y0, x1, y1 = box
        (ax, ay), (bx, by) = self.edges[0].T, (self.edges[0] + self.edges[1]).T
        meets = (np.minimum(ax, bx) < x1) & (np.maximum(ax, bx) > x0) & (np.minimum(ay, by) < y1) & (np.maximum(ay, by) > y0)
        if not meets.any() and distance_to(self, (x0 + x1) / 2, (y0 + y1) / 2) > 0:
            return []
        b = self.boxes
        near = (b[:, 0] < x1) & (b[:, 2] > x0) & (b[:, 1] < y1) & (b[:, 3] > y0)
        return [self.pieces[k] for k in np.flatnonzero(near)]

    @cached_property
    def edges(self) -> tuple[Floats, Floats]:
        """First ends of the outline's sides, and the ways to their other ends."""
        starts = np.array(self.outline)
        return starts, np.roll(starts, -1, axis=0) - starts

    @cached_property
    def box(self) -> tuple[float, float, float, float]:
        xs, ys = zip(*self.outline, strict=True)
        return min(xs), min(ys), max(xs), max(ys)


@dataclass(frozen=True)
class Round:
    """An upright cylinder: shank, head, nut, washer or the room that a tool takes."""

    name: str
    x: float
    y: float
    radius: float
    low: float
    high: float


def body_of(part: Part, name: str, dx: float = 0.0, dy: float = 0.0, turn: float = 0.0) -> Body:
    """A part where it stands; from the truss's axes to the detail's by taking off ``dx``, ``dy`` and turning back by ``turn``."""
    c, s = math.cos(turn), math.sin(turn)
    step = min((math.sqrt(8 * SAG / r) for r in _radii(part)), default=0.05)
    points = tuple((c * (x - dx) + s * (y - dy), -s * (x - dx) + c * (y - dy)) for x, y in outline_in_place(part, min(step, 0.25)))
    return Body(name, points, part.placement.z, part.placement.z + part.thickness, part.key)


def _radii(part: Part) -> list[float]:
    """Of the arcs of an outline."""
    sides = [(a, b) for a, b in zip(part.outline, (*part.outline[1:], part.outline[0]), strict=True) if a.bulge]
    return [math.dist((a.x, a.y), (b.x, b.y)) * (1 + a.bulge**2) / (4 * abs(a.bulge)) for a, b in sides]


def cross(o: Point, a: Point, b: Point) -> float:
    return (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0])


def is_convex(outline: Sequence[Point]) -> bool:
    n = len(outline)
    return all(cross(outline[k], outline[(k + 1) % n], outline[(k + 2) % n]) >= -1e-9 for k in range(n))


def convex_pieces(outline: Sequence[Point]) -> list[list[Point]]:
    """The outline itself if it is convex, else triangles that cover it (ears cut off one by one)."""
    if is_convex(outline):
        return [list(outline)]
    rest, pieces = list(outline), []
    while len(rest) > 3:
        for k in range(len(rest)):
            a, b, c = rest[k - 1], rest[k], rest[(k + 1) % len(rest)]
            if cross(a, b, c) <= 1e-12:
                continue
            others = (p for p in rest if p not in (a, b, c))
            if not any(cross(a, b, p) >= 0 and cross(b, c, p) >= 0 and cross(c, a, p) >= 0 for p in others):
                pieces.append([a, b, c])
                del rest[k]
                break
        else:
            flat = next((k for k in range(len(rest)) if abs(cross(rest[k - 1], rest[k], rest[(k + 1) % len(rest)])) <= 1e-12), None)
            if flat is None:
                raise ValueError("the outline crosses itself")
            del rest[flat]
    return [*pieces, rest] if cross(rest[0], rest[1], rest[2]) > 1e-12 else pieces


def hull(points: Sequence[Point]) -> list[Point]:
    """The convex hull, counter-clockwise."""
    ordered = sorted(set(points))
    out: list[Point] = []
    for way in (ordered, ordered[::-1]):
        half: list[Point] = []
        for p in way:
            while len(half) > 1 and cross(half[-2], half[-1], p) <= 0:
                half.pop()
            half.append(p)
        out += half[:-1]
    return out


def plan_overlap(a: Floats, b: Floats) -> float:
    """How far two convex plans run into each other: the least way by which one must move to be clear; 0 or less where they are."""
    least = math.inf
    for polygon in (a, b):
        sides = np.roll(polygon, -1, axis=0) - polygon
        axes = np.column_stack((sides[:, 1], -sides[:, 0]))
        axes = axes[np.hypot(axes[:, 0], axes[:, 1]) > 1e-12]
        axes /= np.hypot(axes[:, 0], axes[:, 1])[:, None]
        p, q = a @ axes.T, b @ axes.T
        least = min(least, float(np.minimum(p.max(axis=0) - q.min(axis=0), q.max(axis=0) - p.min(axis=0)).min()))
    return least


def shared(a: Floats, b: Floats) -> list[Point]:
    """Corners of what two convex plans share (one cut by the sides of the other)."""
    rest: list[Point] = [(float(x), float(y)) for x, y in a]
    sides = [((float(p[0]), float(p[1])), (float(q[0]), float(q[1]))) for p, q in zip(b, np.roll(b, -1, axis=0), strict=True)]
    for p, q in sides:
        kept: list[Point] = []
        for one, after in zip(rest, [*rest[1:], *rest[:1]], strict=True):
            here, there = cross(p, q, one), cross(p, q, after)
            if here >= 0:
                kept.append(one)
            if here * there < 0:
                t = here / (here - there)
                kept.append((one[0] + t * (after[0] - one[0]), one[1] + t * (after[1] - one[1])))
        rest = kept
    return rest


def middle_of(a: Body, b: Body) -> Point:
    """The middle of where two bodies run into each other, in plan."""
    points = [point for p in a.pieces_at(b.box) for q in b.pieces_at(a.box) for point in shared(p, q)]
    xs, ys = zip(*points, strict=True)
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2


def overlap(a: Body, b: Body) -> float:
    """How far two bodies run into each other: the least way out for one of them; 0 where they do not or only touch."""
    depth = min(a.high - b.low, b.high - a.low)
    (a0, b0, a1, b1), (c0, d0, c1, d1) = a.box, b.box
    if depth <= TOUCH or min(a1, c1) - max(a0, c0) <= TOUCH or min(b1, d1) - max(b0, d0) <= TOUCH:
        return 0.0
    plan = max((plan_overlap(p, q) for p in a.pieces_at(b.box) for q in b.pieces_at(a.box)), default=0.0)
    return min(depth, plan) if plan > TOUCH else 0.0


def distance_to(body: Body, x: float, y: float) -> float:
    """From a point of the plan to the body's nearest edge; negative inside it."""
    starts, ways = body.edges
    dx, dy = x - starts[:, 0], y - starts[:, 1]
    length = (ways**2).sum(axis=1)
    t = np.clip((dx * ways[:, 0] + dy * ways[:, 1]) / np.where(length > 0, length, 1.0), 0.0, 1.0)
    least = float(np.hypot(dx - t * ways[:, 0], dy - t * ways[:, 1]).min())
    # Inside where a line to the right crosses the outline an odd number of times: sides that pass the point's height with the point left of them.
    high = y >= starts[:, 1]  # of each corner once, so that the two sides at it agree
    over = high != np.roll(high, -1)
    left = (dx * ways[:, 1] - dy * ways[:, 0]) * np.sign(ways[:, 1]) < 0
    return -least if np.count_nonzero(over & left) % 2 else least


def round_overlap(a: Round, b: Body | Round) -> float:
    """How far a cylinder runs into a body or another cylinder; 0 where it does not or only touches."""
    depth = min(a.high - b.low, b.high - a.low)
    if depth <= TOUCH:
        return 0.0
    away = math.dist((a.x, a.y), (b.x, b.y)) - b.radius if isinstance(b, Round) else distance_to(b, a.x, a.y)
    plan = a.radius - away
    return min(depth, plan) if plan > TOUCH else 0.0
