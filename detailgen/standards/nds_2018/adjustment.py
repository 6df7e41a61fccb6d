"""Adjustment of reference values (chapters 2, 4 and 5): clauses, and the factors that the tables give."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from detailgen.core.clause import Cite, Number, require
from detailgen.core.errors import NotCovered
from detailgen.core.table import read_table
from detailgen.standards.nds_2018.reference import DIMENSION, GLULAM, STRINGERS, TABLES, ReferenceValues, size_factor_row

DOCUMENT = "NDS 2018"
NO_TEMPERATURE = Cite(DOCUMENT, "2.3.3 (wood stays at or below 100 F)")


def F_t_prime(F_t: Number, C_D: Number, C_M: Number, C_t: Number, C_F: Number) -> Number:
    """Adjusted tension value along the grain.

    F_t: reference tension value, psi
    C_D: load duration factor, -
    C_M: wet service factor, -
    C_t: temperature factor, -
    C_F: size factor, 1.0 for glulam, -
    Returns: psi
    Source: NDS 2018, 4.3.1 and 5.3.1
    """
    return F_t * C_D * C_M * C_t * C_F


def F_c_star(F_c: Number, C_D: Number, C_M: Number, C_t: Number, C_F: Number) -> Number:
    """Compression value along the grain with every factor but that of column stability.

    F_c: reference compression value, psi
    C_D: load duration factor, -
    C_M: wet service factor, -
    C_t: temperature factor, -
    C_F: size factor, 1.0 for glulam, -
    Returns: psi
    Source: NDS 2018, 3.7.1.5
    """
    return F_c * C_D * C_M * C_t * C_F


def F_v_prime(F_v: Number, C_D: Number, C_M: Number, C_t: Number) -> Number:
    """Adjusted shear value.

    F_v: reference shear value, psi
    C_D: load duration factor, -
    C_M: wet service factor, -
    C_t: temperature factor, -
    Returns: psi
    Source: NDS 2018, 4.3.1 and 5.3.1
    """
    return F_v * C_D * C_M * C_t


def F_c_perp_prime(F_c_perp: Number, C_M: Number, C_t: Number, C_b: Number) -> Number:
    """Adjusted compression value across the grain; load duration does not touch it.

    F_c_perp: reference compression value across the grain, psi
    C_M: wet service factor, -
    C_t: temperature factor, -
    C_b: bearing area factor, -
    Returns: psi
    Source: NDS 2018, 4.3.1 and 5.3.1
    """
    return F_c_perp * C_M * C_t * C_b


def E_min_prime(E_min: Number, C_M: Number, C_t: Number) -> Number:
    """Adjusted modulus for stability.

    E_min: reference modulus for stability, psi
    C_M: wet service factor, -
    C_t: temperature factor, -
    Returns: psi
    Source: NDS 2018, 4.3.1 and 5.3.1
    """
    return E_min * C_M * C_t


def E_prime(E: Number, C_M: Number, C_t: Number) -> Number:
    """Adjusted modulus of elasticity.

    E: reference modulus of elasticity, psi
    C_M: wet service factor, -
    C_t: temperature factor, -
    Returns: psi
    Source: NDS 2018, 4.3.1 and 5.3.1
    """
    return E * C_M * C_t


def F_b_0(F_b: Number, C_D: Number, C_M: Number, C_t: Number, C_F: Number) -> Number:
    """Bending value with every factor but those of beam stability and volume.

    F_b: reference bending value, psi
    C_D: load duration factor, -
    C_M: wet service factor, -
    C_t: temperature factor, -
    C_F: size factor, 1.0 for glulam, -
    Returns: psi
    Source: NDS 2018, 3.3.3.8
    """
    return F_b * C_D * C_M * C_t * C_F


def Z_prime(Z: Number, C_D: Number, C_M: Number, C_t: Number, C_g: Number, C_delta: Number) -> Number:
    """Adjusted lateral value of one bolt.

    Z: reference lateral value, lb
    C_D: load duration factor, -
    C_M: wet service factor, -
    C_t: temperature factor, -
    C_g: group action factor, -
    C_delta: geometry factor, -
    Returns: lb
    Source: NDS 2018, 11.3.1, table 11.3.1
    """
    return Z * C_D * C_M * C_t * C_g * C_delta


def C_F_timber(d: Number) -> Number:
    """Size factor of timbers in bending.

    d: depth of the member, in
    Returns: -
    Source: NDS 2018, 4.3.6.3
    """
    require(np.asarray(d) > 0, "depth must be above zero", "NDS 2018 4.3.6.3")
    return np.minimum(1, (12 / d) ** (1 / 9))


def C_V(L: Number, d: Number, b: Number, x: Number) -> Number:
    """Volume factor of glulam bent about its strong axis.

    L: length between points of zero moment, ft
    d: depth, in
    b: width, of the widest piece where laminations have several, in
    x: exponent by species, -
    b_1: width that counts, in
    Returns: -
    Source: NDS 2018, 5.3.6, equation 5.3-1
    """
    require((np.asarray(L) > 0) & (np.asarray(d) > 0) & (np.asarray(b) > 0), "length, depth and width must be above zero", "NDS 2018 5.3.6")
    b_1 = np.minimum(b, 10.75)
    return np.minimum(1, (21 / L) ** (1 / x) * (12 / d) ** (1 / x) * (5.125 / b_1) ** (1 / x))


def E_min(E: Number, COV: Number, k: Number) -> Number:
    """Modulus for stability from the mean modulus.

    E: reference modulus of elasticity, psi
    COV: coefficient of variation of E, -
    k: ratio of the shear-free to the apparent modulus, 1.03 sawn, 1.05 glulam, -
    Returns: psi
    Source: NDS 2018, Appendix D, equation D-4
    """
    return E * (1 - 1.645 * COV) * k / 1.66


@dataclass(frozen=True)
class Factor:
    """A factor by value, with its source."""

    value: float
    cite: Cite


@dataclass(frozen=True)
class Factors:
    """Wet service and size factors of one wood in one section; ``C_F`` has no entries for shear, bearing and moduli."""

    C_M: dict[str, Factor]
    C_F: dict[str, Factor]


def duration_factors(durations: Sequence[str]) -> tuple[tuple[float, ...], Cite]:
    """C_D per duration, and the least sure source among them. Raises NotCovered for an unknown duration."""
    table = read_table(TABLES, "load_duration")
    rows = [table.find(duration=d) for d in durations]
    cite = min((table.cite(r) for r in rows), key=lambda c: c.status, default=table.cite())
    return tuple(float(r["C_D"]) for r in rows), cite


def greatest_at_connections() -> float:
    """The largest C_D that counts at connections."""
    return float(read_table(TABLES, "connection_factors").find(factor="C_D", condition="greatest at connections")["value"])


def _size(values: ReferenceValues, thickness: float, depth: float) -> dict[str, Factor]:
    if values.size_class == GLULAM:
        none = Factor(1.0, Cite(DOCUMENT, "5.3.1 (glulam has no size factor)"))
        return {"Fb": none, "Ft": none, "Fc": none}
    if values.size_class == DIMENSION:
        row, cite = size_factor_row(values.species, thickness, depth)
        return {name: Factor(float(row[name]), cite) for name in ("Fb", "Ft", "Fc")}
    none = Factor(1.0, Cite(DOCUMENT, "4.3.6.2 (timbers: bending only)"))
    bending = Factor(float(C_F_timber(depth)), Cite(DOCUMENT, "4.3.6.3"))
    if values.size_class == STRINGERS and depth < thickness:
        table = read_table(TABLES, "flat_use_stringers")
        row = table.find(grade=values.grade)
        bending = Factor(bending.value * float(row["Fb"]), table.cite(row))
    return {"Fb": bending, "Ft": none, "Fc": none}


def factors(values: ReferenceValues, thickness: float, depth: float) -> Factors:
    """Wet service and size factors for a section (in). Temperature is taken as at most 100 F throughout."""
    size = _size(values, thickness, depth)
    names = ("Fb", "Ft", "Fv", "Fc_perp", "Fc", "E")
    if not values.wet:
        dry = Factor(1.0, Cite(DOCUMENT, "5.3.3 (dry)" if values.size_class == GLULAM else "4.3.3 (dry)"))
        return Factors(dict.fromkeys(names, dry), size)
    table = read_table(TABLES, "wet_service")
    row = table.find(size_class=values.size_class)
    wet = {name: Factor(float(row[name]), table.cite(row)) for name in names}
    for name, value in (("Fb", values.Fb), ("Fc", values.Fc)):
        if value * size[name].value <= float(row[f"{name}_dry_to"]):
            wet[name] = Factor(1.0, table.cite(row))
    return Factors(wet, size)


DURATION_COUNTS = {"Fb": True, "Ft": True, "Fv": True, "Fc": True, "Fcperp": False, "E": False, "Emin": False}


def adjusted_value(
    property_name: str,
    reference: float,
    *,
    C_D: float = 1.0,
    C_M: float = 1.0,
    C_F: float = 1.0,
    C_r: float = 1.0,
    volume: tuple[float, float, float, float] | None = None,
) -> float:
    """A reference value (psi) times the factors that NDS tables 4.3.1 and 5.3.1 allow for it.

    volume: length between zero moments (ft), depth (in), width (in), exponent of glulam in bending
    Raises: NotCovered for an unknown property
    """
    if property_name not in DURATION_COUNTS:
        raise NotCovered(f"no property {property_name}; known are {', '.join(DURATION_COUNTS)}", "NDS 2018 4.3.1, 5.3.1")
    value = reference * C_M
    if DURATION_COUNTS[property_name]:
        value *= C_D
    if property_name in ("Fb", "Ft", "Fc"):
        value *= C_F
    if property_name == "Fb":
        value *= C_r
        if volume is not None:
            value *= float(C_V(*volume))
    return value
