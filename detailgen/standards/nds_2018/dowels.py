"""Dowel bearing and the yield limit equations (12.3): what one bolt or lag screw carries across one or two shear planes.

F_em, l_m belong to the main member, F_es, l_s to the side member. Everything is safe for arrays over layouts or combinations.
Nominal D goes into bearing strength and the choice of R_d; the diameter of the yield equations is D_r (root of a lag screw, D of a bolt).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import reduce
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from detailgen.core.clause import Calculation, Number, require
from detailgen.core.table import read_table

TABLES = Path(__file__).parent / "tables"

SINGLE = ("I_m", "I_s", "II", "III_m", "III_s", "IV")
DOUBLE = ("I_m", "I_s", "III_s", "IV")


def lowest(*values: Number) -> Number:
    """The least of the values, entry by entry."""
    return reduce(np.minimum, values)


def F_e_parallel(G: Number) -> Number:
    """Dowel bearing strength parallel to grain, for D of 1/4 in. and more.

    G: specific gravity, -
    Returns: psi
    Source: NDS 2018, 12.3.3, table 12.3.3 note 2
    Raises: OutOfRange for a specific gravity that the table does not span
    """
    require((G >= 0.31) & (G <= 0.73), "dowel bearing: specific gravity from 0.31 to 0.73", "NDS 2018 table 12.3.3")
    return 11200 * G


def F_e_perpendicular(G: Number, D: Number) -> Number:
    """Dowel bearing strength perpendicular to grain, for D of 1/4 in. and more.

    G: specific gravity, -
    D: nominal diameter, in
    Returns: psi
    Source: NDS 2018, 12.3.3, table 12.3.3 note 2
    Raises: OutOfRange for a specific gravity or diameter that the table does not span
    """
    require((G >= 0.31) & (G <= 0.73), "dowel bearing: specific gravity from 0.31 to 0.73", "NDS 2018 table 12.3.3")
    require((D >= 0.25) & (D <= 1.0), "dowel bearing across grain: diameter from 1/4 to 1 in.", "NDS 2018 table 12.3.3")
    return 6100 * G**1.45 / np.sqrt(D)


def F_e_theta(F_e_parallel: Number, F_e_perpendicular: Number, theta: Number) -> Number:
    """Dowel bearing strength at an angle to grain.

    F_e_parallel: dowel bearing strength parallel to grain, psi
    F_e_perpendicular: dowel bearing strength perpendicular to grain, psi
    theta: angle between load and grain, rad
    Returns: psi
    Source: NDS 2018, 12.3.4, equation 12.3-11
    """
    return F_e_parallel * F_e_perpendicular / (F_e_parallel * np.sin(theta) ** 2 + F_e_perpendicular * np.cos(theta) ** 2)


def K_theta(theta: Number) -> Number:
    """Factor for the largest angle of load to grain among the members of a connection.

    theta: largest angle of load to grain, rad
    Returns: -
    Source: NDS 2018, 12.3.1, table 12.3.1B
    Raises: OutOfRange outside 0 to 90 degrees
    """
    require((theta >= 0) & (theta <= np.pi / 2 + 1e-9), "angle of load to grain from 0 to 90 degrees", "NDS 2018 table 12.3.1B")
    return 1 + 0.25 * theta / (np.pi / 2)


def K_D(D_r: Number) -> Number:
    """Reduction term of thin fasteners.

    D_r: diameter in the yield equations, in
    Returns: -
    Source: NDS 2018, 12.3.1, table 12.3.1B note 1
    """
    return np.where(D_r <= 0.17, 2.2, 10 * D_r + 0.5)


def R_d(c: Number, K_theta: Number) -> Number:
    """Reduction term of a yield mode.

    c: reduction term at zero angle, -
    K_theta: factor for the angle to grain, -
    Returns: -
    Source: NDS 2018, 12.3.1, table 12.3.1B
    """
    return c * K_theta


def R_d_thin(c: Number, K_theta: Number, K_D: Number, D: Number, D_r: Number) -> Number:
    """Reduction term of a yield mode where a diameter may be under 1/4 in.

    c: reduction term at zero angle, -
    K_theta: factor for the angle to grain, -
    K_D: reduction term of thin fasteners, -
    D: nominal diameter, in
    D_r: diameter in the yield equations, in
    Returns: -
    Source: NDS 2018, 12.3.1, table 12.3.1B note 1
    """
    return np.where(D < 0.25, K_D, np.where(D_r < 0.25, K_D * K_theta, c * K_theta))


def R_e(F_em: Number, F_es: Number) -> Number:
    """Ratio of the bearing strengths.

    F_em: dowel bearing strength of the main member, psi
    F_es: dowel bearing strength of the side member, psi
    Returns: -
    Source: NDS 2018, 12.3.1, table 12.3.1A
    """
    return F_em / F_es


def R_t(l_m: Number, l_s: Number) -> Number:
    """Ratio of the bearing lengths.

    l_m: bearing length in the main member, in
    l_s: bearing length in the side member, in
    Returns: -
    Source: NDS 2018, 12.3.1, table 12.3.1A
    """
    return l_m / l_s


def k_1(R_e: Number, R_t: Number) -> Number:
    """Term of mode II.

    R_e: ratio of the bearing strengths, -
    R_t: ratio of the bearing lengths, -
    Returns: -
    Source: NDS 2018, 12.3.1, table 12.3.1A
    """
    return (np.sqrt(R_e + 2 * R_e**2 * (1 + R_t + R_t**2) + R_t**2 * R_e**3) - R_e * (1 + R_t)) / (1 + R_e)


def k_2(R_e: Number, F_yb: Number, D: Number, F_em: Number, l_m: Number) -> Number:
    """Term of mode III_m.

    R_e: ratio of the bearing strengths, -
    F_yb: bending yield strength of the fastener, psi
    D: diameter in the yield equations, in
    F_em: dowel bearing strength of the main member, psi
    l_m: bearing length in the main member, in
    Returns: -
    Source: NDS 2018, 12.3.1, table 12.3.1A
    """
    return -1 + np.sqrt(2 * (1 + R_e) + 2 * F_yb * (1 + 2 * R_e) * D**2 / (3 * F_em * l_m**2))


def k_3(R_e: Number, F_yb: Number, D: Number, F_em: Number, l_s: Number) -> Number:
    """Term of mode III_s.

    R_e: ratio of the bearing strengths, -
    F_yb: bending yield strength of the fastener, psi
    D: diameter in the yield equations, in
    F_em: dowel bearing strength of the main member, psi
    l_s: bearing length in the side member, in
    Returns: -
    Source: NDS 2018, 12.3.1, table 12.3.1A
    """
    return -1 + np.sqrt(2 * (1 + R_e) / R_e + 2 * F_yb * (2 + R_e) * D**2 / (3 * F_em * l_s**2))


def Z_I_m(D: Number, l_m: Number, F_em: Number, R_d: Number) -> Number:
    """Mode I_m: the main member is crushed (single and double shear).

    D: diameter in the yield equations, in
    l_m: bearing length in the main member, in
    F_em: dowel bearing strength of the main member, psi
    R_d: reduction term, -
    Returns: lb
    Source: NDS 2018, 12.3.1, equations 12.3-1 and 12.3-7
    """
    return D * l_m * F_em / R_d


def Z_I_s(D: Number, l_s: Number, F_es: Number, R_d: Number) -> Number:
    """Mode I_s: the side member is crushed, one shear plane.

    D: diameter in the yield equations, in
    l_s: bearing length in the side member, in
    F_es: dowel bearing strength of the side member, psi
    R_d: reduction term, -
    Returns: lb
    Source: NDS 2018, 12.3.1, equation 12.3-2
    """
    return D * l_s * F_es / R_d


def Z_II(k_1: Number, D: Number, l_s: Number, F_es: Number, R_d: Number) -> Number:
    """Mode II: the rigid fastener turns in both members, one shear plane.

    k_1: term of mode II, -
    D: diameter in the yield equations, in
    l_s: bearing length in the side member, in
    F_es: dowel bearing strength of the side member, psi
    R_d: reduction term, -
    Returns: lb
    Source: NDS 2018, 12.3.1, equation 12.3-3
    """
    return k_1 * D * l_s * F_es / R_d


def Z_III_m(k_2: Number, D: Number, l_m: Number, F_em: Number, R_e: Number, R_d: Number) -> Number:
    """Mode III_m: the fastener yields at one point and the main member is crushed, one shear plane.

    k_2: term of mode III_m, -
    D: diameter in the yield equations, in
    l_m: bearing length in the main member, in
    F_em: dowel bearing strength of the main member, psi
    R_e: ratio of the bearing strengths, -
    R_d: reduction term, -
    Returns: lb
    Source: NDS 2018, 12.3.1, equation 12.3-4
    """
    return k_2 * D * l_m * F_em / ((1 + 2 * R_e) * R_d)


def Z_III_s(k_3: Number, D: Number, l_s: Number, F_em: Number, R_e: Number, R_d: Number) -> Number:
    """Mode III_s: the fastener yields at one point and the side member is crushed, one shear plane.

    k_3: term of mode III_s, -
    D: diameter in the yield equations, in
    l_s: bearing length in the side member, in
    F_em: dowel bearing strength of the main member, psi
    R_e: ratio of the bearing strengths, -
    R_d: reduction term, -
    Returns: lb
    Source: NDS 2018, 12.3.1, equation 12.3-5
    """
    return k_3 * D * l_s * F_em / ((2 + R_e) * R_d)


def Z_IV(D: Number, F_em: Number, F_yb: Number, R_e: Number, R_d: Number) -> Number:
    """Mode IV: the fastener yields at two points, one shear plane.

    D: diameter in the yield equations, in
    F_em: dowel bearing strength of the main member, psi
    F_yb: bending yield strength of the fastener, psi
    R_e: ratio of the bearing strengths, -
    R_d: reduction term, -
    Returns: lb
    Source: NDS 2018, 12.3.1, equation 12.3-6
    """
    return D**2 / R_d * np.sqrt(2 * F_em * F_yb / (3 * (1 + R_e)))


def Z_I_s_double(D: Number, l_s: Number, F_es: Number, R_d: Number) -> Number:
    """Mode I_s: both side members are crushed, two shear planes.

    D: diameter in the yield equations, in
    l_s: bearing length in one side member, in
    F_es: dowel bearing strength of the side members, psi
    R_d: reduction term, -
    Returns: lb
    Source: NDS 2018, 12.3.1, equation 12.3-8
    """
    return 2 * D * l_s * F_es / R_d


def Z_III_s_double(k_3: Number, D: Number, l_s: Number, F_em: Number, R_e: Number, R_d: Number) -> Number:
    """Mode III_s with two shear planes.

    k_3: term of mode III_s, -
    D: diameter in the yield equations, in
    l_s: bearing length in one side member, in
    F_em: dowel bearing strength of the main member, psi
    R_e: ratio of the bearing strengths, -
    R_d: reduction term, -
    Returns: lb
    Source: NDS 2018, 12.3.1, equation 12.3-9
    """
    return 2 * k_3 * D * l_s * F_em / ((2 + R_e) * R_d)


def Z_IV_double(D: Number, F_em: Number, F_yb: Number, R_e: Number, R_d: Number) -> Number:
    """Mode IV with two shear planes.

    D: diameter in the yield equations, in
    F_em: dowel bearing strength of the main member, psi
    F_yb: bending yield strength of the fastener, psi
    R_e: ratio of the bearing strengths, -
    R_d: reduction term, -
    Returns: lb
    Source: NDS 2018, 12.3.1, equation 12.3-10
    """
    return 2 * D**2 / R_d * np.sqrt(2 * F_em * F_yb / (3 * (1 + R_e)))


def Z_single(Z_I_m: Number, Z_I_s: Number, Z_II: Number, Z_III_m: Number, Z_III_s: Number, Z_IV: Number) -> Number:
    """Reference lateral value, one shear plane: the lowest mode.

    Z_I_m: mode I_m, lb
    Z_I_s: mode I_s, lb
    Z_II: mode II, lb
    Z_III_m: mode III_m, lb
    Z_III_s: mode III_s, lb
    Z_IV: mode IV, lb
    Returns: lb
    Source: NDS 2018, 12.3.1, table 12.3.1A
    """
    return lowest(Z_I_m, Z_I_s, Z_II, Z_III_m, Z_III_s, Z_IV)


def Z_double(Z_I_m: Number, Z_I_s_double: Number, Z_III_s_double: Number, Z_IV_double: Number) -> Number:
    """Reference lateral value, two shear planes: the lowest mode.

    Z_I_m: mode I_m, lb
    Z_I_s_double: mode I_s, lb
    Z_III_s_double: mode III_s, lb
    Z_IV_double: mode IV, lb
    Returns: lb
    Source: NDS 2018, 12.3.1, table 12.3.1A
    """
    return lowest(Z_I_m, Z_I_s_double, Z_III_s_double, Z_IV_double)


@dataclass(frozen=True)
class LateralValue:
    """Reference value Z (lb) of one fastener and its value by every mode, all of one shape."""

    Z: Number
    modes: dict[str, NDArray[np.float64]]

    @property
    def governing(self) -> NDArray[np.str_]:
        """Name of the lowest mode, entry by entry."""
        names = np.array(list(self.modes))
        lowest: NDArray[np.str_] = names[np.argmin(np.stack(list(self.modes.values())), axis=0)]
        return lowest


def dowel_bearing(G: Number, D: Number, theta: Number, sheet: Calculation | None = None) -> Number:
    """Dowel bearing strength (psi) of a wood at an angle to grain (rad)."""
    sheet = Calculation() if sheet is None else sheet
    along = sheet(F_e_parallel, G=G)
    if np.all(np.asarray(theta) == 0):
        return np.broadcast_to(along, np.broadcast_shapes(np.shape(G), np.shape(D), np.shape(theta))) + 0.0
    return sheet(F_e_theta, F_e_parallel=along, F_e_perpendicular=sheet(F_e_perpendicular, G=G, D=D), theta=theta)  # type: ignore[no-any-return]


def lateral_value(
    *, planes: int, D: Number, F_yb: Number, l_m: Number, l_s: Number, F_em: Number, F_es: Number,
    theta_m: Number = 0.0, theta_s: Number = 0.0, D_r: Number | None = None, sheet: Calculation | None = None,
) -> LateralValue:  # fmt: skip
    """Reference lateral value Z of one fastener across one shear plane or two (equal side members).

    D: nominal diameter; D_r: diameter in the yield equations where it is another (root of a thread), in
    l_m, l_s: bearing lengths in main and one side member, in; F_em, F_es, F_yb: psi
    theta_m, theta_s: angles of load to grain, rad (0 for steel)
    sheet: where the steps are written
    """
    if planes not in (1, 2):
        raise ValueError(f"the yield equations know one or two shear planes, not {planes}")
    sheet = Calculation() if sheet is None else sheet
    d = D if D_r is None else D_r
    everything = np.broadcast_arrays(*(np.asarray(v, dtype=float) for v in (D, d, F_yb, l_m, l_s, F_em, F_es, theta_m, theta_s)))
    D, d, F_yb, l_m, l_s, F_em, F_es, theta_m, theta_s = everything
    thin = bool(np.any((D < 0.25) | (d < 0.25)))
    factor = sheet(K_theta, theta=np.maximum(theta_m, theta_s))
    table = read_table(TABLES, "bolt_yield")
    reduction: dict[float, Number] = {}

    def r(mode: str) -> Number:
        row = table.find(mode=mode)
        c = float(row["c"])
        if c not in reduction:
            sheet.given("c", c, "-", table.cite(row))
            if thin:
                reduction[c] = sheet(R_d_thin, c=c, K_theta=factor, K_D=sheet(K_D, D_r=d), D=D, D_r=d)
            else:
                reduction[c] = sheet(R_d, c=c, K_theta=factor)
        return reduction[c]

    re = sheet(R_e, F_em=F_em, F_es=F_es)
    terms_III_s = {"k_3": sheet(k_3, R_e=re, F_yb=F_yb, D=d, F_em=F_em, l_s=l_s), "D": d, "l_s": l_s, "F_em": F_em, "R_e": re, "R_d": r("III_s")}
    modes = {"I_m": sheet(Z_I_m, D=d, l_m=l_m, F_em=F_em, R_d=r("I_m"))}
    if planes == 2:
        modes["I_s"] = sheet(Z_I_s_double, D=d, l_s=l_s, F_es=F_es, R_d=r("I_s"))
        modes["III_s"] = sheet(Z_III_s_double, **terms_III_s)
        modes["IV"] = sheet(Z_IV_double, D=d, F_em=F_em, F_yb=F_yb, R_e=re, R_d=r("IV"))
        value = sheet(Z_double, Z_I_m=modes["I_m"], Z_I_s_double=modes["I_s"], Z_III_s_double=modes["III_s"], Z_IV_double=modes["IV"])
    else:
        rt = sheet(R_t, l_m=l_m, l_s=l_s)
        modes["I_s"] = sheet(Z_I_s, D=d, l_s=l_s, F_es=F_es, R_d=r("I_s"))
        modes["II"] = sheet(Z_II, k_1=sheet(k_1, R_e=re, R_t=rt), D=d, l_s=l_s, F_es=F_es, R_d=r("II"))
        term = sheet(k_2, R_e=re, F_yb=F_yb, D=d, F_em=F_em, l_m=l_m)
        modes["III_m"] = sheet(Z_III_m, k_2=term, D=d, l_m=l_m, F_em=F_em, R_e=re, R_d=r("III_m"))
        modes["III_s"] = sheet(Z_III_s, **terms_III_s)
        modes["IV"] = sheet(Z_IV, D=d, F_em=F_em, F_yb=F_yb, R_e=re, R_d=r("IV"))
        value = sheet(Z_single, **{f"Z_{mode}": modes[mode] for mode in SINGLE})
    return LateralValue(value, {mode: np.asarray(modes[mode], dtype=float) for mode in (SINGLE if planes == 1 else DOUBLE)})
