"""Least distances of fasteners (tables 8.2 to 8.5 and, for LVL, its handbook), measured in each wood part.

Table rows have one form: required = d (k_d + k_cos |cos a| + k_sin |sin a|) + const + const_sin |sin a|, with conditions on fastener, wood,
quantity, load and angle of load to grain; lengths in mm. Of the rows that apply the largest counts. The standard knows no reduced distance.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from detailgen.core.clause import Cite, Number
from detailgen.core.errors import NotCovered
from detailgen.core.table import Table, read_table
from detailgen.core.tolerance import LENGTH_IN, rounded_length
from detailgen.standards.en1995_1_1.design import DOCUMENT, TABLES
from detailgen.standards.en1995_1_1.edge import from_mm, to_mm
from detailgen.standards.interface import ConnectedPart

SQUARE = 1e-9
"""A direction cosine under this counts as zero."""
BOLTS, LVL = "bolt_least_distances", "lvl_least_distances"
PRINTED = {
    "a1": ("spacing_along_grain", "any"), "a2": ("spacing_across_grain", "any"), "a3t": ("end", "tension"), "a3c": ("end", "compression"),
    "a4t": ("edge_loaded", "any"), "a4c": ("edge_unloaded", "any"),
}  # fmt: skip
"""Quantity and load of each symbol of the printed tables."""

Row = Mapping[str, str | float]


def _applies(row: Row, angle: float) -> bool:
    first, last = float(row["angle_from"]), float(row["angle_to"])
    above = angle > first or (row["from_end"] == "closed" and angle == first)
    return above and (angle < last or (row["to_end"] == "closed" and angle == last))


def _value(row: Row, d: Number, angle: float) -> Number:
    sine, cosine = abs(math.sin(math.radians(angle))), abs(math.cos(math.radians(angle)))
    along = float(row["k_d"]) + float(row["k_cos"]) * cosine + float(row["k_sin"]) * sine
    return d * along + float(row["const"]) + float(row["const_sin"]) * sine


def _evaluated(table: Table, asked: Mapping[str, str], d: Number, angle: float) -> tuple[Number, Row]:
    rows = [r for r in table if all(r[k] in (v, "any") for k, v in asked.items()) and _applies(r, angle)]
    if not rows:
        what = ", ".join(f"{k} {v}" for k, v in asked.items())
        raise NotCovered(f"no least distance for {what}, load at {angle:g} degrees to grain", f"{table.document} {table.clause}")
    values = [_value(r, d, angle) for r in rows]
    best = np.max(np.stack(np.broadcast_arrays(*values)), axis=0)
    governing = rows[int(np.argmax([float(np.max(v)) for v in values]))]
    return (float(best) if np.ndim(best) == 0 else best), governing


def least_distance(quantity: str, load: str, *, d: Number, angle: float, fastener: str = "bolt", wood: str = "any", table: str = BOLTS) -> Number:
    """Least distance (mm) that the rows ask for; safe for an array of d (mm).

    quantity: spacing_along_grain, spacing_across_grain, end, edge, edge_loaded, edge_unloaded
    load: "tension" (toward the end) or "compression" (away from it); counts for ends only
    angle: of load to grain, 0 to 90 degrees
    Raises: NotCovered where no row applies
    """
    return _evaluated(read_table(TABLES, table), {"fastener": fastener, "wood": wood, "quantity": quantity, "load": load}, d, angle)[0]


def printed_distance(symbol: str, *, d: float, alpha: float, fastener: str, product: str) -> float:
    """Distance (mm) as the printed tables ask for it: a symbol such as "a3t", and the angle alpha (degrees, -90 to 360) of the force to the grain.

    product: "sawn", "glulam", "LVL-P" or "LVL-C"
    """
    if symbol not in PRINTED:
        raise NotCovered(f"distance '{symbol}'; known are {', '.join(PRINTED)}", f"{DOCUMENT} figure 8.7")
    quantity, load = PRINTED[symbol]
    turned = abs((alpha + 180) % 360 - 180)
    angle = min(turned, 180 - turned)
    wood, table = (product, LVL) if product.startswith("LVL") else ("any", BOLTS)
    return float(least_distance(quantity, load, d=d, angle=round(angle, 9), fastener=fastener, wood=wood, table=table))


def bolt_limit(quantity: str) -> tuple[float, float]:
    """Least and greatest (mm) of a row of table bolt_size: diameter, or how much larger holes may be."""
    row = read_table(TABLES, "bolt_size").find(quantity=quantity)
    return float(row["least"]), float(row["greatest"])


@dataclass(frozen=True)
class Measured:
    """A distance of one part against its row (in)."""

    part: str
    check: str
    actual: float
    least: float
    cite: Cite

    @property
    def too_small(self) -> bool:
        return rounded_length(self.actual) < rounded_length(self.least) - LENGTH_IN


END, EDGE, ALONG, ACROSS = "end distance", "edge distance", "spacing along the grain", "spacing across the grain"
CHECKS = (END, EDGE, ALONG, ACROSS)


def measure(part: ConnectedPart, diameter: float, sense: int) -> list[Measured]:
    """Every distance of one wood part (in) while the connected member is in tension (sense 1) or compression (-1).

    Two bolts are far enough apart where they keep a_1 along the grain or a_2 across it; a pair that keeps neither is told by the one that it
    misses by less.
    """
    table = read_table(TABLES, BOLTS)
    c, s = (0.0 if abs(v) < SQUARE else v * sense for v in (math.cos(part.load_angle), math.sin(part.load_angle)))
    angle = round(math.degrees(math.atan2(abs(s), abs(c))), 9)
    d = float(to_mm(diameter))
    found: list[Measured] = []

    def asked(quantity: str, load: str) -> tuple[float, Cite]:
        value, row = _evaluated(table, {"fastener": "bolt", "wood": "any", "quantity": quantity, "load": load}, d, angle)
        return float(from_mm(float(value))), replace(table.cite(row), clause=f"8.5.1.1, {row['clause']}")

    def compare(check: str, quantity: str, load: str, actual: float) -> None:
        least, cite = asked(quantity, load)
        found.append(Measured(part.name, check, rounded_length(actual), least, cite))

    for end, direction in zip(part.ends, (-1, 1), strict=True):
        if math.isfinite(end):
            actual = float(np.min(direction * (end - part.bolts[:, 0])))
            compare(END, "end", "tension" if c * direction > 0 or c == 0 else "compression", actual)
    for edge, direction in zip(part.edges, (-1, 1), strict=True):
        if math.isfinite(edge):
            actual = float(np.min(direction * (edge - part.bolts[:, 1])))
            compare(EDGE, "edge" if s == 0 else "edge_loaded" if s * direction > 0 else "edge_unloaded", "any", actual)
    (a_1, _), (a_2, _) = asked("spacing_along_grain", "any"), asked("spacing_across_grain", "any")
    pairs = [(abs(float(p[0] - q[0])), abs(float(p[1] - q[1]))) for p, q in itertools.combinations(part.bolts, 2)]
    along = [x for x, y in pairs if a_1 * y <= a_2 * x]
    across = [y for x, y in pairs if a_1 * y > a_2 * x]
    if along:
        compare(ALONG, "spacing_along_grain", "any", min(along))
    if across:
        compare(ACROSS, "spacing_across_grain", "any", min(across))
    return found
