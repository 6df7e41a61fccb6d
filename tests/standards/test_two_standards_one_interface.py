"""The same requests handed to two wood standards: allowable stress and partial factors answer behind one interface.

No published source: what is tested is that the requests fit both. Numbers of each standard are tested beside it.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from detailgen.core import units
from detailgen.core.errors import NotCovered
from detailgen.core.result import State
from detailgen.pipeline import known_standards
from detailgen.remedies.splice.parameters import ARRANGEMENTS
from detailgen.remedies.splice.search import Demand, Question, as_splice, evaluate, grid, nearest_miss
from detailgen.standards import aisc360_16, en1995_1_1, nds_2018
from detailgen.standards.interface import (
    BOLTS,
    NET_SECTION,
    ONE_ACROSS,
    PARTIAL_FACTORS,
    BearingRequest,
    ConnectedPart,
    ConnectionRequest,
    Demands,
    MemberRequest,
    SpliceLayouts,
    WoodGrade,
    WoodStandard,
    method_of,
)

NDS, EN = nds_2018.STANDARD, en1995_1_1.STANDARD
WOODS = {NDS.key: WoodGrade("sawn", "Douglas Fir-Larch", "No.1"), EN.key: WoodGrade("sawn", "softwood", "C24")}
BOTH = pytest.mark.parametrize("standard", [NDS, EN], ids=lambda s: s.key)
BOLT = 19.0 * units.MM  # close to 3/4 in.; both standards cover it
MM = units.MM
BOLT_TENSILE = 400 * units.MPA


def member(standard, *, axial, moment=(0.0, 0.0), durations=("permanent", "snow"), bow=0.0, length=60.0):
    axial = np.array(axial, dtype=float)
    k = len(axial)
    area, modulus = 2.5 * 9.25, 2.5 * 9.25**2 / 6
    demands = Demands(axial, np.array(moment, dtype=float), np.full(k, 500.0), np.arange(k) * 10.0, np.arange(k), ("a", "b"), durations)
    return MemberRequest(
        "chord", WOODS[standard.key], 2.5, 9.25, demands, np.full(k, 0.9 * area), np.full(k, 0.9 * modulus), np.ones(k), length, length, length, bow,
    )  # fmt: skip


def group(standard, *, axial=(4000.0, 4000.0), durations=("permanent", "snow"), angle=math.pi, reverses=False, oversize=MM):
    wood = WOODS[standard.key]
    bolts = np.array([[8 + 4.0 * k, y] for y in (-2.0, 2.0) for k in range(3)])
    ply = ConnectedPart("ply", "wood", 2.5, "member", angle, bolts, (0.0, math.inf), (-4.625, 4.625), wood)
    plates = [ConnectedPart(n, "steel", 0.375, "other", 0.0, bolts, (-math.inf, math.inf), (-3.5, 3.5), None, 87000.0) for n in ("near", "far")]
    return ConnectionRequest(
        "splice", BOLT, 45000.0, (plates[0], ply, plates[1]), (0.0, 0.0), np.array(axial), ("a", "b"), durations, reverses, "service", oversize,
        bolt_tensile=BOLT_TENSILE,
    )  # fmt: skip


def layouts(standard, count=4, **changes):
    n = np.arange(1.0, count + 1)
    values = {
        "wood": WOODS[standard.key], "ply_thickness": 2.5, "ply_depth": 9.25, "faces": "two steel", "block_thickness": 0.0, "block_wood": None,
        "diameter": np.full(count, BOLT), "root_diameter": np.full(count, BOLT), "rows": np.full(count, 2.0), "per_row": n,
        "spacing": np.full(count, 4.0), "gauge": np.full(count, 4.0), "end": np.full(count, 6.0), "plate_thickness": np.full(count, 0.375),
        "plate_width": np.full(count, 7.0), "steel_bearing": 87000.0, "bolt_bending_yield": 45000.0, "duration": "snow", "tension": True,
        "compression": True, "hole_oversize": MM, "bolt_tensile": BOLT_TENSILE,
    }  # fmt: skip
    return SpliceLayouts(**{**values, **changes})


def by(results, check):
    return {r.combination: r for r in results if r.check == check}


@BOTH
def test_it_is_a_wood_standard(standard):
    assert isinstance(standard, WoodStandard)
    assert any(key.startswith("sawn") for key in standard.known_woods())
    found = standard.stiffness(WOODS[standard.key], 2.5, 9.25)
    assert 1.0e6 < found.E < 2.5e6
    assert 0.3 < found.specific_gravity < 0.6


@BOTH
@pytest.mark.parametrize("axial", [(10000.0, 12000.0), (-3000.0, -4000.0), (5000.0, -2000.0)])
def test_a_member_gets_results_with_numbers_and_steps(standard, axial):
    results = standard.member_checks([member(standard, axial=axial, moment=(10000.0, -12000.0))])[0]
    assert {r.combination for r in results} == {"a", "b"}
    for r in results:
        assert r.where == "chord"
        assert r.state in (State.PASSES, State.DOES_NOT_PASS), r.missing
        assert math.isfinite(r.ratio)
        assert r.ratio == pytest.approx(r.demand / r.capacity)
        assert r.steps
        assert r.cite.document in (nds_2018.STANDARD.name, "EN 1995-1-1:2004+A1")


@BOTH
def test_a_longer_load_leaves_less(standard):
    results = by(standard.member_checks([member(standard, axial=(10000.0, 10000.0))])[0], "tension on net section")
    assert results["a"].demand == pytest.approx(results["b"].demand)
    assert results["a"].capacity < results["b"].capacity
    bolts = by(standard.connection_checks(group(standard)), "bolts")
    factor = {NDS.key: 0.9 / 1.15, EN.key: 0.6 / 0.8}[standard.key]
    assert bolts["a"].capacity / bolts["b"].capacity == pytest.approx(factor, rel=1e-6)


@BOTH
def test_moisture_takes_from_it(standard):
    dry = standard.connection_checks(group(standard))
    wet = replace(WOODS[standard.key], wet=True)
    request = group(standard)
    soaked = standard.connection_checks(replace(request, parts=tuple(replace(p, wood=wet) if p.wood else p for p in request.parts)))
    assert by(soaked, "bolts")["a"].capacity < by(dry, "bolts")["a"].capacity


@BOTH
def test_a_group_gets_bolts_distances_and_local_stresses(standard):
    results = standard.connection_checks(group(standard, reverses=True))
    checks = {r.check for r in results}
    assert {"bolts", "end distance", "edge distance", NET_SECTION} <= checks
    assert any("tear-out" in c or "block" in c for c in checks)
    assert all(r.state is not State.CANNOT_BE_CHECKED for r in results)
    assert len({(r.check, r.combination) for r in results}) == len(results), "one result per check and combination"


@BOTH
def test_an_open_gap_cannot_be_checked(standard):
    (refused,) = standard.connection_checks(replace(group(standard), gaps=(0.5, 0.0)))
    assert refused.state is State.CANNOT_BE_CHECKED
    assert "open gap" in refused.missing


@BOTH
def test_unknown_woods_and_durations_are_told(standard):
    request = member(standard, axial=(1000.0, 1000.0))
    for bad in (replace(request, wood=WoodGrade("sawn", "Balsa", "No.9")), member(standard, axial=(1.0, 1.0), durations=("snow", "an hour"))):
        ((refused,),) = standard.member_checks([bad])
        assert refused.state is State.CANNOT_BE_CHECKED
        assert refused.missing
    with pytest.raises(NotCovered):
        standard.stiffness(WoodGrade("sawn", "Balsa", "No.9"), 2.5, 9.25)


@BOTH
def test_end_bearing(standard):
    request = BearingRequest("heel", WOODS[standard.key], 5.5, 9.25, 40.0, True, np.array([-20000.0, 500.0]), ("a", "b"), ("snow", "snow"))
    (result,) = standard.bearing_checks(request)
    assert (result.combination, result.unit) == ("a", "psi")
    assert result.demand == pytest.approx(500.0)
    assert result.state is State.PASSES


@BOTH
def test_a_search_asks_for_many_layouts_at_once(standard):
    values = standard.splice_values(layouts(standard))
    assert {BOLTS, ONE_ACROSS, NET_SECTION} < set(values.capacities)
    assert all(np.all(c > 0) and c.shape == (4,) for c in values.capacities.values())
    assert np.all(np.diff(values.capacities[BOLTS]) > 0)
    assert set(values.least) >= {"end distance", "spacing in a row", "edge distance", "row spacing"}
    assert set(values.least) <= set(values.cites)
    assert len(values.modes) == 4


@BOTH
def test_a_layout_and_a_single_check_agree(standard):
    """Three in a row, two rows, between two plates: the same capacity of the bolts, and of the net section, by both ways of asking."""
    values = standard.splice_values(layouts(standard))
    request = group(standard, durations=("snow", "snow"), oversize=MM if standard is EN else 1 / 16)
    request = replace(request, parts=tuple(replace(p, bolts=p.bolts - [2.0, 0.0]) for p in request.parts))
    results = standard.connection_checks(request)
    assert by(results, "bolts")["a"].capacity == pytest.approx(float(values.capacities[BOLTS][2]), rel=1e-6)
    assert by(results, NET_SECTION)["a"].capacity == pytest.approx(float(values.capacities[NET_SECTION][2]), rel=1e-6)


def test_what_one_standard_needs_and_the_other_does_not():
    """The yield moment of a bolt by EN 1995 comes from its tensile strength, slip from the wood's density, and holes are at most 1 mm over."""
    (refused,) = EN.connection_checks(replace(group(EN), bolt_tensile=0.0))
    assert "tensile strength" in refused.missing
    (refused,) = EN.connection_checks(replace(group(EN), hole_oversize=1 / 16))
    assert "1.59 mm" in refused.missing
    with pytest.raises(NotCovered, match="hole"):
        EN.splice_values(layouts(EN, hole_oversize=1 / 16))
    with pytest.raises(NotCovered, match="density"):
        EN.slip_modulus(BOLT)
    assert NDS.slip_modulus(BOLT) > 0
    assert EN.slip_modulus(BOLT, WOODS[EN.key]) == pytest.approx(420**1.5 * 19 / 23 * units.NEWTON / MM)


def test_resistances_that_count_on_factored_loads_are_not_offered_beside_service_loads():
    """A project that names it is told which standards there are: no standard of loads by partial factors is installed yet."""
    wood, loads = known_standards()
    assert method_of(EN) == PARTIAL_FACTORS
    assert {method_of(s) for s in loads.values()} == {method_of(NDS)} == {"allowable stress"}
    assert NDS.key in wood
    assert EN.key not in wood


@BOTH
def test_the_splice_search_asks_both_the_same(standard):
    """The remedy's search does not know a standard's own names: it finds every capacity of either, and its least distances."""
    demand = Demand(np.array([9000.0, 12000.0]), np.zeros(2), np.zeros(2), ("permanent", "snow"), ("a", "b"))
    question = Question(WOODS[standard.key], 2.5, 9.25, ARRANGEMENTS[0], 0.0, demand, gap=0.125, room=200.0, develop=0.5)

    class Fitting:
        """The standard, asked with the holes and the tensile strength that it needs; the remedy's own are still those of a US shop."""

        key = standard.key

        def splice_values(self, asked):
            return standard.splice_values(replace(asked, hole_oversize=MM if standard is EN else 1 / 16, bolt_tensile=BOLT_TENSILE))

    found = grid(question)
    answer = evaluate(question, found, Fitting(), aisc360_16.STANDARD)
    values = Fitting().splice_values(as_splice(question, found, "snow"))
    for name in set(values.capacities) - {BOLTS, ONE_ACROSS}:
        assert f"{name}, snow" in answer.violations
    assert set(values.least) <= set(answer.violations)
    assert np.any(answer.feasible), nearest_miss(question, answer)
