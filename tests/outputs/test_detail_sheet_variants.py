"""Sheets of many layouts of the same splice: whatever the search picks, lettering stands free and all is inside the frame."""

from __future__ import annotations

import pytest
import splice_fixture
from detail_package import make_package
from sheet_reader import read_svg
from test_sheets import _collisions

from detailgen.core.units import MM, SI, US
from detailgen.outputs.drawings import write_svg
from detailgen.outputs.drawings.detail_sheet import draw_detail

# gap, end distance, spacing, gauge, bolts in a row, bolt: the ends of the search's ranges, and between them.
LAYOUTS = [
    (0.0, 3.5, 2.0, 2.0, 2, 0.5, US), (2.0, 3.5, 2.0, 4.0, 7, 0.5, SI), (2.0, 8.0, 7.0, 2.0, 10, 1.0, SI), (24.0, 8.0, 7.0, 4.0, 7, 0.5, US),
]  # fmt: skip


@pytest.mark.parametrize("layout", LAYOUTS, ids=lambda x: f"{x[0]:g} {x[4]} {x[6].name}")
def test_every_layout_is_drawn_cleanly(layout, monkeypatch, tmp_path):
    gap, end, spacing, gauge, per_row, bolt, units = layout
    columns = [side * (gap / 2 + end + k * spacing) for side in (-1, 1) for k in range(per_row)]
    plate_end = max(1.25, 1.5 * bolt)
    bolts = sorted((x, y) for x in columns for y in (-gauge / 2, gauge / 2))
    values = {
        "GAP": gap, "END": end, "SPACING": spacing, "GAUGE": gauge, "PER_ROW": per_row, "BOLT": bolt, "HOLE": bolt + 1 / 16, "COLUMNS": columns,
        "PLATE_END": plate_end, "BOLTS": bolts, "HALF": max(columns) + plate_end,
    }  # fmt: skip
    for name, value in values.items():
        monkeypatch.setattr(splice_fixture, name, value)
    package = make_package(units, splice_fixture.splice_detail())
    for drawing in draw_detail(package.details[0], package):
        write_svg(drawing, tmp_path / "a.svg")
        _, texts, strokes = read_svg(tmp_path / "a.svg")
        assert _collisions([(words, box) for _, words, box in texts], strokes) == []
        x0, y0, x1, y1 = (v / MM + e for v, e in zip(drawing.sheet.inner, (-1e-3, -1e-3, 1e-3, 1e-3), strict=True))
        assert all(x0 <= x <= x1 and y0 <= y <= y1 for _, _, box in texts for x, y in box)
    holes = [s for v in draw_detail(package.details[0], package)[0].views for s in v.shapes if s.layer == "holes"]
    assert len(holes) == 7 * 2 * per_row  # plate and far ply whole, a filler and two plies by halves of two rows each
