"""Values of many splice layouts at once, for a search: SpliceLayouts in, SpliceValues out. The same clauses as a single check."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from detailgen.core.clause import Calculation, Cite, Number
from detailgen.core.errors import NotCovered
from detailgen.core.table import read_table
from detailgen.standards.en1995_1_1 import brittle, design, dowels
from detailgen.standards.en1995_1_1.design import DOCUMENT, TABLES
from detailgen.standards.en1995_1_1.distances import BOLTS as DISTANCES
from detailgen.standards.en1995_1_1.distances import bolt_limit, least_distance
from detailgen.standards.en1995_1_1.edge import from_mm, from_N, slip_from, to_mm, to_MPa
from detailgen.standards.en1995_1_1.reference import Timber, timber
from detailgen.standards.en1995_1_1.yield_modes import Fastener, Member, PlaneValue, double, single
from detailgen.standards.interface import (
    BOLTS,
    NET_OF_BLOCK,
    NET_SECTION,
    OFF_MIDDLE,
    ONE_ACROSS,
    Floats,
    SpliceLayouts,
    SpliceValues,
    WoodGrade,
    lever,
    share_of_block,
)

BLOCK = "block or plug shear"
LEAST = {
    "end distance": "end", "spacing in a row": "spacing_along_grain", "edge distance": "edge", "row spacing": "spacing_across_grain",
}  # fmt: skip


def K_ser(rho_m: Number, d: Number, exponent: Number, divisor: Number) -> Number:
    """Slip modulus of one bolt, one shear plane; the clearance of the hole comes on top.

    rho_m: mean density, kg/m3
    d: diameter, mm
    exponent: exponent of the density, -
    divisor: constant of the joint, -
    Returns: N/mm
    Source: EN 1995-1-1:2004+A1, 7.1, table 7.1
    """
    return rho_m**exponent * d / divisor


def slip_modulus(diameter: float, wood: WoodGrade | None) -> float:
    """K_ser (lb/in) of a bolt of a diameter (in). The doubling that 7.1(3) allows with steel is not taken."""
    if wood is None:
        raise NotCovered("the slip of a bolt depends on the density of the wood, which is not stated", f"{DOCUMENT} 7.1")
    row = read_table(TABLES, "slip_modulus").find(joint="bolts and dowels")
    return slip_from(float(K_ser(timber(wood).rho_mean, to_mm(diameter), float(row["exponent"]), float(row["divisor"]))))


def _refuse(layouts: SpliceLayouts) -> None:
    for quantity, value, words in (("diameter", layouts.diameter, "bolts of"), ("hole over diameter", layouts.hole_oversize, "holes larger by")):
        least, greatest = bolt_limit(quantity)
        size = np.asarray(to_mm(np.asarray(value, dtype=float)))
        if np.any(size < least - 1e-4) or np.any(size > greatest + 1e-4):
            clause = read_table(TABLES, "bolt_size").find(quantity=quantity)["clause"]
            raise NotCovered(f"{words} {size.min():.3g} to {size.max():.3g} mm; covered are {least:g} to {greatest:g} mm", f"{DOCUMENT} {clause}")
    if not layouts.bolt_tensile > 0:
        raise NotCovered("the tensile strength of the bolts is not stated, and their yield moment comes from it", f"{DOCUMENT} 8.5.1.1(1)")


def _fastener(layouts: SpliceLayouts, wood: Timber, d: Floats) -> Fastener:
    """The rope effect counts between two plates; where wood lies under a nut no washer is known, and it is nothing."""
    f_u, clearance = float(to_MPa(layouts.bolt_tensile)), float(to_mm(layouts.hole_oversize))
    areas = read_table(TABLES, "bolt_tensile_area")
    sizes, A_t = (np.array([float(r[c]) for r in areas]) for c in ("diameter", "A_t"))
    smaller = np.searchsorted(sizes, np.round(d, 6) + 1e-6, side="right") - 1
    k_2 = float(read_table(TABLES, "factors").find(symbol="k_2")["value"])
    across = dowels.d_washer_plate(np.asarray(to_mm(layouts.plate_thickness)), d)
    bears = dowels.F_washer_Rk(wood.f_c_90_k, across, d + clearance)
    F_ax = np.minimum(dowels.F_t_Rk(k_2, f_u, A_t[smaller]), bears) if layouts.faces == "two steel" else np.zeros(d.shape)
    return Fastener(d, dowels.M_y_Rk(f_u, d), F_ax, dowels.rope_share("bolt"), clearance)


def _plane(layouts: SpliceLayouts, wood: Timber, d: Floats, alpha: float) -> tuple[PlaneValue, int]:
    """Weakest plane of one bolt of a ply, load at an angle to its grain, and the ply's planes."""
    sheet, fastener = Calculation(), _fastener(layouts, wood, d)
    ply = Member(float(to_mm(layouts.ply_thickness)), dowels.embedment(wood.rho_k, d, alpha, wood.kind))
    plate = Member(np.asarray(to_mm(layouts.plate_thickness)), None)
    if layouts.faces == "one steel":
        return single(plate, ply, fastener, sheet), 1
    if layouts.faces == "two steel":
        return double(plate, ply, fastener, sheet), 2
    if layouts.faces not in ("steel and wood", "wood") or layouts.block_wood is None:
        raise NotCovered(f"plies held by '{layouts.faces}'", f"{DOCUMENT} 8.2")
    other = timber(layouts.block_wood)
    block = Member(float(to_mm(layouts.block_thickness)), dowels.embedment(other.rho_k, d, alpha, other.kind))
    if layouts.faces == "wood":
        return double(ply, block, fastener, sheet), 1
    trials = [double(plate, ply, fastener, sheet), double(block, ply, fastener, sheet), double(ply, block, fastener, sheet)]
    F = np.stack([np.broadcast_to(t.F, d.shape) for t in trials])
    mode = np.stack([np.broadcast_to(t.mode, d.shape) for t in trials])
    which = np.argmin(F, axis=0)
    return PlaneValue(np.min(F, axis=0), np.take_along_axis(mode, which[None], axis=0)[0]), 2


def _block(layouts: SpliceLayouts, wood: Timber, d: Floats, hole: Floats) -> Floats:
    """Characteristic resistance of the ply (N) by annex A; under a plate on one face the weaker of block and plug."""
    end, spacing, gauge = (np.asarray(to_mm(x)) for x in (layouts.end, layouts.spacing, layouts.gauge))
    t = float(to_mm(layouts.ply_thickness))
    shear = brittle.L_net_v(end, np.where(layouts.per_row > 1, spacing, 0.0), layouts.per_row, hole)
    across = brittle.L_net_t((layouts.rows - 1) * gauge, layouts.rows, hole)
    area = brittle.A_net_v_block(shear, t)
    if layouts.faces != "two steel":
        f_h, M_y = dowels.f_h_0_k(wood.rho_k, d), dowels.M_y_Rk(float(to_MPa(layouts.bolt_tensile)), d)
        depth = np.minimum(brittle.t_ef_thin(f_h, t, d, M_y), brittle.t_ef_thick(f_h, t, d, M_y))
        area = np.minimum(area, brittle.A_net_v_plug(shear, across, depth))
    return np.asarray(brittle.F_bs_Rk(brittle.A_net_t(across, t), wood.f_t_0_k, area, wood.f_v_k), dtype=float)


def splice_values(layouts: SpliceLayouts) -> SpliceValues:
    """Design resistances (lb) of one ply on one side of its cut, and least distances (in), per layout (L,).

    Raises: NotCovered for a wood without values, bolts or holes outside 8.5.1 and 10.4.3, or an arrangement that chapter 8 does not cover
    """
    _refuse(layouts)
    wood = timber(layouts.wood)
    (k_mod,), _ = design.k_mod(wood.product, wood.wet, (layouts.duration,))
    if layouts.block_wood is not None:
        other = timber(layouts.block_wood)
        k_mod = min(k_mod, design.k_mod(other.product, other.wet, (layouts.duration,))[0][0])
    joint, _ = design.gamma_M("connections")
    d = np.asarray(to_mm(layouts.diameter), dtype=float)
    hole = d + float(to_mm(layouts.hole_oversize))
    along, planes = _plane(layouts, wood, d, 0.0)
    across, _ = _plane(layouts, wood, d, math.pi / 2)
    n_ef = dowels.n_ef_0(layouts.per_row, np.asarray(to_mm(layouts.spacing)), d)
    partial, _ = design.gamma_M(wood.product)
    t, h = float(to_mm(layouts.ply_thickness)), float(to_mm(layouts.ply_depth))
    f_t = design.X_d(k_mod, float(design.size_factor(wood.product, max(t, h))[0]) * wood.f_t_0_k, partial)
    forces = {
        BOLTS: design.R_d(k_mod, planes * layouts.rows * n_ef * along.F, joint),
        ONE_ACROSS: design.R_d(k_mod, planes * across.F, joint),
    }
    net = brittle.N_net_Rd(f_t, t, h, layouts.rows, hole)
    if layouts.tension:
        forces[NET_SECTION] = net
        if layouts.faces != "wood":  # annex A is for steel on timber
            forces[BLOCK] = design.R_d(k_mod, _block(layouts, wood, d, hole), joint)
    arm = np.asarray(to_mm(lever(layouts)))
    if np.any(arm > 0):
        # 6.17 set to one; one column's share of the force bends the ply off its middle, blocks and bolts holding it at every column (ours)
        f_m = design.X_d(k_mod, float(design.size_factor(wood.product, t)[0]) * wood.f_m_k, partial)
        bent = np.maximum(f_m * t**2 / 6 * (h - layouts.rows * hole), 1e-9)
        forces[OFF_MIDDLE] = 1 / (1 / np.maximum(net, 1e-9) + arm / layouts.per_row / bent)
    bending = None
    if layouts.block_wood is not None:
        forces[NET_OF_BLOCK], bending = _structural_block(layouts, timber(layouts.block_wood), hole, k_mod)
    capacities = {name: np.asarray(from_N(np.asarray(value, dtype=float))) for name, value in forces.items()}
    return SpliceValues(capacities, _least(layouts, d), {}, _cites(), tuple(along.mode.tolist()), bending)


def _structural_block(layouts: SpliceLayouts, wood: Timber, hole: Floats, k_mod: float) -> tuple[Floats, Floats]:
    """What the block between two plies lets the force (N) of one ply be, and its moment in the plane of the truss (in-lb)."""
    partial, _ = design.gamma_M(wood.product)
    t, h = float(to_mm(layouts.block_thickness)), float(to_mm(layouts.ply_depth))
    f_t = design.X_d(k_mod, float(design.size_factor(wood.product, max(t, h))[0]) * wood.f_t_0_k, partial)
    f_m = design.X_d(k_mod, float(design.size_factor(wood.product, h)[0]) * wood.f_m_k, partial)
    rows, gauge = layouts.rows, np.asarray(to_mm(layouts.gauge))
    I_net = np.maximum(t * h**3 / 12 - t * hole * (rows * (rows**2 - 1) / 12 * gauge**2 + rows * hole**2 / 12), 0.0)
    force = np.asarray(brittle.N_net_Rd(f_t, t, h, rows, hole), dtype=float) / share_of_block(layouts)
    return force, np.asarray(from_N(f_m * I_net / (h / 2) / 2)) / float(to_mm(1.0))


def _least(layouts: SpliceLayouts, d: Floats) -> dict[str, tuple[Floats, Floats]]:
    def least(quantity: str, load: str = "any") -> Floats:
        return np.asarray(from_mm(np.asarray(least_distance(quantity, load, d=d, angle=0.0), dtype=float)))

    loads = [name for name, counts in (("tension", layouts.tension), ("compression", layouts.compression)) if counts]
    end = np.max(np.stack([least("end", load) for load in loads]), axis=0)
    return {
        "end distance": (end, layouts.end),
        "spacing in a row": (np.where(layouts.per_row > 1, least("spacing_along_grain"), 0.0), layouts.spacing),
        "edge distance": (least("edge"), layouts.ply_depth / 2 - (layouts.rows - 1) * layouts.gauge / 2),
        "row spacing": (np.where(layouts.rows > 1, least("spacing_across_grain"), 0.0), layouts.gauge),
    }


def _cites() -> dict[str, Cite]:
    table = read_table(TABLES, DISTANCES)
    rows = {name: next(r for r in table if r["quantity"] == quantity) for name, quantity in LEAST.items()}
    return {name: replace(table.cite(r), clause=f"8.5.1.1, {r['clause']}") for name, r in rows.items()}
