"""Guides that hold strands to the chord: how far apart, where, of what."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from detailgen.assessment.members import grade_of
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult
from detailgen.core.tolerance import at_most, down_to_grid, rounded, rounded_length, up_to_grid
from detailgen.model.member import Bolts, Member
from detailgen.model.project import Truss
from detailgen.remedies import usual
from detailgen.remedies.contract import Job
from detailgen.remedies.posttension import parameters as p
from detailgen.remedies.posttension.run import Obstacle, Way, obstacles
from detailgen.standards.interface import Demands, MemberRequest
from detailgen.stock.bolts import OrderedBolt, bolt_length
from detailgen.stock.plates import plate_thicknesses, shop_grid

FROM_BOLT = 1.25
"""From a strand's centre to the guide's bolt above or below it (in): sheath, block and bolt clear one another."""
SEARCH = (0.0, 3.0, -3.0, 6.0, -6.0, 9.0, -9.0, 12.0, -12.0, 15.0, -15.0)
"""Where a guide may go from its place when something stands there (in)."""


@dataclass(frozen=True)
class Guides:
    """``at``: x of each; ``lines``: heights of its bolts from the chord's axis; ``spacing``: the greatest distance between two, or to an anchor."""

    at: tuple[float, ...]
    lines: tuple[float, ...]
    spacing: float
    allowed: float
    checks: tuple[CheckResult, ...]
    ordered: OrderedBolt
    bolts: Bolts
    outer: float  # z of the outer face of a bar
    back: float  # thickness of the block behind a strand
    beside: float  # thickness of the blocks over and under a strand
    bar: float  # thickness of a bar
    drag: float  # lb, by which the strands of a face pull at a guide while they are stressed

    @property
    def slotted(self) -> bool:
        """Do the bars have slots for the upper bolt? Round holes farther apart would hold wood that shrinks."""
        return max(self.lines) - min(self.lines) > p.GREATEST_ROWS + 1e-9


def over_bolts(lines: Sequence[float], units: str, least: float = 1.0) -> float:
    """From a guide's or a base's outer bolt to the end of its steel (in): so much at least, and what brings the whole to the shop's grid."""
    span = max(lines) - min(lines)
    return rounded_length((up_to_grid(span + 2 * least, shop_grid(units).plate_length) - span) / 2)


def as_column(job: Job, chord: Member, force: float, length: float, in_plane: float) -> tuple[CheckResult, ...]:
    """One ply of the chord as a column ``length`` long under its share of all strands (lb): a strand that is free over that length would leave it
    so, as it does not follow the chord's bow."""
    whole = sum(q.thickness * q.depth for q in chord.plies)
    results: list[CheckResult] = []
    for ply in chord.plies[:1] if len({(q.thickness, q.depth, q.wood) for q in chord.plies}) == 1 else chord.plies:
        area = ply.thickness * ply.depth
        one = np.ones(1)
        demands = Demands(
            axial=-one * force * area / whole, moment=0 * one, shear=np.zeros(0), station=0 * one, combination=np.zeros(1, dtype=np.int64),
            combinations=("all strands at lock-off, without the chord's tension",), durations=("permanent",), stage="between guides",
        )  # fmt: skip
        request = MemberRequest(
            where=f"{chord.name} between guides, {ply.name} ply", wood=grade_of(ply.wood), thickness=ply.thickness, depth=ply.depth, demands=demands,
            net_area=one * area, net_modulus=one * area * ply.depth / 6, condition=one, length_in_plane=in_plane, length_out_of_plane=length,
            unbraced_bending=length, bow=chord.bow, zero_moment_length=in_plane,
        )  # fmt: skip
        results += job.wood.member_checks([request])[0]
    return tuple(results)


def passes(results: Sequence[CheckResult]) -> bool:
    return bool(results) and all(at_most(r.ratio, 1.0) for r in results)


def guides_for(
    job: Job, truss: Truss, chord: Member, way: Way, anchor: p.Anchor, force: float, bracket: tuple[float, float] | None = None,
) -> Guides | str:  # fmt: skip
    """Guides as far apart as the chord allows, at most one panel; why there are none, if there are none.

    bracket: from x to x (in) its base holds the chord to ties and strands; between it and the heel beside it no strand runs, and the chord is held
        where the survey says that it is braced
    """
    xs = [truss.joints[j][0] for j in chord.joints]
    longest = max(b - a for a, b in itertools.pairwise(xs))
    for number in (1, 2, 3, 4):
        spacing = longest / number
        checks = as_column(job, chord, force, spacing, longest)
        if passes(checks):
            break
    else:
        worst = max(checks, key=lambda r: rounded(r.ratio))
        units = job.project.units
        return (f"even with guides {units.write_length(spacing)} apart the chord buckles between them: {worst.check} {worst.ratio:.2f} "
                f"under {units.write_force(force)}")  # fmt: skip
    away = up_to_grid(FROM_BOLT, shop_grid(job.project.units.name).holes)
    lines = rounded_length(max(way.heights) + away), rounded_length(min(way.heights) - away)
    depth = min(q.depth for q in chord.plies)
    edge = depth / 2 - max(abs(v) for v in lines)
    if edge < 1.5 * p.GUIDE_BOLT:
        return f"a guide's bolt would stand {edge:.2f} in. from the chord's edge, less than 1.5 diameters"
    places = [a + (b - a) * (k + 0.5) / number for a, b in itertools.pairwise(xs) for k in range(number)]
    if bracket is not None:
        room = p.GUIDE_BLOCK / 2 + 1.0
        places = [x for x in places if (x > bracket[1] + room if way.tight == "left" else x < bracket[0] - room)]
    settled: list[float] = []
    left_out: list[str] = []  # what stands where a guide would: the chord may bear the longer way between those beside it
    things = list(obstacles(truss, chord))
    if bracket is not None:
        level = truss.joints[chord.joints[0]][1]
        things.append(Obstacle("the bracket", bracket, (level - depth / 2, level + depth / 2), (-way.z, way.z)))
    for x in places:
        free = next((x + d for d in SEARCH if not _stands(truss, chord, x + d, lines, way, things)), None)
        if free is None:
            left_out.append(f"{_stands(truss, chord, x, lines, way, things)} at {job.project.units.write_length(x)}")
            continue
        settled.append(rounded_length(free))
    radius = anchor.sheath / 2
    face = max(abs(q.z) + q.thickness / 2 for q in chord.plies)
    grid = shop_grid(job.project.units.name).holes
    back = down_to_grid(way.z - radius - face, grid)
    beside = up_to_grid(way.z + radius + p.GUIDE_PLAY - face - back, grid)
    span = lines[0] - lines[1]
    bar = next(t for t in plate_thicknesses(job.project.units.name) if t >= p.GUIDE_BAR[job.project.units.name] - 1e-6 and p.FAR_BOLTS * t >= span)
    outer = rounded_length(face + back + beside + bar)
    try:
        ordered = bolt_length(p.GUIDE_BOLT, 2 * outer, 2 * outer)
    except NotCovered as error:
        return f"no bolt for the guides: {error}"
    stops = [xs[0], *settled, xs[-1]]
    if bracket is not None:  # beside ties the chord is held where it is braced
        low, high = (xs[0], bracket[0]) if way.tight == "left" else (bracket[1], xs[-1])
        stops += [sum(bracket) / 2, *(x for x in chord.braces if low < x < high)]
    stops.sort()
    widest = max(b - a for a, b in itertools.pairwise(stops))
    between = as_column(job, chord, force, widest, longest)
    if not passes(between):
        worst = max(between, key=lambda r: rounded(r.ratio))
        what = ", ".join(dict.fromkeys(left_out)) or "what stands there"
        return f"guides that keep clear of {what} are {job.project.units.write_length(widest)} apart: {worst.check} {worst.ratio:.2f}"
    bolts = Bolts(p.GUIDE_BOLT, tuple((0.0, y) for y in lines), usual.BOLT_YIELD)
    return Guides(
        tuple(settled), lines, widest, spacing, between, ordered, bolts, outer,
        back, beside, bar, rounded_length(p.DRAG * widest * force / 2),
    )  # fmt: skip


def _stands(truss: Truss, chord: Member, x: float, lines: Sequence[float], way: Way, things: Sequence[Obstacle]) -> str:
    """What stands where a guide would: over its blocks' length and height; no-drill zones of the chord too. "" where nothing does."""
    level = truss.joints[chord.joints[0]][1]
    low, high = level + min(lines) - 1.0, level + max(lines) + 1.0
    half = p.GUIDE_BLOCK / 2 + 0.5
    for o in things:
        if o.x[0] < x + half and o.x[1] > x - half and o.y[0] < high and o.y[1] > low:
            return o.what
    for zone in (z for z in truss.zones if z.member == chord.name):
        if abs(zone.along - x) < zone.length / 2 + half and abs(zone.across + level - (low + high) / 2) < zone.depth / 2 + (high - low) / 2:
            return f"no-drill zone, {zone.kind},"
    return ""
