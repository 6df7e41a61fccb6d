"""What the chord asks for at a force of the strands: the repaired truss solved without force and with 1,000 lb, and everything between on a line."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from detailgen.analysis.build import panel_name, panels
from detailgen.assessment.connections import check_connections, splice_name
from detailgen.assessment.members import check_members, place_name
from detailgen.assessment.sections import HoleGroup, hole_groups
from detailgen.assessment.stressed import LOCK_OFF, RELAXED
from detailgen.core.result import State
from detailgen.core.tolerance import rounded
from detailgen.model.added import Strands
from detailgen.model.assessment import Floats, Forces, MemberForces, Place
from detailgen.model.frame import FrameModel
from detailgen.model.project import Truss
from detailgen.remedies.contract import Job

UNIT = 1000.0
BEHIND = "|"


@dataclass(frozen=True)
class Demand:
    """A truss with strands in place, and its forces under each row at any force of them."""

    job: Job
    truss: Truss
    model: FrameModel
    none: Forces
    unit: Forces
    pick_up: Floats  # by row: what all strands take of what comes after them, lb

    @classmethod
    def of(cls, job: Job, truss: Truss, run: Strands) -> Demand:
        none = job.solve(replace(truss, strands=replace(run, locked=0.0, lasting=0.0, jacked=0.0)))
        unit = job.solve(replace(truss, strands=replace(run, locked=UNIT, lasting=UNIT, jacked=UNIT)))
        assert none.forces.strands is not None
        return cls(job, none.truss, none.model, none.forces, unit.forces, none.forces.strands)

    def forces(self, totals: Sequence[float], rows: Sequence[int]) -> Forces:
        """Forces with all strands together at each of some forces (lb), for some rows; a row's name is that of its combination behind the number of
        its force."""
        index = [k for _ in totals for k in rows]
        force = np.repeat(np.asarray(totals, dtype=float), len(rows))
        share = (force / UNIT)[:, None]
        members = {}
        for name, a in self.none.members.items():
            b = self.unit.members[name]
            axial, shear, moment = (
                getattr(a, w)[index] + share * (getattr(b, w)[index] - getattr(a, w)[index]) for w in ("axial", "shear", "moment")
            )
            members[name] = MemberForces(name, a.station, axial, shear, moment)
        named = [(n, self.none.combinations[k]) for n in range(len(totals)) for k in rows]
        chosen = tuple(replace(c, name=f"{n}{BEHIND}{c.name}") for n, c in named)
        return Forces(self.none.structure, self.none.stage, chosen, members, self.none.source, self.pick_up[index] + force)

    @cached_property
    def holes(self) -> tuple[HoleGroup, ...]:
        return hole_groups(self.truss, self.model)

    def places(self, forces: Forces) -> tuple[Place, ...]:
        """The chord between its joints, and its splices."""
        run = self.truss.strands
        assert run is not None
        chord = self.truss.member(run.chord)
        names = [place_name(chord, pair) for pair in panels(chord)]
        wood = self.job.wood
        splices = [splice_name(s) for s in self.truss.splices if s.chord == chord.name]
        return (
            *check_members(self.truss, self.model, forces, self.holes, wood, damaged=True, only=names),
            *(check_connections(self.truss, self.model, forces, wood, damaged=True, only=splices) if splices else ()),
        )

    def pulled(self, totals: Sequence[float]) -> list[tuple[float, str]]:
        """The largest ratio where and when the chord is pulled, strands after all their losses, at each of some forces (lb)."""
        rows = [k for k, c in enumerate(self.none.combinations) if c.name.endswith(RELAXED)]
        forces = self.forces(totals, rows)
        names = {c.name: k for k, c in enumerate(forces.combinations)}
        return _largest(self.places(forces), len(totals), lambda place, combination: _pull(forces, place, names[combination]))

    def at_lock_off(self, totals: Sequence[float]) -> list[tuple[float, str]]:
        rows = [k for k, c in enumerate(self.none.combinations) if c.name == LOCK_OFF]
        return _largest(self.places(self.forces(totals, rows)), len(totals), lambda place, combination: True)

    @property
    def dead_tension(self) -> float:
        """Mean axial force of the chord along its length under dead load alone (lb)."""
        run = self.truss.strands
        assert run is not None
        row = next(k for k, c in enumerate(self.none.combinations) if c.name == LOCK_OFF)
        pairs = panels(self.truss.member(run.chord))
        pulls = [float(self.none.members[panel_name(p)].axial[row].mean()) * self.model.member_length[panel_name(p)] for p in pairs]
        return sum(pulls) / sum(self.model.member_length[panel_name(p)] for p in pairs)


def _pull(forces: Forces, place: Place, row: int) -> bool:
    return bool(np.max(forces.members[place.member].axial[row]) > 0.0)


def _largest(places: tuple[Place, ...], count: int, counts: Callable[[Place, str], bool]) -> list[tuple[float, str]]:
    """The largest ratio that counts, of each force; endless for what cannot be checked, as no force of strands mends that. Distances of bolts do
    not count."""
    best = [(0.0, "")] * count
    for place in places:
        for r in place.results:
            if r.state is State.CANNOT_BE_CHECKED:
                return [(math.inf, f"{place.name}: {r.missing}")] * count
            number, _, combination = r.combination.partition(BEHIND)
            if r.unit != "in" and rounded(r.ratio) > best[int(number)][0] and counts(place, r.combination):
                best[int(number)] = (rounded(r.ratio), f"{place.name} under {combination}, {r.check}")
    return best
