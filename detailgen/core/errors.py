"""Errors that a person reads: where, what was found, what is allowed, what to do."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, order=True)
class InputProblem:
    """One fault in an input file. ``line`` is 1-based; 0 means the file as a whole."""

    file: str
    line: int
    field: str
    found: str
    allowed: str
    to_do: str = ""

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}" if self.line else self.file
        field = f" {self.field}:" if self.field else ""
        advice = f" {self.to_do}" if self.to_do else ""
        return f"{place}:{field} found {self.found}; allowed: {self.allowed}.{advice}"


class InputError(Exception):
    """All faults of the input at once. Exit code 2, nothing written."""

    def __init__(self, problems: Iterable[InputProblem]) -> None:
        self.problems = tuple(sorted(set(problems)))
        super().__init__("\n".join(str(p) for p in self.problems))


class OutputError(Exception):
    """An output folder or file that cannot be written. Exit code 2."""


class TableError(Exception):
    """A table of a standard that is blank, doubled, of unknown unit or without provenance."""


class NotCovered(Exception):
    """Something that a standard's module does not cover; it reaches the report as 'cannot be checked'."""

    def __init__(self, what: str, clause: str = "") -> None:
        self.what, self.clause = what, clause
        super().__init__(f"{what} ({clause})" if clause else what)


class OutOfRange(NotCovered):
    """A value outside the range in which a clause holds."""
