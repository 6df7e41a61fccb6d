"""Least and greatest distances: hand values from tables 12.5.1A to F (from memory), the evaluator, and what is measured in a part."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from nds_connection_requests import DFL, checks, grid, member, only, plate, steps_of, wood_side

from detailgen.core.errors import NotCovered, OutOfRange
from detailgen.core.result import State
from detailgen.standards.interface import WoodGrade
from detailgen.standards.nds_2018.distances import (
    bolt_hole_limits,
    end_distance_factor,
    greatest_outer_rows,
    l_over_D,
    least_distance,
    measure,
    wood_kind,
)


def least(quantity, level="full", D=1.0, angle=0.0, load="tension", wood="softwood", **more):
    return least_distance(quantity, level, D=D, angle=angle, load=load, wood=wood, **more)


@pytest.mark.parametrize(
    ("quantity", "angle", "load", "wood", "full", "minimum"),
    [
        ("end", 0, "tension", "softwood", 7, 3.5),
        ("end", 0, "tension", "hardwood", 5, 2.5),
        ("end", 0, "compression", "softwood", 4, 2),
        ("end", 90, "tension", "softwood", 4, 2),
        ("end", 90, "compression", "hardwood", 4, 2),
        ("spacing_in_row", 0, "tension", "softwood", 4, 3),
        ("spacing_in_row", 90, "tension", "softwood", 3, 3),  # the full value is what the attached member needs
        ("edge_loaded", 90, "tension", "softwood", 4, 4),
        ("edge_unloaded", 90, "tension", "softwood", 1.5, 1.5),
    ],
)
@pytest.mark.parametrize("D", [0.5, 0.75, 1.0])
def test_columns_of_the_tables(quantity, angle, load, wood, full, minimum, D):
    assert least(quantity, "full", D, angle, load, wood) == pytest.approx(full * D)
    assert least(quantity, "min", D, angle, load, wood) == pytest.approx(minimum * D)


@pytest.mark.parametrize(("l_D", "times_D"), [(1, 2.5), (2, 2.5), (3.5, 3.4375), (5.999999, 5), (6, 5), (8, 5)])
def test_row_spacing_across_the_grain(l_D, times_D):
    assert least("between_rows", angle=90, l_D=l_D) == pytest.approx(times_D, rel=1e-6)


def test_edge_distance_of_slender_bolts_follows_the_row_spacing():
    assert least("edge", l_D=6, row_spacing=4.0) == 1.5
    assert least("edge", l_D=6.01, row_spacing=4.0) == 2.0
    assert least("edge", l_D=6.01, row_spacing=2.0) == 1.5


@pytest.mark.parametrize("quantity", ["end", "spacing_in_row", "between_rows"])
@pytest.mark.parametrize("load", ["tension", "compression"])
def test_between_the_columns_the_worse_decides(quantity, load):
    for level in ("full", "min"):
        columns = max(least(quantity, level, angle=a, load=load, l_D=4.0) for a in (0, 90))
        for angle in (0.1, 45, 89.9):
            assert least(quantity, level, angle=angle, load=load, l_D=4.0) == columns


@settings(max_examples=50)
@given(
    D=st.lists(st.floats(0.25, 1.0), min_size=1, max_size=5), angle=st.floats(0, 90), l_D=st.floats(0.5, 20),
    quantity=st.sampled_from(["end", "spacing_in_row", "between_rows"]), load=st.sampled_from(["tension", "compression"]),
)  # fmt: skip
def test_full_is_never_less_than_the_minimum_and_arrays_work(D, angle, l_D, quantity, load):
    full, minimum = (least(quantity, level, np.array(D), angle, load, l_D=l_D) for level in ("full", "min"))
    assert np.all(full >= minimum)
    assert full == pytest.approx([least(quantity, "full", d, angle, load, l_D=l_D) for d in D])


def test_what_no_row_covers_is_said():
    with pytest.raises(NotCovered, match="l/D"):
        least("between_rows", angle=90)
    with pytest.raises(NotCovered, match="no least distance"):
        least("edge_loaded", angle=0)
    with pytest.raises(NotCovered):
        least("end", fastener="rivet")


def test_geometry_factor_of_an_end():
    assert end_distance_factor(0.75, 5.25, "tension", "softwood", 0) == 1.0
    assert end_distance_factor(0.75, 2.625, "tension", "softwood", 0) == pytest.approx(0.5)
    with pytest.raises(OutOfRange, match=r"at least 2\.625"):
        end_distance_factor(0.75, 2.6, "tension", "softwood", 0)


def test_slenderness_takes_the_lesser():
    assert l_over_D(5.125, 3.0, 0.75) == pytest.approx(4.0)
    assert l_over_D(5.25, math.inf, 0.75) == pytest.approx(7.0)


def test_holes():
    """1/32 to 1/16 in. over the bolt (Merritt & Ricketts, Building Design and Construction Handbook)."""
    assert bolt_hole_limits(1.0) == pytest.approx((1.03125, 1.0625))


def test_kinds_of_wood():
    assert wood_kind("Douglas Fir-Larch") == "softwood"
    assert wood_kind("White Oak") == "hardwood"
    assert wood_kind("some wood that no table lists") == "softwood"


@pytest.mark.parametrize(
    ("product", "made", "service", "limit"),
    [
        ("sawn", "dry", "dry", 5), ("sawn", "wet", "wet", 5), ("glulam", "wet", "dry", 5), ("glulam", "dry", "dry", 10),
        ("glulam", "dry", "wet", math.inf),
    ],
)
def test_outer_rows(product, made, service, limit):
    assert greatest_outer_rows(product, made, service)[0] == limit


def measured(part, sense=1, l_D=4.0, D=0.75):
    return {(m.check, round(m.actual, 4), m.least) for m in measure(part, DFL, D, sense, l_D)}


def test_what_is_measured_in_a_part_loaded_along_its_grain():
    bolts = grid(6, 3, 3, (-2, 1.5))
    pulled = measured(member(bolts=bolts))
    assert pulled == {
        ("end distance", 6.0, 2.625), ("edge distance", 2.625, 1.125), ("edge distance", 3.125, 1.125),
        ("spacing in a row", 3.0, 2.25), ("row spacing", 3.5, 1.125),
    }  # fmt: skip
    assert ("end distance", 6.0, 1.5) in measured(member(bolts=bolts), sense=-1)


def test_loaded_and_unloaded_edge_change_with_the_sense_of_the_force():
    chord = wood_side(bolts=np.array([[0.0, -2.0], [0.0, 1.0]]), angle=math.pi / 2)
    assert {m for m in measured(chord) if m[0] == "edge distance"} == {("edge distance", 3.625, 3.0), ("edge distance", 2.625, 1.125)}
    assert {m for m in measured(chord, sense=-1) if m[0] == "edge distance"} == {("edge distance", 3.625, 1.125), ("edge distance", 2.625, 3.0)}


def test_both_ends_of_a_short_part_are_measured():
    part = member(bolts=grid(4, 3, 2))
    short = type(part)(**{**{f: getattr(part, f) for f in part.__dataclass_fields__}, "ends": (0.0, 10.0)})
    ends = {m for m in measured(short) if m[0] == "end distance"}
    assert ends == {("end distance", 4.0, 2.625), ("end distance", 3.0, 1.5)}


def test_a_short_end_reduces_tension_and_not_compression():
    """4 in. with a 3/4 in. bolt: 4 / 5.25 = 0.762 in tension, 4 / 3 in compression; a group that reverses has 0.762 in both."""
    bolts = np.array([[4.0, 0.0]])
    parts = (plate("a", bolts), member(bolts=bolts), plate("b", bolts))
    for reverses, expected in ((False, 1.0), (True, 4 / 5.25)):
        results = checks(*parts, axial=[1000.0, -1000.0], reverses=reverses)
        pulled, pushed = only(results, "bolts", 0), only(results, "bolts", 1)
        assert pulled.capacity == pytest.approx(2625.0 * 4 / 5.25, rel=1e-6)
        assert pushed.capacity == pytest.approx(2625.0 * expected, rel=1e-6)
        assert steps_of(pulled)["a: end distance of member"] == 4.0


def test_under_the_absolute_least_the_standard_gives_no_value():
    bolts = np.array([[2.5, 0.0]])
    results = checks(plate("a", bolts), member(bolts=bolts), plate("b", bolts), axial=[1000.0, -1000.0])
    short = only(results, "end distance", 0)
    assert short.state is State.DOES_NOT_PASS
    assert (short.demand, short.capacity, short.unit) == (2.625, 2.5, "in")
    assert short.ratio == pytest.approx(1.05)
    assert only(results, "bolts", 0).state is State.CANNOT_BE_CHECKED
    assert "2.625" in only(results, "bolts", 0).missing
    assert only(results, "end distance", 1).state is State.PASSES
    assert only(results, "bolts", 1).state is State.PASSES


def test_a_distance_exactly_at_its_least_passes_in_millimetres_too():
    D = 20 / 25.4
    bolts = np.array([[70 / 25.4, 0.0], [130 / 25.4, 0.0]])
    results = checks(plate("a", bolts), member(bolts=bolts), plate("b", bolts), diameter=D)
    for check in ("end distance", "spacing in a row"):
        assert only(results, check).state is State.PASSES
        assert only(results, check).ratio == pytest.approx(1.0, abs=1e-6)


@pytest.mark.parametrize(("apart", "state"), [(5.0, State.PASSES), (5.25, State.DOES_NOT_PASS)])
def test_outer_rows_through_steel(apart, state):
    bolts = grid(8, 4, 2, (-apart / 2, apart / 2))
    steel = checks(plate("a", bolts), member(bolts=bolts), plate("b", bolts))
    assert only(steel, "outer rows through steel").state is state
    wood = checks(wood_side("a", bolts=bolts), member(bolts=bolts), wood_side("b", bolts=bolts))
    assert not [r for r in wood if r.check == "outer rows through steel"]


def test_hardwood_needs_less_end_distance():
    oak = WoodGrade("sawn", "White Oak", "No.1", given=(("G", 0.73),), source="test")
    part = member(wood=oak, bolts=np.array([[3.75, 0.0]]))
    assert {m.full for m in measure(part, oak, 0.75, 1, 4.0) if m.check == "end distance"} == {3.75}


def test_tables_a_to_d_at_their_limits():
    """NDS 12.5.1 (recalled): across the grain the column of hardwood and softwood is one; rows stop at 5 D from l/D 6 on."""
    asked = {"D": 1.0, "load": "tension", "l_D": 4.0}
    assert least_distance("end", "full", angle=90.0, wood="hardwood", **asked) == 4.0
    assert least_distance("end", "min", angle=90.0, wood="hardwood", **asked) == 2.0
    assert least_distance("end", "full", angle=89.0, wood="hardwood", **asked) == 5.0
    assert least_distance("end", "min", angle=89.0, wood="hardwood", **asked) == 2.5
    rows = [least_distance("between_rows", "full", D=1.0, angle=90.0, load="tension", wood="softwood", l_D=x) for x in (5.9, 6.0, 6.05, 9.0)]
    assert rows == pytest.approx([(5 * 5.9 + 10) / 8, 5.0, 5.0, 5.0])
    edge = [least_distance("edge", "full", D=1.0, angle=0.0, load="tension", wood="softwood", l_D=x, row_spacing=8.0) for x in (6.0, 6.05)]
    assert edge == [1.5, 4.0]
