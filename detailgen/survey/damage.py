"""What was found on a truss: damage with its place, and bolts that are missing."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace

from detailgen.core.tolerance import LENGTH_IN
from detailgen.core.units import feet_inches
from detailgen.model.added import Splice
from detailgen.model.member import Connection, Damage, Member
from detailgen.survey.fill import choice, suggest, together
from detailgen.survey.form import Unusable
from detailgen.survey.forms import DamageForm
from detailgen.survey.joints import Named
from detailgen.survey.members import BOTTOM, TOP, Members
from detailgen.survey.wood import Site

RATED = ("split", "check", "decay", "failed connector")
MODELLED = ("bow", "missing bolt", "sag")
AT_CONNECTION = ("failed connector", "missing bolt")
NEEDED: Mapping[str, tuple[str, ...]] = {
    "break": ("member", "at"),
    "split": ("member", "at", "length", "factor", "basis"),
    "check": ("member", "at", "length", "factor", "basis"),
    "decay": ("member", "at", "length", "factor", "basis"),
    "failed connector": ("connection", "factor", "basis"),
    "missing bolt": ("connection", "count"),
    "bow": ("member", "amount"),
    "sag": ("member", "amount"),
}
ONLY: Mapping[str, tuple[str, ...]] = {
    "factor": RATED,
    "amount": ("bow", "sag"),
    "connection": AT_CONNECTION,
    "count": ("missing bolt",),
}
"""Entries that mean something with these kinds only."""
EXAMPLES: Mapping[str, str] = {
    "member": "bottom chord, top chord or a web such as U1-L2",
    "at": "the station of its middle, such as 12'-6\"",
    "length": "its extent, such as 18 in",
    "factor": "a factor from 0 to 1: what is left of the strength",
    "basis": "on what the factor rests",
    "connection": "a connection such as 'U2-L3 at L3', or the name of a splice",
    "count": "the number of missing bolts",
    "amount": "its size, such as 1-1/4 in",
}


@dataclass
class Found:
    """Damage, the number of missing bolts by connection, and connections with a failed connector."""

    damage: list[Damage]
    missing: dict[str, int]
    failed: set[str]


def _entries(form: DamageForm, site: Site) -> None:
    """Are the entries of this kind there, and no others? All faults of one damage are reported together."""
    kind, sound = form.kind, True
    for key in NEEDED[kind]:
        if not form.has(key):
            advice = f"A {kind} needs '{key}:'."
            if key in ("factor", "basis"):
                advice += " It is the engineer's judgement and is never assumed."
            site.report.add(form.place(key), "nothing", EXAMPLES[key], advice)
            sound = False
    for key, kinds in ONLY.items():
        if form.has(key) and kind not in kinds:
            why = ""
            if key == "factor":
                why = "A break leaves nothing of its ply: it counts as 0." if kind == "break" else f"A {kind} is modelled as it is, not by a factor."
            site.report.add(form.place(key), f"{key} with {kind}", f"{key} only with {choice(kinds)}", why or "Delete it.")
            sound = False
    if not sound:
        raise Unusable("damage")


def _connection(form: DamageForm, members: Members, named: Named, site: Site) -> str:
    """The name of the connection or splice that is meant."""
    said = form.connection or ""
    if said in named.connections or said in named.splices:
        return said
    member, _, joint = said.partition(" at ")
    turned = members.name_of(member)
    if turned is not None and f"{turned[0]} at {joint}" in named.connections:
        return f"{turned[0]} at {joint}"
    known = (*named.connections, *named.splices)
    if named.complete:
        allowed = choice(known) if known else "nothing: this truss has no connections or splices yet"
        site.report.add(form.place("connection"), f"'{said}', no connection or splice of this truss", allowed, suggest(said, known))
    raise Unusable("connection")


def _sound(name: str, named: Named) -> Connection | Splice:
    thing = named.connections.get(name) or named.splices.get(name)
    if thing is None:
        raise Unusable(name)
    return thing


def _at_connection(form: DamageForm, members: Members, named: Named, found: Found, site: Site) -> Damage:
    name = _connection(form, members, named, site)
    thing = _sound(name, named)
    if isinstance(thing, Connection):
        member, ply = thing.member, ""
        first = members.joints(member)[0]
        at = 0.0 if thing.joint == first else members.length(member)
    else:
        member, ply, at = thing.chord, thing.ply, thing.x
    if form.member is not None and members.refer(form.member, form.place("member"), site)[0] != member:
        site.report.add(form.place("member"), f"'{form.member}'", f"{member}, the member of '{name}'", "Delete it: the connection says it.")
        raise Unusable("member")
    for key in ("at", "length", "ply"):
        if form.has(key):
            site.report.add(form.place(key), f"{key} with {form.kind}", "the connection's own place", "Delete it: the connection says it.")
            raise Unusable(key)
    book: Collection[str] = found.missing if form.kind == "missing bolt" else found.failed
    if name in book:
        found_twice = f"{form.kind} of '{name}' a second time"
        site.report.add(form.place("connection"), found_twice, "one entry for each connection and kind", "Put the two together.")
        raise Unusable("connection")
    if form.kind == "failed connector":
        found.failed.add(name)
    else:
        count = form.count or 0
        bolts = len(thing.bolts.positions) if thing.bolts is not None else 0
        if count >= bolts:
            allowed = f"fewer than the {bolts} bolts of '{name}'" if bolts else f"a connection with bolts; '{name}' has none"
            site.report.add(form.place("count"), f"{count} missing bolts", allowed, "If none is left, enter a failed connector with factor 0.")
            raise Unusable("count")
        found.missing[name] = count
    factor = float(form.factor or 0.0) if form.kind == "failed connector" else 1.0
    return Damage(form.kind, member, ply, at, 0.0, form.photo, factor, form.basis or "", connection=name)


def _ply(form: DamageForm, member: Member | None, site: Site) -> str:
    if form.ply is None:
        return ""
    if member is None:
        raise Unusable("ply")
    names = tuple(p.name for p in member.plies)
    if form.ply not in names:
        site.report.add(form.place("ply"), f"'{form.ply}', no ply of {member.name}", choice(names), suggest(form.ply, names))
        raise Unusable("ply")
    return form.ply


def _place(form: DamageForm, name: str, turned: bool, members: Members, site: Site) -> tuple[float, float]:
    """Station of the middle, and extent. A bow or sag without them is that of the whole member."""
    length = members.length(name)
    at = length / 2 if form.at is None else members.station(name, turned, form.at, form.place("at"), site)
    whole = length if form.kind in ("bow", "sag") else 0.0
    extent = whole if form.length is None else form.length
    if extent > length + LENGTH_IN:
        site.report.add(form.place("length"), feet_inches(extent), f"at most the length of {name}, {feet_inches(length)}")
        raise Unusable("length")
    return at, extent


def _on_member(form: DamageForm, members: Members, site: Site) -> Damage:
    name, turned = members.refer(form.member or "", form.place("member"), site)
    if form.kind == "sag" and name not in (BOTTOM, TOP):
        site.report.add(form.place("member"), f"the web {name}", "bottom chord or top chord", "A bent web is a bow.")
        raise Unusable("member")
    (at, extent), ply = together(lambda: _place(form, name, turned, members, site), lambda: _ply(form, members.found[name], site))
    amount = form.amount or 0.0
    factor = 0.0 if form.kind == "break" else 1.0 if form.kind in MODELLED else float(form.factor or 0.0)
    return Damage(form.kind, name, ply, at, extent, form.photo, factor, form.basis or "", amount)


def damage_of(forms: list[DamageForm], members: Members, named: Named, site: Site) -> Found:
    """All damage of a truss; faults go to the report."""
    found = Found([], {}, set())
    for form in forms:
        try:
            _entries(form, site)
            one = _at_connection(form, members, named, found, site) if form.kind in AT_CONNECTION else _on_member(form, members, site)
            found.damage.append(one)
        except Unusable:
            continue
    return found


def marked_connection(thing: Connection, found: Found) -> Connection:
    """A connection with its missing bolts. A failed connector stays with the damage: the assessment lets it act on the truss as found only."""
    return replace(thing, bolts=replace(thing.bolts, missing=found.missing.get(thing.name, 0)))


def marked_splice(thing: Splice, found: Found) -> Splice:
    """A splice with its missing bolts."""
    return thing if thing.bolts is None else replace(thing, bolts=replace(thing.bolts, missing=found.missing.get(thing.name, 0)))
