"""One fault at a time in a sound sheet: each is found, with its place; harmless changes accuse nobody."""

from __future__ import annotations

from dataclasses import replace

import pytest
from face_views import APP, build, holes, move, outline, outlines, saved, set_value, tag, tags_of, value
from splice_fixture import splice_detail

from detailgen.checker import check_file
from detailgen.core.result import State

FAILS, UNKNOWN = State.DOES_NOT_PASS, State.CANNOT_BE_CHECKED


def every_hole(doc, index, dx, dy=0.0):
    """Move one bolt in every part that it goes through; index counts in the plate, left to right, then upward."""
    place = holes(doc, "plate-near")[index].dxf.center.x, holes(doc, "plate-near")[index].dxf.center.y
    for number, part in enumerate(("plate-near", "plate-inner", "filler-right", "filler-left", "ply-near-left", "ply-near-right", "ply-far")):
        for h in holes(doc, part):
            x, y = h.dxf.center.x, h.dxf.center.y - 20 * number
            if part.startswith("filler"):
                side = 1 if part.endswith("right") else -1
                x, y = side * (x + 7.5), side * y
                if abs(x - place[0]) < 1e-6 and abs(y - place[1]) < 1e-6:
                    move(h, side * dx, side * dy)
            elif abs(x - place[0]) < 1e-6 and abs(y - place[1]) < 1e-6:
                move(h, dx, dy)


def shorten(doc, part, by, view="face"):
    line = outline(doc, part, view)
    points = [list(p) for p in line.get_points("xyb")]
    end = max(p[0] for p in points)
    line.set_points([(x - by if x == end else x, y, b) for x, y, b in points], format="xyb")


def nick(doc):
    """A notch in the upper edge of the right ply, beside a hole but not above it."""
    line = outline(doc, "ply-near-right")
    (x0, y0, _), (x1, _, _), (_, y1, _), _ = line.get_points("xyb")
    hole = holes(doc, "ply-near-right")[1].dxf.center
    a, b, floor = hole.x + 0.1, hole.x + 1.0, hole.y + 0.3
    line.set_points([(x0, y0, 0), (x1, y0, 0), (x1, y1, 0), (b, y1, 0), (b, floor, 0), (a, floor, 0), (a, y1, 0), (x0, y1, 0)], format="xyb")


def remove(doc, *entities):
    for e in entities:
        doc.modelspace().delete_entity(e)


def close_up(doc):
    """The upper row comes down to 1 in. above the lower one, in every part."""
    for part in ("plate-near", "plate-inner", "filler-right", "filler-left", "ply-near-left", "ply-near-right", "ply-far"):
        middle = sum(h.dxf.center.y for h in holes(doc, part)) / len(holes(doc, part))
        for h in holes(doc, part):
            upper = (h.dxf.center.y > middle) != (part == "filler-left")
            if upper:
                move(h, 0, 3 if part == "filler-left" else -3)


def widen(doc):
    """Rows 5-1/8 in. apart through one plate."""
    for part in ("plate-near", "plate-inner", "filler-right", "filler-left", "ply-near-left", "ply-near-right", "ply-far"):
        middle = sum(h.dxf.center.y for h in holes(doc, part)) / len(holes(doc, part))
        for h in holes(doc, part):
            move(h, 0, 9 / 16 if h.dxf.center.y > middle else -9 / 16)


def double(doc):
    h = holes(doc, "plate-near")[3]
    copy = doc.modelspace().add_circle(h.dxf.center, h.dxf.radius)
    tag(copy, *tags_of(h))


def extra(doc):
    h = holes(doc, "plate-near")[0]
    copy = doc.modelspace().add_circle((0.0, h.dxf.center.y), h.dxf.radius)
    tag(copy, *tags_of(h))


def bare(doc):
    doc.modelspace().add_circle((0.0, holes(doc, "plate-near")[0].dxf.center.y), 0.4)


def dimension(doc, text):
    doc.modelspace().query("DIMENSION")[0].dxf.text = text


def stale_dimension(doc):
    """The plate's first hole is dimensioned, then moved; the dimension stays."""
    h = holes(doc, "plate-near")[0].dxf.center
    y0 = min(p[1] for p in outline(doc, "plate-near").get_points("xy"))
    x0 = min(p[0] for p in outline(doc, "plate-near").get_points("xy"))
    dim = doc.modelspace().add_linear_dim(base=(x0, y0 - 4), p1=(x0, y0), p2=(h.x, h.y), dimstyle="PLAIN")
    dim.render()
    every_hole(doc, 0, 0.125)


def copy_outline(doc):
    tag(doc.modelspace().add_lwpolyline([(0, 300), (9, 300), (9, 309)], close=True), *tags_of(outline(doc, "plate-near")))


def reverse(doc):
    set_value(outline(doc, "ply-near-left"), "load", "B1;tension=13600;compression=0;direction=180")


MUTANTS = {
    # name: (change, state, words of where, words of the check or of what is missing)
    "end distance under its least": (
        lambda d: every_hole(d, 6, -4.5),
        FAILS,
        "ply-near-right, hole 1 at 2 1/2 in., 2 3/4 in. from the lower left",
        "not allowed (least 3.5 D)",
    ),
    "a hole moved in one part": (
        lambda d: move(holes(d, "ply-near-left")[2], 0.25),
        FAILS,
        "ply-near-left, hole 4",
        "1/4 in. off its place by plate-inner",
    ),
    "a hole of the template moved": (lambda d: move(holes(d, "plate-near")[4], 0, 0.1), FAILS, "plate-near, hole 5", "off its place by"),
    "a hole missing in one part": (
        lambda d: remove(d, holes(d, "ply-near-left")[0]),
        FAILS,
        "ply-near-left, 1'-4\", 2 3/4 in. from the lower right",
        "no hole of group B1 here",
    ),
    "a hole missing in the plate": (lambda d: remove(d, holes(d, "plate-inner")[7]), FAILS, "plate-inner", "no hole of group B1 here"),
    "a hole too many": (extra, FAILS, "plate-near, hole 7", "missing in"),
    "a hole drawn twice": (double, FAILS, "plate-near, hole 4", "hole stands twice"),
    "a hole off its part": (lambda d: move(holes(d, "plate-near")[0], -3), FAILS, "plate-near", "outside its part"),
    "rows closed up": (close_up, FAILS, "ply-near-right, hole", "distance between rows: not allowed"),
    "outer rows over 5 in.": (widen, FAILS, "ply-near-right and plate-near", "outer rows"),
    "spacing under 3 D": (lambda d: every_hole(d, 8, -2.5), FAILS, "ply-near-right", "spacing in a row: not allowed"),
    "plate shortened": (
        lambda d: (shorten(d, "plate-near", 0.375), shorten(d, "plate-near", 0.375, "plan")),
        FAILS,
        "plate-near, hole 11",
        "nearest edge of the plate",
    ),
    "plate shortened in one view": (lambda d: shorten(d, "plate-near", 0.125), FAILS, "plate-near", "in the plan view"),
    "plate thinner than it reaches": (
        lambda d: outline(d, "plate-near", "plan").set_points([(170, 0), (192, 0), (192, 0.1), (170, 0.1)], format="xy"),
        FAILS,
        "plate-near",
        "greatest distance",
    ),
    "hole too large": (lambda d: setattr(holes(d, "ply-far")[1].dxf, "radius", 0.45), FAILS, "ply-far, hole 2", "not too large"),
    "hole too tight": (lambda d: setattr(holes(d, "ply-far")[1].dxf, "radius", 0.385), FAILS, "ply-far, hole 2", "not too tight"),
    "hole of steel too large": (
        lambda d: setattr(holes(d, "plate-inner")[1].dxf, "radius", 0.44),
        FAILS,
        "plate-inner, hole 2",
        "no larger than a standard hole",
    ),
    "another bolt": (lambda d: set_value(holes(d, "ply-near-left")[0], "fastener", "bolt 1 in"), FAILS, "ply-near-left, hole 1", "not too tight"),
    "a nick beside a hole": (nick, FAILS, "ply-near-right, hole 2", "nearest edge in any direction"),
    "grain turned": (lambda d: set_value(outline(d, "ply-near-right"), "grain", "90"), FAILS, "ply-near-right and plate-near", "outer rows"),
    "inches flagged as mm": (lambda d: d.header.__setitem__("$INSUNITS", 4), FAILS, "plate-near", "is the unit of the file right"),
    "dimension text edited": (lambda d: dimension(d, "2'-4 1/2\""), FAILS, "in the face view of plate-near", "dimension text"),
    "dimension chain edited": (lambda d: dimension(d, '3 SPA @ 9" = 2\'-4"'), FAILS, "in the face view of plate-near", "dimension text"),
    "dimension left behind": (stale_dimension, FAILS, "in the face view of plate-near", "beside the nearest hole"),
    "load reversed": (reverse, UNKNOWN, "ply-near-left", "direction of the load"),
    "load lost": (lambda d: set_value(outline(d, "ply-near-left"), "load", None), UNKNOWN, "ply-near-left", "the load of this group"),
    "load that cannot be read": (
        lambda d: set_value(outline(d, "ply-near-left"), "load", "B1;tension=much"),
        UNKNOWN,
        "ply-near-left",
        "states no tension",
    ),
    "grain lost": (lambda d: set_value(outline(d, "ply-near-left"), "grain", None), UNKNOWN, "ply-near-left", "the direction of the grain"),
    "kind of wood lost": (lambda d: set_value(outline(d, "ply-near-left"), "wood", None), UNKNOWN, "ply-near-left", "softwood or hardwood"),
    "standard lost": (lambda d: set_value(outline(d, "plate-near"), "standard", None), UNKNOWN, "plate-near", "no standard"),
    "standard unknown": (lambda d: set_value(outline(d, "ply-far"), "standard", "nds_1944"), UNKNOWN, "ply-far", "'nds_1944' is not known"),
    "material lost": (lambda d: set_value(outline(d, "plate-near"), "material", None), UNKNOWN, "plate-near", "wood or steel"),
    "fastener unknown": (lambda d: set_value(holes(d, "ply-far")[0], "fastener", "dowel 3/4 in"), UNKNOWN, "ply-far", "dowel"),
    "fastener lost": (lambda d: set_value(holes(d, "ply-far")[0], "fastener", None), UNKNOWN, "ply-far", "no fastener"),
    "bolt out of range": (
        lambda d: [set_value(h, "fastener", "bolt 1-1/4 in") for h in holes(d, "ply-far")],
        UNKNOWN,
        "ply-far",
        "rows for a bolt of 1.25",
    ),
    "thickness lost": (lambda d: remove(d, outline(d, "ply-near-left", "plan")), UNKNOWN, "ply-near-left", "the thickness"),
    "outline lost": (lambda d: remove(d, outline(d, "ply-near-left")), UNKNOWN, "ply-near-left", "the face view of part"),
    "outline opened": (lambda d: setattr(outline(d, "ply-near-left"), "closed", False), UNKNOWN, "ply-near-left", "a closed outline"),
    "outline copied": (copy_outline, UNKNOWN, "plate-near", "one face view"),
    "a hole without tags in a new part": (bare, UNKNOWN, "plate-near, hole 7", "the tags of this hole"),
    "one hole's tags stripped": (lambda d: holes(d, "plate-near")[0].discard_xdata(APP), UNKNOWN, "plate-near", "the tags of"),
    "a hole's tags stripped in an existing part": (
        lambda d: holes(d, "ply-far")[0].discard_xdata(APP),
        UNKNOWN,
        "ply-far",
        "the tags of the circle here",
    ),
    "unit and bolts lost": (
        lambda d: [d.header.__setitem__("$INSUNITS", 0), *(set_value(h, "fastener", None) for h in d.modelspace() if value(h, "kind") == "hole")],
        UNKNOWN,
        "file",
        "the unit of the drawing",
    ),
}


@pytest.mark.parametrize("name", MUTANTS)
def test_every_fault_is_found_and_located(name, tmp_path):
    change, state, where, words = MUTANTS[name]
    doc = build()
    change(doc)
    found = [r for r in check_file(saved(doc, tmp_path)) if r.state is not State.PASSES]
    hits = [r for r in found if r.state is state and where in r.where and words in f"{r.check} {r.missing}"]
    assert hits, "\n".join(f"{r.state.value}: {r.where}: {r.check} {r.missing}" for r in found) or "nothing found"
    if state is FAILS:
        assert all(r.missing == "" for r in hits)


def shift_view(doc, part, dx, dy):
    for e in [outline(doc, part), *holes(doc, part)]:
        e.translate(dx, dy, 0)
    for d in doc.modelspace().query("DIMENSION"):
        remove(doc, d)


def lightly_loaded():
    """4,000 lb that last: what the wood carries even where its bolts stand as near as they may."""
    detail = splice_detail()
    loads = tuple(replace(x, tension=4000.0, lasting=(("permanent", 4000.0, 0.0),)) for x in detail.groups[0].loads)
    return replace(detail, groups=(replace(detail.groups[0], loads=loads),))


HARMLESS = {
    "unit lost, which every hole tells": lambda d: d.header.__setitem__("$INSUNITS", 0),
    "nothing": lambda d: None,
    "a bolt moved by 1/2 in. in every part": lambda d: every_hole(d, 6, 0.5),
    "a column nearer to the cut": lambda d: [every_hole(d, k, -1.25) for k in (6, 7)],
    "spacing at its least": lambda d: [every_hole(d, k, dx) for k, dx in ((8, -2.25), (9, -2.25), (10, -1.0), (11, -1.0))],
    "a face view moved": lambda d: shift_view(d, "filler-left", 500, -77.7),
    "a washer around a hole": lambda d: d.modelspace().add_circle(holes(d, "plate-near")[0].dxf.center, 1.0),
    "an old hole in an existing part": lambda d: d.modelspace().add_circle((30, 20 * 6), 0.5),
    "another layer and colour": lambda d: [setattr(e.dxf, "layer", "X") for e in d.modelspace()],
    "dimension text by words": lambda d: dimension(d, "VERIFY IN FIELD"),
    "dimension text as it is": lambda d: dimension(d, '4 SPA @ 7 1/8" = 2\'-4 1/2" TYP') or dimension(d, "<>"),
    "a load that another part makes larger": lambda d: set_value(outline(d, "ply-near-left"), "load", "B1;tension=5000;compression=0;direction=0"),
}


@pytest.mark.parametrize("name", HARMLESS)
def test_harmless_changes_accuse_nobody(name, tmp_path):
    doc = build(lightly_loaded())
    HARMLESS[name](doc)
    found = [r for r in check_file(saved(doc, tmp_path)) if r.state is not State.PASSES]
    assert not found, "\n".join(f"{r.state.value}: {r.where}: {r.check} {r.missing}" for r in found)


def test_exaggerated_tags_move_no_distance(tmp_path):
    def lengths(doc, name):
        return [(r.where, r.capacity) for r in check_file(saved(doc, tmp_path, name)) if "distance" in r.check]

    plain, loud = build(), build()
    for line in outlines(loud, "ply-near-left") + outlines(loud, "ply-near-right"):
        set_value(line, "load", next(t for t in tags_of(line) if t.startswith("load=")).removeprefix("load=").replace("13600", "1e9"))
        tag(line, *tags_of(line), "end_distance=99", "length=1")
    assert lengths(plain, "a.dxf") == lengths(loud, "b.dxf")


def test_tags_stripped_cannot_be_checked(tmp_path):
    doc = build()
    for e in doc.modelspace():
        e.discard_xdata(APP)
    results = check_file(saved(doc, tmp_path))
    assert [r.state for r in results if r.where != "dimensions"] == [UNKNOWN]
    assert APP in results[0].missing


def test_reduced_value_is_told(tmp_path):
    """End distance 4.5 in. of 5.25: C_delta = 4.5 / 5.25 (NDS 2018 12.5.1.2 (a), from memory)."""
    doc = build()
    for k in (6, 7):
        every_hole(doc, k, -2.5)
    results = check_file(saved(doc, tmp_path))
    end = next(r for r in results if r.where.startswith("ply-near-right") and r.check.startswith("end distance"))
    assert end.state is State.PASSES
    assert next(s.value for s in end.steps if s.symbol == "C_delta") == pytest.approx(4.5 / 5.25, abs=1e-6)
    assert "reduced, C_delta 0.857" in end.check
