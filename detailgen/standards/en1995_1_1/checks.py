"""Checks of one wood piece between two joints (6.1 to 6.3) and of end grain that pushes (6.1.4): requests in, CheckResults out.

Forces are design values. Each check is one Calculation over the points that it concerns; a combination's result is its worst point, and
``entry`` says which. Steps are in N and mm; demand and capacity of a result are in inside units.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

import numpy as np

from detailgen.core.clause import Calculation, Cite, Number
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult, State, cannot_be_checked
from detailgen.core.table import read_table
from detailgen.core.tolerance import at_most
from detailgen.standards.en1995_1_1 import design, members, sections
from detailgen.standards.en1995_1_1.design import DOCUMENT, TABLES
from detailgen.standards.en1995_1_1.edge import from_MPa, to_mm, to_mm2, to_mm3, to_N, to_Nmm
from detailgen.standards.en1995_1_1.reference import Timber, timber
from detailgen.standards.interface import BearingRequest, Floats, Ints, MemberRequest

TENSION, TENSION_BENDING = "tension on net section", "tension and bending"
BUCKLING, NET_COMPRESSION = "compression with buckling", "compression on net section"
COMPRESSION_Y, COMPRESSION_Z = "compression and bending, strong axis", "compression and bending, weak axis"
LATERAL, LATERAL_COMPRESSION = "bending with lateral buckling", "lateral buckling with compression"
SHEAR, BEARING, WOOD = "shear", "end bearing", "wood"
NO_FORCE = 1e-3
"""Axial forces (lb) up to this, or up to 1e-6 of the largest, are noise of the analysis and count as none."""
ANALYSIS = "analysis"
Values = TypeVar("Values", Floats, Ints)


def _state(ratio: float) -> State:
    return State.PASSES if at_most(ratio, 1.0) else State.DOES_NOT_PASS


@dataclass
class _Points:
    """The points of a request that one group of checks concerns, on one sheet; strengths come with k_mod of each point."""

    request: MemberRequest
    wood: Timber
    chosen: Ints
    k_mod: Floats
    k_mod_cite: Cite
    sheet: Calculation

    def of(self, values: Values) -> Values:
        return values[self.chosen]

    def strength(self, name: str, size_mm: float | None = None) -> Number:
        """Design strength (MPa) at the points; with a size, its size factor counts."""
        sheet = self.sheet
        value: Number = sheet.given(name, getattr(self.wood, name), "MPa", self.wood.cite_of(name))
        if size_mm is not None:
            factor, cite = design.size_factor(self.wood.product, size_mm)
            value = sheet(sections.X_k_size, k_h=sheet.given("k_h", factor, "-", cite), X_k=value)
        k_mod = sheet.given("k_mod", self.k_mod, "-", self.k_mod_cite)
        partial, cite = design.gamma_M(self.wood.product)
        return np.asarray(sheet(design.X_d, k_mod=k_mod, X_k=value, gamma_M=sheet.given("gamma_M", partial, "-", cite)))

    def results(self, check: str, clause: str, demand: Number, capacity: Number, unit: str) -> list[CheckResult]:
        """The worst point of each combination; stresses in MPa become psi, interactions stay."""
        count, request = len(self.chosen), self.request
        over, under = np.broadcast_to(demand, count), np.broadcast_to(capacity, count)
        ratio = over / under
        ranked = np.round(ratio, 9)
        combination = self.of(request.demands.combination)
        sheet = self.sheet.copy()
        results = []
        for c in np.unique(combination).tolist():
            positions = np.flatnonzero(combination == c)
            k = int(positions[np.argmax(ranked[positions])])
            has, may = (from_MPa(float(x[k])) if unit == "psi" else float(x[k]) for x in (over, under))
            results.append(CheckResult(
                request.where, check, has, may, unit, float(ratio[k]), _state(float(ratio[k])), request.demands.combinations[c],
                request.demands.stage, float(self.of(request.demands.station)[k]), Cite(DOCUMENT, clause, "", sheet.status), sheet, k,
            ))  # fmt: skip
        return results

    def force(self, symbol: str, values: Floats, convert: Callable[[Floats], Floats], unit: str) -> Floats:
        return np.asarray(self.sheet.given(symbol, convert(self.of(values)), unit, Cite(ANALYSIS, symbol)))


@dataclass(frozen=True)
class _Section:
    b: float
    h: float

    @property
    def widest(self) -> float:
        return max(self.b, self.h)


def _bending(p: _Points, s: _Section) -> tuple[Number, Number, Number, Number, Number]:
    """sigma_m_y_d, f_m_y_d, f_m_z_d, k_m and k_crit at the points."""
    request, sheet = p.request, p.sheet
    W = sheet(sections.W_left, W_net=to_mm3(p.of(request.net_modulus)), condition=p.of(request.condition))
    stress = sheet(members.sigma_m_d, M_d=p.force("M_d", np.abs(request.demands.moment), to_Nmm, "Nmm"), W=W)
    f_y, f_z = p.strength("f_m_k", s.h), p.strength("f_m_k", s.b)
    table = read_table(TABLES, "factors")
    k_m = sheet.given("k_m", members.k_m(), "-", table.cite(table.find(symbol="k_m")))
    if request.unbraced_bending <= 0 or s.h <= s.b:
        return stress, f_y, f_z, k_m, sheet.given("k_crit", 1.0, "-", Cite(DOCUMENT, "6.3.3(5) (held, or not deeper than wide)"))
    length = sheet(members.l_ef_bending, l=float(to_mm(request.unbraced_bending)), h=s.h)
    E = sheet.given("E_0_05", p.wood.E_0_05, "MPa", p.wood.cite_of("E_0_05"))
    critical = sheet(members.sigma_m_crit, b=s.b, h=s.h, l_ef=length, E_0_05=E)
    relative = sheet(members.lambda_rel_m, f_m_k=p.wood.f_m_k, sigma_m_crit=critical)
    return stress, f_y, f_z, k_m, float(sheet(members.k_crit, lambda_rel_m=relative))


def _tension(p: _Points, s: _Section) -> list[CheckResult]:
    request, sheet = p.request, p.sheet
    N = p.force("N_d", np.maximum(request.demands.axial, 0.0), to_N, "N")
    A = sheet(sections.A_left, A_net=to_mm2(p.of(request.net_area)), condition=p.of(request.condition))
    stress, value = sheet(members.sigma_t_0_d, N_d=N, A_net=A), p.strength("f_t_0_k", s.widest)
    results = p.results(TENSION, "6.1.2, equation 6.1", stress, value, "psi")
    bent, f_y, f_z, k_m, k_crit = _bending(p, s)
    both = sheet(
        members.tension_and_bending, sigma_t_0_d=stress, f_t_0_d=value, sigma_m_y_d=bent, f_m_y_d=f_y, k_y=1.0, sigma_m_z_d=0.0, f_m_z_d=f_z, k_z=k_m,
    )  # fmt: skip
    results += p.results(TENSION_BENDING, "6.2.3, equation 6.17", both, 1.0, "-")
    alone = sheet(members.bending, sigma_m_d=bent, k_crit=k_crit, f_m_d=f_y)
    return results + p.results(LATERAL, "6.3.3, equation 6.33", alone, 1.0, "-")


def _buckling(p: _Points, length_in: float, across: float, axis: str) -> tuple[float, float]:
    """k_c and relative slenderness of one axis; 1 and 0 where no length is free to buckle."""
    sheet, wood = p.sheet, p.wood
    if length_in <= 0:
        return float(sheet.given(f"k_c_{axis}", 1.0, "-", Cite(DOCUMENT, "6.3.2(2) (held throughout)"))), 0.0
    ratio = sheet(members.slenderness, l_ef=float(to_mm(length_in)), h=across)
    f_c, E = (sheet.given(n, getattr(wood, n), "MPa", wood.cite_of(n)) for n in ("f_c_0_k", "E_0_05"))
    relative = float(sheet(members.lambda_rel, slenderness=ratio, f_c_0_k=f_c, E_0_05=E))
    table = read_table(TABLES, "column_imperfection")
    row = table.find(product=wood.product)
    factor = sheet(members.k_c, lambda_rel=relative, beta_c=sheet.given("beta_c", float(row["beta_c"]), "-", table.cite(row)))
    return float(sheet.given(f"k_c_{axis}", float(factor), "-", Cite(DOCUMENT, "6.3.2"))), relative


def _compression(p: _Points, s: _Section) -> list[CheckResult]:
    request, sheet = p.request, p.sheet
    condition = p.of(request.condition)
    N = p.force("N_d", -request.demands.axial, to_N, "N")
    stress = sheet(members.sigma_c_0_d, N_d=N, A=sheet(sections.A, b=s.b, h=s.h, condition=condition))
    value = p.strength("f_c_0_k")
    results: list[CheckResult] = []
    if np.any(p.of(request.net_area) < request.thickness * request.depth * (1 - 1e-9)):
        net = sheet(members.sigma_c_0_d, N_d=N, A=sheet(sections.A_left, A_net=to_mm2(p.of(request.net_area)), condition=condition))
        results += p.results(NET_COMPRESSION, "6.1.4, equation 6.2", net, value, "psi")
    k_c_y, lambda_y = _buckling(p, request.length_in_plane, s.h, "y")
    k_c_z, lambda_z = _buckling(p, request.length_out_of_plane, s.b, "z")
    results = p.results(BUCKLING, "6.3.2", stress, min(k_c_y, k_c_z) * np.asarray(value), "psi") + results
    bent, f_y, f_z, k_m, k_crit = _bending(p, s)
    M_z = sheet(sections.M_bow, N_d=N, e=float(to_mm(abs(request.bow))))
    z = sheet(members.sigma_m_d, M_d=M_z, W=sheet(sections.W_z, b=s.b, h=s.h, condition=condition))
    terms = {"sigma_c_0_d": stress, "f_c_0_d": value, "sigma_m_y_d": bent, "f_m_y_d": f_y, "sigma_m_z_d": z, "f_m_z_d": f_z}
    stocky = max(lambda_y, lambda_z) <= 0.3
    for check, k_c, k_y, k_z, equations in ((COMPRESSION_Y, k_c_y, 1.0, k_m, ("6.19", "6.23")), (COMPRESSION_Z, k_c_z, k_m, 1.0, ("6.20", "6.24"))):
        if stocky:
            ratio = sheet(members.compression_and_bending_stocky, k_y=k_y, k_z=k_z, **terms)
            results += p.results(check, f"6.2.4, equation {equations[0]}", ratio, 1.0, "-")
        else:
            ratio = sheet(members.compression_and_bending, k_c=k_c, k_y=k_y, k_z=k_z, **terms)
            results += p.results(check, f"6.3.2, equation {equations[1]}", ratio, 1.0, "-")
    side = sheet(members.lateral_buckling, sigma_m_d=bent, k_crit=k_crit, f_m_d=f_y, sigma_c_0_d=stress, k_c_z=k_c_z, f_c_0_d=value)
    return results + p.results(LATERAL_COMPRESSION, "6.3.3, equation 6.35", side, 1.0, "-")


def _shear(p: _Points, s: _Section) -> list[CheckResult]:
    sheet, table = p.sheet, read_table(TABLES, "factors")
    row = table.find(symbol="k_cr")
    k_cr = sheet.given("k_cr", float(row["value"]), "-", table.cite(row))
    V = p.force("V_d", np.abs(p.request.demands.shear), to_N, "N")
    stress = sheet(members.tau_d, V_d=V, k_cr=k_cr, A=sheet(sections.A, b=s.b, h=s.h, condition=p.of(p.request.condition)))
    return p.results(SHEAR, "6.1.7, equation 6.13", stress, p.strength("f_v_k"), "psi")


def member_checks(request: MemberRequest) -> tuple[CheckResult, ...]:
    """Every check of 6.1 to 6.3 that the points of a request call for; a wood or duration that is not covered gives one result that says so."""
    demands = request.demands
    try:
        wood = timber(request.wood)
        k_mod, cite = design.k_mod(wood.product, wood.wet, demands.durations)
        noise = max(NO_FORCE, 1e-6 * float(np.abs(demands.axial).max(initial=0.0)))
        pressed = demands.axial < -noise
        section = _Section(float(to_mm(request.thickness)), float(to_mm(request.depth)))

        def points(chosen: Ints) -> _Points:
            return _Points(request, wood, chosen, k_mod[demands.combination[chosen]], cite, Calculation())

        results: list[CheckResult] = []
        if not pressed.all():
            results += _tension(points(np.flatnonzero(~pressed)), section)
        if pressed.any():
            results += _compression(points(np.flatnonzero(pressed)), section)
        if len(demands.shear):
            results += _shear(points(np.arange(len(demands.shear))), section)
    except NotCovered as error:
        clause = error.clause.removeprefix(f"{DOCUMENT} ") or "chapters 3 and 6"
        return (cannot_be_checked(request.where, WOOD, error.what, Cite(DOCUMENT, clause), stage=demands.stage),)
    return tuple(results)


def bearing_checks(request: BearingRequest) -> tuple[CheckResult, ...]:
    """Compression of end grain on its contact area, for each combination that pushes; the standard asks no steel face for it."""
    clause = "6.1.4, equation 6.2"
    try:
        wood = timber(request.wood)
        k_mod, duration = design.k_mod(wood.product, wood.wet, request.durations)
        partial, partial_cite = design.gamma_M(wood.product)
    except NotCovered as error:
        return (cannot_be_checked(request.where, BEARING, error.what, Cite(DOCUMENT, "6.1.4"), stage=request.stage),)
    pushing = np.flatnonzero(request.axial < 0)
    if not len(pushing):
        return ()
    sheet = Calculation()
    N = sheet.given("N_d", to_N(-request.axial[pushing]), "N", Cite(ANALYSIS, "axial force"))
    area = sheet.given("A", float(to_mm2(request.area)), "mm2", Cite("survey", "contact face"))
    stress = np.asarray(sheet(members.sigma_c_0_d, N_d=N, A=area))
    f_k = sheet.given("f_c_0_k", wood.f_c_0_k, "MPa", wood.cite_of("f_c_0_k"))
    factor = sheet.given("k_mod", k_mod[pushing], "-", duration)
    value = np.asarray(sheet(design.X_d, k_mod=factor, X_k=f_k, gamma_M=sheet.given("gamma_M", partial, "-", partial_cite)))
    results = []
    for k, c in enumerate(pushing.tolist()):
        ratio = float(stress[k] / value[k])
        numbers = from_MPa(float(stress[k])), from_MPa(float(value[k])), "psi", ratio
        cite = Cite(DOCUMENT, clause, "", sheet.status)
        results.append(CheckResult(request.where, BEARING, *numbers, _state(ratio), request.combinations[c], request.stage, math.nan, cite, sheet, k))
    return tuple(results)
