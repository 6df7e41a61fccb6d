"""What a result says of itself."""

from __future__ import annotations

import math

import pytest

from detailgen.core.clause import Cite
from detailgen.core.result import CheckResult, State


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
