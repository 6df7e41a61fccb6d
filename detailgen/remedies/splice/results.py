"""Checks of a splice's own parts that no check of its bolts makes, and why each of its dimensions is what it is."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from detailgen.core.clause import Calculation, Cite
from detailgen.core.result import CheckResult, State
from detailgen.core.tolerance import at_most, rounded
from detailgen.model.detail import Why
from detailgen.remedies import usual
from detailgen.remedies.contract import Job, Site
from detailgen.remedies.splice import parameters as p
from detailgen.remedies.splice.chosen import Chosen
from detailgen.remedies.splice.search import Demand
from detailgen.standards.interface import (
    NET_OF_BLOCK,
    NET_SECTION,
    OF_BLOCK,
    OFF_MIDDLE,
    ONE_ACROSS,
    PlateRequest,
    PlateValues,
    SpliceValues,
)
from detailgen.stock.plates import plate_steel

PLATE_END = "plate end distance"
"""What steel standards call the distance that grows with a plate's length."""
HOUSE = Cite("house rule", "a splice develops half of the intact ply's net tension")
STATICS = Cite("statics", "plies that a splice holds off their middle, blocks that carry; strengths by the wood standard")


def plate_results(job: Job, site: Site, chosen: Chosen, demands: Mapping[str, Demand]) -> list[CheckResult]:
    """Steel checks of each ply's plates under each combination."""
    results: list[CheckResult] = []
    layout = chosen.layout
    n, steel = chosen.question.arrangement.plates_per_ply, plate_steel(p.PLATE_GRADE)
    cut = chosen.question.gap / 2
    one_side = np.array([(x - cut, y) for x, y in chosen.bolts if x > 0])
    for ply in site.plies:
        d = demands[ply]
        for end, at in chosen.plates:
            alone = len(chosen.plates) == 1
            # Two plates on a face hold the moment as a couple: what one pulls more the other pulls less.
            couple = 0.0 if alone else d.moment / (n * layout.one("gauge")) * (1 if at < 0 else -1)
            request = PlateRequest(
                where=f"{end.lstrip('-')} plates of the {ply} ply, splice {site.key}".lstrip(), F_y=steel.F_y, F_u=steel.F_u,
                thickness=layout.one("plate_thickness"), width=layout.one("plate_width"), diameter=layout.one("diameter"),
                hole=layout.one("diameter") + usual.HOLE_OVER_BOLT, bolts=one_side if alone else one_side[one_side[:, 1] == at] - (0.0, at),
                end=chosen.length / 2 - chosen.columns[-1], free=2 * chosen.columns[0], axial=d.axial / (n * len(chosen.plates)) + couple,
                moment=d.moment / n if alone else np.zeros(d.moment.shape), combinations=d.names,
            )  # fmt: skip
            results += job.steel.plate_checks(request)
    return results


def developed(site: Site, chosen: Chosen, values: Mapping[str, SpliceValues]) -> list[CheckResult]:
    """The house's rule that a splice is not weaker than half of the ply it joins."""
    results = []
    for duration, value in values.items():
        sheet = Calculation()
        net = sheet.given("net tension of the intact ply", float(value.capacities[NET_SECTION][0]), "lb", HOUSE)
        least = min(float(capacity[0]) for name, capacity in value.capacities.items() if name not in (NET_SECTION, ONE_ACROSS))
        sheet.given("least capacity of the splice", least, "lb", HOUSE)
        need = rounded(p.SHARE_OF_CHORD * net)
        ratio = rounded(need / least)
        state = State.PASSES if at_most(ratio, 1.0) else State.DOES_NOT_PASS
        results.append(CheckResult(f"splice {site.key}", f"develops {100 * p.SHARE_OF_CHORD:.0f} % of the ply ({duration})", need, least, "lb", ratio,
                                   state, duration, "service", float("nan"), HOUSE, sheet, 0))  # fmt: skip
    return results


def wood_results(site: Site, chosen: Chosen, demands: Mapping[str, Demand], values: Mapping[str, SpliceValues]) -> list[CheckResult]:
    """What a check of the bolts does not see: plies that are held off their middle, and a block that holds the moment by itself."""
    results = []
    for ply in site.plies:
        d = demands[ply]
        for duration, value in values.items():
            these = np.array([x == duration for x in d.durations])
            force, moment = float(np.abs(d.axial[these]).max()), float(np.abs(d.moment[these]).max())
            where = f"{ply} ply at splice {site.key}"
            if OFF_MIDDLE in value.capacities:
                sheet = Calculation()
                capacity = float(sheet.given(OFF_MIDDLE, float(value.capacities[OFF_MIDDLE][0]), "lb", STATICS))
                results.append(_result(where, OFF_MIDDLE, force, capacity, "lb", duration, sheet))
            if value.block_bending is not None and not chosen.question.arrangement.plates_per_ply:
                sheet = Calculation()
                pulled = sheet.given(NET_OF_BLOCK, float(value.capacities[NET_OF_BLOCK][0]), "lb", STATICS)
                bent = sheet.given(f"bending {OF_BLOCK}", float(value.block_bending[0]), "in-lb", STATICS)
                results.append(_result(where, f"tension and bending {OF_BLOCK}", force / pulled + moment / bent, 1.0, "-", duration, sheet))
    return results


def _result(where: str, check: str, demand: float, capacity: float, unit: str, duration: str, sheet: Calculation) -> CheckResult:
    ratio = rounded(demand / capacity)
    state = State.PASSES if at_most(ratio, 1.0) else State.DOES_NOT_PASS
    return CheckResult(where, check, rounded(demand), rounded(capacity), unit, ratio, state, duration, "service", float("nan"), STATICS, sheet, 0)


def whys(values: SpliceValues, plates: PlateValues | None, longer: float) -> tuple[Why, ...]:
    """Governing dimensions: what the rule asks and what is provided. ``longer``: what rounding its length up adds to each end of a plate (in)."""
    found = []
    for name, (least, provided) in values.least.items():
        if float(least[0]) <= 0:
            continue
        full = name in values.full
        required = float(values.full[name][0]) if full else float(least[0])
        cite = values.cites[name]
        if name == "outer rows through steel":
            found.append(Why(name, "at most", float(provided[0]), float(least[0]), cite))
        else:
            found.append(Why(name, "for the full value" if full else "at least", required, float(provided[0]), cite))
    for name, (least, provided) in plates.least.items() if plates is not None else ():
        if float(least[0]) > 0:
            there = float(provided[0]) + (longer if name == PLATE_END else 0.0)
            found.append(Why(name, "at least", float(least[0]), there, plates.cites.get(name, Cite("AISC 360-16", "J3"))))  # type: ignore[union-attr]
    return tuple(found)
