"""Compression struts of steel: tubes, pipes, angles and channels whose walls are not slender (chapter E), with an eccentric force (H1)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from detailgen.core.clause import Calculation, Number, require
from detailgen.core.table import read_table
from detailgen.standards.aisc360_16 import compression
from detailgen.standards.aisc360_16.strength import DOCUMENT, TABLES, Omega, R_allowable, elastic_modulus

GREATEST_SLENDERNESS = 200.0
"""User note of E2: a preference, kept as a rule for struts (ours)."""


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


@dataclass(frozen=True)
class Strut:
    """A strut between two pins: area (in2), least radius of gyration (in), length (in), its most slender wall, yield stress (psi)."""

    area: float
    radius: float
    length: float
    F_y: float
    shape: str
    wall: float  # width over thickness


def strut_allowable(strut: Strut, sheet: Calculation | None = None) -> float:
    """Allowable compression (lb), pinned ends.

    Raises: NotCovered for an unknown shape, OutOfRange for a slender wall (E7) or a slenderness over 200
    """
    sheet = sheet or Calculation()
    E = elastic_modulus(sheet)
    row = read_table(TABLES, "slender_walls").find(shape=strut.shape)
    limit = float(sheet(wall_limit, k=float(row["k"]), E=E, F_y=strut.F_y, power=float(row["power"])))
    require(strut.wall <= limit, f"a wall of {strut.wall:g} width over thickness is slender (limit {limit:.4g})", f"{DOCUMENT} E7")
    slender = sheet(compression.slenderness, K=1.0, L=strut.length, r=strut.radius)
    require(slender <= GREATEST_SLENDERNESS, f"slenderness {float(slender):.4g}, at most {GREATEST_SLENDERNESS:g}", f"{DOCUMENT} E2")
    F_e = sheet(compression.F_e, E=E, slenderness=slender)
    P_n = sheet(compression.P_n, F_cr=sheet(F_cr_strut, F_y=strut.F_y, F_e=F_e), A_g=strut.area)
    return float(sheet(R_allowable, R_n=P_n, Omega=Omega("compression", sheet)))
