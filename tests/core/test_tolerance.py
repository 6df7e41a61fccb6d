"""Rounding before comparing, and away from a minimum."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from detailgen.core.tolerance import at_most, rounded, up_to_grid


@given(st.floats(min_value=0.01, max_value=1e4))
def test_the_grid_never_falls_below_the_minimum(least: float) -> None:
    chosen = up_to_grid(least, Fraction(1, 16))
    assert chosen * 16 == round(chosen * 16)
    assert least - 2e-6 <= chosen < least + 1 / 16 + 1e-6


@given(st.integers(min_value=1, max_value=5000))
def test_a_length_on_the_grid_stays_through_millimetres(ticks: int) -> None:
    inches = ticks / 16
    assert up_to_grid(inches * 25.4 / 25.4, Fraction(1, 16)) == inches


def test_one_millionth_does_not_decide() -> None:
    assert at_most(1.0 + 1e-9, 1.0)
    assert not at_most(1.001, 1.0)
    assert rounded(123456.74999) == 123456.7
    assert rounded(0.0) == 0.0
