"""Of all covers that pass the one with the least stated cost, and in words why the others lost."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from detailgen.model.assessment import Floats
from detailgen.model.detail import Detail
from detailgen.model.project import Connection, Truss
from detailgen.remedies.contract import Job, Site, Solved
from detailgen.remedies.cost import effort_of, weights_of
from detailgen.remedies.web_end import parameters as p
from detailgen.remedies.web_end.cover import chord_parts, connection_of
from detailgen.remedies.web_end.cover_detail import build_cover_detail
from detailgen.remedies.web_end.cover_search import Covered, Nearest, found, over_one, weight_of, words
from detailgen.remedies.web_end.seat import seat_of
from detailgen.remedies.web_end.site import End


@dataclass(frozen=True)
class Choice:
    """Covers that pass, as they are built, and their stated cost."""

    covered: Covered
    detail: Detail
    connection: Connection
    cost: float


def best_cover(
    job: Job, truss: Truss, site: Site, solved: Solved, end: End, axial: Floats, ways: Sequence[str], wished: Sequence[float],
    least: Mapping[str, float],
) -> tuple[Choice | None, tuple[str, ...]]:  # fmt: skip
    """The least of all ways (None where none passes), and what is said of the others."""
    seat = seat_of(truss, end)
    if isinstance(seat, str):
        return None, (f"Covers on both faces: {seat}.",)
    weights, _ = weights_of(truss)
    durations = tuple(c.duration for c in solved.forces.combinations)
    good: list[Choice] = []
    told: list[str] = []
    for way in (w for w in p.COVERS if w in ways):
        mine: list[Choice] = []
        misses: list[tuple[float, str]] = []
        for one in found(job, truss, solved, end, seat, way, axial, wished, least):
            if isinstance(one, Nearest):
                misses.append((round(one.miss, 6), one.why))
            elif one.passes:
                chord = chord_parts(one.cover, truss, solved.model, end)
                detail = build_cover_detail(site, truss, end, one, chord, axial, durations, job.project.units)
                made = connection_of(one.cover, truss, end, one.wood, weight_of(one.cover, truss))
                mine.append(Choice(one, detail, made, effort_of(detail).cost(weights)))
            else:
                worst = one.worst
                stands = f"{words(one.cover, job)}: {worst.where} stands at {over_one(worst.ratio)} ({worst.check})"
                misses.append((round(worst.ratio, 6) if worst.ratio < math.inf else math.inf, stands))
        good += mine
        if not mine:
            told.append(f"{way.capitalize()}: {min(misses)[1] if misses else 'no size of bolt is allowed'}.")
    if not good:
        return None, tuple(told)
    best = min(good, key=lambda choice: choice.cost)
    rivals = sorted((g for g in good if g is not best), key=lambda choice: choice.cost)
    firsts = {g.covered.cover.way: g for g in reversed(rivals)}.values()  # of each way the cheapest, whatever its place among all
    shown = sorted({id(g): g for g in (*firsts, *rivals[:2])}.values(), key=lambda choice: choice.cost)
    lost = (f"{words(g.covered.cover, job)}: passes too, but costs {g.cost:,.0f} by the stated weights, not {best.cost:,.0f}" for g in shown)
    return best, (*lost, *told)
