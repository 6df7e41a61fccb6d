"""Plane figures of parts: closed outlines of straight lines and arcs. Lengths in inches."""

from __future__ import annotations

import math
from collections.abc import Sequence

from detailgen.model.detail import Vertex


def rectangle(x1: float, x2: float, depth: float) -> tuple[Vertex, ...]:
    """From x1 to x2, half its depth on either side of the x axis."""
    return Vertex(x1, -depth / 2), Vertex(x2, -depth / 2), Vertex(x2, depth / 2), Vertex(x1, depth / 2)


def edges_of(outline: Sequence[Vertex]) -> list[tuple[Vertex, Vertex]]:
    """Each corner with the next one."""
    return list(zip(outline, (*outline[1:], outline[0]), strict=True))


def circle_of(a: Vertex, b: Vertex) -> tuple[float, float, float]:
    """Centre and radius of the arc from a corner to the next one (its bulge is not zero)."""
    away = (1 - a.bulge**2) / (4 * a.bulge)
    x, y = (a.x + b.x) / 2 - away * (b.y - a.y), (a.y + b.y) / 2 + away * (b.x - a.x)
    return x, y, math.hypot(a.x - x, a.y - y)


def is_round(outline: Sequence[Vertex]) -> bool:
    """Is it a circle?"""
    return len(outline) == 2 and all(abs(v.bulge) == 1 for v in outline)


def bounds(outline: Sequence[Vertex]) -> tuple[float, float, float, float]:
    """x0, y0, x1, y1 of an outline, arcs included."""
    xs, ys = [v.x for v in outline], [v.y for v in outline]
    for a, b in edges_of(outline):
        if not a.bulge:
            continue
        cx, cy, radius = circle_of(a, b)
        theta, start = 4 * math.atan(a.bulge), math.atan2(a.y - cy, a.x - cx)
        for quarter in range(4):
            angle = quarter * math.pi / 2
            turned = (angle - start) % (2 * math.pi) if theta > 0 else (start - angle) % (2 * math.pi)
            if turned <= abs(theta):
                xs.append(cx + radius * round(math.cos(angle)))
                ys.append(cy + radius * round(math.sin(angle)))
    return min(xs), min(ys), max(xs), max(ys)


Point = tuple[float, float]
NOTHING = 1e-9
"""Turns smaller than this (in2) are none."""
SAME_CENTRE = 1e-3
"""Two arcs about centres nearer than this (in) run beside one another."""


def depth_of(outline: Sequence[Vertex]) -> float:
    """How wide a part is across: of a piece between two arcs about one centre the distance between them, else that of its box."""
    arcs = [circle_of(a, b) for a, b in edges_of(outline) if a.bulge]
    if len(arcs) == 2 and math.dist(arcs[0][:2], arcs[1][:2]) < SAME_CENTRE:
        return abs(arcs[0][2] - arcs[1][2])
    _, y0, _, y1 = bounds(outline)
    return y1 - y0


def across_at(outline: Sequence[Vertex], x: float) -> tuple[float, float] | None:
    """Lowest and highest y of an outline at a place along it; None where it is not."""
    ys: list[float] = []
    for a, b in edges_of(outline):
        if (a.x - x) * (b.x - x) > 0 and not a.bulge:
            continue
        if not a.bulge:
            ys += [a.y + (x - a.x) / (b.x - a.x) * (b.y - a.y)] if a.x != b.x else [a.y, b.y]
            continue
        cx, cy, radius = circle_of(a, b)
        theta, start = 4 * math.atan(a.bulge), math.atan2(a.y - cy, a.x - cx)
        if abs(x - cx) > radius:
            continue
        for side in (1, -1):
            y = cy + side * math.sqrt(radius**2 - (x - cx) ** 2)
            angle = math.atan2(y - cy, x - cx)
            turned = (angle - start) % (2 * math.pi) if theta > 0 else (start - angle) % (2 * math.pi)
            if turned <= abs(theta) + 1e-9:
                ys.append(y)
    return (min(ys), max(ys)) if len(ys) > 1 else None


def convex_pieces(points: Sequence[Point]) -> list[tuple[Point, ...]]:
    """A region as convex, counter-clockwise pieces: itself where it is convex, else triangles cut off its ears."""
    twice = sum(points[k - 1][0] * y - x * points[k - 1][1] for k, (x, y) in enumerate(points))
    ring = list(points) if twice > 0 else list(reversed(points))

    def turn(a: Point, b: Point, c: Point) -> float:
        return (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])

    if all(turn(ring[k - 2], ring[k - 1], ring[k]) > -NOTHING for k in range(len(ring))):
        return [tuple(ring)]
    pieces = []
    while len(ring) > 3:
        for k in range(len(ring)):
            a, b, c = ring[k - 2], ring[k - 1], ring[k]
            others = [p for p in ring if p not in (a, b, c)]
            if turn(a, b, c) > NOTHING and not any(min(turn(a, b, p), turn(b, c, p), turn(c, a, p)) > -NOTHING for p in others):
                pieces.append((a, b, c))
                ring.pop(k - 1)
                break
        else:
            raise ValueError("an outline crosses itself")
    return [*pieces, tuple(ring)]
