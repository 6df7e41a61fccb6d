"""A replacement piece of a chord's ply on the sample with decay at midspan: where it is cut, how it is joined, what is refused."""

from __future__ import annotations

import itertools
import math
import re
from dataclasses import replace

import numpy as np
import pytest
from sample_trusses import SHORT_END, US_SAMPLE, passes, project, truss

from detailgen import packing, pipeline
from detailgen.assessment.members import grade_of
from detailgen.checker.check import check_detail
from detailgen.checker.fit import fits, package_fit
from detailgen.core.result import State
from detailgen.model.detail import PUT_BACK
from detailgen.model.marks import register
from detailgen.model.member import Damage, NoDrillZone
from detailgen.model.project import Access, Override, Truss
from detailgen.outputs.schedules.fabrication import timber_order, timber_stock
from detailgen.remedies import choose
from detailgen.remedies.replacement import parameters as p
from detailgen.remedies.replacement import timber

KEY = "G5-replacement-near-24-0"


def malthouse() -> Truss:
    return truss(SHORT_END, "G5")


def harmed(kind: str = "decay", length: float = 18.0, factor: float = 0.2, ply: str = "near", at: float = 288.0) -> Truss:
    basis = "" if kind == "break" else "probed"
    return replace(malthouse(), damage=(Damage(kind, "bottom chord", ply, at, length, "D07", 0.0 if kind == "break" else factor, basis),))


def repaired(changed: Truss | None = None, access: Access | None = None):
    job = project(SHORT_END)
    return pipeline.repair_one(replace(job, access=access) if access is not None else job, changed or malthouse())


@pytest.fixture(scope="module")
def one():
    return repaired()


def piece_of(one):
    return next(d for d in one.details if d.remedy == "replacement")


def test_the_decayed_length_is_replaced_and_everything_passes(one) -> None:
    assert [i.key for i in one.interventions] == [KEY, "G5-web-end-U1-L1-L1"]
    assert one.before.as_found.worst[1].ratio > 1.2
    assert passes(one)
    assert 0.80 <= one.after.worst[1].ratio <= 1.0
    assert not one.assumptions  # settled
    assert not one.truss.damage
    told = one.interventions[0]
    assert "decay of the near ply of the bottom chord (photo D07) leaves it at 2.35" in told.because


def test_it_is_cut_in_sound_wood_and_the_sizes_add_up(one) -> None:
    detail = piece_of(one)
    piece = detail.part("piece")
    (x1, x2) = sorted(s.x for s in one.truss.splices if s.new)
    assert x1 <= 288.0 - 9.0 - p.SOUND["decay"] + 0.5
    assert x2 >= 288.0 + 9.0 + p.SOUND["decay"] - 0.5
    assert max(v.x for v in piece.outline) - min(v.x for v in piece.outline) == pytest.approx(x2 - x1)
    assert detail.station == pytest.approx((x1 + x2) / 2)
    ply = one.truss.member("bottom chord").plies[-1]
    assert (piece.thickness, max(v.y for v in piece.outline) * 2) == (ply.thickness, ply.depth)
    assert piece.weight == pytest.approx((x2 - x1) * ply.thickness * ply.depth * 35 / 1728, rel=0.01)  # 35 pcf, a few holes less
    left, right = detail.part("ply-near-left"), detail.part("ply-near-right")
    assert max(v.x for v in left.outline) == pytest.approx(x1 - detail.station)
    assert min(v.x for v in right.outline) == pytest.approx(x2 - detail.station)


def test_two_splices_of_one_ply_stand_in_the_structure(one) -> None:
    """Each develops half of the ply's net tension; the model carries the slip of both."""
    new = [s for s in one.truss.splices if s.new]
    assert [s.ply for s in new] == ["near", "near"]
    assert all(s.slip > 0 and s.weight > 0 and s.gap == 0 for s in new)
    developed = [r for r in piece_of(one).results if r.check.startswith("develops 50 %")]
    assert len(developed) >= 2
    assert all(r.ratio <= 1.0 for r in developed)


def test_the_joint_is_whole_and_the_checker_passes_it(one) -> None:
    detail = piece_of(one)
    assert all(r.state is State.PASSES for r in check_detail(detail))
    places = {(round(b.x, 5), round(b.y, 5)) for b in detail.bolts}
    through = {(round(h.x, 5), round(h.y, 5)) for h in detail.part("ply-far").holes}
    assert through == places
    drilled = [h for k in ("piece", "ply-near-left", "ply-near-right") for h in detail.part(k).holes if h.bolt != PUT_BACK]
    assert {(round(h.x, 5), round(h.y, 5)) for h in drilled} == places
    assert len(detail.order) == len(detail.brings)
    assert [m.mark for m in register([detail], {})[0]] == ["FB-1", "RP-1", "PL-1"] or {m.mark for m in register([detail], {})[0]} == {
        "FB-1", "RP-1", "PL-1",
    }  # fmt: skip
    assert any("L3" in text for text in detail.notes)  # the webs' bolts between the cuts
    assert any("L3" in text for text in detail.order)


def put_back(detail) -> set[tuple[float, float, float]]:
    return {(round(h.x, 4), round(h.y, 4), h.diameter) for h in detail.part("piece").holes if h.bolt == PUT_BACK}


def test_the_webs_bolts_find_their_holes_in_the_new_piece(one) -> None:
    """By hand from the survey: one bolt up the upright (1-1/2 in. over the chord's axis), two along each diagonal, 1-1/2 in. to both sides."""
    detail, found = piece_of(one), malthouse()
    x3, y3 = found.joints["L3"]
    expected = {(round(x3 - detail.station, 4), 1.5, 13 / 16)}
    for top in ("U2", "U4"):
        (x, y), size = found.joints[top], math.dist(found.joints[top], (x3, y3))
        expected |= {(round(x3 - detail.station + s * 1.5 * (x - x3) / size, 4), round(s * 1.5 * (y - y3) / size, 4), 13 / 16) for s in (1, -1)}
    assert put_back(detail) == expected
    assert {h.template for h in detail.part("piece").holes if h.bolt == PUT_BACK} == {"ply-far"}


def test_a_piece_without_them_does_not_go_together(one) -> None:
    detail = piece_of(one)
    piece = detail.part("piece")
    gone = next(h for h in piece.holes if h.bolt == PUT_BACK)

    def judged(holes):
        changed = replace(detail, parts=tuple(replace(q, holes=holes) if q is piece else q for q in detail.parts))
        settled = replace(one, details=(changed,), status=packing.statuses(one, ()))
        package = packing.package_of(project(SHORT_END), (settled,), register([changed], {})[0], ("", "", ""), ())
        return [r.check for r in package_fit(package)[changed.key] if r.state is not State.PASSES]

    assert judged(piece.holes) == []
    assert any("which is put back" in c for c in judged(tuple(h for h in piece.holes if h is not gone)))
    aside = tuple(replace(h, x=h.x + 0.5) if h is gone else h for h in piece.holes)
    assert any("no old bolt for the hole" in c for c in judged(aside))
    outside = tuple(replace(h, y=9.0) if h is gone else h for h in piece.holes)
    found = check_detail(replace(detail, parts=tuple(replace(q, holes=outside) if q is piece else q for q in detail.parts)))
    assert any("outside its part" in r.check for r in found)


def test_a_hole_too_near_the_end_of_the_piece_is_found(one) -> None:
    detail = piece_of(one)
    piece = detail.part("piece")
    half = max(v.x for v in piece.outline)
    short = replace(piece, outline=tuple(replace(v, x=max(v.x, -half + 4.0)) for v in piece.outline))
    found = check_detail(replace(detail, parts=tuple(short if q is piece else q for q in detail.parts)))
    assert any(r.state is State.DOES_NOT_PASS and "end distance" in r.check for r in found)


def test_it_goes_together_on_site(one) -> None:
    settled = replace(one, status=packing.statuses(one, ()))
    package = packing.package_of(project(SHORT_END), (settled,), register(one.details, {})[0], ("", "", ""), ())
    assert all(fits(results) for results in package_fit(package).values())


def test_sound_enough_is_left_alone() -> None:
    one = repaired(harmed(factor=0.95))
    assert not any(i.remedy == "replacement" for i in one.interventions)


def test_without_the_remedy_the_chord_stays_failing(monkeypatch) -> None:
    known = choose.all_remedies()
    monkeypatch.setattr(choose, "all_remedies", lambda: {k: r for k, r in known.items() if k != "replacement"})
    assert repaired().after.worst[1].ratio > 1.5


# An accepted example at each bound: every kind of damage, one ply and the other, damage that reaches the whole depth of both plies.


@pytest.mark.parametrize("kind", ["decay", "split", "check"])
def test_every_kind_of_damage(kind: str) -> None:
    one = repaired(harmed(kind))
    assert passes(one)
    clear = p.SOUND[kind]
    assert all(abs(s.x - 288.0) >= 9.0 + clear - 0.5 for s in one.truss.splices if s.new)


def test_the_far_ply() -> None:
    one = repaired(harmed(ply="far"))
    assert passes(one)
    assert {s.ply for s in one.truss.splices if s.new} == {"far"}


def test_both_plies_are_replaced_with_their_joints_apart() -> None:
    one = repaired(harmed("split", ply=""))
    details = [d for d in one.details if d.remedy == "replacement"]
    assert passes(one)
    assert len(details) == 2
    xs = sorted(s.x for s in one.truss.splices if s.new)
    assert len(xs) == 4
    assert min(b - a for a, b in itertools.pairwise(xs)) >= p.STAGGER  # no two joints of both plies at one place
    told = [i.parameters["joints of the plies"] for i in one.interventions if "joints of the plies" in i.parameters]
    assert told == ["2'-3\" apart at least"]


def test_a_break_that_no_splice_mends_gets_a_piece() -> None:
    """A break under the webs of L3, in wood too weak for one ply alone: the splice has no room there, the piece ends farther out."""
    found = harmed("break", length=6.0)
    chord = found.member("bottom chord")
    weak = replace(chord, plies=tuple(replace(q, wood=replace(q.wood, grade="No.2")) for q in chord.plies))
    one = repaired(replace(found, members=tuple(weak if m is chord else m for m in found.members)))
    assert {r.remedy for r in one.refusals} == {"splice"}
    assert "replacement" in {i.remedy for i in one.interventions}
    assert all(r.state is State.PASSES for _, r in one.after.results())


# Glued laminated timber: by name, or where no sawn timber of the size is on sale.


def asked_for(timber: str, changed: Truss | None = None):
    found = changed or malthouse()
    return repaired(replace(found, overrides=(Override("replacement timber", timber, "a test"),)))


@pytest.fixture(scope="module", params=[("glulam combination 2", 1.6e6), ("glulam combination 5", 2.0e6)], ids=["combination 2", "combination 5"])
def glued(request):
    timber, E = request.param
    return timber.removeprefix("glulam "), E, asked_for(timber)


def test_glulam_of_one_grade_by_name(glued) -> None:
    grade, _, one = glued
    assert passes(one)
    detail = piece_of(one)
    piece = detail.part("piece")
    assert piece.specification == f"Douglas Fir-Larch {grade}, dry"
    assert piece.timber.product == "glulam"
    assert piece.timber.camber == 0
    assert "not ripped" in piece.timber.made_of  # 2-1/2 in. is a width on sale
    assert dict(piece.facts)["product"] == "glulam"
    assert all(r.state is State.PASSES for r in check_detail(detail))


def test_the_share_of_old_and_new_is_that_of_E_A(glued) -> None:
    """By hand: panel L2-L3 from 16' to 24', the piece from 21'-3" on, both plies 2-1/2 x 11-1/4; old E 1.7e6 (No.1, table 4A), slip left out."""
    from detailgen.analysis.build import build_frame

    grade, E, one = glued
    modulus = {"No.1": 1.7e6, grade: E}
    stiff = replace(one.truss, splices=tuple(replace(s, slip=0.0) for s in one.truss.splices))
    model = build_frame(stiff, lambda wood, *_: modulus[wood.grade], damaged=True)
    (piece,) = one.truss.pieces
    assert piece.start == 255.0
    new = 288.0 - piece.start
    soft = (96.0 - new) / 1.7e6 + new / E
    near = 96.0 / soft
    share = {p.ply: p.axial_share for p in model.parts["L2-L3"]}
    assert share["near"] == pytest.approx(near / (near + 1.7e6))
    told = one.interventions[0].parameters["share of the chord by E A"]
    assert told.startswith(f"{100 * E / (E + 1.7e6):.0f} %, the ply had 50 %")


def test_old_and_new_wood_are_each_checked_where_they_are(glued) -> None:
    _, _, one = glued
    places = {x.name: x for x in one.after.places}
    wheres = {r.where for r in places["bottom chord L2-L3"].results}
    assert any("near (new piece" in w or "near, new piece" in w for w in wheres), wheres
    for place in (x for x in one.after.places if x.kind == "splice"):
        assert any("in the new piece" in r.where for r in place.results)
    pulled = [r for r in places["bottom chord L2-L3"].results if "new piece" in r.where and r.check == "tension on net section"]
    assert pulled
    old = [r for r in places["bottom chord L2-L3"].results if r.where.endswith("near") and r.check == "tension on net section"]
    assert max(r.ratio for r in pulled) < max(r.ratio for r in old)  # a third stronger at least: the tables' values


def test_a_splice_holds_in_both_woods(glued) -> None:
    """What joins a ply to glulam is worth the lesser of both: 3 x the shear of table 5B times C_vr 0.72 beside 180 psi of the ply."""
    from detailgen.remedies.splice import search, two_woods
    from detailgen.remedies.splice.parameters import ARRANGEMENTS
    from detailgen.standards.nds_2018 import STANDARD as WOOD

    _, _, one = glued
    ply = one.truss.member("bottom chord").plies[-1]
    (piece,) = one.truss.pieces
    demand = search.Demand(np.array([1000.0]), np.zeros(1), np.zeros(1), ("snow",), ("D + S",))
    q = search.Question(grade_of(ply.wood), ply.thickness, ply.depth, ARRANGEMENTS[0], 0.0, demand, 0.0, 40.0, 0.5)
    layout = search.grid(q).take(100)
    both = two_woods.weaker(q, layout, "snow", WOOD, piece.wood)
    alone = [WOOD.splice_values(search.as_splice(replace(q, wood=grade_of(w)), layout, "snow")).capacities for w in (ply.wood, piece.wood)]
    for name, value in both.capacities.items():
        if name != "net section at the bolts":
            assert value[0] == min(a[name][0] for a in alone), name


def test_a_piece_that_no_sawn_timber_gives_is_glued() -> None:
    """Over 20 ft nothing sawn is on sale: the lower combination is taken, and why is told; the order says what it is made of."""
    one = repaired(harmed("decay", length=108.0))
    assert passes(one)
    piece = piece_of(one).part("piece")
    assert max(v.x for v in piece.outline) * 2 > 240.0
    assert piece.specification == "Douglas Fir-Larch combination 2, dry"
    assert any(text.startswith("sawn Douglas Fir-Larch No.1: not on sale") for text in one.interventions[0].runners_up)
    sawn = asked_for("sawn", harmed("decay", length=108.0))
    assert piece_of(sawn).part("piece").timber.product == "sawn"
    settled = replace(one, status=packing.statuses(one, ()))
    package = packing.package_of(project(SHORT_END), (settled,), register(one.details, {})[0], ("", "", ""), ())
    order = timber_order(package)
    row = dict(zip(order.header, next(r for r in order.rows if r[-1].startswith("RP-")), strict=True))
    assert (row["product"], row["camber_in"], row["quantity"]) == ("glulam", 0.0, 1)
    assert row["made_of"] == piece.timber.made_of
    assert not [r for r in timber_stock(package).rows if "RP-" in r[5]]  # made to its length


@pytest.mark.parametrize(
    ("thickness", "words"),
    [(2.5, "a stock width of the maker's"), (2.625, 'stock width 3 1/8", planed to 2 5/8"'), (12.0, "no stock width is known")],
)
def test_stock_width_planed_or_unknown(thickness: float, words: str) -> None:
    ply = malthouse().member("bottom chord").plies[0]
    wood = replace(ply.wood, product="glulam", grade="combination 2")
    made = timber.ordered(replace(ply, thickness=thickness), wood, project(SHORT_END).units)
    assert words in made.made_of
    assert ("ripped only from a layup graded for that" in made.made_of) is (thickness == 2.625)
    assert "graded again" in timber.ordered(ply, ply.wood, project(SHORT_END).units).made_of


def test_a_timber_that_no_table_has_is_told_with_what_there_is() -> None:
    reasons = [r.reason for r in asked_for("glulam combination 9").refusals]
    assert any("glulam combination 9" in r and "allowed for Douglas Fir-Larch: sawn, " in r and "glulam combination 5" in r for r in reasons)


# Refusals, each with its numbers.


def test_refusals_say_why() -> None:
    reasons = [r.reason for r in repaired(access=Access(longest=48.0)).refusals]
    assert any("5'-6\" long, and no piece over 4'-0\" gets to the truss" in r for r in reasons)
    reasons = [r.reason for r in repaired(access=Access(heaviest=20.0)).refusals]
    assert any("weighs 40 lb" in r and "20 lb can be lifted" in r for r in reasons), reasons
    near_end = repaired(harmed("decay", at=20.0)).refusals
    assert any("no place for a splice left of the damage: the chord ends before 2'-0\" of sound wood are left" in r.reason for r in near_end)


def test_where_nothing_is_clear_the_best_place_is_told() -> None:
    """A conduit from 115 to 265 in. covers every cut from 255 in. (24 in. of sound wood) to 135 in. (10 ft farther), 41 of them every 3 in."""
    conduit = NoDrillZone("bottom chord", "conduit", 190.0, 0.0, 150.0, 11.0)
    reasons = [r.reason for r in repaired(replace(harmed(), zones=(conduit,))).refusals if r.remedy == "replacement"]
    assert len(reasons) == 1
    assert reasons[0].startswith("no place for a splice left of the damage: of 41 places up to 10'-0\" beyond 2'-0\" of sound wood none is clear")
    assert " for 1'-0\" on both sides" in reasons[0]
    assert re.search(r"the best, at \d+'-\d+\", has 0\", to conduit$", reasons[0])


def test_glulam_is_refused() -> None:
    found = truss(US_SAMPLE, "T2")
    chord = found.member("bottom chord")
    layered = replace(chord, plies=tuple(replace(q, layers=(4.75, 4.75), composite="full") for q in chord.plies))
    decay = Damage("decay", "bottom chord", "near", 300.0, 18.0, "P1", 0.2, "probed")
    members = tuple(layered if m is chord else m for m in found.members)
    one = pipeline.repair_one(project(US_SAMPLE), replace(found, members=members, damage=(decay,)))
    assert any(r.remedy == "replacement" and "one solid sawn timber" in r.reason for r in one.refusals)
    assert math.isfinite(one.after.worst[1].ratio)
