"""The neutral drawing: what is drawn, before anybody decides how it is written.

Shapes of the model are in inches of the truss at real size, shapes of the paper in inches of paper; text heights are always inches of paper.
``layer`` is a role of ``layers.LAYERS``. Angles in radians, counter-clockwise.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from detailgen.core.units import UnitSystem
from detailgen.outputs.drawings.lettering import ASCENT, DESCENT, REACH_DOWN, text_width
from detailgen.outputs.drawings.sheets import Scale, Sheet

Point = tuple[float, float]


@dataclass(frozen=True)
class Line:
    layer: str
    start: Point
    end: Point


@dataclass(frozen=True)
class Arc:
    """Counter-clockwise from ``start`` to ``end``."""

    layer: str
    centre: Point
    radius: float
    start: float
    end: float

    def at(self, angle: float) -> Point:
        return self.centre[0] + self.radius * math.cos(angle), self.centre[1] + self.radius * math.sin(angle)


@dataclass(frozen=True)
class Circle:
    layer: str
    centre: Point
    radius: float


@dataclass(frozen=True)
class Polyline:
    layer: str
    points: tuple[Point, ...]
    closed: bool = False


@dataclass(frozen=True)
class Text:
    """One line of text; ``at`` is on the baseline, at the ``anchor`` of the text: start, middle or end."""

    layer: str
    text: str
    at: Point
    height: float
    rotation: float = 0.0
    anchor: str = "start"

    @property
    def width(self) -> float:
        """Inches of paper."""
        return text_width(self.text, self.height)

    def corners(self, factor: float, gap: float = 0.0) -> tuple[Point, ...]:
        """The four corners of the room that the text takes, ``gap`` (in of paper) around it; ``factor`` turns paper into the text's space."""
        width = self.width
        low = {"start": 0.0, "middle": -width / 2, "end": -width}[self.anchor]
        left, right = factor * (low - gap), factor * (low + width + gap)
        below = DESCENT if any(c in REACH_DOWN for c in self.text) else 0.05
        bottom, top = factor * (-below * self.height - gap), factor * (ASCENT * self.height + gap)
        c, s = math.cos(self.rotation), math.sin(self.rotation)
        return tuple(
            (self.at[0] + c * u - s * v, self.at[1] + s * u + c * v) for u, v in ((left, bottom), (right, bottom), (right, top), (left, top))
        )


@dataclass(frozen=True)
class Dimension:
    """A horizontal or vertical dimension between two measured points. ``line`` is the y (or x) of the dimension line.

    ``broken``: the text stands in a gap of its line instead of above it. ``turned``: a horizontal dimension's text reads from the right, for
    narrow panels. ``shift`` (real inches) moves the text along the line, out of a dimension that is too short for it.
    """

    layer: str
    first: Point
    second: Point
    line: float
    vertical: bool
    text: str
    height: float
    broken: bool = False
    turned: bool = False
    shift: float = 0.0

    @property
    def measure(self) -> float:
        k = 1 if self.vertical else 0
        return abs(self.second[k] - self.first[k])


Shape = Line | Arc | Circle | Polyline | Text | Dimension

TICK = 0.05
"""Half the height of a dimension's oblique stroke, in of paper."""
BEYOND = 0.06
"""Extension lines: their gap at the feature, and how far they pass the dimension line, in of paper."""
TEXT_GAP = 0.05


def dimension_parts(d: Dimension, factor: float) -> tuple[tuple[Line, ...], tuple[Line, ...], Text]:
    """Thin lines, oblique strokes and text of a dimension, in its own space."""

    def turn(p: Point) -> Point:
        return (p[1], p[0]) if d.vertical else p

    a, b = sorted((turn(d.first), turn(d.second)))
    gap, tick = factor * BEYOND, factor * TICK
    middle = (a[0] + b[0]) / 2
    lines: list[tuple[Point, Point]] = []
    for x, y in (a, b):
        way = math.copysign(1.0, d.line - y)
        lines.append(((x, y + way * gap), (x, d.line + way * gap)))
    if d.broken and not d.shift:
        half = factor * (text_width(d.text, d.height) / 2 + TEXT_GAP)
        lines += [((a[0], d.line), (middle - half, d.line)), ((middle + half, d.line), (b[0], d.line))]
    else:
        lines.append(((a[0], d.line), (b[0], d.line)))
    strokes = [((x - tick, d.line - tick), (x + tick, d.line + tick)) for x in (a[0], b[0])]
    lift = factor * (-d.height / 2 if d.broken else TEXT_GAP)
    if d.vertical:  # read from the right: above the line is to its left
        text = Text(d.layer, d.text, (d.line - lift, middle + d.shift), d.height, math.pi / 2, "middle")
    elif d.turned:
        text = Text(d.layer, d.text, (middle + factor * d.height / 2, d.line + factor * TEXT_GAP), d.height, math.pi / 2, "start")
    else:
        text = Text(d.layer, d.text, (middle, d.line + lift), d.height, 0.0, "middle")
    return (
        tuple(Line(d.layer, turn(p), turn(q)) for p, q in lines),
        tuple(Line(d.layer, turn(p), turn(q)) for p, q in strokes),
        text,
    )


@dataclass(frozen=True)
class Drawing:
    """One sheet. The view shows the model around ``view_centre`` (in, real) in the rectangle ``window`` (x0, y0, x1, y1, in of paper)."""

    name: str
    title: str
    sheet: Sheet
    units: UnitSystem
    scale: Scale
    window: tuple[float, float, float, float]
    view_centre: Point
    model: tuple[Shape, ...]
    paper: tuple[Shape, ...]
    project: str
    revision: str
    date: str

    def on_paper(self, p: Point) -> Point:
        """A point of the model on the paper (in)."""
        x0, y0, x1, y1 = self.window
        return (x0 + x1) / 2 + (p[0] - self.view_centre[0]) / self.scale.factor, (y0 + y1) / 2 + (p[1] - self.view_centre[1]) / self.scale.factor


def placed(shape: Shape, drawing: Drawing) -> Shape:
    """A shape of the model as it lies on the paper."""
    go, factor = drawing.on_paper, drawing.scale.factor
    match shape:
        case Line():
            return replace(shape, start=go(shape.start), end=go(shape.end))
        case Arc() | Circle():
            return replace(shape, centre=go(shape.centre), radius=shape.radius / factor)
        case Polyline():
            return replace(shape, points=tuple(go(p) for p in shape.points))
        case Text():
            return replace(shape, at=go(shape.at))
        case Dimension():
            shape = replace(shape, shift=shape.shift / factor)
            line = go((shape.line, 0.0))[0] if shape.vertical else go((0.0, shape.line))[1]
            return replace(shape, first=go(shape.first), second=go(shape.second), line=line)
