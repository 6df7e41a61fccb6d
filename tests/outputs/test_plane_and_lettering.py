"""Plane geometry, widths of lettering, wrapping, dimension pictures."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from detailgen.outputs.drawings.layout import extents
from detailgen.outputs.drawings.lettering import text_width, wrap
from detailgen.outputs.drawings.plane import Taken, inside, outside_arc, outside_line, overlap
from detailgen.outputs.drawings.shapes import Arc, Dimension, Line, Text, dimension_parts, moved

SQUARE = ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0))


def test_room_that_is_given_back_is_free_again() -> None:
    taken = Taken(1.0)
    taken.add(SQUARE, "first")
    count = len(taken.put)
    taken.add([(x + 0.5, y + 2.0) for x, y in SQUARE], "second")
    both = [(0.6, 0.5), (0.9, 2.5)]
    assert [taken.hit([(x, y), (x + 0.1, y)]) for x, y in both] == [True, True]
    taken.back_to(count)
    assert [taken.hit([(x, y), (x + 0.1, y)]) for x, y in both] == [True, False]


coordinate = st.floats(min_value=-3, max_value=4)
point = st.tuples(coordinate, coordinate)


def test_overlap_by_hand():
    assert overlap(SQUARE, ((0.5, 0.5), (2.0, 0.5)))
    assert not overlap(SQUARE, ((1.0, 0.0), (2.0, 0.0)))
    assert not overlap(SQUARE, ((1.5, -1.0), (1.5, 2.0)))
    assert not overlap(SQUARE, ((0.0, 1.6), (1.6, 0.8)))
    assert overlap(SQUARE, ((0.9, 0.9), (2.0, 0.9), (2.0, 2.0), (0.9, 2.0)))
    assert overlap(((0.0, 0.0), (1.0, 1.0)), ((0.0, 1.0), (1.0, 0.0)))
    assert not overlap(((0.0, 0.0), (1.0, 1.0)), ((2.0, 0.0), (3.0, -1.0)))


@given(point, point)
def test_what_is_left_of_a_line_lies_outside_and_loses_only_the_inside(a, b):
    for k in (0, 1):  # a line along a border is neither in nor out
        assume(abs(a[k] - b[k]) > 1e-6 or min(abs(a[k]), abs(a[k] - 1)) > 1e-6)
    line = Line("x", a, b)
    pieces = outside_line(line, SQUARE)
    for piece in pieces:
        middle = tuple((p + q) / 2 for p, q in zip(piece.start, piece.end, strict=True))
        assert not inside((middle[0], middle[1]), SQUARE) or min(abs(middle[0]), abs(middle[0] - 1), abs(middle[1]), abs(middle[1] - 1)) < 1e-6
    n = 400
    hidden = sum(inside((a[0] + (k + 0.5) / n * (b[0] - a[0]), a[1] + (k + 0.5) / n * (b[1] - a[1])), SQUARE) for k in range(n)) / n
    left = sum(math.dist(p.start, p.end) for p in pieces)
    assert left == pytest.approx(math.dist(a, b) * (1 - hidden), abs=0.02 * math.dist(a, b) + 1e-5)


@given(point, st.floats(min_value=0.2, max_value=3), st.floats(min_value=-6, max_value=6), st.floats(min_value=0.1, max_value=6.2))
def test_what_is_left_of_an_arc(centre, radius, start, turn):
    arc = Arc("x", centre, radius, start, start + turn)
    pieces = outside_arc(arc, SQUARE)
    n = 400
    hidden = sum(inside(arc.at(start + (k + 0.5) / n * turn), SQUARE) for k in range(n)) / n
    assert sum(p.end - p.start for p in pieces) == pytest.approx(turn * (1 - hidden), abs=0.02 * turn + 1e-5)


def test_a_quarter_circle_through_a_square():
    # By hand: radius sqrt(2)/... the circle of radius 1/2 about the corner (1, 1) passes the square between (0.5, 1) and (1, 0.5).
    pieces = outside_arc(Arc("x", (1.0, 1.0), 0.5, 0.0, 2 * math.pi - 1e-9), SQUARE)
    assert sum(p.end - p.start for p in pieces) == pytest.approx(1.5 * math.pi, abs=1e-6)


@given(st.text(st.characters(min_codepoint=32, max_codepoint=126), min_size=1, max_size=60))
def test_widths_are_upper_bounds_of_the_real_font(text):
    from ezdxf.fonts import fonts

    assert text_width(text, 1.0) >= fonts.make_font("arial.ttf", 1.0).text_width(text.strip()) * 0.999


@given(st.text(st.sampled_from("abcdef gh  ijklm. n"), max_size=200), st.floats(min_value=1.0, max_value=6.0))
def test_wrapping_keeps_the_text_and_the_width(text, width):
    lines = wrap(text, width, 0.125)
    assert "".join(lines).replace(" ", "") == "".join(text.split())
    assert all(text_width(line, 0.125) <= width + 1e-9 for line in lines)
    assert all(lines)


def test_a_short_rise_has_its_text_outside_and_its_line_whole():
    d = Dimension("dimensions", (0.0, 0.0), (0.0, 10.0), -5.0, True, '10"', 0.125, broken=True, shift=20.0)
    thin, strokes, text = dimension_parts(d, 48.0)
    assert (len(thin), len(strokes)) == (3, 2)
    assert text.at[1] == pytest.approx(25.0)
    assert d.measure == 10.0


def test_a_broken_dimension_leaves_a_gap_for_its_text():
    d = Dimension("dimensions", (0.0, 0.0), (0.0, 100.0), -5.0, True, '100"', 0.125, broken=True)
    thin, _, text = dimension_parts(d, 48.0)
    box = text.corners(48.0)
    assert not any(overlap(box, (line.start, line.end)) for line in thin)


def test_corners_turn_with_the_text():
    level, upright = Text("notes", "U1", (0.0, 0.0), 0.125), Text("notes", "U1", (0.0, 0.0), 0.125, math.pi / 2)
    for (x, y), (u, v) in zip(level.corners(1.0), upright.corners(1.0), strict=True):
        assert (u, v) == pytest.approx((-y, x))


def test_extents_hold_both_ends_of_a_line():
    assert extents([Line("x", (5.0, -2.0), (1.0, 7.0))], 10.0) == (1.0, -2.0, 5.0, 7.0)


@given(point, st.floats(min_value=-9, max_value=9), st.floats(min_value=-9, max_value=9))
def test_what_is_moved_is_the_same_elsewhere(at, dx, dy):
    """Lines and texts are copied field by field, as most shapes are such: none may be forgotten."""
    text = Text("notes", "PL-1", at, 0.125, 0.3, "middle", 0.7)
    assert moved(text, dx, dy) == replace(text, at=(at[0] + dx, at[1] + dy))
    line = Line("edges", at, (1.0, 2.0))
    assert moved(line, dx, dy) == replace(line, start=(at[0] + dx, at[1] + dy), end=(1.0 + dx, 2.0 + dy))
