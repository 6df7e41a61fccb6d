"""Surveyed bolt groups, laid into the axes of each part that the bolts pass.

Bolt positions are surveyed along and across the member that they hold: along from the work point into the member, across upward
(for a vertical member: to the left of the way up). From there they are turned into the axes of every other part.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np

from detailgen.analysis.build import panel_name, panels
from detailgen.model.added import Splice
from detailgen.model.assessment import Floats
from detailgen.model.frame import FrameModel
from detailgen.model.member import Connection, Filler, Member, Plate, Ply, Wood
from detailgen.model.project import Truss

TOUCHING = 1 / 8
"""Parts closer than this (in) touch: old timbers are never closer (ours)."""


@dataclass(frozen=True)
class GroupPart:
    """One part of a bolt group: which ply of which member it is ("" for plates and fillers), and the bolts in its own axes (in)."""

    member: str
    ply: str
    name: str
    side: str  # "member", "other", "filler", "passed" (drilled, but takes no force)
    z: float
    thickness: float
    depth: float
    bolts: Floats
    load_angle: float
    ends: tuple[float, float]
    wood: Wood | None = None
    bearing_strength: float = 0.0
    per_row: bool = False  # a plate of its own for each row of bolts

    @property
    def low(self) -> float:
        return self.z - self.thickness / 2

    @property
    def high(self) -> float:
        return self.z + self.thickness / 2


@dataclass(frozen=True)
class Run:
    """Parts that touch one another, far to near; its member plies carry ``share`` of the member's force."""

    parts: tuple[GroupPart, ...]
    share: float
    why_not: str = ""


@dataclass(frozen=True)
class BoltGroup:
    """All runs of one connection. ``panel`` and ``start`` say which member between joints, and which of its ends, brings the force."""

    panel: str
    at_start: bool
    runs: tuple[Run, ...]
    drilled: tuple[GroupPart, ...]  # every wood part that has the holes


def direction(truss: Truss, member: Member, joint: str) -> float:
    """Angle (rad) of a chord's axis at a joint, left to right: the tangent of a curved chord, else the mean of its two pieces."""
    x, _ = truss.joints[joint]
    if member.kind == "top chord" and truss.arc is not None and truss.curved:
        return math.asin(max(-1.0, min(1.0, -(x - truss.arc.centre_x) / truss.arc.radius)))
    angles = []
    for a, b in panels(member):
        if joint in (a, b):
            (x1, y1), (x2, y2) = truss.joints[a], truss.joints[b]
            angles.append(math.atan2(y2 - y1, x2 - x1))
    return sum(angles) / len(angles)


def into_member(truss: Truss, member: Member, joint: str) -> tuple[float, str, bool]:
    """Angle (rad) of the way from a joint into a member, the panel that begins there, and whether the joint is that panel's start."""
    pairs = panels(member)
    pair, at_start = (pairs[0], True) if joint == pairs[0][0] else (pairs[-1], False)
    if member.kind != "web":
        angle = direction(truss, member, joint)
        return (angle if at_start else angle + math.pi), panel_name(pair), at_start
    (x1, y1), (x2, y2) = truss.joints[joint], truss.joints[pair[1] if at_start else pair[0]]
    return math.atan2(y2 - y1, x2 - x1), panel_name(pair), at_start


def upward(along: float) -> int:
    """+1 where the across axis is the along axis turned left, -1 where it is turned right: across points up."""
    return 1 if math.cos(along) >= -1e-9 else -1


def turn(bolts: Floats, along: float, into: float) -> Floats:
    """Positions given along and across an axis at angle ``along`` -> positions along and across (left of) an axis at angle ``into`` (rad)."""
    flip = upward(along)
    angle = along - into
    s, t = bolts[:, 0], bolts[:, 1] * flip
    return np.column_stack([s * math.cos(angle) - t * math.sin(angle), s * math.sin(angle) + t * math.cos(angle)])


def _cuts_beside(truss: Truss, chord: Member, ply: Ply, joint: str) -> tuple[float, float]:
    """Ends of a chord's ply seen from a joint (in along the chord): its nearest cuts, or no end at all."""
    x = truss.joints[joint][0]
    slant = math.cos(direction(truss, chord, joint))
    places = [(s.x - x) / slant for s in truss.splices if s.chord == chord.name and s.ply == ply.name]
    ends = [c for c in truss.connections if c.member == chord.name]
    for connection in ends:
        sign = -1 if connection.joint == chord.joints[0] else 1
        places.append((truss.joints[connection.joint][0] - x) / slant + sign * connection.end)
    return max((p for p in places if p < 0), default=-math.inf), min((p for p in places if p > 0), default=math.inf)


def _plates_and_fillers(plates: tuple[Plate, ...], fillers: tuple[Filler, ...], bolts: Floats, depth: float) -> list[GroupPart]:
    parts = [
        GroupPart("", "", "steel plate", "other", p.z, p.thickness, p.width, bolts, 0.0, (-math.inf, math.inf), None, p.bearing_strength,
                  p.per_row)
        for p in plates
    ]  # fmt: skip
    return parts + [GroupPart("", "", "filler", "filler", f.z, f.thickness, depth, bolts, 0.0, (-math.inf, math.inf)) for f in fillers]


def _runs(parts: list[GroupPart], shares: dict[str, float]) -> tuple[Run, ...]:
    """Split the stack at open gaps and fillers; keep what holds a ply of the member."""
    runs: list[list[GroupPart]] = [[]]
    reach = -math.inf
    for part in sorted(parts, key=lambda p: p.z):
        carries = part.side in ("member", "other")
        if not carries or part.low - reach > TOUCHING:
            runs.append([])
        if carries:
            runs[-1].append(part)
        reach = part.high
    found = []
    for run in runs:
        carried = [p for p in run if p.side == "member"]
        if not carried:
            continue
        others = [p for p in run if p.side == "other"]
        clash = [(a, b) for a, b in itertools.pairwise(run) if a.high - b.low > TOUCHING]
        why = ""
        if clash:
            kinds = " and a ".join("chord" if p.side == "other" and p.ply else "web" if p.ply else p.name for p in clash[0])
            why = f"a {kinds} overlap across the truss as surveyed, so it cannot be said which faces the bolts pass"
        elif not others:
            why = "no part that touches it takes the force: an open gap or a filler lies between, or the bolts miss the chord"
        found.append(Run(tuple(run), sum(shares.get(p.ply, 0.0) for p in carried), why))
    return tuple(found)


def _standing(positions: tuple[tuple[float, float], ...]) -> Floats:
    return np.array(positions, dtype=float).reshape(-1, 2)


def drilled_by(truss: Truss, connection: Connection) -> list[GroupPart]:
    """Every wood part of a member or chord that has the holes of a member's bolted end."""
    member = truss.member(connection.member)
    along, _, _ = into_member(truss, member, connection.joint)
    bolts = _standing(connection.bolts.positions)
    parts = [
        GroupPart(member.name, ply.name, f"{ply.name} ply of {member.name}" if len(member.plies) > 1 else member.name, "member", ply.z, ply.thickness,
                  ply.depth, bolts, math.pi, (-connection.end, math.inf), ply.wood)
        for ply in member.plies
    ]  # fmt: skip
    chords = [m for m in truss.members if m.kind != "web" and connection.joint in m.joints and m is not member]
    if member.kind != "web" and connection.plates:
        chords = []  # a heel held by plates: the other chord is held by them too, not by these bolts
    for chord in chords:
        axis = direction(truss, chord, connection.joint)
        turned = turn(bolts, along, axis)
        for ply in chord.plies:
            if np.all(np.abs(turned[:, 1]) <= ply.depth / 2):
                ends = _cuts_beside(truss, chord, ply, connection.joint)
                parts.append(
                    GroupPart(chord.name, ply.name, f"{ply.name} ply of {chord.name}" if len(chord.plies) > 1 else chord.name, "other", ply.z,
                              ply.thickness, ply.depth, turned, along - axis, ends,
                              truss.wood_at(chord.name, ply, truss.joints[connection.joint][0]))
                )  # fmt: skip
    return parts


def group_of_connection(truss: Truss, model: FrameModel, connection: Connection) -> BoltGroup:
    """Parts and bolts at a member's bolted end."""
    member = truss.member(connection.member)
    _, panel, at_start = into_member(truss, member, connection.joint)
    bolts, drilled = _standing(connection.bolts.positions), drilled_by(truss, connection)
    pads = [GroupPart("", "", f"{q.name} pad", "other", q.z, q.thickness, q.depth, bolts, 0.0, (q.start, q.end), q.wood) for q in connection.pads]
    others = _plates_and_fillers(connection.plates, connection.fillers, bolts, member.plies[0].depth)
    return BoltGroup(panel, at_start, _runs([*drilled, *pads, *others], _shares(model, panel)), tuple(drilled))


def beyond(truss: Truss, splice: Splice) -> Wood | None:
    """The wood of a new piece that begins or ends at a splice, where it is another than the ply's."""
    ends = (p for p in truss.pieces if (p.chord, p.ply) == (splice.chord, splice.ply) and splice.x in (p.start, p.end))
    return next((p.wood for p in ends if p.wood is not None), None)


def group_of_splice(truss: Truss, model: FrameModel, splice: Splice, wood: Wood | None = None) -> BoltGroup:
    """Parts and bolts on one side of a cut; both sides are alike, but for the ``wood`` of a new piece on one of them.

    Plies that are cut at one place and share a piece of wood between them are one group: the piece carries for all of them at once.
    """
    chord = truss.member(splice.chord)
    pair = next(p for p in panels(chord) if splice.x <= truss.joints[p[1]][0] + 1e-6)
    cut = next(p for p in chord.plies if p.name == splice.ply)
    bolts = _standing(splice.bolts.positions if splice.bolts else ())
    parts = [
        GroupPart(chord.name, cut.name, f"{cut.name} ply of {chord.name}", "member", cut.z, cut.thickness, cut.depth, bolts, math.pi,
                  (0.0, math.inf), wood or cut.wood)
    ]  # fmt: skip
    parts += [
        GroupPart("", "", f"splice piece {s.name}", "other", s.z, s.thickness, s.depth, bolts, 0.0, (-math.inf, s.length / 2), s.wood)
        for s in splice.scabs
    ]
    side = "other" if splice.behaviour == "one ply continuous" else "passed"
    held = {s.ply: s for s in _held_with(truss, splice)}
    parts += [
        GroupPart(chord.name, p.name, f"{p.name} ply of {chord.name}", "member", p.z, p.thickness, p.depth, bolts, math.pi, (0.0, math.inf), p.wood)
        if p.name in held else
        GroupPart(chord.name, p.name, f"{p.name} ply of {chord.name}", side, p.z, p.thickness, p.depth, bolts, 0.0, (-math.inf, math.inf), p.wood)
        for p in chord.plies
        if p.name != splice.ply
    ]  # fmt: skip
    for one in (splice, *held.values()):
        parts += _plates_and_fillers(one.plates, one.fillers if one is splice else (), bolts, cut.depth)
    runs = _runs(parts, _shares(model, panel_name(pair)))
    return BoltGroup(panel_name(pair), False, runs, tuple(p for p in parts if p.ply))


def _held_with(truss: Truss, splice: Splice) -> list[Splice]:
    """Splices of other plies at the same place, by the same bolts through the same piece of wood."""
    shared = {(s.name, s.z) for s in splice.scabs}
    return [
        o for o in truss.splices
        if o is not splice and o.chord == splice.chord and o.ply != splice.ply and o.x == splice.x and o.bolts == splice.bolts
        and shared & {(s.name, s.z) for s in o.scabs}
    ]  # fmt: skip


def _shares(model: FrameModel, panel: str) -> dict[str, float]:
    shares: dict[str, float] = {}
    for part in model.parts[panel]:
        shares[part.ply] = shares.get(part.ply, 0.0) + part.axial_share
    return shares
