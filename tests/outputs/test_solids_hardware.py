"""Heads, nuts and washers: sizes, and what a bolt is made of."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import pytest
from solids_by_kernel import solids_of
from splice_fixture import BOLT, splice_detail
from test_solids_text import SPLICE_MARKS, package_of

from detailgen.core.errors import OutputError
from detailgen.core.units import MM
from detailgen.model.detail import Bolt
from detailgen.outputs.solids.hardware import INCH_SIZES, METRIC_SIZES, size_for, stack_of


def test_a_bolt_too_short_for_its_nut_is_refused_with_numbers():
    # grip 8.75 + two washers of 0.148 + nut of 41/64 = 9.687 in. (sizes from memory of ASME B18.21.1 and B18.2.2)
    detail = splice_detail()
    exact = 8.75 + 2 * 0.148 + 41 / 64
    stack_of(replace(detail.bolts[0], length=exact))
    short = replace(detail, bolts=tuple(replace(b, length=9.5) for b in detail.bolts))
    with pytest.raises(OutputError, match=r"9.5 in long, but grip, washers and nut take 9.687 in"):
        solids_of(short, package_of(short, "US", SPLICE_MARKS))


@pytest.mark.parametrize(("washers", "at_head", "at_nut"), [(0, 0, 0), (1, 0, 1), (2, 1, 1), (3, 1, 2)])
def test_the_nut_gets_the_odd_washer(washers, at_head, at_nut):
    pieces = stack_of(Bolt("B1", 0, 0, BOLT, 0, 8, 10, "ASTM A307", washers)).pieces
    names = [n for n, _, _ in pieces]
    assert (sum("at head" in n for n in names), sum("at nut" in n for n in names)) == (at_head, at_nut)
    at = {n: z for n, _, z in pieces}
    assert at["bolt"] == pytest.approx(0.148 * at_head)
    assert at["nut"] == pytest.approx(-8 - 0.148 * at_nut - 41 / 64)


def test_sizes_of_heads_nuts_and_washers():
    """Rules that the tables follow by themselves, so that a mistyped figure shows."""
    # ASME B18.2.1 hex bolts (from memory): flats are 1.5 D from 3/8 to 1 in., and heads about 0.67 D; ISO 272 for metric flats.
    for s in INCH_SIZES:
        assert s.head_flats == pytest.approx(1.5 * s.diameter, abs=1 / 16 + 1e-9)
    for s in (*INCH_SIZES, *METRIC_SIZES):
        assert 0.6 * s.diameter < s.head_height < 0.72 * s.diameter
        assert 0.8 * s.diameter < s.nut_height < 0.93 * s.diameter
        assert s.diameter < s.washer_hole < s.washer_diameter
        assert s.washer_diameter > s.nut_flats
        assert 0.06 < s.washer_thickness < 0.17
    for table in (INCH_SIZES, METRIC_SIZES):
        for name in ("head_flats", "head_height", "nut_height", "washer_hole", "washer_diameter", "washer_thickness"):
            column = [getattr(s, name) for s in table]
            assert column == sorted(column)
    assert size_for(19 * MM).diameter == 0.75
    assert size_for(20 * MM).diameter == pytest.approx(20 * MM)
    with pytest.raises(OutputError, match=r"1\.125 in; the next is 1 in"):
        size_for(1.125)


def test_sizes_agree_with_what_is_bought():
    """The tables of stock were keyed apart from these: greatest dimensions of heads and nuts (a public chart), washers from memory."""
    tables = Path(__file__).parents[2] / "detailgen" / "stock" / "tables"
    own = {s.diameter: s for s in INCH_SIZES}
    rows = list(csv.DictReader((tables / "bolts.csv").read_text().splitlines()))
    assert rows
    for row in rows:
        s = own[float(row["diameter"])]
        assert (s.head_flats, s.nut_flats) == pytest.approx((float(row["head_width"]), float(row["nut_width"])), abs=0.001)
        for basic, greatest in ((s.head_height, float(row["head_height"])), (s.nut_height, float(row["nut_height"]))):
            assert 0.93 * greatest < basic < greatest
    washers = [r for r in csv.DictReader((tables / "washers.csv").read_text().splitlines()) if r["kind"] == "cut"]
    assert washers
    for row in washers:
        s = own[float(row["diameter"])]
        found = (s.washer_diameter, s.washer_hole, s.washer_thickness)
        assert found == pytest.approx((float(row["size"]), float(row["hole"]), float(row["thickness"])), abs=1e-9)
