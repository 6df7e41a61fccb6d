"""Does a flat part make one solid? Its outline must be one closed line that nowhere meets itself, its openings must lie apart and inside.

Exact for lines, arcs, round holes and slots; a slot is all that lies within half its width of a short line. No solid kernel is asked.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from detailgen.core.errors import OutputError
from detailgen.model.detail import Part, Slot
from detailgen.outputs.solids.bodies import Side, closed, moments

Point = tuple[float, float]
Floats = NDArray[np.float64]
CLEAR = 1e-6
"""Lines that are nearer to each other meet (in)."""


def prove(part: Part) -> None:
    """Raises OutputError where outline and openings make no solid, with what is wrong and where."""
    if found := next(_flaws(part), ""):
        raise OutputError(f"part {part.key}: outline and holes make no valid solid: {found}")


def _flaws(part: Part) -> Iterator[str]:
    sides = closed(part.outline, 1.0)
    if part.thickness <= CLEAR or any(math.dist((s.x0, s.y0), (s.x1, s.y1)) <= CLEAR for s in sides):
        yield "it has a thickness or a side of no length"
        return
    for a, b in itertools.combinations(sides, 2):
        if _meet(a, b):
            yield f"the outline meets itself between ({a.x0:g}, {a.y0:g}) and ({b.x1:g}, {b.y1:g}) in"
    if moments(sides)[0] <= 0:
        yield "the outline runs clockwise"
    xs, ys, radii = (np.array([getattr(h, k) for h in part.holes]) for k in ("x", "y", "diameter"))
    radii = radii / 2
    for side in sides:
        near = np.flatnonzero(_distances(side, xs, ys) <= radii + CLEAR)
        yield from (f"the hole at ({xs[k]:g}, {ys[k]:g}) in crosses an edge" for k in near)
    yield from (f"the opening at ({p[0]:g}, {p[1]:g}) in lies outside" for p in _outside(part, sides))
    apart = np.hypot(xs[:, None] - xs, ys[:, None] - ys) - radii[:, None] - radii
    for j, k in np.argwhere(np.triu(apart <= CLEAR, 1)):
        yield f"the holes at ({xs[j]:g}, {ys[j]:g}) and ({xs[k]:g}, {ys[k]:g}) in meet"
    axes = [(_axis(s), s.width / 2, s) for s in part.slots]
    for axis, reach, slot in axes:
        if slot.length < slot.width or any(_gap(axis, side) <= reach + CLEAR for side in sides):
            yield f"the slot at ({slot.x:g}, {slot.y:g}) in crosses an edge"
        if (_distances(axis, xs, ys) <= radii + reach + CLEAR).any():
            yield f"the slot at ({slot.x:g}, {slot.y:g}) in meets a hole"
    for (a, r, one), (b, q, _) in itertools.combinations(axes, 2):
        if _gap(a, b) <= r + q + CLEAR:
            yield f"the slot at ({one.x:g}, {one.y:g}) in meets another"


def _axis(slot: Slot) -> Side:
    half = max(slot.length - slot.width, 0.0) / 2
    c, s = half * math.cos(slot.angle), half * math.sin(slot.angle)
    return Side(slot.x - c, slot.y - s, slot.x + c, slot.y + s)


def _outside(part: Part, sides: Sequence[Side]) -> list[Point]:
    """Middles of openings outside the outline. They keep clear of it, so chords that leave arcs by less than the smallest opening tell the same."""
    spots = [(h.x, h.y) for h in part.holes] + [(s.x, s.y) for s in part.slots]
    if not spots:
        return []
    sag = min([h.diameter for h in part.holes] + [s.width for s in part.slots]) / 4
    line = np.array([p for s in sides for p in _chords(s, sag)])
    (x0, y0), (x1, y1) = line.T, np.roll(line, -1, axis=0).T
    found = []
    for x, y in spots:
        over = (y0 > y) != (y1 > y)
        if np.count_nonzero(x < x0[over] + (y - y0[over]) * (x1[over] - x0[over]) / (y1[over] - y0[over])) % 2 == 0:
            found.append((x, y))
    return found


def _chords(side: Side, sag: float) -> Iterator[Point]:
    """The first point of a side, and for an arc points between, so that no chord leaves it by more than ``sag``."""
    yield side.x0, side.y0
    if side.bulge:
        x, y, r = side.circle()
        turn, start = 4 * math.atan(side.bulge), math.atan2(side.y0 - y, side.x0 - x)
        count = math.ceil(abs(turn) / (2 * math.acos(max(1 - sag / r, 0.0))))
        for k in range(1, count):
            yield x + r * math.cos(start + turn * k / count), y + r * math.sin(start + turn * k / count)


def _distances(side: Side, xs: Floats, ys: Floats) -> Floats:
    """From points to a side."""
    dx, dy = side.x1 - side.x0, side.y1 - side.y0
    if not side.bulge:
        length = dx * dx + dy * dy
        t = np.clip(((xs - side.x0) * dx + (ys - side.y0) * dy) / length, 0, 1) if length else np.zeros_like(xs)
        straight: Floats = np.hypot(xs - side.x0 - t * dx, ys - side.y0 - t * dy)
        return straight
    x, y, r = side.circle()
    ends = np.minimum(np.hypot(xs - side.x0, ys - side.y0), np.hypot(xs - side.x1, ys - side.y1))
    turn, start = 4 * math.atan(side.bulge), math.atan2(side.y0 - y, side.x0 - x)
    after = np.mod((np.arctan2(ys - y, xs - x) - start) * math.copysign(1, turn), math.tau)
    round_: Floats = np.where(after <= abs(turn), np.abs(np.hypot(xs - x, ys - y) - r), ends)
    return round_


def _to(side: Side, p: Point) -> float:
    return float(_distances(side, np.array([p[0]]), np.array([p[1]]))[0])


def _crossings(a: Side, b: Side) -> list[Point]:
    """Points in which the lines or circles of two sides cross, as far as they lie on both."""
    if a.bulge and not b.bulge:
        a, b = b, a
    found: list[Point] = []
    if not b.bulge:
        ax, ay, bx, by = a.x1 - a.x0, a.y1 - a.y0, b.x1 - b.x0, b.y1 - b.y0
        if (cross := ax * by - ay * bx) != 0:
            t = ((b.x0 - a.x0) * by - (b.y0 - a.y0) * bx) / cross
            found = [(a.x0 + t * ax, a.y0 + t * ay)]
    elif not a.bulge:
        x, y, r = b.circle()
        dx, dy = a.x1 - a.x0, a.y1 - a.y0
        length = math.hypot(dx, dy) or 1.0
        dx, dy = dx / length, dy / length
        t = (x - a.x0) * dx + (y - a.y0) * dy
        off = math.dist((x, y), (a.x0 + t * dx, a.y0 + t * dy))
        half = math.sqrt(max(r * r - off * off, 0.0)) if off <= r + CLEAR else math.nan
        found = [(a.x0 + (t + h) * dx, a.y0 + (t + h) * dy) for h in (-half, half)]
    else:
        (x, y, r), (u, v, q) = a.circle(), b.circle()
        if (d := math.dist((x, y), (u, v))) > CLEAR:
            t = (d * d + r * r - q * q) / (2 * d)
            half = math.sqrt(max(r * r - t * t, 0.0)) if abs(t) <= r + CLEAR else math.nan
            dx, dy = (u - x) / d, (v - y) / d
            found = [(x + t * dx - h * dy, y + t * dy + h * dx) for h in (-half, half)]
    return [p for p in found if not math.isnan(p[0]) and _to(a, p) <= CLEAR and _to(b, p) <= CLEAR]


def _ends(side: Side) -> tuple[Point, Point]:
    return (side.x0, side.y0), (side.x1, side.y1)


def _meet(a: Side, b: Side) -> bool:
    """Do two sides of an outline meet elsewhere than in a corner that both end in?"""
    shared = [p for p in _ends(a) if any(math.dist(p, q) <= CLEAR for q in _ends(b))]

    def elsewhere(p: Point) -> bool:
        return all(math.dist(p, q) > 10 * CLEAR for q in shared)

    touching = [p for p in _ends(a) if _to(b, p) <= CLEAR] + [q for q in _ends(b) if _to(a, q) <= CLEAR]
    return any(elsewhere(p) for p in (*touching, *_crossings(a, b)))


def _gap(line: Side, side: Side) -> float:
    """Between a straight line and a side: 0 where they cross, else from an end of one, or from where the line is nearest to an arc's centre."""
    if _crossings(line, side):
        return 0.0
    spots = [*_ends(line)]
    if side.bulge:
        x, y, _ = side.circle()
        dx, dy = line.x1 - line.x0, line.y1 - line.y0
        t = min(max(((x - line.x0) * dx + (y - line.y0) * dy) / (dx * dx + dy * dy or 1.0), 0.0), 1.0)
        spots.append((line.x0 + t * dx, line.y0 + t * dy))
    return min([_to(side, p) for p in spots] + [_to(line, p) for p in _ends(side)])
