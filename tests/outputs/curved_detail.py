"""A splice of the near ply of the hand-made truss's curved top chord: a straight plate, wood cut to the curve, in the axes of its work point."""

from __future__ import annotations

import math
from dataclasses import replace

from hand_made import SPAN, R
from splice_fixture import BOLT, HOLE, PLATE, STEEL, WOOD, rectangle, splice_detail

from detailgen.model.detail import Bolt, Detail, Hole, Part, Placement, Vertex

STATION = 225.0
DEPTH, PLY, BETWEEN, CUT, REACH = 9.5, 1.5, 1.5, 4.0, 40.0
COLUMNS = (-14.5, -9.0, 9.0, 14.5)
ROWS = (-1.75, 1.75)
HALF, WIDTH = 16.25, 6.5


def drop(x: float, offset: float) -> float:
    """y of a concentric arc, ``offset`` outside of the centre line, at x from the work point: its centre is one radius below it."""
    return math.sqrt((R + offset) ** 2 - x**2) - R


def ring(x1: float, x2: float, depth: float = DEPTH) -> tuple[Vertex, ...]:
    """What a ply of the curved chord is between two cuts square to the tangent."""
    low, high = R - depth / 2, R + depth / 2

    def bulge(radius: float) -> float:
        return math.tan((math.asin(x2 / radius) - math.asin(x1 / radius)) / 4)

    return (
        Vertex(x1, drop(x1, -depth / 2), -bulge(low)), Vertex(x2, drop(x2, -depth / 2)),
        Vertex(x2, drop(x2, depth / 2), bulge(high)), Vertex(x1, drop(x1, depth / 2)),
    )  # fmt: skip


def curved_detail(mark: str = "T3", station: float = STATION) -> Detail:
    """The truss's work point on the curve at ``station``; x runs along the tangent there."""
    assert 0 < station < SPAN
    places = tuple((x, y) for x in COLUMNS for y in ROWS)

    def holes(template: str, keep=lambda x: True) -> tuple[Hole, ...]:
        return tuple(Hole(x, y, HOLE, "B1", template) for x, y in places if keep(x))

    steel = {"material": "steel", "specification": "ASTM A36", "grain": math.nan, "existing": False, "unit_weight": STEEL, "finish": "galvanized"}
    timber = {"material": "wood", "specification": "Douglas Fir-Larch No.1", "grain": 0.0, "existing": True, "unit_weight": WOOD}
    block = {"material": "wood", "specification": "Douglas Fir-Larch No.2", "grain": 0.0, "existing": False, "unit_weight": WOOD}
    plate = rectangle(-HALF, HALF, -WIDTH / 2, WIDTH / 2)
    near, far = BETWEEN / 2, -BETWEEN / 2 - PLY
    filler = rectangle(0.0, 10.0, -3.0, 3.0)
    filler_holes = tuple(Hole(x - 7.0, y, HOLE, "B1", "plate-near") for x, y in places if x > 0)
    parts = (
        Part("plate-near", "plate", "outer splice plate", plate, holes(""), (), PLATE, Placement(0, 0, near + PLY), **steel),
        Part("filler-right", "filler", "filler block", filler, filler_holes, (), BETWEEN, Placement(7.0, 0, -BETWEEN / 2), **block),
        Part("filler-left", "filler", "filler block", filler, filler_holes, (), BETWEEN, Placement(-7.0, 0, -BETWEEN / 2, math.pi), **block),
        Part("ply-near-left", "ply", "near ply, left of the cut", ring(-REACH, -CUT / 2), holes("plate-near", lambda x: x < 0), (), PLY,
             Placement(0, 0, near), open_ends=(-REACH,), **timber),
        Part("ply-near-right", "ply", "near ply, right of the cut", ring(CUT / 2, REACH), holes("plate-near", lambda x: x > 0), (), PLY,
             Placement(0, 0, near), open_ends=(REACH,), **timber),
        Part("ply-far", "ply", "far ply", ring(-REACH, REACH), holes("plate-near"), (), PLY, Placement(0, 0, far), open_ends=(-REACH, REACH),
             **timber),
    )  # fmt: skip
    bolts = tuple(Bolt("B1", x, y, BOLT, far, near + PLY + PLATE, 6.0, "ASTM A307", 2) for x, y in places)
    like = splice_detail()
    names = tuple(p.key for p in parts)
    group = replace(like.groups[0], positions=places, parts=names, interfaces=(), loads=(), rows=2, per_row=2, spacing=5.5, gauge=3.5)
    return replace(
        like, key=f"{mark}-splice-curved", title="Splice of the near ply of the top chord", truss=mark, member="top chord", station=station,
        parts=parts, bolts=bolts, groups=(group,), zones=(), brings=(),
    )  # fmt: skip
