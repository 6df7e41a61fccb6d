"""Edges behind other parts: lines and arcs are parted where a part begins to hide them, and nothing is drawn twice."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon
from splice_fixture import splice_detail

from detailgen.model.detail import Vertex
from detailgen.outputs.drawings.shapes import Arc, Circle, Line
from detailgen.outputs.drawings.sight import TURN, Sight, shape_of, strokes


def part(outline, key="a", angle=0.0, x=0.0, y=0.0):
    one = splice_detail().part("plate-near")
    return replace(one, key=key, outline=outline, holes=(), open_ends=(), placement=replace(one.placement, angle=angle, x=x, y=y))


def round_part(radius, x=0.0, y=0.0):
    return part((Vertex(radius, 0.0, 1.0), Vertex(-radius, 0.0, 1.0)), x=x, y=y)


def points(stroke, count=400):
    """Points along it."""
    if isinstance(stroke, Line):
        (x, y), (u, v) = stroke.start, stroke.end
        return [(x + k / count * (u - x), y + k / count * (v - y)) for k in range(count + 1)]
    return [stroke.at(stroke.start + k / count * (stroke.end - stroke.start)) for k in range(count + 1)]


def length(strokes):
    return sum(math.dist(s.start, s.end) if isinstance(s, Line) else s.radius * (s.end - s.start) for s in strokes)


def test_a_circle_is_one():
    (edge,) = strokes(round_part(2.0, 1.0, 3.0), "new steel")
    assert shape_of(edge) == Circle("new steel", (1.0, 3.0), 2.0)


def test_two_arcs_between_open_ends_are_not():
    band = part((Vertex(-40.0, -5.0, -0.03), Vertex(40.0, -5.0), Vertex(40.0, 4.0, 0.03), Vertex(-40.0, 4.0)))
    edges = strokes(replace(band, open_ends=(-40.0, 40.0)), "existing")
    assert [type(shape_of(e)) for e in edges] == [Arc, Arc]


def turned_plate(square):
    """A plate, and its figure in another library."""
    x, y, wide, tall, angle = square
    corners = ((-wide, -tall), (wide, -tall), (wide, tall), (-wide, tall))
    c, s = math.cos(angle), math.sin(angle)
    figure = Polygon([(x + c * a - s * b, y + s * a + c * b) for a, b in corners])
    return part(tuple(Vertex(a, b) for a, b in corners), angle=angle, x=x, y=y), figure


SQUARE = st.tuples(st.floats(-6, 6), st.floats(-6, 6), st.floats(0.5, 6), st.floats(0.5, 6), st.floats(0, TURN))


@given(SQUARE, st.floats(0.5, 5))
def test_a_circle_is_parted_where_a_plate_hides_it(square, radius):
    """Held against a general library's plane geometry: lengths inside and outside of the plate."""
    plate, region = turned_plate(square)
    sight = Sight()
    sight.cover(plate)
    (edge,) = strokes(round_part(radius), "new steel")
    seen, hidden = sight.parted(edge)
    ring = Point(0, 0).buffer(radius, quad_segs=2000).exterior
    assert length(hidden) == pytest.approx(ring.intersection(region).length, abs=0.01 * radius)
    assert length(seen) + length(hidden) == pytest.approx(TURN * radius, abs=1e-3)
    assert all(region.buffer(-1e-3).disjoint(Point(p)) for piece in seen for p in points(piece, 40))


@given(SQUARE, st.tuples(*[st.floats(-8, 8)] * 4))
@example((1.0, 0.0, 1.0, 1.0, 0.0), (0.0, 0.0, 0.0, 1.0))
def test_a_line_is_parted_where_a_plate_hides_it(square, ends):
    line = Line("new steel", ends[:2], ends[2:])
    plate, region = turned_plate(square)
    sight = Sight()
    sight.cover(plate)
    seen, hidden = sight.parted(line)
    drawn = LineString([line.start, line.end])  # along an edge of the plate it may be either
    least, most = (drawn.intersection(region.buffer(by)).length for by in (-1e-6, 1e-6))
    assert least - 1e-3 <= length(hidden) <= most + 1e-3
    assert length(seen) + length(hidden) == pytest.approx(math.dist(line.start, line.end), abs=1e-5)


def test_nothing_is_drawn_twice():
    sight = Sight()
    assert sight.draw(Line("existing", (0.0, 0.0), (10.0, 0.0))) == [Line("existing", (0.0, 0.0), (10.0, 0.0))]
    assert sight.draw(Line("existing", (12.0, 0.0), (8.0, 0.0))) == [Line("existing", (12.0, 0.0), (10.0, 0.0))]
    assert sight.draw(Line("existing", (1.0, 0.0), (9.0, 0.0))) == []
    quarter = Arc("existing", (0.0, 0.0), 5.0, 0.0, math.pi / 2)
    assert sight.draw(quarter) == [quarter]
    (rest,) = sight.draw(Arc("existing", (0.0, 0.0), 5.0, 0.0, math.pi))
    assert (rest.start, rest.end) == pytest.approx((math.pi / 2, math.pi))
    assert sight.draw(Arc("existing", (0.0, 0.0), 5.0, TURN, TURN + math.pi / 3)) == []
