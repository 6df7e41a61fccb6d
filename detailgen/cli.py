"""Commands: words in, exit code out; no engineering.

Exit codes: 0 all is well; 1 something does not pass or cannot be checked; 2 bad input or an output that cannot be written.
"""

from __future__ import annotations

import json
import sys
import textwrap
from pathlib import Path
from typing import TYPE_CHECKING

import click

from detailgen import __version__
from detailgen.core.errors import InputError, NotCovered, OutputError, TableError

if TYPE_CHECKING:
    from detailgen.checker.check import Checked
    from detailgen.model.assessment import Finding, TrussAssessment
    from detailgen.model.project import Project
    from detailgen.pipeline import PackageWalk, Walk

CAUTION = (
    "Not for construction. Preliminary until a licensed engineer has reviewed it; local code governs. "
    "Verify in the field, and shore before anything is cut."
)
HEADINGS = {
    "What fails and why": ("no safe load path", "overstress"),
    "Found": ("damage",),
    "Not checked": ("cannot be checked",),
}


class _Commands(click.Group):
    """No traceback ever reaches a user: every expected error ends as a sentence and exit code 2."""

    def invoke(self, ctx: click.Context) -> None:
        try:
            super().invoke(ctx)
            return
        except InputError as error:
            many = len(error.problems)
            click.echo("\n".join(str(p) for p in error.problems), err=True)
            click.echo(f"{many} fault{'s' if many != 1 else ''} in the input; nothing was written for it.", err=True)
        except (OutputError, NotCovered, TableError) as error:
            click.echo(f"{error}", err=True)
        except BrokenPipeError:
            raise  # the reader of our output has gone: click ends quietly
        except OSError as error:
            click.echo(f"{error.filename or 'a file'}: {error.strerror}", err=True)
        except RecursionError:
            click.echo("The input is nested too deeply.", err=True)
        ctx.exit(2)


@click.group(cls=_Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="detailgen")
def main() -> None:
    """Repair details for old timber roof trusses: from the survey to checked numbers, drawings and lists."""


_JOBS = click.option(
    "--jobs", type=click.IntRange(0, 64), default=0,
    help="Trusses to work on at the same time; 0, if nothing is said: as many as there are cores where there are five or more.",
)  # fmt: skip
_TEMPLATES = click.option(
    "--templates", type=click.Path(path_type=Path), default=None, help="Folder of the firm's own templates (copied out by: detailgen templates DIR)."
)


def _folder(templates: Path | None) -> str:
    """The firm's folder as a path from anywhere. Raises OutputError where it is none."""
    if templates is None:
        return ""
    if not templates.is_dir():
        raise OutputError(f"{templates}: found no folder of templates; copy them there with: detailgen templates {templates}")
    return str(templates.resolve())


@main.command()
@click.argument("directory", metavar="DIR", type=click.Path(path_type=Path))
def templates(directory: Path) -> None:
    """Copy the texts and styles that a firm edits into DIR: notes, cautions, layers, paper, report."""
    from detailgen.core.templates import copy_templates

    written = copy_templates(directory)
    click.echo(f"wrote {len(written)} files into {directory}; {directory / 'READ_ME.txt'} tells what each is for")
    click.echo(f"Edit them, then: detailgen package PROJECT --templates {directory}")


@main.command()
@click.argument("directory", metavar="DIR", type=click.Path(path_type=Path))
def new(directory: Path) -> None:
    """Write a commented starter project into DIR: project.yaml and its schema."""
    from detailgen.survey import write_starter

    for path in write_starter(directory):
        click.echo(f"wrote {path}")
    click.echo(f"Edit it, then: detailgen assess {directory}")


@main.command()
@click.argument("project", metavar="PROJECT", type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), default=Path("out"), show_default=True, help="Folder to write into.")
@click.option("--json", "as_json", is_flag=True, help="Machine-readable result on standard output, and nothing else there.")
@_JOBS
@click.option("--compare", "beside", metavar="FILE", type=click.Path(path_type=Path), help="Forces of another analysis to compare with: CSV or XLSX.")
@click.option("--quiet", is_flag=True, help="Print nothing but errors.")
@_TEMPLATES
def assess(project: Path, out: Path, as_json: bool, jobs: int, beside: Path | None, quiet: bool, templates: Path | None) -> None:
    """Say what fails in each truss of PROJECT (its file or folder) and why, with drawings and tables."""
    from detailgen import pipeline
    from detailgen.survey import located

    try:
        progress = _progress(quiet=quiet or as_json)
        walk = pipeline.assess(project, out, jobs=jobs, progress=progress, beside=beside, templates=_folder(templates))
    except InputError as error:
        raise located(error, project) from None
    if as_json:
        from detailgen.outputs.schedules.assessment_tables import summary_json

        summary = {**summary_json(walk.trusses, walk.project), "folder": str(walk.folder), "files": list(walk.files)}
        click.echo(json.dumps(summary, indent=1, allow_nan=False, ensure_ascii=False))
    elif not quiet:
        _print_assessment(walk)
    sys.exit(0 if walk.passes else 1)


@main.command()
@click.argument("projects", metavar="PROJECT...", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--out", type=click.Path(path_type=Path), default=Path("out"), show_default=True, help="Folder to write into.")
@click.option("--json", "as_json", is_flag=True, help="Machine-readable result on standard output, and nothing else there.")
@_JOBS
@click.option("--quiet", is_flag=True, help="Print nothing but errors.")
@_TEMPLATES
def package(projects: tuple[Path, ...], out: Path, as_json: bool, jobs: int, quiet: bool, templates: Path | None) -> None:
    """Choose, dimension, draw and check the repairs of each PROJECT, and write its package."""
    from detailgen import pipeline
    from detailgen.survey import located

    progress = _progress(quiet=quiet or as_json)
    pipeline.sound(projects)
    walks = []
    for project in projects:
        try:
            walks.append(pipeline.package(project, out, jobs=jobs, progress=progress, templates=_folder(templates)))
        except InputError as error:
            for walk in walks:
                click.echo(f"Written before the fault was found: {walk.folder}", err=True)
            raise located(error, project) from None
    _tell_packages(walks, as_json=as_json, quiet=quiet)


@main.command()
@click.option("--out", type=click.Path(path_type=Path), default=Path("out"), show_default=True, help="Folder to write into.")
@click.option("--json", "as_json", is_flag=True, help="Machine-readable result on standard output, and nothing else there.")
@_JOBS
@click.option("--quiet", is_flag=True, help="Print nothing but errors.")
@_TEMPLATES
def demo(out: Path, as_json: bool, jobs: int, quiet: bool, templates: Path | None) -> None:
    """Write the package of the sample building, which was never built."""
    from detailgen import pipeline

    sample = Path(__file__).parent / "samples" / "printworks"
    progress = _progress(quiet=quiet or as_json)
    walk = pipeline.package(sample, out, jobs=jobs, progress=progress, beside=False, templates=_folder(templates))
    _tell_packages([walk], as_json=as_json, quiet=quiet)


@main.command()
@click.argument("paths", metavar="FILE_OR_DIR...", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Machine-readable result on standard output, and nothing else there.")
@click.option("--quiet", is_flag=True, help="Print nothing but errors.")
@click.option("--marked", metavar="OUT.dxf", type=click.Path(path_type=Path), help="Write a copy of the one drawing with the findings in it.")
@click.option("--accept", metavar="PROJECT", type=click.Path(path_type=Path), help="Keep the layout of edited drawings that pass in this project.")
@click.option("--facts", metavar="FILE.yaml", type=click.Path(path_type=Path), help="What a drawing by others cannot say: layers, fasteners, load.")
@click.option("--watch", "watched", is_flag=True, help="Check again whenever a drawing is saved, until Ctrl-C.")
def check(
    paths: tuple[Path, ...], as_json: bool, quiet: bool, marked: Path | None, accept: Path | None, facts: Path | None, watched: bool,
) -> None:  # fmt: skip
    """Measure drawings from disk and judge their new work: passes, does not pass, cannot be checked.

    Besides DXF it reads a detail in the neutral form (JSON).
    """
    from detailgen.checker.check import check_paths, checks_json
    from detailgen.checker.report import check_lines

    try:
        if watched:
            from detailgen.checker.watch import watch

            watch(paths, click.echo, facts=facts)
            return
        checked = check_paths(paths, facts)
    except InputError as error:
        click.echo("\n".join(str(p) for p in error.problems), err=True)
        sys.exit(2)
    if marked is not None:
        from detailgen.checker.marked import write_marked

        if len(checked.files) != 1:
            raise click.UsageError(f"--marked takes one drawing, not {len(checked.files)}")
        write_marked(checked.files[0].path, checked.files[0], marked)
    if accept is not None:
        _accept(checked, accept)
    if as_json:
        click.echo(json.dumps(checks_json(checked), indent=1, allow_nan=False, ensure_ascii=False))
    elif not quiet:
        click.echo("\n".join(check_lines(checked)))
    sys.exit(0 if checked.passes else 1)


def _accept(checked: Checked, project: Path) -> None:
    """Write what passes into the project file; what does not is named, and nothing is written."""
    from detailgen import pipeline
    from detailgen.checker.accept import REPEATS, accepted_layouts, with_override
    from detailgen.checker.read_dxf import read_dxf
    from detailgen.core.result import State

    path = project / "project.yaml" if project.is_dir() else project
    # tables and dimensions of an edited sheet still say the old layout; the next run writes them anew
    failing = [f.file for f in checked.files if any(r.state is State.DOES_NOT_PASS and r.cite.document not in REPEATS for r in f.results)]
    if failing:
        raise OutputError(f"{', '.join(failing)}: does not pass; nothing was accepted into {path}")
    accepted = [a for f in checked.files for a in accepted_layouts(read_dxf(f.path), f.file)]
    text = path.read_text(encoding="utf-8")
    for one in accepted:
        text = with_override(text, one, str(path))
    part = path.with_name(f".{path.name}.part")
    try:
        part.write_text(text, encoding="utf-8")
        pipeline.read_project(part)  # what is written must be read again
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)
    for one in accepted:
        click.echo(f"accepted into {path}: {one.item}: {one.value}", err=True)


@main.command("standards")
@click.option("--table", "name", metavar="NAME", help="Print one table, to lay it beside the book.")
@click.option("--project", metavar="PROJECT", type=click.Path(path_type=Path), help="Count the readings in tables_read.yaml beside this project.")
def list_standards(name: str | None, project: Path | None) -> None:
    """List the standards' tables and how far each has been read against print."""
    from detailgen import telling

    click.echo("\n".join(telling.table_lines(name) if name else telling.standards_lines(project)))


@main.command()
@click.argument("clause", metavar="CLAUSE")
@click.option("--standard", metavar="KEY", default="", help="Only this document, by its key as 'detailgen standards' lists it.")
def explain(clause: str, standard: str) -> None:
    """Say what a clause computes: formula, terms, range, source, coverage. CLAUSE is a symbol as C_g or a number as 11.3.6."""
    from detailgen import telling

    click.echo("\n".join(telling.clause_lines(clause, standard)))


def _tell_packages(walks: list[PackageWalk], *, as_json: bool, quiet: bool) -> None:
    if as_json:
        from detailgen.packing import summary

        told = [summary(w.package, w.folder, w.files, w.set_aside, passes=w.passes) for w in walks]
        click.echo(json.dumps(told, indent=1, allow_nan=False, ensure_ascii=False))
    elif not quiet:
        for walk in walks:
            _print_package(walk)
    sys.exit(0 if all(w.passes for w in walks) else 1)


def _print_package(walk: PackageWalk) -> None:
    package = walk.package
    click.echo(f"{package.project.name}, revision {package.project.revision}: {package.status}")
    for one in package.trusses:
        before, after = one.before.as_found, one.after.worst
        click.echo()
        _print_truss(one.before, package.project, passes=False, notes=False)
        for intervention in one.interventions:
            click.echo(f"  Repair {intervention.key}, {one.status[intervention.key]}: {intervention.title}")
            click.echo(_wrapped(f"{intervention.because}.", 6))
            for name, value in intervention.parameters.items():
                click.echo(_wrapped(f"{name}: {value}", 6))
            for other in intervention.runners_up:
                click.echo(_wrapped(f"instead, {other}", 6))
        for refusal in one.refusals:
            click.echo(_wrapped(f"Refused, {refusal.remedy} {refusal.key}: {refusal.reason}.", 2))
        if after is not None:
            was = f" (as found {before.worst[1].ratio:.2f})" if before.worst else ""
            click.echo(f"  As repaired{was}: largest demand/capacity {_ratio(after[1].ratio)}, {after[0].name}, {after[1].check}")
            for place in one.after.failing[1:]:
                click.echo(f"      also over: {place.name} {_ratio(place.worst.ratio)}, {place.worst.check}" if place.worst is not None else "")
        elif one.after.no_safe_load_path:
            click.echo(_wrapped(f"NO SAFE LOAD PATH as repaired: {one.after.no_safe_load_path}.", 2))
    for notice in package.notices:
        click.echo(_wrapped(notice, 0))
    for moved in walk.set_aside:
        click.echo(f"Edited by hand, kept aside: {moved} (check it with: detailgen check {moved})")
    click.echo()
    click.echo(_wrapped(CAUTION, 0))
    verdict = "all drawings pass the checker" if walk.drawings_pass else "the checker finds faults: see checks/checks.json"
    click.echo(f"Written: {walk.folder} ({len(walk.files)} files; {verdict})")


def _progress(*, quiet: bool):  # type: ignore[no-untyped-def]  # noqa: ANN202
    """Progress on a terminal, silence in a pipe."""
    if quiet or not sys.stderr.isatty():
        return lambda _: None
    return lambda what: click.echo(f"  {what} ...", err=True)


def _wrapped(text: str, indent: int) -> str:
    pad = " " * indent
    return textwrap.fill(text, 110, initial_indent=pad, subsequent_indent=pad, break_long_words=False, break_on_hyphens=False)


def _print_assessment(walk: Walk) -> None:
    from detailgen.pipeline import structure_passes

    project = walk.project
    click.echo(f"{project.name}, revision {project.revision}: assessment, PRELIMINARY")
    for assessed in walk.trusses:
        click.echo()
        _print_truss(assessed, project, passes=structure_passes(assessed.as_found))
    click.echo()
    assumptions = tuple(dict.fromkeys(a for t in walk.trusses for a in t.assumptions))
    for k, assumption in enumerate(assumptions):
        click.echo(("Assumed: " if k == 0 else "         ") + _wrapped(assumption, 9).strip())
    if assumptions:
        click.echo()
    if walk.compared:
        from detailgen.outputs.schedules.comparison import comparison_lines

        click.echo("\n".join(_wrapped(line, 0) for line in comparison_lines(walk.compared)) + "\n")
    click.echo(_wrapped(CAUTION, 0))
    click.echo(f"Written: {walk.folder} ({len(walk.files)} files)")


def _print_truss(assessed: TrussAssessment, project: Project, *, passes: bool, notes: bool = True) -> None:
    truss, units = assessed.truss, project.units
    worst = assessed.as_found.worst
    if assessed.as_found.no_safe_load_path:
        verdict = "NO SAFE LOAD PATH as found"
    elif passes:
        verdict = "passes as found"
    elif any(f.kind == "overstress" for f in assessed.findings):
        verdict = "does not pass as found"
    else:
        verdict = "cannot be checked in full"
    number = f", largest demand/capacity {_ratio(worst[1].ratio)}" if worst else ""
    click.echo(f"Truss {truss.mark} (type {truss.type}, {truss.bay}): {verdict}{number}")
    for flag in assessed.flags:
        click.echo(_wrapped(flag, 2))
    for heading, kinds in HEADINGS.items():
        found = [f for f in assessed.findings if f.kind in kinds]
        if found:
            click.echo(f"  {heading}:")
            for finding in found:
                _print_finding(finding)
    snow = assessed.snow
    if snow is not None:
        share = f"{'at least ' if snow.at_least else ''}{100 * snow.factor:.0f} % of today's"
        click.echo(
            _wrapped(
                f"Snow that it may carry as found: {units.write_area_load(snow.flat_roof_allowed)} flat-roof snow, {share} "
                f"{units.write_area_load(snow.flat_roof_today)}" + (f"; {snow.governing} decides." if snow.governing else "."),
                2,
            )
        )
    elif assessed.as_found.no_safe_load_path:
        click.echo("  Snow that it may carry as found: none can be stated.")
    for note in assessed.notes if notes else ():
        click.echo(_wrapped(note, 2))


def _ratio(ratio: float) -> str:
    """Two decimals, and as many more as it takes to tell from 1.00 a ratio that is over it."""
    places = next(n for n in (2, 3, 4, 6) if n == 6 or ratio <= 1.0 or float(f"{ratio:.{n}f}") > 1.0)
    return f"{ratio:.{places}f}"


def _print_finding(finding: Finding) -> None:
    ratio = _ratio(finding.ratio) if 0 < finding.ratio < float("inf") else "    "
    click.echo(_wrapped(f"{ratio}  {finding.title}", 4))
    click.echo(_wrapped(finding.cause, 10))
