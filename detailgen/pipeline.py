"""THE one screen: the whole walk from the survey to what a person gets. It grows with the package; today it ends with the assessment.

    project   = survey.read(path)                      words and numbers of the survey, every fault named at once
    assessed  = assess_truss(truss) for each truss     loads -> forces (or imported ones) -> checks -> findings with their cause
    folder    = drawings, tables and model, written whole or not at all
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from detailgen import standards
from detailgen.assessment.assess import Imported, assess_truss
from detailgen.core.discovery import discover
from detailgen.core.folder import whole_folder
from detailgen.core.result import State
from detailgen.core.tolerance import at_most
from detailgen.model.assessment import TrussAssessment
from detailgen.model.project import Project, Truss
from detailgen.outputs.drawings import draw_truss, write_dxf, write_svg
from detailgen.outputs.schedules.assessment_tables import write_assessment_csv, write_forces_csv, write_truss_model_json
from detailgen.standards.interface import LoadStandard, WoodStandard
from detailgen.survey import read, read_forces

Progress = Callable[[str], None]


@dataclass(frozen=True)
class Walk:
    """What came of a walk: the project, its assessed trusses, the folder and the files in it."""

    project: Project
    trusses: tuple[TrussAssessment, ...]
    folder: Path
    files: tuple[str, ...]

    @property
    def passes(self) -> bool:
        """Nothing as found over 1.0, nothing without a load path, nothing that cannot be checked."""
        return all(truss_passes(t) for t in self.trusses)


def truss_passes(assessed: TrussAssessment) -> bool:
    """Does every check as found pass?"""
    if assessed.as_found.no_safe_load_path:
        return False
    return all(r.state is State.PASSES and at_most(r.ratio, 1.0) for _, r in assessed.as_found.results())


def known_standards() -> tuple[dict[str, WoodStandard], dict[str, LoadStandard]]:
    """The standards that are installed, by key."""
    found = discover(standards, "STANDARD")
    wood = {k: s for k, s in found.items() if isinstance(s, WoodStandard)}
    return wood, {k: s for k, s in found.items() if isinstance(s, LoadStandard)}


def read_project(path: Path) -> Project:
    """Read a survey. Raises InputError with every fault of the file."""
    wood, loads = known_standards()
    return read(path, wood, loads)


def assess_one(project: Project, truss: Truss) -> TrussAssessment:
    """Assess one truss with the standards that the project names."""
    wood, loads = known_standards()
    forces = truss.forces

    def imported(combinations: Sequence[str]) -> Imported:
        return read_forces(Path(project.folder) / forces.file, truss, combinations, project.units) if forces is not None else {}

    return assess_truss(project, truss, wood[project.wood_standard], loads[project.load_standard], imported)


def assess(path: Path, out: Path, *, jobs: int = 1, progress: Progress = lambda _: None) -> Walk:
    """Assess all trusses of a project and write what ``detailgen assess`` leaves behind.

    path: project file or its folder
    out: the folder in which ``<project>-assessment`` is written, whole or not at all
    Raises: InputError, OutputError
    """
    project = read_project(path)
    assessed: list[TrussAssessment] = []
    if jobs > 1 and len(project.trusses) > 1:
        with ProcessPoolExecutor(min(jobs, len(project.trusses))) as pool:
            assessed = list(pool.map(partial(assess_one, project), project.trusses))
    else:
        for truss in project.trusses:
            progress(f"truss {truss.mark}")
            assessed.append(assess_one(project, truss))
    progress("drawings and tables")
    name = f"{slug(project.name)}-assessment"
    with whole_folder(out, name) as folder:
        write_assessment(folder, project, assessed)
        files = tuple(sorted(str(f.relative_to(folder)) for f in folder.rglob("*") if f.is_file()))
    return Walk(project, tuple(assessed), out / name, files)


def write_assessment(folder: Path, project: Project, assessed: Sequence[TrussAssessment]) -> None:
    """assessment.csv, analysis/ and drawings/ of an assessment."""
    for part in ("analysis", "drawings"):
        (folder / part).mkdir()
    write_assessment_csv(folder / "assessment.csv", assessed, project.units)
    write_forces_csv(folder / "analysis" / "forces.csv", assessed, project.units)
    write_truss_model_json(folder / "analysis" / "truss_model.json", assessed, project)
    for one in assessed:
        drawing = draw_truss(one, project)
        write_svg(drawing, folder / "drawings" / f"truss_{slug(one.truss.mark)}.svg")
        write_dxf(drawing, folder / "drawings" / f"truss_{slug(one.truss.mark)}.dxf")


def slug(name: str) -> str:
    """A name as a file name: letters, digits, hyphens; case kept, so that mark T1 stays T1."""
    return re.sub(r"[^A-Za-z0-9]+", "-", name).strip("-") or "project"
