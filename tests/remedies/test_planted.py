"""A dozen planted surveys of two hundred (tests/benchmarks/planted_surveys.py runs all): none crashes, none is left without a word."""

from __future__ import annotations

import pytest
from planted import outcome, plant


@pytest.mark.parametrize("number", range(12))
def test_every_planted_survey_has_an_answer(number: int) -> None:
    found = outcome(plant(number))
    assert found.answer in ("solved", "otherwise", "refused", "harmless"), found
    if found.answer == "refused":
        assert any(c.isdigit() for c in found.reason), found.reason  # numbers, not only words


def test_the_same_seed_plants_the_same() -> None:
    first, second = plant(3), plant(3)
    assert (first.words, first.meant, first.truss) == (second.words, second.meant, second.truss)
    assert len(first.meant) == 2
