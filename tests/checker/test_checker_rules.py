"""The checker's own reading of the rows against a formula written by hand, and against the standards' reading, over random cases and layouts.

Source: NDS 2018 12.5.1, tables 12.5.1A to D, from memory.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from detailgen.checker.drawing import Drawing, Face, FaceHole
from detailgen.checker.geometry import outline_of
from detailgen.checker.rules import Asked, MissingFact, least_distance, table_of
from detailgen.checker.steel import judge_steel
from detailgen.checker.tags import Load, fastener, read_tags
from detailgen.checker.wood import judge_wood
from detailgen.core.errors import NotCovered
from detailgen.core.result import State
from detailgen.standards.nds_2018 import distances

DIAMETERS = st.sampled_from([0.5, 0.625, 0.75, 0.875, 1.0])
WOODS = st.sampled_from(["softwood", "hardwood"])
LOADS = st.sampled_from(["tension", "compression"])
QUANTITIES = st.sampled_from(["end", "edge", "edge_loaded", "edge_unloaded", "spacing_in_row", "between_rows"])


def by_hand(quantity, load, wood, D, l_D, row_spacing):
    """Full and least distance for a load along the grain."""
    if quantity == "end":
        full = {"compression": 4, "tension": 7 if wood == "softwood" else 5}[load] * D
        return full, full / 2
    if quantity == "spacing_in_row":
        return 4 * D, 3 * D
    if quantity == "edge":
        edge = 1.5 * D if l_D <= 6 else max(1.5 * D, row_spacing / 2)
        return edge, edge
    return 1.5 * D, 1.5 * D


def across_by_hand(quantity, D, l_D):
    """Full and least distance for a load across the grain."""
    if quantity == "end":
        return 4 * D, 2 * D
    if quantity == "spacing_in_row":
        return 3 * D, 3 * D
    if quantity == "between_rows":
        need = 2.5 * D if l_D <= 2 else 5 * D if l_D > 6 else (5 * l_D * D + 10 * D) / 8
        return need, need
    return ((4 if quantity == "edge_loaded" else 1.5) * D,) * 2


@given(st.sampled_from(["end", "edge", "spacing_in_row", "between_rows"]), LOADS, WOODS, DIAMETERS, st.floats(0.5, 15), st.floats(0, 8))
def test_along_the_grain(quantity, load, wood, D, l_D, row_spacing):
    need = least_distance(Asked("nds_2018", "bolt", wood, quantity, load, 0.0, D, l_D, row_spacing))
    assert (need.full, need.least) == pytest.approx(by_hand(quantity, load, wood, D, l_D, row_spacing))


@given(st.sampled_from(["end", "edge_loaded", "edge_unloaded", "spacing_in_row", "between_rows"]), WOODS, DIAMETERS, st.floats(0.5, 15))
def test_across_the_grain(quantity, wood, D, l_D):
    need = least_distance(Asked("nds_2018", "bolt", wood, quantity, "tension", 90.0, D, l_D, 0.0))
    assert (need.full, need.least) == pytest.approx(across_by_hand(quantity, D, l_D))


@given(QUANTITIES, LOADS, WOODS, DIAMETERS, st.floats(0, 90), st.floats(0.5, 15), st.floats(0, 8))
def test_the_standards_own_reading_agrees(quantity, load, wood, D, angle, l_D, row_spacing):
    """Two evaluators of one table, written apart."""
    angle = round(angle, 6)
    asked = Asked("nds_2018", "bolt", wood, quantity, load, angle, D, l_D, row_spacing)
    words = {"D": D, "angle": angle, "load": load, "wood": wood, "l_D": l_D, "row_spacing": row_spacing}
    try:
        full = distances.least_distance(quantity, "full", **words)
    except NotCovered:
        with pytest.raises(NotCovered):
            least_distance(asked)
        return
    need = least_distance(asked)
    assert need.full == pytest.approx(full)
    assert need.least == pytest.approx(distances.least_distance(quantity, "min", **words))


def test_a_missing_fact_is_no_number():
    with pytest.raises(MissingFact, match="thickness"):
        least_distance(Asked("nds_2018", "bolt", "softwood", "edge", "tension", 0.0, 0.75, None))
    with pytest.raises(NotCovered, match="rivet"):
        least_distance(Asked("nds_2018", "rivet", "softwood", "end", "tension", 0.0, 0.75, 3.0))
    with pytest.raises(NotCovered, match="not known"):
        table_of("../nds_2018", "bolt_size")


SIXTEENTH = 1 / 16
SPANS = st.integers(1, 200).map(lambda n: n * SIXTEENTH)


@settings(max_examples=150)
@given(DIAMETERS, WOODS, LOADS, st.integers(1, 3), st.integers(1, 4), SPANS, SPANS, SPANS, SPANS)
def test_verdict_on_random_layouts(D, wood, load, rows, per_row, spacing, gauge, end, edge):
    """A square-ended ply that runs on to the left, rows along the grain: the verdict is that of the hand formula."""
    thickness = 2.5
    x = [-end - k * spacing for k in range(per_row)]
    y = [edge + k * gauge for k in range(rows)]
    size = D + 1 / 16
    holes = tuple(FaceHole(a, b, size, "B1", f"bolt {D} in") for a in x for b in y)
    top = 2 * edge + (rows - 1) * gauge
    outline = outline_of([(v, w, 0.0) for v, w in ((min(x) - 50, 0), (0, 0), (0, top), (min(x) - 50, top))])
    loads = (Load("B1", 5000.0 if load == "tension" else 0.0, 5000.0 if load == "compression" else 0.0, 0.0),)
    face = Face("ply", "", "d", "wood", "", wood, "nds_2018", 0.0, True, "left", loads, outline, holes, {})
    results = judge_wood(Drawing((face,), {("d", "ply"): (math.nan, thickness)}), face)
    towards = by_hand("end", load, wood, D, 0, 0)
    wanted = [end >= towards[1], edge >= by_hand("edge", load, wood, D, thickness / D, gauge if rows > 1 else 0)[1]]
    wanted += [spacing >= 3 * D] if per_row > 1 else []
    wanted += [gauge >= 1.5 * D] if rows > 1 else []
    assert all(r.state is not State.CANNOT_BE_CHECKED for r in results)
    assert all(r.state is State.PASSES for r in results) == all(wanted)
    if all(wanted):
        factors = [s.value for r in results for s in r.steps if s.symbol == "C_delta"]
        reduced = [end / towards[0], spacing / (4 * D) if per_row > 1 else 1.0, 1.0]
        assert min(factors) == pytest.approx(min(reduced), abs=1e-6)


@given(st.sampled_from([(0.5, 0.75), (0.625, 0.875), (0.75, 1.0), (0.875, 1.125), (1.0, 1.25)]), SPANS, SPANS)
def test_plates_by_table_j34(case, edge, spacing):
    """Source: AISC 360-16 table J3.4, page 16.1-131; spacing 2-2/3 d, J3.3, and one d clear (from memory)."""
    D, least = case
    size = D + 1 / 16
    holes = tuple(FaceHole(edge + k * spacing, edge, size, "B1", f"bolt {D} in", "shop") for k in range(2))
    outline = outline_of([(v, w, 0.0) for v, w in ((0, 0), (2 * edge + spacing, 0), (2 * edge + spacing, 2 * edge), (0, 2 * edge))])
    face = Face("plate", "", "d", "steel", "", "", "aisc360_16", None, False, "none", (), outline, holes, {})
    results = judge_steel(Drawing((face,), {("d", "plate"): (math.nan, 100.0)}), face)
    inside = min(x for x in (edge,)) <= 6  # greatest distance, J3.5
    wanted = edge >= least and spacing >= max(8 / 3 * D, D + size) and inside
    assert all(r.state is State.PASSES for r in results) == wanted


def test_tags():
    tags = read_tags(("kind=outline", "load=B1;tension=13600;compression=0;direction=180", "odd", "kind=hole"))
    assert tags.loads == (Load("B1", 13600.0, 0.0, 180.0, (("", 13600.0, 0.0),)),)
    assert len(tags.faults) == 2
    assert fastener("bolt 1-1/8 in").diameter == 1.125
    assert fastener("bolt 19 mm").diameter == 0.75  # the inch bolt that a drawing in mm calls so
    assert fastener("bolt 20 mm").diameter == pytest.approx(20 / 25.4)
    assert fastener("bolt 19.0 mm").diameter == pytest.approx(19 / 25.4)
    for text in ("", "M16", "bolt", "bolt big"):
        with pytest.raises(NotCovered):
            fastener(text)
