"""The work in stages: what the jacks take off the chord, how plies share afterwards, and what it means if they are not lifted far enough."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from sample_trusses import SI_SAMPLE, SLENDER, US_SAMPLE, project, truss

from detailgen import pipeline
from detailgen.analysis.build import build_frame
from detailgen.analysis.frame import solve
from detailgen.analysis.overlay import COMES, GOES, STAYS
from detailgen.analysis.staged import Build
from detailgen.assessment.members import grade_of
from detailgen.assessment.shoring import joint_sets, may_stand
from detailgen.assessment.stages import staged_work
from detailgen.assessment.staging import Works, factors_of, window_rows
from detailgen.core.units import UNITS
from detailgen.loads.cases import build_cases
from detailgen.model.assessment import Stressing
from detailgen.model.member import Ply
from detailgen.model.project import Modelling, WorkWindow
from detailgen.pipeline import known_standards

WOOD, LOADS = known_standards()
STANDARDS = (WOOD["nds_2018"], LOADS["asce7_16"])
PSF = UNITS["area load"]["psf"]


def healed(chosen):
    return replace(chosen, damage=tuple(d for d in chosen.damage if d.kind != "break"))


def of(chosen, repaired=None, **work):
    window = replace(chosen.work, **work)
    return staged_work(project(US_SAMPLE), replace(chosen, work=window), replace(repaired or healed(chosen), work=window), *STANDARDS)


@pytest.fixture(scope="module")
def work():
    return of(truss(US_SAMPLE, "T2"), snow=0.0, construction=0.0)


@pytest.fixture(scope="module")
def works():
    chosen = truss(US_SAMPLE, "T2")
    return Works(project(US_SAMPLE), chosen, healed(chosen), *STANDARDS, may_stand(chosen))


def frame(chosen):
    def modulus(w, t, d):
        return STANDARDS[0].stiffness(grade_of(w), t, d).E

    return build_frame(chosen, modulus, damaged=True)


def test_the_jacks_take_the_pull_off_the_broken_panel(work) -> None:
    """Solved again on the plain frame: dead load and the stated jacks leave no axial force in L2-L3, and the joints rise by the stated lifts."""
    chosen, owner = truss(US_SAMPLE, "T2"), project(US_SAMPLE)
    model = frame(chosen)
    dead = build_cases(chosen, owner.loads, model, STANDARDS[1]).cases[0]
    nodal = np.zeros_like(dead.nodal)
    for shore in work.shores:
        nodal[model.structure.joint_names.index(shore.joint), 1] = shore.force
    both, jacks = replace(dead, name="both", nodal=dead.nodal + nodal), replace(dead, nodal=nodal, distributed=0 * dead.distributed)
    answers = solve(model.structure, [dead, both, replace(jacks, name="jacks")], active=model.active)
    row = model.structure.member.index("L2-L3")
    assert float(answers.axial[0, row].mean()) == pytest.approx(work.pull, rel=1e-9)
    assert abs(float(answers.axial[1, row].mean())) < 1e-6 * work.pull
    for shore in work.shores:
        assert float(answers.displacement[2, model.structure.joint_names.index(shore.joint), 1]) == pytest.approx(shore.lift)
        assert shore.lift < shore.stop <= max(1.25 * shore.lift + 1 / 16, 1 / 8)


def test_every_stage_has_its_governing_place_and_every_place_its_check(work) -> None:
    titles = [n.title for n in work.lines]
    assert titles == ["as found", "shores snug", "jacked", "near ply L2-L3 cut out", "near ply L2-L3 put in", "shores out", "in service",
                      "in service, in the long run"]  # fmt: skip
    assert work.lines[0].place == "bottom chord L2-L3"
    assert all(0 < n.ratio <= 1.0 for n in work.lines)
    assert all(n.does for n in work.lines)
    service = {c.place for c in work.checks if c.stage == "in service"}
    for title in titles[:-2]:
        assert {c.place for c in work.checks if c.stage == title} == service


def test_shores_carry_what_they_are_jacked_to_and_nothing_when_they_are_out(work) -> None:
    by_title = {n.title: n for n in work.lines}
    assert by_title["jacked"].shores == pytest.approx([s.force for s in work.shores])
    assert set(by_title["shores snug"].shores) == {0.0}
    assert set(by_title["shores out"].shores) == {0.0}
    assert all(s.most >= s.force - 1e-6 for s in work.shores)


def test_fewer_jacks_would_break_a_web_joint(work) -> None:
    """Two jacks beside the break need twice the force, which the one bolt of a web over each of them cannot pass on."""
    assert len(work.shores) > 2
    two = of(truss(US_SAMPLE, "T2"), snow=0.0, construction=0.0, shores=("L2", "L3"))
    assert [s.joint for s in two.shores] == ["L2", "L3"]
    assert max(n.ratio for n in two.lines) > 1.0
    assert any("Other shoring or bracing" in w for w in two.warnings)


def test_relieved_to_nothing_a_whole_ply_shares_as_if_it_had_always_been_there(work) -> None:
    assert work.difference < 1e-4
    assert work.left == 0.0


def test_a_stop_that_comes_too_soon_leaves_the_old_ply_its_pull(work) -> None:
    """The pull that stays (here with half of the lift) stays in the old ply: parallel springs share only what comes later."""
    lift = max(s.lift for s in work.shores)
    joints = tuple(s.joint for s in work.shores)
    short = of(truss(US_SAMPLE, "T2"), snow=0.0, construction=0.0, shores=joints, stop=lift / 2)
    assert 0.4 * work.pull < short.left < 0.51 * work.pull
    assert short.difference > 0.05
    assert max(s.lift for s in short.shores) <= lift / 2 + 1e-9
    assert any("stop" in w and "stay" in w for w in short.warnings)

    def chord(found):
        return next(c.ratio for c in found.checks if c.stage == "in service" and c.place == "bottom chord L2-L3")

    assert chord(short) > chord(work) + 0.1


def test_staged_forces_by_hand_in_the_spliced_panel(works) -> None:
    """In the panel L2-L3: N of the old ply = what the jacks leave + k1/(k1+k2) of what comes later, N of the new one k2/(k1+k2) of it."""
    overlay = works.overlay
    build = Build(overlay.structure, overlay.standing_as_found)
    build.add(works.case("D as found", build))
    runs = {r.life: r for r in overlay.runs if r.panel == "L2-L3"}
    assert set(runs) == {STAYS, COMES}
    old, new = runs[STAYS].elements, runs[COMES].elements
    before = float(build.axial[old].mean())
    build.stress({overlay.shores[j]: -1000.0 for j in ("L1", "L2", "L3", "L4", "L5", "L6")})
    left = float(build.axial[old].mean())
    assert 0 < left < before
    build.stand([int(e) for e in new])
    build.take_out([overlay.shores[j] for j in ("L1", "L2", "L3", "L4", "L5", "L6")])
    s = overlay.structure
    k1, k2 = float(s.E[old[0]] * s.A[old[0]]), float(s.E[new[0]] * s.A[new[0]])
    later = float(build.axial[old].mean() + build.axial[new].mean()) - left
    assert float(build.axial[new].mean()) == pytest.approx(k2 / (k1 + k2) * later, rel=2e-3)  # rel: bending at the panel's ends
    assert float(build.axial[old].mean()) == pytest.approx(left + k1 / (k1 + k2) * later, rel=2e-3)


def test_equilibrium_in_every_stage(works) -> None:
    """Reactions and shores hold the load that is there, whatever was jacked, put in and taken out."""
    overlay = works.overlay
    build = Build(overlay.structure, overlay.standing_as_found)
    dead = works.case("D as found", build)
    down = -float(dead.nodal[:, 1].sum() + (dead.distributed[:, 1] * _lengths(overlay.structure)).sum() + sum(p[2] for p in dead.point))

    def up():
        return float(build.state.result.reaction[0, :, 1].sum())

    build.add(dead)
    assert up() == pytest.approx(down, rel=1e-9)
    build.stress({overlay.shores[j]: -900.0 for j in ("L2", "L3", "L4")})
    assert up() == pytest.approx(down, rel=1e-9)
    build.take_out([overlay.shores[j] for j in ("L2", "L3", "L4")])
    assert up() == pytest.approx(down, rel=1e-9)


def _lengths(s):
    ends = s.joints[s.ends] + s.offset
    return np.hypot(*(ends[:, 1] - ends[:, 0]).T)


def test_a_sound_ply_that_is_replaced_is_taken_out_and_put_in_again() -> None:
    """The near ply of L3-L4 is whole but of another wood after the repair: it is cut out under shores, and its force goes to the far one."""
    chosen = healed(truss(US_SAMPLE, "T2"))

    def other(ply: Ply) -> Ply:
        return replace(ply, wood=replace(ply.wood, grade="Select Structural")) if ply.name == "near" else ply

    members = tuple(replace(m, plies=tuple(other(p) for p in m.plies)) if m.kind == "bottom chord" else m for m in chosen.members)
    found = of(chosen, replace(chosen, members=members), snow=0.0, construction=0.0)
    assert found.why_not == ""
    assert [n.title for n in found.lines][2:5] == ["jacked", "near ply L0-L8 cut out", "near ply L0-L8 put in"]
    lives = {r.life for r in Works(project(US_SAMPLE), chosen, replace(chosen, members=members), *STANDARDS, ()).overlay.runs}
    assert lives == {STAYS, GOES, COMES}


def test_a_web_s_sister_needs_no_shore() -> None:
    owner, chosen = project(SLENDER), truss(SLENDER, "C")
    one = pipeline.repair_one(owner, chosen)
    found = staged_work(owner, chosen, one.truss, *STANDARDS, at_once=one.after)
    assert found.shores == ()
    assert [n.title for n in found.lines] == ["as found", "drilled", "new parts fitted", "in service", "in service, in the long run"]
    assert found.difference < 1e-6
    assert found.staged == pytest.approx(found.at_once)


def test_snow_and_people_of_the_work_are_in_every_stage_but_service(work) -> None:
    # Loads small enough that the jacks are set as without them: beside L3 more than 3 psf on the bottom chord is too much for its shear.
    busy = of(truss(US_SAMPLE, "T2"), snow=6 * PSF, construction=2 * PSF, construction_on="bottom chord")
    assert [(s.joint, s.force) for s in busy.shores] == [(s.joint, s.force) for s in work.shores]
    for line in busy.lines[:-2]:
        same = next((n for n in work.lines if n.title == line.title), None)
        assert same is None or line.ratio >= same.ratio - 1e-9
    assert "S work" in busy.lines[0].combination
    assert any(s.most > s.force + 100 for s in busy.shores)
    assert not any("No snow is counted" in w for w in busy.warnings)
    assert any("No snow is counted" in w for w in work.warnings)


def test_load_duration_of_the_work(works) -> None:
    chosen = replace(truss(US_SAMPLE, "T2"), work=WorkWindow(snow=2 * PSF, construction=5 * PSF))
    rows = {r.name: r for r in window_rows(chosen, factors_of(STANDARDS[1], "allowable stress"))}
    assert rows["D"].duration == "permanent"
    assert rows["D + S work full"].duration == "snow"
    assert rows["D + C full"].duration == "construction"
    assert rows["D + C left half + S work left half"].duration == "construction"
    assert all(r.interim for r in rows.values())


def test_the_snow_that_may_lie_there_at_the_weakest_moment(work) -> None:
    """Half a step over the stated snow something fails, at the stated snow nothing does."""
    assert 0 < work.snow < 19.25 * PSF
    more = of(truss(US_SAMPLE, "T2"), snow=work.snow + 0.1 * 19.25 * PSF, shores=tuple(s.joint for s in work.shores))
    assert max(n.ratio for n in more.lines if n.title == work.snow_stage) > 1.0


def test_places_where_no_shore_may_stand() -> None:
    chosen = replace(truss(US_SAMPLE, "T2"), work=WorkWindow(barred=("L3", "L4")))
    assert may_stand(chosen) == ("L1", "L2", "L5", "L6", "L7")
    assert joint_sets(chosen, ["L2-L3"], may_stand(chosen))[0] == ("L2", "L5")
    assert "L3" not in {s.joint for s in of(chosen, snow=0.0, construction=0.0, barred=("L3", "L4")).shores}


def test_jacks_and_bases_that_cannot_do_it_are_told() -> None:
    found = of(truss(US_SAMPLE, "T2"), snow=0.0, construction=0.0, base="timber floor", base_carries=700.0)
    assert max(s.force for s in found.shores) == pytest.approx(700.0)
    assert found.left > 0
    assert any("what the base carries" in w.lower() for w in found.warnings)


def test_a_block_long_enough_for_the_chord() -> None:
    """F_c_perp of Douglas Fir-Larch 625 psi on two plies of 2-1/2 in.: 6 in. of block carry 18,750 lb."""
    found = of(truss(US_SAMPLE, "T2"), snow=0.0, construction=0.0)
    shore = found.shores[0]
    assert shore.block == 6.0
    assert shore.bearing.ratio == pytest.approx(shore.most / 18750, rel=1e-6)


def test_bearings_move_back_when_the_truss_is_jacked(work) -> None:
    by_title = {n.title: n.moved for n in work.lines}
    assert by_title["as found"][0] == 0.0  # the pin
    assert by_title["as found"][1] > by_title["jacked"][1]


def test_strands_one_after_another_shorten_the_chord_and_slacken_one_another() -> None:
    """A strand over a pinned chord would be an element of the repaired frame; here the bottom chord's middle panel stands for it."""
    chosen = healed(truss(US_SAMPLE, "T2"))
    works = Works(project(US_SAMPLE), chosen, chosen, *STANDARDS, (), Stressing("U3-L4", 2, 1000.0, 900.0))
    build = Build(works.overlay.structure, [e for e in works.overlay.standing_as_found if works.overlay.structure.member[e] != "U3-L4"])
    first, second = works.overlay.strands
    build.stress({first: 500.0})
    build.stress({second: 500.0})
    assert build.axial[second] == pytest.approx(500.0)
    assert build.axial[first] < 500.0


def test_what_cannot_be_worked_out_is_told_with_its_reason() -> None:
    broken = truss(US_SAMPLE, "T2")
    asked = replace(project(US_SAMPLE), modelling=Modelling(second_order=True))
    assert "cannot be added up" in staged_work(asked, broken, healed(broken), *STANDARDS).why_not
    imported = pipeline.stages_of(project(US_SAMPLE), pipeline.repair_one(project(US_SAMPLE), truss(US_SAMPLE, "T5")))
    assert "another analysis" in imported[0].why_not


def test_both_plies_broken_stand_on_shores_from_nothing() -> None:
    chosen = truss(US_SAMPLE, "T2")
    both = replace(chosen, damage=(*chosen.damage, replace(chosen.damage[0], ply="far")))
    found = staged_work(project(US_SAMPLE), both, healed(both), *STANDARDS, no_path=True)
    assert found.why_not == ""
    assert found.lines[0].title == "on shores"
    assert sum(found.lines[0].shores) > 5000
    assert any("unknown" in w for w in found.warnings)


def test_the_same_in_both_unit_systems() -> None:
    si = project(SI_SAMPLE)
    chosen = replace(truss(SI_SAMPLE, "T2"), work=WorkWindow())
    found = staged_work(si, chosen, healed(chosen), *STANDARDS)
    other = of(replace(truss(US_SAMPLE, "T2"), work=WorkWindow()), snow=0.0, construction=0.0)
    assert found.pull == pytest.approx(other.pull, rel=0.02)  # the SI survey is rounded to millimetres
    assert all(math.isclose((s.stop * 25.4) % 1, 0, abs_tol=1e-6) or math.isclose((s.stop * 25.4) % 1, 1, abs_tol=1e-6) for s in found.shores)


@pytest.fixture(scope="module")
def strung():
    owner = project("granary")
    one = pipeline.repair_one(owner, owner.trusses[0])
    return one, pipeline.stages_of(owner, one)[0]


def test_strands_hold_what_they_are_locked_at_and_keep_what_lasts(strung) -> None:
    one, found = strung
    run = one.truss.strands
    locked = [n for n in found.lines if n.title.endswith("locked")]
    assert len(locked) == run.count // 2
    assert sum(locked[-1].strands) == pytest.approx(run.locked, rel=1e-6)
    assert sum(found.lines[-1].strands) == pytest.approx(run.lasting, rel=1e-6)


def test_strands_shorten_the_chord_and_the_bearing_follows(strung) -> None:
    _, found = strung
    moved = {n.title: n.moved[1] for n in found.lines}
    assert moved["strands 1 of 1 locked"] < 0 < moved["new parts fitted"]
    assert moved["in service, in the long run"] < moved["in service"]  # creep under the squeeze


def test_several_pairs_end_alike(strung) -> None:
    """Four strands in two pairs in place of one: the second slackens the first, so the first is pulled further; at the end both hold the same."""
    one, _ = strung
    owner = project("granary")
    four = replace(one.truss, strands=replace(one.truss.strands, count=4))
    found = staged_work(owner, one.before.truss, four, *STANDARDS, stressing=Stressing("strands", 2, four.strands.locked, four.strands.lasting))
    locked = [n for n in found.lines if n.title.endswith("locked")]
    assert locked[0].strands[0] > locked[1].strands[0]
    assert locked[1].strands[0] == pytest.approx(locked[1].strands[1], rel=1e-6)
    assert sum(locked[1].strands) == pytest.approx(four.strands.locked, rel=1e-6)
