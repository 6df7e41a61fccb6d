"""From a chosen line to its crossing of one truss as it is built: parts, bolts, reasons, order of work. Axes in ``layout``."""

from __future__ import annotations

import math
from collections.abc import Sequence

from detailgen.core.clause import Cite
from detailgen.core.tolerance import rounded_length
from detailgen.core.units import UnitSystem
from detailgen.model.detail import Bolt, Detail, Group, Hole, Interface, Part, Placement, PlyLoad, Why
from detailgen.model.member import Member, Ply, Wood
from detailgen.model.outlines import rectangle
from detailgen.model.project import AnchoredBay
from detailgen.remedies import usual
from detailgen.remedies.brace import parameters as p
from detailgen.remedies.brace.judge import JOINT, NEAR_BLOCK, Judged
from detailgen.remedies.brace.layout import Layout
from detailgen.remedies.brace.site import axis_of
from detailgen.remedies.contract import Job, Site, Solved, lasting
from detailgen.remedies.usual import mode_of

FULL_VALUE = Cite("NDS 2018", "12.5.1", "bolt_least_distances")
LINE, NEXT, FAR, NEAR = "line", "next", "block-far", "block-near"
RUN_ON = 12.0
"""Of the member and of the next bay's timber this much (in) is shown beyond the new work."""


def _holes(layout: Layout, groups: Sequence[str], at: float, template: Sequence[str]) -> tuple[Hole, ...]:
    """Holes of a part whose own x begins at ``at``; ``template`` by group."""
    size = layout.diameter + usual.HOLE_OVER_BOLT
    return tuple(Hole(rounded_length(x - at), 0.0, size, g, t) for g, t in zip(groups, template, strict=True) for x in layout.groups[g])


def _timber(
    key: str, kind: str, name: str, x0: float, x1: float, layout: Layout, z: float, wood: Wood, holes: tuple[Hole, ...], **more: object
) -> Part:
    part = Part(
        key, kind, name, rectangle(0.0, rounded_length(x1 - x0), layout.width), holes, (), layout.height, Placement(rounded_length(x0), 0.0, z),
        "wood", f"{wood.species} {wood.grade}, dry", 0.0, False, usual.WOOD_WEIGHT, facts=wood.facts,
    )  # fmt: skip
    return Part(**{**part.__dict__, **more})


def _ply(ply: Ply, member: str, several: bool, layout: Layout) -> Part:
    """A ply as its edge shows it: it runs on along the member."""
    reach = layout.width / 2 + RUN_ON
    outline = rectangle(-reach, reach, ply.thickness)
    name = f"{member}, {ply.name} ply" if several else member
    return Part(
        f"ply-{ply.name}", "ply", name, outline, (), (), ply.depth, Placement(ply.z, 0.0, -ply.depth, math.pi / 2), "wood",
        f"{ply.wood.species} {ply.wood.grade}", 0.0, True, usual.WOOD_WEIGHT, open_ends=(-reach, reach), facts=ply.wood.facts,
    )  # fmt: skip


def _parts(member: Member, layout: Layout, wood: Wood) -> tuple[Part, ...]:
    joint = layout.joint
    name = f"web {member.name}" if member.kind == "web" else member.name
    several = len(member.plies) > 1
    down = -layout.height
    start, stub = joint - layout.half, joint - layout.half - RUN_ON
    parts = [
        *(_ply(x, name, several, layout) for x in member.plies),
        _timber(FAR, "block", "far block", start, layout.low, layout, down, wood, _holes(layout, ("B1", "B2"), start, ("", LINE))),
        _timber(NEAR, "block", "near block", layout.high, layout.high + layout.near_block, layout, down, wood,
                _holes(layout, ("B3",), layout.high, (LINE,))),
        _timber(NEXT, "brace", "timber of the next bay", stub, joint, layout, 0.0, wood, _holes(layout, ("B1",), stub, (FAR,)), existing=True,
                open_ends=(0.0,)),
        _timber(LINE, "brace", "timber of the line", joint, joint + layout.span, layout, 0.0, wood,
                _holes(layout, ("B2", "B3"), joint, ("", ""))),
    ]  # fmt: skip
    for k, (a, b) in enumerate(layout.gaps, start=1):
        half = rounded_length(b - a) / 2
        parts.append(Part(
            f"filler-{k}", "filler", "block between the plies", rectangle(-half, half, layout.width), (), (), layout.height,
            Placement(rounded_length((a + b) / 2), 0.0, down), "wood", f"{wood.species} {wood.grade}, dry", 0.0, False, usual.WOOD_WEIGHT,
            facts=wood.facts,
        ))  # fmt: skip
    return tuple(sorted(parts, key=lambda x: (x.placement.z, x.key)))


def _groups(layout: Layout, judged: Judged, bay: AnchoredBay, solved: Solved) -> tuple[Group, ...]:
    """What each group of bolts passes between a block and the line."""
    durations = [c.duration for c in solved.forces.combinations]
    one, line = judged.needs.force, judged.needs.force * bay.leaning
    found = []
    for key, xs in layout.groups.items():
        first, second, force = {"B1": (FAR, NEXT, line), "B2": (FAR, LINE, line), "B3": (NEAR, LINE, one)}[key]
        most = float(force.max())
        where = NEAR_BLOCK if key == "B3" else JOINT
        bolts = [r for r in judged.results if r.check == "bolts" and r.where == where]
        capacity = min((r.capacity for r in bolts), default=math.nan)
        both = lasting_both(force, durations)
        loads = tuple(PlyLoad(x, most, most, 0.0, both) for x in (first, second))
        interfaces = (Interface(first, second, most, capacity, mode_of(bolts)),)
        found.append(Group(key, layout.diameter, tuple((x, 0.0) for x in xs), (first, second), interfaces, loads, 1, len(xs), layout.spacing, 0.0))
    return tuple(found)


def lasting_both(force: object, durations: Sequence[str]) -> tuple[tuple[str, float, float], ...]:
    """The force acts either way, so tension and compression of each duration are the same."""
    return tuple((d, max(t, c), max(t, c)) for d, t, c in lasting(force, durations))  # type: ignore[arg-type]


def _whys(layout: Layout, slenderness: float, cite: Cite) -> tuple[Why, ...]:
    D, least = layout.diameter, min(layout.height, layout.width)
    return (
        Why("spacing in a row", "for the full value", p.SPACING * D, layout.spacing, FULL_VALUE),
        Why("end distance", "for the full value", p.END * D, layout.end, FULL_VALUE),
        Why("edge distance", "at least", p.EDGE * D, layout.width / 2, FULL_VALUE),
        Why("least width of the line", f"at least 1/{slenderness:g} of its length from truss to truss", layout.span / slenderness, least, cite),
    )


def _where(member: Member, stations: Sequence[float], units: UnitSystem) -> str:
    """How the crew finds the places, and which way the view is turned."""
    edge = axis_of(member).removeprefix("on the ")
    if member.kind == "web":
        a, b = member.joints
        return (
            f"WP is on the {edge} of the web, half way between the work points of {a} and {b}, in the middle plane of the truss. The line is laid "
            "across the edge there."
        )
    places = " and ".join(units.write_length(x) for x in stations)
    return (
        f"WP is on the {edge} of the {member.kind}, in the middle plane of the truss, {places} from the left heel's work point. The line is laid "
        "across the edge there."
    )


def _notes(judged: Judged, bay: AnchoredBay, units: UnitSystem) -> tuple[str, ...]:
    force, total = units.write_force_up(judged.needs.most), units.write_force_up(judged.needs.most * bay.leaning)
    stiff = ""
    if math.isfinite(judged.anchor_stiffness):
        unit, factor = ("lb/in", 1.0) if units.name == "US" else ("N/mm", units.force / units.length)
        stiff = f" and is {judged.anchor_stiffness * factor:,.0f} {unit} stiff at least"
    return (
        f"A line holds nothing by itself: it must run to {bay.where}, which takes {total} from it either way along the building{stiff}: "
        f"{bay.leaning} trusses lean on it with {force} each. Its fastening there is the engineer's.",
        "The blocks touch the member on both sides and hold it both ways; it is not drilled. Nails only keep the line where it is laid.",
        "Nothing is hung from the line, and nobody stands on it.",
    )


def _order(layout: Layout) -> list[tuple[str, tuple[str, ...]]]:
    fillers = tuple(f"filler-{k}" for k in range(1, len(layout.gaps) + 1))
    tight = "Drive the blocks between the plies, tight, flush with the edge, two nails aslant into each ply."
    return [
        ("First the anchored bay is built as the engineer shows; then work from it outward, truss by truss, without snow on the roof.", ()),
        ("Look over whether the member is as straight as the survey says: a larger bow is told to the engineer, it is not pulled straight.", ()),
        *([(tight, fillers)] if fillers else []),
        ("Lay the timber; its drilled end butts tight on that of the next bay. Its other end is cut where the joint at the next truss will be, to "
         "the distance that is measured.", (LINE,)),
        ("Clamp the blocks under it, tight on the member on both sides, the joint over the middle of the far block.", (FAR, NEAR)),
        ("Drill the blocks through the timber of the line, and the timber of the next bay through the far block, square; bolt with washers under "
         "head and nut, snug so that the faces touch.", ()),
        (f"Two nails {p.NAIL} aslant through each block into the member, holes drilled first, so that old wood does not split.", ()),
    ]  # fmt: skip


def build_detail(
    site: Site, member: Member, stations: Sequence[float], judged: Judged, bay: AnchoredBay, wood: Wood, solved: Solved, job: Job,
) -> Detail:  # fmt: skip
    layout, units = judged.layout, job.project.units
    ordered = layout.ordered
    bolts = tuple(
        Bolt(key, x, 0.0, layout.diameter, -layout.height, layout.height, ordered.length, usual.BOLT_GRADE, 2 + ordered.packing_washers)
        for key, xs in layout.groups.items() for x in xs
    )  # fmt: skip
    notes = (_where(member, stations, units), *_notes(judged, bay, units))
    if ordered.packing_washers:
        notes = (*notes, f"{ordered.packing_washers} more washers under each nut: the thread ends before it would be tight.")
    order = _order(layout)
    name = f"web {member.name}" if member.kind == "web" else member.name
    first, *rest = (site.x,) if member.kind == "web" else tuple(stations)
    return Detail(
        key=site.key, title=f"Brace line across {name}" if not rest else f"{len(stations)} brace lines across {name}", truss=site.truss,
        remedy="brace", member=member.name, station=first, parts=_parts(member, layout, wood), bolts=bolts,
        groups=_groups(layout, judged, bay, solved), zones=(), whys=_whys(layout, *job.wood.greatest_slenderness()),
        order=tuple(text for text, _ in order), notes=notes, results=judged.results, brings=tuple(k for _, k in order), axis=axis_of(member),
        also_at=tuple(rest), shores="none: no timber is cut",
    )  # fmt: skip
