"""The truss as it stands, seen from the side: outlines of its members at their measured depth."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace

from detailgen.model.member import Member
from detailgen.model.project import Truss
from detailgen.outputs.drawings.plane import box_of, counter_clockwise, meet_circle, meet_lines, outside
from detailgen.outputs.drawings.ratings import Pair, Ratings, panels
from detailgen.outputs.drawings.shapes import Arc, Line, Point, Shape

STEEP = math.radians(5)
"""A top chord flatter than this at its end does not come down on the bottom chord."""


@dataclass(frozen=True)
class Axis:
    """The centre line of a member between two joints: straight, or an arc of the top chord (arcs run from right to left)."""

    pair: Pair
    line: Line | Arc
    depth: float
    kind: str

    def at(self, t: float) -> tuple[Point, float]:
        """The point at the share t from the first joint, and the direction there."""
        if isinstance(self.line, Arc):
            angle = self.line.end + t * (self.line.start - self.line.end)
            return self.line.at(angle), angle - math.pi / 2
        (x0, y0), (x1, y1) = self.line.start, self.line.end
        return (x0 + t * (x1 - x0), y0 + t * (y1 - y0)), math.atan2(y1 - y0, x1 - x0)

    @property
    def length(self) -> float:
        if isinstance(self.line, Arc):
            return self.line.radius * (self.line.end - self.line.start)
        return math.dist(self.line.start, self.line.end)


@dataclass(frozen=True)
class Elevation:
    """Axes by pair, outlines by pair, and the box around everything (x0, y0, x1, y1, in)."""

    axes: dict[Pair, Axis]
    outlines: dict[Pair, tuple[Shape, ...]]
    box: tuple[float, float, float, float]


def depth_of(member: Member) -> float:
    """The greatest measured depth of a member's plies (in)."""
    return max(ply.depth for ply in member.plies)


def _axis(truss: Truss, member: Member, pair: Pair) -> Axis:
    a, b = (truss.joints[j] for j in pair)
    line: Line | Arc = Line("existing", a, b)
    if member.kind == "top chord" and truss.curved and truss.arc is not None:
        centre = (truss.arc.centre_x, truss.arc.centre_y)
        start, end = (math.atan2(p[1] - centre[1], p[0] - centre[0]) for p in (b, a))
        line = Arc("existing", centre, truss.arc.radius, start, end)
    return Axis(pair, line, depth_of(member), member.kind)


def _straight_edges(axes: list[Axis], side: float) -> list[Line | Arc]:
    """Edges of a run of straight pieces at ``side`` times half the depth, mitred where they bend."""
    points = [axes[0].at(0.0)[0], *(a.at(1.0)[0] for a in axes)]
    angles = [a.at(0.0)[1] for a in axes]
    off = side * axes[0].depth / 2
    corners = []
    for k, (x, y) in enumerate(points):
        before, after = angles[max(k - 1, 0)], angles[min(k, len(angles) - 1)]
        middle = (before + after) / 2
        reach = off / math.cos((after - before) / 2)
        corners.append((x - reach * math.sin(middle), y + reach * math.cos(middle)))
    return [Line("existing", p, q) for p, q in itertools.pairwise(corners)]


def _edges(axes: list[Axis], side: float) -> list[Line | Arc]:
    if isinstance(axes[0].line, Arc):
        return [replace(a.line, radius=a.line.radius + side * a.depth / 2) for a in axes if isinstance(a.line, Arc)]
    return _straight_edges(axes, side)


def _down_to(edge: Line | Arc, level: float, left: bool) -> Line | Arc:
    """Lengthen or shorten the outer end of a top chord's edge to a level."""
    if isinstance(edge, Arc):
        sine = (level - edge.centre[1]) / edge.radius
        if abs(sine) >= 1:
            return edge
        angle = math.asin(sine)
        return replace(edge, end=math.pi - angle) if left else replace(edge, start=angle)
    (x0, y0), (x1, y1) = edge.start, edge.end
    if abs(math.atan2(y1 - y0, x1 - x0)) < STEEP:
        return edge
    x = x0 + (level - y0) * (x1 - x0) / (y1 - y0)
    return replace(edge, start=(x, level)) if left else replace(edge, end=(x, level))


def _outer_end(edge: Line | Arc, left: bool) -> Point:
    if isinstance(edge, Arc):
        return edge.at(edge.end if left else edge.start)
    return edge.start if left else edge.end


def _beyond(truss: Truss, chord: Member, joint: str) -> float:
    """How far the survey says that a chord runs past a joint (in)."""
    return max((c.end for c in truss.connections if c.member == chord.name and c.joint == joint), default=0.0)


def _trim(p: Point, d: Point, faces: list[Line | Arc], near: float, length: float) -> float:
    """Where the edge p + t d of a web (t in inches) meets a chord's face, nearest to ``near``; ``near`` itself if it misses."""
    found: list[float] = []
    for face in faces:
        if isinstance(face, Arc):
            for t in meet_circle(p, d, face.centre, face.radius):
                angle = math.atan2(p[1] + t * d[1] - face.centre[1], p[0] + t * d[0] - face.centre[0])
                if (angle - face.start + 1e-9) % (2 * math.pi) <= face.end - face.start + 2e-9:
                    found.append(t)
        elif (meet := meet_lines(p, d, face.start, face.end)) is not None and -1e-9 <= meet[1] <= 1 + 1e-9:
            found.append(meet[0])
    inner = [t for t in found if -0.25 * length <= t <= 1.25 * length]
    return min(inner, key=lambda t: abs(t - near), default=near)


def _web(axis: Axis, faces: tuple[list[Line | Arc], list[Line | Arc]]) -> tuple[Line, Line]:
    """The two edges of a web between the faces of the chords at its ends."""
    (x, y), angle = axis.at(0.0)
    d = (math.cos(angle), math.sin(angle))
    edges = []
    for side in (1.0, -1.0):
        p = (x - side * axis.depth / 2 * d[1], y + side * axis.depth / 2 * d[0])
        t0, t1 = _trim(p, d, faces[0], 0.0, axis.length), _trim(p, d, faces[1], axis.length, axis.length)
        edges.append(Line("existing", (p[0] + t0 * d[0], p[1] + t0 * d[1]), (p[0] + t1 * d[0], p[1] + t1 * d[1])))
    return edges[0], edges[1]


def draw_elevation(truss: Truss, ratings: Ratings) -> Elevation:
    """Outlines of all members on the layers that their ratios ask for."""
    axes = {pair: _axis(truss, m, pair) for m in truss.members for pair in panels(m)}
    chord_members = {kind: next(m for m in truss.members if m.kind == kind) for kind in ("bottom chord", "top chord")}
    bottom, top = ([axes[p] for p in panels(chord_members[kind])] for kind in ("bottom chord", "top chord"))
    bottom_edges, top_edges = ({side: _edges(run, side) for side in (1.0, -1.0)} for run in (bottom, top))
    ends: list[float] = []
    for left in (True, False):
        k = 0 if left else -1
        joint = truss.bottom[k]
        reach = _beyond(truss, chord_members["bottom chord"], joint)
        if joint == truss.top[k]:
            for side in (1.0, -1.0):
                top_edges[side][k] = _down_to(top_edges[side][k], truss.joints[joint][1], left)
            reach = max(reach, abs(_outer_end(top_edges[1.0][k], left)[0] - truss.joints[joint][0]))
        ends.append(reach)
        for side in (1.0, -1.0):
            bottom_edges[side][k] = _lengthened(bottom_edges[side][k], reach, left)
    shapes: dict[Pair, list[Shape]] = {}
    for k, axis in enumerate(bottom):
        shapes[axis.pair] = [bottom_edges[1.0][k], bottom_edges[-1.0][k]]
    for pair, k, left in ((bottom[0].pair, 0, True), (bottom[-1].pair, -1, False)):
        shapes[pair].append(Line("existing", _outer_end(bottom_edges[1.0][k], left), _outer_end(bottom_edges[-1.0][k], left)))
    body = [_quad(bottom_edges[1.0][k], bottom_edges[-1.0][k]) for k in range(len(bottom))]
    for k, axis in enumerate(top):
        pieces: list[Shape] = [top_edges[1.0][k], top_edges[-1.0][k]]
        for quad in body:
            pieces = outside(pieces, quad)
        shapes[axis.pair] = pieces
    _add_webs(truss, axes, bottom_edges[1.0], top_edges[-1.0], shapes)
    layered = {
        pair: tuple(replace(s, layer="over") if ratings.member(pair).over else s for s in pieces if isinstance(s, Line | Arc))
        for pair, pieces in shapes.items()
    }
    points = [p for pieces in layered.values() for s in pieces for p in ((s.start, s.end) if isinstance(s, Line) else (s.at(s.start), s.at(s.end)))]
    crown = [a.at(0.5)[0][1] + a.depth / 2 for a in top]
    x0, y0, x1, y1 = box_of(points)
    return Elevation(axes, {k: tuple(v) for k, v in layered.items()}, (x0, y0, x1, max(y1, *crown)))


def _lengthened(edge: Line | Arc, reach: float, left: bool) -> Line | Arc:
    if isinstance(edge, Arc) or reach == 0.0:
        return edge
    angle = math.atan2(edge.end[1] - edge.start[1], edge.end[0] - edge.start[0])
    dx, dy = reach * math.cos(angle), reach * math.sin(angle)
    if left:
        return replace(edge, start=(edge.start[0] - dx, edge.start[1] - dy))
    return replace(edge, end=(edge.end[0] + dx, edge.end[1] + dy))


def _quad(upper: Line | Arc, lower: Line | Arc) -> tuple[Point, ...]:
    ends = [(e.start, e.end) if isinstance(e, Line) else (e.at(e.start), e.at(e.end)) for e in (upper, lower)]
    return counter_clockwise((ends[0][0], ends[0][1], ends[1][1], ends[1][0]))


def _add_webs(
    truss: Truss, axes: dict[Pair, Axis], bottom_face: list[Line | Arc], top_face: list[Line | Arc], shapes: dict[Pair, list[Shape]]
) -> None:
    """Webs between the chords' inner faces; uprights lie in front, and what passes behind another web is not drawn."""
    faces = dict.fromkeys(truss.top, top_face) | dict.fromkeys(truss.bottom, bottom_face)
    webs = [axes[p] for m in truss.members if m.kind == "web" for p in panels(m)]
    webs.sort(key=lambda a: (round(abs(math.cos(a.at(0.0)[1])), 6), a.pair))
    front: list[tuple[Point, ...]] = []
    for axis in webs:
        upper, lower = _web(axis, (faces.get(axis.pair[0], []), faces.get(axis.pair[1], [])))
        pieces: list[Shape] = [upper, lower]
        for quad in front:
            pieces = outside(pieces, quad)
        shapes[axis.pair] = pieces
        front.append(_quad(upper, lower))
