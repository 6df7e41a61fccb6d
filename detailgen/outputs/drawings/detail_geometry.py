"""The parts of a detail in its axes: outlines, ends, where a plane cuts them."""

from __future__ import annotations

import itertools
import math

from detailgen.model.detail import Part, Vertex
from detailgen.model.outlines import bounds, circle_of
from detailgen.outputs.drawings.plane import box_of
from detailgen.outputs.drawings.shapes import Point

SAME = 1e-6
ARC_STEP = math.radians(6)
SAGITTA = 0.01
"""Arcs are drawn as short lines that leave them by no more than this (in), so that a chord's long flat curve is one."""


def in_detail(part: Part, p: Point) -> Point:
    """A point of a part's own axes in the axes of its detail."""
    at, c, s = part.placement, math.cos(part.placement.angle), math.sin(part.placement.angle)
    return at.x + p[0] * c - p[1] * s, at.y + p[0] * s + p[1] * c


def bulge_points(a: Vertex, b: Vertex) -> list[Point]:
    """Points on the edge from a to b, without b."""
    if not a.bulge:
        return [(a.x, a.y)]
    theta = 4 * math.atan(a.bulge)
    cx, cy, radius = circle_of(a, b)
    start = math.atan2(a.y - cy, a.x - cx)
    n = max(2, math.ceil(abs(theta) / min(ARC_STEP, math.sqrt(8 * SAGITTA / radius))))
    return [(cx + radius * math.cos(start + k * theta / n), cy + radius * math.sin(start + k * theta / n)) for k in range(n)]


def flat_outline(part: Part) -> list[Point]:
    """The outline in the part's own axes, arcs as short lines."""
    return [p for a, b in zip(part.outline, (*part.outline[1:], part.outline[0]), strict=True) for p in bulge_points(a, b)]


def polygon(part: Part) -> list[Point]:
    """The outline in the detail's axes, arcs as short lines."""
    return [in_detail(part, p) for p in flat_outline(part)]


def box(part: Part) -> tuple[float, float, float, float]:
    """x0, y0, x1, y1 in the detail's axes."""
    if part.placement.angle:
        return box_of(polygon(part))
    x0, y0, x1, y1 = bounds(part.outline)
    return part.placement.x + x0, part.placement.y + y0, part.placement.x + x1, part.placement.y + y1


def break_ends(part: Part) -> list[tuple[Point, Point]]:
    """Lower and upper point of each end at which the part is cut off, in the detail's axes."""
    ends = []
    for x in part.open_ends:
        ys = [p[1] for p in flat_outline(part) if abs(p[0] - x) < SAME]
        a, b = in_detail(part, (x, min(ys))), in_detail(part, (x, max(ys)))
        ends.append((a, b) if (a[1], a[0]) <= (b[1], b[0]) else (b, a))
    return ends


def upper_edge(part: Part, x: float) -> float:
    """y of a part's upper edge at x, though it slants or is curved; of its highest point where a plane at x misses it (in, detail's axes)."""
    cut = cut_at(part, x)
    return cut[1] if cut else box(part)[3]


def cut_at(part: Part, x: float) -> tuple[float, float] | None:
    """Lowest and highest y of a part where a plane at x cuts it; None where it does not."""
    ys = []
    points = polygon(part)
    for (x0, y0), (x1, y1) in itertools.pairwise([*points, points[0]]):
        if (x0 - x) * (x1 - x) < 0:
            ys.append(y0 + (x - x0) / (x1 - x0) * (y1 - y0))
    return (min(ys), max(ys)) if len(ys) >= 2 else None
