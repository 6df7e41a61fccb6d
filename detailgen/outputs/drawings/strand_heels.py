"""Elevation of a heel with its strands: what stands, the new steel on the chord's end, the jack's room and the wall behind it."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

from detailgen.model.detail import BAR, FROM_LEFT, Detail
from detailgen.model.package import Package
from detailgen.model.project import Truss
from detailgen.model.stressing import StressingPlan
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
    canvas.callouts_in_row(items, OVER + 0.3 * u, up=True)
    end_words = "stressing end" if stressing else "fixed end"
    canvas.title(f"{side.upper()} HEEL, {end_words}", ("from the near side; end grain at the centre line",))
    return canvas
