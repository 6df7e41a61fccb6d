"""Everything that a sheet states in words and figures: each figure of its tables, captions and callouts is changed, one at a time, and found."""

from __future__ import annotations

import sys
from pathlib import Path

import ezdxf
import pytest

from detailgen.checker import check_file
from detailgen.checker.dimensions import length_in
from detailgen.checker.dxf_text import read_text
from detailgen.checker.read_dxf import read_dxf
from detailgen.checker.sheet_tables import paragraphs, tables
from detailgen.core.result import State
from detailgen.core.units import SI, US

sys.path.append(str(Path(__file__).parents[1] / "outputs"))  # the hand-made package is theirs
detail_package = pytest.importorskip("detail_package")


def drawn(units, folder):
    from detailgen.outputs.drawings.detail_sheet import draw_detail
    from detailgen.outputs.drawings.dxf import write_dxf

    made = detail_package.make_package(units)
    path = folder / "sheet.dxf"
    write_dxf(draw_detail(made.details[0], made)[0], path)
    return path


@pytest.fixture(scope="module")
def inch_sheet(tmp_path_factory):
    return drawn(US, tmp_path_factory.mktemp("inch"))


@pytest.fixture(scope="module")
def mm_sheet(tmp_path_factory):
    return drawn(SI, tmp_path_factory.mktemp("mm"))


@pytest.fixture(params=["inch", "mm"])
def sheet(request, inch_sheet, mm_sheet):
    return inch_sheet if request.param == "inch" else mm_sheet


def failing(path):
    return [r for r in check_file(path) if r.state is not State.PASSES]


def test_tables_are_found_in_loose_texts(sheet):
    drawing = read_dxf(sheet)
    found = {t.title: t for t in tables(drawing.texts)}
    assert set(found) == {"PARTS", "BOLTS", "HOLES", "WHY"}
    assert not any(t.missing for t in found.values())
    assert [r["Mark"] for r in found["PARTS"].rows] == ["PL-1", "FB-1", "(E)", "(E)", "(E)"]
    assert found["BOLTS"].rows[0]["Nuts"] == "12"
    assert len({r["x"] for r in found["HOLES"].rows}) == 5
    assert any(p.text.startswith("(N) 12 bolts") and "ASTM A307" in p.text for p in paragraphs(drawing.texts))


def test_what_agrees_is_counted(sheet):
    result = next(r for r in check_file(sheet) if r.where == "tables and captions")
    assert result.state is State.PASSES
    assert int(result.check.split(" ")[0]) > 150


CHANGES = {
    # what stands there -> what is written instead, where it must be found
    "plate length in the list": ("1/4\" x 7\" x 3'-4 1/2\"", "1/4\" x 7\" x 3'-5 1/2\"", "PL-1"),
    "plate material in the list": ("ASTM A36, galvanized", "ASTM A99, galvanized", "table PARTS, row PL-1"),
    "plates in the project": ("2 / 2", "3 / 2", "PARTS"),
    "block that is too thin": ("3 1/4\" x 7\"", "3\" x 7\"", "FB-1"),
    "mark in the list": ("FB-1", "FB-7", "FB-7"),
    "weight of a plate": ("19.7", "20.7", "table PARTS, row PL-1"),
    "bolts in the list": ("12", "13", "table BOLTS"),
    "length of the bolts": ("10\"", "9\"", "12 bolts"),
    "bolts shorter than the grip": ("10\"", "8\"", "BOLTS"),
    "diameter of the bolts": ("3/4\" dia", "1\" dia", "BOLTS"),
    "grade of the bolts": ("ASTM A307", "ASTM A399", "12 bolts"),
    "grip": ("8 3/4\"", "9 3/4\"", "table BOLTS"),
    "washers": ("24", "23", "table BOLTS"),
    "ordinate of a plate hole": ("1 1/4\"; 5 3/4\"; 10", "1 1/4\"; 5 7/8\"; 10", "table HOLES and plate"),
    "ordinate across a block": ("1 1/2\"; 5 1/2\"", "1 1/2\"; 5 3/4\"", "table HOLES"),
    "hole forgotten": ("2 1/2\"; 7\"; 11 1/2\"", "2 1/2\"; 11 1/2\"", "table HOLES and filler"),
    "diameter of holes": ("13/16\"", "15/16\"", "table HOLES"),
    "made": ("shop", "field", "PL-1"),
    "ordinates from another work point": ("10\"; 1'-2 1/2\"; 1'-7\" (WP)", "10 1/2\"; 1'-3\"; 1'-7 1/2\" (WP)", "table HOLES and ply-near-right"),
    "reason: end distance": ("7\"", "6\"", ""),
    "callout of holes": ("12 holes 13/16\" dia, in the shop", "10 holes 13/16\" dia, in the shop", "callout '10 holes"),
    "callout of bolts": ("(N) 12 bolts 3/4\" dia x 10\", ASTM", "(N) 10 bolts 3/4\" dia x 10\", ASTM", "callout '10 bolts"),
    "caption of the plate": ("PL-1, 2 required", "PL-1, 3 required", "'PL-1, 3 required'"),
    "caption of another mark": ("PL-1, 2 required", "PL-9, 2 required", "caption of plate"),
    "label of a plate": ("(N) PL-1 inner splice plate, near side", "(N) PL-4 inner splice plate, near side", "'(N) PL-4'"),
    "size of an old ply": ("(E) near ply, 2 1/2\" x 9 1/2\",", "(E) near ply, 2 1/2\" x 8 1/2\",", "label '(E) near ply'"),
    "cut out": ("Cut out 6\" of the near ply", "Cut out 5\" of the near ply", "'Cut out 5"),
    "place of the section": ("at 10\" right of WP", "at 11\" right of WP", "section 'at 11"),
    "side of the section": ("at 10\" right of WP", "at 12\" left of WP", "section 'at 12"),
}  # fmt: skip


@pytest.mark.parametrize("name", CHANGES)
def test_every_changed_statement_is_found(name, inch_sheet, tmp_path):
    old, new, where = CHANGES[name]
    doc = ezdxf.readfile(inch_sheet)
    texts = [e for space in (doc.layouts.get("Sheet"), doc.modelspace()) for e in space.query("TEXT")]  # tables stand on the paper
    said = next((e for e in texts if e.dxf.text == old), None) or next(e for e in texts if e.dxf.text.startswith(old))
    said.dxf.text = said.dxf.text.replace(old, new, 1)
    doc.saveas(tmp_path / "changed.dxf")
    found = failing(tmp_path / "changed.dxf")
    assert any(where in r.where for r in found), (said.dxf.text, found)


@pytest.mark.parametrize(("old", "new"), [("12 holes 20.6 mm dia", "10 holes 20.6 mm dia"), ("6.4 x 177.8 x", "6.4 x 180 x"), ("222.3 mm", "240 mm")])
def test_statements_in_millimetres(old, new, mm_sheet, tmp_path):
    whole = mm_sheet.read_text(encoding="utf-8")
    assert old in whole
    (tmp_path / "changed.dxf").write_text(whole.replace(old, new, 1), encoding="utf-8")
    assert [r for r in failing(tmp_path / "changed.dxf") if r.state is State.DOES_NOT_PASS]


def test_a_scale_that_is_not_the_windows(sheet, tmp_path):
    whole = sheet.read_text(encoding="utf-8")
    scale = next(t.text for t in read_dxf(sheet).texts if t.text.startswith("Scale ") and "noted" not in t.text)
    other = scale.replace("Scale 3", "Scale 6") if '"' in scale else "Scale 1:3"
    (tmp_path / "changed.dxf").write_text(whole.replace(f"\n{scale}\n", f"\n{other}\n", 1), encoding="utf-8")
    assert [r.where for r in failing(tmp_path / "changed.dxf")] == [f"'{other}'"]


def heads(doc):
    return [e for e in doc.modelspace().query("LWPOLYLINE") if len(e) == 6 and "BOLT" in e.dxf.layer]


def test_a_bolt_of_the_elevation_that_stands_elsewhere(sheet, tmp_path):
    doc = ezdxf.readfile(sheet)
    heads(doc)[0].translate(1, 0, 0)
    doc.saveas(tmp_path / "changed.dxf")
    found = failing(tmp_path / "changed.dxf")
    assert any(r.where == "elevation, group B1" and "no bolt where" in r.check for r in found)


def test_a_bolt_in_a_no_drill_zone(sheet, tmp_path):
    doc = ezdxf.readfile(sheet)
    zones = [e for e in doc.modelspace().query("LWPOLYLINE") if "ZONE" in e.dxf.layer]
    assert zones
    per_inch = 25.4 if doc.header["$INSUNITS"] == 4 else 1.0
    x, y = (v * per_inch for v in read_dxf(sheet).heads[0])
    zones[0].set_points([(x - 5, y - 5), (x + 5, y - 5), (x + 5, y + 5), (x - 5, y + 5)], format="xy")
    doc.saveas(tmp_path / "changed.dxf")
    assert any(r.check == "a new bolt in a no-drill zone" for r in failing(tmp_path / "changed.dxf"))


def test_a_table_without_a_column_cannot_be_checked(sheet, tmp_path):
    whole = sheet.read_text(encoding="utf-8")
    (tmp_path / "changed.dxf").write_text(whole.replace("\nMade\n", "\nHow\n", 1), encoding="utf-8")
    assert [(r.state, r.where, r.missing) for r in failing(tmp_path / "changed.dxf")] == [
        (State.CANNOT_BE_CHECKED, "table HOLES", "its column Made"),
    ]


@pytest.mark.parametrize(("text", "metric", "inches"), [("18'-6\" to WP of S-501", False, 222), ("470 to WP of S-501", True, 470 / 25.4)])
def test_a_sheet_number_is_no_length(text, metric, inches):
    assert length_in(text, metric) == pytest.approx(inches)


def test_the_reading_is_lean(sheet):
    """The text of a sheet becomes entities without any library."""
    assert len(read_text(sheet).entities) > 300
