"""What the page knows of a whole truss's solid beside its GLB: its parts as items that go on and off, points to measure from."""

from __future__ import annotations

from collections.abc import Iterator

from detailgen.model.detail import Detail, Part
from detailgen.model.package import Package, Repaired
from detailgen.outputs.page.scene import APART, Item, Scene
from detailgen.outputs.solids.assembly import EXISTING, NEW, TEMPORARY, Instance, Product
from detailgen.outputs.solids.hardware import HexBolt
from detailgen.outputs.solids.truss import assembly_of_truss

Point3 = tuple[float, float, float]
Way = tuple[Instance, ...]


def leaves_of(product: Product, way: Way = ()) -> Iterator[tuple[Way, Product]]:
    """Every solid with the instances that lead to it, in the order in which the GLB has them."""
    if product.source is not None:
        yield way, product
    for child in product.children:
        yield from leaves_of(child.product, (*way, child))


def place(way: Way, point: Point3) -> Point3:
    """A point of a solid's own axes in those of the whole."""
    for instance in reversed(way):
        point = instance.frame.place(*point)
    return point


def truss_scene(one: Repaired, package: Package) -> Scene:
    """The truss's parts in the order of its solid model."""
    root = assembly_of_truss(one, package)
    found = list(leaves_of(root))
    middles = [round(_middle(way, product), 3) for way, product in found]
    layers = sorted({z for z, (_, product) in zip(middles, found, strict=True) if isinstance(product.source, Part)})
    beyond = (len(layers) + 1) / 2 * APART
    items: dict[tuple[str, ...], int] = {}
    kept: list[Item] = []
    leaves: list[tuple[int, float]] = []
    points: list[tuple[float, float, float, int, str]] = []
    for k, (way, product) in enumerate(found):
        key = _key(way, one)
        if key not in items:
            items[key] = len(kept)
            kept.append(_item(key, way, product, one, package))
        if isinstance(product.source, Part):
            apart = (layers.index(middles[k]) - (len(layers) - 1) / 2) * APART
        else:  # heads and bolts to the viewer, nuts away
            apart = beyond if isinstance(product.source, HexBolt) or middles[k] > 0 else -beyond
        leaves.append((items[key], apart))
        points += [(*place(way, (x, y, z)), k, what) for x, y, z, what in _points(product)]
    return Scene(tuple(kept), tuple(leaves), tuple(points), (18.0, 14.0))  # long and thin: nearly from the front


def _middle(way: Way, product: Product) -> float:
    depth = product.source.thickness if isinstance(product.source, Part) else 0.0
    return place(way, (0.0, 0.0, depth / 2))[2]


def _key(way: Way, one: Repaired) -> tuple[str, ...]:
    """Which item a solid belongs to: an old part by itself, all old bolts, a repair wherever it is built, a shore."""
    group, instance = way[0].name, way[1]
    if group == EXISTING:
        return (group, instance.part or "bolts")
    if group == NEW:
        return (group, _detail(instance, one).key)
    return (group, instance.name)


def _detail(instance: Instance, one: Repaired) -> Detail:
    """Of a repair's instance: it has the detail's name, or that with its number where the same joint is built several times."""
    return next(d for d in one.details if instance.name in (d.key, *(f"{d.key}.{n}" for n in range(1, d.times + 1))))


def _item(key: tuple[str, ...], way: Way, product: Product, one: Repaired, package: Package) -> Item:
    group, instance = key[0], way[1]
    units = package.project.units
    if group == NEW:
        detail = _detail(instance, one)
        new = sum(not p.existing for p in detail.parts)
        times = f", {detail.times} times" if detail.times > 1 else ""
        top = max(p.placement.z + p.thickness for p in detail.parts)
        name, each = f"{detail.key}{times}", " each" if times else ""
        facts = f"{detail.title}; {new} parts, {len(detail.bolts)} bolts{each}"
        return Item(name, name, group, facts, instance.frame.place(0.0, 0.0, top), 0.0)
    if group == TEMPORARY:
        return Item(instance.name, instance.name.removesuffix(f" ({TEMPORARY})"), group, "the room that a jack on its post is taken to need",
                    instance.frame.place(0.0, 0.0, 0.0), 0.0)  # fmt: skip
    if not isinstance(product.source, Part):
        return Item("old bolts (E)", "", group, "as long as they must be: no survey tells their lengths", place(way, (0.0, 0.0, 0.0)), 0.0)
    part = product.source
    facts = f"{units.write_length(part.thickness)} thick, {part.specification}"
    return Item(f"{part.name} (E)", "", group, facts, place(way, (part.outline[0].x, part.outline[0].y, part.thickness)), 0.0)


def _points(product: Product) -> Iterator[tuple[float, float, float, str]]:
    """Corners and centres of holes and bolts, in the solid's own axes."""
    source = product.source
    if isinstance(source, Part):
        spots = [(v.x, v.y, "corner") for v in source.outline] + [(h.x, h.y, "centre of hole") for h in source.holes]
        for x, y, what in spots:
            yield from ((x, y, z, what) for z in (0.0, source.thickness))
    elif isinstance(source, HexBolt):
        yield 0.0, 0.0, source.height, "centre of bolt head"
        yield 0.0, 0.0, -source.length, "end of bolt"
