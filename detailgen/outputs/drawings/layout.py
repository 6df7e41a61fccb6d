"""Finding room for lettering in the view: nothing overlaps, nothing lies on a line. Lengths are real inches unless they say paper."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from itertools import product

from detailgen.outputs.drawings.elevation import Axis, Elevation
from detailgen.outputs.drawings.plane import Taken, box_of, outside, segments
from detailgen.outputs.drawings.ratings import Pair
from detailgen.outputs.drawings.shapes import Circle, Dimension, Line, Point, Shape, Text, dimension_parts
from detailgen.outputs.drawings.sheets import Lettering

GAP = 0.03
"""Room kept free around lettering, in of paper."""
REACHES = (0.18, 0.28, 0.4, 0.55, 0.7, 0.9, 1.1, 1.4, 1.8, 2.3)
"""How long leaders may be, in of paper, shortest first."""
TURNS = ((0, 10, -10, 20, -20, 30, -30, 40, -40, 50, -50, 60, -60, 75, -75, 90, -90), (110, -110, 140, -140, 180))
"""How far leaders may turn from the best direction, in degrees; the second group only where no reach of the first finds room."""
ALONG = (0.5, 0.44, 0.56, 0.38, 0.62, 0.32, 0.68, 0.26, 0.74, 0.2, 0.8)
"""Where along a member its ratio may stand, best first."""


def readable(angle: float) -> float:
    """The same direction, turned so that text along it reads from below or from the right."""
    turned = (angle + math.pi / 2) % math.pi - math.pi / 2
    return math.pi / 2 if turned < -math.pi / 2 + math.radians(1) else turned


BESIDE = 0.3
"""Room for lettering beside the truss, in of paper."""
Write = Callable[[float], str]


class View:
    """The truss with everything lettered on it. ``u`` is real inches per inch of paper.

    write: how dimensions write a length; below: room for lettering under the truss (in of paper)
    """

    def __init__(self, elevation: Elevation, factor: float, letters: Lettering, write: Write, below: float = 1.6) -> None:
        self.elevation, self.u, self.letters, self.write = elevation, factor, letters, write
        x0, y0, x1, y1 = elevation.box
        width = BESIDE * factor
        self.bounds = (x0 - width, y0 - below * factor, x1 + width, y1 + 0.9 * factor)
        self.outlines: dict[Pair, list[Shape]] = {pair: list(pieces) for pair, pieces in elevation.outlines.items()}
        self.shapes: list[Shape] = []
        self.middle = (x0 + x1) / 2
        self.shortened = 0  # notes of damage that came down to their number
        self.away = 0  # leaders that had to turn away from where they belong
        self.settled = 0  # how many of the crowded do not depend on the order of what follows
        self.crowded: list[str] = []  # what found no room in the view: the notes say it instead
        self.lines, self.words = Taken(0.8 * factor), Taken(0.8 * factor)
        self.reaches: dict[Pair, tuple[float, float, float, float]] = {}  # the box of each outline, before anything was cut out of it
        for pair, pieces in self.outlines.items():
            found = [segment for piece in pieces for segment in segments(piece, 0.3 * factor)]
            for segment in found:
                self.lines.add(segment, pair)
            if found:
                edge = 0.01 * factor  # an arc bulges over its pieces
                a0, b0, a1, b1 = box_of([p for segment in found for p in segment])
                self.reaches[pair] = (a0 - edge, b0 - edge, a1 + edge, b1 + edge)

    @property
    def lost(self) -> tuple[int, int, int]:
        """How much lettering is missing, shortened or out of place; the less the better."""
        return len(self.crowded) - self.settled, self.shortened, self.away

    def draw(self, *shapes: Shape) -> None:
        """Put symbols down; lettering keeps off their strokes."""
        for shape in shapes:
            self.shapes.append(shape)
            if isinstance(shape, Text):
                self.words.add(shape.corners(self.u, GAP))
                self._open(shape)
            elif isinstance(shape, Dimension):
                thin, strokes, text = dimension_parts(shape, self.u)
                for line in (*thin, *strokes):
                    self.lines.add((line.start, line.end))
                self.words.add(text.corners(self.u, GAP))
            else:
                for segment in segments(shape, 0.1 * self.u):
                    self.lines.add(segment)

    def block(self, figure: Sequence[Point]) -> None:
        """Keep a figure free of lettering and leaders."""
        self.words.add(figure)

    def free(self, figure: Sequence[Point], owner: object = ()) -> bool:
        x0, y0, x1, y1 = box_of(figure)
        a0, b0, a1, b1 = self.bounds
        if x0 < a0 or y0 < b0 or x1 > a1 or y1 > b1:
            return False
        return not self.words.hit(figure) and not self.lines.hit(figure, owner)

    def _open(self, text: Text) -> None:
        """No line of a member runs through its lettering."""
        region = text.corners(self.u, GAP)
        x0, y0, x1, y1 = box_of(region)
        for pair, (a0, b0, a1, b1) in self.reaches.items():
            if a0 <= x1 and x0 <= a1 and b0 <= y1 and y0 <= b1:
                self.outlines[pair] = outside(self.outlines[pair], region)

    def letter_on(self, axis: Axis, rows: Sequence[str], layer: str) -> bool:
        """Letter a member along its axis, in one or more rows, where there is room. False: there is none."""
        height = self.letters.note
        for t in ALONG:
            (x, y), angle = axis.at(t)
            angle = readable(angle)
            texts = []
            for k, words in enumerate(rows):
                drop = self.u * (height / 2 + ((len(rows) - 1) / 2 - (len(rows) - 1 - k)) * self.letters.line)
                texts.append(Text(layer, words, (x + drop * math.sin(angle), y - drop * math.cos(angle)), height, angle, "middle"))
            if all(self.free(text.corners(self.u, GAP), axis.pair) for text in texts):
                self.draw(*texts)
                return True
        return False

    def note(self, anchor: Point, rows: Sequence[str], layer: str, toward: float, *, start: float = 0.0, number: str = "", dot: bool = False) -> bool:
        """Rows of text at the end of a leader that begins ``start`` (in) from the anchor, if possible in the direction ``toward``.

        number: stands framed before the rows. Returns: False where there is no room
        """
        for turns, reach in product(TURNS, REACHES):
            for turn in turns:
                direction = toward + math.radians(turn)
                c, s = math.cos(direction), math.sin(direction)
                near = (anchor[0] + start * c, anchor[1] + start * s)
                tip = (near[0] + reach * self.u * c, near[1] + reach * self.u * s)
                leader = (near, tip)
                if self.words.hit(leader):
                    continue
                shapes, region = self._rows(tip, c, s, rows, layer, number)
                if not self.free(region):
                    continue
                self.draw(*shapes, Line("symbols", *leader))
                self.words.add(leader)
                self.words.add(region)
                self.away += turns is not TURNS[0]
                if dot:
                    self.draw(Circle("symbols", near, 0.02 * self.u))
                return True
        return False

    def _rows(self, tip: Point, c: float, s: float, rows: Sequence[str], layer: str, number: str) -> tuple[list[Shape], tuple[Point, ...]]:
        """Rows of text with their near side at the tip of a leader, and the room they take."""
        height, u = self.letters.note, self.u
        pitch = self.letters.line * u
        frame = (Text("notes", number, (0, 0), height).width + 0.12) * u if number else 0.0
        texts = [Text(layer, row, (0, 0), height) for row in rows]
        inner = max((t.width for t in texts), default=0.0) * u
        width = frame + inner + (0.06 * u if number and rows else 0.0)
        tall = max(len(rows) - 1, 0) * pitch + height * u
        pad = 0.06 * u
        x0 = tip[0] + pad if c > 0.35 else tip[0] - pad - width if c < -0.35 else tip[0] - width / 2
        middle = tip[1] if abs(c) > 0.35 else tip[1] + math.copysign(tall / 2 + pad + 0.03 * u, s)
        top = middle + tall / 2
        shapes: list[Shape] = [Text(layer, t.text, (x0 + width - inner, top - height * u - k * pitch), height) for k, t in enumerate(texts)]
        if number:
            half = height * u / 2 + 0.05 * u
            corner = (x0, middle - half)
            shapes.append(Text("notes", number, (x0 + frame / 2, middle - height * u / 2), height, 0.0, "middle"))
            shapes += frame_of(corner, (x0 + frame, middle + half))
        low = min(top - tall - 0.33 * height * u, middle - height * u / 2 - 0.05 * u)
        high = max(top + 0.1 * height * u, middle + height * u / 2 + 0.05 * u)
        edge = GAP * u
        region = ((x0 - edge, low - edge), (x0 + width + edge, low - edge), (x0 + width + edge, high + edge), (x0 - edge, high + edge))
        return shapes, region

    @property
    def under(self) -> float:
        """Where dimensions under all that is drawn begin (y, in real)."""
        return min(extents(self.content(), self.u)[1], self.elevation.box[1]) - 0.04 * self.u

    def content(self) -> list[Shape]:
        """Outlines and everything drawn on them, in a fixed order."""
        return [*(s for pair in sorted(self.outlines) for s in self.outlines[pair]), *self.shapes]


def frame_of(low: Point, high: Point, layer: str = "symbols") -> list[Shape]:
    (x0, y0), (x1, y1) = low, high
    corners = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
    return [Line(layer, a, b) for a, b in zip(corners, (*corners[1:], corners[0]), strict=True)]


def extents(shapes: Iterable[Shape], factor: float) -> tuple[float, float, float, float]:
    """The box around shapes, lettering included."""
    return box_of([p for shape in shapes for p in reach(shape, factor)])


def reach(shape: Shape, factor: float) -> Sequence[Point]:
    """Points that a shape reaches to, lettering included; none for a hatch."""
    if isinstance(shape, Line):
        return shape.start, shape.end
    if isinstance(shape, Text):
        return shape.corners(factor)
    if isinstance(shape, Dimension):
        thin, strokes, text = dimension_parts(shape, factor)
        return [p for line in (*thin, *strokes) for p in (line.start, line.end)] + list(text.corners(factor))
    return [p for segment in segments(shape, 0.3 * factor) for p in segment]
