"""Does the steel at a chord's end go together: strands through their holes, barrels whole on the plate, parts in the order in which they come in.

What stands around an end lies along the chord, not across it, and is not measured again here: the remedy's own clearances stand in the report.
What stands behind it is as far away as the survey says.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import replace

from detailgen.checker.fit.bodies import body_of, distance_to, overlap
from detailgen.checker.fit.bolts import Rig
from detailgen.checker.fit.found import fit_result
from detailgen.checker.fit.way import way_results
from detailgen.core.result import CheckResult
from detailgen.model.detail import BAR, FROM_LEFT, THREADED, Detail, Part, Slot
from detailgen.model.package import Repaired
from detailgen.model.project import Stressing


def judge_end(detail: Detail, names: dict[str, str], one: Repaired, tools: Stressing) -> list[CheckResult]:
    """Everything that can be said about one end."""
    rig = Rig(detail, {p.key: body_of(p, names[p.key]) for p in detail.parts}, names)
    return [*_strands(rig), *_barrels(rig), *_clashes(rig), *_ways(rig), *_access(rig, one, tools)]


def _kind(rig: Rig, *kinds: str) -> list[Part]:
    return [p for p in rig.detail.parts if p.kind in kinds]


def _radius(part: Part) -> float:
    xs = [v.x for v in part.outline]
    return (max(xs) - min(xs)) / 2


def _strands(rig: Rig) -> Iterator[CheckResult]:
    """Each strand or rod passes every part in its way through a round hole of it."""
    for strand in _kind(rig, *THREADED):
        x, y, radius = strand.placement.x, strand.placement.y, _radius(strand)
        for part in (p for p in rig.detail.parts if p.kind not in THREADED):
            body = rig.bodies[part.key]
            if distance_to(body, x, y) >= radius or body.low >= rig.bodies[strand.key].high or body.high <= rig.bodies[strand.key].low:
                continue
            away = [(math.dist((part.placement.x + h.x, part.placement.y + h.y), (x, y)), h.diameter / 2) for h in part.holes]
            through = [_slot_room(part, o, (x, y)) - radius for o in part.slots]
            room = max([*(r - radius - d for d, r in away), *through], default=-radius)
            yield fit_result(
                f"{rig.detail.key}, {rig.names[part.key]}", f"a {'slot' if part.slots else 'round hole'} with room for {strand.name}", 0.0, room
            )


def _slot_room(part: Part, slot: Slot, at: tuple[float, float]) -> float:
    """From a place to the side of a slot (in); below zero outside of it."""
    x, y = at[0] - part.placement.x - slot.x, at[1] - part.placement.y - slot.y
    along, across = x * math.cos(slot.angle) + y * math.sin(slot.angle), y * math.cos(slot.angle) - x * math.sin(slot.angle)
    beyond = max(abs(along) - (slot.length - slot.width) / 2, 0.0)
    return slot.width / 2 - math.hypot(beyond, across)


def _barrels(rig: Rig) -> Iterator[CheckResult]:
    """Each barrel, each nut with its washer, stands on a part, whole on its face, and clear of the others."""
    barrels = _kind(rig, "anchor", "nut")
    for barrel in barrels:
        body = rig.bodies[barrel.key]
        plates = [rig.bodies[p.key] for p in rig.detail.parts if p.kind == "plate"]
        under = [b for b in plates if abs(b.high - body.low) < 1e-6 or abs(b.low - body.high) < 1e-6]
        edge = max((-distance_to(b, barrel.placement.x, barrel.placement.y) for b in under), default=0.0)
        yield fit_result(f"{rig.detail.key}, {barrel.name}", "whole on the plate", _radius(barrel), edge)
    for a, b in itertools.combinations(barrels, 2):
        one, other = rig.bodies[a.key], rig.bodies[b.key]
        if one.low >= other.high or other.low >= one.high:
            continue
        apart = math.dist((a.placement.x, a.placement.y), (b.placement.x, b.placement.y))
        yield fit_result(f"{rig.detail.key}, {a.name} and {b.name}", "beside each other", _radius(a) + _radius(b), apart)


def _clashes(rig: Rig) -> Iterator[CheckResult]:
    """No part through another; strands and rods through their holes are looked at above."""
    parts = [p for p in rig.detail.parts if p.kind not in THREADED]
    pairs = [(a, b) for a, b in itertools.combinations(parts, 2) if not (a.existing and b.existing)]
    found = [(a, b, overlap(rig.bodies[a.key], rig.bodies[b.key])) for a, b in pairs]
    bad = [fit_result(f"{rig.detail.key}, {rig.names[a.key]}", f"runs into {rig.names[b.key]}", 0.0, -d) for a, b, d in found if d > 0]
    yield from bad or [fit_result(rig.detail.key, f"no part through another ({len(pairs)} pairs)", 0.0, 0.0)]


def _ways(rig: Rig) -> Iterator[CheckResult]:
    """Pads, plate and barrels in their order, from outside or from a side; strands are threaded through what is there."""
    solid = [p for p in rig.detail.parts if p.kind not in THREADED]
    kept = {p.key for p in solid}
    brings = tuple(tuple(k for k in keys if k in kept) for keys in rig.detail.brings)
    bare = replace(rig.detail, parts=tuple(solid), brings=brings)
    yield from way_results(Rig(bare, {k: b for k, b in rig.bodies.items() if k in kept}, rig.names), (), (), None)


def _access(rig: Rig, one: Repaired, tools: Stressing) -> Iterator[CheckResult]:
    """What comes behind the anchors finds room before the wall: jack and stroke where strands are pulled, their tails where they are held. Jacks that
    pull a pair at once stand beside one another."""
    plan, left = one.stressing, rig.detail.axis == FROM_LEFT
    barrels = _kind(rig, "anchor")
    if plan is None or not barrels:
        return
    room = one.before.truss.heel_room[0 if left else 1]
    behind = max(rig.bodies[b.key].high for b in barrels)
    where = rig.detail.key
    if behind < 0:  # they stand inboard, on a bracket: the jack stands between it and the end plate
        plates = [rig.bodies[q.key].low for q in rig.detail.parts if q.kind == "plate" and rig.bodies[q.key].low > behind]
        yield fit_result(
            where, "room between bracket and end plate for a jack with its ram out", tools.jack_length + tools.stroke, min(plates) - behind
        )
        return
    if (plan.stressing_end == "left") == left:
        yield fit_result(where, "room behind the end grain for a jack with its ram out", behind + tools.jack_length + tools.stroke, room)
        if plan.together:
            apart = max(b.placement.x for b in barrels) - min(b.placement.x for b in barrels)
            yield fit_result(where, "two jacks beside one another, from middle to middle", tools.jack_diameter, apart)
        for bar in (p for p in rig.detail.parts if p.kind == BAR and rig.bodies[p.key].high > behind):
            free = min(distance_to(rig.bodies[bar.key], b.placement.x, b.placement.y) for b in barrels)
            yield fit_result(
                f"{where}, {rig.names[bar.key]}", "the jack's nose beside it, half as wide as a barrel and more", _radius(barrels[0]), free
            )
    tails = max(rig.bodies[s.key].high for s in _kind(rig, "strand"))
    yield fit_result(where, "room behind the end grain for the strands' tails", tails, room)
