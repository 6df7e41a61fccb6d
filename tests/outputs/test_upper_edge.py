"""Where callouts and dimensions find the upper edge of a part that is no rectangle."""

from __future__ import annotations

from dataclasses import replace

import pytest
from splice_fixture import splice_detail

from detailgen.model.detail import Placement, Vertex
from detailgen.outputs.drawings.detail_geometry import upper_edge

SLOPED = (Vertex(0.0, 0.0), Vertex(12.0, 0.0), Vertex(12.0, 3.0), Vertex(0.0, 9.0))
"""Falls six inches in twelve."""


def plate(placement: Placement):
    part = next(p for p in splice_detail().parts if p.kind == "plate")
    return replace(part, outline=SLOPED, holes=(), placement=placement)


@pytest.mark.parametrize(("x", "y"), [(2.0, 8.0), (6.0, 6.0), (10.0, 4.0)])
def test_it_follows_the_slope(x: float, y: float) -> None:
    assert upper_edge(plate(Placement(0.0, 0.0, 0.0)), x) == pytest.approx(y)
    assert upper_edge(plate(Placement(20.0, -1.0, 0.0)), 20.0 + x) == pytest.approx(y - 1.0)


def test_beside_the_part_it_is_its_highest_point() -> None:
    assert upper_edge(plate(Placement(0.0, 0.0, 0.0)), 40.0) == pytest.approx(9.0)
