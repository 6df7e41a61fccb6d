"""Sheets that only list, and lists that go on on another sheet: every row against the drawings that are checked together."""

from __future__ import annotations

import shutil
import sys
from dataclasses import replace
from pathlib import Path

import ezdxf
import pytest
from splice_fixture import splice_detail

from detailgen.checker import check_paths
from detailgen.core.result import State
from detailgen.core.units import SI, US

sys.path.append(str(Path(__file__).parents[1] / "outputs"))  # the hand-made package is theirs
detail_package = pytest.importorskip("detail_package")


def written(made, folder):
    from detailgen.outputs.drawings.cut_files import write_cut_files
    from detailgen.outputs.drawings.detail_sheet import draw_detail
    from detailgen.outputs.drawings.dxf import write_dxf
    from detailgen.outputs.drawings.shop_sheets import draw_field_form, draw_schedules, draw_shop

    (folder / "drawings").mkdir()
    sheets = {"joint": draw_detail(made.details[0], made), "schedules": draw_schedules(made), "shop": draw_shop(made), "form": draw_field_form(made)}
    for name, drawings in sheets.items():
        for page, drawing in enumerate(drawings, 1):
            write_dxf(drawing, folder / "drawings" / f"{name}-{page}.dxf")
    write_cut_files(made, folder / "cut")
    return folder


@pytest.fixture(scope="module", params=[US, SI], ids=["inch", "mm"])
def sound(request, tmp_path_factory):
    return written(detail_package.make_package(request.param), tmp_path_factory.mktemp("lists"))


@pytest.fixture(scope="module")
def inch(tmp_path_factory):
    return written(detail_package.make_package(US), tmp_path_factory.mktemp("lists"))


def failing(*paths):
    return [(name, r) for name, rs in check_paths(paths).results.items() for r in rs if r.state is not State.PASSES]


def test_all_lists_agree(sound):
    assert [(n, r.where, r.check, r.missing) for n, r in failing(sound)] == []
    results = check_paths([sound]).results
    for sheet in ("schedules", "shop", "form"):
        (listed,) = (r for name, rs in results.items() if f"{sheet}-1" in name for r in rs if r.where == "lists")
        assert int(listed.check.split()[0]) >= 5


@pytest.mark.parametrize("sheet", ["schedules", "shop", "form"])
def test_alone_a_list_cannot_be_checked(sheet, inch):
    found = failing(inch / "drawings" / f"{sheet}-1.dxf")
    assert any("drawings of the joints" in r.missing for _, r in found)


def cells(doc):
    """Texts of the sheet by table: heading, row by its first cell, texts from left to right."""
    texts = list(doc.layouts.get("Sheet").query("TEXT"))
    return sorted(texts, key=lambda t: (-round(t.dxf.insert.y, 2), t.dxf.insert.x))


def edited(folder, tmp_path, sheet, table, row, old, new):
    """Change one cell in one row of a table."""
    copy = tmp_path / "edited"
    shutil.copytree(folder, copy)
    path = copy / "drawings" / f"{sheet}-1.dxf"
    doc = ezdxf.readfile(path)
    texts = cells(doc)
    start = next(t for t in texts if t.dxf.text == table)
    first = next(t for t in texts if t.dxf.text == row and t.dxf.insert.y < start.dxf.insert.y and abs(t.dxf.insert.x - start.dxf.insert.x) < 0.5)
    level = [t for t in texts if abs(t.dxf.insert.y - first.dxf.insert.y) < 0.01 and t.dxf.insert.x >= first.dxf.insert.x]
    cell = next(t for t in level if t.dxf.text == old)
    cell.dxf.text = new
    doc.saveas(path)
    return failing(copy)


FAULTS = {
    "parts, length": ("schedules", "PARTS", "PL-1", "3'-4 1/2\"", "3'-5 1/2\"", "states the length"),
    "parts, width": ("schedules", "PARTS", "PL-1", '7"', '8"', "states the width"),
    "parts, thickness": ("schedules", "PARTS", "PL-1", '1/4"', '3/8"', "states the thickness"),
    "parts, quantity": ("schedules", "PARTS", "PL-1", "2", "3", "quantity 3"),
    "parts, mark": ("schedules", "PARTS", "PL-1", "PL-1", "PL-9", "no face view shows PL-9"),
    "parts, file": ("schedules", "PARTS", "PL-1", "cut/PL-1_1-4in_x2.dxf", "cut/PL-1_1-4in_x4.dxf", "names the file"),
    "bolts, quantity": ("schedules", "BOLTS", '3/4"', "12", "10", "quantity"),
    "bolts, nuts": ("schedules", "BOLTS", '3/4"', "14", "12", "nuts"),
    "bolts, diameter": ("schedules", "BOLTS", '3/4"', '3/4"', '7/8"', "bolts"),
    "timber, length": ("schedules", "TIMBER TO CUT", "FB-1", "1'-0 3/4\"", '11 3/4"', "states the length"),
    "joints, bolts": ("schedules", "JOINTS SIDE BY SIDE", "S-501", "12", "10", "bolts"),
    "joints, spacing": ("schedules", "JOINTS SIDE BY SIDE", "S-501", '4 1/2"', '4"', "states the spacing"),
    "joints, layout": ("schedules", "JOINTS SIDE BY SIDE", "S-501", "2 rows of 3", "3 rows of 2", "rows"),
    "plates, quantity": ("schedules", "PLATES BY THICKNESS", '1/4"', "2", "4", "quantity"),
    "shop, weight": ("shop", "PARTS", "PL-1", None, "1.00", "states"),
    "form, accepted": ("form", "MEASURE ON SITE", "1", None, "9'-9\"", "accepts"),
    "form, depth": ("form", "MEASURE ON SITE", None, '9 1/2"', '8 1/2"', ""),
}  # fmt: skip


@pytest.mark.parametrize("name", FAULTS)
def test_every_changed_cell_is_found(name, inch, tmp_path):
    sheet, table, row, old, new, words = FAULTS[name]
    doc = ezdxf.readfile(inch / "drawings" / f"{sheet}-1.dxf")
    texts = [t.dxf.text for t in cells(doc)]
    if row is None:
        at = next(k for k, t in enumerate(texts) if t.startswith("depth of"))
        row = next(t for t in reversed(texts[:at]) if t.isdecimal())
    if old is None:
        at = next(k for k in range(texts.index(table), len(texts)) if texts[k] == row)
        old = next(t for t in texts[at + 1 :] if ("." in t if sheet == "shop" else t.endswith('"')))
    found = edited(inch, tmp_path, sheet, table, row, old, new)
    assert any(f"{sheet}-1" in n and r.state is State.DOES_NOT_PASS and words in r.check and table in r.where for n, r in found), (
        [(n, r.where, r.check) for n, r in found],
        texts,
    )


def test_lists_that_go_on_on_another_sheet(tmp_path):
    """Together they are one; alone what is missing is named, and nothing is held against rows that are not there."""
    words = "this joint has been written with more notes than one sheet can hold, so that its lists go on elsewhere."
    more = detail_package.make_package(US, replace(splice_detail(), notes=tuple(f"Note {k}: {words}" for k in range(90))))
    folder = written(more, tmp_path)
    pages = sorted(folder.glob("drawings/joint-*.dxf"))
    assert len(pages) > 1
    assert [(n, r.where, r.check, r.missing) for n, r in failing(folder)] == []
    alone = failing(pages[0])
    assert {r.state for _, r in alone} == {State.CANNOT_BE_CHECKED}
    assert any("on which the lists go on" in r.missing for _, r in alone)
    doc = ezdxf.readfile(pages[1])
    cell = next((t for t in cells(doc) if t.dxf.text == "PL-1"), None)
    if cell is not None:  # a list of the joint stands there
        cell.dxf.text = "PL-9"
        doc.saveas(pages[1])
        assert any(r.state is State.DOES_NOT_PASS for n, r in failing(folder) if "joint-1" in n)
