"""Tables and notes as blocks for the columns of a sheet. A block hangs down from (0, 0); lengths in inches of paper."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache

from detailgen.core.templates import template_lines
from detailgen.outputs.drawings.lettering import text_width, wrap
from detailgen.outputs.drawings.shapes import Line, Shape, Text, moved
from detailgen.outputs.drawings.sheets import Lettering

Box = tuple[float, float, float, float]
PAD = 0.16
"""Between columns of a table."""
AFTER = 0.17
"""Under a block."""
TABLE_LEAST, NOTES_LEAST = 41.6, 31.2
"""Least widths of tables and notes, in heights of their letters."""
READABLE, WIDE = 0.65, 54.0
"""A table stands in no room that is less wide than this part of its unbroken rows, or than so many heights of its letters: less than the column
over the title block of any paper has."""
LEAST = 0.7
"""No wrapped column becomes narrower."""


@dataclass(frozen=True)
class Block:
    shapes: tuple[Shape, ...]
    height: float


@dataclass(frozen=True)
class Listing:
    """A table or notes that may break between two items. ``build`` takes title, number of the first item, items and width."""

    title: str
    items: tuple[tuple[str, ...], ...]
    least: float  # narrower than this it does not read well
    build: Callable[[str, int, tuple[tuple[str, ...], ...], float], Block]
    first: int = 1

    def part(self, width: float, room: float) -> tuple[Block | None, Listing | None]:
        """As much of it as fits into a height, and the rest. Nothing where not even two items (or all) fit."""
        whole = self.build(self.title, self.first, self.items, width)
        if whole.height - AFTER <= room:
            return whole, None
        low, high = min(2, len(self.items)) - 1, len(self.items) - 1  # low: known or assumed not to be enough
        best: Block | None = None
        count = 0
        while low < high:
            middle = (low + high + 1) // 2
            block = self.build(self.title, self.first, self.items[:middle], width)
            if block.height - AFTER <= room:
                best, count, low = block, middle, middle
            else:
                high = middle - 1
        if best is None:
            return None, self
        title = self.title if self.title.endswith(", continued") else f"{self.title}, continued"
        return best, replace(self, title=title, items=self.items[count:], first=self.first + count)


def _heading(text: str, width: float, letters: Lettering, under: str = "") -> tuple[list[Shape], float]:
    y = -1.1 * letters.heading
    shapes: list[Shape] = [Text("notes", text, (0.0, y), letters.heading)]
    y -= 0.15 * letters.heading
    for line in wrap(under, width, letters.note):
        y -= letters.line
        shapes.append(Text("notes", line, (0.0, y), letters.note))
    y -= 0.3 * letters.heading
    return [*shapes, Line("tables", (0.0, y), (width, y))], y - 0.05


def table(title: str, header: Sequence[str], rows: Sequence[Sequence[str]], width: float, letters: Lettering, *, right: Sequence[int] = (),
          under: str = "") -> Block:  # fmt: skip
    """A table as wide as its content, at most ``width``; cells of its widest columns wrap. ``right``: columns flush right."""
    h = letters.note
    natural = [max(text_width(r[k], h) for r in (header, *rows)) for k in range(len(header))]
    words = [max(text_width(w, h) for r in (header, *rows) for w in r[k].split(" ")) for k in range(len(header))]
    room = width - PAD * (len(header) - 1)
    widths = list(natural)
    while sum(widths) > room + 1e-9:
        slack = [w - max(words[k], min(LEAST, 5.6 * h, natural[k])) for k, w in enumerate(widths)]
        k = max((k for k in range(len(widths)) if slack[k] > 1e-9), key=lambda k: widths[k], default=-1)
        if k < 0:
            k = max(range(len(widths)), key=lambda k: widths[k])  # a long word is cut
            slack[k] = widths[k] / 2
        widths[k] -= min(0.1, slack[k], sum(widths) - room)
    shapes, y = _heading(title, width, letters, under)
    edges = [sum(widths[:k]) + PAD * k for k in range(len(widths))]
    for number_of_row, cells in enumerate((header, *rows)):
        wrapped = [wrap(cell, widths[k] + 1e-9, h) for k, cell in enumerate(cells)]
        for k, lines in enumerate(wrapped):
            for n, line in enumerate(lines):
                at = (edges[k] + widths[k], "end") if k in right else (edges[k], "start")
                shapes.append(Text("notes", line, (at[0], y - (n + 1) * letters.line), h, 0.0, at[1]))
        y -= max(len(lines) for lines in wrapped) * letters.line + 0.03
        if not number_of_row:
            y -= 0.45 * h
            shapes.append(Line("tables", (0.0, y), (width, y)))
            y -= 0.02
    return Block(tuple(shapes), -y + AFTER)


def notes(title: str, lines: Sequence[str], width: float, letters: Lettering, *, numbered: bool = True, first: int = 1) -> Block:
    """Paragraphs with hanging numbers or strokes."""
    shapes, y = _heading(title, width, letters)
    indent = text_width(f"{first + len(lines)}. " if numbered else "- ", letters.note) + 0.06
    for k, text in enumerate(lines, start=first):
        for n, row in enumerate(wrap(text, width - indent, letters.note)):
            y -= letters.line
            if not n:
                shapes.append(Text("notes", f"{k}." if numbered else "-", (0.0, y), letters.note))
            shapes.append(Text("notes", row, (indent, y), letters.note))
        y -= 0.035
    return Block(tuple(shapes), -y + AFTER)


def listing(
    title: str, header: Sequence[str], rows: Sequence[tuple[str, ...]], letters: Lettering, *, right: Sequence[int] = (), under: str = "",
) -> Listing:  # fmt: skip
    @cache  # a list is laid out several times until it finds its room
    def build(title: str, _: int, items: tuple[tuple[str, ...], ...], width: float) -> Block:
        return table(title, header, items, width, letters, right=right, under=under)

    lines = (header, *rows)
    words = sum(max(text_width(w, letters.note) for r in lines for w in r[k].split(" ")) for k in range(len(header)))
    natural = sum(max(text_width(r[k], letters.note) for r in lines) for k in range(len(header)))
    between = PAD * (len(header) - 1)
    return Listing(
        title, tuple(rows), max(TABLE_LEAST * letters.note, words + between, min(READABLE * natural, WIDE * letters.note) + between), build
    )


def paragraphs(title: str, lines: Sequence[str], letters: Lettering) -> Listing:
    @cache
    def build(title: str, first: int, items: tuple[tuple[str, ...], ...], width: float) -> Block:
        return notes(title, [item[0] for item in items], width, letters, first=first)

    return Listing(title, tuple((line,) for line in lines), NOTES_LEAST * letters.note, build)


def cautions_block(width: float, letters: Lettering, templates: str) -> Block:
    return notes("CAUTIONS", template_lines("notes/cautions.txt", templates), width, letters, numbered=False)


def fill(listings: Sequence[Listing], rooms: Sequence[Box], widest: float) -> tuple[list[Shape], list[Listing]]:
    """Each listing into the first room that holds it, from the top down; where none holds it whole, broken over several. And what found none."""
    shapes: list[Shape] = []
    rest: list[Listing] = []
    tops = [room[3] for room in rooms]
    for listing in listings:
        left: Listing | None = listing
        for breaking in (False, True):
            for k, (x0, low, x1, _) in enumerate(rooms):
                wide = min(x1 - x0, widest)
                if left is None or wide < left.least:
                    continue
                block, after = left.part(wide, tops[k] - low)
                if block is not None and (breaking or after is None):
                    shapes += [moved(s, x1 - wide, tops[k]) for s in block.shapes]
                    tops[k] -= block.height
                    left = after
        if left is not None:
            rest.append(left)
    return shapes, rest
