"""Splice plates against the force of their group, by hand from the fixture's measures (AISC 360-16 D2, J3.10, J4.3; A36: 36 and 58 ksi)."""

from __future__ import annotations

import dataclasses

import pytest
from face_views import build, outline, outlines, saved, set_value, tag, tags_of
from splice_fixture import splice_detail

from detailgen.checker import check_file, strength
from detailgen.checker.read_dxf import read_dxf
from detailgen.core.result import State


@pytest.fixture
def drawing(tmp_path):
    return read_dxf(saved(build(), tmp_path))


def plate_of(drawing):
    return next(f for f in drawing.faces if f.part == "plate-near")


def test_hand_values(drawing):
    """7 x 1/4 plate, 2 rows of 3 on each side, holes 13/16, end 1-1/4, spacing 4-1/2, gauge 4."""
    plate = plate_of(drawing)
    holes = [h for h in plate.holes if h.x > 0]
    t, tensile, yielding = 0.25, 58000.0, 36000.0
    assert strength._net(plate, holes) == pytest.approx(7 - 2 * 0.875)
    tear = 1.2 * (1.25 - 0.40625) * t * tensile  # the last hole of a row
    bearing = 2.4 * 0.75 * t * tensile
    assert strength._tear_out(plate, holes, 1.0, t, tensile) == pytest.approx(2 * (tear + 2 * bearing))
    length = 1.25 + 2 * 4.5
    gross, net = 2 * length * t, 2 * (length - 2.5 * 0.875) * t
    block = min(0.6 * tensile * net, 0.6 * yielding * gross) + tensile * (4 - 0.875) * t
    assert strength._block(plate, holes, 1.0, t, yielding, tensile) == pytest.approx(block)


def test_governing_state(drawing):
    """13,600 lb over two plates; yield 36 ksi x 1.75 in2 / 1.67 governs."""
    (near,) = [r for r in strength.judge_strength(drawing) if r.where.startswith("plate-near")]
    assert near.demand == pytest.approx(6800)
    assert near.capacity == pytest.approx(36000 * 1.75 / 1.67)
    assert near.check.startswith("tension yield")
    assert near.state is State.PASSES


def test_loads_that_are_factored_meet_resistance_factors(tmp_path):
    """The same plate where its outline says that its loads are those of strength design: 0.90 x 36 ksi x 1.75 in2. Another word is no answer."""
    doc = build()
    for part in ("plate-near", "plate-inner"):
        for line in outlines(doc, part):
            tag(line, *tags_of(line), "loads=factored")
    (near,) = [r for r in strength.judge_strength(read_dxf(saved(doc, tmp_path))) if r.where.startswith("plate-near")]
    assert near.capacity == pytest.approx(0.90 * 36000 * 1.75)
    assert near.steps[-1].symbol == "phi"
    for part in ("plate-near", "plate-inner"):
        for line in outlines(doc, part):
            set_value(line, "loads", "doubled")
    told = strength.judge_strength(read_dxf(saved(doc, tmp_path)))
    assert {r.state for r in told} == {State.CANNOT_BE_CHECKED}
    assert all("'doubled' is neither" in r.missing for r in told)


def test_too_much_force(tmp_path):
    doc = build()
    for part in ("ply-near-left", "ply-near-right"):
        for line in outlines(doc, part):
            direction = 0 if part.endswith("left") else 180
            set_value(line, "load", f"B1;tension=80000;compression=0;direction={direction}")
    told = [r for r in check_file(saved(doc, tmp_path)) if r.state is not State.PASSES]
    steel = [r for r in told if r.where.startswith("plate")]
    assert {r.where.split(",")[0] for r in steel} == {"plate-near", "plate-inner"}
    assert {r.check.split(" of ")[0] for r in steel} == {"tension yield", "tension rupture"}


def test_a_narrower_plate_and_an_unknown_steel(tmp_path):
    doc = build()
    line = outline(doc, "plate-near")
    set_value(line, "specification", "steel of long ago")
    told = [r for r in check_file(saved(doc, tmp_path)) if r.state is not State.PASSES]
    assert [(r.state, r.where) for r in told] == [(State.CANNOT_BE_CHECKED, "plate-near, group B1")]


def test_record_and_sheet_agree(drawing):
    from detailgen.checker.from_detail import drawing_of

    record = strength.judge_strength(drawing_of(splice_detail()))
    drawn = strength.judge_strength(drawing)
    assert [(r.where, r.check, round(r.ratio, 6)) for r in record] == [(r.where, r.check, round(r.ratio, 6)) for r in drawn]
    assert all(dataclasses.is_dataclass(r) for r in record)
