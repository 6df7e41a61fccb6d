"""Strands that fit: from number and size to height, force, guides, end plate and room, each asked for once the one before is there."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np

from detailgen.analysis.build import panels
from detailgen.assessment.members import grade_of, place_name
from detailgen.core.result import CheckResult
from detailgen.core.tolerance import at_most, rounded, rounded_length
from detailgen.model.added import END_GRAIN, Across, Strands
from detailgen.model.heels import SIDES, heel_forces
from detailgen.model.member import Member
from detailgen.model.project import Truss
from detailgen.remedies.contract import Anchorage, Job, Solved
from detailgen.remedies.posttension import parameters as p
from detailgen.remedies.posttension.bracket import Bracket, bracket_for, ways_to_bracket
from detailgen.remedies.posttension.demand import Demand
from detailgen.remedies.posttension.guides import Guides, guides_for
from detailgen.remedies.posttension.heel import EndPlate, Pushed, fixed_room, jack_room, plate_for, pushed_by, stressing_end
from detailgen.remedies.posttension.run import Way, as_wanted, ends_of, preferred, ways
from detailgen.remedies.posttension.seats import face_of, pushed_off, words_of
from detailgen.remedies.posttension.slots import Cut, cut_of
from detailgen.remedies.posttension.stressing import Wood, jack_of, least_jack, limits_of, one_sided_step, request_of, wanted_jack
from detailgen.remedies.posttension.ties import chord_as_felt, smallest, stiffness
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
    wood: Wood
    bracket: Bracket | None = None
    core: Core | None = None
    cuts: tuple[Cut, ...] = ()

    @property
    def jack(self) -> float:
        return jack_of(self.forces)

    @property
    def plate(self) -> EndPlate:
        """That of an end at which barrels stand on it; the left one where they do so at both."""
        return self.plates[1 if self.way.tight == "left" else 0]

    def plate_at(self, side: str) -> EndPlate:
        return self.plates[SIDES.index(side)]


@dataclass(frozen=True)
class Core:
    """Holes cored into what stands behind a heel, in line with the strands: how deep, how wide (in), how many. ``room``: what they make of it."""

    side: str
    depth: float
    diameter: float
    count: int
    room: float


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


def candidate(
    job: Job, anchorage: Anchorage, truss: Truss, chord: Member, strand: Strand, count: int, anchor: p.Anchor, anchored: str = p.END_PLATES,
) -> Candidate | Miss:  # fmt: skip
    """One number and size of strands, at the height at which the window is widest, or at the next best where they do not go in there.

    anchored: at END_PLATES on both ends, short of one end at a BRACKET, or at end plates behind which the wall is CORED
    """
    name, tools, units = f"{count} strands {p.size_words(strand.size, job.project.units)}", job.project.stressing, job.project.units
    if anchored == p.BRACKET:
        tight = "left" if truss.heel_room[0] <= truss.heel_room[1] else "right"
        thickest = smallest(anchorage, pushed_by(np.zeros(0), (), (), count * limits_of(anchorage, strand)["jacking"].force))
        if isinstance(thickest, str):
            return Miss(f"{name}: {thickest}", NO_PLATE)
        free = ways_to_bracket(truss, chord, count // 2, anchor, tools, thickest[0], units.name, tight)
        lacking = f"no place for a bracket with a jack beside the chord within {units.write_length(p.FARTHEST)} of the {tight} end"
    else:

        def may_cut(across: Across, heights: tuple[float, ...], z: float) -> bool:
            return across.slot and cut_of(anchorage, across, heights, z, anchor, units).passes

        free = ways(truss, chord, count // 2, anchor, p.OFF[units.name], may_cut)
        wanted = as_wanted(truss, free, units)
        if isinstance(wanted, str):
            return Miss(f"{name}: {wanted}", NO_HEIGHT)
        free = wanted
        lacking = f"{count // 2} anchors over one another, {p.APART:g} in. apart, do not stand on a chord this low"
    if not free:
        return Miss(f"{name}: {lacking}", NO_HEIGHT)
    if any(s.on != END_GRAIN for s in truss.seats):
        where = " and ".join(dict.fromkeys(words_of(s) for s in truss.seats if s.on != END_GRAIN))
        if anchored == p.BRACKET:
            return Miss(f"{name}: ties of a bracket bring its force to an end plate on end grain; here strands push on {where}", NO_HEIGHT)
        free = [w for w in free if abs(w.height) < 1e-6]
        if not free:
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
        start = Start((GUESS, GUESS))
        for _ in range(4):
            found = _built(job, anchorage, truss, chord, strand, count, anchor, way, window, demand, start, anchored == p.CORED)
            if isinstance(found, Miss):
                misses.append(found)
                break
            faces = found.plates[0].face, found.plates[1].face
            same = [found.bracket.sizes if found.bracket else (), start.bracket.sizes if start.bracket else ()]
            if max(abs(a - b) for a, b in zip(faces, start.faces, strict=True)) < 1e-9 and same[0] == same[1]:
                return found
            start = Start(faces, found.bracket)
        else:
            misses.append(Miss(f"{name}: thickness of the end plate and force of the strands do not settle", NO_PLATE))
    return min(misses, key=lambda m: m.rank)


@dataclass(frozen=True)
class Start:
    """With what the next round of sizes begins: thickness of steel on the left and the right end grain (in), the bracket."""

    faces: tuple[float, float]
    bracket: Bracket | None = None


def _short(window: Window) -> float:
    return window.least.force - window.greatest.force if math.isfinite(window.least.force) else 1e8 - window.greatest.force


def ends_beyond(truss: Truss, chord: Member, faces: tuple[float, float]) -> tuple[float, float]:
    """How far the outer faces of the steel at the ends stand beyond the work points (in). ``faces``: of the plates, from what they press on."""
    left, right = (end + seat.face + face for end, seat, face in zip(ends_of(truss, chord), truss.seats, faces, strict=True))
    return left, right


def _run(
    truss: Truss, chord: Member, strand: Strand, count: int, way: Way, faces: tuple[float, float], bracket: Bracket | None = None,
) -> Strands:  # fmt: skip
    """``faces``: thickness of the steel on what is pressed on at the left and the right end (in)."""
    whole, free = _lengths(truss, chord, way, faces)
    weight, area = count * strand.weight * free / 12, count * strand.area
    if bracket is not None:
        area = stiffness(area, strand, free, whole, bracket.ties)
        weight += bracket.weight
    return Strands(
        "strands", chord.name, count, area, strand.modulus, way.height, ends_beyond(truss, chord, faces), 0.0, 0.0, weight=weight, seats=truss.seats,
    )  # fmt: skip


def _lengths(truss: Truss, chord: Member, way: Way, faces: tuple[float, float]) -> tuple[float, float]:
    """From outer face to outer face of the steel on both ends, and of strand between its grips (in)."""
    whole = truss.span + sum(ends_beyond(truss, chord, faces))
    return whole, whole - (way.inboard + faces[0 if way.tight == "left" else 1] if way.tight else 0.0)


def _wood(job: Job, chord: Member, tension: float) -> Wood:
    stiff = sum(job.wood.stiffness(grade_of(q.wood), q.thickness, q.depth).E * q.thickness * q.depth for q in chord.plies)
    area = sum(q.thickness * q.depth for q in chord.plies)
    return Wood(stiff / area, area, tension)


def _built(
    job: Job, anchorage: Anchorage, truss: Truss, chord: Member, strand: Strand, count: int, anchor: p.Anchor, way: Way, window: Window,
    demand: Demand, start: Start, cored: bool,
) -> Candidate | Miss:  # fmt: skip
    """Force, guides, bracket and end plates for one way, and the whole truss solved with them."""
    units, name = job.project.units, f"{count} strands {p.size_words(strand.size, job.project.units)}"
    whole, length = _lengths(truss, chord, way, start.faces)
    limits = limits_of(anchorage, strand)
    wood, tools = _wood(job, chord, demand.dead_tension), job.project.stressing
    felt = wood
    if way.tight:
        felt, tools = chord_as_felt(wood, tools, length, whole, start.bracket.ties if start.bracket is not None and count > 2 else None)
    held = max(b - a for a, b in itertools.pairwise([0.0, *sorted(chord.braces), truss.span]))
    step, jack = 0.0, 0.0
    step_checks: tuple[CheckResult, ...] = ()
    for _ in range(3):  # the force decides the steps in which it may be put on, and these decide a little of it
        request = request_of(strand, count, length, 0.0, felt, tools, step)
        forces = (
            wanted_jack(anchorage, request, window.least.force, limits["least at lock-off"].force, tools.force)
            if tools.force
            else least_jack(anchorage, request, window.least.force, limits["least at lock-off"].force, p.STEP[units.name])
        )
        if isinstance(forces, str):
            return Miss(f"{name}: {forces}", NO_FORCE)
        before, jack = (step, jack), jack_of(forces)
        step, step_checks = one_sided_step(job, chord, way, jack, demand.dead_tension, held)
        if before == (step, jack):
            break
        step = min(step, before[0]) if before[1] else step
    request = request_of(strand, count, length, jack, felt, tools, step)
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
    bracket = start.bracket
    if way.tight and bracket is None:  # its place and size decide where guides stand; what the truss adds to its force comes in the next round
        guessed = bracket_for(job, anchorage, chord, way, anchor, pushed_by(np.zeros(0), (), (), count * jack), jack, 0.0)
        if isinstance(guessed, str):
            return Miss(f"{name}: {guessed}", NO_PLATE)
        bracket = guessed
    guides = guides_for(job, truss, chord, way, anchor, locked, bracket.reach(truss, chord) if bracket is not None else None)
    if isinstance(guides, str):
        return Miss(f"{name}: {guides} (strands {units.write_length(way.z)} from the truss's plane, held off by {way.held_off_by})", NO_GUIDES)
    run = replace(
        _run(truss, chord, strand, count, way, start.faces, bracket), locked=locked, lasting=lasting, jacked=count * jack,
        guides=tuple(sorted((*guides.at, *(bracket.columns(truss, chord) if bracket is not None else ())))), guide_bolts=guides.bolts,
    )  # fmt: skip
    solved = job.solve(replace(truss, strands=run))
    assert solved.forces.strands is not None
    names, durations = [c.name for c in solved.forces.combinations], [c.duration for c in solved.forces.combinations]
    pushed = pushed_by(solved.forces.strands, names, durations, count * jack)
    pressed = _end_plates(job, anchorage, truss, chord, way, anchor, pushed, solved)
    if isinstance(pressed, str):
        return Miss(f"{name}: {pressed}", NO_PLATE)
    plates = pressed
    if way.tight:
        k = SIDES.index(way.tight)
        gives = count * jack * (way.inboard + plates[k].face) / (wood.modulus * wood.area)
        sized = bracket_for(job, anchorage, chord, way, anchor, pushed, jack, gives)
        if isinstance(sized, str):
            return Miss(f"{name}: {sized}", NO_PLATE)
        bracket = sized
    found = _ends(job, truss, way, anchor, plates, bracket, cored)
    if isinstance(found, str):
        return Miss(f"{name}: {found}", NO_ROOM)
    end, core = found
    if bracket is not None:
        plates = (bracket.plate, plates[1]) if bracket.left else (plates[0], bracket.plate)
    for place in solved.check([place_name(chord, pair) for pair in panels(chord)]):
        worst = place.worst
        if place.kind == "member" and worst is not None and not at_most(worst.ratio, 1.0):
            return Miss(f"{name} at {units.write_force(locked)}: {place.name} stands at {worst.ratio:.2f} under {worst.combination} ({worst.check})",
                        STILL_FAILS, worst.ratio)  # fmt: skip
    return Candidate(
        strand, count, anchor, way, window, request, forces, guides, plates, run, solved, demand.dead_tension, step, step_checks, end, wood, bracket,
        core, tuple(cut_of(anchorage, a, way.heights, way.z, anchor, units) for a in way.cuts),
    )  # fmt: skip


def _end_plates(
    job: Job, anchorage: Anchorage, truss: Truss, chord: Member, way: Way, anchor: p.Anchor, pushed: Pushed, solved: Solved,
) -> tuple[EndPlate, EndPlate] | str:  # fmt: skip
    """The plate at each heel, on what it presses on there; why one cannot be, with its numbers."""
    ribs, units = any(o.item == p.END_PLATE for o in truss.overrides), job.project.units
    plates: list[EndPlate] = []
    for side, seat in zip(SIDES, truss.seats, strict=True):
        off = pushed_off(seat, heel_forces(truss, solved.forces, side, seat.on), side, units)
        face = off or face_of(job, anchorage, truss, chord, side)
        plate = face if isinstance(face, str) else plate_for(job, anchorage, chord, way, anchor, pushed, face, ribs_wanted=ribs)
        if isinstance(plate, str):
            return plate
        failing = next((r for r in sorted(plate.results, key=lambda r: -rounded(r.ratio)) if not r.passes), None)
        if failing is not None:
            said = failing.missing or f"{failing.ratio:.2f} under {failing.combination}"
            return f"{failing.where}, {failing.check}: {said}"
        plates.append(plate)
    return plates[0], plates[1]


def _ends(
    job: Job, truss: Truss, way: Way, anchor: p.Anchor, plates: tuple[EndPlate, EndPlate], bracket: Bracket | None, cored: bool,
) -> tuple[str, Core | None] | str:  # fmt: skip
    """The heel at which strands are pulled, and what must be cored for it; what stands in the way, with its numbers."""
    tools, units, room = job.project.stressing, job.project.units, truss.heel_room
    both = list(zip(plates, truss.seats, strict=True))
    needs = max(jack_room(q, anchor, tools.jack_length, tools.stroke) + s.face for q, s in both)
    fixed = max(fixed_room(q, anchor) + s.face for q, s in both)
    if bracket is not None:
        mine, other = room if bracket.left else (room[1], room[0])
        if mine < bracket.behind - 1e-6 or other < fixed - 1e-6:
            return (f"a bracket asks for {units.write_length(bracket.behind)} behind the end grain beside it (plate, nuts of the ties) and for "
                    f"{units.write_length(fixed)} behind the other one (anchors); {units.write_length(mine)} and {units.write_length(other)} are "
                    "there")  # fmt: skip
        return way.tight, None
    end = stressing_end(room, needs, fixed)
    if end:
        return end, None
    core = least_core(room, needs, fixed, max(tools.jack_diameter, anchor.barrel) + p.CORE_OVER, 2 * len(way.heights))
    if cored and core is not None:
        return core.side if core.room >= needs - 1e-6 else ("right" if core.side == "left" else "left"), core
    return no_room(job, truss, needs, fixed)


def least_core(room: tuple[float, float], needs: float, fixed: float, diameter: float, count: int) -> Core | None:
    """The shortest core behind one heel that makes room to stress; None where both heels would have to be cored."""
    found = []
    for side, mine, other in (("left", room[0], room[1]), ("right", room[1], room[0])):
        for asked, beside in ((needs, fixed), (fixed, needs)):
            if mine < asked - 1e-6 and other >= beside - 1e-6:
                found.append(Core(side, rounded_length(asked - mine), diameter, count, asked))
    return min(found, key=lambda c: (c.depth, c.side), default=None)


def hopeless(job: Job, truss: Truss, anchor: p.Anchor) -> str:
    """Why no end plate, however thin, leaves room to stress; "" where one may."""
    tools, thin = job.project.stressing, p.LEAST_PLATE + p.PAD[job.project.units.name]
    needs, fixed = thin + anchor.length + tools.jack_length + tools.stroke + p.HAND, thin + anchor.length + p.FIXED_TAIL + p.HAND
    return "" if stressing_end(truss.heel_room, needs, fixed) else no_room(job, truss, needs, fixed)


def no_room(job: Job, truss: Truss, needs: float, fixed: float) -> str:
    units = job.project.units
    there = " and ".join(units.write_length(r) for r in truss.heel_room)
    return (f"no room to stress: a jack asks for at least {units.write_length(needs)} behind the end grain at one heel and the anchors for "
            f"{units.write_length(fixed)} at the other; {there} are there (left and right)")  # fmt: skip


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
    return (
        f"A brace line half way between the brace points would raise that to {job.project.units.write_force(better.force)}, which is {enough}. The "
        "remedy 'brace' draws such lines for chords that are pressed in service; for lock-off alone state the braces in the survey"
    )
