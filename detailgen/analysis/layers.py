"""Planks stacked over a ply's depth and joined so that they slip: partial composite action in bending.

Layers of one breadth, joints between neighbours that resist slip by a stiffness per length, a deflection of one half wave over a length
between points without moment. The axial movement of each layer follows from least energy. For two layers this is the
gamma method (EN 1995-1-1 annex B) and Newmark's closed form; without stiffness the layers act singly, with endless stiffness as one piece.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from detailgen.model.structure import Floats


@dataclass(frozen=True)
class Layered:
    """``stiffness`` is the effective E I (lb-in2) of all layers together; per unit of moment each layer carries by bending a share ``bends``
    and an axial force ``pulls`` (1/in, tension positive under a sagging moment), bottom layer first."""

    stiffness: float
    bends: Floats
    pulls: Floats


def layered(E: float, breadth: float, depths: tuple[float, ...], joint: float, length: float) -> Layered:
    """Layers of one wood.

    E: psi; breadth, depths (bottom first), length: in
    joint: force per length that a slip of one inch between neighbours takes (lb/in per in)
    """
    d = np.array(depths)
    area, own = E * breadth * d, E * breadth * d**3 / 12
    z = np.cumsum(d) - d / 2 - d.sum() / 2
    p = math.pi / length
    between = np.diff(np.eye(len(d)), axis=0)  # slip of each joint from the movements of the layers
    slope = -1.0 / p  # of a half wave whose curvature is one
    spring = joint * between.T
    moved = np.linalg.solve(np.diag(area * p**2) + spring @ between, -spring @ (slope * np.diff(z)))
    force = -area * p * moved
    total = float(own.sum() - (force * z).sum())
    return Layered(total, own / total, force / total)
