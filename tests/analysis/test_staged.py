"""A structure built step by step, against closed forms: parallel bars, a propped beam, a strand on a chord, creep."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from detailgen.analysis.frame import solve_stages
from detailgen.analysis.staged import Build
from detailgen.model.structure import LoadCase, Structure


def structure(joints, bars, fixed, sense=None, springs=0.0) -> Structure:
    """bars: (i, j, E, A, I); pinned unless springs says otherwise."""
    m = len(bars)
    E, A, I = (np.array([b[k] for b in bars], dtype=float) for k in (2, 3, 4))
    return Structure(
        joint_names=tuple(f"J{k}" for k in range(len(joints))), joints=np.array(joints, dtype=float), ends=np.array([b[:2] for b in bars]),
        E=E, A=A, I=I, spring=np.full((m, 2), springs), offset=np.zeros((m, 2, 2)), fixed=np.array(fixed, dtype=bool),
        member=tuple(f"B{k}" for k in range(m)), station=np.zeros(m), sense=None if sense is None else np.array(sense),
    )  # fmt: skip


def push(s: Structure, joint: int, x: float = 0.0, y: float = 0.0) -> LoadCase:
    n, m = len(s.joints), len(s.ends)
    nodal = np.zeros((n, 3))
    nodal[joint, :2] = x, y
    return LoadCase("load", nodal, np.zeros((m, 2)), (), np.zeros(m), np.zeros((n, 3)))


OLD, NEW = 46.25, 27.75
E = 1.6e6


def two_bars(share: float = 1.0) -> Structure:
    """An old chord and a side member beside it, both between the same two joints; ``share``: what its fasteners leave of its stiffness."""
    return structure([(0, 0), (120, 0)], [(0, 1, E, OLD, 0), (0, 1, E, NEW * share, 0)], [(1, 1, 1), (0, 1, 1)])


def test_a_sister_that_comes_under_load_takes_only_what_comes_later() -> None:
    """Parallel springs: N1 = N_D + dN k1/(k1 + k2). 30 kip there, 25 kip later: 45.625 and 9.375 kip (closed form)."""
    s = two_bars()
    build = Build(s, [0])
    build.add(push(s, 1, x=30e3))
    build.stand([1])
    build.add(push(s, 1, x=25e3))
    assert build.axial == pytest.approx([45625.0, 9375.0], rel=1e-9)


def test_relief_before_the_sister_comes_is_shared_again_afterwards() -> None:
    """40 % jacked off, fasteners half as stiff, 600 lb of own weight: N1 = (1-r) N_D + k1/(k1+k2) (r N_D + dN), closed form."""
    s = two_bars(0.5)
    build = Build(s, [0])
    build.add(push(s, 1, x=30e3))
    build.add(push(s, 1, x=-0.4 * 30e3))
    build.stand([1])
    build.add(push(s, 1, x=0.4 * 30e3 + 25.6e3))
    assert build.axial == pytest.approx([46923.0769, 8676.9231], rel=1e-7)


def test_creep_moves_over_what_the_compatible_strains_ask() -> None:
    """N2 = N_D phi1/k1 / ((1 + phi1)/k1 + (1 + phi2)/k2), closed form; by 40,000 steps of a Kelvin chain 3.3333 kip."""
    s = two_bars()
    build = Build(s, [0])
    build.add(push(s, 1, x=30e3))
    build.stand([1])
    build.creep(np.array([0.5, 0.8]), build.axial)
    assert build.axial[1] == pytest.approx(3333.33, rel=1e-4)
    assert build.axial.sum() == pytest.approx(30e3)


def test_a_bar_taken_out_hands_over_what_it_carried() -> None:
    s = two_bars()
    build = Build(s, [0, 1])
    build.add(push(s, 1, x=30e3))
    build.take_out([0])
    assert build.axial == pytest.approx([0.0, 30e3])
    active = np.array([True, True])
    other = solve_stages(s, [replace(push(s, 1, x=30e3), name="D")], [(active, {"D": 1.0}), (np.array([False, True]), {})])
    assert build.moved == pytest.approx(other.displacement[1])


def strand_on_chord() -> Structure:
    return structure([(0, 0), (720, 0)], [(0, 1, E, OLD, 0), (0, 1, 28.5e6, 0.306, 0), (0, 1, 28.5e6, 0.306, 0)], [(1, 1, 1), (0, 1, 1)],
                     sense=[0, 1, 1])  # fmt: skip


def test_a_strand_is_an_outside_force_while_it_is_jacked_and_a_member_once_locked() -> None:
    """Jacking takes P off the chord directly; later load is shared by E A (mechanics)."""
    s = strand_on_chord()
    build = Build(s, [0])
    build.add(push(s, 1, x=30e3))
    build.stress({1: 48e3})
    assert build.axial[:2] == pytest.approx([30e3 - 48e3, 48e3])
    build.add(push(s, 1, x=10e3))
    part = 28.5e6 * 0.306 / (28.5e6 * 0.306 + E * OLD)
    assert build.axial[1] == pytest.approx(48e3 + part * 10e3)
    assert build.axial[:2].sum() == pytest.approx(40e3)


def test_the_second_strand_slackens_the_first() -> None:
    """Elastic interaction: the second shortens chord and first strand alike, the first loses P k_s/(k_s + k_c)."""
    s = strand_on_chord()
    build = Build(s, [0])
    build.stress({1: 24e3})
    build.stress({2: 24e3})
    k_s, k_c = 28.5e6 * 0.306, E * OLD
    assert build.axial[2] == pytest.approx(24e3)
    assert build.axial[1] == pytest.approx(24e3 * (1 - k_s / (k_s + k_c)))
    assert build.axial.sum() == pytest.approx(0.0, abs=1e-6)


def test_seating_is_a_shortening_of_the_strand_against_the_chord() -> None:
    """A slip of 1/4 in. over 720 in.: the strand loses strain times its stiffness in series with the chord's."""
    s = strand_on_chord()
    build = Build(s, [0])
    build.stress({1: 24e3})
    build.shorten({1: 0.25 / 720})
    k_s, k_c = 28.5e6 * 0.306 / 720, E * OLD / 720
    assert build.axial[1] == pytest.approx(24e3 - 0.25 * k_s * k_c / (k_s + k_c))


def test_creep_of_the_chord_under_its_strands() -> None:
    """dP = E_p A_p (phi P/(E_w A_w)) / (1 + n (1 + phi)), n = E_p A_p/(E_w A_w): 2,855 lb of 48 kip (20,000 Kelvin steps)."""
    s = structure([(0, 0), (720, 0)], [(0, 1, E, OLD, 0), (0, 1, 28.5e6, 0.306, 0)], [(1, 1, 1), (0, 1, 1)])
    build = Build(s, [0])
    build.stress({1: 48e3})
    build.creep(np.array([0.6, 0.0]), build.axial)
    assert 48e3 - build.axial[1] == pytest.approx(2855.07, rel=1e-3)


def beam_with_prop(sense: int = -1) -> Structure:
    """Two spans of 120 in. as a beam over 240 in., and a shore under its middle."""
    s = structure([(0, 0), (120, 0), (240, 0), (120, -60)], [(0, 1, E, 20, 100), (1, 2, E, 20, 100), (1, 3, E, 1e4, 0)],
                  [(1, 1, 0), (0, 0, 0), (0, 1, 0), (1, 1, 1)], sense=[0, 0, sense], springs=np.inf)  # fmt: skip
    spring = s.spring.copy()
    spring[2] = 0.0
    return replace(s, spring=spring)


def uniform(s: Structure, w: float) -> LoadCase:
    case = push(s, 0)
    case.distributed[:2, 1] = -w
    return case


def test_a_beam_propped_before_its_load_rests_on_the_prop_with_five_quarters() -> None:
    """Two equal spans under w: the middle support takes 1.25 w l (handbook); here it is 5/8 of the whole load."""
    s = beam_with_prop()
    build = Build(s, [0, 1, 2])
    build.add(uniform(s, 10.0))
    assert -build.axial[2] == pytest.approx(0.625 * 10 * 240, rel=2e-3)


def test_a_shore_that_is_snug_takes_nothing_of_what_was_there() -> None:
    s = beam_with_prop()
    build = Build(s, [0, 1])
    build.add(uniform(s, 10.0))
    build.stand([2])
    assert build.axial[2] == 0.0
    build.add(uniform(s, 4.0))
    assert -build.axial[2] == pytest.approx(0.625 * 4 * 240, rel=2e-3)


def test_a_jacked_shore_lifts_by_its_force_and_goes_back_without_a_trace() -> None:
    """F L^3/(48 E I) at the middle of a beam; when the jack is out again all is as before."""
    s = beam_with_prop()
    build = Build(s, [0, 1])
    build.add(uniform(s, 10.0))
    before = build.moved[1, 1]
    build.stress({2: -800.0})
    assert build.moved[1, 1] - before == pytest.approx(800 * 240**3 / (48 * E * 100), rel=1e-9)
    assert build.axial[2] == pytest.approx(-800)
    build.take_out([2])
    assert build.moved[1, 1] == pytest.approx(before)


def test_a_shore_never_pulls() -> None:
    """Uplift greater than the shore's force: the beam leaves the shore, and carries what is left by itself."""
    s = beam_with_prop()
    build = Build(s, [0, 1])
    build.stress({2: -100.0})
    rows = build.under([uniform(s, 1.0)], np.array([[1.0], [-3.0]]), np.ones(2))
    assert rows.axial[0, 2].mean() < -100
    assert rows.axial[1, 2].mean() == 0.0
    bare = Build(s, [0, 1])
    bare.add(uniform(s, -3.0))
    assert rows.displacement[1] == pytest.approx(bare.moved)
    build.add(uniform(s, -3.0))  # a load that stays: the shore is gone for good
    assert not build.active[2]


def test_loads_that_come_and_go_leave_no_trace() -> None:
    s = two_bars()
    build = Build(s, [0])
    build.add(push(s, 1, x=30e3))
    rows = build.under([push(s, 1, x=1e3)], np.array([[0.0], [5.0]]), np.array([1.0, 1.2]))
    assert rows.axial[:, 0].mean(axis=1) == pytest.approx([30e3, 41e3])
    assert build.axial[0] == pytest.approx(30e3)
