"""Covers on both faces of a web and its chord: how bolts, pads and covers are laid out, and the requests by which the standards judge them.

The force goes from the web into a cover and from the cover into the chord. Where the web's faces stand back, a timber pad on each makes them
flush: the pad is bolted to the web beyond the cover (bolts A), and the cover to the pads (bolts B, which pass the web but are counted on for
nothing there): each bolt is asked for one step of the way only, and no bolt for a force across a filler. Bolts C join covers and chord.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from detailgen.assessment.bolts import GroupPart, drilled_by
from detailgen.assessment.connections import reverses
from detailgen.assessment.members import grade_of
from detailgen.core.tolerance import rounded_length, up_to_grid
from detailgen.model.assessment import Floats
from detailgen.model.frame import FrameModel
from detailgen.model.member import Bolts, Connection, Pad, Plate, Wood
from detailgen.model.project import Truss
from detailgen.remedies import usual
from detailgen.remedies.contract import Solved
from detailgen.remedies.web_end import parameters as p
from detailgen.remedies.web_end.seat import Seat
from detailgen.remedies.web_end.site import End
from detailgen.standards.interface import ConnectedPart, ConnectionRequest, PlateRequest
from detailgen.stock.bolts import OrderedBolt, bolt_length, bolt_size, wrench_room
from detailgen.stock.plates import plate_steel, shop_grid

Place = tuple[float, float]


@dataclass(frozen=True)
class Pattern:
    """Rows of bolts along the web, evenly about its axis; x of the first and last column (in)."""

    rows: int
    per_row: int
    spacing: float
    gauge: float
    first: float

    @property
    def last(self) -> float:
        return self.first + (self.per_row - 1) * self.spacing

    @cached_property
    def places(self) -> tuple[Place, ...]:
        ys = [(r - (self.rows - 1) / 2) * self.gauge for r in range(self.rows)]
        return tuple((rounded_length(self.first + k * self.spacing), rounded_length(y)) for k in range(self.per_row) for y in ys)

    def at(self, first: float) -> Pattern:
        return replace(self, first=first)


@dataclass(frozen=True)
class Cover:
    """A pair of covers: bolts A (none where faces are flush), B and C, and the sizes of what they hold.

    way: of ``parameters.COVERS``, or BLOCKS: pads and bolts A alone
    """

    way: str
    system: str
    seat: Seat
    diameter: float
    thickness: float
    web: tuple[float, float]  # depth and thickness
    beyond: float  # how far the web runs past the work point
    A: Pattern | None
    B: Pattern
    C: Pattern

    @property
    def steel(self) -> bool:
        return p.COVERS[self.way] == "steel"

    @property
    def grid(self) -> float:
        return float(shop_grid(self.system).plate_length)

    def up(self, value: float) -> float:
        return up_to_grid(value, shop_grid(self.system).plate_length)

    @property
    def end(self) -> float:
        """From the outermost bolt of a cover to its end: a timber is loaded towards it (full value in tension)."""
        return self.up(plate_edge(self.diameter) if self.steel else p.END * self.diameter)

    @property
    def start(self) -> float:
        """x of the cover's end on the chord."""
        return rounded_length(self.C.first - self.end)

    @property
    def stop(self) -> float:
        """x of its end on the web."""
        return rounded_length(self.start + self.up(self.B.last + self.end - self.start))

    @property
    def width(self) -> float:
        edge = plate_edge(self.diameter) if self.steel else p.COVER_EDGE * self.diameter
        widest = max((q.rows - 1) * q.gauge for q in (self.B, self.C))
        if not self.steel:
            return max(self.web[0], self.up(widest + 2 * edge))
        return self.up(max(widest + 2 * edge, min(self.web[0], 4.0)))

    @property
    def pad(self) -> tuple[float, float]:
        """From and to along the web of a pad."""
        assert self.A is not None
        start = self.seat.free if self.way == p.BLOCKS else self.up(self.seat.free + p.CLEAR_OF_CHORD)
        return start, rounded_length(start + self.up(self.A.last + p.END * self.diameter - start))

    @property
    def bolts(self) -> tuple[tuple[str, tuple[Place, ...]], ...]:
        """Groups that are there, from the pads down to the chord."""
        named = (("A", self.A), ("B", self.B), ("C", self.C))
        return tuple((key, q.places) for key, q in named if q is not None and (key == "A" or self.way != p.BLOCKS))

    def grip(self, group: str) -> tuple[float, float]:
        out = 0.0 if group == "A" else self.thickness
        return self.seat.low - out, self.seat.high + out

    def block(self, side: int) -> tuple[float, float, float, float]:
        """A block in the chord's gap at bolts C, as x, y, x, y: beside the web's tail (side -1, 1) or, without one, under all of them (0)."""
        reach = self.up(max(p.COVER_EDGE * self.diameter, p.BLOCK_REACH))
        x1, x2 = self.C.first - reach, self.C.last + reach
        half = (self.C.rows - 1) * self.C.gauge / 2
        if side == 0:
            return x1, -half - reach, x2, half + reach
        inner, outer = rounded_length(self.web[0] / 2 + p.FLUSH), half + reach
        return (x1, inner, x2, outer) if side > 0 else (x1, -outer, x2, -inner)


def plate_edge(D: float) -> float:
    return max(p.PLATE_EDGE * D, p.LEAST_PLATE_EDGE)


def ordered(cover: Cover, truss: Truss, group: str) -> OrderedBolt:
    """The stocked bolt of a group. Raises NotCovered where none is long enough."""
    low, high = cover.grip(group)
    planes = {"A": (cover.seat.recess,), "B": (cover.thickness,), "C": (cover.thickness,)}[group]
    both = sorted({rounded_length(v) for z in planes for v in (z, high - low - z)})
    return bolt_length(cover.diameter, high - low, high - low, shear_planes=both)


def _bolts(cover: Cover, truss: Truss, group: str, places: Sequence[Place], upward: int) -> Bolts:
    root = bolt_size(cover.diameter).root_diameter if ordered(cover, truss, group).planes_in_threads else 0.0
    return Bolts(cover.diameter, tuple((x, y * upward) for x, y in places), usual.BOLT_YIELD, root=root)


def pad_wood(web: Wood, woods: Sequence[str]) -> Wood:
    """Dry sawn timber of the web's species, in the usual grade where the standard holds it."""
    return Wood("sawn", web.species, p.PAD_GRADE if p.PAD_GRADE in woods else web.grade)


def connection_of(cover: Cover, truss: Truss, end: End, wood: Wood, weight: float = 0.0) -> Connection:
    """The web's end as the truss's model carries it from now on: what its bolts hand the force to, and what else weakens web and chord."""
    own, t = dict(cover.bolts), cover.thickness
    old = end.connection
    made = replace(old, name=f"{old.name}, {cover.way}", plates=(), fillers=(), idle=(*old.idle, old.bolts), new=True, weight=weight)
    passing = tuple(_bolts(cover, truss, g, own[g], end.upward) for g in ("B", "C") if g in own)
    faces = ((cover.seat.low - t / 2, "far"), (cover.seat.high + t / 2, "near"))
    if cover.A is not None:
        start, stop = cover.pad
        r = cover.seat.recess
        pads = tuple(
            Pad(side, r, cover.web[0], z, start, stop, wood)
            for z, side in ((cover.seat.low + r / 2, "far"), (cover.seat.high - r / 2, "near"))
        )  # fmt: skip
        return replace(made, bolts=_bolts(cover, truss, "A", own["A"], end.upward), pads=pads, passing=passing, over=t)
    made = replace(made, bolts=_bolts(cover, truss, "B", own["B"], end.upward), passing=passing[1:])
    if cover.steel:
        return replace(made, plates=tuple(Plate(t, cover.width, z, p.STEEL_BEARING, cover.stop) for z, _ in faces))
    return replace(made, pads=tuple(Pad(side, t, cover.width, z, cover.start, cover.stop, wood) for z, side in faces))


@dataclass(frozen=True)
class Asking:
    """What every request of an end shares: where, the web's force (lb) by combination, what the survey leaves of the joint."""

    where: str
    axial: Floats
    combinations: tuple[str, ...]
    durations: tuple[str, ...]
    condition: float


def asking(truss: Truss, solved: Solved, end: End, axial: Floats) -> Asking:
    names, durations = ([getattr(c, k) for c in solved.forces.combinations] for k in ("name", "duration"))
    return Asking(f"web {end.web.name} at {end.joint}", axial, tuple(names), tuple(durations), end.connection.condition)


def _request(ask: Asking, cover: Cover, truss: Truss, group: str, words: str, parts: Sequence[ConnectedPart]) -> ConnectionRequest:
    root = bolt_size(cover.diameter).root_diameter if ordered(cover, truss, group).planes_in_threads else 0.0
    return ConnectionRequest(
        where=f"{words}, {ask.where}", diameter=cover.diameter, bolt_bending_yield=usual.BOLT_YIELD, parts=tuple(parts),
        gaps=tuple(0.0 for _ in parts[1:]), axial=ask.axial, combinations=ask.combinations, durations=ask.durations,
        reverses=reverses(ask.axial), root_diameter=root,
    )  # fmt: skip


def _cover_part(cover: Cover, name: str, side: str, angle: float, places: Floats, wood: Wood) -> ConnectedPart:
    half = cover.width / 2
    if cover.steel:
        return ConnectedPart(name, "steel", cover.thickness, side, angle, places, (-math.inf, math.inf), (-half, half), None, p.STEEL_BEARING)
    return ConnectedPart(name, "wood", cover.thickness, side, angle, places, (cover.start, cover.stop), (-half, half), grade_of(wood))


def pads_to_web(ask: Asking, cover: Cover, truss: Truss, end: End, wood: Wood, words: str = "bolts A, pads to web") -> ConnectionRequest:
    """Bolts A: the web between its pads."""
    assert cover.A is not None
    places, depth = np.array(cover.A.places), cover.web[0]
    edges = (-depth / 2, depth / 2)
    web = ConnectedPart(end.web.name, "wood", cover.web[1], "member", math.pi, places, (-cover.beyond, math.inf), edges,
                        grade_of(end.web.plies[0].wood), condition=ask.condition)  # fmt: skip
    far, near = (
        ConnectedPart(f"{side} pad", "wood", cover.seat.recess, "other", 0.0, places, cover.pad, edges, grade_of(wood)) for side in ("far", "near")
    )
    return _request(ask, cover, truss, "A", words, (far, web, near))


def web_at_covers(ask: Asking, cover: Cover, truss: Truss, end: End, wood: Wood) -> ConnectionRequest:
    """Bolts B as if they alone brought the force out of the web: nobody knows how much of it they take before bolts A do."""
    return pads_to_web(ask, replace(cover, A=cover.B), truss, end, wood, "web at bolts B, as if alone")


def covers_to_web(ask: Asking, cover: Cover, truss: Truss, end: End, wood: Wood) -> ConnectionRequest:
    """Bolts B: the covers on their pads, or on the web itself where faces are flush."""
    places, depth = np.array(cover.B.places), cover.web[0]
    far, near = (_cover_part(cover, f"{side} {cover.way}", "other", 0.0, places, wood) for side in ("far", "near"))
    edges = (-depth / 2, depth / 2)
    web = ConnectedPart(end.web.name, "wood", cover.web[1], "member", math.pi, places, (-cover.beyond, math.inf), edges,
                        grade_of(end.web.plies[0].wood), condition=ask.condition)  # fmt: skip
    if cover.A is None:
        return _request(ask, cover, truss, "B", "bolts B, covers to web", (far, web, near))
    pads = [ConnectedPart(f"{side} pad", "wood", cover.seat.recess, "member", math.pi, places, cover.pad, edges, grade_of(wood))
            for side in ("far", "near")]  # fmt: skip
    return _request(ask, cover, truss, "B", "bolts B, covers to pads", (far, pads[0], replace(web, side="filler"), pads[1], near))


def chord_parts(cover: Cover, truss: Truss, model: FrameModel, end: End) -> list[GroupPart]:
    """The chord's plies under bolts C, far to near, with the bolts in their own axes; fewer than it has where bolts miss some."""
    bolts = Bolts(cover.diameter, tuple((x, y * end.upward) for x, y in cover.C.places), usual.BOLT_YIELD)
    drilled = tuple(drilled_by(truss, replace(end.connection, bolts=bolts, plates=(), pads=())))
    return sorted((q for q in drilled if q.member == cover.seat.chord.name), key=lambda q: q.z)


def covers_to_chord(ask: Asking, cover: Cover, truss: Truss, parts: Sequence[GroupPart], wood: Wood) -> ConnectionRequest:
    """Bolts C: the covers on the chord's outer plies; what lies between these fills."""
    places = np.array(cover.C.places)
    far, near = (_cover_part(cover, f"{side} {cover.way}", "member", math.pi, places, wood) for side in ("far", "near"))
    plies = [
        ConnectedPart(q.name, "wood", q.thickness, "other", q.load_angle, q.bolts, q.ends, (-q.depth / 2, q.depth / 2),
                      grade_of(q.wood) if q.wood else None, condition=ask.condition)
        for q in parts
    ]  # fmt: skip
    between = [ConnectedPart("block", "wood", 1.0, "filler", 0.0, places, (-math.inf, math.inf), (-math.inf, math.inf))] if len(plies) > 1 else []
    return _request(ask, cover, truss, "C", "bolts C, covers to chord", (far, plies[0], *between, *plies[1:], near))


def gusset_requests(ask: Asking, cover: Cover) -> Iterator[PlateRequest]:
    """A gusset at its bolts in the web and in the chord; each carries half. At the web's bolts as much of its width counts as the force spreads
    into at 30 degrees from the first bolts to the last (common practice, known by the name of Whitmore; from memory)."""
    steel, D = plate_steel(p.PLATE_GRADE), cover.diameter
    spread = (cover.B.rows - 1) * cover.B.gauge + 2 * math.tan(math.radians(30)) * (cover.B.last - cover.B.first)
    least = (cover.B.rows - 1) * cover.B.gauge + 2 * plate_edge(D)
    free = cover.B.first - cover.C.last
    for words, pattern, width, out in (
        ("at the web", cover.B, min(cover.width, max(spread, least)), cover.stop - cover.B.last),
        ("at the chord", cover.C, cover.width, cover.C.first - cover.start),
    ):
        along = [(x if words == "at the chord" else -x, y) for x, y in pattern.places]
        yield PlateRequest(
            where=f"gussets {words}, {ask.where}", F_y=steel.F_y, F_u=steel.F_u, thickness=cover.thickness, width=width, diameter=D,
            hole=D + usual.HOLE_OVER_BOLT, bolts=np.array(along), end=out, free=free, axial=ask.axial / 2, moment=np.zeros(ask.axial.shape),
            combinations=ask.combinations,
        )  # fmt: skip


def up_the_web(cover: Cover, room: float) -> Cover:
    """The same patterns, each as low on the web as it may stand; ``room``: from the web's end that a loaded end asks (flush faces)."""
    D = cover.diameter
    grid = shop_grid(cover.system).holes
    if cover.A is None:
        first = up_to_grid(max(cover.seat.free + wrench_room(D), room - cover.beyond), grid)
        return replace(cover, B=cover.B.at(first))
    if cover.way == p.BLOCKS:
        return replace(cover, A=cover.A.at(up_to_grid(cover.seat.free + p.END * D, grid)))
    start = cover.up(cover.seat.free + p.CLEAR_OF_CHORD)
    low = replace(cover, B=cover.B.at(up_to_grid(start + p.END * D, grid)))
    first = max(low.stop + wrench_room(D), low.B.last + p.COVER_SPACING * D)
    return replace(low, A=cover.A.at(up_to_grid(first, grid)))
