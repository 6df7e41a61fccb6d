"""Fillet welds (J2) and the steel beside them (J4.2)."""

from __future__ import annotations

import numpy as np

from detailgen.core.clause import Calculation, Number, require
from detailgen.core.table import read_table
from detailgen.core.tolerance import rounded_length
from detailgen.standards.aisc360_16.strength import DOCUMENT, KSI, TABLES, Omega, R_allowable
from detailgen.standards.anchorage import FilletWeld


def A_we(w: Number, l: Number) -> Number:
    """Effective area of a fillet weld of equal legs: throat times length.

    w: leg, in
    l: length, in
    Returns: in2
    Source: AISC 360-16, J2.2a
    """
    return w / 2**0.5 * l


def F_nw(F_EXX: Number, theta: Number) -> Number:
    """Nominal stress of weld metal on the throat of a fillet.

    F_EXX: strength of the electrode, psi
    theta: between the force and the weld's axis, rad
    Returns: psi
    Source: AISC 360-16, J2.4(b), equation J2-5
    """
    return 0.60 * F_EXX * (1 + 0.50 * np.abs(np.sin(theta)) ** 1.5)


def R_n_weld(F_nw: Number, A_we: Number) -> Number:
    """Nominal strength of a weld.

    F_nw: nominal stress of the weld metal, psi
    A_we: effective area, in2
    Returns: lb
    Source: AISC 360-16, J2.4(a), equation J2-3
    """
    return F_nw * A_we


def R_n_weld_group(F_l: Number, A_l: Number, F_t: Number, A_t: Number) -> Number:
    """Nominal strength of welds along and across the force together.

    F_l: nominal stress along the force, psi
    A_l: effective area of welds along the force, in2
    F_t: nominal stress along the force, without the increase for the angle, psi
    A_t: effective area of welds across the force, in2
    Returns: lb
    Source: AISC 360-16, J2.4(b)(2), equations J2-10a and J2-10b
    """
    return np.maximum(F_l * A_l + F_t * A_t, 0.85 * F_l * A_l + 1.5 * F_t * A_t)


def beta_weld(l: Number, w: Number) -> Number:
    """Reduction of long end-loaded fillet welds.

    l: length, in
    w: leg, in
    Returns: -
    Source: AISC 360-16, J2.2b(d), equation J2-1
    """
    return np.where(l <= 100 * w, 1.0, np.where(l <= 300 * w, np.minimum(1.2 - 0.002 * l / w, 1.0), 180 * w / l))


def l_effective(beta: Number, l: Number) -> Number:
    """Effective length of a fillet weld.

    beta: reduction of long welds, -
    l: length, in
    Returns: in
    Source: AISC 360-16, J2.2b(d)
    """
    return beta * l


def R_n_shear_yield(F_y: Number, A_gv: Number) -> Number:
    """Nominal strength of the steel beside a weld, yielding in shear.

    F_y: yield stress, psi
    A_gv: gross area in shear, in2
    Returns: lb
    Source: AISC 360-16, J4.2(a), equation J4-3
    """
    return 0.60 * F_y * A_gv


def R_n_shear_rupture(F_u: Number, A_nv: Number) -> Number:
    """Nominal strength of the steel beside a weld, rupture in shear.

    F_u: tensile strength, psi
    A_nv: net area in shear, in2
    Returns: lb
    Source: AISC 360-16, J4.2(b), equation J4-4
    """
    return 0.60 * F_u * A_nv


def greatest_leg(t: Number) -> Number:
    """Greatest leg of a fillet along the edge of a plate.

    t: thickness of the plate whose edge is welded, in
    Returns: in
    Source: AISC 360-16, J2.2b(b)
    """
    return np.where(t < 0.25, t, t - 1 / 16)


def least_leg(t: float) -> float:
    """Least leg (in) of a fillet by the thinner part joined (in), table J2.4."""
    return next(float(r["least"]) for r in read_table(TABLES, "fillet_least") if rounded_length(t) <= float(r["thickness_to"]))


def fillet_allowable(weld: FilletWeld, sheet: Calculation | None = None) -> float:
    """Allowable force (lb): the least of weld metal and the steel beside it.

    Raises: OutOfRange for a leg under table J2.4, over J2.2b at an edge, or a length under four legs
    """
    sheet = sheet or Calculation()
    leg, length = weld.leg, weld.length
    least, most = least_leg(weld.thinner), float(greatest_leg(weld.edge))
    what = f"fillet of {leg:g} in."
    require(rounded_length(leg) >= rounded_length(least), f"{what} on {weld.thinner:g} in., at least {least:g} in.", f"{DOCUMENT} table J2.4")
    require(rounded_length(leg) <= rounded_length(most), f"{what} along an edge, at most {most:g} in.", f"{DOCUMENT} J2.2b(b)")
    require(length >= 4 * leg, f"fillet {length:g} in. long, at least four legs ({4 * leg:g} in.)", f"{DOCUMENT} J2.2b(c)")
    table = read_table(TABLES, "electrodes")
    row = table.find(electrode=weld.electrode)
    F_EXX = sheet.given("F_EXX", float(row["F_EXX"]) * KSI, "psi", table.cite(row))
    effective = sheet(l_effective, beta=sheet(beta_weld, l=length, w=leg), l=length)
    metal = sheet(R_n_weld, F_nw=sheet(F_nw, F_EXX=F_EXX, theta=weld.angle), A_we=sheet(A_we, w=leg, l=effective))
    beside = length * weld.thinner
    strengths = (
        sheet(R_allowable, R_n=metal, Omega=Omega("weld", sheet)),
        sheet(R_allowable, R_n=sheet(R_n_shear_yield, F_y=weld.F_y, A_gv=beside), Omega=Omega("shear yield", sheet)),
        sheet(R_allowable, R_n=sheet(R_n_shear_rupture, F_u=weld.F_u, A_nv=beside), Omega=Omega("shear rupture", sheet)),
    )
    return float(min(strengths))
