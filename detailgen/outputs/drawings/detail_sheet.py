"""The sheet of a detail: views on the left, lists and notes on the right, title block; a second sheet for what does not fit."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from detailgen.core.errors import OutputError
from detailgen.model.detail import Detail
from detailgen.model.package import Package
from detailgen.outputs.drawings import tables_on_sheet as tables
from detailgen.outputs.drawings.detail_canvas import Canvas, NoRoomError
from detailgen.outputs.drawings.detail_elevation import elevation
from detailgen.outputs.drawings.detail_faces import face_view, faces
from detailgen.outputs.drawings.detail_frame import frame_and_title, key_sketch
from detailgen.outputs.drawings.detail_plan import plan
from detailgen.outputs.drawings.detail_scene import Scene
from detailgen.outputs.drawings.detail_section import section, section_column
from detailgen.outputs.drawings.detail_words import MM_DECIMALS
from detailgen.outputs.drawings.shapes import Drawing, Line, Shape, Text, View, moved
from detailgen.outputs.drawings.sheets import DETAIL_SCALES, DETAIL_SHEETS, LETTERING, Scale
from detailgen.outputs.drawings.tables_on_sheet import Block

RIGHT = 8.9
"""Width of the column of lists and notes, in of paper."""
EDGE, BETWEEN, LEAST_GAP = 0.2, 0.5, 0.3
"""Kept free at the frame, between views side by side, and between rows of views, in of paper."""
MODEL_GRID, MODEL_APART = 12.0, 24.0
"""Views stand on this grid of the model, and at least so far apart (in)."""


@dataclass(frozen=True)
class Placed:
    """A canvas and the lower left corner of its box on the paper."""

    canvas: Canvas
    x: float
    y: float


def sheet_number(detail: Detail, package: Package) -> str:
    """S-501 and on, in the order of the package."""
    return f"S-{501 + [d.key for d in package.details].index(detail.key)}"


def draw_detail(detail: Detail, package: Package) -> list[Drawing]:
    """The sheets of a detail: the first holds all its views, a second one the lists and notes for which the first has no room.

    Raises: OutputError where its views fit on the paper at none of the standard scales
    """
    scene = Scene(detail, package)
    units = package.project.units
    sheet, letters = DETAIL_SHEETS[units.name], LETTERING[units.name]
    x0, y0, x1, y1 = sheet.inner
    left = x1 - RIGHT
    placed = _views(scene, (x0 + EDGE, y0 + EDGE, left - EDGE, y1 - EDGE))
    width = RIGHT - 2 * EDGE
    blocks = [
        key_sketch(scene, width, letters),
        tables.parts_list(scene, width, letters),
        tables.bolt_list(scene, width, letters),
        tables.hole_table(scene, width, letters),
        tables.order_block(scene, width, letters),
        tables.general_notes(scene, width, letters),
        tables.why_table(scene, width, letters),
    ]
    number = sheet_number(detail, package)
    scale = placed[0].canvas.scale
    frame, top = frame_and_title(scene, sheet, (left, x1), number, "as noted" if len({p.canvas.scale for p in placed}) > 1 else scale.label, 1)
    first, rest = _fill(blocks, top, y1 - EDGE)
    paper: list[Shape] = [*frame, Line("border", (left, y0), (left, y1)), *_stacked(first, left + EDGE, y1 - EDGE)]
    if rest:
        words = "Continued on sheet " + f"{number}-2: " + ", ".join(b.name.split(":")[0].split(" (")[0].lower() for b in rest) + "."
        paper += [Text("notes", line, (left + EDGE, top + 0.12 + k * letters.line), letters.note)
                  for k, line in enumerate(reversed(_wrapped(words, width, letters.note)))]  # fmt: skip
    views = _in_model(placed)
    main = views[0]
    common = {"sheet": sheet, "units": units, "project": f"{package.project.name} {package.project.number}".strip(),
              "revision": package.project.revision, "date": package.project.date, "decimals": MM_DECIMALS}  # fmt: skip
    drawings = [
        Drawing(name=number, title=f"{number} {detail.title}, truss {detail.truss}", scale=main.scale, window=main.window, view_centre=main.centre,
                model=main.shapes, paper=tuple(paper), more=tuple(views[1:]), **common)  # type: ignore[arg-type]
    ]  # fmt: skip
    if rest:
        drawings.append(
            Drawing(name=f"{number}-2", title=f"{number}-2 {detail.title}, truss {detail.truss}, continued", scale=main.scale, window=main.window,
                    view_centre=main.centre, model=(), paper=tuple(_second(scene, rest, f"{number}-2")), **common)  # type: ignore[arg-type]
        )  # fmt: skip
    return drawings


def _wrapped(words: str, width: float, height: float) -> list[str]:
    from detailgen.outputs.drawings.lettering import wrap

    return wrap(words, width, height)


def _fill(blocks: Sequence[Block], low: float, high: float) -> tuple[list[Block], list[Block]]:
    """Blocks that fit between two heights, and the rest."""
    if sum(b.height for b in blocks) <= high - low:
        return list(blocks), []
    room = high - low - 0.6
    first: list[Block] = []
    rest: list[Block] = []
    for block in blocks:
        if not rest and block.height <= room:
            first.append(block)
            room -= block.height
        else:
            rest.append(block)
    return first, rest


def _stacked(blocks: Sequence[Block], x: float, top: float) -> list[Shape]:
    shapes: list[Shape] = []
    for block in blocks:
        shapes += [moved(s, x, top) for s in block.shapes]
        top -= block.height
    return shapes


def _second(scene: Scene, blocks: Sequence[Block], number: str) -> list[Shape]:
    """A sheet of lists and notes in columns, with the same title block."""
    units = scene.package.project.units
    sheet = DETAIL_SHEETS[units.name]
    x0, y0, x1, y1 = sheet.inner
    frame, top = frame_and_title(scene, sheet, (x1 - RIGHT, x1), number, "none", 2)
    shapes: list[Shape] = list(frame)
    rest = list(blocks)
    columns = int((x1 - x0) / RIGHT)
    for k in range(columns):
        last = k == columns - 1
        x = x1 - RIGHT + EDGE if last else x0 + k * RIGHT + EDGE
        here: list[Block] = []
        room = y1 - EDGE - (top if last else y0 + EDGE)
        while rest and rest[0].height <= room:
            room -= rest[0].height
            here.append(rest.pop(0))
        shapes += _stacked(here, x, y1 - EDGE)
    if rest:
        raise OutputError(f"detail {scene.detail.key}: its lists and notes do not fit on two sheets")
    return shapes


def _views(scene: Scene, room: tuple[float, float, float, float]) -> list[Placed]:
    """All views at the largest scales at which they fit into the room."""
    scales = DETAIL_SCALES[scene.package.project.units.name]
    x0, _, x1, _ = scene.box
    tried: list[str] = []
    for k, scale in enumerate(scales):
        if (x1 - x0) / scale.factor > room[2] - room[0] - 3.0:
            continue
        for face_scale, section_scale in itertools.product(scales[k : k + 3], scales[max(k - 1, 0) : k + 1]):
            try:
                placed = _arranged(scene, room, scale, face_scale, section_scale)
            except NoRoomError as error:
                tried.append(f"{scale.label}: {error}")
                continue
            if placed is not None:
                return placed
    raise OutputError(
        f"detail {scene.detail.key}: its views fit on {DETAIL_SHEETS[scene.package.project.units.name].name} at none of the standard scales"
        + (f" ({tried[-1]})" if tried else "")
    )


def _arranged(scene: Scene, room: tuple[float, float, float, float], scale: Scale, face_scale: Scale, section_scale: Scale) -> list[Placed] | None:
    """Elevation over plan, flush at the work point, section beside them, face views in rows below. None where that does not fit."""
    cut = section_column(scene)
    upper = [elevation(scene, scale, cut), plan(scene, scale)]
    boxes = [_paper_box(c) for c in upper]
    before = max(-b[0] for b in boxes)  # paper left of the work point
    width = max(before + b[2] for b in boxes)
    rows: list[list[tuple[Canvas, float]]] = [[(upper[0], before + boxes[0][0])], [(upper[1], before + boxes[1][0])]]
    heights = [b[3] - b[1] for b in boxes]
    limit = room[2] - room[0]
    if width > limit:
        return None
    side: Canvas | None = None
    if cut is not None:
        side = section(scene, section_scale, cut)
        a, b, c, d = _paper_box(side)
        if width + BETWEEN + c - a > limit:
            return None
    canvases = [face_view(scene, face, face_scale) for face in faces(scene)]
    sizes = [_paper_box(c) for c in canvases]
    line: list[tuple[Canvas, float]] = []
    x, tall = 0.0, 0.0
    for canvas, box in zip(canvases, sizes, strict=True):
        wide = box[2] - box[0]
        if wide > limit:
            return None
        if line and x + BETWEEN + wide > limit:
            rows.append(line)
            heights.append(tall)
            line, x, tall = [], 0.0, 0.0
        x += BETWEEN if line else 0.0
        line.append((canvas, x))
        x, tall = x + wide, max(tall, box[3] - box[1])
    if line:
        rows.append(line)
        heights.append(tall)
    if side is not None:  # the section may hang down beside the plan
        heights[1] = max(heights[1], (d - b) - heights[0] - LEAST_GAP)
    free = room[3] - room[1] - sum(heights)
    gap = free / max(len(rows) - 1, 1)
    if gap < LEAST_GAP:
        return None
    gap = min(gap, 0.9)
    placed: list[Placed] = []
    y = room[3]
    for row, height in zip(rows, heights, strict=True):
        top = y
        placed += [Placed(canvas, room[0] + x, top - (_paper_box(canvas)[3] - _paper_box(canvas)[1])) for canvas, x in row]
        y -= height + gap
    if side is not None:
        placed.insert(2, Placed(side, room[0] + width + BETWEEN + (limit - width - BETWEEN - (c - a)) / 2, room[3] - (d - b)))
    return placed


def _paper_box(canvas: Canvas) -> tuple[float, float, float, float]:
    x0, y0, x1, y1 = canvas.box
    return x0 / canvas.u, y0 / canvas.u, x1 / canvas.u, y1 / canvas.u


def _in_model(placed: Sequence[Placed]) -> list[View]:
    """Views apart in the model: the first about the detail's own origin, the others below it, each on the model's grid."""
    views: list[View] = []
    low = 0.0
    for k, one in enumerate(placed):
        x0, y0, x1, y1 = one.canvas.box
        down = 0.0 if not k else MODEL_GRID * -(-(y1 - low + MODEL_APART) // MODEL_GRID)
        low = y0 - down
        u, edge = one.canvas.u, 0.05
        window = (one.x - edge, one.y - edge, one.x + (x1 - x0) / u + edge, one.y + (y1 - y0) / u + edge)
        shapes = tuple(moved(s, 0.0, -down) for s in one.canvas.shapes)
        views.append(View(one.canvas.name, one.canvas.scale, window, ((x0 + x1) / 2, (y0 + y1) / 2 - down), shapes))
    return views
