"""A bracket inboard of a heel that has no room for a jack: where it stands, and its steel.

On each face of the chord a head, a thick plate across the strands with the barrels on its face toward the heel, stands welded on a base that
bolts in slots hold to the chord. Ties from the head to the plate on the chord's end grain carry the force, so that the chord is squeezed from end
to end; the base only keeps the head in line.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np

from detailgen.core.result import CheckResult
from detailgen.core.tolerance import at_most, down_to_grid, rounded, rounded_length, up_to_grid
from detailgen.model.member import Member
from detailgen.model.project import Stressing, Truss
from detailgen.remedies import usual
from detailgen.remedies.contract import Anchorage, Job
from detailgen.remedies.posttension import parameters as p
from detailgen.remedies.posttension.guides import FROM_BOLT, over_bolts
from detailgen.remedies.posttension.heel import EndPlate, Pushed, plate_for
from detailgen.remedies.posttension.run import Way, ends_of, obstacles
from detailgen.remedies.posttension.ties import Ties, apart, smallest
from detailgen.standards import anchorage as steel
from detailgen.standards.interface import Floats
from detailgen.stock.plates import plate_steel, plate_thicknesses, shop_grid, steel_unit_weight

SLOT = {"US": Fraction(1, 8), "SI": Fraction(30, 254)}
"""What a slot leaves its bolt either way is a multiple of this (in): 1/8 in. or 3 mm."""
GUESS = 2.0
"""Thickness of a head (in) with which its place is first looked for."""


@dataclass(frozen=True)
class Head:
    """The plate across the strands of one face: thickness along the chord, height, width off the chord (in); ``off``: from the middle of its width
    outward to the strands."""

    thickness: float
    height: float
    width: float
    off: float = 0.0


@dataclass(frozen=True)
class Base:
    """The plate on one face of the chord that a head is welded to. Along the chord from the head's face toward the heel: whole length, columns of
    bolts at the middles of their slots; heights of bolts; the slots leave the head free to move by half of what they are longer than wide."""

    thickness: float
    length: float
    height: float
    columns: tuple[float, float]
    slot: tuple[float, float]  # length, width
    moves: float  # what the head moves along the chord while strands are pulled


@dataclass(frozen=True)
class Bracket:
    """Everything inboard of one heel. ``plate`` is the end plate there, on which the ties' nuts bear."""

    way: Way
    ties: Ties
    head: Head
    base: Base
    plate: EndPlate
    results: tuple[CheckResult, ...]

    @property
    def left(self) -> bool:
        return self.way.tight == "left"

    @property
    def behind(self) -> float:
        """Room (in) that it asks for behind the end grain: plate, nut, thread, fingers; up to a sixteenth, so that no less is written."""
        return up_to_grid(self.plate.face + self.ties.size.stack + self.ties.size.past + p.FINGERS, Fraction(1, 16))

    @property
    def sizes(self) -> tuple[object, ...]:
        """What must stand still before it is built."""
        return self.ties.size, self.ties.between, self.head, self.base.length, self.base.slot, self.plate.thickness

    @property
    def tie_length(self) -> float:
        """Of a rod: through both plates, nuts, and thread beyond them (in)."""
        return up_to_grid(self.ties.between + 2 * (self.ties.size.stack + self.ties.size.past), Fraction(1, 8))

    @property
    def weight(self) -> float:
        """Of heads, bases and ties (lb)."""
        heads = self.head.thickness * self.head.height * self.head.width + self.base.thickness * self.base.length * self.base.height
        return 2 * steel_unit_weight() * (heads + self.ties.area * self.tie_length)

    def at(self, truss: Truss, chord: Member, inward: float) -> float:
        """x of what stands so far from the tight end's grain (in)."""
        left, right = ends_of(truss, chord)
        return rounded_length(truss.joints[chord.joints[0]][0] - left + inward if self.left else truss.joints[chord.joints[-1]][0] + right - inward)

    def columns(self, truss: Truss, chord: Member) -> tuple[float, ...]:
        """x of the base's columns of bolts."""
        return tuple(self.at(truss, chord, self.way.inboard + c) for c in self.base.columns)

    def reach(self, truss: Truss, chord: Member) -> tuple[float, float]:
        """From x to x of the base."""
        a, b = sorted(self.at(truss, chord, self.way.inboard + c) for c in (0.0, self.base.length))
        return a, b


def least_inboard(anchor: p.Anchor, tools: Stressing) -> float:
    """The nearest to the end grain that a bracket may stand (in): barrel, jack with its ram out, a hand."""
    return anchor.length + tools.jack_length + tools.stroke + p.HAND


def way_of_ties(way: Way, size: p.TieSize, jack: float) -> Way:
    """The ties of one face as a way of their own."""
    off = apart(jack, size)
    return replace(way, heights=(rounded_length(min(way.heights) - off), rounded_length(max(way.heights) + off)))


@dataclass(frozen=True)
class _Around:
    """What stands out over the chord's faces near one end: u from the end grain inward, y from the chord's axis, how far off the truss's plane."""

    names: tuple[str, ...]
    u: tuple[Floats, Floats]
    y: tuple[Floats, Floats]
    out: Floats

    def off(self, u: tuple[float, float], heights: tuple[float, float], radius: float) -> tuple[float, str]:
        """How far off the plane a round thing of a radius must keep over a length and between heights (in); what asks for it."""
        room = p.CLEAR + radius
        beside = (self.u[0] < u[1] + p.CLEAR) & (self.u[1] > u[0] - p.CLEAR)
        beside &= (self.y[0] < heights[1] + room) & (self.y[1] > heights[0] - room)
        if not beside.any():
            return 0.0, ""
        k = int(np.argmax(np.where(beside, self.out, 0.0)))
        return float(self.out[k]) + room, self.names[k]


def _around(truss: Truss, chord: Member, tight: str) -> _Around:
    face = max(abs(q.z) + q.thickness / 2 for q in chord.plies)
    left, right = ends_of(truss, chord)
    first, last = (truss.joints[chord.joints[k]][0] for k in (0, -1))
    level = truss.joints[chord.joints[0]][1]
    found = [o for o in obstacles(truss, chord) if max(abs(o.z[0]), abs(o.z[1])) > face + 1e-6]
    xs = np.array([o.x for o in found]).reshape(-1, 2)
    u = xs - (first - left) if tight == "left" else (last + right) - xs[:, ::-1]
    y = np.array([o.y for o in found]).reshape(-1, 2) - level
    out = np.array([max(abs(o.z[0]), abs(o.z[1])) for o in found])
    return _Around(tuple(o.what for o in found), (u[:, 0], u[:, 1]), (y[:, 0], y[:, 1]), out)


def ways_to_bracket(
    truss: Truss, chord: Member, per_face: int, anchor: p.Anchor, tools: Stressing, size: p.TieSize, units: str, tight: str,
) -> list[Way]:  # fmt: skip
    """A straight way from a bracket near the tight end to the other end, at every height at which strands and ties stay on the chord, each with the
    bracket where strands, ties and jack pass nearest to the faces; the nearest to the faces first. ``size``: no tie is thicker."""
    depth = min(q.depth for q in chord.plies)
    face = max(abs(q.z) + q.thickness / 2 for q in chord.plies)
    around = _around(truss, chord, tight)
    length = truss.span + sum(ends_of(truss, chord))
    beyond = apart(tools.jack_diameter, size)
    reach = (per_face - 1) * p.APART / 2
    most = (depth - p.PAD_SHORTER) / 2 - size.washer / 2 - reach - beyond  # washers stay whole on the end plate
    if most < -1e-9:
        return []
    jack, sheath, tie = tools.jack_diameter / 2, anchor.sheath / 2, size.diameter / 2
    start = up_to_grid(least_inboard(anchor, tools), p.WHOLE[units])
    step = p.BRACKET_STEP[units]
    at = [rounded_length(start + k * step) for k in range(int((min(p.FARTHEST, length / 3) - start) / step) + 1)]
    found: list[Way] = []
    for k in range(-int(most / p.HEIGHT_STEP), int(most / p.HEIGHT_STEP) + 1):
        middle = k * p.HEIGHT_STEP
        heights = tuple(rounded_length(middle - reach + n * p.APART) for n in range(per_face))
        low, high = heights[0], heights[-1]
        best: Way | None = None
        for inboard in at:
            foot = inboard + GUESS + 2 * p.BASE_END + p.BASE_BOLTS[units] + 2.0
            if around.off((inboard - 1.0, foot), (low - beyond, high + beyond), tie)[0] or _zoned(truss, chord, tight, (inboard, foot), (low, high)):
                continue
            asks = [
                (face + p.CLEAR + jack, "the chord's faces, by the jack"),
                around.off((inboard, length), (low, high), sheath),
                around.off((0.0, inboard + GUESS + 3.0), (low - beyond, low - beyond), tie),
                around.off((0.0, inboard + GUESS + 3.0), (high + beyond, high + beyond), tie),
                around.off((inboard - least_inboard(anchor, tools) + p.HAND, inboard), (low, high), jack),
            ]
            least, why = max(asks, key=lambda a: a[0])
            one = Way(heights, up_to_grid(least, p.OFF[units]), why, least, tight, inboard)
            if best is None or one.z < best.z - 1e-9:
                best = one
        if best is not None:
            found.append(best)
    return sorted(found, key=lambda w: (w.z, abs(w.height), w.height))


def _zoned(truss: Truss, chord: Member, tight: str, u: tuple[float, float], heights: tuple[float, float]) -> bool:
    """Does a no-drill zone of the chord bar the base's bolts?"""
    left, right = ends_of(truss, chord)
    first, last = (truss.joints[chord.joints[k]][0] for k in (0, -1))
    x = sorted(first - left + v if tight == "left" else last + right - v for v in u)
    low, high = heights[0] - FROM_BOLT - 1.0, heights[1] + FROM_BOLT + 1.0
    return any(
        z.member == chord.name and z.along - z.length / 2 < x[1] and z.along + z.length / 2 > x[0]
        and z.across - z.depth / 2 < high and z.across + z.depth / 2 > low
        for z in truss.zones
    )  # fmt: skip


def bracket_for(
    job: Job, anchorage: Anchorage, chord: Member, way: Way, anchor: p.Anchor, pushed: Pushed, jack: float, gives: float,
) -> Bracket | str:  # fmt: skip
    """Ties, end plate, heads and bases for what all strands push (lb) and one is jacked with; why there are none, if there are none.

    ``gives``: what the chord shortens (in) from its end to the bracket while strands are pulled.
    """
    tools, units = job.project.stressing, job.project.units
    chosen = smallest(anchorage, pushed)
    if isinstance(chosen, str):
        return chosen
    size, tied = chosen
    lines = way_of_ties(way, size, tools.jack_diameter)
    as_anchor = p.Anchor(anchor.size, size.washer, size.stack, size.diameter, size.hole)
    plate = plate_for(job, anchorage, chord, lines, as_anchor, pushed)
    if isinstance(plate, str):
        return plate
    plate = replace(plate, results=tuple(_renamed(r, "washer of a tie on the end plate") for r in plate.results))
    found = _head(anchorage, way, anchor, size, lines, pushed, chord, units.name)
    if isinstance(found, str):
        return found
    head, results = found
    between = rounded_length(plate.face + way.inboard + head.thickness)
    ties = Ties(size, (lines.heights[0], lines.heights[-1]), between, tied)
    moves = gives + ties.stretch(float(pushed.force.max()) / 2)
    base, held = _base(anchorage, chord, way, head, jack, moves, units.name)
    if base.slot[0] > 2.5 * p.GUIDE_BOLT:
        return f"the bracket moves {units.write_length(moves)} along the chord while strands are pulled, more than a slot leaves it"
    every = (*tied, *results, *held)
    worst = max(every, key=lambda r: rounded(r.ratio))
    if not at_most(worst.ratio, 1.0):
        return f"the bracket does not hold: {worst.where}, {worst.check} {worst.ratio:.2f}"
    return Bracket(way, ties, head, base, plate, every)


def _renamed(result: CheckResult, where: str) -> CheckResult:
    if not result.where.startswith("barrel"):
        return result
    r = result
    return CheckResult(where, r.check.replace("barrel", "washer"), r.demand, r.capacity, r.unit, r.ratio, r.state, r.combination, r.stage, r.station,
                       r.cite, r.calculation, r.entry, r.missing)  # fmt: skip


def _head(
    anchorage: Anchorage, way: Way, anchor: p.Anchor, size: p.TieSize, ties: Way, pushed: Pushed, chord: Member, units: str,
) -> tuple[Head, list[CheckResult]] | str:  # fmt: skip
    """The thinnest head that bends little enough between its two ties, and what its barrels and washers press on it."""
    face = max(abs(q.z) + q.thickness / 2 for q in chord.plies)
    metal = plate_steel(p.PLATE_STEEL)
    inner = way.z - face - p.BASE[units]  # from the base to the strands
    width = down_to_grid(2 * inner, shop_grid(units).plate_length)
    off = rounded_length(inner - width / 2)
    if width - 2 * off < anchor.barrel:
        return "no bracket's head stands between the chord and the strands that is as wide as a barrel"
    half = ties.heights[-1] - way.height
    height = up_to_grid(2 * (half + size.washer / 2 + p.PLATE_OVER), shop_grid(units).plate_length)
    above = [h - way.height for h in way.heights if h - way.height > 1e-6]
    arm = half - 2 * sum(above) / len(way.heights)  # of half a face's strands: the moment in the middle of the head over that force
    load = steel.PartLoad("head of the bracket", pushed.force / 4, pushed.combinations, "strands")
    barrel = anchorage.parts.barrel_checks(
        steel.Barrel(anchor.barrel, anchor.hole, metal.F_y),
        steel.PartLoad("barrel on the head of the bracket", pushed.force / (2 * len(way.heights)), pushed.combinations, "strands"),
    )
    washers = anchorage.parts.barrel_checks(steel.Barrel(size.washer, size.hole, metal.F_y), replace(load, where="washer of a tie on the bracket"))
    bent: list[CheckResult] = []
    for thickness in (*(t for t in plate_thicknesses(units) if t >= p.LEAST_PLATE), *p.HEAVY[units]):
        overhang = steel.Overhang(thickness, width - 2 * off - anchor.hole, arm, metal.F_y, even=False)
        bent = list(anchorage.parts.overhang_checks(overhang, load))
        if all(at_most(r.ratio, 1.0) for r in bent):
            told = [_renamed(r, "washer of a tie on the bracket") for r in washers]
            return Head(thickness, height, width, off), [*bent, *barrel, *told]
    worst = max(bent, key=lambda r: rounded(r.ratio))
    return f"a bracket's head of {p.HEAVY[units][-1]:g} in. is not enough: {worst.ratio:.2f} in bending between its ties"


def _base(
    anchorage: Anchorage, chord: Member, way: Way, head: Head, jack: float, moves: float, units: str,
) -> tuple[Base, list[CheckResult]]:  # fmt: skip
    """The base: its slots leave the head twice the movement, its bolts and welds hold a share of the jacking force all the same."""
    grid, wide = shop_grid(units), p.GUIDE_BOLT + usual.HOLE_OVER_BOLT
    long = rounded_length(wide + 2 * up_to_grid(2 * moves, SLOT[units]))
    first = up_to_grid(head.thickness + p.BASE_END + long / 2, grid.holes)
    columns = first, rounded_length(first + p.BASE_BOLTS[units])
    length = up_to_grid(columns[1] + long / 2 + p.BASE_END, grid.plate_length)
    away = up_to_grid(FROM_BOLT, grid.holes)
    lines = min(way.heights) - away, max(way.heights) + away
    tall = rounded_length(lines[1] - lines[0] + 2 * over_bolts(lines, units))
    base = Base(p.BASE[units], length, tall, columns, (long, wide), moves)
    force, combination = np.array([p.HELD * jack * len(way.heights)]), ("a share of the jacking force, in any direction",)
    face = max(abs(q.z) + q.thickness / 2 for q in chord.plies)
    off = way.z - face
    lone = steel.Bracket("A307", p.GUIDE_BOLT, off, columns, 2)
    bolts = anchorage.parts.bracket_checks(lone, steel.PartLoad("base of the bracket", force, combination, "strands"))
    metal = plate_steel(p.PLATE_STEEL)
    # One fillet of the two: half of the force, and the couple of the force off the base's face.
    each = force / 2 + force * (off - base.thickness) / head.thickness
    fillet = steel.FilletWeld(p.WELD[units], tall, 0.0, p.ELECTRODE, base.thickness, head.thickness, metal.F_y, metal.F_u)
    weld = anchorage.parts.weld_checks(fillet, steel.PartLoad("each fillet of a bracket's head", each, combination, "strands"))
    return base, [*bolts, *weld]
