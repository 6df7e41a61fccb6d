"""Every side member that stock and room allow, with its patterns of bolts, from the least work to the most."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from detailgen.assessment.members import grade_of
from detailgen.core.errors import NotCovered
from detailgen.core.tolerance import down_to_grid, rounded_length, up_to_grid
from detailgen.model.added import SideMember
from detailgen.model.detail import Vertex
from detailgen.model.member import Bolts, Member, Wood
from detailgen.model.outlines import bounds, rectangle
from detailgen.model.project import Truss
from detailgen.model.work_points import WorkPoint, arc_of, point_at
from detailgen.remedies import usual
from detailgen.remedies.contract import Job
from detailgen.remedies.side_member import parameters as p
from detailgen.remedies.side_member.site import Room
from detailgen.stock.bolts import OrderedBolt, bolt_length
from detailgen.stock.plates import dry_lumber


def ring(x1: float, x2: float, depth: float, radius: float) -> tuple[Vertex, ...]:
    """A piece of a chord between two cuts square to its tangent at x = 0: between arcs about one centre, or straight (radius 0)."""
    if not radius:
        return rectangle(x1, x2, depth)
    low, high = radius - depth / 2, radius + depth / 2

    def at(x: float, r: float, bulge: float = 0.0) -> Vertex:
        return Vertex(x, math.sqrt(r**2 - x**2) - radius, bulge)

    turns = {r: math.tan((math.asin(x2 / r) - math.asin(x1 / r)) / 4) for r in (low, high)}
    return at(x1, low, -turns[low]), at(x2, low), at(x2, high, turns[high]), at(x1, high)


FAR, NEAR, GAP = "far side member", "near side member", "blocking"
"""What is not a ply in the stack across a chord."""


@dataclass(frozen=True)
class Timber:
    """The timbers of one place: of what stock, how deep after sawing, how long, on which faces. ``radius``: of the chord's axis; 0: straight."""

    thickness: float
    stock: float
    depth: float
    length: float
    sides: tuple[str, ...]
    wood: Wood
    at: WorkPoint
    radius: float

    @property
    def sagitta(self) -> float:
        """How far the curve's middle stands over its ends (in)."""
        return self.radius - math.sqrt(self.radius**2 - self.length**2 / 4) if self.radius else 0.0

    @property
    def volume(self) -> float:
        """Of the stock that goes into all of them (in3)."""
        return rounded_length(len(self.sides) * self.thickness * self.stock * self.length)

    def across(self, x: float, y: float) -> float:
        """How far a place (in the detail's axes) is from the chord's axis, upward (in)."""
        return math.hypot(x, self.radius + y) - self.radius if self.radius else y


@dataclass(frozen=True)
class Layout:
    """A timber with its bolts: ``columns`` along the tangent from the middle, ``lines`` across it (in), the same on every face."""

    timber: Timber
    diameter: float
    columns: tuple[float, ...]
    lines: tuple[float, ...]
    ordered: OrderedBolt
    greatest_spacing: float

    @property
    def spacing(self) -> float:
        return self.columns[1] - self.columns[0]

    @property
    def gauge(self) -> float:
        return self.lines[-1] - self.lines[0]

    @property
    def end(self) -> float:
        """From the timber's end to its first bolt (in)."""
        return self.timber.length / 2 - self.columns[-1]

    def edges(self, depth: float, columns: Sequence[float]) -> tuple[float, float]:
        """Lower and upper edge (y, in) of a timber of this depth, taken straight where it is nearest to these columns' bolts."""
        t = self.timber
        if not t.radius:
            return -depth / 2, depth / 2
        low, high = t.radius - depth / 2, t.radius + depth / 2
        return max(math.sqrt(low**2 - x**2) for x in columns) - t.radius, min(math.sqrt(high**2 - x**2) for x in columns) - t.radius

    @property
    def edge(self) -> float:
        """From a row to the nearest edge of the timber (in)."""
        low, high = self.edges(self.timber.depth, self.columns)
        return min(self.lines[0] - low, high - self.lines[-1])

    @property
    def ends(self) -> tuple[tuple[float, ...], tuple[float, ...]]:
        """Columns of the two end groups: those of the outer thirds, at least ``LEAST_AT_END``."""
        return self.columns[: self.at_end], self.columns[-self.at_end :]

    @property
    def at_end(self) -> int:
        return max(p.LEAST_AT_END, len(self.columns) // 3)

    @property
    def between(self) -> tuple[float, ...]:
        return self.columns[self.at_end : -self.at_end]

    @property
    def blocks(self) -> tuple[tuple[float, float], ...]:
        """From where to where blocking stands in a gap between plies (x from the middle, in)."""
        return ((-filler_length(self) / 2, filler_length(self) / 2),)

    @property
    def passed(self) -> tuple[tuple[float, float, float], ...]:
        """Bolts of webs that pass the timber: x from the middle, across from the axis, diameter (in)."""
        return ()

    def station_of(self, columns: Sequence[float], length: float) -> float:
        """Where a group of columns meets the timber's element, which is ``length`` long (in from its start)."""
        return (sum(columns) / len(columns) + self.timber.length / 2) * length / self.timber.length

    def outside(self, columns: Sequence[float]) -> float:
        """How far the middle of a group stands outside of the element (in)."""
        return 0.0

    @property
    def count(self) -> int:
        return len(self.columns) * len(self.lines)

    @property
    def effort(self) -> tuple[float, ...]:
        return self.count, self.diameter


def timbers(
    job: Job, truss: Truss, member: Member, room: Room, wood: Wood, sides: Sequence[tuple[str, ...]],
) -> tuple[list[Timber], str]:  # fmt: skip
    """All that fit the room and the stock, the least timber first; and why there are none, where that is the curve."""
    step, cut = p.grids(job.project.units.name)
    at = point_at(truss, member, room.middle)
    if at is None:
        return [], ""
    free = min(abs(at.seen(x, point.y)[0]) for x in (room.start, room.end) if (point := point_at(truss, member, x)) is not None)
    length = down_to_grid(2 * free - float(step), cut)
    access = job.project.access
    if access is not None and access.longest > 0:
        length = min(length, down_to_grid(access.longest, cut))
    arc = arc_of(truss, member)
    radius = arc.radius if arc is not None else 0.0
    if length < p.LEAST_LENGTH:
        return [], ""
    if radius and length / 2 / radius > p.SLOPE_OF_GRAIN:
        curve = job.project.units.write_made(length)
        return [], f"a curve of {curve} sawn out of straight timber would run off its grain by 1 in {2 * radius / length:.0f} at its ends"
    chord = min(q.depth for q in member.plies)
    found, why = [], ""
    for stock in dry_lumber()[1]:
        depth = down_to_grid(min(chord, _sawn(stock, length, radius)), step)
        if depth < p.LEAST_DEPTH * chord:
            why = why or "no stocked timber is deep enough for the curve"
            continue
        for thickness, way in itertools.product((t for t in dry_lumber()[0] if t >= p.LEAST_THICKNESS), sides):
            found.append(Timber(thickness, stock, depth, length, way, wood, at, radius))
    return sorted(found, key=lambda t: (t.volume, len(t.sides), t.thickness)), why


def _sawn(stock: float, length: float, radius: float) -> float:
    """The deepest piece along the curve that comes out of a straight one (in); 0 where none does."""
    depth = stock
    while depth > 0:
        _, y0, _, y1 = bounds(ring(-length / 2, length / 2, depth, radius))
        if y1 - y0 <= stock + 1e-6:
            return depth
        depth -= max(y1 - y0 - stock, 1 / 64)
    return 0.0


def patterns(truss: Truss, member: Member, timber: Timber, diameters: Sequence[float], system: str) -> list[Layout]:
    """All patterns of bolts that fit, the fewest bolts first. Raises NotCovered where no stocked bolt is long enough."""
    found: list[Layout] = []
    missing: NotCovered | None = None
    for D in diameters:
        try:
            found += _patterns(truss, member, timber, D, system)
        except NotCovered as error:
            missing = error
    if not found and missing is not None:
        raise missing
    # One row leaves half of the depth to hang the load on (shear at connections): only where two do not fit.
    rows = max((len(x.lines) for x in found), default=0)
    return sorted((x for x in found if len(x.lines) == rows), key=lambda x: x.effort)


def stack(member: Member, timber: Timber) -> list[tuple[str, float, float]]:
    """Far to near: FAR, names of plies, GAP, NEAR, each with its low and high z (in)."""
    plies = sorted(((q.name, q.z - q.thickness / 2, q.z + q.thickness / 2) for q in member.plies), key=lambda q: q[1])
    low, high, found = plies[0][1], plies[-1][2], []
    if "far" in timber.sides:
        found.append((FAR, low - timber.thickness, low))
    for k, ply in enumerate(plies):
        if k and ply[1] - plies[k - 1][2] > 1 / 8:
            found.append((GAP, plies[k - 1][2], ply[1]))
        found.append(ply)
    if "near" in timber.sides:
        found.append((NEAR, high, high + timber.thickness))
    return found


def _patterns(truss: Truss, member: Member, timber: Timber, D: float, system: str) -> Iterator[Layout]:
    step, _ = p.grids(system)
    half = step / 2
    layers = stack(member, timber)
    low, high = layers[0][1], layers[-1][2]
    faces = [z for name, a, b in layers if name in (FAR, NEAR) for z in (a, b)]
    planes = sorted({rounded_length(high - z if truss.bolts_from == "near" else z - low) for z in faces} - {0.0, rounded_length(high - low)})
    ordered = bolt_length(D, high - low, high - low, shear_planes=planes)
    thinnest = min(timber.thickness, *(q.thickness for q in member.plies))
    most = p.GREATEST_SPACING * thinnest
    last = down_to_grid(timber.length / 2 - p.END[member.kind] * D, half)
    drop = timber.radius - math.sqrt(timber.radius**2 - last**2) if timber.radius else 0.0
    middle = -down_to_grid(drop / 2, half)
    room = timber.depth - drop - 2 * p.EDGE * D  # between the edges of what runs along the curve
    gauges = [0.0] if timber.depth <= p.ONE_ROW_UP_TO * thinnest else []
    # Along the grain an edge distance is at least half of what lies between the rows (NDS 2018 table 12.5.1C).
    widest = min(down_to_grid(min(room, (timber.depth - drop) / 2), step), p.GREATEST_GAUGE)
    if widest >= p.GAUGE * D:
        gauges.append(widest)
    if room < 0:
        return
    for gauge in gauges:
        lines = (middle,) if not gauge else (middle - gauge / 2, middle + gauge / 2)
        for count in range(2 * p.LEAST_AT_END, 40):
            spacing = down_to_grid(2 * last / (count - 1), step)
            if spacing < p.SPACING * D:
                break
            if spacing > most:
                continue
            columns = tuple((k - (count - 1) / 2) * spacing for k in range(count))
            found = Layout(timber, D, columns, tuple(rounded_length(y) for y in lines), ordered, most)
            if found.edge >= p.EDGE * D - 1e-6:
                yield found


def side_member(job: Job, name: str, chord: Member, at: str, layout: Layout) -> SideMember:
    """The record that the truss carries from now on."""
    t, count = layout.timber, layout.count
    bolts = Bolts(
        layout.diameter, tuple((x, rounded_length(t.across(x, y))) for x in layout.columns for y in layout.lines), usual.BOLT_YIELD,
        root=layout.ordered.root_diameter if layout.ordered.threads_in_shear else 0.0,
    )  # fmt: skip
    slip = job.wood.slip_modulus(layout.diameter, grade_of(t.wood), steel=False)
    drop = t.sagitta
    ends = sorted(t.at.place(x, -drop)[0] for x in (-t.length / 2, t.length / 2))
    along = 2 * t.radius * math.asin(t.length / 2 / t.radius) if t.radius else t.length
    filler = sum(b - a for name, a, b in stack(chord, t) if name == GAP)
    volume = len(t.sides) * t.thickness * t.depth * t.length + filler * filler_depth(chord, layout) * filler_length(layout)
    return SideMember(
        name, chord.name, at, t.thickness, t.depth, t.sides, ends[0], ends[1], along, t.wood, bolts, layout.spacing,
        slip * layout.at_end * len(layout.lines), p.SOFT * slip * len(layout.lines) / layout.spacing,
        volume * usual.WOOD_WEIGHT + count * layout.ordered.weight,
    )  # fmt: skip


def filler_depth(chord: Member, layout: Layout) -> float:
    """The blocking between two plies reaches two diameters beyond the rows, and stays within the chord (in)."""
    low, high = layout.edges(min(q.depth for q in chord.plies), (layout.timber.length / 2,))
    middle = (layout.lines[0] + layout.lines[-1]) / 2
    return min(up_to_grid(layout.gauge + 4 * layout.diameter, Fraction(1, 2)), 2 * min(middle - low, high - middle))


def filler_length(layout: Layout) -> float:
    return 2 * layout.columns[-1] + 2 * up_to_grid(2 * layout.diameter, Fraction(1, 2))


def with_side(truss: Truss, side: SideMember) -> Truss:
    return replace(truss, side_members=(*(s for s in truss.side_members if s.name != side.name), side))
