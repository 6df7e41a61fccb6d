"""Plates bent about their weak axis: butt plates, bearing plates, flanges of brackets (F11)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from detailgen.core.clause import Calculation, Number
from detailgen.standards.aisc360_16.strength import Omega


def M_n_flat(F_y: Number, b: Number, t: Number) -> Number:
    """Nominal moment of a plate bent about its weak axis: it yields (the cap of 1.6 yield moments lies over the plastic 1.5), it does not buckle.

    F_y: yield stress, psi
    b: width across the bending, in
    t: thickness, in
    Returns: in-lb
    Source: AISC 360-16, F11.1, equation F11-1
    """
    return F_y * b * t**2 / 4


def R_n_bearing(F_y: Number, A_pb: Number) -> Number:
    """Nominal strength of steel that bears on steel, surfaces finished.

    F_y: yield stress of the softer part, psi
    A_pb: projected bearing area, in2
    Returns: lb
    Source: AISC 360-16, J7(a), equation J7-1
    """
    return 1.8 * F_y * A_pb


def A_ring(D: Number, d: Number) -> Number:
    """Area of a ring that bears about a hole.

    D: outside diameter, in
    d: diameter of the hole, in
    Returns: in2
    Source: AISC 360-16, J7(a) (geometry)
    """
    return np.pi / 4 * (D**2 - d**2)


def M_line(P: Number, arm: Number) -> Number:
    """Moment of an overhang by a line load at its tip.

    P: force, lb
    arm: from the face that holds the plate to the force, in
    Returns: in-lb
    Source: AISC 360-16, F11.1 (mechanics: cantilever)
    """
    return P * arm


def M_uniform(q: Number, b: Number, arm: Number) -> Number:
    """Moment of an overhang by an even pressure.

    q: pressure, psi
    b: width, in
    arm: overhang, in
    Returns: in-lb
    Source: AISC 360-16, F11.1 (mechanics: cantilever)
    """
    return q * b * arm**2 / 2


def t_least(M: Number, Omega: Number, F_y: Number, b: Number) -> Number:
    """Least thickness of a plate bent about its weak axis.

    M: moment, in-lb
    Omega: safety factor, -
    F_y: yield stress, psi
    b: width across the bending, in
    Returns: in
    Source: AISC 360-16, F11.1, equation F11-1 solved for the thickness
    """
    return np.sqrt(4 * M * Omega / (F_y * b))


@dataclass(frozen=True)
class Overhang:
    """Moment of an overhang (in-lb) and the thickness that it asks for (in)."""

    moment: float
    thickness: float


def _overhang(M: Number, b: float, F_y: float) -> Overhang:
    return Overhang(float(M), float(t_least(M, Omega("bending yield", Calculation()), F_y, b)))


def overhang_line_load(P: float, arm: float, b: float, F_y: float) -> Overhang:
    """A plate b wide (in) that overhangs to a force P (lb) at ``arm`` (in)."""
    return _overhang(M_line(P, arm), b, F_y)


def overhang_uniform(q: float, arm: float, b: float, F_y: float) -> Overhang:
    """A plate b wide (in) that overhangs ``arm`` (in) under an even pressure q (psi)."""
    return _overhang(M_uniform(q, b, arm), b, F_y)
