"""Side members of both chords at each bound of what they are made of, found by the remedy's own search."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from bounds import Example, accepted, thickness
from sample_trusses import BENT, project
from test_side_member_plan import LEFT, chord, ropewalk, straight
from test_side_member_pulled import ALL, CHORD, KEY, checked, jacked_off, with_strong_webs
from test_side_member_pulled import job_of as pulled_project

from detailgen import pipeline
from detailgen.assessment.assess import solve_repaired
from detailgen.model.package import Refusal
from detailgen.model.project import Override, Project, Truss
from detailgen.remedies import choose
from detailgen.remedies.contract import Job, Repair, Solved
from detailgen.remedies.side_member import REMEDY, past
from detailgen.remedies.side_member import parameters as p

RULES = {
    "GREATEST_SPACING": "NDS 2018 15.3.4: by it the columns are counted; test_side_member_plan measures it",
    "FARTHER": "places that are tried, each moved to where there is room: test_ends_as_near_and_as_far_as_is_tried",
}
MORE: dict[str, object] = {}


def answer(found: Truss, key: str, given: Project, **items: str) -> Repair | Refusal:
    wood, loads = pipeline.standards_of(given)

    def solved(changed: Truss) -> Solved:
        return Solved(changed, *solve_repaired(given, changed, wood, loads))

    def solve(changed: Truss) -> Solved:
        """With the most and with the least that side members may take."""
        most, least = solved(changed), choose.loose(changed)
        return most if least is None else choose.worse_of(most, solved(least))

    job = Job(given, wood, pipeline.steel_standard(given.method), solve)
    bare = solve(found)
    site = next(s for s in REMEDY.still_failing(job, bare) if s.key == key)
    asked = replace(found, overrides=tuple(Override(k.replace("_", " "), v, "a test") for k, v in items.items()))
    return REMEDY.dimension(job, asked, site, replace(bare, truss=asked), {}, math.inf)


def bent(found: Truss | None = None, longest: float = 0.0, **items: str) -> Repair | Refusal:
    """Beside the first panel of the top chord."""
    given = project(BENT)
    given = replace(given, access=replace(given.access, longest=longest)) if longest else given
    return answer(found or ropewalk(), LEFT, given, **items)


def pulled(found: Truss, **items: str) -> Repair | Refusal:
    """Past L3 of the bottom chord."""
    return answer(found, KEY, pulled_project(), **items)


def of_stock(depth: float, found: Truss) -> Repair | Refusal:
    """Past L3 of the bottom chord, with timber of one depth in stock."""
    thick = past.dry_lumber()[0]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(past, "dry_lumber", lambda: (thick, (depth,)))
        return pulled(found)


EXAMPLES = (
    Example("the thinnest timber and bolts", {"DIAMETERS": 0.5, "LEAST_THICKNESS": 1.5}, lambda: bent(side_member_bolt_diameter="1/2 in")),
    Example("the largest bolts", {"DIAMETERS": 0.75}, lambda: bent(straight(0.75), side_member_bolt_diameter="3/4 in")),
    Example("the shortest", {"LEAST_LENGTH": 40.0}, lambda: bent(longest=40.0)),
    Example("half as deep as the chord", {"LEAST_DEPTH": 0.5}, lambda: of_stock(5.5, chord(checked(0.7, barred=ALL), CHORD, depth=11.0))),
    Example("the fewest columns at an end", {"LEAST_AT_END": 2}, lambda: pulled(checked(0.64))),
    Example("the most columns at an end, rows far apart", {"MOST_HELD": 8, "GREATEST_GAUGE": 5.0},
            lambda: pulled(checked(0.62), side_member_bolt_diameter="1/2 in")),
    Example("half of the dead load's pull lifted off", {"PARTS": 0.5}, lambda: pulled(checked())),
    Example("all of the dead load's pull lifted off", {"PARTS": 1.0}, lambda: pulled(with_strong_webs(checked(0.55)))),
)  # fmt: skip


def side(repair: Repair):
    (found,) = repair.truss.side_members
    return found


def at_an_end(repair: Repair) -> set[float]:
    """Columns beyond the length over which the timber counts, on the drawing."""
    found, middle = side(repair), repair.site.x
    left = {b.x for b in repair.detail.bolts if b.x <= found.start - middle + 1e-6}
    right = {b.x for b in repair.detail.bolts if b.x >= found.end - middle - 1e-6}
    assert len(left) == len(right)
    return {len(left)}


def lifted(repair: Repair) -> set[float]:
    """The part of the dead load's pull at L3 that the jacks take off, by lever arms; the chords bend too, so it is near one of those asked for."""
    given = pulled_project()
    bare = solve_repaired(given, replace(repair.truss, side_members=()), *pipeline.standards_of(given))[1]
    dead = float(bare.members["L2-L3"].axial[[c.name for c in bare.combinations].index("D"), -1])
    part = jacked_off(repair.truss, side(repair)) / dead
    return {near for near in (0.5, 0.75, 1.0) if abs(part - near) < 0.08}


READS = {
    "DIAMETERS": lambda r: {b.diameter for b in r.detail.bolts},
    "LEAST_THICKNESS": lambda r: thickness(r.detail, "side"),
    "LEAST_LENGTH": lambda r: {round(side(r).length, 1)},
    "LEAST_DEPTH": lambda r: {side(r).depth / min(q.depth for q in r.truss.member(side(r).chord).plies)},
    "GREATEST_GAUGE": lambda r: {g.gauge for g in r.detail.groups},
    "LEAST_AT_END": at_an_end, "MOST_HELD": at_an_end, "PARTS": lifted,
}  # fmt: skip


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda e: e.name)
def test_an_accepted_side_member_at_each_bound(example: Example) -> None:
    accepted(example, p, READS)


@pytest.mark.parametrize(("farther", "x", "length", "key"), [(min(p.FARTHER), 288.0, 90.0, KEY), (max(p.FARTHER), 100.0, 30.0, "R4-side-pulled-L1")])
def test_ends_as_near_and_as_far_as_is_tried(farther: float, x: float, length: float, key: str) -> None:
    """Near: bolts stand 3-1/2 in. at most beyond the checks (clear distance, two bolts of 3/4 in., rounding). Far: from the joint, one side."""
    found = checked(0.66, barred=ALL)
    (check,) = found.damage
    found = replace(found, damage=(replace(check, at=x, length=length),))
    example = Example("", {"FARTHER": farther}, lambda: answer(found, key, pulled_project()))
    repair = accepted(example, p, {"FARTHER": lambda r: {farther}})
    timber = side(repair)
    if farther:
        assert max(timber.end - repair.site.x, repair.site.x - timber.start) == pytest.approx(farther)
    else:
        assert length / 2 < timber.end - x <= length / 2 + 3.5
        assert length / 2 < x - timber.start <= length / 2 + 3.5
