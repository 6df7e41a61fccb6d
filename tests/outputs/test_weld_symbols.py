"""Symbols of welds: where the parts of a symbol stand, in both layouts, and that they find room on a sheet.

Expected places are from memory of AWS A2.4 and ISO 2553 (system A), as every textbook of welding draws them; the full texts were not read.
"""

from __future__ import annotations

import itertools
from dataclasses import replace

import ezdxf
import pytest
from detail_package import make_package
from sheet_reader import read_dxf, read_svg
from splice_fixture import splice_detail
from test_detail_sheet import _far_side
from test_sheets import _collisions

from detailgen.core.units import MM, SI, US
from detailgen.model.detail import Weld
from detailgen.model.marks import detail_hash
from detailgen.outputs.drawings import write_dxf, write_svg
from detailgen.outputs.drawings.detail_canvas import Canvas, NoRoomError
from detailgen.outputs.drawings.detail_sheet import draw_detail
from detailgen.outputs.drawings.shapes import Circle, Line, Solid, Text
from detailgen.outputs.drawings.sheets import SI_LETTERS, US_LETTERS, Scale
from detailgen.outputs.drawings.weld_symbol import place_weld, weld_symbol

FILLET = Weld(0.0, 0.0, "fillet", 0.25)


def drawn(weld, units=US, elbow=(1.0, 1.0)):
    """At full size: inches of paper are inches."""
    shapes = weld_symbol(weld, (0.0, 0.0), elbow, 1.0, US_LETTERS if units is US else SI_LETTERS, units)
    lines = [s for s in shapes if isinstance(s, Line)]
    texts = {s.text: s for s in shapes if isinstance(s, Text)}
    arrow, line = lines[0], lines[1]
    return arrow, line, lines[2:], texts, shapes


def own(line, strokes):
    """Strokes of the symbol itself: neither dashes nor tail, which touch no point between the line's ends."""
    x0, x1 = sorted((line.start[0], line.end[0]))
    return [s for s in strokes if x0 + 0.1 < min(s.start[0], s.end[0]) and max(s.start[0], s.end[0]) < x1 - 0.1]


@pytest.mark.parametrize(("side", "below", "above"), [("arrow", 2, 0), ("other", 0, 2), ("both", 2, 2)])
def test_on_one_line_the_arrow_side_hangs_below(side, below, above):
    _, line, strokes, texts, _ = drawn(replace(FILLET, side=side))
    assert line.start[1] == line.end[1] == 1.0
    assert sum(max(s.start[1], s.end[1]) <= 1.0 and min(s.start[1], s.end[1]) < 1.0 for s in strokes) == below
    assert sum(min(s.start[1], s.end[1]) >= 1.0 and max(s.start[1], s.end[1]) > 1.0 for s in strokes) == above
    assert set(texts) == {"1/4"}


@pytest.mark.parametrize("elbow", [(1.0, 1.0), (-1.0, 1.0), (1.0, -1.0), (-1.0, -1.0)])
@pytest.mark.parametrize("kind", ["fillet", "bevel"])
def test_the_upright_stroke_is_on_the_left_and_the_line_runs_away_from_the_joint(elbow, kind):
    arrow, line, strokes, texts, _ = drawn(replace(FILLET, kind=kind, length=2.0, pitch=6.0), elbow=elbow)
    assert arrow.end == (0.0, 0.0)
    assert arrow.start == elbow
    far = max((line.start, line.end), key=lambda p: abs(p[0]))
    assert abs(far[0]) > 1.5
    assert far[0] * elbow[0] > 0
    upright = [s for s in strokes if s.start[0] == s.end[0]]
    assert len(upright) == 1
    assert upright[0].start[0] == min(x for s in strokes for x in (s.start[0], s.end[0]))
    size, run = texts["1/4"], texts["2-6"]
    assert size.anchor == "end"
    assert size.at[0] < upright[0].start[0] < run.at[0]
    assert max(x for s in strokes for x in (s.start[0], s.end[0])) < run.at[0]
    assert size.at[1] + size.height < elbow[1]  # on the arrow's side, with the symbol


def test_with_two_lines_the_other_side_stands_at_the_dashed_one():
    _, line, strokes, texts, _ = drawn(replace(FILLET, size=6 * MM), SI)
    dashes = [s for s in strokes if s.start[1] == s.end[1] and s.start[1] < line.start[1]]
    assert len(dashes) >= 4
    assert len({s.start[1] for s in dashes}) == 1
    assert all(a.end[0] < b.start[0] for a, b in itertools.pairwise(dashes))
    body = [s for s in strokes if s not in dashes]
    assert all(min(s.start[1], s.end[1]) >= 1.0 for s in body)  # arrow side: on the full line
    assert set(texts) == {"z6"}
    _, line, strokes, _, _ = drawn(replace(FILLET, size=6 * MM, side="other"), SI)
    dashes = [s for s in strokes if s.start[1] == s.end[1] and s.start[1] < line.start[1]]
    assert all(max(s.start[1], s.end[1]) <= dashes[0].start[1] for s in strokes if s not in dashes)
    _, _, strokes, _, _ = drawn(replace(FILLET, size=6 * MM, side="both"), SI)
    assert not [s for s in strokes if s.start[1] == s.end[1] and s.start[1] != 1.0]  # alike on both sides: no dashed line


def test_interrupted_welds_say_count_length_and_gap_in_millimetres():
    *_, texts, _ = drawn(Weld(0, 0, "fillet", 5 * MM, length=50 * MM, pitch=150 * MM, count=3), SI)
    assert set(texts) == {"z5", "3 x 50 (100)"}
    *_, texts, _ = drawn(Weld(0, 0, "fillet", 5 * MM, length=50 * MM), SI)
    assert set(texts) == {"z5", "50"}


def test_around_field_and_tail():
    arrow, _, _, texts, shapes = drawn(replace(FILLET, around=True, field=True, tail="E70XX"))
    (ring,) = [s for s in shapes if isinstance(s, Circle)]
    assert ring.centre == arrow.start
    flag = next(s for s in shapes if isinstance(s, Solid) and arrow.end not in s.points)
    assert all(p[1] > 1.0 for p in flag.points)  # over the elbow
    assert texts["E70XX"].at[0] > 1.0 + 0.5
    _, line, _, texts, _ = drawn(replace(FILLET, tail="E70XX"), elbow=(-1.0, 1.0))
    assert texts["E70XX"].at[0] < min(line.start[0], line.end[0])
    assert texts["E70XX"].anchor == "end"


@pytest.mark.parametrize(("kind", "count"), [("square", 2), ("vee", 2), ("bevel", 2)])
def test_grooves_through_the_plate_bear_no_size(kind, count):
    _, line, strokes, texts, _ = drawn(Weld(0, 0, kind, 0.0, tail="CJP"))
    assert set(texts) == {"CJP"}
    assert len(own(line, strokes)) == count
    if kind == "vee":
        (a, b) = own(line, strokes)
        assert a.start == b.start
        assert abs(a.end[0] - b.end[0]) / 2 / abs(a.end[1] - 1.0) == pytest.approx(0.57735, rel=1e-4)  # 60 degrees between them


def test_what_has_no_symbol_is_refused():
    with pytest.raises(ValueError, match="no symbol for a weld 'spot'"):
        drawn(replace(FILLET, kind="spot"))
    with pytest.raises(ValueError, match="on the side 'near'"):
        drawn(replace(FILLET, side="near"))


WELDS = (Weld(-14.0, 3.5, "fillet", 0.25, around=True, tail="E70XX"), Weld(14.0, -3.5, "fillet", 0.3125, "both", 2.0, 6.0, 3, field=True))


@pytest.mark.parametrize("units", [US, SI], ids=["US", "SI"])
@pytest.mark.parametrize("far", [False, True])
def test_a_detail_with_welds_shows_them_and_nothing_overlaps(units, far, tmp_path):
    sizes = (1 / 4, 5 / 16) if units is US else (6 * MM, 8 * MM)
    detail = replace(_far_side() if far else splice_detail(), welds=tuple(replace(w, size=s) for w, s in zip(WELDS, sizes, strict=True)))
    drawing = draw_detail(detail, make_package(units, detail))[0]
    write_svg(drawing, tmp_path / "a.svg")
    write_dxf(drawing, tmp_path / "a.dxf")
    _, texts, strokes = read_svg(tmp_path / "a.svg")
    assert _collisions([(words, box) for _, words, box in texts], strokes) == []
    words = [w for _, w, _ in texts]
    assert words.count("1/4" if units is US else "z6") == 1
    assert words.count("5/16" if units is US else "z8") == 2
    assert words.count("E70XX") == 1
    doc, _, strokes = read_dxf(tmp_path / "a.dxf")
    assert not doc.audit().errors
    unit = 1.0 if units is US else 25.4
    tips = [tuple(round(v, 3) for v in s.dxf.vtx0)[:2] for s in doc.modelspace().query("SOLID")]
    for weld in WELDS:
        x = -weld.x if far else weld.x
        assert (pytest.approx(x * unit, abs=1e-3), pytest.approx(weld.y * unit, abs=1e-3)) in tips


def test_a_weld_counts_in_the_hash_and_none_leaves_it_as_it_was():
    bare = splice_detail()
    assert detail_hash(replace(bare, welds=())) == detail_hash(bare)
    assert detail_hash(replace(bare, welds=WELDS)) != detail_hash(bare)


def test_where_there_is_no_room_it_says_so():
    canvas = Canvas("bracket", Scale(1.0, "full"), US_LETTERS, US)
    canvas.draw(*(Line("existing", (-9.0, 0.05 * k), (9.0, 0.05 * k)) for k in range(-80, 80)))
    with pytest.raises(NoRoomError, match="bracket: no room for the symbol of a weld"):
        place_weld(canvas, FILLET, (0.0, 0.0))


def test_no_drill_zones_lie_on_a_layer_that_does_not_plot(tmp_path):
    """They are in the drawing for whoever moves a hole there, and on no print."""
    detail = splice_detail()
    assert detail.zones
    drawing = draw_detail(detail, make_package(US, detail))[0]
    write_dxf(drawing, tmp_path / "a.dxf")
    write_svg(drawing, tmp_path / "a.svg")
    doc = ezdxf.readfile(tmp_path / "a.dxf")
    found = [e for e in doc.modelspace() if e.dxf.layer == "S-TRUS-ZONE-NPLT"]
    assert len(found) == len(detail.zones)
    assert doc.layers.get("S-TRUS-ZONE-NPLT").dxf.plot == 0
    assert 'id="zones"' not in (tmp_path / "a.svg").read_text()


def test_new_work_is_heavier_than_what_exists(tmp_path):
    """Common practice, no published source."""
    write_dxf(draw_detail(splice_detail(), make_package(US))[0], tmp_path / "a.dxf")
    layers = ezdxf.readfile(tmp_path / "a.dxf").layers
    names = ("S-TRUS-WOOD-E", "S-TRUS-WOOD-N", "S-TRUS-PLAT-N", "S-DETL-MCUT", "S-ANNO-DIMS", "S-ANNO-CNTR")
    width = {name: layers.get(name).dxf.lineweight for name in names}
    assert width["S-TRUS-WOOD-N"] == width["S-TRUS-PLAT-N"] == width["S-DETL-MCUT"] == 50
    assert width["S-TRUS-WOOD-E"] == 35
    assert width["S-ANNO-DIMS"] == width["S-ANNO-CNTR"] == 18
