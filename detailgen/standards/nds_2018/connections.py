"""Checks of one bolt group (chapters 11 and 12, Appendix E).

Equilibrium over the stack of parts. Shear planes lie between touching parts of different side:

* two parts: one shear plane;
* three in turn (a|b|a): double shear by the double-shear modes. Unequal side members (12.3.8): each side member in turn is taken
  for both, with its own length and bearing strength, and the lowest value counts;
* more in turn: each plane as single shear of the two parts beside it, the lowest value times the number of planes (12.3.9).

Where neighbours are of one side no force passes between them and a new run of parts begins (plate | ply, filler, ply | plate: twice one plane).
Every plane carries the same force, so the lowest plane of all runs decides. Plies of one side that touch are not taken as one thicker piece.

Choices of this house, all on the safe side: the group action factor of the least row counts for all; a load between 0 and 90 degrees to
grain meets the distances of both columns; duration factors are at most 1.6,
time effects 1.0; the worst condition among the parts reduces the whole group.
A filler carries nothing.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from pathlib import Path

import numpy as np

from detailgen.core.clause import Calculation, Cite, Number
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult, State, cannot_be_checked
from detailgen.core.table import read_table
from detailgen.core.tolerance import at_most, rounded
from detailgen.standards.interface import ConnectedPart, ConnectionRequest, Floats, WoodGrade
from detailgen.standards.nds_2018.distances import C_delta, Measured, greatest_outer_rows, l_over_D, measure
from detailgen.standards.nds_2018.dowels import LateralValue, dowel_bearing, lateral_value
from detailgen.standards.nds_2018.group_action import A_across, group_action, rows_along, rows_that_count
from detailgen.standards.nds_2018.local_stress import CHECKS, LocalCheck, loaded_end, local_checks
from detailgen.standards.nds_2018.method import ALLOWABLE, Method
from detailgen.standards.nds_2018.reference import ReferenceValues
from detailgen.standards.nds_2018.shear_planes import DOCUMENT, refuse
from detailgen.standards.stack import Stack, stack_of

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


@dataclass(frozen=True)
class _Joint:
    """A request seen without its forces. A truss asks for the same joint in every structure and under every snow: equal ones are worked out once."""

    request: ConnectionRequest
    values: Values
    by: Method

    @cached_property
    def key(self) -> tuple[object, ...]:
        r = self.request
        parts = tuple(
            (
                p.name,
                p.material,
                p.thickness,
                p.side,
                p.load_angle,
                p.bolts.tobytes(),
                p.ends,
                p.edges,
                p.wood,
                p.bearing_strength,
                p.condition,
                p.per_row,
            )
            for p in r.parts
        )
        return (r.diameter, r.bolt_bending_yield, r.root_diameter, r.hole_oversize, r.gaps, r.durations, parts, self.values, self.by)

    def __hash__(self) -> int:
        return hash(self.key)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Joint) and self.key == other.key


@dataclass(frozen=True)
class _Known:
    """What a joint is worth whatever its forces are: value of one bolt and group action (with their sheet), distances and local checks by sense."""

    stack: Stack
    woods: dict[int, tuple[WoodGrade, ReferenceValues]]
    time: tuple[Floats, Cite]  # load duration or time effect per combination
    sheet: Calculation
    Z: Number
    C_g: float
    measured: dict[int, list[Measured]]
    local: dict[int, list[tuple[int, LocalCheck]]]  # by sense: part and its check


@lru_cache(maxsize=1024)
def _known(joint: _Joint) -> _Known:
    """Raises NotCovered for an arrangement or a wood that is not covered."""
    request = joint.request
    refuse(request)
    stack = stack_of(request)
    woods = {}
    for k, part in enumerate(stack.parts):
        if part.material == "wood" and part.wood is not None:
            woods[k] = (part.wood, joint.values(part.wood, part.thickness, part.edges[1] - part.edges[0]))
    factors, cite = joint.by.times(request.durations)
    time = np.minimum(np.array(factors, dtype=float), joint.by.greatest_at_connections()), cite
    sheet = Calculation()
    Z = _reference_value(request, stack, woods, sheet)
    C_g = _group_action(request, stack, woods, sheet)
    measured = {sense: _measured(request, stack, woods, sense) for sense in (1, -1)}
    local = {sense: _local_values(joint, stack, woods, time, sense) for sense in (1, -1)}
    return _Known(stack, woods, time, sheet, Z, C_g, measured, local)


@dataclass(frozen=True)
class _Group:
    """One request with what is known of its joint."""

    request: ConnectionRequest
    known: _Known
    by: Method

    @property
    def stack(self) -> Stack:
        return self.known.stack

    def senses(self) -> tuple[Floats, Floats]:
        """Which combinations count as tension, and which as compression, of the member (both where the group reverses; no force: tension)."""
        pull = self.request.axial >= 0
        both = np.full(pull.shape, self.request.reverses)
        return (pull | both), (~pull | both)


Woods = Mapping[int, tuple[WoodGrade, ReferenceValues]]


def _reference_value(request: ConnectionRequest, stack: Stack, woods: Woods, sheet: Calculation) -> Number:
    """Z of one bolt over all shear planes, with the mode that governs as a step of its own."""
    parts = stack.parts
    strengths: list[Number] = []
    for k, part in enumerate(parts):
        if k in woods:
            values = woods[k][1]
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
    for run in stack.runs:
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
    if len(stack.runs) == 1 and len(parts) <= 3:
        return whole
    if whole != plane:
        plane = float(sheet(Z_plane, Z=whole))
    return float(sheet(Z_joint, planes=float(stack.planes), Z_plane=plane))


def _group_action(request: ConnectionRequest, stack: Stack, woods: Woods, sheet: Calculation) -> float:
    """C_g for the rows along the load, seen in the axes of the member."""
    parts = stack.parts
    first = next(p for p in parts if p.side == "member")
    rows = rows_that_count(rows_along(first.bolts, first.load_angle))
    steel = read_table(TABLES, "connection_factors").find(factor="E_steel", condition="psi")
    stiff, areas = {"member": 0.0, "other": 0.0}, {"member": 0.0, "other": 0.0}
    for k, part in enumerate(parts):
        area = part.thickness * (part.edges[1] - part.edges[0])
        if k in woods and _angle(part) > 0:
            lines = [float(u) for u in part.bolts[:, 0]]
            along = max(lines) - min(lines)
            if along < request.diameter:  # one line across the grain: the least spacing along the grain for the full value
                along = 4 * request.diameter
            area = min(area, float(A_across(part.thickness, along)))
        modulus = woods[k][1].E_axial if k in woods else float(steel["value"])
        stiff[part.side] += modulus * area
        areas[part.side] += area
    members = "wood and wood" if all(p.material == "wood" for p in parts) else "wood and steel"
    main, side = ((stiff[s] / areas[s], areas[s]) for s in ("member", "other"))
    return group_action(rows, request.diameter, members, main, side, sheet)


def _measured(request: ConnectionRequest, stack: Stack, woods: Woods, sense: int) -> list[Measured]:
    parts = stack.parts
    lengths = {side: sum(p.thickness for p in parts if p.side == side and p.material == "wood") or math.inf for side in ("member", "other")}
    slender = float(l_over_D(lengths["member"], lengths["other"], request.diameter))
    return [m for k, (wood, _) in woods.items() for m in measure(parts[k], wood, request.diameter, sense, slender)]


def _geometry(group: _Group, sheet: Calculation) -> tuple[Floats, list[str]]:
    """C_delta per combination, and per combination why there is none ("" where there is one)."""
    pull, push = group.senses()
    factor, why = np.ones(pull.shape), [""] * len(pull)
    actual, full = np.ones(pull.shape), np.ones(pull.shape)
    names: dict[str, None] = {}
    for sense, counts in ((1, pull), (-1, push)):
        for m in group.known.measured[sense]:
            ratio = float(C_delta(m.actual, m.full))
            for c in np.flatnonzero(counts):
                if m.too_small and not why[c]:
                    why[c] = f"{m.check} of {m.part} is {m.actual:.4g} in., the least is {m.least:.4g} in.; the standard gives no value for less"
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


def _bolts(group: _Group) -> list[CheckResult]:
    request, known, sheet = group.request, group.known, group.known.sheet.copy()
    table = read_table(TABLES, "connection_factors")
    wet = any(wood.wet for wood, _ in known.woods.values())
    row = table.find(factor="C_M", condition="wet" if wet else "dry")
    C_delta, why = _geometry(group, sheet)
    own = group.by.terms(sheet, "connections", *known.time)
    C_M = sheet.given("C_M", float(row["value"]), "-", table.cite(row))
    adjusted = sheet(group.by.Z_prime, Z=known.Z, **own, C_M=C_M, C_t=1.0, C_g=known.C_g, C_delta=C_delta)
    condition = min(p.condition for p in group.stack.parts)
    capacity = np.asarray(sheet(Z_group, n=float(len(group.stack.parts[0].bolts)), Z_prime=adjusted, condition=condition))
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


def _distances(group: _Group) -> list[CheckResult]:
    """The worst of each quantity per combination: required (absolute least) over provided."""
    request, measured = group.request, group.known.measured
    # Combinations differ here only in which senses of the force count.
    senses = [(a, b) for a, b in zip(*(s.tolist() for s in group.senses()), strict=True)]
    results = []
    for check in DISTANCES:
        worst: dict[tuple[bool, bool], tuple[Measured, Calculation, float] | None] = {}
        for pair in dict.fromkeys(senses):
            counted = [m for sense, counts in zip((1, -1), pair, strict=True) if counts for m in measured[sense] if m.check == check]
            least = max(counted, key=lambda m: _ratio(m.least, m.actual), default=None)
            worst[pair] = (least, _distance_sheet(least), rounded(_ratio(least.least, least.actual))) if least else None
        for pair, name in zip(senses, request.combinations, strict=True):
            found = worst[pair]
            if found:
                m, sheet, ratio = found
                state = State.DOES_NOT_PASS if m.too_small else State.PASSES
                results.append(
                    CheckResult(request.where, check, m.least, m.actual, "in", ratio, state, name, request.stage, math.nan, m.cite, sheet, 0)
                )
    return results


def _distance_sheet(measured: Measured) -> Calculation:
    sheet = Calculation()
    sheet.given(f"least {measured.check} of {measured.part}", measured.least, "in", measured.cite)
    sheet.given(f"{measured.check} for the full value", measured.full, "in", measured.cite)
    sheet.given(f"{measured.check} provided", measured.actual, "in", Cite("survey", "bolt positions"))
    return sheet


def _local_values(joint: _Joint, stack: Stack, woods: Woods, time: tuple[Floats, Cite], sense: int) -> list[tuple[int, LocalCheck]]:
    """Appendix E of every wood part that the bolts push towards an end, less what damage takes."""
    found, request = [], joint.request
    for k, (_, values) in woods.items():
        part = stack.parts[k]
        for check in local_checks(part, values, request.diameter, request.diameter + request.hole_oversize, time, sense, joint.by):
            if part.condition != 1.0:
                check = replace(check, capacity=np.asarray(check.sheet(Z_left, Z=check.capacity, condition=part.condition)))
            found.append((k, check))
    return found


def _local(group: _Group) -> list[CheckResult]:
    """Appendix E: per combination the part with the largest ratio."""
    request, stack = group.request, group.stack
    found: list[tuple[LocalCheck, Floats]] = []
    for sense, counts in ((1, request.axial > 0), (-1, request.axial < 0)):
        if not np.any(counts):
            continue
        for k, check in group.known.local[sense]:
            part = stack.parts[k]
            demand = np.where(counts, np.abs(request.axial) * stack.shares[k] * loaded_end(part, sense)[2], np.nan)
            sheet = check.sheet.copy()
            sheet.given(f"force in {part.name} along its grain", demand, "lb", Cite(DOCUMENT, "11.1.2"))
            found.append((replace(check, sheet=sheet), demand))
    results = []
    for name, clause in CHECKS.items():
        checks = [(check, demand) for check, demand in found if check.check == name]
        ratios = [_ratios(demand, np.asarray(check.capacity)) for check, demand in checks]
        if not ratios:
            continue
        worst = np.argmax(ratios, axis=0)  # the first of equals
        cites = [Cite(DOCUMENT, clause, "", check.sheet.status) for check, _ in checks]
        for c, (k, combination) in enumerate(zip(worst.tolist(), request.combinations, strict=True)):
            check, demand = checks[k]
            if not math.isnan(demand[c]):
                force, has, ratio = rounded(float(demand[c])), rounded(float(check.capacity[c])), rounded(float(ratios[k][c]))
                results.append(
                    CheckResult(request.where, name, force, has, "lb", ratio, _state(ratio), combination, request.stage, math.nan, cites[k],
                                check.sheet, c)
                )  # fmt: skip
    return results


def _ratios(demand: Floats, capacity: Floats) -> Floats:
    """Demand over capacity per combination; less than nothing where there is no demand to be met."""
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = np.where(demand == 0, 0.0, np.where(capacity > 0, demand / capacity, math.inf))
    return np.where(np.isnan(demand), -1.0, ratio)


def _outer_rows(group: _Group) -> list[CheckResult]:
    """Outer rows across the grain held by steel: shrinkage of the wood between them splits it."""
    request = group.request
    if all(p.material == "wood" or p.per_row for p in group.stack.parts):
        return []
    found = []
    for k, (wood, _) in group.known.woods.items():
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


def connection_checks(request: ConnectionRequest, values: Values, by: Method = ALLOWABLE) -> list[CheckResult]:
    """All checks of one bolt group, for every combination; one "cannot be checked" where the arrangement or a wood is not covered.

    values: reference values of a wood in a section (thickness, depth)
    """
    try:
        group = _Group(request, _known(_Joint(request, values, by)), by)
        return [*_bolts(group), *(_distances(group) if request.distances else ()), *_local(group), *_outer_rows(group)]
    except NotCovered as problem:
        clause = problem.clause.removeprefix(f"{DOCUMENT} ") or "chapter 12"
        return [cannot_be_checked(request.where, "bolts", str(problem), Cite(DOCUMENT, clause), stage=request.stage)]
