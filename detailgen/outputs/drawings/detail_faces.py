"""Face views: each part by itself, in its own axes, with its holes. They are the truth; other views and tables agree with them."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

from detailgen.model.detail import ACROSS, BOUGHT, EDGES, MARKED_OUT, PUT_BACK, Hole, Part, Slot
from detailgen.model.marks import opposite_hands
from detailgen.model.outlines import bounds
from detailgen.outputs.drawings import detail_geometry as geometry
from detailgen.outputs.drawings.detail_canvas import Callout, Canvas
from detailgen.outputs.drawings.detail_dims import merged
from detailgen.outputs.drawings.detail_scene import Scene, centre_mark, role
from detailgen.outputs.drawings.detail_words import diameter_words, label, length, size
from detailgen.outputs.drawings.face_dims import dimension_face, edge_callouts
from detailgen.outputs.drawings.lettering import text_width
from detailgen.outputs.drawings.shapes import Circle, Line, Point, Polyline, Text
from detailgen.outputs.drawings.sheets import Scale
from detailgen.outputs.drawings.tags import hole_tags, outline_tags, slot_tags

PRODUCTS = {"sawn": "sawn timber", "glulam": "glued laminated timber"}


@dataclass(frozen=True)
class Face:
    """A part to be shown, and every part of the detail that is made like it."""

    part: Part
    alike: tuple[Part, ...]
    mark: str


def faces(scene: Scene) -> list[Face]:
    """Every new part once per mark, then every existing part that is drilled."""
    found: dict[str, list[Part]] = {}
    for part in (q for q in scene.new if q.kind not in BOUGHT):
        found.setdefault(scene.package.mark_of(scene.detail.key, part.key) or part.key, []).append(part)
    shown = [Face(same[0].as_cut, tuple(same), scene.package.mark_of(scene.detail.key, same[0].key)) for same in found.values()]
    shown.sort(key=lambda f: (f.part.material != "steel", f.mark))
    return shown + [Face(p, (p,), "") for p in scene.existing if p.holes or p.slots]


def slot_outline(slot: Slot) -> tuple[tuple[Point, ...], tuple[float, ...]]:
    """Corners and bulges of a slot with round ends, counter-clockwise."""
    c, s = math.cos(slot.angle), math.sin(slot.angle)
    a, b = (slot.length - slot.width) / 2, slot.width / 2
    corners = ((-a, -b), (a, -b), (a, b), (-a, b))
    return tuple((slot.x + u * c - v * s, slot.y + u * s + v * c) for u, v in corners), (0.0, 1.0, 0.0, 1.0)


def outline_shape(part: Part, layer: str, tags: tuple[str, ...]) -> Polyline:
    """The closed outline with its true arcs."""
    bulges = tuple(v.bulge for v in part.outline)
    return Polyline(layer, tuple((v.x, v.y) for v in part.outline), True, bulges if any(bulges) else (), tags)


def _timber(part: Part) -> str:
    """The name of an old timber, whose pieces on both sides of a cut are one."""
    return part.name.split(",")[0]


def hole_words(holes: list[Hole], scene: Scene, template: str = "") -> str:
    """Count, diameter, made where, through which template (``template``: in other words than its mark and name)."""
    units = scene.package.project.units
    first = holes[0]
    words = f"{len(holes)} holes" if len(holes) > 1 else "1 hole"
    where = "in the shop"
    if first.template == MARKED_OUT:
        where = "in the field, marked out"
    elif first.template:
        part = scene.detail.part(first.template)
        mark = scene.package.mark_of(scene.detail.key, part.key)
        named = f"template {template or f'{mark} {part.name}'}" if mark or template else f"through the {_timber(part)}"
        where = f"in the field, {named}"
    again = ", for old bolts put back" if first.bolt == PUT_BACK else ""
    return f"{words} {diameter_words(first.diameter, units)}, {where}{again}"


def hole_groups(part: Part, scene: Scene) -> list[list[Hole]]:
    """Holes alike in diameter, place of making, template and what goes through; templates of one mark are one."""
    groups: dict[tuple[float, str, bool], list[Hole]] = {}
    for hole in part.holes:
        mark = scene.package.mark_of(scene.detail.key, hole.template)
        old = next((_timber(p) for p in scene.detail.parts if p.key == hole.template and p.existing), "")
        groups.setdefault((round(hole.diameter, 6), mark or old or hole.template, hole.bolt == PUT_BACK), []).append(hole)
    return list(groups.values())


@dataclass(frozen=True)
class Said:
    """What a view of several marks says in place of what it says of one: heading, lines under it, which part is the template."""

    heading: str
    lines: tuple[str, ...]
    template: str = ""


def face_view(scene: Scene, face: Face, scale: Scale, said: Said | None = None) -> Canvas:
    part, detail, units = face.part, scene.detail, scene.package.project.units
    canvas = scene.canvas(f"face of {part.key}", scale)
    u = canvas.u
    points = geometry.flat_outline(part)
    x0, y0, x1, y1 = bounds(part.outline)
    canvas.draw(outline_shape(part, role(part), outline_tags(detail, part, face.mark, scene.package.project)))
    for x in part.open_ends:
        ys = [p[1] for p in points if abs(p[0] - x) < 1e-6]
        canvas.break_line((x, min(ys)), (x, max(ys)))
    for hole in part.holes:
        canvas.draw(Circle("holes", (hole.x, hole.y), hole.diameter / 2, hole_tags(detail, part, hole, units)))
        canvas.draw(*centre_mark(hole.x, hole.y, 0.8 * hole.diameter))
    for slot in part.slots:
        corners, bulges = slot_outline(slot)
        canvas.draw(Polyline("holes", corners, True, bulges, slot_tags(detail, part, slot, units)), *centre_mark(slot.x, slot.y, 0.8 * slot.width))
    # Holes for old bolts that are put back are drilled through the old holes: nobody lays them out.
    openings: list[Hole | Slot] = [*(h for h in part.holes if h.bolt != PUT_BACK), *part.slots]
    columns, levels = merged([h.x for h in openings]), merged([h.y for h in openings])
    both_open = len(part.open_ends) == 2
    if both_open:  # nothing of it but the work point says where it stands
        canvas.draw(Line("centre", (0.0, y0 - 0.15 * u), (0.0, y1 + 0.15 * u)))
        canvas.draw(Text("notes", "WP", (0.0, y1 + 0.2 * u), canvas.letters.note, 0.0, "middle"))
    top = dimension_face(canvas, part, columns, levels)
    if part.material == "wood":
        spots = [*_between(columns, x0, x1, u), *_steps(x0, x1, 0.1 * u)]
        heights = [*_between(levels, y0, y1, 0.3 * u), *_steps(y0, y1, 0.08 * u)]
        canvas.grain(((x, y) for y in heights for x in spots), part.grain)
    template = said.template if said else ""
    items = [Callout(hole_words(group, scene, template), _hole_anchors(group, columns)) for group in hole_groups(part, scene)]
    items += edge_callouts(part, units)
    made = "in the field, marked out" if part.existing else "in the shop"
    for wide_long in dict.fromkeys((s.width, s.length) for s in part.slots):
        alike = [s for s in part.slots if (s.width, s.length) == wide_long]
        count, s = f"{len(alike)} slots" if len(alike) > 1 else "1 slot", alike[0]
        words = f"{count} {length(s.width, units)} x {length(s.length, units)}, made {made}"
        items.append(Callout(words, ((s.x, s.y + s.width / 2),)))
    canvas.callouts_in_row(items, top + (0.5 if both_open else 0.35) * u, up=True, block=max(2.5, min(6.0, (x1 - x0) / u)))
    heading, lines = (said.heading, said.lines) if said else _title(scene, face)
    canvas.title(heading, lines, wide=max(3.4, text_width(heading, canvas.letters.heading)))  # in one line: a table names the view by it
    return canvas


def _hole_anchors(group: list[Hole], columns: list[float]) -> tuple[Point, ...]:
    """Upper rims of the top holes, those near the middle of the row of columns first."""
    top = max(h.y for h in group)
    middle = (columns[0] + columns[-1]) / 2 if columns else 0.0
    ordered = sorted((h for h in group if abs(h.y - top) < 1e-6), key=lambda h: (abs(h.x - middle), h.x))
    return tuple((h.x + side * 0.35 * h.diameter, h.y + 0.357 * h.diameter) for h in ordered for side in (-1, 1))


def _between(stops: list[float], low: float, high: float, least: float) -> list[float]:
    """Middles of the stretches between stops, widest first."""
    edges = [low, *stops, high]
    pairs = [(a, b) for a, b in itertools.pairwise(edges) if b - a > least] or [(low, high)]
    return [(a + b) / 2 for a, b in sorted(pairs, key=lambda ab: (round(ab[0] - ab[1], 6), ab[0]))]


def _steps(low: float, high: float, step: float) -> list[float]:
    """Places between two ends, from the middle outward."""
    middle = (low + high) / 2
    return [middle + side * k * step for k in range(int((high - low) / 2 / step)) for side in (1, -1)]


def _title(scene: Scene, face: Face) -> tuple[str, tuple[str, ...]]:
    part, units = face.part, scene.package.project.units
    if part.existing:
        seen = f"seen from the {scene.facing[0]}" if scene.detail.axis in (ACROSS, *EDGES) else "seen along the chord"
        return label(scene.detail, part, scene.package), (f"{seen}; {size(part, units)}, {part.specification}",)
    count = len(face.alike)
    where = ", ".join(sorted({p.name for p in face.alike}))
    finish = f", {part.finish}" if part.finish else ""
    notes = [f"{size(part, units)}, {part.specification}{finish}; {where}"]
    if part.timber is not None:
        curve = f"band-sawn to the curve out of {length(part.timber.sawn_from, units)}" if part.timber.sawn_from else ""
        product = curve or PRODUCTS[part.timber.product]
        asked = (product, part.timber.treatment, f"camber {length(part.timber.camber, units)}, TOP marked" if part.timber.camber else "",
                 part.timber.made_of)  # fmt: skip
        notes.append("; ".join(words for words in asked if words))
    if part.handed:
        other = opposite_hands(scene.package.marks).get(face.mark, "")
        notes.append(f"handed ({part.handed}): not turned over" + (f"; {other} is the opposite hand" if other else ""))
    return f"{face.mark or part.key}, {count} required", tuple(notes)
