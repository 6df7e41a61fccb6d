"""Published cases of members, snow, combinations and arc geometry: names and units of a case -> one product function."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from detailgen.core import geometry
from detailgen.standards.asce7_16 import roofs
from detailgen.standards.nds_2018 import adjustment, columns, members

Rounding = Callable[[str, float], float]
DEGREE = math.pi / 180
FOOT = 12.0


def arc_geometry(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    arc = geometry.arc_slopes(inputs["span_ft"], inputs["rise_ft"])
    return {
        "R_ft": arc.radius,
        "eave_slope_deg": arc.eave_slope / DEGREE,
        "chord_slope_deg": arc.chord_slope / DEGREE,
        "x_30deg_ft": arc.crown_to_30,
    }


def end_grain_bearing(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    found = members.end_grain_bearing(inputs["P_lb"], inputs["b_in"], inputs["h_in"], inputs["Fc_psi"], inputs["CD"])
    return {
        "fc_psi": found.f_c,
        "Fc_star_psi": found.F_c_star,
        "limit_075_psi": found.limit,
        "steel_plate_needed": float(found.plate_needed),
        "ratio": found.ratio,
    }


def hankinson(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    return {"value": float(members.F_theta_prime(inputs["parallel"], inputs["perpendicular"], inputs["angle_deg"] * DEGREE))}


def nds_adjusted_value(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    factors = {f"C_{name}": inputs[f"C{name}"] for name in ("D", "M", "F", "r") if f"C{name}" in inputs}
    volume = inputs.get("volume")
    size = (volume["L_ft"], volume["d_in"], volume["b_in"], volume["x"]) if volume else None
    return {"adjusted_psi": adjustment.adjusted_value(inputs["property"], inputs["reference_psi"], volume=size, **factors)}


def nds_beam_slenderness(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    found = members.beam_slenderness(inputs["le_over_lu"], inputs["lu_in"], inputs["d_in"], inputs["b_in"])
    return {"le_in": found.l_e, "RB": found.R_B}


def nds_beam_stability_from_ratio(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    return {"CL": float(members.C_L(inputs["FbE_over_Fbstar"], 1.0))}


def nds_built_up_column(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    found = columns.built_up_column(
        n=inputs["n"], t=inputs["t_in"], d_1=inputs["d1_in"], l_1=inputs["l1_in"], l_2=inputs["l2_in"], F_c=inputs["Fc_psi"], C_D=inputs["CD"],
        C_F=inputs["CF"], E_min_prime=inputs["Emin_psi"], K_f=inputs["Kf"],
    )  # fmt: skip
    return {"Cp_strong": found.C_P_strong, "Cp_weak_solid": found.C_P_weak_solid, "Cp_weak": found.C_P_weak, "P_lb": found.P}


def nds_column_buckling_stress(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    found = columns.buckling(inputs["Emin_psi"], inputs["le_in"], inputs["d_in"])
    return {"le_over_d": found.slenderness, "FcE_psi": found.F_cE}


def nds_column_maximum_length(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    found = columns.longest_column(inputs["P_lb"], inputs["Emin_psi"], inputs["Fc_star_psi"], inputs["b_in"], inputs["d_in"], inputs["c"])
    return {"Cp": found.C_P, "FcE_over_Fc_star": found.ratio, "le_over_d": found.slenderness, "le_in": found.l_e}


def nds_column_stability(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    found = columns.column_capacity(inputs["Emin_psi"], inputs["Fc_star_psi"], inputs["le_in"], inputs["d_in"], inputs["area_in2"], inputs["c"])
    return {"le_over_d": found.slenderness, "FcE_over_Fc_star": found.ratio, "Cp": found.C_P, "P_allow_lb": found.P}


def nds_compression_bending(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    found = members.beam_column(
        P=inputs["P_lb"], A=inputs["A_in2"], F_c=inputs["Fc_psi"], C_D=inputs["CD"], C_F=inputs["CFc"], E_min_prime=inputs["Emin_psi"], c=inputs["c"],
        l_e1=inputs["le1_in"], d_1=inputs["d1_in"], d_2=inputs["d2_in"], M_1=inputs.get("M1_inlb", 0.0), e_1=inputs.get("e1_in", 0.0),
        S_1=inputs["S1_in3"], F_b1_prime_value=inputs["Fb1_adj_psi"],
    )  # fmt: skip
    return {"fc_psi": found.f_c, "Cp": found.C_P, "Fc_prime_psi": found.F_c_prime, "fb1_psi": found.f_b1, "ratio": found.ratio}


def nds_modulus_for_stability(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    return {"Emin_psi": rounding("Emin_psi", float(adjustment.E_min(inputs["E_psi"], inputs["COV"], inputs["k"])))}


def nds_size_factor_timbers(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    return {"CF": float(adjustment.C_F_timber(inputs["d_in"]))}


def nds_spaced_column(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    found = columns.spaced_column(
        n=inputs["n"], d_1=inputs["d1_in"], d_2=inputs["d2_in"], l_1=inputs["l1_in"], l_2=inputs["l2_in"], F_c=inputs["Fc_psi"], C_D=inputs["CD"],
        C_F=inputs["CF"], E_min_prime=inputs["Emin_psi"], c=inputs["c"], K_x=inputs["Kx"], slope=inputs["Ks_slope"], greatest=inputs["Ks_max"],
    )  # fmt: skip
    return {
        "l1_over_d1": found.slenderness,
        "FcE1_psi": found.F_cE,
        "Fc_prime_psi": found.F_c_prime,
        "P_lb": found.P,
        "P_if_Kx_1_lb": found.P_single,
        "Ks_psi": found.K_S,
        "end_block_shear_lb": found.block_shear,
    }


def nds_tension_bending_glulam(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    found = members.tension_and_bending_glulam(
        T=inputs["T_lb"], M=inputs["M_inlb"], b=inputs["b_in"], d=inputs["d_in"], L=inputs["L_ft"], x=inputs["x"], l_e=inputs["le_in"],
        F_t=inputs["Ft_psi"], F_b=inputs["Fb_psi"], E_y_min=inputs["Eymin_psi"], C_D=inputs["CD"],
    )  # fmt: skip
    return {
        "ft_psi": found.f_t,
        "fb_psi": found.f_b,
        "CV": found.C_V,
        "CL": found.C_L,
        "ratio_3_9_1": found.tension_face,
        "ratio_3_9_2": found.compression_face,
    }


def nds_volume_factor(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    return {"CV": float(adjustment.C_V(inputs["L_ft"], inputs["d_in"], inputs["b_in"], inputs["x"]))}


def simple_beam_midspan_load(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    found = members.midspan_load(inputs["P_lb"], inputs["P_live_lb"], inputs["L_ft"] * FOOT, inputs["b_in"], inputs["d_in"], inputs["E_psi"])
    return {"S_in3": found.S, "I_in4": found.I, "fb_psi": found.f_b, "fv_psi": found.f_v, "defl_live_in": found.deflection}


def snow_flat_roof(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    return {"pf_psf": rounding("pf_psf", roofs.flat_roof_snow(inputs["Ce"], inputs["Ct"], inputs["Is"], inputs["pg_psf"]))}


def snow_curved_roof(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    flat = rounding("pf_psf", roofs.flat_roof_snow(inputs["Ce"], inputs["Ct"], inputs["Is"], inputs["pg_psf"]))
    if inputs.get("round_pf"):  # the source carries the flat roof load on in whole psf
        flat = round(flat)
    found = roofs.curved_roof_snow(inputs["span_ft"], inputs["rise_ft"], flat, inputs["Ce"], inputs["Ct"], inputs["slippery"])
    half = found.half
    values = {
        "pf_psf": flat,
        "eave_slope_deg": found.eave_slope,
        "chord_slope_deg": found.chord_slope,
        "unbalanced_needed": float(found.needed),
        "Cs_eave": half.C_s_eave,
        "crown_psf": half.at_crown,
        "eave_psf": half.at_eave,
    }
    return values if half.at_30 is None else {**values, "at_30deg_psf": half.at_30}


ADAPTERS: dict[str, Callable[[dict[str, Any], Rounding], dict[str, float]]] = {
    f.__name__: f
    for f in (
        arc_geometry, end_grain_bearing, hankinson, nds_adjusted_value, nds_beam_slenderness, nds_beam_stability_from_ratio,
        nds_built_up_column, nds_column_buckling_stress, nds_column_maximum_length, nds_column_stability, nds_compression_bending,
        nds_modulus_for_stability, nds_size_factor_timbers, nds_spaced_column, nds_tension_bending_glulam, nds_volume_factor,
        simple_beam_midspan_load, snow_flat_roof, snow_curved_roof,
    )
}  # fmt: skip
