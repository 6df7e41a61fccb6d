"""From a chosen pattern to the joint as it is built. Axes of the end: x from the joint into the web, y to its left, z toward the viewer."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

from detailgen.assessment.bolts import GroupPart
from detailgen.core.tolerance import rounded_length, up_to_grid
from detailgen.core.units import UnitSystem
from detailgen.model.assessment import Floats
from detailgen.model.detail import MARKED_OUT, Bolt, Detail, Group, Hole, Interface, Part, Placement, PlyLoad, Vertex, Why, Zone
from detailgen.model.member import Wood
from detailgen.model.outlines import rectangle
from detailgen.model.project import Truss
from detailgen.remedies import usual
from detailgen.remedies.contract import Site
from detailgen.remedies.usual import mode_of
from detailgen.remedies.web_end import parameters as p
from detailgen.remedies.web_end.judge import Judged
from detailgen.remedies.web_end.lap import Layout, keep_off
from detailgen.remedies.web_end.site import End
from detailgen.stock.plates import shop_grid

STAY = "The new bolts carry the whole force of the web's end. Old bolts stay where they are, tight, and are counted as carrying nothing."
IN_OLD_HOLES = (
    "The holes of the old bolts are drilled out for thicker ones. An old hole that is no longer round, or a split that starts at it, is told to the "
    "engineer before it is drilled."
)
NOTES = (
    "Ends of the web and edges of the chord are as surveyed: measure both before drilling. Where an end or edge distance is less than drawn, stop.",
)
LEAST_SHOWN = 1e-6


def _key(end: End, q: GroupPart) -> str:
    """The web's parts come first: they are the ones that the views are laid over."""
    return f"end-{q.ply}" if q.member == end.web.name else f"ply-{q.member.replace(' ', '-')}-{q.ply}"


def _wood(truss: Truss, q: GroupPart) -> Wood:
    return next(ply.wood for m in truss.members if m.name == q.member for ply in m.plies if ply.name == q.ply)


def _ends(end: End, q: GroupPart, reach: float) -> tuple[float, float, tuple[float, ...]]:
    """From x to x of a part's own axes, and where it runs on beyond what is drawn."""
    low, high = max(q.ends[0], -reach), min(q.ends[1], reach)
    if q.member == end.web.name:
        return -end.connection.end, reach, (reach,)
    return low, high, tuple(x for x, limit in ((low, q.ends[0]), (high, q.ends[1])) if x != limit)


def timbers_of(truss: Truss, end: End, layout: Layout, reach: float) -> list[Part]:
    near = max(layout.drilled, key=lambda q: q.high)
    found = []
    for q in layout.drilled:
        own = q.member == end.web.name
        angle = 0.0 if own else end.chord_angle(truss, truss.member(q.member))
        x1, x2, opens = _ends(end, q, reach)
        c, s = math.cos(angle), math.sin(angle)
        template = MARKED_OUT if q is near else _key(end, near)
        holes = tuple(
            Hole(rounded_length(x * c + y * s), rounded_length(-x * s + y * c), layout.diameter + usual.HOLE_OVER_BOLT, "B1", template)
            for x, y in layout.bolts
        )
        wood = _wood(truss, q)
        kind = f"web {q.member}" if own else q.member
        several = len(truss.member(q.member).plies) > 1
        found.append(
            Part(_key(end, q), "ply", f"{q.ply} ply of the {kind}" if several else kind, rectangle(x1, x2, q.depth), holes, (), q.thickness,
                 Placement(0.0, 0.0, q.low, angle), "wood", f"{wood.species} {wood.grade}", 0.0, True, usual.WOOD_WEIGHT, open_ends=opens)
        )  # fmt: skip
    return found


def fillers_of(truss: Truss, end: End, layout: Layout, system: str) -> list[Part]:
    """Blocks in open gaps between the timbers, at all bolts: no bolt crosses an open gap."""
    xs, ys = [x for x, _ in layout.bolts], [y for _, y in layout.bolts]
    grid = shop_grid(system).plate_length
    beyond = up_to_grid(2 * layout.diameter, grid)
    depth, half = 2 * up_to_grid(max(abs(y) for y in ys) + beyond, grid), beyond
    template = _key(end, max(layout.drilled, key=lambda q: q.high))
    wood = _wood(truss, layout.drilled[0])
    found = []
    for number, filler in enumerate(layout.connection.fillers, start=1):
        x1 = min(xs) - half
        holes = tuple(Hole(rounded_length(x - x1), y, layout.diameter + usual.HOLE_OVER_BOLT, "B1", template) for x, y in layout.bolts)
        outline = (Vertex(0.0, -depth / 2), Vertex(max(xs) + half - x1, -depth / 2), Vertex(max(xs) + half - x1, depth / 2), Vertex(0.0, depth / 2))
        found.append(
            Part(f"filler-{number}", "filler", "filler block", outline, holes, (), filler.thickness,
                 Placement(x1, 0.0, filler.z - filler.thickness / 2), "wood", f"{wood.species} No.2, dry", 0.0, False, usual.WOOD_WEIGHT)
        )  # fmt: skip
    return found


def part_load(part: Part, group: str, way: float) -> float:
    """The angle of a load as the record has it, for a force of a group's bolts on a part in the direction ``way`` of the end while the web is in
    tension: counted from the grain, away from where the part runs on, or from its middle to the bolts (rad)."""
    low, high = min(v.x for v in part.outline), max(v.x for v in part.outline)
    if len(part.open_ends) == 1:
        base = math.pi if part.open_ends[0] > (low + high) / 2 else 0.0
    else:
        held = [h.x for h in part.holes if h.bolt == group]
        base = 0.0 if sum(held) / len(held) >= (low + high) / 2 else math.pi
    return math.remainder(way - part.placement.angle - base, 2 * math.pi)


def _load(part: Part, pulled: float, pushed: float, own: bool) -> PlyLoad:
    """The force on a part while the web is in tension: on the web towards its end, on a chord along the web, at an angle to its grain."""
    return PlyLoad(part.key, pulled, pushed, 0.0 if own else part_load(part, "B1", 0.0))


def group_of(end: End, layout: Layout, parts: Sequence[Part], judged: Judged, axial: Floats) -> Group:
    pulled, pushed = max(float(axial.max()), 0.0), max(float(-axial.min()), 0.0)
    timbers = [x for x in parts if x.kind == "ply"]
    mine = [x for x in timbers if x.key.startswith("end-")]
    touching = [(a, b) for a, b in itertools.pairwise(timbers) if (a in mine) != (b in mine)
                and b.placement.z - a.placement.z - a.thickness < 1 / 8]  # fmt: skip
    bolts = [r for r in judged.place.results if r.check == "bolts"]
    capacity = min((r.capacity for r in bolts), default=math.nan)
    share = max(pulled, pushed) / max(len(touching), 1)
    each = capacity * len({r.where for r in bolts}) / max(len(touching), 1)
    faces = tuple(Interface(a.key, b.key, share, each, mode_of(bolts)) for a, b in touching)
    others = {x.key for pair in touching for x in pair if x not in mine}
    crossed = {x.key: sum(x in pair for pair in touching) / len(touching) for x in timbers}
    loads = tuple(_load(x, pulled * crossed[x.key], pushed * crossed[x.key], x in mine) for x in timbers if x in mine or x.key in others)
    return Group("B1", layout.diameter, layout.bolts, tuple(x.key for x in parts), faces, loads, layout.rows, layout.per_row, layout.spacing,
                 layout.gauge)  # fmt: skip


def zones_of(end: End, layout: Layout) -> tuple[Zone, ...]:
    """Round each old bolt: nearer than this no new one may stand."""
    found = []
    for bolt in (b for b in end.old if not (layout.in_old_holes and b.of == end.web.name)):
        off = 2 * keep_off(layout.diameter, bolt.diameter) - 2 * LEAST_SHOWN
        zone = Zone(rounded_length(bolt.x), rounded_length(bolt.y), off, off, f"old bolt of {bolt.of}")
        if zone not in found:
            found.append(zone)
    return tuple(found)


def whys_of(judged: Judged, parts: Sequence[Part], layout: Layout) -> tuple[Why, ...]:
    """Distances of the standard with least left over, each in the part where it is so."""
    named = {q.name: _named(q, parts) for q in layout.drilled}
    found = []
    for check in dict.fromkeys(r.check for r in judged.place.results if r.unit == "in" and r.demand > 0):
        worst = max((r for r in judged.place.results if r.check == check), key=lambda r: round(r.ratio, 6))
        steps = {step.symbol: step.value for step in worst.steps}
        part = next((n for n in named if f"least {check} of {n}" in steps), "")
        full = float(steps.get(f"{check} for the full value", worst.demand))
        if not part:
            found.append(Why(check, "at most", worst.capacity, worst.demand, worst.cite))
        elif worst.capacity >= full - LEAST_SHOWN:
            found.append(Why(f"{check}, (E) {named[part]}", "for the full value", full, worst.capacity, worst.cite))
        else:
            found.append(Why(f"{check}, (E) {named[part]}", "at least", worst.demand, worst.capacity, worst.cite))
    return tuple(found)


def _named(q: GroupPart, parts: Sequence[Part]) -> str:
    timbers = (x for x in parts if x.kind == "ply" and abs(x.placement.z - q.low) < LEAST_SHOWN)
    return next(x.name for x in timbers if abs(x.thickness - q.thickness) < LEAST_SHOWN)


def order_of(layout: Layout, fillers: Sequence[Part]) -> list[tuple[str, tuple[str, ...]]]:
    side = "near side"
    if layout.in_old_holes:
        return [
            ("Work without snow on the roof. One bolt at a time: the others hold the web meanwhile; shore first where it hangs on one.", ()),
            ("Measure the web's end and the chord's edges, look for checks along the line of the bolts, tell the engineer what differs.", ()),
            *([("Fit the filler blocks tight between the timbers: no bolt crosses an open gap.", tuple(f.key for f in fillers))] if fillers else []),
            ("Draw one old bolt, drill its hole out square to the face with a guided bit that follows the old hole, from the near side.", ()),
            ("Set the thicker bolt with washers under head and nut and tighten it snug before the next old bolt is drawn.", ()),
            ("Check all bolts again after the wood has dried for a season.", ()),
        ]
    return [
        ("Work without snow on the roof. No timber is cut and no old bolt is loosened; every open hole weakens the timbers: one bolt at a time.", ()),
        ("Measure the web's end and the chord's edges, look for checks along the line of the bolts, tell the engineer what differs.", ()),
        *([("Fit the filler blocks tight between the timbers: no bolt crosses an open gap.", tuple(f.key for f in fillers))] if fillers else []),
        (f"Strike the web's axis on the chord's face from the work point, mark out every hole on the {side}, check against the old bolts.", ()),
        ("Drill square to the face with a guide, check where the first bit comes out before the next hole.", ()),
        ("Set each bolt with washers under head and nut and tighten it snug before the next hole is drilled. Tighten the old bolts too.", ()),
        ("Check all bolts again after the wood has dried for a season.", ()),
    ]  # fmt: skip


def build_detail(truss: Truss, site: Site, end: End, judged: Judged, axial: Floats, units: UnitSystem) -> Detail:
    layout = judged.layout
    reach = max(max(math.hypot(x, y) for x, y in layout.bolts), max(abs(b.x) for b in end.old)) + p.REACH
    fillers = fillers_of(truss, end, layout, units.name)
    parts = tuple(sorted([*timbers_of(truss, end, layout, reach), *fillers], key=lambda x: (x.placement.z, x.key)))
    low, high = layout.grip
    ordered = layout.ordered
    bolts = tuple(
        Bolt("B1", x, y, layout.diameter, low, high, ordered.length, usual.BOLT_GRADE, 2 + ordered.packing_washers, truss.bolts_from)
        for x, y in layout.bolts
    )
    notes: tuple[str, ...] = (where(end, layout, units), IN_OLD_HOLES if layout.in_old_holes else STAY, *NOTES)
    if ordered.packing_washers:
        notes = (*notes, f"{ordered.packing_washers} more washers under each nut: the thread ends before it would be tight.")
    order = order_of(layout, fillers)
    beside = tuple(dict.fromkeys(q.member for q in layout.drilled if q.member != end.web.name))
    title = f"{'Thicker' if layout.in_old_holes else 'New'} bolts of web {end.web.name} at {end.joint}"
    return Detail(
        key=site.key, title=title, truss=site.truss, remedy="web_end", member=end.web.name,
        station=site.x, parts=parts, bolts=bolts, groups=(group_of(end, layout, parts, judged, axial),), zones=zones_of(end, layout),
        whys=whys_of(judged, parts, layout), order=tuple(text for text, _ in order), notes=notes, results=judged.place.results,
        brings=tuple(k for _, k in order), joint=end.joint, beside=beside,
        drawn=(f"{end.web.name} at {end.joint}",) if layout.in_old_holes else (),
        shores="" if layout.in_old_holes else "none: no timber is cut, no old bolt is drawn",
    )  # fmt: skip


def where(end: End, layout: Layout, units: UnitSystem) -> str:
    other = next(j for j in end.web.joints if j != end.joint)
    first = min(x for x, _ in layout.bolts)
    side = "toward" if first >= 0 else "away from"
    return (
        f"WP is the work point of {end.joint}; to the right here the web runs to {other}. The first new bolts stand {units.write_length(abs(first))} "
        f"from WP along the web, {side} {other}. The truss is turned here so that the web lies level."
    )
