"""Bolts in steel parts: hole sizes, nearest edge, distance between holes, by the steel standard that the part names."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from detailgen.checker import measure
from detailgen.checker.drawing import FACE_VIEW, Drawing, Face, FaceHole, length_words
from detailgen.checker.geometry import Point, unit
from detailgen.checker.rules import Row, at_least, at_most, cite_of, falls_short, table_of, wrong
from detailgen.checker.strand_slots import judge_strand_slot
from detailgen.checker.strength import tension_along
from detailgen.checker.tags import fastener
from detailgen.core.clause import Cite
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult, cannot_be_checked
from detailgen.core.table import Table
from detailgen.core.tolerance import LENGTH_IN

SIDES = (((-1.0, 0.0), "left"), ((1.0, 0.0), "right"), ((0.0, -1.0), "lower"), ((0.0, 1.0), "upper"))
STRAND = "strand"
STRAND_ROOM = (1 / 16, 1 / 4)
"""A strand's or a rod's hole is so much larger, at least and at most (in; common practice, no published source): the barrel stands about it."""
BARREL = 3.5
"""Outside diameter of the barrel about a strand, over the strand's (common practice, no published source)."""
ROD = "rod"
WASHER = 2.0
"""Outside diameter of the hardened washer about a threaded rod, over the rod's (ASTM F436, from memory: 1.94 to 2)."""
PRACTICE = Cite("common practice", "no published source")


def _passed_hole(drawing: Drawing, face: Face, hole: FaceHole, kind: str, size_of: float) -> list[CheckResult]:
    """A round hole with room for the strand or the rod that passes it, with enough plate about it for a barrel or a washer."""
    about_it, over = ("barrel", BARREL) if kind == STRAND else ("washer", WASHER)
    where, spots = f"{face.name}, {face.hole_name(hole, drawing.metric)}", (face.frame.at(hole.at),)
    low, high = (size_of + room for room in STRAND_ROOM)
    small = hole.diameter < low - LENGTH_IN
    judge, bound = (at_least, low) if small else (at_most, high)
    size = judge(where, f"hole for its {kind}", bound, hole.diameter, PRACTICE, spots=spots)
    plate = face.outline.nearest(hole.at)
    about = at_least(where, f"plate about a {kind}'s hole, to its {about_it}'s edge", over / 2 * size_of, plate, PRACTICE, spots=spots)
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
        try:
            one = fastener(hole.fastener)
            if hole.slot and one.kind == STRAND:
                out += judge_strand_slot(drawing, face, hole, one.diameter)
                continue
            if one.kind in (STRAND, ROD):
                out += _passed_hole(drawing, face, hole, one.kind, one.diameter)
                continue
            if one.kind != "bolt":
                raise NotCovered(f"rows for fastener '{one.kind}'")
            sized.append((hole, one.diameter))
        except NotCovered as fault:
            where = f"{face.name}, {face.hole_name(hole, drawing.metric)}"
            out.append(cannot_be_checked(where, "hole for its bolt", fault.what, FACE_VIEW))
    missing: dict[str, list[str]] = {}
    for judge in (_hole_sizes, _slots, _edges, _slot_edges, _pairs, _far_edges, _far_pitches):
        try:
            out += judge(drawing, face, sized) if sized else []
        except NotCovered as fault:
            missing.setdefault(fault.what, []).append(_TITLES[judge.__name__])
    return out + [cannot_be_checked(face.name, " and ".join(titles), what, FACE_VIEW) for what, titles in missing.items()]


_TITLES = {
    "_hole_sizes": "hole for its bolt",
    "_slots": "slot for its bolt",
    "_slot_edges": "edge along the slot",
    "_far_pitches": "greatest distance between bolts",
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
        if hole.slot:
            continue
        row = _up_to(table, "diameter", bolt)
        greatest = bolt + float(row["over_diameter"]) if math.isinf(float(row["hole"])) else float(row["hole"])
        low = _Try((hole,), "hole for its bolt: not smaller than the bolt", bolt, hole.diameter, table, row)
        high = _Try((hole,), "hole for its bolt: no larger than a standard hole", greatest, hole.diameter, table, row, least=False)
        found.append(low if low.fails else high)
    return _told(drawing, face, found)


def _slot_row(face: Face, bolt: float) -> tuple[Table, Row, float, float, float]:
    """Row of a bolt with the width and the lengths of a short and a long slot (in)."""
    table = table_of(face.standard, "slotted_holes")
    row = _up_to(table, "diameter", bolt)
    width, short, long = (float(row[k]) + float(row[f"{k}_d"]) * bolt for k in ("width", "short", "long"))
    return table, row, width, short, long


def _slots(drawing: Drawing, face: Face, sized: Sized) -> list[CheckResult]:
    """A slot is as wide as a standard hole, no longer than a long slot, and stands across the load: its bolt bears in it."""
    found: list[_Try] = []
    out: list[CheckResult] = []
    limits = table_of(face.standard, "slot_limits")
    turned = limits.find(quantity="least angle to the load")
    for hole, bolt in sized:
        if not hole.slot:
            continue
        table, row, width, short, long = _slot_row(face, bolt)
        kind = "short" if not falls_short(short, hole.length) else "long"
        found.append(_Try((hole,), "slot for its bolt: not narrower than the bolt", bolt, hole.diameter, table, row))
        found.append(_Try((hole,), "slot for its bolt: no wider than a standard hole", width, hole.diameter, table, row, least=False))
        found.append(_Try((hole,), f"slot for its bolt: no longer than a {kind} slot", short if kind == "short" else long, hole.length, table, row,
                          least=False))  # fmt: skip
        where, what = f"{face.name}, {face.hole_name(hole, drawing.metric)}", "slot across the load"
        own = [load for load in face.loads if load.group == hole.group]
        # to its plate's own loads; where none are stated to the plate's axis, along which its group pulls
        off = min((_between(hole.angle, load.direction) for load in own), default=_between(hole.angle, 0.0))
        force = max((load.tension for load in own), default=math.nan) if own else tension_along(drawing, face.detail, hole.group)
        if not force > 0:
            out.append(cannot_be_checked(where, what, "the direction of the load at the slot", cite_of(limits, turned)))
        elif off < float(turned["value"]) - 1e-6:
            spots = (face.frame.at(hole.at),)
            check = f"{what}: it stands at {off:.0f} degrees to it, {float(turned['value']):g} at least"
            out.append(wrong(where, check, hole.length, cite_of(limits, turned), spots=spots))
    return out + _told(drawing, face, found)


def _between(one: float, other: float) -> float:
    """The sharp angle between two directions, degrees."""
    return abs((one - other + 90) % 180 - 90)


def _slot_edges(drawing: Drawing, face: Face, sized: Sized) -> list[CheckResult]:
    """Along a slot the edge stands further off than at a round hole."""
    table = table_of(face.standard, "least_edge_distance")
    found = []
    for hole, bolt in sized:
        if hole.slot:
            slots, row, _, short, _ = _slot_row(face, bolt)
            more = float(row["edge_short"]) if not falls_short(short, hole.length) else float(row["edge_long_d"]) * bolt
            base = _up_to(table, "diameter_to", bolt)
            required = float(base["edge"]) + float(base["k_d"]) * bolt + more
            d = unit(hole.angle)
            provided = min(face.outline.ray(hole.at, d), face.outline.ray(hole.at, (-d[0], -d[1])))
            rule = f"edge along the slot (least {length_words(required, drawing.metric)}, {length_words(more, drawing.metric)} more than at a hole)"
            found.append(_Try((hole,), rule, required, provided, slots, row))
    return _told(drawing, face, found)


def _edges(drawing: Drawing, face: Face, sized: Sized) -> list[CheckResult]:
    table = table_of(face.standard, "least_edge_distance")
    found = []
    rules: dict[float, str] = {}
    for hole, bolt in sized:
        row = _up_to(table, "diameter_to", bolt)
        required = float(row["edge"]) + float(row["k_d"]) * bolt
        if bolt not in rules:
            words = length_words(required, drawing.metric), length_words(bolt, drawing.metric)
            rules[bolt] = f"nearest edge of the plate (least {words[0]} for a bolt of {words[1]})"
        found.append(_Try((hole,), rules[bolt], required, face.outline.nearest(hole.at), table, row))
    return _told(drawing, face, found)


def _pairs(drawing: Drawing, face: Face, sized: Sized) -> list[CheckResult]:
    table = table_of(face.standard, "least_spacing")
    row = table.find(quantity="spacing")
    size = dict(sized)
    k_d, k_clear = float(row["k_d"]), float(row["k_clear"])
    reach = max(max(k_d * bolt, k_clear * bolt + max(h.diameter, h.length)) for h, bolt in sized)
    found = []
    for p in measure.nearest_pairs([h for h, _ in sized], reach):
        bolt = max(size[p.first], size[p.second])
        d = (p.second.x - p.first.x) / (p.distance or 1.0), (p.second.y - p.first.y) / (p.distance or 1.0)
        required = max(k_d * bolt, k_clear * bolt + (measure.extent(p.first, d) + measure.extent(p.second, d)) / 2)
        found.append(_Try((p.first, p.second), "distance between holes (least 2-2/3 d, one d clear)", required, p.distance, table, row))
    return _told(drawing, face, found)


def _far_edges(drawing: Drawing, face: Face, sized: Sized) -> list[CheckResult]:
    """Per side of the plate, the hole nearest to it: a plate that reaches far beyond its bolts stands off (square to the edge)."""
    table, row, greatest = greatest_of(drawing, face, "edge")
    found = []
    for d, side in SIDES:
        distance, hole = min(((_square_to_edge(face, h, d), h) for h, _ in sized), key=lambda item: item[0])
        rule = f"greatest distance to the {side} edge ({float(row['k_t']):g} t, at most {length_words(float(row['limit']), drawing.metric)})"
        there = face.outline.ray(hole.at, d)
        edge = hole.x + there * d[0], hole.y + there * d[1]
        found.append(_Try((hole,), rule, greatest, distance, table, row, least=False, other=edge))
    return _told(drawing, face, found)


def _square_to_edge(face: Face, hole: FaceHole, d: Point) -> float:
    """From a hole to the edge that stands in a direction."""
    there, k = face.outline.hit(hole.at, d)
    return min(there, face.outline.edges[k].distance(hole.at)) if k >= 0 else there


def greatest_of(drawing: Drawing, face: Face, quantity: str) -> tuple[Table, Row, float]:
    """Greatest distance (in) to the edge, or between bolts ("spacing"). Raises NotCovered without a thickness."""
    table = table_of(face.standard, "greatest_distances")
    row = table.find(quantity=quantity)
    thickness = drawing.thickness(face)
    if thickness is None:
        raise NotCovered("the thickness of the part (its plan view)")
    return table, row, min(float(row["k_t"]) * thickness, float(row["limit"]))


def far_pitches(drawing: Drawing, face: Face, rows: Sequence[measure.Row], *, leave: Sequence[measure.Pitch] = ()) -> list[CheckResult]:
    """Bolts of neighbouring places along and across a plate stand no further apart than the plate stays close to what it holds."""
    table, row, greatest = greatest_of(drawing, face, "spacing")
    left = {(id(p.first), id(p.second)) for p in leave}
    limit = f"{float(row['k_t']):g} t, at most {length_words(float(row['limit']), drawing.metric)}"
    found = []
    for pitches, way in ((measure.spacings(rows), "along"), (measure.gauges(rows), "across")):
        rule = f"greatest distance between bolts {way} the plate ({limit})"
        found += [
            _Try((p.first, p.second), rule, greatest, p.distance, table, row, least=False) for p in pitches if (id(p.first), id(p.second)) not in left
        ]
    return _told(drawing, face, found)


def _far_pitches(drawing: Drawing, face: Face, sized: Sized) -> list[CheckResult]:
    """Where no part that the plate holds is shown: the widest pitch over its middle is left out, there may be the joint. From one group to another
    nothing is asked: each holds the plate to a part of its own."""
    held = {x.group for f in drawing.joint(face.detail) if f.material == "wood" for x in f.loads if max(x.tension, x.compression) > 0}
    out: list[CheckResult] = []
    middle = (face.outline.box[0] + face.outline.box[2]) / 2
    for group in sorted({h.group for h, _ in sized} - held):
        rows = measure.rows([h for h, _ in sized if h.group == group], (1.0, 0.0))
        over = [[p for p in measure.spacings([r]) if p.first.x < middle < p.second.x] for r in rows]
        out += far_pitches(drawing, face, rows, leave=[max(found, key=lambda p: p.distance) for found in over if found])
    return out
