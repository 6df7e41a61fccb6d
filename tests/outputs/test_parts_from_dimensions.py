"""Each part is built again from what its face view says in numbers and words alone, and must be the part.

Common practice of shop drawings, no published source: nothing is scaled from the sheet (``parts_reader``).
"""

from __future__ import annotations

import math
from dataclasses import replace

import ezdxf
import pytest
from curved_detail import curved_detail
from detail_package import make_package
from parts_reader import BEVEL, HOLES, PUT_BACK, RADIUS, SIZE, SLOTS, FaceView, Line, face_views, half, key, value
from splice_fixture import splice_detail
from test_detail_sheet import _far_side

from detailgen.core.units import SI, US
from detailgen.model.detail import Hole, Part, Vertex
from detailgen.outputs.drawings import write_dxf
from detailgen.outputs.drawings.detail_scene import scene_of
from detailgen.outputs.drawings.detail_sheet import draw_detail


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


def _off_the_sixteenths():
    """Holes that stand on no sixteenth, as on a sloped plate: dimensions from one to the next would not add up as they are written."""
    detail = splice_detail()
    plate = detail.part("plate-near")
    holes = (*plate.holes, *(Hole(x, 0.31, 0.8125, "") for x in (-3.03, -1.36, 0.31, 1.98)))
    return replace(detail, parts=tuple(replace(p, holes=holes) if p is plate else p for p in detail.parts))


PACKAGES = {
    "cornered": make_package(US, _cornered()), "cornered, metric": make_package(SI, _cornered()),
    "feet": make_package(US), "metric": make_package(SI), "far side": make_package(US, _far_side()), "uneven": make_package(US, _uneven()),
    "curved": make_package(US, curved_detail()), "curved, metric": make_package(SI, curved_detail()),
    "off the sixteenths": make_package(US, _off_the_sixteenths()),
}  # fmt: skip


@pytest.fixture(params=list(PACKAGES), scope="module")
def sheet(request, tmp_path_factory):
    package, path = PACKAGES[request.param], tmp_path_factory.mktemp("face") / "a.dxf"
    write_dxf(draw_detail(package.details[0], package)[0], path)
    return package, ezdxf.readfile(path)


def test_every_part_is_what_its_dimensions_say(sheet):
    package, doc = sheet
    assert len(rebuilt(doc, package.details[0], package)) >= 4


def rebuilt(doc, detail, package):
    """Builds every part again that a sheet shows, and compares it with the part. Returns the keys of the parts."""
    scene = scene_of(detail, package).detail  # from the far side left and right are exchanged
    views = face_views(doc, package)
    for view in views:
        Rebuilt(view).compare(scene.part(view.said["part"]).as_cut)
    return [v.said["part"] for v in views]


class Rebuilt:
    """A part by what is written; drawn lengths are turned into inches before they are compared."""

    def __init__(self, view: FaceView) -> None:
        self.view, self.unit = view, 1 / 25.4 if view.metric else 1.0
        self.half = half(view.metric)
        self.near = 0.3 / 25.4 if view.metric else self.half  # tenths of millimetres may add up
        self.start = view.ends[0] if view.ends else 0.0  # a part that runs on at both ends is placed by the work point
        self.curve = not view.closed and any(e.radius for e in view.edges)
        self.foot = self._under_the_first_hole() if self.curve else view.y0
        self.xs, self.ys = view.along.solved(self.start), view.across.solved(self.foot)

    def _under_the_first_hole(self) -> float:
        """Of a piece of a curve that runs on no corner is a datum: a tape is laid across at the first hole, from edge to edge."""
        at = min(x for x, _, _ in self.view.holes)
        low, high = min(self.view.across.joined), max(self.view.across.joined)
        arcs = [e for e in self.view.edges if e.radius]
        assert [[e.bears((at, y)) for e in arcs].count(True) for y in (low, high)] == [1, 1], (self.view.said["part"], "no edge is measured from")
        return low

    def x(self, drawn: float) -> float:
        assert key(drawn) in self.xs, (self.view.said["part"], "nothing says where this stands along", drawn)
        return self.xs[key(drawn)]

    def y(self, drawn: float) -> float:
        assert key(drawn) in self.ys, (self.view.said["part"], "nothing says where this stands across", drawn)
        return self.ys[key(drawn)]

    def place(self, p) -> tuple[float, float]:
        """Where the words put a point, from the start and the foot (in); it must be where the drawing has it."""
        found = self.x(p[0]), self.y(p[1])
        assert found == pytest.approx(((p[0] - self.start) * self.unit, (p[1] - self.foot) * self.unit), abs=self.near), self.view.said["part"]
        return found

    def compare(self, part: Part) -> None:
        self._outline(part)
        self._holes()
        self._slots()
        self._caption(part)

    def _outline(self, part: Part) -> None:
        view, arcs = self.view, [e for e in self.view.edges if e.radius]
        own = [(v.x - part.outline[0].x, v.y - part.outline[0].y) for v in part.outline]
        drawn = [((x - view.corners[0][0]) * self.unit, (y - view.corners[0][1]) * self.unit) for x, y in view.corners]
        assert drawn == [pytest.approx(p, abs=1e-4) for p in own], "the face view is the part"
        for x in view.ends:
            assert self.x(x) == pytest.approx((x - self.start) * self.unit, abs=self.near)
        self.y(max(view.across.joined) if self.curve else view.y1)
        for corner in view.corners if view.closed else ():
            self.place(corner)
        said = [(value(m[1], view.metric), [e for e in arcs if e.bears(tip)]) for m, tip in view.about(RADIUS)]
        assert [len(on) for _, on in said] == [1] * len(said), "a radius is written at an arc"
        for radius, (arc,) in said:
            assert radius == pytest.approx(arc.radius * self.unit, abs=self.half)
        for arc in arcs:
            radius = next((r for r, _ in said if abs(r - arc.radius * self.unit) <= self.half), None)
            assert radius is not None, (view.said["part"], "no radius is written of an arc", arc)
            if view.closed:
                self._arc(arc, radius)
        self._bevels()

    def _arc(self, arc, radius: float) -> None:
        """The middle of an arc from its ends and its radius, to the side to which it bends."""
        a, b = self.place(arc.a), self.place(arc.b)
        chord = math.dist(a, b) / 2
        out = [m - (p + q) / 2 for m, p, q in zip(arc.middle, arc.a, arc.b, strict=True)]
        rise = (radius - math.sqrt(radius**2 - chord**2)) / math.hypot(*out)
        built = tuple((p + q) / 2 + rise * o for p, q, o in zip(a, b, out, strict=True))
        drawn = ((arc.middle[0] - self.start) * self.unit, (arc.middle[1] - self.foot) * self.unit)
        assert built == pytest.approx(drawn, abs=2 * self.near)

    def _bevels(self) -> None:
        """Edges that run neither along the part nor square to it say how they run."""
        view = self.view

        def parts(text: str) -> float:
            return sum(float(n) / float(d or 1) for n, _, d in (w.partition("/") for w in text.split()))

        base, step = (1000.0, 0.51) if view.metric else (12.0, 1 / 32 + 1e-3)
        said = [(parts(m[1]), parts(m[2]), tip) for m, tip in view.about(BEVEL)]
        sloped = [e for e in view.edges if not e.radius and min(abs(p - q) for p, q in zip(e.a, e.b, strict=True)) > 1e-3]
        for edge in sloped:
            along, across = (abs(p - q) for p, q in zip(edge.a, edge.b, strict=True))
            scale = base / max(along, across)
            true = pytest.approx((across * scale, along * scale), abs=step)
            assert any((rise, run) == true for rise, run, _ in said), (view.said["part"], "nothing says how this edge runs", edge)
        for _, _, tip in said:
            assert any(e.bears(tip) for e in sloped), "a bevel is written at a sloped edge"

    def _holes(self) -> None:
        """Each is placed, but those that are drilled through old holes: of these the callout says how many there are."""
        view = self.view
        groups = HOLES.findall(view.words)
        again = sum(int(n) for n, _, made in groups if PUT_BACK in made)
        placed = [h for h in view.holes if key(h[0]) in self.xs and key(h[1]) in self.ys]
        for hole in placed:
            self.place(hole[:2])
        lost = [h for h in view.holes if h not in placed]
        assert len(lost) == again, (view.said["part"], "nothing says where these stand", lost)
        written = sorted(value(d, view.metric) for n, d, _ in groups for _ in range(int(n)))
        assert written == [pytest.approx(d * self.unit, abs=0.051 / 25.4 if view.metric else 1e-6) for d in sorted(h[2] for h in view.holes)]

    def _slots(self) -> None:
        view = self.view
        for x, y, *_ in view.slots:
            self.place((x, y))
        made = sorted((value(w, view.metric), value(l, view.metric)) for n, w, l in SLOTS.findall(view.words) for _ in range(int(n)))
        assert len(made) == len(view.slots)
        for said, (_, _, *drawn) in zip(made, sorted(view.slots, key=lambda s: s[2:]), strict=True):
            assert said == pytest.approx([d * self.unit for d in drawn], abs=0.051 / 25.4 if view.metric else 1e-6)

    def _caption(self, part: Part) -> None:
        """Thickness, width and length; of a piece between two arcs about one centre the width is what lies between them."""
        view = self.view
        words = SLOTS.sub("", view.words)
        size = SIZE.search(words)
        assert size, words
        said = [value(t, view.metric) for t in size.groups() if t]
        arcs = [e for e in view.edges if e.radius]
        between = len(arcs) == 2 and math.dist(arcs[0].centre, arcs[1].centre) < 0.01
        wide = abs(arcs[0].radius - arcs[1].radius) if between else view.y1 - view.y0
        drawn = [part.thickness, wide * self.unit, *([(view.x1 - view.x0) * self.unit] if view.closed else [])]
        assert said == [pytest.approx(d, abs=self.half) for d in drawn], words
        assert said[0] == pytest.approx(part.thickness, abs=0.05 / 25.4)
        assert part.specification in words.replace("  ", " ")


def test_a_dimension_that_lies_is_found():
    """The reading above is no mirror: one wrong text breaks it."""
    line = Line()
    line.add(0.0, 5.5, 5.5)
    line.add(5.5, 8.0, 2.5)
    line.add(0.0, 8.0, 8.5)
    with pytest.raises(AssertionError):
        line.solved(0.0)
