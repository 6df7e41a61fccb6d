"""Shear, slip, springs to the ground, one-sided elements, the deformed structure, true extremes: closed forms and independent ways.

Sources: Timoshenko beam (R. D. Cook, Concepts and Applications of Finite Element Analysis, beam element with shear), beam-column by
S. Timoshenko and J. Gere, Theory of Elastic Stability, chapter 1 (both from memory); the rest by hand.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plane_frames import INF, along_element, at_joint, bowstring, frame, joint_residual, no_load, roof_cases
from Pynite import FEModel3D

from detailgen.analysis.contacts import solve_contacts
from detailgen.analysis.extremes import envelope, true_moments
from detailgen.analysis.frame import Unstable, solve
from detailgen.analysis.second_order import solve_second_order
from detailgen.core.clause import Cite
from detailgen.model.assessment import Combination, Forces, MemberForces

E, A, I, L = 1000.0, 10.0, 20.0, 60.0


def beam(pieces: int, supports: dict[str, str], *, length: float = L, **more):
    names = {f"P{k}": (length * k / pieces, 0.0) for k in range(pieces + 1)}
    return frame(names, [(f"P{k}", f"P{k + 1}") for k in range(pieces)], supports, E=E, A=A, I=I, **more)


# ---------------------------------------------------------------- shear


def test_a_cantilever_that_shears():
    """P L^3 / 3EI + P L / GA."""
    GA = 500.0
    structure = replace(beam(1, {"P0": "xyr"}), shear=np.array([GA]))
    result = solve(structure, [at_joint(structure, "P1", (0, -2.0, 0))])
    assert result.displacement[0, 1, 1] == pytest.approx(-2 * (L**3 / (3 * E * I) + L / GA))


def test_a_propped_cantilever_that_shears():
    """Uniform q: R = q L (3/8 + s/8 ... ) from 3EI/L^3 compatibility: R (L^3/3EI + L/GA) = q (L^4/8EI + L^2/2GA)."""
    GA, q = 400.0, 0.5
    structure = replace(beam(1, {"P0": "xyr", "P1": "y"}), shear=np.array([GA]))
    result = solve(structure, [along_element(structure, 0, (0.0, -q))])
    prop = q * (L**4 / (8 * E * I) + L**2 / (2 * GA)) / (L**3 / (3 * E * I) + L / GA)
    assert result.reaction[0, 1, 1] == pytest.approx(prop)


@settings(max_examples=40, derandomize=True)
@given(
    st.floats(50.0, 1e5), st.tuples(st.sampled_from([0.0, 200.0, 5e3, INF]), st.sampled_from([300.0, 2e4, INF])), st.floats(0.1, 0.9), st.booleans()
)
def test_pieces_of_a_bar_that_shears_are_the_bar(GA, springs, part, offset):
    """A bar with springs, a point load and a line load is the same whether it is one element or two: movements and end forces agree."""
    whole = replace(beam(1, {"P0": "xyr", "P1": "xyr"}, spring=[springs]), shear=np.array([GA]))
    place = {"P0": (0.0, 0.0), "P1": (L * part, 0.0), "P2": (L, 0.0)}
    cut = frame(place, [("P0", "P1"), ("P1", "P2")], {"P0": "xyr", "P2": "xyr"}, E=E, A=A, I=I, spring=[(springs[0], INF), (INF, springs[1])])
    cut = replace(cut, shear=np.full(2, GA))
    settle = np.zeros((2, 3))
    settle[1] = (0.0, 0.3, -0.02)
    one = replace(along_element(whole, 0, (0.0, -0.4)), point=((0, 0.0, -7.0, L * part),), settlement=settle)
    settle = np.zeros((3, 3))
    settle[2] = (0.0, 0.3, -0.02)
    two = no_load(cut)
    two.distributed[:, 1] = -0.4
    two = replace(two, point=((0, 0.0, -7.0, L * part),), settlement=settle)
    a, b = solve(whole, [one], stations=2), solve(cut, [two], stations=2)
    size = np.abs(a.reaction[0]).max()
    np.testing.assert_allclose(a.reaction[0, 0], b.reaction[0, 0], atol=1e-8 * size)
    np.testing.assert_allclose(a.reaction[0, 1], b.reaction[0, 2], atol=1e-8 * size)


def test_a_stiff_shear_is_none():
    structure = bowstring()
    cases = roof_cases(structure)
    rigid = solve(replace(structure, shear=np.full(len(structure.ends), 1e15)), cases)
    np.testing.assert_allclose(rigid.moment, solve(structure, cases).moment, rtol=1e-7, atol=1e-3)


# ---------------------------------------------------------------- slip and springs to the ground


def test_slip_is_a_spring_in_line():
    structure = replace(beam(1, {"P0": "xyr", "P1": "y"}), slip=np.array([30.0]))
    result = solve(structure, [at_joint(structure, "P1", (5.0, 0, 0))])
    assert result.displacement[0, 1, 0] == pytest.approx(5 * (L / (E * A) + 1 / 30.0))
    assert result.axial[0, 0] == pytest.approx(5.0)


def test_a_beam_on_springs():
    """Midspan load on two springs of 4 and 12: each takes half; the middle sinks by P L^3 / 48EI and the mean of the two ends."""
    structure = beam(2, {"P0": "x"})
    springs = np.zeros((3, 3))
    springs[0, 1], springs[2, 1] = 4.0, 12.0
    result = solve(replace(structure, support_spring=springs), [at_joint(structure, "P1", (0, -24.0, 0))])
    assert result.displacement[0, [0, 2], 1] == pytest.approx([-3.0, -1.0])
    assert result.displacement[0, 1, 1] == pytest.approx(-24 * L**3 / (48 * E * I) - 2.0)
    assert result.reaction[0, [0, 2], 1] == pytest.approx([12.0, 12.0])


def test_a_turning_spring_at_the_foot():
    structure = beam(1, {"P0": "xy"})
    springs = np.zeros((2, 3))
    springs[0, 2] = 5000.0
    result = solve(replace(structure, support_spring=springs), [at_joint(structure, "P1", (0, -1.0, 0))])
    assert result.displacement[0, 1, 1] == pytest.approx(-(L**3) / (3 * E * I) - L * L / 5000.0)
    assert result.reaction[0, 0, 2] == pytest.approx(L)


def test_springs_of_a_large_frame_are_in_the_matrix_too():
    """Over a thousand equations the matrix is summed in another way: same answer as the small one, cut into more pieces."""
    answers = []
    for pieces in (4, 400):
        structure = beam(pieces, {"P0": "x"})
        springs = np.zeros((pieces + 1, 3))
        springs[0, 1], springs[-1, 1] = 4.0, 12.0
        load = at_joint(structure, f"P{pieces // 2}", (0, -24.0, 0))
        answers.append(solve(replace(structure, support_spring=springs), [load]).displacement[0, pieces // 2, 1])
    assert answers[1] == pytest.approx(answers[0], rel=1e-6)


# ---------------------------------------------------------------- one-sided


def test_of_two_diagonals_only_the_one_that_pulls_carries():
    """A square frame of pinned bars with two rods; push to the right: the rod that would be pushed falls out. H = N cos 45."""
    corners = {"A": (0.0, 0.0), "B": (10.0, 0.0), "C": (10.0, 10.0), "D": (0.0, 10.0)}
    bars = [("A", "D"), ("B", "C"), ("D", "C"), ("A", "C"), ("B", "D")]
    structure = replace(frame(corners, bars, {"A": "xy", "B": "xy"}, spring=0.0), sense=np.array([0, 0, 0, 1, 1]))
    right, left = at_joint(structure, "D", (7.0, 0, 0), "right"), at_joint(structure, "D", (-7.0, 0, 0), "left")
    found = solve_contacts(structure, [right, left])
    assert found.result.axial[0, 3:, 0] == pytest.approx([7 * math.sqrt(2), 0.0])
    assert found.result.axial[1, 3:, 0] == pytest.approx([0.0, 7 * math.sqrt(2)])
    assert found.state[0, 3:].tolist() == [1, 0]
    assert found.alone.tolist() == [False, True]


def shored(gap: float = 0.0):
    """A beam of two pieces over a shore that only pushes."""
    place = {"P0": (0.0, 0.0), "P1": (L / 2, 0.0), "P2": (L, 0.0), "G": (L / 2, -20.0)}
    spring = [(INF, INF), (INF, INF), (0.0, 0.0)]
    structure = frame(place, [("P0", "P1"), ("P1", "P2"), ("G", "P1")], {"P0": "xy", "P2": "y", "G": "xyr"}, E=E, A=A, I=I, spring=spring)
    return replace(structure, sense=np.array([0, 0, -1]), play=np.array([0.0, 0.0, gap]))


def test_a_shore_pushes_and_lets_go():
    structure = shored()
    down, up = (at_joint(structure, "P1", (0, sign * 6.0, 0), name) for sign, name in ((-1, "down"), (1, "up")))
    found = solve_contacts(structure, [down, up])
    k_beam, k_shore = 48 * E * I / L**3, E * A / 20.0
    assert found.result.axial[0, 2, 0] == pytest.approx(-6 * k_shore / (k_beam + k_shore))
    assert found.result.axial[1, 2, 0] == 0.0
    assert found.result.displacement[1, 1, 1] == pytest.approx(6 / k_beam)


def test_a_gap_closes_before_the_shore_takes_load():
    """The beam sinks by the gap alone; only the rest of the load is shared."""
    k_beam, k_shore, gap = 48 * E * I / L**3, E * A / 20.0, 0.2
    structure = shored(gap)
    for force in (0.5 * gap * k_beam, 5 * gap * k_beam):
        found = solve_contacts(structure, [at_joint(structure, "P1", (0, -force, 0))])
        shore = -found.result.axial[0, 2, 0]
        if force < gap * k_beam:
            assert shore == 0.0
            assert found.result.displacement[0, 1, 1] == pytest.approx(-force / k_beam)
        else:
            assert shore == pytest.approx((force - gap * k_beam) * k_shore / (k_beam + k_shore))


def test_bolts_with_free_travel_slip_before_they_bear():
    """A bar in two ways: a stiff one with free travel beside a soft one; either sense of the force."""
    place = {"A": (0.0, 0.0), "B": (10.0, 0.0)}
    structure = frame(place, [("A", "B"), ("A", "B")], {"A": "xyr", "B": "yr"}, E=E, A=A, I=I)
    structure = replace(structure, A=np.array([10.0, 1.0]), play=np.array([0.05, 0.0]))
    k1, k2 = 1000.0, 100.0
    for force in (3.0, -3.0, 40.0, -40.0):
        found = solve_contacts(structure, [at_joint(structure, "B", (force, 0, 0))])
        free = abs(force) <= 0.05 * k2
        moved = force / k2 if free else math.copysign((abs(force) + 0.05 * k1) / (k1 + k2), force)
        assert found.result.displacement[0, 1, 0] == pytest.approx(moved)
        assert found.state[0, 0] == (0 if free else np.sign(force))


def test_without_one_sided_elements_nothing_is_solved_alone():
    structure = bowstring()
    cases = roof_cases(structure)
    found = solve_contacts(structure, cases)
    np.testing.assert_array_equal(found.result.moment, solve(structure, cases).moment)
    assert not found.alone.any()


def test_what_hangs_on_a_shore_alone_falls():
    place = {"G": (0.0, 0.0), "P": (0.0, 10.0)}
    structure = replace(frame(place, [("G", "P")], {"G": "xyr", "P": "x"}, spring=0.0), sense=np.array([-1]))
    with pytest.raises(Unstable):
        solve_contacts(structure, [at_joint(structure, "P", (0, 5.0, 0))])


@settings(max_examples=30, derandomize=True)
@given(st.integers(0, 2**32 - 1))
def test_a_web_that_only_pulls_never_pushes_and_every_joint_balances(seed):
    structure = bowstring()
    random = np.random.default_rng(seed)
    m = len(structure.ends)
    web = np.arange(m) >= 16
    # Crossed diagonals everywhere, so that what falls out leaves a truss that stands.
    names = structure.joint_names
    more = [(f"B{k}", f"T{k + 1}") if (f"T{k}", f"B{k + 1}") in _pairs(structure) else (f"T{k}", f"B{k + 1}") for k in range(1, 7)]
    added = len(more)
    grown = replace(
        structure, ends=np.vstack([structure.ends, [(names.index(a), names.index(b)) for a, b in more]]),
        E=np.full(m + added, 1.5e6), A=np.full(m + added, 40.0), I=np.append(structure.I, np.zeros(added)),
        spring=np.vstack([structure.spring, np.zeros((added, 2))]), offset=np.zeros((m + added, 2, 2)),
        member=(*structure.member, *(f"{a}-{b}" for a, b in more)), station=np.zeros(m + added),
        sense=np.where(np.append(web, np.ones(added, dtype=bool)) & (np.arange(m + added) >= 23), 1, 0),
    )  # fmt: skip
    case = no_load(grown, "roof")
    case.nodal[:, 1] = -random.uniform(0.0, 800.0, len(names))
    found = solve_contacts(grown, [case])
    force = found.result.axial[0].mean(axis=1)
    assert force[grown.sense == 1].min() >= -1e-6 * np.abs(force).max()
    left = joint_residual(grown, case, found.result.axial[0], found.result.shear[0], found.result.moment[0], found.result.reaction[0])
    assert np.abs(left).max() <= 1e-7 * np.abs(found.result.moment).max()


def _pairs(structure):
    return {(structure.joint_names[a], structure.joint_names[b]) for a, b in structure.ends}


# ---------------------------------------------------------------- the deformed structure


@pytest.mark.parametrize("share", [0.1, 0.3, 0.6])
def test_beam_column_by_the_closed_form(share):
    """Pinned column under P with a load Q at its middle: M = Q/2k tan(kL/2), k = sqrt(P/EI) (Timoshenko and Gere)."""
    P = share * math.pi**2 * E * I / L**2
    structure = beam(64, {"P0": "xy", "P64": "y"})
    structure = replace(structure, A=np.full(64, 1e7))
    case = at_joint(structure, "P32", (0.0, -3.0, 0.0))
    case.nodal[64, 0] = -P
    found = solve_second_order(structure, [case])
    k = math.sqrt(P / (E * I))
    exact = 3.0 / (2 * k) * math.tan(k * L / 2)
    assert found.result.moment[0].max() == pytest.approx(exact, rel=2e-3)
    # The movement grows by 1 / (1 - P / Pcr), and small moments near the ends by some more.
    assert 0.98 / (1 - share) < found.growth[0] < 1.15 / (1 - share)
    assert bool(found.warnings()) is bool(found.growth[0] > 1.05)


def test_a_column_over_its_critical_load_is_told():
    structure = beam(16, {"P0": "xy", "P16": "y"})
    case = at_joint(structure, "P8", (0.0, -1.0, 0.0), "too much")
    case.nodal[16, 0] = -1.1 * math.pi**2 * E * I / L**2
    with pytest.raises(Unstable, match="too much it buckles"):
        solve_second_order(structure, [case])


def test_tension_straightens():
    structure = beam(32, {"P0": "xy", "P32": "y"})
    case = at_joint(structure, "P16", (0.0, -3.0, 0.0))
    case.nodal[32, 0] = 4.0
    found = solve_second_order(structure, [case])
    k = math.sqrt(4.0 / (E * I))
    assert found.result.moment[0].max() == pytest.approx(3.0 / (2 * k) * math.tanh(k * L / 2), rel=2e-3)
    assert not found.warnings()


def test_second_order_against_an_independent_program():
    """A leaning portal by PyNiteFEA's P-Delta analysis."""
    place = {f"{s}{k}": (x, 6.0 * k) for s, x in (("L", 0.0), ("R", 120.0)) for k in range(17)}
    bars = [(f"{s}{k}", f"{s}{k + 1}") for s in "LR" for k in range(16)] + [("L16", "R16")]
    structure = frame(place, bars, {"L0": "xyr", "R0": "xyr"}, E=29000.0, A=8.0, I=60.0)
    case = no_load(structure, "P")
    for name in ("L16", "R16"):
        case.nodal[structure.joint_names.index(name), :2] = (2.0, -350.0)
    other = FEModel3D()
    other.add_material("M", 29000.0, 11200.0, 0.3, 0.0)
    other.add_section("S", 8.0, 60.0, 60.0, 60.0)
    for name, (x, y) in place.items():
        other.add_node(name, x, y, 0.0)
        other.def_support(name, name in ("L0", "R0"), name in ("L0", "R0"), True, True, True, name in ("L0", "R0"))
    for number, (a, b) in enumerate(bars):
        other.add_member(f"E{number}", a, b, "M", "S")
    for name in ("L16", "R16"):
        other.add_node_load(name, "FX", 2.0)
        other.add_node_load(name, "FY", -350.0)
    other.analyze_PDelta()
    ours = solve_second_order(structure, [case]).result
    theirs = other.nodes["L16"].DX["Combo 1"]
    assert ours.displacement[0, structure.joint_names.index("L16"), 0] == pytest.approx(theirs, rel=2e-3)


# ---------------------------------------------------------------- true extremes


def along(structure, cases, stations):
    """Members as the checks see them, one per element."""
    result = solve(structure, cases, stations=stations)
    length = np.hypot(*(structure.joints[structure.ends[:, 1]] - structure.joints[structure.ends[:, 0]]).T)
    return [
        MemberForces(f"E{k}", result.fraction * length[k], result.axial[:, k], result.shear[:, k], result.moment[:, k]) for k in range(len(length))
    ]


@pytest.mark.parametrize("stations", [2, 3, 5])
def test_the_greatest_moment_stands_where_the_shear_is_nothing(stations):
    """Propped cantilever under q: 9 q L^2 / 128 at 5/8 L from the clamp, -q L^2 / 8 at the clamp. At five stations it would read a ninth less."""
    structure = beam(1, {"P0": "xyr", "P1": "y"})
    (member,) = along(structure, [along_element(structure, 0, (0.0, -0.5))], stations)
    found = true_moments(member)
    assert found.max() == pytest.approx(9 * 0.5 * L**2 / 128)
    assert found[0, 0] == pytest.approx(-0.5 * L**2 / 8)
    assert stations != 5 or member.moment.max() == pytest.approx(8 * 0.5 * L**2 / 128)
    assert member.station[found[0].argmax()] == pytest.approx({2: 1.0, 3: 0.5, 5: 0.75}[stations] * L)  # the nearer of two


@settings(max_examples=30, derandomize=True)
@given(st.integers(0, 2**32 - 1))
def test_loads_between_joints_are_seen_whole_at_five_stations(seed):
    """Even loads of either sign on all elements of a truss: as great as the greatest of 2,001 stations, and nothing beyond."""
    structure = bowstring(4)
    random = np.random.default_rng(seed)
    cases = [replace(c, distributed=random.uniform(-30, 30, c.distributed.shape)) for c in roof_cases(structure, 2, seed)]
    for few, many in zip(along(structure, cases, 5), along(structure, cases, 2001), strict=True):
        found, size = true_moments(few), max(np.abs(many.moment).max(), 1.0)
        np.testing.assert_allclose(found.max(axis=1), many.moment.max(axis=1), atol=1e-5 * size)
        np.testing.assert_allclose(found.min(axis=1), many.moment.min(axis=1), atol=1e-5 * size)


def test_an_envelope_keeps_combination_stage_and_station():
    names = tuple(Combination(n, (), "snow", Cite("test", "0")) for n in ("one", "two"))
    station = np.array([0.0, 5.0])

    def stage(name, axial):
        zero = np.zeros((2, 2))
        return Forces("as found", name, names, {"L0-L1": MemberForces("L0-L1", station, np.array(axial), zero, zero)}, "analysis")

    found = envelope([stage("shored", [[1.0, 2.0], [-7.0, 0.0]]), stage("service", [[3.0, 3.0], [-1.0, 9.0]])])["L0-L1"]
    most, least = found[("axial", "greatest")], found[("axial", "least")]
    assert (most.value, most.combination, most.stage, most.station) == (9.0, "two", "service", 5.0)
    assert (least.value, least.combination, least.stage, least.station) == (-7.0, "two", "shored", 0.0)
    assert found[("moment", "greatest")].stage == "shored"  # of equals the first
    noisy = envelope([stage("service", [[1.0, 3.0], [3.0 + 1e-12, 3.0 - 1e-12]])])["L0-L1"][("axial", "greatest")]
    assert (noisy.combination, noisy.station) == ("one", 5.0)  # the last digits of the arithmetic do not choose
