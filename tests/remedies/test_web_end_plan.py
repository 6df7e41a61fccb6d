"""New bolts of a web's end on the sample whose web was cut too short: choice, consequences, refusals, and the joint as it is drawn."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from sample_trusses import SHORT_END, SLENDER, passes, project, truss

from detailgen import packing, pipeline
from detailgen.assessment.assess import solve_repaired
from detailgen.assessment.sections import hole_groups
from detailgen.checker.check import check_detail
from detailgen.checker.fit import fits, package_fit
from detailgen.core.result import State
from detailgen.model.detail import MARKED_OUT
from detailgen.model.marks import register
from detailgen.model.member import Connection, Damage, NoDrillZone, Plate
from detailgen.model.project import Override, Truss
from detailgen.remedies import choose
from detailgen.remedies.contract import Job, Repair, Solved
from detailgen.remedies.web_end import REMEDY, cover_search
from detailgen.remedies.web_end import parameters as p

WEB, JOINT, KEY = "U1-L1", "L1", "G3-web-end-U1-L1-L1"
HALF_INCH = 911.0
"""One 1/2 in. bolt, double shear, mode III_s, by hand from NDS 2018 12.3.1 (table 12.3.1A): main 3-1/2 in. along the grain, F_e 5,600 psi; sides
2-1/2 in. across it, 3,150 psi (table 12.3.3, G 0.50, D 1/2); F_yb 45,000; K_theta 1.25: k_3 = 0.984, R_d = 4.0."""


def malthouse() -> Truss:
    return truss(SHORT_END, "G3")


def with_end(found: Truss | None = None, **changes) -> Truss:
    """The malthouse with another connection of the short web's lower end."""
    found = found or malthouse()
    return replace(found, connections=tuple(replace(c, **changes) if (c.member, c.joint) == (WEB, JOINT) else c for c in found.connections))


def sized(web: float, chord: float, end: float, at: tuple[tuple[float, float], ...], diameter: float = 0.75) -> Truss:
    """The malthouse with another web and chord, and other old bolts at the short end."""
    found = malthouse()
    depths = {WEB: web, "bottom chord": chord}
    members = tuple(replace(m, plies=tuple(replace(q, depth=depths.get(m.name, q.depth)) for q in m.plies)) for m in found.members)
    bolts = replace(next(c.bolts for c in found.connections if (c.member, c.joint) == (WEB, JOINT)), positions=at, diameter=diameter)
    return with_end(replace(found, members=members), end=end, bolts=bolts)


DEEP = (11.25, 18.0, 9.0, ((-6.0, 0.0),))
"""A lap with room for any pattern."""


def repaired(changed: Truss | None = None, **items: str):
    overrides = tuple(Override(item.replace("_", " "), value, "a test") for item, value in items.items())
    return pipeline.repair_one(project(SHORT_END), replace(changed or malthouse(), overrides=overrides))


@pytest.fixture(scope="module")
def one():
    return repaired()


def job_of(found: Truss) -> Job:
    wood, loads = pipeline.known_standards()
    job = project(SHORT_END)

    def solve(changed: Truss) -> Solved:
        return Solved(changed, *solve_repaired(job, changed, wood[job.wood_standard], loads[job.load_standard]))

    return Job(job, wood[job.wood_standard], pipeline.steel_standard(job.method), solve)


def forced(found: Truss, **least: float):
    """The repair of the short end with sizes that may not be undercut."""
    job = job_of(found)
    solved = job.solve(found)
    site = next(s for s in REMEDY.still_failing(job, solved) if s.key == KEY)
    return REMEDY.dimension(job, found, site, solved, least, math.inf)


def test_the_short_end_gets_bolts_and_everything_passes(one) -> None:
    assert [i.key for i in one.interventions] == [KEY]
    assert one.before.as_found.worst[1].ratio > 1.2
    assert passes(one)
    assert 0.80 <= one.after.worst[1].ratio <= 1.0
    assert not one.assumptions  # settled
    place = next(x for x in one.after.places if x.name == "web U1-L1 at L1")
    assert place.worst.ratio <= 1.0


def test_why_it_is_asked_for_and_what_else_would_do(one) -> None:
    told = one.interventions[0]
    assert '1 1/2" of end distance where 2 5/8" is the least' in told.because  # NDS 2018 table 12.5.1A: 3.5 D of a 3/4 in. bolt
    assert "its force changes sign" in told.because
    assert any(x.startswith('5/8" bolts: 2 rows of 1 bolt') for x in told.runners_up)


def test_the_new_bolts_by_hand(one) -> None:
    """Two bolts at 3 D instead of 4 D along the web: C_delta 0.75 (NDS 2018 12.5.1.2); roof live load, C_D 1.25 (table 2.3.2)."""
    place = next(x for x in one.after.places if x.name == "web U1-L1 at L1")
    bolts = max((r for r in place.results if r.check == "bolts"), key=lambda r: r.ratio)
    assert bolts.combination == "D + Lr at L1"
    assert bolts.capacity == pytest.approx(2 * HALF_INCH * 1.25 * 0.75, rel=0.01)
    # all bolts of the near side hang the 2,000 lb load: nothing is left to the old ones
    axial = one.after.forces.members["U1-L1"].axial[[c.name for c in one.after.forces.combinations].index("D + Lr at L1"), -1]
    assert bolts.demand == pytest.approx(abs(axial), rel=1e-6)


def test_old_bolts_carry_nothing_and_their_holes_count(one) -> None:
    """The net section at the joint with new and old holes (NDS 2018 3.1.2)."""
    made = next(c for c in one.truss.connections if (c.member, c.joint) == (WEB, JOINT))
    assert made.new
    assert [b.positions for b in made.idle] == [((-1.75, 0.0),)]
    model = job_of(one.truss).solve(one.truss).model
    holes = next(g for g in hole_groups(one.truss, model) if g.member == "U1-L1" and g.at > 1)
    assert sorted(round(h.diameter, 4) for h in holes.holes) == [9 / 16, 9 / 16, 13 / 16]


def test_new_bolts_stand_clear_of_the_old_one_and_of_the_edges(one) -> None:
    detail = one.details[0]
    for bolt in detail.bolts:
        assert math.dist((bolt.x, bolt.y), (-1.75, 0.0)) >= 3 * (0.5 + 0.75) / 2 - 1e-6
        assert bolt.x + 3.25 >= 7 * 0.5 - 1e-6  # full value in tension of softwood (NDS 2018 table 12.5.1A)
        assert 11.25 / 2 - abs(bolt.x) >= 4 * 0.5 - 1e-6  # loaded edge of the chord, whose grain runs across (table 12.5.1C)
        assert bolt.y == 0.0  # on the web's axis: nothing bends it


def test_the_joint_is_whole_and_the_checker_passes_it(one) -> None:
    detail = one.details[0]
    assert all(r.state is State.PASSES for r in check_detail(detail))
    assert all(x.existing for x in detail.parts)
    assert detail.joint == JOINT
    assert detail.beside == ("bottom chord",)
    places = {(round(b.x, 6), round(b.y, 6)) for b in detail.bolts}
    for part in detail.parts:
        c, s = math.cos(part.placement.angle), math.sin(part.placement.angle)
        assert {(round(h.x * c - h.y * s, 5) + 0.0, round(h.x * s + h.y * c, 5) + 0.0) for h in part.holes} == places
    near = max(detail.parts, key=lambda x: x.placement.z)
    assert {h.template for h in near.holes} == {MARKED_OUT}
    assert {h.made for x in detail.parts for h in x.holes} == {"field"}
    assert len(detail.order) == len(detail.brings)
    for why in detail.whys:
        assert why.provided >= why.required - 1e-6, why
    assert register(one.details, {})[0] == ()  # bolts alone: no part to mark


@pytest.mark.parametrize(("dx", "what"), [(-2.5, "end distance"), (2.6, "edge distance")])
def test_a_moved_pattern_is_found(one, dx: float, what: str) -> None:
    """All holes 2-1/2 in. towards the web's end (1-1/4 in. are left, 1-3/4 is the least), or up to the chord's edge."""
    detail = one.details[0]

    def moved(part):
        c, s = math.cos(part.placement.angle), math.sin(part.placement.angle)
        return replace(part, holes=tuple(replace(h, x=h.x + dx * c, y=h.y - dx * s) for h in part.holes))

    found = check_detail(replace(detail, parts=tuple(moved(x) for x in detail.parts)))
    assert any(r.state is State.DOES_NOT_PASS and what in r.check for r in found)


def test_it_goes_together_on_site(one) -> None:
    settled = replace(one, status=packing.statuses(one, ()))
    package = packing.package_of(project(SHORT_END), (settled,), register(one.details, {})[0], ("", "", ""), ())
    found = package_fit(package)
    assert set(found) == {KEY}
    assert all(fits(results) for results in found.values())


def test_without_the_remedy_the_tool_says_what_stays_failing(monkeypatch) -> None:
    known = choose.all_remedies()
    monkeypatch.setattr(choose, "all_remedies", lambda: {k: r for k, r in known.items() if k != "web_end"})
    bare = repaired()
    assert not bare.interventions
    assert bare.after.worst[1].ratio > 1.2


def test_webs_of_two_plies_outside_the_chord_get_a_block_in_the_gap() -> None:
    """The diagonal U1-L2 in two plies, its lower end cut short where the upright stands elsewhere: no bolt crosses the open gap."""
    found = malthouse()
    alone = tuple(m for m in found.members if m.name != "U2-L2")
    ends = tuple(
        replace(c, end=1.5, bolts=replace(c.bolts, positions=((0.0, 0.0),))) if (c.member, c.joint) == ("U1-L2", "L2") else c
        for c in found.connections if c.member != "U2-L2"
    )  # fmt: skip
    loose = repaired(replace(found, members=alone, connections=ends))
    made = [d for d in loose.details if d.key == "G3-web-end-U1-L2-L2"]
    assert made, loose.refusals
    blocks = [x for x in made[0].parts if x.kind == "filler"]
    assert [x.thickness for x in blocks] == [3.5]
    assert all(r.state is State.PASSES for r in check_detail(made[0]))
    assert [m.mark for m in register(made, {})[0]] == ["FB-1"]


# Other laps (each bound: test_bounds_web_end.py).


def test_one_bolt_a_row() -> None:
    found = forced(malthouse(), diameter=0.625)
    assert isinstance(found, Repair)
    assert (found.detail.groups[0].rows, found.detail.groups[0].per_row) == (2, 1)


def test_thicker_bolts_in_the_old_holes() -> None:
    """Two bolts of 3/8 in. are too weak (1.15); the next that are thicker by 1/8 in. stand in their places, and no old hole is left."""
    found = repaired(sized(5.5, 11.25, 5.5, ((-1.5, 0.0), (1.5, 0.0)), 0.375))
    assert passes(found)
    assert {b.diameter for b in found.details[0].bolts} == {0.375 + p.LARGER}
    assert {(b.x, b.y) for b in found.details[0].bolts} == {(-1.5, 0.0), (1.5, 0.0)}
    made = next(c for c in found.truss.connections if (c.member, c.joint) == (WEB, JOINT))
    assert made.idle == ()
    assert "drilled out" in found.interventions[0].parameters["layout"]
    assert all(r.state is State.PASSES for r in check_detail(found.details[0]))
    assert found.details[0].shores == ""  # an old bolt is drawn: the engineer says what holds the web


# Refusals, each with its numbers.


def refused(changed: Truss | None = None, **items: str) -> str:
    found = repaired(changed, **items)
    assert not found.interventions
    return " ".join(r.reason for r in found.refusals)


def test_refusals_say_why() -> None:
    assert "override 'web end bolt diameter'" in refused(web_end_bolt_diameter="thick")
    zone = NoDrillZone("bottom chord", "old strap", 96.0, 0.0, 24.0, 11.25)
    assert "no new bolts find a place" in refused(replace(malthouse(), zones=(zone,)))
    strap = with_end(plates=(Plate(0.25, 4.0, 1.875, 87000.0, 10.0), Plate(0.25, 4.0, -1.875, 87000.0, 10.0)))
    assert "old plates" in refused(strap)
    assert "not known" in refused(web_end_bolt_diameter="1-1/4 in") or "not covered" in refused(web_end_bolt_diameter="1-1/4 in")
    broken = replace(malthouse(), damage=(Damage("break", WEB, "", 20.0, 3.0, "G9", 0.0, ""),))
    assert not any(i.remedy == "web_end" and WEB in i.key for i in repaired(broken).interventions)


def test_nothing_is_enough_says_the_nearest() -> None:
    reason = refused(with_end(condition=0.05))  # the survey leaves a twentieth of the joint's wood: no bolts and no gussets make it good
    assert "The nearest" in reason
    assert "stands at" in reason


def test_two_webs_in_one_gap_leave_no_lap_to_bolt_into() -> None:
    """In the boathouse both webs of a joint stand in the same gap and are cut to each other: that is said, with what stands there."""
    found = truss(SLENDER, "C")
    short = tuple(replace(c, end=2.0) if (c.member, c.joint) == ("U3-L3", "L3") else c for c in found.connections)
    one = pipeline.repair_one(project(SLENDER), replace(found, connections=short))
    refusal = next(r for r in one.refusals if r.remedy == "web_end")
    assert "old bolts there: 4" in refusal.reason


def test_a_surveyed_connection_is_never_changed_by_name_alone(one) -> None:
    """Everything of the survey but the short end is as it was."""
    def others(found: Truss) -> set[Connection]:
        return {c for c in found.connections if (c.member, c.joint) != (WEB, JOINT)}

    assert others(one.truss) == others(malthouse())


# Bolts that leave their chord too little depth.


def hung_beside_a_cut(**items: str):
    """The malthouse with its far ply cut 47 in. from L1 (within five depths of 11-1/4 in.), where the bolt of web U1-L1 stands 1-3/4 in. low."""
    found = truss(SHORT_END, "G3")
    ends = tuple(replace(c, end=max(c.end, 6.75)) if found.member(c.member).kind == "web" else c for c in found.connections)
    broken = Damage("break", "bottom chord", "far", 143.0, 4.0, "D01", 0.0, "")
    overrides = tuple(Override(item.replace("_", " "), value, "a test") for item, value in items.items())
    found = replace(found, connections=ends, damage=(broken,), overrides=overrides)
    return pipeline.repair_one(replace(project(SHORT_END), access=None, trusses=(found,)), found)


def shear_of(one, panel: str):
    rows = [r for q in one.after.places if q.name == f"bottom chord {panel}" for r in q.results if r.check == "shear at connections"]
    return max(rows, key=lambda r: r.ratio)


def test_bolts_that_hang_a_chord_low_beside_a_cut_are_made_anew() -> None:
    """NDS 2018 3.4.3.3, equation 3.4-6: 2/3 F'v b d_e (d_e/d)^2 with d_e = 11-1/4 / 2 - 1-3/4 = 3-7/8 in., F'v = 180 psi x 1.15, b = 2-1/2 in."""
    bare = hung_beside_a_cut(forbid_repair="web_end")
    low = shear_of(bare, "L0-L1")
    assert low.capacity == pytest.approx(2 / 3 * 180 * 1.15 * 2.5 * 3.875 * (3.875 / 11.25) ** 2, rel=1e-6)
    assert low.ratio > 1.0
    assert [r.reason.partition(":")[0] for r in bare.refusals if r.remedy == "choice"] == ["with the repairs in there stay over 1.0"]
    one = hung_beside_a_cut()
    told = next(i for i in one.interventions if i.key == "G3-web-end-U1-L1-L1")
    assert f"stands at {low.ratio:.2f} (shear at connections" in told.because
    assert "the bolts of web U1-L1 at L1 hang the load on part of its depth" in told.because
    assert passes(one)
    made = next(c for c in one.truss.connections if (c.member, c.joint) == ("U1-L1", "L1"))
    across = [x for x, _ in made.bolts.positions]  # the web stands square on its chord: along the web is across the chord
    d_e = 11.25 / 2 + min(max(across), -min(across))  # of the new bolts alone, from the edge that gives less
    assert low.demand < 2 / 3 * 180 * 1.15 * 2.5 * d_e * (d_e / 11.25) ** 2


def test_gussets_hang_a_chord_by_more_of_its_depth_where_no_bolts_through_the_lap_may() -> None:
    """Bolts of the gussets 1 in. over and under the chord's axis: d_e = 11-1/4 / 2 + 1 = 6-5/8 in. (NDS 2018 3.4.3.3, equation 3.4-6)."""
    one = hung_beside_a_cut(web_end_way="gussets")
    assert passes(one)
    told = next(i for i in one.interventions if i.key == "G3-web-end-U1-L1-L1")
    assert told.parameters["way"] == "gussets"
    assert told.runners_up[0] == "new bolts through the lap: not what the override asks for"
    made = next(c for c in one.truss.connections if (c.member, c.joint) == ("U1-L1", "L1"))
    assert sorted({x for x, _ in made.passing[-1].positions}) == [-1.0, 1.0]  # the web stands square on its chord
    assert shear_of(one, "L0-L1").capacity == pytest.approx(2 / 3 * 180 * 1.15 * 2.5 * 6.625 * (6.625 / 11.25) ** 2, rel=1e-6)


def test_an_end_that_other_repairs_have_mended_is_still_made_anew() -> None:
    """Without its bolts the next round would ask for it again."""
    short = truss(SHORT_END, "G3")
    ends = (replace(c, end=max(c.end, 6.75)) if short.member(c.member).kind == "web" else c for c in short.connections)
    job = job_of(short)
    site = next(s for s in REMEDY.still_failing(job, job.solve(short)) if s.key == KEY)
    solved = job.solve(replace(short, connections=tuple(ends), damage=()))
    assert all(s.key != KEY for s in REMEDY.still_failing(job, solved))
    outcome = REMEDY.dimension(job, solved.truss, site, solved, {}, math.inf)
    assert isinstance(outcome, Repair), outcome


def test_gussets_for_the_chord_s_sake_are_judged_for_its_shear(monkeypatch: pytest.MonkeyPatch) -> None:
    judged_for_it: list[bool] = []
    weakened = cover_search.weakened

    def noted(*given, hangs: bool = False):
        judged_for_it.append(hangs)
        return weakened(*given, hangs=hangs)

    monkeypatch.setattr(cover_search, "weakened", noted)
    hung_beside_a_cut(web_end_way="gussets")
    assert True in judged_for_it


def test_bearing_blocks_are_no_answer_to_bolts_that_hang_a_chord_low() -> None:
    """They leave these bolts where they are."""
    one = hung_beside_a_cut(web_end_way="bearing blocks")
    assert all(i.key != "G3-web-end-U1-L1-L1" for i in one.interventions)
    assert not passes(one)
