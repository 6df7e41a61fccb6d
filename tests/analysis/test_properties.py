"""What must hold for every structure. Sources: equilibrium, superposition, Betti (symmetry), rigid motion; no printed numbers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from plane_frames import INF, at_joint, frame, joint_residual, no_load

from detailgen.analysis.frame import combine, solve
from detailgen.model.structure import LoadCase, Structure

RUNS = settings(max_examples=60, derandomize=True)
ANSWERS = ("displacement", "reaction", "axial", "shear", "moment", "end_moment")


@st.composite
def trusses(draw, *, offsets: bool = True) -> tuple[Structure, np.random.Generator]:
    """Triangulated trusses of 2 to 6 panels, standing at any angle; chords bend, webs have any spring at either end."""
    panels = draw(st.integers(2, 6))
    random = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    place = {}
    for number in range(panels + 1):
        place[f"B{number}"] = (50.0 * number + random.uniform(-8, 8), random.uniform(-8, 8))
        place[f"T{number}"] = (50.0 * number + random.uniform(-8, 8), 45.0 + random.uniform(-8, 8))
    angle = draw(st.sampled_from([0.0, 0.4, np.pi / 2, 2.5]))
    c, s = np.cos(angle), np.sin(angle)
    place = {name: (c * x - s * y, s * x + c * y) for name, (x, y) in place.items()}
    chords = [(f"{row}{number}", f"{row}{number + 1}") for row in "BT" for number in range(panels)]
    webs = [(f"B{number}", f"T{number}") for number in range(panels + 1)]
    webs += [(f"B{number}", f"T{number + 1}") if random.random() < 0.5 else (f"T{number}", f"B{number + 1}") for number in range(panels)]
    kinds = np.array([0.0, 3e4, 1e6, INF])
    springs = [tuple(random.choice(kinds[1:], 2)) for _ in chords] + [tuple(random.choice(kinds, 2)) for _ in webs]
    structure = frame(place, chords + webs, {"B0": "xy", f"B{panels}": "xy"}, E=1000.0, A=20.0, spring=springs)
    m = len(structure.ends)
    offset = np.where(random.random((m, 2, 1)) < 0.4, random.uniform(-3.0, 3.0, (m, 2, 2)), 0.0) if offsets else np.zeros((m, 2, 2))
    bent = np.arange(m) < len(chords)
    inertia = np.where(bent | (random.random(m) < 0.5), random.uniform(20.0, 60.0, m), 0.0)
    return replace(structure, offset=offset, I=inertia, A=random.uniform(5.0, 40.0, m)), random


def any_load(structure: Structure, random: np.random.Generator, name: str = "load") -> LoadCase:
    n, m = len(structure.joints), len(structure.ends)
    points = tuple((int(random.integers(m)), *random.uniform(-50, 50, 2), random.uniform(0.0, 20.0)) for _ in range(4))
    settlement = random.uniform(-0.1, 0.1, (n, 3))
    return LoadCase(name, random.uniform(-50, 50, (n, 3)), random.uniform(-1, 1, (m, 2)), points, random.uniform(-1e-3, 1e-3, m), settlement)


@RUNS
@given(trusses())
def test_every_joint_is_in_equilibrium(drawn):
    structure, random = drawn
    case = any_load(structure, random)
    result = solve(structure, [case], stations=2)
    left = joint_residual(structure, case, result.axial[0], result.shear[0], result.moment[0], result.reaction[0])
    size = max(np.abs(result.axial).max(), np.abs(result.moment).max())
    assert np.abs(left).max() <= 1e-8 * size


@RUNS
@given(trusses())
def test_the_whole_is_in_equilibrium(drawn):
    structure, random = drawn
    case = any_load(structure, random)
    result = solve(structure, [case])
    start = structure.joints[structure.ends[:, 0]] + structure.offset[:, 0]
    vector = structure.joints[structure.ends[:, 1]] + structure.offset[:, 1] - start
    length = np.hypot(vector[:, 0], vector[:, 1])
    forces = [(*place, *both[:2]) for place, both in zip(structure.joints, case.nodal + result.reaction[0], strict=True)]
    forces += [(*(start[e] + 0.5 * vector[e]), *(case.distributed[e] * length[e])) for e in range(len(length))]
    forces += [(*(start[e] + vector[e] * a / length[e]), fx, fy) for e, fx, fy, a in case.point]
    x, y, fx, fy = np.array(forces).T
    size = np.abs(result.reaction).max() * 300.0
    assert abs(fx.sum()) + abs(fy.sum()) <= 1e-9 * size
    assert abs((x * fy - y * fx).sum() + (case.nodal + result.reaction[0])[:, 2].sum()) <= 1e-9 * size
    assert not result.reaction[0][~structure.fixed].any()


@RUNS
@given(trusses(), st.floats(-3.0, 3.0), st.floats(-3.0, 3.0))
def test_superposition(drawn, first, second):
    structure, random = drawn
    one, two = any_load(structure, random, "one"), any_load(structure, random, "two")
    points = tuple((e, f * fx, f * fy, a) for f, case in ((first, one), (second, two)) for e, fx, fy, a in case.point)
    both = LoadCase(
        "both",
        first * one.nodal + second * two.nodal,
        first * one.distributed + second * two.distributed,
        points,
        first * one.strain + second * two.strain,
        first * one.settlement + second * two.settlement,
    )
    mixed = combine(solve(structure, [one, two]), ["both"], np.array([[first, second]]))
    direct = solve(structure, [both])
    parts = solve(structure, [one, two])
    for name in ANSWERS:
        size = np.abs(getattr(parts, name)).max()
        assert np.abs(getattr(mixed, name) - getattr(direct, name)).max() <= 1e-8 * size, name


@RUNS
@given(trusses(), st.floats(-2.0, 2.0), st.floats(-2.0, 2.0), st.floats(-0.01, 0.01))
def test_supports_that_move_as_one_body_strain_nothing(drawn, along, up, turn):
    structure, _ = drawn
    x, y = structure.joints.T
    case = replace(no_load(structure), settlement=np.column_stack([along - turn * y, up + turn * x, np.full(len(x), turn)]))
    result = solve(structure, [case])
    size = 1000.0 * 40.0 / 30.0 * np.abs(case.settlement).max()  # force of one member if one of its ends moved alone
    assert np.abs(result.axial).max() <= 1e-8 * size
    assert np.abs(result.moment).max() <= 1e-8 * size * 50.0
    assert np.abs(result.reaction).max() <= 1e-8 * size
    assert np.abs(result.displacement[0, :, :2] - case.settlement[:, :2]).max() <= 1e-8 * (1.0 + np.abs(case.settlement).max())


@RUNS
@given(trusses(offsets=False))
def test_springs_run_from_pin_to_rigid(drawn):
    structure, random = drawn
    case = any_load(structure, random)
    case.nodal[:, 2] = 0.0  # a moment on a joint would turn it without end while its springs go to nothing
    webs = np.array([name[0] != name[3] for name in structure.member])  # a chord goes from B to B or from T to T
    chosen = webs[:, None] & (random.random(structure.spring.shape) < 0.6)
    for end, nearly in ((0.0, 1e-6), (INF, 1e14)):
        exact = solve(replace(structure, spring=np.where(chosen, end, structure.spring)), [case])
        close = solve(replace(structure, spring=np.where(chosen, nearly, structure.spring)), [case])
        for name in ("axial", "shear", "moment", "reaction"):
            size = np.abs(getattr(exact, name)).max()
            assert np.abs(getattr(exact, name) - getattr(close, name)).max() <= 1e-6 * size, name


@RUNS
@given(trusses(), st.data())
def test_stiffness_is_symmetric(drawn, data):
    # Betti: the movement at b under a unit load at a is that at a under a unit load at b.
    structure, _ = drawn
    free = np.argwhere(~structure.fixed)
    (j1, d1), (j2, d2) = free[data.draw(st.integers(0, len(free) - 1))], free[data.draw(st.integers(0, len(free) - 1))]
    unit = np.eye(3)
    one = at_joint(structure, structure.joint_names[j1], tuple(unit[d1]), "one")
    two = at_joint(structure, structure.joint_names[j2], tuple(unit[d2]), "two")
    movement = solve(structure, [one, two]).displacement
    own = np.sqrt(movement[0, j1, d1] * movement[1, j2, d2])
    assert movement[0, j1, d1] > 0.0
    assert abs(movement[0, j2, d2] - movement[1, j1, d1]) <= 1e-9 * own


@RUNS
@given(trusses(), st.floats(0.0, 6.3))
def test_the_angle_of_the_page_does_not_matter(drawn, angle):
    structure, random = drawn
    case = any_load(structure, random)
    pinned = replace(case, settlement=np.zeros_like(case.settlement))
    turn = np.array([(np.cos(angle), np.sin(angle)), (-np.sin(angle), np.cos(angle))])
    nodal = np.column_stack([pinned.nodal[:, :2] @ turn, pinned.nodal[:, 2]])
    points = tuple((e, *(np.array([fx, fy]) @ turn), a) for e, fx, fy, a in pinned.point)
    moved = replace(pinned, nodal=nodal, distributed=pinned.distributed @ turn, point=points)
    straight = solve(structure, [pinned])
    turned = solve(replace(structure, joints=structure.joints @ turn, offset=structure.offset @ turn), [moved])
    for name in ("axial", "shear", "moment", "end_moment"):
        size = np.abs(getattr(straight, name)).max()
        assert np.abs(getattr(straight, name) - getattr(turned, name)).max() <= 1e-8 * size, name
