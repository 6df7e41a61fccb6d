"""THE one screen: the whole walk from the survey to the package, readable in five minutes.

project   = survey.read(path)                     words and numbers of the survey, every fault named at once
before    = assess_truss(truss)                   loads -> forces (or imported ones) -> checks -> findings with their cause
plan      = choose.plan(before)                   propose, solve as repaired, dimension, consequences back, until it stands still
marks     = register of identical parts over the whole project
folder    = drawings, cut files, solids, lists, report; read back by the checker; swapped in whole or not at all
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from detailgen import packing, standards
from detailgen.analysis.build import STRANDS
from detailgen.assessment.assess import Imported, assess_truss, own_forces, solve_repaired
from detailgen.assessment.compare import compare
from detailgen.assessment.hand_check import hand_check
from detailgen.assessment.safety import safety_now
from detailgen.assessment.sensitivity import sensitivity
from detailgen.assessment.stages import staged_work
from detailgen.core.crew import in_order
from detailgen.core.discovery import discover
from detailgen.core.errand import Errand, errand
from detailgen.core.errors import InputError, InputProblem, OutputError
from detailgen.core.folder import whole_folder
from detailgen.core.shelf import Shelf
from detailgen.model.assessment import Assessed, Difference, SafetyNow, StagedWork, Stressing, TrussAssessment, Variation
from detailgen.model.marks import register
from detailgen.model.package import Package, Repaired
from detailgen.model.project import Project, Truss
from detailgen.model.stressing import StressingPlan
from detailgen.outputs.schedules.comparison import write_comparison_csv
from detailgen.remedies import choose
from detailgen.remedies.contract import Anchorage, Job, Solved
from detailgen.standards import catalogue
from detailgen.standards.anchorage import SteelPartStandard, StrandStandard, StressingStandard
from detailgen.standards.interface import ALLOWABLE_STRESS, LoadStandard, SteelStandard, WoodStandard, by_method, method_of
from detailgen.survey import read, read_forces, trusses_in
from detailgen.survey.beside import Acceptance, read_accepted, read_marks, read_readings, write_marks

Progress = Callable[[str], None]
STEEL = "aisc360_16"
FEW = 4
"""Up to so many trusses are worked on one after another, unless somebody asks for more at a time: there is enough to do beside each."""


@dataclass(frozen=True)
class Walk:
    """What came of a walk: the project, its assessed trusses, the folder and the files in it."""

    project: Project
    trusses: tuple[TrussAssessment, ...]
    folder: Path
    files: tuple[str, ...]
    compared: tuple[Difference, ...] = ()

    @property
    def passes(self) -> bool:
        """Nothing as found over 1.0, nothing without a load path, nothing that cannot be checked."""
        return all(structure_passes(t.as_found) for t in self.trusses)


@dataclass(frozen=True)
class PackageWalk:
    """A written package: what was decided, what the checker found in the drawings, where it stands, what was set aside."""

    package: Package
    folder: Path
    files: tuple[str, ...]
    drawings_pass: bool
    set_aside: tuple[str, ...]

    @property
    def passes(self) -> bool:
        """Everything as repaired and as drawn passes and can be checked."""
        return self.drawings_pass and all(structure_passes(t.after) for t in self.package.trusses)


def structure_passes(assessed: Assessed) -> bool:
    """Does every check of a structure pass?"""
    if assessed.no_safe_load_path:
        return False
    return all(r.passes for _, r in assessed.results())


def known_standards() -> tuple[dict[str, WoodStandard], dict[str, LoadStandard]]:
    """The standards for loads that are installed, and those for wood that some of them can feed, by key."""
    found = discover(standards, "STANDARD")
    loads = {k: s for k, s in found.items() if isinstance(s, LoadStandard)}
    methods = {method_of(s) for s in loads.values()}
    return {k: s for k, s in found.items() if isinstance(s, WoodStandard) and method_of(s) in methods}, loads


def standards_of(project: Project, method: str = "") -> tuple[WoodStandard, LoadStandard]:
    """The standards for wood and loads that the project names, working by its method (or another)."""
    wood, loads = known_standards()
    return by_method(wood[project.wood_standard], method or project.method), loads[project.load_standard]


def steel_standard(method: str) -> SteelStandard:
    found = discover(standards, "STANDARD")[STEEL]
    assert isinstance(found, SteelStandard)
    return by_method(found, method)


def steel_parts(method: str) -> SteelPartStandard | None:
    """The standard for welds and bent plates, if it works by the method."""
    found = steel_standard(method)
    return found if isinstance(found, SteelPartStandard) and method == ALLOWABLE_STRESS else None


def anchorage(method: str) -> Anchorage | None:
    """The standards for strand, its stressing and the steel around it, if all are installed: of several the first by key."""
    found = discover(standards, "STANDARD")
    strand = next((s for s in found.values() if isinstance(s, StrandStandard)), None)
    stressing = next((s for s in found.values() if isinstance(s, StressingStandard)), None)
    parts = steel_standard(method)
    if strand is None or stressing is None or not isinstance(parts, SteelPartStandard):
        return None
    return Anchorage(strand, stressing, parts)


def read_project(path: Path) -> Project:
    """Read a survey. Raises InputError with every fault of the file."""
    wood, loads = known_standards()
    project = read(path, wood, loads)
    held, told = catalogue.readings_that_hold(read_readings(Path(project.folder), catalogue.table_names))
    return replace(project, tables_read=held, assumptions=(*project.assumptions, *told))


def _importer(project: Project, truss: Truss) -> Callable[[Sequence[str]], Imported]:
    """Reads the truss's forces of another analysis, if it has any, once the combinations' names are known."""
    forces = truss.forces

    def imported(combinations: Sequence[str]) -> Imported:
        return read_forces(Path(project.folder) / forces.file, truss, combinations, project.units) if forces is not None else {}

    return imported


def assess_one(project: Project, truss: Truss) -> TrussAssessment:
    """Assess one truss with the standards that the project names."""
    found = assess_truss(project, truss, *standards_of(project), _importer(project, truss), steel_parts(project.method))
    return found.by_readings(project.tables_read)


def assessed_with_safety(project: Project, truss: Truss) -> Repaired:
    """A truss with all that its assessment tells of it, and nothing else."""
    one = assess_one(project, truss)
    found = packing.as_found(one, safety_now(project, one, *standards_of(project, ALLOWABLE_STRESS)))
    return packing.told_of(found, project, None)


def repair_one(project: Project, truss: Truss) -> Repaired:
    """Assess one truss, decide its repairs, and judge it as repaired."""
    wood, loads = standards_of(project)
    before = assess_one(project, truss)

    def solved(changed: Truss) -> Solved:
        return Solved(changed, *solve_repaired(project, changed, wood, loads, _importer(project, truss), parts=steel_parts(project.method)))

    def solve(changed: Truss) -> Solved:
        """New splices are fixed for their own moment; where they cut every ply the chord is also judged with hinges there, and where timbers stand
        beside it also with the least that they may take: the worse counts."""
        found = solved(changed)
        for other in (choose.hinged(changed), choose.loose(changed)):
            found = found if other is None else choose.worse_of(found, solved(other))
        return found

    def staged(as_repaired: Solved, strands: StressingPlan | None) -> StagedWork:
        return _in_stages(project, before, as_repaired.truss, as_repaired.assessed, strands)

    decided = choose.plan(Job(project, wood, steel_standard(project.method), solve, anchorage(project.method), staged), before)
    repaired = packing.repaired(before, decided, project.units)
    repaired = replace(repaired, hand_check=hand_check(before, project))
    return replace(repaired, after=repaired.after.by_readings(project.tables_read))


def asked_by_the_report(project: Project, repaired: Repaired) -> tuple[Variation, ...]:
    """Would another assumption change a repair; imported forces rest on none of our assumptions."""
    truss, forces = repaired.truss, repaired.after.forces
    if truss is None or forces is None or truss.forces is not None or not repaired.details:
        return ()
    new = [p for p in repaired.after.places if p.name.startswith("new parts of ")]
    base = (forces, tuple(p for p in repaired.after.places if p not in new))
    return sensitivity(project, truss, *standards_of(project), base, new)


def _in_stages(project: Project, before: TrussAssessment, truss: Truss, after: Assessed, plan: StressingPlan | None) -> StagedWork:
    """The work on a truss in stages, by allowable stress, as jacks are set to stated forces."""
    if truss.forces is not None:
        return StagedWork(truss.mark, "forces come from another analysis, which holds no stages")
    if truss.one_sided:
        return StagedWork(truss.mark, "members that carry only tension or only compression are not followed from stage to stage")
    no_path = bool(before.as_found.no_safe_load_path)
    at_once = after if project.method == ALLOWABLE_STRESS else None
    strands = Stressing(STRANDS, plan.pulls, plan.locked, plan.lasting) if plan is not None else None
    return staged_work(project, before.truss, truss, *standards_of(project, ALLOWABLE_STRESS), at_once=at_once, stressing=strands, no_path=no_path)


def stages_of(project: Project, repaired: Repaired) -> tuple[StagedWork | None, SafetyNow]:
    """The work on a truss in stages, where it is repaired, and its safety as found."""
    safety = safety_now(project, repaired.before, *standards_of(project, ALLOWABLE_STRESS))
    if repaired.truss is None or not repaired.details:
        return None, safety
    return _in_stages(project, repaired.before, repaired.truss, repaired.after, repaired.stressing), safety


def repaired_in_full(project: Project, truss: Truss) -> Repaired:
    """A truss with all that its package tells of it and nothing else: nothing is left to be found out beside the walk."""
    one = repair_one(project, truss)
    work, safety = stages_of(project, one)
    return packing.told_of(replace(one, staged=work, safety=safety, variations=asked_by_the_report(project, one)), project, one.after)


def asked_afterwards(project: Project, repaired: Repaired) -> Generator[object, None, None]:
    """First what the sheets of the work ask, then what only the report asks."""
    yield stages_of(project, repaired)
    yield asked_by_the_report(project, repaired)


def _over(
    function: Callable[[Project, Truss], Repaired], project: Project, jobs: int, progress: Progress,
    told: Callable[[Repaired], None] = lambda _: None,
) -> list[Repaired]:  # fmt: skip
    """One function over all trusses, in ``jobs`` processes (0: the cores, where there are many trusses); ``told`` of each answer.

    Trusses that come with all that tables hold of them are set aside: so many may come that memory would not hold them.
    """
    trusses, shelf = project.trusses, Shelf()
    answers = in_order(lambda k: function(project, trusses[k]), len(trusses), jobs or (0 if len(trusses) > FEW else 1))
    done = []
    for k, truss in enumerate(trusses, start=1):
        progress(f"truss {truss.mark}" + (f" ({k} of {len(trusses)})" if len(trusses) > 1 else ""))
        one = next(answers)
        told(one)
        done.append(one if one.rows is None else packing.set_aside(one, shelf))
    return done


def differences(project: Project, file: Path) -> tuple[Difference, ...]:
    """The largest differences between our own forces and those of a table, for every truss and structure that the table holds.

    Raises: InputError for a table that cannot be read, that holds no truss of the project, or no combination of ours
    """
    marks = trusses_in(file, project.units)
    found: list[Difference] = []
    for truss in (t for t in project.trusses if t.mark in marks):
        own = own_forces(project, truss, *standards_of(project))
        for structure, table in read_forces(file, truss, None, project.units).items():
            if structure in own:
                found += compare(truss.mark, own[structure], table)
    if not found:
        ours = ", ".join(t.mark for t in project.trusses)
        allowed = f"trusses {ours}, intact or as found, with combinations named as in analysis/forces.csv"
        raise InputError([InputProblem(str(file), 0, "", "nothing that could be compared", allowed)])
    return tuple(found)


def assess(
    path: Path, out: Path, *, jobs: int = 0, progress: Progress = lambda _: None, beside: Path | None = None, templates: str = "",
) -> Walk:  # fmt: skip
    """Assess all trusses of a project and write what ``detailgen assess`` leaves behind.

    path: project file or its folder
    out: the folder in which ``<project>-assessment`` is written, whole or not at all
    beside: a table of forces of another analysis to compare with
    Raises: InputError, OutputError
    """
    project = replace(read_project(path), templates=templates)
    compared = differences(project, beside) if beside is not None else ()
    found = _over(assessed_with_safety, project, jobs, progress)
    names = tuple(s.name for s in standards_of(project))
    progress("drawings and tables")
    name = f"{packing.slug(project.name)}-assessment"
    with whole_folder(out, name) as folder:
        packing.write_assessment(folder, project, found, names)
        if compared:
            write_comparison_csv(folder / "comparison.csv", compared, project.units)
        files = packing.listed(folder)
    return Walk(project, tuple(t.before for t in found), out / name, files, compared)


def decide(
    project: Project, accepted: Sequence[Acceptance], book: dict[str, str], *, jobs: int, progress: Progress,
    done: Callable[[Repaired], None] = lambda _: None, how: Callable[[Project, Truss], Repaired] = repair_one,
) -> tuple[Package, dict[str, str]]:  # fmt: skip
    """Everything of a package but its files: repairs of all trusses, marks, statuses. Returns also the book of marks to keep.

    done: is told of each truss as soon as its repairs are decided
    how: what is done for one truss
    """
    trusses = _over(how, project, jobs, progress, done)
    settled = tuple(replace(t, status=packing.statuses(t, accepted)) for t in trusses)
    marks, book = register([d for t in settled for d in t.details], book)
    wood, loads = standards_of(project)
    names = (wood.name, steel_standard(project.method).name, loads.name)
    return packing.package_of(project, settled, marks, names, packing.idle(settled, accepted)), book


def package(
    path: Path, out: Path, *, jobs: int = 0, progress: Progress = lambda _: None, beside: bool = True, templates: str = "",
) -> PackageWalk:  # fmt: skip
    """The whole walk for one project.

    beside: keep the marks beside the project file (the demo writes nothing there)
    Raises: InputError, OutputError
    """
    project = replace(read_project(path), templates=templates)
    home = Path(project.folder)
    with ExitStack() as beside_us:
        models = beside_us.enter_context(errand(packing.solids))
        asked: dict[str, Errand] = {}
        # A few trusses are decided one by one, and what is asked of each afterwards is found out beside the next ones; of many each is
        # worked on in full by one process.
        few = jobs <= 1 and len(project.trusses) <= FEW

        def begin(one: Repaired) -> None:
            """What only sheets of the work and the report ask is found out while the next truss is decided."""
            asked[one.before.truss.mark] = beside_us.enter_context(errand(lambda: partial(asked_afterwards, project, one)))
            asked[one.before.truss.mark].hand()

        def with_stages(package: Package) -> Package:
            def one(truss: Repaired) -> Repaired:
                work, safety = asked[truss.before.truss.mark].end()
                return replace(truss, staged=work, safety=safety)

            return replace(package, trusses=tuple(one(t) if few else t for t in package.trusses))

        def with_answers(package: Package) -> Package:
            def one(truss: Repaired) -> Repaired:
                return replace(truss, variations=asked[truss.before.truss.mark].end())

            return replace(package, trusses=tuple(one(t) if few else t for t in package.trusses))

        accepted, book = read_accepted(home), read_marks(home) if beside else {}
        how, told = (repair_one, begin) if few else (repaired_in_full, lambda _: None)
        decided, book = decide(project, accepted, book, jobs=jobs, progress=progress, done=told, how=how)
        name = packing.slug(project.name)
        aside = home / "edited" if beside else out / f"{name}-edited"
        with whole_folder(out, name) as folder:
            digest = packing.input_hash(path, home, templates)
            drawings_pass = packing.write_package(folder, decided, digest, models, (with_stages, with_answers), progress)
            files = packing.listed(folder)
            # Last before the swap: an edit made meanwhile is kept too, and where marks or edits cannot be kept the old package stays.
            set_aside = packing.set_edited_aside(out / name, aside)
            if beside:
                _keep_marks(home, book)
    return PackageWalk(decided, out / name, files, drawings_pass, set_aside)


def _keep_marks(home: Path, book: dict[str, str]) -> None:
    try:
        write_marks(home, book)
    except OSError as error:
        raise OutputError(f"{home}: the marks of the parts cannot be kept here ({error.strerror}). Make the folder writable.") from None


def sound(paths: Sequence[Path]) -> None:
    """Read all projects of one command before anything is written. Raises InputError with the faults of all."""
    problems: list[InputProblem] = []
    folders: dict[str, Path] = {}
    for path in paths:
        try:
            project = read_project(path)
            read_accepted(Path(project.folder))
            read_marks(Path(project.folder))
        except InputError as error:
            problems += error.problems
            continue
        name = packing.slug(project.name)
        if name in folders:
            to_do = "Give the projects different names, or run them one by one with different --out."
            problems.append(InputProblem(str(path), 0, "project.name", f"'{project.name}', whose package would replace that of {folders[name]}",
                                         "a name of its own for each project", to_do))  # fmt: skip
        folders[name] = path
    if problems:
        raise InputError(problems)
