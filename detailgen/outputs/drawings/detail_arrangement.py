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


def arrangements(scene: Scene, room: Box) -> Iterator[list[Placed]]:
    """All views, elevation and plan first, at the largest scale at which these fit into the room; the others at ever smaller ones.

    Raises: OutputError where they fit at none
    """
    units = scene.package.project.units.name
    scales = DETAIL_SCALES[units]
    studio = _Studio(scene, section_column(scene))
    x0, _, x1, _ = scene.box
    last, found = "", False
    for k, scale in enumerate(scales):
        if (x1 - x0) / scale.factor > room[2] - room[0] - SIDES:
            continue
        for face_scale, section_scale in itertools.product(scales[k : k + 3], scales[max(k - 1, 0) : k + 1]):
            try:
                placed = _arranged(studio, room, scale, face_scale, section_scale)
            except NoRoomError as error:
                last = f" ({scale.label}: {error})"
                continue
            if placed is not None:
                found = True
                yield placed
        if found:
            return
    raise OutputError(f"detail {scene.detail.key}: its views fit on the paper of the set at none of the standard scales{last}")


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
