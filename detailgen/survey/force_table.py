"""The cells of a table of forces: CSV or a workbook's first sheet, its columns by header, the unit of each number in its header."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from pathlib import Path

from detailgen.core.errors import InputError, InputProblem
from detailgen.core.units import UNITS, UnitSystem
from detailgen.survey.document import Node, Report, cut, read_text
from detailgen.survey.fill import choice, suggest

WORDS = ("truss", "structure", "stage", "combination", "member")
NUMBERS = {"station": "length", "axial": "force", "shear": "force", "moment": "moment"}
_HEADER = re.compile(r"(?P<what>station|axial|shear|moment)[\s_]*[(\[]?\s*(?P<unit>[A-Za-z][\w-]*)?\s*[)\]]?", re.IGNORECASE)
MOST_ROWS = 500_000

Row = tuple[int, list[str]]
"""Line and its cells."""


def expected(units: UnitSystem) -> tuple[str, ...]:
    """The columns as this program writes them."""
    force = units.force_unit
    return (*WORDS, f"station_{units.length_unit}", f"axial_{force}", f"shear_{force}", f"moment_{units.moment_unit}")


def lines_of(path: Path) -> Iterator[Row]:
    """Lines with their cells as text, the header first; empty lines are passed over. Raises InputError for a file that cannot be read."""
    if path.suffix.lower() in (".xlsx", ".xlsm"):
        yield from _workbook(path)
        return
    reader = csv.reader(io.StringIO(read_text(path, "a table of forces"), newline=""), strict=True)
    try:
        for cells in reader:
            if any(c.strip() for c in cells):
                yield reader.line_num, [c.strip() for c in cells]
    except csv.Error as error:
        found = f"a line that cannot be read ({error})"
        raise InputError([InputProblem(str(path), reader.line_num, "", found, "cells separated by commas")]) from None


def _workbook(path: Path) -> Iterator[Row]:
    from zipfile import BadZipFile

    from openpyxl import load_workbook
    from openpyxl.utils.exceptions import InvalidFileException

    if not path.is_file():
        raise InputError([InputProblem(str(path), 0, "", "no such file", "a table of forces", "Give the path of the file.")])
    try:
        book = load_workbook(path, read_only=True, data_only=True)
        rows = [[_text(v) for v in row] for row in book.worksheets[0].iter_rows(values_only=True, max_row=MOST_ROWS)]
        book.close()
    except (BadZipFile, InvalidFileException, KeyError, ValueError, OSError, IndexError, EOFError) as error:
        found = f"a workbook that cannot be read ({type(error).__name__})"
        raise InputError([InputProblem(str(path), 0, "", found, "a workbook (XLSX) with the table on its first sheet")]) from None
    width = 0
    for number, cells in enumerate(rows, start=1):
        if any(cells):
            width = width or max(k for k, c in enumerate(cells, start=1) if c)
            while len(cells) > width and not cells[-1]:
                cells.pop()
            yield number, cells + [""] * (width - len(cells))


def _text(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, float):
        return repr(value)
    return str(value).strip()


def _unit(text: str, kind: str) -> float | None:
    """Inside units per one of the header's; kN_m and kn-m mean kN-m."""
    known = {name.lower().replace("-", ""): factor for name, factor in UNITS[kind].items()}
    return known.get(text.lower().replace("_", "").replace("-", ""))


class Columns:
    """Where each column stands, and what its numbers are multiplied by to be inside units."""

    def __init__(self, header: list[str], line: int, units: UnitSystem, report: Report) -> None:
        self.place: dict[str, int] = {}
        self.name: dict[str, str] = {}
        self.factor: dict[str, float] = {}
        self.width = len(header)
        for position, text in enumerate(header):
            match = _HEADER.fullmatch(text)
            word = match["what"].lower() if match else text.lower()
            if word in self.place and word in (*WORDS, *NUMBERS):
                report.add(Node(text, line), f"the column {word} twice", "each column once")
            if match:
                self._number(word, match["unit"] or "", text, line, report)
            if word in (*WORDS, *NUMBERS):
                self.place.setdefault(word, position)
                self.name.setdefault(word, text)
        own = expected(units)
        for word, column in zip((*WORDS, *NUMBERS), own, strict=True):
            if word not in self.place:
                hint = suggest(column, tuple(n for n in header if n)).replace("Did you mean", "Is it")
                report.add(Node(column, line), "no such column", f"the columns {', '.join(own)}", hint or "The unit stands in the column's name.")

    def _number(self, word: str, unit: str, text: str, line: int, report: Report) -> None:
        kind = NUMBERS[word]
        factor = _unit(unit, kind)
        if factor is None:
            found = f"the column '{cut(text)}' without a unit" if not unit else f"the unit '{cut(unit)}' of the column {word}"
            to_do = f"Write the unit in the column's name, for instance {word}_{next(iter(UNITS[kind]))}."
            report.add(Node(text, line), found, choice(tuple(UNITS[kind])), to_do)
            factor = 1.0
        self.factor.setdefault(word, factor)

    def row(self, cells: list[str]) -> dict[str, str]:
        return {word: cells[position] for word, position in self.place.items()}
