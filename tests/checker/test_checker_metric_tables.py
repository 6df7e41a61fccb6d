"""The tables of EN 1995-1-1, which print gives in millimetres, read by two evaluators that share no code: the checker's and the standard's own."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from detailgen.checker.rules import Asked, least_distance
from detailgen.core.units import MM
from detailgen.standards.en1995_1_1.distances import least_distance as by_standard

QUANTITIES = ["end", "edge", "edge_loaded", "edge_unloaded", "spacing_along_grain", "spacing_across_grain"]


def asked(quantity, load, d, angle, fastener):
    return least_distance(Asked("en1995_1_1", fastener, "softwood", quantity, load, angle, d * MM, 4.0))


LOADS = st.sampled_from(["tension", "compression"])


@given(st.sampled_from(["bolt", "dowel"]), st.sampled_from(QUANTITIES), LOADS, st.floats(6, 30), st.floats(0, 90))
def test_checker_and_standard_read_the_same_rows(fastener, quantity, load, d, angle):
    found = asked(quantity, load, d, round(angle, 3), fastener)
    expected = float(by_standard(quantity, load, d=d, angle=round(angle, 3), fastener=fastener))
    assert (found.least / MM, found.full / MM) == (pytest.approx(expected, rel=1e-9), pytest.approx(expected, rel=1e-9))
    assert not found.reduces


def test_eighty_millimetres_are_no_eighty_inches():
    """Table 8.4 (from memory): a3t of a 10 mm bolt is max(7 d, 80 mm)."""
    assert asked("end", "tension", 10.0, 0.0, "bolt").least / MM == pytest.approx(80)
