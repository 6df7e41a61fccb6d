"""A line judged: what it must hold, whether its anchor, timber, bolts and blocks can, and how stiff it is."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from detailgen.assessment.members import bow_of, grade_of
from detailgen.core.clause import Calculation, Cite
from detailgen.core.result import CheckResult, State, cannot_be_checked, governs
from detailgen.core.tolerance import at_most, rounded
from detailgen.model.member import Member, Wood
from detailgen.model.project import AnchoredBay, Truss
from detailgen.remedies import usual
from detailgen.remedies.brace import parameters as p
from detailgen.remedies.brace.layout import Layout
from detailgen.remedies.brace.site import Stretch, compression, longest_free
from detailgen.remedies.contract import Job, Solved
from detailgen.standards.interface import (
    AcrossRequest,
    BracingStandard,
    ConnectedPart,
    ConnectionRequest,
    Demands,
    Floats,
    MemberRequest,
    ToeNailRequest,
    ToeNailStandard,
)

PRACTICE = Cite("common practice", "2 % of the compression in the braced member (no published source of our own)")
SUM = Cite("statics", "trusses that lean on one line push the same way")
DETAIL = Cite("detail", "sizes of the line")
ANCHOR = "force in the anchored bay"
JOINT, NEAR_BLOCK = "joint of the brace line, each side", "near block of the brace line"


@dataclass(frozen=True)
class Needs:
    """What a line at one truss must hold (lb, per combination) and how stiff (lb/in) it must be there, with the sheet that says so."""

    force: Floats
    stiffness: Floats | None  # None: no installed standard says how stiff
    sheet: Calculation
    free: float

    @property
    def most(self) -> float:
        return float(self.force.max())


@dataclass(frozen=True)
class Judged:
    layout: Layout
    needs: Needs
    results: tuple[CheckResult, ...]
    anchor_stiffness: float  # lb/in that the anchor must have for all trusses that lean on the line; nan: not known

    @property
    def worst(self) -> CheckResult:
        return governs(self.results)

    @property
    def passes(self) -> bool:
        return all(r.passes for r in self.results)


def needs_of(job: Job, truss: Truss, solved: Solved, stretches: Sequence[Stretch], stations: Sequence[float]) -> Needs:
    """The larger of the customary share of the compression and what a standard for braces asks, which grows with the surveyed bow.

    Of several stretches of a member the one that asks for the most counts for all.
    """
    return max((_needs(job, truss, solved, s, [x for x in stations if s.start < x < s.end]) for s in stretches), key=lambda n: rounded(n.most))


def _needs(job: Job, truss: Truss, solved: Solved, stretch: Stretch, stations: Sequence[float]) -> Needs:
    pressed = compression(solved, stretch)
    free = longest_free(truss, stretch, stations)
    sheet = Calculation()
    share = sheet.given("share of the compression", p.SHARE, "-", PRACTICE)
    force = share * pressed
    stiffness = None
    if isinstance(job.steel, BracingStandard):
        asked, stiffness = job.steel.point_brace(sheet, pressed, free, bow_of(truss, stretch.member, damaged=True))
        force = np.maximum(force, asked)
    sheet.given("F at one truss", force, "lb", PRACTICE)
    return Needs(force, stiffness, sheet, free)


def judge(job: Job, solved: Solved, member: Member, layout: Layout, needs: Needs, bay: AnchoredBay, wood: Wood) -> Judged:
    """Everything that can be said of one line."""
    line = needs.force * bay.leaning
    stiff, anchor = _stiffness(job, layout, needs, bay, wood)
    results = [
        _anchor(layout, solved, needs, bay), *stiff, *_timber(job, layout, solved, line, wood), *_bolts(job, layout, solved, line, needs.force, wood),
        *_pressed(job, layout, solved, member, needs.force), *_nails(job, layout, solved, member, wood),
    ]  # fmt: skip
    return Judged(layout, needs, tuple(results), anchor)


def _result(
    where: str, check: str, demand: float, capacity: float, unit: str, combination: str, cite: Cite, sheet: Calculation, k: int
) -> CheckResult:
    ratio = rounded(demand / capacity) if capacity > 0 else math.inf
    state = State.PASSES if at_most(ratio, 1.0) else State.DOES_NOT_PASS
    return CheckResult(where, check, rounded(demand), rounded(capacity), unit, ratio, state, combination, "service", math.nan, cite, sheet, k)


def _anchor(layout: Layout, solved: Solved, needs: Needs, bay: AnchoredBay) -> CheckResult:
    """The force of all trusses that lean on the line against what the bay takes of it."""
    sheet = needs.sheet.copy()
    count = sheet.given("trusses that lean on the line", float(bay.leaning), "-", Cite("survey", "anchored bay"))
    total = sheet.given("force of the line at its anchor", needs.force * count, "lb", SUM)
    k = int(np.asarray(total).argmax())
    name = solved.forces.combinations[k].name
    return _result(f"brace line, {bay.where}", ANCHOR, float(total[k]), bay.takes, "lb", name, Cite("survey", "anchored bay"), sheet, k)


def _stiffness(job: Job, layout: Layout, needs: Needs, bay: AnchoredBay, wood: Wood) -> tuple[list[CheckResult], float]:
    """How far the line gives at the truss farthest from its anchor, under the forces of all: timbers, joints, and the bolts of the last block."""
    where, check = "brace line", "stiffness of the line"
    if needs.stiffness is None or not isinstance(job.steel, BracingStandard):
        cite = Cite("standards", "braces")
        return [cannot_be_checked(where, check, "no installed standard says how stiff a brace must be", cite)], math.nan
    sheet, statics = needs.sheet.copy(), Cite("statics", "timbers and joints one behind the other, each with the force of all beyond it")
    k = int(needs.stiffness.argmax())
    asked = float(needs.stiffness[k])
    value = job.wood.stiffness(grade_of(wood), layout.height, layout.width)
    E = sheet.given("E of the timber", value.E, "psi", value.cite)
    bolt = p.WOOD_ON_WOOD * job.wood.slip_modulus(layout.diameter, grade_of(wood))
    slip = sheet.given("load per slip of one bolt, wood on wood", bolt, "lb/in", Cite(job.wood.name, "slip of bolts"))
    bay_gives = layout.span / (E * layout.height * layout.width) + 2 / (layout.count * slip)
    sheet.given("stiffness of one bay, timber and joint", 1 / bay_gives, "lb/in", statics)
    n = bay.leaning
    gives = n * (n + 1) / 2 * bay_gives + 1 / (layout.near * slip)
    sheet.given("stiffness at the farthest truss, every truss pushing alike", 1 / gives, "lb/in", statics)
    has = sheet.given("of that, as the rest is left to the anchor", p.ANCHOR_SHARE / gives, "lb/in", statics)
    rest = 1 / asked - gives
    anchor = n / rest if rest > 0 else math.inf
    cite = Cite(job.steel.name, "appendix 6")
    return [_result(where, check, asked, float(has), "lb/in", "", cite, sheet, k)], anchor


def _timber(job: Job, layout: Layout, solved: Solved, line: Floats, wood: Wood) -> list[CheckResult]:
    """The timber from truss to truss, pushed and pulled, bent by its own weight and by the joint whose block lies beside it."""
    hole = layout.diameter + usual.HOLE_OVER_BOLT
    own = layout.height * layout.width * usual.WOOD_WEIGHT * layout.span**2 / 8
    moment = np.concatenate([own + line * layout.height] * 2)
    combinations, count = solved.forces.combinations, len(line)
    zero = np.zeros(2 * count)
    demands = Demands(
        axial=np.concatenate([-line, line]), moment=moment, shear=zero, station=zero, combination=np.tile(np.arange(count), 2),
        combinations=tuple(c.name for c in combinations), durations=tuple(c.duration for c in combinations),
    )  # fmt: skip
    net = layout.width - hole
    request = MemberRequest(
        where="timber of the brace line", wood=grade_of(wood), thickness=layout.width, depth=layout.height, demands=demands,
        net_area=np.full(2 * count, net * layout.height), net_modulus=np.full(2 * count, net * layout.height**2 / 6),
        condition=np.ones(2 * count), length_in_plane=layout.span, length_out_of_plane=layout.span, unbraced_bending=layout.span,
        zero_moment_length=layout.span,
    )  # fmt: skip
    return list(job.wood.member_checks([request])[0])


def _bolts(job: Job, layout: Layout, solved: Solved, line: Floats, one: Floats, wood: Wood) -> list[CheckResult]:
    """The joint of the line takes the force of all, the near block that of its own truss; both ways."""
    half, combinations = layout.width / 2, solved.forces.combinations
    found: list[CheckResult] = []
    for where, axial, group, ends in (
        (JOINT, line, "B2", (layout.joint, math.inf)),
        (NEAR_BLOCK, one, "B3", (-math.inf, math.inf)),
    ):  # fmt: skip
        xs = np.array([(x, 0.0) for x in layout.groups[group]])
        block = (layout.joint - layout.half, layout.low) if group == "B2" else (layout.high, layout.high + layout.near_block)
        parts = (
            ConnectedPart("block", "wood", layout.height, "other", 0.0, xs, block, (-half, half), grade_of(wood)),
            ConnectedPart("timber of the line", "wood", layout.height, "member", math.pi, xs, ends, (-half, half), grade_of(wood)),
        )
        found += job.wood.connection_checks(ConnectionRequest(
            where=where, diameter=layout.diameter, bolt_bending_yield=usual.BOLT_YIELD, parts=parts, gaps=(0.0,), axial=axial,
            combinations=tuple(c.name for c in combinations), durations=tuple(c.duration for c in combinations), reverses=True,
            hole_oversize=usual.HOLE_OVER_BOLT, distances=group == "B2",
            root_diameter=layout.ordered.root_diameter if layout.ordered.threads_in_shear else 0.0,
        ))  # fmt: skip
    return found


def _pressed(job: Job, layout: Layout, solved: Solved, member: Member, one: Floats) -> list[CheckResult]:
    """The end of a block against the face of the outermost ply, across its grain."""
    combinations, plies = solved.forces.combinations, member.plies
    softest = min(plies, key=lambda x: x.thickness)
    return list(job.wood.across_checks(AcrossRequest(
        where=f"face of {member.name} at the block", wood=grade_of(softest.wood), thickness=layout.height, depth=softest.thickness,
        length=layout.width, end=math.inf, push=one, combinations=tuple(c.name for c in combinations),
        durations=tuple(c.duration for c in combinations),
    )))  # fmt: skip


def _nails(job: Job, layout: Layout, solved: Solved, member: Member, wood: Wood) -> list[CheckResult]:
    """The nails at the member carry what one truss has of the line, whichever way it slopes."""
    where, combinations = "nails that hold the brace line in place", solved.forces.combinations
    if not isinstance(job.wood, ToeNailStandard):
        why = f"{job.wood.name} has no rule here for nails driven aslant"
        return [cannot_be_checked(where, "toe-nails", why, Cite(job.wood.name, "nails"))]
    thinnest = min(member.plies, key=lambda x: x.thickness)
    return list(job.wood.toe_nail_checks(ToeNailRequest(
        where=where, nail=p.NAIL, count=2 * p.NAILS_PER_BLOCK, piece=grade_of(wood), main=grade_of(thinnest.wood), thickness=thinnest.thickness,
        load=np.full(len(combinations), layout.weight), combinations=tuple(c.name for c in combinations),
        durations=tuple("permanent" for _ in combinations),
    )))  # fmt: skip
