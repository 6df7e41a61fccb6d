"""What the checker found, as lines for people."""

from __future__ import annotations

from detailgen.checker.check import Checked
from detailgen.checker.rules import C_DELTA, GREATEST, PROVIDED, REQUIRED
from detailgen.core.result import CheckResult, State


def _figures(result: CheckResult) -> str:
    steps = {s.symbol: s.value for s in result.steps}
    words = []
    for symbol in (REQUIRED, GREATEST, PROVIDED):
        if symbol in steps:
            words.append(f"{symbol} {steps[symbol]:.4f}".rstrip("0").rstrip(".") + " in.")
    if result.unit == "lb":
        words += [f"demand {result.demand:,.0f} lb", f"capacity {result.capacity:,.0f} lb"]
    return ", ".join(words)


def result_line(result: CheckResult) -> str:
    """One result: where, rule, required, provided, clause."""
    parts = [f"{result.where}: {result.check}", result.combination, _figures(result)]
    if result.missing:
        parts.append(f"missing: {result.missing}")
    return "; ".join(p for p in parts if p) + f" ({result.cite}; {result.table_status.words})"


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
            lines += [f"  {title}: {result_line(r)}" for r in found]
    total = ", ".join(f"{checked.count(s)} {s.value}" for s in State)
    lines.append(f"{len(checked.files)} file{'s' if len(checked.files) != 1 else ''}: {total}")
    return lines
