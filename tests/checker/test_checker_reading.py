"""Drawings as other hands leave them: other units, other entities, turned, mirrored and moved views, lost and changed dimensions."""

from __future__ import annotations

import math

import pytest
from ezdxf.math import Matrix44
from face_views import APP, build, failing, holes, new_document, outline, saved, tag, tags_of, value

from detailgen.checker import check_file, check_paths
from detailgen.checker.dimensions import length_in, plain
from detailgen.checker.drawing import FaceHole
from detailgen.checker.geometry import Edge, joined, outline_of
from detailgen.checker.measure import rows
from detailgen.checker.read_dxf import _thickness_in_name
from detailgen.core.result import State


def lengths(path):
    return [(r.check.split(" (")[0], r.capacity) for r in check_file(path) if "distance" in r.check]


@pytest.fixture(scope="module")
def sound(tmp_path_factory):
    return lengths(saved(build(), tmp_path_factory.mktemp("sound")))


@pytest.mark.parametrize("version", ["R2000", "R2004", "R2007", "R2010", "R2013", "R2018"])
def test_versions(version, sound, tmp_path):
    path = saved(build(version=version), tmp_path)
    assert failing(path) == []
    assert lengths(path) == sound


def test_binary_dxf(sound, tmp_path):
    path = tmp_path / "b.dxf"
    build().saveas(path, fmt="bin")
    assert lengths(path) == sound


def test_millimetres(sound, tmp_path):
    path = saved(build(metric=True), tmp_path)
    assert failing(path) == []
    found = lengths(path)
    assert [c for c, _ in found] == [c for c, _ in sound]
    assert [v for _, v in found] == pytest.approx([v for _, v in sound], abs=2e-6)
    assert any("178 mm" in r.where or "177.8 mm" in r.where for r in check_file(path))


def polyline_of(doc, line):
    new = doc.modelspace().add_polyline2d(list(line.get_points("xyb")), format="xyb", close=True)
    tag(new, *tags_of(line))
    doc.modelspace().delete_entity(line)


def exploded(doc, line):
    """Lines in mixed order and direction."""
    points = list(line.get_points("xy"))
    pieces = list(zip(points, [*points[1:], points[0]], strict=True))
    for k in (2, 0, 3, 1):
        a, b = pieces[k] if k % 2 else pieces[k][::-1]
        tag(doc.modelspace().add_line(a, b), *tags_of(line))
    doc.modelspace().delete_entity(line)


def round_polyline(doc, circle):
    c, r = circle.dxf.center, circle.dxf.radius
    new = doc.modelspace().add_lwpolyline([(c.x - r, c.y, 1.0), (c.x + r, c.y, 1.0)], format="xyb", close=True)
    tag(new, *tags_of(circle))
    doc.modelspace().delete_entity(circle)


@pytest.mark.parametrize("how", [polyline_of, exploded])
def test_other_entities_for_outlines(how, sound, tmp_path):
    doc = build()
    for part in ("plate-near", "ply-near-left", "filler-left"):
        how(doc, outline(doc, part))
    path = saved(doc, tmp_path)
    assert failing(path) == []
    assert lengths(path) == sound


def test_round_polylines_are_holes(sound, tmp_path):
    doc = build()
    for h in holes(doc, "plate-near") + holes(doc, "ply-far"):
        round_polyline(doc, h)
    assert lengths(saved(doc, tmp_path)) == sound


def test_seen_from_behind(sound, tmp_path):
    """Some programs mirror by turning the extrusion round and counting x backwards: the drawing looks the same."""
    doc = build()
    for e in [outline(doc, "ply-near-left"), *holes(doc, "ply-near-left")]:
        e.dxf.extrusion = (0, 0, -1)
        if e.dxftype() == "CIRCLE":
            e.dxf.center = (-e.dxf.center.x, e.dxf.center.y)
        else:
            e.set_points([(-x, y, -b) for x, y, b in e.get_points("xyb")], format="xyb")
    path = saved(doc, tmp_path)
    assert failing(path) == []
    assert lengths(path) == sound


@pytest.mark.parametrize("degrees", [7.0, -30.0, 44.0])
def test_a_turned_view_is_measured_in_its_own_axes(degrees, sound, tmp_path):
    doc = build()
    for e in list(doc.modelspace().query("DIMENSION")):
        doc.modelspace().delete_entity(e)
    turn = Matrix44.chain(Matrix44.z_rotate(math.radians(degrees)), Matrix44.translate(40, 500, 0))
    for part in ("ply-near-left", "plate-near"):
        for e in [outline(doc, part), *holes(doc, part)]:
            e.transform(turn)
    path = saved(doc, tmp_path)
    assert failing(path) == []
    found = lengths(path)
    assert [v for _, v in found] == pytest.approx([v for _, v in sound], abs=2e-6)
    turned = [m for f in check_paths([path]).files for m in f.measured if "turned back" in m.what]
    assert {m.where for m in turned} == {"ply-near-left", "plate-near"}
    assert [m.value for m in turned] == pytest.approx([degrees] * 2, abs=1e-6)


def one_part(doc, *parts):
    for e in list(doc.modelspace()):
        if value(e, "part") not in parts:
            doc.modelspace().delete_entity(e)
    for part in parts:
        doc.modelspace().delete_entity(outline(doc, part, "plan"))
    return doc


def test_a_cut_file_alone(tmp_path):
    doc = one_part(build(), "plate-near")
    path = saved(doc, tmp_path, "PL-1_1-4in_x2.dxf")
    assert failing(path) == []
    nameless = saved(doc, tmp_path, "plate.dxf")
    assert len(failing(nameless)) == 1
    assert "the thickness of the part" in failing(nameless)[0]


def test_thickness_in_the_name():
    for stem, inches in (("PL-1_3-8in_x4", 0.375), ("PL-2_1-1-4in_x2", 1.25), ("PL-3_1in_x1", 1.0), ("PL-4_10mm_x2", 10 / 25.4), ("PL-1", None)):
        assert _thickness_in_name(stem) == (pytest.approx(inches) if inches else None)


def test_one_mark_is_one_part(tmp_path):
    """A cut file that lags behind an edited sheet is found; a plate turned by half or over is the same plate."""
    sheet, cut = build(), one_part(build(), "plate-near")
    for doc in (sheet, cut):
        line = outline(doc, "plate-near")
        tag(line, *[t for t in tags_of(line) if not t.startswith("mark=")], "mark=PL-1")
    (tmp_path / "a").mkdir()
    saved(sheet, tmp_path / "a", "sheet.dxf")
    for e in [outline(cut, "plate-near"), *holes(cut, "plate-near")]:
        e.transform(Matrix44.scale(-1, 1, 1))
    saved(cut, tmp_path / "a", "PL-1_1-4in_x2.dxf")
    assert check_paths([tmp_path / "a"]).passes
    holes(cut, "plate-near")[0].translate(0.1, 0, 0)
    saved(cut, tmp_path / "a", "PL-1_1-4in_x2.dxf")
    saved(sheet, tmp_path, "another_project.dxf")
    found = [r for rs in check_paths([tmp_path / "a"]).results.values() for r in rs if r.state is not State.PASSES]
    assert len(found) == 1
    assert "'PL-1' is drawn in two ways" in found[0].check


def test_a_sheet_that_shows_nothing_new_says_so(tmp_path):
    doc = new_document()
    border = doc.modelspace().add_lwpolyline([(0, 0), (9, 0), (9, 9)], close=True)
    assert not check_paths([saved(doc, tmp_path)]).passes
    tag(border, "kind=sheet", "shows=existing")
    checked = check_paths([saved(doc, tmp_path)])
    assert checked.passes
    assert checked.files[0].results == ()
    border.discard_xdata(APP)
    border.dxf.layer = "S-TRUS-WOOD-E"
    note = doc.modelspace().add_circle((3, 3), 1, {"layer": "S-ANNO-SYMB"})
    assert check_paths([saved(doc, tmp_path)]).passes
    note.dxf.layer = "S-TRUS-PLAT"
    assert not check_paths([saved(doc, tmp_path)]).passes


def test_rows_of_staggered_bolts():
    """Lines nearer to each other than a quarter of the distance of their nearest bolts are one row (NDS 2018 11.3.6.2, from memory)."""

    def found(gauge):
        staggered = [FaceHole(4.0 * k, gauge * (k % 2), 0.8125) for k in range(6)]
        return rows(staggered, (1.0, 0.0))

    assert [len(r.holes) for r in found(0.99)] == [6]
    assert found(0.99)[0].along == (0, 4, 8, 12, 16, 20)
    assert [len(r.holes) for r in found(1.0)] == [3, 3]
    assert [len(r.holes) for r in rows([FaceHole(0, 0, 1), FaceHole(0, 0.1, 1)], (1.0, 0.0))] == [1, 1]  # beside each other: two rows


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("2'-4 1/2\"", 28.5), ("7\"", 7), ("13/16\"", 13 / 16), ("1'-0\"", 12), ("\\A1;4 1/2\"", 4.5), ("{\\H0.7x;\\S1/2;}\"", 0.5),
        ("3\\S1#2;\"", 3.5),
        ("2 SPA @ 4 1/2\" = 9\"", 9), ("%%c13/16\" TYP", 13 / 16), ("(7 1/4\")", 7.25), ("4.5", 4.5), ("⌀3/4\"", 0.75), ("2'", 24),
    ],
)  # fmt: skip
def test_dimension_texts(text, inches):
    assert length_in(plain(text), metric=False) == pytest.approx(inches)


@pytest.mark.parametrize(("text", "mm"), [("178", 178), ("1524 mm", 1524), ("2 x 100 = 200", 200), ("⌀20.6", 20.6)])
def test_dimension_texts_in_millimetres(text, mm):
    assert length_in(plain(text), metric=True) == pytest.approx(mm / 25.4)


@pytest.mark.parametrize("text", ["VARIES", "", "TYP"])
def test_words_are_no_lengths(text):
    with pytest.raises(ValueError, match="no length"):
        length_in(text, metric=False)


def test_a_stale_picture_is_found(tmp_path):
    """The text is measured anew, but what the file shows on screen is what was drawn."""
    doc = build()
    dim = doc.modelspace().query("DIMENSION")[0]
    for e in doc.blocks.get(dim.dxf.geometry).query("MTEXT"):
        e.text = "2'-4\""
    found = failing(saved(doc, tmp_path))
    assert len(found) == 1
    assert "dimension picture '2'-4\"'" in found[0]


def test_arcs_are_measured():
    """A half disc of radius 2: distances by hand."""
    disc = outline_of([(-2, 0, 0.0), (2, 0, 1.0)])
    assert disc.box == pytest.approx((-2, 0, 2, 2))
    assert disc.ray((0, 1), (0.0, 1.0)) == pytest.approx(1)
    assert disc.ray((1, 0.5), (-1.0, 0.0)) == pytest.approx(1 + math.sqrt(4 - 0.25))
    assert disc.nearest((0, 1.5)) == pytest.approx(0.5)
    assert disc.contains((1.3, 1.3))
    assert not disc.contains((1.5, 1.5))
    assert joined([Edge(2, 0, -2, 0, 1.0), Edge(2, 0, -2, 0)]) is not None
    assert joined([Edge(2, 0, -2, 0, 1.0), Edge(2, 0, -2, 0.1)]) is None


def test_another_application_is_nobody(tmp_path):
    doc = build()
    doc.appids.add("OTHER")
    for e in doc.modelspace():
        if e.has_xdata(APP):
            e.set_xdata("OTHER", [(1000, "x")])
    assert failing(saved(doc, tmp_path)) == []
