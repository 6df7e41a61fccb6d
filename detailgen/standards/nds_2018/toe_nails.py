"""Nails driven aslant (12.1.6, 12.5.4): a ToeNailRequest in, CheckResults out."""

from __future__ import annotations

import math

import numpy as np

from detailgen.core.clause import Calculation, Cite, Number
from detailgen.core.errors import NotCovered, OutOfRange
from detailgen.core.result import CheckResult, State, cannot_be_checked
from detailgen.core.table import read_table
from detailgen.core.tolerance import at_most, rounded
from detailgen.standards.interface import ToeNailRequest
from detailgen.standards.nds_2018 import reference
from detailgen.standards.nds_2018.adjustment import DOCUMENT
from detailgen.standards.nds_2018.method import ALLOWABLE, Method
from detailgen.standards.nds_2018.reference import TABLES
from detailgen.standards.nds_2018.screws_and_nails import NAIL, condition_factor, fastener_lateral_value, moisture_factor, nail

CHECK, CLAUSE = "toe-nails", "12.5.4.2"


def l_s_toe(L: Number) -> Number:
    """Length of a toe-nail in the piece that it is driven through.

    L: length of the nail, in
    Returns: in
    Source: NDS 2018, 12.1.6.3
    """
    return L / 3


def p_toe(L: Number, t: Number) -> Number:
    """Depth of a toe-nail in the wood that holds it, driven at 30 degrees from a third of its length above the end of the piece.

    L: length of the nail, in
    t: thickness of the wood that holds it, in
    Returns: in
    Source: NDS 2018, 12.1.6.3 and commentary
    """
    return np.minimum(L * (3**0.5 / 2 - 1 / 3), t)


def Z_toe(n: Number, Z_prime: Number, C_tn: Number) -> Number:
    """Lateral value of all toe-nails together.

    n: number of nails, -
    Z_prime: adjusted lateral value of one nail, lb
    C_tn: toe-nail factor, -
    Returns: lb
    Source: NDS 2018, 12.5.4.2
    """
    return n * Z_prime * C_tn


def toe_nail_checks(request: ToeNailRequest, by: Method = ALLOWABLE) -> tuple[CheckResult, ...]:
    """The load on all nails against their lateral value; the grain does not count under 1/4 in. of diameter (12.3.3)."""
    cite = Cite(DOCUMENT, CLAUSE)
    sheet = Calculation()
    try:
        piece, main = (reference.wood_values(w, request.thickness, request.thickness) for w in (request.piece, request.main))
        table = read_table(TABLES, "nail_sizes")
        row = table.find(size=request.nail)
        L = float(sheet.given("L", float(row["length"]), "in", table.cite(row)))
        G_main = float(sheet.given("G", main.G, "-", main.cite_of("G")))
        l_s, p = float(sheet(l_s_toe, L=L)), float(sheet(p_toe, L=L, t=request.thickness))
        Z, _ = fastener_lateral_value(nail(request.nail), l_s=l_s, p=p, G_main=G_main, G_side=piece.G, sheet=sheet)
        wet = request.piece.wet or request.main.wet
        C_M, moist = moisture_factor("dowel under 1/4 in.", "lateral", "dry", "wet" if wet else "dry")
        C_tn, aslant = condition_factor("C_tn", NAIL, "lateral")
        times, source = by.times(request.durations)
    except (NotCovered, OutOfRange) as error:
        return (cannot_be_checked(request.where, CHECK, str(error), cite, stage=request.stage),)
    time = np.minimum(np.array(times, dtype=float), by.greatest_at_connections())
    own = by.terms(sheet, "connections", time, source)
    Z_prime = sheet(by.Z_prime, Z=Z, **own, C_M=sheet.given("C_M", C_M, "-", moist), C_t=1.0, C_g=1.0, C_delta=1.0)
    capacity = np.asarray(sheet(Z_toe, n=float(request.count), Z_prime=Z_prime, C_tn=sheet.given("C_tn", C_tn, "-", aslant)))
    results = []
    for k, name in enumerate(request.combinations):
        demand, has = rounded(abs(float(request.load[k]))), rounded(float(capacity[k]))
        ratio = rounded(demand / has)
        state = State.PASSES if at_most(ratio, 1.0) else State.DOES_NOT_PASS
        results.append(CheckResult(request.where, CHECK, demand, has, "lb", ratio, state, name, request.stage, math.nan, cite, sheet, k))
    return tuple(results)
