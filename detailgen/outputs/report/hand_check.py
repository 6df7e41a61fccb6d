"""The hand check for a reviewer: two pages of one truss, set as PDF."""

from __future__ import annotations

import math
from pathlib import Path

from detailgen.core.templates import template_lines
from detailgen.core.tolerance import rounded
from detailgen.model.assessment import HandCheck
from detailgen.model.package import Package
from detailgen.outputs.report.calculations import PAPER
from detailgen.outputs.report.quantities import Quantities, written
from detailgen.outputs.report.sheets import Json, Paper
from detailgen.outputs.report.typeset import write_pdf

TITLES = {"loads": "Loads", "reactions": "Reactions", "chord": "Chord at the middle"}


def chosen(package: Package) -> HandCheck | None:
    """Of the trusses whose frame was solved the one that stands worst as found; of equals the first."""
    found = [t for t in package.trusses if t.hand_check is not None]
    if not found:
        return None
    ratios = [rounded(t.before.as_found.worst[1].ratio) if t.before.as_found.worst else 0.0 for t in found]
    return found[ratios.index(max(ratios))].hand_check


def hand_check_content(package: Package, check: HandCheck) -> Json:
    project, q = package.project, Quantities(package.project.units)

    def value(number: float, unit: str) -> str:
        if math.isnan(number):
            return ""
        return q.length(number) if unit == "in" else q.write(number, unit)

    parts: list[Json] = []
    for part, title in TITLES.items():
        rows = [
            [line.what, line.working, value(line.by_hand, line.unit), value(line.ours, line.unit), _difference(line.by_hand, line.ours)]
            for line in check.lines if line.part == part
        ]  # fmt: skip
        parts.append({"title": title, "rows": rows})
    force = q.large("lb")[0]
    rows = []
    for f in check.forces:
        axial, along, upward = (q.write(v, "lb", name=False) for v in (f.axial, f.along, f.upward))
        rows.append([f.member, axial, f"{written(round(math.degrees(f.angle), 6) % 360)}°", along, upward])
    scale = max((abs(f.axial) for f in check.forces), default=1.0)
    rest = ["0" if abs(v) < 1e-6 * scale else q.write(v, "lb", name=False) for v in check.rest]
    return {
        "paper": PAPER[project.units.name],
        "project": {"name": project.name, "number": project.number, "revision": project.revision, "date": project.date},
        "status": package.status, "cautions": template_lines("notes/cautions.txt"), "truss": check.truss, "combination": check.combination,
        "parts": parts, "joint": check.joint, "force": force, "forces": rows, "rest": rest,
        "connection": None if check.connection is None else Paper(q).sheet(check.connection, check.place),
    }  # fmt: skip


def _difference(by_hand: float, ours: float) -> str:
    if math.isnan(ours) or ours == 0:
        return ""
    percent = round(100 * (by_hand - ours) / ours, 2) + 0.0
    return f"{percent:+.2f} %" if percent else "0.00 %"


def write_hand_check(package: Package, path: Path) -> bool:
    """Write the hand check; False (and no file) where no truss has a frame of our own. Same package, same bytes.

    Raises: OutputError where the template fails
    """
    check = chosen(package)
    if check is None:
        return False
    write_pdf("hand_check", hand_check_content(package, check), path)
    return True
