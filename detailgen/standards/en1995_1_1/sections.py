"""Sections of rectangles, with what holes and damage leave of them, and strengths with their size factor."""

from __future__ import annotations

import numpy as np

from detailgen.core.clause import Number
from detailgen.core.table import read_table
from detailgen.standards.en1995_1_1.design import TABLES


def one_section() -> float:
    """Holes nearer along the grain than so many diameters count in one section (5.2)."""
    return float(read_table(TABLES, "factors").find(symbol="one_section")["value"])


def A(b: Number, h: Number, condition: Number) -> Number:
    """Area that damage leaves, holes counted as filled.

    b: thickness, mm
    h: depth, mm
    condition: what damage leaves by the survey, 0 to 1, -
    Returns: mm2
    Source: EN 1995-1-1:2004+A1, 5.2 (condition factor: survey)
    """
    return np.maximum(b * h * condition, 1e-6)


def A_left(A_net: Number, condition: Number) -> Number:
    """Area that holes and damage leave.

    A_net: area with holes taken off, mm2
    condition: what damage leaves by the survey, 0 to 1, -
    Returns: mm2
    Source: EN 1995-1-1:2004+A1, 5.2 (condition factor: survey)
    """
    return np.maximum(A_net * condition, 1e-6)


def W_left(W_net: Number, condition: Number) -> Number:
    """Section modulus that holes and damage leave.

    W_net: section modulus with holes taken off, mm3
    condition: what damage leaves by the survey, 0 to 1, -
    Returns: mm3
    Source: EN 1995-1-1:2004+A1, 5.2 (condition factor: survey)
    """
    return np.maximum(W_net * condition, 1e-6)


def W_z(b: Number, h: Number, condition: Number) -> Number:
    """Section modulus about the weak axis that damage leaves.

    b: thickness, mm
    h: depth, mm
    condition: what damage leaves by the survey, 0 to 1, -
    Returns: mm3
    Source: EN 1995-1-1:2004+A1, 6.1.6 (condition factor: survey)
    """
    return np.maximum(h * b**2 / 6 * condition, 1e-6)


def M_bow(N_d: Number, e: Number) -> Number:
    """Moment about the weak axis by a measured bow.

    N_d: compressive force, N
    e: bow, mm
    Returns: Nmm
    Source: EN 1995-1-1:2004+A1, 6.3.2 with the bow as an eccentricity of its own (ours, safe side)
    """
    return N_d * e


def X_k_size(k_h: Number, X_k: Number) -> Number:
    """Characteristic strength with its size factor.

    k_h: factor of the size effect, -
    X_k: characteristic strength, MPa
    Returns: MPa
    Source: EN 1995-1-1:2004+A1, 3.2(3) and 3.3(3)
    """
    return k_h * X_k
