"""A DXF file from disk -> face views, plan extents, dimensions, texts. What is read and what is not stands in this folder's ``__init__``."""

from __future__ import annotations

import math
import re
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from detailgen.checker.alike import SAME, off_shape, shape_of
from detailgen.checker.drawing import FACE_VIEW, Drawing, Face, FaceHole, Stretch, Turn, drawn_in, in_own_axes
from detailgen.checker.dxf_text import DxfText, read_text
from detailgen.checker.geometry import Boxes, Outline, joined
from detailgen.checker.rules import wrong
from detailgen.checker.shapes import Origin, Shapes, Walk
from detailgen.checker.tags import APPLICATION, Tags, fastener, read_tags
from detailgen.core.clause import Cite
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult, cannot_be_checked
from detailgen.core.units import FOOT, MM, QuantityError, parse

UNITS = {1: 1.0, 2: FOOT, 4: MM, 5: 10 * MM, 6: 1000 * MM}
"""Inches per unit of $INSUNITS."""
HOLE_OVER_BOLT = (0.98, 1.35)
"""No hole for a bolt is smaller or larger than so many diameters; units differ by more."""
MANY_SHOWN = 400
ZONE = "ZONE"
"""Closed lines on a layer whose name holds this are no-drill zones."""
ANNOTATION, EXISTING = ("S-AN", "Defpoints"), "-E"
"""Beginnings of layers of annotation, and the end of layers that show what exists (the layer standards' fields)."""
FILE = Cite("drawing file", "as read")
_CUT_NAME = re.compile(r"_(?P<size>[\d-]+(?:\.\d+)?)(?P<unit>in|mm)_x\d+$")
_NOT_PARTS = ("plan", "section", "elevation", "edge")
_Hole = tuple[Tags | None, FaceHole, Origin]
_View = tuple[Tags, Outline, Origin]


def read_dxf(path: Path) -> Drawing:
    """Read one sheet or cut file.

    Raises: InputError
    """
    text = read_text(path)
    code = unit_code(text)
    if code not in UNITS:
        missing = f"the unit of the drawing ($INSUNITS is {code}; inch, foot, mm, cm or m are read, or it follows from holes that name their bolts)"
        return Drawing((), {}, results=(cannot_be_checked("file", "units", missing, FILE),))
    return drawing_of(Walk(text, UNITS[code]).found, path.stem, metric=code in (4, 5, 6))


def drawing_of(found: Shapes, stem: str, *, metric: bool) -> Drawing:
    results = list(dict.fromkeys(cannot_be_checked(_who(t), t["kind"], missing, FACE_VIEW) for t, missing in found.odd))
    outlines = [(t, o, at) for t, o, at in found.outlines if t is not None and t["kind"] == "outline"]
    stretches = tuple(s for s, _ in found.spans if isinstance(s, Stretch))
    turns = tuple(s for s, _ in found.spans if isinstance(s, Turn))
    pieces: dict[tuple[object, ...], list[tuple[Tags, Origin]]] = defaultdict(list)
    edges = defaultdict(list)
    for tags, edge, at in found.pieces:
        if tags is not None and tags["kind"] == "outline":
            key = (at.layout, *(tags[k] for k in ("view", "detail", "part")), id(at.frame) if not at.frame.plain else 0)
            pieces[key].append((tags, at))
            edges[key].append(edge)
    if not outlines and not pieces and not results and _as_found(found):
        windows = tuple(found.windows)
        return Drawing((), {}, stretches, turns=turns, metric=metric, as_found=True, texts=tuple(found.texts), shown=_shown(found), windows=windows,
                       fields=found.fields)  # fmt: skip
    for key, same in pieces.items():
        tags, at = same[0]
        outline = joined(edges[key])
        if outline is None:
            results.append(cannot_be_checked(_who(tags), "outline", "a closed outline: its lines and arcs do not meet", FACE_VIEW))
        else:
            outlines.append((tags, outline, at))
    plan = {(t["detail"], t["part"]): _extent(o) for t, o, _ in outlines if t["view"] == "plan"}
    plan |= {(t["detail"], t["part"]): _edge(o) for t, o, _ in outlines if t["view"] == "edge"}
    stack = {(t["detail"], t["part"]): o.box for t, o, _ in outlines if t["view"] == "plan"}
    views = [v for v in outlines if v[0]["view"] not in _NOT_PARTS]
    faces = _faces(views, found.circles, results)
    if not faces and not results:
        results.append(cannot_be_checked("file", "parts", f"face views: no outline carries the tags of {APPLICATION}", FILE))
    thickness = _thickness_in_name(stem)
    if len(faces) == 1 and (faces[0].detail, faces[0].part) not in plan and thickness is not None:
        plan[faces[0].detail, faces[0].part] = (math.nan, thickness)
    lines = tuple(((e.ax, e.ay), (e.bx, e.by)) for _, e, at in found.pieces if not e.bulge and not at.layout)
    heads = tuple(p for p, at in found.heads if not at.layout)
    zones = tuple(o.box for t, o, at in found.outlines if t is None and not at.layout and ZONE in at.layer)
    ordered = tuple(sorted(faces, key=lambda f: (f.detail, f.part)))
    return Drawing(
        ordered, plan, stretches, tuple(results), turns, lines, metric=metric, texts=tuple(found.texts), heads=heads, stack=stack, zones=zones,
        windows=tuple(found.windows), fields=found.fields,
    )  # fmt: skip


def _shown(found: Shapes) -> tuple[tuple[Outline, tuple[FaceHole, ...]], ...]:
    """Closed lines of model space with circles inside, or that stand in no other: parts that a sheet repeats. None where no one has a circle."""
    outlines = [o for t, o, at in found.outlines if t is None and not at.layout]
    circles = [h for t, h, at in found.circles if t is None and not at.layout]
    within = [(o, tuple(h for h in circles if o.in_box(h.at) and o.contains(h.at))) for o in outlines[:MANY_SHOWN]]
    if not any(holes for _, holes in within):
        return ()
    return tuple((o, holes) for o, holes in within if holes or not _inside(o, outlines))


def _inside(one: Outline, outlines: Sequence[Outline]) -> bool:
    """Does a closed line stand in another one, as a slot does in its part?"""
    x0, y0, x1, y1 = one.box
    return any(o is not one and o.box[0] <= x0 and o.box[1] <= y0 and o.box[2] >= x1 and o.box[3] >= y1 for o in outlines)


def _who(tags: Tags) -> str:
    return f"{tags['part']} {tags['mark']}".strip() or "a shape without part"


def unit_code(text: DxfText) -> int:
    """As stated; where nothing is stated (R12 cannot), the one unit in which every hole fits the bolt that it names."""
    said = text.header.get("$INSUNITS", "0")
    code = int(said) if said.lstrip("-").isdecimal() else 0
    if code:
        return code
    fits = set(UNITS)
    seen = 0
    for space in [text.entities, *(b.entities for b in text.blocks.values())]:
        for e in space:
            if e.kind != "CIRCLE" or (said_here := e.said(APPLICATION)) is None:
                continue
            tags = read_tags(said_here)
            try:
                one = fastener(tags["fastener"])
            except NotCovered:
                continue
            if tags["kind"] == "hole" and one.has_bolt_hole:
                low, high = (k * one.diameter / (2 * e.number("40") or math.nan) for k in HOLE_OVER_BOLT)
                fits &= {c for c, inches in UNITS.items() if low <= inches <= high}
                seen += 1
    return fits.pop() if seen and len(fits) == 1 else 0


def _as_found(found: Shapes) -> bool:
    """Does the file say that it shows nothing new: by a tag (kind=sheet, shows=existing), or because all that it draws lies on layers of
    the status existing (last field E) beside annotation?"""
    if any(t["kind"] == "sheet" and t["shows"] == "existing" for t in found.tagged):
        return True
    drawn = {layer for layer in found.layers if not layer.startswith(ANNOTATION)}
    return bool(drawn) and all(layer.endswith(EXISTING) for layer in drawn)


def _extent(outline: Outline) -> tuple[float, float]:
    x0, y0, x1, y1 = outline.box
    return x1 - x0, y1 - y0


def _edge(outline: Outline) -> tuple[float, float]:
    """Length and thickness of a plate that is seen on its edge, however it lies."""
    corners = outline.corners
    sides = [math.dist(a, b) for a, b in zip(corners, (*corners[1:], corners[0]), strict=True)]
    return max(sides), min(sides)


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


def _faces(views: list[_View], circles: Sequence[_Hole], results: list[CheckResult]) -> list[Face]:
    """Face views with the holes that stand in them."""
    homes: list[list[FaceHole]] = [[] for _ in views]
    by_part: Mapping[str, list[int]] = defaultdict(list)
    for k, (tags, _, _) in enumerate(views):
        by_part[tags["part"]].append(k)
    bare: list[tuple[FaceHole, Origin]] = []
    lost: dict[str, None] = {}
    sets: dict[str, frozenset[int]] = {}
    boxes = Boxes([outline.box for _, outline, _ in views])
    for said, hole, at in circles:
        if said is None or said["kind"] not in ("hole", "slot"):
            bare.append((replace(hole, tagged=False), at))
            continue
        if said["view"] in _NOT_PARTS:
            continue
        own = by_part.get(said["part"], [])
        if len(own) > 1:  # of several views of a part the one that it stands in
            named = sets.setdefault(said["part"], frozenset(own))
            around = [k for k in boxes.around(hole.at) if k in named and views[k][1].contains(hole.at)]
            own = [k for k in around if views[k][2].layout == at.layout] or own[:1]
        own = [k for k in own if said["detail"] in ("", views[k][0]["detail"]) and views[k][2].layout == at.layout]
        full = FaceHole(hole.x, hole.y, hole.diameter, said["group"], said["fastener"], said["made"], said["template"], True, hole.length, hole.angle)
        if not own:
            lost[said["part"]] = None
        else:
            homes[own[0]].append(full)
    for part in lost:
        results.append(cannot_be_checked(part or "hole", "holes", f"the face view of part '{part}', of which a hole is drawn", FACE_VIEW))
    _give_bare(views, homes, bare, boxes)
    faces = [_face(t, o, homes[k], at) for k, (t, o, at) in enumerate(views)]
    return _without_copies(faces, results)


def _without_copies(faces: list[Face], results: list[CheckResult]) -> list[Face]:
    """Of views of one part that show the same the first counts; where two stand on one place the outline is there twice."""
    kept: dict[tuple[str, str], list[Face]] = defaultdict(list)
    for face in faces:
        same = kept[face.detail, face.part]
        twin = next((f for f in same if _shows(f, face)), None)
        if twin is None:
            same.append(face)
        elif max(abs(a - b) for a, b in zip(twin.outline.box, face.outline.box, strict=True)) <= SAME and twin.layout == face.layout:
            results.append(wrong(face.name, "outline stands twice", SAME, FACE_VIEW, spots=(face.frame.at(face.outline.corners[0]),)))
    for (_, part), same in kept.items():
        if len(same) > 1:
            results.append(cannot_be_checked(part, "face view", f"one face view: {len(same)} outlines say that they are it", FACE_VIEW))
    return [f for same in kept.values() for f in same]


def _shows(face: Face, copy: Face) -> bool:
    """Does a view show what another one shows? A bare outline on top of a view does."""
    return off_shape(shape_of("", face), shape_of("", copy)) <= SAME or (not copy.holes and face.outline == copy.outline)


def _give_bare(views: list[_View], homes: list[list[FaceHole]], bare: Iterable[tuple[FaceHole, Origin]], boxes: Boxes) -> None:
    """Circles without tags inside a face view; not those around a tagged hole, which are its washer or centre mark."""
    known = [{(round(h.x, 3), round(h.y, 3)) for h in holes} for holes in homes]
    for hole, at in bare:
        for k in boxes.around(hole.at):
            _, outline, own = views[k]
            here = own.layout == at.layout and outline.in_box(hole.at)
            if here and (round(hole.x, 3), round(hole.y, 3)) not in known[k] and outline.contains(hole.at):
                homes[k].append(hole)
                break


def _face(tags: Tags, outline: Outline, holes: list[FaceHole], at: Origin) -> Face:
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
        loads=tags.loads, outline=outline, holes=tuple(holes), facts=tags.values, faults=tuple(faults), layout=at.layout,
    )  # fmt: skip
    if not at.frame.plain and at.frame.keeps_shape:  # its block knows how the view was turned
        turn = at.frame.turn()
        return replace(drawn_in(face, turn), turn=math.degrees(math.atan2(turn.b, turn.a)))
    return in_own_axes(face)
