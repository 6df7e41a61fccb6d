"""Columns: stability (3.7), spaced columns (15.2), built-up columns (15.3)."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from detailgen.core.clause import Cite, Number, require
from detailgen.core.errors import OutOfRange
from detailgen.core.table import read_table
from detailgen.standards.nds_2018.adjustment import F_c_star
from detailgen.standards.nds_2018.reference import TABLES

IN_SERVICE, WHILE_BUILT, OF_BENDING = "l_e/d, in service", "l_e/d, while built", "R_B"


def slenderness_limit(quantity: str) -> tuple[float, Cite]:
    """The greatest slenderness of a solid column in service or while the structure is built, or of a member in bending."""
    table = read_table(TABLES, "slenderness_limits")
    row = table.find(quantity=quantity)
    return float(row["limit"]), replace(table.cite(row), clause=str(row["clause"]))


def greatest_slenderness(quantity: str) -> float:
    """The same without its source."""
    return slenderness_limit(quantity)[0]


def slenderness(l_e: Number, d: Number) -> Number:
    """Slenderness of a column about one axis.

    l_e: effective length, in
    d: dimension of the section in the direction of buckling, in
    Returns: -
    Source: NDS 2018, 3.7.1.3
    """
    require((np.asarray(l_e) >= 0) & (np.asarray(d) > 0), "length must not be below zero, dimension must be above zero", "NDS 2018 3.7.1.3")
    return l_e / d


def F_cE(E_min_prime: Number, l_e: Number, d: Number) -> Number:
    """Critical buckling stress of a column about one axis.

    E_min_prime: adjusted modulus for stability, psi
    l_e: effective length, in
    d: dimension of the section in the direction of buckling, in
    Returns: psi
    Source: NDS 2018, 3.7.1.5
    """
    require((np.asarray(l_e) > 0) & (np.asarray(d) > 0), "length and dimension must be above zero", "NDS 2018 3.7.1.5")
    return 0.822 * E_min_prime / (l_e / d) ** 2


def C_P(F_cE: Number, F_c_star: Number, c: Number) -> Number:
    """Column stability factor.

    F_cE: critical buckling stress, the smaller of the two axes, psi
    F_c_star: compression value with every factor but this one, psi
    c: 0.8 sawn lumber, 0.9 glulam, -
    r: ratio of buckling stress to crushing value, -
    a: first term, -
    Returns: -
    Source: NDS 2018, 3.7.1.5, equation 3.7-1
    """
    require((np.asarray(c) > 0) & (np.asarray(c) <= 1), "c must lie between zero and one", "NDS 2018 3.7.1.5")
    r = F_cE / F_c_star
    a = (1 + r) / (2 * c)
    return a - np.sqrt(a**2 - r / c)


def r_of_C_P(C_P: Number, c: Number) -> Number:
    """Ratio F_cE / F_c* at which the stability factor has a given value: equation 3.7-1 solved for it.

    C_P: column stability factor, -
    c: 0.8 sawn lumber, 0.9 glulam, -
    Returns: -
    Source: NDS 2018, 3.7.1.5, equation 3.7-1
    """
    require((np.asarray(C_P) > 0) & (np.asarray(C_P) < 1), "stability factor must lie between zero and one", "NDS 2018 3.7.1.5")
    return C_P * (1 - c * C_P) / (1 - C_P)


def F_c_prime(F_c_star: Number, C_P: Number) -> Number:
    """Adjusted compression value along the grain.

    F_c_star: compression value with every factor but that of stability, psi
    C_P: column stability factor, -
    Returns: psi
    Source: NDS 2018, 3.6.3
    """
    return F_c_star * C_P


def F_cE_spaced(E_min_prime: Number, l_1: Number, d_1: Number, K_x: Number) -> Number:
    """Critical buckling stress of the pieces of a spaced column in the direction of their thickness.

    E_min_prime: adjusted modulus for stability, psi
    l_1: length between points held in that direction, in
    d_1: thickness of one piece, in
    K_x: 2.5 or 3.0 by the place of the end fasteners; 1.0 for a single piece, -
    Returns: psi
    Source: NDS 2018, 15.2.3.2
    """
    require(np.asarray(l_1) / np.asarray(d_1) <= 80, "l_1/d_1 of a spaced column is at most 80", "NDS 2018 15.2.3.2")
    return 0.822 * K_x * E_min_prime / (l_1 / d_1) ** 2


def K_S(slope: Number, greatest: Number, l_1: Number, d_1: Number) -> Number:
    """End spacer block constant of a spaced column.

    slope: increase per unit of slenderness by species group, psi
    greatest: upper bound by species group, psi
    l_1: length between points held, in
    d_1: thickness of one piece, in
    Returns: psi
    Source: NDS 2018, 15.2.2.3
    """
    return np.clip(slope * (l_1 / d_1 - 11), 0, greatest)


def C_P_built_up(F_cE: Number, F_c_star: Number, c: Number, K_f: Number) -> Number:
    """Stability factor of a built-up column about the axis on which its plies slip.

    F_cE: critical buckling stress of the solid section, psi
    F_c_star: compression value with every factor but this one, psi
    c: 0.8 sawn lumber, 0.9 glulam, -
    K_f: 0.6 nailed, 0.75 bolted, -
    r: ratio of buckling stress to crushing value, -
    a: first term, -
    Returns: -
    Source: NDS 2018, 15.3.2.4, equation 15.3-1
    """
    require((np.asarray(c) > 0) & (np.asarray(c) <= 1), "c must lie between zero and one", "NDS 2018 3.7.1.5")
    r = F_cE / F_c_star
    a = (1 + r) / (2 * c)
    return K_f * (a - np.sqrt(a**2 - r / c))


def stability_constant(product: str) -> float:
    """c of equation 3.7-1 for "sawn" or "glulam"."""
    return float(read_table(TABLES, "column_constant").find(product=product)["c"])


@dataclass(frozen=True)
class Buckling:
    slenderness: float
    F_cE: float


def buckling(E_min_prime: float, l_e: float, d: float) -> Buckling:
    """Slenderness and critical stress (psi) about one axis."""
    return Buckling(float(slenderness(l_e, d)), float(F_cE(E_min_prime, l_e, d)))


@dataclass(frozen=True)
class ColumnCapacity:
    slenderness: float
    F_cE: float
    ratio: float  # F_cE over F_c*
    C_P: float
    P: float  # lb


def column_capacity(E_min_prime: float, F_c_star_value: float, l_e: float, d: float, A: float, c: float) -> ColumnCapacity:
    """Axial capacity of a column (lb) about one axis; psi, in, in2."""
    f_cE = float(F_cE(E_min_prime, l_e, d))
    stability = float(C_P(f_cE, F_c_star_value, c))
    return ColumnCapacity(float(slenderness(l_e, d)), f_cE, f_cE / F_c_star_value, stability, float(F_c_prime(F_c_star_value, stability)) * A)


@dataclass(frozen=True)
class LongestColumn:
    C_P: float
    ratio: float
    slenderness: float
    l_e: float  # in


def longest_column(P: float, E_min_prime: float, F_c_star_value: float, b: float, d: float, c: float) -> LongestColumn:
    """Greatest effective length at which a section b by d (in), buckling over d, carries P (lb).

    Raises: OutOfRange where the section crushes before it could buckle
    """
    stability = P / (b * d * F_c_star_value)
    if not 0 < stability < 1:
        raise OutOfRange(f"the load is {stability:.3g} of the crushing strength", "NDS 2018 3.7.1")
    r = float(r_of_C_P(stability, c))
    # F_cE goes with the inverse square of the length: scale from one inch.
    l_e = (float(F_cE(E_min_prime, 1.0, d)) / (r * F_c_star_value)) ** 0.5
    return LongestColumn(stability, r, float(slenderness(l_e, d)), l_e)


def end_block_constants(G: float) -> tuple[float, float]:
    """Slope and upper bound (psi) of K_S by the species group, that is by specific gravity."""
    rows = [r for r in read_table(TABLES, "spaced_column_shear") if float(r["G_from"]) <= G]
    row = max(rows, key=lambda r: float(r["G_from"]))
    return float(row["slope"]), float(row["greatest"])


@dataclass(frozen=True)
class SpacedColumn:
    slenderness: float  # l_1/d_1
    F_cE: float
    F_c_prime: float
    P: float  # lb, all pieces
    P_single: float  # lb, the pieces without end blocks
    K_S: float
    block_shear: float  # lb, connectors at each face of an end block


def spaced_column(
    *, n: int, d_1: float, d_2: float, l_1: float, l_2: float, F_c: float, C_D: float, C_F: float, E_min_prime: float, c: float, K_x: float,
    slope: float, greatest: float,
) -> SpacedColumn:  # fmt: skip
    """A spaced column of n dry pieces d_1 by d_2 (in). ``slope`` and ``greatest`` are those of the end block's species group (psi).

    Raises: OutOfRange where l_1/d_1 is over 80 or l_2/d_2 over 50
    """
    if slenderness(l_2, d_2) > greatest_slenderness(IN_SERVICE):
        raise OutOfRange(f"l_2/d_2 is {l_2 / d_2:.1f}, at most 50", "NDS 2018 15.2.3.3")
    star = float(F_c_star(F_c, C_D, 1.0, 1.0, C_F))
    wide = float(F_cE(E_min_prime, l_2, d_2))
    area = n * d_1 * d_2

    def value(fixity: float) -> tuple[float, float]:
        thin = float(F_cE_spaced(E_min_prime, l_1, d_1, fixity))
        return thin, float(F_c_prime(star, C_P(min(thin, wide), star, c)))

    thin, stress = value(K_x)
    k_s = float(K_S(slope, greatest, l_1, d_1))
    return SpacedColumn(float(slenderness(l_1, d_1)), thin, stress, stress * area, value(1.0)[1] * area, k_s, k_s * d_1 * d_2)


@dataclass(frozen=True)
class BuiltUpColumn:
    C_P_strong: float
    C_P_weak_solid: float
    C_P_weak: float
    P: float  # lb


def built_up_column(
    *, n: int, t: float, d_1: float, l_1: float, l_2: float, F_c: float, C_D: float, C_F: float, E_min_prime: float, K_f: float,
    product: str = "sawn",
) -> BuiltUpColumn:  # fmt: skip
    """A built-up column of n dry plies t by d_1 (in): l_1 goes with d_1, l_2 with the n t over which the plies slip.

    Raises: OutOfRange outside two to five plies of at least 1-1/2 in.
    """
    if not (2 <= n <= 5 and t >= 1.5):
        raise OutOfRange(f"{n} plies of {t:g} in.; two to five of at least 1.5 in.", "NDS 2018 15.3.1")
    c = stability_constant(product)
    star = float(F_c_star(F_c, C_D, 1.0, 1.0, C_F))
    strong = float(C_P(F_cE(E_min_prime, l_1, d_1), star, c))
    across = F_cE(E_min_prime, l_2, n * t)
    weak = float(C_P_built_up(across, star, c, K_f))
    return BuiltUpColumn(strong, float(C_P(across, star, c)), weak, min(strong, weak) * star * n * t * d_1)
