"""The whole set as PDF, read back by another library: pages, labels, bookmarks, words, true scale, true weights of lines."""

from __future__ import annotations

import math
import re
from functools import cache
from pathlib import Path
from tempfile import mkdtemp

import pypdf
import pytest
from detail_package import make_package
from sheet_reader import read_svg

from detailgen.core.units import SI, US
from detailgen.outputs.drawings import write_svg
from detailgen.outputs.drawings.sheet_set import draw_set
from detailgen.outputs.report.sheet_set import Page, write_sheet_set

POINT = 25.4 / 72
UNITS = pytest.mark.parametrize("units", [US, SI], ids=["US", "SI"])


@cache
def bound(units):
    folder = Path(mkdtemp(prefix="pdf-set-"))
    package = make_package(units)
    sheets = list(draw_set(package))
    for sheet in sheets:
        write_svg(sheet.drawing, folder / f"{sheet.file}.svg")
    write_sheet_set([Page.of(s.drawing) for s in sheets], folder / "set.pdf", title="Sheets")
    return package, sheets, folder, pypdf.PdfReader(folder / "set.pdf")


def strokes(page):
    """Straight pieces of the page in mm, each with the width that it is drawn with."""
    out, state = [], {"width": 1.0, "kept": [], "at": (0.0, 0.0), "path": []}

    def visit(operator, operands, cm, _tm):
        numbers = [float(v) for v in operands if isinstance(v, int | float | pypdf.generic.FloatObject | pypdf.generic.NumberObject)]

        def place(x, y):
            return ((cm[0] * x + cm[2] * y + cm[4]) * POINT, (cm[1] * x + cm[3] * y + cm[5]) * POINT)

        if operator == b"q":
            state["kept"].append(state["width"])
        elif operator == b"Q" and state["kept"]:
            state["width"] = state["kept"].pop()
        elif operator == b"w":
            state["width"] = numbers[0]
        elif operator == b"m":
            state["at"] = place(*numbers)
        elif operator == b"l":
            end = place(*numbers)
            state["path"].append((state["at"], end))
            state["at"] = end
        elif operator in (b"S", b"s"):
            width = state["width"] * math.sqrt(abs(cm[0] * cm[3] - cm[1] * cm[2])) * POINT
            out.extend((a, b, width) for a, b in state["path"])
            state["path"] = []
        elif operator in (b"f", b"f*", b"n", b"B", b"b"):
            state["path"] = []

    page.extract_text(visitor_operand_before=visit)
    return out


@UNITS
def test_each_page_is_a_sheet_at_its_size_with_its_label_and_bookmark(units):
    _, sheets, _, reader = bound(units)
    assert list(reader.page_labels) == [s.drawing.name for s in sheets]
    assert [b["/Title"] for b in reader.outline] == [s.drawing.title for s in sheets]
    assert [reader.get_destination_page_number(b) for b in reader.outline] == list(range(len(sheets)))
    for sheet, page in zip(sheets, reader.pages, strict=True):
        assert float(page.mediabox.width) / 72 == pytest.approx(sheet.drawing.sheet.width, abs=1e-3)
        assert float(page.mediabox.height) / 72 == pytest.approx(sheet.drawing.sheet.height, abs=1e-3)


@UNITS
def test_every_word_of_every_sheet_can_be_searched(units):
    _, sheets, folder, reader = bound(units)

    def plain(text):
        return re.sub(r"\s+", "", text)

    for sheet, page in zip(sheets, reader.pages, strict=True):
        found = plain(page.extract_text())
        words = [w for _, w, _ in read_svg(folder / f"{sheet.file}.svg")[1]]
        assert len(words) > 40
        lost = [w for w in words if plain(w) not in found]
        assert lost == [], sheet.file


@UNITS
def test_lengths_and_weights_are_true(units):
    """A new plate's edge on the sheet of the detail is its length over the view's scale, and half a millimetre wide; the border 0.7 mm."""
    package, sheets, _, reader = bound(units)
    k = next(k for k, s in enumerate(sheets) if s.detail)
    drawing = sheets[k].drawing
    found = strokes(reader.pages[k])
    plate = package.details[0].part("plate-near")
    long = max(v.x for v in plate.outline) - min(v.x for v in plate.outline)
    wanted = 25.4 * long / drawing.scale.factor
    edges = [w for (ax, ay), (bx, by), w in found if abs(ay - by) < 0.01 and abs(abs(bx - ax) - wanted) < 0.02]
    assert len(edges) >= 2
    assert edges[:2] == [pytest.approx(drawing.layers["new steel"].width, abs=0.01)] * 2
    x0, _, x1, _ = drawing.sheet.inner
    border = [w for (ax, ay), (bx, by), w in found if abs(ay - by) < 0.01 and abs(abs(bx - ax) - 25.4 * (x1 - x0)) < 0.02]
    assert border
    assert border == [pytest.approx(0.7, abs=0.01)] * len(border)
    widths = {round(w, 2) for *_, w in found}
    assert widths <= {round(layer.width, 2) for layer in drawing.layers.values()} | {0.35}
    assert {0.18, 0.35, 0.5, 0.7} <= widths


@UNITS
def test_pages_hold_lines_and_letters_and_no_pictures(units):
    *_, reader = bound(units)
    for page in reader.pages:
        things = page["/Resources"].get("/XObject", {})
        assert all(thing.get_object()["/Subtype"] != "/Image" for thing in things.values())
        assert page["/Resources"]["/Font"] or things
