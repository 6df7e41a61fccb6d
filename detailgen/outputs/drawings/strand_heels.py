"""Elevation of a heel with its strands: what stands, the new steel on the chord's end, the jack's room and the wall behind it."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

from detailgen.model.detail import BAR, FROM_LEFT, Detail
from detailgen.model.package import Package
from detailgen.model.project import Truss
from detailgen.model.stressing import BracketPlan, StressingPlan
from detailgen.model.timbers import old_work, outline_in_place, timbers
from detailgen.outputs.drawings.detail_canvas import Callout, Canvas
from detailgen.outputs.drawings.detail_dims import Span, column, rows
from detailgen.outputs.drawings.detail_words import length
from detailgen.outputs.drawings.paper import letters_of
from detailgen.outputs.drawings.shapes import Circle, Line, Point, Polyline
from detailgen.outputs.drawings.sheets import Scale

INSIDE = 40.0
"""Length of the chord that is shown (in)."""
BEYOND_RIBS = 0.5
"""From ribs that stand out beyond the barrels to the jack's body as it is drawn (in)."""
OVER = 26.0
"""Height over the chord's axis that is shown (in)."""
SHOWN = 12.0
"""Length of chord and strands that is shown beyond a bracket's base (in)."""
BASE_OVER = 4.5
"""A bracket's base is so much higher than its strands stand over one another (in)."""


@dataclass(frozen=True)
class _Heel:
    """A heel in axes of its own: x outward from the end grain, y up from the chord's axis. ``way``: 1 where outward is to the right."""

    way: float
    station: float
    level: float

    def at(self, x: float, y: float) -> Point:
        """A place of the truss, seen from the near side."""
        return x - self.station, y - self.level

    def out(self, x: float, y: float) -> Point:
        """A place outward from the end grain."""
        return self.way * x, y


def _clipped(a: Point, b: Point, box: tuple[float, float, float, float]) -> tuple[Point, Point] | None:
    """The part of a line inside a box."""
    t0, t1 = 0.0, 1.0
    dx, dy = b[0] - a[0], b[1] - a[1]
    for p, q in ((-dx, a[0] - box[0]), (dx, box[2] - a[0]), (-dy, a[1] - box[1]), (dy, box[3] - a[1])):
        if abs(p) < 1e-12:
            if q < 0:
                return None
        elif p < 0:
            t0 = max(t0, q / p)
        else:
            t1 = min(t1, q / p)
    if t1 - t0 < 1e-9:
        return None
    return (a[0] + t0 * dx, a[1] + t0 * dy), (a[0] + t1 * dx, a[1] + t1 * dy)


def _existing(canvas: Canvas, heel: _Heel, truss: Truss, box: tuple[float, float, float, float]) -> None:
    """Timbers, old plates and bolts as they are seen, cut off where the view ends."""
    parts, bolts = old_work(truss)
    done: set[tuple[tuple[float, float], tuple[float, float]]] = set()
    for part in (*timbers(truss), *parts):
        points = [heel.at(x, y) for x, y in outline_in_place(part)]
        for a, b in zip(points, (*points[1:], points[0]), strict=True):
            seen = _clipped(a, b, box)
            if seen is None:
                continue
            ends = sorted((round(x, 4), round(y, 4)) for x, y in seen)
            key = (ends[0], ends[1])
            if key not in done:
                done.add(key)
                canvas.draw(Line("existing", *seen))
    places = {(round(b.x, 4), round(b.y, 4), b.diameter) for b in bolts}
    for x, y, diameter in sorted(places):
        px, py = heel.at(x, y)
        if box[0] < px < box[2] and box[1] < py < box[3]:
            canvas.draw(Circle("bolts", (px, py), diameter / 2))


def _block(heel: _Heel, start: float, end: float, low: float, high: float) -> tuple[Point, ...]:
    return heel.out(start, low), heel.out(end, low), heel.out(end, high), heel.out(start, high)


def heel_view(package: Package, truss: Truss, plan: StressingPlan, detail: Detail, scale: Scale) -> Canvas:
    """Seen from the near side at a scale. Raises: NoRoomError"""
    units, tools = package.project.units, package.project.stressing
    left = detail.axis == FROM_LEFT
    side = "left" if left else "right"
    if plan.bracket is not None and plan.bracket.side == side:
        return _tied_view(package, truss, plan, plan.bracket, detail, scale)
    chord = truss.member(detail.member)
    level = truss.joints[chord.joints[0 if left else -1]][1]
    heel = _Heel(-1.0 if left else 1.0, detail.station, level)
    canvas = Canvas(f"{side} heel", scale, letters_of(units, package.project.templates), units)
    u = canvas.u
    depth = max(p.depth for p in chord.plies)
    room = truss.heel_room[0 if left else 1]
    inner = heel.out(-INSIDE, 0.0)[0]
    box = (min(inner, 0.0), -depth / 2 - 2.0, max(inner, 0.0), OVER)
    _existing(canvas, heel, truss, box)
    plate, pads = detail.part("end-plate"), [p for p in detail.parts if p.key.startswith("pad")]
    barrels = sorted((p for p in detail.parts if p.kind == "anchor"), key=lambda p: p.placement.y)
    strands = sorted((p for p in detail.parts if p.kind == "strand"), key=lambda p: p.placement.y)
    pad = pads[0]
    face = plate.placement.z + plate.thickness
    for part in sorted(detail.parts, key=lambda p: (not p.existing, p.key)):
        if part.key in ("shoe-back", "end-plate", pad.key) or part.key.startswith("top-") or part.kind == BAR:
            low, high = (part.placement.y + side * max(v.y for v in part.outline) for side in (-1, 1))
            layer = "existing" if part.existing else "new steel"
            canvas.draw(Polyline(layer, _block(heel, part.placement.z, part.placement.z + part.thickness, low, high), True))
    half = max(v.y for v in plate.outline)
    end = max(p.placement.z + p.thickness for p in strands)
    for y in dict.fromkeys(p.placement.y for p in barrels):
        radius = next(max(v.x for v in p.outline) for p in barrels if p.placement.y == y)
        thin = max(v.x for v in strands[0].outline)
        canvas.draw(Polyline("new steel", _block(heel, face, face + plan.anchor_length, y - radius, y + radius), True))
        for edge in (-thin, thin):
            canvas.draw(Line("new bolts", heel.out(-INSIDE, y + edge), heel.out(0.0, y + edge)))
            canvas.draw(Line("new bolts", heel.out(face + plan.anchor_length, y + edge), heel.out(end, y + edge)))
        canvas.draw(Line("centre", heel.out(-INSIDE - 1.5, y), heel.out(end + 1.5, y)))
    stressing = plan.stressing_end == side
    top = max(p.placement.y for p in barrels)
    behind = face + plan.anchor_length
    reach = behind + tools.jack_length + tools.stroke
    if stressing:
        r = tools.jack_diameter / 2
        bars = [p for p in detail.parts if p.kind == BAR]
        out = max([behind, *(p.placement.z + p.thickness + BEYOND_RIBS for p in bars if p.placement.z + p.thickness > behind)])
        canvas.draw(Polyline("temporary", _block(heel, out, behind + tools.jack_length, top - r, top + r), True))
        if out > behind:  # the nose reaches in between the ribs
            canvas.draw(Polyline("temporary", _block(heel, behind, out, top - 0.4 * r, top + 0.4 * r), True))
        canvas.draw(Polyline("temporary", _block(heel, behind + tools.jack_length, reach, top - r, top + r), True))
    wall = heel.out(room, -depth / 2 - 6.0), heel.out(room, depth / 2 + 8.0)
    canvas.draw(Line("existing", *wall))
    for k in range(8):
        y = wall[0][1] + (k + 0.5) * (wall[1][1] - wall[0][1]) / 8
        canvas.draw(Line("hatch", (wall[0][0], y), (wall[0][0] + heel.way * 1.2, y + 1.2)))
    core = plan.core if plan.core is not None and plan.core.side == side else None
    if core is not None:
        for y in dict.fromkeys(p.placement.y for p in barrels):
            r = core.diameter / 2
            canvas.draw(Polyline("remove", _block(heel, room, room + core.depth, y - r, y + r), True))
    canvas.draw(Line("centre", (0.0, -depth / 2 - 0.25 * u), (0.0, depth / 2 + 0.25 * u)))
    low = -depth / 2 - 6.0
    foot = plate.placement.y - half
    chain = [(0.0, -depth / 2), (face, foot), (behind, top - 1.0)] + ([(reach, top - tools.jack_diameter / 2)] if stressing else [])

    def span(a: Point, b: Point) -> Span:
        first, second = sorted((heel.out(*a), heel.out(*b)))
        return Span(first, second)

    ordered = sorted((span(a, b) for a, b in itertools.pairwise(chain)), key=lambda s: s.first)
    whole = span((0.0, -depth / 2), (room, low))
    rows(canvas, [ordered, [whole]], low - 0.35 * u, away=-1)
    inside = heel.out(-INSIDE, 0.0)[0]
    if abs(top) > 1e-6:
        column(canvas, [Span((inside, 0.0), (inside, top))], inside + heel.way * -0.3 * u, side=int(-heel.way))
    items = [
        Callout(
            f"(N) {package.mark_of(detail.key, 'end-plate')} end plate on pads {package.mark_of(detail.key, pad.key)}",
            (heel.out(face, plate.placement.y + half),),
        ),
        Callout(f"(N) {plan.count} strands {plan.size}, on both faces of the chord", (heel.out(-INSIDE * 0.7, top), heel.out(-INSIDE * 0.5, top))),
        Callout("what stands behind, as surveyed", (wall[1],)),
    ]
    if stressing:
        words = f"jack, ram in, and its stroke of {length(tools.stroke, units)}: kept free"
        items.append(Callout(words, (heel.out(behind + tools.jack_length * 0.6, top + tools.jack_diameter / 2),)))
    if core is not None:
        words = f"core {core.count} holes {length(core.diameter, units)} dia, {length(core.depth, units)} deep, in line with the strands"
        items.append(Callout(words, (heel.out(room + 0.8 * core.depth, top + core.diameter / 2),)))
    canvas.callouts_in_row(items, OVER + 0.3 * u, up=True)
    end_words = "stressing end" if stressing else "fixed end"
    canvas.title(f"{side.upper()} HEEL, {end_words}", ("from the near side; end grain at the centre line",))
    return canvas


def _tied_view(package: Package, truss: Truss, plan: StressingPlan, bracket: BracketPlan, detail: Detail, scale: Scale) -> Canvas:
    """The heel beside a bracket: end plate on its pads, ties to the bracket's head on its base, strands and jack at the head.

    Raises: NoRoomError
    """
    units, tools, side = package.project.units, package.project.stressing, bracket.side
    left = detail.axis == FROM_LEFT
    chord = truss.member(detail.member)
    level = truss.joints[chord.joints[0 if left else -1]][1]
    heel = _Heel(-1.0 if left else 1.0, detail.station, level)
    canvas = Canvas(f"{side} heel", scale, letters_of(units, package.project.templates), units)
    u, depth = canvas.u, max(p.depth for p in chord.plies)
    room = truss.heel_room[0 if left else 1]
    inside = bracket.inboard + bracket.base + SHOWN
    inner = heel.out(-inside, 0.0)[0]
    _existing(canvas, heel, truss, (min(inner, 0.0), -depth / 2 - 2.0, max(inner, 0.0), OVER))
    plate, pad = detail.part("end-plate"), next(p for p in detail.parts if p.key.startswith("pad"))
    anchors = sorted((p for p in detail.parts if p.kind == "anchor"), key=lambda p: p.placement.y)
    heights = list(dict.fromkeys(p.placement.y for p in anchors))
    thick, tall = bracket.head
    far = -bracket.inboard - thick  # the head's face away from the heel
    for part in (pad, plate):
        half = max(v.y for v in part.outline)
        low = part.placement.z
        canvas.draw(Polyline("new steel", _block(heel, low, low + part.thickness, part.placement.y - half, part.placement.y + half), True))
    face, half = plate.placement.z + plate.thickness, max(v.y for v in plate.outline)
    grip = max(heights) - min(heights) + BASE_OVER
    canvas.draw(Polyline("new steel", _block(heel, -bracket.inboard - bracket.base, -bracket.inboard, plan.run_height - grip / 2,
                                             plan.run_height + grip / 2), True))  # fmt: skip
    canvas.draw(Polyline("new steel", _block(heel, far, -bracket.inboard, plan.run_height - tall / 2, plan.run_height + tall / 2), True))
    wide, stack = bracket.nut_size
    past = (bracket.tie_length - (face - far) - 2 * stack) / 2
    r = bracket.tie_diameter / 2
    for y in bracket.ties:
        for edge in (-r, r):
            canvas.draw(Line("new bolts", heel.out(far - stack - past, y + edge), heel.out(face + stack + past, y + edge)))
        for low in (face, far - stack):
            canvas.draw(Polyline("new bolts", _block(heel, low, low + stack, y - wide / 2, y + wide / 2), True))
    strand = next(p for p in detail.parts if p.kind == "strand")
    thin, end = max(v.x for v in strand.outline), strand.placement.z + strand.thickness
    for y in heights:
        b = plan.barrel / 2
        canvas.draw(Polyline("new steel", _block(heel, -bracket.inboard, -bracket.inboard + plan.anchor_length, y - b, y + b), True))
        for edge in (-thin, thin):
            canvas.draw(Line("new bolts", heel.out(-inside, y + edge), heel.out(far, y + edge)))
            canvas.draw(Line("new bolts", heel.out(-bracket.inboard + plan.anchor_length, y + edge), heel.out(end, y + edge)))
        canvas.draw(Line("centre", heel.out(-inside - 1.5, y), heel.out(end + 1.5, y)))
    behind, top, j = -bracket.inboard + plan.anchor_length, max(heights), tools.jack_diameter / 2
    reach = behind + tools.jack_length + tools.stroke
    canvas.draw(Polyline("temporary", _block(heel, behind, behind + tools.jack_length, top - j, top + j), True))
    canvas.draw(Polyline("temporary", _block(heel, behind + tools.jack_length, reach, top - j, top + j), True))
    wall = heel.out(room, -depth / 2 - 6.0), heel.out(room, depth / 2 + 8.0)
    canvas.draw(Line("existing", *wall))
    for k in range(8):
        y = wall[0][1] + (k + 0.5) * (wall[1][1] - wall[0][1]) / 8
        canvas.draw(Line("hatch", (wall[0][0], y), (wall[0][0] + heel.way * 1.2, y + 1.2)))
    canvas.draw(Line("centre", (0.0, -depth / 2 - 0.25 * u), (0.0, depth / 2 + 0.25 * u)))
    low = -depth / 2 - 6.0

    def span(a: Point, b: Point) -> Span:
        first, second = sorted((heel.out(*a), heel.out(*b)))
        return Span(first, second)

    foot = plan.run_height - tall / 2
    points = [(far, foot), (-bracket.inboard, foot), (behind, top - 1.0), (reach, top - j), (0.0, -depth / 2), (face, -half)]
    chain = sorted((span(a, b) for a, b in itertools.pairwise(points)), key=lambda s: s.first)
    whole = sorted((span((-bracket.inboard, foot), (0.0, -depth / 2)), span((0.0, -depth / 2), (room, low))), key=lambda s: s.first)
    rows(canvas, [chain, whole], low - 0.35 * u, away=-1)
    stands = heel.out(far - stack - past - 3.0, 0.0)[0]
    apart = [Span((stands, min(bracket.ties)), (stands, plan.run_height)), Span((stands, plan.run_height), (stands, max(bracket.ties)))]
    column(canvas, apart, heel.out(-inside, 0.0)[0] - heel.way * 0.3 * u, side=int(-heel.way))
    mark = package.mark_of
    items = [
        Callout(f"(N) {mark(detail.key, 'end-plate')} end plate on pads {mark(detail.key, pad.key)}", (heel.out(face, half),)),
        Callout(f"(N) head {mark(detail.key, 'head-near')} of the bracket, welded on its base; on both faces of the chord",
                (heel.out(far, plan.run_height + tall / 2),)),
        Callout(f"(N) {bracket.count} ties {length(bracket.tie_diameter, units)}, two on each face: they are pulled",
                (heel.out(-0.3 * bracket.inboard, max(bracket.ties)), heel.out(-0.2 * bracket.inboard, max(bracket.ties)))),
        Callout(f"(N) {plan.count} strands {plan.size}, on both faces", (heel.out(-inside + 2.0, top), heel.out(-inside + 4.0, top))),
        Callout("what stands behind, as surveyed", (wall[1],)),
        Callout(f"jack, ram in, and its stroke of {length(tools.stroke, units)}: kept free", (heel.out(behind + 0.6 * tools.jack_length, top + j),)),
    ]  # fmt: skip
    canvas.callouts_in_row(items, OVER + 0.3 * u, up=True)
    canvas.title(f"{side.upper()} HEEL, bracket, stressing end", ("from the near side; end grain at the centre line",))
    return canvas
