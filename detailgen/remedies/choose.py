"""Which set of repairs a truss gets: the least stated cost of those that bring everything to 1.0 or below, in service and in each stage of the work.

A set is what the walk round the loop makes of the remedies that it may ask. The first set asks all of them; every other one leaves out a
remedy, or one site of it, that another could have stood in for. The best set so far is varied next, so that what is left out together is
found too; after ``SETS`` sets the search ends and says so.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import cast

from detailgen import remedies
from detailgen.core.clause import Cite
from detailgen.core.discovery import discover
from detailgen.core.result import cannot_be_checked
from detailgen.core.tolerance import at_most
from detailgen.core.units import UnitSystem
from detailgen.model.assessment import Place, StagedWork, TrussAssessment
from detailgen.model.package import Refusal
from detailgen.model.project import Truss
from detailgen.remedies.contract import Heals, Job, Remedy, Repair, Solved
from detailgen.remedies.cost import effort_of_all, effort_of_repair, weights_of
from detailgen.remedies.loop import Answered, Plan, Wanted, mends, walk

SETS = 12
"""How many sets are looked at for one truss."""
STAGED = 3
"""How many sets that pass in service are followed through the stages of the work, the cheapest first."""
TOLD = 3
"""How many of the sets that lost are told, the best first."""
OPEN = 6
"""How many places that stay over 1.0 are named."""
HOUSE = Cite("house rule", "a repair is dimensioned for the structure that it is part of")
FORBID, FORCE = "forbid repair", "force repair"
"""Items of a truss's overrides: a remedy or the key of one repair that is not wanted; a remedy that comes before all others."""


@dataclass(frozen=True)
class _Set:
    """A set of repairs that was looked at: what was left out for it, and how good it is (less is better)."""

    plan: Plan
    barred: frozenset[str]
    passes: bool
    cost: float
    number: int  # in the order in which they were looked at

    @property
    def rank(self) -> tuple[bool, float, int]:
        """What passes comes first, then the lesser cost; of equals, and of those that do not pass, the first."""
        return not self.passes, self.cost if self.passes else 0.0, self.number


def all_remedies() -> dict[str, Remedy]:
    """The remedies that are installed, by key."""
    return cast("dict[str, Remedy]", discover(remedies, "REMEDY"))


def plan(job: Job, before: TrussAssessment) -> Plan:
    """Decide the repairs of one truss."""
    known = all_remedies()
    truss, units = before.truss, job.project.units
    weights, wrong = weights_of(truss)
    barred, forced, told = _wishes(truss, known)
    sets, left = _search(job, before, Wanted(known, barred, forced), weights)
    first = sets[0].plan
    refused = [Refusal(f"{truss.mark}-choice", "choice", truss.mark, text) for text in (wrong, *told) if text]
    kinds = {r.intervention.remedy for r in first.repairs}
    unmet = [key for key in sorted(forced) if key not in kinds and not any(r.remedy == key for r in first.refusals)]
    refused += [Refusal(f"{truss.mark}-{key}", key, truss.mark, f"'{FORCE}' names it, but nothing here asks for it") for key in unmet]
    ranked, failed = _in_stages(job, sorted(sets, key=lambda s: s.rank))
    best = ranked[0].plan
    others = list(dict.fromkeys(_lost(best, s.plan, weights, units, failed.get(s.number, "")) for s in ranked[1:] if _keys(s.plan) != _keys(best)))
    if len(others) > TOLD:
        others[TOLD:] = [f"{len(others) - TOLD} more sets of repairs were looked at, none of them better"]
    if left:
        others.append(f"after {SETS} sets of repairs the search was ended: {left} more could have been looked at")
    repairs = tuple(_stated(r, weights, units, tuple(others) if not k else ()) for k, r in enumerate(best.repairs))
    if repairs and not best.settled:
        repairs = (_unsettled(repairs[0], best.rounds), *repairs[1:])
    return replace(best, repairs=repairs, refusals=(*best.refusals, *_unsolved(truss, best, known), *refused))


def _unsettled(repair: Repair, rounds: int) -> Repair:
    """Sizes that were found with the forces of another round prove nothing: the truss does not pass with them."""
    missing = f"sizes still moved after {rounds} rounds of solving and dimensioning: what they were found for is not what stands now"
    told = cannot_be_checked(f"repairs of truss {repair.site.truss}", "sizes that stand still", missing, HOUSE)
    return replace(repair, results=(*repair.results, told))


def _unsolved(truss: Truss, best: Plan, known: Mapping[str, Remedy]) -> list[Refusal]:
    """What stays over 1.0 and no reason of a remedy speaks for: what nobody has asked for, and what is not enough although it was done."""

    def among(places: Iterable[tuple[str, str]], p: Place) -> bool:
        """A place by name; of a member without one, along it; a heel is more than one place at its joint."""
        return any(
            (p.joint in place.split() if place else p.kind == "member" and re.search(rf"\b{re.escape(member)}\b", p.name)) or place == p.name
            for member, place in places
        )

    over = [p for p in best.solved.assessed.failing if not among(best.refused_at, p)] if not best.no_path else []
    unasked, done = ([p for p in over if among(best.asked, p) is was] for was in (False, True))
    names = ", ".join(r.title.lower() for r in known.values()) or "none"
    texts = [f"no remedy asks for {_named(unasked)}. Installed: {names}"] if unasked else []
    if done:
        texts.append(f"with the repairs in there stay over 1.0: {_named(done)}. No remedy asks for more: less load, or a repair by the engineer")
    return [Refusal(f"{truss.mark}-unsolved{n or ''}", "choice", truss.mark, text) for n, text in enumerate(texts)]


def _named(over: Sequence[Place]) -> str:
    told = [f"{p.name} at {p.worst.ratio:.2f} ({p.worst.check})" for p in over if p.worst is not None]
    told[OPEN:] = [f"{len(told) - OPEN} more places"] if len(told) > OPEN else []
    return "; ".join(told)


def _search(job: Job, before: TrussAssessment, wanted: Wanted, weights: Mapping[str, float]) -> tuple[list[_Set], int]:
    """The sets that were looked at, in that order, and how many more there were to look at."""
    answered = Answered(job)
    waiting: list[tuple[tuple[bool, float, int], int, frozenset[str]]] = [((False, 0.0, 0), 0, wanted.barred)]
    seen, met, sets = {wanted.barred}, set[tuple[str, ...]](), list[_Set]()
    while waiting and len(sets) < SETS:
        waiting.sort(key=lambda w: w[:2])
        barred = waiting.pop(0)[2]
        found = walk(answered, before, replace(wanted, barred=barred), tried=bool(sets))
        good = not found.no_path and found.settled and passing(found.solved, found.repairs)
        one = _Set(found, barred, good, effort_of_all(found.repairs).cost(weights), len(sets))
        sets.append(one)
        if _keys(found) in met or (sets[1:] and not good):
            continue  # it has been varied already; or less of it does not make it pass
        met.add(_keys(found))
        for less in _variations(one, wanted):
            if less not in seen:
                seen.add(less)
                waiting.append((one.rank, len(seen), less))
    return sets, len(waiting)


def _variations(one: _Set, wanted: Wanted) -> list[frozenset[str]]:
    """What to leave out besides: each remedy that another could have stood in for, then each single site of those that have several.

    Where a set does not pass, remedies that mend the same damage stand in for one another too; where it passes they are not asked, as what has to
    come out and be joined at both its ends is never less work than one joint.
    """
    contested = [(kind, key) for kind, key in one.plan.contested if kind not in wanted.forced]
    if not one.passes:
        healing = {k: mends(r) for k, r in wanted.known.items() if isinstance(r, Heals)}
        rivalled = {k for k, m in healing.items() if any(m & mends(r) for o, r in wanted.known.items() if o != k)} - wanted.forced
        contested += [(r.intervention.remedy, r.site.key) for r in one.plan.repairs if r.intervention.remedy in rivalled]
    kinds = list(dict.fromkeys(kind for kind, _ in contested))
    several = [key for kind, key in dict.fromkeys(contested) if sum(k == kind for k, _ in dict.fromkeys(contested)) > 1]
    return [one.barred | {name} for name in (*kinds, *several)]


def _keys(one: Plan) -> tuple[str, ...]:
    return tuple(sorted(r.site.key for r in one.repairs))


def _in_stages(job: Job, ranked: list[_Set]) -> tuple[list[_Set], dict[int, str]]:
    """The sets with those that fail in a stage behind those that do not, and what fails, by the set's number.

    Where one set alone passes there is nothing to choose, and the work is followed later; where all fail in a stage the first stays.
    """
    rivals: list[_Set] = []
    for one in ranked:
        if one.passes and all(_keys(one.plan) != _keys(r.plan) for r in rivals):
            rivals.append(one)
    failed: dict[int, str] = {}
    if len(rivals) < 2 or job.staged is None:
        return ranked, failed
    for one in rivals[:STAGED]:
        stressing = next((r.stressing for r in one.plan.repairs if r.stressing is not None), None)
        what = fails_in(job.staged(one.plan.solved, stressing))
        if not what:
            return [one, *(s for s in ranked if s is not one)], failed
        failed[one.number] = what
    return ranked, failed


def fails_in(work: StagedWork) -> str:
    """The stage that fails worst, in words; "" where none does.

    As found the truss fails whatever is done to it: that says nothing; nor does work that cannot be followed from stage to stage.
    """
    later = [s for s in work.lines[1:] if math.isfinite(s.ratio) and not at_most(s.ratio, 1.0)]
    worst = max(later, key=lambda s: round(s.ratio, 6), default=None)
    return f"in the stage '{worst.title}' {worst.place} stands at {worst.ratio:.2f} ({worst.check})" if worst is not None else ""


def _stated(repair: Repair, weights: Mapping[str, float], units: UnitSystem, others: tuple[str, ...]) -> Repair:
    """A repair that says what it costs; the first one of a truss also tells of the sets that lost."""
    chosen = repair.intervention
    parameters = {**chosen.parameters, "stated cost": effort_of_repair(repair).words(weights, units)}
    return replace(repair, intervention=replace(chosen, parameters=parameters, runners_up=(*chosen.runners_up, *others)))


def passing(solved: Solved, repairs: Sequence[Repair]) -> bool:
    """Is everything at or under 1.0 as repaired?"""
    own = (r for repair in repairs for r in repair.results)
    return all(r.passes for r in (*own, *(r for _, r in solved.assessed.results())))


def _lost(winner: Plan, loser: Plan, weights: Mapping[str, float], units: UnitSystem, stage: str) -> str:
    """The other set and why it lost. stage: what fails in it while the work is done"""
    names = [r.intervention.title for r in loser.repairs if r.site.key not in {w.site.key for w in winner.repairs}]
    what = "; ".join(names) or "without the repairs that differ"
    if loser.no_path:
        return f"another set of repairs ({what}): {loser.no_path}"
    if not passing(loser.solved, loser.repairs):
        new = [r for r in loser.refusals if r.key not in {w.key for w in winner.refusals}]
        worst = loser.solved.assessed.worst
        stands = f"{worst[0].name} stays at {worst[1].ratio:.2f}" if worst else "it cannot be checked"
        return f"another set of repairs ({what}): {stands}" + (f"; {new[0].reason}" if new else "")
    if not loser.settled:
        return f"another set of repairs ({what}): its sizes still moved after {loser.rounds} rounds"
    costs = effort_of_all(loser.repairs).words(weights, units)
    if stage:
        return f"another set of repairs ({what}): {stage}; it costs {costs}"
    return f"another set of repairs ({what}): everything passes too, but it costs {costs}"


def _wishes(truss: Truss, known: Mapping[str, Remedy]) -> tuple[frozenset[str], frozenset[str], list[str]]:
    """Remedies and sites that the engineer forbids, remedies that he forces, and what is wrong with either."""
    barred, forced, wrong = set(), set(), []
    for override in truss.overrides:
        if override.item == FORBID:
            barred.add(override.value)
            if override.value not in known and not override.value.startswith(f"{truss.mark}-"):
                wrong.append(f"override '{FORBID}': found '{override.value}'; allowed: {', '.join(known)}, or the key of one repair of this truss")
        elif override.item == FORCE:
            if override.value in known:
                forced.add(override.value)
            else:
                wrong.append(f"override '{FORCE}': found '{override.value}'; allowed: {', '.join(known)}")
    return frozenset(barred), frozenset(forced), wrong


def hinged(truss: Truss) -> Truss | None:
    """The truss with its new splices as hinges; None where they leave a ply of the chord running through, so that it makes no difference."""
    new = [s for s in truss.splices if s.new]
    plies = {m.name: {p.name for p in m.plies} for m in truss.members}
    cut = [s for s in new if {o.ply for o in new if o.chord == s.chord and o.x == s.x} >= plies[s.chord]]
    if not cut:
        return None
    return replace(truss, splices=tuple(replace(s, behaviour="hinge") if s in cut else s for s in truss.splices))


def loose(truss: Truss) -> Truss | None:
    """The truss with the least that its side members may take; None where it has none."""
    return replace(truss, side_members=tuple(replace(s, tight=False) for s in truss.side_members)) if truss.side_members else None


def worse_of(fixed: Solved, hinge: Solved) -> Solved:
    """Forces of the fixed structure, every place with the results of both: the worse one governs."""

    def check(names: Sequence[str] | None) -> tuple[Place, ...]:
        others = {p.name: p.results for p in hinge.check(names)}
        return tuple(replace(p, results=(*p.results, *others.get(p.name, ()))) for p in fixed.check(names))

    return replace(fixed, check=check)
