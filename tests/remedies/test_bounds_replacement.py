"""New pieces of a bottom chord's ply whose cuts are as far from the damage, and as near to what stands beside them, as they may be."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from bounds import Example, accepted
from sample_trusses import SHORT_END, project
from test_replacement_plan import harmed

from detailgen import pipeline
from detailgen.assessment.assess import solve_repaired
from detailgen.model.member import NoDrillZone
from detailgen.model.package import Refusal
from detailgen.model.project import Truss
from detailgen.remedies.contract import Job, Repair, Solved
from detailgen.remedies.replacement import REMEDY
from detailgen.remedies.replacement import parameters as p
from detailgen.remedies.splice.parameters import CLEAR

RULES: dict[str, str] = {}
MORE: dict[str, object] = {}
DAMAGE = 18.0
NEAREST = 288.0 - DAMAGE / 2 - p.SOUND["decay"]
"""The first cut to the left of the damage."""


def barred(low: float, high: float) -> NoDrillZone:
    return NoDrillZone("bottom chord", "conduit", (low + high) / 2, 0.0, high - low, 11.0)


def light(load: float, *zones: NoDrillZone) -> Truss:
    """Decay at midspan under so much of the load; nothing but the webs and these zones stands on the chord."""
    found = harmed()
    return replace(found, tributary_width=load * found.tributary_width, zones=zones)


def answer(found: Truss) -> Repair | Refusal:
    job = replace(project(SHORT_END), access=None)
    wood, loads = pipeline.standards_of(job)

    def solve(changed: Truss) -> Solved:
        return Solved(changed, *solve_repaired(job, changed, wood, loads))

    asked = Job(job, wood, pipeline.steel_standard(job.method), solve)
    solved = solve(found)
    (site,) = REMEDY.still_failing(asked, solved)
    return REMEDY.dimension(asked, found, site, solved, {}, math.inf)


CLOSE = barred(230.0, NEAREST - p.LEAST_ROOM - CLEAR)
"""So near to the first cut that no less room would do."""
FAR = barred(NEAREST - p.FARTHEST + p.LEAST_ROOM + CLEAR, 262.0)
"""Leaves the last of the cuts that are tried."""
EXAMPLES = (
    Example("as little room beside the cut as may be", {"LEAST_ROOM": 12.0}, lambda: answer(light(0.5, CLOSE))),
    Example("as far from the damage as may be", {"FARTHEST": 120.0}, lambda: answer(light(0.5, FAR))),
)


def left_cut(repair: Repair) -> float:
    """Where the new piece begins, by its drawing."""
    return repair.detail.station + min(v.x for v in repair.detail.part("piece").outline)


READS = {
    "LEAST_ROOM": lambda r: {left_cut(r) - max(z.along + z.length / 2 for z in r.truss.zones) - CLEAR},
    "FARTHEST": lambda r: {NEAREST - left_cut(r)},
}


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda e: e.name)
def test_an_accepted_piece_at_each_bound(example: Example) -> None:
    accepted(example, p, READS)


@pytest.mark.parametrize("zone", [replace(CLOSE, length=CLOSE.length + 0.5), replace(FAR, along=FAR.along - 0.5)])
def test_half_an_inch_less_leaves_no_such_cut(zone: NoDrillZone) -> None:
    """The zone reaches a quarter, or half, of an inch farther: the next cut is taken, or none is left."""
    other = answer(light(0.5, zone))
    assert isinstance(other, Refusal) or left_cut(other) < NEAREST
