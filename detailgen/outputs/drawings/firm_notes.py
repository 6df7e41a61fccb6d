"""Notes of the firm: plain text, one note a line, with fields in braces that the job fills in."""

from __future__ import annotations

import re

from detailgen.core.errors import OutputError
from detailgen.core.templates import template_lines
from detailgen.model.package import Package

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
    }  # fmt: skip


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
