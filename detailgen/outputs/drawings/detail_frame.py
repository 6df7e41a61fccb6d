"""What the title block of a detail's sheet says, and its key sketch. Lengths in inches of paper."""

from __future__ import annotations

import itertools

from detailgen.model.detail import ACROSS, EDGES
from detailgen.model.work_points import centre_line, work_point
from detailgen.outputs.drawings.blocks import TABLE_LEAST, Block, Listing
from detailgen.outputs.drawings.detail_scene import Scene
from detailgen.outputs.drawings.detail_words import length
from detailgen.outputs.drawings.lettering import wrap
from detailgen.outputs.drawings.shapes import Circle, Line, Shape, Text
from detailgen.outputs.drawings.sheet_frame import Heading, looking
from detailgen.outputs.drawings.sheets import Lettering
from detailgen.outputs.drawings.truss_sheet import place_words

SKETCH = 1.0
"""Greatest height of the key sketch."""


def detail_heading(scene: Scene, number: str, scale: str, page: int) -> Heading:
    """What the title block says of a detail's sheet."""
    project, detail, truss = scene.package.project, scene.detail, scene.truss
    seen = looking(project, behind=scene.behind)
    under = "Drawn from the survey" + (f"; elevation {seen}" if seen else "")
    title = detail.title + (", continued" if page > 1 else "")
    return Heading(number, title, place_words(truss), scene.package.status_of(detail.key), scale, "Design sheet", under)


def key_sketch(scene: Scene, letters: Lettering) -> Listing:
    """The truss as lines, with a ring where the detail is."""
    return Listing("KEY", (("",),), TABLE_LEAST * letters.note, lambda _title, _first, _items, width: _key(scene, width, letters))


def _key(scene: Scene, width: float, letters: Lettering) -> Block:
    truss, detail = scene.truss, scene.detail
    units = scene.package.project.units
    xs, ys = [p[0] for p in truss.joints.values()], [p[1] for p in truss.joints.values()]
    factor = max((max(xs) - min(xs)) / (width - 0.6), (max(ys) - min(ys)) / SKETCH)
    left, top = (width - (max(xs) - min(xs)) / factor) / 2, -0.1

    def at(p: tuple[float, float]) -> tuple[float, float]:
        return left + (p[0] - min(xs)) / factor, top - (max(ys) - p[1]) / factor

    shapes: list[Shape] = []
    for member in truss.members:
        shapes += [Line("existing", a, b) for a, b in itertools.pairwise([at(p) for p in centre_line(truss, member)])]
    found = work_point(truss, detail.member, detail.station, detail.joint)
    ring = (found.x, found.y) if found is not None else (detail.station, 0.0)
    shapes.append(Circle("new steel", at(ring), 0.14))
    y = top - (max(ys) - min(ys)) / factor - 0.2
    where = (
        f"work point {length(detail.station, units)} from the left end"
        if detail.axis == ACROSS or not detail.bought
        else f"its end seen {detail.axis}"
    )
    where += f", {detail.axis}" if detail.axis in EDGES else ""
    words = f"Key: truss {truss.mark}; ring: this detail, {detail.member}, {where}"
    if detail.also_at:
        words += f"; {detail.times} alike in this truss"
    for line in wrap(words, width, letters.note):
        y -= letters.line
        shapes.append(Text("notes", line, (width / 2, y), letters.note, 0.0, "middle"))
    return Block(tuple(shapes), -y + 0.17)
