"""Annex B: two parts bent together that slip on each other (the gamma method, for a beam of two parts side by side over the depth)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from detailgen.core.clause import Number


def gamma_1(E_1: Number, A_1: Number, s: Number, K: Number, l: Number) -> Number:
    """How much of full composite action the joint gives: 0 none, 1 full.

    E_1: modulus of the part that slips, MPa
    A_1: its area, mm2
    s: spacing of the fasteners, mm
    K: slip modulus of one fastener, N/mm
    l: span, mm
    Returns: -
    Source: EN 1995-1-1:2004+A1, B.2, equation B.5
    """
    return 1 / (1 + np.pi**2 * E_1 * A_1 * s / (K * l**2))


def a_2(gamma_1: Number, E_1: Number, A_1: Number, h_1: Number, h_2: Number, E_2: Number, A_2: Number) -> Number:
    """From the middle of the second part to the neutral axis.

    gamma_1: composite action of the first part, -
    E_1: modulus of the first part, MPa
    A_1: area of the first part, mm2
    h_1: depth of the first part, mm
    h_2: depth of the second part, mm
    E_2: modulus of the second part, MPa
    A_2: area of the second part, mm2
    Returns: mm
    Source: EN 1995-1-1:2004+A1, B.2, equation B.6 (two parts)
    """
    return gamma_1 * E_1 * A_1 * (h_1 + h_2) / (2 * (gamma_1 * E_1 * A_1 + E_2 * A_2))


def EI_ef(
    E_1: Number, I_1: Number, gamma_1: Number, A_1: Number, a_1: Number, E_2: Number, I_2: Number, A_2: Number, a_2: Number,
) -> Number:  # fmt: skip
    """Effective bending stiffness.

    E_1: modulus of the first part, MPa
    I_1: second moment of the first part by itself, mm4
    gamma_1: composite action of the first part, -
    A_1: area of the first part, mm2
    a_1: from its middle to the neutral axis, mm
    E_2: modulus of the second part, MPa
    I_2: second moment of the second part by itself, mm4
    A_2: area of the second part, mm2
    a_2: from its middle to the neutral axis, mm
    Returns: Nmm2
    Source: EN 1995-1-1:2004+A1, B.2, equation B.1 (gamma_2 = 1)
    """
    return E_1 * I_1 + gamma_1 * E_1 * A_1 * a_1**2 + E_2 * I_2 + E_2 * A_2 * a_2**2


@dataclass(frozen=True)
class TwoParts:
    """Composite action and effective stiffness (Nmm2) of two rectangles stacked over the depth."""

    gamma_1: float
    EI_ef: float


def two_parts(
    *, E_1: float, b_1: float, h_1: float, E_2: float, b_2: float, h_2: float, s: float, K: float, l: float,
) -> TwoParts:  # fmt: skip
    """Two rectangles b x h (mm), moduli in MPa, fasteners of slip modulus K (N/mm) every s (mm), span l (mm). With two parts the answer is the
    same whichever is called the first only where gamma_2 = 1 is given to the other, as Annex B does."""
    A_1, A_2 = b_1 * h_1, b_2 * h_2
    share = gamma_1(E_1, A_1, s, K, l)
    second = a_2(share, E_1, A_1, h_1, h_2, E_2, A_2)
    first = (h_1 + h_2) / 2 - second
    return TwoParts(float(share), float(EI_ef(E_1, b_1 * h_1**3 / 12, share, A_1, first, E_2, b_2 * h_2**3 / 12, A_2, second)))
