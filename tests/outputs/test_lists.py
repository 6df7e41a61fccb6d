"""Lists for shop and supplier: columns as promised, sums that agree, counts against the detail."""

from __future__ import annotations

import csv
import io
import math
import zipfile
from dataclasses import replace

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from report_package import make_package
from splice_fixture import splice_detail

from detailgen.core.units import SI, US
from detailgen.model.detail import Vertex
from detailgen.model.package import Marked, Package
from detailgen.outputs.schedules.lists import cut_file_name, cut_list, extent, made, natural, parts_list, spares, thickness_name
from detailgen.outputs.schedules.writing import write_lists

PARTS = ["mark", "kind", "material", "quantity", "length_in", "width_in", "thickness_in", "weight_each_lb", "weight_total_lb"]
PARTS += ["finish", "made", "file"]
BOLTS = ["diameter_in", "grade", "length_in", "grip_min_in", "grip_max_in", "quantity", "spares", "nuts", "washers", "where"]
CUTS = ["mark", "quantity", "thickness_in", "width_in", "length_in", "species_grade"]


@pytest.fixture(scope="module")
def package() -> Package:
    return make_package(trusses=2)


def _read(path):
    with path.open(newline="", encoding="utf-8") as stream:
        return list(csv.DictReader(stream))


def test_columns_and_files(package, tmp_path):
    written = write_lists(package, tmp_path)
    assert [p.name for p in written] == ["parts.csv", "bolts.csv", "cut_list.csv", "plates.csv", "timber_order.csv",
                                         "timber_stock.csv", "joints.csv", "schedules.xlsx"]
    for name, columns in (("parts", PARTS), ("bolts", BOLTS), ("cut_list", CUTS)):
        assert list(_read(tmp_path / f"{name}.csv")[0]) == columns


def test_parts(package, tmp_path):
    write_lists(package, tmp_path)
    rows = {r["mark"]: r for r in _read(tmp_path / "parts.csv")}
    plate = rows["PL-1"]
    assert (plate["quantity"], plate["length_in"], plate["width_in"], plate["thickness_in"]) == ("4", "40.5", "7", "0.25")
    assert (plate["file"], plate["made"], plate["finish"]) == ("cut/PL-1_1-4in_x4.dxf", "shop", "galvanized")
    # By hand: (40.5 x 7 - 12 x pi/4 x 0.8125^2) x 0.25 x 490/1728 lb.
    assert float(plate["weight_each_lb"]) == pytest.approx((40.5 * 7 - 12 * math.pi / 4 * 0.8125**2) * 0.25 * 490 / 1728, abs=0.005)
    assert (rows["FB-1"]["file"], rows["FB-1"]["made"]) == ("", "field")
    for row in rows.values():
        assert float(row["weight_total_lb"]) == pytest.approx(float(row["weight_each_lb"]) * int(row["quantity"]), abs=1e-9)


def test_total_weight_is_that_of_all_new_parts(package, tmp_path):
    write_lists(package, tmp_path)
    listed = sum(float(r["weight_total_lb"]) for r in _read(tmp_path / "parts.csv"))
    built = sum(p.weight for d in package.details for p in d.parts if not p.existing)
    assert listed == pytest.approx(built, abs=0.005 * sum(m.quantity for m in package.marks))


def test_bolts(package, tmp_path):
    write_lists(package, tmp_path)
    (row,) = _read(tmp_path / "bolts.csv")
    count = sum(len(d.bolts) for d in package.details)
    assert int(row["quantity"]) == count == 24
    assert int(row["spares"]) == 2
    assert int(row["nuts"]) == 26
    assert int(row["washers"]) == 2 * 26
    assert row["grip_min_in"] == row["grip_max_in"] == "8.75"
    assert row["where"] == "T2-splice-near: 12; T3-splice-near: 12"


def test_bolts_are_ordered_by_size_with_their_range_of_grips(package):
    from detailgen.outputs.schedules.lists import bolts_list

    detail = package.details[0]
    sizes = [(0.75, 10.0, -1.0, 7.0), (0.75, 8.0, 0.0, 6.0), (0.625, 12.0, 0.0, 9.0), (0.75, 10.0, 0.0, 9.0)]
    bolts = tuple(replace(detail.bolts[0], diameter=d, length=n, low=a, high=b) for d, n, a, b in sizes)
    changed = replace(package, trusses=(replace(package.trusses[0], details=(replace(detail, bolts=bolts),)),))
    rows = bolts_list(changed).rows
    assert [(r[0], r[2], r[3], r[4], r[5]) for r in rows] == [(0.625, 12.0, 9.0, 9.0, 1), (0.75, 8.0, 6.0, 6.0, 1), (0.75, 10.0, 8.0, 9.0, 2)]


@given(st.integers(1, 5000))
def test_spares_are_five_percent_and_at_least_two(quantity):
    more = spares(quantity)
    assert more >= 2
    assert more >= 0.05 * quantity
    assert more == 2 or more - 1 < 0.05 * quantity


def test_cut_list_runs_along_the_grain(package):
    assert cut_list(package).rows == (("FB-1", 4, 3.25, 7.0, 12.75, "Douglas Fir-Larch No.2"),)
    mark = package.marks[1]
    turned = replace(mark, part=replace(mark.part, grain=math.pi / 2))
    assert cut_list(replace(package, marks=(turned,))).rows[0][2:5] == (3.25, 12.75, 7.0)


def test_marks_count_up():
    assert sorted(["PL-10", "PL-2", "FB-1", "PL-1"], key=natural) == ["FB-1", "PL-1", "PL-2", "PL-10"]


@pytest.mark.parametrize(
    ("thickness", "units", "name"),
    [(0.25, US, "1-4in"), (0.375, US, "3-8in"), (1.0, US, "1in"), (1.25, US, "1-1-4in"), (10 / 25.4, SI, "10mm"), (6.35 / 25.4, SI, "6.35mm")],
)
def test_thickness_in_file_names(thickness, units, name):
    assert thickness_name(thickness, units) == name


def test_plates_drilled_on_site_and_wood(package):
    part = splice_detail().part("plate-inner")
    both = replace(part, holes=(*part.holes[:1], replace(part.holes[1], template="plate-near")))
    assert made(both) == "shop and field"
    assert made(replace(part, holes=())) == "shop"
    assert cut_file_name(Marked("PL-2", both, (("a", "b"),)), US) == "cut/PL-2_1-4in_x1.dxf"
    assert cut_file_name(package.marks[1], US) == ""


def test_extent_counts_arcs():
    """A plate with half-round ends: a quarter-turn bulge of 1 is a half circle, so each end adds its radius."""
    part = splice_detail().part("plate-near")
    corners = (Vertex(-5.0, -2.0), Vertex(5.0, -2.0, 1.0), Vertex(5.0, 2.0), Vertex(-5.0, 2.0, 1.0))
    assert extent(replace(part, outline=corners)) == pytest.approx((14.0, 4.0))
    inward = (Vertex(-5.0, -2.0), Vertex(5.0, -2.0, -0.5), Vertex(5.0, 2.0), Vertex(-5.0, 2.0))
    assert extent(replace(part, outline=inward)) == pytest.approx((10.0, 4.0))


def test_si_columns_and_masses(tmp_path):
    package = make_package("printworks_si")
    write_lists(package, tmp_path)
    rows = {r["mark"]: r for r in _read(tmp_path / "parts.csv")}
    assert list(rows["PL-1"]) == [c.replace("_in", "_mm").replace("_lb", "_kg") for c in PARTS]
    assert rows["PL-1"]["length_mm"] == "1028.7"
    assert float(rows["PL-1"]["weight_each_kg"]) == pytest.approx(package.marks[0].part.weight * 0.45359237, abs=0.005)
    assert list(_read(tmp_path / "bolts.csv")[0]) == [c.replace("_in", "_mm") for c in BOLTS]


def test_the_workbook_has_the_same_numbers(package, tmp_path):
    write_lists(package, tmp_path)
    book = openpyxl.load_workbook(tmp_path / "schedules.xlsx")
    assert book.sheetnames == ["parts", "bolts", "cut_list", "plates", "timber_order", "timber_stock", "joints"]
    for sheet in book:
        with (tmp_path / f"{sheet.title}.csv").open(newline="", encoding="utf-8") as stream:
            rows = list(csv.reader(stream))
        found = [["" if c is None else f"{c:g}" if isinstance(c, float) else str(c) for c in row] for row in sheet.iter_rows(values_only=True)]
        assert found == rows


def test_the_workbook_carries_no_time_of_writing(package, tmp_path):
    write_lists(package, tmp_path)
    data = (tmp_path / "schedules.xlsx").read_bytes()
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        assert {i.date_time for i in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        core = archive.read("docProps/core.xml").decode()
    assert core.count(package.project.date) == 2


def test_nothing_to_say_is_not_written(package, tmp_path):
    bare = replace(package, marks=(), trusses=())
    assert write_lists(bare, tmp_path) == []
    assert list(tmp_path.iterdir()) == []
    steel = replace(package, marks=package.marks[:1])
    assert [p.name for p in write_lists(steel, tmp_path)] == ["parts.csv", "bolts.csv", "plates.csv", "joints.csv", "schedules.xlsx"]
    assert parts_list(steel).rows[0][0] == "PL-1"
