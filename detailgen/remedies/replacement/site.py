"""Which plies of bottom chords ask for a new piece, and where it may begin and end."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

from detailgen.analysis.build import panels
from detailgen.assessment.bolts import direction, drilled_by
from detailgen.assessment.members import place_name
from detailgen.core.tolerance import at_most, rounded_length
from detailgen.core.units import UnitSystem
from detailgen.model.frame import FrameModel
from detailgen.model.member import Damage, Member
from detailgen.model.project import Truss
from detailgen.remedies.contract import Job, Site, Solved
from detailgen.remedies.replacement import parameters as p
from detailgen.remedies.splice.site import obstacles, room


def sites_of(job: Job, solved: Solved) -> tuple[Site, ...]:
    """One site for each damaged place of a ply of a bottom chord where a panel that it touches fails; damage close by counts to it."""
    found: list[Site] = []
    truss = solved.truss
    for member in (m for m in truss.members if m.kind == "bottom chord"):
        pairs = panels(member)
        places = {x.name: x.worst for x in solved.check([place_name(member, pair) for pair in pairs]) if x.kind == "member"}
        for ply in member.plies:
            for harmed in _together(damage_in(truss, member, ply.name, -math.inf, math.inf)):
                low, high = _extent(harmed)
                touched = [place_name(member, pair) for pair in pairs if low <= truss.joints[pair[1]][0] and high >= truss.joints[pair[0]][0]]
                failing = [w for name in touched if (w := places.get(name)) is not None and not at_most(w.ratio, 1.0)]
                if not failing and all(d.kind != "break" for d in harmed):  # a break is mended whatever stands beside it
                    continue
                worst = max(failing, key=lambda r: round(r.ratio, 6), default=None)
                kinds = " and ".join(dict.fromkeys(d.kind for d in harmed))
                photos = ", ".join(dict.fromkeys(d.photo for d in harmed))
                left = f"leaves it at {worst.ratio:.2f} ({worst.check}, {worst.combination})" if worst is not None else "has found no splice"
                because = f"{kinds} of the {ply.name} ply of the {member.name} (photo {photos}) {left}"
                key = f"{truss.mark}-replacement-{ply.name}-{job.project.units.write_length((low + high) / 2)}"
                key = "".join(c if c.isalnum() else "-" for c in key).strip("-").replace("--", "-")
                found.append(Site(key, truss.mark, member.name, (ply.name,), (low + high) / 2, high - low, because))
    return tuple(found)


def _together(harmed: Sequence[Damage]) -> list[list[Damage]]:
    """Damage in groups that one piece takes out: nearer to one another than the sound wood that is asked for beside them."""
    groups: list[list[Damage]] = []
    for damage in sorted(harmed, key=lambda d: d.at - d.length / 2):
        clear = p.SOUND[damage.kind]
        if groups and damage.at - damage.length / 2 - max(d.at + d.length / 2 for d in groups[-1]) <= clear:
            groups[-1].append(damage)
        else:
            groups.append([damage])
    return groups


def damage_in(truss: Truss, member: Member, ply: str, x1: float, x2: float) -> list[Damage]:
    """What lessens the section of a ply between two stations."""
    return [
        d for d in truss.damage
        if d.member == member.name and d.ply in ("", ply) and d.kind in p.SOUND and d.at + d.length / 2 >= x1 and d.at - d.length / 2 <= x2
    ]  # fmt: skip


def _extent(harmed: Sequence[Damage]) -> tuple[float, float]:
    return min(d.at - d.length / 2 for d in harmed), max(d.at + d.length / 2 for d in harmed)


def harm_at(truss: Truss, site: Site) -> list[Damage]:
    low, high = site.x - site.gap / 2, site.x + site.gap / 2
    return damage_in(truss, truss.member(site.member), site.plies[0], low, high)


def healed(truss: Truss, site: Site, x1: float, x2: float) -> Truss:
    """The truss without what is cut out of this ply between two stations; damage of every ply stays with the others."""
    member = truss.member(site.member)
    kept: list[Damage] = []
    for damage in truss.damage:
        low, high = damage.at - damage.length / 2, damage.at + damage.length / 2
        inside = damage.member == site.member and damage.kind in p.SOUND and x1 <= low and high <= x2
        if not inside or damage.ply not in ("", site.plies[0]):
            kept.append(damage)
        elif damage.ply == "":
            kept += [replace(damage, ply=ply.name) for ply in member.plies if ply.name != site.plies[0]]
    return replace(truss, damage=tuple(kept))


def joints_between(truss: Truss, site: Site, x1: float, x2: float) -> tuple[str, ...]:
    """Joints of the chord whose webs' bolts pass what is cut out."""
    held = {c.joint for c in truss.connections if truss.member(c.member).kind == "web"}
    return tuple(j for j in truss.member(site.member).joints if j in held and x1 < truss.joints[j][0] < x2)


def put_back(truss: Truss, model: FrameModel, site: Site, joints: Iterable[str]) -> tuple[tuple[float, float, float], ...]:
    """Where the webs' bolts at some joints pass the ply that is replaced: x of the truss, across the ply's axis, diameter (in); idle ones too."""
    found: dict[tuple[float, float], float] = {}
    chord = truss.member(site.member)
    for connection in (c for c in truss.connections if c.joint in joints and truss.member(c.member).kind == "web"):
        axis = direction(truss, chord, connection.joint)
        x0 = truss.joints[connection.joint][0]
        for bolts in (connection.bolts, *connection.idle):
            for part in drilled_by(truss, replace(connection, bolts=bolts)):
                if (part.member, part.ply) == (site.member, site.plies[0]):
                    for along, across in part.bolts:
                        at = rounded_length(x0 + float(along) * math.cos(axis)), rounded_length(float(across))
                        found[at] = max(found.get(at, 0.0), bolts.diameter)
    return tuple((*at, D) for at, D in sorted(found.items()))


def cuts(truss: Truss, solved: Solved, site: Site, side: int) -> list[tuple[float, float, str]]:
    """Places for a cut on one side of the damage (-1 left, 1 right), the nearest first: station, clear length beside it, what bounds that."""
    tried, beside = _places(truss, solved, site, side)
    return [t for t in tried if t[1] >= p.LEAST_ROOM and _apart(t[0], beside)][: p.TRIES]


def no_cut(truss: Truss, solved: Solved, site: Site, side: int, units: UnitSystem) -> str:
    """Why there is no place for a cut on one side: what one needs, and the place with the most room."""
    write = units.write_length
    tried, beside = _places(truss, solved, site, side)
    clear = write(max(p.SOUND[d.kind] for d in harm_at(truss, site)))
    if not tried:
        return f"the chord ends before {clear} of sound wood are left beside it"
    where = f"of {len(tried)} places up to {write(p.FARTHEST)} beyond {clear} of sound wood"
    x, free, bound = max(tried, key=lambda t: (_apart(t[0], beside), rounded_length(t[1])))
    best = f"the best, at {write(x)}, has {write(max(free, 0.0))}, to {bound}"
    if free >= p.LEAST_ROOM:  # nothing stands there, but every such place is too near to a joint of another ply
        return f"{where} none with {write(p.LEAST_ROOM)} clear on both sides is {write(p.STAGGER)} from the new joints of the other plies; {best}"
    return f"{where} none is clear for {write(p.LEAST_ROOM)} on both sides; {best}"


def _apart(x: float, beside: Sequence[float]) -> bool:
    return all(abs(x - other) >= p.STAGGER for other in beside)


def _places(truss: Truss, solved: Solved, site: Site, side: int) -> tuple[list[tuple[float, float, str]], list[float]]:
    """All places that are looked at, the nearest first, and where other plies have new joints."""
    member = truss.member(site.member)
    harmed = harm_at(truss, site)
    low, high = _extent(harmed)
    clear = max(p.SOUND[d.kind] for d in harmed)
    start = low - clear if side < 0 else high + clear
    found = obstacles(truss, solved.model, member)
    ends = sorted(truss.joints[j][0] for j in (member.joints[0], member.joints[-1]))
    tried = []
    for k in itertools.count():
        x = rounded_length(round(start) + side * k * p.STEP)
        if k * p.STEP > p.FARTHEST or not ends[0] < x < ends[1]:
            break
        here = Site(site.key, site.truss, site.member, site.plies, x, 0.0, "")
        tried.append((x, *room(here, found)))
    beside = [s.x for s in truss.splices if s.new and s.chord == member.name and s.ply != site.plies[0]]
    return tried, beside
