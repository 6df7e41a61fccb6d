"""AISC 360-16: many plates at once and one plate's checks say the same; distances, moments, refusals, speed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from detailgen.core.result import State
from detailgen.standards.aisc360_16 import STANDARD
from detailgen.standards.interface import PlateLayouts, PlateRequest

TENSION = ("yield", "rupture", "block shear", "bearing and tear-out")
COMPRESSION = ("yield or buckling", "bearing and tear-out")
DISTANCES = ("plate end distance", "plate edge distance", "plate spacing", "plate gauge")


def request(rows=2, per_row=3, spacing=3.0, gauge=3.0, axial=(20e3, -10e3, 0.0), moment=(0.0, 0.0, 0.0), **changes):
    bolts = np.array([(20 + i * spacing, (j - (rows - 1) / 2) * gauge) for i in range(per_row) for j in range(rows)])
    plate = PlateRequest(
        where="near plate", F_y=36e3, F_u=58e3, thickness=0.375, width=6.0, diameter=0.75, hole=0.8125, bolts=bolts, end=1.5, free=16.0,
        axial=np.array(axial), moment=np.array(moment), combinations=("D + S", "D + W", "D"),
    )  # fmt: skip
    return replace(plate, **changes)


def as_layouts(plate, rows, per_row, spacing, gauge):
    def one(x):
        return np.array([float(x)])

    return PlateLayouts(plate.F_y, plate.F_u, one(plate.thickness), one(plate.width), one(plate.diameter), one(plate.hole), one(rows), one(per_row),
                        one(spacing), one(gauge), one(plate.end), one(plate.free))  # fmt: skip


def by_name(results, combination):
    return {r.check: r for r in results if r.combination == combination}


PATTERN = st.fixed_dictionaries({
    "rows": st.integers(1, 4), "per_row": st.integers(1, 6), "spacing": st.sampled_from([2.0, 2.5, 3.25, 76.2 / 25.4, 4.5]),
    "gauge": st.sampled_from([1.5, 2.0, 3.0, 50 / 25.4]),
})  # fmt: skip
SIZE = st.fixed_dictionaries({
    "thickness": st.sampled_from([0.25, 0.375, 8 / 25.4, 0.75]), "width": st.sampled_from([6.0, 8.0, 10.0]),
    "diameter": st.sampled_from([0.5, 0.75, 19 / 25.4, 1.0]), "end": st.sampled_from([0.75, 1.25, 2.0]), "free": st.sampled_from([2.0, 12.0, 24.0]),
})  # fmt: skip


@settings(max_examples=60)
@given(PATTERN, SIZE, st.floats(-8e4, 8e4), st.floats(-2e4, 2e4))
def test_checks_say_what_values_say(pattern, size, axial, moment):
    plate = request(**pattern, axial=(axial,) * 3, moment=(moment,) * 3, **size, hole=size["diameter"] + 1 / 16)
    values = STANDARD.plate_values(as_layouts(plate, **pattern))
    found = by_name(STANDARD.plate_checks(plate), "D + S")
    allowed = values.tension if axial >= 0 else values.compression
    for name, capacity in allowed.items():
        assert found[name].capacity == pytest.approx(float(capacity[0]), rel=1e-6)
        assert found[name].demand == pytest.approx(abs(axial), rel=1e-6)
        nominal, factor, last = found[name].steps[-3:]
        assert factor.value == (1.67 if name.startswith("yield") else 2.0)
        assert last.value == nominal.value / factor.value == pytest.approx(float(capacity[0]))
    both = "tension and bending" if axial >= 0 else "compression and bending"
    P_c, M_c = min(float(c[0]) for c in allowed.values()), float(values.bending[0])
    if moment and min(P_c, M_c) == 0:
        assert found[both].state is State.CANNOT_BE_CHECKED  # the holes leave no steel
    elif moment:
        expected = abs(axial) / P_c + abs(moment) / M_c
        assert found[both].ratio == pytest.approx(expected, rel=1e-5) == found[both].demand / found[both].capacity
        # gaps are rounded to 1e-6 in., which counts for more where holes leave little of the plate
        assert found[both].steps[-1].value == pytest.approx(expected, rel=1e-5)
    else:
        assert both not in found
    for name, (least, provided) in values.least.items():
        if least[0] > 0:
            assert (found[name].demand, found[name].capacity) == (pytest.approx(float(least[0])), pytest.approx(float(provided[0]), abs=1e-6))
            assert (found[name].state is State.PASSES) == (round(float(least[0]), 5) <= round(float(provided[0]), 5))
        else:
            assert name not in found
    for name, (most, provided) in values.greatest.items():
        if provided[0] > 0:
            assert found[f"{name}, greatest"].capacity == pytest.approx(float(most[0]))
            assert found[f"{name}, greatest"].demand == pytest.approx(float(provided[0]), abs=1e-6)


@settings(max_examples=40)
@given(PATTERN, SIZE)
def test_more_steel_carries_no_less(pattern, size):
    plate = as_layouts(request(**pattern, **size, hole=size["diameter"] + 1 / 16), **pattern)
    before = STANDARD.plate_values(plate)
    longer = STANDARD.plate_values(replace(plate, end=plate.end + 0.5))
    thicker = STANDARD.plate_values(replace(plate, thickness=plate.thickness + 0.125))
    wider = STANDARD.plate_values(replace(plate, width=plate.width + 1.0))
    shorter = STANDARD.plate_values(replace(plate, free=plate.free / 2))
    for more in (longer, thicker, wider):
        assert all(more.tension[k] >= before.tension[k] * (1 - 1e-12) for k in TENSION)
    for more in (thicker, shorter):
        assert more.compression["yield or buckling"] >= before.compression["yield or buckling"] * (1 - 1e-12)
        assert more.bending >= before.bending * (1 - 1e-12)
    # the plain three-sided block between the outer rows, and the plain strip to one edge, are among those tried
    t, net = plate.thickness, plate.hole + 1 / 16
    line = plate.end + (plate.per_row - 1) * plate.spacing
    plane = np.minimum(0.6 * 58e3 * np.maximum(line - (plate.per_row - 0.5) * net, 0), 0.6 * 36e3 * line) * t
    strips = (plate.rows - 1) * np.maximum(plate.gauge - net, 0) * t * 58e3
    edge = np.maximum((plate.width - (plate.rows - 1) * plate.gauge) / 2 - net / 2, 0) * t * 58e3
    assert before.tension["block shear"] <= (plane + edge + strips) / 2 * (1 + 1e-9)
    if pattern["rows"] > 1:
        assert before.tension["block shear"] <= (2 * plane + strips) / 2 * (1 + 1e-9)


def test_which_checks_a_combination_gets():
    results = STANDARD.plate_checks(request())
    geometry = [*DISTANCES, *(f"{n}, greatest" for n in DISTANCES)]
    assert list(by_name(results, "D + S")) == [*TENSION, *geometry]
    assert list(by_name(results, "D + W")) == [*COMPRESSION, *geometry]
    assert list(by_name(results, "D")) == [*TENSION, *geometry]  # idle: as if pulled, with nothing
    assert by_name(results, "D")["rupture"].ratio == 0
    assert all(r.state is State.PASSES and r.where == "near plate" for r in results)
    assert {r.unit for r in results if "distance" in r.check or "spacing" in r.check or "gauge" in r.check} == {"in"}
    one = by_name(STANDARD.plate_checks(request(rows=1, per_row=1)), "D + S")
    assert not {"plate spacing", "plate gauge", "plate spacing, greatest", "plate gauge, greatest"} & set(one)


def test_a_result_reads_back_its_own_combination():
    results = STANDARD.plate_checks(request(axial=(20e3, 30e3, 10e3), moment=(4e3, -8e3, 0.0)))
    for combination, force, moment in (("D + S", 20e3, 4e3), ("D + W", 30e3, 8e3), ("D", 10e3, 0.0)):
        found = by_name(results, combination)
        assert found["yield"].steps[0].value == force
        assert {t.symbol: t.value for t in found["tension and bending"].steps[-1].terms}["M_r"] == moment
        assert found["tension and bending"].ratio == pytest.approx(force / 46218.75 + moment / (104312.2 / 1.67), rel=1e-5)
        assert found["rupture"].ratio == pytest.approx(force / 46218.75, rel=1e-6)


@pytest.mark.parametrize(
    ("changes", "fails"),
    [
        ({"end": 15 / 16}, "plate end distance"),
        ({"end": 1.0}, ""),
        ({"width": 4.875}, "plate edge distance"),
        ({"width": 5.0}, ""),
        ({"spacing": 1.9375}, "plate spacing"),
        ({"spacing": 2.0}, ""),
        ({"gauge": 1.9375}, "plate gauge"),
        ({"thickness": 0.25, "spacing": 6.0625}, "plate spacing, greatest"),
        ({"thickness": 0.25, "spacing": 6.0}, ""),
        ({"thickness": 0.25, "end": 3.0625}, "plate end distance, greatest"),
        ({"axial": (46300.0, 0.0, 0.0)}, "rupture"),
        ({"axial": (46200.0, 0.0, 0.0)}, ""),
        ({"axial": (-29900.0, 0.0, 0.0)}, "yield or buckling"),
        ({"axial": (-29800.0, 0.0, 0.0)}, ""),
        ({"axial": (40000.0, 0.0, 0.0), "moment": (9000.0, 0.0, 0.0)}, "tension and bending"),
    ],
)
def test_what_fails_at_its_limit(changes, fails):
    """3/4 in. bolts: 1 in. to end and edge, 2 in. apart; 1/4 in. plate: 3 in. and 6 in. at most. Strengths by hand in test_aisc360_16.py."""
    found = by_name(STANDARD.plate_checks(request(**changes)), "D + S")
    assert [n for n, r in found.items() if r.state is not State.PASSES] == ([fails] if fails else [])


def test_uneven_spacing_counts_on_the_safe_side():
    plate = request()
    bolts = np.array([(20 + x, y) for x in (0.0, 2.5, 9.5) for y in (-1.5, 1.5)])
    found = by_name(STANDARD.plate_checks(replace(plate, bolts=bolts, thickness=0.25)), "D + S")
    assert found["plate spacing"].capacity == 2.5
    assert found["plate spacing, greatest"].demand == 7.0
    assert found["plate spacing, greatest"].state is State.DOES_NOT_PASS
    even = by_name(STANDARD.plate_checks(request(spacing=2.5, thickness=0.25)), "D + S")
    assert found["bearing and tear-out"].capacity == even["bearing and tear-out"].capacity
    # a free length of 4 in. under the wide gap of 7: the plate buckles over 7
    pushed = by_name(STANDARD.plate_checks(replace(plate, bolts=bolts, free=4.0)), "D + W")
    over = by_name(STANDARD.plate_checks(request(spacing=2.5, free=7.0)), "D + W")
    assert pushed["yield or buckling"].capacity == over["yield or buckling"].capacity


@pytest.mark.parametrize(
    ("bolts", "said"),
    [
        ([(20, -1.5), (20, 1.5), (23, 0)], "no rectangular pattern"),
        ([(20, -1.5), (20, 1.5), (20, 1.5)], "no rectangular pattern"),
        ([(20, 0), (20, 3)], "off the plate's middle line"),
        ([(20, -3), (20, -2), (20, 2), (20, 3)], "rows unevenly apart"),
        (np.empty((0, 2)), "without bolts"),
    ],
)
def test_patterns_that_are_not_covered_are_said(bolts, said):
    results = STANDARD.plate_checks(request(bolts=np.array(bolts, dtype=float)))
    assert [r.state for r in results] == [State.CANNOT_BE_CHECKED]
    assert said in results[0].missing


def test_a_bolt_too_small_for_the_table_is_said():
    results = STANDARD.plate_checks(request(diameter=0.375, hole=0.4375))
    assert results[0].state is State.CANNOT_BE_CHECKED
    assert "1/2" in results[0].missing or "0.5" in results[0].missing


def test_holes_over_the_edge_carry_nothing():
    found = by_name(STANDARD.plate_checks(request(width=3.0, end=0.25, axial=(100.0, 0.0, 0.0), moment=(10.0, 0, 0))), "D + S")
    assert found["plate edge distance"].state is State.DOES_NOT_PASS
    assert found["plate end distance"].state is State.DOES_NOT_PASS
    covered = by_name(STANDARD.plate_checks(request(rows=3, gauge=0.9, width=2.0, axial=(100.0, 0, 0), moment=(10.0, 0, 0))), "D + S")
    assert (covered["rupture"].capacity, covered["rupture"].ratio) == (0.0, np.inf)
    assert covered["tension and bending"].state is State.CANNOT_BE_CHECKED


def test_25000_plates_in_a_search():
    """All at once; timed by tests/benchmarks/standards_reach.py."""
    g, size = np.random.default_rng(1), 25_000

    def any_of(*values):
        return g.choice(values, size).astype(float)

    d = any_of(0.5, 0.625, 0.75, 0.875, 1.0)
    many = PlateLayouts(36e3, 58e3, any_of(0.25, 0.375, 0.5), any_of(4, 5, 6, 7, 8), d, d + 1 / 16, any_of(1, 2, 3), any_of(2, 3, 4, 5, 6),
                        any_of(3, 4, 5), any_of(2, 2.5), any_of(1.25, 1.5), any_of(12, 16, 20))  # fmt: skip
    values = STANDARD.plate_values(many)
    assert all(v.shape == (size,) for v in (*values.tension.values(), *values.compression.values(), values.bending))
