"""How the report writes numbers: one table of units for each unit system, four significant figures."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from detailgen.core.clause import Step
from detailgen.core.units import MM, MPA, NEWTON, UnitSystem
from detailgen.outputs.report.formula import evaluate, limited

_AS_IS = {u: (u, 1.0) for u in ("", "-", "rad", "deg", "ft", "1/ft", "F", "h", "D", "millionths")}
_INSIDE = {u: (u, 1.0) for u in ("in", "in2", "in3", "in4", "lb", "psi", "in-lb", "lb/in", "1/in")}
_TABLES: dict[str, Mapping[str, tuple[str, float]]] = {
    "US": _AS_IS | _INSIDE,
    # Lines of a calculation: newton and millimetre throughout, so that the numbers put in give the value without factors.
    "SI": _AS_IS
    | {
        "in": ("mm", 1 / MM),
        "in2": ("mm2", MM**-2),
        "in3": ("mm3", MM**-3),
        "in4": ("mm4", MM**-4),
        "lb": ("N", 1 / NEWTON),
        "psi": ("MPa", 1 / MPA),
        "in-lb": ("N-mm", 1 / (NEWTON * MM)),
        "lb/in": ("N/mm", MM / NEWTON),
        "1/in": ("1/mm", MM),
    },
}
_LARGE = {"N": ("kN", 1e-3), "N-mm": ("kN-m", 1e-6)}
_SUPERSCRIPT = str.maketrans("234", "²³⁴")


def written(value: float) -> str:
    """A number: thousands with commas, otherwise four significant figures."""
    if math.isnan(value):
        return "–"
    if math.isinf(value):
        return "∞" if value > 0 else "-∞"
    rounded = float(f"{value:.4g}") + 0.0
    size = abs(rounded)
    if size >= 1000:
        return f"{value:,.0f}"
    if rounded == 0 or size >= 1e-3:
        text = f"{rounded:.{max(0, 3 - math.floor(math.log10(size))) if size else 0}f}"
        return text.rstrip("0").rstrip(".") if "." in text else text
    mantissa, exponent = f"{value:.3e}".split("e")
    return f"{mantissa.rstrip('0').rstrip('.')}e{int(exponent)}"


def ratio(value: float) -> str:
    """A demand-capacity ratio: two decimals, more where two would hide on which side of 1 it is."""
    if not math.isfinite(value):
        return written(value)
    for digits in range(2, 7):
        text = f"{value:.{digits}f}"
        if float(text) != 1.0 or math.isclose(value, 1.0, rel_tol=1e-7):
            break
    return text


def unit_text(unit: str) -> str:
    if unit in ("", "-"):
        return ""
    return unit.translate(_SUPERSCRIPT) if unit[-1:] in "234" else unit


@dataclass(frozen=True)
class Quantities:
    """Writes inside numbers in the project's units."""

    system: UnitSystem

    def line(self, unit: str) -> tuple[str, float]:
        """Unit and factor on a line of a calculation. Raises ValueError for a unit that is not in the table."""
        table = _TABLES[self.system.name]
        if unit not in table:
            raise ValueError(f"a calculation gives a value in {unit!r}, which has no place in the report")
        return table[unit]

    def large(self, unit: str) -> tuple[str, float]:
        """Unit and factor in tables and results: kN and kN-m where lines have N and N-mm."""
        name, factor = self.line(unit)
        larger, by = _LARGE.get(name, (name, 1.0))
        return larger, factor * by

    def write(self, value: float, unit: str, *, name: bool = True) -> str:
        """A value for tables and sentences, with or without its unit's name."""
        word, factor = self.large(unit)
        return f"{written(value * factor)} {unit_text(word)}".strip() if name else written(value * factor)

    def length(self, value_in: float) -> str:
        return self.system.write_length(value_in)

    def holds(self, step: Step) -> bool:
        """Does the step's formula hold for numbers in the project's units? Formulas with constants of pounds and inches do not in SI."""
        if self.system.name == "US" or not step.formula:
            return True
        if any(t.symbol in limited(step.formula) and self.line(t.unit)[1] != 1.0 for t in step.terms):
            return False
        values = {t.symbol: t.value * self.line(t.unit)[1] for t in step.terms}
        try:
            got = evaluate(step.formula, values)
        except (ValueError, ZeroDivisionError, OverflowError):
            return False
        return math.isclose(got, step.value * self.line(step.unit)[1], rel_tol=1e-6, abs_tol=1e-12)
