"""What holes, splices and damage leave of each part of a member, station by station."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from detailgen.analysis.build import panel_name, panels
from detailgen.assessment.bolts import GroupPart, drilled_by, group_of_splice, into_member
from detailgen.core.geometry import union
from detailgen.core.tolerance import rounded_length
from detailgen.model.assessment import Floats, Forces
from detailgen.model.frame import FrameModel, Part
from detailgen.model.member import Bolts, Connection, Member
from detailgen.model.project import Truss

HOLE_OVER_BOLT = 1 / 16
"""A bolt hole in wood is taken 1/16 in. larger than the bolt (DECISIONS 7; NDS 12.1.3.2 allows 1/32 to 1/16)."""
ONE_END = 4.0
"""Bolts within so many diameters of the last one hang the load of a timber's end on the chord (ours)."""
NEAR = 1.5
"""A section weakened by holes counts at stations within this distance (in) of its joint or cut."""
NO_FORCE = 1.0
"""A smaller force (lb) across a member is noise, and says nothing about which of its edges is loaded (ours)."""


@dataclass(frozen=True)
class Hole:
    """A bolt hole in a part: place along the member and across it from its axis, and its diameter (in)."""

    along: float
    across: float
    diameter: float
    bolt: float


@dataclass(frozen=True)
class Hung:
    """The bolts of one connection on which load hangs in a ply: whose they are, their places across it from its axis (in), how many are missing.

    Of a web's end: its member between joints, the station there (0 or -1), and the sine of its angle to the ply: what of its pull acts upward.
    """

    by: str
    across: tuple[float, ...]
    missing: int = 0
    panel: str = ""
    station: int = 0
    sine: float = 0.0

    def upward(self, forces: Forces) -> Floats:
        """How much of the connection's force acts upward across the ply, by combination (lb); 0 where it is not known."""
        web = forces.members.get(self.panel)
        return np.zeros(len(forces.combinations)) if web is None else web.axial[:, self.station] * self.sine


@dataclass(frozen=True)
class HoleGroup:
    """Holes in one ply of one member about a station of it between two joints.

    All of them weaken its section; shear counts there for each connection on whose bolts load hangs, by itself (NDS 3.4.3.3).
    """

    member: str
    ply: str
    at: float
    holes: tuple[Hole, ...]
    hung: tuple[Hung, ...] = ()
    reach: float = NEAR  # the holes count to both sides of ``at`` within this (in)


def net_section(thickness: float, depth: float, holes: tuple[Hole, ...], together: float) -> tuple[float, float]:
    """Least net area (in2) and net section modulus (in3) of a part: holes nearer along the grain than ``together`` diameters count together."""
    area, inertia = thickness * depth, thickness * depth**3 / 12
    least_area, least_modulus = area, inertia / (depth / 2)
    for hole in holes:
        beside = [h for h in holes if abs(h.along - hole.along) < together * hole.bolt]
        bands = union([(max(h.across - h.diameter / 2, -depth / 2), min(h.across + h.diameter / 2, depth / 2)) for h in beside])
        lost = sum(high - low for low, high in bands if high > low) * thickness
        lost_inertia = sum(high**3 - low**3 for low, high in bands if high > low) * thickness / 3
        least_area = min(least_area, area - lost)
        least_modulus = min(least_modulus, (inertia - lost_inertia) / (depth / 2))
    return max(least_area, 0.0), max(least_modulus, 0.0)


def hole_groups(truss: Truss, model: FrameModel, only: Collection[str] | None = None) -> tuple[HoleGroup, ...]:
    """All surveyed bolt holes, by the ply that they pass, at every member between joints that has the connection's joint or cut.

    only: members between joints whose holes are asked for; others may be left out
    """
    found: list[HoleGroup] = []
    near = None if only is None else {j for m in truss.members for pair in panels(m) if panel_name(pair) in only for j in pair}
    for connection in truss.connections:
        if near is None or connection.joint in near:
            found += _of_connection(truss, model, connection)
    for splice in truss.splices:
        if splice.bolts is None:
            continue
        for part in group_of_splice(truss, model, splice).drilled:
            for pair in panels(truss.member(splice.chord)):
                (x1, _), (x2, _) = (truss.joints[j] for j in pair)
                if x1 - NEAR <= splice.x <= x2 + NEAR:
                    at = (splice.x - x1) / (x2 - x1) * model.member_length[panel_name(pair)]
                    holes = holes_at(splice.bolts, part)
                    hung = Hung(splice.name, tuple(h.across for h in holes), splice.bolts.missing)
                    found.append(HoleGroup(panel_name(pair), part.ply, at, holes, (hung,)))
    stitched = [
        HoleGroup(member.name, ply.name, (s.start + s.end) / 2, holes_of(s.bolts), reach=math.inf)
        for s in truss.sisters for member in truss.members if member.name == s.member for ply in member.plies
    ]  # fmt: skip
    guided = [*_guides(truss, model), *_beside(truss, model)]
    together: dict[tuple[str, str, float], list[HoleGroup]] = {}
    for group in found:  # bolts of several webs at one joint weaken one section
        together.setdefault((group.member, group.ply, rounded_length(group.at)), []).append(group)
    joined = (HoleGroup(*place, tuple(h for g in groups for h in g.holes), tuple(h for g in groups for h in g.hung))
              for place, groups in together.items())  # fmt: skip
    return (*joined, *stitched, *guided)


def _of_connection(truss: Truss, model: FrameModel, connection: Connection) -> Iterator[HoleGroup]:
    """Holes of a connection in all that it passes. On old bolts that carry nothing any more, and on empty holes, no load hangs."""
    groups = [(bolts, True) for bolts in (connection.bolts, *connection.passing)] + [(bolts, False) for bolts in connection.idle]
    member = truss.member(connection.member)
    _, panel, at_start = into_member(truss, member, connection.joint)
    for bolts, hangs in groups:
        for part in drilled_by(truss, replace(connection, bolts=bolts)):
            if bolts in connection.passing:
                inside = (np.abs(part.bolts[:, 1]) < part.depth / 2) & (part.bolts[:, 0] > part.ends[0]) & (part.bolts[:, 0] < part.ends[1])
                part = replace(part, bolts=part.bolts[inside])
            if not len(part.bolts):
                continue
            holes = holes_at(bolts, part)
            hung = Hung(connection.name, tuple(h.across for h in holes), bolts.missing)
            if member.kind == "web":  # the end of a chord brings shear as well
                hung = replace(hung, panel=panel, station=0 if at_start else -1, sine=math.sin(part.load_angle))
            for pair in panels(truss.member(part.member)):
                if connection.joint in pair:
                    at = 0.0 if connection.joint == pair[0] else model.member_length[panel_name(pair)]
                    yield HoleGroup(panel_name(pair), part.ply, at, holes, (hung,) if hangs else ())


def hung_by(groups: Sequence[HoleGroup], by: str) -> tuple[HoleGroup, ...]:
    """The same holes, with the load of one connection alone hanging on them."""
    return tuple(replace(g, hung=tuple(h for h in g.hung if h.by == by)) for g in groups)


def _guides(truss: Truss, model: FrameModel) -> Iterator[HoleGroup]:
    """Holes of the guides of strands, which hang no load on the chord: they weaken the whole panel that they stand in."""
    run = truss.strands
    if run is None or run.guide_bolts is None:
        return
    member = truss.member(run.chord)
    for pair in panels(member):
        (x1, _), (x2, _) = (truss.joints[j] for j in pair)
        for x in (x for x in run.guides if x1 <= x < x2):
            at = (x - x1) / (x2 - x1) * model.member_length[panel_name(pair)]
            for ply in member.plies:
                yield HoleGroup(panel_name(pair), ply.name, at, holes_of(run.guide_bolts), reach=math.inf)


def holes_of(bolts: Bolts) -> tuple[Hole, ...]:
    return _holes(bolts, bolts.positions)


def holes_at(bolts: Bolts, part: GroupPart) -> tuple[Hole, ...]:
    """The holes of bolts in a part that they pass."""
    return _holes(bolts, part.bolts.tolist())


def _holes(bolts: Bolts, places: Iterable[Sequence[float]]) -> tuple[Hole, ...]:
    return tuple(Hole(along, across, bolts.diameter + HOLE_OVER_BOLT, bolts.diameter) for along, across in places)


def _beside(truss: Truss, model: FrameModel) -> Iterator[HoleGroup]:
    """Holes of timbers beside a chord: they weaken the whole panel (those of one that runs past panel points: the chord from its first bolt to its
    last), and load hangs on those of both ends."""
    for side in truss.side_members:
        member, holes = truss.member(side.chord), holes_of(side.bolts)
        outer, (low, high) = max(h.along for h in holes), side.outer
        beyond = (low, high) != (side.start, side.end)
        for pair in panels(member):
            first, last = (truss.joints[j][0] for j in pair)
            if high <= first or low >= last:
                continue
            scale = model.member_length[panel_name(pair)] / (last - first)
            reach = (high - low) / 2 * scale + NEAR if beyond else math.inf
            for ply in member.plies:
                yield HoleGroup(panel_name(pair), ply.name, ((side.start + side.end) / 2 - first) * scale, holes, reach=reach)
                for x, which in ((low, -1), (high, 1)):
                    near = tuple(h for h in holes if which * h.along > outer - ONE_END * h.bolt)
                    if first <= x <= last:
                        hung = Hung(side.name, tuple(h.across for h in near))
                        yield HoleGroup(panel_name(pair), ply.name, (x - first) * scale, near, (hung,))


@dataclass(frozen=True)
class Left:
    """What is left of a part at each station: net area (in2), net modulus (in3), condition (0 to 1), axial share."""

    net_area: Floats
    net_modulus: Floats
    condition: Floats
    axial_share: Floats
    connection_depth: Floats  # in, by combination and station, for shear where bolts hang load on the part; inf elsewhere
    connection_to_end: Floats  # in, from there to the member's end or a cut of its ply


def depth_at_connection(depth: float, across: Sequence[float], upward: Floats, missing: int = 0) -> Floats:
    """Depth (in) less the distance from the unloaded edge to the nearest bolt of one connection (NDS 3.4.3.3).

    The unloaded edge is the one that its force acts away from; where the force is none or not known the edge that leaves less. No survey says
    which bolts are missing: those by which least is left.

    across: of the bolts from the axis, upward, in; upward: the force across the member by combination, lb
    """
    outward = sorted(across)
    up, down = depth / 2 - outward[missing], depth / 2 + outward[-1 - missing]
    return np.where(upward > NO_FORCE, up, np.where(upward < -NO_FORCE, down, min(up, down)))


def what_is_left(
    truss: Truss, member: Member, pair: tuple[str, str], part: Part, parts: tuple[Part, ...], station: Floats,
    holes: tuple[HoleGroup, ...], together: float, forces: Forces, *, damaged: bool,
) -> Left:  # fmt: skip
    """Section, condition and share of one part along a member between two joints; together: as for ``net_section``."""
    name = panel_name(pair)
    count = len(station)
    gross_area, gross_modulus = part.thickness * part.depth, part.thickness * part.depth**2 / 6
    area, modulus, condition = np.full(count, gross_area), np.full(count, gross_modulus), np.ones(count)
    hung, to_end = np.full((len(forces.combinations), count), np.inf), np.full(count, np.inf)
    for group in holes:
        if group.member == name and group.ply == part.ply:
            # A layer of a stacked ply: holes are taken as if each passed it, which is on the safe side.
            net_area, net_modulus = net_section(part.thickness, part.depth, group.holes, together)
            # A web's sister is bolted all along it: its weakest section counts at every station.
            here = np.abs(station - group.at) <= group.reach
            area[here] = np.minimum(area[here], net_area)
            modulus[here] = np.minimum(modulus[here], net_modulus)
            if not group.hung:
                continue
            # The bolts are measured in the whole ply: a layer of it counts with the same part of its depth.
            whole = next(p.depth for p in member.plies if p.name == part.ply)
            for h in group.hung:
                depth = depth_at_connection(whole, h.across, h.upward(forces), h.missing if damaged else 0) * part.depth / whole
                hung[:, here] = np.minimum(hung[:, here], depth[:, None])
            to_end[here] = np.minimum(to_end[here], _to_end(truss, member, pair, part.ply, group.at, float(station[-1])))
    share = np.full(count, part.axial_share)
    (x1, _), (x2, _) = (truss.joints[j] for j in pair)
    slant = math.dist(truss.joints[pair[0]], truss.joints[pair[1]]) / (x2 - x1) if member.kind != "web" else 1.0
    if member.kind != "web":
        for splice in truss.splices:
            if splice.chord != member.name or not x1 - NEAR <= splice.x <= x2 + NEAR:
                continue
            others = sum(p.axial_share for p in parts if p.ply != splice.ply)
            if splice.behaviour == "one ply continuous" and others > 0:
                cut = np.abs(station - (splice.x - x1) * slant) <= NEAR
                share[cut] = 0.0 if part.ply == splice.ply else share[cut] / others
    if damaged:
        for damage in truss.damage:
            if damage.kind not in ("split", "check", "decay") or damage.member != member.name or damage.ply not in ("", part.ply):
                continue
            low, high = damage.at - damage.length / 2, damage.at + damage.length / 2
            place = station / slant + x1 if member.kind != "web" else station
            touched = (place >= low - NEAR) & (place <= high + NEAR)
            if not touched.any() and place[0] <= damage.at <= place[-1]:
                touched = np.abs(place - damage.at) == np.abs(place - damage.at).min()
            condition[touched] *= damage.factor
    return Left(area, modulus, condition, share, hung, to_end)


def _to_end(truss: Truss, member: Member, pair: tuple[str, str], ply: str, at: float, length: float) -> float:
    """Distance (in) along a member from a place ``at`` between two of its joints to its nearest end or the nearest cut of the ply."""
    if member.kind == "web":
        return min(at, length - at)
    (x1, _), (x2, _) = (truss.joints[j] for j in pair)
    x = x1 + (x2 - x1) * at / length
    stops = [truss.joints[member.joints[0]][0], truss.joints[member.joints[-1]][0]]
    stops += [s.x for s in truss.splices if s.chord == member.name and s.ply == ply]
    return min(abs(x - stop) for stop in stops) * length / (x2 - x1)


def all_pairs(truss: Truss) -> list[tuple[Member, tuple[str, str]]]:
    return [(member, pair) for member in truss.members for pair in panels(member)]
