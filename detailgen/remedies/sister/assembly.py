"""From a chosen sister to the joint as it is built: parts, bolts, zones, reasons, order of work. Axes of the web, from its middle."""

from __future__ import annotations

import math

import numpy as np

from detailgen.core.clause import Cite
from detailgen.core.result import CheckResult
from detailgen.core.tolerance import rounded_length
from detailgen.core.units import UnitSystem
from detailgen.model.detail import Bolt, Detail, Group, Hole, Interface, Part, Placement, PlyLoad, Why, Zone
from detailgen.model.member import Member
from detailgen.model.outlines import rectangle
from detailgen.model.project import Truss
from detailgen.remedies import usual
from detailgen.remedies.contract import Site, lasting
from detailgen.remedies.sister import parameters as p
from detailgen.remedies.sister.judge import Judged
from detailgen.remedies.sister.layout import Layout
from detailgen.remedies.sister.room import Room
from detailgen.remedies.usual import mode_of

OURS = Cite("house rule", "clear of what stands already")
BUILT_UP = Cite("NDS 2018", "15.3.4 (from memory)")
FULL_VALUE = Cite("NDS 2018", "12.5.1", "bolt_least_distances")

NOTES = (
    "Bolted, not glued: glue would need a named approval, and is not offered.",
    "The sister stops short of the chords and takes no force from the joints: it only keeps the web from bending out of the truss.",
    "Judged between two bounds: web and sister slipping freely on one another, and for a sister on one side also both as one piece.",
)


def sister_key(side: str) -> str:
    return f"sister-{side}"


def _length(truss: Truss, web: Member) -> float:
    return math.dist(*(truss.joints[j] for j in web.joints))


def _parts(truss: Truss, web: Member, layout: Layout, at: float) -> tuple[Part, ...]:
    """The web between its surveyed ends and its sisters, far to near; ``at`` is the sister's middle from the web's (in)."""
    ply, sister, lead = web.plies[0], layout.sister, truss.bolts_from
    template = sister_key(lead)
    low, high = ply.z - ply.thickness / 2, ply.z + ply.thickness / 2
    places = [(x, y) for x in layout.columns for y in layout.lines]
    size = layout.diameter + usual.HOLE_OVER_BOLT
    ends = [next((c.end for c in truss.connections if c.member == web.name and c.joint == j), 0.0) for j in web.joints]
    half = _length(truss, web) / 2
    old = Part(
        f"ply-{ply.name}", "ply", f"web {web.name}", rectangle(-half - ends[0], half + ends[1], ply.depth),
        tuple(Hole(rounded_length(at + x), y, size, "B1", template) for x, y in places), (), ply.thickness, Placement(0.0, 0.0, low), "wood",
        f"{ply.wood.species} {ply.wood.grade}", 0.0, True, usual.WOOD_WEIGHT, facts=ply.wood.facts,
    )  # fmt: skip
    new = {
        side: Part(
            sister_key(side), "sister", f"{side} sister", rectangle(-layout.length / 2, layout.length / 2, sister.depth),
            tuple(Hole(x, y, size, "B1", "" if side == lead else template) for x, y in places), (), sister.thickness,
            Placement(at, 0.0, high if side == "near" else low - sister.thickness), "wood",
            f"{sister.wood.species} {sister.wood.grade}, dry", 0.0, False, usual.WOOD_WEIGHT, facts=sister.wood.facts,
        )
        for side in sister.sides
    }  # fmt: skip
    return tuple(part for part in (new.get("far"), old, new.get("near")) if part is not None)


def _zones(truss: Truss, web: Member, room: Room, layout: Layout) -> tuple[Zone, ...]:
    """Where the sister may not reach, and no-drill zones of the web."""
    half, depth = _length(truss, web) / 2, web.plies[0].depth
    found = []
    for start, end, why in ((-half, room.start - p.CLEAR - half, room.at_start), (room.end + p.CLEAR - half, half, room.at_end)):
        found.append(Zone((start + end) / 2, 0.0, end - start, depth, why))
    found += [Zone(z.along - half, z.across, z.length, z.depth, z.kind) for z in truss.zones if z.member == web.name]
    return tuple(found)


def _whys(layout: Layout, room: Room, units: UnitSystem) -> tuple[Why, ...]:
    D, sister = layout.diameter, layout.sister
    thinnest = layout.greatest_spacing / p.GREATEST_SPACING
    found = [
        Why(f"to the sister, {room.at_start}", "at least", room.start, sister.start, OURS),
        Why(f"to the sister, {room.at_end}", "at least", room.length - room.end, room.length - sister.end, OURS),
        Why("greatest spacing of bolts", "at most 6 times the thinnest timber", layout.greatest_spacing, layout.spacing, BUILT_UP),
        Why("spacing in a row", "for the full value", p.SPACING * D, layout.spacing, FULL_VALUE),
        Why("end distance", "for the full value", p.END * D, layout.end, FULL_VALUE),
        Why("edge distance", "at least", p.EDGE * D, layout.edge, FULL_VALUE),
    ]
    if len(layout.lines) > 1:
        rule = units.told(f"two rows: deeper than 3 times the thinnest timber ({p.ONE_ROW_UP_TO * thinnest:g} in.)")
        found.append(Why("distance between rows", rule, p.GAUGE * D, layout.gauge, BUILT_UP))
    return tuple(found)


def _group(parts: tuple[Part, ...], layout: Layout, at: float, judged: Judged) -> Group:
    """All bolts. One half of them brings the force into each sister, the other half takes it out again."""
    per_row = len(layout.columns)
    bolts = [r for r in judged.bolts if r.check == "bolts"]
    capacity = next((r.capacity for r in bolts), math.nan) / len(layout.sister.sides)
    most = float(np.abs(judged.brought).max())
    web = next(x.key for x in parts if x.existing)
    new = [x.key for x in parts if not x.existing]
    interfaces = tuple(Interface(web, key, most, capacity, mode_of(bolts)) for key in new)
    pulled, pushed = max(float(judged.brought.max()), 0.0), max(float(-judged.brought.min()), 0.0)
    loads = tuple(
        PlyLoad(x.key, pulled * times, pushed * times, 0.0, lasting(judged.brought * times, judged.durations))
        for x in parts for times in (len(new) if x.existing else 1,)
    )  # fmt: skip
    positions = tuple((rounded_length(at + x), y) for x in layout.columns for y in layout.lines)
    return Group("B1", layout.diameter, positions, tuple(x.key for x in parts), interfaces, loads, len(layout.lines), per_row, layout.spacing,
                 layout.gauge)  # fmt: skip


def _where(web: Member, room: Room, layout: Layout, units: UnitSystem) -> str:
    """How the crew finds the place."""
    a, b = web.joints
    left, right = (a, b) if layout.sister.sides != ("far",) else (b, a)  # drawn from the far side, x runs the other way
    near, far = units.write_length(layout.sister.start), units.write_length(room.length - layout.sister.end)
    return (
        f"WP is the middle of the web between the work points of its joints: {left} is at the left here, {right} at the right. "
        f"Along the web the sister begins {near} from the work point of {a} and ends {far} from that of {b}."
    )


def _order(layout: Layout, lead: str) -> list[tuple[str, tuple[str, ...]]]:
    keys = tuple(sister_key(s) for s in layout.sister.sides)
    both = len(keys) == 2
    one_by_one = "No timber is cut, but every hole weakens the web while it is open: work without snow on the roof, one column of bolts at a time."
    return [
        (one_by_one, ()),
        ("Look the web over: straight, sound, ends tight. A split or a bow over what the survey says is told to the engineer before anything is "
         "drilled.", ()),
        (f"Clamp the {'sisters' if both else 'sister'} tight to the web from end to end, at the drawn distance from the joint; the {lead} one is "
         "the drilling template.", keys),
        ("Drill and bolt the column in the middle first, then outward to both ends; drill square, check the exit side of the first hole.", ()),
        ("Set bolts with washers under head and nut, tighten snug so that the faces touch, check again after the wood has dried for a season.", ()),
    ]  # fmt: skip


def build_detail(
    truss: Truss, site: Site, web: Member, room: Room, judged: Judged, results: tuple[CheckResult, ...], units: UnitSystem,
) -> Detail:  # fmt: skip
    layout = judged.layout
    at = rounded_length(layout.middle - _length(truss, web) / 2)
    parts = _parts(truss, web, layout, at)
    low, high = parts[0].placement.z, parts[-1].placement.z + parts[-1].thickness
    ordered = layout.ordered
    bolts = tuple(
        Bolt("B1", rounded_length(at + x), y, layout.diameter, low, high, ordered.length, usual.BOLT_GRADE, 2 + ordered.packing_washers,
             truss.bolts_from)
        for x in layout.columns for y in layout.lines
    )  # fmt: skip
    notes: tuple[str, ...] = (_where(web, room, layout, units), *NOTES)
    if ordered.packing_washers:
        notes = (*notes, f"{ordered.packing_washers} more washers under each nut: the thread ends before it would be tight.")
    order = _order(layout, truss.bolts_from)
    return Detail(
        key=site.key, title=f"Sister on {'both sides' if len(layout.sister.sides) == 2 else 'one side'} of web {web.name}", truss=site.truss,
        remedy="sister", member=web.name, station=site.x, parts=parts, bolts=bolts, groups=(_group(parts, layout, at, judged),),
        zones=_zones(truss, web, room, layout), whys=_whys(layout, room, units), order=tuple(text for text, _ in order),
        notes=notes, results=results, brings=tuple(k for _, k in order), shores="none: no timber is cut",
    )  # fmt: skip
