"""What stands across the run of the strands: gone around, slotted with its loss judged in the part that is cut, or refused and named."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from sample_trusses import STRUNG, project
from test_posttension_plan import asked, granary, refusal, repaired
from test_posttension_seats import OLD_SHOE, seated

from detailgen.checker.check import check_detail
from detailgen.checker.fit import fits, judge_fit
from detailgen.core.result import State
from detailgen.model.added import Across
from detailgen.model.detail import FROM_LEFT
from detailgen.model.marks import register
from detailgen.model.package import Package
from detailgen.model.project import Truss
from detailgen.remedies.contract import Repair
from detailgen.remedies.posttension import parameters as p
from detailgen.remedies.posttension.run import ways

KIP = 1000.0
BLOCKING = Across("blocking", False, 168.0, 1.5, -5.75, 5.75, 4.5, 14.5, slot=True)
LUG = Across("lug of the splice plate", True, 408.0, 0.5, -5.0, 5.0, 4.5, 10.0, slot=True, pulled=14 * KIP)


def with_across(*across: Across, **changes) -> Truss:
    return replace(granary(), across=across, **changes)


def repair(truss: Truss) -> Repair:
    answer = asked(truss)
    assert isinstance(answer, Repair), answer.reason
    return answer


def slots_of(answer: Repair, number: int = 1):
    detail = next(d for d in answer.further if d.key.endswith(f"-slot-{number}"))
    return detail, [(q, o) for q in detail.parts for o in q.slots]


def test_blocking_gets_a_true_slot_on_each_face_from_the_work_point() -> None:
    """Sheath 0.65 and 1/2 in. on both sides: 1-11/16; an inch more upright. Run 7-3/8 in. off, on the axis, so that is where their middles are."""
    answer = repair(with_across(BLOCKING))
    detail, slots = slots_of(answer)
    assert (detail.axis, detail.station) == (FROM_LEFT, 168.0)
    assert [(o.x + q.placement.x, o.y + q.placement.y) for q, o in slots] == [(-7.375, 0.0), (7.375, 0.0)]
    assert {(o.width, o.length, o.angle) for _, o in slots} == {(1.6875, 2.6875, math.pi / 2)}
    assert all(q.existing and q.thickness == 1.5 for q, _ in slots)
    assert "middle 7 3/8\" from the truss's plane on both faces, on the chord's axis; 1 11/16\" wide, 2 11/16\" from end to end" in detail.notes[1]


def test_what_the_slot_takes_is_judged_in_the_blocking() -> None:
    """IBC 2018 2308.4.2.4 (from memory): a third of 11-1/2 in. at most, 2 in. from the edges at least; 2-11/16 in. in the middle."""
    results = {r.check: r for r in repair(with_across(BLOCKING)).results if r.where.startswith("blocking")}
    assert results["slot over its height"].ratio == pytest.approx(2.6875 / (11.5 / 3))
    assert results["wood over and under the slot"].capacity == pytest.approx((11.5 - 2.6875) / 2)
    assert all(r.passes for r in results.values())


def test_a_splice_plate_in_the_way_gets_a_slot_and_its_plate_check_knows_the_loss() -> None:
    """AISC J4.1 with old steel of 33 and 60 ksi: 10 x 1/2 in. whole; 2-11/16 in. of it are cut."""
    answer = repair(with_across(LUG))
    results = {r.check: r for r in answer.results if r.where.startswith("lug")}
    whole, net = results["whole section in tension"], results["net section at the slot"]
    assert whole.capacity == pytest.approx(33 * KIP * 10 * 0.5 / 1.67)
    assert net.capacity == pytest.approx(60 * KIP * (10 - 2.6875) * 0.5 / 2)
    assert net.demand == 14 * KIP


def test_a_plate_that_cannot_spare_the_loss_is_gone_around() -> None:
    """60 ksi on 3.66 in2 over 2: 109.7 kip; at 110 kip the strands go around, 10 + 1/2 + 0.325 in. off the plane."""
    cut, around = repair(with_across(replace(LUG, pulled=90 * KIP, outer=9.5))), repair(with_across(replace(LUG, pulled=110 * KIP, outer=9.5)))
    assert cut.stressing is not None
    assert around.stressing is not None
    assert cut.stressing.run_z == 7.375
    assert around.stressing.run_z == pytest.approx(10.375)
    assert "lug of the splice plate" in around.intervention.parameters["off the truss's plane"]
    assert "slots" not in around.intervention.parameters


def test_a_tension_that_nobody_knows_lets_no_slot_be_cut() -> None:
    around = repair(with_across(replace(LUG, pulled=math.nan, outer=9.5)))
    assert around.stressing is not None
    assert around.stressing.run_z == pytest.approx(10.375)


def test_what_may_not_be_cut_and_stands_too_far_out_is_refused_by_name() -> None:
    said = refusal(with_across(replace(BLOCKING, slot=False)))
    assert "no bolt for the guides" in said
    assert "held off by blocking" in said


def test_a_slot_that_is_too_high_for_the_blocking_is_refused_by_name() -> None:
    """6 in. deep: a third are 2 in., the slot asks for 2-11/16."""
    said = refusal(with_across(replace(BLOCKING, low=-3.0, high=3.0), run_height=0.0))
    assert "held off by blocking" in said


def test_what_stands_out_little_is_gone_around_rather_than_cut() -> None:
    """A cleat of 7 in.: around it the run is no farther off than for the old bolts."""
    answer = repair(with_across(replace(BLOCKING, outer=7.0)))
    assert answer.stressing is not None
    assert "slots" not in answer.intervention.parameters
    assert answer.stressing.run_z <= 7.375 + p.NEAR_AXIS


def test_without_leave_to_cut_every_way_goes_around() -> None:
    found = with_across(BLOCKING)
    chord = found.member("bottom chord")
    assert all(w.z >= 14.5 and not w.cuts for w in ways(found, chord, 1, p.ANCHORS["1/2 in."], p.OFF["US"]))


def test_guides_keep_clear_of_what_is_slotted() -> None:
    answer = repair(with_across(BLOCKING, LUG))
    assert answer.stressing is not None
    for x in answer.stressing.guides:
        assert all(abs(x - a.x) > a.thickness / 2 + p.GUIDE_BLOCK / 2 for a in (BLOCKING, LUG))


def test_a_wide_shoe_is_slotted_beside_its_sides() -> None:
    """A back of 20 in.: strands pass it 2-5/8 in. from its ends, outside of its welded sides; the slots stand on the heel's sheet."""
    answer = repair(seated(replace(OLD_SHOE, width=20.0)))
    back = answer.detail.part("shoe-back")
    assert [(o.x, o.y, o.width) for o in back.slots] == [(-7.375, 0.0, 1.6875), (7.375, 0.0, 1.6875)]
    assert not [d for d in answer.further if "-slot-" in d.key]
    narrow = repair(seated(OLD_SHOE)).detail.part("shoe-back")
    assert narrow.slots == ()


def test_slots_are_drawn_judged_and_let_the_strands_through() -> None:
    one = repaired(replace(seated(replace(OLD_SHOE, width=20.0)), across=(BLOCKING, LUG)))
    marks, _ = register(one.details, {})
    settled = replace(one, status={d.key: "PROPOSED" for d in one.details})
    package = Package(project(STRUNG), (settled,), marks, "PROPOSED", (), ())
    slotted = [d for d in one.details if any(q.slots for q in d.parts)]
    assert [d.key for d in slotted] == ["G3-strands", "G3-strands-right", "G3-strands-slot-1", "G3-strands-slot-2"]
    for detail in slotted:
        results = judge_fit(settled, detail, package)
        assert fits(results), [r for r in results if r.state is not State.PASSES]
        checked = check_detail(detail)
        assert all(r.state is State.PASSES for r in checked)
        assert any("slot for its strand" in r.check for r in checked)
    # moved by an inch and a half a slot lets no strand through
    left = slotted[0]
    back = left.part("shoe-back")
    off = replace(left, parts=tuple(replace(q, slots=tuple(replace(o, x=o.x + 1.5) for o in q.slots)) if q is back else q for q in left.parts))
    assert not fits(judge_fit(settled, off, package))
    # and one that is too narrow, or at the part's edge, is found by the checker
    thin = replace(left, parts=tuple(replace(q, slots=tuple(replace(o, width=0.5) for o in q.slots)) if q is back else q for q in left.parts))
    assert any(r.state is State.DOES_NOT_PASS and "room on both sides" in r.check for r in check_detail(thin))
    edge = replace(left, parts=tuple(replace(q, slots=tuple(replace(o, y=3.0) for o in q.slots)) if q is back else q for q in left.parts))
    assert any(r.state is State.DOES_NOT_PASS and "whole about it" in r.check for r in check_detail(edge))
