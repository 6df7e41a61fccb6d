"""A dozen planted surveys of two hundred (tests/benchmarks/planted_surveys.py runs all): none crashes, each has an answer, most are solved."""

from __future__ import annotations

from functools import cache

import pytest
from planted import Outcome, outcome, plant

AIM = 0.70
"""Of those with one fault within the bounds of the remedy meant for it so many are solved at least."""
MEANT = {
    1: ("splice",), 60: ("replacement",), 5: ("sister",), 0: ("web_end",), 4: ("heel",), 9: ("posttension",), 14: ("side_member",), 66: ("brace",),
    176: ("brace",), 100: ("splice",), 3: ("replacement", "web_end"), 46: ("brace",),
}  # fmt: skip
"""Seeds and what they plant: every remedy, both bases of lines, a cut beside low bolts, two faults at once, and an anchored bay that is too weak."""


@cache
def answer(number: int) -> Outcome:
    return outcome(plant(number))


@pytest.mark.parametrize("number", MEANT)
def test_every_planted_survey_has_an_answer(number: int) -> None:
    found = answer(number)
    assert found.planted.meant == MEANT[number]
    assert found.answer in ("solved", "otherwise", "refused"), found
    if found.answer != "refused":
        assert found.ratio <= 1.0
    assert not found.wordless  # each reason gives a number or a way on


def test_most_single_faults_are_solved() -> None:
    single = [o for o in map(answer, MEANT) if len(o.planted.meant) == 1 and not o.planted.beyond]
    assert len(single) == 10
    assert sum(o.answer == "solved" for o in single) >= AIM * len(single)


def test_a_bay_too_weak_for_the_line_solves_nothing_by_lines() -> None:
    found = answer(46)
    assert found.planted.beyond
    assert "brace" not in found.made


def test_reasons_without_number_or_way_on_are_seen() -> None:
    """Names of joints and plies are no numbers."""
    found = answer(0)
    told = (("splice", "no place beside L1"), ("splice", 'has 10", to S1'), ("brace", "state it: enter 'heel room: ...'"), ("heel", "stands at 1.02"))
    assert Outcome(found.planted, "refused", (), told, 1.0).wordless == ("splice: no place beside L1",)


def test_the_same_seed_plants_the_same() -> None:
    first, second = plant(3), plant(3)
    assert (first.words, first.meant, first.truss) == (second.words, second.meant, second.truss)
    assert len(first.meant) == 2
