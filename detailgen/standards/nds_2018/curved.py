"""Curved glulam: curvature factor (5.3.8) and stress across the grain from bending (5.4.1, 5.2.8)."""

from __future__ import annotations

import numpy as np

from detailgen.core.clause import Cite, Number, require
from detailgen.core.errors import NotCovered, OutOfRange
from detailgen.core.table import read_table
from detailgen.standards.nds_2018.reference import TABLES


def C_c(t: Number, R: Number) -> Number:
    """Curvature factor of the bending value.

    t: thickness of a lamination, in
    R: radius of the inside face, in
    Returns: -
    Source: NDS 2018, 5.3.8, equation 5.3-3
    """
    require((t > 0) & (R > 0), "lamination and radius must be above zero", "NDS 2018 5.3.8")
    return 1 - 2000 * (t / R) ** 2


def f_r(M: Number, R: Number, b: Number, d: Number) -> Number:
    """Radial stress of a curved member of constant depth: tension where the moment flattens the curve.

    M: moment without its sign, in-lb
    R: radius of the centre line, in
    b: breadth, in
    d: depth, in
    Returns: psi
    Source: NDS 2018, 5.4.1, equation 5.4-1
    """
    require((R > 0) & (b > 0) & (d > 0), "radius and section must be above zero", "NDS 2018 5.4.1")
    return 3 * M / (2 * R * b * d)


def F_b_curved(F_b_0: Number, C_c: Number) -> Number:
    """Bending value of a curved member, before stability and volume.

    F_b_0: bending value with every factor but those of stability, volume and curvature, psi
    C_c: curvature factor, -
    Returns: psi
    Source: NDS 2018, 5.3.1, table 5.3.1, and 5.3.8
    """
    return F_b_0 * C_c


def F_rt_prime(F_rt: Number, C_D: Number, C_M: Number, C_t: Number) -> Number:
    """Adjusted radial tension value.

    F_rt: radial tension value without reinforcement, psi
    C_D: load duration factor, -
    C_M: wet service factor, that of shear, -
    C_t: temperature factor, -
    Returns: psi
    Source: NDS 2018, 5.3.1, table 5.3.1, and 5.2.8
    """
    return F_rt * C_D * C_M * C_t


def C_fu_glulam(d: Number) -> Number:
    """Flat use factor of glulam loaded parallel to the wide faces of its laminations.

    d: dimension parallel to the wide faces, in
    Returns: -
    Source: NDS 2018, 5.3.7
    """
    require(d > 0, "dimension must be above zero", "NDS 2018 5.3.7")
    return np.where(d < 12, (12 / d) ** (1 / 9), 1.0)


def least_radius_holds(species: str, t: float, R: float) -> None:
    """Raise OutOfRange where laminations t thick are bent to R (in) more than 5.3.8 allows."""
    table = read_table(TABLES, "curvature_limits")
    row = table.find(wood="hardwood or Southern Pine" if species == "Southern Pine" else "other softwood")
    limit = float(row["t_over_R"])
    if t / R > limit * (1 + 1e-9):
        raise OutOfRange(f"laminations of {t:g} in. bent to a radius of {R:g} in.: t/R is {t / R:.4f}, at most {limit:g}", "NDS 2018 5.3.8")


def radial_tension_value(species: str, load: str, F_vx: float) -> tuple[float, Cite]:
    """F_rt (psi) without reinforcement; load "wind or earthquake" or "other"."""
    table = read_table(TABLES, "radial_tension")
    wood = "Southern Pine" if species == "Southern Pine" else "other softwood"
    for row in table:
        if row["wood"] == wood and row["load"] in ("any", load):
            return float(row["share"]) * F_vx + float(row["value"]), table.cite(row)
    raise NotCovered(f"no radial tension value for {wood} under {load} load", "NDS 2018 5.2.8")
