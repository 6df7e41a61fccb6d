"""The neutral drawing: what is drawn, before anybody decides how it is written.

Shapes of the model are in inches of the truss at real size, shapes of the paper in inches of paper; text heights are always inches of paper.
``layer`` is a role of ``layers.LAYERS``. Angles in radians, counter-clockwise. ``tags`` are facts that a drawing cannot show, ``key=value``;
they ride along in a DXF.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from detailgen.core.units import UnitSystem
from detailgen.outputs.drawings.layers import LAYERS, Layer
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
    tags: tuple[str, ...] = ()


@dataclass(frozen=True)
class Polyline:
    """``bulges``: by corner, the tangent of a quarter of the arc's angle to the next one; empty where all is straight."""

    layer: str
    points: tuple[Point, ...]
    closed: bool = False
    bulges: tuple[float, ...] = ()
    tags: tuple[str, ...] = ()


@dataclass(frozen=True)
class Solid:
    """A filled triangle: the head of an arrow."""

    layer: str
    points: tuple[Point, Point, Point]


@dataclass(frozen=True)
class Hatch:
    """Parallel lines over a convex region, ``spacing`` inches of paper apart, at an angle; they go through ``origin``."""

    layer: str
    region: tuple[Point, ...]
    angle: float
    spacing: float
    origin: Point = (0.0, 0.0)


@dataclass(frozen=True)
class Text:
    """One line of text; ``at`` is on the baseline, at the ``anchor`` of the text: start, middle or end.

    ``stretch``: width of the letters over their usual width
    """

    layer: str
    text: str
    at: Point
    height: float
    rotation: float = 0.0
    anchor: str = "start"
    stretch: float = 1.0

    @property
    def width(self) -> float:
        """Inches of paper."""
        return text_width(self.text, self.height) * self.stretch

    def corners(self, factor: float, gap: float = 0.0) -> tuple[Point, ...]:
        """The four corners of the room that the text takes, ``gap`` (in of paper) around it; ``factor`` turns paper into the text's space."""
        width = self.width
        low = {"start": 0.0, "middle": -width / 2, "end": -width}[self.anchor]
        left, right = factor * (low - gap), factor * (low + width + gap)
        below = 0.05 if REACH_DOWN.isdisjoint(self.text) else DESCENT
        bottom, top = factor * (-below * self.height - gap), factor * (ASCENT * self.height + gap)
        x, y = self.at
        if not self.rotation:  # most are level
            return (x + left, y + bottom), (x + right, y + bottom), (x + right, y + top), (x + left, y + top)
        c, s = math.cos(self.rotation), math.sin(self.rotation)
        return tuple((x + c * u - s * v, y + s * u + c * v) for u, v in ((left, bottom), (right, bottom), (right, top), (left, top)))


@dataclass(frozen=True)
class Dimension:
    """A horizontal or vertical dimension between two measured points. ``line`` is the y (or x) of the dimension line.

    ``broken``: the text stands in a gap of its line instead of above it. ``turned``: a horizontal dimension's text reads from the right, for
    narrow panels. ``shift`` (real inches) moves the text along the line, out of a dimension that is too short for it; ``tail``: the line follows
    it there. ``drop`` (real inches) moves it away across the line, with a leader. ``level``: a vertical dimension's text is written level, beside
    the line, on its left or right (``side``). ``pattern`` is the text with ``<>`` for the measured distance.
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
    tail: bool = False
    drop: float = 0.0
    level: bool = False
    side: int = -1
    pattern: str = "<>"

    @property
    def measure(self) -> float:
        k = 1 if self.vertical else 0
        return abs(self.second[k] - self.first[k])


@dataclass(frozen=True)
class Area:
    """A filled region of the paper: a ring inside another is a hole in it."""

    layer: str
    rings: tuple[tuple[Point, ...], ...]


@dataclass(frozen=True)
class Field:
    """A text of a stamp that stays a field: programs show it under its tag, and it can be written over there."""

    tag: str
    prompt: str
    text: Text


@dataclass(frozen=True)
class Stamp:
    """A named block put down once, at ``at``: shapes and fields about its own origin."""

    layer: str
    name: str
    at: Point
    shapes: tuple[Shape, ...]
    fields: tuple[Field, ...] = ()

    @property
    def seen(self) -> list[Shape]:
        """All that it shows, where it stands, lettering in reading order."""
        texts = sorted([*(f.text for f in self.fields if f.text.text), *(s for s in self.shapes if isinstance(s, Text))], key=lambda t: -t.at[1])
        rows: list[list[Text]] = []
        for text in texts:
            if rows and rows[-1][0].at[1] - text.at[1] < rows[-1][0].height / 2:
                rows[-1].append(text)
            else:
                rows.append([text])
        read = [text for row in rows for text in sorted(row, key=lambda t: t.at[0])]
        return [moved(s, *self.at) for s in (*(s for s in self.shapes if not isinstance(s, Text)), *read)]


Shape = Line | Arc | Circle | Polyline | Text | Dimension | Solid | Hatch | Area | Stamp

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
    if d.tail:
        half = factor * (text_width(d.text, d.height) / 2 + TEXT_GAP)
        lines.append(((min(a[0], middle + d.shift - half), d.line), (max(b[0], middle + d.shift + half), d.line)))
    elif d.broken and not d.shift:
        half = factor * (text_width(d.text, d.height) / 2 + TEXT_GAP)
        lines += [((a[0], d.line), (middle - half, d.line)), ((middle + half, d.line), (b[0], d.line))]
    else:
        lines.append(((a[0], d.line), (b[0], d.line)))
    strokes = [((x - tick, d.line - tick), (x + tick, d.line + tick)) for x in (a[0], b[0])]
    lift = factor * (-d.height / 2 if d.broken else TEXT_GAP)
    if d.level:
        text = Text(d.layer, d.text, _level_place(d, middle, factor), d.height, 0.0, "end" if d.side < 0 else "start")
        if d.shift:  # a leader from the middle of the line, in the turned axes of this function
            lines.append(((middle, d.line), (middle + d.shift, text.at[0] - d.side * factor * 0.5 * TEXT_GAP)))
    elif d.drop:
        text = Text(d.layer, d.text, (middle + d.shift, d.line + d.drop + lift), d.height, 0.0, "middle")
        end = d.line + d.drop + (lift - 0.5 * factor * TEXT_GAP if d.drop > 0 else lift + factor * (1.15 * d.height))
        lines.append(((middle, d.line), (middle + d.shift, end)))
    elif d.vertical:  # read from the right: above the line is to its left
        text = Text(d.layer, d.text, (d.line - lift, middle + d.shift), d.height, math.pi / 2, "middle")
    elif d.turned:
        text = Text(d.layer, d.text, (middle + factor * d.height / 2, d.line + factor * TEXT_GAP), d.height, math.pi / 2, "start")
    else:
        text = Text(d.layer, d.text, (middle + d.shift, d.line + lift), d.height, 0.0, "middle")
    return (
        tuple(Line(d.layer, turn(p), turn(q)) for p, q in lines),
        tuple(Line(d.layer, turn(p), turn(q)) for p, q in strokes),
        text,
    )


def _level_place(d: Dimension, middle: float, factor: float) -> Point:
    """Where a level text beside a vertical line stands: beyond the reach of extension lines and strokes."""
    away = factor * (BEYOND + TEXT_GAP + (0.12 if d.shift else 0.0))
    return d.line + d.side * (away + abs(d.drop)), middle + d.shift - factor * d.height / 2


@dataclass(frozen=True)
class View:
    """Part of the model as the sheet shows it: around ``centre`` (in, real) in the rectangle ``window`` (x0, y0, x1, y1, in of paper)."""

    name: str
    scale: Scale
    window: tuple[float, float, float, float]
    centre: Point
    shapes: tuple[Shape, ...]

    def on_paper(self, p: Point) -> Point:
        """A point of the model on the paper (in)."""
        x0, y0, x1, y1 = self.window
        return (x0 + x1) / 2 + (p[0] - self.centre[0]) / self.scale.factor, (y0 + y1) / 2 + (p[1] - self.centre[1]) / self.scale.factor


@dataclass(frozen=True)
class Drawing:
    """One sheet. Its first view shows the model around ``view_centre`` (in, real) in the rectangle ``window`` (x0, y0, x1, y1, in of paper).

    ``more``: further views, each beside the others in the model, with its own scale. ``decimals`` of written millimetres.
    """

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

    more: tuple[View, ...] = ()
    unseen: tuple[View, ...] = ()  # views of the same model that stand on another sheet: they are in the model, and no window shows them
    decimals: int = 0
    layers: Mapping[str, Layer] = field(default_factory=lambda: LAYERS)

    @property
    def views(self) -> tuple[View, ...]:
        """All views; none where the sheet holds only notes."""
        first = (View("main", self.scale, self.window, self.view_centre, self.model),) if self.model else ()
        return (*first, *self.more)

    def on_paper(self, p: Point) -> Point:
        """A point of the first view on the paper (in)."""
        return View("main", self.scale, self.window, self.view_centre, ()).on_paper(p)


def moved(shape: Shape, dx: float, dy: float) -> Shape:
    """The same shape elsewhere."""
    return _mapped(shape, lambda p: (p[0] + dx, p[1] + dy), 1.0)


def placed(shape: Shape, view: View) -> Shape:
    """A shape of the model as it lies on the paper."""
    return _mapped(shape, view.on_paper, view.scale.factor)


def _mapped(shape: Shape, go: Callable[[Point], Point], factor: float) -> Shape:
    match shape:
        case Line():  # most shapes are lines and texts
            return Line(shape.layer, go(shape.start), go(shape.end))
        case Text():
            return Text(shape.layer, shape.text, go(shape.at), shape.height, shape.rotation, shape.anchor, shape.stretch)
        case Arc() | Circle():
            return replace(shape, centre=go(shape.centre), radius=shape.radius / factor)
        case Polyline():
            return replace(shape, points=tuple(go(p) for p in shape.points))
        case Solid():
            a, b, c = shape.points
            return replace(shape, points=(go(a), go(b), go(c)))
        case Hatch():
            return replace(shape, region=tuple(go(p) for p in shape.region), origin=go(shape.origin))
        case Stamp():
            return replace(shape, at=go(shape.at))
        case Area():
            return replace(shape, rings=tuple(tuple(go(p) for p in ring) for ring in shape.rings))
        case Dimension():
            shape = replace(shape, shift=shape.shift / factor, drop=shape.drop / factor)
            line = go((shape.line, 0.0))[0] if shape.vertical else go((0.0, shape.line))[1]
            return replace(shape, first=go(shape.first), second=go(shape.second), line=line)


def hatch_lines(hatch: Hatch, factor: float) -> list[Line]:
    """The lines of a hatch, cut off at its region's edges; ``factor`` turns paper into its space."""
    c, s = math.cos(hatch.angle), math.sin(hatch.angle)
    step = hatch.spacing * factor
    turned = [((x - hatch.origin[0]) * c + (y - hatch.origin[1]) * s, (y - hatch.origin[1]) * c - (x - hatch.origin[0]) * s) for x, y in hatch.region]
    low, high = min(v for _, v in turned), max(v for _, v in turned)
    lines = []
    for k in range(math.ceil(low / step + 1e-6), math.floor(high / step - 1e-6) + 1):
        level, cuts = k * step, []
        for (u0, v0), (u1, v1) in zip(turned, (*turned[1:], turned[0]), strict=True):
            if (v0 - level) * (v1 - level) < 0:
                cuts.append(u0 + (level - v0) / (v1 - v0) * (u1 - u0))
        if len(cuts) == 2:
            ends = [(hatch.origin[0] + u * c - level * s, hatch.origin[1] + u * s + level * c) for u in sorted(cuts)]
            lines.append(Line(hatch.layer, ends[0], ends[1]))
    return lines
