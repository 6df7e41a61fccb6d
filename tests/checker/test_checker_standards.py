"""The same drawing judged by other tables: EN 1995-1-1, other fasteners, connectors, neighbours. Figures by hand, sources beside them."""

from __future__ import annotations

import math

import pytest
from face_views import build, holes, outline, outlines, saved, set_value, tag, tags_of

from detailgen.checker import check_file
from detailgen.checker.rules import Asked, connector_spacing, least_distance
from detailgen.checker.tags import fastener
from detailgen.core.result import State

MM = 25.4


@pytest.mark.parametrize(
    ("quantity", "load", "angle", "full_mm"),
    [  # EN 1995-1-1 table 8.4, bolts, from memory; d = 20 mm
        ("spacing_along_grain", "tension", 0, 100), ("spacing_along_grain", "tension", 60, 90), ("spacing_across_grain", "tension", 0, 80),
        ("end", "tension", 0, 140), ("end", "compression", 0, 80), ("end", "compression", 90, 140), ("edge_loaded", "tension", 90, 80),
        ("edge_loaded", "tension", 0, 60), ("edge_unloaded", "tension", 90, 60),
    ],
)  # fmt: skip
def test_rows_in_millimetres(quantity, load, angle, full_mm):
    need = least_distance(Asked("en1995_1_1", "bolt", "softwood", quantity, load, angle, 20 / MM, 3.0))
    assert need.full * MM == pytest.approx(full_mm)
    assert not need.reduces


def test_the_eighty_millimetres_of_thin_bolts():
    """a3,t is max(7 d, 80 mm): table 8.4, from memory."""
    assert least_distance(Asked("en1995_1_1", "bolt", "softwood", "end", "tension", 0.0, 10 / MM, 3.0)).full * MM == pytest.approx(80)


def by_en(doc):
    for part in ("ply-near-left", "ply-near-right", "ply-far", "filler-left", "filler-right"):
        for line in outlines(doc, part):
            set_value(line, "standard", "en1995_1_1")
        for h in holes(doc, part):
            set_value(h, "fastener", "bolt 20.0 mm")
    return doc


def test_a_sheet_by_en_1995(tmp_path):
    """End 7 in. = 177.8 mm, 7 d = 140 mm passes; 4.5 in. = 114.3 mm along the grain, 5 d = 100 mm."""
    results = check_file(saved(by_en(build()), tmp_path))
    end = next(r for r in results if r.where.startswith("ply-near-right") and r.check.startswith("end distance at the left"))
    assert (end.demand * MM, end.capacity * MM) == pytest.approx((140, 177.8))
    along = next(r for r in results if r.where.startswith("ply-near-right") and r.check.startswith("spacing along the grain"))
    assert (along.demand * MM, along.capacity * MM) == pytest.approx((100, 114.3))
    assert all("EN 1995" in r.cite.document for r in (end, along))


@pytest.mark.parametrize(
    ("text", "kind", "diameter"),
    [
        ("bolt 3/4 in", "bolt", 0.75), ("lag screw 1/2 in", "lag screw", 0.5), ("dowel 12 mm", "dowel", 12 / MM),
        ("nail under 5 mm 4 mm", "nail under 5 mm", 4 / MM), ("2-1/2 in. split ring 1/2 in", "2-1/2 in. split ring", 0.5),
        ("4 in. shear plate", "4 in. shear plate", math.nan),
    ],
)  # fmt: skip
def test_designations(text, kind, diameter):
    one = fastener(text)
    assert one.kind == kind
    assert one.diameter == pytest.approx(diameter, abs=0.011, nan_ok=True)


def test_lag_screws_have_the_rows_of_bolts():
    """NDS 2018 12.5.1: D of 1/4 in. and more, from memory."""
    for quantity in ("end", "spacing_in_row", "edge", "between_rows"):
        bolt, screw = (least_distance(Asked("nds_2018", k, "softwood", quantity, "tension", 0.0, 0.5, 3.0)) for k in ("bolt", "lag screw"))
        assert (bolt.full, bolt.least) == (screw.full, screw.least)


def test_spacing_of_rings():
    """AITC Timber Construction Manual, page 346 (as quoted by the project's list of values): S_A 5.125, S_B 3.875 at a load of 30 degrees."""
    along, across = (connector_spacing("nds_2018", "2-1/2 in. split ring", 30.0, axis) for axis in (0.0, 90.0))
    assert (along.full, across.full) == pytest.approx((5.125, 3.875))
    between = connector_spacing("nds_2018", "2-1/2 in. split ring", 30.0, 45.0).full
    assert 3.875 < between < 5.125
    assert along.factor(along.least) == pytest.approx(0.5)  # table 13.3: at the least spacing
    assert along.factor(along.full) == pytest.approx(1.0)


def test_ends_of_rings_are_reduced_in_a_straight_line():
    """NDS table 13.3, from memory: end 5-1/2 in. full, 2-3/4 in. at 0.625."""
    need = least_distance(Asked("nds_2018", "2-1/2 in. split ring", "softwood", "end", "tension", 0.0, 0.0, 3.0))
    assert (need.full, need.least, need.factor(2.75)) == pytest.approx((5.5, 2.75, 0.625))
    assert need.factor(4.125) == pytest.approx(0.8125)


@pytest.mark.parametrize(("dx", "dy", "found"), [(1.0, 0.9, True), (2.3, 0.5, False), (1.0, 1.2, False), (2.2, 1.1, True)])
def test_an_old_hole_beside_a_new_one(dx, dy, found, tmp_path):
    """3/4 in. bolts: 3 D = 2.25 along, 1.5 D = 1.125 across the grain (NDS 2018 tables 12.5.1B and D, from memory); beside old holes ours."""
    doc = build()
    h = holes(doc, "ply-far")[-1]
    doc.modelspace().add_circle((h.dxf.center.x + dx, h.dxf.center.y + dy), 0.05)
    told = [r for r in check_file(saved(doc, tmp_path)) if r.state is State.DOES_NOT_PASS]
    assert bool(told) == found
    assert all("beside an old hole" in r.check and "ply-far" in r.where for r in told)


def test_a_neighbouring_group(tmp_path):
    doc = build()
    h = holes(doc, "ply-far")[-1]
    other = doc.modelspace().add_circle((h.dxf.center.x + 1.5, h.dxf.center.y + 0.9), h.dxf.radius)
    tag(other, *[t.replace("group=B1", "group=B2") for t in tags_of(h)])
    assert any("beside group B" in r.check for r in check_file(saved(doc, tmp_path)))


def test_a_sheet_without_its_material_is_unknown(tmp_path):
    doc = build()
    set_value(outline(doc, "ply-far"), "wood", "bamboo")
    told = [r for r in check_file(saved(doc, tmp_path)) if r.state is not State.PASSES]
    assert {r.state for r in told} == {State.CANNOT_BE_CHECKED}
