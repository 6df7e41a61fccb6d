"""Notes of the firm: plain text, one note a line, with fields in braces that the job fills in."""

from __future__ import annotations

import re

from detailgen.core.errors import NotCovered, OutputError
from detailgen.core.templates import template_lines
from detailgen.core.tolerance import rounded_length
from detailgen.core.units import MM
from detailgen.model.package import Package
from detailgen.outputs.drawings.detail_words import length
from detailgen.stock.galvanizing import MICROMETRE, overtapping, zinc_grade

FIELD = re.compile(r"\{([^{}]*)\}")


def fields(package: Package) -> dict[str, str]:
    """What a note may ask for, by the name between braces."""
    project = package.project
    trusses = [t.before.truss for t in package.trusses]
    steel = dict.fromkeys(m.part.specification for m in package.marks if m.part.material == "steel")
    wood = dict.fromkeys(m.part.specification for m in package.marks if m.part.material == "wood")
    bolts = dict.fromkeys(b.grade for d in package.details for b in d.bolts)
    finish = dict.fromkeys(m.part.finish for m in package.marks if m.part.finish)
    return {
        "project": project.name, "number": project.number, "location": project.location, "revision": project.revision, "date": project.date,
        "code path": project.code_path, "standards": ", ".join(package.standards), "trusses": ", ".join(t.mark for t in trusses),
        "status": package.status, "plate grade": ", ".join(steel) or "none", "bolt grade": ", ".join(bolts) or "none",
        "timber grade": "; ".join(wood) or "none", "finish": ", ".join(finish) or "none",
        "zinc": _zinc(package), "overtapping": _overtapping(package),
    }  # fmt: skip


def galvanized(package: Package) -> bool:
    return any("galvan" in m.part.finish for m in package.marks)


def _zinc(package: Package) -> str:
    """Least average thickness of zinc by thickness of plate, of the plates that are galvanized."""
    units = package.project.units
    by_grade: dict[int, list[float]] = {}
    for thickness in sorted({rounded_length(m.part.thickness) for m in package.marks if "galvan" in m.part.finish}):
        by_grade.setdefault(zinc_grade(thickness), []).append(thickness)

    def said(grade: int) -> str:
        return f"{grade} um" if units.name == "SI" else f'{grade * MICROMETRE:.4f}" ({grade} um)'

    plates = [f"{', '.join(length(t, units) for t in found)}: {said(grade)}" for grade, found in by_grade.items()]
    return f"zinc on plates {'; '.join(plates)} on average at least" if plates else "no plate is galvanized"


def _overtapping(package: Package) -> str:
    """By diameter of bolt, how much larger its nut is tapped."""
    units = package.project.units
    out = []
    for diameter in sorted({rounded_length(b.diameter) for d in package.details for b in d.bolts}):
        try:
            allowance = overtapping(diameter)
        except NotCovered:
            continue  # a size that the table has not: the notes say what they know
        said = f"{allowance / MM:.2f} mm" if units.name == "SI" else f'{allowance:.3f}"'
        out.append(f"{length(diameter, units)} by {said}")
    return ", ".join(out) or "by the standard's allowance"


def note_lines(name: str, package: Package) -> list[str]:
    """The notes of a template with their fields filled in.

    Raises: OutputError for a field that nobody knows
    """
    known = fields(package)
    out = []
    for k, line in enumerate(template_lines(name, package.project.templates), start=1):
        for asked in FIELD.findall(line):
            if asked not in known:
                allowed = ", ".join(f"{{{f}}}" for f in known)
                raise OutputError(f"template {name}, note {k}: the field {{{asked}}} is not known. Allowed are {allowed}.")
        out.append(FIELD.sub(lambda match: known[match[1]] or "not stated", line))
    return out
