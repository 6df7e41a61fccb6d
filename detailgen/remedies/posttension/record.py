"""From chosen strands to what is handed on: the repair, its details, the plan of the stressing."""

from __future__ import annotations

import math
from dataclasses import replace

from detailgen.assessment.stressed import DEAD, LOST
from detailgen.core.result import CheckResult
from detailgen.core.tolerance import rounded
from detailgen.core.units import UnitSystem
from detailgen.model.detail import Detail, Why
from detailgen.model.member import Member
from detailgen.model.package import Intervention
from detailgen.model.project import Truss
from detailgen.model.stressing import BracketPlan, CorePlan, StrandPiece, StressingPlan
from detailgen.remedies.contract import Anchorage, Job, Repair, Site
from detailgen.remedies.posttension import parameters as p
from detailgen.remedies.posttension.assembly import WARNINGS, guide_detail, heel_detail
from detailgen.remedies.posttension.bracket import least_inboard
from detailgen.remedies.posttension.bracket_detail import base_detail, tied_heel
from detailgen.remedies.posttension.candidate import Candidate
from detailgen.remedies.posttension.heel import EndPlate, fixed_room, jack_room
from detailgen.remedies.posttension.run import SHOE_BACK, asks, ends_of
from detailgen.remedies.posttension.seats import heel_words, words_of
from detailgen.remedies.posttension.slots import Cut, slot_detail
from detailgen.remedies.posttension.stressing import forces_told, labels, lift_offs, steps_of, strand_checks
from detailgen.remedies.posttension.ties import FACES


def repair_of(job: Job, anchorage: Anchorage, truss: Truss, site: Site, chord: Member, c: Candidate, rivals: tuple[str, ...]) -> Repair:
    units = job.project.units
    plan = _plan(job, anchorage, truss, chord, c)
    strand_results = strand_checks(anchorage, c.strand, c.forces, c.solved.forces, c.count)
    steel = c.plates[0].results if c.plates[0] == c.plates[1] else (*c.plates[0].results, *c.plates[1].results)
    steel = (*steel, *(c.bracket.results if c.bracket is not None else ()))
    results = (*strand_results, *steel, *(r for cut in c.cuts for r in cut.results), *c.guides.checks, *(c.step_checks if c.step else ()))
    first, *others = _details(job, truss, site, chord, c, (*strand_results, *steel))
    write = units.write_force
    parameters = {
        "strands": f"{c.count} of {p.size_words(c.strand.size, units)}, ASTM A416 Grade 270, "
                   f"{units.write_length(plan.strands[0].between)} from anchor to anchor",
        "force window": f"at least {write(c.window.least.force)} after losses ({c.window.least.where}), at most {write(c.window.greatest.force)} at "
                        f"lock-off ({c.window.greatest.where})",
        "force at the jack, each": f"{write(c.jack)}, {c.jack / c.strand.breaking:.2f} of breaking"
                                   + (f"; common practice takes one anchor as good for about {write(p.TAKEN_AS_GOOD)}"
                                      if c.strand.size == "1/2 in." else ""),
        "all strands": f"{write(c.run.locked)} at lock-off, {write(c.run.lasting)} after all losses",
        "run": f"{units.write_length(abs(c.way.height))} {'over' if c.way.height > 0 else 'under'} the chord's axis"
               if c.way.height else "on the chord's axis",
        "off the truss's plane": f"{units.write_length(c.way.z)} (held off by {c.way.held_off_by})",
        "guides": f"{len(c.guides.at)}, at most {units.write_length(c.guides.spacing)} apart",
        **_steel_words(job, truss, c),
        "chord under dead load": f"{write(c.dead_tension)} tension before, {write(abs(c.dead_tension - c.run.locked))} "
                                 f"{'tension' if c.dead_tension > c.run.locked else 'compression'} at lock-off",
        "stressed at": _stressed_at(job, c),
        **heel_words(truss, c.solved.forces, units),
        **_slot_words(c, units),
    }  # fmt: skip
    title = f"Post-tensioning, {c.count} strands {p.size_words(c.strand.size, units)}"
    intervention = Intervention(site.key, "posttension", site.truss, title, site.because, parameters, rivals)
    sizes = {"strands": float(c.count), "diameter": c.strand.diameter, "jack": c.jack, "plate": min(q.thickness for q in c.plates)}
    asked = asks(truss, site.key, chord, c.way, c.anchor)
    return Repair(site, replace(truss, strands=c.run), intervention, first, sizes, results, "", 0.0, tuple(others), plan, asked)


def _steel_words(job: Job, truss: Truss, c: Candidate) -> dict[str, str]:
    """End plates, and what stands inboard of a tight heel."""
    write = job.project.units.write_length

    def size(plate: EndPlate) -> str:
        return " x ".join(write(v) for v in (plate.thickness, plate.height, plate.width)) + f", {plate.steel}"

    if c.bracket is None:
        return _end_plates(job, truss, c)
    b = c.bracket
    return {
        "end plates": f"{size(b.plate)} at the {c.way.tight} end, {size(c.plate)} at the other",
        "bracket": f"{write(c.way.inboard)} inboard of the {c.way.tight} end: a head on each face, "
                   + " x ".join(write(v) for v in (b.head.thickness, b.head.height, b.head.width)) + f", {p.PLATE_STEEL}, on a base that slides",
        "ties": f"{FACES * len(b.ties.heights)} rods {write(b.ties.size.diameter)}, {write(b.tie_length)} long, ASTM F1554 Grade 55, from head to "
                f"end plate, {write(b.ties.heights[1] - b.ties.heights[0])} apart on each face",
        "room behind the tight end": f"{write(b.behind)} needed",
    }  # fmt: skip


def _stressed_at(job: Job, c: Candidate) -> str:
    write = job.project.units.write_length
    if c.bracket is not None:
        return f"the bracket beside the {c.stressing} heel; nothing stands behind that heel but nuts"
    where = f"the {c.stressing} heel"
    if c.core is None:
        return where
    return (f"{where}; {c.core.count} holes, {write(c.core.diameter)} in diameter, are cored {write(c.core.depth)} deep into what stands behind the "
            f"{c.core.side} heel")  # fmt: skip


def _beside(c: Candidate) -> list[Cut]:
    """Slots that have a sheet of their own; those of a shoe's back stand on its heel's."""
    return [cut for cut in c.cuts if not cut.across.what.startswith(SHOE_BACK)]


def _slot_words(c: Candidate, units: UnitSystem) -> dict[str, str]:
    """What is slotted for the strands, and what the slot leaves of it."""
    write, told = units.write_length, []
    for cut in c.cuts:
        worst = max(cut.results, key=lambda r: rounded(r.ratio))
        told.append(
            f"{cut.across.what} at {write(cut.across.x)}: {write(cut.width)} x {write(cut.length)} on both faces ({worst.check} {worst.ratio:.2f})"
        )
    return {"slots": "; ".join(told)} if told else {}


def _end_plates(job: Job, truss: Truss, c: Candidate) -> dict[str, str]:
    """The plate at each heel and what it presses on, told once where both are alike."""
    units = job.project.units
    told = []
    for plate, seat in zip(c.plates, truss.seats, strict=True):
        size = " x ".join(units.write_length(v) for v in (plate.thickness, plate.height, plate.width))
        words = f"{size}, {plate.steel}, on {words_of(seat)}"
        if plate.ribs is not None:
            bar = " x ".join(units.write_length(v) for v in (plate.ribs.thickness, plate.ribs.depth))
            words += f"; {len(plate.ribs.at)} ribs {bar} on edge, fillets {units.write_length(plate.ribs.leg)} along both sides of each"
        told.append(words)
    found = {"end plates": told[0]} if told[0] == told[1] else {"left end plate": told[0], "right end plate": told[1]}
    worst = max((q.bare for q in c.plates if not math.isnan(q.bare)), default=math.nan)
    pressed = max((r for q in c.plates for r in q.results if r.check == "end bearing"), key=lambda r: rounded(r.ratio), default=None)
    if pressed is not None:
        needs = "so a rigid steel plate must spread the force" if worst > 1.0 else "so no steel would have to spread the force"
        found["end grain"] = (
            f"{pressed.where} stands at {pressed.ratio:.2f} under {pressed.combination}; against three quarters of its value, from where on steel "
            f"must lie between (NDS 3.10.1.3), at {worst:.2f}, {needs}; steel pads of {units.write_length(c.plates[0].pad)} lie there"
        )
    return found


def _tails(job: Job, c: Candidate) -> tuple[float, float]:
    """Strand beyond the barrel at the stressing end while it is pulled, and at the fixed end (in)."""
    return job.project.stressing.jack_length + p.SPARE_TAIL, p.FIXED_TAIL


def _details(job: Job, truss: Truss, site: Site, chord: Member, c: Candidate, results: tuple[CheckResult, ...]) -> list[Detail]:
    """Left heel, right heel, guide; with a bracket its base too."""
    units = job.project.units
    left, right = ends_of(truss, chord)
    found = []
    for name, station in (("left", -left), ("right", truss.span + right)):
        here = name == c.stressing
        whys = _whys(job, truss, c, name)
        key = site.key if name == "left" else f"{site.key}-right"
        own = results if name == "left" else ()
        if c.bracket is not None and here:
            found.append(tied_heel(key, site, truss, chord, c.bracket, c.anchor, c.strand.diameter, whys, own, station, units))
        else:
            found.append(heel_detail(
                key, site, truss, chord, name == "left", c.plate_at(name), c.way, c.anchor, c.strand.diameter,
                p.TAIL_LEFT if here else p.FIXED_TAIL, here, whys, own, station, units,
                [cut for cut in c.cuts if cut.across.what == f"{SHOE_BACK}, {name} heel"],
            ))  # fmt: skip
    found.append(guide_detail(f"{site.key}-guide", site, chord, c.guides, c.way, c.anchor, units))
    found += [slot_detail(f"{site.key}-slot-{k}", site, chord, cut, c.strand.diameter, units) for k, cut in enumerate(_beside(c), start=1)]
    if c.bracket is not None:
        found.append(base_detail(f"{site.key}-base", site, truss, chord, c.bracket, c.guides.lines, p.HELD * c.jack * c.count / FACES, units))
    return found


def _whys(job: Job, truss: Truss, c: Candidate, side: str) -> list[Why]:
    """What governs a heel's dimensions."""
    tools, here = job.project.stressing, side == c.stressing
    room = truss.heel_room[0 if side == "left" else 1]
    off = Why("strand off the truss's plane", f"clear of {c.way.held_off_by}", c.way.least_z, c.way.z, p.OURS)
    over = [Why("anchor to anchor over one another", "barrel and a hand's breadth", p.APART, p.APART, p.OURS)] if len(c.way.heights) > 1 else []
    if c.bracket is not None and here:
        least = least_inboard(c.anchor, tools)
        apart_ties = c.bracket.ties.heights[1] - max(c.way.heights)
        return [
            Why("room behind the end grain", "pad, plate, nut of a tie, thread, fingers", c.bracket.behind, room, p.PRACTICE),
            Why("bracket from the end grain", "barrel, jack with its ram out, a hand", least, c.way.inboard, p.PRACTICE), off,
            Why("tie over the strand", "half of the jack, half of a tie", tools.jack_diameter / 2 + c.bracket.ties.size.diameter / 2,
                apart_ties, p.OURS), *over,
        ]  # fmt: skip
    plate, seat = c.plate_at(side), truss.seats[0 if side == "left" else 1]
    needs = seat.face + (jack_room(plate, c.anchor, tools.jack_length, tools.stroke) if here else fixed_room(plate, c.anchor))
    what = "plate, barrel, jack with its ram out, a hand" if here else "plate, barrel, tail, a hand"
    if c.core is not None and c.core.side == side:
        what, room = f"{what}; by coring", c.core.room
    return [Why("room behind the end grain", what, needs, room, p.PRACTICE), off, *over]


def _plan(job: Job, anchorage: Anchorage, truss: Truss, chord: Member, c: Candidate) -> StressingPlan:
    tools = job.project.stressing
    size = p.size_words(c.strand.size, job.project.units)
    names = labels(c.count, c.way.heights)
    tail, fixed = _tails(job, c)
    height = {f"{side} {k + 1}": h for side in ("near", "far") for k, h in enumerate(c.way.heights)}
    pieces = tuple(StrandPiece(n, size, n.split()[0], height[n], c.request.length, tail + c.anchor.length, fixed + c.anchor.length) for n in names)
    length = c.request.length if c.bracket is None else truss.span + sum(c.run.overrun)
    shortening = c.count * c.jack * length / (c.wood.area * c.wood.modulus)
    moves = c.run.locked * truss.span / (c.wood.area * c.wood.modulus)
    together = c.step <= 0.0
    order = ("The chord does not bear one face ahead of the other: two jacks on one pump, both strands of a pair at once.",) if together else ()
    warnings = (
        *WARNINGS,
        "Shores stand snug under the chord and are free to let it rise; no snow and no work load on the roof while strands are pulled.",
        "The sliding heel moves as printed: look that it is free, and that wall and chord are tied by the temporary tie, before the first pull.",
        "An elongation beyond its limits: stop, lock nothing more. Look at guides, bearings, gauge and scale; let down; ask the engineer.",
        "Butt joints of the chord are closed and shimmed tight before the first pull.",
    )  # fmt: skip
    ends = -c.run.overrun[0], truss.span + c.run.overrun[1]
    bracket = _bracket_plan(truss, chord, c, ends)
    if bracket is not None:
        ends = (bracket.face, ends[1]) if bracket.side == "left" else (ends[0], bracket.face)
        order = (*order, *BRACKET_WARNINGS)
    core = CorePlan(c.core.side, c.core.depth, c.core.diameter, c.core.count) if c.core is not None else None
    if core is not None:
        order = (*order, CORE_WARNING)
    # Ties at which several strands of a face pull are already in what the chord gives.
    ties = c.bracket.ties.stretch(c.jack) if c.bracket is not None and c.count == FACES else 0.0
    forces = replace(c.forces, ram_travel=c.forces.ram_travel + ties)
    steps = steps_of(names, forces, c.step, tools, anchorage.stressing.elongation_tolerance()[0])
    return StressingPlan(
        truss.mark, size, c.count, c.stressing, c.window.least.force, c.window.least.where, c.window.greatest.force,
        c.window.greatest.where, c.jack, c.run.locked, c.run.lasting, tools.seating, shortening, moves, together,
        (c.step if c.step else 0.0) * c.jack, pieces, steps, lift_offs(anchorage, c.request, names, tools),
        tuple((n, tuple(float(v) for v in values)) for n, values in c.forces.losses.items()), forces_told(c.solved.forces, c.count),
        (*warnings, *order),
        c.anchor.barrel, c.anchor.length, c.guides.at, c.way.height, c.way.z, ends,
        _assumptions(job, truss, c),
        pulls=c.count if c.step else c.count // 2, bracket=bracket, core=core, upkeep=_upkeep(c),
        usual_each=p.TAKEN_AS_GOOD if c.strand.size == "1/2 in." else 0.0,
    )  # fmt: skip


BRACKET_WARNINGS = (
    "Strands are pulled at the bracket: nobody stands between it and its heel. A jack is put on from the side, between the ties.",
    "Before the first pull: nuts of all ties on whole thread, heads and end plate square, bases free to slide. At each hold look at heads, welds and "
    "nuts.",
)
CORE_WARNING = "Holes are cored only when the engineer of what stands behind the heel has agreed; look for bars and pipes, shore what it carries."


def _bracket_plan(truss: Truss, chord: Member, c: Candidate, ends: tuple[float, float]) -> BracketPlan | None:
    b = c.bracket
    if b is None:
        return None
    size, each = b.ties.size, c.jack * c.count / FACES
    return BracketPlan(
        c.way.tight, b.at(truss, chord, c.way.inboard), ends[0] if b.left else ends[1], (b.head.thickness, b.head.height), b.base.length,
        b.ties.heights, size.diameter, b.tie_length, p.TIE_STEEL, p.TIE_NUT, (size.washer, size.stack), c.way.inboard, b.ties.stretch(each),
    )  # fmt: skip


def _assumptions(job: Job, truss: Truss, c: Candidate) -> tuple[str, ...]:
    """What the strands rest on that nobody surveyed."""
    tools, units = job.project.stressing, job.project.units
    write, whose = units.write_length, f"Strands of truss {truss.mark}:"
    source = "as the survey has them" if tools.given else "common practice, no published source"
    jack = f"wedges seat {write(tools.seating)}, jack {write(tools.jack_length)} long, stroke {write(tools.stroke)} ({source})"
    carried, by = _with_a_pair_lost(c)
    return (
        f"{whose} {jack}; barrel {write(c.anchor.barrel)}, sheath {write(c.anchor.sheath)} (common practice, no published source): the supplier's "
        "sheets decide before steel is cut.",
        f"{whose} the chord creeps by {tools.creep:g} of its elastic strain, shrinks by {tools.shrinkage * 1e6:.0f} millionths, and is at times "
        f"{tools.warming:g} F warmer than on the day of stressing (ours); half of the creep is over after a heating season (ours).",
        f"{whose} with one pair lost the truss carries {carried}{by}. Sheaths and grease keep off "
        "rust; nothing here keeps off fire: strands lose half their strength near 800 F (from memory).",
    )


def _with_a_pair_lost(c: Candidate) -> tuple[str, str]:
    """What the truss is asked to carry without a pair of strands, and by which clause."""
    lost = next(k for k in c.solved.forces.combinations if k.name.endswith(LOST))
    snow = [f"{factor:g} of the snow" for case, factor in lost.factors if case != DEAD]
    return " and ".join(["dead load", *snow]), f" ({lost.cite.document} {lost.cite.clause}, from memory)" if snow else ""


def _upkeep(c: Candidate) -> tuple[str, ...]:
    """What keeps the strands, and what does not."""
    carried, _ = _with_a_pair_lost(c)
    without = f"the truss then carries {carried}, no more" if c.count == 2 else f"the others carry on with {carried}"
    return (
        "Corrosion: strands lie in grease and sheath from anchor to anchor. Each year look at sheaths (no tear, no grease lost), caps (full, tight) "
        "and barrels (no rust, no wedge drawn in); a torn sheath is greased and wrapped at once. Where roof or heel leaks nothing of this holds.",
        f"Fire: nothing here keeps off fire. A strand has lost half its strength near 800 F (from memory); when a pair is gone {without}. What the "
        "local code asks of this roof, the engineer says; after a fire, however small, no load comes on it before he has seen it.",
        "Lift-off: by the table, with the same kind of jack, dead load alone, at the temperature of the day of stressing or told with it. A strand "
        "that is more than 7 % off (ours) is looked into before anything is done to it.",
        "Nobody cuts, drills, heats, welds at or hangs anything on strands, sheaths, anchors or guides, for as long as the truss stands: a sign at "
        "each heel says so.",
    )
