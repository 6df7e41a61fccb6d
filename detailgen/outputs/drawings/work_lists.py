"""Lists of the sheets that the crew works by: shores and jacks, stages, order of work with its hold points, snow and what to do about it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from detailgen.core.tolerance import rounded
from detailgen.core.units import UNITS, UnitSystem
from detailgen.model.assessment import SafetyNow, StagedWork, StageLine
from detailgen.model.project import Truss
from detailgen.outputs.drawings.blocks import Listing, listing
from detailgen.outputs.drawings.detail_words import length
from detailgen.outputs.drawings.sheets import Lettering

BLANK = "______"


def shores_list(work: StagedWork, truss: Truss, units: UnitSystem, letters: Lettering) -> Listing:
    """Points, forces, lifts and stops of the jacks, the blocks between them and the chord, and room for what is read on site."""
    rows = [
        (
            s.joint, length(s.x, units), units.write_force(s.force) if s.force > 0 else "snug", length(s.lift, units), length(s.stop, units),
            units.write_force(s.most), f"{length(s.block, units)}, {s.bearing.ratio:.2f}", BLANK, BLANK,
        )
        for s in work.shores
    ]  # fmt: skip
    header = ("At", "From left", "Jack to", "Lift then", "Stop", "Carries at most", "Block, bearing", "Force read", "Lift read")
    base = truss.work.base or "not surveyed"
    carries = f", carries {units.write_force(truss.work.base_carries)} under a shore" if truss.work.base_carries > 0 else ""
    height = f" Height under the chord {length(truss.work.height, units)}." if truss.work.height > 0 else ""
    under = (
        f"Base: {base}{carries}.{height} Carries at most: greatest of all stages, for choosing post, jack and base. Block: least length along the "
        "grain under all plies, and the chord's compression across the grain (demand over capacity)."
    )
    return listing("SHORES AND JACKS", header, rows, letters, under=under)


def travel(value: float, units: UnitSystem) -> str:
    """A movement along the span, with its sign: hundredths of an inch or tenths of a millimetre."""
    return f'{value:+.2f}"' if units.name == "US" else f"{value * units.length:+.1f} mm"


def stages_list(work: StagedWork, units: UnitSystem, letters: Lettering) -> Listing:
    rows = [
        (str(k), n.title, "not checked" if math.isnan(n.ratio) else f"{n.ratio:.2f}", _governs(n), *(travel(m, units) for m in n.moved))
        for k, n in enumerate(work.lines, start=1)
    ]
    header = ("No.", "Stage", "Ratio", "Governs", "Left bearing", "Right")
    under = "Demand over capacity of the worst place in each stage. Bearings: movement along the span since the truss was found."
    return listing("STAGES", header, rows, letters, under=under)


def _governs(line: StageLine) -> str:
    return f"{line.place}, {line.check}, under {line.combination}" if line.place else ""


def order_list(work: StagedWork, letters: Lettering) -> Listing:
    """What is done, what must hold before it goes on, and who says so."""
    rows = [(str(k), n.does, n.hold or "none", BLANK if n.hold else "") for k, n in enumerate(work.lines, start=1) if n.does]
    return listing("ORDER OF WORK", ("No.", "Do", "HOLD until", "Name, date"), rows, letters)


def limit_lines(work: StagedWork, truss: Truss, units: UnitSystem) -> list[str]:
    """Snow and load while the work goes on."""
    area, told = units.write_area_load, truss.work
    snow = f"{area(told.snow)} of snow" if told.snow > 0 else "no snow"
    load = f"{area(told.construction)} of people and material on the {told.construction_on}" if told.construction > 0 else "no people, no material"
    lines = [f"Counted while the work goes on: {snow}, {load}."]
    if not math.isnan(work.snow):
        lines.append(f"INTERIM SNOW LIMIT {area(work.snow)}, even or on one half, while least stands ({work.snow_stage}). Over it: stop, clear it.")
    return [*lines, *work.warnings]


def depths_list(safety: SafetyNow, units: UnitSystem, letters: Lettering) -> Listing | None:
    """How deep each kind of snow may lie."""
    if not safety.depths:
        return None
    rows = [
        (d.kind, weight_words(d.weight, units), depth_words(d.watch, units), depth_words(d.close, units), d.source)
        for d in safety.depths
    ]  # fmt: skip
    return listing("HOW DEEP THAT IS", ("Kind", "Weighs", "WATCH at", "CLEAR at", "Weight from"), rows, letters,
                   under="Depth at the deepest place; the usual caution: weight decides, not depth.")  # fmt: skip


def weight_words(value: float, units: UnitSystem) -> str:
    """A unit weight (lb/in3) to three figures."""
    unit = "pcf" if units.name == "US" else "kN/m3"
    return f"{value / UNITS['unit weight'][unit]:.3g} {unit}"


def depth_words(value: float, units: UnitSystem) -> str:
    """A depth of snow (in), rounded down: whole inches or centimetres."""
    if units.name == "US":
        return f'{math.floor(value + 1e-9)}"'
    return f"{10 * math.floor(value * 2.54 + 1e-9)} mm"


def now_list(all_of: Sequence[SafetyNow], units: UnitSystem, letters: Lettering) -> Listing:
    """Truss by truss: what it may carry now, and when to watch and clear."""
    area, rows = units.write_area_load, []
    for s in all_of:
        least = "at least " if s.at_least else ""
        known = (f"{least}{area(s.allowed)}", area(s.watch), area(s.close)) if s.known else ("not known: none", "at once", "at once")
        rows.append((s.truss, known[0], area(s.today), known[1], known[2], s.governing))
    header = ("Truss", "May carry now", "Today's loads", "WATCH at", "CLEAR at", "First to reach its capacity")
    return listing("SNOW ON THE ROOF, BY TRUSS", header, rows, letters, under="Flat-roof snow. The weakest truss decides for the building.")


def emergency_list(all_of: Sequence[SafetyNow], trusses: Mapping[str, Truss], units: UnitSystem, letters: Lettering) -> Listing | None:
    rows = []
    for s in all_of:
        least = "at least " if s.shored_at_least else ""
        then = f"{least}{units.write_area_load(s.shored)}"
        rows += [(s.truss, j, length(trusses[s.truss].joints[j][0], units), units.write_force(push), then) for j, push in s.shores]
    if not rows:
        return None
    under = "Under all plies, snug on a roof without snow, not lifted. Push: under the snow that the truss carries then."
    return listing("EMERGENCY SHORES", ("Truss", "At", "From left", "Push", "Carries then"), rows, letters, under=under)


def trigger_lines(all_of: Sequence[SafetyNow], units: UnitSystem) -> list[str]:
    """When the building is watched and cleared, by its weakest truss, in the largest words that it needs."""
    area, weakest = units.write_area_load, weakest_of(all_of)
    lines = []
    if weakest is not None and weakest.allowed > 0:
        lines.append(f"WATCH at {area(weakest.watch)} of snow on the roof, CLEAR THE BUILDING at {area(weakest.close)} (truss {weakest.truss}).")
        lines.append(f"On open ground beside it that is about {area(weakest.ground)}; the roof decides, where it lies deepest.")
    return [*lines, *dict.fromkeys(f"Truss {s.truss}: {note}" for s in all_of for note in s.notes)]


def weakest_of(all_of: Sequence[SafetyNow]) -> SafetyNow | None:
    known = [s for s in all_of if s.known]
    return min(known, key=lambda s: rounded(s.allowed), default=None)
