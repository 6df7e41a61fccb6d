"""Cut files, read back from disk."""

from __future__ import annotations

import math
from dataclasses import replace

import ezdxf
import pytest
from detail_package import make_package
from sheet_reader import text_corners
from splice_fixture import splice_detail

from detailgen.core.errors import OutputError
from detailgen.core.units import MM, SI, US
from detailgen.model.detail import Slot, Vertex
from detailgen.model.package import Marked
from detailgen.outputs.drawings.cut_files import write_cut_files


def _round_plate():
    """The outer plate with rounded ends and a slot."""
    detail = splice_detail()
    plate = detail.part("plate-near")
    x, y = 20.25, 3.5
    quarter = math.tan(math.pi / 8)
    outline = (
        Vertex(-x + 1, -y), Vertex(x - y, -y, 1.0), Vertex(x - y, y), Vertex(-x + 1, y, quarter), Vertex(-x, y - 1), Vertex(-x, -y + 1, quarter),
    )  # fmt: skip
    slot = Slot(0.0, 0.0, 3.0, 0.8125, math.pi / 2, "B1")
    return replace(detail, parts=(replace(plate, outline=outline, slots=(slot,)), *detail.parts[1:]))


@pytest.fixture(params=["US", "SI", "round"], scope="module")
def cut(request, tmp_path_factory):
    package = make_package(SI if request.param == "SI" else US, _round_plate() if request.param == "round" else None)
    files = write_cut_files(package, tmp_path_factory.mktemp("cut") / "cut")
    return package, files, ezdxf.readfile(files[0])


def _arc_area(a, b, bulge):
    theta = 4 * math.atan(bulge)
    radius = math.dist(a, b) / (2 * math.sin(abs(theta) / 2)) if bulge else 0.0
    return math.copysign(radius**2 * (abs(theta) - math.sin(abs(theta))) / 2, theta)


def _area(e):
    if e.dxftype() == "CIRCLE":
        return math.pi * e.dxf.radius**2
    assert e.closed
    points = list(e.get_points("xyb"))
    pairs = list(zip(points, (*points[1:], points[0]), strict=True))
    return sum((a[0] * b[1] - b[0] * a[1]) / 2 + _arc_area(a[:2], b[:2], a[2]) for a, b in pairs)


def test_one_file_for_each_mark_of_steel(cut):
    package, files, _ = cut
    assert [f.name for f in files] == ["PL-1_1-4in_x2.dxf" if package.project.units is US else "PL-1_6.35mm_x2.dxf"]


def test_only_the_four_layers(cut):
    _, _, doc = cut
    assert {e.dxf.layer for e in doc.modelspace()} == {"CUT_OUTER", "CUT_INNER", "CENTER", "ETCH"}
    # Every file has layer 0; the library adds Defpoints as it reads.
    assert {layer.dxf.name for layer in doc.layers} <= {"0", "Defpoints", "CUT_OUTER", "CUT_INNER", "CENTER", "ETCH"}
    assert not [layout for layout in doc.layouts if not layout.is_modelspace and any(e.dxftype() != "VIEWPORT" for e in layout)]
    auditor = doc.audit()
    assert [e.message for e in (*auditor.errors, *auditor.fixes)] == []


def test_areas_and_holes_are_those_of_the_part(cut):
    package, _, doc = cut
    part, unit = package.details[0].part("plate-near"), 1.0 if package.project.units is US else MM
    assert doc.header["$INSUNITS"] == (1 if package.project.units is US else 4)
    model = doc.modelspace()
    outer = list(model.query('*[layer=="CUT_OUTER"]'))
    inner = list(model.query('*[layer=="CUT_INNER"]'))
    assert len(outer) == 1
    assert (_area(outer[0]) - sum(_area(e) for e in inner)) * unit**2 == pytest.approx(part.area, rel=1e-6)
    holes = [(e.dxf.center.x, e.dxf.center.y, 2 * e.dxf.radius) for e in model.query("CIRCLE")]
    assert sorted(tuple(round(v * unit, 5) for v in hole) for hole in holes) == sorted((h.x, h.y, h.diameter) for h in part.holes)
    marks = [(e.dxf.location.x, e.dxf.location.y) for e in model.query('POINT[layer=="CENTER"]')]
    points = sorted(tuple(round(v * unit, 5) + 0.0 for v in mark) for mark in marks)
    assert points == sorted([*((h.x, h.y) for h in part.holes), *((s.x, s.y) for s in part.slots)])
    assert len(inner) == len(part.holes) + len(part.slots)


def test_etched_text_lies_on_the_plate_and_off_the_holes(cut):
    package, _, doc = cut
    texts = list(doc.modelspace().query('TEXT[layer=="ETCH"]'))
    words = " ".join(t.dxf.text for t in texts)
    for said in ("PL-1", "ASTM A36", "QTY 2", "SIDE UP", '1/4"' if package.project.units is US else "6.4 mm"):
        assert said in words
    unit = 1.0 if package.project.units is US else MM
    part = package.details[0].part("plate-near")
    half = max(v.y for v in part.outline)
    assert doc.styles.get(texts[0].dxf.style).dxf.font == "txt.shx"
    for t in texts:
        box = text_corners(t.dxf.text, (t.dxf.insert.x, t.dxf.insert.y), t.dxf.height, t.dxf.rotation, "start")
        xs, ys = [p[0] * unit for p in box], [p[1] * unit for p in box]
        assert max(abs(y) for y in ys) < half
        assert max(abs(x) for x in xs) < 20.25 - 1
        for h in (*part.holes, *part.slots):
            reach = h.diameter / 2 if hasattr(h, "diameter") else h.length / 2
            dx, dy = max(min(xs) - h.x, h.x - max(xs), 0.0), max(min(ys) - h.y, h.y - max(ys), 0.0)
            across = reach if hasattr(h, "diameter") else h.width / 2
            assert math.hypot(dx, dy) > across or dy > reach


def test_a_cut_file_carries_its_tags(cut):
    _, _, doc = cut
    outline = next(iter(doc.modelspace().query('*[layer=="CUT_OUTER"]')))
    texts = [t.value for t in outline.get_xdata("DETAILGEN") if t.code == 1000]
    assert {"kind=outline", "view=face", "part=plate-near", "mark=PL-1", "material=steel", "specification=ASTM A36"} <= set(texts)
    for circle in doc.modelspace().query("CIRCLE"):
        assert {"kind=hole", "made=shop", "group=B1"} <= {t.value for t in circle.get_xdata("DETAILGEN") if t.code == 1000}


def test_wood_gets_none_and_the_same_bytes_come_twice(tmp_path):
    package = make_package()
    a, b = write_cut_files(package, tmp_path / "a"), write_cut_files(package, tmp_path / "b")
    assert [f.read_bytes() for f in a] == [f.read_bytes() for f in b]
    wood = replace(package, marks=(package.marks[1],))
    assert write_cut_files(wood, tmp_path / "c") == []
    assert not (tmp_path / "c").exists()


def test_a_plate_too_small_for_its_text_is_refused(tmp_path):
    package = make_package()
    detail = package.details[0]
    plate = detail.part("plate-near")
    small = replace(plate, outline=tuple(Vertex(v.x / 50, v.y / 10) for v in plate.outline), holes=())
    tiny = replace(detail, parts=(small, *detail.parts[1:]))
    trusses = (replace(package.trusses[0], details=(tiny,)),)
    with pytest.raises(OutputError, match="no room on it for the etched text"):
        write_cut_files(replace(package, trusses=trusses, marks=(Marked("PL-1", small, ((detail.key, "plate-near"),)),)), tmp_path)


@pytest.mark.parametrize("kind", ["US", "SI", "round"])
def test_another_reader_finds_every_layer_hole_and_text(kind, tmp_path):
    """GDAL's own DXF reader (pyogrio), with shapely for its shapes: the same areas, hole centres, drill points and words as the record's."""
    pyogrio = pytest.importorskip("pyogrio")
    import shapely

    package = make_package(SI if kind == "SI" else US, _round_plate() if kind == "round" else None)
    (path,) = write_cut_files(package, tmp_path / "cut")
    meta, _, shapes, (layers, texts) = pyogrio.raw.read(path, columns=["Layer", "Text"])
    assert list(meta["fields"]) == ["Layer", "Text"]
    found: dict[str, list] = {}
    for layer, text, raw in zip(layers, texts, shapes, strict=True):
        found.setdefault(layer, []).append((shapely.from_wkb(raw), text))
    assert set(found) == {"CUT_OUTER", "CUT_INNER", "CENTER", "ETCH"}
    part, unit = package.details[0].part("plate-near"), MM if kind == "SI" else 1.0

    def area(shape):
        return shapely.Polygon(shape.coords).area * unit**2

    (outer,) = (s for s, _ in found["CUT_OUTER"])
    inner = [s for s, _ in found["CUT_INNER"]]
    assert outer.is_ring
    assert all(s.is_ring for s in inner)
    # GDAL draws arcs as short chords, so areas agree to a part in a thousand of the curved pieces.
    assert area(outer) - sum(area(s) for s in inner) == pytest.approx(part.area, rel=1e-3)
    centres = sorted((round(s.centroid.x * unit, 3), round(s.centroid.y * unit, 3)) for s in inner)
    wanted = sorted((round(h.x, 3), round(h.y, 3)) for h in (*part.holes, *part.slots))
    assert centres == [pytest.approx(w, abs=2e-3) for w in wanted]
    points = sorted((s.x * unit, s.y * unit) for s, _ in found["CENTER"])
    assert points == [pytest.approx(w, abs=1e-4) for w in wanted]
    words = " ".join(text for _, text in found["ETCH"])
    for said in ("PL-1", "ASTM A36", "QTY 2", "THIS SIDE UP"):
        assert said in words
    plate = shapely.Polygon(outer.coords)
    assert all(plate.contains(s) for s, _ in found["ETCH"])
