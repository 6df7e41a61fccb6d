"""The boundary that the STEP file writes, read and proved by the solid kernel: pieces with arcs either way, slots, holes, bolts.

The kernel is Open CASCADE, which has no part in the writing: it builds the solid from the text, proves it and integrates volume, area and centroid
over its faces; its reader also finds the validation properties where the recommended practice of the CAx Interoperability Forum puts them. As it
mends much while it reads, the text is proved by itself besides (``solid_text_proof``).
"""

from __future__ import annotations

import json
import math
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from solid_text_proof import proved
from solids_by_kernel import is_valid
from splice_fixture import splice_detail
from test_solids_detail import closed
from test_solids_shapes import hole, plate
from test_solids_text import PROJECTS, SPLICE_MARKS, Step, package_of

from detailgen.model.detail import Slot, Vertex
from detailgen.outputs.solids.assembly import STEEL, Frame, Instance, Product
from detailgen.outputs.solids.bodies import Measured, body_of
from detailgen.outputs.solids.hardware import HexBolt, HexNut, Washer
from detailgen.outputs.solids.kernel import quiet
from detailgen.outputs.solids.step import write_assembly

QUARTER = math.tan(math.pi / 8)
ODD = plate(
    (Vertex(0, 0), Vertex(10, 0, QUARTER), Vertex(12, 2), Vertex(12, 6, -0.2), Vertex(0.5, 6), Vertex(0, 5.5)),
    [hole(2, 2), hole(9, 4, 0.5625)], [Slot(5, 3, 2.0, 0.6875, 0.3), Slot(3, 4, 1.5, 0.75, -1.2)], 0.375,
)  # fmt: skip
RING = plate((Vertex(-30, 0, -0.3), Vertex(30, 0), Vertex(40, 0, 0.35), Vertex(-40, 0)), [hole(35, 3)], (), 2.5)  # an arched timber
SOURCES = {
    "odd plate": ODD, "arched timber": RING, "disc": plate((Vertex(-1, 0, 1.0), Vertex(1, 0, 1.0))), "bolt": HexBolt(0.75, 10.0, 1.125, 0.5),
    "nut": HexNut(0.75, 1.125, 41 / 64), "washer": Washer(0.8125, 2.0, 0.148),
}  # fmt: skip


def written(source, path: Path, units: str = "US") -> Path:
    """A file with one instance of a piece."""
    root = Product("all", children=[Instance("one", Product("piece", source, STEEL), Frame(3, 4, 5, 0.7))])
    write_assembly(root, "t", "s", package_of(splice_detail(), units, SPLICE_MARKS), path)
    return path


def read(path: Path) -> dict[str, tuple[object, Measured | None]]:
    """Solids by product, in mm and their own axes, with the properties that the file states (mm); None where there are none."""
    from OCP.collections import Sequence_TDF_Label
    from OCP.STEPCAFControl import STEPCAFControl_Reader
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name
    from OCP.TDocStd import TDocStd_Document
    from OCP.XCAFDoc import XCAFDoc_Area, XCAFDoc_Centroid, XCAFDoc_DocumentTool, XCAFDoc_ShapeTool, XCAFDoc_Volume

    quiet()
    document = TDocStd_Document(TCollection_ExtendedString("MDTV-XCAF"))
    reader = STEPCAFControl_Reader()
    reader.SetNameMode(True)
    reader.SetPropsMode(True)
    reader.ReadFile(str(path))
    assert reader.Transfer(document)
    labels = Sequence_TDF_Label()
    XCAFDoc_DocumentTool.ShapeTool_s(document.Main()).GetShapes(labels)
    out: dict[str, tuple[object, Measured | None]] = {}
    for k in range(1, labels.Length() + 1):
        label, name = labels.Value(k), TDataStd_Name()
        if XCAFDoc_ShapeTool.IsSimpleShape_s(label):
            assert label.FindAttribute(TDataStd_Name.GetID_s(), name)
            volume, area, centroid = XCAFDoc_Volume(), XCAFDoc_Area(), XCAFDoc_Centroid()
            stated = None
            if all(label.FindAttribute(a.GetID_s(), a) for a in (volume, area, centroid)):
                at = centroid.Get()
                stated = Measured(volume.Get(), area.Get(), (at.X(), at.Y(), at.Z()))
            out[name.Get().ToExtString()] = XCAFDoc_ShapeTool.GetShape_s(label), stated
    return out


def integrated(shape) -> Measured:
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    inside, faces = GProp_GProps(), GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, inside)
    BRepGProp.SurfaceProperties_s(shape, faces)
    at = inside.CentreOfMass()
    return Measured(inside.Mass(), faces.Mass(), (at.X(), at.Y(), at.Z()))


def same(a: Measured, b: Measured) -> bool:
    """As the recommended practice lets a receiver judge: well within a part in a million."""
    return (a.volume, a.area) == pytest.approx((b.volume, b.area), rel=1e-6) and a.centroid == pytest.approx(b.centroid, abs=1e-5)


@pytest.mark.parametrize("units", ["US", "SI"])
@pytest.mark.parametrize("name", SOURCES)
def test_the_kernel_reads_a_valid_closed_solid_that_measures_what_the_file_states(name: str, units: str, tmp_path: Path):
    from OCP.TopAbs import TopAbs_SOLID

    ((shape, stated),) = read(written(SOURCES[name], tmp_path / "a.step", units)).values()
    assert shape.ShapeType() == TopAbs_SOLID
    assert is_valid(shape)
    assert closed(shape)
    found = integrated(shape)
    assert found.volume > 0
    assert stated is not None
    assert same(found, stated)


GMSH = """
import gmsh, json, sys
gmsh.initialize(); gmsh.option.setNumber("General.Terminal", 0); gmsh.option.setString("Geometry.OCCTargetUnit", "MM")
occ, found = gmsh.model.occ, []
for path in sys.argv[1:]:
    gmsh.clear(); occ.importShapes(path); occ.synchronize()
    ((_, solid),) = gmsh.model.getEntities(3)
    faces = gmsh.model.getBoundary([(3, solid)], oriented=False)
    found.append([occ.getMass(3, solid), sum(occ.getMass(*f) for f in faces), occ.getCenterOfMass(3, solid)])
print("FOUND" + json.dumps(found))
"""


def test_a_second_build_of_the_kernel_measures_what_the_files_state(tmp_path: Path):
    """gmsh (GPL, in tests only) brings its own build of the kernel; in a process of its own, told to read into millimetres."""
    pytest.importorskip("gmsh", reason="the second reader is installed with the test extra")
    frame = Frame(3, 4, 5, 0.7)  # where the one instance of each file stands
    paths, stated = [], []
    for number, source in enumerate(SOURCES.values()):
        for units in ("US", "SI"):
            path = written(source, tmp_path / f"{number}-{units}.step", units)
            ((_, inch),) = read(path).values()
            assert inch is not None
            paths.append(path)
            stated.append(inch)
    run = subprocess.run([sys.executable, "-c", GMSH, *map(str, paths)], check=True, capture_output=True, text=True)
    rows = json.loads(next(line for line in run.stdout.splitlines() if line.startswith("FOUND"))[5:])
    assert len(rows) == 2 * len(SOURCES)
    for (volume, area, centre), wanted in zip(rows, stated, strict=True):
        assert (volume, area) == pytest.approx((wanted.volume, wanted.area), rel=1e-6)
        assert centre == pytest.approx([v * 25.4 for v in frame.place(*(v / 25.4 for v in wanted.centroid))], abs=1e-4)


def test_every_product_of_a_joint_states_what_it_measures(tmp_path: Path):
    from detailgen.outputs.solids import write_step

    for units in ("US", "SI"):
        write_step(splice_detail(), package_of(splice_detail(), units, SPLICE_MARKS), tmp_path / "a.step")
        found = read(tmp_path / "a.step")
        assert len(found) == 7
        for shape, stated in found.values():
            assert stated is not None
            assert same(integrated(shape), stated)


@pytest.mark.parametrize("units", ["US", "SI"])
@pytest.mark.parametrize("name", SOURCES)
def test_the_text_itself_is_a_closed_solid_with_faces_that_look_outward(name: str, units: str, tmp_path: Path):
    step = Step(written(SOURCES[name], tmp_path / "a.step", units).read_text(encoding="ascii"))
    measured = body_of(SOURCES[name], PROJECTS[units].units.length).measured()
    assert proved(step) == pytest.approx((measured.volume, measured.area), rel=1e-5)  # round edges are summed in short chords


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (r"(CYLINDRICAL_SURFACE.*\n#\d+=FACE_OUTER_BOUND.*\n#\d+=ADVANCED_FACE.*)\.F\.", r"\1.T."),  # a hole's wall looks into the material
        (r"(ORIENTED_EDGE.*)\.T\.", r"\1.F."), (r"(EDGE_CURVE.*)\.T\.", r"\1.F."), (r"(CIRCLE\('',#\d+,).*\)", r"\g<1>0.4)"),
        (r"CARTESIAN_POINT\('',\(12\.,2\.,0\.\)\)", "CARTESIAN_POINT('',(12.,2.1,0.))"), (r"FACE_BOUND", "FACE_OUTER_BOUND"),
    ],
)  # fmt: skip
def test_the_proof_of_the_text_can_fail(old: str, new: str, tmp_path: Path):
    text = written(ODD, tmp_path / "a.step").read_text(encoding="ascii")
    broken, count = re.subn(old, new, text, count=1)
    assert count == 1
    with pytest.raises(AssertionError):
        proved(Step(broken))


def test_a_file_whose_solid_was_changed_no_longer_measures_what_it_states(tmp_path: Path):
    path = written(ODD, tmp_path / "a.step")
    text = path.read_text()
    assert text.count(",0.375)") > 6
    path.write_text(text.replace(",0.375)", ",0.385)"))  # a hundredth of an inch thicker
    ((shape, stated),) = read(path).values()
    assert not same(integrated(shape), stated)


outlines = st.lists(st.tuples(st.floats(-0.25, 0.25), st.floats(6, 9)), min_size=3, max_size=8)


@settings(max_examples=25)
@given(outlines, st.floats(0.1, 4), st.floats(0, math.pi), st.booleans())
def test_any_outline_measures_what_shapely_says(sides, thickness, angle, straight):
    """Area and centroid of the plan by shapely, arcs in short chords; so volume and centroid, and the length of all sides for the area."""
    n = len(sides)
    corners = [(r * math.cos(math.tau * k / n), r * math.sin(math.tau * k / n)) for k, (_, r) in enumerate(sides)]
    bulges = [0.0 if straight else round(b, 3) for b, _ in sides]
    outline = tuple(Vertex(x, y, b) for (x, y), b in zip(corners, bulges, strict=True))
    part = plate(outline, [hole(0.5, -1.0)], [Slot(-0.5, 0.8, 1.5, 0.75, angle)], thickness)
    points: list[tuple[float, float]] = []
    for (x0, y0), (x1, y1), b in zip(corners, corners[1:] + corners[:1], bulges, strict=True):
        for t in np.linspace(0, 1, 1 if b == 0 else 400, endpoint=False):
            turn = 4 * math.atan(b)
            # a point of an arc as the chord turned and shortened (the angle between chord and line to it is half of what is left of the turn)
            way = complex(x1 - x0, y1 - y0) * (math.sin(turn * t / 2) / math.sin(turn / 2) * np.exp(-1j * turn * (1 - t) / 2) if b else t)
            points.append((x0 + way.real, y0 + way.imag))
    plan = shapely.Polygon(points)
    if not plan.is_valid or plan.exterior.distance(shapely.Point(0, 0)) < 2.4:
        return
    slot = shapely.LineString([(-0.5 - 0.375 * math.cos(angle), 0.8 - 0.375 * math.sin(angle)),
                               (-0.5 + 0.375 * math.cos(angle), 0.8 + 0.375 * math.sin(angle))]).buffer(0.375, 200)  # fmt: skip
    net = plan.difference(shapely.Point(0.5, -1.0).buffer(0.40625, 200)).difference(slot)
    found = body_of(part, 1.0).measured()
    assert found.volume == pytest.approx(net.area * thickness, rel=1e-4)
    assert found.area == pytest.approx(2 * net.area + net.length * thickness, rel=1e-4)
    assert found.centroid == pytest.approx((net.centroid.x, net.centroid.y, thickness / 2), abs=1e-3)


def test_millimetres_are_the_inches_times_their_size():
    inch, mm = body_of(ODD, 1.0).measured(), body_of(ODD, PROJECTS["SI"].units.length).measured()
    assert mm.volume == pytest.approx(inch.volume * 25.4**3)
    assert mm.area == pytest.approx(inch.area * 25.4**2)
    assert mm.centroid == pytest.approx([25.4 * v for v in inch.centroid])
    thicker = body_of(replace(ODD, thickness=2 * ODD.thickness), 1.0).measured()
    assert thicker.volume == pytest.approx(2 * inch.volume)
