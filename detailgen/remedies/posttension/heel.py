"""The steel at the chord's ends: pads on the end grain, end plate, anchors, and the room behind it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from detailgen.assessment.members import grade_of
from detailgen.core.result import CheckResult
from detailgen.core.tolerance import at_most, down_to_grid, rounded_length, up_to_grid
from detailgen.model.project import Member
from detailgen.remedies.contract import Anchorage, Job
from detailgen.remedies.posttension import parameters as p
from detailgen.remedies.posttension.run import Way
from detailgen.standards.anchorage import Barrel, Overhang, PartLoad
from detailgen.standards.interface import BearingRequest, Floats
from detailgen.stock.plates import plate_steel, plate_thicknesses, shop_grid

PAD_LESS, PAD_SHORTER = 1 / 8, 1 / 4
"""A pad is so much narrower than its ply and so much lower (in): it never bears on what stands beside (ours)."""


@dataclass(frozen=True)
class Pad:
    ply: str
    z: float
    width: float
    height: float


@dataclass(frozen=True)
class EndPlate:
    """The plate on a chord's end, alike at both heels."""

    width: float  # across the truss
    height: float
    thickness: float
    pads: tuple[Pad, ...]
    arm: float  # from the middle of what bears on one side to the strands
    spread: float  # height of plate that bends
    hole: float
    steel: str
    results: tuple[CheckResult, ...]
    pad: float  # thickness of a pad

    @property
    def face(self) -> float:
        """From the end grain to the face under the barrels (in)."""
        return self.pad + self.thickness


@dataclass(frozen=True)
class Pushed:
    """Forces on the end plate per row (lb, all strands together): service and stages, jacking last."""

    force: Floats
    combinations: tuple[str, ...]
    durations: tuple[str, ...]


def pads_of(chord: Member, units: str = "US") -> tuple[Pad, ...]:
    """A pad on each ply, on the shop's grid."""
    grid = shop_grid(units)
    return tuple(
        Pad(q.name, q.z, down_to_grid(q.thickness - PAD_LESS, grid.holes), down_to_grid(q.depth - PAD_SHORTER, grid.plate_length))
        for q in chord.plies
    )


def _half_middle(pads: Sequence[Pad]) -> float:
    """Distance (in) from the truss's plane to the middle of what bears on one side of it."""
    area = moment = 0.0
    for pad in pads:
        low, high = max(pad.z - pad.width / 2, 0.0), max(pad.z + pad.width / 2, 0.0)
        area += (high - low) * pad.height
        moment += (high**2 - low**2) / 2 * pad.height
    return moment / area if area else 0.0


def bearing(job: Job, chord: Member, pads: Sequence[Pad], way: Way, pushed: Pushed) -> list[CheckResult]:
    """End grain under each pad. Off the axis the push is taken by the part of the pad that it stands in the middle of."""
    whole = sum(x.width * x.height for x in pads)
    results: list[CheckResult] = []
    for ply, pad in zip(chord.plies, pads, strict=True):
        share = pad.width * pad.height / whole
        request = BearingRequest(
            where=f"end grain of the {chord.name}, {ply.name} ply", wood=grade_of(ply.wood), thickness=ply.thickness, depth=ply.depth,
            area=pad.width * max(pad.height - 2 * abs(way.height), 1e-6), steel_face=True, axial=-pushed.force * share,
            combinations=pushed.combinations, durations=pushed.durations, stage="strands",
        )  # fmt: skip
        results += job.wood.bearing_checks(request)
    return results


def plate_for(job: Job, anchorage: Anchorage, chord: Member, way: Way, anchor: p.Anchor, pushed: Pushed) -> EndPlate | str:
    """The thinnest end plate that holds; why there is none, if there is none."""
    pads, units = pads_of(chord, job.project.units.name), job.project.units
    steel = plate_steel(p.PLATE_STEEL)
    width = up_to_grid(2 * (way.z + anchor.barrel / 2 + p.PLATE_OVER), shop_grid(units.name).plate_length)
    height = max(x.height for x in pads)
    edge = height / 2 - max(abs(h) for h in way.heights)
    if edge < anchor.barrel / 2:
        half = units.write_length(anchor.barrel / 2)
        return f"a barrel would stand out over the end plate: {units.write_length(edge)} from its edge, its half is {half}"
    arm = rounded_length(way.z - _half_middle(pads))
    spread = min(height, max(way.heights) - min(way.heights) + anchor.barrel + 2 * arm, 2 * edge + max(way.heights) - min(way.heights))
    where = "end plate"
    load = PartLoad(where, pushed.force / 2, pushed.combinations, "strands")
    per_barrel = pushed.force / (2 * len(way.heights))
    barrel = anchorage.parts.barrel_checks(
        Barrel(anchor.barrel, anchor.hole, steel.F_y), PartLoad("barrel on the end plate", per_barrel, pushed.combinations, "strands")
    )
    pressed = bearing(job, chord, pads, way, pushed)
    nearest: list[CheckResult] = []
    for thickness in (*(t for t in plate_thicknesses(units.name) if t >= p.LEAST_PLATE), *p.HEAVY[units.name]):
        bent = list(anchorage.parts.overhang_checks(Overhang(thickness, spread, arm, steel.F_y, even=False), load))
        nearest = [*bent, *barrel, *pressed]
        if all(at_most(r.ratio, 1.0) for r in bent):
            return EndPlate(width, height, thickness, pads, arm, spread, anchor.hole, steel.grade, tuple(nearest), p.PAD[units.name])
    worst = max(nearest, key=lambda r: r.ratio)
    return (f"an end plate of {units.write_length(p.HEAVY[units.name][-1])} is not enough: {worst.ratio:.2f} in bending with the strands "
            f"{units.write_length(arm)} outside of what bears; a stiffened plate or a channel is the engineer's")  # fmt: skip


def jack_room(plate: EndPlate, anchor: p.Anchor, jack_length: float, stroke: float) -> float:
    """Room (in) that a jack asks for behind the end grain: plate, barrel, jack with its ram out, a hand."""
    return plate.face + anchor.length + jack_length + stroke + p.HAND


def fixed_room(plate: EndPlate, anchor: p.Anchor) -> float:
    """Room (in) behind the end grain where strands are only held: plate, barrel, tail, a hand to set the wedges."""
    return plate.face + anchor.length + p.FIXED_TAIL + p.HAND


def pushed_by(service: Floats, names: Sequence[str], durations: Sequence[str], jacking: float) -> Pushed:
    """Rows of the truss and the jacking of the last strand (lb, all together)."""
    return Pushed(
        np.append(np.maximum(service, 0.0), jacking), (*names, "the last strand is pulled"), (*durations, "construction"),
    )  # fmt: skip


def stressing_end(room: tuple[float, float], needs: float, fixed: float) -> str:
    """The heel at which a jack has room while the other one holds the anchors; "" where there is none."""
    order = sorted((("left", room[0], room[1]), ("right", room[1], room[0])), key=lambda e: (-e[1], e[0]))
    return next((name for name, mine, other in order if mine >= needs - 1e-6 and other >= fixed - 1e-6), "")
