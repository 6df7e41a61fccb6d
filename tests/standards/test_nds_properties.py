"""What must hold whatever the numbers: more never carries less, no jumps at a table's limits, factors within bounds; and speed."""

from __future__ import annotations

import math
import subprocess
import sys

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from detailgen.standards.nds_2018 import adjustment, columns, dowels, members
from detailgen.standards.nds_2018.adjustment import Z_prime
from detailgen.standards.nds_2018.distances import C_delta, least_distance
from detailgen.standards.nds_2018.group_action import C_g

lengths, strengths, moduli, areas = st.floats(0.25, 12), st.floats(1500, 90000), st.floats(8e5, 3e7), st.floats(1, 200)
BOLT = {"F_yb": 45000.0, "D": 0.75}


@settings(max_examples=60)
@given(lengths, lengths, strengths, strengths, st.floats(0.25, 1.0), st.sampled_from([1, 2]), st.floats(1.01, 2.0))
def test_a_bolt_never_carries_less_for_more_of_anything(l_m, l_s, F_em, F_es, D, planes, more):
    base = {"l_m": l_m, "l_s": l_s, "F_em": F_em, "F_es": F_es, "F_yb": 45000.0, "D": D}
    value = float(dowels.lateral_value(planes=planes, **base).Z)
    for name in base:
        larger = float(dowels.lateral_value(planes=planes, **{**base, name: base[name] * more}).Z)
        assert larger >= value * (1 - 1e-9), name


@given(lengths, lengths, st.floats(0, math.pi / 2 - 0.05), st.floats(0.32, 0.72), st.floats(0.25, 1.0))
def test_a_bolt_never_carries_more_at_a_larger_angle_to_grain(l_m, l_s, theta, G, D):
    def Z(angle):
        F_e = dowels.dowel_bearing(G, D, angle)
        return float(dowels.lateral_value(planes=1, D=D, F_yb=45000.0, l_m=l_m, l_s=l_s, F_em=F_e, F_es=87000.0, theta_m=angle).Z)

    along, across = dowels.F_e_parallel(G), dowels.F_e_perpendicular(G, D)
    if across <= along:  # small bolts in dense wood bear more across the grain
        assert Z(theta + 0.05) <= Z(theta) * (1 + 1e-9)
    assert min(along, across) * (1 - 1e-9) <= dowels.dowel_bearing(G, D, theta) <= max(along, across) * (1 + 1e-9)


@given(st.integers(2, 20), st.floats(1, 8), st.floats(0.25, 1.0), st.floats(5e4, 1e6), moduli, areas, moduli, areas)
def test_group_action_lies_in_zero_to_one_and_falls_with_bolts_and_spacing(n, s, D, gamma, E_m, A_m, E_s, A_s):
    C = float(C_g(n, s, D, gamma, E_m, A_m, E_s, A_s))
    assert 0 < C <= 1 + 1e-9
    assert float(C_g(n + 1, s, D, gamma, E_m, A_m, E_s, A_s)) <= C + 1e-9
    assert float(C_g(n, s * 1.1, D, gamma, E_m, A_m, E_s, A_s)) <= C + 1e-9
    assert float(C_g(n, s, D, gamma, E_s, A_s, E_m, A_m)) == pytest.approx(C, rel=1e-7)


def test_one_bolt_needs_no_group_action_and_thin_fasteners_have_none():
    assert float(C_g(1, 4.0, 0.75, 1e5, 1.6e6, 20.0, 2.9e7, 3.0)) == pytest.approx(1.0)
    assert float(C_g(8, 4.0, 0.249, 1e5, 1.6e6, 20.0, 2.9e7, 3.0)) == 1.0
    assert float(C_g(8, 4.0, 0.25, 1e5, 1.6e6, 20.0, 2.9e7, 3.0)) < 0.99


@pytest.mark.parametrize("limit", [2.0, 6.0])
def test_row_spacing_across_the_grain_has_no_jump_at_a_limit_of_l_over_D(limit):
    values = [least_distance("between_rows", "full", D=0.75, angle=90.0, load="tension", wood="softwood", l_D=limit + e) for e in (-1e-9, 0.0, 1e-9)]
    assert values == pytest.approx([values[1]] * 3, abs=1e-6)


@given(st.floats(0.25, 1.0), st.floats(0.5, 12.0))
def test_no_least_distance_is_longer_than_that_of_the_full_value(D, l_D):
    for quantity, angle in (("end", 0.0), ("end", 45.0), ("end", 90.0), ("spacing_in_row", 0.0), ("edge", 0.0), ("edge_loaded", 90.0)):
        for load in ("tension", "compression"):
            asked = {"D": D, "angle": angle, "load": load, "wood": "softwood", "l_D": l_D, "row_spacing": 2.0}
            assert least_distance(quantity, "min", **asked) <= least_distance(quantity, "full", **asked)


def test_reduction_terms_have_no_jump_where_the_table_changes():
    assert dowels.K_D(0.17) == pytest.approx(dowels.K_D(0.17 + 1e-9), abs=1e-6)
    assert adjustment.C_F_timber(12.0) == pytest.approx(adjustment.C_F_timber(12.0 + 1e-9))
    assert adjustment.C_F_timber(11.0) == 1.0
    assert members.C_b(6.0, 5.0) == 1.0


@given(st.floats(0.05, 20), st.floats(1.001, 2.0), st.floats(0.8, 0.95))
def test_stability_grows_with_stiffness_and_stays_under_one(r, more, c):
    for factor in (lambda x: columns.C_P(x, 1.0, c), lambda x: members.C_L(x, 1.0)):
        assert 0 < factor(r) <= factor(r * more) <= 1


@given(st.floats(10, 80), st.floats(6, 60), st.floats(2.5, 10.75), st.sampled_from([10, 20]))
def test_volume_factor_falls_with_size_and_never_exceeds_one(L, d, b, x):
    C = float(adjustment.C_V(L, d, b, x))
    assert 0 < C <= 1
    assert float(adjustment.C_V(L * 1.1, d, b, x)) <= C
    assert float(adjustment.C_V(L, d * 1.1, b, x)) <= C


def test_a_hundred_thousand_bolt_capacities_in_one_call():
    """Z by all yield modes with bearing at an angle, group action, geometry, adjustment; timed by tests/benchmarks/standards_reach.py."""
    n = 100_000
    draw = np.random.default_rng(1)
    D, l_m, l_s = draw.choice([0.5, 0.625, 0.75, 0.875, 1.0], n), draw.uniform(1.5, 8, n), draw.uniform(0.25, 3, n)
    theta, rows, end = draw.uniform(0, 1.5, n), draw.integers(2, 9, n).astype(float), draw.uniform(2, 9, n)

    F_e = dowels.dowel_bearing(0.5, D, theta)
    Z = dowels.lateral_value(planes=1, D=D, F_yb=45000.0, l_m=l_m, l_s=l_s, F_em=F_e, F_es=87000.0, theta_m=theta).Z
    group = C_g(rows, 4 * D, D, 270000 * D**1.5, 1.6e6, l_m * 9.25, 2.9e7, l_s * 6)
    found = Z_prime(Z, 1.15, 1.0, 1.0, group, C_delta(end, 7 * D))
    assert found.shape == (n,)
    assert np.all(np.isfinite(found))
    assert np.all(found > 0)


def test_no_table_is_read_at_import():
    code = (
        "import sys, importlib, pkgutil\n"
        "opened = []\n"
        "sys.addaudithook(lambda event, args: opened.append(str(args[0])) if event == 'open' and str(args[0]).endswith('.csv') else None)\n"
        "from detailgen import standards\n"
        "for info in pkgutil.walk_packages(standards.__path__, 'detailgen.standards.'): importlib.import_module(info.name)\n"
        "assert sum(m.startswith('detailgen.standards.') for m in sys.modules) > 20\n"
        "assert not opened, opened\n"
        "from detailgen.standards.nds_2018.reference import known_woods\n"
        "known_woods()\n"
        "assert opened\n"
    )
    answer = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert answer.returncode == 0, answer.stderr
