"""Where the views of a detail stand on its sheet, and at which scales. Lengths in inches of paper."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

from detailgen.core.errors import OutputError
from detailgen.outputs.drawings.detail_canvas import Canvas, NoRoomError
from detailgen.outputs.drawings.detail_elevation import elevation
from detailgen.outputs.drawings.detail_faces import face_view, faces
from detailgen.outputs.drawings.detail_plan import plan
from detailgen.outputs.drawings.detail_scene import Scene
from detailgen.outputs.drawings.detail_section import section, section_column
from detailgen.outputs.drawings.sheets import DETAIL_SCALES, Scale

EDGE, BETWEEN, LEAST_GAP, GREATEST_GAP = 0.2, 0.5, 0.2, 1.0
"""Kept free at the frame, between views side by side, and between rows of views."""
SIDES = 3.0
"""Least room that an elevation needs beside the timber itself."""
MOST_SHEETS = 3
"""Views of a joint are drawn smaller rather than on more sheets."""
READABLE = 20.0
"""Elevations of joints are drawn at 3/4" = 1'-0" (1:16), 1:20 or larger (common practice, no published source), on several sheets if need be."""

Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Drawn:
    """A finished view and its box about its own origin."""

    canvas: Canvas
    reach: Box

    @property
    def width(self) -> float:
        return self.reach[2] - self.reach[0]

    @property
    def height(self) -> float:
        return self.reach[3] - self.reach[1]


@dataclass(frozen=True)
class Placed:
    """A view and the lower left corner of its box on the paper."""

    drawn: Drawn
    x: float
    y: float

    @property
    def box(self) -> Box:
        return self.x, self.y, self.x + self.drawn.width, self.y + self.drawn.height


@dataclass
class _Studio:
    """Draws each view once per scale."""

    scene: Scene
    cut: float | None
    done: dict[tuple[str, float], Drawn | NoRoomError] = field(default_factory=dict)
    last: str = ""  # why the last try failed

    def _once(self, name: str, scale: Scale, draw: Callable[[], Canvas]) -> Drawn:
        key = (name, scale.factor)
        if key not in self.done:
            try:
                canvas = draw()
                x0, y0, x1, y1 = canvas.box
                self.done[key] = Drawn(canvas, (x0 / canvas.u, y0 / canvas.u, x1 / canvas.u, y1 / canvas.u))
            except NoRoomError as error:
                self.done[key] = error
        found = self.done[key]
        if isinstance(found, NoRoomError):
            raise found
        return found

    def upper(self, scale: Scale) -> list[Drawn]:
        return [
            self._once("elevation", scale, lambda: elevation(self.scene, scale, self.cut)),
            self._once("plan", scale, lambda: plan(self.scene, scale)),
        ]

    def section(self, scale: Scale) -> Drawn | None:
        cut = self.cut
        return None if cut is None else self._once("section", scale, lambda: section(self.scene, scale, cut))

    def faces(self, scale: Scale) -> list[Drawn]:
        out = []
        for face in faces(self.scene):
            out.append(self._once(f"face {face.part.key}", scale, lambda face=face: face_view(self.scene, face, scale)))  # type: ignore[misc]
        return out


def arrangements(scene: Scene, room: Box) -> Iterator[list[list[Placed]]]:
    """The views by sheets, each time whole: all on one sheet, else on several, if that can be had at no smaller than a readable scale.

    Raises: OutputError where they fit at none
    """
    studio = _Studio(scene, section_column(scene))
    usual = [s for s in DETAIL_SCALES[scene.package.project.units.name] if s.factor <= READABLE]
    for scales in (usual, DETAIL_SCALES[scene.package.project.units.name]):
        found = False
        for one in _on_one_sheet(studio, room, scales):
            found = True
            yield [one]
        if found:
            return
        several = _on_several_sheets(studio, room, scales)
        if several:
            yield several
            return
    raise OutputError(f"detail {scene.detail.key}: its views fit on the paper of the set at none of the standard scales{studio.last}")


def _on_one_sheet(studio: _Studio, room: Box, scales: Sequence[Scale]) -> Iterator[list[Placed]]:
    """All views, elevation and plan first, at the largest scale at which these fit into the room; the others at ever smaller ones."""
    x0, _, x1, _ = studio.scene.box
    found = False
    for k, scale in enumerate(scales):
        if (x1 - x0) / scale.factor > room[2] - room[0] - SIDES:
            continue
        for face_scale, section_scale in itertools.product(scales[k : k + 3], scales[max(k - 1, 0) : k + 1]):
            try:
                placed = _arranged(studio, room, scale, face_scale, section_scale)
            except NoRoomError as error:
                studio.last = f" ({scale.label}: {error})"
                continue
            if placed is not None:
                found = True
                yield placed
        if found:
            return


def _on_several_sheets(studio: _Studio, room: Box, scales: Sequence[Scale]) -> list[list[Placed]]:
    """Elevation and plan on the first sheet, the other views in rows below them and on further sheets; at the largest scale that takes few sheets,
    else the fewest. Empty where that fits at none."""
    best: list[list[Placed]] = []
    for k, scale in enumerate(scales):
        for face_scale in scales[k : k + 3]:
            try:
                upper = studio.upper(scale)
                others = [d for d in (studio.section(scale), *studio.faces(face_scale)) if d is not None]
            except NoRoomError as error:
                studio.last = f" ({scale.label}: {error})"
                continue
            before = max(-d.reach[0] for d in upper)
            wide = max(before + upper[0].reach[2], before + upper[1].reach[2], *(d.width for d in others))
            tall = max(upper[0].height + LEAST_GAP + upper[1].height, *(d.height for d in others))
            if wide > room[2] - room[0] or tall > room[3] - room[1]:
                continue
            pages = _paged(upper, before, others, room)
            if len(pages) <= MOST_SHEETS:
                return pages
            if not best or len(pages) < len(best):
                best = pages
    return best


def _paged(upper: Sequence[Drawn], before: float, others: Sequence[Drawn], room: Box) -> list[list[Placed]]:
    pages: list[list[Placed]] = [[]]
    top = room[3]
    for drawn in upper:
        pages[0].append(Placed(drawn, room[0] + before + drawn.reach[0], top - drawn.height))
        top -= drawn.height + LEAST_GAP
    for shelf in _shelves(others, room[2] - room[0]) or []:
        tall = max(d.height for d in shelf)
        if top - tall < room[1]:
            pages.append([])
            top = room[3]
        x = room[0]
        for drawn in shelf:
            pages[-1].append(Placed(drawn, x, top - drawn.height))
            x += drawn.width + BETWEEN
        top -= tall + LEAST_GAP
    return pages


def _arranged(studio: _Studio, room: Box, scale: Scale, face_scale: Scale, section_scale: Scale) -> list[Placed] | None:
    """Elevation over plan, flush at the work point; the section beside them, or with the face views in rows below. None where that does not fit."""
    upper = studio.upper(scale)
    before = max(-d.reach[0] for d in upper)  # left of the work point
    width = max(before + d.reach[2] for d in upper)
    limit = room[2] - room[0]
    if width > limit:
        return None
    heights = [d.height for d in upper]
    if sum(heights) > room[3] - room[1]:
        return None
    lower = studio.faces(face_scale)
    side = studio.section(section_scale)
    if side is not None and width + BETWEEN + side.width > limit:
        lower, side = [*lower, side], None
    if side is not None:  # it may hang down beside the plan
        heights[1] = max(heights[1], side.height - heights[0] - LEAST_GAP)
    shelves = _shelves(lower, limit)
    if shelves is None:
        return None
    talls = [max(d.height for d in shelf) for shelf in shelves]
    gap = (room[3] - room[1] - sum(heights) - sum(talls)) / (1 + len(shelves))
    if gap < LEAST_GAP:
        return None
    gap = min(gap, GREATEST_GAP)
    placed: list[Placed] = []
    y = room[3]
    for drawn, height in zip(upper, heights, strict=True):
        placed.append(Placed(drawn, room[0] + before + drawn.reach[0], y - drawn.height))
        y -= height + gap
    if side is not None:
        spare = limit - width - BETWEEN - side.width
        placed.append(Placed(side, room[0] + width + BETWEEN + min(spare / 2, 0.8), room[3] - side.height))
    for shelf, tall in zip(shelves, talls, strict=True):
        spare = limit - sum(d.width for d in shelf) - BETWEEN * (len(shelf) - 1)
        between = BETWEEN + min(spare / max(len(shelf) - 1, 1), 0.6)
        x = room[0]
        for drawn in shelf:
            placed.append(Placed(drawn, x, y - drawn.height))
            x += drawn.width + between
        y -= tall + gap
    return placed


def _shelves(views: Sequence[Drawn], limit: float) -> list[list[Drawn]] | None:
    """Views side by side in rows no wider than the limit: each into the first row that has room, so that few rows are needed."""
    shelves: list[list[Drawn]] = []
    used: list[float] = []
    for view in views:
        if view.width > limit:
            return None
        n = next((n for n, x in enumerate(used) if x + BETWEEN + view.width <= limit), None)
        if n is None:
            shelves.append([view])
            used.append(view.width)
        else:
            shelves[n].append(view)
            used[n] += BETWEEN + view.width
    return shelves
