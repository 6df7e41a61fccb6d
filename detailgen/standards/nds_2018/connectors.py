"""Split rings and shear plates (chapter 13): reference values, angle to grain, distances with their reductions, spacing on any axis."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from detailgen.core.clause import Cite, Number, require
from detailgen.core.errors import NotCovered, OutOfRange
from detailgen.core.table import read_table
from detailgen.core.tolerance import LENGTH_IN
from detailgen.standards.nds_2018.distances import row_holds_at
from detailgen.standards.nds_2018.dowels import TABLES

DOCUMENT = "NDS 2018"
SMALL_RING, LARGE_RING = "2-1/2 in. split ring", "4 in. split ring"
SMALL_PLATE, LARGE_PLATE = "2-5/8 in. shear plate", "4 in. shear plate"


def N(P: Number, Q: Number, theta: Number) -> Number:
    """Connector value at an angle to grain.

    P: value along the grain, lb
    Q: value across the grain, lb
    theta: angle of load to grain, rad
    Returns: lb
    Source: NDS 2018, 13.2.5, equation 13.2-1
    """
    return P * Q / (P * np.sin(theta) ** 2 + Q * np.cos(theta) ** 2)


def C_delta_between(a: Number, a_least: Number, a_full: Number, C_least: Number) -> Number:
    """Geometry factor of a distance between the least allowed and that of the full value.

    a: actual distance, in
    a_least: least distance, in
    a_full: distance for the full value, in
    C_least: factor at the least distance, -
    Returns: -
    Source: NDS 2018, 13.3, table 13.3
    Raises: OutOfRange under the least distance
    """
    require(np.asarray(a) >= np.asarray(a_least) - LENGTH_IN, "the distance must be at least the least of table 13.3", "NDS 2018 13.3")
    return np.where(a >= a_full, 1.0, C_least + (1 - C_least) * (a - a_least) / np.where(a_full > a_least, a_full - a_least, 1.0))


def S_beta(S_A: Number, S_B: Number, beta: Number) -> Number:
    """Spacing for the full value along the axis through two connectors.

    S_A: spacing along the grain for the full value, in
    S_B: spacing across the grain for the full value, in
    beta: angle between the axis and the grain, rad
    Returns: in
    Source: NDS 2018, 13.3.5, figure 13E
    """
    return S_A * S_B / np.sqrt(S_A**2 * np.sin(beta) ** 2 + S_B**2 * np.cos(beta) ** 2)


def A_net_connectors(A: Number, n: Number, A_connector: Number, t: Number, D_hole: Number, depth: Number, faces: Number) -> Number:
    """Net area of a piece at a section with connectors.

    A: gross area, in2
    n: number of bolts with connectors in the section, -
    A_connector: projected area of one connector within the wood, in2
    t: thickness of the piece, in
    D_hole: diameter of the bolt hole, in
    depth: depth of one connector within the wood, in
    faces: faces of the piece with connectors, 1 or 2, -
    Returns: in2
    Source: NDS 2018, 3.1.2.4 and Appendix E.5
    """
    return A - n * (faces * A_connector + D_hole * (t - faces * depth))


def P_prime(P: Number, C_D: Number, C_M: Number, C_t: Number, C_g: Number, C_delta: Number, C_d: Number, C_st: Number) -> Number:
    """Adjusted value of one connector along the grain; across it without C_st.

    P: reference value, lb
    C_D: load duration factor, at most 1.6, -
    C_M: wet service factor, -
    C_t: temperature factor, -
    C_g: group action factor, -
    C_delta: least geometry factor of the group, -
    C_d: penetration depth factor, of lag screws only, -
    C_st: factor for steel side plates, 4 in. shear plates along the grain only, -
    Returns: lb
    Source: NDS 2018, 11.3.1, table 11.3.1, and 13.2
    """
    return P * C_D * C_M * C_t * C_g * C_delta * C_d * C_st


def species_group(G: float) -> tuple[str, Cite]:
    """Group A to D by specific gravity."""
    table = read_table(TABLES, "connector_species")
    row = max((r for r in table if float(r["G_from"]) <= G), key=lambda r: float(r["G_from"]))
    return str(row["group"]), table.cite(row)


@dataclass(frozen=True)
class ConnectorValue:
    """P and Q (lb) of one connector."""

    P: float
    Q: float
    cite: Cite


def connector_value(connector: str, group: str, faces: int, thickness: float) -> ConnectorValue:
    """Reference values by the net thickness (in) of the piece, linear between the rows.

    faces: faces of the piece loaded by connectors on the same bolt, 1 or 2
    Raises: OutOfRange for a piece thinner than the table allows, NotCovered for a connector that it does not hold
    """
    table = read_table(TABLES, "connector_values")
    rows = [r for r in table if (r["connector"], r["group"], r["faces"]) == (connector, group, float(faces))]
    if not rows:
        raise NotCovered(f"no values for a {connector}, species group {group}, on {faces} faces", f"{DOCUMENT} 13.2")
    steps = [float(r["thickness"]) for r in rows]
    if thickness < steps[0] - LENGTH_IN:
        raise OutOfRange(f"a {connector} on {faces} faces needs a piece of {steps[0]:g} in. or more, here {thickness:g} in.", f"{DOCUMENT} 13.2")
    P, Q = (float(np.interp(thickness, steps, [float(r[c]) for r in rows])) for c in ("P", "Q"))
    return ConnectorValue(P, Q, min((table.cite(r) for r in rows), key=lambda c: c.status))


def greatest_load(connector: str, bolt: float) -> float:
    """What a shear plate may carry at most (lb) whatever the wood and the factors, by its bolt (in); inf for rings."""
    table = read_table(TABLES, "connector_limits")
    rows = [r for r in table if r["connector"] == connector]
    return float(table.find(connector=connector, bolt=bolt)["greatest"]) if rows else math.inf


@dataclass(frozen=True)
class FullSpacing:
    """Spacing for the full value along and across the grain, and the least at any angle (in)."""

    S_A: float
    S_B: float
    least: float
    cite: Cite


def full_spacing(connector: str, load_angle: float) -> FullSpacing:
    """By the angle of load to grain (degrees, 0 to 90), linear between the table's angles."""
    table = read_table(TABLES, "connector_spacing")
    rows = [r for r in table if r["fastener"] == connector]
    if not rows:
        raise NotCovered(f"no spacing for a {connector}", f"{DOCUMENT} 13.3")
    if not 0 <= load_angle <= 90:
        raise OutOfRange(f"angle of load to grain {load_angle:g} degrees, 0 to 90", f"{DOCUMENT} 13.3")
    angles = [float(r["load_angle"]) for r in rows]
    S_A, S_B, least = (float(np.interp(load_angle, angles, [float(r[c]) for r in rows])) for c in ("S_A", "S_B", "least"))
    return FullSpacing(S_A, S_B, least, min((table.cite(r) for r in rows), key=lambda c: c.status))


def factor_at_least(quantity: str) -> float:
    """C_delta at the least distance: edge, edge_unloaded, edge_loaded, end, spacing."""
    return float(read_table(TABLES, "connector_factors_at_least").find(quantity=quantity)["C_delta"])


def spacing_factor(connector: str, load_angle: float, axis_angle: float, spacing: float) -> float:
    """C_delta of two connectors ``spacing`` (in) apart on an axis at ``axis_angle`` to the grain (degrees). Raises OutOfRange under the least."""
    full = full_spacing(connector, load_angle)
    along = float(S_beta(full.S_A, full.S_B, math.radians(axis_angle)))
    return float(C_delta_between(spacing, full.least, max(along, full.least), factor_at_least("spacing")))


def connector_distance(connector: str, quantity: str, level: str, load: str, load_angle: float) -> float:
    """A distance (in) of table 13.3. level "full" or "min"; quantity edge, edge_unloaded, edge_loaded, end.

    The largest of the rows that apply counts. Raises NotCovered where none does.
    """
    table = read_table(TABLES, "connector_least_distances")
    asked = {"fastener": connector, "quantity": quantity, "level": level, "load": load}
    rows = [r for r in table if all(r[k] in ("any", v) for k, v in asked.items()) and bool(row_holds_at(r, load_angle))]
    if not rows:
        raise NotCovered(f"no {quantity} distance of a {connector}, load at {load_angle:g} degrees to grain", f"{DOCUMENT} table 13.3")
    return max(float(r["const"]) for r in rows)


def spacing_distance(connector: str, direction: str, level: str, load_angle: float) -> float:
    """Spacing (in) of two connectors in line along ("along") or across ("across") the grain."""
    full = full_spacing(connector, load_angle)
    if level == "min":
        return full.least
    return full.S_A if direction == "along" else full.S_B


def distance_factor(connector: str, quantity: str, a: float, load: str, load_angle: float) -> float:
    """C_delta of an end or edge distance ``a`` (in). Raises OutOfRange under the least."""
    least, full = (connector_distance(connector, quantity, level, load, load_angle) for level in ("min", "full"))
    return float(C_delta_between(a, least, full, factor_at_least(quantity)))


def C_d(connector: str, group: str, penetration: float) -> float:
    """Penetration depth factor of a connector on a lag screw that reaches ``penetration`` diameters into the piece with the point."""
    row = read_table(TABLES, "connector_lag_penetration").find(fastener=connector, group=group)
    least, full, C = (float(row[c]) for c in ("least", "full", "C_d"))
    return float(C_delta_between(penetration, least, full, C))


def C_st(group: str) -> float:
    """Factor of a 4 in. shear plate against a steel side plate, loaded along the grain."""
    return float(read_table(TABLES, "connector_steel_sides").find(group=group)["C_st"])
