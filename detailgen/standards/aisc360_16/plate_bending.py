"""Plates bent about their weak axis: butt plates, bearing plates, flanges of brackets (F11)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from detailgen.core.clause import Calculation, Number
from detailgen.standards.aisc360_16.strength import Omega
from detailgen.standards.anchorage import RibbedPlate


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


def y_bar(b: Number, t: Number, n: Number, w: Number, d: Number) -> Number:
    """Height of the centroid of a plate with upright ribs, from the plate's bare face.

    b: width of the plate, in
    t: thickness of the plate, in
    n: number of ribs, -
    w: thickness of a rib, in
    d: depth of a rib, in
    Returns: in
    Source: AISC 360-16, F12.1 (geometry)
    """
    return (b * t * t / 2 + n * w * d * (t + d / 2)) / (b * t + n * w * d)


def I_ribbed(b: Number, t: Number, n: Number, w: Number, d: Number, y_bar: Number) -> Number:
    """Moment of inertia of a plate with upright ribs.

    b: width of the plate, in
    t: thickness of the plate, in
    n: number of ribs, -
    w: thickness of a rib, in
    d: depth of a rib, in
    y_bar: height of the centroid from the plate's bare face, in
    Returns: in4
    Source: AISC 360-16, F12.1 (geometry)
    """
    return b * t**3 / 12 + b * t * (y_bar - t / 2) ** 2 + n * w * d**3 / 12 + n * w * d * (t + d / 2 - y_bar) ** 2


def S_least(I: Number, y_bar: Number, height: Number) -> Number:
    """Least elastic section modulus about the centroid.

    I: moment of inertia, in4
    y_bar: height of the centroid from one face, in
    height: of the whole section, in
    Returns: in3
    Source: AISC 360-16, F12.1 (geometry)
    """
    return I / np.maximum(y_bar, height - y_bar)


def M_n_yield(F_y: Number, S: Number) -> Number:
    """Nominal moment of a section that is not symmetrical about its axis, counted to first yield. Ribs on the pulled face do not buckle.

    F_y: yield stress, psi
    S: least elastic section modulus, in3
    Returns: in-lb
    Source: AISC 360-16, F12.1, equations F12-1 and F12-2
    """
    return F_y * S


def seam_share(n: Number, w: Number, d: Number, t: Number, y_bar: Number, I: Number, arm: Number) -> Number:
    """What passes between plate and ribs along an overhang, for a force of one at its tip: first moment of the ribs over inertia, times the length.

    n: number of ribs, -
    w: thickness of a rib, in
    d: depth of a rib, in
    t: thickness of the plate, in
    y_bar: height of the centroid from the plate's bare face, in
    I: moment of inertia, in4
    arm: overhang, in
    Returns: -
    Source: AISC 360-16, J2.4 (mechanics: shear flow of a beam)
    """
    return n * w * d * (t + d / 2 - y_bar) / I * arm


def ribbed_section(plate: RibbedPlate, sheet: Calculation) -> tuple[float, float]:
    """Height of the centroid (in) and moment of inertia (in4)."""
    size = {"b": plate.width, "t": plate.thickness, "n": float(plate.ribs), "w": plate.rib, "d": plate.depth}
    middle = sheet(y_bar, **size)
    return float(middle), float(sheet(I_ribbed, y_bar=middle, **size))


def ribbed_seam(plate: RibbedPlate, sheet: Calculation) -> float:
    """Share of the force at the tip that passes all seams over the overhang."""
    middle, inertia = ribbed_section(plate, sheet)
    n, w, d, t = float(plate.ribs), plate.rib, plate.depth, plate.thickness
    return float(sheet(seam_share, n=n, w=w, d=d, t=t, y_bar=middle, I=inertia, arm=plate.arm))


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
