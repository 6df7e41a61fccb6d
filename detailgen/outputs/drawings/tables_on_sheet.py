"""Tables and notes as blocks for the columns of a sheet. A block hangs down from (0, 0); lengths in inches of paper."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from detailgen.core.templates import template_lines
from detailgen.core.units import UnitSystem
from detailgen.model.detail import Part
from detailgen.outputs.drawings.detail_faces import faces, hole_groups
from detailgen.outputs.drawings.detail_scene import Scene
from detailgen.outputs.drawings.detail_words import alike, diameter_words, length, number, size
from detailgen.outputs.drawings.lettering import text_width, wrap
from detailgen.outputs.drawings.shapes import Line, Shape, Text
from detailgen.outputs.drawings.sheets import Lettering

PAD = 0.16
"""Between columns of a table."""
AFTER = 0.17
"""Under a block."""
TABLE_LEAST, NOTES_LEAST = 5.2, 3.9
"""Least widths of tables and notes."""
LEAST = 0.7
"""No wrapped column becomes narrower."""
POUND = 0.45359237
"""kg per pound (exact by definition)."""


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
    build: Callable[[str, int, Sequence[tuple[str, ...]], float], Block]
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
        slack = [w - max(words[k], min(LEAST, natural[k])) for k, w in enumerate(widths)]
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


def _listing(
    title: str, header: Sequence[str], rows: Sequence[tuple[str, ...]], letters: Lettering, *, right: Sequence[int] = (), under: str = "",
) -> Listing:  # fmt: skip
    def build(title: str, _: int, items: Sequence[tuple[str, ...]], width: float) -> Block:
        return table(title, header, items, width, letters, right=right, under=under)

    return Listing(title, tuple(rows), TABLE_LEAST, build)


def _paragraphs(title: str, lines: Sequence[str], letters: Lettering) -> Listing:
    def build(title: str, first: int, items: Sequence[tuple[str, ...]], width: float) -> Block:
        return notes(title, [item[0] for item in items], width, letters, first=first)

    return Listing(title, tuple((line,) for line in lines), NOTES_LEAST, build)


def parts_list(scene: Scene, letters: Lettering) -> Listing:
    """New parts by mark, then the existing ones that are cut or drilled."""
    units = scene.package.project.units
    rows = []
    for face in faces(scene):
        part = face.part
        if part.existing:
            continue
        total = next((m.quantity for m in scene.package.marks if m.mark == face.mark), len(face.alike))
        specification = f"{part.specification}{', ' + part.finish if part.finish else ''}"
        rows.append((face.mark, f"{len(face.alike)} / {total}", part.kind, size(part, units), specification, _made(part), _weight(part, units)))
    for part in scene.existing:
        if part.holes:
            rows.append(("(E)", "1", part.name, size(part, units), part.specification, _made(part), ""))
    header = ("Mark", "Qty", "Part", "Thickness x width x length", "Material", "Holes", "lb" if units.name == "US" else "kg")
    return _listing("PARTS", header, rows, letters, right=(6,), under="Quantity here / in the project; weight of one piece.")


def _made(part: Part) -> str:
    kinds = sorted({h.made for h in part.holes}, reverse=True)
    if part.slots:
        kinds = sorted({*kinds, "shop"}, reverse=True)
    return " and ".join(kinds) if kinds else "none"


def _weight(part: Part, units: UnitSystem) -> str:
    return f"{part.weight:.1f}" if units.name == "US" else f"{part.weight * POUND:.1f}"


def bolt_list(scene: Scene, letters: Lettering) -> Listing:
    units = scene.package.project.units
    rows = []
    for group in alike(scene.detail.bolts):
        b = group[0]
        rows.append((str(len(group)), diameter_words(b.diameter, units), length(b.length, units), b.grade, length(b.high - b.low, units),
                     str(len(group) * b.washers), str(len(group))))  # fmt: skip
    header = ("Qty", "Diameter", "Length", "Grade", "Grip", "Washers", "Nuts")
    return _listing("BOLTS", header, rows, letters, under="Spares are in the bolt list of the package.")


def hole_table(scene: Scene, letters: Lettering) -> Listing:
    """Running ordinates of all holes, part by part: from the left end (or from WP) and from the lower edge. Nothing adds up from hole to hole."""
    units = scene.package.project.units
    rows: list[tuple[str, ...]] = []
    for face in faces(scene):
        part = face.part
        x0, y0 = min(v.x for v in part.outline), min(v.y for v in part.outline)
        shared = not part.open_ends
        name = face.mark or f"(E) {part.name}"
        for group in hole_groups(part):
            by_row: dict[float, list[float]] = {}
            for hole in group:
                by_row.setdefault(round(hole.y - y0, 6), []).append(hole.x - (x0 if shared else 0.0))
            same: dict[tuple[str, ...], list[float]] = {}
            for y, xs in sorted(by_row.items()):
                same.setdefault(tuple(number(x, units) for x in sorted(xs)), []).append(y)
            for texts, ys in same.items():
                made = "shop" if not group[0].template else f"field, {scene.package.mark_of(scene.detail.key, group[0].template)}"
                where = "; ".join(texts) + ("" if shared else " (WP)")
                rows.append((name, number(group[0].diameter, units), where, "; ".join(number(y, units) for y in ys), made))
    under = "Running ordinates from the left end of the face view (WP: from the work point) and from the lower edge."
    return _listing("HOLES", ("Part", "Dia", "x", "y", "Made"), rows, letters, under=under)


def why_table(scene: Scene, letters: Lettering) -> Listing:
    """Governing dimensions: what rule asks for how much."""
    units = scene.package.project.units
    rows = [
        (w.dimension, w.rule, length(w.required, units), length(w.provided, units), f"{w.cite.document} {w.cite.clause}") for w in scene.detail.whys
    ]
    return _listing("WHY", ("Dimension", "Rule", "Required", "Provided", "Clause"), rows, letters, under="What governs each dimension.")


def general_notes(scene: Scene, letters: Lettering) -> Listing:
    """The firm's notes, then those of this detail."""
    return _paragraphs("NOTES", [*template_lines("notes/detail_sheet.txt"), *scene.detail.notes, *_zone_notes(scene)], letters)


def _zone_notes(scene: Scene) -> list[str]:
    units = scene.package.project.units

    def side(x: float) -> str:
        return f"{length(abs(x), units)} {'right' if x > 0 else 'left'} of WP" if abs(x) > 1e-6 else "WP"

    sentences = [f"No-drill zone, {z.why}: from {side(z.x - z.length / 2)} to {side(z.x + z.length / 2)}." for z in scene.detail.zones]
    return list(dict.fromkeys(sentences))


def order_block(scene: Scene, letters: Lettering) -> Listing:
    return _paragraphs("ORDER OF WORK", scene.detail.order, letters)


def cautions_block(width: float, letters: Lettering) -> Block:
    return notes("CAUTIONS", template_lines("notes/cautions.txt"), width, letters, numbered=False)

