"""Reach of the solid models: how much longer a joint with 200 bolts takes as STEP than the solid kernel's own writer needs for the same pieces,
instances, names and colours; how large it is; how long the models of a whole repaired truss take. Run by hand; prints medians.

Whole processes in turns, processor time. The bare writer (OCP: XCAF, STEPCAFControl) knows every coordinate beforehand, proves nothing, states no
validation properties and makes no byte the same twice. Both files are read back and counted; where they differ the benchmark stops.
"""

from __future__ import annotations

import math
import os
import pickle
import resource
import statistics
import subprocess
import sys
import tempfile
from dataclasses import replace
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests"), str(ROOT / "tests" / "outputs")]
ROUNDS = 7
COLUMNS, ROWS, PITCH, GAUGE = 50, 4, 4.5, 2.0
AIMS = {"ratio": 1.3, "joint MB": 0.9, "truss s": 5.0}


def joint() -> Any:
    """The hand-made splice with 200 bolts, each through its holes in all plies, blocks and plates."""
    import splice_fixture as f

    f.DEPTH, f.WIDTH, f.PER_ROW, f.SPACING, f.GAUGE = 12.0, 9.0, COLUMNS // 2, PITCH, GAUGE
    f.COLUMNS = [side * (f.GAP / 2 + f.END + k * PITCH) for side in (-1, 1) for k in range(COLUMNS // 2)]
    f.BOLTS = sorted((x, (r - (ROWS - 1) / 2) * GAUGE) for x in f.COLUMNS for r in range(ROWS))
    f.HALF = f.GAP / 2 + f.END + (COLUMNS // 2 - 1) * PITCH + f.PLATE_END
    return f.splice_detail()


def ours(path: Path, *, proof: bool = False) -> None:
    from test_solids_text import SPLICE_MARKS, package_of

    from detailgen.outputs.solids.assembly import assembly_of
    from detailgen.outputs.solids.step import write_step

    detail = joint()
    package = package_of(detail, "US", SPLICE_MARKS)
    if proof:
        from detailgen.outputs.solids.shapes import solid_of

        def prove(product: Any, done: set[int]) -> None:
            if product.source is not None and id(product) not in done:
                solid_of(product.source, 1.0)
            done.add(id(product))
            for child in product.children:
                prove(child.product, done)

        prove(assembly_of(detail, package), set())
    write_step(detail, package, path)


def whole_truss(folder: Path) -> float:
    """Seconds of processor time for STEP and GLB of a whole repaired truss, the kernel's start among them."""
    from detailgen import pipeline
    from detailgen.outputs.solids.models import assemblies
    from detailgen.packing import slug

    project = pipeline.read_project(ROOT / "detailgen" / "samples" / "printworks")
    package, _ = pipeline.decide(replace(project, trusses=project.trusses[:1]), (), {}, jobs=1, progress=lambda _: None)
    before = time_used(resource.RUSAGE_SELF)
    from detailgen.outputs.solids.glb import glb_bytes
    from detailgen.outputs.solids.mesh import Made
    from detailgen.outputs.solids.step import write_assembly

    name, root, title, status = list(assemblies(package))[-1]
    (folder / f"{name}.glb").write_bytes(glb_bytes(root, title, Made()))
    write_assembly(root, title, status, package, folder / f"{slug(name)}.step")
    return time_used(resource.RUSAGE_SELF) - before


def recipe() -> list[Any]:
    """Products as plain numbers: name, colour, what is pushed or turned, instances and where they stand."""
    from test_solids_text import SPLICE_MARKS, package_of

    from detailgen.outputs.solids.assembly import COLOURS, assembly_of

    detail = joint()
    numbers: dict[int, int] = {}
    products: list[Any] = []

    def add(product: Any) -> int:
        if id(product) not in numbers:
            children = [(i.name, add(i.product), (i.frame.x, i.frame.y, i.frame.z, i.frame.angle)) for i in product.children]
            made = product.source
            if hasattr(made, "outline"):
                source = ("part", [(v.x, v.y) for v in made.outline], [(h.x, h.y, h.diameter) for h in made.holes], made.thickness)
            else:
                source = None if made is None else (type(made).__name__, dict(vars(made)))
            numbers[id(product)] = len(products)
            products.append((product.name, COLOURS.get(product.colour), source, children))
        return numbers[id(product)]

    add(assembly_of(detail, package_of(detail, "US", SPLICE_MARKS)))
    return products


def bare(products: list[Any], path: Path) -> None:
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Fuse
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakePolygon, BRepBuilderAPI_MakeWire
    from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
    from OCP.gp import gp_Ax2, gp_Circ, gp_Dir, gp_Pnt, gp_Trsf, gp_Vec
    from OCP.Interface import Interface_Static
    from OCP.Message import Message, Message_Printer
    from OCP.Quantity import Quantity_Color, Quantity_TypeOfColor
    from OCP.STEPCAFControl import STEPCAFControl_Controller, STEPCAFControl_Writer
    from OCP.STEPControl import STEPControl_Controller, STEPControl_StepModelType
    from OCP.TCollection import TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name
    from OCP.TDocStd import TDocStd_Document
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopLoc import TopLoc_Location
    from OCP.XCAFDoc import XCAFDoc_ColorType, XCAFDoc_DocumentTool

    Message.DefaultMessenger_s().RemovePrinters(Message_Printer.get_type_descriptor_s())
    STEPControl_Controller.Init_s()
    STEPCAFControl_Controller.Init_s()
    Interface_Static.SetCVal_s("write.step.unit", "INCH")
    Interface_Static.SetIVal_s("write.step.schema", 5)
    Interface_Static.SetIVal_s("write.surfacecurve.mode", 0)

    def circle(x: float, y: float, radius: float, up: float) -> Any:
        ring = gp_Circ(gp_Ax2(gp_Pnt(x, y, 0), gp_Dir(0, 0, up)), radius)
        return BRepBuilderAPI_MakeWire(BRepBuilderAPI_MakeEdge(ring).Edge()).Wire()

    def polygon(points: list[tuple[float, float]]) -> Any:
        maker = BRepBuilderAPI_MakePolygon()
        for x, y in points:
            maker.Add(gp_Pnt(x, y, 0))
        maker.Close()
        return maker.Wire()

    def pushed(outer: Any, holes: list[Any], height: float) -> Any:
        face = BRepBuilderAPI_MakeFace(outer)
        for hole in holes:
            face.Add(hole)
        return BRepPrimAPI_MakePrism(face.Face(), gp_Vec(0, 0, height)).Shape()

    def hexagon(across: float) -> Any:
        radius = across / math.sqrt(3)
        return polygon([(radius * math.cos(k * math.pi / 3), radius * math.sin(k * math.pi / 3)) for k in range(6)])

    def shape_of(kind: str, *data: Any) -> Any:
        if kind == "part":
            outline, holes, thickness = data
            return pushed(polygon(outline), [circle(x, y, d / 2, -1) for x, y, d in holes], thickness)
        (size,) = data
        if kind == "HexBolt":
            shank = pushed(circle(0, 0, size["diameter"] / 2, 1), [], -size["length"])
            joined = BRepAlgoAPI_Fuse(pushed(hexagon(size["flats"]), [], size["height"]), shank).Shape()
            return TopExp_Explorer(joined, TopAbs_ShapeEnum.TopAbs_SOLID).Current()
        if kind == "HexNut":
            return pushed(hexagon(size["flats"]), [circle(0, 0, size["diameter"] / 2, -1)], size["height"])
        return pushed(circle(0, 0, size["diameter"] / 2, 1), [circle(0, 0, size["hole"] / 2, -1)], size["thickness"])

    document = TDocStd_Document(TCollection_ExtendedString("MDTV-XCAF"))
    XCAFDoc_DocumentTool.SetLengthUnit_s(document, 0.0254)
    shapes, paint = XCAFDoc_DocumentTool.ShapeTool_s(document.Main()), XCAFDoc_DocumentTool.ColorTool_s(document.Main())

    def named(label: Any, name: str) -> Any:
        TDataStd_Name.Set_s(label, TCollection_ExtendedString(name))
        return label

    labels: list[Any] = []
    for name, colour, source, children in products:
        if source is None:
            label = shapes.NewShape()
            for instance, number, (x, y, z, angle) in children:
                motion = gp_Trsf()
                motion.SetValues(math.cos(angle), -math.sin(angle), 0, x, math.sin(angle), math.cos(angle), 0, y, 0, 0, 1, z)
                named(shapes.AddComponent(label, labels[number], TopLoc_Location(motion)), instance)
        else:
            label = shapes.AddShape(shape_of(*source), False)
            paint.SetColor(label, Quantity_Color(*colour, Quantity_TypeOfColor.Quantity_TOC_sRGB), XCAFDoc_ColorType.XCAFDoc_ColorSurf)
        labels.append(named(label, name))
    shapes.UpdateAssemblies()
    writer = STEPCAFControl_Writer()
    writer.SetNameMode(True)
    writer.SetColorMode(True)
    writer.Transfer(document, STEPControl_StepModelType.STEPControl_AsIs)
    writer.Write(str(path))


def counted(path: Path) -> dict[str, int]:
    """What stands in a STEP file, as read back."""
    text = path.read_text(encoding="utf-8", errors="replace")
    kinds = ("MANIFOLD_SOLID_BREP", "ADVANCED_FACE", "CYLINDRICAL_SURFACE", "NEXT_ASSEMBLY_USAGE_OCCURRENCE", "PRODUCT", "STYLED_ITEM")
    return {k: text.count(f"{k}(") - (text.count(f"OVER_RIDING_{k}(") if k == "STYLED_ITEM" else 0) for k in kinds}


def time_used(who: int) -> float:
    used = resource.getrusage(who)
    return used.ru_utime + used.ru_stime


def timed(*words: str) -> float:
    """Processor time (s) of a whole process of this script."""
    before = time_used(resource.RUSAGE_CHILDREN)
    done = subprocess.run([sys.executable, __file__, *words], capture_output=True, check=False, env={**os.environ, "PYTHONPATH": str(ROOT)})
    if done.returncode:
        raise SystemExit(f"{words} ended with {done.returncode}: {done.stderr.decode()[-2000:]}")
    return time_used(resource.RUSAGE_CHILDREN) - before


def main() -> None:
    if len(sys.argv) > 1:
        job, path = sys.argv[1], Path(sys.argv[2])
        if job == "bare":
            bare(pickle.loads(Path(sys.argv[3]).read_bytes()), path)
        else:
            ours(path, proof=job == "proved")
        return
    with tempfile.TemporaryDirectory() as place:
        home = Path(place)
        known = home / "recipe.pickle"
        known.write_bytes(pickle.dumps(recipe()))
        jobs = {"bare": (str(home / "bare.step"), str(known)), "ours": (str(home / "ours.step"),), "proved": (str(home / "proved.step"),)}
        for job, words in jobs.items():
            timed(job, *words)
        here, there = counted(home / "ours.step"), counted(home / "bare.step")
        print("counts:", here)
        if here != there:
            raise SystemExit(f"not the same: the bare writer has {there}")
        rounds = [[timed(job, *words) for job, words in jobs.items()] for _ in range(ROUNDS)]
        least, mine, proved = (statistics.median(column) for column in zip(*rounds, strict=True))
        size = (home / "ours.step").stat().st_size / 1e6
        print(f"joint with {COLUMNS * ROWS} bolts, medians of {ROUNDS} whole processes in turns, processor s")
        print(f"bare writer          {least:6.2f}   {(home / 'bare.step').stat().st_size / 1e6:5.2f} MB")
        print(f"ours                 {mine:6.2f}   {size:5.2f} MB   ratio {mine / least:.2f} (at most {AIMS['ratio']}; {AIMS['joint MB']} MB)")
        print(f"ours, and solids     {proved:6.2f}              ratio {proved / least:.2f}: with the solids that the package makes for the GLB")
        truss = statistics.median(whole_truss(home) for _ in range(3))
        print(f"whole truss, STEP and GLB with the proof: {truss:.2f} processor s (at most {AIMS['truss s']})")


if __name__ == "__main__":
    main()
