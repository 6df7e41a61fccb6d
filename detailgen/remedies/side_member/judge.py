"""A side member on its chord: chord and timber judged by the code that judges everything else, the bolts by what they must hand over."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from detailgen.analysis.build import panel_name
from detailgen.assessment.beside import place_of
from detailgen.assessment.members import grade_of, place_name
from detailgen.core.result import CheckResult, governs
from detailgen.core.tolerance import at_most, rounded
from detailgen.model.added import SideMember
from detailgen.model.assessment import Floats, MemberForces, Place
from detailgen.model.member import Member
from detailgen.model.project import Truss
from detailgen.remedies import usual
from detailgen.remedies.contract import Job, Solved
from detailgen.remedies.side_member.layout import GAP, Layout, stack, with_side
from detailgen.remedies.side_member.site import worst_of
from detailgen.standards.interface import ConnectedPart, ConnectionRequest

ALONG = ", along the chord"
"""Ends the name of the bolts' check for what they pass along the chord."""
BOTH_WAYS = "bolts along and across"
"""The check that adds up what is used along and across the grain."""
LEAST_FORCE = 1.0
"""Forces up to this (lb) along the chord are none."""
ACROSS = 1e-6


@dataclass(frozen=True)
class Handed:
    """What the bolts of one place hand over to one timber, per combination: greatest force of one bolt (lb), and of the whole group along the chord
    (tension positive) and across it."""

    name: str
    columns: tuple[float, ...]
    each: Floats
    along: Floats
    across: Floats


@dataclass(frozen=True)
class Judged:
    """A layout in its truss: the truss with it, solved; places of the chord and of the timber; its bolts."""

    layout: Layout
    side: SideMember
    solved: Solved
    places: tuple[Place, ...]
    handed: tuple[Handed, ...]
    bolts: tuple[CheckResult, ...]

    @property
    def results(self) -> tuple[CheckResult, ...]:
        return (*(r for q in self.places for r in q.results), *self.bolts)

    @property
    def passes(self) -> bool:
        return all(r.passes for r in self.results)

    @property
    def worst(self) -> CheckResult:
        return governs(self.results)

    @property
    def chord(self) -> CheckResult | None:
        return worst_of(self.places[0].results)


def solved_with(job: Job, truss: Truss, member: Member, pair: tuple[str, str], side: SideMember) -> tuple[Solved, tuple[Place, ...]]:
    """The truss with a side member, and the places that it concerns: its chord there, itself."""
    solved = job.solve(with_side(truss, side))
    found = {q.name: q for q in solved.check([place_name(member, pair), place_of(side)])}
    return solved, tuple(found[name] for name in (place_name(member, pair), place_of(side)))


def handed_over(truss: Truss, layout: Layout, side: SideMember, solved: Solved) -> tuple[Handed, ...]:
    """By group, from the bound at which the timber takes most: its end forces by the end bolts, what comes between by one column of the others."""
    f = solved.forces.members[side.element]
    share, rows = 1 / len(side.sides), len(layout.lines)
    found = []
    for name, columns in zip(("left end", "right end"), layout.ends, strict=True):
        at = layout.station_of(columns, side.length)
        M, V, N = (at_station(f.station, values, at) * share for values in (f.moment, f.shear, f.axial))
        lever = polar(columns, layout.lines)
        furthest = math.hypot(columns[-1] - columns[0], layout.gauge) / 2
        count = len(columns) * rows
        each = np.hypot(np.abs(V) / count + np.abs(M) * furthest / lever, np.abs(N) / count)
        found.append(Handed(name, columns, each, N, np.sqrt(np.maximum((each * count) ** 2 - N**2, 0.0))))
    if layout.between:
        column = _most_between(truss, f, layout) * share + side.weight * share / len(layout.columns)
        found.append(Handed("between", layout.between, column / rows, np.zeros_like(column), column))
    return tuple(found)


def at_station(station: Floats, values: Floats, at: float) -> Floats:
    found: Floats = np.array([np.interp(at, station, row) for row in values])
    return found


def polar(columns: Sequence[float], lines: Sequence[float]) -> float:
    x0, y0 = sum(columns) / len(columns), sum(lines) / len(lines)
    return sum((x - x0) ** 2 + (y - y0) ** 2 for x in columns for y in lines)


def _most_between(truss: Truss, f: MemberForces, layout: Layout) -> Floats:
    """Greatest force across the chord (lb, all faces) that one column of bolts hands over: where two elements meet the timber's shear jumps by what
    comes to it over half of both; a purlin's load comes at one place."""
    inner = [k for k in range(1, len(f.station)) if abs(f.station[k] - f.station[k - 1]) < 1e-6]
    ends = [0.0, *(float(f.station[k]) for k in inner), float(f.station[-1])]
    most = np.zeros(f.shear.shape[0])
    for a, b, k in zip(ends, ends[2:], inner, strict=False):
        jump = np.abs(f.shear[:, k] - f.shear[:, k - 1])
        most = np.maximum(most, jump if truss.purlins else jump * min(1.0, 2 * layout.spacing / (b - a)))
    return most


def bolt_checks(
    job: Job, member: Member, layout: Layout, solved: Solved, handed: Sequence[Handed], scale: float = 0.0,
) -> tuple[CheckResult, ...]:  # fmt: skip
    """The bolts of each group under the greatest force of one of them on all, across the grain, where a bolt is worth least; those of the ends also
    under what they pass along the chord.

    scale: of the forces, for a look ahead, in which only the greatest of each duration counts; 0: all as they are
    """
    found: list[CheckResult] = []
    for one in handed:
        ends = one.name != "between"
        columns = one.columns if ends else one.columns[:1]
        sides, times = len(layout.timber.sides), len(columns) * len(layout.lines)
        where = f"bolts at the {one.name}" if ends else "a column of bolts between the ends"
        found += job.wood.connection_checks(_request(member, layout, columns, where, math.pi / 2, solved, one.each * times * sides, scale))
        if float(np.abs(one.along).max()) > LEAST_FORCE:
            outward = 0.0 if one.name == "right end" else math.pi
            request = _request(member, layout, columns, f"{where}{ALONG}", outward, solved, one.along * sides, scale)
            found += job.wood.connection_checks(request)
    return tuple(found)


def _request(
    member: Member, layout: Layout, columns: Sequence[float], where: str, on_side: float, solved: Solved, axial: Floats, scale: float,
) -> ConnectionRequest:  # fmt: skip
    """``on_side``: direction (rad) of the bolts' force on the side members in tension, or of either sense across the chord."""
    chosen = range(len(axial)) if not scale else _greatest(np.abs(axial), [c.duration for c in solved.forces.combinations])
    combinations = [solved.forces.combinations[k] for k in chosen]
    return ConnectionRequest(
        where=where, diameter=layout.diameter, bolt_bending_yield=usual.BOLT_YIELD, parts=_connected(member, layout, columns, on_side),
        gaps=(0.0,) * (len(stack(member, layout.timber)) - 1), axial=axial[list(chosen)] * (scale or 1.0),
        combinations=tuple(c.name for c in combinations), durations=tuple(c.duration for c in combinations),
        reverses=abs(math.cos(on_side)) < ACROSS, hole_oversize=usual.HOLE_OVER_BOLT,
        root_diameter=layout.ordered.root_diameter if layout.ordered.threads_in_shear else 0.0,
    )  # fmt: skip


def _greatest(each: Floats, durations: Sequence[str]) -> list[int]:
    best: dict[str, int] = {}
    for k, duration in enumerate(durations):
        if duration not in best or each[k] > each[best[duration]]:
            best[duration] = k
    return sorted(best.values())


def _connected(member: Member, layout: Layout, columns: Sequence[float], on_side: float) -> tuple[ConnectedPart, ...]:
    t = layout.timber
    bolts = np.array([(x, y) for x in columns for y in layout.lines])
    half = t.length / 2
    plies = {q.name: q for q in member.plies}
    parts = []
    for name, low, high in stack(member, t):
        if name in plies:
            ply = plies[name]
            parts.append(ConnectedPart(f"{name} ply", "wood", high - low, "member", on_side + math.pi, bolts, (-math.inf, math.inf),
                                       layout.edges(ply.depth, columns), grade_of(ply.wood)))  # fmt: skip
        elif name == GAP:
            parts.append(ConnectedPart(name, "wood", high - low, "filler", 0.0, bolts, (-half, half), layout.edges(t.depth, columns),
                                       grade_of(t.wood)))  # fmt: skip
        else:
            parts.append(ConnectedPart(name, "wood", high - low, "other", on_side, bolts, (-half, half),
                                       layout.edges(t.depth, columns), grade_of(t.wood)))  # fmt: skip
    return tuple(parts)


def reversed_need(job: Job, truss: Truss, member: Member, pair: tuple[str, str], side: SideMember, sense: float) -> CheckResult | None:
    """What fails in the chord under moments of the other sense, under which the bolts first run through their play: without help then."""
    idle = replace(side, tight=False, across=side.across * 1e-9)
    bare = job.solve(replace(truss, side_members=(*(s for s in truss.side_members if s.name != side.name), idle)))
    names = [c.name for c in bare.forces.combinations]
    f = bare.forces.members[panel_name(pair)]
    over = []
    for place in bare.check([place_name(member, pair)]):
        for r in place.results:
            if r.unit == "in" or r.ratio != r.ratio or at_most(r.ratio, 1.0) or r.combination not in names or r.station != r.station:
                continue
            k = int(np.abs(f.station - r.station).argmin())
            if f.moment[names.index(r.combination), k] * sense < 0:
                over.append(r)
    return max(over, key=lambda r: rounded(r.ratio), default=None)


def sense_of(solved: Solved, pair: tuple[str, str], worst: CheckResult) -> float:
    """1 where the moment that decides sags the chord, -1 where it hogs."""
    names = [c.name for c in solved.forces.combinations]
    f = solved.forces.members[panel_name(pair)]
    k = int(np.abs(f.station - worst.station).argmin()) if worst.station == worst.station else f.station.size // 2
    return 1.0 if f.moment[names.index(worst.combination), k] >= 0 else -1.0


def judge(job: Job, truss: Truss, member: Member, pair: tuple[str, str], layout: Layout, side: SideMember) -> Judged:
    solved, places = solved_with(job, truss, member, pair, side)
    handed = handed_over(truss, layout, side, solved)
    return Judged(layout, side, solved, places, handed, bolt_checks(job, member, layout, solved, handed))
