"""What one repair asks of another's parts goes round the loop: told in the next round, kept, taken back where it is of no use. Made-up remedies."""

from __future__ import annotations

from dataclasses import dataclass, replace

import pytest
from toy_remedies import Toy, World, at, made, tokens

from detailgen.model.imposed import Imposed
from detailgen.model.package import Refusal

ASKED = Imposed("C-strands-web", "strands", "chord", (0.0,), 6.5, 0.825)
RULES = {"chord": at("splice chord"), "web": at("strands web")}


@dataclass
class Giving(Toy):
    """Its size says whether it made room: 2 where it was asked and can, else 1. ``heard``: by round, what it was asked."""

    gives_way: bool = True
    able: bool = True

    def __post_init__(self) -> None:
        self.heard: list[tuple[Imposed, ...]] = []

    def dimension(self, job, found, site, solved, least, most_lost):
        self.heard.append(site.asked)
        self.sizes = lambda *_: max(2.0 if site.asked and self.able else 1.0, least.get("size", 0.0))
        return super().dimension(job, found, site, solved, least, most_lost)


@dataclass
class Asking(Toy):
    """Asks as long as it is there; refused for good where ``never``, once room was made."""

    never: bool = False

    def dimension(self, job, found, site, solved, least, most_lost):
        room = "splice chord 2" in tokens(found)
        if self.never and room:
            return Refusal(site.key, self.key, site.truss, "something else stands in the way")
        answer = super().dimension(job, found, site, solved, least, most_lost)
        return replace(answer, asks=(ASKED,))


def world(giving: Giving, asking: Asking) -> World:
    return World((giving, asking), RULES)


def test_it_is_told_in_the_round_after_and_stays_asked(monkeypatch) -> None:
    giving = Giving("splice", ("chord",), 2, order=10)
    plan = world(giving, Asking("strands", ("web",), 3, order=60)).plan(monkeypatch)
    assert made(plan) == ["splice-chord", "strands-web"]
    assert plan.settled
    assert giving.heard[0] == ()
    assert giving.heard[-1] == (ASKED,)
    assert next(r for r in plan.repairs if r.site.key == "C-splice-chord").sizes == {"size": 2.0}


def test_who_cannot_make_room_is_asked_once_and_the_walk_ends(monkeypatch) -> None:
    plan = world(Giving("splice", ("chord",), 2, order=10, able=False), Asking("strands", ("web",), 3, order=60)).plan(monkeypatch)
    assert plan.settled
    assert plan.rounds <= 5


def test_who_does_not_give_way_is_told_nothing(monkeypatch) -> None:
    giving = Giving("splice", ("chord",), 2, order=10, gives_way=False)
    plan = world(giving, Asking("strands", ("web",), 3, order=60)).plan(monkeypatch)
    assert plan.settled
    assert set(giving.heard) == {()}


def test_room_that_was_made_in_vain_is_taken_back(monkeypatch) -> None:
    """Though the rule that nothing shrinks has begun by then; the refusal stays as it was said."""
    giving = Giving("splice", ("chord",), 2, order=10)
    plan = world(giving, Asking("strands", ("web",), 3, order=60, never=True)).plan(monkeypatch)
    assert made(plan) == ["splice-chord"]
    assert plan.settled
    assert plan.repairs[0].sizes == {"size": 1.0}
    assert giving.heard[-1] == ()
    assert [r.reason for r in plan.refusals] == ["something else stands in the way"]


@pytest.mark.parametrize("member", ["web", "chord of another truss"])
def test_only_what_concerns_its_member_is_told(member: str, monkeypatch) -> None:
    giving = Giving("splice", ("chord",), 2, order=10)
    monkeypatch.setattr("test_asked_in_the_loop.ASKED", replace(ASKED, member=member))
    plan = world(giving, Asking("strands", ("web",), 3, order=60)).plan(monkeypatch)
    assert plan.settled
    assert set(giving.heard) == {()}


@dataclass
class Mending(Toy):
    mends: tuple[str, ...] = ("break",)


@dataclass
class Looking(Toy):
    """``saw``: by call, what stood in the truss when it was dimensioned."""

    def __post_init__(self) -> None:
        self.saw: list[frozenset[str]] = []

    def dimension(self, job, found, site, solved, least, most_lost):
        self.saw.append(tokens(found))
        return super().dimension(job, found, site, solved, least, most_lost)


def test_damage_that_is_mended_late_is_mended_before_what_was_asked_for_early(monkeypatch) -> None:
    """A piece is asked for once no splice was found, strands from the beginning: they must find the chord whole."""
    strands = Looking("strands", ("web",), 3, order=60)
    rules = {"web": at("strands web"), "chord": lambda there: "strands web" not in there or "piece chord" in there}
    plan = World((Mending("piece", ("chord",), 2, order=10), strands), rules).plan(monkeypatch)
    assert made(plan) == ["piece-chord", "strands-web"]
    assert strands.saw[0] == frozenset()
    assert strands.saw[-1] == {"piece chord 1"}
