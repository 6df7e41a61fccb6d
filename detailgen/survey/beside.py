"""What stands beside the project file: acceptances of repairs, a practice's readings of tables, the book of marks."""

from __future__ import annotations

import datetime
import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from detailgen.core.errors import InputError, InputProblem

ACCEPTED, MARKS, TABLES_READ = "accepted.yaml", "marks.json", "tables_read.yaml"


@dataclass(frozen=True)
class Acceptance:
    """An engineer's acceptance of one repair as it was then: a changed detail has another hash and is proposed again."""

    repair: str
    hash: str
    name: str
    date: str


@dataclass(frozen=True)
class Reading:
    """Somebody laid a table of a standard beside the printed one: a table that has changed since has another hash, and the reading has lapsed."""

    standard: str
    table: str
    sha256: str
    name: str
    date: str


def read_accepted(folder: Path) -> tuple[Acceptance, ...]:
    """accepted.yaml, ``accepted:`` with a list of {repair, hash, name, date}; none where the file is absent. Raises InputError with every fault."""
    fields = ("repair", "hash", "name", "date")
    return tuple(Acceptance(**row) for row in _records(folder / ACCEPTED, "accepted", "accepted repair", fields))


def read_readings(folder: Path, known: Callable[[str], Sequence[str]]) -> tuple[Reading, ...]:
    """tables_read.yaml, ``tables_read:`` with a list of {standard, table, sha256, name, date}; none where the file is absent.

    known: names of the tables of a standard, none where there is no such standard
    Raises: InputError with every fault
    """
    path = folder / TABLES_READ
    fields = ("standard", "table", "sha256", "name", "date")
    readings = tuple(Reading(**row) for row in _records(path, "tables_read", "reading of a table", fields))
    wrong = [
        InputProblem(str(path), 0, "tables_read", f"'{r.table}' of '{r.standard}'", "a table that 'detailgen standards' lists", "Correct the name.")
        for r in readings
        if r.table not in known(r.standard)
    ]
    if wrong:
        raise InputError(wrong)
    return readings


def _records(path: Path, key: str, what: str, fields: Sequence[str]) -> list[dict[str, str]]:
    """A file that holds one list of flat records, each with the same fields and a date."""
    if not path.exists():
        return []
    from detailgen.survey.document import Items, Report, Table, Text, read_document, read_text

    report = Report(str(path))
    root = read_document(path, read_text(path, f"a list of {key.replace('_', ' ')}"), report)
    report.stop_if_any()
    listed = root.entries.get(key) if root is not None else None
    if not isinstance(listed, Items):
        example = ", ".join(f"{name}: ..." for name in fields)
        raise InputError([InputProblem(str(path), 1, key, "no list", f"{key}: [{{{example}}}]")])
    found = []
    for item in listed.items:
        row = {}
        for name in fields:
            entry = item.child(name) if isinstance(item, Table) else item
            if isinstance(entry, Text) and entry.value:
                row[name] = entry.value
            else:
                report.add(entry, "nothing", f"{name} of the {what}")
        if isinstance(item, Table):
            for name in set(item.entries) - set(fields):
                report.add(item.child(name), f"'{name}'", ", ".join(fields))
        if "date" in row:
            try:
                datetime.date.fromisoformat(row["date"])
            except ValueError:
                report.add(item, f"date '{row['date']}'", "a date as 2026-05-04")
        if len(row) == len(fields):
            found.append(row)
    report.stop_if_any()
    return found


def read_marks(folder: Path) -> dict[str, str]:
    """marks.json: marks by signature; empty where the file is absent."""
    path = folder / MARKS
    if not path.exists():
        return {}
    try:
        book = json.loads(path.read_text(encoding="utf-8"))
        if not isinstance(book, dict) or not all(isinstance(v, str) and "-" in v and v.rsplit("-", 1)[1].isdigit() for v in book.values()):
            raise ValueError
    except ValueError:
        problem = InputProblem(str(path), 0, "", "a damaged file", "a table of signatures and marks", "Delete it to number all parts afresh.")
        raise InputError([problem]) from None
    return {str(k): str(v) for k, v in book.items()}


def write_marks(folder: Path, book: dict[str, str]) -> None:
    """Keep the marks beside the project file; an unwritable folder is not this function's to hide."""
    text = json.dumps(book, indent=1, sort_keys=True) + "\n"
    temporary = folder / f".{MARKS}"
    temporary.write_text(text, encoding="utf-8")
    temporary.replace(folder / MARKS)
