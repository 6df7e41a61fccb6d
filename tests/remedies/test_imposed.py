"""What strands ask of a new splice: its rows stand clear of their run, or it says why they cannot, and the strands are moved or refused."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from types import SimpleNamespace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sample_trusses import US_SAMPLE, project, truss

from detailgen import pipeline
from detailgen.checker.fit.bodies import body_of
from detailgen.checker.fit.bolts import Rig
from detailgen.checker.fit.runs import SLEEVE, run_results
from detailgen.core.result import State
from detailgen.model.detail import FROM_LEFT, STRANDS, Detail, Part, Placement, Vertex
from detailgen.model.imposed import Imposed
from detailgen.model.package import Refusal
from detailgen.model.project import Override, Truss
from detailgen.remedies.contract import Job, Repair, Site, Solved
from detailgen.remedies.posttension import REMEDY as STRANDS_REMEDY
from detailgen.remedies.posttension import parameters as strand
from detailgen.remedies.posttension.run import obstacles, ways
from detailgen.remedies.splice import REMEDY

AT, CUT = 222.0, 6.0
FACE, HALF = 4.25, 0.5 + 0.65 / 2
"""The chord's faces off the truss's plane; from a strand's middle to steel: 1/2 in. and half of a sheath of 0.65 in."""
BOLT = 7 / 8
REQUIRED = HALF + 1.35 * BOLT
"""Half a washer or nut is taken as 1.35 diameters (common practice, no published source)."""
TIP = FACE + 11.0 - (2 * FACE + 0.25) - 0.165
"""A bolt of 11 in. through both plies and a plate of 1/4 in., a washer of 0.165 in. (cut washer of 7/8 in., from memory) under its head: where it
ends on the far side."""
PLATED = "plate thickness 1/4 in; plate width 7 in; plate end 1-1/2 in"
ROWS_TOO_NEAR = f"bolt 7/8 in; rows 2; per row 2; spacing 5-1/2 in; gauge 4 in; end 6-1/8 in; {PLATED}"


def broken() -> Truss:
    return truss(US_SAMPLE, "T2")


def accepted() -> Truss:
    return replace(broken(), overrides=(Override("splice layout of T2-splice-1", ROWS_TOO_NEAR, "accepted from the edited drawing"),))


@cache
def at_the_break() -> tuple[Job, Solved, Site]:
    wood, loads = pipeline.known_standards()
    given_job = project(US_SAMPLE)

    def solve(one: Truss) -> Solved:
        return Solved(one, *pipeline.solve_repaired(given_job, one, wood[given_job.wood_standard], loads[given_job.load_standard]))

    work = Job(given_job, wood[given_job.wood_standard], pipeline.steel_standard(given_job.method), solve)
    site = Site("T2-splice-1", "T2", "bottom chord", ("near",), AT, CUT, "broken")
    return work, solve(REMEDY.healed(broken(), site)), site


def splice(*asked: Imposed, changed: Truss | None = None, least: dict[str, float] | None = None) -> Repair:
    job, solved, site = at_the_break()
    answer = REMEDY.dimension(job, changed or broken(), replace(site, asked=asked), solved, least or {}, math.inf)
    assert isinstance(answer, Repair), answer.reason
    return answer


def way(*heights: float, z: float, firm: bool = False) -> Imposed:
    return Imposed("T2-strands", "strands", "bottom chord", heights, z, HALF, firm)


def measured(detail: Detail, asked: Imposed):
    """The checker's measure between the joint's bodies and bare strands of 1/2 in. where they were asked for."""
    disc = Vertex(-0.25, 0.0, 1.0), Vertex(0.25, 0.0, 1.0)
    lines = tuple(
        Part(f"strand-{h}-{z}", "strand", "strand", disc, (), (), 12.0, Placement(z, h, 0.0), "steel", "", math.nan, False, 0.28)
        for h in asked.heights for z in (-asked.z, asked.z)
    )
    heel = replace(detail, key="heel", remedy=STRANDS, parts=lines, bolts=(), groups=(), axis=FROM_LEFT)
    rig = Rig(detail, {p.key: body_of(p, p.key) for p in detail.parts}, {p.key: p.key for p in detail.parts})
    one = SimpleNamespace(stressing=SimpleNamespace(anchor_x=(0.0, 672.0)), details=(heel, detail))
    (result,) = run_results(rig, one)
    return result


def test_left_alone_its_rows_stand_where_they_cost_least() -> None:
    group = splice().detail.groups[0]
    assert group.gauge / 2 < REQUIRED


def test_rows_make_room_and_the_sheet_says_for_whom() -> None:
    asked = way(0.0, z=6.5)
    made = splice(asked)
    detail = made.detail
    assert all(abs(y) >= REQUIRED - 1e-9 for _, y in detail.groups[0].positions)
    zone = next(z for z in detail.zones if z.why == "strands, asked by T2-strands")
    assert (zone.y, zone.depth) == (0.0, pytest.approx(2 * REQUIRED))
    assert any("Strands pass on both faces, on the chord's axis, their middle 6 1/2\" from the truss's plane (asked by T2-strands)" in n
               for n in detail.notes)  # fmt: skip
    why = next(w for w in detail.whys if "strands" in w.dimension)
    assert (why.required, why.provided) == (pytest.approx(REQUIRED), detail.groups[0].gauge / 2)
    assert any("were nothing asked of it" in r for r in made.intervention.runners_up)
    assert measured(detail, asked).state is State.PASSES


def test_far_enough_off_the_chord_nothing_is_asked_of_its_rows() -> None:
    """The sheath and its room ask for 0.825 in. beyond the tip of the longest bolt."""
    made, alone = splice(way(0.0, z=TIP + HALF)), splice()
    assert {b.length for b in alone.detail.bolts} == {11.0}
    assert {p.thickness for p in alone.detail.parts if p.kind == "plate"} == {0.25}
    assert splice(way(0.0, z=TIP + HALF - 0.01)).detail.groups != alone.detail.groups
    assert made.detail.groups == alone.detail.groups
    assert not [z for z in made.detail.zones if "strands" in z.why]
    assert any("nuts and plates end short of them" in n for n in made.detail.notes)


def test_where_the_engineer_wants_them_nearer_than_a_plate_allows_the_plate_is_divided() -> None:
    """Between sheath and plate at 5-1/8 in. off the plane there would be 0.3 in.: so each row has a plate of its own and they pass between."""
    asked = way(0.0, z=5.125, firm=True)
    detail = splice(asked).detail
    plates = [p for p in detail.parts if p.kind == "plate" and "outer" in p.name]
    assert len(plates) == 2
    for plate in plates:
        edges = [plate.placement.y + v.y for v in plate.outline]
        assert min(abs(y) for y in edges) >= HALF
        assert all(y > 0 for y in edges) or all(y < 0 for y in edges)
    assert any("open between them" in n for n in detail.notes)
    assert measured(detail, asked).state is State.PASSES


def test_that_much_is_not_done_for_strands_that_can_be_moved() -> None:
    made = splice(way(0.0, z=5.125))
    assert len([p for p in made.detail.parts if p.kind == "plate"]) == 2
    (declined,) = {d for s in made.truss.splices for d in s.declined}
    assert "plates clear of what runs along the chord by" in declined[1]


def test_what_it_was_asked_before_is_not_forgotten() -> None:
    """It makes room for the latest that it can, and keeps saying what it cannot."""
    blocked, free = way(0.0, z=5.125), way(0.0, z=6.5)
    made = splice(blocked, free)
    assert [a for s in made.truss.splices for a, _ in s.declined] == [blocked]
    assert all(abs(y) >= REQUIRED - 1e-9 for _, y in made.detail.groups[0].positions)


@settings(max_examples=40)
@given(
    heights=st.lists(st.integers(-6, 6).map(lambda n: n / 2), min_size=1, max_size=2, unique=True).map(lambda h: tuple(sorted(h))),
    z=st.integers(41, 64).map(lambda n: n / 8), firm=st.booleans(),
)  # fmt: skip
def test_no_hole_nut_washer_or_plate_stands_where_it_made_room(heights, z, firm) -> None:
    """For whatever it is asked: either it says that it cannot, or the checker's own measure finds the way clear."""
    asked = way(*heights, z=z, firm=firm)
    made = splice(asked)
    if any(s.declined for s in made.truss.splices):
        return
    result = measured(made.detail, asked)
    assert result.state is State.PASSES, result
    assert result.demand == SLEEVE
    holes = [(h.y + p.placement.y, h.diameter / 2) for p in made.detail.parts for h in p.holes]
    for zone in (q for q in made.detail.zones if "strands" in q.why):
        assert all(abs(y - zone.y) >= zone.depth / 2 - 1e-6 > radius for y, radius in holes)


def test_the_checker_finds_a_row_that_stands_in_their_way() -> None:
    assert measured(splice().detail, way(1.5, z=5.5)).state is State.DOES_NOT_PASS


def test_strands_do_not_see_bolts_that_will_make_room_and_do_see_those_that_cannot() -> None:
    anchor = strand.ANCHORS["1/2 in."]

    def nearest(made: Truss):
        chord = made.member("bottom chord")
        return next(w for w in ways(made, chord, 1, anchor, strand.OFF["US"]) if w.height == 0.0)

    assert nearest(splice().truss).z == nearest(broken()).z == 6.5  # held off by old bolts alone
    held = nearest(splice(way(0.0, z=6.5), changed=accepted()).truss)
    assert held.least_z == pytest.approx(TIP + HALF)
    assert held.z == 7.25  # on the grid of 1/8 in.
    assert "new bolt of splice T2-splice-1-near, which cannot stand clear: its nearest layout, 2 rows of 2 bolts 7/8\"" in held.held_off_by


def test_a_splice_ends_where_its_steel_ends() -> None:
    """Plates and bolts count from where the ply ends: half of what is cut out lies between that and the middle."""
    made = splice()
    half = max(v.x for v in next(p for p in made.detail.parts if p.kind == "plate").outline)
    found = [o for o in obstacles(made.truss, made.truss.member("bottom chord")) if o.new is not None]
    plates = [o for o in found if "plate" in o.what]
    assert len(plates) == 2
    assert all((o.x[0], o.x[1]) == (pytest.approx(AT - half), pytest.approx(AT + half)) for o in plates)
    bolts = {round((o.x[0] + o.x[1]) / 2 - AT, 6) for o in found if o.bolt}
    assert bolts == {round(x, 6) for x, _ in made.detail.groups[0].positions}
    filler = next(p for p in made.detail.parts if p.kind == "filler")
    outer = max(abs(filler.placement.x + math.cos(filler.placement.angle) * v.x) for v in filler.outline)
    assert all(o.x[1] - AT >= outer for o in found if o.what.startswith("block"))


def loaded(layout: str = "", **changes) -> Truss:
    """The truss with a larger bay and more braces, and no old splices: its chord is pulled too much and bears strands. ``layout`` of the new splice
    as an engineer has accepted it."""
    braces = truss(US_SAMPLE, "T6").member("bottom chord").braces
    members = tuple(replace(m, braces=braces) if m.kind == "bottom chord" else m for m in broken().members)
    overrides = (Override("splice layout of T2-splice-1", layout, "accepted from the edited drawing"),) if layout else ()
    return replace(broken(), members=members, splices=(), heel_room=(60.0, 20.0), tributary_width=156.0, overrides=overrides, **changes)


def strands_on(found: Truss, *asked: Imposed) -> Repair | Refusal:
    """What the strands' remedy answers once the splice, asked for some room or none, is in the truss."""
    job, _, site = at_the_break()
    job = replace(job, anchorage=pipeline.anchorage(job.project.method))
    healed = job.solve(REMEDY.healed(found, site))
    made = REMEDY.dimension(job, found, replace(site, asked=asked), healed, {}, math.inf)
    assert isinstance(made, Repair), made.reason
    solved = job.solve(made.truss)
    (wanted,) = STRANDS_REMEDY.still_failing(job, solved)
    return STRANDS_REMEDY.dimension(job, solved.truss, wanted, solved, {}, math.inf)


LONG = f"bolt 1 in; rows 2; per row 2; spacing 6 in; gauge 4 in; end 7 in; {PLATED}"


def test_strands_that_may_not_be_moved_past_rows_that_cannot_make_room_are_refused_by_name() -> None:
    """Rows of 1 in. bolts 2 in. from the axis; 0.825 and 1.35 in. are asked for: 8 % are missing."""
    answer = strands_on(loaded(LONG, run_off=6.5, run_height=0.0), way(0.0, z=6.5, firm=True))
    assert isinstance(answer, Refusal)
    assert "strands are wanted 6 1/2\" from the truss's plane: new bolt of splice T2-splice-1-near, which cannot stand clear" in answer.reason
    assert "misses rows clear of what runs along the chord by 8 % of what is required" in answer.reason


def test_a_splice_where_guides_would_stand_is_named_with_the_ratio_that_it_costs() -> None:
    answer = strands_on(loaded(LONG, run_height=0.0))
    assert isinstance(answer, Refusal)
    assert "guides that keep clear of new plate of splice T2-splice-1-near at 19'-3\" are 7'-0\" apart" in answer.reason
    assert float(answer.reason.split("apart: ")[1].split(" (")[0].split()[-1]) > 1.0
