"""Forces in the deformed structure: the axial forces act along the elements as they have moved.

The moved axial forces are put on as loads until nothing changes, so one factorisation serves. Each element is straight between its joints:
a member that bows between them must be in pieces, as the chords are; what remains within a piece is left to the formulas for columns.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from detailgen.analysis.elements import bars_of
from detailgen.analysis.frame import Unstable, solve
from detailgen.model.structure import Bools, Floats, FrameResult, LoadCase, Structure

ROUNDS = 100
_STILL = 1e-9
NOTABLE = 1.05
"""Growth of moments or movements above which the first-order answer should not stand alone (ours)."""


@dataclass(frozen=True)
class SecondOrder:
    """The answers in the deformed structure, and by what the greatest moment and the greatest movement of each combination have grown."""

    result: FrameResult
    growth: Floats  # (c,)

    def warnings(self) -> tuple[str, ...]:
        """Combinations in which the growth is more than 5 percent."""
        grown = zip(self.result.names, self.growth, strict=True)
        return tuple(f"{name}: moments or movements grow by {100 * (g - 1):.0f} % in the deformed truss." for name, g in grown if g > NOTABLE)


def solve_second_order(structure: Structure, combinations: Sequence[LoadCase], *, active: Bools | None = None, stations: int = 5) -> SecondOrder:
    """Solve combinations (each the whole load, as one load case) in the deformed structure.

    Raises: Unstable for a mechanism, and where the structure buckles under a combination
    """
    index = np.arange(len(structure.ends)) if active is None else np.flatnonzero(active)
    bars = bars_of(structure, index)
    across = np.stack([-bars.direction[:, 1], bars.direction[:, 0]], axis=1)
    first = solve(structure, combinations, active=active, stations=stations)
    result, size = first, max(float(np.abs(first.displacement[:, :, :2]).max()), 1e-30)
    k, n = len(combinations), len(structure.joints)
    for _ in range(ROUNDS):
        moved = result.displacement.reshape(k, -1)[:, bars.dofs]
        push = result.axial[:, index].mean(axis=2) * _turn(moved, bars.offset, across, bars.length)
        extra = np.zeros((k, n, 3))
        for end, sign in ((0, 1.0), (1, -1.0)):
            force = sign * push[:, :, None] * across
            arm = bars.offset[:, end]
            couple = arm[:, 0] * force[:, :, 1] - arm[:, 1] * force[:, :, 0]
            for row in range(k):
                np.add.at(extra[row], bars.ends[:, end], np.column_stack([force[row], couple[row]]))
        loads = [replace(load, nodal=load.nodal + more) for load, more in zip(combinations, extra, strict=True)]
        following = solve(structure, loads, active=active, stations=stations)
        change = float(np.abs(following.displacement - result.displacement)[:, :, :2].max())
        result = following
        if not np.isfinite(change) or change > 1e6 * size:
            break
        if change <= _STILL * size:
            return SecondOrder(result, _growth(first, result))
    worst = int(np.abs(result.displacement[:, :, :2]).max(axis=(1, 2)).argmax())
    joint = int(np.abs(result.displacement[worst, :, :2]).max(axis=1).argmax())
    raise Unstable(structure.joint_names[joint], "y", f"Under {combinations[worst].name} it buckles: the deformed truss finds no rest.")


def _turn(moved: Floats, offset: Floats, across: Floats, length: Floats) -> Floats:
    """(k, m) rotation of the line between each element's ends; ``moved`` (k, m, 6)."""
    ends = []
    for end in (0, 1):
        x, y, r = (moved[:, :, 3 * end + i] for i in range(3))
        arm = offset[:, end]
        ends.append((x - r * arm[:, 1]) * across[:, 0] + (y + r * arm[:, 0]) * across[:, 1])
    turn: Floats = (ends[1] - ends[0]) / length
    return turn


def _growth(first: FrameResult, result: FrameResult) -> Floats:
    ratios = []
    for name in ("moment", "displacement"):
        before, after = (np.abs(getattr(r, name)).reshape(len(r.names), -1).max(axis=1) for r in (first, result))
        ratios.append(np.where(before > 0, after / np.where(before > 0, before, 1.0), 1.0))
    grown: Floats = np.maximum(*ratios)
    return grown
