"""Checks of one bolt group (chapters 11 and 12, Appendix E).

Equilibrium over the stack of parts. Shear planes lie between touching parts of different side:

* two carrying parts: one shear plane;
* three in turn (a|b|a): double shear by the double-shear modes. Unequal side members (12.3.8): each side member in turn is taken
  for both, with its own length and bearing strength, and the lowest value counts;
* every other stack: each plane as single shear of the two parts beside it, the lowest value times the number of planes (12.3.9).
  Plies of one side that touch are not taken as one thicker piece, and every plane carries the same force.

Choices of this house, all on the safe side: the group action factor of the least row counts for all; a load between 0 and 90 degrees to
grain meets the distances of both columns; duration factors are at most 1.6; the worst condition among the parts reduces the whole group.
A filler carries nothing.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from detailgen.core.clause import Calculation, Cite, Number
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult, State, cannot_be_checked
from detailgen.core.table import read_table
from detailgen.core.tolerance import LENGTH_IN, at_most, rounded
from detailgen.standards.interface import ConnectedPart, ConnectionRequest, Floats, WoodGrade
from detailgen.standards.nds_2018.adjustment import duration_factors
from detailgen.standards.nds_2018.distances import C_delta, C_delta_shear, Measured, greatest_outer_rows, l_over_D, measure
from detailgen.standards.nds_2018.dowels import LateralValue, dowel_bearing, lateral_value
from detailgen.standards.nds_2018.group_action import A_across, group_action, rows_along, rows_that_count
from detailgen.standards.nds_2018.local_stress import CHECKS, LocalCheck, loaded_end, local_checks
from detailgen.standards.nds_2018.reference import ReferenceValues

TABLES = Path(__file__).parent / "tables"
DOCUMENT = "NDS 2018"
DISTANCES = ("end distance", "edge distance", "spacing in a row", "row spacing")
Values = Callable[[WoodGrade, float, float], ReferenceValues]


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


@dataclass(frozen=True)
class Stack:
    """Carrying parts far to near (fillers left out), shear planes as pairs of indices, and each part's share of the force."""

    parts: tuple[ConnectedPart, ...]
    planes: tuple[tuple[int, int], ...]
    shares: tuple[float, ...]
    double: bool  # a|b|a, touching


def stack_of(request: ConnectionRequest) -> Stack:
    """Equilibrium of the parts. Raises NotCovered where a force would have to cross an open gap or a filler."""
    parts: list[ConnectedPart] = []
    apart: list[tuple[float, bool]] = []  # before part k: open distance, and is there a filler
    gap, filler = 0.0, False
    for part, before in zip(request.parts, (0.0, *request.gaps), strict=True):
        gap += before
        if part.side == "filler":
            filler = True
            continue
        parts.append(part)
        apart.append((gap, filler))
        gap, filler = 0.0, False
    blocks: list[list[int]] = []
    planes: list[tuple[int, int]] = []
    for k, part in enumerate(parts):
        open_gap, filled = apart[k]
        separated = open_gap > LENGTH_IN or filled
        if k and part.side != parts[k - 1].side:
            between = f"{parts[k - 1].name} and {part.name}"
            if open_gap > LENGTH_IN:
                raise NotCovered(f"an open gap of {open_gap:g} in. lies between {between}, which pass force to each other: no bolt across an open gap")
            if filled:
                raise NotCovered(f"a filler lies between {between}, which pass force to each other: a filler carries nothing")
            planes.append((k - 1, k))
        if k and part.side == parts[k - 1].side and not separated:
            blocks[-1].append(k)
        else:
            blocks.append([k])
    if not planes:
        raise NotCovered("no two neighbouring parts pass force to each other")
    shares = [0.0] * len(parts)
    for block in blocks:
        crossing = sum(1 for plane in planes if plane[0] in block or plane[1] in block)
        if not crossing:
            names = " and ".join(parts[k].name for k in block)
            raise NotCovered(f"{names} has no shear plane with a part of the other side: its force has no way out")
        whole = sum(parts[k].thickness for k in block)
        for k in block:
            shares[k] = crossing / len(planes) * parts[k].thickness / whole
    double = len(parts) == 3 and len(planes) == 2
    return Stack(tuple(parts), tuple(planes), tuple(shares), double)


def _refuse(request: ConnectionRequest) -> None:
    """Raise NotCovered for what chapter 12 does not cover or the request leaves open."""
    n = len(request.parts[0].bolts) if request.parts else 0
    if len(request.parts) < 2:
        raise NotCovered("a connection needs two parts")
    if n == 0:
        raise NotCovered("there are no bolts")
    sizes = read_table(TABLES, "bolt_size")
    size = sizes.find(quantity="diameter")
    if not float(size["least"]) - LENGTH_IN <= request.diameter <= float(size["greatest"]) + LENGTH_IN:
        raise NotCovered(f"bolt of {request.diameter:g} in.: chapter 12 covers {size['least']:g} to {size['greatest']:g} in.", f"{DOCUMENT} 12.1.3.1")
    hole = sizes.find(quantity="hole over diameter")
    if not float(hole["least"]) - LENGTH_IN <= request.hole_oversize <= float(hole["greatest"]) + LENGTH_IN:
        allowed = f"{hole['least']:g} to {hole['greatest']:g} in."
        raise NotCovered(f"holes are {request.hole_oversize:g} in. larger than the bolts, covered are {allowed}", f"{DOCUMENT} 12.1.3.2")
    if not any(p.material == "wood" for p in request.parts if p.side != "filler"):
        raise NotCovered("no part is of wood")
    for part in request.parts:
        if len(part.bolts) != n:
            raise NotCovered(f"{part.name} holds {len(part.bolts)} bolts, others {n}")
        if part.side not in ("member", "other", "filler"):
            raise NotCovered(f"{part.name}: side '{part.side}' is not member, other or filler")
        if part.side == "filler":
            continue
        if part.material == "steel" and not part.bearing_strength > 0:
            raise NotCovered(f"{part.name}: its dowel bearing strength is missing")
        if part.material == "wood":
            if part.wood is None:
                raise NotCovered(f"{part.name}: species and grade are missing")
            inside = np.all((part.bolts > (part.ends[0], part.edges[0])) & (part.bolts < (part.ends[1], part.edges[1])))
            if not (np.all(np.isfinite(part.edges)) and inside):
                raise NotCovered(f"{part.name}: a bolt stands outside its ends or edges")
    places = request.parts[0].bolts
    if any(math.dist(a, b) < request.diameter for a, b in itertools.combinations(places, 2)):
        raise NotCovered("two bolts overlap")


def _angle(part: ConnectedPart) -> float:
    """Angle of load to grain, 0 to 90 degrees in radians; 0 for steel."""
    if part.material == "steel":
        return 0.0
    angle = math.atan2(abs(math.sin(part.load_angle)), abs(math.cos(part.load_angle)))
    return 0.0 if angle < 1e-9 else min(angle, math.pi / 2)


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
            F_em=strengths[main], F_es=strengths[side], theta_m=largest, sheet=sheet,
        )  # fmt: skip

    if group.stack.double:
        alike = parts[0].thickness == parts[2].thickness and strengths[0] == strengths[2]
        trials = [value(1, side, 2) for side in ((0,) if alike else (0, 2))]
        planes = 1
    else:
        mains = [(a, b) if (parts[a].material, parts[a].side != "member") > (parts[b].material, parts[b].side != "member") else (b, a) for a, b in group.stack.planes]
        kinds = {(parts[m].thickness, strengths[m], parts[s].thickness, strengths[s]): (m, s) for m, s in mains}
        trials = [value(m, s, 1) for m, s in kinds.values()]
        planes = len(group.stack.planes)
    lowest = min(trials, key=lambda v: float(v.Z))
    sheet.given(f"Z, mode {lowest.governing.item()}", lowest.Z, "lb", Cite(DOCUMENT, "12.3.8" if group.stack.double else "12.3.1"))
    return lowest.Z if planes == 1 else float(sheet(Z_joint, planes=float(planes), Z_plane=lowest.Z))


def _group_action(group: _Group, sheet: Calculation) -> float:
    """C_g for the rows along the load, seen in the axes of the member."""
    request, parts = group.request, group.stack.parts
    first = next(p for p in parts if p.side == "member")
    rows = rows_that_count(rows_along(first.bolts, first.load_angle))
    steel = read_table(TABLES, "connection_factors").find(factor="E_steel", condition="psi")
    stiff = {"member": 0.0, "other": 0.0}
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
    members = "wood and wood" if all(p.material == "wood" for p in parts) else "wood and steel"
    return group_action(rows, request.diameter, members, stiff["member"], stiff["other"], sheet)


def _measured(group: _Group, sense: int) -> list[Measured]:
    parts = group.stack.parts
    lengths = {side: sum(p.thickness for p in parts if p.side == side and p.material == "wood") or math.inf for side in ("member", "other")}
    slender = float(l_over_D(lengths["member"], lengths["other"], group.request.diameter))
    return [m for k, (wood, _) in group.woods.items() for m in measure(parts[k], wood, group.request.diameter, sense, slender)]


def _geometry(group: _Group, sheet: Calculation, measured: dict[int, list[Measured]]) -> tuple[Floats, list[str]]:
    """C_delta per combination, and per combination why there is none ("" where there is one)."""
    pull, push = group.senses()
    factor, why = np.ones(pull.shape), [""] * len(pull)
    actual, full, names = np.ones(pull.shape), np.ones(pull.shape), dict.fromkeys(())
    for sense, counts in ((1, pull), (-1, push)):
        for m in measured[sense]:
            ratio = float(C_delta_shear(m.actual, m.full) if m.unit == "in2" else C_delta(m.actual, m.full))
            for c in np.flatnonzero(counts):
                if m.too_small and not why[c]:
                    why[c] = f"{m.check} of {m.part} is {m.actual:g} {m.unit}, under the least {m.least:g} {m.unit}: the standard gives no value"
                if ratio < factor[c] and m.unit == "in":
                    factor[c], actual[c], full[c] = ratio, m.actual, m.full
                    names[f"{m.check} of {m.part}"] = None
    if names:
        status = read_table(TABLES, "bolt_least_distances").cite().status
        a = sheet.given("a: " + "; ".join(names), actual, "in", Cite(DOCUMENT, "12.5.1.2"))
        a_full = sheet.given("a for the full value", full, "in", Cite(DOCUMENT, "12.5.1", "bolt_least_distances", status))
        return np.asarray(sheet(C_delta, a=a, a_full=a_full)), why
    sheet.given("C_delta", factor, "-", read_table(TABLES, "bolt_least_distances").cite())
    return factor, why
