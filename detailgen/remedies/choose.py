"""The walk round the loop: propose, solve the repaired structure, dimension, put the consequences back, until the rounded choices stand still."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import cast

from detailgen import remedies
from detailgen.core.discovery import discover
from detailgen.core.tolerance import at_most, rounded
from detailgen.model.assessment import Place, TrussAssessment
from detailgen.model.package import Refusal
from detailgen.model.project import Truss
from detailgen.remedies.contract import Job, Remedy, Repair, Site, Solved, Strengthens

ROUNDS = 16
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


def all_remedies() -> dict[str, Remedy]:
    """The remedies that are installed, by key."""
    return cast("dict[str, Remedy]", discover(remedies, "REMEDY"))


def plan(job: Job, before: TrussAssessment) -> Plan:
    """Decide the repairs of one truss."""
    known = all_remedies()
    sites: list[tuple[Remedy, Site]] = [(remedy, site) for remedy in known.values() for site in remedy.sites(job, before)]
    truss = before.truss
    for remedy, site in sites:
        truss = remedy.healed(truss, site)
    solved = job.solve(truss)
    sites += _more(job, solved, known, sites)
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
        solved = job.solve(_all_in(before.truss, repairs))
        more = _more(job, solved, known, sites)
        sites += more
        settled = settled and not more
        for key, repair in repairs.items():
            if key not in spent and _weakened(solved, repair):
                limits[key] = repair.lost - 1e-6
                sizes.pop(key)
                settled = False
    return Plan(tuple(repairs.values()), tuple(refusals.values()), solved, rounds, settled)


def _more(job: Job, solved: Solved, known: dict[str, Remedy], sites: Sequence[tuple[Remedy, Site]]) -> list[tuple[Remedy, Site]]:
    """Sites that are not known yet, of remedies for what is sound but too weak."""
    keys = {site.key for _, site in sites}
    asked = [(r, s) for r in known.values() if isinstance(r, Strengthens) for s in r.still_failing(job, solved)]
    return [(r, s) for r, s in asked if s.key not in keys]


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
