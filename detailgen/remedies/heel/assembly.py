"""From a chosen heel to what is built: parts, bolts, welds, reasons, order of work. Axes: x along the span from the work point, y up."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np

from detailgen.core.clause import Cite
from detailgen.core.tolerance import rounded_length, up_to_grid
from detailgen.core.units import UnitSystem
from detailgen.model.detail import Bolt, Detail, Group, Hole, Interface, Part, Placement, PlyLoad, Vertex, Weld, Why, Zone
from detailgen.model.member import Wood
from detailgen.model.project import Truss
from detailgen.remedies import usual
from detailgen.remedies.contract import Site, lasting
from detailgen.remedies.heel import parameters as p
from detailgen.remedies.heel.bolts import Demand, Heelwork, inner_end, ordered_for, outer_end
from detailgen.remedies.heel.shoe import Shoe, set_off
from detailgen.remedies.heel.site import BOTTOM, TOP, Corner
from detailgen.remedies.usual import mode_of
from detailgen.stock.plates import shop_grid, steel_unit_weight

Point = tuple[float, float]
OURS = Cite("house rule", "common practice, no published source")
BEARING = Cite("NDS 2018", "3.10.1")
SIDES = (("far", -1.0), ("near", 1.0))


def _ring(points: Sequence[Point], *, mirrored: bool) -> tuple[Vertex, ...]:
    """Corners counter-clockwise; ``mirrored``: as the other heel has them."""
    kept = [q for k, q in enumerate(points) if math.dist(q, points[k - 1]) > 1e-6]
    turned = [(-x + 0.0, y) for x, y in reversed(kept)] if mirrored else kept
    return tuple(Vertex(rounded_length(x) + 0.0, rounded_length(y) + 0.0) for x, y in turned)


def _own(corner: Corner, points: Sequence[Point]) -> tuple[Vertex, ...]:
    """Corners along and across the top chord's axis, in the axes of a part that is laid along it: at the right heel across runs downward."""
    kept = [q for k, q in enumerate(points) if math.dist(q, points[k - 1]) > 1e-6]
    turned = [(u, -v) for u, v in reversed(kept)] if corner.inward < 0 else kept
    return tuple(Vertex(rounded_length(u) + 0.0, rounded_length(v) + 0.0) for u, v in turned)


def _laid(shoe: Shoe, z: float) -> Placement:
    """Where a part stands that is laid along the top chord's axis."""
    x, y, slope = shoe.axis
    inward = shoe.corner.inward
    return Placement(rounded_length(inward * x) + 0.0, rounded_length(y) + 0.0, z, slope if inward > 0 else math.pi - slope)


def side_outline(work: Heelwork) -> list[Point]:
    """A side plate at the left heel: along the bottom chord, and up over the shoe to the sides of the top chord."""
    shoe, c = work.shoe, work.shoe.corner
    half, top = c.half, shoe.height / 2
    left, right = outer_end(c, shoe, work.pattern), inner_end(work.pattern)
    front, back = shoe.set_back + p.GRIPS, shoe.back - shoe.length
    # from the shoe's upper inner corner straight down, square to the top chord, to the bottom chord's upper edge
    inner = shoe.at(front, min(shoe.across(front, half), -top))
    over = [(right, half), inner] if inner[0] < right - 1.0 else [(right, half), shoe.at(front, -top)]
    return [(left, -half), (right, -half), *over, shoe.at(front, top), shoe.at(back, top), (left, half)]


def flange_outline(shoe: Shoe, less: float = 0.0) -> list[Point]:
    """A flange along and across the top chord's axis: cut off along the bottom chord. ``less``: so much shorter at the plate."""
    front, back, top = shoe.back - less, shoe.back - shoe.length, shoe.height / 2
    _, y, slope = shoe.axis
    kink = (shoe.corner.half + p.OVER_CHORD - y + top * math.cos(slope)) / math.sin(slope)
    low = [(kink, -top)] if back < kink < front else []
    return [(back, shoe.lowest(back)), *low, (front, shoe.lowest(front)), (front, top), (back, top)]


def _steel(key: str, name: str, outline: tuple[Vertex, ...], holes: Sequence[Hole], thickness: float, at: Placement, stands: bool = False) -> Part:
    return Part(key, "plate", name, outline, tuple(holes), (), rounded_length(thickness), at, "steel", p.PLATE_STEEL, math.nan, False,
                steel_unit_weight(), p.PLATE_FINISH, stands=stands)  # fmt: skip


def _seen(corner: Corner, places: Sequence[Point]) -> list[Point]:
    """Places of the heel's axes in those of the detail."""
    return [(rounded_length(corner.inward * x) + 0.0, rounded_length(y) + 0.0) for x, y in places]


def _along(shoe: Shoe, places: Sequence[Point]) -> list[Point]:
    """Places of the detail in the axes of a part that is laid along the top chord."""
    at = _laid(shoe, 0.0)
    c, s = math.cos(at.angle), math.sin(at.angle)
    return [(rounded_length(c * (x - at.x) + s * (y - at.y)), rounded_length(-s * (x - at.x) + c * (y - at.y))) for x, y in places]


def _chord_outline(shoe: Shoe, deep: float, far: float) -> tuple[Vertex, ...]:
    """The top chord from its end grain on, in its own axes; on a curve its edges are arcs about one centre under it."""
    c, end = shoe.corner, shoe.set_back
    if not c.radius:
        return _own(c, [(end, -deep), (far, -deep), (far, deep), (end, deep)])
    low, high = c.radius - deep, c.radius + deep
    turns = [math.asin((far - end) / r) for r in (low, high)]
    ring = [
        Vertex(end, -deep, -math.tan(turns[0] / 4)), Vertex(far, low * math.cos(turns[0]) - c.radius),
        Vertex(far, high * math.cos(turns[1]) - c.radius, math.tan(turns[1] / 4)), Vertex(end, deep),
    ]  # fmt: skip
    if c.inward < 0:
        ring = [Vertex(ring[k].x, -ring[k].y, ring[k - 1].bulge) for k in range(len(ring) - 1, -1, -1)]
    return tuple(Vertex(rounded_length(v.x), rounded_length(v.y), v.bulge) for v in ring)


def _parts(work: Heelwork, units: UnitSystem) -> list[Part]:
    shoe, q, c = work.shoe, work.pattern, work.shoe.corner
    mirrored, t, w = c.inward < 0, shoe.side, c.width
    first, second = _seen(c, q.bolts), _seen(c, shoe.bolts)
    hole1, hole2 = q.diameter + usual.HOLE_OVER_BOLT, shoe.diameter + usual.HOLE_OVER_BOLT
    found: list[Part] = []
    for ply in c.bottom.plies:
        reach = inner_end(q) + p.SHOWN
        outline = _ring([(-c.end, -c.half), (reach, -c.half), (reach, c.half), (-c.end, c.half)], mirrored=mirrored)
        holes = [Hole(x, y, hole1, "B1", "side-near") for x, y in first]
        name = f"{ply.name} ply of the {BOTTOM}" if len(c.bottom.plies) > 1 else BOTTOM
        found.append(Part(
            f"ply-bottom-chord-{ply.name}", "ply", name, outline, tuple(holes), (), ply.thickness, Placement(0.0, 0.0, ply.z - ply.thickness / 2),
            "wood", f"{ply.wood.species} {ply.wood.grade}", 0.0, True, usual.WOOD_WEIGHT, open_ends=(c.inward * reach,), facts=ply.wood.facts,
        ))  # fmt: skip
    for ply in c.top.plies:
        far, deep = shoe.set_back + p.GRIPS + p.SHOWN, ply.depth / 2
        outline = _chord_outline(shoe, deep, far)
        name = f"{ply.name} ply of the {TOP}" if len(c.top.plies) > 1 else TOP
        found.append(Part(
            f"ply-top-chord-{ply.name}", "ply", name, outline, (), (), ply.thickness, _laid(shoe, ply.z - ply.thickness / 2),
            "wood", f"{ply.wood.species} {ply.wood.grade}", 0.0, True, usual.WOOD_WEIGHT, open_ends=(far,), facts=ply.wood.facts,
        ))  # fmt: skip
    for name, way in SIDES:
        low = way * w / 2 if way > 0 else -w / 2 - t
        holes = [Hole(x, y, hole1, "B1") for x, y in first] + [Hole(x, y, hole2, "B2") for x, y in second]
        found.append(_steel(f"side-{name}", f"{name} side plate", _ring(side_outline(work), mirrored=mirrored), holes, t, Placement(0.0, 0.0, low)))
        low = w / 2 - t if way > 0 else -w / 2
        holes = [Hole(x, y, hole2, "B2") for x, y in _along(shoe, second)]
        found.append(_steel(f"flange-{name}", f"{name} flange of the shoe", _own(c, flange_outline(shoe)), holes, t,
                            _laid(shoe, low)))  # fmt: skip
    up = shoe.height / 2
    x, y = shoe.at(shoe.set_back, 0.0)
    # own x of the plate runs upward square to the chord, own y outward (at the right heel inward)
    thick = (0.0, shoe.plate) if c.inward > 0 else (-shoe.plate, 0.0)
    outline = tuple(Vertex(a, b) for a, b in ((-up, thick[0]), (up, thick[0]), (up, thick[1]), (-up, thick[1])))
    turned = math.pi / 2 + c.inward * shoe.slope
    found.append(_steel("shoe-plate", "plate of the shoe", outline, (), w, Placement(rounded_length(c.inward * x), rounded_length(y), -w / 2, turned),
                        True))  # fmt: skip
    middle, wide = c.body.offset[0], shoe.sole_width
    outline = tuple(Vertex(a, b) for a, b in ((-shoe.sole_length / 2, -shoe.sole), (shoe.sole_length / 2, -shoe.sole), (shoe.sole_length / 2, 0.0),
                                              (-shoe.sole_length / 2, 0.0)))  # fmt: skip
    found.append(_steel("sole", "sole", outline, (), wide, Placement(rounded_length(c.inward * middle), -c.half, -wide / 2), True))
    found += _blocks(work, first, second, units)
    return sorted(found, key=lambda x: (x.placement.z, x.key))


def _blocks(work: Heelwork, first: Sequence[Point], second: Sequence[Point], units: UnitSystem) -> list[Part]:
    """Fillers: no bolt crosses an open gap."""
    shoe, q, c = work.shoe, work.pattern, work.shoe.corner
    grid = shop_grid(units.name).plate_length
    wood = c.bottom.plies[0].wood
    grade, facts = f"{wood.species} No.2, dry", Wood("sawn", wood.species, "No.2").facts
    found = []
    plies = sorted(c.bottom.plies, key=lambda x: x.z)
    for number, (a, b) in enumerate(itertools.pairwise(plies), start=1):
        low, high = a.z + a.thickness / 2, b.z - b.thickness / 2
        if high - low < 1e-6:
            continue
        beyond = up_to_grid(2.5 * q.diameter, grid)
        start, length = q.columns[0] - beyond, q.columns[-1] - q.columns[0] + 2 * beyond
        half = min(c.half, up_to_grid(max(q.lines) + 2 * q.diameter, grid))
        outline = _ring([(start, -half), (start + length, -half), (start + length, half), (start, half)], mirrored=c.inward < 0)
        holes = tuple(Hole(x, y, q.diameter + usual.HOLE_OVER_BOLT, "B1", "side-near") for x, y in first)
        found.append(Part(f"filler-{number}", "filler", "filler block", outline, holes, (), high - low, Placement(0.0, 0.0, low), "wood", grade, 0.0,
                          False, usual.WOOD_WEIGHT, facts=facts))  # fmt: skip
    less = set_off(shoe.leg, units.name)
    holes = tuple(Hole(x, y, shoe.diameter + usual.HOLE_OVER_BOLT, "B2", "side-near") for x, y in _along(shoe, second))
    inside = c.width / 2 - shoe.side
    found.append(Part("spacer", "filler", "block in the shoe", _own(c, flange_outline(shoe, less)), holes, (), rounded_length(2 * inside),
                      _laid(shoe, rounded_length(-inside)), "wood", grade, 0.0, False, usual.WOOD_WEIGHT, facts=facts))  # fmt: skip
    return found


def _groups(work: Heelwork, demand: Demand, parts: Sequence[Part]) -> tuple[Group, Group]:
    shoe, q, c = work.shoe, work.pattern, work.shoe.corner
    plies = [x.key for x in parts if x.key.startswith("ply-bottom")]
    pull = np.maximum(demand.pull, 0.0)
    most, count = float(pull.max()), len(plies)
    bolts = [r for r in work.wood if r.check == "bolts"]
    capacity = min((r.capacity for r in bolts), default=math.nan)
    near = {k: ("side-near", "side-far") if count == 1 else (("side-near",) if k == max(plies, key=lambda x: _z(parts, x)) else ("side-far",))
            for k in plies}  # fmt: skip
    faces = tuple(Interface(k, o, most / count / len(near[k]), capacity / len(near[k]), mode_of(bolts)) for k in plies for o in near[k])
    loads = tuple(PlyLoad(k, most / count, 0.0, 0.0, lasting(pull / count, c.body.durations)) for k in plies)
    through = [x.key for x in parts if x.holes]
    first = tuple(k for k in through if not k.startswith(("flange", "spacer")))
    second = tuple(k for k in through if k.startswith(("flange", "spacer", "side")))
    thrust = float(np.maximum(c.body.thrust, 0.0).max())
    shear = min((r.capacity for r in shoe.results if r.check == "bolts of the bracket in shear"), default=math.nan) * len(shoe.bolts)
    pairs = tuple(Interface(f"flange-{s}", f"side-{s}", thrust / 2, shear, "steel bolts in one plane") for s, _ in SIDES)
    one = Group("B1", q.diameter, tuple(_seen(c, q.bolts)), first, faces, loads, q.rows, q.per_row, q.spacing, q.gauge)
    idle = (PlyLoad("spacer", 0.0, 0.0, 0.0),)
    two = Group("B2", shoe.diameter, tuple(_seen(c, shoe.bolts)), second, pairs, idle, 2, shoe.columns, shoe.pitch, shoe.gauge)
    return one, two


def _z(parts: Sequence[Part], key: str) -> float:
    return next(x.placement.z for x in parts if x.key == key)


def _bolts(work: Heelwork, heads: str) -> list[Bolt]:
    shoe, q, c = work.shoe, work.pattern, work.shoe.corner
    high = c.width / 2 + shoe.side
    first, second = (ordered_for(c, shoe.side, D) for D in (q.diameter, shoe.diameter))
    return [
        Bolt(group, x, y, ordered.diameter, -high, high, ordered.length, usual.BOLT_GRADE, 2 + ordered.packing_washers, heads)
        for group, ordered, places in (("B1", first, q.bolts), ("B2", second, shoe.bolts)) for x, y in sorted(_seen(c, places))
    ]  # fmt: skip


def _welds(shoe: Shoe) -> tuple[Weld, ...]:
    c = shoe.corner
    x, y = shoe.at(shoe.back, shoe.height / 4)
    foot = c.body.offset[0] - shoe.sole_length / 4
    return (
        Weld(c.inward * x, y, "fillet", shoe.leg, tail="inside, both flanges, in the shop"),
        Weld(c.inward * foot, -c.half, "fillet", p.KEEPING, length=p.KEEPING_LENGTH, field=True, tail="outside, both side plates; keeps them only"),
    )


def _zones(corner: Corner, D: float) -> tuple[Zone, ...]:
    found = []
    for x, y, old in corner.old:
        off = rounded_length(2 * p.FROM_OLD * (D + old) / 2 - 2e-6)
        found.append(Zone(rounded_length(corner.inward * x) + 0.0, y, off, off, "old bolt hole"))
    return tuple(found)


def _whys(work: Heelwork) -> tuple[Why, ...]:
    """What the governing dimensions are for: distances of the wood standard with least left over, the rules of the shoe."""
    shoe, c = work.shoe, work.shoe.corner
    found = []
    near = max(c.bottom.plies, key=lambda x: x.z)
    named = f"{near.name} ply of the {BOTTOM}" if len(c.bottom.plies) > 1 else BOTTOM
    for check in dict.fromkeys(r.check for r in work.wood if r.unit == "in" and r.demand > 0):
        worst = max((r for r in work.wood if r.check == check), key=lambda r: round(r.ratio, 6))
        full = next((s.value for s in worst.steps if s.symbol == f"{check} for the full value"), worst.demand)
        most = "outer rows" in check
        least = worst.capacity if most else float(full) if worst.capacity >= float(full) - 1e-6 else worst.demand
        there = worst.demand if most else worst.capacity
        found.append(Why(f"{check}, (E) {named}", "at most" if most else "for the full value" if least != worst.demand else "at least", least, there,
                         worst.cite))  # fmt: skip
    over = min(y for _, y in (shoe.at(a, shoe.lowest(a)) for a in (shoe.back, shoe.back - shoe.length)))
    found += [
        Why("plate of the shoe, height", "the end grain less a margin", rounded_length(c.depth - p.SHORTER), shoe.height, BEARING),
        Why("shoe over the bottom chord", "clear", p.OVER_CHORD, rounded_length(over - c.half), OURS),
        Why("bolts of the shoe, spacing", "three diameters", p.SPACING * shoe.diameter, min(shoe.gauge, shoe.pitch), Cite("AISC 360-16", "J3.3")),
        Why("bolts of the shoe, to an edge", "one and a half diameters", p.EDGE * shoe.diameter, p.EDGE * shoe.diameter, Cite("AISC 360-16", "J3.4")),
    ]  # fmt: skip
    return tuple(found)


def _order(work: Heelwork, parts: Sequence[Part], units: UnitSystem) -> list[tuple[str, tuple[str, ...]]]:
    shoe, c = work.shoe, work.shoe.corner
    length = units.write_length
    blocks = tuple(x.key for x in parts if x.key.startswith("filler"))
    cut = f"Cut {length(shoe.cut)} off the top chord, square to its axis. " if shoe.cut > 1e-6 else "Leave the top chord's end where it is. "
    return [
        ("Work without snow on the roof. Shores by the sheet of the work; the heel is worked on only while nothing presses on its seat.", ()),
        ("Jack as the sheet of the work says until the heel is free: a strip of paper slides between truss and seat. Tie wall and chord, strap the "
         "loose ends of both chords together.", ()),
        (f"Take out the old shoe, straps and bolts. {cut}Plane the end grain flat and square: the plate must touch all of it.", ()),
        ("Look at the end grain and the bottom chord's end for decay with an awl; what is soft is told to the engineer before anything goes in.", ()),
        ("Fit the filler tight between the plies at every bolt: no bolt crosses an open gap." if blocks else "", blocks),
        (f"Bed the sole on the seat at its height: its upper face is at the chord's underside, {length(c.half)} under the work point.", ("sole",)),
        ("Set the shoe against the end grain; it is one piece, welded and galvanized in the shop.",
         ("shoe-plate", "flange-far", "spacer", "flange-near")),
        ("Stand the side plates on the sole, tight to timber and shoe, and put in the bolts of the shoe.", ("side-far", "side-near")),
        ("Drive the shoe against the end grain; a gap of more than a sheet of paper is filled with thickened epoxy, not with wood.", ()),
        ("Drill through the near side plate square into chord and far plate, one bolt set before the next hole is drilled; tighten snug.", ()),
        ("Let the truss down on the sole evenly; then lay the keeping fillets. Hot work beside old timber: shield, water, a watch of an hour.", ()),
        ("Check all bolts again after the wood has dried for a season.", ()),
    ]  # fmt: skip


def build_detail(truss: Truss, site: Site, work: Heelwork, demand: Demand, units: UnitSystem) -> Detail:
    shoe, c = work.shoe, work.shoe.corner
    parts = tuple(_parts(work, units))
    order = [(text, keys) for text, keys in _order(work, parts, units) if text]
    length = units.write_length
    body = c.body
    k = int(np.argmax(body.thrust))
    notes = [
        f"WP is the work point of {c.joint}: both chords' axes meet there. The top chord's end grain is {length(shoe.set_back)} from it along its "
        "axis.",
        f"Free body under {body.combinations[k]}: thrust {units.write_force(float(body.thrust[k]))}, pull of the bottom chord "
        f"{units.write_force(float(body.tension[k]))}, reaction {units.write_force(float(body.reaction[1][k]))}, {length(abs(body.offset[0]))} "
        f"{'inside' if body.offset[0] >= 0 else 'outside'} of WP; all combinations: analysis/heels.csv.",
        "The new steel carries all: nothing is counted on old shoe, straps or bolts, which come out. Their holes stay open.",
        "Edges of the flanges at the plate, lower edges of the side plates and the sole are finished to bear.",
        "The sole lies where the old seat plate was: seat or bedding is made to its height; the truss is not lifted for good.",
    ]
    bolts = _bolts(work, truss.bolts_from)
    packed = max(b.washers for b in bolts) - 2
    if packed:
        notes.append(f"{packed} more washers under each nut: the thread ends before it would be tight.")
    return Detail(
        key=site.key, title=f"Heel at {c.joint}: new shoe with side plates", truss=site.truss, remedy="heel", member=BOTTOM, station=site.x,
        parts=parts, bolts=tuple(bolts), groups=_groups(work, demand, parts), zones=_zones(c, work.pattern.diameter), whys=_whys(work),
        order=tuple(t for t, _ in order), notes=tuple(notes), results=(*work.wood, *work.results), brings=tuple(b for _, b in order),
        welds=_welds(shoe), joint=c.joint, beside=(TOP,), removed=(f"{BOTTOM} at {c.joint}",),
    )  # fmt: skip
