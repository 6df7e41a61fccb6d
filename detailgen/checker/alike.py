"""Parts with one mark are one part: their face views and cut files show the same outline and holes, over all files that are checked together."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from detailgen.checker.drawing import FACE_VIEW, Face, FaceHole
from detailgen.checker.geometry import Edge, Outline, Point
from detailgen.checker.rules import wrong
from detailgen.core.result import CheckResult
from detailgen.model.detail import PUT_BACK

SAME = 1 / 64
SAME_DIAMETER = 1e-3
MANY = 400
VIEWS = ((1, 1), (-1, -1), (1, -1), (-1, 1))
"""As drawn, turned by half, turned over either way."""


@dataclass(frozen=True)
class Shape:
    """Corners and holes from the middle of the bounding box."""

    name: str
    size: Point
    corners: tuple[Point, ...]
    holes: tuple[tuple[float, float, float], ...]


def _corner(e: Edge) -> Iterator[Point]:
    yield e.ax, e.ay
    if e.bulge:  # the arc's highest point tells it from its chord
        yield (e.ax + e.bx) / 2 + e.bulge * (e.by - e.ay) / 2, (e.ay + e.by) / 2 - e.bulge * (e.bx - e.ax) / 2


def shape_of(file: str, face: Face) -> Shape:
    x0, y0, x1, y1 = face.outline.box
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    corners = tuple((u - x, v - y) for e in face.outline.edges for u, v in _corner(e))
    holes = tuple((h.x - x, h.y - y, h.diameter) for h in face.made_holes)
    return Shape(f"{face.name} in {file}" if file else face.name, (x1 - x0, y1 - y0), corners, holes)


def off_shape(a: Shape, b: Shape) -> float:
    """Greatest distance between what is the same in both, over the ways in which b can be laid; inf where something is missing."""
    if len(a.corners) != len(b.corners) or len(a.holes) != len(b.holes):
        return math.inf
    corners, holes = _Cells([(x, y, 0.0) for x, y in a.corners]), _Cells(a.holes)
    best = math.inf
    for sx, sy in VIEWS:
        worst = 0.0
        for cells, places in ((corners, [(u, v, 0.0) for u, v in b.corners]), (holes, b.holes)):
            for u, v, d in places:
                worst = max(worst, cells.to_nearest(u * sx, v * sy, d))
                if worst >= best:
                    break
        best = min(best, worst)
        if best == 0.0:
            break
    return best


class _Cells:
    """Places with diameters, by cells, so that the nearest one is found without looking at all."""

    def __init__(self, places: Sequence[tuple[float, float, float]]) -> None:
        self.places, self.cells = places, defaultdict(list)
        for place in places:
            self.cells[math.floor(place[0]), math.floor(place[1])].append(place)

    def to_nearest(self, u: float, v: float, d: float) -> float:
        """Distance to the nearest place of this diameter; inf where there is none (among many: none within an inch)."""
        i, j = math.floor(u), math.floor(v)
        near = [p for a in (i - 1, i, i + 1) for b in (j - 1, j, j + 1) for p in self.cells.get((a, b), ())]
        best = min((math.hypot(u - x, v - y) for x, y, e in near if abs(d - e) < SAME_DIAMETER), default=math.inf)
        if best > 1.0 and len(self.places) <= MANY:
            best = min((math.hypot(u - x, v - y) for x, y, e in self.places if abs(d - e) < SAME_DIAMETER), default=math.inf)
        return best


def as_known(face: Face, outline: Outline, holes: Sequence[FaceHole]) -> Face:
    """A view that repeats a part without tags, with what the part's own face view says of its holes: where they are made, which are put back."""
    usual = face.made_holes[0].made if face.made_holes else ""
    (a0, b0, a1, b1), (c0, d0, c1, d1) = face.outline.box, outline.box
    dx, dy = (c0 + c1 - a0 - a1) / 2, (d0 + d1 - b0 - b1) / 2

    def known(h: FaceHole) -> FaceHole:
        own = next((o for o in face.made_holes if math.dist((o.x + dx, o.y + dy), h.at) <= SAME), None)
        group = PUT_BACK if own is not None and not own.judged else h.group
        return replace(h, made=own.made if own is not None else usual, tagged=True, group=group)

    return replace(face, outline=outline, holes=tuple(known(h) for h in holes))


def judge_alike(faces: Iterable[tuple[str, Face]]) -> dict[str, list[CheckResult]]:
    """Findings by file."""
    shapes: dict[str, list[tuple[str, Shape]]] = defaultdict(list)
    for file, face in faces:
        key = face.mark or f"{face.detail}/{face.part}"
        shapes[key].append((file, shape_of(file, face)))
    out: dict[str, list[CheckResult]] = defaultdict(list)
    for mark, same in sorted(shapes.items()):
        first = same[0][1]
        for file, shape in same[1:]:
            off = off_shape(first, shape)
            if off > SAME:
                check = f"'{mark}' is drawn in two ways: outline or holes differ from {first.name}"
                out[file].append(wrong(shape.name, check, off, FACE_VIEW))
    return out
