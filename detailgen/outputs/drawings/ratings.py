"""Which number is lettered where: the worst ratio of every member between joints, bolted end and splice."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from detailgen.core.result import State
from detailgen.core.tolerance import at_most
from detailgen.model.assessment import Assessed, Place, TrussAssessment
from detailgen.model.member import Member
from detailgen.model.project import Truss

Pair = tuple[str, str]


@dataclass(frozen=True)
class Rating:
    """The worst ratio (nan: none could be computed) and whether some checks of the place could not be made."""

    ratio: float
    gaps: bool

    @property
    def checked(self) -> bool:
        return not math.isnan(self.ratio)

    @property
    def over(self) -> bool:
        return self.checked and not at_most(self.ratio, 1.0)


NOT_CHECKED = Rating(math.nan, True)


@dataclass(frozen=True)
class Ratings:
    """By pair of joints, by pair and joint, by splice. ``of_intact``: nothing can be said as found, the numbers are those of the intact truss."""

    members: dict[Pair, Rating]
    ends: dict[tuple[Pair, str], Rating]
    splices: dict[str, Rating]
    of_intact: bool

    def member(self, pair: Pair) -> Rating:
        return self.members.get(pair, NOT_CHECKED)


NO_RATINGS = Ratings({}, {}, {}, False)
"""Of a view that letters none."""


def panels(member: Member) -> tuple[Pair, ...]:
    """Pairs of neighbouring joints of a member."""
    return tuple(zip(member.joints[:-1], member.joints[1:], strict=True))


def _rate(places: Iterable[Place]) -> Rating:
    results = [r for p in places for r in p.results]
    ratios = [r.ratio for r in results if not math.isnan(r.ratio)]
    return Rating(max(ratios, default=math.nan), any(r.state is State.CANNOT_BE_CHECKED for r in results))


def _pair_names(truss: Truss) -> dict[str, Pair]:
    """Every way in which a member between two joints may be named."""
    names: dict[str, Pair] = {}
    for member in truss.members:
        for a, b in panels(member):
            names[f"{a}-{b}"] = names[f"{b}-{a}"] = (a, b)
        if len(member.joints) == 2:
            names[member.name] = panels(member)[0]
    return names


def rate(assessment: TrussAssessment) -> Ratings:
    """The worst ratios as found, or of the intact truss where there is no safe load path as found.

    Raises: ValueError for a place that the truss does not have
    """
    of_intact = bool(assessment.as_found.no_safe_load_path)
    return rate_structure(assessment.truss, assessment.intact if of_intact else assessment.as_found, of_intact=of_intact)


def rate_structure(truss: Truss, assessed: Assessed, *, of_intact: bool = False) -> Ratings:
    """The worst ratios of one structure of a truss.

    Raises: ValueError for a place that the truss does not have
    """
    names = _pair_names(truss)
    members: dict[Pair, list[Place]] = {}
    ends: dict[tuple[Pair, str], list[Place]] = {}
    splices: dict[str, list[Place]] = {}
    for place in assessed.places:
        if place.kind not in ("member", "connection"):
            splices.setdefault(place.joint, []).append(place)
            continue
        if place.member not in names:
            raise ValueError(f"truss {truss.mark}: a check of {place.member}, which is no member between two joints")
        pair = names[place.member]
        if place.kind == "member":
            members.setdefault(pair, []).append(place)
        else:
            ends.setdefault((pair, place.joint), []).append(place)
    return Ratings(
        {k: _rate(v) for k, v in members.items()}, {k: _rate(v) for k, v in ends.items()}, {k: _rate(v) for k, v in splices.items()}, of_intact
    )
