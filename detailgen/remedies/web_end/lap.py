"""Patterns of new bolts through the lap of a web with its chord, each moved to its best place, from the least work to the most."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np

from detailgen.assessment.bolts import GroupPart, drilled_by
from detailgen.core.tolerance import rounded_length, up_to_grid
from detailgen.model.assessment import Floats
from detailgen.model.frame import FrameModel
from detailgen.model.member import Bolts, Connection, Filler
from detailgen.model.project import Truss
from detailgen.remedies import usual
from detailgen.remedies.web_end import parameters as p
from detailgen.remedies.web_end.site import End, away_from, lapping
from detailgen.stock.bolts import OrderedBolt, bolt_length, bolt_size, diameters, washer, wrench_room

TOUCHING = 1 / 8
"""Timbers closer than this (in) touch (ours, as in the assessment)."""


@dataclass(frozen=True)
class Layout:
    """Bolts (x, y) in the axes of the end, with the connection that they make and the bolt that is ordered."""

    diameter: float
    rows: int
    per_row: int
    spacing: float
    gauge: float
    bolts: tuple[tuple[float, float], ...]
    connection: Connection
    drilled: tuple[GroupPart, ...]
    ordered: OrderedBolt
    room: float  # the least of what the pattern has over what it aims at: 1 and more is all that it asks
    in_old_holes: bool = False  # thicker bolts where the old ones stood

    @property
    def effort(self) -> tuple[float, ...]:
        """What layouts are preferred by: bolts to drill, their size; of equals the one with more room."""
        return len(self.bolts), self.diameter, -round(min(self.room, 1.0), 6)

    @property
    def grip(self) -> tuple[float, float]:
        return min(q.low for q in self.drilled), max(q.high for q in self.drilled)


@dataclass(frozen=True)
class _Field:
    """What room a single bolt has at every place of the grid, 0 where it may not stand: the best place of any pattern is read from it."""

    xs: Floats
    ys: Floats
    room: Floats  # (x, y)
    step: float

    def best(self, pattern: Sequence[tuple[int, int]]) -> tuple[float, float] | None:
        """Where along the web's axis a pattern (steps of the grid, centred on the axis) has most room: that room, and x of its first column.

        None where it finds no place. Off the axis it would bend the web.
        """
        middle, long = len(self.ys) // 2, max(i for i, _ in pattern)
        wide = len(self.xs) - long
        if wide < 1 or max(abs(j) for _, j in pattern) > middle:
            return None
        room = np.minimum.reduce([self.room[i : i + wide, middle + j] for i, j in pattern])
        if not room.any():
            return None
        # Of places with as much room the one nearest to the work point, as it turns the joint least.
        away = np.abs(self.xs[:wide] + long * self.step / 2)
        k = min(range(wide), key=lambda n: (-round(min(float(room[n]), 1.0), 3), round(float(away[n]), 6)))
        return float(room[k]), float(self.xs[k])


def _field(truss: Truss, end: End, D: float, grid: float) -> _Field:
    reach = math.ceil(max(ply.depth for _, ply in lapping(truss, end)) * 2.0 / grid)
    deep = int(max(ply.depth for ply in end.web.plies) / 2 / grid)
    xs, ys = (np.arange(-n, n + 1, dtype=np.float64) * np.float64(grid) for n in (reach, deep))
    points = np.array([(x, y) for x in xs for y in ys])
    room = np.minimum(_own_room(end, points, D), _chord_room(truss, end, points, D))
    return _Field(xs, ys, np.where((room > 0) & _clear(end, points, D), room, 0.0).reshape(len(xs), len(ys)), grid)


def layouts(truss: Truss, model: FrameModel, end: End, system: str, wished: Sequence[float], least: Mapping[str, float]) -> list[Layout]:
    """All that find a place in the lap. Raises NotCovered for a diameter that is not stocked or a grip that is too long."""
    found: list[Layout] = []
    grid = p.step(system)
    for D in wished:
        if least.get("diameter", 0.0) - 1e-6 > D:
            continue
        larger = _larger(truss, model, end, D)
        if larger is not None and len(larger.bolts) >= least.get("bolts", 0):
            found.append(larger)
        field = _field(truss, end, D, float(grid))
        for rows, per_row in itertools.product(p.ROWS, p.PER_ROW):
            if p.LEAST_BOLTS <= rows * per_row <= p.MOST_BOLTS and rows * per_row >= least.get("bolts", 0):
                found += _placed(truss, model, end, field, grid, D, rows, per_row)
    return sorted(found, key=lambda x: x.effort)


def _larger(truss: Truss, model: FrameModel, end: End, D: float) -> Layout | None:
    """Thicker bolts in the holes of the old ones, drilled out; None where they are not thicker by enough, or fewer than two."""
    old = end.connection.bolts
    if old.diameter + p.LARGER - 1e-6 > D or len(old.positions) < p.LEAST_BOLTS or end.connection.idle:
        return None
    places = tuple((rounded_length(x), rounded_length(y * end.upward)) for x, y in sorted(old.positions))
    columns, lines = sorted({x for x, _ in places}), sorted({y for _, y in places})
    others = [(b.x, b.y, b.diameter) for b in end.old if b.of != end.web.name]
    beside = [(x, y, D) for x, y in places]
    if any(math.dist(a, (x, y)) < _washers(D, d) - 1e-6 for a in places for x, y, d in (*others, *beside) if math.dist(a, (x, y)) > 1e-6):
        return None
    found = _layout(truss, model, end, D, places)
    if found is None:
        return None
    step = min((b - a for a, b in itertools.pairwise(columns)), default=0.0)
    gauge = min((b - a for a, b in itertools.pairwise(lines)), default=0.0)
    made = replace(found.connection, idle=())
    return replace(found, rows=len(lines), per_row=len(columns), spacing=step, gauge=gauge, room=1.0, connection=made, in_old_holes=True)


def _placed(
    truss: Truss, model: FrameModel, end: End, field: _Field, grid: Fraction, D: float, rows: int, per_row: int,
) -> Iterator[Layout]:  # fmt: skip
    """For one number of bolts: every spacing and gauge at its best place."""
    deep = min(ply.depth for ply in end.web.plies)
    widest = 2 * float(math.floor(Fraction(rounded_length(min(deep / 2 - p.EDGE * D, p.GREATEST_GAUGE / 2))) / grid) * grid)
    gauges = sorted(g for g in {*(up_to_grid(x * D, 2 * grid) for x in p.GAUGES), widest} if g <= widest) if rows > 1 else [0.0]
    for spacing, g in itertools.product(p.SPACINGS if per_row > 1 else (0.0,), gauges):
        s = up_to_grid(spacing * D, grid)
        i, j = round(s / float(grid)), round(g / float(grid) / 2)
        steps = [(k * i, (2 * r - (rows - 1)) * j) for k in range(per_row) for r in range(rows)]
        best = field.best(steps)
        if best is None:
            continue
        room, x0 = best
        places = tuple((rounded_length(x0 + a * float(grid)), rounded_length(b * float(grid))) for a, b in steps)
        found = _layout(truss, model, end, D, places)
        if found is not None:
            yield replace(found, rows=rows, per_row=per_row, spacing=s, gauge=g, room=room)


def _own_room(end: End, points: Floats, D: float) -> Floats:
    """What the web offers over what is aimed at; 0 where its edge is too near."""
    to_end = (points[:, 0] + end.connection.end) / (p.END * D)
    room = np.minimum(to_end, np.inf)
    for ply in end.web.plies:
        edge = (ply.depth / 2 - np.abs(points[:, 1])) / D
        room = np.where(edge >= p.EDGE - 1e-6, room, 0.0)
    found: Floats = np.maximum(room, 0.0)
    return found


def _chord_room(truss: Truss, end: End, points: Floats, D: float) -> Floats:
    """The same for the chords' plies; all of them must be passed."""
    room = np.full(len(points), np.inf)
    for chord, ply in lapping(truss, end):
        angle = end.chord_angle(truss, chord)
        across = points[:, 1] * math.cos(angle) - points[:, 0] * math.sin(angle)
        edge = (ply.depth / 2 - np.abs(across)) / D
        room = np.minimum(room, np.where(edge >= p.LOADED_EDGE - 1e-6, edge / p.LOADED_EDGE, 0.0))
        along = points[:, 0] * math.cos(angle) + points[:, 1] * math.sin(angle)
        ends = next((q.ends for q in end.drilled if (q.member, q.ply) == (chord.name, ply.name)), (-math.inf, math.inf))
        for limit, way in zip(ends, (-1, 1), strict=True):
            if math.isfinite(limit):
                room = np.minimum(room, np.maximum(way * (limit - along), 0.0) / (p.END * D))
    return room


def _washers(D: float, other: float) -> float:
    """Centres of two bolts (in) whose washers just clear each other."""
    return sum(_washer(d) for d in (D, other)) / 2


def _washer(D: float) -> float:
    """Outside diameter of the washer of a bolt, old ones of a size that is no longer stocked among them."""
    size = washer("cut", D) if D in diameters() else None
    return size.size if size is not None else p.OLD_WASHER * D


def keep_off(D: float, old: float) -> float:
    """How far a new bolt's centre stays from an old one's, along x or along y (in): spacing, washers, and the socket beside the old head."""
    return max(p.FROM_OLD * (D + old) / 2, _washers(D, old), max(wrench_room(D), p.DRILL) + p.OLD_HEAD * old)


def _clear(end: End, points: Floats, D: float) -> np.typing.NDArray[np.bool_]:
    """Clear of old bolts and of all that no new bolt may pass."""
    clear = np.ones(len(points), dtype=bool)
    for bolt in end.old:
        off = keep_off(D, bolt.diameter)
        clear &= (np.abs(points[:, 0] - bolt.x) >= off - 1e-6) | (np.abs(points[:, 1] - bolt.y) >= off - 1e-6)
    own = [(q.low, q.high) for q in end.drilled if q.member == end.web.name]
    for region in end.barred:
        within = any(low < region.z[1] - 1e-6 and high > region.z[0] + 1e-6 for low, high in own)
        off = p.EDGE * D if within and math.isfinite(region.z[0]) else wrench_room(D)
        clear &= away_from(points, region.corners) >= off - 1e-6
    return clear


def _layout(truss: Truss, model: FrameModel, end: End, D: float, places: tuple[tuple[float, float], ...]) -> Layout | None:
    """The connection that these bolts make; None where they do not pass a chord."""
    surveyed = tuple((x, y * end.upward) for x, y in places)
    old = end.connection
    bolts = Bolts(D, surveyed, usual.BOLT_YIELD)
    idle = (*old.idle, old.bolts) if not old.new else old.idle
    made = replace(old, name=f"{old.name}, new bolts", bolts=bolts, plates=(), fillers=(), idle=idle, new=True)
    drilled = tuple(drilled_by(truss, made))
    if not any(q.member != end.web.name for q in drilled):
        return None
    stack = sorted(drilled, key=lambda q: q.z)
    gaps = [(a.high, b.low) for a, b in itertools.pairwise(stack) if b.low - a.high > TOUCHING]
    made = replace(made, fillers=tuple(Filler(high - low, (low + high) / 2) for low, high in gaps))
    low, high = stack[0].low, stack[-1].high
    met = [b.low for a, b in itertools.pairwise(stack) if b.low - a.high <= TOUCHING and a.member != b.member]
    planes = sorted({rounded_length(z - low if truss.bolts_from == "far" else high - z) for z in met})
    ordered = bolt_length(D, high - low, high - low, shear_planes=planes)
    root = bolt_size(D).root_diameter if ordered.planes_in_threads else 0.0
    made = replace(made, bolts=replace(bolts, root=root), weight=len(places) * ordered.weight)
    return Layout(D, 0, 0, 0.0, 0.0, places, made, tuple(stack), ordered, 0.0)
