"""The assembled views of a detail: elevation from the near side, plan from above, section through a bolt column."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from detailgen.model.detail import Bolt, Detail, Part
from detailgen.model.package import Package
from detailgen.model.project import Truss
from detailgen.outputs.drawings import detail_geometry as geometry
from detailgen.outputs.drawings.detail_canvas import Callout, Canvas
from detailgen.outputs.drawings.detail_dims import ROW, Span, chain, column, merged, row
from detailgen.outputs.drawings.detail_words import alike, bolt_callout, label, length, number, size
from detailgen.outputs.drawings.plane import meet_circle
from detailgen.outputs.drawings.shapes import Arc, Circle, Hatch, Line, Point, Polyline, Text
from detailgen.outputs.drawings.sheets import LETTERING, Scale
from detailgen.outputs.drawings.tags import plan_tags
from detailgen.outputs.solids.hardware import size_for

RING = 0.11
"""Between the rings of end grain, in of paper."""
STEEL_HATCH = 0.06


@dataclass(frozen=True)
class Scene:
    """What a view is of."""

    detail: Detail
    package: Package

    @property
    def truss(self) -> Truss:
        return next(t.before.truss for t in self.package.trusses if any(d.key == self.detail.key for d in t.details))

    @property
    def existing(self) -> list[Part]:
        return [p for p in self.detail.parts if p.existing]

    @property
    def new(self) -> list[Part]:
        return [p for p in self.detail.parts if not p.existing]

    @property
    def box(self) -> tuple[float, float, float, float]:
        boxes = [geometry.box(p) for p in self.detail.parts]
        return min(b[0] for b in boxes), min(b[1] for b in boxes), max(b[2] for b in boxes), max(b[3] for b in boxes)

    def canvas(self, name: str, scale: Scale) -> Canvas:
        return Canvas(name, scale, LETTERING[self.package.project.units.name], self.package.project.units)

    def gaps(self) -> list[tuple[float, float, Part, Part]]:
        """Lengths cut out of existing plies: from x to x, the parts left and right of each."""
        found = []
        for a in self.existing:
            for b in self.existing:
                same = abs(a.placement.z - b.placement.z) < 1e-6 and abs(a.thickness - b.thickness) < 1e-6
                end, start = geometry.box(a)[2], geometry.box(b)[0]
                if a is not b and same and start >= end - 1e-6:
                    found.append((end, start, a, b))
        return found

    def looking(self) -> str:
        view = self.package.project.view
        return view if not view or view.startswith("looking") else f"looking {view}"


def role(part: Part) -> str:
    return "existing" if part.existing else "new steel" if part.material == "steel" else "new wood"


def _hexagon(bolt: Bolt) -> Polyline:
    radius = size_for(bolt.diameter).head_flats / math.sqrt(3)
    corners = tuple((bolt.x + radius * math.cos(math.radians(60 * k)), bolt.y + radius * math.sin(math.radians(60 * k))) for k in range(6))
    return Polyline("new bolts", corners, True)


def centre_mark(x: float, y: float, reach: float) -> list[Line]:
    return [Line("centre", (x - reach, y), (x + reach, y)), Line("centre", (x, y - reach), (x, y + reach))]


def nearby_bolts(scene: Scene) -> list[tuple[str, float, float, float]]:
    """Existing bolts of the same chord near the detail: connection, x, y, diameter. Only where the member runs along x."""
    truss, detail = scene.truss, scene.detail
    member = next((m for m in truss.members if m.name == detail.member), None)
    if member is None or member.kind != "bottom chord":
        return []
    x0, _, x1, _ = scene.box
    found = []
    for connection in truss.connections:
        web = truss.member(connection.member)
        if connection.joint not in member.joints or web.kind != "web":
            continue
        jx, jy = truss.joints[connection.joint]
        other = next(truss.joints[j] for j in web.joints if j != connection.joint)
        angle = math.atan2(other[1] - jy, other[0] - jx)
        for along, across in connection.bolts.positions:
            x = jx + along * math.cos(angle) - across * math.sin(angle) - detail.station
            y = jy + along * math.sin(angle) + across * math.cos(angle)
            radius = connection.bolts.diameter / 2
            if x0 + radius < x < x1 - radius:
                found.append((f"{connection.member}", x, y, connection.bolts.diameter))
    return found


def _outlines(scene: Scene, canvas: Canvas) -> None:
    """Edges as seen from the near side, those behind other parts dashed, none twice."""
    ordered = sorted(scene.detail.parts, key=lambda p: (-(p.placement.z + p.thickness), p.key))
    covers: list[tuple[Point, ...]] = []
    drawn: list[Line] = []
    hidden: list[Line] = []
    for part in ordered:
        for edge in geometry.edges(part, role(part)):
            seen, behind = geometry.seen_and_hidden(edge, covers)
            for piece in seen:
                drawn += geometry.not_yet_drawn(piece, drawn)
            hidden += behind
        covers += geometry.convex_pieces(geometry.polygon(part))
    dashed: list[Line] = []
    for line in hidden:
        dashed += [replace(x, layer="hidden") for x in geometry.not_yet_drawn(line, [*drawn, *dashed])]
    canvas.draw(*drawn, *dashed)


def _breaks(scene: Scene, canvas: Canvas) -> None:
    done: set[tuple[Point, Point]] = set()
    for part in scene.detail.parts:
        for low, high in geometry.break_ends(part):
            key = ((round(low[0], 6), round(low[1], 6)), (round(high[0], 6), round(high[1], 6)))
            if key not in done:
                done.add(key)
                canvas.break_line(low, high)


def elevation(scene: Scene, scale: Scale, cut: float | None) -> Canvas:
    """Seen from the near side. ``cut``: x of section A-A."""
    canvas, detail = scene.canvas("elevation", scale), scene.detail
    u, units = canvas.u, canvas.units
    x0, y0, x1, y1 = scene.box
    for zone in detail.zones:
        a, b = zone.length / 2, zone.depth / 2
        corners = ((zone.x - a, zone.y - b), (zone.x + a, zone.y - b), (zone.x + a, zone.y + b), (zone.x - a, zone.y + b))
        canvas.draw(Polyline("zones", corners, True))
    _outlines(scene, canvas)
    _breaks(scene, canvas)
    old = nearby_bolts(scene)
    for _, x, y, diameter in old:
        canvas.draw(Circle("bolts", (x, y), diameter / 2))
    for bolt in detail.bolts:
        canvas.draw(_hexagon(bolt), *centre_mark(bolt.x, bolt.y, 0.95 * bolt.diameter))
    canvas.draw(Line("centre", (x0 - 0.15 * u, 0.0), (x1 + 0.15 * u, 0.0)))
    canvas.draw(Line("centre", (0.0, y0 - 0.2 * u), (0.0, y1 + 0.35 * u)))
    canvas.draw(Text("notes", "WP", (0.0, y1 + 0.42 * u), canvas.letters.note, 0.0, "middle"))
    if cut is not None:
        _section_marks(canvas, cut, y0, y1)
    _grain(scene, canvas)
    below = y0 - 0.85 * u
    _elevation_rows(scene, canvas, below)
    _across(scene, canvas, x0 - 0.3 * u)
    canvas.callouts_in_row(_elevation_callouts(scene, canvas, old), y1 + 0.95 * u, up=True)
    looking = scene.looking()
    canvas.title(f"ELEVATION, near side{', ' + looking if looking else ''}", ())
    return canvas


def _section_marks(canvas: Canvas, x: float, y0: float, y1: float) -> None:
    """Short strokes of the cutting plane, arrows in the direction of looking (left), the letter beside them."""
    u, h = canvas.u, canvas.letters.heading
    for edge, way in ((y1, 1), (y0, -1)):
        tip = edge + way * 0.42 * u
        canvas.draw(Line("cut", (x, edge + way * 0.12 * u), (x, tip)))
        canvas.draw(Line("cut", (x, tip), (x - 0.16 * u, tip)), canvas.arrow((x - 0.3 * u, tip), (x, tip), size=1.4))
        canvas.draw(Text("notes", "A", (x + 0.16 * u, tip - h / 2 * u), h, 0.0, "middle"))


def _grain(scene: Scene, canvas: Canvas) -> None:
    """Grain arrows on the existing timber, where it is in sight beside the new work."""
    u = canvas.u
    x0, y0, x1, y1 = scene.box
    inner = [geometry.box(p) for p in scene.new]
    left, right = min((b[0] for b in inner), default=0.0), max((b[2] for b in inner), default=0.0)
    for part in scene.existing[:2]:
        a, b, c, d = geometry.box(part)
        xs = [(right + x1) / 2, right + 0.7 * u, x1 - 0.7 * u] if c > right else [(left + x0) / 2, left - 0.7 * u, x0 + 0.7 * u]
        ys = [b + (d - b) * s for s in (0.78, 0.22, 0.9, 0.1, 0.66, 0.34)]
        if canvas.grain([(x, y) for y in ys for x in xs], part.grain + part.placement.angle):
            return
    del y0, y1


def _near_faces(scene: Scene) -> list[Part]:
    """New steel, nearest first; new timber where there is none."""
    steel = [p for p in scene.new if p.material == "steel"] or scene.new
    return sorted(steel, key=lambda p: (-p.placement.z, p.key))


def _elevation_rows(scene: Scene, canvas: Canvas, line: float) -> None:
    """From the cut outward: ends, bolt columns, plate ends; halves from the work point; overall."""
    u, detail, units = canvas.u, scene.detail, canvas.units
    columns = merged([b.x for b in detail.bolts])
    lowest = {x: min(b.y for b in detail.bolts if abs(b.x - x) < 1e-6) for x in columns}
    features: list[tuple[float, Point]] = [(x, (x, lowest[x])) for x in columns]
    for end, start, a, b in scene.gaps():
        features += [(end, (end, geometry.box(a)[1])), (start, (start, geometry.box(b)[1]))]
    features.append((0.0, (0.0, scene.box[1] - 0.2 * u)))
    plates = _near_faces(scene)
    if plates:
        p0, q0, p1, _ = geometry.box(plates[0])
        features += [(p0, (p0, q0)), (p1, (p1, q0))]
    row(canvas, chain(features, columns, units), line, away=-1)
    if plates and p0 < 0 < p1:
        foot = (0.0, scene.box[1] - 0.2 * u)
        row(canvas, [Span((p0, q0), foot), Span(foot, (p1, q0))], line - ROW * u, away=-1)
        row(canvas, [Span((p0, q0), (p1, q0), "(<>)")], line - 2 * ROW * u, away=-1)
    elif plates:
        row(canvas, [Span((p0, q0), (p1, q0), "(<>)")], line - ROW * u, away=-1)


def _across(scene: Scene, canvas: Canvas, line: float) -> None:
    """Edge distances and gauge at the left end."""
    detail = scene.detail
    if not detail.bolts or not scene.existing:
        return
    first = min(b.x for b in detail.bolts)
    rows = merged([b.y for b in detail.bolts if abs(b.x - first) < 1e-6])
    part = max((p for p in scene.existing if geometry.box(p)[0] <= first), key=lambda p: p.placement.z, default=scene.existing[0])
    a, b, _, d = geometry.box(part)
    features: list[tuple[float, Point]] = [(b, (a, b)), (d, (a, d)), *((y, (first, y)) for y in rows)]
    column(canvas, chain(features, rows, canvas.units), line, side=-1)


def _elevation_callouts(scene: Scene, canvas: Canvas, old: Sequence[tuple[str, float, float, float]]) -> list[Callout]:
    u, detail, units = canvas.u, scene.detail, canvas.units
    x0, _, x1, y1 = scene.box
    items: list[Callout] = []
    plates = _near_faces(scene)
    columns = merged([b.x for b in detail.bolts])
    if plates:
        plate = plates[0]
        p0, _, p1, q1 = geometry.box(plate)
        twins = [p for p in scene.new if scene.package.mark_of(detail.key, p.key) == scene.package.mark_of(detail.key, plate.key)]
        count = f"{len(twins)} required, " if len(twins) > 1 else ""
        words = f"{label(detail, plate, scene.package)}, {count}{size(plate, units)}, {plate.specification}"
        if plate.finish:
            words += f", {plate.finish}"
        between = [(a + b) / 2 for a, b in zip(columns[:-1], columns[1:], strict=True) if p0 < (a + b) / 2 < 0] or [(p0 + p1) / 2]
        items.append(Callout(words + "; holes in the shop", tuple((x, q1) for x in (*between, p0 + 0.1 * u))))
    for group in alike(detail.bolts):
        top = max(b.y for b in group)
        rights = sorted((b.x, b.y) for b in group if abs(b.y - top) < 1e-6 and b.x > 0) or sorted((b.x, b.y) for b in group)
        head = size_for(group[0].diameter).head_flats / 2
        anchors = tuple((x + 0.5 * head, y + 0.87 * head) for x, y in reversed(rights))
        items.append(Callout(bolt_callout(group, units) + "; head on the near side", anchors))
    gap_parts = set()
    for end, start, a, b in scene.gaps():
        gap_parts |= {a.key, b.key}
        found = [d for d in scene.truss.damage if d.member == detail.member and abs(d.at - detail.station) < max(d.length, 24.0)]
        why = f" ({', '.join(dict.fromkeys(d.kind for d in found))})" if found else ""
        words = f"Cut out {length(start - end, units)} of the {a.name.split(',')[0]}{why}" if start - end > 1e-6 else f"Butt joint of the {a.name}, closed"
        x = end + 0.2 * (start - end)
        items.append(Callout(words, ((x, y1), (end + 0.1 * (start - end), y1), (start - 0.1 * (start - end), y1))))
    near = max(scene.existing, key=lambda p: (p.placement.z, geometry.box(p)[2]), default=None)
    if near is not None:
        right = max(geometry.box(p)[2] for p in scene.new) if scene.new else 0.0
        nx = (min(right, x1) + x1) / 2
        items.append(Callout(f"(E) {near.name.split(',')[0]}, {size(near, units)}, {near.specification}", ((nx, geometry.box(near)[3]),)))
    for name in dict.fromkeys(o[0] for o in old):
        ends = [o for o in old if o[0] == name]
        _, x, y, diameter = max(ends, key=lambda o: o[2])
        items.append(Callout(f"(E) bolt{'s' if len(ends) > 1 else ''} of web {name}, stay", ((x, y + diameter / 2), (x - diameter / 2, y))))
    del x0
    return items


def plan(scene: Scene, scale: Scale) -> Canvas:
    """Seen from above: x to the right, z downward, toward the viewer of the elevation."""
    canvas, detail = scene.canvas("plan", scale), scene.detail
    u = canvas.u
    for part in sorted(detail.parts, key=lambda p: (p.placement.z, p.key)):
        a, _, c, _ = geometry.box(part)
        low, high = -(part.placement.z + part.thickness), -part.placement.z
        canvas.draw(Polyline(role(part), ((a, low), (c, low), (c, high), (a, high)), True, tags=plan_tags(part)))
        for x in part.open_ends:
            end = geometry.in_detail(part, (x, 0.0))[0]
            canvas.break_line((end, low), (end, high))
    for x, bolt in {round(b.x, 6): b for b in reversed(detail.bolts)}.items():
        _bolt_beside(canvas, bolt, x, "plan")
    x0, _, x1, _ = scene.box
    faces = [(-(p.placement.z + p.thickness), -p.placement.z, p) for p in detail.parts]
    ys = merged([y for f in faces for y in f[:2]])

    def outermost(y: float) -> float:
        """x of the right end, about y, of the part that ends farthest right there."""
        return max(geometry.box(p)[2] for low, high, p in faces if low - 1e-6 <= y <= high + 1e-6)

    spans = [Span((outermost(a), a), (outermost(b), b)) for a, b in zip(ys[:-1], ys[1:], strict=True)]
    column(canvas, spans, x1 + 0.3 * u, side=1)
    column(canvas, [Span((x0, ys[0]), (x0, ys[-1]))], x0 - 0.3 * u, side=-1)
    canvas.draw(Line("centre", (0.0, ys[0] - 0.3 * u), (0.0, ys[-1] + 0.3 * u)))
    canvas.draw(Text("notes", "WP", (0.0, ys[-1] + 0.36 * u), canvas.letters.note, 0.0, "middle"))
    _plan_callouts(scene, canvas, ys)
    canvas.title("PLAN, seen from above; near side below", ())
    return canvas


def _bolt_beside(canvas: Canvas, bolt: Bolt, at: float, view: str) -> None:
    """A bolt seen from its side: head, washers, shank, nut. In the plan along y, z downward; in the section along x, z to the left."""
    s = size_for(bolt.diameter)
    at_head, at_nut = bolt.washers // 2, bolt.washers - bolt.washers // 2
    near, far = bolt.high + at_head * s.washer_thickness, bolt.low - at_nut * s.washer_thickness
    tip = near - bolt.length

    def put(layer: str, z1: float, z2: float, half: float) -> None:
        low, high = sorted((-z1, -z2))
        corners = ((at - half, low), (at + half, low), (at + half, high), (at - half, high))
        points = corners if view == "plan" else tuple((y, x) for x, y in corners)
        canvas.draw(Polyline(layer, points, True))

    put("new bolts", near, near + s.head_height, s.head_flats / 2)
    put("new bolts", far - s.nut_height, far, s.nut_flats / 2)
    if at_head:
        put("new bolts", bolt.high, near, s.washer_diameter / 2)
    if at_nut:
        put("new bolts", far, bolt.low, s.washer_diameter / 2)
    if tip < far - s.nut_height:
        put("new bolts", tip, far - s.nut_height, bolt.diameter / 2)
    layer = "hidden" if view == "plan" else "new bolts"
    for side in (-1, 1):
        a, b = (at + side * bolt.diameter / 2, -bolt.high), (at + side * bolt.diameter / 2, -bolt.low)
        canvas.draw(Line(layer, a, b) if view == "plan" else Line(layer, a[::-1], b[::-1]))
    a, b = (at, -near - s.head_height - 0.05 * canvas.u), (at, -tip + 0.05 * canvas.u)
    canvas.draw(Line("centre", a, b) if view == "plan" else Line("centre", a[::-1], b[::-1]))


def _plan_callouts(scene: Scene, canvas: Canvas, ys: Sequence[float]) -> None:
    """Far parts from above, near parts from below, each at a free place between the bolts."""
    detail, u = scene.detail, canvas.u
    columns = merged([b.x for b in detail.bolts])
    x0, _, x1, _ = scene.box
    middle = (ys[0] + ys[-1]) / 2
    above: list[Callout] = []
    below: list[Callout] = []
    parts = sorted(detail.parts, key=lambda p: (p.placement.z, p.key))
    turn = 0
    for part in parts:
        a, _, c, _ = geometry.box(part)
        y = -(part.placement.z + part.thickness / 2)
        far = y > middle - 1e-6
        words = label(detail, part, scene.package) + ("" if part.existing else f", {'far' if part.placement.z < 0 else 'near'} side"
                                                      if part.kind == "plate" else "")
        stops = [max(a, x0), *(x for x in columns if a < x < c), min(c, x1)]
        spots = [(p + q) / 2 for p, q in zip(stops[:-1], stops[1:], strict=True) if q - p > 0.1 * u] or [(a + c) / 2]
        k = (turn * 2 + 1) % len(spots)
        turn += 1
        ordered = [*spots[k:], *spots[:k]]
        surface = -part.placement.z if far else -(part.placement.z + part.thickness)
        depth = part.thickness if part.thickness < 0.15 * u else 0.5 * part.thickness
        anchor_y = surface - depth if far else surface + depth
        (above if far else below).append(Callout(words, tuple((x, anchor_y) for x in ordered)))
    if above:
        canvas.callouts_in_row(above, ys[-1] + 0.75 * u, up=True)
    if below:
        canvas.callouts_in_row(below, ys[0] - 0.55 * u, up=False)


def section_column(scene: Scene) -> float | None:
    """x of the bolt column for section A-A: on the right of the work point, where most parts are cut, nearest to it."""
    columns = merged([b.x for b in scene.detail.bolts])
    if not columns:
        return None
    rights = [x for x in columns if x > 0] or columns
    return max(rights, key=lambda x: (sum(geometry.cut_at(p, x) is not None for p in scene.detail.parts), -abs(x)))


def section(scene: Scene, scale: Scale, x: float) -> Canvas:
    """Cut at a bolt column, looking left: the near side is on the left."""
    canvas, detail = scene.canvas("section", scale), scene.detail
    u, units = canvas.u, canvas.units
    bolts = sorted((b for b in detail.bolts if abs(b.x - x) < 1e-6), key=lambda b: b.y)
    cut: list[tuple[Part, float, float]] = []
    for part in sorted(detail.parts, key=lambda p: (p.placement.z, p.key)):
        span = geometry.cut_at(part, x)
        if span is None:
            continue
        cut.append((part, *span))
        left, right = -(part.placement.z + part.thickness), -part.placement.z
        _hatched(canvas, part, left, right, span, bolts)
    for bolt in bolts:
        _bolt_beside(canvas, bolt, bolt.y, "section")
    lefts = [-(p.placement.z + p.thickness) for p, _, _ in cut]
    rights = [-p.placement.z for p, _, _ in cut]
    low, high = min(c[1] for c in cut), max(c[2] for c in cut)
    s = size_for(bolts[0].diameter)
    first = min(bolts, key=lambda b: b.y)
    at_head = (first.washers // 2) * s.washer_thickness
    line = low - 0.45 * u
    row(canvas, [Span((-first.high, first.y), (-first.low, first.y), "grip <>")], line, away=-1)
    under_head = -first.high - at_head
    reach = s.washer_diameter / 2 + 0.02 * u
    row(canvas, [Span((under_head, first.y - reach), (under_head + first.length, first.y - reach), "bolt <>")], line - ROW * u, away=-1)
    near_items, far_items = [], []
    middle = (min(lefts) + max(rights)) / 2
    levels = [low + (high - low) * t for t in (0.9, 0.72, 0.55, 0.38, 0.2)]
    for k, (part, a, b) in enumerate(sorted(cut, key=lambda c: c[0].placement.z)):
        z = -(part.placement.z + part.thickness / 2)
        text = f"{label(detail, part, scene.package)}, {size(part, units)}" if not part.existing else f"{label(detail, part, scene.package)}"
        y = min(max(levels[k % len(levels)], a + 0.1 * (b - a)), b - 0.1 * (b - a))
        tops = [y, *(a + (b - a) * t for t in (0.95, 0.85, 0.5, 0.15, 0.05))]
        (near_items if z < middle else far_items).append(Callout(text, tuple((z, t) for t in tops)))
    left_level = -first.high - at_head - s.head_height - 0.35 * u
    right_level = -(first.high + at_head - first.length) + 0.35 * u
    canvas.callouts_in_column(near_items, left_level, right=False, width=1.9)
    canvas.callouts_in_column(far_items, right_level, right=True, width=1.9)
    canvas.draw(Text("notes", "near side", (left_level, high + 0.3 * u), canvas.letters.note, 0.0, "end"))
    canvas.draw(Text("notes", "far side", (right_level, high + 0.3 * u), canvas.letters.note))
    canvas.title("SECTION A-A", (f"at {number(abs(x), units)} {'right' if x > 0 else 'left'} of WP",))
    return canvas


def _hatched(canvas: Canvas, part: Part, left: float, right: float, span: tuple[float, float], bolts: Sequence[Bolt]) -> None:
    """The cut face of a part between the bolts that pass it: steel by lines at 45 degrees, end grain by rings."""
    low, high = span
    u = canvas.u
    canvas.draw(Polyline("cut", ((left, low), (right, low), (right, high), (left, high)), True))
    at = low
    strips: list[tuple[float, float]] = []
    for bolt in bolts:
        if low < bolt.y < high:
            strips.append((at, bolt.y - bolt.diameter / 2))
            at = bolt.y + bolt.diameter / 2
    strips.append((at, high))
    along = abs(math.sin(part.grain + part.placement.angle)) < 0.5 if part.material == "wood" else False
    pith = ((left + right) / 2 + 0.2 * (right - left), low - 0.9 * (right - left))
    for a, b in strips:
        region = ((left, a), (right, a), (right, b), (left, b))
        if part.material == "steel":
            canvas.draw(Hatch("hatch", region, math.radians(45), STEEL_HATCH, (left, low)))
        elif not along:
            canvas.draw(Hatch("hatch", region, math.radians(90), RING, (left, low)))
        else:
            _rings(canvas, region, pith, RING * u)


def _rings(canvas: Canvas, region: tuple[Point, ...], pith: Point, step: float) -> None:
    """Rings of end grain about the pith, inside a rectangle."""
    far = max(math.dist(pith, p) for p in region)
    n = math.ceil(far / (2.2 * step))
    for k in range(1, n + 1):
        radius = k * 2.2 * step
        cuts = []
        for (ax, ay), (bx, by) in zip(region, (*region[1:], region[0]), strict=True):
            for t in meet_circle((ax, ay), (bx - ax, by - ay), pith, radius):
                if 0 <= t < 1:
                    cuts.append(math.atan2(ay + t * (by - ay) - pith[1], ax + t * (bx - ax) - pith[0]) % (2 * math.pi))
        cuts.sort()
        for start, end in zip(cuts, [*cuts[1:], *(c + 2 * math.pi for c in cuts[:1])], strict=False):
            middle = (start + end) / 2
            x, y = pith[0] + radius * math.cos(middle), pith[1] + radius * math.sin(middle)
            if region[0][0] < x < region[2][0] and region[0][1] < y < region[2][1] and (end - start) * radius > 0.02 * step:
                canvas.draw(Arc("hatch", pith, radius, start, end))
