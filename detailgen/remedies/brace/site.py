"""Which webs and chords buckle out of the truss, where lines would hold them, and what stands in the way there."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from detailgen.analysis.build import panel_name, panels
from detailgen.assessment.members import check_member, place_name, unbraced_length
from detailgen.assessment.sections import hole_groups
from detailgen.core.tolerance import at_most, rounded_length
from detailgen.model.assessment import Place
from detailgen.model.detail import ON_TOP, UNDER
from detailgen.model.member import Member
from detailgen.model.project import AnchoredBay, Truss
from detailgen.model.work_points import edge_side, work_point
from detailgen.remedies.brace import parameters as p
from detailgen.remedies.contract import Job, Site, Solved
from detailgen.standards.interface import Floats

Point = tuple[float, float]
STEP = 3.0
"""A line is moved along its chord by steps of this (in) until nothing stands in its way."""


@dataclass(frozen=True)
class Stretch:
    """What a member has between two points at which it is held out of the truss: stations as in ``Member.braces``, and its panels there."""

    member: Member
    start: float
    end: float
    panels: tuple[tuple[str, str], ...]


def bay_for(job: Job, truss: Truss, member: Member) -> AnchoredBay | None:
    """The anchored bay that holds lines of this member; None where the survey has none."""
    kind = "webs" if member.kind == "web" else member.kind
    return next((b for b in job.project.anchored if b.members == kind and (not b.trusses or truss.mark in b.trusses)), None)


def stretches(truss: Truss, member: Member) -> tuple[Stretch, ...]:
    """The member between its surveyed brace points; new lines do not count."""
    new = {x.station for x in truss.lines if x.member == member.name}
    own = [b for b in member.braces if b not in new]
    if member.kind == "web":
        length = math.dist(*(truss.joints[j] for j in member.joints))
        return (Stretch(member, 0.0, length, tuple(panels(member))),) if not own else ()
    ends = (truss.joints[member.joints[0]][0], truss.joints[member.joints[-1]][0])
    stops = sorted({*ends, *own})
    found = []
    for a, b in itertools.pairwise(stops):
        inside = (q for q in panels(member) if truss.joints[q[1]][0] > a + 1e-6 and truss.joints[q[0]][0] < b - 1e-6)
        found.append(Stretch(member, a, b, tuple(inside)))
    return tuple(found)


def key_of(truss: Truss, member: Member) -> str:
    """T1-brace-U3-L3 for a web, T1-brace-bottom for a chord."""
    return f"{truss.mark}-brace-{member.name if member.kind == 'web' else member.kind.partition(' ')[0]}"


def sites_of(job: Job, solved: Solved) -> tuple[Site, ...]:
    """Every member that fails in compression and would pass if it were held out of plane: what fails otherwise asks for something else."""
    truss, found = solved.truss, []
    asked = {m.name: [q for q in panels(m) if _may_buckle(truss, solved, m, q)] for m in truss.members if stretches(truss, m)}
    places = {x.name: x for x in solved.places([place_name(truss.member(m), q) for m, pairs in asked.items() for q in pairs])}
    for name, pairs in asked.items():
        member = truss.member(name)
        failing = {q: x for q in pairs if (x := places.get(place_name(member, q))) is not None and _fails(x)}
        if not failing or not (helped := _helped(job, truss, solved, member, list(failing))):
            continue
        pair = max(helped, key=lambda q: _ratio(failing[q]))
        because = _because(job, solved, failing[pair])
        if because:
            lacks = "" if bay_for(job, truss, member) is not None else "an anchored bay"
            middle = sum(truss.joints[j][0] for j in pair) / 2
            plies = tuple(x.name for x in member.plies)
            found.append(Site(key_of(truss, member), truss.mark, name, plies, middle, 0.0, because, lacks=lacks))
    return tuple(found)


def _ratio(place: Place) -> float:
    return place.worst.ratio if place.worst is not None else 0.0


def _helped(job: Job, truss: Truss, solved: Solved, member: Member, pairs: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
    """Those panels that the most lines that may be laid would bring to 1.0 or below, wherever exactly they are."""
    held = braced(truss, member, [x for s in stretches(truss, member) for x in evenly(s, most_lines(member))])
    return [q for q, x in zip(pairs, judged(job, held, solved, member, pairs), strict=True) if all(r.passes for r in x.results)]


def to_hold(job: Job, truss: Truss, solved: Solved, site: Site) -> list[tuple[str, str]]:
    """The panels of a site's member that fail without its lines, under the forces of the last round, and that lines help; else that of the site."""
    member = truss.member(site.member)
    pairs = [q for q in panels(member) if _may_buckle(truss, solved, member, q)]
    failing = [q for q, x in zip(pairs, judged(job, truss, solved, member, pairs), strict=True) if _fails(x)]
    here = [q for q in panels(member) if min(truss.joints[j][0] for j in q) <= site.x <= max(truss.joints[j][0] for j in q)]
    return _helped(job, truss, solved, member, failing) or here[:1]


def most_lines(member: Member) -> int:
    return 1 if member.kind == "web" else p.MOST_LINES


def stations_for(
    job: Job, truss: Truss, solved: Solved, member: Member, pairs: Sequence[tuple[str, str]], size: tuple[float, float] | None,
) -> tuple[dict[Stretch, tuple[float, ...]], str]:  # fmt: skip
    """The fewest lines by stretch that bring these panels to 1.0 or below; none and the reason where it cannot be done.

    Where a panel fails, the stretch with the longest gap beside it gets one line more.
    size: of the timber, height and width; None: lines evenly spaced, whatever stands there
    """
    lines: dict[Stretch, tuple[float, ...]] = {}
    every = stretches(truss, member)
    while True:
        held = braced(truss, member, [x for xs in lines.values() for x in xs])
        bad = [q for q, x in zip(pairs, judged(job, held, solved, member, pairs), strict=True) if not all(r.passes for r in x.results)]
        if not bad:
            return lines, ""
        longest = {max((s for s in every if q in s.panels), key=lambda s: rounded_length(_gap(s, lines.get(s, ())))) for q in bad}
        more = [s for s in every if s in longest and len(lines.get(s, ())) < most_lines(member)]
        if not more:
            left = max((r.ratio for x in judged(job, held, solved, member, bad) for r in x.results), default=math.nan)
            count = sum(len(xs) for xs in lines.values())
            return {}, f"{count} brace line{'s' if count > 1 else ''}, the most that may be laid, leave{'' if count > 1 else 's'} it at {left:.2f}"
        for stretch in more:
            count = len(lines.get(stretch, ())) + 1
            mine, why = (evenly(stretch, count), "") if size is None else laid(truss, stretch, count, size[1], size[0], size[0])
            if not mine:
                needs = " x ".join(job.project.units.write_made(v) for v in size or ())
                return {}, f"no place on the member is free for a line of {needs} with its blocks: {why} stands in the way"
            lines[stretch] = mine


def _gap(stretch: Stretch, stations: Sequence[float]) -> float:
    stops = sorted({stretch.start, stretch.end, *stations})
    return max(b - a for a, b in itertools.pairwise(stops))


def _may_buckle(truss: Truss, solved: Solved, member: Member, pair: tuple[str, str]) -> bool:
    """Is it pushed at all, and slender enough out of the truss that holding it could change anything?"""
    if float(solved.forces.members[panel_name(pair)].axial.min()) >= 0:
        return False
    length = math.dist(*(truss.joints[j] for j in pair))
    return unbraced_length(truss, member, pair, length) > p.STOCKY * min(x.thickness for x in member.plies)


def _fails(place: Place) -> bool:
    return place.worst is not None and not at_most(place.worst.ratio, 1.0)


def _because(job: Job, solved: Solved, place: Place) -> str:
    """What fails there in words; "" where it is not in compression then."""
    worst, names = place.worst, [c.name for c in solved.forces.combinations]
    if worst is None or worst.combination not in names:
        return ""
    axial = solved.forces.members[place.member].axial
    now, most = float(axial[names.index(worst.combination)].min()), int(axial.max(axis=1).argmax())
    if now >= 0:
        return ""
    units = job.project.units
    text = f"{place.name} is in compression under {worst.combination} ({units.write_force(-now)}) and stands at {worst.ratio:.2f} ({worst.check})"
    if (pull := float(axial[most].max())) > 0:
        text += f"; under {names[most]} it is in tension ({units.write_force(pull)})"
    return text


def evenly(stretch: Stretch, count: int) -> tuple[float, ...]:
    return tuple(rounded_length(stretch.start + (stretch.end - stretch.start) * k / (count + 1)) for k in range(1, count + 1))


def braced(truss: Truss, member: Member, stations: Sequence[float]) -> Truss:
    """The truss with its member held out of plane at more stations."""
    held = replace(truss.member(member.name), braces=tuple(sorted({*truss.member(member.name).braces, *stations})))
    return replace(truss, members=tuple(held if m.name == member.name else m for m in truss.members))


def judged(job: Job, truss: Truss, solved: Solved, member: Member, pairs: Sequence[tuple[str, str]]) -> list[Place]:
    """A member between these joints in a changed truss, under the forces of the last round."""
    holes = hole_groups(truss, solved.model, {panel_name(q) for q in pairs})
    changed = truss.member(member.name)
    return [check_member(truss, changed, q, solved.model, solved.forces, holes, job.wood, damaged=True) for q in pairs]


def compression(solved: Solved, stretch: Stretch) -> Floats:
    """Greatest compression (lb, positive) of the stretch, per combination."""
    axial = np.concatenate([solved.forces.members[panel_name(q)].axial for q in stretch.panels], axis=1)
    pressed: Floats = np.maximum(-axial.min(axis=1), 0.0)
    return pressed


def longest_free(truss: Truss, stretch: Stretch, stations: Sequence[float]) -> float:
    """Longest unbraced length (in) beside the new lines, along the member."""
    stops = sorted({stretch.start, stretch.end, *stations})
    if stretch.member.kind == "web":
        return max(b - a for a, b in itertools.pairwise(stops))
    points = {x: work_point(truss, stretch.member.name, x) for x in stops}
    return max(math.dist(*((q.x, q.y) for q in (points[a], points[b]) if q is not None)) for a, b in itertools.pairwise(stops))


def axis_of(member: Member) -> str:
    """The edge on which a line lies: under a top chord, which has the roof above, on top of all else, where its weight rests on the member."""
    return UNDER if member.kind == "top chord" else ON_TOP


def laid(truss: Truss, stretch: Stretch, count: int, width: float, height: float, reach: float) -> tuple[tuple[float, ...], str]:
    """Stations (in) of so many lines, as even as what stands in the way lets them be; or none, and what stands there.

    width, height: of the timber along the member and off its edge; reach: how far its blocks come down beside the member (in)
    """
    found: list[float] = []
    for ideal in evenly(stretch, count):
        if stretch.member.kind == "web":
            moves: Sequence[float] = (0.0,)
        else:
            most = int((stretch.end - stretch.start) / (count + 1) / 2 / STEP)
            moves = [side * k * STEP for k in range(most + 1) for side in ((1,) if not k else (1, -1))]
        first = ""
        for move in moves:
            station = rounded_length(ideal + move)
            why = in_the_way(truss, stretch.member, station, width, height, reach)
            if not why:
                found.append(station)
                break
            first = first or why
        else:
            return (), first
    return tuple(found), ""


def in_the_way(truss: Truss, member: Member, station: float, width: float, height: float, reach: float) -> str:
    """What a line's timber and blocks would run into in the plane of the truss; "" where they are free."""
    along, place = 0.0, station
    if member.kind == "web":  # its work point is its middle
        along, place = station - math.dist(*(truss.joints[j] for j in member.joints)) / 2, 0.0
    at = work_point(truss, member.name, place)
    if at is None:
        return "the member ends before it"
    depth = max(x.depth for x in member.plies)
    side = edge_side(at.angle, axis_of(member))
    low, high = sorted((side * (depth / 2 - reach), side * (depth / 2 + height + p.OVER)))
    half = width / 2 + p.CLEAR
    corners = [at.place(along + u, v) for u, v in ((-half, low), (half, low), (half, high), (-half, high))]
    for other, outline in _others(truss, member):
        if _meet(corners, outline):
            return other
    for splice in (s for s in truss.splices if s.chord == member.name):
        halves = (
            [x.end for x in splice.plates]
            + [s.length / 2 for s in splice.scabs]
            + [abs(a) for a, _ in (splice.bolts.positions if splice.bolts else ())]
        )
        if abs(place - splice.x) < max(halves, default=0.0) + half:
            return f"splice {splice.name}"
    for zone in (z for z in truss.zones if z.member == member.name):
        here = station if member.kind == "web" else place
        if abs(here - zone.along) < zone.length / 2 + half:
            return zone.kind
    return ""


def _others(truss: Truss, member: Member) -> Iterator[tuple[str, list[Point]]]:
    """Every other member between two joints, and old plates and bolts of webs at this one, as rectangles in the plane of the truss."""
    for other in truss.members:
        if other.name == member.name:
            continue
        depth = max(x.depth for x in other.plies)
        for a, b in panels(other):
            (x1, y1), (x2, y2) = truss.joints[a], truss.joints[b]
            angle, length = math.atan2(y2 - y1, x2 - x1), math.dist((x1, y1), (x2, y2))
            c, s = math.cos(angle), math.sin(angle)
            name = f"web {other.name}" if other.kind == "web" else f"the {other.kind}"
            over = max((q.end for q in truss.connections if q.member == other.name and q.joint in (a, b)), default=0.0)
            ends = (-max(over, 0.0), length + max(over, 0.0))
            yield name, [(x1 + c * u - s * v, y1 + s * u + c * v) for u, v in (
                (ends[0], -depth / 2), (ends[1], -depth / 2), (ends[1], depth / 2), (ends[0], depth / 2))]  # fmt: skip


def _meet(one: Sequence[Point], other: Sequence[Point]) -> bool:
    """Do two convex figures overlap? They are apart if one of their edges is a line between them."""
    for figure in (one, other):
        for (ax, ay), (bx, by) in zip(figure, (*figure[1:], figure[0]), strict=True):
            nx, ny = by - ay, ax - bx
            mine, theirs = ([x * nx + y * ny for x, y in f] for f in (one, other))
            if max(mine) <= min(theirs) + 1e-9 or max(theirs) <= min(mine) + 1e-9:
                return False
    return True
