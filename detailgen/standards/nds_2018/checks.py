"""Checks of wood pieces between two joints: MemberRequests in, CheckResults out.

Each check is one Calculation over all points that it concerns, of all pieces that are alike; of each piece a combination's result is its worst
point there, and ``entry`` says which, so that the steps of a result print exactly its numbers. Points in tension (or without axial force) and
points in compression have their own checks.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
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
from detailgen.standards.nds_2018.pieces import Pieces, alike, together
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
    """The points that one group of checks concerns. What it finds is told piece by piece."""

    request: Pieces
    chosen: Ints
    time: Floats  # load duration or time effect
    time_cite: Cite
    told: Sequence[list[CheckResult]]

    def of(self, values: Floats) -> Floats:
        return values[self.chosen]

    def each(self, value: Number) -> Number:
        """A length of the pieces at the points: one number where all have the same."""
        return value[self.chosen] if isinstance(value, np.ndarray) else value

    @cached_property
    def groups(self) -> tuple[list[int], Ints, Ints, Ints]:
        """Pieces' combinations that occur; the chosen points in their order; where each starts there; of which each point is."""
        slot = self.request.slot[self.chosen]
        order = np.argsort(slot, kind="stable")
        ordered = slot[order]
        first = np.ones(len(order), dtype=bool)
        first[1:] = ordered[1:] != ordered[:-1]
        starts = first.nonzero()[0]
        return ordered[starts].tolist(), order, starts, first.cumsum() - 1

    def worst(self, ratio: Floats) -> Ints:
        """The point with the largest ratio of each piece and combination, the first of equals."""
        _, order, starts, group = self.groups
        ranked = ratio[order].round(9)  # so that noise does not choose between equal stations
        is_worst = ranked == np.maximum.reduceat(ranked, starts)[group]
        return order[np.minimum.reduceat(np.where(is_worst, np.arange(len(order)), len(order)), starts)]


def _tell(
    points: _Points, check: str, clause: str, calculation: Calculation, demand: Number, capacity: Number, unit: str, *, stands: bool = True,
) -> None:  # fmt: skip
    """The worst point of each piece and combination. Interactions give their sum as demand and 1.0 as capacity.

    stands: it is true of a place along the member, which is told
    """
    count, demands = len(points.chosen), points.request.demands
    over, under = (np.full(count, v) if np.ndim(v) == 0 else np.asarray(v) for v in (demand, capacity))
    ratio = over / under
    at = points.worst(ratio)
    stations = points.of(demands.station)[at] if stands else np.full(len(at), np.nan)
    columns = (points.groups[0], over[at].tolist(), under[at].tolist(), ratio[at].tolist(), stations.tolist(), at.tolist())
    cite, combinations = Cite(DOCUMENT, clause), len(demands.combinations)
    for slot, has, may, used, station, entry in zip(*columns, strict=True):
        piece, combination = divmod(slot, combinations)
        state = State.PASSES if at_most(used, 1.0) else State.DOES_NOT_PASS
        points.told[piece].append(
            CheckResult(points.request.wheres[piece], check, has, may, unit, used, state, demands.combinations[combination], demands.stage, station,
                        cite, calculation, entry)
        )  # fmt: skip


@dataclass(frozen=True)
class _Member:
    request: Pieces
    values: ReferenceValues
    factors: Factors
    method: Method
    time: Floats
    time_cite: Cite
    told: Sequence[list[CheckResult]]

    def points(self, chosen: Ints) -> _Points:
        return _Points(self.request, chosen, self.time[chosen], self.time_cite, self.told)

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
        buckling = self.lateral(calculation, points)
        stability: Number = 1.0
        if not self.held and request.depth > request.thickness:
            stability = calculation(members.C_L, F_bE=buckling, F_b_0=base)
        else:
            why = "3.3.3.3 (compression edge held throughout)" if self.held else "3.3.3.1 (not deeper than wide)"
            calculation.given("C_L", stability, "-", Cite(DOCUMENT, why))
        return stress, base, stability, self.volume(calculation, points), buckling

    @property
    def curved(self) -> bool:
        return self.request.radius > 0 and self.values.size_class == GLULAM

    @property
    def held(self) -> bool:
        """Is the compression edge held throughout?"""
        return not np.any(self.request.unbraced_bending > 0)

    def lateral(self, calculation: Calculation, points: _Points) -> Number:
        """F_bE at the points (psi); infinite where the compression edge is held throughout."""
        if self.held:
            return float("inf")
        terms = self.start(calculation, "E_min_y", "E_min", None, size=False)
        modulus = calculation(self.method.E_min_prime, **terms)
        value: Number = calculation(members.F_bE, E_min_prime=modulus, R_B=self.bending_slenderness(calculation, points))
        return value

    def bending_slenderness(self, calculation: Calculation, points: _Points) -> Number:
        request = self.request
        calculation.given("k_u", request.k_u, "-", request.k_cite)
        calculation.given("k_d", request.k_d, "-", request.k_cite)
        unbraced = points.each(request.unbraced_bending)
        length = calculation(members.l_e_bending, k_u=request.k_u, l_u=unbraced, k_d=request.k_d, d=request.depth)
        value: Number = calculation(members.R_B, l_e=length, d=request.depth, b=request.thickness)
        return value

    def volume(self, calculation: Calculation, points: _Points) -> Number:
        request = self.request
        if self.values.size_class != GLULAM:
            return float(calculation.given("C_V", 1.0, "-", Cite(DOCUMENT, "5.3.6 (glulam only)")))
        exponent, cite = reference.volume_exponent(self.values.species)
        length, source = request.zero_moment_length, Cite("survey", "length between points of zero moment")
        if not np.any(length > 0):
            length, source = request.length_in_plane, Cite("assumption", "zero moment at both ends of the effective length in the truss plane")
        feet = calculation.given("L", points.each(length) / 12, "ft", source)
        x = calculation.given("x", exponent, "-", cite)
        value: Number = calculation(adjustment.C_V, L=feet, d=request.depth, b=request.thickness, x=x)
        return value


def _tension(member: _Member, points: _Points) -> None:
    request = member.request
    sheet = Calculation()
    T = sheet.given("T", np.maximum(points.of(request.demands.axial), 0.0), "lb", Cite("analysis", "axial force"))
    A_n = sheet(section.A_n, A_net=points.of(request.net_area), condition=points.of(request.condition))
    stress = sheet(members.f_t, T=T, A_n=A_n)
    value = sheet(member.method.F_t_prime, **member.start(sheet, "Ft", "F_t", points, size=True))
    _tell(points, TENSION, "3.8.1", sheet, stress, value, "psi")
    both = sheet.copy()
    bent, base, stability, volume, _ = member.bending(both, points)
    pressed = both.copy()
    star = both(members.F_b_star, F_b_0=base, C_V=volume)
    sum_1 = both(members.tension_face, f_t=stress, F_t_prime=value, f_b=bent, F_b_star=star)
    _tell(points, TENSION_FACE, "3.9.1, equation 3.9-1", both, sum_1, 1.0, "-")
    star = pressed(members.F_b_2star, F_b_0=base, C_L=stability)
    sum_2 = pressed(members.compression_face, f_b=bent, f_t=stress, F_b_2star=star)
    _tell(points, COMPRESSION_FACE, "3.9.1, equation 3.9-2", pressed, sum_2, 1.0, "-")


def _buckling_stress(member: _Member, points: _Points, sheet: Calculation, axis: int) -> Number:
    """F_cE over the depth (1) or the thickness (2), psi; infinite where no length is free to buckle."""
    request = member.request
    length, across, name = (
        (request.length_in_plane, request.depth, "E_min") if axis == 1 else (request.length_out_of_plane, request.thickness, "E_min_y")
    )
    if not np.any(length > 0):
        return float("inf")
    modulus = sheet(member.method.E_min_prime, **member.start(sheet, name, "E_min", None, size=False))
    value = sheet(columns.F_cE, E_min_prime=modulus, l_e=points.each(length), d=across)
    given: Number = sheet.given(f"F_cE{axis}", value, "psi", Cite(DOCUMENT, "3.7.1.5"))
    return given


def _compression(member: _Member, points: _Points) -> None:
    request, values = member.request, member.values
    sheet = Calculation()
    P = sheet.given("P", -points.of(request.demands.axial), "lb", Cite("analysis", "axial force"))
    A = sheet(section.A, b=request.thickness, d=request.depth, condition=points.of(request.condition))
    stress = sheet(members.f_c, P=P, A=A)
    star = sheet(member.method.F_c_star, **member.start(sheet, "Fc", "F_c", points, size=True))
    F_cE1, F_cE2 = _buckling_stress(member, points, sheet, 1), _buckling_stress(member, points, sheet, 2)
    least = np.minimum(F_cE1, F_cE2)
    if np.all(np.isfinite(least)):
        table = read_table(TABLES, "column_constant")
        row = table.find(product=values.product)
        c = sheet.given("c", float(row["c"]), "-", table.cite(row))
        sheet.given("F_cE", least, "psi", Cite(DOCUMENT, "3.7.1.3 (the smaller of both axes)"))
        stability = sheet(columns.C_P, F_cE=least, F_c_star=star, c=c)
    else:
        stability = sheet.given("C_P", 1.0, "-", Cite(DOCUMENT, "3.7.1.1 (held throughout)"))
    value = sheet(columns.F_c_prime, F_c_star=star, C_P=stability)
    _tell(points, BUCKLING, "3.7.1", sheet, stress, value, "psi")
    _net_compression(member, points)
    bent, base, C_L, volume, F_bE = member.bending(sheet, points)
    F_b1_prime = sheet(members.F_b1_prime, F_b_0=base, C_L=C_L, C_V=volume)
    F_b2_prime = sheet(member.method.F_b2_prime, **member.start(sheet, "Fby", "F_b", points, size=True))
    weak = sheet.copy()
    ratio = sheet(
        members.compression_and_bending, f_c=stress, F_c_prime=value, F_cE1=F_cE1, f_b1=bent, F_b1_prime=F_b1_prime, e_1=0.0, d_1=request.depth,
        F_cE2=F_cE2, f_b2=0.0, F_b2_prime=F_b2_prime, e_2=np.abs(points.each(request.bow)), d_2=request.thickness, F_bE=F_bE,
    )  # fmt: skip
    _tell(points, COMPRESSION_BENDING, "15.4.1, equation 15.4-1 (with e = 0: 3.9-3)", sheet, ratio, 1.0, "-")
    ratio = weak(members.weak_axis, f_c=stress, F_cE2=F_cE2, f_b1=bent, F_bE=F_bE, e_1=0.0, d_1=request.depth)
    _tell(points, WEAK_AXIS, "3.9.2, equation 3.9-4", weak, ratio, 1.0, "-")
    _slenderness(member, points)


def _net_compression(member: _Member, points: _Points) -> None:
    """Compression where holes take a part of the section."""
    request = member.request
    holes = points.of(request.net_area) < request.thickness * request.depth * (1 - 1e-9)
    if not holes.any():
        return
    drilled = member.points(points.chosen[holes])
    net = Calculation()
    P_n = net.given("P", -drilled.of(request.demands.axial), "lb", Cite("analysis", "axial force"))
    A_n = net(section.A_n, A_net=drilled.of(request.net_area), condition=drilled.of(request.condition))
    net_stress = net(members.f_c_net, P=P_n, A_n=A_n)
    net_star = net(member.method.F_c_star, **member.start(net, "Fc", "F_c", drilled, size=True))
    _tell(drilled, NET_COMPRESSION, "3.6.3", net, net_stress, net_star, "psi")


def _slenderness(member: _Member, points: _Points) -> None:
    """l_e/d of the slenderer axis against 50 (75 while the truss is worked on), for each combination that presses the member."""
    request = member.request
    sheet = Calculation()
    over_depth = sheet(columns.slenderness, l_e=np.maximum(points.each(request.length_in_plane), 0.0), d=request.depth)
    over_thickness = sheet(columns.slenderness, l_e=np.maximum(points.each(request.length_out_of_plane), 0.0), d=request.thickness)
    built = np.array(request.demands.interim or (False,) * len(request.demands.combinations))
    limits = np.where(built, *(columns.greatest_slenderness(q) for q in (columns.WHILE_BUILT, columns.IN_SERVICE)))
    limit = limits[request.demands.combination[points.chosen]]
    _tell(points, SLENDERNESS, "3.7.1.4", sheet, np.maximum(over_depth, over_thickness), limit, "-", stands=False)


def _bending_slenderness(member: _Member) -> None:
    """R_B against 50, for each combination that bends a member deeper than wide between its brace points."""
    request = member.request
    bends = np.flatnonzero(np.abs(request.demands.moment) > 0)
    if member.held or request.depth <= request.thickness or not len(bends):
        return
    points, sheet = member.points(bends), Calculation()
    ratio = member.bending_slenderness(sheet, points)
    _tell(points, BENDING_SLENDERNESS, "3.3.3.7", sheet, ratio, columns.greatest_slenderness(columns.OF_BENDING), "-", stands=False)


def _shear(member: _Member) -> None:
    request = member.request
    demands = request.demands
    clause = "3.4.2, equation 3.4-2"
    if member.values.size_class == GLULAM and "impact" in demands.durations:
        why = "the shear value of glulam under impact is reduced by 5.3.10, which is not covered"
        for where, told in zip(request.wheres, member.told, strict=True):
            told.append(cannot_be_checked(where, SHEAR, why, Cite(DOCUMENT, "5.3.10"), stage=demands.stage))
        return
    points = member.points(np.arange(len(demands.shear)))
    sheet = Calculation()
    V = sheet.given("V", np.abs(demands.shear), "lb", Cite("analysis", "shear"))
    A = sheet(section.A, b=request.thickness, d=request.depth, condition=request.condition)
    stress = sheet(members.f_v, V=V, A=A)
    value = sheet(member.method.F_v_prime, **member.start(sheet, "Fv", "F_v", points, size=False))
    _tell(points, SHEAR, clause, sheet, stress, value, "psi")
    _connection_shear(member)


def _connection_shear(member: _Member) -> None:
    """Shear where bolts hang load on the piece: only the depth beyond them carries it, and near an end less of it."""
    request = member.request
    if request.connection_depth is None or request.connection_to_end is None:
        return
    chosen = np.flatnonzero(np.isfinite(request.connection_depth))
    if not len(chosen):
        return
    points, sheet = member.points(chosen), Calculation()
    V = sheet.given("V", np.abs(points.of(request.demands.shear)), "lb", Cite("analysis", "shear"))
    value = sheet(member.method.F_v_prime, **member.start(sheet, "Fv", "F_v", points, size=False))
    if member.values.size_class == GLULAM:
        value = sheet(F_v_connection, F_v_prime=value, C_vr=C_vr(sheet))
    depth = np.minimum(points.of(request.connection_depth), request.depth)
    d_e = sheet.given("d_e", depth, "in", Cite("survey", "bolts of the connection here that leaves least, from the edge that its force loads"))
    to_end = sheet.given("to_end", points.of(request.connection_to_end), "in", Cite("survey", "bolt positions"))
    carries = sheet(notches.V_r_connection, F_v_prime=value, b=request.thickness, d=request.depth, d_e=d_e, to_end=to_end)
    left = sheet(section.V_left, V_r=carries, condition=points.of(request.condition))
    _tell(points, CONNECTION_SHEAR, "3.4.3.3", sheet, V, left, "lb")


def _radial(member: _Member) -> None:
    """Stress across the grain of a curved glulam: tension where the moment flattens the curve, compression where it bends it more."""
    request, values = member.request, member.values
    demands = request.demands
    if not member.curved:
        return
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
        _tell(points, f"{RADIAL}, {'tension' if flattens else 'compression'}", "5.4.1", sheet, stress, value, "psi")


def _checked(request: Pieces, by: Method) -> list[list[CheckResult]]:
    """Results piece by piece. Raises NotCovered where that is so of any piece."""
    demands = request.demands
    values = reference.wood_values(request.wood, request.thickness, request.depth, request.laminations)
    by_combination, cite = by.times(demands.durations)
    factors = adjustment.factors(values, request.thickness, request.depth)
    told: list[list[CheckResult]] = [[] for _ in request.wheres]
    member = _Member(request, values, factors, by, np.array(by_combination)[demands.combination], cite, told)
    largest = np.zeros(len(told))
    np.maximum.at(largest, request.owner, np.abs(demands.axial))
    pressed = demands.axial < -np.maximum(NO_FORCE, 1e-6 * largest)[request.owner]
    if not pressed.all():
        _tension(member, member.points(np.flatnonzero(~pressed)))
    if pressed.any():
        _compression(member, member.points(np.flatnonzero(pressed)))
    if len(demands.shear):
        _bending_slenderness(member)
        _shear(member)
        _radial(member)
    return told


def member_checks(requests: Sequence[MemberRequest], by: Method = ALLOWABLE) -> list[tuple[CheckResult, ...]]:
    """Every check of chapter 3 that the points of each request call for, one result per check and combination.

    A wood, size or duration that is not covered gives one result that says so.
    """
    kinds: dict[Hashable, list[int]] = {}
    for k, request in enumerate(requests):
        kinds.setdefault(alike(request), []).append(k)
    answers: dict[int, tuple[CheckResult, ...]] = {}
    for members_of in kinds.values():
        try:
            found = _checked(together([requests[k] for k in members_of]), by)
        except NotCovered as error:
            if len(members_of) > 1:  # one of them is not: which?
                found = [list(member_checks([requests[k]], by)[0]) for k in members_of]
            else:
                (one,) = (requests[k] for k in members_of)
                cite = Cite(DOCUMENT, error.clause.removeprefix(f"{DOCUMENT} ") or "chapters 3 to 5")
                found = [[cannot_be_checked(one.where, WOOD, error.what, cite, stage=one.demands.stage)]]
        answers |= {k: tuple(results) for k, results in zip(members_of, found, strict=True)}
    return [answers[k] for k in range(len(requests))]
