"""The truss as found and as repaired, ratios lettered, as a picture for the page: the sheet's view without its notes."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from xml.sax.saxutils import quoteattr

from detailgen.model.assessment import TrussAssessment
from detailgen.model.package import Package, Repaired
from detailgen.outputs.drawings.layout import extents
from detailgen.outputs.drawings.ratings import rate
from detailgen.outputs.drawings.shapes import Drawing
from detailgen.outputs.drawings.sheets import SCALES, SHEETS, Sheet
from detailgen.outputs.drawings.svg import svg_text
from detailgen.outputs.drawings.truss_drawing import lay_out
from detailgen.outputs.page.html import Html, raw

EDGE = 0.15
"""Free paper around the picture, in."""


def as_repaired(one: Repaired) -> TrussAssessment:
    """The repaired truss as an assessment that can be drawn: damage made good, new splices in, its checks as those to letter."""
    truss = one.truss or one.before.truss
    return replace(one.before, truss=replace(truss, damage=()), as_found=one.after)


def picture(assessment: TrussAssessment, package: Package, title: str) -> tuple[Html, Sequence[str]]:
    """The picture at the largest standard scale that the sheet's width takes, and what found no room on it."""
    project = package.project
    ratings = rate(assessment)
    room = SHEETS[project.units.name].width - 2 * EDGE
    for scale in SCALES[project.units.name]:
        if assessment.truss.span / scale.factor > room:
            continue
        view = lay_out(assessment, project, ratings, scale)
        x0, y0, x1, y1 = extents(view.content(), scale.factor)
        wide, tall = (x1 - x0) / scale.factor, (y1 - y0) / scale.factor
        if wide <= room:
            drawing = Drawing(
                "", title, Sheet("view", wide + 2 * EDGE, tall + 2 * EDGE, (0, 0, 0, 0), SHEETS[project.units.name].letters), project.units, scale,
                (EDGE, EDGE, EDGE + wide, EDGE + tall), ((x0 + x1) / 2, (y0 + y1) / 2), tuple(view.content()), (), project.name, project.revision,
                project.date,
            )  # fmt: skip
            return inline(svg_text(drawing), title), tuple(view.crowded)
    return raw(""), (f"a span of {project.units.write_length(assessment.truss.span)}, for which no standard scale is small enough",)


def inline(svg: str, title: str) -> Html:
    """A drawing as part of the page: it takes the width that it gets; names of layers go, as a page holds several drawings."""
    _, _, rest = svg.partition("<svg ")
    attributes, _, body = rest.partition(">")
    shown = re.sub(r'(xmlns|width|height)="[^"]*" ?', "", attributes).strip()
    unnamed = re.sub('<g id="[^"]*"', "<g", body)
    return raw(f'<svg role="img" aria-label={quoteattr(title)} {shown}>{unnamed}')
