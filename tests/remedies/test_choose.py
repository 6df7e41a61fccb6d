"""Which set of repairs a truss gets: order, rivals, stated cost, what the engineer forbids and forces."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sample_trusses import SHORT_END, SLENDER, STRUNG, US_SAMPLE, project, truss

from detailgen import pipeline
from detailgen.core.result import State
from detailgen.model.member import Damage
from detailgen.model.project import Override, Truss
from detailgen.remedies.cost import WEIGHTS, Effort, effort_of, weights_of


def with_overrides(found: Truss, *items: tuple[str, str]) -> Truss:
    return replace(found, overrides=tuple(Override(item, value, "a test") for item, value in items))


def repaired(sample: str, found: Truss):
    return pipeline.repair_one(project(sample), found)


def passes(one) -> bool:
    return all(r.state is State.PASSES for _, r in one.after.results())


@pytest.fixture(scope="module")
def decayed():
    return repaired(SHORT_END, truss(SHORT_END, "G5"))


def test_every_repair_states_its_cost_by_hand(decayed) -> None:
    """Two bolts of U1-L1: 2 bolts at 15; six holes on site at 1/4 h, no new part, no shores: 1.5 h at 90 (weights of this house)."""
    bolts = next(i for i in decayed.interventions if i.remedy == "web_end")
    assert bolts.parameters["stated cost"].startswith("165 by the stated weights (2 bolts, 2 hours on site)")
    piece = next(d for d in decayed.details if d.remedy == "replacement")
    found = effort_of(piece)
    assert found.bolts == 16
    # four plates of 23 x 5 x 1/4 in. with eight holes each
    assert found.steel == pytest.approx(4 * (23 * 5 * 0.25 - 8 * 0.25 * 3.1416 * 0.8125**2 / 4) * 490 / 1728, rel=1e-3)
    assert found.cost(WEIGHTS) == pytest.approx(6 * found.steel + 15 * 16 + 4 * found.timber + 90 * found.hours, abs=0.01)


def test_what_is_damaged_is_made_good_before_strands_are_looked_at(decayed) -> None:
    """Strands ask for the same chord; once the decay is cut out it is strong enough. The set with strands instead is told, and why it lost."""
    assert {i.remedy for i in decayed.interventions} == {"replacement", "web_end"}
    assert not decayed.refusals
    told = [text for i in decayed.interventions for text in i.runners_up if text.startswith("another set of repairs")]
    assert len(told) == 1
    assert "stays at" in told[0] or "costs" in told[0]


def test_forbidden_repairs_are_not_made() -> None:
    one = repaired(SLENDER, with_overrides(truss(SLENDER, "C"), ("forbid repair", "sister")))
    assert not one.interventions
    assert one.after.worst[1].ratio > 1.4
    single = repaired(SLENDER, with_overrides(truss(SLENDER, "C"), ("forbid repair", "C-sister-U3-L3")))
    assert [i.key for i in single.interventions] == ["C-sister-L3-U4"]


def test_a_forced_piece_stands_in_for_the_splice() -> None:
    broken = replace(truss(SHORT_END, "G5"), damage=(Damage("break", "bottom chord", "near", 240.0, 4.0, "G7", 0.0, ""),))
    usual = repaired(SHORT_END, broken)
    assert "splice" in {i.remedy for i in usual.interventions}
    chord = broken.member("bottom chord")
    weak = replace(chord, plies=tuple(replace(q, wood=replace(q.wood, grade="No.2")) for q in chord.plies))
    broken = replace(broken, members=tuple(weak if m.kind == "bottom chord" else m for m in broken.members))
    forced = repaired(SHORT_END, with_overrides(broken, ("force repair", "replacement")))
    assert {i.remedy for i in forced.interventions} >= {"replacement"}
    assert "splice" not in {i.remedy for i in forced.interventions}
    assert passes(forced)
    costs = [effort_of(next(d for d in x.details if d.remedy == kind)).cost(WEIGHTS) for x, kind in ((usual, "splice"), (forced, "replacement"))]
    assert costs[0] < costs[1]  # two splices and a piece are never less than one splice


def test_wishes_that_mean_nothing_are_told() -> None:
    one = repaired(SLENDER, with_overrides(truss(SLENDER, "C"), ("forbid repair", "glue"), ("cost of gold", "3"), ("force repair", "splice")))
    said = " ".join(r.reason for r in one.refusals)
    assert "found 'glue'; allowed: " in said
    assert "cost of gold" in said
    assert "nothing here asks for it" in said


def test_weights_of_the_practice() -> None:
    weights, wrong = weights_of(with_overrides(truss(SLENDER, "C"), ("cost of bolts", "20"), ("cost of field hours", "75.5")))
    assert (weights["bolts"], weights["field hours"], wrong) == (20.0, 75.5, "")
    assert weights_of(with_overrides(truss(SLENDER, "C"), ("cost of steel", "-1")))[1]
    assert Effort(1, 2, 3, 4, 5).cost(dict.fromkeys(WEIGHTS, 1.0)) == 15.0
    assert (Effort(1, 2, 3, 4, 5) + Effort(1, 1, 1, 1, 1)).hours == 6


def test_the_samples_get_what_they_got(decayed) -> None:
    assert {i.remedy for i in repaired(US_SAMPLE, truss(US_SAMPLE, "T2")).interventions} == {"splice"}
    assert {i.remedy for i in repaired(SLENDER, truss(SLENDER, "C")).interventions} == {"sister"}
    for found in project(STRUNG).trusses[:1]:
        assert {i.remedy for i in repaired(STRUNG, found).interventions} == {"posttension"}


def broken_through(at: float) -> Truss:
    found = truss(SHORT_END, "G5")
    return replace(found, damage=(Damage("break", "bottom chord", "", at, 4.0, "G8", 0.0, ""),))


def test_both_plies_broken_under_a_joint_get_a_piece_each_and_nothing_else_is_asked_for() -> None:
    """The splice finds no room; what fails because of the break asks for nothing until the break is mended."""
    one = repaired(SHORT_END, broken_through(288.0))
    assert [r.remedy for r in one.refusals] == ["splice"]
    assert {i.key for i in one.interventions} == {"G5-replacement-near-24-0", "G5-replacement-far-24-0", "G5-web-end-U1-L1-L1"}
    assert passes(one)


def test_a_truss_that_nothing_helps_says_what_fails_and_why() -> None:
    """Broken through beside the heel: no splice and no piece finds a place, and the truss cannot stand."""
    one = repaired(SHORT_END, broken_through(20.0))
    assert not one.interventions
    assert not one.details
    assert one.after.no_safe_load_path.startswith("with what was refused the truss cannot stand")
    assert {r.remedy for r in one.refusals} == {"splice", "replacement"}
    assert not pipeline.structure_passes(one.after)
