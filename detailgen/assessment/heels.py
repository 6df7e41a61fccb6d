"""What was surveyed of a heel: how the truss lies on its seat, the plate of its shoe, the welds of it. What was not surveyed cannot be checked."""

from __future__ import annotations

import math

import numpy as np

from detailgen.assessment.members import grade_of
from detailgen.core.clause import Calculation, Cite
from detailgen.core.result import CheckResult, State, cannot_be_checked
from detailgen.core.tolerance import at_most, rounded
from detailgen.model.assessment import Floats, Forces, Place
from detailgen.model.heel_bodies import HeelBody, heel_body
from detailgen.model.member import EndBearing, Heel, Member
from detailgen.model.project import Truss
from detailgen.standards.anchorage import FilletWeld, Overhang, PartLoad, SteelPartStandard
from detailgen.standards.interface import AcrossRequest, WoodStandard

SURVEY = Cite("survey", "heels")
ELECTRODE = "E60"
"""Old fillets count as laid with the weakest electrode that the standard's table holds (ours)."""
REACH = 6.0
"""Damage that comes nearer than this (in) to a chord's end grain, or to its bolts at the heel, weakens what pushes or bears there (ours)."""
PLATE, WELDS, SEAT, UNDER = "plate of the shoe", "welds of the shoe", "seat of the truss", "what the truss lies on"


def heel_name(joint: str) -> str:
    return f"heel {joint}"


def end_x(truss: Truss, member: Member, joint: str) -> float:
    """x (in) of a chord's end at a heel: of the top chord its end grain as surveyed, of the bottom chord where it stops."""
    x, y = truss.joints[joint]
    left = joint == member.joints[0]
    other = truss.joints[member.joints[1 if left else -2]]
    inward = (other[0] - x) / math.dist((x, y), other)
    heel = truss.heel(joint)
    if member.kind == "top chord":
        back = heel.set_back if heel is not None else 0.0
        if truss.curved and truss.arc is not None:
            first = math.asin(abs(truss.arc.centre_x - x) / truss.arc.radius)
            reach = truss.arc.radius * (math.sin(first) - math.sin(first - back / truss.arc.radius))
            return x + math.copysign(reach, inward)
        return x + inward * back
    return x - inward * next((c.end for c in truss.connections if (c.member, c.joint) == (member.name, joint)), 0.0)


def condition_of(truss: Truss, member: Member, low: float, high: float) -> float:
    """What splits, checks and decay leave of a chord's plies between two stations (in): the least factor of all that is found there."""
    found = [
        d.factor for d in truss.damage
        if d.kind in ("split", "check", "decay") and d.member == member.name and d.at - d.length / 2 < high and d.at + d.length / 2 > low
    ]  # fmt: skip
    return min(found, default=1.0)


def end_condition(truss: Truss, member: Member, joint: str) -> float:
    """What damage leaves of a chord's end grain at a heel; 1 for a web, whose damage is found along it."""
    if member.kind == "web":
        return 1.0
    x, left = end_x(truss, member, joint), joint == member.joints[0]
    return condition_of(truss, member, *((-math.inf, x + REACH) if left else (x - REACH, math.inf)))


def plate_between(plies: tuple[float, ...], height: float, thickness: float, yield_stress: float) -> tuple[Overhang, float]:
    """A plate that lies behind end grain and spans from one side of the truss to the other, as the cantilever that has its greatest moment; and the
    part of the thrust that acts on it.

    Two plies press beside the plate's supports, so that the moment between them is that of half the thrust at half a ply's thickness. One ply
    presses all along.

    plies: thicknesses, in; height: of the plate along the chord's depth, in
    """
    if len(plies) == 2:
        return Overhang(thickness, height, max(plies), yield_stress, even=True), max(plies) / sum(plies)
    return Overhang(thickness, height, sum(plies) / 8, yield_stress, even=False), 1.0


def _load(where: str, body: HeelBody, force: Floats, stage: str) -> PartLoad:
    return PartLoad(where, force, body.combinations, stage)


def _shoe(truss: Truss, heel: Heel, body: HeelBody, parts: SteelPartStandard | None, stage: str) -> list[CheckResult]:
    """The plate behind the end grain and its welds, where both are known."""
    where, top = heel_name(heel.joint), truss.member("top chord")
    bearing: EndBearing | None = next((b for b in truss.bearings if (b.member, b.joint) == (top.name, heel.joint)), None)
    pushed = np.maximum(body.thrust, 0.0)
    plies = tuple(p.thickness for p in top.plies)
    found: list[CheckResult] = []
    missing = [word for word, known in (("its thickness ('plate')", heel.plate), ("its steel ('yield stress')", heel.F_y),
                                        ("its contact face ('end bearings')", bearing)) if not known]  # fmt: skip
    if parts is None:
        missing = ["a standard for steel parts that works by this method"]
    if len(plies) > 2:
        missing.append("how more than two plies press on it")
    if missing or bearing is None or parts is None:
        found.append(cannot_be_checked(where, PLATE, f"not surveyed: {' and '.join(missing)}", SURVEY, stage=stage))
    else:
        plate, share = plate_between(plies, bearing.height, heel.plate, heel.F_y)
        found += parts.overhang_checks(plate, _load(f"{where}, {PLATE}", body, pushed * share, stage))
    if parts is None or not heel.weld or not heel.plate or not heel.F_y:
        found.append(cannot_be_checked(where, WELDS, "not surveyed: 'weld leg', 'weld length', 'plate' and 'yield stress'", SURVEY, stage=stage))
    else:
        weld = FilletWeld(heel.leg, heel.weld, 0.0, ELECTRODE, _strap(truss, heel), math.inf, heel.F_y, heel.F_y)
        found += parts.weld_checks(weld, _load(f"{where}, {WELDS}", body, pushed / 2, stage))
    return found


def _strap(truss: Truss, heel: Heel) -> float:
    """Thickness (in) of what the shoe's plate is welded to: the thinnest strap of the bottom chord's connection, or the plate itself."""
    straps = [q.thickness for c in truss.connections if c.joint == heel.joint and truss.member(c.member).kind == "bottom chord" for q in c.plates]
    return min([heel.plate, *straps])


def under_seat(where: str, area: float, bears: float, body: HeelBody, stage: str) -> list[CheckResult]:
    """The pressure on what the truss lies on, against what the engineer says that it bears (psi)."""
    found = []
    for k, name in enumerate(body.combinations):
        push = float(body.reaction[1][k])
        if push <= 0:
            continue
        sheet = Calculation()
        sheet.given("R", push, "lb", Cite("analysis", "reaction of the bearing"))
        sheet.given("A", area, "in2", Cite("survey", "seat"))
        demand, ratio = rounded(push / area), rounded(push / area / bears)
        state = State.PASSES if at_most(ratio, 1.0) else State.DOES_NOT_PASS
        found.append(CheckResult(where, UNDER, demand, bears, "psi", ratio, state, name, stage, math.nan, SURVEY, sheet, 0))
    return found


def _seat(truss: Truss, heel: Heel, body: HeelBody, wood: WoodStandard, stage: str) -> list[CheckResult]:
    """The bottom chord pressed across its grain on the seat, and what is under it."""
    where, chord = heel_name(heel.joint), truss.member("bottom chord")
    if not heel.seat:
        return [cannot_be_checked(where, SEAT, "not surveyed: the 'length' of the 'seat'", SURVEY, stage=stage)]
    width = sum(p.thickness for p in chord.plies)
    first = chord.plies[0]
    end = abs(truss.joints[heel.joint][0] + body.inward * body.offset[0] - end_x(truss, chord, heel.joint)) - heel.seat / 2
    request = AcrossRequest(
        f"{where}, {SEAT}", grade_of(first.wood), width, first.depth, heel.seat, end, np.maximum(body.reaction[1], 0.0), body.combinations,
        body.durations, len(chord.plies), stage, "reaction of the bearing",
    )  # fmt: skip
    found = list(wood.across_checks(request))
    if not heel.bears:
        missing = f"not surveyed: what {heel.on or 'what is under the seat'} carries"
        return [*found, cannot_be_checked(where, UNDER, missing, SURVEY, stage=stage)]
    return found + under_seat(where, heel.seat * width, heel.bears, body, stage)


def check_heel(truss: Truss, heel: Heel, forces: Forces, wood: WoodStandard, parts: SteelPartStandard | None) -> Place:
    """A surveyed heel: the truss on its seat, the shoe's plate and welds. The end grain and the bolts of the straps are places of their own."""
    body = heel_body(truss, forces, heel.joint)
    results = [*_seat(truss, heel, body, wood, forces.stage), *_shoe(truss, heel, body, parts, forces.stage)]
    pair = truss.bottom[:2] if heel.joint == truss.bottom[0] else truss.bottom[-2:]
    return Place("connection", "-".join(pair), heel.joint, heel_name(heel.joint), tuple(results))
