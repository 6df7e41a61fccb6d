"""Plate, bar, lumber, steels, grids; and that every table of the stock has its provenance."""

from __future__ import annotations

import hashlib
from fractions import Fraction

import pytest

from detailgen.core.clause import TableStatus
from detailgen.core.errors import NotCovered
from detailgen.core.table import read_index, read_table
from detailgen.standards.aisc360_16.strength import steel_grade
from detailgen.stock import plates
from detailgen.stock.plates import TABLES

NAMES = sorted(read_index(TABLES))


@pytest.mark.parametrize("name", NAMES)
def test_table_is_readable_and_unchanged_since_it_was_entered(name):
    entry = read_index(TABLES)[name]
    assert hashlib.sha256((TABLES / entry["file"]).read_bytes()).hexdigest() == entry["sha256"], "an edited table must be entered again in index.csv"
    table = read_table(TABLES, name)
    assert table.rows
    assert set(table.units) | set(table.key) <= set(table.rows[0])
    assert all(row["origin"] in ("print", "memory") and row["source"] for row in table)


def test_every_table_file_is_in_the_index():
    assert {p.name for p in TABLES.glob("*.csv")} == {e["file"] for e in read_index(TABLES).values()} | {"index.csv"}


@pytest.mark.parametrize("sizes", [plates.plate_thicknesses, plates.flat_bar_widths])
@pytest.mark.parametrize("system", ["US", "SI"])
def test_sizes_ascend(sizes, system):
    assert list(sizes(system)) == sorted(set(sizes(system)))


def test_sizes_of_both_systems():
    """Common practice, no published source."""
    assert set(plates.plate_thicknesses()) >= {0.1875, 0.25, 0.375, 0.5}
    assert set(plates.flat_bar_widths()) >= {3, 4, 5, 6, 7, 8}
    assert [round(t * 25.4, 9) for t in plates.plate_thicknesses("SI")][:4] == [5, 6, 8, 10]
    assert 150 in [round(w * 25.4, 9) for w in plates.flat_bar_widths("SI")]
    with pytest.raises(NotCovered, match="metric"):
        plates.plate_thicknesses("metric")


def test_shop_grids():
    """1/16 and 1/4 in.; 1 and 5 mm, exactly."""
    assert plates.shop_grid() == plates.ShopGrid(Fraction(1, 16), Fraction(1, 4))
    assert plates.shop_grid("SI") == plates.ShopGrid(Fraction(10, 254), Fraction(50, 254))


@pytest.mark.parametrize("row", read_table(TABLES, "steel_grades").rows, ids=lambda r: str(r["grade"]))
def test_stocked_steel_is_the_steel_of_the_standard(row):
    ours, standard = plates.plate_steel(str(row["grade"])), steel_grade(str(row["grade"]))
    assert (ours.F_y, ours.F_u) == (standard.F_y, standard.F_u)
    assert ours.cite.status is TableStatus.FROM_MEMORY


def test_a36():
    assert (plates.plate_steel().F_y, plates.plate_steel().F_u) == (36e3, 58e3)
    with pytest.raises(NotCovered):
        plates.plate_steel("ASTM A1")


def test_steel_weighs_490_pcf():
    assert plates.steel_unit_weight() * 1728 == pytest.approx(490)


@pytest.mark.parametrize(("thickness", "nominal", "resawn"), [(1.5, 2, False), (1.4375, 2, True), (1.5625, 3, True), (3.25, 4, True),
                                                           (5.5, 6, False)])  # fmt: skip
def test_filler_stock(thickness, nominal, resawn):
    """Dressed sizes of PS 20 (from memory): 2x is 1-1/2, 3x 2-1/2, 4x 3-1/2, 6x 5-1/2."""
    found = plates.filler_stock(thickness)
    assert (found.nominal, found.resawn) == (nominal, resawn)
    assert found.dressed >= thickness


@pytest.mark.parametrize("thickness", [0.0, -1.0, 8.0])
def test_a_filler_that_no_lumber_gives(thickness):
    with pytest.raises(NotCovered):
        plates.filler_stock(thickness)


@pytest.mark.parametrize(
    ("size", "fits"),
    [((2.5, 11.25, 240.0), True), ((2.5, 11.25, 240.25), False), ((2.5, 11.5, 96.0), False), ((7.5, 9.5, 96.0), True), ((7.75, 9.5, 96.0), False)],
)
def test_which_sizes_are_sawn(size: tuple[float, float, float], fits: bool) -> None:
    """PS 20 dressed sizes (from memory), lengths by common practice: no published source."""
    assert plates.sawn_stock_fits(*size) is fits


def test_widths_of_glulam() -> None:
    """AITC 117-93 as an engineer quotes it (seaintarchive.org, 1997b msg00823): western species."""
    assert plates.glulam_widths("Douglas Fir-Larch")[:4] == (2.5, 3.125, 3.5, 5.125)
    assert plates.glulam_widths("Oak") == ()
    assert plates.lumber_lengths("SI")[-1] == pytest.approx(6000 / 25.4)
