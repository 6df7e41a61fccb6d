"""Profiles of lines and arcs with holes and slots against their own arithmetic, and the traps of inner wires."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from solids_by_kernel import box_of, is_valid

from detailgen.core.errors import OutputError
from detailgen.model.detail import Hole, Part, Placement, Slot, Vertex
from detailgen.outputs.solids import shapes
from detailgen.outputs.solids.shapes import solid_of, volume_of


def plate(outline, holes=(), slots=(), thickness=0.5) -> Part:
    return Part("p", "plate", "plate", tuple(outline), tuple(holes), tuple(slots), thickness, Placement(0, 0, 0), "steel", "ASTM A36",
                math.nan, False, 0.28)  # fmt: skip


def rectangle(length, width) -> tuple[Vertex, ...]:
    return (Vertex(0, 0), Vertex(length, 0), Vertex(length, width), Vertex(0, width))


def hole(x, y, diameter=0.8125) -> Hole:
    return Hole(x, y, diameter, "B1")


def test_known_volumes():
    assert volume_of(solid_of(plate(rectangle(10, 4)), 1.0)) == pytest.approx(20, rel=1e-12)
    assert volume_of(solid_of(plate(rectangle(10, 4), [hole(2, 2, 1.0)]), 1.0)) == pytest.approx(20 - math.pi / 8, rel=1e-9)
    disc = (Vertex(-1, 0, 1.0), Vertex(1, 0, 1.0))  # two half circles
    assert volume_of(solid_of(plate(disc), 1.0)) == pytest.approx(math.pi / 2, rel=1e-9)
    slot = Slot(5, 2, 3.0, 1.0, 0.0)
    assert volume_of(solid_of(plate(rectangle(10, 4), (), [slot]), 1.0)) == pytest.approx(0.5 * (40 - 2 - math.pi / 4), rel=1e-9)
    assert volume_of(solid_of(plate(rectangle(10, 4)), 25.4)) == pytest.approx(20 * 25.4**3, rel=1e-12)


def test_arcs_bulge_outward_or_inward():
    quarter = math.tan(math.pi / 8)
    outward = (Vertex(0, 0), Vertex(3, 0, quarter), Vertex(4, 1), Vertex(4, 4), Vertex(0, 4))
    inward = (Vertex(0, 0), Vertex(3, 0, -quarter), Vertex(4, 1), Vertex(4, 4), Vertex(0, 4))
    assert volume_of(solid_of(plate(outward, thickness=1), 1.0)) == pytest.approx(16 - 1 + math.pi / 4, rel=1e-9)
    assert volume_of(solid_of(plate(inward, thickness=1), 1.0)) == pytest.approx(16 - math.pi / 4, rel=1e-9)
    nearly_whole = (Vertex(0, 0), Vertex(1, 0), Vertex(1, 0.5, math.tan(math.radians(320 / 4))), Vertex(0, 0.5))
    part = plate(nearly_whole)
    assert volume_of(solid_of(part, 1.0)) == pytest.approx(part.area * 0.5, rel=1e-9)


def test_slot_reaches_its_overall_length():
    part = plate(rectangle(10, 10), (), [Slot(5, 5, 4.0, 1.0, math.pi / 2)])
    solid = solid_of(part, 1.0)
    assert is_valid(solid)
    cut = plate((Vertex(5, 2.9), Vertex(5.4, 2.9), Vertex(5.4, 7.1), Vertex(5, 7.1)))  # reaches past both ends of the slot
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Common

    low, high = box_of(BRepAlgoAPI_Common(solid, solid_of(cut, 1.0)).Shape())
    assert (low[1], high[1]) == pytest.approx((2.9, 7.1), abs=1e-6)
    probe = plate((Vertex(4.99, 3.01), Vertex(5.01, 3.01), Vertex(5.01, 6.99), Vertex(4.99, 6.99)))  # inside it: no metal there
    assert volume_of(BRepAlgoAPI_Common(solid, solid_of(probe, 1.0)).Shape()) == pytest.approx(0, abs=1e-12)


@pytest.mark.parametrize(
    ("name", "part"),
    [
        ("hole over an edge", plate(rectangle(10, 4), [hole(0.2, 2)])),
        ("hole outside", plate(rectangle(10, 4), [hole(12, 2)])),
        ("two holes that meet", plate(rectangle(10, 4), [hole(3, 2), hole(3.5, 2)])),
        ("the same hole twice", plate(rectangle(10, 4), [hole(3, 2), hole(3, 2)])),
        ("hole in a hole", plate(rectangle(10, 4), [hole(3, 2, 2.0), hole(3, 2)])),
        ("slot over a hole", plate(rectangle(10, 4), [hole(3, 2)], [Slot(4, 2, 3, 1, 0)])),
        ("outline clockwise", plate(rectangle(10, 4)[::-1])),
        ("outline crosses itself", plate([Vertex(0, 0), Vertex(10, 0), Vertex(0, 4), Vertex(10, 5)])),
    ],
)
def test_what_makes_no_solid_is_refused(name, part):
    with pytest.raises(OutputError, match="part p"):
        solid_of(part, 1.0)


def test_the_proof_sees_an_inner_wire_the_wrong_way_round(monkeypatch):
    right = shapes._circle
    monkeypatch.setattr(shapes, "_circle", lambda x, y, d, scale, up: right(x, y, d, scale, 1))
    with pytest.raises(OutputError, match="no valid solid"):
        solid_of(plate(rectangle(10, 4), [hole(2, 2)]), 1.0)


@settings(max_examples=25)
@given(
    columns=st.integers(1, 4), rows=st.integers(1, 3), pitch=st.floats(1.5, 6), diameter=st.floats(0.3, 1.2), thickness=st.floats(0.1875, 4),
    bulge=st.one_of(st.just(0.0), st.floats(0.01, 1.0), st.floats(-0.3, -0.01)), angle=st.floats(0, math.pi), scale=st.sampled_from([1.0, 25.4]),
)  # fmt: skip
def test_volume_is_area_times_thickness(columns, rows, pitch, diameter, thickness, bulge, angle, scale):
    holes = [hole(pitch * (k + 1), pitch * (r + 1), diameter) for k in range(columns) for r in range(rows)]
    length, width = pitch * (columns + 3), pitch * (rows + 1)
    slot = Slot(pitch * (columns + 1.75), width / 2, pitch * 0.9, pitch * 0.4, angle)
    corners = rectangle(length, width)
    part = plate((corners[0], Vertex(length, 0, bulge * 0.2), *corners[2:]), holes, [slot], thickness)
    solid = solid_of(part, scale)
    assert is_valid(solid)
    assert volume_of(solid) == pytest.approx(part.area * thickness * scale**3, rel=1e-6)
