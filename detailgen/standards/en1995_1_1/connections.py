"""Checks of one bolt group (8.1, 8.2, 8.5, annex A): a ConnectionRequest in, CheckResults out. Steps in N and mm.

Two parts in turn are one shear plane; three or more are taken three by three (8.1.3), each outer part of three in turn standing for both; the
lowest plane counts for all. The effective number n_ef is that of the wood part in which it is least.

Choices of this house, all on the safe side: the k_mod of the worse wood; splitting is checked with the whole force across the grain on one side
of the group; a block or a plug, whichever is weaker where annex A would ask for the mode; the worst condition among the parts counts for the group;
without a washer the rope effect is nothing.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from detailgen.core.clause import Calculation, Cite, Number
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult, State, cannot_be_checked
from detailgen.core.table import read_table
from detailgen.core.tolerance import LENGTH_IN, at_most, rounded, rounded_length
from detailgen.standards.en1995_1_1 import brittle, design, distances, dowels
from detailgen.standards.en1995_1_1.design import DOCUMENT, TABLES
from detailgen.standards.en1995_1_1.distances import CHECKS, Measured, bolt_limit, measure
from detailgen.standards.en1995_1_1.edge import from_N, to_mm, to_MPa
from detailgen.standards.en1995_1_1.reference import Timber, timber
from detailgen.standards.en1995_1_1.sections import X_k_size
from detailgen.standards.en1995_1_1.yield_modes import Fastener, Member, PlaneValue, double, single
from detailgen.standards.interface import BOLTS, NET_SECTION, ConnectedPart, ConnectionRequest, Floats
from detailgen.standards.stack import Stack, stack_of

Bools = NDArray[np.bool_]
BLOCK, SPLITTING = "block or plug shear", "splitting across the grain"
PROJECT = Cite("project", "bolts")


def F_group_Rk(planes: Number, n_ef: Number, F_v_Rk: Number, condition: Number) -> Number:
    """Characteristic resistance of a group.

    planes: shear planes, -
    n_ef: effective number of fasteners of all rows, -
    F_v_Rk: resistance of one plane of one fastener, N
    condition: what the survey leaves of the group, 0 to 1, -
    Returns: N
    Source: EN 1995-1-1:2004+A1, 8.1.2, equation 8.1 (condition factor: survey)
    """
    return planes * n_ef * F_v_Rk * condition


def grain_angle(part: ConnectedPart) -> float:
    """Angle of load to grain, 0 to 90 degrees in radians."""
    angle = math.atan2(abs(math.sin(part.load_angle)), abs(math.cos(part.load_angle)))
    return 0.0 if angle < 1e-9 else min(angle, math.pi / 2)


def rows_of(part: ConnectedPart, diameter: float) -> list[tuple[int, float]]:
    """Bolts and least spacing (mm) of each row along the grain. Bolts less than a diameter (in) off each other's line count as one row (ours)."""
    rows: list[list[float]] = []
    last = -math.inf
    for across, along in sorted((rounded_length(float(v)), float(u)) for u, v in part.bolts):
        if across - last >= rounded_length(diameter):
            rows.append([])
        rows[-1].append(along)
        last = across
    found = []
    for places in rows:
        gaps = [b - a for a, b in itertools.pairwise(sorted(places))]
        found.append((len(places), float(to_mm(min(gaps))) if gaps else 0.0))
    return found


@dataclass
class _Group:
    """One request with what is looked up once; lengths in mm."""

    request: ConnectionRequest
    stack: Stack
    woods: dict[int, Timber]
    d: float
    M_y: float
    k_mod: Floats
    k_mod_cite: Cite

    @property
    def hole(self) -> float:
        return self.d + float(to_mm(self.request.hole_oversize))

    def design(self, R_k: Number, sheet: Calculation) -> Floats:
        """Design resistance (N) per combination."""
        partial, cite = design.gamma_M("connections")
        k_mod = sheet.given("k_mod", self.k_mod, "-", self.k_mod_cite)
        return np.asarray(sheet(design.R_d, k_mod=k_mod, R_k=R_k, gamma_M=sheet.given("gamma_M", partial, "-", cite)), dtype=float)

    def results(self, check: str, clause: str, force: Floats, capacity_N: Floats, sheet: Calculation, counts: Bools) -> list[CheckResult]:
        """One result per combination in which the check counts; ``force`` in lb."""
        request, cite = self.request, Cite(DOCUMENT, clause, "", sheet.status)
        results = []
        for c in np.flatnonzero(counts).tolist():
            demand, has = rounded(float(force[c])), rounded(from_N(float(capacity_N[c])))
            ratio = rounded(_ratio(demand, has))
            state = State.PASSES if at_most(ratio, 1.0) else State.DOES_NOT_PASS
            numbers = demand, has, "lb", ratio
            results.append(CheckResult(request.where, check, *numbers, state, request.combinations[c], request.stage, math.nan, cite, sheet, c))
        return results


def _ratio(demand: float, capacity: float) -> float:
    return 0.0 if demand == 0 else (demand / capacity if capacity > 0 else math.inf)


def axial_resistance(group: _Group, sheet: Calculation) -> float:
    """F_ax_Rk (N) of a bolt for the rope effect: its tension, and what bears under head and nut; zero where nothing does."""
    request, parts = group.request, group.stack.parts
    areas = read_table(TABLES, "bolt_tensile_area")
    row = [r for r in areas if rounded_length(float(r["diameter"])) <= rounded_length(group.d) + LENGTH_IN][-1]
    A_t = sheet.given("A_t", float(row["A_t"]), "mm2", areas.cite(row))
    factors = read_table(TABLES, "factors")
    row = factors.find(symbol="k_2")
    k_2 = sheet.given("k_2", float(row["value"]), "-", factors.cite(row))
    ends = [float(sheet(dowels.F_t_Rk, k_2=k_2, f_u_k=float(to_MPa(request.bolt_tensile)), A_t=A_t))]
    for outer, order in ((0, range(len(parts))), (len(parts) - 1, reversed(range(len(parts))))):
        under = next(k for k in order if k in group.woods)
        if parts[outer].material == "steel":
            across = float(sheet(dowels.d_washer_plate, t=float(to_mm(parts[outer].thickness)), d=group.d))
        else:
            across = float(to_mm(request.washer_diameter))
        ends.append(float(sheet(dowels.F_washer_Rk, f_c_90_k=group.woods[under].f_c_90_k, d_washer=across, hole=group.hole)))
    return float(sheet.given("F_ax_Rk", min(ends), "N", Cite(DOCUMENT, "8.5.2(1)")))


def _members(group: _Group, sheet: Calculation) -> list[Member]:
    found = []
    for k, part in enumerate(group.stack.parts):
        t = float(to_mm(part.thickness))
        if k not in group.woods:
            found.append(Member(t, None))
            continue
        wood = group.woods[k]
        table = read_table(TABLES, "embedment_k90")
        row = table.find(wood=wood.kind)
        rho = sheet.given(f"rho_k of {part.name}", wood.rho_k, "kg/m3", wood.cite_of("rho_k"))
        along = sheet(dowels.f_h_0_k, rho_k=rho, d=group.d)
        at_zero = sheet.given("k_90 at d = 0", float(row["at_zero"]), "-", table.cite(row))
        factor = sheet(dowels.k_90, at_zero=at_zero, per_mm=float(row["per_mm"]), d=group.d)
        found.append(Member(t, float(sheet(dowels.f_h_alpha_k, f_h_0_k=along, k_90=factor, alpha=grain_angle(part)))))
    return found


def _plane(group: _Group, sheet: Calculation) -> float:
    """F_v_Rk (N) of the weakest plane."""
    request = group.request
    members = _members(group, sheet)
    tolerance = float(to_mm(request.hole_oversize))
    f_u = sheet.given("f_u_k", float(to_MPa(request.bolt_tensile)), "MPa", PROJECT)
    M_y = float(sheet(dowels.M_y_Rk, f_u_k=f_u, d=group.d))
    fastener = Fastener(group.d, M_y, axial_resistance(group, sheet), dowels.rope_share("bolt"), tolerance)
    sheet.given("share of the rope effect", fastener.share, "-", read_table(TABLES, "rope_effect").cite())
    trials: list[PlaneValue] = []
    for run in group.stack.runs:
        if len(run) == 2:
            trials.append(single(members[run[0]], members[run[1]], fastener, sheet))
        for a, b, c in zip(run, run[1:], run[2:], strict=False):
            trials += [double(side, members[b], fastener, sheet) for side in dict.fromkeys((members[a], members[c]))]
    least = min(trials, key=lambda t: float(t.F))
    return float(sheet.given(f"F_v_Rk, mode {least.mode.item()}", float(least.F), "N", Cite(DOCUMENT, "8.2.2, 8.2.3 and 8.1.3")))


def _bolts(group: _Group) -> list[CheckResult]:
    request, sheet = group.request, Calculation()
    F = _plane(group, sheet)
    numbers: list[float] = []
    for k in group.woods:
        part, alpha = group.stack.parts[k], grain_angle(group.stack.parts[k])
        total = 0.0
        for n, spacing in rows_of(part, request.diameter):
            along = sheet(dowels.n_ef_0, n=float(n), a_1=spacing, d=group.d)
            total += float(sheet(dowels.n_ef, n_ef_0=along, n=float(n), alpha=alpha))
        numbers.append(float(sheet.given(f"n_ef of {part.name}, all rows", total, "-", Cite(DOCUMENT, "8.5.1.1(4)"))))
    condition = min(p.condition for p in group.stack.parts)
    R_k = sheet(F_group_Rk, planes=float(group.stack.planes), n_ef=min(numbers), F_v_Rk=F, condition=condition)
    force = np.abs(request.axial)
    return group.results(BOLTS, "8.1.2, 8.5.1", force, group.design(R_k, sheet), sheet, np.ones(force.shape, dtype=np.bool_))


def _distances(group: _Group) -> list[CheckResult]:
    """The worst of each quantity per combination: least over provided, in."""
    request = group.request
    pull = request.axial >= 0
    both = np.full(pull.shape, request.reverses)
    counts = {1: pull | both, -1: ~pull | both}
    measured = {sense: [m for k in group.woods for m in measure(group.stack.parts[k], request.diameter, sense)] for sense in counts}
    sheets: dict[Measured, Calculation] = {}
    results = []
    for check in CHECKS:
        for c, name in enumerate(request.combinations):
            here = [m for sense, counted in counts.items() if counted[c] for m in measured[sense] if m.check == check]
            if not here:
                continue
            worst = max(here, key=lambda m: _ratio(m.least, m.actual))
            if worst not in sheets:
                sheet = sheets[worst] = Calculation()
                sheet.given(f"least {check} of {worst.part}", worst.least, "in", worst.cite)
                sheet.given(f"{check} provided", worst.actual, "in", Cite("survey", "bolt positions"))
            state = State.DOES_NOT_PASS if worst.too_small else State.PASSES
            numbers = worst.least, worst.actual, "in", rounded(_ratio(worst.least, worst.actual))
            results.append(CheckResult(request.where, check, *numbers, state, name, request.stage, math.nan, worst.cite, sheets[worst], 0))
    return results


def most_across(part: ConnectedPart, a_1_in: float) -> int:
    """Most rows that have a bolt in one section: bolts within half of the least spacing along the grain count together (5.2)."""
    return max(
        len({rounded_length(float(v)) for u, v in part.bolts if abs(float(u) - float(at)) <= a_1_in / 2 + LENGTH_IN}) for at in part.bolts[:, 0]
    )


def _torn(group: _Group) -> list[CheckResult]:
    """Net section, and block or plug shear under steel, of each part pushed toward an end."""
    request, results = group.request, []
    for sense, counts in ((1, request.axial > 0), (-1, request.axial < 0)):
        for k, wood in group.woods.items():
            part = group.stack.parts[k]
            c = math.cos(part.load_angle) * sense
            end = part.ends[1] if c > 0 else part.ends[0]
            if abs(c) < distances.SQUARE or not math.isfinite(end) or not counts.any():
                continue
            force = np.abs(request.axial) * group.stack.shares[k] * abs(c)
            results += _net_section(group, k, wood, force, counts)
            if _steel_beside(group, k):
                results += _block(group, k, wood, end, force, counts)
    return _worst_of_each(results)


def _worst_of_each(results: list[CheckResult]) -> list[CheckResult]:
    """Per check and combination the part with the largest ratio."""
    worst: dict[tuple[str, str], CheckResult] = {}
    for r in results:
        key = r.check, r.combination
        if key not in worst or r.ratio > worst[key].ratio:
            worst[key] = r
    return list(worst.values())


def _steel_beside(group: _Group, k: int) -> int:
    """Steel parts that pass force to part k: one means single shear, two a part between plates."""
    pairs = [pair for run in group.stack.runs for pair in itertools.pairwise(run) if k in pair]
    return sum(1 for a, b in pairs if group.stack.parts[b if a == k else a].material == "steel")


def _net_section(group: _Group, k: int, wood: Timber, force: Floats, counts: Bools) -> list[CheckResult]:
    part, sheet = group.stack.parts[k], Calculation()
    b, h = float(to_mm(part.thickness)), float(to_mm(part.edges[1] - part.edges[0]))
    least = distances.least_distance("spacing_along_grain", "any", d=group.d, angle=0.0)
    holes = float(most_across(part, float(least) * part.thickness / b))
    factor, cite = design.size_factor(wood.product, max(b, h))
    f_k = sheet(X_k_size, k_h=sheet.given("k_h", factor, "-", cite), X_k=sheet.given("f_t_0_k", wood.f_t_0_k, "MPa", wood.cite_of("f_t_0_k")))
    partial, partial_cite = design.gamma_M(wood.product)
    k_mod = sheet.given("k_mod", group.k_mod, "-", group.k_mod_cite)
    f_d = sheet(design.X_d, k_mod=k_mod, X_k=f_k, gamma_M=sheet.given("gamma_M", partial, "-", partial_cite))
    whole = np.asarray(sheet(brittle.N_net_Rd, f_t_0_d=f_d, b=b, h=h, holes=holes, hole=group.hole), dtype=float)
    return group.results(NET_SECTION, "6.1.2, 5.2", force, whole * part.condition, sheet, counts)


def _block(group: _Group, k: int, wood: Timber, end: float, force: Floats, counts: Bools) -> list[CheckResult]:
    part, sheet, d = group.stack.parts[k], Calculation(), group.d
    t = float(to_mm(part.thickness))
    rows = rows_of(part, group.request.diameter)
    n, spacing = min(count for count, _ in rows), min((s for _, s in rows if s > 0), default=0.0)
    a_3 = float(to_mm(float(np.min(np.abs(end - part.bolts[:, 0])))))
    width = float(to_mm(float(np.ptp(part.bolts[:, 1]))))
    shear_length = sheet(brittle.L_net_v, a_3=a_3, a_1=spacing, n=float(n), hole=group.hole)
    tension_length = sheet(brittle.L_net_t, width=width, rows=float(len(rows)), hole=group.hole)
    area = float(sheet(brittle.A_net_v_block, L_net_v=shear_length, t_1=t))
    if _steel_beside(group, k) == 1:
        f_h = next(m.f_h for i, m in enumerate(_members(group, Calculation())) if i == k)
        thin = sheet(brittle.t_ef_thin, f_h=f_h, t_1=t, d=d, M_y_Rk=group.M_y)
        thick = sheet(brittle.t_ef_thick, f_h=f_h, t_1=t, d=d, M_y_Rk=group.M_y)
        plug = float(sheet(brittle.A_net_v_plug, L_net_v=shear_length, L_net_t=tension_length, t_ef=min(float(thin), float(thick))))
        area = float(sheet.given("A_net_v", min(area, plug), "mm2", Cite(DOCUMENT, "A.1 (the weaker of block and plug, ours)")))
    f_t, f_v = (sheet.given(name, getattr(wood, name), "MPa", wood.cite_of(name)) for name in ("f_t_0_k", "f_v_k"))
    tension = sheet(brittle.A_net_t, L_net_t=tension_length, t_1=t)
    R_k = sheet(brittle.F_bs_Rk, A_net_t=tension, f_t_0_k=f_t, A_net_v=area, f_v_k=f_v)
    return group.results(BLOCK, "annex A", force, group.design(R_k, sheet) * part.condition, sheet, counts)


def _splitting(group: _Group) -> list[CheckResult]:
    """8.1.4 for each part with force across its grain; the loaded edge changes with the sense of the force."""
    request, results = group.request, []
    for sense, counts in ((1, request.axial >= 0), (-1, request.axial < 0)):
        for k, wood in group.woods.items():
            part = group.stack.parts[k]
            s = math.sin(part.load_angle) * sense
            if abs(s) < distances.SQUARE or not counts.any():
                continue
            if wood.kind != "softwood":
                raise NotCovered(f"splitting of {wood.kind} across the grain", f"{DOCUMENT} 8.1.4(3)")
            low, high = part.edges
            far = high - float(part.bolts[:, 1].min()) if s > 0 else float(part.bolts[:, 1].max()) - low
            sheet = Calculation()
            b, h = float(to_mm(part.thickness)), float(to_mm(high - low))
            R_k = sheet(brittle.F_90_Rk, b=b, h_e=float(to_mm(far)), h=h)
            force = np.abs(request.axial) * group.stack.shares[k] * abs(s)
            results += group.results(SPLITTING, "8.1.4", force, group.design(R_k, sheet) * part.condition, sheet, counts)
    return _worst_of_each(results)


def refuse(request: ConnectionRequest) -> None:
    """Raise NotCovered for what chapter 8 does not cover or the request leaves open."""
    count = len(request.parts[0].bolts) if request.parts else 0
    if len(request.parts) < 2 or count == 0:
        raise NotCovered("a connection needs two parts and a bolt", f"{DOCUMENT} 8.1")
    limits = (("diameter", request.diameter, "bolts of"), ("hole over diameter", request.hole_oversize, "holes larger than the bolts by"))
    for quantity, value, words in limits:
        least, greatest = bolt_limit(quantity)
        size = float(to_mm(value))
        if not least - 1e-4 <= size <= greatest + 1e-4:
            clause = read_table(TABLES, "bolt_size").find(quantity=quantity)["clause"]
            raise NotCovered(f"{words} {size:.3g} mm; covered are {least:g} to {greatest:g} mm", f"{DOCUMENT} {clause}")
    if not request.bolt_tensile > 0:
        raise NotCovered("the tensile strength of the bolts is not stated, and their yield moment comes from it", f"{DOCUMENT} 8.5.1.1(1)")
    if not any(p.material == "wood" for p in request.parts if p.side != "filler"):
        raise NotCovered("no part is of wood", f"{DOCUMENT} 8.2")
    for part in request.parts:
        if len(part.bolts) != count:
            raise NotCovered(f"{part.name} holds {len(part.bolts)} bolts, others {count}", f"{DOCUMENT} 8.1")
        if part.side == "filler" or part.material != "wood":
            continue
        if part.wood is None:
            raise NotCovered(f"{part.name}: kind and strength class of the wood are missing", f"{DOCUMENT} 8.2")
        inside = np.all((part.bolts > (part.ends[0], part.edges[0])) & (part.bolts < (part.ends[1], part.edges[1])))
        if not (np.all(np.isfinite(part.edges)) and inside):
            raise NotCovered(f"{part.name}: a bolt stands outside its ends or edges", f"{DOCUMENT} 8.5.1.1")
    if any(math.dist(a, b) < request.diameter for a, b in itertools.combinations(request.parts[0].bolts, 2)):
        raise NotCovered("two bolts overlap", f"{DOCUMENT} 8.5.1.1")


def connection_checks(request: ConnectionRequest) -> list[CheckResult]:
    """All checks of one bolt group, for every combination; one "cannot be checked" where the arrangement or a wood is not covered."""
    try:
        refuse(request)
        stack = stack_of(request)
        woods = {k: timber(p.wood) for k, p in enumerate(stack.parts) if p.material == "wood" and p.wood is not None}
        factors = [design.k_mod(w.product, w.wet, request.durations) for w in woods.values()]
        k_mod = np.min(np.stack([values for values, _ in factors]), axis=0)
        d = float(to_mm(request.diameter))
        M_y = float(dowels.M_y_Rk(float(to_MPa(request.bolt_tensile)), d))
        group = _Group(request, stack, woods, d, M_y, k_mod, min((c for _, c in factors), key=lambda c: c.status))
        return [*_bolts(group), *(_distances(group) if request.distances else ()), *_torn(group), *_splitting(group)]
    except NotCovered as problem:
        clause = problem.clause.removeprefix(f"{DOCUMENT} ") or "chapter 8"
        return [cannot_be_checked(request.where, BOLTS, str(problem), Cite(DOCUMENT, clause), stage=request.stage)]
