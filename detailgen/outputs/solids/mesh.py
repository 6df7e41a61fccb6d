"""Triangles and edges of a solid, as the screen shows it: flat faces exact, round ones in steps that the eye takes for round."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from detailgen.model.detail import Part
from detailgen.outputs.solids.hardware import Piece
from detailgen.outputs.solids.kernel import Shape, occ
from detailgen.outputs.solids.shapes import solid_of

Floats = NDArray[np.float32]
Indices = NDArray[np.uint32]

SAG = 0.02
"""How far a chord may lie from its arc (in)."""
TURN = 0.6
"""The kernel's bound on the angle between neighbouring chords (rad): it makes 24 chords of a hole, or few more."""


@dataclass(frozen=True)
class Mesh:
    """Corners with their normals (face by face, so that edges stay sharp), triangles, and pieces of edges between corners; inches."""

    points: Floats  # (n, 3)
    normals: Floats  # (n, 3)
    triangles: Indices  # (t, 3)
    edges: Indices  # (e, 2)


@dataclass
class Made:
    """Solids (in inches) and meshes of pieces, each made once for all models of a package: trusses of one type share most of them."""

    solids: dict[Part | Piece, Shape] = field(default_factory=dict)
    meshes: dict[Part | Piece, Mesh] = field(default_factory=dict)

    def solid(self, source: Part | Piece) -> Shape:
        """Raises OutputError where the record makes no valid solid."""
        if source not in self.solids:
            self.solids[source] = solid_of(source, 1.0)
        return self.solids[source]

    def mesh(self, source: Part | Piece) -> Mesh:
        if source not in self.meshes:
            self.meshes[source] = mesh_of(self.solid(source))
        return self.meshes[source]


def mesh_of(solid: Shape) -> Mesh:
    """The mesh of a solid made in inches."""
    occ("BRepMesh").BRepMesh_IncrementalMesh(solid, SAG, False, TURN)
    points: list[list[float]] = []
    triangles: list[list[int]] = []
    edges: list[list[int]] = []
    for face in _inside(solid, occ("TopAbs").TopAbs_ShapeEnum.TopAbs_FACE):
        _add_face(face, points, triangles, edges)
    corners, faces = np.array(points), np.array(triangles)
    a, b, c = (corners[faces[:, k]] for k in range(3))
    across = np.cross(b - a, c - a)
    normals = np.zeros_like(corners)
    for k in range(3):
        np.add.at(normals, faces[:, k], across)
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    return Mesh(_clean(corners), _clean(normals), faces.astype(np.uint32), np.array(edges, dtype=np.uint32))


def _clean(values: NDArray[np.float64]) -> Floats:
    """Single precision without the noise that could differ between machines, and without negative zeros."""
    return (np.round(values, 6) + 0.0).astype(np.float32)


def _inside(shape: Shape, kind: Shape) -> list[Shape]:
    """Faces or edges of a shape, in the kernel's order."""
    explorer = occ("TopExp").TopExp_Explorer(shape, kind)
    cast = occ("TopoDS").TopoDS.Face if kind == occ("TopAbs").TopAbs_ShapeEnum.TopAbs_FACE else occ("TopoDS").TopoDS.Edge
    found = []
    while explorer.More():
        found.append(cast(explorer.Current()))
        explorer.Next()
    return found


def _add_face(face: Shape, points: list[list[float]], triangles: list[list[int]], edges: list[list[int]]) -> None:
    """Add a face's corners and triangles, and the edges that run along it: of the two faces at an edge one does, so each is taken once."""
    tool, turned = occ("BRep").BRep_Tool, occ("TopAbs").TopAbs_Orientation
    location = occ("TopLoc").TopLoc_Location()
    mesh = tool.Triangulation_s(face, location)
    motion = location.Transformation()
    start = len(points) - 1  # the kernel counts from one
    moved = not location.IsIdentity()
    for k in range(1, mesh.NbNodes() + 1):
        p = mesh.Node(k).Transformed(motion) if moved else mesh.Node(k)
        points.append([p.X(), p.Y(), p.Z()])
    inward = face.Orientation() == turned.TopAbs_REVERSED
    for k in range(1, mesh.NbTriangles() + 1):
        a, b, c = mesh.Triangle(k).Get()
        triangles.append([start + a, start + c, start + b] if inward else [start + a, start + b, start + c])
    for edge in _inside(face, occ("TopAbs").TopAbs_ShapeEnum.TopAbs_EDGE):
        if edge.Orientation() == turned.TopAbs_FORWARD and not tool.IsClosed_s(edge, face):  # the seam of a cylinder is closed on its face
            way = tool.PolygonOnTriangulation_s(edge, mesh, location)
            edges += [[start + way.Node(k), start + way.Node(k + 1)] for k in range(1, way.NbNodes())]
