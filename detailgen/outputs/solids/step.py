"""A solid model as STEP AP242: one assembly, true units, products by mark, equal parts and bolts as instances of one solid.

The text is written here and not by the kernel: every piece is bounded by planes and upright cylinders, which is little to write, small, quick and
the same each time. Tests have it read, proved and measured by two builds of the kernel and by a reader of the text.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

from detailgen.core.units import UnitSystem
from detailgen.model.detail import Detail, Part
from detailgen.model.package import Package
from detailgen.outputs.solids.assembly import COLOURS, Frame, Instance, Product, assembly_of
from detailgen.outputs.solids.bodies import Measured, body_of
from detailgen.outputs.solids.boundary import Boundary
from detailgen.outputs.solids.exchange import Exchange, Header, encoded, real
from detailgen.outputs.solids.sound import prove

SCHEMA = "AP242_MANAGED_MODEL_BASED_3D_ENGINEERING_MIM_LF {1 0 10303 442 1 1 4 }"
CLOSE = "1.E-07"
"""What a receiver may take for one point, in the file's unit."""


def write_step(detail: Detail, package: Package, path: Path) -> None:
    """Write the STEP assembly of a detail. The same detail and package give the same bytes.

    detail: what is to be built
    package: gives marks, units, project and date of revision
    path: the file to write
    Raises: OutputError where a record makes no solid, a new part has no mark or a bolt does not fit
    """
    write_assembly(assembly_of(detail, package), detail.title, package.status_of(detail.key), package, path)


def write_assembly(root: Product, title: str, status: str, package: Package, path: Path) -> None:
    """Write an assembly. Raises OutputError where a record makes no solid."""
    project = package.project
    header = Header(
        description=f"{title}; {project.name}, {project.number}, revision {project.revision}, {status}",
        name=path.name,
        time=f"{date.fromisoformat(project.date).isoformat()}T00:00:00",
        system="detailgen",
        schema=SCHEMA,
    )
    path.write_bytes(_File(project.units).text(root, header).encode("ascii"))


class _Shape:
    """A product in the file: its definition, its representation, the placement of its own axes, its geometric context."""

    def __init__(self, definition: str, representation: str, origin: str) -> None:
        self.definition, self.representation, self.origin = definition, representation, origin


class _File:
    def __init__(self, units: UnitSystem) -> None:
        self.scale = units.length
        self.file = Exchange()
        add = self.file.add
        application = add("APPLICATION_CONTEXT('Managed model based 3d engineering')")
        add(f"APPLICATION_PROTOCOL_DEFINITION('international standard','ap242_managed_model_based_3d_engineering',2013,{application})")
        self.product_context = add(f"PRODUCT_CONTEXT('',{application},'mechanical')")
        self.definition_context = add(f"PRODUCT_DEFINITION_CONTEXT('part definition',{application},'design')")
        self.length = add("(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.))")
        if units.name == "US":
            inch = add(f"LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(25.4),{self.length})")
            power = add("DIMENSIONAL_EXPONENTS(1.,0.,0.,0.,0.,0.,0.)")
            self.length = add(f"(CONVERSION_BASED_UNIT('INCH',{inch})LENGTH_UNIT()NAMED_UNIT({power}))")
        angle = add("(NAMED_UNIT(*)PLANE_ANGLE_UNIT()SI_UNIT($,.RADIAN.))")
        solid = add("(NAMED_UNIT(*)SI_UNIT($,.STERADIAN.)SOLID_ANGLE_UNIT())")
        self.units = f"{self.length},{angle},{solid}"
        close = f"UNCERTAINTY_MEASURE_WITH_UNIT(LENGTH_MEASURE({CLOSE}),{self.length},'distance_accuracy_value','confusion accuracy')"
        self.close = add(close)
        powers = [add(f"DERIVED_UNIT_ELEMENT({self.length},{p}.)") for p in (2, 3)]
        self.areas, self.volumes = (add(f"DERIVED_UNIT(({p}))") for p in powers)
        self.written: dict[Product, _Shape] = {}
        self.painted: dict[str, str] = {}
        self.occurrences = 0

    def text(self, root: Product, header: Header) -> str:
        self.product(root)
        return self.file.text(header)

    def product(self, product: Product) -> _Shape:
        """Write a product once, after everything that it is made of."""
        if product in self.written:
            return self.written[product]
        children = [(child, self.product(child.product)) for child in product.children]
        file = self.file
        file.forget()
        name = encoded(product.name)
        item = file.add(f"PRODUCT({name},{name},'',({self.product_context}))")
        file.add(f"PRODUCT_RELATED_PRODUCT_CATEGORY('part',$,({item}))")
        formation = file.add(f"PRODUCT_DEFINITION_FORMATION('','',{item})")
        definition = file.add(f"PRODUCT_DEFINITION('design','',{formation},{self.definition_context})")
        shape = file.add(f"PRODUCT_DEFINITION_SHAPE('','',{definition})")
        # Each product has a context of its own: a motion relates representations of different contexts (ISO 10303-43).
        context = file.add(
            f"(GEOMETRIC_REPRESENTATION_CONTEXT(3)GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT(({self.close}))"
            f"GLOBAL_UNIT_ASSIGNED_CONTEXT(({self.units}))REPRESENTATION_CONTEXT('','3D'))"
        )
        origin = self.placement(Frame())
        if product.source is None:
            places = [self.placement(child.frame) for child in product.children]
            representation = file.add(f"SHAPE_REPRESENTATION('',({','.join(dict.fromkeys((origin, *places)))}),{context})")
        else:
            places = []
            if isinstance(product.source, Part):
                prove(product.source)
            body = body_of(product.source, self.scale)
            solid = Boundary(file).solid(body)
            representation = file.add(f"ADVANCED_BREP_SHAPE_REPRESENTATION('',({origin},{solid}),{context})")
            self.paint(solid, product.colour, context)
            self.properties(body.measured(), shape, context)
        file.add(f"SHAPE_DEFINITION_REPRESENTATION({shape},{representation})")
        self.written[product] = made = _Shape(definition, representation, origin)
        for (child, below), place in zip(children, places, strict=True) if children else ():
            self.instance(child, below, made, place)
        return made

    def placement(self, frame: Frame) -> str:
        """Axes of an instance."""
        (ax, _, nx), (ay, _, ny), (az, _, nz) = frame.rows
        at = self.file.point(*(v * self.scale for v in (frame.x, frame.y, frame.z)))
        return self.file.placement(at, self.file.direction(nx, ny, nz), self.file.direction(ax, ay, az))

    def instance(self, instance: Instance, below: _Shape, above: _Shape, place: str) -> None:
        add = self.file.add
        self.occurrences += 1
        motion = add(f"ITEM_DEFINED_TRANSFORMATION('','',{below.origin},{place})")
        relation = add(
            f"(REPRESENTATION_RELATIONSHIP('','',{below.representation},{above.representation})"
            f"REPRESENTATION_RELATIONSHIP_WITH_TRANSFORMATION({motion})SHAPE_REPRESENTATION_RELATIONSHIP())"
        )
        name = encoded(instance.name)
        usage = add(f"NEXT_ASSEMBLY_USAGE_OCCURRENCE('{self.occurrences}',{name},'',{above.definition},{below.definition},$)")
        stands = add(f"PRODUCT_DEFINITION_SHAPE('','',{usage})")
        add(f"CONTEXT_DEPENDENT_SHAPE_REPRESENTATION({relation},{stands})")

    def paint(self, solid: str, colour: str, context: str) -> None:
        add = self.file.add
        if colour not in self.painted:
            red, green, blue = (real(v) for v in COLOURS[colour])
            style = add(f"COLOUR_RGB('',{red},{green},{blue})")
            for wrapped in ("FILL_AREA_STYLE_COLOUR('',{})", "FILL_AREA_STYLE('',({}))", "SURFACE_STYLE_FILL_AREA({})",
                            "SURFACE_SIDE_STYLE('',({}))", "SURFACE_STYLE_USAGE(.BOTH.,{})", "PRESENTATION_STYLE_ASSIGNMENT(({}))"):  # fmt: skip
                style = add(wrapped.format(style))
            self.painted[colour] = style
        styled = add(f"STYLED_ITEM('color',({self.painted[colour]}),{solid})")
        add(f"MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',({styled}),{context})")

    def properties(self, found: Measured, shape: str, context: str) -> None:
        """Volume, area and centroid as properties of the product's shape, by the recommended practice of the CAx Interoperability Forum for
        geometric validation properties (its words from memory)."""
        add = self.file.add
        x, y, z = (real(v) for v in found.centroid)
        for what, item in (
            ("volume", f"MEASURE_REPRESENTATION_ITEM('volume measure',VOLUME_MEASURE({real(found.volume)}),{self.volumes})"),
            ("surface area", f"MEASURE_REPRESENTATION_ITEM('surface area measure',AREA_MEASURE({real(found.area)}),{self.areas})"),
            ("centroid", f"CARTESIAN_POINT('centre point',({x},{y},{z}))"),
        ):
            representation = add(f"REPRESENTATION('{what}',({add(item)}),{context})")
            of = add(f"PROPERTY_DEFINITION('geometric validation property','{what}',{shape})")
            add(f"PROPERTY_DEFINITION_REPRESENTATION({of},{representation})")
