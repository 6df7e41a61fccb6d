"""From chosen strands to what is handed on: the repair, its details, the plan of the stressing."""

from __future__ import annotations

import math
from dataclasses import replace

from detailgen.core.result import CheckResult
from detailgen.model.detail import Detail, Why
from detailgen.model.package import Intervention
from detailgen.model.project import Member, Truss
from detailgen.model.stressing import StrandPiece, StressingPlan
from detailgen.remedies.contract import Anchorage, Job, Repair, Site
from detailgen.remedies.posttension import parameters as p
from detailgen.remedies.posttension.assembly import WARNINGS, guide_detail, heel_detail
from detailgen.remedies.posttension.candidate import Candidate
from detailgen.remedies.posttension.heel import fixed_room, jack_room
from detailgen.remedies.posttension.run import ends_of
from detailgen.remedies.posttension.seats import heel_words, words_of
from detailgen.remedies.posttension.stressing import forces_told, labels, lift_offs, steps_of, strand_checks


def repair_of(job: Job, anchorage: Anchorage, truss: Truss, site: Site, chord: Member, c: Candidate) -> Repair:
    units = job.project.units
    plan = _plan(job, anchorage, truss, chord, c)
    strand_results = strand_checks(anchorage, c.strand, c.forces, c.solved.forces, c.count)
    plate_results = c.plates[0].results if c.plates[0] == c.plates[1] else (*c.plates[0].results, *c.plates[1].results)
    results = (*strand_results, *plate_results, *c.guides.checks, *(c.step_checks if c.step else ()))
    detail_left, detail_right, guide = _details(job, truss, site, chord, c, (*strand_results, *plate_results))
    write = units.write_force
    parameters = {
        "strands": f"{c.count} of {c.strand.size}, ASTM A416 Grade 270, {units.write_length(plan.strands[0].between)} from anchor to anchor",
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
        **_end_plates(job, truss, c),
        "chord under dead load": f"{write(c.dead_tension)} tension before, {write(abs(c.dead_tension - c.run.locked))} "
                                 f"{'tension' if c.dead_tension > c.run.locked else 'compression'} at lock-off",
        "stressed at": f"the {c.stressing} heel",
        **heel_words(truss, c.solved.forces, units),
    }  # fmt: skip
    title = f"Post-tensioning, {c.count} strands {c.strand.size}"
    intervention = Intervention(site.key, "posttension", site.truss, title, site.because, parameters, ())
    sizes = {"strands": float(c.count), "diameter": c.strand.diameter, "jack": c.jack, "plate": min(q.thickness for q in c.plates)}
    return Repair(site, replace(truss, strands=c.run), intervention, detail_left, sizes, results, "", 0.0, (detail_right, guide), plan)


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
    pressed = max((r for q in c.plates for r in q.results if r.check == "end bearing"), key=lambda r: r.ratio, default=None)
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


def _details(
    job: Job, truss: Truss, site: Site, chord: Member, c: Candidate, results: tuple[CheckResult, ...],
) -> tuple[Detail, Detail, Detail]:  # fmt: skip
    tools, units = job.project.stressing, job.project.units
    left, right = ends_of(truss, chord)
    found = []
    for k, (name, station) in enumerate((("left", -left), ("right", truss.span + right))):
        here, room, plate, seat = name == c.stressing, truss.heel_room[k], c.plates[k], truss.seats[k]
        needs = seat.face + (jack_room(plate, c.anchor, tools.jack_length, tools.stroke) if here else fixed_room(plate, c.anchor))
        what = "plate, barrel, jack with its ram out, a hand" if here else "plate, barrel, tail, a hand"
        whys = (
            Why("room behind the end grain", what, needs, room, p.PRACTICE),
            Why("strand off the truss's plane", f"clear of {c.way.held_off_by}", c.way.least_z, c.way.z, p.OURS),
            Why("anchor to anchor over one another", "barrel and a hand's breadth", p.APART, p.APART, p.OURS),
        )
        key = site.key if name == "left" else f"{site.key}-right"
        found.append(heel_detail(
            key, site, truss, chord, name == "left", plate, c.way, c.anchor, c.strand.diameter, p.TAIL_LEFT if here else p.FIXED_TAIL, here,
            whys[: 3 if len(c.way.heights) > 1 else 2], results if name == "left" else (), station, units,
        ))  # fmt: skip
    return found[0], found[1], guide_detail(f"{site.key}-guide", site, chord, c.guides, c.way, c.anchor, units)


def _plan(job: Job, anchorage: Anchorage, truss: Truss, chord: Member, c: Candidate) -> StressingPlan:
    tools = job.project.stressing
    names = labels(c.count, c.way.heights)
    tail, fixed = _tails(job, c)
    overrun = c.run.overrun
    height = {f"{side} {k + 1}": h for side in ("near", "far") for k, h in enumerate(c.way.heights)}
    pieces = tuple(
        StrandPiece(n, c.strand.size, n.split()[0], height[n], c.request.length, tail + c.anchor.length, fixed + c.anchor.length) for n in names
    )
    shortening = c.count * c.jack * c.request.length / (c.request.chord_area * c.request.chord_modulus)
    moves = c.run.locked * truss.span / (c.request.chord_area * c.request.chord_modulus)
    together = c.step <= 0.0
    order = ("The chord does not bear one face ahead of the other: two jacks on one pump, both strands of a pair at once.",) if together else ()
    warnings = (
        *WARNINGS,
        "Shores stand snug under the chord and are free to let it rise; no snow and no work load on the roof while strands are pulled.",
        "The sliding heel moves as printed: look that it is free, and that wall and chord are tied by the temporary tie, before the first pull.",
        "An elongation beyond its limits: stop, lock nothing more. Look at guides, bearings, gauge and scale; let down; ask the engineer.",
        "Butt joints of the chord are closed and shimmed tight before the first pull.", *order,
    )  # fmt: skip
    return StressingPlan(
        truss.mark, c.strand.size, c.count, c.stressing, c.window.least.force, c.window.least.where, c.window.greatest.force,
        c.window.greatest.where, c.jack, c.run.locked, c.run.lasting, tools.seating, shortening, moves, together,
        (c.step if c.step else 0.0) * c.jack, pieces, steps_of(names, c.forces, c.step, tools), lift_offs(anchorage, c.request, names, tools),
        tuple((n, tuple(float(v) for v in values)) for n, values in c.forces.losses.items()), forces_told(c.solved.forces, c.count), warnings,
        c.anchor.barrel, c.anchor.length, c.guides.at, c.way.height, c.way.z, (-overrun[0], truss.span + overrun[1]),
        _assumptions(job, truss, c),
        pulls=c.count if c.step else c.count // 2, upkeep=_upkeep(truss, c), usual_each=p.TAKEN_AS_GOOD if c.strand.size == "1/2 in." else 0.0,
    )  # fmt: skip


def _assumptions(job: Job, truss: Truss, c: Candidate) -> tuple[str, ...]:
    """What the strands rest on that nobody surveyed."""
    tools, units = job.project.stressing, job.project.units
    write, whose = units.write_length, f"Strands of truss {truss.mark}:"
    source = "as the survey has them" if tools.given else "common practice, no published source"
    jack = f"wedges seat {write(tools.seating)}, jack {write(tools.jack_length)} long, stroke {write(tools.stroke)} ({source})"
    return (
        f"{whose} {jack}; barrel {write(c.anchor.barrel)}, sheath {write(c.anchor.sheath)} (common practice, no published source): the supplier's "
        "sheets decide before steel is cut.",
        f"{whose} the chord creeps by {tools.creep:g} of its elastic strain, shrinks by {tools.shrinkage * 1e6:.0f} millionths, and is at times "
        f"{tools.warming:g} F warmer than on the day of stressing (ours); half of the creep is over after a heating season (ours).",
        f"{whose} with one pair lost the truss carries dead load and 0.2 of the snow (ASCE 7-16 2.5.2.2, from memory). Sheaths and grease keep off "
        "rust; nothing here keeps off fire: strands lose half their strength near 800 F (from memory).",
    )


def _upkeep(truss: Truss, c: Candidate) -> tuple[str, ...]:
    """What keeps the strands, and what does not."""
    without = (
        "the truss then carries dead load and 0.2 of the snow, no more" if c.count == 2 else "the others carry on with dead load and 0.2 of the snow"
    )
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
