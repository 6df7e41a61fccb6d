"""Which webs ask for a sister, and how much of a web is free for one."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from detailgen.analysis.build import panel_name, panels
from detailgen.assessment.members import place_name
from detailgen.core.tolerance import at_most, rounded_length
from detailgen.model.assessment import Place
from detailgen.model.member import Member
from detailgen.model.project import Truss
from detailgen.remedies.contract import Job, Site, Solved
from detailgen.remedies.sister.parameters import BOLT_HEAD, CLEAR

FLAT = 0.1
"""Sine of the angle under which two members count as running along one another."""


@dataclass(frozen=True)
class Room:
    """The free length of a web: from and to along it from its first joint (in), and what bounds each end."""

    start: float
    end: float
    at_start: str
    at_end: str
    length: float  # of the whole web between its joints


def sites_of(job: Job, solved: Solved) -> tuple[Site, ...]:
    """Every web that fails in compression. One that fails in tension asks for something else."""
    webs = [m for m in solved.truss.members if m.kind == "web"]
    places = {p.name: p for p in solved.places([place_name(m, panels(m)[0]) for m in webs])}
    found = []
    for web in webs:
        place = places.get(place_name(web, panels(web)[0]))
        if place is None or place.worst is None or at_most(place.worst.ratio, 1.0):
            continue
        because = _because(job, solved, place)
        if because:
            x = sum(solved.truss.joints[j][0] for j in web.joints) / 2
            plies = tuple(p.name for p in web.plies)
            found.append(Site(f"{solved.truss.mark}-sister-{web.name}", solved.truss.mark, web.name, plies, x, 0.0, because))
    return tuple(found)


def _because(job: Job, solved: Solved, place: Place) -> str:
    worst = place.worst
    names = [c.name for c in solved.forces.combinations]
    if worst is None or worst.combination not in names:
        return ""
    axial = solved.forces.members[place.member].axial.mean(axis=1)
    now, most = float(axial[names.index(worst.combination)]), int(axial.argmax())
    if now >= 0:
        return ""
    units = job.project.units
    text = f"{place.name} is in compression under {worst.combination} ({units.write_force(-now)}) and stands at {worst.ratio:.2f} ({worst.check})"
    if axial[most] > 0:
        text += f"; under {names[most]} it is in tension ({units.write_force(float(axial[most]))})"
    return text


def free_length(truss: Truss, web: Member) -> Room:
    """What chords, other webs, old bolts and old plates leave of a web."""
    length = math.dist(*(truss.joints[j] for j in web.joints))
    (start, first), (end, last) = (max(_held_back(truss, web, joint), key=lambda h: rounded_length(h[0])) for joint in web.joints)
    return Room(start + CLEAR, length - end - CLEAR, first, last, length)


def _way(truss: Truss, a: str, b: str) -> float:
    (x1, y1), (x2, y2) = truss.joints[a], truss.joints[b]
    return math.atan2(y2 - y1, x2 - x1)


def _held_back(truss: Truss, web: Member, joint: str) -> Iterator[tuple[float, str]]:
    """Distances (in) from a joint at which the web is free of each thing that stands there, corners included."""
    half = max(p.depth for p in web.plies) / 2
    along = _way(truss, joint, next(j for j in web.joints if j != joint))
    for member in truss.members:
        if member is web or joint not in member.joints:
            continue
        other = max(p.depth for p in member.plies) / 2
        for a, b in panels(member):
            if joint in (a, b):
                turn = _way(truss, joint, b if joint == a else a) - along
                across = abs(math.sin(turn))
                what = f"web {member.name}" if member.kind == "web" else f"the {member.kind}"
                if member.kind == "web":
                    reach = (other + half * math.cos(turn)) / max(across, FLAT)
                else:  # it runs through: either way
                    reach = (other + half * abs(math.cos(turn))) / max(across, FLAT)
                yield max(reach, 0.0), f"{what} at {joint}"
    for connection in truss.connections:
        if connection.member == web.name and connection.joint == joint:
            bolts = [a for a, _ in connection.bolts.positions]
            if bolts:
                yield max(bolts) + connection.bolts.diameter / 2 + BOLT_HEAD, f"old bolts at {joint}"
            for plate in connection.plates:
                yield plate.end, f"old plate at {joint}"
    yield 0.0, joint


def in_the_way(truss: Truss, web: Member, bolts: Sequence[tuple[float, float]], reach: float) -> str:
    """The first no-drill zone of a web that a bolt with its washer would touch; "" where there is none."""
    zones = [z for z in truss.zones if z.member == web.name]
    for zone, (along, across) in itertools.product(zones, bolts):
        if abs(along - zone.along) < zone.length / 2 + reach and abs(across - zone.across) < zone.depth / 2 + reach:
            return zone.kind
    return ""


def panel_of(web: Member) -> str:
    return panel_name(panels(web)[0])
