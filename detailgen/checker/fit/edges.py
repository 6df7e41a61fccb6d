"""A detail on a member's edge, seen across the truss: its new parts turned, so that they can be held against what stands in the truss's plane."""

from __future__ import annotations

from dataclasses import replace

from detailgen.model.detail import ACROSS, Detail, Part, Placement, Vertex
from detailgen.model.outlines import bounds
from detailgen.model.work_points import edge_side


def turned(detail: Detail, angle: float) -> Detail:
    """The same parts, all of them square blocks, as a detail that is looked at across the truss; no holes and no bolts.

    angle: at which the member runs at the work point (rad)
    """
    depth = max(p.thickness for p in detail.parts if p.kind == "ply")
    side = edge_side(angle, detail.axis)
    parts = tuple(_turned(p, depth, side) for p in detail.parts if not p.existing)
    return replace(detail, parts=parts, bolts=(), groups=(), zones=(), axis=ACROSS)


def _turned(part: Part, depth: float, side: float) -> Part:
    x0, y0, x1, y1 = bounds(part.outline)
    at = part.placement
    if at.angle:  # a quarter turn
        x0, y0, x1, y1 = -y1, x0, -y0, x1
    low, high = sorted(side * (at.y + y) for y in (y0, y1))
    near, far = sorted(side * (depth / 2 + at.z + z) for z in (0.0, part.thickness))
    corners = (Vertex(low, near), Vertex(high, near), Vertex(high, far), Vertex(low, far))
    return replace(part, outline=corners, holes=(), slots=(), open_ends=(), thickness=x1 - x0, placement=Placement(0.0, 0.0, at.x + x0))
