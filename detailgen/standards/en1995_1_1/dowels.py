"""Bolts and dowels loaded laterally (8.2, 8.5, 8.6): embedment, yield moment, rope effect, yield modes per shear plane and fastener.

Symbols of 8.2: part 1 is a side part, part 2 the other or the middle one; f_h_i and t_i belong to part i; beta = f_h_2 / f_h_1.
"""

from __future__ import annotations

import numpy as np

from detailgen.core.clause import Number
from detailgen.core.table import read_table
from detailgen.standards.en1995_1_1.design import TABLES


def f_h_0_k(rho_k: Number, d: Number) -> Number:
    """Embedment strength along the grain, fasteners up to 30 mm.

    rho_k: characteristic density, kg/m3
    d: diameter, mm
    Returns: MPa
    Source: EN 1995-1-1:2004+A1, 8.5.1.1, equation 8.32
    """
    return 0.082 * (1 - 0.01 * d) * rho_k


def k_90(at_zero: Number, per_mm: Number, d: Number) -> Number:
    """Factor of the embedment across the grain.

    at_zero: constant of the wood, -
    per_mm: increase with the diameter, 1/mm
    d: diameter, mm
    Returns: -
    Source: EN 1995-1-1:2004+A1, 8.5.1.1, equation 8.33
    """
    return at_zero + per_mm * d


def f_h_alpha_k(f_h_0_k: Number, k_90: Number, alpha: Number) -> Number:
    """Embedment strength at an angle to the grain.

    f_h_0_k: embedment strength along the grain, MPa
    k_90: factor across the grain, -
    alpha: angle of load to grain, rad
    Returns: MPa
    Source: EN 1995-1-1:2004+A1, 8.5.1.1, equation 8.31
    """
    return f_h_0_k / (1 + (k_90 - 1) * np.sin(alpha) ** 2)


def M_y_Rk(f_u_k: Number, d: Number) -> Number:
    """Characteristic yield moment of a bolt or dowel.

    f_u_k: tensile strength, MPa
    d: diameter, mm
    Returns: Nmm
    Source: EN 1995-1-1:2004+A1, 8.5.1.1, equation 8.30
    """
    return 0.3 * f_u_k * d**2.6


def F_t_Rk(k_2: Number, f_u_k: Number, A_t: Number) -> Number:
    """Tensile resistance of a bolt.

    k_2: 0.9 by EN 1993-1-8, or 1 without it, -
    f_u_k: tensile strength, MPa
    A_t: tensile stress area, mm2
    Returns: N
    Source: EN 1995-1-1:2004+A1, 8.5.2(1) with EN 1993-1-8, table 3.4
    """
    return k_2 * f_u_k * A_t


def d_washer_plate(t: Number, d: Number) -> Number:
    """Diameter over which a steel plate acts as a washer.

    t: thickness of the plate, mm
    d: diameter of the bolt, mm
    Returns: mm
    Source: EN 1995-1-1:2004+A1, 8.5.2(3)
    """
    return np.minimum(12 * t, 4 * d)


def F_washer_Rk(f_c_90_k: Number, d_washer: Number, hole: Number) -> Number:
    """Resistance of the wood under a washer.

    f_c_90_k: compressive strength across the grain, MPa
    d_washer: outer diameter, mm
    hole: diameter of the hole, mm
    Returns: N
    Source: EN 1995-1-1:2004+A1, 8.5.2(2)
    """
    return 3 * f_c_90_k * np.pi / 4 * np.maximum(d_washer**2 - hole**2, 0.0)


def with_rope(johansen: Number, F_ax_Rk: Number, share: Number) -> Number:
    """Johansen part with the rope effect, which is at most a share of it.

    johansen: resistance by embedment and yield moment, N
    F_ax_Rk: axial resistance of the fastener, N
    share: greatest share of the rope effect, -
    Returns: N
    Source: EN 1995-1-1:2004+A1, 8.2.2(2)
    """
    return johansen + np.minimum(F_ax_Rk / 4, share * johansen)


def mode_embedment(f_h: Number, t: Number, d: Number) -> Number:
    """Modes a, b, g; c, f: a part embeds over its whole thickness.

    f_h: embedment strength, MPa
    t: thickness, mm
    d: diameter, mm
    Returns: N
    Source: EN 1995-1-1:2004+A1, 8.2.2 and 8.2.3, equations 8.6a, 8.6b, 8.7g, 8.10c, 8.11f
    """
    return f_h * t * d


def mode_middle(f_h: Number, t_2: Number, d: Number) -> Number:
    """Modes h; j, l: the middle part embeds, shared by two planes.

    f_h: embedment strength of the middle part, MPa
    t_2: its thickness, mm
    d: diameter, mm
    Returns: N
    Source: EN 1995-1-1:2004+A1, 8.2.2 and 8.2.3, equations 8.7h, 8.12j, 8.13l
    """
    return 0.5 * f_h * t_2 * d


def mode_rotation(f_h_1: Number, t_1: Number, d: Number, beta: Number, t_2: Number) -> Number:
    """Mode c of wood on wood: the stiff fastener turns in both parts.

    f_h_1: embedment strength of the first part, MPa
    t_1: its thickness, mm
    d: diameter, mm
    beta: embedment strength of the second over the first, -
    t_2: thickness of the second part, mm
    r: thickness of the second over the first, -
    Returns: N
    Source: EN 1995-1-1:2004+A1, 8.2.2, equation 8.6c
    """
    r = t_2 / t_1
    return f_h_1 * t_1 * d / (1 + beta) * (np.sqrt(beta + 2 * beta**2 * (1 + r + r**2) + beta**3 * r**2) - beta * (1 + r))


def mode_hinge_second(f_h_1: Number, t_1: Number, d: Number, beta: Number, M_y_Rk: Number) -> Number:
    """Modes d; j of wood on wood: embedment in the first part, a yield hinge in the second.

    f_h_1: embedment strength of the first part, MPa
    t_1: its thickness, mm
    d: diameter, mm
    beta: embedment strength of the second over the first, -
    M_y_Rk: yield moment, Nmm
    m: yield moment without dimension, -
    Returns: N
    Source: EN 1995-1-1:2004+A1, 8.2.2, equations 8.6d and 8.7j
    """
    m = M_y_Rk / (f_h_1 * d * t_1**2)
    return 1.05 * f_h_1 * t_1 * d / (2 + beta) * (np.sqrt(2 * beta * (1 + beta) + 4 * beta * (2 + beta) * m) - beta)


def mode_hinge_first(f_h_1: Number, t_2: Number, d: Number, beta: Number, M_y_Rk: Number) -> Number:
    """Mode e of wood on wood: embedment in the second part, a yield hinge in the first.

    f_h_1: embedment strength of the first part, MPa
    t_2: thickness of the second part, mm
    d: diameter, mm
    beta: embedment strength of the second over the first, -
    M_y_Rk: yield moment, Nmm
    m: yield moment without dimension, -
    Returns: N
    Source: EN 1995-1-1:2004+A1, 8.2.2, equation 8.6e
    """
    m = M_y_Rk / (f_h_1 * d * t_2**2)
    return 1.05 * f_h_1 * t_2 * d / (1 + 2 * beta) * (np.sqrt(2 * beta**2 * (1 + beta) + 4 * beta * (1 + 2 * beta) * m) - beta)


def mode_two_hinges(f_h_1: Number, d: Number, beta: Number, M_y_Rk: Number) -> Number:
    """Modes f; k of wood on wood: yield hinges in both parts.

    f_h_1: embedment strength of the first part, MPa
    d: diameter, mm
    beta: embedment strength of the second over the first, -
    M_y_Rk: yield moment, Nmm
    Returns: N
    Source: EN 1995-1-1:2004+A1, 8.2.2, equations 8.6f and 8.7k
    """
    return 1.15 * np.sqrt(2 * beta / (1 + beta)) * np.sqrt(2 * M_y_Rk * f_h_1 * d)


def mode_thin_embedment(f_h: Number, t_1: Number, d: Number) -> Number:
    """Mode a of a thin steel plate in single shear: the fastener turns in the wood.

    f_h: embedment strength, MPa
    t_1: thickness of the wood, mm
    d: diameter, mm
    Returns: N
    Source: EN 1995-1-1:2004+A1, 8.2.3, equation 8.9a
    """
    return 0.4 * f_h * t_1 * d


def mode_thin_hinge(f_h: Number, d: Number, M_y_Rk: Number) -> Number:
    """Modes b; k of thin steel plates: one yield hinge, in the wood.

    f_h: embedment strength, MPa
    d: diameter, mm
    M_y_Rk: yield moment, Nmm
    Returns: N
    Source: EN 1995-1-1:2004+A1, 8.2.3, equations 8.9b and 8.12k
    """
    return 1.15 * np.sqrt(2 * M_y_Rk * f_h * d)


def mode_thick_one_hinge(f_h: Number, t_1: Number, d: Number, M_y_Rk: Number) -> Number:
    """Modes d; g of thick or inner steel plates: a yield hinge at the plate.

    f_h: embedment strength, MPa
    t_1: thickness of the wood, mm
    d: diameter, mm
    M_y_Rk: yield moment, Nmm
    Returns: N
    Source: EN 1995-1-1:2004+A1, 8.2.3, equations 8.10d and 8.11g
    """
    return f_h * t_1 * d * (np.sqrt(2 + 4 * M_y_Rk / (f_h * d * t_1**2)) - 1)


def mode_thick_two_hinges(f_h: Number, d: Number, M_y_Rk: Number) -> Number:
    """Modes e; h; m of thick or inner steel plates: yield hinges at the plate and in the wood.

    f_h: embedment strength, MPa
    d: diameter, mm
    M_y_Rk: yield moment, Nmm
    Returns: N
    Source: EN 1995-1-1:2004+A1, 8.2.3, equations 8.10e, 8.11h and 8.13m
    """
    return 2.3 * np.sqrt(M_y_Rk * f_h * d)


def F_between(t: Number, d: Number, F_thin: Number, F_thick: Number) -> Number:
    """Resistance with a steel plate between thin (half a diameter) and thick (a diameter).

    t: thickness of the plate, mm
    d: diameter, mm
    F_thin: resistance with a thin plate, N
    F_thick: resistance with a thick plate, N
    Returns: N
    Source: EN 1995-1-1:2004+A1, 8.2.3(1)
    """
    return F_thin + np.minimum(np.maximum(2 * t / d - 1, 0.0), 1.0) * (F_thick - F_thin)


def n_ef_0(n: Number, a_1: Number, d: Number) -> Number:
    """Effective number of fasteners in a row, load along the grain.

    n: fasteners in the row, -
    a_1: spacing along the grain, mm
    d: diameter, mm
    Returns: -
    Source: EN 1995-1-1:2004+A1, 8.5.1.1(4), equation 8.34
    """
    return np.where(n > 1, np.minimum(n, n**0.9 * (a_1 / (13 * d)) ** 0.25), n)


def n_ef(n_ef_0: Number, n: Number, alpha: Number) -> Number:
    """Effective number of fasteners in a row at an angle of load to grain: straight from n_ef at 0 to n at 90 degrees.

    n_ef_0: effective number for a load along the grain, -
    n: fasteners in the row, -
    alpha: angle of load to grain, rad
    Returns: -
    Source: EN 1995-1-1:2004+A1, 8.5.1.1(4), equation 8.35 and between
    """
    return n_ef_0 + (n - n_ef_0) * alpha / (np.pi / 2)


def n_ef_axial(n: Number) -> Number:
    """Effective number of axially loaded screws that act together.

    n: screws, -
    Returns: -
    Source: EN 1995-1-1:2004+A1, 8.7.2(8), equation 8.41
    """
    return n**0.9


def F_axial_group_Rd(k_mod: Number, F_Rk: Number, gamma_M: Number, n_ef: Number) -> Number:
    """Design resistance of a group of axially loaded screws.

    k_mod: modification factor, -
    F_Rk: characteristic resistance of one, N
    gamma_M: partial factor of connections, -
    n_ef: effective number, -
    Returns: N
    Source: EN 1995-1-1:2004+A1, 8.7.2(8) and 2.4.3
    """
    return k_mod * F_Rk / gamma_M * n_ef


def axial_group(n: float, F_Rk: float, k_mod: float, gamma_M: float) -> float:
    """Design resistance (N) of n screws loaded axially, each of F_Rk (N)."""
    return float(F_axial_group_Rd(k_mod, F_Rk, gamma_M, n_ef_axial(n)))


def embedment(rho_k: Number, d: Number, alpha: Number, wood: str) -> Number:
    """Embedment strength (MPa) at an angle (rad) of a wood: "softwood", "hardwood" or "LVL"."""
    row = read_table(TABLES, "embedment_k90").find(wood=wood)
    return f_h_alpha_k(f_h_0_k(rho_k, d), k_90(float(row["at_zero"]), float(row["per_mm"]), d), alpha)


def rope_share(fastener: str) -> float:
    return float(read_table(TABLES, "rope_effect").find(fastener=fastener)["share"])


def thick_outer_plates_mode_m(rho_k: float, d: float, alpha: float, wood: str, f_u_k: float, F_ax_Rk: float) -> tuple[float, float]:
    """Mode m (N) with a quarter of F_ax_Rk uncapped, and with the rope effect capped by 8.2.2(2)."""
    johansen = mode_thick_two_hinges(embedment(rho_k, d, alpha, wood), d, M_y_Rk(f_u_k, d))
    free = with_rope(johansen, F_ax_Rk, np.inf)
    return float(free), float(with_rope(johansen, F_ax_Rk, rope_share("bolt")))


def plate_as_washer(f_c_90_k: float, t: float, d: float, hole: float) -> float:
    """Resistance (N) of the wood under a steel plate that acts as a washer."""
    return float(F_washer_Rk(f_c_90_k, d_washer_plate(t, d), hole))
