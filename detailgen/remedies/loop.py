"""The walk round the loop with one set of remedies: solve as repaired, dimension, put the consequences back, until the rounded sizes stand still."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from detailgen.core.errors import InputError
from detailgen.core.tolerance import at_most, rounded
from detailgen.model.assessment import Place, TrussAssessment
from detailgen.model.imposed import Imposed
from detailgen.model.package import Refusal
from detailgen.model.project import Truss
from detailgen.remedies.contract import Heals, Job, Remedy, Repair, Site, Solved, Strengthens

ROUNDS = 16
GROW_ONLY_FROM = 3
"""From this round on no size may shrink: without the rule a chain of consequences can go round for ever."""
HOPELESS = 1.25
"""A set that is only tried is given up once nobody asks for more and something stands over this: no size that still moves makes that good (ours)."""
KEPT = 48
"""How many answers of each kind are kept while the sets of one truss are compared: what two sets share is worked out once."""
Work = tuple[Remedy, Site]


@dataclass(frozen=True)
class Plan:
    """What was decided for one truss: repairs, refusals, the truss and its forces as repaired, and after how many rounds the sizes stood."""

    repairs: tuple[Repair, ...]
    refusals: tuple[Refusal, ...]
    solved: Solved
    rounds: int
    settled: bool
    no_path: str = ""  # why nothing can be said of the truss as repaired: it cannot stand without what was refused
    contested: tuple[tuple[str, str], ...] = ()  # remedy and site of its repairs that another remedy asked for too
    asked: frozenset[tuple[str, str]] = frozenset()  # member and place of every site that any remedy asked for
    refused_at: frozenset[tuple[str, str]] = frozenset()  # of these, where a remedy was refused: its reason speaks for the place


@dataclass(frozen=True)
class Wanted:
    """Remedies by key, remedies and sites that are left out, and remedies that come before all others."""

    installed: Mapping[str, Remedy]
    barred: frozenset[str] = frozenset()
    forced: frozenset[str] = frozenset()

    @property
    def known(self) -> dict[str, Remedy]:
        """The remedies that may be asked. A forced one bars those that mend the same kinds of damage."""
        mended = {kind for key in self.forced for kind in mends(self.installed[key])}
        return {k: r for k, r in self.installed.items() if k not in self.barred and (k in self.forced or not mended & mends(r))}


class Answered:
    """What was solved and dimensioned before, for the same question: the sets of one truss are alike but for a repair or two."""

    def __init__(self, job: Job) -> None:
        self.job = replace(job, solve=self._solve)
        self._job = job
        self._solved: list[Solved] = []
        self._outcomes: list[tuple[Solved, str, Site, float, Mapping[str, float], Truss, Repair | Refusal]] = []

    def _solve(self, truss: Truss) -> Solved:
        """Raises: InputError where the truss cannot stand"""
        for solved in reversed(self._solved):
            if solved.truss == truss:
                return solved
        answer = self._job.solve(truss)
        answer = replace(answer, check=_once(answer.check))
        self._solved = [*self._solved[1 - KEPT :], answer]
        return answer

    def dimension(self, remedy: Remedy, truss: Truss, site: Site, solved: Solved, least: Mapping[str, float], most_lost: float) -> Repair | Refusal:
        for forces, key, place, most, sizes, changed, outcome in reversed(self._outcomes):
            if forces is solved and (key, place, most, sizes) == (remedy.key, site, most_lost, least) and changed == truss:
                return outcome
        answer = remedy.dimension(self.job, truss, site, solved, least, most_lost)
        self._outcomes = [*self._outcomes[1 - KEPT :], (solved, remedy.key, site, most_lost, dict(least), truss, answer)]
        return answer


def _once(check: Callable[[Sequence[str] | None], tuple[Place, ...]]) -> Callable[[Sequence[str] | None], tuple[Place, ...]]:
    """Checks that remember: several remedies ask for the same places of one structure."""
    known: dict[tuple[str, ...] | None, tuple[Place, ...]] = {}

    def ask(names: Sequence[str] | None) -> tuple[Place, ...]:
        asked = None if names is None else tuple(names)
        if asked not in known:
            whole = known.get(None)
            known[asked] = check(names) if whole is None or asked is None else tuple(p for p in whole if p.name in asked)
        return known[asked]

    return ask


def mends(remedy: Remedy) -> frozenset[str]:
    return frozenset(getattr(remedy, "mends", ()))


def gives_way(remedy: Remedy) -> bool:
    return getattr(remedy, "gives_way", False)


def order_of(remedy: Remedy, forced: frozenset[str]) -> tuple[bool, int]:
    return remedy.key not in forced, getattr(remedy, "order", 50)


@dataclass
class _Round:
    """Where the walk stands: sites, their sizes and outcomes so far."""

    sites: list[Work]
    asked: dict[tuple[str, str], set[str]] = field(default_factory=dict)  # (member, place): the remedies that have asked for it
    sizes: dict[str, dict[str, float]] = field(default_factory=dict)
    repairs: dict[str, Repair] = field(default_factory=dict)
    refusals: dict[str, Refusal] = field(default_factory=dict)
    limits: dict[str, float] = field(default_factory=dict)  # how much section the holes of a site may take, once they took too much
    spent: set[str] = field(default_factory=set)  # sites whose limit left no layout: the holes stay, and the truss is judged with them
    number: int = 0
    asks: dict[str, tuple[Imposed, ...]] = field(default_factory=dict)  # by the site that asks: of the parts of others, the latest last
    in_vain: dict[str, Refusal] = field(default_factory=dict)  # sites that are refused though others made room for them


def walk(known: Answered, before: TrussAssessment, wanted: Wanted, *, tried: bool = False) -> Plan:
    """Round the loop with the remedies that are wanted. ``tried``: another set stands already, and this one need not be finished if it fails."""
    job, remedies = known.job, wanted.known
    at = _Round([])
    truss = before.truss
    for healing in (r for r in remedies.values() if isinstance(r, Heals)):
        for site in (s for s in healing.sites(job, before) if s.key not in wanted.barred):
            at.sites.append((healing, site))
            truss = healing.healed(truss, site)
    solved = job.solve(truss)
    at.sites += _more(job, solved, wanted, at)
    settled = not at.sites
    while not settled and at.number < ROUNDS:
        at.number += 1
        settled = _dimension_all(known, before.truss, solved, at)
        try:
            solved = job.solve(_all_in(before.truss, at.repairs))
        except InputError as error:
            more = _more_of_damage(job, solved, before, wanted, at)
            if not more:
                return _cannot_stand(error, solved, at)
            at.sites += more
            settled = False
            continue
        more = _more(job, solved, wanted, at)
        at.sites += more
        settled = settled and not more
        if tried and not more and any(p.worst is not None and p.worst.ratio > HOPELESS for p in solved.check(None)):
            break
        for key, repair in at.repairs.items():
            if key not in at.spent and _weakened(solved, repair):
                at.limits[key] = repair.lost - 1e-6
                at.sizes.pop(key)
                settled = False
        if settled and (vain := at.asks.keys() & at.refusals.keys()):
            at.in_vain.update((key, at.refusals[key]) for key in vain)
            _asked_anew(at, {key: asks for key, asks in at.asks.items() if key not in vain})
            settled = False
    return Plan(tuple(at.repairs.values()), tuple(at.refusals.values()), solved, at.number, settled, contested=_contested(at),
                asked=frozenset([*at.asked, *(_place(s) for _, s in at.sites)]),
                refused_at=frozenset(_place(s) for _, s in at.sites if s.key in at.refusals))  # fmt: skip


def _contested(at: _Round) -> tuple[tuple[str, str], ...]:
    """Repairs for which another remedy could stand in: it asked for the same place and was not refused there."""
    refused = {(_place(site), remedy.key) for remedy, site in at.sites if site.key in at.refusals}
    found = []
    for key, repair in at.repairs.items():
        place, kind = _place(repair.site), repair.intervention.remedy
        asked = at.asked.get(place, set())
        if kind in asked and any(other != kind and (place, other) not in refused for other in asked):
            found.append((kind, key))
    return tuple(found)


def _dimension_all(known: Answered, found: Truss, solved: Solved, at: _Round) -> bool:
    """Every site once, each on the truss with the earlier ones in. Returns whether all sizes are what they were."""
    at.repairs, at.refusals = {}, {}
    at.sites.sort(key=lambda work: not mends(work[0]))  # damage is made good before anything is strengthened that it would bar
    current = found
    for remedy, site in at.sites:
        if site.key in at.in_vain:
            at.refusals[site.key] = at.in_vain[site.key]
            continue
        if gives_way(remedy):
            told = tuple(a for by, asks in at.asks.items() for a in asks if by != site.key and a.member == site.member)
            site = replace(site, asked=told)
        least = at.sizes.get(site.key, {}) if at.number >= GROW_ONLY_FROM else {}
        outcome = known.dimension(remedy, current, site, solved, least, at.limits.get(site.key, math.inf))
        if isinstance(outcome, Refusal) and at.limits.pop(site.key, None) is not None:
            at.spent.add(site.key)
            outcome = known.dimension(remedy, current, site, solved, {}, math.inf)
        if isinstance(outcome, Repair):
            at.repairs[site.key] = outcome
            current = outcome.truss
        else:
            at.refusals[site.key] = outcome
    chosen = {key: {name: rounded(v) for name, v in r.sizes.items()} for key, r in at.repairs.items()}
    same = chosen == at.sizes
    at.sizes = chosen
    # What was asked before stays asked: a repair that moves on after an answer must not be told the contrary in the round after.
    asks = at.asks | {key: (*(a for a in at.asks.get(key, ()) if a not in r.asks), *r.asks) for key, r in at.repairs.items() if r.asks}
    if asks != at.asks:
        _asked_anew(at, asks)
        same = False
    return same


def _asked_anew(at: _Round, asks: dict[str, tuple[Imposed, ...]]) -> None:
    """Who gives way chooses afresh: sizes that were chosen without knowing what is asked bind nobody."""
    at.asks = asks
    for remedy, site in at.sites:
        if gives_way(remedy):
            at.sizes.pop(site.key, None)


def _more_of_damage(job: Job, solved: Solved, before: TrussAssessment, wanted: Wanted, at: _Round) -> list[Work]:
    """Sites that are not known yet in a truss that cannot stand: of remedies that mend damage, asked with the forces of the last that stood."""
    keys = {site.key for _, site in at.sites} | wanted.barred
    broken = replace(solved, truss=_all_in(before.truss, at.repairs))
    mending = [r for r in wanted.known.values() if isinstance(r, Strengthens) and mends(r)]
    return [(r, s) for r in mending for s in r.still_failing(job, broken) if s.key not in keys]


def _cannot_stand(error: InputError, solved: Solved, at: _Round) -> Plan:
    """What is refused leaves a truss that cannot stand: no repair of it is drawn, and no number of it is passed on."""
    why = error.problems[0].found.removeprefix("an intact truss that cannot stand: ")
    return Plan((), tuple(at.refusals.values()), solved, at.number, True, f"with what was refused the truss cannot stand: {why}")


def _place(site: Site) -> tuple[str, str]:
    return site.member, site.place


def _more(job: Job, solved: Solved, wanted: Wanted, at: _Round) -> list[Work]:
    """Sites that are not known yet, of remedies for what is sound but too weak.

    Where several remedies ask for one place the one with the lower ``order`` goes first (a forced one before all): what it does may be
    enough. The others are asked again next round; ``asked`` remembers all of them.
    """
    solved.check(None)  # each remedy asks for some of the places, and all of them together ask for nearly all
    keys = {site.key for _, site in at.sites} | wanted.barred
    asked = [(r, s) for r in wanted.known.values() if isinstance(r, Strengthens) for s in r.still_failing(job, solved)]
    new = [(r, s) for r, s in asked if s.key not in keys]
    taken: list[Work] = []
    for remedy, site in new:
        first = min(((bool(s.lacks), order_of(r, wanted.forced), r.key) for r, s in new if _place(s) == _place(site)))[2]
        if remedy.key == first:
            taken.append((remedy, site))
        elif site.last or site.lacks:
            continue
        at.asked.setdefault(_place(site), set()).add(remedy.key)
    # Damage that is not made good yet is no state to strengthen other members by.
    return [(r, s) for r, s in taken if mends(r)] or taken


def _weakened(solved: Solved, repair: Repair) -> bool:
    """Does the chord that runs through fail beside this repair, where its holes are?"""
    return any(p.worst is not None and not at_most(p.worst.ratio, 1.0) for p in solved.check([repair.place]))


def _all_in(truss: Truss, repairs: Mapping[str, Repair]) -> Truss:
    """The truss with every repair in: each repair was made on the truss with the earlier ones in, so the last one holds all."""
    return list(repairs.values())[-1].truss if repairs else truss
