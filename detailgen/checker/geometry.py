"""Outlines of straight edges and arcs, and what is measured on them: rays, nearest edge, inside or outside."""

from __future__ import annotations

import bisect
import itertools
import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

Point = tuple[float, float]
TINY = 1e-9
SAME_CENTRE = 1e-3
"""Arcs about centres nearer than this (in) run beside one another."""
SAME_PLACE = 1e-4
"""Ends of edges that lie closer than this (in) are one corner."""
_SLANT = (math.cos(0.7312), math.sin(0.7312))  # a direction that no drawn edge has


@lru_cache(maxsize=4096)
def unit(degrees: float) -> Point:
    """The direction at an angle; exact along the axes."""
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return (0.0 if abs(c) < 1e-12 else c, 0.0 if abs(s) < 1e-12 else s)


def side_word(d: Point) -> str:
    """The side of a part towards which a direction points."""
    if abs(d[0]) >= abs(d[1]):
        return "right" if d[0] > 0 else "left"
    return "upper" if d[1] > 0 else "lower"


def turned(p: Point, degrees: float) -> Point:
    c, s = unit(degrees)
    return p[0] * c - p[1] * s, p[0] * s + p[1] * c


@dataclass(frozen=True)
class Frame:
    """How what is drawn in one set of axes stands in another: x' = a x + c y + dx, y' = b x + d y + dy."""

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    dx: float = 0.0
    dy: float = 0.0

    def at(self, p: Point) -> Point:
        return self.a * p[0] + self.c * p[1] + self.dx, self.b * p[0] + self.d * p[1] + self.dy

    def along(self, v: Point) -> Point:
        """A difference between two places."""
        return self.a * v[0] + self.c * v[1], self.b * v[0] + self.d * v[1]

    def after(self, inner: Frame) -> Frame:
        """First ``inner``, then this."""
        (a, b), (c, d), (dx, dy) = self.along((inner.a, inner.b)), self.along((inner.c, inner.d)), self.at((inner.dx, inner.dy))
        return Frame(a, b, c, d, dx, dy)

    @cached_property
    def flips(self) -> bool:
        return self.a * self.d - self.b * self.c < 0

    @cached_property
    def plain(self) -> bool:
        """Neither turned nor mirrored."""
        return abs(self.b) + abs(self.c) < TINY and self.a > 0 and self.d > 0

    @cached_property
    def scale(self) -> float:
        return math.sqrt(abs(self.a * self.d - self.b * self.c))

    @cached_property
    def keeps_shape(self) -> bool:
        """Does a circle stay one?"""
        k = self.scale
        return k > 0 and abs(math.hypot(self.a, self.b) / k - 1) < 1e-6 and abs(math.hypot(self.c, self.d) / k - 1) < 1e-6

    def turn(self) -> Frame:
        """Turning and mirroring alone."""
        k = self.scale
        return Frame(self.a / k, self.b / k, self.c / k, self.d / k)

    def back(self) -> Frame:
        det = self.a * self.d - self.b * self.c
        a, b, c, d = self.d / det, -self.b / det, -self.c / det, self.a / det
        return Frame(a, b, c, d, -(a * self.dx + c * self.dy), -(b * self.dx + d * self.dy))


AS_DRAWN = Frame()


def turning(degrees: float) -> Frame:
    c, s = unit(degrees)
    return Frame(c, s, -s, c)


@dataclass(frozen=True)
class Edge:
    """From a to b, straight (bulge 0) or an arc whose quarter angle has the tangent ``bulge``, positive counter-clockwise."""

    ax: float
    ay: float
    bx: float
    by: float
    bulge: float = 0.0

    @property
    def chord(self) -> float:
        return math.hypot(self.bx - self.ax, self.by - self.ay)

    @cached_property
    def arc(self) -> tuple[float, float, float, float, float]:
        """Centre, radius, start angle and signed sweep of an arc."""
        half = 2 * math.atan(self.bulge)
        radius = self.chord / (2 * math.sin(abs(half)))
        rise = self.chord / 2 / math.tan(half)  # signed distance from the chord's middle to the centre, to its left
        length = self.chord
        ux, uy = (self.bx - self.ax) / length, (self.by - self.ay) / length
        cx, cy = (self.ax + self.bx) / 2 - uy * rise, (self.ay + self.by) / 2 + ux * rise
        return cx, cy, radius, math.atan2(self.ay - cy, self.ax - cx), 2 * half

    def _on_arc(self, angle: float) -> bool:
        _, _, _, start, sweep = self.arc
        gone = (angle - start) % (2 * math.pi) if sweep > 0 else (start - angle) % (2 * math.pi)
        return gone <= abs(sweep) + TINY or gone >= 2 * math.pi - TINY

    def crossings(self, p: Point, d: Point) -> list[float]:
        """Distances along the direction d at which a ray from p meets this edge."""
        if abs(self.bulge) < TINY:
            ex, ey = self.bx - self.ax, self.by - self.ay
            across = d[0] * ey - d[1] * ex
            if abs(across) < TINY * max(1.0, self.chord):
                return []
            wx, wy = self.ax - p[0], self.ay - p[1]
            along, share = (wx * ey - wy * ex) / across, (wx * d[1] - wy * d[0]) / across
            return [along] if along > 0 and -TINY <= share <= 1 + TINY else []
        cx, cy, radius, _, _ = self.arc
        wx, wy = p[0] - cx, p[1] - cy
        b, c = wx * d[0] + wy * d[1], wx * wx + wy * wy - radius * radius
        inside = b * b - c
        if inside < 0:
            return []
        roots = (-b - math.sqrt(inside), -b + math.sqrt(inside))
        return [t for t in roots if t > 0 and self._on_arc(math.atan2(wy + t * d[1], wx + t * d[0]))]

    def distance(self, p: Point) -> float:
        """Least distance from p to this edge."""
        ends = min(math.hypot(p[0] - self.ax, p[1] - self.ay), math.hypot(p[0] - self.bx, p[1] - self.by))
        if abs(self.bulge) < TINY:
            ex, ey = self.bx - self.ax, self.by - self.ay
            share = ((p[0] - self.ax) * ex + (p[1] - self.ay) * ey) / max(ex * ex + ey * ey, TINY**2)
            return abs((p[0] - self.ax) * ey - (p[1] - self.ay) * ex) / self.chord if 0 < share < 1 else ends
        cx, cy, radius, _, _ = self.arc
        away = math.hypot(p[0] - cx, p[1] - cy)
        return abs(away - radius) if self._on_arc(math.atan2(p[1] - cy, p[0] - cx)) else ends

    @property
    def extreme(self) -> list[Point]:
        """Points that bound the edge."""
        points = [(self.ax, self.ay), (self.bx, self.by)]
        if abs(self.bulge) >= TINY:
            cx, cy, radius, _, _ = self.arc
            quarters = ((math.cos(a), math.sin(a), a) for a in (0.0, math.pi / 2, math.pi, -math.pi / 2))
            points += [(cx + radius * c, cy + radius * s) for c, s, a in quarters if self._on_arc(a)]
        return points


@dataclass(frozen=True)
class Outline:
    """A closed outline."""

    edges: tuple[Edge, ...]

    @cached_property
    def box(self) -> tuple[float, float, float, float]:
        """x and y of the lower left and the upper right corner of the bounding box."""
        points = [p for e in self.edges for p in e.extreme]
        return min(p[0] for p in points), min(p[1] for p in points), max(p[0] for p in points), max(p[1] for p in points)

    @property
    def corners(self) -> tuple[Point, ...]:
        return tuple((e.ax, e.ay) for e in self.edges)

    @cached_property
    def area(self) -> float:
        """in2, arcs counted"""
        total = 0.0
        for e in self.edges:
            total += (e.ax * e.by - e.bx * e.ay) / 2
            if abs(e.bulge) >= TINY:
                _, _, radius, _, sweep = e.arc
                total += radius**2 * (sweep - math.sin(sweep)) / 2
        return abs(total)

    @cached_property
    def is_box(self) -> bool:
        """A rectangle along the axes: most parts are one, and most questions about it are short."""
        straight = all(abs(e.bulge) < TINY and (e.ax == e.bx or e.ay == e.by) for e in self.edges)
        return len(self.edges) == 4 and straight and abs(self.area - (self.box[2] - self.box[0]) * (self.box[3] - self.box[1])) < TINY

    @cached_property
    def depth(self) -> float:
        """How wide it is across (in): of a piece between two arcs about one centre the distance between them, else that of its box."""
        arcs = [e.arc for e in self.edges if abs(e.bulge) >= TINY]
        if len(arcs) == 2 and math.dist(arcs[0][:2], arcs[1][:2]) < SAME_CENTRE:
            return abs(arcs[0][2] - arcs[1][2])
        return self.box[3] - self.box[1]

    def in_box(self, p: Point, margin: float = 0.0) -> bool:
        x0, y0, x1, y1 = self.box
        return x0 - margin <= p[0] <= x1 + margin and y0 - margin <= p[1] <= y1 + margin

    def contains(self, p: Point) -> bool:
        if self.is_box:
            return self.in_box(p)
        return self.in_box(p) and sum(len(e.crossings(p, _SLANT)) for e in self.edges) % 2 == 1

    def ray(self, p: Point, d: Point) -> float:
        """Distance from p in the direction d to the first edge; inf where there is none."""
        return self.hit(p, d)[0]

    def hit(self, p: Point, d: Point) -> tuple[float, int]:
        """The same, with the index of the edge (-1: none). What a line along d meets is found once for all holes on it."""
        if self.is_box and d in self._box_sides and self.in_box(p):
            axis, bound, edge = self._box_sides[d]
            gap = abs(bound - p[axis])
            return (gap, edge) if gap > 0 else (math.inf, -1)
        across = round(p[1] * d[0] - p[0] * d[1], 9)
        if (line := self._lines.get((d, across))) is None:
            start = min(x * d[0] + y * d[1] for x, y in self._box_corners) - 1.0
            far = (start * d[0] - across * d[1], start * d[1] + across * d[0])
            line = self._lines[d, across] = sorted((start + t, k) for k, e in enumerate(self.edges) for t in e.crossings(far, d))
        along = p[0] * d[0] + p[1] * d[1]
        k = bisect.bisect_right(line, (along, len(self.edges)))
        return (line[k][0] - along, line[k][1]) if k < len(line) else (math.inf, -1)

    @cached_property
    def _box_sides(self) -> Mapping[Point, tuple[int, float, int]]:
        """Of a rectangle along the axes: by direction the coordinate that counts, where its side stands, and which edge that is."""
        x0, y0, x1, y1 = self.box
        found = {}
        for d, axis, bound in (((1.0, 0.0), 0, x1), ((-1.0, 0.0), 0, x0), ((0.0, 1.0), 1, y1), ((0.0, -1.0), 1, y0)):
            k = next(k for k, e in enumerate(self.edges) if ((e.ax, e.ay)[axis], (e.bx, e.by)[axis]) == (bound, bound))
            found[d] = axis, bound, k
        return found

    @cached_property
    def _lines(self) -> dict[tuple[Point, float], list[tuple[float, int]]]:
        return {}

    @property
    def _box_corners(self) -> tuple[Point, ...]:
        x0, y0, x1, y1 = self.box
        return (x0, y0), (x1, y0), (x1, y1), (x0, y1)

    def nearest(self, p: Point, edges: Iterable[Edge] | None = None) -> float:
        if edges is None and self.is_box and self.contains(p):
            x0, y0, x1, y1 = self.box
            return min(p[0] - x0, x1 - p[0], p[1] - y0, y1 - p[1])
        return min((e.distance(p) for e in (self.edges if edges is None else edges)), default=math.inf)

    def mapped(self, frame: Frame) -> Outline:
        """As it stands in other axes that keep its shape."""
        sign = -1.0 if frame.flips else 1.0
        return Outline(tuple(Edge(*frame.at((e.ax, e.ay)), *frame.at((e.bx, e.by)), sign * e.bulge) for e in self.edges))


def outline_of(points: Sequence[tuple[float, float, float]]) -> Outline:
    """A closed outline from corners x, y, bulge; doubled corners are dropped."""
    edges = []
    for (ax, ay, bulge), (bx, by, _) in zip(points, [*points[1:], points[0]], strict=True):
        if math.hypot(bx - ax, by - ay) > TINY:
            edges.append(Edge(ax, ay, bx, by, bulge))
    return Outline(tuple(edges))


def joined(pieces: Sequence[Edge]) -> Outline | None:
    """One closed outline from loose lines and arcs in any order and direction; None where they do not close."""
    found, rest = loops(pieces)
    return found[0] if len(found) == 1 and not rest else None


def loops(pieces: Sequence[Edge]) -> tuple[list[Outline], list[Edge]]:
    """Closed outlines from loose lines and arcs in any order and direction, and the pieces that close to none."""
    ends: dict[tuple[int, int], list[int]] = defaultdict(list)
    for k, e in enumerate(pieces):
        for p in ((e.ax, e.ay), (e.bx, e.by)):
            ends[_cell(p)].append(k)
    used: set[int] = set()
    found: list[Outline] = []
    rest: list[Edge] = []
    for k, first in enumerate(pieces):
        if k in used:
            continue
        used.add(k)
        chain = [first]
        while (step := _next(chain[-1], pieces, ends, used)) is not None:
            chain.append(step)
        closes = math.hypot(chain[-1].bx - chain[0].ax, chain[-1].by - chain[0].ay) < SAME_PLACE and len(chain) > 1
        if closes:
            found.append(Outline(tuple(chain)))
        else:
            rest += chain
    return found, rest


def _cell(p: Point) -> tuple[int, int]:
    return math.floor(p[0] / SAME_PLACE), math.floor(p[1] / SAME_PLACE)


def _next(last: Edge, pieces: Sequence[Edge], ends: Mapping[tuple[int, int], list[int]], used: set[int]) -> Edge | None:
    """A piece that begins where this one ends, turned round where it must be."""
    i, j = _cell((last.bx, last.by))
    for a, b in itertools.product((i, i - 1, i + 1), (j, j - 1, j + 1)):
        for k in ends.get((a, b), ()):
            if k in used:
                continue
            e = pieces[k]
            if math.hypot(e.ax - last.bx, e.ay - last.by) < SAME_PLACE:
                used.add(k)
                return e
            if math.hypot(e.bx - last.bx, e.by - last.by) < SAME_PLACE:
                used.add(k)
                return Edge(e.bx, e.by, e.ax, e.ay, -e.bulge)
    return None


class Boxes:
    """Boxes by cells, to find those around a place."""

    CELL = 48.0
    MOST = 1000

    def __init__(self, boxes: Sequence[tuple[float, float, float, float]]) -> None:
        self.cells: dict[tuple[int, int], list[int]] = defaultdict(list)
        self.large: list[int] = []
        for k, (x0, y0, x1, y1) in enumerate(boxes):
            columns, rows = (range(math.floor(a / self.CELL), math.floor(b / self.CELL) + 1) for a, b in ((x0, x1), (y0, y1)))
            if len(columns) * len(rows) > self.MOST:
                self.large.append(k)
                continue
            for cell in itertools.product(columns, rows):
                self.cells[cell].append(k)

    def around(self, p: Point) -> list[int]:
        """Indices of boxes that may hold a place, in their order."""
        here = self.cells.get((math.floor(p[0] / self.CELL), math.floor(p[1] / self.CELL)), [])
        return sorted([*here, *self.large]) if self.large else here
