"""The walk round the loop: propose, solve the repaired structure, dimension, put the consequences back, until the rounded choices stand still."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import cast

from detailgen import remedies
from detailgen.core.discovery import discover
from detailgen.core.errors import InputError
from detailgen.core.tolerance import at_most, rounded
from detailgen.core.units import UnitSystem
from detailgen.model.assessment import Place, TrussAssessment
from detailgen.model.package import Refusal
from detailgen.model.project import Truss
from detailgen.remedies.contract import Heals, Job, Remedy, Repair, Site, Solved, Strengthens
from detailgen.remedies.cost import effort_of, effort_of_all, weights_of

ROUNDS = 16
FORBID, FORCE = "forbid repair", "force repair"
"""Items of a truss's overrides: a remedy or the key of one repair that is not wanted; a remedy that comes before all others."""
GROW_ONLY_FROM = 3
"""From this round on no size may shrink: without the rule a chain of consequences can go round for ever."""


@dataclass(frozen=True)
class Plan:
    """What was decided for one truss: repairs, refusals, the truss and its forces as repaired, and after how many rounds the sizes stood."""

    repairs: tuple[Repair, ...]
    refusals: tuple[Refusal, ...]
    solved: Solved
    rounds: int
    settled: bool
    no_path: str = ""  # why nothing can be said of the truss as repaired: it cannot stand without what was refused
    rivals: frozenset[str] = frozenset()  # remedies in it for which another could stand in


def all_remedies() -> dict[str, Remedy]:
    """The remedies that are installed, by key."""
    return cast("dict[str, Remedy]", discover(remedies, "REMEDY"))


def plan(job: Job, before: TrussAssessment) -> Plan:
    """Decide the repairs of one truss: the set with the least stated cost of those that bring everything to 1.0 or below."""
    known = all_remedies()
    weights, wrong = weights_of(before.truss)
    barred, forced, told = _wishes(before.truss, known)
    first = _walk(job, before, known, barred, forced)
    refused = [Refusal(f"{before.truss.mark}-choice", "choice", before.truss.mark, text) for text in (wrong, *told) if text]
    kinds = {r.intervention.remedy for r in first.repairs}
    unmet = [key for key in sorted(forced) if key not in kinds and not any(r.remedy == key for r in first.refusals)]
    refused += [Refusal(f"{before.truss.mark}-{key}", key, before.truss.mark, f"'{FORCE}' names it, but nothing here asks for it") for key in unmet]
    best, others = first, []
    for kind in sorted(first.rivals):
        other = _walk(job, before, known, barred | {kind}, forced) if kind not in forced else None
        if other is None:
            continue
        winner, loser = _better(best, other, weights)
        others.append(_lost(winner, loser, weights, job.project.units))
        best = winner
    repairs = tuple(_stated(r, weights, job.project.units, tuple(dict.fromkeys(others)) if not k else ()) for k, r in enumerate(best.repairs))
    return replace(best, repairs=repairs, refusals=(*best.refusals, *refused))


def _stated(repair: Repair, weights: Mapping[str, float], units: UnitSystem, others: tuple[str, ...]) -> Repair:
    """A repair that says what it costs; the first one of a truss also tells of the sets that lost."""
    chosen = repair.intervention
    parameters = {**chosen.parameters, "stated cost": effort_of(repair.detail).words(weights, units)}
    return replace(repair, intervention=replace(chosen, parameters=parameters, runners_up=(*chosen.runners_up, *others)))


def passing(solved: Solved, repairs: Sequence[Repair]) -> bool:
    """Is everything at or under 1.0 as repaired?"""
    own = (r for repair in repairs for r in repair.results)
    return all(r.passes for r in (*own, *(r for _, r in solved.assessed.results())))


def _better(one: Plan, other: Plan, weights: Mapping[str, float]) -> tuple[Plan, Plan]:
    """What passes comes before what does not, then the lesser cost; of equals, and of two that do not pass, the first."""
    good = [not x.no_path and passing(x.solved, x.repairs) for x in (one, other)]
    if good[0] != good[1]:
        return (one, other) if good[0] else (other, one)
    costs = [effort_of_all(r.detail for r in x.repairs).cost(weights) for x in (one, other)]
    return (other, one) if all(good) and costs[1] < costs[0] else (one, other)


def _lost(winner: Plan, loser: Plan, weights: Mapping[str, float], units: UnitSystem) -> str:
    """The other set and why it lost."""
    names = [r.intervention.title for r in loser.repairs if r.site.key not in {w.site.key for w in winner.repairs}]
    what = "; ".join(names) or "without the repairs that differ"
    if loser.no_path:
        return f"another set of repairs ({what}): {loser.no_path}"
    if not passing(loser.solved, loser.repairs):
        new = [r for r in loser.refusals if r.key not in {w.key for w in winner.refusals}]
        worst = loser.solved.assessed.worst
        stands = f"{worst[0].name} stays at {worst[1].ratio:.2f}" if worst else "it cannot be checked"
        return f"another set of repairs ({what}): {stands}" + (f"; {new[0].reason}" if new else "")
    costs = effort_of_all(r.detail for r in loser.repairs).words(weights, units)
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


def _walk(job: Job, before: TrussAssessment, installed: dict[str, Remedy], barred: frozenset[str], forced: frozenset[str]) -> Plan:
    """Round the loop with the remedies that are not barred. A forced remedy bars those that mend the same kinds of damage or the same member."""
    mended = {kind for key in forced for kind in _mends(installed[key])}
    known = {k: r for k, r in installed.items() if k not in barred and (k in forced or not mended & _mends(r))}
    sites: list[tuple[Remedy, Site]] = []
    truss = before.truss
    for healing in (r for r in known.values() if isinstance(r, Heals)):
        for site in (s for s in healing.sites(job, before) if s.key not in barred):
            sites.append((healing, site))
            truss = healing.healed(truss, site)
    solved = job.solve(truss)
    rivals: set[str] = set()
    sites += _more(job, solved, known, sites, barred, forced, rivals)
    sizes: dict[str, dict[str, float]] = {}
    repairs: dict[str, Repair] = {}
    refusals: dict[str, Refusal] = {}
    limits: dict[str, float] = {}  # how much section the holes of a site may take, once they were found to take too much
    spent: set[str] = set()  # sites whose limit left no layout: the holes stay, and the truss is judged with them
    settled, rounds = not sites, 0
    while not settled and rounds < ROUNDS:
        rounds += 1
        repairs, refusals = {}, {}
        current = before.truss
        for remedy, site in sites:
            least = sizes.get(site.key, {}) if rounds >= GROW_ONLY_FROM else {}
            outcome = remedy.dimension(job, current, site, solved, least, limits.get(site.key, math.inf))
            if isinstance(outcome, Refusal) and limits.pop(site.key, None) is not None:
                spent.add(site.key)
                outcome = remedy.dimension(job, current, site, solved, {}, math.inf)
            if isinstance(outcome, Repair):
                repairs[site.key] = outcome
                current = outcome.truss
            else:
                refusals[site.key] = outcome
        chosen = {key: {name: rounded(v) for name, v in r.sizes.items()} for key, r in repairs.items()}
        settled = chosen == sizes
        sizes = chosen
        try:
            solved = job.solve(_all_in(before.truss, repairs))
        except InputError as error:
            more = _more_of_damage(job, solved, before, repairs, known, sites, barred)
            if not more:
                return _cannot_stand(error, solved, refusals, rounds)
            sites += more
            settled = False
            continue
        more = _more(job, solved, known, sites, barred, forced, rivals)
        sites += more
        settled = settled and not more
        for key, repair in repairs.items():
            if key not in spent and _weakened(solved, repair):
                limits[key] = repair.lost - 1e-6
                sizes.pop(key)
                settled = False
    replaceable = frozenset(rivals) & {r.intervention.remedy for r in repairs.values()}
    return Plan(tuple(repairs.values()), tuple(refusals.values()), solved, rounds, settled, rivals=replaceable)


def _more_of_damage(
    job: Job, solved: Solved, before: TrussAssessment, repairs: dict[str, Repair], known: Mapping[str, Remedy], sites: Sequence[tuple[Remedy, Site]],
    barred: frozenset[str],
) -> list[tuple[Remedy, Site]]:  # fmt: skip
    """Sites that are not known yet in a truss that cannot stand: of remedies that mend damage, asked with the forces of the last that stood."""
    keys = {site.key for _, site in sites}
    broken = replace(solved, truss=_all_in(before.truss, repairs))
    mending = [r for r in known.values() if isinstance(r, Strengthens) and _mends(r)]
    return [(r, s) for r in mending for s in r.still_failing(job, broken) if s.key not in keys and s.key not in barred]


def _cannot_stand(error: InputError, solved: Solved, refusals: Mapping[str, Refusal], rounds: int) -> Plan:
    """What is refused leaves a truss that cannot stand: no repair of it is drawn, and no number of it is passed on."""
    why = error.problems[0].found.removeprefix("an intact truss that cannot stand: ")
    return Plan((), tuple(refusals.values()), solved, rounds, True, f"with what was refused the truss cannot stand: {why}")


def _mends(remedy: Remedy) -> frozenset[str]:
    return frozenset(getattr(remedy, "mends", ()))


def _more(
    job: Job, solved: Solved, known: Mapping[str, Remedy], sites: Sequence[tuple[Remedy, Site]], barred: frozenset[str], forced: frozenset[str],
    rivals: set[str],
) -> list[tuple[Remedy, Site]]:  # fmt: skip
    """Sites that are not known yet, of remedies for what is sound but too weak.

    Where several remedies ask for one member the one with the lower ``order`` goes first (a forced one before all): what it does may be
    enough. The others are asked again next round, and ``rivals`` remembers whom they could have stood in for.
    """
    keys = {site.key for _, site in sites}
    asked = [(r, s) for r in known.values() if isinstance(r, Strengthens) for s in r.still_failing(job, solved)]
    new = [(r, s) for r, s in asked if s.key not in keys and s.key not in barred]
    taken: list[tuple[Remedy, Site]] = []
    for remedy, site in new:
        order = {r.key: (bool(s.lacks), r.key not in forced, getattr(r, "order", 50)) for r, s in new if s.member == site.member}
        first = min(order, key=lambda k: order[k])
        if remedy.key == first:
            taken.append((remedy, site))
        elif not site.lacks:
            rivals.add(first)
    # Damage that is not made good yet is no state to strengthen other members by.
    return [(r, s) for r, s in taken if _mends(r)] or taken


def _weakened(solved: Solved, repair: Repair) -> bool:
    """Does the chord that runs through fail beside this repair, where its holes are?"""
    return any(p.worst is not None and not at_most(p.worst.ratio, 1.0) for p in solved.check([repair.place]))


def hinged(truss: Truss) -> Truss | None:
    """The truss with its new splices as hinges; None where they leave a ply of the chord running through, so that it makes no difference."""
    new = [s for s in truss.splices if s.new]
    plies = {m.name: {p.name for p in m.plies} for m in truss.members}
    cut = [s for s in new if {o.ply for o in new if o.chord == s.chord and o.x == s.x} >= plies[s.chord]]
    if not cut:
        return None
    return replace(truss, splices=tuple(replace(s, behaviour="hinge") if s in cut else s for s in truss.splices))


def worse_of(fixed: Solved, hinge: Solved) -> Solved:
    """Forces of the fixed structure, every place with the results of both: the worse one governs."""

    def check(names: Sequence[str] | None) -> tuple[Place, ...]:
        others = {p.name: p.results for p in hinge.check(names)}
        return tuple(replace(p, results=(*p.results, *others.get(p.name, ()))) for p in fixed.check(names))

    return replace(fixed, check=check)


def _all_in(truss: Truss, repairs: dict[str, Repair]) -> Truss:
    """The truss with every repair in: each repair was made on the truss with the earlier ones in, so the last one holds all."""
    return list(repairs.values())[-1].truss if repairs else truss
