"""Numbers as cells of a table: converted to the project's units, seven significant figures, blank where there is none."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable, Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from detailgen.core.tolerance import rounded
from detailgen.core.units import UnitSystem

_POWERS = {"": 0, "2": 2, "3": 3, "4": 4}


def cell(value: float, factor: float = 1.0) -> str:
    """A number for a table; a blank for 'does not apply'."""
    if math.isnan(value):
        return ""
    text = f"{value * factor:.7g}"
    if "e" not in text and "n" not in text:  # what follows would say the same
        return text if text != "-0" else "0"
    number = rounded(value * factor)
    return str(int(number)) if math.isfinite(number) and number == int(number) else repr(float(number))


def settled(field: NDArray[np.float64]) -> NDArray[np.float64]:
    """A field without the last digits of its arithmetic, which differ between machines: rounded to 1e-9 of its largest value."""
    largest = float(np.abs(field).max(initial=0.0))
    return field if largest == 0.0 else np.round(field, 8 - math.floor(math.log10(largest))) + 0.0


def unit_of(unit: str, units: UnitSystem) -> tuple[str, float]:
    """The project's unit for an inside unit, and the factor to it.

    Raises: ValueError for a unit that no check may use
    """
    if unit in ("", "-", "1"):
        return unit, 1.0
    if unit == "lb":
        return units.force_unit, units.force
    if unit == "psi":
        return units.stress_unit, units.stress
    if unit == "in-lb":
        return units.moment_unit.replace("_", "-"), units.moment
    if unit.startswith("in") and unit[2:] in _POWERS:
        power = unit[2:]
        return units.length_unit + power, units.length ** (_POWERS[power] or 1)
    if unit == "lb/in":
        return (unit, 1.0) if units.name == "US" else ("kN/m", units.force * 1000 / units.length)
    if unit in ("rad", "deg"):
        return unit, 1.0
    raise ValueError(f"a check gives its demand in {unit!r}, which has no place in the tables")


def csv_text(rows: Iterable[Sequence[str]]) -> str:
    out = io.StringIO(newline="")
    csv.writer(out, lineterminator="\n").writerows(rows)
    return out.getvalue()


def write_csv(path: Path, header: Sequence[str], rows: Iterable[str]) -> None:
    """rows: those of one truss after another, as text"""
    with path.open("w", encoding="utf-8", newline="") as stream:
        stream.write(csv_text([header]))
        stream.writelines(rows)
