"""From the published cases of bolted connections to the product's functions: units and names, nothing else."""

from __future__ import annotations

from math import pi
from typing import Any

from case_files import Adapter, Rounding

from detailgen.standards.nds_2018.distances import bolt_hole_limits, end_distance_factor, l_over_D, least_distance
from detailgen.standards.nds_2018.dowels import F_e_parallel, dowel_bearing, lateral_value
from detailgen.standards.nds_2018.group_action import C_g
from detailgen.standards.nds_2018.local_stress import local_values

DEG = pi / 180


def bolt_distance(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    value = least_distance(
        inputs["quantity"], inputs["level"], D=inputs["D_in"], angle=inputs["angle_deg"], load=inputs["load"], wood=inputs["wood"],
        l_D=inputs.get("l_over_D"),
    )  # fmt: skip
    return {"distance_in": rounding("distance_in", value)}


def bolt_hole(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    least, greatest = bolt_hole_limits(inputs["D_in"])
    return {"hole_min_in": least, "hole_max_in": greatest}


def dowel_bearing_strength(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    if "D_in" in inputs:
        value = dowel_bearing(inputs["G"], inputs["D_in"], inputs["angle_deg"] * DEG)
    elif inputs["angle_deg"] == 0:
        value = F_e_parallel(inputs["G"])
    else:
        raise KeyError("D_in is needed at an angle to grain")
    return {"Fe_psi": rounding("Fe_psi", float(value))}


def bolt_lateral_value(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    main = rounding("Fe_wood_psi", float(dowel_bearing(inputs["G_main"], inputs["D_in"], inputs["angle_main_deg"] * DEG)))
    if inputs["side_material"] == "wood":
        side_angle = inputs["angle_side_deg"] * DEG
        side = rounding("Fe_wood_psi", float(dowel_bearing(inputs["G_side"], inputs["D_in"], side_angle)))
    else:
        side, side_angle = inputs["Fe_side_psi"], 0.0
    value = lateral_value(
        planes=inputs["shear_planes"], D=inputs["D_in"], F_yb=inputs["Fyb_psi"], l_m=inputs["main_thickness_in"], l_s=inputs["side_thickness_in"],
        F_em=main, F_es=side, theta_m=inputs["angle_main_deg"] * DEG, theta_s=side_angle,
    )  # fmt: skip
    return {"Z_lb": rounding("Z_lb", float(value.Z))}


def lag_screw_lateral_value(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    main = rounding("Fe_wood_psi", float(dowel_bearing(inputs["G_main"], inputs["D_in"], inputs["angle_main_deg"] * DEG)))
    value = lateral_value(
        planes=1, D=inputs["D_in"], D_r=inputs["D_root_in"], F_yb=inputs["Fyb_psi"], l_m=inputs["penetration_in"], l_s=inputs["side_thickness_in"],
        F_em=main, F_es=inputs["Fe_side_psi"], theta_m=inputs["angle_main_deg"] * DEG,
    )  # fmt: skip
    return {"Z_lb": rounding("Z_lb", float(value.Z))}


def end_distance(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    value = end_distance_factor(inputs["D_in"], inputs["end_distance_in"], inputs["load"], inputs["wood"], inputs["angle_deg"])
    return {"C_delta": rounding("C_delta", value)}


def group_action_factor(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    value = C_g(
        n=inputs["n_in_row"], s=inputs["s_in"], D=inputs["D_in"], gamma=inputs["gamma_lb_per_in"],
        E_m=inputs["E_main_psi"], A_m=inputs["A_main_in2"], E_s=inputs["E_side_psi"], A_s=inputs["A_side_total_in2"],
    )  # fmt: skip
    return {"C_g": rounding("C_g", float(value))}


def slenderness(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    return {"l_over_D": float(l_over_D(inputs["lm_in"], inputs["ls_total_in"], inputs["D_in"]))}


def local_stresses(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    value = local_values(
        t=inputs["t_in"], w=inputs["w_in"], D_h=inputs["Dh_in"], bolts_per_row=inputs["bolts_per_row"], s_row=inputs["row_spacing_in"],
        s_critical=inputs["s_critical_in"], n_h=inputs["holes_in_net_section"], F_t_prime=inputs["Ft_adj_psi"], F_v=inputs["Fv_adj_psi"],
        Z_prime=inputs["Z_par_adj_lb"], C_g=inputs["Cg"],
    )  # fmt: skip
    return {"nZ_lb": value.bolts, "Z_NT_lb": value.Z_NT, "Z_RT_lb": value.Z_RT, "Z_GT_lb": value.Z_GT, "governs_lb": value.governs}


ADAPTERS: dict[str, Adapter] = {
    "nds_bolt_distance": bolt_distance,
    "nds_bolt_hole": bolt_hole,
    "nds_bolt_lateral_value": bolt_lateral_value,
    "nds_dowel_bearing_strength": dowel_bearing_strength,
    "nds_end_distance_factor": end_distance,
    "nds_group_action_factor": group_action_factor,
    "nds_l_over_D": slenderness,
    "nds_lag_screw_lateral_value": lag_screw_lateral_value,
    "nds_local_stresses": local_stresses,
}
