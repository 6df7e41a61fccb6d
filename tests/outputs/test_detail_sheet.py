"""The sheet of a detail, read back from disk: lettering stands free, all is inside the frame, dimensions say what they measure."""

from __future__ import annotations

import itertools
import math
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from curved_detail import curved_detail
from detail_package import make_package
from sheet_reader import read_dxf, read_svg
from splice_fixture import BOLTS, GAP, HALF, splice_detail
from test_sheets import _collisions

from detailgen.core.errors import OutputError
from detailgen.core.units import MM, SI, US
from detailgen.model.detail import Slot
from detailgen.outputs.drawings import write_dxf, write_svg
from detailgen.outputs.drawings.detail_sheet import draw_detail
from detailgen.outputs.drawings.detail_words import number
from detailgen.outputs.drawings.layers import LAYERS
from detailgen.outputs.drawings.shapes import Text


def _far_side():
    """The same splice on the far ply, turned about: its plates lie behind the near ply."""
    detail = splice_detail()
    turned = tuple(replace(p, placement=replace(p.placement, z=-p.placement.z - p.thickness)) for p in detail.parts)
    return replace(detail, parts=turned, bolts=tuple(replace(b, low=-b.high, high=-b.low) for b in detail.bolts))


def _with_slots():
    detail = splice_detail()
    plate = replace(detail.parts[0], slots=(Slot(0.0, 0.0, 3.0, 0.8125, math.pi / 2, "B1"),))
    return replace(detail, parts=(plate, *detail.parts[1:]))


def _long_texts():
    detail = splice_detail()
    notes = tuple(f"A note of this detail that says at length what matters here, {k}." for k in range(60))
    return replace(detail, order=detail.order * 4, notes=notes)


PACKAGES = {
    "feet": make_package(US),
    "metric": make_package(SI),
    "far side": make_package(US, _far_side()),
    "at a joint": make_package(US, replace(splice_detail(), station=262.0)),
    "slots": make_package(US, _with_slots()),
    "long texts": make_package(US, _long_texts()),
    "curved chord": make_package(US, curved_detail()),
    "curved chord, metric": make_package(SI, curved_detail()),
}


@pytest.fixture(params=list(PACKAGES), scope="module")
def written(request, tmp_path_factory):
    package, folder = PACKAGES[request.param], tmp_path_factory.mktemp("detail")
    drawings = draw_detail(package.details[0], package)
    for k, drawing in enumerate(drawings):
        write_svg(drawing, folder / f"{k}.svg")
        write_dxf(drawing, folder / f"{k}.dxf")
    return package, drawings, folder


def test_texts_stand_free(written):
    _, drawings, folder = written
    for k, _ in enumerate(drawings):
        _, texts, strokes = read_svg(folder / f"{k}.svg")
        assert len(texts) > 15
        assert _collisions([(words, box) for _, words, box in texts], strokes) == []
        _, by_space, lines = read_dxf(folder / f"{k}.dxf")
        for space in ("model", "sheet"):
            assert _collisions(by_space[space], [s for s in lines[space] if "NPLT" not in s[0] and s[0] != "S-TRZONEE--"]) == []


def test_all_lies_inside_the_frame(written):
    _, drawings, folder = written
    for k, drawing in enumerate(drawings):
        x0, y0, x1, y1 = (v / MM + e for v, e in zip(drawing.sheet.inner, (-1e-3, -1e-3, 1e-3, 1e-3), strict=True))
        root, texts, strokes = read_svg(folder / f"{k}.svg")
        assert float(root.get("width").removesuffix("mm")) == pytest.approx(drawing.sheet.width / MM, abs=1e-3)
        points = [p for _, _, box in texts for p in box] + [p for _, segment in strokes for p in segment]
        assert all(x0 <= x <= x1 and y0 <= y <= y1 for x, y in points)


def test_the_auditor_finds_nothing_and_layers_are_known(written):
    package, drawings, folder = written
    for k, _ in enumerate(drawings):
        doc, _, strokes = read_dxf(folder / f"{k}.dxf")
        auditor = doc.audit()
        assert [e.message for e in (*auditor.errors, *auditor.fixes)] == []
        known = {layer.name(package.project.units) for layer in LAYERS.values()}
        us = package.project.units is US
        for space in (doc.modelspace(), doc.paperspace("Sheet")):
            assert {e.dxf.layer for e in space if not (e.dxftype() == "VIEWPORT" and e.dxf.id == 1)} <= known
            assert all(e.dxf.radius > 0 for e in space.query("CIRCLE ARC"))
        assert all(e.dxf.height >= (0.125 if us else 3.5) - 1e-9 for e in doc.paperspace("Sheet").query("TEXT"))
        assert all(math.dist(a, b) > 1e-6 for _, (a, b) in (*strokes["model"], *strokes["sheet"]))


def test_dimensions_say_what_they_measure(written):
    package, _, folder = written
    doc, _, _ = read_dxf(folder / "0.dxf")
    units = package.project.units
    unit = 1.0 if units is US else MM
    shown = []
    for d in doc.modelspace().query("DIMENSION"):
        words = next(iter(doc.blocks.get(d.dxf.geometry).query("TEXT"))).dxf.text
        measured = d.get_measurement()
        assert measured == pytest.approx(d.dxf.actual_measurement, abs=1e-5)
        assert words == d.dxf.text.replace("<>", number(measured * unit, units))
        style = doc.dimstyles.get(d.dxf.dimstyle).dxf
        assert (style.dimlfac, style.dimlunit) == ((1.0, 4) if units is US else (1.0, 2))
        shown.append(words)
    assert len(shown) > 40


def test_one_viewport_per_view_at_its_scale(written):
    _, drawings, folder = written
    doc, _, _ = read_dxf(folder / "0.dxf")
    ports = [v for v in doc.paperspace("Sheet").query("VIEWPORT") if v.dxf.id != 1]
    assert len(ports) == len(drawings[0].views)
    for port, view in zip(ports, drawings[0].views, strict=True):
        assert port.dxf.view_height / port.dxf.height == pytest.approx(view.scale.factor)
        assert not doc.layers.get(port.dxf.layer).dxf.plot
    windows = [v.window for v in drawings[0].views]
    for n, (a0, b0, a1, b1) in enumerate(windows):
        for x0, y0, x1, y1 in windows[n + 1 :]:
            assert a1 <= x0 or x1 <= a0 or b1 <= y0 or y1 <= b0
    shown = []
    for v in drawings[0].views:
        half = (v.window[3] - v.window[1]) * v.scale.factor / 2
        shown.append((v.centre[1] - half, v.centre[1] + half))
    for (low, _), (_, high) in itertools.pairwise(shown):
        assert high < low  # views stand below each other in the model, apart


def test_chain_of_the_elevation_is_what_the_fixture_says():
    # By hand: plate end 1 1/4, columns 4 1/2 apart, end distance 7, half the cut 3, and half of the plate's 40 1/2 in.
    drawing = draw_detail(PACKAGES["feet"].details[0], PACKAGES["feet"])[0]
    level = [d for d in drawing.model if type(d).__name__ == "Dimension" and not d.vertical]
    assert [d.text for d in level[:9]] == ['1 1/4"', '2 SPA @ 4 1/2" = 9"', '7"', '3"', '3"', '7"', '2 SPA @ 4 1/2" = 9"', '1 1/4"', "1'-8 1/4\""]
    assert level[-1].text == "(3'-4 1/2\")"
    assert sum(d.measure for d in level[:8]) == pytest.approx(2 * HALF) == pytest.approx(level[-1].measure)
    upright = [d for d in drawing.model if type(d).__name__ == "Dimension" and d.vertical]
    assert [d.text for d in upright] == ['2 3/4"', '4"', '2 3/4"']


def test_the_sheet_says_what_it_is(written):
    package, _, folder = written
    _, texts, _ = read_svg(folder / "0.svg")
    words = " ".join(w for _, w, _ in texts)
    us = package.project.units is US
    if package.details[0].member == "top chord":
        for said in ("R 60'-4 3/4\"" if us else "R 18408.7 mm", "tangent at WP", "plumb", "PL-1, 1 required", "truss T3"):
            assert said in words, said
        return
    for said in ("PROPOSED", "S-501", "Revision A", "2024-03-05", "Mill Street warehouse", "truss T2", "Drawn from the survey",
                 "Splice of the near ply of the bottom chord", "Cut out", "PL-1, 2 required", "FB-1, 2 required", "SECTION A-A", "PLAN", "near side",
                 "far side", "grain", "Not for construction", "12 holes", "in the shop", "in the field, template PL-1", "PARTS", "BOLTS", "HOLES",
                 "ORDER OF WORK", "12 bolts", "ASTM A307",
                 '3/4" dia' if us else "19.1 mm dia", "feet and inches" if us else "millimetres"):  # fmt: skip
        assert said in words, said
    far = package is PACKAGES["far side"]  # its plates can only be seen from behind
    assert ("ELEVATION, far side, looking south" if far else "ELEVATION, near side, looking north") in words


def _on(p, line):
    (ax, ay), (bx, by) = line
    size = math.dist(*line)
    across = abs((bx - ax) * (p[1] - ay) - (by - ay) * (p[0] - ax)) / size
    along = ((bx - ax) * (p[0] - ax) + (by - ay) * (p[1] - ay)) / size
    return across < 1e-3 and -1e-3 < along < size + 1e-3


def test_no_dimension_reaches_for_a_hidden_line(written):
    """Common practice of shop drawings, no published source: what is behind other parts is dimensioned where it is seen."""
    _, _, folder = written
    doc, _, strokes = read_dxf(folder / "0.dxf")
    hidden = [s for layer, s in strokes["model"] if layer in ("S-TRUS-HIDN", "S-TRHIDDH--")]
    seen = [s for layer, s in strokes["model"] if layer not in ("S-TRUS-HIDN", "S-TRHIDDH--", "S-ANNO-DIMS", "S-ANDIMSD--")]
    assert hidden
    for d in doc.modelspace().query("DIMENSION"):
        for p in ((d.dxf.defpoint2.x, d.dxf.defpoint2.y), (d.dxf.defpoint3.x, d.dxf.defpoint3.y)):
            assert not any(_on(p, line) for line in hidden) or any(_on(p, line) for line in seen), (d.dxf.text, p)


def test_long_texts_go_to_a_second_sheet(written):
    package, drawings, folder = written
    said = " ".join(w for k, _ in enumerate(drawings) for _, w, _ in read_svg(folder / f"{k}.svg")[1])
    for line in package.details[0].notes:
        assert line.split(",")[-1].strip() in said
    assert (len(drawings) == 2) == (package is PACKAGES["long texts"])
    if len(drawings) == 2:
        first = " ".join(w for _, w, _ in read_svg(folder / "0.svg")[1])
        second = " ".join(w for _, w, _ in read_svg(folder / "1.svg")[1])
        assert "Continued on sheet S-501-2" in first
        assert "Not for construction" in second
        assert "PROPOSED" in second


def test_what_lies_behind_is_dashed_and_nothing_is_drawn_twice():
    package = PACKAGES["feet"]
    drawing = draw_detail(package.details[0], package)[0]
    edges = [s for s in drawing.model if s.layer in ("existing", "new steel", "new wood", "hidden") and type(s).__name__ == "Line"]
    hidden = {(round(s.start[0], 6)) for s in edges if s.layer == "hidden" and s.start[0] == s.end[0]}
    assert {-GAP / 2, GAP / 2, -7.5, 7.5} == hidden  # cut ends behind the plate, inner ends of the fillers
    seen = set()
    for s in edges:
        key = tuple(sorted(((round(s.start[0], 6), round(s.start[1], 6)), (round(s.end[0], 6), round(s.end[1], 6)))))
        assert key not in seen
        seen.add(key)


def test_existing_bolts_near_the_detail_are_shown_light_and_named():
    package = PACKAGES["at a joint"]
    drawing = draw_detail(package.details[0], package)[0]
    # By hand: the bolts of the post L3-U3 stand 1 1/2 in. up from joint L3 at 270 in., 1 1/2 in. to both sides of it: 8 in. right of WP.
    found = {(round(s.centre[0], 6), round(s.centre[1], 6)) for s in drawing.model if s.layer == "bolts"}
    assert {(6.5, 1.5), (9.5, 1.5)} <= found
    words = " ".join(s.text for s in drawing.model if isinstance(s, Text))
    assert "(E) bolts of webs" in words
    assert "L3-U3" in words


def test_a_text_moved_on_to_a_line_is_found(tmp_path):
    """The check of collisions can fail."""
    drawing = draw_detail(PACKAGES["feet"].details[0], PACKAGES["feet"])[0]
    shapes = list(drawing.model)
    k = next(k for k, s in enumerate(shapes) if isinstance(s, Text) and s.text == "WP")
    moved = replace(drawing, model=(*shapes[:k], replace(shapes[k], at=(0.5, 3.4)), *shapes[k + 1 :]))
    write_svg(moved, tmp_path / "a.svg")
    _, texts, strokes = read_svg(tmp_path / "a.svg")
    assert [c for c in _collisions([(words, box) for _, words, box in texts], strokes) if "WP" in c]


SCRIPT = """
import sys, pathlib
sys.path[:0] = {paths!r}
from detail_package import make_package
from detailgen.outputs.drawings import write_dxf, write_svg
from detailgen.outputs.drawings.detail_sheet import draw_detail
from detailgen.outputs.drawings.cut_files import write_cut_files
package, folder = make_package(), pathlib.Path(sys.argv[1])
for drawing in draw_detail(package.details[0], package):
    write_svg(drawing, folder / f"{{drawing.name}}.svg")
    write_dxf(drawing, folder / f"{{drawing.name}}.dxf")
write_cut_files(package, folder)
"""


def test_bytes_do_not_depend_on_seed_or_zone(tmp_path):
    here = Path(__file__).parent
    runs = []
    for seed, zone in (("0", "UTC"), ("4242", "Asia/Tokyo")):
        folder = tmp_path / seed
        folder.mkdir()
        environment = {**os.environ, "PYTHONHASHSEED": seed, "TZ": zone, "PYTHONPATH": str(here.parents[1])}
        code = SCRIPT.format(paths=[str(here), str(here.parent)])
        subprocess.run([sys.executable, "-c", code, str(folder)], check=True, env=environment)
        runs.append({f.name: f.read_bytes() for f in sorted(folder.iterdir())})
    assert set(runs[0]) == {"S-501.svg", "S-501.dxf", "PL-1_1-4in_x2.dxf"}
    assert runs[0] == runs[1]


def test_a_detail_too_long_for_the_sheet_is_refused():
    detail = splice_detail()
    ply = detail.part("ply-far")
    long = replace(ply, outline=tuple(replace(v, x=v.x * 60) for v in ply.outline), open_ends=tuple(x * 60 for x in ply.open_ends))
    package = make_package(US, replace(detail, parts=tuple(long if p is ply else p for p in detail.parts)))
    with pytest.raises(OutputError, match="at none of the standard scales"):
        draw_detail(package.details[0], package)


def test_bolts_are_drawn_where_they_stand():
    drawing = draw_detail(PACKAGES["feet"].details[0], PACKAGES["feet"])[0]
    heads = [s for s in drawing.model if s.layer == "new bolts"]
    centres = sorted((round(sum(x for x, _ in s.points) / 6, 6) + 0.0, round(sum(y for _, y in s.points) / 6, 6) + 0.0) for s in heads)
    assert centres == sorted(BOLTS)
