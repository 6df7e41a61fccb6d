"""The bolts of a new heel through the bottom chord: every pattern of the grid, judged at once by the wood standard, then by the survey's own code."""

from __future__ import annotations

import contextlib
import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from detailgen.analysis.build import panel_name
from detailgen.assessment.connections import check_connection
from detailgen.assessment.members import grade_of
from detailgen.core.clause import Calculation, Cite
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult, State, governs
from detailgen.core.tolerance import at_most, rounded, rounded_length, up_to_grid
from detailgen.model.assessment import Floats
from detailgen.model.member import Bolts, Connection, Filler, Plate
from detailgen.model.project import Truss
from detailgen.remedies import usual
from detailgen.remedies.contract import Job, Solved
from detailgen.remedies.heel import parameters as p
from detailgen.remedies.heel.shoe import Shoe
from detailgen.remedies.heel.site import BOTTOM, Corner, passing, unsound, with_heel
from detailgen.remedies.splice.parameters import CLEAR
from detailgen.standards.interface import BOLTS, ONE_ACROSS, PlateRequest, SpliceLayouts
from detailgen.stock.bolts import OrderedBolt, bolt_length, bolt_size
from detailgen.stock.plates import plate_steel, shop_grid, steel_unit_weight

WITH_MOMENT = "bolts with moment and shear"
MECHANICS = Cite("mechanics", "elastic bolt group, interaction along and across the grain (ours)")


@dataclass(frozen=True)
class Pattern:
    """Bolts in rows along the bottom chord; ``start``: of the first column, from the work point (in)."""

    diameter: float
    rows: int
    per_row: int
    spacing: float
    gauge: float
    start: float
    ordered: OrderedBolt | None = None

    @property
    def reach(self) -> float:
        """From the first to the last column (in)."""
        return (self.per_row - 1) * self.spacing

    @property
    def columns(self) -> tuple[float, ...]:
        return tuple(rounded_length(self.start + k * self.spacing) for k in range(self.per_row))

    @property
    def lines(self) -> tuple[float, ...]:
        return tuple((k - (self.rows - 1) / 2) * self.gauge for k in range(self.rows))

    @property
    def bolts(self) -> tuple[tuple[float, float], ...]:
        return tuple((x, y) for x in self.columns for y in self.lines)

    @property
    def middle(self) -> float:
        return (self.columns[0] + self.columns[-1]) / 2

    @property
    def lost(self) -> float:
        """Width (in) that the holes of one section take."""
        return self.rows * (self.diameter + usual.HOLE_OVER_BOLT)

    @property
    def root(self) -> float:
        return bolt_size(self.diameter).root_diameter if self.ordered is not None and self.ordered.planes_in_threads else 0.0


@dataclass(frozen=True)
class Demand:
    """What the bolts bring over, all plies together, by combination: pull (lb), moment (in-lb) and shear (lb) at their middle; and the greatest
    moment that the side plates have to take on the way (in-lb)."""

    pull: Floats
    moment: Floats
    shear: Floats
    bends: Floats


def demand(corner: Corner, solved: Solved, pattern: Pattern) -> Demand:
    truss = solved.truss
    pair = truss.bottom[:2] if corner.inward > 0 else truss.bottom[-2:]
    f = solved.forces.members[panel_name((pair[0], pair[1]))]
    away = f.station if corner.inward > 0 else f.station[-1] - f.station
    at = int(np.argmin(np.abs(away - pattern.middle)))
    reach = away <= pattern.columns[-1] + 1e-6
    return Demand(f.axial[:, at], f.moment[:, at], f.shear[:, at], np.abs(f.moment[:, reach]).max(axis=1))


def ordered_for(corner: Corner, side: float, D: float) -> OrderedBolt:
    """The stocked bolt through everything, with the shear planes that its thread reaches. Raises NotCovered where none is long enough."""
    grip = corner.width + 2 * side  # the stack is the same seen from both sides
    return bolt_length(D, grip, grip, shear_planes=[side, grip - side])


def places(truss: Truss, corner: Corner, system: str, least: Mapping[str, float], most_lost: float) -> list[Pattern]:
    """All patterns of the grid, each at the first place from the chord's end inward that is free; their bolts are not ordered yet."""
    grid = shop_grid(system).holes
    found: list[Pattern] = []
    for D in (D for D in p.DIAMETERS if not rounded(D) < rounded(least.get("diameter", 0.0))):
        rows_of = [r for r in p.ROWS if r > 1 or 2 * corner.half <= p.ONE_ROW_UP_TO]
        for rows, per_row, spacing in itertools.product(rows_of, p.PER_ROW, p.SPACINGS):
            gauges = [g for g in p.GAUGES[system] if g + 1e-9 >= 3 * D and g / 2 + p.EDGE * D <= corner.half] if rows > 1 else [0.0]
            for gauge in gauges:
                one = Pattern(D, rows, per_row, up_to_grid(spacing * D, grid), gauge, 0.0)
                if rows * per_row >= least.get("bolts", 0) - 1e-6 and one.lost <= most_lost + 1e-9:
                    found.append(one)
    return [q for one in found if (q := _placed(truss, corner, one, system)) is not None]


def patterns(job: Job, corner: Corner, solved: Solved, shoe: Shoe, placed: Sequence[Pattern]) -> list[Pattern]:
    """Patterns that the wood standard lets carry everything with these side plates, the least effort first."""
    ordered: dict[float, OrderedBolt] = {}
    for D in dict.fromkeys(q.diameter for q in placed):
        with contextlib.suppress(NotCovered):
            ordered[D] = ordered_for(corner, shoe.side, D)
    most = min(p.FAR_EDGE * shoe.side, p.FARTHEST_EDGE)
    many = [replace(q, ordered=ordered[q.diameter]) for q in placed
            if q.diameter in ordered and q.start - outer_end(corner, shoe, q) <= most + 1e-9]  # fmt: skip
    carries = _carry(job, corner, solved, shoe, many)
    return sorted((q for q, good in zip(many, carries, strict=True) if good),
                  key=lambda q: effort(corner, shoe, q))  # fmt: skip


def effort(corner: Corner, shoe: Shoe, q: Pattern) -> tuple[float, ...]:
    """Steel and bolts (lb); of equals the fewer and thinner bolts."""
    bolts = len(q.bolts) + len(shoe.bolts)
    return round(weight_of(corner, shoe, q) + p.BOLT_COUNTS * bolts, 3), len(q.bolts), q.diameter, q.columns[-1]


def _placed(truss: Truss, corner: Corner, one: Pattern, system: str) -> Pattern | None:
    """The pattern at the first place where its bolts are in sound wood, clear of old holes and of what stands there; None where there is none."""
    step = float(4 * shop_grid(system).holes)
    first = max(p.END * one.diameter - corner.end, 0.0)
    last = corner.room - CLEAR - p.EDGE * one.diameter - (one.per_row - 1) * one.spacing
    barred = [(low - one.reach, high) for low, high, _ in unsound(truss, corner, corner.bottom, p.SOUND)]
    for x, y, old in corner.old:
        off = p.FROM_OLD * (one.diameter + old) / 2 - 1e-6
        if any(abs(b - y) < off for b in one.lines):
            barred += [(x - k * one.spacing - off, x - k * one.spacing + off) for k in range(one.per_row)]
    k = math.ceil(first / step - 1e-9)
    for low, high in sorted(barred):
        if low < k * step < high:
            k = math.ceil(high / step - 1e-9)
    clear = not any(low < k * step < high for low, high in barred)
    return replace(one, start=rounded_length(k * step)) if clear and k * step <= last + 1e-9 else None


def _layouts(corner: Corner, shoe: Shoe, many: Sequence[Pattern], duration: str) -> SpliceLayouts:
    ply = corner.bottom.plies[0]

    def column(values: Iterator[float]) -> Floats:
        return np.array(list(values), dtype=float)

    return SpliceLayouts(
        wood=grade_of(ply.wood), ply_thickness=ply.thickness, ply_depth=ply.depth,
        faces="two steel" if len(corner.bottom.plies) == 1 else "one steel", block_thickness=0.0, block_wood=None,
        diameter=column(q.diameter for q in many), root_diameter=column(q.root or q.diameter for q in many), rows=column(float(q.rows) for q in many),
        per_row=column(float(q.per_row) for q in many), spacing=column(q.spacing for q in many), gauge=column(q.gauge for q in many),
        end=column(q.start + corner.end for q in many), plate_thickness=np.full(len(many), shoe.side),
        plate_width=np.full(len(many), 2 * corner.half), steel_bearing=p.STEEL_BEARING, bolt_bending_yield=usual.BOLT_YIELD, duration=duration,
        tension=True, compression=False, hole_oversize=usual.HOLE_OVER_BOLT,
    )  # fmt: skip


def _moment_on_bolt(q: Pattern) -> tuple[float, float]:
    """For a moment of 1 in-lb: the greatest force along and across the grain on one bolt (lb)."""
    along, across = q.spacing * (q.per_row - 1) / 2, q.gauge * (q.rows - 1) / 2
    polar = q.rows * q.per_row * ((q.per_row**2 - 1) * q.spacing**2 + (q.rows**2 - 1) * q.gauge**2) / 12
    return across / polar, along / polar


def _carry(job: Job, corner: Corner, solved: Solved, shoe: Shoe, many: Sequence[Pattern]) -> list[bool]:
    """Which patterns carry pull, moment and shear in every combination, by the array-safe values of the wood standard."""
    if not many:
        return []
    plies = len(corner.bottom.plies)
    good = np.ones(len(many), dtype=bool)
    at = {q.middle: k for k, q in enumerate(many)}
    demands = {middle: demand(corner, solved, many[k]) for middle, k in at.items()}
    pull, moment, shear = (np.stack([getattr(demands[q.middle], what) for q in many], axis=1) / plies for what in ("pull", "moment", "shear"))
    count = np.array([q.rows * q.per_row for q in many])
    along, across = (np.array(v) for v in zip(*(_moment_on_bolt(q) for q in many), strict=True))
    for duration in dict.fromkeys(corner.body.durations):
        rows = np.array([d == duration for d in corner.body.durations])
        values = job.wood.splice_values(_layouts(corner, shoe, many, duration))
        for name, capacity in values.capacities.items():
            if name not in (BOLTS, ONE_ACROSS):
                good &= pull[rows].max(axis=0, initial=0.0) <= capacity * (1 + 1e-9)
        for least, there in values.least.values():
            good &= least <= there + 1e-6
        hard = (np.abs(pull[rows]) / count + np.abs(moment[rows]) * along) / (values.capacities[BOLTS] / count)
        hard = hard + (np.abs(shear[rows]) / count + np.abs(moment[rows]) * across) / values.capacities[ONE_ACROSS]
        good &= hard.max(axis=0, initial=0.0) <= p.AIM
    return [bool(x) for x in good]


def _interaction(q: Pattern, d: Demand, plies: int, all_bolts: float, across: float) -> Floats:
    """Demand over capacity of the hardest worked bolt of a ply: its share along the grain, and its share across it."""
    count = q.rows * q.per_row
    along_m, across_m = _moment_on_bolt(q)
    moment, shear, pull = np.abs(d.moment) / plies, np.abs(d.shear) / plies, np.abs(d.pull) / plies
    both: Floats = (pull / count + moment * along_m) / (all_bolts / count) + (shear / count + moment * across_m) / across
    return both


def connection_of(corner: Corner, shoe: Shoe, q: Pattern) -> Connection:
    """The bottom chord's end as the truss's model carries it from now on."""
    t, w = shoe.side, corner.width
    plates = tuple(Plate(t, 2 * corner.half, s * (w + t) / 2, p.STEEL_BEARING, inner_end(q)) for s in (-1, 1))
    old = corner.connection
    plies = sorted(corner.bottom.plies, key=lambda x: x.z)
    gaps = [(a.z + a.thickness / 2, b.z - b.thickness / 2) for a, b in itertools.pairwise(plies)]
    idle = (*old.idle, old.bolts) if old is not None else ()
    fillers = tuple(Filler(high - low, (low + high) / 2) for low, high in gaps if high - low > 1e-6)
    bolts, name = Bolts(q.diameter, q.bolts, usual.BOLT_YIELD, root=q.root), f"{BOTTOM} at {corner.joint}, new heel"
    return Connection(name, BOTTOM, corner.joint, bolts, corner.end, plates, fillers, idle=idle, weight=weight_of(corner, shoe, q), new=True)


def outer_end(corner: Corner, shoe: Shoe, q: Pattern) -> float:
    """Where the side plates end outward (in, along the heel's axis x): over the whole sole, and with room for the first bolts."""
    reach = min(corner.body.offset[0] - shoe.sole_length / 2 - p.LEDGE, q.start - p.EDGE * q.diameter)
    return rounded_length(math.floor(reach * 4 + 1e-9) / 4)


def inner_end(q: Pattern) -> float:
    """Where the side plates end inward, from the work point (in)."""
    return rounded_length(math.ceil((q.columns[-1] + p.EDGE * q.diameter) * 4 - 1e-9) / 4)


def weight_of(corner: Corner, shoe: Shoe, q: Pattern) -> float:
    """New steel and bolts, lb (side plates as their box along the chord and their part at the shoe)."""
    area = (inner_end(q) - outer_end(corner, shoe, q)) * 2 * corner.half + (shoe.length + shoe.plate + p.GRIPS) * shoe.height
    steel = 2 * shoe.side * area + 2 * shoe.side * shoe.length * shoe.height + shoe.plate * shoe.height * corner.width
    steel += shoe.sole * shoe.sole_length * shoe.sole_width
    return steel * steel_unit_weight() + (len(q.bolts) + len(shoe.bolts)) * (q.ordered.weight if q.ordered is not None else 0.0)


@dataclass(frozen=True)
class Heelwork:
    """A shoe and its pattern, with every check of both; ``truss`` has them in."""

    shoe: Shoe
    pattern: Pattern
    truss: Truss
    wood: tuple[CheckResult, ...]
    steel: tuple[CheckResult, ...]

    @property
    def results(self) -> tuple[CheckResult, ...]:
        return (*self.shoe.results, *self.steel)

    @property
    def passes(self) -> bool:
        return passing((*self.wood, *self.results))

    @property
    def worst(self) -> CheckResult:
        return governs((*self.wood, *self.results))


def heelwork(job: Job, truss: Truss, corner: Corner, solved: Solved, shoe: Shoe, q: Pattern) -> Heelwork:
    connection = connection_of(corner, shoe, q)
    changed = with_heel(truss, corner, connection, shoe.set_back, shoe.height)
    place = check_connection(changed, solved.model, connection, solved.forces, job.wood, damaged=True)
    d = demand(corner, solved, q)
    return Heelwork(shoe, q, changed, place.results, (*_moments(job, corner, solved, shoe, q, d), *_sides(job, corner, shoe, q, d)))


def _moments(job: Job, corner: Corner, solved: Solved, shoe: Shoe, q: Pattern, d: Demand) -> Iterator[CheckResult]:
    """The hardest worked bolt with what the bearing's offset and the chord's own load make of moment and shear there."""
    plies = len(corner.bottom.plies)
    for duration in dict.fromkeys(corner.body.durations):
        values = job.wood.splice_values(_layouts(corner, shoe, [q], duration))
        Z, across = float(values.capacities[BOLTS][0]), float(values.capacities[ONE_ACROSS][0])
        both = _interaction(q, d, plies, Z, across)
        for k, name in enumerate(corner.body.combinations):
            if corner.body.durations[k] != duration:
                continue
            sheet = Calculation()
            for symbol, value, unit in (("N", float(d.pull[k]) / plies, "lb"), ("M", abs(float(d.moment[k])) / plies, "in-lb"),
                                        ("V", abs(float(d.shear[k])) / plies, "lb")):  # fmt: skip
                sheet.given(f"{symbol} of a ply at the bolts' middle", value, unit, Cite("analysis", "bottom chord beside the heel"))
            sheet.given("all bolts of a ply, along the grain", Z, "lb", values.cites.get(BOLTS, MECHANICS))
            sheet.given("one bolt across the grain", across, "lb", values.cites.get(ONE_ACROSS, MECHANICS))
            ratio = rounded(float(both[k]))
            state = State.PASSES if at_most(ratio, 1.0) else State.DOES_NOT_PASS
            where = f"bolts of the side plates, heel {corner.joint}"
            yield CheckResult(where, WITH_MOMENT, ratio, 1.0, "-", ratio, state, name, solved.forces.stage, math.nan, MECHANICS, sheet, 0)


def _sides(job: Job, corner: Corner, shoe: Shoe, q: Pattern, d: Demand) -> Sequence[CheckResult]:
    """A side plate along the bottom chord under half of pull and moment."""
    steel = plate_steel(p.PLATE_STEEL)
    request = PlateRequest(
        where=f"side plate along the bottom chord, heel {corner.joint}", F_y=steel.F_y, F_u=steel.F_u, thickness=shoe.side, width=2 * corner.half,
        diameter=q.diameter, hole=q.diameter + usual.HOLE_OVER_BOLT, bolts=np.array([(x - q.columns[0] + q.spacing, y) for x, y in q.bolts]),
        end=inner_end(q) - q.columns[-1], free=2 * q.spacing, axial=np.maximum(d.pull, 0.0) / 2, moment=d.bends / 2,
        combinations=corner.body.combinations,
    )  # fmt: skip
    return job.steel.plate_checks(request)
