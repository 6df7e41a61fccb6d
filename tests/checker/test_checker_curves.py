"""Splines, parts of ellipses and slots taken apart, in whatever form a program left them; dimensions by ordinates and angles."""

from __future__ import annotations

import math

import ezdxf.math
import pytest
from ezdxf.math import BSpline, ConstructionArc, Vec3
from face_views import build, failing, holes, outline, saved, tag, tags_of
from test_checker_other_hands import lengths, sound  # noqa: F401  a fixture
from test_checker_steel import slotted

from detailgen.checker import check_file
from detailgen.checker.curves import round_shape
from detailgen.core.result import State


def rational_circle(doc, hole):
    """Exact: degree 2 with weights, as programs convert circles."""
    c, r = hole.dxf.center, hole.dxf.radius
    return ezdxf.math.rational_bspline_from_arc(center=(c.x, c.y), radius=r, start_angle=13, end_angle=373)


def fitted_circle(doc, hole):
    """Near: degree 3 without weights, a quarter at a time; 3e-4 of the radius off."""
    c, r, k = hole.dxf.center, hole.dxf.radius, 4 / 3 * (math.sqrt(2) - 1)
    places = [(1, 0), (1, k), (k, 1), (0, 1), (-k, 1), (-1, k), (-1, 0), (-1, -k), (-k, -1), (0, -1), (k, -1), (1, -k), (1, 0)]
    knots = [0, 0, 0, 0, 1, 1, 1, 2, 2, 2, 3, 3, 3, 4, 4, 4, 4]
    return BSpline([Vec3(c.x + r * x, c.y + r * y) for x, y in places], order=4, knots=knots)


@pytest.mark.parametrize("how", [rational_circle, fitted_circle])
def test_a_spline_that_is_a_circle(how, sound, tmp_path):  # noqa: F811
    doc = build()
    for h in holes(doc, "plate-near") + holes(doc, "ply-near-left"):
        spline = doc.modelspace().add_spline()
        spline.apply_construction_tool(how(doc, h))
        tag(spline, *tags_of(h))
        doc.modelspace().delete_entity(h)
    path = saved(doc, tmp_path)
    assert failing(path) == []
    assert [v[-1] for v in lengths(path)] == pytest.approx([v[-1] for v in sound], abs=2e-4 if how is fitted_circle else 2e-6)


def test_a_spline_that_is_an_outline(sound, tmp_path):  # noqa: F811
    doc = build()
    for part in ("plate-near", "ply-near-left"):
        line = outline(doc, part)
        points = [*line.get_points("xy"), line.get_points("xy")[0]]
        spline = doc.modelspace().add_spline()
        spline.apply_construction_tool(BSpline([Vec3(p) for p in points], order=2))
        tag(spline, *tags_of(line))
        doc.modelspace().delete_entity(line)
    path = saved(doc, tmp_path)
    assert failing(path) == []
    assert [v[-1] for v in lengths(path)] == pytest.approx([v[-1] for v in sound], abs=2e-6)


@pytest.mark.parametrize(
    "points", [[(0, 0), (1, 0), (2, 1)], [(0.0, 0.0), (0.4, 0.0), (0.5, 0.6), (0.0, 0.5), (0.0, 0.0)]], ids=["open", "no circle"]
)  # fmt: skip
def test_a_spline_that_is_no_hole(points, tmp_path):
    doc = build()
    h = holes(doc, "plate-near")[0]
    spline = doc.modelspace().add_spline()
    spline.apply_construction_tool(BSpline([Vec3(x + h.dxf.center.x, y + h.dxf.center.y) for x, y in points], order=3))
    tag(spline, *tags_of(h))
    doc.modelspace().delete_entity(h)
    assert any("plate-near" in f and ("circle" in f or "closed" in f) for f in failing(saved(doc, tmp_path)))


def test_a_spline_by_fit_points_alone_is_named(tmp_path):
    doc = build()
    h = holes(doc, "plate-near")[0]
    spline = doc.modelspace().add_spline(fit_points=[(0, 0), (1, 1), (2, 0)])
    tag(spline, *tags_of(h))
    assert any("not told by control points" in f for f in failing(saved(doc, tmp_path)))


def test_halves_of_ellipses_that_are_round(sound, tmp_path):  # noqa: F811
    doc = build()
    for h in holes(doc, "plate-near"):
        for a, b in ((0.4, 0.4 + math.pi), (0.4 + math.pi, 0.4)):
            half = doc.modelspace().add_ellipse(h.dxf.center, (0, h.dxf.radius), 1.0, a, b)
            tag(half, *tags_of(h))
        doc.modelspace().delete_entity(h)
    path = saved(doc, tmp_path)
    assert failing(path) == []
    assert [v[-1] for v in lengths(path)] == pytest.approx([v[-1] for v in sound], abs=2e-6)


def test_places_spread_over_a_circle_anyhow():
    angles = [math.tau * (k / 40) ** 2 for k in range(40)]
    hole = round_shape([(3 + 0.5 * math.cos(a), 4 + 0.5 * math.sin(a), 0.0) for a in angles])
    assert hole is not None
    assert (hole.x, hole.y, hole.diameter) == pytest.approx((3, 4, 1.0), abs=1e-9)


def test_a_slot_taken_apart(tmp_path):
    doc = slotted(build(), 13 / 16, 1.0, 90)
    slot = next(e for e in doc.modelspace().query("LWPOLYLINE") if "kind=slot" in tags_of(e))
    said = tags_of(slot)
    for piece in slot.explode():
        tag(piece, *said)
    assert not [r for r in check_file(saved(doc, tmp_path)) if r.state is not State.PASSES]
    doc.modelspace().delete_entity(next(e for e in doc.modelspace().query("ARC") if "kind=slot" in tags_of(e)))
    assert any("do not close" in r.missing for r in check_file(saved(doc, tmp_path)))


def test_a_corner_by_an_arc_in_an_exploded_outline(tmp_path):
    """The rounded corner is part of the outline again, and the hole's nearest edge is measured to it."""
    doc = build()
    line = outline(doc, "plate-near")
    (x0, y0), (x1, _), (_, y1), _ = line.get_points("xy")
    said, r = tags_of(line), 0.5
    msp = doc.modelspace()
    msp.delete_entity(line)
    arc = ConstructionArc((x0 + r, y0 + r), r, 180, 270)
    for e in (msp.add_line((x0 + r, y0), (x1, y0)), msp.add_line((x1, y1), (x1, y0)), msp.add_line((x0, y1), (x1, y1)),
              msp.add_arc(arc.center, r, 180, 270), msp.add_line((x0, y1), (x0, y0 + r))):  # fmt: skip
        tag(e, *said)
    assert not [r for r in check_file(saved(doc, tmp_path)) if r.state is not State.PASSES and "stretch" not in r.check and r.where != "dimensions"]


@pytest.mark.parametrize(("text", "wrong"), [("<>", False), ('6"', True), ("", False)])
def test_ordinates(text, wrong, tmp_path):
    """A hole 1-1/4 in. from the end of the plate, 1-1/2 in. above its lower edge, by its ordinates from the corner."""
    doc = build()
    x0, y0 = outline(doc, "plate-near").get_points("xy")[0]
    h = holes(doc, "plate-near")[0].dxf.center
    for way, offset in ((1, (0, -4)), (0, (-4, 0))):
        dim = doc.modelspace().add_ordinate_dim((h.x, h.y), offset, way, origin=(x0, y0), dimstyle="PLAIN", text=text or "<>")
        dim.render()
    found = [r for r in check_file(saved(doc, tmp_path)) if r.state is not State.PASSES]
    assert bool(found) is wrong, [r.check for r in found]
    assert not wrong or all("states 6 in." in r.check for r in found)


@pytest.mark.parametrize(("text", "wrong"), [("<>", False), ("45%%d", False), ("30°", True), ("315°", False), ("VARIES", False)])
def test_angles(text, wrong, tmp_path):
    doc = build()
    dim = doc.modelspace().add_angular_dim_3p(base=(3, 1), center=(0, 0), p1=(5, 0), p2=(5, 5), text=text, dimstyle="PLAIN")
    dim.render()
    found = [r for r in check_file(saved(doc, tmp_path)) if r.state is not State.PASSES]
    assert bool(found) is wrong, [r.check for r in found]
    dim = doc.modelspace().add_angular_dim_2l(base=(3, 1), line1=((0, 0), (5, 0)), line2=((0, 0), (5, 5)), text=text, dimstyle="PLAIN")
    dim.render()
    found = [r for r in check_file(saved(doc, tmp_path)) if r.state is not State.PASSES]
    assert bool(found) is wrong
