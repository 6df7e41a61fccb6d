"""Jacks under the bottom chord that take its pull off while side members are fitted to it: where the survey lets shores stand, and how much."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from detailgen.analysis.frame import solve
from detailgen.assessment.shoring import Jacks, jacks_by, may_stand
from detailgen.model.project import Truss
from detailgen.model.structure import LoadCase
from detailgen.remedies.contract import Solved
from detailgen.remedies.side_member import parameters as p

DEAD = "D"


def jacks_that_lift(truss: Truss, bare: Solved, panels: Sequence[str]) -> list[Jacks]:
    """Jacks that take part of the dead load's pull, or all, off some panels of the bottom chord: the fewest joints first, the least force first; none
    where no shore may stand.

    bare: the truss without side members
    """
    joints = may_stand(truss)
    names = [c.name for c in bare.forces.combinations]
    if not joints or DEAD not in names:
        return []
    pull = np.array([float(bare.forces.members[p].axial[names.index(DEAD)].mean()) for p in panels])
    if not (pull > 0).any():
        return []
    model, rows = bare.model, {j: bare.model.structure.joint_names.index(j) for j in joints}
    n, m = len(model.structure.joints), len(model.structure.ends)
    cases = []
    for joint in joints:
        nodal = np.zeros((n, 3))
        nodal[rows[joint], 1] = 1.0
        cases.append(LoadCase(joint, nodal, np.zeros((m, 2)), (), np.zeros(m), np.zeros((n, 3))))
    answers = solve(model.structure, cases, active=model.active)
    owners = np.array(model.structure.member)
    relief = {j: np.array([-float(answers.axial[k, owners == p].mean()) for p in panels]) for k, j in enumerate(joints)}
    lift = {j: {other: float(answers.displacement[k, r, 1]) for other, r in rows.items()} for k, j in enumerate(joints)}
    whole = jacks_by(truss, panels, joints, pull, relief, lift)[: p.LIFTS]
    return [_part(jacks, part, float(pull.max())) for jacks in whole for part in p.PARTS]


def _part(jacks: Jacks, part: float, pull: float) -> Jacks:
    """The same jacks with so much of their force and lift."""
    if part >= 1.0:
        return jacks
    force, lift = ({j: part * v for j, v in each.items()} for each in (jacks.force, jacks.lift))
    return Jacks(force, lift, pull - part * (pull - jacks.left))
