"""Face views of a sheet read back from its DXF as a fabricator reads them: nothing is scaled, numbers and words alone say how large and where.

Common practice of shop drawings, no published source. Where the points of a dimension lie tells only which features it joins, where a leader ends
only what its words are about, and a drawn edge only that it is straight or an arc, and to which side it bends.
"""

from __future__ import annotations

import itertools
import math
import re
from collections import defaultdict
from dataclasses import dataclass

import pytest
from sheet_reader import dxf_texts, texts_of

from detailgen.core.units import parse

CHAIN = re.compile(r"(\d+) SPA @ (.+) = (.+)")
LENGTH = r"(?:\d+'-\d+(?: \d+/\d+)?\"|\d+ \d+/\d+\"|\d+/\d+\"|\d+\"|[\d.]+)"
SIZE = re.compile(rf"({LENGTH}) x ({LENGTH})(?: x ({LENGTH}))?(?: mm)?(?:,|$)")
"""Of a caption: thickness, width and, unless the part runs on, length."""
HOLES = re.compile(rf"(\d+) holes? ({LENGTH})(?: mm)? dia(.*?)(?=\d+ holes? |\d+ slots? |$)")
"""Of a callout: how many, diameter, how they are made."""
SLOTS = re.compile(rf"(\d+) slots? ({LENGTH})(?: mm)? x ({LENGTH})(?: mm)?,")
"""Of a caption: how many, width, length."""
RADIUS = re.compile(rf"R ({LENGTH})(?: mm)?")
BEVEL = re.compile(r"edge (.+) across to (.+) along")
PUT_BACK = "for old bolts put back"


def value(text: str, metric: bool) -> float:
    """A written length in inches."""
    return parse(f"{text.strip('()')} mm" if metric else text.strip("()"), "length")


def half(metric: bool) -> float:
    """What a written length may be beside the true one (in): half of a sixteenth, half of a tenth of a millimetre."""
    return 0.0501 / 25.4 if metric else 1 / 32 + 1e-6


def key(x: float) -> float:
    return round(x, 3)


class Line:
    """Places along one direction, joined by written distances. ``misfit``: what two ways from one place to another may differ by (in)."""

    def __init__(self, misfit: float = 0.15 / 25.4) -> None:
        self.joined: dict[float, list[tuple[float, float]]] = defaultdict(list)
        self.misfit = misfit

    def add(self, a: float, b: float, written: float) -> None:
        low, high = sorted((a, b))
        self.joined[key(low)].append((key(high), written))
        self.joined[key(high)].append((key(low), -written))

    def solved(self, start: float) -> dict[float, float]:
        found, waiting = {key(start): 0.0}, [key(start)]
        while waiting:
            at = waiting.pop()
            for other, step in self.joined[at]:
                if other not in found:
                    found[other] = found[at] + step
                    waiting.append(other)
                else:  # two ways to one place agree
                    assert found[other] == pytest.approx(found[at] + step, abs=self.misfit), (at, other)
        return found

    def close(self) -> None:
        """All ways between all places agree."""
        for start in list(self.joined):
            self.solved(start)


class Dim:
    def __init__(self, doc, entity) -> None:
        self.dxf = entity.dxf
        text = next(iter(doc.blocks.get(entity.dxf.geometry).query("TEXT"))).dxf.text
        left, right = entity.dxf.text.split("<>")
        self.shown = text.removeprefix(left).removesuffix(right)


def read(dims, metric):
    """Along and across. Feet, inches and sixteenths add up exactly; tenths of millimetres, of sizes chosen in inches, to a tenth and a half."""
    across, up = (Line(0.15 / 25.4 if metric else 1e-6) for _ in range(2))
    for d in dims:
        a, b, text = d.dxf.defpoint2, d.dxf.defpoint3, d.dxf.text
        vertical = d.dxf.angle == 90.0
        first, second = sorted((a.y, b.y) if vertical else (a.x, b.x))
        line = up if vertical else across
        shown = text.replace("<>", d.shown)
        if chain := CHAIN.fullmatch(shown):
            count, step, total = int(chain[1]), value(chain[2], metric), value(chain[3], metric)
            assert count * step == pytest.approx(total, abs=count * 0.05 / 25.4 if metric else 1e-6)
            for k in range(count):
                line.add(first + k * (second - first) / count, first + (k + 1) * (second - first) / count, total / count)
        else:
            line.add(first, second, value(shown, metric))
    return across, up


def views_of(doc):
    """What each window of the sheet shows of the model."""
    views = []
    for v in doc.paperspace("Sheet").query("VIEWPORT"):
        if v.dxf.id != 1:
            centre, tall = v.dxf.view_center_point, v.dxf.view_height / 2
            wide = tall * v.dxf.width / v.dxf.height
            views.append((centre.x - wide, centre.y - tall, centre.x + wide, centre.y + tall))
    return views


def tags_of(entity):
    return dict(t.split("=", 1) for _, t in entity.get_xdata("DETAILGEN")) if entity.has_xdata("DETAILGEN") else {}


def slot_of(entity):
    """Middle, width and length of a slot: two straight sides, two half circles."""
    points = entity.get_points("xyb")
    assert sorted(abs(p[2]) for p in points) == [0.0, 0.0, 1.0, 1.0]
    start = next(k for k in range(4) if points[k][2] == 0.0)
    a, b, c, _ = (points[(start + k) % 4] for k in range(4))
    width = math.dist(b[:2], c[:2])
    return (a[0] + c[0]) / 2, (a[1] + c[1]) / 2, width, math.dist(a[:2], b[:2]) + width


@dataclass(frozen=True)
class Edge:
    """An edge as drawn; an arc with its centre, radius and middle."""

    a: tuple[float, float]
    b: tuple[float, float]
    centre: tuple[float, float] = (0.0, 0.0)
    radius: float = 0.0
    middle: tuple[float, float] = (0.0, 0.0)

    def bears(self, p) -> bool:
        """Does a point lie on it, as a leader's end does?"""
        if self.radius:
            return abs(math.dist(self.centre, p) - self.radius) < 1e-3 and math.dist(self.middle, p) <= math.dist(self.middle, self.a) + 1e-3
        return math.dist(self.a, p) + math.dist(p, self.b) < math.dist(self.a, self.b) + 1e-4


def edges_of(outline) -> list[Edge]:
    edges = []
    points = [(p[0], p[1], p[2]) for p in outline.get_points("xyb")]
    for (x, y, bulge), (u, v, _) in itertools.pairwise([*points, points[0]]):
        if not bulge:
            edges.append(Edge((x, y), (u, v)))
            continue
        chord, across = math.dist((x, y), (u, v)), ((v - y), -(u - x))  # across: to the right of the way, where a positive bulge bends
        rise = bulge * chord / 2
        radius = chord * (1 + bulge**2) / (4 * abs(bulge))
        middle = tuple(m + rise * w / chord for m, w in zip(((x + u) / 2, (y + v) / 2), across, strict=True))
        centre = tuple(m - math.copysign(radius, rise) * w / chord for m, w in zip(middle, across, strict=True))
        edges.append(Edge((x, y), (u, v), centre, radius, middle))
    return edges


def paragraphs(texts):
    """Rows that stand flush under one another are one note, with the room that it takes."""
    notes: list[tuple[str, tuple[tuple[float, float], ...]]] = []
    for text, box in sorted(texts, key=lambda t: (round(t[1][0][0], 3), -t[1][0][1])):
        if notes:
            said, around = notes[-1]
            tall = box[2][1] - box[0][1]
            if abs(around[0][0] - box[0][0]) < 1e-3 and 0 < around[0][1] - box[0][1] < 2 * tall:
                right = max(around[2][0], box[2][0])
                notes[-1] = f"{said} {text}", (box[0], (right, box[0][1]), (right, around[2][1]), (box[0][0], around[2][1]))
                continue
        notes.append((text, box))
    return notes


class Window:
    """What one window of a sheet shows: its notes, and what their leaders point at."""

    def __init__(self, doc, window) -> None:
        self.window, model = window, doc.modelspace()
        self.notes = paragraphs([(t, box) for t, box in dxf_texts(model.query("TEXT")) if self.inside(*box[0])])
        self.tips = [(e.dxf.vtx0.x, e.dxf.vtx0.y) for e in model.query("SOLID") if self.inside(e.dxf.vtx0.x, e.dxf.vtx0.y)]
        self.strokes = [((e.dxf.start.x, e.dxf.start.y), (e.dxf.end.x, e.dxf.end.y)) for e in model.query("LINE")]

    def inside(self, x: float, y: float) -> bool:
        return self.window[0] <= x <= self.window[2] and self.window[1] <= y <= self.window[3]

    def about(self, pattern) -> list[tuple[re.Match[str], tuple[float, float]]]:
        """Words of this pattern, and where their leaders end: from the arrow's tip back along its lines to the words that it begins at."""

        def apart(p, box) -> float:
            (left, low), (right, high) = box[0], box[2]
            return math.hypot(max(left - p[0], 0, p[0] - right), max(low - p[1], 0, p[1] - high))

        found = []
        for tip in self.tips:
            at, way = tip, [tip]
            while following := [q for s in self.strokes for p, q in (s, s[::-1]) if math.dist(p, at) < 1e-6 and q not in way]:
                at = following[0]
                way.append(at)
            if len(way) > 1:
                text = min(self.notes, key=lambda t: apart(at, t[1]))[0]
                if m := pattern.fullmatch(text):
                    found.append((m, tip))
        return found


class FaceView(Window):
    """One face view: its drawn outline, and all that is written in its window."""

    def __init__(self, doc, texts, outline, metric: bool) -> None:
        self.metric, self.said = metric, tags_of(outline)
        self.corners = [(p[0], p[1]) for p in outline.get_points()]
        self.edges = edges_of(outline)
        (x0, x1), (y0, y1) = ((min(p[k] for p in self.corners), max(p[k] for p in self.corners)) for k in (0, 1))
        reach = [e.centre[1] + way * e.radius for e in self.edges if e.radius for way in (1, -1)]
        crowns = [y for e in self.edges if e.radius for y in reach if e.bears((e.centre[0], y))]
        self.x0, self.x1, self.y0, self.y1 = x0, x1, min(y0, *crowns, y0), max(y1, *crowns, y1)
        (window,) = [v for v in views_of(doc) if v[0] < x0 < v[2] and v[1] < y0 < v[3]]
        super().__init__(doc, window)
        model = doc.modelspace()
        self.dims = [Dim(doc, d) for d in model.query("DIMENSION") if self.inside(d.dxf.defpoint2.x, d.dxf.defpoint2.y)]
        self.along, self.across = read(self.dims, metric)
        holes = (e for e in model.query("CIRCLE") if self.inside(e.dxf.center.x, e.dxf.center.y))
        self.holes = [(e.dxf.center.x, e.dxf.center.y, 2 * e.dxf.radius) for e in holes if tags_of(e).get("kind") == "hole"]
        slots = (e for e in model.query("LWPOLYLINE") if tags_of(e).get("kind") == "slot")
        self.slots = [slot_of(e) for e in slots if self.inside(*e.get_points()[0][:2])]
        self.texts = [(t, box) for t, box in texts if self.inside(*box[0])]
        self.words = " ".join(t for t, _ in self.texts)

    @property
    def closed(self) -> bool:
        """Are both its ends seen, and not cut off by a break line?"""
        return self.said["open"] == "none"

    @property
    def ends(self) -> list[float]:
        return [x for x, side in ((self.x0, "left"), (self.x1, "right")) if self.said["open"] not in (side, "both")]


def face_views(doc, package) -> list[FaceView]:
    """All face views that a sheet's windows show; what of the model stands on another sheet is not here."""
    texts = texts_of(doc.modelspace(), doc)
    outlines = [e for e in doc.modelspace().query("LWPOLYLINE") if (t := tags_of(e)).get("kind") == "outline" and t["view"] == "face"]
    windows = views_of(doc)
    shown = [e for e in outlines if any(w[0] < (p := e.get_points()[0])[0] < w[2] and w[1] < p[1] < w[3] for w in windows)]
    assert len(shown) == len({tags_of(e)["part"] for e in shown})
    return [FaceView(doc, texts, e, package.project.units.name == "SI") for e in shown]
