"""All sheets in one PDF: each at its own paper size, to scale, a bookmark for each."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from detailgen.outputs.report.typeset import write_pdf


def write_sheet_set(svgs: Sequence[Path], titles: Sequence[str], path: Path, *, size_mm: Sequence[tuple[float, float]]) -> None:
    """One page per SVG at true size; letters stay text, so that the set can be searched.

    size_mm: width and height of each sheet's paper
    Raises: ValueError where the three lists differ in length or are empty; OutputError where a sheet cannot be read
    """
    sheets = [
        {"svg": svg.read_text(encoding="utf-8"), "title": title, "width": width, "height": height}
        for svg, title, (width, height) in zip(svgs, titles, size_mm, strict=True)
    ]
    if not sheets:
        raise ValueError("a set of sheets needs at least one sheet")
    write_pdf("sheet_set", {"sheets": sheets}, path)
