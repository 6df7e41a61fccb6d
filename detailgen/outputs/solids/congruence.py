"""Is one flat part another one moved? A mark stands for parts that are equal after turning round or turning over; their solid is shared."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from detailgen.model.detail import Part, Vertex

SAME = 2e-3
"""Parts of one mark may differ by this (in): the register of marks takes lengths as equal within a thousandth."""


@dataclass(frozen=True)
class Motion:
    """Where the face of one part goes on another: turned over about its x axis or not, then turned by ``angle`` (rad), then moved (in)."""

    x: float = 0.0
    y: float = 0.0
    angle: float = 0.0
    over: bool = False

    def point(self, x: float, y: float) -> tuple[float, float]:
        c, s = math.cos(self.angle), math.sin(self.angle)
        y = -y if self.over else y
        return self.x + c * x - s * y, self.y + s * x + c * y


def motion_between(model: Part, part: Part) -> Motion | None:
    """The motion that lays ``model`` on ``part``; None where the two are not the same piece."""
    same = (model.material, model.specification) == (part.material, part.specification) and abs(model.thickness - part.thickness) <= SAME
    if not same or len(model.outline) != len(part.outline):
        return None
    return next((m for m in _candidates(model, part) if _lies_on(model, part, m)), None)


def _corners(part: Part, over: bool) -> tuple[Vertex, ...]:
    """The outline counter-clockwise, seen from the other side if ``over``: mirrored and walked backwards, so that each bulge keeps its sign."""
    if not over:
        return part.outline
    count = len(part.outline)
    return tuple(Vertex(part.outline[-k].x, -part.outline[-k].y, part.outline[-k - 1].bulge) for k in range(count))


def _candidates(model: Part, part: Part) -> Iterator[Motion]:
    """No motion first, then every one that lays two far corners of the model on two of the part; turning over is for steel that is not handed."""
    a = part.outline[0]
    apart = max(range(len(part.outline)), key=lambda k: (round(math.dist((a.x, a.y), (part.outline[k].x, part.outline[k].y)), 6), -k))
    b = part.outline[apart]
    for over in (False, True) if model.material == "steel" and not model.handed else (False,):
        corners = _corners(model, over)
        for k, start in enumerate(corners):
            end = corners[(k + apart) % len(corners)]
            if abs(math.dist((start.x, start.y), (end.x, end.y)) - math.dist((a.x, a.y), (b.x, b.y))) > SAME:
                continue
            angle = math.remainder(math.atan2(b.y - a.y, b.x - a.x) - math.atan2(end.y - start.y, end.x - start.x), math.tau)
            c, s = math.cos(angle), math.sin(angle)
            yield Motion(a.x - c * start.x + s * start.y, a.y - s * start.x - c * start.y, angle, over)


def _lies_on(model: Part, part: Part, motion: Motion) -> bool:
    def near(p: tuple[float, float], x: float, y: float) -> bool:
        return math.dist(p, (x, y)) <= SAME

    moved = [(motion.point(v.x, -v.y if motion.over else v.y), v.bulge) for v in _corners(model, motion.over)]
    outline = any(
        all(near(at, v.x, v.y) and abs(bulge - v.bulge) <= SAME for (at, bulge), v in zip(moved[k:] + moved[:k], part.outline, strict=True))
        for k in range(len(moved))
    )
    if not outline or len(model.holes) != len(part.holes) or len(model.slots) != len(part.slots):
        return False
    for h in model.holes:
        at = motion.point(h.x, h.y)
        if not any(near(at, o.x, o.y) and abs(o.diameter - h.diameter) <= SAME for o in part.holes):
            return False
    for s in model.slots:
        at, angle = motion.point(s.x, s.y), motion.angle + (-s.angle if motion.over else s.angle)
        if not any(
            near(at, o.x, o.y) and max(abs(o.length - s.length), abs(o.width - s.width)) <= SAME and abs(math.sin(o.angle - angle)) <= SAME
            for o in part.slots
        ):
            return False
    return True
