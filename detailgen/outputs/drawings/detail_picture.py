"""The joint as a picture on its sheet, where there is room for it: lines of paper, not to scale."""

from __future__ import annotations

import math
from functools import cache

from detailgen.model.detail import ACROSS, EDGES, Detail
from detailgen.outputs.drawings.blocks import Block, Listing
from detailgen.outputs.drawings.detail_scene import Scene
from detailgen.outputs.drawings.shapes import Line, Shape, Text
from detailgen.outputs.drawings.sheets import Lettering
from detailgen.outputs.solids.picture import BOLTS, EXISTING, YAW, Picture, picture

LEAST, WIDEST, TALLEST = 4.0, 6.5, 2.8
SHORT = 0.007
"""Shorter strokes (in of paper) are left out: they would only blot."""
THIN = {EXISTING: "existing", BOLTS: "symbols"}
"""Small as it is, the picture has thin lines; what is new stands out by its darker ones."""
NEW = "new bolts"


def detail_picture(detail: Detail, scene: Scene, letters: Lettering) -> Listing:
    """Seen from the side of the elevation, from the upper right."""
    drawn = cache(lambda: picture(detail, YAW + (math.pi if scene.behind else 0.0)))  # a sheet is laid out several times
    return Listing("PICTURE", (("",),), LEAST, lambda _title, _first, _items, width: _block(drawn(), scene, letters, width))


def _block(drawn: Picture, scene: Scene, letters: Lettering, width: float) -> Block:
    x0, y0, x1, y1 = drawn.box
    factor = max((x1 - x0) / min(width, WIDEST), (y1 - y0) / TALLEST)
    h = letters.heading
    side = f"the {scene.facing[0]}" if scene.detail.axis in (ACROSS, *EDGES) else "outside"
    rule = -1.25 * h - letters.line - 0.3 * h
    shapes: list[Shape] = [
        Text("notes", "PICTURE", (0.0, -1.1 * h), h),
        Text("notes", f"From {side}, not to scale.", (0.0, -1.25 * h - letters.line), letters.note),
        Line("tables", (0.0, rule), (width, rule)),
    ]
    left, top = (width - (x1 - x0) / factor) / 2, rule - 0.1
    for s in drawn.strokes:
        a, b = ((left + (p[0] - x0) / factor, top - (y1 - p[1]) / factor) for p in (s.start, s.end))
        if math.dist(a, b) > SHORT:
            shapes.append(Line(THIN.get(s.layer, NEW), a, b))
    return Block(tuple(shapes), -top + (y1 - y0) / factor + 0.2)
