"""A web's end with its new bolts, and the timbers that they weaken, judged by the code that judged the truss as found."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from detailgen.analysis.build import panel_name, panels
from detailgen.assessment.connections import check_connection
from detailgen.assessment.members import check_member
from detailgen.assessment.sections import hole_groups
from detailgen.core.result import CheckResult, State, governs
from detailgen.core.tolerance import at_most
from detailgen.model.assessment import Place
from detailgen.model.member import Connection, Member
from detailgen.model.project import Truss
from detailgen.remedies.contract import Job, Solved
from detailgen.remedies.web_end.lap import Layout
from detailgen.remedies.web_end.parameters import HUNG


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


def only_hangs(job: Job, truss: Truss, solved: Solved, end: Connection) -> bool:
    """Does an end pass by itself, so that new bolts are asked for its chord's sake alone?"""
    place = check_connection(truss, solved.model, end, solved.forces, job.wood, damaged=True)
    return all(r.passes for r in place.results)


def judge(job: Job, truss: Truss, solved: Solved, layout: Layout, *, hung: bool = False) -> Judged:
    """hung: shear of the chord beside the bolts must pass too, though it failed before"""
    changed = with_connection(truss, layout.connection)
    place = check_connection(changed, solved.model, layout.connection, solved.forces, job.wood, damaged=True)
    fails: tuple[CheckResult, ...] = ()
    if all(r.passes for r in place.results):
        touched = {q.member for q in layout.drilled}
        fails = weakened(job, truss, changed, solved, layout.connection.joint, touched)
        if hung and not fails:
            # Old bolts carry nothing any more, and may be no more than holes: the depth that they would leave does not count here.
            alone = with_connection(truss, replace(layout.connection, idle=()))
            fails = tuple(r for r in _failing(job, alone, solved, _beside(truss, layout.connection.joint, touched)) if r.check == HUNG)
    return Judged(layout, place, fails)


def weakened(
    job: Job, truss: Truss, changed: Truss, solved: Solved, joint: str, touched: Collection[str],
) -> tuple[CheckResult, ...]:  # fmt: skip
    """Checks of the timbers at the joint that the new holes make fail."""
    pairs = _beside(truss, joint, touched)
    failed = _failing(job, changed, solved, pairs)
    if not failed:
        return ()
    known = {(r.where, r.check, r.combination) for r in _failing(job, truss, solved, pairs)}
    return tuple(r for r in failed if (r.where, r.check, r.combination) not in known)


def _beside(truss: Truss, joint: str, touched: Collection[str]) -> list[tuple[Member, tuple[str, str]]]:
    return [(m, pair) for m in truss.members if m.name in touched for pair in panels(m) if joint in pair]


def _failing(job: Job, truss: Truss, solved: Solved, pairs: Sequence[tuple[Member, tuple[str, str]]]) -> list[CheckResult]:
    holes = hole_groups(truss, solved.model, {panel_name(pair) for _, pair in pairs})
    places = [check_member(truss, m, pair, solved.model, solved.forces, holes, job.wood, damaged=True) for m, pair in pairs]
    return [r for place in places for r in place.results if r.state is State.DOES_NOT_PASS and not at_most(r.ratio, 1.0)]
