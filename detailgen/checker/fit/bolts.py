"""Does each bolt go in, reach, seat and tighten?"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from detailgen.checker.fit.bodies import Body, Round, distance_to, round_overlap
from detailgen.checker.fit.found import fit_result, none_needed
from detailgen.core.result import CheckResult
from detailgen.core.units import US, UnitSystem
from detailgen.model.detail import MARKED_OUT, PUT_BACK, Bolt, Detail, Part
from detailgen.stock.bolts import CUT, length_needed, thread_length, wrench_room
from detailgen.stock.bolts import bolt_size as stocked_size
from detailgen.stock.bolts import washer as stocked_washer

OPEN = 1 / 32
"""A bolt may cross an open gap no wider than this (in; ours): a filler is fitted tight."""


HAND = 4.0
"""Room for a hand at the end of a part, bolt or drill (in; common practice, no published source)."""
DRILL, DRILL_RADIUS, STAND_OFF = 14.0, 1.5, 2.0
"""Length of a drill without its bit, from its axis to its side, and how near it comes to the face, its bit longer than the hole (in; common practice,
no published source)."""


@dataclass(frozen=True)
class Rig:
    """A detail with its bodies and the names of its parts."""

    detail: Detail
    bodies: dict[str, Body]
    names: dict[str, str]
    units: UnitSystem = US

    def size(self, *inches: float) -> str:
        """Lengths in words, in the project's unit: 12 x 30 in."""
        values = " x ".join(f"{v * self.units.length:.4g}" for v in inches)
        return f"{values} {self.units.length_unit}"

    def place(self, x: float, y: float) -> str:
        """A place in the detail's axes, in words."""
        u = self.units.length
        return f"({x * u:.4g}, {y * u:.4g}) {self.units.length_unit}"

    def beside(self, bolt: Bolt) -> list[tuple[Part, Body]]:
        """Parts in whose plan a bolt stands, far to near."""
        found = [(p, self.bodies[p.key]) for p in self.detail.parts if distance_to(self.bodies[p.key], bolt.x, bolt.y) < 0]
        return sorted(found, key=lambda pair: pair[1].low)

    def bolt_name(self, bolt: Bolt) -> str:
        return f"bolt {bolt.group} at {self.place(bolt.x, bolt.y)}"


def washer_of(bolt: Bolt) -> tuple[float, float]:
    """Outside diameter and thickness of the washers that are bought with a bolt (in)."""
    found = stocked_washer(CUT, bolt.diameter)
    assert found is not None
    return found.size, found.thickness


def cylinders(bolt: Bolt, name: str) -> list[Round]:
    """What a bolt takes up beyond its grip: washers, head, nut and the end that stands out; corners of head and nut at their greatest size."""
    size, (wide, thick) = stocked_size(bolt.diameter), washer_of(bolt)
    at_head, at_nut = bolt.washers // 2, bolt.washers - bolt.washers // 2
    if bolt.head == "far":  # the same, seen from the other side
        middle = bolt.low + bolt.high
        return [replace(r, low=middle - r.high, high=middle - r.low) for r in cylinders(replace(bolt, head="near"), name)]
    head, nut = bolt.high + at_head * thick, bolt.low - at_nut * thick
    corner = 1 / math.sqrt(3)
    found = [Round(f"washer of {name}", bolt.x, bolt.y, wide / 2, bolt.high, head)] if at_head else []
    found += [Round(f"washer of {name}", bolt.x, bolt.y, wide / 2, nut, bolt.low)] if at_nut else []
    return [
        *found, Round(f"head of {name}", bolt.x, bolt.y, size.head_width * corner, head, head + size.head_height),
        Round(f"nut of {name}", bolt.x, bolt.y, size.nut_width * corner, nut - size.nut_height, nut),
        Round(f"end of {name}", bolt.x, bolt.y, bolt.diameter / 2, head - bolt.length, nut),
    ]  # fmt: skip


def hole_results(rig: Rig) -> Iterator[CheckResult]:
    """Each bolt through a hole of every part in its way, with room on all sides; each hole with its bolt."""
    for part in rig.detail.parts:
        body = rig.bodies[part.key]
        through = [b for b in rig.detail.bolts if distance_to(body, b.x, b.y) < b.diameter / 2 and body.low < b.high and body.high > b.low]
        rooms = [(_room(part, b), b) for b in through]
        where = f"{rig.detail.key}, {rig.names[part.key]}"
        if rooms:
            room, bolt = min(rooms, key=lambda pair: (round(pair[0], 6), pair[1].x, pair[1].y))
            check = f"a hole with room for each of {len(rooms)} bolts" if room > -bolt.diameter / 2 else f"no hole for {rig.bolt_name(bolt)}"
            yield fit_result(where, check, 0.0, room)
        if not part.existing:
            own = [h for h in part.holes if h.bolt != PUT_BACK]
            empty = [h for h in own if not any(math.dist(_at(part, h.x, h.y), (b.x, b.y)) < h.diameter / 2 for b in through)]
            if empty:
                yield fit_result(where, f"no bolt in the hole at {rig.place(empty[0].x, empty[0].y)} of the part", 0.0, -empty[0].diameter)


def _at(part: Part, x: float, y: float) -> tuple[float, float]:
    c, s = math.cos(part.placement.angle), math.sin(part.placement.angle)
    return part.placement.x + c * x - s * y, part.placement.y + s * x + c * y


def _room(part: Part, bolt: Bolt) -> float:
    """Least distance between a bolt and the side of its hole; minus the bolt's radius where there is no hole."""
    rooms = [h.diameter / 2 - bolt.diameter / 2 - math.dist(_at(part, h.x, h.y), (bolt.x, bolt.y)) for h in part.holes]
    for slot in part.slots:
        x, y = _at(part, slot.x, slot.y)
        angle, half = slot.angle + part.placement.angle, (slot.length - slot.width) / 2
        along = (bolt.x - x) * math.cos(angle) + (bolt.y - y) * math.sin(angle)
        t = max(-half, min(half, along))
        away = math.dist((bolt.x, bolt.y), (x + t * math.cos(angle), y + t * math.sin(angle)))
        rooms.append(slot.width / 2 - bolt.diameter / 2 - away)
    return max([r for r in rooms if r > -bolt.diameter / 2], default=-bolt.diameter / 2)


def put_back_results(rig: Rig, drawn: Sequence[Round]) -> Iterator[CheckResult]:
    """Old bolts that are drawn for the work and put back: each through a hole of what stands in the place of old wood, each such hole for one."""
    asked = (p for p in rig.detail.parts if p.kind == "piece" or (rig.detail.longer and not p.existing) or any(h.bolt == PUT_BACK for h in p.holes))
    for part in asked:
        body, where = rig.bodies[part.key], f"{rig.detail.key}, {rig.names[part.key]}"
        through = [r for r in drawn if distance_to(body, r.x, r.y) < r.radius and body.low < r.high and body.high > r.low]
        shut = next((r for r in through if not lets_through(part, r)), None)
        if shut is not None:
            yield fit_result(where, f"no hole for the {shut.name} at {rig.place(shut.x, shut.y)}, which is put back", 0.0, -shut.radius)
        elif through:
            yield fit_result(where, f"a hole for each of {len(through)} old bolts that are put back", 0.0, 0.0)
        for hole in (h for h in part.holes if h.bolt == PUT_BACK):
            if not any(math.dist(_at(part, hole.x, hole.y), (r.x, r.y)) + r.radius <= hole.diameter / 2 for r in through):
                yield fit_result(where, f"no old bolt for the hole at {rig.place(hole.x, hole.y)} of the part", 0.0, -hole.diameter)


def lets_through(part: Part, other: Round) -> bool:
    """Is there a hole in a part in which a foreign bolt stands clear?"""
    return any(h.diameter / 2 >= math.dist(_at(part, h.x, h.y), (other.x, other.y)) + other.radius for h in part.holes)


def grip_results(rig: Rig) -> Iterator[CheckResult]:
    """What a bolt clamps lies face on face from one washer to the other; the bolt is long enough and its thread too."""
    for group in rig.detail.groups:
        bolts = [b for b in rig.detail.bolts if b.group == group.key]
        if not bolts:
            continue
        where = f"{rig.detail.key}, bolts {group.key}"
        gap, bolt = max(((_gap(rig, b), b) for b in bolts), key=lambda pair: (round(pair[0], 6), -pair[1].x, -pair[1].y))
        yield fit_result(where, f"open gap that a bolt crosses, {rig.bolt_name(bolt)}" if gap > OPEN else "open gaps that bolts cross", gap, OPEN)
        needed, bolt = max(((_needed(b), b) for b in bolts), key=lambda pair: round(pair[0] - pair[1].length, 6))
        yield fit_result(where, "length for grip, washers, nut and two threads", needed, bolt.length)
        nut, thread = max(((_nut_at(b), _thread_from(b)) for b in bolts), key=lambda pair: round(pair[1] - pair[0], 6))
        yield fit_result(where, "thread reaches under the nut", thread, nut)


def _gap(rig: Rig, bolt: Bolt) -> float:
    """The widest open distance along a bolt between its two washers, or by how far parts stand out beyond them."""
    widest, at = 0.0, bolt.low
    spans = [(b.low, b.high) for _, b in rig.beside(bolt) if b.high > bolt.low - 1.0 and b.low < bolt.high + 1.0]
    if not spans:
        return bolt.high - bolt.low
    for low, high in spans:
        widest, at = max(widest, low - at), max(at, high)
    return max(widest, bolt.high - at, bolt.low - min(low for low, _ in spans), max(high for _, high in spans) - bolt.high)


def _needed(bolt: Bolt) -> float:
    extra = (bolt.washers - 2) * washer_of(bolt)[1]
    return length_needed(bolt.diameter, bolt.high - bolt.low) + extra


def _nut_at(bolt: Bolt) -> float:
    """From under the head to the face of the nut (in)."""
    return bolt.high - bolt.low + bolt.washers * washer_of(bolt)[1]


def _thread_from(bolt: Bolt) -> float:
    """From under the head to where the thread begins (in)."""
    return bolt.length - thread_length(bolt.diameter, bolt.length)


def seat_results(rig: Rig, around: Sequence[Body], others: Sequence[Round]) -> Iterator[CheckResult]:
    """Washers lie whole on their part and beside their neighbours; a socket goes over head and nut."""
    bolts = rig.detail.bolts
    for group in rig.detail.groups:
        mine = [b for b in bolts if b.group == group.key]
        if not mine:
            continue
        where = f"{rig.detail.key}, bolts {group.key}"
        wide = washer_of(mine[0])[0]
        for side, words in ((1, "near side"), (-1, "far side")):
            edge, bolt = min(((_edge(rig, b, side), b) for b in mine), key=lambda pair: (round(pair[0], 6), pair[1].x, pair[1].y))
            yield fit_result(where, f"washers whole on the face, {words}", wide / 2, edge)
            room, what = min(((_free(rig, b, side, around, others)) for b in mine), key=lambda pair: round(pair[0], 6))
            yield fit_result(where, f"room for a socket, {words}" + (f", {what}" if what else ""), wrench_room(bolt.diameter), room)
        apart = min((math.dist((a.x, a.y), (b.x, b.y)) for a in mine for b in bolts if a is not b), default=math.inf)
        yield fit_result(where, "washers beside each other", wide, apart) if math.isfinite(apart) else none_needed(where, "washers beside each other")


def _edge(rig: Rig, bolt: Bolt, side: int) -> float:
    """From a bolt's axis to the nearest edge of the part under its washer; 0 where there is none."""
    face = bolt.high if side > 0 else bolt.low
    under = [b for _, b in rig.beside(bolt) if abs((b.high if side > 0 else b.low) - face) < OPEN]
    return -distance_to(under[0], bolt.x, bolt.y) if under else 0.0


def _free(rig: Rig, bolt: Bolt, side: int, around: Sequence[Body], others: Sequence[Round]) -> tuple[float, str]:
    """From a bolt's axis to what stands beside its head or nut, within the height of a socket, and what that is; at most a foot."""
    mine = [c for c in cylinders(bolt, "") if c.name.startswith("head" if (side > 0) == (bolt.head == "near") else "nut")]
    low, high = mine[0].low + 0.01, mine[0].high - 0.01
    best, what = 12.0, ""
    for body in (*rig.bodies.values(), *around):
        if min(high, body.high) - max(low, body.low) > 0 and (away := distance_to(body, bolt.x, bolt.y)) < best:
            best, what = away, body.name
    for other in others:
        away = math.dist((other.x, other.y), (bolt.x, bolt.y))
        if min(high, other.high) - max(low, other.low) > 0 and away - other.radius < best:
            best, what = away - other.radius, other.name
    return best, what


def clash_results(rig: Rig, around: Sequence[Body], others: Sequence[Round]) -> Iterator[CheckResult]:
    """Shanks, heads, nuts and washers against everything that is not drilled for them."""
    pairs, clear = 0, True
    for bolt in rig.detail.bolts:
        name = rig.bolt_name(bolt)
        shank = Round(f"shank of {name}", bolt.x, bolt.y, bolt.diameter / 2, bolt.low, bolt.high)
        ends = cylinders(bolt, name)
        things: list[tuple[Round, Body | Round]] = [(e, b) for e in ends for b in (*rig.bodies.values(), *around)]
        things += [(shank, b) for b in around]
        things += [(e, o) for e in (*ends, shank) for o in others]
        pairs += len(things)
        for one, thing in things:
            if (depth := round_overlap(one, thing)) > 0:
                clear = False
                yield fit_result(f"{rig.detail.key}, {one.name}", f"runs into {thing.name}", 0.0, -depth)
    if clear and pairs:
        yield fit_result(rig.detail.key, f"bolts clear of all that is not drilled for them ({pairs:,} pairs)", 0.0, 0.0)


def tool_results(rig: Rig, around: Sequence[Body], others: Sequence[Round]) -> Iterator[CheckResult]:
    """Each bolt goes in and comes out in line, and a drill stands in line before the part that guides it: nothing may stand there.

    Bolts go in from the side where their head is, the longest a hand's width beyond its length.
    """
    detail, bodies = rig.detail, [*rig.bodies.values(), *around]
    bored = {(p.key if h.template == MARKED_OUT else h.template, h.bolt) for p in detail.parts for h in p.holes if h.template}
    jobs = [(b, "bolt", b.diameter / 2, min(b.seat, b.seat + b.way * b.length), max(b.seat, b.seat + b.way * b.length)) for b in detail.bolts]
    for key, group in sorted(pair for pair in bored if pair[1] != PUT_BACK):
        face = rig.bodies[key]
        for b in (b for b in detail.bolts if b.group == group and distance_to(face, b.x, b.y) < 0):
            near = face.high >= b.high - 1e-6
            stand, end = STAND_OFF, STAND_OFF + DRILL
            span = (face.high + stand, face.high + end) if near else (face.low - end, face.low - stand)
            bit = (face.high, face.high + stand) if near else (face.low - stand, face.low)
            jobs += [(b, "drill", DRILL_RADIUS, *span), (b, "drill", b.diameter / 2, *bit)]
    for words in ("bolt", "drill"):
        mine = [(b, Round(what, b.x, b.y, radius, low, high)) for b, what, radius, low, high in jobs if what == words]
        if not mine:
            continue
        things: list[Body | Round] = [*bodies, *others]
        bad = 0
        for bolt, room in mine:
            for thing in things:
                if (depth := round_overlap(room, thing)) > 0:
                    bad += 1
                    check = "goes in and comes out in line" if words == "bolt" else "room for the drill in line"
                    yield fit_result(f"{detail.key}, {rig.bolt_name(bolt)}", f"{check}; {thing.name} stands in it", 0.0, -depth)
        if not bad:
            yield fit_result(detail.key, f"the {words} in line before each of {len({b for b, _ in mine})} bolts", 0.0, 0.0)
