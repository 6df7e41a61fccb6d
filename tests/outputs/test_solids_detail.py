"""The solids of a detail against its record: closed, of the right volume, holes where they belong, nothing inside anything else; and read back."""

from __future__ import annotations

import itertools
import math
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from splice_fixture import BOLT, HOLE, splice_detail
from test_solids_text import DETAILS, SPLICE_MARKS, package_of

from detailgen.core.errors import OutputError
from detailgen.core.units import MM
from detailgen.model.detail import Bolt, Detail, Hole, Part, Placement, Slot, Vertex
from detailgen.outputs.solids import solids_of, write_step
from detailgen.outputs.solids.congruence import motion_between
from detailgen.outputs.solids.hardware import INCH_SIZES, METRIC_SIZES, size_for, stack_of

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
    """gmsh (GPL, in tests only) in a process of its own: solids, volumes, boxes; it reads into metres' unit as told, here millimetres."""
    pytest.importorskip("gmsh", reason="the second reader is installed with the test extra")
    write_step(detail, package_of(detail, units, SPLICE_MARKS), tmp_path / "a.step")
    script = """
import gmsh, json, sys
gmsh.initialize(); gmsh.option.setNumber("General.Terminal", 0); gmsh.option.setString("Geometry.OCCTargetUnit", "MM")
gmsh.model.occ.importShapes(sys.argv[1]); gmsh.model.occ.synchronize()
rows = []
for dim, tag in gmsh.model.getEntities(3):
    rows.append([gmsh.model.getEntityName(dim, tag), gmsh.model.occ.getMass(dim, tag), *gmsh.model.occ.getCenterOfMass(dim, tag)])
print("ROWS" + json.dumps(rows))
"""
    run = subprocess.run([sys.executable, "-c", script, str(tmp_path / "a.step")], check=True, capture_output=True, text=True)
    import json

    rows = json.loads(next(line for line in run.stdout.splitlines() if line.startswith("ROWS"))[4:])
    assert len(rows) == len(solids)
    mine = sorted((round(s.volume / MM**3, 3)) for s in solids)
    assert sorted(r[1] for r in rows) == pytest.approx(mine, rel=1e-6)
    for part in detail.parts:
        hits = [r for r in rows if f"/{part.key} (E)/" in f"/{r[0]}/" or r[1] == pytest.approx(part.area * part.thickness / MM**3, rel=1e-6)]
        assert hits, part.key


def odd_detail(*, over: bool = False, turn: float = 0.0) -> Detail:
    """Two equal plates without symmetry: the second is the first seen from the other side, or drawn in axes turned round."""
    outline = (Vertex(0, 0), Vertex(10, 0, math.tan(math.pi / 8)), Vertex(12, 2), Vertex(12, 6), Vertex(0.5, 6), Vertex(0, 5.5))
    plate = Part("first", "plate", "clip", outline, (Hole(2, 2, HOLE, ""), Hole(9, 4.25, 0.5625, "")), (Slot(5, 3, 2.0, 0.6875, 0.3),), 0.375,
                 Placement(1, 2, 3, 0.25), "steel", "ASTM A36", math.nan, False, 0.28)  # fmt: skip
    c, s, f = math.cos(turn), math.sin(turn), -1 if over else 1

    def at(x: float, y: float) -> tuple[float, float]:
        return round(4 + c * x - s * f * y, 6), round(-1 + s * x + c * f * y, 6)

    corners = [(at(v.x, v.y), v.bulge) for v in outline]
    if over:  # walked the other way round, from another corner
        corners = [(corners[-k][0], corners[-k - 1][1]) for k in range(len(corners))]
        corners = corners[2:] + corners[:2]
    second = replace(
        plate, key="second", placement=Placement(-3, 1, 8, -0.7), outline=tuple(Vertex(*p, b) for p, b in corners),
        holes=tuple(Hole(*at(h.x, h.y), h.diameter, "") for h in reversed(plate.holes)),
        slots=tuple(Slot(*at(q.x, q.y), q.length, q.width, turn + f * q.angle) for q in plate.slots),
    )  # fmt: skip
    return replace(splice_detail(), parts=(plate, second), bolts=(), groups=())


@pytest.mark.parametrize(("over", "turn"), [(False, 0.0), (False, 1.1), (False, math.pi), (True, 0.0), (True, 2.5)])
def test_equal_parts_turned_round_or_over_share_one_solid(over, turn, tmp_path):
    detail = odd_detail(over=over, turn=turn)
    package = package_of(detail, "US", {"PL-2": ("first", "second")})
    solids = solids_of(detail, package)
    assert [s.product for s in solids] == ["PL-2", "PL-2"]
    for s, part in zip(solids, detail.parts, strict=True):
        assert s.volume == pytest.approx(part.area * part.thickness, rel=1e-6)
        found, wanted = cylinders(s.shape), holes_in_detail(part)
        assert len(found) == 2
        assert all(min(math.dist(f, w) for f in found) < 2e-6 for w in wanted)
        assert (s.low[2], s.high[2]) == pytest.approx((part.placement.z, part.placement.z + 0.375))
    # where its corners are: the second part made by itself fills the same space
    alone = solids_of(detail, package_of(detail, "US", {"PL-2": ("first",), "PL-3": ("second",)}))[1]
    assert alone.product == "PL-3"
    assert common_volume(solids[1].shape, alone.shape, fuzzy=1e-5) == pytest.approx(alone.volume, rel=1e-5)


def test_wood_is_not_turned_over():
    first, second = (replace(p, material="wood") for p in odd_detail(over=True).parts)
    assert motion_between(first, second) is None
    first, second = (replace(p, material="wood") for p in odd_detail(turn=1.1).parts)
    assert motion_between(first, second) is not None


@pytest.mark.parametrize("change", ["hole", "diameter", "slot", "corner", "bulge", "thickness", "specification", "one hole less"])
def test_a_mark_on_two_different_pieces_is_refused(change):
    detail = odd_detail(turn=1.1)
    first, second = detail.parts
    h, q, v = second.holes[0], second.slots[0], second.outline[1]
    second = {
        "hole": replace(second, holes=(replace(h, x=h.x + 0.0625), *second.holes[1:])),
        "diameter": replace(second, holes=(replace(h, diameter=h.diameter + 0.0625), *second.holes[1:])),
        "slot": replace(second, slots=(replace(q, angle=q.angle + 0.01),)),
        "corner": replace(second, outline=(*second.outline[:3], replace(second.outline[3], x=second.outline[3].x + 0.0625), *second.outline[4:])),
        "bulge": replace(second, outline=(second.outline[0], replace(v, bulge=0.3), *second.outline[2:])),
        "thickness": replace(second, thickness=0.5),
        "specification": replace(second, specification="ASTM A572"),
        "one hole less": replace(second, holes=second.holes[1:]),
    }[change]
    detail = replace(detail, parts=(first, second))
    with pytest.raises(OutputError, match="PL-2 stands for two different pieces: first and second"):
        solids_of(detail, package_of(detail, "US", {"PL-2": ("first", "second")}))


def test_existing_parts_of_one_name_but_two_shapes_are_two_products():
    detail = splice_detail()
    parts = tuple(replace(p, holes=p.holes[1:]) if p.key == "ply-near-right" else p for p in detail.parts)
    detail = replace(detail, parts=parts)
    products = {s.part: s.product for s in solids_of(detail, package_of(detail, "US", SPLICE_MARKS))}
    assert products["ply-near-left"] == "near ply (E)"
    assert products["ply-near-right"] == "near ply (E) 2"


def test_a_new_part_without_a_mark_is_refused():
    detail = splice_detail()
    with pytest.raises(OutputError, match="filler-right has no mark"):
        solids_of(detail, package_of(detail, "US", {"PL-1": SPLICE_MARKS["PL-1"]}))


def test_a_bolt_too_short_for_its_nut_is_refused_with_numbers():
    # grip 8.75 + two washers of 0.148 + nut of 41/64 = 9.687 in. (sizes from memory of ASME B18.21.1 and B18.2.2)
    detail = splice_detail()
    exact = 8.75 + 2 * 0.148 + 41 / 64
    stack_of(replace(detail.bolts[0], length=exact))
    short = replace(detail, bolts=tuple(replace(b, length=9.5) for b in detail.bolts))
    with pytest.raises(OutputError, match=r"9.5 in long, but grip, washers and nut take 9.687 in"):
        solids_of(short, package_of(short, "US", SPLICE_MARKS))


@pytest.mark.parametrize(("washers", "at_head", "at_nut"), [(0, 0, 0), (1, 0, 1), (2, 1, 1), (3, 1, 2)])
def test_the_nut_gets_the_odd_washer(washers, at_head, at_nut):
    pieces = stack_of(Bolt("B1", 0, 0, BOLT, 0, 8, 10, "ASTM A307", washers)).pieces
    names = [n for n, _, _ in pieces]
    assert (sum("at head" in n for n in names), sum("at nut" in n for n in names)) == (at_head, at_nut)
    at = {n: z for n, _, z in pieces}
    assert at["bolt"] == pytest.approx(0.148 * at_head)
    assert at["nut"] == pytest.approx(-8 - 0.148 * at_nut - 41 / 64)


def test_sizes_of_heads_nuts_and_washers():
    """Rules that the tables follow by themselves, so that a mistyped figure shows."""
    # ASME B18.2.1 hex bolts (from memory): flats are 1.5 D from 3/8 to 1 in., and heads about 0.67 D; ISO 272 for metric flats.
    for s in INCH_SIZES:
        assert s.head_flats == pytest.approx(1.5 * s.diameter, abs=1 / 16 + 1e-9)
    for s in (*INCH_SIZES, *METRIC_SIZES):
        assert 0.6 * s.diameter < s.head_height < 0.72 * s.diameter
        assert 0.8 * s.diameter < s.nut_height < 0.93 * s.diameter
        assert s.diameter < s.washer_hole < s.washer_diameter
        assert s.washer_diameter > s.nut_flats
        assert 0.06 < s.washer_thickness < 0.17
    for table in (INCH_SIZES, METRIC_SIZES):
        for name in ("head_flats", "head_height", "nut_height", "washer_hole", "washer_diameter", "washer_thickness"):
            column = [getattr(s, name) for s in table]
            assert column == sorted(column)
    assert size_for(19 * MM).diameter == 0.75
    assert size_for(20 * MM).diameter == pytest.approx(20 * MM)
    with pytest.raises(OutputError, match=r"1\.125 in; the next is 1 in"):
        size_for(1.125)


def test_the_solids_are_silent_and_leave_the_kernel_until_needed(tmp_path):
    environment = {**os.environ, "PYTHONPATH": str(HERE.parents[1])}
    script = "import sys, detailgen.outputs.solids; print([m for m in sys.modules if m.split('.')[0] == 'OCP'])"
    out = subprocess.run([sys.executable, "-c", script], check=True, capture_output=True, text=True, env=environment)
    assert out.stdout == "[]\n"


def test_nothing_is_printed(tmp_path, capfd):
    detail = splice_detail()
    write_step(detail, package_of(detail, "US", SPLICE_MARKS), tmp_path / "a.step")
    assert capfd.readouterr() == ("", "")
