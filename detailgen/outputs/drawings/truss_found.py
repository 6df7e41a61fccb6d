"""The sheet of a truss as found: what stands there, what was found, what fails and why."""

from __future__ import annotations

from detailgen.model.package import Package, Repaired
from detailgen.outputs.drawings.blocks import fill, paragraphs
from detailgen.outputs.drawings.columns import Column
from detailgen.outputs.drawings.detail_words import number as length_number
from detailgen.outputs.drawings.layout import View as Layout
from detailgen.outputs.drawings.paper import set_paper
from detailgen.outputs.drawings.ratings import rate
from detailgen.outputs.drawings.register import found_number
from detailgen.outputs.drawings.setting_out import chord_points, web_points
from detailgen.outputs.drawings.shapes import Drawing, Shape
from detailgen.outputs.drawings.sheet_frame import (
    CONTINUED,
    EDGE,
    Heading,
    continuations,
    continued_words,
    framed,
    least_settled,
    looking,
    sheet_drawing,
)  # fmt: skip
from detailgen.outputs.drawings.sheets import Scale
from detailgen.outputs.drawings.truss_drawing import lay_out, under_words
from detailgen.outputs.drawings.truss_lists import bolts_found, members_list
from detailgen.outputs.drawings.truss_notes import legend, snow_damage_flags, view_title, what_fails
from detailgen.outputs.drawings.truss_views import stacked, titled

SHARE = 0.62
"""Of the room's height for the view; findings stand under it."""


def place_words(one: Repaired) -> str:
    truss = one.before.truss
    bay = truss.bay if " " in truss.bay or not truss.bay else f"bay {truss.bay}"
    return ", ".join(p for p in (f"truss {truss.mark}", f"type {truss.type}" if truss.type else "", bay) if p)


def draw_found(one: Repaired, package: Package) -> list[Drawing]:
    """Raises: OutputError where the truss fits on the paper at none of the standard scales"""
    project, truss, before = package.project, one.before.truss, one.before
    units, number = project.units, found_number(truss.mark, package)
    sheet = set_paper(units, package.project.templates)
    letters = sheet.letters
    x0, y0, x1, y1 = sheet.inner
    left = x1 - sheet.column
    ratings = rate(before)
    room = (x0 + EDGE, y0 + EDGE, left - EDGE, y1 - EDGE)

    def draw(scale: Scale) -> Layout:
        return lay_out(before, project, ratings, scale, lambda x: length_number(x, units), letters)

    (view,), (laid,) = stacked(truss, units.name, room, SHARE, [draw])
    seen = looking(project)
    title = f"Truss {truss.mark} as found"

    def heading(name: str, page: int) -> Heading:
        under = "Drawn from the survey" + (f"; elevation {seen}" if seen else "")
        status = least_settled(list(one.status.values()))
        scale = view.scale.label if page == 1 else "none"
        return Heading(name, title + (", continued" if page > 1 else ""), place_words(one), status, scale, "Design sheet", under)

    frame, top = framed(package, heading(number, 1), sheet, left)
    shapes: list[Shape] = [*frame, *titled(view, view_title(before, project), under_words(ratings, units.name), letters)]
    key, low = legend(truss, ratings, room[0], room[2], view.window[1] - 1.3 * letters.heading - letters.line, letters)
    half = (room[2] - room[0] - 0.5) / 2
    first = Column(room[0], low - 0.25, half, room[1], letters)
    second = Column(room[0] + half + 0.5, low - 0.25, half, room[1], letters)
    what_fails(first, before)
    snow_damage_flags(second, first, before, ratings, units, laid.crowded)
    setting_out = [chord_points(truss, units, letters), web_points(truss, units, letters)]
    lists = [members_list(truss, units, letters), bolts_found(truss, units, letters), *(one for one in setting_out if one is not None)]
    if before.notes or before.assumptions:
        lists.append(paragraphs("MIND", [*before.notes, *before.assumptions], letters))
    filled, rest = fill(lists, [(left + EDGE, top + CONTINUED, x1 - EDGE, y1 - EDGE)], sheet.column - 2 * EDGE)
    shapes += [*key, *first.shapes, *second.shapes, *filled]
    if rest:
        shapes.append(continued_words(rest, number, (left + EDGE, top), sheet.column - 2 * EDGE, letters))
    drawings = [sheet_drawing(package, sheet, number, f"{number} {title}", shapes, view, view.shapes)]
    for page, more in enumerate(continuations(package, heading, sheet, rest, number), 2):
        drawings.append(sheet_drawing(package, sheet, f"{number}-{page}", f"{number}-{page} {title}, continued", more))
    return drawings
