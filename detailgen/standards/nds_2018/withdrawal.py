"""Withdrawal of lag screws, wood screws and nails (12.2), pull-through of heads, and withdrawal together with lateral load (12.4)."""

from __future__ import annotations

import numpy as np

from detailgen.core.clause import Number, require


def W_lag(G: Number, D: Number) -> Number:
    """Withdrawal of a lag screw from side grain, per inch of thread in the main member.

    G: specific gravity of the main member, -
    D: diameter of the unthreaded shank, in
    Returns: lb/in
    Source: NDS 2018, 12.2.1, equation 12.2-1
    """
    require((G > 0) & (D > 0), "specific gravity and diameter must be above zero", "NDS 2018 12.2.1")
    return 1800 * G**1.5 * D**0.75


def W_screw(G: Number, D: Number) -> Number:
    """Withdrawal of a wood screw from side grain, per inch of thread in the main member.

    G: specific gravity of the main member, -
    D: diameter, in
    Returns: lb/in
    Source: NDS 2018, 12.2.2, equation 12.2-2
    """
    require((G > 0) & (D > 0), "specific gravity and diameter must be above zero", "NDS 2018 12.2.2")
    return 2850 * G**2 * D


def W_nail(G: Number, D: Number) -> Number:
    """Withdrawal of a smooth nail from side grain, per inch of penetration in the main member.

    G: specific gravity of the main member, -
    D: diameter, in
    Returns: lb/in
    Source: NDS 2018, 12.2.3, equation 12.2-3
    """
    require((G > 0) & (D > 0), "specific gravity and diameter must be above zero", "NDS 2018 12.2.3")
    return 1380 * G**2.5 * D


def W_ring_nail(G: Number, D: Number) -> Number:
    """Withdrawal of a ring shank nail from side grain, per inch of ring shank in the main member.

    G: specific gravity of the main member, -
    D: diameter, in
    Returns: lb/in
    Source: NDS 2018, 12.2.3.2, equation 12.2-4
    """
    require((G > 0) & (D > 0), "specific gravity and diameter must be above zero", "NDS 2018 12.2.3.2")
    return 1800 * G**2 * D


def W_H(G: Number, D_H: Number, t: Number) -> Number:
    """Pull-through of a round head through the side member.

    G: specific gravity of the side member, -
    D_H: diameter of the head, in
    t: net thickness of the side member, in
    Returns: lb
    Source: NDS 2018, 12.2.5, equations 12.2-6a and 12.2-6b
    """
    require((G > 0) & (D_H > 0) & (t > 0), "specific gravity, head and thickness must be above zero", "NDS 2018 12.2.5")
    return 690 * np.pi * D_H * G**2 * np.minimum(t, 2.5 * D_H)


def W_prime(W: Number, p: Number, C_D: Number, C_M: Number, C_t: Number, C_eg: Number, C_tn: Number) -> Number:
    """Adjusted withdrawal value of one fastener.

    W: reference value per inch, lb/in
    p: length of thread, or of nail, in the main member, tip not counted, in
    C_D: load duration factor, -
    C_M: wet service factor, -
    C_t: temperature factor, -
    C_eg: end grain factor, -
    C_tn: toe-nail factor, -
    Returns: lb
    Source: NDS 2018, 11.3.1, table 11.3.1
    """
    return W * p * C_D * C_M * C_t * C_eg * C_tn


def Z_alpha(W_p: Number, Z_prime: Number, alpha: Number) -> Number:
    """Lag screw pulled at an angle to the wood's surface.

    W_p: adjusted withdrawal value over the whole penetration, lb
    Z_prime: adjusted lateral value, lb
    alpha: angle between the load and the wood's surface, rad
    Returns: lb
    Source: NDS 2018, 12.4.1, equation 12.4-1
    """
    require((alpha >= 0) & (alpha <= np.pi / 2 + 1e-9), "angle between load and surface from 0 to 90 degrees", "NDS 2018 12.4.1")
    return W_p * Z_prime / (W_p * np.cos(alpha) ** 2 + Z_prime * np.sin(alpha) ** 2)


def Z_alpha_linear(W_p: Number, Z_prime: Number, alpha: Number) -> Number:
    """Wood screw or nail pulled at an angle to the wood's surface.

    W_p: adjusted withdrawal value over the whole penetration, lb
    Z_prime: adjusted lateral value, lb
    alpha: angle between the load and the wood's surface, rad
    Returns: lb
    Source: NDS 2018, 12.4.2, equation 12.4-2
    """
    require((alpha >= 0) & (alpha <= np.pi / 2 + 1e-9), "angle between load and surface from 0 to 90 degrees", "NDS 2018 12.4.2")
    return W_p * Z_prime / (W_p * np.cos(alpha) + Z_prime * np.sin(alpha))
