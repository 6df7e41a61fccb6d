"""Tables of the standards: CSV in printed order, with provenance in the folder's index.csv.

index.csv columns: table, file, edition, clause, key, units, origin, keyed_by, second_reading, errata, sha256.
``key`` lists the key columns, ``units`` gives ``column=unit`` for every column that holds numbers; both are separated by ``; ``.
A table may have a column ``origin`` of its own (print or memory), which then decides row by row.
"""

from __future__ import annotations

import csv
import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from detailgen.core.clause import Cite, TableStatus
from detailgen.core.errors import NotCovered, TableError

INDEX_COLUMNS = ("table", "file", "edition", "clause", "key", "units", "origin", "keyed_by", "second_reading", "errata", "sha256")
KNOWN_UNITS = frozenset(
    [
        *("-", "in", "in2", "in3", "in4", "lb", "psi", "ksi", "kip", "deg", "lb/in", "lb/ft", "psf", "pcf", "ft", "1/ft", "D"),
        *("mm", "mm2", "1/mm", "N", "MPa", "kN", "kg/m3"),
        "F",  # degrees Fahrenheit
    ],
)
ORIGINS = {"print": TableStatus.PRINT, "memory": TableStatus.FROM_MEMORY, "derived": TableStatus.PRINT}


@dataclass(frozen=True)
class Table:
    """Rows in printed order. Number columns are floats, others text; ``inf`` is written so in the file."""

    name: str
    document: str
    clause: str
    key: tuple[str, ...]
    units: Mapping[str, str]
    rows: tuple[Mapping[str, str | float], ...]
    status: TableStatus
    sha256: str

    def __iter__(self) -> Iterator[Mapping[str, str | float]]:
        return iter(self.rows)

    def find(self, **wanted: str | float) -> Mapping[str, str | float]:
        """The one row with these key values. Raises NotCovered where the table has none."""
        for row in self.rows:
            if all(row[k] == v for k, v in wanted.items()):
                return row
        asked = ", ".join(f"{k} {v}" for k, v in wanted.items())
        raise NotCovered(f"no row for {asked}", f"{self.document} table {self.name}")

    def cite(self, row: Mapping[str, str | float] | None = None) -> Cite:
        """Source and status of a row (or of the whole table)."""
        status = self.status
        if row is not None and "origin" in row:
            status = min(status, ORIGINS[str(row["origin"])]) if self.status is not TableStatus.READ else self.status
        return Cite(self.document, self.clause, self.name, status)


def _pairs(text: str) -> dict[str, str]:
    return dict(part.split("=", 1) for part in text.split("; ") if part)


@cache
def read_index(folder: Path) -> Mapping[str, Mapping[str, str]]:
    """index.csv of a standard's tables, by table name. Raises TableError on a doubled table or missing provenance."""
    with (folder / "index.csv").open(newline="", encoding="utf-8") as stream:
        reader = csv.DictReader(stream)
        if tuple(reader.fieldnames or ()) != INDEX_COLUMNS:
            raise TableError(f"{folder.name}/index.csv: columns must be {', '.join(INDEX_COLUMNS)}")
        index: dict[str, Mapping[str, str]] = {}
        for row in reader:
            for column in ("table", "file", "edition", "clause", "key", "origin", "keyed_by", "sha256"):
                if not row[column]:
                    raise TableError(f"{folder.name}/index.csv, table {row['table']}: {column} is missing")
            if row["origin"] not in ORIGINS:
                raise TableError(f"{folder.name}/index.csv, table {row['table']}: origin '{row['origin']}' is not one of {', '.join(ORIGINS)}")
            if row["table"] in index:
                raise TableError(f"{folder.name}/index.csv: table {row['table']} stands twice")
            index[row["table"]] = row
    return index


@cache
def read_table(folder: Path, name: str) -> Table:
    """Read one table of a standard.

    folder: the standard's ``tables`` folder
    name: its name in index.csv
    Raises: TableError for a blank cell, a doubled key, an unknown unit, a number that is none, missing provenance
    """
    index = read_index(folder)
    if name not in index:
        raise TableError(f"{folder.name}: no table {name} in index.csv")
    entry = index[name]
    path = folder / entry["file"]
    data = path.read_bytes()
    digest = hashlib.sha256(data).hexdigest()
    units, key = _pairs(entry["units"]), tuple(entry["key"].split("; "))
    place = f"{path.parent.parent.name}/{path.name}"
    for column, unit in units.items():
        if unit not in KNOWN_UNITS:
            raise TableError(f"{place}: column {column} has unknown unit '{unit}'")
    rows: list[Mapping[str, str | float]] = []
    seen: set[tuple[str | float, ...]] = set()
    for line, raw in enumerate(csv.DictReader(data.decode("utf-8").splitlines()), start=2):
        row: dict[str, str | float] = {}
        for column, cell in raw.items():
            if column is None or cell is None or not str(cell).strip():
                raise TableError(f"{place}:{line}: column {column} is blank")
            try:
                row[column] = float(cell) if column in units else cell.strip()
            except ValueError:
                raise TableError(f"{place}:{line}: column {column} holds '{cell}', not a number") from None
        values = tuple(row[k] for k in key)
        if values in seen:
            raise TableError(f"{place}:{line}: key {values} stands twice")
        seen.add(values)
        rows.append(row)
    # A table edited since it was entered has lost whatever reading it had.
    status = ORIGINS[entry["origin"]] if digest == entry["sha256"] else TableStatus.FROM_MEMORY
    return Table(name, entry["edition"], entry["clause"], key, units, tuple(rows), status, digest)
