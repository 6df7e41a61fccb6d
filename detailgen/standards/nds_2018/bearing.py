"""End grain that pushes on a face (3.10.1), also at an angle to the grain (3.10.3): a BearingRequest in, CheckResults out."""

from __future__ import annotations

import numpy as np

from detailgen.core.clause import Calculation, Cite
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult, State, cannot_be_checked
from detailgen.core.tolerance import at_most
from detailgen.standards.interface import BearingRequest
from detailgen.standards.nds_2018 import adjustment, members, reference
from detailgen.standards.nds_2018.adjustment import DOCUMENT, NO_TEMPERATURE
from detailgen.standards.nds_2018.method import ALLOWABLE, Method

CHECK = "end bearing"
CLAUSE, ANGLED = "3.10.1", "3.10.3"


def bearing_checks(request: BearingRequest, by: Method = ALLOWABLE) -> tuple[CheckResult, ...]:
    """Bearing stress of each combination that pushes, against F_c* on a steel face, and 75 % of it on wood (3.10.1.3); at an angle to the grain
    against F_theta' (3.10.3)."""
    clause = ANGLED if request.angle else CLAUSE
    try:
        values = reference.wood_values(request.wood, request.thickness, request.depth)
        times, cite = by.times(request.durations)
        factors = adjustment.factors(values, request.thickness, request.depth)
    except NotCovered as error:
        return (cannot_be_checked(request.where, CHECK, error.what, Cite(DOCUMENT, clause), stage=request.stage),)
    pushing = [k for k, force in enumerate(request.axial) if force < 0]
    if not pushing:
        return ()
    sheet = Calculation()
    P = sheet.given("P", -request.axial[pushing], "lb", Cite("analysis", "axial force"))
    area = sheet.given("A", request.area, "in2", Cite("survey", "contact face"))
    stress = sheet(members.f_c, P=P, A=area)
    F_c = sheet.given("F_c", values.Fc, "psi", values.cite_of("Fc"))
    own = by.terms(sheet, "Fc", np.array(times)[pushing], cite)
    wet, size = factors.C_M["Fc"], factors.C_F["Fc"]
    C_M, C_F = sheet.given("C_M", wet.value, "-", wet.cite), sheet.given("C_F", size.value, "-", size.cite)
    C_t = sheet.given("C_t", 1.0, "-", NO_TEMPERATURE)
    star = sheet(by.F_c_star, F_c=F_c, **own, C_M=C_M, C_t=C_t, C_F=C_F)
    if request.angle:
        press, dry = values.Fc_perp, factors.C_M["Fc_perp"]
        across = sheet(
            by.F_c_perp_prime, F_c_perp=sheet.given("F_c_perp", press, "psi", values.cite_of("Fc_perp")), **by.terms(sheet, "Fc_perp", 1.0, cite),
            C_M=sheet.given("C_M of F_c_perp", dry.value, "-", dry.cite), C_t=C_t, C_b=1.0,
        )  # fmt: skip
        star = sheet(members.F_theta_prime, F_c_star=star, F_c_perp_prime=across, theta=request.angle)
    limit = star if request.steel_face else sheet(members.bearing_limit, F_c_star=star)
    results = []
    for k, combination in enumerate(pushing):
        ratio = float(stress[k] / limit[k])
        state = State.PASSES if at_most(ratio, 1.0) else State.DOES_NOT_PASS
        name, cite = request.combinations[combination], Cite(DOCUMENT, clause)
        numbers = float(stress[k]), float(limit[k]), "psi", ratio
        results.append(CheckResult(request.where, CHECK, *numbers, state, name, request.stage, float("nan"), cite, sheet, k))
    return tuple(results)
