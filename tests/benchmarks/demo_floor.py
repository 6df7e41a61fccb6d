"""How much longer the demo takes than bare library calls that write as many entities, solids and pages. Run by hand; prints medians.

The floor is a fresh process that knows the answer: lines, texts, circles, hatches, dimensions and viewports with the coordinates of the
demo's own files (ezdxf), faces with inner wires pushed to solids, written with products and instances as STEP and GLB (OCP, XCAF), the sheets as
SVG strings on pages of their size and the report's words as plain text on as many pages (typst). It surveys, analyses, chooses, lays
out, tabulates and checks nothing, sets no formula and makes no byte the same twice. Tables (CSV, JSON, XLSX) and the review page, which are
a good part of the demo's bytes, are not in the floor either: they are neither sheet nor cut file, solid or page of a document.
Both outputs are read back and counted; where they differ the benchmark stops.
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
import time
from collections import Counter
from dataclasses import replace
from pathlib import Path
from typing import Any

ROUNDS = 5
TARGET = 1.5
ROOT = Path(__file__).resolve().parents[2]


# What the demo wrote, as constants. Not timed.


def plain(entity: Any) -> tuple[str, dict[str, Any], Any]:
    """An entity as its kind, what it is drawn with, and its points."""
    kind, look = entity.dxftype(), {"layer": entity.dxf.layer}
    d = entity.dxf
    if kind == "LINE":
        return kind, look, (tuple(d.start), tuple(d.end))
    if kind == "POINT":
        return kind, look, tuple(d.location)
    if kind == "CIRCLE":
        return kind, look, (tuple(d.center), d.radius)
    if kind == "ARC":
        return kind, look, (tuple(d.center), d.radius, d.start_angle, d.end_angle)
    if kind == "TEXT":
        return kind, look, (d.text, d.height, d.rotation, tuple(d.insert))
    if kind == "LWPOLYLINE":
        return kind, look, ([tuple(p) for p in entity.get_points()], entity.closed)
    if kind == "SOLID":
        return kind, look, [tuple(p) for p in entity.vertices()]
    if kind == "HATCH":
        return kind, look, ([[tuple(v) for v in path.vertices] for path in entity.paths], d.pattern_name)
    if kind == "DIMENSION":
        return kind, look, (tuple(d.defpoint), tuple(d.defpoint2), tuple(d.defpoint3), d.angle)
    if kind == "VIEWPORT":
        return kind, look, (tuple(d.center), (d.width, d.height), tuple(d.view_center_point)[:2], d.view_height)
    if kind == "INSERT":
        inside = [plain(e) for e in entity.doc.blocks.get(d.name)]
        return kind, look, (d.name, tuple(d.insert), inside, [(a.dxf.tag, a.dxf.text, tuple(a.dxf.insert), a.dxf.height) for a in entity.attribs])
    if kind == "ATTDEF":
        return kind, look, (d.tag, tuple(d.insert), d.height)
    raise ValueError(f"the floor knows no {kind}")


def drawing_of(path: Path) -> dict[str, Any]:
    import ezdxf

    drawing = ezdxf.readfile(path)
    layers = [(layer.dxf.name, layer.dxf.color, layer.dxf.lineweight) for layer in drawing.layers]
    sheets = {}
    for layout in drawing.layouts:
        entities = [plain(e) for e in layout if not (e.dxftype() == "VIEWPORT" and e.dxf.id == 1)]  # number 1 is the layout itself
        sheets[layout.name] = (entities, None if layout.is_modelspace else (layout.dxf.paper_width, layout.dxf.paper_height))
    return {"layers": layers, "layouts": sheets}


def models() -> list[dict[str, Any]]:
    """Every model as plain products: what is pushed (outline, openings, height) or turned, its instances, and where they stand."""
    from detailgen import pipeline
    from detailgen.outputs.solids.assembly import Product
    from detailgen.outputs.solids.models import assemblies

    project = pipeline.read_project(ROOT / "detailgen" / "samples" / "printworks")
    package, _ = pipeline.decide(project, (), {}, jobs=1, progress=lambda _: None)
    package = replace(package, trusses=tuple(replace(t, staged=pipeline.stages_of(project, t)[0]) for t in package.trusses))  # they place the shores

    def source(made: Any) -> tuple[str, Any] | None:
        if made is None:
            return None
        if hasattr(made, "outline"):
            return "part", ([(v.x, v.y, v.bulge) for v in made.outline], [(h.x, h.y, h.diameter) for h in made.holes], made.thickness)
        return type(made).__name__, vars(made)

    out = []
    for name, root, *_ in assemblies(package):
        numbers: dict[int, int] = {}
        products: list[Any] = []

        def add(product: Product, numbers: dict[int, int] = numbers, products: list[Any] = products) -> int:
            if id(product) not in numbers:
                children = [(i.name, add(i.product), (i.frame.x, i.frame.y, i.frame.z, i.frame.angle, i.frame.over)) for i in product.children]
                numbers[id(product)] = len(products)
                products.append((product.name, source(product.source), children))
            return numbers[id(product)]

        add(root)
        out.append({"name": name, "products": products})
    return out


def recipe_of(folder: Path) -> dict[str, Any]:
    import pypdf

    reports = {
        p.relative_to(folder).as_posix(): [page.extract_text().splitlines() for page in pypdf.PdfReader(p).pages]
        for p in sorted((folder / "report").glob("*.pdf"))
    }
    drawings = {p.relative_to(folder).as_posix(): drawing_of(p) for p in sorted(folder.rglob("*.dxf"))}
    return {"drawings": drawings, "models": models(), "reports": reports}


# The floor. All that is timed is here.


def draw(layout: Any, entities: list[Any]) -> None:
    for kind, look, data in entities:
        if kind == "LINE":
            layout.add_line(*data, dxfattribs=look)
        elif kind == "POINT":
            layout.add_point(data, dxfattribs=look)
        elif kind == "CIRCLE":
            layout.add_circle(*data, dxfattribs=look)
        elif kind == "ARC":
            layout.add_arc(*data, dxfattribs=look)
        elif kind == "TEXT":
            text, height, rotation, insert = data
            layout.add_text(text, height=height, rotation=rotation, dxfattribs={**look, "insert": insert})
        elif kind == "LWPOLYLINE":
            layout.add_lwpolyline(data[0], close=data[1], dxfattribs=look)
        elif kind == "SOLID":
            layout.add_solid(data, dxfattribs=look)
        elif kind == "INSERT":
            name, at, inside, fields = data
            draw(layout.doc.blocks.new(name), inside)
            insert = layout.add_blockref(name, at, dxfattribs=look)
            for tag, text, where, height in fields:
                insert.add_attrib(tag, text, where, dxfattribs={"height": height})
        elif kind == "ATTDEF":
            layout.add_attdef(data[0], data[1], "", height=data[2], dxfattribs=look)
        elif kind == "HATCH":
            hatch = layout.add_hatch(dxfattribs=look)
            hatch.set_pattern_fill("ANSI31", scale=0.5)
            for path in data[0]:
                hatch.paths.add_polyline_path(path)
        elif kind == "DIMENSION":
            base, first, second, angle = data
            layout.add_linear_dim(base=base, p1=first, p2=second, angle=angle, dxfattribs=look).render()
        else:
            center, size, view_center, view_height = data
            layout.add_viewport(center, size, view_center, view_height, dxfattribs=look)


def write_drawings(drawings: dict[str, Any], out: Path) -> None:
    import ezdxf

    for name, drawing in drawings.items():
        document = ezdxf.new("R2010", setup=["linetypes", "styles", "dimstyles"])
        for layer, colour, width in drawing["layers"]:
            if layer not in document.layers:
                document.layers.add(layer, color=colour, lineweight=width)
        for layout, (entities, paper) in drawing["layouts"].items():
            if paper is None:
                draw(document.modelspace(), entities)
                continue
            if layout not in document.layout_names():
                document.layouts.rename("Layout1", layout)
            sheet = document.layouts.get(layout)
            if entities:
                sheet.page_setup(size=paper, margins=(0, 0, 0, 0), units="inch" if paper[0] < 100 else "mm")
                draw(sheet, entities)
        path = out / name
        path.parent.mkdir(parents=True, exist_ok=True)
        document.saveas(path)


def write_models(models: list[dict[str, Any]], out: Path) -> None:
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Fuse
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakeWire
    from OCP.BRepMesh import BRepMesh_IncrementalMesh
    from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
    from OCP.collections import IndexedDataMap_TCollection_AsciiString_TCollection_AsciiString
    from OCP.GC import GC_MakeArcOfCircle
    from OCP.gp import gp_Ax2, gp_Circ, gp_Dir, gp_Pnt, gp_Trsf, gp_Vec
    from OCP.Interface import Interface_Static
    from OCP.Message import Message, Message_Printer, Message_ProgressRange
    from OCP.RWGltf import RWGltf_CafWriter
    from OCP.STEPCAFControl import STEPCAFControl_Controller, STEPCAFControl_Writer
    from OCP.STEPControl import STEPControl_Controller, STEPControl_StepModelType
    from OCP.TCollection import TCollection_AsciiString, TCollection_ExtendedString
    from OCP.TDataStd import TDataStd_Name
    from OCP.TDocStd import TDocStd_Document
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopLoc import TopLoc_Location
    from OCP.XCAFDoc import XCAFDoc_DocumentTool

    Message.DefaultMessenger_s().RemovePrinters(Message_Printer.get_type_descriptor_s())
    STEPControl_Controller.Init_s()
    STEPCAFControl_Controller.Init_s()
    Interface_Static.SetCVal_s("write.step.unit", "INCH")
    Interface_Static.SetIVal_s("write.step.schema", 5)
    Interface_Static.SetIVal_s("write.surfacecurve.mode", 0)

    def circle(x: float, y: float, radius: float, up: float) -> Any:
        ring = gp_Circ(gp_Ax2(gp_Pnt(x, y, 0), gp_Dir(0, 0, up)), radius)
        return BRepBuilderAPI_MakeWire(BRepBuilderAPI_MakeEdge(ring).Edge()).Wire()

    def pushed(outer: Any, holes: list[Any], height: float) -> Any:
        face = BRepBuilderAPI_MakeFace(outer)
        for hole in holes:
            face.Add(hole)
        return BRepPrimAPI_MakePrism(face.Face(), gp_Vec(0, 0, height)).Shape()

    def outlined(points: list[tuple[float, float, float]]) -> Any:
        wire = BRepBuilderAPI_MakeWire()
        for (x, y, bulge), (u, v, _) in zip(points, [*points[1:], points[0]], strict=True):
            a, b = gp_Pnt(x, y, 0), gp_Pnt(u, v, 0)
            if bulge:
                middle = gp_Pnt((x + u) / 2 + bulge * (v - y) / 2, (y + v) / 2 - bulge * (u - x) / 2, 0)
                wire.Add(BRepBuilderAPI_MakeEdge(GC_MakeArcOfCircle(a, middle, b).Value()).Edge())
            else:
                wire.Add(BRepBuilderAPI_MakeEdge(a, b).Edge())
        return wire.Wire()

    def hexagon(across: float) -> Any:
        radius = across / math.sqrt(3)
        return outlined([(radius * math.cos(k * math.pi / 3), radius * math.sin(k * math.pi / 3), 0.0) for k in range(6)])

    def at(x: float, y: float, z: float, angle: float, over: bool) -> Any:
        motion = gp_Trsf()
        c, s, f = math.cos(angle), math.sin(angle), -1.0 if over else 1.0
        motion.SetValues(c, -s * f, 0, x, s, c * f, 0, y, 0, 0, f, z)
        return TopLoc_Location(motion)

    def shape_of(kind: str, data: Any) -> Any:
        if kind == "part":
            outline, holes, thickness = data
            return pushed(outlined(outline), [circle(x, y, d / 2, -1) for x, y, d in holes], thickness)
        if kind == "HexBolt":
            shank = pushed(circle(0, 0, data["diameter"] / 2, 1), [], -data["length"])
            fused = BRepAlgoAPI_Fuse(pushed(hexagon(data["flats"]), [], data["height"]), shank).Shape()
            return TopExp_Explorer(fused, TopAbs_ShapeEnum.TopAbs_SOLID).Current()
        if kind == "HexNut":
            return pushed(hexagon(data["flats"]), [circle(0, 0, data["diameter"] / 2, -1)], data["height"])
        return pushed(circle(0, 0, data["diameter"] / 2, 1), [circle(0, 0, data["hole"] / 2, -1)], data["thickness"])

    (out / "models").mkdir(parents=True)
    for model in models:
        document = TDocStd_Document(TCollection_ExtendedString("MDTV-XCAF"))
        XCAFDoc_DocumentTool.SetLengthUnit_s(document, 0.0254)
        shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())

        def named(label: Any, name: str) -> Any:
            TDataStd_Name.Set_s(label, TCollection_ExtendedString(name))
            return label

        labels: list[Any] = []
        for name, source, children in model["products"]:
            if source is None:
                label = shapes.NewShape()
                for instance, number, frame in children:
                    named(shapes.AddComponent(label, labels[number], at(*frame)), instance)
            else:
                shape = shape_of(*source)
                BRepMesh_IncrementalMesh(shape, 0.02, False, 0.3)
                label = shapes.AddShape(shape, False)
            labels.append(named(label, name))
        shapes.UpdateAssemblies()
        writer = STEPCAFControl_Writer()
        writer.SetNameMode(True)
        writer.Transfer(document, STEPControl_StepModelType.STEPControl_AsIs)
        writer.Write(str(out / "models" / f"{model['name']}.step"))
        gltf = RWGltf_CafWriter(TCollection_AsciiString(str(out / "models" / f"{model['name']}.glb")), True)
        gltf.Perform(document, IndexedDataMap_TCollection_AsciiString_TCollection_AsciiString(), Message_ProgressRange())


def opened(entity: Any) -> list[Any]:
    """A block's insertion as what stands in it and in its fields."""
    if entity[0] != "INSERT":
        return [entity]
    _, look, (_, _, inside, fields) = entity
    return [*inside, *(("TEXT", look, (text, height, 0.0, at)) for _, text, at, height in fields if text)]


def svg_of(entities: list[Any], width: float, height: float) -> str:
    """One element for each entity, wherever it falls: this is about their number."""
    from xml.sax.saxutils import escape

    parts = [f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}">']
    stroke = 'fill="none" stroke="black" stroke-width="0.01"'
    for kind, _, data in entities:
        if kind == "LINE":
            (x, y, _z), (u, v, _w) = data
            parts.append(f'<path d="M{x:.4f} {y:.4f}L{u:.4f} {v:.4f}" {stroke}/>')
        elif kind == "TEXT":
            text, size, rotation, (x, y, _z) = data
            turned = f' transform="rotate({-rotation:.1f} {x:.4f} {y:.4f})"'
            parts.append(f'<text x="{x:.4f}" y="{y:.4f}" font-size="{size:.4f}" font-family="Liberation Sans"{turned}>{escape(text)}</text>')
        elif kind in ("CIRCLE", "ARC"):
            (x, y, _z), radius = data[:2]
            parts.append(f'<circle cx="{x:.4f}" cy="{y:.4f}" r="{radius:.4f}" {stroke}/>')
        elif kind in ("LWPOLYLINE", "SOLID", "DIMENSION"):
            points = data[0] if kind == "LWPOLYLINE" else data[:3] if kind == "DIMENSION" else data
            parts.append('<path d="M' + "L".join(f"{p[0]:.4f} {p[1]:.4f}" for p in points) + f'" {stroke}/>')
    return "\n".join([*parts, "</svg>"])


PAGES = """#let content = json(bytes(sys.inputs.content))
#set text(font: "Liberation Sans", fallback: true, size: 6pt)
"""


def set_pages(source: str, content: Any, path: Path) -> None:
    import json

    import typst

    fonts = [str(ROOT / "templates_src" / "report" / "fonts")]
    path.parent.mkdir(exist_ok=True)
    data = typst.compile(source.encode(), font_paths=fonts, ignore_system_fonts=True, format="pdf", sys_inputs={"content": json.dumps(content)})
    path.write_bytes(data)


def write_sheet_pages(drawings: dict[str, Any], out: Path) -> None:
    """All sheets as pages of one PDF."""
    sheets = []
    for name, drawing in drawings.items():
        if name.startswith("drawings/"):
            entities = [one for layout, _ in drawing["layouts"].values() for e in layout for one in opened(e)]
            width, height = next(paper for _, paper in drawing["layouts"].values() if paper is not None)
            sheets.append({"svg": svg_of(entities, 34, 22), "width": width, "height": height})
    set_of = PAGES + """#for s in content { page(width: s.width * 1mm, height: s.height * 1mm, margin: 0mm,
  place(top + left, image(bytes(s.svg), format: "svg", width: s.width * 1mm, height: s.height * 1mm))) }"""
    set_pages(set_of, sheets, out / "drawings" / "all_sheets.pdf")


def write_pages(recipe: dict[str, Any], out: Path) -> None:
    write_sheet_pages(recipe["drawings"], out)
    report = PAGES + "#for p in content { page(paper: \"us-letter\", margin: 5mm, columns: 2, for l in p [#l \\ ]) }"
    for file, content in recipe["reports"].items():
        set_pages(report, content, out / file)


def write_floor(recipe: dict[str, Any], out: Path) -> None:
    write_drawings(recipe["drawings"], out)
    write_models(recipe["models"], out)
    write_pages(recipe, out)


# Counting and timing.


def counted(folder: Path) -> dict[str, Any]:
    """What stands in a folder, as read back: entities by kind and layout, solids, instances and faces, pages and words."""
    import ezdxf
    import pypdf

    found: dict[str, Any] = {}
    for path in sorted(folder.rglob("*.dxf")):
        drawing = ezdxf.readfile(path)
        kinds: Counter[str] = Counter()
        for layout in drawing.layouts:
            kinds.update(e.dxftype() for e in layout if not (e.dxftype() == "VIEWPORT" and e.dxf.id == 1))
            kinds.update(f"{e.dxftype()} in a block" for i in layout.query("INSERT") for e in (*drawing.blocks.get(i.dxf.name), *i.attribs))
        found[path.relative_to(folder).as_posix()] = dict(sorted(kinds.items()))
    for path in sorted(folder.rglob("*.step")):
        text = path.read_text(encoding="utf-8", errors="replace")
        found[path.relative_to(folder).as_posix()] = {k: text.count(k + "(") for k in ("MANIFOLD_SOLID_BREP", "NEXT_ASSEMBLY_USAGE_OCCURRENCE")}
    for path in sorted(folder.rglob("*.glb")):
        found[path.relative_to(folder).as_posix()] = {"glTF": path.read_bytes()[:4] == b"glTF"}
    for path in sorted(folder.rglob("*.pdf")):
        found[path.relative_to(folder).as_posix()] = {"pages": len(pypdf.PdfReader(path).pages)}
    return found


def amounts(folder: Path) -> str:
    """What need not be equal, for the reader: faces of solids, characters of text on the pages, bytes."""
    import pypdf

    faces = sum(p.read_text(encoding="utf-8", errors="replace").count("ADVANCED_FACE(") for p in folder.rglob("*.step"))
    letters = {p.name: sum(len(page.extract_text()) for page in pypdf.PdfReader(p).pages) for p in sorted(folder.rglob("*.pdf"))}
    size = {s: sum(p.stat().st_size for p in folder.rglob(f"*.{s}")) // 1000 for s in ("dxf", "step", "pdf", "csv", "json")}
    return f"{faces} faces; letters {letters}; kB {size}"


def timed(command: list[str], cwd: Path) -> tuple[float, float]:
    """Seconds of the clock, and of the processor, of a whole process."""
    before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    done = subprocess.run(command, cwd=cwd, env={**os.environ, "PYTHONPATH": str(ROOT)}, capture_output=True, check=False)
    seconds, after = time.perf_counter() - start, resource.getrusage(resource.RUSAGE_CHILDREN)
    if done.returncode:
        raise SystemExit(f"{command} ended with {done.returncode}: {done.stderr.decode()[-2000:]}")
    return seconds, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def main() -> None:
    if len(sys.argv) == 4 and sys.argv[1] == "--floor":
        write_floor(pickle.loads(Path(sys.argv[2]).read_bytes()), Path(sys.argv[3]))
        return
    with tempfile.TemporaryDirectory() as place:
        home = Path(place)
        ours = [sys.executable, "-m", "detailgen", "demo", "--out", str(home / "demo"), "--quiet"]
        timed(ours, home)
        (folder,) = (home / "demo").iterdir()
        recipe = home / "recipe.pickle"
        recipe.write_bytes(pickle.dumps(recipe_of(folder)))
        least = [sys.executable, __file__, "--floor", str(recipe), str(home / "floor")]
        timed(least, home)
        product, floor = counted(folder), counted(home / "floor")
        if product != floor:
            different = {k: (product.get(k), floor.get(k)) for k in {*product, *floor} if product.get(k) != floor.get(k)}
            raise SystemExit(f"not the same (demo, floor): {different}")
        print("counts equal:", {kind: sum(v.get(kind, 0) for v in product.values()) for kind in sorted({k for v in product.values() for k in v})})
        print("demo: ", amounts(folder))
        print("floor:", amounts(home / "floor"))
        rounds = []
        for k in range(ROUNDS):
            # In turns, so that whatever else the machine does falls on both.
            rounds.append((*timed(ours, home), *timed([*least[:-1], str(home / f"floor{k}")], home)))
        demo_clock, demo_cpu, floor_clock, floor_cpu = (statistics.median(column) for column in zip(*rounds, strict=True))
    print(f"medians of {ROUNDS} whole processes, in turns")
    print("           clock s   processor s")
    print(f"floor   {floor_clock:10.2f}{floor_cpu:12.2f}")
    print(f"demo    {demo_clock:10.2f}{demo_cpu:12.2f}")
    print(f"ratio   {demo_clock / floor_clock:10.2f}{demo_cpu / floor_cpu:12.2f}   target at most {TARGET}")


if __name__ == "__main__":
    main()
