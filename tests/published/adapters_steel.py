"""From the published cases of steel plates to the product's functions: units and names, nothing else. Group shear and slip are not implemented."""

from __future__ import annotations

from typing import Any

from case_files import Adapter, Rounding

from detailgen.standards.aisc360_16.bolt_holes import hole_strengths, least_edge_distance, standard_hole
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


ADAPTERS: dict[str, Adapter] = {
    "aisc_bearing_tear_out": bearing_tear_out,
    "aisc_block_shear": block_shear,
    "aisc_minimum_edge_distance": minimum_edge_distance,
    "aisc_plate_tension": plate_tension,
    "aisc_standard_hole": standard_hole_size,
}
