"""All sheets of a package, read back from disk: numbers, index, bubbles that point at sheets, lettering that stands free, dimensions that agree."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest
from detail_package import make_package
from hand_made import OVER, make_assessment, make_truss
from sheet_reader import read_dxf, read_svg
from splice_fixture import splice_detail
from test_sheets import _collisions

from detailgen.core.errors import OutputError
from detailgen.core.units import MM, SI, US
from detailgen.model.package import Refusal
from detailgen.outputs.drawings import write_dxf, write_svg
from detailgen.outputs.drawings.detail_words import number
from detailgen.outputs.drawings.firm_notes import note_lines
from detailgen.outputs.drawings.layers import LAYERS
from detailgen.outputs.drawings.sheet_frame import looking
from detailgen.outputs.drawings.sheet_set import draw_set


def _two_joints():
    """Two joints of one truss, the second at the other half."""
    one, other = splice_detail(), replace(splice_detail(), key="T2-splice-2", station=470.0)
    package = make_package(US, one)
    repaired = replace(package.trusses[0], details=(one, other), status={one.key: "PROPOSED", other.key: "PRELIMINARY"})
    marks = tuple(replace(m, uses=(*m.uses, *((other.key, k) for _, k in m.uses))) for m in package.marks)
    return replace(package, trusses=(repaired,), marks=marks)


def _without_repair():
    package = make_package(US)
    truss = make_truss("T9")
    before = make_assessment(truss, OVER, no_path="Joint L4 can move down")
    refused = Refusal("T9-splice-1", "splice", "T9", "no layout fits: 1/2 in. short", "")
    after = replace(before.intact, structure="as repaired")
    bare = replace(package.trusses[0], before=before, after=after, details=(), refusals=(refused,), status={})
    return replace(package, trusses=(*package.trusses, bare))


PRELIMINARY_ON = {"truss_T9": "PRELIMINARY", "T2-splice-2": "PRELIMINARY"}
PACKAGES = {"feet": make_package(US), "metric": make_package(SI), "two joints": _two_joints(), "one without repair": _without_repair()}


@pytest.fixture(params=list(PACKAGES), scope="module")
def written(request, tmp_path_factory):
    package, folder = PACKAGES[request.param], tmp_path_factory.mktemp("set")
    sheets = list(draw_set(package))
    for sheet in sheets:
        write_svg(sheet.drawing, folder / f"{sheet.file}.svg")
        write_dxf(sheet.drawing, folder / f"{sheet.file}.dxf")
    return package, sheets, folder


def words_of(folder, sheet):
    return " ".join(w for _, w, _ in read_svg(folder / f"{sheet.file}.svg")[1])


def test_texts_stand_free_and_inside_the_frame(written):
    _, sheets, folder = written
    for sheet in sheets:
        x0, y0, x1, y1 = (v / MM + e for v, e in zip(sheet.drawing.sheet.inner, (-1e-3, -1e-3, 1e-3, 1e-3), strict=True))
        _, texts, strokes = read_svg(folder / f"{sheet.file}.svg")
        assert _collisions([(words, box) for _, words, box in texts], strokes) == [], sheet.file
        points = [p for _, _, box in texts for p in box] + [p for _, segment in strokes for p in segment]
        assert all(x0 <= x <= x1 and y0 <= y <= y1 for x, y in points), sheet.file


def test_the_auditor_finds_nothing_and_layers_are_known(written):
    package, sheets, folder = written
    known = {layer.name(package.project.units) for layer in LAYERS.values()}
    least = (1 / 8 if package.project.units is US else 3.5) - 1e-9
    for sheet in sheets:
        doc, _, strokes = read_dxf(folder / f"{sheet.file}.dxf")
        auditor = doc.audit()
        assert [e.message for e in (*auditor.errors, *auditor.fixes)] == [], sheet.file
        for space in (doc.modelspace(), doc.paperspace("Sheet")):
            assert {e.dxf.layer for e in space if not (e.dxftype() == "VIEWPORT" and e.dxf.id == 1)} <= known
        assert all(e.dxf.height >= least for e in doc.paperspace("Sheet").query("TEXT"))
        assert all(math.dist(a, b) > 1e-6 for _, (a, b) in (*strokes["model"], *strokes["sheet"]))


def test_dimensions_of_trusses_say_what_they_measure(written):
    package, sheets, folder = written
    units = package.project.units
    unit = 1.0 if units is US else MM
    for sheet in sheets:
        if not sheet.file.startswith("truss_"):
            continue
        doc, _, _ = read_dxf(folder / f"{sheet.file}.dxf")
        found = list(doc.modelspace().query("DIMENSION"))
        assert found
        for d in found:
            words = next(iter(doc.blocks.get(d.dxf.geometry).query("TEXT"))).dxf.text
            assert words == d.dxf.text.replace("<>", number(d.get_measurement() * unit, units))


def test_the_index_names_every_sheet_and_numbers_are_used_once(written):
    _, sheets, folder = written
    numbers = [s.drawing.name for s in sheets]
    assert len(set(numbers)) == len(numbers)
    assert numbers[0] == "S-001"
    assert numbers == sorted(numbers)
    cover = words_of(folder, sheets[0])
    for sheet in sheets:
        assert f"{sheet.drawing.name} " in cover
        assert f"Sheet {sheet.drawing.name} " in words_of(folder, sheet)
    assert len({s.file for s in sheets}) == len(sheets)


def test_every_sheet_bears_status_cautions_scale_revision(written):
    package, sheets, folder = written
    for sheet in sheets:
        words = words_of(folder, sheet)
        for said in ("Not for construction", "Revision A", "Scale ", "sheet", package.project.name, PRELIMINARY_ON.get(sheet.file, "PROPOSED")):
            assert said in words, (sheet.file, said)


def test_bubbles_point_at_sheets_that_exist_and_each_detail_has_one(written):
    package, sheets, folder = written
    numbers = {s.drawing.name for s in sheets}
    for sheet in sheets:
        if not sheet.file.endswith("_repair"):
            continue
        words = words_of(folder, sheet)
        assert set(re.findall(r"S-\d{3}", words)) <= numbers
        doc, texts, _ = read_dxf(folder / f"{sheet.file}.dxf")
        lettered = [w for w, _ in texts["model"]]
        mark = sheet.file.removeprefix("truss_").removesuffix("_repair")
        details = next(t for t in package.trusses if t.before.truss.mark == mark).details
        for k, detail in enumerate(details, 1):
            target = f"S-{501 + [d.key for d in package.details].index(detail.key)}"
            assert str(k) in lettered
            assert target in lettered
            unit = 1.0 if package.project.units is US else 25.4
            along = [d for d in doc.modelspace().query("DIMENSION") if d.dxf.text == f"WP of {target}: <>"]
            assert [d.get_measurement() for d in along] == [pytest.approx(detail.station * unit, abs=1e-4)]


def test_what_is_cut_out_is_drawn_as_long_as_the_detail_says(written):
    package, sheets, folder = written
    us = package.project.units is US
    for sheet in sheets:
        if not sheet.file.endswith("_repair"):
            continue
        doc, _, _ = read_dxf(folder / f"{sheet.file}.dxf")
        drawn = [e for e in doc.modelspace().query("LWPOLYLINE") if e.dxf.layer == ("S-TRUS-WOOD-D" if us else "S-TRWOODE-D")]
        mark = sheet.file.removeprefix("truss_").removesuffix("_repair")
        details = next(t for t in package.trusses if t.before.truss.mark == mark).details
        wide = sorted(max(p[0] for p in e.get_points()) - min(p[0] for p in e.get_points()) for e in drawn)
        assert wide == [pytest.approx(6.0 if us else 152.4, abs=1e-3)] * len(details)  # the hand-made joint is cut 6 in. long
        assert "cut out 6" in words_of(folder, sheet) if us else "cut out 152.4 mm" in words_of(folder, sheet)
        assert words_of(folder, sheet).count("under all plies") == 2 * len(details)  # a shore on both sides of each joint


def test_a_truss_without_repair_has_only_its_sheet_as_found(written):
    package, sheets, folder = written
    if package is not PACKAGES["one without repair"]:
        return
    assert [s.drawing.name for s in sheets] == ["S-001", "S-201", "S-202", "S-203", "S-501", "S-601", "S-701", "S-801"]
    assert "not repaired here" in words_of(folder, sheets[0])
    assert "NO SAFE LOAD PATH" in words_of(folder, next(s for s in sheets if s.file == "truss_T9"))


def test_a_field_that_nobody_knows_is_named(monkeypatch):
    monkeypatch.setattr("detailgen.outputs.drawings.firm_notes.template_lines", lambda *_: ["All well.", "Roof of {building}."])
    with pytest.raises(OutputError, match=r"general.txt, note 2: the field \{building\} is not known. Allowed are \{project\}"):
        note_lines("notes/general.txt", PACKAGES["feet"])


def test_fields_are_filled_in(monkeypatch):
    monkeypatch.setattr("detailgen.outputs.drawings.firm_notes.template_lines", lambda *_: ["{project}: {trusses}; {plate grade}"])
    package = PACKAGES["feet"]
    assert note_lines("x", package) == [f"{package.project.name}: T2; ASTM A36"]


@pytest.mark.parametrize(
    ("view", "near", "far"),
    [("looking north", "looking north", "looking south"), ("south-west", "looking south-west", "looking north-east"), ("", "", ""),
     ("toward the river", "looking toward the river", "looking against the direction 'toward the river'")],
)  # fmt: skip
def test_from_the_far_side_one_looks_the_other_way(view, near, far):
    project = replace(PACKAGES["feet"].project, view=view)
    assert (looking(project), looking(project, behind=True)) == (near, far)


def test_sheets_for_the_shop_say_so_and_hold_every_mark(written):
    package, sheets, folder = written
    words = {s.file: words_of(folder, s) for s in sheets}
    assert "Shop sheet, not sealed" in words["shop_parts"]
    assert all("Design sheet" in w for f, w in words.items() if not f.startswith(("shop_parts", "field_form")))
    for marked in package.marks:
        assert f"{marked.mark}, {marked.quantity} required" in words["shop_parts"]
        assert marked.mark in words["schedules"]
    assert "accept low" in words["field_form"]
    if package.project.units is US:  # no decimals on a sheet in feet and inches but weights and areas
        decimals = re.findall(r"\d+\.\d+", words["field_form"] + words["schedules"].split("PLATES BY")[0].split("BOLTS")[1])
        assert decimals == []
