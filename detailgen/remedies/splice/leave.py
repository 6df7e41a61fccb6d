"""Room that a splice leaves for what runs along the chord's faces: which layouts leave it, what is told of it, what is drawn.

Plates lie along the run, so that no slot in one would let a strand through: what stands in its way are nuts, washers, and plates that come nearer
to it than it may be. Rows stand over and under the run, or each row has a plate of its own and the strands pass between them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from detailgen.core.clause import Cite
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult, State
from detailgen.core.tolerance import at_most, rounded, rounded_length
from detailgen.core.units import UnitSystem
from detailgen.model.detail import Why, Zone
from detailgen.model.imposed import Imposed
from detailgen.model.member import Member
from detailgen.remedies import usual
from detailgen.remedies.contract import Job, Site
from detailgen.remedies.splice.assembly import DRAWN_BEYOND, stands_off
from detailgen.remedies.splice.candidates import Candidate, words
from detailgen.remedies.splice.chosen import Chosen
from detailgen.remedies.splice.search import Answer, Layouts, Question, nearest_miss, violation
from detailgen.standards.interface import Floats

Answers = Sequence[tuple[Question, Answer]]
OURS = Cite("house rule", "room for strands along a chord")
BOLTS, PLATES = "rows clear of what runs along the chord", "plates clear of what runs along the chord"


@dataclass(frozen=True)
class Room:
    """What one layout, or each of many, leaves from the middle of a run to its rows and to the edges of its plates (in); 0 is needed where nothing
    of it comes near."""

    rows_need: Floats
    rows: Floats
    plates_need: Floats
    plates: Floats


def room_left(question: Question, layouts: Layouts, way: Imposed, site: Site, member: Member, heads: str) -> Room:
    """``heads``: the side on which the bolts' heads stand."""
    outer = max(member.plies, key=lambda q: q.z), min(member.plies, key=lambda q: q.z)
    face = max(abs(q.z) + q.thickness / 2 for q in member.plies)
    plated = question.arrangement.plates_per_ply > 0 and any(q.name in site.plies for q in outer)
    steel = face + (layouts.plate_thickness if plated else np.zeros(layouts.rows.shape))
    numbers = np.arange(int(layouts.rows.max(initial=1)))[None, :]
    rows = np.where(numbers < layouts.rows[:, None], (numbers - (layouts.rows[:, None] - 1) / 2) * layouts.gauge[:, None], np.inf)
    middles = rows if question.plates_per_face > 1 else np.zeros((len(layouts.rows), 1))

    def nearest(to: Floats) -> Floats:
        off = np.abs(to[:, :, None] - np.array(way.heights)[None, None, :])
        return np.asarray(off.min(axis=(1, 2)))

    nuts = np.round(_tips(question, layouts, site, member, heads) - way.inner, 6) > 0
    plates = np.round(steel - way.inner, 6) > 0 if plated else np.zeros(layouts.rows.shape, dtype=bool)
    return Room(
        np.where(nuts, way.half + usual.WASHER * layouts.diameter, 0.0), nearest(rows),
        np.where(plates, way.half, 0.0), np.maximum(nearest(middles) - layouts.plate_width / 2, 0.0),
    )  # fmt: skip


def _tips(question: Question, layouts: Layouts, site: Site, member: Member, heads: str) -> Floats:
    """How far off the truss's plane the bolts of each layout end, as they are stocked (in)."""
    both = np.stack([layouts.diameter, layouts.plate_thickness])
    _, first, which = np.unique(both, axis=1, return_index=True, return_inverse=True)
    found = []
    for k in first:
        try:
            found.append(stands_off(Chosen(question, layouts.take(int(k)), site, member, heads)))
        except NotCovered:
            found.append(math.inf)  # for which no bolt is long enough: it is no candidate either
    return np.array(found)[which.ravel()]


def leaving(question: Question, answer: Answer, way: Imposed, site: Site, member: Member, heads: str) -> Answer:
    """The answer with two rules more."""
    if not len(answer.layouts.diameter):
        return answer
    room = room_left(question, answer.layouts, way, site, member, heads)
    more = {BOLTS: violation(room.rows_need, room.rows), PLATES: violation(room.plates_need, room.plates)}
    free = np.all(np.stack([v <= 0 for v in more.values()]), axis=0)
    return Answer(answer.layouts, answer.ratio, answer.feasible & free, lambda: {**answer.violations, **more})


def why_none(answers: Answers, site: Site, job: Job) -> str:
    """What the nearest layout that would leave the room misses."""
    misses = [(nearest_miss(q, a), q, a) for q, a in answers if len(a.layouts.diameter)]
    if not misses:
        return "no stocked plate is narrow enough for this chord"
    (index, rule, short), question, answer = min(misses, key=lambda m: m[0][2])
    near = Chosen(question, answer.layouts.take(index), site, Member("", "", (), ()))
    return f"its nearest layout, {words(near, job)}, misses {rule} by {100 * short:.0f} % of what is required"


def make_room(
    site: Site, member: Member, heads: str, alone: Answers, every: Answers, held: Callable[[Answers], tuple[Sequence[Candidate], tuple[str, str]]],
    job: Job,
) -> tuple[Imposed | None, list[tuple[Question, Answer]], tuple[tuple[Imposed, str], ...]]:  # fmt: skip
    """The latest of what is asked that can be left clear, with the answers that leave it so, or with all answers; what cannot be, and why.

    alone: answers that would do if nothing were asked; every: with those that are more to fit, for what is firm
    held: layouts for which there are bolts
    """
    taken, left, declined = None, list(alone), []
    for way in site.asked:
        clear = [(q, leaving(q, a, way, site, member, heads)) for q, a in (every if way.firm else alone)]
        if held(clear)[0]:
            taken, left = way, clear
        else:
            declined.append((way, why_none(clear, site, job)))
    return taken, left, tuple(declined)


@dataclass(frozen=True)
class Left:
    """What is drawn and told where a splice stands clear."""

    zones: tuple[Zone, ...] = ()
    notes: tuple[str, ...] = ()
    whys: tuple[Why, ...] = ()
    results: tuple[CheckResult, ...] = ()


def told(chosen: Chosen, way: Imposed, units: UnitSystem) -> Left:
    room = room_left(chosen.question, chosen.layout, way, chosen.site, chosen.member, chosen.heads)
    write, where = units.write_length, f"splice {chosen.site.key}"
    levels = " and ".join(f"{write(abs(h))} {'over' if h > 0 else 'under'} the chord's axis" if h else "on the chord's axis" for h in way.heights)
    passes = f"{way.what} pass on both faces, {levels}, their middle {write(way.z)} from the truss's plane (asked by {way.by})"
    rows_need, plates_need = float(room.rows_need[0]), float(room.plates_need[0])
    zones, whys, results = [], [], []
    for need, left, what, rule in (
        (rows_need, float(room.rows[0]), "row of bolts to the strands' middle", "half a washer, clear of the sheath"),
        (plates_need, float(room.plates[0]), "plate's edge to the strands' middle", "clear of the sheath"),
    ):
        if need > 0:
            whys.append(Why(what, rule, need, left, OURS))
            ratio = rounded(need / left) if left > 0 else math.inf
            state = State.PASSES if at_most(ratio, 1.0) else State.DOES_NOT_PASS
            results.append(CheckResult(where, what, rounded(need), rounded(left), "in", ratio, state, "as built", way.what, math.nan, OURS))
    if rows_need > 0:
        zones = [Zone(0.0, h, chosen.length + 2 * DRAWN_BEYOND, rounded_length(2 * rows_need), f"{way.what}, asked by {way.by}") for h in way.heights]
        keeps = f"no bolt within {write(rows_need)} of their middle, nor any other head, nut or washer in their way"
        keeps += f"; the plates leave {write(2 * float(room.plates[0]))} open between them" if plates_need > 0 else ""
    else:
        keeps = "nuts and plates end short of them"
    return Left(tuple(zones), (f"{passes[0].upper()}{passes[1:]}: {keeps}.",), tuple(whys), tuple(results))
