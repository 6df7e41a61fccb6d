"""What breaks in the wood around a connection: splitting across the grain (8.1.4), block and plug shear (annex A), the net section (6.1.2)."""

from __future__ import annotations

import numpy as np

from detailgen.core.clause import Number, require


def F_90_Rk(b: Number, h_e: Number, h: Number) -> Number:
    """Characteristic splitting resistance of softwood, fasteners without a punched plate.

    b: thickness of the part, mm
    h_e: from the loaded edge to the farthest fastener, mm
    h: depth of the part, mm
    Returns: N
    Source: EN 1995-1-1:2004+A1, 8.1.4, equations 8.4 and 8.5 (w = 1)
    """
    require(h_e < h, "splitting: the farthest fastener lies within the part", "EN 1995-1-1:2004+A1 8.1.4")
    return 14 * b * (h_e / (1 - h_e / h)) ** 0.5


def A_net_t(L_net_t: Number, t_1: Number) -> Number:
    """Net area of a block in tension.

    L_net_t: net width of the block across the grain, mm
    t_1: thickness of the wood, mm
    Returns: mm2
    Source: EN 1995-1-1:2004+A1, A.1, equation A.2
    """
    return L_net_t * t_1


def A_net_v_block(L_net_v: Number, t_1: Number) -> Number:
    """Net area of a block in shear where the part breaks through its whole thickness: modes c, f, j, k, l and m.

    L_net_v: net length of both shear planes, mm
    t_1: thickness of the wood, mm
    Returns: mm2
    Source: EN 1995-1-1:2004+A1, A.1, equation A.3
    """
    return L_net_v * t_1


def A_net_v_plug(L_net_v: Number, L_net_t: Number, t_ef: Number) -> Number:
    """Net area of a plug in shear: all other modes.

    L_net_v: net length of both shear planes, mm
    L_net_t: net width of the block across the grain, mm
    t_ef: effective depth, mm
    Returns: mm2
    Source: EN 1995-1-1:2004+A1, A.1, equation A.3
    """
    return L_net_v / 2 * (L_net_t + 2 * t_ef)


def t_ef_thin(f_h: Number, t_1: Number, d: Number, M_y_Rk: Number) -> Number:
    """Effective depth of a plug under a thin plate: the lesser of modes a and b.

    f_h: embedment strength, MPa
    t_1: thickness of the wood, mm
    d: diameter, mm
    M_y_Rk: yield moment, Nmm
    Returns: mm
    Source: EN 1995-1-1:2004+A1, A.1, equation A.6
    """
    return np.minimum(0.4 * t_1, 1.4 * (M_y_Rk / (f_h * d)) ** 0.5)


def t_ef_thick(f_h: Number, t_1: Number, d: Number, M_y_Rk: Number) -> Number:
    """Effective depth of a plug under a thick plate: the lesser of modes d and e.

    f_h: embedment strength, MPa
    t_1: thickness of the wood, mm
    d: diameter, mm
    M_y_Rk: yield moment, Nmm
    Returns: mm
    Source: EN 1995-1-1:2004+A1, A.1, equation A.7
    """
    return np.minimum(2 * (M_y_Rk / (f_h * d)) ** 0.5, t_1 * ((2 + M_y_Rk / (f_h * d * t_1**2)) ** 0.5 - 1))


def F_bs_Rk(A_net_t: Number, f_t_0_k: Number, A_net_v: Number, f_v_k: Number) -> Number:
    """Characteristic resistance to block or plug shear.

    A_net_t: net area in tension, mm2
    f_t_0_k: tensile strength, MPa
    A_net_v: net area in shear, mm2
    f_v_k: shear strength, MPa
    Returns: N
    Source: EN 1995-1-1:2004+A1, A.1, equation A.1
    """
    return np.maximum(1.5 * A_net_t * f_t_0_k, 0.7 * A_net_v * f_v_k)


def L_net_v(a_3: Number, a_1: Number, n: Number, hole: Number) -> Number:
    """Net length of the shear planes beside a block of rows of n bolts: both sides.

    a_3: from the end to the first bolt, mm
    a_1: spacing along the grain, mm
    n: bolts in a row, -
    hole: diameter of the holes, mm
    Returns: mm
    Source: EN 1995-1-1:2004+A1, A.1, equation A.4
    """
    return 2 * np.maximum(a_3 + (n - 1) * a_1 - (n - 0.5) * hole, 0.0)


def L_net_t(width: Number, rows: Number, hole: Number) -> Number:
    """Net width of a block across the grain, between its outer rows.

    width: between the middles of the outer rows, mm
    rows: rows, -
    hole: diameter of the holes, mm
    Returns: mm
    Source: EN 1995-1-1:2004+A1, A.1, equation A.5
    """
    return np.maximum(width - (rows - 1) * hole, 0.0)


def N_net_Rd(f_t_0_d: Number, b: Number, h: Number, holes: Number, hole: Number) -> Number:
    """Design resistance of the section that the holes leave.

    f_t_0_d: design tensile strength, MPa
    b: thickness, mm
    h: depth, mm
    holes: holes in the section, -
    hole: diameter of the holes, mm
    Returns: N
    Source: EN 1995-1-1:2004+A1, 6.1.2 and 5.2
    """
    return f_t_0_d * b * np.maximum(h - holes * hole, 0.0)
