"""Bolts in wood parts, judged by the standard that the part names: holes, end, edge, spacing, rows. Every distance is measured in the face view."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence

from detailgen.checker import measure
from detailgen.checker.drawing import Drawing, Face, FaceHole
from detailgen.checker.geometry import Point, unit
from detailgen.checker.rules import C_DELTA, Asked, Least, at_least, at_most, cite_of, compared, falls_short, least_distance, table_of, wrong
from detailgen.checker.tags import Load, fastener
from detailgen.core.clause import Cite
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult, State, cannot_be_checked

SQUARE = 1e-9
FACE_VIEW = Cite("face view", "holes and outlines as drawn")
_NO_HOLE = "a hole of this group: the part says that it loads it"
KINDS = ("softwood", "hardwood")
SIGNS = ((1, "tension"), (-1, "compression"))


def judge_wood(drawing: Drawing, face: Face) -> list[CheckResult]:
    """Every group of new holes in one wood part."""
    out: list[CheckResult] = []
    for group in face.groups:
        holes = [h for h in face.new_holes if h.group == group]
        out += _hole_sizes(drawing, face, holes)
        inside = [h for h in holes if face.outline.contains(h.at)]
        where = f"{face.name}, group {group}"
        for hole in holes:
            if hole not in inside:
                out.append(wrong(f"{face.name}, {face.hole_name(hole, drawing.metric)}", "hole stands outside its part", hole.diameter, FACE_VIEW))
        try:
            if inside:
                out += _Group(drawing, face, group, inside).judged()
        except NotCovered as missing:
            out.append(cannot_be_checked(where, "distances of bolts in wood", missing.what, _document(face)))
    for load in face.loads:
        if load.group not in face.groups and max(load.tension, load.compression) > 0:
            where = f"{face.name}, group {load.group}"
            out.append(cannot_be_checked(where, "distances of bolts in wood", _NO_HOLE, FACE_VIEW))
    return out


def _document(face: Face) -> Cite:
    try:
        table = table_of(face.standard, "bolt_least_distances")
    except NotCovered:
        return FACE_VIEW
    return Cite(table.document, table.clause.split(",")[0], table.name, table.status)


def _hole_sizes(drawing: Drawing, face: Face, holes: Sequence[FaceHole]) -> Iterator[CheckResult]:
    """Each hole against its bolt: the worst if all pass, else every one that does not."""
    found: list[tuple[float, CheckResult]] = []
    for hole in holes:
        where = f"{face.name}, {face.hole_name(hole, drawing.metric)}"
        if hole.slot:
            yield cannot_be_checked(where, "hole for its bolt", "a rule for slots in wood", FACE_VIEW)
            continue
        try:
            one = fastener(hole.fastener)
            table = table_of(face.standard, f"{one.kind}_size")
            row = table.find(quantity="hole over diameter")
        except NotCovered as missing:
            yield cannot_be_checked(where, "hole for its bolt", missing.what, FACE_VIEW)
            continue
        least, greatest = one.diameter + float(row["least"]), one.diameter + float(row["greatest"])
        low = at_least(where, "hole for its bolt: not too tight", least, hole.diameter, cite_of(table, row))
        high = at_most(where, "hole for its bolt: not too large", greatest, hole.diameter, cite_of(table, row))
        result = low if low.state is not State.PASSES else high
        found.append((result.ratio, result))
    failing = [r for _, r in found if r.state is not State.PASSES]
    yield from failing or ([max(found, key=lambda f: f[0])[1]] if found else [])


def bearing_length(drawing: Drawing, face: Face, group: str) -> float | None:
    """Length (in) for l/D: a part held by steel counts with its own thickness; wood on wood with the lesser of the parts that pull one way and
    the parts that pull another. None where a thickness is missing."""
    together = [f for f in drawing.faces if f.detail == face.detail and group in f.groups]
    own = drawing.thickness(face)
    if own is None or any(f.material == "steel" for f in together):
        return own
    sides: dict[float, float] = {}
    for f in together:
        load = next((x for x in f.loads if x.group == group and max(x.tension, x.compression) > 0), None)
        if f.material != "wood" or load is None:
            continue
        thickness = drawing.thickness(f)
        if thickness is None:
            return None
        sides[round(load.direction % 360, 3)] = sides.get(round(load.direction % 360, 3), 0.0) + thickness
    mine = next((x.direction for x in face.loads if x.group == group), math.nan)
    others = sum(t for d, t in sides.items() if d != round(mine % 360, 3))
    return min(sides.get(round(mine % 360, 3), own), others) if others else own


class _Group:
    """The holes of one group in one wood part."""

    def __init__(self, drawing: Drawing, face: Face, group: str, holes: Sequence[FaceHole]) -> None:
        self.drawing, self.face, self.group, self.holes = drawing, face, group, holes
        if face.grain is None:
            raise NotCovered("the direction of the grain")
        if face.wood not in KINDS:
            raise NotCovered("whether it is softwood or hardwood")
        self.grain = unit(face.grain)
        self.fasteners = {h: fastener(h.fastener) for h in holes}
        sizes = table_of(face.standard, "bolt_least_distances"), table_of(face.standard, "bolt_size")
        known = {str(row["fastener"]) for row in sizes[0]}
        range_ = sizes[1].find(quantity="diameter")
        for one in self.fasteners.values():
            if one.kind not in known:
                raise NotCovered(f"rows for fastener '{one.kind}'")
            if not float(range_["least"]) <= one.diameter <= float(range_["greatest"]):
                raise NotCovered(f"rows for a bolt of {one.diameter:g} in. ({range_['clause']})")
        length = bearing_length(drawing, face, group)
        self.slenderness = {h: None if length is None else length / f.diameter for h, f in self.fasteners.items()}

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
        others = [f for f in self.drawing.faces if f.detail == self.face.detail and any(x.group == self.group for x in f.loads)]
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
        return least_distance(Asked(self.face.standard, f.kind, self.face.wood, quantity, load, angle, f.diameter, slender, row_spacing))

    def _name(self, *holes: FaceHole) -> str:
        first = self.face.hole_name(holes[0], self.drawing.metric)
        return f"{self.face.name}, {first}" + "".join(f" and hole {self.face.number(h)}" for h in holes[1:])

    def _each(self, judge: Callable[[FaceHole], CheckResult | None], what: str) -> list[CheckResult]:
        """Every hole that fails, or else the worst one."""
        try:
            found = [r for h in self.holes if (r := judge(h)) is not None]
        except NotCovered as missing:
            return [cannot_be_checked(f"{self.face.name}, group {self.group}", what, missing.what, _document(self.face))]
        failing = [r for r in found if r.state is not State.PASSES]
        # by how much is left over the full value: reduced ones come first
        return failing or ([min(found, key=_left)] if found else [])

    def _towards(self, hole: FaceHole, d: Point) -> float | None:
        """Distance to the outline; None at a break line."""
        distance, edge = self.face.outline.hit(hole.at, d)
        return distance if edge in self.face.closed_edges else None

    def _ends_and_edges(self, c: float, s: float, angle: float, row_spacing: float, sign: str) -> list[CheckResult]:
        out: list[CheckResult] = []
        across = (-self.grain[1], self.grain[0])
        for e in (-1, 1):
            d = (e * self.grain[0], e * self.grain[1])
            load = "tension" if c * e > 0 else "compression"
            word = "bolts bear along it both ways" if c == 0 else "bolts bear towards it" if c * e > 0 else "bolts bear away from it"
            what = f"end distance at the {_side(d)} end ({word if c else 'load across the grain'})"
            out += self._each(lambda h, d=d, load=load, what=what: self._one(h, "end", load, d, angle, row_spacing, what, sign), what)  # type: ignore[misc]
            d = (e * across[0], e * across[1])
            for quantity, counts, text in (
                ("edge", c != 0, ""), ("edge_loaded", s * e > 0, ", loaded"), ("edge_unloaded", s * e < 0, ", unloaded"),
            ):  # fmt: skip
                if counts:
                    what = f"edge distance at the {_side(d)} edge{text}"
                    note = "" if quantity == "edge" else sign
                    out += self._each(
                        lambda h, q=quantity, d=d, what=what, n=note: self._one(h, q, "tension", d, angle, row_spacing, what, n), what)  # type: ignore[misc]
        return out

    def _one(self, h: FaceHole, quantity: str, load: str, d: Point, angle: float, row_spacing: float, what: str, sign: str) -> CheckResult | None:
        provided = self._towards(h, d)
        if provided is None:
            return None
        return compared(self._name(h), what, self._ask(h, quantity, load, angle, row_spacing, self.slenderness[h]), provided, sign)

    def _loaded(self, load: Load) -> list[CheckResult]:
        d = unit(load.direction)
        c, s = measure.project(d, self.grain)
        c, s = (0.0 if abs(v) < SQUARE else v for v in (c, s))
        angle = math.degrees(math.atan2(abs(s), abs(c)))
        found = measure.rows(self.holes, d)
        between = measure.gauges(found)
        row_spacing = max((p.distance for p in between), default=0.0)
        out: list[CheckResult] = []
        for sign, word in SIGNS:
            if getattr(load, word) > 0:
                new = self._ends_and_edges(c * sign, s * sign, angle, row_spacing, f"member in {word}")
                out += [r for r in new if r not in out]
        out += self._pitches(measure.spacings(found), "spacing_in_row", "spacing in a row", angle, row_spacing)
        out += self._pitches(between, "between_rows", "distance between rows", angle, row_spacing)
        return out

    def _pitches(self, pitches: Sequence[measure.Pitch], quantity: str, what: str, angle: float, row_spacing: float) -> list[CheckResult]:
        by_first: dict[FaceHole, measure.Pitch] = {}
        for p in pitches:
            if p.first not in by_first or p.distance < by_first[p.first].distance:
                by_first[p.first] = p

        def judge(h: FaceHole) -> CheckResult | None:
            if h not in by_first:
                return None
            p = by_first[h]
            thick = max((p.first, p.second), key=lambda x: self.fasteners[x].diameter)
            return compared(self._name(p.first, p.second), what, self._ask(thick, quantity, "tension", angle, row_spacing, self.slenderness[thick]),
                            p.distance)  # fmt: skip

        return self._each(judge, what)

    def _nicks(self) -> list[CheckResult]:
        """The nearest edge in any direction: a nick or a slope beside a hole that no ray along or across the grain meets."""
        across = (-self.grain[1], self.grain[0])
        directions = [(e * v[0], e * v[1]) for v in (self.grain, across) for e in (-1, 1)]
        edges = [self.face.outline.edges[k] for k in self.face.closed_edges]

        def judge(h: FaceHole) -> CheckResult | None:
            straight = min((t for d in directions if (t := self._towards(h, d)) is not None), default=math.inf)
            near = self.face.outline.nearest(h.at, edges)
            if not falls_short(near, straight):
                return None
            return compared(self._name(h), "nearest edge in any direction", self._ask(h, "edge", "tension", 0.0, 0.0, 0.0), near)

        return self._each(judge, "nearest edge in any direction")

    def _unloaded(self) -> list[CheckResult]:
        """A part that this group passes through without loading it: no end of it is loaded, so the edge row counts in every direction (ours)."""
        found = measure.rows(self.holes, self.grain)
        out: list[CheckResult] = []

        def least(name: str, what: str, hole: FaceHole, quantity: str, provided: float) -> CheckResult:
            need = self._ask(hole, quantity, "compression", 0.0, 0.0, 0.0)
            return at_least(name, f"{what} (no load of this group: least {need.least_rule})", need.least, provided, need.least_cite)

        across = (-self.grain[1], self.grain[0])
        for e in (-1, 1):
            for v, kind in ((self.grain, "end"), (across, "edge")):
                d = (e * v[0], e * v[1])
                what = f"{kind} distance at the {_side(d)} {kind}"

                def judge(h: FaceHole, d: Point = d, w: str = what) -> CheckResult | None:
                    return None if (provided := self._towards(h, d)) is None else least(self._name(h), w, h, "edge", provided)

                out += self._each(judge, what)
        for pitches, quantity, what in (
            (measure.spacings(found), "spacing_in_row", "spacing in a row"), (measure.gauges(found), "between_rows", "distance between rows"),
        ):  # fmt: skip
            new = [least(self._name(p.first, p.second), what, p.first, quantity, p.distance) for p in sorted(pitches, key=lambda p: p.distance)]
            out += [r for r in new if r.state is not State.PASSES] or new[:1]
        return out + self._nicks()


def _left(result: CheckResult) -> float:
    """How much of the full value a result leaves: C_delta first, then what is provided over what is required."""
    factor = next((s.value for s in result.steps if s.symbol == C_DELTA), 1.0)
    return factor if factor < 1 else (result.capacity / result.demand if result.demand else math.inf)


def _side(d: Point) -> str:
    if abs(d[0]) >= abs(d[1]):
        return "right" if d[0] > 0 else "left"
    return "upper" if d[1] > 0 else "lower"
