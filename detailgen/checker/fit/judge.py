"""Does a repair joint go together on site? Computed from the neutral record, with plane geometry alone."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

from detailgen.checker.fit.bodies import Body, Round, body_of, middle_of, overlap, round_overlap
from detailgen.checker.fit.bolts import (
    Rig,
    clash_results,
    cylinders,
    grip_results,
    hole_results,
    lets_through,
    put_back_results,
    seat_results,
    tool_results,
)
from detailgen.checker.fit.edges import turned
from detailgen.checker.fit.ends import judge_end
from detailgen.checker.fit.found import fit_json, fit_result
from detailgen.checker.fit.jacks import jack_results, jacks_of
from detailgen.checker.fit.runs import run_results
from detailgen.checker.fit.way import way_results
from detailgen.core.result import CheckResult, State
from detailgen.model.detail import ACROSS, EDGES, Detail
from detailgen.model.package import Package, Repaired
from detailgen.model.timbers import OLD_END, OLD_FLATS, OLD_NUT, OldBolt, old_work, timbers
from detailgen.model.work_points import work_point

REACH = 36.0
"""Of what stands around, only what comes nearer than this (in) to the joint's new parts is looked at."""


def judge_fit(one: Repaired, detail: Detail, package: Package) -> list[CheckResult]:
    """Everything that can be said about one joint: holes, grips, seats, tools, collisions, jacks, ways in."""
    if detail.axis in EDGES:
        return _judge_edge(one, detail, package)
    if detail.axis != ACROSS:
        return judge_end(detail, {p.key: _name(package, detail, p.key) for p in detail.parts}, one, package.project.stressing)
    names = {p.key: _name(package, detail, p.key) for p in detail.parts}
    rig = Rig(detail, {p.key: body_of(p, names[p.key]) for p in detail.parts}, names, package.project.units)
    around, others = surroundings(one, detail, package)
    drawn = [old_cylinders(b, *at)[0] for b, *at in _old_bolts(one, detail) if b.where in detail.drawn]
    drawn = [_put_back(r, detail) for r in drawn]
    found = [*hole_results(rig), *put_back_results(rig, drawn), *grip_results(rig), *seat_results(rig, around, others)]
    found += clash_results(rig, around, others)
    found += tool_results(rig, around, others)
    found += run_results(rig, one)
    jacks = jacks_of(one, _origin(one, detail))
    found += part_clashes(rig, around, others)
    found += jack_results(rig, jacks, around, others, package.project.access)
    return [*found, *way_results(rig, [*around, *(b for j in jacks for b in j.bodies)], others, package.project.access)]


def _judge_edge(one: Repaired, detail: Detail, package: Package) -> list[CheckResult]:
    """A detail on a member's edge by itself, then its parts seen across the truss among what stands there, at each place where it is built."""
    names = {p.key: _name(package, detail, p.key) for p in detail.parts}
    rig = Rig(detail, {p.key: body_of(p, names[p.key]) for p in detail.parts}, names, package.project.units)
    found = [*hole_results(rig), *grip_results(rig), *seat_results(rig, (), ()), *clash_results(rig, (), ()), *tool_results(rig, (), ())]
    found += [*part_clashes(rig, (), ()), *(_off_the_edge(r) for r in way_results(rig, (), (), None))]
    for station in (detail.station, *detail.also_at):
        here = replace(detail, station=station)
        across = turned(here, _origin(one, here)[2])
        seen = Rig(across, {p.key: body_of(p, names[p.key]) for p in across.parts}, names, package.project.units)
        found += [r for r in part_clashes(seen, *surroundings(one, across, package)) if r not in found]
    return found


SEEN = {"from the near side": "from off the edge", "from the far side": "from the member's side", "from below": "along the member",
        "from above": "along the member"}  # fmt: skip
"""What the ways in of a detail that is looked at across the truss are to one on an edge."""


def _off_the_edge(result: CheckResult) -> CheckResult:
    words = result.check
    for across, edge in SEEN.items():
        words = words.replace(across, edge)
    return replace(result, check=words)


def _name(package: Package, detail: Detail, key: str) -> str:
    mark = package.mark_of(detail.key, key)
    part = detail.part(key)
    return f"{mark} {part.name} ({key})" if mark else f"{part.name} (E)"


def surroundings(one: Repaired, detail: Detail, package: Package) -> tuple[list[Body], list[Round]]:
    """What stands around a joint, in its axes: the truss's other members, old work with the ends of its bolts, the new work of its other joints.

    Old bolts that are drawn for the work stand in nobody's way; they are put back through what is new.
    """
    truss = one.before.truss
    x, y, turn = _origin(one, detail)
    parts, _ = old_work(truss, frozenset(detail.removed))
    shown = {detail.member, *detail.beside}
    bodies = [body_of(p, p.name, x, y, turn) for p in timbers(truss) if p.key.partition("/")[0] not in shown]
    bodies += [body_of(p, p.name, x, y, turn) for p in parts]
    c, s = math.cos(turn), math.sin(turn)
    rounds = [r for b, *at in _old_bolts(one, detail) if b.where not in detail.drawn for r in old_cylinders(b, *at)]
    for other in (replace(d, station=at) for d in one.details for at in (d.station, *d.also_at)):
        if other.key == detail.key or other.axis != ACROSS:
            continue
        ox, oy, angle = _origin(one, other)
        dx, dy = c * (ox - x) + s * (oy - y), -s * (ox - x) + c * (oy - y)
        if abs(angle - turn) > 1e-9:
            continue  # another panel of a bent chord, too far off to meet, or a web, whose new parts are held clear of chords and webs
        for part in other.parts:
            if not part.existing:
                bodies.append(body_of(part, _name(package, other, part.key), -dx, -dy))
        for bolt in other.bolts:
            for r in cylinders(bolt, f"bolt of {other.key}"):
                rounds.append(Round(r.name, r.x + dx, r.y + dy, r.radius, r.low, r.high))
    new = [b for p in detail.parts if not p.existing for b in (body_of(p, ""),)] or [body_of(p, "") for p in detail.parts]
    x0, x1 = min(b.box[0] for b in new) - REACH, max(b.box[2] for b in new) + REACH
    # An old bolt on the very axis of a new one has made room for it.
    foreign = [r for r in rounds if x0 < r.x < x1 and all(math.dist((r.x, r.y), (b.x, b.y)) > 1e-6 for b in detail.bolts)]
    return [b for b in bodies if b.box[0] < x1 and b.box[2] > x0], foreign


def _old_bolts(one: Repaired, detail: Detail) -> list[tuple[OldBolt, float, float]]:
    """The truss's old bolts with their places in the axes of a detail."""
    x, y, turn = _origin(one, detail)
    c, s = math.cos(turn), math.sin(turn)
    return [(b, c * (b.x - x) + s * (b.y - y), -s * (b.x - x) + c * (b.y - y)) for b in old_work(one.before.truss, frozenset(detail.removed))[1]]


def old_cylinders(bolt: OldBolt, x: float, y: float) -> list[Round]:
    """Shank, head and nut of an old bolt; as no survey says at which end the nut is, it is taken at both, corners at their greatest size."""
    corner, out = OLD_FLATS * bolt.diameter / math.sqrt(3), (OLD_NUT + OLD_END) * bolt.diameter
    return [
        Round(f"old bolt of {bolt.where}", x, y, bolt.diameter / 2, bolt.low, bolt.high),
        Round(f"near end of old bolt of {bolt.where}", x, y, corner, bolt.high, bolt.high + out),
        Round(f"far end of old bolt of {bolt.where}", x, y, corner, bolt.low - out, bolt.low),
    ]


def _origin(one: Repaired, detail: Detail) -> tuple[float, float, float]:
    """Where a detail's work point is on its member, and the member's direction there (rad)."""
    found = work_point(one.before.truss, detail.member, detail.station, detail.joint)
    return (found.x, found.y, found.angle) if found is not None else (detail.station, 0.0, 0.0)


def _put_back(old: Round, detail: Detail) -> Round:
    """An old bolt that is drawn as it stands afterwards: the longer one in its place where there is one."""
    again = (b for b in detail.longer if math.dist((b.x, b.y), (old.x, old.y)) < 1e-3 and b.diameter / 2 >= old.radius - 1e-6)
    return next((replace(old, low=b.low, high=b.high) for b in again), old)


def part_clashes(rig: Rig, around: Sequence[Body], others: Sequence[Round]) -> list[CheckResult]:
    """No part through another, nor through a bolt that is not its own; existing parts among one another are as the survey has them."""
    parts = rig.detail.parts
    new = [rig.bodies[p.key] for p in parts if not p.existing]
    old = [rig.bodies[p.key] for p in parts if p.existing]
    pairs = [*itertools.combinations(new, 2), *itertools.product(new, [*old, *around])]
    found = []
    for a, b in pairs:
        if (depth := overlap(a, b)) > 0:
            x, y = middle_of(a, b)
            found.append(fit_result(f"{rig.detail.key}, {a.name}", f"runs into {b.name} at {rig.place(x, y)}", 0.0, -depth))
    for part, r in itertools.product((p for p in parts if not p.existing), others):
        if (depth := round_overlap(r, rig.bodies[part.key])) > 0 and not lets_through(part, r):
            where = f"{rig.detail.key}, {rig.names[part.key]}"
            found.append(fit_result(where, f"runs into the {r.name} at {rig.place(r.x, r.y)}", 0.0, -depth))
    count = len(pairs) + len(new) * len(others)
    return found or [fit_result(rig.detail.key, f"no part through another part or bolt ({count:,} pairs)", 0.0, 0.0)]


def package_fit(package: Package) -> dict[str, list[CheckResult]]:
    """By detail key."""
    return {d.key: judge_fit(one, d, package) for one in package.trusses for d in one.details}


def fits(results: Iterable[CheckResult]) -> bool:
    return all(r.state is State.PASSES for r in results)


def package_fit_json(found: dict[str, list[CheckResult]]) -> list[dict[str, Any]]:
    """What goes into checks.json beside the drawings."""
    return [{"detail": key, "passes": fits(results), "results": [fit_json(r) for r in results]} for key, results in found.items()]
