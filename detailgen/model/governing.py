"""Which results of a structure are told: what governs each check, each kind of place, each part of a repair; and a structure without all others.

A truss has some twenty thousand results with their calculations. The tables hold every one of them; whatever else is written tells of these few.
"""

from __future__ import annotations

import math
import re
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import replace

from detailgen.core.clause import Calculation
from detailgen.core.result import CheckResult
from detailgen.core.tolerance import rounded
from detailgen.model.assessment import Assessed, Place
from detailgen.model.detail import Detail


def family(place: Place) -> str:
    """What kind of place: bottom chord, web, web connection, splice."""
    if place.kind not in ("member", "connection"):
        return place.kind  # splice, or the remedy of new parts
    name = place.name.split(f" {place.member}")[0]
    return name if place.kind == "member" else f"{name} {place.kind}"


def _strength(r: CheckResult) -> bool:
    """A check of force or stress, not of a distance or a slenderness."""
    return r.unit in ("lb", "psi", "in-lb") or (r.unit in ("-", "") and r.capacity == 1.0)


def worst(results: Iterable[CheckResult]) -> CheckResult | None:
    """The largest ratio; what cannot be checked only if nothing else is there."""
    found = list(results)
    known = [r for r in found if not math.isnan(r.ratio)]
    return max(known, key=lambda r: rounded(r.ratio)) if known else next(iter(found), None)


def of_each_kind(places: Iterable[Place]) -> list[tuple[Place, CheckResult]]:
    """For each kind of place the result with the largest ratio; where that is a distance or a slenderness, the largest of strength as well."""
    found: dict[str, list[tuple[Place, CheckResult]]] = {}
    for place in places:
        known = [r for r in place.results if not math.isnan(r.ratio)]
        found.setdefault(family(place), []).extend((place, r) for r in known)
    out = []
    for pairs in found.values():
        if pairs:
            first = max(pairs, key=lambda pair: rounded(pair[1].ratio))
            out.append(first)
            strong = [pair for pair in pairs if _strength(pair[1])]
            if strong and not _strength(first[1]):
                out.append(max(strong, key=lambda pair: rounded(pair[1].ratio)))
    return out


def governing(results: Iterable[CheckResult]) -> list[CheckResult]:
    """Per place and check the combination with the largest ratio."""
    by_place: dict[tuple[str, str], list[CheckResult]] = {}
    for r in results:
        by_place.setdefault((r.where, r.check), []).append(r)
    return [w for group in by_place.values() if (w := worst(group)) is not None]


def belongs(place: Place, detail: Detail) -> bool:
    """Is this a place of the detail? Its name holds the detail's key."""
    return re.search(rf"{re.escape(detail.key)}(?!\d)", place.name) is not None


def others(places: Iterable[Place], details: Sequence[Detail]) -> list[Place]:
    """The places that belong to none of the details."""
    return [p for p in places if not any(belongs(p, d) for d in details)]


def results_of(detail: Detail, after: Assessed) -> tuple[CheckResult, ...]:
    """The detail's own results and those of its places in the repaired truss, each once."""
    found = {(r.where, r.check, r.combination): r for p in after.places if belongs(p, detail) for r in p.results}
    own = {(r.where, r.check, r.combination): r for r in detail.results}
    return tuple((found | own).values())


def told_detail(detail: Detail) -> Detail:
    """The detail with the results that govern its checks and no others, each with its own calculation."""
    return replace(detail, results=tuple(alone(r) for r in governing(detail.results)))


def alone(r: CheckResult) -> CheckResult:
    """The result with the calculation of its own combination and station."""
    return replace(r, calculation=r.calculation.at(r.entry), entry=0)


def told(assessed: Assessed, details: Sequence[Detail] = ()) -> Assessed:
    """The structure with the results that are told and no others; how many it had is kept.

    Of each check of a place stays what governs, of a check that cannot be made one result for each reason. Calculations, of the one
    combination and station, stay with what is printed line by line: the worst of all, what governs each kind of place, and all that governs a detail.
    """
    shown = [r for _, r in (*of_each_kind(assessed.places), *of_each_kind(others(assessed.places, details)))]
    shown += [r for d in details for r in governing(results_of(d, assessed))]
    shown += [assessed.worst[1]] if assessed.worst is not None else []
    printed = {id(r) for r in shown}
    blank = {status: Calculation(status=status) for status in {r.calculation.status for _, r in assessed.results()}}

    def plain(r: CheckResult) -> CheckResult:
        return alone(r) if id(r) in printed else replace(r, calculation=blank[r.calculation.status])

    def few(place: Place) -> Place:
        kept = _kept(place.results)
        return replace(place, results=tuple(plain(r) for r in place.results if id(r) in kept or id(r) in printed))

    return replace(assessed, places=tuple(few(p) for p in assessed.places), counted=assessed.count)


def _kept(results: Sequence[CheckResult]) -> set[int]:
    """Identities of the results of one place that anything but a table asks for."""
    groups: dict[Hashable, list[CheckResult]] = {}
    for r in results:
        groups.setdefault((r.where, r.check, r.unit, r.state, r.missing, r.table_status), []).append(r)
    # Where equals are told apart by their last digit or not: both ways of choosing the first find theirs.
    return {id(w) for group in groups.values() for w in (worst(group), max(group, key=lambda r: _rank(r.ratio)))}


def _rank(ratio: float) -> float:
    return -math.inf if math.isnan(ratio) else rounded(ratio)
