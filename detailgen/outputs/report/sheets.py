"""One governing result as it stands on paper: what was asked, the lines that lead to it, the answer."""

from __future__ import annotations

import math
from dataclasses import dataclass

from detailgen.core.clause import Cite, Step, TableStatus
from detailgen.core.result import CheckResult, State
from detailgen.core.tolerance import at_most
from detailgen.outputs.report.formula import number, symbol, typeset
from detailgen.outputs.report.quantities import Quantities, ratio, unit_text, written
from detailgen.outputs.report.trail import trail

Json = dict[str, object]
SHORT_STATUS = {
    TableStatus.FROM_MEMORY: "from memory",
    TableStatus.PRINT: "seen in print",
    TableStatus.READ: "read against print",
    TableStatus.NONE: "",
}


def source(cite: Cite) -> str:
    """Document and clause, then the table with its reading status."""
    status = SHORT_STATUS[cite.status]
    table = f", table {cite.table.replace('_', ' ')}" if cite.table else ""
    return f"{cite.document} {cite.clause}{table}" + (f" ({status})" if status else "")


def over(result: CheckResult) -> bool:
    return result.state is State.DOES_NOT_PASS or (not math.isnan(result.ratio) and not at_most(result.ratio, 1.0))


@dataclass(frozen=True)
class Paper:
    """Writes results in the project's units."""

    quantities: Quantities

    def line(self, step: Step) -> Json:
        """symbol = formula = numbers put in = value unit, as Typst mathematics.

        A formula whose constants belong to pounds and inches is shown in them, and its value in the project's units too.
        """
        q = self.quantities
        here = q.holds(step)
        table = q.line if here else lambda unit: (unit, 1.0)
        unit, factor = table(step.unit)
        parts = [symbol(step.symbol)]
        if step.formula:
            numbers = {t.symbol: written(t.value * table(t.unit)[1]) for t in step.terms}
            parts.append(typeset(step.formula))
            if numbers and parts[-1] != typeset(step.formula, numbers):
                parts.append(typeset(step.formula, numbers))
        parts.append(_value(step.value * factor, unit))
        if not here:
            unit, factor = q.line(step.unit)
            if unit != step.unit:
                parts.append(_value(step.value * factor, unit))
        note = "" if here else " (formula in pounds and inches)"
        return {"math": " = ".join(parts), "source": source(step.cite) + note, "given": not step.formula}

    def demand_capacity(self, r: CheckResult) -> str:
        """Demand / capacity with their unit; an interaction is a sum that may reach 1."""
        if math.isnan(r.ratio):
            return "–"
        if r.unit in ("-", "") and r.capacity == 1.0:
            return f"sum {ratio(r.demand)} / 1"
        word, factor = self.quantities.large(r.unit)
        return f"{written(r.demand * factor)} / {written(r.capacity * factor)} {unit_text(word)}".strip()

    def short(self, r: CheckResult | None) -> Json:
        """A result in a table."""
        if r is None:
            return {"check": "–", "numbers": "", "ratio": "", "over": False, "combination": ""}
        unknown = math.isnan(r.ratio)
        return {
            "check": r.check,
            "numbers": r.missing if unknown else self.demand_capacity(r),
            "ratio": "?" if unknown else ratio(r.ratio),
            "over": over(r) or unknown,
            "combination": r.combination,
        }

    def sheet(self, r: CheckResult, place: str) -> Json:
        """One result in full."""
        at = "" if math.isnan(r.station) else f"station {self.quantities.length(r.station)}"
        head = ", ".join(p for p in (f"under {r.combination}" if r.combination else "", f"stage {r.stage}" if r.stage else "") if p)
        answer = self.short(r)
        status = r.table_status
        return {
            "title": f"{place}: {r.check}",
            "where": ", ".join(t for t in ("" if r.where == place else r.where, at) if t),
            "head": head,
            "lines": [self.line(s) for s in trail(r)],
            "answer": answer["numbers"],
            "ratio": answer["ratio"],
            "verdict": r.state.value,
            "over": answer["over"],
            "clause": source(Cite(r.cite.document, r.cite.clause)),
            "tables": "" if status is TableStatus.NONE else f"least sure table: {SHORT_STATUS[status]}",
        }


def _value(value: float, unit: str) -> str:
    text = number(written(value))
    name = unit_text(unit)
    return f'{text} thin upright("{name}")' if name else text
