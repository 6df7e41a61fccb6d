"""The joint as a picture in lines: true to the view, hidden lines left out. Where something is hidden is known here by looking at it by hand, and by
casting rays through the triangles of the GLB as trimesh reads them."""

from __future__ import annotations

import io
import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
import trimesh
from splice_fixture import splice_detail
from test_solids_text import SPLICE_MARKS, package_of

from detailgen.core.units import MM
from detailgen.model.detail import Detail, Part, Placement, Vertex
from detailgen.outputs.solids import write_glb
from detailgen.outputs.solids.picture import NEAR, _hidden, _Prism, axes, picture


def block(key: str, x: float, y: float, z: float, size=(4.0, 2.0, 1.0)) -> Part:
    a, b, c = size
    outline = (Vertex(0, 0), Vertex(a, 0), Vertex(a, b), Vertex(0, b))
    return Part(key, "block", key, outline, (), (), c, Placement(x, y, z), "wood", "pine", 0.0, False, 0.02)


def joint(*parts: Part) -> Detail:
    return replace(splice_detail(), parts=parts, bolts=(), groups=())


def length(detail: Detail) -> float:
    return sum(math.dist(s.start, s.end) for s in picture(detail).strokes)


def edge_lengths(size=(4.0, 2.0, 1.0)) -> tuple[float, float, float]:
    right, up, _ = axes()
    return tuple(s * math.hypot(right[k], up[k]) for k, s in enumerate(size))


def test_a_block_shows_nine_of_its_twelve_edges():
    a, b, c = edge_lengths()
    assert length(joint(block("a", 0, 0, 0))) == pytest.approx(3 * (a + b + c), rel=1e-4)
    assert len(picture(joint(block("a", 0, 0, 0))).strokes) == 9


def test_a_block_behind_another_is_gone_and_one_beside_it_is_whole():
    front = block("front", 0, 0, 0, (40.0, 20.0, 1.0))
    assert length(joint(front, block("behind", 18, 9, -1.5))) == pytest.approx(length(joint(front)), rel=1e-6)
    beside = block("beside", 60, 0, 0)
    assert length(joint(front, beside)) == pytest.approx(length(joint(front)) + length(joint(beside)), rel=1e-6)
    before = block("before", 18, 9, 1.0)  # lies on the front face: all of it is seen, and it covers no edge
    assert length(joint(front, before)) == pytest.approx(length(joint(front)) + length(joint(before)), rel=1e-6)


def test_the_order_of_the_parts_changes_nothing():
    parts = splice_detail().parts
    one, other = picture(splice_detail()), picture(replace(splice_detail(), parts=parts[::-1]))
    assert sorted(map(str, one.strokes)) == sorted(map(str, other.strokes))


def meets_any(triangles: np.ndarray, start: np.ndarray, way: np.ndarray) -> bool:
    """Does a ray meet any of the triangles ahead of it? By its barycentric coordinates in the plane of each."""
    a, e, f = triangles[:, 0], triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0]
    normal = np.cross(e, f)
    slope = normal @ way
    with np.errstate(divide="ignore", invalid="ignore"):
        t = np.einsum("ij,ij->i", normal, a - start) / slope
        p = start + t[:, None] * way - a
        u = np.einsum("ij,ij->i", np.cross(p, f), normal) / (normal**2).sum(axis=1)
        v = np.einsum("ij,ij->i", np.cross(e, p), normal) / (normal**2).sum(axis=1)
    return bool(((t > 0) & (u >= 0) & (v >= 0) & (u + v <= 1) & (np.abs(slope) > 1e-12)).any())


def test_rays_agree_on_what_is_hidden(tmp_path):
    """From the middle of each stroke nothing stands in the way to the viewer; from points of edges that no stroke shows something does."""
    detail = splice_detail()
    data = write_glb(detail, package_of(detail, "US", SPLICE_MARKS), tmp_path / "a.glb")
    scene = trimesh.load(io.BytesIO(data), file_type="glb", merge_primitives=False)
    mesh = trimesh.util.concatenate(
        [g.copy().apply_transform(m).apply_scale(1000 * MM) for n in scene.graph.nodes_geometry for m, k in (scene.graph[n],)
         for g in (scene.geometry[k],) if isinstance(g, trimesh.Trimesh)]
    )  # fmt: skip
    right, up, back = axes()
    drawn = picture(detail)
    # Corners of the far ply: its upper right end stands out behind everything, its lower left near corner is behind the near ply.
    far = detail.part("ply-far")
    corners = [(v.x, v.y, z) for v in far.outline for z in (far.placement.z, far.placement.z + far.thickness)]
    ends = {tuple(np.round(p, 3)) for s in drawn.strokes for p in (s.start, s.end)}
    for corner in corners:
        at = np.array(corner)
        outward = at + 1e-3 * back
        blocked = meets_any(mesh.triangles, outward, back)
        shown = tuple(np.round((at @ right, at @ up), 3)) in ends
        assert shown != blocked, corner


def test_layers_and_anchors():
    drawn = picture(splice_detail())
    assert {s.layer for s in drawn.strokes} == {"existing", "new steel", "new wood", "new bolts"}
    assert set(drawn.anchors) == {p.key for p in splice_detail().parts} | {"B1"}
    x0, y0, x1, y1 = drawn.box
    assert all(x0 <= x <= x1 and y0 <= y <= y1 for x, y in drawn.anchors.values())


def test_a_plan_that_is_not_convex_hides_by_its_pieces_and_shows_no_seam():
    outline = (Vertex(0, 0), Vertex(4, 0), Vertex(1, 1), Vertex(0, 4))
    part = replace(block("a", 0, 0, 0), outline=outline)
    drawn = picture(joint(part))
    right, up, _ = axes()
    ends = {tuple(np.round(p, 4)) for s in drawn.strokes for p in (s.start, s.end)}
    top = {tuple(np.round((np.array([v.x, v.y, part.thickness]) @ right, np.array([v.x, v.y, part.thickness]) @ up), 4)) for v in outline}
    assert top <= ends  # the face toward the viewer is whole
    seams = [s for s in drawn.strokes if {tuple(np.round(s.start, 4)), tuple(np.round(s.end, 4))} <= top]
    assert len(seams) == 4  # its four edges, and no line between the pieces


def by_pairs(prism: _Prism, start: np.ndarray, end: np.ndarray, back: np.ndarray) -> tuple[float, float]:
    """From where to where a convex prism hides one edge, by trying every pair of a face toward the viewer and one away from him."""
    plan, first, last = np.array(prism.plan), 0.0, 1.0
    side = np.roll(plan, -1, axis=0) - plan
    faces = [(np.array([dy, -dx, 0.0]), dy * x - dx * y) for (dx, dy), (x, y) in zip(side, plan, strict=True)]
    faces += [(np.array([0.0, 0.0, 1.0]), prism.high), (np.array([0.0, 0.0, -1.0]), -prism.low)]
    bounds = [((n @ (end - start)) / (n @ back), (c - n @ start) / (n @ back), n @ back > 0) for n, c in faces]
    upper = [(a, c) for a, c, over in bounds if over]
    lower = [(a, c) for a, c, over in bounds if not over] + [(0.0, NEAR)]
    for (ua, uc), (la, lc) in itertools.product(upper, lower):
        p, q = ua - la, uc - lc  # p t <= q
        if abs(p) < 1e-12:
            first = first if q >= 0 else math.inf
        elif p > 0:
            last = min(last, q / p)
        else:
            first = max(first, q / p)
    return first, last


@pytest.mark.parametrize("sides", [3, 4, 7, 60, 180])
def test_what_a_prism_hides_of_an_edge_is_what_every_pair_of_its_faces_lets_through(sides: int) -> None:
    rng, (_, _, back) = np.random.default_rng(sides), axes()
    prism = _Prism("", tuple((6 * math.cos(0.1 + k * math.tau / sides), 2 * math.sin(0.1 + k * math.tau / sides)) for k in range(sides)), -1.0, 1.5)
    starts, ends = rng.uniform(-8, 8, (300, 3)) * (1, 0.6, 0.6), rng.uniform(-8, 8, (300, 3)) * (1, 0.6, 0.6)
    found, hidden = zip(*_hidden(prism, starts, ends, back), strict=True), 0
    for (first, last), start, end in zip(found, starts, ends, strict=True):
        low, high = by_pairs(prism, start, end, back)
        assert bool(last > first) is bool(high > low) or abs(high - low) < 1e-9
        if high - low > 1e-9:
            assert (first, last) == pytest.approx((low, high), abs=1e-9)
            hidden += 1
    assert 20 < hidden < 280
