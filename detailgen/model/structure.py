"""The plane frame that the analysis solves, and what it answers. Arrays, one row per joint or element, so that nothing loops.

Axes: x along the span, y up, rotation counter-clockwise. Inch, pound-force, radian (a test may use any consistent set).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Structure:
    """n joints and m elements.

    ``spring`` is the rotational stiffness between element end and joint (in-lb/rad): ``inf`` is rigid, 0 is a pin.
    ``offset`` is the vector from the joint to the element's end (in), a rigid arm.
    ``member`` names the member that the element is a piece of; ``station`` is how far along that member the piece begins (in).
    """

    joint_names: tuple[str, ...]
    joints: Floats  # (n, 2), in
    ends: Ints  # (m, 2)
    E: Floats  # (m,), psi
    A: Floats  # (m,), in2
    I: Floats  # (m,), in4  # noqa: E741
    spring: Floats  # (m, 2), in-lb/rad
    offset: Floats  # (m, 2, 2), in
    fixed: Bools  # (n, 3): x, y, rotation held by a support
    member: tuple[str, ...]  # (m,)
    station: Floats  # (m,), in
    shear: Floats | None = None  # (m,), lb: shear stiffness (modulus times effective area); None: shear bends nothing
    slip: Floats | None = None  # (m,), lb/in: joints in line with the element; inf: none
    support_spring: Floats | None = None  # (n, 3): lb/in, lb/in, in-lb/rad between joint and ground, where no support holds
    sense: Ints | None = None  # (m,): 1 only pulls, -1 only pushes, 0 both
    play: Floats | None = None  # (m,), in: free travel before the element takes force, either way; a gap where it only pushes


@dataclass(frozen=True)
class LoadCase:
    """One load case. ``distributed`` is in global axes per inch of element length; ``strain`` is stress-free (positive lengthens)."""

    name: str
    nodal: Floats  # (n, 3): lb, lb, in-lb
    distributed: Floats  # (m, 2): lb/in
    point: tuple[tuple[int, float, float, float], ...]  # element, Fx lb, Fy lb, distance from the element's start in
    strain: Floats  # (m,)
    settlement: Floats  # (n, 3): in, in, rad; read only where the support holds


@dataclass(frozen=True)
class FrameResult:
    """Answers for k load cases (or combinations), m elements, n joints, s stations per element.

    Axial is positive in tension; shear is positive where it turns the left piece clockwise (V = dM/dx);
    moment is positive where it sags the element (tension on its right-hand side looking from start to end, which is below for left-to-right).
    ``end_moment`` is the counter-clockwise couple that acts on the element's end. A reaction is the force of the support on the structure.
    """

    names: tuple[str, ...]  # (k,)
    displacement: Floats  # (k, n, 3)
    reaction: Floats  # (k, n, 3)
    axial: Floats  # (k, m, s), lb
    shear: Floats  # (k, m, s), lb
    moment: Floats  # (k, m, s), in-lb
    end_moment: Floats  # (k, m, 2), in-lb
    fraction: Floats  # (s,): 0 at the element's start, 1 at its end
