"""What stands beside the project file: acceptances of repairs and the book of marks."""

from __future__ import annotations

import datetime
import json
from dataclasses import dataclass
from pathlib import Path

from detailgen.core.errors import InputError, InputProblem

ACCEPTED, MARKS = "accepted.yaml", "marks.json"
FIELDS = ("repair", "hash", "name", "date")


@dataclass(frozen=True)
class Acceptance:
    """An engineer's acceptance of one repair as it was then: a changed detail has another hash and is proposed again."""

    repair: str
    hash: str
    name: str
    date: str


def read_accepted(folder: Path) -> tuple[Acceptance, ...]:
    """accepted.yaml, ``accepted:`` with a list of {repair, hash, name, date}; none where the file is absent. Raises InputError with every fault."""
    path = folder / ACCEPTED
    if not path.exists():
        return ()
    from detailgen.survey.document import Items, Report, Table, Text, read_document, read_text

    report = Report(str(path))
    root = read_document(path, read_text(path, "a list of accepted repairs"), report)
    report.stop_if_any()
    listed = root.entries.get("accepted") if root is not None else None
    if not isinstance(listed, Items):
        raise InputError([InputProblem(str(path), 1, "accepted", "no list", "accepted: [{repair: ..., hash: ..., name: ..., date: ...}]")])
    found = []
    for item in listed.items:
        row = {}
        for name in FIELDS:
            entry = item.child(name) if isinstance(item, Table) else item
            if isinstance(entry, Text) and entry.value:
                row[name] = entry.value
            else:
                report.add(entry, "nothing", f"{name} of the accepted repair")
        if isinstance(item, Table):
            for name in set(item.entries) - set(FIELDS):
                report.add(item.child(name), f"'{name}'", ", ".join(FIELDS))
        if "date" in row:
            try:
                datetime.date.fromisoformat(row["date"])
            except ValueError:
                report.add(item, f"date '{row['date']}'", "a date as 2026-05-04")
        if len(row) == len(FIELDS):
            found.append(Acceptance(**row))
    report.stop_if_any()
    return tuple(found)


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
