"""Zinc and nuts. ASTM A123 table 1 (plate) as the American Galvanizers Association prints it; ASTM A563 in a bolt maker's copy."""

from __future__ import annotations

import pytest

from detailgen.core.errors import NotCovered
from detailgen.stock.bolts import bolt_size
from detailgen.stock.galvanizing import overtapping, zinc_grade


@pytest.mark.parametrize(("thickness", "grade"), [(0.05, 45), (1 / 16, 65), (0.12, 65), (1 / 8, 75), (1 / 4, 75), (0.62, 75), (5 / 8, 100), (2, 100)])
def test_zinc_on_plate(thickness, grade):
    assert zinc_grade(thickness) == grade


def test_no_plate_no_zinc():
    with pytest.raises(NotCovered):
        zinc_grade(0.0)


@pytest.mark.parametrize(("diameter", "allowance"), [(0.5, 0.018), (0.625, 0.020), (0.75, 0.020), (0.875, 0.022), (1.0, 0.024)])
def test_nuts_are_tapped_oversize(diameter, allowance):
    assert overtapping(diameter) == allowance
    # A nut that large still holds: what it loses is less than half of the thread's depth, 0.6134 of the pitch (ASME B1.1; from memory).
    assert allowance < 0.5 * 0.6134 * 2 * bolt_size(diameter).pitch


def test_another_size_is_told():
    with pytest.raises(NotCovered):
        overtapping(0.3)
