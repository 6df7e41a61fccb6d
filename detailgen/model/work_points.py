"""Where the work point of a detail is on its member, how the member runs there, and how far a tape along the member measures.

A chord runs from its first joint to its last. On a curved top chord the work point lies on the arc and the direction is the arc's tangent there.
Lengths in inches, angles in radians.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

from detailgen.model.detail import ON_TOP
from detailgen.model.member import Member
from detailgen.model.project import Arc, Truss
from detailgen.model.timbers import end_beyond, into, middle_of_web

PIECES = 4
"""Straight pieces to a panel of a curved chord, where a picture shows it small."""


@dataclass(frozen=True)
class WorkPoint:
    """A point on a member's centre line, and the member's direction there."""

    x: float
    y: float
    angle: float

    def place(self, x: float, y: float) -> tuple[float, float]:
        """A place of the detail's axes in the truss."""
        c, s = math.cos(self.angle), math.sin(self.angle)
        return self.x + c * x - s * y, self.y + s * x + c * y

    def seen(self, x: float, y: float) -> tuple[float, float]:
        """A place of the truss in the detail's axes."""
        c, s = math.cos(self.angle), math.sin(self.angle)
        return c * (x - self.x) + s * (y - self.y), -s * (x - self.x) + c * (y - self.y)


def arc_of(truss: Truss, member: Member) -> Arc | None:
    """The arc on which a member's centre line lies; None where it runs straight from joint to joint."""
    return truss.arc if member.kind == "top chord" and truss.curved else None


def point_at(truss: Truss, member: Member, station: float) -> WorkPoint | None:
    """The point of a chord's centre line at x = ``station`` of the truss; None where the chord is not."""
    points = [truss.joints[j] for j in member.joints]
    low, high = min(x for x, _ in points), max(x for x, _ in points)
    if not low <= station <= high:
        return _beyond(truss, member, station)
    if (arc := arc_of(truss, member)) is not None:
        up = math.acos((station - arc.centre_x) / arc.radius)
        return WorkPoint(station, arc.centre_y + arc.radius * math.sin(up), up - math.pi / 2)
    for (x0, y0), (x1, y1) in itertools.pairwise(points):
        if x0 <= station <= x1:
            return WorkPoint(station, y0 + (y1 - y0) * (station - x0) / (x1 - x0), math.atan2(y1 - y0, x1 - x0))
    return None


def _beyond(truss: Truss, member: Member, station: float) -> WorkPoint | None:
    """A place of a straight chord between a heel's work point and the chord's end; None where the chord does not reach so far."""
    joints = [truss.joints[j] for j in member.joints]
    for joint, (x0, y0), (x1, y1) in ((member.joints[0], joints[0], joints[1]), (member.joints[-1], joints[-1], joints[-2])):
        along = (station - x0) / (x1 - x0)  # less than nothing outward
        if arc_of(truss, member) is None and -end_beyond(truss, member.name, joint) - 1e-6 <= along * math.dist((x0, y0), (x1, y1)) <= 0.0:
            (xa, ya), (xb, yb) = sorted(((x0, y0), (x1, y1)))
            return WorkPoint(station, y0 + along * (y1 - y0), math.atan2(yb - ya, xb - xa))
    return None


def work_point(truss: Truss, member: str, station: float, joint: str = "") -> WorkPoint | None:
    """The work point of a detail: of a web its middle, of a web's end its ``joint``, of a chord its point at ``station``.

    None where the truss has no such place.
    """
    found = next((m for m in truss.members if m.name == member), None)
    if found is None:
        return None
    if joint and found.kind == "web":
        (x, y), (dx, dy) = into(truss, found, joint)
        return WorkPoint(x, y, math.atan2(dy, dx))
    return WorkPoint(*middle_of_web(truss, found)) if found.kind == "web" else point_at(truss, found, station)


def edge_side(angle: float, axis: str) -> float:
    """On which side of a member that runs at an angle (rad) its edge of a detail's ``axis`` is: 1 at the left of the way, -1 at the right.

    Of an upright member the upper edge is at the left of the way up.
    """
    c, s = math.cos(angle), math.sin(angle)
    upper = 1.0 if c > 1e-9 or (abs(c) <= 1e-9 and s > 0) else -1.0
    return upper if axis == ON_TOP else -upper


def measured_along(truss: Truss, member: Member, a: float, b: float) -> float:
    """What a tape laid along a chord's centre line measures between x = a and x = b of the truss."""
    low, high = min(a, b), max(a, b)
    if (arc := arc_of(truss, member)) is not None:
        return arc.radius * (math.acos((low - arc.centre_x) / arc.radius) - math.acos((high - arc.centre_x) / arc.radius))
    total = 0.0
    for (x0, y0), (x1, y1) in itertools.pairwise(truss.joints[j] for j in member.joints):
        share = max(0.0, min(high, x1) - max(low, x0)) / (x1 - x0)
        total += share * math.hypot(x1 - x0, y1 - y0)
    return total


def centre_line(truss: Truss, member: Member) -> list[tuple[float, float]]:
    """Points along a member's centre line, a curve as short straight pieces."""
    points = [truss.joints[j] for j in member.joints]
    if arc_of(truss, member) is None:
        return points
    stations = [a[0] + k / PIECES * (b[0] - a[0]) for a, b in itertools.pairwise(points) for k in range(PIECES)]
    return [(p.x, p.y) for x in (*stations, points[-1][0]) if (p := point_at(truss, member, x)) is not None]
