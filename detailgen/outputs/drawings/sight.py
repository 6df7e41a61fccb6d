"""What is seen of the parts of a view and what is behind others: edges as lines and true arcs, none drawn twice."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise

from detailgen.core.geometry import union
from detailgen.model.detail import Part
from detailgen.model.outlines import circle_of, convex_pieces, edges_of, is_round
from detailgen.outputs.drawings.detail_geometry import SAME, in_detail, polygon
from detailgen.outputs.drawings.plane import NOTHING, box_of, crossing, cuts_of, inside
from detailgen.outputs.drawings.shapes import Arc, Circle, Line, Point

Stroke = Line | Arc
Box = tuple[float, float, float, float]
Span = tuple[float, float]
"""Shares of a stroke between which something is so; 0 at its start, 1 at its end."""
TURN = 2 * math.pi
SAME_CURVE = 1e-3
"""Curves no farther apart than this (in) are drawn once."""


def strokes(part: Part, layer: str) -> list[Stroke]:
    """Edges in the detail's axes; an end that is cut off by a break line has none."""
    found: list[Stroke] = []
    for a, b in edges_of(part.outline):
        if not a.bulge:
            if not any(abs(a.x - x) < SAME and abs(b.x - x) < SAME for x in part.open_ends):
                found.append(Line(layer, in_detail(part, (a.x, a.y)), in_detail(part, (b.x, b.y))))
            continue
        cx, cy, radius = circle_of(a, b)
        first = a if a.bulge > 0 else b
        start = (math.atan2(first.y - cy, first.x - cx) + part.placement.angle) % TURN
        found.append(Arc(layer, in_detail(part, (cx, cy)), radius, start, start + 4 * math.atan(abs(a.bulge))))
    half = found[0]
    return [replace(half, end=half.start + TURN)] if isinstance(half, Arc) and is_round(part.outline) else found


def shape_of(stroke: Stroke) -> Stroke | Circle:
    """An arc all the way round is a circle."""
    whole = isinstance(stroke, Arc) and stroke.end - stroke.start > TURN - NOTHING
    return Circle(stroke.layer, stroke.centre, stroke.radius) if isinstance(stroke, Arc) and whole else stroke


def _box(stroke: Stroke) -> Box:
    if isinstance(stroke, Line):
        return box_of((stroke.start, stroke.end))
    (x, y), r = stroke.centre, stroke.radius
    return x - r, y - r, x + r, y + r


def _apart(a: Box, b: Box) -> bool:
    return a[0] > b[2] + SAME or b[0] > a[2] + SAME or a[1] > b[3] + SAME or b[1] > a[3] + SAME


def _line_within(line: Line, region: Sequence[Point]) -> list[Span]:
    """Where a line runs inside a convex region; nowhere where it only runs along an edge."""
    enter, leave = crossing(line, region, SAME)
    return [(enter, leave)] if (leave - enter) * math.dist(line.start, line.end) > SAME else []


def _arc_within(arc: Arc, region: Sequence[Point]) -> list[Span]:
    """Where an arc runs inside a convex region."""
    sweep = arc.end - arc.start
    pieces = pairwise(cuts_of(arc, region))
    within = ((a, b) for a, b in pieces if (b - a) * arc.radius > SAME and inside(arc.at((a + b) / 2), region))
    return [((a - arc.start) / sweep, (b - arc.start) / sweep) for a, b in within]


def _within(stroke: Stroke, region: Sequence[Point]) -> list[Span]:
    return _arc_within(stroke, region) if isinstance(stroke, Arc) else _line_within(stroke, region)


def _line_along(line: Line, other: Line) -> list[Span]:
    """Where a line lies on another one."""
    (x, y), (x1, y1) = line.start, line.end
    dx, dy = x1 - x, y1 - y
    size = math.hypot(dx, dy)
    shares = []
    for px, py in (other.start, other.end):
        if abs(dx * (py - y) - dy * (px - x)) > SAME * size:
            return []
        shares.append(((px - x) * dx + (py - y) * dy) / size**2)
    a, b = max(min(shares), 0.0), min(max(shares), 1.0)
    return [(a, b)] if (b - a) * size > SAME else []


def _arc_along(arc: Arc, other: Arc) -> list[Span]:
    """Where an arc lies on another one: of two pieces of one curve, centre and radius differ where their corners are rounded."""
    if any(abs(math.dist(arc.centre, other.at(other.start + t * (other.end - other.start))) - arc.radius) > SAME_CURVE for t in (0, 0.5, 1)):
        return []
    sweep, spans = arc.end - arc.start, []
    for turns in (-TURN, 0.0, TURN):
        a, b = max(other.start + turns - arc.start, 0.0), min(other.end + turns - arc.start, sweep)
        if (b - a) * arc.radius > SAME:
            spans.append((a / sweep, b / sweep))
    return spans


def _cutter(stroke: Stroke) -> tuple[float, Callable[[float, float], Stroke]]:
    """A stroke's length (in), and what makes the piece of it between two shares."""
    if isinstance(stroke, Arc):
        start, sweep = stroke.start, stroke.end - stroke.start
        return sweep * stroke.radius, lambda a, b: replace(stroke, start=start + a * sweep, end=start + b * sweep)
    (x, y), (x1, y1) = stroke.start, stroke.end

    def piece(a: float, b: float) -> Stroke:
        return replace(stroke, start=(x + a * (x1 - x), y + a * (y1 - y)), end=(x + b * (x1 - x), y + b * (y1 - y)))

    return math.hypot(x1 - x, y1 - y), piece


def _parted(stroke: Stroke, taken: Iterable[Span]) -> tuple[list[Stroke], list[Stroke]]:
    """A stroke outside and inside of the shares taken of it."""
    gone = union(taken)
    if not gone:
        return [stroke], []
    size, piece = _cutter(stroke)
    free, at = [], 0.0
    for a, b in (*gone, (1.0, 1.0)):
        if (a - at) * size > SAME:
            free.append(piece(at, a))
        at = b
    return free, [piece(a, b) for a, b in gone]


@dataclass
class Sight:
    """What has been drawn, and what it covers. Parts are added from the nearest one to the farthest."""

    covers: list[tuple[Box, Sequence[Point]]] = field(default_factory=list)
    drawn: list[tuple[Box, Stroke]] = field(default_factory=list)

    def parted(self, stroke: Stroke) -> tuple[list[Stroke], list[Stroke]]:
        """Pieces of a stroke that are seen, and that are behind what was added."""
        box = _box(stroke)
        near = [region for around, region in self.covers if not _apart(box, around)]
        return _parted(stroke, [span for region in near for span in _within(stroke, region)])

    def draw(self, stroke: Stroke) -> list[Stroke]:
        """What of a stroke was not drawn yet; from now on it is."""
        spans: list[Span] = []
        box = _box(stroke)
        for around, other in self.drawn:
            if _apart(box, around):
                continue
            if isinstance(stroke, Line) and isinstance(other, Line):
                spans += _line_along(stroke, other)
            elif isinstance(stroke, Arc) and isinstance(other, Arc):
                spans += _arc_along(stroke, other)
        free = _parted(stroke, spans)[0]
        self.drawn += [(_box(piece), piece) for piece in free]
        return free

    def cover(self, part: Part) -> None:
        """From now on a part hides what is drawn."""
        self.covers += [(box_of(region), region) for region in convex_pieces(polygon(part))]
