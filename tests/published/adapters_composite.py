"""Cases of side members: names and units of a case -> one product function."""

from __future__ import annotations

from typing import Any

from case_files import Adapter, Rounding

from detailgen.analysis.composite import crept_over, staged_sister, transformed_section, widened

KIP = 1000.0
KSI = 1000.0


def glued_ratio(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    found = widened(inputs["b1_in"], inputs["b2_in"])
    return {
        "I_ratio": found.inertia,
        "area_ratio": found.area,
        "FcE_ratio": found.F_cE,
        "slenderness_ratio": found.slenderness,
        "centroid_shift_in": found.centroid_shift,
    }


def transformed(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    found = transformed_section(inputs["E1_psi"], inputs["b1_in"], inputs["E2_psi"], inputs["b2_in"], inputs["h_in"])
    return {"ybar_in": found.centroid, "EI_lbin2": found.EI, "ratio_to_original": found.ratio}


def staged(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    found = staged_sister(
        E_1=inputs["E1_ksi"] * KSI, A_1=inputs["A1_in2"], E_2=inputs["E2_ksi"] * KSI, A_2=inputs["A2_in2"], N_dead=inputs["ND_kip"] * KIP,
        N_later=inputs["dN_kip"] * KIP, holes=inputs.get("holes_in2", 0.0), efficiency=inputs.get("joint_eff", 1.0),
        weight=inputs.get("sister_weight_dN_kip", 0.0) * KIP, relieved=inputs.get("relief_fraction", 0.0),
    )  # fmt: skip
    return {
        "N1_kip": found.N_1 / KIP,
        "N2_kip": found.N_2 / KIP,
        "share_old": found.share_old,
        "sigma_dead_gross_psi": found.sigma_dead,
        "sigma_old_net_psi": found.sigma_net,
        "sigma_without_psi": found.sigma_alone,
        "naive_sigma_psi": found.sigma_unstaged,
    }


def creep(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    moved = crept_over(
        E_1=inputs["E1_ksi"] * KSI, A_1=inputs["A1_in2"], E_2=inputs["E2_ksi"] * KSI, A_2=inputs["A2_in2"], N_dead=inputs["ND_kip"] * KIP,
        phi_old=inputs["phi_old_left"], phi_new=inputs["phi_new"], chi=inputs["chi"],
    )  # fmt: skip
    return {"N2_kip": moved / KIP}


ADAPTERS: dict[str, Adapter] = {
    "glued_sister_ratio": glued_ratio,
    "staged_sister": staged,
    "staged_sister_creep": creep,
    "transformed_section": transformed,
}
