"""Made-up remedies in a world that is worked by hand: which of them answers which place, for how many bolts at 15 each.

A truss is told apart from another by the tokens that repairs leave in it (new pieces of no length); a place passes where the rule for it says so.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from types import SimpleNamespace

from sample_trusses import SLENDER, project, truss

from detailgen.core.clause import Cite
from detailgen.core.result import CheckResult, State
from detailgen.model.added import NewPiece
from detailgen.model.assessment import Place, StagedWork, StageLine
from detailgen.model.detail import Detail
from detailgen.model.package import Intervention, Refusal
from detailgen.model.project import Override, Truss
from detailgen.remedies import choose
from detailgen.remedies.contract import Job, Repair, Site, Solved
from detailgen.remedies.loop import Plan

CITE = Cite("made up", "a test")


def tokens(found: Truss) -> frozenset[str]:
    return frozenset(p.ply for p in found.pieces)


@dataclass
class Toy:
    """A remedy that asks for the places ``at`` as long as they fail, and costs ``bolts`` at each; ``sizes`` by how often it was asked."""

    key: str
    at: tuple[str, ...]
    bolts: int
    order: int = 50
    refuses: bool = False
    sizes: Callable[[int, Mapping[str, float]], float] = lambda _, least: max(1.0, least.get("size", 0.0))
    calls: int = 0

    @property
    def title(self) -> str:
        return self.key

    def still_failing(self, job: Job, solved: Solved):
        failing = {p.name for p in solved.check(None) if not all(r.passes for r in p.results)}
        return [Site(f"C-{self.key}-{at}", "C", at, (), 0.0, 0.0, f"{at} fails") for at in self.at if at in failing]

    def dimension(self, job: Job, found: Truss, site: Site, solved: Solved, least: Mapping[str, float], most_lost: float):
        self.calls += 1
        if self.refuses:
            return Refusal(site.key, self.key, site.truss, f"{self.key} does not fit")
        size = self.sizes(self.calls, least)
        changed = replace(found, pieces=(*found.pieces, NewPiece("", f"{self.key} {site.member} {size:g}", 0.0, 0.0)))
        said = Intervention(site.key, self.key, site.truss, f"{self.key} at {site.member}", site.because, {}, ())
        detail = Detail(site.key, "", "C", self.key, site.member, 0.0, (), (None,) * self.bolts, (), (), (), (), (), shores="none")
        return Repair(site, changed, said, detail, {"size": size}, (), "", 0.0)


@dataclass
class World:
    """Rules of the world: by place, what of the tokens makes it pass; by set of remedies, what fails in a stage of the work."""

    remedies: tuple[Toy, ...]
    rules: Mapping[str, Callable[[frozenset[str]], bool]]
    stages: Callable[[frozenset[str]], float] | None = None
    overrides: tuple[tuple[str, str], ...] = ()
    solved: list[Truss] = field(default_factory=list)
    followed: list[Truss] = field(default_factory=list)

    def _solve(self, found: Truss) -> Solved:
        self.solved.append(found)
        there = frozenset(t.rpartition(" ")[0] for t in tokens(found))  # without the size
        places = []
        for name, rule in self.rules.items():
            ratio = 0.9 if rule(there) else 1.4
            state = State.PASSES if ratio <= 1 else State.DOES_NOT_PASS
            result = CheckResult(name, "made-up check", ratio, 1.0, "", ratio, state, "D + S", "service", math.nan, CITE)
            places.append(Place("member", name, "", name, (result,)))
        return Solved(found, None, None, lambda names: tuple(p for p in places if names is None or p.name in names))

    def _staged(self, solved: Solved, _: object) -> StagedWork:
        self.followed.append(solved.truss)
        assert self.stages is not None
        ratio = self.stages(frozenset(t.split()[0] for t in tokens(solved.truss)))
        lines = (StageLine("as found", "chord", "tension", 2.0), StageLine("plies cut", "web", "compression", ratio))
        return StagedWork("C", lines=lines)

    def plan(self, monkeypatch) -> Plan:
        monkeypatch.setattr(choose, "all_remedies", lambda: {r.key: r for r in sorted(self.remedies, key=lambda r: r.key)})
        found = replace(truss(SLENDER, "C"), damage=(), overrides=tuple(Override(i, v, "a test") for i, v in self.overrides))
        job = Job(project(SLENDER), None, None, self._solve, staged=self._staged if self.stages else None)
        return choose.plan(job, SimpleNamespace(truss=found))


def at(*names: str) -> Callable[[frozenset[str]], bool]:
    """Passes where one of these stands: "heel chord" is the remedy heel at the place chord."""
    return lambda there: bool(there & frozenset(names))


def made(plan: Plan) -> list[str]:
    return sorted(r.site.key.removeprefix("C-") for r in plan.repairs)


def told(plan: Plan) -> str:
    return "\n".join(text for r in plan.repairs for text in r.intervention.runners_up)
