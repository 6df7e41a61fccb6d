"""Where callouts and dimensions find the upper edge of a part that is no rectangle."""

from __future__ import annotations

import re
from dataclasses import replace

import ezdxf
import pytest
from detail_package import make_package
from parts_reader import Window, views_of
from splice_fixture import splice_detail

from detailgen.core.units import US
from detailgen.model.detail import Placement, Vertex
from detailgen.outputs.drawings import write_dxf
from detailgen.outputs.drawings.detail_geometry import upper_edge
from detailgen.outputs.drawings.detail_sheet import draw_detail

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


def test_the_callout_of_a_sloped_plate_ends_on_its_edge(tmp_path) -> None:
    """Read back from the elevation: the arrow's tip lies on the slope, and not in the air at the height of the plate's highest point."""
    detail = splice_detail()
    part = detail.part("plate-near")
    (left, low), (right, high) = ((f(v.x for v in part.outline), f(v.y for v in part.outline)) for f in (min, max))
    sloped = replace(part, outline=(Vertex(left, low), Vertex(right, low), Vertex(right, high), Vertex(left, high + 6.0)))
    package = make_package(US, replace(detail, parts=tuple(sloped if p is part else p for p in detail.parts)))
    write_dxf(draw_detail(package.details[0], package)[0], tmp_path / "a.dxf")
    doc = ezdxf.readfile(tmp_path / "a.dxf")
    words = re.compile(rf"\(N\) PL-\d+ {part.name}, .*holes in the shop")
    tips = [tip for window in views_of(doc) for _, tip in Window(doc, window).about(words)]
    assert len(tips) == 1
    ((x, y),) = tips
    assert left < x < right
    assert y == pytest.approx(high + 6.0 * (right - x) / (right - left), abs=1e-4)
