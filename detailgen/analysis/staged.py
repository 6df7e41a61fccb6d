"""A structure while it is built, step by step: each increment meets what stands at that moment, and is added to what is there.

What is new starts free of stress where the structure has moved to by then. What is taken out hands what it carried to the joints it leaves.
An element that is stressed (a jacked shore, a strand) is a pair of outside forces while the jack acts and a member from then on. Elements that
only push or only pull are held against their whole force, not against that of one increment.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from copy import copy
from dataclasses import replace

import numpy as np

from detailgen.analysis.frame import WithEnds, handed_over, solve_with_ends, summed
from detailgen.model.structure import Floats, FrameResult, LoadCase, Structure

LET_GO = 1e-6
"""A force the wrong way smaller than this part of the greatest in the structure is rounding."""


def pulled_together(structure: Structure, element: int, force: float) -> Floats:
    """(2, 3) outside forces (lb) and moments (in-lb) on the joints of a straight element's ends while it is jacked.

    force: in the element, lb, tension positive
    """
    arms = structure.offset[element]
    a, b = structure.joints[structure.ends[element]] + arms
    pull = force * (b - a) / np.hypot(*(b - a))
    return np.array([[*way, arm[0] * way[1] - arm[1] * way[0]] for arm, way in zip(arms, (pull, -pull), strict=True)])


class Build:
    """The state of a structure: what stands, and the forces and movements that have come together so far."""

    def __init__(self, structure: Structure, stands: Collection[int], *, stations: int = 5) -> None:
        n, m = len(structure.joints), len(structure.ends)
        self.structure, self.stations = structure, stations
        self.active = np.zeros(m, dtype=bool)
        self.active[list(stands)] = True
        zero = np.zeros((1, m, stations))
        fraction = np.arange(stations) / (stations - 1)
        result = FrameResult(("",), np.zeros((1, n, 3)), np.zeros((1, n, 3)), zero, zero, zero, np.zeros((1, m, 2)), fraction)
        self.state = WithEnds(result, np.zeros((1, m, 6)))
        self._known: dict[tuple[bytes, str], FrameResult] = {}  # answers to loads that come and go, by what stands and the load's name

    @property
    def axial(self) -> Floats:
        """(m,) mean axial forces, lb."""
        mean: Floats = self.state.result.axial[0].mean(axis=1)
        return mean

    @property
    def moved(self) -> Floats:
        """(n, 3) movements since the beginning, in and rad."""
        moved: Floats = self.state.result.displacement[0]
        return moved

    def fork(self) -> Build:
        """The same state, to try something on it."""
        other = copy(self)
        other.active = self.active.copy()
        return other

    def nothing(self, name: str = "") -> LoadCase:
        n, m = len(self.structure.joints), len(self.structure.ends)
        return LoadCase(name, np.zeros((n, 3)), np.zeros((m, 2)), (), np.zeros(m), np.zeros((n, 3)))

    def add(self, case: LoadCase, *, softer: Floats | None = None) -> None:
        """A load that stays. One-sided elements that would have to pull (push) let go for good.

        softer: (m,) by how much the elements give more under it than under a short load; 1 for all if not given
        Raises: Unstable
        """
        structure = self.structure if softer is None else replace(self.structure, E=self.structure.E / softer)
        step = solve_with_ends(structure, [case], self.active, self.stations)
        after = _sum(self.state, step)
        while (gone := self._wrong(after.result.axial[0])) is not None:
            self.take_out([gone])
            step = solve_with_ends(structure, [case], self.active, self.stations)
            after = _sum(self.state, step)
        self.state = after

    def stand(self, elements: Collection[int]) -> None:
        """From now on these take part, free of stress as the structure stands."""
        self.active[list(elements)] = True

    def take_out(self, elements: Collection[int]) -> None:
        """These stop carrying: what they carried goes to their joints. Raises Unstable where what is left cannot stand."""
        gone = [e for e in elements if self.active[e]]
        if not gone:
            return
        self.active[gone] = False
        loads = handed_over(self.structure, self.active, self.state.end_force[0])
        self._drop()
        if loads.any():
            self.add(replace(self.nothing("taken out"), nodal=loads))

    def release(self, joint: int, way: int) -> None:
        """A support lets go of a joint in one direction (0 along, 1 up, 2 turning): what it held goes into what stands. Raises Unstable"""
        force = float(self.state.result.reaction[0, joint, way])
        self._fix(joint, way, held=False)
        reaction = self.state.result.reaction.copy()
        reaction[0, joint, way] = 0.0
        self.state = WithEnds(replace(self.state.result, reaction=reaction), self.state.end_force)
        case = self.nothing("released")
        case.nodal[joint, way] = -force
        self.add(case)

    def hold(self, joint: int, way: int) -> None:
        """From now on a support holds a joint in a direction, where the joint is by then."""
        self._fix(joint, way, held=True)

    def _fix(self, joint: int, way: int, *, held: bool) -> None:
        fixed = self.structure.fixed.copy()
        fixed[joint, way] = held
        self.structure, self._known = replace(self.structure, fixed=fixed), {}

    def _drop(self) -> None:
        stands, old = self.active[None, :, None], self.state.result
        result = replace(
            old, axial=np.where(stands, old.axial, 0.0), shear=np.where(stands, old.shear, 0.0), moment=np.where(stands, old.moment, 0.0),
            end_moment=np.where(stands, old.end_moment, 0.0),
        )  # fmt: skip
        self.state = WithEnds(result, np.where(stands, self.state.end_force, 0.0))

    def stress(self, forces: Mapping[int, float]) -> None:
        """Stress straight elements that do not stand yet, all at once, to these forces (lb, tension positive), and lock them.

        Raises: Unstable
        """
        case, held = self._pulled(forces)
        self.add(case)
        self._lock(forces, held)

    def _lock(self, forces: Mapping[int, float], held: Floats) -> None:
        axial, ends = self.state.result.axial.copy(), self.state.end_force.copy()
        for k, (element, force) in enumerate(forces.items()):
            axial[0, element], ends[0, element] = force, held[k]
        self.state = WithEnds(replace(self.state.result, axial=axial), ends)
        self.stand(list(forces))

    def jacked(self, pushes: Mapping[int, WithEnds], forces: Mapping[int, float]) -> Build:
        """A fork in which shores push with these forces (lb), from what ``pushed`` found of each; nothing else one-sided stands."""
        other = self.fork()
        for element, force in forces.items():
            other.state = _sum(other.state, pushes[element], force)
        pull = {e: -f for e, f in forces.items()}
        other._lock(pull, self._pulled(pull)[1])
        return other

    def shorten(self, strains: Mapping[int, float], *, softer: Floats | None = None) -> None:
        """Elements that would be longer (positive strain) or shorter by now: seating of a strand, relaxation, drying.

        Raises: Unstable
        """
        case = self.nothing("strain")
        for element, strain in strains.items():
            case.strain[element] = strain
        self.add(case, softer=softer)

    def creep(self, phi: Floats, lasting: Floats) -> None:
        """What creep does to forces and movements: each element goes on giving way to the force that lasts on it.

        The age-adjusted method with an ageing of 1, which is exact for creep that recovers. Moments stay as they are (ours).

        phi: (m,) creep coefficient, what is added in the long run over what came at once; 0 for steel
        lasting: (m,) axial forces (lb) that have come on and last
        Raises: Unstable
        """
        s = self.structure
        stiff = np.where(s.E * s.A > 0, s.E * s.A, 1.0)
        strain = np.where(self.active, phi * lasting / stiff, 0.0)
        self.add(replace(self.nothing("creep"), strain=strain), softer=1.0 + phi)

    def under(self, cases: Sequence[LoadCase], factors: Floats, scale: Floats) -> FrameResult:
        """What the structure carries under loads that come and go: row k is the state times scale[k] and the cases times factors[k].

        cases: each with a name of its own; one that is asked again while the same elements stand must be the same
        Raises: Unstable
        """
        was, names = self.state.result, tuple(str(k) for k in range(len(scale)))
        came = self._answers(cases)

        def mixed(what: str) -> Floats:
            old = getattr(was, what)
            total: Floats = scale.reshape(-1, *(1,) * (old.ndim - 1)) * old
            if came:
                new = np.concatenate([getattr(one, what) for one in came])
                total = total + (factors @ new.reshape(len(new), -1)).reshape(-1, *new.shape[1:])
            return total

        rows = {what: mixed(what) for what in ("displacement", "reaction", "axial", "shear", "moment", "end_moment")}
        for k in range(len(scale)):
            if self._wrong(rows["axial"][k]) is not None:
                alone = self._scaled(float(scale[k]))
                alone.add(summed(self.structure, names[k], [(case, float(f)) for case, f in zip(cases, factors[k], strict=True)] if cases else []))
                for what, values in rows.items():
                    values[k] = getattr(alone.state.result, what)[0]
        return FrameResult(names, fraction=was.fraction, **rows)

    def _answers(self, cases: Sequence[LoadCase]) -> list[FrameResult]:
        stands = self.active.tobytes()
        new = [case for case in cases if (stands, case.name) not in self._known]
        if new:
            whole = solve_with_ends(self.structure, new, self.active, self.stations).result
            self._known |= {(stands, case.name): _row(whole, k) for k, case in enumerate(new)}
        return [self._known[stands, case.name] for case in cases]

    def pushed(self, elements: Sequence[int]) -> list[WithEnds]:
        """What a push of one pound in each of these straight elements by itself does; none of them stands."""
        cases = [replace(self._pulled({e: -1.0})[0], name=f"push {e}") for e in elements]
        whole = solve_with_ends(self.structure, cases, self.active, self.stations)
        return [WithEnds(_row(whole.result, k), whole.end_force[k : k + 1]) for k in range(len(cases))]

    def _pulled(self, forces: Mapping[int, float]) -> tuple[LoadCase, Floats]:
        """The outside forces by which these elements are stressed, and (k, 6) what their joints hold them with afterwards."""
        case = self.nothing("stressed")
        held = np.zeros((len(forces), 6))
        for k, (element, force) in enumerate(forces.items()):
            on_joints = pulled_together(self.structure, element, force)
            np.add.at(case.nodal, self.structure.ends[element], on_joints)
            held[k] = -on_joints.reshape(-1)
        return case, held

    def _scaled(self, factor: float) -> Build:
        other, was = self.fork(), self.state.result
        result = replace(
            was, displacement=factor * was.displacement, reaction=factor * was.reaction, axial=factor * was.axial, shear=factor * was.shear,
            moment=factor * was.moment, end_moment=factor * was.end_moment,
        )  # fmt: skip
        other.state = WithEnds(result, factor * self.state.end_force)
        return other

    def _wrong(self, axial: Floats) -> int | None:
        """The one-sided element (m,) whose whole force is most the wrong way; None where there is none."""
        if self.structure.sense is None:
            return None
        force = np.where(self.active, axial.mean(axis=1), 0.0)
        wrong = -force * self.structure.sense
        worst = int(wrong.argmax())
        return worst if wrong[worst] > LET_GO * max(float(np.abs(force).max()), 1.0) else None


def _row(result: FrameResult, k: int) -> FrameResult:
    at = slice(k, k + 1)
    return replace(
        result, names=result.names[at], displacement=result.displacement[at], reaction=result.reaction[at], axial=result.axial[at],
        shear=result.shear[at], moment=result.moment[at], end_moment=result.end_moment[at],
    )  # fmt: skip


def _sum(before: WithEnds, step: WithEnds, times: float = 1.0) -> WithEnds:
    old, new = before.result, step.result
    result = FrameResult(
        old.names, old.displacement + times * new.displacement, old.reaction + times * new.reaction, old.axial + times * new.axial,
        old.shear + times * new.shear, old.moment + times * new.moment, old.end_moment + times * new.end_moment, old.fraction,
    )  # fmt: skip
    return WithEnds(result, before.end_force + times * step.end_force)
