"""Ties from a bracket inboard of a heel to the end plate there: threaded rods, two on each face, over and under the strands.

Strands pull a bracket away from its heel, toward the other end. Whatever brings their force to the chord's end is therefore pulled: a strut
that only bears would fall out. What a tie stretches by the bracket moves.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from detailgen.core.result import CheckResult
from detailgen.core.tolerance import at_most, rounded, rounded_length
from detailgen.model.project import Stressing
from detailgen.remedies.contract import Anchorage
from detailgen.remedies.posttension import parameters as p
from detailgen.remedies.posttension.heel import Pushed
from detailgen.remedies.posttension.stressing import Wood
from detailgen.standards.anchorage import PartLoad, Rod, Strand

MODULUS = 29.0e6
"""Modulus of the rods (psi; AISC 360-16 glossary of symbols)."""
FACES = 2


@dataclass(frozen=True)
class Ties:
    """Rods alike: size, heights from the chord's axis, length between the faces that nuts bear on, and what was checked."""

    size: p.TieSize
    heights: tuple[float, float]
    between: float
    results: tuple[CheckResult, ...]

    @property
    def area(self) -> float:
        """Of the rods of one face, on the nominal diameter (in2)."""
        return len(self.heights) * self.size.area

    def stretch(self, force: float) -> float:
        """What the rods of one face grow (in) under the strands of that face (lb)."""
        return force * self.between / (MODULUS * self.area)


def smallest(anchorage: Anchorage, pushed: Pushed) -> tuple[p.TieSize, tuple[CheckResult, ...]] | str:
    """The thinnest rods that hold what all strands pull (lb), each face half of it, each rod half of a face's; why none do, if none do."""
    load = PartLoad("each tie of the bracket", pushed.force / (2 * FACES), pushed.combinations, "strands")
    results: tuple[CheckResult, ...] = ()
    for size in p.TIES:
        results = tuple(anchorage.parts.rod_checks(Rod(p.TIE_KIND, size.diameter), load))
        if results and all(at_most(r.ratio, 1.0) for r in results):
            return size, results
    worst = max(results, key=lambda r: rounded(r.ratio))
    return f"ties of {p.TIES[-1].diameter:g} in. are not enough: {worst.ratio:.2f} in tension"


def apart(jack_diameter: float, size: p.TieSize) -> float:
    """From the outermost strand to the tie beyond it (in): the jack stands between the ties."""
    return rounded_length(jack_diameter / 2 + size.diameter / 2 + p.JACK_PLAY)


def stiffness(strand_area: float, strand: Strand, strands: float, whole: float, ties: Ties) -> float:
    """Area (in2) of one straight piece of strand, ``whole`` long, that gives as much as strands over ``strands`` (in) and the ties of both faces
    behind one another: the frame knows strands as one member from end plate to end plate."""
    return whole / (strands / strand_area + ties.between * strand.modulus / (MODULUS * FACES * ties.area))


def chord_as_felt(wood: Wood, tools: Stressing, strands: float, whole: float, shared: Ties | None) -> tuple[Wood, Stressing]:
    """Chord, shrinkage and warming as strands feel them that are shorter than the chord that they squeeze: what the chord gives over its ``whole``
    length (in) strands lose over ``strands`` (in).

    ``shared``: ties that several strands of a face pull at; what these give then counts as if the chord gave it, to all strands (safe side).
    """
    gives = whole / (wood.modulus * wood.area) + (shared.between / (MODULUS * shared.area) if shared is not None else 0.0)
    more = whole / strands
    return replace(wood, area=strands / (wood.modulus * gives)), replace(tools, shrinkage=tools.shrinkage * more, warming=tools.warming * more)
