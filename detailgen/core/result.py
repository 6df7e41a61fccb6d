"""What a check answers."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, fields, replace
from enum import Enum

from detailgen.core.clause import Calculation, Cite, ReadTables, Step, TableStatus
from detailgen.core.tolerance import at_most


class State(Enum):
    """Three answers that are never mixed."""

    PASSES = "passes"
    DOES_NOT_PASS = "does not pass"
    CANNOT_BE_CHECKED = "cannot be checked"


@dataclass(frozen=True, init=False, slots=True)
class CheckResult:
    """One check of one place under one combination.

    demand and capacity are in ``unit`` (inside units); ratio is demand over capacity, or the sum of an interaction formula.
    station is the distance along the member (in), nan where a check has none. ``missing`` says why nothing could be computed.
    """

    where: str
    check: str
    demand: float
    capacity: float
    unit: str
    ratio: float
    state: State
    combination: str
    stage: str
    station: float
    cite: Cite
    calculation: Calculation = field(default_factory=Calculation, repr=False, compare=False)
    entry: int = field(default=0, repr=False, compare=False)
    missing: str = ""

    def __init__(
        self, where: str, check: str, demand: float, capacity: float, unit: str, ratio: float, state: State, combination: str, stage: str,
        station: float, cite: Cite, calculation: Calculation | None = None, entry: int = 0, missing: str = "",
    ) -> None:  # fmt: skip
        _fill(self, (where, check, demand, capacity, unit, ratio, state, combination, stage, station, cite,
                     Calculation() if calculation is None else calculation, entry, missing))  # fmt: skip

    def __reduce__(self) -> tuple[type[CheckResult], tuple[object, ...]]:
        """Handed from process to process by its terms: half the time and room of name and value."""
        return CheckResult, tuple(get(self) for get in _GET)

    @property
    def passes(self) -> bool:
        """Could it be checked, and is it at or under 1.0?"""
        return self.state is State.PASSES and at_most(self.ratio, 1.0)

    @property
    def steps(self) -> tuple[Step, ...]:
        return self.calculation.steps(self.entry)

    @property
    def table_status(self) -> TableStatus:
        return min(self.calculation.status, self.cite.status)


_SLOTS = [getattr(CheckResult, f.name) for f in fields(CheckResult)]
_GET, _SET = [s.__get__ for s in _SLOTS], [s.__set__ for s in _SLOTS]


def _fill(result: CheckResult, values: tuple[object, ...]) -> None:
    """A truss has tens of thousands of results: without a dictionary each they take a third of the room."""
    for put, value in zip(_SET, values, strict=True):
        put(result, value)


def cannot_be_checked(where: str, check: str, missing: str, cite: Cite, *, combination: str = "", stage: str = "") -> CheckResult:
    """A result that says what is missing instead of a number."""
    nan = math.nan
    return CheckResult(where, check, nan, nan, "", nan, State.CANNOT_BE_CHECKED, combination, stage, nan, cite, missing=missing)


def governs(results: Sequence[CheckResult]) -> CheckResult:
    """What speaks for several results of one thing: what cannot be checked, else what fails worst, else the largest ratio of strength.

    ``results`` holds at least one. Ratios count to six places, and of equals the first, so that noise does not choose.
    """
    unknown = [r for r in results if r.state is State.CANNOT_BE_CHECKED]
    return unknown[0] if unknown else max(results, key=lambda r: (not r.passes, r.unit != "in", round(r.ratio, 6)))


def by_readings(results: Iterable[CheckResult], read: ReadTables, sheets: dict[int, Calculation]) -> tuple[CheckResult, ...]:
    """The same results once a practice's own readings count. ``sheets`` remembers calculations that several results share.

    A cite without a table that is less sure than print only repeats the least sure line of its sheet, so the sheet says it anew.
    """
    found = []
    for result in results:
        sheet = sheets.setdefault(id(result.calculation), result.calculation.by_readings(read))
        cite = result.cite
        repeats = not cite.table and cite.status < TableStatus.READ and sheet.recorded
        found.append(replace(result, calculation=sheet, cite=replace(cite, status=sheet.status if repeats else cite.status_by(read))))
    return tuple(found)
