"""Holes in wood: each against its fastener, and against holes of other groups and old ones beside it."""

from __future__ import annotations

import contextlib
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from detailgen.checker import measure
from detailgen.checker.drawing import FACE_VIEW, Drawing, Face, FaceHole
from detailgen.checker.geometry import unit
from detailgen.checker.rules import Asked, at_least, at_most, cite_of, falls_short, least_distance, quantities_of, size_bounds, table_of
from detailgen.checker.tags import CONNECTORS, Fastener, fastener
from detailgen.core.clause import Cite
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult, cannot_be_checked

DRIVEN, DRIVEN_BY_SIZE = ("nail", "wood screw"), ("nail ", "screw under", "screw from", "staple")
"""Kinds of fastener that go in without a hole, by their whole name (NDS 2018) or by how it begins (EN 1995-1-1)."""
SAME_SIZE = 0.002
NEIGHBOUR = 8.0
"""Holes further apart (in) ask nothing of each other, whatever their group."""


@dataclass(frozen=True)
class _Bounds:
    """A hole that a fastener may have (in)."""

    least: float
    greatest: float
    cite: Cite
    of: str  # what it is: the hole, the hole of the shank, of the thread

    def off(self, diameter: float) -> float:
        return max(self.least - diameter, diameter - self.greatest, 0.0)


def judge_hole_sizes(drawing: Drawing, face: Face, holes: Sequence[FaceHole]) -> Iterator[CheckResult]:
    """Each hole against its fastener: the worst if all pass, else every one that does not."""
    found: list[tuple[bool, float, FaceHole, _Bounds, str]] = []
    known: dict[str, list[_Bounds] | str] = {}
    for hole in holes:
        if hole.slot:
            where = f"{face.name}, {face.hole_name(hole, drawing.metric)}"
            yield cannot_be_checked(where, "hole for its bolt", "a rule for slots in wood (no standard here has one)", FACE_VIEW)
            continue
        if hole.fastener not in known:
            known[hole.fastener] = _allowed(face, hole.fastener)
        allowed = known[hole.fastener]
        if isinstance(allowed, str):
            yield cannot_be_checked(f"{face.name}, {face.hole_name(hole, drawing.metric)}", "hole for its bolt", allowed, FACE_VIEW)
            continue
        nearest = min(allowed, key=lambda b: b.off(hole.diameter))
        short = falls_short(hole.diameter, nearest.least) or falls_short(nearest.greatest, hole.diameter)
        found.append((short, hole.diameter / nearest.greatest, hole, nearest, fastener(hole.fastener).kind))
    failing = [f for f in found if f[0]]
    for _, _, hole, bounds, kind in failing or ([max(found, key=lambda f: f[1])] if found else []):
        where, spots = f"{face.name}, {face.hole_name(hole, drawing.metric)}", (face.frame.at(hole.at),)
        what = f"{bounds.of} for its {'bolt' if kind.endswith(CONNECTORS) else kind}"
        if falls_short(hole.diameter, bounds.least):
            yield at_least(where, f"{what}: not too tight", bounds.least, hole.diameter, bounds.cite, spots=spots)
        else:
            yield at_most(where, f"{what}: not too large", bounds.greatest, hole.diameter, bounds.cite, spots=spots)


def _allowed(face: Face, name: str) -> list[_Bounds] | str:
    """The holes that a fastener may have, or what is missing to tell."""
    try:
        one = fastener(name)
        if math.isnan(one.diameter):
            raise NotCovered(f"the bolt of the {one.kind}")
        kind = "bolt" if one.kind.endswith(CONNECTORS) else one.kind
        for table_name in (f"{kind.replace(' ', '_')}_size", f"{kind.replace(' ', '_')}_hole"):
            with contextlib.suppress(NotCovered):
                table = table_of(face.standard, table_name)
                row = table.find(quantity="hole over diameter")
                least, greatest = (one.diameter + over for over in size_bounds(table, row))
                return [_Bounds(least, greatest, cite_of(table, row), "hole")]
        return _lead_holes(face, one)
    except NotCovered as missing:
        return missing.what


def _lead_holes(face: Face, one: Fastener) -> list[_Bounds]:
    """Bored for screws and nails; where nothing is bored the circle stands for the fastener itself and is no larger."""
    table = table_of(face.standard, "fastener_lead_holes")
    base = one.kind.removesuffix(" prebored").removesuffix(" through steel")
    driven = base in DRIVEN and base == one.kind.removesuffix(" through steel")
    if driven or base.startswith(DRIVEN_BY_SIZE):
        return [_Bounds(0.0, one.diameter, FACE_VIEW, "circle")]
    dense = _specific_gravity(face)
    rows = [r for r in table if r["fastener"] == base and r["load"] in ("any", "lateral")]
    rows = [r for r in rows if dense is None or float(r["G_over"]) < dense <= float(r["G_to"])]
    if not rows:
        raise NotCovered(f"a rule for the hole of a {one.kind}")
    out = []
    for row in rows:
        of = one.diameter if row["of"] == "D" else _root(face, base, one.diameter)
        out.append(_Bounds(float(row["least"]) * of, float(row["greatest"]) * of, cite_of(table, row), "hole" if row["part"] == "whole" else
                           f"hole of the {row['part']}"))  # fmt: skip
    return out


def _root(face: Face, kind: str, diameter: float) -> float:
    sizes = table_of(face.standard, f"{kind.replace(' ', '_')}_sizes")
    near = min(sizes, key=lambda r: abs(float(r["D"]) - diameter))
    if abs(float(near["D"]) - diameter) > SAME_SIZE:
        raise NotCovered(f"the root diameter of a {kind} of {diameter:g} in.")
    return float(near["D_r"])


def _specific_gravity(face: Face) -> float | None:
    """Of the wood that the part names; None where it is not known."""
    try:
        found = [float(r["G"]) for r in table_of(face.standard, "sawn_reference") if face.specification.startswith(str(r["species"]))]
    except NotCovered:
        return None
    return found[0] if found else None


def judge_neighbours(drawing: Drawing, face: Face) -> list[CheckResult]:
    """Holes of two groups, and new holes beside old ones: nearer than what holes of one group keep both along and across the grain (ours)."""
    if face.grain is None or (len(face.groups) < 2 and all(h.judged for h in face.holes)):
        return []
    grain = unit(face.grain)
    out: list[CheckResult] = []
    for p in measure.centre_distances(face.holes, NEIGHBOUR):
        new = [h for h in (p.first, p.second) if h.judged]
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
            what = f"group {other.group}" if other.judged else "an old hole"
            where = f"{face.name}, {face.hole_name(new[0], drawing.metric)} and hole {face.number(other)}"
            check = f"beside {what}: nearer than {along.least_rule} along and {across.least_rule} across the grain"
            spots = (face.frame.at(p.first.at), face.frame.at(p.second.at))
            need, there = (along, u) if u / along.least > v / across.least else (across, v)
            out.append(at_least(where, check, need.least, there, need.least_cite, spots=spots))
    return out
