"""What is measured on a face view: rows, spacings, distances to ends and edges, net section. No rule is known here."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from detailgen.checker.drawing import Drawing, Face, FaceHole
from detailgen.checker.geometry import Point, unit

SAME_LINE = 1e-3
"""Holes whose distance across differs by less (in) stand in one line."""


@dataclass(frozen=True)
class Row:
    """Holes in one line, sorted along it; ``low`` and ``high``: least and greatest place across."""

    holes: tuple[FaceHole, ...]
    along: tuple[float, ...]
    low: float
    high: float


def project(p: Point, d: Point) -> tuple[float, float]:
    """Place along a direction and across it (to its left)."""
    return p[0] * d[0] + p[1] * d[1], p[1] * d[0] - p[0] * d[1]


def lines(holes: Sequence[FaceHole], d: Point) -> list[Row]:
    """Holes by line along d, from one side to the other."""
    out: list[list[tuple[float, float, FaceHole]]] = []
    for u, v, hole in sorted(((*project(h.at, d), h) for h in holes), key=lambda item: (item[1], item[0])):
        if out and v - out[-1][0][1] < SAME_LINE:
            out[-1].append((u, v, hole))
        else:
            out.append([(u, v, hole)])
    return [_row(line) for line in out]


def _row(line: list[tuple[float, float, FaceHole]]) -> Row:
    line = sorted(line, key=lambda item: item[0])
    return Row(tuple(i[2] for i in line), tuple(i[0] for i in line), min(i[1] for i in line), max(i[1] for i in line))


def rows(holes: Sequence[FaceHole], d: Point) -> list[Row]:
    """Rows along d. Neighbouring lines that stand closer than a quarter of the distance along them between their nearest holes are one row
    (holes beside each other keep them apart)."""
    out: list[Row] = []
    for line in lines(holes, d):
        if out:
            nearest = min(abs(a - b) for a in out[-1].along for b in line.along)
            if line.low - out[-1].high < nearest / 4:
                last = out[-1]
                both = [(u, v, h) for r, v in ((last, last.high), (line, line.low)) for u, h in zip(r.along, r.holes, strict=True)]
                merged = _row(both)
                out[-1] = Row(merged.holes, merged.along, last.low, line.high)
                continue
        out.append(line)
    return out


@dataclass(frozen=True)
class Pitch:
    """Distance between two neighbours."""

    first: FaceHole
    second: FaceHole
    distance: float


def spacings(found: Sequence[Row]) -> list[Pitch]:
    """Between neighbours of each row, along it."""
    return [
        Pitch(a, b, q - p)
        for row in found
        for (a, p), (b, q) in itertools.pairwise(zip(row.holes, row.along, strict=True))
    ]


def gauges(found: Sequence[Row]) -> list[Pitch]:
    """Between neighbouring rows, across them."""
    return [Pitch(a.holes[0], b.holes[0], b.low - a.high) for a, b in itertools.pairwise(found)]


def centre_distances(holes: Sequence[FaceHole], reach: float) -> list[Pitch]:
    """Every pair of holes that stand closer than ``reach``, by a sweep from left to right."""
    found = []
    order = sorted(holes, key=lambda h: h.x)
    for k, a in enumerate(order):
        for b in itertools.islice(order, k + 1, None):
            if b.x - a.x > reach:
                break
            if (gap := math.dist(a.at, b.at)) <= reach:
                found.append(Pitch(a, b, gap))
    return found


def net_width(face: Face, across: Point) -> tuple[float, float]:
    """Gross and net width (in) of the worst section across a part.

    Wood: a straight section; holes of other lines within four diameters along the grain count in it. Steel: the worst chain of holes,
    with s^2 / 4 g for each step on the slant.
    """
    d = (across[1], -across[0])
    x0, y0, x1, y1 = face.outline.box
    corners = [project(p, d) for p in ((x0, y0), (x1, y0), (x1, y1), (x0, y1))]
    gross = max(c[1] for c in corners) - min(c[1] for c in corners)
    places = sorted(((*project(h.at, d), h.diameter) for h in face.holes if not h.slot), key=lambda i: (i[1], i[0]))
    if not places:
        return gross, gross
    if face.material == "wood":
        worst = 0.0
        for u, _, size in places:
            taken: dict[int, float] = {}
            for w, v, other in places:
                if abs(w - u) < 4 * size:
                    key = round(v / SAME_LINE)
                    taken[key] = max(taken.get(key, 0.0), other)
            worst = max(worst, sum(taken.values()))
        return gross, gross - worst
    loss: list[float] = []
    for k, (u, v, size) in enumerate(places):
        before = [loss[j] - (u - w) ** 2 / (4 * (v - x)) for j, (w, x, _) in enumerate(places[:k]) if v - x > SAME_LINE]
        loss.append(size + max([0.0, *before]))
    return gross, gross - max(loss)


@dataclass(frozen=True)
class Measurement:
    """One figure of the listing (in); nothing is judged by it."""

    where: str
    what: str
    value: float


def listing(drawing: Drawing) -> list[Measurement]:
    """Everything that is measured, judged or not."""
    out: list[Measurement] = []
    for face in drawing.faces:
        x0, y0, x1, y1 = face.outline.box
        grain = unit(face.grain or 0.0)
        out += [Measurement(face.name, "length", x1 - x0), Measurement(face.name, "width", y1 - y0)]
        if (thickness := drawing.thickness(face)) is not None:
            out.append(Measurement(face.name, "thickness in the plan view", thickness))
        gross, net = net_width(face, (-grain[1], grain[0]))
        out += [Measurement(face.name, "gross width across", gross), Measurement(face.name, "net width of the worst section", net)]
        if face.turn:
            out.append(Measurement(face.name, "view turned back by, degrees", face.turn))
        for hole in sorted(face.holes, key=face.number):
            what = "diameter" if hole.tagged else "diameter (no tags: not judged)"
            out.append(Measurement(f"{face.name}, {face.hole_name(hole, drawing.metric)}", what, hole.diameter))
        for group in face.groups:
            found = rows([h for h in face.new_holes if h.group == group], grain)
            where = f"{face.name}, group {group}"
            out.append(Measurement(where, "rows along the grain", float(len(found))))
            out += [Measurement(where, "least spacing in a row", min(p.distance for p in s))] if (s := spacings(found)) else []
            out += [Measurement(where, "least distance between rows", min(p.distance for p in g))] if (g := gauges(found)) else []
            out.append(Measurement(where, "outer rows apart", found[-1].high - found[0].low))
    return out
