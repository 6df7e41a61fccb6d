"""The checker's own reading of table rows: what distance a standard asks for, and how a provided distance compares with it.

Row form: D (k_d + k_cos |cos a| + k_sin |sin a|) + k_l l + k_row (row spacing) + const + const_sin |sin a|, with conditions on fastener, wood,
quantity, load, level, angle a of load to grain, and l/D. Of the rows that apply the largest counts.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from pathlib import Path

from detailgen.core.clause import Calculation, Cite
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult, State
from detailgen.core.table import Table, read_table
from detailgen.core.tolerance import LENGTH_IN, rounded_length

STANDARDS = Path(__file__).parent.parent / "standards"
READING_IN = 5 * LENGTH_IN
"""Two places read from a file that keeps six decimals differ from the truth by up to this much together (in)."""
Row = Mapping[str, str | float]
Spots = tuple[tuple[float, float], ...]
REQUIRED, GREATEST, PROVIDED, C_DELTA = "required", "allowed at most", "provided", "C_delta"
"""What the steps of a result are called."""


@dataclass(frozen=True)
class Found(CheckResult):
    """A result that knows where in the drawing it was measured: one place, or the two between which it is too short (in)."""

    spots: tuple[tuple[float, float], ...] = field(default=(), compare=False)


class MissingFact(NotCovered):
    """A fact without which a row cannot be read."""


def table_of(standard: str, name: str) -> Table:
    """A table by its path. Raises NotCovered where the standard or the table is not there."""
    folder = STANDARDS / standard / "tables"
    if not standard or "/" in standard or not (folder / "index.csv").is_file():
        raise NotCovered(f"standard '{standard}' is not known" if standard else "no standard is stated")
    if not (folder / f"{name}.csv").is_file():
        raise NotCovered(f"standard '{standard}' has no table {name}")
    return read_table(folder, name)


def cite_of(table: Table, row: Row, clause: str = "") -> Cite:
    text = clause or str(row.get("clause", "")) or table.clause
    return replace(table.cite(row), clause=text if text[:1].isdigit() or text == table.clause else f"{table.clause.split(',')[0]}, {text}")


@dataclass(frozen=True)
class Asked:
    """One question to the table of least distances; angle in degrees, lengths in inches."""

    standard: str
    fastener: str
    wood: str
    quantity: str
    load: str
    angle: float
    D: float
    slenderness: float | None  # l/D
    row_spacing: float = 0.0


@dataclass(frozen=True)
class Least:
    """Distance for the full value, absolute least, the rows that decided, and whether between the two the value is reduced in proportion."""

    full: float
    least: float
    full_rule: str
    least_rule: str
    full_cite: Cite
    least_cite: Cite
    reduces: bool


def _fits_angle(row: Row, angle: float) -> bool:
    low, high = float(row["angle_from"]), float(row["angle_to"])
    above = angle > low or (row["from_end"] == "closed" and angle == low)
    below = angle < high or (row["to_end"] == "closed" and angle == high)
    return above and below


def _fits_slenderness(row: Row, slenderness: float | None) -> bool:
    low, high = float(row["l_D_over"]), float(row["l_D_to"])
    if low == 0 and math.isinf(high):
        return True
    if slenderness is None:
        raise MissingFact("the thickness of the part (its plan view)")
    return low < slenderness <= high


def _distance(row: Row, asked: Asked) -> float:
    v = {k: float(row[k]) for k in ("k_d", "k_cos", "k_sin", "k_l", "k_row", "const", "const_sin")}
    a = math.radians(asked.angle)
    sine, cosine = abs(math.sin(a)), abs(math.cos(a))
    length = 0.0 if asked.slenderness is None else asked.slenderness * asked.D
    diameters = v["k_d"] + v["k_cos"] * cosine + v["k_sin"] * sine
    return diameters * asked.D + v["k_l"] * length + v["k_row"] * asked.row_spacing + v["const"] + v["const_sin"] * sine


def _words(row: Row) -> str:
    terms = (
        ("k_d", "D"), ("k_cos", "D |cos a|"), ("k_sin", "D |sin a|"), ("k_l", "l"), ("k_row", "row spacing"), ("const", "in."),
        ("const_sin", "in. |sin a|"),
    )  # fmt: skip
    return " + ".join(f"{float(row[k]):g} {word}" for k, word in terms if float(row[k])) or "0"


@lru_cache(maxsize=65536)
def least_distance(asked: Asked) -> Least:
    """What the table asks for. Raises NotCovered where no row applies, MissingFact where a row needs what nobody stated."""
    table = table_of(asked.standard, "bolt_least_distances")
    angle = round(asked.angle, 6)
    best: dict[str, tuple[float, Row]] = {}
    for row in table:
        conditions = (("fastener", asked.fastener), ("wood", asked.wood), ("quantity", asked.quantity), ("load", asked.load))
        if not all(row[k] in ("any", v) for k, v in conditions) or not _fits_angle(row, angle) or not _fits_slenderness(row, asked.slenderness):
            continue
        value = _distance(row, asked)
        for level in ("full", "min") if row["level"] == "any" else (str(row["level"]),):
            if level not in best or value > best[level][0]:
                best[level] = value, row
    if "full" not in best or "min" not in best:
        what = f"{asked.quantity} of a {asked.fastener} in {asked.wood or 'wood of unknown kind'}, load at {angle:g} degrees"
        raise NotCovered(f"no row for {what}", f"{table.document} table {table.name}")
    (full, a), (least, b) = best["full"], best["min"]
    return Least(full, least, _words(a), _words(b), cite_of(table, a), cite_of(table, b), a["reduces"] == "ratio" and least < full)


def falls_short(provided: float, required: float) -> bool:
    return rounded_length(provided) < rounded_length(required) - READING_IN


def at_least(
    where: str, check: str, required: float, provided: float, cite: Cite, *, combination: str = "", sheet: Calculation | None = None,
    spots: Spots = (),
) -> Found:  # fmt: skip
    """A length that must be at least so much."""
    state = State.DOES_NOT_PASS if falls_short(provided, required) else State.PASSES
    provided, required = rounded_length(provided), rounded_length(required)
    ratio = 0.0 if required == 0 else required / provided if provided > 0 else math.inf
    sheet = sheet or Calculation()
    sheet.given(REQUIRED, required, "in", cite)
    sheet.given(PROVIDED, provided, "in", cite)
    return Found(where, check, required, provided, "in", ratio, state, combination, "", math.nan, cite, sheet, spots=spots)


def at_most(
    where: str, check: str, greatest: float, provided: float, cite: Cite, *, combination: str = "", spots: Spots = (),
) -> Found:  # fmt: skip
    """A length that must be at most so much: demand is what is there."""
    state = State.DOES_NOT_PASS if falls_short(greatest, provided) else State.PASSES
    provided, greatest = rounded_length(provided), rounded_length(greatest)
    ratio = 0.0 if math.isinf(greatest) else provided / greatest
    sheet = Calculation()
    sheet.given(GREATEST, greatest, "in", cite)
    sheet.given(PROVIDED, provided, "in", cite)
    return Found(where, check, provided, greatest, "in", ratio, state, combination, "", math.nan, cite, sheet, spots=spots)


def wrong(where: str, check: str, off_by: float, cite: Cite, *, spots: Spots = ()) -> Found:
    """Something that must not differ at all, and differs by so much (in)."""
    return Found(where, check, rounded_length(off_by), 0.0, "in", math.inf, State.DOES_NOT_PASS, "", "", math.nan, cite, spots=spots)


def compared(where: str, what: str, need: Least, provided: float, combination: str = "", spots: Spots = ()) -> Found:
    """Full value, reduced with its C_delta, or not allowed."""
    sheet = Calculation()
    sheet.given("full value from", rounded_length(need.full), "in", need.full_cite)
    sheet.given("absolute least", rounded_length(need.least), "in", need.least_cite)
    if not falls_short(provided, need.full):
        sheet.given(C_DELTA, 1.0, "-", need.full_cite)
        check = f"{what}: full value ({need.full_rule})"
        return at_least(where, check, need.full, provided, need.full_cite, combination=combination, sheet=sheet, spots=spots)
    if falls_short(provided, need.least) or not need.reduces:
        check = f"{what}: not allowed (least {need.least_rule})"
        return at_least(where, check, need.least, provided, need.least_cite, combination=combination, sheet=sheet, spots=spots)
    factor = rounded_length(provided / need.full)
    sheet.given(C_DELTA, factor, "-", need.full_cite)
    check = f"{what}: reduced, C_delta {factor:.3f} (full value {need.full_rule}, least {need.least_rule})"
    return at_least(where, check, need.least, provided, need.least_cite, combination=combination, sheet=sheet, spots=spots)
