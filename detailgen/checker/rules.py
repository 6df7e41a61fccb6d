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
from detailgen.core.table import Table, read_index, read_table
from detailgen.core.tolerance import LENGTH_IN, rounded_length
from detailgen.core.units import MM

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


@lru_cache(maxsize=512)
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
    at_least: float = math.nan  # C_delta at the absolute least, from where it grows in a straight line; nan: in proportion to the distance

    def factor(self, provided: float) -> float:
        if math.isnan(self.at_least):
            return provided / self.full
        return self.at_least + (1 - self.at_least) * (provided - self.least) / (self.full - self.least)


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


def _distance(row: Row, asked: Asked, const_in: float, const_sin_in: float) -> float:
    v = {k: float(row[k]) for k in ("k_d", "k_cos", "k_sin", "k_l", "k_row", "const", "const_sin")}
    a = math.radians(asked.angle)
    sine, cosine = abs(math.sin(a)), abs(math.cos(a))
    length = 0.0 if asked.slenderness is None else asked.slenderness * asked.D
    diameters = v["k_d"] + v["k_cos"] * cosine + v["k_sin"] * sine
    return diameters * asked.D + v["k_l"] * length + v["k_row"] * asked.row_spacing + v["const"] * const_in + v["const_sin"] * const_sin_in * sine


def _words(table: Table, row: Row) -> str:
    one, two = ("mm" if table.units.get(k) == "mm" else "in." for k in ("const", "const_sin"))
    terms = (
        ("k_d", "D"), ("k_cos", "D |cos a|"), ("k_sin", "D |sin a|"), ("k_l", "l"), ("k_row", "row spacing"), ("const", one),
        ("const_sin", f"{two} |sin a|"),
    )  # fmt: skip
    return " + ".join(f"{float(row[k]):g} {word}" for k, word in terms if float(row[k])) or "0"


LEAST = ("fastener", "wood", "quantity", "load", "level", "angle_from", "k_d", "const", "reduces")
GREATEST_COLUMNS = ("fastener", "product", "made", "service", "quantity", "greatest")
ELLIPSES = ("fastener", "load_angle", "S_A", "S_B", "least")
"""Columns by which a table is known as one of the schemas, whatever its name and its standard."""


@lru_cache(maxsize=256)
def rows_of(standard: str, columns: tuple[str, ...], kind: str) -> tuple[tuple[Table, Row], ...]:
    """All rows for a kind of fastener in the tables of one schema. Raises NotCovered where the standard is not known."""
    folder = STANDARDS / standard / "tables"
    if not standard or "/" in standard or not (folder / "index.csv").is_file():
        raise NotCovered(f"standard '{standard}' is not known" if standard else "no standard is stated")
    tables = [read_table(folder, name) for name in sorted(read_index(folder))]
    kind = _followed(standard, kind)
    return tuple((t, row) for t in tables if t.rows and set(columns) <= set(t.rows[0]) for row in t if row["fastener"] in (kind, "any"))


def _followed(standard: str, kind: str) -> str:
    """The fastener whose distances this one has."""
    try:
        return str(table_of(standard, "fastener_follows").find(fastener=kind)["follows"])
    except NotCovered:
        return kind


def quantities_of(standard: str, kind: str) -> frozenset[str]:
    """What the standard knows of a kind of fastener. Raises NotCovered where it knows nothing."""
    rows = rows_of(standard, LEAST, kind)
    if not rows:
        raise NotCovered(f"rows for fastener '{kind}'")
    return frozenset(str(row["quantity"]) for _, row in rows)


def woods_of(standard: str, kind: str) -> frozenset[str]:
    """The kinds of wood that its rows tell apart: those of questions that no row answers for any wood."""
    rows = [row for _, row in rows_of(standard, LEAST, kind)]
    answered = {(row["quantity"], row["load"]) for row in rows if row["wood"] == "any"}
    return frozenset(str(row["wood"]) for row in rows if (row["quantity"], row["load"]) not in answered)


def _inches(table: Table, column: str) -> float:
    return MM if table.units.get(column) == "mm" else 1.0


def size_bounds(table: Table, row: Row) -> tuple[float, float]:
    """Least and greatest of a row (in)."""
    return float(row["least"]) * _inches(table, "least"), float(row["greatest"]) * _inches(table, "greatest")


@lru_cache(maxsize=65536)
def least_distance(asked: Asked) -> Least:
    """What the tables ask for. Raises NotCovered where no row applies, MissingFact where a row needs what nobody stated."""
    angle = round(asked.angle, 6)
    best: dict[str, tuple[float, Table, Row]] = {}
    for table, row in rows_of(asked.standard, LEAST, asked.fastener):
        conditions = (("wood", asked.wood), ("quantity", asked.quantity), ("load", asked.load))
        if not all(row[k] in ("any", v) for k, v in conditions) or not _fits_angle(row, angle) or not _fits_slenderness(row, asked.slenderness):
            continue
        value = _distance(row, asked, _inches(table, "const"), _inches(table, "const_sin"))
        for level in ("full", "min") if row["level"] == "any" else (str(row["level"]),):
            if level not in best or value > best[level][0]:
                best[level] = value, table, row
    if "full" not in best or "min" not in best:
        what = f"{asked.quantity} of a {asked.fastener} in {asked.wood or 'wood of unknown kind'}, load at {angle:g} degrees"
        raise NotCovered(f"no row for {what}", asked.standard)
    (full, t, a), (least, u, b) = best["full"], best["min"]
    reduces = str(a["reduces"]) if least < full else "no"
    at_least_value = _factor_at_least(asked.standard, asked.quantity) if reduces == "linear" else math.nan
    return Least(full, least, _words(t, a), _words(u, b), cite_of(t, a), cite_of(u, b), reduces != "no", at_least_value)


def _factor_at_least(standard: str, quantity: str) -> float:
    """C_delta at the least distance, where it grows in a straight line from there."""
    name = "spacing" if quantity.startswith("spacing") else quantity
    return float(table_of(standard, "connector_factors_at_least").find(quantity=name)["C_delta"])


def connector_spacing(standard: str, kind: str, load_angle: float, axis_angle: float) -> Least:
    """Spacing of rings and shear plates: S_A S_B / sqrt(S_A^2 sin^2 b + S_B^2 cos^2 b), S_A and S_B linear between the angles of the table.

    load_angle, axis_angle: of load and of the line between two connectors to the grain, degrees
    """
    rows = sorted(((float(r["load_angle"]), t, r) for t, r in rows_of(standard, ELLIPSES, kind)), key=lambda item: item[0])
    if not rows or not rows[0][0] <= load_angle <= rows[-1][0]:
        raise NotCovered(f"rows for the spacing of '{kind}'")
    low = max((r for r in rows if r[0] <= load_angle), key=lambda r: r[0])
    high = min((r for r in rows if r[0] >= load_angle), key=lambda r: r[0])
    share = 0.0 if high[0] == low[0] else (load_angle - low[0]) / (high[0] - low[0])
    along, across = (float(low[2][k]) + share * (float(high[2][k]) - float(low[2][k])) for k in ("S_A", "S_B"))
    sine, cosine = math.sin(math.radians(axis_angle)), math.cos(math.radians(axis_angle))
    full = along * across / math.sqrt((along * sine) ** 2 + (across * cosine) ** 2)
    least = min(float(low[2]["least"]), full)
    cite = cite_of(low[1], low[2])
    rule = f"S_A {along:g} in., S_B {across:g} in., at {axis_angle:.0f} degrees"
    return Least(full, least, rule, f"{least:g} in.", cite, cite, least < full, _factor_at_least(standard, "spacing"))


def falls_short(provided: float, required: float) -> bool:
    return provided < required and rounded_length(provided) < rounded_length(required) - READING_IN


def fails(need: Least, provided: float) -> bool:
    """Less than the absolute least, or less than the full value where nothing reduces it."""
    return falls_short(provided, need.full) and (not need.reduces or falls_short(provided, need.least))


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
    if fails(need, provided):
        check = f"{what}: not allowed (least {need.least_rule})"
        return at_least(where, check, need.least, provided, need.least_cite, combination=combination, sheet=sheet, spots=spots)
    factor = rounded_length(need.factor(provided))
    sheet.given(C_DELTA, factor, "-", need.full_cite)
    check = f"{what}: reduced, C_delta {factor:.3f} (full value {need.full_rule}, least {need.least_rule})"
    return at_least(where, check, need.least, provided, need.least_cite, combination=combination, sheet=sheet, spots=spots)
