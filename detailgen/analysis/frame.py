"""The plane frame: forces and movements of pin-jointed, continuous and semi-rigid structures under several load cases at once.

First-order and elastic. The stiffness matrix is written once and factorised once for all cases. Every joint's equations are measured
by the stiffness that meets at that joint, so that a soft chord and a stiff steel rod stand side by side without loss of figures and
a mechanism shows itself whichever way the structure is turned.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from detailgen.analysis.elements import BarLoads, Bars, along_the_bars, bars_of, by_bar, joint_forces, load_forces, loads_of
from detailgen.model.structure import Bools, Floats, FrameResult, Ints, LoadCase, Structure

if TYPE_CHECKING:
    from scipy.sparse import csc_array

Direction = Literal["x", "y", "rotation"]
_DIRECTIONS: tuple[Direction, Direction, Direction] = ("x", "y", "rotation")
_MOTION = {"x": "move in x", "y": "move in y", "rotation": "turn"}

# Stiffness of the softest motion, as part of the stiffness that meets at the joints. Below the limit fewer than three of the
# sixteen figures of a number would be left; rounding alone leaves a true mechanism about 1e-16.
_SOFTEST = 1e-13
# The trial load moves the structure by more than this (in the same measure): look closer before believing the answer.
_SUSPECT = 1e9
# Up to so many equations a full matrix is solved; a truss has some hundred.
_SMALL = 600
# A load, as part of the greatest of its kind, that is only rounding left over from a sum.
_ROUNDING = 1e-9


class Unstable(ValueError):  # noqa: N818 (the word the trade uses)
    """The structure, or a piece of it, can move without resistance. ``joint`` moves most, in ``direction``."""

    def __init__(self, joint: str, direction: Direction, reason: str) -> None:
        super().__init__(f"The structure is not stable: joint {joint} can {_MOTION[direction]}. {reason}")
        self.joint = joint
        self.direction: Direction = direction


@dataclass(frozen=True)
class WithEnds:
    """A result with the forces of the joints on the elements, (k, m, 6), which later stages need."""

    result: FrameResult
    end_force: Floats


def solve(structure: Structure, cases: Sequence[LoadCase], *, active: Bools | None = None, stations: int = 5) -> FrameResult:
    """Solve n joints and m elements for k load cases; ``stations`` values along each element.

    ``active`` (m,) tells which elements take part (default: all). The others carry nothing, loads on them are not applied, and joints
    that meet no active element are taken out. So is the rotation of a joint that no element resists; movements taken out read 0.
    A station on a point load has the values just before it (at the element's very start: just after it).

    Raises Unstable for a mechanism, ValueError for arrays that do not fit or cannot be.
    Source: direct stiffness method; element in detailgen.analysis.elements.
    """
    return solve_with_ends(structure, cases, active, stations).result


def solve_with_ends(structure: Structure, cases: Sequence[LoadCase], active: Bools | None, stations: int) -> WithEnds:
    _check(structure, cases, active, stations)
    n, m, k = len(structure.joints), len(structure.ends), len(cases)
    index: Ints = np.arange(m) if active is None else np.flatnonzero(active)
    if not len(index):
        raise ValueError("No element takes part.")
    bars = bars_of(structure, index)
    loads = loads_of(bars, cases, structure.member)
    nodal = np.array([case.nodal for case in cases], dtype=np.float64).reshape(k, 3 * n)

    held = structure.fixed.reshape(-1)
    free = _free(structure, bars, held)
    _refuse_loose_loads(structure, nodal, held | free)

    settlement = np.array([case.settlement for case in cases], dtype=np.float64).reshape(k, 3 * n)
    movement = np.where(held, settlement, 0.0)
    response = np.matmul(bars.stiffness, bars.shape)  # (m, 3, 6): movements -> axial force and couples
    basic = loads.fixed
    if movement.any():
        basic = basic + by_bar(movement[:, bars.dofs], response.transpose(0, 2, 1))
    end_force = joint_forces(bars, basic)
    end_force += load_forces(bars, loads)
    unbalanced = nodal - _gather(bars, end_force, n)
    ground = np.zeros(3 * n) if structure.support_spring is None else np.where(held, 0.0, structure.support_spring.reshape(-1))
    equations = np.flatnonzero(free)
    if not np.isfinite(unbalanced).all():
        row = int(np.flatnonzero(~np.isfinite(unbalanced).all(axis=1))[0])
        raise ValueError(f"Load case {cases[row].name} holds a value that is not a finite number.")
    if len(equations):
        movement[:, equations] = _movements(structure, bars, response, equations, unbalanced[:, equations], ground)
        followed = by_bar(np.where(free, movement, 0.0)[:, bars.dofs], response.transpose(0, 2, 1))
        basic = basic + followed
        end_force += joint_forces(bars, followed)
    reaction = np.where(held, _gather(bars, end_force, n) - nodal, -ground * movement)
    result, end_force = _result(structure, cases, bars, loads, basic, end_force, stations, movement, reaction)
    return WithEnds(result, end_force)


def _check(structure: Structure, cases: Sequence[LoadCase], active: Bools | None, stations: int) -> None:
    n, m = len(structure.joint_names), len(structure.member)
    if not cases or not n or not m or stations < 2:
        raise ValueError("The analysis needs at least one joint, one element, one load case and two stations.")
    wanted = (
        ("joints", structure.joints, (n, 2)),
        ("ends", structure.ends, (m, 2)),
        ("E", structure.E, (m,)),
        ("A", structure.A, (m,)),
        ("I", structure.I, (m,)),
        ("spring", structure.spring, (m, 2)),
        ("offset", structure.offset, (m, 2, 2)),
        ("fixed", structure.fixed, (n, 3)),
        *((("active", active, (m,)),) if active is not None else ()),
        *(
            (name, array, shape)
            for name, array, shape in (
                ("shear", structure.shear, (m,)),
                ("slip", structure.slip, (m,)),
                ("support_spring", structure.support_spring, (n, 3)),
                ("sense", structure.sense, (m,)),
                ("play", structure.play, (m,)),
            )
            if array is not None
        ),
        *((f"{case.name}: nodal", case.nodal, (n, 3)) for case in cases),
        *((f"{case.name}: distributed", case.distributed, (m, 2)) for case in cases),
        *((f"{case.name}: strain", case.strain, (m,)) for case in cases),
        *((f"{case.name}: settlement", case.settlement, (n, 3)) for case in cases),
    )
    for name, array, shape in wanted:
        if array.shape != shape:
            raise ValueError(f"{name} has the shape {array.shape}; {shape} is needed.")
    if structure.ends.min() < 0 or structure.ends.max() >= n:
        raise ValueError("An element ends at a joint that does not exist.")


def _free(structure: Structure, bars: Bars, held: Bools) -> Bools:
    """(3n,) movements that have an equation: not held, at a joint of an active element; a rotation only if something resists it."""
    met = np.zeros((len(structure.joints), 3), dtype=bool)
    met[bars.ends, :2] = True
    met[bars.ends[bars.turns], 2] = True
    if structure.support_spring is not None:
        met[:, 2] |= met[:, 0] & (structure.support_spring[:, 2] > 0.0)
    free: Bools = met.reshape(-1) & ~held
    return free


def _refuse_loose_loads(structure: Structure, nodal: Floats, taken: Bools) -> None:
    loose = np.where(taken, 0.0, nodal)
    if loose.any():
        joint, direction = divmod(int(np.abs(loose).max(axis=0).argmax()), 3)
        what = "A moment acts on it" if direction == 2 else "A load acts on it"
        raise Unstable(structure.joint_names[joint], _DIRECTIONS[direction], f"{what}, but no element and no support there resists it.")


def _gather(bars: Bars, forces: Floats, n: int) -> Floats:
    """Sum forces at element ends (k, m, 6) into their joints, (k, 3n)."""
    k = len(forces)
    place = 3 * n * np.arange(k)[:, None, None] + bars.dofs
    return _totals(place, forces, 3 * n * k).reshape(k, 3 * n)


def _totals(place: Ints, values: Floats, size: int) -> Floats:
    """(size,) sums of the ``values`` that share a ``place``."""
    return np.asarray(np.bincount(place.reshape(-1), values.reshape(-1), minlength=size), dtype=np.float64)


def _measure(bars: Bars, n: int) -> Floats:
    """(3n,) stiffness that meets at each joint: one value for x and y whatever way the bars point, one for the rotation."""
    length, stiffness = bars.length, bars.stiffness
    couples = stiffness[:, 1:, 1:]
    push = stiffness[:, 0, 0] + couples.sum(axis=(1, 2)) / length**2
    reach = np.empty((len(length), 2, 3))
    reach[:, :, :2] = push[:, None, None]
    reach[:, 0, 2] = couples[:, 0, 0]
    reach[:, 1, 2] = couples[:, 1, 1]
    if bars.arms:
        reach[:, :, 2] += push[:, None] * (bars.offset**2).sum(axis=2)
    return _totals(bars.dofs, reach, 3 * n)


def _movements(structure: Structure, bars: Bars, response: Floats, equations: Ints, unbalanced: Floats, ground: Floats) -> Floats:
    """Movements (k, f) of the f equations under ``unbalanced`` (k, f), with springs (3n,) to the ground. Raises Unstable."""
    n, f = len(structure.joints), len(equations)
    scale = 1.0 / np.sqrt((_measure(bars, n) + ground)[equations])
    matrix = _matrix(bars, response, equations, scale, n, ground)
    loads = np.empty((f, len(unbalanced) + 1))
    loads[:, :-1] = (unbalanced * scale).T
    # One more right-hand side that no motion of the structure can be at right angles to by chance; its answer shows a soft motion.
    loads[:, -1] = 1.0 + np.modf(np.arange(1, f + 1) * 0.6180339887498949)[0]
    answer = _answer(matrix, loads)
    if not np.abs(answer[:, -1]).max() < _SUSPECT:
        _refuse_mechanism(structure, bars, matrix, equations, scale)
    movements: Floats = answer[:, :-1].T * scale
    if not np.isfinite(movements).all():
        raise ArithmeticError("The stiffness matrix of a stable structure could not be solved.")
    return movements


def _answer(matrix: Floats | csc_array[np.float64], loads: Floats) -> Floats:
    """``matrix`` (f, f) solved for ``loads`` (f, k); infinite where a pivot is exactly zero.

    A truss has some hundred equations: bringing in the sparse solver would take a hundred times as long as solving them.
    """
    try:
        if isinstance(matrix, np.ndarray):
            return np.asarray(np.linalg.solve(matrix, loads), dtype=np.float64)
        from scipy.sparse.linalg import splu

        factored = splu(matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})
        return np.asarray(factored.solve(loads), dtype=np.float64)
    except (RuntimeError, np.linalg.LinAlgError):
        return np.full_like(loads, np.inf)


def _matrix(bars: Bars, response: Floats, equations: Ints, scale: Floats, n: int, ground: Floats) -> Floats | csc_array[np.float64]:
    """The stiffness (f, f) of the f equations, row and column times ``scale`` (f,), equal places summed. Small ones are full, large ones sparse."""
    f = len(equations)
    number = np.full(3 * n, f)  # movements without an equation share one last row and column, which is cut off
    number[equations] = np.arange(f)
    place = number[bars.dofs]
    if f <= _SMALL:
        blocks = np.matmul(bars.shape.transpose(0, 2, 1), response)
        table = _totals(place[:, None, :] * (f + 1) + place[:, :, None], blocks, (f + 1) ** 2).reshape(f + 1, f + 1)[:f, :f]
        table[np.arange(f), np.arange(f)] += ground[equations]
        return np.asarray(table * scale * scale[:, None], dtype=np.float64)
    from scipy.sparse import coo_array

    sized = np.append(scale, 0.0)[place][:, None, :]
    blocks = np.matmul((bars.shape * sized).transpose(0, 2, 1), response * sized)
    place, own = place.astype(np.int32), np.arange(f, dtype=np.int32)
    kept = (place < f)[:, :, None] & (place < f)[:, None, :]
    down, across = (np.concatenate([np.broadcast_to(p, kept.shape)[kept], own]) for p in (place[:, :, None], place[:, None, :]))
    entries = np.concatenate([blocks[kept], ground[equations] * scale**2])
    summed: csc_array[np.float64] = coo_array((entries, (down, across)), shape=(f, f)).tocsc()
    return summed


def _softest(matrix: Floats | csc_array[np.float64]) -> tuple[Floats, Floats]:
    """The least stiffness (1,) of the scaled ``matrix`` (f, f) and its motion (f, 1)."""
    if isinstance(matrix, np.ndarray):
        softness, motions = np.linalg.eigh(matrix)
        return softness[:1], motions[:, :1]
    from scipy.sparse.linalg import eigsh

    start = 1.0 + np.modf(np.arange(1, matrix.shape[0] + 1) * 0.6180339887498949)[0]  # a fixed start, so that the answer is the same each time
    softness, motions = eigsh(matrix, k=1, sigma=-_SOFTEST, v0=start)
    return softness, motions


def _refuse_mechanism(
    structure: Structure, bars: Bars, matrix: Floats | csc_array[np.float64], equations: Ints, scale: Floats
) -> None:  # fmt: skip
    """Raise Unstable if the softest motion of the scaled ``matrix`` (f, f) has no stiffness, naming the joint that moves most."""
    softness, motions = _softest(matrix)
    if softness[0] > _SOFTEST:
        return
    motion = np.zeros(3 * len(structure.joints))
    motion[equations] = motions[:, 0] * scale
    moved = np.abs(motion.reshape(-1, 3))
    shift = np.hypot(moved[:, 0], moved[:, 1])
    turned = moved[:, 2] * bars.length.max()
    # Any travel of a joint tells more than a rotation; the rotation is named only where nothing but rounding travels.
    if shift.max() > 1e-6 * turned.max():
        joint = int(shift.argmax())
        direction = _DIRECTIONS[int(moved[joint, :2].argmax())]
    else:
        joint, direction = int(turned.argmax()), "rotation"
    raise Unstable(
        structure.joint_names[joint],
        direction,
        f"It moves most in a motion that nothing resists (stiffness {max(softness[0], 0.0):.0e} of that of the parts that meet there). "
        "A member, a support or a stiff connection is missing.",
    )


def _result(
    structure: Structure,
    cases: Sequence[LoadCase],
    bars: Bars,
    loads: BarLoads,
    basic: Floats,
    end_force: Floats,
    stations: int,
    movement: Floats,
    reaction: Floats,
) -> tuple[FrameResult, Floats]:
    k, n, m = len(cases), len(structure.joints), len(structure.ends)
    fraction = np.arange(stations) / (stations - 1)
    per_bar = (*along_the_bars(bars, loads, basic, fraction), basic[:, :, 1:], end_force)
    if len(bars.index) < m:
        spread = tuple(np.zeros((k, m, array.shape[2])) for array in per_bar)
        for full, array in zip(spread, per_bar, strict=True):
            full[:, bars.index] = array
        per_bar = (spread[0], spread[1], spread[2], spread[3], spread[4])
    axial, shear, moment, couple, end_force = per_bar
    names = tuple(case.name for case in cases)
    displacement, support = movement.reshape(k, n, 3), reaction.reshape(k, n, 3)
    return FrameResult(names, displacement, support, axial, shear, moment, couple, fraction), end_force


def combine(result: FrameResult, names: Sequence[str], factors: Floats) -> FrameResult:
    """Combinations of load cases: ``factors`` (c, k) times the k rows of ``result``, called ``names`` (c,). Raises ValueError."""
    if factors.shape != (len(names), len(result.names)):
        raise ValueError(f"{len(names)} combinations of {len(result.names)} load cases need as many factors, not {factors.shape}.")

    def mixed(rows: Floats) -> Floats:
        return (factors @ rows.reshape(len(rows), -1)).reshape(-1, *rows.shape[1:])

    return FrameResult(
        tuple(names),
        mixed(result.displacement),
        mixed(result.reaction),
        mixed(result.axial),
        mixed(result.shear),
        mixed(result.moment),
        mixed(result.end_moment),
        result.fraction,
    )


def solve_stages(
    structure: Structure, cases: Sequence[LoadCase], stages: Sequence[tuple[Bools, Mapping[str, float]]], *, stations: int = 5
) -> FrameResult:
    """Build the structure in stages: each adds load cases times factors to the elements (m,) that stand by then.

    Row s of the result is the state after stage s ("stage 1" is the first). An element that is new in a stage starts free of stress in
    the structure as it has moved by then. An element that is taken away hands what it carried to the joints it leaves.
    Raises Unstable for a stage that is a mechanism, ValueError for an unknown load case or no stage.
    """
    if not stages:
        raise ValueError("No stage is given.")
    known = {case.name: case for case in cases}
    if len(known) < len(cases):
        raise ValueError("Two load cases have the same name.")
    total: WithEnds | None = None
    states: list[FrameResult] = []
    for number, (active, factors) in enumerate(stages, start=1):
        missing = [name for name in factors if name not in known]
        if missing:
            raise ValueError(f"Stage {number} adds the load case {missing[0]}, which does not exist.")
        _check(structure, cases, active, stations)
        added = summed(structure, f"stage {number}", [(known[name], factor) for name, factor in factors.items()])
        if total is not None:
            added.nodal[:] += handed_over(structure, active, total.end_force[0])
        step = solve_with_ends(structure, [added], active, stations)
        total = step if total is None else _superposed(total, step, active)
        states.append(total.result)
    return FrameResult(
        tuple(state.names[0] for state in states),
        np.concatenate([state.displacement for state in states]),
        np.concatenate([state.reaction for state in states]),
        np.concatenate([state.axial for state in states]),
        np.concatenate([state.shear for state in states]),
        np.concatenate([state.moment for state in states]),
        np.concatenate([state.end_moment for state in states]),
        states[0].fraction,
    )


def summed(structure: Structure, name: str, parts: Sequence[tuple[LoadCase, float]]) -> LoadCase:
    """One load case out of several times their factors. Its arrays are its own."""
    n, m = len(structure.joints), len(structure.ends)
    total = LoadCase(name, np.zeros((n, 3)), np.zeros((m, 2)), _scaled_points(parts), np.zeros(m), np.zeros((n, 3)))
    for case, factor in parts:
        total.nodal[:] += factor * case.nodal
        total.distributed[:] += factor * case.distributed
        total.strain[:] += factor * case.strain
        total.settlement[:] += factor * case.settlement
    return total


def _scaled_points(parts: Sequence[tuple[LoadCase, float]]) -> tuple[tuple[int, float, float, float], ...]:
    return tuple((element, factor * fx, factor * fy, place) for case, factor in parts for element, fx, fy, place in case.point)


def handed_over(structure: Structure, active: Bools, carried: Floats) -> Floats:
    """(n, 3) loads by which the joints lose the hold of the elements that do not stand any more; ``carried`` (m, 6) before."""
    lost = np.where(active[:, None], 0.0, carried).reshape(-1, 3)
    place = structure.ends.reshape(-1)
    loads = np.stack([_totals(place, lost[:, column], len(structure.joints)) for column in range(3)], axis=1)
    # What cancels at a joint leaves rounding behind, which must not load a joint that has just been taken out.
    size = np.ptp(structure.joints, axis=0).max()
    push, couple = np.abs(lost[:, :2]).max(), np.abs(lost[:, 2]).max()
    noise = _ROUNDING * np.array([push, push, max(couple, push * size)])
    return np.where(np.abs(loads) > noise, loads, 0.0)


def _superposed(before: WithEnds, step: WithEnds, active: Bools) -> WithEnds:
    old, new = before.result, step.result
    stands = active[:, None]
    result = FrameResult(
        new.names,
        old.displacement + new.displacement,
        old.reaction + new.reaction,
        np.where(stands, old.axial + new.axial, 0.0),
        np.where(stands, old.shear + new.shear, 0.0),
        np.where(stands, old.moment + new.moment, 0.0),
        np.where(stands, old.end_moment + new.end_moment, 0.0),
        new.fraction,
    )
    return WithEnds(result, np.where(stands, before.end_force + step.end_force, 0.0))
