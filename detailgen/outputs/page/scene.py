"""What the page knows of a joint's solid beside its GLB: names and facts of its parts, points to measure from, how it is pulled apart."""

from __future__ import annotations

import base64
import gzip
import json
from collections.abc import Iterator
from dataclasses import dataclass

from detailgen.model.detail import BOUGHT, Bolt, Detail, Part
from detailgen.model.package import Package
from detailgen.outputs.drawings.detail_geometry import in_detail
from detailgen.outputs.schedules.lists import KILOGRAM, extent
from detailgen.outputs.solids.assembly import NEW, Instance, Product, assembly_of
from detailgen.outputs.solids.hardware import HexBolt, stack_of

Json = dict[str, object]
APART = 3.0
"""Open distance between neighbouring layers when all is pulled apart (in)."""


@dataclass(frozen=True)
class Item:
    """One line of the list of parts: a part, or the bolts of a group."""

    name: str
    label: str  # over the picture
    group: str  # existing, new, temporary
    facts: str
    anchor: tuple[float, float, float]
    apart: float

    def content(self) -> Json:
        return {
            "name": self.name, "label": self.label, "group": self.group, "facts": self.facts, "anchor": [round(v, 4) for v in self.anchor],
            "apart": round(self.apart, 4),
        }  # fmt: skip


@dataclass(frozen=True)
class Scene:
    items: tuple[Item, ...]
    leaves: tuple[tuple[int, float], ...]  # in the order of the GLB's leaves: its item, and how far it goes along z
    points: tuple[tuple[float, float, float, int, str], ...]  # where, on which leaf, what it is
    seen: tuple[float, float] = (35.0, 25.0)  # from which side and height it is shown first (degrees)

    def content(self, glb: str, units: str) -> Json:
        """What the script reads; ``glb`` is packed, and points are."""
        points = [[round(x, 6), round(y, 6), round(z, 6), leaf, what] for x, y, z, leaf, what in self.points]
        return {
            "units": units,
            "seen": list(self.seen),
            "items": [i.content() for i in self.items],
            "leaves": [[item, round(apart, 4)] for item, apart in self.leaves],
            "points": packed(json.dumps(points, separators=(",", ":")).encode("ascii")),
            "glb": glb,
        }


def packed(data: bytes) -> str:
    """As text in the page; without a time, so that the same data give the same text."""
    return base64.b64encode(gzip.compress(data, 6, mtime=0)).decode("ascii")


def scene_of(detail: Detail, package: Package) -> Scene:
    """The joint's parts in the order of its solid model."""
    shifts = _shifts(detail)
    beyond = max((abs(s) for s in shifts.values()), default=0.0)
    items: list[Item] = []
    leaves: list[tuple[int, float]] = []
    points: list[tuple[float, float, float, int, str]] = []
    groups: dict[str, int] = {}
    bolts = iter(sorted(detail.bolts, key=lambda b: (b.group, b.x, b.y, b.low)))  # the order of the assembly
    for side, instance in _instances(assembly_of(detail, package)):
        if instance.part:
            part = detail.part(instance.part)
            items.append(_part_item(part, instance.name, side, shifts[part.key], package))
            points += [(x, y, z, len(leaves), what) for x, y, z, what in _part_points(part)]
            leaves.append((len(items) - 1, shifts[part.key]))
        else:
            bolt = next(bolts)
            if bolt.group not in groups:
                groups[bolt.group] = len(items)
                items.append(_bolts_item(detail, bolt, package, beyond))
            for piece, z in _pieces(instance):
                out = bolt.way * (beyond + 2 * APART + (bolt.high - bolt.low if isinstance(piece.source, HexBolt) else 0.0))
                if isinstance(piece.source, HexBolt):
                    top = bolt.seat + bolt.way * (z + piece.source.height)
                    points += [(bolt.x, bolt.y, top, len(leaves), "centre of bolt head")]
                    points += [(bolt.x, bolt.y, bolt.seat + bolt.way * (z - piece.source.length), len(leaves), "end of bolt")]
                leaves.append((groups[bolt.group], out if z > -1e-9 else -bolt.way * (beyond + 2 * APART)))
    return Scene(tuple(items), tuple(leaves), tuple(points))


def _instances(root: Product) -> Iterator[tuple[str, Instance]]:
    for group in root.children:
        for instance in group.product.children:
            yield group.name, instance


def _pieces(instance: Instance) -> Iterator[tuple[Product, float]]:
    """Pieces of a bolt, and their z above the face under its head."""
    for child in instance.product.children:
        yield child.product, child.frame.z


def _shifts(detail: Detail) -> dict[str, float]:
    """How far each part goes along z: its layer's number, counted from the middle, times the open distance."""
    middles = {p.key: round(p.placement.z + p.thickness / 2, 3) for p in detail.parts}
    order = sorted(set(middles.values()))
    return {key: (order.index(z) - (len(order) - 1) / 2) * APART for key, z in middles.items()}


def _part_item(part: Part, name: str, side: str, shift: float, package: Package) -> Item:
    length, width = extent(part)
    write = package.project.units.write_length
    holes = f", {len(part.holes)} holes" if part.holes else ""
    size = f"{write(part.thickness)} x {write(width)} x {write(length)}" if side == NEW else f"{write(part.thickness)} x {write(width)}, runs on"
    weight = f", {_weight(part.weight, package)}" if side == NEW else ""
    x = sum(v.x for v in part.outline) / len(part.outline)
    y = sum(v.y for v in part.outline) / len(part.outline)
    at = in_detail(part, (x, y))
    label = f"{part.name.partition(',')[0]} (E)"
    if side == NEW:  # its mark; what is bought has none
        label = part.name.partition(",")[0].partition(" of ")[0] if part.kind in BOUGHT else name.split(" ")[0]
    shown = name if side == NEW else f"{part.name} (E)"
    return Item(shown, label, side, f"{size}, {part.specification}{holes}{weight}", (*at, part.placement.z + part.thickness / 2), shift)


def _weight(pounds: float, package: Package) -> str:
    return f"{pounds:.1f} lb" if package.project.units.name == "US" else f"{pounds * KILOGRAM:.1f} kg"


def _bolts_item(detail: Detail, first: Bolt, package: Package, beyond: float) -> Item:
    same = [b for b in detail.bolts if b.group == first.group]
    write = package.project.units.write_length
    size = f"{len(same)} bolts {write(first.diameter)} x {write(first.length)}"
    right = max(same, key=lambda b: (b.x, b.y))
    head = max(z for _, _, z in stack_of(right).pieces)
    facts = f"{size}, {first.grade}, grip {write(first.high - first.low)}, {first.washers} washers each"
    at, away = (right.x, right.y, right.seat + right.way * head), right.way * (beyond + 2 * APART)
    return Item(f"bolts {first.group}", f"{first.group}: {size}", NEW, facts, at, away)


def _part_points(part: Part) -> Iterator[tuple[float, float, float, str]]:
    """Corners, and centres of holes and slots, on both faces."""
    spots = [(v.x, v.y, "corner") for v in part.outline] + [(h.x, h.y, "centre of hole") for h in part.holes]
    spots += [(s.x, s.y, "centre of slot") for s in part.slots]
    for x, y, what in spots:
        for z in (part.placement.z, part.placement.z + part.thickness):
            yield (*in_detail(part, (x, y)), z, what)
