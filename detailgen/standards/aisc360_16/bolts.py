"""Bolts in steel: shear and slip (J3.6, J3.8), and the forces of a bracket whose bolts carry an eccentric pull (elastic group)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from detailgen.core.clause import Number
from detailgen.core.errors import NotCovered
from detailgen.standards.aisc360_16.strength import DOCUMENT, Strengths, strengths


def R_n_shear(F_nv: Number, A_b: Number) -> Number:
    """Nominal strength of one bolt in shear, one plane.

    F_nv: nominal shear stress, psi
    A_b: area of the shank, in2
    Returns: lb
    Source: AISC 360-16, J3.6, equation J3-1
    """
    return F_nv * A_b


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
    Source: mechanics, elastic bolt group
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


@dataclass(frozen=True)
class BracketForces:
    """Shear of each bolt and largest tension of a bolt (lb), moment on the group (in-lb)."""

    shear: float
    tension: float
    moment: float


def bracket_forces(P: float, e: float, lines: Sequence[float], per_line: float) -> BracketForces:
    """A bracket pulled with P (lb) at e (in) from its face; ``lines`` are the places of the bolt lines along the pull (in).

    Raises: NotCovered for bolts that all stand in one line, which hold no moment
    """
    place = np.asarray(lines, dtype=float)
    from_middle = place - place.mean() if place.size else place
    squares = per_line * float(np.sum(from_middle**2))
    if squares <= 0:
        raise NotCovered("a bracket whose bolts stand in one line holds no moment", f"{DOCUMENT} J3")
    largest = float(np.abs(from_middle).max())
    return BracketForces(P / (per_line * place.size), float(T_bracket(P, e, largest, squares)), P * e)
