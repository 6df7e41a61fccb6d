"""Entities -> shapes in inches: blocks opened, whatever their place, turn, size and mirroring; circles recognised in whatever they were made of."""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from detailgen.checker.drawing import FaceHole, Stretch, Window, Writing
from detailgen.checker.dxf_text import DxfText, Entity, decoded, refused
from detailgen.checker.geometry import Edge, Frame, Outline, Point, outline_of, turning
from detailgen.checker.tags import APPLICATION, Tags, read_tags

MOST = 500_000
"""Entities, those of opened blocks counted as often as they are shown."""
MARKS = "CHECK-FINDINGS"
"""Layer on which findings are drawn; never read back."""
ROUND = 1e-4
"""What a circle may be out of round, as a share of its radius."""
MANY_SIDED = 16
"""A regular polygon of so many sides is a circle that a program broke up; one of six is a bolt's head."""
Corner = tuple[float, float, float]


@dataclass(frozen=True)
class Origin:
    """Where a shape comes from: layout (0: model space), layer, axes of the block that it stands in."""

    layout: int
    layer: str
    frame: Frame


@dataclass
class Shapes:
    """What the walk over a file gathers, in inches. ``odd``: tagged shapes that are neither round nor closed, with what is missing."""

    circles: list[tuple[Tags | None, FaceHole, Origin]] = field(default_factory=list)
    outlines: list[tuple[Tags | None, Outline, Origin]] = field(default_factory=list)
    pieces: list[tuple[Tags | None, Edge, Origin]] = field(default_factory=list)
    heads: list[tuple[Point, Origin]] = field(default_factory=list)
    stretches: list[tuple[Stretch, int]] = field(default_factory=list)
    texts: list[Writing] = field(default_factory=list)
    windows: list[Window] = field(default_factory=list)
    fields: dict[str, str] = field(default_factory=dict)  # of title blocks: attributes by their tags
    odd: list[tuple[Tags, str]] = field(default_factory=list)
    tagged: list[Tags] = field(default_factory=list)
    layers: set[str] = field(default_factory=set)


class Walk:
    """Goes over one file. ``scale``: inches per drawing unit."""

    def __init__(self, text: DxfText, scale: float) -> None:
        self.text, self.found, self.left = text, Shapes(), MOST
        self.arcs: dict[tuple[object, ...], list[tuple[Tags | None, Edge, Origin]]] = defaultdict(list)
        for number, entities in enumerate(text.layouts()):
            self._all(entities, Frame(scale, 0, 0, scale), number, "", ())
        self._close_arcs()

    def _all(self, entities: Iterable[Entity], frame: Frame, layout: int, layer: str, inside: tuple[str, ...]) -> None:
        for e in entities:
            self.left -= 1
            if self.left < 0:
                raise refused(self.text.path, 0, f"more than {MOST:,} entities", "fewer, those in blocks counted as often as they are shown")
            own = layer if layer and e.layer == "0" else e.layer
            if own == MARKS:
                continue
            if e.kind == "INSERT":
                self._open(e, frame, layout, own, inside)
            else:
                self._take(e, frame, Origin(layout, own, frame), inside)

    def _open(self, e: Entity, frame: Frame, layout: int, layer: str, inside: tuple[str, ...]) -> None:
        name = e.word("2").upper()
        block = self.text.blocks.get(name)
        if block is None:
            return
        if name in inside:
            raise refused(self.text.path, e.line, f"block '{e.word('2')}' that contains itself", "blocks without themselves inside")
        for child in e.children:
            if child.kind == "ATTRIB":
                self.found.texts.append(_writing(child, frame, Origin(layout, layer, frame)))
                self.found.fields.setdefault(child.word("2").upper(), _words(child))
        x, y = e.point()
        place = Frame(e.tilt or 1.0, 0, 0, 1).after(Frame(dx=x, dy=y)).after(turning(e.number("50")))
        size = Frame(e.number("41", 1.0), 0, 0, e.number("42", 1.0)).after(Frame(dx=-block.base[0], dy=-block.base[1]))
        for column in range(max(e.whole("70", 1), 1)):
            for row in range(max(e.whole("71", 1), 1)):
                step = Frame(dx=column * e.number("44"), dy=row * e.number("45"))
                here = frame.after(place).after(step).after(size)
                self.left -= 1
                if here.scale > 0 and self.left >= 0:
                    self._all(block.entities, here, layout, layer, (*inside, name))
                elif self.left < 0:
                    raise refused(self.text.path, e.line, f"more than {MOST:,} entities", "fewer, those in blocks counted as often as they are shown")

    def _take(self, e: Entity, frame: Frame, origin: Origin, inside: tuple[str, ...]) -> None:
        kind, found = e.kind, self.found
        said = e.said(APPLICATION)
        tags = None if said is None else read_tags(said)
        if tags is not None:
            found.tagged.append(tags)
        if origin.layout == 0:
            found.layers.add(origin.layer)
        if kind in ("CIRCLE", "ARC", "LWPOLYLINE", "POLYLINE", "TEXT") and e.tilt != 1.0:
            if e.tilt == 0.0:
                if tags is not None:
                    found.odd.append((tags, "a shape in the plane of the drawing"))
                return
            frame = frame.after(Frame(a=-1.0))
        if kind in ("CIRCLE", "ELLIPSE"):
            self._take_circle(e, frame, tags, origin)
        elif kind in ("LWPOLYLINE", "POLYLINE"):
            self._take_polyline(e, frame, tags, origin)
        elif kind in ("LINE", "ARC"):
            self._take_piece(e, frame, tags, origin)
        elif kind == "DIMENSION":
            self._take_dimension(e, frame, origin)
        elif kind == "VIEWPORT":
            self._take_window(e, frame)
        elif kind in ("TEXT", "MTEXT"):
            found.texts.append(_writing(e, frame, origin))
        elif tags is not None and tags["kind"] in ("hole", "slot", "outline"):
            found.odd.append((tags, f"a circle or closed lines: this shape is of the kind {kind}"))

    def _take_circle(self, e: Entity, frame: Frame, tags: Tags | None, origin: Origin) -> None:
        centre = frame.at(e.point())
        if e.kind == "CIRCLE":
            u, v = frame.along((e.number("40"), 0.0)), frame.along((0.0, e.number("40")))
        else:
            x, y = e.point("11")
            ratio = e.number("40", 1.0)
            u, v = frame.along((x, y)), frame.along((-y * ratio, x * ratio))
            if abs(abs(e.number("42", 2 * math.pi) - e.number("41")) - 2 * math.pi) > 1e-6:
                u = (0.0, 0.0)
        a, b = math.hypot(*u), math.hypot(*v)
        if a <= 0 or abs(a / b - 1) > ROUND or abs(u[0] * v[0] + u[1] * v[1]) > ROUND * a * b:
            if tags is not None and tags["kind"] in ("hole", "slot"):
                self.found.odd.append((tags, "a circle: this shape is neither round nor a slot"))
            return
        self.found.circles.append((tags, FaceHole(*centre, 2 * a), origin))

    def _take_polyline(self, e: Entity, frame: Frame, tags: Tags | None, origin: Origin) -> None:
        if e.kind == "LWPOLYLINE":
            corners = list(_light_corners(e))
        else:
            if e.whole("70") & (8 | 16 | 64):
                return  # a line in space or a mesh
            corners = [(*v.point(), v.number("42")) for v in e.children if not v.whole("70") & 16]
        closed = bool(e.whole("70") & 1)
        flip = -1.0 if frame.flips else 1.0
        if not frame.keeps_shape and any(b for *_, b in corners):
            if tags is not None:
                self.found.odd.append((tags, "round corners: the block of this shape is stretched one way"))
            return
        points = [(*frame.at((x, y)), b * flip) for x, y, b in corners]
        if len(points) > 2 and not closed and math.dist(points[0][:2], points[-1][:2]) < 1e-4:
            points, closed = points[:-1], True
        hole = round_shape(points) if closed else None
        if hole is not None:
            self.found.circles.append((tags, hole, origin))
        elif closed and len(points) > 2:
            outline = outline_of(points)
            if tags is None and len(points) == 6 and (head := _head(points)):
                self.found.heads.append((head, origin))
            elif tags is not None and tags["kind"] in ("hole", "slot"):
                self.found.odd.append((tags, "a circle: this shape is neither round nor a slot"))
            else:
                self.found.outlines.append((tags, outline, origin))
        elif tags is not None and tags["kind"] in ("outline", "hole", "slot"):
            self.found.odd.append((tags, "a closed outline"))
        else:
            self.found.pieces += [(tags, Edge(*a[:2], *b[:2], a[2]), origin) for a, b in itertools.pairwise(points)]

    def _take_piece(self, e: Entity, frame: Frame, tags: Tags | None, origin: Origin) -> None:
        if e.kind == "LINE":
            self.found.pieces.append((tags, Edge(*frame.at(e.point()), *frame.at(e.point("11"))), origin))
            return
        if not frame.keeps_shape:
            if tags is not None:
                self.found.odd.append((tags, "round corners: the block of this shape is stretched one way"))
            return
        (x, y), radius = e.point(), e.number("40")
        start, end = math.radians(e.number("50")), math.radians(e.number("51"))
        sweep = (end - start) % (2 * math.pi) or 2 * math.pi
        a, b = (frame.at((x + radius * math.cos(t), y + radius * math.sin(t))) for t in (start, end))
        bulge = math.tan(sweep / 4) * (-1.0 if frame.flips else 1.0)
        edge = Edge(*a, *b, bulge)
        if tags is None or tags["kind"] != "outline":
            centre, r = frame.at((x, y)), radius * frame.scale
            key = (origin.layout, *(round(v, 3) for v in (*centre, r)), tags is None or (tags["part"], tags["group"]))
            self.arcs[key].append((tags, edge, Origin(origin.layout, origin.layer, frame)))
            self.found.circles += [(tags, FaceHole(*centre, 2 * r), origin)] if sweep > 2 * math.pi - 1e-6 else []
        if tags is None or tags["kind"] == "outline":
            self.found.pieces.append((tags, edge, origin))

    def _close_arcs(self) -> None:
        """Arcs about one centre that together go all the way round are a circle."""
        for same in self.arcs.values():
            sweep = sum(4 * abs(math.atan(edge.bulge)) for _, edge, _ in same)
            tags, edge, origin = same[0]
            if len(same) > 1 and abs(sweep - 2 * math.pi) < 1e-3:
                cx, cy, radius, _, _ = edge.arc
                self.found.circles.append((tags, FaceHole(cx, cy, 2 * radius), origin))
            elif tags is not None and sweep < 2 * math.pi - 1e-3:
                self.found.odd.append((tags, "a circle: its arcs do not close"))

    def _take_window(self, e: Entity, frame: Frame) -> None:
        """Not the one that is the sheet itself."""
        height = e.number("45")
        if e.whole("69") != 1 and height > 0 and e.number("41") > 0:
            wide = height * e.number("40") / e.number("41")
            x, y = e.point("12")
            low, high = frame.at((x - wide / 2, y - height / 2)), frame.at((x + wide / 2, y + height / 2))
            self.found.windows.append(Window((*low, *high), e.number("41") / height))

    def _take_dimension(self, e: Entity, frame: Frame, origin: Origin) -> None:
        kind = e.whole("70") & 7
        if kind not in (0, 1, 3, 4) or not frame.keeps_shape:
            return  # angles and ordinates claim no length between two points
        d: Point | None = None
        if kind in (0, 1):
            a, b = frame.at(e.point("13")), frame.at(e.point("14"))
            d = frame.turn().along((math.cos(t := math.radians(e.number("50"))), math.sin(t))) if kind == 0 else None
            if kind == 1 and (length := math.dist(a, b)) > 0:
                d = (b[0] - a[0]) / length, (b[1] - a[1]) / length
            measured = math.dist(a, b) if d is None else abs((b[0] - a[0]) * d[0] + (b[1] - a[1]) * d[1])
        else:
            a, b = frame.at(e.point("10")), frame.at(e.point("15"))
            measured = math.dist(a, b)
        block = self.text.blocks.get(e.word("2").upper())
        shown = " ".join(_words(x) for x in (block.entities if block else ()) if x.kind in ("TEXT", "MTEXT"))
        factor = e.override(144)
        factor = self.text.dimension_factors.get(e.word("3").upper(), 1.0) if factor is None else factor
        stretch = Stretch(decoded(e.word("1")), shown, measured, a, b, d, origin.layer, abs(factor) or 1.0)
        self.found.stretches.append((stretch, origin.layout))


def _words(e: Entity) -> str:
    text = "".join(value for code, value in e.pairs() if code in ("1", "3")) if e.kind == "MTEXT" else e.word("1")
    return decoded(text)


def _writing(e: Entity, frame: Frame, origin: Origin) -> Writing:
    aligned = e.kind != "MTEXT" and bool(e.whole("72") or e.whole("73"))
    at = frame.at(e.point("11" if aligned else "10"))
    align = {1: 1, 4: 1, 2: 2}.get(e.whole("72"), 0) if e.kind == "TEXT" else (e.whole("71", 1) - 1) % 3
    return Writing(_words(e), at, e.number("40") * frame.scale, align, origin.layer, origin.layout)


def _light_corners(e: Entity) -> Iterator[Corner]:
    corner: list[float] = []
    for code, value in e.pairs():
        if code == "10":
            if corner:
                yield corner[0], corner[1], corner[2]
            corner = [e.real(value), 0.0, 0.0]
        elif corner and code == "20":
            corner[1] = e.real(value)
        elif corner and code == "42":
            corner[2] = e.real(value)
    if corner:
        yield corner[0], corner[1], corner[2]


def _head(points: Sequence[Corner]) -> Point | None:
    """The middle of a regular hexagon."""
    x, y = (sum(p[k] for p in points) / 6 for k in (0, 1))
    radii = [math.dist((x, y), p[:2]) for p in points]
    sides = [math.dist(a[:2], b[:2]) for a, b in zip(points, [*points[1:], points[0]], strict=True)]
    return (x, y) if max(radii + sides) - min(radii + sides) < 1e-3 * max(radii) and not any(p[2] for p in points) else None


def round_shape(points: Sequence[Corner]) -> FaceHole | None:
    """A circle, whatever arcs or short lines it is made of, or a slot with two round ends."""
    n = len(points)
    bulges = [b for *_, b in points]
    if n == 4 and sorted(round(abs(b), 6) for b in bulges) == [0, 0, 1, 1] and abs(bulges[0]) == abs(bulges[2]):
        first = 0 if bulges[0] == 0 else 1
        (ax, ay, _), (bx, by, _), (cx, cy, _) = (points[(first + k) % 4] for k in range(3))
        width, straight = math.hypot(cx - bx, cy - by), math.hypot(bx - ax, by - ay)
        x, y = (sum(p[k] for p in points) / 4 for k in (0, 1))
        return FaceHole(x, y, width, length=straight + width, angle=math.degrees(math.atan2(by - ay, bx - ax)))
    if n < 2 or not (all(bulges) or (n >= MANY_SIDED and not any(bulges))):
        return None
    if any(bulges):
        edges = outline_of(points).edges
        if len(edges) < 2 or abs(abs(sum(4 * math.atan(e.bulge) for e in edges)) - 2 * math.pi) > 1e-6:
            return None
        arcs = [e.arc for e in edges]
        x, y, radius = (sum(a[k] for a in arcs) / len(arcs) for k in range(3))
        off = max(max(math.dist(a[:2], (x, y)), abs(a[2] - radius)) for a in arcs)
        return FaceHole(x, y, 2 * radius) if off < ROUND * radius else None
    x, y = (sum(p[k] for p in points) / n for k in (0, 1))
    radii = [math.dist(p[:2], (x, y)) for p in points]
    radius = sum(radii) / n
    return FaceHole(x, y, 2 * radius) if max(abs(r - radius) for r in radii) < 10 * ROUND * radius else None
