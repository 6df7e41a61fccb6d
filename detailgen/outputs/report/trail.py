"""Which lines of a calculation lead to a result. One calculation often serves several checks; a reader follows one at a time."""

from __future__ import annotations

import math
from collections.abc import Sequence

from detailgen.core.clause import Step, Term
from detailgen.core.result import CheckResult


def _same(a: float, b: float) -> bool:
    return math.isclose(a, b, rel_tol=1e-6, abs_tol=1e-12)


def _computed(steps: Sequence[Step], before: int, given: Step) -> int | None:
    """The line that computed a value which stands below under another name ("Z, mode III_s"); None where it was looked up or measured."""
    if given.unit in ("-", "") and given.value in (0.0, 1.0):
        return None
    lines = range(before - 1, -1, -1)
    return next((k for k in lines if steps[k].formula and steps[k].unit == given.unit and _same(steps[k].value, given.value)), None)


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
    if answer is None or not (steps[answer].formula or _computed(steps, answer, steps[answer]) is not None):
        return _once(steps)
    open_lines = [r for r in roots if r is not None]
    kept: set[int] = set()
    while open_lines:
        k = open_lines.pop()
        if k in kept:
            continue
        kept.add(k)
        step = steps[k]
        sources = [_source(steps, k, term) for term in step.terms] if step.formula else [_computed(steps, k, step)]
        open_lines += [source for source in sources if source is not None]
    return _once([s for k, s in enumerate(steps) if k in kept])


def _once(steps: Sequence[Step]) -> tuple[Step, ...]:
    return tuple(dict.fromkeys(steps))
