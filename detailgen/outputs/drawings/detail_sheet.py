"""The sheet of a detail: views on the left, lists and notes on the right, title block; a second sheet for what does not fit."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from detailgen.model.detail import Detail
from detailgen.model.package import Package
from detailgen.outputs.drawings import detail_lists as tables
from detailgen.outputs.drawings.blocks import Listing, fill
from detailgen.outputs.drawings.detail_arrangement import BETWEEN, EDGE, Box, Placed, arrangements
from detailgen.outputs.drawings.detail_frame import detail_heading, key_sketch
from detailgen.outputs.drawings.detail_picture import TALLEST, JointPicture
from detailgen.outputs.drawings.detail_scene import scene_of
from detailgen.outputs.drawings.paper import set_paper
from detailgen.outputs.drawings.register import detail_number
from detailgen.outputs.drawings.shapes import Drawing, Shape, View, moved
from detailgen.outputs.drawings.sheet_frame import CONTINUED, continuations, continued_words, framed, sheet_drawing

MODEL_GRID, MODEL_APART = 12.0, 24.0
"""Views stand on this grid of the model, and at least so far apart (in)."""
PICTURED = (*itertools.product((TALLEST, 0.8 * TALLEST, 0.65 * TALLEST), range(2)), None)
"""Heights of the picture and numbers of the rooms that are tried for it; at last none."""
STEP = 1.0
"""Free bands whose left sides differ by less (in of paper) are one, and a gap that is not so tall holds nothing."""


def draw_detail(detail: Detail, package: Package) -> list[Drawing]:
    """The sheets of a detail: its views on one sheet, or on several where one has no room; then lists and notes for which there was none.

    Every sheet's model holds all views; its windows show those that stand on it.

    Raises: OutputError where its views fit on the paper at none of the standard scales
    """
    scene = scene_of(detail, package)
    units = package.project.units
    sheet = set_paper(units, package.project.templates)
    letters = sheet.letters
    x0, y0, x1, y1 = sheet.inner
    left, width, number = x1 - sheet.column, sheet.column - 2 * EDGE, detail_number(detail.key, package)
    views_room = (x0 + EDGE, y0 + EDGE, left - EDGE, y1 - EDGE)
    listings = [
        key_sketch(scene, letters), tables.parts_list(scene, letters), tables.bolt_list(scene, letters), tables.hole_table(scene, letters),
        tables.order_block(scene, letters), tables.general_notes(scene, letters), tables.why_table(scene, letters),
    ]  # fmt: skip
    listings = [one for one in listings if one.items]
    picture = JointPicture(scene, letters)

    def attempt(pages: list[list[Placed]], *, pictured: tuple[float, int] | None) -> tuple[list[_Page], list[Listing]] | None:
        """Sheets, and the lists that found no room on them; None where a picture is asked for and finds none, though no sheet of lists follows."""
        views = in_model([one for page in pages for one in page])
        rest: list[Listing] = listings
        out: list[_Page] = []
        for page, placed in enumerate(pages, 1):
            shown, views = views[: len(placed)], views[len(placed) :]
            scale = "as noted" if len({v.scale for v in shown}) > 1 else shown[0].scale.label
            frame, top = framed(package, detail_heading(scene, _page_number(number, page), scale, page), sheet, left, tags=())
            column = (left + EDGE, top + CONTINUED, x1 - EDGE, y1 - EDGE)
            corners = _free_corners(placed, views_room, width)
            drawn, corners = picture.placed(corners, *pictured) if pictured is not None else ([], corners)
            pictured = None if drawn else pictured
            filled, rest = fill(rest, [column, *corners], width)
            paper = [*frame, *drawn, *filled]
            if rest or page < len(pages):
                more = ["views of parts"] if page < len(pages) else []
                paper.append(continued_words(rest, number, (left + EDGE, top), width, letters, page + 1, more))
            out.append(_Page(shown, paper))
        if not pictured:
            return out, rest
        return (out, [*rest, picture.listing]) if rest else None

    best: tuple[list[_Page], list[Listing]] | None = None
    tries = ((pages, pictured) for pages in arrangements(scene, views_room) for pictured in PICTURED)
    for pages, pictured in tries:  # without a picture, or with smaller views of parts, there may be room for all lists
        found = attempt(pages, pictured=pictured)
        if found is not None and (best is None or not found[1]):
            best = found
        if best is not None and not best[1]:
            break
    assert best is not None  # arrangements raises where there is none
    sheets, rest = best
    every = [view for one in sheets for view in one.views]
    title = f"{detail.title}, truss {detail.truss}"
    drawings = []
    for page, one in enumerate(sheets, 1):
        name, main = _page_number(number, page), one.views[0]
        words = f"{name} {title}" if page == 1 else f"{name} {title}, continued"
        unseen = [v for v in every if v not in one.views]
        drawings.append(sheet_drawing(package, sheet, name, words, one.paper, main, main.shapes, one.views[1:], unseen))
    last = len(sheets)
    more_lists = continuations(package, lambda name, page: detail_heading(scene, name, "none", page), sheet, rest, number, last)
    for page, shapes in enumerate(more_lists, last + 1):
        name = _page_number(number, page)
        drawings.append(sheet_drawing(package, sheet, name, f"{name} {title}, continued", shapes, every[0]))
    return drawings


@dataclass(frozen=True)
class _Page:
    """What one sheet of the detail shows: its views, and what stands on the paper."""

    views: list[View]
    paper: list[Shape]


def _page_number(number: str, page: int) -> str:
    return number if page == 1 else f"{number}-{page}"


def _free_corners(placed: Sequence[Placed], room: Box, width: float) -> list[Box]:
    """What the views leave free at the right, from the top down: bands that end where a view begins or ends, and keep off it."""
    boxes = [p.box for p in placed]
    cuts = sorted({room[1], room[3], *(y for b in boxes for y in b[1::2] if room[1] < y < room[3])})
    rows = list(itertools.pairwise(cuts))
    lefts = [max((b[2] for b in boxes if b[3] > low and b[1] < top), default=room[0] - BETWEEN) + BETWEEN for low, top in rows]
    bands: list[tuple[float, float, float]] = []  # left, floor, ceiling; from the lowest
    for k, (left, (floor, ceiling)) in enumerate(zip(lefts, rows, strict=True)):
        if 0 < k < len(rows) - 1 and ceiling - floor < STEP:  # a gap between two rows of views
            left = max(left, min(lefts[k - 1], lefts[k + 1]))
        if bands and abs(bands[-1][0] - left) < STEP:
            other, floor, _ = bands.pop()
            left = max(left, other)
        bands.append((left, floor, ceiling))
    beyond = (0.0, 0.0, 0.0)
    free: list[Box] = []
    for below, (left, floor, ceiling), above in zip([beyond, *bands], bands, [*bands[1:], beyond], strict=False):
        free.append((left, floor + BETWEEN * (below[0] > left), room[2], ceiling - BETWEEN * (above[0] > left)))
    return [column for band in free[::-1] if band[3] > band[1] for column in _columns(band, width)]


def _columns(band: Box, width: float) -> list[Box]:
    """A band as so many rooms side by side as hold a list of the usual width."""
    x0, low, x1, top = band
    count = max(1, int((x1 - x0 + BETWEEN) // (width + BETWEEN)))
    each = (x1 - x0 + BETWEEN) / count
    return [(x0 + k * each, low, x0 + (k + 1) * each - BETWEEN, top) for k in range(count)]


def in_model(placed: Sequence[Placed]) -> list[View]:
    """Views apart in the model: the first about the detail's own origin, the others below it, each on the model's grid."""
    views: list[View] = []
    low = 0.0
    for k, one in enumerate(placed):
        x0, y0, x1, y1 = one.drawn.canvas.box
        down = 0.0 if not k else MODEL_GRID * -(-(y1 - low + MODEL_APART) // MODEL_GRID)
        low = y0 - down
        edge = 0.05
        a, b, c, d = one.box
        shapes = tuple(moved(s, 0.0, -down) for s in one.drawn.canvas.shapes)
        window = (a - edge, b - edge, c + edge, d + edge)
        views.append(View(one.drawn.canvas.name, one.drawn.canvas.scale, window, ((x0 + x1) / 2, (y0 + y1) / 2 - down), shapes))
    return views
