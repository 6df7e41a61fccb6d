"""A timber beside a chord, bolted to its face: how much of its stiffness counts, between two bounds. Statics; no document.

Both bend about one axis, so nothing slides along between them: what couples them is the bolts' stiffness at right angles to the chord. Chord and
timber with their ends together and a half wave between: the timber of stiffness EI on bolts of k per length bends with the chord by the part
``coupled`` of EI. Along the chord the bolts of both ends are springs in line with the timber. The greatest part of its stiffness counts where it
is asked what it and its bolts must carry, the least part where it is asked what is left for the chord.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from detailgen.core.clause import Number
from detailgen.model.added import SideMember
from detailgen.model.member import Wood

NOTHING = 1e-6
"""Part of its stiffness along the chord that is left in the frame where none counts: none at all would be no element."""


def coupled(EI: Number, k: Number, length: Number) -> Number:
    """Part of its bending stiffness with which a timber on bolts follows the chord: 1 where they do not give way.

    EI: lb-in2
    k: stiffness of the bolts at right angles to the chord, lb/in per in
    length: in
    """
    return 1 / (1 + EI * (math.pi / length) ** 4 / k)


def held_by_its_ends(EA: Number, slip: Number, length: Number) -> Number:
    """EA (lb) of a timber with the bolts of each end (``slip``, lb/in) as springs in line with it."""
    return 1 / (1 / EA + 2 / (slip * length))


def elements_of(beside: SideMember, modulus: Callable[[Wood, float, float], float]) -> tuple[float, float, float]:
    """E (psi), A (in2) and I (in4) of all timbers beside a chord that count at its bound."""
    count, length = len(beside.sides), beside.length
    E = modulus(beside.wood, beside.thickness, beside.depth)
    EA, EI = count * E * beside.thickness * beside.depth, count * E * beside.thickness * beside.depth**3 / 12
    if beside.tight:
        return E, float(held_by_its_ends(EA, count * beside.slip, length)) / E, EI / E
    along = float(held_by_its_ends(EA, count * beside.least_slip, length)) if beside.least_slip > 0 else NOTHING * EA
    return E, along / E, EI * float(coupled(EI, count * beside.across, length)) / E
