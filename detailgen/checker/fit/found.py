"""One answer of the fit check: what is needed and what is there, in inches or pounds."""

from __future__ import annotations

import math
from typing import Any

from detailgen.core.clause import Cite
from detailgen.core.result import CheckResult, State

FIT = Cite("fit", "geometry of the joint")
HOUSE = Cite("fit", "common practice")
MIND = "mind:"
"""Begins what passes and must be known on site."""
SLACK = 1e-6
"""Needed and there are equal within this (in)."""


def fit_result(where: str, check: str, needed: float, there: float, unit: str = "in", cite: Cite = FIT) -> CheckResult:
    """Passes where at least what is needed is there."""
    state = State.PASSES if there >= needed - SLACK else State.DOES_NOT_PASS
    ratio = needed / there if there > 0 else (math.inf if state is State.DOES_NOT_PASS else 0.0)
    return CheckResult(where, check, round(needed, 6), round(there, 6), unit, ratio, state, "", "", math.nan, cite)


def none_needed(where: str, check: str) -> CheckResult:
    return fit_result(where, f"{check}: one only", 0.0, 0.0)


def fit_json(result: CheckResult) -> dict[str, Any]:
    """One answer for checks.json; lengths in inches, weights in pounds."""
    out: dict[str, Any] = {"where": result.where, "check": result.check, "state": result.state.value}
    if result.missing:
        return out | {"missing": result.missing}
    return out | {"needed": result.demand, "there": result.capacity, "unit": result.unit}
