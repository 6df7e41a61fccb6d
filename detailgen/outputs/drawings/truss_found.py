"""The sheet of a truss as found: what stands there, what was found, what fails and why."""

from __future__ import annotations

from detailgen.model.package import Package, Repaired
from detailgen.outputs.drawings.blocks import paragraphs
from detailgen.outputs.drawings.columns import Column
from detailgen.outputs.drawings.detail_words import number as length_number
from detailgen.outputs.drawings.layout import View as Layout
from detailgen.outputs.drawings.ratings import rate
from detailgen.outputs.drawings.register import found_number
from detailgen.outputs.drawings.setting_out import chord_points, web_points
from detailgen.outputs.drawings.shapes import Drawing
from detailgen.outputs.drawings.sheet_frame import least_settled
from detailgen.outputs.drawings.sheets import Scale
from detailgen.outputs.drawings.truss_drawing import lay_out, under_words
from detailgen.outputs.drawings.truss_lists import bolts_found, members_list
from detailgen.outputs.drawings.truss_notes import legend, snow_damage_flags, view_title, what_fails
from detailgen.outputs.drawings.truss_sheet import TrussSheet, place_words
from detailgen.outputs.drawings.truss_views import stacked, titled

SHARE = 0.62
"""Of the room's height for the view; findings stand under it."""


def draw_found(one: Repaired, package: Package) -> list[Drawing]:
    """Raises: OutputError where the truss fits on the paper at none of the standard scales"""
    project, truss, before = package.project, one.before.truss, one.before
    units = project.units
    sheet = TrussSheet(
        package, found_number(truss.mark, package), f"Truss {truss.mark} as found", place_words(truss), least_settled(list(one.status.values()))
    )
    letters, room, ratings = sheet.letters, sheet.room, rate(before)

    def draw(scale: Scale) -> Layout:
        return lay_out(before, project, ratings, scale, lambda x: length_number(x, units), letters)

    (view,), (laid,) = stacked(truss, units.name, room, SHARE, [draw])
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
    under = titled(view, view_title(before, project), under_words(ratings, units.name), letters)
    return sheet.drawn(view.scale.label, [view], [*under, *key, *first.shapes, *second.shapes], lists)
