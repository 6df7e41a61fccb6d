"""Entities -> shapes in inches: blocks opened, whatever their place, turn, size and mirroring; circles recognised in whatever they were made of."""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

from detailgen.checker.curves import ROUND, Corner, bolt_head, light_corners, round_shape, round_spline, spline_points
from detailgen.checker.drawing import FaceHole, Stretch, Turn, Window, Writing
from detailgen.checker.dxf_text import MOST, DxfText, Entity, refused, too_many
from detailgen.checker.geometry import Edge, Frame, Outline, Point, loops, outline_of, turning
from detailgen.checker.spans import dimension_of, words_of
from detailgen.checker.tags import APPLICATION, Tags, read_tags

DEEPEST = 60
"""Blocks inside one another."""
CORNERS = 20_000
"""Corners of one line; a timber has four."""
MARKS = "CHECK-FINDINGS"
"""Layer on which findings are drawn; never read back."""


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
    spans: list[tuple[Stretch | Turn | None, int]] = field(default_factory=list)
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
        self.slots: dict[tuple[object, ...], list[tuple[Tags, Edge, Origin]]] = defaultdict(list)
        for number, entities in enumerate(text.layouts()):
            self._all(entities, Frame(scale, 0, 0, scale), number, "", ())
        self._close_arcs()
        self._close_slots()

    def _all(self, entities: Iterable[Entity], frame: Frame, layout: int, layer: str, inside: tuple[str, ...]) -> None:
        origins: dict[str, Origin] = {}
        for e in entities:
            self.left -= 1
            if self.left < 0:
                raise too_many(self.text.path, f"more than {MOST:,} entities")
            own = layer if layer and e.layer == "0" else e.layer
            if own == MARKS:
                continue
            if e.kind == "INSERT":
                self._open(e, frame, layout, own, inside)
            else:
                origin = origins.get(own)
                if origin is None:
                    origin = origins[own] = Origin(layout, own, frame)
                self._take(e, frame, origin, inside)

    def _open(self, e: Entity, frame: Frame, layout: int, layer: str, inside: tuple[str, ...]) -> None:
        name = e.word("2").upper()
        block = self.text.blocks.get(name)
        if block is None:
            return
        if name in inside:
            raise refused(self.text.path, e.line, f"block '{e.word('2')}' that contains itself", "blocks without themselves inside")
        if len(inside) >= DEEPEST:
            raise refused(self.text.path, e.line, f"blocks inside one another more than {DEEPEST} deep", f"up to {DEEPEST}")
        for child in e.children:
            if child.kind == "ATTRIB":
                self.found.texts.append(_writing(child, frame, Origin(layout, layer, frame)))
                self.found.fields.setdefault(child.word("2").upper(), words_of(child))
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
                    raise too_many(self.text.path, f"more than {MOST:,} entities")

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
        elif kind == "SPLINE":
            self._take_spline(e, frame, tags, origin)
        elif kind == "DIMENSION":
            found.spans.append((dimension_of(self.text, e, frame, origin.layer), origin.layout))
        elif kind == "VIEWPORT":
            self._take_window(e, frame)
        elif kind in ("TEXT", "MTEXT"):
            found.texts.append(_writing(e, frame, origin))
        elif tags is not None and tags["kind"] in ("hole", "slot", "outline"):
            found.odd.append((tags, f"a circle or closed lines: this shape is of the kind {kind}"))

    def _take_circle(self, e: Entity, frame: Frame, tags: Tags | None, origin: Origin) -> None:
        centre = frame.at(e.point())
        if e.kind == "CIRCLE" and frame.keeps_shape and (radius := e.number("40")) > 0:
            self.found.circles.append((tags, FaceHole(*centre, 2 * radius * frame.scale), origin))
            return
        if e.kind == "CIRCLE":
            u, v = frame.along((e.number("40"), 0.0)), frame.along((0.0, e.number("40")))
        else:
            x, y = e.point("11")
            ratio = e.number("40", 1.0)
            u, v = frame.along((x, y)), frame.along((-y * ratio, x * ratio))
            sweep = e.number("42", 2 * math.pi) - e.number("41")
            if abs(abs(sweep) - 2 * math.pi) > 1e-6:
                self._take_part_of_ellipse(e, frame, tags, origin, sweep % (2 * math.pi))
                return
        a, b = math.hypot(*u), math.hypot(*v)
        if a <= 0 or abs(a / b - 1) > ROUND or abs(u[0] * v[0] + u[1] * v[1]) > ROUND * a * b:
            if tags is not None and tags["kind"] in ("hole", "slot"):
                self.found.odd.append((tags, "a circle: this shape is neither round nor a slot"))
            return
        self.found.circles.append((tags, FaceHole(*centre, 2 * a), origin))

    def _take_part_of_ellipse(self, e: Entity, frame: Frame, tags: Tags | None, origin: Origin, sweep: float) -> None:
        """An arc where the ellipse is round."""
        x, y = e.point("11")
        if abs(e.number("40", 1.0) - 1) <= ROUND and frame.keeps_shape:
            turn, way = math.atan2(y, x), 1.0 if e.tilt >= 0 else -1.0
            start = e.number("41") if way > 0 else -e.number("42", 2 * math.pi)
            self._take_arc(e.point(), math.hypot(x, y), turn + start, sweep, frame, tags, origin)
        elif tags is not None and tags["kind"] in ("hole", "slot", "outline"):
            self.found.odd.append((tags, "a circle or closed lines: this is a part of an ellipse"))

    def _take_polyline(self, e: Entity, frame: Frame, tags: Tags | None, origin: Origin) -> None:
        if e.kind == "LWPOLYLINE":
            corners = list(light_corners(e))
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
        self._take_corners([(*frame.at((x, y)), b * flip) for x, y, b in corners], tags, origin, closed=closed)

    def _take_spline(self, e: Entity, frame: Frame, tags: Tags | None, origin: Origin) -> None:
        places, closed = spline_points(e)
        points = [(*frame.at(p), 0.0) for p in places]
        if closed and (hole := round_spline(points)) is not None:
            self.found.circles.append((tags, hole, origin))
        elif points:
            self._take_corners(points, tags, origin, closed=closed)
        elif tags is not None and tags["kind"] in ("outline", "hole", "slot"):
            self.found.odd.append((tags, "a circle or closed lines: this spline is not told by control points"))

    def _take_corners(self, points: list[Corner], tags: Tags | None, origin: Origin, *, closed: bool) -> None:
        if len(points) > CORNERS:
            raise refused(self.text.path, 0, f"a line of {len(points):,} corners", f"up to {CORNERS:,}")
        if len(points) > 2 and not closed and math.dist(points[0][:2], points[-1][:2]) < 1e-4:
            points, closed = points[:-1], True
        hole = round_shape(points) if closed else None
        if hole is not None:
            self.found.circles.append((tags, hole, origin))
        elif closed and len(points) > 2:
            outline = outline_of(points)
            if tags is None and len(points) == 6 and (head := bolt_head(points)):
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
            edge = Edge(*frame.at(e.point()), *frame.at(e.point("11")))
            if tags is not None and tags["kind"] == "slot":
                self._keep_slot(tags, edge, origin)
            else:
                self.found.pieces.append((tags, edge, origin))
            return
        if not frame.keeps_shape:
            if tags is not None:
                self.found.odd.append((tags, "round corners: the block of this shape is stretched one way"))
            return
        start, end = math.radians(e.number("50")), math.radians(e.number("51"))
        self._take_arc(e.point(), e.number("40"), start, (end - start) % (2 * math.pi) or 2 * math.pi, frame, tags, origin)

    def _take_arc(
        self, at: Point, radius: float, start: float, sweep: float, frame: Frame, tags: Tags | None, origin: Origin,
    ) -> None:  # fmt: skip
        (x, y), end = at, start + sweep
        a, b = (frame.at((x + radius * math.cos(t), y + radius * math.sin(t))) for t in (start, end))
        bulge = math.tan(sweep / 4) * (-1.0 if frame.flips else 1.0)
        edge = Edge(*a, *b, bulge)
        if tags is not None and tags["kind"] == "slot":
            self._keep_slot(tags, edge, origin)
        elif tags is None or tags["kind"] != "outline":
            centre, r = frame.at((x, y)), radius * frame.scale
            key = (origin.layout, *(round(v, 3) for v in (*centre, r)), tags is None or (tags["part"], tags["group"]))
            self.arcs[key].append((tags, edge, Origin(origin.layout, origin.layer, frame)))
            self.found.circles += [(tags, FaceHole(*centre, 2 * r), origin)] if sweep > 2 * math.pi - 1e-6 else []
        if tags is None or tags["kind"] == "outline":
            self.found.pieces.append((tags, edge, origin))

    def _keep_slot(self, tags: Tags, edge: Edge, origin: Origin) -> None:
        self.slots[origin.layout, tags["part"], tags["group"]].append((tags, edge, origin))

    def _close_slots(self) -> None:
        """Slots that were taken apart into lines and arcs."""
        for same in self.slots.values():
            tags, _, origin = same[0]
            found, rest = loops([e for _, e, _ in same])
            for outline in found:
                hole = round_shape([(e.ax, e.ay, e.bulge) for e in outline.edges])
                if hole is None:
                    self.found.odd.append((tags, "a circle: this shape is neither round nor a slot"))
                else:
                    self.found.circles.append((tags, hole, origin))
            if rest:
                self.found.odd.append((tags, "a slot: its lines and arcs do not close"))

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


def _writing(e: Entity, frame: Frame, origin: Origin) -> Writing:
    aligned = e.kind != "MTEXT" and bool(e.whole("72") or e.whole("73"))
    at = frame.at(e.point("11" if aligned else "10"))
    align = {1: 1, 4: 1, 2: 2}.get(e.whole("72"), 0) if e.kind == "TEXT" else (e.whole("71", 1) - 1) % 3
    return Writing(words_of(e), at, e.number("40") * frame.scale, align, origin.layer, origin.layout)
