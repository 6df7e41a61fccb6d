"""A solid proved from the text of its STEP file alone, with no kernel that would mend it while reading.

The rules are those of ISO 10303-42 (from memory): an edge is used by two faces, once each way; the edges of a loop follow one another; a face lies
left of its bounds, seen from outside; vertices lie on the curves, and curves on the surfaces.
"""

from __future__ import annotations

import math
from collections import defaultdict

import numpy as np
from test_solids_text import Enum, Ref, Step

STEPS = 2000


def _axes(step: Step, ref: Ref) -> np.ndarray:
    return step.frame(ref)


def _points(step: Step, edge: Ref) -> np.ndarray:
    """Points along an edge as it runs; a straight one has its ends only."""
    _, start, end, curve, same = step.get(edge)
    a, b = (np.array(step.get(step.get(v)[1])[1]) for v in (start, end))
    forward = same == Enum("T")
    kind = step.entities[curve.id][0].kind
    if kind == "LINE":
        _, point, vector = step.get(curve)
        way = np.array(step.get(step.get(vector)[1])[1]) * (1 if forward else -1)
        assert abs(np.linalg.norm(way) - 1) < 1e-9
        assert np.linalg.norm(b - a - way * np.linalg.norm(b - a)) < 1e-7, "a line runs from its first vertex to its second"
        assert np.linalg.norm(np.cross(np.array(step.get(point)[1]) - a, way)) < 1e-7, "a line passes its vertices"
        return np.array([a, b])
    assert kind == "CIRCLE"
    _, at, radius = step.get(curve)
    frame = _axes(step, at)
    local = [np.linalg.inv(frame) @ np.append(p, 1.0) for p in (a, b)]
    for p in local:
        assert abs(math.hypot(p[0], p[1]) - radius) < 1e-7
        assert abs(p[2]) < 1e-7, "a circle passes its vertices"
    first, last = (math.atan2(p[1], p[0]) for p in local)
    turn = (last - first) % math.tau if forward else -((first - last) % math.tau)
    if start == end:
        turn = math.tau if forward else -math.tau
    angles = first + turn * np.linspace(0, 1, STEPS)
    flat = np.stack([radius * np.cos(angles), radius * np.sin(angles), np.zeros(STEPS), np.ones(STEPS)])
    return (frame @ flat)[:3].T


def _signed(points: np.ndarray) -> float:
    """Area inside a closed line of the plane, positive where it runs counter-clockwise."""
    x, y = points.T
    return float((x * np.roll(y, -1) - y * np.roll(x, -1)).sum() / 2)


def proved(step: Step) -> tuple[float, float]:
    """Volume and area of the one solid of a file, in its unit. AssertionError where a rule is broken."""
    ((_, shell),) = step.all("MANIFOLD_SOLID_BREP").values()
    (faces,) = (v[1] for v in [step.get(shell)])
    used: dict[int, list[bool]] = defaultdict(list)
    volume = area = 0.0
    for face in faces:
        _, bounds, surface, same = step.get(face)
        sense = 1 if same == Enum("T") else -1
        kind = step.entities[surface.id][0].kind
        frame = _axes(step, step.get(surface)[1])
        inside = 0.0
        outer = 0
        for bound in bounds:
            assert step.get(bound)[2] == Enum("T")
            line: list[np.ndarray] = []
            for oriented in step.get(step.get(bound)[1])[1]:
                _, _, _, edge, way = step.get(oriented)
                used[edge.id].append(way == Enum("T"))
                run = _points(step, edge)
                line.append(run if way == Enum("T") else run[::-1])
            for one, after in zip(line, [*line[1:], line[0]], strict=True):
                assert np.linalg.norm(one[-1] - after[0]) < 1e-7, "the edges of a loop follow one another"
            local = (np.linalg.inv(frame) @ np.append(np.vstack(line), np.ones((sum(map(len, line)), 1)), axis=1).T)[:3].T
            if kind == "PLANE":
                assert np.abs(local[:, 2]).max() < 1e-7, "a bound lies on its surface"
                flat = local[:, :2]
            else:
                assert kind == "CYLINDRICAL_SURFACE"
                radius = step.get(surface)[2]
                assert np.abs(np.hypot(local[:, 0], local[:, 1]) - radius).max() < 1e-7, "a bound lies on its surface"
                flat = np.stack([np.unwrap(np.arctan2(local[:, 1], local[:, 0])) * radius, local[:, 2]], axis=1)
            signed = _signed(flat) * sense
            is_outer = step.entities[bound.id][0].kind == "FACE_OUTER_BOUND"
            outer += is_outer
            assert (signed > 0) == is_outer, "a face lies left of its bounds"
            inside += signed
        assert outer == 1
        area += inside
        if kind == "PLANE":
            normal = frame[:3, 2] * sense
            volume += normal[2] * frame[2, 3] * inside  # the divergence of (0, 0, z) is one
        else:
            assert abs(frame[2, 2]) == 1.0
    assert all(sorted(ways) == [False, True] for ways in used.values()), "an edge is used by two faces, once each way"
    assert len(used) == len(step.all("EDGE_CURVE"))
    return volume, area
