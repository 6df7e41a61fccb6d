"""What is measured on a face view: rows, spacings, distances to ends and edges, net section. No rule is known here."""

from __future__ import annotations

import bisect
import itertools
import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from detailgen.checker.drawing import Drawing, Face, FaceHole
from detailgen.checker.geometry import Point, unit

SAME_LINE = 1e-3
"""Holes whose distance across differs by less (in) stand in one line."""
MANY = 400


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
            nearest = _nearest(out[-1].along, line.along)
            if line.low - out[-1].high < nearest / 4:
                last = out[-1]
                both = [(u, v, h) for r, v in ((last, last.high), (line, line.low)) for u, h in zip(r.along, r.holes, strict=True)]
                merged = _row(both)
                out[-1] = Row(merged.holes, merged.along, last.low, line.high)
                continue
        out.append(line)
    return out


def _nearest(first: Sequence[float], second: Sequence[float]) -> float:
    """Least difference between two sorted lists."""
    best = math.inf
    for a in first:
        k = bisect.bisect_left(second, a)
        best = min(best, *(abs(a - b) for b in second[max(k - 1, 0) : k + 1]))
    return best


@dataclass(frozen=True)
class Pitch:
    """Distance between two neighbours."""

    first: FaceHole
    second: FaceHole
    distance: float


def spacings(found: Sequence[Row]) -> list[Pitch]:
    """Between neighbours of each row, along it."""
    return [Pitch(a, b, q - p) for row in found for (a, p), (b, q) in itertools.pairwise(zip(row.holes, row.along, strict=True))]


def gauges(found: Sequence[Row]) -> list[Pitch]:
    """Between neighbouring rows, across them."""
    return [Pitch(a.holes[0], b.holes[0], b.low - a.high) for a, b in itertools.pairwise(found)]


def centre_distances(holes: Sequence[FaceHole], reach: float) -> list[Pitch]:
    """Every pair of holes that stand no further apart than ``reach``, from left to right; each looks only into the cells around its own."""
    if reach <= 0:
        return []
    cells: dict[tuple[int, int], list[FaceHole]] = defaultdict(list)
    found = []
    get, hypot, floor = cells.get, math.hypot, math.floor
    for x, y, _, a in sorted((h.x, h.y, k, h) for k, h in enumerate(holes)):
        i, j = floor(x / reach), floor(y / reach)
        for cell in ((i - 1, j - 1), (i - 1, j), (i - 1, j + 1), (i, j - 1), (i, j), (i, j + 1)):
            for b in get(cell, ()):
                if (gap := hypot(x - b.x, y - b.y)) <= reach:
                    found.append(Pitch(b, a, gap))
        cells[i, j].append(a)
    return found


def nearest_pairs(holes: Sequence[FaceHole], reach: float) -> list[Pitch]:
    """Pairs within reach; where there are none, the reach grows until there is one, so that the nearest pair is always known."""
    span = max((max(h.x for h in holes) - min(h.x for h in holes), max(h.y for h in holes) - min(h.y for h in holes)), default=0.0) if holes else 0.0
    while not (found := centre_distances(holes, reach)) and reach < 2 * span:
        reach *= 2
    return found


def net_width(face: Face, across: Point) -> tuple[float, float]:
    """Gross and net width (in) of the worst section across a part.

    Wood: a straight section; holes of other lines within four diameters along the grain count in it. Steel: the worst chain of holes,
    with s^2 / 4 g for each step on the slant (of more than 400 holes the worst straight section).
    """
    d = (across[1], -across[0])
    x0, y0, x1, y1 = face.outline.box
    corners = [project(p, d) for p in ((x0, y0), (x1, y0), (x1, y1), (x0, y1))]
    gross = max(c[1] for c in corners) - min(c[1] for c in corners)
    places = [(*project(h.at, d), _across(h, d)) for h in face.holes]
    if not places:
        return gross, gross
    if face.material == "wood" or len(places) > MANY:
        return gross, gross - max(_straight(places, size, 4 * size if face.material == "wood" else 1e-3) for size in {p[2] for p in places})
    places.sort(key=lambda i: (i[1], i[0]))
    loss: list[float] = []
    for k, (u, v, size) in enumerate(places):
        before = [loss[j] - (u - w) ** 2 / (4 * (v - x)) for j, (w, x, _) in enumerate(places[:k]) if v - x > SAME_LINE]
        loss.append(size + max([0.0, *before]))
    return gross, gross - max(loss)


def extent(hole: FaceHole, d: Point) -> float:
    """How far a hole or a slot reaches along a direction (in)."""
    if not hole.slot:
        return hole.diameter
    a = math.radians(hole.angle)
    return hole.diameter + (hole.length - hole.diameter) * abs(math.cos(a) * d[0] + math.sin(a) * d[1])


def _across(hole: FaceHole, d: Point) -> float:
    return extent(hole, (-d[1], d[0]))


def _windows(places: Sequence[tuple[float, float, float]], reach: float) -> Iterator[tuple[int, int, float]]:
    """Straight sections that slide along a part: from which hole to before which one, in the order along it, and what all its holes together
    take from the width. Holes in one line along the part count once."""
    lines_: dict[int, list[float]] = defaultdict(list)
    total = 0.0
    high = 0
    for low, (u, v, d) in enumerate(places):
        while high < len(places) and places[high][0] < u + reach:
            _, w, size = places[high]
            line = lines_[round(w / SAME_LINE)]
            before = max(line, default=0.0)
            line.append(size)
            total += max(before, size) - before
            high += 1
        yield low, high, total
        line = lines_[round(v / SAME_LINE)]
        line.remove(d)
        total -= max(0.0, d - max(line, default=0.0))


def _straight(places: Sequence[tuple[float, float, float]], size: float, reach: float) -> float:
    """Most of the width that a straight section beside a hole of this size loses."""
    order = sorted(places)
    return max(lost for low, _, lost in _windows(order, reach) if order[low][2] == size)


def worst_section(face: Face, holes: Sequence[FaceHole], d: Point, reach: float) -> tuple[float, float]:
    """Width across d, and what holes take of it (in), where least is left in a section through some of these holes; every hole of the part that
    stands within reach along d counts. The width is that of the outline there."""
    order = sorted(((*project(h.at, d), _across(h, d), h) for h in face.holes), key=lambda p: p[:3])
    own = {id(h) for h in holes}
    across = (-d[1], d[0])

    def width(h: FaceHole) -> float:
        return face.outline.ray(h.at, across) + face.outline.ray(h.at, (-across[0], -across[1]))

    inside = [0, *itertools.accumulate(id(p[3]) in own for p in order)]
    best = (math.inf, 0.0)
    for low, high, lost in _windows([p[:3] for p in order], reach):
        if inside[high] > inside[low]:
            wide = min(width(order[low][3]), width(order[high - 1][3]))
            best = min(best, (wide, lost), key=lambda b: b[0] - b[1])
    return best


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
            found = rows(face.of_group(group), grain)
            where = f"{face.name}, group {group}"
            out.append(Measurement(where, "rows along the grain", float(len(found))))
            out += [Measurement(where, "least spacing in a row", min(p.distance for p in s))] if (s := spacings(found)) else []
            out += [Measurement(where, "least distance between rows", min(p.distance for p in g))] if (g := gauges(found)) else []
            out.append(Measurement(where, "outer rows apart", found[-1].high - found[0].low))
    return out
