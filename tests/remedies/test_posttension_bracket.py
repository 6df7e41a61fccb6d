"""Strands that end at a bracket inboard of a heel without room: statics, steel, what is built, and what stands instead. Hand calculations beside."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from sample_trusses import STRUNG, US_SAMPLE, project, truss
from test_posttension_plan import asked, granary, refusal

from detailgen import pipeline
from detailgen.analysis.frame import solve
from detailgen.checker.check import check_detail
from detailgen.checker.fit import fits, judge_fit
from detailgen.core.result import State
from detailgen.model.detail import ACROSS, FROM_LEFT, FROM_RIGHT
from detailgen.model.marks import register
from detailgen.model.package import Package
from detailgen.model.project import Override, Stressing, Truss
from detailgen.model.structure import LoadCase
from detailgen.remedies.contract import Repair
from detailgen.remedies.posttension import parameters as p
from detailgen.remedies.posttension.bracket import least_inboard, way_of_ties, ways_to_bracket
from detailgen.remedies.posttension.run import Way, obstacles
from detailgen.remedies.posttension.stressing import Wood
from detailgen.remedies.posttension.ties import MODULUS, Ties, chord_as_felt, stiffness

KIP = 1000.0
ROOM = (6.0, 20.0)
TIE = p.TIES[0]
ANCHOR = p.ANCHORS["1/2 in."]


def tight(**changes) -> Truss:
    return replace(granary(), heel_room=ROOM, **changes)


def wanting(value: str) -> Truss:
    return tight(overrides=(Override(p.ANCHORED_AT, value, "asked for"),))


def repair(changed: Truss | None = None) -> Repair:
    answer = asked(changed or tight())
    assert isinstance(answer, Repair), answer
    return answer


@pytest.fixture(scope="module")
def one() -> Repair:
    return repair()


@pytest.fixture(scope="module")
def demo():
    """The truss of the demo with one tight heel."""
    return pipeline.repair_one(project(US_SAMPLE), truss(US_SAMPLE, "T6"))


# Statics


def test_a_strand_that_ends_inboard_relieves_nothing_of_the_chord_beside_the_heel() -> None:
    """10 kip at L1 and at L6 toward one another: the chord between takes all of it, L0-L1 nothing, whatever the rest of the truss is."""
    wood, loads = pipeline.known_standards()
    job = project(STRUNG)
    model, _, _ = pipeline.solve_repaired(job, granary(), wood[job.wood_standard], loads[job.load_standard])
    n, m = len(model.structure.joints), len(model.structure.ends)
    place = {j: int(np.argmin(np.hypot(*(model.structure.joints - granary().joints[j]).T))) for j in ("L0", "L1", "L6")}

    def squeezed(joint: str) -> dict[str, float]:
        nodal = np.zeros((n, 3))
        nodal[place[joint], 0], nodal[place["L6"], 0] = 10 * KIP, -10 * KIP
        found = solve(model.structure, [LoadCase("P", nodal, np.zeros((m, 2)), (), np.zeros(m), np.zeros((n, 3)))], active=model.active)
        return {name: float(found.axial[0, k].mean()) for k, name in enumerate(model.structure.member)}

    inboard, whole = squeezed("L1"), squeezed("L0")
    assert abs(inboard["L0-L1"]) < 0.05 * 10 * KIP
    assert inboard["L1-L2"] < -0.9 * 10 * KIP
    assert whole["L0-L1"] < -0.9 * 10 * KIP


def test_a_bracket_merely_bolted_on_is_told_with_the_ratio_that_it_leaves(one) -> None:
    """The panel beside the heel stays as it was found."""
    before = pipeline.assess_one(project(STRUNG), granary())
    place = next(q for q in before.as_found.places if q.name == "bottom chord L0-L1")
    assert place.worst is not None
    assert place.worst.ratio > 1.0
    told = next(t for t in one.intervention.runners_up if "merely bolted" in t)
    assert f"bottom chord L0-L1 stays at {place.worst.ratio:.2f}" in told
    assert "6'-2\" from the left end" in told
    said = refusal(wanting(p.BOLTED))
    assert f"bottom chord L0-L1 stays at {place.worst.ratio:.2f}" in said


def test_what_joins_bracket_and_end_plate_is_pulled(one) -> None:
    """The strands pull both heads toward the far end with 2 x 20.5 kip; nothing but the ties holds them: four rods of 3/4 in., each 10.25 kip against
    0.75 x 75 ksi / 2 on 0.442 in2 (AISC 360-16 J3.6, from memory)."""
    jacked = [r for r in one.results if r.where == "each tie of the bracket" and r.combination == "the last strand is pulled"]
    (tie,) = jacked
    assert tie.demand == pytest.approx(2 * 20500 / 4)
    assert tie.capacity == pytest.approx(0.75 * 75 * KIP / 2 * math.pi / 4 * 0.75**2, rel=1e-6)
    assert "carries nothing of that" in " ".join(one.intervention.runners_up)


def test_every_combination_pulls_at_the_ties(one) -> None:
    assert one.stressing is not None
    mine = {r.combination for r in one.results if r.where == "each tie of the bracket"}
    assert len(mine) > 10


def test_the_head_bends_between_its_ties(one) -> None:
    """20.5 kip in the middle of 6-1/4 in.: 32.0 kip-in on 5-1/4 in. less the strand's hole of 11/16 in., AISC F11 with 36 ksi: 1.14 in., so 1-1/4."""
    heel = next(d for d in (one.detail, *one.further) if d.axis == FROM_LEFT)
    head = heel.part("head-near")
    moment = 20500 / 2 * 3.125
    least = math.sqrt(4 * moment * 1.67 / (36 * KIP * (5.25 - 11 / 16)))
    assert 1.0 < least < head.thickness == 1.25


# Stiffness, losses, lengths


def ties(between: float = 80.0) -> Ties:
    return Ties(TIE, (-3.125, 3.125), between, ())


def test_strands_and_ties_behind_one_another_give_like_springs_in_a_row() -> None:
    strand = pipeline.anchorage("allowable stress").strand.strand("1/2 in.")  # type: ignore[union-attr]
    area = stiffness(2 * strand.area, strand, 500.0, 580.0, ties())
    flexible = 500.0 / (strand.modulus * 2 * strand.area) + 80.0 / (MODULUS * 4 * TIE.area)
    assert strand.modulus * area / 580.0 == pytest.approx(1 / flexible)


def test_what_the_whole_chord_gives_is_lost_over_the_strands_alone() -> None:
    """Shortening of the chord over 600 in. under 10 kip, felt by 500 in. of strand; shrinkage and warming likewise."""
    wood = Wood(1.6e6, 69.0, 0.0)
    felt, tools = chord_as_felt(wood, Stressing(), 500.0, 600.0, None)
    assert 10 * KIP * 500.0 / (felt.modulus * felt.area) == pytest.approx(10 * KIP * 600.0 / (1.6e6 * 69.0))
    assert tools.shrinkage * 500.0 == pytest.approx(Stressing().shrinkage * 600.0)
    shared, _ = chord_as_felt(wood, Stressing(), 500.0, 600.0, ties())
    assert shared.area < felt.area


def test_ram_travels_the_chord_and_the_ties_besides_the_strand(one) -> None:
    """Mean force along the run (K = 0.002 per foot); chord of 2 x 3 x 11-1/2 in., E 1,600 ksi, whole between the end plates; ties 20.5 kip on two
    rods."""
    plan = one.stressing
    assert plan is not None
    assert plan.bracket is not None
    last, between = plan.steps[-1], plan.strands[0].between
    mean = plan.jack * (1 + math.exp(-0.002 * between / 12)) / 2
    whole = 576 + 12 + 2 * 1.875
    assert between == pytest.approx(whole - 74 - 1.875)
    own = mean * between / (0.153 * 28.5e6)
    chord = 2 * mean * whole / (1.6e6 * 69.0)
    stretch = plan.jack * (74 + 1.25 + 1.875) / (29e6 * 2 * math.pi / 4 * 0.75**2)
    assert last.elongation == pytest.approx(0.9 * own, rel=1e-6)
    assert last.ram_travel == pytest.approx(0.9 * (own + chord + stretch), rel=2e-3)


def test_strands_keep_their_limits_and_the_window(one) -> None:
    plan = one.stressing
    assert plan is not None
    assert plan.least < plan.lasting < plan.locked < plan.greatest
    assert all(r.state is State.PASSES for r in one.results)


# Where it stands


def test_jack_ties_and_strands_are_clear_of_all_that_stands_beside_the_chord(one) -> None:
    """Each as a straight tube from u to u (in from the end grain), nothing within the stated clearance."""
    plan, found = one.stressing, granary()
    assert plan is not None
    bracket = plan.bracket
    assert bracket is not None
    end, jack = bracket.inboard - 2.0, 22.0 + 8.0
    tubes = [
        (bracket.inboard, 590.0, 0.0, ANCHOR.sheath / 2),
        (end - jack, end, 0.0, 2.5),
        *((-6.0, bracket.inboard, h, 0.375) for h in bracket.ties),
    ]
    for o in obstacles(found, found.member("bottom chord")):
        for low, high, y, radius in tubes:
            beside = o.x[0] + 6.0 < high and o.x[1] + 6.0 > low and o.y[0] - p.CLEAR < y + radius and o.y[1] + p.CLEAR > y - radius
            inside = max(abs(o.z[0]), abs(o.z[1]))
            assert not beside or inside + p.CLEAR <= plan.run_z - radius + 1e-6 or inside <= 4.5, o.what
    assert bracket.inboard - end + jack + p.HAND <= bracket.inboard  # whole before the end grain


def test_the_bracket_stands_where_strands_pass_nearest_to_the_faces() -> None:
    """Inboard of the heel's bolts the jack asks for 4-1/2 in. of chord, 1/2 in. and half of 5 in.; beside them for 9-1/4 in., as they reach 6-1/4."""
    found = tight()
    (best, *_) = ways_to_bracket(found, found.member("bottom chord"), 1, ANCHOR, Stressing(), TIE, "US", "left")
    assert best.z == pytest.approx(7.5)
    assert best.inboard > least_inboard(ANCHOR, Stressing())
    assert best.inboard - least_inboard(ANCHOR, Stressing()) + p.HAND > 26  # its jack ends inboard of the last heel bolt


def test_ties_flank_the_jack() -> None:
    """Half of a jack of 5 in., half of a tie of 3/4 in., 1/4 in. of play."""
    way = way_of_ties(Way((-1.5, 1.5), 7.5, "", 7.5, "left", 60.0), TIE, 5.0)
    assert way.heights == pytest.approx((-1.5 - 3.125, 1.5 + 3.125))


def test_the_tight_heel_may_be_the_other_one() -> None:
    found = repair(replace(granary(), heel_room=(20.0, 6.0)))
    assert found.stressing is not None
    assert found.stressing.bracket is not None
    assert found.stressing.bracket.side == found.stressing.stressing_end == "right"
    assert found.stressing.bracket.face == pytest.approx(576 + 6 - 74)


@pytest.mark.parametrize(("room", "enough"), [((5.25, 11.875), True), ((5.0, 20.0), False), ((6.0, 11.75), False)])
def test_a_bracket_asks_for_room_of_its_own(room: tuple[float, float], enough: bool) -> None:
    """Pad and plate 1-7/8 in., washer and nut 29/32, a second nut and 1/4 in. of thread, fingers 1-1/2 in.: 5.28 in.; anchors 11-7/8 in. at the
    other."""
    behind = 1.875 + 5 / 32 + 0.75 + 1.0 + 1.5
    assert (room[0] >= behind - 0.05) is (room[0] > 5.0)
    answer = asked(replace(granary(), heel_room=(room[0] + (0.05 if enough else 0.0), room[1])))
    assert isinstance(answer, Repair) is enough


# What is built


def test_the_base_slides_twice_as_far_as_the_head_moves(one) -> None:
    base = next(d for d in one.further if d.key.endswith("-base"))
    plan = one.stressing
    assert plan is not None
    gives = 2 * plan.jack * (74 + 1.875) / (1.6e6 * 69.0) + plan.jack * (74 + 1.25 + 1.875) / (29e6 * 2 * TIE.area)
    slot = base.part("base-near").slots[0]
    assert (slot.length - slot.width) / 2 >= 2 * gives
    assert len(base.bolts) == 4
    assert base.welds


def test_base_bolts_hold_their_share_at_its_eccentricity(one) -> None:
    """5 % of 20.5 kip at 3 in. off the face: four bolts, two columns 5 in. apart: tension 1,025 x 3 x 2.5 / 25 in2 (elastic group)."""
    tension = next(r for r in one.results if r.where == "base of the bracket" and "tension" in r.check)
    assert tension.demand == pytest.approx(0.05 * 20500 * 3.0 * 2.5 / (4 * 2.5**2), rel=1e-6)
    shear = next(r for r in one.results if r.where == "base of the bracket" and r.check.endswith("in shear"))
    assert shear.demand == pytest.approx(0.05 * 20500 / 4)


def test_base_bolts_weaken_the_chord_that_is_checked(one) -> None:
    run = one.truss.strands
    assert run is not None
    assert one.stressing is not None
    bracket = one.stressing.bracket
    assert bracket is not None
    inside = [x for x in run.guides if bracket.face < x < bracket.face + bracket.base]
    assert len(inside) == 2


def test_the_demo_has_a_strung_truss_with_one_tight_heel_and_it_passes(demo) -> None:
    assert not demo.refusals
    assert demo.after.worst is not None
    assert demo.after.worst[1].ratio <= 1.0
    assert demo.stressing.bracket.side == "left"
    assert {d.axis for d in demo.details} == {FROM_LEFT, FROM_RIGHT, ACROSS}


def test_its_details_go_together_and_pass_the_checker(demo) -> None:
    marks, _ = register(demo.details, {})
    settled = replace(demo, status={d.key: "PROPOSED" for d in demo.details})
    package = Package(project(US_SAMPLE), (settled,), marks, "PROPOSED", (), ())
    assert len(demo.details) == 4
    for detail in demo.details:
        results = judge_fit(settled, detail, package)
        assert fits(results), [r for r in results if r.state is not State.PASSES]
        assert all(r.state is State.PASSES for r in check_detail(detail))


def test_a_tie_that_misses_its_hole_does_not_go_together(demo) -> None:
    heel = next(d for d in demo.details if d.axis == FROM_LEFT)
    moved = tuple(
        replace(q, placement=replace(q.placement, y=q.placement.y + 0.25)) if q.key == "rod-1" else q for q in heel.parts
    )  # fmt: skip
    settled = replace(demo, status={d.key: "PROPOSED" for d in demo.details})
    marks, _ = register(demo.details, {})
    package = Package(project(US_SAMPLE), (settled,), marks, "PROPOSED", (), ())
    assert not fits(judge_fit(settled, replace(heel, parts=moved), package))


def test_the_work_in_stages_finds_the_same_forces(demo) -> None:
    staged, _ = pipeline.stages_of(project(US_SAMPLE), demo)
    assert staged is not None
    assert not staged.why_not
    lines = {line.title: line for line in staged.lines}
    stressed = next(line for title, line in lines.items() if title.startswith("strands"))
    assert sum(stressed.strands) == pytest.approx(demo.stressing.locked, rel=0.01)
    assert sum(lines["in service, in the long run"].strands) == pytest.approx(demo.stressing.lasting, rel=0.02)


# What stands instead


def test_a_cored_wall_is_the_runner_up_with_its_numbers(one) -> None:
    """39-7/8 in. for a jack less 6 in. of room; 5 in. of jack and 1 in. more."""
    told = next(t for t in one.intervention.runners_up if "cored wall" in t)
    assert '2 holes, 6" in diameter' in told
    assert "2'-9 7/8\" deep" in told


def test_a_cored_wall_is_taken_where_an_override_says_so() -> None:
    found = repair(wanting(p.CORED))
    plan = found.stressing
    assert plan is not None
    assert plan.bracket is None
    assert plan.core is not None
    assert (plan.core.side, plan.core.depth, plan.core.diameter, plan.core.count) == ("left", pytest.approx(39.875 - 6), 6.0, 2)
    assert any("bracket inboard" in t for t in found.intervention.runners_up)
    assert any("cored only when" in w for w in plan.warnings)


def test_another_word_is_refused_with_what_is_allowed() -> None:
    said = refusal(wanting("glue"))
    assert "found 'glue'; allowed: end plates, bracket, cored wall" in said


def test_end_plates_alone_are_refused_with_their_numbers_where_an_override_asks_for_them() -> None:
    assert "no room to stress" in refusal(wanting(p.END_PLATES))
