"""What the standards hold, as lines for a person at a terminal: the list of tables, one table, one clause."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from pathlib import Path

from detailgen.core.clause import ReadTables, TableStatus
from detailgen.core.table import Table
from detailgen.standards import catalogue
from detailgen.standards.catalogue import Clause, Covered
from detailgen.survey.beside import TABLES_READ, read_readings

WIDTH = 110


def _columns(rows: Iterable[Sequence[str]], right: Sequence[bool] = ()) -> list[str]:
    rows = [list(r) for r in rows]
    widths = [max(len(r[k]) for r in rows) for k in range(len(rows[0]))]
    sides = [*right, *[False] * len(widths)]
    return ["  ".join(c.rjust(w) if side else c.ljust(w) for c, w, side in zip(row, widths, sides, strict=False)).rstrip() for row in rows]


def _wrapped(text: str, indent: int, first: str = "") -> list[str]:
    pad = " " * indent
    return textwrap.wrap(text, WIDTH, initial_indent=first or pad, subsequent_indent=pad, break_long_words=False, break_on_hyphens=False)


def _status(table: Table, read: ReadTables) -> str:
    """The table's status, and how many of its rows are less sure than the table as a whole."""
    statuses = [table.cite(row).status_by(read) for row in table]
    counts = {s: statuses.count(s) for s in sorted(set(statuses))}
    if len(counts) == 1:
        return next(iter(counts)).words
    return ", ".join(f"{n} rows {s.words}" for s, n in counts.items())


def standards_lines(project: Path | None) -> list[str]:
    """Every document with its tables. Raises InputError for a damaged tables_read.yaml."""
    read: ReadTables = frozenset()
    lapsed: tuple[str, ...] = ()
    if project is not None:
        home = project if project.is_dir() else project.parent
        read, lapsed = catalogue.readings_that_hold(read_readings(home, catalogue.table_names))
    lines: list[str] = []
    unread = total = 0
    for key in catalogue.documents():
        found = list(catalogue.tables(key))
        documents = ", ".join(dict.fromkeys(t.document for t in found)) or "no tables"
        rows = [(t.name, t.clause, _status(t, read)) for t in found]
        lines += [f"{key}: {documents}", *(f"  {line}" for line in (_columns(rows) if rows else ())), ""]
        total += len(found)
        unread += sum(any(t.cite(row).status_by(read) < TableStatus.READ for row in t) for t in found)
    lines += lapsed
    lines += _wrapped(
        f"{unread} of {total} tables are not read against print. Until the tables behind a result are, it stays PRELIMINARY. "
        f"'detailgen standards --table NAME' prints one, to lay beside the book, and what to write into {TABLES_READ} once that is done.", 0,
    )  # fmt: skip
    return lines


def _cell(value: str | float) -> str:
    return value if isinstance(value, str) else f"{value:.10g}"


def table_lines(name: str) -> list[str]:
    """One table in printed order with units, provenance, and the entry for tables_read.yaml."""
    key, table = catalogue.table(name)
    columns = list(table.rows[0])
    units = [table.units.get(c, "") for c in columns]
    body = [columns, units, *([_cell(row[c]) for c in columns] for row in table)]
    right = [c in table.units for c in columns]
    lines = [f"{table.document}, {table.clause}: {table.name}", f"status: {_status(table, frozenset())}"]
    entry = catalogue.index_entry(key, table.name)
    lines += _wrapped(f"keyed by {entry['keyed_by']}" + (f"; second reading: {entry['second_reading']}" if entry["second_reading"] else ""), 0)
    lines += _wrapped(entry["errata"], 0) if entry["errata"] else []
    lines += ["", *_columns(body, right), "", f"Read against the printed standard? Then write into {TABLES_READ} beside the project file:", ""]
    record = f"  - {{standard: {key}, table: {table.name}, name: YOUR NAME, date: YYYY-MM-DD,"
    return [*lines, "tables_read:", record, f"     sha256: {table.sha256}}}"]


def clause_lines(asked: str, standard: str) -> list[str]:
    """Everything that the code and the list of coverage say about a clause. Raises NotCovered where neither knows it."""
    found = catalogue.explain(asked, standard)
    lines: list[str] = []
    for clause in found.clauses:
        lines += [*_clause(clause), ""]
    for key, covered in found.covered:
        lines += _covered(key, covered)
    return lines if lines[-1] else lines[:-1]


def _clause(clause: Clause) -> list[str]:
    text = clause.text
    lines = [f"{clause.name}: {text.title}", f"  {text.source}  [{clause.standard}]", ""]
    for symbol, formula in clause.formulas:
        lines += _wrapped(formula, 8, f"    {symbol} = ")
    lines.append("")
    inputs = [n for n in text.units if n not in {s for s, _ in clause.formulas}]
    rows = [(n, text.units[n], text.meanings[n]) for n in inputs]
    steps = [(n, text.units[n], text.meanings[n]) for n in text.units if n not in inputs]
    lines += [f"  {line}" for line in _columns([*rows, *steps, (clause.name, text.returns, "what it returns")])]
    for limit in clause.limits:
        lines += _wrapped(f"range: {limit}", 4, "  ")
    for covered in catalogue.covering(clause):
        lines += _covered(clause.standard, covered)
    return lines


def _covered(key: str, covered: Covered) -> list[str]:
    return _wrapped(f"coverage [{key}] {covered.clause}, {covered.what}: {covered.state}", 4, "  ")
