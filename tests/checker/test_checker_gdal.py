"""Measured distances against shapely, computed from GDAL's own reading of the same file (pyogrio): another reader, another geometry library."""

from __future__ import annotations

import math
import sys
from pathlib import Path

import pytest
from face_views import build, saved
from splice_fixture import splice_detail

from detailgen.checker.measure import centre_distances
from detailgen.checker.read_dxf import read_dxf

pyogrio = pytest.importorskip("pyogrio")
shapely = pytest.importorskip("shapely")

REACH = 9.987
"""Holes up to so far apart are paired (in): no pitch that anybody draws, so that no last digit decides."""
ROOT = Path(__file__).parents[2]
SAMPLES = sorted(p.parent.name for p in ROOT.glob("detailgen/samples/*/project.yaml"))


def gdal_shapes(path):
    """Closed lines of a DXF as polygons; GDAL draws a circle as a polygon of many corners."""
    _, _, geometry, _ = pyogrio.raw.read(path, columns=["Layer"])
    shapes = [shapely.from_wkb(g) for g in geometry if g is not None]
    closed = [shapely.Polygon(s.coords) for s in shapes if s.geom_type == "LineString" and s.is_ring and len(s.coords) >= 4]
    holes = [len(p.exterior.coords) >= 20 and is_hole(p) for p in closed]
    return [p for p, it_is in zip(closed, holes, strict=True) if not it_is], [p for p, it_is in zip(closed, holes, strict=True) if it_is]


def is_hole(polygon):
    """Round, or a slot with round ends; the outline of a curved timber is neither."""
    _, width, length = hole_of(polygon)
    return polygon.area == pytest.approx(width * (length - width) + math.pi * width**2 / 4, rel=0.01)


def circle_of(polygon):
    """Centre and diameter of a circle from three of its corners."""
    ring = polygon.exterior.coords
    (ax, ay), (bx, by), (cx, cy) = (ring[len(ring) * k // 3][:2] for k in range(3))
    d = 2 * (ax * (by - cy) + bx * (cy - ay) + cx * (ay - by))
    x = ((ax**2 + ay**2) * (by - cy) + (bx**2 + by**2) * (cy - ay) + (cx**2 + cy**2) * (ay - by)) / d
    y = ((ax**2 + ay**2) * (cx - bx) + (bx**2 + by**2) * (ax - cx) + (cx**2 + cy**2) * (bx - ax)) / d
    return shapely.Point(x, y), 2 * math.hypot(ax - x, ay - y)


def slot_of(polygon):
    """Middle, width and length of a slot with round ends; None of what is no longer than wide. GDAL cuts its ends at corners."""
    box = polygon.minimum_rotated_rectangle.exterior.coords
    wide, long = sorted(math.dist(a, b) for a, b in ((box[0], box[1]), (box[1], box[2])))
    return (polygon.centroid, wide, long) if long > 1.02 * wide else None


def hole_of(polygon):
    """Middle, diameter or width, and length."""
    slot = slot_of(polygon)
    if slot is not None:
        return slot
    point, diameter = circle_of(polygon)
    return point, diameter, diameter


def ray_length(polygon, point, direction):
    far = shapely.Point(point.x + 1e4 * direction[0], point.y + 1e4 * direction[1])
    return shapely.LineString([point, far]).intersection(polygon.exterior).distance(point)


def drilled_views(drawing):
    """Outlines with their holes: face views, and the views without tags of a sheet that only lists."""
    return [(face.outline, face.holes) for face in drawing.faces] + [*drawing.shown]


def compare(path, views_wanted, inches_per_unit=1.0):
    views = drilled_views(read_dxf(path))
    curved = any(abs(e.bulge) > 0 for outline, _ in views for e in outline.edges)
    near = 1e-4 if curved else 2e-6  # GDAL takes a long arc for many short lines
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": "0.05" if curved else None})  # degrees
    outlines, circles = gdal_shapes(path)
    spots = [hole_of(c) for c in circles]
    compared = 0
    for outline, holes in views:
        x0, y0, x1, y1 = (v / inches_per_unit for v in outline.box)
        polygon = min(outlines, key=lambda p: max(abs(a - b) for a, b in zip(p.bounds, (x0, y0, x1, y1), strict=True)))
        assert polygon.bounds == pytest.approx((x0, y0, x1, y1), abs=near)
        mine = [s for s in spots if polygon.contains(s[0])]
        assert len(mine) == len(holes)
        for hole in holes:
            point, diameter, length = min(mine, key=lambda s: math.dist((s[0].x * inches_per_unit, s[0].y * inches_per_unit), hole.at))
            k = inches_per_unit
            assert (point.x * k, point.y * k) == pytest.approx(hole.at, abs=2e-6)
            assert diameter * k == pytest.approx(hole.diameter, abs=2e-6)
            assert length * k == pytest.approx(hole.length if hole.slot else hole.diameter, abs=2e-3 if hole.slot else 2e-6)
            assert outline.nearest(hole.at) == pytest.approx(polygon.exterior.distance(point) * k, abs=near)
            for d in ((1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0), (0.6, 0.8)):
                assert outline.ray(hole.at, d) == pytest.approx(ray_length(polygon, point, d) * k, abs=near)
            compared += 1
        pairs = centre_distances(holes, REACH)
        theirs = sorted(k for i, (a, *_) in enumerate(mine) for b, *_ in mine[i + 1 :] if (k := a.distance(b) * inches_per_unit) <= REACH)
        assert sorted(p.distance for p in pairs) == pytest.approx(theirs, abs=4e-6)
    assert len(views) == views_wanted
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": None})
    return compared


@pytest.mark.parametrize("metric", [False, True])
def test_every_hole_of_every_face_view(metric, tmp_path):
    detail = splice_detail()
    path = saved(build(detail, metric=metric), tmp_path)
    assert compare(path, 7, 1 / 25.4 if metric else 1.0) == sum(len(p.holes) for p in detail.parts)


@pytest.mark.parametrize("units", ["US", "SI"])
def test_the_products_own_sheet(units, tmp_path):
    sys.path.append(str(Path(__file__).parents[1] / "outputs"))  # the hand-made package is theirs
    make_package = pytest.importorskip("detail_package").make_package
    from detailgen.core.units import SYSTEMS
    from detailgen.outputs.drawings.detail_sheet import draw_detail
    from detailgen.outputs.drawings.dxf import write_dxf

    made = make_package(SYSTEMS[units])
    compared = 0
    for drawing in draw_detail(made.details[0], made):
        write_dxf(drawing, tmp_path / "sheet.dxf")
        compared += compare(tmp_path / "sheet.dxf", len(drilled_views(read_dxf(tmp_path / "sheet.dxf"))), 1 / 25.4 if units == "SI" else 1.0)
    assert compared >= 12 + 6 + 6 + 6 + 12  # plate, filler, both ends of the cut ply, the other ply


def holes_by_gdal(path):
    """How many holes and slots GDAL finds in model space on the layers for holes of a sheet or a cut file."""
    _, _, geometry, (layers, paper) = pyogrio.raw.read(path, columns=["Layer", "PaperSpace"])
    mine = [("HOLE" in layer or layer == "CUT_INNER") and on != 1 for layer, on in zip(layers, paper, strict=True)]
    found = [shapely.from_wkb(g) for g, it_is in zip(geometry, mine, strict=True) if it_is]
    return sum(s.geom_type == "LineString" and s.is_ring and len(s.coords) >= 20 for s in found)


@pytest.mark.parametrize("sample", SAMPLES)
def test_every_sheet_of_the_samples_that_shows_holes(sample):
    sys.path.append(str(Path(__file__).parents[1] / "end_to_end"))
    from package_runs import sample_package

    with_holes = {p: n for p in sorted(sample_package(sample).folder.glob("*/*.dxf")) if (n := holes_by_gdal(p))}
    assert any(p.parent.name == "drawings" for p in with_holes)
    for path, count in with_holes.items():
        drawing = read_dxf(path)
        assert compare(path, len(drilled_views(drawing)), 1 / 25.4 if drawing.metric else 1.0) == count, path.name
