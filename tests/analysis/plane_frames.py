"""Small frames that the tests of the analysis share. Any consistent units."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np

from detailgen.model.structure import Floats, LoadCase, Structure

INF = np.inf


def frame(
    joints: Mapping[str, tuple[float, float]],
    bars: Sequence[tuple[str, str]],
    supports: Mapping[str, str],
    *,
    E: float = 1000.0,
    A: float = 10.0,
    I: float = 20.0,
    spring: float | Sequence[tuple[float, float]] = INF,
) -> Structure:
    """``supports`` names what is held at a joint by letters of "xyr". Bars are called by their two joints."""
    names = tuple(joints)
    m = len(bars)
    springs = np.array(spring, dtype=float) if isinstance(spring, Sequence) else np.full((m, 2), float(spring))
    return Structure(
        joint_names=names,
        joints=np.array([joints[name] for name in names], dtype=float),
        ends=np.array([(names.index(start), names.index(end)) for start, end in bars]),
        E=np.full(m, E),
        A=np.full(m, A),
        I=np.full(m, I),
        spring=springs,
        offset=np.zeros((m, 2, 2)),
        fixed=np.array([[letter in supports.get(name, "") for letter in "xyr"] for name in names]),
        member=tuple(f"{start}-{end}" for start, end in bars),
        station=np.zeros(m),
    )


def no_load(structure: Structure, name: str = "nothing") -> LoadCase:
    n, m = len(structure.joints), len(structure.ends)
    return LoadCase(name, np.zeros((n, 3)), np.zeros((m, 2)), (), np.zeros(m), np.zeros((n, 3)))


def at_joint(structure: Structure, joint: str, force: tuple[float, float, float], name: str = "force") -> LoadCase:
    case = no_load(structure, name)
    case.nodal[structure.joint_names.index(joint)] = force
    return case


def along_element(structure: Structure, element: int, load: tuple[float, float], name: str = "line load") -> LoadCase:
    case = no_load(structure, name)
    case.distributed[element] = load
    return case


def bowstring(panels: int = 8, span: float = 600.0, rise: float = 90.0) -> Structure:
    """Continuous chords (top an arch of straight pieces), pinned verticals and diagonals without bending stiffness: 29 for 8 panels."""
    x = np.linspace(0.0, span, panels + 1)
    names = [f"B{number}" for number in range(panels + 1)] + [f"T{number}" for number in range(1, panels)]
    joints = [(float(place), 0.0) for place in x] + [(float(place), float(4 * rise * place * (span - place) / span**2)) for place in x[1:-1]]
    bottom = [(f"B{number}", f"B{number + 1}") for number in range(panels)]
    arch = ["B0", *names[panels + 1 :], f"B{panels}"]
    top = list(pairwise(arch))
    webs = [(f"B{number}", f"T{number}") for number in range(1, panels)]
    half = panels // 2
    webs += [(f"B{number}", f"T{number + 1}") if number >= half else (f"T{number}", f"B{number + 1}") for number in range(1, panels - 1)]
    structure = frame(
        dict(zip(names, joints, strict=True)), bottom + top + webs, {"B0": "xy", f"B{panels}": "y"}, E=1.5e6, A=40.0, I=300.0
    )
    web = np.arange(len(structure.ends)) >= 2 * panels
    inertia = np.where(web, 0.0, structure.I)
    spring = np.where(web[:, None], 0.0, structure.spring)
    # Both chords stop at the heels: a pin at each end of the whole chord, so that only one of the two turns the heel joint.
    spring[panels, 0] = spring[2 * panels - 1, 1] = 0.0
    return replace(structure, I=inertia, spring=spring)


def roof_cases(structure: Structure, count: int = 6, seed: int = 7) -> list[LoadCase]:
    """Load cases with everything that a case may hold except point loads."""
    random = np.random.default_rng(seed)
    cases = []
    for number in range(count):
        case = no_load(structure, f"case {number + 1}")
        case.nodal[:, :2] = random.uniform(-500.0, 500.0, (len(structure.joints), 2))
        case.distributed[:] = random.uniform(-20.0, 5.0, case.distributed.shape)
        case.strain[:] = random.uniform(-1e-4, 1e-4, case.strain.shape)
        cases.append(case)
    return cases


def joint_residual(structure: Structure, case: LoadCase, axial: Floats, shear: Floats, moment: Floats, reaction: Floats) -> Floats:
    """(n, 3) what is left at each joint of load, reaction and the forces read at the elements' first and last stations (m, s).

    Written from the sign rules of FrameResult alone. Source: equilibrium of a joint.
    """
    left = case.nodal + reaction
    for element, (start, end) in enumerate(structure.ends):
        arms = structure.offset[element]
        vector = structure.joints[end] + arms[1] - structure.joints[start] - arms[0]
        cx, cy = vector / np.hypot(*vector)
        for joint, station, sense in ((start, 0, 1.0), (end, -1, -1.0)):
            ox, oy = arms[0 if station == 0 else 1]
            # Tension pulls the joint towards the element; shear V pushes the part on its left down, that on its right up.
            fx = sense * (axial[element, station] * cx + shear[element, station] * cy)
            fy = sense * (axial[element, station] * cy - shear[element, station] * cx)
            left[joint] += (fx, fy, ox * fy - oy * fx + sense * moment[element, station])
    return left
