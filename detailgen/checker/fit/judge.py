"""Does a repair joint go together on site? Computed from the neutral record, with plane geometry alone."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from typing import Any

from detailgen.checker.fit.bodies import Body, Round, body_of, overlap
from detailgen.checker.fit.bolts import Rig, clash_results, cylinders, grip_results, hole_results, seat_results
from detailgen.checker.fit.found import fit_json, fit_result
from detailgen.checker.fit.way import way_results
from detailgen.core.result import CheckResult, State
from detailgen.model.detail import Detail
from detailgen.model.package import Package, Repaired
from detailgen.model.timbers import old_work, timbers
from detailgen.model.work_points import work_point

REACH = 36.0
"""Of what stands around, only what comes nearer than this (in) to the joint's new parts is looked at."""


def judge_fit(one: Repaired, detail: Detail, package: Package) -> list[CheckResult]:
    """Everything that can be said about one joint: holes, grips, seats, tools, collisions, ways in."""
    names = {p.key: _name(package, detail, p.key) for p in detail.parts}
    rig = Rig(detail, {p.key: body_of(p, names[p.key]) for p in detail.parts}, names)
    around, others = surroundings(one, detail, package)
    found = [*hole_results(rig), *grip_results(rig), *seat_results(rig, around, others), *clash_results(rig, around, others)]
    found += part_clashes(rig, around)
    return [*found, *way_results(rig, around, package.project.access)]


def _name(package: Package, detail: Detail, key: str) -> str:
    mark = package.mark_of(detail.key, key)
    part = detail.part(key)
    return f"{mark} {part.name} ({key})" if mark else f"{part.name} (E)"


def surroundings(one: Repaired, detail: Detail, package: Package) -> tuple[list[Body], list[Round]]:
    """What stands around a joint, in its axes: the truss's other members, old work, and the new parts and bolts of its other joints."""
    truss = one.before.truss
    x, y, turn = _origin(one, detail)
    parts, old = old_work(truss)
    shown = {detail.member, *detail.beside}
    bodies = [body_of(p, p.name, x, y, turn) for p in timbers(truss) if p.key.partition("/")[0] not in shown]
    bodies += [body_of(p, p.name, x, y, turn) for p in parts]
    c, s = math.cos(turn), math.sin(turn)
    rounds = [
        Round(f"old bolt of {b.where}", c * (b.x - x) + s * (b.y - y), -s * (b.x - x) + c * (b.y - y), b.diameter / 2, b.low, b.high) for b in old
    ]
    for other in one.details:
        if other.key == detail.key:
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
    return [b for b in bodies if b.box[0] < x1 and b.box[2] > x0], [r for r in rounds if x0 < r.x < x1]


def _origin(one: Repaired, detail: Detail) -> tuple[float, float, float]:
    """Where a detail's work point is on its member, and the member's direction there (rad)."""
    found = work_point(one.before.truss, detail.member, detail.station, detail.joint)
    return (found.x, found.y, found.angle) if found is not None else (detail.station, 0.0, 0.0)


def part_clashes(rig: Rig, around: Sequence[Body]) -> list[CheckResult]:
    """No part through another; existing parts among one another are as the survey has them."""
    parts = rig.detail.parts
    new = [rig.bodies[p.key] for p in parts if not p.existing]
    old = [rig.bodies[p.key] for p in parts if p.existing]
    pairs = [*itertools.combinations(new, 2), *itertools.product(new, [*old, *around])]
    found = [
        fit_result(f"{rig.detail.key}, {a.name}", f"runs into {b.name}", 0.0, -depth) for a, b in pairs for depth in (overlap(a, b),) if depth > 0
    ]
    return found or [fit_result(rig.detail.key, f"no part through another ({len(pairs)} pairs)", 0.0, 0.0)]


def package_fit(package: Package) -> dict[str, list[CheckResult]]:
    """By detail key."""
    return {d.key: judge_fit(one, d, package) for one in package.trusses for d in one.details}


def fits(results: Iterable[CheckResult]) -> bool:
    return all(r.state is State.PASSES for r in results)


def package_fit_json(found: dict[str, list[CheckResult]]) -> list[dict[str, Any]]:
    """What goes into checks.json beside the drawings."""
    return [{"detail": key, "passes": fits(results), "results": [fit_json(r) for r in results]} for key, results in found.items()]
