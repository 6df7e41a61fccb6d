"""The exhaustive search over splice layouts, vectorised: 'no layout fits' is a proof, with the nearest miss."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache, partial

import numpy as np
from numpy.typing import NDArray

from detailgen.core.tolerance import up_to_grid
from detailgen.remedies import usual
from detailgen.remedies.splice import parameters as p
from detailgen.standards.interface import (
    BOLTS,
    NET_OF_BLOCK,
    NET_SECTION,
    OF_BLOCK,
    OFF_MIDDLE,
    ONE_ACROSS,
    Floats,
    PlateLayouts,
    PlateValues,
    SpliceLayouts,
    SpliceValues,
    SteelStandard,
    WoodGrade,
    WoodStandard,
    method_of,
)
from detailgen.stock.bolts import bolt_size
from detailgen.stock.plates import plate_steel, steel_unit_weight

Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Demand:
    """Forces of one cut ply per combination: axial (lb, tension positive), moment (in-lb) and shear (lb) at the splice; durations by name."""

    axial: Floats
    moment: Floats
    shear: Floats
    durations: tuple[str, ...]
    names: tuple[str, ...]


@dataclass(frozen=True)
class Question:
    """What is asked of the search: the ply, how it is held, the demand, and the room on each side of the cut's middle (in)."""

    wood: WoodGrade
    ply_thickness: float
    ply_depth: float
    arrangement: p.Arrangement
    block_thickness: float
    demand: Demand
    gap: float
    room: float
    develop: float  # share of the intact ply's net tension that is developed
    diameters: tuple[float, ...] = p.DIAMETERS
    threads_in_planes: bool = False
    least: Mapping[str, float] | None = None
    system: str = "US"  # whose stock sizes and grids are searched
    plates_per_face: int = 1  # 2: each of two rows in a plate of its own, so that the wood may shrink between them (the 5 in. rule)
    inner_plates: int = 0  # that share the gap between two plies
    most_lost: float = math.inf  # width (in) that the holes of one section may take from the plies that run through


@dataclass(frozen=True)
class Layouts:
    """L layouts as columns (in)."""

    diameter: Floats
    rows: Floats
    per_row: Floats
    spacing: Floats
    gauge: Floats
    end: Floats
    plate_thickness: Floats
    plate_width: Floats
    plate_end: Floats

    def take(self, index: NDArray[np.int64] | Bools | int) -> Layouts:
        return Layouts(*(np.atleast_1d(getattr(self, name)[index]) for name in self.__dataclass_fields__))

    def one(self, name: str) -> float:
        return float(getattr(self, name)[0])

    @property
    def bolts(self) -> Floats:
        """Bolts of both sides together."""
        return 2 * self.rows * self.per_row

    @property
    def lost(self) -> Floats:
        """Width that the holes of one section take from every ply that they pass (in)."""
        return self.rows * (self.diameter + usual.HOLE_OVER_BOLT)

    def half(self, gap: float) -> Floats:
        return gap / 2 + self.end + (self.per_row - 1) * self.spacing + self.plate_end

    def length(self, gap: float) -> Floats:
        """Plate length before it is rounded up to the shop grid."""
        return 2 * self.half(gap)


@dataclass(frozen=True)
class Answer:
    """Which layouts hold, with the largest demand over capacity; inf where a distance or the room is not kept already."""

    layouts: Layouts
    ratio: Floats
    feasible: Bools
    every_rule: Callable[[], Mapping[str, Floats]] = field(repr=False)

    @cached_property
    def violations(self) -> Mapping[str, Floats]:
        """How much every layout violates each rule (positive: violated, as a share of what is required); asked where none holds."""
        return self.every_rule()


def grid(question: Question) -> Layouts:
    """All layouts whose plates hold their holes and fit the ply's depth; spacing runs on the shop grid from three diameters."""
    return _grid(question.diameters, question.ply_depth, question.system, question.plates_per_face if question.arrangement.plates_per_ply else 0)


@lru_cache(maxsize=16)
def _grid(diameters: tuple[float, ...], depth: float, system: str, plates: int) -> Layouts:
    blocks, shop = [], p.shop(system)
    made = (shop.thicknesses, shop.widths) if plates else ((0.0,), (0.0,))  # 0: no plates, the rows stand anywhere in the depth
    for D, count, t, w in itertools.product(diameters, (plates,) if plates > 1 else shop.gauges, *made):
        if w > depth or (count == 1 and depth > p.ONE_ROW_UP_TO):
            continue
        first = up_to_grid(3 * D, shop.spacing_step)
        spacings = np.arange(first, shop.greatest_spacing + 1e-9, float(shop.spacing_step))
        ends = np.maximum(up_to_grid(7 * D, shop.holes), spacings)
        if not plates:
            wide = shop.wide_gauges if count == 2 else ()
            gauges = np.array([g for g in (*shop.gauges[count], *wide) if (count - 1) * g + 2 * D <= depth])
        elif plates == 1:
            gauges = np.array([g for g in shop.gauges[count] if (count - 1) * g + 2 * D <= w])
        else:  # each row in a plate of its own, free of the others and inside the ply
            gauges = np.array([g for g in shop.wide_gauges if w + p.BETWEEN_PLATES <= g and (count - 1) * g + w <= depth])
        gauge, n, k = (a.ravel() for a in np.meshgrid(gauges, np.array(p.PER_ROW, dtype=float), np.arange(len(spacings)), indexing="ij"))
        same = [np.full(len(k), v) for v in (D, count, t, w, up_to_grid(1.5 * D, shop.lengths) if plates else 0.0)]
        blocks.append(np.stack([same[0], same[1], n, spacings[k.astype(int)], gauge, ends[k.astype(int)], same[2], same[3], same[4]]))
    return Layouts(*np.concatenate(blocks, axis=1)) if blocks else Layouts(*np.empty((9, 0)))


def _moment_on_bolts(question: Question, layouts: Layouts) -> tuple[Floats, Floats]:
    """For a moment of 1 in-lb on one side's bolts: greatest force along and across the grain on one bolt (lb).

    Two plates on a face hold it as a couple: one pulls, the other pushes.
    """
    n, r = layouts.per_row, layouts.rows
    if question.plates_per_face > 1:
        return 1 / (n * layouts.gauge), np.zeros(n.shape)
    along = r * n * (n**2 - 1) / 12 * layouts.spacing**2
    across = n * r * (r**2 - 1) / 12 * layouts.gauge**2
    polar = along + across
    return (r - 1) / 2 * layouts.gauge / polar, (n - 1) / 2 * layouts.spacing / polar


def _root(diameter: Floats) -> Floats:
    """Root diameter (in) of the threads, per layout."""
    sizes, where = np.unique(diameter, return_inverse=True)
    return np.array([bolt_size(float(d)).root_diameter for d in sizes])[where.ravel()]


def as_splice(question: Question, layouts: Layouts, duration: str) -> SpliceLayouts:
    axial = question.demand.axial
    faces = question.arrangement.faces
    blocked = question.arrangement.blocked
    return SpliceLayouts(
        wood=question.wood, ply_thickness=question.ply_thickness, ply_depth=question.ply_depth, faces=faces,
        block_thickness=question.block_thickness if blocked else 0.0, block_wood=question.wood if blocked else None,
        diameter=layouts.diameter, root_diameter=_root(layouts.diameter) if question.threads_in_planes else layouts.diameter, rows=layouts.rows,
        per_row=layouts.per_row, spacing=layouts.spacing, gauge=layouts.gauge, end=layouts.end,
        plate_thickness=layouts.plate_thickness, plate_width=layouts.plate_width, steel_bearing=p.STEEL_BEARING, bolt_bending_yield=usual.BOLT_YIELD,
        duration=duration, tension=True, compression=bool(axial.min() < 0), plates_per_face=question.plates_per_face,
        hole_oversize=usual.HOLE_OVER_BOLT, block_end=block_end(question, layouts) if blocked else None,
    )  # fmt: skip


def block_end(question: Question, layouts: Layouts) -> Floats:
    """A structural block is loaded towards its end: it runs seven diameters past the last bolt (full value in tension), on the shop grid."""
    lengths = p.shop(question.system).lengths
    sizes, where = np.unique(layouts.diameter, return_inverse=True)
    return np.array([up_to_grid(7 * float(d), lengths) for d in sizes])[where.ravel()]


def reach(question: Question, layouts: Layouts) -> Floats:
    """Half of the length that new parts take on the chord (in)."""
    if not question.arrangement.blocked:
        return layouts.half(question.gap)
    return layouts.half(question.gap) - layouts.plate_end + np.maximum(layouts.plate_end, block_end(question, layouts))


def violation(least: Floats, provided: Floats) -> Floats:
    """(required - provided) / required where positive."""
    short = np.round(least - provided, 6)
    return np.where(short > 0, short / np.where(least > 0, least, 1.0), 0.0)


@dataclass(frozen=True)
class _Values:
    """What wood (by duration) and plates allow, per layout."""

    wood: Mapping[str, SpliceValues]
    plate: PlateValues

    def distances(self) -> Iterator[tuple[str, Floats, Floats]]:
        """Rule, least, provided (in): of plates first, then of the wood."""
        yield from ((name, *pair) for name, pair in self.plate.least.items())
        yield from ((f"{name}, greatest", provided, most) for name, (most, provided) in self.plate.greatest.items())
        yield from ((name, *pair) for values in self.wood.values() for name, pair in values.least.items())

    def take(self, where: NDArray[np.int64]) -> _Values:
        """Of these layouts, without the distances."""

        def of(held: Mapping[str, Floats]) -> dict[str, Floats]:
            return {name: value[where] for name, value in held.items()}

        wood = {
            d: SpliceValues(of(v.capacities), {}, {}, v.cites, (), None if v.block_bending is None else v.block_bending[where])
            for d, v in self.wood.items()
        }
        plate = self.plate
        return _Values(wood, PlateValues(of(plate.tension), of(plate.compression), plate.bending[where], {}, {}, plate.cites))


def _values(question: Question, layouts: Layouts, wood: WoodStandard, steel: SteelStandard, durations: Iterable[str]) -> _Values:
    plates = question.arrangement.plates_per_ply
    plate = steel.plate_values(as_plates(question, layouts)) if plates else PlateValues({}, {}, np.zeros(layouts.rows.shape), {}, {})
    return _Values({d: wood.splice_values(as_splice(question, layouts, d)) for d in durations}, plate)


@dataclass(frozen=True)
class _Kept:
    """The layouts of a grid that keep every distance, where they stand in it, and what they hold."""

    where: NDArray[np.int64]
    layouts: Layouts
    values: _Values


def _keeping(question: Question, layouts: Layouts, wood: WoodStandard, steel: SteelStandard) -> _Kept:
    """Distances ask for no duration: what wood allows for others than the first is worked out for what keeps them, a small part of a grid."""
    first, *others = dict.fromkeys(question.demand.durations)
    values = _values(question, layouts, wood, steel, (first,))
    good = np.ones(layouts.rows.shape, dtype=bool)
    for _, least, provided in values.distances():
        good &= _keeps(least, provided)
    where = np.flatnonzero(good)
    kept, values = layouts.take(where), values.take(where)
    held = {d: wood.splice_values(as_splice(question, kept, d)) if where.size else values.wood[first] for d in others}
    return _Kept(where, kept, replace(values, wood={**values.wood, **held}))


@dataclass(frozen=True)
class _Whole:
    """What the values of a whole grid depend on: the same in every round and for every truss alike, as only the demand changes."""

    question: Question
    wood: WoodStandard
    steel: SteelStandard

    def __hash__(self) -> int:
        return hash((self.question.wood, self.question.ply_depth, self.question.gap))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Whole) and self._key() == other._key()

    def _key(self) -> tuple[object, ...]:
        q = self.question
        sizes = (q.wood, q.ply_thickness, q.ply_depth, q.arrangement, q.block_thickness, q.diameters, q.threads_in_planes, q.system,
                 q.plates_per_face, q.gap)  # fmt: skip
        asked = bool(q.demand.axial.min() < 0), tuple(dict.fromkeys(q.demand.durations))
        return (*sizes, *asked, *((s.key, method_of(s)) for s in (self.wood, self.steel)))


@lru_cache(maxsize=12)
def _whole_grid(whole: _Whole) -> _Kept:
    return _keeping(whole.question, grid(whole.question), whole.wood, whole.steel)


def _limits(question: Question, layouts: Layouts) -> Iterator[tuple[str, Floats, Floats]]:
    """Rule, least, provided, of what neither wood nor plates ask for."""
    shape = layouts.rows.shape
    yield "room on the chord", reach(question, layouts), np.full(shape, question.room)
    if question.inner_plates:
        yield "room for plates between the plies", question.inner_plates * layouts.plate_thickness, np.full(shape, question.block_thickness)
    yield "holes in the sound ply", layouts.lost, np.full(shape, question.most_lost)
    for name, size in (question.least or {}).items():
        have = layouts.bolts if name == "bolts" else getattr(layouts, name)
        yield f"no shrinking of {name.replace('_', ' ')}", np.full(shape, size), have


def _ratios(question: Question, layouts: Layouts, values: _Values) -> Iterator[tuple[str, Floats]]:
    """Demand over capacity of everything that carries."""
    d = question.demand
    along, across = _moment_on_bolts(question, layouts)
    count = layouts.rows * layouts.per_row
    plates, apart, plate = question.arrangement.plates_per_ply, question.plates_per_face, values.plate
    for duration, held in values.wood.items():
        these = np.array([x == duration for x in d.durations])
        tension, compression = max(float(d.axial[these].max()), 0.0), max(float(-d.axial[these].min()), 0.0)
        moment, shear = float(np.abs(d.moment[these]).max()), float(np.abs(d.shear[these]).max())
        develop = question.develop * held.capacities[NET_SECTION]
        pull = np.maximum(tension, develop)
        # The moment's share along the grain adds to the force; its share across the grain is compared with the value across the grain.
        bolt, bolt_across = held.capacities[BOLTS] / count, held.capacities[ONE_ACROSS]
        greatest = np.maximum(pull, compression)
        yield f"bolts, {duration}", (greatest / count + moment * along) / bolt + (shear / count + moment * across) / bolt_across
        for name, capacity in held.capacities.items():
            if name not in (BOLTS, ONE_ACROSS):
                yield f"{name}, {duration}", (greatest if name in (OFF_MIDDLE, NET_OF_BLOCK) else pull) / capacity
        if not plates and held.block_bending is not None:  # the block holds the moment too, by itself
            yield f"tension and bending {OF_BLOCK}, {duration}", greatest / held.capacities[NET_OF_BLOCK] + moment / held.block_bending
        bent = moment / plates / plate.bending if apart == 1 and plates else np.zeros(count.shape)
        couple = moment / layouts.gauge if apart > 1 else np.zeros(count.shape)
        for name, capacity in plate.tension.items():
            yield f"plate {name}, {duration}", (pull / apart + couple) / plates / capacity + bent
        for name, capacity in plate.compression.items():
            yield f"plate {name} in compression, {duration}", (compression / apart + couple) / plates / capacity + bent


def evaluate(question: Question, layouts: Layouts, wood: WoodStandard, steel: SteelStandard) -> Answer:
    """Every rule for every layout; ratios of those that keep all distances. Raises NotCovered for a wood or bolt that is not covered."""
    whole = layouts is grid(question)
    kept = _whole_grid(_Whole(question, wood, steel)) if whole else _keeping(question, layouts, wood, steel)
    good = np.ones(kept.where.shape, dtype=bool)
    for _, least, provided in _limits(question, kept.layouts):
        good &= _keeps(least, provided)
    left = np.flatnonzero(good)
    largest = np.zeros(left.shape)
    for _, ratio in _ratios(question, kept.layouts.take(left), kept.values.take(left)):
        np.maximum(largest, ratio, out=largest)
    ratios = np.full(layouts.rows.shape, np.inf)
    ratios[kept.where[left]] = largest
    # As rounded to six places; what is no number does not hold.
    return Answer(layouts, ratios, ratios * 1e6 <= 1e6 + 0.5, partial(_violations, question, layouts, wood, steel))


def _keeps(least: Floats, provided: Floats) -> Bools:
    """Is nothing short, as rounded to six places?"""
    kept: Bools = (least - provided) * 1e6 <= 0.5
    return kept


def _violations(question: Question, layouts: Layouts, wood: WoodStandard, steel: SteelStandard) -> dict[str, Floats]:
    """Every rule for every layout: how much of what is required is missing."""
    values = _values(question, layouts, wood, steel, dict.fromkeys(question.demand.durations))
    found = {name: violation(least, provided) for name, least, provided in (*values.distances(), *_limits(question, layouts))}
    for name, ratio in _ratios(question, layouts, values):
        found[name] = np.where(np.round(ratio, 6) > 1.0, 1 - 1 / np.maximum(ratio, 1e-9), 0.0)
    return found


def as_plates(question: Question, layouts: Layouts) -> PlateLayouts:
    steel = plate_steel(p.PLATE_GRADE)
    return PlateLayouts(
        F_y=steel.F_y, F_u=steel.F_u, thickness=layouts.plate_thickness, width=layouts.plate_width, diameter=layouts.diameter,
        hole=layouts.diameter + usual.HOLE_OVER_BOLT, rows=layouts.rows / question.plates_per_face, per_row=layouts.per_row,
        spacing=layouts.spacing, gauge=layouts.gauge, end=layouts.plate_end, free=question.gap + 2 * layouts.end,
    )  # fmt: skip


def measures(question: Question, layouts: Layouts) -> dict[str, Floats]:
    """What layouts are preferred by: bolts, length (in) of plates or of a block alone, steel weight (lb) of one ply's plates."""
    length = layouts.length(question.gap) if question.arrangement.plates_per_ply else 2 * reach(question, layouts)
    plates = question.arrangement.plates_per_ply * question.plates_per_face
    weight = plates * length * layouts.plate_width * layouts.plate_thickness * steel_unit_weight()
    return {"bolts": layouts.bolts, "length": np.round(length, 6), "weight": np.round(weight, 6)}


def best(question: Question, answer: Answer, order: str) -> int | None:
    """Index of the preferred feasible layout; None where no layout is feasible. Ties go to the smaller ratio, then the first in the grid."""
    found = np.flatnonzero(answer.feasible)
    if not len(found):
        return None
    keys = measures(question, answer.layouts.take(found))
    columns = [keys[name] for name in p.ORDERS[order]]
    return int(found[np.lexsort([np.round(answer.ratio[found], 6), *reversed(columns)])[0]])


def nearest_miss(question: Question, answer: Answer) -> tuple[int, str, float]:
    """The layout whose worst violation is least, the rule that it breaks, and by how much of what is required; ties by steel weight."""
    names = list(answer.violations)
    table = np.stack([answer.violations[n] for n in names])
    worst = np.round(table.max(axis=0), 6)
    weight = measures(question, answer.layouts)["weight"]
    k = int(np.lexsort([weight, worst])[0])
    return k, names[int(table[:, k].argmax())], float(worst[k])
