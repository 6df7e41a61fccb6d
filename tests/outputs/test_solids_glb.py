"""The GLB of a detail, read back by another library: the same pieces in the same places as the STEP file, volumes as the mesh allows."""

from __future__ import annotations

import io
import json
import math
import struct
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import trimesh
from solids_by_kernel import solids_of
from splice_fixture import splice_detail
from test_solids_text import DETAILS, SPLICE_MARKS, package_of

from detailgen.core.units import MM
from detailgen.outputs.solids import write_glb

METRE = 1000 * MM


@pytest.fixture(scope="module")
def glb(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    return write_glb(splice_detail(), package_of(splice_detail(), "US", SPLICE_MARKS), tmp_path_factory.mktemp("glb") / "a.glb")


def placed(data: bytes) -> dict[str, trimesh.Trimesh]:
    """Solids in inches by their node's way, as trimesh reads the file."""
    scene = trimesh.load(io.BytesIO(data), file_type="glb", merge_primitives=False)
    assert isinstance(scene, trimesh.Scene)
    out = {}
    for node in scene.graph.nodes_geometry:
        matrix, key = scene.graph[node]
        shape = scene.geometry[key]
        if isinstance(shape, trimesh.Trimesh):
            out[node] = shape.copy().apply_transform(matrix).apply_scale(METRE)
    return out


def test_another_reader_finds_the_solids_of_the_step_file(glb):
    found = sorted((tuple(np.round(np.concatenate((*s.bounds,)), 2)), s.volume) for s in placed(glb).values())
    package = package_of(splice_detail(), "US", SPLICE_MARKS)
    wanted = sorted((tuple(np.round((*s.low, *s.high), 2)), s.volume) for s in solids_of(splice_detail(), package))
    assert len(found) == len(wanted) == 7 + len(splice_detail().bolts) * 4
    for (box, volume), (true_box, true_volume) in zip(found, wanted, strict=True):
        assert np.allclose(box, true_box, atol=0.03)  # a chord of a round edge lies up to 0.02 in. inside it
        assert volume == pytest.approx(true_volume, rel=0.03)


def test_turned_and_turned_over_parts_stand_where_the_record_says(tmp_path: Path):
    """A plate turned by a free angle, and one that is its mirror image, which lies on the first turned over."""
    detail = splice_detail()
    near = detail.part("plate-near")
    corner = replace(near.outline[0], x=near.outline[0].x + 0.5)
    odd = replace(near, outline=(corner, *near.outline[1:]), placement=replace(near.placement, angle=0.3))
    mirrored = tuple(replace(v, y=-v.y) for v in odd.outline[::-1])
    holes = tuple(replace(h, y=-h.y) for h in odd.holes)
    inner = replace(detail.part("plate-inner"), outline=mirrored, holes=holes, placement=replace(detail.part("plate-inner").placement, angle=-0.4))
    parts = tuple({"plate-near": odd, "plate-inner": inner}.get(p.key, p) for p in detail.parts)
    turned = replace(detail, parts=parts)
    package = package_of(turned, "US", SPLICE_MARKS)
    glb = placed(write_glb(turned, package, tmp_path / "a.glb"))
    found = sorted(tuple(np.round(np.concatenate((*s.bounds,)), 2)) for n, s in glb.items() if "PL-1" in n)
    wanted = sorted(tuple(np.round((*s.low, *s.high), 2)) for s in solids_of(turned, package) if s.product == "PL-1")
    assert len(found) == len(wanted) == 2
    assert np.allclose(found, wanted, atol=0.02)


def test_each_mesh_is_closed_and_looks_outward(glb):
    for shape in placed(glb).values():
        shape.merge_vertices(merge_norm=True, merge_tex=True)
        assert shape.is_watertight
        assert shape.is_winding_consistent
        assert shape.volume > 0


def content(data: bytes) -> dict:
    magic, version, length = struct.unpack("<4sII", data[:12])
    assert (magic, version, length) == (b"glTF", 2, len(data))
    size, kind = struct.unpack("<I4s", data[12:20])
    assert kind == b"JSON"
    assert size % 4 == 0
    return json.loads(data[20 : 20 + size])


def test_equal_parts_share_a_mesh_and_carry_their_names(glb):
    file = content(glb)
    leaves = [n for n in file["nodes"] if "mesh" in n]
    plates = [n for n in leaves if n["name"].startswith("PL-1.")]
    assert len({n["mesh"] for n in plates}) == 1
    assert {n["extras"]["part"] for n in plates} == {"plate-near", "plate-inner"}
    assert len(file["meshes"]) == len({m["name"] for m in file["meshes"]})
    assert len({n["mesh"] for n in leaves if n["name"] == "nut"}) == 1
    assert {m["name"] for m in file["materials"]} == {"steel", "new wood", "existing wood", "bolts"}
    root = file["nodes"][file["scenes"][0]["nodes"][0]]
    assert [file["nodes"][k]["name"] for k in root["children"]] == ["existing", "new"]


def test_normals_are_of_unit_length_and_edges_lie_on_corners(glb):
    file = content(glb)
    start = 28 + struct.unpack("<I", glb[12:16])[0]

    def values(k: int) -> np.ndarray:
        a = file["accessors"][k]
        view = file["bufferViews"][a["bufferView"]]
        kind = {5126: "<f4", 5123: "<u2", 5125: "<u4"}[a["componentType"]]
        return np.frombuffer(glb, kind, a["count"] * (3 if a["type"] == "VEC3" else 1), start + view["byteOffset"])

    for mesh in file["meshes"]:
        faces, lines = mesh["primitives"]
        normals = values(faces["attributes"]["NORMAL"]).reshape(-1, 3)
        assert np.allclose(np.linalg.norm(normals, axis=1), 1, atol=1e-5)
        assert lines["mode"] == 1
        assert values(lines["indices"]).max() < len(normals)


def test_same_detail_same_bytes_and_a_moved_hole_shows(tmp_path: Path, glb):
    package = package_of(splice_detail(), "US", SPLICE_MARKS)
    assert write_glb(splice_detail(), package, tmp_path / "b.glb") == glb == (tmp_path / "b.glb").read_bytes()
    detail = splice_detail()
    parts = tuple(replace(p, holes=(replace(p.holes[0], x=p.holes[0].x + 0.5), *p.holes[1:])) if p.key == "ply-far" else p for p in detail.parts)
    assert write_glb(replace(detail, parts=parts), package, tmp_path / "c.glb") != glb


def test_metric_bolts_keep_metres(tmp_path: Path):
    data = write_glb(DETAILS["SI"](), package_of(DETAILS["SI"](), "SI", SPLICE_MARKS), tmp_path / "a.glb")
    bolt = next(s for n, s in placed(data).items() if n.startswith("bolt"))
    assert max(bolt.extents) / MM == pytest.approx(254 + 0.5 * 25.4, abs=1.0)  # 254 mm and the 1/2 in. head
    assert math.isclose(content(data)["nodes"][0]["scale"][0], 0.0254)
