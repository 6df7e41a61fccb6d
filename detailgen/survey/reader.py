"""The project file, read: all its faults at once, or a Project in which nothing is left to guess."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from detailgen.core.units import SYSTEMS, US, UnitSystem
from detailgen.model.project import (
    Connection,
    ForceImport,
    Loads,
    Member,
    NoDrillZone,
    OriginalDesign,
    Override,
    Project,
    SnowInput,
    Splice,
    Support,
    Truss,
)
from detailgen.standards.interface import WoodStandard
from detailgen.survey.damage import damage_of, marked_connection, marked_splice
from detailgen.survey.document import Broken, Report, Table, Text, overlay, read_document, read_text
from detailgen.survey.fill import choice, fill, suggest
from detailgen.survey.forms import FirstDesign, LoadsForm, ProjectFile, ProjectInfo, Snow, Standards, TrussForm, TrussType, Unusable
from detailgen.survey.geometry import Outline, outline
from detailgen.survey.joints import Named, connections_and_splices, supports_of, zones_of
from detailgen.survey.members import BOTTOM, TOP, Members, is_curved, members_of
from detailgen.survey.wood import Site

TWO_PINS = "two pinned supports"
REPLACED = frozenset({"plies", "wood"})
CHOICES = (frozenset({"radius", "rise", "points"}), frozenset({"panels", "panel points"}))


@dataclass(frozen=True)
class Shape:
    """A type, resolved as far as its faults allow; what is faulty is None (and reported)."""

    outline: Outline
    members: Members
    named: Named
    curved: bool | None
    supports: tuple[Support, Support] | None
    zones: tuple[NoDrillZone, ...]
    assumptions: tuple[str, ...]


def _shape(form: TrussType, site: Site) -> Shape:
    lines = outline(form, site.report)
    members = members_of(form, lines, site)
    curved: bool | None = None
    supports: tuple[Support, Support] | None = None
    top = members.found[TOP]
    try:
        if top is not None:
            curved = is_curved(form.top_chord, top, lines, site)
    except Unusable:
        pass
    try:
        supports = supports_of(form, members, site)
    except Unusable:
        pass
    named = connections_and_splices(form, members, site)
    return Shape(lines, members, named, curved, supports, zones_of(form, members, site), tuple(site.assumptions))


def _wood_standard(form: Standards, known: Mapping[str, WoodStandard], report: Report) -> WoodStandard | None:
    if form.wood not in known:
        report.add(form.place("wood"), f"'{form.wood}'", choice(tuple(sorted(known))), suggest(form.wood, tuple(sorted(known))))
        return None
    return known[form.wood]


def _check_load_standard(form: Standards, known: Collection[str], report: Report) -> None:
    if form.loads not in known:
        report.add(form.place("loads"), f"'{form.loads}'", choice(tuple(sorted(known))), suggest(form.loads, tuple(sorted(known))))


def _load_assumptions(form: LoadsForm) -> list[str]:
    out = []
    if not form.has("roof dead on"):
        out.append("Loads: it is not said on which area the roof's dead load acts; it is taken per sloped area.")
    if form.ceiling_dead is None:
        out.append("Loads: no ceiling load is given; none hangs on the bottom chord.")
    if form.wood_weight is None:
        out.append("Loads: no unit weight of the wood is given; it is taken from the specific gravity.")
    if form.snow == "none":
        out.append("Loads: the project file says that there is no snow; none is counted.")
    elif isinstance(form.snow, Snow):
        for key in ("exposure", "thermal", "importance"):
            if not form.snow.has(key):
                out.append(f"Loads: the {key} factor for snow is not given; it is taken as 1.0.")
        if not form.snow.has("slippery"):
            out.append("Loads: it is not said whether the roof is slippery; it is taken as not slippery.")
    return out


def _loads(form: LoadsForm) -> Loads:
    snow = form.snow
    first: FirstDesign | None = form.original_design
    return Loads(
        form.roof_dead, form.roof_dead_on, form.ceiling_dead or 0.0, form.wood_weight or 0.0, form.roof_live,
        SnowInput(snow.ground, snow.exposure, snow.thermal, snow.importance, snow.slippery) if isinstance(snow, Snow) else None,
        None if first is None else OriginalDesign(first.total, first.tension_stress or 0.0, first.source),
    )


class _Reader:
    """One reading of one file."""

    def __init__(self, path: Path, report: Report, form: ProjectFile, standard: WoodStandard | None, standard_name: str, units: UnitSystem) -> None:
        self.path, self.report, self.form = path, report, form
        self.standard, self.standard_name, self.units = standard, standard_name, units
        self.shapes: dict[str, Shape] = {}

    def site(self, owner: str) -> Site:
        try:
            wood = self.form.wood
        except Unusable:
            wood = None
        return Site(self.report, self.units, self.standard, self.standard_name, wood, owner)

    def read_types(self) -> None:
        for name, form in self.form.types.items():
            self.shapes[name] = _shape(form, self.site(f"Type {name}"))

    def shape_of(self, form: TrussForm) -> Shape:
        """The type's shape, or the truss's own where it has changes."""
        types = self.form.types
        if form.type not in types:
            if not isinstance(self.form.table.child("types"), Broken):
                node = self.form.table.child("types")
                known = tuple(node.entries) if isinstance(node, Table) else tuple(types)
                if form.type not in known:
                    self.report.add(form.place("type"), f"'{form.type}', no type of this file", choice(known), suggest(form.type, known))
            raise Unusable("type")
        change = form.table.entries.get("changes")
        if change is None:
            return self.shapes[form.type]
        if not isinstance(change, Table):
            if not isinstance(change, Broken):
                self.report.add(change, "no table", "entries of the type that are different in this truss")
            raise Unusable("changes")
        merged = overlay(types[form.type].table, change, REPLACED, CHOICES)
        assert isinstance(merged, Table)
        return _shape(fill(TrussType, merged, self.report), self.site(f"Truss {form.mark}"))

    def forces(self, form: TrussForm) -> ForceImport | None:
        forces = form.forces
        if forces is None:
            return None
        file = self.path.parent / forces.file
        if not file.is_file():
            self.report.add(forces.place("file"), f"'{forces.file}', no such file", f"a CSV file in {self.path.parent}")
            raise Unusable("file")
        return ForceImport(forces.file, tuple(forces.durations.items()))

    def overrides(self, form: TrussForm) -> tuple[Override, ...]:
        return tuple(Override(o.item, o.value, o.reason) for o in form.overrides)

    def truss(self, form: TrussForm) -> tuple[Truss, tuple[str, ...]] | None:
        """A truss; None where something of it is faulty. Parts are looked at one by one so that each reports its faults."""
        parts: dict[str, object] = {}
        shape: Shape | None = None
        try:
            shape = self.shape_of(form)
        except Unusable:
            pass
        for name, part in (("forces", self.forces), ("overrides", self.overrides)):
            try:
                parts[name] = part(form)
            except Unusable:
                continue
        if shape is None:
            return None
        try:
            found = damage_of(form.damage, shape.members, shape.named, self.site(f"Truss {form.mark}"))
            self.check_supports(form, shape, parts.get("overrides"))
        except Unusable:
            return None
        if self.report.problems:
            return None
        members = tuple(replace(m, bow=max(m.bow, found.bows.get(m.name, 0.0))) for m in self.sound(shape.members.found))
        lines = shape.outline
        assert lines.span is not None and lines.bottom and lines.top and shape.supports is not None and shape.curved is not None
        forces = parts["forces"]
        assert forces is None or isinstance(forces, ForceImport)
        made = Truss(
            form.mark, form.type, form.bay, form.tributary_width, lines.span, dict(lines.joints), lines.bottom, lines.top, lines.arc, shape.curved,
            members,
            tuple(marked_connection(c, found) for c in self.named(shape.named.connections)),
            tuple(marked_splice(s, found) for s in self.named_splices(shape.named.splices)),
            shape.supports, shape.zones, tuple(found.damage), forces, self.overrides(form),
        )
        return made, shape.assumptions

    @staticmethod
    def sound(found: Mapping[str, Member | None]) -> list[Member]:
        return [m for m in found.values() if m is not None]

    @staticmethod
    def named(found: Mapping[str, Connection | None]) -> list[Connection]:
        return [c for c in found.values() if c is not None]

    @staticmethod
    def named_splices(found: Mapping[str, Splice | None]) -> list[Splice]:
        return [s for s in found.values() if s is not None]

    def check_supports(self, form: TrussForm, shape: Shape, overrides: object) -> None:
        """Two pins hide the chord's tension behind the walls' thrust; that needs the engineer's word."""
        pins = shape.supports is not None and all(s.kind == "pin" for s in shape.supports)
        said = isinstance(overrides, tuple) and any(isinstance(o, Override) and o.item == TWO_PINS for o in overrides)
        if pins and not said and overrides is not None:
            advice = f"Set one to roller, or add an override with item '{TWO_PINS}' and the reason why both walls take the thrust."
            node = self.form.types[form.type].place("supports")
            change = form.table.entries.get("changes")
            if isinstance(change, Table) and "supports" in change.entries:
                node = change.entries["supports"]
            self.report.add(node, "two pins", f"a pin and a roller; two pins only with an override of each such truss ({form.mark} has none)", advice)
            raise Unusable("supports")


def _project(path: Path, info: ProjectInfo, form: ProjectFile, trusses: tuple[Truss, ...], assumptions: list[str]) -> Project:
    standards = form.standards
    return Project(
        info.name, info.number, info.location, info.revision, info.date, SYSTEMS[info.units], info.code_path, info.view, info.grid,
        standards.wood, standards.loads, _loads(form.loads), trusses, tuple(dict.fromkeys(assumptions)), str(path.parent),
    )


def read(path: Path, wood_standards: Mapping[str, WoodStandard], load_standards: Collection[str]) -> Project:
    """The project of a file, or of ``project.yaml`` in a folder.

    wood_standards: standards for wood by their key
    load_standards: keys of the standards for loads
    Raises: InputError with every problem of the file
    """
    path = Path(path)
    if path.is_dir():
        path = path / "project.yaml"
    text = read_text(path, "a project file")
    report = Report(str(path))
    root = read_document(path, text, report)
    if root is None:
        report.stop_if_any()
        raise AssertionError("a file without a table has a problem")
    form = fill(ProjectFile, root, report)
    standard, standard_name, units = None, "", US
    try:
        standard = _wood_standard(form.standards, wood_standards, report)
        standard_name = standard.name if standard is not None else ""
    except Unusable:
        pass
    try:
        _check_load_standard(form.standards, load_standards, report)
    except Unusable:
        pass
    try:
        units = SYSTEMS[form.project.units]
    except Unusable:
        pass
    made: list[Truss] = []
    assumptions: list[str] = []
    reader = _Reader(path, report, form, standard, standard_name, units)
    try:
        if not form.types:
            report.add(form.place("types"), "an empty table", "at least one type")
        reader.read_types()
    except Unusable:
        pass
    try:
        if not form.trusses:
            report.add(form.place("trusses"), "an empty list", "at least one truss")
        _unique_marks(form.trusses, report)
        for truss in form.trusses:
            try:
                one = reader.truss(truss)
            except Unusable:
                continue
            if one is not None:
                made.append(one[0])
                assumptions.extend(one[1])
    except Unusable:
        pass
    report.stop_if_any()
    return _project(path, form.project, form, tuple(made), [*_load_assumptions(form.loads), *assumptions])


def _unique_marks(trusses: list[TrussForm], report: Report) -> None:
    seen: dict[str, int] = {}
    for truss in trusses:
        node = truss.place("mark")
        if not isinstance(node, Text):
            continue
        if node.value in seen:
            report.add(node, f"'{node.value}' a second time", f"each truss its own mark; it stands in line {seen[node.value]} already")
        seen[node.value] = node.line
