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
SMALL = 0.1
NOTABLE = 1.05
"""Growth of moments or movements above which the first-order answer should not stand alone (ours)."""


class Buckles(Unstable):
    """A structure that stands without load and buckles under it, in its plane."""


@dataclass(frozen=True)
class SecondOrder:
    """The answers in the deformed structure, and by what moments or movements have grown most in each combination."""

    result: FrameResult
    growth: Floats  # (c,)

    def warnings(self) -> tuple[str, ...]:
        """One sentence where the growth is more than 5 percent in any combination."""
        over = int((self.growth > NOTABLE).sum())
        if not over:
            return ()
        worst = int(self.growth.argmax())
        most = f"by {100 * (self.growth[worst] - 1):.0f} % under {self.result.names[worst]}"
        others = f", by more than 5 % in {over} of {len(self.growth)} combinations" if over > 1 else ""
        return (f"Moments or movements grow {most} in the deformed truss{others}: what is found on its first shape does not hold.",)


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
    raise Buckles(structure.joint_names[joint], "y", f"Under {combinations[worst].name} it buckles: the deformed truss finds no rest.")


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
    """(c,) by what the moment of an element or the movement of a joint has grown most; small ones count as a tenth of the greatest."""
    grown = np.ones(len(result.names))
    pairs = (
        (np.abs(first.moment).max(axis=2), np.abs(result.moment).max(axis=2)),
        (np.abs(first.displacement[:, :, :2]).max(axis=2), np.abs(result.displacement[:, :, :2]).max(axis=2)),
    )
    for before, after in pairs:
        floor = np.maximum(before, SMALL * before.max(axis=1, keepdims=True))
        grown = np.maximum(grown, np.where(floor > 0, after / np.where(floor > 0, floor, 1.0), 1.0).max(axis=1))
    return grown
