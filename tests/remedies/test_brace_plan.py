"""Brace lines on the sample whose webs and bottom chord buckle out of the truss: choice against sisters, forces, refusals, the drawn crossing."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import numpy as np
import pytest
from sample_trusses import BRACED, SLENDER, passes, project, truss

from detailgen import packing, pipeline
from detailgen.analysis.build import build_frame, panels
from detailgen.assessment.members import grade_of
from detailgen.assessment.stage_checks import _unstiffened
from detailgen.checker.check import check_detail
from detailgen.checker.fit import fits, package_fit
from detailgen.core.result import State
from detailgen.model.detail import ON_TOP, UNDER
from detailgen.model.marks import register
from detailgen.model.member import NoDrillZone
from detailgen.model.package import Refusal
from detailgen.model.project import Access, AnchoredBay, Override, Truss
from detailgen.outputs.solids.assembly import Frame
from detailgen.outputs.solids.truss import _frame, origin_of
from detailgen.remedies.brace import REMEDY
from detailgen.remedies.brace.judge import ANCHOR, needs_of
from detailgen.remedies.brace.site import braced, judged, stations_for, stretches
from detailgen.remedies.contract import Job, Solved
from detailgen.remedies.cost import LIGHT, PER_HOLE, PER_LIGHT, PER_PART
from detailgen.standards.nds_2018 import STANDARD as NDS

WEBS = AnchoredBay("bay 4", "webs", 4, 900.0)
BOTTOM = AnchoredBay("bay 4", "bottom chord", 4, 1500.0)
TOP = AnchoredBay("bay 4", "top chord", 3, 5000.0)


def repaired(found: Truss | None = None, *bays: AnchoredBay, access: Access | None = None, **items: str):
    overrides = tuple(Override(item.replace("_", " "), value, "a test") for item, value in items.items())
    job = replace(project(BRACED), access=access)
    return pipeline.repair_one(replace(job, anchored=bays or job.anchored), replace(found or truss(BRACED, "R3"), overrides=overrides))


def with_braces(kind: str, keep) -> Truss:
    """R3 with only those braces of a chord that ``keep`` lets stand."""
    found = truss(BRACED, "R3")
    members = tuple(replace(m, braces=tuple(x for x in m.braces if keep(x))) if m.name == kind else m for m in found.members)
    return replace(found, members=members)


@pytest.fixture(scope="module")
def one():
    return repaired()


@pytest.fixture(scope="module")
def job(one) -> tuple[Job, Solved]:
    """What a remedy is asked with, and R3 as found solved as if repaired."""
    wood, loads = pipeline.standards_of(project(BRACED))
    from detailgen.assessment.assess import solve_repaired

    found = truss(BRACED, "R3")
    solved = Solved(found, *solve_repaired(project(BRACED), found, wood, loads, pipeline._importer(project(BRACED), found)))
    return Job(project(BRACED), wood, pipeline.steel_standard("allowable stress"), lambda t: solved), solved


def test_a_member_is_judged_for_lines_as_it_is_judged_as_found(job) -> None:
    """Holes of its bolts and all: with no line laid yet, each check stands where that of the whole truss does."""
    asked, solved = job
    for name in ("bottom chord", "U3-L3"):
        member = solved.truss.member(name)
        found, whole = (
            {(p.name, r.check, r.where, r.combination): r.ratio for p in places for r in p.results}
            for places in (judged(asked, solved.truss, solved, member, panels(member)), solved.check(None))
        )
        assert {key: whole.get(key) for key in found} == pytest.approx(found, nan_ok=True)
        assert any(check == "shear at connections" for _, check, *_ in found)


def test_where_a_bay_is_anchored_lines_are_laid_and_everything_passes(one) -> None:
    assert [i.key for i in one.interventions] == ["R3-brace-bottom", "R3-brace-U3-L3", "R3-brace-L3-U4"]
    assert one.before.as_found.worst[1].ratio > 1.5
    assert passes(one)
    assert not one.assumptions  # settled
    assert {x.member for x in one.truss.lines} == {"bottom chord", "U3-L3", "L3-U4"}
    assert all(x.station in one.truss.member(x.member).braces for x in one.truss.lines)


def test_the_cheaper_of_line_and_sister_stands_and_the_other_is_told(one) -> None:
    """By the weights of cost.py: 6 bolts at 15, 22 lb of timber at 4; six holes on site and the fitting of three parts, at 90 per hour."""
    line = one.interventions[1]
    timber = sum(x.weight for x in one.details[1].parts if not x.existing)
    fitted = sum(PER_LIGHT if x.weight < LIGHT else PER_PART for x in one.details[1].parts if not x.existing)
    assert line.parameters["stated cost"].startswith(f"{6 * 15 + 4 * timber + 90 * (6 * PER_HOLE + fitted):,.0f} by the stated weights")
    lost = [r for r in one.interventions[0].runners_up if r.startswith("another set")]
    assert any("Sister on one side of web U3-L3; Sister on one side of web L3-U4" in r for r in lost)
    assert all("everything passes too, but it costs" in r for r in lost)


def test_without_an_anchored_bay_for_webs_the_sister_stands() -> None:
    other = repaired(truss(BRACED, "R7"))  # the sample's bay for webs is for R3 alone
    assert [i.key for i in other.interventions] == ["R7-brace-bottom", "R7-sister-U3-L3", "R7-sister-L3-U4"]
    assert passes(other)
    assert not any("Brace line" in r for i in other.interventions for r in i.runners_up)


def test_dear_timber_turns_the_choice() -> None:
    dear = repaired(None, WEBS, BOTTOM, cost_of_bolts="0", cost_of_timber="0", cost_of_field_hours="0", cost_of_steel="0")
    assert "R3-sister-U3-L3" in [i.key for i in dear.interventions]  # of equals the first stands
    lost = next(r for i in dear.interventions for r in i.runners_up if r.startswith("another set"))
    assert "Brace line across web U3-L3" in lost


def test_the_force_is_the_share_or_what_a_bow_asks_for(job) -> None:
    """2 % of the compression (common practice); 1 % for a column out of line by its braced length over 500, in proportion to the bow (AISC 360,
    appendix 6 and commentary; Yura, Fundamentals of Beam Bracing: 1 % of P for a bow of L_b/500)."""
    asked, solved = job
    web = solved.truss.member("U3-L3")
    (stretch,) = stretches(solved.truss, web)
    length = math.dist(*(solved.truss.joints[j] for j in web.joints))
    needs = needs_of(asked, braced(solved.truss, web, [length / 2]), solved, [stretch], [length / 2])
    P = float(-solved.forces.members["U3-L3"].axial.min())
    assert needs.most == pytest.approx(max(0.02 * P, 0.01 * P * 0.25 / (length / 2 / 500)), rel=1e-9)
    assert float(needs.stiffness.max()) == pytest.approx(2.0 * 8 * P / (length / 2), rel=1e-9)
    straight = replace(solved.truss, members=tuple(replace(m, bow=0.0) for m in solved.truss.members))
    bare = needs_of(
        asked, braced(straight, straight.member("U3-L3"), [length / 2]), solved, [stretches(straight, straight.member("U3-L3"))[0]], [length / 2]
    )
    assert bare.most == pytest.approx(0.02 * P, rel=1e-9)


def test_the_web_is_judged_by_the_same_code_as_with_a_surveyed_brace(one) -> None:
    """NDS 2018 3.7.1.4: half of its length over its thickness of 2-1/4 in."""
    place = next(x for x in one.after.places if x.name == "web U3-L3")
    slender = next(r for r in place.results if r.check == "slenderness")
    length = math.dist(*(one.truss.joints[j] for j in ("U3", "L3")))
    assert slender.demand == pytest.approx(length / 2 / 2.25, rel=1e-3)


def test_the_weight_is_on_the_truss(one) -> None:
    def modulus(wood, thickness, depth):
        return NDS.stiffness(grade_of(wood), thickness, depth).E

    models = [build_frame(t, modulus, damaged=True) for t in (one.before.truss, one.truss)]
    weights = [float((m.added_weight * m.length).sum()) for m in models]
    assert weights[1] - weights[0] == pytest.approx(sum(x.weight for x in one.truss.lines), rel=1e-6)
    # by hand: timber of 8 ft and blocks of 18 and 9 in., 2-1/2 x 3-1/2 in. at 35 pcf; six bolts 1/2 x 6 of about half a pound
    line = next(x for x in one.truss.lines if x.member == "U3-L3")
    assert line.weight == pytest.approx((96 + 27) * 2.5 * 3.5 * 35 / 1728 + 6 * 0.45, rel=0.05)


def test_the_line_carries_what_all_lean_on_it_with(one) -> None:
    """Four trusses: anchor and joint take four times the force at one; the timber is a column of 96 in. by 2-1/2 (NDS 2018 3.7.1.4)."""
    results = one.details[1].results
    anchor = next(r for r in results if r.check == ANCHOR)
    near = max((r for r in results if r.check == "bolts" and r.where.startswith("near block")), key=lambda r: r.demand)
    joint = max((r for r in results if r.check == "bolts" and r.where.startswith("joint")), key=lambda r: r.demand)
    assert anchor.demand == pytest.approx(4 * near.demand, rel=1e-5)
    assert joint.demand == pytest.approx(4 * near.demand, rel=1e-5)
    assert anchor.capacity == 900.0
    assert next(r for r in results if r.check == "slenderness").demand == pytest.approx(96 / 2.5)
    nails = next(r for r in results if r.check == "toe-nails")
    assert nails.demand == pytest.approx(next(x for x in one.truss.lines if x.member == "U3-L3").weight, rel=1e-6)
    assert all(r.state is State.PASSES for r in results)


def test_what_the_anchor_must_take_is_said_where_there_is_none() -> None:
    alone = repaired(None, WEBS)
    (refusal,) = alone.refusals
    assert refusal.key == "R3-brace-bottom"
    assert "the survey states none for bottom chord" in refusal.reason
    assert "must take 10 lb of each line for each truss" in refusal.reason  # 2 % of 290 lb, rounded up
    assert "anchored bays: [{bay: ..., holds: bottom chord" in refusal.reason
    weak = repaired(None, replace(WEBS, takes=100.0), BOTTOM, forbid_repair="sister")
    assert any("takes 100 lb of a line, and 4 trusses with 40 lb each push 150 lb on it" in r.reason for r in weak.refusals)
    assert not passes(weak)


def test_a_line_that_gives_too_much_is_refused() -> None:
    """Every truss that leans on a line makes all bays before it longer: past some number no stocked joint is stiff enough."""
    many = repaired(None, replace(WEBS, leaning=40, takes=1e5), BOTTOM, forbid_repair="sister")
    reasons = [r.reason for r in many.refusals if r.key == "R3-brace-U3-L3"]
    assert reasons
    assert "stiffness of the line" in reasons[0]


@pytest.mark.parametrize(("spacing", "words"), [(175.0, ""), (176.0, "thick at least, and the thickest dry stock")])
def test_bays_as_wide_as_stock_allows(spacing: float, words: str) -> None:
    """NDS 2018 3.7.1.4: fifty times 3-1/2 in. is 175 in."""
    wide = repaired(None, replace(WEBS, spacing=spacing), replace(BOTTOM, spacing=spacing), forbid_repair="sister")
    if words:
        assert words in wide.refusals[0].reason
    else:
        assert passes(wide)
        assert wide.details[0].part("line").thickness == 3.5
        assert not [r for d in wide.details for r in check_detail(d) if not r.passes]


def test_what_lines_cannot_do_is_told_with_its_ratio(job) -> None:
    """Thirty times the force: held at its middle, too, the web fails (its ratio grows with the force at least, from some 0.3)."""
    asked, solved = job
    web = solved.forces.members["U3-L3"]
    pushed = replace(solved, forces=replace(solved.forces, members={**solved.forces.members, "U3-L3": replace(web, axial=30 * web.axial)}))
    lines, why = stations_for(asked, solved.truss, pushed, solved.truss.member("U3-L3"), [("U3", "L3")], None)
    assert not lines
    said = re.fullmatch(r"1 brace line, the most that may be laid, leaves it at (\d+\.\d\d)", why)
    assert said is not None
    assert float(said[1]) > 1.0


def test_a_member_that_other_repairs_have_relieved_is_told_so(job) -> None:
    """A site stays while the forces move: pulled instead of pushed the web passes without a line (NDS 3.7.1 is for columns)."""
    asked, solved = job
    (site,) = (s for s in REMEDY.still_failing(asked, solved) if s.member == "U3-L3")
    web = solved.forces.members["U3-L3"]
    eased = replace(solved, forces=replace(solved.forces, members={**solved.forces.members, "U3-L3": replace(web, axial=abs(web.axial))}))
    answer = REMEDY.dimension(asked, solved.truss, site, eased, {}, math.inf)
    assert isinstance(answer, Refusal)
    said = re.fullmatch(r"with the other repairs in it stands at (0\.\d\d) without a line: nothing asks for one any more", answer.reason)
    assert said is not None, answer.reason


def test_what_stands_in_the_way_is_told_with_what_needs_the_room(job) -> None:
    asked, solved = job
    found = solved.truss
    web = found.member("U3-L3")
    middle = math.dist(*(found.joints[j] for j in web.joints)) / 2
    strapped = replace(found, zones=(NoDrillZone("U3-L3", "strap", middle, 0.0, 40.0, 7.5),))
    lines, why = stations_for(asked, strapped, solved, web, [("U3", "L3")], (1.5, 3.5))
    assert not lines
    assert why == 'no place on the member is free for a line of 1 1/2" x 3 1/2" with its blocks: strap stands in the way'


def test_access_and_overrides_are_obeyed() -> None:
    low = repaired(None, WEBS, BOTTOM, access=Access(longest=90.0), forbid_repair="sister")
    assert all("no piece over 7'-6\" gets there" in r.reason for r in low.refusals)
    thick = repaired(None, WEBS, BOTTOM, brace_bolt_diameter="3/4 in", forbid_repair="sister")
    assert {b.diameter for d in thick.details for b in d.bolts} == {0.75}
    assert passes(thick)
    assert not [r for d in thick.details for r in check_detail(d) if not r.passes]
    wrong = repaired(None, WEBS, BOTTOM, brace_bolt_diameter="thick", forbid_repair="sister")
    assert "override 'brace bolt diameter'" in wrong.refusals[0].reason


def test_a_chord_without_any_brace_gets_three_lines_at_most() -> None:
    """54 ft over four gaps is 162 in.: 46 times a ply of 3-1/2 in., 62 times one of 2-5/8 in. (NDS 2018 3.7.1.4: at most 50)."""
    bare = with_braces("bottom chord", lambda x: False)
    thin = repaired(bare)
    assert not any("bottom chord" in i.because for i in thin.interventions)  # no line is thought of that would not be enough
    plies = tuple(replace(x, thickness=3.5, z=math.copysign(2.875, x.z)) for x in bare.member("bottom chord").plies)
    thick = replace(bare, members=tuple(replace(m, plies=plies) if m.name == "bottom chord" else m for m in bare.members))
    thick = replace(thick, connections=tuple(replace(c, plates=()) if c.member == "bottom chord" else c for c in thick.connections))
    held = repaired(thick)
    assert len([x for x in held.truss.lines if x.member == "bottom chord"]) == 3


def test_a_top_chord_between_surveyed_brace_points_is_held_from_below() -> None:
    """Braces lost over the middle of the top chord: one line under it, moved clear of the webs."""
    one = repaired(with_braces("top chord", lambda x: not 230 < x < 420), TOP, BOTTOM, WEBS)
    detail = next(d for d in one.details if d.member == "top chord")
    assert detail.axis == UNDER
    assert passes(one)
    assert not [r for r in check_detail(detail) if not r.passes]
    at = origin_of(one.before.truss, detail)
    _x, y, z = _frame(at, detail).place(10.0, 0.0, -3.0)  # near side, three inches into the chord
    assert z == pytest.approx(10.0)
    assert y == pytest.approx(at.y + 3.0)


def test_a_detail_on_an_edge_stands_there_in_the_solid(one) -> None:
    detail = one.details[0]
    assert detail.axis == ON_TOP
    at = origin_of(one.before.truss, detail)
    assert (at.x, at.y) == pytest.approx((detail.station, one.before.truss.joints["L0"][1] + 11.5 / 2))
    frame = _frame(at, detail)
    assert frame.place(5.0, 0.0, 0.0) == pytest.approx((at.x, at.y, 5.0))  # across the truss, to the near side
    assert frame.place(0.0, 2.0, 1.0) == pytest.approx((at.x + 2.0, at.y + 1.0, 0.0))  # along the chord, and up
    web = one.details[1]
    rows = np.array(_frame(origin_of(one.before.truss, web), web).rows)
    assert rows @ rows.T == pytest.approx(np.eye(3), abs=1e-12)
    assert np.linalg.det(rows) == pytest.approx(1.0)
    assert rows[1][2] > 0  # off the edge is upward
    assert Frame(angle=0.3).rows[2] == (0.0, 0.0, 1.0)


def test_before_the_work_is_done_nothing_is_braced(one) -> None:
    bare = _unstiffened(one.truss, one.before.truss)
    assert bare.lines == ()
    assert [m.braces for m in bare.members] == [m.braces for m in one.before.truss.members]


def test_the_crossing_goes_together_and_passes_the_checker(one) -> None:
    marks, _ = register(one.details, {})
    package = packing.Package(project(BRACED), (one,), marks, "PROPOSED", (), ())
    found = package_fit(package)
    assert all(fits(r) for r in found.values()), [r for rs in found.values() for r in rs if r.state is not State.PASSES]
    assert not [r for d in one.details for r in check_detail(d) if not r.passes]
    blocked = replace(one.details[0], station=one.before.truss.joints["L1"][0], also_at=())  # among the webs of a joint
    bad = package_fit(replace(package, trusses=(replace(one, details=(blocked,)),)))[blocked.key]
    assert any("runs into" in r.check for r in bad)


def test_samples_without_an_anchored_bay_keep_their_sisters() -> None:
    slender = pipeline.repair_one(project(SLENDER), truss(SLENDER, "C"))
    assert [i.remedy for i in slender.interventions] == ["sister", "sister"]
    assert not any(r.startswith("another set") for i in slender.interventions for r in i.runners_up)
    assert not slender.refusals
