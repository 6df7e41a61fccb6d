"""The sheet of a detail: views on the left, lists and notes on the right, title block; a second sheet for what does not fit."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
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
from detailgen.outputs.drawings.lettering import wrap
from detailgen.outputs.drawings.shapes import Drawing, Line, Shape, Text, View, moved
from detailgen.outputs.drawings.sheets import DETAIL_SCALES, DETAIL_SHEETS, LETTERING, Scale
from detailgen.outputs.drawings.tables_on_sheet import Block

RIGHT = 8.9
"""Width of the column of lists and notes, in of paper."""
EDGE, BETWEEN, LEAST_GAP, GREATEST_GAP = 0.2, 0.5, 0.2, 1.2
"""Kept free at the frame, between views side by side, and between rows of views, in of paper."""
LEAST_BLOCK, CONTINUED = 3.9, 0.2
"""Narrowest table beside views; room for saying where the rest is, in of paper."""
MODEL_GRID, MODEL_APART = 12.0, 24.0
"""Views stand on this grid of the model, and at least so far apart (in)."""


Box = tuple[float, float, float, float]


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
    makers: list[Callable[[float], Block]] = [
        lambda w: key_sketch(scene, w, letters),
        lambda w: tables.parts_list(scene, w, letters),
        lambda w: tables.bolt_list(scene, w, letters),
        lambda w: tables.hole_table(scene, w, letters),
        lambda w: tables.order_block(scene, w, letters),
        lambda w: tables.general_notes(scene, w, letters),
        lambda w: tables.why_table(scene, w, letters),
    ]
    number = sheet_number(detail, package)
    scale = placed[0].canvas.scale
    frame, top = frame_and_title(scene, sheet, (left, x1), number, "as noted" if len({p.canvas.scale for p in placed}) > 1 else scale.label, 1)
    paper: list[Shape] = [*frame, Line("border", (left, y0), (left, y1))]
    views_room = (x0 + EDGE, y0 + EDGE, left - EDGE, y1 - EDGE)
    filled, rest = _fill(makers, [(left + EDGE, top + CONTINUED, x1 - EDGE, y1 - EDGE), *_free_corners(placed, views_room)], width)
    paper += filled
    if rest:
        words = f"Continued on sheet {number}-2: {', '.join(b.name.lower() for b in rest)}."
        paper += [Text("notes", line, (left + EDGE, top + 0.02 + k * letters.line), letters.note)
                  for k, line in enumerate(reversed(wrap(words, width, letters.note)))]  # fmt: skip
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


def _fill(makers: Sequence[Callable[[float], Block]], rooms: Sequence[Box], widest: float) -> tuple[list[Shape], list[Block]]:
    """Each block into the first of the rooms that is wide and high enough, from the top down; and those that found none."""
    shapes: list[Shape] = []
    rest: list[Block] = []
    tops = [room[3] for room in rooms]
    for make in makers:
        for k, (x0, low, x1, _) in enumerate(rooms):
            wide = min(x1 - x0, widest)
            block = make(wide) if wide >= LEAST_BLOCK else None
            if block is not None and wide >= block.least and tops[k] - block.height + tables.AFTER >= low:
                shapes += [moved(s, x1 - wide, tops[k]) for s in block.shapes]
                tops[k] -= block.height
                break
        else:
            rest.append(make(widest))
    return shapes, rest


def _free_corners(placed: Sequence[Placed], room: Box) -> list[Box]:
    """What the views leave free at the right: beside the lowest row, and beside the upper ones."""
    boxes = [(p.x, p.y, p.x + _paper_box(p.canvas)[2] - _paper_box(p.canvas)[0], p.y + _tall(p.canvas)) for p in placed]
    levels = sorted({round(b[3], 6) for b in boxes})
    free = []
    for n, top in enumerate(levels):
        ceiling = room[3] if n == len(levels) - 1 else top
        floor = room[1] if not n else levels[n - 1] + BETWEEN
        left = max(b[2] for b in boxes if b[3] > floor and b[1] < ceiling) + BETWEEN
        if n and free and free[-1][0] == left:
            free[-1] = (left, free[-1][1], room[2], ceiling)
        else:
            free.append((left, floor, room[2], ceiling))
    return free


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
    """Elevation over plan, flush at the work point; the section beside them, or with the face views in rows below. None where that does not fit."""
    cut = section_column(scene)
    upper = [elevation(scene, scale, cut), plan(scene, scale)]
    boxes = [_paper_box(c) for c in upper]
    before = max(-b[0] for b in boxes)  # paper left of the work point
    width = max(before + b[2] for b in boxes)
    limit = room[2] - room[0]
    if width > limit:
        return None
    heights = [b[3] - b[1] for b in boxes]
    lower = [face_view(scene, face, face_scale) for face in faces(scene)]
    side: list[Canvas] = []
    if cut is not None:
        view = section(scene, section_scale, cut)
        box = _paper_box(view)
        if width + BETWEEN + box[2] - box[0] <= limit:
            side = [view]
            heights[1] = max(heights[1], box[3] - box[1] - heights[0] - LEAST_GAP)  # it may hang down beside the plan
        else:
            lower.append(view)
    shelves = _shelves([_paper_box(c) for c in lower], limit)
    if shelves is None:
        return None
    talls = [max(_tall(lower[k]) for k in shelf) for shelf in shelves]
    gap = (room[3] - room[1] - sum(heights) - sum(talls)) / (1 + len(shelves))
    if gap < LEAST_GAP:
        return None
    gap = min(gap, GREATEST_GAP)
    placed: list[Placed] = []
    y = room[3]
    for canvas, one, height in zip(upper, boxes, heights, strict=True):
        placed.append(Placed(canvas, room[0] + before + one[0], y - _tall(canvas)))
        y -= height + gap
    for view in side:
        box = _paper_box(view)
        spare = limit - width - BETWEEN - (box[2] - box[0])
        placed.append(Placed(view, room[0] + width + BETWEEN + spare / 2, room[3] - _tall(view)))
    for shelf, tall in zip(shelves, talls, strict=True):
        widths = [_paper_box(lower[k])[2] - _paper_box(lower[k])[0] for k in shelf]
        between = min(BETWEEN + (limit - sum(widths) - BETWEEN * (len(shelf) - 1)) / max(len(shelf) - 1, 1), 1.2)
        x = room[0]
        for k, wide in zip(shelf, widths, strict=True):
            placed.append(Placed(lower[k], x, y - _tall(lower[k])))
            x += wide + between
        y -= tall + gap
    return placed


def _shelves(boxes: Sequence[tuple[float, float, float, float]], limit: float) -> list[list[int]] | None:
    """Views side by side in rows no wider than the limit: each into the first row that has room, so that few rows are needed."""
    shelves: list[list[int]] = []
    used: list[float] = []
    for k, box in enumerate(boxes):
        wide = box[2] - box[0]
        if wide > limit:
            return None
        n = next((n for n, x in enumerate(used) if x + BETWEEN + wide <= limit), None)
        if n is None:
            shelves.append([k])
            used.append(wide)
        else:
            shelves[n].append(k)
            used[n] += BETWEEN + wide
    return shelves


def _tall(canvas: Canvas) -> float:
    box = _paper_box(canvas)
    return box[3] - box[1]


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
