"""Views of a truss on a sheet of the set, one over the other, at the same scale. Lengths in inches of paper unless they say real."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from detailgen.core.errors import OutputError
from detailgen.model.package import Package
from detailgen.model.project import Truss
from detailgen.outputs.drawings import marks
from detailgen.outputs.drawings.blocks import Box
from detailgen.outputs.drawings.detail_words import number
from detailgen.outputs.drawings.elevation import draw_elevation
from detailgen.outputs.drawings.layout import View as Layout
from detailgen.outputs.drawings.layout import extents
from detailgen.outputs.drawings.paper import letters_of
from detailgen.outputs.drawings.ratings import Ratings
from detailgen.outputs.drawings.shapes import Shape, Text, View, moved
from detailgen.outputs.drawings.sheets import SCALES, Lettering, Scale

APART = 120.0
"""Between two views in the model (in, real)."""
UNDER = 0.75
"""Under a view, for its title and the line below it."""


def bare_view(truss: Truss, package: Package, scale: Scale, ratings: Ratings, below: float) -> Layout:
    """The truss with its supports, and ``below`` kept free under it for what is lettered there."""
    units = package.project.units
    letters = letters_of(units, package.project.templates)
    view = Layout(draw_elevation(truss, ratings), scale.factor, letters, lambda value: number(value, units), below)
    marks.mark_supports(view, truss)
    return view


def stacked(
    truss: Truss, units: str, room: Box, share: float, views: Sequence[Callable[[Scale], Layout]],
) -> tuple[list[View], list[Layout]]:  # fmt: skip
    """Views from the top of the room down, at the largest standard scale at which they fit into ``share`` of its height.

    Returns: the views, and the layouts that they came from
    Raises: OutputError where they fit at none
    """
    x0, y0, x1, y1 = room
    for scale in SCALES[units]:
        if truss.span / scale.factor > x1 - x0:
            continue
        laid = [draw(scale) for draw in views]
        contents = [one.content() for one in laid]
        boxes = [extents(content, scale.factor) for content in contents]
        wide = (max(b[2] for b in boxes) - min(b[0] for b in boxes)) / scale.factor
        talls = [(b[3] - b[1]) / scale.factor + 0.1 for b in boxes]
        if wide > x1 - x0 or sum(talls) + UNDER * len(talls) > share * (y1 - y0):
            continue
        spare = share * (y1 - y0) - sum(talls) - UNDER * len(talls)
        gap = min(spare / len(talls), 1.5) if len(talls) > 1 else 0.0
        left, right = min(b[0] for b in boxes), max(b[2] for b in boxes)  # one over the other, joint under joint
        out: list[View] = []
        top, down = y1 - gap / 2, 0.0
        for k, (content, box, tall) in enumerate(zip(contents, boxes, talls, strict=True)):
            down = down if not k else down + box[3] - boxes[k - 1][1] + APART
            middle = (x0 + x1) / 2
            window = (middle - wide / 2 - 0.05, top - tall, middle + wide / 2 + 0.05, top)
            centre = ((left + right) / 2, (box[1] + box[3]) / 2 - down)
            out.append(View(f"view {k + 1}", scale, window, centre, tuple(moved(s, 0.0, -down) for s in content)))
            top -= tall + UNDER + gap
        return out, laid
    raise OutputError(f"truss {truss.mark}: its views fit on this paper at none of the standard scales")


def titled(view: View, words: str, under: str, letters: Lettering) -> list[Shape]:
    """Title with the scale, and one line, under a view."""
    middle, low = (view.window[0] + view.window[2]) / 2, view.window[1]
    base = low - 1.3 * letters.heading
    return [
        Text("notes", f"{words}, {view.scale.label}", (middle, base), letters.heading, 0.0, "middle"),
        Text("notes", under, (middle, base - letters.line), letters.note, 0.0, "middle"),
    ]
