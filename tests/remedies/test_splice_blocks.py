"""Blocks that carry and plates inside the gap: every interface in equilibrium, chosen by stated cost, judged by the checker, built on site."""

from __future__ import annotations

import itertools
import math
import re
from dataclasses import replace

import numpy as np
import pytest
from sample_trusses import US_SAMPLE, passes, project, truss
from test_splice_search import ALONE, BLOCK, BOTH_FACES, DEMAND, OUTER, STEEL, WOOD, question

from detailgen import packing, pipeline
from detailgen.analysis.build import build_frame
from detailgen.assessment.bolts import group_of_splice
from detailgen.checker.check import check_detail
from detailgen.checker.fit import fits, package_fit
from detailgen.core.result import State
from detailgen.model.marks import register
from detailgen.model.member import Damage, NoDrillZone
from detailgen.model.project import Override, Truss
from detailgen.outputs.schedules import fabrication
from detailgen.remedies.splice import parameters as p
from detailgen.remedies.splice import search, two_woods
from detailgen.remedies.splice.search import Layouts, as_splice
from detailgen.standards.interface import NET_OF_BLOCK, OFF_MIDDLE

D, PLY, DEPTH, FE, FYB = 0.75, 2.5, 9.5, 11200 * 0.5, 45000.0


def one_layout(rows: float = 1.0, per_row: float = 1.0, spacing: float = 6.0, gauge: float = 0.0, end: float = 10.0) -> Layouts:
    return Layouts(*(np.array([float(v)]) for v in (D, rows, per_row, spacing, gauge, end, 0.25, 7.0, 1.25)))


def values(arrangement: p.Arrangement, layout: Layouts, block: float = 3.5, duration: str = "ten years"):
    asked = question(arrangement, block_thickness=block, demand=replace(DEMAND, axial=np.array([1.0])))
    return WOOD.splice_values(as_splice(asked, layout, duration))


@pytest.mark.parametrize("block", [1.5, 3.5, 5.5])
def test_a_block_alone_is_the_middle_of_a_joint_in_double_shear(block: float) -> None:
    """Yield equations of NDS 2018 table 12.3.1A, double shear, written out once more; half of the joint for each ply."""
    k3 = -1 + math.sqrt(4 + 2 * FYB * 3 * D**2 / (3 * FE * PLY**2))  # R_e = 1
    whole = min(D * block * FE / 4, 2 * D * PLY * FE / 4, 2 * k3 * D * PLY * FE / (3 * 3.2), 2 * D**2 / 3.2 * math.sqrt(2 * FE * FYB / 6))
    assert values(ALONE, one_layout(), block).capacities["bolts"][0] == pytest.approx(whole / 2, rel=1e-6)


def test_plies_off_their_middle_bend_by_hand() -> None:
    """Statics and NDS 2018 3.9-1: 2-1/2 x 9-1/2, two rows of three, F_t 675 x 1.1, F_b 1000 x 1.1 (tables 4A, from memory)."""
    A = PLY * (DEPTH - 2 * 13 / 16)
    S = A * PLY / 6
    F_t, F_b = 675 * 1.1, 1000 * 1.1
    layout = one_layout(rows=2, per_row=3, gauge=3)
    for arrangement, arm in ((OUTER, (PLY + 0.25) / 2), (BLOCK, 0.25 / 4), (ALONE, PLY / 2)):
        by_hand = 1 / (1 / (F_t * A) + arm / 3 / (F_b * S))
        assert values(arrangement, layout).capacities[OFF_MIDDLE][0] == pytest.approx(by_hand, rel=1e-6), arrangement.key
    assert OFF_MIDDLE not in values(BOTH_FACES, layout).capacities


def test_what_a_block_lets_a_ply_carry_by_hand() -> None:
    """Beside plates it has half of each of two plies, alone it has both whole ones: net section and tear-out, NDS 2018 E.2 to E.4."""
    layout, F_t, F_v, t = one_layout(rows=2, per_row=3, gauge=3, spacing=4), 675 * 1.1, 180.0, 3.5
    net = F_t * t * (DEPTH - 2 * 13 / 16)
    row = 2 * 3 * F_v * t * 4
    group = row / 2 + F_t * t * (3 - 13 / 16)
    for arrangement, share in ((BLOCK, 1), (ALONE, 2)):
        found = values(arrangement, layout).capacities
        assert found[NET_OF_BLOCK][0] == pytest.approx(net / share, rel=1e-6)
        assert found["row tear-out of the block"][0] == pytest.approx(row / share, rel=1e-6)
        assert found["group tear-out of the block"][0] == pytest.approx(group / share, rel=1e-6)
    # Alone it holds the moments of both plies as well: section modulus with its holes taken out, F_b 1000 x 1.2 (4 x 10).
    I_net = t * DEPTH**3 / 12 - 2 * (t * (13 / 16) ** 3 / 12 + t * 13 / 16 * 1.5**2)
    assert values(ALONE, layout).block_bending[0] == pytest.approx(1200 * I_net / (DEPTH / 2) / 2, rel=1e-6)


def test_a_thin_block_governs() -> None:
    asked = [question(ALONE, block_thickness=b, demand=light()) for b in (5.5, 2.0)]
    thick, thin = (search.evaluate(q, search.grid(q), WOOD, STEEL) for q in asked)
    assert thick.feasible.sum() > thin.feasible.sum()
    # Of every layout, whether its distances are kept or not.
    whole = [dict(search._ratios(q, search.grid(q), search._values(q, search.grid(q), WOOD, STEEL, q.demand.durations))) for q in asked]
    of_thick, of_thin = (np.max(np.stack(list(w.values())), axis=0) for w in whole)
    assert (of_thin >= of_thick - 1e-9).all()


def light(share: float = 0.4):
    return replace(DEMAND, axial=share * DEMAND.axial, moment=share * DEMAND.moment, shear=share * DEMAND.shear)


# The walk on a truss whose both plies are broken at one place.


def both_broken(width: float = 60.0, gap: float = 3.5, **items: str) -> Truss:
    chosen = truss(US_SAMPLE, "T2")
    chord = chosen.member("bottom chord")
    plies = tuple(replace(q, z=math.copysign((gap + q.thickness) / 2, q.z)) for q in chord.plies)
    members = tuple(replace(m, plies=plies) if m is chord else m for m in chosen.members)
    broken = Damage("break", "bottom chord", "", 18.5 * 12, 4.0, "P1", 0.0, "")
    wanted = {"forbid repair": "replacement", **{k.replace("_", " "): v for k, v in items.items()}}
    return replace(chosen, members=members if gap != 3.5 else chosen.members, damage=(broken,), tributary_width=width,
                   overrides=tuple(Override(k, v, "a test") for k, v in wanted.items()))  # fmt: skip


def repaired(**asked):
    return pipeline.repair_one(project(US_SAMPLE), both_broken(**asked))


@pytest.fixture(scope="module", params=[BLOCK, ALONE, BOTH_FACES, OUTER], ids=lambda a: a.key)
def made(request):
    return request.param, repaired(splice_arrangement=request.param.key)


def test_it_is_built_as_asked_and_the_checker_passes_it(made) -> None:
    arrangement, one = made
    assert passes(one)
    (detail,) = one.details
    kinds = [q.kind for q in detail.parts if not q.existing]
    assert kinds.count("plate") == 2 * arrangement.plates_per_ply
    assert kinds.count("block") == (1 if arrangement.blocked else 0)
    assert all(r.state is State.PASSES for r in check_detail(detail))
    levels = sorted({(q.placement.z, q.placement.z + q.thickness) for q in detail.parts})
    assert all(-1e-9 <= b[0] - a[1] < 1 / 8 for a, b in itertools.pairwise(levels))


def test_it_goes_together_and_is_in_every_list(made) -> None:
    arrangement, one = made
    settled = replace(one, status=packing.statuses(one, ()))
    package = packing.package_of(project(US_SAMPLE), (settled,), register(one.details, {})[0], ("", "", ""), ())
    assert all(fits(results) for results in package_fit(package).values())
    ordered = fabrication.timber_order(package).rows
    blocks = [row for row in ordered if row[-1].startswith("SB-")]
    assert len(blocks) == (1 if arrangement.blocked else 0)
    for row in blocks:
        assert row[1] == "Douglas Fir-Larch No.1, dry"
        assert row[2:4] == (3.5, 9.5)


def test_every_interface_is_in_equilibrium(made) -> None:
    """Each ply passes what it is loaded by; on each side of the cut a block takes what both plies give it, and it runs through the cut."""
    _, one = made
    (group,) = one.details[0].groups
    for load in group.loads:
        force = max(load.tension, load.compression)
        if load.part.startswith("ply-"):
            assert sum(i.force for i in group.interfaces if i.first == load.part) == pytest.approx(force)
        else:
            for side in ("left", "right"):
                given = sum(i.force for i in group.interfaces if i.second == load.part and i.first.endswith(side))
                assert given == pytest.approx(force)


def test_a_block_that_is_too_short_is_found() -> None:
    one = repaired(splice_arrangement=BLOCK.key)
    (detail,) = one.details
    block = detail.part("block-1")
    half = max(v.x for v in block.outline)
    short = replace(block, outline=tuple(replace(v, x=math.copysign(half - 2.0, v.x)) for v in block.outline))
    found = check_detail(replace(detail, parts=tuple(short if q is block else q for q in detail.parts)))
    assert any(r.state is State.DOES_NOT_PASS or "reduced" in r.check for r in found if "block-1" in r.where and "end distance" in r.check)
    gone = replace(block, outline=tuple(replace(v, x=math.copysign(half - 3.5, v.x)) for v in block.outline))
    found = check_detail(replace(detail, parts=tuple(gone if q is block else q for q in detail.parts)))
    assert any(r.state is State.DOES_NOT_PASS for r in found if "block-1" in r.where)


def test_a_block_that_is_asked_for_too_much_is_found() -> None:
    """Its load is stated on its face view: three times as much is more than it carries."""
    one = repaired(splice_arrangement=ALONE.key)
    (detail,) = one.details
    (group,) = detail.groups
    more = tuple(replace(x, tension=3 * x.tension, lasting=tuple((d, 3 * t, c) for d, t, c in x.lasting)) if x.part == "block-1" else x
                 for x in group.loads)  # fmt: skip
    found = check_detail(replace(detail, groups=(replace(group, loads=more),)))
    assert any(r.state is State.DOES_NOT_PASS and "block-1" in r.where for r in found)


def test_the_repaired_truss_sees_both_plies_and_their_block_as_one_group() -> None:
    one = repaired(splice_arrangement=BLOCK.key)
    new = [s for s in one.truss.splices if s.new]
    assert len(new) == 2
    (run,) = group_of_splice(one.truss, build_frame(one.truss, lambda *_: 1.6e6, damaged=True), new[0]).runs
    assert [q.side for q in run.parts] == ["other", "member", "other", "member", "other"]
    assert run.share == pytest.approx(1.0)
    checked = next(pl for pl in one.after.places if pl.kind == "splice" and pl.joint == new[0].name)
    assert {r.check for r in checked.results} >= {"bolts", "row tear-out", "net section at the bolts"}
    chord = one.after.forces.members["L2-L3"].axial
    bolts = next(r for r in checked.results if r.check == "bolts" and r.combination == "D + S balanced")
    k = [c.name for c in one.after.forces.combinations].index("D + S balanced")
    assert bolts.demand == pytest.approx(abs(chord[k]).max(), rel=0.02)  # the whole chord's force, on four shear planes


# Choice: by stated cost, by name, and the block alone where no steel fits.


def test_the_arrangement_with_the_least_stated_cost_is_taken_and_the_others_are_told() -> None:
    one = repaired()
    told = one.interventions[0]
    assert told.parameters["arrangement"] == BLOCK.key
    for other in (BOTH_FACES.key, OUTER.key):
        assert any(text.startswith(f"{other}: ") and "by the stated weights" in text for text in told.runners_up)
    dear = repaired(cost_of_timber="60")
    assert dear.interventions[0].parameters["arrangement"] != BLOCK.key
    assert any(text.startswith(BLOCK.key) for text in dear.interventions[0].runners_up)


def test_a_preference_that_is_set_goes_over_all_arrangements() -> None:
    one = repaired(splice_preference="lightest")
    steel = sum(q.weight for q in one.details[0].parts if q.material == "steel")
    for arrangement in (BOTH_FACES, BLOCK, OUTER):
        other = repaired(splice_arrangement=arrangement.key, splice_preference="lightest")
        assert steel <= sum(q.weight for q in other.details[0].parts if q.material == "steel") + 1e-6


def no_steel(monkeypatch) -> None:
    """Nothing in stock is narrow enough for the chord."""
    stocked = replace(p.shop("US"), widths=(12.0,))
    monkeypatch.setattr(p, "shop", lambda _: stocked)
    monkeypatch.setattr(search, "_grid", search._grid.__wrapped__)
    monkeypatch.setattr(search, "_whole_grid", search._whole_grid.__wrapped__)


def test_where_no_plate_fits_a_block_alone_is_looked_for(monkeypatch) -> None:
    no_steel(monkeypatch)
    one = repaired()
    assert passes(one)
    assert one.interventions[0].parameters["arrangement"] == ALONE.key
    assert not [q for q in one.details[0].parts if q.kind == "plate"]


def test_no_layout_of_any_arrangement_is_a_proof_with_its_count() -> None:
    broken = both_broken()
    barred = replace(broken, zones=(NoDrillZone("bottom chord", "strap", broken.damage[0].at + 10.0, 0.0, 4.0, 9.5),))
    (refusal,) = (r for r in pipeline.repair_one(project(US_SAMPLE), barred).refusals if r.remedy == "splice")
    sizes = 3 * 49_005 + len(search.grid(question(ALONE)).diameter) + 3 * len(search.grid(question(BOTH_FACES, plates_per_face=2)).diameter)
    assert f"no layout fits: {sizes:,} tried" in refusal.reason
    assert "misses" in refusal.reason


def test_one_cut_ply_is_one_search(monkeypatch) -> None:
    """What is most often asked is not made slower by what else there is."""
    asked = []
    evaluate = two_woods.evaluate
    monkeypatch.setattr(two_woods, "evaluate", lambda q, *rest: asked.append(q.arrangement) or evaluate(q, *rest))
    one = pipeline.repair_one(project(US_SAMPLE), truss(US_SAMPLE, "T2"))
    assert passes(one)
    assert set(asked) == {BOTH_FACES}
    assert len(asked) <= 4  # once a round


@pytest.mark.parametrize("key", [BLOCK.key, ALONE.key])
def test_a_block_is_refused_where_one_ply_runs_through(key: str) -> None:
    chosen = replace(truss(US_SAMPLE, "T2"), overrides=(Override("splice arrangement", key, "a test"), Override("forbid repair", "replacement", "-")))
    (refusal,) = pipeline.repair_one(project(US_SAMPLE), chosen).refusals
    assert "1 of 2 plies are cut" in refusal.reason
    assert "plates on both faces of the cut ply" in refusal.reason
    force = float(re.search(r"its ([\d,]+) lb would pass 3\" beside", refusal.reason).group(1).replace(",", ""))
    # By hand: plies 2-1/2 x 9-1/2, block 3-1/2; I as t^3; No.1 F_t 675 x 1.15 x C_F 1.1 (NDS 2018 tables 4A, 2.3.2, from memory).
    M, part = force * 3.0, 2.5**3 / (2.5**3 + 3.5**3)
    sound = (force / (2.5 * 9.5) + 6 * part * M / (9.5 * 2.5**2)) / (675 * 1.15 * 1.1)
    block = (force / (3.5 * 9.5) + 6 * (1 - part) * M / (9.5 * 3.5**2)) / (675 * 1.15 * 1.1)
    told = re.search(r"takes (\d+) % of it and would stand at ([\d.]+) with its own pull, the block at ([\d.]+)", refusal.reason).groups()
    assert [float(v) for v in told] == pytest.approx([100 * part, sound, block], abs=0.6)
    assert sound > 1.0
    assert [float(v) for v in told[1:]] == pytest.approx([sound, block], rel=0.01)


# An accepted example at each bound of the gap: just room for two plates, none for them, the least and the widest block.


def test_two_inner_plates_need_their_room() -> None:
    q = question(BOTH_FACES, inner_plates=2, demand=light())
    for gap, holds in ((0.5, True), (0.4375, False)):
        answer = search.evaluate(replace(q, block_thickness=gap), search.grid(q), WOOD, STEEL)
        assert bool(answer.feasible.any()) is holds
        if not holds:
            assert (answer.violations["room for plates between the plies"] > 0).all()


@pytest.mark.parametrize("gap", [1.5, 5.5])
def test_gaps_from_a_thin_block_to_a_thick_one(gap: float) -> None:
    one = repaired(width=48.0, gap=gap, splice_arrangement=BLOCK.key)
    assert one.details, one.refusals
    assert one.details[0].part("block-1").thickness == gap
    assert all(r.state is State.PASSES for r in one.details[0].results)


def test_plies_that_touch_get_no_block() -> None:
    refused = repaired(gap=0.0, splice_arrangement=BLOCK.key).refusals
    assert any(r.remedy == "splice" and "without a gap" in r.reason for r in refused)
