"""Members: clauses of chapter 3 and of 15.4 - stresses, beam stability, combined stress, bearing."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from detailgen.core.clause import Cite, Number, require
from detailgen.core.table import read_table
from detailgen.standards.nds_2018 import adjustment, columns
from detailgen.standards.nds_2018.reference import TABLES


def f_t(T: Number, A_n: Number) -> Number:
    """Tension stress on the net section.

    T: tension, lb
    A_n: section left by holes and damage, in2
    Returns: psi
    Source: NDS 2018, 3.8.1
    """
    return T / A_n


def f_c(P: Number, A: Number) -> Number:
    """Compression stress; on the whole section against buckling.

    P: compression, lb
    A: section left by damage, holes counted as filled, in2
    Returns: psi
    Source: NDS 2018, 3.6.3
    """
    return P / A


def f_c_net(P: Number, A_n: Number) -> Number:
    """Compression stress on the net section.

    P: compression, lb
    A_n: section left by holes and damage, in2
    Returns: psi
    Source: NDS 2018, 3.6.3
    """
    return P / A_n


def f_b(M: Number, S: Number) -> Number:
    """Bending stress.

    M: moment without its sign, in-lb
    S: section modulus left by holes and damage, in3
    Returns: psi
    Source: NDS 2018, 3.3.2, equation 3.3-1
    """
    return M / S


def f_v(V: Number, A: Number) -> Number:
    """Shear stress of a rectangular section.

    V: shear without its sign, lb
    A: section left by damage, in2
    Returns: psi
    Source: NDS 2018, 3.4.2, equation 3.4-2
    """
    return 3 * V / (2 * A)


def l_e_bending(k_u: Number, l_u: Number, k_d: Number, d: Number) -> Number:
    """Effective length of a bending member whose compression edge is held at intervals.

    k_u: factor of the unbraced length, by load and l_u/d, -
    l_u: unbraced length of the compression edge, in
    k_d: factor of the depth, by load and l_u/d, -
    d: depth, in
    Returns: in
    Source: NDS 2018, 3.3.3.5, table 3.3.3
    """
    return k_u * l_u + k_d * d


def R_B(l_e: Number, d: Number, b: Number) -> Number:
    """Slenderness of a bending member.

    l_e: effective length, in
    d: depth, in
    b: breadth, in
    Returns: -
    Source: NDS 2018, 3.3.3.6, equation 3.3-5
    """
    require((np.asarray(l_e) > 0) & (np.asarray(d) > 0) & (np.asarray(b) > 0), "length, depth and breadth must be above zero", "NDS 2018 3.3.3.6")
    return np.sqrt(l_e * d / b**2)


def F_bE(E_min_prime: Number, R_B: Number) -> Number:
    """Critical lateral buckling stress of a bending member.

    E_min_prime: adjusted modulus for stability about the weak axis, psi
    R_B: slenderness in bending, -
    Returns: psi
    Source: NDS 2018, 3.3.3.8
    """
    return 1.20 * E_min_prime / R_B**2


def C_L(F_bE: Number, F_b_0: Number) -> Number:
    """Beam stability factor.

    F_bE: critical lateral buckling stress, psi
    F_b_0: bending value with every factor but those of stability and volume, psi
    r: ratio of the two, -
    a: first term, -
    Returns: -
    Source: NDS 2018, 3.3.3.8, equation 3.3-6
    """
    r = F_bE / F_b_0
    a = (1 + r) / 1.9
    return a - np.sqrt(a**2 - r / 0.95)


def F_b_star(F_b_0: Number, C_V: Number) -> Number:
    """Bending value without the stability factor, for the tension face.

    F_b_0: bending value with every factor but those of stability and volume, psi
    C_V: volume factor, 1.0 for sawn wood, -
    Returns: psi
    Source: NDS 2018, 3.9.1
    """
    return F_b_0 * C_V


def F_b_2star(F_b_0: Number, C_L: Number) -> Number:
    """Bending value without the volume factor, for the compression face.

    F_b_0: bending value with every factor but those of stability and volume, psi
    C_L: beam stability factor, -
    Returns: psi
    Source: NDS 2018, 3.9.1
    """
    return F_b_0 * C_L


def F_b1_prime(F_b_0: Number, C_L: Number, C_V: Number) -> Number:
    """Adjusted bending value about the strong axis: stability or volume, whichever takes more.

    F_b_0: bending value with every factor but those of stability and volume, psi
    C_L: beam stability factor, -
    C_V: volume factor, 1.0 for sawn wood, -
    Returns: psi
    Source: NDS 2018, 3.3.3.8 and 5.3.6
    """
    return F_b_0 * np.minimum(C_L, C_V)


def F_b2_prime(F_b: Number, C_D: Number, C_M: Number, C_t: Number, C_F: Number) -> Number:
    """Adjusted bending value about the weak axis, which cannot buckle sideways; the increase for flat use is not taken.

    F_b: reference bending value about the weak axis, psi
    C_D: load duration factor, -
    C_M: wet service factor, -
    C_t: temperature factor, -
    C_F: size factor, 1.0 for glulam, -
    Returns: psi
    Source: NDS 2018, 3.3.3.1 and 3.9.2
    """
    return F_b * C_D * C_M * C_t * C_F


def tension_face(f_t: Number, F_t_prime: Number, f_b: Number, F_b_star: Number) -> Number:
    """Tension and bending, on the face where both stretch.

    f_t: tension stress, psi
    F_t_prime: adjusted tension value, psi
    f_b: bending stress, psi
    F_b_star: bending value without the stability factor, psi
    Returns: -
    Source: NDS 2018, 3.9.1, equation 3.9-1
    """
    return f_t / F_t_prime + f_b / F_b_star


def compression_face(f_b: Number, f_t: Number, F_b_2star: Number) -> Number:
    """Tension and bending, on the face that bending presses; zero where tension outweighs it.

    f_b: bending stress, psi
    f_t: tension stress, psi
    F_b_2star: bending value without the volume factor, psi
    Returns: -
    Source: NDS 2018, 3.9.1, equation 3.9-2
    """
    return np.maximum(f_b - f_t, 0) / F_b_2star


def weak_axis(f_c: Number, F_cE2: Number, f_b1: Number, F_bE: Number, e_1: Number, d_1: Number) -> Number:
    """Buckling about the weak axis together with bending about the strong one; with e_1 = 0 equation 3.9-4.

    f_c: compression stress, psi
    F_cE2: critical buckling stress over the breadth, psi
    f_b1: bending stress about the strong axis, psi
    F_bE: critical lateral buckling stress, psi
    e_1: eccentricity of the load in the direction of the depth, in
    d_1: depth, in
    Returns: -
    Source: NDS 2018, 15.4.1, equation 15.4-2, and 3.9.2, equation 3.9-4
    """
    return f_c / F_cE2 + ((f_b1 + f_c * (6 * e_1 / d_1)) / F_bE) ** 2


def compression_and_bending(
    f_c: Number,
    F_c_prime: Number,
    F_cE1: Number,
    f_b1: Number,
    F_b1_prime: Number,
    e_1: Number,
    d_1: Number,
    F_cE2: Number,
    f_b2: Number,
    F_b2_prime: Number,
    e_2: Number,
    d_2: Number,
    F_bE: Number,
) -> Number:
    """Eccentric compression with bending about both axes; with e_1 = e_2 = 0 it is equation 3.9-3.

    The formula holds while the compression stays below both buckling stresses (3.9.2). Where less than one hundredth of the elastic
    buckling load is left, B_1 and B_2 stop at that hundredth and the sum is at least (1 - B)/0.99: there the answer is above 1.0 and
    keeps growing with the load instead of turning negative (ours, on the safe side).

    f_c: compression stress, psi
    F_c_prime: adjusted compression value, psi
    F_cE1: critical buckling stress over the depth, psi
    f_b1: bending stress about the strong axis, psi
    F_b1_prime: adjusted bending value about the strong axis, psi
    e_1: eccentricity of the load in the direction of the depth, in
    d_1: depth, in
    F_cE2: critical buckling stress over the breadth, psi
    f_b2: bending stress about the weak axis, psi
    F_b2_prime: adjusted bending value about the weak axis, psi
    e_2: eccentricity of the load in the direction of the breadth, in
    d_2: breadth, in
    F_bE: critical lateral buckling stress, psi
    m_1: bending stress about the strong axis with that of the eccentricity, psi
    B_1: what is left before buckling over the depth, -
    B_2: what is left before buckling over the breadth, -
    B_least: the smaller of the two, -
    term_c: share of compression, -
    term_1: share of bending about the strong axis, -
    term_2: share of bending about the weak axis, -
    Returns: -
    Source: NDS 2018, 15.4.1, equation 15.4-1, and 3.9.2, equation 3.9-3
    """
    m_1 = f_b1 + f_c * (6 * e_1 / d_1)
    B_1 = 1 - f_c / F_cE1
    B_2 = 1 - f_c / F_cE2 - (m_1 / F_bE) ** 2
    B_least = np.minimum(B_1, B_2)
    term_c = (f_c / F_c_prime) ** 2
    term_1 = (f_b1 + f_c * (6 * e_1 / d_1) * (1 + 0.234 * f_c / F_cE1)) / (F_b1_prime * np.maximum(B_1, 0.01))
    term_2 = (f_b2 + f_c * (6 * e_2 / d_2) * (1 + 0.234 * f_c / F_cE2 + 0.234 * (m_1 / F_bE) ** 2)) / (F_b2_prime * np.maximum(B_2, 0.01))
    return np.maximum(term_c + term_1 + term_2, np.where(B_least < 0.01, (1 - B_least) / 0.99, 0))


def bearing_limit(F_c_star: Number) -> Number:
    """End grain bearing stress above which a steel plate, or something as stiff, must spread the load.

    F_c_star: compression value with every factor but that of stability, psi
    Returns: psi
    Source: NDS 2018, 3.10.1.3
    """
    return 0.75 * F_c_star


def f_c_perp(P: Number, A: Number) -> Number:
    """Compression stress across the grain.

    P: force across the grain, lb
    A: bearing area, in2
    Returns: psi
    Source: NDS 2018, 3.10.2
    """
    return P / A


def C_b(l_b: Number, end: Number) -> Number:
    """Bearing area factor across the grain.

    l_b: length of the bearing along the grain, in
    end: distance of the bearing from the member's end, in
    Returns: -
    Source: NDS 2018, 3.10.4, equation 3.10-2
    """
    require(np.asarray(l_b) > 0, "bearing length must be above zero", "NDS 2018 3.10.4")
    return np.where(l_b < 6, np.where(end >= 3, (l_b + 0.375) / l_b, 1), 1)


def F_theta_prime(F_c_star: Number, F_c_perp_prime: Number, theta: Number) -> Number:
    """Bearing value at an angle to the grain.

    F_c_star: value along the grain, psi
    F_c_perp_prime: value across the grain, psi
    theta: angle between load and grain, rad
    Returns: psi
    Source: NDS 2018, 3.10.3, equation 3.10-1
    """
    return F_c_star * F_c_perp_prime / (F_c_star * np.sin(theta) ** 2 + F_c_perp_prime * np.cos(theta) ** 2)


def bending_length_factors(load: str, l_u: float, d: float) -> tuple[float, float, Cite]:
    """k_u and k_d of table 3.3.3 for a load ("any", "uniform", "at midspan", "at midspan, braced there"). Raises NotCovered for another."""
    table = read_table(TABLES, "beam_effective_length")
    ratio = l_u / d
    rows = [r for r in table if r["load"] == load and ratio >= float(r["ratio_from"])]
    row = rows[-1] if rows else table.find(load=load)
    return float(row["k_u"]), float(row["k_d"]), table.cite(row)


@dataclass(frozen=True)
class EndBearing:
    f_c: float
    F_c_star: float
    limit: float
    plate_needed: bool
    ratio: float


def end_grain_bearing(P: float, b: float, h: float, F_c: float, C_D: float) -> EndBearing:
    """Bearing of a force P (lb) on the end grain of b by h (in)."""
    stress, star = float(f_c(P, b * h)), float(adjustment.F_c_star(F_c, C_D, 1.0, 1.0, 1.0))
    limit = float(bearing_limit(star))
    return EndBearing(stress, star, limit, stress > limit, stress / star)


@dataclass(frozen=True)
class BeamSlenderness:
    l_e: float
    R_B: float


def beam_slenderness(k_u: float, l_u: float, d: float, b: float) -> BeamSlenderness:
    """Effective length (in) and slenderness of a bending member whose table gives a multiple of the unbraced length only."""
    length = float(l_e_bending(k_u, l_u, 0.0, d))
    return BeamSlenderness(length, float(R_B(length, d, b)))


@dataclass(frozen=True)
class BeamColumn:
    f_c: float
    C_P: float
    F_c_prime: float
    f_b1: float
    ratio: float


def beam_column(
    P: float, A: float, F_c: float, C_D: float, C_F: float, E_min_prime: float, c: float, l_e1: float, d_1: float, d_2: float, M_1: float, e_1: float,
    S_1: float, F_b1_prime_value: float,
) -> BeamColumn:  # fmt: skip
    """A dry column held over its breadth: compression P (lb) at e_1 (in) over the depth with a moment M_1 (in-lb)."""
    stress, bending = float(f_c(P, A)), float(f_b(M_1, S_1))
    buckling = float(columns.F_cE(E_min_prime, l_e1, d_1))
    star = float(adjustment.F_c_star(F_c, C_D, 1.0, 1.0, C_F))
    stability = float(columns.C_P(buckling, star, c))
    value = float(columns.F_c_prime(star, stability))
    held = np.inf
    ratio = compression_and_bending(stress, value, buckling, bending, F_b1_prime_value, e_1, d_1, held, 0.0, F_b1_prime_value, 0.0, d_2, held)
    return BeamColumn(stress, stability, value, bending, float(ratio))


@dataclass(frozen=True)
class TensionAndBending:
    f_t: float
    f_b: float
    C_V: float
    C_L: float
    tension_face: float
    compression_face: float


def tension_and_bending_glulam(
    T: float, M: float, b: float, d: float, L: float, x: float, l_e: float, F_t: float, F_b: float, E_y_min: float, C_D: float
) -> TensionAndBending:
    """A glulam of b by d (in) in tension T (lb) and bending M (in-lb), dry; L (ft) between zero moments, l_e (in) against lateral buckling."""
    base = adjustment.F_b_0(F_b, C_D, 1.0, 1.0, 1.0)
    volume = adjustment.C_V(L, d, b, x)
    stability = C_L(F_bE(E_y_min, R_B(l_e, d, b)), base)
    stretched, bent = f_t(T, b * d), f_b(M, b * d**2 / 6)
    first = tension_face(stretched, adjustment.F_t_prime(F_t, C_D, 1.0, 1.0, 1.0), bent, F_b_star(base, volume))
    second = compression_face(bent, stretched, F_b_2star(base, stability))
    return TensionAndBending(float(stretched), float(bent), float(volume), float(stability), float(first), float(second))


@dataclass(frozen=True)
class MidspanLoad:
    S: float
    I: float
    f_b: float
    f_v: float
    deflection: float


def midspan_load(P: float, P_live: float, L: float, b: float, d: float, E: float) -> MidspanLoad:
    """A beam b by d (in) on two supports L (in) apart with P (lb) at midspan; deflection (in) under P_live."""
    S, I = b * d**2 / 6, b * d**3 / 12
    return MidspanLoad(S, I, float(f_b(P * L / 4, S)), float(f_v(P / 2, b * d)), P_live * L**3 / (48 * E * I))
