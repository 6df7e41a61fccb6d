"""Do strands run clear of the new steel beside their chord? Measured between the strands as a heel's sheet draws them and the joint's own bodies."""

from __future__ import annotations

import math
from collections.abc import Iterator

from detailgen.checker.fit.bodies import Body, Round
from detailgen.checker.fit.bolts import Rig, cylinders
from detailgen.checker.fit.found import HOUSE, fit_result
from detailgen.core.result import CheckResult
from detailgen.model.detail import FROM_LEFT, FROM_RIGHT, STRANDS, Detail, Part
from detailgen.model.package import Repaired

TO_THE_RIGHT = {FROM_LEFT: 1.0, FROM_RIGHT: -1.0}
"""The near side of the truss as it is seen along a chord: to the right from outside of its left end, to the left from outside of its right end."""
SLEEVE = 0.25
"""Between a bare strand and steel that it passes: its sheath and room to draw it through (in; common practice, no published source)."""


def run_results(rig: Rig, one: Repaired) -> Iterator[CheckResult]:
    """The nearest of the joint's new plates, bolts, washers and nuts to any strand; nothing where no strand passes the joint."""
    plan, detail = one.stressing, rig.detail
    if plan is None or detail.remedy == STRANDS or not plan.anchor_x[0] < detail.station < plan.anchor_x[1]:
        return
    ends = [(d, TO_THE_RIGHT[d.axis]) for d in one.details if d.axis in TO_THE_RIGHT and d.member == detail.member]
    lines = [(p, turn) for d, turn in ends for p in d.parts if p.kind == "strand"]
    near = [(_clear(line, turn, shape), shape.name, line.name) for line, turn in lines for shape in _steel(rig, detail)]
    if near:
        room, what, strand = min(near, key=lambda n: (round(n[0], 6), n[1], n[2]))
        yield fit_result(f"{detail.key}, {what}", f"clear of {strand}, which passes it", SLEEVE, room, cite=HOUSE)


def _steel(rig: Rig, detail: Detail) -> Iterator[Body | Round]:
    yield from (rig.bodies[p.key] for p in detail.parts if not p.existing)
    for bolt in detail.bolts:
        yield from cylinders(bolt, rig.bolt_name(bolt))


def _clear(strand: Part, turn: float, shape: Body | Round) -> float:
    """From a strand's side to a body; the strand is taken to pass its whole length (in)."""
    z, y = turn * strand.placement.x, strand.placement.y
    radius = max(v.x for v in strand.outline)
    low, high = (shape.box[1], shape.box[3]) if isinstance(shape, Body) else (shape.y - shape.radius, shape.y + shape.radius)
    return math.hypot(max(low - y, 0.0, y - high), max(shape.low - z, 0.0, z - shape.high)) - radius
