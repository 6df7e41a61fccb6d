"""The parts of a detail in its axes: outlines, what covers what, where a line runs behind another part."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

from detailgen.model.detail import Part, Vertex
from detailgen.model.outlines import circle_of
from detailgen.outputs.drawings.plane import NOTHING, box_of
from detailgen.outputs.drawings.shapes import Line, Point

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
    return box_of(polygon(part))


def edges(part: Part, layer: str) -> list[Line]:
    """Edges in the detail's axes; an end that is cut off by a break line has none."""
    points = flat_outline(part)
    lines = []
    for a, b in zip(points, (*points[1:], points[0]), strict=True):
        if any(abs(a[0] - x) < SAME and abs(b[0] - x) < SAME for x in part.open_ends):
            continue
        lines.append(Line(layer, in_detail(part, a), in_detail(part, b)))
    return lines


def break_ends(part: Part) -> list[tuple[Point, Point]]:
    """Lower and upper point of each end at which the part is cut off, in the detail's axes."""
    ends = []
    for x in part.open_ends:
        ys = [p[1] for p in flat_outline(part) if abs(p[0] - x) < SAME]
        a, b = in_detail(part, (x, min(ys))), in_detail(part, (x, max(ys)))
        ends.append((a, b) if (a[1], a[0]) <= (b[1], b[0]) else (b, a))
    return ends


def _within(line: Line, region: Sequence[Point]) -> tuple[float, float] | None:
    """Shares of a line between which it runs inside a convex region; None where it does not, or only along an edge."""
    (x, y), (x1, y1) = line.start, line.end
    dx, dy = x1 - x, y1 - y
    enter, leave = 0.0, 1.0
    for k, (bx, by) in enumerate(region):
        ax, ay = region[k - 1]
        ex, ey = bx - ax, by - ay
        distance, speed = ex * (y - ay) - ey * (x - ax), ex * dy - ey * dx
        if abs(speed) < NOTHING:
            if distance <= SAME:
                return None
        elif speed > 0:
            enter = max(enter, -distance / speed)
        else:
            leave = min(leave, -distance / speed)
    return (enter, leave) if (leave - enter) * math.hypot(dx, dy) > SAME else None


def _pieces(line: Line, taken: Iterable[tuple[float, float]]) -> tuple[list[Line], list[Line]]:
    """A line outside and inside of the shares taken of it."""
    (x, y), (x1, y1) = line.start, line.end
    size = math.hypot(x1 - x, y1 - y)

    def part(a: float, b: float) -> Line:
        return replace(line, start=(x + a * (x1 - x), y + a * (y1 - y)), end=(x + b * (x1 - x), y + b * (y1 - y)))

    free, inside, at = [], [], 0.0
    merged: list[list[float]] = []
    for a, b in sorted(taken):
        if merged and a <= merged[-1][1] + NOTHING:
            merged[-1][1] = max(merged[-1][1], b)
        else:
            merged.append([a, b])
    for a, b in merged:
        if (a - at) * size > SAME:
            free.append(part(at, a))
        inside.append(part(a, b))
        at = b
    if (1 - at) * size > SAME:
        free.append(part(at, 1.0))
    return free, inside


def seen_and_hidden(line: Line, covers: Iterable[Sequence[Point]]) -> tuple[list[Line], list[Line]]:
    """The pieces of a line in sight and those behind convex regions."""
    spans = [span for span in (_within(line, region) for region in covers) if span is not None]
    return _pieces(line, spans)


def not_yet_drawn(line: Line, drawn: Iterable[Line]) -> list[Line]:
    """What of a line does not lie on lines that are drawn already."""
    (x, y), (x1, y1) = line.start, line.end
    dx, dy = x1 - x, y1 - y
    size = math.hypot(dx, dy)
    spans = []
    for other in drawn:
        shares = []
        for px, py in (other.start, other.end):
            if abs(dx * (py - y) - dy * (px - x)) > SAME * size:
                break
            shares.append(((px - x) * dx + (py - y) * dy) / size**2)
        else:
            a, b = max(min(shares), 0.0), min(max(shares), 1.0)
            if (b - a) * size > SAME:
                spans.append((a, b))
    return _pieces(line, spans)[0]


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
