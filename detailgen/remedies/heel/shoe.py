"""The steel of a new heel but its bolts through the bottom chord: plate behind the end grain, flanges, bolts of the shoe, side plates, sole.

The thrust passes from the end grain into the plate, from the plate into two flanges that are finished to bear on it and welded inside, from the
flanges by bolts into the side plates, which stand on the sole. Axes of the heel; ``along`` and ``across`` are those of the top chord.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from detailgen.assessment.heels import plate_between, under_seat
from detailgen.assessment.members import grade_of
from detailgen.core.clause import Calculation, Cite
from detailgen.core.result import CheckResult, State, governs
from detailgen.core.tolerance import at_most, rounded, rounded_length, up_to_grid
from detailgen.model.assessment import Floats
from detailgen.model.project import Truss
from detailgen.remedies import usual
from detailgen.remedies.contract import Job
from detailgen.remedies.heel import parameters as p
from detailgen.remedies.heel.site import Corner, passing, unsound
from detailgen.remedies.splice.parameters import CLEAR
from detailgen.standards.anchorage import Bracket, Contact, FilletWeld, Overhang, PartLoad, SteelPartStandard
from detailgen.standards.interface import BearingRequest, PlateRequest
from detailgen.stock.plates import plate_steel, plate_thicknesses, shop_grid

SLIDES = "slides along the plate"
FRICTION = Cite("house rule", "friction of end grain on steel, common practice, no published source")


@dataclass(frozen=True)
class Shoe:
    """One shoe with its side plates and sole. ``set_back``: from the work point to the end grain as it is to be cut."""

    corner: Corner
    set_back: float
    height: float  # of the plate along the top chord's depth
    side: float  # thickness of side plates and flanges
    diameter: float
    columns: int
    pitch: float
    gauge: float
    front: float  # from the plate's back to the first column
    plate: float = 0.0
    leg: float = 0.0
    sole: float = 0.0
    results: tuple[CheckResult, ...] = ()

    @cached_property
    def axis(self) -> tuple[float, float, float]:
        return self.corner.axis(self.set_back)

    @property
    def slope(self) -> float:
        return self.axis[2]

    def at(self, along: float, across: float) -> tuple[float, float]:
        """A place along the top chord's axis from the work point and across it, upward, in the axes of the heel."""
        x, y, slope = self.axis
        c, s = math.cos(slope), math.sin(slope)
        return x + along * c - across * s, y + along * s + across * c

    def across(self, along: float, height: float) -> float:
        """Where a line square to the top chord's axis is at a height over the bottom chord's axis."""
        _, y, slope = self.axis
        return (height - y - along * math.sin(slope)) / math.cos(slope)

    @property
    def cut(self) -> float:
        """Length that goes off the top chord's end."""
        return self.set_back - self.corner.survey.set_back

    @property
    def back(self) -> float:
        """The plate's back, along the top chord's axis."""
        return self.set_back - self.plate

    @property
    def length(self) -> float:
        """Of a flange."""
        return self.front + (self.columns - 1) * self.pitch + p.EDGE * self.diameter

    @cached_property
    def bolts(self) -> tuple[tuple[float, float], ...]:
        """Of the shoe, in the axes of the heel."""
        places = [(self.back - self.front - k * self.pitch, s * self.gauge / 2) for k in range(self.columns) for s in (-1, 1)]
        return tuple((rounded_length(x), rounded_length(y)) for x, y in sorted(self.at(*q) for q in places))

    def lowest(self, along: float) -> float:
        """Across the top chord's axis: where the shoe ends above the bottom chord, or with its plate."""
        return max(-self.height / 2, self.across(along, self.corner.half + p.OVER_CHORD))

    @property
    def sole_length(self) -> float:
        return self.corner.survey.seat

    @property
    def sole_width(self) -> float:
        return self.corner.width + 2 * (self.side + p.LEDGE)

    @property
    def fits(self) -> bool:
        """Is the shoe clear of the bottom chord, its bolts with room in the flanges?"""
        last = self.back - self.front - (self.columns - 1) * self.pitch
        edge = p.EDGE * self.diameter
        low = self.lowest(last - edge)
        return self.lowest(self.back) <= -self.height / 2 + 1e-9 and low <= -self.gauge / 2 - edge + 1e-9

    def checks(self, job: Job, parts: SteelPartStandard) -> Iterator[CheckResult]:
        """Every limit of the shoe under every combination, the plate's first."""
        c, steel = self.corner, plate_steel(p.PLATE_STEEL)
        thrust, shear, moment = c.at_end(self.set_back)
        off = np.divide(moment, thrust, out=np.zeros(len(thrust)), where=thrust > 1.0)  # of the thrust, from the middle of the end grain
        edge = uneven(off, self.height)
        pushed = np.maximum(c.body.thrust, thrust)
        key = f"heel {c.joint}"

        def load(what: str, force: Floats) -> PartLoad:
            return PartLoad(f"{what}, {key}", force, c.body.combinations)

        plies = tuple(q.thickness for q in c.top.plies)
        plate, share = plate_between(plies, self.height, self.plate, steel.F_y)
        yield from parts.overhang_checks(plate, load("plate behind the end grain", pushed * share * edge))
        length = self.height - 2 * self.leg
        weld = FilletWeld(self.leg, length, 0.0, p.ELECTRODE, min(self.side, self.plate), math.inf, steel.F_y, steel.F_u)
        yield from parts.weld_checks(weld, load("fillet of a flange", pushed / 2 * edge))
        yield from parts.contact_checks(Contact(self.side * self.height, steel.F_y), load("flange on the plate", pushed / 2 * edge))
        yield from self._end_grain(job, pushed * edge, thrust, shear)
        lines = tuple(float(k) for k in range(2))
        places = np.array([(self.front + k * self.pitch, s * self.gauge / 2) for k in range(self.columns) for s in (-1, 1)])
        bolts = load("bolts of the shoe", pushed / 2 * self._hardest(places, off))
        yield from parts.bracket_checks(Bracket("A307", self.diameter, 0.0, lines, self.columns), bolts)
        last = self.back - self.front - (self.columns - 1) * self.pitch
        wide = 2 * min(self.height / 2, -self.lowest(last))
        for what, free in (("flange", self.front), ("side plate at the shoe", self.free)):
            yield from job.steel.plate_checks(PlateRequest(
                where=f"{what}, {key}", F_y=steel.F_y, F_u=steel.F_u, thickness=self.side, width=wide, diameter=self.diameter,
                hole=self.diameter + usual.HOLE_OVER_BOLT, bolts=places, end=p.EDGE * self.diameter, free=free, axial=-pushed / 2,
                moment=np.zeros(len(pushed)), combinations=c.body.combinations,
            ))  # fmt: skip
        up = np.maximum(c.body.reaction[1], 0.0)
        arm = (c.width + self.side) / 8
        yield from parts.overhang_checks(Overhang(self.sole, self.sole_length, arm, steel.F_y, even=False), load("sole", up))
        yield from parts.contact_checks(Contact(self.side * self.sole_length, steel.F_y), load("side plate on the sole", up / 2))
        yield from under_seat(f"under the sole, {key}", self.sole_length * self.sole_width, c.survey.bears, c.body, "service")

    def _hardest(self, places: Floats, off: Floats) -> Floats:
        """The hardest worked bolt under a thrust that is off the bolts' middle, beside the mean of all."""
        from_middle = places - places.mean(axis=0)
        polar = float((from_middle**2).sum())
        along, across = (np.abs(from_middle[:, k]).max() for k in (0, 1))
        turned = len(places) * off / polar
        hard: Floats = np.hypot(1 + turned * across, turned * along)
        return hard

    def _end_grain(self, job: Job, pressed: Floats, thrust: Floats, shear: Floats) -> Iterator[CheckResult]:
        """The end grain where the thrust presses hardest on it; and does it slide along the plate?"""
        c = self.corner
        ply, wide = c.top.plies[0], sum(q.thickness for q in c.top.plies)
        yield from job.wood.bearing_checks(BearingRequest(
            f"end grain at its edge, heel {c.joint}", grade_of(ply.wood), ply.thickness, ply.depth, wide * self.height, True, -pressed,
            c.body.combinations, c.body.durations,
        ))  # fmt: skip
        for k, name in enumerate(c.body.combinations):
            sheet = Calculation()
            sheet.given("N", float(thrust[k]), "lb", Cite("analysis", "top chord at its end grain"))
            sheet.given("V", float(shear[k]), "lb", Cite("analysis", "top chord at its end grain"))
            demand = rounded(float(shear[k] / thrust[k])) if thrust[k] > 1.0 else 0.0
            ratio = rounded(demand / p.FRICTION)
            state = State.PASSES if at_most(ratio, 1.0) else State.DOES_NOT_PASS
            yield CheckResult(f"end grain on the plate, heel {c.joint}", SLIDES, demand, p.FRICTION, "-", ratio, state, name, "service", math.nan,
                              FRICTION, sheet, 0)  # fmt: skip

    @property
    def free(self) -> float:
        """Length (in) over which a side plate may buckle outward: from the shoe's lowest bolt down to the bottom chord's upper edge."""
        return max(min(y for _, y in self.bolts) - self.corner.half, self.front)

    def checked(self, job: Job, parts: SteelPartStandard) -> Shoe:
        return replace(self, results=tuple(self.checks(job, parts)))


def set_off(leg: float, system: str) -> float:
    """The block in the shoe stays off the plate so far (in): clear of the fillets."""
    return up_to_grid(leg + 1 / 8, shop_grid(system).plate_length)


def stocked(system: str) -> tuple[float, ...]:
    """Thicknesses (in) of the shoe's plate and of the sole that are stocked, ascending."""
    return tuple(t for t in plate_thicknesses(system) if t >= p.LEAST_SHOE - 1e-6)


def uneven(off: Floats, height: float) -> Floats:
    """Greatest pressure beside the mean under a force ``off`` the middle of a face ``height`` high (in): straight over the face, and over the part of
    it that is pressed where the force is farther out than a sixth (mechanics); without bound where it is off the face."""
    part = np.where(off < height / 2, height / 2 - off, np.nan)
    found: Floats = np.where(off <= height / 6, 1 + 6 * off / height, 2 * height / (3 * np.where(np.isnan(part), 1e-9, part)))
    return found


def heights(corner: Corner) -> float:
    """The plate covers the end grain."""
    return rounded_length(corner.depth - p.SHORTER)


def _frames(truss: Truss, corner: Corner, side: float, system: str) -> Iterator[Shoe]:
    """Shoes that go in, the least cut off the chord first, then the fewest and thinnest bolts."""
    grid = shop_grid(system).holes
    harmed = unsound(truss, corner, corner.top, p.SOUND_END)
    thickest = stocked(system)[-1]
    for k in range(int(p.MOST_CUT / p.CUT_STEP) + 1):
        set_back = corner.survey.set_back + k * p.CUT_STEP
        x = corner.end_grain(set_back)
        if any(low < x < high for low, high, _ in harmed):
            continue
        if set_back + p.GRIPS + CLEAR > corner.over:
            return
        for columns, D in itertools.product(p.SHOE_COLUMNS, p.DIAMETERS):
            edge, pitch = p.EDGE * D, up_to_grid(p.SPACING * D, grid)
            gauge = max(pitch, up_to_grid(_least_gauge(corner, side), grid))
            front = up_to_grid(edge + set_off(max(p.LEGS[system]), system), grid)
            shoe = Shoe(corner, set_back, heights(corner), side, D, columns, pitch, gauge, front, thickest)
            if shoe.fits and gauge <= p.GREATEST_GAUGE + 1e-9:
                yield shoe


def _least_gauge(corner: Corner, side: float) -> float:
    """Between the two rows of the shoe's bolts (in), so that no edge of a flange of this thickness stands off; 0 for a chord that is not so deep."""
    return max(heights(corner) - 2 * min(p.FAR_EDGE * side, p.FARTHEST_EDGE), 0.0)


def shoe_for(job: Job, parts: SteelPartStandard, truss: Truss, corner: Corner, side: float) -> Shoe | tuple[Shoe | None, str]:
    """The first that carries everything with side plates of a thickness (in); or the nearest, and what it misses."""
    system = job.project.units.name
    nearest: tuple[float, Shoe, str] | None = None
    seen: set[tuple[float, int]] = set()
    for frame in _frames(truss, corner, side, system):
        if (frame.diameter, frame.columns) in seen:
            continue  # the same bolts farther up the chord bear no more
        seen.add((frame.diameter, frame.columns))
        made = _sized(job, parts, frame, stocked(system), system)
        if passing(made.results):
            return made
        worst = governs(made.results)
        miss = worst.ratio if worst.ratio == worst.ratio else math.inf
        if nearest is None or miss < nearest[0]:
            stands = f"stands at {worst.ratio:.2f}" if math.isfinite(miss) else f"cannot be checked ({worst.missing})"
            nearest = miss, made, f"{worst.where}: {worst.check} {stands}"
    if nearest is not None:
        return nearest[1], nearest[2]
    if _least_gauge(corner, side) > p.GREATEST_GAUGE:
        write = job.project.units.write_length
        apart = f"{write(_least_gauge(corner, side))} apart"
        return None, (f"the top chord is so deep that the rows of the shoe's bolts would have to stand {apart}, or its flanges' edges stand off; "
                      f"{write(p.GREATEST_GAUGE)} is the most through wood that shrinks")  # fmt: skip
    return None, "no shoe finds room over the bottom chord on sound end grain of the top chord, cut back as far as what stands on it lets"


def _sized(job: Job, parts: SteelPartStandard, frame: Shoe, sizes: tuple[float, ...], system: str) -> Shoe:
    """The thinnest plate and sole and the smallest fillet that pass; the thickest where none does."""

    def least(shoe: Shoe, name: str, among: tuple[float, ...], where: str) -> Shoe:
        for size in among:
            shoe = replace(shoe, **{name: size})  # type: ignore[arg-type]
            mine = [r for r in shoe.checks(job, parts) if r.where.startswith(where)]
            if passing(mine):
                break
        return shoe

    start = replace(frame, plate=sizes[0], leg=p.LEGS[system][0], sole=sizes[0])
    shoe = least(start, "plate", sizes, "plate behind the end grain")
    shoe = least(shoe, "leg", p.LEGS[system], "fillet of a flange")
    shoe = least(shoe, "sole", sizes, "sole")
    return shoe.checked(job, parts)
