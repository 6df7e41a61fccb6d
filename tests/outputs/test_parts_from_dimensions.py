"""Each part is built again from what its face view says in numbers and words alone, and must be the part.

Common practice of shop drawings, no published source: nothing is scaled from the sheet. Where the points of a dimension lie tells only which
features it joins; how far they are apart is taken from its text.
"""

from __future__ import annotations

import math
import re
from collections import defaultdict
from dataclasses import replace

import pytest
from detail_package import make_package
from sheet_reader import read_dxf
from splice_fixture import splice_detail
from test_detail_sheet import _far_side

from detailgen.core.units import SI, US, parse
from detailgen.model.detail import Hole, Vertex
from detailgen.outputs.drawings import write_dxf
from detailgen.outputs.drawings.detail_sheet import draw_detail

CHAIN = re.compile(r"(\d+) SPA @ (.+) = (.+)")


def _uneven():
    """A plate whose two ends differ, and one hole by itself: nothing may be read off by symmetry."""
    detail = splice_detail()
    plate = detail.part("plate-near")
    holes = (*(replace(h, x=h.x + 0.0) for h in plate.holes[:-1]), Hole(plate.holes[-1].x + 0.5, 0.25, plate.holes[-1].diameter, ""))
    return replace(detail, parts=tuple(replace(p, holes=holes) if p is plate else p for p in detail.parts))


def _cornered():
    """A plate with clipped corners, a skewed end and a rounded corner: the box around it does not say where its corners are."""
    detail = splice_detail()
    plate = detail.part("plate-near")
    outline = (Vertex(-20.25, -3.5), Vertex(17.0, -3.5), Vertex(20.25, -1.75), Vertex(20.25, 1.5, math.tan(math.pi / 8)), Vertex(18.25, 3.5),
               Vertex(-18.5, 3.5))  # fmt: skip
    return replace(detail, parts=tuple(replace(p, outline=outline) if p is plate else p for p in detail.parts))


PACKAGES = {
    "cornered": make_package(US, _cornered()), "cornered, metric": make_package(SI, _cornered()),
    "feet": make_package(US), "metric": make_package(SI), "far side": make_package(US, _far_side()), "uneven": make_package(US, _uneven()),
}  # fmt: skip


SLOTS = re.compile(r"(\d+) slots? (\S+(?: \d+/\d+\")?)(?: mm)? x (\S+(?: \d+/\d+\")?)(?: mm)?,")
"""Of a caption: how many, width, length."""


def value(text: str, metric: bool) -> float:
    """A written length in inches."""
    return parse(f"{text} mm" if metric else text.strip("()"), "length")


def key(x: float) -> float:
    return round(x, 3)


class Line:
    """Places along one direction, joined by written distances."""

    def __init__(self) -> None:
        self.joined: dict[float, list[tuple[float, float]]] = defaultdict(list)

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
                    assert found[other] == pytest.approx(found[at] + step, abs=0.15 / 25.4)
        return found


def read(dims, metric):
    across, up = Line(), Line()
    for d in dims:
        a, b, text = d.dxf.defpoint2, d.dxf.defpoint3, d.dxf.text
        vertical = d.dxf.angle == 90.0
        first, second = sorted((a.y, b.y) if vertical else (a.x, b.x))
        line = up if vertical else across
        shown = text.replace("<>", d.shown)
        if chain := CHAIN.fullmatch(shown):
            count, step, total = int(chain[1]), value(chain[2], metric), value(chain[3], metric)
            assert count * step == pytest.approx(total, abs=count * 0.05 / 25.4)
            for k in range(count):
                line.add(first + k * (second - first) / count, first + (k + 1) * (second - first) / count, total / count)
        else:
            line.add(first, second, value(shown, metric))
    return across, up


class Dim:
    def __init__(self, doc, entity) -> None:
        self.dxf = entity.dxf
        text = next(iter(doc.blocks.get(entity.dxf.geometry).query("TEXT"))).dxf.text
        left, right = entity.dxf.text.split("<>")
        self.shown = text.removeprefix(left).removesuffix(right)


def views_of(doc):
    """What each window of the sheet shows of the model."""
    views = []
    for v in doc.paperspace("Sheet").query("VIEWPORT"):
        if v.dxf.id != 1:
            centre, half = v.dxf.view_center_point, v.dxf.view_height / 2
            wide = half * v.dxf.width / v.dxf.height
            views.append((centre.x - wide, centre.y - half, centre.x + wide, centre.y + half))
    return views


@pytest.fixture(params=list(PACKAGES), scope="module")
def sheet(request, tmp_path_factory):
    package, path = PACKAGES[request.param], tmp_path_factory.mktemp("face") / "a.dxf"
    write_dxf(draw_detail(package.details[0], package)[0], path)
    return package, path


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


def words_of(texts, inside):
    return " ".join(t for t, box in texts if inside(*box[0]))


def test_every_part_is_what_its_dimensions_say(sheet):
    package, path = sheet
    assert len(rebuilt(path, package.details[0], package)) >= 4


def rebuilt(path, detail, package):
    """Builds every part again that a sheet shows, and compares it with the face view. Returns the keys of the parts."""
    doc, read_texts, _ = read_dxf(path)
    texts, views = read_texts["model"], views_of(doc)
    metric = package.project.units.name == "SI"
    model = doc.modelspace()
    outlines = [e for e in model.query("LWPOLYLINE") if (t := tags_of(e)).get("kind") == "outline" and t["view"] == "face"]
    assert len(outlines) == len({tags_of(e)["part"] for e in outlines})
    scale = 25.4 if metric else 1.0
    for outline in outlines:
        said = tags_of(outline)
        corners = [(p[0], p[1]) for p in outline.get_points()]
        x0, x1 = min(p[0] for p in corners), max(p[0] for p in corners)
        y0, y1 = min(p[1] for p in corners), max(p[1] for p in corners)
        (view,) = [v for v in views if v[0] < x0 < v[2] and v[1] < y0 < v[3]]

        def inside(x, y, view=view):
            return view[0] <= x <= view[2] and view[1] <= y <= view[3]

        dims = [Dim(doc, d) for d in model.query("DIMENSION") if inside(d.dxf.defpoint2.x, d.dxf.defpoint2.y)]
        across, up = read(dims, metric)
        holes = [e.dxf for e in model.query("CIRCLE") if (t := tags_of(e)).get("kind") == "hole" and inside(e.dxf.center.x, e.dxf.center.y)]
        slots = [slot_of(e) for e in model.query("LWPOLYLINE") if (t := tags_of(e)).get("kind") == "slot" and inside(*e.get_points()[0][:2])]
        ends = [x for x, side in ((x0, "left"), (x1, "right")) if said["open"] not in (side, "both")]
        part = detail.part(said["part"])
        close = 0.3 if metric else 1 / 16 if part.existing else 1e-6  # what stands is where it is; what is new is made to a sixteenth
        start = ends[0] if ends else 0.0  # a part that runs on at both ends is placed by the work point
        xs, ys = across.solved(start), up.solved(y0)
        near = pytest.approx
        for x in (*ends, *(h.center.x for h in holes), *(s[0] for s in slots)):
            assert key(x) in xs, (said["part"], "nothing says where this stands along", x)
            assert xs[key(x)] * scale == near(x - start, abs=close)
        for x, y, bulge in outline.get_points("xyb"):
            if said["open"] == "none":
                assert xs[key(x)] * scale == near(x - start, abs=0.3 if metric else 0.04)
                assert ys[key(y)] * scale == near(y - y0, abs=0.3 if metric else 0.04)
            if bulge:
                assert any(w in words_of(texts, inside) for w in ("R 2", "R 50.8 mm"))
        for y in (y1, *(h.center.y for h in holes), *(s[1] for s in slots)):
            assert key(y) in ys, (said["part"], "nothing says where this stands across", y)
            assert ys[key(y)] * scale == near(y - y0, abs=close)
        words = words_of(texts, inside)
        counted = re.findall(r"(\d+) holes? (\S+(?: \d+/\d+\")?)(?: mm)? dia", words)
        assert sum(int(n) for n, _ in counted) == len(holes)
        written = sorted(value(d, metric) for n, d in counted for _ in range(int(n)))
        assert [w * scale for w in written] == [near(d, abs=0.051 if metric else 1e-6) for d in sorted(2 * h.radius for h in holes)]
        cut = SLOTS.findall(words)
        made = sorted((value(w, metric) * scale, value(l, metric) * scale) for n, w, l in cut for _ in range(int(n)))
        assert len(made) == len(slots)
        for said_so, (_, _, *drawn) in zip(made, sorted(slots, key=lambda s: s[2:]), strict=True):
            assert said_so == near(tuple(drawn), abs=0.051 if metric else 1e-6)
        words = SLOTS.sub("", words)
        size = re.search(r"(?:(?:\d+ )?\d+/\d+\"|\d+\"|[\d.]+) x ", words)
        assert size, words
        assert value(size[0].removesuffix(" x "), metric) == near(part.thickness, abs=0.05 / 25.4)
        assert part.specification in words.replace("  ", " ")
    return [tags_of(e)["part"] for e in outlines]


def test_a_dimension_that_lies_is_found(sheet):
    """The reading above is no mirror: one wrong text breaks it."""
    line = Line()
    line.add(0.0, 5.5, 5.5)
    line.add(5.5, 8.0, 2.5)
    line.add(0.0, 8.0, 8.5)
    with pytest.raises(AssertionError):
        line.solved(0.0)
