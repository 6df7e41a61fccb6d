"""The triangle that says how a member of a view, drawn level, lies in the truss: the long side along the member, the legs level and plumb."""

from __future__ import annotations

import itertools
import math

from detailgen.core.bevel import Bevel, bevel_of
from detailgen.outputs.drawings.detail_canvas import Canvas
from detailgen.outputs.drawings.layout import readable
from detailgen.outputs.drawings.lettering import ASCENT
from detailgen.outputs.drawings.shapes import Line, Point, Shape, Text

LONG = 1.15
"""The side along the member, in of paper."""
GAP = 0.05
"""Between a leg and its letters, in of paper."""
ROOM = 0.08
"""Kept free around the triangle and its letters, in of paper."""


def triangle(slope: float, bevel: Bevel, at: Point, u: float, height: float) -> list[Shape]:
    """The triangle, the left end of its long side at ``at``.

    slope: the member's rise to the right (rad); u: real inches per inch of paper; height: of its letters (in of paper)
    """
    turned = (slope + math.pi / 2) % math.pi - math.pi / 2
    side = LONG * u
    run = side * math.cos(turned)
    corner = (at[0] + run * math.cos(-turned), at[1] + run * math.sin(-turned))
    start, end = at, (at[0] + side, at[1])
    shapes: list[Shape] = [Line("symbols", start, end), Line("symbols", start, corner), Line("symbols", corner, end)]
    way = -1.0 if corner[1] < at[1] else 1.0
    for a, b, words in ((start, corner, bevel.level), (corner, end, bevel.plumb)):
        middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        angle = math.atan2(b[1] - a[1], b[0] - a[0])
        out = (-math.sin(angle), math.cos(angle))
        if out[1] * way < 0:
            out = (-out[0], -out[1])
        angle = readable(angle)
        up = (-math.sin(angle), math.cos(angle))
        along_up = out[0] * up[0] + out[1] * up[1]
        away = GAP * u if along_up > 0 else (GAP + ASCENT * height) * u
        shapes.append(Text("notes", words, (middle[0] + away * out[0], middle[1] + away * out[1]), height, angle, "middle"))
    return shapes


def draw_bevel(canvas: Canvas, slope: float) -> None:
    """Where there is room in the view, else under it; nothing for a member that is level or plumb."""
    bevel = bevel_of(slope, canvas.units)
    if bevel is None:
        return
    u, h = canvas.u, canvas.letters.note
    words = f"member {'rises' if bevel.up else 'falls'} to the right, {bevel.plumb} plumb to {bevel.level} level"
    if canvas.units.name == "SI":
        words += f" ({bevel.degrees:.1f}\N{DEGREE SIGN})"
    made = [*triangle(slope, bevel, (0.0, 0.0), u, h)]
    low = min(p[1] for s in made for p in _points(s, u))
    text = Text("notes", words, (0.0, low - (h + 0.06) * u), h)
    points = [p for s in (*made, text) for p in _points(s, u)]
    a, b = min(p[0] for p in points) - ROOM * u, min(p[1] for p in points) - ROOM * u
    c, d = max(p[0] for p in points) + ROOM * u, max(p[1] for p in points) + ROOM * u
    x0, y0, x1, y1 = canvas.box

    def free(x: float, y: float) -> bool:
        region = ((x + a, y + b), (x + c, y + b), (x + c, y + d), (x + a, y + d))
        return not (canvas.words.hit(region) or canvas.lines.hit(region) or canvas.leaders.hit(region))

    step = 0.25 * u
    across = [x0 - a + k * step for k in range(int(max(0.0, x1 - x0 - (c - a)) / step) + 1)]
    down = [y1 - d - k * step for k in range(int(max(0.0, y1 - y0 - (d - b)) / step) + 1)]
    inside = (place for place in itertools.product(reversed(across), down) if free(*place))
    x, y = next(inside, (x0 - a, y0 - d - 0.1 * u))
    canvas.draw(*triangle(slope, bevel, (x, y), u, h), Text("notes", words, (x, y + low - (h + 0.06) * u), h))


def _points(shape: Shape, u: float) -> list[Point]:
    if isinstance(shape, Line):
        return [shape.start, shape.end]
    return list(shape.corners(u)) if isinstance(shape, Text) else []
