"""assess --compare: our forces beside those of another analysis, from a table or a workbook."""

from __future__ import annotations

import csv
from pathlib import Path

from command_line import SAMPLES, detailgen_run, only_project
from openpyxl import Workbook

TABLE = SAMPLES / "printworks" / "forces_T5.csv"


def test_the_largest_difference_of_each_member_is_told(tmp_path: Path) -> None:
    answer = detailgen_run("assess", SAMPLES / "printworks", "--compare", TABLE, "--out", tmp_path / "out")
    assert answer.code == 1, answer.err
    assert "Truss T5, intact: largest difference from the other analysis" in " ".join(answer.out.split())
    with (only_project(tmp_path / "out") / "comparison.csv").open(encoding="utf-8") as stream:
        rows = list(csv.DictReader(stream))
    assert {r["force"] for r in rows} == {"axial", "shear", "moment"}
    assert {r["truss"] for r in rows} == {"T5"}
    axial = [float(r["share_of_greatest"]) for r in rows if r["force"] == "axial"]
    assert 0.0 < max(axial) < 0.03  # the sample's table was rounded to tens and made with slightly other sections


def test_a_workbook_of_our_own_forces_differs_by_rounding_only(tmp_path: Path) -> None:
    first = detailgen_run("assess", SAMPLES / "boathouse", "--out", tmp_path / "out")
    assert first.code == 1, first.err
    book = Workbook()
    with (only_project(tmp_path / "out") / "analysis" / "forces.csv").open(encoding="utf-8") as stream:
        for row in csv.reader(stream):
            book.active.append(row)
    book.save(tmp_path / "theirs.xlsx")
    again = detailgen_run("assess", SAMPLES / "boathouse", "--compare", tmp_path / "theirs.xlsx", "--out", tmp_path / "out")
    words = " ".join(again.out.split())
    for structure in ("intact", "as found"):
        assert f"Truss C, {structure}: largest difference from the other analysis, of the greatest of its kind: axial 0.0 %" in words
    assert again.code == 1


def test_what_cannot_be_compared_is_told(tmp_path: Path) -> None:
    other = tmp_path / "other.csv"
    other.write_text(TABLE.read_text(encoding="utf-8").replace("T5,", "T9,"), encoding="utf-8")
    answer = detailgen_run("assess", SAMPLES / "printworks", "--compare", other, "--out", tmp_path / "out")
    assert answer.code == 2
    assert "nothing that could be compared" in answer.err
    assert "trusses T2, T3, T5" in answer.err
    assert not (tmp_path / "out").exists() or not any((tmp_path / "out").iterdir())
    missing = detailgen_run("assess", SAMPLES / "printworks", "--compare", tmp_path / "none.xlsx", "--out", tmp_path / "out")
    assert missing.code == 2
    assert "no such file" in missing.err
