"""The set of sheets, read back: true size, text that can be searched, a bookmark for each sheet."""

from __future__ import annotations

from dataclasses import replace

import pypdf
import pytest

from detailgen.outputs.drawings import draw_truss
from detailgen.outputs.report import write_sheet_set
from detailgen.outputs.report.sheet_set import Page

SIZES = [(431.8, 279.4), (420.0, 297.0)]


@pytest.fixture
def sheets(tmp_path, assessment, project, project_si):
    pages = [Page.of(draw_truss(assessment, p)) for p in (project, project_si)]
    return [replace(pages[0], number="S-201", title="S-201 Truss T2, as found"), replace(pages[1], number="S-501-2", title="Truss T2 <metric>")]


def test_true_size_text_and_bookmarks(tmp_path, sheets):
    out = tmp_path / "all_sheets.pdf"
    write_sheet_set(sheets, out, title="Mill, sheets")
    reader = pypdf.PdfReader(out)
    assert [(round(float(p.mediabox.width) / 72 * 25.4, 1), round(float(p.mediabox.height) / 72 * 25.4, 1)) for p in reader.pages] == SIZES
    assert [b["/Title"] for b in reader.outline] == ["S-201 Truss T2, as found", "Truss T2 <metric>"]
    assert [reader.get_destination_page_number(b) for b in reader.outline] == [0, 1]
    assert list(reader.page_labels) == ["S-201", "S-501-2"]
    assert reader.metadata.title == "Mill, sheets"
    for page in reader.pages:
        text = page.extract_text()
        assert "U3" in text
        assert "L4" in text
        assert "/XObject" not in page["/Resources"] or all(
            x.get_object()["/Subtype"] != "/Image" for x in page["/Resources"]["/XObject"].values()
        )  # vector, no picture of pixels


def test_a_length_on_paper_is_a_length_in_the_file(tmp_path):
    """A line 100 mm long in the SVG is 100 mm long on the page."""
    size = 'width="200mm" height="100mm" viewBox="0 0 200 100"'
    text = f'<svg xmlns="http://www.w3.org/2000/svg" {size}><path d="M20 30L120 30" stroke="#000" fill="none"/></svg>'
    out = tmp_path / "set.pdf"
    write_sheet_set([Page(text, "S-1", "line", 200.0, 100.0)], out)
    ends: list[float] = []

    def visit(operator, operands, cm, tm):
        if operator in (b"m", b"l"):
            x, y = (float(v) for v in operands)
            if (cm[1] * x + cm[3] * y + cm[5]) / 72 * 25.4 == pytest.approx(70.0, abs=0.01):  # not the edge of the page; from its foot
                ends.append((cm[0] * x + cm[2] * y + cm[4]) / 72 * 25.4)

    pypdf.PdfReader(out).pages[0].extract_text(visitor_operand_before=visit)
    assert max(ends) - min(ends) == pytest.approx(100.0, abs=0.01)
    assert min(ends) == pytest.approx(20.0, abs=0.01)


def test_an_empty_set_and_a_sheet_without_number_are_refused(tmp_path, sheets):
    with pytest.raises(ValueError, match="at least one"):
        write_sheet_set([], tmp_path / "x.pdf")
    with pytest.raises(ValueError, match="no digits"):
        write_sheet_set([replace(sheets[0], number="cover")], tmp_path / "x.pdf")


def test_what_is_no_svg_is_refused(tmp_path):
    from detailgen.core.errors import OutputError

    with pytest.raises(OutputError, match="sheet_set"):
        write_sheet_set([Page("not a drawing", "S-1", "bad", 100.0, 100.0)], tmp_path / "x.pdf")
