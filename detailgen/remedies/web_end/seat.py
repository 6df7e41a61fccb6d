"""Where covers would lie on the faces of a web and its chord: which face stands back, where the web is clear of the chord, what is in the way."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from detailgen.model.assessment import Floats
from detailgen.model.member import Member, Ply
from detailgen.model.project import Truss
from detailgen.remedies.web_end import parameters as p
from detailgen.remedies.web_end.site import End, lapping


@dataclass(frozen=True)
class Seat:
    """Faces under a cover, in the axes of the end. ``low`` and ``high``: z of the chord's outer faces, on which it lies; ``recess``: how far the
    web's faces stand back from them (0: flush). Beyond ``free`` the web's whole depth is clear of the chord; ``tail``: it reaches into the chord.
    """

    chord: Member
    angle: float  # of the chord's axis
    low: float
    high: float
    recess: float
    free: float
    tail: bool
    length: float  # of the web, to the clear side of what stands at its other joint

    @property
    def depth(self) -> float:
        return max(q.depth for q in self.chord.plies)

    def across(self, x: float, y: float) -> float:
        """Distance of a place from the chord's axis, with its sign."""
        return y * math.cos(self.angle) - x * math.sin(self.angle)


def _half_reach(depth: float, half: float, angle: float) -> float:
    """Along a web from a joint to where its whole depth is clear of a chord (in)."""
    return (depth / 2 + half * abs(math.cos(angle))) / max(abs(math.sin(angle)), 0.1)


def seat_of(truss: Truss, end: End) -> Seat | str:
    """The seat of covers, or why there is none."""
    chords = {m.name: m for m, _ in lapping(truss, end)}
    if len(chords) != 1:
        return f"{len(chords)} chords meet here: covers are offered where a web meets one"
    if len(end.web.plies) != 1:
        return f"the web has {len(end.web.plies)} plies outside the chord: a cover on them would hang free of the chord's faces"
    (chord,), ply = chords.values(), end.web.plies[0]
    low, high = min(_low(q) for q in chord.plies), max(_high(q) for q in chord.plies)
    behind = sorted((high - _high(ply), _low(ply) - low))
    if behind[0] < -p.FLUSH:
        return "the web's face stands out over the chord's: a cover on both faces finds no common face"
    if behind[1] - behind[0] > p.FLUSH:
        return "the web stands out of the chord's middle: covers on its two faces would not share its force alike"
    recess = behind[0] if behind[0] > p.FLUSH else 0.0
    if 0.0 < recess < p.LEAST_PAD:
        return f"the web's faces stand back {recess:.3g} in. from the chord's, too little for a pad that holds bolts"
    angle, half = end.chord_angle(truss, chord), ply.depth / 2
    free = _half_reach(max(q.depth for q in chord.plies), half, angle)
    other = next(j for j in end.web.joints if j != end.joint)
    there = next((m for m in truss.members if m.kind != "web" and other in m.joints), chord)
    length = math.dist(*(truss.joints[j] for j in end.web.joints)) - _half_reach(max(q.depth for q in there.plies), half, angle)
    tail = end.connection.end > -free + half * abs(math.cos(angle))
    return Seat(chord, angle, low, high, recess, free, tail, length)


def _low(ply: Ply) -> float:
    return ply.z - ply.thickness / 2


def _high(ply: Ply) -> float:
    return ply.z + ply.thickness / 2


def in_the_way(end: End, seat: Seat, boxes: Sequence[tuple[Floats, float, float]], cover: Floats) -> str:
    """What stands where new parts would lie ("" for nothing). boxes: outline and z of each; cover: outline of those on the chord's faces."""
    for outline, low, high in boxes:
        for region in end.barred:
            if region.z[0] < high - 1e-6 and region.z[1] > low + 1e-6 and _overlap(outline, region.corners):
                return region.what
    for bolt in end.old:
        if bolt.of != end.web.name and _overlap(cover, _about(bolt.x, bolt.y, 1.5 * bolt.diameter)):
            return f"an old bolt of {bolt.of}"
    return ""


def _about(x: float, y: float, half: float) -> Floats:
    return np.array([(x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half)])


def _overlap(a: Floats, b: Floats) -> bool:
    """Do two convex outlines share more than a border?"""
    for one, other in ((a, b), (b, a)):
        ways = np.roll(one, -1, axis=0) - one
        for normal in np.column_stack([ways[:, 1], -ways[:, 0]]):
            if float((one @ normal).max()) <= float((other @ normal).min()) + 1e-6:
                return False
    return True
