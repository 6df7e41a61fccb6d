"""Intervals."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from detailgen.core.geometry import union

tenths = st.integers(-50, 50).map(lambda n: n / 10)


def test_intervals_within_others_and_side_by_side() -> None:
    assert union([(12, 13), (0, 10), (1, 2), (5, 11), (13, 14)]) == [(0, 11), (12, 14)]


@given(st.lists(st.tuples(tenths, tenths).map(lambda ab: (min(ab), max(ab))), max_size=8), tenths)
def test_a_place_is_in_the_union_where_it_is_in_one_of_them(bands: list[tuple[float, float]], x: float) -> None:
    parts = union(bands)
    assert any(a <= x <= b for a, b in parts) == any(a <= x <= b for a, b in bands)
    assert all(a[1] < b[0] for a, b in pairwise(parts))
