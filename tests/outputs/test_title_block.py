"""Frame and title block of a firm: read from its drawing, filled field by field, shown alike in DXF and SVG, every slip named."""

from __future__ import annotations

import re
from dataclasses import replace

import ezdxf
import pytest
from detail_package import make_package
from sheet_reader import read_dxf, read_svg

from detailgen.core.errors import OutputError
from detailgen.core.templates import copy_templates, template_path
from detailgen.core.units import MM, SI, US
from detailgen.outputs.drawings import write_dxf, write_svg
from detailgen.outputs.drawings.paper import set_paper
from detailgen.outputs.drawings.sheet_set import draw_set
from detailgen.outputs.drawings.title_block import FILES, REQUIRED, TAGS, read_title_block

US_BLOCK = FILES["US"]


@pytest.fixture
def firm(tmp_path):
    copy_templates(tmp_path / "firm")
    return tmp_path / "firm"


def package_of(firm, units=US, **project):
    package = make_package(units)
    return replace(package, project=replace(package.project, templates=str(firm), **project))


def edited(firm, change):
    """Change the block TITLE of the template as a drafter would."""
    path = firm / US_BLOCK
    doc = ezdxf.readfile(path)
    change(doc, doc.blocks.get("TITLE"))
    doc.saveas(path)


def cover(firm, tmp_path, **project):
    """The first sheet, written: its document, its title's fields, and the texts of its picture."""
    drawing = next(draw_set(package_of(firm, **project))).drawing
    write_dxf(drawing, tmp_path / "a.dxf")
    write_svg(drawing, tmp_path / "a.svg")
    doc = ezdxf.readfile(tmp_path / "a.dxf")
    auditor = doc.audit()
    assert [e.message for e in (*auditor.errors, *auditor.fixes)] == []
    (title,) = [i for i in doc.paperspace("Sheet").query("INSERT") if i.dxf.name == "TITLE"]
    return doc, {a.dxf.tag: a for a in title.attribs}, (tmp_path / "a.svg").read_text(encoding="utf-8")


def said(firm, **project):
    with pytest.raises(OutputError) as told:
        list(draw_set(package_of(firm, **project)))
    return str(told.value)


def field(block, tag):
    return next(a for a in block.query("ATTDEF") if a.dxf.tag == tag)


@pytest.mark.parametrize("units", [US, SI], ids=["US", "SI"])
def test_the_description_says_every_field(units):
    words = template_path("sheets/title_block.txt").read_text(encoding="utf-8")
    rows = dict(re.findall(r"^  ([A-Z_]+) {2,}(.+)$", words, re.MULTILINE))
    assert {k: v.removesuffix("needed").strip() for k, v in rows.items() if k in TAGS} == TAGS
    assert {k for k, v in rows.items() if v.endswith("needed")} == set(REQUIRED)
    for paper in ("ANSI D", "ARCH D", "ISO A1", "ISO A3"):
        assert f"FRAME {paper}" in words
    block = read_title_block(set_paper(units, ""), units, "")
    assert {s.tag for s in block.slots if not s.tag[-1].isdigit()} == set(TAGS)


@pytest.mark.parametrize("units", [US, SI], ids=["US", "SI"])
def test_every_sheet_has_the_block_with_its_fields_filled(units, tmp_path):
    package = make_package(units)
    for sheet in draw_set(package):
        write_dxf(sheet.drawing, tmp_path / "a.dxf")
        doc = ezdxf.readfile(tmp_path / "a.dxf")
        inserts = {i.dxf.name: i for i in doc.paperspace("Sheet").query("INSERT")}
        assert set(inserts) == {"FRAME", "TITLE"}
        found = {a.dxf.tag: a.dxf.text for a in inserts["TITLE"].attribs}
        assert list(found) == [a.dxf.tag for a in doc.blocks.get("TITLE").query("ATTDEF")]
        assert all(a.dxf.text == "" and a.dxf.prompt for a in doc.blocks.get("TITLE").query("ATTDEF"))
        assert found["SHEET"] == sheet.drawing.name
        assert " ".join(f"{found['TITLE']} {found['TITLE_2']}".split()) in sheet.drawing.title
        project = package.project
        wanted = (project.name, project.revision, project.date, sheet.drawing.sheet.name)
        assert tuple(found[t] for t in ("PROJECT", "REVISION", "DATE", "PAPER")) == wanted
        assert found["UNITS"] == ("feet and inches" if units is US else "millimetres")
        unit = 1.0 if units is US else 1 / MM
        corner = inserts["TITLE"].dxf.insert
        _, y0, x1, _ = sheet.drawing.sheet.inner
        assert (corner.x, corner.y) == pytest.approx((x1 * unit, y0 * unit), abs=1e-5)


@pytest.mark.parametrize("units", [US, SI], ids=["US", "SI"])
def test_the_picture_shows_what_the_dxf_shows(units, tmp_path):
    drawing = next(draw_set(make_package(units))).drawing
    write_dxf(drawing, tmp_path / "a.dxf")
    write_svg(drawing, tmp_path / "a.svg")
    unit = 25.4 if units is US else 1.0
    _, texts, strokes = read_dxf(tmp_path / "a.dxf")
    _, shown, lines = read_svg(tmp_path / "a.svg")

    ours = [(words, box[0][0] * unit, box[0][1] * unit) for words, box in texts["sheet"]]
    theirs = [(words, *box[0]) for _, words, box in shown]
    assert len(ours) == len(theirs) > 100
    for words, x, y in ours:
        assert any(w == words and abs(u - x) < 0.02 and abs(v - y) < 0.02 for w, u, v in theirs), words
    titled = [s for layer, s in strokes["sheet"] if layer in ("S-ANNO-TTLB", "S-ANNO-TTLB-BRDR", "S-ANTTLBB--", "S-ANBRDRB--")]
    assert len(titled) == sum(layer in ("title", "border") for layer, _ in lines)


def test_a_drafter_can_write_a_field_over(firm, tmp_path):
    doc, fields, _ = cover(firm, tmp_path)
    fields["PROJECT"].dxf.text = "Another name"
    doc.saveas(tmp_path / "b.dxf")
    again = ezdxf.readfile(tmp_path / "b.dxf")
    (title,) = [i for i in again.paperspace("Sheet").query("INSERT") if i.dxf.name == "TITLE"]
    assert title.get_attrib("PROJECT").dxf.text == "Another name"


def test_a_logo_and_the_firms_own_fields_are_drawn(firm, tmp_path):
    def change(doc, block):
        logo = doc.blocks.new("LOGO")
        logo.add_circle((0, 0), 0.2)
        logo.add_arc((0, 0), 0.3, 0, 90, dxfattribs={"layer": "border"})
        logo.add_solid([(0, 0), (0.1, 0), (0, 0.1), (0.1, 0.1)])
        filled = logo.add_hatch(dxfattribs={"layer": "title"})
        filled.paths.add_polyline_path([(-0.2, -0.2), (0.2, -0.2), (0.2, 0.2), (-0.2, 0.2)], is_closed=True)
        filled.paths.add_polyline_path([(-0.1, -0.1), (0.1, -0.1), (0.1, 0.1), (-0.1, 0.1)], is_closed=True)
        logo.add_spline([(0, 0), (0.1, 0.1), (0.2, 0)])
        block.add_blockref("LOGO", (-0.6, 2.9), {"layer": "title", "xscale": 1.5, "yscale": 1.5})
        block.add_attdef("FIRM_CHECKED_BY", (-3.0, 2.6), "checked by: ____", height=0.125, dxfattribs={"layer": "title", "prompt": "Checked by"})

    edited(firm, change)
    doc, fields, picture = cover(firm, tmp_path)
    assert fields["FIRM_CHECKED_BY"].dxf.text == "checked by: ____"
    assert fields["SHEET"].dxf.text == "S-001"
    title = doc.blocks.get("TITLE")
    assert [round(c.dxf.radius, 6) for c in title.query("CIRCLE")] == [0.3]
    assert [(round(a.dxf.radius, 6), a.dxf.layer) for a in title.query("ARC")] == [(0.45, "S-ANNO-TTLB-BRDR")]
    assert sorted(len(h.paths) for h in title.query("HATCH")) == [1, 2]
    assert title.query("HATCH")[0].dxf.solid_fill
    assert "checked by: ____" in picture
    assert picture.count('fill-rule="evenodd"') == 2
    assert 'r="7.62"' in picture


def test_a_larger_block_moves_what_stands_over_it(firm, tmp_path):
    before = read_title_block(set_paper(US, str(firm)), US, str(firm)).height
    edited(firm, lambda _, block: block.add_lwpolyline([(-9.5, 0), (-9.5, 4.5), (0, 4.5)], dxfattribs={"layer": "title"}))
    sheet = set_paper(US, str(firm))
    block = read_title_block(sheet, US, str(firm))
    assert before < 4.0
    assert (block.height, sheet.column) == (4.5, 9.5)
    for one in draw_set(package_of(firm)):
        write_svg(one.drawing, tmp_path / "a.svg")
        low = [box[0][1] for _, words, box in read_svg(tmp_path / "a.svg")[1] if words == "CAUTIONS"]
        assert min(low) / 25.4 > sheet.inner[1] + 4.5


def test_long_words_are_broken_then_narrowed_and_stay_in_their_room(firm, tmp_path):
    name = "Society of the friends of old timber roofs in the valley, workshop with two halls, a yard and a tower by the river"
    _, fields, _ = cover(firm, tmp_path, name=name)
    assert fields["PROJECT"].dxf.text == name
    assert 0.6 <= fields["PROJECT"].dxf.width < 1.0
    (box,) = [b for _, words, b in read_svg(tmp_path / "a.svg")[1] if words == name and b[0][1] < 25.4 * 5]
    sheet = set_paper(US, "")
    assert box[0][0] / 25.4 > sheet.inner[2] - sheet.column
    assert box[1][0] / 25.4 < sheet.inner[2]
    assert "'" + name * 3 + "' is too long for the field PROJECT, which has 1 line of 8.74 in. Give it more room" in said(firm, name=name * 3)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda _, b: b.delete_entity(field(b, "SHEET")), r"sheets/title_block_US.dxf, block TITLE: fields missing: SHEET. Allowed: SHEET, TITLE"),
        (lambda _, b: field(b, "DATE").dxf.set("tag", "DAY"), r"fields missing: DATE; unknown: DAY. Allowed"),
        (lambda _, b: field(b, "PAPER").dxf.set("tag", "DATE"), r"fields twice: DATE"),
        (lambda _, b: field(b, "PAPER").dxf.set("tag", "DATE_2"), None),
        (lambda _, b: field(b, "PLACE").dxf.set("tag", "LOCATION_2"), None),
        (lambda _, b: field(b, "LOCATION").dxf.set("tag", "PAPER_2"), None),
        (lambda _, b: (b.delete_entity(field(b, "PAPER")), b.add_attdef("PAPER_2", (-1, 1))), r"without their first line: PAPER_2"),
        (lambda _, b: b.add_mtext("two lines"), r"block TITLE: found an entity of the kind MTEXT; allowed: LINE, ARC"),
        (lambda _, b: b.add_line((-1, 1), (-2, 1), {"layer": "G-ANNO"}), r"found the layer 'G-ANNO'; allowed: 0, a role of layers.csv"),
        (lambda _, b: b.add_hatch().set_pattern_fill("ANSI31"), r"found a hatch with a pattern; allowed: solid fill"),
        (lambda d, _: d.blocks.delete_block("FRAME ANSI D", safe=False), r"the block 'FRAME ANSI D' is missing; copy it from a fresh folder"),
        (lambda d, _: d.header.__setitem__("$INSUNITS", 6), r"found \$INSUNITS 6; allowed: 1 \(inches\) and 4"),
        (lambda _, b: b.add_line((-30, 0), (-30, 1)), r"found a width of 30.00 in; allowed: up to 18.15 in"),
        (lambda d, _: d.blocks.get("FRAME ANSI D").delete_all_entities(), r"FRAME ANSI D: no closed line of four corners on the layer border"),
        (lambda d, _: d.blocks.get("FRAME ANSI D").query("LWPOLYLINE")[0].translate(9, 0, 0), r"a frame beyond the paper; allowed: x from 0 to 34"),
        (lambda _, b: field(b, "DATE").set_placement((0, 0), (1, 0), align=ezdxf.enums.TextEntityAlignment.FIT), r"fitted between two points"),
    ],
)  # fmt: skip
def test_slips_are_named(firm, change, words):
    edited(firm, change)
    if words is None:
        assert len(list(draw_set(package_of(firm)))) > 5
    else:
        assert re.search(words, said(firm)), said(firm)


def test_what_is_no_drawing_is_named(firm):
    (firm / US_BLOCK).write_text("frame", encoding="utf-8")
    assert "title_block_US.dxf: it cannot be read as DXF" in said(firm)
    (firm / US_BLOCK).unlink()
    assert "title_block_US.dxf is missing in" in said(firm)


def test_either_map_of_layer_names_serves_either_system(firm, tmp_path):
    styles = firm / "sheets" / "styles.txt"
    styles.write_text(styles.read_text().replace("US layers: us_name", "US layers: iso_name"), encoding="utf-8")
    doc, _, _ = cover(firm, tmp_path)
    names = {x.dxf.name for x in doc.layers}
    assert {"S-ANTTLBB--", "S-TRPLATE-N"} <= names
    assert "S-ANNO-TTLB" not in names
    styles.write_text(styles.read_text().replace("US layers: iso_name", "US layers: house"), encoding="utf-8")
    assert "styles.txt, US layers: found 'house'; allowed: us_name, iso_name" in said(firm)


@pytest.mark.parametrize(
    ("letters", "words"),
    [
        ("1/8 in, 1/4 in", "found '1/8 in, 1/4 in'; allowed: heights of notes, headings and titles"),
        ("1/16 in, 1/8 in, 1/4 in", "notes at least 1.8 mm"),
        ("1/8, 3/16, 1/4", "found '1/8', a bare number"),
        ("5/32 in, 3/16 in, 1/4 in", ""),
    ],
)
def test_letters_are_the_firms(firm, letters, words, tmp_path):
    styles = firm / "sheets" / "styles.txt"
    styles.write_text(styles.read_text().replace("ANSI D letters: 1/8 in, 3/16 in, 1/4 in", f"ANSI D letters: {letters}"), encoding="utf-8")
    if words:
        assert words in said(firm)
    else:
        doc, _, _ = cover(firm, tmp_path)
        assert min(t.dxf.height for t in doc.paperspace("Sheet").query("TEXT")) == pytest.approx(5 / 32)
