"""Compression of a plate across its free length (J4.4, E3) and bending in its own plane (F11, J4.5), and both with an axial force (H1)."""

from __future__ import annotations

import numpy as np

from detailgen.core.clause import Number, require


def L_free(free: Number, s: Number, n: Number) -> Number:
    """Length over which the plate is held by no bolt: across the cut, or between bolts of a row if that is longer.

    free: between the innermost bolts of both sides, in
    s: spacing in a row, in
    n: bolts in a row, -
    Returns: in
    Source: AISC 360-16, J4.4
    """
    return np.where(n > 1, np.maximum(free, s), free)


def r(t: Number) -> Number:
    """Radius of gyration of a plate about its weak axis.

    t: thickness, in
    Returns: in
    Source: AISC 360-16, E2
    """
    return np.sqrt(t**2 / 12)


def slenderness(K: Number, L: Number, r: Number) -> Number:
    """Effective slenderness.

    K: effective length factor, -
    L: length held by no bolt, in
    r: radius of gyration, in
    Returns: -
    Source: AISC 360-16, E2
    """
    return K * L / r


def F_e(E: Number, slenderness: Number) -> Number:
    """Elastic buckling stress.

    E: modulus of elasticity, psi
    slenderness: effective slenderness, -
    Returns: psi
    Source: AISC 360-16, E3, equation E3-4
    """
    require(slenderness > 0, "a plate in compression has a free length above zero", "AISC 360-16 E3")
    return np.pi**2 * E / slenderness**2


def F_cr(F_y: Number, F_e: Number, E: Number, slenderness: Number) -> Number:
    """Critical stress of a plate in compression: yield up to a slenderness of 25, beyond it flexural buckling.

    F_y: yield stress, psi
    F_e: elastic buckling stress, psi
    E: modulus of elasticity, psi
    slenderness: effective slenderness, -
    F_inelastic: critical stress of stocky plates, psi
    F_elastic: critical stress of slender plates, psi
    Returns: psi
    Source: AISC 360-16, J4.4, equation J4-6, and E3, equations E3-2 and E3-3
    """
    F_inelastic = 0.658 ** (F_y / F_e) * F_y
    F_elastic = 0.877 * F_e
    return np.where(slenderness <= 25, F_y, np.where(slenderness <= 4.71 * np.sqrt(E / F_y), F_inelastic, F_elastic))


def P_n(F_cr: Number, A_g: Number) -> Number:
    """Nominal strength in compression.

    F_cr: critical stress, psi
    A_g: gross area, in2
    Returns: lb
    Source: AISC 360-16, J4.4 and E3, equation E3-1
    """
    return F_cr * A_g


def M_n_yield(F_y: Number, L_b: Number, w: Number, t: Number, E: Number, C_b: Number) -> Number:
    """Nominal moment in the plate's plane: yielding or lateral-torsional buckling of a rectangular bar bent about its strong axis.

    F_y: yield stress, psi
    L_b: length held by no bolt, in
    w: width, the depth in bending, in
    t: thickness, in
    E: modulus of elasticity, psi
    C_b: factor of the moment's shape, -
    S: elastic section modulus, in3
    M_p: plastic moment, in-lb
    M_inelastic: moment of bars of middle slenderness, in-lb
    M_elastic: elastic buckling moment, in-lb
    k: slenderness of the bar, -
    Returns: in-lb
    Source: AISC 360-16, F11.1 and F11.2, equations F11-1 to F11-4
    """
    S = t * w**2 / 6
    M_p = np.minimum(F_y * t * w**2 / 4, 1.6 * F_y * S)
    k = L_b * w / t**2
    M_inelastic = C_b * (1.52 - 0.274 * k * F_y / E) * F_y * S
    M_elastic = 1.9 * E * C_b / k * S
    return np.where(k <= 0.08 * E / F_y, M_p, np.minimum(M_p, np.where(k <= 1.9 * E / F_y, M_inelastic, M_elastic)))


def Z_net(w: Number, t: Number, rows: Number, g: Number, d_net: Number) -> Number:
    """Plastic section modulus less a line of holes, the rows standing evenly about the plate's middle.

    w: width, in
    t: thickness, in
    rows: rows of bolts, -
    g: gauge between rows, in
    d_net: width of a hole in net area, in
    arms: sum of the distances of the rows from the middle over the gauge, -
    middle: 1 where a row stands in the middle, -
    Returns: in3
    Source: AISC 360-16, J4.5 and B4.3b
    """
    arms = np.floor(rows**2 / 4)
    middle = rows - 2 * np.floor(rows / 2)
    return t * np.maximum(w**2 / 4 - d_net * g * arms - middle * d_net**2 / 4, 0)


def M_n_rupture(F_u: Number, Z_net: Number) -> Number:
    """Nominal moment, rupture of the net section.

    F_u: tensile strength, psi
    Z_net: plastic section modulus less holes, in3
    Returns: in-lb
    Source: AISC 360-16, J4.5
    """
    return F_u * Z_net


def interaction(P_r: Number, P_c: Number, M_r: Number, M_c: Number) -> Number:
    """Axial force with bending: the linear sum, never under the two lines of H1.

    P_r: axial force without its sign, lb
    P_c: allowable axial force, lb
    M_r: moment without its sign, in-lb
    M_c: allowable moment, in-lb
    Returns: -
    Source: AISC 360-16, H1.1 and H1.2, equations H1-1a and H1-1b (linear sum, on their safe side)
    """
    return P_r / P_c + M_r / M_c
