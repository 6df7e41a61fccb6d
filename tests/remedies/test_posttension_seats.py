"""Where the strands' force enters a heel decides what its old bolts carry: by hand equilibrium, and what is refused."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from sample_trusses import STRUNG, project
from test_posttension_plan import asked, granary, refusal

from detailgen import pipeline
from detailgen.assessment.members import grade_of
from detailgen.model.added import END_GRAIN, SHOE, TOP_END, StrandSeat
from detailgen.model.heels import heel_forces
from detailgen.model.project import Project, Truss
from detailgen.remedies.contract import Repair
from detailgen.standards.interface import BearingRequest

KIP = 1000.0
OLD_SHOE = StrandSeat(SHOE, 1.25, -4.0, 4.0, 9.75, 0.5, 0.25, 80.0, "E60", 33 * KIP, 60 * KIP)
ON_TOP = StrandSeat(TOP_END, 2.0, -3.0, 5.0)


def seated(left: StrandSeat, right: StrandSeat | None = None) -> Truss:
    return replace(granary(), seats=(left, right or left))


def heavy() -> tuple[Truss, Project]:
    """A truss whose dead load alone thrusts more than its strands push: 58 psf of roof, 50 psf of snow, and a chord that bears D + 0.2 S."""
    job, found = project(STRUNG), seated(ON_TOP)
    assert job.loads.snow is not None
    loads = replace(job.loads, roof_dead=58 / 144, snow=replace(job.loads.snow, ground_snow=50 / 144))

    def stronger(member):
        if member.name != "bottom chord":
            return member
        plies = tuple(replace(q, thickness=3.25, wood=replace(q.wood, grade="Select Structural")) for q in member.plies)
        return replace(member, plies=plies)

    return replace(found, members=tuple(stronger(m) for m in found.members)), replace(job, loads=loads)


def repair(truss: Truss, job: Project | None = None) -> Repair:
    answer = asked(truss, job)
    assert isinstance(answer, Repair), answer.reason
    return answer


def judged(answer: Repair, job: Project | None = None):
    """Forces and heel places of the repaired truss, solved again."""
    wood, loads = pipeline.known_standards()
    given = job or project(STRUNG)
    _, forces, check = pipeline.solve_repaired(given, answer.truss, wood[given.wood_standard], loads[given.load_standard])
    return forces, {p.name: p for p in check(["bottom chord L0-L1 at L0", "bottom chord L5-L6 at L6"]) if p.kind == "connection"}


@pytest.fixture(scope="module")
def by_seat() -> dict[str, Repair]:
    return {END_GRAIN: repair(granary()), SHOE: repair(seated(OLD_SHOE))}


def thrust_of_top_chord(forces, k: int, truss: Truss) -> float:
    """By hand: the joint pushes the top chord's end along its slope, and holds its shear square to it; both back along the bottom chord."""
    (x0, y0), (x1, y1) = truss.joints["L0"], truss.joints["U1"]
    slope = math.atan2(y1 - y0, x1 - x0)
    end = forces.members["L0-U1"]
    return float(-end.axial[k, 0] * math.cos(slope) - end.shear[k, 0] * math.sin(slope))


@pytest.mark.parametrize("on", [END_GRAIN, SHOE])
def test_the_heel_is_in_equilibrium_with_the_top_chord(by_seat, on: str) -> None:
    """Thrust of the top chord = chord's panel + strands, whatever they push on; the bolts have all of it, or what the strands leave."""
    answer = by_seat[on]
    forces, places = judged(answer)
    rows = heel_forces(granary(), forces, "left", on)
    bolts = {r.combination: r for r in places["bottom chord L0-L1 at L0"].results if r.check == "bolts"}
    assert bolts
    for k, row in enumerate(rows):
        brought = thrust_of_top_chord(forces, k, granary())
        assert row.thrust == pytest.approx(brought, rel=2e-3, abs=60)
        left = brought if on == END_GRAIN else brought - float(forces.strands[k])
        assert row.bolts == pytest.approx(left, rel=2e-3, abs=60)
        if row.combination in bolts:
            assert bolts[row.combination].demand == pytest.approx(abs(left) / 2, rel=5e-3, abs=40)  # two plies


def test_strands_on_the_shoe_relieve_the_bolts_and_on_end_grain_they_do_not(by_seat) -> None:
    """Under balanced snow some 33 kip: kept on end grain, some 2 kip of it left where the plate presses on the shoe."""
    most = {}
    for on, answer in by_seat.items():
        forces, _ = judged(answer)
        most[on] = next(r for r in heel_forces(granary(), forces, "left", on) if r.combination == "D + S balanced, strands after losses")
    assert most[END_GRAIN].thrust == pytest.approx(most[SHOE].thrust, rel=0.01)
    assert most[END_GRAIN].bolts == pytest.approx(most[END_GRAIN].thrust)
    assert abs(most[SHOE].bolts) < 0.1 * most[SHOE].thrust
    told = by_seat[SHOE].intervention.parameters["heel bolts"]
    assert "carry the thrust less the strands" in told
    assert "push (D, all strands at the jack's force)" in told
    assert "With the plate on the end grain: at most 32," in told
    told = by_seat[END_GRAIN].intervention.parameters["heel bolts"]
    assert "keep the whole thrust: at most 32," in told
    assert "With the plate on the shoe or the top chord's end" in told


def test_bolts_that_the_strands_push_the_other_way_are_judged_as_reversing(by_seat) -> None:
    """At the jack the shoe pushes the chord inward with 41 kip less a thrust of 12 kip; with a pair lost the bolts pull: both are checked."""
    forces, places = judged(by_seat[SHOE])
    row = next(r for r in heel_forces(granary(), forces, "left", SHOE) if "jack" in r.combination)
    assert row.bolts == pytest.approx(-28.8 * KIP, rel=0.01)
    assert any(r.check == "bolts" and "jack" in r.combination for r in places["bottom chord L0-L1 at L0"].results)


def test_each_heel_goes_by_its_own_seat() -> None:
    answer = repair(seated(OLD_SHOE, StrandSeat()))
    forces, _ = judged(answer)
    left, right = (heel_forces(granary(), forces, side, seat.on)[0] for side, seat in zip(("left", "right"), answer.truss.strands.seats, strict=True))
    assert left.bolts == pytest.approx(left.panel)
    assert right.bolts == pytest.approx(right.panel + right.strands)
    assert {"left heel bolts", "right heel bolts", "left end plate", "right end plate"} <= answer.intervention.parameters.keys()
    overrun = answer.truss.strands.overrun  # the shoe's face stands 1-1/4 in. outside of the end grain
    plates = [next(p for p in d.parts if p.key == "end-plate") for d in (answer.detail, answer.further[0])]
    assert overrun[0] - overrun[1] == pytest.approx(1.25 + plates[0].thickness - plates[1].thickness)


def test_pads_stand_over_what_takes_the_force() -> None:
    """Over the shoe's four welded sides, clear of the end grain; on the top chord's plies, over their end."""
    shoe = repair(seated(OLD_SHOE)).detail
    pads = sorted((p for p in shoe.parts if p.key.startswith("pad")), key=lambda p: p.placement.x)
    assert [p.placement.x for p in pads] == pytest.approx([-4.625, -1.375, 1.375, 4.625])
    assert {p.placement.z for p in pads} == {1.25}
    back = shoe.part("shoe-back")
    assert (back.placement.z, back.thickness, back.existing) == (0.5, 0.75, True)
    truss, job = heavy()
    top = repair(truss, job).detail
    pads = [p for p in top.parts if p.key.startswith("pad")]
    assert sorted(p.placement.x for p in pads) == pytest.approx([q.z for q in sorted(truss.member("top chord").plies, key=lambda q: q.z)])
    assert {(p.placement.y, p.placement.z) for p in pads} == {(1.0, 2.0)}


def test_the_top_chords_end_takes_strands_while_its_thrust_is_greater() -> None:
    """NDS 3.10.3 on the plumb end: push level, grain along the slope; the steel that 3.10.1.3 asks for is there."""
    truss, job = heavy()
    answer = repair(truss, job)
    forces, _ = judged(answer, job)
    rows = heel_forces(truss, forces, "left", TOP_END)
    assert min(r.seated for r in rows) > 0
    assert all(r.bolts == pytest.approx(r.thrust - r.strands) for r in rows)
    bearing = max((r for r in answer.results if r.check == "end bearing"), key=lambda r: r.ratio)
    assert bearing.cite.clause == "3.10.3"
    pad = next(p for p in answer.detail.parts if p.key.startswith("pad"))
    high = max(v.y for v in pad.outline) * 2
    push = float(max(forces.strands))
    # strands on the axis, 1 in. under the pads' middle: the part of the pad that they stand in the middle of
    assert bearing.demand == pytest.approx(push / 2 / (3.375 * (high - 2 * 1.0)), rel=1e-6)
    assert "so a rigid steel plate must spread the force" in answer.intervention.parameters["end grain"]


def test_end_bearing_at_an_angle_is_hankinsons() -> None:
    """By hand: F_c* 1,215 psi and F_c_perp' 625 psi (Douglas Fir-Larch No.2, C_D 0.9) at 30 degrees."""
    wood = pipeline.known_standards()[0]["nds_2018"]
    one = BearingRequest(
        "x", grade_of(granary().member("bottom chord").plies[0].wood), 3.0, 11.5, 10.0, True, np.array([-10 * KIP]), ("D",), ("permanent",),
        "strands", math.radians(30),
    )  # fmt: skip
    (result,) = wood.bearing_checks(one)
    assert result.demand == pytest.approx(1000)
    assert result.capacity == pytest.approx(1215 * 625 / (1215 * 0.25 + 625 * 0.75))
    (low,) = wood.bearing_checks(replace(one, steel_face=False))
    assert low.capacity == pytest.approx(0.75 * result.capacity)


# What is refused, with numbers


def test_a_shoe_without_surveyed_sides_cannot_be_checked() -> None:
    bare = tuple(replace(c, plates=()) if c.member == "bottom chord" else c for c in granary().connections)
    assert "cannot be checked" in refusal(replace(seated(OLD_SHOE), connections=bare))


def test_welds_of_the_shoe_that_are_too_short_are_refused_with_their_ratio() -> None:
    """AISC J2.4: 8 in. of 1/4 in. E60 bear 0.6 x 60 x 0.707 x 0.25 x 8 / 2 = 25.5 kip; the jacks push 41."""
    said = refusal(seated(replace(OLD_SHOE, weld=8.0)))
    assert "shoe of the left heel, back to sides, fillet weld: 1.61" in said
    assert 41 / (0.6 * 60 * math.sqrt(0.5) * 0.25 * 8 / 2) == pytest.approx(1.61, abs=0.005)


def test_sides_that_buckle_between_weld_and_bolts_are_refused() -> None:
    thin = tuple(
        replace(c, plates=tuple(replace(q, thickness=1 / 8) for q in c.plates)) if c.member == "bottom chord" else c for c in granary().connections
    )
    said = refusal(replace(seated(OLD_SHOE), connections=thin))
    assert "shoe of the left heel" in said


def test_a_top_chord_that_would_be_pushed_off_its_seat_is_refused_with_both_forces() -> None:
    said = refusal(seated(ON_TOP))
    assert "pushed off its seat: its thrust is 12,190 lb under D, all strands at the jack's force" in said
    assert "41,000 lb" in said


def test_two_pairs_off_the_axis_are_not_put_on_a_shoe() -> None:
    """A shoe's bolts would be turned by strands whose middle is off the axis: only ways on the axis are looked at."""
    answer = repair(seated(OLD_SHOE))
    assert answer.truss.strands.height == 0.0
