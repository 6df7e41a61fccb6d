"""Load diagrams of the report: what is drawn is what the load says."""

from __future__ import annotations

import numpy as np
import pytest
from sample_trusses import US_SAMPLE, assessed, project, truss

from detailgen.model.assessment import LoadPicture
from detailgen.outputs.report.pictures import load_shape

UNITS = project(US_SAMPLE).units
TRUSS = truss(US_SAMPLE, "T2")
PSF = 1 / 144


def words(picture) -> list[str]:
    return [str(s["words"]) for s in picture.shapes if s["kind"] == "text"]


def test_a_load_has_its_greatest_and_its_end_values() -> None:
    shown = load_shape(LoadPicture("S unbalanced left", np.array([0.0, 336.0, 336.0, 672.0]), np.array([40, 10, 0, 0]) * PSF), TRUSS, UNITS)
    assert words(shown) == ["S unbalanced left", "greatest 40.0 psf", "40.0 psf", "0.0 psf"]
    outline = next(s["points"] for s in shown.shapes if s["kind"] == "line" and s["fill"])
    heights = [y for _, y in outline]
    base = max(heights)
    assert base - heights[1] == pytest.approx(4 * (base - heights[2]), abs=0.02)


def test_uplift_hangs_below_the_line() -> None:
    shown = load_shape(LoadPicture("W uplift", np.array([0.0, 672.0]), np.array([-12.0, -12.0]) * PSF), TRUSS, UNITS)
    assert "greatest uplift 12.0 psf" in words(shown)
    outline = next(s["points"] for s in shown.shapes if s["kind"] == "line" and s["fill"])
    assert max(y for _, y in outline) > outline[0][1]
    assert shown.height > max(y for _, y in outline)


def test_concentrated_loads_are_arrows_at_their_joints() -> None:
    (picture,) = [p for p in assessed(US_SAMPLE, "T2").pictures if p.forces]
    shown = load_shape(picture, TRUSS, UNITS)
    assert "2,000 lb each, one at a time" in words(shown)
    heads = [s for s in shown.shapes if s["kind"] == "line" and s["fill"] and len(s["points"]) == 4 and s["points"][0] == s["points"][-1]]
    assert [h["points"][0][0] for h in heads] == pytest.approx([12 + 210 * k / 8 for k in range(1, 8)], abs=0.01)
