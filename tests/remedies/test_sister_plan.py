"""The web's sister on the sample whose webs are too slender: choice, consequences, refusals, and the joint as it is drawn."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from sample_trusses import SLENDER, US_SAMPLE, passes, project, truss

from detailgen import packing, pipeline
from detailgen.analysis.build import build_frame
from detailgen.analysis.stepped import stepped_factor
from detailgen.assessment.members import grade_of
from detailgen.assessment.sections import hole_groups
from detailgen.assessment.sistered import OFFSET_TENSION, ONE_PIECE, as_one_piece
from detailgen.checker.check import check_detail
from detailgen.checker.fit import fits, package_fit
from detailgen.core.result import State
from detailgen.model.marks import register
from detailgen.model.member import Damage, NoDrillZone
from detailgen.model.project import Access, Override, Truss
from detailgen.remedies import choose
from detailgen.remedies.sister import parameters as p
from detailgen.remedies.sister.room import free_length
from detailgen.standards.interface import Demands, MemberRequest
from detailgen.standards.nds_2018 import STANDARD as NDS


def boathouse() -> Truss:
    return truss(SLENDER, "C")


def repaired(changed: Truss | None = None, **items: str):
    overrides = tuple(Override(item.replace("_", " "), value, "a test") for item, value in items.items())
    return pipeline.repair_one(project(SLENDER), replace(changed or boathouse(), overrides=overrides))


def with_webs(**changes) -> Truss:
    """The boathouse with other timber in all its webs."""
    found = boathouse()
    return replace(found, members=tuple(replace(m, plies=(replace(m.plies[0], **changes),)) if m.kind == "web" else m for m in found.members))


@pytest.fixture(scope="module")
def one():
    return repaired()


def test_the_slender_webs_get_a_sister_and_everything_passes(one) -> None:
    assert [i.key for i in one.interventions] == ["C-sister-U3-L3", "C-sister-L3-U4"]
    assert one.before.as_found.worst[1].ratio > 1.2
    assert passes(one)
    assert 0.80 <= one.after.worst[1].ratio <= 1.0
    assert not one.assumptions  # settled


def test_the_reason_the_rival_and_the_other_way_are_told_with_numbers(one) -> None:
    told = one.interventions[0]
    assert "2,190 lb" in told.because
    assert "1.49" in told.because
    other, brace = told.runners_up
    assert other.startswith("on both sides: 2 of ")
    # common practice: a brace holds 2 % of the force that it braces, 0.02 x 2,190 lb
    assert "must hold 40 lb" in brace
    assert "anchored bay that the engineer designs" in brace


def test_consequences_are_in_the_structure(one) -> None:
    sister = one.truss.sisters[0]
    # weight by hand: 2-1/2 x 5-1/2 x 77 in. at 35 pcf; seven bolts of 0.31 lb shank, 0.12 lb head and nut, 0.04 lb washers
    assert sister.weight == pytest.approx(2.5 * 5.5 * 77 * 35 / 1728 + 7 * 0.47, rel=0.01)
    job = pipeline.known_standards()[0]["nds_2018"]

    def modulus(wood, thickness, depth):
        return job.stiffness(grade_of(wood), thickness, depth).E

    models = [build_frame(t, modulus, damaged=True) for t in (one.before.truss, one.truss)]
    weights = [float((m.added_weight * m.length).sum()) for m in models]
    assert weights[0] == 0.0
    assert weights[1] == pytest.approx(sum(s.weight for s in one.truss.sisters), rel=1e-3)  # the truss has sagged, its webs are a little longer
    stitched = [g for g in hole_groups(one.truss, models[1]) if not g.hung]
    assert {g.member for g in stitched} == {"U3-L3", "L3-U4"}
    assert all(h.diameter == 0.5 + 1 / 16 for g in stitched for h in g.holes)  # wood hole D + 1/16 (NDS 12.1.3.2)
    assert [len(g.holes) for g in stitched] == [7, 7]


def test_holes_of_the_sister_weaken_the_web_all_along_it() -> None:
    """With wide bolts in thin old webs the middle is weaker than the ends, and the checks know: net area of NDS 3.1.2."""
    large = repaired(sister_bolt_diameter="1 in")
    place = next(x for x in large.after.places if x.name == "web U3-L3")
    net = next(r for r in place.results if r.check == "tension on net section" and r.where == "web U3-L3")
    axial = large.after.forces.members["U3-L3"].axial[[c.name for c in large.after.forces.combinations].index(net.combination)]
    assert net.demand == pytest.approx(float(axial.max()) / (2 * (5.75 - 17 / 16)), rel=1e-6)


def test_buckling_of_the_web_by_hand(one) -> None:
    """NDS 2018, 3.7.1 with the effective length of the stepped column: web 2 x 5-3/4, sister 2-1/2 x 5-1/2 of No.2, slipping freely."""
    sister = one.truss.sisters[0]
    length = math.dist(one.truss.joints["U3"], one.truss.joints["L3"])
    woods = [one.truss.member("U3-L3").plies[0].wood, sister.wood]
    E_web, E_own = (NDS.stiffness(grade_of(w), t, 5.5).E for w, t in zip(woods, (2.0, 2.5), strict=True))
    added = (E_own * 5.5 * 2.5**3) / (E_web * 5.75 * 2.0**3)
    effective = length * stepped_factor(max(sister.start, length - sister.end) / length, 1 + added)
    place = next(x for x in one.after.places if x.name == "web U3-L3")
    slender = next(r for r in place.results if r.check == "slenderness" and r.where == "web U3-L3")
    assert slender.demand == pytest.approx(effective / 2.0, rel=1e-3)  # the truss has sagged: the web is a little longer
    told = next(r for r in one.details[0].results if r.check == "effective length out of the truss")  # the same, with its steps
    assert told.demand == pytest.approx(effective, rel=1e-9)
    assert [s.symbol for s in told.steps][-1] == "l_e"
    assert slender.demand < 0.65 * length / 2.0  # the sister is worth something
    assert effective > length / math.sqrt(1 + added)  # but not what it would be if it ran from joint to joint


def test_one_side_is_judged_as_one_piece_too(one) -> None:
    """Force at the old piece's axis, moment = force times shift of the middle; NDS 15.4-1 with e on the wide face's thickness."""
    place = next(x for x in one.after.places if x.name == "web U3-L3")
    whole = [r for r in place.results if ONE_PIECE in r.where]
    assert {r.check for r in whole} >= {"compression with buckling", "compression and bending", OFFSET_TENSION}
    assert {r.where.rpartition("(")[2] for r in whole} == {"Douglas Fir-Larch No.1)", "Douglas Fir-Larch No.2)"}  # the weaker wood is not guessed
    bent = next(r for r in whole if r.check == "compression and bending")
    steps = {s.symbol: s.value for s in bent.steps}
    assert steps["f_c"] * 4.5 * 5.5 == pytest.approx(-min(one.after.forces.members["U3-L3"].axial[
        [c.name for c in one.after.forces.combinations].index(bent.combination)]), rel=0.02)  # fmt: skip
    terms = {t.symbol: t.value for s in bent.steps for t in s.terms}
    assert terms["e_2"] == pytest.approx(0.25 + 1.25)  # surveyed bow and half of the sister
    both = repaired(sister_sides="both")
    assert passes(both)
    assert not [r for x in both.after.places for r in x.results if ONE_PIECE in r.where]  # balanced: no shift


def test_what_the_bolts_bring_over_by_strips(one) -> None:
    """The force in the sister if both act as one piece, summed over 4,000 strips of a plane strain instead of by A, I and the shift of the middle."""
    sister, name = one.truss.sisters[0], "U3-L3"
    length = math.dist(one.truss.joints["U3"], one.truss.joints["L3"])
    E_web, E_own = (NDS.stiffness(grade_of(w), t, d).E for w, t, d in ((one.truss.member(name).plies[0].wood, 2.0, 5.75), (sister.wood, 2.5, 5.5)))
    z = (np.arange(4000) + 0.5) / 4000 * 4.5 - 1.0  # from the web's axis; the sister from 1.0 to 3.5
    stiff = np.where(z < 1.0, E_web * 5.75, E_own * 5.5) * 4.5 / 4000
    middle = float((stiff * z).sum() / stiff.sum())
    EI = float((stiff * (z - middle) ** 2).sum())
    bare = E_web * 5.75 * 2.0**3 / 12
    factor = stepped_factor(max(sister.start, length - sister.end) / length, EI / bare)
    result = max((r for r in one.details[0].results if r.check == "bolts"), key=lambda r: r.demand)
    axial = one.after.forces.members[name].axial[[c.name for c in one.after.forces.combinations].index(result.combination)]
    P = -float(axial.min())
    buckles = math.pi**2 * bare / 3 / (factor * length) ** 2
    M = P * (0.25 + max(middle, 1.25)) / (1 - P / buckles)
    strain = P / stiff.sum() + M * (z - middle) / EI
    assert result.demand == pytest.approx(float((stiff * strain)[z > 1.0].sum()), rel=2e-3)


def test_a_pull_off_the_middle_by_hand() -> None:
    """Middle third rule (any text on strength of materials): P/A (1 + 6 e/T); 1,000 lb, web 2 x 5-1/2, sister 1-1/2: e = 0.75, T = 3.5."""
    wood = grade_of(boathouse().member("U3-L3").plies[0].wood)
    one_point = np.array([1000.0])
    request = MemberRequest(
        where="web", wood=wood, thickness=2.0, depth=5.5,
        demands=Demands(one_point, np.zeros(1), np.zeros(1), np.zeros(1), np.zeros(1, dtype=np.int64), ("D",), ("permanent",)),
        net_area=np.array([11.0]), net_modulus=np.array([2 * 5.5**2 / 6]), condition=np.ones(1), length_in_plane=80.0, length_out_of_plane=80.0,
        unbraced_bending=80.0, zero_moment_length=80.0,
    )  # fmt: skip
    sister = repaired().truss.sisters[0]
    sister = replace(sister, thickness=1.5, depth=5.5, start=8.0, end=72.0)
    off = next(r for r in as_one_piece(sister, request, wood, NDS) if r.check == OFFSET_TENSION)
    assert off.demand == pytest.approx(1000 / (3.5 * 5.5) * (1 + 6 * 0.75 / 3.5), rel=1e-6)


def test_the_joint_is_whole_and_the_checker_passes_it(one) -> None:
    for detail in one.details:
        assert all(r.state is State.PASSES for r in check_detail(detail))
        web, sister = detail.parts[0], detail.part("sister-near")
        assert web.existing
        assert sister.placement.z == pytest.approx(web.placement.z + web.thickness)  # face on face
        assert {h.template for h in web.holes} == {"sister-near"}
        assert {h.template for h in sister.holes} == {""}
        in_web = {(round(h.x, 6), h.y) for h in web.holes}
        assert in_web == {(round(h.x + sister.placement.x, 6), h.y) for h in sister.holes} == {(b.x, b.y) for b in detail.bolts}
        for x in (sister.placement.x, *(h.x for h in sister.holes)):
            assert round(x * 16, 6) == round(x * 16)  # on the shop's grid
        assert len(detail.order) == len(detail.brings)
        for why in detail.whys:
            kept = why.provided <= why.required if "at most" in why.rule else why.provided >= why.required - 1e-6
            assert kept, why
    marks, _ = register(one.details, {})
    assert [(m.mark, m.quantity) for m in marks] == [("WS-1", 2)]  # the webs mirror each other, their sisters are one part


def test_a_moved_hole_and_a_short_end_are_found(one) -> None:
    detail = one.details[0]
    sister = detail.part("sister-near")
    short = replace(sister, outline=tuple(replace(v, x=min(v.x, sister.holes[-1].x + 1.5)) for v in sister.outline))
    found = check_detail(replace(detail, parts=tuple(short if x is sister else x for x in detail.parts)))
    assert any(r.state is State.DOES_NOT_PASS and "end distance" in r.check for r in found)


def test_it_goes_together_on_site(one) -> None:
    settled = replace(one, status=packing.statuses(one, ()))
    marks, _ = register(one.details, {})
    package = packing.package_of(project(SLENDER), (settled,), marks, ("", "", ""), ())
    found = package_fit(package)
    assert set(found) == {d.key for d in one.details}
    assert all(fits(results) for results in found.values())


def test_a_broken_chord_and_slender_webs_on_one_truss() -> None:
    broken = replace(boathouse(), damage=(*boathouse().damage, Damage("break", "bottom chord", "near", 328.0, 3.0, "B9", 0.0, "")))
    both = repaired(broken)
    assert {i.remedy for i in both.interventions} == {"splice", "sister"}
    assert len(both.interventions) == 3
    assert passes(both)
    assert both.truss.splices
    assert len(both.truss.sisters) == 2


def test_damage_made_good_may_be_enough_for_a_web() -> None:
    """A chord broken in T2 of the other sample: whatever fails as found, spliced no web asks for a sister."""
    spliced = pipeline.repair_one(project(US_SAMPLE), truss(US_SAMPLE, "T2"))
    assert {i.remedy for i in spliced.interventions} == {"splice"}


def test_without_the_remedy_the_tool_says_what_stays_failing(monkeypatch) -> None:
    known = choose.all_remedies()
    monkeypatch.setattr(choose, "all_remedies", lambda: {k: r for k, r in known.items() if k != "sister"})
    bare = repaired()
    assert not bare.interventions
    assert bare.after.worst[1].ratio > 1.4


# An accepted example at each bound of the parameters.


@pytest.mark.parametrize("diameter", [p.DIAMETERS[0], p.DIAMETERS[-1]])
@pytest.mark.parametrize("sides", list(p.SIDES))
def test_bounds_of_bolts_and_sides(diameter: float, sides: str) -> None:
    found = repaired(sister_bolt_diameter=f"{diameter} in", sister_sides=sides)
    assert passes(found)
    for detail in found.details:
        assert {b.diameter for b in detail.bolts} == {diameter}
        assert len([x for x in detail.parts if x.kind == "sister"]) == len(p.SIDES[sides])


@pytest.mark.parametrize(("thickness", "depth", "rows"), [(2.0, 5.75, 1), (1.5, 5.75, 2), (1.5, 7.5, 2), (2.5, 3.5, 1)])
def test_one_row_and_two(thickness: float, depth: float, rows: int) -> None:
    """NDS 2018 15.3.4 (from memory): two rows where the timber is deeper than three times the thinnest."""
    found = repaired(with_webs(thickness=thickness, depth=depth))
    for detail in found.details:
        group, thinnest = detail.groups[0], min(x.thickness for x in detail.parts)
        assert group.rows == rows
        assert group.spacing <= 6 * thinnest + 1e-9
        assert all(r.state is State.PASSES for r in check_detail(detail))
    assert found.details or thickness == 2.5


# Refusals, each with its numbers.


def refused(changed: Truss | None = None, **items: str) -> str:
    found = repaired(changed, **items)
    assert not found.interventions
    return " ".join(r.reason for r in found.refusals)


def test_refusals_say_why() -> None:
    assert "allowed: one, both" in refused(sister_sides="three")
    assert "override 'sister bolt diameter'" in refused(sister_bolt_diameter="thick")
    found = boathouse()
    halves = tuple(
        replace(m, plies=tuple(replace(m.plies[0], name=n, thickness=1.0, z=z) for n, z in (("a", -0.5), ("b", 0.5)))) if m.name in ("U3-L3", "L3-U4")
        else m for m in found.members
    )  # fmt: skip
    assert "2 plies" in refused(replace(found, members=halves))
    zone = NoDrillZone("U3-L3", "old strap", 54.0, 0.0, 90.0, 5.75)
    other = repaired(replace(found, zones=(zone,)))
    assert [i.key for i in other.interventions] == ["C-sister-L3-U4"]
    assert "no-drill zone" in other.refusals[0].reason
    assert "a brace line at mid-length" in other.refusals[0].reason


def test_nothing_is_enough_says_the_nearest() -> None:
    hopeless = with_webs(thickness=1.0)
    found = repaired(hopeless)
    reasons = [r.reason for r in found.refusals]
    assert reasons
    assert any("The nearest" in r and "stands at" in r for r in reasons)


def test_a_piece_that_does_not_get_to_the_truss() -> None:
    tight = replace(project(SLENDER), access=Access(longest=60.0))
    found = pipeline.repair_one(tight, boathouse())
    of_sisters = [r.reason for r in found.refusals if r.remedy == "sister"]
    assert len(of_sisters) == 2
    assert all("no piece over 5'-0\" gets to the truss" in reason for reason in of_sisters)


def test_the_free_length_by_hand() -> None:
    """U3-L3 runs from (240, y) to (288, 0); at L3 the chord is 11-1/2 in. deep, and half of the web is 2-7/8 in."""
    found = boathouse()
    web = found.member("U3-L3")
    (x, y), (x0, y0) = found.joints["U3"], found.joints["L3"]
    slope = math.atan2(y - y0, x0 - x)
    reach = (11.5 / 2 + 2.875 * math.cos(slope)) / math.sin(slope)
    room = free_length(found, web)
    assert room.at_end == "the bottom chord at L3"
    assert room.length - room.end == pytest.approx(reach + 1.0)
    assert room.at_start == "the top chord at U3"


def test_a_vertical_web_has_room_between_level_chords() -> None:
    found = boathouse()
    joints = dict(found.joints) | {"U3": (found.joints["L3"][0], 80.0)}
    upright = replace(found, joints=joints)
    room = free_length(upright, upright.member("U3-L3"))
    assert room.length == pytest.approx(80.0)
    assert 0 < room.start < room.end < 80.0
