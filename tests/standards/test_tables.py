"""Tables and clauses of every standard: provenance, units, docstrings. What a report prints is only as good as these."""

from __future__ import annotations

import csv
import hashlib
import importlib
import inspect
import pkgutil
from pathlib import Path

import numpy as np
import pytest

from detailgen import standards
from detailgen.core.clause import Calculation, TableStatus, clause_text, statements
from detailgen.core.errors import OutOfRange
from detailgen.core.table import read_index, read_table

FOLDERS = [Path(standards.__path__[0]) / i.name for i in pkgutil.iter_modules(standards.__path__) if i.ispkg]
TABLES = [(f / "tables", name) for f in FOLDERS if (f / "tables").exists() for name in read_index(f / "tables")]


def modules():
    for folder in FOLDERS:
        package = importlib.import_module(f"detailgen.standards.{folder.name}")
        yield package
        for info in pkgutil.iter_modules(package.__path__):
            yield importlib.import_module(f"{package.__name__}.{info.name}")


def is_clause(function):
    """A function that says where it comes from, or that takes and gives nothing but numbers of a standard."""
    annotations = dict(function.__annotations__)
    returns = annotations.pop("return", "")
    fixed = all(p.kind is not inspect.Parameter.VAR_POSITIONAL for p in inspect.signature(function).parameters.values())
    only_numbers = fixed and returns == "Number" and annotations and all(a == "Number" for a in annotations.values())
    return "Source:" in (function.__doc__ or "") or only_numbers


CLAUSES = [
    f
    for module in modules()
    for _, f in inspect.getmembers(module, inspect.isfunction)
    if f.__module__ == module.__name__ and is_clause(f)
]
NAMES = [f"{f.__module__.removeprefix('detailgen.standards.')}.{f.__name__}" for f in CLAUSES]


def test_the_search_finds_clauses_of_both_documents():
    assert len(CLAUSES) > 40
    assert {n.split(".")[0] for n in NAMES} >= {"nds_2018", "asce7_16"}
    assert {"nds_2018.columns.C_P", "nds_2018.members.compression_and_bending", "asce7_16.snow.p_f"} <= set(NAMES)


@pytest.mark.parametrize(("folder", "name"), TABLES, ids=[f"{f.parent.name}-{n}" for f, n in TABLES])
def test_table_is_readable_and_unchanged_since_it_was_entered(folder, name):
    entry = read_index(folder)[name]
    data = (folder / entry["file"]).read_bytes()
    assert hashlib.sha256(data).hexdigest() == entry["sha256"], "an edited table must be entered again in index.csv"
    table = read_table(folder, name)
    assert table.rows
    assert set(table.units) <= set(table.rows[0])
    assert set(table.key) <= set(table.rows[0])
    for row in table:
        assert table.cite(row).status in (TableStatus.PRINT, TableStatus.FROM_MEMORY, TableStatus.READ)


@pytest.mark.parametrize("folder", FOLDERS, ids=[f.name for f in FOLDERS])
def test_every_table_file_is_in_the_index(folder):
    if (folder / "tables").exists():
        listed = {e["file"] for e in read_index(folder / "tables").values()}
        assert {p.name for p in (folder / "tables").glob("*.csv")} == listed | {"index.csv"}
    assert (folder / "COVERAGE.md").read_text(encoding="utf-8").strip()


@pytest.mark.parametrize(("folder", "name"), TABLES, ids=[f"{f.parent.name}-{n}" for f, n in TABLES])
def test_a_row_seen_in_print_names_its_source(folder, name):
    with (folder / read_index(folder)[name]["file"]).open(newline="", encoding="utf-8") as stream:
        for row in csv.DictReader(stream):
            if row.get("origin") == "print" and "source" in row:
                assert "recalled" not in row["source"]


@pytest.mark.parametrize("function", CLAUSES, ids=NAMES)
def test_clause_is_documented_to_the_last_symbol(function):
    text = clause_text(function)
    assert text.title.endswith(".")
    assert "," in text.source, "Source: document, clause"
    assert text.cite.clause
    named = set(inspect.signature(function).parameters) | {s.symbol for s in statements(function) if s.symbol}
    named.discard(function.__name__)
    assert named <= set(text.units), f"no unit for {sorted(named - set(text.units))}"
    assert set(text.units) <= named, f"documented but not there: {sorted(set(text.units) - named)}"


@pytest.mark.parametrize("function", CLAUSES, ids=NAMES)
def test_clause_gives_the_same_by_itself_on_the_sheet_and_for_an_array(function):
    """Safe for arrays: entry k of an array answer is the answer of entry k. The sheet's last line is the function's value."""
    names = list(inspect.signature(function).parameters)
    tried = []
    for scale, step in ((0.5, 0.07), (5.0, 0.07), (50.0, 0.07), (0.5, -0.07), (5.0, -0.07)):  # the terms in rising and in falling order
        entries = [{n: scale * (1 + step * i + 0.11 * k) for i, n in enumerate(names)} for k in range(3)]
        try:
            single = [float(function(**e)) for e in entries]
        except (OutOfRange, ValueError, TypeError):
            continue
        columns = {n: np.array([e[n] for e in entries]) for n in names}
        together = np.broadcast_to(function(**columns), 3)
        np.testing.assert_allclose(together, single, rtol=1e-12)
        sheet = Calculation()
        np.testing.assert_allclose(np.broadcast_to(sheet(function, **columns), 3), single, rtol=1e-12)
        np.testing.assert_allclose([sheet.steps(k)[-1].value for k in range(3)], single, rtol=1e-12)
        tried.append(scale)
    assert tried, "no scale lies in the clause's range"
