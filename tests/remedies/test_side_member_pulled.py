"""Side members past panel points of a bottom chord that is pulled too much: lifted off or refused, by hand, as drawn, in stages, against a rival."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from fractions import Fraction
from functools import cache

import numpy as np
import pytest
from sample_trusses import BENT, STRUNG, project, truss

from detailgen import packing, pipeline
from detailgen.analysis.build import SIDE
from detailgen.assessment.assess import solve_repaired
from detailgen.assessment.beside import solve_as_built
from detailgen.assessment.members import grade_of
from detailgen.checker.check import check_detail
from detailgen.checker.fit import fits, package_fit
from detailgen.core.result import State
from detailgen.model.added import Splice
from detailgen.model.detail import PUT_BACK
from detailgen.model.frame import FrameModel
from detailgen.model.marks import register
from detailgen.model.member import Damage, NoDrillZone, Plate
from detailgen.model.project import Override, Project, Truss
from detailgen.model.structure import LoadCase, Structure
from detailgen.outputs.schedules import lists
from detailgen.remedies import choose
from detailgen.remedies.contract import Job, Solved
from detailgen.remedies.side_member import REMEDY
from detailgen.remedies.side_member import parameters as p
from detailgen.remedies.side_member.pulled import BOTH_WAYS

KEY, CHORD, OFF = "R4-side-pulled-L3", "bottom chord", "nothing: later load alone is shared"
JACKED, RATIOS = "jacked while they are fitted", "chord before, with side members and nothing lifted off, as built"
ALL = ("L1", "L2", "L3", "L4", "L5")


def job_of(longest: float = 0.0) -> Project:
    found = project(BENT)
    return replace(found, access=replace(found.access, longest=longest, heaviest=0.0, near=216.0, far=216.0))


def checked(factor: float = 0.62, *, ply: str = "", barred: tuple[str, ...] = ("L3",), width: float = 0.95, **items: str) -> Truss:
    """The ropewalk with a stronger top chord under even load, and drying checks that leave a part of its bottom chord at L3.

    No jack finds its room at L3, where webs reach below the chord.
    """
    found = truss(BENT, "R4")
    members = tuple(
        replace(m, plies=tuple(replace(q, wood=replace(q.wood, grade="Select Structural")) for q in m.plies)) if m.kind == "top chord" else m
        for m in found.members)  # fmt: skip
    wishes = {"forbid repair": "replacement", **{k.replace("_", " "): v for k, v in items.items()}}
    return replace(
        found, purlins=(), members=members, tributary_width=width * found.tributary_width, work=replace(found.work, barred=barred),
        overrides=tuple(Override(k, v, "a test") for k, v in wishes.items() if v),
        damage=(Damage("check", CHORD, ply, 288.0, 24.0, "R7", factor, "drying checks"),),
    )  # fmt: skip


@cache
def made(factor: float = 0.62, *, longest: float = 0.0, **asked):
    return pipeline.repair_one(job_of(longest), checked(factor, **asked))


def told(one) -> dict[str, str]:
    (found,) = (i for i in one.interventions if i.key == KEY)
    return found.parameters


def refused(one) -> str:
    assert not one.interventions
    return next(r.reason for r in one.refusals if r.key == KEY)


@cache
def bare(factor: float = 0.62) -> Solved:
    """The truss without side members."""
    return solve(checked(factor))


def solve(found: Truss) -> Solved:
    job = job_of()
    wood, loads = pipeline.standards_of(job)
    return Solved(found, *solve_repaired(job, found, wood, loads))


def ratio_at(one: Solved | object, name: str = f"{CHORD} L2-L3") -> float:
    place = next(q for q in one.check([name]) if q.name == name)
    return max(r.ratio for r in place.results if r.unit != "in")


def test_lifted_off_it_passes_and_everything_else_does():
    one = made()
    assert all(r.state is State.PASSES for _, r in one.after.results())
    before, bolted_on, built = (float(v) for v in told(one)[RATIOS].split(", "))
    assert before > 1.05 > bolted_on > 1.0 >= built
    (side,) = one.truss.side_members
    assert {j for j, _ in side.jacks} == {"L2", "L4"}
    assert "1," in told(one)[JACKED]


def test_its_ends_are_developed_beyond_the_last_overstressed_place_and_clear_of_webs():
    """The bolts of an end stand past the checks and past the webs at L3, in the panels beside it, before the webs at L2 and L4."""
    (side,) = made().truss.side_members
    at, before = 288.0, bare()
    assert side.start < at - 12.0 < at + 12.0 < side.end
    assert 192.0 < side.outer[0] < side.start
    assert side.end < side.outer[1] < 384.0
    assert ratio_at(before) > 1.0
    webs = [c for c in before.truss.connections if c.joint == "L3" and c.member != CHORD]
    assert len(side.pockets) == sum(len(c.bolts.positions) for c in webs)
    assert min(abs(a) for a, _ in side.bolts.positions) > 12.0


def springs(side, truss_: Truss, *, tight: bool) -> tuple[float, float]:
    """Stiffness (lb/in) of chord and side members over the length that counts, by hand: E A / L, and in line with it the bolts of both ends."""
    wood = pipeline.standards_of(job_of())[0]
    chord = sum(wood.stiffness(grade_of(q.wood), q.thickness, q.depth).E * q.thickness * q.depth for q in truss_.member(CHORD).plies)
    own = 2 * wood.stiffness(grade_of(side.wood), side.thickness, side.depth).E * side.thickness * side.depth
    length = side.end - side.start
    slip = 2 * (side.slip if tight else side.slip * 2 / 3)
    return chord / length, 1 / (length / own + 2 / slip)


@pytest.mark.parametrize(("factor", "barred"), [(0.62, ("L3",)), (0.66, ALL)])
def test_the_share_is_that_of_springs_side_by_side(factor, barred):
    """Equilibrium and equal stretch, with the least that passes: of the pull that comes after them, less what opens the play of the bolts."""
    one = made(factor, barred=barred)
    (side,) = one.truss.side_members
    loose = solve(choose.loose(one.truss))
    names = [c.name for c in loose.forces.combinations]
    k, D = names.index("D + S balanced"), names.index("D")
    no = replace(one.truss, side_members=())
    whole = solve(no).forces.members["L2-L3"].axial[:, -1]
    chord, own = springs(side, no, tight=False)
    lifted = jacked_off(no, side)
    later = float(whole[k] - whole[D]) + lifted
    share = own / (own + chord) * (later - chord * p.PLAY_LEFT)
    found = loose.forces.members[side.element].axial[k].mean()
    assert found == pytest.approx(share, rel=0.06)  # the truss is not quite the same truss with them: their weight, their bending
    assert loose.forces.members["L2-L3"].axial[k, -1] + found == pytest.approx(whole[k], rel=0.03)


def jacked_off(found: Truss, side) -> float:
    """Pull (lb) that the jacks take out of the chord at L3: moments about the joint above it. Each jack pushes up, supports are relieved."""
    if not side.jacks:
        return 0.0
    (x3, y3), span = found.joints["U3"], found.span
    force = dict(side.jacks)
    left = sum(f * (span - found.joints[j][0]) / span for j, f in force.items())
    moment = left * x3 - sum(f * (x3 - found.joints[j][0]) for j, f in force.items() if found.joints[j][0] < x3)
    return moment / (y3 - found.joints["L3"][1])


def test_without_shores_it_is_refused_with_before_after_and_after_with_shoring():
    """The numbers of the refusal by hand: the pull at L3 divided by E A, their weight added; NDS 2018 3.9-1 adds the ratios of pull and bending.

    Bending at L3 stays what it was: the truss's deflection bends chord and timbers alike, whatever their stiffness.
    """
    said = refused(made(barred=ALL))
    assert "no joint at which the survey lets a shore stand" in said
    numbers = re.search(r"stands at ([\d.]+) before, ([\d.]+) with them and nothing lifted off, ([\d.]+) if shores lifted all dead load off", said)
    before, after, lifted = (float(v) for v in numbers.groups())
    assert before > after > 1.0 > lifted
    sizes = re.search(r"2 of ([\d /]+)\" x ([\d /]+)\" x .*?2 rows of (\d+) bolts 3/4", said)
    thickness, depth = (float(sum(Fraction(v) for v in sizes.group(k).split())) for k in (1, 2))
    solved, found = bare(), checked(barred=ALL)
    names = [c.name for c in solved.forces.combinations]
    D, S = names.index("D"), names.index("D + S balanced")
    N = solved.forces.members["L2-L3"].axial[:, -1]
    place = next(q for q in solved.check([f"{CHORD} L2-L3"]))
    pull = max(r.ratio for r in place.results if r.check == "tension on net section" and r.combination == names[S])
    bend = before - pull
    # The same timber as in the refusal, from the remedy's own record of it: where its ends are, how many bolts hold it.
    side = worked_out(found)
    assert (side.thickness, side.depth) == pytest.approx((thickness, depth))
    chord, own = springs(side, found, tight=False)
    weighs = side.weight / 2 * (found.span / 2 - (side.end - side.start) / 4) / (found.joints["U3"][1] - found.joints["L3"][1])
    for number, part in ((after, 0.0), (lifted, 1.0)):
        later = N[S] - (1 - part) * (N[D] + weighs) + weighs
        left = N[S] + weighs - own / (own + chord) * max(later - chord * p.PLAY_LEFT, 0.0)
        assert pull * left / N[S] + bend == pytest.approx(number, abs=0.02)  # printed to 0.01; the frame bends a little less


def worked_out(found: Truss):
    """The side member of the refusal, as the remedy tried it."""
    from detailgen.remedies.side_member import pulled

    seen = []
    original = pulled.Pulled.record
    try:
        pulled.Pulled.record = lambda self, layout, jacks: seen.append(original(self, layout, jacks)) or seen[-1]
        job = job_of()
        wood, loads = pipeline.standards_of(job)

        def solve_both(changed: Truss) -> Solved:
            fixed = Solved(changed, *solve_repaired(job, changed, wood, loads))
            other = choose.loose(changed)
            return fixed if other is None else choose.worse_of(fixed, Solved(other, *solve_repaired(job, other, wood, loads)))

        asked = Job(job, wood, pipeline.steel_standard(job.method), solve_both)
        solved = asked.solve(found)
        (site,) = (s for s in REMEDY.still_failing(asked, solved) if s.key == KEY)
        answer = REMEDY.dimension(asked, found, site, solved, {}, math.inf)
    finally:
        pulled.Pulled.record = original
    assert "before" in answer.reason
    return seen[-1]


def test_dead_load_that_is_not_lifted_off_stays_in_the_chord():
    (side,) = made().truss.side_members
    never = solve(replace(made().truss, side_members=(replace(side, jacks=()),)))
    D = [c.name for c in never.forces.combinations].index("D")
    assert np.abs(never.forces.members[side.element].axial[D]).max() < 1.0
    lifted = solve(made().truss)
    assert lifted.forces.members[side.element].axial[D].min() > 1000.0


def test_play_is_opened_once_and_pushes_nothing():
    """With the least that passes, no combination presses on the timber that would pull it without play."""
    loose = solve(choose.loose(made().truss))
    (side,) = made().truss.side_members
    tight = solve(made().truss)
    f, g = (s.forces.members[side.element].axial.mean(axis=1) for s in (loose, tight))
    assert (f[g > 0] > -1.0).all()
    assert (f <= g + 1.0).all()


def test_the_stages_hold_what_is_told_at_once():
    one = made()
    staged, _ = pipeline.stages_of(job_of(), one)
    titles = [line.title for line in staged.lines]
    assert titles == ["as found", "shores snug", "jacked", "drilled", "new parts fitted", "shores out", "in service", "in service, in the long run"]
    assert all(line.ratio <= 1.0 for line in staged.lines[1:])
    assert staged.difference < 0.01
    (side,) = one.truss.side_members
    assert {s.joint: s.force for s in staged.shores} == pytest.approx(dict(side.jacks))
    assert all(s.lift > 0 for s in staged.shores)


def test_the_detail_passes_the_checker_and_goes_together():
    one = made()
    (detail,) = one.details
    marks, _ = register(one.details, {})
    by_part = {part: m.mark for m in marks for key, part in m.uses if key == detail.key}
    assert not [r for r in check_detail(detail, by_part) if not r.passes]
    package = packing.package_of(job_of(), (one,), marks, (), ())
    assert all(fits(f) for f in package_fit(package).values())
    listed = lists.bolts_list(package, again=True)
    assert sum(row[5] for row in listed.rows) == len(detail.longer) == 5
    # A hole for a bolt of a web that is missing, and one that is elsewhere, are found.
    side = detail.part("side-near")
    short = replace(side, holes=tuple(h for h in side.holes if h.bolt != PUT_BACK))
    broken = replace(one, details=(replace(detail, parts=tuple(short if q is side else q for q in detail.parts)),))
    assert not all(fits(f) for f in package_fit(replace(package, trusses=(broken,))).values())


def test_the_sheet_says_how_the_play_is_taken_out_and_when_the_jacks_go_up():
    (detail,) = made().details
    order = " ".join(detail.order)
    assert order.index("jacked at L2") < order.index("Clamp the side members") < order.index("Let all jacks down")
    assert '1/8" to the right' in order
    assert "unforced" in order
    assert detail.drawn == ("U3-L3 at L3", "U2-L3 at L3", "U4-L3 at L3")
    assert [h for q in detail.parts if q.kind == "side member" for h in q.holes if h.bolt == PUT_BACK]


def test_bolts_are_asked_for_both_directions_together_and_plies_for_what_enters_beside_their_middle():
    results = made().interventions and next(d for d in made().details).results
    for where in ("bolts at the left end", "bolts at the right end"):
        mine = [r for r in results if r.where.startswith(where)]
        for total in (r for r in mine if r.check == BOTH_WAYS):
            parts = [r.ratio for r in mine if r.check == "bolts" and r.combination == total.combination]
            assert len(parts) == 2
            assert total.ratio == pytest.approx(sum(parts), abs=1e-6)
    off = [r for r in results if r.check == "tension off the middle"]
    assert {r.where.split(",")[0] for r in off} >= {f"{CHORD} L2-L3", f"side member of the {CHORD} L3"}
    (side,), (detail,) = made().truss.side_members, made().details
    group = next(g for g in detail.groups if g.key == "B1")
    force = max(x.tension for x in group.loads if x.part == "side-near" and x.tension > 0 and x.angle == 0.0)
    wood = side.thickness * (side.depth - group.rows * 13 / 16)
    arm = (side.thickness + made().truss.member(CHORD).plies[0].thickness) / 2
    by_hand = force / wood + 6 * force / group.per_row * arm / (wood * side.thickness)
    assert max(r.demand for r in off if r.where.startswith("side member")) == pytest.approx(by_hand, rel=0.02)


# The rival by cost: a new piece of the checked length.


def test_the_choice_between_a_new_piece_and_side_members_is_that_of_cost_and_of_the_work():
    """The lesser cost is taken; a cheaper set that fails while the work is done is told and left."""
    cheap = made(ply="near", barred=(), forbid_repair="")
    assert [i.key for i in cheap.interventions] == [KEY]
    assert any("New piece of the near ply" in text and "it costs" in text for text in cheap.interventions[0].runners_up)
    dear = made(ply="near", barred=(), forbid_repair="", cost_of_timber="20")
    assert [i.key for i in dear.interventions] == [KEY]
    assert any("New piece of the near ply" in text and "in the stage" in text for text in dear.interventions[0].runners_up)


# As chosen in the walk (each bound: test_bounds_side_member.py).


@pytest.mark.parametrize("diameter", ["1/2 in", "5/8 in", "3/4 in"])
def test_bolts_of_each_diameter(diameter):
    assert f"of {diameter.removesuffix(' in')}" in told(made(0.63, side_member_bolt_diameter=diameter))["bolts"]


@pytest.mark.parametrize(("factor", "thickness"), [(0.66, '1 1/2"'), (0.64, '3 1/2"')])
def test_the_thinnest_and_the_thickest_timber_without_jacks(factor, thickness):
    one = made(factor)
    assert f"2 of {thickness}" in told(one)["timber"]
    assert told(one)[JACKED] == OFF


def with_strong_webs(found: Truss) -> Truss:
    """Uprights on two bolts of 1 in.: jacks may push on them."""
    def held(c):
        return replace(c, bolts=replace(c.bolts, diameter=1.0, positions=((2.0, 0.0), (6.0, 0.0))), end=c.end + 4.0)

    uprights = [f"U{k}-L{k}" for k in range(1, 6)]
    return replace(found, connections=tuple(held(c) if c.member in uprights else c for c in found.connections))


def test_the_least_and_the_most_dead_load_lifted_off():
    """Part of it is tried first; by the pull that the jacks take out of the chord, by hand."""
    most = pipeline.repair_one(job_of(), with_strong_webs(checked(0.55)))
    for one, part in ((made(), min(p.PARTS)), (most, max(p.PARTS))):
        before = solve(replace(one.truss, side_members=()))
        dead = float(before.forces.members["L2-L3"].axial[[c.name for c in before.forces.combinations].index("D"), -1])
        assert jacked_off(one.truss, one.truss.side_members[0]) / dead == pytest.approx(part, abs=0.08)  # the chords bend too
        assert all(r.passes for r in next(d for d in one.details if d.key == KEY).results)


def test_a_timber_as_long_as_gets_there_and_one_that_does_not():
    length = max(v.x for v in made().details[0].part("side-near").outline) * 2
    assert [i.key for i in made(longest=length).interventions] == [KEY]
    said = refused(made(longest=40.0))
    assert "the longest that is sold and gets to the truss is 3'-4\"" in said
    assert "a joint in it would stand where the chord cannot carry everything by itself" in said


# What stands in the way is named.


def with_web_outside(found: Truss) -> Truss:
    """The web U3-L3 in two plies on the faces of the chord."""
    def moved(m):
        (q,) = m.plies
        return replace(m, plies=tuple(replace(q, name=n, thickness=1.5, z=z) for n, z in (("far", -5.0), ("near", 5.0))))

    return replace(found, members=tuple(moved(m) if m.name == "U3-L3" else m for m in found.members))


def with_plate(found: Truss) -> Truss:
    plate = Plate(0.25, 8.0, 4.375, 87000.0, 10.0)
    return replace(found, connections=tuple(replace(c, plates=(plate,)) if (c.member, c.joint) == ("U3-L3", "L3") else c for c in found.connections))


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        (with_web_outside, "web U3-L3 stands on the chord's faces"),
        (with_plate, "old plate at L3 stands on the chord's faces"),
        (lambda t: replace(t, zones=(NoDrillZone(CHORD, "strap", 290.0, 0.0, 6.0, 11.25),)), "strap stands on the chord's faces"),
        (lambda t: replace(t, splices=tuple(Splice(f"S{x:g}{q.name}", CHORD, q.name, x, "fixed", 0.0, None)
                                            for x in (268.0, 308.0) for q in t.member(CHORD).plies)), "find no room"),
    ],
    ids=["web", "plate", "strap", "splices"],
)  # fmt: skip
def test_an_obstacle_is_named(changed, words):
    job = job_of()
    wood, loads = pipeline.standards_of(job)
    found = checked()
    asked = Job(job, wood, pipeline.steel_standard(job.method), lambda t: Solved(t, *solve_repaired(job, t, wood, loads)))
    (site,) = (s for s in REMEDY.still_failing(asked, asked.solve(found)) if s.key == KEY)
    other = changed(found)
    answer = REMEDY.dimension(asked, other, site, asked.solve(other), {}, math.inf)
    assert words in answer.reason


@pytest.mark.parametrize(("sides", "words"), [("one", "on one face alone"), ("three", "allowed: both, one")])
def test_wishes_that_cannot_be_had_are_told(sides, words):
    assert words in refused(made(side_members_on=sides))


def test_jacks_that_break_a_web_are_no_way():
    """More is asked of them than the webs bear: the stage and the web are named."""
    said = refused(made(0.56, barred=()))
    assert "in the stage" in said
    assert "jacked at" in said


def two_bars(gap: float):
    """A pinned bar with a second one beside it, pulled at its free end: dead load 500 lb, snow 300 lb."""
    E, n = 1e6, np.zeros((2, 3), dtype=bool)
    n[0, :], n[1, 1:] = True, True
    structure = Structure(
        joint_names=("A", "B"), joints=np.array([[0.0, 0.0], [100.0, 0.0]]), ends=np.array([[0, 1], [0, 1]]), E=np.full(2, E), A=np.ones(2),
        I=np.ones(2), spring=np.full((2, 2), np.inf), offset=np.zeros((2, 2, 2)), fixed=n, member=("A-B", "side member A"), station=np.zeros(2),
    )  # fmt: skip
    zero = np.zeros(2)
    model = FrameModel(structure, np.ones(2, dtype=bool), (CHORD, SIDE), zero, np.full(2, 100.0), np.full(2, 100.0), zero, zero,
                       {"A-B": 100.0, "side member A": 100.0}, {})  # fmt: skip

    def pull(name: str, force: float) -> LoadCase:
        nodal = np.zeros((2, 3))
        nodal[1, 0] = force
        return LoadCase(name, nodal, np.zeros((2, 2)), (), zero, np.zeros((2, 3)))

    (side,) = made().truss.side_members
    return model, [pull("D", 500.0), pull("S", 300.0)], replace(side, at="A", length=100.0, play=gap, tight=False, jacks=())


def test_two_cases_of_load_open_the_play_by_hand():
    """A bar of one element beside a chord of one element, both E A = 1e6 lb over 100 in.; a gap of 0.01 in. is opened by 100 lb on the chord."""
    model, cases, side = two_bars(gap=0.01)
    answer = solve_as_built(model, cases, model.active, 0.0, (side,))
    chord, own = answer.axial.mean(axis=2)[:, 0], answer.axial.mean(axis=2)[:, 1]
    assert list(chord) == pytest.approx([500.0, 200.0])  # dead load before; of 300 lb of snow 100 open the gap, the rest is halved
    assert list(own) == pytest.approx([0.0, 100.0])


def test_a_whole_chord_is_told_what_side_members_would_be_worth():
    """A bottom chord that dead load overstresses from heel to heel: strands, which would help, are forbidden here."""
    job = project(STRUNG)
    heavy = replace(job, loads=replace(job.loads, roof_dead=3.6 * job.loads.roof_dead))
    found = truss(STRUNG, "G3")
    one = pipeline.repair_one(heavy, replace(found, overrides=(*found.overrides, Override("forbid repair", "posttension", "a test"))))
    said = next(r.reason for r in one.refusals if r.remedy == "side_member")
    assert "old plate at L0 stands on the chord's faces" in said
    for words in ("before,", "with them and nothing lifted off", "if shores lifted all dead load off", "jacked at"):
        assert words in said
    assert not one.truss or not one.truss.side_members
