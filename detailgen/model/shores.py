"""Where shores with their jacks stand while a truss is worked on: as the work in stages places them, else as the repair's sheet asks for them."""

from __future__ import annotations

from dataclasses import dataclass

from detailgen.model.detail import ACROSS, EDGES, STRANDS, Detail
from detailgen.model.package import Repaired
from detailgen.model.project import Truss
from detailgen.model.timbers import outline_in_place

WIDE, HIGH, BLOCK = 12.0, 30.0, 1.5
"""The room that a jack on its post is taken to need: along and across the chord, and down from its underside; thickness of the block under each ply
(in; common practice, no published source). Whoever plans the shoring has the real one."""


@dataclass(frozen=True)
class ShorePlace:
    """Under a joint of the bottom chord: its place on the chord's underside (in, axes of the truss), the plies that it bears (z from, to), and the
    length of the block under each (in)."""

    joint: str
    x: float
    y: float
    plies: tuple[tuple[float, float], ...]
    block: float = WIDE


def shore_joints(truss: Truss, detail: Detail) -> tuple[str, ...]:
    """The joints of the bottom chord nearest to the joint on both sides of all that is new, but no heel; none for a detail elsewhere. Strands are
    pulled with shores under all joints: told with their guides, not with their heels."""
    if detail.remedy == STRANDS:
        return truss.bottom[1:-1] if detail.axis == ACROSS else ()
    if detail.axis in EDGES:  # nothing is cut or drilled
        return ()
    if detail.member not in {m.name for m in truss.members if m.kind == "bottom chord"}:
        return ()
    xs = [x for part in detail.parts if not part.existing for x, _ in outline_in_place(part)] or [0.0]
    low, high = detail.station + min(xs), detail.station + max(xs)
    inner = truss.bottom[1:-1]
    left = [j for j in inner if truss.joints[j][0] < low]
    right = [j for j in inner if truss.joints[j][0] > high]
    return (*left[-1:], *right[:1])


def strand_shores(one: Repaired) -> tuple[str, ...]:
    """Joints under which shores stand snug, free to let the chord rise, while strands are pulled; none without strands."""
    return tuple(dict.fromkeys(j for d in one.details if d.remedy == STRANDS for j in shore_joints(one.before.truss, d)))


def shore_places(one: Repaired) -> tuple[ShorePlace, ...]:
    """Every shore of a truss, left to right."""
    truss = one.before.truss
    staged = one.staged.joints if one.staged is not None else ()
    joints = {*staged, *strand_shores(one)} if staged else {j for d in one.details for j in shore_joints(truss, d)}
    found = []
    for joint in (j for j in truss.bottom if j in joints):
        plies = [p for m in truss.members if m.kind == "bottom chord" and joint in m.joints for p in m.plies]
        x, y = truss.joints[joint]
        layers = sorted({(p.z - p.thickness / 2, p.z + p.thickness / 2) for p in plies})
        block = next((s.block for s in one.staged.shores if s.joint == joint), WIDE) if one.staged is not None else WIDE
        found.append(ShorePlace(joint, x, y - max(p.depth for p in plies) / 2, tuple(layers), block))
    return tuple(found)
