"""Checks of one plate under every combination: a PlateRequest in, CheckResults out.

Bolts must stand in a rectangular pattern about the plate's middle line, the rows evenly apart. Uneven spacing along the rows counts as the
least of it for strength and least distances, and as the largest for greatest distances and for buckling between bolts.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace

import numpy as np

from detailgen.core.clause import Calculation, Cite
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult, State, cannot_be_checked
from detailgen.core.tolerance import at_most, rounded, rounded_length
from detailgen.standards.aisc360_16 import bolt_holes, plates
from detailgen.standards.aisc360_16.compression import interaction
from detailgen.standards.aisc360_16.strength import DOCUMENT
from detailgen.standards.interface import ALLOWABLE_STRESS, Floats, PlateLayouts, PlateRequest

PLATE = "plate"
"""Name of the one result of a plate that cannot be checked."""
TENSION_BENDING, COMPRESSION_BENDING = "tension and bending", "compression and bending"
NOISE = 1e-5
"""Lengths (in) up to this are rounding of coordinates, no eccentricity."""


def _places(values: Floats) -> list[float]:
    """Different coordinates, ascending."""
    return sorted({rounded_length(float(v)): float(v) for v in values}.values())


def _gaps(places: list[float]) -> tuple[float, float]:
    """Least and largest gap between neighbours (0 where there is one place only)."""
    gaps = [rounded_length(b - a) for a, b in itertools.pairwise(places)]
    return (min(gaps), max(gaps)) if gaps else (0.0, 0.0)


def layouts_of(request: PlateRequest) -> tuple[PlateLayouts, PlateLayouts]:
    """The plate as a layout with its least spacing, and with its largest. Raises NotCovered for another pattern than rows about the middle."""
    found = {(rounded_length(float(x)), rounded_length(float(y))) for x, y in request.bolts}
    if not found:
        raise NotCovered("a plate without bolts", f"{DOCUMENT} J3")
    columns, rows = _places(request.bolts[:, 0]), _places(request.bolts[:, 1])
    if len(found) != len(request.bolts) or len(columns) * len(rows) != len(found):
        raise NotCovered("bolts that stand in no rectangular pattern", f"{DOCUMENT} J3.3")
    (s_least, s_most), (g_least, g_most) = _gaps(columns), _gaps(rows)
    middle = abs(rows[0] + rows[-1]) / 2
    if middle > NOISE:
        raise NotCovered(f"rows {middle:g} in. off the plate's middle line", f"{DOCUMENT} J1.7")
    if g_most - g_least > NOISE:
        raise NotCovered(f"rows unevenly apart, {g_least:g} in. to {g_most:g} in.", f"{DOCUMENT} J4.3")

    def one(value: float) -> Floats:
        return np.array([value], dtype=float)

    least = PlateLayouts(
        F_y=request.F_y, F_u=request.F_u, thickness=one(request.thickness), width=one(request.width), diameter=one(request.diameter),
        hole=one(request.hole), rows=one(len(rows)), per_row=one(len(columns)), spacing=one(s_least), gauge=one(g_least), end=one(request.end),
        free=one(request.free),
    )  # fmt: skip
    return least, replace(least, spacing=one(s_most))


@dataclass(frozen=True)
class _Plate:
    request: PlateRequest
    least: PlateLayouts
    most: PlateLayouts
    method: str

    def result(self, check: str, numbers: tuple[float, float, str, float], cite: Cite, sheet: Calculation, c: int) -> CheckResult:
        demand, capacity, unit, ratio = numbers
        state = State.PASSES if at_most(ratio, 1.0) else State.DOES_NOT_PASS
        r = self.request
        return CheckResult(r.where, check, demand, capacity, unit, ratio, state, r.combinations[c], r.stage, math.nan, cite, sheet, c)

    def strength(self, axial: Floats, which: dict[str, tuple[plates.Capacity, str]]) -> dict[str, tuple[float, Calculation, str]]:
        """Capacity, sheet and clause of every limit state; ``axial`` goes on the sheet."""
        found = {}
        for name, (capacity, clause) in which.items():
            sheet = Calculation()
            sheet.given("P_a" if self.method == ALLOWABLE_STRESS else "P_u", axial, "lb", Cite("analysis", "the plate's share of the axial force"))
            layout = self.most if name == plates.BUCKLING else self.least
            found[name] = (float(capacity(layout, sheet, self.method)[0]), sheet, clause)
        return found


def _ratio(demand: float, capacity: float) -> float:
    return 0.0 if demand <= 0 else (rounded(demand / capacity) if capacity > 0 else math.inf)


def _axial(plate: _Plate) -> list[CheckResult]:
    """Every limit state per combination: of tension where the plate is pulled (or idle), of compression where it is pushed; with the moment."""
    request = plate.request
    force, moment = np.abs(request.axial), np.abs(request.moment)
    pulled = request.axial >= 0
    bends = bool(np.any(moment > 0))
    bent = Calculation()
    M_c = float(plates.bending(plate.least, bent, plate.method)[0]) if bends else math.inf
    results = []
    for mine, which, both in ((pulled, plates.IN_TENSION, TENSION_BENDING), (~pulled, plates.IN_COMPRESSION, COMPRESSION_BENDING)):
        found = plate.strength(force, which)
        for name, (capacity, sheet, clause) in found.items():
            cite = Cite(DOCUMENT, clause, "", sheet.status)
            for c in np.flatnonzero(mine).tolist():
                demand, has = rounded(float(force[c])), rounded(capacity)
                results.append(plate.result(name, (demand, has, "lb", _ratio(demand, has)), cite, sheet, c))
        if bends and mine.any():
            results += _with_moment(plate, (found, M_c, bent), (force, moment), both, np.flatnonzero(mine).tolist())
    return results


def _with_moment(
    plate: _Plate, allowed: tuple[dict[str, tuple[float, Calculation, str]], float, Calculation], demands: tuple[Floats, Floats], check: str,
    combinations: list[int],
) -> list[CheckResult]:  # fmt: skip
    (found, M_c, bent), (P_r, M_r) = allowed, demands
    sheet = bent.copy()
    for name, (capacity, of, clause) in found.items():
        sheet.given(f"available force, {name}", capacity, "lb", Cite(DOCUMENT, clause, "", of.status), of)
    P_c = min(capacity for capacity, _, _ in found.values())
    cite = Cite(DOCUMENT, "H1", "", sheet.status)
    if P_c <= 0 or M_c <= 0:
        why = "the holes leave no steel at an edge of the plate"
        r = plate.request
        return [cannot_be_checked(r.where, check, why, cite, combination=r.combinations[c], stage=r.stage) for c in combinations]
    total = np.asarray(sheet(interaction, P_r=P_r, P_c=P_c, M_r=M_r, M_c=M_c), dtype=float)
    return [plate.result(check, (rounded(float(total[c])), 1.0, "-", rounded(float(total[c]))), cite, sheet, c) for c in combinations]


def _distances(plate: _Plate) -> list[CheckResult]:
    """Least and greatest distances, the same for every combination."""
    results = []
    many = range(len(plate.request.combinations))
    edge, spacing = bolt_holes.edge_cite(), bolt_holes.spacing_cite()
    least_cite = {plates.END: edge, plates.EDGE: edge, plates.SPACING: spacing, plates.GAUGE: spacing}
    for name, (least, provided) in plates.least_distances(plate.least).items():
        if least[0] > 0:
            sheet = Calculation()
            need = sheet.given("least distance", float(least[0]), "in", least_cite[name])
            have = sheet.given("distance provided", float(provided[0]), "in", Cite("detail", "bolt positions"))
            ratio = rounded(need / have) if have > 0 else math.inf
            results += [plate.result(name, (need, have, "in", ratio), least_cite[name], sheet, c) for c in many]
    for name, (most, provided) in plates.greatest_distances(plate.most).items():
        if name in (plates.END, plates.EDGE) or provided[0] > 0:
            _, cite = bolt_holes.greatest_distance("edge" if name in (plates.END, plates.EDGE) else "spacing", plate.most.thickness)
            sheet = Calculation()
            have = sheet.given("distance provided", float(provided[0]), "in", Cite("detail", "bolt positions"))
            limit = sheet.given("greatest distance", float(most[0]), "in", cite)
            results += [plate.result(f"{name}, greatest", (have, limit, "in", rounded(have / limit)), cite, sheet, c) for c in many]
    return results


def plate_checks(request: PlateRequest, method: str = ALLOWABLE_STRESS) -> list[CheckResult]:
    """All checks of one plate for every combination; one 'cannot be checked' where its bolts or their size are not covered."""
    try:
        plate = _Plate(request, *layouts_of(request), method)
        return [*_axial(plate), *_distances(plate)]
    except NotCovered as problem:
        clause = problem.clause.removeprefix(f"{DOCUMENT} ") or "chapter J"
        return [cannot_be_checked(request.where, PLATE, str(problem), Cite(DOCUMENT, clause), stage=request.stage)]
