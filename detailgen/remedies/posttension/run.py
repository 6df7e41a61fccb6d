"""Where strands can run straight along both faces of a chord: what stands there, how far off the faces that keeps them, their height."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from detailgen.core.tolerance import rounded_length, up_to_grid
from detailgen.core.units import UnitSystem
from detailgen.model.added import SHOE, Across, Splice
from detailgen.model.imposed import Imposed
from detailgen.model.member import Connection, Member
from detailgen.model.project import Truss
from detailgen.model.timbers import OldBolt, end_beyond, into, laid, old_work, outline_in_place, timbers
from detailgen.remedies import usual
from detailgen.remedies.posttension import parameters as p

COVERED = 4.5
"""Covers and pads reach no farther beyond the bolts through them, across or along the chord, in diameters (ours)."""
FILLER_PLAY = 0.125
"""The length of a splice's filler block is rounded up by no more than this (in)."""
SHOE_BACK = "back of the shoe"


def shoe_backs(truss: Truss, chord: Member) -> tuple[Across, ...]:
    """What of a shoe's back stands out beyond its sides, where plates of strands press on shoes: it carries nothing there and may be slotted."""
    found = []
    for k, seat in enumerate(truss.seats):
        joint = chord.joints[0 if not k else -1]
        sides = next((c.plates for c in truss.connections if c.member == chord.name and c.joint == joint), ())
        inner = max((abs(q.z) + q.thickness / 2 for q in sides), default=math.inf)
        if seat.on == SHOE and seat.width / 2 > inner:
            out = ends_of(truss, chord)[k] + seat.gap + seat.back / 2
            x = truss.joints[joint][0] + (out if k else -out)
            name = f"{SHOE_BACK}, {'right' if k else 'left'} heel"
            found.append(Across(name, True, x, seat.back, seat.low, seat.high, inner, seat.width / 2, True, 0.0))
    return tuple(found)


MayCut = Callable[[Across, tuple[float, ...], float], bool]


def never(across: Across, heights: tuple[float, ...], z: float) -> bool:
    return False


@dataclass(frozen=True)
class Obstacle:
    """Something beside the chord: from x to x, y to y and z to z of the truss (in)."""

    what: str
    x: tuple[float, float]
    y: tuple[float, float]
    z: tuple[float, float]
    across: bool = False  # it stands across the chord, and may be one that is slotted
    new: Splice | None = None  # the new splice that it belongs to, which may be asked to stand clear
    bolt: bool = False


@dataclass(frozen=True)
class Way:
    """A straight way for all strands: heights of those on one face, from the chord's axis, and how far their centres stand from the truss's plane."""

    heights: tuple[float, ...]
    z: float
    held_off_by: str
    least_z: float  # as far as what holds it off asks for; z is on the shop's grid
    tight: str = ""  # the end, left or right, short of which the strands stop at a bracket; "": they run from end to end
    inboard: float = 0.0  # from that end's grain to the bracket's face under the barrels (in)
    cuts: tuple[Across, ...] = ()  # what stands across the chord and is slotted for them

    @property
    def height(self) -> float:
        return sum(self.heights) / len(self.heights)


def _bolt(b: OldBolt, what: str) -> Obstacle:
    half, beyond = usual.WASHER * b.diameter, (usual.NUT + usual.TIP) * b.diameter + (usual.STEP if what.startswith("new") else 0.0)
    return Obstacle(what, (b.x - half, b.x + half), (b.y - half, b.y + half), (b.low - beyond, b.high + beyond))


def obstacles(truss: Truss, chord: Member) -> Iterator[Obstacle]:
    """Timbers, old steel and blocking, old bolts, and new steel and bolts at joints and splices, whatever their height."""
    parts, bolts = old_work(truss)
    new = {f"{c.member} at {c.joint}" for c in truss.connections if c.new}
    for part in (*timbers(truss), *parts):
        if part.key.startswith(f"{chord.name}/"):
            continue
        low = part.placement.z
        for x, y in _strips(outline_in_place(part)):
            name = part.name.replace("old plate", "new plate") if part.name.removeprefix("old plate, ") in new else part.name
            yield Obstacle(name, x, y, (low, low + part.thickness))
    yield from (_bolt(b, f"{'new' if b.where in new else 'old'} bolt of {b.where}") for b in bolts)
    for c in truss.connections:
        if c.new and c.member != chord.name and c.joint in chord.joints:
            yield from _at_joint(truss, chord, c)
    level = truss.joints[chord.joints[0]][1]
    for a in truss.across:
        x, y = (a.x - a.thickness / 2, a.x + a.thickness / 2), (level + a.low, level + a.high)
        yield Obstacle(a.what, x, y, (-a.outer, a.outer), across=True)
    deep = max(q.depth for q in chord.plies) / 2
    for s in (s for s in truss.splices if s.new and s.chord == chord.name):
        cut = s.gap / 2  # plates, bolts and blocks of a new splice count from where the ply ends, not from the middle of what went out of it
        rows = sorted({y for _, y in s.bolts.positions}) if s.bolts is not None else [0.0]
        for plate in s.plates:
            z = (plate.z - plate.thickness / 2, plate.z + plate.thickness / 2)
            half, middles = (plate.width / 2 / len(rows), rows) if plate.per_row else (plate.width / 2, [0.0])
            for at in middles:
                y = level + at - half, level + at + half
                yield Obstacle(f"new plate of splice {s.name}", (s.x - cut - plate.end, s.x + cut + plate.end), y, z, new=s)
        if s.bolts is not None:
            out = max(along for along, _ in s.bolts.positions) + usual.FILLER_BEYOND + FILLER_PLAY
            between = [*((f.z, f.thickness, out) for f in s.fillers), *((b.z, b.thickness, b.length / 2) for b in s.scabs)]
            for middle, thick, reach in between:
                x, z = (s.x - cut - reach, s.x + cut + reach), (middle - thick / 2, middle + thick / 2)
                yield Obstacle(f"block of splice {s.name}", x, (level - deep, level + deep), z, new=s)
            for (along, across), side in itertools.product(s.bolts.positions, (-1, 1)):
                one = OldBolt(s.x + side * (cut + along), level + across, s.bolts.diameter, -s.off, s.off, "")
                yield replace(_bolt(one, f"new bolt of splice {s.name}"), z=(-s.off, s.off), new=s, bolt=True)


def _at_joint(truss: Truss, chord: Member, c: Connection) -> Iterator[Obstacle]:
    """Of a web's new end what ``old_work`` does not hold: covers and pads as a box about their bolts, bolts through them, old bolts that stay in."""
    origin, way = into(truss, truss.member(c.member), c.joint)
    layers = [(q.z, q.thickness) for q in (*chord.plies, *truss.member(c.member).plies)]
    layers += [*((q.z, q.thickness) for q in c.plates), *((q.z, q.thickness) for q in c.pads)]
    low, high = min(z - t / 2 for z, t in layers) - c.over, max(z + t / 2 for z, t in layers) + c.over
    where, covered = f"{c.member} at {c.joint}", []
    for bolts, what in (*((b, "new bolt") for b in c.passing), *((b, "old bolt") for b in c.idle)):
        for along, across in bolts.positions:
            x, y = laid(origin, way, along, across)
            yield _bolt(OldBolt(x, y, bolts.diameter, low, high, where), f"{what} of {where}")
            if what == "new bolt":
                covered += [(x + s * COVERED * bolts.diameter, y + s * COVERED * bolts.diameter) for s in (-1, 1)]
    if covered:
        xs, ys = zip(*covered, strict=True)
        yield Obstacle(f"new cover of {where}", (min(xs), max(xs)), (min(ys), max(ys)), (low, high))


def _strips(outline: Sequence[tuple[float, float]], step: float = 1.0) -> Iterator[tuple[tuple[float, float], tuple[float, float]]]:
    """An outline in level strips, an inch high, each as wide as it gets there: a slanting web does not bar the whole of its box."""
    ys = [y for _, y in outline]
    at = min(ys)
    sides = list(itertools.pairwise([*outline, outline[0]]))
    while at < max(ys) - 1e-9:
        top = min(at + step, max(ys))
        xs = [x for x, y in outline if at <= y <= top]
        for (x0, y0), (x1, y1) in sides:
            xs += [x0 + (level - y0) / (y1 - y0) * (x1 - x0) for level in (at, top) if (y0 - level) * (y1 - level) < 0]
        if xs:
            yield (min(xs), max(xs)), (at, top)
        at = top


def ends_of(truss: Truss, chord: Member) -> tuple[float, float]:
    """How far the chord runs beyond the heels' work points (in)."""
    return end_beyond(truss, chord.name, chord.joints[0]), end_beyond(truss, chord.name, chord.joints[-1])


def ways(truss: Truss, chord: Member, per_face: int, anchor: p.Anchor, off: Fraction, may_cut: MayCut = never) -> list[Way]:
    """A straight way at every height at which the strands of a face, ``APART`` over one another, stay on the chord; nearest to the faces first.

    off: grid of their distance from the truss's plane (in)
    may_cut: may something that stands across the chord be slotted for strands at these heights over its axis, so far from the truss's plane?
    """
    depth = min(q.depth for q in chord.plies)
    level = truss.joints[chord.joints[0]][1]
    face = max(abs(q.z) + q.thickness / 2 for q in chord.plies)
    radius = anchor.sheath / 2
    left, right = ends_of(truss, chord)
    start, end = truss.joints[chord.joints[0]][0] - left, truss.joints[chord.joints[-1]][0] + right
    around = [o for o in obstacles(truss, chord) if o.x[0] < end and o.x[1] > start and not o.across]
    reach = (per_face - 1) * p.APART / 2
    most = depth / 2 - p.EDGE - reach
    if most < 0:
        return []
    found = []
    steps = range(-int(most / p.HEIGHT_STEP), int(most / p.HEIGHT_STEP) + 1)
    for middle in [k * p.HEIGHT_STEP for k in steps] if math.isnan(truss.run_height) else [truss.run_height]:
        heights = tuple(rounded_length(middle - reach + n * p.APART) for n in range(per_face))
        least, why = face + p.CLEAR + radius, "the chord's faces"
        for o in around:
            declined = _declined(o, heights, p.CLEAR + radius)
            if o.new is not None and not declined and (o.bolt or not math.isnan(truss.run_off)):
                continue  # it is asked to stand clear; over plates strands pass, unless the engineer has set how far off they run
            if any(o.y[0] - p.CLEAR - radius < level + h < o.y[1] + p.CLEAR + radius for h in heights):
                out = max(abs(o.z[0]), abs(o.z[1])) + p.CLEAR + radius
                if out > least + 1e-6 and max(abs(o.z[0]), abs(o.z[1])) > face:
                    least, why = out, o.what + declined
        found.append(_past(truss, chord, Way(heights, up_to_grid(least, off), why, least), anchor, off, may_cut))
    return sorted(found, key=lambda w: (w.z, abs(w.height), w.height))


def _declined(o: Obstacle, heights: tuple[float, ...], half: float) -> str:
    """Why a new splice cannot stand clear of strands at these heights; "" where it can, or was not asked."""
    said = o.new.declined if o.new is not None else ()
    return next((f", which cannot stand clear: {why}" for a, why in said if a.heights == heights and a.half <= half), "")


def asks(truss: Truss, site: str, chord: Member, way: Way, anchor: p.Anchor) -> tuple[Imposed, ...]:
    """What strands ask of the new splices that they pass."""
    if not any(s.new and s.chord == chord.name for s in truss.splices):
        return ()
    firm = not math.isnan(truss.run_off)
    return (Imposed(site, "strands", chord.name, way.heights, way.z, p.CLEAR + anchor.sheath / 2, firm),)


def _past(truss: Truss, chord: Member, way: Way, anchor: p.Anchor, off: Fraction, may_cut: MayCut) -> Way:
    """A way through or around what stands across the chord: through where it may be cut and going around takes more than ``NEAR_AXIS``."""
    radius = anchor.sheath / 2
    met = [
        a for a in (*truss.across, *shoe_backs(truss, chord)) if any(a.low - p.CLEAR - radius < h < a.high + p.CLEAR + radius for h in way.heights)
    ]
    while True:
        z = truss.run_off if truss.run_off >= way.least_z - 1e-6 else way.z
        hit = [a for a in met if a.inner - p.CLEAR - radius < z < a.outer + p.CLEAR + radius]
        beside = {a: a.outer + p.CLEAR + radius for a in hit}
        barred = [a for a in hit if (beside[a] - way.least_z <= p.NEAR_AXIS and math.isnan(truss.run_off)) or not may_cut(a, way.heights, z)]
        if not barred:
            return replace(way, cuts=tuple(hit))
        farthest = max(barred, key=lambda a: beside[a])
        met = [a for a in met if a not in barred]
        if beside[farthest] > way.least_z:
            way = replace(way, z=up_to_grid(beside[farthest], off), held_off_by=farthest.what, least_z=beside[farthest])


def as_wanted(truss: Truss, free: Sequence[Way], units: UnitSystem) -> list[Way] | str:
    """The ways that are where the engineer wants the strands; why there is none, with the clearance that is missing."""
    chord = next(m for m in truss.members if m.kind == "bottom chord")
    if not math.isnan(truss.run_height) and free:
        half = min(q.depth for q in chord.plies) / 2
        out = max(abs(h) for h in free[0].heights)
        if out > half - p.EDGE + 1e-9:
            return (f"strands are wanted {units.write_length(abs(truss.run_height))} {'over' if truss.run_height > 0 else 'under'} the chord's axis: "
                    f"{units.write_length(half - out)} are left to its edge, {units.write_length(p.EDGE)} are asked for")  # fmt: skip
    if math.isnan(truss.run_off) or not free:
        return list(free)
    found = [replace(w, z=truss.run_off) for w in free if w.least_z <= truss.run_off + 1e-6]
    if found:
        return found
    nearest = min(free, key=lambda w: w.least_z)
    clear, write = truss.run_off - nearest.least_z + p.CLEAR, units.write_length
    return (f"strands are wanted {write(truss.run_off)} from the truss's plane: {nearest.held_off_by} asks for {write(nearest.least_z)} there; their "
            f"sheath would {_stands_off(clear, units)}, {write(p.CLEAR)} are asked for")  # fmt: skip


def _stands_off(clear: float, units: UnitSystem) -> str:
    return f"clear it by {units.write_length(clear)}" if clear > 0 else f"run {units.write_length(-clear)} into it"


def preferred(found: Sequence[Way]) -> list[Way]:
    """Those as near to the faces as any, within ``NEAR_AXIS``: their height decides between them. Middle, lowest and highest of them are
    enough to know, and what is nearest to the axis, however far off the faces."""
    near = [w for w in found if w.z <= found[0].z + p.NEAR_AXIS + 1e-9]
    ordered = sorted(near, key=lambda w: w.height)
    middle = min(near, key=lambda w: (abs(w.height), w.height))
    axis = min(found, key=lambda w: (abs(w.height), w.height))
    return list(dict.fromkeys([middle, ordered[0], ordered[-1], axis]))
