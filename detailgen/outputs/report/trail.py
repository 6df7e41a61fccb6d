"""Which lines of a calculation lead to a result. One calculation often serves several checks; a reader follows one at a time."""

from __future__ import annotations

import math
from collections.abc import Sequence

from detailgen.core.clause import Step, Term
from detailgen.core.result import CheckResult


def _same(a: float, b: float) -> bool:
    return math.isclose(a, b, rel_tol=1e-6, abs_tol=1e-12)


def _source(steps: Sequence[Step], before: int, term: Term) -> int | None:
    """The line from which a term's number comes: the last with its symbol and value, else the last of its value and unit."""
    for k in range(before - 1, -1, -1):
        if steps[k].symbol == term.symbol and _same(steps[k].value, term.value):
            return k
    plain = term.unit in ("-", "") and term.value in (0.0, 1.0)
    for k in range(before - 1, -1, -1):
        if not plain and steps[k].unit == term.unit and _same(steps[k].value, term.value):
            return k
    return None


def _root(steps: Sequence[Step], value: float, unit: str) -> int | None:
    units = (unit, "-", "") if unit in ("-", "") else (unit,)
    return next((k for k in range(len(steps) - 1, -1, -1) if steps[k].unit in units and _same(steps[k].value, value)), None)


def trail(result: CheckResult) -> tuple[Step, ...]:
    """The lines that lead to demand, capacity or ratio, in their order, each once. All lines where no such line is found."""
    steps = result.steps
    wanted = [(result.demand, result.unit), (result.capacity, result.unit), (result.ratio, "-")]
    if result.unit in ("-", "") and result.capacity == 1.0:
        wanted = [(result.ratio, "-")]
    roots = [_root(steps, value, unit) for value, unit in wanted]
    answer = roots[0] if len(roots) == 1 else roots[1]
    if answer is None or not (steps[answer].formula or _carried(steps, answer)):
        return _once(steps)
    open_lines = [r for r in roots if r is not None]
    kept: set[int] = set()
    while open_lines:
        k = open_lines.pop()
        if k in kept:
            continue
        kept.add(k)
        step = steps[k]
        # A value carried over under another name ("Z, mode III_s") stands for the line that computed it.
        carried = () if step.formula else (Term("", step.value, step.unit),)
        for term in step.terms or carried:
            source = _source(steps, k, term)
            if source is not None and (step.formula or steps[source].formula):
                open_lines.append(source)
    return _once([s for k, s in enumerate(steps) if k in kept])


def _carried(steps: Sequence[Step], k: int) -> bool:
    """Is this value the value of a formula above it, under another name?"""
    source = _source(steps, k, Term("", steps[k].value, steps[k].unit))
    return source is not None and steps[source].formula != ""


def _once(steps: Sequence[Step]) -> tuple[Step, ...]:
    return tuple(dict.fromkeys(steps))
