"""What the plate of the strands presses on at a heel: end grain of the bottom chord, back of the shoe, or plumb end of the top chord.

Pads carry the force to where it can go on: to the plies, to the sides that are welded to a shoe's back. What takes it is judged by its own standard.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from detailgen.assessment.members import grade_of
from detailgen.core.result import CheckResult
from detailgen.core.tolerance import down_to_grid, rounded_length
from detailgen.core.units import UnitSystem
from detailgen.model.added import END_GRAIN, SHOE, TOP_END, StrandSeat
from detailgen.model.assessment import Forces
from detailgen.model.heels import SIDES, HeelForces, heel_forces, most_pulled, most_pushed
from detailgen.model.member import Connection, Member, Plate
from detailgen.model.project import Truss
from detailgen.remedies.contract import Anchorage, Job
from detailgen.remedies.posttension import parameters as p
from detailgen.standards.anchorage import FilletWeld, PartLoad, SteelStrut
from detailgen.standards.interface import BearingRequest, Floats
from detailgen.stock.plates import shop_grid

OFF_ITS_SEAT = 1.0
"""A top chord whose end is pushed inward by more than its own thrust (lb) would leave its seat."""


@dataclass(frozen=True)
class Pad:
    ply: str
    z: float
    width: float
    height: float


@dataclass(frozen=True)
class Pushed:
    """Forces on the end plate per row (lb, all strands together): service and stages, jacking last."""

    force: Floats
    combinations: tuple[str, ...]
    durations: tuple[str, ...]


@dataclass(frozen=True)
class Face:
    """Pads on what takes the force, the height of their middle over the chord's axis, and the checks of what takes it.

    ``judged`` asks for the forces and the height of the strands over the pads' middle; ``bare`` judges wood as if no steel lay on it.
    """

    pads: tuple[Pad, ...]
    middle: float
    judged: Callable[[Pushed, float], list[CheckResult]]
    bare: Callable[[Pushed, float], list[CheckResult]] = lambda pushed, off: []


def _on_plies(member: Member, height: float) -> tuple[Pad, ...]:
    return tuple(Pad(q.name, q.z, rounded_length(q.thickness - p.PAD_LESS), rounded_length(height - p.PAD_SHORTER)) for q in member.plies)


def pads_of(chord: Member, units: str = "US") -> tuple[Pad, ...]:
    """A pad on each ply, on the shop's grid."""
    grid = shop_grid(units)
    return tuple(
        Pad(q.name, q.z, down_to_grid(q.thickness - p.PAD_LESS, grid.holes), down_to_grid(q.depth - p.PAD_SHORTER, grid.plate_length))
        for q in chord.plies
    )


def end_bearing(
    job: Job, member: Member, pads: Sequence[Pad], off: float, pushed: Pushed, angle: float = 0.0, *, steel: bool = True,
) -> list[CheckResult]:  # fmt: skip
    """End grain under each pad. Off the pads' middle the push is taken by the part of the pad that it stands in the middle of.

    ``angle``: between the push and the grain (rad)
    """
    whole = sum(x.width * x.height for x in pads)
    results: list[CheckResult] = []
    for ply, pad in zip(member.plies, pads, strict=True):
        share = pad.width * pad.height / whole
        request = BearingRequest(
            where=f"end grain of the {member.name}, {ply.name} ply", wood=grade_of(ply.wood), thickness=ply.thickness, depth=ply.depth,
            area=pad.width * max(pad.height - 2 * abs(off), 1e-6), steel_face=steel, axial=-pushed.force * share,
            combinations=pushed.combinations, durations=pushed.durations, stage="strands", angle=angle,
        )  # fmt: skip
        results += job.wood.bearing_checks(request)
    return results


def _on_wood(job: Job, member: Member, pads: tuple[Pad, ...], middle: float, angle: float) -> Face:
    return Face(
        pads, middle, lambda pushed, off: end_bearing(job, member, pads, off, pushed, angle),
        lambda pushed, off: end_bearing(job, member, pads, off, pushed, angle, steel=False),
    )  # fmt: skip


def on_end_grain(job: Job, chord: Member) -> Face:
    return _on_wood(job, chord, pads_of(chord, job.project.units.name), 0.0, 0.0)


def sides_of(truss: Truss, chord: Member, side: str) -> tuple[Connection | None, tuple[Plate, ...]]:
    """The bottom chord's bolts at a heel and the old plates that they pass: the sides of its shoe."""
    joint = chord.joints[0 if side == "left" else -1]
    found = next((c for c in truss.connections if c.member == chord.name and c.joint == joint), None)
    return found, found.plates if found is not None else ()


def _shoe_checks(anchorage: Anchorage, seat: StrandSeat, found: Connection, side: str, pushed: Pushed) -> list[CheckResult]:
    """The fillets between back and sides, and the sides as struts from the back to the first bolts."""
    where = f"shoe of the {side} heel"
    plates = found.plates
    thin = min(q.thickness for q in plates)
    load = PartLoad(f"{where}, back to sides", pushed.force, pushed.combinations, "strands")
    weld = FilletWeld(seat.leg, seat.weld, 0.0, seat.electrode, min(thin, seat.back), math.inf, seat.F_y, seat.F_u)
    results = list(anchorage.parts.weld_checks(weld, load))
    first = min((a for a, _ in found.bolts.positions), default=0.0)
    whole = sum(q.thickness * q.width for q in plates)
    for plate in dict.fromkeys((q.thickness, q.width) for q in plates):
        area = plate[0] * plate[1]
        free = found.end + seat.gap + first  # between its weld and the first bolts, both of which hold it against turning
        strut = SteelStrut(area, plate[0] / math.sqrt(12), free, seat.F_y, "flat or web of channel", 0.0, held=True)
        share = PartLoad(f"{where}, a side", -pushed.force * area / whole, pushed.combinations, "strands")
        results += anchorage.parts.strut_checks(strut, share)  # a solid bar has no walls that could be slender
    return results


def face_of(job: Job, anchorage: Anchorage, truss: Truss, chord: Member, side: str) -> Face | str:
    """What the plate presses on at one heel; why it cannot, if it cannot."""
    seat = truss.seats[0 if side == "left" else 1]
    if seat.on == END_GRAIN:
        return on_end_grain(job, chord)
    height, middle = seat.high - seat.low, rounded_length((seat.high + seat.low) / 2)
    if seat.on == TOP_END:
        top = next(m for m in truss.members if m.kind == "top chord")
        pair = truss.top[:2] if side == "left" else truss.top[-2:]
        (x0, y0), (x1, y1) = (truss.joints[j] for j in pair)
        angle = abs(math.atan2(y1 - y0, x1 - x0))
        upper = _on_plies(top, height)
        return _on_wood(job, top, upper, middle, angle)
    found, plates = sides_of(truss, chord, side)
    if found is None or not plates:
        return (f"the shoe of the {side} heel has no sides in the survey: the old plates that the bottom chord's bolts pass there. A shoe that is "
                "not known cannot be checked")  # fmt: skip
    shoe = found
    tall = min(height, min(q.width for q in plates))
    strips = tuple(
        Pad(f"side {k}", q.z, rounded_length(q.thickness + 2 * p.PAD[job.project.units.name]), rounded_length(tall - p.PAD_SHORTER))
        for k, q in enumerate(sorted(plates, key=lambda q: q.z), start=1)
    )
    return Face(strips, middle, lambda pushed, off: _shoe_checks(anchorage, seat, shoe, side, pushed))


def pushed_off(seat: StrandSeat, rows: Sequence[HeelForces], side: str, units: UnitSystem) -> str:
    """Why the top chord's end cannot take the strands, if it cannot: it only bears on its seat, and must go on doing so."""
    if seat.on != TOP_END:
        return ""
    worst = min(rows, key=lambda r: round(r.seated, 3))
    if worst.seated >= -OFF_ITS_SEAT:
        return ""
    return (f"the top chord's end at the {side} heel would be pushed off its seat: its thrust is {units.write_force(worst.thrust)} under "
            f"{worst.combination}, the strands push it back with {units.write_force(worst.strands)}")  # fmt: skip


def words_of(seat: StrandSeat) -> str:
    return {END_GRAIN: "the end grain of the bottom chord", SHOE: "the back of the shoe", TOP_END: "the end of the top chord"}[seat.on]


def heel_words(truss: Truss, forces: Forces, units: UnitSystem) -> dict[str, str]:
    """What each heel's bolts carry with the force where it enters, and what they would carry elsewhere; once where both heels are alike."""
    told = []
    for side, seat in zip(SIDES, truss.seats, strict=True):
        here, there = (heel_forces(truss, forces, side, on) for on in (seat.on, SHOE if seat.on == END_GRAIN else END_GRAIN))
        keeps = "keep the whole thrust" if seat.on == END_GRAIN else "carry the thrust less the strands"
        other = "on the shoe or the top chord's end" if seat.on == END_GRAIN else "on the end grain"
        words = f"{keeps}: {_span(here, units)}. With the plate {other}: {_span(there, units)}"
        if seat.on == TOP_END:
            words += f". The top chord's thrust on its seat: {units.write_force(max(r.seated for r in here))} at most"
        told.append(words)
    return {"heel bolts": told[0]} if told[0] == told[1] else {f"{side} heel bolts": t for side, t in zip(SIDES, told, strict=True)}


def _span(rows: Sequence[HeelForces], units: UnitSystem) -> str:
    """Greatest pull and push of a heel's bolts on the chord, and under what."""
    pulled, pushed = most_pulled(rows), most_pushed(rows)
    words = []
    if pulled.bolts > 0:
        words.append(f"at most {units.write_force(pulled.bolts)} tension ({pulled.combination})")
    if pushed.bolts < 0:
        words.append(f"{units.write_force(-pushed.bolts)} push ({pushed.combination})")
    return " and ".join(words)
