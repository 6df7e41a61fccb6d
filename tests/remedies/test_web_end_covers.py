"""Covers over a web's end that was cut too short for bolts: steel gussets, timbers past the end; choice, numbers by hand, the joint as drawn."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from sample_trusses import SHORT_END, butting, passes, project, too_short, truss

from detailgen import packing, pipeline
from detailgen.assessment.assess import solve_repaired
from detailgen.assessment.sections import hole_groups
from detailgen.checker.check import check_detail
from detailgen.checker.fit import fits, package_fit
from detailgen.core.result import State
from detailgen.model.marks import register
from detailgen.model.member import NoDrillZone
from detailgen.model.package import Refusal
from detailgen.model.project import Override, Truss
from detailgen.outputs.drawings.truss_repair import draw_repair
from detailgen.outputs.drawings.work_sheet import draw_work
from detailgen.remedies.contract import Job, Repair, Site, Solved
from detailgen.remedies.web_end import REMEDY, cover, cover_search
from detailgen.remedies.web_end import parameters as p
from detailgen.remedies.web_end.asked import Asked
from detailgen.remedies.web_end.blocks import blocks
from detailgen.remedies.web_end.cover import Cover, Pattern
from detailgen.remedies.web_end.cover_detail import build_cover_detail
from detailgen.remedies.web_end.seat import Seat, seat_of
from detailgen.remedies.web_end.site import end_forces, end_of

WEB, JOINT, KEY = "U1-L1", "L1", "G3-web-end-U1-L1-L1"


def repaired(found: Truss, **items: str):
    overrides = tuple(Override(item.replace("_", " "), value, "a test") for item, value in items.items())
    return pipeline.repair_one(project(SHORT_END), replace(found, overrides=overrides))


def job_of() -> Job:
    job = project(SHORT_END)
    wood, loads = pipeline.standards_of(job)

    def solve(changed: Truss) -> Solved:
        return Solved(changed, *solve_repaired(job, changed, wood, loads))

    return Job(job, wood, pipeline.steel_standard(job.method), solve)


def judged(
    found: Truss,
    way: str,
    D: float,
    t: float,
    A: tuple[int, int] | None,
    B: tuple[int, int],
    C: tuple[int, int],
    gauge: float = 0.0,
    apart: float = 4.0,
):
    """Covers with given patterns (rows, bolts in each) on a truss, as the remedy judges and draws them."""
    job = job_of()
    solved = job.solve(found)
    end = end_of(found, solved, found.member(WEB), JOINT)
    assert end is not None
    seat = seat_of(found, end)
    assert isinstance(seat, Seat)
    ply, s = end.web.plies[0], 4 * D

    def pattern(shape: tuple[int, int], g: float) -> Pattern:
        return Pattern(*shape, s, g if shape[0] > 1 else 0.0, 0.0)

    beside = math.ceil(16 * (ply.depth / 2 + p.FLUSH + p.COVER_EDGE * D)) / 8 if seat.tail else gauge
    first = Cover(
        way, "US", seat, D, t, (ply.depth, ply.thickness), end.connection.end, pattern(A, gauge) if A else None, pattern(B, gauge),
        replace(pattern(C, beside), spacing=apart * D).at(-(C[1] - 1) * apart * D / 2),
    )  # fmt: skip
    placed = cover.up_the_web(first, p.END * D)
    axial = end_forces(found, solved, end.web, JOINT)
    ask = cover.asking(found, solved, end, axial)
    wood = cover.pad_wood(ply.wood, ("No.2",))
    one = cover_search.judged(job, found, solved, end, ask, placed, wood)
    site = Site(KEY, "G3", WEB, (ply.name,), found.joints[JOINT][0], 0.0, "")
    chord = cover.chord_parts(placed, found, solved.model, end)
    return one, build_cover_detail(site, found, end, one, chord, axial, ask.durations, job.project.units)


@pytest.fixture(scope="module")
def one():
    return repaired(too_short())


def test_an_end_too_short_for_bolts_gets_gussets_and_everything_passes(one) -> None:
    assert [i.key for i in one.interventions] == [KEY]
    assert one.interventions[0].parameters["way"] == "gussets"
    assert one.before.as_found.worst[1].ratio > 2.0
    assert passes(one)
    assert not one.assumptions  # settled
    place = next(x for x in one.after.places if x.name == "web U1-L1 at L1")
    assert {r.check for r in place.results} >= {"bolts", "end distance"}


def test_what_else_would_do_and_why_it_lost(one) -> None:
    told = one.interventions[0].runners_up
    assert told[0].startswith("new bolts through the lap: no new bolts find a place")
    assert any("passes too, but costs" in x for x in told)
    assert any(x.startswith("Extended end: the web's tail stands in the chord") for x in told)


def test_the_chord_bolts_by_hand(one) -> None:
    """A 1/2 in. bolt in single shear: 2-1/2 in. ply across its grain under a 3/8 in. A36 plate, by NDS 2018 12.3.1 (table 12.3.1A): F_e 3,150 psi
    (6100 G^1.45 / sqrt D, G 0.50, to 50 psi; table 12.3.3) and 87,000; F_yb 45,000; R_d 4, 3.6, 3.2 times 1.25."""
    D, lm, ls, Fem, Fes, Fyb, K = 0.5, 2.5, 0.375, 3150.0, 87000.0, 45000.0, 1.25
    Re, Rt = Fem / Fes, lm / ls
    k1 = (math.sqrt(Re + 2 * Re**2 * (1 + Rt + Rt**2) + Rt**2 * Re**3) - Re * (1 + Rt)) / (1 + Re)
    k2 = -1 + math.sqrt(2 * (1 + Re) + 2 * Fyb * (1 + 2 * Re) * D**2 / (3 * Fem * lm**2))
    k3 = -1 + math.sqrt(2 * (1 + Re) / Re + 2 * Fyb * (2 + Re) * D**2 / (3 * Fem * ls**2))
    Z = min(
        D * lm * Fem / (4 * K), D * ls * Fes / (4 * K), k1 * D * ls * Fes / (3.6 * K), k2 * D * lm * Fem / ((1 + 2 * Re) * 3.2 * K),
        k3 * D * ls * Fem / ((2 + Re) * 3.2 * K), D**2 / (3.2 * K) * math.sqrt(2 * Fem * Fyb / (3 * (1 + Re))),
    )  # fmt: skip
    rows = [r for r in one.details[0].results if r.where.startswith("bolts C") and r.check == "bolts"]
    worst = max(rows, key=lambda r: r.ratio)
    group = next(g for g in one.details[0].groups if g.key == "B3")
    C_g = next(s.value for s in worst.steps if s.symbol == "C_g")
    assert 0.9 < C_g <= 1.0
    # two plies, a plane each; the concentrated load counts as construction, C_D 1.25 (table 2.3.2); distances in full
    assert worst.capacity == pytest.approx(len(group.positions) * 2 * Z * 1.25 * C_g, rel=0.01)
    axial = one.after.forces.members[WEB].axial[[c.name for c in one.after.forces.combinations].index(worst.combination), -1]
    assert worst.demand == pytest.approx(abs(axial), rel=1e-6)


def test_the_web_is_asked_for_every_share_of_both_groups(one) -> None:
    """Bolts A alone and bolts B alone each bring the whole force out of the web."""
    most = float(np.abs(one.after.forces.members[WEB].axial[:, -1]).max())
    place = next(x for x in one.after.places if x.name == "web U1-L1 at L1")
    alone = [r for r in one.details[0].results if r.where.startswith("web at bolts B")]
    for rows in (place.results, alone):
        assert max(r.demand for r in rows if r.check == "bolts") == pytest.approx(most, rel=1e-6)


def test_gussets_and_the_pads_bolts_are_checked_as_steel(one) -> None:
    """AISC 360-16: yield, rupture, block shear, bearing, and buckling of what is free between the bolts of web and chord (J4.4)."""
    rows = [r for r in one.details[0].results if "gussets" in r.where]
    assert {"yield", "rupture", "block shear", "bearing and tear-out", "yield or buckling"} <= {r.check for r in rows}
    assert any(r.combination.startswith("D + S unb") for r in rows if r.check == "yield or buckling")  # there the web is pushed
    turn = max((r for r in one.details[0].results if "tension with shear" in r.check), key=lambda r: r.ratio)
    # by hand: half the force at 2-1/2 + 3/16 in. from the web's face, four bolts in line: T = P e x / sum x2
    d = one.details[0]
    xs = sorted(b.x for b in d.bolts if b.group in ("B1", "B2"))
    mean = sum(xs) / len(xs)
    T = 0.5 * 1640 * (2.5 + 0.375 / 2) * max(abs(x - mean) for x in xs) / sum((x - mean) ** 2 for x in xs)
    assert turn.demand == pytest.approx(T, rel=0.01)


def test_new_holes_and_old_ones_weaken_web_and_chord(one) -> None:
    """NDS 2018 3.1.2: the web has the holes of bolts A, B and of the drawn old bolt, each ply those of bolts C and of the old one."""
    model = job_of().solve(one.truss).model
    found = {(g.member, g.ply): [round(h.diameter, 4) for h in g.holes] for g in hole_groups(one.truss, model) if g.at > 1 or g.member != WEB}
    assert sorted(found[WEB, one.truss.member(WEB).plies[0].name]) == [9 / 16] * 4 + [13 / 16]
    made = one.details[0]
    chord = sum(b.group == "B3" for b in made.bolts)
    for member in ("L0-L1", "L1-L2"):
        for ply in ("near", "far"):
            assert sorted(found[member, ply]).count(9 / 16) == chord


def test_the_joint_is_whole_and_the_checker_passes_it(one) -> None:
    detail = one.details[0]
    assert all(r.state is State.PASSES for r in check_detail(detail))
    assert detail.drawn == ("U1-L1 at L1",)  # gussets lie where the heads of the old bolts stood
    assert detail.held == "L1, and web U1-L1 held while its bolts are drawn"
    assert not detail.shores.startswith("none")  # which its stated cost counts
    assert len(detail.order) == len(detail.brings)
    brought = [k for keys in detail.brings for k in keys]
    assert sorted(brought) == sorted(x.key for x in detail.parts if not x.existing)
    for why in detail.whys:
        assert why.provided >= why.required - 1e-6, why
    plates = [x for x in detail.parts if x.kind == "plate"]
    assert {h.made for x in plates for h in x.holes} == {"shop"}
    assert len({m.mark for m in register([detail], {})[0] if m.mark.startswith("PL")}) == 1
    blocks = [x for x in detail.parts if x.kind == "filler"]
    assert [x.thickness for x in blocks] == [3.5, 3.5]  # beside the web's tail: no bolt crosses the open gap


def test_it_goes_together_on_site(one) -> None:
    settled = replace(one, status=packing.statuses(one, ()))
    package = packing.package_of(project(SHORT_END), (settled,), register(one.details, {})[0], ("", "", ""), ())
    found = package_fit(package)
    assert set(found) == {KEY}
    assert all(fits(results) for results in found.values())


def test_the_sheets_of_the_truss_say_that_the_web_is_held(one) -> None:
    """No stage cuts timber, yet old bolts are drawn: neither sheet may say that the work asks for no shore."""
    job = project(SHORT_END)
    work, safety = pipeline.stages_of(job, one)
    settled = replace(one, status=packing.statuses(one, ()), staged=work, safety=safety)
    package = packing.package_of(job, (settled,), register(one.details, {})[0], ("", "", ""), ())
    for drawing in (*draw_work(settled, package), *draw_repair(settled, package)):
        said = " ".join(s.text for s in (*drawing.paper, *(t for v in drawing.views for t in v.shapes)) if hasattr(s, "text"))
        assert "held while its bolts" in said.replace("\N{NO-BREAK SPACE}", " ")
        assert "asks for no shore" not in said
        assert "none: no timber is cut" not in said


@pytest.mark.parametrize(("part", "group", "what"), [("pad-far", "B2", "hole"), ("cover-far", "B3", "hole"), ("ply-bottom-chord-near", "B3", "hole")])
def test_a_hole_that_is_left_out_or_moved_is_found(one, part: str, group: str, what: str) -> None:
    detail = one.details[0]
    old = detail.part(part)
    mine = next(h for h in old.holes if h.bolt == group)
    for holes in (tuple(h for h in old.holes if h is not mine), tuple(replace(h, y=h.y + 0.5) if h is mine else h for h in old.holes)):
        found = check_detail(replace(detail, parts=tuple(replace(x, holes=holes) if x is old else x for x in detail.parts)))
        assert any(r.state is not State.PASSES and what in r.check for r in found)


# Flush faces: covers lie on web and chord alike.


@pytest.mark.parametrize("way", p.COVERS)
def test_flush_faces_need_no_pads(way: str) -> None:
    found = repaired(butting(), web_end_way=way)
    detail = next(d for d in found.details if d.key == KEY)
    assert not any(x.key.startswith("pad") for x in detail.parts)
    assert {x.material for x in detail.parts if x.key.startswith("cover")} == {p.COVERS[way]}
    assert all(r.state is State.PASSES for r in check_detail(detail))
    place = next(x for x in found.after.places if x.name == "web U1-L1 at L1")
    assert all(r.passes for r in place.results)
    assert all(r.passes for r in detail.results)


def test_the_cheaper_way_is_taken_and_the_other_told() -> None:
    found = repaired(butting())
    chosen = next(i for i in found.interventions if i.key == KEY)
    assert chosen.parameters["way"] == "gussets"
    assert any("timbers past the web's end" in x and "passes too, but costs" in x for x in chosen.runners_up)
    dear = repaired(butting(), cost_of_steel="60")
    assert next(i for i in dear.interventions if i.key == KEY).parameters["way"] == "extended end"


# Blocks on the chord, for a web that is pushed more than it is pulled.


def wide(width: float) -> Truss:
    """The malthouse with its short end as surveyed, and so wide a strip of roof that the web is pushed far more than pulled."""
    return replace(truss(SHORT_END, "G3"), tributary_width=width)


def dimensioned(found: Truss, **items: str):
    overrides = tuple(Override(item.replace("_", " "), value, "a test") for item, value in items.items())
    job = job_of()
    solved = job.solve(found)
    site = next(s for s in REMEDY.still_failing(job, solved) if s.key == KEY)
    outcome = REMEDY.dimension(job, replace(found, overrides=overrides), site, solved, {}, math.inf)
    return outcome, end_forces(found, solved, found.member(WEB), JOINT)


@pytest.fixture(scope="module")
def on_blocks():
    return dimensioned(wide(840.0))


def test_a_web_that_is_pushed_stands_on_blocks(on_blocks) -> None:
    """No bolts through the lap hold 4,640 lb; blocks are cheaper than gussets."""
    outcome, axial = on_blocks
    assert isinstance(outcome, Repair)
    assert float(axial.min()) < -4000
    assert outcome.intervention.parameters["way"] == "bearing blocks"
    assert outcome.intervention.runners_up[0].startswith("new bolts through the lap: no new bolts are enough")
    assert any("steel gussets" in x and "passes too, but costs" in x for x in outcome.intervention.runners_up)
    assert all(r.passes for r in outcome.results)
    assert all(r.state is State.PASSES for r in check_detail(outcome.detail))
    assert len(outcome.detail.order) == len(outcome.detail.brings)


def test_push_and_pull_go_their_own_ways(on_blocks) -> None:
    """The connection as the model carries it from then on: bolts of the lap see tension alone, blocks compression alone."""
    outcome, axial = on_blocks
    job = job_of()
    solved = job.solve(outcome.truss)
    place = next(x for x in solved.check(None) if x.name == "web U1-L1 at L1")
    lap = [r for r in place.results if "on its blocks" not in r.where and r.check == "bolts"]
    block = [r for r in place.results if "on its blocks" in r.where and r.check == "bolts"]
    assert max(r.demand for r in lap) == pytest.approx(max(float(axial.max()), 0.0), rel=0.02)  # their weight apart
    assert max(r.demand for r in block) == pytest.approx(float(-axial.min()), rel=0.02)
    assert all(r.passes for r in place.results)


def test_bearing_on_the_chord_by_hand(on_blocks) -> None:
    """Two blocks 2-1/2 x 5-1/2 in. on plies of Douglas Fir-Larch: F_c_perp 625 psi (NDS supplement table 4A), C_b (5.5 + 0.375) / 5.5 (3.10.4)."""
    outcome, axial = on_blocks
    rows = [r for r in outcome.results if r.where.startswith("chord under the blocks")]
    worst = max(rows, key=lambda r: r.ratio)
    assert worst.demand == pytest.approx(float(-axial.min()) / (2 * 2.5 * 5.5), rel=1e-6)
    assert worst.capacity == pytest.approx(625 * (5.5 + 0.375) / 5.5, rel=0.005)


@pytest.mark.parametrize("diameter", [p.DIAMETERS[0], p.DIAMETERS[-1]])
def test_bounds_of_blocks(diameter: float) -> None:
    outcome, _ = dimensioned(wide(360.0), web_end_way="bearing blocks", web_end_bolt_diameter=f"{diameter} in")
    if diameter == p.DIAMETERS[-1]:  # no bolt of this size finds room in the lap for the pull
        assert isinstance(outcome, Refusal)
        assert "Bearing blocks: 2 blocks" in outcome.reason
        return
    assert isinstance(outcome, Repair)
    assert all(r.state is State.PASSES for r in check_detail(outcome.detail))


def test_a_slanting_web_and_one_that_is_never_pushed_stand_on_no_blocks() -> None:
    assert "shrinks" not in refused(too_short(), web_end_way="bearing blocks")
    found = truss(SHORT_END, "G3")
    job = job_of()
    solved = job.solve(found)
    up = end_of(found, solved, found.member(WEB), "U1")
    assert up is not None
    seat = seat_of(found, up)
    assert isinstance(seat, Seat)
    site = Site(KEY, "G3", WEB, (), 96.0, 0.0, "")
    asked = Asked(job, found, site, solved, up, np.array([-100.0]), p.DIAMETERS, {})
    assert [x.why for x in blocks(asked, seat)] == ["the web slants to the chord: blocks on its edge would slide"]
    flat = replace(seat, angle=math.pi / 2)
    assert [x.why for x in blocks(replace(asked, axial=np.array([100.0])), flat)] == ["the web is never pushed"]
    assert [x.why for x in blocks(asked, replace(flat, recess=0.0))] == ["web and chord are flush: blocks beside the web would stand on nothing"]


# Gussets over pads, with given patterns (each bound by the search: test_bounds_web_end.py).


@pytest.mark.parametrize(
    ("D", "t", "A", "B", "C", "gauge", "apart"),
    [
        (0.5, 0.375, (1, 2), (1, 2), (2, 2), 0.0, 4.0),
        (1.0, 0.5, (1, 2), (1, 2), (2, 2), 0.0, 3.0),
        (0.5, 0.5, (1, 4), (1, 4), (2, 3), 0.0, 4.0),
        (0.5, 0.5, (2, 4), (2, 4), (2, 2), 2.5, 4.0),
    ],
)
def test_bounds_of_gussets_over_pads(D: float, t: float, A, B, C, gauge: float, apart: float) -> None:
    one, detail = judged(too_short(), "gussets", D, t, A, B, C, gauge, apart)
    assert one.passes, one.worst
    assert all(r.state is State.PASSES for r in check_detail(detail))
    assert {b.diameter for b in detail.bolts} == {D}


# Refusals, each with its numbers.


def refused(found: Truss, **items: str) -> str:
    one = repaired(found, **items)
    assert not any(i.key == KEY for i in one.interventions)
    return " ".join(r.reason for r in one.refusals if r.key == KEY)


def test_refusals_say_what_every_way_lacks() -> None:
    assert "allowed: bolts, bearing blocks, gussets, extended end" in refused(too_short(), web_end_way="glue")
    reason = refused(too_short(), web_end_way="extended end")
    assert "not what the override asks for" in reason
    assert "shrinks between them: 5 in. at most" in reason
    weak = replace(too_short(), connections=tuple(replace(c, condition=0.1) for c in too_short().connections))
    reason = refused(weak)
    assert "Gussets: the nearest" in reason
    zone = NoDrillZone("bottom chord", "old strap", 96.0, 0.0, 6.0, 11.25)
    assert "would lie where old strap stands" in refused(replace(too_short(), zones=(zone,)))


def test_a_joint_where_covers_find_no_seat_says_why() -> None:
    """Diagonals of two plies lie on the chord's faces; a diagonal at a joint bars the covers of the upright there."""
    found = truss(SHORT_END, "G3")
    job = job_of()
    solved = job.solve(found)
    double = end_of(found, solved, found.member("U1-L2"), "L2")
    assert double is not None
    assert "2 plies outside the chord" in str(seat_of(found, double))
    short = replace(found, connections=tuple(
        replace(c, end=-1.0, bolts=replace(c.bolts, positions=((2.0, 0.0),))) if (c.member, c.joint) == ("U2-L2", "L2") else c
        for c in found.connections
    ))  # fmt: skip
    one = repaired(short)
    told = next(r.reason for r in one.refusals if r.key == "G3-web-end-U2-L2-L2")
    assert "would lie where web U1-L2 stands" in told
