"""Which heels ask for new steel, and what they look like. Axes of a heel: x from the work point into the bottom chord, y up."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from detailgen.assessment.connections import end_name
from detailgen.assessment.heels import end_x, heel_name
from detailgen.core.result import CheckResult
from detailgen.core.units import UnitSystem
from detailgen.model.assessment import Floats, Place
from detailgen.model.heel_bodies import HeelBody, heel_body
from detailgen.model.member import Connection, Damage, EndBearing, Heel, Member
from detailgen.model.project import Truss
from detailgen.remedies.contract import Job, Site, Solved
from detailgen.remedies.splice.site import obstacles

TOP, BOTTOM = "top chord", "bottom chord"


@dataclass(frozen=True)
class Corner:
    """Everything about one heel. ``slope`` of the top chord (rad), ``end`` from the work point outward to the bottom chord's end, ``room`` inward to
    what stands on the bottom chord (in) and what that is; ``old`` the old bolts there: place and diameter."""

    joint: str
    inward: int
    top: Member
    bottom: Member
    slope: float
    survey: Heel
    bearing: EndBearing
    connection: Connection | None
    end: float
    room: float
    bound: str
    old: tuple[tuple[float, float, float], ...]
    body: HeelBody
    over: float  # along the top chord's axis from the work point to what stands there
    radius: float  # of the top chord's axis; 0: it runs straight
    first: float  # slope of that axis at the work point (rad)
    forces: tuple[Floats, Floats, Floats, Floats]  # of the top chord's end panel: stations from the work point (s,); axial, shear, moment (c, s)

    @property
    def width(self) -> float:
        """Across the truss, over all plies (in)."""
        return 2 * max(abs(q.z) + q.thickness / 2 for q in self.bottom.plies)

    @property
    def half(self) -> float:
        """Half the bottom chord's depth (in)."""
        return max(q.depth for q in self.bottom.plies) / 2

    @property
    def depth(self) -> float:
        """Of the top chord (in)."""
        return max(q.depth for q in self.top.plies)

    def axis(self, set_back: float) -> tuple[float, float, float]:
        """The straight line on which a shoe at ``set_back`` along the top chord's axis is laid out: where it begins, so that lengths along it are
        those along the axis, and its slope (rad). On a curve it is the tangent at the end grain."""
        if not self.radius:
            return 0.0, 0.0, self.first
        slope = self.first - set_back / self.radius
        x = self.radius * (math.sin(self.first) - math.sin(slope))
        y = self.radius * (math.cos(slope) - math.cos(self.first))
        return x - set_back * math.cos(slope), y - set_back * math.sin(slope), slope

    def end_grain(self, set_back: float) -> float:
        """x of the middle of the end grain (in)."""
        x, _, slope = self.axis(set_back)
        return x + set_back * math.cos(slope)

    def at_end(self, set_back: float) -> tuple[Floats, Floats, Floats]:
        """Thrust (lb), shear (lb) and moment (in-lb) of the top chord at its end grain by combination, none of them below zero."""
        stations, axial, shear, moment = self.forces
        return (np.maximum(_between(stations, -axial, set_back), 0.0), np.abs(_between(stations, shear, set_back)),
                np.abs(_between(stations, moment, set_back)))  # fmt: skip


def joint_of(site: Site) -> str:
    return site.key.rpartition("-")[2]


def heels_of(truss: Truss) -> tuple[str, str]:
    return truss.bottom[0], truss.bottom[-1]


def places_at(truss: Truss, joint: str) -> tuple[str, ...]:
    """Names of what is checked at a heel: the top chord's end, the bottom chord's bolts, the shoe with its seat."""
    return end_name(truss, TOP, joint), end_name(truss, BOTTOM, joint), heel_name(joint)


def sites_of(job: Job, solved: Solved) -> tuple[Site, ...]:
    """Every heel at which something that was surveyed does not pass."""
    truss, found = solved.truss, []
    if {TOP, BOTTOM} - {m.name for m in truss.members}:
        return ()
    for joint in heels_of(truss):
        heel = truss.heel(joint)
        if heel is not None and heel.new:
            continue
        places = [q for q in solved.check(places_at(truss, joint)) if any(not r.passes for r in q.results)]
        known = [q for q in places if any(_fails(r) for r in q.results)]
        if not known:
            continue
        because = "; ".join(_because(job.project.units, q) for q in known)
        found.append(Site(f"{truss.mark}-heel-{joint}", truss.mark, BOTTOM, tuple(q.name for q in truss.member(BOTTOM).plies),
                          truss.joints[joint][0], 0.0, because, heel_name(joint)))  # fmt: skip
    return tuple(found)


def _fails(result: CheckResult) -> bool:
    return not math.isnan(result.ratio) and not result.passes


def _because(units: UnitSystem, place: Place) -> str:
    bad = [r for r in place.results if _fails(r)]
    strength = [r for r in bad if r.unit != "in"]
    if strength:
        worst = max(strength, key=lambda r: round(r.ratio, 6))
        return f"{place.name} stands at {worst.ratio:.2f} ({worst.check}, {worst.combination})"
    worst = max(bad, key=lambda r: round(r.ratio, 6))
    return f"{place.name} has {units.write_length(worst.capacity)} of {worst.check} where {units.write_length(worst.demand)} is the least"


def corner_of(truss: Truss, solved: Solved, joint: str) -> Corner | str:
    """The heel as it was surveyed; or why it is not known well enough."""
    top, bottom, survey = truss.member(TOP), truss.member(BOTTOM), truss.heel(joint)
    bearing = next((b for b in truss.bearings if (b.member, b.joint) == (TOP, joint)), None)
    if survey is None or not survey.set_back or not survey.seat or not survey.bears or bearing is None:
        missing = [words for words, there in (
            ("'set back' of the top chord's end", survey is not None and survey.set_back > 0),
            ("'length' of the seat", survey is not None and survey.seat > 0), ("what the seat 'carries'", survey is not None and survey.bears > 0),
            ("'end bearings' of the top chord", bearing is not None)) if not there]  # fmt: skip
        return f"the heel is not surveyed well enough for a new one: enter {', '.join(missing)} ('heels' of this type)"
    connection = next((c for c in truss.connections if (c.member, c.joint) == (BOTTOM, joint)), None)
    x, inward = truss.joints[joint][0], 1 if joint == bottom.joints[0] else -1
    end = inward * (x - end_x(truss, bottom, joint))
    stands = [
        ((o.start - x) if inward > 0 else (x - o.end), o.what) for o in obstacles(truss, solved.model, bottom)
        if o.what not in (f"bolts of {BOTTOM} at {joint}", f"old plates at {joint}", "end of the chord")
    ]  # fmt: skip
    room, bound = min(((far, what) for far, what in stands if far > 0), default=(truss.span / 2, "midspan"))
    groups = (connection.bolts, *connection.idle) if connection is not None else ()
    old = tuple((a, b, g.diameter) for g in groups for a, b in g.positions)
    body = heel_body(truss, solved.forces, joint)
    above = [(o.start - x) if inward > 0 else (x - o.end) for o in obstacles(truss, solved.model, top) if o.what != "end of the chord"]
    over = min((far for far in above if far > 0), default=truss.span / 2) / math.cos(body.slope)
    arc = truss.arc if truss.curved else None
    first = math.asin(abs(arc.centre_x - x) / arc.radius) if arc is not None else body.slope
    pair = truss.top[:2] if inward > 0 else truss.top[-2:]
    f = solved.forces.members["-".join(pair)]
    order = slice(None) if inward > 0 else slice(None, None, -1)
    stations = f.station if inward > 0 else f.station[-1] - f.station
    ends = (stations[order], f.axial[:, order], f.shear[:, order], f.moment[:, order])
    radius = arc.radius if arc is not None else 0.0
    return Corner(joint, inward, top, bottom, body.slope, survey, bearing, connection, end, room, bound, old, body, over, radius, first, ends)


def _between(stations: Floats, values: Floats, at: float) -> Floats:
    """By combination (c, s) the value at a station."""
    return np.array([np.interp(at, stations, row) for row in values])


def blocked(truss: Truss, corner: Corner, method: bool, units: UnitSystem) -> str:
    """Why no new heel can be dimensioned here at all; "" where it can."""
    if not method:
        return "a new heel is worked out by allowable stress only; set 'method: allowable stress'"
    top, bottom = corner.top.plies, corner.bottom.plies
    if [(q.z, q.thickness) for q in top] != [(q.z, q.thickness) for q in bottom]:
        return ("the plies of top and bottom chord do not stand in line across the truss: side plates over both would ask for packing, "
                "which is not offered")  # fmt: skip
    if len(top) > 2 or (len(top) == 2 and (top[0].thickness != top[1].thickness or abs(top[0].z + top[1].z) > 1e-6)):
        return "a new heel is offered for one ply, or for two equal ones on both sides of the truss's plane"
    if len(top) == 1 and abs(top[0].z) > 1e-6:
        return f"the single ply stands {units.write_length(abs(top[0].z))} off the truss's plane: a new heel is offered for one in it"
    if any(d.kind == "break" and d.member in (TOP, BOTTOM) and near(truss, corner, d) for d in truss.damage):
        return "a chord is broken at the heel: the break is mended first"
    if float(corner.body.thrust.min()) < -1.0:
        pull = units.write_force(-float(corner.body.thrust.min()))
        return f"the top chord is pulled by {pull} at the heel in some combination: a shoe that it bears on cannot hold that"
    if corner.slope < math.radians(10):
        return f"the top chord comes down at {math.degrees(corner.slope):.1f} degrees: under 10 a shoe above the bottom chord is too flat"
    return ""


def near(truss: Truss, corner: Corner, damage: Damage) -> bool:
    """Does a damage lie within the first panel of its chord?"""
    x = corner.inward * (damage.at - truss.joints[corner.joint][0])
    panel = abs(truss.joints[(truss.bottom if corner.inward > 0 else truss.bottom[::-1])[1]][0] - truss.joints[corner.joint][0])
    return x - damage.length / 2 < panel


def unsound(truss: Truss, corner: Corner, member: Member, away: Mapping[str, float]) -> list[tuple[float, float, str]]:
    """Lengths along x of the heel (in) that new work keeps out of, and why; ``away``: how far from each kind of damage (in)."""
    x = truss.joints[corner.joint][0]
    found = []
    for d in truss.damage:
        if d.member == member.name and d.kind in away:
            middle, off = corner.inward * (d.at - x), d.length / 2 + away[d.kind]
            found.append((middle - off, middle + off, d.kind))
    return found


def with_heel(truss: Truss, corner: Corner, connection: Connection, set_back: float, height: float) -> Truss:
    """The truss with the heel made anew: bolts, end bearing, shoe; damage of what is cut off the top chord is gone."""
    same = (BOTTOM, corner.joint)
    others = tuple(c for c in truss.connections if (c.member, c.joint) != same)
    bearings = tuple(b for b in truss.bearings if (b.member, b.joint) != (TOP, corner.joint))
    wide = sum(q.thickness for q in corner.top.plies)
    heel = replace(corner.survey, set_back=set_back, new=True)
    x, end = truss.joints[corner.joint][0], corner.end_grain(set_back)

    def cut_off(d: Damage) -> bool:
        return d.member == TOP and d.kind in ("split", "check", "decay") and corner.inward * (d.at - x) + d.length / 2 <= end + 1e-6

    bearings = (*bearings, EndBearing(TOP, corner.joint, wide, height, steel=True))
    heels = tuple(heel if h.joint == corner.joint else h for h in truss.heels)
    damage = tuple(d for d in truss.damage if not cut_off(d))
    return replace(truss, damage=damage, connections=(*others, connection), bearings=bearings, heels=heels)


def passing(results: Sequence[CheckResult]) -> bool:
    return all(r.passes for r in results)
