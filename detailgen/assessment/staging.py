"""One truss while it is worked on: what stands, what lies on it, and every member and joint checked in each stage."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from detailgen.analysis.build import SIDE, build_frame, by_ply, panel_name, panels
from detailgen.analysis.frame import solve
from detailgen.analysis.overlay import GOES, Overlay, Pull, Run, lay_over
from detailgen.analysis.staged import Build
from detailgen.assessment.members import grade_of
from detailgen.assessment.modelling import as_asked
from detailgen.assessment.sections import HoleGroup
from detailgen.core.clause import Cite
from detailgen.loads.cases import PARTS_OF_ROOF, WOOD_WEIGHT, LoadSet, build_cases, window_cases
from detailgen.loads.combinations import expand
from detailgen.model.assessment import Stressing
from detailgen.model.frame import FrameModel
from detailgen.model.member import Wood
from detailgen.model.project import Project, Truss
from detailgen.model.structure import Floats, FrameResult, LoadCase
from detailgen.standards.interface import LoadStandard, WoodStandard, method_of

SOURCE = Cite("house rule", "stages of the work")


@dataclass(frozen=True)
class Row:
    """One thing that may happen in a stage: the factor on all that lasts, and the load cases that come on with theirs."""

    name: str
    lasts: float
    comes: tuple[tuple[str, float], ...]
    duration: str
    interim: bool
    stage: str = ""  # the stage that it is told under, where that is not its moment's


@dataclass
class Moment:
    """A stage with what the structure carries in it: rows of answers, what stands, and the truss and holes by which it is judged."""

    title: str
    rows: tuple[Row, ...]
    result: FrameResult
    build: Build
    structure: str  # whose parts count: "found" or "repaired"
    drilled: bool  # all new holes are in it
    sistered: bool


@dataclass(frozen=True)
class Factors:
    """Factors of a standard for dead load alone, and for dead load with snow and with a load of the work (which counts as roof live load)."""

    alone: float
    snow: tuple[float, float]
    live: tuple[float, float]


def factors_of(standard: LoadStandard, method: str) -> Factors:
    rules = [dict(r.factors) for r in standard.combinations(["D", "S", "Lr"], method)]

    def greatest(kind: str) -> tuple[float, float]:
        found = [(f["D"], f[kind]) for f in rules if set(f) == {"D", kind}] or [(f["D"], f[kind]) for f in rules if {"D", kind} <= set(f)]
        return max(found, key=lambda f: (f[1], f[0]), default=(1.0, 1.0))

    return Factors(max((f["D"] for f in rules if set(f) == {"D"}), default=1.0), greatest("S"), greatest("Lr"))


def window_rows(truss: Truss, factors: Factors) -> tuple[Row, ...]:
    """Dead load alone, then with the snow and the load of the work that the survey names: alone and both together in full (ours)."""
    rows = [Row("D", factors.alone, (), "permanent", interim=True)]
    work = truss.work
    for where, _, _ in PARTS_OF_ROOF:
        snow, live = (f"S work {where}", factors.snow[1] * work.snow), (f"C {where}", factors.live[1] * work.construction)
        if work.snow > 0:
            rows.append(Row(f"D + {snow[0]}", factors.snow[0], (snow,), "snow", interim=True))
        if work.construction > 0:
            rows.append(Row(f"D + {live[0]}", factors.live[0], (live,), "construction", interim=True))
        if work.snow > 0 and work.construction > 0:
            both = max(factors.snow[0], factors.live[0])
            rows.append(Row(f"D + {live[0]} + {snow[0]}", both, (live, snow), "construction", interim=True))
    return tuple(rows)


class Works:
    """A truss and its repair laid over one another, with its loads."""

    def __init__(
        self, project: Project, found: Truss, repaired: Truss, wood: WoodStandard, standard: LoadStandard, joints: Sequence[str],
        stressing: Stressing | None = None,
    ) -> None:  # fmt: skip
        """joints: of the bottom chord, at which a shore may stand. Raises: NotCovered"""
        self.project, self.found, self.repaired, self.wood = project, found, repaired, wood
        self.base = self._frame(repaired)
        pulls = [] if stressing is None else [Pull(self.base.structure.member.index(stressing.element), stressing.count)]
        self.overlay: Overlay = lay_over(found, repaired, self.base, self._modulus, joints, pulls)
        self.loads: LoadSet = build_cases(repaired, project.loads, self.base, standard)
        self.window: LoadSet = window_cases(found, self.base)
        self.cases: dict[str, LoadCase] = {c.name: c for c in (*self.loads.cases, *self.window.cases)}
        self.cases["D as found"] = self._dead_as_found()
        self.factors = factors_of(standard, method_of(wood))
        self.combinations = expand(standard, self.loads.kinds, method_of(wood))
        self.holes: dict[str, tuple[HoleGroup, ...]] = {}  # by truss: "found" or "repaired"

    def _modulus(self, wood: Wood, thickness: float, depth: float) -> float:
        return self.wood.stiffness(grade_of(wood), thickness, depth).E

    def _frame(self, truss: Truss) -> FrameModel:
        return as_asked(build_frame(truss, self._modulus, damaged=True), truss, self.project.modelling, self.wood)

    def _dead_as_found(self) -> LoadCase:
        """Dead load without what the repair brings."""
        old, base = build_frame(self.found, self._modulus, damaged=True), self.base
        weight = self.project.loads.unit_weight or WOOD_WEIGHT
        was = {name: weight * float(old.wood_area[k]) + float(old.added_weight[k]) for k, name in enumerate(old.structure.member)}
        new = weight * base.wood_area + base.added_weight - np.array([was.get(name, 0.0) for name in base.structure.member])
        dead = self.cases["D"]
        return replace(dead, name="D as found", distributed=dead.distributed + np.column_stack([np.zeros(len(new)), new]))

    def case(self, name: str, build: Build) -> LoadCase:
        return self.overlay.case(self.cases[name], build.active)

    def new_weight(self, build: Build) -> LoadCase:
        """What the repair weighs."""
        new, old = self.case("D", build), self.case("D as found", build)
        return replace(new, name="new parts", distributed=new.distributed - old.distributed, nodal=new.nodal - old.nodal, point=())

    def long_since(self) -> dict[tuple[str, str], Floats]:
        """Axial forces (lb, by element of each run) that dead load had in old plies before they were damaged. New plies had none."""
        whole = replace(
            self.repaired, damage=(), members=self.found.members, splices=tuple(replace(s, slip=0.0) for s in self.repaired.splices),
        )  # fmt: skip
        if {m.name for m in whole.members} != {m.name for m in self.repaired.members}:
            return {}  # a repair with members of its own: all of it counts as new (safe for the old wood)
        frame = self._frame(whole)
        answer = solve(frame.structure, [self.cases["D as found"]], active=frame.active & ~frame.is_kind(SIDE)).axial[0].mean(axis=1)
        found: dict[tuple[str, str], Floats] = {}
        for member in self.found.members:
            for pair in panels(member):
                stiff = by_ply(whole, member, pair, self._modulus, damaged=False)
                for run in (r for r in self.overlay.runs if r.panel == panel_name(pair) and r.life != GOES):
                    old = sum(stiff[p][0] for p in run.plies if p in stiff and self._as_ever(member.name, p))
                    found[run.panel, run.ply] = answer[self.overlay.of[run.elements]] * old / sum(axial for axial, _ in stiff.values())
        return found

    def _as_ever(self, member: str, ply: str) -> bool:
        """Is a ply of the repaired truss the old timber?"""
        old = next((p for m in self.found.members if m.name == member for p in m.plies if p.name == ply), None)
        return old is not None and old in self.repaired.member(member).plies

    def moment(
        self, title: str, build: Build, rows: Sequence[Row], structure: str, *, drilled: bool = False, sistered: bool = False,
    ) -> Moment:  # fmt: skip
        """What is carried in a stage as ``build`` stands. Raises: Unstable"""
        names = list(dict.fromkeys(n for row in rows for n, _ in row.comes))
        factors = np.array([[dict(row.comes).get(n, 0.0) for n in names] for row in rows]).reshape(len(rows), len(names))
        result = build.under([self.case(n, build) for n in names], factors, np.array([row.lasts for row in rows]))
        return Moment(title, tuple(rows), result, build.fork(), structure, drilled, sistered)

    def service_rows(self, label: str) -> tuple[Row, ...]:
        """Every combination of the standard; the dead load in it is what lasts."""
        rows = []
        for c in self.combinations:
            comes = tuple((n, f) for n, f in c.factors if n != "D")
            rows.append(Row(f"{c.name}{label}", dict(c.factors).get("D", 0.0), comes, c.duration, interim=False))
        return tuple(rows)

    def runs(self, build: Build) -> list[Run]:
        return [r for r in self.overlay.runs if build.active[r.elements].all()]

    def beside(self, build: Build) -> list[Run]:
        """Timbers beside chords that are fitted."""
        return [r for r in self.overlay.beside if build.active[r.elements].all()]

    def axial(self, moment: Moment) -> dict[tuple[str, str], Floats]:
        """Axial forces (rows, stations) by panel and ply ("" for those that stay)."""
        return {(r.panel, r.ply): moment.result.axial[:, r.elements, :].reshape(len(moment.rows), -1) for r in self.runs(moment.build)}
