"""Which chords ask for side members, and how much of a chord is free for one."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from detailgen.analysis.build import panel_name, panels
from detailgen.assessment.bolts import direction, drilled_by
from detailgen.assessment.members import place_name, ratios_along
from detailgen.assessment.sections import hole_groups
from detailgen.core.result import CheckResult
from detailgen.core.tolerance import at_most, rounded
from detailgen.model.added import Splice
from detailgen.model.frame import FrameModel
from detailgen.model.member import Connection, Member
from detailgen.model.project import Truss
from detailgen.model.work_points import measured_along
from detailgen.remedies.contract import Job, Site, Solved
from detailgen.remedies.side_member import parameters as p
from detailgen.stock.plates import lumber_lengths

CHORDS = ("top chord", "bottom chord")
HARMED = {"top chord": ("break", "decay"), "bottom chord": ("break", "decay", "split")}
"""Damage with which a chord asks for something else first."""
CHECKED = "check"
"""Damage past which timbers of a pulled chord may run, without bolts in it; one that bends between its panel points is not bolted there."""
BENDS, PULLS = "bending", "tension"
"""In the names of all checks in which a moment, a pull counts."""
PULLED = "-side-pulled-"
"""In the key of a site at which a chord is pulled too much."""


@dataclass(frozen=True)
class Room:
    """A panel of a chord, or what lies about one of its panel points: the free length of the chord as x of the truss, and what bounds each end."""

    start: float
    end: float
    at_start: str
    at_end: str

    @property
    def middle(self) -> float:
        return (self.start + self.end) / 2


def sites_of(job: Job, solved: Solved) -> tuple[Site, ...]:
    """Panels of chords that fail in bending, with compression or tension; a broken or decayed length asks for something else first."""
    truss = solved.truss
    found: list[Site] = []
    for member in (m for m in truss.members if m.kind in CHORDS):
        harmed = {d.kind for d in truss.damage if d.member == member.name}
        if harmed & set(HARMED[member.kind]):
            continue
        places = {q.name: q for q in solved.check([place_name(member, pair) for pair in panels(member)]) if q.kind == "member"}
        worst = {name: r for name, q in places.items() if (r := worst_of(q.results)) is not None and not at_most(r.ratio, 1.0)}
        if member.kind == "bottom chord" and any(PULLS in r.check for r in worst.values()):
            found += _pulled(job, solved, member, worst)
            continue
        if member.kind == "bottom chord" and CHECKED in harmed:
            continue
        for pair in panels(member):
            one = worst.get(place_name(member, pair))
            if one is None or BENDS not in one.check:
                continue
            x = sum(truss.joints[j][0] for j in pair) / 2
            because = f"the {place_name(member, pair)} stands at {one.ratio:.2f} under {one.combination} ({one.check})"
            plies = tuple(q.name for q in member.plies)
            found.append(Site(f"{truss.mark}-side-{panel_name(pair)}", truss.mark, member.name, plies, x, 0.0, because, last=True))
    return tuple(found)


def _pulled(job: Job, solved: Solved, member: Member, worst: Mapping[str, CheckResult]) -> Iterator[Site]:
    """One site for each length of a bottom chord that is pulled too much; one that reaches a heel, or is longer than any timber, is no rival
    to what holds the whole chord."""
    truss = solved.truss
    ends = sorted(truss.joints[j][0] for j in (member.joints[0], member.joints[-1]))
    for low, high in stretches(job, solved, member):
        past = [j for j in member.joints if low - 1.0 <= truss.joints[j][0] <= high + 1.0]
        pairs = [q for q in panels(member) if truss.joints[q[1]][0] >= low and truss.joints[q[0]][0] <= high]
        one = max((worst[n] for q in pairs if (n := place_name(member, q)) in worst), key=lambda r: rounded(r.ratio))
        name = past[0] if len(past) == 1 else f"{past[0]}-{past[-1]}" if past else panel_name(pairs[0])
        where = f"between {name.replace('-', ' and ')}" if "-" in name else f"at {name}"
        because = f"the {member.name} stands at {one.ratio:.2f} {where} under {one.combination} ({one.check})"
        whole = low <= ends[0] + 1.0 or high >= ends[1] - 1.0 or high - low > longest_timber(job)
        yield Site(f"{truss.mark}{PULLED}{name}", truss.mark, member.name, tuple(q.name for q in member.plies), (low + high) / 2, high - low,
                   because, last=whole)  # fmt: skip


def longest_timber(job: Job) -> float:
    """The longest that is sold and gets to the truss (in)."""
    access = job.project.access
    return min(lumber_lengths(job.project.units.name)[-1], access.longest if access is not None and access.longest > 0 else math.inf)


def profile(job: Job, solved: Solved, member: Member) -> list[tuple[float, float]]:
    """x of the truss and the ratio at which a chord stands there, station by station."""
    truss, holes = solved.truss, hole_groups(solved.truss, solved.model)
    found = []
    for pair in panels(member):
        low, high = (truss.joints[j][0] for j in pair)
        station, ratio = ratios_along(truss, member, pair, solved.model, solved.forces, holes, job.wood)
        found += [(low + (high - low) * float(s) / float(station[-1]), float(r)) for s, r in zip(station, ratio, strict=True)]
    return found


def stretches(job: Job, solved: Solved, member: Member) -> list[tuple[float, float]]:
    """Lengths of a chord (x of the truss) at whose stations it stands over 1.0; those at neighbouring panel points together."""
    x_of = solved.truss.joints
    longest = max(x_of[b][0] - x_of[a][0] for a, b in panels(member))
    found: list[tuple[float, float]] = []
    for x in sorted(x for x, ratio in profile(job, solved, member) if not at_most(ratio, 1.0)):
        if found and x - found[-1][1] <= longest + 1.0:
            found[-1] = (found[-1][0], x)
        else:
            found.append((x, x))
    return found


def worst_of(results: Sequence[CheckResult]) -> CheckResult | None:
    """The largest demand over capacity; distances are not meant."""
    known = [r for r in results if r.unit != "in" and r.ratio == r.ratio]
    return max(known, key=lambda r: rounded(r.ratio), default=None)


def pair_of(site: Site, truss: Truss) -> tuple[str, str]:
    member = truss.member(site.member)
    return next(q for q in panels(member) if site.key.endswith(f"-{panel_name(q)}"))


def free_length(truss: Truss, model: FrameModel, member: Member, pair: tuple[str, str]) -> Room:
    """What webs, old bolts, old plates, splices and no-drill zones leave of a panel: its longest free stretch."""
    low, high = (truss.joints[j][0] for j in pair)
    taken = [(low, low, pair[0]), (high, high, pair[1])]
    for joint, way in zip(pair, (1, -1), strict=True):
        x, slant = truss.joints[joint][0], math.cos(direction(truss, member, joint))
        for reach, what in standing_at(truss, model, member, joint, way):
            far = x + way * reach * slant
            taken.append((min(x, far), max(x, far), what))
    for splice in (s for s in truss.splices if s.chord == member.name):
        reach = splice_reach(splice)
        taken.append((splice.x - reach, splice.x + reach, f"splice {splice.name}"))
    taken += [(z.along - z.length / 2, z.along + z.length / 2, z.kind) for z in truss.zones if z.member == member.name]
    taken = sorted((max(a, low), min(b, high), w) for a, b, w in taken if b >= low and a <= high)
    best, reach, what = Room(low, low, "", ""), low, pair[0]
    for a, b, w in taken:
        if a - reach > best.end - best.start:
            best = Room(reach, a, what, w)
        if b >= reach:
            reach, what = b, w
    clear = p.CLEAR * (high - low) / measured_along(truss, member, low, high)
    return Room(best.start + clear, best.end - clear, best.at_start, best.at_end)


def splice_reach(splice: Splice) -> float:
    """How far (in) a splice reaches along its chord from its middle."""
    bolts = [abs(a) for a, _ in splice.bolts.positions] if splice.bolts else [0.0]
    return splice.gap / 2 + max([max(bolts) + p.BOLT_HEAD, *(q.end for q in splice.plates), *(s.length / 2 for s in splice.scabs)])


def standing_at(truss: Truss, model: FrameModel, member: Member, joint: str, way: int) -> Iterator[tuple[float, str]]:
    """How far (in) things that stand at a joint reach along the chord; ``way``: 1 to the right, -1 to the left."""
    depth = max(q.depth for q in member.plies)
    axis = direction(truss, member, joint)
    for connection in (c for c in truss.connections if c.joint == joint):
        owner = truss.member(connection.member)
        for part in drilled_by(truss, connection):
            if part.member == member.name:
                turned = -1.0 if owner is member and joint == member.joints[-1] else 1.0  # a chord's own end is measured inward
                reach = max(way * turned * float(a) for a, _ in part.bolts)
                yield reach + connection.bolts.diameter / 2 + p.BOLT_HEAD, f"old bolts of {connection.member} at {joint}"
        if owner is member:
            yield from ((plate.end, f"old plate at {joint}") for plate in connection.plates)
            continue
        angle = _turn(truss, owner, joint) - axis
        half = max(q.depth for q in owner.plies) / 2
        yield _reach(angle, -connection.end, math.inf, half, depth, way), f"{'web' if owner.kind == 'web' else 'the'} {owner.name}"
        for plate in connection.plates:
            yield _reach(angle, -connection.end, plate.end, plate.width / 2, depth, way), f"old plate at {joint}"


def old_bolts(truss: Truss, model: FrameModel, member: Member, connection: Connection) -> list[tuple[float, float]]:
    """Where the bolts of a web pass a chord, along and across it from their joint (in)."""
    drilled = tuple(drilled_by(truss, connection))
    return sorted({(round(float(a), 6), round(float(b), 6)) for q in drilled if q.member == member.name for a, b in q.bolts})


def _turn(truss: Truss, web: Member, joint: str) -> float:
    x, y = truss.joints[joint]
    other = next(j for j in web.joints if j != joint)
    return math.atan2(truss.joints[other][1] - y, truss.joints[other][0] - x)


def _reach(angle: float, start: float, end: float, half: float, depth: float, way: int) -> float:
    """How far (in) a bar at an angle to a chord reaches along it within its depth: from ``start`` to ``end`` along itself, ``half`` its width."""
    c, s = math.cos(angle), math.sin(angle)
    found = [0.0]
    for t in (-half, half):
        places = [start, *([end] if math.isfinite(end) else [])]
        places += [(edge - t * c) / s for edge in (-depth / 2, depth / 2) if abs(s) > 1e-6]
        for along in places:
            if start - 1e-9 <= along <= end + 1e-9 and abs(along * s + t * c) <= depth / 2 + 1e-6:
                found.append(way * (along * c - t * s))
    return max(found)
