"""Compression struts of steel: tubes, pipes, angles and channels whose walls are not slender (chapter E), with an eccentric force (H1)."""

from __future__ import annotations

import numpy as np

from detailgen.core.clause import Calculation, Number, require
from detailgen.core.table import read_table
from detailgen.standards.aisc360_16 import compression
from detailgen.standards.aisc360_16.strength import DOCUMENT, TABLES, Omega, R_allowable, elastic_modulus
from detailgen.standards.anchorage import SteelStrut


def F_cr_strut(F_y: Number, F_e: Number) -> Number:
    """Critical stress of a strut, flexural buckling.

    F_y: yield stress, psi
    F_e: elastic buckling stress, psi
    Returns: psi
    Source: AISC 360-16, E3, equations E3-2 and E3-3
    """
    return np.where(F_y / F_e <= 2.25, 0.658 ** (F_y / F_e) * F_y, 0.877 * F_e)


def wall_limit(k: Number, E: Number, F_y: Number, power: Number) -> Number:
    """Greatest width over thickness of a wall that is not slender.

    k: factor of the kind of wall, -
    E: modulus of elasticity, psi
    F_y: yield stress, psi
    power: exponent of the kind of wall, -
    Returns: -
    Source: AISC 360-16, B4.1, table B4.1a
    """
    return k * (E / F_y) ** power


def B_1(alpha: Number, P_r: Number, P_e1: Number) -> Number:
    """Growth of the moment of a strut by its own bending (C_m = 1).

    alpha: 1.6 for service loads, -
    P_r: compression under service loads, lb
    P_e1: elastic buckling load of the strut in the plane of bending, lb
    Returns: -
    Source: AISC 360-16, A-8 (appendix 8), equations A-8-3 and A-8-5
    """
    require(alpha * P_r < P_e1, "a strut bent by its own force buckles elastically", "AISC 360-16 appendix 8")
    return 1 / (1 - alpha * P_r / P_e1)


def M_r_strut(B_1: Number, P_r: Number, e: Number) -> Number:
    """Moment of a strut whose force is off its axis.

    B_1: growth by bending, -
    P_r: compression, lb
    e: eccentricity, in
    Returns: in-lb
    Source: AISC 360-16, A-8 (appendix 8), equation A-8-1
    """
    return B_1 * P_r * e


def M_n_first_yield(F_y: Number, S: Number) -> Number:
    """Nominal moment of a strut about its weak axis, counted to first yield only (safe side).

    F_y: yield stress, psi
    S: elastic section modulus, in3
    Returns: in-lb
    Source: AISC 360-16, F6.1 (M_p left out)
    """
    return F_y * S


def strut_allowable(strut: SteelStrut, sheet: Calculation | None = None) -> float:
    """Allowable compression (lb).

    Raises: NotCovered for an unknown shape, OutOfRange for a slender wall (E7) or a slenderness over 200
    """
    sheet = sheet or Calculation()
    E = elastic_modulus(sheet)
    row = read_table(TABLES, "slender_walls").find(shape=strut.shape)
    limit = float(sheet(wall_limit, k=float(row["k"]), E=E, F_y=strut.F_y, power=float(row["power"])))
    require(strut.wall <= limit, f"a wall of {strut.wall:g} width over thickness is slender (limit {limit:.4g})", f"{DOCUMENT} E7")
    ends = read_table(TABLES, "effective_length")
    held_by = "two or more bolt columns" if strut.held else "one bolt column"  # the same two cases: ends that do not turn, and pins
    K = sheet.given("K", float(ends.find(held_by=held_by)["K"]), "-", ends.cite())
    slender = sheet(compression.slenderness, K=K, L=strut.length, r=strut.radius)
    most = float(read_table(TABLES, "strut_limits").find(quantity="slenderness")["limit"])
    require(slender <= most, f"slenderness {float(slender):.4g}, at most {most:g}", f"{DOCUMENT} E2")
    F_e = sheet(compression.F_e, E=E, slenderness=slender)
    P_n = sheet(compression.P_n, F_cr=sheet(F_cr_strut, F_y=strut.F_y, F_e=F_e), A_g=strut.area)
    return float(sheet(R_allowable, R_n=P_n, Omega=Omega("compression", sheet)))
