"""Split rings and shear plates (chapter 13). Values mostly from memory, see the cases in tests/published; here what those leave open."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from detailgen.core.errors import NotCovered, OutOfRange
from detailgen.core.table import read_table
from detailgen.standards.nds_2018 import connectors as k
from detailgen.standards.nds_2018.dowels import TABLES

EVERY = (k.SMALL_RING, k.LARGE_RING, k.SMALL_PLATE, k.LARGE_PLATE)


def test_required_spacing_of_a_worked_example():
    # AITC Timber Construction Manual, example 14.2.3.2-1, p. 346: 2-5/8 in. shear plates, axis at 40, load at 30 degrees: S_A 5.125, S_B 3.875 in.
    # The printed answer could not be seen; by the formula S_beta is 4.48 in.
    full = k.full_spacing(k.SMALL_PLATE, 30.0)
    assert (full.S_A, full.S_B) == (5.125, 3.875)
    assert float(k.S_beta(full.S_A, full.S_B, math.radians(40))) == pytest.approx(4.48, abs=0.005)
    assert full.least == 3.5
    assert k.spacing_factor(k.SMALL_PLATE, 30.0, 40.0, 3.5) == pytest.approx(0.5)
    assert k.spacing_factor(k.SMALL_PLATE, 30.0, 40.0, 4.4785) == pytest.approx(1.0, abs=1e-4)
    with pytest.raises(OutOfRange):
        k.spacing_factor(k.SMALL_PLATE, 30.0, 40.0, 3.49)


def test_angles_above_60_degrees_are_those_of_90():
    for connector in EVERY:
        a, b = k.full_spacing(connector, 60.0), k.full_spacing(connector, 90.0)
        assert (a.S_A, a.S_B) == (b.S_A, b.S_B) == ((3.5, 4.25) if "2-" in connector else (5.0, 6.0))
    with pytest.raises(OutOfRange):
        k.full_spacing(k.SMALL_RING, 91.0)
    with pytest.raises(NotCovered):
        k.full_spacing("6 in. ring", 0.0)


def test_axis_ends_are_the_spacings_themselves():
    assert float(k.S_beta(6.75, 3.5, 0.0)) == pytest.approx(6.75)
    assert float(k.S_beta(6.75, 3.5, math.pi / 2)) == pytest.approx(3.5)


def test_values_between_rows_are_linear_and_under_the_least_refused():
    between, thick = (k.connector_value(k.LARGE_RING, "B", 2, t) for t in (2.25, 9.0))
    assert pytest.approx((4250 + 5000) / 2) == between.P
    assert thick.P == 5260
    with pytest.raises(OutOfRange, match=r"needs a piece of 1\.5 in\."):
        k.connector_value(k.LARGE_RING, "B", 2, 1.25)
    with pytest.raises(NotCovered):
        k.connector_value(k.LARGE_RING, "E", 2, 2.0)


def test_group_by_specific_gravity():
    # Douglas Fir-Larch 0.50 and Southern Pine 0.55 are group B, Hem-Fir 0.43 C (shared list of values); dense Southern Pine 0.60 A.
    assert [k.species_group(G)[0] for G in (0.60, 0.55, 0.50, 0.49, 0.48, 0.43, 0.42, 0.41)] == list("ABBBCCCD")


def test_angle_to_grain_and_caps():
    assert float(k.N(2730.0, 1940.0, 0.0)) == pytest.approx(2730)
    assert float(k.N(2730.0, 1940.0, math.pi / 2)) == pytest.approx(1940)
    assert float(k.N(2730.0, 1940.0, math.pi / 4)) == pytest.approx(2 * 2730 * 1940 / 4670)
    assert (k.greatest_load(k.SMALL_PLATE, 0.75), k.greatest_load(k.LARGE_PLATE, 0.75), k.greatest_load(k.LARGE_PLATE, 0.875)) == (2900, 4400, 6000)
    assert math.isinf(k.greatest_load(k.SMALL_RING, 0.5))


def test_factors_run_straight_from_the_least_distance_to_the_full_value():
    # Table 13.3, 4 in. ring, tension: 3-1/2 in. at 0.625, 7 in. at 1.0.
    assert [k.distance_factor(k.LARGE_RING, "end", a, "tension", 0.0) for a in (3.5, 5.25, 7.0, 20.0)] == pytest.approx([0.625, 0.8125, 1.0, 1.0])
    assert k.distance_factor(k.LARGE_RING, "edge_loaded", 3.25, "tension", 90.0) == pytest.approx((0.83 + 1) / 2)
    assert k.distance_factor(k.LARGE_RING, "edge", 2.75, "tension", 0.0) == 1.0
    with pytest.raises(OutOfRange):
        k.distance_factor(k.LARGE_RING, "end", 3.4, "tension", 0.0)
    with pytest.raises(NotCovered):
        k.connector_distance(k.LARGE_RING, "edge_loaded", "full", "tension", 0.0)


def test_between_0_and_90_degrees_the_longer_end_counts():
    assert k.connector_distance(k.SMALL_RING, "end", "full", "compression", 30.0) == 5.5
    assert k.connector_distance(k.SMALL_RING, "end", "full", "compression", 0.0) == 4.0
    assert k.connector_distance(k.SMALL_RING, "end", "min", "compression", 0.0) == 2.5


def test_lag_screws_and_steel_sides():
    assert [k.C_d(k.LARGE_PLATE, "B", p) for p in (3.5, 5.75, 8.0, 12.0)] == pytest.approx([0.75, 0.875, 1.0, 1.0])
    assert k.C_d(k.SMALL_PLATE, "B", 4.0) == pytest.approx(0.75 + 0.25 / 3)  # from 0.75 at 3.5 D to 1 at 5 D
    with pytest.raises(OutOfRange):
        k.C_d(k.LARGE_PLATE, "B", 3.0)
    assert [k.C_st(g) for g in "ABCD"] == [1.18, 1.11, 1.05, 1.0]
    assert k.P_prime(1000.0, 1.15, 0.7, 0.8, 0.9, 0.625, 0.75, 1.11) == pytest.approx(1000 * 1.15 * 0.7 * 0.8 * 0.9 * 0.625 * 0.75 * 1.11)


def test_net_area_with_rings_on_both_faces():
    # By hand: 2-1/2 in. thick, 9-1/4 in. wide, 4 in. rings on both faces of one 13/16 in. hole.
    row = read_table(TABLES, "connector_sizes").find(connector=k.LARGE_RING)
    net = k.A_net_connectors(2.5 * 9.25, 1.0, row["projected"], 2.5, 13 / 16, row["depth"], 2.0)
    assert net == pytest.approx(23.125 - 2 * 2.24 - 13 / 16 * 1.5)


def test_no_value_falls_where_wood_thickens_or_grows_denser():
    table = list(read_table(TABLES, "connector_values"))
    for connector in EVERY:
        for faces in (1.0, 2.0):
            rows = [r for r in table if (r["connector"], r["faces"]) == (connector, faces)]
            for group in "ABCD":
                mine = [r for r in rows if r["group"] == group]
                assert [r["thickness"] for r in mine] == sorted(r["thickness"] for r in mine)
                for column in ("P", "Q"):
                    assert [r[column] for r in mine] == sorted(r[column] for r in mine)
            for thickness in {r["thickness"] for r in rows}:
                by_group = sorted((r for r in rows if r["thickness"] == thickness), key=lambda r: str(r["group"]))
                assert [r["P"] for r in by_group] == sorted((r["P"] for r in by_group), reverse=True)
                assert all(r["Q"] < r["P"] for r in by_group)


@given(st.sampled_from(EVERY), st.floats(0, 90), st.floats(0, 90), st.floats(3.5, 12))
def test_more_spacing_never_takes_away(connector, load_angle, axis, spacing):
    least = k.full_spacing(connector, load_angle).least
    C = [k.spacing_factor(connector, load_angle, axis, max(spacing, least) + more) for more in (0.0, 0.1)]
    assert 0.5 <= C[0] <= C[1] <= 1.0
