"""From the published cases of EN 1995-1-1 to the product's functions: units and names, nothing else."""

from __future__ import annotations

from math import pi
from typing import Any

from case_files import Adapter, Rounding

from detailgen.standards.en1995_1_1 import built_up, design, distances, dowels, members

DEG = pi / 180
KN = 1000.0
KNM = 1e6
NM = 1000.0


def axial_group(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    return {"R_d_kN": dowels.axial_group(inputs["n"], inputs["R_Tk_kN"] * KN, inputs["kmod"], inputs["gammaM"]) / KN}


def bearing_at_angle(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    along = design.X_d(inputs["kmod"], inputs["fc0k_MPa"], inputs["gammaM"])
    across = design.X_d(inputs["kmod"], inputs["fc90k_MPa"], inputs["gammaM"])
    return {"fcad_MPa": float(members.f_c_alpha_d(along, across, inputs["kc90"], inputs["angle_deg"] * DEG))}


def bolt_tension(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    return {"F_N": float(dowels.F_t_Rk(1.0, inputs["fu_MPa"], inputs["At_mm2"]))}  # the example leaves out the k_2 of EN 1993-1-8


def column(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    found = members.column(
        l_ef=inputs["L_mm"], b=inputs["b_mm"], h=inputs["h_mm"], f_c_0_k=inputs["fc0k_MPa"], E_0_05=inputs["E005_MPa"], beta_c=inputs["beta_c"],
        k_mod=inputs["kmod"], gamma_M=inputs["gammaM"],
    )  # fmt: skip
    return {"lam": found.slenderness, "lam_rel": found.relative, "kc": found.k_c, "fc0d_MPa": found.f_c_0_d, "Nrd_kN": found.N_Rd / KN}


def compression_bending(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    # the answers count k_h of solid timber (3.2(3)), and none for glulam
    sawn = design.product_of(inputs["beta_c"]) == "sawn"
    k_h_y, k_h_z = (float(design.size_factor("sawn", inputs[side])[0]) if sawn else 1.0 for side in ("h_mm", "b_mm"))
    found = members.compression_bending_rectangle(
        N=inputs["N_kN"] * KN, M_y=inputs["My_kNm"] * KNM, M_z=inputs["Mz_kNm"] * KNM, l_ef=inputs["L_mm"], b=inputs["b_mm"], h=inputs["h_mm"],
        f_c_0_k=inputs["fc0k_MPa"], f_m_k=inputs["fmk_MPa"], E_0_05=inputs["E005_MPa"], beta_c=inputs["beta_c"], k_mod=inputs["kmod"],
        gamma_M=inputs["gammaM"], k_m=inputs["km"], k_h_y=k_h_y, k_h_z=k_h_z,
    )  # fmt: skip
    return {"kc_z": found.value, "u_6_24": found.ratio}


def design_strength(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    return {"fd_MPa": float(design.X_d(inputs["kmod"], inputs["fk_MPa"], inputs["gammaM"]))}


def distance(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    value = distances.printed_distance(
        inputs["quantity"], d=inputs["d_mm"], alpha=inputs["alpha_deg"], fastener=inputs["fastener"], product=inputs["product"]
    )
    return {"distance_mm": rounding("distance_mm", value)}


def effective_number(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    return {"n_ef": rounding("n_ef", float(dowels.n_ef_0(inputs["n"], inputs["a1_over_d"], 1.0)))}


def embedment(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    value = dowels.embedment(inputs["rho_k_kg_m3"], inputs["d_mm"], inputs["alpha_deg"] * DEG, inputs["wood"])
    return {"fh_k_MPa": rounding("fh_k_MPa", float(value))}


def gamma_method(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    found = built_up.two_parts(
        E_1=inputs["E1_MPa"], b_1=inputs["b1_mm"], h_1=inputs["h1_mm"], E_2=inputs["E2_MPa"], b_2=inputs["b2_mm"], h_2=inputs["h2_mm"],
        s=inputs["s_mm"], K=inputs["K_N_per_mm"], l=inputs["L_mm"],
    )  # fmt: skip
    return {"EIef_Nmm2": found.EI_ef}


def slenderness(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    return {"lam": float(members.slenderness(inputs["L_mm"], inputs["b_mm" if inputs["axis"] == "z" else "h_mm"]))}


def tension_bending(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    found = members.tension_bending_rectangle(
        N=inputs["N_kN"] * KN, M=inputs["M_kNm"] * KNM, b=inputs["b_mm"], h=inputs["h_mm"], f_t_0_k=inputs["ft0k_MPa"], f_m_k=inputs["fmk_MPa"],
        k_mod=inputs["kmod"], gamma_M=inputs["gammaM"],
    )  # fmt: skip
    return {"ft0d_MPa": found.value, "u": found.ratio}


def thick_outer_plates(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    free, capped = dowels.thick_outer_plates_mode_m(
        inputs["rho_k_kg_m3"], inputs["d_mm"], inputs["alpha_deg"] * DEG, inputs["wood"], inputs["fu_MPa"], inputs["Fax_Rk_N"]
    )
    return {"F_without_cap_N": free, "F_capped_N": capped}


def washer_bearing(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    return {"F_N": dowels.plate_as_washer(inputs["fc90k_MPa"], inputs["t_plate_mm"], inputs["d_mm"], inputs["hole_mm"])}


def yield_moment(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    return {"My_Rk_Nm": rounding("My_Rk_Nm", float(dowels.M_y_Rk(inputs["fu_MPa"], inputs["d_mm"])) / NM)}


ADAPTERS: dict[str, Adapter] = {
    "ec5_axial_group": axial_group,
    "ec5_bearing_at_angle": bearing_at_angle,
    "ec5_bolt_tension": bolt_tension,
    "ec5_column": column,
    "ec5_compression_bending": compression_bending,
    "ec5_design_strength": design_strength,
    "ec5_distance": distance,
    "ec5_effective_number": effective_number,
    "ec5_embedment": embedment,
    "ec5_gamma_method": gamma_method,
    "ec5_slenderness": slenderness,
    "ec5_tension_bending": tension_bending,
    "ec5_thick_outer_plates_mode_m": thick_outer_plates,
    "ec5_washer_bearing": washer_bearing,
    "ec5_yield_moment": yield_moment,
}
