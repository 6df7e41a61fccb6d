"""Woods and plies: the nearest word on the wood counts, shorthands become plies with their place across the truss."""

from __future__ import annotations

import itertools
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from detailgen.core.errors import NotCovered
from detailgen.core.units import UnitSystem, feet_inches
from detailgen.model.member import Ply, Wood
from detailgen.standards.interface import WoodGrade, WoodStandard
from detailgen.survey.document import Node, Report
from detailgen.survey.fill import choice, suggest
from detailgen.survey.form import Unusable
from detailgen.survey.type_forms import ListedPly, Plies, PlySize, WoodForm

LAYER_SUM_IN = 1 / 16
"""Measured layers may miss the measured depth by this much."""
OVERLAP_IN = 1e-3


@dataclass
class Site:
    """What a type's resolution needs around it."""

    report: Report
    units: UnitSystem
    standard: WoodStandard | None
    standard_name: str
    wood: WoodForm | None
    owner: str  # "Type A" or "Truss T2", for sentences
    assumptions: list[str] = field(default_factory=list)

    def assume(self, sentence: str) -> None:
        self.assumptions.append(f"{self.owner}: {sentence}")


def _values(form: WoodForm) -> tuple[tuple[str, float], ...]:
    given = form.values
    if given is None:
        return ()
    return tuple((key, float(getattr(given, key))) for key in type(given).model_fields if given.has(key))


def wood_of(chain: Sequence[WoodForm | None], bare: Node, site: Site) -> tuple[Wood, dict[str, Node]]:
    """The wood that counts, and where its species and grade stand.

    chain: from the top of the file to the ply
    bare: where a wood would be written if there is none
    """
    forms = [f for f in chain if f is not None]
    place: dict[str, Node] = {}
    text = {"species": "", "grade": "", "product": "sawn", "moisture": "", "source": ""}
    values: tuple[tuple[str, float], ...] = ()
    for form in forms:
        for key in text:
            if form.has(key):
                text[key], place[key] = str(getattr(form, key)), form.place(key)
        if form.has("values"):
            values, place["values"] = _values(form), form.place("values")
    nearest = forms[-1].place() if forms else bare
    missing = [key for key in ("species", "grade") if not text[key]]
    for key in missing:
        spot = Node(f"{nearest.path}.{key}", nearest.line)
        site.report.add(spot, "nothing", f"the {key} of the wood", f"Add 'wood: {{{key}: ...}}' to the type, or at the top of the file.")
    if missing:
        raise Unusable("wood")
    if values and not text["source"]:
        site.report.add(place["values"], "values without a source", "values with their source", "Add 'source:' to this wood.")
        raise Unusable("source")
    if not text["moisture"]:
        site.assume("the moisture of the wood is not given; it is taken as dry in service.")
    return Wood(text["product"], text["species"], text["grade"], text["moisture"] == "wet", values, text["source"]), place


def _species_and_grades(known: Mapping[str, tuple[str, ...]], product: str) -> dict[str, tuple[str, ...]]:
    parts = {key: key.partition(": ") for key in known}
    return {p[2]: known[key] for key, p in parts.items() if p[0] == product}


def _plain(text: str) -> str:
    """Spelling differences that a standard's reader may pass over."""
    return re.sub(r"[\W_]+", "", text).casefold()


def check_wood(wood: Wood, thickness: float, depth: float, place: Mapping[str, Node], size: Node, site: Site) -> None:
    """Does the standard know this wood in this size? If not, say what it knows."""
    if site.standard is None:
        return
    request = WoodGrade(wood.product, wood.species, wood.grade, wood.wet, wood.values, wood.source)
    try:
        site.standard.stiffness(request, thickness, depth)
    except NotCovered as refused:
        woods = _species_and_grades(site.standard.known_woods(), wood.product)
        own = "Or give 'values:' of your own with their 'source:'."
        species = next((s for s in woods if _plain(s) == _plain(wood.species)), "")
        if not wood.values and not species:
            name = site.standard_name
            allowed = f"{wood.product} species of {name}: {choice(tuple(woods))}" if woods else f"another product; {name} has no {wood.product} wood"
            site.report.add(place["species"], f"'{wood.species}'", allowed, f"{suggest(wood.species, tuple(woods))} {own}".strip())
        elif not wood.values and _plain(wood.grade) not in {_plain(g) for g in woods[species]}:
            grades = woods[species]
            allowed = f"{wood.product} grades of {species} in {site.standard_name}: {choice(grades)}"
            site.report.add(place["grade"], f"'{wood.grade}'", allowed, f"{suggest(wood.grade, grades)} {own}".strip())
        else:
            found = f"{wood.species} {wood.grade}, {feet_inches(thickness)} x {feet_inches(depth)} ({refused})"
            site.report.add(size, found, f"a wood and size that {site.standard_name} covers", own)
        raise Unusable("wood") from None


def _layers(form: PlySize, report: Report) -> tuple[float, tuple[float, ...]]:
    layers = tuple(form.layers or ())
    if form.fastening is not None and not layers:
        report.add(form.place("fastening"), "fastening without layers", "fastening only beside layers", "List the layers or delete it.")
    if form.depth is None:
        if not layers:
            report.add(form.place("depth"), "nothing", "the measured depth, such as 9-1/2 in", "Add 'depth:'.")
            raise Unusable("depth")
        return sum(layers), layers
    if layers and abs(sum(layers) - form.depth) > LAYER_SUM_IN:
        found = f"layers that add up to {feet_inches(sum(layers))} in a depth of {feet_inches(form.depth)}"
        report.add(form.place("layers"), found, "layers that add up to the depth")
        raise Unusable("layers")
    return form.depth, layers


def ply_of(form: PlySize, name: str, z: float, chain: Sequence[WoodForm | None], member: str, bare: Node, site: Site) -> Ply:
    """One ply, its wood found and known to the standard."""
    thickness = form.thickness
    depth, layers = _layers(form, site.report)
    wood, place = wood_of([*chain, form.wood], bare, site)
    check_wood(wood, thickness, depth, place, form.place(), site)
    composite = "full" if not layers or form.fastening == "glued" else "none"
    joint = _joint(form, site.report)
    if composite == "none" and joint:
        composite = "partial"
        site.assume(f"the layers of the {member} slip on one another by the stiffness that is given for their fasteners.")
    elif composite == "none":
        how = f"only {form.fastening}" if form.fastening in ("nailed", "bolted") else "joined in a way that is not known"
        site.assume(f"the layers of the {member} are {how}; each is taken to act by itself.")
    return Ply(name, thickness, depth, z, wood, layers, composite, joint)


def _joint(form: PlySize, report: Report) -> float:
    """Stiffness of a joint between layers per length (lb/in per in); 0 where nothing is given."""
    given = [k for k in ("fastener stiffness", "fastener spacing") if form.has(k)]
    if not given:
        return 0.0
    if form.fastening not in ("nailed", "bolted"):
        report.add(form.place(given[0]), f"{given[0]} of layers that are not nailed or bolted", "only with 'fastening: nailed' or 'bolted'")
        raise Unusable(given[0])
    if form.fastener_stiffness is None or form.fastener_spacing is None:
        other = "fastener spacing" if given == ["fastener stiffness"] else "fastener stiffness"
        report.add(form.place(other), "nothing", "both the stiffness and the spacing of the fasteners", f"Add '{other}:'.")
        raise Unusable(other)
    return form.fastener_stiffness / form.fastener_spacing


def _sizes(plies: Plies | list[ListedPly], bare: Node, report: Report) -> list[tuple[PlySize, str, float]]:
    """Each ply with name and place; raises Unusable where the words contradict each other."""
    if isinstance(plies, list):
        if not plies:
            report.add(bare, "an empty list", "at least one ply")
            raise Unusable("plies")
        names = [p.name for p in plies]
        for i, ply in enumerate(plies):
            if ply.name in names[:i]:
                report.add(ply.place("name"), f"'{ply.name}' a second time", "each ply its own name")
                raise Unusable("name")
        return [(p, p.name, p.z) for p in plies]
    given = [k for k in ("one", "two", "near", "far", "gap") if plies.has(k)]
    if given == ["one"] and plies.one is not None:
        return [(plies.one, "single", 0.0)]
    if given == ["two"] and plies.two is not None:
        z = (plies.two.gap + plies.two.thickness) / 2
        return [(plies.two, "near", z), (plies.two, "far", -z)]
    if given == ["near", "far", "gap"] and plies.near is not None and plies.far is not None and plies.gap is not None:
        return [(plies.near, "near", (plies.gap + plies.near.thickness) / 2), (plies.far, "far", -(plies.gap + plies.far.thickness) / 2)]
    report.add(plies.place(), " and ".join(given) or "nothing", "'one', or 'two', or 'near', 'far' and 'gap' together")
    raise Unusable("plies")


def plies_of(
    plies: Plies | list[ListedPly],
    bare: Node,
    chain: Sequence[WoodForm | None],
    wood_place: Node,
    member: str,
    site: Site,
) -> tuple[Ply, ...]:
    """All plies of a member. Every faulty ply is reported before Unusable is raised."""
    out: list[Ply | None] = []
    for form, name, z in _sizes(plies, bare, site.report):
        try:
            out.append(ply_of(form, name, z, chain, member, wood_place, site))
        except Unusable:
            out.append(None)
    sound = tuple(p for p in out if p is not None)
    if len(sound) < len(out):
        raise Unusable("plies")
    no_overlap([(f"ply {p.name}", p.z, p.thickness) for p in sound], bare, site.report)
    return sound


def no_overlap(parts: Sequence[tuple[str, float, float]], place: Node, report: Report) -> None:
    """Parts (name, centre, thickness) across the truss may touch, not overlap."""
    ordered = sorted(parts, key=lambda p: p[1])
    for (a, za, ta), (b, zb, tb) in itertools.pairwise(ordered):
        overlap = (za + ta / 2) - (zb - tb / 2)
        if overlap > OVERLAP_IN:
            found = f"{a} and {b} overlapping by {overlap:.3f} in. across the truss"
            report.add(place, found, "parts side by side", "Look at z, thickness and gap.")
            raise Unusable("z")
