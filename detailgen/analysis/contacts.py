"""One-sided elements: shores and butt joints that only push, strands that only pull, bolts with free travel. By active set.

Which of them carry differs from load to load, so what is solved is a combination, never a load case. Combinations in which the same
elements carry share one factorisation.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from detailgen.analysis.elements import bars_of
from detailgen.analysis.frame import Unstable, solve
from detailgen.model.structure import Bools, Floats, FrameResult, Ints, LoadCase, Structure

ROUNDS = 200
"""Changes of state tried before a combination is given up: each names one element or more, and trusses need a handful."""
STEPS = 40
"""Steps in which free travel is opened where it cannot be found at once."""
_CLOSE = 1e-9
"""A travel smaller than this part of the longest element is rounding."""


@dataclass(frozen=True)
class Contacts:
    """Answers per combination, and how the one-sided elements stand in each.

    ``state`` (c, m): 1 pulls, -1 pushes, 0 carries nothing; 1 for every element that has only one way of being.
    ``alone`` (c,): other elements carry than in the first combination, so that this one was solved by itself.
    """

    result: FrameResult
    state: Ints
    alone: Bools


def one_sided(structure: Structure) -> Bools:
    """(m,) elements whose state must be found."""
    m = len(structure.ends)
    sense = np.zeros(m, dtype=np.int64) if structure.sense is None else structure.sense
    play = np.zeros(m) if structure.play is None else structure.play
    found: Bools = (sense != 0) | (play > 0)
    return found


def solve_contacts(structure: Structure, combinations: Sequence[LoadCase], *, active: Bools | None = None, stations: int = 5) -> Contacts:
    """Solve combinations (each the whole load, as one load case) of a structure with one-sided elements.

    Raises: Unstable where what still carries is a mechanism, and where no state holds
    """
    m = len(structure.ends)
    stands = np.ones(m, dtype=bool) if active is None else active
    question = one_sided(structure) & stands
    states = np.where(stands, 1, 0) * np.ones((len(combinations), 1), dtype=np.int64)
    if not question.any():
        return Contacts(solve(structure, combinations, active=active, stations=stations), states, np.zeros(len(combinations), dtype=bool))
    search = _Search(structure, stands, question, stations)
    first = search.start(combinations)
    answers = [search.settle(load, state) for load, state in zip(combinations, first, strict=True)]
    settled = np.array([state for _, state in answers])
    alone: Bools = (settled != settled[0]).any(axis=1)
    return Contacts(_stacked([result for result, _ in answers]), settled, alone)


def _stacked(results: Sequence[FrameResult]) -> FrameResult:
    def rows(name: str) -> Floats:
        return np.concatenate([getattr(r, name) for r in results])

    return FrameResult(
        tuple(r.names[0] for r in results), rows("displacement"), rows("reaction"), rows("axial"), rows("shear"), rows("moment"),
        rows("end_moment"), results[0].fraction,
    )  # fmt: skip


class _Search:
    """The states of one structure's one-sided elements."""

    def __init__(self, structure: Structure, stands: Bools, question: Bools, stations: int) -> None:
        self.structure, self.stands, self.question, self.stations = structure, stands, question, stations
        m = len(structure.ends)
        self.sense = np.zeros(m, dtype=np.int64) if structure.sense is None else structure.sense
        self.play = np.zeros(m) if structure.play is None else structure.play
        self.bars = bars_of(structure, np.arange(m))
        self.close = _CLOSE * float(self.bars.length.max())

    def start(self, combinations: Sequence[LoadCase]) -> Ints:
        """States (c, m) from the answer with every element in both ways."""
        linear = solve(self.structure, combinations, active=self.stands, stations=2)
        pull = linear.axial.mean(axis=2)
        state = np.where(self.question, np.sign(pull).astype(np.int64), 1)
        state = np.where(self.question & (self.sense * state < 0), 0, state)
        return np.where(self.stands, state, 0)

    def solved(self, load: LoadCase, state: Ints) -> FrameResult:
        """The answer with these states; free travel is a strain that costs no force."""
        if not state.any():
            raise Unstable(self.structure.joint_names[0], "y", f"Under {load.name} nothing carries any more.")
        travel = np.where(self.question, state * self.play / self.bars.length, 0.0)
        loose = self.stands & (state == 0)
        changed = replace(load, strain=load.strain + travel, nodal=load.nodal + self._hung(load, loose))
        return solve(self.structure, [changed], active=state != 0, stations=self.stations)

    def _hung(self, load: LoadCase, loose: Bools) -> Floats:
        """(n, 3) loads of elements that carry nothing, at the joints that they still hang on."""
        nodal = np.zeros_like(load.nodal)
        ends = np.zeros((len(loose), 2, 2))
        ends[loose] = (load.distributed * self.bars.length[:, None] / 2)[loose, None, :]
        for element, fx, fy, place in load.point:
            if loose[element]:
                part = place / self.bars.length[element]
                ends[element] += np.array([[1 - part], [part]]) * np.array([fx, fy])
        for end in (0, 1):
            force, arm = ends[:, end], self.structure.offset[:, end]
            couple = arm[:, 0] * force[:, 1] - arm[:, 1] * force[:, 0]
            np.add.at(nodal, self.structure.ends[:, end], np.column_stack([force, couple]))
        return nodal

    def faults(self, load: LoadCase, state: Ints, result: FrameResult) -> tuple[Floats, Ints]:
        """How far (in) each element is from a state that may be, and the state that it should have instead."""
        force = result.axial[0].mean(axis=1)
        moved = result.displacement[0].reshape(-1)[self.bars.dofs]
        travel = (self.bars.shape[:, 0, :] * moved).sum(axis=1) - load.strain * self.bars.length
        wrong_way = np.where(state != 0, -state * force / self.bars.stiffness[:, 0, 0], 0.0)
        over = np.where((state == 0) & (self.sense >= 0), travel - self.play, -np.inf)
        under = np.where((state == 0) & (self.sense <= 0), -travel - self.play, -np.inf)
        fault = np.where(self.question, np.maximum.reduce([wrong_way, over, under]), 0.0)
        better = np.where(state != 0, 0, np.where(over >= under, 1, -1))
        return np.where(fault > self.close, fault, 0.0), better

    def settle(self, load: LoadCase, state: Ints) -> tuple[FrameResult, Ints]:
        """Change states until each may be. Where that finds no end, free travel is opened step by step, each beginning where the last ended."""
        found = self._settle(load, state)
        if found is not None:
            return found
        whole = self.play
        try:
            for step in range(STEPS + 1):
                self.play = whole * step / STEPS
                found = self._settle(load, state)
                if found is None:
                    joint = self.structure.joint_names[int(self.structure.ends[int(np.flatnonzero(self.question)[0]), 0])]
                    raise Unstable(joint, "x", f"Under {load.name} the elements that only push, only pull or have free travel find no rest.")
                state = found[1]
        finally:
            self.play = whole
        assert found is not None
        return found

    def _settle(self, load: LoadCase, state: Ints) -> tuple[FrameResult, Ints] | None:
        """Change states, all at once while that leads on, one at a time where it goes round or falls. None where it does not end."""
        seen: set[bytes] = set()
        singly = False
        before: tuple[Ints, Floats, Ints] | None = None
        for _ in range(ROUNDS):
            try:
                result = self.solved(load, state)
            except Unstable:
                if singly or before is None:
                    raise
                singly = True
                state = self._one_changed(*before)
                continue
            fault, better = self.faults(load, state, result)
            if not fault.any():
                return result, state
            before = (state, fault, better)
            key = state.tobytes()
            if singly and key in seen:
                return None
            if key in seen:
                singly, seen = True, set()
            seen.add(key)
            state = self._one_changed(*before) if singly else np.where(fault > 0, better, state)
        return None

    @staticmethod
    def _one_changed(state: Ints, fault: Floats, better: Ints) -> Ints:
        changed = state.copy()
        worst = int(fault.argmax())
        changed[worst] = better[worst]
        return changed
