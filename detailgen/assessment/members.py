"""Checks of chords and webs between joints: each ply (or layer) with its share, asked of the wood standard."""

from __future__ import annotations

import itertools
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from detailgen.analysis.build import SAME_PLACE, panel_name
from detailgen.analysis.extremes import true_moments
from detailgen.assessment.beside import beside_of, eccentric, passed_on
from detailgen.assessment.sections import HoleGroup, Left, all_pairs, what_is_left
from detailgen.assessment.sistered import as_one_piece, sister_of, stiffened_length
from detailgen.core.result import CheckResult
from detailgen.model.added import SideMember, Sister
from detailgen.model.assessment import Floats, Forces, Place
from detailgen.model.frame import FrameModel, Part
from detailgen.model.member import Member, Ply, Wood
from detailgen.model.project import Truss
from detailgen.standards.interface import Demands, Ints, MemberRequest, WoodGrade, WoodStandard


def grade_of(wood: Wood) -> WoodGrade:
    return WoodGrade(wood.product, wood.species, wood.grade, wood.wet, wood.values, wood.source)


def unbraced_length(truss: Truss, member: Member, pair: tuple[str, str], length: float) -> float:
    """Longest distance (in) between out-of-plane braces that touches a member between two joints. Chord braces are surveyed by x."""
    if member.kind == "web":
        stops = [0.0, *sorted(member.braces), length]
        return max(b - a for a, b in itertools.pairwise(stops))
    (x1, _), (x2, _) = (truss.joints[j] for j in pair)
    ends = (truss.joints[member.joints[0]][0], truss.joints[member.joints[-1]][0])
    stops = sorted({ends[0], *member.braces, ends[1]})
    gaps = [b - a for a, b in itertools.pairwise(stops) if b > x1 + 1e-6 and a < x2 - 1e-6]
    return max(gaps) * length / (x2 - x1)


def bow_of(truss: Truss, member: Member, *, damaged: bool) -> float:
    """Out-of-plane bow (in): surveyed with the member, or found as damage."""
    found = [d.amount for d in truss.damage if d.kind == "bow" and d.member == member.name] if damaged else []
    return max([member.bow, *found])


def _demands(forces: Forces, member: str, moment: Floats, share: Floats, part: Part, at: Ints) -> Demands:
    """Stations (indices ``at``) under every combination as one row of points; the share of the axial force may differ along the member. ``moment``
    (c, s) holds what stands between stations too.

    Layers that slip on one another share the shear by their area, as the joints between them carry their part of it across.
    """
    f = forces.members[member]
    count = len(f.axial)
    return Demands(
        axial=(f.axial * share + moment * part.pulls)[:, at].ravel(), moment=(moment * part.bending_share)[:, at].ravel(),
        shear=(f.shear * (part.axial_share if part.pulls else part.bending_share))[:, at].ravel(),
        station=np.tile(f.station[at], count), combination=np.repeat(np.arange(count), len(at)),
        combinations=tuple(c.name for c in forces.combinations), durations=tuple(c.duration for c in forces.combinations), stage=forces.stage,
        interim=tuple(c.interim for c in forces.combinations),
    )  # fmt: skip


def _woods(truss: Truss, member: Member, pair: tuple[str, str], ply: Ply, station: Floats) -> list[tuple[Wood, Ints, str]]:
    """The woods of a ply between two joints, each with the stations (indices) where it stands and what it is called; a cut counts to both sides."""
    everywhere = np.arange(len(station))
    pieces = [p for p in truss.pieces if p.wood is not None and (p.chord, p.ply) == (member.name, ply.name)]
    if not pieces:
        return [(ply.wood, everywhere, "")]
    (x1, _), (x2, _) = (truss.joints[j] for j in pair)
    x = x1 + (x2 - x1) * station / station[-1]
    found, old = [], np.full(len(station), True)
    for piece in pieces:
        inside = (x >= piece.start - SAME_PLACE) & (x <= piece.end + SAME_PLACE)
        old &= (x <= piece.start + SAME_PLACE) | (x >= piece.end - SAME_PLACE)
        if inside.any() and piece.wood is not None:
            found.append((piece.wood, everywhere[inside], ", new piece"))
    return [(ply.wood, everywhere[old], "")] * bool(old.any()) + found


def _same(part: Part, wood: Wood, left: Left, at: Ints) -> tuple[object, ...]:
    """Parts that are alike in everything that a check reads are checked once."""
    arrays = (left.net_area, left.net_modulus, left.condition, left.axial_share, left.connection_depth, left.connection_to_end)
    return (part.thickness, part.depth, part.bending_share, part.pulls, part.braced, wood, at.tobytes(), *(a.tobytes() for a in arrays))


def place_name(member: Member, pair: tuple[str, str]) -> str:
    return f"web {panel_name(pair)}" if member.kind == "web" else f"{member.kind} {panel_name(pair)}"


def _stiffened(sister: Sister, part: Part, wood: Wood, length: float, standard: WoodStandard) -> float:
    web = standard.stiffness(grade_of(wood), part.thickness, part.depth).E
    own = standard.stiffness(grade_of(sister.wood), sister.thickness, sister.depth).E
    return stiffened_length(sister, part, web, own, length)


def _off(beside: SideMember, part: Part, wood: Wood, standard: WoodStandard, passed: float) -> float:
    """How far off its axis a chord carries its force for a timber on one of its faces (in)."""
    chord = standard.stiffness(grade_of(wood), part.thickness, part.depth).E
    own = standard.stiffness(grade_of(beside.wood), beside.thickness, beside.depth).E
    return eccentric(beside, part.thickness, part.depth, chord, own, passed)[0]


@dataclass(frozen=True)
class _Asked:
    """What is asked of the standard at one place, a member between two joints. Broken parts carry nothing and are not checked."""

    place: str
    panel: str
    requests: tuple[MemberRequest, ...]
    sister: Sister | None

    def answered(self, answers: Iterator[Sequence[CheckResult]], standard: WoodStandard) -> Place:
        """The place with its share of the answers."""
        results: list[CheckResult] = []
        for request in self.requests:
            results += next(answers)
            if self.sister is not None and len(self.sister.sides) == 1:
                results += as_one_piece(self.sister, request, grade_of(self.sister.wood), standard)
        return Place("member", self.panel, "", self.place, tuple(results))


def _asked(
    truss: Truss, member: Member, pair: tuple[str, str], model: FrameModel, forces: Forces, holes: tuple[HoleGroup, ...],
    standard: WoodStandard, *, damaged: bool, stations: Sequence[int] | None = None,
) -> _Asked:  # fmt: skip
    """stations: those (indices) that are looked at; all when None"""
    name = panel_name(pair)
    parts = [p for p in model.parts[name] if not p.broken]
    station, moment = forces.members[name].station, true_moments(forces.members[name])
    alike: dict[tuple[object, ...], tuple[Part, Wood, Left, Ints, list[str]]] = {}
    for part in parts:
        ply = next(p for p in member.plies if p.name == part.ply)
        left = what_is_left(truss, member, pair, part, model.parts[name], station, holes, standard.one_section(), forces, damaged=damaged)
        for wood, everywhere, called in _woods(truss, member, pair, ply, station):
            at = everywhere if stations is None else np.intersect1d(everywhere, np.asarray(stations, dtype=np.int64))
            if not len(at):
                continue
            label = (part.ply if part.layer < 0 else f"{part.ply} layer {part.layer + 1}") + called
            alike.setdefault(_same(part, wood, left, at), (part, wood, left, at, []))[4].append(label)
    length = model.member_length[name]
    unbraced = unbraced_length(truss, member, pair, length)
    sister, beside = sister_of(truss, member), beside_of(truss, member, pair)
    radius = truss.arc.radius if member.kind == "top chord" and truss.curved and truss.arc is not None else 0.0
    requests: list[MemberRequest] = []
    for part, wood, left, at, labels in alike.values():
        where = place_name(member, pair)
        if len(model.parts[name]) > 1:
            where += f", each of {' and '.join(labels)}" if len(labels) > 1 else f", {labels[0]}"
        count = len(forces.combinations)
        requests.append(MemberRequest(
            where=where, wood=grade_of(wood), thickness=part.thickness, depth=part.depth,
            demands=_demands(forces, name, moment, left.axial_share, part, at),
            net_area=np.tile(left.net_area[at], count), net_modulus=np.tile(left.net_modulus[at], count),
            condition=np.tile(left.condition[at], count),
            length_in_plane=length * part.braced, unbraced_bending=unbraced,
            length_out_of_plane=unbraced if sister is None else min(unbraced, _stiffened(sister, part, wood, length, standard)),
            bow=bow_of(truss, member, damaged=damaged)
            + max((_off(b, part, wood, standard, passed_on(b, forces, name)) for b in beside), default=0.0),
            zero_moment_length=length, radius=radius,
            connection_depth=left.connection_depth[:, at].ravel(), connection_to_end=np.tile(left.connection_to_end[at], count),
        ))  # fmt: skip
    return _Asked(place_name(member, pair), name, tuple(requests), sister)


def check_member(
    truss: Truss, member: Member, pair: tuple[str, str], model: FrameModel, forces: Forces, holes: tuple[HoleGroup, ...],
    standard: WoodStandard, *, damaged: bool,
) -> Place:  # fmt: skip
    """One place: a member between two joints."""
    asked = _asked(truss, member, pair, model, forces, holes, standard, damaged=damaged)
    return asked.answered(iter(standard.member_checks(asked.requests)), standard)


def ratios_along(
    truss: Truss, member: Member, pair: tuple[str, str], model: FrameModel, forces: Forces, holes: tuple[HoleGroup, ...], standard: WoodStandard,
) -> tuple[Floats, Floats]:  # fmt: skip
    """Stations (in) of a member between two joints, and the largest demand over capacity at each, of all that is checked station by station."""
    station = forces.members[panel_name(pair)].station
    asked = [_asked(truss, member, pair, model, forces, holes, standard, damaged=True, stations=(k,)) for k in range(len(station))]
    answers = iter(standard.member_checks([request for one in asked for request in one.requests]))
    worst = []
    for one in asked:
        found = one.answered(answers, standard).results
        worst.append(max((r.ratio for r in found if r.unit != "in" and r.ratio == r.ratio and r.station == r.station), default=0.0))
    return station, np.array(worst)


def check_members(
    truss: Truss, model: FrameModel, forces: Forces, holes: tuple[HoleGroup, ...], standard: WoodStandard, *, damaged: bool,
    only: Collection[str] | None = None,
) -> tuple[Place, ...]:  # fmt: skip
    """All members between joints that still carry something; with ``only``, those with these place names."""
    asked = [
        _asked(truss, member, pair, model, forces, holes, standard, damaged=damaged)
        for member, pair in all_pairs(truss)
        if not all(p.broken for p in model.parts[panel_name(pair)]) and (only is None or place_name(member, pair) in only)
    ]
    answers = iter(standard.member_checks([request for one in asked for request in one.requests]))
    return tuple(one.answered(answers, standard) for one in asked)
