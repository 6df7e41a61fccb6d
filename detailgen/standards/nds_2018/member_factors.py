"""Factors that a truss chord seldom has (temperature, flat use, repetition, incising, creep) and columns that are no rectangles."""

from __future__ import annotations

import numpy as np

from detailgen.core.clause import Cite, Number, require
from detailgen.core.errors import OutOfRange
from detailgen.core.table import read_table
from detailgen.standards.interface import WoodGrade
from detailgen.standards.nds_2018.reference import TABLES


def Delta_T(K_cr: Number, Delta_LT: Number, Delta_ST: Number) -> Number:
    """Deflection in the long run.

    K_cr: time dependent deformation factor, -
    Delta_LT: immediate deflection under the lasting part of the load, in
    Delta_ST: deflection under the rest, in
    Returns: in
    Source: NDS 2018, 3.5.2, equation 3.5-1
    """
    return K_cr * Delta_LT + Delta_ST


def d_tapered(d_min: Number, d_max: Number, a: Number) -> Number:
    """Dimension that counts of a tapered column.

    d_min: least dimension, in
    d_max: greatest dimension, in
    a: constant by the supports, -
    Returns: in
    Source: NDS 2018, 3.7.2, equation 3.7-2
    """
    require((d_min > 0) & (d_max >= d_min), "dimensions must be above zero and in order", "NDS 2018 3.7.2")
    return d_min + (d_max - d_min) * (a - 0.15 * (1 - d_min / d_max))


def d_tapered_any(d_min: Number, d_max: Number) -> Number:
    """Dimension that counts of a tapered column whose supports are not described.

    d_min: least dimension, in
    d_max: greatest dimension, in
    Returns: in
    Source: NDS 2018, 3.7.2, equation 3.7-3
    """
    require((d_min > 0) & (d_max >= d_min), "dimensions must be above zero and in order", "NDS 2018 3.7.2")
    return d_min + (d_max - d_min) / 3


def d_round(D: Number) -> Number:
    """Side of the square that counts for a round column: of equal area.

    D: diameter, in
    Returns: in
    Source: NDS 2018, 3.7.3
    """
    return np.sqrt(np.pi * D**2 / 4)


def P_s(P: Number, a: Number, l_p: Number, l: Number) -> Number:
    """Side load at mid-height that stands for a bracket in the upper quarter of a column; with it goes the axial load P.

    P: load on the bracket, lb
    a: distance of that load from the column's centre line, in
    l_p: distance from the column's foot to the top of the bracket, in
    l: length of the column, in
    Returns: lb
    Source: NDS 2018, 15.4.2, equation 15.4-5
    """
    require((l > 0) & (l_p >= 0.75 * l) & (l_p <= l), "the bracket stands in the upper quarter of the column", "NDS 2018 15.4.2")
    return 3 * P * a * l_p / l**2


def temperature_factor(of: str, service: str, temperature: float) -> tuple[float, Cite]:
    """C_t; of: "Ft and moduli", "other values" or "connections"; service "wet" or "dry"; sustained temperature in degrees Fahrenheit.

    Raises: OutOfRange over 150 F
    """
    table = read_table(TABLES, "temperature")
    for row in table:
        if (row["of"], row["service"]) == (of, service) and temperature <= float(row["to"]):
            return float(row["C_t"]), table.cite(row)
    raise OutOfRange(f"{of}, {service}, {temperature:g} F: the factors end at 150 F", f"NDS 2018 {table.clause}")


def flat_use_factor(thickness: float, width: float) -> tuple[float, Cite]:
    """C_fu of dimension lumber bent about its weak axis, by measured size (in): nominal sizes are the next above.

    Raises: OutOfRange for a width that the table does not give for this thickness
    """
    table = read_table(TABLES, "flat_use")
    steps = sorted({float(r["thickness_to"]) for r in table})
    step = next((t for t in steps if thickness <= t), steps[-1])
    rows = [r for r in table if float(r["thickness_to"]) == step]
    row = next((r for r in rows if width <= float(r["width"])), rows[-1])
    if width <= thickness:
        raise OutOfRange(f"{thickness:g} in. by {width:g} in. has no flat way", "NDS 2018 4.3.7")
    return float(row["C_fu"]), table.cite(row)


def repetitive_factor(product: str, members: int, spacing: float) -> float:
    """C_r of dimension lumber: three members or more at most 24 in. apart, joined so that they share load; 1.0 for all else."""
    if product != "dimension lumber" or members < 3 or spacing > 24:
        return 1.0
    row = next(r for r in read_table(TABLES, "member_factors") if r["factor"] == "C_r")
    return float(row["value"])


def incising_factor(value: str) -> float:
    """C_i of dimension lumber for "E" (and E_min), "Fb", "Ft", "Fc", "Fv", "Fc_perp"."""
    return float(read_table(TABLES, "member_factors").find(factor="C_i", condition=value)["value"])


def one_section() -> float:
    """Staggered holes nearer along the grain than so many diameters count in one section (3.1.2.2)."""
    return float(next(r for r in read_table(TABLES, "member_factors") if r["factor"] == "one section")["value"])


def creep_factor(service: str) -> tuple[float, Cite]:
    """K_cr of seasoned wood that stays dry ("dry"), or of wet or unseasoned wood ("wet") (3.5.2)."""
    table = read_table(TABLES, "member_factors")
    row = table.find(factor="K_cr", condition=service)
    return float(row["value"]), table.cite(row)


def creep(wood: WoodGrade) -> tuple[float, Cite]:
    """What creep adds to a lasting deflection, as a share of that at once: K_cr - 1 (3.5.2)."""
    factor, cite = creep_factor("wet" if wood.wet else "dry")
    return factor - 1.0, cite


def tapered_constant(support: str) -> float:
    """a of equation 3.7-2 by the wording of the table."""
    return float(read_table(TABLES, "tapered_columns").find(support=support)["a"])


def built_up_fastening(fastener: str, wood: str, quantity: str, D: float, t_min: float) -> tuple[float, float, Cite]:
    """Least and greatest distance (in) of the fasteners of a built-up column; quantity end, edge, spacing_in_row, between_rows."""
    table = read_table(TABLES, "built_up_fastening")
    row = next(r for r in table if r["fastener"] == fastener and r["wood"] in ("any", wood) and r["quantity"] == quantity)
    return float(row["least"]) * D, min(float(row["greatest"]) * D, float(row["greatest_t"]) * t_min), table.cite(row)
