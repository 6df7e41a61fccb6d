"""From a surveyed truss to the frame that is solved: intact, or as found with its damage in.

Chords run through the panel points; webs are pinned. A curved top chord is followed by straight pieces on its true curve;
the heel's bearing point carries the chords on rigid arms, so that an offset of the bearing makes its moment.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from detailgen.analysis.beside import elements_of
from detailgen.analysis.layers import layered
from detailgen.loads.purlins import purlin_places
from detailgen.model.added import SideMember, Splice, Strands
from detailgen.model.frame import FrameModel, Part
from detailgen.model.member import Damage, Member, Ply, Wood
from detailgen.model.project import Truss
from detailgen.model.structure import Structure

PIECES = 4
"""Pieces of a top-chord panel: four on the true curve keep the moment of the thrust within one percent."""
SAME_PLACE = 1.0
"""Cuts of several plies closer than this (in) are one joint of the chord (ours)."""

SENSES = {"both": 0, "tension": 1, "compression": -1}
"""What a member carries, as the structure's sense of its elements."""

Modulus = Callable[[Wood, float, float], float]


def panels(member: Member) -> tuple[tuple[str, str], ...]:
    """Pairs of neighbouring joints of a member."""
    return tuple(zip(member.joints[:-1], member.joints[1:], strict=True))


def panel_name(pair: tuple[str, str]) -> str:
    return f"{pair[0]}-{pair[1]}"


def joint_places(truss: Truss, *, damaged: bool) -> dict[str, tuple[float, float]]:
    """Joint coordinates (in); a surveyed sag lowers the damaged truss along a parabola."""
    sag = sum(d.amount for d in truss.damage if d.kind == "sag") if damaged else 0.0
    return {j: (x, y - sag * 4 * x * (truss.span - x) / truss.span**2) for j, (x, y) in truss.joints.items()}


def broken_in(damage: Damage, member: Member, ply: Ply, pair: tuple[str, str], truss: Truss) -> bool:
    """Does this break take the ply out of this panel?"""
    if damage.kind != "break" or damage.member != member.name or damage.ply not in ("", ply.name):
        return False
    if member.kind == "web":
        return True
    low, high = (truss.joints[j][0] for j in pair)
    return damage.at + damage.length / 2 > low and damage.at - damage.length / 2 < high


def spliced(truss: Truss, member: Member, pair: tuple[str, str]) -> list[Splice]:
    """New splices of a chord in one panel."""
    low, high = (truss.joints[j][0] for j in pair)
    return [s for s in truss.splices if s.new and s.chord == member.name and low <= s.x < high]


def left_by_slip(truss: Truss, member: Member, pair: tuple[str, str], ply: Ply, E: float) -> float:
    """Axial stiffness of a ply over a panel as a share of its stiffness without splices: a splice's slip is a spring in line with it."""
    length = math.dist(*(truss.joints[j] for j in pair))
    own = E * ply.thickness * ply.depth / length
    springs = [s.slip for s in spliced(truss, member, pair) if s.ply == ply.name and s.slip > 0]
    return 1 / (1 + sum(own / k for k in springs))


def modulus_over(truss: Truss, member: Member, pair: tuple[str, str], ply: Ply, modulus: Modulus) -> float:
    """E (psi) of a ply over a panel: old wood and new pieces of another wood one after another, like springs in line."""
    own = modulus(ply.wood, ply.thickness, ply.depth)
    low, high = (truss.joints[j][0] for j in pair)
    left, soft = high - low, 0.0
    for piece in truss.pieces:
        within = min(piece.end, high) - max(piece.start, low)
        if piece.wood is not None and (piece.chord, piece.ply) == (member.name, ply.name) and within > 0:
            left -= within
            soft += within / modulus(piece.wood, ply.thickness, ply.depth)
    return (high - low) / (soft + left / own) if soft else own


@dataclass(frozen=True)
class _Share:
    """A ply, or a layer of one, with the stiffness that it brings: axial (lb), bending (lb-in2), and axial force per curvature (lb-in)."""

    ply: Ply
    layer: int
    depth: float
    axial: float
    bending: float
    pulls: float
    together: float  # bending stiffness of the whole ply that it counts to
    broken: bool
    braced: float = 1.0


def _shares(truss: Truss, member: Member, pair: tuple[str, str], modulus: Modulus, *, damaged: bool) -> list[_Share]:
    found = []
    length = math.dist(*(truss.joints[j] for j in pair))
    for ply in member.plies:
        E = modulus_over(truss, member, pair, ply, modulus)
        broken = damaged and any(broken_in(d, member, ply, pair, truss) for d in truss.damage)
        carries = 0.0 if broken else 1.0
        stiff = E * left_by_slip(truss, member, pair, ply, E) * carries
        if not ply.layers or ply.composite == "full":
            own = E * ply.thickness * ply.depth**3 / 12 * carries
            found.append(_Share(ply, -1, ply.depth, stiff * ply.thickness * ply.depth, own, 0.0, own, broken))
        elif ply.composite == "partial":
            stack = layered(E, ply.thickness, ply.layers, ply.joint, length)
            inertia = stack.stiffness / E
            for k, depth in enumerate(ply.layers):
                held = math.sqrt(depth**2 / 12 * ply.thickness * ply.depth / inertia)
                bends, pulls = (float(v[k]) * stack.stiffness * carries for v in (stack.bends, stack.pulls))
                together = stack.stiffness * carries / len(ply.layers)
                found.append(_Share(ply, k, depth, stiff * ply.thickness * depth, bends, pulls, together, broken, held))
        else:
            for k, depth in enumerate(ply.layers):
                own = E * ply.thickness * depth**3 / 12 * carries
                layer = -1 if len(ply.layers) == 1 else k
                found.append(_Share(ply, layer, depth, stiff * ply.thickness * depth, own, 0.0, own, broken))
    return found


def parts_of(truss: Truss, member: Member, pair: tuple[str, str], modulus: Modulus, *, damaged: bool) -> tuple[Part, ...]:
    """Plies (or layers) of a member over one panel with their shares by axial and bending stiffness; broken ones take none."""
    found = _shares(truss, member, pair, modulus, damaged=damaged)
    all_axial, all_bending = sum(s.axial for s in found) or 1.0, sum(s.together for s in found) or 1.0
    return tuple(
        Part(s.ply.name, s.layer, s.ply.thickness, s.depth, s.axial / all_axial, s.bending / all_bending, s.broken, s.pulls / all_bending, s.braced)
        for s in found
    )


def by_ply(truss: Truss, member: Member, pair: tuple[str, str], modulus: Modulus, *, damaged: bool) -> dict[str, tuple[float, float]]:
    """Axial (lb) and bending stiffness (lb-in2) that each ply brings over one panel; nothing for one that is broken there."""
    found: dict[str, tuple[float, float]] = {}
    for share in _shares(truss, member, pair, modulus, damaged=damaged):
        axial, bending = found.get(share.ply.name, (0.0, 0.0))
        found[share.ply.name] = (axial + share.axial, bending + share.together)
    return found


def section(truss: Truss, member: Member, pair: tuple[str, str], modulus: Modulus, *, damaged: bool) -> tuple[float, float, float, float]:
    """E (psi) of the first ply, transformed A (in2) and I (in4) of what still carries, and the wood area that weighs (in2)."""
    first = member.plies[0]
    E = modulus(first.wood, first.thickness, first.depth)
    found = _shares(truss, member, pair, modulus, damaged=damaged)
    area, inertia = sum(s.axial for s in found) / E, sum(s.together for s in found) / E
    return E, area, inertia, sum(p.thickness * p.depth for p in member.plies)


def cuts(truss: Truss, chord: str) -> tuple[tuple[float, float], ...]:
    """Places of a chord where every ply is cut or a splice says how it turns: (x, rotational stiffness)."""
    plies = {p.name for p in truss.member(chord).plies}
    found: list[tuple[float, float]] = []
    splices = [s for s in truss.splices if s.chord == chord]
    for splice in splices:
        together = {s.ply for s in splices if abs(s.x - splice.x) <= SAME_PLACE}
        stiffness = _turning(splice, every_ply_cut=together >= plies)
        if stiffness is not None and not any(abs(x - splice.x) <= SAME_PLACE for x, _ in found):
            found.append((splice.x, stiffness))
    return tuple(sorted(found))


def _turning(splice: Splice, *, every_ply_cut: bool) -> float | None:
    """Rotational stiffness (in-lb/rad) at a splice; None where the chord runs on."""
    if splice.behaviour == "semi-rigid":
        return splice.stiffness
    if splice.behaviour == "hinge" and every_ply_cut:
        return 0.0
    return None


@dataclass(frozen=True)
class _Piece:
    """One element of the frame before it becomes a row of arrays."""

    ends: tuple[int, int]
    E_A_I: tuple[float, float, float]
    springs: tuple[float, float]
    member: str
    kind: str
    station: float
    xs: tuple[float, float]
    length: float
    wood_area: float
    added_weight: float
    active: bool
    sense: int = 0


@dataclass
class _Points:
    """Joints of the frame as they are found; a heel's joint is its bearing point, from which rigid arms reach the work point."""

    names: list[str]
    places: list[tuple[float, float]]
    arms: list[tuple[float, float]]

    @classmethod
    def of(cls, truss: Truss, places: dict[str, tuple[float, float]]) -> _Points:
        offsets = {s.joint: s.offset for s in truss.supports}
        arms = [(-offsets[j][0], -offsets[j][1]) if j in offsets else (0.0, 0.0) for j in places]
        bearing = [(x - dx, y - dy) for (x, y), (dx, dy) in zip(places.values(), arms, strict=True)]
        return cls(list(places), bearing, arms)

    def add(self, name: str, x: float, y: float) -> int:
        self.names.append(name)
        self.places.append((x, y))
        self.arms.append((0.0, 0.0))
        return len(self.names) - 1

    def axis(self, joint: int) -> tuple[float, float]:
        return self.places[joint][0] + self.arms[joint][0], self.places[joint][1] + self.arms[joint][1]


def build_frame(truss: Truss, modulus: Modulus, *, damaged: bool) -> FrameModel:
    """The frame of a truss.

    modulus: E (psi) of a wood at a measured size, from the wood standard
    damaged: False for the intact truss, True for the truss as found
    """
    places = joint_places(truss, damaged=damaged)
    points = _Points.of(truss, places)
    index = {name: k for k, name in enumerate(points.names)}
    pieces: list[_Piece] = []
    parts: dict[str, tuple[Part, ...]] = {}
    length: dict[str, float] = {}
    for member in truss.members:
        turning = cuts(truss, member.name)
        pairs = panels(member)
        for number, pair in enumerate(pairs):
            name = panel_name(pair)
            parts[name] = parts_of(truss, member, pair, modulus, damaged=damaged)
            alive = any(not p.broken for p in parts[name])
            *E_A_I, weighs = section(truss, member, pair, modulus, damaged=damaged)
            chain = [index[pair[0]], *_inner_joints(truss, member, pair, places, turning, points), index[pair[1]]]
            added = (
                *(s.weight for s in spliced(truss, member, pair)), *(s.weight for s in truss.sisters if s.member == member.name),
                *_lines_on(truss, member, pair),
                *(s.weight * s.share_in(*(truss.joints[j][0] for j in pair)) for s in truss.side_members if s.chord == member.name),
                *(c.weight for c in truss.connections if c.member == member.name and c.joint in pair), _share_of_strands(truss, member, pair),
            )  # fmt: skip
            extra = sum(added) / math.dist(*(places[j] for j in pair))
            along = 0.0
            for k, (i, j) in enumerate(itertools.pairwise(chain)):
                (x1, y1), (x2, y2) = points.axis(i), points.axis(j)
                reach = math.hypot(x2 - x1, y2 - y1)
                at_start, at_end = number == 0 and k == 0, number == len(pairs) - 1 and k == len(chain) - 2
                springs = _springs(member, at_start=at_start, at_end=at_end, end_x=x2, turning=turning)
                values = (E_A_I[0], E_A_I[1], E_A_I[2])
                sense = SENSES[member.carries]
                pieces.append(_Piece((i, j), values, springs, name, member.kind, along, (x1, x2), reach, weighs, extra, alive, sense))
                along += reach
            length[name] = along
        for beside in (s for s in truss.side_members if s.chord == member.name):
            found = _beside(beside, modulus, pieces, {panel_name(p) for p in pairs})
            length[beside.element] = sum(p.length for p in found)
            pieces += found
    if truss.strands is not None:
        pieces.append(_strand(truss.strands, truss.member(truss.strands.chord), index, points))

    fixed, ground = np.zeros((len(points.names), 3), dtype=bool), np.zeros((len(points.names), 3))
    for support in truss.supports:
        fixed[index[support.joint], :2] = (support.kind == "pin", True)
        ground[index[support.joint], 0] = support.thrust
    ends = np.array([p.ends for p in pieces], dtype=np.int64)
    offset = np.array(points.arms)[ends]
    if truss.strands is not None:
        offset[-1] += [[-truss.strands.overrun[0], truss.strands.height], [truss.strands.overrun[1], truss.strands.height]]
    senses = np.array([p.sense for p in pieces], dtype=np.int64)
    E_A_I_rows = np.array([p.E_A_I for p in pieces])
    structure = Structure(
        joint_names=tuple(points.names), joints=np.array(points.places), ends=ends,
        E=E_A_I_rows[:, 0], A=E_A_I_rows[:, 1], I=E_A_I_rows[:, 2], spring=np.array([p.springs for p in pieces]),
        offset=offset, fixed=fixed, member=tuple(p.member for p in pieces), station=np.array([p.station for p in pieces]),
        support_spring=ground if ground.any() else None, sense=senses if senses.any() else None,
    )  # fmt: skip
    xs = np.array([p.xs for p in pieces])
    return FrameModel(
        structure=structure, active=np.array([p.active for p in pieces]), kind=tuple(p.kind for p in pieces), start_x=xs[:, 0], end_x=xs[:, 1],
        length=np.array([p.length for p in pieces]), wood_area=np.array([p.wood_area for p in pieces]),
        added_weight=np.array([p.added_weight for p in pieces]), member_length=length, parts=parts,
    )  # fmt: skip


STRANDS = "strands"
"""The name of the strands' element, and its kind."""
SIDE = "side member"
"""The kind of the elements of timbers beside a chord."""
SAME = 1e-6


def _beside(beside: SideMember, modulus: Modulus, pieces: Sequence[_Piece], chord: Collection[str]) -> list[_Piece]:
    """Elements of a timber beside a chord, between the same joints as the chord's own."""
    inside = [p for p in pieces if p.member in chord and beside.start - SAME < p.xs[0] and p.xs[1] < beside.end + SAME]
    values = elements_of(beside, modulus)
    along = [0.0, *itertools.accumulate(p.length for p in inside)]
    return [
        replace(p, E_A_I=values, springs=(math.inf, math.inf), member=beside.element, kind=SIDE, station=at, wood_area=0.0, added_weight=0.0,
                active=True, sense=0)
        for p, at in zip(inside, along, strict=False)
    ]  # fmt: skip


def _lines_on(truss: Truss, member: Member, pair: tuple[str, str]) -> Iterator[float]:
    """Weights of the brace lines that lie on a member between two joints."""
    low, high = (truss.joints[j][0] for j in pair)
    yield from (x.weight for x in truss.lines if x.member == member.name and (member.kind == "web" or low <= x.station < high))


def _share_of_strands(truss: Truss, member: Member, pair: tuple[str, str]) -> float:
    """Weight (lb) of strands and their steel that hangs on one panel of their chord."""
    if truss.strands is None or truss.strands.chord != member.name:
        return 0.0
    return truss.strands.weight * abs(truss.joints[pair[1]][0] - truss.joints[pair[0]][0]) / truss.span


def _strand(strands: Strands, chord: Member, index: dict[str, int], points: _Points) -> _Piece:
    """All strands as one straight element between the anchors, on rigid arms from the heels; its weight hangs on the chord."""
    i, j = index[chord.joints[0]], index[chord.joints[-1]]
    (x1, y1), (x2, y2) = points.axis(i), points.axis(j)
    length = math.hypot(x2 + strands.overrun[1] - x1 + strands.overrun[0], y2 - y1)
    return _Piece((i, j), (strands.modulus, strands.area, 1.0), (0.0, 0.0), STRANDS, STRANDS, 0.0, (x1, x2), length, 0.0, 0.0, True)


def _inner_joints(
    truss: Truss, member: Member, pair: tuple[str, str], places: dict[str, tuple[float, float]],
    turning: tuple[tuple[float, float], ...], points: _Points,
) -> list[int]:  # fmt: skip
    """Joints of the frame between two panel points: on the curve of the top chord, and at splices of a chord."""
    if member.kind == "web":
        return []
    (x1, y1), (x2, y2) = places[pair[0]], places[pair[1]]
    wanted = {x1 + (x2 - x1) * k / PIECES for k in range(1, PIECES)} if member.kind == "top chord" else set()
    if member.kind == "top chord" and truss.purlins:
        wanted |= {x for x in map(float, purlin_places(truss)[1][1:-1]) if x1 < x < x2 and min(x - x1, x2 - x) > SAME_PLACE}
    spliced = {s.x for s in truss.splices if s.chord == member.name} | {x for x, _ in turning}
    wanted |= {x for x in spliced if x1 < x < x2 and min(x - x1, x2 - x) > SAME_PLACE}
    ends = {x for s in truss.side_members if s.chord == member.name for x in (s.start, s.end, *s.outer) if x1 < x < x2}
    wanted = {x for x in wanted if not any(abs(x - e) < SAME_PLACE for e in ends)} | ends
    arc = truss.arc if member.kind == "top chord" and truss.curved else None
    inner = []
    for count, x in enumerate(sorted(wanted), start=1):
        y = y1 + (y2 - y1) * (x - x1) / (x2 - x1)
        if arc is not None:
            surveyed = [arc.centre_y + math.sqrt(arc.radius**2 - (at - arc.centre_x) ** 2) for at in (x1, x, x2)]
            y += surveyed[1] - (surveyed[0] + (surveyed[2] - surveyed[0]) * (x - x1) / (x2 - x1))
        inner.append(points.add(f"{panel_name(pair)}.{count}", x, y))
    return inner


def _springs(
    member: Member, *, at_start: bool, at_end: bool, end_x: float, turning: tuple[tuple[float, float], ...],
) -> tuple[float, float]:  # fmt: skip
    """Rotational springs at a piece's two ends: webs are pinned, the top chord is pinned at the heels, a cut chord turns at its cut."""
    if member.kind == "web":
        return 0.0, 0.0
    pinned = member.kind == "top chord"
    start = 0.0 if pinned and at_start else math.inf
    end = 0.0 if pinned and at_end else math.inf
    for x, stiffness in turning:
        if abs(end_x - x) <= SAME_PLACE:
            end = stiffness
    return start, end
