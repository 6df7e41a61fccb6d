"""From chosen strands to what is handed on: the repair, its details, the plan of the stressing."""

from __future__ import annotations

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
from detailgen.remedies.posttension.stressing import forces_told, labels, lift_offs, steps_of, strand_checks


def repair_of(job: Job, anchorage: Anchorage, truss: Truss, site: Site, chord: Member, c: Candidate) -> Repair:
    units = job.project.units
    plan = _plan(job, anchorage, truss, chord, c)
    strand_results = strand_checks(anchorage, c.strand, c.forces, c.solved.forces, c.count)
    results = (*strand_results, *c.plate.results, *c.guides.checks, *(c.step_checks if c.step else ()))
    detail_left, detail_right, guide = _details(job, truss, site, chord, c, (*strand_results, *c.plate.results))
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
        "end plates": " x ".join(units.write_length(v) for v in (c.plate.thickness, c.plate.height, c.plate.width)) + f", {c.plate.steel}",
        "chord under dead load": f"{write(c.dead_tension)} tension before, {write(abs(c.dead_tension - c.run.locked))} "
                                 f"{'tension' if c.dead_tension > c.run.locked else 'compression'} at lock-off",
        "stressed at": f"the {c.stressing} heel",
        "heel bolts": "keep the whole thrust: the plates press on end grain",
    }  # fmt: skip
    title = f"Post-tensioning, {c.count} strands {c.strand.size}"
    intervention = Intervention(site.key, "posttension", site.truss, title, site.because, parameters, ())
    sizes = {"strands": float(c.count), "diameter": c.strand.diameter, "jack": c.jack, "plate": c.plate.thickness}
    return Repair(site, replace(truss, strands=c.run), intervention, detail_left, sizes, results, "", 0.0, (detail_right, guide), plan)


def _tails(job: Job, c: Candidate) -> tuple[float, float]:
    """Strand beyond the barrel at the stressing end while it is pulled, and at the fixed end (in)."""
    return job.project.stressing.jack_length + p.SPARE_TAIL, p.FIXED_TAIL


def _details(
    job: Job, truss: Truss, site: Site, chord: Member, c: Candidate, results: tuple[CheckResult, ...],
) -> tuple[Detail, Detail, Detail]:  # fmt: skip
    tools, units = job.project.stressing, job.project.units
    left, right = ends_of(truss, chord)
    found = []
    for name, station, room in (("left", -left, truss.heel_room[0]), ("right", truss.span + right, truss.heel_room[1])):
        here = name == c.stressing
        needs = jack_room(c.plate, c.anchor, tools.jack_length, tools.stroke) if here else fixed_room(c.plate, c.anchor)
        what = "plate, barrel, jack with its ram out, a hand" if here else "plate, barrel, tail, a hand"
        whys = (
            Why("room behind the end grain", what, needs, room, p.PRACTICE),
            Why("strand off the truss's plane", f"clear of {c.way.held_off_by}", c.way.least_z, c.way.z, p.OURS),
            Why("anchor to anchor over one another", "barrel and a hand's breadth", p.APART, p.APART, p.OURS),
        )
        key = site.key if name == "left" else f"{site.key}-right"
        found.append(heel_detail(
            key, site, truss, chord, name == "left", c.plate, c.way, c.anchor, c.strand.diameter, p.TAIL_LEFT if here else p.FIXED_TAIL, here,
            whys[: 3 if len(c.way.heights) > 1 else 2], results if name == "left" else (), station, units,
        ))  # fmt: skip
    return found[0], found[1], guide_detail(f"{site.key}-guide", site, chord, c.guides, c.way, c.anchor, units)


def _plan(job: Job, anchorage: Anchorage, truss: Truss, chord: Member, c: Candidate) -> StressingPlan:
    tools = job.project.stressing
    names = labels(c.count, c.way.heights)
    tail, fixed = _tails(job, c)
    left, right = ends_of(truss, chord)
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
    face = c.plate.face
    return StressingPlan(
        truss.mark, c.strand.size, c.count, c.stressing, c.window.least.force, c.window.least.where, c.window.greatest.force,
        c.window.greatest.where, c.jack, c.run.locked, c.run.lasting, tools.seating, shortening, moves, together,
        (c.step if c.step else 0.0) * c.jack, pieces, steps_of(names, c.forces, c.step, tools), lift_offs(anchorage, c.request, names, tools),
        tuple((n, tuple(float(v) for v in values)) for n, values in c.forces.losses.items()), forces_told(c.solved.forces, c.count), warnings,
        c.anchor.barrel, c.anchor.length, c.guides.at, c.way.height, c.way.z, (-left - face, truss.span + right + face),
        _assumptions(job, truss, c),
        pulls=c.count if c.step else c.count // 2,
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
