"""How the strands are pulled: the force at the jack, what is left of it, the order of pulls and what the crew measures at each."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from detailgen.assessment.members import grade_of
from detailgen.assessment.stressed import AT_THE_JACK, LOCK_OFF, LOST, NEW, RELAXED
from detailgen.core.clause import Cite
from detailgen.core.errors import NotCovered, OutOfRange
from detailgen.core.result import CheckResult, State
from detailgen.core.tolerance import at_most, rounded
from detailgen.model.assessment import Forces
from detailgen.model.member import Member
from detailgen.model.project import Stressing
from detailgen.model.stressing import LiftOff, StrandForce, StressingStep
from detailgen.remedies.contract import Anchorage, Job
from detailgen.remedies.posttension import parameters as p
from detailgen.remedies.posttension.run import Way
from detailgen.standards.anchorage import Strand, StressingForces, StressingLimit, StressingRequest
from detailgen.standards.interface import Demands, MemberRequest

HOURS_A_YEAR = 8766.0
SEASON, LATER, LATER_YEARS = 0.5, 0.8, 5.0
"""Shares of the creep that are over after the first heating season and after five years (ours); all of the shrinkage is after the season."""
TOGETHER_UNDER = 0.25
"""Where the chord bears no larger a step on one face than this share, both strands of a pair are pulled at once (ours)."""


@dataclass(frozen=True)
class Wood:
    """The chord as the strands see it: modulus (psi), area (in2), its tension under dead load (lb)."""

    modulus: float
    area: float
    tension: float


def pulls_of(count: int, step: float) -> tuple[tuple[tuple[int, ...], float], ...]:
    """The order of pulls by number of the strand (0 near, 1 far, 2 near ...) and share of the jack force. ``step``: the most by which one face may
    be ahead of the other; 0: both strands of a pair at once."""
    found: list[tuple[tuple[int, ...], float]] = []
    for near in range(0, count, 2):
        pair = (near, near + 1)
        if not step:
            found.append((pair, 1.0))
            continue
        at = {near: 0.0, near + 1: 0.0}
        while min(at.values()) < 1.0:
            who = pair[0] if at[pair[0]] <= at[pair[1]] else pair[1]
            other = pair[1] if who == pair[0] else pair[0]
            at[who] = min(at[other] + step, 1.0)
            found.append(((who,), at[who]))
    return tuple(found)


def request_of(strand: Strand, count: int, length: float, jack: float, wood: Wood, tools: Stressing, step: float = 0.0) -> StressingRequest:
    return StressingRequest(
        strand, count, length, jack, tools.seating, p.RUN, wood.modulus, wood.area, wood.tension, creep=tools.creep, shrinkage=tools.shrinkage,
        hours=tools.years * HOURS_A_YEAR, warming=tools.warming, pulls=pulls_of(count, step),
    )  # fmt: skip


def limits_of(anchorage: Anchorage, strand: Strand) -> dict[str, StressingLimit]:
    return {limit.when: limit for limit in anchorage.stressing.stressing_limits(strand)}


def least_jack(anchorage: Anchorage, request: StressingRequest, lasting: float, locked_each: float, step: float) -> StressingForces | str:
    """The least jacking force, a multiple of ``step`` (lb), that leaves ``lasting`` (lb) in all strands and ``locked_each`` in each at lock-off;
    why none does, if none does."""
    most = limits_of(anchorage, request.strand)["jacking"].force
    found: StressingForces | None = None
    low, high = 1, math.floor(most / step)
    while low <= high:
        middle = (low + high) // 2
        try:
            one = anchorage.stressing.stressing_forces(replace(request, jack=middle * step))
            enough = bool(one.long_term.sum() >= lasting - 1e-6 and one.after.min() >= locked_each - 1e-6)
        except (NotCovered, OutOfRange):  # strands that go slack
            enough = False
        if enough:
            found, high = one, middle - 1
        else:
            low = middle + 1
    if found is None:
        lost = request.seating / request.length * request.strand.modulus * request.strand.area
        return (f"no jacking force up to {most:,.0f} lb a strand (0.80 of breaking or 0.94 of yield) leaves {lasting:,.0f} lb in {request.count} "
                f"strands in the long term and {locked_each:,.0f} lb in each at lock-off; seating alone takes {lost:,.0f} lb each over "
                f"{request.length:.0f} in.")  # fmt: skip
    return found


def wanted_jack(anchorage: Anchorage, request: StressingRequest, lasting: float, locked_each: float, jack: float) -> StressingForces | str:
    """The forces at the jacking force that the engineer wants (lb, each strand); why it does not do, with its numbers."""
    limit = limits_of(anchorage, request.strand)["jacking"]
    if not at_most(jack, limit.force):
        share, breaking = jack / request.strand.breaking, request.strand.breaking
        return (f"{jack:,.0f} lb at the jack are wanted, {share:.2f} of the {breaking:,.0f} lb at which a strand {request.strand.size} breaks; at "
                f"most {limit.force:,.0f} lb (0.80 of breaking or 0.94 of yield)")  # fmt: skip
    seat = request.seating / request.length * request.strand.modulus * request.strand.area
    try:
        one = anchorage.stressing.stressing_forces(replace(request, jack=jack))
    except (NotCovered, OutOfRange):
        return (f"{jack:,.0f} lb at the jack are wanted, but seating takes {seat:,.0f} lb over a run of {request.length:.0f} in.: nothing would be "
                "left in a strand")  # fmt: skip
    if one.long_term.sum() >= lasting - 1e-6 and one.after.min() >= locked_each - 1e-6:
        return one
    return (f"{jack:,.0f} lb at the jack are wanted: they leave {one.long_term.sum():,.0f} lb in {request.count} strands in the long term and "
            f"{one.after.min():,.0f} lb in the least of them at lock-off (seating takes {seat:,.0f} lb); {lasting:,.0f} lb and {locked_each:,.0f} lb "
            "are asked for")  # fmt: skip


def jack_of(forces: StressingForces) -> float:
    """The jacking force that a record of forces began with (lb)."""
    return float(next(s.value for s in forces.calculation.steps() if s.symbol == "P_j"))


def strand_checks(anchorage: Anchorage, strand: Strand, forces: StressingForces, truss: Forces, count: int) -> tuple[CheckResult, ...]:
    """Forces of one strand against its limits: at the jack, at lock-off, and in service under every row of the truss."""
    limits = limits_of(anchorage, strand)
    sheet = forces.calculation

    def result(check: str, demand: float, capacity: float, combination: str, stage: str, cite: Cite) -> CheckResult:
        ratio = rounded(demand / capacity)
        state = State.PASSES if at_most(ratio, 1.0) else State.DOES_NOT_PASS
        return CheckResult("each strand", check, rounded(demand), rounded(capacity), "lb", ratio, state, combination, stage, math.nan, cite, sheet)

    jack, after, least = limits["jacking"], limits["after seating"], limits["least at lock-off"]
    found = [
        result("force at the jack", jack_of(forces), jack.force, "strands are pulled", "stressing", jack.cite),
        result("force after seating", forces.locked, after.force, "strands are locked", "stressing", after.cite),
        result("least force for the wedges", least.force, float(forces.after.min()), "strands are locked", "stressing", least.cite),
    ]
    service = limits["service"]
    assert truss.strands is not None
    for c, total in zip(truss.combinations, truss.strands.tolist(), strict=True):
        if c.name not in (LOCK_OFF, AT_THE_JACK) and not c.name.endswith(LOST):
            found.append(result("force in service", total / count, service.force, c.name, truss.stage, service.cite))
    return tuple(found)


def forces_told(truss: Forces, count: int) -> tuple[StrandForce, ...]:
    """Least and greatest force of one strand, new, after losses, and with a pair lost."""
    assert truss.strands is not None
    found = []
    for state in (NEW, RELAXED, LOST):
        mine = [(float(v), c.name) for v, c in zip(truss.strands, truss.combinations, strict=True) if c.name.endswith(state)]
        if mine and not (state == LOST and count == 2):
            each = count - 2 if state == LOST else count
            low, high = min(mine), max(mine)
            found.append(StrandForce(state, low[0] / each if each else 0.0, low[1], high[0] / each if each else 0.0, high[1]))
    return tuple(found)


def labels(count: int, heights: Sequence[float]) -> tuple[str, ...]:
    """Strands in the order in which they are pulled: pair by pair, those nearest to the axis first, near face before far face."""
    order = sorted(range(count // 2), key=lambda k: (abs(heights[k]), heights[k]))
    return tuple(f"{side} {k + 1}" for k in order for side in ("near", "far"))


def one_sided_step(job: Job, chord: Member, way: Way, jack: float, tension: float, held: float) -> tuple[float, tuple[CheckResult, ...]]:
    """The largest share of a strand's force by which one face may be ahead of the other; its checks. Zero where not even the least may.

    held: greatest distance between brace points (in). A ply then is pushed by the strands and bent across the truss by what is on one face only:
    checked as a column turned by a right angle.
    """
    total = sum(q.thickness * q.depth for q in chord.plies)
    lateral = sum(q.depth * q.thickness**3 for q in chord.plies)
    ply = max(chord.plies, key=lambda q: q.thickness)
    checks: tuple[CheckResult, ...] = ()
    for share in (p.ONE_SIDED, TOGETHER_UNDER):
        axial = min(tension - (1 + share) * jack, 0.0) * ply.thickness * ply.depth / total
        moment = share * jack * way.z * ply.depth * ply.thickness**3 / lateral
        one = np.ones(1)
        demands = Demands(
            axial=one * axial, moment=one * moment, shear=np.zeros(0), station=0 * one, combination=np.zeros(1, dtype=np.int64),
            combinations=(f"one face {share:.2f} of a strand ahead",), durations=("construction",), stage="stressing",
        )  # fmt: skip
        request = MemberRequest(
            where=f"{chord.name} while strands are pulled", wood=grade_of(ply.wood), thickness=ply.depth, depth=ply.thickness, demands=demands,
            net_area=one * ply.thickness * ply.depth, net_modulus=one * ply.depth * ply.thickness**2 / 6, condition=one, length_in_plane=held,
            length_out_of_plane=0.0, unbraced_bending=0.0,
        )  # fmt: skip
        checks = tuple(job.wood.member_checks([request])[0])
        if checks and all(at_most(r.ratio, 1.0) for r in checks):
            return share, checks
    return 0.0, checks


def steps_of(strands: Sequence[str], forces: StressingForces, step: float, tools: Stressing, tolerance: float) -> tuple[StressingStep, ...]:
    """The pulls in order. Elongation counts from the first mark, at which the slack is out; ``tolerance`` is the share of it that it may miss by."""
    jack = jack_of(forces)
    steps: list[StressingStep] = []
    start = p.STEPS[0]
    locked: list[str] = []

    def pull(who: str, share: float, action: str, hold: str) -> None:
        own, ram = (share - start) * forces.elongation, (share - start) * forces.ram_travel
        gauge = share * jack / tools.ram_area if tools.ram_area else math.nan
        margin = tolerance * own
        limits = own - margin, own + margin
        steps.append(StressingStep(len(steps) + 1, who, action, share, share * jack, gauge, own, *limits, ram, ", ".join(locked), hold))

    looked = "ends, guides, shores and bearings looked at; nobody behind or above an anchor"
    within = "elongation within its limits, else stop: see the warnings"
    marked: set[int] = set()
    for group, share in pulls_of(len(strands), step):
        who = " and ".join(strands[k] for k in group)
        one, many = len(group) == 1, len(group) > 1
        if not marked.issuperset(group):
            zero = "slack is out: mark the strand, set the scale to zero"
            pull(who, start, "pull to the first mark" if one else "pull both to the first mark", zero)
            if many:
                pull(who, p.STEPS[1], "pull both, pressures equal", looked)
            marked |= set(group)
        pull(who, share, "pull and lock" if one else "pull both and lock", within if share >= 1.0 else looked)
        locked += [strands[k] for k in group if strands[k] not in locked]
    return tuple(steps)


def lift_offs(anchorage: Anchorage, request: StressingRequest, names: Sequence[str], tools: Stressing) -> tuple[LiftOff, ...]:
    """Forces that a lift-off should find, at the temperature of the day of stressing."""
    new = anchorage.stressing.stressing_forces(replace(request, creep=0.0, shrinkage=0.0, hours=1.0, warming=0.0))
    five = anchorage.stressing.stressing_forces(replace(request, creep=LATER * request.creep, hours=LATER_YEARS * HOURS_A_YEAR, warming=0.0))
    season = anchorage.stressing.stressing_forces(replace(request, creep=SEASON * request.creep, hours=HOURS_A_YEAR / 2, warming=0.0))
    late = anchorage.stressing.stressing_forces(replace(request, warming=0.0))
    times = (
        ("when all are locked", new.after, "on the day of stressing, before tails are trimmed"),
        ("after the first heating season", season.long_term, "in the first spring, 6 to 12 months later"),
        (f"after {LATER_YEARS:g} years", five.long_term, f"{LATER_YEARS:g} years later"),
        (f"after {tools.years:g} years", late.long_term, f"every 10 years, to {tools.years:g} years"),
    )
    return tuple(LiftOff(when, tuple((n, float(f)) for n, f in zip(names, forces, strict=True)), due) for when, forces, due in times)
