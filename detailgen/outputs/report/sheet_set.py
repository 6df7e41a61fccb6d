"""All sheets in one PDF: each at its own paper size, to scale, with a bookmark, labelled by its number."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from detailgen.outputs.drawings.shapes import Drawing
from detailgen.outputs.drawings.svg import svg_text
from detailgen.outputs.report.typeset import write_pdf

MM_PER_INCH = 25.4


@dataclass(frozen=True)
class Page:
    """One sheet: its picture as SVG, its number (the page's label), its title (the bookmark) and the size of its paper in mm."""

    svg: str
    number: str
    title: str
    width: float
    height: float

    @staticmethod
    def of(drawing: Drawing) -> Page:
        sheet = drawing.sheet
        return Page(svg_text(drawing), drawing.name, drawing.title, MM_PER_INCH * sheet.width, MM_PER_INCH * sheet.height)


def _label(number: str) -> dict[str, str | int]:
    """A sheet's number as the counter and pattern of a page: S-501-2 is 501 in S-1-2, S-001 is 1 in S-001."""
    match = re.fullmatch(r"(\D*)(\d+)(.*)", number)
    if not match:
        raise ValueError(f"the sheet's number {number!r} has no digits")
    zeros = "0" * (len(match[2]) - len(str(int(match[2]))))
    return {"pattern": f"{match[1]}{zeros}1{match[3]}", "number": int(match[2])}


def write_sheet_set(pages: Sequence[Page], path: Path, *, title: str = "Sheets", templates: str = "") -> None:
    """One page per sheet at true size; letters stay text, so that the set can be searched.

    Raises: ValueError where there is no page; OutputError where a sheet cannot be read
    """
    if not pages:
        raise ValueError("a set of sheets needs at least one sheet")
    sheets = [{"svg": p.svg, "title": p.title, "width": p.width, "height": p.height, "label": _label(p.number)} for p in pages]
    write_pdf("sheet_set", {"sheets": sheets, "title": title}, path, templates)
