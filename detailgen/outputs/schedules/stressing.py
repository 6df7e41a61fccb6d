"""Strands and anchors to order, the stressing table with room for the record, lift-offs, and the strands' force under every combination."""

from __future__ import annotations

import math

from detailgen.core.tolerance import rounded
from detailgen.core.units import UnitSystem
from detailgen.model import heels
from detailgen.model.heels import SIDES
from detailgen.model.package import Package
from detailgen.model.stressing import StressingPlan
from detailgen.outputs.schedules.lists import Cell, Listing, length_of

MATERIAL = "ASTM A416 Grade 270, low relaxation, greased and sheathed"


def plans(package: Package) -> tuple[StressingPlan, ...]:
    return tuple(t.stressing for t in package.trusses if t.stressing is not None)


def force_of(value: float, units: UnitSystem) -> float:
    """A force (lb) as a table of the crew has it: whole pounds, or kilonewtons to a hundredth."""
    return float(round(value)) if units.name == "US" else rounded(round(value * units.force, 2))


def travel_of(value: float, units: UnitSystem) -> float:
    """An elongation (in) as a scale reads it: hundredths of an inch, or tenths of a millimetre."""
    return rounded(round(value * units.length, 2 if units.name == "US" else 1)) + 0.0


def gauge_of(value: float, units: UnitSystem) -> Cell:
    if math.isnan(value):
        return "by the jack's chart"
    return float(round(value)) if units.name == "US" else rounded(round(value * units.stress, 1))


def strands_list(package: Package) -> Listing:
    """Each strand with its tails; it is cut to its whole length and trimmed when the record has been accepted."""
    units = package.project.units
    u = units.length_unit
    rows: list[tuple[Cell, ...]] = []
    for plan in plans(package):
        for s in plan.strands:
            sizes = (length_of(v, units) for v in (s.height, s.between, s.stressing_tail, s.fixed_tail, s.length))
            rows.append((plan.truss, s.label, s.size, MATERIAL, s.side, *sizes, plan.stressing_end))
    lengths = tuple(f"{n}_{u}" for n in ("height_over_axis", "anchor_to_anchor", "stressing_tail", "fixed_tail", "cut_length"))
    return Listing("strands", ("truss", "strand", "size", "material", "side", *lengths, "stressed_at"), tuple(rows))


def anchors_list(package: Package) -> Listing:
    units = package.project.units
    u = units.length_unit
    rows: list[tuple[Cell, ...]] = []
    for plan in plans(package):
        for end in ("left", "right"):
            live = end == plan.stressing_end
            what = ("barrel with wedges", "cap filled with grease, for the tail" if live else "cap filled with grease", "seal for the sheath")
            sizes = length_of(plan.barrel, units), length_of(plan.anchor_length, units)
            for thing in what:
                size = sizes if thing.startswith("barrel") else ("by the supplier", "by the supplier")
                rows.append((plan.truss, end, "stressing" if live else "fixed", thing, plan.count, plan.size, *size))
            if plan.bracket is not None and plan.bracket.side == end:
                b = plan.bracket
                rod, nut = (tuple(length_of(v, units) for v in size) for size in ((b.tie_diameter, b.tie_length), b.nut_size))
                rows.append((plan.truss, end, "bracket", f"tie, {b.tie_material}", b.count, "", *rod))
                rows.append((plan.truss, end, "bracket", f"{b.nut}, one at each end of a tie", 2 * b.count, "", *nut))
                rows.append((plan.truss, end, "bracket", "second nut to lock it, at each end of a tie", 2 * b.count, "", "as the tie", ""))
    return Listing("anchors", ("truss", "heel", "end", "what", "quantity", "strand", f"diameter_{u}", f"length_{u}"), tuple(rows))


def stressing_table(package: Package) -> Listing:
    """Every pull in order with its limits, and empty cells for what is read."""
    units = package.project.units
    u, f, p = units.length_unit, units.force_unit, units.stress_unit
    rows: list[tuple[Cell, ...]] = []
    for plan in plans(package):
        for s in plan.steps:
            first = s.elongation <= 0
            lengths: tuple[Cell, ...] = ("zero", "", "", "zero") if first else tuple(
                travel_of(v, units) for v in (s.elongation, s.low, s.high, s.ram_travel)
            )  # fmt: skip
            share = f"{100 * s.share:.0f} %"
            rows.append((plan.truss, s.number, s.strand, s.action, share, force_of(s.force, units), gauge_of(s.gauge, units), *lengths,
                         s.locked or "none", s.hold or "go on", "", "", "", "", ""))  # fmt: skip
    header = (
        "truss", "step", "strand", "action", "share", f"force_each_{f}", f"gauge_{p}", f"elongation_{u}", f"accept_low_{u}", f"accept_high_{u}",
        f"ram_travel_{u}", "locked_before", "hold", f"gauge_read_{p}", f"elongation_read_{u}", "accepted", "by", "date_time",
    )  # fmt: skip
    return Listing("stressing", header, tuple(rows))


def lift_off_table(package: Package) -> Listing:
    units = package.project.units
    f = units.force_unit
    rows: list[tuple[Cell, ...]] = []
    for plan in plans(package):
        for lift in plan.lift_off:
            rows += [(plan.truss, lift.when, lift.due, strand, force_of(force, units), "", "", "") for strand, force in lift.forces]
    header = ("truss", "when", "due", "strand", f"expected_{f}", f"measured_{f}", "by", "date")
    return Listing("lift_off", header, tuple(rows))


def strand_forces(package: Package) -> Listing:
    """Force of all strands together and of one, under every combination and stage of the truss as repaired."""
    units = package.project.units
    f = units.force_unit
    rows: list[tuple[Cell, ...]] = []
    for one in package.trusses:
        forces, plan = one.after.forces, one.stressing
        if forces is None or forces.strands is None or plan is None:
            continue
        for c, total in zip(forces.combinations, forces.strands.tolist(), strict=True):
            left = plan.count - 2 if "lost" in c.name else plan.count
            rows.append((plan.truss, c.name, force_of(total, units), left, force_of(total / left if left else 0.0, units)))
    return Listing("strand_forces", ("truss", "combination", f"all_strands_{f}", "strands", f"each_{f}"), tuple(rows))


def heel_forces(package: Package) -> Listing:
    """Each heel as a free body under every combination: what the panel pulls, what the strands push and on what, what the top chord brings along the
    span, what of it still comes to its seat, and what the old bolts therefore carry: tension of the chord positive, a push below zero."""
    units = package.project.units
    f = units.force_unit
    rows: list[tuple[Cell, ...]] = []
    for one in package.trusses:
        forces, plan, run = one.after.forces, one.stressing, one.truss.strands if one.truss is not None else None
        if forces is None or run is None or plan is None:
            continue
        for side, seat in zip(SIDES, run.seats, strict=True):
            for h in heels.heel_forces(one.before.truss, forces, side, seat.on):
                said = (force_of(v, units) for v in (h.panel, h.strands, h.thrust, h.seated, h.bolts, h.top_axial))
                rows.append((plan.truss, side, h.combination, seat.on, *said, round(math.degrees(h.slope), 2)))
    named = ("chord_panel", "strands", "thrust", "top_chord_on_seat", "heel_bolts", "top_chord_axial")
    header = ("truss", "heel", "combination", "strands_push_on", *(f"{n}_{f}" for n in named), "top_chord_slope_deg")
    return Listing("heel_forces", header, tuple(rows))
