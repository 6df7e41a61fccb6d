"""The set of sheets, read back: true size, text that can be searched, a bookmark for each sheet."""

from __future__ import annotations

import pypdf
import pytest

from detailgen.outputs.drawings import draw_truss, write_svg
from detailgen.outputs.report import write_sheet_set

SIZES = [(431.8, 279.4), (420.0, 297.0)]


@pytest.fixture
def sheets(tmp_path, assessment, project, project_si):
    paths = [tmp_path / "a.svg", tmp_path / "b.svg"]
    for path, p in zip(paths, (project, project_si), strict=True):
        write_svg(draw_truss(assessment, p), path)
    return paths


def test_true_size_text_and_bookmarks(tmp_path, sheets):
    out = tmp_path / "all_sheets.pdf"
    write_sheet_set(sheets, ["Truss T2, as found", "Truss T2 <metric>"], out, size_mm=SIZES)
    reader = pypdf.PdfReader(out)
    assert [(round(float(p.mediabox.width) / 72 * 25.4, 1), round(float(p.mediabox.height) / 72 * 25.4, 1)) for p in reader.pages] == SIZES
    assert [b["/Title"] for b in reader.outline] == ["Truss T2, as found", "Truss T2 <metric>"]
    assert [reader.get_destination_page_number(b) for b in reader.outline] == [0, 1]
    assert list(reader.page_labels) == ["1", "2"]
    for page in reader.pages:
        text = page.extract_text()
        assert "U3" in text
        assert "L4" in text
        assert "/XObject" not in page["/Resources"] or all(
            x.get_object()["/Subtype"] != "/Image" for x in page["/Resources"]["/XObject"].values()
        )  # vector, no picture of pixels


def test_a_length_on_paper_is_a_length_in_the_file(tmp_path):
    """A line 100 mm long in the SVG is 100 mm long on the page."""
    svg = tmp_path / "line.svg"
    size = 'width="200mm" height="100mm" viewBox="0 0 200 100"'
    svg.write_text(f'<svg xmlns="http://www.w3.org/2000/svg" {size}><path d="M20 30L120 30" stroke="#000" fill="none"/></svg>')
    out = tmp_path / "set.pdf"
    write_sheet_set([svg], ["line"], out, size_mm=[(200.0, 100.0)])
    ends: list[float] = []

    def visit(operator, operands, cm, tm):
        if operator in (b"m", b"l"):
            x, y = (float(v) for v in operands)
            if (cm[1] * x + cm[3] * y + cm[5]) / 72 * 25.4 == pytest.approx(70.0, abs=0.01):  # not the edge of the page; from its foot
                ends.append((cm[0] * x + cm[2] * y + cm[4]) / 72 * 25.4)

    pypdf.PdfReader(out).pages[0].extract_text(visitor_operand_before=visit)
    assert max(ends) - min(ends) == pytest.approx(100.0, abs=0.01)
    assert min(ends) == pytest.approx(20.0, abs=0.01)


def test_lists_of_different_length_and_empty_sets_are_refused(tmp_path, sheets):
    with pytest.raises(ValueError, match="zip"):
        write_sheet_set(sheets, ["one"], tmp_path / "x.pdf", size_mm=SIZES)
    with pytest.raises(ValueError, match="at least one"):
        write_sheet_set([], [], tmp_path / "x.pdf", size_mm=[])


def test_a_file_that_is_no_svg_is_refused(tmp_path):
    from detailgen.core.errors import OutputError

    bad = tmp_path / "bad.svg"
    bad.write_text("not a drawing")
    with pytest.raises(OutputError, match="sheet_set"):
        write_sheet_set([bad], ["bad"], tmp_path / "x.pdf", size_mm=[(100.0, 100.0)])
