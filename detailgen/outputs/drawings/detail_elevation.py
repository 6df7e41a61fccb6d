"""Elevation of a detail, from the side on which its new steel is seen."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import replace

from detailgen.model.detail import ACROSS, BAR, BOUGHT, EDGES, FROM_LEFT, Bolt, Part, Slot
from detailgen.model.timbers import into, laid
from detailgen.model.work_points import work_point
from detailgen.outputs.drawings import detail_geometry as geometry
from detailgen.outputs.drawings.bevels import draw_bevel
from detailgen.outputs.drawings.detail_canvas import Callout, Canvas
from detailgen.outputs.drawings.detail_dims import Span, chains, column, columns, merged, rows
from detailgen.outputs.drawings.detail_faces import slot_outline
from detailgen.outputs.drawings.detail_scene import Scene, centre_mark, head_away, role
from detailgen.outputs.drawings.detail_words import alike, bolt_callout, label, length, size
from detailgen.outputs.drawings.shapes import Circle, Line, Point, Polyline, Text
from detailgen.outputs.drawings.sheets import Scale
from detailgen.outputs.drawings.sight import Sight, Stroke, shape_of, strokes
from detailgen.outputs.drawings.tags import edge_tags
from detailgen.outputs.drawings.weld_symbol import place_weld
from detailgen.outputs.solids.hardware import size_for

OldBolt = tuple[str, str, float, float, float]
SLANT = 1e-6
"""Sine of the angle from which on a part lies across the others."""

LETTER_OFF = (0.16, 0.24, 0.32, -0.42, -0.5, 0.42, -0.62, 0.54, -0.74, 0.66, 0.78, 0.9)
"""Where the letter of a section may stand beside its stroke, to the right or beyond the arrow, in of paper."""


def _end_of(bolt: Bolt, *, behind: bool) -> list[Polyline | Circle]:
    """What is seen of a bolt: its head, or from ``behind`` it its nut and the end of its thread."""
    size_of = size_for(bolt.diameter)
    radius = (size_of.nut_flats if behind else size_of.head_flats) / math.sqrt(3)
    corners = tuple((bolt.x + radius * math.cos(math.radians(60 * k)), bolt.y + radius * math.sin(math.radians(60 * k))) for k in range(6))
    end: list[Polyline | Circle] = [Polyline("new bolts", corners, True)]
    return [*end, Circle("new bolts", (bolt.x, bolt.y), bolt.diameter / 2)] if behind else end


def nearby_bolts(scene: Scene) -> list[OldBolt]:
    """Existing bolts of webs at the same chord near the detail: joint, web, x, y, diameter. None for a detail of a web."""
    truss, detail = scene.truss, scene.detail
    member = next((m for m in truss.members if m.name == detail.member), None)
    if detail.joint:
        return _bolts_at(scene)
    at = work_point(truss, detail.member, detail.station)
    if member is None or member.kind == "web" or at is None or detail.axis != ACROSS:
        return []
    x0, _, x1, _ = scene.box
    found: list[OldBolt] = []
    for connection in truss.connections:
        web = truss.member(connection.member)
        if connection.joint not in member.joints or web.kind != "web":
            continue
        jx, jy = truss.joints[connection.joint]
        other = next(truss.joints[j] for j in web.joints if j != connection.joint)
        angle = math.atan2(other[1] - jy, other[0] - jx)
        for along, across in connection.bolts.positions:
            x, y = at.seen(jx + along * math.cos(angle) - across * math.sin(angle), jy + along * math.sin(angle) + across * math.cos(angle))
            x = -x if scene.behind else x
            radius = connection.bolts.diameter / 2
            if x0 + radius < x < x1 - radius:
                found.append((connection.joint, connection.member, x, y, connection.bolts.diameter))
    return found


def _bolts_at(scene: Scene) -> list[OldBolt]:
    """Existing bolts at the joint of a web's end."""
    detail, truss = scene.detail, scene.truss
    wp = work_point(truss, detail.member, detail.station, detail.joint)
    found: list[OldBolt] = []
    if wp is None:
        return found
    for connection in (x for x in truss.connections if x.joint == detail.joint and f"{x.member} at {x.joint}" not in detail.removed):
        origin, way = into(truss, truss.member(connection.member), detail.joint)
        for along, across in connection.bolts.positions:
            x, y = wp.seen(*laid(origin, way, along, across))
            found.append((detail.joint, connection.member, -x if scene.behind else x, y, connection.bolts.diameter))
    return found


def _outlines(scene: Scene, canvas: Canvas) -> None:
    """Edges as seen by the viewer, those behind other parts dashed, none twice."""
    sight = Sight()
    hidden: list[Stroke] = []
    for part in sorted(scene.detail.parts, key=lambda p: (-(p.placement.z + p.thickness), p.key)):
        edges = [(edge, *sight.parted(edge)) for edge in strokes(part, role(part))]
        if part.stands:  # whole, so that its thickness can be measured; dashed where all of it is behind others
            layer = role(part) if any(seen for _, seen, _ in edges) else "hidden"
            canvas.draw(Polyline(layer, tuple(geometry.polygon(part)), True, tags=edge_tags(part)))
            for edge, _, _ in edges:
                sight.draw(edge)
        else:
            canvas.draw(*(shape_of(new) for _, seen, _ in edges for piece in seen for new in sight.draw(piece)))
            hidden += [piece for _, _, behind in edges for piece in behind]
        sight.cover(part)
    canvas.draw(*(shape_of(replace(new, layer="hidden")) for line in hidden for new in sight.draw(line)))


def _breaks(scene: Scene, canvas: Canvas) -> None:
    done: set[tuple[Point, Point]] = set()
    for part in scene.detail.parts:
        for low, high in geometry.break_ends(part):
            key = ((round(low[0], 6), round(low[1], 6)), (round(high[0], 6), round(high[1], 6)))
            if key not in done:
                done.add(key)
                canvas.break_line(low, high)


def elevation(scene: Scene, scale: Scale, cut: float | None) -> Canvas:
    """Seen from the scene's side. ``cut``: x of section A-A."""
    canvas, detail = scene.canvas("elevation", scale), scene.detail
    u = canvas.u
    x0, y0, x1, y1 = scene.box
    for zone in detail.zones:
        a, b = zone.length / 2, zone.depth / 2
        corners = ((zone.x - a, zone.y - b), (zone.x + a, zone.y - b), (zone.x + a, zone.y + b), (zone.x - a, zone.y + b))
        canvas.draw(Polyline("zones", corners, True))
    _outlines(scene, canvas)
    _breaks(scene, canvas)
    old = nearby_bolts(scene)
    for _, _, x, y, diameter in old:
        canvas.draw(Circle("bolts", (x, y), diameter / 2))
    for bolt in detail.bolts:
        canvas.draw(*_end_of(bolt, behind=head_away(bolt, behind=scene.behind)), *centre_mark(bolt.x, bolt.y, 0.95 * bolt.diameter))
    canvas.draw(Line("centre", (x0 - 0.15 * u, 0.0), (x1 + 0.15 * u, 0.0)))
    canvas.draw(Line("centre", (0.0, y0 - 0.2 * u), (0.0, y1 + 0.35 * u)))
    over = 0.2 if cut is not None and abs(cut) < 0.5 * u else 0.0  # the letter of the section stands there
    canvas.draw(Text("notes", "WP", (0.0, y1 + (0.42 + over) * u), canvas.letters.note, 0.0, "middle"))
    if cut is not None:
        _section_marks(canvas, cut, y0, y1)
    cut_out = _slots_in_place(scene)
    for slot in cut_out:
        around, bulges = slot_outline(slot)
        canvas.draw(Polyline("hidden" if scene.new else "holes", around, True, bulges), *centre_mark(slot.x, slot.y, 0.8 * slot.width))
    below = y0 - 0.72 * u
    _across(scene, canvas, x0 - 0.3 * u)
    _elevation_rows(scene, canvas, below)
    if cut is not None:
        _section_letters(canvas, cut, y0, y1)
    _grain(scene, canvas)
    for weld in detail.welds:
        place_weld(canvas, weld, (weld.x, weld.y))
    canvas.callouts_in_row(_elevation_callouts(scene, canvas, old), y1 + 0.85 * u, up=True, block=3.0 if (x1 - x0) / u > 13 else 2.5)
    if detail.axis in EDGES:
        canvas.title("VIEW SQUARE TO THE EDGE", (f"{detail.axis} of the member, which runs up the sheet; near side of the truss at the right",))
        return canvas
    if detail.axis != ACROSS:
        left = detail.axis == FROM_LEFT
        if not detail.bought:
            canvas.title("SECTION across the chord", ("seen from the left heel; near side at the right",))
            return canvas
        canvas.title("END VIEW", (f"from outside the {'left' if left else 'right'} heel; {'near' if left else 'far'} side at the right",))
        return canvas
    draw_bevel(canvas, scene.slope)
    looking = scene.looking()
    canvas.title(f"ELEVATION, {scene.side} side{', ' + looking if looking else ''}", ())
    return canvas


def _section_marks(canvas: Canvas, x: float, y0: float, y1: float) -> None:
    """Short strokes of the cutting plane, arrows in the direction of looking (left)."""
    u = canvas.u
    for edge, way in ((y1, 1), (y0, -1)):
        tip = edge + way * 0.42 * u
        canvas.draw(Line("cut", (x, edge + way * 0.12 * u), (x, tip)))
        canvas.draw(Line("cut", (x, tip), (x - 0.16 * u, tip)), canvas.arrow((x - 0.3 * u, tip), (x, tip), size=1.4))


def _section_letters(canvas: Canvas, x: float, y0: float, y1: float) -> None:
    """The letter beside each stroke of the cutting plane, once dimensions stand: to its right, or farther off where a line runs there."""
    u, h = canvas.u, canvas.letters.heading
    for tip in (y1 + 0.42 * u, y0 - 0.42 * u):
        places = [Text("notes", "A", (x + off * u, tip - h / 2 * u), h, 0.0, "middle") for off in LETTER_OFF]
        canvas.draw(next((t for t in places if canvas.free(t)), places[0]))


def _slots_in_place(scene: Scene) -> list[Slot]:
    """Slots of what stands, where they are in a view along the chord."""
    if scene.detail.axis == ACROSS:
        return []
    return [replace(s, x=s.x + p.placement.x, y=s.y + p.placement.y) for p in scene.existing for s in p.slots]


def _grain(scene: Scene, canvas: Canvas) -> None:
    """Grain arrows on the existing timber, where it is in sight beside the new work."""
    u = canvas.u
    x0, _, x1, _ = scene.box
    inner = [geometry.box(p) for p in scene.new]
    left, right = min((b[0] for b in inner), default=0.0), max((b[2] for b in inner), default=0.0)
    for part in scene.existing[:2] if scene.detail.axis == ACROSS else ():
        _, b, c, d = geometry.box(part)
        xs = [(right + x1) / 2, right + 0.7 * u, x1 - 0.7 * u] if c > right else [(left + x0) / 2, left - 0.7 * u, x0 + 0.7 * u]
        ys = [b + (d - b) * s for s in (0.78, 0.22, 0.9, 0.1, 0.66, 0.34)]
        if canvas.grain([(x, y) for y in ys for x in xs], part.grain + part.placement.angle):
            return


def _near_faces(scene: Scene) -> list[Part]:
    """New steel, nearest first; new timber where there is none."""
    made = [p for p in scene.new if p.kind not in BOUGHT and p.kind != BAR]
    steel = [p for p in made if p.material == "steel"] or made
    return sorted(steel, key=lambda p: (-p.placement.z, p.key))


def _elevation_rows(scene: Scene, canvas: Canvas, line: float) -> None:
    """From the cut outward: ends, bolt columns, plate ends; halves from the work point; overall."""
    u, detail, units = canvas.u, scene.detail, canvas.units
    stations = merged([b.x for b in detail.bolts])
    lowest = {x: min(b.y for b in detail.bolts if abs(b.x - x) < 1e-6) for x in stations}
    features: list[tuple[float, Point]] = [(x, (x, lowest[x])) for x in stations]
    for end, start, a, b in scene.gaps():
        features += [(end, (end, geometry.box(a)[1])), (start, (start, geometry.box(b)[1]))]
    features.append((0.0, (0.0, scene.box[1] - 0.2 * u)))
    features += [(s.x, (s.x, s.y - s.length / 2)) for s in _slots_in_place(scene)]
    plates = _near_faces(scene)
    if plates:
        p0, q0, p1, _ = geometry.box(plates[0])
        features += [(p0, (p0, q0)), (p1, (p1, q0))]
    halves = bool(plates) and p0 < 0 < p1 and bool(detail.bolts) and detail.axis not in EDGES
    stacked = chains(features, stations, units, start=0.0, known=(p0, p1) if halves else ())
    if detail.axis in EDGES:  # the blocks on either side of the member, from the work point
        blocks = [(x, (x, geometry.box(p)[1])) for p in detail.parts if p.kind == "block" for x in geometry.box(p)[::2]]
        stacked += chains([*blocks, (0.0, (0.0, scene.box[1] - 0.2 * u))], (), units, start=0.0)
    elif halves:
        foot = (0.0, scene.box[1] - 0.2 * u)
        stacked.append([Span((p0, q0), foot), Span(foot, (p1, q0))])
    if plates:
        stacked.append([Span((p0, q0), (p1, q0), "(<>)")])
    rows(canvas, stacked, line, away=-1)


def _across(scene: Scene, canvas: Canvas, line: float) -> None:
    """Edge distances and gauge at the left end."""
    detail = scene.detail
    slots = _slots_in_place(scene)
    if slots:  # from the chord's axis, where it is no slot's middle
        outer = min(slots, key=lambda s: s.x)
        ends = merged([0.0, outer.y - outer.length / 2, outer.y + outer.length / 2])
        column(canvas, [Span((outer.x, a), (outer.x, b)) for a, b in itertools.pairwise(ends)], line, side=-1)
    bars = [p for p in scene.new if p.kind == BAR]
    if bars:
        on = next(p for p in _near_faces(scene) if abs(p.placement.z + p.thickness - bars[0].placement.z) < 1e-6)
        _, low, x, high = geometry.box(on)
        edges = merged([low, high, *(sum(geometry.box(p)[1::2]) / 2 for p in bars)])  # their thickness is on their face views
        column(canvas, [Span((x, a), (x, b)) for a, b in itertools.pairwise(edges)], scene.box[2] + 0.3 * canvas.u, side=1)
    if not detail.bolts or not scene.existing:
        return
    level = [p for p in scene.existing if abs(math.sin(p.placement.angle)) < SLANT] or scene.existing
    low, high = min(geometry.box(p)[1] for p in level), max(geometry.box(p)[3] for p in level)
    bolts = [b for b in detail.bolts if low < b.y < high] or list(detail.bolts)  # others stand beside the timbers that lie level
    first = min(b.x for b in bolts)
    levels = merged([b.y for b in bolts if abs(b.x - first) < 1e-6])
    part = max((p for p in level if geometry.box(p)[0] <= first), key=lambda p: p.placement.z, default=level[0])
    a, b, _, d = geometry.box(part)
    if any(v.bulge for v in part.outline):  # the edges of a curve are where the first bolts are
        a, (b, d) = first, geometry.cut_at(part, first) or (b, d)
    features: list[tuple[float, Point]] = [(b, (a, b)), (d, (a, d)), *((y, (first, y)) for y in levels)]
    columns(canvas, chains(features, levels, canvas.units), line, side=-1)


WHAT = {"strand": "strands", "anchor": "anchors, barrel and wedges", "rod": "ties", "nut": "nuts with washers"}


def _bought_callouts(scene: Scene) -> list[Callout]:
    """Strands and anchors, which face the viewer, told once for each kind."""
    items, units = [], scene.package.project.units
    for kind in BOUGHT:
        mine = sorted((p for p in scene.detail.bought if p.kind == kind), key=lambda p: (-p.placement.x, -p.placement.y))
        if mine:
            wide = geometry.box(mine[0])[2] - geometry.box(mine[0])[0]
            what = WHAT[kind]
            words = f"(N) {len(mine)} {what}, {length(wide, units)} dia, {mine[0].specification}"
            half = 0.35 * wide
            items.append(Callout(words, tuple((p.placement.x + half, p.placement.y + half) for p in mine)))
    return items


def _standing_callouts(scene: Scene) -> list[Callout]:
    """Plates across the truss, at their upper edge; what lies under everything is named in the plan."""
    found, low = [], min((geometry.box(p)[1] for p in scene.existing), default=0.0)
    for part in (p for p in scene.new if p.stands and geometry.box(p)[3] > low + 0.5):
        (ax, ay), (bx, by) = sorted(geometry.polygon(part), key=lambda c: (-c[1], c[0]))[:2]
        spots = tuple((ax + t * (bx - ax), ay + t * (by - ay)) for t in (0.5, 0.3, 0.7, 0.15, 0.85))
        found.append(Callout(f"{label(scene.detail, part, scene.package)}, {size(part, scene.package.project.units)}, across the truss", spots))
    return found


def _elevation_callouts(scene: Scene, canvas: Canvas, old: Sequence[OldBolt]) -> list[Callout]:
    u, detail, units = canvas.u, scene.detail, canvas.units
    _, _, x1, y1 = scene.box
    items: list[Callout] = []
    plates = _near_faces(scene)
    stations = merged([b.x for b in detail.bolts])
    if plates:
        plate = plates[0]
        p0, _, p1, _ = geometry.box(plate)
        twins = [p for p in scene.new if scene.package.mark_of(detail.key, p.key) == scene.package.mark_of(detail.key, plate.key)]
        count = f"{len(twins)} required, " if len(twins) > 1 else ""
        words = f"{label(detail, plate, scene.package)}, {count}{size(plate, units)}, {plate.specification}"
        if plate.finish:
            words += f", {plate.finish}"
        between = [(a + b) / 2 for a, b in itertools.pairwise(stations) if p0 < (a + b) / 2 < 0] or [(p0 + p1) / 2]
        if any(p.placement.z >= plate.placement.z + plate.thickness - 1e-6 for p in scene.existing):
            words += ", behind"
        if plate.holes or plate.slots:
            words += f"; holes in the {'field' if all(h.template for h in plate.holes) and not plate.slots else 'shop'}"
        items.append(Callout(words, tuple((x, geometry.upper_edge(plate, x)) for x in (*between, p0 + 0.1 * u))))
    bars = [p for p in scene.new if p.kind == BAR]
    if bars:
        left, low, _, high = geometry.box(bars[-1])
        mark = scene.package.mark_of(detail.key, bars[0].key)
        words = f"(N) {mark} {len(bars)} ribs, flat bars on edge, dimensioned to their middle, {size(bars[0], units)}, welded in the shop"
        items.append(Callout(words, tuple((left + x * u, (low + high) / 2) for x in (0.3, 0.5, 0.2))))
    items += _bought_callouts(scene)
    items += _standing_callouts(scene)
    for group in alike(detail.bolts):
        top = max(b.y for b in group)
        rights = sorted((b.x, b.y) for b in group if abs(b.y - top) < 1e-6 and b.x > 0) or sorted((b.x, b.y) for b in group)
        head = size_for(group[0].diameter).head_flats / 2
        anchors = tuple((x + 0.5 * head, y + 0.87 * head) for x, y in reversed(rights))
        side = scene.facing[0] if detail.axis in EDGES else f"{group[0].head} side"
        items.append(Callout(bolt_callout(group, units) + f"; head on the {side}", anchors))
    gap_parts = set()
    for end, start, a, b in scene.gaps():
        gap_parts |= {a.key, b.key}
        found = [d for d in scene.truss.damage if d.member == detail.member and abs(d.at - detail.station) < max(d.length, 24.0)]
        why = f" ({', '.join(dict.fromkeys(d.kind for d in found))})" if found else ""
        ply = a.name.split(",")[0]
        words = f"Cut out {length(start - end, units)} of the {ply}{why}" if start - end > 1e-6 else f"Butt joint of the {ply}, closed tight"
        x = end + 0.2 * (start - end)
        items.append(Callout(words, ((x, y1), (end + 0.1 * (start - end), y1), (start - 0.1 * (start - end), y1))))
    for one, next_one in itertools.permutations([geometry.box(p) for p in detail.parts if p.kind == "brace"], 2):
        if abs(one[2] - next_one[0]) < SLANT:
            items.append(Callout("Timbers of the line butt, closed tight", ((next_one[0], next_one[3]),)))
    near = max((p for p in scene.existing if p.kind != "brace"), key=lambda p: (p.placement.z, geometry.box(p)[2]), default=None)
    if near is not None:
        right = max(geometry.box(p)[2] for p in scene.new) if scene.new else 0.0
        nx = (min(right, x1) + x1) / 2
        spots = [(x, geometry.upper_edge(near, x)) for x in (nx + (x1 - nx) * t for t in (0.0, 0.5, -0.5, 0.8, -0.8))]
        if detail.axis in EDGES:  # it runs up the sheet
            left_face, foot, right_face, top = geometry.box(near)
            spots = [(right_face, foot + (top - foot) * t) for t in (0.9, 0.8, 0.95, 0.7)] + [((left_face + right_face) / 2, top)]
        items.append(Callout(f"(E) {near.name.split(',')[0]}, {size(near, units)}, {near.specification}", tuple(spots)))
    for joint in dict.fromkeys(o[0] for o in old):
        here = [o for o in old if o[0] == joint]
        webs = list(dict.fromkeys(o[1] for o in here))
        again = any(z.why == f"bolts of the webs at {joint}, put back" for z in detail.zones)
        drawn = all(f"{web} at {joint}" in detail.drawn for web in webs)
        fate = "drawn and put back" if again else "drawn" if drawn else "stay"
        words = f"(E) bolt{'s' if len(here) > 1 else ''} of web{'s' if len(webs) > 1 else ''} {', '.join(webs)}, {fate}"
        items.append(Callout(words, tuple((x, y + d / 2) for _, _, x, y, d in sorted(here, key=lambda o: (-o[3], o[2])))))
    return items
