"""A workbook of tables with the same bytes for the same content: its dates come from the revision."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

ZIP_TIME = (1980, 1, 1, 0, 0, 0)


def write_workbook(path: Path, sheets: Sequence[tuple[str, Sequence[Sequence[str | int | float]]]], *, title: str, date: str) -> None:
    """One sheet per table, first row as heading.

    date: of the revision, YYYY-MM-DD
    """
    from openpyxl import Workbook
    from openpyxl.styles import Alignment, Font
    from openpyxl.utils import get_column_letter

    book = Workbook()
    book.remove(book.worksheets[0])
    for name, rows in sheets:
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(list(row))
        for cell in sheet[1]:
            cell.font, cell.alignment = Font(bold=True), Alignment(wrap_text=True, vertical="top")
        for k in range(1, len(rows[0]) + 1):
            widest = max(len(str(row[k - 1])) for row in rows)
            sheet.column_dimensions[get_column_letter(k)].width = min(60, max(9, widest + 2))
        sheet.freeze_panes = "A2"
        sheet.page_setup.orientation, sheet.page_setup.fitToHeight = "landscape", 0
        sheet.sheet_properties.pageSetUpPr.fitToPage = True
        sheet.print_title_rows = "1:1"
    book.properties.title, book.properties.creator = title, ""
    book.properties.created = datetime.fromisoformat(date)
    raw = io.BytesIO()
    book.save(raw)
    path.write_bytes(_settled(raw.getvalue(), date))


def _settled(data: bytes, date: str) -> bytes:
    """The same archive without the time of writing, which the library sets by itself."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as source, zipfile.ZipFile(out, "w") as target:
        for name in source.namelist():
            content = source.read(name)
            if name == "docProps/core.xml":
                content = re.sub(rb"(<dcterms:modified[^>]*>)[^<]*", rb"\g<1>" + f"{date}T00:00:00Z".encode(), content)
            entry = zipfile.ZipInfo(name, ZIP_TIME)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o600 << 16
            target.writestr(entry, content)
    return out.getvalue()
