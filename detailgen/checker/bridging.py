"""Wood that carries a group's force across a joint, as a block between two cut plies does: the same group loads it on both sides of its middle."""

from __future__ import annotations

from detailgen.checker.drawing import Drawing, Face

TOUCH = 0.02
"""Parts nearer to each other than this (in) in the plan touch."""


def loaded(face: Face, group: str) -> bool:
    return any(x.group == group and max(x.tension, x.compression) > 0 for x in face.loads)


def bridges(drawing: Drawing, face: Face, group: str) -> bool:
    """Is it seen whole, has it the group's holes on both sides of its middle, and does other wood lie on its face that the group loads?

    A new length of a ply is none: what it is joined to lies in line with it. Without a plan nothing is one.
    """
    own = drawing.box_in_plan(face)
    if face.material != "wood" or face.open_ends != "none" or own is None:
        return False
    x0, _, x1, _ = face.outline.box
    holes = [h.x - (x0 + x1) / 2 for h in face.of_group(group)]
    if not holes or not min(holes) < 0 < max(holes):
        return False
    others = [f for f in drawing.joint(face.detail) if f is not face and f.material == "wood" and loaded(f, group)]
    boxes = [b for f in others if (b := drawing.box_in_plan(f)) is not None]
    return any(min(abs(b[1] - own[3]), abs(b[3] - own[1])) < TOUCH and b[0] < own[2] - TOUCH and b[2] > own[0] + TOUCH for b in boxes)
