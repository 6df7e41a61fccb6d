"""Bolts as ordered: hand values, and that a stocked length always covers the grip and is never a step too long."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from detailgen.core.errors import NotCovered
from detailgen.stock import bolts

DIAMETERS = (0.5, 0.625, 0.75, 0.875, 1.0)


def test_stock():
    assert bolts.diameters() == DIAMETERS
    lengths = bolts.stocked_lengths()
    assert (lengths[0], lengths[-1]) == (2.0, 24.0)  # common practice, no published source
    assert {b - a for a, b in pairwise(x for x in lengths if x <= 8)} == {0.5}
    assert {b - a for a, b in pairwise(x for x in lengths if x >= 8)} == {1.0}


def test_dimensions_of_a_three_quarter_bolt():
    """ASME B18.2.1 and B18.2.2, greatest values (public charts): head 0.524 high, nut 0.665, 1-1/8 across flats; 10 threads per inch."""
    size = bolts.bolt_size(0.75)
    assert (size.head_height, size.head_width, size.nut_height, size.nut_width, size.pitch) == (0.524, 1.125, 0.665, 1.125, 0.1)


@pytest.mark.parametrize(("d", "root"), [(0.5, 0.406), (0.625, 0.514), (0.75, 0.627), (0.875, 0.739), (1.0, 0.847)])
def test_root_diameter(d, root):
    """NDS 2018, table L1 (from memory)."""
    assert bolts.bolt_size(d).root_diameter == pytest.approx(root, abs=6e-4)


@pytest.mark.parametrize(("d", "length", "thread"), [(0.5, 6.0, 1.25), (0.5, 6.5, 1.5), (0.75, 4.0, 1.75), (0.75, 10.0, 2.0), (1.0, 6.0, 2.25),
                                                     (1.0, 12.0, 2.5), (1.0, 2.0, 2.0)])  # fmt: skip
def test_thread_length(d, length, thread):
    """ASME B18.2.1: 2 D + 1/4 up to 6 in., 2 D + 1/2 above (public chart); a short bolt is threaded to the head."""
    assert bolts.thread_length(d, length) == thread


def test_a_bolt_by_hand():
    """3/4 in., grip 9-1/4, cut washers: 9.25 + 2 x 0.148 + 0.665 + 0.2 = 10.411, so 11 in.; thread 2 in., from 11 - 2 - 0.148 = 8.852
    into the grip."""
    b = bolts.bolt_length(0.75, 9.25, 9.25, shear_planes=(9.0, 0.25, 2.75))
    assert bolts.length_needed(0.75, 9.25) == pytest.approx(10.411)
    assert (b.length, b.thread_length, b.thread_start) == (11.0, 2.0, pytest.approx(8.852))
    assert (b.planes_in_threads, b.threads_in_shear) == ((9.0,), True)
    assert b.projection_min == b.projection_max == pytest.approx(11 - 9.25 - 0.296 - 0.665)
    assert (b.washers, b.packing_washers) == (2, 0)
    inside = bolts.bolt_length(0.75, 9.25, 9.25, shear_planes=(0.0, 0.25, 8.852, 9.25))
    assert not inside.threads_in_shear  # at a face of the grip nothing is sheared, and at the thread's very start it has not begun


def test_washers_count_in_the_length():
    """Without washers 5/8 in. and a grip of 4.2 needs 4.2 + 0.559 + 2/11 = 4.941: 5 in. Cut washers add 0.268: 5-1/2. Plate washers 0.5: 5-1/2."""
    kinds = [("none", "none", 5.0, 0), ("cut", "cut", 5.5, 2), ("plate", "plate", 5.5, 2), ("none", "plate", 5.5, 1)]
    for head, nut, length, count in kinds:
        b = bolts.bolt_length(0.625, 4.2, 4.2, head_washer=head, nut_washer=nut)
        assert (b.length, b.washers) == (length, count)


def test_a_nut_that_runs_out_of_thread_is_packed():
    """1/2 in., grip 8 to 8.2: 10 in. with 1-1/2 in. of thread; the nut would stop 8.5 from the head, 0.282 beyond washers and least grip:
    3 x 0.109."""
    b = bolts.bolt_length(0.5, 8.0, 8.2)
    assert (b.length, b.packing_washers) == (10.0, 3)


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ((0.75, 24.0, 24.0), "25.16 in. long"),
        ((0.7, 4.0, 4.0), "diameter of 0.7 in."),
        ((1.25, 4.0, 4.0), "diameter of 1.25 in."),
        ((0.75, 5.0, 4.0), "a grip from 5 to 4 in."),
        ((0.75, 0.0, 4.0), "a grip from 0 to 4 in."),
        ((0.75, 4.0, math.inf), "inf"),
    ],
)
def test_what_is_refused(arguments, said):
    with pytest.raises(NotCovered, match=said):
        bolts.bolt_length(*arguments)


def test_an_unknown_washer_and_a_plane_outside_the_grip_are_refused():
    with pytest.raises(NotCovered, match="fender"):
        bolts.bolt_length(0.75, 4.0, 4.0, nut_washer="fender")
    with pytest.raises(NotCovered, match="into a grip of 4 in"):
        bolts.bolt_length(0.75, 4.0, 4.0, shear_planes=(5.0,))


@settings(max_examples=200)
@given(st.sampled_from(DIAMETERS), st.floats(0.5, 21.0), st.floats(0.0, 0.5), st.sampled_from(["cut", "plate", "none"]),
       st.sampled_from(["cut", "plate", "none"]), st.lists(st.floats(0.0, 1.0), max_size=4))  # fmt: skip
def test_properties_of_an_ordered_bolt(d, grip, spread, head, nut, shares):
    planes = [share * (grip + spread) for share in shares]
    b = bolts.bolt_length(d, grip, grip + spread, head_washer=head, nut_washer=nut, shear_planes=planes)
    size = bolts.bolt_size(d)
    between = sum(w.thickness for w in (bolts.washer(head, d), bolts.washer(nut, d)) if w is not None)
    stack = grip + spread + between + size.nut_height
    assert b.length in bolts.stocked_lengths()
    assert b.length - stack >= 2 * size.pitch - 2e-6  # covers grip, washers, nut and two threads
    shorter = [x for x in bolts.stocked_lengths() if x < b.length]
    assert not shorter or shorter[-1] - stack < 2 * size.pitch  # and no shorter one does
    assert b.projection_max - b.projection_min == pytest.approx(spread, abs=3e-6)
    first = bolts.washer(head, d)
    unthreaded = b.length - b.thread_length - (0 if first is None else first.thickness)
    assert set(b.planes_in_threads) == {x for x in planes if unthreaded + 1e-6 < x < grip + spread - 1e-6 and x > 1e-6}
    cut = bolts.washer("cut", d)
    assert cut is not None
    packed = grip + between + b.packing_washers * cut.thickness
    assert packed >= b.length - b.thread_length - 2e-6  # the nut finds thread at the least grip
    assert b.length - packed - size.nut_height >= 2 * size.pitch - 2e-6  # and still shows two
    assert b.packing_washers == 0 or packed - cut.thickness < b.length - b.thread_length  # no washer too many


def test_weights_by_hand():
    """490 pcf: 3/4 x 6: hexagon 1.0960 x 0.524 + shank 0.44179 x 6 = 3.2250 in3, 0.9145 lb; nut (1.0960 - 0.4418) 0.665 = 0.4351 in3, 0.1234 lb;
    cut washer (3.14159 - 0.51849) 0.148 = 0.3882 in3, 0.1101 lb; plate washer (9 - 0.51849) 0.25 = 2.1204 in3, 0.6013 lb."""
    assert bolts.bolt_weight(0.75, 6.0) == pytest.approx(0.9145, abs=2e-4)
    assert bolts.nut_weight(0.75) == pytest.approx(0.1234, abs=2e-4)
    assert bolts.washer_weight("cut", 0.75) == pytest.approx(0.1101, abs=2e-4)
    assert bolts.washer_weight("plate", 0.75) == pytest.approx(0.6013, abs=2e-4)
    assert bolts.washer_weight("none", 0.75) == 0
    b = bolts.bolt_length(0.75, 4.5, 4.5)
    assert b.length == 6.0
    assert b.weight == pytest.approx(0.9145 + 0.1234 + 2 * 0.1101, abs=5e-4)


@pytest.mark.parametrize("kind", ["cut", "plate"])
@pytest.mark.parametrize("d", DIAMETERS)
def test_washers_fit_bolt_and_nut(kind, d):
    w = bolts.washer(kind, d)
    assert w is not None
    assert w.hole == d + 1 / 16
    assert w.size > bolts.bolt_size(d).nut_width * 2 / math.sqrt(3)  # wider than the nut across its corners
