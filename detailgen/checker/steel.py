"""Bolts in steel parts: hole sizes, nearest edge, distance between holes, by the steel standard that the part names."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from detailgen.checker import measure
from detailgen.checker.drawing import Drawing, Face, FaceHole, length_words
from detailgen.checker.geometry import Point
from detailgen.checker.rules import Row, at_least, at_most, cite_of, falls_short, table_of, wrong
from detailgen.checker.tags import fastener
from detailgen.checker.wood import FACE_VIEW
from detailgen.core.clause import Cite
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult, cannot_be_checked
from detailgen.core.table import Table
from detailgen.core.tolerance import LENGTH_IN as SLIGHT

SIDES = (((-1.0, 0.0), "left"), ((1.0, 0.0), "right"), ((0.0, -1.0), "lower"), ((0.0, 1.0), "upper"))


STRAND = "strand"
STRAND_ROOM = (1 / 16, 1 / 4)
"""A strand's hole is so much larger than the strand, at least and at most (in; common practice, no published source): the barrel stands about it."""
PRACTICE = Cite("common practice", "no published source")


def _strand_hole(drawing: Drawing, face: Face, hole: FaceHole, strand: float) -> list[CheckResult]:
    """A round hole with room for the strand, with enough plate about it for a barrel of three and a half strands' diameter."""
    where, spots = f"{face.name}, {face.hole_name(hole, drawing.metric)}", (face.frame.at(hole.at),)
    low, high = (strand + room for room in STRAND_ROOM)
    small = hole.diameter < low - SLIGHT
    judge, bound = (at_least, low) if small else (at_most, high)
    size = judge(where, "hole for its strand", bound, hole.diameter, PRACTICE, spots=spots)
    about = at_least(where, "plate about a strand's hole, to its barrel's edge", 1.75 * strand, face.outline.nearest(hole.at), PRACTICE, spots=spots)
    return [size, about]


def judge_steel(drawing: Drawing, face: Face) -> list[CheckResult]:
    """All new holes of one steel part together: distances know no groups here."""
    out: list[CheckResult] = []
    sized: list[tuple[FaceHole, float]] = []
    for hole in face.new_holes:
        if not face.outline.contains(hole.at):
            where = f"{face.name}, {face.hole_name(hole, drawing.metric)}"
            out.append(wrong(where, "hole stands outside its part", hole.diameter, FACE_VIEW))
            continue
        if hole.slot:
            where = f"{face.name}, {face.hole_name(hole, drawing.metric)}"
            out.append(cannot_be_checked(where, "slot in steel", "a rule for slots", FACE_VIEW))
            continue
        try:
            one = fastener(hole.fastener)
            if one.kind == STRAND:
                out += _strand_hole(drawing, face, hole, one.diameter)
                continue
            if one.kind != "bolt":
                raise NotCovered(f"rows for fastener '{one.kind}'")
            sized.append((hole, one.diameter))
        except NotCovered as missing:
            where = f"{face.name}, {face.hole_name(hole, drawing.metric)}"
            out.append(cannot_be_checked(where, "hole for its bolt", missing.what, FACE_VIEW))
    for judge in (_hole_sizes, _edges, _pairs, _far_edges):
        try:
            out += judge(drawing, face, sized) if sized else []
        except NotCovered as missing:
            out.append(cannot_be_checked(face.name, _TITLES[judge.__name__], missing.what, FACE_VIEW))
    return out


_TITLES = {
    "_hole_sizes": "hole for its bolt",
    "_edges": "nearest edge",
    "_pairs": "distance between holes",
    "_far_edges": "greatest distance to the edge",
}
Sized = Sequence[tuple[FaceHole, float]]


def _up_to(table: Table, column: str, value: float) -> Row:
    """The first row whose diameter is not below the bolt's."""
    return min((r for r in table if float(r[column]) >= value - 1e-9), key=lambda r: float(r[column]))


@dataclass(frozen=True)
class _Try:
    """A length and its bound, before anything is made of it. ``least``: the bound is a least value, else a greatest one."""

    holes: tuple[FaceHole, ...]
    rule: str
    bound: float
    provided: float
    table: Table
    row: Row
    least: bool = True
    other: Point | None = None

    @property
    def fails(self) -> bool:
        return falls_short(self.provided, self.bound) if self.least else falls_short(self.bound, self.provided)

    @property
    def use(self) -> float:
        a, b = (self.bound, self.provided) if self.least else (self.provided, self.bound)
        return round(a / b, 6) if b > 0 else math.inf


def _told(drawing: Drawing, face: Face, tries: Iterable[_Try]) -> list[CheckResult]:
    """Every one that fails, or else the one with least left."""
    found = list(tries)
    short = [t for t in found if t.fails]
    out: list[CheckResult] = []
    for t in short or ([max(found, key=lambda t: t.use)] if found else []):
        first = t.holes[0]
        where = f"{face.name}, {face.hole_name(first, drawing.metric)}" + "".join(f" and hole {face.number(h)}" for h in t.holes[1:])
        ends = (first.at, t.holes[1].at if len(t.holes) > 1 else t.other or first.at)
        spots = tuple(face.frame.at(p) for p in dict.fromkeys(ends))
        judge = at_least if t.least else at_most
        out.append(judge(where, t.rule, t.bound, t.provided, cite_of(t.table, t.row), spots=spots))
    return out


def _hole_sizes(drawing: Drawing, face: Face, sized: Sized) -> list[CheckResult]:
    table = table_of(face.standard, "standard_holes")
    found = []
    for hole, bolt in sized:
        row = _up_to(table, "diameter", bolt)
        greatest = bolt + float(row["over_diameter"]) if math.isinf(float(row["hole"])) else float(row["hole"])
        low = _Try((hole,), "hole for its bolt: not smaller than the bolt", bolt, hole.diameter, table, row)
        high = _Try((hole,), "hole for its bolt: no larger than a standard hole", greatest, hole.diameter, table, row, least=False)
        found.append(low if low.fails else high)
    return _told(drawing, face, found)


def _edges(drawing: Drawing, face: Face, sized: Sized) -> list[CheckResult]:
    table = table_of(face.standard, "least_edge_distance")
    found = []
    for hole, bolt in sized:
        row = _up_to(table, "diameter_to", bolt)
        required = float(row["edge"]) + float(row["k_d"]) * bolt
        rule = f"nearest edge of the plate (least {length_words(required, drawing.metric)} for a bolt of {length_words(bolt, drawing.metric)})"
        found.append(_Try((hole,), rule, required, face.outline.nearest(hole.at), table, row))
    return _told(drawing, face, found)


def _pairs(drawing: Drawing, face: Face, sized: Sized) -> list[CheckResult]:
    table = table_of(face.standard, "least_spacing")
    row = table.find(quantity="spacing")
    size = dict(sized)
    k_d, k_clear = float(row["k_d"]), float(row["k_clear"])
    reach = max(max(k_d * bolt, k_clear * bolt + h.diameter) for h, bolt in sized)
    found = []
    for p in measure.nearest_pairs([h for h, _ in sized], reach):
        bolt = max(size[p.first], size[p.second])
        required = max(k_d * bolt, k_clear * bolt + (p.first.diameter + p.second.diameter) / 2)
        found.append(_Try((p.first, p.second), "distance between holes (least 2-2/3 d, one d clear)", required, p.distance, table, row))
    return _told(drawing, face, found)


def _far_edges(drawing: Drawing, face: Face, sized: Sized) -> list[CheckResult]:
    """Per side of the plate, the hole nearest to it: a plate that reaches far beyond its bolts stands off."""
    table = table_of(face.standard, "greatest_distances")
    row = table.find(quantity="edge")
    thickness = drawing.thickness(face)
    if thickness is None:
        raise NotCovered("the thickness of the part (its plan view)")
    greatest = min(float(row["k_t"]) * thickness, float(row["limit"]))
    found = []
    for d, side in SIDES:
        distance, hole = min(((face.outline.ray(h.at, d), h) for h, _ in sized), key=lambda item: item[0])
        rule = f"greatest distance to the {side} edge ({float(row['k_t']):g} t, at most {length_words(float(row['limit']), drawing.metric)})"
        edge = hole.x + distance * d[0], hole.y + distance * d[1]
        found.append(_Try((hole,), rule, greatest, distance, table, row, least=False, other=edge))
    return _told(drawing, face, found)
