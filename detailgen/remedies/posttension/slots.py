"""Slots in what stands across the chord where strands run: blocking, lugs of old splices. How large, what is left of the part, how it is drawn.

A strand that passes such a part goes through a true slot with round ends, upright, dimensioned from the work point: the chord's axis and the
truss's plane. What the slot takes is judged in the part that is cut; where it takes too much the strands go around it, or are refused.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from detailgen.core.clause import Cite
from detailgen.core.result import CheckResult, State, cannot_be_checked
from detailgen.core.tolerance import at_most, rounded, rounded_length, up_to_grid
from detailgen.core.units import UnitSystem
from detailgen.model.added import Across
from detailgen.model.detail import FROM_LEFT, Detail, Part, Placement, Slot, Vertex, Why
from detailgen.model.member import Member
from detailgen.remedies import usual
from detailgen.remedies.contract import Anchorage, Site
from detailgen.remedies.posttension import parameters as p
from detailgen.standards.anchorage import PartLoad, PulledPlate
from detailgen.stock.plates import steel_unit_weight

BORED = Cite("IBC 2018", "2308.4.2.4 (bored holes in joists, from memory)")
OF_THE_DEPTH, FROM_EDGE = 1 / 3, 2.0
"""A hole in a joist is no higher than this share of its depth, and no nearer than this to its upper and lower edge (in; IBC 2018 2308.4.2.4)."""
OLD_STEEL = 33000.0, 60000.0
"""Yield stress and strength (psi) of structural steel of the 1930s to 1950s, ASTM A7 (from memory)."""
SURVEY = Cite("survey", "across the chord")


@dataclass(frozen=True)
class Cut:
    """A slot on each face: its middle's height over the chord's axis and distance from the truss's plane, its width and whole length (in)."""

    across: Across
    height: float
    z: float
    width: float
    length: float
    results: tuple[CheckResult, ...]

    @property
    def slots(self) -> tuple[tuple[float, float], ...]:
        """(x, y) of both, as they are seen along the chord."""
        return (-self.z, self.height), (self.z, self.height)

    @property
    def passes(self) -> bool:
        return all(r.passes for r in self.results)


def _limit(where: str, check: str, demand: float, capacity: float, cite: Cite) -> CheckResult:
    ratio = rounded(demand / capacity) if capacity > 0 else math.inf
    state = State.PASSES if at_most(ratio, 1.0) else State.DOES_NOT_PASS
    return CheckResult(where, check, rounded(demand), rounded(capacity), "in", ratio, state, "slot", "strands", math.nan, cite)


def cut_of(anchorage: Anchorage, across: Across, heights: tuple[float, ...], z: float, anchor: p.Anchor, units: UnitSystem) -> Cut:
    """The slot for strands at these heights over the chord's axis, ``z`` from the truss's plane (in), and what it leaves of the part."""
    grid = p.SLOT_GRID[units.name]
    width = up_to_grid(anchor.sheath + 2 * p.CLEAR, Fraction(grid))
    length = rounded_length(max(heights) - min(heights) + up_to_grid(width + p.SLOT_PLAY, Fraction(grid)))
    middle = rounded_length(sum(heights) / len(heights))
    tall, over, under = across.high - across.low, across.high - middle - length / 2, middle - length / 2 - across.low
    where = f"{across.what} at {units.write_length(across.x)}"
    beside = min(z - width / 2 - across.inner, across.outer - z - width / 2)
    results = [_limit(where, "edge beside the slot", p.SLOT_EDGE, beside, p.OURS)]
    if not across.steel:
        results.append(_limit(where, "slot over its height", length, OF_THE_DEPTH * tall, BORED))
        results.append(_limit(where, "wood over and under the slot", FROM_EDGE, min(over, under), BORED))
    else:
        results.append(_limit(where, "steel over and under the slot", p.SLOT_EDGE, min(over, under), p.OURS))
        if math.isnan(across.pulled):
            results.append(
                cannot_be_checked(where, "net section at the slot", "the tension that it carries is not surveyed", SURVEY, stage="strands")
            )
        else:
            plate = PulledPlate(tall, across.thickness, length, *OLD_STEEL)
            results += anchorage.parts.pulled_checks(plate, PartLoad(where, np.array([across.pulled]), ("as surveyed",), "strands"))
    return Cut(across, middle, z, width, length, tuple(results))


def slot_detail(key: str, site: Site, chord: Member, cut: Cut, diameter: float, units: UnitSystem) -> Detail:
    """The part that is cut, on both faces, seen from the left heel; origin on the chord's axis. ``diameter`` of a strand (in)."""
    one, shown = cut.across, p.SLOT_SHOWN
    parts = []
    for ply in chord.plies:
        a, b = ply.thickness / 2, ply.depth / 2
        outline = Vertex(-a, -b), Vertex(a, -b), Vertex(a, b), Vertex(-a, b)
        grade = f"{ply.wood.species} {ply.wood.grade}"
        at = Placement(ply.z, 0.0, -shown)
        parts.append(Part(f"ply-{ply.name}", "ply", f"{ply.name} ply", outline, (), (), 2 * shown, at, "wood", grade, 0.0, True, usual.WOOD_WEIGHT))
    for side, s in (("far", -1.0), ("near", 1.0)):
        x0, x1 = sorted((s * one.inner, s * one.outer))
        outline = Vertex(x0, one.low), Vertex(x1, one.low), Vertex(x1, one.high), Vertex(x0, one.high)
        slot = Slot(s * cut.z, cut.height, cut.length, cut.width, math.pi / 2, f"strand {diameter:g} in")
        at = Placement(0.0, 0.0, -one.thickness / 2)
        material, grain, weight = ("steel", math.nan, steel_unit_weight()) if one.steel else ("wood", 0.0, usual.WOOD_WEIGHT)
        kind, what = ("plate", "old steel") if one.steel else ("block", "old timber")
        parts.append(
            Part(f"across-{side}", kind, f"{one.what}, {side} side", outline, (), (slot,), one.thickness, at, material, what, grain, True, weight)
        )
    write = units.write_length
    level = f"{write(abs(cut.height))} {'over' if cut.height > 0 else 'under'} the chord's axis" if cut.height else "on the chord's axis"
    notes = (
        f"Seen from the left heel along the chord; WP is the chord's axis in the truss's plane, {write(one.x)} from the left heel's work point.",
        f"Slots are for the sheathed strands: middle {write(cut.z)} from the truss's plane on both faces, {level}; "
        f"{write(cut.width)} wide, {write(cut.length)} from end to end, upright, ends round.",
        "No edge of a slot touches a sheath: edges broken, steel deburred and painted, wood sealed. No other cut, no notch to an edge.",
    )
    order = (
        "Mark both slots from the chord's axis and its middle, not from the part's edges.",
        "Drill both ends of each slot, saw or grind between them; a flame is not used beside timber.",
        "Look at the part as it lies bare: rot, cracks or old holes beside the slot go to the engineer before anything is cut.",
    )
    whys = (
        Why("slot across", "sheath and its clearance on both sides", cut.width, cut.width, p.OURS),
        Why("slot upright", "the same, and room to set the strand", cut.length, cut.length, p.OURS),
    )
    return Detail(
        key=key, title=f"Slots in the {one.what}", truss=site.truss, remedy="posttension", member=chord.name, station=one.x, parts=tuple(parts),
        bolts=(), groups=(), zones=(), whys=whys, order=order, notes=notes, results=cut.results, brings=((),) * len(order), axis=FROM_LEFT,
    )  # fmt: skip


__all__ = ["Cut", "cut_of", "slot_detail"]
