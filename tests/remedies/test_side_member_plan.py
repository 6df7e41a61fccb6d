"""Side members on the sample whose curved top chord is bent between its panel points: choice, stages, bounds, refusals, the joint as it is drawn."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from sample_trusses import BENT, STRUNG, passes, project, truss

from detailgen import packing, pipeline
from detailgen.analysis.build import panels
from detailgen.assessment.assess import solve_repaired
from detailgen.assessment.members import grade_of, place_name
from detailgen.assessment.sections import hole_groups
from detailgen.checker.check import check_detail
from detailgen.checker.fit import fits, package_fit
from detailgen.core.result import State
from detailgen.model.added import Splice
from detailgen.model.marks import register
from detailgen.model.member import Damage
from detailgen.model.outlines import bounds
from detailgen.model.project import ForceImport, Override, Truss
from detailgen.remedies import choose
from detailgen.remedies.contract import Job, Solved
from detailgen.remedies.side_member import parameters as p
from detailgen.remedies.side_member.layout import timbers
from detailgen.remedies.side_member.remedy import new_wood
from detailgen.remedies.side_member.site import Room

LEFT, RIGHT = "R4-side-L0-U1", "R4-side-U5-L6"
TOP = "top chord"


def ropewalk() -> Truss:
    return truss(BENT, "R4")


def chord(found: Truss, kind: str = TOP, **changes) -> Truss:
    """The truss with other plies of a chord."""
    return replace(found, members=tuple(
        replace(m, plies=tuple(replace(q, **changes) for q in m.plies)) if m.kind == kind else m for m in found.members))  # fmt: skip


def straight(width: float) -> Truss:
    """The ropewalk with straight pieces of its top chord, which purlins bend more, and so much of its width of roof."""
    found = ropewalk()
    return replace(found, curved=False, tributary_width=width * found.tributary_width)


def of_one_ply(thickness: float, width: float) -> Truss:
    """Straight pieces of one ply, webs on both faces."""
    found = straight(width)
    q, web = found.member(TOP).plies[0], thickness / 2 + 1.0
    one = (replace(q, name="only", thickness=thickness, z=0.0, wood=replace(q.wood, grade="No.1")),)
    sides = (("far", -web), ("near", web))
    return replace(found, members=tuple(
        replace(m, plies=one if m.kind == TOP else tuple(replace(m.plies[0], name=n, thickness=2.0, z=z) for n, z in sides))
        if m.kind in (TOP, "web") else m for m in found.members))  # fmt: skip


def with_wishes(found: Truss, **items: str) -> Truss:
    return replace(found, overrides=tuple(Override(item.replace("_", " "), value, "a test") for item, value in items.items()))


def repaired(found: Truss | None = None, job=None):
    return pipeline.repair_one(job or project(BENT), found or ropewalk())


def of_top(one):
    """Repairs of the top chord, by key."""
    return {i.key: i for i in one.interventions if i.remedy == "side_member"}


@pytest.fixture(scope="module")
def one():
    return repaired()


@pytest.fixture(scope="module")
def solved(one):
    job = project(BENT)
    wood, loads = pipeline.standards_of(job)
    return Solved(one.truss, *solve_repaired(job, one.truss, wood, loads))


def test_both_panels_get_side_members_and_everything_passes(one):
    assert passes(one)
    assert list(of_top(one)) == [LEFT, RIGHT]
    before = {q.name: q.worst.ratio for q in one.before.as_found.places if q.worst is not None}
    after = {q.name: q.worst.ratio for q in one.after.places if q.worst is not None}
    for panel in ("L0-U1", "U5-L6"):
        assert before[f"{TOP} {panel}"] > 1.05 > 1.0 > after[f"{TOP} {panel}"] > after[f"side member of the {TOP} {panel}"]
    left, right = (s for s in one.truss.side_members)
    assert (left.thickness, left.depth, left.length) == (right.thickness, right.depth, right.length)  # the truss is its own mirror image
    assert left.start == pytest.approx(one.truss.span - right.end)


def test_dead_load_stays_in_the_old_chord_and_later_load_is_shared(one, solved):
    """Equilibrium at the end of a side member: what the chord carries beyond it, chord and side members carry together within it."""
    names = [c.name for c in solved.forces.combinations]
    side, panel = solved.forces.members["side member L0-U1"], solved.forces.members["L0-U1"]
    dead, snow = names.index("D"), names.index("D + S unbalanced left")
    assert np.abs(side.axial[dead]).max() < 1e-6 * np.abs(panel.axial[dead]).max()
    assert np.abs(side.moment[dead]).max() < 1e-6 * np.abs(panel.moment[dead]).max()
    record = one.truss.side_members[0]
    x1 = one.truss.joints["L0"][0]
    x2 = one.truss.joints["U1"][0]
    at = (record.start - x1) / (x2 - x1) * panel.station[-1]
    joints = [k for k in range(1, len(panel.station)) if panel.station[k] - panel.station[k - 1] < 1e-6]
    k = min(joints, key=lambda k: abs(panel.station[k] - at))
    for what in ("axial", "moment"):
        before, after, own = getattr(panel, what)[snow, k - 1], getattr(panel, what)[snow, k], getattr(side, what)[snow, 0]
        assert abs(own) > 1.0
        assert after + own == pytest.approx(before, rel=0.02)  # the axis turns by a degree there
    # By stiffness: both bend alike, so later moments are as E I of both where none of it is lost.
    later = panel.moment[snow] - panel.moment[dead]
    middle = int(np.abs(panel.station - panel.station[-1] / 2).argmin())
    mine = int(np.abs(side.station - (panel.station[middle] - panel.station[k])).argmin())
    wood = pipeline.standards_of(project(BENT))[0]
    ply = one.truss.member(TOP).plies[0]
    old = 2 * wood.stiffness(grade_of(ply.wood), ply.thickness, ply.depth).E * ply.thickness * ply.depth**3 / 12
    new = 2 * wood.stiffness(grade_of(record.wood), record.thickness, record.depth).E * record.thickness * record.depth**3 / 12
    assert side.moment[snow][mine] / later[middle] == pytest.approx(new / old, rel=0.05)


def test_both_bounds_are_judged(one):
    """Each place of the chord holds the results of the most and of the least that side members may take, and the least is the worse for it."""
    place = next(q for q in one.after.places if q.name == f"{TOP} L0-U1")
    ratios = sorted({round(r.ratio, 4) for r in place.results if r.check == "compression and bending" and r.combination == "D + S unbalanced left"})
    assert len(ratios) == 2
    assert place.worst.ratio == pytest.approx(ratios[1], abs=1e-4)
    text = of_top(one)[LEFT].parameters["their part of later bending"]
    low, high = (float(v) for v in text.removesuffix(" %").split(" to "))
    assert 5 < low <= high < 60


def test_its_weight_and_holes_are_the_trusss(one, solved):
    record = one.truss.side_members[0]
    timber = 2 * record.thickness * record.depth * record.length * 35 / 12**3
    assert timber < record.weight < 3 * timber  # blocking and bolts besides
    holes = [g for g in hole_groups(one.truss, solved.model) if g.member == "L0-U1" and len(g.holes) == len(record.bolts.positions)]
    assert {g.ply for g in holes} == {"near", "far"}
    assert not holes[0].hung


def test_the_detail_passes_the_checker_and_goes_together(one):
    marks, _ = register(one.details, {})
    by_part = {part: m.mark for m in marks for detail, part in m.uses if detail == LEFT}
    (left, _) = one.details
    found = check_detail(left, by_part)
    assert not [r for r in found if not r.passes]
    package = packing.package_of(project(BENT), (one,), marks, (), ())
    assert all(fits(f) for f in package_fit(package).values())
    moved = replace(left, parts=tuple(
        replace(q, holes=(replace(q.holes[0], y=q.holes[0].y - 2.0), *q.holes[1:])) if q.key == "side-near" else q for q in left.parts))  # fmt: skip
    assert [r for r in check_detail(moved, by_part) if r.state is State.DOES_NOT_PASS]


def test_segments_are_sawn_to_the_curve_out_of_stocked_timber(one):
    """The arcs about the chord's centre; what is asked of the stock is their box, by the circle's equation."""
    (left, _) = one.details
    arc, record = one.truss.arc, one.truss.side_members[0]
    for part in (q for q in left.parts if q.kind == "side member"):
        x0, y0, x1, y1 = bounds(part.outline)
        half = (x1 - x0) / 2
        lowest = math.sqrt((arc.radius - record.depth / 2) ** 2 - half**2) - arc.radius
        assert (y0, y1) == pytest.approx((lowest, record.depth / 2))
        assert y1 - y0 <= part.timber.sawn_from + 1e-6
        assert part.timber.sawn_from in (7.25, 9.25, 11.25)
    assert any("band-sawn" in note and "graded after" in note for note in left.notes)
    assert any("1/8" in step and "Press" in step for step in left.order)


def test_stages_leave_what_was_there_in_the_chord(one):
    staged, _ = pipeline.stages_of(project(BENT), one)
    assert not staged.why_not
    titles = [line.title for line in staged.lines]
    assert titles == ["as found", "drilled", "new parts fitted", "in service", "in service, in the long run"]
    assert all(line.ratio <= 1.0 for line in staged.lines)
    assert staged.difference < 0.001  # what is passed on as repaired is staged already
    places = {c.place for c in staged.checks if c.stage == "in service, in the long run"}
    assert f"side member of the {TOP} L0-U1" in places


# Each bound of the parameters has an accepted example.


@pytest.mark.parametrize(("diameter", "found"), [("1/2 in", ropewalk()), ("5/8 in", ropewalk()), ("3/4 in", straight(0.75))])
def test_bolts_of_each_diameter(diameter, found):
    done = of_top(repaired(with_wishes(found, side_member_bolt_diameter=diameter)))
    assert set(done) == {LEFT, RIGHT}
    assert all(diameter.removesuffix(" in") in i.parameters["bolts"] for i in done.values())


def test_straight_pieces_get_straight_timber():
    done = of_top(repaired(straight(0.75)))
    assert {i.parameters["sawing"] for i in done.values()} == {"straight"}


def test_thin_and_thick_timber(one):
    assert {s.thickness for s in one.truss.side_members} == {p.LEAST_THICKNESS}
    thick = repaired(chord(ropewalk(), thickness=2.0))
    assert max(s.thickness for s in thick.truss.side_members) == 3.5  # the thickest that is stocked dry


def test_on_one_face_where_it_is_asked_for_and_the_chord_is_one_ply():
    done = of_top(repaired(with_wishes(of_one_ply(5.5, 0.85), side_members_on="one")))
    assert set(done) == {LEFT, RIGHT}
    assert all("on one face" in i.title for i in done.values())
    both = of_top(repaired(of_one_ply(5.5, 0.85)))
    assert all("on both faces" in i.title for i in both.values())


def test_short_ones_down_to_the_least_length():
    job = project(BENT)
    done = repaired(job=replace(job, access=replace(job.access, longest=p.LEAST_LENGTH)))
    assert set(of_top(done)) == {LEFT, RIGHT}
    assert {round(s.length) for s in done.truss.side_members} == {round(p.LEAST_LENGTH)}
    shorter = repaired(job=replace(job, access=replace(job.access, longest=p.LEAST_LENGTH - 1.0)))
    assert not of_top(shorter)
    assert all("too little of the chord is free" in r.reason for r in shorter.refusals)


@pytest.mark.parametrize(("share", "fits_"), [(1.02, True), (0.98, False)])
def test_a_curve_runs_off_its_grain_by_so_much_at_most(share, fits_):
    """Slope of grain at the ends of a segment of length s on a radius R: s / (2 R)."""
    found, job = ropewalk(), job_of()
    half = 36.0
    radius = share * half / p.SLOPE_OF_GRAIN
    bent = replace(found, arc=replace(found.arc, radius=radius, centre_x=288.0, centre_y=77.0 - radius))
    member, room = bent.member(TOP), Room(288.0 - half - 0.2, 288.0 + half + 0.2, "", "")
    sizes, why = timbers(job, bent, member, room, new_wood(job, member.plies[0].wood), (p.SIDES["both"],))
    assert bool(sizes) is fits_
    assert ("off its grain" in why) is not fits_


def job_of() -> Job:
    job = project(BENT)
    wood, loads = pipeline.standards_of(job)
    return Job(job, wood, pipeline.steel_standard(job.method), lambda changed: Solved(changed, *solve_repaired(job, changed, wood, loads)))


# Refusals say what is in the way, with numbers.


def refusals(found: Truss, job=None) -> str:
    one = repaired(found, job)
    assert not of_top(one)
    return " ".join(r.reason for r in one.refusals if r.remedy == "side_member")


def test_a_chord_that_fails_at_its_panel_points_is_not_helped_between_them():
    """Load all along the chord makes the moment at a panel point the greatest, and there the segments are jointed."""
    found = replace(chord(ropewalk(), depth=5.5), purlins=())
    said = refusals(found)
    assert "where side members have their joint" in said
    assert "before," in said


def test_strands_are_taken_where_side_members_are_not_enough_and_both_are_told():
    one = pipeline.repair_one(project(STRUNG), truss(STRUNG, "G3"))
    assert {i.remedy for i in one.interventions} == {"posttension"}
    assert any("no side member is enough for the chord" in text for i in one.interventions for text in i.runners_up)


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        (lambda t: replace(t, forces=ForceImport("x.csv")), "forces of this truss come from x.csv"),
        (lambda t: with_wishes(t, side_members_on="three"), "allowed: both, one"),
        (lambda t: with_wishes(t, side_member_bolt_diameter="wide"), "override 'side member bolt diameter'"),
        (lambda t: with_wishes(t, side_members_on="one"), "on one face alone"),
        (lambda t: chord(t, layers=(4.75, 4.75)), "built up of layers"),
        (lambda t: replace(t, splices=tuple(
            Splice(f"S{x}{q.name}", TOP, q.name, x, "fixed", 0.0, None) for x in (40.0, 64.0, 512.0, 536.0) for q in t.member(TOP).plies)),
         "too little of the chord is free"),
    ],
)  # fmt: skip
def test_refusals_name_what_is_in_the_way(changed, words):
    from detailgen.remedies.side_member import REMEDY

    job, found = job_of(), ropewalk()
    solved = job.solve(found)
    site = next(s for s in REMEDY.still_failing(job, solved) if s.key == LEFT)
    other = changed(found)
    refused = REMEDY.dimension(job, other, site, replace(solved, truss=other), {}, math.inf)
    assert words in refused.reason


def test_a_broken_chord_asks_for_something_else_first():
    from detailgen.remedies.side_member import REMEDY

    job, found = job_of(), ropewalk()
    broken = replace(found, damage=(Damage("decay", TOP, "near", 48.0, 6.0, "R1", 0.5, "sounding"),))
    assert REMEDY.still_failing(job, job.solve(found))
    assert not REMEDY.still_failing(job, job.solve(broken))


def test_the_tool_without_it_says_what_stays(monkeypatch):
    """Out of the registry: the same truss ends with its chord over 1.0 and no repair."""
    known = choose.all_remedies()
    monkeypatch.setattr(choose, "all_remedies", lambda: {k: r for k, r in known.items() if k != "side_member"})
    one = repaired()
    assert not one.interventions
    worst = one.after.worst
    assert worst is not None
    assert worst[1].ratio > 1.05
    names = {place_name(one.before.truss.member(TOP), pair) for pair in panels(one.before.truss.member(TOP))}
    assert worst[0].name in names
