"""Bolts in steel: shear and slip (J3.6, J3.8), and the forces of a bracket whose bolts carry an eccentric pull (elastic group)."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from detailgen.core.clause import Calculation, Number, require
from detailgen.core.errors import NotCovered
from detailgen.core.table import read_table
from detailgen.standards.aisc360_16.strength import DOCUMENT, KSI, TABLES, Omega, R_allowable, Strengths, strengths


def R_n_shear(F_nv: Number, A_b: Number) -> Number:
    """Nominal strength of one bolt in shear, one plane.

    F_nv: nominal shear stress, psi
    A_b: area of the shank, in2
    Returns: lb
    Source: AISC 360-16, J3.6, equation J3-1
    """
    return F_nv * A_b


def R_n_tension(F_nt: Number, A_b: Number) -> Number:
    """Nominal strength of one bolt in tension.

    F_nt: nominal tensile stress, psi
    A_b: area of the shank, in2
    Returns: lb
    Source: AISC 360-16, J3.6, equation J3-1
    """
    return F_nt * A_b


def F_nt_prime(F_nt: Number, F_nv: Number, Omega: Number, f_rv: Number) -> Number:
    """Nominal tensile stress of a bolt that is sheared too.

    F_nt: nominal tensile stress, psi
    F_nv: nominal shear stress, psi
    Omega: safety factor, -
    f_rv: shear stress under service loads, psi
    Returns: psi
    Source: AISC 360-16, J3.7, equation J3-3b
    """
    require(f_rv <= F_nv / Omega, "the bolt's shear is over its allowable value by itself", "AISC 360-16 J3.7")
    return np.minimum(1.3 * F_nt - Omega * F_nt / F_nv * f_rv, F_nt)


def R_n_slip(mu: Number, D_u: Number, h_f: Number, T_b: Number, n_s: Number) -> Number:
    """Nominal strength of one bolt against slip.

    mu: slip coefficient of the faces, -
    D_u: mean over least pretension, -
    h_f: factor for fillers, -
    T_b: least pretension, lb
    n_s: slip planes, -
    Returns: lb
    Source: AISC 360-16, J3.8, equation J3-4
    """
    return mu * D_u * h_f * T_b * n_s


def R_n_group(n: Number, R_n: Number) -> Number:
    """Nominal strength of a group, each bolt loaded alike.

    n: number of bolts, -
    R_n: nominal strength of one, lb
    Returns: lb
    Source: AISC 360-16, J3.6
    """
    return n * R_n


def T_bracket(P: Number, e: Number, x: Number, sum_x2: Number) -> Number:
    """Tension of one bolt of a bracket by the moment of its pull, the bracket turning as a rigid body about the middle of its bolts.

    P: pull, parallel to the face, lb
    e: from the face to the line of the pull, in
    x: from the middle of the bolts to this bolt, in the direction of the pull, in
    sum_x2: sum of the squares of that distance over all bolts, in2
    Returns: lb
    Source: AISC 360-16, J3.6 (mechanics: elastic bolt group)
    """
    return P * e * x / sum_x2


@dataclass(frozen=True)
class ShearGroup:
    """Nominal strength of one bolt in shear and against slip (lb), and the group's strengths in shear."""

    one: float
    slip: float
    group: Strengths


def shear_group(*, n: float, A_b: float, F_nv: float, mu: float, T_b: float, D_u: float) -> ShearGroup:
    """Bolts in one shear plane, standard holes, no fillers."""
    one = R_n_shear(F_nv, A_b)
    return ShearGroup(float(one), float(R_n_slip(mu, D_u, 1.0, T_b, 1.0)), strengths(R_n_group(n, one), "bolt shear"))


def bolt_shear_allowable(bolt: str, diameter: float, sheet: Calculation | None = None) -> float:
    """Allowable shear (lb) of a bolt by its kind in the table and diameter (in), one plane. Raises NotCovered for another kind of bolt."""
    sheet = sheet or Calculation()
    table = read_table(TABLES, "bolt_stress")
    row = table.find(bolt=bolt)
    F_nv = sheet.given("F_nv", float(row["F_nv"]) * KSI, "psi", table.cite(row))
    return float(sheet(R_allowable, R_n=sheet(R_n_shear, F_nv=F_nv, A_b=math.pi * diameter**2 / 4), Omega=Omega("bolt shear", sheet)))


def bolt_tension_allowable(bolt: str, diameter: float, shear: Number, sheet: Calculation | None = None) -> Number:
    """Allowable tension (lb) of a bolt by its kind in the table and diameter (in), under a shear (lb) that acts with it; safe for arrays.

    Raises: NotCovered for another kind of bolt, OutOfRange for a shear that is too much by itself
    """
    sheet = sheet or Calculation()
    table = read_table(TABLES, "bolt_stress")
    row = table.find(bolt=bolt)
    F_nt, F_nv = (float(sheet.given(name, float(row[name]) * KSI, "psi", table.cite(row))) for name in ("F_nt", "F_nv"))
    area = math.pi * diameter**2 / 4
    stress = sheet(F_nt_prime, F_nt=F_nt, F_nv=F_nv, Omega=Omega("bolt shear", sheet), f_rv=shear / area)
    value: Number = sheet(R_allowable, R_n=sheet(R_n_tension, F_nt=stress, A_b=area), Omega=Omega("bolt tension", sheet))
    return value


@dataclass(frozen=True)
class BracketForces:
    """Shear of each bolt and largest tension of a bolt (lb), moment on the group (in-lb)."""

    shear: Number
    tension: Number
    moment: Number


def bracket_forces(P: Number, e: float, lines: Sequence[float], per_line: float, sheet: Calculation | None = None) -> BracketForces:
    """A bracket pulled with P (lb) at e (in) from its face; ``lines`` are the places of the bolt lines along the pull (in).

    Raises: NotCovered for bolts that all stand in one line, which hold no moment
    """
    place = np.asarray(lines, dtype=float)
    from_middle = place - place.mean() if place.size else place
    squares = per_line * float(np.sum(from_middle**2))
    if squares <= 0:
        raise NotCovered("a bracket whose bolts stand in one line holds no moment", f"{DOCUMENT} J3")
    largest = float(np.abs(from_middle).max())
    tension = (sheet or Calculation())(T_bracket, P=P, e=e, x=largest, sum_x2=squares)
    return BracketForces(P / (per_line * place.size), tension, P * e)
