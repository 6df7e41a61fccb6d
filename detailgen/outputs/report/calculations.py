"""The calculation report: everything that it prints is prepared here as one JSON; the template sets it and computes nothing."""

from __future__ import annotations

from pathlib import Path

from detailgen.core.templates import template_lines
from detailgen.model.package import Package
from detailgen.model.project import METHOD_WORDS
from detailgen.outputs.report.quantities import Quantities
from detailgen.outputs.report.sheets import Json, Paper
from detailgen.outputs.report.trusses import truss_content
from detailgen.outputs.report.typeset import write_pdf
from detailgen.outputs.schedules.lists import listings

PAPER = {"US": "us-letter", "SI": "a4"}


def report_content(package: Package) -> Json:
    """What the report says, in the project's units."""
    project = package.project
    paper = Paper(Quantities(project.units))
    trusses = [truss_content(package, r, paper) for r in package.trusses]
    flags = [f"Truss {t['mark']}: {f}" for t in trusses for f in _texts(t["flags"])]
    assumptions = [*project.assumptions, *package.assumptions]
    assumptions += [f"Truss {t['mark']}: {a}" for t in trusses for a in _texts(t["assumptions"]) if a not in assumptions]
    return {
        "paper": PAPER[project.units.name],
        "project": {
            "name": project.name,
            "number": project.number,
            "location": project.location,
            "revision": project.revision,
            "date": project.date,
            "view": project.view,
            "grid": project.grid,
            "code_path": project.code_path,
        },
        "status": package.status,
        "standards": list(package.standards),
        "method": METHOD_WORDS[project.method],
        "assumptions": list(dict.fromkeys(assumptions)),
        "flags": flags,
        "cautions": template_lines("notes/cautions.txt", project.templates),
        "si": project.units.name == "SI",
        "trusses": trusses,
        "lists": [{"name": one.name.replace("_", " "), "header": list(one.header), "rows": one.texts} for one in listings(package)],
    }


def _texts(value: object) -> list[str]:
    return [str(v) for v in value] if isinstance(value, list) else []


def write_calculations(package: Package, path: Path) -> None:
    """Write the report as PDF. Same package, same bytes.

    Raises: OutputError where the template fails; ValueError where a calculation holds a unit or a formula that cannot be set
    """
    write_pdf("calculations", report_content(package), path, package.project.templates)
