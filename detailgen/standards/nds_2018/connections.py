"""Checks of one bolt group (chapters 11 and 12, Appendix E).

Equilibrium over the stack of parts. Shear planes lie between touching parts of different side:

* two parts: one shear plane;
* three in turn (a|b|a): double shear by the double-shear modes. Unequal side members (12.3.8): each side member in turn is taken
  for both, with its own length and bearing strength, and the lowest value counts;
* more in turn: each plane as single shear of the two parts beside it, the lowest value times the number of planes (12.3.9).

Where neighbours are of one side no force passes between them and a new run of parts begins (plate | ply, filler, ply | plate: twice one plane).
Every plane carries the same force, so the lowest plane of all runs decides. Plies of one side that touch are not taken as one thicker piece.

Choices of this house, all on the safe side: the group action factor of the least row counts for all; a load between 0 and 90 degrees to
grain meets the distances of both columns; duration factors are at most 1.6; the worst condition among the parts reduces the whole group.
A filler carries nothing.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from detailgen.core.clause import Calculation, Cite, Number
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult, State, cannot_be_checked
from detailgen.core.table import read_table
from detailgen.core.tolerance import at_most, rounded
from detailgen.standards.interface import ConnectedPart, ConnectionRequest, Floats, WoodGrade
from detailgen.standards.nds_2018.adjustment import duration_factors
from detailgen.standards.nds_2018.distances import C_delta, Measured, greatest_outer_rows, l_over_D, measure
from detailgen.standards.nds_2018.dowels import LateralValue, dowel_bearing, lateral_value
from detailgen.standards.nds_2018.group_action import A_across, group_action, rows_along, rows_that_count
from detailgen.standards.nds_2018.local_stress import CHECKS, LocalCheck, loaded_end, local_checks
from detailgen.standards.nds_2018.reference import ReferenceValues
from detailgen.standards.nds_2018.shear_planes import DOCUMENT, Stack, refuse, stack_of

TABLES = Path(__file__).parent / "tables"
DISTANCES = ("end distance", "edge distance", "spacing in a row", "row spacing")
Values = Callable[[WoodGrade, float, float], ReferenceValues]


def Z_plane(Z: Number) -> Number:
    """Value of one plane of a double-shear connection.

    Z: reference lateral value over two shear planes, lb
    Returns: lb
    Source: NDS 2018, 12.3.1, table 12.3.1A
    """
    return Z / 2


def Z_joint(planes: Number, Z_plane: Number) -> Number:
    """Reference value of one bolt over all shear planes: the lowest plane times their number.

    planes: number of shear planes, -
    Z_plane: lowest value of any single shear plane, lb
    Returns: lb
    Source: NDS 2018, 12.3.9
    """
    return planes * Z_plane


def Z_prime(Z: Number, C_D: Number, C_M: Number, C_t: Number, C_g: Number, C_delta: Number) -> Number:
    """Adjusted lateral value of one bolt.

    Z: reference lateral value, lb
    C_D: load duration factor, -
    C_M: wet service factor, -
    C_t: temperature factor, -
    C_g: group action factor, -
    C_delta: geometry factor, -
    Returns: lb
    Source: NDS 2018, 11.3.1, table 11.3.1
    """
    return Z * C_D * C_M * C_t * C_g * C_delta


def Z_group(n: Number, Z_prime: Number, condition: Number) -> Number:
    """Capacity of a bolt group.

    n: number of bolts, -
    Z_prime: adjusted lateral value of one bolt, lb
    condition: what the survey leaves of the group, 0 to 1, -
    Returns: lb
    Source: NDS 2018, 11.2.2
    """
    return n * Z_prime * condition


def _angle(part: ConnectedPart) -> float:
    """Angle of load to grain, 0 to 90 degrees in radians; 0 for steel."""
    if part.material == "steel":
        return 0.0
    angle = math.atan2(abs(math.sin(part.load_angle)), abs(math.cos(part.load_angle)))
    return 0.0 if angle < 1e-9 else min(angle, math.pi / 2)


def Z_left(Z: Number, condition: Number) -> Number:
    """Resistance that damage leaves.

    Z: resistance of the sound part, lb
    condition: what the survey leaves of the part, 0 to 1, -
    Returns: lb
    Source: survey, condition
    """
    return Z * condition


@dataclass
class _Group:
    """One request with what is looked up once."""

    request: ConnectionRequest
    stack: Stack
    woods: dict[int, tuple[WoodGrade, ReferenceValues]]
    C_D: Floats
    C_D_cite: Cite

    @property
    def count(self) -> int:
        return len(self.stack.parts[0].bolts)

    def senses(self) -> tuple[Floats, Floats]:
        """Which combinations count as tension, and which as compression, of the member (both where the group reverses; no force: tension)."""
        pull = self.request.axial >= 0
        both = np.full(pull.shape, self.request.reverses)
        return (pull | both), (~pull | both)


def _reference_value(group: _Group, sheet: Calculation) -> Number:
    """Z of one bolt over all shear planes, with the mode that governs as a step of its own."""
    request, parts = group.request, group.stack.parts
    strengths: list[Number] = []
    for k, part in enumerate(parts):
        if k in group.woods:
            values = group.woods[k][1]
            theta = sheet.given(f"angle of load to grain in {part.name}", _angle(part), "rad", Cite(DOCUMENT, "12.3.4"))
            G = sheet.given(f"G of {part.name}", values.G, "-", values.cite_of("G"))
            strengths.append(float(dowel_bearing(G, request.diameter, theta, sheet)))
        else:
            strengths.append(sheet.given(f"F_e of {part.name}", part.bearing_strength, "psi", Cite("project", "dowel bearing strength of the steel")))
    largest = max(_angle(p) for p in parts)

    def value(main: int, side: int, planes: int) -> LateralValue:
        sheet.given(f"bearing length in {parts[main].name}", parts[main].thickness, "in", Cite(DOCUMENT, "12.3.5"))
        return lateral_value(
            planes=planes, D=request.diameter, F_yb=request.bolt_bending_yield, l_m=parts[main].thickness, l_s=parts[side].thickness,
            F_em=strengths[main], F_es=strengths[side], theta_m=largest, D_r=request.root_diameter or None, sheet=sheet,
        )  # fmt: skip

    trials: list[tuple[float, Number, LateralValue, str]] = []  # value per plane, value, modes, clause
    for run in group.stack.runs:
        if len(run) == 3:
            first, middle, last = run
            alike = (parts[first].thickness, strengths[first]) == (parts[last].thickness, strengths[last])
            for side in (first,) if alike else (first, last):
                double = value(middle, side, 2)
                trials.append((float(double.Z) / 2, double.Z, double, "12.3.1" if alike else "12.3.8"))
            continue
        for a, b in itertools.pairwise(run):
            main, side = sorted((a, b), key=lambda k: (parts[k].material == "wood", parts[k].side == "member"), reverse=True)
            single = value(main, side, 1)
            trials.append((float(single.Z), single.Z, single, "12.3.1"))
    plane, whole, modes, clause = min(trials, key=lambda t: t[0])
    sheet.given(f"Z, mode {modes.governing.item()}", whole, "lb", Cite(DOCUMENT, clause))
    if len(group.stack.runs) == 1 and len(group.stack.parts) <= 3:
        return whole
    if whole != plane:
        plane = float(sheet(Z_plane, Z=whole))
    return float(sheet(Z_joint, planes=float(group.stack.planes), Z_plane=plane))


def _group_action(group: _Group, sheet: Calculation) -> float:
    """C_g for the rows along the load, seen in the axes of the member."""
    request, parts = group.request, group.stack.parts
    first = next(p for p in parts if p.side == "member")
    rows = rows_that_count(rows_along(first.bolts, first.load_angle))
    steel = read_table(TABLES, "connection_factors").find(factor="E_steel", condition="psi")
    stiff, areas = {"member": 0.0, "other": 0.0}, {"member": 0.0, "other": 0.0}
    for k, part in enumerate(parts):
        area = part.thickness * (part.edges[1] - part.edges[0])
        if k in group.woods and _angle(part) > 0:
            lines = [float(u) for u in part.bolts[:, 0]]
            along = max(lines) - min(lines)
            if along < request.diameter:  # one line across the grain: the least spacing along the grain for the full value
                along = 4 * request.diameter
            area = min(area, float(A_across(part.thickness, along)))
        modulus = group.woods[k][1].E_axial if k in group.woods else float(steel["value"])
        stiff[part.side] += modulus * area
        areas[part.side] += area
    members = "wood and wood" if all(p.material == "wood" for p in parts) else "wood and steel"
    main, side = ((stiff[s] / areas[s], areas[s]) for s in ("member", "other"))
    return group_action(rows, request.diameter, members, main, side, sheet)


def _measured(group: _Group, sense: int) -> list[Measured]:
    parts = group.stack.parts
    lengths = {side: sum(p.thickness for p in parts if p.side == side and p.material == "wood") or math.inf for side in ("member", "other")}
    slender = float(l_over_D(lengths["member"], lengths["other"], group.request.diameter))
    return [m for k, (wood, _) in group.woods.items() for m in measure(parts[k], wood, group.request.diameter, sense, slender)]


def _geometry(group: _Group, sheet: Calculation, measured: dict[int, list[Measured]]) -> tuple[Floats, list[str]]:
    """C_delta per combination, and per combination why there is none ("" where there is one)."""
    pull, push = group.senses()
    factor, why = np.ones(pull.shape), [""] * len(pull)
    actual, full = np.ones(pull.shape), np.ones(pull.shape)
    names: dict[str, None] = {}
    for sense, counts in ((1, pull), (-1, push)):
        for m in measured[sense]:
            ratio = float(C_delta(m.actual, m.full))
            for c in np.flatnonzero(counts):
                if m.too_small and not why[c]:
                    why[c] = f"{m.check} of {m.part} is {m.actual:g} in., under the least {m.least:g} in.: the standard gives no value"
                if ratio < factor[c]:
                    factor[c], actual[c], full[c] = ratio, m.actual, m.full
                    names[f"{m.check} of {m.part}"] = None
    if names:
        status = read_table(TABLES, "bolt_least_distances").cite().status
        a = sheet.given("a: " + "; ".join(names), actual, "in", Cite(DOCUMENT, "12.5.1.2"))
        a_full = sheet.given("a for the full value", full, "in", Cite(DOCUMENT, "12.5.1", "bolt_least_distances", status))
        return np.asarray(sheet(C_delta, a=a, a_full=a_full)), why
    sheet.given("C_delta", factor, "-", read_table(TABLES, "bolt_least_distances").cite())
    return factor, why


def _state(ratio: float) -> State:
    return State.PASSES if at_most(ratio, 1.0) else State.DOES_NOT_PASS


def _ratio(demand: float, capacity: float) -> float:
    return 0.0 if demand == 0 else (demand / capacity if capacity > 0 else math.inf)


def _bolts(group: _Group, measured: dict[int, list[Measured]]) -> list[CheckResult]:
    request, sheet = group.request, Calculation()
    Z = _reference_value(group, sheet)
    table = read_table(TABLES, "connection_factors")
    wet = any(wood.wet for wood, _ in group.woods.values())
    row = table.find(factor="C_M", condition="wet" if wet else "dry")
    C_g = _group_action(group, sheet)
    C_delta, why = _geometry(group, sheet, measured)
    C_D = sheet.given("C_D", group.C_D, "-", group.C_D_cite)
    C_M = sheet.given("C_M", float(row["value"]), "-", table.cite(row))
    adjusted = sheet(Z_prime, Z=Z, C_D=C_D, C_M=C_M, C_t=1.0, C_g=C_g, C_delta=C_delta)
    condition = min(p.condition for p in group.stack.parts)
    capacity = np.asarray(sheet(Z_group, n=float(group.count), Z_prime=adjusted, condition=condition))
    cite = Cite(DOCUMENT, "12.3.1", "", sheet.status)
    results = []
    for c, name in enumerate(request.combinations):
        if why[c]:
            results.append(cannot_be_checked(request.where, "bolts", why[c], cite, combination=name, stage=request.stage))
            continue
        demand, has = rounded(abs(float(request.axial[c]))), rounded(float(capacity[c]))
        ratio = rounded(_ratio(demand, has))
        results.append(
            CheckResult(request.where, "bolts", demand, has, "lb", ratio, _state(ratio), name, request.stage, math.nan, cite, sheet, c),
        )
    return results


def _distances(group: _Group, measured: dict[int, list[Measured]]) -> list[CheckResult]:
    """The worst of each quantity per combination: required (absolute least) over provided."""
    request, (pull, push) = group.request, group.senses()
    sheets: dict[Measured, Calculation] = {}
    results = []
    for check in DISTANCES:
        for c, name in enumerate(request.combinations):
            counted = [m for sense, counts in ((1, pull), (-1, push)) if counts[c] for m in measured[sense] if m.check == check]
            if not counted:
                continue
            worst = max(counted, key=lambda m: _ratio(m.least, m.actual))
            if worst not in sheets:
                sheet = sheets[worst] = Calculation()
                sheet.given(f"least {check} of {worst.part}", worst.least, "in", worst.cite)
                sheet.given(f"{check} for the full value", worst.full, "in", worst.cite)
                sheet.given(f"{check} provided", worst.actual, "in", Cite("survey", "bolt positions"))
            state = State.DOES_NOT_PASS if worst.too_small else State.PASSES
            results.append(
                CheckResult(request.where, check, worst.least, worst.actual, "in", rounded(_ratio(worst.least, worst.actual)), state, name,
                            request.stage, math.nan, worst.cite, sheets[worst], 0)
            )  # fmt: skip
    return results


def _local(group: _Group) -> list[CheckResult]:
    """Appendix E: per combination the part with the largest ratio."""
    request, stack = group.request, group.stack
    found: list[tuple[LocalCheck, Floats]] = []
    for sense, counts in ((1, request.axial > 0), (-1, request.axial < 0)):
        if not np.any(counts):
            continue
        for k, (_, values) in group.woods.items():
            part = stack.parts[k]
            demand = np.where(counts, np.abs(request.axial) * stack.shares[k] * loaded_end(part, sense)[2], np.nan)
            for check in local_checks(part, values, request.diameter, request.diameter + request.hole_oversize, group.C_D, sense):
                check.sheet.given(f"force in {part.name} along its grain", demand, "lb", Cite(DOCUMENT, "11.1.2"))
                if part.condition != 1.0:
                    check = replace(check, capacity=np.asarray(check.sheet(Z_left, Z=check.capacity, condition=part.condition)))
                found.append((check, demand))
    results = []
    for name, clause in CHECKS.items():
        for c, combination in enumerate(request.combinations):
            trials = [(_ratio(float(d[c]), float(k.capacity[c])), k, float(d[c])) for k, d in found if k.check == name and not math.isnan(d[c])]
            if not trials:
                continue
            ratio, check, force = max(trials, key=lambda t: t[0])
            cite = Cite(DOCUMENT, clause, "", check.sheet.status)
            results.append(
                CheckResult(request.where, name, rounded(force), rounded(float(check.capacity[c])), "lb", rounded(ratio), _state(rounded(ratio)),
                            combination, request.stage, math.nan, cite, check.sheet, c)
            )  # fmt: skip
    return results


def _outer_rows(group: _Group) -> list[CheckResult]:
    """Outer rows across the grain held by steel: shrinkage of the wood between them splits it."""
    request = group.request
    if all(p.material == "wood" for p in group.stack.parts):
        return []
    found = []
    for k, (wood, _) in group.woods.items():
        across = group.stack.parts[k].bolts[:, 1]
        apart = rounded(float(across.max() - across.min()))
        limit, cite = greatest_outer_rows(wood.product, "dry", "wet" if wood.wet else "dry")
        if apart > 0 and math.isfinite(limit):
            found.append((apart / limit, apart, limit, cite, group.stack.parts[k].name))
    if not found:
        return []
    ratio, apart, limit, cite, part = max(found, key=lambda f: f[0])
    sheet = Calculation()
    sheet.given(f"outer rows apart in {part}", apart, "in", Cite("survey", "bolt positions"))
    sheet.given("greatest distance", limit, "in", cite)
    return [
        CheckResult(request.where, "outer rows through steel", apart, limit, "in", rounded(ratio), _state(rounded(ratio)), name, request.stage,
                    math.nan, cite, sheet, 0)
        for name in request.combinations
    ]  # fmt: skip


def connection_checks(request: ConnectionRequest, values: Values) -> list[CheckResult]:
    """All checks of one bolt group, for every combination; one "cannot be checked" where the arrangement or a wood is not covered.

    values: reference values of a wood in a section (thickness, depth)
    """
    try:
        refuse(request)
        stack = stack_of(request)
        woods = {}
        for k, part in enumerate(stack.parts):
            if part.material == "wood" and part.wood is not None:
                woods[k] = (part.wood, values(part.wood, part.thickness, part.edges[1] - part.edges[0]))
        factors, cite = duration_factors(request.durations)
        table = read_table(TABLES, "connection_factors")
        greatest = float(table.find(factor="C_D", condition="greatest at connections")["value"])
        group = _Group(request, stack, woods, np.minimum(np.array(factors, dtype=float), greatest), cite)
        measured = {sense: _measured(group, sense) for sense in (1, -1)}
        return [*_bolts(group, measured), *_distances(group, measured), *_local(group), *_outer_rows(group)]
    except NotCovered as problem:
        clause = problem.clause.removeprefix(f"{DOCUMENT} ") or "chapter 12"
        return [cannot_be_checked(request.where, "bolts", str(problem), Cite(DOCUMENT, clause), stage=request.stage)]

