"""Post-tensioning as a remedy: where it is asked for, the force window, the number and size of strands, and everything that follows from them."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from detailgen.analysis.build import panels
from detailgen.assessment.members import grade_of, place_name
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult
from detailgen.core.tolerance import at_most, rounded
from detailgen.model.assessment import TrussAssessment
from detailgen.model.detail import Detail, Why
from detailgen.model.package import Intervention, Refusal
from detailgen.model.project import Member, Strands, Truss
from detailgen.model.stressing import StrandPiece, StressingPlan
from detailgen.remedies.contract import Anchorage, Job, Repair, Site, Solved
from detailgen.remedies.posttension import parameters as p
from detailgen.remedies.posttension.assembly import WARNINGS, guide_detail, heel_detail
from detailgen.remedies.posttension.demand import Demand
from detailgen.remedies.posttension.guides import Guides, guides_for
from detailgen.remedies.posttension.heel import EndPlate, fixed_room, jack_room, plate_for, pushed_by, stressing_end
from detailgen.remedies.posttension.run import Way, ends_of, preferred, ways
from detailgen.remedies.posttension.stressing import (
    Wood,
    forces_told,
    jack_of,
    labels,
    least_jack,
    lift_offs,
    limits_of,
    one_sided_step,
    request_of,
    steps_of,
    strand_checks,
)
from detailgen.remedies.posttension.window import Window, greatest_force, least_force
from detailgen.standards.anchorage import Strand, StressingForces, StressingRequest
from detailgen.standards.interface import ALLOWABLE_STRESS

BOTTOM = "bottom chord"
GUESS = p.PAD + 1.0
"""End plate and pad (in) with which the length between grips is first taken; the chosen plate then decides."""


@dataclass(frozen=True)
class Candidate:
    """Strands that fit, with everything that was worked out for them."""

    strand: Strand
    count: int
    anchor: p.Anchor
    way: Way
    window: Window
    request: StressingRequest
    forces: StressingForces
    guides: Guides
    plate: EndPlate
    run: Strands
    solved: Solved
    dead_tension: float
    step: float
    step_checks: tuple[CheckResult, ...]
    stressing: str

    @property
    def jack(self) -> float:
        return jack_of(self.forces)


@dataclass(frozen=True)
class Miss:
    """Strands that do not do: why, how far they came before that was found, and by how much it is missed (lb; the less the nearer)."""

    why: str
    stage: int
    short: float = 0.0

    @property
    def rank(self) -> tuple[int, float]:
        return -self.stage, rounded(self.short)


NO_HEIGHT, NO_WINDOW, NO_FORCE, TOO_MUCH, NO_GUIDES, NO_PLATE, NO_ROOM, STILL_FAILS = range(8)
"""How far strands came: each is asked for only once the one before is there."""
NO_MORE = (TOO_MUCH, NO_GUIDES, NO_ROOM)
"""What more or larger strands only make worse: they bring more force, as their wedges ask for more, and want more room."""


class PostTensionRemedy:
    """Finds bottom chords that are pulled too much and squeezes them between plates at their ends."""

    key = "posttension"
    title = "Post-tensioning"
    order = 60

    def __init__(self) -> None:
        self._last: tuple[Job, Truss, Site, Mapping[str, float], Repair | Refusal] | None = None

    def sites(self, job: Job, before: TrussAssessment) -> Sequence[Site]:
        """None by what was found: damage made good may be enough for a chord."""
        return ()

    def still_failing(self, job: Job, solved: Solved) -> Sequence[Site]:
        """A whole bottom chord that is pulled too much between its joints. One that is still broken has no place for strands to push on."""
        truss = solved.truss
        if truss.strands is not None or job.anchorage is None or any(d.kind == "break" and d.member == BOTTOM for d in truss.damage):
            return ()
        chord = truss.member(BOTTOM)
        names = [c.name for c in solved.forces.combinations]
        over = []
        for place in solved.check([place_name(chord, pair) for pair in panels(chord)]):
            worst = place.worst
            if place.kind != "member" or worst is None or at_most(worst.ratio, 1.0) or worst.combination not in names:
                continue
            axial = float(solved.forces.members[place.member].axial[names.index(worst.combination)].max())
            if axial > 0:
                over.append((rounded(worst.ratio), place.name, worst.combination, worst.check, axial))
        if not over:
            return ()
        ratio, name, combination, check, axial = max(over, key=lambda o: o[0])
        units = job.project.units
        because = (f"{name} stands at {ratio:.2f} under {combination} ({check}, {units.write_force(axial)} tension)"
                   + (f", and {len(over) - 1} more panels are over 1.00" if len(over) > 1 else ""))  # fmt: skip
        plies = tuple(q.name for q in chord.plies)
        return (Site(f"{truss.mark}-strands", truss.mark, BOTTOM, plies, truss.span / 2, 0.0, because),)

    def healed(self, truss: Truss, site: Site) -> Truss:
        return truss

    def dimension(self, job: Job, truss: Truss, site: Site, solved: Solved, least: Mapping[str, float], most_lost: float) -> Repair | Refusal:
        """The fewest and smallest strands whose window is open and that go in; else the nearest miss with its numbers.

        Asked again for the same truss, as the walk does until nothing moves, it answers what it has found.
        """
        if self._last is not None and self._last[0] is job and self._last[1:4] == (truss, site, least):
            return self._last[4]
        answer = self._found(job, truss, site, least)
        self._last = (job, truss, site, dict(least), answer)
        return answer

    def _found(self, job: Job, truss: Truss, site: Site, least: Mapping[str, float]) -> Repair | Refusal:
        chord, anchorage = truss.member(BOTTOM), job.anchorage
        blocked = _blocked(job, truss, chord)
        if blocked or anchorage is None:
            return Refusal(site.key, self.key, site.truss, blocked or "no standard for strand is installed")
        misses: list[Miss] = []
        try:
            for strand, count, anchor in _sizes(job, anchorage, least):
                found = _candidate(job, anchorage, truss, chord, strand, count, anchor)
                if isinstance(found, Candidate):
                    return _repair(job, anchorage, truss, site, chord, found)
                misses.append(found)
                if found.stage in NO_MORE:
                    break
        except NotCovered as error:
            return Refusal(site.key, self.key, site.truss, f"{error.what} is not covered", error.clause)
        nearest = min(misses, key=lambda m: m.rank)
        return Refusal(site.key, self.key, site.truss, nearest.why)


def _blocked(job: Job, truss: Truss, chord: Member) -> str:
    """Why strands are not looked into at all; "" where they are."""
    ys = [truss.joints[j][1] for j in chord.joints]
    if max(ys) - min(ys) > 1e-6:
        return "the bottom chord is not straight: strands would push it up or down at every bend, which is not offered"
    if any(d.kind == "break" and d.member == chord.name for d in truss.damage):
        return "the chord is broken and not repaired: strands would have nothing to push on there"
    if job.project.method != ALLOWABLE_STRESS:
        return "strands are worked out for loads in service only; set 'method: allowable stress'"
    if truss.forces is not None:
        return f"the forces of this truss come from {truss.forces.file}: what strands do to it must be solved by the same analysis"
    if job.project.modelling.one_by_one or truss.one_sided:
        return "each combination is solved by itself (free travel, second order, members of one sense): stages of stressing cannot be added up"
    if min(truss.heel_room) <= 0:
        return ("the room behind the bottom chord's ends is not surveyed: enter 'heel room: {left: ..., right: ...}' of this type (clear distance "
                "from the end grain to what stands behind it)")  # fmt: skip
    if truss.supports[0].kind == truss.supports[1].kind:
        return f"both bearings are {truss.supports[0].kind}s: the chord must be free to shorten, one end pinned and the other sliding"
    if abs(sum(q.z * q.thickness * q.depth for q in chord.plies)) > 1e-6:
        return "the chord's plies are not alike on both sides of the truss's plane: a pair of strands would bend it sideways"
    return ""


def _sizes(job: Job, anchorage: Anchorage, least: Mapping[str, float]) -> Iterator[tuple[Strand, int, p.Anchor]]:
    """Pairs of each size, the fewest strands first."""
    wanted = job.project.stressing.sizes or tuple(p.ANCHORS)
    for pairs, size in itertools.product(range(1, p.MOST_PAIRS + 1), wanted):
        strand = anchorage.strand.strand(size)
        if 2 * pairs >= least.get("strands", 0.0) - 1e-6 and strand.diameter >= least.get("diameter", 0.0) - 1e-6:
            yield strand, 2 * pairs, p.ANCHORS[size]


def _candidate(job: Job, anchorage: Anchorage, truss: Truss, chord: Member, strand: Strand, count: int, anchor: p.Anchor) -> Candidate | Miss:
    """One number and size of strands, at the height at which the window is widest, or at the next best where they do not go in there."""
    free = ways(truss, chord, count // 2, anchor)
    name = f"{count} strands {strand.size}"
    if not free:
        return Miss(f"{name}: {count // 2} anchors over one another, {p.APART:g} in. apart, do not stand on a chord this low", NO_HEIGHT)
    most = count * limits_of(anchorage, strand)["after seating"].force
    tried = []
    for way in preferred(free):
        run = _run(truss, chord, strand, count, way, GUESS)
        demand = Demand.of(job, truss, run)
        greatest = greatest_force(demand.at_lock_off, most)
        tried.append((Window(least_force(demand.pulled, most), greatest), way, demand))
    tried.sort(key=lambda t: (rounded(_short(t[0])), abs(t[1].height), t[1].height))
    window, way, demand = tried[0]
    if not window.open:
        return Miss(_no_window(job, truss, chord, name, window, demand, most), NO_WINDOW, _short(window))
    misses: list[Miss] = []
    for window, way, demand in (t for t in tried if t[0].open):
        face = GUESS
        for _ in range(3):
            found = _built(job, anchorage, truss, chord, strand, count, anchor, way, window, demand, face)
            if isinstance(found, Miss):
                misses.append(found)
                break
            if abs(found.plate.face - face) < 1e-9:
                return found
            face = found.plate.face
        else:
            misses.append(Miss(f"{name}: thickness of the end plate and force of the strands do not settle", NO_PLATE))
    return min(misses, key=lambda m: m.rank)


def _short(window: Window) -> float:
    return window.least.force - window.greatest.force if math.isfinite(window.least.force) else 1e8 - window.greatest.force


def _run(truss: Truss, chord: Member, strand: Strand, count: int, way: Way, face: float) -> Strands:
    left, right = ends_of(truss, chord)
    length = truss.span + left + right + 2 * face
    weight = count * strand.weight * length / 12
    return Strands(
        "strands", chord.name, count, count * strand.area, strand.modulus, way.height, (left + face, right + face), 0.0, 0.0, weight=weight
    )


def _wood(job: Job, chord: Member, tension: float) -> Wood:
    stiff = sum(job.wood.stiffness(grade_of(q.wood), q.thickness, q.depth).E * q.thickness * q.depth for q in chord.plies)
    area = sum(q.thickness * q.depth for q in chord.plies)
    return Wood(stiff / area, area, tension)


def _built(
    job: Job, anchorage: Anchorage, truss: Truss, chord: Member, strand: Strand, count: int, anchor: p.Anchor, way: Way, window: Window,
    demand: Demand, face: float,
) -> Candidate | Miss:  # fmt: skip
    """Force, guides and end plate for one way, and the whole truss solved with them."""
    units, tools, name = job.project.units, job.project.stressing, f"{count} strands {strand.size}"
    left, right = ends_of(truss, chord)
    length = truss.span + left + right + 2 * face
    limits = limits_of(anchorage, strand)
    wood = _wood(job, chord, demand.dead_tension)
    held = max(b - a for a, b in itertools.pairwise([0.0, *sorted(chord.braces), truss.span]))
    step, jack = 0.0, 0.0
    step_checks: tuple[CheckResult, ...] = ()
    for _ in range(3):  # the force decides the steps in which it may be put on, and these decide a little of it
        request = request_of(strand, count, length, 0.0, wood, tools, step)
        forces = least_jack(anchorage, request, window.least.force, limits["least at lock-off"].force)
        if isinstance(forces, str):
            return Miss(f"{name}: {forces}", NO_FORCE)
        before, jack = (step, jack), jack_of(forces)
        step, step_checks = one_sided_step(job, chord, way, jack, demand.dead_tension, held)
        if before == (step, jack):
            break
        step = min(step, before[0]) if before[1] else step
    request = request_of(strand, count, length, jack, wood, tools, step)
    forces = anchorage.stressing.stressing_forces(request)
    locked, lasting = float(forces.after.sum()), float(forces.long_term.sum())
    if locked > window.greatest.force:
        return Miss(
            f"{name}: at least {units.write_force(locked)} at lock-off (losses, and the wedges must bite), but the chord bears "
            f"{units.write_force(window.greatest.force)} there ({window.greatest.where}). "
            + _with_braces(job, truss, chord, demand, locked, count * limits["after seating"].force), TOO_MUCH, locked - window.greatest.force,
        )  # fmt: skip
    if forces.locked > limits["after seating"].force:
        allowed = units.write_force(limits["after seating"].force)
        return Miss(
            f"{name}: {units.write_force(forces.locked)} in a strand after seating, over {allowed}", NO_FORCE,
        )
    guides = guides_for(job, truss, chord, way, anchor, locked)
    if isinstance(guides, str):
        return Miss(f"{name}: {guides}", NO_GUIDES)
    run = replace(
        _run(truss, chord, strand, count, way, face), locked=locked, lasting=lasting, jacked=count * jack, guides=guides.at,
        guide_bolts=guides.bolts,
    )  # fmt: skip
    solved = job.solve(replace(truss, strands=run))
    assert solved.forces.strands is not None
    names, durations = [c.name for c in solved.forces.combinations], [c.duration for c in solved.forces.combinations]
    plate = plate_for(job, anchorage, chord, way, anchor, pushed_by(solved.forces.strands, names, durations, count * jack_of(forces)))
    if isinstance(plate, str):
        return Miss(f"{name}: {plate}", NO_PLATE)
    needs, fixed = jack_room(plate, anchor, tools.jack_length, tools.stroke), fixed_room(plate, anchor)
    end = stressing_end(truss.heel_room, needs, fixed)
    if not end:
        there = " and ".join(units.write_length(r) for r in truss.heel_room)
        return Miss(
            f"{name}: no room to stress: a jack asks for {units.write_length(needs)} behind the end grain at one heel and the anchors for "
            f"{units.write_length(fixed)} at the other; {there} are there (left and right). What would open it: a hole cored through the wall "
            "in line with the strands, or a bracket inboard with struts to the end plate, which is not offered yet", NO_ROOM,
        )  # fmt: skip
    for place in solved.check([place_name(chord, pair) for pair in panels(chord)]):
        worst = place.worst
        if place.kind == "member" and worst is not None and not at_most(worst.ratio, 1.0):
            return Miss(f"{name} at {units.write_force(locked)}: {place.name} stands at {worst.ratio:.2f} under {worst.combination} ({worst.check})",
                        STILL_FAILS, worst.ratio)  # fmt: skip
    return Candidate(
        strand, count, anchor, way, window, request, forces, guides, plate, run, solved, demand.dead_tension, step, step_checks, end,
    )  # fmt: skip


def _no_window(job: Job, truss: Truss, chord: Member, name: str, window: Window, demand: Demand, most: float) -> str:
    """Both numbers, and what would open the window."""
    write = job.project.units.write_force
    least = f"at least {write(window.least.force)}" if math.isfinite(window.least.force) else f"more than {write(most)}, the most that they may hold,"
    return (
        f"no force fits, {name}: the chord asks for {least} ({window.least.where}), and bears {write(window.greatest.force)} at lock-off under dead "
        f"load ({window.greatest.where}). {_with_braces(job, truss, chord, demand, window.least.force, most)}"
    )


def _with_braces(job: Job, truss: Truss, chord: Member, demand: Demand, asked: float, most: float) -> str:
    """What a brace line between any two brace points would change, and whether that is enough for a force (lb) at lock-off."""
    xs = [0.0, *sorted(chord.braces), truss.span]
    between = tuple(sorted([*chord.braces, *((a + b) / 2 for a, b in itertools.pairwise(xs))]))
    braced = replace(truss, members=tuple(replace(m, braces=between) if m.name == chord.name else m for m in truss.members))
    assert demand.truss.strands is not None
    better = greatest_force(Demand.of(job, braced, demand.truss.strands).at_lock_off, most)
    enough = "enough" if better.force >= asked else "not enough: a stronger piece of chord is asked for"
    return f"A brace line half way between the brace points would raise that to {job.project.units.write_force(better.force)}, which is {enough}"


def _repair(job: Job, anchorage: Anchorage, truss: Truss, site: Site, chord: Member, c: Candidate) -> Repair:
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
    )  # fmt: skip


REMEDY = PostTensionRemedy()
