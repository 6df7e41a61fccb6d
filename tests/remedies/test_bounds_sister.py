"""Sisters of webs at each bound of what they are made of, found by the remedy's own search."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from bounds import Example, accepted, thickness
from sample_trusses import SLENDER, project, truss
from test_sister_plan import with_webs

from detailgen import pipeline
from detailgen.assessment.assess import solve_repaired
from detailgen.model.member import Plate
from detailgen.model.package import Refusal
from detailgen.model.project import Override, Truss
from detailgen.remedies.contract import Job, Repair, Solved
from detailgen.remedies.sister import REMEDY
from detailgen.remedies.sister import parameters as p
from detailgen.remedies.sister.room import free_length

RULES = {"GREATEST_SPACING": "NDS 2018 15.3.4: by it the bolts are counted; test_one_row_and_two measures it"}
MORE: dict[str, object] = {}
WEB = "U3-L3"


def answer(found: Truss | None = None, **items: str) -> Repair | Refusal:
    found = found or truss(SLENDER, "C")
    job = project(SLENDER)
    wood, loads = pipeline.standards_of(job)

    def solve(changed: Truss) -> Solved:
        return Solved(changed, *solve_repaired(job, changed, wood, loads))

    asked = Job(job, wood, pipeline.steel_standard(job.method), solve)
    solved = solve(found)
    site = next(s for s in REMEDY.still_failing(asked, solved) if s.member == WEB)
    overrides = tuple(Override(item.replace("_", " "), value, "a test") for item, value in items.items())
    return REMEDY.dimension(asked, replace(found, overrides=overrides), site, solved, {}, math.inf)


def with_plate(share: float, load: float = 1.0) -> Truss:
    """An old plate runs so far up the web that this share of it is left free."""
    found = truss(SLENDER, "C")
    room = free_length(found, found.member(WEB))
    end = room.length - room.start - share * room.length - p.CLEAR
    plate = Plate(0.25, 4.0, 1.125, 87000.0, end)
    ends = tuple(replace(c, plates=(plate,)) if (c.member, c.joint) == (WEB, "L3") else c for c in found.connections)
    return replace(found, connections=ends, tributary_width=load * found.tributary_width)


EXAMPLES = (
    Example("the thinnest bolts", {"DIAMETERS": 0.5}, lambda: answer(sister_bolt_diameter="1/2 in")),
    Example("the thickest bolts", {"DIAMETERS": 0.75}, lambda: answer(sister_bolt_diameter="3/4 in")),
    Example("the thinnest timber", {"LEAST_THICKNESS": 1.5}, lambda: answer(with_webs(thickness=1.5, depth=7.5), sister_sides="both")),
    Example("the shortest", {"LEAST_SHARE": 0.5}, lambda: answer(with_plate(0.500001))),
)
READS = {
    "DIAMETERS": lambda r: {b.diameter for b in r.detail.bolts},
    "LEAST_THICKNESS": lambda r: thickness(r.detail, "sister"),
    "LEAST_SHARE": lambda r: {_share(r)},
}


def _share(repair: Repair) -> float:
    """Of the web that its sister stands beside, with what its length is cut down to the grid by (1/4 in. at most) given back."""
    sister = next(s for s in repair.truss.sisters if s.member == WEB)
    room = free_length(repair.truss, repair.truss.member(WEB))
    assert 0 <= room.end - room.start - (sister.end - sister.start) < 0.6
    return round((room.end - room.start) / room.length, 4)


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda e: e.name)
def test_an_accepted_sister_at_each_bound(example: Example) -> None:
    accepted(example, p, READS)


def test_a_shorter_one_is_refused() -> None:
    refused = answer(with_plate(0.499))
    assert isinstance(refused, Refusal)
    assert "less than 50 % of the web" in refused.reason
