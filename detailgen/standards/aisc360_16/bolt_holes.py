"""What a bolt does to the steel around its hole: bearing and tear-out (J3.10), hole sizes (J3.2), distances (J3.3 to J3.5)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from detailgen.core.clause import Cite, Number, require
from detailgen.core.errors import NotCovered
from detailgen.core.table import read_table
from detailgen.core.tolerance import rounded_length
from detailgen.standards.aisc360_16.strength import DOCUMENT, TABLES
from detailgen.standards.interface import Floats


def l_c_end(end: Number, d_h: Number) -> Number:
    """Clear distance from an edge bolt's hole to the end of the plate.

    end: from the bolt to the plate's end, in
    d_h: hole diameter, in
    Returns: in
    Source: AISC 360-16, J3.10
    """
    return np.maximum(end - d_h / 2, 0)


def l_c_between(s: Number, d_h: Number) -> Number:
    """Clear distance between holes in the direction of the force.

    s: from centre to centre, in
    d_h: hole diameter, in
    Returns: in
    Source: AISC 360-16, J3.10
    """
    return np.maximum(s - d_h, 0)


def R_n_bolt(l_c: Number, t: Number, d: Number, F_u: Number) -> Number:
    """Nominal strength at one bolt hole: tear-out or bearing, deformation at service load being of concern.

    l_c: clear distance in the direction of the force, in
    t: thickness, in
    d: bolt diameter, in
    F_u: tensile strength, psi
    Returns: lb
    Source: AISC 360-16, J3.10(a), equations J3-6a and J3-6c
    """
    return np.minimum(1.2 * l_c * t * F_u, 2.4 * d * t * F_u)


def R_n_bolts(rows: Number, R_n_outer: Number, n: Number, R_n_inner: Number) -> Number:
    """Nominal strength of the steel at all bolts: in each row one bolt that leads and others behind it.

    rows: rows of bolts, -
    R_n_outer: strength at the bolt that leads, lb
    n: bolts in a row, -
    R_n_inner: strength at each of the others, lb
    Returns: lb
    Source: AISC 360-16, J3.10 (sum over the bolts, user note of J3.6)
    """
    return rows * (R_n_outer + (n - 1) * R_n_inner)


@dataclass(frozen=True)
class HoleStrengths:
    """Nominal strengths (lb) of the steel at one bolt."""

    edge_bolt: float
    inner_bolt: float


def hole_strengths(*, t: float, F_u: float, d: float, d_h: float, edge: float, s: float) -> HoleStrengths:
    """The steel at an edge bolt and at an inner bolt (lengths in inches, F_u in psi)."""
    return HoleStrengths(float(R_n_bolt(l_c_end(edge, d_h), t, d, F_u)), float(R_n_bolt(l_c_between(s, d_h), t, d, F_u)))


def s_least(k_d: Number, d: Number, k_clear: Number, d_h: Number) -> Number:
    """Least distance between bolts; the steel left between the holes is a diameter at least.

    k_d: diameters from centre to centre, -
    d: bolt diameter, in
    k_clear: diameters from hole to hole, -
    d_h: hole diameter, in
    Returns: in
    Source: AISC 360-16, J3.3
    """
    return np.maximum(k_d * d, k_clear * d + d_h)


def greatest(k_t: Number, t: Number, limit: Number) -> Number:
    """Greatest distance to an edge, or between bolts.

    k_t: thicknesses of the plate, -
    t: thickness, in
    limit: never more than, in
    Returns: in
    Source: AISC 360-16, J3.5
    """
    return np.minimum(k_t * t, limit)


def edge_least(edge: Number, k_d: Number, d: Number) -> Number:
    """Least distance from the centre of a standard hole to any edge: a row of the table, or a multiple of d beyond it.

    edge: distance of the table's row, in
    k_d: diameters beyond the table, -
    d: bolt diameter, in
    Returns: in
    Source: AISC 360-16, J3.4, table J3.4
    """
    return edge + k_d * d


def least_edge_distance(d: Number) -> Floats:
    """Least edge distance (in) of bolts. A diameter between two rows takes the larger row. Raises OutOfRange under the table's first."""
    rows = read_table(TABLES, "least_edge_distance").rows
    limits, edges, k_d = (np.array([float(r[c]) for r in rows]) for c in ("diameter_to", "edge", "k_d"))
    size = np.round(np.atleast_1d(np.asarray(d, dtype=float)), 6)
    require(size >= limits[0], f"edge distance: bolts of {limits[0]:g} in. and more", f"{DOCUMENT} table J3.4")
    row = np.searchsorted(limits, size, side="left")
    return np.asarray(edge_least(edges[row], k_d[row], size), dtype=float)


def edge_cite() -> Cite:
    return read_table(TABLES, "least_edge_distance").cite()


def least_spacing(d: Number, d_h: Number) -> Floats:
    """Least distance (in) between bolts in any direction."""
    row = read_table(TABLES, "least_spacing").find(quantity="spacing")
    return np.asarray(s_least(float(row["k_d"]), d, float(row["k_clear"]), d_h), dtype=float)


def spacing_cite() -> Cite:
    return read_table(TABLES, "least_spacing").cite()


def greatest_distance(quantity: str, t: Number) -> tuple[Floats, Cite]:
    """Greatest "edge" distance or "spacing" (in) for a plate of thickness t (in), painted or galvanized."""
    table = read_table(TABLES, "greatest_distances")
    row = table.find(quantity=quantity)
    return np.asarray(greatest(float(row["k_t"]), t, float(row["limit"])), dtype=float), table.cite(row)


def standard_hole(d: float) -> float:
    """Largest standard hole (in) of a bolt. Raises NotCovered for a diameter between the sizes of the table."""
    rows = read_table(TABLES, "standard_holes").rows
    size = rounded_length(d)
    for row in rows:
        if rounded_length(float(row["diameter"])) == size:
            return float(row["hole"])
    over = rows[-1]
    if size > max(float(r["diameter"]) for r in rows[:-1]):
        return size + float(over["over_diameter"])
    raise NotCovered(f"standard hole of a {d:g} in. bolt", f"{DOCUMENT} table J3.3")
