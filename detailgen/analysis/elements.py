"""The straight elastic bar, all bars of the frame at once.

Each bar is described by three numbers that do not change when it moves as a rigid body: its lengthening and the two rotations of
its ends against the line between them. Their partners are the mean axial force and the two end couples. Written so, a bar is in
equilibrium by construction, whatever its arms, springs and loads.

Source: slope-deflection equations of a bar that also shears, with rotational springs at both ends, solved in closed form (own derivation):
``M = (1 + K0 C)^-1 (K0 phi + F)`` with ``C = diag(1 / k)``, ``K0 = E I / L ((a, b), (b, a))``, ``a = (4 + s) / (1 + s)``, ``b = (2 - s) / (1 + s)``
and ``s = 12 E I / (G A L^2)``, written with the fixity ``r = 1 / (1 + a E I / (k L))``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from detailgen.model.structure import Bools, Floats, Ints, LoadCase, Structure

# An arm shorter than this part of its bar is rounding in the survey's coordinates, not an arm.
ARM_NOISE = 1e-9


@dataclass(frozen=True)
class Bars:
    """The m bars that take part. ``shape`` turns six joint movements into (lengthening, rotation, rotation)."""

    index: Ints  # (m,) rows of the Structure
    ends: Ints  # (m, 2)
    dofs: Ints  # (m, 6): x, y, rotation of the start joint, then of the end joint
    length: Floats  # (m,), in
    direction: Floats  # (m, 2), unit vector
    offset: Floats  # (m, 2, 2), in
    shape: Floats  # (m, 3, 6)
    stiffness: Floats  # (m, 3, 3): lb/in for the first, in-lb/rad for the other two
    share: Floats  # (m, 2, 2): fixed-end couples (a row) times this are the couples that the springs let through
    to_bar: Floats  # (m, 2, 2): a force in x and y (a row) times this is the force along and across, to the left
    turns: Bools  # (m, 2): the end resists a rotation of its joint
    arms: bool  # any offset at all
    soft: Floats  # (m,): what shear adds to bending, 12 E I / (G A L^2)


@dataclass(frozen=True)
class BarLoads:
    """What the loads on k cases and m bars do, before any joint moves."""

    end_force: Floats  # (k, m, 2, 2), lb: share of the load that each end receives by the lever rule
    fixed: Floats  # (k, m, 3): mean axial force (lb) and end couples (in-lb) of the bar with held ends
    along: Floats  # (k, m), lb/in
    across: Floats  # (k, m), lb/in, to the left of the direction
    point: Floats  # (p, 5): case, bar (row of Bars), along lb, across lb, distance in


def bars_of(structure: Structure, index: Ints) -> Bars:
    """Geometry and stiffness of the bars ``index`` (m,). Raises ValueError for a bar without length or with an impossible property."""
    whole = len(index) == len(structure.ends)
    pick = slice(None) if whole else index
    ends, offset, spring = structure.ends[pick], structure.offset[pick], structure.spring[pick]
    E, A, I = structure.E[pick], structure.A[pick], structure.I[pick]  # noqa: E741
    vector = structure.joints[ends[:, 1]] - structure.joints[ends[:, 0]]
    arms = bool(offset.any())
    if arms:
        vector = vector + offset[:, 1] - offset[:, 0]
    length = np.sqrt(vector[:, 0] ** 2 + vector[:, 1] ** 2)
    possible = (length > 0.0) & (E > 0.0) & (A > 0.0) & (I >= 0.0) & (length + E + A + I < np.inf) & (spring.min(axis=1) >= 0.0)
    if not possible.all():
        row = int(index[possible.argmin()])
        raise ValueError(
            f"Element {row} of member {structure.member[row]} cannot be: length {length[possible.argmin()]:g}, E {structure.E[row]:g}, "
            f"A {structure.A[row]:g}, I {structure.I[row]:g}, springs {structure.spring[row, 0]:g} and {structure.spring[row, 1]:g}."
        )
    direction = vector / length[:, None]

    bending = E * I / length
    bends = (spring > 0.0) & (I > 0.0)[:, None]
    soft = np.zeros(len(length)) if structure.shear is None else 12.0 * bending / (structure.shear[pick] * length)
    near, ratio = (4.0 + soft) / (1.0 + soft), (2.0 - soft) / (4.0 + soft)
    fixity = np.where(bends, 1.0 / (1.0 + near[:, None] * bending[:, None] / np.where(bends, spring, 1.0)), 0.0)
    r1, r2 = fixity[:, 0], fixity[:, 1]
    gives1, gives2 = 1.0 - r1, 1.0 - r2
    below = 1.0 / (1.0 - ratio**2 * gives1 * gives2)
    share = np.empty((len(length), 2, 2))
    share[:, 0, 0] = r1 * below
    share[:, 1, 0] = -ratio * gives2 * r1 * below
    share[:, 0, 1] = -ratio * gives1 * r2 * below
    share[:, 1, 1] = r2 * below
    # share @ K0 multiplied out, so that the two off-diagonal terms are the same number and not only nearly so.
    stiffness = np.zeros((len(length), 3, 3))
    stiffness[:, 0, 0] = E * A / length if structure.slip is None else 1.0 / (length / (E * A) + 1.0 / structure.slip[pick])
    bending = near * bending * below
    stiffness[:, 1, 1] = bending * r1 * (1.0 - ratio**2 * gives2)
    stiffness[:, 2, 2] = bending * r2 * (1.0 - ratio**2 * gives1)
    stiffness[:, 1, 2] = stiffness[:, 2, 1] = ratio * bending * r1 * r2

    to_bar = np.empty((len(length), 2, 2))
    to_bar[:, :, 0] = direction
    to_bar[:, 0, 1] = -direction[:, 1]
    to_bar[:, 1, 1] = direction[:, 0]

    shape = np.zeros((len(length), 3, 6))
    shape[:, 0, 0:2] = -direction
    shape[:, 0, 3:5] = direction
    slope = direction / length[:, None]
    shape[:, 1:, 0] = -slope[:, 1:]
    shape[:, 1:, 1] = slope[:, :1]
    shape[:, 1:, 3] = slope[:, 1:]
    shape[:, 1:, 4] = -slope[:, :1]
    shape[:, 1, 2] = 1.0
    shape[:, 2, 5] = 1.0
    turns = fixity > 0.0
    if arms:
        # A turning joint moves the bar's end by rotation x (-oy, ox): both rows of movement feed the rotation's column.
        for column in (2, 5):
            arm = offset[:, column // 3]
            shape[:, :, column] += shape[:, :, column - 1] * arm[:, :1] - shape[:, :, column - 2] * arm[:, 1:]
        turns |= np.abs(offset).max(axis=2) > ARM_NOISE * length[:, None]
    dofs = (3 * ends[:, :, None] + np.arange(3)).reshape(-1, 6)
    return Bars(index, ends, dofs, length, direction, offset, shape, stiffness, share, to_bar, turns, arms, soft)


def loads_of(bars: Bars, cases: Sequence[LoadCase], members: Sequence[str]) -> BarLoads:
    """Loads on the bars for k cases. Raises ValueError for a point load that lies beyond its bar. Loads on other bars are not read."""
    whole = len(members) == len(bars.index)
    pick = slice(None) if whole else bars.index
    distributed = np.array([case.distributed[pick] for case in cases])
    strain = np.array([case.strain[pick] for case in cases])
    along, across = by_bar(distributed, bars.to_bar).transpose(2, 0, 1)
    end_force = np.empty((*along.shape, 2, 2))
    end_force[:] = (distributed * (0.5 * bars.length)[:, None])[:, :, None, :]
    couples = np.empty((*along.shape, 2))
    couples[:, :, 1] = across * (bars.length**2 / 12.0)
    couples[:, :, 0] = -couples[:, :, 1]
    point = _point_loads(bars, cases, members, end_force, couples)
    fixed = np.empty((*along.shape, 3))
    fixed[:, :, 0] = -bars.stiffness[:, 0, 0] * bars.length * strain
    fixed[:, :, 1:] = by_bar(couples, bars.share)
    return BarLoads(end_force, fixed, along, across, point)


def by_bar(values: Floats, matrix: Floats) -> Floats:
    """Multiply the row (k, m, :) of each bar by the bar's own ``matrix`` (m, :, :), from the right."""
    product: Floats = np.matmul(values.transpose(1, 0, 2), matrix).transpose(1, 0, 2)
    return product


def _point_loads(bars: Bars, cases: Sequence[LoadCase], members: Sequence[str], end_force: Floats, couples: Floats) -> Floats:
    """Add the point loads to ``end_force`` and ``couples`` (both changed in place) and return them in bar axes, (p, 5)."""
    listed = [(case_number, *load) for case_number, case in enumerate(cases) for load in case.point]
    if not listed:
        return np.zeros((0, 5))
    place = {int(row): number for number, row in enumerate(bars.index)}
    rows = []
    for case_number, element, fx, fy, distance in listed:
        if not 0 <= element < len(members):
            raise ValueError(f"Load case {cases[case_number].name} has a point load on element {element}, which does not exist.")
        if element not in place:
            continue  # the bar takes no part in this stage, nor do its loads
        bar = place[element]
        length = float(bars.length[bar])
        if not -ARM_NOISE * length <= distance <= (1.0 + ARM_NOISE) * length:
            raise ValueError(
                f"Load case {cases[case_number].name} has a point load {distance:g} from the start of an element of {members[element]} "
                f"that is only {length:g} long."
            )
        part = min(max(distance / length, 0.0), 1.0)
        cx, cy = bars.direction[bar]
        along, across = fx * cx + fy * cy, fy * cx - fx * cy
        end_force[case_number, bar, 0] += np.array([fx, fy]) * (1.0 - part)
        end_force[case_number, bar, 1] += np.array([fx, fy]) * part
        soft = float(bars.soft[bar])
        size = across * length * part * (1.0 - part) / (1.0 + soft)
        couples[case_number, bar, 0] -= size * (1.0 - part + soft / 2.0)
        couples[case_number, bar, 1] += size * (part + soft / 2.0)
        rows.append((case_number, bar, along, across, part * length))
    return np.array(rows, dtype=np.float64).reshape(-1, 5)


def along_the_bars(bars: Bars, loads: BarLoads, basic: Floats, fraction: Floats) -> tuple[Floats, Floats, Floats]:
    """Axial force, shear and moment, each (k, m, s), from the bars' mean axial forces and end couples ``basic`` (k, m, 3).

    A station that falls on a point load has the values just before it; where the load stands at the very start, those just after it.
    """
    # Each is a polynomial in the fraction of the length, worked out station by station in memory (s, k, m) and seen as (k, m, s): long rows are
    # quick, and a product of matrices so thin costs more in threads than it brings.
    start, both = basic[:, :, 1], basic[:, :, 1] + basic[:, :, 2]
    load_along, load_across = loads.along * bars.length, loads.across * bars.length
    arch = 0.5 * load_across * bars.length
    part = fraction[:, None, None]
    half = part - 0.5
    axial, shear, moment = -load_along * half, load_across * half, arch * part
    axial += basic[:, :, 0]
    shear += both / bars.length
    moment += both - arch
    moment *= part
    moment -= start
    axial, shear, moment = (v.transpose(1, 2, 0) for v in (axial, shear, moment))
    for case_number, bar, push, lift, distance in loads.point:
        where = int(case_number), int(bar)
        size = bars.length[where[1]]
        at = distance / size
        passed = (fraction > at + ARM_NOISE) | (at < ARM_NOISE)
        axial[where] += push * np.where(passed, -at, 1.0 - at)
        shear[where] -= lift * np.where(passed, -at, 1.0 - at)
        moment[where] -= lift * size * np.where(passed, at * (1.0 - fraction), (1.0 - at) * fraction)
    return axial, shear, moment


def joint_forces(bars: Bars, basic: Floats) -> Floats:
    """Forces of the joints on unloaded bars at the joints, (k, m, 6): lb, lb, in-lb at the start, then at the end."""
    return by_bar(basic, bars.shape)


def load_forces(bars: Bars, loads: BarLoads) -> Floats:
    """Forces (k, m, 6) with which the joints carry the loads on the bars by the lever rule."""
    forces = np.zeros((*loads.along.shape, 2, 3))
    forces[..., :2] = -loads.end_force
    if bars.arms:
        forces[..., 2] = bars.offset[..., 1] * loads.end_force[..., 0] - bars.offset[..., 0] * loads.end_force[..., 1]
    return forces.reshape(*loads.along.shape, 6)
