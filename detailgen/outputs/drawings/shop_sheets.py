"""Sheets for shop and site: schedules of the whole project, each mark by itself, the form for what is measured on site."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from detailgen.core.errors import OutputError
from detailgen.core.units import UnitSystem
from detailgen.model.package import Marked, Package
from detailgen.outputs.drawings.blocks import Listing, fill, listing, paragraphs
from detailgen.outputs.drawings.detail_arrangement import BETWEEN, Drawn, Placed
from detailgen.outputs.drawings.detail_canvas import Canvas, NoRoomError
from detailgen.outputs.drawings.detail_faces import Face, Said, face_view
from detailgen.outputs.drawings.detail_scene import Scene
from detailgen.outputs.drawings.detail_sheet import in_model
from detailgen.outputs.drawings.detail_words import length
from detailgen.outputs.drawings.detail_words import number as length_number
from detailgen.outputs.drawings.firm_notes import galvanized, note_lines
from detailgen.outputs.drawings.paper import letters_of, set_paper
from detailgen.outputs.drawings.register import FORM, SCHEDULES, SHOP
from detailgen.outputs.drawings.shapes import Circle, Drawing, Polyline, Shape, View
from detailgen.outputs.drawings.sheet_frame import (
    CONTINUED,
    EDGE,
    Heading,
    continuations,
    continued_words,
    framed,
    sheet_drawing,
    trusses_words,
    with_continuations,
)  # fmt: skip
from detailgen.outputs.drawings.sheets import DETAIL_SCALES, Lettering, Scale
from detailgen.outputs.drawings.variation import NAMED, Varied, alike_chains, families, variation_table, vary
from detailgen.outputs.schedules import fabrication, lists

ROW = 0.6
"""Between rows of views, in of paper."""


def _as_table(one: lists.Listing, title: str, letters: Lettering, units: UnitSystem, under: str = "", only: Sequence[str] = ()) -> Listing:
    """A list as the sheets write it: lengths in feet, inches and fractions, or in mm. ``only``: some of its columns."""
    mark = f"_{units.length_unit}"
    chosen = [k for k, h in enumerate(one.header) if not only or h in only]
    header = tuple(one.header[k].removesuffix(mark).replace("_", " ") for k in chosen)

    def cell(k: int, value: lists.Cell, text: str) -> str:
        return length_number(float(value) / units.length, units) if one.header[k].endswith(mark) and isinstance(value, int | float) else text

    rows = [tuple(cell(k, row[k], texts[k]) for k in chosen) for row, texts in zip(one.rows, one.texts, strict=True)]
    return listing(title, header, rows, letters, under=f"Lengths in mm. {under}".strip() if units.name == "SI" else under)


def _heading(package: Package, number: str, title: str, purpose: str, scale: str) -> Heading:
    place = trusses_words([t.before.truss.mark for t in package.trusses])
    return Heading(number, title, place, package.status, scale, purpose)


def _lists_sheet(package: Package, number: str, title: str, purpose: str, content: Sequence[Listing]) -> list[Drawing]:
    """A sheet that holds only lists: two wide columns, then the one over the title block."""
    units = package.project.units
    sheet = set_paper(units, package.project.templates)
    x0, y0, x1, y1 = sheet.inner
    left = x1 - sheet.column

    def heading(name: str, page: int) -> Heading:
        return _heading(package, name, title + (", continued" if page > 1 else ""), purpose, "none")

    frame, top = framed(package, heading(number, 1), sheet, left)
    half = (left - x0 - 3 * EDGE) / 2
    count = 2
    if any(one.least > half for one in content):  # a table that is too wide for half of the sheet
        half, count = left - x0 - 2 * EDGE, 1
    rooms = [(x0 + EDGE + k * (half + EDGE), y0 + EDGE, x0 + EDGE + k * (half + EDGE) + half, y1 - EDGE) for k in range(count)]
    filled, rest = fill(content, [*rooms, (left + EDGE, top + CONTINUED, x1 - EDGE, y1 - EDGE)], half)
    return with_continuations(package, sheet, heading, number, title, [*frame, *filled], rest, top)


def _without_blank(listing: lists.Listing, column: str) -> lists.Listing:
    """A list without a column that says nothing in any row: it is empty, or everything is there once."""
    k = listing.header.index(column)
    if any(row[k] not in ("", 1) for row in listing.rows):
        return listing
    return replace(listing, header=(*listing.header[:k], *listing.header[k + 1 :]), rows=tuple((*r[:k], *r[k + 1 :]) for r in listing.rows))


def draw_schedules(package: Package) -> list[Drawing]:
    units = package.project.units
    letters = letters_of(units, package.project.templates)
    tables = [
        (lists.parts_list(package), "PARTS", ""),
        (lists.bolts_list(package), "BOLTS", "Spares stand beside the quantity, not in it; nuts and washers are for both."),
        (lists.bolts_list(package, again=True), "LONGER BOLTS", "In the places of old bolts, through old holes; spares, nuts, washers as above."),
        (lists.cut_list(package), "TIMBER TO CUT", "Length along the grain."),
        (_without_blank(fabrication.joints_list(package), "times"), "JOINTS SIDE BY SIDE", "Work point from the left end of the truss."),
        (fabrication.plates_list(package), "PLATES BY THICKNESS", ""),
        (_without_blank(fabrication.timber_order(package), "made_of"), "TIMBER ORDER", "Net sizes, length along the grain; volume of all pieces."),
        (fabrication.timber_stock(package), "TIMBER BY STOCK LENGTH", "Saw cuts are counted; which lengths are on sale the supplier's list says."),
    ]
    content = [_as_table(one, title, letters, units, under) for one, title, under in tables if one.rows]
    timbers = [m.part.timber for m in package.marks if m.part.material == "wood"]
    if timbers:
        glulam = any(t is not None and t.product == "glulam" for t in timbers)
        names = ["notes/timber_order.txt", *(["notes/glulam_order.txt"] if glulam else [])]
        content.append(paragraphs("TIMBER, NOTES", [line for name in names for line in note_lines(name, package)], letters))
    return _lists_sheet(package, SCHEDULES, "Schedules of the project", "Design sheet", content)


def draw_field_form(package: Package) -> list[Drawing]:
    letters = letters_of(package.project.units, package.project.templates)
    form = fabrication.field_dimensions(package)
    blank = "____________"
    rows = tuple((*row[:7], blank, "________", "________") for row in form.rows)
    table = _as_table(replace(form, rows=rows), "MEASURE ON SITE", letters, package.project.units)
    notes = paragraphs("NOTES", note_lines("notes/field_form.txt", package), letters)
    return _lists_sheet(package, FORM, "Dimensions to measure on site", "Form", [notes, table])


def _bare(shapes: Sequence[Shape]) -> tuple[Shape, ...]:
    """Without tags: what is measured and judged is the face on the detail's sheet and in the cut file."""
    return tuple(replace(s, tags=()) if isinstance(s, Circle | Polyline) else s for s in shapes)


def _views(package: Package, scale: Scale) -> tuple[list[Drawn], list[Varied]]:
    """Each mark by itself, those that differ only in lengths in one drawing; and what varies."""
    details = {d.key: d for d in package.details}

    def draw(marked: Marked, said: Said | None = None) -> Canvas:
        first, part = marked.uses[0]
        alike = tuple(details[d].part(p) for d, p in marked.uses)
        return face_view(Scene(details[first], package), Face(details[first].part(part).as_cut, alike, marked.mark), scale, said)

    drawn, varied = [], []
    for family in families(sorted(package.marks, key=lambda m: (m.part.material != "steel", lists.natural(m.mark)))):
        canvases = [draw(m) for m in family]
        for group in alike_chains(canvases):
            marks, canvas = [family[k] for k in group], canvases[group[0]]
            if len(marks) > 1:
                templates = tuple(_template(m, package) for m in marks)
                canvas = draw(marks[0], _said(marks, templates, package.project.units))
                one = vary(marks, [canvas, *(canvases[k] for k in group[1:])], templates)
                canvas.shapes[:] = one.shapes
                varied.append(one)
            x0, y0, x1, y1 = canvas.box
            canvas.shapes[:] = _bare(canvas.shapes)
            drawn.append(Drawn(canvas, (x0 / canvas.u, y0 / canvas.u, x1 / canvas.u, y1 / canvas.u)))
    return drawn, varied


def _template(marked: Marked, package: Package) -> str:
    """The mark through which its field holes are drilled; "" where it has none, or several."""
    detail, part = marked.uses[0]
    found = {h.template for h in next(d for d in package.details if d.key == detail).part(part).holes if h.template}
    return package.mark_of(detail, found.pop()) if len(found) == 1 else ""


def _said(marks: Sequence[Marked], templates: Sequence[str], units: UnitSystem) -> Said:
    part = marks[0].part
    finish = f", {part.finish}" if part.finish else ""
    words = f"{length(part.thickness, units)} thick, {part.specification}{finish}; drawn as {marks[0].mark}, letters: table WHAT VARIES"
    named = "; ".join(f"{m.mark}, {m.quantity} required" for m in marks[: NAMED if len(marks) <= NAMED else 1])
    more = f"; {len(marks) - 1} more by the table, to {marks[-1].mark}" if len(marks) > NAMED else ""
    return Said(named + more, (words,), "by the table" if len(set(templates)) > 1 else "")


def _pages(drawn: Sequence[Drawn], room: tuple[float, float, float, float]) -> list[list[Placed]]:
    """Views side by side in rows, row under row, sheet after sheet, in the order of their marks. Raises NoRoomError for one that is too large."""
    x0, y0, x1, y1 = room
    pages: list[list[Placed]] = [[]]
    x, top, tall = x0, y1, 0.0
    for one in drawn:
        if one.width > x1 - x0 or one.height > y1 - y0:
            raise NoRoomError(one.canvas.name)
        if x + one.width > x1:
            x, top, tall = x0, top - tall - ROW, 0.0
        if top - one.height < y0:
            pages.append([])
            x, top, tall = x0, y1, 0.0
        pages[-1].append(Placed(one, x, top - one.height))
        x, tall = x + one.width + BETWEEN, max(tall, one.height)
    return pages


def _any_steel(package: Package) -> bool:
    return any(m.part.material == "steel" for m in package.marks)


def _shop_notes(package: Package) -> list[str]:
    """The firm's notes, for what this project has."""
    materials = {m.part.material for m in package.marks}
    names = ["shop", *(["shop_steel"] if "steel" in materials else []), *(["shop_galvanized"] if galvanized(package) else []),
             *(["shop_timber"] if "wood" in materials else [])]  # fmt: skip
    return [line for name in names for line in note_lines(f"notes/{name}.txt", package)]


def draw_shop(package: Package) -> list[Drawing]:
    """Each mark by itself with its dimensions, the quantity of the whole project, its weight and its cut file.

    Raises: OutputError where a part fits at none of the standard scales
    """
    units = package.project.units
    sheet = set_paper(units, package.project.templates)
    letters = sheet.letters
    x0, y0, x1, y1 = sheet.inner
    left = x1 - sheet.column
    room = (x0 + EDGE, y0 + EDGE, left - EDGE, y1 - EDGE)
    pages: list[list[Placed]] = []
    varied: list[Varied] = []
    for k, scale in enumerate(DETAIL_SCALES[units.name]):  # the largest at which one sheet holds all; where none does, several at the third
        try:
            drawn, varied = _views(package, scale)
            pages = _pages(drawn, room)
        except NoRoomError:
            continue
        if len(pages) == 1 or k >= 2:
            break
    if not pages:
        raise OutputError("a part is too large for a shop sheet at every standard scale")
    title, drawings = "Parts", []
    notes = paragraphs("NOTES", _shop_notes(package), letters)
    weight = "lb" if units.name == "US" else "kg"
    columns = ("mark", "quantity", f"weight_each_{weight}", f"weight_total_{weight}", *(["file"] if _any_steel(package) else []))
    content = [_as_table(lists.parts_list(package), "PARTS", letters, units, only=columns), *(variation_table(v, letters) for v in varied), notes]
    rest: list[Listing] = []
    for page, placed in enumerate(pages, 1):
        number = SHOP if page == 1 else f"{SHOP}-{page}"
        words = title if page == 1 else f"{title}, continued"
        frame, top = framed(package, _heading(package, number, words, "Shop sheet, not sealed", scale.label), sheet, left)
        filled: list[Shape] = []
        if page == 1:
            filled, rest = fill(content, [(left + EDGE, top + CONTINUED, x1 - EDGE, y1 - EDGE)], sheet.column - 2 * EDGE)
            if rest:
                filled.append(continued_words(rest, SHOP, (left + EDGE, top), sheet.column - 2 * EDGE, letters, len(pages) + 1))
        views: list[View] = in_model(placed)
        drawings.append(sheet_drawing(package, sheet, number, f"{number} {words}", [*frame, *filled], views[0], views[0].shapes, views[1:]))
    count = len(pages)
    if rest:
        more = continuations(
            package, lambda name, _: _heading(package, name, f"{title}, continued", "Shop sheet, not sealed", "none"), sheet, rest, SHOP, after=count
        )
        for page, shapes in enumerate(more, count + 1):
            drawings.append(sheet_drawing(package, sheet, f"{SHOP}-{page}", f"{SHOP}-{page} {title}, continued", shapes))
    return drawings
