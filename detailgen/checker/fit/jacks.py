"""Where shores with jacks stand beside a joint: does each find its room, and does it bear on wood that stays?

A jack on its post is taken as the room stated in ``model/shores.py``: a block under each ply, and under the blocks a square shaft. Webs that reach a
little below the chord between the plies clear the blocks.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from detailgen.checker.fit.bodies import TOUCH, Body, Round, middle_of, overlap, round_overlap
from detailgen.checker.fit.bolts import Rig, cylinders
from detailgen.checker.fit.found import HOUSE, MIND, fit_result
from detailgen.core.result import CheckResult
from detailgen.model.package import Repaired
from detailgen.model.project import Access
from detailgen.model.shores import BLOCK, HIGH, WIDE, ShorePlace, shore_places

NEARBY = 36.0
"""A jack farther than this (in) along the chord from all that is new is not looked at."""


@dataclass(frozen=True)
class Jack:
    """One jack on its post, and its block under each ply."""

    joint: str
    body: Body
    blocks: tuple[Body, ...]

    @property
    def bodies(self) -> tuple[Body, ...]:
        return (self.body, *self.blocks)

    @property
    def span(self) -> tuple[float, float]:
        return self.body.box[0], self.body.box[2]


def jacks_of(one: Repaired, origin: tuple[float, float, float]) -> list[Jack]:
    """A truss's jacks in the axes of a detail: its work point and the direction of its member (rad)."""
    found = []
    for place in shore_places(one):
        middle = (place.plies[0][0] + place.plies[-1][1]) / 2
        body = _body(f"jack at {place.joint}", place, origin, WIDE, (-HIGH, -BLOCK), (middle - WIDE / 2, middle + WIDE / 2))
        blocks = tuple(_body(f"block of the jack at {place.joint}", place, origin, place.block, (-BLOCK, 0.0), ply) for ply in place.plies)
        found.append(Jack(place.joint, body, blocks))
    return found


def _body(
    name: str, place: ShorePlace, origin: tuple[float, float, float], length: float, down: tuple[float, float], across: tuple[float, float]
) -> Body:
    x, y, turn = origin
    c, s = math.cos(turn), math.sin(turn)
    corners = ((-length / 2, down[0]), (length / 2, down[0]), (length / 2, down[1]), (-length / 2, down[1]))
    at = [(place.x + u - x, place.y + v - y) for u, v in corners]
    return Body(name, tuple((c * u + s * v, -s * u + c * v) for u, v in at), *across)


def jack_results(rig: Rig, jacks: Sequence[Jack], around: Sequence[Body], others: Sequence[Round], access: Access | None) -> Iterator[CheckResult]:
    """Each jack beside the joint: nothing stands in its room, its blocks bear on wood that stays, there is height for it."""
    detail = rig.detail
    new = [rig.bodies[p.key] for p in detail.parts if not p.existing]
    ends = [v for b in new or rig.bodies.values() for v in (b.box[0], b.box[2])]
    away = {jack.joint: max(min(ends) - jack.span[1], jack.span[0] - max(ends)) for jack in jacks}
    near = [jack for jack in jacks if away[jack.joint] < NEARBY]
    if not near:
        words = f"the next is at {min(away, key=lambda j: away[j])}" if jacks else "none is asked for"
        yield fit_result(detail.key, f"no jack stands within {NEARBY:g} in of the new parts: {words}", 0.0, 0.0, cite=HOUSE)
    rounds = [*(c for b in detail.bolts for c in cylinders(b, rig.bolt_name(b))), *others]
    for jack in near:
        where = f"{detail.key}, jack at {jack.joint}"
        bad = [*_in_its_room(jack, [*new, *around], rounds)]
        cut = [*_over_a_cut(jack, rig)]
        if {id(block) for block, *_ in cut} == {id(block) for block in jack.blocks}:
            bad += [(f"bears on wood that stays; its block reaches under the cut in the {ply}", lap) for _, ply, lap in cut]
        elif cut:
            plies = " and the ".join(dict.fromkeys(ply for _, ply, _ in cut))
            yield fit_result(where, f"{MIND} while the {plies} is cut there it bears on the other ply alone", 0.0, 0.0, cite=HOUSE)
        yield from (fit_result(where, words, 0.0, -amount, cite=HOUSE) for words, amount in bad)
        if not bad:
            yield fit_result(where, f"room for a jack {WIDE:g} x {WIDE:g} x {HIGH:g} in under the chord", 0.0, 0.0, cite=HOUSE)
        if access is not None and access.below:
            yield fit_result(where, "height under the chord for a jack and its post", HIGH, access.below, cite=HOUSE)


def _in_its_room(jack: Jack, bodies: Sequence[Body], rounds: Sequence[Round]) -> Iterator[tuple[str, float]]:
    for piece in jack.bodies:
        for body in bodies:
            if (depth := overlap(piece, body)) > 0:
                x, y = middle_of(piece, body)
                yield f"its room; {body.name} stands in it at ({x:.4g}, {y:.4g}) in", depth
        for r in rounds:
            if (depth := round_overlap(r, piece)) > 0:
                yield f"its room; {r.name} stands in it at ({r.x:.4g}, {r.y:.4g}) in", depth


def _over_a_cut(jack: Jack, rig: Rig) -> Iterator[tuple[Body, str, float]]:
    """Blocks that reach under what is cut out of their ply, the ply, and by how much."""
    plies = [(rig.bodies[p.key], p.name) for p in rig.detail.parts if p.existing and p.kind == "ply"]
    for block in jack.blocks:
        mine = sorted((b for b in plies if min(b[0].high, block.high) > max(b[0].low, block.low)), key=lambda b: b[0].box[0])
        for (left, name), (right, _) in itertools.pairwise(mine):
            lap = min(block.box[2], right.box[0]) - max(block.box[0], left.box[2])
            if lap > TOUCH:
                yield block, name.partition(",")[0], lap
