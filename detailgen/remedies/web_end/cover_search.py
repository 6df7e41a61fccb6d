"""The least covers that pass, by way and diameter of bolt: bolts C, B and A are found one after the other, as each is asked for a step of its own."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from detailgen.assessment.connections import SURVEY, check_connection
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult, cannot_be_checked, governs
from detailgen.core.tolerance import up_to_grid
from detailgen.model.assessment import Floats, Place
from detailgen.model.member import Wood
from detailgen.model.project import Truss
from detailgen.remedies import usual
from detailgen.remedies.contract import Job, Solved
from detailgen.remedies.web_end import cover as c
from detailgen.remedies.web_end import parameters as p
from detailgen.remedies.web_end.cover import Asking, Cover, Pattern
from detailgen.remedies.web_end.judge import weakened, with_connection
from detailgen.remedies.web_end.seat import Seat, in_the_way
from detailgen.remedies.web_end.site import End
from detailgen.standards.anchorage import Bracket, PartLoad, SteelPartStandard
from detailgen.standards.interface import ALLOWABLE_STRESS, by_method
from detailgen.stock.plates import shop_grid, steel_unit_weight


@dataclass(frozen=True)
class Covered:
    """Covers with the checks of the web's end, of all that is new, and of the timbers that their holes weaken."""

    cover: Cover
    wood: Wood
    place: Place
    own: tuple[CheckResult, ...]
    weakened: tuple[CheckResult, ...]

    @property
    def rows(self) -> tuple[CheckResult, ...]:
        return (*self.place.results, *self.own, *self.weakened)

    @property
    def worst(self) -> CheckResult:
        return governs(self.rows)

    @property
    def passes(self) -> bool:
        return all(r.passes for r in self.rows)


@dataclass(frozen=True)
class Nearest:
    """Why a way does not lead: in words, and the clause behind it."""

    why: str
    miss: float = math.inf  # what fails, over 1; 1 where all would pass but for its place


def fewest(trials: Sequence[Cover], judged: Callable[[Cover], Sequence[CheckResult]]) -> tuple[Cover, CheckResult | None]:
    """The first of the trials that passes; else the nearest, with what it fails by."""
    missed: list[tuple[float, int, Cover, CheckResult]] = []
    for n, one in enumerate(trials):
        rows = judged(one)
        bad = governs(rows)
        if all(r.passes for r in rows):
            return one, None
        missed.append((round(bad.ratio, 6) if math.isfinite(bad.ratio) else math.inf, n, one, bad))
    _, _, one, bad = min(missed, key=lambda m: m[:2])
    return one, bad


def patterns(rows: Sequence[int], per_row: Sequence[int], spacings: Sequence[float], gauges: Sequence[float]) -> list[Pattern]:
    found = [
        Pattern(r, n, s if n > 1 else 0.0, g, 0.0)
        for r, n, s in itertools.product(rows, per_row, spacings) for g in (gauges if r > 1 else (0.0,))
    ]  # fmt: skip
    return sorted(dict.fromkeys(found), key=lambda q: (q.rows * q.per_row, q.rows, -q.spacing, -q.gauge))


def _start(seat: Seat, way: str, D: float, web: tuple[float, float], beyond: float, system: str) -> tuple[Cover, list[Pattern], list[Pattern]] | str:
    """A first cover, with the patterns on the web and those on the chord; or why there is none."""
    grid = shop_grid(system).holes
    s = [up_to_grid(x * D, grid) for x in p.SPACINGS]
    widest = min(web[0] - 2 * p.COVER_EDGE * D, p.GREATEST_ROWS)
    inner = float(math.floor(widest / (2 * float(grid))) * 2 * grid)
    half = float(math.floor(web[0] / 4 / float(grid)) * 2 * grid)  # wider, and the edges would ask for more than is left (NDS 2018 table 12.5.1C)
    gauges = sorted({g for g in (half, *(up_to_grid(x * D, 2 * grid) for x in p.GAUGES)) if p.GAUGES[0] * D <= g <= min(inner, half)})
    on_web = patterns(p.COVER_ROWS if gauges else p.COVER_ROWS[:1], p.COVER_PER_ROW, (up_to_grid(p.COVER_SPACING * D, grid),), gauges)
    if seat.tail:
        beside = 2 * up_to_grid(web[0] / 2 + p.FLUSH + p.COVER_EDGE * D, grid)
        if p.COVERS[way] != "steel" and beside > p.GREATEST_ROWS:
            return (
                f"the web's tail stands in the chord, so that bolts could stand only {beside:.3g} in. apart across the grain of a timber, which "
                f"shrinks between them: {p.GREATEST_ROWS:g} in. at most"
            )
        on_chord = patterns((2,), p.CHORD_PER_ROW, s, (beside,))
    else:
        on_chord = patterns(p.CHORD_ROWS if gauges else p.CHORD_ROWS[:1], p.CHORD_PER_ROW, s, gauges)
    on_chord = [q.at(-(q.per_row - 1) * q.spacing / 2) for q in on_chord if (q.per_row - 1) * q.spacing <= p.GREATEST_ROWS]
    if not on_web or not on_chord:
        return "the web is too narrow for its bolts"
    first = Cover(way, system, seat, D, 0.0, web, beyond, on_web[0] if seat.recess else None, on_web[0], on_chord[0])
    return first, on_web, on_chord


def found(
    job: Job, truss: Truss, solved: Solved, end: End, seat: Seat, way: str, axial: Floats, wished: Sequence[float], least: Mapping[str, float],
    *, hangs: bool,
) -> Iterator[Covered | Nearest]:  # fmt: skip
    """The least cover of every diameter and thickness that passes, or by what it misses.

    hangs: shear of the chord beside the bolts must pass too, though it failed before
    """
    ply, system = end.web.plies[0], job.project.units.name
    wood = c.pad_wood(ply.wood, job.wood.known_woods().get(f"sawn: {ply.wood.species}", ()))
    ask = c.asking(truss, solved, end, axial)
    for D in (d for d in wished if d >= least.get("diameter", 0.0) - 1e-6):
        begun = _start(seat, way, D, (ply.depth, ply.thickness), end.connection.end, system)
        if isinstance(begun, str):
            yield Nearest(begun)
            continue
        for t in p.GUSSETS[system] if p.COVERS[way] == "steel" else p.TIMBERS:
            try:
                one = _one(job, truss, solved, end, ask, wood, replace(begun[0], thickness=t), begun[1], begun[2], hangs=hangs)
            except NotCovered as error:
                one = Nearest(f"{error.what} is not covered")
            yield one
            if isinstance(one, Covered) and one.passes:
                break  # a thicker one holds too


def _one(
    job: Job, truss: Truss, solved: Solved, end: End, ask: Asking, wood: Wood, first: Cover, on_web: Sequence[Pattern], on_chord: Sequence[Pattern],
    *, hangs: bool,
) -> Covered | Nearest:  # fmt: skip
    """Raises: NotCovered."""

    def on_the_chord(one: Cover) -> Sequence[CheckResult]:
        parts = c.chord_parts(one, truss, solved.model, end)
        if len(parts) != len(one.seat.chord.plies):
            raise NotCovered(f"bolts C beside the plies of the {one.seat.chord.name}")
        rows = job.wood.connection_checks(c.covers_to_chord(ask, one, truss, parts, wood))
        if not hangs or not all(r.passes for r in rows):
            return rows
        made = c.connection_of(one, truss, end, wood)
        return (*rows, *weakened(job, truss, with_connection(truss, made), solved, made, {one.seat.chord.name}, hangs=True))

    def at_the_web(one: Cover) -> Sequence[CheckResult]:
        return _at_the_web(job, truss, end, ask, one, wood)

    room = p.END * first.diameter
    cover, missed = fewest([replace(first, C=q) for q in on_chord], on_the_chord)
    if missed is None and cover.steel:  # a thin plate stands off between bolts that are far apart
        stands_off = [r for r in job.steel.plate_checks(next(x for x in c.gusset_requests(ask, cover) if "chord" in x.where)) if r.unit == "in"]
        missed = governs(stands_off) if not all(r.passes for r in stands_off) else None
    if missed is None:
        trials = [c.up_the_web(replace(cover, B=q), room) for q in on_web]
        cover, missed = fewest(trials, at_the_web)
    if missed is None and cover.A is not None:
        trials = [c.up_the_web(replace(cover, A=q), room) for q in on_web]
        cover, missed = fewest(trials, lambda x: job.wood.connection_checks(c.pads_to_web(ask, x, truss, end, wood)))
    if missed is not None:
        stands = f"stands at {over_one(missed.ratio)} ({missed.check})" if missed.ratio == missed.ratio else f"cannot be checked ({missed.missing})"
        return Nearest(
            f"the nearest, {words(c.up_the_web(cover, room), job)}: {missed.where.split(',')[0]} {stands}",
            missed.ratio if math.isfinite(missed.ratio) else math.inf,
        )
    ends = cover.pad[1] if cover.A is not None else cover.stop
    if ends > cover.seat.length:
        write = job.project.units.write_made
        return Nearest(f"{words(cover, job)} would reach {write(ends)} up the web, where {write(max(cover.seat.length, 0.0))} is free", 1.0)
    stands = _blocked_by(cover, end)
    if stands:
        return Nearest(f"{words(cover, job)} would lie where {stands} stands", 1.0)
    return judged(job, truss, solved, end, ask, cover, wood, hangs=hangs)


def judged(job: Job, truss: Truss, solved: Solved, end: End, ask: Asking, cover: Cover, wood: Wood, *, hangs: bool = False) -> Covered:
    connection = c.connection_of(cover, truss, end, wood, weight_of(cover, truss))
    changed = with_connection(truss, connection)
    place = check_connection(changed, solved.model, connection, solved.forces, job.wood, damaged=True)
    parts = c.chord_parts(cover, truss, solved.model, end)
    own = [*job.wood.connection_checks(c.covers_to_chord(ask, cover, truss, parts, wood))]
    if cover.A is not None:
        own += _at_the_web(job, truss, end, ask, cover, wood)
        own += couple(job, ask, cover)
    if cover.steel:
        for request in c.gusset_requests(ask, cover):
            own += job.steel.plate_checks(request)
    fails = weakened(job, truss, changed, solved, connection, {end.web.name, cover.seat.chord.name}, hangs=hangs)
    return Covered(cover, wood, place, tuple(own), fails)


def _at_the_web(job: Job, truss: Truss, end: End, ask: Asking, cover: Cover, wood: Wood) -> list[CheckResult]:
    found = [*job.wood.connection_checks(c.covers_to_web(ask, cover, truss, end, wood))]
    if cover.A is not None:
        found += job.wood.connection_checks(c.web_at_covers(ask, cover, truss, end, wood))
    return found


def couple(job: Job, ask: Asking, cover: Cover) -> list[CheckResult]:
    """A pad is pushed at one face and held at the other: its bolts keep it from turning, as those of a bracket. By allowable stress whatever the
    method, as the standard for such parts has no other: on the safe side under factored loads."""
    steel = by_method(job.steel, ALLOWABLE_STRESS)
    where = f"pads, held against turning, {ask.where}"
    if not isinstance(steel, SteelPartStandard) or cover.A is None:
        missing = "a standard for brackets"
        return [cannot_be_checked(where, "bolts of the pads in tension", missing, SURVEY)]
    standing = cover.way == p.BLOCKS  # on the chord by the middle of its end, not held by a cover on its face
    rows = [x for pattern in ((cover.A,) if standing else (cover.A, cover.B)) for x, _ in pattern.places]
    arm = cover.seat.recess / 2 if standing else cover.seat.recess + cover.thickness / 2
    lines = tuple(sorted(set(rows)))
    bracket = Bracket(p.BRACKET_BOLT, cover.diameter, arm, lines, min(rows.count(x) for x in lines))
    return list(steel.bracket_checks(bracket, PartLoad(where, ask.axial / 2, ask.combinations)))


def weight_of(cover: Cover, truss: Truss) -> float:
    """Of both covers, pads and bolts (lb)."""
    weight = 0.0
    if cover.way != p.BLOCKS:
        size = cover.thickness * cover.width * (cover.stop - cover.start)
        weight = 2 * size * (steel_unit_weight() if cover.steel else usual.WOOD_WEIGHT)
    if cover.A is not None:
        weight += 2 * cover.seat.recess * cover.web[0] * (cover.pad[1] - cover.pad[0]) * usual.WOOD_WEIGHT
    return weight + sum(len(places) * c.ordered(cover, truss, group).weight for group, places in cover.bolts)


def _blocked_by(cover: Cover, end: End) -> str:
    half, seat = cover.width / 2, cover.seat
    plate = outline(cover.start, cover.stop, half)
    boxes = [(plate, seat.high, seat.high + cover.thickness), (plate, seat.low - cover.thickness, seat.low)]
    if cover.A is not None:
        pad = outline(*cover.pad, cover.web[0] / 2)
        boxes += [(pad, seat.high - seat.recess, seat.high), (pad, seat.low, seat.low + seat.recess)]
    return in_the_way(end, seat, boxes, plate)


def outline(x1: float, x2: float, half: float) -> Floats:
    return np.array([(x1, -half), (x2, -half), (x2, half), (x1, half)])


def over_one(ratio: float) -> str:
    """A ratio in words that never tells what fails as 1.00."""
    return f"{ratio:.3f}" if 1.0 < ratio < 1.005 else f"{ratio:.2f}"


def words(cover: Cover, job: Job) -> str:
    """A cover for people."""
    write = job.project.units.write_made
    sizes = " x ".join(write(v) for v in (cover.thickness, cover.width, cover.stop - cover.start))
    names = {"A": "pads to web", "B": "covers to pads" if cover.A is not None else "covers to web", "C": "covers to chord"}
    counts = ", ".join(f"{len(places)} {names[key]}" for key, places in cover.bolts)
    made = "2 steel gussets" if cover.steel else "2 timbers past the web's end,"
    pads = f", pads {' x '.join(write(v) for v in (cover.seat.recess, cover.web[0], cover.pad[1] - cover.pad[0]))}" if cover.A is not None else ""
    return f"{made} {sizes}{pads}; bolts {write(cover.diameter)}: {counts}"
