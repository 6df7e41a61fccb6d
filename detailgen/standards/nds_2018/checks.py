"""Checks of one wood piece between two joints: a MemberRequest in, CheckResults out.

Each check is one Calculation over all points that it concerns; a combination's result is its worst point there, and ``entry`` says which,
so that the steps of a result print exactly its numbers. Points in tension (or without axial force) and points in compression have their own checks.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from detailgen.core.clause import Calculation, Cite, Number
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult, State, cannot_be_checked
from detailgen.core.table import read_table
from detailgen.core.tolerance import at_most
from detailgen.standards.interface import Floats, Ints, MemberRequest
from detailgen.standards.nds_2018 import adjustment, columns, curved, members, notches, reference, section
from detailgen.standards.nds_2018.adjustment import DOCUMENT, NO_TEMPERATURE, Factors
from detailgen.standards.nds_2018.local_stress import C_vr, F_v_connection
from detailgen.standards.nds_2018.method import ALLOWABLE, Method
from detailgen.standards.nds_2018.reference import GLULAM, TABLES, ReferenceValues

TENSION = "tension on net section"
TENSION_FACE = "tension and bending, tension face"
COMPRESSION_FACE = "tension and bending, compression face"
BUCKLING = "compression with buckling"
NET_COMPRESSION = "compression on net section"
COMPRESSION_BENDING = "compression and bending"
WEAK_AXIS = "buckling about the weak axis with bending"
SLENDERNESS = "slenderness"
BENDING_SLENDERNESS = "slenderness in bending"
SHEAR = "shear"
CONNECTION_SHEAR = "shear at connections"
RADIAL = "radial stress"
WOOD = "wood"

NO_FORCE = 1e-3
"""Axial forces (lb) up to this, or up to 1e-6 of the largest, are noise of the analysis and count as none."""


@dataclass(frozen=True)
class _Points:
    """The points of a request that one group of checks concerns."""

    request: MemberRequest
    chosen: Ints
    time: Floats  # load duration or time effect
    time_cite: Cite

    def of(self, values: Floats) -> Floats:
        return values[self.chosen]

    @cached_property
    def groups(self) -> tuple[list[int], Ints, Ints, Ints]:
        """Combinations that occur; the chosen points in their order; where each combination starts there; of which combination each point is."""
        combination = self.request.demands.combination[self.chosen]
        order = np.argsort(combination, kind="stable")
        ordered = combination[order]
        first = np.ones(len(order), dtype=bool)
        first[1:] = ordered[1:] != ordered[:-1]
        starts = first.nonzero()[0]
        return ordered[starts].tolist(), order, starts, first.cumsum() - 1

    def worst(self, ratio: Floats) -> Ints:
        """The point with the largest ratio of each combination, the first of equals."""
        _, order, starts, group = self.groups
        ranked = ratio[order].round(9)  # so that noise does not choose between equal stations
        is_worst = (ranked == np.maximum.reduceat(ranked, starts)[group]) | np.isnan(ranked)
        return order[np.minimum.reduceat(np.where(is_worst, np.arange(len(order)), len(order)), starts)]


def _result(
    request: MemberRequest, check: str, clause: Cite, calculation: Calculation, demand: float, capacity: float, unit: str, ratio: float,
    combination: int, station: float, entry: int,
) -> CheckResult:  # fmt: skip
    state = State.PASSES if at_most(ratio, 1.0) else State.DOES_NOT_PASS
    demands = request.demands
    return CheckResult(
        request.where, check, demand, capacity, unit, ratio, state, demands.combinations[combination], demands.stage, station, clause,
        calculation, entry,
    )  # fmt: skip


def _worst(points: _Points, check: str, clause: str, calculation: Calculation, demand: Number, capacity: Number, unit: str) -> list[CheckResult]:
    """The worst point of each combination. Interactions give their sum as demand and 1.0 as capacity."""
    count = len(points.chosen)
    over, under = (np.full(count, v) if np.ndim(v) == 0 else np.asarray(v) for v in (demand, capacity))
    ratio = over / under
    at = points.worst(ratio)
    stations = points.of(points.request.demands.station)[at]
    columns = (points.groups[0], over[at].tolist(), under[at].tolist(), ratio[at].tolist(), stations.tolist(), at.tolist())
    cite = Cite(DOCUMENT, clause)
    return [_result(points.request, check, cite, calculation, has, may, unit, r, c, x, k) for c, has, may, r, x, k in zip(*columns, strict=True)]


@dataclass(frozen=True)
class _Member:
    request: MemberRequest
    values: ReferenceValues
    factors: Factors
    method: Method
    time: Floats
    time_cite: Cite

    def points(self, chosen: Ints) -> _Points:
        return _Points(self.request, chosen, self.time[chosen], self.time_cite)

    def start(self, calculation: Calculation, name: str, symbol: str, points: _Points | None, *, size: bool) -> dict[str, Number]:
        """Put a reference value and its factors on the sheet; without points it is one that time does not touch."""
        value: Number = getattr(self.values, name)
        cite = self.values.cite_of(name)
        if name == "Fb" and points is not None and self.values.Fb != self.values.Fb_neg:
            # Glulam whose top and bottom differ: the sign of the moment says which face stretches.
            value = np.where(points.of(self.request.demands.moment) >= 0, self.values.Fb, self.values.Fb_neg)
            cite = min(cite, self.values.cite_of("Fb_neg"), key=lambda c: c.status)
        terms: dict[str, Number] = {symbol: calculation.given(symbol, value, "psi", cite)}
        key = "E" if name.startswith("E") else ("Fb" if name.startswith("Fb") else name)
        converted = "E_min" if key == "E" else key
        time = (points.time, points.time_cite) if points is not None else (1.0, self.time_cite)
        terms |= self.method.terms(calculation, converted, *time)
        factor = self.factors.C_M[key]
        terms["C_M"] = calculation.given("C_M", factor.value, "-", factor.cite)
        terms["C_t"] = calculation.given("C_t", 1.0, "-", NO_TEMPERATURE)
        if size:
            factor = self.factors.C_F[key]
            terms["C_F"] = calculation.given("C_F", factor.value, "-", factor.cite)
        return terms

    def bending(self, calculation: Calculation, points: _Points) -> tuple[Number, Number, Number, Number, Number]:
        """f_b, F_b_0, C_L, C_V and F_bE at the points: in the truss plane."""
        request = self.request
        S = calculation(section.S, S_net=points.of(request.net_modulus), condition=points.of(request.condition))
        M = calculation.given("M", np.abs(points.of(request.demands.moment)), "in-lb", Cite("analysis", "moment"))
        stress = calculation(members.f_b, M=M, S=S)
        base = calculation(self.method.F_b_0, **self.start(calculation, "Fb", "F_b", points, size=True))
        if self.curved:
            t, cite = reference.lamination(self.values.species)
            curved.least_radius_holds(self.values.species, t, request.radius - request.depth / 2)
            inside = calculation.given("R", request.radius - request.depth / 2, "in", Cite("survey", "radius of the inside face"))
            factor = calculation(curved.C_c, t=calculation.given("t", t, "in", cite), R=inside)
            base = calculation(curved.F_b_curved, F_b_0=base, C_c=factor)
        buckling = self.lateral(calculation)
        stability: Number = 1.0
        if np.isfinite(buckling) and request.depth > request.thickness:
            stability = calculation(members.C_L, F_bE=buckling, F_b_0=base)
        else:
            why = "3.3.3.3 (compression edge held throughout)" if np.isinf(buckling) else "3.3.3.1 (not deeper than wide)"
            calculation.given("C_L", stability, "-", Cite(DOCUMENT, why))
        return stress, base, stability, self.volume(calculation), buckling

    @property
    def curved(self) -> bool:
        return self.request.radius > 0 and self.values.size_class == GLULAM

    def lateral(self, calculation: Calculation) -> float:
        """F_bE of the member (psi); infinite where the compression edge is held throughout."""
        request = self.request
        if request.unbraced_bending <= 0:
            return float("inf")
        terms = self.start(calculation, "E_min_y", "E_min", None, size=False)
        modulus = calculation(self.method.E_min_prime, **terms)
        return float(calculation(members.F_bE, E_min_prime=modulus, R_B=self.bending_slenderness(calculation)))

    def bending_slenderness(self, calculation: Calculation) -> float:
        request = self.request
        k_u, k_d, cite = members.bending_length_factors("any", request.unbraced_bending, request.depth)
        calculation.given("k_u", k_u, "-", cite)
        calculation.given("k_d", k_d, "-", cite)
        length = calculation(members.l_e_bending, k_u=k_u, l_u=request.unbraced_bending, k_d=k_d, d=request.depth)
        return float(calculation(members.R_B, l_e=length, d=request.depth, b=request.thickness))

    def volume(self, calculation: Calculation) -> Number:
        request = self.request
        if self.values.size_class != GLULAM:
            return float(calculation.given("C_V", 1.0, "-", Cite(DOCUMENT, "5.3.6 (glulam only)")))
        exponent, cite = reference.volume_exponent(self.values.species)
        length, source = request.zero_moment_length, Cite("survey", "length between points of zero moment")
        if length <= 0:
            length, source = request.length_in_plane, Cite("assumption", "zero moment at both ends of the effective length in the truss plane")
        feet = calculation.given("L", length / 12, "ft", source)
        return float(calculation(adjustment.C_V, L=feet, d=request.depth, b=request.thickness, x=calculation.given("x", exponent, "-", cite)))


def _tension(member: _Member, points: _Points) -> list[CheckResult]:
    request = member.request
    sheet = Calculation()
    T = sheet.given("T", np.maximum(points.of(request.demands.axial), 0.0), "lb", Cite("analysis", "axial force"))
    A_n = sheet(section.A_n, A_net=points.of(request.net_area), condition=points.of(request.condition))
    stress = sheet(members.f_t, T=T, A_n=A_n)
    value = sheet(member.method.F_t_prime, **member.start(sheet, "Ft", "F_t", points, size=True))
    results = _worst(points, TENSION, "3.8.1", sheet, stress, value, "psi")
    both = sheet.copy()
    bent, base, stability, volume, _ = member.bending(both, points)
    pressed = both.copy()
    star = both(members.F_b_star, F_b_0=base, C_V=volume)
    sum_1 = both(members.tension_face, f_t=stress, F_t_prime=value, f_b=bent, F_b_star=star)
    results += _worst(points, TENSION_FACE, "3.9.1, equation 3.9-1", both, sum_1, 1.0, "-")
    star = pressed(members.F_b_2star, F_b_0=base, C_L=stability)
    sum_2 = pressed(members.compression_face, f_b=bent, f_t=stress, F_b_2star=star)
    return results + _worst(points, COMPRESSION_FACE, "3.9.1, equation 3.9-2", pressed, sum_2, 1.0, "-")


def _buckling_stress(member: _Member, sheet: Calculation, axis: int) -> float:
    """F_cE over the depth (1) or the thickness (2), psi; infinite where no length is free to buckle."""
    request = member.request
    length, across, name = (
        (request.length_in_plane, request.depth, "E_min") if axis == 1 else (request.length_out_of_plane, request.thickness, "E_min_y")
    )
    if length <= 0:
        return float("inf")
    modulus = sheet(member.method.E_min_prime, **member.start(sheet, name, "E_min", None, size=False))
    value = float(sheet(columns.F_cE, E_min_prime=modulus, l_e=length, d=across))
    return float(sheet.given(f"F_cE{axis}", value, "psi", Cite(DOCUMENT, "3.7.1.5")))


def _compression(member: _Member, points: _Points) -> list[CheckResult]:
    request, values = member.request, member.values
    sheet = Calculation()
    P = sheet.given("P", -points.of(request.demands.axial), "lb", Cite("analysis", "axial force"))
    A = sheet(section.A, b=request.thickness, d=request.depth, condition=points.of(request.condition))
    stress = sheet(members.f_c, P=P, A=A)
    star = sheet(member.method.F_c_star, **member.start(sheet, "Fc", "F_c", points, size=True))
    results: list[CheckResult] = []
    holes = points.of(request.net_area) < request.thickness * request.depth * (1 - 1e-9)
    if holes.any():
        drilled = member.points(points.chosen[holes])
        net = Calculation()
        P_n = net.given("P", -drilled.of(request.demands.axial), "lb", Cite("analysis", "axial force"))
        A_n = net(section.A_n, A_net=drilled.of(request.net_area), condition=drilled.of(request.condition))
        net_stress = net(members.f_c_net, P=P_n, A_n=A_n)
        net_star = net(member.method.F_c_star, **member.start(net, "Fc", "F_c", drilled, size=True))
        results += _worst(drilled, NET_COMPRESSION, "3.6.3", net, net_stress, net_star, "psi")
    F_cE1, F_cE2 = _buckling_stress(member, sheet, 1), _buckling_stress(member, sheet, 2)
    least = min(F_cE1, F_cE2)
    if np.isfinite(least):
        table = read_table(TABLES, "column_constant")
        row = table.find(product=values.product)
        c = sheet.given("c", float(row["c"]), "-", table.cite(row))
        sheet.given("F_cE", least, "psi", Cite(DOCUMENT, "3.7.1.3 (the smaller of both axes)"))
        stability = sheet(columns.C_P, F_cE=least, F_c_star=star, c=c)
    else:
        stability = sheet.given("C_P", 1.0, "-", Cite(DOCUMENT, "3.7.1.1 (held throughout)"))
    value = sheet(columns.F_c_prime, F_c_star=star, C_P=stability)
    results = _worst(points, BUCKLING, "3.7.1", sheet, stress, value, "psi") + results

    bent, base, C_L, volume, F_bE = member.bending(sheet, points)
    F_b1_prime = sheet(members.F_b1_prime, F_b_0=base, C_L=C_L, C_V=volume)
    F_b2_prime = sheet(member.method.F_b2_prime, **member.start(sheet, "Fby", "F_b", points, size=True))
    weak = sheet.copy()
    ratio = sheet(
        members.compression_and_bending, f_c=stress, F_c_prime=value, F_cE1=F_cE1, f_b1=bent, F_b1_prime=F_b1_prime, e_1=0.0, d_1=request.depth,
        F_cE2=F_cE2, f_b2=0.0, F_b2_prime=F_b2_prime, e_2=abs(request.bow), d_2=request.thickness, F_bE=F_bE,
    )  # fmt: skip
    results += _worst(points, COMPRESSION_BENDING, "15.4.1, equation 15.4-1 (with e = 0: 3.9-3)", sheet, ratio, 1.0, "-")
    ratio = weak(members.weak_axis, f_c=stress, F_cE2=F_cE2, f_b1=bent, F_bE=F_bE, e_1=0.0, d_1=request.depth)
    results += _worst(points, WEAK_AXIS, "3.9.2, equation 3.9-4", weak, ratio, 1.0, "-")
    return results + _slenderness(member, points)


def _slenderness(member: _Member, points: _Points) -> list[CheckResult]:
    """l_e/d of the slenderer axis against 50 (75 while the truss is worked on), for each combination that presses the member."""
    request = member.request
    sheet = Calculation()
    over_depth = sheet(columns.slenderness, l_e=max(request.length_in_plane, 0.0), d=request.depth)
    over_thickness = sheet(columns.slenderness, l_e=max(request.length_out_of_plane, 0.0), d=request.thickness)
    worst = float(max(over_depth, over_thickness))
    built, cite, results = request.demands.interim, Cite(DOCUMENT, "3.7.1.4"), []
    for c in np.unique(request.demands.combination[points.chosen]).tolist():
        limit = columns.GREATEST_WHILE_BUILT if built and built[c] else columns.GREATEST_SLENDERNESS
        results.append(_result(request, SLENDERNESS, cite, sheet, worst, limit, "-", worst / limit, c, float("nan"), 0))
    return results


def _bending_slenderness(member: _Member) -> list[CheckResult]:
    """R_B against 50, for each combination that bends a member deeper than wide between its brace points."""
    request = member.request
    bends = np.abs(request.demands.moment) > 0
    if request.unbraced_bending <= 0 or request.depth <= request.thickness or not bends.any():
        return []
    sheet = Calculation()
    ratio = member.bending_slenderness(sheet)
    limit = members.GREATEST_BENDING_SLENDERNESS
    found = np.unique(request.demands.combination[bends]).tolist()
    cite = Cite(DOCUMENT, "3.3.3.7")
    return [_result(request, BENDING_SLENDERNESS, cite, sheet, ratio, limit, "-", ratio / limit, c, float("nan"), 0) for c in found]


def _shear(member: _Member) -> list[CheckResult]:
    request = member.request
    demands = request.demands
    clause = "3.4.2, equation 3.4-2"
    if member.values.size_class == GLULAM and "impact" in demands.durations:
        why = "the shear value of glulam under impact is reduced by 5.3.10, which is not covered"
        return [cannot_be_checked(request.where, SHEAR, why, Cite(DOCUMENT, "5.3.10"), stage=demands.stage)]
    points = member.points(np.arange(len(demands.shear)))
    sheet = Calculation()
    V = sheet.given("V", np.abs(demands.shear), "lb", Cite("analysis", "shear"))
    A = sheet(section.A, b=request.thickness, d=request.depth, condition=request.condition)
    stress = sheet(members.f_v, V=V, A=A)
    value = sheet(member.method.F_v_prime, **member.start(sheet, "Fv", "F_v", points, size=False))
    return _worst(points, SHEAR, clause, sheet, stress, value, "psi") + _connection_shear(member)


def _connection_shear(member: _Member) -> list[CheckResult]:
    """Shear where bolts hang load on the piece: only the depth beyond them carries it, and near an end less of it."""
    request = member.request
    if request.connection_depth is None or request.connection_to_end is None:
        return []
    chosen = np.flatnonzero(np.isfinite(request.connection_depth))
    if not len(chosen):
        return []
    points, sheet = member.points(chosen), Calculation()
    V = sheet.given("V", np.abs(points.of(request.demands.shear)), "lb", Cite("analysis", "shear"))
    value = sheet(member.method.F_v_prime, **member.start(sheet, "Fv", "F_v", points, size=False))
    if member.values.size_class == GLULAM:
        value = sheet(F_v_connection, F_v_prime=value, C_vr=C_vr(sheet))
    depth = np.minimum(points.of(request.connection_depth), request.depth)
    d_e = sheet.given("d_e", depth, "in", Cite("survey", "bolt positions"))
    to_end = sheet.given("to_end", points.of(request.connection_to_end), "in", Cite("survey", "bolt positions"))
    carries = sheet(notches.V_r_connection, F_v_prime=value, b=request.thickness, d=request.depth, d_e=d_e, to_end=to_end)
    left = sheet(section.V_left, V_r=carries, condition=points.of(request.condition))
    return _worst(points, CONNECTION_SHEAR, "3.4.3.3", sheet, V, left, "lb")


def _radial(member: _Member) -> list[CheckResult]:
    """Stress across the grain of a curved glulam: tension where the moment flattens the curve, compression where it bends it more."""
    request, values = member.request, member.values
    demands, results = request.demands, []
    if not member.curved:
        return []
    of_wind = np.array([d == "wind" for d in demands.durations])[demands.combination]
    for flattens, wind in ((True, False), (True, True), (False, False)):
        chosen = np.flatnonzero(((demands.moment > 0) & (of_wind == wind)) if flattens else (demands.moment < 0))
        if not len(chosen):
            continue
        points, sheet = member.points(chosen), Calculation()
        M = sheet.given("M", np.abs(points.of(demands.moment)), "in-lb", Cite("analysis", "moment"))
        stress = sheet(curved.f_r, M=M, R=request.radius, b=request.thickness, d=request.depth)
        if flattens:
            F_rt, cite = curved.radial_tension_value(values.species, "wind or earthquake" if wind else "other", values.Fv)
            sheet.given("F_rt", F_rt, "psi", cite.also(values.cite_of("Fv")))
            terms = {k: v for k, v in member.start(sheet, "Fv", "F_v", points, size=False).items() if k != "F_v"}
            value = sheet(member.method.F_rt_prime, F_rt=F_rt, **terms)
        else:
            value = sheet(member.method.F_c_perp_prime, **member.start(sheet, "Fc_perp", "F_c_perp", None, size=False), C_b=1.0)
        results += _worst(points, f"{RADIAL}, {'tension' if flattens else 'compression'}", "5.4.1", sheet, stress, value, "psi")
    return results


def member_checks(request: MemberRequest, by: Method = ALLOWABLE) -> tuple[CheckResult, ...]:
    """Every check of chapter 3 that the points of a request call for, one result per check and combination.

    A wood, size or duration that is not covered gives one result that says so.
    """
    demands = request.demands
    try:
        values = reference.wood_values(request.wood, request.thickness, request.depth, request.laminations)
        by_combination, cite = by.times(demands.durations)
        factors = adjustment.factors(values, request.thickness, request.depth)
        member = _Member(request, values, factors, by, np.array(by_combination)[demands.combination], cite)
        noise = max(NO_FORCE, 1e-6 * float(np.abs(demands.axial).max(initial=0.0)))
        pressed = demands.axial < -noise
        results: list[CheckResult] = []
        if not pressed.all():
            results += _tension(member, member.points(np.flatnonzero(~pressed)))
        if pressed.any():
            results += _compression(member, member.points(np.flatnonzero(pressed)))
        if len(demands.shear):
            results += _bending_slenderness(member) + _shear(member) + _radial(member)
    except NotCovered as error:
        cite = Cite(DOCUMENT, error.clause.removeprefix(f"{DOCUMENT} ") or "chapters 3 to 5")
        return (cannot_be_checked(request.where, WOOD, error.what, cite, stage=demands.stage),)
    return tuple(results)
