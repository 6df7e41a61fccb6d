"""Exact solids: a profile of lines and arcs with true holes and slots, extruded; bolts, nuts, washers.

A hole is an inner wire of the face that is extruded, never a boolean cut. An inner wire must run clockwise: a wire the wrong way round makes an
invalid solid and adds the hole's volume, so every solid is proved before it is handed on: a sound plan (``sound.py``), one solid, of the volume that
the record says. Tests ask the kernel's own proof besides.
"""

from __future__ import annotations

from detailgen.core.errors import OutputError
from detailgen.model.detail import Part, Vertex
from detailgen.model.outlines import circle_of
from detailgen.outputs.solids.bodies import hexagon, slot_outline
from detailgen.outputs.solids.hardware import HexBolt, HexNut, Piece, Washer
from detailgen.outputs.solids.kernel import Shape, occ
from detailgen.outputs.solids.sound import prove

VOLUME = 1e-6
"""The volume of a solid equals that of its record within this, relative."""


def solid_of(source: Part | Piece, scale: float) -> Shape:
    """The solid of a part or piece in its own axes, inches times ``scale``.

    Raises: OutputError where the record makes no valid solid (a hole over an edge, two holes that meet, an outline that crosses itself)
    """
    match source:
        case Part():
            prove(source)
            name, volume = f"part {source.key}", source.area * source.thickness
            solid = _prism(_wire(source.outline, scale), _openings(source, scale), source.thickness * scale)
        case HexBolt():
            name, volume = "bolt", source.volume
            head = _prism(_wire(hexagon(source.flats), scale), [], source.height * scale)
            solid = _joined(head, _moved(_prism(_circle(0, 0, source.diameter, scale, 1), [], source.length * scale), -source.length * scale))
        case HexNut():
            name, volume = "nut", source.volume
            solid = _prism(_wire(hexagon(source.flats), scale), [_circle(0, 0, source.diameter, scale, -1)], source.height * scale)
        case Washer():
            name, volume = "washer", source.volume
            solid = _prism(_circle(0, 0, source.diameter, scale, 1), [_circle(0, 0, source.hole, scale, -1)], source.thickness * scale)
    _prove(solid, name, volume * scale**3)
    return solid


def volume_of(shape: Shape) -> float:
    """Volume by the kernel's integration over the faces, in the shape's own unit."""
    properties = occ("GProp").GProp_GProps()
    occ("BRepGProp").BRepGProp.VolumeProperties_s(shape, properties)
    return float(properties.Mass())


def _prove(solid: Shape, name: str, volume: float) -> None:
    if solid.ShapeType() != occ("TopAbs").TopAbs_ShapeEnum.TopAbs_SOLID:
        raise OutputError(f"{name}: its outline and holes make {solid.ShapeType().name}, not one solid")
    found = volume_of(solid)
    if abs(found - volume) > VOLUME * volume:
        raise OutputError(f"{name}: outline and holes make no valid solid (volume {found:g}, by the record {volume:g})")


def _openings(part: Part, scale: float) -> list[Shape]:
    return [_circle(h.x, h.y, h.diameter, scale, -1) for h in part.holes] + [_wire(slot_outline(s), scale) for s in part.slots]


def _wire(outline: tuple[Vertex, ...], scale: float) -> Shape:
    gp, build = occ("gp"), occ("BRepBuilderAPI")
    maker = build.BRepBuilderAPI_MakeWire()
    corners = [build.BRepBuilderAPI_MakeVertex(gp.gp_Pnt(v.x * scale, v.y * scale, 0.0)).Vertex() for v in outline]
    for k, v in enumerate(outline):
        n = (k + 1) % len(outline)
        if v.bulge:
            maker.Add(build.BRepBuilderAPI_MakeEdge(_arc(v, outline[n], scale), corners[k], corners[n]).Edge())
        else:
            maker.Add(build.BRepBuilderAPI_MakeEdge(corners[k], corners[n]).Edge())
    return maker.Wire()


def _arc(a: Vertex, b: Vertex, scale: float) -> Shape:
    """The circle of a bulged side, its axis up where the arc runs counter-clockwise: the side is then the part from first to second corner."""
    return _axis_circle(*circle_of(a, b), scale, 1 if a.bulge > 0 else -1)


def _circle(x: float, y: float, diameter: float, scale: float, up: int) -> Shape:
    build = occ("BRepBuilderAPI")
    edge = build.BRepBuilderAPI_MakeEdge(_axis_circle(x, y, diameter / 2, scale, up)).Edge()
    return build.BRepBuilderAPI_MakeWire(edge).Wire()


def _axis_circle(x: float, y: float, radius: float, scale: float, up: int) -> Shape:
    gp = occ("gp")
    return gp.gp_Circ(gp.gp_Ax2(gp.gp_Pnt(x * scale, y * scale, 0.0), gp.gp_Dir(0.0, 0.0, float(up)), gp.gp_Dir(1.0, 0.0, 0.0)), radius * scale)


def _prism(outer: Shape, inner: list[Shape], height: float) -> Shape:
    gp = occ("gp")
    plane = gp.gp_Pln(gp.gp_Pnt(0.0, 0.0, 0.0), gp.gp_Dir(0.0, 0.0, 1.0))
    face = occ("BRepBuilderAPI").BRepBuilderAPI_MakeFace(plane, outer, True)
    for wire in inner:
        face.Add(wire)
    return occ("BRepPrimAPI").BRepPrimAPI_MakePrism(face.Face(), gp.gp_Vec(0.0, 0.0, height)).Shape()


def _moved(shape: Shape, z: float) -> Shape:
    gp = occ("gp")
    motion = gp.gp_Trsf()
    motion.SetTranslation(gp.gp_Vec(0.0, 0.0, z))
    return shape.Moved(occ("TopLoc").TopLoc_Location(motion))


def _joined(first: Shape, second: Shape) -> Shape:
    """Two solids as one. The kernel hands back a compound; the one solid in it is taken out."""
    joined = occ("BRepAlgoAPI").BRepAlgoAPI_Fuse(first, second).Shape()
    kinds = occ("TopAbs").TopAbs_ShapeEnum
    explorer = occ("TopExp").TopExp_Explorer(joined, kinds.TopAbs_SOLID)
    found = []
    while explorer.More():
        found.append(explorer.Current())
        explorer.Next()
    return found[0] if len(found) == 1 else joined
