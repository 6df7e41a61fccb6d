"""The same repair on several trusses: one mark, one cut file and one shop drawing for all, and lists that say where each goes."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import pytest
from sample_trusses import US_SAMPLE, project, truss

from detailgen import pipeline
from detailgen.model.package import Package
from detailgen.outputs.drawings.cut_files import write_cut_files
from detailgen.outputs.drawings.shapes import Text
from detailgen.outputs.drawings.shop_sheets import draw_shop
from detailgen.outputs.schedules.writing import write_lists

MARKS = ("T2", "T6", "T7")


@pytest.fixture(scope="module")
def package() -> Package:
    found = truss(US_SAMPLE, "T2")
    alike = tuple(replace(found, mark=mark, bay=f"grid line {mark[1:]}") for mark in MARKS)
    return pipeline.decide(replace(project(US_SAMPLE), trusses=alike), (), {}, jobs=1, progress=lambda _: None)[0]


def test_the_details_are_the_same_but_for_their_truss(package: Package) -> None:
    first, *others = package.details
    assert [replace(d, key=first.key, truss=first.truss) == first for d in others] == [True, True]


def test_one_mark_for_all(package: Package) -> None:
    plates = [m for m in package.marks if m.part.material == "steel"]
    assert len(plates) == 1
    assert plates[0].quantity == 6  # two plates at each of three joints
    assert {key for key, _ in plates[0].uses} == {f"{mark}-splice-1" for mark in MARKS}


def test_one_cut_file_and_one_shop_drawing_with_the_whole_quantity(package: Package, tmp_path: Path) -> None:
    (file,) = write_cut_files(package, tmp_path / "cut")
    assert file.name == "PL-1_1-4in_x6.dxf"
    texts = [shape.text for sheet in draw_shop(package) for shape in sheet.paper if isinstance(shape, Text)]
    assert texts.count("PL-1") == 1
    assert "cut/PL-1_1-4in_x6.dxf" in texts


def test_lists_say_where_each_goes(package: Package, tmp_path: Path) -> None:
    write_lists(package, tmp_path)
    with (tmp_path / "joints.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [(r["truss"], r["joint"], "PL-1 x2" in r["parts"]) for r in rows] == [(m, f"{m}-splice-1", True) for m in MARKS]
    with (tmp_path / "bolts.csv").open(encoding="utf-8", newline="") as file:
        (bolts,) = csv.DictReader(file)
    assert bolts["where"] == "; ".join(f"{m}-splice-1: 8" for m in MARKS)
