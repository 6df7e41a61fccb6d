"""Brace lines at each bound of what they are made of, found by the remedy's own search."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from bounds import Example, accepted
from sample_trusses import BRACED, project, truss
from test_brace_plan import BOTTOM, WEBS, with_braces

from detailgen import pipeline
from detailgen.assessment.assess import solve_repaired
from detailgen.model.package import Refusal
from detailgen.model.project import AnchoredBay, Override, Truss
from detailgen.remedies.brace import REMEDY
from detailgen.remedies.brace import parameters as p
from detailgen.remedies.contract import Job, Repair, Solved

RULES: dict[str, str] = {}
MORE: dict[str, object] = {}


def solved_of(found: Truss) -> tuple[Job, Solved]:
    wood, loads = pipeline.standards_of(project(BRACED))

    def solve(changed: Truss) -> Solved:
        return Solved(changed, *solve_repaired(project(BRACED), changed, wood, loads))

    return Job(project(BRACED), wood, pipeline.steel_standard("allowable stress"), solve), solve(found)


def answer(member: str, found: Truss | None = None, diameter: str = "", **bay: float) -> Repair | Refusal:
    """The line of one member; ``bay``: other entries of its anchored bay."""
    found = found or truss(BRACED, "R3")
    job, solved = solved_of(found)
    bays: list[AnchoredBay] = [replace(b, **bay) for b in (WEBS, BOTTOM)]
    job = replace(job, project=replace(job.project, anchored=tuple(bays), access=None))
    site = next(s for s in REMEDY.still_failing(job, solved) if s.member == member)
    asked = replace(found, overrides=(Override("brace bolt diameter", diameter, "a test"),) if diameter else ())
    return REMEDY.dimension(job, asked, site, solved, {}, math.inf)


def of_timber(height: float, width: float, **bay: float) -> Repair | Refusal:
    """With one timber in stock."""
    with pytest.MonkeyPatch.context() as patch:
        offered = [t for t in p.timbers() if t == (height, width)]
        patch.setattr(p, "timbers", lambda: offered)
        return answer("U3-L3", **bay)


def bare_chord() -> Truss:
    """No brace is left on the bottom chord; its plies are thick enough for three lines to hold it."""
    bare = with_braces("bottom chord", lambda x: False)
    plies = tuple(replace(x, thickness=3.5, z=math.copysign(2.875, x.z)) for x in bare.member("bottom chord").plies)
    bare = replace(bare, members=tuple(replace(m, plies=plies) if m.name == "bottom chord" else m for m in bare.members))
    return replace(bare, connections=tuple(replace(c, plates=()) if c.member == "bottom chord" else c for c in bare.connections))


EXAMPLES = (
    Example("the least timber, bolts and number of bolts", {"DIAMETERS": 0.5, "PER_GROUP": 2, "LEAST_HEIGHT": 1.5},
            lambda: answer("U3-L3", diameter="1/2 in", spacing=72.0, leaning=1)),
    Example("the largest bolts, and the most of them", {"DIAMETERS": 0.75, "PER_GROUP": 4}, lambda: answer("U3-L3", diameter="3/4 in")),
    Example("the widest timber", {"GREATEST_WIDTH": 7.25}, lambda: of_timber(2.5, 7.25)),
    Example("three lines in one gap", {"MOST_LINES": 3}, lambda: answer("bottom chord", bare_chord())),
)  # fmt: skip


def size(repair: Repair, axis: int) -> set[float]:
    return {(line.height, line.width)[axis] for line in repair.truss.lines}


READS = {
    "DIAMETERS": lambda r: {b.diameter for b in r.detail.bolts},
    "PER_GROUP": lambda r: {g.per_row for g in r.detail.groups if g.key != "B3"},
    "MOST_LINES": lambda r: {len(r.truss.lines)},
    "LEAST_HEIGHT": lambda r: size(r, 0),
    "GREATEST_WIDTH": lambda r: size(r, 1),
}


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda e: e.name)
def test_an_accepted_line_at_each_bound(example: Example) -> None:
    accepted(example, p, READS)
