"""Holes in wood: each against its fastener, and against holes of other groups and old ones beside it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from detailgen.checker import measure
from detailgen.checker.drawing import FACE_VIEW, Drawing, Face, FaceHole
from detailgen.checker.geometry import unit
from detailgen.checker.rules import Asked, at_least, at_most, cite_of, falls_short, least_distance, quantities_of, size_bounds, table_of
from detailgen.checker.tags import CONNECTORS, fastener
from detailgen.core.clause import Cite
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult, cannot_be_checked

NEIGHBOUR = 8.0
"""Holes further apart (in) ask nothing of each other, whatever their group."""


def judge_hole_sizes(drawing: Drawing, face: Face, holes: Sequence[FaceHole]) -> Iterator[CheckResult]:
    """Each hole against its bolt: the worst if all pass, else every one that does not."""
    found: list[tuple[bool, float, FaceHole, float, float, Cite]] = []
    bounds: dict[str, tuple[float, float, Cite] | str] = {}
    for hole in holes:
        if hole.slot:
            where = f"{face.name}, {face.hole_name(hole, drawing.metric)}"
            yield cannot_be_checked(where, "hole for its bolt", "a rule for slots in wood", FACE_VIEW)
            continue
        known = bounds.get(hole.fastener) or bounds.setdefault(hole.fastener, _hole_bounds(face, hole.fastener))
        if isinstance(known, str):
            yield cannot_be_checked(f"{face.name}, {face.hole_name(hole, drawing.metric)}", "hole for its bolt", known, FACE_VIEW)
            continue
        least, greatest, cite = known
        tight = falls_short(hole.diameter, least)
        found.append((tight or falls_short(greatest, hole.diameter), hole.diameter / greatest, hole, least, greatest, cite))
    short = [f for f in found if f[0]]
    for _, _, hole, least, greatest, cite in short or ([max(found, key=lambda f: f[1])] if found else []):
        where, spots = f"{face.name}, {face.hole_name(hole, drawing.metric)}", (face.frame.at(hole.at),)
        if falls_short(hole.diameter, least):
            yield at_least(where, "hole for its bolt: not too tight", least, hole.diameter, cite, spots=spots)
        else:
            yield at_most(where, "hole for its bolt: not too large", greatest, hole.diameter, cite, spots=spots)


def _hole_bounds(face: Face, name: str) -> tuple[float, float, Cite] | str:
    """Least and greatest hole (in) for a fastener, or what is missing."""
    try:
        one = fastener(name)
        if math.isnan(one.diameter):
            raise NotCovered(f"the bolt of the {one.kind}")
        bolt = "bolt" if one.kind.endswith(CONNECTORS) else one.kind
        table = table_of(face.standard, f"{bolt.replace(' ', '_')}_size")
        row = table.find(quantity="hole over diameter")
    except NotCovered as missing:
        return missing.what
    least, greatest = (one.diameter + over for over in size_bounds(table, row))
    return least, greatest, cite_of(table, row)


def judge_neighbours(drawing: Drawing, face: Face) -> list[CheckResult]:
    """Holes of two groups, and new holes beside old ones: nearer than what holes of one group keep both along and across the grain (ours)."""
    if face.grain is None or (len(face.groups) < 2 and all(h.tagged for h in face.holes)):
        return []
    grain = unit(face.grain)
    out: list[CheckResult] = []
    for p in measure.centre_distances(face.holes, NEIGHBOUR):
        new = [h for h in (p.first, p.second) if h.tagged]
        if not new or (len(new) == 2 and p.first.group == p.second.group):
            continue
        try:
            one = max((fastener(h.fastener) for h in new), key=lambda f: f.diameter)
            names = ("spacing_in_row", "between_rows")
            if "spacing_along_grain" in quantities_of(face.standard, one.kind):
                names = ("spacing_along_grain", "spacing_across_grain")
            along, across = (
                least_distance(Asked(face.standard, one.kind, face.wood, q, "compression", 0.0, one.diameter, 0.0)) for q in names
            )  # fmt: skip
        except NotCovered:
            continue  # told with the group itself
        u, v = (abs(x) for x in measure.project((p.second.x - p.first.x, p.second.y - p.first.y), grain))
        if falls_short(u, along.least) and falls_short(v, across.least):
            other = p.second if p.first is new[0] else p.first
            what = f"group {other.group}" if other.tagged else "an old hole"
            where = f"{face.name}, {face.hole_name(new[0], drawing.metric)} and hole {face.number(other)}"
            check = f"beside {what}: nearer than {along.least_rule} along and {across.least_rule} across the grain"
            spots = (face.frame.at(p.first.at), face.frame.at(p.second.at))
            need, there = (along, u) if u / along.least > v / across.least else (across, v)
            out.append(at_least(where, check, need.least, there, need.least_cite, spots=spots))
    return out
