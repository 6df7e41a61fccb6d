"""Of all ways beyond bolts alone that pass the one with the least stated cost, and in words why the others lost."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from detailgen.remedies.web_end import parameters as p
from detailgen.remedies.web_end.asked import Asked, Choice, missed
from detailgen.remedies.web_end.blocks import blocks
from detailgen.remedies.web_end.cover import chord_parts, connection_of
from detailgen.remedies.web_end.cover_detail import build_cover_detail
from detailgen.remedies.web_end.cover_search import Nearest, found, weight_of, words
from detailgen.remedies.web_end.seat import Seat, seat_of


def _covers(asked: Asked, seat: Seat, way: str) -> Iterator[Choice | Nearest]:
    job, truss, end = asked.job, asked.truss, asked.end
    for one in found(job, truss, asked.solved, end, seat, way, asked.axial, asked.wished, asked.least, hangs=asked.hangs):
        if isinstance(one, Nearest):
            yield one
        elif one.passes:
            chord = chord_parts(one.cover, truss, asked.solved.model, end)
            detail = build_cover_detail(asked.site, truss, end, one, chord, asked.axial, asked.durations, job.project.units)
            made = connection_of(one.cover, truss, end, one.wood, weight_of(one.cover, truss))
            yield Choice(way, words(one.cover, job), one.worst, one.own, detail, made, asked.cost(detail))
        else:
            yield missed(words(one.cover, job), one.worst)


def best_way(asked: Asked, ways: Sequence[str]) -> tuple[Choice | None, tuple[str, ...]]:
    """The least in stated cost of the ways beyond bolts alone (None where none passes), and what is said of the others."""
    seat = seat_of(asked.truss, asked.end)
    if isinstance(seat, str):
        return None, (f"On both faces: {seat}.",)
    good: list[Choice] = []
    told: list[str] = []
    for way in (w for w in (p.BLOCKS, *p.COVERS) if w in ways):
        tried = list(blocks(asked, seat) if way == p.BLOCKS else _covers(asked, seat, way))
        mine = [one for one in tried if isinstance(one, Choice)]
        misses = [(round(one.miss, 6), one.why) for one in tried if isinstance(one, Nearest)]
        good += mine
        if not mine:
            told.append(f"{way.capitalize()}: {min(misses)[1] if misses else 'no size of bolt is allowed'}.")
    if not good:
        return None, tuple(told)
    best = min(good, key=lambda choice: choice.cost)
    rivals = sorted((g for g in good if g is not best), key=lambda choice: choice.cost)
    firsts = {g.way: g for g in reversed(rivals)}.values()  # of each way the cheapest, whatever its place among all
    shown = sorted({id(g): g for g in (*firsts, *rivals[:2])}.values(), key=lambda choice: choice.cost)
    lost = (f"{g.words}: passes too, but costs {g.cost:,.0f} by the stated weights, not {best.cost:,.0f}" for g in shown)
    return best, (*lost, *told)
