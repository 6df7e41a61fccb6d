"""Small drawings of the report as plain shapes (points of paper, y downward): the template draws them and decides nothing."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from detailgen.core.tolerance import rounded_length
from detailgen.core.units import UnitSystem
from detailgen.model.assessment import LoadPicture
from detailgen.model.detail import Detail, Group, Part
from detailgen.model.project import Truss
from detailgen.outputs.report.quantities import Quantities, ratio, written

INK, GREY, LIGHT, ACCENT = "#000000", "#6e6e6e", "#c8c8c8", "#b3261e"
WOOD, NEW_WOOD, STEEL = "#efe9dc", "#e2d3b0", "#b8c2cc"
BAND_X, BAND_W, LABEL_X, WIDTH, LINE = 128.0, 165.0, 304.0, 496.0, 9.5


@dataclass
class Picture:
    """Shapes in the order in which they are drawn."""

    width: float
    height: float
    shapes: list[dict[str, object]] = field(default_factory=list)

    def rect(self, x: float, y: float, w: float, h: float, fill: str, stroke: str = INK, weight: float = 0.6) -> None:
        self.shapes.append({"kind": "rect", "x": _r(x), "y": _r(y), "w": _r(w), "h": _r(h), "fill": fill, "stroke": stroke, "weight": weight})

    def line(self, points: Sequence[tuple[float, float]], stroke: str = INK, weight: float = 0.6, dash: str = "solid", fill: str = "") -> None:
        placed = [[_r(x), _r(y)] for x, y in points]
        self.shapes.append({"kind": "line", "points": placed, "stroke": stroke, "weight": weight, "dash": dash, "fill": fill})

    def text(self, x: float, y: float, words: str, *, anchor: str = "start", colour: str = INK, size: float = 7.5, bold: bool = False) -> None:
        """Text whose middle line stands at y."""
        self.shapes.append({"kind": "text", "x": _r(x), "y": _r(y), "words": words, "anchor": anchor, "colour": colour, "size": size, "bold": bold})

    def arrow(self, x1: float, x2: float, y: float, colour: str = INK) -> None:
        head = math.copysign(4.5, x1 - x2)
        self.line(((x1, y), (x2, y)), colour, 1.1)
        self.line(((x2, y), (x2 + head, y - 2), (x2 + head, y + 2), (x2, y)), colour, 0.5, fill=colour)

    def content(self) -> dict[str, object]:
        return {"width": _r(self.width), "height": _r(self.height), "shapes": self.shapes}


def _r(value: float) -> float:
    return round(value, 2) + 0.0


@dataclass
class _Layer:
    """Parts that stand in one plane: far face, near face (in), and where they are drawn."""

    low: float
    high: float
    parts: list[Part]
    top: float = 0.0
    bottom: float = 0.0


def _layers(parts: Sequence[Part]) -> list[_Layer]:
    """Far to near; what stands in one plane shares a layer."""
    found: list[_Layer] = []
    for part in sorted(parts, key=lambda p: (p.placement.z, p.key)):
        low, high = rounded_length(part.placement.z), rounded_length(part.placement.z + part.thickness)
        if found and abs(found[-1].low - low) < 1e-3 and abs(found[-1].high - high) < 1e-3:
            found[-1].parts.append(part)
        else:
            found.append(_Layer(low, high, [part]))
    y = 16.0
    for k, layer in enumerate(found):
        if k and layer.low > found[k - 1].high + 1e-3:
            y += 12.0  # an open gap
        layer.top = y
        y = layer.bottom = y + 9.0 + 6.0 * (layer.high - layer.low)
    return found


def _reach(part: Part) -> tuple[float, float]:
    """Extent of a part along the detail's x (in)."""
    c, s = math.cos(part.placement.angle), math.sin(part.placement.angle)
    xs = [part.placement.x + c * v.x - s * v.y for v in part.outline]
    return min(xs), max(xs)


def _spread(wanted: Sequence[float], gap: float) -> list[float]:
    """Places for labels near the wanted ones, in their order, at least ``gap`` apart."""
    out: list[float] = []
    for y in wanted:
        out.append(max(y, out[-1] + gap) if out else y)
    shift = sum(w - o for w, o in zip(wanted, out, strict=True)) / len(out) if out else 0.0
    return [o + shift for o in out]


def load_path(detail: Detail, group: Group, marks: dict[str, str], quantities: Quantities) -> Picture:
    """The stack of parts of one bolt group across the truss, seen from above, and what passes between them.

    Left: each part, its mark and thickness. Right: force and capacity at each interface, yield mode, ratio; forces of each loaded part.
    """
    parts = [detail.part(k) for k in group.parts]
    layers = _layers(parts)
    of = {p.key: layer for layer in layers for p in layer.parts}
    new = [_reach(p) for p in parts if not p.existing] or [_reach(p) for p in parts]
    span = max(abs(x) for pair in new for x in pair) * 1.08 or 1.0
    xs = [x for x, _ in group.positions] or [0.0]

    def at(x: float) -> float:
        return BAND_X + BAND_W / 2 + max(-1.0, min(1.0, x / span)) * BAND_W / 2

    picture = Picture(WIDTH, 0.0)
    picture.text(BAND_X + BAND_W / 2, 4, "far side", anchor="middle", colour=GREY)
    for layer in layers:
        for part in layer.parts:
            left, right = (at(x) for x in _reach(part))
            fill = STEEL if part.material == "steel" else (WOOD if part.existing else NEW_WOOD)
            picture.rect(left, layer.top, right - left, layer.bottom - layer.top, fill, GREY if part.existing else INK, 0.5 if part.existing else 0.9)
    for x in sorted({rounded_length(x) for x in xs}):
        picture.line(((at(x), layers[0].top - 5), (at(x), layers[-1].bottom + 5)), INK, 0.9)
        for y in (layers[0].top - 3, layers[-1].bottom + 3):
            picture.line(((at(x) - 3, y), (at(x) + 3, y)), INK, 2.2)
    _names(picture, layers, marks, quantities)
    bottom = _numbers(picture, detail, group, of, quantities)
    end = layers[-1].bottom
    picture.text(BAND_X + BAND_W / 2, end + 13, "near side", anchor="middle", colour=GREY)
    picture.height = max(end + 19, bottom)
    return picture


def _names(picture: Picture, layers: Sequence[_Layer], marks: dict[str, str], quantities: Quantities) -> None:
    middles = [(layer.top + layer.bottom) / 2 for layer in layers]
    for layer, middle, y in zip(layers, middles, _spread(middles, LINE), strict=True):
        names = " / ".join(dict.fromkeys(marks.get(p.key, "") or ("existing" if p.existing else p.kind) for p in layer.parts))
        words = f"{names}, {_name(layer.parts)}, {quantities.length(layer.high - layer.low)}"
        picture.text(BAND_X - 8, y, words, anchor="end", size=7)
        picture.line(((BAND_X - 6, y), (BAND_X - 1, middle)), LIGHT, 0.4)


def _name(parts: Sequence[Part]) -> str:
    """The name of what stands in one plane, without what tells the pieces apart ("near ply, left of the cut")."""
    names = dict.fromkeys(p.name for p in parts)
    return next(iter(names)) if len(names) == 1 else " / ".join(dict.fromkeys(n.split(",")[0] for n in names))


def _numbers(picture: Picture, detail: Detail, group: Group, of: dict[str, _Layer], quantities: Quantities) -> float:
    """Letters interfaces and loads at the right; returns how far down they reach."""
    labels: list[tuple[float, str, str]] = []
    for face in group.interfaces:
        first, second = of[face.first], of[face.second]
        far, near = (first, second) if first.low <= second.low else (second, first)
        y = (far.bottom + near.top) / 2
        share = face.force / face.capacity if face.capacity else math.inf
        side = _side(detail.part(face.first), detail.part(face.second))
        mode = f", mode {face.mode}" if face.mode else ""
        words = f"{side}{quantities.write(face.force, 'lb')} of {quantities.write(face.capacity, 'lb')}{mode}, {ratio(share)}"
        labels.append((y, words, ACCENT if share > 1 else INK))
    _face_arrows(picture, detail, group, of)
    for load in group.loads:
        layer, part = of[load.part], detail.part(load.part)
        forces = [f"{word} {quantities.write(v, 'lb')}" for word, v in (("tension", load.tension), ("compression", load.compression)) if v]
        degrees = written(math.degrees(load.angle))
        words = f"{_side(part)}{' and '.join(forces) or 'no force'} in {part.name.split(',')[0]}, {degrees}° to grain"
        labels.append(((layer.top + layer.bottom) / 2, words, GREY))
        centre = sum(_reach(part)) / 2
        middle = (layer.top + layer.bottom) / 2
        for way in (-1.0, 1.0) if abs(centre) < 1e-6 else (math.copysign(1.0, centre),):
            edge = BAND_X + BAND_W / 2 + way * (BAND_W / 2 - 26)
            start, end = (edge, edge + way * 22) if load.tension >= load.compression else (edge + way * 22, edge)
            picture.arrow(start, end, middle)
    labels.sort(key=lambda label: label[0])
    for (y, words, colour), place in zip(labels, _spread([y for y, _, _ in labels], LINE), strict=True):
        picture.line(((BAND_X + BAND_W + 1, y), (LABEL_X - 2, place)), LIGHT, 0.4)
        picture.text(LABEL_X, place, words, colour=colour)
    return max((p for p in _spread([y for y, _, _ in labels], LINE)), default=0.0) + LINE


def _face_arrows(picture: Picture, detail: Detail, group: Group, of: dict[str, _Layer]) -> None:
    """At each interface of a loaded part the forces that the two faces put on each other, each drawn in the part on which it acts."""
    loads = {load.part: load for load in group.loads}
    for face in group.interfaces:
        loaded, other = (face.first, face.second) if face.first in loads else (face.second, face.first)
        if loaded not in loads:
            continue
        centre = sum(_reach(detail.part(loaded))) / 2
        outward = math.copysign(1.0, centre) * (1 if loads[loaded].tension >= loads[loaded].compression else -1)
        upper = of[loaded].low < of[other].low
        y = of[loaded].bottom if upper else of[loaded].top
        x = BAND_X + BAND_W / 2 + math.copysign(BAND_W / 4, centre)
        for key, way in ((loaded, -outward), (other, outward)):
            at = y + (-2.6 if (key == loaded) == upper else 2.6)
            picture.arrow(x - 9 * way, x + 9 * way, at, ACCENT)


def _side(*parts: Part) -> str:
    """Which side of the work point: only where one of the parts ends there."""
    for part in parts:
        left, right = _reach(part)
        if left >= -1e-6 or right <= 1e-6:
            return "right: " if left >= -1e-6 else "left: "
    return ""


def load_shape(picture: LoadPicture, truss: Truss, system: UnitSystem) -> Picture:
    """A load along the span, with its greatest and its end values lettered; what pulls up hangs below the line."""
    width, base = 235.0, 44.0
    pressures = [float(p) for p in picture.pressure]
    peak = max((abs(p) for p in pressures), default=0.0)
    up = max((-p for p in pressures), default=0.0)
    out = Picture(width, base + 10 + (24 * up / peak if up > 0 else 0.0))

    def at(x: float) -> float:
        return 12 + 210 * x / truss.span

    points = [(at(float(x)), base - (24 * p / peak if peak else 0.0)) for x, p in zip(picture.x, pressures, strict=True)]
    out.line([(12, base), *points, (222, base)], INK, 0.7, fill=LIGHT)
    for x, _ in picture.forces:
        out.line(((at(x), base - 22), (at(x), base)), INK, 1.0)
        out.line(((at(x), base), (at(x) - 2, base - 4.5), (at(x) + 2, base - 4.5), (at(x), base)), INK, 0.5, fill=INK)
    out.line(((12, base), (222, base)), INK, 1.1)
    out.text(12, 5, picture.name, bold=True)
    if picture.forces:
        out.text(222, 5, f"{system.write_force(picture.forces[0][1])} each, one at a time", anchor="end", colour=GREY)
        return out
    out.text(222, 5, f"greatest {'uplift ' if up > 0 and up == peak else ''}{system.write_area_load(peak)}", anchor="end", colour=GREY)
    if max(pressures, default=0.0) != min(pressures, default=0.0):
        for k, anchor in ((0, "start"), (-1, "end")):
            out.text(points[k][0], 14, system.write_area_load(pressures[k]), anchor=anchor, colour=GREY, size=6.5)
    return out
