"""Parts that one bolt group holds together must have their holes in the same places, and name the same bolt."""

from __future__ import annotations

import contextlib
import itertools
import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from detailgen.checker.drawing import FACE_VIEW, Drawing, Face, FaceHole, length_words
from detailgen.checker.geometry import Point
from detailgen.checker.held import judge_held
from detailgen.checker.placing import COINCIDE, Laid, holes_of, overlay, placed_parts
from detailgen.checker.plan_view import judge_lengths, judge_places
from detailgen.checker.rules import at_most, wrong
from detailgen.checker.tags import fastener
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult, cannot_be_checked

NEAR = 4.0
"""A hole without partner counts as moved, not as missing, if a hole without partner stands this near (in)."""


@dataclass(frozen=True)
class _Node:
    """One place of one part that does not agree: a hole, or a place without one."""

    part: str
    hole: FaceHole | None
    at: Point


@dataclass(frozen=True)
class _Quarrel:
    first: _Node
    second: _Node
    distance: float  # nan: nothing there at all


def _quarrels(laid: Laid) -> list[_Quarrel]:
    a, b = laid.a.face, laid.b.face
    rest = list(laid.only_b)
    out = []
    for h in laid.only_a:
        near = min(rest, key=lambda r: math.dist(laid.to_a(r.at), h.at), default=None)
        if near is not None and math.dist(laid.to_a(near.at), h.at) <= NEAR:
            rest.remove(near)
            out.append(_Quarrel(_Node(a.part, h, h.at), _Node(b.part, near, near.at), math.dist(laid.to_a(near.at), h.at)))
        else:
            u, v = laid.to_b(h.at)
            out.append(_Quarrel(_Node(a.part, h, h.at), _Node(b.part, None, (round(u, 3), round(v, 3))), math.nan))
    for h in rest:
        u, v = laid.to_a(h.at)
        out.append(_Quarrel(_Node(b.part, h, h.at), _Node(a.part, None, (round(u, 3), round(v, 3))), math.nan))
    return out


def judge_agreement(drawing: Drawing) -> list[CheckResult]:
    """Every group that more than one part of the drawing shows; and the plan view, where all parts of a detail lie along it."""
    slanted: set[str] = set()
    out: list[CheckResult] = []
    faces: dict[tuple[str, str], list[Face]] = defaultdict(list)
    for face in drawing.faces:
        for group in face.groups:
            faces[face.detail, group].append(face)
    for (detail, group), members in sorted(faces.items()):
        quarrels: list[_Quarrel] = []
        met: set[tuple[str, FaceHole]] = set()
        offset = 0.0
        placed = placed_parts(members, group, drawing)
        slanted |= {detail} if any(p.turn % 180 for p in placed) else set()
        for one, other in itertools.combinations(placed, 2):
            laid = overlay(one, other, group)
            a, b = one.face, other.face
            quarrels += _quarrels(laid)
            offset = max([offset, *(math.dist(laid.to_a(q.at), p.at) for p, q in laid.pairs)])
            met |= {(a.part, p) for p, _ in laid.pairs} | {(b.part, q) for _, q in laid.pairs}
            out += judge_held(drawing, a, b, laid, group)
        if not any(p.turn % 180 for p in placed):
            out += judge_places(drawing, members, group)
        for p in placed if not quarrels else ():
            if p.turn and p.face.open_ends in ("left", "right"):
                missing = f"which way round the view is: it fits the others only turned by {p.turn:g} degrees"
                out.append(cannot_be_checked(p.face.name, f"holes of group {group}", missing, FACE_VIEW))
        if len(members) < 2:
            continue
        out += _one_bolt(drawing, members, group)
        named = {f.part: f for f in members}
        found = list(_blamed(drawing, named, quarrels, group))
        blamed = {(n.part, n.hole) for q in quarrels for n in (q.first, q.second)}
        for face in members:
            for h in face.new_holes:
                if h.group == group and (face.part, h) not in met and (face.part, h) not in blamed:
                    where = f"{face.name}, {face.hole_name(h, drawing.metric)}"
                    found.append(
                        wrong(where, f"hole of group {group} meets no hole of another part", h.diameter, FACE_VIEW, spots=(face.frame.at(h.at),))
                    )
        if not found:
            names = ", ".join(f.name for f in members)
            found.append(at_most(f"group {group}", f"holes coincide in {names}", COINCIDE, round(offset, 5), FACE_VIEW))
        out += found
    return out + [r for f in drawing.faces if f.detail not in slanted for r in judge_lengths(drawing, f)]


def _one_bolt(drawing: Drawing, members: Sequence[Face], group: str) -> Iterator[CheckResult]:
    """All parts name the same bolt for a group; those that few agree with are told."""
    named: dict[float, list[tuple[Face, FaceHole]]] = defaultdict(list)
    for face in members:
        for h in holes_of(face, group):
            with contextlib.suppress(NotCovered):  # a lost name is told with the hole
                named[round(fastener(h.fastener).diameter, 4)].append((face, h))
    if len(named) < 2:
        return
    usual = max(named, key=lambda d: (len(named[d]), d))
    words = {d: length_words(d, drawing.metric) for d in named}
    for d, same in sorted(named.items()):
        for face, h in same if d != usual else ():
            text = f"names a bolt of {words[d]}; most holes of group {group} name one of {words[usual]}"
            yield wrong(f"{face.name}, {face.hole_name(h, drawing.metric)}", text, abs(d - usual), FACE_VIEW, spots=(face.frame.at(h.at),))


def _blamed(drawing: Drawing, faces: dict[str, Face], quarrels: Sequence[_Quarrel], group: str) -> Iterator[CheckResult]:
    """Of every quarrel the side that most parts disagree with, once, naming one of them and how many more."""
    rest = list(quarrels)
    in_quarrel = {(n.part, id(n.hole)) for q in rest for n in (q.first, q.second) if n.hole is not None}
    most = {f.part for f in faces.values() if sum(p == f.part for p, _ in in_quarrel) >= len(holes_of(f, group)) / 2}
    while rest:
        count: dict[_Node, int] = defaultdict(int)
        for q in rest:
            count[q.first] += 1
            count[q.second] += 1
        node = max(count, key=lambda n: (count[n], n.part in most, n.hole is None, n.part, n.at))
        mine = [q for q in rest if node in (q.first, q.second)]
        rest = [q for q in rest if q not in mine]
        others = [q.second if q.first == node else q.first for q in mine]
        others.sort(key=lambda o: (o.hole is None, faces[o.part].material != "steel", o.part))
        other = others[0]
        more = f" and {len(others) - 1} more" if len(others) > 1 else ""
        face, partner = faces[node.part], faces[other.part]
        beside = f"{partner.name}, {partner.hole_name(other.hole, drawing.metric) if other.hole else 'no hole'}"
        if node.hole is None:
            where = f"{face.name}, {face.place(node.at, drawing.metric)}"
            bare = [h for h in face.holes if not h.tagged and math.dist(h.at, node.at) < NEAR / 4]
            if bare:
                yield cannot_be_checked(where, f"hole of group {group}", f"the tags of the circle here (against {beside}{more})", FACE_VIEW)
                continue
            yield wrong(
                where,
                f"no hole of group {group} here, against {beside}{more}",
                other.hole.diameter if other.hole else 0.0,
                FACE_VIEW,
                spots=(face.frame.at(node.at),),
            )
            continue
        where = f"{face.name}, {face.hole_name(node.hole, drawing.metric)}"
        off = next((q.distance for q in mine if not math.isnan(q.distance)), math.nan)
        if math.isnan(off):
            yield wrong(
                where,
                f"hole of group {group} that is missing in {partner.name}{more}",
                node.hole.diameter,
                FACE_VIEW,
                spots=(face.frame.at(node.at),),
            )
        else:
            text = f"hole of group {group} stands {length_words(off, drawing.metric)} off its place by {beside}{more}"
            yield wrong(where, text, off, FACE_VIEW, spots=(face.frame.at(node.at),))
