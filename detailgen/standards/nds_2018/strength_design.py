"""Load and resistance factor design (Appendix N): adjusted values for factored loads, and their factors.

K_F turns a reference value for loads of ten years into one for short loads, phi and lambda stand where load duration stands in allowable stress
design. Elastic moduli and compression across the grain know no time effect.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from detailgen.core.clause import Cite, Number, require
from detailgen.core.errors import NotCovered
from detailgen.core.table import read_table
from detailgen.standards.nds_2018.reference import TABLES


def F_n(F: Number, K_F: Number, phi: Number, lam: Number) -> Number:
    """Design value for load and resistance factor design, every other factor but that of load duration being in F.

    F: reference value with its factors, without load duration, psi
    K_F: format conversion factor, -
    phi: resistance factor, -
    lam: time effect factor, -
    Returns: psi
    Source: NDS 2018, Appendix N.3, tables N1 to N3
    """
    return F * K_F * phi * lam


def F_reference(F_n: Number, k: Number, phi: Number) -> Number:
    """Reference value from a nominal one that was converted with K_F = k / phi, as the editions up to 2005 wrote it.

    F_n: nominal value, psi
    k: numerator of the format conversion factor, -
    phi: resistance factor, -
    Returns: psi
    Source: NDS 2018, Appendix N.3.1, table N1
    """
    require(k > 0, "numerator must be above zero", "NDS 2018 table N1")
    return F_n * phi / k


def F_t_prime(F_t: Number, K_F: Number, phi: Number, lam: Number, C_M: Number, C_t: Number, C_F: Number) -> Number:
    """Adjusted tension value along the grain for factored loads.

    F_t: reference tension value, psi
    K_F: format conversion factor, -
    phi: resistance factor, -
    lam: time effect factor, -
    C_M: wet service factor, -
    C_t: temperature factor, -
    C_F: size factor, 1.0 for glulam, -
    Returns: psi
    Source: NDS 2018, 4.3.1, 5.3.1 and Appendix N.3
    """
    return F_t * K_F * phi * lam * C_M * C_t * C_F


def F_c_star(F_c: Number, K_F: Number, phi: Number, lam: Number, C_M: Number, C_t: Number, C_F: Number) -> Number:
    """Compression value along the grain for factored loads with every factor but that of column stability.

    F_c: reference compression value, psi
    K_F: format conversion factor, -
    phi: resistance factor, -
    lam: time effect factor, -
    C_M: wet service factor, -
    C_t: temperature factor, -
    C_F: size factor, 1.0 for glulam, -
    Returns: psi
    Source: NDS 2018, 3.7.1.5 and Appendix N.3
    """
    return F_c * K_F * phi * lam * C_M * C_t * C_F


def F_v_prime(F_v: Number, K_F: Number, phi: Number, lam: Number, C_M: Number, C_t: Number) -> Number:
    """Adjusted shear value for factored loads.

    F_v: reference shear value, psi
    K_F: format conversion factor, -
    phi: resistance factor, -
    lam: time effect factor, -
    C_M: wet service factor, -
    C_t: temperature factor, -
    Returns: psi
    Source: NDS 2018, 4.3.1, 5.3.1 and Appendix N.3
    """
    return F_v * K_F * phi * lam * C_M * C_t


def F_c_perp_prime(F_c_perp: Number, K_F: Number, phi: Number, C_M: Number, C_t: Number, C_b: Number) -> Number:
    """Adjusted compression value across the grain for factored loads.

    F_c_perp: reference compression value across the grain, psi
    K_F: format conversion factor, -
    phi: resistance factor, -
    C_M: wet service factor, -
    C_t: temperature factor, -
    C_b: bearing area factor, -
    Returns: psi
    Source: NDS 2018, 4.3.1, 5.3.1 and Appendix N.3
    """
    return F_c_perp * K_F * phi * C_M * C_t * C_b


def E_min_prime(E_min: Number, K_F: Number, phi: Number, C_M: Number, C_t: Number) -> Number:
    """Adjusted modulus for stability under factored loads.

    E_min: reference modulus for stability, psi
    K_F: format conversion factor, -
    phi: resistance factor, -
    C_M: wet service factor, -
    C_t: temperature factor, -
    Returns: psi
    Source: NDS 2018, 4.3.1, 5.3.1 and Appendix N.3
    """
    return E_min * K_F * phi * C_M * C_t


def F_b_0(F_b: Number, K_F: Number, phi: Number, lam: Number, C_M: Number, C_t: Number, C_F: Number) -> Number:
    """Bending value for factored loads with every factor but those of beam stability and volume.

    F_b: reference bending value, psi
    K_F: format conversion factor, -
    phi: resistance factor, -
    lam: time effect factor, -
    C_M: wet service factor, -
    C_t: temperature factor, -
    C_F: size factor, 1.0 for glulam, -
    Returns: psi
    Source: NDS 2018, 3.3.3.8 and Appendix N.3
    """
    return F_b * K_F * phi * lam * C_M * C_t * C_F


def F_b2_prime(F_b: Number, K_F: Number, phi: Number, lam: Number, C_M: Number, C_t: Number, C_F: Number) -> Number:
    """Adjusted bending value about the weak axis for factored loads; the increase for flat use is not taken.

    F_b: reference bending value about the weak axis, psi
    K_F: format conversion factor, -
    phi: resistance factor, -
    lam: time effect factor, -
    C_M: wet service factor, -
    C_t: temperature factor, -
    C_F: size factor, 1.0 for glulam, -
    Returns: psi
    Source: NDS 2018, 3.3.3.1, 3.9.2 and Appendix N.3
    """
    return F_b * K_F * phi * lam * C_M * C_t * C_F


def F_rt_prime(F_rt: Number, K_F: Number, phi: Number, lam: Number, C_M: Number, C_t: Number) -> Number:
    """Adjusted radial tension value of curved glulam for factored loads.

    F_rt: reference radial tension value, psi
    K_F: format conversion factor, -
    phi: resistance factor, -
    lam: time effect factor, -
    C_M: wet service factor, -
    C_t: temperature factor, -
    Returns: psi
    Source: NDS 2018, 5.3.1 and Appendix N.3
    """
    return F_rt * K_F * phi * lam * C_M * C_t


def Z_prime(Z: Number, K_F: Number, phi: Number, lam: Number, C_M: Number, C_t: Number, C_g: Number, C_delta: Number) -> Number:
    """Adjusted lateral value of one bolt for factored loads.

    Z: reference lateral value, lb
    K_F: format conversion factor, -
    phi: resistance factor, -
    lam: time effect factor, -
    C_M: wet service factor, -
    C_t: temperature factor, -
    C_g: group action factor, -
    C_delta: geometry factor, -
    Returns: lb
    Source: NDS 2018, 11.3.1, table 11.3.1 and Appendix N.3
    """
    return Z * K_F * phi * lam * C_M * C_t * C_g * C_delta


@dataclass(frozen=True)
class Conversion:
    """Factors of one design value."""

    K_F: float
    phi: float
    cite: Cite


def conversion(value: str) -> Conversion:
    """K_F and phi of "Fb", "Ft", "Fv", "Fc", "Fc_perp", "E_min" or "connections"."""
    table = read_table(TABLES, "format_conversion")
    row = table.find(value=value)
    return Conversion(float(row["K_F"]), float(row["phi"]), table.cite(row))


def time_effect(combination: str, live_load: str = "any") -> tuple[float, Cite]:
    """lambda of a load combination as table N3 writes it; live_load "storage", "occupancy" or "impact" where it matters."""
    table = read_table(TABLES, "time_effect")
    for row in table:
        if row["combination"] == combination and row["live_load"] in ("any", live_load):
            return float(row["lambda"]), table.cite(row)
    raise NotCovered(f"no time effect factor for {combination} with live load {live_load}", "NDS 2018 table N3")


def greatest_at_connections() -> float:
    """The largest lambda that counts at connections."""
    return float(read_table(TABLES, "time_effect_limits").find(where="connections")["lambda"])


_COMBINATION = {
    "permanent": ("1.4D", "any"),
    "ten years": ("1.2D + 1.6L + 0.5(Lr or S or R)", "occupancy"),
    "snow": ("1.2D + 1.6(Lr or S or R) + (L or 0.5W)", "any"),
    "construction": ("1.2D + 1.6(Lr or S or R) + (L or 0.5W)", "any"),
    "wind": ("1.2D + 1.0W + L + 0.5(Lr or S or R)", "any"),
    "impact": ("1.2D + 1.6L + 0.5(Lr or S or R)", "impact"),
}
"""The combination of table N3 in which the shortest load leads; snow at its own level of strength (1.0 S) is that of 1.6 S."""


def time_effects(durations: Sequence[str]) -> tuple[tuple[float, ...], Cite]:
    """lambda per duration, and where it stands. Raises NotCovered for an unknown duration."""
    unknown = [d for d in durations if d not in _COMBINATION]
    if unknown:
        raise NotCovered(f"no time effect factor for loads of duration {unknown[0]}; known are {', '.join(_COMBINATION)}", "NDS 2018 table N3")
    return tuple(time_effect(*_COMBINATION[d])[0] for d in durations), read_table(TABLES, "time_effect").cite()
