"""The distances of one group of fasteners in one wood part: end, edge, spacing, rows, for each direction and sign of its load."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from detailgen.checker import measure
from detailgen.checker.bridging import bridges
from detailgen.checker.drawing import FACE_VIEW, Drawing, Face, FaceHole
from detailgen.checker.geometry import Point, side_word, unit
from detailgen.checker.rules import (
    LEAST,
    Asked,
    Least,
    at_least,
    compared,
    connector_spacing,
    fails,
    falls_short,
    least_distance,
    quantities_of,
    rows_of,
    size_bounds,
    table_of,
    woods_of,
)
from detailgen.checker.tags import Fastener, Load, fastener
from detailgen.core.clause import Cite
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult, cannot_be_checked
from detailgen.core.tolerance import LENGTH_IN
from detailgen.core.units import MM

SQUARE = 1e-9
KINDS = ("softwood", "hardwood")
CONNECTOR_REACH = 9.0
"""Connectors further apart (in) than the largest spacing of any table ask nothing of each other."""
SIGNS = ((1, "tension"), (-1, "compression"))


def document_of(face: Face) -> Cite:
    """Where its distances stand in the standard that a part names."""
    try:
        rows = rows_of(face.standard, LEAST, "bolt")
    except NotCovered:
        return FACE_VIEW
    if not rows:
        return FACE_VIEW
    table = rows[0][0]
    return Cite(table.document, table.clause.split(",")[0], table.name, table.status)


def bearing_length(drawing: Drawing, face: Face, group: str) -> float | None:
    """Length (in) for l/D: a part held by steel counts with its own thickness; wood on wood with the lesser of the parts that pull one way and
    the parts that pull another, or with what carries across the joint. None where a thickness is missing."""
    together = [f for f in drawing.joint(face.detail) if group in f.by_group]
    own = drawing.thickness(face)
    if own is None or any(f.material == "steel" for f in together):
        return own
    sides: dict[float, float] = {}
    across = 0.0
    for f in together:
        load = next((x for x in f.loads if x.group == group and max(x.tension, x.compression) > 0), None)
        if f.material != "wood" or load is None:
            continue
        thickness = drawing.thickness(f)
        if thickness is None:
            return None
        if bridges(drawing, f, group):
            across += thickness
            continue
        sides[round(load.direction % 360, 3)] = sides.get(round(load.direction % 360, 3), 0.0) + thickness
    mine = next((x.direction for x in face.loads if x.group == group), math.nan)
    if across and sides:  # its plies pull on both sides of it
        return min(across, min(sides.values()) if bridges(drawing, face, group) else sides.get(round(mine % 360, 3), own))
    others = sum(t for d, t in sides.items() if d != round(mine % 360, 3))
    return min(sides.get(round(mine % 360, 3), own), others) if others else own


@dataclass(frozen=True)
class _Try:
    """A distance that is asked for and what is there, before anything is made of it."""

    holes: tuple[FaceHole, ...]
    need: Least
    provided: float
    toward: Point | None = None


class GroupInWood:
    """The holes of one group in one wood part."""

    def __init__(self, drawing: Drawing, face: Face, group: str, holes: Sequence[FaceHole]) -> None:
        self.drawing, self.face, self.group, self.holes = drawing, face, group, holes
        if face.grain is None:
            raise NotCovered("the direction of the grain")
        self.grain = unit(face.grain)
        self.fasteners = {h: fastener(h.fastener) for h in holes}
        self.quantities: frozenset[str] = frozenset()
        for one in dict.fromkeys(self.fasteners.values()):
            self.quantities |= quantities_of(face.standard, one.kind)
            woods = woods_of(face.standard, one.kind)
            if woods and face.wood not in woods:
                named = "whether it is softwood or hardwood" if woods <= set(KINDS) else f"which it is of {', '.join(sorted(woods))}"
                raise NotCovered(named)
            self._in_range(one)
        length = bearing_length(drawing, face, group)
        self.slenderness = {h: None if length is None else length / f.diameter for h, f in self.fasteners.items()}
        self._asked: dict[tuple[Fastener, str, str, float, float, float | None], Least] = {}
        self._names: dict[FaceHole, str] = {}

    @property
    def _edge(self) -> str:
        """An edge that nothing pushes towards: some standards have a row for loads along the grain, others call it unloaded."""
        return "edge" if "edge" in self.quantities else "edge_unloaded"

    def _in_range(self, one: Fastener) -> None:
        if math.isnan(one.diameter):
            return
        if not one.named_as_it_is:
            raise NotCovered(f"a fastener of one diameter: '{one.kind}' of {one.diameter / MM:.2g} mm")
        try:
            table = table_of(self.face.standard, f"{one.kind.replace(' ', '_')}_size")
            row = table.find(quantity="diameter")
        except NotCovered:
            return  # the standard sets no bounds
        low, high = size_bounds(table, row)
        if not low - LENGTH_IN <= one.diameter <= high + LENGTH_IN:
            raise NotCovered(f"rows for a {one.kind} of {one.diameter:g} in. ({row['clause']})")

    def judged(self) -> list[CheckResult]:
        loads = [x for x in self.face.loads if x.group == self.group]
        carried = [x for x in loads if max(x.tension, x.compression) > 0]
        if not carried:
            self._must_be_unloaded(loads)
            return self._unloaded()
        self._must_act_somewhere(carried)
        return [r for load in carried for r in self._loaded(load)] + self._nicks()

    def _must_be_unloaded(self, loads: Sequence[Load]) -> None:
        """A part that ends here and says nothing of a load has lost its load, so has a group that loads no part at all."""
        others = [f for f in self.drawing.joint(self.face.detail) if any(x.group == self.group for x in f.loads)]
        if not loads and self.face.existing and self.face.open_ends in ("left", "right"):
            raise NotCovered("the load of this group (the part ends here)")
        if not loads and not others:
            raise NotCovered("the load of this group (no part states one)")

    def _must_act_somewhere(self, loads: Sequence[Load]) -> None:
        """A part that runs on at one end only is held back at the other: in tension the bolts pull it towards its own end."""
        for load in loads:
            along = sum(a * b for a, b in zip(unit(load.direction), (1.0, 0.0), strict=True))
            away = {"left": -1.0, "right": 1.0}.get(self.face.open_ends, 0.0)
            if load.tension > 0 and along * away > 0.5:
                raise NotCovered(f"the direction of the load: in tension it points to the {self.face.open_ends} end, where the part runs on")

    def _ask(self, hole: FaceHole, quantity: str, load: str, angle: float, row_spacing: float, slender: float | None) -> Least:
        f = self.fasteners[hole]
        key = (f, quantity, load, angle, row_spacing, slender)
        if (known := self._asked.get(key)) is None:
            diameter = 0.0 if math.isnan(f.diameter) else f.diameter
            asked = Asked(self.face.standard, f.kind, self.face.wood, quantity, load, angle, diameter, slender, row_spacing)
            known = self._asked[key] = least_distance(asked)
        return known

    def _name(self, *holes: FaceHole) -> str:
        first = self.face.hole_name(holes[0], self.drawing.metric)
        return f"{self.face.name}, {first}" + "".join(f" and hole {self.face.number(h)}" for h in holes[1:])

    def _told(self, tries: Iterable[_Try | None], what: str, sign: str = "", *, loaded: bool = True) -> list[CheckResult]:
        """Every distance that fails, or else the one with least left; what stays unknown is said once."""
        try:
            found = [t for t in tries if t is not None]
        except NotCovered as missing:
            return [cannot_be_checked(f"{self.face.name}, group {self.group}", what, missing.what, document_of(self.face))]
        short = [t for t in found if (fails(t.need, t.provided) if loaded else falls_short(t.provided, t.need.least))]
        # by how much is left over the full value: reduced ones come first
        worst = min(found, key=lambda t: round(t.provided / t.need.full, 6) if t.need.full else math.inf, default=None)
        return [self._result(t, what, sign, loaded=loaded) for t in short or ([worst] if worst is not None else [])]

    def _result(self, t: _Try, what: str, sign: str, *, loaded: bool) -> CheckResult:
        at = t.holes[0].at
        other = t.holes[1].at if len(t.holes) > 1 else at
        if t.toward is not None:
            other = (at[0] + t.provided * t.toward[0], at[1] + t.provided * t.toward[1])
        spots = tuple(self.face.frame.at(p) for p in dict.fromkeys((at, other)))
        if loaded:
            return compared(self._name(*t.holes), what, t.need, t.provided, sign, spots)
        check = f"{what} (no load of this group: least {t.need.least_rule})"
        return at_least(self._name(*t.holes), check, t.need.least, t.provided, t.need.least_cite, spots=spots)

    def _towards(self, hole: FaceHole, d: Point) -> float | None:
        """Distance to the outline; None at a break line."""
        distance, edge = self.face.outline.hit(hole.at, d)
        return distance if edge in self.face.closed_edges else None

    def _sides(self) -> Iterator[tuple[int, str, Point]]:
        """Ends and edges: sign, kind, direction."""
        across = (-self.grain[1], self.grain[0])
        for e in (-1, 1):
            yield e, "end", (e * self.grain[0], e * self.grain[1])
            yield e, "edge", (e * across[0], e * across[1])

    def _ends_and_edges(self, c: float, s: float, angle: float, row_spacing: float, sign: str) -> list[CheckResult]:
        out: list[CheckResult] = []
        for e, kind, d in self._sides():
            if kind == "end":
                load = "tension" if c * e > 0 else "compression"
                word = "bolts bear along it both ways" if c == 0 else "bolts bear towards it" if c * e > 0 else "bolts bear away from it"
                what = f"end distance at the {side_word(d)} end ({word if c else 'load across the grain'})"
                out += self._told((self._one(h, "end", load, d, angle, row_spacing) for h in self.holes), what, sign)
                continue
            for quantity, counts, text in (
                (self._edge, c != 0, ""), ("edge_loaded", s * e > 0, ", loaded"), ("edge_unloaded", s * e < 0, ", unloaded"),
            ):  # fmt: skip
                if counts:
                    what = f"edge distance at the {side_word(d)} edge{text}"
                    tries = (self._one(h, quantity, "tension", d, angle, row_spacing) for h in self.holes)
                    out += self._told(tries, what, sign if text else "")
        return out

    def _one(self, h: FaceHole, quantity: str, load: str, d: Point, angle: float, row_spacing: float) -> _Try | None:
        provided = self._towards(h, d)
        return None if provided is None else _Try((h,), self._ask(h, quantity, load, angle, row_spacing, self.slenderness[h]), provided, d)

    def _loaded(self, load: Load) -> list[CheckResult]:
        d = unit(load.direction)
        c, s = measure.project(d, self.grain)
        c, s = (0.0 if abs(v) < SQUARE else v for v in (c, s))
        angle = math.degrees(math.atan2(abs(s), abs(c)))
        found = measure.rows(self.holes, d)
        between = measure.gauges(found)
        row_spacing = max((p.distance for p in between), default=0.0)
        out: list[CheckResult] = []
        # a part that says by no cut end which way it is held is judged for both
        ways = (1,) if self.face.open_ends in ("left", "right") else (1, -1)
        for sign, word in SIGNS:
            if getattr(load, word) > 0:
                for way in ways:
                    new = self._ends_and_edges(c * sign * way, s * sign * way, angle, row_spacing, f"member in {word}")
                    out += [r for r in new if r not in out]
        if "spacing_along_grain" in self.quantities:
            by_grain = measure.rows(self.holes, self.grain)
            out += self._pitches(measure.spacings(by_grain), "spacing_along_grain", "spacing along the grain", angle, row_spacing)
            return out + self._pitches(measure.gauges(by_grain), "spacing_across_grain", "spacing across the grain", angle, row_spacing)
        if "spacing_in_row" not in self.quantities:
            return out + self._connectors(angle)
        out += self._pitches(measure.spacings(found), "spacing_in_row", "spacing in a row", angle, row_spacing)
        return out + self._pitches(between, "between_rows", "distance between rows", angle, row_spacing)

    def _pitches(self, pitches: Sequence[measure.Pitch], quantity: str, what: str, angle: float, row_spacing: float) -> list[CheckResult]:
        by_first: dict[FaceHole, measure.Pitch] = {}
        for p in pitches:
            if p.first not in by_first or p.distance < by_first[p.first].distance:
                by_first[p.first] = p

        def tries() -> Iterator[_Try | None]:
            for p in by_first.values():
                thick = max((p.first, p.second), key=lambda x: self.fasteners[x].diameter)
                yield _Try((p.first, p.second), self._ask(thick, quantity, "tension", angle, row_spacing, self.slenderness[thick]), p.distance)

        return self._told(tries(), what)

    def _connectors(self, angle: float) -> list[CheckResult]:
        """Rings and shear plates: every two, by the angle of the line between them to the grain."""

        def tries() -> Iterator[_Try | None]:
            for p in measure.nearest_pairs(self.holes, CONNECTOR_REACH):
                u, v = measure.project((p.second.x - p.first.x, p.second.y - p.first.y), self.grain)
                axis = math.degrees(math.atan2(abs(v), abs(u)))
                need = connector_spacing(self.face.standard, self.fasteners[p.first].kind, round(angle, 6), axis)
                yield _Try((p.first, p.second), need, p.distance)

        return self._told(tries(), "spacing of connectors")

    def _nicks(self) -> list[CheckResult]:
        """The nearest edge in any direction: a nick or a slope beside a hole that no ray along or across the grain meets."""
        if self.face.outline.is_box and self.face.grain is not None and abs(self.face.grain % 90) < SQUARE:
            return []
        edges = [self.face.outline.edges[k] for k in self.face.closed_edges]

        def tries() -> Iterator[_Try | None]:
            for h in self.holes:
                straight = min((t for _, _, d in self._sides() if (t := self._towards(h, d)) is not None), default=math.inf)
                near = self.face.outline.nearest(h.at, edges)
                if falls_short(near, straight):
                    yield _Try((h,), self._ask(h, self._edge, "tension", 0.0, 0.0, 0.0), near)

        return self._told(tries(), "nearest edge in any direction")

    def _unloaded(self) -> list[CheckResult]:
        """A part that this group passes through without loading it: no end of it is loaded, so the edge row counts in every direction (ours)."""
        out: list[CheckResult] = []
        for _, kind, d in self._sides():
            tries = (
                None if (p := self._towards(h, d)) is None else _Try((h,), self._ask(h, self._edge, "compression", 0.0, 0.0, 0.0), p, d)
                for h in self.holes
            )  # fmt: skip
            out += self._told(tries, f"{kind} distance at the {side_word(d)} {kind}", loaded=False)
        found = measure.rows(self.holes, self.grain)
        along, across = measure.spacings(found), measure.gauges(found)
        if "spacing_along_grain" in self.quantities:
            asked = ((along, "spacing_along_grain", "spacing along the grain"), (across, "spacing_across_grain", "spacing across the grain"))
        else:
            asked = ((along, "spacing_in_row", "spacing in a row"), (across, "between_rows", "distance between rows"))
        for pitches, quantity, what in asked:
            if quantity in self.quantities:
                each = (_Try((p.first, p.second), self._ask(p.first, quantity, "compression", 0.0, 0.0, 0.0), p.distance) for p in pitches)
                out += self._told(each, what, loaded=False)
        return out + self._nicks()
