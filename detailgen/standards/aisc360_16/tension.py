"""Tension in plates: yielding and rupture (chapter D, J4.1) and block shear (J4.3).

Where holes reach over the plate's edge no steel is left between them: the net area is then zero, and so is the strength.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from detailgen.core.clause import Number
from detailgen.standards.aisc360_16.strength import Strengths, strengths


def A_g(w: Number, t: Number) -> Number:
    """Gross area.

    w: width, in
    t: thickness, in
    Returns: in2
    Source: AISC 360-16, B4.3a
    """
    return w * t


def d_net(d_h: Number) -> Number:
    """Width of a bolt hole in net area: punching and drilling spoil 1/16 in. of steel.

    d_h: hole diameter, in
    Returns: in
    Source: AISC 360-16, B4.3b
    """
    return d_h + 1 / 16


def A_n(w: Number, t: Number, n_holes: Number, d_net: Number) -> Number:
    """Net area across a line of holes.

    w: width, in
    t: thickness, in
    n_holes: holes in the section, -
    d_net: width of a hole in net area, in
    Returns: in2
    Source: AISC 360-16, B4.3b
    """
    return np.maximum(w - n_holes * d_net, 0) * t


def A_e(A_n: Number, U: Number) -> Number:
    """Effective net area of a tension member.

    A_n: net area, in2
    U: shear lag factor, -
    Returns: in2
    Source: AISC 360-16, D3, equation D3-1
    """
    return A_n * U


def A_e_splice(A_n: Number, A_g: Number) -> Number:
    """Effective net area of a bolted splice plate.

    A_n: net area, in2
    A_g: gross area, in2
    Returns: in2
    Source: AISC 360-16, J4.1(b)
    """
    return np.minimum(A_n, 0.85 * A_g)


def R_n_yield(F_y: Number, A_g: Number) -> Number:
    """Nominal strength, yielding in tension.

    F_y: yield stress, psi
    A_g: gross area, in2
    Returns: lb
    Source: AISC 360-16, D2(a) and J4.1(a), equation J4-1
    """
    return F_y * A_g


def R_n_rupture(F_u: Number, A_e: Number) -> Number:
    """Nominal strength, rupture in tension.

    F_u: tensile strength, psi
    A_e: effective net area, in2
    Returns: lb
    Source: AISC 360-16, D2(b) and J4.1(b), equation J4-2
    """
    return F_u * A_e


def L_v(end: Number, n: Number, s: Number) -> Number:
    """Length of a shear plane: from the plate's end to the last bolt of a row.

    end: from the outermost bolt to the plate's end, in
    n: bolts in a row, -
    s: spacing in a row, in
    Returns: in
    Source: AISC 360-16, J4.3
    """
    return end + (n - 1) * s


def A_gv(n_planes: Number, L_v: Number, t: Number) -> Number:
    """Gross area in shear.

    n_planes: shear planes of the block, -
    L_v: length of a shear plane, in
    t: thickness, in
    Returns: in2
    Source: AISC 360-16, J4.3
    """
    return n_planes * L_v * t


def A_nv(n_planes: Number, L_v: Number, n: Number, d_net: Number, t: Number) -> Number:
    """Net area in shear: the plane ends in the middle of the last hole.

    n_planes: shear planes of the block, -
    L_v: length of a shear plane, in
    n: bolts in a row, -
    d_net: width of a hole in net area, in
    t: thickness, in
    Returns: in2
    Source: AISC 360-16, J4.3 and B4.3b
    """
    return n_planes * np.maximum(L_v - (n - 0.5) * d_net, 0) * t


def A_nt(n_edges: Number, edge: Number, n_gaps: Number, g: Number, d_net: Number, t: Number) -> Number:
    """Net area in tension of a block: strips between a row and the plate's edge, and strips between rows.

    n_edges: strips from an outer row to the edge, -
    edge: from the outer row to the plate's edge, in
    n_gaps: strips between neighbouring rows, -
    g: gauge between rows, in
    d_net: width of a hole in net area, in
    t: thickness, in
    Returns: in2
    Source: AISC 360-16, J4.3 and B4.3b
    """
    return (n_edges * np.maximum(edge - d_net / 2, 0) + n_gaps * np.maximum(g - d_net, 0)) * t


def R_n_block(F_u: Number, A_nv: Number, F_y: Number, A_gv: Number, U_bs: Number, A_nt: Number) -> Number:
    """Nominal strength in block shear: the shear planes rupture or yield, whichever comes first.

    F_u: tensile strength, psi
    A_nv: net area in shear, in2
    F_y: yield stress, psi
    A_gv: gross area in shear, in2
    U_bs: 1.0 where the tension stress is uniform, 0.5 where it is not, -
    A_nt: net area in tension, in2
    Returns: lb
    Source: AISC 360-16, J4.3, equation J4-5
    """
    return np.minimum(0.6 * F_u * A_nv, 0.6 * F_y * A_gv) + U_bs * F_u * A_nt


@dataclass(frozen=True)
class TensionStrengths:
    """Strengths (lb) of a plate as a tension member; design and allowable are the least of yielding and rupture."""

    nominal_yield: float
    nominal_rupture: float
    design: float
    allowable: float


def tension_strengths(*, b: float, t: float, F_y: float, F_u: float, U: float, holes: float, net_hole: float) -> TensionStrengths:
    """A plate of width b and thickness t (in) as a tension member by D2; ``net_hole`` is a hole's width in net area (in)."""
    yielding = strengths(R_n_yield(F_y, A_g(b, t)), "tension yield")
    rupture = strengths(R_n_rupture(F_u, A_e(A_n(b, t, holes, net_hole), U)), "tension rupture")
    return TensionStrengths(yielding.nominal, rupture.nominal, min(yielding.design, rupture.design), min(yielding.allowable, rupture.allowable))


def block_shear_strengths(*, A_gv: float, A_nv: float, A_nt: float, F_y: float, F_u: float, U_bs: float) -> Strengths:
    """Block shear by J4.3 from given areas (in2)."""
    return strengths(R_n_block(F_u, A_nv, F_y, A_gv, U_bs, A_nt), "block shear")
