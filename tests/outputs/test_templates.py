"""Templates that a firm edits: copied out whole, used when named, and every slip told with file, line and what is allowed."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import ezdxf
import pytest
from detail_package import make_package
from sheet_reader import read_svg

from detailgen.core.errors import OutputError
from detailgen.core.templates import copy_templates, template_lines, template_path
from detailgen.core.units import SI, US
from detailgen.outputs.drawings import write_dxf, write_svg
from detailgen.outputs.drawings.layers import LAYERS, firm_layers
from detailgen.outputs.drawings.sheet_set import draw_set

SOURCE = Path(__file__).resolve().parents[2] / "templates_src"


@pytest.fixture
def firm(tmp_path):
    copy_templates(tmp_path / "firm")
    return tmp_path / "firm"


def package_of(firm, units=US):
    package = make_package(units)
    return replace(package, project=replace(package.project, templates=str(firm)))


def edit(firm, name, old, new):
    path = firm / name
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


def test_all_are_copied_and_none_is_overwritten(firm):
    files = {p.relative_to(SOURCE).as_posix(): p.read_bytes() for p in SOURCE.rglob("*") if p.is_file()}
    assert {p.relative_to(firm).as_posix(): p.read_bytes() for p in firm.rglob("*") if p.is_file()} == files
    with pytest.raises(OutputError, match="not empty"):
        copy_templates(firm)


def test_read_me_names_every_note_and_field(firm):
    words = (firm / "READ_ME.txt").read_text(encoding="utf-8")
    from detailgen.outputs.drawings.firm_notes import fields

    assert all(f"{{{field}}}" in words for field in fields(make_package(US)))
    assert all(p.relative_to(firm).as_posix() in words for p in firm.glob("notes/*.txt"))
    assert all(p.relative_to(firm).as_posix() in words for p in firm.glob("sheets/*"))


def test_unchanged_copies_draw_the_same(firm, tmp_path):
    ours, theirs = list(draw_set(make_package(US))), list(draw_set(package_of(firm)))
    assert [(s.file, s.drawing) for s in ours] == [(s.file, s.drawing) for s in theirs]


def test_notes_layers_and_paper_of_a_firm_are_used(firm, tmp_path):
    edit(firm, "notes/general.txt", "Hot work near", "Our own rule for {project}: hot work near")
    edit(firm, "notes/cautions.txt", "Local code governs.", "Ask the building office of the town.")
    edit(firm, "sheets/layers.csv", "S-TRUS-PLAT-N,S-TRPLATE-N,#000000,7,0.5", "X-STEEL,X-STAHL,#0000ff,5,0.7")
    edit(firm, "sheets/paper.txt", "US: ANSI D", "US: ARCH D")
    sheets = list(draw_set(package_of(firm)))
    assert {(s.drawing.sheet.width, s.drawing.sheet.height) for s in sheets} == {(36.0, 24.0)}
    words = []
    for sheet in sheets:
        write_svg(sheet.drawing, tmp_path / "a.svg")
        write_dxf(sheet.drawing, tmp_path / "a.dxf")
        words.append(" ".join(w for _, w, _ in read_svg(tmp_path / "a.svg")[1]))
        layer = ezdxf.readfile(tmp_path / "a.dxf").layers.get("X-STEEL")
        assert (layer.dxf.lineweight, layer.color) == (70, 5)
        assert 'stroke="#0000ff" stroke-width="0.7"' in (tmp_path / "a.svg").read_text() or sheet.file in ("truss_T2", "schedules", "field_form")
    assert "Our own rule for Mill Street warehouse" in words[0]
    assert all("Ask the building office of the town." in w and "Local code governs." not in w for w in words)


@pytest.mark.parametrize("paper", ["ANSI D", "ARCH D", "ISO A1", "ISO A3"])
@pytest.mark.parametrize("units", [US, SI], ids=["US", "SI"])
def test_the_set_fits_on_every_paper(firm, paper, units):
    edit(firm, "sheets/paper.txt", "US: ANSI D\nSI: ISO A1", f"US: {paper}\nSI: {paper}")
    assert len(list(draw_set(package_of(firm, units)))) >= 7


@pytest.mark.parametrize(
    ("name", "old", "new", "said"),
    [
        ("sheets/paper.txt", "ANSI D", "ANSI Z", "found the paper 'ANSI Z'; allowed: ANSI D, ARCH D, ISO A1"),
        ("sheets/paper.txt", "US: ANSI D", "", "no line says 'US'; write 'US: ANSI D'"),
        ("sheets/layers.csv", "role,us_name", "role,name", "the first row must be role,us_name"),
        ("sheets/layers.csv", "\nholes,", "\nbores,", r"missing: holes; unknown: bores"),
        ("sheets/layers.csv", "S-TRUS-HOLE-N", "S TRUS*HOLE", r"line 12: found the layer name 'S TRUS\*HOLE'"),
        ("sheets/layers.csv", "S-TRUS-HOLE-N", "S-TRUS-PLAT-N", "S-TRUS-PLAT-N stands twice"),
        ("sheets/layers.csv", "HIDDEN,yes,edges", "DOTTED,yes,edges", "line 8: found the line type 'DOTTED'; allowed: Continuous, CENTER"),
        ("sheets/layers.csv", "7,0.35,Continuous,yes,\"new holes", "7,thick,Continuous,yes,\"new holes", "found the width 'thick'"),
        ("notes/status.txt", "PROPOSED:", "SUGGESTED:", "no line says what PROPOSED means"),
        ("notes/general.txt", "{code path}", "{kode path}", r"the field \{kode path\} is not known. Allowed are"),
    ],
)
def test_slips_are_told(firm, name, old, new, said):
    edit(firm, name, old, new)
    with pytest.raises(OutputError, match=said):
        list(draw_set(package_of(firm)))


def test_what_is_missing_or_emptied_is_told(firm):
    (firm / "notes" / "cautions.txt").write_text("\n \n")
    with pytest.raises(OutputError, match="nothing is left in it"):
        list(draw_set(package_of(firm)))
    (firm / "notes" / "cautions.txt").unlink()
    with pytest.raises(OutputError, match=r"notes/cautions.txt is missing in .*firm"):
        list(draw_set(package_of(firm)))


def test_text_that_is_no_text_is_told(firm):
    (firm / "notes" / "cautions.txt").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(OutputError, match="UTF-8"):
        template_lines("notes/cautions.txt", str(firm))


def test_the_tools_own_layers_are_those_of_the_template():
    assert firm_layers("") == LAYERS
    assert template_path("sheets/layers.csv") == SOURCE / "sheets" / "layers.csv"
