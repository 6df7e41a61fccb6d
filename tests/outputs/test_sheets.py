"""What must hold for every sheet, read back from disk: no text on a text or on a line, all inside the frame, no auditor finding."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations

import pytest
from hand_made import OVER, make_assessment, make_project, make_truss
from sheet_reader import read_dxf, read_svg

from detailgen.core.errors import OutputError
from detailgen.core.units import MM, SI, US, feet_inches
from detailgen.outputs.drawings import draw_truss, write_dxf, write_svg
from detailgen.outputs.drawings.layers import LAYERS
from detailgen.outputs.drawings.plane import overlap
from detailgen.outputs.drawings.shapes import Text

NO_PATH = "Joint L4 can move down: with both plies of the bottom chord broken nothing holds it"
EVERYWHERE = {f"{a} at {j}": 1.3 for k in range(1, 8) for a in (f"L{k}-U{k}",) for j in (f"L{k}", f"U{k}")}


def _sheets():
    whole, broken = make_truss(), {"U3-L4": 1.14}
    return {
        "feet": (make_assessment(whole, OVER, unchecked=("L7-U7",)), make_project(whole)),
        "metric": (make_assessment(whole, OVER, unchecked=("L7-U7",)), make_project(whole, SI)),
        "no path": (make_assessment(whole, broken, no_path=NO_PATH), make_project(whole)),
        "no path metric": (make_assessment(whole, broken, no_path=NO_PATH), make_project(whole, SI)),
        "all bolts": (make_assessment(whole, EVERYWHERE), make_project(whole)),
        "sound": (make_assessment(make_truss(damage=False), {}), make_project(whole)),
        "long": (make_assessment(t := make_truss("T-12", panels=16, span=1440.0), {"U3-L4": 1.64, "S1": 1.1}), make_project(t)),
        "straight": (make_assessment(t := make_truss("T1", panels=6, span=480.0, curved=False), {"U2-L3": 1.64}), make_project(t)),
        "narrow panels": (make_assessment(t := make_truss("N", panels=24, span=960.0), {"U2-L3": 1.64}), make_project(t)),
    }


SHEETS = _sheets()


@pytest.fixture(params=list(SHEETS), scope="module")
def written(request, tmp_path_factory):
    assessment, project = SHEETS[request.param]
    drawing, folder = draw_truss(assessment, project), tmp_path_factory.mktemp("sheet")
    write_svg(drawing, folder / "a.svg")
    write_dxf(drawing, folder / "a.dxf")
    return drawing, folder


def _shrunk(box, by=1e-3):
    """A hair less than the letters, so that touching is not overlapping."""
    x, y = (sum(p[k] for p in box) / len(box) for k in (0, 1))
    return tuple((x + (px - x) * (1 - by), y + (py - y) * (1 - by)) for px, py in box)


def _around(figure):
    xs, ys = zip(*figure, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def _collisions(texts, strokes):
    boxes = [(words, figure, _around(figure)) for words, figure in ((words, _shrunk(box)) for words, box in texts)]
    lines = [(layer, segment, _around(segment)) for layer, segment in strokes]

    def near(a, b):
        return a[0] <= b[2] and b[0] <= a[2] and a[1] <= b[3] and b[1] <= a[3]

    found = [f"'{a}' on '{b}'" for (a, p, m), (b, q, n) in combinations(boxes, 2) if near(m, n) and overlap(p, q)]
    return found + [
        f"'{words}' on a line of {layer}" for words, box, m in boxes for layer, segment, n in lines if near(m, n) and overlap(box, segment)
    ]


def test_svg_texts_stand_free(written):
    _, folder = written
    _, texts, strokes = read_svg(folder / "a.svg")
    assert len(texts) > 40
    assert len(strokes) > 200
    assert _collisions([(words, box) for _, words, box in texts], strokes) == []


def test_dxf_texts_stand_free(written):
    _, folder = written
    _, texts, strokes = read_dxf(folder / "a.dxf")
    for space in ("model", "sheet"):
        assert len(texts[space]) > 15
        assert _collisions(texts[space], strokes[space]) == []


def test_svg_lies_inside_the_frame(written):
    drawing, folder = written
    x0, y0, x1, y1 = (v / MM + e for v, e in zip(drawing.sheet.inner, (-1e-3, -1e-3, 1e-3, 1e-3), strict=True))
    root, texts, strokes = read_svg(folder / "a.svg")
    assert float(root.get("width").removesuffix("mm")) == pytest.approx(drawing.sheet.width / MM, abs=1e-3)
    points = [p for _, _, box in texts for p in box] + [p for _, segment in strokes for p in segment]
    assert all(x0 <= x <= x1 and y0 <= y <= y1 for x, y in points)


def test_dxf_passes_the_auditor_and_our_own_lint(written):
    drawing, folder = written
    doc, _, strokes = read_dxf(folder / "a.dxf")
    auditor = doc.audit()
    assert [e.message for e in (*auditor.errors, *auditor.fixes)] == []
    known = {layer.name(drawing.units) for layer in LAYERS.values()}
    for space in (doc.modelspace(), doc.paperspace("Sheet")):
        assert {e.dxf.layer for e in space if not (e.dxftype() == "VIEWPORT" and e.dxf.id == 1)} <= known
        assert all(e.dxf.radius > 0 for e in space.query("CIRCLE ARC"))
        assert all(e.dxf.height >= (0.125 if drawing.units is US else 3.5) - 1e-9 for e in space.query("TEXT"))
    assert all(math.dist(a, b) > 1e-6 for _, (a, b) in (*strokes["model"], *strokes["sheet"]))


def test_dxf_header_and_scale(written):
    drawing, folder = written
    doc, _, _ = read_dxf(folder / "a.dxf")
    us = drawing.units is US
    assert (doc.header["$INSUNITS"], doc.header["$MEASUREMENT"], doc.header["$LUNITS"]) == ((1, 0, 4) if us else (4, 1, 2))
    assert doc.header["$DIMSCALE"] == drawing.scale.factor
    assert doc.header["$LWDISPLAY"] == 1
    assert doc.header["$DIMLFAC"] == 1.0
    sheet = doc.paperspace("Sheet")
    view = next(v for v in sheet.query("VIEWPORT") if v.dxf.id != 1)
    assert view.dxf.view_height / view.dxf.height == pytest.approx(drawing.scale.factor)
    assert not doc.layers.get(view.dxf.layer).dxf.plot
    assert sheet.dxf.plot_paper_units == (0 if us else 1)
    assert (sheet.dxf.paper_width, sheet.dxf.paper_height) == pytest.approx((drawing.sheet.width / MM, drawing.sheet.height / MM))


def test_dimensions_say_what_they_measure(written):
    drawing, folder = written
    doc, _, _ = read_dxf(folder / "a.dxf")
    dimensions = doc.modelspace().query("DIMENSION")
    words = {}
    for d in dimensions:
        shown = next(iter(doc.blocks.get(d.dxf.geometry).query("TEXT"))).dxf.text
        measured = d.get_measurement()
        assert measured == pytest.approx(d.dxf.actual_measurement, abs=1e-5)
        assert shown == (feet_inches(measured) if drawing.units is US else str(round(measured)))
        assert d.dxf.text == "<>"
        style = doc.dimstyles.get(d.dxf.dimstyle).dxf
        assert (style.dimlfac, style.dimlunit, style.dimzin) == ((1.0, 4, 3) if drawing.units is US else (1.0, 2, 8))
        words.setdefault(round(d.dxf.angle), []).append(measured)
    assert len(words[90]) == 1  # the rise
    span = max(words[0])
    assert sum(m for m in words[0] if m != span) == pytest.approx(span)  # the chain adds up


@pytest.mark.parametrize(("units", "rise", "span"), [(US, "8'-0 7/16\"", "60'-0\""), (SI, "2450", "18288")])
def test_span_and_rise_of_the_sample(units, rise, span, tmp_path):
    # By hand: an arc of 720 in. over a chord of 720 in. rises 720 (1 - cos 30 deg) = 96.46 in. = 2450 mm.
    whole = make_truss()
    drawing = draw_truss(make_assessment(whole, {}), make_project(whole, units))
    write_svg(drawing, tmp_path / "a.svg")
    _, texts, _ = read_svg(tmp_path / "a.svg")
    assert {rise, span} <= {words for _, words, _ in texts}


def test_a_truss_too_long_for_the_sheet_is_refused():
    long = make_truss(panels=8, span=400 * 12.0)
    with pytest.raises(OutputError, match="at none of the standard scales"):
        draw_truss(make_assessment(long, {}), make_project(long))


def test_scale_is_the_largest_that_fits():
    scales = {}
    for feet in (30, 60, 100, 200):
        t = make_truss(span=feet * 12.0, damage=False)
        scales[feet] = draw_truss(make_assessment(t, {}), make_project(t)).scale.factor
    # 16.25 in. of frame: a span of 60 ft takes 15 in. at 1/4 in. to the foot, of 100 ft 12.5 in. at 1/8. A span of 30 ft would take 15 in. at
    # 1/2 in. to the foot, but the chord ends (2 x 9.5 in. real, 0.8 in. of paper) and the rise do not fit beside it: 3/8 in.
    assert scales == {30: 32, 60: 48, 100: 96, 200: 192}


def test_the_collision_check_can_fail(tmp_path):
    """The check of this file itself: a text moved on to a member, and on to its neighbour, is found."""
    assessment, project = SHEETS["feet"]
    drawing = draw_truss(assessment, project)
    shapes = list(drawing.model)
    k = next(k for k, s in enumerate(shapes) if isinstance(s, Text) and s.text == "U4")
    for at in ((200.0, 2.0), next(s.at for s in shapes if isinstance(s, Text) and s.text == "U5")):
        moved = replace(drawing, model=(*shapes[:k], replace(shapes[k], at=at), *shapes[k + 1 :]))
        write_svg(moved, tmp_path / "a.svg")
        _, texts, strokes = read_svg(tmp_path / "a.svg")
        assert [c for c in _collisions([(words, box) for _, words, box in texts], strokes) if "U4" in c]


def test_long_names_and_many_findings_stay_inside(tmp_path):
    whole = make_truss()
    many = replace(make_assessment(whole, {f"L{k}-U{k}": 1.0 + k / 10 for k in range(1, 8)}), flags=("A flag that page one must repeat.",) * 30)
    project = replace(make_project(whole), name="A very long name of a very old warehouse with several annexes and a boiler house", location="x" * 90)
    drawing = draw_truss(many, project)
    write_svg(drawing, tmp_path / "a.svg")
    _, texts, strokes = read_svg(tmp_path / "a.svg")
    assert _collisions([(words, box) for _, words, box in texts], strokes) == []
    x0, y0, x1, y1 = (v / MM for v in drawing.sheet.inner)
    assert all(x0 <= x <= x1 and y0 <= y <= y1 for _, _, box in texts for x, y in box)
    words = [w for _, w, _ in texts]
    assert any(w.endswith("more: assess prints them all.") for w in words)
    assert any(w.endswith("more: see the summary.") for w in words)
