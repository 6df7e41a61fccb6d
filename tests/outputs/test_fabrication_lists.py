"""Stock lengths, plates, joints, field dimensions: against known answers, against every way to cut, and against the parts themselves."""

from __future__ import annotations

import csv
import itertools
import math
from dataclasses import replace
from functools import lru_cache

import openpyxl
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from report_package import make_package
from sample_trusses import US_SAMPLE, decided

from detailgen.core.units import MM, SI
from detailgen.model.detail import Timber
from detailgen.outputs.schedules.fabrication import ACCEPT, field_dimensions, joints_list, plates_list, timber_order, timber_stock
from detailgen.outputs.schedules.lists import cut_list, parts_list
from detailgen.outputs.schedules.stock_lengths import MOST, _all_columns, cut_stock
from detailgen.outputs.schedules.writing import write_list, write_lists


def test_the_rolls_of_the_book():
    """97, 610, 395, 211 pieces of 45, 36, 31, 14 from rolls of 100: 453 rolls (V. Chvatal, Linear Programming, 1983, ch. 13; from memory)."""
    found = cut_stock([45.0, 36.0, 31.0, 14.0], [97, 610, 395, 211], [100.0], 0.0)
    assert sum(c.times for c in found) == 453


def least(lengths, wanted, stock, kerf):
    """The least bought length by trying everything."""

    @lru_cache(None)
    def rest(left):
        if not any(left):
            return 0.0
        best = math.inf
        for take in itertools.product(*(range(n + 1) for n in left)):
            used = sum(n * (x + kerf) for n, x in zip(take, lengths, strict=True))
            holders = [s for s in stock if used <= s]
            if any(take) and holders:
                best = min(best, min(holders) + rest(tuple(a - b for a, b in zip(left, take, strict=True))))
        return best

    return rest(tuple(wanted))


@settings(max_examples=25)
@example([(88, 2)], (96.0, 240.0))  # two short pieces of stock, less than the one that would hold both
@given(
    st.lists(st.tuples(st.integers(8, 90), st.integers(1, 3)), min_size=1, max_size=3, unique_by=lambda t: t[0]),
    st.sampled_from([(96.0, 120.0, 144.0), (96.0, 240.0)]),
)
def test_the_least_is_bought_and_every_piece_is_cut_once(pieces, stock):
    lengths, wanted = [float(x) for x, _ in pieces], [n for _, n in pieces]
    found = cut_stock(lengths, wanted, stock, 0.125)
    assert [sum(c.counts[k] * c.times for c in found) for k in range(len(lengths))] == wanted
    assert all(c.left_over(lengths, 0.125) >= 0 and c.stock in stock for c in found)
    assert sum(c.stock * c.times for c in found) == pytest.approx(least(lengths, wanted, stock, 0.125))


def test_many_lengths_are_still_cut_once_and_soon():
    lengths, wanted = [10.5 + k / 4 for k in range(40)], [2] * 40
    import numpy as np

    assert len(_all_columns(np.array(lengths), wanted, (96.0, 240.0))) > MOST
    found = cut_stock(lengths, wanted, (96.0, 120.0, 240.0), 0.125)
    assert [sum(c.counts[k] * c.times for c in found) for k in range(40)] == wanted
    used = sum(2 * (x + 0.125) for x in lengths)
    # First fit, longest first, needs at most 11/9 of the least and 2/3 of a piece more (D. S. Johnson 1973, G. Dosa 2007; from memory).
    assert used <= sum(c.stock * c.times for c in found) <= 11 / 9 * (used + 240) + 160


def test_what_no_stock_holds_is_refused():
    with pytest.raises(ValueError, match="longer than the longest stock"):
        cut_stock([97.0], [1], [96.0], 0.0)


def test_stock_covers_the_cut_list():
    package = make_package(trusses=3)
    wanted = sum(int(r[1]) * float(r[4]) for r in cut_list(package).rows)
    bought = timber_stock(package)
    have = sum(float(r[3]) * int(r[4]) for r in bought.rows)
    left = sum(float(r[6]) * int(r[4]) for r in bought.rows)
    pieces = sum(int(r[1]) for r in cut_list(package).rows)
    assert have - left == pytest.approx(wanted + pieces * 0.125)


def test_totals_of_the_workbook_are_volumes_times_density(tmp_path):
    """Steel 490 lb/ft3 (AISC Manual, table 17-12; from memory), 7850 kg/m3; the volume is measured on the outline, holes taken off."""
    for units_package, factor in ((make_package(trusses=2), 1.0), (make_package("printworks_si", trusses=2), 0.45359237)):
        write_lists(units_package, tmp_path)
        book = openpyxl.load_workbook(tmp_path / "schedules.xlsx")
        _, *rows = list(book["plates"].iter_rows(values_only=True))
        total = sum(r[5] for r in rows)
        steel = [m for m in units_package.marks if m.part.material == "steel"]
        volume = sum(m.quantity * m.part.area * m.part.thickness for m in steel)
        assert total == pytest.approx(volume * 490 / 1728 * factor, abs=0.01 * sum(m.quantity for m in steel))
        parts = list(book["parts"].iter_rows(values_only=True))
        steel_total = sum(r[8] for r in parts[1:] if str(r[2]).startswith("ASTM"))
        assert total == pytest.approx(steel_total, abs=1e-6)
        everything = sum(m.quantity * m.part.weight for m in units_package.marks) * factor
        assert sum(r[8] for r in parts[1:]) == pytest.approx(everything, abs=0.01 * len(units_package.marks) * 8)
        assert sum(r[3] for r in rows) == sum(m.quantity for m in steel)


def test_joints_side_by_side():
    package = make_package(trusses=2)
    rows = joints_list(package).rows
    assert [r[0] for r in rows] == ["S-501", "S-502"]
    for row, detail in zip(rows, package.details, strict=True):
        assert row[5:9] == (1, len(detail.bolts), detail.bolts[0].diameter, detail.bolts[0].length)
        assert row[4] == detail.station
        assert sum(int(p.split(" x")[1]) for p in row[12].split("; ")) == sum(not p.existing for p in detail.parts)


@pytest.mark.parametrize("units", [None, SI], ids=["US", "SI"])
def test_the_field_form_asks_for_what_the_joint_rests_on(units, tmp_path):
    package = make_package(trusses=1) if units is None else make_package("printworks_si", trusses=1)
    path = write_list(field_dimensions(package), tmp_path)
    assert path.name == "dimensions.csv"
    rows = list(csv.DictReader(path.open(encoding="utf-8", newline="")))
    u, accept, unit = ("mm", ACCEPT["SI"] / MM, 1 / MM) if units else ("in", 1 / 8, 1.0)
    said = {r["what"]: float(r[f"drawn_{u}"]) for r in rows}
    detail = package.details[0]
    for ply in (p for p in detail.parts if p.existing):
        assert said[f"thickness of {ply.name}"] == pytest.approx(ply.thickness * unit, abs=0.5)
    assert any(w.startswith("gap between") for w in said)
    assert any(w.startswith("work point of the joint to ") for w in said)
    for r in rows:
        assert float(r[f"accept_high_{u}"]) - float(r[f"accept_low_{u}"]) == pytest.approx(2 * accept, abs=0.01)
        assert (r[f"measured_{u}"], r["by"], r["date"]) == ("", "", "")
    assert parts_list(package).rows
    assert plates_list(package).rows


def test_the_order_of_timber_says_product_camber_treatment_and_net_volume():
    package = make_package(trusses=2)
    block = next(m for m in package.marks if m.part.material == "wood")
    (row,) = timber_order(package).rows
    # By hand: 4 blocks of 3 1/4 x 7 x 12 3/4 in.
    volume = round(4 * 3.25 * 7 * 12.75 / 1728, 3)
    assert row == ("sawn", "Douglas Fir-Larch No.2", 3.25, 7.0, 12.75, 0.0, "none", "none asked for", 4, volume, "", "FB-1 x4")
    beam = replace(block, mark="GL-1", part=replace(block.part, timber=Timber("glulam", "preservative, above ground", 0.75, "industrial")))
    more = replace(package, marks=(*package.marks, beam))
    first, second = timber_order(more).rows
    assert first[:9] == ("glulam", "Douglas Fir-Larch No.2", 3.25, 7.0, 12.75, 0.75, "preservative, above ground", "industrial", 4)
    assert second == row
    assert timber_stock(more).rows == timber_stock(package).rows  # glued timber is made to length, not cut from stock
    turned = replace(package, marks=(replace(block, part=replace(block.part, grain=math.pi / 2)),))
    assert timber_order(turned).rows[0][3:5] == (12.75, 7.0)


def test_the_order_in_metres():
    (row,) = timber_order(make_package("printworks_si", trusses=2)).rows
    assert timber_order(make_package("printworks_si", trusses=2)).header[9] == "volume_m3"
    assert row[9] == pytest.approx(4 * 3.25 * 7 * 12.75 * 0.0254**3, abs=0.0005)


def test_a_size_that_a_joint_does_not_have_is_none() -> None:
    """The strands of the demo have no bolts, their guides one bolt over the other: nothing is 0 in. apart."""
    listing = joints_list(decided(US_SAMPLE))
    rows = {row[1]: dict(zip(listing.header, row, strict=True)) for row in listing.rows}
    strands, guide, splice = (rows[key] for key in ("T6-strands", "T6-strands-guide", "T2-splice-1"))
    sizes = ("diameter_in", "bolt_length_in", "spacing_in", "gauge_in")
    assert [strands[name] for name in sizes] == ["none"] * 4
    assert [guide[name] for name in sizes] == [0.5, 17.0, "none", 2.5]
    assert [splice[name] for name in sizes] == [0.875, 11.0, 5.5, 4.0]
