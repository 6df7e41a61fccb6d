"""The solids of a detail against its record: closed, of the right volume, holes where they belong, nothing inside anything else; and read back."""

from __future__ import annotations

import itertools
import json
import math
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from solids_by_kernel import solids_of
from splice_fixture import splice_detail
from test_solids_text import DETAILS, SPLICE_MARKS, package_of

from detailgen.core.units import MM
from detailgen.model.detail import Detail, Part
from detailgen.outputs.solids import write_step

HERE = Path(__file__).parent


def faces(shape):
    from OCP.TopAbs import TopAbs_FACE
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopoDS import TopoDS

    explorer = TopExp_Explorer(shape, TopAbs_FACE)
    while explorer.More():
        yield TopoDS.Face(explorer.Current())
        explorer.Next()


def cylinders(shape) -> list[tuple[float, float, float]]:
    """(x, y, diameter) of every full cylinder along z."""
    from OCP.BRepAdaptor import BRepAdaptor_Surface
    from OCP.GeomAbs import GeomAbs_Cylinder

    out = []
    for face in faces(shape):
        surface = BRepAdaptor_Surface(face)
        if surface.GetType() != GeomAbs_Cylinder or abs(surface.LastUParameter() - surface.FirstUParameter() - 2 * math.pi) > 1e-9:
            continue
        cylinder = surface.Cylinder()
        axis = cylinder.Axis()
        assert abs(abs(axis.Direction().Z()) - 1) < 1e-12
        out.append((axis.Location().X(), axis.Location().Y(), 2 * cylinder.Radius()))
    return sorted(out)


def closed(shape) -> bool:
    """Every edge is used by two faces (or twice by one: a seam)."""
    from OCP.TopAbs import TopAbs_EDGE
    from OCP.TopExp import TopExp_Explorer

    edges = []
    for face in faces(shape):
        explorer = TopExp_Explorer(face, TopAbs_EDGE)
        while explorer.More():
            edges.append(explorer.Current())
            explorer.Next()
    return all(sum(e.IsSame(o) for o in edges) == 2 for e in edges)


def common_volume(a, b, fuzzy: float = 0.0) -> float:
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
    from OCP.BRepGProp import BRepGProp
    from OCP.collections import List_TopoDS_Shape
    from OCP.GProp import GProp_GProps

    sides = List_TopoDS_Shape(), List_TopoDS_Shape()
    common = BRepAlgoAPI_Common()
    for side, shape, give in zip(sides, (a, b), (common.SetArguments, common.SetTools), strict=True):
        side.Append(shape)
        give(side)
    common.SetFuzzyValue(fuzzy)
    common.Build()
    assert common.IsDone()
    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(common.Shape(), properties)
    return properties.Mass()


def distance(a, b) -> float:
    from OCP.BRepExtrema import BRepExtrema_DistShapeShape

    return BRepExtrema_DistShapeShape(a, b).Value()


def read_back(path: Path) -> dict[tuple[str, ...], object]:
    """Placed solids by their way through the assembly, in mm, as the kernel's own reader sees them."""
    from OCP.collections import Sequence_TDF_Label
    from OCP.STEPCAFControl import STEPCAFControl_Reader
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name
    from OCP.TDF import TDF_Label
    from OCP.TDocStd import TDocStd_Document
    from OCP.TopLoc import TopLoc_Location
    from OCP.XCAFDoc import XCAFDoc_DocumentTool, XCAFDoc_ShapeTool

    document = TDocStd_Document(TCollection_ExtendedString("MDTV-XCAF"))
    reader = STEPCAFControl_Reader()
    reader.SetNameMode(True)
    reader.ReadFile(str(path))
    assert reader.Transfer(document)
    tool = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())

    def name(label) -> str:
        attribute = TDataStd_Name()
        assert label.FindAttribute(TDataStd_Name.GetID_s(), attribute)
        return attribute.Get().ToExtString()

    out: dict[tuple[str, ...], object] = {}

    def walk(label, way, location) -> None:
        children = Sequence_TDF_Label()
        XCAFDoc_ShapeTool.GetComponents_s(label, children)
        for k in range(1, children.Length() + 1):
            child, referred = children.Value(k), TDF_Label()
            XCAFDoc_ShapeTool.GetReferredShape_s(child, referred)
            walk(referred, (*way, name(child)), location.Multiplied(XCAFDoc_ShapeTool.GetLocation_s(child)))
        if children.Length() == 0:
            out[way] = XCAFDoc_ShapeTool.GetShape_s(label).Moved(location)

    free = Sequence_TDF_Label()
    tool.GetFreeShapes(free)
    assert free.Length() == 1
    walk(free.Value(1), (), TopLoc_Location())
    return out


def box_mm(shape) -> tuple[float, ...]:
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib

    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(shape, box, False, False)
    low, high = box.CornerMin(), box.CornerMax()
    return (low.X(), low.Y(), low.Z(), high.X(), high.Y(), high.Z())


def holes_in_detail(part: Part) -> list[tuple[float, float, float]]:
    """Holes of a part in the detail's axes, by its placement and nothing else."""
    c, s = math.cos(part.placement.angle), math.sin(part.placement.angle)
    return sorted((part.placement.x + c * h.x - s * h.y, part.placement.y + s * h.x + c * h.y, h.diameter) for h in part.holes)


def near(found, wanted) -> bool:
    found, wanted = sorted(found), sorted(wanted)
    left = list(found)
    for w in wanted:
        hit = next((f for f in left if math.dist(f, w) < 1e-7), None)
        if hit is None:
            return False
        left.remove(hit)
    return not left


@pytest.fixture(scope="module", params=["US", "SI"])
def units(request):
    return request.param


@pytest.fixture(scope="module")
def detail(units) -> Detail:
    return DETAILS[units]()


@pytest.fixture(scope="module")
def solids(detail, units):
    return solids_of(detail, package_of(detail, units, SPLICE_MARKS))


def test_each_part_and_bolt_is_there_once(detail, solids):
    assert sorted(s.part for s in solids if s.part) == sorted(p.key for p in detail.parts)
    assert len({s.name for s in solids}) == len(solids) == 7 + 12 * 4
    assert {s.kind for s in solids} == {"plate", "filler", "ply", "bolt", "nut", "washer"}


def test_solids_are_closed_valid_and_of_the_volume_of_their_record(detail, solids):
    from OCP.BRepCheck import BRepCheck_Analyzer
    from OCP.TopAbs import TopAbs_SOLID

    for s in solids:
        assert s.shape.ShapeType() == TopAbs_SOLID
        assert BRepCheck_Analyzer(s.shape).IsValid()
        if s.part:
            part = detail.part(s.part)
            assert s.volume == pytest.approx(part.area * part.thickness, rel=1e-6)
    for s in {s.product: s for s in solids}.values():
        assert closed(s.shape), s.product


def test_cylinders_are_the_holes_where_the_record_has_them(detail, solids):
    for s in solids:
        if s.part:
            part = detail.part(s.part)
            assert len(cylinders(s.shape)) == len(part.holes)
            assert near(cylinders(s.shape), holes_in_detail(part))


def test_axes_x_along_y_up_viewed_face_toward_z(solids):
    box = {s.part: (*s.low, *s.high) for s in solids if s.part}
    assert box["plate-near"] == pytest.approx((-20.25, -3.5, 4.25, 20.25, 3.5, 4.5), abs=1e-9)
    assert box["filler-left"] == pytest.approx((-20.25, -3.5, -1.75, -7.5, 3.5, 1.5), abs=1e-9)
    heads = [s for s in solids if s.kind == "bolt"]
    assert all(s.high[2] > 4.5 and s.low[2] < -4.25 for s in heads)  # head on the viewer's side


def test_nothing_stands_in_anything_else(solids):
    """Common volume of every pair whose boxes meet; faces may touch."""
    pairs = 0
    for a, b in itertools.combinations(solids, 2):
        if all(a.low[k] < b.high[k] - 1e-7 and b.low[k] < a.high[k] - 1e-7 for k in range(3)):
            pairs += 1
            assert common_volume(a.shape, b.shape) < 1e-9, (a.name, b.name)
    assert pairs > 60  # bolts in their holes, washers and nuts on their bolts


def test_the_overlap_test_can_fail(detail, units):
    moved = replace(detail, bolts=(replace(detail.bolts[0], x=detail.bolts[0].x - 0.1), *detail.bolts[1:]))
    solids = solids_of(moved, package_of(moved, units, SPLICE_MARKS))
    bolt = next(s for s in solids if s.name[1:] == ("B1.1 bolt", "bolt"))
    plate = next(s for s in solids if s.part == "plate-near")
    assert common_volume(bolt.shape, plate.shape) > 1e-3


def test_bolts_pass_the_holes_with_clearance(detail, solids):
    clearance = min(h.diameter for p in detail.parts for h in p.holes) / 2 - detail.bolts[0].diameter / 2
    assert clearance > 0.03
    first = next(s for s in solids if s.name[1:] == ("B1.1 bolt", "bolt"))
    for s in solids:
        if s.kind == "ply" and s.part != "ply-near-right":
            assert distance(first.shape, s.shape) == pytest.approx(clearance, abs=1e-7)


def test_read_back_by_the_kernel(detail, units, solids, tmp_path):
    write_step(detail, package_of(detail, units, SPLICE_MARKS), tmp_path / "a.step")
    found = read_back(tmp_path / "a.step")
    assert set(found) == {s.name for s in solids}
    for s in solids:
        expected = [v / MM for v in (*s.low, *s.high)]
        assert box_mm(found[s.name]) == pytest.approx(expected, abs=1e-6)
        assert closed(found[s.name]) if s.part else True


def test_read_back_by_a_second_program(detail, units, solids, tmp_path):
    """gmsh (GPL, in tests only) in a process of its own: solids, volumes, boxes; it is told to read into millimetres."""
    pytest.importorskip("gmsh", reason="the second reader is installed with the test extra")
    write_step(detail, package_of(detail, units, SPLICE_MARKS), tmp_path / "a.step")
    script = """
import gmsh, json, sys
gmsh.initialize(); gmsh.option.setNumber("General.Terminal", 0); gmsh.option.setString("Geometry.OCCTargetUnit", "MM")
gmsh.model.occ.importShapes(sys.argv[1]); gmsh.model.occ.synchronize()
occ = gmsh.model.occ
print("ROWS" + json.dumps([[gmsh.model.getEntityName(*e), occ.getMass(*e), occ.getBoundingBox(*e)] for e in gmsh.model.getEntities(3)]))
"""
    run = subprocess.run([sys.executable, "-c", script, str(tmp_path / "a.step")], check=True, capture_output=True, text=True)
    rows = json.loads(next(line for line in run.stdout.splitlines() if line.startswith("ROWS"))[4:])
    assert len(rows) == len(solids)
    for s in solids:
        start, end = f"Shapes/{detail.key}/{s.name[0]}/{s.name[0]}/{s.name[1]}/", f"/{s.name[-1]}/{s.product}"
        [(_, volume, box)] = [r for r in rows if r[0].startswith(start) and r[0].endswith(end)]
        assert volume == pytest.approx(s.volume / MM**3, rel=1e-6)
        assert box == pytest.approx([v / MM for v in (*s.low, *s.high)], abs=1e-3)


def test_names_with_other_letters_are_read_back(tmp_path):
    name = 'plate of Harrow\'s "press" hall ½ \\ Träger'
    detail = splice_detail()
    detail = replace(detail, parts=tuple(replace(p, name=name) if p.key == "plate-near" else p for p in detail.parts))
    write_step(detail, package_of(detail, "US", SPLICE_MARKS), tmp_path / "a.step")
    assert ("new", f"PL-1.1 {name}") in read_back(tmp_path / "a.step")


def test_the_solids_are_silent_and_leave_the_kernel_until_needed(tmp_path):
    environment = {**os.environ, "PYTHONPATH": str(HERE.parents[1])}
    script = "import sys, detailgen.outputs.solids; print([m for m in sys.modules if m.split('.')[0] == 'OCP'])"
    out = subprocess.run([sys.executable, "-c", script], check=True, capture_output=True, text=True, env=environment)
    assert out.stdout == "[]\n"


def test_nothing_is_printed(tmp_path, capfd):
    detail = splice_detail()
    write_step(detail, package_of(detail, "US", SPLICE_MARKS), tmp_path / "a.step")
    assert capfd.readouterr() == ("", "")
