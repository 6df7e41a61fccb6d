"""The kernel as a judge of solids: its own proof of one, its box, and every solid of a detail where it stands, to ask what runs into what."""

from __future__ import annotations

from dataclasses import dataclass

from detailgen.model.detail import Detail
from detailgen.model.package import Package
from detailgen.outputs.solids.assembly import Frame, Product, assembly_of
from detailgen.outputs.solids.hardware import HexBolt, HexNut, Washer
from detailgen.outputs.solids.kernel import Shape, occ
from detailgen.outputs.solids.shapes import solid_of, volume_of

Point3 = tuple[float, float, float]
PIECES = {HexBolt: "bolt", HexNut: "nut", Washer: "washer"}


def is_valid(shape: Shape) -> bool:
    """The kernel's own proof: closed shells, wires that do not cross, faces that look outward."""
    return bool(occ("BRepCheck").BRepCheck_Analyzer(shape).IsValid())


def box_of(shape: Shape) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
    """Least and greatest corner of the exact bounding box, in the shape's own unit."""
    box = occ("Bnd").Bnd_Box()
    occ("BRepBndLib").BRepBndLib.AddOptimal_s(shape, box, False, False)
    low, high = box.CornerMin(), box.CornerMax()
    return (low.X(), low.Y(), low.Z()), (high.X(), high.Y(), high.Z())


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
            walk(child.product, (*way, child.name), location.Multiplied(_location(child.frame)), child.part)
        if product.source is not None:
            if product not in made:
                made[product] = solid_of(product.source, 1.0)
            shape = made[product].Moved(location)
            kind = detail.part(part).kind if part else PIECES[type(product.source)]
            out.append(Solid(way, product.name, kind, part, volume_of(shape), *box_of(shape), shape))

    walk(assembly_of(detail, package), (), occ("TopLoc").TopLoc_Location(), "")
    return out


def _location(frame: Frame) -> Shape:
    """A frame as the kernel's location."""
    a, b, c = frame.rows
    motion = occ("gp").gp_Trsf()
    motion.SetValues(*a, frame.x, *b, frame.y, *c, frame.z)
    return occ("TopLoc").TopLoc_Location(motion)
