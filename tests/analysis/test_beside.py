"""A timber beside a chord: how much of it counts, and what it gets of loads that come before and after it."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from detailgen.analysis.beside import coupled, held_by_its_ends
from detailgen.analysis.build import SIDE
from detailgen.analysis.composite import staged_sister
from detailgen.assessment.beside import solve_as_built
from detailgen.model.frame import FrameModel
from detailgen.model.structure import LoadCase, Structure

E, LENGTH = 1.6e6, 80.0


def by_differences(EI: float, k: float, length: float, n: int = 400) -> float:
    """Deflection of a beam on springs of k per length whose other ends follow a half wave of 1, over that of the wave: EI w'''' + k w = k sin."""
    x = np.linspace(0.0, length, n + 1)
    h = x[1] - x[0]
    second = (np.diag(np.full(n - 1, -2.0)) + np.diag(np.ones(n - 2), 1) + np.diag(np.ones(n - 2), -1)) / h**2
    w = np.linalg.solve(EI * second @ second + k * np.eye(n - 1), k * np.sin(math.pi * x[1:-1] / length))
    return float(w[n // 2 - 1])


@pytest.mark.parametrize("k", [50.0, 2000.0, 1e5])
def test_the_part_of_bending_that_soft_bolts_hand_over(k):
    """Against finite differences of the beam's own equation."""
    EI = E * 1.5 * 8**3 / 12
    assert coupled(EI, k, LENGTH) == pytest.approx(by_differences(EI, k, LENGTH), rel=1e-3)


@given(st.floats(1e3, 1e7), st.floats(1e3, 1e6), st.floats(20.0, 200.0))
def test_bolts_in_line_are_springs_in_a_row(EA, slip, length):
    """Movement under one pound: of the bolts of both ends and of the timber, added up by hand."""
    assert length / held_by_its_ends(EA, slip, length) == pytest.approx(2 / slip + length / EA)
    assert held_by_its_ends(EA, 1e15, length) == pytest.approx(EA)


def side_by_side(A_1: float, A_2: float, I_1: float, I_2: float, n: int = 8) -> FrameModel:
    """A simple beam of n pieces with a second one beside it, joint on joint."""
    xs = np.linspace(0.0, LENGTH, n + 1)
    ends = np.column_stack([np.arange(n), np.arange(1, n + 1)])
    both, m = np.concatenate([ends, ends]), 2 * n
    fixed = np.zeros((n + 1, 3), dtype=bool)
    fixed[0, :2], fixed[-1, 1] = True, True
    names = ("chord",) * n + ("side member U1-U2",) * n
    structure = Structure(
        joint_names=tuple(f"J{k}" for k in range(n + 1)), joints=np.column_stack([xs, np.zeros(n + 1)]), ends=both, E=np.full(m, E),
        A=np.repeat([A_1, A_2], n), I=np.repeat([I_1, I_2], n), spring=np.full((m, 2), np.inf), offset=np.zeros((m, 2, 2)), fixed=fixed,
        member=names, station=np.tile(xs[:-1], 2),
    )  # fmt: skip
    kinds = ("top chord",) * n + (SIDE,) * n
    zero = np.zeros(m)
    return FrameModel(structure, np.ones(m, dtype=bool), kinds, np.tile(xs[:-1], 2), np.tile(xs[1:], 2), np.full(m, LENGTH / n), zero, zero,
                      {"chord": LENGTH, "side member U1-U2": LENGTH}, {})  # fmt: skip


def case(model: FrameModel, name: str, push: float, force: float) -> LoadCase:
    """A push along it (lb) and a load in the middle (lb)."""
    n, m = len(model.structure.joints), len(model.structure.ends)
    nodal = np.zeros((n, 3))
    nodal[-1, 0], nodal[n // 2, 1] = -push, -force
    return LoadCase(name, nodal, np.zeros((m, 2)), (), np.zeros(m), np.zeros((n, 3)))


@pytest.mark.parametrize("lifted", [0.0, 0.4, 1.0])
def test_dead_load_stays_where_it_was_and_later_load_is_shared(lifted):
    """Axial: the formula for a side member fitted to a loaded one, which the published cases hold. Bending: P L / 4, by stiffness."""
    A_1, A_2, I_1, I_2 = 40.0, 20.0, 300.0, 120.0
    model = side_by_side(A_1, A_2, I_1, I_2)
    dead, later = 9000.0, 21000.0
    answer = solve_as_built(model, [case(model, "D", dead, 300.0), case(model, "S", later, 800.0)], model.active, lifted)
    whole = answer.axial.sum(axis=0).mean(axis=1), answer.moment.sum(axis=0)
    found = staged_sister(E_1=E, A_1=A_1, E_2=E, A_2=A_2, N_dead=dead, N_later=later, relieved=lifted)
    assert -whole[0][0] == pytest.approx(found.N_1)
    assert -whole[0][8] == pytest.approx(found.N_2)
    share = I_2 / (I_1 + I_2)
    at_once, before = (800.0 + lifted * 300.0) * LENGTH / 4, (1 - lifted) * 300.0 * LENGTH / 4
    assert whole[1][11, -1] == pytest.approx(share * at_once)
    assert whole[1][3, -1] == pytest.approx((1 - share) * at_once + before)


def test_a_truss_without_side_members_is_solved_once(monkeypatch):
    """Nothing changes where there are none: the answer is that of all cases on what stands."""
    model = side_by_side(40.0, 20.0, 300.0, 120.0)
    plain = FrameModel(model.structure, model.active, ("top chord",) * 16, model.start_x, model.end_x, model.length, model.wood_area,
                       model.added_weight, model.member_length, {})  # fmt: skip
    calls = []
    from detailgen.assessment import beside

    real = beside.solve
    monkeypatch.setattr(beside, "solve", lambda *a, **k: calls.append(1) or real(*a, **k))
    solve_as_built(plain, [case(plain, "D", 1.0, 1.0)], plain.active)
    assert len(calls) == 1
