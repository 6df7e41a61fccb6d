"""From the published cases of steel plates to the product's functions: units and names, nothing else."""

from __future__ import annotations

from typing import Any

from case_files import Adapter, Rounding

from detailgen.standards.aisc360_16.bolt_holes import hole_strengths, least_edge_distance, standard_hole
from detailgen.standards.aisc360_16.bolts import bracket_forces, shear_group
from detailgen.standards.aisc360_16.plate_bending import overhang_line_load, overhang_uniform
from detailgen.standards.aisc360_16.tension import block_shear_strengths, tension_strengths

KSI = 1000.0
KIP = 1000.0


def bearing_tear_out(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    value = hole_strengths(
        t=inputs["t_in"], F_u=inputs["Fu_ksi"] * KSI, d=inputs["d_in"], d_h=inputs["dh_in"], edge=inputs["edge_in"], s=inputs["s_in"]
    )
    return {"edge_bolt_kip": value.edge_bolt / KIP, "inner_bolt_kip": value.inner_bolt / KIP}


def block_shear(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    value = block_shear_strengths(
        A_gv=inputs["Agv_in2"], A_nv=inputs["Anv_in2"], A_nt=inputs["Ant_in2"], F_y=inputs["Fy_ksi"] * KSI, F_u=inputs["Fu_ksi"] * KSI,
        U_bs=inputs["Ubs"],
    )  # fmt: skip
    return {"Rn_kip": value.nominal / KIP, "LRFD_kip": value.design / KIP, "ASD_kip": value.allowable / KIP}


def minimum_edge_distance(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    return {"edge_in": float(least_edge_distance(inputs["bolt_in"])[0])}


def plate_tension(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    value = tension_strengths(
        b=inputs["b_in"], t=inputs["t_in"], F_y=inputs["Fy_ksi"] * KSI, F_u=inputs["Fu_ksi"] * KSI, U=inputs["U"],
        holes=inputs["holes_in_section"], net_hole=inputs["net_hole_in"],
    )  # fmt: skip
    return {
        "Pn_yield_kip": value.nominal_yield / KIP,
        "Pn_rupture_kip": value.nominal_rupture / KIP,
        "LRFD_kip": value.design / KIP,
        "ASD_kip": value.allowable / KIP,
    }


def standard_hole_size(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    return {"hole_in": standard_hole(inputs["bolt_in"])}


def bolt_group(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    value = shear_group(
        n=inputs["n"], A_b=inputs["Ab_in2"], F_nv=inputs["Fnv_ksi"] * KSI, mu=inputs["mu"], T_b=inputs["Tb_k"] * KIP, D_u=inputs["Du"]
    )
    group = value.group
    return {
        "rn_shear_kip": value.one / KIP,
        "Rn_kip": group.nominal / KIP,
        "phiRn_kip": group.design / KIP,
        "Rn_over_Omega_kip": group.allowable / KIP,
        "rn_slip_kip": value.slip / KIP,
    }


def anchor_bracket(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    value = bracket_forces(inputs["P_kip"] * KIP, inputs["e_in"], inputs["line_x_in"], inputs["bolts_per_line"])
    return {"shear_per_bolt_kip": float(value.shear) / KIP, "M_kipin": float(value.moment) / KIP, "tension_max_kip": float(value.tension) / KIP}


def line_load_overhang(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    value = overhang_line_load(inputs["P_kip"] * KIP, inputs["arm_in"], inputs["b_in"], inputs["Fy_ksi"] * KSI)
    return {"M_kipin": value.moment / KIP, "t_in": value.thickness}


def uniform_overhang(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    return {"t_in": overhang_uniform(inputs["q_ksi"] * KSI, inputs["arm_in"], inputs["b_in"], inputs["Fy_ksi"] * KSI).thickness}


ADAPTERS: dict[str, Adapter] = {
    "aisc_bearing_tear_out": bearing_tear_out,
    "aisc_bolt_group": bolt_group,
    "aisc_block_shear": block_shear,
    "aisc_minimum_edge_distance": minimum_edge_distance,
    "aisc_plate_tension": plate_tension,
    "aisc_standard_hole": standard_hole_size,
    "anchor_bracket": anchor_bracket,
    "plate_overhang_line_load": line_load_overhang,
    "plate_overhang_uniform": uniform_overhang,
}
