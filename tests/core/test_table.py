"""Tables that are blank, doubled, unknown or without provenance are refused; an edited one loses its reading."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from detailgen.core.clause import TableStatus
from detailgen.core.errors import NotCovered, TableError
from detailgen.core.table import INDEX_COLUMNS, read_table

GOOD = "grade,F\nNo.1,1000\nNo.2,875\n"


def folder(tmp_path: Path, text: str = GOOD, **changed: str) -> Path:
    (tmp_path / "values.csv").write_text(text)
    row = {
        "table": "values", "file": "values.csv", "edition": "A book 2019", "clause": "4.1", "key": "grade", "units": "F=psi",
        "origin": "print", "keyed_by": "a test", "second_reading": "", "errata": "", "sha256": hashlib.sha256(text.encode()).hexdigest(), **changed,
    }  # fmt: skip
    (tmp_path / "index.csv").write_text(",".join(INDEX_COLUMNS) + "\n" + ",".join(row[c] for c in INDEX_COLUMNS) + "\n")
    return tmp_path


def test_rows_units_and_source(tmp_path: Path) -> None:
    table = read_table(folder(tmp_path), "values")
    row = table.find(grade="No.2")
    assert row["F"] == 875.0
    assert str(table.cite(row)) == "A book 2019 4.1, table values"
    assert table.status is TableStatus.PRINT
    with pytest.raises(NotCovered, match=r"no row for grade No\.9"):
        table.find(grade="No.9")


def test_an_edited_table_loses_its_reading(tmp_path: Path) -> None:
    where = folder(tmp_path)
    (where / "values.csv").write_text(GOOD.replace("875", "1875"))
    assert read_table(where, "values").status is TableStatus.FROM_MEMORY


@pytest.mark.parametrize(
    ("text", "changed", "said"),
    [
        ("grade,F\nNo.1,\n", {}, "column F is blank"),
        ("grade,F\nNo.1\n", {}, "column F is blank"),
        (GOOD + "No.1,900\n", {}, "stands twice"),
        (GOOD, {"units": "F=furlong"}, "unknown unit"),
        ("grade,F\nNo.1,many\n", {}, "not a number"),
        (GOOD, {"keyed_by": ""}, "keyed_by is missing"),
        (GOOD, {"origin": "hearsay"}, "origin 'hearsay'"),
        (GOOD, {"sha256": ""}, "sha256 is missing"),
    ],
)
def test_faults_are_named(tmp_path: Path, text: str, changed: dict[str, str], said: str) -> None:
    with pytest.raises(TableError, match=said):
        read_table(folder(tmp_path, text, **changed), "values")
