"""Wood pressed across its grain by a block or plate (6.1.5), and what creep adds in the long run (3.1.4)."""

from __future__ import annotations

import math

import numpy as np

from detailgen.core.clause import Calculation, Cite, Number
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult, State, cannot_be_checked
from detailgen.core.table import read_table
from detailgen.core.tolerance import at_most
from detailgen.standards.en1995_1_1 import design
from detailgen.standards.en1995_1_1.design import DOCUMENT, TABLES, service_class
from detailgen.standards.en1995_1_1.edge import from_MPa, to_mm, to_N
from detailgen.standards.en1995_1_1.reference import timber
from detailgen.standards.interface import AcrossRequest, WoodGrade

ACROSS, CLAUSE = "compression across the grain", "6.1.5, equation 6.3"


def A_ef(b: Number, l: Number, end: Number) -> Number:
    """Area that counts in compression across the grain: the contact length is made longer on both sides, where wood goes on.

    b: width of the contact, mm
    l: length of the contact along the grain, mm
    end: distance from the contact to the wood's end, mm
    Returns: mm2
    Source: EN 1995-1-1:2004+A1, 6.1.5(1)
    """
    return b * (l + np.minimum(30.0, l) + np.minimum(np.minimum(30.0, l), end))


def sigma_c_90_d(F_c_90_d: Number, A_ef: Number) -> Number:
    """Stress across the grain.

    F_c_90_d: force across the grain, N
    A_ef: area that counts, mm2
    Returns: MPa
    Source: EN 1995-1-1:2004+A1, 6.1.5(1), equation 6.4
    """
    return F_c_90_d / A_ef


def creep(wood: WoodGrade) -> tuple[float, Cite]:
    """k_def of a wood. Raises NotCovered for a product without a row."""
    table = read_table(TABLES, "k_def")
    row = table.find(product=wood.product, service_class=float(service_class(wood.wet)))
    return float(row["k_def"]), table.cite(row)


def across_checks(request: AcrossRequest) -> tuple[CheckResult, ...]:
    """Each combination against f_c_90_d with k_c_90 = 1 (safe side: no greater value is counted for a single support)."""
    cite = Cite(DOCUMENT, CLAUSE)
    try:
        wood = timber(request.wood)
        k_mod, duration = design.k_mod(wood.product, wood.wet, request.durations)
        partial, partial_cite = design.gamma_M(wood.product)
    except NotCovered as error:
        return (cannot_be_checked(request.where, ACROSS, error.what, cite, stage=request.stage),)
    sheet = Calculation()
    F = sheet.given("F_c_90_d", to_N(request.push), "N", Cite("analysis", request.pushed_by))
    b, length, end = (float(to_mm(v)) for v in (request.thickness, request.length, request.end))
    stress = np.asarray(sheet(sigma_c_90_d, F_c_90_d=F, A_ef=sheet(A_ef, b=b, l=length, end=end)))
    f_k = sheet.given("f_c_90_k", wood.f_c_90_k, "MPa", wood.cite_of("f_c_90_k"))
    factor = sheet.given("k_mod", k_mod, "-", duration)
    value = np.asarray(sheet(design.X_d, k_mod=factor, X_k=f_k, gamma_M=sheet.given("gamma_M", partial, "-", partial_cite)))
    results = []
    for k, name in enumerate(request.combinations):
        ratio = float(stress[k] / value[k])
        state = State.PASSES if at_most(ratio, 1.0) else State.DOES_NOT_PASS
        numbers = from_MPa(float(stress[k])), from_MPa(float(value[k])), "psi", ratio
        results.append(CheckResult(request.where, ACROSS, *numbers, state, name, request.stage, math.nan, cite, sheet, k))
    return tuple(results)
