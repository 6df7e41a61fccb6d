"""From a chosen side member to the joint as it is built: parts, bolts, zones, reasons, order of work. Axes of the chord, from the middle."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from detailgen.core.clause import Cite
from detailgen.core.result import CheckResult
from detailgen.core.tolerance import rounded_length
from detailgen.core.units import UnitSystem
from detailgen.model.detail import PUT_BACK, Bolt, Detail, Group, Hole, Interface, Part, Placement, PlyLoad, Timber, Why, Zone
from detailgen.model.member import Member, Wood
from detailgen.model.outlines import bounds, rectangle
from detailgen.model.project import Truss
from detailgen.model.work_points import measured_along
from detailgen.remedies import usual
from detailgen.remedies.contract import Site, lasting
from detailgen.remedies.side_member import parameters as p
from detailgen.remedies.side_member.judge import BOTH_WAYS, Handed, Judged
from detailgen.remedies.side_member.layout import FAR, GAP, Layout, filler_depth, ring, stack
from detailgen.remedies.side_member.site import Room
from detailgen.remedies.usual import mode_of

OURS = Cite("house rule", "clear of what stands already")
SAWN = Cite("house rule", "what a curve leaves of a straight timber")
BUILT_UP = Cite("NDS 2018", "15.3.4 (from memory)")
FULL_VALUE = Cite("NDS 2018", "12.5.1", "bolt_least_distances")
KIND = "side member"
DRAWN_BEYOND = 12.0
"""Length (in) of the chord that is drawn beyond the timbers, where the panel is so long."""
GROUPS = {"left end": "B1", "between": "B2", "right end": "B3"}

NOTES = (
    "The side members take part in load that comes after them; what the chord carries when they are fitted stays in the chord.",
    "Judged between two bounds: the bolts giving way and no force along the chord passing, and the bolts stiff with the force that their ends pass.",
)


BOTTOM = "bottom chord"


def side_key(side: str) -> str:
    return f"side-{side}"


def _group_of(layout: Layout, x: float) -> str:
    left, right = layout.ends
    return GROUPS["left end" if x in left else "right end" if x in right else "between"]


def _holes(
    layout: Layout, template: str, lift: float = 0.0, along: tuple[float, float] = (-math.inf, math.inf), middle: float = 0.0,
) -> tuple[Hole, ...]:  # fmt: skip
    """Of the columns between two places, from a middle and a height."""
    size = layout.diameter + usual.HOLE_OVER_BOLT
    return tuple(Hole(rounded_length(x - middle), rounded_length(y - lift), size, _group_of(layout, x), template)
                 for x in layout.columns if along[0] <= x <= along[1] for y in layout.lines)  # fmt: skip


def drawn(truss: Truss, member: Member, pair: tuple[str, str], layout: Layout) -> tuple[float, float]:
    """From where to where (x of the detail) the chord is drawn: within its panel, where it bends at the ends of that."""
    t, half = layout.timber, layout.timber.length / 2
    low, high = (truss.joints[j][0] for j in pair)
    left, right = measured_along(truss, member, low, t.at.x), measured_along(truss, member, t.at.x, high)
    return -min(half + DRAWN_BEYOND, math.floor(left * 4) / 4), min(half + DRAWN_BEYOND, math.floor(right * 4) / 4)


def _parts(truss: Truss, member: Member, layout: Layout, reach: tuple[float, float]) -> tuple[Part, ...]:
    """Far to near: chord and timbers between arcs, blocking in the gap."""
    t, lead = layout.timber, truss.bolts_from if truss.bolts_from in layout.timber.sides else layout.timber.sides[0]
    template, half = side_key(lead), layout.timber.length / 2
    plies = {q.name: q for q in member.plies}
    found = []
    for name, low, high in stack(member, t):
        if name in plies:
            ply = plies[name]
            words = f"{name} ply of the {member.name}" if len(plies) > 1 else member.name
            found.append(
                Part(f"ply-{name}", "ply", words, ring(*reach, ply.depth, t.radius), _holes(layout, template), (), ply.thickness,
                     Placement(0.0, 0.0, low), "wood", f"{ply.wood.species} {ply.wood.grade}", 0.0, True, usual.WOOD_WEIGHT, open_ends=reach,
                     facts=ply.wood.facts)
            )  # fmt: skip
        elif name == GAP:
            depth, height = filler_depth(member, layout), (layout.lines[0] + layout.lines[-1]) / 2
            wood = Wood("sawn", member.plies[0].wood.species, "No.2")
            for key, (a, b) in blocks_of(layout):
                middle = rounded_length((a + b) / 2)
                found.append(
                    Part(key, "filler", "blocking", rectangle(-(b - a) / 2, (b - a) / 2, depth), _holes(layout, template, height, (a, b), middle), (),
                         high - low, Placement(middle, rounded_length(height), low), "wood", f"{wood.species} No.2, dry", 0.0, False,
                         usual.WOOD_WEIGHT, facts=wood.facts)
                )  # fmt: skip
        else:
            blank, key = t.stock if t.radius else 0.0, side_key(name.split()[0])
            beside = f"ply-{member.plies[0].name}" if len(plies) == 1 else _touching(member, name == FAR)
            again = tuple(Hole(x, y, D + usual.HOLE_OVER_BOLT, PUT_BACK, beside) for x, y, D in layout.passed)
            facts = (*t.wood.facts, *((("sawn out of", f"{blank:.7g} in"),) if blank else ()))
            found.append(
                Part(key, KIND, name, ring(-half, half, t.depth, t.radius),
                     (*_holes(layout, "" if key == template else template), *again), (), t.thickness, Placement(0.0, 0.0, low), "wood",
                     f"{t.wood.species} {t.wood.grade}, dry", 0.0, False, usual.WOOD_WEIGHT, facts=facts,
                     timber=Timber(sawn_from=blank))
            )  # fmt: skip
    return tuple(found)


def _touching(member: Member, far: bool) -> str:
    """The ply on which a timber lies: its old holes lead the drill."""
    return f"ply-{min(member.plies, key=lambda q: q.z if far else -q.z).name}"


def blocks_of(layout: Layout) -> list[tuple[str, tuple[float, float]]]:
    """Keys of the blocking with its places along the chord (in)."""
    single = len(layout.blocks) == 1
    return [("filler" if single else f"filler-{k}", block) for k, block in enumerate(layout.blocks, start=1)]


def zones_between(member: Member, room: Room, layout: Layout, reach: tuple[float, float]) -> tuple[Zone, ...]:
    """What stands at both ends of the panel, as far as it is drawn."""
    depth, half = max(q.depth for q in member.plies), layout.timber.length / 2
    found = []
    for start, end, why in ((reach[0], -half - p.CLEAR, room.at_start), (half + p.CLEAR, reach[1], room.at_end)):
        if end - start > 1.0:
            found.append(Zone(rounded_length((start + end) / 2), 0.0, rounded_length(end - start), depth, why))
    return tuple(found)


def whys_between(layout: Layout, kind: str) -> tuple[Why, ...]:
    D, t, sense = layout.diameter, layout.timber, "tension" if kind == BOTTOM else "compression"
    found = [
        Why("greatest spacing of bolts", "at most 6 times the thinnest timber", layout.greatest_spacing, layout.spacing, BUILT_UP),
        Why("spacing of columns", "load across the grain, at least", p.SPACING * D, layout.spacing, FULL_VALUE),
        Why("end distance", f"full value across the grain and in {sense}", p.END[kind] * D, layout.end, FULL_VALUE),
        Why("edge distance", "loaded edge, at least", p.EDGE * D, layout.edge, FULL_VALUE),
    ]
    if layout.gauge:
        found.append(Why("distance between rows", "load across the grain, for the full value", p.GAUGE * D, layout.gauge, FULL_VALUE))
    if t.radius:
        _, y0, _, y1 = bounds(ring(-t.length / 2, t.length / 2, t.depth, t.radius))
        found.append(Why("curve and depth out of the stock", "at most its depth", t.stock, rounded_length(y1 - y0), SAWN))
    return tuple(found)


def _groups(parts: tuple[Part, ...], layout: Layout, judged: Judged) -> tuple[Group, ...]:
    durations = tuple(c.duration for c in judged.solved.forces.combinations)
    new = [x for x in parts if x.kind == KIND]
    old = [x for x in parts if x.existing]
    touching = [(a.key, b.key) for a, b in itertools.pairwise(parts) if {a.kind, b.kind} == {"ply", KIND}]
    made = []
    for one in judged.handed:
        where = "a column of bolts between the ends" if one.name == "between" else f"bolts at the {one.name}"
        mine = [r for r in judged.bolts if r.where.startswith(where) and r.check == "bolts"]
        columns = one.columns if one.name != "between" else one.columns[:1]
        most = float(np.hypot(one.across, one.along).max())
        both = max((r.ratio for r in judged.bolts if r.where == where and r.check == BOTH_WAYS), default=0.0)
        capacity = most / both if both else min((r.capacity for r in mine), default=math.nan) / len(new)
        key = GROUPS[one.name]
        loads = []
        for part in (*new, *old):
            times = len(new) / len(old) if part in old else 1.0
            loads += _loads(part, one, times, durations)
        per_column = len(one.columns) / len(columns)
        made.append(Group(
            key, layout.diameter, tuple((x, y) for x in one.columns for y in layout.lines), tuple(x.key for x in parts),
            tuple(Interface(a, b, most * per_column, capacity * per_column, mode_of(mine)) for a, b in touching), tuple(loads),
            len(layout.lines), len(one.columns), layout.spacing, layout.gauge,
        ))  # fmt: skip
    return tuple(sorted(made, key=lambda g: g.key))


def _loads(part: Part, one: Handed, times: float, durations: tuple[str, ...]) -> list[PlyLoad]:
    """What the bolts of a group bring on a part: across its grain, either way, and along it."""
    count = len(one.columns) if one.name == "between" else 1
    across = one.across * times * count
    top = float(np.abs(across).max())
    found = [PlyLoad(part.key, top, top, math.pi / 2, tuple((d, most, most) for d, most, _ in lasting(across, durations)))]
    along = one.along * times * count
    if float(np.abs(along).max()) > 1.0:
        pulled, pushed = max(float(along.max()), 0.0), max(float(-along.min()), 0.0)
        found.append(PlyLoad(part.key, pulled, pushed, 0.0 if not part.existing else math.pi, lasting(along, durations)))
    return found


def _sawing(layout: Layout, units: UnitSystem) -> str:
    t = layout.timber
    if not t.radius:
        return "Side members are straight timber, ends square."
    write = units.write_length
    low, high = t.radius - t.depth / 2, t.radius + t.depth / 2
    return (
        f"Side members are band-sawn to the curve of the chord out of straight timber {units.write_made(t.stock)} deep: lower edge on a radius of "
        f"{write(low)}, upper edge of {write(high)}, {write(t.sagitta)} from the middle to the line between the ends; ends square to the blank. "
        "The pieces are graded after they are sawn, as the curve runs off the grain."
    )


def _where(pair: tuple[str, str], truss: Truss, member: Member, layout: Layout, units: UnitSystem) -> str:
    """How the crew finds the place."""
    write, t = units.write_length, layout.timber
    low, high = (truss.joints[j][0] for j in pair)
    left, right = measured_along(truss, member, low, t.at.x), measured_along(truss, member, t.at.x, high)
    tape = "along the curve of the chord's centre line" if t.radius else "along the chord"
    rows = "Both rows run" if layout.gauge else "The row runs"
    return (
        f"WP is {write(left)} from the work point of {pair[0]} and {write(right)} from that of {pair[1]}, {tape}. The middle of the side members "
        f"stands there, on the centre line. {rows} straight along the tangent at WP."
    )


def order_of(member: Member, layout: Layout, lead: str, press: str) -> list[tuple[str, tuple[str, ...]]]:
    keys = tuple(side_key(s) for s in layout.timber.sides)
    gap = [("Fit the blocking tight between the plies: no bolt crosses an open gap.", ("filler",))] if len(member.plies) > 1 else []
    return [
        ("No timber is cut, but every hole weakens the chord while it is open: work without snow on the roof, one column of bolts at a time.", ()),
        ("Look the chord over: straight, sound, joints tight. A split or a bow over what the survey says is told to the engineer before anything is "
         "drilled.", ()),
        *gap,
        (f"Clamp the side member{'s' if len(keys) > 1 else ''} tight to the chord, WP on WP; the {lead} one is the drilling template.", keys),
        ("Drill and bolt the columns of both ends; drill square, check the exit side of the first hole.", ()),
        (press, ()),
        ("Then drill and bolt the columns between, from the middle outward, and take the press away.", ()),
        ("Washers under head and nut, nuts snug so that the faces touch; check again after the wood has dried for a season.", ()),
    ]  # fmt: skip


@dataclass(frozen=True)
class Told:
    """What the sheet of one place says besides its parts: from where to where the chord is drawn, title, zones, reasons, order with the parts that
    each step brings, notes, old bolts that are drawn, shores."""

    reach: tuple[float, float]
    title: str
    zones: tuple[Zone, ...]
    whys: tuple[Why, ...]
    order: Sequence[tuple[str, tuple[str, ...]]]
    notes: tuple[str, ...]
    drawn: tuple[str, ...] = ()
    shores: str = "none: no timber is cut"


def told_between(
    truss: Truss, member: Member, pair: tuple[str, str], room: Room, layout: Layout, press: str, units: UnitSystem,
) -> Told:  # fmt: skip
    """Of side members between two panel points."""
    t, reach = layout.timber, drawn(truss, member, pair, layout)
    faces = "both faces" if len(t.sides) == 2 else "one face"
    return Told(
        reach, f"Side members on {faces} of the {member.name}, {pair[0]} to {pair[1]}", zones_between(member, room, layout, reach),
        whys_between(layout, member.kind), order_of(member, layout, lead_of(truss, layout), press),
        (_where(pair, truss, member, layout, units), _sawing(layout, units), *NOTES),
    )  # fmt: skip


def lead_of(truss: Truss, layout: Layout) -> str:
    """The face on which the drilling template is."""
    return truss.bolts_from if truss.bolts_from in layout.timber.sides else layout.timber.sides[0]


def build_detail(
    truss: Truss, site: Site, member: Member, judged: Judged, results: tuple[CheckResult, ...], told: Told, longer: tuple[Bolt, ...] = (),
) -> Detail:  # fmt: skip
    """``longer``: bolts in the places of webs' bolts that pass the timbers"""
    layout = judged.layout
    t, reach = layout.timber, told.reach
    parts = _parts(truss, member, layout, reach)
    low, high = parts[0].placement.z, parts[-1].placement.z + parts[-1].thickness
    ordered = layout.ordered
    bolts = tuple(
        Bolt(_group_of(layout, x), x, y, layout.diameter, low, high, ordered.length, usual.BOLT_GRADE, 2 + ordered.packing_washers, truss.bolts_from)
        for x in layout.columns for y in layout.lines
    )  # fmt: skip
    notes = told.notes
    if ordered.packing_washers:
        notes = (*notes, f"{ordered.packing_washers} more washers under each nut: the thread ends before it would be tight.")
    return Detail(
        key=site.key, title=told.title, truss=site.truss, remedy="side_member", member=member.name, station=t.at.x, parts=parts, bolts=bolts,
        groups=_groups(parts, layout, judged), zones=told.zones, whys=told.whys,
        order=tuple(text for text, _ in told.order), notes=notes, results=results,
        brings=tuple(k for _, k in told.order), drawn=told.drawn, longer=longer, shores=told.shores,
    )  # fmt: skip
