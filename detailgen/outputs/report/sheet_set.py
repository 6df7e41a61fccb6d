"""All sheets as files, and in one PDF: each at its own paper size, to scale, with a bookmark, labelled by its number."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from detailgen.core.errand import errand
from detailgen.model.package import Package
from detailgen.outputs.drawings import write_dxf
from detailgen.outputs.drawings.shapes import Drawing
from detailgen.outputs.drawings.sheet_set import SheetFile
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


@contextmanager
def writing_sheets(package: Package, drawn: Sequence[SheetFile], folder: Path) -> Iterator[None]:
    """Every sheet as DXF and all of them bound, half of it in a process beside what is done within.

    Raises: OutputError
    """

    def write(some: Sequence[SheetFile]) -> None:
        for sheet in some:
            write_dxf(sheet.drawing, folder / f"{sheet.file}.dxf")

    def beside() -> None:
        write(drawn[1::2])
        title = f"{package.project.name}, sheets, revision {package.project.revision}"
        write_sheet_set([Page.of(s.drawing) for s in drawn], folder / "all_sheets.pdf", title=title, templates=package.project.templates)

    with errand(lambda: beside) as others:
        others.hand()
        write(drawn[::2])
        yield
        others.end()
