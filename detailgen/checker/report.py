"""What the checker found, as lines for people."""

from __future__ import annotations

from detailgen.checker.advice import advice
from detailgen.checker.check import Checked
from detailgen.checker.drawing import length_words
from detailgen.checker.rules import C_DELTA, GREATEST, PROVIDED, REQUIRED
from detailgen.core.clause import TableStatus
from detailgen.core.result import CheckResult, State

KILONEWTON = 4.4482216152605 / 1000
"""kN in a pound-force."""


def _figures(result: CheckResult, metric: bool) -> str:
    steps = {s.symbol: s.value for s in result.steps}
    words = [f"{symbol} {length_words(steps[symbol], metric)}" for symbol in (REQUIRED, GREATEST, PROVIDED) if symbol in steps]
    if result.unit == "lb":
        words += [f"demand {_force(result.demand, metric)}", f"capacity {_force(result.capacity, metric)}"]
    return ", ".join(words)


def _force(pounds: float, metric: bool) -> str:
    return f"{pounds * KILONEWTON:,.1f} kN" if metric else f"{pounds:,.0f} lb"


def result_line(result: CheckResult, metric: bool = False) -> str:
    """One result: where, rule, required, provided, clause, what to do."""
    parts = [f"{result.where}: {result.check}", result.combination, _figures(result, metric)]
    if result.missing:
        parts.append(f"missing: {result.missing}")
    do = advice(result, metric)
    status = "" if result.table_status is TableStatus.NONE else f"; {result.table_status.words}"
    return "; ".join(p for p in parts if p) + f" ({result.cite}{status})" + (f". To do: {do}" if do else "")


def check_lines(checked: Checked) -> list[str]:
    """By file: what does not pass, what cannot be checked, what passes with a reduced value; then the count."""
    lines: list[str] = []
    for file in checked.files:
        by_state = {state: [r for r in file.results if r.state is state] for state in State}
        reduced = [r for r in by_state[State.PASSES] if any(s.symbol == C_DELTA and s.value < 1 for s in r.steps)]
        counts = ", ".join(f"{len(found)} {state.value}" for state, found in by_state.items() if found)
        lines.append(f"{file.file}: {counts or 'nothing new is shown; measured only'}")
        for title, found in (
            ("does not pass", by_state[State.DOES_NOT_PASS]), ("cannot be checked", by_state[State.CANNOT_BE_CHECKED]), ("reduced value", reduced),
        ):  # fmt: skip
            lines += [f"  {title}: {result_line(r, file.metric)}" for r in found]
    total = ", ".join(f"{checked.count(s)} {s.value}" for s in State)
    lines.append(f"{len(checked.files)} file{'s' if len(checked.files) != 1 else ''}: {total}")
    return lines
