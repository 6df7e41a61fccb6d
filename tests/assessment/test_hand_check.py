"""The hand check agrees with the frame, whose numbers it does not use, and says where it leaves something out."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from sample_trusses import SI_SAMPLE, SLENDER, US_SAMPLE, assessed, project, truss

from detailgen.assessment.assess import assess_truss
from detailgen.assessment.hand_check import hand_check
from detailgen.model.assessment import HandCheck
from detailgen.pipeline import known_standards

CASES = [(US_SAMPLE, "T2"), (US_SAMPLE, "T3"), (SI_SAMPLE, "T2"), (SLENDER, "C")]
WOOD, LOADS = known_standards()


def line(check: HandCheck, what: str, last: bool = False):
    found = [n for n in check.lines if n.what.startswith(what)]
    return found[-1] if last else found[0]


@pytest.mark.parametrize(("name", "mark"), CASES)
def test_by_hand_and_by_the_frame(name: str, mark: str) -> None:
    check = hand_check(assessed(name, mark), project(name))
    assert check is not None
    assert check.combination == "D + S balanced"
    assert line(check, "all loads").by_hand == pytest.approx(line(check, "all loads").ours, rel=2e-3)  # a sagged truss is a little longer
    for side in ("left", "right"):
        assert line(check, side).by_hand == pytest.approx(line(check, side).ours, rel=1e-6)
    rough, exact = line(check, "tension in"), line(check, "tension in", last=True)
    assert rough.by_hand == pytest.approx(rough.ours, rel=0.03)
    assert exact.by_hand == pytest.approx(exact.ours, rel=1e-6)
    size = max(abs(f.axial) for f in check.forces)
    assert math.hypot(*check.rest) <= 1e-8 * size
    assert check.connection is not None
    assert check.connection.combination == check.combination


def test_moment_over_height_by_hand() -> None:
    """Printworks T2: 12,243 lb at 28 ft less the load on half the roof: about w L^2 / 8."""
    check = hand_check(assessed(US_SAMPLE, "T2"), project(US_SAMPLE))
    assert check is not None
    whole = line(check, "all loads").by_hand
    moment = line(check, "moment at U4").by_hand
    assert moment == pytest.approx(whole * 672 / 8, rel=0.01)
    assert line(check, "height at").by_hand == pytest.approx(672 * (1 - math.sqrt(3) / 2), abs=1e-3)


def test_purlins_and_concentrated_loads_are_single_forces_here_too() -> None:
    owner, chosen = project(SLENDER), replace(truss(SLENDER, "C"), purlins=tuple(48.0 * k for k in range(1, 12)), purlin_height=8.0)
    before = assess_truss(owner, chosen, WOOD["nds_2018"], LOADS["asce7_16"])
    check = hand_check(before, owner)
    assert check is not None
    assert line(check, "left").by_hand == pytest.approx(line(check, "left").ours, rel=1e-6)
    assert line(check, "tension in", last=True).by_hand == pytest.approx(line(check, "tension in", last=True).ours, rel=1e-6)


def test_without_a_frame_of_our_own_there_is_none() -> None:
    assert hand_check(replace(assessed(US_SAMPLE, "T2"), answers=None), project(US_SAMPLE)) is None
