"""What a result says of itself."""

from __future__ import annotations

import math

import pytest

from detailgen.core.clause import Cite
from detailgen.core.result import CheckResult, State, governs


@pytest.mark.parametrize(("state", "ratio", "passes"), [
    (State.PASSES, 0.4, True),
    (State.PASSES, 1.0, True),
    (State.PASSES, 1.0001, False),
    (State.PASSES, math.nan, False),
    (State.DOES_NOT_PASS, 0.4, False),  # a distance that is too short
    (State.CANNOT_BE_CHECKED, 0.4, False),
])  # fmt: skip
def test_it_passes_only_if_it_was_checked_and_is_at_most_one(state: State, ratio: float, passes: bool) -> None:
    one = CheckResult("web", "tension", ratio, 1.0, "lb", ratio, state, "D", "service", 0.0, Cite("our rule", ""))
    assert one.passes is passes


def result(ratio: float, unit: str = "lb", state: State = State.PASSES) -> CheckResult:
    return CheckResult("web", "tension", ratio, 1.0, unit, ratio, state, "D", "service", 0.0, Cite("our rule", ""))


def test_what_governs_is_unknown_then_what_fails_then_the_largest_of_strength() -> None:
    low, high, near = result(0.3), result(0.9), result(0.95, "in")
    short = result(1.02, "in", State.DOES_NOT_PASS)
    unknown = result(math.nan, state=State.CANNOT_BE_CHECKED)
    assert governs([low, near, high]) is high  # a distance that is kept says nothing of how far a thing is used
    assert governs([near]) is near
    assert governs([low, short, high]) is short
    assert governs([high, unknown, short]) is unknown
    first, second = result(0.5), result(0.5 + 1e-9)
    assert governs([first, second]) is first  # noise does not choose
