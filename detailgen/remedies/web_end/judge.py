"""A web's end with its new bolts, and the timbers that they weaken, judged by the code that judged the truss as found."""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass, replace

from detailgen.assessment.connections import check_connection
from detailgen.core.result import CheckResult, governs
from detailgen.model.assessment import Place
from detailgen.model.member import Connection
from detailgen.model.project import Truss
from detailgen.remedies.contract import Job, Solved
from detailgen.remedies.web_end.lap import Layout
from detailgen.remedies.web_end.parameters import HUNG
from detailgen.remedies.web_end.site import failing


@dataclass(frozen=True)
class Judged:
    """A layout with the checks of its bolts and of the timbers that its holes weaken."""

    layout: Layout
    place: Place
    weakened: tuple[CheckResult, ...]  # what failed of the timbers, that passed before

    @property
    def worst(self) -> CheckResult:
        return governs((*self.place.results, *self.weakened))

    @property
    def miss(self) -> float:
        """By how much it fails, for the nearest of all that do."""
        worst = self.worst
        return worst.ratio if math.isfinite(worst.ratio) else math.inf

    @property
    def passes(self) -> bool:
        return not self.weakened and all(r.passes for r in self.place.results)


def with_connection(truss: Truss, made: Connection) -> Truss:
    """The truss with this end's connection made anew."""
    old = [c for c in truss.connections if (c.member, c.joint) != (made.member, made.joint)]
    return replace(truss, connections=(*old, made))


def stands(job: Job, truss: Truss, solved: Solved, end: Connection) -> bool:
    """Does an end pass by itself?"""
    place = check_connection(truss, solved.model, end, solved.forces, job.wood, damaged=True)
    return all(r.passes for r in place.results)


def judge(job: Job, truss: Truss, solved: Solved, layout: Layout, *, hangs: bool = False) -> Judged:
    """hangs: shear of the chord beside the bolts must pass too, though it failed before"""
    changed = with_connection(truss, layout.connection)
    place = check_connection(changed, solved.model, layout.connection, solved.forces, job.wood, damaged=True)
    fails: tuple[CheckResult, ...] = ()
    if all(r.passes for r in place.results):
        fails = weakened(job, truss, changed, solved, layout.connection, {q.member for q in layout.drilled}, hangs=hangs)
    return Judged(layout, place, fails)


def weakened(
    job: Job, truss: Truss, changed: Truss, solved: Solved, made: Connection, touched: Collection[str], *, hangs: bool = False,
) -> tuple[CheckResult, ...]:  # fmt: skip
    """Checks of the timbers at the joint that the new bolts make fail; with ``hangs`` shear beside them even if it failed before."""
    failed = failing(job, changed, solved, made, touched)
    if not failed:
        return ()
    old = next(c for c in truss.connections if (c.member, c.joint) == (made.member, made.joint))
    known = {(r.where, r.check, r.combination) for r in failing(job, truss, solved, old, touched) if not (hangs and r.check == HUNG)}
    return tuple(r for r in failed if (r.where, r.check, r.combination) not in known)
