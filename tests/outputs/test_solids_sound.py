"""What makes a solid: plane reasoning against the solid kernel, which proves the pushed face, and against shapely."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from solids_by_kernel import is_valid
from test_solids_shapes import hole, plate, rectangle

from detailgen.core.errors import OutputError
from detailgen.model.detail import Part, Slot, Vertex
from detailgen.outputs.solids import shapes
from detailgen.outputs.solids.sound import prove

SKIP, SHARP = 2e-3, 0.02
"""Nearer to touching than this (in), or sides that part from a corner by less (rad): chords of arcs and the kernel's tolerance decide, not asked."""


def sound(part: Part) -> bool:
    try:
        prove(part)
    except OutputError:
        return False
    return True


def by_kernel(part: Part) -> bool:
    """One valid solid of the record's volume?"""
    solid = shapes._prism(shapes._wire(part.outline, 1.0), shapes._openings(part, 1.0), part.thickness)
    volume = part.area * part.thickness
    return is_valid(solid) and volume > 0 and abs(shapes.volume_of(solid) - volume) <= 1e-6 * volume


def line_of(outline: tuple[Vertex, ...]) -> list[tuple[float, float]]:
    """Arcs in chords that leave them by less than a thousandth: points of equal turn, by rotating the chord about its ends."""
    points = []
    for a, b in zip(outline, (*outline[1:], outline[0]), strict=True):
        for t in np.linspace(0, 1, 200, endpoint=False) if a.bulge else (0.0,):
            turn = 4 * math.atan(a.bulge)
            way = complex(b.x - a.x, b.y - a.y)
            if a.bulge:
                way *= math.sin(turn * t / 2) / math.sin(turn / 2) * np.exp(-1j * turn * (1 - t) / 2)
            points.append((a.x + way.real * (1 if a.bulge else t), a.y + way.imag * (1 if a.bulge else t)))
    return points


def by_shapely(part: Part) -> bool | None:
    """None where something nearly touches."""
    line = line_of(part.outline)
    ring = shapely.LinearRing(line)
    if not ring.is_simple:
        return False
    plan = shapely.Polygon(line)
    ends = [(s.x + k * (s.length - s.width) / 2 * math.cos(s.angle), s.y + k * (s.length - s.width) / 2 * math.sin(s.angle))
            for s in part.slots for k in (-1, 1)]  # fmt: skip
    openings = [shapely.Point(h.x, h.y).buffer(h.diameter / 2, 200) for h in part.holes]
    openings += [shapely.LineString(ends[2 * k : 2 * k + 2]).buffer(s.width / 2, 200) for k, s in enumerate(part.slots)]
    good = ring.is_ccw
    for k, o in enumerate(openings):
        if o.exterior.distance(plan.exterior) < SKIP and min(o.difference(plan).area, o.intersection(plan).area) < SKIP:
            return None
        good = good and plan.contains(o)
        for other in openings[:k]:
            if abs(o.distance(other)) < SKIP and o.intersection(other).area < SKIP:
                return None
            good = good and not o.intersects(other)
    # A side that comes near another one without crossing it: the ring is simple, yet hardly.
    corners = [shapely.Point(v.x, v.y) for v in part.outline]
    sides = [shapely.LineString([*line_of((a, b))[: 200 if a.bulge else 1], (b.x, b.y)])
             for a, b in zip(part.outline, (*part.outline[1:], part.outline[0]), strict=True)]  # fmt: skip
    for corner in corners:
        if any(1e-9 < s.distance(corner) < SKIP for s in sides):
            return None
    return None if cusp(part.outline) else good


def cusp(outline) -> bool:
    """Do two sides leave a corner in nearly one direction? Chords of their arcs do not tell whether they cross again beside it."""
    ways = []
    for a, b in zip(outline, (*outline[1:], outline[0]), strict=True):
        chord, turn = math.atan2(b.y - a.y, b.x - a.x), 4 * math.atan(a.bulge)
        ways.append((chord - turn / 2, chord + turn / 2 + math.pi))  # as it leaves its first corner, and looking back from its last
    return any(abs(math.remainder(leaves - back, math.tau)) < SHARP for (_, back), (leaves, _) in zip(ways, (*ways[1:], ways[0]), strict=True))


def test_a_cusp_is_no_plate():
    outline = tuple(Vertex(x / 3, y / 3, b) for x, y, b in ((2, 17, 0.0), (-20, -14, -0.8), (-18, -21, 0.3)))
    assert cusp(outline)
    assert not sound(plate(outline, [], []))


spots = st.tuples(st.integers(-24, 24), st.integers(-24, 24))
outlines = st.lists(st.tuples(spots, st.sampled_from([0.0, 0.0, 0.0, 0.3, -0.3, 0.8, -0.8])), min_size=3, max_size=6, unique_by=lambda v: v[0])
rounds = st.lists(st.tuples(spots, st.sampled_from([0.5, 1.5, 3.0])), max_size=4)
slots = st.lists(st.tuples(spots, st.sampled_from([2.0, 3.5]), st.floats(0, 3)), max_size=2)


@settings(max_examples=300)
@given(outlines, rounds, slots)
def test_what_is_called_sound_is_so(corners, holes, cuts):
    outline = tuple(Vertex(x / 3, y / 3, b) for (x, y), b in corners)
    part = plate(outline, [hole(x / 4, y / 4, d) for (x, y), d in holes], [Slot(x / 4, y / 4, n, 0.75, a) for (x, y), n, a in cuts])
    wanted = by_shapely(part)
    if wanted is not None:
        assert sound(part) == wanted
    if sound(part):
        assert by_kernel(part)


@settings(max_examples=60)
@given(rounds, slots, st.sampled_from([0.0, 0.35, -0.2]))
def test_openings_in_a_large_plate(holes, cuts, bulge):
    """Most of these are sound, and the kernel agrees. Of some openings that overlap it makes a solid that it calls valid: there it is not asked."""
    outline = (Vertex(-7, -7), Vertex(7, -7, bulge), Vertex(7, 7), Vertex(-7, 7))
    part = plate(outline, [hole(x / 4, y / 4, d) for (x, y), d in holes], [Slot(x / 4, y / 4, n, 0.75, a) for (x, y), n, a in cuts])
    wanted = by_shapely(part)
    if wanted is not None:
        assert sound(part) == wanted
    if wanted:
        assert by_kernel(part)


@pytest.mark.parametrize(
    ("part", "words"),
    [
        (plate(rectangle(10, 4), [hole(0.2, 2)]), "hole at (0.2, 2) in crosses an edge"),
        (plate(rectangle(10, 4), [hole(12, 2)]), "(12, 2) in lies outside"),
        (plate(rectangle(10, 4), [hole(3, 2), hole(3.5, 2)]), "holes at (3, 2) and (3.5, 2) in meet"),
        (plate(rectangle(10, 4), (), [Slot(9.5, 2, 3, 1, 0)]), "slot at (9.5, 2) in crosses an edge"),
        (plate(rectangle(10, 4), [hole(3, 2)], [Slot(4, 2, 3, 1, 0)]), "slot at (4, 2) in meets a hole"),
        (plate(rectangle(10, 4), (), [Slot(4, 2, 3, 1, 0), Slot(4, 2.5, 3, 1, 1.2)]), "meets another"),
        (plate(rectangle(10, 4)[::-1]), "runs clockwise"),
        (plate([Vertex(0, 0), Vertex(10, 0), Vertex(0, 4), Vertex(10, 5)]), "meets itself"),
        (plate(rectangle(10, 4), thickness=0.0), "no length"),
        (plate([Vertex(0, 0), Vertex(10, 0), Vertex(10, 0), Vertex(0, 4)]), "no length"),
    ],
)
def test_what_is_wrong_is_told_with_its_place(part: Part, words: str):
    with pytest.raises(OutputError) as found:
        prove(part)
    assert words in str(found.value)
