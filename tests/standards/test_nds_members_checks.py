"""Member checks as a whole: by hand, one by one against all at once, and at the edges."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from detailgen.core.clause import TableStatus
from detailgen.core.result import CheckResult, State
from detailgen.standards.interface import Demands, MemberRequest, WoodGrade
from detailgen.standards.nds_2018 import STANDARD, checks

pytestmark = pytest.mark.filterwarnings("error")
DFL = WoodGrade("sawn", "Douglas Fir-Larch", "No.1")
GLULAM = WoodGrade("glulam", "Douglas Fir-Larch", "combination 2")


def checked(request: MemberRequest) -> Sequence[CheckResult]:
    """What the standard says of one piece."""
    return STANDARD.member_checks([request])[0]


def request(
    axial, moment=0.0, shear=0.0, *, wood=DFL, thickness=2.5, depth=9.5, durations=("snow",), combination=None, net=1.0, condition=1.0, **more
):
    axial = np.atleast_1d(np.asarray(axial, dtype=float))
    k = len(axial)

    def full(value):
        return np.broadcast_to(np.asarray(value, dtype=float), k).copy()

    which = np.zeros(k, dtype=np.int64) if combination is None else np.asarray(combination)
    demands = Demands(axial, full(moment), full(shear), np.arange(k) * 10.0, which, tuple(f"C{i}" for i in range(len(durations))), tuple(durations))
    area, modulus = thickness * depth, thickness * depth**2 / 6
    lengths = {"length_in_plane": 60.0, "length_out_of_plane": 60.0, "unbraced_bending": 0.0, **more}
    return MemberRequest("chord L3-L4", wood, thickness, depth, demands, full(net) * area, full(net) * modulus, full(condition), **lengths)


def by_name(results):
    return {r.check: r for r in results}


def test_tension_by_hand():
    """3x10 Douglas Fir-Larch No.1 in snow with a 13/16 in. hole.

    F_t' = 675 x 1.15 x 1.1 = 853.875; A_n = 2.5 (9.5 - 0.8125) = 21.71875; f_t = 10000/21.71875 = 460.432;
    F_b* = 1000 x 1.15 x 1.1 = 1265; S_n = 37.604167 x 0.914474 (as the area here); f_b = 5000/34.38802 = 145.400.
    """
    found = by_name(checked(request(10000, 5000, 1000, net=8.6875 / 9.5)))
    assert set(found) == {"tension on net section", "tension and bending, tension face", "tension and bending, compression face", "shear"}
    first = found["tension on net section"]
    assert (first.demand, first.capacity) == (pytest.approx(460.4317, abs=1e-3), pytest.approx(853.875))
    assert first.ratio == pytest.approx(0.539226, abs=1e-6)
    assert found["tension and bending, tension face"].ratio == pytest.approx(0.539226 + 145.4002 / 1265, abs=1e-5)
    assert found["tension and bending, compression face"].ratio == 0.0
    shear = found["shear"]  # 1.5 x 1000/23.75 against 180 x 1.15
    assert (shear.demand, shear.capacity) == (pytest.approx(63.15789, abs=1e-4), pytest.approx(207.0))
    assert all(r.state is State.PASSES and r.combination == "C0" and r.stage == "service" for r in found.values())


def test_compression_by_hand():
    """5000 lb on the same piece, 60 in. long both ways.

    F_cE1 = 0.822 x 620000/(60/9.5)^2 = 12776.4; F_cE2 = 509640/24^2 = 884.79; F_c* = 1500 x 1.15 = 1725; r = 0.512923;
    C_P = 0.945577 - sqrt(0.894116 - 0.641154) = 0.442624; F_c' = 763.53; f_c = 210.526.
    With M = 5000: f_b = 132.964; 3.9-3: (0.275729)^2 + 132.964/(1265 (1 - 0.016478)) = 0.182899; 3.9-4: 210.526/884.79 = 0.237938.
    """
    found = by_name(checked(request(-5000, -5000)))
    assert found["compression with buckling"].demand == pytest.approx(210.526, abs=1e-3)
    assert found["compression with buckling"].capacity == pytest.approx(763.53, abs=0.02)
    assert found["compression and bending"].ratio == pytest.approx(0.076026 + 0.106871, abs=2e-5)
    assert found["buckling about the weak axis with bending"].ratio == pytest.approx(0.237938, abs=2e-5)
    assert found["slenderness"].demand == pytest.approx(24.0)
    assert "compression on net section" not in found


def test_a_bow_bends_the_thickness():
    """e_2 = 0.25 in. adds f_c (6 e_2/d_2)(1 + 0.234 f_c/F_cE2)/(F_b2' (1 - f_c/F_cE2)) = 126.316 x 1.055677/(1265 x 0.762062) = 0.138327."""
    plain = by_name(checked(request(-5000)))["compression and bending"].ratio
    bowed = by_name(checked(request(-5000, bow=-0.25)))["compression and bending"].ratio
    assert bowed - plain == pytest.approx(0.138327, abs=2e-5)


def test_net_section_counts_where_holes_are_and_buckling_takes_the_whole():
    found = by_name(checked(request(-5000, net=0.8)))
    assert found["compression on net section"].demand == pytest.approx(5000 / (0.8 * 23.75))
    assert found["compression on net section"].capacity == pytest.approx(1725.0)
    assert found["compression with buckling"].demand == pytest.approx(5000 / 23.75)


def test_lateral_buckling_takes_part_when_the_edge_is_free():
    """l_u = 95 in., l_u/d = 10: l_e = 1.63 x 95 + 28.5 = 183.35; R_B^2 = 183.35 x 9.5/6.25 = 278.69; F_bE = 1.2 x 620000/278.69 = 2669.6;
    F_b = 1265; ratio 2.11036; C_L = 1.637032 - sqrt(2.679874 - 2.221432) = 0.959952."""
    held = by_name(checked(request(0.0, 20000)))["tension and bending, compression face"]
    free = by_name(checked(request(0.0, 20000, unbraced_bending=95.0)))
    assert held.ratio / free["tension and bending, compression face"].ratio == pytest.approx(0.959952, abs=1e-5)
    both = (by_name(checked(request(-5000, 20000, unbraced_bending=u))) for u in (0.0, 95.0))
    pressed, pressed_free = (found["compression and bending"].ratio for found in both)
    assert (pressed - 0.076026) / (pressed_free - 0.076026) == pytest.approx(0.959952, abs=1e-5), "the share of bending alone grows"
    assert free["slenderness in bending"].demand == pytest.approx(math.sqrt(278.692), abs=1e-4)
    assert by_name(checked(request(0.0, 20000, unbraced_bending=2000.0)))["slenderness in bending"].state is State.DOES_NOT_PASS


@pytest.mark.parametrize(("length", "state"), [(125.0, State.PASSES), (125.1, State.DOES_NOT_PASS)])
def test_slenderness_of_a_single_ply_ends_at_fifty(length, state):
    """NDS 3.7.1.4: 2.5 in. x 50 = 125 in. Asked only where something presses the member."""
    assert by_name(checked(request(-100, length_out_of_plane=length)))["slenderness"].state is state
    assert "slenderness" not in by_name(checked(request(100, length_out_of_plane=length)))
    assert "slenderness" not in by_name(checked(request([1e4, -1e-3], length_out_of_plane=length))), "noise presses nothing"


def test_glulam_uses_the_face_that_stretches_and_the_lesser_of_volume_and_stability():
    """24F-V4: 2400 psi where the bottom stretches, 1850 where the top does (MST 5.13). 5-1/8 x 28-1/2 over 32 ft: C_V 0.8793."""
    wood = WoodGrade("glulam", "Douglas Fir-Larch", "24F-V4")
    section = {"wood": wood, "thickness": 5.125, "depth": 28.5, "zero_moment_length": 384.0}
    down = by_name(checked(request(0.0, 1e6, **section)))["tension and bending, tension face"]
    up = by_name(checked(request(0.0, -1e6, **section)))["tension and bending, tension face"]
    assert up.ratio / down.ratio == pytest.approx(2400 / 1850)
    stress = 1e6 / (5.125 * 28.5**2 / 6)
    assert stress / down.ratio == pytest.approx(2400 * 1.15 * 0.8793, rel=1e-4)
    assert stress / up.ratio == pytest.approx(1871, rel=1e-3)
    unsaid = by_name(checked(request(0.0, 1e6, **{**section, "zero_moment_length": 0.0})))["tension and bending, tension face"]
    assert any(s.cite.document == "assumption" for s in unsaid.steps)


def test_the_weak_axis_of_glulam_has_its_own_modulus():
    """24F-V4: E_y,min 850,000 (recalled): F_cE2 = 0.822 x 850000/(60/5.125)^2."""
    wood = WoodGrade("glulam", "Douglas Fir-Larch", "24F-V4")
    found = by_name(checked(request(-5000, wood=wood, thickness=5.125, depth=28.5)))["buckling about the weak axis with bending"]
    assert found.ratio == pytest.approx(5000 / (5.125 * 28.5) / (0.822 * 850000 / (60 / 5.125) ** 2))
    assert found.table_status is TableStatus.FROM_MEMORY


def test_wet_wood_is_weaker_and_buckles_sooner():
    wet = WoodGrade("sawn", "Douglas Fir-Larch", "No.1", wet=True)
    dry_results, wet_results = (by_name(checked(request(-5000, 4000, 900, wood=w))) for w in (DFL, wet))
    weak = "buckling about the weak axis with bending"
    assert dry_results[weak].ratio / wet_results[weak].ratio == pytest.approx(0.9)
    assert dry_results["shear"].ratio / wet_results["shear"].ratio == pytest.approx(0.97)


def test_nothing_loaded_is_nothing_demanded():
    for axial in (0.0, [0.0, 0.0]):
        results = checked(request(axial, condition=0.0))
        assert [r.ratio for r in results] == [0.0] * len(results)
        assert all(r.state is State.PASSES for r in results)


@pytest.mark.parametrize("axial", [500.0, -500.0])
def test_a_section_of_which_nothing_is_left_carries_nothing(axial):
    results = checked(request(axial, 100, 10, condition=[0.0]))
    strength = [r for r in results if not r.check.startswith("slenderness")]
    failing = [r for r in strength if r.state is State.DOES_NOT_PASS]
    assert all(math.isfinite(r.ratio) and r.ratio >= 0 for r in strength)
    assert len(failing) >= 3


def test_damage_takes_area_and_modulus():
    whole, half = (by_name(checked(request(5000, 3000, 200, condition=c))) for c in (1.0, 0.5))
    for check in ("tension on net section", "tension and bending, tension face", "shear"):
        assert half[check].ratio == pytest.approx(2 * whole[check].ratio)


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (request(100, wood=WoodGrade("sawn", "Chestnut", "No.1")), "no reference values"),
        (request(100, durations=("for a while",)), "for a while"),
        (request(100, wood=WoodGrade("glulam", "Southern Pine", "24F-V5")), "24F-V5"),
    ],
)
def test_what_is_not_covered_is_a_result_not_an_exception(asked, words):
    (only,) = checked(asked)
    assert only.state is State.CANNOT_BE_CHECKED
    assert words in only.missing
    assert math.isnan(only.ratio)


def test_glulam_under_impact_has_no_shear_value_here():
    found = by_name(checked(request(100, wood=GLULAM, thickness=5.125, depth=12.0, durations=("impact",))))
    assert found["shear"].state is State.CANNOT_BE_CHECKED
    assert found["tension on net section"].state is State.PASSES


def test_each_combination_has_its_own_duration_and_its_worst_station():
    """D at 0.9 and D + S at 1.15: the same force weighs 1.15/0.9 more under D."""
    results = checked(request([100, 900, 300, 900], durations=("permanent", "snow"), combination=[0, 0, 1, 1]))
    tension = {r.combination: r for r in results if r.check == checks.TENSION}
    assert tension["C0"].ratio / tension["C1"].ratio == pytest.approx(1.15 / 0.9)
    assert (tension["C0"].station, tension["C1"].station) == (10.0, 30.0)


piece = st.fixed_dictionaries({
    "thickness": st.sampled_from((1.5, 2.5)), "wood": st.sampled_from((DFL, GLULAM, WoodGrade("sawn", "balsa", "No.1"))),
    "length_in_plane": st.sampled_from((0.0, 60.0, 90.0)), "length_out_of_plane": st.sampled_from((0.0, 60.0, 300.0)),
    "unbraced_bending": st.sampled_from((0.0, 30.0, 90.0, 400.0)), "bow": st.sampled_from((0.0, 0.5)),
})  # fmt: skip


@settings(max_examples=40)
@given(pieces=st.lists(piece, min_size=1, max_size=6), seed=st.integers(0, 1000))
def test_many_pieces_at_once_are_each_as_if_alone(pieces, seed):
    """Same results in the same order, and the same steps; a wood that the tables do not hold spoils nobody else."""
    number = np.random.default_rng(seed)
    asked = [
        request(number.normal(0, 5e3, 4), number.normal(0, 1e4, 4), number.normal(0, 1e3, 4), net=number.uniform(0.7, 1.0),
                combination=[0, 0, 1, 1], durations=("permanent", "snow"), **p)
        for p in pieces
    ]  # fmt: skip
    for one, found in zip(asked, STANDARD.member_checks(asked), strict=True):
        alone = checked(one)
        assert [(r.check, r.combination, r.state) for r in found] == [(r.check, r.combination, r.state) for r in alone]
        for a, b in zip(found, alone, strict=True):
            assert (a.demand, a.capacity, a.ratio, a.station) == pytest.approx((b.demand, b.capacity, b.ratio, b.station), rel=1e-12, nan_ok=True)
            assert [(s.symbol, s.formula) for s in a.steps] == [(s.symbol, s.formula) for s in b.steps]
            assert [s.value for s in a.steps] == pytest.approx([s.value for s in b.steps], rel=1e-12)


point = st.tuples(st.floats(-3e4, 3e4), st.floats(-4e4, 4e4), st.floats(-5e3, 5e3), st.integers(0, 1), st.floats(0.6, 1.0))
points = st.lists(point, min_size=1, max_size=6)


@settings(max_examples=30)
@given(points=points, glulam=st.booleans(), bow=st.floats(0, 1))
def test_all_at_once_is_one_by_one(points, glulam, bow):
    """For each check and combination the result is the worst of the single points, and its steps end in its own number."""
    axial, moment, shear, combination, net = (list(column) for column in zip(*points, strict=True))
    size = {"wood": GLULAM, "thickness": 5.125, "depth": 12.0} if glulam else {}
    common = {"durations": ("permanent", "snow"), "bow": bow, "unbraced_bending": 30.0, **size}
    noise = max(1e-3, 1e-6 * max(abs(a) for a in axial))
    if any(0 < abs(a) <= noise for a in axial):
        return
    together = checked(request(axial, moment, shear, combination=combination, net=net, **common))
    single = {}
    for a, m, v, c, n in points:
        for r in checked(request(a, m, v, combination=[c], net=n, **common)):
            single[r.check, r.combination] = max(single.get((r.check, r.combination), 0.0), r.ratio)
    assert {(r.check, r.combination): pytest.approx(r.ratio, rel=1e-8, abs=1e-9) for r in together} == single
    for r in together:
        assert r.ratio == pytest.approx(r.demand / r.capacity)
        values = [s.value for s in r.steps]
        assert any(v == pytest.approx(r.demand, rel=1e-12, abs=1e-12) for v in values), r.check
        assert all(math.isfinite(v) for v in values)


def test_entry_reads_the_numbers_of_the_worst_point():
    results = checked(request([-100, -900, 300], [10, 20, 30]))
    found = by_name(results)["compression with buckling"]
    forces = [s for s in found.steps if s.symbol == "P"]
    assert forces[0].value == 900.0
    assert found.station == 10.0
    value = next(s for s in found.steps if s.symbol == "F_c_prime")
    assert value.value == pytest.approx(found.capacity)


def test_shear_at_connections_by_hand():
    """3.4.3.3: 2-1/2 x 9-1/2 in., bolts so that 6-3/4 in. count; F_v' = 180 x 1.15 = 207 psi.

    V_r' = 2/3 x 207 x 2.5 x 6.75 = 2328.75 lb; under 47-1/2 in. from an end times (6.75/9.5)^2 = 0.504848: 1175.66 lb.
    """
    depth, to_end = np.array([6.75, 6.75, np.inf]), np.array([47.6, 47.4, np.inf])
    made = request([1.0, 1.0, 1.0], 0.0, [1000.0, -1000.0, 5000.0], combination=[0, 1, 1], durations=("snow", "snow"), connection_depth=depth,
                   connection_to_end=to_end)  # fmt: skip
    found = {(r.check, r.combination): r for r in checked(made)}
    far, near = (found["shear at connections", c] for c in ("C0", "C1"))
    assert (far.demand, far.capacity, far.unit) == (1000.0, pytest.approx(2328.75), "lb")
    assert near.capacity == pytest.approx(1175.664, abs=1e-3)
    assert near.ratio == pytest.approx(1000 / 1175.664, rel=1e-6)
    assert found["shear", "C1"].demand == pytest.approx(1.5 * 5000 / 23.75)  # the point without a connection counts there alone


def test_shear_at_connections_of_glulam_and_of_a_damaged_piece():
    """5.3.10 takes 0.72 of glulam's value at connections; what damage leaves multiplies."""
    depth, to_end = np.array([6.0]), np.array([500.0])
    glulam = request(1.0, 0.0, 100.0, wood=GLULAM, thickness=5.125, depth=12.0, condition=0.5, connection_depth=depth, connection_to_end=to_end)
    result = by_name(checked(glulam))["shear at connections"]
    assert result.capacity == pytest.approx(2 / 3 * 265 * 1.15 * 0.72 * 5.125 * 6 * 0.5)


def test_without_connections_there_is_no_such_check():
    assert "shear at connections" not in by_name(checked(request(1.0, 0.0, 100.0)))
    none = request(1.0, 0.0, 100.0, connection_depth=np.array([np.inf]), connection_to_end=np.array([np.inf]))
    assert "shear at connections" not in by_name(checked(none))
