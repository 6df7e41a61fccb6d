"""Bolted ends, splices, no-drill zones and supports of a type."""

from __future__ import annotations

import contextlib
from collections.abc import Sequence
from dataclasses import dataclass

from detailgen.core.tolerance import LENGTH_IN
from detailgen.core.units import feet_inches
from detailgen.model.added import Splice
from detailgen.model.member import Bolts, Connection, EndBearing, Filler, Heel, Member, NoDrillZone, Plate, Ply, Scab
from detailgen.model.project import Support
from detailgen.survey.document import Items, Node
from detailgen.survey.fill import choice, suggest, together
from detailgen.survey.form import Unusable
from detailgen.survey.members import Members
from detailgen.survey.type_forms import BearingForm, BoltGroup, ConnectionForm, FillerForm, PlateForm, ScabForm, ShoeForm, SpliceForm, TrussType, Zone
from detailgen.survey.wood import Site, check_wood, no_overlap, wood_of


@dataclass
class Named:
    """Connections or splices by name; None where one stands in the file but is faulty."""

    connections: dict[str, Connection | None]
    splices: dict[str, Splice | None]
    complete: bool = True


def _bolts(form: BoltGroup, site: Site) -> Bolts:
    positions = [(float(a), float(b)) for a, b in form.at]
    if not positions:
        site.report.add(form.place("at"), "an empty list", "at least one bolt as [along, across]")
        raise Unusable("at")
    if len(set(positions)) < len(positions):
        site.report.add(form.place("at"), "two bolts at the same place", "each bolt once")
        raise Unusable("at")
    return Bolts(form.diameter, tuple(positions), form.bending_yield)


def _plates(forms: Sequence[PlateForm]) -> tuple[Plate, ...]:
    return tuple(Plate(f.thickness, f.width, f.z, f.bearing_strength, f.end) for f in forms)


def _fillers(forms: Sequence[FillerForm]) -> tuple[Filler, ...]:
    return tuple(Filler(f.thickness, f.z) for f in forms)


def _stack(plies: Sequence[Ply], plates: Sequence[Plate], fillers: Sequence[Filler], scabs: Sequence[Scab], place: Node, site: Site) -> None:
    parts = [(f"ply {p.name}", p.z, p.thickness) for p in plies]
    parts += [(f"plate {i}", p.z, p.thickness) for i, p in enumerate(plates, 1)]
    parts += [(f"filler {i}", f.z, f.thickness) for i, f in enumerate(fillers, 1)]
    parts += [(f"piece {s.name}", s.z, s.thickness) for s in scabs]
    no_overlap(parts, place, site.report)


def _in_wood(bolts: Bolts, member: Member, least: float, length: float, form: BoltGroup, site: Site) -> None:
    """Each bolt between the member's end and its far end, and within its depth."""
    half = max(p.depth for p in member.plies) / 2
    for along, across in bolts.positions:
        if not least < along < length or not -half < across < half:
            found = f"a bolt at [{feet_inches(along)}, {feet_inches(across)}] outside {member.name}"
            allowed = f"along between {feet_inches(least)} and {feet_inches(length)}, across between {feet_inches(-half)} and {feet_inches(half)}"
            site.report.add(form.place("at"), found, allowed)
            raise Unusable("at")


def _listed(value: str | list[str], node: Node) -> list[tuple[str, Node]]:
    if isinstance(value, str):
        return [(value, node)]
    return [(v, node.items[i] if isinstance(node, Items) else node) for i, v in enumerate(value)]


def _ends(form: ConnectionForm | BearingForm, members: Members, site: Site) -> list[tuple[str, str]]:
    """(member, joint) of every end of the group."""
    everything = form.members == "all webs"
    said = [] if everything else _listed(form.members, form.place("members"))
    names = [members.refer(word, node, site)[0] for word, node in said] if said else list(members.webs) if everything else []
    if not names:
        if members.complete:
            site.report.add(form.place("members"), "no members", "'all webs', one member, or a list of members")
        raise Unusable("members")
    for i, name in enumerate(names):
        if name in names[:i]:
            site.report.add(form.place("members"), f"{name} a second time", "each member once")
            raise Unusable("members")
    ends = [(name, joint) for name in names for joint in members.joints(name)]
    wanted = form.joints
    if wanted is None:
        return ends
    outline = members.outline
    if wanted in ("top", "bottom"):
        chord = (outline.top if wanted == "top" else outline.bottom) or ()
        chosen = [joint for joint in dict.fromkeys(j for _, j in ends) if joint in chord]
        if outline.names is None:
            raise Unusable("joints")
    else:
        reached = tuple(dict.fromkeys(j for _, j in ends))
        chosen = []
        for joint, node in _listed(wanted, form.place("joints")):
            if joint not in reached:
                if not everything or members.complete:
                    who = "no web" if everything else "none of the members" if len(names) > 1 else names[0]
                    verb = "reaches" if len(names) == 1 or who == "no web" else "reach"
                    negated = f"{who} {verb}" if who != names[0] else f"{who} does not reach"
                    site.report.add(node, f"'{joint}', which {negated}", choice(reached), suggest(joint, reached))
                raise Unusable("joints")
            chosen.append(joint)
    kept = [(name, joint) for name, joint in ends if joint in chosen]
    for name in names if not everything else ():
        if name not in {n for n, _ in kept}:
            site.report.add(form.place("joints"), f"no joint of {name}", f"at least one of {choice(members.joints(name))}")
            raise Unusable("joints")
    if not kept:
        site.report.add(form.place("joints"), "no joint that a member reaches", "joints of the members")
        raise Unusable("joints")
    return kept


def _connection_group(form: ConnectionForm, members: Members, named: Named, site: Site) -> None:
    try:
        ends, bolts = together(lambda: _ends(form, members, site), lambda: _bolts(form.bolts, site))
    except Unusable:
        named.complete = False
        raise
    fresh = []
    for name, joint in ends:
        title = f"{name} at {joint}"
        if title in named.connections:
            site.report.add(form.place("members"), f"the end {title} a second time", "each end of a member in one group")
        else:
            named.connections[title] = None
            fresh.append((title, name, joint))
    plates, fillers = _plates(form.plates), _fillers(form.fillers)
    for title, name, joint in fresh:
        member = members.sound(name)
        _stack(member.plies, plates, fillers, (), form.place(), site)
        _in_wood(bolts, member, -form.end, members.length(name), form.bolts, site)
        named.connections[title] = Connection(title, name, joint, bolts, form.end, plates, fillers)


def _splice_ply(form: SpliceForm, chord: Member, site: Site) -> str:
    names = tuple(p.name for p in chord.plies)
    if form.ply is None:
        if len(names) > 1:
            site.report.add(form.place("ply"), "nothing", choice(names), f"The {chord.name} has {len(names)} plies; say which one is cut.")
            raise Unusable("ply")
        return names[0]
    if form.ply not in names:
        site.report.add(form.place("ply"), f"'{form.ply}', no ply of the {chord.name}", choice(names), suggest(form.ply, names))
        raise Unusable("ply")
    return form.ply


def _cut(form: SpliceForm, members: Members, site: Site) -> float:
    x = members.station(form.chord, False, form.at, form.place("at"), site)
    length = members.length(form.chord)
    if not LENGTH_IN < x < length - LENGTH_IN:
        site.report.add(form.place("at"), feet_inches(x), f"a place between the heels, less than {feet_inches(length)}")
        raise Unusable("at")
    return x


def _spliced(form: SpliceForm, members: Members, site: Site) -> tuple[Member, str]:
    chord = members.sound(form.chord)
    return chord, _splice_ply(form, chord, site)


def _scab(form: ScabForm, type_form: TrussType, site: Site) -> Scab:
    thickness, depth = form.thickness, form.depth
    wood, place = wood_of([site.wood, type_form.wood, form.wood], type_form.place("wood"), site)
    check_wood(wood, thickness, depth, place, form.place(), site)
    return Scab(form.name, thickness, depth, form.z, form.length, wood)


def _splice(form: SpliceForm, type_form: TrussType, members: Members, named: Named, site: Site) -> None:
    if form.has("name"):
        named.splices.setdefault(form.name or "", None)
    x, (chord, ply) = together(lambda: _cut(form, members, site), lambda: _spliced(form, members, site))
    length = members.length(form.chord)
    semi = form.behaviour == "semi-rigid"
    if semi != (form.stiffness is not None):
        found, allowed = (
            ("nothing", "the stiffness of a semi-rigid splice, such as 900 kip-in/rad")
            if semi
            else (f"a stiffness with '{form.behaviour}'", "a stiffness only with semi-rigid")
        )
        site.report.add(form.place("stiffness"), found, allowed)
        raise Unusable("stiffness")
    name = form.name or f"{form.chord} {ply} at {site.units.write_length(x)}"
    if named.splices.get(name) is not None or name in named.connections:
        where = form.place("name") if form.has("name") else form.place()
        site.report.add(where, f"the splice '{name}' a second time", "each splice once, with a name of its own")
        raise Unusable("name")
    named.splices[name] = None
    bolts = None if form.bolts is None else _bolts(form.bolts, site)
    plates, fillers = _plates(form.plates), _fillers(form.fillers)
    scabs = tuple(_scab(s, type_form, site) for s in form.scabs)
    _stack(chord.plies, plates, fillers, scabs, form.place(), site)
    if bolts is not None and form.bolts is not None:
        _in_wood(bolts, chord, 0.0, min(x, length - x), form.bolts, site)
    named.splices[name] = Splice(name, form.chord, ply, x, form.behaviour, form.stiffness or 0.0, bolts, plates, fillers, scabs)


def connections_and_splices(form: TrussType, members: Members, site: Site) -> Named:
    """All bolted ends and splices; faults go to the report."""
    named = Named({}, {})
    try:
        for group in form.connections:
            try:
                _connection_group(group, members, named, site)
            except Unusable:
                continue
    except Unusable:
        named.complete = False
    try:
        for splice in form.splices:
            try:
                _splice(splice, form, members, named, site)
            except Unusable:
                named.complete = named.complete and splice.has("name")
    except Unusable:
        named.complete = False
    return named


def bearings_of(form: TrussType, members: Members, site: Site) -> tuple[EndBearing, ...]:
    """Ends that push on a face; faults go to the report."""
    out: dict[tuple[str, str], EndBearing] = {}
    with contextlib.suppress(Unusable):
        for group in form.end_bearings:
            with contextlib.suppress(Unusable):
                for name, joint in _ends(group, members, site):
                    if (name, joint) in out:
                        site.report.add(group.place("members"), f"the end {name} at {joint} a second time", "each end of a member in one group")
                    out[name, joint] = EndBearing(name, joint, group.width, group.height, group.face == "steel")
    return tuple(out.values())


def _heels_of(form: ShoeForm, ends: tuple[str, str], site: Site) -> list[Heel]:
    """Both heels, or those that the entry names."""
    if form.joints is not None:
        for joint, node in _listed(form.joints, form.place("joints")):
            if joint not in ends:
                site.report.add(node, f"'{joint}'", choice(ends), suggest(joint, ends))
                raise Unusable("joints")
    if (form.weld_leg is None) != (form.weld_length is None):
        missing = "weld leg" if form.weld_leg is None else "weld length"
        site.report.add(form.place(missing), "nothing", "'weld leg' and 'weld length', or neither")
        raise Unusable(missing)
    seat = form.seat
    return [
        Heel(joint, form.set_back or 0.0, form.plate or 0.0, form.weld_leg or 0.0, form.weld_length or 0.0, form.yield_stress or 0.0,
             seat.length if seat else 0.0, (seat.carries or 0.0) if seat else 0.0, seat.kind if seat else "")
        for joint in (form.joints if form.joints is not None else ends)
    ]  # fmt: skip


def heels_of(form: TrussType, members: Members, site: Site) -> tuple[Heel, ...]:
    """Shoes and seats of the heels; faults go to the report."""
    out: dict[str, Heel] = {}
    with contextlib.suppress(Unusable):
        for shoe in form.heels:
            with contextlib.suppress(Unusable):
                joints = members.joints("bottom chord")
                for heel in _heels_of(shoe, (joints[0], joints[-1]), site):
                    if heel.joint in out:
                        site.report.add(shoe.place("joints"), f"the heel {heel.joint} a second time", "each heel once")
                    out[heel.joint] = heel
    return tuple(out.values())


def _zone(form: Zone, members: Members, site: Site) -> NoDrillZone:
    name, turned = members.refer(form.member, form.place("member"), site)
    along = members.station(name, turned, form.along, form.place("along"), site)
    return NoDrillZone(name, form.kind, along, form.across, form.length, form.depth)


def zones_of(form: TrussType, members: Members, site: Site) -> tuple[NoDrillZone, ...]:
    """No-drill zones; faults go to the report."""
    out = []
    with contextlib.suppress(Unusable):
        for zone in form.no_drill_zones:
            with contextlib.suppress(Unusable):
                out.append(_zone(zone, members, site))
    return tuple(out)


def supports_of(form: TrussType, members: Members, site: Site) -> tuple[Support, Support]:
    """Bearings at the heels. Raises Unusable where they are faulty."""
    supports = form.supports
    left, right = members.joints("bottom chord")
    if supports is None:
        site.assume("no supports are given; the left bearing is taken as a pin, the right one as a roller, both at the heels' work points.")
        return Support(left, "pin", (0.0, 0.0)), Support(right, "roller", (0.0, 0.0))
    if supports.left == supports.right == "roller":
        site.report.add(supports.place(), "two rollers", "a pin and a roller", "A truss on two rollers would roll away.")
        raise Unusable("supports")
    wall = supports.wall_stiffness or 0.0
    if wall and supports.left == supports.right == "pin":
        found = "a wall's stiffness beside two pins"
        site.report.add(supports.place("wall stiffness"), found, "a roller that the wall holds", "Set one bearing to roller, or delete it.")
        raise Unusable("supports")
    moved = {"left settlement": (supports.left, supports.left_settlement), "right settlement": (supports.right, supports.right_settlement)}
    for key, (kind, (x, _)) in moved.items():
        if kind == "roller" and x:
            allowed = "0 along the span for a roller, which goes with the truss"
            site.report.add(supports.place(key), f"{feet_inches(x)} along the span at a roller", allowed)
            raise Unusable("supports")
    if any(any(way) for _, way in moved.values()):
        site.assume("how far a bearing has moved acts with the dead load, by the same factors.")
    kinds = ((left, supports.left, supports.left_offset), (right, supports.right, supports.right_offset))
    one, other = (
        Support(joint, kind, offset, wall if kind == "roller" else 0.0, way)
        for (joint, kind, offset), (_, way) in zip(kinds, moved.values(), strict=True)
    )
    return one, other
