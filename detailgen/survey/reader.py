"""The project file, read: all its faults at once, or a Project in which nothing is left to guess."""

from __future__ import annotations

import contextlib
import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from detailgen.core.errors import NotCovered
from detailgen.core.units import SYSTEMS, US, UnitSystem, feet_inches
from detailgen.model.added import Across, Splice, StrandSeat
from detailgen.model.member import Connection, EndBearing, Heel, Member, NoDrillZone
from detailgen.model.project import Access, AnchoredBay, ForceImport, Override, Project, Stressing, Support, Truss, WorkWindow
from detailgen.standards.interface import STRENGTH, WoodStandard, by_method
from detailgen.survey.damage import damage_of, marked_connection, marked_splice
from detailgen.survey.document import Broken, Report, Table, Text, overlay, read_document, read_text
from detailgen.survey.fill import choice, fill, suggest
from detailgen.survey.form import Unusable
from detailgen.survey.forms import AccessForm, ProjectFile, ProjectInfo, Standards, StressingForm, TrussForm
from detailgen.survey.geometry import Outline, brace_stations, outline
from detailgen.survey.joints import Named, bearings_of, connections_and_splices, heels_of, supports_of, zones_of
from detailgen.survey.loads import check_loads, check_modelling, load_assumptions, loads_of, modelling_of
from detailgen.survey.members import TOP, Members, is_curved, members_of
from detailgen.survey.seats import across_of, run_of, seats_of
from detailgen.survey.type_forms import TrussType
from detailgen.survey.wood import Site
from detailgen.survey.work import work_of

BY_ALLOWABLE = (
    "By strength design: loads are factored, values of the wood and of the steel are design values. Only the stages of the work, where jacks are set "
    "to stated forces, and the load of the original design are judged by allowable stress."
)
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
    bearings: tuple[EndBearing, ...]
    assumptions: tuple[str, ...]
    purlins: tuple[float, ...] = ()
    purlin_height: float = 0.0
    heel_room: tuple[float, float] = (0.0, 0.0)
    heels: tuple[Heel, ...] = ()
    seats: tuple[StrandSeat, StrandSeat] = (StrandSeat(), StrandSeat())
    run: tuple[float, float] = (math.nan, math.nan)
    across: tuple[Across, ...] = ()


def _shape(form: TrussType, site: Site) -> Shape:
    lines = outline(form, site.report)
    members = members_of(form, lines, site)
    curved: bool | None = None
    supports: tuple[Support, Support] | None = None
    top = members.found[TOP]
    with contextlib.suppress(Unusable):
        if top is not None:
            curved = is_curved(form.top_chord, top, lines, site)
    with contextlib.suppress(Unusable):
        supports = supports_of(form, members, site)
    named = connections_and_splices(form, members, site)
    zones, bearings = zones_of(form, members, site), bearings_of(form, members, site)
    purlins: tuple[float, ...] = ()
    height = 0.0
    with contextlib.suppress(Unusable):
        purlins, height = _purlins(form, lines, site.report), form.purlin_height
    room = (0.0, 0.0)
    with contextlib.suppress(Unusable):
        room = (form.heel_room.left, form.heel_room.right) if form.heel_room is not None else room
    seats, run, across = seats_of(form, site), run_of(form), across_of(form, lines.span, site)
    return Shape(lines, members, named, curved, supports, zones, bearings, tuple(site.assumptions), purlins, height, room,
                 heels_of(form, members, site), seats, run, across)  # fmt: skip


def _purlins(form: TrussType, lines: Outline, report: Report) -> tuple[float, ...]:
    """Stations of the purlins between the heels; the strips next to the heels reach down to them."""
    if form.purlins is None or lines.span is None or lines.top is None:
        return ()
    inner = [lines.place(j)[0] for j in lines.top[1:-1]]
    found = tuple(sorted(set(brace_stations(form.purlins, inner, lines.span))))
    if any(not 0 < x < lines.span for x in found):
        allowed = f"stations between the heels, less than the span of {feet_inches(lines.span)}"
        report.add(form.place("purlins"), "a station at or beyond a heel", allowed)
        raise Unusable("purlins")
    return found


def _wood_standard(form: Standards, known: Mapping[str, WoodStandard], report: Report) -> WoodStandard | None:
    if form.wood not in known:
        report.add(form.place("wood"), f"'{form.wood}'", choice(tuple(sorted(known))), suggest(form.wood, tuple(sorted(known))))
        return None
    try:
        return by_method(known[form.wood], form.method)
    except NotCovered as error:
        report.add(form.place("method"), f"'{form.method}'", f"a method of the standard for wood ({error.what})")
        return None


def _check_load_standard(form: Standards, known: Collection[str], report: Report) -> None:
    if form.loads not in known:
        report.add(form.place("loads"), f"'{form.loads}'", choice(tuple(sorted(known))), suggest(form.loads, tuple(sorted(known))))


T = TypeVar("T", Member, Connection, Splice)


def _sound(found: Mapping[str, T | None]) -> tuple[T, ...]:
    return tuple(thing for thing in found.values() if thing is not None)


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
        there = False
        with contextlib.suppress(OSError):  # a name that no folder can hold
            there = file.is_file()
        if not there:
            self.report.add(forces.place("file"), f"'{forces.file}', no such file", f"a table (CSV or XLSX) in {self.path.parent}")
            raise Unusable("file")
        return ForceImport(forces.file, tuple(forces.durations.items()))

    def overrides(self, form: TrussForm) -> tuple[Override, ...]:
        return tuple(Override(o.item, o.value, o.reason) for o in form.overrides)

    def truss(self, form: TrussForm) -> tuple[Truss, tuple[str, ...]] | None:
        """A truss; None where something of it is faulty. Parts are looked at one by one so that each reports its faults."""
        parts: dict[str, object] = {}
        shape: Shape | None = None
        with contextlib.suppress(Unusable):
            shape = self.shape_of(form)
        for name, part in (("forces", self.forces), ("overrides", self.overrides)):
            try:
                parts[name] = part(form)
            except Unusable:
                continue
        if shape is None:
            return None
        work = None
        with contextlib.suppress(Unusable):
            work = self.work(form, shape)
        try:
            found = damage_of(form.damage, shape.members, shape.named, self.site(f"Truss {form.mark}"))
            self.check_supports(form, shape, parts.get("overrides"))
        except Unusable:
            return None
        if self.report.problems:
            return None
        lines, forces = shape.outline, parts["forces"]
        assert work is not None
        # Without a problem nothing can be missing; this tells the type checker so.
        if lines.span is None or lines.bottom is None or lines.top is None or shape.supports is None or shape.curved is None:
            raise AssertionError(f"truss {form.mark}: a part is missing and no problem says so")
        assert forces is None or isinstance(forces, ForceImport)
        made = Truss(
            form.mark,
            form.type,
            form.bay,
            form.tributary_width,
            lines.span,
            dict(lines.joints),
            lines.bottom,
            lines.top,
            lines.arc,
            shape.curved,
            _sound(shape.members.found),
            tuple(marked_connection(c, found) for c in _sound(shape.named.connections)),
            tuple(marked_splice(s, found) for s in _sound(shape.named.splices)),
            shape.supports,
            shape.zones,
            tuple(found.damage),
            forces,
            self.overrides(form),
            shape.bearings,
            shape.purlins,
            shape.purlin_height,
            work=work,
            heel_room=shape.heel_room,
            heels=shape.heels,
            seats=shape.seats,
            run_height=shape.run[0],
            run_off=shape.run[1],
            across=shape.across,
            bolts_from=form.bolts_from or (self.form.access.bolts_from if self.form.access else "near"),
        )
        return made, shape.assumptions

    def work(self, form: TrussForm, shape: Shape) -> WorkWindow:
        if shape.outline.bottom is None:
            raise Unusable("work")
        return work_of(form.work, self.form.work, self.form.access, shape.outline.bottom, self.report)

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
        info.name,
        info.number,
        info.location,
        info.revision,
        info.date,
        SYSTEMS[info.units],
        info.code_path,
        info.view,
        info.grid,
        standards.wood,
        standards.loads,
        loads_of(form.loads),
        trusses,
        tuple(dict.fromkeys(assumptions)),
        str(path.parent),
        access=_access(form.access),
        modelling=modelling_of(form.analysis),
        stressing=_stressing(form.stressing),
        method=standards.method,
        anchored=tuple(AnchoredBay(b.bay, b.holds, b.leaning, b.takes, b.spacing or 0.0, tuple(b.trusses)) for b in form.anchored_bays),
    )


def _access(form: AccessForm | None) -> Access | None:
    if form is None:
        return None
    longest, heaviest, near, far, below, above = (v or 0.0 for v in (form.longest, form.heaviest, form.near, form.far, form.below, form.above))
    return Access(longest, heaviest, near, far, below, above, form.bolts_from)


def _stressing(form: StressingForm | None) -> Stressing:
    if form is None:
        return Stressing()
    usual = Stressing()
    area = math.pi / 4 * form.ram_diameter**2 if form.ram_diameter else 0.0
    return Stressing(
        tuple(form.strands), form.seating or usual.seating, form.jack_length or usual.jack_length, form.jack_diameter or usual.jack_diameter,
        form.stroke or usual.stroke, area, force=form.force or 0.0, given=True,
    )  # fmt: skip


def read(path: Path, wood_standards: Mapping[str, WoodStandard], load_standards: Collection[str]) -> Project:
    """The project of a file, or of ``project.yaml`` in a folder.

    wood_standards: standards for wood by their key
    load_standards: keys of the standards for loads
    Raises: InputError with every problem of the file
    """
    path = Path(path)
    with contextlib.suppress(OSError):  # read_text says what is wrong with the path
        path = path / "project.yaml" if path.is_dir() else path
    text = read_text(path, "a project file")
    report = Report(str(path))
    root = read_document(path, text, report)
    if root is None:
        report.stop_if_any()
        raise AssertionError("a file without a table has a problem")
    form = fill(ProjectFile, root, report)
    standard, standard_name, units = None, "", US
    with contextlib.suppress(Unusable):
        standard = _wood_standard(form.standards, wood_standards, report)
        standard_name = standard.name if standard is not None else ""
    with contextlib.suppress(Unusable):
        _check_load_standard(form.standards, load_standards, report)
    with contextlib.suppress(Unusable):
        units = SYSTEMS[form.project.units]
    made: list[Truss] = []
    assumptions: list[str] = []
    reader = _Reader(path, report, form, standard, standard_name, units)
    with contextlib.suppress(Unusable):
        if not form.types:
            report.add(form.place("types"), "an empty table", "at least one type")
        reader.read_types()
    with contextlib.suppress(Unusable):
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
    with contextlib.suppress(Unusable):
        check_loads(form.loads, form.trusses, made, report)
    with contextlib.suppress(Unusable):
        check_modelling(form.analysis, made, report)
    with contextlib.suppress(Unusable):
        _check_bays(form, report)
    report.stop_if_any()
    by_strength = [BY_ALLOWABLE] if form.standards.method == STRENGTH else []
    return _project(path, form.project, form, tuple(made), [*by_strength, *load_assumptions(form.loads), *assumptions])


def _check_bays(form: ProjectFile, report: Report) -> None:
    """Marks that an anchored bay names are trusses of this file."""
    known = tuple(t.mark for t in form.trusses if t.has("mark"))
    for bay in form.anchored_bays:
        for mark in bay.trusses:
            if mark not in known:
                report.add(bay.place("trusses"), f"'{mark}', no truss of this file", choice(known), suggest(mark, known))


def _unique_marks(trusses: list[TrussForm], report: Report) -> None:
    seen: dict[str, int] = {}
    for truss in trusses:
        node = truss.place("mark")
        if not isinstance(node, Text):
            continue
        if node.value in seen:
            report.add(node, f"'{node.value}' a second time", f"each truss its own mark; it stands in line {seen[node.value]} already")
        seen[node.value] = node.line
