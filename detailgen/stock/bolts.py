"""Bolts as they are ordered: length from the grip, threads against shear planes, washers, weights. Inches and pounds.

A bolt's parts, from the head: washer under the head, grip (everything that it clamps), washer under the nut, nut, projection.
Depths of shear planes are measured into the grip from its face on the head's side.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from detailgen.core.errors import NotCovered
from detailgen.core.table import Table, read_table
from detailgen.core.tolerance import LENGTH_IN, rounded_length

TABLES = Path(__file__).parent / "tables"
LEAST_THREADS_BEYOND_NUT = 2
"""Threads that stand out beyond the nut at least (common practice, no published source)."""
CUT, PLATE, NONE = "cut", "plate", "none"
"""Kinds of washers; NONE where head or nut bears on steel."""


@dataclass(frozen=True)
class BoltSize:
    """Greatest dimensions that the product standards allow, and the root of the thread (in)."""

    diameter: float
    threads_per_inch: float
    root_diameter: float
    head_height: float
    head_width: float
    nut_height: float
    nut_width: float

    @property
    def pitch(self) -> float:
        return 1 / self.threads_per_inch


@dataclass(frozen=True)
class Washer:
    """Outside diameter (round) or side (square), hole and thickness, in."""

    kind: str
    shape: str
    size: float
    hole: float
    thickness: float


@dataclass(frozen=True)
class OrderedBolt:
    """A stocked bolt for a grip that the survey knows between two bounds.

    ``thread_start`` is the depth into the grip at which the thread begins; negative: threaded over the whole grip.
    ``planes_in_threads`` are the given shear planes that lie in the thread: there the root diameter counts.
    ``packing_washers``: more cut washers under the nut at the least grip, so that the nut does not run out of thread (0: none are needed).
    Projection is the thread beyond the nut, at the greatest grip and at the least (without packing).
    """

    diameter: float
    length: float
    grip_min: float
    grip_max: float
    head_washer: str
    nut_washer: str
    thread_length: float
    thread_start: float
    planes_in_threads: tuple[float, ...]
    projection_min: float
    projection_max: float
    packing_washers: int
    root_diameter: float
    weight: float  # bolt, nut and both washers, lb

    @property
    def threads_in_shear(self) -> bool:
        return bool(self.planes_in_threads)

    @property
    def washers(self) -> int:
        return sum(kind != NONE for kind in (self.head_washer, self.nut_washer))


def _row(table: Table, diameter: float, **keys: str) -> Mapping[str, str | float]:
    for row in table:
        if abs(float(row["diameter"]) - diameter) <= LENGTH_IN and all(row[k] == v for k, v in keys.items()):
            return row
    kind = "".join(f"{v} " for v in keys.values())
    known = ", ".join(f"{float(r['diameter']):g}" for r in table if all(r[k] == v for k, v in keys.items()))
    raise NotCovered(f"no {kind}{table.name} for a diameter of {diameter:g} in.; stocked: {known or 'none of this kind'}", "stock")


@cache
def diameters() -> tuple[float, ...]:
    """Stocked bolt diameters (in)."""
    return tuple(float(row["diameter"]) for row in read_table(TABLES, "bolts"))


@cache
def bolt_size(diameter: float) -> BoltSize:
    """Dimensions of a stocked bolt and its nut. Raises NotCovered for another diameter."""
    row = _row(read_table(TABLES, "bolts"), diameter)
    pitches = float(read_table(TABLES, "root_diameter").find(thread="unified coarse")["pitches"])
    threads, head, nut = float(row["threads_per_inch"]), (row["head_height"], row["head_width"]), (row["nut_height"], row["nut_width"])
    nominal = float(row["diameter"])
    return BoltSize(nominal, threads, nominal - pitches / threads, float(head[0]), float(head[1]), float(nut[0]), float(nut[1]))


@cache
def wrench_room(diameter: float) -> float:
    """From a bolt's axis to what stands beside its head or nut, at least (in). Raises NotCovered for a diameter that is not stocked."""
    return float(_row(read_table(TABLES, "wrench_room"), diameter)["room"])


@cache
def washer(kind: str, diameter: float) -> Washer | None:
    """A "cut" (round) or "plate" (square) washer of a bolt; None for "none". Raises NotCovered for another kind or diameter."""
    if kind == NONE:
        return None
    row = _row(read_table(TABLES, "washers"), diameter, kind=kind)
    return Washer(kind, str(row["shape"]), float(row["size"]), float(row["hole"]), float(row["thickness"]))


@cache
def stocked_lengths() -> tuple[float, ...]:
    """Stocked bolt lengths (in), ascending."""
    found = set()
    for row in read_table(TABLES, "bolt_lengths"):
        start, stop, step = (float(row[c]) for c in ("length_from", "length_to", "step"))
        found |= {start + k * step for k in range(round((stop - start) / step) + 1)}
    return tuple(sorted(found))


def thread_length(diameter: float, length: float) -> float:
    """Length of the thread (in) of a bolt of a length (in); a short bolt is threaded to the head."""
    rows = read_table(TABLES, "thread_length").rows
    row = next(r for r in rows if length <= float(r["bolt_length_to"]) + LENGTH_IN)
    return min(float(row["diameters"]) * diameter + float(row["plus"]), length)


def _density() -> float:
    return float(read_table(TABLES, "densities").find(material="steel")["unit_weight"]) / 12**3


def _hexagon(width: float) -> float:
    return math.sqrt(3) / 2 * width**2


def bolt_weight(diameter: float, length: float) -> float:
    """Weight (lb) of a bolt without nut: hexagonal head and a full round shank."""
    size = bolt_size(diameter)
    return (_hexagon(size.head_width) * size.head_height + math.pi / 4 * diameter**2 * length) * _density()


def nut_weight(diameter: float) -> float:
    """Weight (lb) of a hex nut: hexagon less a hole of the bolt's diameter."""
    size = bolt_size(diameter)
    return (_hexagon(size.nut_width) - math.pi / 4 * diameter**2) * size.nut_height * _density()


def washer_weight(kind: str, diameter: float) -> float:
    """Weight (lb) of a washer; 0 for "none"."""
    w = washer(kind, diameter)
    if w is None:
        return 0.0
    area = math.pi / 4 * w.size**2 if w.shape == "round" else w.size**2
    return (area - math.pi / 4 * w.hole**2) * w.thickness * _density()


def length_needed(diameter: float, grip_max: float, *, head_washer: str = CUT, nut_washer: str = CUT) -> float:
    """Least bolt length (in): grip, washers, nut and two threads beyond it."""
    size = bolt_size(diameter)
    return grip_max + _washers_under(head_washer, nut_washer, diameter) + size.nut_height + LEAST_THREADS_BEYOND_NUT * size.pitch


def _thickness(kind: str, diameter: float) -> float:
    w = washer(kind, diameter)
    return 0.0 if w is None else w.thickness


def _washers_under(head: str, nut: str, diameter: float) -> float:
    return _thickness(head, diameter) + _thickness(nut, diameter)


def bolt_length(
    diameter: float, grip_min: float, grip_max: float, *, head_washer: str = CUT, nut_washer: str = CUT, shear_planes: Sequence[float] = (),
) -> OrderedBolt:  # fmt: skip
    """The shortest stocked bolt for a grip between two bounds (in).

    head_washer, nut_washer: "cut", "plate" or "none"
    shear_planes: depths into the grip from its face on the head's side, in; at either face of the grip nothing is sheared
    Raises: NotCovered where no stocked bolt is long enough, for a diameter or washer that is not stocked, or a grip that is none
    """
    if not (0 < grip_min <= grip_max and math.isfinite(grip_max)):
        raise NotCovered(f"a grip from {grip_min:g} to {grip_max:g} in.: the least must be above zero and not over the greatest", "stock")
    outside = [x for x in shear_planes if not -LENGTH_IN <= x <= grip_max + LENGTH_IN]
    if outside:
        raise NotCovered(f"a shear plane {outside[0]:g} in. into a grip of {grip_max:g} in.", "stock")
    size, between = bolt_size(diameter), _washers_under(head_washer, nut_washer, diameter)
    needed = length_needed(diameter, grip_max, head_washer=head_washer, nut_washer=nut_washer)
    length = next((x for x in stocked_lengths() if x >= needed - LENGTH_IN), None)
    if length is None:
        raise NotCovered(
            f"a {diameter:g} in. bolt {needed:.2f} in. long (grip {grip_max:g} in., washers, nut, two threads); "
            f"the longest stocked is {stocked_lengths()[-1]:g} in.", "stock",
        )  # fmt: skip
    thread = thread_length(diameter, length)
    start = length - thread - _thickness(head_washer, diameter)
    run_out = length - thread - grip_min - between  # the nut stops here if it has no thread left
    packing = math.ceil(rounded_length(run_out) / _thickness(CUT, diameter)) if run_out > LENGTH_IN else 0
    beyond = length - between - size.nut_height
    weight = bolt_weight(diameter, length) + nut_weight(diameter) + washer_weight(head_washer, diameter) + washer_weight(nut_washer, diameter)
    threaded = tuple(x for x in sorted(shear_planes) if max(start, 0.0) + LENGTH_IN < x < grip_max - LENGTH_IN)
    return OrderedBolt(
        diameter, length, grip_min, grip_max, head_washer, nut_washer, thread, rounded_length(start), threaded,
        rounded_length(beyond - grip_max), rounded_length(beyond - grip_min), packing, size.root_diameter, weight,
    )  # fmt: skip
