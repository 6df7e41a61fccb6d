"""Forces of members between two joints, from the frame's answers or from an imported table."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from detailgen.model.assessment import Combination, Floats, Forces, MemberForces
from detailgen.model.frame import FrameModel
from detailgen.model.project import Truss
from detailgen.model.structure import FrameResult


def member_forces(model: FrameModel, result: FrameResult) -> dict[str, MemberForces]:
    """Join the pieces of each member. Where two pieces meet, the station stands twice: the axis turns there."""
    found = {}
    owners = np.array(model.structure.member)
    for member, length in model.member_length.items():
        pieces = np.flatnonzero(owners == member)
        steps = model.structure.station[pieces][:, None] + model.length[pieces][:, None] * result.fraction
        count = len(result.names)

        def joined(values: np.ndarray[tuple[int, ...], np.dtype[np.float64]], which: np.ndarray = pieces, k: int = count) -> np.ndarray:
            return values[:, which, :].reshape(k, -1)

        station = np.minimum(steps.ravel(), length)
        found[member] = MemberForces(member, station, joined(result.axial), joined(result.shear), joined(result.moment))
    return found


def bearing_forces(model: FrameModel, result: FrameResult, truss: Truss) -> dict[str, Floats]:
    """What each bearing pushes back, along the span and up (c, 2)."""
    names = model.structure.joint_names
    return {s.joint: result.reaction[:, names.index(s.joint), :2] for s in truss.supports}


def weighted(forces: Forces, rows: Sequence[tuple[Combination, Sequence[tuple[int, float]]]]) -> Forces:
    """Linear combinations of a structure's combinations: each new one is a sum of (index, weight) of the given ones."""
    weights = np.zeros((len(rows), len(forces.combinations)))
    for k, (_, terms) in enumerate(rows):
        for index, weight in terms:
            weights[k, index] += weight
    members = {name: MemberForces(name, f.station, weights @ f.axial, weights @ f.shear, weights @ f.moment) for name, f in forces.members.items()}
    strands = None if forces.strands is None else weights @ forces.strands
    bearings = None if forces.bearings is None else {joint: weights @ pushed for joint, pushed in forces.bearings.items()}
    return Forces(forces.structure, forces.stage, tuple(c for c, _ in rows), members, forces.source, strands, bearings=bearings)
