"""What stands in the standards' folders, for people: tables with their status, clauses with their formula, what is covered."""

from __future__ import annotations

import difflib
import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from detailgen.core.clause import ClauseText, ReadTables, clause_text, limits, statements
from detailgen.core.errors import NotCovered
from detailgen.core.table import Table, read_index, read_table

HERE = Path(__file__).parent
_NUMBER = re.compile(r"(?<![\w.])(?:[A-Z]\.?)?\d+(?:\.\d+)*[A-Z]?(?:-\d+)?")
"""A number of a clause, table or equation: 12.3.1, 12.5.1A, 3.9-1, E.3, J3.4."""


@dataclass(frozen=True)
class Covered:
    """A line of a document's list of what is covered."""

    chapter: str
    clause: str
    what: str
    state: str


@dataclass(frozen=True)
class Clause:
    """A clause as the code has it."""

    standard: str
    name: str
    function: Callable[..., Any]

    @property
    def text(self) -> ClauseText:
        return clause_text(self.function)

    @property
    def formulas(self) -> tuple[tuple[str, str], ...]:
        """(symbol, formula) of each statement, generated from the code that runs."""
        return tuple((s.symbol, s.formula) for s in statements(self.function))

    @property
    def limits(self) -> tuple[str, ...]:
        return limits(self.function)


def documents() -> tuple[str, ...]:
    """Folders of the documents."""
    return tuple(sorted(i.name for i in pkgutil.iter_modules([str(HERE)]) if i.ispkg))


def table_names(standard: str) -> tuple[str, ...]:
    """Names of the tables of a document in the order of its index; none where there is no such document."""
    folder = HERE / standard / "tables"
    return tuple(read_index(folder)) if standard in documents() and (folder / "index.csv").is_file() else ()


def tables(standard: str) -> Iterator[Table]:
    for name in table_names(standard):
        yield read_table(HERE / standard / "tables", name)


def table(name: str) -> tuple[str, Table]:
    """A table by its name, alone or after its document ("nds_2018/wet_service"). Raises NotCovered with near names."""
    document, _, wanted = name.rpartition("/")
    found = [key for key in documents() if document in ("", key) and wanted in table_names(key)]
    if len(found) == 1:
        return found[0], read_table(HERE / found[0] / "tables", wanted)
    if found:
        raise NotCovered(f"table {name} stands in several documents; write " + " or ".join(f"{key}/{wanted}" for key in found))
    every = [n for key in documents() for n in table_names(key)]
    raise NotCovered(f"there is no table {name}{_near(wanted, every)}; 'detailgen standards' lists them all")


def index_entry(standard: str, name: str) -> Mapping[str, str]:
    """Where a table comes from."""
    return read_index(HERE / standard / "tables")[name]


def readings_that_hold(readings: Sequence[Any]) -> tuple[ReadTables, tuple[str, ...]]:
    """Tables whose reading counts, and a sentence for each reading that has lapsed since its table changed.

    readings: records with standard, table, sha256, name, date
    """
    held, lapsed = set(), []
    for reading in readings:
        found = read_table(HERE / reading.standard / "tables", reading.table)
        if found.sha256 == reading.sha256:
            held.add((found.document, found.name))
        else:
            lapsed.append(f"The reading of table {reading.table} by {reading.name} on {reading.date} has lapsed: the table has changed since.")
    return frozenset(held), tuple(lapsed)


def clauses(standard: str) -> Iterator[Clause]:
    """Every clause function of a document, module by module in the order of the code."""
    package = importlib.import_module(f"detailgen.standards.{standard}")
    for info in pkgutil.iter_modules(package.__path__):
        module = importlib.import_module(f"{package.__name__}.{info.name}")
        functions = [f for _, f in inspect.getmembers(module, inspect.isfunction) if f.__module__ == module.__name__]
        for function in sorted(functions, key=lambda f: f.__code__.co_firstlineno):
            if "\n    Source: " in (function.__doc__ or "") and "Returns: " in (function.__doc__ or ""):
                yield Clause(standard, function.__name__, function)


def coverage(standard: str) -> Iterator[Covered]:
    """Lines of COVERAGE.md: rows ``| clause | what | state |`` under the heading of their chapter."""
    chapter = ""
    for line in (HERE / standard / "COVERAGE.md").read_text(encoding="utf-8").splitlines():
        if line.startswith("## "):
            chapter = line[3:].strip()
        cells = [c.strip() for c in line.strip().strip("|").split("|")]
        if line.startswith("|") and len(cells) == 3 and cells[0] != "clause" and not set(cells[0]) <= {"-", ":"}:
            yield Covered(chapter, *cells)


def numbers(text: str) -> tuple[str, ...]:
    """Numbers of clauses, tables and equations in a text; "3.7.2 to 3.7.4" names only its ends, "Appendix D" is the letter."""
    letters = re.findall(r"(?i:appendix|annex) ([A-Z])(?![.\w])", text)
    return (*letters, *_NUMBER.findall(re.sub("(?i:appendix|annex) ", "", text)))


def _under(inner: str, outer: str) -> bool:
    """Is 12.5.1.2 the clause 12.5.1 or a part of it?"""
    return inner == outer or (inner.startswith(outer) and not inner[len(outer)].isdigit())


def covering(clause: Clause) -> tuple[Covered, ...]:
    """Coverage lines about the numbers of a clause: of equal number if there are any, else of what they belong to."""
    document, _, rest = clause.text.source.partition(", ")
    mine = numbers(rest)
    lines = list(coverage(clause.standard))
    exact = [c for c in lines if set(mine) & set(numbers(c.clause)) or c.clause == document]  # "mechanics" is a line of its own
    return tuple(exact or (c for c in lines if any(_under(m, n) for m in mine for n in numbers(c.clause))))


@dataclass(frozen=True)
class Explained:
    """What answers a question: clauses of the code, and lines of coverage that name no clause of the code."""

    clauses: tuple[Clause, ...]
    covered: tuple[tuple[str, Covered], ...]


def explain(asked: str, standard: str = "") -> Explained:
    """Clauses by symbol ("C_g") or by number ("11.3.6", "3.9-1", "12.5.1A"), a number with all parts of it.

    standard: only this document
    Raises: NotCovered with near names where nothing answers
    """
    if standard and standard not in documents():
        raise NotCovered(f"there is no document {standard}; known are {', '.join(documents())}")
    asked = asked.strip()
    every = [c for key in documents() if standard in ("", key) for c in clauses(key)]
    found = [c for c in every if c.name == asked] or [c for c in every if c.name.casefold() == asked.casefold()]
    number = re.sub("^(?i:appendix|annex) ", "", asked).strip()
    if not found and (numbers(number) == (number,) or (asked != number and len(number) == 1)):
        found = [c for c in every if any(_under(n, number) for n in numbers(c.text.source.partition(", ")[2]))]
        lines = [(key, c) for key in documents() if standard in ("", key) for c in coverage(key)]
        told = {line for c in found for line in covering(c)}
        rest = tuple((k, c) for k, c in lines if c not in told and any(_under(n, number) or _under(number, n) for n in numbers(c.clause)))
        if found or rest:
            return Explained(tuple(found), rest)
    if not found:
        names = sorted({c.name for c in every} | {n for c in every for n in numbers(c.text.source.partition(", ")[2])})
        raise NotCovered(f"nothing here is called {asked}{_near(asked, names)}. Ask for a symbol as C_g or a number as 11.3.6")
    return Explained(tuple(found), ())


def _near(asked: str, names: Sequence[str]) -> str:
    close = difflib.get_close_matches(asked, list(names), n=4, cutoff=0.5)
    return f"; near it: {', '.join(close)}" if close else ""
