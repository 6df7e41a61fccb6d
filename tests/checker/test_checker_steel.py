"""Steel at its bolts: slots, and how far bolts may stand apart. AISC 360-16 J3.2, tables J3.3 and J3.5 (slots), J3.5: from memory."""

from __future__ import annotations

import math

import pytest
from face_views import build, holes, move, outline, saved, set_value, tag, tags_of
from splice_fixture import splice_detail
from test_checker_mutants import every_hole, lightly_loaded
from test_checker_reading import one_part

from detailgen.checker import check_file
from detailgen.checker.read_dxf import read_dxf
from detailgen.core.result import State


def failing(doc, folder, name="sheet.dxf"):
    return [r for r in check_file(saved(doc, folder, name)) if r.state is not State.PASSES]


def slotted(doc, width, length, degrees):
    """The first hole of the near plate becomes a slot: 1-1/2 in. from the lower edge, 1-1/4 in. from the end."""
    h = holes(doc, "plate-near")[0]
    c, a, b = h.dxf.center, (length - width) / 2, width / 2
    u, v = (math.cos(math.radians(degrees)), math.sin(math.radians(degrees))), (-math.sin(math.radians(degrees)), math.cos(math.radians(degrees)))
    corners = [(c.x + s * a * u[0] + t * b * v[0], c.y + s * a * u[1] + t * b * v[1], -1 if (s, t) in ((1, 1), (-1, -1)) else 0)
               for s, t in ((1, 1), (1, -1), (-1, -1), (-1, 1))]  # fmt: skip
    slot = doc.modelspace().add_lwpolyline(corners, format="xyb", close=True)
    tag(slot, *[t.replace("kind=hole", "kind=slot") for t in tags_of(h)])
    doc.modelspace().delete_entity(h)
    return doc


@pytest.mark.parametrize(
    ("width", "length", "degrees", "words"),
    [
        (13 / 16, 1.0, 90, ""),  # a short slot across the load: table J3.3, 13/16 x 1
        (13 / 16, 1.0, 82, ""), (13 / 16, 1.0, 78, "slot across the load: it stands at 78 degrees"),
        (13 / 16, 1.0, 0, "slot across the load"), (7 / 8, 1.0, 90, "no wider than a standard hole"),
        (11 / 16, 1.0, 90, "not narrower than the bolt"),
        (13 / 16, 1.875, 90, "edge along the slot"),  # a long slot: 1 + 3/4 of 3/4 = 1-9/16 to the edge along it, 1-1/2 there
        (13 / 16, 1.9, 90, "no longer than a long slot"),  # 13/16 x 1-7/8
    ],
)  # fmt: skip
def test_slots(width, length, degrees, words, tmp_path):
    found = failing(slotted(build(), width, length, degrees), tmp_path)
    assert {r.state for r in found} <= {State.DOES_NOT_PASS}
    assert any(words in r.check for r in found) if words else not found
    assert all(r.where.startswith("plate-near, slot") for r in found)


def test_a_slot_is_measured(tmp_path):
    drawing = read_dxf(saved(slotted(build(), 0.8125, 1.8125, 90), tmp_path))
    slot = next(h for f in drawing.faces if f.part == "plate-near" for h in f.holes if h.slot)
    assert (slot.diameter, slot.length, abs(slot.angle)) == pytest.approx((0.8125, 1.8125, 90))


def test_a_slot_whose_load_nobody_states(tmp_path):
    doc = slotted(build(), 13 / 16, 1.0, 90)
    for part in ("ply-near-left", "ply-near-right"):
        set_value(outline(doc, part), "load", None)
    assert any(r.missing == "the direction of the load at the slot" for r in failing(doc, tmp_path))


@pytest.mark.parametrize(("by", "passes"), [(1.5, True), (1.52, False)])
def test_bolts_stand_no_further_apart_than_24_t(by, passes, tmp_path):
    """24 x 1/4 = 6 in., at most 12 in. (J3.5). The bolts at the cut, 20 in. apart, hold two parts: nothing is asked of the gap between them."""
    doc = build(lightly_loaded())
    for k in (6, 7):
        every_hole(doc, k, -by)
    found = [r for r in failing(doc, tmp_path) if "greatest distance between bolts" in r.check]
    assert (not found) is passes
    assert passes or {r.where.split(",")[0] for r in found} == {"plate-near", "plate-inner"}


@pytest.mark.parametrize(("by", "passes"), [(1.5, True), (1.52, False)])
def test_the_same_in_a_cut_file(by, passes, tmp_path):
    """Alone a plate does not say where the joint is: the widest pitch over its middle is left out."""
    doc = one_part(build(splice_detail()), "plate-near")
    for h in holes(doc, "plate-near")[6:8]:
        move(h, -by)
    assert (not failing(doc, tmp_path, "PL-1_1-4in_x2.dxf")) is passes


def test_a_slot_takes_from_the_net_section(tmp_path):
    """A long slot across the plate: net width 7 less (1-7/8 + 1/16) less 7/8; B4.3b adds 1/16 to each."""
    from detailgen.checker import strength

    drawing = read_dxf(saved(slotted(build(), 13 / 16, 1.875, 90), tmp_path))
    plate = next(f for f in drawing.faces if f.part == "plate-near")
    assert strength._net(plate, [h for h in plate.holes if h.x < 0]) == pytest.approx(7 - 1.9375 - 0.875)
