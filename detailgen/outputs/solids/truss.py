"""The whole repaired truss as an assembly: timbers cut and drilled as the repairs leave them, old work, and each repair as a sub-assembly.

Lengths of old bolts are not surveyed: they are drawn just long enough, with heads and nuts in the usual proportion to their diameter, no washers.
Shores are temporary: the room that a jack on its post is taken to need, where the work in stages or the repair's sheet places it.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from detailgen.core.errors import OutputError
from detailgen.model.detail import ACROSS, EDGES, FROM_LEFT, FROM_RIGHT, ON_TOP, UNDER, Detail, Part, Placement, Vertex
from detailgen.model.outlines import circle_of, edges_of
from detailgen.model.package import Package, Repaired
from detailgen.model.project import Truss
from detailgen.model.shores import BLOCK, HIGH, WIDE, shore_places
from detailgen.model.timbers import (
    OLD_END,
    OLD_FLATS,
    OLD_HEAD,
    OLD_HOLE,
    OLD_NUT,
    OldBolt,
    drilled,
    old_work,
    outline_in_place,
    timbers,
)  # fmt: skip
from detailgen.model.work_points import WorkPoint, edge_side, point_at, work_point
from detailgen.outputs.solids.assembly import EXISTING, EXISTING_STEEL, NEW, SHORING, TEMPORARY, Frame, Instance, Product, Shop
from detailgen.outputs.solids.hardware import HexBolt, HexNut

Point = tuple[float, float]
STRAND = "strand"
EDGE = 0.02
"""A hole nearer than this (in) to an edge of its part, or to another hole, is not drilled: the survey's numbers contradict each other there."""
SAME_LAYER = 1e-3


def origin_of(truss: Truss, detail: Detail) -> WorkPoint:
    """Where a detail's work point is in the truss, and how its member runs there; at a chord's end it is on the axis, wherever the end stands."""
    if detail.axis in EDGES:
        return _on_edge(truss, detail)
    if detail.axis != ACROSS:
        return WorkPoint(detail.station, truss.joints[truss.member(detail.member).joints[0 if detail.axis == FROM_LEFT else -1]][1], 0.0)
    found = work_point(truss, detail.member, detail.station, detail.joint)
    if found is None:
        raise OutputError(f"detail {detail.key} stands at {detail.station:g} in., where {detail.member} has no panel")
    return found


def _on_edge(truss: Truss, detail: Detail) -> WorkPoint:
    """The place on the member's edge, and the direction that is up and off the edge to its left: along the detail's y, less a quarter turn."""
    found = work_point(truss, detail.member, detail.station)
    if found is None:
        raise OutputError(f"detail {detail.key} stands at {detail.station:g} in., where {detail.member} has no panel")
    side = edge_side(found.angle, detail.axis)
    x, y = found.place(0.0, side * max(p.depth for p in truss.member(detail.member).plies) / 2)
    return WorkPoint(x, y, found.angle + (0.0 if side > 0 else math.pi) - math.pi / 2)


TURN = {ACROSS: 0.0, FROM_LEFT: -math.pi / 2, FROM_RIGHT: math.pi / 2, ON_TOP: -math.pi / 2, UNDER: -math.pi / 2}
"""By how much a detail is turned about the truss's upward axis (rad)."""


def _frame(at: WorkPoint, detail: Detail) -> Frame:
    edge = detail.axis in EDGES
    return Frame(at.x, at.y, 0.0, 0.0 if edge else at.angle, turn=TURN[detail.axis], last=at.angle if edge else 0.0)


def assembly_of_truss(one: Repaired, package: Package) -> Product:
    """``existing``: timbers, old plates and blocking, old bolts; ``new``: one sub-assembly per repair; ``temporary``: shores.

    Raises: OutputError where a record makes no valid piece
    """
    truss = one.before.truss
    shop = Shop(package)
    gone = frozenset(where for d in one.details for where in (*d.removed, *(d.drawn if d.held else ())))
    old_parts, _ = old_work(truss, gone)
    bolts = _apart(old_work(truss)[1])  # of those that come out the holes stay
    standing = [q for p in timbers(truss) for q in _as_repaired(p, one.details, truss)]
    existing = [shop.part("", _with_old_holes(p, bolts)) for p in (*standing, *old_parts)]
    existing += [_old_bolt(shop, b, k) for k, b in enumerate((b for b in bolts if b.where not in gone), start=1)]
    new = [_repair(shop, d, truss, n, bolts) for d in _strung(one.details) for n in range(d.times)]
    groups = ((EXISTING, existing), (NEW, new), (TEMPORARY, _shores(one, shop)))
    return Product(f"truss {truss.mark}", children=[Instance(name, Product(name, children=c), Frame()) for name, c in groups if c])


def _strung(details: Sequence[Detail]) -> list[Detail]:
    """Strands run from one end of their chord to the other: with the left end they are drawn whole, with the right end not again."""
    ends = {d.axis: d for d in details if d.axis != ACROSS and any(p.kind == STRAND for p in d.parts)}
    if len(ends) < 2:
        return list(details)
    left, right = ends[FROM_LEFT], ends[FROM_RIGHT]
    tail = max(p.placement.z + p.thickness for p in right.parts if p.kind == STRAND)
    far = round(left.station - right.station - tail, 6)  # in the axes of the left end, whose z runs outward

    def whole(part: Part) -> Part:
        if part.kind != STRAND:
            return part
        at = part.placement
        return replace(part, placement=replace(at, z=far), thickness=round(at.z + part.thickness - far, 6))

    strung = replace(left, parts=tuple(whole(p) for p in left.parts))
    bare = replace(right, parts=tuple(p for p in right.parts if p.kind != STRAND))
    return [strung if d is left else bare if d is right else d for d in details]


def _repair(shop: Shop, detail: Detail, truss: Truss, number: int, bolts: Sequence[OldBolt]) -> Instance:
    """A repair's new parts where they stand; ``number``: which of the stations where the same joint is built.

    Old bolts that were drawn for the work are back: what is new there is drilled for them.
    """
    at = origin_of(truss, detail if not number else replace(detail, station=detail.also_at[number - 1]))
    name = detail.key if detail.times == 1 else f"{detail.key}.{number + 1}"
    back = [replace(b, x=u, y=v) for b in bolts if b.where in detail.drawn for u, v in (at.seen(b.x, b.y),)]
    children = [shop.part(detail.key, _with_old_holes(p, back)) for p in detail.parts if not p.existing]
    return Instance(name, Product(name, children=[*children, *shop.bolts(detail)]), _frame(at, detail))


def _shores(one: Repaired, shop: Shop) -> list[Instance]:
    """Under each shored joint a block for each ply, and under the blocks one shaft for jack and post."""
    shaft = Product("room of a jack and its post", _block("shaft", WIDE, BLOCK - HIGH, 0.0, WIDE), SHORING)
    blocks: dict[tuple[float, float], Product] = {}
    found = []
    for place in shore_places(one):
        children = []
        for k, (low, high) in enumerate(place.plies, start=1):
            size = (round(place.block, 6), round(high - low, 6))
            if size not in blocks:
                name = f"block under a ply, {shop.size(size[0])} x {shop.size(size[1])}"
                blocks[size] = Product(name, _block("block", size[0], -BLOCK, 0.0, size[1]), SHORING)
            children.append(Instance(f"block {k} at {place.joint}", blocks[size], Frame(z=low)))
        middle = (place.plies[0][0] + place.plies[-1][1]) / 2
        children.append(Instance(f"jack and post at {place.joint}", shaft, Frame(y=-BLOCK, z=middle - WIDE / 2)))
        shore = Product(f"shore at {place.joint}", children=children)
        found.append(Instance(f"shore at {place.joint} (temporary)", shore, Frame(place.x, place.y)))
    return found


def _block(name: str, length: float, low: float, high: float, thickness: float) -> Part:
    outline = (Vertex(-length / 2, low), Vertex(length / 2, low), Vertex(length / 2, high), Vertex(-length / 2, high))
    return Part(name, "shore", name, outline, (), (), thickness, Placement(0, 0, 0), "", "", math.nan, False, 0.0)


def _apart(bolts: Sequence[OldBolt]) -> list[OldBolt]:
    """Bolts that the survey gives twice, once for each of the members that they join, count once."""
    kept: list[OldBolt] = []
    for bolt in bolts:
        near = (k for k in kept if math.dist((k.x, k.y), (bolt.x, bolt.y)) < (k.diameter + bolt.diameter) / 2 + OLD_HOLE + EDGE)
        if not any(min(k.high, bolt.high) > max(k.low, bolt.low) for k in near):
            kept.append(bolt)
    return kept


def _as_repaired(part: Part, details: Iterable[Detail], truss: Truss) -> list[Part]:
    """A timber in the pieces in which splices, old and new, leave it, with the repairs' holes."""
    member, ply = part.key.split("/")
    pieces, holes = [part], []
    for s in truss.splices:
        if (s.chord, s.ply) == (member, ply) and not s.new:
            pieces = _cut(pieces, point_at(truss, truss.member(s.chord), s.x) or WorkPoint(s.x, 0.0, 0.0), 0.0, 0.0)
    for detail in (replace(d, station=x) for d in details if d.axis == ACROSS for x in (d.station, *d.also_at)):
        if member not in (detail.member, *detail.beside):
            continue
        at = origin_of(truss, detail)
        mine = [p for p in detail.parts if p.existing and abs(p.placement.z - part.placement.z) < SAME_LAYER]
        spans = sorted((min(x for x, _ in o), max(x for x, _ in o)) for o in (outline_in_place(p) for p in mine))
        for (_, left), (right, _) in itertools.pairwise(spans) if not detail.joint else ():
            pieces = _cut(pieces, at, left, right)
        if detail.removed:
            pieces = _cut_back(pieces, at, detail, member, ply)
        holes += [(*at.place(*_in_detail(p, h.x, h.y)), h.diameter) for p in mine for h in p.holes]
    pieces = [drilled(q, [h for h in holes if _inside(q, h)]) for q in pieces]  # when all cuts are made
    if len(pieces) == 1:
        return pieces
    return [replace(q, key=f"{part.key}/{k}", name=f"{part.name}, piece {k}") for k, q in enumerate(pieces, start=1)]


def _cut_back(pieces: list[Part], at: WorkPoint, detail: Detail, member: str, ply: str) -> list[Part]:
    """A chord's end at a heel, square to its axis where the detail has it."""
    shown = next((p for p in detail.parts if p.key == f"ply-{member.replace(' ', '-')}-{ply}"), None)
    if shown is None or len(shown.open_ends) != 1:
        return pieces
    x0, y0 = at.place(shown.placement.x, shown.placement.y)
    xs = [v.x for v in shown.outline]
    way = WorkPoint(x0, y0, at.angle + shown.placement.angle)
    low = abs(shown.open_ends[0] - max(xs)) < SAME_LAYER  # it runs on to the end of its own x axis
    kept = [(q, _kept(q, way, min(xs), -1) if low else _kept(q, way, max(xs), 1)) for q in pieces]
    return [replace(q, outline=k) for q, k in kept if k is not None]


def _in_detail(part: Part, x: float, y: float) -> Point:
    c, s = math.cos(part.placement.angle), math.sin(part.placement.angle)
    return part.placement.x + c * x - s * y, part.placement.y + s * x + c * y


def _cut(pieces: list[Part], at: WorkPoint, left: float, right: float) -> list[Part]:
    """Take out what lies between two stations along a member, square to it."""
    out: list[Part] = []
    for piece in pieces:
        halves = [_kept(piece, at, left, 1), _kept(piece, at, right, -1)]
        out += [replace(piece, outline=h) for h in halves if h is not None]
    return out


def _kept(piece: Part, at: WorkPoint, station: float, side: int) -> tuple[Vertex, ...] | None:
    """The outline on the left (1) or right (-1) of a line square to the member; None where nothing is left."""
    x0, y0 = at.place(station, 0.0)
    c, s = math.cos(at.angle), math.sin(at.angle)

    def over(v: Vertex) -> float:
        return side * (c * (v.x - x0) + s * (v.y - y0))

    kept: list[Vertex] = []
    for a, b in edges_of(piece.outline):
        crosses = (over(a) < -1e-9 and over(b) > 1e-9) or (over(a) > 1e-9 and over(b) < -1e-9)
        cut, before, after = _crossing(a, b, over) if crosses else (b, a.bulge, 0.0)
        if over(a) <= 1e-9:
            kept.append(replace(a, bulge=before if crosses or over(b) <= 1e-9 else 0.0))
        if crosses:
            kept.append(replace(cut, bulge=after if over(b) < 0 else 0.0))
    return tuple(kept) if len(kept) > 2 else None


def _crossing(a: Vertex, b: Vertex, over: Callable[[Vertex], float]) -> tuple[Vertex, float, float]:
    """Where the edge from a to b, straight or an arc, meets a line once; and the bulges of its two parts."""
    if not a.bulge:
        t = over(a) / (over(a) - over(b))
        return Vertex(round(a.x + t * (b.x - a.x), 6), round(a.y + t * (b.y - a.y), 6)), 0.0, 0.0
    turn = 4 * math.atan(a.bulge)
    cx, cy, radius = circle_of(a, b)
    start = math.atan2(a.y - cy, a.x - cx)

    def at(t: float) -> Vertex:
        return Vertex(cx + radius * math.cos(start + t * turn), cy + radius * math.sin(start + t * turn))

    low, high = 0.0, 1.0
    for _ in range(60):
        t = (low + high) / 2
        low, high = (t, high) if over(at(t)) * over(a) > 0 else (low, t)
    return at(low), math.tan(low * turn / 4), math.tan((1 - low) * turn / 4)


def _inside(part: Part, hole: tuple[float, float, float]) -> bool:
    """Does a hole lie whole in a part, clear of its edges and of its other holes?"""
    x, y, diameter = hole
    outline = outline_in_place(part, 0.01)
    crossings = 0
    for (ax, ay), (bx, by) in zip(outline, (*outline[1:], outline[0]), strict=True):
        if (ay > y) != (by > y) and x < ax + (y - ay) * (bx - ax) / (by - ay):
            crossings += 1
        length = (bx - ax) ** 2 + (by - ay) ** 2
        t = 0.0 if length == 0 else max(0.0, min(1.0, ((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / length))
        if math.dist((x, y), (ax + t * (bx - ax), ay + t * (by - ay))) < diameter / 2 + EDGE:
            return False
    others = ((*_in_detail(part, h.x, h.y), h.diameter) for h in part.holes)
    return crossings % 2 == 1 and all(math.dist((x, y), (ox, oy)) > (diameter + other) / 2 + EDGE for ox, oy, other in others)


def _with_old_holes(part: Part, bolts: Sequence[OldBolt]) -> Part:
    """The part with the holes of the old bolts that pass it."""
    low, high = part.placement.z, part.placement.z + part.thickness
    xs, ys = zip(*outline_in_place(part), strict=True)
    near = [b for b in bolts if min(xs) - 1 < b.x < max(xs) + 1 and min(ys) - 1 < b.y < max(ys) + 1]
    for b in near:
        hole = (b.x, b.y, b.diameter + OLD_HOLE)
        if b.low < high - SAME_LAYER and b.high > low + SAME_LAYER and _inside(part, hole):
            part = drilled(part, [hole])
    return part


def _old_bolt(shop: Shop, bolt: OldBolt, number: int) -> Instance:
    size, grip = shop.size(bolt.diameter), bolt.high - bolt.low
    key = (bolt.diameter, 0.0, round(grip, 6), 0, "old")
    if key not in shop.sets:
        nut, flats = OLD_NUT * bolt.diameter, OLD_FLATS * bolt.diameter
        head = HexBolt(bolt.diameter, round(grip + nut + OLD_END * bolt.diameter, 6), flats, OLD_HEAD * bolt.diameter)
        pieces = (("bolt", head, 0.0), ("nut", HexNut(bolt.diameter, flats, nut), -grip - nut))
        children = [Instance(name, shop.piece(p, f"old {name} {size} (E)", EXISTING_STEEL), Frame(z=z)) for name, p, z in pieces]
        shop.sets[key] = Product(f"old bolt {size}, grip {shop.size(grip)} (E)", children=children)
    return Instance(f"old bolt {number}, {bolt.where} (E)", shop.sets[key], Frame(bolt.x, bolt.y, bolt.high))
