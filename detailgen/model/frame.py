"""The frame of one truss: the structure that is solved, and what each of its elements is a piece of."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from detailgen.model.structure import Structure

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Part:
    """A ply, or a layer that acts by itself, over one member between two joints: its shares of the member's forces.

    ``broken`` parts carry nothing and take no share. Layers that slip on one another also take an axial force per moment of the member
    (``pulls``, 1/in) and are held by their neighbours against buckling in the plane (``braced``: part of their length that counts there).
    """

    ply: str
    layer: int  # -1: the whole ply
    thickness: float
    depth: float
    axial_share: float
    bending_share: float
    broken: bool
    pulls: float = 0.0
    braced: float = 1.0


@dataclass(frozen=True)
class FrameModel:
    """m elements. ``start_x``, ``end_x`` and ``length`` (in) follow the surveyed axis; ``wood_area`` (in2) and ``added_weight`` weigh."""

    structure: Structure
    active: Bools  # (m,): elements that still carry something
    kind: tuple[str, ...]  # (m,): bottom chord, top chord, web
    start_x: Floats
    end_x: Floats
    length: Floats
    wood_area: Floats
    added_weight: Floats  # (m,): of new steel, lb/in
    member_length: Mapping[str, float]  # length along its pieces, in
    parts: Mapping[str, tuple[Part, ...]]  # by member between two joints

    def is_kind(self, kind: str) -> Bools:
        return np.array([k == kind for k in self.kind])
