"""Where a chord's ply is broken, what room there is, and what the splice must carry."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np

from detailgen.analysis.build import panel_name, panels
from detailgen.assessment.bolts import drilled_by
from detailgen.core.tolerance import up_to_grid
from detailgen.model.assessment import TrussAssessment
from detailgen.model.frame import FrameModel
from detailgen.model.member import Damage, Member, Ply
from detailgen.model.project import Truss
from detailgen.remedies.contract import Site, Solved
from detailgen.remedies.splice.parameters import CLEAR
from detailgen.remedies.splice.search import Demand

BOLT_HEAD = 1.5
"""Room (in) that the head or washer of an existing bolt takes beyond its diameter (ours)."""


@dataclass(frozen=True)
class Obstacle:
    """Something on the chord that new work must keep clear of: from and to along x (in)."""

    start: float
    end: float
    what: str


def sites_of(before: TrussAssessment, grid: Fraction) -> tuple[Site, ...]:
    """One site for each broken place of a bottom chord; breaks of several plies at one place are one site.

    grid: what goes out is rounded up to it, in
    """
    truss = before.truss
    places: list[tuple[Member, float, float, list[str], Damage]] = []
    for damage in truss.damage:
        member = next((m for m in truss.members if m.name == damage.member), None)
        if damage.kind != "break" or member is None or member.kind != "bottom chord":
            continue
        plies = [damage.ply] if damage.ply else [p.name for p in member.plies]
        same = next((p for p in places if p[0] is member and abs(p[1] - damage.at) <= (p[2] + damage.length) / 2 + CLEAR), None)
        if same is None:
            places.append((member, damage.at, damage.length, plies, damage))
        else:
            low, high = min(same[1] - same[2] / 2, damage.at - damage.length / 2), max(same[1] + same[2] / 2, damage.at + damage.length / 2)
            places[places.index(same)] = (member, (low + high) / 2, high - low, list(dict.fromkeys([*same[3], *plies])), damage)
    found = []
    for number, (member, x, length, plies, damage) in enumerate(places, start=1):
        why = f"the {' and '.join(plies)} ply of the {member.name} is broken (photo {damage.photo})"
        found.append(Site(f"{truss.mark}-splice-{number}", truss.mark, member.name, tuple(plies), x, up_to_grid(length, grid), why))
    return tuple(found)


def healed(truss: Truss, site: Site) -> Truss:
    """The truss without the breaks of this site."""

    def made_good(damage: Damage) -> bool:
        inside = abs(damage.at - site.x) <= site.gap / 2 + CLEAR
        return damage.kind == "break" and damage.member == site.member and damage.ply in ("", *site.plies) and inside

    return replace(truss, damage=tuple(d for d in truss.damage if not made_good(d)))


def obstacles(truss: Truss, model: FrameModel, member: Member) -> tuple[Obstacle, ...]:
    """Bolts, webs, old and new splices and no-drill zones along a chord."""
    found = []
    depth = max(p.depth for p in member.plies)
    for connection in truss.connections:
        owner = truss.member(connection.member)
        if connection.joint not in member.joints:
            continue
        x = truss.joints[connection.joint][0]
        for part in drilled_by(truss, connection):
            if part.member == member.name:
                low, high = float(part.bolts[:, 0].min()), float(part.bolts[:, 0].max())
                reach = connection.bolts.diameter / 2 + BOLT_HEAD
                turned = -1 if owner is member and connection.joint == member.joints[-1] else 1
                ends = sorted((turned * low, turned * high)) if owner is member else (low, high)
                found.append(Obstacle(x + ends[0] - reach, x + ends[1] + reach, f"bolts of {owner.name} at {connection.joint}"))
        if owner is not member:
            found.append(_web_in_chord(truss, owner, connection.joint, connection.end, depth))
        for plate in connection.plates:
            if owner is member:
                inward = -1 if connection.joint == member.joints[-1] else 1
                low, high = sorted((x - inward * connection.end, x + inward * plate.end))
                found.append(Obstacle(low, high, f"old plates at {connection.joint}"))
    for splice in truss.splices:
        if splice.chord == member.name:
            bolts = [abs(a) for a, _ in splice.bolts.positions] if splice.bolts else [0.0]
            reach = splice.gap / 2 + max([max(bolts) + BOLT_HEAD, *(p.end for p in splice.plates), *(s.length / 2 for s in splice.scabs)])
            found.append(Obstacle(splice.x - reach, splice.x + reach, f"splice {splice.name}"))
    for zone in truss.zones:
        if zone.member == member.name:
            found.append(Obstacle(zone.along - zone.length / 2, zone.along + zone.length / 2, zone.kind))
    x1, x2 = truss.joints[member.joints[0]][0], truss.joints[member.joints[-1]][0]
    return (*found, Obstacle(-math.inf, x1, "end of the chord"), Obstacle(x2, math.inf, "end of the chord"))


def _web_in_chord(truss: Truss, web: Member, joint: str, end: float, depth: float) -> Obstacle:
    """The length of a chord that a web crosses inside the chord's depth."""
    x, y = truss.joints[joint]
    other = next(j for j in web.joints if j != joint)
    angle = math.atan2(truss.joints[other][1] - y, truss.joints[other][0] - x)
    half = max(p.depth for p in web.plies) / 2
    inside = (depth / 2 + half * abs(math.cos(angle))) / max(abs(math.sin(angle)), 0.1)
    corners = [along * math.cos(angle) - side * half * math.sin(angle) for along in (-end, inside) for side in (-1, 1)]
    return Obstacle(x + min(corners), x + max(corners), f"web {web.name}")


def room(site: Site, found: tuple[Obstacle, ...]) -> tuple[float, str]:
    """Clear length (in) on the tighter side of the cut's middle, and what bounds it."""
    best, what = math.inf, ""
    for obstacle in found:
        if obstacle.start <= site.x <= obstacle.end:
            return 0.0, obstacle.what
        distance = (obstacle.start - site.x if obstacle.start > site.x else site.x - obstacle.end) - CLEAR
        if distance < best:
            best, what = distance, obstacle.what
    return best, what


def panel_at(truss: Truss, member: Member, x: float) -> tuple[str, str]:
    """The two joints of the panel that holds x."""
    return next(p for p in panels(member) if truss.joints[p[0]][0] <= x <= truss.joints[p[1]][0])


def demand(solved: Solved, site: Site, ply: Ply, share: float) -> Demand:
    """Forces of one ply at the cut under every combination; ``share`` is its part of the chord by stiffness, without slip."""
    member = solved.truss.member(site.member)
    pair = panel_at(solved.truss, member, site.x)
    forces = solved.forces.members[panel_name(pair)]
    x1, x2 = (solved.truss.joints[j][0] for j in pair)
    at = int(np.argmin(np.abs(forces.station - (site.x - x1) / (x2 - x1) * forces.station[-1])))
    bending = next(p.bending_share for p in solved.model.parts[panel_name(pair)] if p.ply == ply.name)
    return Demand(
        axial=forces.axial[:, at] * share, moment=forces.moment[:, at] * bending, shear=forces.shear[:, at] * bending,
        durations=tuple(c.duration for c in solved.forces.combinations), names=tuple(c.name for c in solved.forces.combinations),
    )  # fmt: skip


def gaps_between(levels: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Open spaces (from, to) across the truss between parts given by (low, high)."""
    ordered = sorted(levels)
    return [(a[1], b[0]) for a, b in itertools.pairwise(ordered) if b[0] - a[1] > 1 / 8]
