"""Design of members (6.1 to 6.3): sections of constant depth. Stresses carry their sign away: each is given as a positive number."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from detailgen.core.clause import Number
from detailgen.core.table import read_table
from detailgen.standards.en1995_1_1.design import TABLES, X_d


def sigma_t_0_d(N_d: Number, A_net: Number) -> Number:
    """Tensile stress along the grain on the net section.

    N_d: tensile force, N
    A_net: area with holes and damage taken off, mm2
    Returns: MPa
    Source: EN 1995-1-1:2004+A1, 6.1.2 and 5.2
    """
    return N_d / A_net


def sigma_c_0_d(N_d: Number, A: Number) -> Number:
    """Compressive stress along the grain.

    N_d: compressive force, N
    A: area that carries, mm2
    Returns: MPa
    Source: EN 1995-1-1:2004+A1, 6.1.4, equation 6.2
    """
    return N_d / A


def sigma_m_d(M_d: Number, W: Number) -> Number:
    """Bending stress.

    M_d: bending moment, Nmm
    W: section modulus with holes and damage taken off, mm3
    Returns: MPa
    Source: EN 1995-1-1:2004+A1, 6.1.6
    """
    return M_d / W


def tau_d(V_d: Number, k_cr: Number, A: Number) -> Number:
    """Shear stress of a rectangle whose width is reduced for cracks.

    V_d: shear force, N
    k_cr: factor for cracks, -
    A: area, mm2
    Returns: MPa
    Source: EN 1995-1-1:2004+A1, 6.1.7, equations 6.13 and 6.13a
    """
    return 1.5 * V_d / (k_cr * A)


def f_c_alpha_d(f_c_0_d: Number, f_c_90_d: Number, k_c_90: Number, alpha: Number) -> Number:
    """Compressive strength at an angle to the grain.

    f_c_0_d: design strength along the grain, MPa
    f_c_90_d: design strength across the grain, MPa
    k_c_90: factor for the contact length, -
    alpha: angle between stress and grain, rad
    Returns: MPa
    Source: EN 1995-1-1:2004+A1, 6.2.2, equation 6.16
    """
    return f_c_0_d / (1 + (f_c_0_d / (k_c_90 * f_c_90_d) - 1) * np.sin(alpha) ** 2)


def tension_and_bending(
    sigma_t_0_d: Number, f_t_0_d: Number, sigma_m_y_d: Number, f_m_y_d: Number, k_y: Number, sigma_m_z_d: Number, f_m_z_d: Number, k_z: Number,
) -> Number:  # fmt: skip
    """Tension with bending about both axes.

    sigma_t_0_d: tensile stress, MPa
    f_t_0_d: tensile strength, MPa
    sigma_m_y_d: bending stress about the strong axis, MPa
    f_m_y_d: bending strength about the strong axis, MPa
    k_y: 1 or k_m for the strong axis, -
    sigma_m_z_d: bending stress about the weak axis, MPa
    f_m_z_d: bending strength about the weak axis, MPa
    k_z: k_m or 1 for the weak axis, -
    Returns: -
    Source: EN 1995-1-1:2004+A1, 6.2.3, equations 6.17 and 6.18
    """
    return sigma_t_0_d / f_t_0_d + k_y * sigma_m_y_d / f_m_y_d + k_z * sigma_m_z_d / f_m_z_d


def compression_and_bending_stocky(
    sigma_c_0_d: Number, f_c_0_d: Number, sigma_m_y_d: Number, f_m_y_d: Number, k_y: Number, sigma_m_z_d: Number, f_m_z_d: Number, k_z: Number,
) -> Number:  # fmt: skip
    """Compression with bending where neither axis is slender.

    sigma_c_0_d: compressive stress, MPa
    f_c_0_d: compressive strength, MPa
    sigma_m_y_d: bending stress about the strong axis, MPa
    f_m_y_d: bending strength about the strong axis, MPa
    k_y: 1 or k_m for the strong axis, -
    sigma_m_z_d: bending stress about the weak axis, MPa
    f_m_z_d: bending strength about the weak axis, MPa
    k_z: k_m or 1 for the weak axis, -
    Returns: -
    Source: EN 1995-1-1:2004+A1, 6.2.4, equations 6.19 and 6.20
    """
    return (sigma_c_0_d / f_c_0_d) ** 2 + k_y * sigma_m_y_d / f_m_y_d + k_z * sigma_m_z_d / f_m_z_d


def slenderness(l_ef: Number, h: Number) -> Number:
    """Slenderness ratio of a rectangle.

    l_ef: effective length, mm
    h: side of the section in the direction of buckling, mm
    i: radius of gyration, mm
    Returns: -
    Source: EN 1995-1-1:2004+A1, 6.3.2
    """
    i = h / 12**0.5
    return l_ef / i


def lambda_rel(slenderness: Number, f_c_0_k: Number, E_0_05: Number) -> Number:
    """Relative slenderness.

    slenderness: slenderness ratio, -
    f_c_0_k: characteristic compressive strength, MPa
    E_0_05: fifth percentile of the modulus of elasticity, MPa
    Returns: -
    Source: EN 1995-1-1:2004+A1, 6.3.2, equations 6.21 and 6.22
    """
    return slenderness / np.pi * (f_c_0_k / E_0_05) ** 0.5


def k_c(lambda_rel: Number, beta_c: Number) -> Number:
    """Factor of buckling.

    lambda_rel: relative slenderness, -
    beta_c: factor for the straightness of the product, -
    k: auxiliary value, -
    Returns: -
    Source: EN 1995-1-1:2004+A1, 6.3.2, equations 6.25 to 6.28
    """
    k = 0.5 * (1 + beta_c * (lambda_rel - 0.3) + lambda_rel**2)
    return np.where(lambda_rel <= 0.3, 1.0, 1 / (k + np.sqrt(np.maximum(k**2 - lambda_rel**2, 0.0))))


def compression_and_bending(
    sigma_c_0_d: Number, k_c: Number, f_c_0_d: Number, sigma_m_y_d: Number, f_m_y_d: Number, k_y: Number, sigma_m_z_d: Number, f_m_z_d: Number,
    k_z: Number,
) -> Number:  # fmt: skip
    """Compression with bending of a slender member, buckling about the axis of k_c.

    sigma_c_0_d: compressive stress, MPa
    k_c: factor of buckling about one axis, -
    f_c_0_d: compressive strength, MPa
    sigma_m_y_d: bending stress about the strong axis, MPa
    f_m_y_d: bending strength about the strong axis, MPa
    k_y: 1 or k_m for the strong axis, -
    sigma_m_z_d: bending stress about the weak axis, MPa
    f_m_z_d: bending strength about the weak axis, MPa
    k_z: k_m or 1 for the weak axis, -
    Returns: -
    Source: EN 1995-1-1:2004+A1, 6.3.2(3), equations 6.23 and 6.24
    """
    return sigma_c_0_d / (k_c * f_c_0_d) + k_y * sigma_m_y_d / f_m_y_d + k_z * sigma_m_z_d / f_m_z_d


def l_ef_bending(l: Number, h: Number) -> Number:
    """Effective length of the compression edge, constant moment, load at the compression edge.

    l: unbraced length of the compression edge, mm
    h: depth, mm
    Returns: mm
    Source: EN 1995-1-1:2004+A1, 6.3.3, table 6.1 (ratio 1.0, load at the compression edge)
    """
    return l + 2 * h


def sigma_m_crit(b: Number, h: Number, l_ef: Number, E_0_05: Number) -> Number:
    """Critical bending stress of a softwood rectangle.

    b: width, mm
    h: depth, mm
    l_ef: effective length of the compression edge, mm
    E_0_05: fifth percentile of the modulus of elasticity, MPa
    Returns: MPa
    Source: EN 1995-1-1:2004+A1, 6.3.3, equation 6.32
    """
    return 0.78 * b**2 / (h * l_ef) * E_0_05


def lambda_rel_m(f_m_k: Number, sigma_m_crit: Number) -> Number:
    """Relative slenderness in bending.

    f_m_k: characteristic bending strength, MPa
    sigma_m_crit: critical bending stress, MPa
    Returns: -
    Source: EN 1995-1-1:2004+A1, 6.3.3, equation 6.30
    """
    return (f_m_k / sigma_m_crit) ** 0.5


def k_crit(lambda_rel_m: Number) -> Number:
    """Factor of lateral buckling in bending.

    lambda_rel_m: relative slenderness in bending, -
    Returns: -
    Source: EN 1995-1-1:2004+A1, 6.3.3, equation 6.34
    """
    return np.where(lambda_rel_m <= 0.75, 1.0, np.where(lambda_rel_m <= 1.4, 1.56 - 0.75 * lambda_rel_m, 1 / lambda_rel_m**2))


def lateral_buckling(sigma_m_d: Number, k_crit: Number, f_m_d: Number, sigma_c_0_d: Number, k_c_z: Number, f_c_0_d: Number) -> Number:
    """Bending about the strong axis with compression, lateral buckling of the bent member.

    sigma_m_d: bending stress, MPa
    k_crit: factor of lateral buckling, -
    f_m_d: bending strength, MPa
    sigma_c_0_d: compressive stress, MPa
    k_c_z: factor of buckling about the weak axis, -
    f_c_0_d: compressive strength, MPa
    Returns: -
    Source: EN 1995-1-1:2004+A1, 6.3.3(6), equation 6.35
    """
    return (sigma_m_d / (k_crit * f_m_d)) ** 2 + sigma_c_0_d / (k_c_z * f_c_0_d)


def bending(sigma_m_d: Number, k_crit: Number, f_m_d: Number) -> Number:
    """Bending about the strong axis with lateral buckling.

    sigma_m_d: bending stress, MPa
    k_crit: factor of lateral buckling, -
    f_m_d: bending strength, MPa
    Returns: -
    Source: EN 1995-1-1:2004+A1, 6.3.3(3), equation 6.33
    """
    return sigma_m_d / (k_crit * f_m_d)


def k_m() -> float:
    """Redistribution in rectangular sections bent about both axes."""
    return float(read_table(TABLES, "factors").find(symbol="k_m")["value"])


@dataclass(frozen=True)
class Column:
    """A pinned rectangular column, buckling over its width b: MPa and N."""

    slenderness: float
    relative: float
    k_c: float
    f_c_0_d: float
    N_Rd: float


def column(*, l_ef: float, b: float, h: float, f_c_0_k: float, E_0_05: float, beta_c: float, k_mod: float, gamma_M: float) -> Column:
    """Resistance of a column of section b x h (mm) that buckles in the direction of b."""
    ratio = slenderness(l_ef, b)
    relative = lambda_rel(ratio, f_c_0_k, E_0_05)
    factor, strength = k_c(relative, beta_c), X_d(k_mod, f_c_0_k, gamma_M)
    return Column(float(ratio), float(relative), float(factor), float(strength), float(factor * strength * b * h))


@dataclass(frozen=True)
class Ratios:
    """A strength or a buckling factor, and the ratio that an interaction gives."""

    value: float
    ratio: float


def tension_bending_rectangle(*, N: float, M: float, b: float, h: float, f_t_0_k: float, f_m_k: float, k_mod: float, gamma_M: float) -> Ratios:
    """f_t_0_d and equation 6.17 of a rectangle b x h (mm) under N (N) and M (Nmm), no size factor counted."""
    strength, bent = X_d(k_mod, f_t_0_k, gamma_M), X_d(k_mod, f_m_k, gamma_M)
    stress, bending_stress = sigma_t_0_d(N, b * h), sigma_m_d(M, b * h**2 / 6)
    return Ratios(float(strength), float(tension_and_bending(stress, strength, bending_stress, bent, 1.0, 0.0, bent, k_m())))


def compression_bending_rectangle(
    *, N: float, M_y: float, M_z: float, l_ef: float, b: float, h: float, f_c_0_k: float, f_m_k: float, E_0_05: float, beta_c: float, k_mod: float,
    gamma_M: float, k_m: float, k_h_y: float = 1.0, k_h_z: float = 1.0,
) -> Ratios:  # fmt: skip
    """k_c about the weak axis and equation 6.24 of a rectangle b x h (mm, b across the weak axis) under N (N), M_y and M_z (Nmm)."""
    found = column(l_ef=l_ef, b=b, h=h, f_c_0_k=f_c_0_k, E_0_05=E_0_05, beta_c=beta_c, k_mod=k_mod, gamma_M=gamma_M)
    bent, stress = X_d(k_mod, f_m_k, gamma_M), sigma_c_0_d(N, b * h)
    y, z = sigma_m_d(M_y, b * h**2 / 6), sigma_m_d(M_z, h * b**2 / 6)
    return Ratios(found.k_c, float(compression_and_bending(stress, found.k_c, found.f_c_0_d, y, k_h_y * bent, k_m, z, k_h_z * bent, 1.0)))
