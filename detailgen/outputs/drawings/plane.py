"""Plane geometry for drawings: what overlaps, and what is left of a line when a region is cut out of it."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from itertools import product

from detailgen.model.detail import Vertex
from detailgen.model.outlines import circle_of
from detailgen.outputs.drawings.shapes import Arc, Circle, Line, Point, Polyline, Shape, Solid

NOTHING = 1e-9


def _apart(a: Sequence[Point], b: Sequence[Point]) -> bool:
    """Does an edge of a separate the two convex figures?"""
    for k, (x, y) in enumerate(a):
        nx, ny = y - a[k - 1][1], a[k - 1][0] - x
        if abs(nx) + abs(ny) < NOTHING:
            continue
        pa = [nx * px + ny * py for px, py in a]
        pb = [nx * px + ny * py for px, py in b]
        if max(pa) <= min(pb) or max(pb) <= min(pa):
            return True
    return False


def overlap(a: Sequence[Point], b: Sequence[Point]) -> bool:
    """Do two convex figures (a segment is one of two points) share more than a border?"""
    return not (_apart(a, b) or _apart(b, a))


def box_of(points: Iterable[Point]) -> tuple[float, float, float, float]:
    if isinstance(points, tuple) and len(points) == 2:  # most are pieces of lines
        (ax, ay), (bx, by) = points
        return (ax if ax < bx else bx), (ay if ay < by else by), (bx if ax < bx else ax), (by if ay < by else ay)
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


Figure = tuple[float, float, float, float, tuple[Point, ...], object]


@dataclass
class Taken:
    """Room that is taken: boxes of texts, pieces of lines, each with its owner; sorted into square cells, so that looking is quick."""

    cell: float
    cells: dict[tuple[int, int], list[Figure]] = field(default_factory=dict)
    put: list[tuple[int, int]] = field(default_factory=list)  # the cells that something was put into, in order

    def _cells(self, x0: float, y0: float, x1: float, y1: float) -> Iterable[tuple[int, int]]:
        floor, cell = math.floor, self.cell
        left, low, right, high = floor(x0 / cell), floor(y0 / cell), floor(x1 / cell), floor(y1 / cell)
        return ((left, low),) if left == right and low == high else product(range(left, right + 1), range(low, high + 1))

    def add(self, figure: Sequence[Point], owner: object = None) -> None:
        box = box_of(figure)
        entry = (*box, tuple(figure), owner)
        for place in self._cells(*box):
            self.cells.setdefault(place, []).append(entry)
            self.put.append(place)

    def back_to(self, count: int) -> None:
        """Forget what was added since ``put`` was so long."""
        for place in reversed(self.put[count:]):
            self.cells[place].pop()
        del self.put[count:]

    def hit(self, figure: Sequence[Point], owner: object = ()) -> bool:
        """Is any of this room taken by somebody else than ``owner``?"""
        x0, y0, x1, y1 = box_of(figure)
        for place in self._cells(x0, y0, x1, y1):
            for a0, b0, a1, b1, points, who in self.cells.get(place, ()):
                if a0 <= x1 and x0 <= a1 and b0 <= y1 and y0 <= b1 and who != owner and overlap(figure, points):
                    return True
        return False


def segments(shape: Shape, step: float) -> list[tuple[Point, Point]]:
    """A shape's visible strokes as straight pieces; arcs in pieces of about ``step``."""
    match shape:
        case Line():
            return [(shape.start, shape.end)]
        case Arc() | Circle():
            arc = shape if isinstance(shape, Arc) else Arc(shape.layer, shape.centre, shape.radius, 0.0, 2 * math.pi)
            n = max(8 if isinstance(shape, Circle) else 1, math.ceil(arc.radius * (arc.end - arc.start) / step))
            points = [arc.at(arc.start + k * (arc.end - arc.start) / n) for k in range(n + 1)]
            return list(itertools.pairwise(points))
        case Polyline():
            points = [*shape.points, shape.points[0]] if shape.closed else list(shape.points)
            pairs = list(itertools.pairwise(points))
            bulges = shape.bulges or (0.0,) * len(pairs)
            return [piece for (a, b), bulge in zip(pairs, bulges, strict=False) for piece in (_bulged(a, b, bulge, step) if bulge else [(a, b)])]
        case Solid():
            return list(itertools.pairwise((*shape.points, shape.points[0])))
    return []


def _bulged(a: Point, b: Point, bulge: float, step: float) -> list[tuple[Point, Point]]:
    """An arc between two corners in straight pieces."""
    x, y, radius = circle_of(Vertex(*a, bulge), Vertex(*b))
    start, theta = math.atan2(a[1] - y, a[0] - x), 4 * math.atan(bulge)
    n = max(4, math.ceil(radius * abs(theta) / step))
    middle = [(x + radius * math.cos(start + k * theta / n), y + radius * math.sin(start + k * theta / n)) for k in range(1, n)]
    return list(itertools.pairwise([a, *middle, b]))


def inside(point: Point, region: Sequence[Point]) -> bool:
    """Is a point within a convex region given counter-clockwise?"""
    return all(
        (x - region[k - 1][0]) * (point[1] - region[k - 1][1]) - (y - region[k - 1][1]) * (point[0] - region[k - 1][0]) > -NOTHING
        for k, (x, y) in enumerate(region)
    )


def counter_clockwise(region: Sequence[Point]) -> tuple[Point, ...]:
    area = sum(region[k - 1][0] * y - x * region[k - 1][1] for k, (x, y) in enumerate(region))
    return tuple(region) if area > 0 else tuple(reversed(region))


def meet_lines(p: Point, d: Point, a: Point, b: Point) -> tuple[float, float] | None:
    """Parameters of p + t d and a + u (b - a) where they meet; None for parallels."""
    ex, ey = b[0] - a[0], b[1] - a[1]
    cross = d[0] * ey - d[1] * ex
    if abs(cross) < NOTHING:
        return None
    return ((a[0] - p[0]) * ey - (a[1] - p[1]) * ex) / cross, ((a[0] - p[0]) * d[1] - (a[1] - p[1]) * d[0]) / cross


def meet_circle(p: Point, d: Point, centre: Point, radius: float) -> list[float]:
    """Parameters t of p + t d on a circle."""
    fx, fy = p[0] - centre[0], p[1] - centre[1]
    a, half, c = d[0] ** 2 + d[1] ** 2, fx * d[0] + fy * d[1], fx**2 + fy**2 - radius**2
    under = half**2 - a * c
    if under < 0 or a < NOTHING**2:
        return []
    root = math.sqrt(under)
    return [(-half - root) / a, (-half + root) / a]


def crossing(line: Line, region: Sequence[Point], margin: float) -> tuple[float, float]:
    """Shares of a line at which it enters and leaves a convex, counter-clockwise region; (1, 0) where it does not, or runs no deeper than a margin
    beside an edge."""
    (x, y), (dx, dy) = line.start, (line.end[0] - line.start[0], line.end[1] - line.start[1])
    enter, leave = 0.0, 1.0
    for k, (bx, by) in enumerate(region):
        ax, ay = region[k - 1]
        ex, ey = bx - ax, by - ay
        distance, speed = ex * (y - ay) - ey * (x - ax), ex * dy - ey * dx  # positive: inside
        if abs(speed) < NOTHING:
            if distance <= margin:
                return 1.0, 0.0
        elif speed > 0:
            enter = max(enter, -distance / speed)
        else:
            leave = min(leave, -distance / speed)
    return (enter, leave) if enter < leave else (1.0, 0.0)


def outside_line(line: Line, region: Sequence[Point]) -> list[Line]:
    """What is left of a line outside a convex, counter-clockwise region."""
    (x, y), (dx, dy) = line.start, (line.end[0] - line.start[0], line.end[1] - line.start[1])
    enter, leave = crossing(line, region, NOTHING)
    if enter >= leave:
        return [line]
    length = math.hypot(dx, dy)

    def at(t: float) -> Point:
        return x + t * dx, y + t * dy

    pieces = [(0.0, enter), (leave, 1.0)]
    return [Line(line.layer, at(a), at(b)) for a, b in pieces if (b - a) * length > 1e-6]


def cuts_of(arc: Arc, region: Sequence[Point]) -> list[float]:
    """Where an arc begins and ends, and where it crosses the border of a region in between (rad, the least first)."""
    cuts = [arc.start, arc.end]
    for k, b in enumerate(region):
        a = region[k - 1]
        d = (b[0] - a[0], b[1] - a[1])
        for t in meet_circle(a, d, arc.centre, arc.radius):
            if 0 <= t <= 1:
                angle = math.atan2(a[1] + t * d[1] - arc.centre[1], a[0] + t * d[0] - arc.centre[0])
                turned = arc.start + (angle - arc.start) % (2 * math.pi)
                if turned < arc.end:
                    cuts.append(turned)
    return sorted(cuts)


def outside_arc(arc: Arc, region: Sequence[Point]) -> list[Arc]:
    """What is left of an arc outside a convex, counter-clockwise region."""
    cuts = cuts_of(arc, region)
    if len(cuts) == 2:
        return [] if inside(arc.at((arc.start + arc.end) / 2), region) else [arc]
    out: list[Arc] = []
    for a0, a1 in itertools.pairwise(cuts):
        if (a1 - a0) * arc.radius < 1e-6 or inside(arc.at((a0 + a1) / 2), region):
            continue
        if out and abs(out[-1].end - a0) < 1e-12:
            out[-1] = replace(out[-1], end=a1)
        else:
            out.append(replace(arc, start=a0, end=a1))
    return out


def outside(shapes: Iterable[Shape], region: Sequence[Point]) -> list[Shape]:
    """Cut a convex region out of lines and arcs; other shapes stay as they are."""
    around = counter_clockwise(region)
    x0, y0, x1, y1 = box_of(around)
    out: list[Shape] = []
    for shape in shapes:
        if isinstance(shape, Line):
            (ax, ay), (bx, by) = shape.start, shape.end
            if (ax > x1 and bx > x1) or (ax < x0 and bx < x0) or (ay > y1 and by > y1) or (ay < y0 and by < y0):
                out.append(shape)
            else:
                out += outside_line(shape, around)
        elif isinstance(shape, Arc):
            middle, reach = ((x0 + x1) / 2, (y0 + y1) / 2), math.hypot(x1 - x0, y1 - y0) / 2
            near = abs(math.dist(middle, shape.centre) - shape.radius) <= reach
            out += outside_arc(shape, around) if near else [shape]
        else:
            out.append(shape)
    return out
