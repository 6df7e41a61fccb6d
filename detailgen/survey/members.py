"""Chords and webs of a type, and how the rest of the file speaks of them."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from detailgen.core.tolerance import LENGTH_IN
from detailgen.core.units import feet_inches
from detailgen.model.member import Member
from detailgen.survey.document import Items, Node
from detailgen.survey.fill import choice, suggest
from detailgen.survey.form import Unusable
from detailgen.survey.geometry import Outline, brace_stations
from detailgen.survey.type_forms import Chord, TopChord, TrussType, Webs
from detailgen.survey.wood import Site, plies_of

BOTTOM, TOP = "bottom chord", "top chord"


@dataclass
class Members:
    """Members by name; None where a member stands in the file but is faulty."""

    outline: Outline
    found: dict[str, Member | None] = field(default_factory=dict)
    complete: bool = True  # False where a faulty list may hide members: then no name is called unknown

    @property
    def webs(self) -> tuple[str, ...]:
        return tuple(n for n in self.found if n not in (BOTTOM, TOP))

    def name_of(self, said: str) -> tuple[str, bool] | None:
        """The member's name and whether it was said with its joints the other way round."""
        if said in self.found:
            return said, False
        a, _, b = said.partition("-")
        return (f"{b}-{a}", True) if f"{b}-{a}" in self.found else None

    def refer(self, said: str, place: Node, site: Site) -> tuple[str, bool]:
        """Like name_of, but an unknown member is a problem."""
        name = self.name_of(said)
        if name is None:
            if self.complete:
                known = tuple(self.found)
                site.report.add(place, f"'{said}', no member of this truss", choice(known), suggest(said, known))
            raise Unusable(said)
        return name

    def sound(self, name: str) -> Member:
        """The member; Unusable where it is faulty."""
        member = self.found[name]
        if member is None:
            raise Unusable(name)
        return member

    def length(self, name: str) -> float:
        """Greatest station (in): the span of a chord, the distance between the joints of a web."""
        if name in (BOTTOM, TOP):
            if self.outline.span is None:
                raise Unusable("span")
            return self.outline.span
        a, b = name.split("-")
        return math.dist(self.outline.place(a), self.outline.place(b))

    def station(self, name: str, turned: bool, at: float, place: Node, site: Site) -> float:
        """A station of the member, counted from its own first joint. Outside the member is a problem."""
        length = self.length(name)
        if not -LENGTH_IN <= at <= length + LENGTH_IN:
            site.report.add(place, feet_inches(at), f"a station of {name}, from 0 to {feet_inches(length)}")
            raise Unusable("at")
        return length - at if turned else at

    def joints(self, name: str) -> tuple[str, str]:
        """The two ends."""
        if name in (BOTTOM, TOP):
            if self.outline.bottom is None:
                raise Unusable("panels")
            return self.outline.bottom[0], self.outline.bottom[-1]
        a, b = name.split("-")
        return a, b


def _braces(form: Chord | Webs, name: str, inner: Sequence[float], length: float, site: Site) -> tuple[float, ...]:
    braces = form.braces
    if isinstance(braces, list):
        for x in braces:
            if not 0 < x < length:
                site.report.add(form.place("braces"), feet_inches(x), f"stations within {name}, between 0 and {feet_inches(length)}")
                raise Unusable("braces")
        if sorted(set(braces)) != braces:
            site.report.add(form.place("braces"), "stations out of order", "stations from the first joint on, each once")
            raise Unusable("braces")
    elif braces is not None and braces < 0 and not inner:
        allowed = "none, 'every 48 in', or distances from the first joint"
        site.report.add(form.place("braces"), "joints", allowed, "A web has no joints between its ends.")
        raise Unusable("braces")
    return brace_stations(braces, inner, length)


def _chord(form: Chord, name: str, joints: tuple[str, ...], type_form: TrussType, outline: Outline, site: Site) -> Member:
    chain = [site.wood, type_form.wood, form.wood]
    plies = plies_of(form.plies, form.place("plies"), chain, type_form.place("wood"), name, site)
    if outline.span is None or not joints:
        raise Unusable("joints")
    inner = [outline.place(j)[0] for j in joints[1:-1]]
    if form.braces is None:
        site.assume(f"no braces of the {name} are given; it is taken as held out of the truss plane at its ends only.")
    return Member(name, name, joints, plies, form.bow, _braces(form, name, inner, outline.span, site))


def is_curved(form: TopChord, member: Member, outline: Outline, site: Site) -> bool:
    """Curved or straight pieces between the joints: as surveyed, else by the wood, and then said."""
    if form.pieces is not None:
        if form.pieces == "curved" and outline.arc is None:
            site.report.add(form.place("pieces"), "curved, with measured points", "curved with radius or rise; straight with points")
            raise Unusable("pieces")
        return form.pieces == "curved"
    if outline.arc is None:
        site.assume("the top chord is given by points; its pieces are taken as straight between its joints.")
        return False
    products = {p.wood.product for p in member.plies}
    curved = products == {"glulam"}
    why = "glulam, taken as curved" if curved else "sawn wood, taken as straight" if products == {"sawn"} else "partly glulam, taken as straight"
    site.assume(f"it is not said whether the top chord's pieces are curved or straight between the joints; it is {why}.")
    return curved


def _web_name(said: str, place: Node, outline: Outline, known: Mapping[str, Member | None], site: Site) -> str:
    """A web's name, checked against the joints."""
    joints = said.replace(" ", "").split("-")
    if len(joints) != 2 or not all(joints):
        site.report.add(place, f"'{said}'", "two joints with a hyphen, such as U1-L2")
        raise Unusable(said)
    names = outline.names
    if names is None:
        raise Unusable("joints")
    for joint in joints:
        if joint not in names:
            site.report.add(place, f"the joint {joint}, which this truss does not have", choice(names), suggest(joint, names))
            raise Unusable(said)
    a, b = joints
    if a == b or frozenset(joints) in outline.panels():
        what = "twice the same joint" if a == b else "a panel of a chord"
        site.report.add(place, f"'{said}', {what}", "a web between the bottom chord and the top chord")
        raise Unusable(said)
    for chord, letter in ((outline.bottom, "bottom"), (outline.top, "top")):
        if chord is not None and a in chord and b in chord:
            site.report.add(place, f"'{said}', both joints on the {letter} chord", "a web between the bottom chord and the top chord")
            raise Unusable(said)
    if f"{a}-{b}" in known or f"{b}-{a}" in known:
        site.report.add(place, f"'{said}' a second time", "each web once")
        raise Unusable(said)
    return f"{a}-{b}"


def _web_group(form: Webs, type_form: TrussType, members: Members, site: Site) -> None:
    names: list[str] = []
    try:
        said = form.members
    except Unusable:
        members.complete = False
        return
    if not said:
        site.report.add(form.place("members"), "an empty list", "at least one web, such as [U1-L2]")
    for i, word in enumerate(said):
        spot = form.place("members")
        place = spot.items[i] if isinstance(spot, Items) else spot
        try:
            name = _web_name(word, place, members.outline, members.found, site)
        except Unusable:
            members.complete = members.complete and members.outline.names is not None
            continue
        members.found[name] = None
        names.append(name)
    plies = plies_of(form.plies, form.place("plies"), [site.wood, type_form.wood, form.wood], type_form.place("wood"), "webs", site)
    for name in names:
        a, b = name.split("-")
        try:
            braces = _braces(form, name, (), members.length(name), site)
            members.found[name] = Member(name, "web", (a, b), plies, form.bow, braces, form.carries)
        except Unusable:
            continue


def members_of(form: TrussType, outline: Outline, site: Site) -> Members:
    """Chords and webs; faults go to the report."""
    members = Members(outline, {BOTTOM: None, TOP: None})
    for name, key in ((BOTTOM, "bottom_chord"), (TOP, "top_chord")):
        joints = outline.bottom if name == BOTTOM else outline.top
        try:
            chord: Chord = getattr(form, key)
            # Plies are looked at even where the joints are not known.
            made = _chord(chord, name, joints or (), form, outline, site)
            members.found[name] = made if joints is not None else None
        except Unusable:
            continue
    try:
        if not form.webs:
            site.report.add(form.place("webs"), "an empty list", "at least one group of webs")
        for group in form.webs:
            try:
                _web_group(group, form, members, site)
            except Unusable:
                continue
    except Unusable:
        members.complete = False
    return members
