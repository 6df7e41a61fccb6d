"""Timbers that run past panel points of a chord that is pulled: where they find their room, and every pattern of bolts, the least work first.

The bolts of each end stand beyond the length over which the chord is pulled too much; between them columns hold the timber to the chord wherever no
web stands in the gap. Bolts of webs that the timber covers are drawn one at a time and longer ones put in their place, through it.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from detailgen.assessment.bolts import direction
from detailgen.assessment.members import grade_of
from detailgen.core.tolerance import down_to_grid, rounded_length, up_to_grid
from detailgen.model.added import SideMember
from detailgen.model.frame import FrameModel
from detailgen.model.member import Bolts, Member, Wood
from detailgen.model.project import Truss
from detailgen.model.work_points import point_at
from detailgen.remedies import usual
from detailgen.remedies.contract import Job
from detailgen.remedies.side_member import parameters as p
from detailgen.remedies.side_member.layout import GAP, Layout, Timber, filler_depth, stack
from detailgen.remedies.side_member.site import CHECKED, longest_timber, old_bolts, splice_reach, standing_at
from detailgen.stock.bolts import OrderedBolt, bolt_length
from detailgen.stock.plates import dry_lumber

Span = tuple[float, float, str]
"""From x to x of the truss (in), and what stands there."""


@dataclass(frozen=True)
class LongBolt:
    """A longer bolt in the place of an old one: x from the timber's middle and across the chord (in), whose it is ("U1-L1 at L1")."""

    x: float
    y: float
    where: str
    ordered: OrderedBolt


@dataclass(frozen=True)
class Past(Layout):
    """A timber past panel points. ``held``: columns of each end; ``bored``: bolts of webs that pass it; ``blocking``: where there is blocking in the
    gap (x from the middle, in)."""

    held: int
    bored: tuple[LongBolt, ...]
    blocking: tuple[tuple[float, float], ...]

    @property
    def blocks(self) -> tuple[tuple[float, float], ...]:
        return self.blocking

    @property
    def passed(self) -> tuple[tuple[float, float, float], ...]:
        return tuple((b.x, b.y, b.ordered.diameter) for b in self.bored)

    @property
    def at_end(self) -> int:
        return self.held

    @property
    def at_one_end(self) -> int:
        """Bolts of one end."""
        return self.held * len(self.lines)

    @property
    def counts(self) -> float:
        """Length between the innermost columns of its ends, over which it has taken all that its bolts hand over (in)."""
        return self.columns[-self.held] - self.columns[self.held - 1]

    @property
    def widest(self) -> float:
        """Greatest distance between columns (in)."""
        return max(b - a for a, b in itertools.pairwise(self.columns))

    def station_of(self, columns: Sequence[float], length: float) -> float:
        return min(max(sum(columns) / len(columns) + length / 2, 0.0), length)

    def outside(self, columns: Sequence[float]) -> float:
        return max(abs(sum(columns) / len(columns)) - self.counts / 2, 0.0)


@dataclass(frozen=True)
class Way:
    """What stands about a chord: on its faces, where no timber passes, and where no bolt passes through it."""

    faces: tuple[Span, ...]
    columns: tuple[Span, ...]
    ends: tuple[float, float]

    def free(self, low: float, high: float) -> tuple[tuple[float, float], tuple[str, str], str]:
        """The free length of the faces about a stretch, what bounds it, and what stands in the stretch itself ("": nothing)."""
        inside = next((what for a, b, what in self.faces if b > low - p.CLEAR and a < high + p.CLEAR), "")
        left = max(((b, what) for _, b, what in self.faces if b <= low), default=(self.ends[0], "the chord's end"))
        right = min(((a, what) for a, _, what in self.faces if a >= high), default=(self.ends[1], "the chord's end"))
        return (left[0] + p.CLEAR, right[0] - p.CLEAR), (left[1], right[1]), inside

    def between(self, low: float, high: float, clear: float) -> list[tuple[float, float]]:
        """Stretches in which a column of bolts may stand, ``clear`` of what stands there."""
        found, at = [], low
        for a, b, _ in sorted(self.columns):
            if b + clear <= at or a - clear >= high:
                continue
            if a - clear > at:
                found.append((at, a - clear))
            at = max(at, b + clear)
        return [*found, (at, high)] if at < high else found


def way_of(truss: Truss, model: FrameModel, member: Member) -> Way:
    """What webs, bolts, plates, splices and no-drill zones leave of a chord's faces and of its depth."""
    faces: list[Span] = []
    columns: list[Span] = []
    plies = [(q.z - q.thickness / 2, q.z + q.thickness / 2) for q in member.plies]
    low, high = min(a for a, _ in plies), max(b for _, b in plies)
    for joint in member.joints:
        x, slant = truss.joints[joint][0], math.cos(direction(truss, member, joint))
        found: dict[str, list[float]] = {}
        for side, way in ((0, -1), (1, 1)):
            for reach, what in standing_at(truss, model, member, joint, way):
                found.setdefault(what, [0.0, 0.0])[side] = max(found.get(what, [0.0, 0.0])[side], reach * slant)
        beside = _on_faces(truss, member, joint, low, high)
        for what, (left, right) in sorted(found.items(), key=lambda item: item[0].startswith("old bolts")):
            columns.append((x - left, x + right, what))
            if what in beside or joint in (member.joints[0], member.joints[-1]):
                faces.append((x - left, x + right, what))
    for splice in (s for s in truss.splices if s.chord == member.name):
        reach = splice_reach(splice)
        faces.append((splice.x - reach, splice.x + reach, f"splice {splice.name}"))
    faces += [(z.along - z.length / 2, z.along + z.length / 2, z.kind) for z in truss.zones if z.member == member.name]
    faces += [(a.x - a.thickness / 2, a.x + a.thickness / 2, a.what) for a in truss.across if a.outer > min(-low, high)]
    ends = sorted(truss.joints[j][0] for j in (member.joints[0], member.joints[-1]))
    columns += [(d.at - d.length / 2, d.at + d.length / 2, f"{d.kind} (photo {d.photo})") for d in truss.damage
                if d.member == member.name and d.kind == CHECKED]  # fmt: skip
    return Way(tuple(faces), (*columns, *faces), (ends[0], ends[1]))


def _on_faces(truss: Truss, member: Member, joint: str, low: float, high: float) -> set[str]:
    """What stands at a joint on the faces of a chord, by the names that ``standing_at`` gives."""
    found = set()
    for connection in (c for c in truss.connections if c.joint == joint):
        owner = truss.member(connection.member)
        outside = [q for q in owner.plies if owner is not member and (q.z + q.thickness / 2 > high + 1e-6 or q.z - q.thickness / 2 < low - 1e-6)]
        if outside:
            found.add(f"{'web' if owner.kind == 'web' else 'the'} {owner.name}")
        if any(plate.z > high - 1e-6 or plate.z < low + 1e-6 for plate in connection.plates):
            found.add(f"old plate at {joint}")
        if outside or connection.new or connection.pads or connection.blocks is not None:
            found.add(f"old bolts of {connection.member} at {joint}")
    return found


def sizes_of(member: Member) -> list[tuple[float, float]]:
    """Thickness and depth of stocked timbers for a chord, the least first."""
    chord = min(q.depth for q in member.plies)
    deep = [d for d in dry_lumber()[1] if p.LEAST_DEPTH * chord <= d <= chord]
    return sorted(((t, d) for t in dry_lumber()[0] if t >= p.LEAST_THICKNESS for d in deep), key=lambda s: (round(s[0] * s[1], 6), s[0]))


def layouts_past(
    job: Job, truss: Truss, model: FrameModel, member: Member, stretch: tuple[float, float], size: tuple[float, float], wood: Wood,
    diameters: Sequence[float], *, as_far_as_it_goes: bool = False,
) -> tuple[list[Past], str]:  # fmt: skip
    """All patterns for timbers of one size past a stretch of a chord (x of the truss), the fewest bolts first; why there are none.

    as_far_as_it_goes: to tell what they would be worth: the stretch is cut to what the faces leave of it, any length of timber is to be had
    Raises: NotCovered where no stocked bolt is long enough
    """
    way, old = way_of(truss, model, member), list(_old(truss, model, member))
    (low, high), bounds, inside = way.free(*stretch)
    if as_far_as_it_goes:
        (low, high), bounds, inside = way.free(sum(stretch) / 2, sum(stretch) / 2)
        reach = (p.LEAST_AT_END - 1) * _pitch(max(diameters), job.project.units.name) + (p.END["bottom chord"] + 4) * max(diameters)
        stretch = max(stretch[0], low + reach), min(stretch[1], high - reach)
        if stretch[0] > stretch[1]:
            return [], ""
    if inside:
        return [], f"{inside} stands on the chord's faces where it is pulled too much, in the way of any timber beside it"
    units, why = job.project.units, ""
    found: dict[tuple[object, ...], Past] = {}
    for D in diameters:
        gap = any(name == GAP for name, _, _ in stack(member, _timber(truss, member, size, 1.0, wood, sum(stretch) / 2)))
        step = float(p.grids(units.name)[0])  # what rounding to the shop's grid may move a column by
        free = [(a + step, b - step) for a, b in way.between(low, high, p.CLEAR + (2 * D if gap else D)) if b - a > 2 * step]
        for held, farther in itertools.product(range(p.LEAST_AT_END, p.MOST_HELD + 1), p.FARTHER):
            placed = _inner(free, stretch, farther, held, D, low, high, units.name)
            if placed is None:
                why = why or (f"its bolts beyond the length that is pulled too much find no room: {units.write_length(high - low)} of the faces are "
                              f"free, from {bounds[0]} to {bounds[1]}")  # fmt: skip
                continue
            one, short = _laid(job, truss, old, member, size, wood, D, held, placed, free, any_length=as_far_as_it_goes)
            why = short or why
            if one is not None:
                found.setdefault((D, held, one.timber.at.x, one.timber.length), one)
    return sorted(found.values(), key=lambda x: (*x.effort, x.timber.length)), why


def _pitch(D: float, system: str) -> float:
    step, _ = p.grids(system)
    return up_to_grid(p.SPACING * D, step)


def _inner(
    free: Sequence[tuple[float, float]], stretch: tuple[float, float], farther: float, held: int, D: float, low: float, high: float, system: str,
) -> tuple[float, float] | None:  # fmt: skip
    """Where the innermost columns of both ends stand, so far beyond the stretch or as near to that as there is room: all columns of an end in one
    free length, the timber's end too."""
    need = (held - 1) * _pitch(D, system)
    beyond = need + up_to_grid(p.END["bottom chord"] * D, p.grids(system)[1])
    left = [(max(a + need, low + beyond), min(b, stretch[0])) for a, b in free]
    right = [(max(a, stretch[1]), min(b - need, high - beyond)) for a, b in free]
    ends = []
    for wish, ranges in ((stretch[0] - farther, left), (stretch[1] + farther, right)):
        places = [min(max(wish, a), b) for a, b in ranges if a <= b]
        if not places:
            return None
        ends.append(min(places, key=lambda x: (round(abs(x - wish), 6), x)))
    return ends[0], ends[1]


def _timber(truss: Truss, member: Member, size: tuple[float, float], length: float, wood: Wood, x: float) -> Timber:
    at = point_at(truss, member, x)
    assert at is not None
    return Timber(size[0], size[1], size[1], length, p.SIDES["both"], wood, at, 0.0)


def _laid(
    job: Job, truss: Truss, old: Sequence[_Old], member: Member, size: tuple[float, float], wood: Wood, D: float, held: int,
    placed: tuple[float, float], free: Sequence[tuple[float, float]], *, any_length: bool,
) -> tuple[Past | None, str]:  # fmt: skip
    """One pattern, or what a longer timber runs into."""
    units, access = job.project.units, job.project.access
    step, cut = p.grids(units.name)
    middle = rounded_length(float(Fraction(round(sum(placed) / 2 / float(step))) * step))
    half = down_to_grid(min(middle - placed[0], placed[1] - middle), step / 2)
    half += float(step / 2) * math.ceil((max(middle - placed[0], placed[1] - middle) - half) / float(step / 2) - 1e-6)
    pitch = _pitch(D, units.name)
    length = up_to_grid(2 * (half + (held - 1) * pitch + p.END["bottom chord"] * D), cut)
    longest = longest_timber(job)
    if length > longest and not any_length:
        return None, (
            f"a timber past all of it is {units.write_length(length)} long, and the longest that is sold and gets to the truss is "
            f"{units.write_length(longest)}: a joint in it would stand where the chord cannot carry everything by itself"
        )
    timber = _timber(truss, member, size, length, wood, middle)
    weight = size[0] * size[1] * length * usual.WOOD_WEIGHT
    if access is not None and 0 < access.heaviest < weight and not any_length:
        return None, f"a timber weighs {units.write_force(weight)}, and no more than {units.write_force(access.heaviest)} can be lifted there"
    lines = _lines(size[1], D, step)
    if lines is None:
        return None, ""
    end = [half + k * pitch for k in range(held)]
    between = _between(free, middle, half, D, step)
    columns = tuple(rounded_length(x) for x in (*(-x for x in reversed(end)), *between, *end))
    layers = stack(member, timber)
    grip = layers[-1][2] - layers[0][1]
    low = layers[0][1]
    planes = sorted({rounded_length(z - low) for name, a, b in layers if "side member" in name for z in (a, b)} - {0.0, rounded_length(grip)})
    ordered = _ordered(D, grip, tuple(planes))
    bored = tuple(_bored(old, middle, length, grip))
    blocks = tuple(_blocks(free, columns, middle, D)) if any(name == GAP for name, _, _ in layers) else ()
    return Past(timber, D, columns, lines, ordered, p.STITCH, held, bored, blocks), ""


def _lines(depth: float, D: float, step: Fraction) -> tuple[float, ...] | None:
    """Two rows where the depth has room for them, else one."""
    room = depth - 2 * p.EDGE * D
    widest = min(down_to_grid(min(room, depth / 2), step), p.GREATEST_GAUGE)
    if widest >= p.GAUGE * D:
        return -widest / 2, widest / 2
    return (0.0,) if room >= 0 else None


def _between(free: Sequence[tuple[float, float]], middle: float, half: float, D: float, step: Fraction) -> Iterator[float]:
    """Columns that hold the timber between its ends: at both ends of each free length, and so many between that none are farther apart than
    STITCH."""
    grid, clear = float(step), p.SPACING * D
    for a, b in free:
        x1, x2 = max(a - middle, -half), min(b - middle, half)
        x1, x2 = math.ceil(x1 / grid - 1e-6) * grid, math.floor(x2 / grid + 1e-6) * grid
        if x2 - x1 < -1e-6:
            continue
        count = max(1, math.ceil((x2 - x1) / p.STITCH)) if x2 - x1 >= clear else 0
        places = [x1 + k * (x2 - x1) / count for k in range(count + 1)] if count else [(x1 + x2) / 2]
        for x in places:
            x = round(x / grid) * grid
            if -half + clear - 1e-6 <= x <= half - clear + 1e-6:
                yield x


_Old = tuple[float, float, float, str]


def _old(truss: Truss, model: FrameModel, member: Member) -> Iterator[_Old]:
    """Bolts of webs that pass a chord: x of the truss, across the chord, diameter (in), whose."""
    for connection in truss.connections:
        owner, x0 = truss.member(connection.member), truss.joints[connection.joint][0]
        if connection.joint in member.joints and owner is not member:
            for along, across in old_bolts(truss, model, member, connection):
                yield x0 + along, across, connection.bolts.diameter, f"{owner.name} at {connection.joint}"


@lru_cache(maxsize=1024)
def _ordered(D: float, grip: float, planes: tuple[float, ...]) -> OrderedBolt:
    return bolt_length(D, grip, grip, shear_planes=planes)


def _bored(old: Sequence[_Old], middle: float, length: float, grip: float) -> Iterator[LongBolt]:
    """Bolts of webs that a timber covers, each with the longer bolt that takes its place. Raises NotCovered where none is stocked."""
    for x, y, D, where in old:
        if abs(x - middle) < length / 2:
            yield LongBolt(rounded_length(x - middle), rounded_length(y), where, _ordered(D, grip, ()))


def _blocks(free: Sequence[tuple[float, float]], columns: Sequence[float], middle: float, D: float) -> Iterator[tuple[float, float]]:
    """Blocking in the gap, two diameters past the columns of each free length."""
    for a, b in free:
        mine = [x for x in columns if a - 1 / 8 <= x + middle <= b + 1 / 8]
        if mine:
            yield rounded_length(mine[0] - 2 * D), rounded_length(mine[-1] + 2 * D)


def record_of(job: Job, name: str, chord: Member, at: str, layout: Past, jacks: Sequence[tuple[str, float]] = ()) -> SideMember:
    """The record that the truss carries from now on."""
    t, rows = layout.timber, len(layout.lines)
    bolts = Bolts(
        layout.diameter, tuple((x, y) for x in layout.columns for y in layout.lines), usual.BOLT_YIELD,
        root=layout.ordered.root_diameter if layout.ordered.threads_in_shear else 0.0,
    )  # fmt: skip
    slip = job.wood.slip_modulus(layout.diameter, grade_of(t.wood), steel=False)
    gap = sum(b - a for n, a, b in stack(chord, t) if n == GAP)
    volume = len(t.sides) * t.thickness * t.depth * t.length + gap * filler_depth(chord, layout) * sum(b - a for a, b in layout.blocks)
    weight = volume * usual.WOOD_WEIGHT + layout.count * layout.ordered.weight + sum(b.ordered.weight for b in layout.bored)
    return SideMember(
        name, chord.name, at, t.thickness, t.depth, t.sides, t.at.x - layout.counts / 2, t.at.x + layout.counts / 2, layout.counts, t.wood, bolts,
        layout.widest, slip * layout.held * rows, p.SOFT * slip * rows * len(layout.columns) / t.length, weight,
        pockets=tuple((b.x, b.y, b.ordered.diameter + usual.HOLE_OVER_BOLT) for b in layout.bored), least_slip=p.SOFT * slip * layout.held * rows,
        play=p.PLAY_LEFT, jacks=tuple(jacks),
    )  # fmt: skip
