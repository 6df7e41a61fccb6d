"""Cut files: one DXF per steel part, 1:1, for the cutting table. Wood is cut by the list and drilled in the field; it has none."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from detailgen.core.errors import OutputError
from detailgen.core.units import MM, UnitSystem
from detailgen.model.detail import Detail, Part
from detailgen.model.package import Marked, Package
from detailgen.outputs.drawings.detail_faces import slot_outline
from detailgen.outputs.drawings.detail_geometry import flat_outline
from detailgen.outputs.drawings.detail_words import length
from detailgen.outputs.drawings.dxf import APPLICATION, finished, literal, tag
from detailgen.outputs.drawings.lettering import ASCENT, DESCENT, NO_BREAK, text_width
from detailgen.outputs.drawings.plane import Taken, segments
from detailgen.outputs.drawings.shapes import Circle, Point, Polyline
from detailgen.outputs.drawings.tags import hole_tags, outline_tags, slot_tags
from detailgen.outputs.schedules.lists import cut_file_name

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document

OUTER, INNER, CENTRE, ETCH = "CUT_OUTER", "CUT_INNER", "CENTER", "ETCH"
COLOURS = {OUTER: 7, INNER: 5, CENTRE: 3, ETCH: 1}
SINGLE_STROKE = "txt.shx"
"""A font of single strokes that programs of cutting tables know; nothing is filled."""
HEIGHTS = (1 / 2, 3 / 8, 1 / 4, 3 / 16, 1 / 8)
"""Heights of etched letters, largest first (in)."""
CLEAR = 1 / 8
"""Kept free between letters and any edge (in)."""


@dataclass(frozen=True)
class Etched:
    """One line of etched text: baseline, height (in), turned to read from the right or not."""

    text: str
    at: Point
    height: float
    upright: bool


def write_cut_files(package: Package, folder: Path) -> list[Path]:
    """Write a cut file for every mark of steel. The folder is made where it is missing.

    Raises: OutputError where a part has no room for its etched text
    """
    details = {d.key: d for d in package.details}
    written = []
    for marked in package.marks:
        name = cut_file_name(marked, package.project.units)
        if not name:
            continue
        folder.mkdir(parents=True, exist_ok=True)
        detail_key, part_key = marked.uses[0]
        path = folder / Path(name).name
        path.write_text(cut_text(marked, details[detail_key], details[detail_key].part(part_key).as_cut, package), encoding="utf-8", newline="\n")
        written.append(path)
    return written


def cut_text(marked: Marked, detail: Detail, part: Part, package: Package) -> str:
    """The whole file of one mark, as its part is drawn in ``detail``."""
    project = package.project
    units = project.units
    scale = 1.0 if units.name == "US" else 1 / MM

    def at(p: Point) -> Point:
        return round(p[0] * scale, 6) + 0.0, round(p[1] * scale, 6) + 0.0

    document = _document(units)
    model = document.modelspace()
    outline = [(*at((v.x, v.y)), v.bulge) for v in part.outline]
    edge = model.add_lwpolyline(outline, format="xyb", close=True, dxfattribs={"layer": OUTER})
    tag(edge, outline_tags(detail, part, marked.mark, project))
    for hole in sorted(part.holes, key=lambda h: (h.x, h.y)):
        circle = model.add_circle(at((hole.x, hole.y)), round(hole.diameter / 2 * scale, 6), {"layer": INNER})
        tag(circle, hole_tags(detail, part, hole, units))
        model.add_point(at((hole.x, hole.y)), {"layer": CENTRE})
    for slot in sorted(part.slots, key=lambda s: (s.x, s.y)):
        corners, bulges = slot_outline(slot)
        points = [(*at(p), b) for p, b in zip(corners, bulges, strict=True)]
        tag(model.add_lwpolyline(points, format="xyb", close=True, dxfattribs={"layer": INNER}), slot_tags(detail, part, slot, units))
        model.add_point(at((slot.x, slot.y)), {"layer": CENTRE})
    for line in etched(part, etch_words(marked, part, units)):
        text = model.add_text(literal(line.text), height=round(line.height * scale, 6), dxfattribs={"layer": ETCH, "style": ETCH})
        text.dxf.rotation = 90.0 if line.upright else 0.0
        text.set_placement(at(line.at))
    xs, ys = zip(*flat_outline(part), strict=True)
    model.reset_extents((*at((min(xs), min(ys))), 0.0), (*at((max(xs), max(ys))), 0.0))
    document.set_modelspace_vport(1.2 * (max(ys) - min(ys)) * scale, center=at(((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)))
    return finished(document, f"{project.name} {project.number}/{project.revision}/cut/{marked.mark}", project.date)


def etch_words(marked: Marked, part: Part, units: UnitSystem) -> tuple[str, ...]:
    """What stands on the plate: mark, thickness and material, quantity, which side is up."""
    thick = length(part.thickness, units).replace(NO_BREAK, " ")
    return marked.mark, f"{thick} {part.specification}", f"QTY {marked.quantity}", "THIS SIDE UP"


def _document(units: UnitSystem) -> Document:
    from ezdxf.filemanagement import new

    document = new("R2018")
    us = units.name == "US"
    document.header["$INSUNITS"], document.header["$MEASUREMENT"] = (1, 0) if us else (4, 1)
    document.header["$LUNITS"], document.header["$LUPREC"] = (4, 4) if us else (2, 1)
    for layer, colour in COLOURS.items():
        document.layers.add(layer, color=colour)
    if "Defpoints" in document.layers:
        document.layers.remove("Defpoints")
    document.styles.add(ETCH, font=SINGLE_STROKE)
    document.appids.add(APPLICATION)
    return document


def etched(part: Part, words: tuple[str, ...]) -> list[Etched]:
    """Where the text stands: inside the outline, off holes and slots, as large as fits, in as few lines as fit.

    Raises: OutputError where there is no room at the smallest height
    """
    outline = flat_outline(part)
    taken = Taken(1.0)
    for a, b in zip(outline, (*outline[1:], outline[0]), strict=True):
        taken.add((a, b))
    for hole in part.holes:
        for piece in segments(Circle(INNER, (hole.x, hole.y), hole.diameter / 2), 0.1):
            taken.add((*piece, (hole.x, hole.y)))
    for slot in part.slots:
        corners, bulges = slot_outline(slot)
        taken.add(corners)
        for a, b in segments(Polyline(INNER, corners, True, bulges), 0.1):
            taken.add((a, b, (slot.x, slot.y)))
    x0, x1 = min(p[0] for p in outline), max(p[0] for p in outline)
    y0, y1 = min(p[1] for p in outline), max(p[1] for p in outline)
    for height, lines, upright in itertools.product(HEIGHTS, _groupings(words), (False, True)):
        pitch = 1.6 * height
        wide = max(text_width(t, height) for t in lines)
        tall = (len(lines) - 1) * pitch + (ASCENT + DESCENT) * height
        w, h = (tall, wide) if upright else (wide, tall)
        w, h = w + 2 * CLEAR, h + 2 * CLEAR
        for x, y in _corners((x0, y0, x1, y1), w, h):
            region = ((x, y), (x + w, y), (x + w, y + h), (x, y + h))
            if _within(region[0], outline) and not taken.hit(region):
                return [_line(t, k, height, pitch, region, upright) for k, t in enumerate(lines)]
    raise OutputError(f"part {part.key}: no room on it for the etched text '{', '.join(words)}', {HEIGHTS[-1]:g} in. high")


def _line(text: str, k: int, height: float, pitch: float, region: tuple[Point, ...], upright: bool) -> Etched:
    down = CLEAR + ASCENT * height + k * pitch
    at = (region[0][0] + down, region[0][1] + CLEAR) if upright else (region[0][0] + CLEAR, region[2][1] - down)
    return Etched(text, at, height, upright)


def _groupings(words: tuple[str, ...]) -> list[tuple[str, ...]]:
    """The words in one line, in two, and each in its own."""
    half = len(words) // 2
    return [("  ".join(words),), ("  ".join(words[:half]), "  ".join(words[half:])), words]


def _corners(box: tuple[float, float, float, float], wide: float, tall: float) -> list[Point]:
    """Lower left corners to try, those nearest to the middle first."""
    x0, y0, x1, y1 = box
    free_x, free_y = x1 - x0 - wide, y1 - y0 - tall
    if free_x < 0 or free_y < 0:
        return []
    steps = [k / 24 for k in range(25)]
    shares = sorted(itertools.product(steps, steps), key=lambda s: (abs(s[0] - 0.5) * free_x + abs(s[1] - 0.5) * free_y, s))
    return [(x0 + a * free_x, y0 + b * free_y) for a, b in shares]


def _within(point: Point, outline: list[Point]) -> bool:
    """Is a point inside a closed outline (crossings of a ray to the right)?"""
    crossings = 0
    for (xa, ya), (xb, yb) in zip(outline, (*outline[1:], outline[0]), strict=True):
        if (ya > point[1]) != (yb > point[1]) and xa + (point[1] - ya) / (yb - ya) * (xb - xa) > point[0]:
            crossings += 1
    return crossings % 2 == 1
