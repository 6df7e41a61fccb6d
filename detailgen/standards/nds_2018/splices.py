"""Values of many splice layouts at once, for a search: SpliceLayouts in, SpliceValues out. The same clauses as a single check."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from detailgen.core.clause import Calculation, Cite, Number
from detailgen.core.errors import NotCovered
from detailgen.core.table import read_table
from detailgen.standards.interface import NET_OF_BLOCK, NET_SECTION, OF_BLOCK, OFF_MIDDLE, Floats, SpliceLayouts, SpliceValues, lever, share_of_block
from detailgen.standards.nds_2018 import adjustment, reference
from detailgen.standards.nds_2018.connections import Z_joint, Z_plane
from detailgen.standards.nds_2018.distances import C_delta, greatest_outer_rows, least_distance, wood_kind
from detailgen.standards.nds_2018.dowels import LateralValue, dowel_bearing, lateral_value
from detailgen.standards.nds_2018.group_action import C_g, gamma
from detailgen.standards.nds_2018.local_stress import F_v_connection, local_values
from detailgen.standards.nds_2018.method import ALLOWABLE, Method
from detailgen.standards.nds_2018.reference import GLULAM, STRINGERS, TABLES, ReferenceValues

HOLE_OVER_BOLT = 1 / 16


def _one_bolt(layouts: SpliceLayouts, values: ReferenceValues, *, across: bool = False) -> tuple[Floats, NDArray[np.str_]]:
    """Z (lb) of one bolt for one ply over all its shear planes, along or across its grain, and the mode that governs, per layout."""
    theta = math.pi / 2 if across else 0.0
    D, plate, root = layouts.diameter, layouts.plate_thickness, layouts.root_diameter
    F_e = dowel_bearing(values.G, D, theta)

    def value(planes: int, l_s: Number, F_es: Number) -> LateralValue:
        return lateral_value(planes=planes, D=D, F_yb=layouts.bolt_bending_yield, l_m=layouts.ply_thickness, l_s=l_s, F_em=F_e, F_es=F_es,
                             theta_m=theta, D_r=root)  # fmt: skip

    if layouts.faces == "two steel":
        found = value(2, plate, layouts.steel_bearing)
        Z, mode = found.Z, found.governing
    elif layouts.faces == "one steel":
        found = value(1, plate, layouts.steel_bearing)
        Z, mode = found.Z, found.governing
    elif layouts.faces == "steel and wood" and layouts.block_wood is not None:
        # 12.3.9: more than two planes in the stack, each taken by itself, the least counts for all; a ply has two of them
        block = reference.wood_values(layouts.block_wood, layouts.block_thickness, layouts.ply_depth)
        steel, wood = value(1, plate, layouts.steel_bearing), value(1, layouts.block_thickness, dowel_bearing(block.G, D, theta))
        Z = Z_joint(2.0, np.minimum(steel.Z, wood.Z))
        mode = np.where(np.asarray(steel.Z) <= np.asarray(wood.Z), steel.governing, wood.governing)
    elif layouts.faces == "wood" and layouts.block_wood is not None:
        # ply | block | ply: double shear with the block in the middle, half of it for each ply
        block = reference.wood_values(layouts.block_wood, layouts.block_thickness, layouts.ply_depth)
        found = lateral_value(planes=2, D=D, F_yb=layouts.bolt_bending_yield, l_m=layouts.block_thickness, l_s=layouts.ply_thickness,
                              F_em=dowel_bearing(block.G, D, theta), F_es=F_e, theta_m=theta, D_r=root)  # fmt: skip
        Z, mode = Z_plane(found.Z), found.governing
    else:
        raise NotCovered(f"plies held by '{layouts.faces}'", "NDS 2018 12.3")
    return np.asarray(Z, dtype=float), np.broadcast_to(mode, D.shape)


def slip_modulus(diameter: float | Floats, *, steel: bool = True) -> float | Floats:
    """Load/slip modulus (lb/in) of one bolt of a diameter (in) between wood and steel, or between wood and wood, 11.3.6.1."""
    line = read_table(TABLES, "connection_load_slip").find(members="wood and steel" if steel else "wood and wood")
    return gamma(float(line["coefficient"]), float(line["exponent"]), diameter)


def _group(layouts: SpliceLayouts, values: ReferenceValues) -> Floats:
    """C_g per layout."""
    slip = slip_modulus(layouts.diameter, steel=layouts.faces != "wood")
    steel = float(read_table(TABLES, "connection_factors").find(factor="E_steel", condition="psi")["value"])
    plates = {"two steel": 2, "wood": 0}.get(layouts.faces, 1)
    side = plates * layouts.plates_per_face * layouts.plate_thickness * layouts.plate_width
    modulus = np.full(side.shape, steel)
    if layouts.block_wood is not None:
        block = reference.wood_values(layouts.block_wood, layouts.block_thickness, layouts.ply_depth)
        area = layouts.block_thickness * layouts.ply_depth
        side, modulus = side + area, (steel * side + block.E_axial * area) / (side + area)
    main = (2 if layouts.faces == "wood" else 1) * layouts.ply_thickness * layouts.ply_depth
    several = layouts.per_row > 1
    n = np.where(several, layouts.per_row, 2.0)
    return np.where(several, C_g(n, layouts.spacing, layouts.diameter, slip, values.E_axial, main, modulus, side), 1.0)


def splice_values(layouts: SpliceLayouts, by: Method = ALLOWABLE) -> SpliceValues:
    """Capacities of one ply on one side of its cut, and least distances, per layout (L,).

    Raises: NotCovered for a wood without values, a bolt over 1 in. or an arrangement that chapter 12 does not cover
    """
    greatest = float(read_table(TABLES, "bolt_size").find(quantity="diameter")["greatest"])
    if np.any(layouts.diameter > greatest):
        raise NotCovered(f"a bolt over {greatest:g} in.", "NDS 2018 12.1.3.1")
    values = reference.wood_values(layouts.wood, layouts.ply_thickness, layouts.ply_depth)
    factors = adjustment.factors(values, layouts.ply_thickness, layouts.ply_depth)
    (time,), cite = by.times((layouts.duration,))

    def own(value: str) -> dict[str, float]:
        return by.terms(Calculation(), value, time, cite)

    time_held = by.terms(Calculation(), "connections", min(time, by.greatest_at_connections()), cite)
    wet = read_table(TABLES, "connection_factors").find(factor="C_M", condition="wet" if layouts.wood.wet else "dry")
    D, kind, loads = layouts.diameter, wood_kind(layouts.wood.species), []
    loads += ["tension"] if layouts.tension else []
    loads += ["compression"] if layouts.compression else []
    blocked = layouts.block_wood is not None
    l_D = (min(2 * layouts.ply_thickness, layouts.block_thickness) if blocked else layouts.ply_thickness) / D

    def least(quantity: str, level: str, load: str, row_spacing: Number = 0.0) -> Floats:
        return np.asarray(least_distance(quantity, level, D=D, angle=0.0, load=load, wood=kind, l_D=l_D, row_spacing=row_spacing), dtype=float)

    full_end = np.max(np.stack([least("end", "full", x) for x in loads]), axis=0)
    least_end = np.max(np.stack([least("end", "min", x) for x in loads]), axis=0)
    full_spacing, least_spacing = least("spacing_in_row", "full", "tension"), least("spacing_in_row", "min", "tension")
    edge, between = least("edge", "min", "tension", layouts.gauge), least("between_rows", "min", "tension")
    one = layouts.per_row == 1
    shorter = np.minimum(layouts.end, full_end if layouts.block_end is None else layouts.block_end)
    C_geometry = np.minimum(C_delta(shorter, full_end), np.where(one, 1.0, C_delta(layouts.spacing, full_spacing)))

    Z, modes = _one_bolt(layouts, values)
    adjusted = by.Z_prime(Z=Z, **time_held, C_M=float(wet["value"]), C_t=1.0, C_g=_group(layouts, values), C_delta=C_geometry)
    bolts = layouts.rows * layouts.per_row * adjusted
    F_t = float(by.F_t_prime(F_t=values.Ft, **own("Ft"), C_M=factors.C_M["Ft"].value, C_t=1.0, C_F=factors.C_F["Ft"].value))
    F_v: Number = by.F_v_prime(F_v=values.Fv, **own("Fv"), C_M=factors.C_M["Fv"].value, C_t=1.0)
    if values.size_class == GLULAM:
        row = read_table(TABLES, "connection_factors").find(factor="C_vr", condition="glulam at connections")
        F_v = F_v_connection(F_v, float(row["value"]))
    capacities = {"bolts": bolts}
    local = _local(layouts, layouts.ply_thickness, layouts.end, F_t, float(F_v))
    arm = lever(layouts)
    if np.any(arm > 0):
        flat = adjustment.factors(values, layouts.ply_depth, layouts.ply_thickness) if values.size_class == STRINGERS else factors
        F_b = by.F_b2_prime(F_b=values.Fby, **own("Fb"), C_M=flat.C_M["Fb"].value, C_t=1.0, C_F=flat.C_F["Fb"].value)
        capacities[OFF_MIDDLE] = _off_middle(layouts, F_t, float(F_b), arm)
    block_bending = None
    if layouts.block_wood is not None and layouts.block_end is not None:
        in_block, block_bending = _block(layouts, by)
        capacities |= in_block if layouts.tension else {NET_OF_BLOCK: in_block[NET_OF_BLOCK]}
    # One bolt loaded across the grain, for the moment of a splice: single value of the ply against steel or block across the grain.
    capacities["one bolt across"] = adjusted / Z * _one_bolt(layouts, values, across=True)[0]
    if layouts.tension:
        capacities |= local
    many = layouts.rows > 1
    steel_rows = {}
    limit, limit_cite = greatest_outer_rows(layouts.wood.product, "dry", "wet" if layouts.wood.wet else "dry")
    if layouts.faces != "wood":
        steel_rows = {"outer rows through steel": ((layouts.rows / layouts.plates_per_face - 1) * layouts.gauge, np.full(D.shape, limit))}
    return SpliceValues(
        capacities,
        {
            "end distance": (least_end, layouts.end),
            "spacing in a row": (np.where(one, 0.0, least_spacing), layouts.spacing),
            "edge distance": (edge, layouts.ply_depth / 2 - (layouts.rows - 1) * layouts.gauge / 2),
            "row spacing": (np.where(many, between, 0.0), layouts.gauge),
            **steel_rows,
        },
        {"end distance": full_end, "spacing in a row": np.where(one, 0.0, full_spacing)},
        _cites(limit_cite),
        tuple(modes.tolist()),
        block_bending,
    )


def _local(layouts: SpliceLayouts, t: float, end: Floats, F_t: float, F_v: float) -> dict[str, Floats]:
    """Appendix E for a part of thickness t (in) whose end is so far (in) from the last bolt; its depth is that of the plies."""
    D, names = layouts.diameter, (NET_SECTION, "row tear-out", "group tear-out")
    local = {name: np.zeros_like(D) for name in names}
    critical = np.where(layouts.per_row == 1, end, np.minimum(end, layouts.spacing))
    for count in np.unique(layouts.rows).astype(int):
        k = layouts.rows == count
        found = local_values(
            t=t, w=layouts.ply_depth, D_h=D[k] + HOLE_OVER_BOLT, bolts_per_row=[layouts.per_row[k]] * count, s_row=layouts.gauge[k],
            s_critical=critical[k], n_h=float(count), F_t_prime=F_t, F_v=F_v, Z_prime=1.0,
        )  # fmt: skip
        for name, value in zip(names, (found.Z_NT, found.Z_RT, found.Z_GT), strict=True):
            local[name][k] = value
    return local


def _off_middle(layouts: SpliceLayouts, F_t: float, F_b: float, arm: Floats) -> Floats:
    """Force (lb) of a ply that its splice takes off its middle: equation 3.9-1 set to one, over the net section.

    Each column of bolts brings its part of the force off the middle. Blocks between the two plies and the bolts hold both straight at every
    column, so that no more than one column's moment bends a ply anywhere (ours: beam on firm supports with equal moments over them).
    """
    width = layouts.ply_depth - layouts.rows * (layouts.diameter + HOLE_OVER_BOLT)
    A, S = layouts.ply_thickness * width, layouts.ply_thickness**2 * width / 6
    sound = np.maximum(width, 1e-9) == width
    return np.where(sound, 1 / (1 / (F_t * np.where(sound, A, 1.0)) + arm / layouts.per_row / (F_b * np.where(sound, S, 1.0))), 0.0)


def _block(layouts: SpliceLayouts, by: Method) -> tuple[dict[str, Floats], Floats]:
    """What the block between two plies lets the force (lb) and the moment in the plane of the truss (in-lb) of one ply be."""
    assert layouts.block_wood is not None
    assert layouts.block_end is not None
    wood, t, d = layouts.block_wood, layouts.block_thickness, layouts.ply_depth
    values = reference.wood_values(wood, t, d)
    factors = adjustment.factors(values, t, d)
    (time,), cite = by.times((layouts.duration,))

    def own(value: str) -> dict[str, float]:
        return by.terms(Calculation(), value, time, cite)

    F_t = by.F_t_prime(F_t=values.Ft, **own("Ft"), C_M=factors.C_M["Ft"].value, C_t=1.0, C_F=factors.C_F["Ft"].value)
    F_v: Number = by.F_v_prime(F_v=values.Fv, **own("Fv"), C_M=factors.C_M["Fv"].value, C_t=1.0)
    least = min(values.Fb, values.Fb_neg)
    F_b = by.F_b_0(F_b=least, **own("Fb"), C_M=factors.C_M["Fb"].value, C_t=1.0, C_F=factors.C_F["Fb"].value)
    if values.size_class == GLULAM:
        F_v = F_v_connection(F_v, float(read_table(TABLES, "connection_factors").find(factor="C_vr", condition="glulam at connections")["value"]))
        exponent = float(read_table(TABLES, "glulam_layup").find(species=wood.species)["volume_exponent"])
        F_b = F_b * adjustment.C_V(L=21.0, d=d, b=t, x=exponent)  # no gain is taken for a block shorter than 21 ft
    share = share_of_block(layouts)
    local = {f"{_short(k)} {OF_BLOCK}": v / share for k, v in _local(layouts, t, layouts.block_end, float(F_t), float(F_v)).items()}
    hole, r, g = layouts.diameter + HOLE_OVER_BOLT, layouts.rows, layouts.gauge
    I_net = np.maximum(t * d**3 / 12 - t * hole * (r * (r**2 - 1) / 12 * g**2 + r * hole**2 / 12), 0.0)
    return local, float(F_b) * I_net / (d / 2) / 2


def _short(name: str) -> str:
    return name.removesuffix(" at the bolts")


def _cites(outer_rows: Cite) -> dict[str, Cite]:
    """Where each distance comes from, with the status of its table."""
    table = read_table(TABLES, "bolt_least_distances")
    names = {"end distance": "end", "spacing in a row": "spacing_in_row", "edge distance": "edge", "row spacing": "between_rows"}
    rows = {name: next(r for r in table if r["quantity"] == quantity) for name, quantity in names.items()}
    return {name: replace(table.cite(r), clause=f"12.5.1, {r['clause']}") for name, r in rows.items()} | {"outer rows through steel": outer_rows}
