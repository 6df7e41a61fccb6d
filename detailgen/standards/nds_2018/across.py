"""Wood pressed across its grain by a block or plate (3.10.2): an AcrossRequest in, CheckResults out."""

from __future__ import annotations

import numpy as np

from detailgen.core.clause import Calculation, Cite
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult, State, cannot_be_checked
from detailgen.core.tolerance import at_most
from detailgen.standards.interface import AcrossRequest
from detailgen.standards.nds_2018 import adjustment, members, reference
from detailgen.standards.nds_2018.adjustment import DOCUMENT, NO_TEMPERATURE
from detailgen.standards.nds_2018.method import ALLOWABLE, Method

ACROSS, ACROSS_CLAUSE = "compression across the grain", "3.10.2"


def across_checks(request: AcrossRequest, by: Method = ALLOWABLE) -> tuple[CheckResult, ...]:
    """Bearing stress of each combination against F_c_perp' with the bearing area factor (3.10.2, 3.10.4); duration does not count."""
    cite = Cite(DOCUMENT, ACROSS_CLAUSE)
    try:
        values = reference.wood_values(request.wood, request.thickness / request.plies, request.depth)
        factors = adjustment.factors(values, request.thickness / request.plies, request.depth)
    except NotCovered as error:
        return (cannot_be_checked(request.where, ACROSS, error.what, cite, stage=request.stage),)
    sheet = Calculation()
    P = sheet.given("P", request.push, "lb", Cite("analysis", request.pushed_by))
    area = sheet.given("A", request.thickness * request.length, "in2", Cite("detail", "thickness of the plies times length of the block"))
    stress = np.asarray(sheet(members.f_c_perp, P=P, A=area))
    factor = sheet(members.C_b, l_b=request.length, end=request.end)
    wet = factors.C_M["Fc_perp"]
    value = sheet(
        by.F_c_perp_prime, F_c_perp=sheet.given("F_c_perp", values.Fc_perp, "psi", values.cite_of("Fc_perp")),
        **by.terms(sheet, "Fc_perp", 1.0, cite),
        C_M=sheet.given("C_M", wet.value, "-", wet.cite), C_t=sheet.given("C_t", 1.0, "-", NO_TEMPERATURE), C_b=factor,
    )  # fmt: skip
    results = []
    for k, name in enumerate(request.combinations):
        ratio = float(stress[k] / float(value))
        state = State.PASSES if at_most(ratio, 1.0) else State.DOES_NOT_PASS
        numbers = float(stress[k]), float(value), "psi", ratio
        results.append(CheckResult(request.where, ACROSS, *numbers, state, name, request.stage, float("nan"), cite, sheet, k))
    return tuple(results)
