"""What holes and damage leave of a section. A section of which nothing is left counts as 1e-9: no force passes there, any force fails."""

from __future__ import annotations

import numpy as np

from detailgen.core.clause import Number


def A(b: Number, d: Number, condition: Number) -> Number:
    """Area left by damage, holes counted as filled.

    b: thickness, in
    d: depth, in
    condition: what damage leaves by the survey, 0 to 1, -
    Returns: in2
    Source: NDS 2018, 3.1.2 and 3.7.1 (condition factor: survey)
    """
    return np.maximum(b * d * condition, 1e-9)


def A_n(A_net: Number, condition: Number) -> Number:
    """Area left by holes and damage.

    A_net: area with holes taken off, in2
    condition: what damage leaves by the survey, 0 to 1, -
    Returns: in2
    Source: NDS 2018, 3.1.2.1 (condition factor: survey)
    """
    return np.maximum(A_net * condition, 1e-9)


def S(S_net: Number, condition: Number) -> Number:
    """Section modulus left by holes and damage.

    S_net: section modulus with holes taken off, in3
    condition: what damage leaves by the survey, 0 to 1, -
    Returns: in3
    Source: NDS 2018, 3.1.2.1 (condition factor: survey)
    """
    return np.maximum(S_net * condition, 1e-9)


def V_left(V_r: Number, condition: Number) -> Number:
    """Shear at a connection that damage leaves.

    V_r: shear that the sound piece carries, lb
    condition: what damage leaves by the survey, 0 to 1, -
    Returns: lb
    Source: NDS 2018, 3.4.3.3 (condition factor: survey)
    """
    return np.maximum(V_r * condition, 1e-9)
