"""What hot-dip galvanizing asks of plates, bolts and nuts."""

from __future__ import annotations

from detailgen.core.errors import NotCovered
from detailgen.core.table import read_table
from detailgen.stock.plates import TABLES

MICROMETRE = 1 / 25400
"""in"""


def zinc_grade(thickness: float) -> int:
    """Grade of the coating of a plate: its least average thickness in micrometres. ``thickness`` of the steel in in."""
    found = [row for row in read_table(TABLES, "zinc_on_plate") if float(row["thickness_from"]) <= thickness + 1e-9]
    if not found or thickness <= 0:
        raise NotCovered(f"zinc on plate of {thickness:g} in.", "ASTM A123 table 1")
    return int(float(found[-1]["micrometres"]))


def overtapping(diameter: float) -> float:
    """How much larger the thread of a nut is tapped for a galvanized bolt (in)."""
    return float(read_table(TABLES, "nut_overtapping").find(diameter=diameter)["allowance"])
