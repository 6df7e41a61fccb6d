"""Which set of several that rival one another is chosen, how many are looked at, what is told of the others: made-up remedies, worked by hand."""

from __future__ import annotations

import itertools

import pytest
from toy_remedies import Toy, World, at, made, told

from detailgen.remedies import choose
from detailgen.remedies.loop import ROUNDS

CHORD = {"chord": at("piece chord", "strands chord", "side chord")}


def three(**bolts: int) -> tuple[Toy, ...]:
    """Three kinds for one chord, asked in the order of their names."""
    return tuple(Toy(key, ("chord",), count, order=10 * k) for k, (key, count) in enumerate(bolts.items(), start=1))


@pytest.mark.parametrize("costs", list(itertools.permutations((2, 3, 5))))
def test_the_least_stated_cost_wins_whatever_goes_first(costs: tuple[int, int, int], monkeypatch) -> None:
    kinds = ("piece", "side", "strands")
    plan = World(three(**dict(zip(kinds, costs, strict=True))), CHORD).plan(monkeypatch)
    assert made(plan) == [f"{kinds[costs.index(2)]}-chord"]
    others = told(plan)
    assert others.index("costs 45 by") < others.index("costs 75 by")  # the runner-up is told first: 3 bolts, then 5, at 15 each
    assert plan.repairs[0].intervention.parameters["stated cost"].startswith("30 by the stated weights (2 bolts)")


def test_of_equals_the_one_that_goes_first(monkeypatch) -> None:
    assert made(World(three(side=3, piece=3), CHORD).plan(monkeypatch)) == ["side-chord"]


def test_two_kinds_that_stand_in_for_a_third_at_two_places(monkeypatch) -> None:
    """One brace line holds both webs for 5 bolts, sisters take 3 each, and at web 2 alone a plate does it for 1: plate and sister, 4 bolts."""
    remedies = (Toy("sister", ("web 1", "web 2"), 3, 10), Toy("line", ("web 1",), 5, 20), Toy("plate", ("web 2",), 1, 30))
    rules = {"web 1": at("sister web 1", "line web 1"), "web 2": at("sister web 2", "line web 1", "plate web 2")}
    assert made(World(remedies, rules).plan(monkeypatch)) == ["plate-web 2", "sister-web 1"]


def test_what_a_later_repair_makes_needless_is_left_out(monkeypatch) -> None:
    """The piece goes first and is not enough; strands are, with it or without it."""
    rules = {"chord": at("strands chord")}
    plan = World((Toy("piece", ("chord",), 4, 10), Toy("strands", ("chord",), 6, 60)), rules).plan(monkeypatch)
    assert made(plan) == ["strands-chord"]
    assert "piece at chord" in told(plan)


def test_a_refused_remedy_leaves_its_place_to_the_next(monkeypatch) -> None:
    plan = World((Toy("piece", ("chord",), 1, 10, refuses=True), Toy("side", ("chord",), 3, 20)), CHORD).plan(monkeypatch)
    assert made(plan) == ["side-chord"]
    assert [r.reason for r in plan.refusals] == ["piece does not fit"]


def test_a_dearer_set_is_chosen_where_the_cheaper_one_fails_in_a_stage(monkeypatch) -> None:
    world = World(three(piece=2, side=4, strands=9), CHORD, stages=lambda there: 1.3 if "piece" in there else 0.8)
    plan = world.plan(monkeypatch)
    assert made(plan) == ["side-chord"]
    assert "in the stage 'plies cut' web stands at 1.30 (compression); it costs 30 by the stated weights" in told(plan)
    assert len(world.followed) == 2  # the third is dearer than one that passes


def test_where_every_set_fails_in_a_stage_the_cheapest_stays(monkeypatch) -> None:
    assert made(World(three(piece=2, side=4), CHORD, stages=lambda _: 1.3).plan(monkeypatch)) == ["piece-chord"]


def test_a_set_without_a_rival_is_not_followed_through_its_stages(monkeypatch) -> None:
    world = World((Toy("piece", ("chord",), 2),), CHORD, stages=lambda _: 1.3)
    assert made(world.plan(monkeypatch)) == ["piece-chord"]
    assert not world.followed


def test_forbidden_and_forced(monkeypatch) -> None:
    kinds = three(piece=2, side=4, strands=9)
    assert made(World(kinds, CHORD, overrides=(("forbid repair", "piece"),)).plan(monkeypatch)) == ["side-chord"]
    assert made(World(kinds, CHORD, overrides=(("forbid repair", "C-piece-chord"),)).plan(monkeypatch)) == ["side-chord"]
    assert made(World(kinds, CHORD, overrides=(("force repair", "strands"),)).plan(monkeypatch)) == ["strands-chord"]
    assert made(World(kinds, CHORD, overrides=(("cost of bolts", "0"),)).plan(monkeypatch)) == ["piece-chord"]  # all cost nothing: the first


def test_the_search_is_bounded_says_so_and_is_the_same_every_time(monkeypatch) -> None:
    """Eight webs, at each two kinds: 256 sets, of which a dozen are looked at."""
    webs = tuple(f"web {k}" for k in range(8))

    def world() -> World:
        rules = {w: at(f"sister {w}", f"brace {w}") for w in webs}
        return World((Toy("sister", webs, 3, 10), Toy("brace", webs, 2, 20)), rules)

    first = world()
    plan = first.plan(monkeypatch)
    assert made(plan) == [f"brace-{w}" for w in webs]  # the kind as a whole is left out first
    assert f"after {choose.SETS} sets of repairs the search was ended" in told(plan)
    assert len(first.solved) <= 3 * choose.SETS  # what was solved once is not solved again
    assert told(world().plan(monkeypatch)) == told(plan)


def test_what_is_solved_and_dimensioned_once_is_not_worked_out_again(monkeypatch) -> None:
    piece = Toy("piece", ("chord",), 2)
    world = World((piece,), CHORD)
    plan = world.plan(monkeypatch)
    assert plan.rounds == 2
    assert (len(world.solved), piece.calls) == (2, 2)


def test_a_remedy_that_wants_now_more_now_less_settles_at_the_larger(monkeypatch) -> None:
    """It would take 3 and 4 by turns; from the third round on nothing may shrink."""
    wobbling = Toy("piece", ("chord",), 2, sizes=lambda call, least: max(3.0 + call % 2, least.get("size", 0.0)))
    plan = World((wobbling,), CHORD).plan(monkeypatch)
    assert plan.settled
    assert plan.repairs[0].sizes == {"size": 4.0}


def test_a_remedy_that_never_stands_still_is_said_not_to_settle_and_does_not_pass(monkeypatch) -> None:
    restless = Toy("piece", ("chord",), 2, sizes=lambda call, _: 3.0 + call % 2)
    plan = World((restless,), CHORD).plan(monkeypatch)
    assert not plan.settled
    assert plan.rounds == ROUNDS
    assert [r.missing for r in plan.repairs[0].results] == [
        f"sizes still moved after {ROUNDS} rounds of solving and dimensioning: what they were found for is not what stands now"
    ]
    assert not choose.passing(plan.solved, plan.repairs)


def test_a_set_that_settles_is_better_than_one_that_does_not(monkeypatch) -> None:
    restless = Toy("piece", ("chord",), 2, 10, sizes=lambda call, _: 3.0 + call % 2)
    plan = World((restless, Toy("side", ("chord",), 9, 20)), CHORD).plan(monkeypatch)
    assert made(plan) == ["side-chord"]
    assert f"its sizes still moved after {ROUNDS} rounds" in told(plan)


def test_what_nobody_asks_for_is_named_with_its_ratio(monkeypatch) -> None:
    world = World((Toy("side", ("chord",), 4),), {**CHORD, "heel": at("shoe heel"), "web": at("sister web")})
    refusal = world.plan(monkeypatch).refusals[-1]
    assert refusal.key == "C-unsolved"
    assert refusal.reason == "no remedy asks for heel at 1.40 (made-up check); web at 1.40 (made-up check). Installed: side"


def test_what_stays_over_although_it_was_repaired_is_told(monkeypatch) -> None:
    """The piece is made, and the chord fails all the same: nobody is refused, so nobody's reason would speak for it."""
    plan = World((Toy("piece", ("chord",), 4),), {"chord": at("nothing")}).plan(monkeypatch)
    assert made(plan) == ["piece-chord"]
    assert [r.reason for r in plan.refusals] == [
        "with the repairs in there stay over 1.0: chord at 1.40 (made-up check). No remedy asks for more: less load, or a repair by the engineer"
    ]


def test_where_a_remedy_was_refused_its_reason_is_enough(monkeypatch) -> None:
    plan = World((Toy("piece", ("chord",), 4, refuses=True),), {"chord": at("nothing")}).plan(monkeypatch)
    assert [r.key for r in plan.refusals] == ["C-piece-chord"]
