"""A DXF file from disk -> face views, plan extents, dimensions. What is read and what is not stands in this folder's ``__init__``."""

from __future__ import annotations

import math
import re
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from detailgen.checker.drawing import Drawing, Face, FaceHole, Stretch, in_own_axes
from detailgen.checker.geometry import Edge, Outline, Point, joined, outline_of
from detailgen.checker.tags import APPLICATION, Tags, read_tags
from detailgen.checker.wood import FACE_VIEW
from detailgen.core.clause import Cite
from detailgen.core.errors import InputError, InputProblem
from detailgen.core.result import CheckResult, cannot_be_checked
from detailgen.core.units import FOOT, MM, QuantityError, parse

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document
    from ezdxf.entities.dxfentity import DXFEntity

UNITS = {1: 1.0, 2: FOOT, 4: MM, 5: 10 * MM, 6: 1000 * MM}
"""Inches per unit of $INSUNITS."""
ANNOTATION, EXISTING = ("S-AN", "Defpoints"), "-E"
"""Beginnings of layers of annotation, and the end of layers that show what exists (the layer standards' fields)."""
FILE = Cite("drawing file", "as read")
_CUT_NAME = re.compile(r"_(?P<size>[\d-]+(?:\.\d+)?)(?P<unit>in|mm)_x\d+$")
_NOT_PARTS = ("plan", "section", "elevation")


def open_dxf(path: Path) -> Document:
    """Raises InputError for a file that is not there or no DXF."""
    from ezdxf import recover
    from ezdxf.filemanagement import readfile
    from ezdxf.lldxf.const import DXFError

    allowed = "a DXF file (R12 to R2018), text or binary"
    try:
        if path.stat().st_size == 0:
            raise InputError([InputProblem(str(path), 0, "", "an empty file", allowed)])
        return readfile(path)
    except (OSError, UnicodeDecodeError, DXFError):
        pass  # written by other hands: try to mend it, and say so below if that fails too
    try:
        return recover.readfile(path)[0]
    except Exception as fault:  # whatever a broken file sets off, a person wants one line
        raise InputError([InputProblem(str(path), 0, "", f"{type(fault).__name__}: {fault}".splitlines()[0], allowed)]) from fault


@dataclass
class _Found:
    """What the walk over model space gathers, in inches."""

    outlines: list[tuple[Tags, Outline]] = field(default_factory=list)
    pieces: dict[tuple[str, ...], list[tuple[Tags, Edge]]] = field(default_factory=lambda: defaultdict(list))
    circles: list[tuple[Tags | None, FaceHole]] = field(default_factory=list)
    stretches: list[Stretch] = field(default_factory=list)
    lines: list[tuple[Point, Point]] = field(default_factory=list)
    results: list[CheckResult] = field(default_factory=list)


def read_dxf(path: Path) -> Drawing:
    """Read one sheet or cut file.

    Raises: InputError
    """
    document = open_dxf(path)
    code = int(document.header.get("$INSUNITS", 0))
    if code not in UNITS:
        missing = f"the unit of the drawing ($INSUNITS is {code}; inch, foot, mm, cm or m are read)"
        return Drawing((), {}, results=(cannot_be_checked("file", "units", missing, FILE),))
    found = _Found()
    scale = UNITS[code]
    for entity in document.modelspace():
        _take(document, entity, scale, found)
    metric = code in (4, 5, 6)
    if not any(t["kind"] == "outline" for t, _ in found.outlines) and _as_found(document):
        return Drawing((), {}, tuple(found.stretches), metric=metric, as_found=True)
    for group in found.pieces.values():
        outline = joined([e for _, e in group])
        tags = group[0][0]
        if outline is None:
            where = f"{tags['part']} {tags['mark']}".strip()
            found.results.append(cannot_be_checked(where, "outline", "a closed outline: its lines and arcs do not meet", FACE_VIEW))
        else:
            found.outlines.append((tags, outline))
    plan = {(t["detail"], t["part"]): _extent(o) for t, o in found.outlines if t["kind"] == "outline" and t["view"] == "plan"}
    faces = _faces(found)
    if not faces and not found.results:
        found.results.append(cannot_be_checked("file", "parts", f"face views: no outline carries the tags of {APPLICATION}", FILE))
    for face in faces:
        thickness = _thickness_in_name(path.stem)
        if len(faces) == 1 and (face.detail, face.part) not in plan and thickness is not None:
            plan[face.detail, face.part] = (math.nan, thickness)
    ordered = tuple(sorted(faces, key=lambda f: (f.detail, f.part)))
    return Drawing(ordered, plan, tuple(found.stretches), tuple(found.results), tuple(found.lines), metric)


def _as_found(document: Document) -> bool:
    """Does the file say that it shows nothing new: by a tag (kind=sheet, shows=existing), or because all that it draws lies on layers of
    the status existing (last field E) beside annotation?"""
    tagged = (t for layout in document.layouts for e in layout if (t := _tags(e)) is not None)
    if any(t["kind"] == "sheet" and t["shows"] == "existing" for t in tagged):
        return True
    drawn = {e.dxf.layer for e in document.modelspace() if not e.dxf.layer.startswith(ANNOTATION)}
    return bool(drawn) and all(layer.endswith(EXISTING) for layer in drawn)


def _extent(outline: Outline) -> tuple[float, float]:
    x0, y0, x1, y1 = outline.box
    return x1 - x0, y1 - y0


def _thickness_in_name(stem: str) -> float | None:
    """A cut file has no plan view; its name states the plate's thickness (PL-1_3-8in_x4, PL-1_1-1-4in_x4, PL-1_10mm_x4)."""
    match = _CUT_NAME.search(stem)
    if not match:
        return None
    numbers = match["size"].split("-")
    whole, fraction = (numbers[0], numbers[1:]) if len(numbers) % 2 else ("", numbers)
    try:
        return parse(f"{whole} {'/'.join(fraction)}".strip() + f" {match['unit']}", "length")
    except QuantityError:
        return None


def _tags(entity: DXFEntity) -> Tags | None:
    if not entity.has_xdata(APPLICATION):
        return None
    return read_tags(str(tag.value) for tag in entity.get_xdata(APPLICATION) if tag.code == 1000)


def _mirrored(entity: Any) -> float:  # noqa: ANN401  a drawing entity of any kind
    """-1 where the entity is seen from behind (its extrusion points away), so that its x runs the other way."""
    return -1.0 if entity.dxf.hasattr("extrusion") and entity.dxf.extrusion.z < 0 else 1.0


def _take(document: Document, entity: DXFEntity, scale: float, found: _Found) -> None:
    kind = entity.dxftype()
    if kind == "CIRCLE":
        flip, c = _mirrored(entity), entity.dxf.center
        found.circles.append((_tags(entity), FaceHole(c.x * flip * scale, c.y * scale, 2 * entity.dxf.radius * scale)))
    elif kind in ("LWPOLYLINE", "POLYLINE"):
        _take_polyline(entity, scale, found)
    elif kind in ("LINE", "ARC"):
        tags = _tags(entity)
        if kind == "LINE":
            piece = _piece(entity, scale)
            found.lines.append(((piece.ax, piece.ay), (piece.bx, piece.by)))
        if tags is not None and tags["kind"] == "outline":
            key = tuple(tags[k] for k in ("view", "detail", "part"))
            found.pieces[key].append((tags, _piece(entity, scale)))
    elif kind == "DIMENSION":
        _take_dimension(document, entity, scale, found)


def _piece(entity: Any, scale: float) -> Edge:  # noqa: ANN401
    if entity.dxftype() == "LINE":
        a, b = entity.dxf.start, entity.dxf.end
        return Edge(a.x * scale, a.y * scale, b.x * scale, b.y * scale)
    flip = _mirrored(entity)
    a, b = entity.start_point, entity.end_point
    sweep = math.radians((entity.dxf.end_angle - entity.dxf.start_angle) % 360)
    return Edge(a.x * scale, a.y * scale, b.x * scale, b.y * scale, flip * math.tan(sweep / 4))


def _take_polyline(entity: Any, scale: float, found: _Found) -> None:  # noqa: ANN401
    tags, flip = _tags(entity), _mirrored(entity)
    if entity.dxftype() == "LWPOLYLINE":
        corners = [(x, y, b) for x, y, b in entity.get_points("xyb")]
        closed = bool(entity.closed)
    else:
        corners = [(v.dxf.location.x, v.dxf.location.y, v.dxf.bulge if v.dxf.hasattr("bulge") else 0.0) for v in entity.vertices]
        closed = bool(entity.is_closed)
    points = [(x * flip * scale, y * scale, b * flip) for x, y, b in corners]
    if len(points) > 2 and not closed and math.dist(points[0][:2], points[-1][:2]) < 1e-4:
        points, closed = points[:-1], True
    hole = _round_end(points) if closed else None
    if hole is not None:
        found.circles.append((tags, hole))
    elif tags is not None and tags["kind"] == "outline":
        if closed and len(points) > 2:
            found.outlines.append((tags, outline_of(points)))
        else:
            where = f"{tags['part']} {tags['mark']}".strip()
            found.results.append(cannot_be_checked(where, "outline", "a closed outline", FACE_VIEW))
    elif tags is not None and tags["kind"] in ("hole", "slot"):
        found.results.append(cannot_be_checked(f"{tags['part']}", "hole", "a circle: this shape is neither round nor a slot", FACE_VIEW))


def _round_end(points: list[tuple[float, float, float]]) -> FaceHole | None:
    """A circle of two half-circle arcs, or a slot with two round ends."""
    if len(points) == 2 and all(abs(abs(b) - 1) < 1e-6 for _, _, b in points):
        (ax, ay, _), (bx, by, _) = points
        return FaceHole((ax + bx) / 2, (ay + by) / 2, math.hypot(bx - ax, by - ay))
    if len(points) != 4 or sorted(round(abs(b), 6) for *_, b in points) != [0, 0, 1, 1] or abs(points[0][2]) != abs(points[2][2]):
        return None
    first = 0 if abs(points[0][2]) == 0 else 1
    (ax, ay, _), (bx, by, _), (cx, cy, _) = (points[(first + k) % 4] for k in range(3))
    width, straight = math.hypot(cx - bx, cy - by), math.hypot(bx - ax, by - ay)
    x, y = (sum(p[k] for p in points) / 4 for k in (0, 1))
    return FaceHole(x, y, width, length=straight + width, angle=math.degrees(math.atan2(by - ay, bx - ax)))


def _take_dimension(document: Document, entity: Any, scale: float, found: _Found) -> None:  # noqa: ANN401
    kind = entity.dimtype & 7
    if kind not in (0, 1, 3, 4):
        return  # angles and ordinates claim no length between two points
    if kind in (0, 1):
        a, b = entity.dxf.defpoint2, entity.dxf.defpoint3
        angle = math.radians(entity.dxf.angle) if kind == 0 else math.atan2(b.y - a.y, b.x - a.x)
        d: Point | None = (math.cos(angle), math.sin(angle))
        assert d is not None
        measured = abs((b.x - a.x) * d[0] + (b.y - a.y) * d[1])
    else:
        a, b = entity.dxf.defpoint, entity.dxf.defpoint4
        d, measured = None, math.hypot(b.x - a.x, b.y - a.y)
    block = document.blocks.get(entity.dxf.geometry) if entity.dxf.hasattr("geometry") else None
    pictured: list[Any] = [e for e in block or () if e.dxftype() in ("TEXT", "MTEXT")]
    shown = [e.dxf.text if e.dxftype() == "TEXT" else e.text for e in pictured]
    text = entity.dxf.text if entity.dxf.hasattr("text") else ""
    found.stretches.append(
        Stretch(text.strip(), " ".join(shown), measured * scale, (a.x * scale, a.y * scale), (b.x * scale, b.y * scale), d, entity.dxf.layer)
    )


def _faces(found: _Found) -> list[Face]:
    """Face views with the holes that stand in them."""
    views = [(t, o) for t, o in found.outlines if t["kind"] == "outline" and t["view"] not in _NOT_PARTS]
    homes: list[list[FaceHole]] = [[] for _ in views]
    by_part: Mapping[tuple[str, str], list[int]] = defaultdict(list)
    for k, (tags, _) in enumerate(views):
        by_part[tags["detail"], tags["part"]].append(k)
    bare: list[FaceHole] = []
    for said, hole in found.circles:
        if said is None or said["kind"] not in ("hole", "slot"):
            bare.append(replace(hole, tagged=False))
            continue
        if said["view"] in _NOT_PARTS:
            continue
        own = [k for k, (t, _) in enumerate(views) if t["part"] == said["part"] and said["detail"] in ("", t["detail"])]
        inside = [k for k in own if views[k][1].contains(hole.at)]
        full = replace(hole, group=said["group"], fastener=said["fastener"], made=said["made"], template=said["template"])
        if not own:
            missing = f"the face view of part '{said['part']}', of which a hole is drawn"
            found.results.append(cannot_be_checked(said["part"] or "hole", "holes", missing, FACE_VIEW))
        else:
            homes[(inside or own)[0]].append(full)
    _give_bare(views, homes, bare)
    for (_, part), same in by_part.items():
        if len(same) > 1:
            found.results.append(cannot_be_checked(part, "face view", f"one face view: {len(same)} outlines say that they are it", FACE_VIEW))
    found.results[:] = list(dict.fromkeys(found.results))
    return [_face(t, o, homes[k]) for k, (t, o) in enumerate(views)]


def _give_bare(views: list[tuple[Tags, Outline]], homes: list[list[FaceHole]], bare: Iterable[FaceHole]) -> None:
    """Circles without tags inside a face view; not those around a tagged hole, which are its washer or centre mark."""
    known = [{(round(h.x, 3), round(h.y, 3)) for h in holes} for holes in homes]
    for hole in bare:
        for k, (_, outline) in enumerate(views):
            if outline.in_box(hole.at) and (round(hole.x, 3), round(hole.y, 3)) not in known[k] and outline.contains(hole.at):
                homes[k].append(hole)
                break


def _face(tags: Tags, outline: Outline, holes: list[FaceHole]) -> Face:
    faults = list(tags.faults)
    grain: float | None = None
    if tags["grain"]:
        try:
            grain = float(tags["grain"])
        except ValueError:
            faults.append(f"grain '{tags['grain']}' is no angle")
    face = Face(
        part=tags["part"], mark=tags["mark"], detail=tags["detail"], material=tags["material"], specification=tags["specification"],
        wood=tags["wood"], standard=tags["standard"], grain=grain, existing=tags["existing"] == "yes", open_ends=tags["open"] or "none",
        loads=tags.loads, outline=outline, holes=tuple(holes), facts=tags.values, faults=tuple(faults),
    )  # fmt: skip
    return in_own_axes(face)
