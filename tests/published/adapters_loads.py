"""Published cases of loads: snow of both editions, combinations."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from detailgen.standards import asce7_16, asce7_22
from detailgen.standards.asce7_16 import combinations as combinations_16
from detailgen.standards.asce7_16 import roofs as roofs_16
from detailgen.standards.asce7_22 import combinations as combinations_22
from detailgen.standards.asce7_22 import roofs as roofs_22

Rounding = Callable[[str, float], float]
COMBINATIONS = {asce7_16.STANDARD.key: combinations_16.TABLE, asce7_22.STANDARD.key: combinations_22.TABLE}


def asd_combination(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    if inputs["edition"] not in COMBINATIONS:
        raise NotImplementedError(f"combinations of {inputs['edition']}")
    loads = {k: v for k, v in inputs.items() if k not in ("edition", "name")}
    return {"total": COMBINATIONS[inputs["edition"]].combine(inputs["name"], loads)}


def snow_drift_asce7_22(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    return {"hd_ft": roofs_22.drift_height(inputs["pg_psf"], inputs["lu_ft"], inputs["W2"])}


def snow_gable_unbalanced(inputs: dict[str, Any], rounding: Rounding) -> dict[str, float]:
    found = roofs_16.gable_unbalanced(inputs["pg_psf"], inputs["W_ft"], inputs["S"], inputs["ps_psf"])
    return {"gamma_pcf": found.density, "hd_ft": found.height, "surcharge_psf": found.surcharge, "windward_psf": found.windward}


ADAPTERS: dict[str, Callable[[dict[str, Any], Rounding], dict[str, float]]] = {
    f.__name__: f for f in (asd_combination, snow_drift_asce7_22, snow_gable_unbalanced)
}
