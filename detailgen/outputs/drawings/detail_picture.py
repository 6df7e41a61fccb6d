"""The joint as a picture on its sheet, where there is room for it: lines of paper, not to scale."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from detailgen.model.detail import ACROSS, EDGES
from detailgen.outputs.drawings.blocks import AFTER, TABLE_LEAST, Block, Box, Listing
from detailgen.outputs.drawings.detail_scene import Scene
from detailgen.outputs.drawings.shapes import Line, Shape, Text, moved
from detailgen.outputs.drawings.sheets import Lettering
from detailgen.outputs.solids.picture import BOLTS, EXISTING, YAW, Picture, picture

LEAST, WIDEST, TALLEST, SHORTEST, BESIDE = 3.4, 5.5, 3.4, 2.4, 0.4
"""Widths and heights of the picture with its heading, and what is kept free beside it (in of paper)."""
SHORT = 0.007
"""Shorter strokes (in of paper) are left out: they would only blot."""
THIN = {EXISTING: "existing", BOLTS: "symbols"}
"""Small as it is, the picture has thin lines; what is new stands out by its darker ones."""
NEW = "new bolts"


@dataclass(frozen=True)
class JointPicture:
    """Seen from the side of the elevation, from the upper right."""

    scene: Scene
    letters: Lettering

    @cached_property
    def drawn(self) -> Picture:
        """In inches of the joint; worked out once, though a sheet is laid out several times."""
        return picture(self.scene.detail, YAW + (math.pi if self.scene.behind else 0.0))

    @property
    def listing(self) -> Listing:
        """For a sheet of lists."""
        return Listing("PICTURE", (("",),), LEAST, lambda _title, _first, _items, width: _block(self.drawn, self.scene, self.letters, width, TALLEST))

    def placed(self, rooms: Sequence[Box], tallest: float, number: int) -> tuple[list[Shape], list[Box]]:
        """In the room of this number (from 0, the least first) of those that are large enough, and the rooms that are left; no shapes without one."""
        large = sorted((r for r in rooms if r[2] - r[0] >= LEAST and r[3] - r[1] >= SHORTEST), key=lambda r: (r[2] - r[0]) * (r[3] - r[1]))
        if number >= len(large):
            return [], list(rooms)
        x0, low, x1, top = room = large[number]
        beside = x0 + WIDEST + BESIDE
        room_beside = x1 - beside >= TABLE_LEAST * self.letters.note
        width = WIDEST if room_beside else x1 - x0
        block = _block(self.drawn, self.scene, self.letters, width, min(tallest, top - low))
        left = (beside, low, x1, top) if room_beside else (x0, low, x1, top - block.height)
        return [moved(s, x0, top) for s in block.shapes], [left if r is room else r for r in rooms]


def _block(drawn: Picture, scene: Scene, letters: Lettering, width: float, tallest: float) -> Block:
    """No taller than that, heading included."""
    x0, y0, x1, y1 = drawn.box
    h = letters.heading
    side = f"the {scene.facing[0]}" if scene.detail.axis in (ACROSS, *EDGES) else "outside"
    rule = -1.25 * h - letters.line - 0.3 * h
    factor = max((x1 - x0) / min(width, WIDEST), (y1 - y0) / (tallest + rule - 0.1 - AFTER))
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
    return Block(tuple(shapes), -top + (y1 - y0) / factor + AFTER)
