"""What a check answers."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from enum import Enum

from detailgen.core.clause import Calculation, Cite, Step, TableStatus


class State(Enum):
    """Three answers that are never mixed."""

    PASSES = "passes"
    DOES_NOT_PASS = "does not pass"
    CANNOT_BE_CHECKED = "cannot be checked"


@dataclass(frozen=True)
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

    @property
    def steps(self) -> tuple[Step, ...]:
        return self.calculation.steps(self.entry)

    @property
    def table_status(self) -> TableStatus:
        return min(self.calculation.status, self.cite.status)


def cannot_be_checked(where: str, check: str, missing: str, cite: Cite, *, combination: str = "", stage: str = "") -> CheckResult:
    """A result that says what is missing instead of a number."""
    nan = math.nan
    return CheckResult(where, check, nan, nan, "", nan, State.CANNOT_BE_CHECKED, combination, stage, nan, cite, missing=missing)
