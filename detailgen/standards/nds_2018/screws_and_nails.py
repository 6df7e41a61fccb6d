"""Lag screws, wood screws, nails and drift bolts: sizes, lead holes, lateral value by the yield equations with the reduction for penetration."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from detailgen.core.clause import Calculation, Cite, Number, require
from detailgen.core.errors import NotCovered, OutOfRange
from detailgen.core.table import read_table
from detailgen.core.tolerance import LENGTH_IN
from detailgen.standards.nds_2018.dowels import TABLES, LateralValue, dowel_bearing, lateral_value

LAG_SCREW, WOOD_SCREW, NAIL, DRIFT_BOLT = "lag screw", "wood screw", "nail", "drift bolt"
DOCUMENT = "NDS 2018"
SMALL = 0.25
"""Under this diameter (in) wood bears a dowel alike in all directions (12.3.3)."""


def F_e(G: Number) -> Number:
    """Dowel bearing strength for D under 1/4 in., at any angle to grain.

    G: specific gravity, -
    Returns: psi
    Source: NDS 2018, 12.3.3, table 12.3.3 note 3
    """
    require((G >= 0.31) & (G <= 0.73), "dowel bearing: specific gravity from 0.31 to 0.73", "NDS 2018 table 12.3.3")
    return 16600 * G**1.84


def Z_penetration(Z: Number, p: Number, D: Number, p_full: Number) -> Number:
    """Lateral value reduced for a penetration under that of the full value.

    Z: lateral value, lb
    p: penetration into the main member, in
    D: diameter, in
    p_full: penetration for the full value, in diameters, D
    Returns: lb
    Source: NDS 2018, 12.1.4 to 12.1.6, tables 12J to 12N footnotes
    """
    return Z * np.minimum(1.0, p / (p_full * D))


@dataclass(frozen=True)
class Fastener:
    """One size of a fastener: nominal diameter, diameter of the yield equations, diameter of the head (0: none), in; F_yb in psi."""

    kind: str
    D: float
    D_r: float
    D_H: float
    F_yb: float
    cite: Cite


def bending_yield(kind: str, D: float) -> tuple[float, Cite]:
    """F_yb (psi) by kind and diameter (in). Raises NotCovered outside the table's diameters."""
    table = read_table(TABLES, "fastener_yield_strength")
    for row in table:
        if row["fastener"] == kind and float(row["D_over"]) < D <= float(row["D_to"]) + LENGTH_IN:
            return float(row["F_yb"]), table.cite(row)
    raise NotCovered(f"no bending yield strength for a {kind} of {D:g} in.", f"{DOCUMENT} Appendix I")


def lag_screw(D: float) -> Fastener:
    """A lag screw by its shank diameter (in); the thread is taken to lie in the shear plane."""
    table = read_table(TABLES, "lag_screw_sizes")
    row = table.find(D=D)
    strength, cite = bending_yield(LAG_SCREW, D)
    return Fastener(LAG_SCREW, D, float(row["D_r"]), 0.0, strength, cite.also(table.cite(row)))


def wood_screw(size: str) -> Fastener:
    """A wood screw by its size, as "No.10"; the thread is taken to lie in the shear plane."""
    table = read_table(TABLES, "wood_screw_sizes")
    row = table.find(size=size)
    D = float(row["D"])
    strength, cite = bending_yield(WOOD_SCREW, D)
    return Fastener(WOOD_SCREW, D, float(row["D_r"]), 0.0, strength, cite.also(table.cite(row)))


def nail(size: str) -> Fastener:
    """A nail by its size, as "16d common"."""
    table = read_table(TABLES, "nail_sizes")
    row = table.find(size=size)
    D = float(row["D"])
    strength, cite = bending_yield(NAIL, D)
    return Fastener(NAIL, D, D, float(row["D_H"]), strength, cite.also(table.cite(row)))


def drift_bolt(D: float) -> Fastener:
    """A drift bolt or pin by its diameter (in): the yield equations of bolts (12.1.7); the standard gives it no withdrawal value."""
    strength, cite = bending_yield(DRIFT_BOLT, D)
    return Fastener(DRIFT_BOLT, D, D, 0.0, strength, cite)


def bearing_strength(G: Number, D: float, theta: Number, sheet: Calculation | None = None) -> Number:
    """F_e (psi) of a wood for any diameter (in) of fastener, at an angle to grain (rad)."""
    sheet = Calculation() if sheet is None else sheet
    if D < SMALL:
        return np.broadcast_to(sheet(F_e, G=G), np.broadcast_shapes(np.shape(G), np.shape(theta))) + 0.0
    return dowel_bearing(G, D, theta, sheet)


def penetration_limits(kind: str) -> tuple[float, float, Cite]:
    """Least penetration, and that of the full value, in diameters."""
    table = read_table(TABLES, "fastener_penetration")
    row = table.find(fastener=kind)
    return float(row["least"]), float(row["full"]), table.cite(row)


def fastener_lateral_value(
    fastener: Fastener, *, l_s: float, p: float, G_main: float, G_side: float = 0.0, F_e_side: float = 0.0, theta_m: float = 0.0,
    theta_s: float = 0.0, sheet: Calculation | None = None,
) -> tuple[float, LateralValue]:  # fmt: skip
    """Lateral value Z (lb) of one driven or screwed fastener, one shear plane, and its modes before the reduction for penetration.

    l_s: thickness of the side member, in; p: penetration into the main member, in; angles of load to grain in rad
    G_main, G_side: specific gravities; F_e_side: dowel bearing strength of a steel side member, psi (then G_side counts for nothing)
    Raises: OutOfRange under the least penetration
    """
    sheet = Calculation() if sheet is None else sheet
    D = fastener.D
    main = bearing_strength(G_main, D, theta_m, sheet)
    side = F_e_side if F_e_side > 0 else bearing_strength(G_side, D, theta_s, sheet)
    F_yb = sheet.given("F_yb", fastener.F_yb, "psi", fastener.cite)
    value = lateral_value(planes=1, D=D, D_r=fastener.D_r, F_yb=F_yb, l_m=p, l_s=l_s, F_em=main, F_es=side, theta_m=theta_m, theta_s=theta_s,
                          sheet=sheet)  # fmt: skip
    if fastener.kind == DRIFT_BOLT:
        return float(value.Z), value
    least, full, cite = penetration_limits(fastener.kind)
    if p < least * D - LENGTH_IN:
        what = f"{fastener.kind} of {D:g} in. reaches {p:g} in. into the main member, at least {least * D:g} in."
        raise OutOfRange(what, f"{DOCUMENT} {cite.clause}")
    p_full = sheet.given("p_full", full, "D", cite)
    return float(sheet(Z_penetration, Z=value.Z, p=p, D=D, p_full=p_full)), value


def lead_hole(kind: str, load: str, part: str, G: float, D: float) -> tuple[float, float, Cite]:
    """Least and greatest diameter (in) of a lead hole. ``D`` is the shank's diameter, or the thread's root where the table goes by that.

    load: "withdrawal" or "lateral"; part: "shank", "thread", or "whole" for nails
    Raises: NotCovered where the table has no row
    """
    table = read_table(TABLES, "fastener_lead_holes")
    for row in table:
        if row["fastener"] == kind and row["load"] in ("any", load) and row["part"] == part and float(row["G_over"]) < G <= float(row["G_to"]):
            return D * float(row["least"]), D * float(row["greatest"]), table.cite(row)
    raise NotCovered(f"no lead hole for the {part} of a {kind}, {load}, G {G:g}", f"{DOCUMENT} {table.clause}")


def condition_factor(factor: str, kind: str, load: str) -> tuple[float, Cite]:
    """C_eg, C_di or C_tn of a fastener ("lag screw", "nail", "dowel") in withdrawal or under lateral load."""
    table = read_table(TABLES, "fastener_conditions")
    for row in table:
        if row["factor"] == factor and row["fastener"] == kind and row["load"] == load:
            return float(row["value"]), table.cite(row)
    raise NotCovered(f"no {factor} for a {kind} under {load} load", f"{DOCUMENT} {table.clause}")


def moisture_factor(kind: str, load: str, made: str, service: str) -> tuple[float, Cite]:
    """C_M of a connection ("wet" or "dry" when made and in service); kinds as in the table."""
    table = read_table(TABLES, "fastener_moisture")
    for row in table:
        if row["fastener"] == kind and row["load"] == load and row["made"] in ("any", made) and row["service"] == service:
            return float(row["C_M"]), table.cite(row)
    raise NotCovered(f"no wet service factor for a {kind} under {load} load, {made} when made, {service} in service", f"{DOCUMENT} {table.clause}")
