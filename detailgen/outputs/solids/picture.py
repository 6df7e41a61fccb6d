"""A joint as a picture in lines, seen from the upper right, hidden lines left out: for sheets, report and page. Plane arithmetic, no solid kernel.

Every piece is an upright prism; one whose plan is not convex hides what is behind it by its convex pieces. Where the line of sight from a point of an
edge runs into a convex piece, the point is hidden; along an edge that is one interval for each piece, found for all edges at once.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from detailgen.core.errors import OutputError
from detailgen.model.detail import Bolt, Detail, Part
from detailgen.model.outlines import convex_pieces, is_round
from detailgen.model.timbers import outline_in_place
from detailgen.outputs.solids.hardware import HexBolt, HexNut, Piece, Washer, stack_of

Point = tuple[float, float]
Floats = NDArray[np.float64]
YAW, PITCH = math.radians(35), math.radians(25)
ARC_STEP = 0.03
"""Arcs of outlines turn by at most this (rad) from one straight piece to the next."""
SIDES, SLIM_SIDES, SLIM = 20, 10, 0.6
"""Chords of a round piece, and of one with a smaller radius (in): on paper they would be too short to draw."""
NEAR = 1e-4
"""What lies no farther than this (in) behind a surface lies on it."""
LEVEL = 1e-12
"""A bound that changes less than this along an edge does not change."""
LEAST = 0.03
"""Shorter pieces of line (in) are left out."""
EXISTING, STEEL, WOOD, BOLTS = "existing", "new steel", "new wood", "new bolts"
"""Layers, by the roles of ``outputs.drawings.layers``."""


@dataclass(frozen=True)
class Stroke:
    layer: str
    start: Point
    end: Point


@dataclass(frozen=True)
class Picture:
    """Lines in inches of the joint at full size, x to the right and y up on the paper, the work point at the origin.

    ``anchors``: by key of a part, the middle of the largest of its faces that the viewer sees; by key of a bolt group, the head of its last bolt.
    """

    strokes: tuple[Stroke, ...]
    anchors: dict[str, Point]

    @property
    def box(self) -> tuple[float, float, float, float]:
        xs = [v for s in self.strokes for v in (s.start[0], s.end[0])]
        ys = [v for s in self.strokes for v in (s.start[1], s.end[1])]
        return min(xs), min(ys), max(xs), max(ys)


@dataclass(frozen=True)
class _Prism:
    """An upright prism: its plan counter-clockwise, from ``low`` to ``high``; ``round`` ones show no edges along z but their outermost, nor
    do others where the plan hardly turns: there it is an arc.

    ``shows`` its edges, and ``hides`` what is behind it: a plan that is not convex does the first, its pieces the second.
    """

    layer: str
    plan: tuple[Point, ...]
    low: float
    high: float
    round: bool = False
    shows: bool = True
    hides: bool = True


def axes(yaw: float = YAW, pitch: float = PITCH) -> tuple[Floats, Floats, Floats]:
    """Right, up and toward the viewer, as the page's own view has them."""
    sy, cy, sp, cp = math.sin(yaw), math.cos(yaw), math.sin(pitch), math.cos(pitch)
    return np.array([cy, 0, -sy]), np.array([-sy * sp, cp, -cy * sp]), np.array([sy * cp, sp, cy * cp])


def picture(detail: Detail, yaw: float = YAW) -> Picture:
    """The joint assembled, with heads, nuts and washers, turned by ``yaw`` (rad) to the right of straight on.

    Raises: OutputError for a part whose plan crosses itself, or a bolt that does not fit
    """
    right, up, back = axes(yaw)
    prisms = [*(q for p in detail.parts for q in _part_prisms(p)), *_bolt_prisms(detail)]
    edges = [(p.layer, a, b) for p in prisms if p.shows for a, b in _edges(p, back)]
    starts, ends = (np.array([e[k] for e in edges]) for k in (1, 2))
    hidden: list[list[tuple[float, float]]] = [[] for _ in edges]
    flat = [np.column_stack((v @ right, v @ up)) for v in (starts, ends)]
    for prism in (p for p in prisms if p.hides):
        corners = np.array([(x, y, z) for x, y in prism.plan for z in (prism.low, prism.high)])
        seen = np.column_stack((corners @ right, corners @ up))
        over = (np.minimum(*flat) < seen.max(axis=0)).all(axis=1) & (np.maximum(*flat) > seen.min(axis=0)).all(axis=1)
        which = np.nonzero(over)[0]
        first, last = _hidden(prism, starts[which], ends[which], back)
        for k, t0, t1 in zip(which, first, last, strict=True):
            if t1 - t0 > 1e-9:
                hidden[k].append((float(t0), float(t1)))
    strokes = [
        Stroke(layer, _between(a, b, t0), _between(a, b, t1))
        for (layer, _, _), a, b, gone in zip(edges, flat[0], flat[1], hidden, strict=True)
        for t0, t1 in _shown(gone)
        if math.dist(a, b) * (t1 - t0) > LEAST
    ]
    return Picture(tuple(strokes), _anchors(detail, right, up))


def _between(a: Floats, b: Floats, t: float) -> Point:
    return round(float(a[0] + t * (b[0] - a[0])), 5) + 0.0, round(float(a[1] + t * (b[1] - a[1])), 5) + 0.0


def _shown(gone: Sequence[tuple[float, float]]) -> Iterator[tuple[float, float]]:
    """What is left of 0 to 1."""
    at = 0.0
    for t0, t1 in sorted(gone):
        if t0 > at + 1e-9:
            yield at, t0
        at = max(at, t1)
    if at < 1 - 1e-9:
        yield at, 1.0


def _part_prisms(part: Part) -> list[_Prism]:
    layer = EXISTING if part.existing else STEEL if part.material == "steel" else WOOD
    low, high = part.placement.z, part.placement.z + part.thickness
    if is_round(part.outline):
        plan = outline_in_place(part, math.tau / _sides(part.outline[0].x))
        return [_Prism(layer, plan, low, high, round=True)]
    plan = outline_in_place(part, ARC_STEP)
    try:
        pieces = convex_pieces(plan)
    except ValueError as error:
        raise OutputError(f"part {part.key}: {error}") from None
    whole = _Prism(layer, plan, low, high)
    if len(pieces) == 1:
        return [whole]
    return [replace(whole, hides=False), *(replace(whole, plan=piece, shows=False) for piece in pieces)]


def _bolt_prisms(detail: Detail) -> Iterator[_Prism]:
    """Heads, shanks, nuts and washers; as they are where the head stands near, else turned about the face under the head."""
    for bolt in sorted(detail.bolts, key=lambda b: (b.group, b.x, b.y)):
        for _, piece, z in stack_of(bolt).pieces:
            for prism in _piece_prisms(bolt, piece, bolt.seat + z):
                yield prism if bolt.way > 0 else replace(prism, low=2 * bolt.seat - prism.high, high=2 * bolt.seat - prism.low)


def _piece_prisms(bolt: Bolt, piece: Piece, base: float) -> Iterator[_Prism]:
    match piece:
        case HexBolt():
            yield _Prism(BOLTS, _ring(bolt.x, bolt.y, piece.flats / math.sqrt(3), 6), base, base + piece.height)
            yield _Prism(BOLTS, _round(bolt.x, bolt.y, piece.diameter / 2), base - piece.length, base, round=True)
        case HexNut():
            yield _Prism(BOLTS, _ring(bolt.x, bolt.y, piece.flats / math.sqrt(3), 6), base, base + piece.height)
        case Washer():
            yield _Prism(BOLTS, _round(bolt.x, bolt.y, piece.diameter / 2), base, base + piece.thickness, round=True)


def _sides(radius: float) -> int:
    return SIDES if abs(radius) >= SLIM else SLIM_SIDES


def _round(x: float, y: float, radius: float) -> tuple[Point, ...]:
    return _ring(x, y, radius, _sides(radius))


def _ring(x: float, y: float, radius: float, sides: int) -> tuple[Point, ...]:
    return tuple((x + radius * math.cos(k * math.tau / sides), y + radius * math.sin(k * math.tau / sides)) for k in range(sides))


def _edges(prism: _Prism, back: Floats) -> Iterator[tuple[tuple[float, float, float], tuple[float, float, float]]]:
    n = len(prism.plan)
    facing = []
    for k in range(n):
        (ax, ay), (bx, by) = prism.plan[k], prism.plan[(k + 1) % n]
        facing.append((by - ay) * back[0] - (bx - ax) * back[1] > 0)
        for z in (prism.low, prism.high):
            yield (ax, ay, z), (bx, by, z)
    for k in range(n):
        if not (prism.round or _smooth(prism.plan[k - 1], prism.plan[k], prism.plan[(k + 1) % n])) or facing[k] != facing[k - 1]:
            x, y = prism.plan[k]
            yield (x, y, prism.low), (x, y, prism.high)


def _smooth(a: Point, b: Point, c: Point) -> bool:
    """Does an outline hardly turn at b?"""
    turn = math.atan2(c[1] - b[1], c[0] - b[0]) - math.atan2(b[1] - a[1], b[0] - a[0])
    return abs(math.remainder(turn, math.tau)) < 1.5 * ARC_STEP


def _hidden(prism: _Prism, starts: Floats, ends: Floats, back: Floats) -> tuple[Floats, Floats]:
    """For each edge from where to where (0 to 1) a prism hides it; an empty interval where it does not.

    A point start + t (end - start) + s back lies in the prism where normal . point <= offset for each of its faces. Faces that look toward the
    viewer bound s from above, those that look away from below; the point is hidden where there is room for an s above ``NEAR``.
    """
    plan = np.array(prism.plan)
    side = np.roll(plan, -1, axis=0) - plan
    length = np.hypot(side[:, 0], side[:, 1])
    normals = np.column_stack((side[:, 1] / length, -side[:, 0] / length, np.zeros(len(plan))))
    offsets = (normals[:, :2] * plan).sum(axis=1)
    normals = np.vstack((normals, (0, 0, 1), (0, 0, -1)))
    offsets = np.concatenate((offsets, (prism.high, -prism.low)))
    slope = normals @ back
    a, c = (ends - starts) @ normals.T, offsets - starts @ normals.T  # a t + slope s <= c
    above, below, level = slope > 1e-9, slope < -1e-9, np.abs(slope) <= 1e-9
    # s <= (c - a t) / slope from above; s >= the same from below, and s >= NEAR
    up = a[:, above] / slope[above], c[:, above] / slope[above]
    low = (np.column_stack((a[:, below] / slope[below], np.zeros(len(a)))),
           np.column_stack((c[:, below] / slope[below], np.full(len(a), NEAR))))  # fmt: skip
    first, last = _room(up, low, 0.0), _room(up, low, 1.0)
    p, q = a[:, level], c[:, level] - NEAR
    with np.errstate(divide="ignore", invalid="ignore"):
        at = q / p
    steep = np.abs(p) > LEVEL
    first = np.maximum(first, np.where(steep & (p < 0), at, -np.inf).max(axis=1, initial=0.0))
    last = np.minimum(last, np.where(steep & (p > 0), at, np.inf).min(axis=1, initial=1.0))
    never = (~steep & (q < 0)).any(axis=1) | np.isnan(first) | np.isnan(last)
    return np.where(never, 1.0, first), np.where(never, 0.0, last)


def _room(up: tuple[Floats, Floats], low: tuple[Floats, Floats], start: float) -> Floats:
    """For each edge where from an end (0 or 1) on there is room between what bounds s from above and from below; nan where there is none.

    Both bounds are the least and the greatest of straight lines c - a t, so that the room between them bends one way only: from an end without room
    Newton's steps come to where it begins, after as many as there are bends at most. A plan with an arc has too many sides to try all pairs of them.
    """
    (up_a, up_c), (low_a, low_c) = up, low
    sense = 1.0 if start == 0.0 else -1.0
    at = np.full(len(up_a), start)
    left = np.arange(len(at))
    while len(left):
        t = at[left]
        over = (up_c[left] - up_a[left] * t[:, None]).argmin(axis=1)
        under = (low_c[left] - low_a[left] * t[:, None]).argmax(axis=1)
        p = up_a[left, over] - low_a[left, under]
        q = up_c[left, over] - low_c[left, under]
        short = q - p * t < 0
        helps = sense * p < -LEVEL
        step = np.divide(q, p, out=np.full(len(p), np.nan), where=helps)
        further = short & ~(sense * (step - t) <= 0)
        at[left[further]] = step[further]
        left = left[further & helps]
    return at


def _anchors(detail: Detail, right: Floats, up: Floats) -> dict[str, Point]:
    found: dict[str, Point] = {}
    for part in detail.parts:
        plan = outline_in_place(part, 0.2)
        x, y = sum(p[0] for p in plan) / len(plan), sum(p[1] for p in plan) / len(plan)
        at = np.array([x, y, part.placement.z + part.thickness])
        found[part.key] = (round(float(at @ right), 5), round(float(at @ up), 5))
    for group in detail.groups:
        last = max((b for b in detail.bolts if b.group == group.key), key=lambda b: (b.x, b.y), default=None)
        if last is not None:
            at = np.array([last.x, last.y, last.seat])
            found[group.key] = (round(float(at @ right), 5), round(float(at @ up), 5))
    return found
