"""From the published cases of strand and of a stressed chord to the product's functions: units and names, nothing else."""

from __future__ import annotations

from typing import Any

from case_files import Adapter, Rounding

from detailgen.standards.aci318_19 import limits, losses
from detailgen.standards.astm_a416 import strand

KSI = 1000.0
KIP = 1000.0
FOOT = 12.0


def elongation(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    return {"dL_in": float(losses.elongation(inputs["P_kip"] * KIP, inputs["L_ft"] * FOOT, inputs["A_in2"], inputs["E_ksi"] * KSI))}


def force_limits(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    breaking = strand.F_pu(inputs["fpu_ksi"] * KSI, inputs["A_in2"])
    names = {"eff_065_kip": "service", "jack_080_kip": "jacking", "anchor_070_kip": "after seating"}
    return {name: limits.F_of(when, float(breaking)) / KIP for name, when in names.items()}


def fraction(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    return {"fraction": float(limits.fraction(inputs["P_kip"] * KIP, strand.F_pu(inputs["fpu_ksi"] * KSI, inputs["A_in2"])))}


def strain(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    stress = losses.delta_f_strain(inputs["strain"], inputs["E_ksi"] * KSI)
    return {"dsigma_ksi": float(stress) / KSI, "dP_kip": float(losses.delta_P(stress, inputs["A_in2"])) / KIP}


def strength(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    return {"breaking_kip": float(strand.F_pu(inputs["fpu_ksi"] * KSI, inputs["A_in2"])) / KIP}


def creep_loss(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    value = losses.delta_P_creep(
        P=inputs["P_kip"] * KIP, phi=inputs["phi"], chi=inputs["chi"], eps_sh=inputs.get("eps_sh", 0.0), E_p=inputs["Ep_ksi"] * KSI,
        A_p=inputs["Ap_in2"], E_w=inputs["Ew_ksi"] * KSI, A_w=inputs["Aw_in2"],
    )  # fmt: skip
    return {"dP_kip": float(value) / KIP}


def wedge_seating(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    stress = losses.delta_f_seat(inputs["seat_in"], inputs["L_ft"] * FOOT, inputs["E_ksi"] * KSI)
    return {"dsigma_ksi": float(stress) / KSI, "fraction": float(limits.fraction(losses.delta_P(stress, inputs["A_in2"]), inputs["P_kip"] * KIP))}


def post_tensioned_chord(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    share = losses.strand_share(inputs["Ep_ksi"] * KSI, inputs["Ap_in2"], inputs["Ew_ksi"] * KSI, inputs["Aw_in2"])
    dead, stressed, later = inputs["ND_kip"] * KIP, inputs["P_kip"] * KIP, inputs["dN_kip"] * KIP
    return {
        "strand_share": float(share),
        "chord_after_jack_kip": float(losses.N_chord(dead, stressed, 0.0, share)) / KIP,
        "chord_final_kip": float(losses.N_chord(dead, stressed, later, share)) / KIP,
        "strand_final_kip": float(losses.P_strands(stressed, later, share)) / KIP,
    }


ADAPTERS: dict[str, Adapter] = {
    "post_tensioned_chord": post_tensioned_chord,
    "strand_elongation": elongation,
    "strand_force_limits": force_limits,
    "strand_fraction_of_strength": fraction,
    "strand_strain": strain,
    "strand_strength": strength,
    "timber_creep_loss": creep_loss,
    "wedge_seating_loss": wedge_seating,
}
