"""A new heel on the sample whose top chords bear on the lip of an old shoe: choice, statics, consequences, refusals, the joint as it is drawn."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from sample_trusses import WEAK_HEEL, passes, project, truss

from detailgen import packing, pipeline
from detailgen.assessment.assess import solve_repaired
from detailgen.checker.check import check_detail
from detailgen.checker.fit import fits, package_fit
from detailgen.core.result import State
from detailgen.core.units import SI
from detailgen.model.detail import Detail, Part
from detailgen.model.heel_bodies import heel_body
from detailgen.model.marks import register, signature
from detailgen.model.member import Damage, Heel
from detailgen.model.package import Refusal
from detailgen.model.project import Override, Truss
from detailgen.remedies import choose
from detailgen.remedies.contract import Job, Repair, Solved
from detailgen.remedies.heel import REMEDY
from detailgen.remedies.heel import parameters as p
from detailgen.remedies.heel.shoe import Shoe, shoe_for, stocked, uneven
from detailgen.remedies.heel.site import corner_of

SAMPLE, LEFT, RIGHT = WEAK_HEEL, "H3-heel-L0", "H3-heel-L6"


def tannery(**changes) -> Truss:
    """The sample with other entries of its heels."""
    found = truss(SAMPLE, "H3")
    return replace(found, heels=tuple(replace(h, **changes) for h in found.heels))


def job_of() -> Job:
    wood, loads = pipeline.standards_of(project(SAMPLE))
    job = project(SAMPLE)

    def solve(changed: Truss) -> Solved:
        return Solved(changed, *solve_repaired(job, changed, wood, loads, parts=pipeline.steel_parts(job.method)))

    return Job(job, wood, pipeline.steel_standard(job.method), solve)


def answer(found: Truss, key: str = LEFT, **least: float) -> Repair | Refusal:
    job = job_of()
    solved = job.solve(found)
    site = next(s for s in REMEDY.still_failing(job, solved) if s.key == key)
    return REMEDY.dimension(job, found, site, solved, least, math.inf)


def reason(found: Truss, **least: float) -> str:
    refused = answer(found, **least)
    assert isinstance(refused, Refusal), refused
    return refused.reason


@pytest.fixture(scope="module")
def one():
    return pipeline.repair_one(project(SAMPLE), truss(SAMPLE, "H3"))


@pytest.fixture(scope="module")
def left(one) -> Detail:
    return next(d for d in one.details if d.key == LEFT)


# ------------------------------------------------------------------ the heel as a free body


def test_the_free_body_balances_and_its_reaction_is_half_of_the_load():
    """Statics: on a truss that is alike on both sides the bearing takes half of an even load; thrust, pull and reaction close, also in moments."""
    found = truss(SAMPLE, "H3")
    solved = job_of().solve(found)
    body = heel_body(found, solved.forces, "L0")
    other = heel_body(found, solved.forces, "L6")
    k = body.combinations.index("D + S balanced")
    c, s = math.cos(body.slope), math.sin(body.slope)
    up = body.reaction[1]
    assert np.abs(body.rest).max() < 1e-3 * up.max()  # in-lb beside lb: nothing is left
    assert up[k] == pytest.approx(other.reaction[1][k], rel=1e-9)
    push = body.thrust * c - body.tension
    assert np.abs(push).max() < 0.02 * body.thrust.max()  # what the top chord's own shear brings along
    lifted = body.thrust * s + body.loaded - body.across
    assert lifted == pytest.approx(up, rel=0.05)
    assert body.moment[k] == pytest.approx(-1.5 * up[k], rel=1e-9)  # the bearing stands 1-1/2 in. inside


def test_the_whole_load_is_on_both_bearings():
    """Snow of 23.1 psf (0.7 x 1.1 x 30, ASCE 7-16 7.3) on 48 ft x 16 ft, less what the slope takes off: by hand the greatest part of it."""
    found = truss(SAMPLE, "H3")
    solved = job_of().solve(found)
    bodies = [heel_body(found, solved.forces, j) for j in ("L0", "L6")]
    dead, balanced = (bodies[0].combinations.index(n) for n in ("D", "D + S balanced"))
    snow = sum(float(b.reaction[1][balanced] - b.reaction[1][dead]) for b in bodies)
    assert snow == pytest.approx(23.1 * 48 * 16, rel=0.02)


# ------------------------------------------------------------------ what was surveyed is checked, what was not is told


def of_heel(found: Truss) -> dict[str, float]:
    solved = job_of().solve(found)
    (place,) = solved.check(["heel L0"])
    return {r.check: r for r in place.results if r.ratio != r.ratio or r.ratio > 0}


def test_the_seat_by_hand():
    """NDS 2018 3.10.2: F_c_perp 625 psi (Douglas Fir-Larch), C_b 1.0 over 6 in.; two plies of 3 in. on 10 in."""
    found = truss(SAMPLE, "H3")
    solved = job_of().solve(found)
    up = heel_body(found, solved.forces, "L0").reaction[1]
    (place,) = solved.check(["heel L0"])
    across = [r for r in place.results if r.check == "compression across the grain"]
    assert max(r.ratio for r in across) == pytest.approx(float(up.max()) / 60 / 625, rel=1e-6)


def test_a_short_seat_counts_its_bearing_area_factor():
    """NDS 2018 3.10.4: (4 + 3/8) / 4 for a seat of 4 in. that is 3 in. or more from the chord's end."""
    found = tannery(seat=4.0)
    solved = job_of().solve(found)
    up = heel_body(found, solved.forces, "L0").reaction[1]
    (place,) = solved.check(["heel L0"])
    across = [r for r in place.results if r.check == "compression across the grain"]
    assert max(r.ratio for r in across) == pytest.approx(float(up.max()) / 24 / (625 * 4.375 / 4), rel=1e-6)


def test_the_old_plate_and_welds_by_hand():
    """AISC 360-16 F11.1 and J2.4: M = thrust / 2 x 3 in. / 2 on a strip 2 in. high, 1-1/2 in. thick, 33 ksi; 12 in. of 5/16 in. fillet, E60."""
    found = truss(SAMPLE, "H3")
    solved = job_of().solve(found)
    thrust = float(heel_body(found, solved.forces, "L0").thrust.max())
    (place,) = solved.check(["heel L0"])
    bent = max(r.ratio for r in place.results if r.check == "plate bent flat")
    assert bent == pytest.approx(thrust / 2 * 1.5 / (33000 * 2 * 1.5**2 / 4 / 1.67), rel=1e-6)
    weld = max(r.ratio for r in place.results if r.check == "fillet weld")
    metal, beside = 0.6 * 60000 * 12 * 0.3125 / math.sqrt(2) / 2.0, 0.6 * 33000 * 12 * 0.5 / 2.0
    assert weld == pytest.approx(thrust / 2 / min(metal, beside), rel=1e-4)


@pytest.mark.parametrize(("missing", "check"), [
    ({"plate": 0.0}, "plate of the shoe"), ({"weld": 0.0, "leg": 0.0}, "welds of the shoe"), ({"seat": 0.0}, "seat of the truss"),
    ({"bears": 0.0}, "what the truss lies on"), ({"F_y": 0.0}, "welds of the shoe"),
])  # fmt: skip
def test_what_was_not_surveyed_cannot_be_checked(missing, check):
    (place,) = job_of().solve(tannery(**missing)).check(["heel L0"])
    told = next(r for r in place.results if r.check == check)
    assert told.state is State.CANNOT_BE_CHECKED
    assert told.missing.startswith("not surveyed")


def test_a_truss_without_surveyed_heels_says_nothing_of_them():
    assert not job_of().solve(replace(truss(SAMPLE, "H3"), heels=())).check(["heel L0"])


def decayed(chord: str, at: float, length: float, factor: float) -> Truss:
    found = truss(SAMPLE, "H3")
    return replace(found, damage=(Damage("decay", chord, "", at, length, "D1", factor, "probed"),))


def test_decay_at_the_end_grain_takes_its_part_of_the_bearing():
    sound = job_of().solve(truss(SAMPLE, "H3")).check(["top chord L0-U1 at L0"])[0].worst
    soft = job_of().solve(decayed("top chord", 24.0, 4.0, 0.5)).check(["top chord L0-U1 at L0"])[0].worst
    assert soft.ratio == pytest.approx(2 * sound.ratio, rel=1e-3)


def test_decay_about_the_bolts_of_the_bottom_chord_takes_its_part_of_them():
    name = "bottom chord L0-L1 at L0"
    sound = job_of().solve(truss(SAMPLE, "H3")).check([name])[0].worst
    soft = job_of().solve(decayed("bottom chord", 2.0, 6.0, 0.5)).check([name])[0].worst
    assert soft.ratio == pytest.approx(2 * sound.ratio, rel=0.02)


# ------------------------------------------------------------------ the new heel


def test_both_heels_are_made_anew_and_everything_passes(one):
    assert {i.key for i in one.interventions} == {LEFT, RIGHT}
    assert passes(one)
    assert one.before.as_found.worst[1].ratio > 1.1
    assert "end bearing" in one.interventions[0].because


def test_the_end_grain_bears_all_over(one):
    bearing = next(b for b in one.truss.bearings if b.joint == "L0")
    assert (bearing.width, bearing.height) == (6.0, 11.25)
    place = next(q for q in one.after.places if q.name == "top chord L0-U1 at L0")
    assert place.worst.ratio < 0.35


def test_the_new_shoe_by_hand(one, left):
    """AISC 360-16 F11.1, J2.4, J3.6 with the thrust of the structure as repaired: plate, fillet and bolts of the shoe."""
    body = heel_body(one.truss, one.after.forces, "L0")
    thrust, k = float(body.thrust.max()), int(body.thrust.argmax())
    f = one.after.forces.members["L0-U1"]
    off = abs(float(np.interp(30.0, f.station, f.moment[k]) / np.interp(30.0, f.station, f.axial[k])))  # of the thrust, on the end grain
    edge = 1 + 6 * off / 11.25
    own = {}
    for r in left.results:
        own.setdefault((r.where, r.check), []).append(r)
    plate, flange = left.part("shoe-plate").as_cut, left.part("flange-near")
    bent = max(r.capacity for r in own["plate behind the end grain, heel L0", "plate bent flat"])
    assert bent == pytest.approx(36000 * 11.25 * plate.thickness**2 / 4 / 1.67, rel=1e-6)
    demand = max(r.demand for r in own["plate behind the end grain, heel L0", "plate bent flat"])
    assert off < 11.25 / 6
    assert demand == pytest.approx(thrust * edge / 2 * 3.0 / 2, rel=0.01)
    leg = left.welds[0].size
    weld = max(r.capacity for r in own["fillet of a flange, heel L0", "fillet weld"])
    length = 11.25 - 2 * leg
    thin = min(plate.thickness, flange.thickness)
    assert weld == pytest.approx(min(0.6 * 70000 * leg / math.sqrt(2) * length, 0.6 * 36000 * thin * length * 2.0 / 1.5) / 2.0, rel=1e-4)
    bolts = [b for b in left.bolts if b.group == "B2"]
    shear = max(r.capacity for r in own["bolts of the shoe, heel L0", "bolts of the bracket in shear"])
    assert shear == pytest.approx(27000 * math.pi * bolts[0].diameter**2 / 4 / 2.0, rel=1e-6)
    each = max(r.demand for r in own["bolts of the shoe, heel L0", "bolts of the bracket in shear"])
    reach = math.dist((bolts[0].x, bolts[0].y), (bolts[1].x, bolts[1].y)) / 2
    assert len(bolts) == 2
    assert each == pytest.approx(thrust / 2 / 2 * (1 + off / reach), rel=0.01)


def test_the_bolts_of_the_shoe_stand_on_the_thrust(left):
    """Their middle is on the top chord's axis, so that the thrust does not turn the shoe."""
    mine = [(b.x, b.y) for b in left.bolts if b.group == "B2"]
    x, y = (sum(q[k] for q in mine) / len(mine) for k in (0, 1))
    slope = heel_body(truss(SAMPLE, "H3"), job_of().solve(truss(SAMPLE, "H3")).forces, "L0").slope
    assert y == pytest.approx(x * math.tan(slope), abs=1e-3)


def test_no_bolt_stands_in_an_old_hole(left):
    old = [(4.0 * k, 0.0) for k in range(1, 9)]
    mine = [b for b in left.bolts if b.group == "B1"]
    for b in mine:
        off = p.FROM_OLD * (b.diameter + 0.75) / 2 - 1e-3
        assert all(abs(b.x - x) >= off or abs(b.y - y) >= off for x, y in old)
    assert len(left.zones) == 8


def test_old_holes_stay_in_the_section(one):
    new = next(c for c in one.truss.connections if (c.member, c.joint) == ("bottom chord", "L0"))
    assert new.new
    assert [len(b.positions) for b in new.idle] == [8]


def test_both_heels_share_their_marks(one):
    """One heel is the other's mirror image: plates are turned over, none has a mark of its own."""
    marks, _ = register(one.details, {})
    steel = {m.mark: m.quantity for m in marks if m.part.material == "steel"}
    assert sorted(steel.values()) == [2, 2, 4, 4]


def test_a_plate_that_stands_is_cut_as_it_lies(left):
    sole = left.part("sole")
    cut = sole.as_cut
    xs, ys = [v.x for v in cut.outline], [v.y for v in cut.outline]
    box = {round(max(xs) - min(xs), 6), round(max(ys) - min(ys), 6)}
    assert sole.stands
    assert not cut.stands
    assert box == {10.0, sole.thickness}
    assert cut.weight == pytest.approx(sole.weight)
    assert signature(cut) == signature(replace(cut, outline=tuple(replace(v, x=v.x + 3) for v in cut.outline)))


def test_sheet_and_fit(one):
    package = packing.package_of(project(SAMPLE), (replace(one, status={d.key: "PROPOSED" for d in one.details}),),
                                 register(one.details, {})[0], ("a", "b", "c"), ())  # fmt: skip
    assert all(r.state is State.PASSES for d in one.details for r in check_detail(d))
    assert all(fits(r) for r in package_fit(package).values())


def test_in_millimetres_it_goes_together_too():
    """The sizes of the other system's stock and grids."""
    job = replace(project(SAMPLE), units=SI)
    one = pipeline.repair_one(job, truss(SAMPLE, "H3"))
    assert passes(one)
    package = packing.package_of(job, (replace(one, status={d.key: "PROPOSED" for d in one.details}),),
                                 register(one.details, {})[0], ("a", "b", "c"), ())  # fmt: skip
    assert all(r.state is State.PASSES for d in one.details for r in check_detail(d))
    assert all(fits(r) for r in package_fit(package).values())


def test_stages_free_the_heel_before_it_is_taken_apart(one):
    work, _ = pipeline.stages_of(project(SAMPLE), one)
    titles = [line.title for line in work.lines]
    assert titles[:4] == ["as found", "shores snug for heel L0", "heel L0 free", "heel L0 made anew and let down"]
    free = next(line for line in work.lines if line.title == "heel L0 free")
    assert sum(free.shores) > 0
    assert all(line.ratio <= 1.0 for line in work.lines)
    assert sum(work.lines[-1].shores) == 0.0
    assert work.difference < 1e-3  # let down it carries what it would carry had it been built so


def test_the_jacks_take_what_the_heel_carried(one):
    """Lever arms about the other bearing: the jacks' forces times their distances are the dead reaction times the span."""
    work, _ = pipeline.stages_of(project(SAMPLE), one)
    free = next(line for line in work.lines if line.title == "heel L0 free")
    dead = float(heel_body(truss(SAMPLE, "H3"), one.before.as_found.forces, "L0").reaction[1][0])
    x = [s.x for s in work.shores]
    lever = 576 - 2 * 1.5  # between the bearing points
    assert sum(f * (576 - 1.5 - at) for f, at in zip(free.shores, x, strict=True)) == pytest.approx(dead * lever, rel=0.005)


# ------------------------------------------------------------------ other heels (each bound: test_bounds_heel.py)


def works(found: Truss, side: float) -> tuple[Job, object, Solved, Shoe]:
    job = job_of()
    solved = job.solve(found)
    corner = corner_of(found, solved, "L0")
    shoe = shoe_for(job, job.steel, found, corner, side)
    assert isinstance(shoe, Shoe), shoe
    return job, corner, solved, shoe


def shallow(depth: float) -> Truss:
    found = truss(SAMPLE, "H3")
    members = tuple(
        replace(m, plies=tuple(replace(q, depth=depth) for q in m.plies)) if m.kind == "bottom chord" else m for m in found.members
    )
    return replace(found, members=members, tributary_width=found.tributary_width / 3)


def heavier(times: float) -> Truss:
    found = truss(SAMPLE, "H3")
    return replace(found, tributary_width=found.tributary_width * times)


def test_the_plate_grows_with_the_thrust():
    thin, thick = works(heavier(0.6), 0.5)[3], works(heavier(2.2), 0.625)[3]
    assert thin.plate < thick.plate <= max(stocked("US"))
    assert thin.leg == min(p.LEGS["US"])


def test_decay_is_cut_off_the_top_chord():
    """A foot beyond what was found the end grain counts as sound (ours); the member is then whole again."""
    found = decayed("top chord", 20.5, 3.0, 0.4)
    found = replace(found, heels=tuple(replace(h, set_back=24.0) for h in found.heels))
    repair = answer(found)
    assert isinstance(repair, Repair), repair.reason
    heel = repair.truss.heel("L0")
    assert heel.set_back > 24.0
    assert repair.truss.damage == ()
    cut = next(q for q in repair.detail.parts if q.key == "ply-top-chord-near")
    assert min(v.x for v in cut.outline) == pytest.approx(heel.set_back)


def test_uneven_pressure_by_hand():
    """Mechanics: 1 + 6 e / h inside the middle third, 2 N over three times what is left outside of it, none beyond the edge."""
    got = uneven(np.array([0.0, 1.0, 2.0, 4.0, 7.0]), 12.0)
    assert got[:4] == pytest.approx([1.0, 1.5, 2.0, 2 * 12 / (3 * 2)])
    assert got[4] > 1e6


def curved() -> Truss:
    return replace(truss(SAMPLE, "H3"), curved=True)


def test_a_curved_chord_closes_and_is_laid_out_on_its_tangent():
    """The end grain is square to the arc where it is; the free body goes by the straight piece that the analysis has there."""
    found = curved()
    solved = job_of().solve(found)
    body = heel_body(found, solved.forces, "L0")
    assert np.abs(body.rest).max() < 1e-3 * body.reaction[1].max()
    repair = answer(found)
    assert isinstance(repair, Repair), repair.reason
    shoe = repair.detail.part("shoe-plate")
    arc = found.arc
    out = math.atan2(shoe.placement.y - arc.centre_y, shoe.placement.x - arc.centre_x)  # from the arc's centre to the middle of the end grain
    assert math.dist((shoe.placement.x, shoe.placement.y), (arc.centre_x, arc.centre_y)) == pytest.approx(arc.radius, abs=1e-3)
    assert math.remainder(shoe.placement.angle - out, math.pi) == pytest.approx(0.0, abs=1e-6)
    along = arc.radius * (math.atan2(-arc.centre_y, -arc.centre_x) - out)
    assert along == pytest.approx(30.0, abs=1e-3)


def test_sheets_of_a_curved_chord_pass():
    one = pipeline.repair_one(project(SAMPLE), curved())
    assert passes(one)
    assert all(r.state is State.PASSES for d in one.details for r in check_detail(d))
    package = packing.package_of(project(SAMPLE), (replace(one, status={d.key: "PROPOSED" for d in one.details}),),
                                 register(one.details, {})[0], ("a", "b", "c"), ())  # fmt: skip
    assert all(fits(r) for r in package_fit(package).values())


# ------------------------------------------------------------------ refusals


def test_a_heel_that_was_not_surveyed():
    assert "enter 'set back' of the top chord's end" in reason(replace(truss(SAMPLE, "H3"), heels=()))


def test_a_seat_whose_strength_nobody_knows():
    assert "what the seat 'carries'" in reason(tannery(bears=0.0))


def test_a_weak_seat_is_told_with_its_number():
    assert "what the truss lies on" in reason(tannery(bears=60.0))


def test_plies_out_of_line():
    found = truss(SAMPLE, "H3")
    members = tuple(replace(m, plies=tuple(replace(q, z=1.1 * q.z) for q in m.plies)) if m.kind == "top chord" else m for m in found.members)
    assert "packing, which is not offered" in reason(replace(found, members=members))


def test_decay_of_the_bottom_chord_leaves_no_sound_wood_for_bolts():
    assert "no pattern of bolts" in reason(decayed("bottom chord", 4.0, 12.0, 0.3))


def test_a_thrust_that_no_shoe_bears():
    told = reason(heavier(6.0))
    assert "no new heel fits" in told
    assert "Thrust of the top chord" in told


def test_it_can_be_forbidden():
    found = replace(truss(SAMPLE, "H3"), overrides=(Override(choose.FORBID, "heel", "a test"),))
    one = pipeline.repair_one(project(SAMPLE), found)
    assert not one.interventions
    assert one.after.worst[1].ratio > 1.0


def test_a_heel_with_weak_old_bolts_is_made_anew():
    """Old bolts that do not hold the pull: three are left."""
    found = truss(SAMPLE, "H3")
    connections = tuple(
        replace(c, bolts=replace(c.bolts, positions=c.bolts.positions[:3])) if c.member == "bottom chord" else c for c in found.connections
    )
    repair = answer(replace(found, connections=connections))
    assert isinstance(repair, Repair)
    assert "bottom chord L0-L1 at L0" in repair.site.because


def test_the_survey_keeps_what_it_says():
    assert truss(SAMPLE, "H3").heel("L0") == Heel("L0", 30.0, 1.5, 0.3125, 12.0, 33000.0, 10.0, 300.0, "brick pilaster")


def test_a_part_that_lies_flat_is_as_it_is(left):
    flat: Part = left.part("side-near")
    assert flat.as_cut is flat
