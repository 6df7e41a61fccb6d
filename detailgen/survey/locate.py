"""Where in the project file a fault stands that shows only later, when a truss is solved."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from detailgen.core.errors import InputError, InputProblem
from detailgen.survey.document import Items, Report, Table, Text, read_document, read_text

UNPLACED = "project"
"""The file that a problem names when whoever found it knows the truss but not the file."""


def _lines(path: Path) -> dict[str, int]:
    """The line of each truss by its mark. The file was read before: it has no faults."""
    root = read_document(path, read_text(path, "a project file"), Report(str(path)))
    trusses = root.entries.get("trusses") if root is not None else None
    found = {}
    for truss in trusses.items if isinstance(trusses, Items) else ():
        mark = truss.entries.get("mark") if isinstance(truss, Table) else None
        if isinstance(mark, Text):
            found[mark.value] = mark.line
    return found


def located(error: InputError, path: Path) -> InputError:
    """The same faults with the file and the truss's line where a problem lacks them.

    path: the project file or its folder
    """
    file = path / "project.yaml" if path.is_dir() else path
    unplaced = [p for p in error.problems if p.file == UNPLACED]
    if not unplaced:
        return error
    lines = _lines(file)

    def placed(problem: InputProblem) -> InputProblem:
        mark = problem.field.removeprefix("trusses.")
        return replace(problem, file=str(file), line=lines.get(mark, 0)) if problem in unplaced else problem

    return InputError([placed(p) for p in error.problems])
