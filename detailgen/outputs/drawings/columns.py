"""Notes in columns on the paper: headings, wrapped paragraphs, rows with a symbol. Lengths in inches of paper."""

from __future__ import annotations

from collections.abc import Sequence

from detailgen.outputs.drawings.lettering import wrap
from detailgen.outputs.drawings.shapes import Line, Shape, Text
from detailgen.outputs.drawings.sheets import Lettering


class Column:
    """Fills from the top down; nothing goes below ``bottom``."""

    def __init__(self, x: float, top: float, width: float, bottom: float, letters: Lettering) -> None:
        self.x, self.y, self.width, self.bottom, self.letters = x, top, width, bottom, letters
        self.shapes: list[Shape] = []

    def room(self) -> int:
        """Lines of notes that still fit."""
        return int((self.y - self.bottom) / self.letters.line + 1e-6)

    def lines_of(self, text: str, indent: float = 0.0) -> int:
        return len(wrap(text, self.width - indent, self.letters.note))

    def heading(self, text: str, layer: str = "notes", *, large: bool = False) -> None:
        """A heading over a thin rule."""
        height = self.letters.title if large else self.letters.heading
        for line in wrap(text, self.width, height):
            self.y -= 1.25 * height
            self.shapes.append(Text(layer, line, (self.x, self.y), height))
            self.y -= 0.35 * height
        self.y -= 0.12 * height
        self.shapes.append(Line("tables", (self.x, self.y), (self.x + self.width, self.y)))
        self.y -= 0.06

    def paragraph(self, text: str, layer: str = "notes", *, indent: float = 0.0, mark: str = "", mark_layer: str = "notes") -> None:
        """A wrapped paragraph; ``mark`` stands before it, in the indent."""
        for k, line in enumerate(wrap(text, self.width - indent, self.letters.note)):
            self.y -= self.letters.line
            if mark and not k:
                self.shapes.append(Text(mark_layer, mark, (self.x, self.y), self.letters.note))
            self.shapes.append(Text(layer, line, (self.x + indent, self.y), self.letters.note))

    def gap(self, lines: float = 0.4) -> None:
        self.y -= lines * self.letters.line

    def list(self, items: Sequence[tuple[str, str]], indent: float, more: str, *, keep: int = 0) -> int:
        """Marked paragraphs as far as they fit whole, then ``more`` with the count of the rest. Returns how many are shown.

        keep: lines to leave free for what follows
        """
        for k, (mark, text) in enumerate(items):
            last = k == len(items) - 1
            if self.lines_of(text, indent) + (0 if last else 1) > self.room() - keep:
                if self.room() > 0:
                    self.paragraph(more.format(n=len(items) - k))
                return k
            self.paragraph(text, indent=indent, mark=mark)
        return len(items)
