"""Curves of a drawing as points, and what is round among them: circles, slots with round ends, bolt heads seen from their end."""

from __future__ import annotations

import bisect
import math
from collections.abc import Iterator, Sequence

from detailgen.checker.drawing import FaceHole
from detailgen.checker.dxf_text import Entity
from detailgen.checker.geometry import Point, outline_of

ROUND = 1e-4
"""What a circle may be out of round, as a share of its radius."""
MANY_SIDED = 16
"""A regular polygon of so many sides is a circle that a program broke up; one of six is a bolt's head."""
STEPS = 32
"""Places on each piece of a spline that is not straight."""
MOST_PLACES = 20_000
"""Places on one spline; a hole has some hundred."""
Corner = tuple[float, float, float]


def light_corners(e: Entity) -> Iterator[Corner]:
    corner: list[float] = []
    for code, value in e.pairs():
        if code == "10":
            if corner:
                yield corner[0], corner[1], corner[2]
            corner = [e.real(value), 0.0, 0.0]
        elif corner and code == "20":
            corner[1] = e.real(value)
        elif corner and code == "42":
            corner[2] = e.real(value)
    if corner:
        yield corner[0], corner[1], corner[2]


def spline_points(e: Entity) -> tuple[list[Point], bool]:
    """Places along a spline, and whether it closes; none where it is not told by control points (or by more than any drawing has)."""
    degree = e.whole("71")
    values: dict[str, list[float]] = {c: [] for c in ("40", "41", "10", "20")}
    for code, value in e.pairs():
        if code in values:
            values[code].append(e.real(value))
    knots, places = values["40"], list(zip(values["10"], values["20"], strict=False))
    weights = values["41"] or [1.0] * len(places)
    n = len(places)
    if degree < 1 or n <= degree or len(knots) != n + degree + 1 or len(weights) != n or knots != sorted(knots) or min(weights) <= 0:
        return [], False
    spans = [k for k in range(degree, n) if knots[k + 1] > knots[k]]
    steps = 1 if degree == 1 else STEPS
    if not spans or len(spans) * steps > MOST_PLACES:
        return [], False
    points = [_on_spline(knots[k] + (knots[k + 1] - knots[k]) * s / steps, degree, knots, places, weights) for k in spans for s in range(steps)]
    points.append(_on_spline(knots[n], degree, knots, places, weights))
    size = max(max(p[k] for p in points) - min(p[k] for p in points) for k in (0, 1))
    closed = bool(e.whole("70") & 1) or math.dist(points[0], points[-1]) < 1e-6 * max(size, 1e-9)
    if len(points) > 1 and math.dist(points[0], points[-1]) < 1e-6 * max(size, 1e-9):
        points.pop()
    return points, closed


def _on_spline(u: float, degree: int, knots: Sequence[float], places: Sequence[Point], weights: Sequence[float]) -> Point:
    """De Boor's scheme on points with weights."""
    n = len(places)
    k = min(max(bisect.bisect_right(knots, u) - 1, degree), n - 1)
    d = [(places[j][0] * weights[j], places[j][1] * weights[j], weights[j]) for j in range(k - degree, k + 1)]
    for r in range(1, degree + 1):
        for j in range(degree, r - 1, -1):
            low, high = knots[j + k - degree], knots[j + 1 + k - r]
            share = (u - low) / (high - low) if high > low else 0.0
            a, b = d[j - 1], d[j]
            d[j] = (a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]), a[2] + share * (b[2] - a[2]))
    x, y, w = d[degree]
    return x / w, y / w


def bolt_head(points: Sequence[Corner]) -> Point | None:
    """The middle of a regular hexagon."""
    x, y = (sum(p[k] for p in points) / 6 for k in (0, 1))
    radii = [math.dist((x, y), p[:2]) for p in points]
    sides = [math.dist(a[:2], b[:2]) for a, b in zip(points, [*points[1:], points[0]], strict=True)]
    return (x, y) if max(radii + sides) - min(radii + sides) < 1e-3 * max(radii) and not any(p[2] for p in points) else None


def round_shape(points: Sequence[Corner]) -> FaceHole | None:
    """A circle, whatever arcs or short lines it is made of, or a slot with two round ends."""
    n = len(points)
    bulges = [b for *_, b in points]
    if n == 4 and sorted(round(abs(b), 6) for b in bulges) == [0, 0, 1, 1] and abs(bulges[0]) == abs(bulges[2]):
        first = 0 if bulges[0] == 0 else 1
        (ax, ay, _), (bx, by, _), (cx, cy, _) = (points[(first + k) % 4] for k in range(3))
        width, straight = math.hypot(cx - bx, cy - by), math.hypot(bx - ax, by - ay)
        x, y = (sum(p[k] for p in points) / 4 for k in (0, 1))
        return FaceHole(x, y, width, length=straight + width, angle=math.degrees(math.atan2(by - ay, bx - ax)))
    if n < 2 or not (all(bulges) or (n >= MANY_SIDED and not any(bulges))):
        return None
    if any(bulges):
        edges = outline_of(points).edges
        if len(edges) < 2 or abs(abs(sum(4 * math.atan(e.bulge) for e in edges)) - 2 * math.pi) > 1e-6:
            return None
        arcs = [e.arc for e in edges]
        x, y, radius = (sum(a[k] for a in arcs) / len(arcs) for k in range(3))
        off = max(max(math.dist(a[:2], (x, y)), abs(a[2] - radius)) for a in arcs)
        return FaceHole(x, y, 2 * radius) if off < ROUND * radius else None
    x, y = _middle_of_round(points)
    radii = [math.dist(p[:2], (x, y)) for p in points]
    radius = sum(radii) / n
    return FaceHole(x, y, 2 * radius) if max(abs(r - radius) for r in radii) < 10 * ROUND * radius else None


def round_spline(points: Sequence[Corner]) -> FaceHole | None:
    """A circle that a program turned into a spline: as large as where its pieces meet, between which it may stray a little."""
    hole = round_shape(points)
    if hole is None or len(points) < 3 * STEPS:
        return hole
    meet = points[::STEPS]
    return FaceHole(hole.x, hole.y, 2 * sum(math.dist(p[:2], hole.at) for p in meet) / len(meet))


def _middle_of_round(points: Sequence[Corner]) -> Point:
    """The middle of the circle that fits places best, however they are spread over it."""
    n = len(points)
    mx, my = (sum(p[k] for p in points) / n for k in (0, 1))
    uv = [(p[0] - mx, p[1] - my) for p in points]
    suu, svv, suv = sum(u * u for u, _ in uv), sum(v * v for _, v in uv), sum(u * v for u, v in uv)
    pu, pv = sum(u * (u * u + v * v) for u, v in uv) / 2, sum(v * (u * u + v * v) for u, v in uv) / 2
    det = suu * svv - suv * suv
    return (mx + (pu * svv - pv * suv) / det, my + (pv * suu - pu * suv) / det) if det > 0 else (mx, my)
