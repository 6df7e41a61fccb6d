"""The truss as it stands, as parts: timbers at their measured sizes, old plates and blocking, old bolts; for solids, and for what must be cleared.

Axes of the truss: x along the span from the left heel, y up, z toward the viewer. Ends of members are as surveyed; webs of one layer that meet
at a joint run into one another there, since no survey says how they are cut to each other.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from detailgen.core.tolerance import rounded_length
from detailgen.model.added import Splice
from detailgen.model.detail import Hole, Part, Placement, Vertex
from detailgen.model.member import Member, Ply
from detailgen.model.outlines import circle_of, edges_of, rectangle
from detailgen.model.project import Arc, Truss

OLD_HOLE = 1 / 16
"""An old bolt's hole is taken this much wider than the bolt (in; NDS 12.1.3.2 allows 1/32 to 1/16)."""
OLD_FLATS, OLD_HEAD, OLD_NUT, OLD_END = 1.5, 0.65, 0.875, 0.25
"""Width of an old bolt's head and nut over flats, their heights, and what stands out of the nut, in diameters (usual proportions, from memory)."""
STEEP = math.radians(5)
"""A top chord flatter than this at its end does not come down on the bottom chord."""

Point = tuple[float, float]


@dataclass(frozen=True)
class OldBolt:
    """A bolt of the survey at (x, y) of the truss, through everything between z ``low`` and ``high``."""

    x: float
    y: float
    diameter: float
    low: float
    high: float
    where: str


def _part(key: str, kind: str, name: str, outline: Sequence[Vertex], thickness: float, at: Placement, ply: Ply | None) -> Part:
    material = "wood" if ply is not None or kind in ("filler", "block") else "steel"
    specification = f"{ply.wood.species} {ply.wood.grade}" if ply is not None else ("old timber" if material == "wood" else "old steel")
    return Part(
        key, kind, name, tuple(outline), (), (), thickness, at, material, specification, 0.0 if material == "wood" else math.nan, True, 0.0,
    )  # fmt: skip


def middle_of_web(truss: Truss, member: Member) -> tuple[float, float, float]:
    """The work point of a detail of a web, and the web's direction from its first joint to its last (rad)."""
    (x0, y0), (x1, y1) = (truss.joints[j] for j in member.joints)
    return (x0 + x1) / 2, (y0 + y1) / 2, math.atan2(y1 - y0, x1 - x0)


def end_beyond(truss: Truss, member: str, joint: str) -> float:
    """How far the survey says that a member runs past a joint (in)."""
    return next((c.end for c in truss.connections if c.member == member and c.joint == joint), 0.0)


def into(truss: Truss, member: Member, joint: str) -> tuple[Point, Point]:
    """The work point of a member's end and the direction into the member there."""
    pairs = tuple(itertools.pairwise(member.joints))
    a, b = pairs[0] if joint == member.joints[0] else pairs[-1]
    (x0, y0), (x1, y1) = truss.joints[a], truss.joints[b]
    if joint != member.joints[0]:
        (x0, y0), (x1, y1) = (x1, y1), (x0, y0)
    length = math.dist((x0, y0), (x1, y1))
    return (x0, y0), ((x1 - x0) / length, (y1 - y0) / length)


def laid(origin: Point, way: Point, along: float, across: float) -> Point:
    """A place of a member's end in the truss: ``across`` counts upward (for an upright member to the left of the way up)."""
    dx, dy = way
    ux, uy = (-dy, dx) if dx > 1e-9 or (abs(dx) <= 1e-9 and dy > 0) else (dy, -dx)
    return rounded_length(origin[0] + along * dx + across * ux), rounded_length(origin[1] + along * dy + across * uy)


def timbers(truss: Truss) -> tuple[Part, ...]:
    """Every ply of every member, uncut and undrilled, far to near."""
    found: list[Part] = []
    for member in truss.members:
        for ply in member.plies:
            if member.kind == "web":
                outline, at = _web(truss, member, ply)
            elif member.kind == "top chord" and truss.curved and truss.arc is not None:
                outline, at = _arched(truss, member, ply, truss.arc), Placement(0, 0, 0)
            else:
                outline, at = _straight_chord(truss, member, ply), Placement(0, 0, 0)
            name = f"{member.name}, {ply.name} ply" if len(member.plies) > 1 else member.name
            at = replace(at, z=ply.z - ply.thickness / 2)
            found.append(_part(f"{member.name}/{ply.name}", "ply", name, outline, ply.thickness, at, ply))
    return tuple(sorted(found, key=lambda p: (p.placement.z, p.key)))


def _web(truss: Truss, member: Member, ply: Ply) -> tuple[tuple[Vertex, ...], Placement]:
    (x, y), (dx, dy) = into(truss, member, member.joints[0])
    length = math.dist(*(truss.joints[j] for j in member.joints))
    ends = [end_beyond(truss, member.name, j) for j in member.joints]
    return rectangle(-ends[0], length + ends[1], ply.depth), Placement(x, y, 0, math.atan2(dy, dx))


def _level(truss: Truss, member: Member) -> float | None:
    """The height to which a top chord's ends come down: the bottom chord's upper face; None where it does not meet that chord."""
    bottom = next((m for m in truss.members if m.kind == "bottom chord"), None)
    if bottom is None or member.kind != "top chord" or member.joints[0] != bottom.joints[0]:
        return None
    return truss.joints[bottom.joints[0]][1] + max(p.depth for p in bottom.plies) / 2


def _straight_chord(truss: Truss, member: Member, ply: Ply) -> tuple[Vertex, ...]:
    """A run of straight pieces at half the depth on either side, mitred where they bend; ends square, or level on the bottom chord."""
    points = [truss.joints[j] for j in member.joints]
    angles = [math.atan2(b[1] - a[1], b[0] - a[0]) for a, b in itertools.pairwise(points)]
    shoes = {j: h.set_back for j in (member.joints[0], member.joints[-1]) if member.kind == "top chord" for h in (truss.heel(j),)
             if h is not None and h.set_back}  # fmt: skip
    first, last = (-shoes[j] if (j := member.joints[k]) in shoes else end_beyond(truss, member.name, j) for k in (0, -1))
    points[0] = (points[0][0] - first * math.cos(angles[0]), points[0][1] - first * math.sin(angles[0]))
    points[-1] = (points[-1][0] + last * math.cos(angles[-1]), points[-1][1] + last * math.sin(angles[-1]))
    level = _level(truss, member)
    sides: list[list[Point]] = []
    for off in (-ply.depth / 2, ply.depth / 2):
        side = []
        for k, (x, y) in enumerate(points):
            before, after = angles[max(k - 1, 0)], angles[min(k, len(angles) - 1)]
            middle, reach = (before + after) / 2, off / math.cos((after - before) / 2)
            side.append((x - reach * math.sin(middle), y + reach * math.cos(middle)))
        if level is not None and abs(angles[0]) > STEEP:
            side[0] = side[0] if member.joints[0] in shoes else _at_level(side[0], side[1], level)
            side[-1] = side[-1] if member.joints[-1] in shoes else _at_level(side[-1], side[-2], level)
        sides.append(side)
    corners = [*sides[0], *reversed(sides[1])]
    return tuple(Vertex(*p) for k, p in enumerate(corners) if not k or math.dist(p, corners[k - 1]) > 1e-6)


def _at_level(p: Point, q: Point, level: float) -> Point:
    return p[0] + (level - p[1]) * (q[0] - p[0]) / (q[1] - p[1]), level


def _arched(truss: Truss, member: Member, ply: Ply, arc: Arc) -> tuple[Vertex, ...]:
    """A ring's part between two ends: level on the bottom chord, or on the radius through the end joint."""
    level = _level(truss, member)
    shoes = [h.set_back / arc.radius if h is not None else 0.0 for j in (member.joints[0], member.joints[-1]) for h in (truss.heel(j),)]
    turns: dict[float, tuple[float, float]] = {}
    for side in (-ply.depth / 2, ply.depth / 2):
        radius = arc.radius + side
        ends = (truss.joints[member.joints[-1]], truss.joints[member.joints[0]])
        right, left = (math.atan2(y - arc.centre_y, x - arc.centre_x) for x, y in ends)
        if level is not None and abs(level - arc.centre_y) < radius:
            up = math.asin((level - arc.centre_y) / radius)
            turns[radius] = (right + shoes[1] if shoes[1] else up, left - shoes[0] if shoes[0] else math.pi - up)
        else:
            turns[radius] = (right + shoes[1], left - shoes[0])
    (inner, (i0, i1)), (outer, (o0, o1)) = sorted(turns.items())

    def at(radius: float, angle: float, bulge: float) -> Vertex:
        return Vertex(arc.centre_x + radius * math.cos(angle), arc.centre_y + radius * math.sin(angle), bulge)

    return (
        at(outer, o0, math.tan((o1 - o0) / 4)), at(outer, o1, 0.0), at(inner, i1, -math.tan((i1 - i0) / 4)), at(inner, i0, 0.0),
    )  # fmt: skip


def old_work(truss: Truss, without: frozenset[str] = frozenset()) -> tuple[tuple[Part, ...], tuple[OldBolt, ...]]:
    """Old plates, blocking and wood splice pieces, and the bolts through them and through the members' ends; new splices are left out.

    without: what comes out for good, by member and joint: "bottom chord at L0"
    """
    parts: list[Part] = []
    bolts: list[OldBolt] = []
    layers = {m.name: [(p.z - p.thickness / 2, p.z + p.thickness / 2) for p in m.plies] for m in truss.members}
    for k, c in enumerate(truss.connections):
        member = truss.member(c.member)
        origin, way = into(truss, member, c.joint)
        angle = math.atan2(way[1], way[0])
        where = f"{c.member} at {c.joint}"
        if where in without:
            continue
        mine = [*layers[c.member], *(_range(p.z, p.thickness) for p in c.plates), *(_range(f.z, f.thickness) for f in c.fillers)]
        mine += [x for m in truss.members if c.joint in m.joints for x in layers[m.name]]
        for n, plate in enumerate(c.plates, start=1):
            outline = rectangle(-c.end, plate.end, plate.width)
            at = Placement(*origin, plate.z - plate.thickness / 2, angle)
            parts.append(_part(f"connection-{k + 1}/plate-{n}", "plate", f"old plate, {where}", outline, plate.thickness, at, None))
        bolts += _bolts([laid(origin, way, a, b) for a, b in c.bolts.positions], c.bolts.diameter, mine, where)
    for s in truss.splices:
        if not s.new:
            parts += _splice_parts(truss, s)
            mine = [*layers[s.chord], *(_range(p.z, p.thickness) for p in s.plates), *(_range(f.z, f.thickness) for f in s.fillers)]
            mine += [_range(b.z, b.thickness) for b in s.scabs]
            y = _chord_y(truss, s)
            if s.bolts:
                places = [(s.x + side * a, y + b) for side in (-1, 1) for a, b in s.bolts.positions]
                bolts += _bolts(places, s.bolts.diameter, mine, f"splice {s.name}")
    return tuple(parts), tuple(bolts)


def _range(z: float, thickness: float) -> tuple[float, float]:
    return z - thickness / 2, z + thickness / 2


def _bolts(places: Iterable[Point], diameter: float, mine: list[tuple[float, float]], where: str) -> Iterator[OldBolt]:
    low, high = min(x for x, _ in mine), max(x for _, x in mine)
    for x, y in places:
        yield OldBolt(rounded_length(x), rounded_length(y), diameter, low, high, where)


def _chord_y(truss: Truss, s: Splice) -> float:
    """Height of a chord's centre line at a splice (in)."""
    joints = [truss.joints[j] for j in truss.member(s.chord).joints]
    if truss.member(s.chord).kind == "top chord" and truss.curved and truss.arc is not None:
        return truss.arc.centre_y + math.sqrt(truss.arc.radius**2 - (s.x - truss.arc.centre_x) ** 2)
    (x0, y0), (x1, y1) = next(p for p in itertools.pairwise(joints) if p[0][0] <= s.x <= p[1][0])
    return y0 + (y1 - y0) * (s.x - x0) / (x1 - x0)


def _splice_parts(truss: Truss, s: Splice) -> Iterator[Part]:
    y = _chord_y(truss, s)
    reach = max((abs(a) for a, _ in s.bolts.positions), default=0.0) if s.bolts else 0.0
    ends = [p.end for p in s.plates]
    for n, plate in enumerate(s.plates, start=1):
        at = Placement(s.x, y, plate.z - plate.thickness / 2)
        outline = rectangle(-plate.end, plate.end, plate.width)
        yield _part(f"splice-{s.name}/plate-{n}", "plate", f"old plate, splice {s.name}", outline, plate.thickness, at, None)
    for n, filler in enumerate(s.fillers, start=1):
        depth = max(p.depth for p in truss.member(s.chord).plies)
        at = Placement(s.x, y, filler.z - filler.thickness / 2)
        outline = rectangle(-max([reach, *ends]), max([reach, *ends]), depth)
        yield _part(f"splice-{s.name}/filler-{n}", "filler", f"blocking, splice {s.name}", outline, filler.thickness, at, None)
    for scab in s.scabs:
        at = Placement(s.x, y, scab.z - scab.thickness / 2)
        outline = rectangle(-scab.length / 2, scab.length / 2, scab.depth)
        yield _part(f"splice-{s.name}/{scab.name}", "block", f"{scab.name}, splice {s.name}", outline, scab.thickness, at, None)


def outline_in_place(part: Part, step: float = 0.05) -> tuple[Point, ...]:
    """A part's outline where it stands, arcs in chords that turn by at most ``step`` (rad)."""
    c, s = math.cos(part.placement.angle), math.sin(part.placement.angle)
    points: list[Point] = []
    for a, b in edges_of(part.outline):
        points += [(a.x, a.y), *_arc_points(a, b, step)]
    return tuple((part.placement.x + c * x - s * y, part.placement.y + s * x + c * y) for x, y in points)


def _arc_points(a: Vertex, b: Vertex, step: float) -> list[Point]:
    """Points between the ends of a bulged side."""
    if not a.bulge:
        return []
    x, y, radius = circle_of(a, b)
    start, turn = math.atan2(a.y - y, a.x - x), 4 * math.atan(a.bulge)
    count = max(1, math.ceil(abs(turn) / step))
    return [(x + radius * math.cos(start + turn * k / count), y + radius * math.sin(start + turn * k / count)) for k in range(1, count)]


def drilled(part: Part, holes: Sequence[tuple[float, float, float]]) -> Part:
    """The part with round holes at places (x, y, diameter) of the truss added, in its own axes."""
    c, s = math.cos(part.placement.angle), math.sin(part.placement.angle)
    added = []
    for x, y, diameter in holes:
        dx, dy = x - part.placement.x, y - part.placement.y
        added.append(Hole(rounded_length(c * dx + s * dy), rounded_length(-s * dx + c * dy), diameter, ""))
    return replace(part, holes=(*part.holes, *added))


__all__ = ["OLD_END", "OLD_FLATS", "OLD_HEAD", "OLD_HOLE", "OLD_NUT", "OldBolt", "drilled", "laid", "old_work", "outline_in_place", "timbers"]
