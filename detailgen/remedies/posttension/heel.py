"""The steel at the chord's ends: pads on what takes the force, end plate, plain or with ribs, anchors, and the room behind it."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from detailgen.core.result import CheckResult, State
from detailgen.core.tolerance import at_most, rounded, rounded_length, up_to_grid
from detailgen.model.member import Member
from detailgen.remedies.contract import Anchorage, Job
from detailgen.remedies.posttension import parameters as p
from detailgen.remedies.posttension.run import Way
from detailgen.remedies.posttension.seats import Face, Pad, Pushed, on_end_grain, pads_of
from detailgen.standards.anchorage import Barrel, FilletWeld, Overhang, PartLoad, RibbedPlate
from detailgen.standards.interface import Floats
from detailgen.stock.plates import PlateSteel, plate_steel, plate_thicknesses, shop_grid, steel_unit_weight


@dataclass(frozen=True)
class Ribs:
    """Flat bars on edge across the outer face of a plate: thickness and depth of each, heights of their middles over the chord's axis, leg of the
    fillets along both sides of each (in)."""

    thickness: float
    depth: float
    at: tuple[float, ...]
    leg: float


@dataclass(frozen=True)
class EndPlate:
    """The plate at a heel."""

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
    middle: float = 0.0  # height of its middle over the chord's axis
    ribs: Ribs | None = None
    bare: float = math.nan  # greatest ratio of end grain bearing if no steel lay between; nan: no end grain

    @property
    def face(self) -> float:
        """From what it presses on to the face under the barrels (in)."""
        return self.pad + self.thickness


def _half_middle(pads: Sequence[Pad]) -> float:
    """Distance (in) from the truss's plane to the middle of what bears on one side of it."""
    area = moment = 0.0
    for pad in pads:
        low, high = max(pad.z - pad.width / 2, 0.0), max(pad.z + pad.width / 2, 0.0)
        area += (high - low) * pad.height
        moment += (high**2 - low**2) / 2 * pad.height
    return moment / area if area else 0.0


def plate_for(
    job: Job, anchorage: Anchorage, chord: Member, way: Way, anchor: p.Anchor, pushed: Pushed, face: Face | None = None, *,
    ribs_wanted: bool = False,
) -> EndPlate | str:  # fmt: skip
    """The thinnest plain plate that holds, or the lightest with ribs where none does or where these are wanted; why there is none, if there is none.

    ``face``: what it presses on; the chord's end grain where nothing is said
    """
    face = face or on_end_grain(job, chord)
    pads, units = face.pads, job.project.units
    steel = plate_steel(p.PLATE_STEEL)
    width = up_to_grid(2 * (way.z + anchor.barrel / 2 + p.PLATE_OVER), shop_grid(units.name).plate_length)
    height = max(x.height for x in pads)
    heights = [h - face.middle for h in way.heights]
    edge = height / 2 - max(abs(h) for h in heights)
    if edge < anchor.barrel / 2:
        half = units.write_length(anchor.barrel / 2)
        return f"a barrel would stand out over the end plate: {units.write_length(edge)} from its edge, its half is {half}"
    arm = rounded_length(way.z - _half_middle(pads))
    spread = min(height, max(heights) - min(heights) + anchor.barrel + 2 * arm, 2 * edge + max(heights) - min(heights))
    load = PartLoad("end plate", pushed.force / 2, pushed.combinations, "strands")
    per_barrel = pushed.force / (2 * len(heights))
    barrel = anchorage.parts.barrel_checks(
        Barrel(anchor.barrel, anchor.hole, steel.F_y), PartLoad("barrel on the end plate", per_barrel, pushed.combinations, "strands")
    )
    pressed = face.judged(pushed, way.height - face.middle)
    bare = max((r.ratio for r in face.bare(pushed, way.height - face.middle)), default=math.nan)
    pad = p.PAD[units.name]
    bent: list[CheckResult] = []
    for thickness in (*(t for t in plate_thicknesses(units.name) if t >= p.LEAST_PLATE), *p.HEAVY[units.name]):
        bent = list(anchorage.parts.overhang_checks(Overhang(thickness, spread, arm, steel.F_y, even=False), load))
        if not ribs_wanted and all(at_most(r.ratio, 1.0) for r in bent):
            return EndPlate(
                width, height, thickness, pads, arm, spread, anchor.hole, steel.grade, (*bent, *barrel, *pressed), pad, face.middle, None, bare
            )
    plain = max(bent, key=lambda r: rounded(r.ratio))
    worst = math.inf
    for thickness, ribs in _ribbed(units.name, way, anchor, heights, height, width):
        results = _rib_checks(anchorage, steel, thickness, ribs, way, anchor, heights, arm, height, pushed)
        if any(r.state is State.CANNOT_BE_CHECKED for r in results):
            continue  # a weld that is too small for what it joins
        worst = min(worst, max(r.ratio for r in results))
        if all(r.passes for r in results):
            held = (*results, *barrel, *pressed)
            return EndPlate(width, height, thickness, pads, arm, spread, anchor.hole, steel.grade, held, pad, face.middle, ribs, bare)
    ribbed = f"with ribs welded on its least ratio is {worst:.2f}" if math.isfinite(worst) else "ribs have no room over and under the barrels"
    heaviest = units.write_length(p.HEAVY[units.name][-1])
    return (f"an end plate of {heaviest} {'stands at' if ribs_wanted else 'is not enough:'} {plain.ratio:.2f} in bending with the strands "
            f"{units.write_length(arm)} outside of what bears; {ribbed}; a channel, or a place nearer to the chord, is the engineer's")  # fmt: skip


def _clear(anchor: p.Anchor, depth: float, leg: float) -> float:
    """From a barrel's middle to a rib's face (in): room for the weld, and for the jack's nose where the rib stands out beyond the barrel."""
    beside = anchor.barrel / 2 + p.RIB_CLEAR + leg
    return max(beside, p.NOSE / 2 + p.NOSE_PLAY) if depth > anchor.length else beside


def _ribbed(system: str, way: Way, anchor: p.Anchor, heights: Sequence[float], height: float, width: float) -> Iterator[tuple[float, Ribs]]:
    """Plates with a rib over and one under all barrels that have room for them, lightest first."""
    found = []
    sizes = itertools.product(p.RIB_PLATES[system], p.RIB_THICKNESS[system], p.RIB_DEPTH[system], p.RIB_WELDS[system])
    for thickness, rib, depth, leg in sizes:
        out = _clear(anchor, depth, leg) + rib / 2
        if max(max(heights) + out, out - min(heights)) + rib / 2 + leg > height / 2 + 1e-9:
            continue
        at = rounded_length(min(way.heights) - out), rounded_length(max(way.heights) + out)
        weight = (thickness * height + 2 * (rib * depth + leg**2)) * width * steel_unit_weight()
        found.append((round(weight, 6), thickness, Ribs(rib, depth, at, leg)))
    found.sort(key=lambda f: (f[0], f[1], f[2].thickness, f[2].leg))
    yield from ((thickness, ribs) for _, thickness, ribs in found)


def _rib_checks(
    anchorage: Anchorage, steel: PlateSteel, thickness: float, ribs: Ribs, way: Way, anchor: p.Anchor, heights: Sequence[float], arm: float,
    height: float, pushed: Pushed,
) -> list[CheckResult]:  # fmt: skip
    """Plate and ribs together across the truss, the welds between them, and the plate by itself from rib to rib under the barrels."""
    parts, half = anchorage.parts, pushed.force / 2
    inner = (ribs.at[1] - ribs.at[0]) - ribs.thickness
    acting = min(height, ribs.at[1] - ribs.at[0] + ribs.thickness + 2 * thickness)
    bent = RibbedPlate(thickness, acting, arm, steel.F_y, len(ribs.at), ribs.thickness, ribs.depth)
    results = list(parts.ribbed_checks(bent, PartLoad("end plate with ribs", half, pushed.combinations, "strands")))
    lines = 2 * len(ribs.at)
    seam = PartLoad("fillets of the ribs, each", half * parts.seam(bent) / lines, pushed.combinations, "strands")
    thinner = min(ribs.thickness, thickness)
    each = FilletWeld(ribs.leg, arm, 0.0, p.RIB_ELECTRODE, thinner, math.inf, steel.F_y, steel.F_u)
    both = replace(each, thinner=min(thinner, ribs.thickness / 2))  # the fillets on both sides of a rib share its thickness
    one, shared = list(parts.weld_checks(each, seam)), list(parts.weld_checks(both, seam))
    larger = all(r.state is not State.CANNOT_BE_CHECKED for r in one) and max(r.ratio for r in shared) > max(r.ratio for r in one)
    results += shared if larger else one
    low = ribs.at[0] + ribs.thickness / 2
    places = sorted(h - low for h in way.heights)  # from the lower rib's face
    reaction = sum(inner - x for x in places) / inner
    most = max(reaction * x - sum(x - other for other in places if other < x) for x in places) - anchor.barrel / 8  # a barrel is no point
    strip = min(anchor.barrel + inner, anchor.barrel + p.PLATE_OVER + inner / 2)
    across = Overhang(thickness, rounded_length(strip), rounded_length(most), steel.F_y, even=False)
    results += parts.overhang_checks(across, PartLoad("end plate from rib to rib", half / len(heights), pushed.combinations, "strands"))
    return results


def jack_room(plate: EndPlate, anchor: p.Anchor, jack_length: float, stroke: float) -> float:
    """Room (in) that a jack asks for behind what the plate presses on: plate, barrel, jack with its ram out, a hand."""
    return plate.face + anchor.length + jack_length + stroke + p.HAND


def fixed_room(plate: EndPlate, anchor: p.Anchor) -> float:
    """The same where strands are only held: plate, barrel, tail, a hand to set the wedges."""
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


__all__ = ["EndPlate", "Pad", "Pushed", "Ribs", "fixed_room", "jack_room", "pads_of", "plate_for", "pushed_by", "stressing_end"]
