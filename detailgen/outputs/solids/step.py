"""The solid model of a detail as STEP AP242: one assembly, true units, products by mark, equal parts and bolts as instances of one solid."""

from __future__ import annotations

import tempfile
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from detailgen.core.units import MM, UnitSystem
from detailgen.model.detail import Detail
from detailgen.model.package import Package
from detailgen.outputs.solids.assembly import COLOURS, Frame, Instance, Product, assembly_of
from detailgen.outputs.solids.canonical import Header, Measured, canonical
from detailgen.outputs.solids.hardware import HexBolt, HexNut, Washer
from detailgen.outputs.solids.kernel import Shape, occ, quiet
from detailgen.outputs.solids.mesh import Made
from detailgen.outputs.solids.shapes import box_of, solid_of, volume_of

Point3 = tuple[float, float, float]
PIECES = {HexBolt: "bolt", HexNut: "nut", Washer: "washer"}


@dataclass(frozen=True)
class Solid:
    """One solid where it stands in the detail. ``name`` is the way to it ("new", "B1.1 bolt", "nut"); in3 and in, in the detail's axes."""

    name: tuple[str, ...]
    product: str
    kind: str  # the part's kind, or bolt, nut, washer
    part: str  # key of the detail's part, "" for bolts
    volume: float
    low: Point3
    high: Point3
    shape: Shape  # in inches


def solids_of(detail: Detail, package: Package) -> list[Solid]:
    """Every solid of a detail, placed. Raises OutputError where a record makes no valid solid."""
    made: dict[Product, Shape] = {}
    out: list[Solid] = []

    def walk(product: Product, way: tuple[str, ...], location: Shape, part: str) -> None:
        for child in product.children:
            walk(child.product, (*way, child.name), location.Multiplied(_location(child.frame, 1.0)), child.part)
        if product.source is not None:
            if product not in made:
                made[product] = solid_of(product.source, 1.0)
            shape = made[product].Moved(location)
            kind = detail.part(part).kind if part else PIECES[type(product.source)]
            out.append(Solid(way, product.name, kind, part, volume_of(shape), *box_of(shape), shape))

    walk(assembly_of(detail, package), (), occ("TopLoc").TopLoc_Location(), "")
    return out


def write_step(detail: Detail, package: Package, path: Path) -> None:
    """Write the STEP assembly of a detail. The same detail and package give the same bytes.

    detail: what is to be built
    package: gives marks, units, project and date of revision
    path: the file to write
    Raises: OutputError where a record makes no valid solid, a new part has no mark or a bolt does not fit
    """
    write_assembly(assembly_of(detail, package), detail.title, package.status_of(detail.key), package, path, Made())


def write_assembly(root: Product, title: str, status: str, package: Package, path: Path, made: Made) -> None:
    """Write an assembly. ``made``: solids that are there already; new ones are added."""
    project = package.project
    quiet()
    measured: dict[str, Measured] = {}
    document = _document(root, project.units, made, measured)
    header = Header(
        description=f"{title}; {project.name}, {project.number}, revision {project.revision}, {status}",
        name=path.name,
        time=f"{date.fromisoformat(project.date).isoformat()}T00:00:00",
        author="",
        organization="",
        system="detailgen",
    )
    text = _kernel_text(document, project.units)
    path.write_bytes(canonical(text, header, measured).encode("ascii"))


def _location(frame: Frame, scale: float) -> Shape:
    """A frame as the kernel's location."""
    a, b, c = frame.rows
    motion = occ("gp").gp_Trsf()
    motion.SetValues(*a, frame.x * scale, *b, frame.y * scale, *c, frame.z * scale)
    return occ("TopLoc").TopLoc_Location(motion)


def _document(root: Product, units: UnitSystem, made: Made, measured: dict[str, Measured]) -> Shape:
    """The kernel's document of an assembly: products, instances, names, colours, length unit. Fills in what each product measures."""
    xcaf, names, colours = occ("XCAFDoc"), occ("TDataStd").TDataStd_Name, occ("Quantity")
    text = occ("TCollection").TCollection_ExtendedString
    document = occ("TDocStd").TDocStd_Document(text("MDTV-XCAF"))
    tools = xcaf.XCAFDoc_DocumentTool
    tools.SetLengthUnit_s(document, 0.001 / MM if units.name == "US" else 0.001)
    shapes, paint = tools.ShapeTool_s(document.Main()), tools.ColorTool_s(document.Main())
    labels: dict[Product, Shape] = {}

    def label_of(product: Product) -> Shape:
        if product in labels:
            return labels[product]
        if product.source is not None:
            solid = made.solid(product.source) if units.length == 1.0 else solid_of(product.source, units.length)
            label = shapes.AddShape(solid, False)
            measured[product.name] = made.measured(product.source).scaled(units.length)
            paint.SetColor(label, colours.Quantity_Color(*COLOURS[product.colour], colours.Quantity_TOC_sRGB), xcaf.XCAFDoc_ColorSurf)
        else:
            label = shapes.NewShape()
            for child in product.children:
                placed(label, child)
        names.Set_s(label, text(product.name, True))
        labels[product] = label
        return label

    def placed(into: Shape, instance: Instance) -> None:
        names.Set_s(shapes.AddComponent(into, label_of(instance.product), _location(instance.frame, units.length)), text(instance.name, True))

    label_of(root)
    shapes.UpdateAssemblies()
    return document


def _kernel_text(document: Shape, units: UnitSystem) -> str:
    """What the kernel writes, in its own order. Its settings belong to the process, so all that matter are set at each export."""
    for control in (occ("STEPControl").STEPControl_Controller, occ("STEPCAFControl").STEPCAFControl_Controller):
        control.Init_s()  # before any setting: without it they are silently ignored
    static = occ("Interface").Interface_Static
    # AP242; the unit's name is INCH; curves on surfaces follow from the surfaces and are left out
    done = static.SetCVal_s("write.step.unit", "INCH" if units.name == "US" else "MM")
    for setting, value in (("write.step.schema", 5), ("write.step.assembly", 1), ("write.surfacecurve.mode", 0), ("write.precision.mode", 0)):
        done = static.SetIVal_s(setting, value) and done
    writer = occ("STEPCAFControl").STEPCAFControl_Writer()
    writer.SetColorMode(True)
    writer.SetNameMode(True)
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "model.step"
        done = done and writer.Transfer(document, occ("STEPControl").STEPControl_StepModelType.STEPControl_AsIs)
        if not done or writer.Write(str(file)) != occ("IFSelect").IFSelect_ReturnStatus.IFSelect_RetDone:
            raise RuntimeError("the solid kernel could not write its STEP file")
        return file.read_text(encoding="utf-8")
