"""Published cases of split rings, shear plates and strength design: names and units of a case -> one product function."""

from __future__ import annotations

from typing import Any

from case_files import Adapter, Rounding

from detailgen.standards.nds_2018 import connectors, strength_design

NAMES = {
    "split_ring_2_1_2": connectors.SMALL_RING,
    "split_ring_4": connectors.LARGE_RING,
    "shear_plate_2_5_8": connectors.SMALL_PLATE,
    "shear_plate_4": connectors.LARGE_PLATE,
}
EDGES_AND_ENDS = {
    "edge_unloaded": ("edge", "tension", 0.0),
    "edge_loaded": ("edge_loaded", "tension", 90.0),
    "end_tension": ("end", "tension", 0.0),
    "end_compression": ("end", "compression", 0.0),
}
SPACINGS = {
    "par_load_spacing_par": ("along", 0.0),
    "par_load_spacing_perp": ("across", 0.0),
    "perp_load_spacing_par": ("along", 90.0),
    "perp_load_spacing_perp": ("across", 90.0),
}


def distance(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    connector, asked, level = NAMES[inputs["connector"]], inputs["quantity"], inputs["level"]
    if asked in SPACINGS:
        direction, angle = SPACINGS[asked]
        return {"distance_in": connectors.spacing_distance(connector, direction, level, angle)}
    quantity, load, angle = EDGES_AND_ENDS[asked]
    return {"distance_in": connectors.connector_distance(connector, quantity, level, load, angle)}


def factor_at_minimum(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    quantity, load, angle = EDGES_AND_ENDS[inputs["quantity"]]
    connector = NAMES[inputs["connector"]]
    least = connectors.connector_distance(connector, quantity, "min", load, angle)
    return {"C_delta": connectors.distance_factor(connector, quantity, least, load, angle)}


def spacing_factor(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    connector = NAMES[inputs["connector"]]
    return {"C_delta": connectors.spacing_factor(connector, inputs["load_angle_deg"], inputs["axis_angle_deg"], inputs["spacing_in"])}


def spacing_full(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    found = connectors.full_spacing(NAMES[inputs["connector"]], inputs["load_angle_deg"])
    return {"SA_in": found.S_A, "SB_in": found.S_B}


def value(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    found = connectors.connector_value(NAMES[inputs["connector"]], inputs["species_group"], inputs["faces_loaded"], inputs["net_thickness_in"])
    return {"P_lb": found.P, "Q_lb": found.Q}


def format_conversion(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    return {"F_ref_psi": float(strength_design.F_reference(inputs["Fn_psi"], inputs["KF_numerator"], inputs["phi"]))}


ADAPTERS: dict[str, Adapter] = {
    "nds_connector_distance": distance,
    "nds_connector_factor_at_minimum": factor_at_minimum,
    "nds_connector_spacing_factor": spacing_factor,
    "nds_connector_spacing_full": spacing_full,
    "nds_connector_value": value,
    "nds_lrfd_format_conversion": format_conversion,
}
