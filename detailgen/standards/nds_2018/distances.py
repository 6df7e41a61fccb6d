"""Least and greatest distances of bolts (12.5.1), measured in each wood part, and the geometry factor C_delta.

Table rows have one form: required = d (k_d + k_cos |cos a| + k_sin |sin a|) + k_l l + k_row row + const + const_sin |sin a|, with conditions
on fastener, wood, quantity, load, angle and l/D. Of the rows that apply the largest counts. Between 0 and 90 degrees to grain the rows of
both printed columns apply.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from detailgen.core.clause import Cite, Number, require
from detailgen.core.errors import NotCovered
from detailgen.core.table import Table, read_table
from detailgen.core.tolerance import LENGTH_IN, rounded_length
from detailgen.standards.interface import ConnectedPart, WoodGrade
from detailgen.standards.nds_2018.group_action import rows_along, rows_that_count

TABLES = Path(__file__).parent / "tables"
SQUARE = 1e-9
"""A direction cosine under this counts as zero."""


def l_over_D(l_m: Number, l_s: Number, D: Number) -> Number:
    """Slenderness of a bolt for edge distance and row spacing: the lesser of main member and side members together.

    l_m: length of bolt in the wood main member, in
    l_s: length of bolt in the wood side members together (inf where they are steel), in
    D: diameter, in
    Returns: -
    Source: NDS 2018, 12.5.1, tables 12.5.1C and 12.5.1D note 1 (errata of July 2020)
    """
    return np.minimum(l_m, l_s) / D


def C_delta(a: Number, a_full: Number) -> Number:
    """Geometry factor for an end distance or a spacing.

    a: actual distance, in
    a_full: distance for the full value, in
    Returns: -
    Source: NDS 2018, 12.5.1.2 (a) and (c)
    """
    return np.minimum(1.0, a / a_full)


def bolt_hole_limits(D: Number) -> tuple[Number, Number]:
    """Least and greatest diameter (in) of the hole in wood for a bolt of diameter D (in), 12.1.3.2."""
    over = read_table(TABLES, "bolt_size").find(quantity="hole over diameter")
    return D + float(over["least"]), D + float(over["greatest"])


def wood_kind(species: str) -> str:
    """Which of "softwood" and "hardwood" a species is, as table 12.5.1A tells them apart.

    One that our list does not name counts as softwood, which asks for the longer end distance.
    """
    table = read_table(TABLES, "bolt_wood_kinds")
    return next((str(row["kind"]) for row in table if row["species"] == species), "softwood")


def row_holds_at(row: Mapping[str, str | float], angle: Number) -> NDArray[np.bool_]:
    """Does a row hold at an angle of load to grain (degrees)? Each end of its range is open or closed."""
    first, last, at = float(row["angle_from"]), float(row["angle_to"]), np.asarray(angle, dtype=float)
    inside: NDArray[np.bool_] = (first < at) & (at < last)
    if row["from_end"] == "closed":
        inside = inside | (at == first)
    return inside | (at == last) if row["to_end"] == "closed" else inside


def _value(row: Mapping[str, str | float], D: Number, angle: Number, l: Number, spacing: Number) -> Number:
    k = {c: float(row[c]) for c in ("k_d", "k_cos", "k_sin", "k_l", "k_row", "const", "const_sin")}
    sine, cosine = np.abs(np.sin(np.radians(angle))), np.abs(np.cos(np.radians(angle)))
    along = D * (k["k_d"] + k["k_cos"] * cosine + k["k_sin"] * sine)
    return along + k["k_l"] * l + k["k_row"] * spacing + k["const"] + k["const_sin"] * sine


def least_distance(
    quantity: str, level: str, *, D: Number, angle: Number, load: str, wood: str,
    l_D: Number | None = None, row_spacing: Number = 0.0, fastener: str = "bolt",
) -> Number:  # fmt: skip
    """Least distance (in) that the table rows ask for; safe for arrays of D, angle, l/D and row spacing.

    quantity: end, edge, edge_loaded, edge_unloaded, spacing_in_row, between_rows
    level: "full" (for the full value) or "min" (the absolute least)
    angle: of load to grain, degrees
    load: "tension" (towards the end) or "compression" (away from it)
    wood: "softwood" or "hardwood"
    fastener: bolt, lag screw, lag screw in withdrawal, drift bolt; nail, wood screw: alone or with "through steel", "prebored" or both
    l_D: slenderness of the bolt, where a row asks for it
    Raises: NotCovered where no row applies or l/D is needed and missing
    """
    return _evaluated(quantity, level, D, angle, load, wood, l_D, row_spacing, fastener)[0]


def _evaluated(
    quantity: str, level: str, D: Number, angle: Number, load: str, wood: str, l_D: Number | None, row_spacing: Number, fastener: str,
) -> tuple[Number, Mapping[str, str | float]]:  # fmt: skip
    asked = {"fastener": fastener, "quantity": quantity, "load": load, "wood": wood, "level": level}
    shape = np.broadcast_shapes(np.shape(D), np.shape(angle), () if l_D is None else np.shape(l_D), np.shape(row_spacing))
    best = np.full(shape, -np.inf)
    governing: Mapping[str, str | float] = {}
    for row in _rows(fastener, quantity, load, wood, level):
        applies = row_holds_at(row, angle)
        if row["l_D_over"] != 0.0 or row["l_D_to"] != math.inf:
            if l_D is None:
                if np.any(applies):
                    raise NotCovered(f"{quantity} needs the bolt's l/D", f"NDS 2018 {row['clause']}")
                continue
            applies = applies & (np.asarray(l_D) > float(row["l_D_over"])) & (np.asarray(l_D) <= float(row["l_D_to"]))
        l = 0.0 if l_D is None else np.asarray(l_D) * D
        value = np.where(applies, _value(row, D, angle, l, row_spacing), -np.inf)
        if np.any(value > best) or not governing:
            governing = row if np.any(applies) else governing
        best = np.maximum(best, value)
    if np.any(np.isinf(best)):
        raise NotCovered(f"no least distance for {', '.join(f'{k} {v}' for k, v in asked.items())} at this angle to grain", "NDS 2018 12.5.1")
    return (float(best) if best.ndim == 0 else best), governing


@lru_cache(maxsize=1024)
def _rows(fastener: str, quantity: str, load: str, wood: str, level: str) -> tuple[Mapping[str, str | float], ...]:
    asked = {"fastener": fastener, "quantity": quantity, "load": load, "wood": wood, "level": level}
    return tuple(row for row in read_table(TABLES, "bolt_least_distances") if all(row[k] in (v, "any") for k, v in asked.items()))


@lru_cache(maxsize=8192)
def _one(
    quantity: str, level: str, D: float, angle: float, load: str, wood: str, l_D: float, row_spacing: float,
) -> tuple[float, Mapping[str, str | float]]:  # fmt: skip
    """The same for one bolt group, remembered: a truss asks again under every structure and every snow."""
    value, row = _evaluated(quantity, level, D, angle, load, wood, l_D, row_spacing, "bolt")
    return float(value), row


def end_distance_factor(D: float, end_distance: float, load: str, wood: str, angle: float) -> float:
    """C_delta of one end distance (in); angle in degrees. Raises OutOfRange under the absolute least."""
    least = least_distance("end", "min", D=D, angle=angle, load=load, wood=wood)
    require(rounded_length(end_distance) >= least - LENGTH_IN, f"end distance {end_distance:g} in., at least {least:g} in.", "NDS 2018 table 12.5.1A")
    return float(C_delta(end_distance, least_distance("end", "full", D=D, angle=angle, load=load, wood=wood)))


@dataclass(frozen=True)
class Measured:
    """A distance of one part against its table row. ``full`` is the distance for the full value, ``least`` the absolute least."""

    part: str
    check: str  # "end distance", "edge distance", "spacing in a row", "row spacing"
    actual: float
    full: float
    least: float
    cite: Cite

    @cached_property
    def too_small(self) -> bool:
        return rounded_length(self.actual) < rounded_length(self.least) - LENGTH_IN


def _cite(table: Table, row: Mapping[str, str | float]) -> Cite:
    return replace(table.cite(row), clause=f"12.5.1, {row['clause']}")


def measure(part: ConnectedPart, wood: WoodGrade, D: float, sense: int, l_D: float) -> list[Measured]:
    """Every distance of one wood part while the connected member is in tension (sense 1) or compression (-1).

    For a load at an angle 12.5.1.2 (b) compares the shear areas beside the bolt with those of a part loaded along the grain. With a square end
    both are proportional to the end distance, so the tension column, which counts at every angle under 90 degrees, already gives that ratio.
    """
    table = read_table(TABLES, "bolt_least_distances")
    kind = wood_kind(wood.species)
    c, s = (0.0 if abs(v) < SQUARE else v * sense for v in (math.cos(part.load_angle), math.sin(part.load_angle)))
    angle = math.degrees(math.atan2(abs(s), abs(c)))
    rows = rows_that_count(rows_along(part.bolts, part.load_angle))
    between = [rounded_length(b.low - a.high) for a, b in itertools.pairwise(rows)]
    row_spacing = max(between, default=0.0)
    found: list[Measured] = []

    def compare(check: str, quantity: str, load: str, actual: float) -> None:
        full, _ = _one(quantity, "full", D, angle, load, kind, l_D, row_spacing)
        least, row = _one(quantity, "min", D, angle, load, kind, l_D, row_spacing)
        found.append(Measured(part.name, check, rounded_length(actual), full, least, _cite(table, row)))

    for end, direction in zip(part.ends, (-1, 1), strict=True):
        if not math.isfinite(end):
            continue
        actual = float(np.min(direction * (end - part.bolts[:, 0])))
        compare("end distance", "end", "tension" if c * direction > 0 else "compression", actual)
    for edge, direction in zip(part.edges, (-1, 1), strict=True):
        if not math.isfinite(edge):
            continue
        actual = float(np.min(direction * (edge - part.bolts[:, 1])))
        if c != 0:
            compare("edge distance", "edge", "tension", actual)
        if s != 0:
            compare("edge distance", "edge_loaded" if s * direction > 0 else "edge_unloaded", "tension", actual)
    spacings = [x for row in rows for x in row.spacings]
    if spacings:
        compare("spacing in a row", "spacing_in_row", "tension", min(spacings))
    if between:
        compare("row spacing", "between_rows", "tension", min(between))
    return found


def greatest_outer_rows(product: str, made: str, service: str, fastener: str = "bolt") -> tuple[float, Cite]:
    """Greatest distance (in, inf: no limit) across the grain between the outer rows held by one steel part.

    made, service: "wet" or "dry" when the member was cut and now
    Raises: NotCovered for a product without a row
    """
    table = read_table(TABLES, "bolt_greatest_distances")
    asked = {"fastener": fastener, "product": product, "made": made, "service": service}
    rows = [r for r in table if all(r[k] in (v, "any") for k, v in asked.items())]
    if not rows:
        raise NotCovered(f"no greatest distance of outer rows for {product}, {made} when made, {service} in service", "NDS 2018 12.5.1")
    row = min(rows, key=lambda r: float(r["greatest"]))
    return float(row["greatest"]), _cite(table, row)
