"""Frame, title block, status, cautions and key sketch of a detail's sheet. Lengths in inches of paper."""

from __future__ import annotations

import itertools
import math

from detailgen.core.errors import OutputError
from detailgen.core.templates import template_lines
from detailgen.outputs.drawings.detail_scene import Scene
from detailgen.outputs.drawings.detail_words import length
from detailgen.outputs.drawings.lettering import wrap
from detailgen.outputs.drawings.shapes import Circle, Line, Polyline, Shape, Text, moved
from detailgen.outputs.drawings.sheets import LETTERING, Lettering, Sheet
from detailgen.outputs.drawings.tables_on_sheet import TABLE_LEAST, Block, Listing, cautions_block

PAD = 0.1
STATUS_HEIGHT = 3 / 8
SKETCH = 1.0
"""Greatest height of the key sketch."""


def frame_and_title(scene: Scene, sheet: Sheet, sides: tuple[float, float], number: str, scale: str, page: int) -> tuple[list[Shape], float]:
    """Border, title block in the lower right corner, status and cautions on it. Returns shapes and their upper edge.

    sides: left and right of the block
    """
    project, detail = scene.package.project, scene.detail
    letters = LETTERING[project.units.name]
    x0, y0, x1, y1 = sheet.inner
    # A continuation holds notes and tables only: it says that nothing new is drawn on it.
    tags = ("kind=sheet", "shows=existing") if page > 1 else ()
    shapes: list[Shape] = [Polyline("border", ((x0, y0), (x1, y0), (x1, y1), (x0, y1)), True, tags=tags)]
    status = scene.package.status_of(detail.key)
    meaning = next((line.split(":", 1)[1].strip() for line in template_lines("notes/status.txt") if line.startswith(f"{status}:")), "")
    if not meaning:
        raise OutputError(f"template notes/status.txt: no line says what {status} means; write '{status}: ...'")
    unit = "feet and inches" if project.units.name == "US" else "millimetres"
    looking = scene.looking()
    truss = scene.truss
    bay = truss.bay if " " in truss.bay or not truss.bay else f"bay {truss.bay}"
    place = ", ".join(p for p in (f"truss {truss.mark}", f"type {truss.type}" if truss.type else "", bay) if p)
    rows: list[list[tuple[str, float]]] = [
        [(f"Sheet {number}", letters.title), (f"Revision {project.revision}", letters.heading), (project.date, letters.heading)],
        [(f"Scale {scale}", letters.note), (f"Units: {unit}", letters.note), (f"Paper {sheet.name}", letters.note)],
        [("Drawn from the survey" + (f"; elevations {looking}" if looking else ""), letters.note)],
        [(", ".join((*scene.package.standards,)), letters.note)],
        [(detail.title + (", continued" if page > 1 else ""), letters.title)],
        [(place, letters.heading)],
        [(", ".join(p for p in (project.number, project.location) if p), letters.note)],
        [(project.name, letters.heading)],
        [(status, STATUS_HEIGHT), (meaning, letters.note)],
    ]
    left, right = sides
    y = y0
    for row in rows:
        cells = [c for c in row if c[0]]
        if not cells:
            continue
        wide = (right - left) / len(cells)
        wrapped = [(wrap(text, wide - 2 * PAD, height), height) for text, height in cells]
        tall = max(len(lines) * 1.45 * height for lines, height in wrapped) + 0.6 * letters.note
        for k, (lines, height) in enumerate(wrapped):
            block = len(lines) * 1.45 * height
            base = y + tall - (tall - block) / 2
            for n, line in enumerate(lines):
                shapes.append(Text("title", line, (left + k * wide + PAD, base - (n + 1) * 1.45 * height + 0.3 * height), height))
            if k:
                shapes.append(Line("title", (left + k * wide, y), (left + k * wide, y + tall)))
        y += tall
        shapes.append(Line("title", (left, y), (right, y)))
    shapes.append(Line("title", (left, y0), (left, y)))
    cautions = cautions_block(right - left - 4 * PAD, letters)
    shapes += [moved(s, left + 2 * PAD, y + cautions.height - 0.08) for s in cautions.shapes]
    y += cautions.height
    shapes.append(Line("title", (left, y), (right, y)))
    return shapes, y + 0.1


def key_sketch(scene: Scene, letters: Lettering) -> Listing:
    """The truss as lines, with a ring where the detail is."""
    return Listing("KEY", (("",),), TABLE_LEAST, lambda _title, _first, _items, width: _key(scene, width, letters))


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
        shapes += [Line("existing", a, b) for a, b in itertools.pairwise([at(truss.joints[j]) for j in member.joints])]
    shapes.append(Circle("new steel", at((detail.station, _height_of(scene))), 0.14))
    y = top - (max(ys) - min(ys)) / factor - 0.2
    words = f"Key: truss {truss.mark}; ring: this detail, {detail.member}, work point {length(detail.station, units)} from the left end"
    for line in wrap(words, width, letters.note):
        y -= letters.line
        shapes.append(Text("notes", line, (width / 2, y), letters.note, 0.0, "middle"))
    return Block(tuple(shapes), -y + 0.17)


def _height_of(scene: Scene) -> float:
    """y of the work point: on the chord's line between its joints."""
    truss, x = scene.truss, scene.detail.station
    member = next((m for m in truss.members if m.name == scene.detail.member), None)
    if member is None:
        return 0.0
    points = sorted(truss.joints[j] for j in member.joints)
    for (xa, ya), (xb, yb) in itertools.pairwise(points):
        if xa <= x <= xb and not math.isclose(xa, xb):
            return ya + (yb - ya) * (x - xa) / (xb - xa)
    return points[0][1]
