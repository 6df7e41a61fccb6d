"""A heel as a free body: what top chord, bottom chord and bearing do to it under every combination. Inches, pounds, radians."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from detailgen.model.assessment import Floats, Forces
from detailgen.model.project import Truss


@dataclass(frozen=True)
class HeelBody:
    """One heel; arrays by combination. ``inward``: 1 at the left heel, -1 at the right one.

    ``thrust`` is the top chord's push (lb, compression positive) along ``slope`` (rad, from the level), ``tension`` the bottom chord's pull,
    ``across`` what the bottom chord's end pushes up on the heel (lb) and ``moment`` its moment there (in-lb, sagging positive). ``reaction`` is what
    the bearing pushes back, along the span toward the truss's middle and upward; it stands ``offset`` from the work point, inward and upward (in).
    ``loaded`` is what comes on the heel's joint itself, downward (lb). Forces that were imported say nothing of bearings: then it is taken as none.
    """

    joint: str
    inward: int
    slope: float
    combinations: tuple[str, ...]
    durations: tuple[str, ...]
    thrust: Floats
    tension: Floats
    across: Floats
    moment: Floats
    reaction: tuple[Floats, Floats]
    offset: tuple[float, float]
    loaded: Floats

    @property
    def name(self) -> str:
        return f"heel {self.joint}"

    @property
    def rest(self) -> Floats:
        """What is left of the moments about the work point (in-lb): nothing, in forces of our own analysis."""
        along, up = self.reaction
        return up * self.offset[0] - along * self.offset[1] + self.moment


def heel_body(truss: Truss, forces: Forces, joint: str) -> HeelBody:
    """The free body of the heel at a joint: the first or the last of the bottom chord."""
    left = joint == truss.bottom[0]
    inward, at = (1, 0) if left else (-1, -1)
    bottom, top = (truss.bottom[:2], truss.top[:2]) if left else (truss.bottom[-2:], truss.top[-2:])
    along, up = np.zeros(len(forces.combinations)), np.zeros(len(forces.combinations))
    found: dict[str, tuple[Floats, Floats, Floats]] = {}
    for name, pair in (("bottom", bottom), ("top", top)):
        f = forces.members["-".join(pair)]
        (x0, y0), (x1, y1) = (truss.joints[j] for j in pair)
        length = math.dist((x0, y0), (x1, y1))
        c, s = (x1 - x0) / length, (y1 - y0) / length
        if name == "top" and truss.curved and truss.arc is not None:
            slope = _first_piece(truss, joint, f.station, left=left) * inward
            c, s = math.cos(slope), math.sin(slope)
        axial, shear, moment = f.axial[:, at], f.shear[:, at], f.moment[:, at]
        # what the member does to the heel: at its first joint it pulls along its axis and presses down what it is held up by there
        fx, fy = inward * (axial * c + shear * s), inward * (axial * s - shear * c)
        along, up = along + inward * fx, up + fy
        found[name] = axial, fy, moment
    support = next(s for s in truss.supports if s.joint == joint)
    (xa, ya), (xb, yb) = (truss.joints[j] for j in top)
    slope = math.atan2(yb - ya, xb - xa) * inward
    if truss.curved and truss.arc is not None:
        slope = _first_piece(truss, joint, forces.members["-".join(top)].station, left=left)
    known = (forces.bearings or {}).get(joint)
    reaction = (-along, -up) if known is None else (inward * known[:, 0], known[:, 1])
    return HeelBody(
        joint, inward, slope, tuple(c.name for c in forces.combinations), tuple(c.duration for c in forces.combinations), -found["top"][0],
        found["bottom"][0], found["bottom"][1], found["bottom"][2], reaction, (inward * support.offset[0], support.offset[1]), reaction[1] + up,
    )  # fmt: skip


def _first_piece(truss: Truss, joint: str, station: Floats, *, left: bool) -> float:
    """Slope (rad, inward and up) of the straight piece by which the analysis follows a curved top chord from its heel: its station stands twice."""
    assert truss.arc is not None
    joined = np.flatnonzero(np.diff(station) <= 0)
    length = float(station[-1])
    piece = length if not len(joined) else float(station[joined[0]]) if left else length - float(station[joined[-1]])
    tangent = math.asin(abs(truss.arc.centre_x - truss.joints[joint][0]) / truss.arc.radius)
    return tangent - math.asin(piece / 2 / truss.arc.radius)
