"""Bolts in steel parts: hole sizes, nearest edge, distance between holes, by the steel standard that the part names."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from detailgen.checker import measure
from detailgen.checker.drawing import Drawing, Face, FaceHole, length_words
from detailgen.checker.rules import Row, at_least, at_most, cite_of, table_of, wrong
from detailgen.checker.tags import fastener
from detailgen.checker.wood import FACE_VIEW
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult, State, cannot_be_checked
from detailgen.core.table import Table

SIDES = (((-1.0, 0.0), "left"), ((1.0, 0.0), "right"), ((0.0, -1.0), "lower"), ((0.0, 1.0), "upper"))


def judge_steel(drawing: Drawing, face: Face) -> list[CheckResult]:
    """All new holes of one steel part together: distances know no groups here."""
    out: list[CheckResult] = []
    sized: list[tuple[FaceHole, float]] = []
    for hole in face.new_holes:
        where = f"{face.name}, {face.hole_name(hole, drawing.metric)}"
        if not face.outline.contains(hole.at):
            out.append(wrong(where, "hole stands outside its part", hole.diameter, FACE_VIEW))
            continue
        if hole.slot:
            out.append(cannot_be_checked(where, "slot in steel", "a rule for slots", FACE_VIEW))
            continue
        try:
            one = fastener(hole.fastener)
            if one.kind != "bolt":
                raise NotCovered(f"rows for fastener '{one.kind}'")
            sized.append((hole, one.diameter))
        except NotCovered as missing:
            out.append(cannot_be_checked(where, "hole for its bolt", missing.what, FACE_VIEW))
    for judge in (_hole_sizes, _edges, _pairs, _far_edges):
        try:
            out += list(judge(drawing, face, sized)) if sized else []
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


def _failing_or_worst(found: Sequence[CheckResult]) -> list[CheckResult]:
    return [r for r in found if r.state is not State.PASSES] or ([max(found, key=lambda r: r.ratio)] if found else [])


def _hole_sizes(drawing: Drawing, face: Face, sized: Sized) -> Iterator[CheckResult]:
    table = table_of(face.standard, "standard_holes")
    found = []
    for hole, bolt in sized:
        where = f"{face.name}, {face.hole_name(hole, drawing.metric)}"
        row = _up_to(table, "diameter", bolt)
        greatest = bolt + float(row["over_diameter"]) if math.isinf(float(row["hole"])) else float(row["hole"])
        low = at_least(where, "hole for its bolt: not smaller than the bolt", bolt, hole.diameter, cite_of(table, row))
        high = at_most(where, "hole for its bolt: no larger than a standard hole", greatest, hole.diameter, cite_of(table, row))
        found.append(low if low.state is not State.PASSES else high)
    yield from _failing_or_worst(found)


def _edges(drawing: Drawing, face: Face, sized: Sized) -> Iterator[CheckResult]:
    table = table_of(face.standard, "least_edge_distance")
    found = []
    for hole, bolt in sized:
        row = _up_to(table, "diameter_to", bolt)
        required = float(row["edge"]) + float(row["k_d"]) * bolt
        name = f"{face.name}, {face.hole_name(hole, drawing.metric)}"
        rule = f"nearest edge of the plate (least {length_words(required, drawing.metric)} for a bolt of {length_words(bolt, drawing.metric)})"
        found.append(at_least(name, rule, required, face.outline.nearest(hole.at), cite_of(table, row)))
    yield from _failing_or_worst(found)


def _pairs(drawing: Drawing, face: Face, sized: Sized) -> Iterator[CheckResult]:
    table = table_of(face.standard, "least_spacing")
    row = table.find(quantity="spacing")
    size = dict(sized)
    k_d, k_clear = float(row["k_d"]), float(row["k_clear"])
    reach = 4 * max(k_d * bolt + h.diameter for h, bolt in sized)
    found = []
    for p in measure.centre_distances([h for h, _ in sized], reach):
        bolt = max(size[p.first], size[p.second])
        required = max(k_d * bolt, k_clear * bolt + (p.first.diameter + p.second.diameter) / 2)
        name = f"{face.name}, {face.hole_name(p.first, drawing.metric)} and hole {face.number(p.second)}"
        found.append(at_least(name, "distance between holes (least 2-2/3 d, one d clear)", required, p.distance, cite_of(table, row)))
    yield from _failing_or_worst(found)


def _far_edges(drawing: Drawing, face: Face, sized: Sized) -> Iterator[CheckResult]:
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
        found.append(at_most(f"{face.name}, {face.hole_name(hole, drawing.metric)}", rule, greatest, distance, cite_of(table, row)))
    yield from _failing_or_worst(found)
