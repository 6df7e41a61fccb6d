"""Which ends of webs ask for new bolts, and what stands in the way of them there. Axes of the end: x from the joint into the web, y to its left."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from detailgen.analysis.build import panel_name, panels
from detailgen.assessment.bolts import GroupPart, direction, drilled_by, into_member, turn, upward
from detailgen.assessment.connections import end_name, reverses
from detailgen.assessment.members import check_member, place_name
from detailgen.assessment.sections import hole_groups, hung_by
from detailgen.assessment.sistered import sister_of
from detailgen.core.result import CheckResult, State
from detailgen.core.tolerance import at_most, rounded
from detailgen.model.assessment import Floats, MemberForces, Place
from detailgen.model.member import Connection, Member, Ply
from detailgen.model.project import Truss
from detailgen.remedies.contract import Job, Site, Solved
from detailgen.remedies.web_end.parameters import HUNG


@dataclass(frozen=True)
class Barred:
    """A region (convex, corners in the axes of the end) that no new bolt may touch, how far it must stay away, and what is there.

    ``square`` regions are no-drill zones with the distance counted in; others are timbers.
    """

    corners: Floats  # (n, 2)
    z: tuple[float, float]
    what: str


@dataclass(frozen=True)
class OldBolt:
    """An old bolt at the joint, in the axes of the end."""

    x: float
    y: float
    diameter: float
    of: str


@dataclass(frozen=True)
class End:
    """A web's end: its way into the web (rad), the parts of wood that its old bolts pass, old bolts, and other timbers."""

    web: Member
    joint: str
    along: float
    upward: int  # sign that turns "across, upward" of the survey into y
    connection: Connection
    drilled: tuple[GroupPart, ...]
    old: tuple[OldBolt, ...]
    barred: tuple[Barred, ...]

    def chord_angle(self, truss: Truss, chord: Member) -> float:
        """Direction of a chord's axis in the axes of the end (rad)."""
        return direction(truss, chord, self.joint) - self.along


def sites_of(job: Job, solved: Solved) -> tuple[Site, ...]:
    """Every surveyed bolted end of a web that does not pass, and those whose bolts leave their chord too little depth for its shear."""
    truss, found = solved.truss, []
    ends = [c for c in truss.connections if truss.member(c.member).kind == "web"]
    places = {p.name: p for p in solved.check([end_name(truss, c.member, c.joint) for c in ends])}
    for connection in ends:
        place = places.get(end_name(truss, connection.member, connection.joint))
        if place is None or all(r.passes for r in place.results):
            continue
        web, joint = truss.member(connection.member), connection.joint
        because = _because(job, solved, place, end_forces(truss, solved, web, joint))
        key = f"{truss.mark}-web-end-{web.name}-{joint}"
        found.append(Site(key, truss.mark, web.name, tuple(p.name for p in web.plies), truss.joints[joint][0], 0.0, because,
                          end_name(truss, connection.member, joint)))  # fmt: skip
    known = {s.key for s in found}
    return (*found, *(s for s in _hung_sites(job, solved) if s.key not in known))


def _hung_sites(job: Job, solved: Solved) -> Iterator[Site]:
    """Every surveyed web's end whose bolts leave a chord too little depth for its shear."""
    truss, chords = solved.truss, [(m, pair) for m in solved.truss.members if m.kind != "web" for pair in panels(m)]
    failing = {q.name for q in solved.check([place_name(m, pair) for m, pair in chords]) if any(r.check == HUNG and not r.passes for r in q.results)}
    for connection in truss.connections:
        member, joint = connection.member, connection.joint
        if connection.new or truss.member(member).kind != "web" or not any(joint in pair and place_name(m, pair) in failing for m, pair in chords):
            continue
        bad = hung(job, truss, solved, connection)
        if not bad:
            continue
        worst = max(bad, key=lambda r: rounded(r.ratio))
        because = (f"the {worst.where} stands at {worst.ratio:.2f} ({worst.check}, {worst.combination}): the bolts of web {member} at "
                   f"{joint} hang the load on part of its depth")  # fmt: skip
        yield Site(f"{truss.mark}-web-end-{member}-{joint}", truss.mark, member, tuple(q.name for q in truss.member(member).plies),
                   truss.joints[joint][0], 0.0, because, end_name(truss, member, joint))  # fmt: skip


def hung(job: Job, truss: Truss, solved: Solved, connection: Connection) -> list[CheckResult]:
    """Where a chord fails in shear beside the bolts of this end, by the depth that these alone leave it."""
    chords = {m.name for m in truss.members if m.kind != "web"}
    return [r for r in failing(job, truss, solved, connection, chords) if r.check == HUNG]


def failing(job: Job, truss: Truss, solved: Solved, connection: Connection, members: Collection[str]) -> list[CheckResult]:
    """Checks over 1.0 of some members beside the joint of a connection, with all holes there, but the load hanging on its bolts alone: what other
    connections leave for shear is not its doing."""
    pairs = [(m, pair) for m in truss.members if m.name in members for pair in panels(m) if connection.joint in pair]
    holes = hung_by(hole_groups(truss, solved.model, {panel_name(pair) for _, pair in pairs}), connection.name)
    places = [check_member(truss, m, pair, solved.model, solved.forces, holes, job.wood, damaged=True) for m, pair in pairs]
    return [r for place in places for r in place.results if r.state is State.DOES_NOT_PASS and not at_most(r.ratio, 1.0)]


def joint_of(site: Site) -> str:
    return site.key.rpartition("-")[2]


def end_forces(truss: Truss, solved: Solved, web: Member, joint: str) -> Floats:
    """Axial force (lb) at the web's end under every combination."""
    forces: MemberForces = solved.forces.members["-".join(panels(web)[0])]
    return forces.axial[:, 0 if joint == web.joints[0] else -1]


def _because(job: Job, solved: Solved, place: Place, axial: Floats) -> str:
    units, names = job.project.units, [c.name for c in solved.forces.combinations]
    bad = [r for r in place.results if not r.passes]
    strength = [r for r in bad if r.unit != "in" and not math.isnan(r.ratio)]
    short = [r for r in bad if r.unit == "in"]
    told = []
    if strength:
        worst = max(strength, key=lambda r: round(r.ratio, 6))
        told.append(f"stands at {worst.ratio:.2f} ({worst.check}, {worst.combination})")
    if short:
        worst = max(short, key=lambda r: round(r.ratio, 6))
        told.append(f"has {units.write_length(worst.capacity)} of {worst.check} where {units.write_length(worst.demand)} is the least")
    if not told:
        told.append(f"cannot be checked ({bad[0].missing})")
    pulled, pushed = int(axial.argmax()), int(axial.argmin())
    forces = [f"{units.write_force(abs(float(axial[k])))} {way} under {names[k]}"
              for k, way, there in ((pulled, "tension", axial[pulled] > 0), (pushed, "compression", axial[pushed] < 0)) if there]  # fmt: skip
    turns = "; its force changes sign" if reverses(axial) else ""
    return f"{place.name} {' and '.join(told)}; it carries {' and '.join(forces)}{turns}"


def end_of(truss: Truss, solved: Solved, web: Member, joint: str) -> End | None:
    """Everything about a web's end; None where no connection was surveyed there."""
    connection = next((c for c in truss.connections if (c.member, c.joint) == (web.name, joint)), None)
    if connection is None:
        return None
    along, _, _ = into_member(truss, web, joint)
    drilled = tuple(drilled_by(truss, connection))
    old, barred = tuple(_old_bolts(truss, joint, along)), tuple(_barred(truss, web, joint, along))
    return End(web, joint, along, upward(along), connection, drilled, old, barred)


def _old_bolts(truss: Truss, joint: str, along: float) -> Iterator[OldBolt]:
    for connection in truss.connections:
        if connection.joint != joint:
            continue
        own, _, _ = into_member(truss, truss.member(connection.member), joint)
        for bolts in (connection.bolts, *connection.idle):
            for x, y in turn(np.array(bolts.positions, dtype=float).reshape(-1, 2), own, along):
                yield OldBolt(float(x), float(y), bolts.diameter, connection.member)


def _box(x1: float, x2: float, y1: float, y2: float) -> Floats:
    return np.array([(x1, y1), (x2, y1), (x2, y2), (x1, y2)])


def _turned(corners: Floats, angle: float, shift: tuple[float, float] = (0.0, 0.0)) -> Floats:
    c, s = math.cos(angle), math.sin(angle)
    moved: Floats = corners @ np.array([[c, s], [-s, c]]) + np.array(shift)
    return moved


def _z(ply: Ply) -> tuple[float, float]:
    return ply.z - ply.thickness / 2, ply.z + ply.thickness / 2


def _barred(truss: Truss, web: Member, joint: str, along: float) -> Iterator[Barred]:
    """Other webs at the joint, old plates, old and new splices nearby, sisters of the web, no-drill zones."""
    everywhere = (-math.inf, math.inf)
    x0 = truss.joints[joint][0]
    for connection in truss.connections:
        if connection.joint != joint:
            continue
        other = truss.member(connection.member)
        own, _, _ = into_member(truss, other, joint)
        if other is not web and other.kind == "web":
            for ply in other.plies:
                corners = _box(-connection.end, 120.0, -ply.depth / 2, ply.depth / 2)
                yield Barred(_turned(corners, own - along), _z(ply), f"web {other.name}")
        for plate in connection.plates:
            corners = _box(-connection.end, plate.end, -plate.width / 2, plate.width / 2)
            yield Barred(_turned(corners, own - along), everywhere, f"old plate of {other.name}")
    sister = sister_of(truss, web)
    if sister is not None:
        length = math.dist(*(truss.joints[j] for j in web.joints))
        start = sister.start if joint == web.joints[0] else length - sister.end
        yield Barred(_box(start, start + sister.end - sister.start, -sister.depth / 2, sister.depth / 2), everywhere, "the web's sister")
    for splice in truss.splices:
        chord = truss.member(splice.chord)
        if joint in chord.joints:
            axis = direction(truss, chord, joint)
            bolts = [abs(a) for a, _ in splice.bolts.positions] if splice.bolts else [0.0]
            reach = splice.gap / 2 + max([*bolts, *(q.end for q in splice.plates), *(s.length / 2 for s in splice.scabs)])
            half, middle = chord.plies[0].depth / 2, (splice.x - x0) / math.cos(axis)
            yield Barred(_turned(_box(middle - reach, middle + reach, -half, half), axis - along), everywhere, f"splice {splice.name}")
    for zone in truss.zones:
        owner = truss.member(zone.member)
        if joint not in owner.joints:
            continue
        a, b = zone.length / 2, zone.depth / 2
        if owner is web:
            length = math.dist(*(truss.joints[j] for j in web.joints))
            first = joint == web.joints[0]
            x, y = (zone.along if first else length - zone.along), zone.across * upward(along)
            yield Barred(_box(x - a, x + a, y - b, y + b), everywhere, zone.kind)
        elif owner.kind != "web":
            axis = direction(truss, owner, joint)
            x = (zone.along - x0) / math.cos(axis)
            corners = _box(x - a, x + a, zone.across - b, zone.across + b)
            yield Barred(_turned(corners, axis - along), everywhere, zone.kind)


def away_from(points: Floats, region: Floats) -> Floats:
    """Distance (in) of points (n, 2) to a convex, counter-clockwise region; negative inside it."""
    outside = np.full(len(points), np.inf)
    depth = np.full(len(points), -np.inf)
    for a, b in zip(region, np.roll(region, -1, axis=0), strict=True):
        edge = b - a
        length = math.hypot(float(edge[0]), float(edge[1]))
        t = np.clip(((points - a) @ edge) / length**2, 0.0, 1.0)
        outside = np.minimum(outside, np.hypot(*(points - a - t[:, None] * edge).T))
        depth = np.maximum(depth, (edge[1] * (points[:, 0] - a[0]) - edge[0] * (points[:, 1] - a[1])) / length)
    return np.where(depth <= 0, depth, outside)


def lapping(truss: Truss, end: End) -> Sequence[tuple[Member, Ply]]:
    """Chords' plies at the joint: all that could be passed."""
    return [(m, ply) for m in truss.members if m.kind != "web" and end.joint in m.joints for ply in m.plies]
