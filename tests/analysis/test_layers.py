"""Layers that slip on one another: between acting singly and as one piece."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sample_trusses import US_SAMPLE, project, truss

from detailgen.analysis.build import build_frame
from detailgen.analysis.layers import layered
from detailgen.assessment.assess import solve_repaired
from detailgen.pipeline import known_standards

WOOD, LOADS = known_standards()


def test_two_layers_by_the_gamma_method_and_by_newmark():
    """65 + 40 mm by 140 mm, E 11,000, 2500 N/mm at 150 mm, 2.4 m (N and mm): 6.48178e10 by a Ritz solution, 6.477e10 by a model with springs.

    Both are cases of tests/published (gamma-ritz, gamma-fe). EN 1995-1-1 annex B by hand: gamma = 1 / (1 + pi^2 E A s / (K L^2)).
    """
    found = layered(11000.0, 140.0, (65.0, 40.0), 2500.0 / 150.0, 2400.0)
    assert found.stiffness == pytest.approx(64817829495.547066, rel=1e-6)
    assert found.stiffness == pytest.approx(64770131321.43671, rel=2e-3)
    a1, a2 = 65 * 140 * 11000.0, 40 * 140 * 11000.0
    gamma = 1 / (1 + math.pi**2 * a1 * 150 / (2500 * 2400**2))
    y2 = gamma * a1 * 52.5 / (gamma * a1 + a2)
    by_hand = 11000 * 140 * (65**3 + 40**3) / 12 + gamma * a1 * (52.5 - y2) ** 2 + a2 * y2**2
    assert found.stiffness == pytest.approx(by_hand, rel=1e-9)


@settings(max_examples=40)
@given(st.lists(st.floats(0.75, 3.0), min_size=2, max_size=6), st.floats(1.0, 1e6), st.floats(24.0, 240.0))
def test_between_single_and_one_piece_and_nothing_is_lost(depths, joint, length):
    E, b = 1.6e6, 5.5
    single, whole = E * b * sum(d**3 for d in depths) / 12, E * b * sum(depths) ** 3 / 12
    found = layered(E, b, tuple(depths), joint, length)
    assert single * (1 - 1e-9) <= found.stiffness <= whole * (1 + 1e-9)
    assert layered(E, b, tuple(depths), 2 * joint, length).stiffness >= found.stiffness * (1 - 1e-12)
    z = np.cumsum(depths) - np.array(depths) / 2 - sum(depths) / 2
    assert found.bends.sum() - (found.pulls * z).sum() == pytest.approx(1.0)  # the layers together carry the moment
    assert found.pulls.sum() == pytest.approx(0.0, abs=1e-9)
    assert layered(E, b, tuple(depths), 1e-9, length).stiffness == pytest.approx(single, rel=1e-6)
    assert layered(E, b, tuple(depths), 1e15, length).stiffness == pytest.approx(whole, rel=1e-6)


def stacked(composite: str, joint: float = 0.0):
    chosen = replace(truss(US_SAMPLE, "T2"), damage=())
    members = tuple(
        replace(m, plies=tuple(replace(p, layers=(2.375,) * 4, composite=composite, joint=joint) for p in m.plies)) if m.kind == "top chord" else m
        for m in chosen.members
    )
    return replace(chosen, members=members)


def parts(chosen):
    return build_frame(chosen, lambda *_: 1.6e6, damaged=False).parts["U3-U4"]


def test_a_chord_of_planks_in_the_frame():
    single, whole, some = stacked("none"), stacked("full"), stacked("partial", 2000.0)
    inertia = []
    for chosen in (single, some, whole):
        model = build_frame(chosen, lambda *_: 1.6e6, damaged=False)
        row = model.structure.member.index("U3-U4")
        inertia.append(float(model.structure.I[row]))
        assert float(model.structure.A[row]) == pytest.approx(2 * 2.5 * 9.5)
        assert sum(p.axial_share for p in model.parts["U3-U4"]) == pytest.approx(1.0)
    assert inertia[0] == pytest.approx(2 * 2.5 * 4 * 2.375**3 / 12)
    assert inertia[2] == pytest.approx(2 * 2.5 * 9.5**3 / 12)
    assert 1.2 * inertia[0] < inertia[1] < inertia[2]
    found = parts(some)
    assert [p.layer for p in found] == [0, 1, 2, 3] * 2
    assert sum(p.pulls for p in found) == pytest.approx(0.0, abs=1e-12)
    assert found[0].pulls > 0 > found[3].pulls  # the bottom plank is stretched by a sagging moment
    assert parts(stacked("partial", 1e12))[0].pulls == pytest.approx(parts(some)[0].pulls, rel=2.0)


def test_stiffer_joints_never_make_the_checks_worse():
    """From all but single planks to stiff joints: the top chord's greatest ratio of compression and bending falls."""
    owner = project(US_SAMPLE)
    worst = []
    for chosen in (stacked("partial", 1.0), stacked("partial", 2000.0), stacked("partial", 20000.0)):
        _, _, check = solve_repaired(owner, chosen, WOOD["nds_2018"], LOADS["asce7_16"])
        results = [r for p in check(None) if p.name.startswith("top chord U") and p.kind == "member" for r in p.results if r.unit != "in"]
        worst.append(max(r.ratio for r in results if r.check == "compression and bending"))
        assert not [r.missing for r in results if r.missing]
    assert worst == sorted(worst, reverse=True)
    assert worst[0] > 10 > 1 > worst[1] > worst[2]
