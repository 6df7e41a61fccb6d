"""Can every new part be brought to its place, in the stated order, through what stands around and through the surveyed access?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from detailgen.checker.fit.bodies import Body, Round, hull, overlap, round_overlap
from detailgen.checker.fit.bolts import DRILL, HAND, Rig, lets_through
from detailgen.checker.fit.found import FIT, HOUSE, fit_result
from detailgen.core.result import CheckResult, cannot_be_checked
from detailgen.model.detail import MARKED_OUT, Part
from detailgen.model.project import Access

FAR = 48.0
"""A part that has moved this far (in) out of its place in a straight line is out."""


@dataclass(frozen=True)
class Way:
    """A straight way in: its words, and where the part comes from (unit vector)."""

    words: str
    x: float
    y: float
    z: float


WAYS = (
    Way("from the near side", 0, 0, 1), Way("from the far side", 0, 0, -1), Way("from below", 0, -1, 0), Way("from above", 0, 1, 0),
)  # fmt: skip


def swept(body: Body, way: Way) -> Body:
    """All the room that a body takes while it goes out of its place; exact for convex plans, more than is taken for others."""
    if way.z:
        return replace(body, low=body.low - (FAR if way.z < 0 else 0), high=body.high + (FAR if way.z > 0 else 0))
    moved = [(x + FAR * way.x, y + FAR * way.y) for x, y in body.outline]
    return replace(body, outline=tuple(hull([*body.outline, *moved])))


def _stands_in(way: Body, bodies: Sequence[Body], rounds: Sequence[Round]) -> list[tuple[float, str]]:
    found = [(overlap(way, b), b.name) for b in bodies] + [(round_overlap(r, way), r.name) for r in rounds]
    return [one for one in found if one[0] > 0]


def way_results(rig: Rig, around: Sequence[Body], others: Sequence[Round], access: Access | None) -> Iterator[CheckResult]:
    """Parts in the order in which the order of work brings them; what came before stands in the way of what comes after.

    around, others: bodies and foreign bolts that stand there from the beginning
    """
    detail = rig.detail
    new = [p.key for p in detail.parts if not p.existing]
    brought = [k for keys in detail.brings for k in keys]
    if sorted(brought) != sorted(new):
        missing = ", ".join(k for k in new if k not in brought) or ", ".join(brought)
        yield cannot_be_checked(detail.key, "order of assembly", f"when these parts come in: {missing}", FIT)
        return
    standing = [rig.bodies[p.key] for p in detail.parts if p.existing] + list(around)
    for number, key in enumerate(brought, start=1):
        body, name = rig.bodies[key], rig.names[key]
        where = f"{detail.key}, {name}"
        blocked = {w: _stands_in(swept(body, w), standing, [r for r in others if not lets_through(detail.part(key), r)]) for w in WAYS}
        free = next((w for w in WAYS if not blocked[w]), None)
        if free is None:
            depth, what = min((max(b) for b in blocked.values()), key=lambda pair: pair[0])
            yield fit_result(where, f"a straight way in as number {number}; {what} stands in it", 0.0, -depth)
        else:
            yield fit_result(where, f"a straight way in {free.words}, as number {number}", 0.0, 0.0)
            yield from _room(detail.part(key), body, where, free, access)
        standing.append(body)
    yield from _bolt_room(rig, access)


def _room(part: Part, body: Body, where: str, way: Way, access: Access | None) -> Iterator[CheckResult]:
    """The surveyed access against a part's length, weight and the room beside its place."""
    if access is None:
        return
    x0, y0, x1, y1 = body.box
    if access.longest:
        yield fit_result(where, "goes through the access, length", max(x1 - x0, y1 - y0), access.longest, cite=HOUSE)
    if access.heaviest:
        yield fit_result(where, "can be lifted, weight", part.weight, access.heaviest, "lb", HOUSE)
    free = {"from the near side": access.near, "from the far side": access.far, "from below": access.below, "from above": access.above}[way.words]
    size = (body.high - body.low) if way.z else (y1 - y0)
    if free:
        yield fit_result(where, f"room {way.words}", size + HAND, free, cite=HOUSE)


def _bolt_room(rig: Rig, access: Access | None) -> Iterator[CheckResult]:
    """Bolts go in and come out at the side where their heads are; holes are drilled through the part that is their template."""
    detail = rig.detail
    if access is None or not detail.bolts:
        return
    longest = max(detail.bolts, key=lambda b: b.length)
    room = access.far if longest.head == "far" else access.near
    if room:
        yield fit_result(detail.key, f"room to withdraw the longest bolt at the {longest.head} side", longest.length + HAND, room, cite=HOUSE)
    templates = {p.key if h.template == MARKED_OUT else h.template for p in detail.parts for h in p.holes if h.template}
    for key in sorted(templates):
        body = rig.bodies[key]
        near = body.high >= longest.high - 1e-6
        side, free = ("near", access.near) if near else ("far", access.far)
        if free:
            needed = longest.high - longest.low + DRILL
            yield fit_result(detail.key, f"room to drill through {rig.names[key]} from the {side} side", needed, free, cite=HOUSE)
