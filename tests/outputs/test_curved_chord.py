"""A detail on a curved or sloped member: its work point, tangent and bevel; and the curve drawn and solid as it is."""

from __future__ import annotations

import itertools
import math
import re

import ezdxf
import pytest
from curved_detail import DEPTH, REACH, curved_detail
from detail_package import make_package
from hand_made import R, make_truss
from hypothesis import given
from hypothesis import strategies as st
from sheet_reader import read_dxf, svg_points

from detailgen.checker.check import check_paths
from detailgen.core.bevel import bevel_of, bevel_words
from detailgen.core.result import State
from detailgen.core.units import SI, US, feet_inches
from detailgen.model.outlines import across_at, bounds, depth_of
from detailgen.model.work_points import centre_line, measured_along, point_at, work_point
from detailgen.outputs.drawings import write_dxf
from detailgen.outputs.drawings.detail_scene import scene_of
from detailgen.outputs.drawings.detail_sheet import draw_detail
from detailgen.outputs.drawings.paper import set_paper
from detailgen.outputs.drawings.setting_out import chord_points, web_points
from detailgen.outputs.schedules.fabrication import field_rows

TRUSS = make_truss()
TOP, BOTTOM = TRUSS.member("top chord"), TRUSS.member("bottom chord")


@given(st.floats(1.0, 719.0))
def test_a_work_point_lies_on_the_arc_and_runs_along_its_tangent(x):
    """Against the circle's equation, and its slope by differences."""
    at = point_at(TRUSS, TOP, x)
    assert math.hypot(at.x - TRUSS.arc.centre_x, at.y - TRUSS.arc.centre_y) == pytest.approx(R)
    h = 1e-4
    before, after = point_at(TRUSS, TOP, x - h), point_at(TRUSS, TOP, x + h)
    assert math.tan(at.angle) == pytest.approx((after.y - before.y) / (2 * h), abs=1e-6)
    assert at.seen(*at.place(3.0, -2.0)) == pytest.approx((3.0, -2.0))


@given(st.floats(0.0, 720.0), st.floats(0.0, 720.0))
def test_a_tape_along_the_curve(a, b):
    """Against the sum of short straight pieces."""
    low, high = min(a, b), max(a, b)
    ys = [point_at(TRUSS, TOP, low + k / 400 * (high - low)) for k in range(401)]
    pieces = sum(math.dist((p.x, p.y), (q.x, q.y)) for p, q in itertools.pairwise(ys))
    assert measured_along(TRUSS, TOP, a, b) == pytest.approx(pieces, abs=1e-3)
    assert measured_along(TRUSS, BOTTOM, a, b) == pytest.approx(high - low)


def test_straight_chords_and_webs():
    straight = make_truss(curved=False)
    top = straight.member("top chord")
    (x0, y0), (x1, y1) = straight.joints["L0"], straight.joints["U1"]
    at = point_at(straight, top, (x0 + x1) / 2)
    assert (at.y, at.angle) == pytest.approx(((y0 + y1) / 2, math.atan2(y1 - y0, x1 - x0)))
    assert measured_along(straight, top, x0, x1) == pytest.approx(math.dist((x0, y0), (x1, y1)))
    assert centre_line(straight, top) == [straight.joints[j] for j in top.joints]
    web = work_point(straight, "U3-L4", 0.0)
    assert (web.x, web.y) == pytest.approx(tuple((a + b) / 2 for a, b in zip(straight.joints["U3"], straight.joints["L4"], strict=True)))
    assert work_point(straight, "no such member", 0.0) is None
    assert point_at(straight, top, -1.0) is None


@pytest.mark.parametrize(
    ("degrees", "us", "si"),
    [  # rise in 12 of a framing square's table: 26.565 deg is 6 in 12, 45 deg 12 in 12, 30 deg 6 15/16 in 12 (common practice)
        (26.565, "6 : 12 up", "500 : 1000 up, 26.6°"), (45.0, "12 : 12 up", "1000 : 1000 up, 45.0°"),
        (30.0, "6 15/16 : 12 up", "577 : 1000 up, 30.0°"),
        (-30.0, "6 15/16 : 12 down", "577 : 1000 down, 30.0°"), (60.0, "12 : 6 15/16 up", "1000 : 577 up, 60.0°"), (0.0, "level", "level"),
        (90.0, "plumb", "plumb"), (180.0, "level", "level"), (150.0, "6 15/16 : 12 down", "577 : 1000 down, 30.0°"),
    ],
)  # fmt: skip
def test_bevels(degrees, us, si):
    assert bevel_words(math.radians(degrees), US) == us
    assert bevel_words(math.radians(degrees), SI) == si


@given(st.floats(-89.9, 89.9).filter(lambda d: abs(d) > 0.1))
def test_a_bevel_sets_out_its_angle_to_a_sixteenth(degrees):
    found = bevel_of(math.radians(degrees), US)

    def value(text):
        return sum(float(a) / float(b) for a, _, b in (p.partition("/") if "/" in p else (p, "", "1") for p in text.split()))

    level, plumb = value(found.level), value(found.plumb)
    assert max(level, plumb) == 12
    exact = 12 * math.tan(math.radians(min(abs(degrees), 90 - abs(degrees))))
    assert min(level, plumb) == pytest.approx(exact, abs=1 / 32 + 1e-9)
    assert found.up == (degrees > 0)


def test_a_ring_is_measured_across_its_arcs():
    """Against the circle's equation."""
    ply = curved_detail().part("ply-far")
    assert depth_of(ply.outline) == pytest.approx(DEPTH)
    low, high = across_at(ply.outline, 13.0)
    assert low == pytest.approx(math.sqrt((R - DEPTH / 2) ** 2 - 13.0**2) - R)
    assert high == pytest.approx(math.sqrt((R + DEPTH / 2) ** 2 - 13.0**2) - R)
    x0, _, x1, y1 = bounds(ply.outline)
    assert (x0, x1, y1) == pytest.approx((-REACH, REACH, DEPTH / 2))
    assert across_at(ply.outline, REACH + 1) is None


@pytest.mark.parametrize("units", [US, SI])
def test_the_checker_agrees_with_the_sheet(units, tmp_path):
    package = make_package(units, curved_detail())
    write_dxf(draw_detail(package.details[0], package)[0], tmp_path / "a.dxf")
    found = check_paths([tmp_path])
    assert found.count(State.DOES_NOT_PASS) == 0
    # An edge that is dimensioned where no edge is, and a depth that is not there, are found.
    text = (tmp_path / "a.dxf").read_text()
    right = '1 1/2" x 9 1/2"' if units is US else "38.1 x 241.3"
    assert right.replace(" x ", "\N{NO-BREAK SPACE}x ") in text or right in text
    wrong = re.sub(r"9 1/2\"|241\.3", '9 5/8"' if units is US else "244.3", text)
    (tmp_path / "a.dxf").write_text(wrong)
    assert check_paths([tmp_path]).count(State.DOES_NOT_PASS) > 0


def test_arcs_are_true_and_centres_stand_square_to_the_tangent(tmp_path):
    package = make_package(US, curved_detail())
    write_dxf(draw_detail(package.details[0], package)[0], tmp_path / "a.dxf")
    model = ezdxf.readfile(tmp_path / "a.dxf").modelspace()
    tagged = [e for e in model.query("LWPOLYLINE") if e.has_xdata("DETAILGEN")]
    plies = [e for e in tagged if any("part=ply-far" in t for _, t in e.get_xdata("DETAILGEN")) and any(b for *_, b in e.get_points("xyb"))]
    assert len(plies) == 1
    (points,) = (list(e.get_points("xyb")) for e in plies)
    for a, b in zip(points, (*points[1:], points[0]), strict=True):
        if a[2]:
            turn = 4 * math.atan(abs(a[2]))
            assert math.dist(a[:2], b[:2]) / 2 / math.sin(turn / 2) == pytest.approx(R + (DEPTH if a[2] > 0 else -DEPTH) / 2, abs=1e-3)
    # The elevation's edges are arcs of the chord's own circles, each drawn once: together as long as what is seen of them.
    arcs = [e for e in model.query("ARC") if e.dxf.layer == "S-TRUS-WOOD-E" and e.dxf.center.isclose((0, -R, 0), abs_tol=0.01)]
    for radius in (R - DEPTH / 2, R + DEPTH / 2):
        mine = [e for e in arcs if e.dxf.radius == pytest.approx(radius, abs=1e-3)]
        assert sum(math.radians(e.dxf.end_angle - e.dxf.start_angle) for e in mine) == pytest.approx(2 * math.asin(REACH / radius), abs=1e-5)


def test_the_bevel_is_the_tangents():
    detail = curved_detail()
    scene = scene_of(detail, make_package(US, detail))
    at = work_point(TRUSS, "top chord", detail.station)
    assert scene.slope == pytest.approx(at.angle)
    assert math.sin(scene.slope) == pytest.approx((360.0 - 225.0) / R)  # a radius through x leans by the same angle


def test_the_triangle_lies_along_the_member(tmp_path):
    """Its legs are level and plumb once the view is turned back by the member's slope."""
    package = make_package(US, curved_detail())
    write_dxf(draw_detail(package.details[0], package)[0], tmp_path / "a.dxf")
    doc, texts, _ = read_dxf(tmp_path / "a.dxf")
    slope = math.asin((360.0 - 225.0) / R)
    words = [t for t, _ in texts["model"]]
    assert f"member rises to the right, {bevel_of(slope, US).plumb} plumb to 12 level" in words
    lines = [e for e in doc.modelspace().query("LINE") if e.dxf.layer == "S-ANNO-SYMB"]
    turned = [(math.atan2(e.dxf.end.y - e.dxf.start.y, e.dxf.end.x - e.dxf.start.x) + slope) % math.pi for e in lines]
    assert sum(abs(t) < 1e-6 or abs(t - math.pi) < 1e-6 for t in turned) == 1
    assert sum(abs(t - math.pi / 2) < 1e-6 for t in turned) == 1


def test_the_chord_is_set_out_by_its_work_points():
    """Closed form: an arc of radius R over a span R turns 30 degrees at its heels and is R pi / 3 long."""
    letters = set_paper(US, "").letters
    rows = {r[0]: r for r in chord_points(TRUSS, US, letters).items}
    assert rows["L0"][1:] == ('0"', '0"', '0"', "6 15/16 : 12 up")
    assert rows["U4"][4] == "level"
    assert rows["L8"][3].replace("\N{NO-BREAK SPACE}", " ") == feet_inches(R * math.pi / 3)
    assert rows["U4"][2].replace("\N{NO-BREAK SPACE}", " ") == feet_inches(R * (1 - math.cos(math.pi / 6)))
    straight = {r[0]: r for r in chord_points(make_truss(curved=False), US, letters).items}
    total = sum(math.dist(TRUSS.joints[a], TRUSS.joints[b]) for a, b in itertools.pairwise(TRUSS.top))
    assert straight["L8"][3].replace("\N{NO-BREAK SPACE}", " ") == feet_inches(total)
    assert straight["L8"][4] == "end"
    webs = web_points(TRUSS, US, letters).items
    assert sum(len(r[0].split(",")) for r in webs) == sum(m.kind == "web" for m in TRUSS.members)
    x, y = TRUSS.joints["U3"]
    diagonal = next(r for r in webs if "U3-L4" in r[0])
    assert diagonal[1].replace("\N{NO-BREAK SPACE}", " ") == feet_inches(math.hypot(360.0 - x, y))


def test_the_form_asks_for_the_tape_along_the_curve():
    detail = curved_detail()
    rows = {what: value for _, what, value in field_rows(detail, TRUSS, "S-501")}
    turned = math.asin((360.0 - 180.0) / R) - math.asin((360.0 - 225.0) / R)
    assert rows["work point of the joint to U2, along the curve"] == pytest.approx(R * turned)
    assert rows["depth of far ply"] == pytest.approx(DEPTH)


@pytest.mark.parametrize(
    ("flags", "centre", "way"), [("0 1", (0.0, 10.0), 1), ("0 0", (10.0, 0.0), 1), ("1 1", (10.0, 0.0), -1), ("1 0", (0.0, 10.0), -1)]
)
def test_the_reader_of_these_tests_bends_arcs_to_the_side_on_which_they_are_drawn(flags, centre, way):
    """SVG 1.1, 8.3.8 (from memory): about the two circles through both ends, the short and the long way around."""
    found = svg_points(f"M 0 0 A 10 10 0 {flags} 10 10")
    middle = tuple(c + way * math.copysign(10.0 * math.sqrt(0.5), 5.0 - c) for c in centre)
    assert all(math.dist(p, centre) == pytest.approx(10.0) for p in found)
    assert found[-1] == pytest.approx((10.0, 10.0))
    assert min(math.dist(p, middle) for p in found) < 0.5
