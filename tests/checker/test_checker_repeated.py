"""A sheet that shows each mark again, without tags, for the shop: held against the face views of the package."""

from __future__ import annotations

import pytest
from face_views import build, holes, new_document, outline, saved, set_value, tag

from detailgen.checker import check_paths
from detailgen.core.result import State


def shop(where=(0.0, 0.0), caption="PL-1, 2 required", size='1/4" x 7" x 3\'-4 1/2"', mirrored=False):
    """The plate of the fixture by itself, anywhere, perhaps seen from its other side."""
    source, doc = build(), new_document()
    msp, (dx, dy), s = doc.modelspace(), where, -1 if mirrored else 1
    points = [(s * x + dx, y + dy) for x, y in outline(source, "plate-near").get_points("xy")]
    msp.add_lwpolyline(points, close=True, dxfattribs={"layer": "S-TRUS-PLAT-N"})
    for h in holes(source, "plate-near"):
        msp.add_circle((s * h.dxf.center.x + dx, h.dxf.center.y + dy), h.dxf.radius, {"layer": "S-TRUS-HOLE-N"})
    msp.add_text(caption, height=0.5).set_placement((-20 + dx, -6 + dy))
    msp.add_text(f"{size}, ASTM A36, galvanized", height=0.5).set_placement((-20 + dx, -8 + dy))
    tag(doc.layouts.get("Layout1").add_line((0, 0), (1, 0)), "kind=sheet", "shows=existing")
    return doc


@pytest.fixture
def package(tmp_path):
    sheet = build()
    set_value(outline(sheet, "plate-near"), "mark", "PL-1")
    folder = tmp_path / "drawings"
    folder.mkdir()
    saved(sheet, folder, "T2-splice-1.dxf")
    return folder


def told(package, doc):
    saved(doc, package, "shop_parts.dxf")
    results = check_paths([package]).results
    return next(rs for name, rs in results.items() if name.endswith("shop_parts.dxf"))


@pytest.mark.parametrize("place", [{}, {"where": (300.0, -70.0)}, {"mirrored": True}])
def test_a_part_shown_again(place, package):
    results = told(package, shop(**place))
    assert [(r.where, r.state) for r in results] == [("PL-1", State.PASSES)]
    assert "T2-splice-1.dxf" in results[0].check


def circles(doc):
    return list(doc.modelspace().query("CIRCLE"))


FAULTS = {
    "hole moved": (lambda d: circles(d)[0].translate(0.1, 0, 0), "outline or holes differ"),
    "hole deleted": (lambda d: d.modelspace().delete_entity(circles(d)[0]), "outline or holes differ"),
    "hole larger": (lambda d: setattr(circles(d)[0].dxf, "radius", 0.5), "outline or holes differ"),
    "another size in the caption": (lambda d: setattr(d.modelspace().query("TEXT")[1].dxf, "text", '3/8" x 7" x 3\'-4 1/2", ASTM A36'), "thickness"),
}  # fmt: skip


@pytest.mark.parametrize("name", FAULTS)
def test_faults_of_a_part_shown_again(name, package):
    change, words = FAULTS[name]
    doc = shop()
    change(doc)
    found = [r for r in told(package, doc) if r.state is State.DOES_NOT_PASS]
    assert any(words in r.check for r in found), found


def test_a_mark_that_nobody_knows_cannot_be_checked(package):
    found = [r for r in told(package, shop(caption="PL-8, 2 required")) if r.state is not State.PASSES]
    assert [(r.state, r.where) for r in found] == [(State.CANNOT_BE_CHECKED, "PL-8")]
