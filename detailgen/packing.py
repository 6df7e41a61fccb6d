"""What the walk writes: the order of files in a package, its manifest, statuses, and what was edited by hand and is kept."""

from __future__ import annotations

import hashlib
import itertools
import json
import math
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any

from detailgen import __version__
from detailgen.analysis.extremes import envelope
from detailgen.core.clause import TableStatus
from detailgen.core.errand import Errand, errand
from detailgen.core.errors import OutputError
from detailgen.core.result import CheckResult, State
from detailgen.core.shelf import Shelf
from detailgen.core.units import UnitSystem
from detailgen.model.assessment import Assessed, Place, SafetyNow, Shelved, StagedWork, TrussAssessment
from detailgen.model.governing import alone, told, told_detail
from detailgen.model.marks import detail_hash
from detailgen.model.package import ISSUED, PRELIMINARY, PROPOSED, Intervention, Marked, Package, Repaired, Rows
from detailgen.model.project import Project
from detailgen.outputs.drawings import draw_truss, write_dxf, write_svg
from detailgen.outputs.drawings.shapes import Drawing
from detailgen.outputs.schedules.assessment_tables import (
    EnvelopeRow,
    checks_of,
    forces_of,
    write_assessment_csv,
    write_envelope_csv,
    write_forces_csv,
)
from detailgen.outputs.schedules.heels import write_heels_csv
from detailgen.outputs.schedules.stages import stage_checks_of, write_stage_checks
from detailgen.outputs.schedules.truss_model import model_of, write_truss_model_json
from detailgen.remedies.loop import Plan
from detailgen.survey.beside import Acceptance

MANIFEST = "package.json"
KINDS = {
    ".dxf": "drawing", ".svg": "picture", ".pdf": "document", ".step": "solid model", ".glb": "solid model", ".csv": "table", ".xlsx": "table",
    ".json": "data", ".html": "page",
}  # fmt: skip
NOT_YET = {
    "field/field_work.pdf": "the order of the field work with its hold points stands on the sheet of each truss's shoring and in field/stages.csv",
}
NO_STRANDS = "no truss of this project is post-tensioned"


def slug(name: str) -> str:
    """A name as a file name: letters, digits, hyphens; case kept, so that mark T1 stays T1."""
    return re.sub(r"[^A-Za-z0-9]+", "-", name).strip("-") or "project"


def listed(folder: Path) -> tuple[str, ...]:
    return tuple(sorted(f.relative_to(folder).as_posix() for f in folder.rglob("*") if f.is_file()))


def write_assessment(
    folder: Path, project: Project, trusses: Sequence[Repaired], names: tuple[str, ...],
) -> None:  # fmt: skip
    """Everything that an assessment leaves behind. trusses: as ``as_found`` makes them; names: of the standards"""
    from detailgen.outputs.drawings.work_sheet import draw_safety

    _write_tables(folder, project, trusses, {})
    _write_trusses(folder, project, [t.before for t in trusses])
    for k, drawing in enumerate(draw_safety(Package(project, tuple(trusses), (), PRELIMINARY, names, ())), start=1):
        name = f"safety-{k}" if k > 1 else "safety"
        write_svg(drawing, folder / "drawings" / f"{name}.svg")
        write_dxf(drawing, folder / "drawings" / f"{name}.dxf")


def as_found(before: TrussAssessment, safety: SafetyNow) -> Repaired:
    """A truss to which nothing is done."""
    return Repaired(before, before.as_found, (), (), (), {}, safety=safety)


def told_of(one: Repaired, project: Project, after: Assessed | None) -> Repaired:
    """What has to be kept of a truss once it has been worked on: its rows of the tables as text, and of its results those that are told besides.

    after: the structure as repaired that the tables hold; None for an assessment, which has none
    """
    found, units = one.before, project.units
    rows = Rows.of(checks_of(found, units, after), forces_of(found, units, after), stage_checks_of(one, units), model_of(found, project))
    before = replace(
        found, intact=told(found.intact), as_found=told(found.as_found), original=None, structure=None, answers=None, cases=(),
    )  # fmt: skip
    staged = replace(one.staged, checks=()) if one.staged is not None else None
    details, check = tuple(told_detail(d) for d in one.details), one.hand_check
    if check is not None and check.connection is not None:
        check = replace(check, connection=alone(check.connection))
    after = told(one.after, one.details)
    return replace(one, before=before, after=after, details=details, hand_check=check, staged=staged, rows=rows)


def set_aside(one: Repaired, shelf: Shelf) -> Repaired:
    """What stays in memory of a truss among many: its rows, forces and results are fetched from the shelf by whoever writes about them."""
    assert one.rows is not None
    before = replace(one.before, intact=Shelved(one.before.intact, shelf), as_found=Shelved(one.before.as_found, shelf))
    return replace(one, before=before, after=Shelved(one.after, shelf), rows=one.rows.aside(shelf))


def _write_tables(folder: Path, project: Project, trusses: Sequence[Repaired], repaired: Mapping[str, Assessed]) -> None:
    """assessment.csv and analysis/."""
    units, assessed = project.units, [t.before for t in trusses]
    after = [repaired.get(a.truss.mark) for a in assessed]
    (folder / "analysis").mkdir()
    checks = (t.rows.checks if t.rows is not None else checks_of(t.before, units, a) for t, a in zip(trusses, after, strict=True))
    write_assessment_csv(folder / "assessment.csv", checks, units)
    forces = (t.rows.forces if t.rows is not None else forces_of(t.before, units, a) for t, a in zip(trusses, after, strict=True))
    write_forces_csv(folder / "analysis" / "forces.csv", forces, units)
    write_envelope_csv(folder / "analysis" / "envelope.csv", _envelopes(assessed, repaired), project.units)
    models = (t.rows.model if t.rows is not None else model_of(t.before, project) for t in trusses)
    write_truss_model_json(folder / "analysis" / "truss_model.json", models, project)
    if any(one.truss.heels for one in assessed):
        write_heels_csv(folder / "analysis" / "heels.csv", assessed, project.units, repaired)


def _envelopes(assessed: Sequence[TrussAssessment], repaired: Mapping[str, Assessed]) -> Iterator[EnvelopeRow]:
    """Greatest and least forces of every member of every structure, with combination and stage."""
    for one in assessed:
        after = repaired.get(one.truss.mark)
        for structure in (one.intact, one.as_found, *([after] if after is not None else [])):
            if structure.forces is None:
                continue
            for member, edges in envelope([structure.forces]).items():
                for (what, which), edge in edges.items():
                    yield one.truss.mark, structure.structure, member, what, which, edge.value, edge.combination, edge.stage, edge.station


def _write_trusses(folder: Path, project: Project, assessed: Sequence[TrussAssessment]) -> None:
    """A sheet of each truss as found."""
    (folder / "drawings").mkdir()
    for one in assessed:
        drawing = draw_truss(one, project)
        write_svg(drawing, folder / "drawings" / f"truss_{slug(one.truss.mark)}.svg")
        write_dxf(drawing, folder / "drawings" / f"truss_{slug(one.truss.mark)}.dxf")


def repaired(before: TrussAssessment, plan: Plan, units: UnitSystem) -> Repaired:
    """A truss with its plan: the checks of new parts join the places as repaired; what standards and remedies say of it, in a project's own units."""
    after = plan.solved.assessed if not plan.no_path else Assessed("as repaired", None, (), plan.no_path)
    panels = {r.site.key: _panel(before, r.site.x, r.site.member) for r in plan.repairs}
    new = tuple(Place(r.intervention.remedy, panels[r.site.key], r.site.key, f"new parts of {r.site.key}", r.results) for r in plan.repairs)
    joined = Assessed(after.structure, after.forces, (*after.places, *new), after.no_safe_load_path)
    details = tuple(d for r in plan.repairs for d in (r.detail, *r.further))
    assumptions = () if plan.settled else (f"Truss {before.truss.mark}: sizes still moved after {plan.rounds} rounds.",)
    stressing = next((r.stressing for r in plan.repairs if r.stressing is not None), None)
    told = (*assumptions, *(stressing.assumptions if stressing is not None else ()))
    made = tuple(_told(r.intervention, units) for r in plan.repairs)
    refusals = tuple(replace(r, reason=units.told(r.reason)) for r in plan.refusals)
    return Repaired(before, joined, details, made, refusals, {}, told,
                    plan.solved.truss if plan.repairs else None,
                    stressing=stressing)  # fmt: skip


def _told(made: Intervention, units: UnitSystem) -> Intervention:
    parameters = {name: units.told(value) for name, value in made.parameters.items()}
    return replace(made, because=units.told(made.because), parameters=parameters, runners_up=tuple(units.told(r) for r in made.runners_up))


def _panel(before: TrussAssessment, x: float, chord: str) -> str:
    pairs = itertools.pairwise(before.truss.member(chord).joints)
    joints = before.truss.joints
    a, b = next(p for p in pairs if min(joints[j][0] for j in p) <= x <= max(joints[j][0] for j in p))
    return f"{a}-{b}"


def _read_against_print(results: Sequence[CheckResult]) -> bool:
    return all(r.table_status in (TableStatus.READ, TableStatus.NONE) for r in results)


def statuses(one: Repaired, accepted: Sequence[Acceptance]) -> dict[str, str]:
    """PROPOSED until accepted with the hash of the detail as it is now; then PRELIMINARY while a table behind it is unread."""
    found = {}
    for detail in one.details:
        taken = any(a.repair == detail.key and a.hash == detail_hash(detail) for a in accepted)
        mine = [p for p in one.after.places if p.joint and (f"{p.joint}-".startswith(f"{detail.key}-") or f"{detail.key}-".startswith(f"{p.joint}-"))]
        results = [r for p in mine for r in p.results]
        found[detail.key] = PROPOSED if not taken else (ISSUED if _read_against_print(results) else PRELIMINARY)
    return found


def idle(trusses: Sequence[Repaired], accepted: Sequence[Acceptance]) -> tuple[str, ...]:
    """Acceptances that accept nothing, each with its reason: an engineer who signed must not believe that it still counts."""
    details = {d.key: d for t in trusses for d in t.details}
    told = []
    for one in accepted:
        signed = f"The acceptance of {one.repair} by {one.name}, {one.date},"
        if one.repair not in details:
            told.append(f"{signed} meets no repair of this project: it has {', '.join(details) or 'none'}.")
        elif one.hash != detail_hash(details[one.repair]):
            told.append(f"{signed} has lapsed: the detail has changed since. Its hash is now {detail_hash(details[one.repair])}.")
    return tuple(told)


def package_of(
    project: Project, trusses: tuple[Repaired, ...], marks: tuple[Marked, ...], names: tuple[str, ...], notices: tuple[str, ...],
) -> Package:  # fmt: skip
    """The package's own status is the least settled of its details'."""
    found = [s for t in trusses for s in t.status.values()]
    status = next((s for s in (PROPOSED, PRELIMINARY) if s in found), ISSUED if found else PRELIMINARY)
    assumptions = dict.fromkeys(a for t in trusses for a in (*t.before.assumptions, *t.assumptions))
    return Package(project, trusses, marks, status, names, tuple(assumptions), notices)


def input_hash(path: Path, home: Path, templates: str) -> str:
    """Hash over the project file, acceptances and imported tables that stand beside it, and the firm's own templates."""
    digest = hashlib.sha256()
    tables = sorted([*home.glob("*.csv"), *home.glob("*.xlsx")])
    files = [path if path.is_file() else path / "project.yaml", home / "accepted.yaml", home / "tables_read.yaml", *tables]
    for file in files:
        if file.exists():
            digest.update(file.name.encode() + b"\0" + file.read_bytes())
    for file in sorted(p for p in Path(templates).rglob("*") if p.is_file()) if templates else ():
        digest.update(file.relative_to(templates).as_posix().encode() + b"\0" + file.read_bytes())
    return digest.hexdigest()


def solids() -> Callable[[Package, Path], None]:
    """The errand of the solid models: its first half brings in the kernel, which takes longer than the solids."""
    from detailgen.outputs.solids import write_models
    from detailgen.outputs.solids.kernel import quiet

    quiet()  # the first call of the kernel loads it

    def write(package: Package, folder: Path) -> None:
        write_models(package, folder, slug)

    return write


def _without_checks(package: Package) -> Package:
    """What solids need of a package: small enough to be handed to another process."""

    def bare(one: Repaired) -> Repaired:
        nothing = Assessed("", None, ())
        before = replace(
            one.before, intact=nothing, as_found=nothing, original=None, answers=None, structure=None, cases=(), pictures=(), findings=(),
        )  # fmt: skip
        return replace(one, before=before, after=nothing, rows=None)

    return replace(package, trusses=tuple(bare(t) for t in package.trusses))


Later = Callable[[Package], Package]
"""Adds to a package what was found out meanwhile."""
Works = Sequence[tuple[StagedWork | None, SafetyNow | None]]
"""By truss the work in stages and its safety as found."""


def _records(folder: Path, package: Package, with_answers: Later) -> Callable[[Works], None]:
    """The errand of what is written and not drawn: tables at once, then (with the stages of the work) the calculation report."""
    from detailgen.outputs.report.calculations import write_calculations
    from detailgen.outputs.report.hand_check import write_hand_check

    _write_tables(folder, package.project, package.trusses, {t.before.truss.mark: t.after for t in package.trusses})
    (folder / "report").mkdir()
    write_hand_check(package, folder / "report" / "hand_check.pdf")

    def write(works: Works) -> None:
        trusses = tuple(replace(t, staged=w, safety=s) for t, (w, s) in zip(package.trusses, works, strict=True))
        staged = replace(package, trusses=trusses)
        write_stage_checks(staged, folder / "analysis" / "stages.csv")
        write_calculations(with_answers(staged), folder / "report" / "calculations.pdf")

    return write


def write_package(
    folder: Path, package: Package, digest: str, models: Errand, later: tuple[Later, Later], progress: Callable[[str], None],
) -> bool:  # fmt: skip
    """Write every file of the package. Returns whether everything drawn passes the checker, as read back from disk.

    models: the errand of ``solids``, begun
    later: add the stages of the work, and what only the report asks
    """
    with_stages, with_answers = later
    with errand(partial(_records, folder, package, with_answers)) as records:
        if package.details:
            (folder / "models").mkdir()
        package = with_stages(package)
        models.hand(_without_checks(package), folder / "models")
        records.hand([(t.staged, t.safety) for t in package.trusses])
        drawn = _write_drawn(folder, package, progress)
        progress("calculation report and solids")
        records.end()
        models.end()
    progress("review page")
    _write_page(folder, package, drawn)
    listing = json.dumps(manifest(folder, package, digest), indent=1, ensure_ascii=False, allow_nan=False)
    (folder / MANIFEST).write_text(listing + "\n", encoding="utf-8")
    return drawn.passes


@dataclass(frozen=True)
class _Drawn:
    """The sheets and what was found of the fit, by detail; what the checker said of all that was drawn."""

    sheets: Mapping[str, Sequence[Drawing]]
    fit: Mapping[str, Sequence[CheckResult]]
    passes: bool
    said: str


def _write_page(folder: Path, package: Package, drawn: _Drawn) -> None:
    from detailgen.outputs.page import write_page

    def glb(name: str) -> bytes:
        return (folder / "models" / f"{slug(name)}.glb").read_bytes()

    models = {d.key: glb(d.key) for d in package.details}
    wholes = {mark: glb(mark) for mark in (t.before.truss.mark for t in package.trusses if t.details)}
    files = sorted((*listed(folder), MANIFEST))
    write_page(
        package, folder / "index.html", sheets=drawn.sheets, models=models, fit=drawn.fit, checked=drawn.said, files=files, wholes=wholes,
    )  # fmt: skip


def _write_drawn(folder: Path, package: Package, progress: Callable[[str], None]) -> _Drawn:
    """Sheets, cut files and the lists that go with them, read back by the checker."""
    from detailgen.checker.check import check_paths, checks_json
    from detailgen.checker.fit import fits, package_fit, package_fit_json
    from detailgen.outputs.drawings.cut_files import write_cut_files
    from detailgen.outputs.drawings.sheet_set import draw_set
    from detailgen.outputs.report.sheet_set import writing_sheets
    from detailgen.outputs.schedules.fabrication import field_dimensions
    from detailgen.outputs.schedules.stages import shoring, stages
    from detailgen.outputs.schedules.stressing import lift_off_table, stressing_table
    from detailgen.outputs.schedules.writing import write_list, write_lists

    progress("sheets")
    (folder / "drawings").mkdir()
    drawn = list(draw_set(package))
    sheets: dict[str, list[Drawing]] = {d.key: [] for d in package.details}
    for sheet in drawn:
        if sheet.detail:
            sheets[sheet.detail].append(sheet.drawing)
    with writing_sheets(package, drawn, folder / "drawings"):
        cut: list[Path] = []
        if package.details:
            cut = write_cut_files(package, folder / "cut")  # none where no part is of steel
            (folder / "schedules").mkdir()
            write_lists(package, folder / "schedules")
            (folder / "field").mkdir()
            for table in (field_dimensions(package), shoring(package), stages(package), stressing_table(package), lift_off_table(package)):
                if table.rows:
                    write_list(table, folder / "field")
    progress("checking what was drawn")
    checked = check_paths([folder / "drawings", *([folder / "cut"] if cut else [])])
    (folder / "checks").mkdir()
    fit = package_fit(package)
    found = checks_json(checked) | {"fit": package_fit_json(fit)}
    text = json.dumps(found, indent=1, sort_keys=True, ensure_ascii=False, allow_nan=False)
    (folder / "checks" / "checks.json").write_text(text + "\n", encoding="utf-8")
    bad = sum(checked.count(s) for s in State if s is not State.PASSES)
    said = f"The checker found {bad} faults in the drawings: checks/checks.json." if bad else f"All {len(checked.files)} drawings pass the checker."
    return _Drawn(sheets, fit, checked.passes and all(fits(results) for results in fit.values()), said)


def manifest(folder: Path, package: Package, digest: str) -> dict[str, Any]:
    """package.json: everything about the package but itself."""
    absent = dict(NOT_YET)
    if all(t.stressing is None for t in package.trusses):
        absent |= {"schedules/strands.csv": NO_STRANDS, "field/stressing.csv": NO_STRANDS}
    if not package.details:
        why = "no repair was possible" if any(t.refusals for t in package.trusses) else "nothing needs a repair that this version knows"
        absent |= dict.fromkeys(("cut/", "models/", "schedules/", "field/dimensions.csv"), why)
    elif all(m.part.material != "steel" for m in package.marks):
        absent["cut/"] = "no new part is of steel; timbers are in schedules/cut_list.csv"
    files = {}
    for name in listed(folder):
        data = (folder / name).read_bytes()
        kind = "cut file" if name.startswith("cut/") else KINDS.get(Path(name).suffix, "data")
        files[name] = {"sha256": hashlib.sha256(data).hexdigest(), "kind": kind}
    return {
        "tool": f"detailgen {__version__}", "project": package.project.name, "input_sha256": digest, "revision": package.project.revision,
        "date": package.project.date, "status": package.status, "standards": list(package.standards), "assumptions": list(package.assumptions),
        "notices": list(package.notices),
        "result": {t.before.truss.mark: _result(t) for t in package.trusses}, "files": files, "not_applicable": dict(sorted(absent.items())),
    }  # fmt: skip


def _written(ratio: float) -> float | str:
    """A ratio as JSON can hold it."""
    return round(ratio, 4) if math.isfinite(ratio) else "infinite"


def _result(one: Repaired) -> dict[str, Any]:
    before, after = one.before.as_found.worst, one.after.worst
    hashes = {d.key: {"status": one.status[d.key], "hash": detail_hash(d)} for d in one.details}
    return {
        "as_found": _written(before[1].ratio) if before else one.before.as_found.no_safe_load_path,
        "as_repaired": _written(after[1].ratio) if after else None,
        "repairs": hashes, "refusals": [r.reason for r in one.refusals],
    }  # fmt: skip


def summary(package: Package, folder: Path, files: Sequence[str], set_aside: Sequence[str], *, passes: bool) -> dict[str, Any]:
    """What ``--json`` prints of a package."""
    return {
        "project": package.project.name, "revision": package.project.revision, "status": package.status, "passes": passes,
        "trusses": {t.before.truss.mark: _result(t) for t in package.trusses},
        "repairs": [{"key": i.key, "remedy": i.remedy, "because": i.because, **i.parameters} for t in package.trusses for i in t.interventions],
        "assumptions": list(package.assumptions), "notices": list(package.notices),
        "folder": str(folder), "files": list(files), "edited_and_kept_aside": list(set_aside),
    }  # fmt: skip


def set_edited_aside(package: Path, aside: Path) -> tuple[str, ...]:
    """DXF files changed by hand since they were written are moved beside the project, never merged, never lost.

    Where the manifest cannot be read nobody knows what was changed: then every DXF file is kept.
    Raises: OutputError
    """
    try:
        files = json.loads((package / MANIFEST).read_text(encoding="utf-8"))["files"]
        known = {str(name): entry["sha256"] for name, entry in files.items()}
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        known = {}
    moved = []
    try:
        for file in sorted(package.rglob("*.dxf")):
            data = file.read_bytes()
            digest = hashlib.sha256(data).hexdigest()
            if known.get(file.relative_to(package).as_posix()) != digest:
                aside.mkdir(parents=True, exist_ok=True)
                target = aside / f"{file.stem}-{digest[:8]}.dxf"
                target.write_bytes(data)
                moved.append(str(target))
    except OSError as error:
        raise OutputError(f"{aside}: files edited by hand in {package} cannot be kept here ({error.strerror}); the package stays as it is.") from None
    return tuple(moved)
