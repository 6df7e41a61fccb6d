"""The same bowstring frame in PyNiteFEA, a general three-dimensional frame program that shares no code with ours.

Continuous chords, pinned webs, line loads, a point load, loads at joints. PyNiteFEA has no rotational springs at element ends, no
arms and no stages; those stand on closed forms.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from plane_frames import bowstring, roof_cases
from Pynite import FEModel3D

from detailgen.analysis.frame import solve

CHORD_PIECES = 16
PROPERTIES = 300.0


@pytest.fixture(scope="module")
def truss():
    structure = bowstring()
    random = np.random.default_rng(11)
    joints = structure.joints.copy()
    inner = ~structure.fixed.any(axis=1)
    joints[inner] += random.uniform(-4.0, 4.0, (int(inner.sum()), 2))
    return replace(structure, joints=joints, A=random.uniform(10.0, 60.0, len(structure.ends)))


@pytest.fixture(scope="module")
def loads(truss):
    case = roof_cases(truss, 1)[0]
    case.strain[:] = 0.0
    return replace(case, point=((3, 400.0, -1500.0, 20.0), (11, -300.0, -900.0, 31.0), (20, 50.0, -80.0, 10.0)))


@pytest.fixture(scope="module")
def other(truss, loads):
    model = FEModel3D()
    model.add_material("wood", 1.5e6, 1e6, 0.3, 0.0)
    for joint, (x, y) in enumerate(truss.joints):
        model.add_node(f"J{joint}", float(x), float(y), 0.0)
        model.def_support(f"J{joint}", bool(truss.fixed[joint, 0]), bool(truss.fixed[joint, 1]), True, True, True, False)
        for direction, value in zip(("FX", "FY"), loads.nodal[joint], strict=False):
            model.add_node_load(f"J{joint}", direction, float(value))
    for element, (start, end) in enumerate(truss.ends):
        # A web is pinned at both ends, so its bending stiffness there is of no matter; the other program needs one above zero.
        model.add_section(f"S{element}", float(truss.A[element]), PROPERTIES, PROPERTIES, PROPERTIES)
        model.add_member(f"E{element}", f"J{start}", f"J{end}", "wood", f"S{element}")
        pins = truss.spring[element] == 0.0
        model.def_releases(f"E{element}", Rzi=bool(pins[0]), Rzj=bool(pins[1]))
        for direction, value in zip(("FX", "FY"), loads.distributed[element], strict=True):
            model.add_member_dist_load(f"E{element}", direction, float(value), float(value))
    for element, fx, fy, place in loads.point:
        model.add_member_pt_load(f"E{element}", "FX", fx, place)
        model.add_member_pt_load(f"E{element}", "FY", fy, place)
    model.analyze_linear(check_stability=False)
    return model


def close(ours, theirs):
    """To 1e-5 of the greatest value of the kind."""
    theirs = np.array(theirs)
    assert np.abs(theirs).max() > 0.0
    assert np.abs(np.asarray(ours) - theirs).max() <= 1e-5 * np.abs(theirs).max()


def test_movements(truss, loads, other):
    result = solve(truss, [loads])
    for column, name in enumerate(("DX", "DY", "RZ")):
        theirs = [getattr(other.nodes[f"J{joint}"], name)["Combo 1"] for joint in range(len(truss.joints))]
        close(result.displacement[0, :, column], theirs)


def test_reactions(truss, loads, other):
    result = solve(truss, [loads])
    for column, name in enumerate(("RxnFX", "RxnFY")):
        theirs = [getattr(other.nodes[f"J{joint}"], name)["Combo 1"] for joint in range(len(truss.joints))]
        close(result.reaction[0, :, column], theirs)


def test_forces_along_every_element(truss, loads, other):
    # PyNiteFEA counts compression and hogging positive, and measures across a bar upwards where ours measures to the left of its
    # direction: the two differ for a bar that runs from right to left. No station falls on a point load.
    result = solve(truss, [loads], stations=4)
    axial, shear, moment = (np.empty_like(result.axial[0]) for _ in range(3))
    for element, (start, end) in enumerate(truss.ends):
        member = other.members[f"E{element}"]
        sense = 1.0 if truss.joints[end, 0] > truss.joints[start, 0] else -1.0
        for station, place in enumerate(result.fraction * member.L()):
            axial[element, station] = -member.axial(float(place), "Combo 1")
            shear[element, station] = sense * member.shear("Fy", float(place), "Combo 1")
            moment[element, station] = -sense * member.moment("Mz", float(place), "Combo 1")
    close(result.axial[0], axial)
    close(result.shear[0], shear)
    close(result.moment[0], moment)


@pytest.mark.parametrize("seed", range(10))
def test_ten_random_trusses(seed):
    """Other panels, joints out of line, other sections, other loads: every joint's movement agrees."""
    random = np.random.default_rng(seed)
    structure = bowstring(int(random.integers(2, 7)) * 2, float(random.uniform(400, 900)), float(random.uniform(60, 150)))
    joints = structure.joints.copy()
    inner = ~structure.fixed.any(axis=1)
    joints[inner] += random.uniform(-5.0, 5.0, (int(inner.sum()), 2))
    structure = replace(structure, joints=joints, A=random.uniform(8.0, 60.0, len(structure.ends)))
    case = roof_cases(structure, 1, seed)[0]
    case.strain[:] = 0.0
    model = FEModel3D()
    model.add_material("wood", 1.5e6, 1e6, 0.3, 0.0)
    for joint, (x, y) in enumerate(structure.joints):
        model.add_node(f"J{joint}", float(x), float(y), 0.0)
        model.def_support(f"J{joint}", bool(structure.fixed[joint, 0]), bool(structure.fixed[joint, 1]), True, True, True, False)
        for direction, value in zip(("FX", "FY"), case.nodal[joint], strict=False):
            model.add_node_load(f"J{joint}", direction, float(value))
    for element, (start, end) in enumerate(structure.ends):
        inertia = float(structure.I[element]) or PROPERTIES
        model.add_section(f"S{element}", float(structure.A[element]), inertia, inertia, inertia)
        model.add_member(f"E{element}", f"J{start}", f"J{end}", "wood", f"S{element}")
        model.def_releases(f"E{element}", Rzi=bool(structure.spring[element, 0] == 0), Rzj=bool(structure.spring[element, 1] == 0))
        for direction, value in zip(("FX", "FY"), case.distributed[element], strict=True):
            model.add_member_dist_load(f"E{element}", direction, float(value), float(value))
    model.analyze_linear(check_stability=False)
    ours = solve(structure, [case]).displacement[0, :, :2]
    nodes = [model.nodes[f"J{k}"] for k in range(len(structure.joints))]
    close(ours, [(n.DX["Combo 1"], n.DY["Combo 1"]) for n in nodes])
