"""Strands that fit: from number and size to height, force, guides, end plate and room, each asked for once the one before is there."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from detailgen.analysis.build import panels
from detailgen.assessment.members import grade_of, place_name
from detailgen.core.result import CheckResult
from detailgen.core.tolerance import at_most, rounded
from detailgen.model.heels import SIDES, heel_forces
from detailgen.model.project import END_GRAIN, Member, Strands, Truss
from detailgen.remedies.contract import Anchorage, Job, Solved
from detailgen.remedies.posttension import parameters as p
from detailgen.remedies.posttension.demand import Demand
from detailgen.remedies.posttension.guides import Guides, guides_for
from detailgen.remedies.posttension.heel import EndPlate, fixed_room, jack_room, plate_for, pushed_by, stressing_end
from detailgen.remedies.posttension.run import Way, ends_of, preferred, ways
from detailgen.remedies.posttension.seats import face_of, pushed_off, words_of
from detailgen.remedies.posttension.stressing import Wood, jack_of, least_jack, limits_of, one_sided_step, request_of
from detailgen.remedies.posttension.window import Window, greatest_force, least_force
from detailgen.standards.anchorage import Strand, StressingForces, StressingRequest

GUESS = 1.375
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
    plates: tuple[EndPlate, EndPlate]  # left, right
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


def sizes_to_try(job: Job, anchorage: Anchorage, least: Mapping[str, float]) -> Iterator[tuple[Strand, int, p.Anchor]]:
    """Pairs of each size, the fewest strands first."""
    wanted = job.project.stressing.sizes or tuple(p.ANCHORS)
    for pairs, size in itertools.product(range(1, p.MOST_PAIRS + 1), wanted):
        strand = anchorage.strand.strand(size)
        if 2 * pairs >= least.get("strands", 0.0) - 1e-6 and strand.diameter >= least.get("diameter", 0.0) - 1e-6:
            yield strand, 2 * pairs, p.ANCHORS[size]


def candidate(job: Job, anchorage: Anchorage, truss: Truss, chord: Member, strand: Strand, count: int, anchor: p.Anchor) -> Candidate | Miss:
    """One number and size of strands, at the height at which the window is widest, or at the next best where they do not go in there."""
    free = ways(truss, chord, count // 2, anchor, p.OFF[job.project.units.name])
    name = f"{count} strands {strand.size}"
    if not free:
        return Miss(f"{name}: {count // 2} anchors over one another, {p.APART:g} in. apart, do not stand on a chord this low", NO_HEIGHT)
    if any(s.on != END_GRAIN for s in truss.seats):
        free = [w for w in free if abs(w.height) < 1e-6]
        if not free:
            where = " and ".join(dict.fromkeys(words_of(s) for s in truss.seats if s.on != END_GRAIN))
            return Miss(f"{name}: strands that push on {where} must have their middle on the chord's axis, or they would turn the heel's bolts; "
                        "they find no way there", NO_HEIGHT)  # fmt: skip
    most = count * limits_of(anchorage, strand)["after seating"].force
    tried = []
    for way in preferred(free):
        run = _run(truss, chord, strand, count, way, (GUESS, GUESS))
        demand = Demand.of(job, truss, run)
        greatest = greatest_force(demand.at_lock_off, most)
        tried.append((Window(least_force(demand.pulled, most), greatest), way, demand))
    tried.sort(key=lambda t: (rounded(_short(t[0])), abs(t[1].height), t[1].height))
    window, way, demand = tried[0]
    if not window.open:
        return Miss(_no_window(job, truss, chord, name, window, demand, most), NO_WINDOW, _short(window))
    misses: list[Miss] = []
    for window, way, demand in (t for t in tried if t[0].open):
        faces = GUESS, GUESS
        for _ in range(3):
            found = _built(job, anchorage, truss, chord, strand, count, anchor, way, window, demand, faces)
            if isinstance(found, Miss):
                misses.append(found)
                break
            built = found.plates[0].face, found.plates[1].face
            if all(abs(a - b) < 1e-9 for a, b in zip(built, faces, strict=True)):
                return found
            faces = built
        else:
            misses.append(Miss(f"{name}: thickness of the end plate and force of the strands do not settle", NO_PLATE))
    return min(misses, key=lambda m: m.rank)


def _short(window: Window) -> float:
    return window.least.force - window.greatest.force if math.isfinite(window.least.force) else 1e8 - window.greatest.force


def anchors_of(truss: Truss, chord: Member, faces: tuple[float, float]) -> tuple[float, float]:
    """How far the faces under the anchors stand beyond the heels' work points (in). ``faces``: of the plates, from what they press on."""
    left, right = (end + seat.face + face for end, seat, face in zip(ends_of(truss, chord), truss.seats, faces, strict=True))
    return left, right


def _run(truss: Truss, chord: Member, strand: Strand, count: int, way: Way, faces: tuple[float, float]) -> Strands:
    overrun = anchors_of(truss, chord, faces)
    weight = count * strand.weight * (truss.span + sum(overrun)) / 12
    return Strands(
        "strands", chord.name, count, count * strand.area, strand.modulus, way.height, overrun, 0.0, 0.0, weight=weight, seats=truss.seats,
    )  # fmt: skip


def _wood(job: Job, chord: Member, tension: float) -> Wood:
    stiff = sum(job.wood.stiffness(grade_of(q.wood), q.thickness, q.depth).E * q.thickness * q.depth for q in chord.plies)
    area = sum(q.thickness * q.depth for q in chord.plies)
    return Wood(stiff / area, area, tension)


def _built(
    job: Job, anchorage: Anchorage, truss: Truss, chord: Member, strand: Strand, count: int, anchor: p.Anchor, way: Way, window: Window,
    demand: Demand, faces: tuple[float, float],
) -> Candidate | Miss:  # fmt: skip
    """Force, guides and end plate for one way, and the whole truss solved with them."""
    units, tools, name = job.project.units, job.project.stressing, f"{count} strands {strand.size}"
    length = truss.span + sum(anchors_of(truss, chord, faces))
    limits = limits_of(anchorage, strand)
    wood = _wood(job, chord, demand.dead_tension)
    held = max(b - a for a, b in itertools.pairwise([0.0, *sorted(chord.braces), truss.span]))
    step, jack = 0.0, 0.0
    step_checks: tuple[CheckResult, ...] = ()
    for _ in range(3):  # the force decides the steps in which it may be put on, and these decide a little of it
        request = request_of(strand, count, length, 0.0, wood, tools, step)
        forces = least_jack(anchorage, request, window.least.force, limits["least at lock-off"].force, p.STEP[units.name])
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
            f"{name}: {units.write_force(forces.locked)} in a strand after seating, over {allowed}",
            NO_FORCE,
        )
    guides = guides_for(job, truss, chord, way, anchor, locked)
    if isinstance(guides, str):
        return Miss(f"{name}: {guides}", NO_GUIDES)
    run = replace(
        _run(truss, chord, strand, count, way, faces), locked=locked, lasting=lasting, jacked=count * jack, guides=guides.at,
        guide_bolts=guides.bolts,
    )  # fmt: skip
    solved = job.solve(replace(truss, strands=run))
    assert solved.forces.strands is not None
    names, durations = [c.name for c in solved.forces.combinations], [c.duration for c in solved.forces.combinations]
    pushed = pushed_by(solved.forces.strands, names, durations, count * jack_of(forces))
    plates: list[EndPlate] = []
    ribs = any(o.item == p.END_PLATE for o in truss.overrides)
    for side, seat in zip(SIDES, truss.seats, strict=True):
        off = pushed_off(seat, heel_forces(truss, solved.forces, side, seat.on), side, units)
        if off:
            return Miss(f"{name}: {off}", NO_PLATE)
        face = face_of(job, anchorage, truss, chord, side)
        plate = face if isinstance(face, str) else plate_for(job, anchorage, chord, way, anchor, pushed, face, ribs_wanted=ribs)
        if isinstance(plate, str):
            return Miss(f"{name}: {plate}", NO_PLATE)
        failing = next((r for r in sorted(plate.results, key=lambda r: -r.ratio) if not r.passes), None)
        if failing is not None:
            said = failing.missing or f"{failing.ratio:.2f} under {failing.combination}"
            return Miss(f"{name}: {failing.where}, {failing.check}: {said}", NO_PLATE)
        plates.append(plate)
    needs = max(jack_room(q, anchor, tools.jack_length, tools.stroke) + s.face for q, s in zip(plates, truss.seats, strict=True))
    fixed = max(fixed_room(q, anchor) + s.face for q, s in zip(plates, truss.seats, strict=True))
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
        strand, count, anchor, way, window, request, forces, guides, (plates[0], plates[1]), run, solved, demand.dead_tension, step, step_checks, end,
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
