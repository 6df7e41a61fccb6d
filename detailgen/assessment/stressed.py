"""A truss with strands: what is there when they are stressed meets the truss without them, what comes later meets the truss and them together.

While it is jacked a strand is a pair of outside forces on its anchors; once locked it is a member. Dead load acts before, without strands. The
strands' force at the end of stressing (and what is left of it after all losses) pushes the truss that has no strands as members, as it is known
by then. Every later load meets chord and strands side by side. Each combination is looked at twice: with strands just locked, and after all
losses; besides them the moment of lock-off under dead load alone, and one pair of strands lost.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from detailgen.analysis.build import STRANDS
from detailgen.analysis.frame import combine
from detailgen.analysis.staged import pulled_together
from detailgen.assessment.beside import solve_as_built
from detailgen.assessment.forces import member_forces
from detailgen.core.clause import Cite
from detailgen.model.added import Strands
from detailgen.model.assessment import Combination, Forces
from detailgen.model.frame import FrameModel
from detailgen.model.structure import Bools, Floats, FrameResult, LoadCase
from detailgen.standards.interface import LoadStandard

UNIT = "strands, 1 lb"
DEAD = "D"
LOCK_OFF, AT_THE_JACK = "D, strands at lock-off", "D, all strands at the jack's force"
NEW, RELAXED, LOST, JACKED = "strands new", "strands after losses", "one pair of strands lost", "strands at the jack"
OURS = Cite("house rule", "stages of stressing: dead load, strands, then every other load")


@dataclass(frozen=True)
class Stressed:
    """Answers of a truss with strands. ``before``: all load cases and a pull of one pound in all strands together, on the truss without strands as
    members; ``after``: all load cases on the truss with them."""

    model: FrameModel
    before: FrameResult
    after: FrameResult

    @property
    def strand(self) -> int:
        return self.model.structure.member.index(STRANDS)

    def pick_up(self) -> dict[str, float]:
        """What all strands together take of each load case that comes after them (lb)."""
        return {name: float(self.after.axial[k, self.strand].mean()) for k, name in enumerate(self.after.names)}


def unit_pull(model: FrameModel) -> LoadCase:
    """The pair of forces by which strands pulled with one pound in all press on their two anchors, with its moments about the heels' joints."""
    structure = model.structure
    k = structure.member.index(STRANDS)
    n, m = len(structure.joints), len(structure.ends)
    nodal = np.zeros((n, 3))
    np.add.at(nodal, structure.ends[k], pulled_together(structure, k, 1.0))
    return LoadCase(UNIT, nodal, np.zeros((m, 2)), (), np.zeros(m), np.zeros((n, 3)))


def without_strands(model: FrameModel) -> Bools:
    """Elements that carry before the strands are members."""
    return model.active & ~model.is_kind(STRANDS)


def solve_stressed(model: FrameModel, cases: Sequence[LoadCase]) -> Stressed:
    """Raises: Unstable"""
    before = solve_as_built(model, [*cases, unit_pull(model)], without_strands(model))
    return Stressed(model, before, solve_as_built(model, cases, model.active))


def rows_of(combinations: Sequence[Combination], snow: Sequence[str], loads: LoadStandard) -> list[tuple[Combination, str]]:
    """Each combination with its strands new and after losses; besides them jacking and lock-off under dead load alone, and a pair lost under dead
    load and the share of the snow that the standard for loads leaves on what has lost a part. At the jack all strands count whole, which is a little
    more than they ever hold at once."""
    dead = ((DEAD, 1.0),)
    rows = [(Combination(LOCK_OFF, dead, "permanent", OURS), NEW), (Combination(AT_THE_JACK, dead, "construction", OURS), JACKED)]
    for c in combinations:
        rows += [(Combination(f"{c.name}, {state}", c.factors, c.duration, c.cite), state) for state in (NEW, RELAXED)]
    share, cite = loads.residual("S")
    for case in snow or ("",):
        factors = ((DEAD, 1.0), *(((case, share),) if case else ()))
        name = f"D + {share:g} {case}" if case else "D"
        rows.append((Combination(f"{name}, {LOST}", factors, "snow" if case else "permanent", cite), LOST))
    return rows


def forces_with(stressed: Stressed, run: Strands, rows: Sequence[tuple[Combination, str]], structure: str, stage: str) -> Forces:
    """Forces of all members and of the strands together under each row."""
    totals = {NEW: run.locked, JACKED: run.jacked, RELAXED: run.lasting, LOST: run.lasting * (run.count - 2) / run.count}
    return with_totals(stressed, rows, totals, structure, stage)


def with_totals(
    stressed: Stressed, rows: Sequence[tuple[Combination, str]], totals: Mapping[str, float], structure: str, stage: str,
) -> Forces:  # fmt: skip
    """``totals`` are the forces of all strands together (lb) that each state of the strands begins with.

    With a pair lost the others count as a force alone, not as members: they pick nothing up.
    """
    before, after = stressed.before, stressed.after
    early, late = np.zeros((len(rows), len(before.names))), np.zeros((len(rows), len(after.names)))
    start = np.zeros(len(rows))
    for k, (combination, state) in enumerate(rows):
        start[k] = totals[state]
        early[k, before.names.index(UNIT)] = totals[state]
        early[k, before.names.index(DEAD)] = 1.0
        later = early if state == LOST else late
        for case, factor in combination.factors:
            later[k, after.names.index(case)] += factor
        later[k, after.names.index(DEAD)] -= 1.0
    names = [c.name for c, _ in rows]
    both = _added(combine(before, names, early), combine(after, names, late))
    taken: Floats = late @ after.axial[:, stressed.strand].mean(axis=1)
    frame = stressed.model.structure
    bearings = {j: both.reaction[:, k, :2] for k, j in enumerate(frame.joint_names) if frame.fixed[k, 1]}
    members = member_forces(stressed.model, both)
    return Forces(structure, stage, tuple(c for c, _ in rows), members, "analysis", start + taken, bearings=bearings)


def _added(a: FrameResult, b: FrameResult) -> FrameResult:
    return FrameResult(
        a.names, a.displacement + b.displacement, a.reaction + b.reaction, a.axial + b.axial, a.shear + b.shear, a.moment + b.moment,
        a.end_moment + b.end_moment, a.fraction,
    )  # fmt: skip
