"""A view of a detail while it is drawn: its shapes, the room that they take, and callouts that find room. Real inches unless they say paper."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from detailgen.core.units import UnitSystem
from detailgen.outputs.drawings.layout import GAP, reach
from detailgen.outputs.drawings.lettering import text_width, wrap
from detailgen.outputs.drawings.plane import Taken, box_of, segments
from detailgen.outputs.drawings.shapes import Dimension, Hatch, Line, Point, Polyline, Shape, Solid, Text, dimension_parts
from detailgen.outputs.drawings.sheets import US_LETTERS, Lettering, Scale

ARROW, ARROW_HALF = 0.11, 0.02
"""Length and half width of an arrow's head, in of paper."""
BLOCK = 2.5
"""Greatest width of a callout, in of paper."""
APART = 0.22
"""Between callouts, in of paper."""
OFF = (0.0, 0.12, 0.24, 0.4, 0.6, 0.9, 1.3)
"""How much farther off callouts may stand where something is in their way, in of paper."""


class NoRoomError(Exception):
    """Something finds no place in a view at this scale."""


@dataclass(frozen=True)
class Callout:
    """A note with a leader to the first of its anchors that can be reached."""

    text: str
    anchors: tuple[Point, ...]
    layer: str = "notes"


@dataclass(frozen=True)
class _Note:
    """A callout's rows, and where its leader may begin."""

    texts: Sequence[Text]
    starts: Sequence[Point]
    callout: Callout


class Canvas:
    """``u`` is real inches per inch of paper."""

    def __init__(self, name: str, scale: Scale, letters: Lettering, units: UnitSystem) -> None:
        self.name, self.scale, self.letters, self.units = name, scale, letters, units
        self.u = scale.factor
        self.small = min(1.0, letters.note / US_LETTERS.note)  # callouts are as much narrower as their letters are smaller
        self.shapes: list[Shape] = []
        self._boxes: list[tuple[float, float, float, float]] = []  # by shape, around it and all before it, as far as it was asked for
        self.lines, self.words, self.leaders = Taken(0.8 * self.u), Taken(0.8 * self.u), Taken(0.8 * self.u)

    def draw(self, *shapes: Shape) -> None:
        """Put shapes down; lettering keeps off their strokes."""
        for shape in shapes:
            self.shapes.append(shape)
            if isinstance(shape, Text):
                self.words.add(shape.corners(self.u, GAP))
            elif isinstance(shape, Dimension):
                thin, strokes, text = dimension_parts(shape, self.u)
                for line in (*thin, *strokes):
                    self.lines.add((line.start, line.end))
                self.words.add(text.corners(self.u, GAP))
            elif isinstance(shape, Hatch):
                self.lines.add(shape.region)
            elif shape.layer != "zones":
                for segment in segments(shape, 0.1 * self.u):
                    self.lines.add(segment)

    def free(self, text: Text, gap: float = GAP) -> bool:
        figure = text.corners(self.u, gap)
        return not self.words.hit(figure) and not self.lines.hit(figure)

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Around everything drawn so far."""
        for shape in self.shapes[len(self._boxes) :]:
            x0, y0, x1, y1 = self._boxes[-1] if self._boxes else (math.inf, math.inf, -math.inf, -math.inf)
            if points := reach(shape, self.u):
                a, b, c, d = box_of(points)
                x0, y0, x1, y1 = min(x0, a), min(y0, b), max(x1, c), max(y1, d)
            self._boxes.append((x0, y0, x1, y1))
        return self._boxes[-1]

    def arrow(self, tip: Point, toward: Point, layer: str = "symbols", size: float = 1.0) -> Solid:
        """The head of an arrow that comes from ``toward``."""
        dx, dy = toward[0] - tip[0], toward[1] - tip[1]
        length = math.hypot(dx, dy)
        c, s = dx / length, dy / length
        back, half = size * ARROW * self.u, size * ARROW_HALF * self.u
        x, y = tip[0] + back * c, tip[1] + back * s
        return Solid(layer, (tip, (x - half * s, y + half * c), (x + half * s, y - half * c)))

    def _leader(self, starts: Sequence[Point], callout: Callout) -> bool:
        """From a note to an anchor, never over lettering: straight and over no other leader, straight, or with a knee under the note."""
        straight = [(start, anchor) for anchor in callout.anchors for start in starts]
        knees = [(start, (anchor[0], start[1]), anchor) for anchor in callout.anchors for start in starts if abs(anchor[0] - start[0]) > 1e-6]
        for paths, crossing in ((straight, False), (straight, True), (knees, False), (knees, True)):
            for path in paths:
                pieces = list(itertools.pairwise(path))
                if any(self.words.hit(p) for p in pieces) or (not crossing and any(self.leaders.hit(p) for p in pieces)):
                    continue
                self.draw(*(Line("symbols", p, q) for p, q in pieces), self.arrow(path[-1], path[-2]))
                for piece in pieces:
                    self.leaders.add(piece)
                return True
        return False

    def callouts_in_row(self, items: Sequence[Callout], level: float, *, up: bool, block: float = BLOCK) -> None:
        """Notes side by side above (or below) a level, each as near as can be over its anchor; farther off where something stands in the way."""
        u, letters = self.u, self.letters
        items = sorted(items, key=lambda c: (c.anchors[0][0], c.text))
        rows = [wrap(c.text, block * self.small, letters.note) for c in items]
        widths = [max(text_width(r, letters.note) for r in lines) * u for lines in rows]
        middles = spread([c.anchors[0][0] for c in items], [w + APART * u for w in widths])

        def at(off: float) -> list[_Note]:
            found = []
            line = level + (off if up else -off)
            for item, lines, width, middle in zip(items, rows, widths, middles, strict=True):
                left = middle - width / 2
                tall = (len(lines) - 1) * letters.line * u
                first = line + tall if up else line - letters.note * u
                texts = [Text(item.layer, row, (left, first - k * letters.line * u), letters.note) for k, row in enumerate(lines)]
                y = line - 0.1 * u if up else line + 0.08 * u
                nearest = min(max(item.anchors[0][0], left + 0.1 * u), left + width - 0.1 * u)
                starts = [(x, y) for x in (nearest, left + width / 2, left + 0.15 * u, left + width - 0.15 * u)]
                found.append(_Note(texts, starts, item))
            return found

        self._put(at)

    def callouts_in_column(self, items: Sequence[Callout], level: float, *, right: bool, width: float = BLOCK) -> None:
        """Notes one under the other to the right (or left) of x = level, each as near as can be beside its anchor; farther off as in a row."""
        u, letters = self.u, self.letters
        items = sorted(items, key=lambda c: (-c.anchors[0][1], c.text))
        rows = [wrap(c.text, width * self.small, letters.note) for c in items]
        talls = [((len(block) - 1) * letters.line + letters.note) * u for block in rows]
        middles = spread([-c.anchors[0][1] for c in items], [t + 0.16 * u for t in talls])

        def at(off: float) -> list[_Note]:
            found = []
            line = level + (off if right else -off)
            for item, block, tall, middle in zip(items, rows, talls, middles, strict=True):
                wide = max(text_width(r, letters.note) for r in block) * u
                left = line if right else line - wide
                top = -middle + tall / 2
                texts = [Text(item.layer, row, (left, top - letters.note * u - k * letters.line * u), letters.note) for k, row in enumerate(block)]
                x = line - 0.08 * u if right else line + 0.08 * u
                found.append(_Note(texts, [(x, top - letters.note * u / 2), (x, -middle)], item))
            return found

        self._put(at)

    def _put(self, at: Callable[[float], Sequence[_Note]]) -> None:
        """Notes with their leaders at the first distance at which all find room; leaders once all lettering stands, so that none crosses it.

        Raises: NoRoomError where they find it at none, for the first distance
        """
        why = ""
        for off in OFF:
            notes = at(off * self.u)
            stuck = next((t for note in notes for t in note.texts if not self.free(t)), None)
            if stuck is not None:
                why = why or f"no room for '{stuck.text}'"
                continue
            room = self.lines, self.words, self.leaders
            kept = len(self.shapes), [len(taken.put) for taken in room]
            self.draw(*(t for note in notes for t in note.texts))
            lost = next((note for note in notes if not self._leader(note.starts, note.callout)), None)
            if lost is None:
                return
            why = why or f"no leader reaches from '{lost.callout.text}'"
            del self.shapes[kept[0] :], self._boxes[kept[0] :]
            for taken, count in zip(room, kept[1], strict=True):
                taken.back_to(count)
        raise NoRoomError(f"{self.name}: {why}")

    def title(self, words: str, notes: Sequence[str] = (), *, wide: float = 0.0) -> None:
        """Title with the scale, and notes, under everything drawn so far, flush with its left side."""
        u, letters = self.u, self.letters
        x0, y0, x1, _ = self.box
        y = y0 - (0.2 + letters.heading) * u
        room = max((x1 - x0) / u, wide)
        for row in wrap(words, room, letters.heading):
            self.draw(Text("notes", row, (x0, y), letters.heading))
            y -= 0.09 * u
            self.draw(Line("symbols", (x0, y), (x0 + text_width(row, letters.heading) * u, y)))
            y -= (0.04 + letters.heading) * u
        y += (letters.heading - letters.note - 0.02) * u
        for note in (*notes, f"Scale {self.scale.label}"):
            for row in wrap(note, room, letters.note):
                self.draw(Text("notes", row, (x0, y), letters.note))
                y -= letters.line * u

    def place_text(self, text: str, places: Sequence[Point], *, layer: str = "notes", anchor: str = "middle") -> bool:
        """A text at the first of the places (on its baseline) that is free."""
        for at in places:
            candidate = Text(layer, text, at, self.letters.note, 0.0, anchor)
            if self.free(candidate):
                self.draw(candidate)
                return True
        return False

    def break_line(self, low: Point, high: Point) -> None:
        """A long break across the end of a part that runs on: a line with a jag, a little longer than the part is deep."""
        u = self.u
        dx, dy = high[0] - low[0], high[1] - low[1]
        size = math.hypot(dx, dy)
        c, s = dx / size, dy / size
        over, jag = 0.08 * u, min(0.09 * u, 0.2 * size)
        stations = ((-over, 0.0), (size / 2 - jag, 0.0), (size / 2 - jag / 2, 1.2 * jag), (size / 2 + jag / 2, -1.2 * jag), (size / 2 + jag, 0.0),
                    (size + over, 0.0))  # fmt: skip
        self.draw(Polyline("symbols", tuple((low[0] + t * c - v * s, low[1] + t * s + v * c) for t, v in stations)))

    def grain(self, places: Iterable[Point], angle: float) -> bool:
        """A grain arrow at the first of the places that is free: two heads, the word above it."""
        u, half = self.u, 0.45 * self.u
        c, s = math.cos(angle), math.sin(angle)
        for x, y in places:
            a, b = (x - half * c, y - half * s), (x + half * c, y + half * s)
            lift = 0.06 * u
            turned = (angle + math.pi / 2) % math.pi - math.pi / 2
            word = Text("symbols", "grain", (x - lift * math.sin(turned), y + lift * math.cos(turned)), self.letters.note, turned, "middle")
            ground = tuple((px - 0.05 * u * s * k, py + 0.05 * u * c * k) for px, py, k in ((*a, -1), (*b, -1), (*b, 1), (*a, 1)))
            if self.free(word) and not self.lines.hit(ground) and not self.words.hit(ground):
                self.draw(word, Line("symbols", a, b), self.arrow(a, b), self.arrow(b, a))
                return True
        return False


def spread(wanted: Sequence[float], sizes: Sequence[float]) -> list[float]:
    """Middles in the given order, as near as can be to those wanted, so that intervals of these sizes do not overlap."""
    offsets, total = [], 0.0
    for size in sizes:
        offsets.append(total + size / 2)
        total += size
    groups: list[tuple[float, int]] = []  # mean of wanted minus offset, count
    for want, offset in zip(wanted, offsets, strict=True):
        mean, count = want - offset, 1
        while groups and groups[-1][0] > mean:
            before, n = groups.pop()
            mean, count = (before * n + mean * count) / (n + count), n + count
        groups.append((mean, count))
    starts = [mean for mean, count in groups for _ in range(count)]
    return [start + offset for start, offset in zip(starts, offsets, strict=True)]
