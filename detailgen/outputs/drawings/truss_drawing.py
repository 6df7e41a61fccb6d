"""One sheet per truss: what it is, what was found, what fails and why."""

from __future__ import annotations

import re

from detailgen.core.errors import OutputError
from detailgen.model.assessment import TrussAssessment
from detailgen.model.project import Project
from detailgen.outputs.drawings import marks
from detailgen.outputs.drawings.columns import Column
from detailgen.outputs.drawings.elevation import draw_elevation
from detailgen.outputs.drawings.layers import LAYERS, firm_layers
from detailgen.outputs.drawings.layout import View, Write, extents
from detailgen.outputs.drawings.ratings import Ratings, rate
from detailgen.outputs.drawings.shapes import Drawing, Polyline, Shape, Text
from detailgen.outputs.drawings.sheets import SCALES, SHEETS, Lettering, Scale
from detailgen.outputs.drawings.truss_notes import cautions, legend, snow_damage_flags, title_block, view_title, what_fails

VIEW_SHARE = 0.54
"""Part of the frame's height that the view may take."""
COLUMNS = (0.38, 0.30, 0.32)
"""Widths of findings, snow and damage, cautions and title, as shares of the frame."""
BETWEEN = 0.25
"""Between columns, in of paper."""


def drawing_name(mark: str) -> str:
    """File name, without its ending, of the drawing of one truss: letters and digits of the mark stay, anything else is a hyphen."""
    return f"truss_{re.sub(r'[^A-Za-z0-9]+', '-', mark).strip('-')}"


ORDERS = (("splices", "bolts", "damage"), ("bolts", "damage", "splices"), ("splices", "damage", "bolts"))
"""Who looks for room first; the first order in which everybody finds some is taken."""


def _view(
    assessment: TrussAssessment, project: Project, ratings: Ratings, scale: Scale, order: tuple[str, ...], write: Write, letters: Lettering,
) -> View:  # fmt: skip
    truss = assessment.truss
    view = View(draw_elevation(truss, ratings), scale.factor, letters, write)
    marks.mark_supports(view, truss)
    marks.dimension_rise(view, truss)
    splices = marks.mark_splices(view, truss, ratings)
    frames = marks.mark_bolts(view, truss, ratings)
    found = marks.mark_damage(view, truss)
    beside = marks.letter_ratios(view, ratings)
    marks.mark_joints(view, truss)
    marks.letter_beside(view, beside)
    letter = {
        "splices": lambda: marks.letter_splices(view, splices),
        "bolts": lambda: marks.letter_bolts(view, truss, ratings, frames),
        "damage": lambda: marks.letter_damage(view, found, project.units),
    }
    view.settled = len(view.crowded)
    for group in order:
        letter[group]()
    marks.dimension(view, truss, view.under)
    return view


def lay_out(
    assessment: TrussAssessment, project: Project, ratings: Ratings, scale: Scale, write: Write | None = None, letters: Lettering | None = None,
) -> View:  # fmt: skip
    """The elevation with everything lettered on it, at one scale, in the order that leaves the least without room.

    write: how dimensions write a length, whole millimetres if not given; letters: those of the truss's own drawing if not given
    """
    put = write or (lambda value: project.units.write_length(value).removesuffix(" mm"))
    lettered = letters or SHEETS[project.units.name].letters
    best = _view(assessment, project, ratings, scale, ORDERS[0], put, lettered)
    for order in ORDERS[1:]:
        if not any(best.lost):
            break
        other = _view(assessment, project, ratings, scale, order, put, lettered)
        best = other if other.lost < best.lost else best
    return best


def draw_truss(assessment: TrussAssessment, project: Project) -> Drawing:
    """The drawing of a truss as found, at the largest standard scale at which it fits.

    Raises: OutputError where it fits at none
    """
    units = project.units
    sheet = SHEETS[units.name]
    x0, y0, x1, y1 = sheet.inner
    ratings = rate(assessment)
    for scale in SCALES[units.name]:
        if assessment.truss.span / scale.factor > x1 - x0:
            continue
        view = lay_out(assessment, project, ratings, scale)
        content = view.content()
        a0, b0, a1, b1 = extents(content, scale.factor)
        wide, tall = (a1 - a0) / scale.factor, (b1 - b0) / scale.factor
        if wide > x1 - x0 - 0.2 or tall > VIEW_SHARE * (y1 - y0):
            continue
        window = (x0 + 0.03, y1 - 0.13 - tall, x1 - 0.03, y1 - 0.03)
        paper = _paper(assessment, project, ratings, scale, window[1], view.crowded)
        if paper is not None:
            break
    else:
        span = units.write_length(assessment.truss.span)
        raise OutputError(f"truss {assessment.truss.mark}: a span of {span} with its notes fits on {sheet.name} at none of the standard scales")
    return Drawing(
        name=drawing_name(assessment.truss.mark),
        title=view_title(assessment, project),
        sheet=sheet,
        units=units,
        scale=scale,
        window=window,
        view_centre=((a0 + a1) / 2, (b0 + b1) / 2),
        model=tuple(content),
        paper=tuple(paper),
        project=f"{project.name} {project.number}".strip(),
        revision=project.revision,
        date=project.date,
        layers=firm_layers(project.templates) if project.templates else LAYERS,
    )


def under_words(ratings: Ratings, units: str) -> str:
    unit = "feet and inches" if units == "US" else "millimetres"
    state = "of the truss as if undamaged" if ratings.of_intact else "as found"
    return f"Dimensions in {unit}, between work points and centre lines. Ratios: demand over capacity {state}, worst combination."


def _paper(assessment: TrussAssessment, project: Project, ratings: Ratings, scale: Scale, under: float, crowded: list[str]) -> list[Shape] | None:
    """Border, view title, legend, three columns of notes, title block. None where cautions and title block do not fit under the view.

    under: y of the lower edge of the view
    """
    letters = SHEETS[project.units.name].letters
    x0, y0, x1, y1 = SHEETS[project.units.name].inner
    middle, base = (x0 + x1) / 2, under - 1.4 * letters.heading
    shapes: list[Shape] = [
        Polyline("border", ((x0, y0), (x1, y0), (x1, y1), (x0, y1)), True),
        Text("notes", f"{view_title(assessment, project)}, {scale.label}", (middle, base), letters.heading, 0.0, "middle"),
        Text("notes", under_words(ratings, project.units.name), (middle, base - letters.line), letters.note, 0.0, "middle"),
    ]
    key, low = legend(assessment.truss, ratings, x0 + 0.1, x1 - 0.1, base - letters.line, letters)
    edges = [x0 + sum(COLUMNS[:k]) * (x1 - x0) for k in range(4)]
    block, block_top = title_block(project, assessment, scale, (edges[2], y0, x1), letters)
    pad, top, half = 0.12, low - 0.1, BETWEEN / 2
    first = Column(x0 + pad, top, edges[1] - x0 - pad - half, y0 + pad, letters)
    second = Column(edges[1] + half, top, edges[2] - edges[1] - BETWEEN, y0 + pad, letters)
    third = Column(edges[2] + half, top, x1 - edges[2] - half - pad, block_top + 0.05, letters)
    if not cautions(third, project.templates):
        return None
    what_fails(first, assessment)
    snow_damage_flags(second, first, assessment, ratings, project.units, crowded)
    return [*shapes, *key, *block, *first.shapes, *second.shapes, *third.shapes]
