"""What ``assess`` leaves in tables: every check, every force, and a summary for programs."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from pathlib import Path

import numpy as np

from detailgen.core.result import CheckResult, State
from detailgen.core.tolerance import at_most, rounded
from detailgen.core.units import UnitSystem
from detailgen.model.assessment import Assessed, Finding, Forces, SnowCapacity, TrussAssessment
from detailgen.model.project import Project
from detailgen.outputs.drawings.truss_drawing import drawing_name
from detailgen.outputs.schedules.cells import cell, csv_text, settled, unit_of, write_csv


def _structures(assessment: TrussAssessment, after: Assessed | None) -> list[Assessed]:
    return [assessment.intact, assessment.as_found, *([after] if after is not None else [])]


def _check_row(mark: str, structure: str, r: CheckResult, units: UnitSystem) -> list[str]:
    unit, factor = unit_of(r.unit, units)
    return [
        mark,
        structure,
        r.stage,
        r.combination,
        r.where,
        cell(r.station, units.length),
        f"{r.check}: {r.missing}" if r.missing else r.check,
        cell(r.demand, factor),
        cell(r.capacity, factor),
        unit,
        cell(r.ratio),
        r.state.value,
        str(r.cite),
        r.table_status.words,
    ]


def checks_of(one: TrussAssessment, units: UnitSystem, after: Assessed | None = None) -> str:
    """The rows of one truss in assessment.csv: every check intact, as found and as repaired. Without a safe load path one row says so.

    Where a check could not be made, or there is no path, the check's cell says what is missing or why.
    """
    mark = one.truss.mark
    rows: list[list[str]] = []
    for assessed in _structures(one, after):
        if assessed.no_safe_load_path:
            check = f"safe load path: {assessed.no_safe_load_path}"
            rows.append([mark, assessed.structure, "", "", "whole truss", "", check, "", "", "", "", State.DOES_NOT_PASS.value, "", ""])
            continue
        rows += [_check_row(mark, assessed.structure, result, units) for _, result in assessed.results()]
    return csv_text(rows)


def write_assessment_csv(path: Path, rows: Iterable[str], units: UnitSystem) -> None:
    """Every check of every truss. rows: ``checks_of`` each"""
    header = [
        "truss",
        "structure",
        "stage",
        "combination",
        "where",
        f"station_{units.length_unit}",
        "check",
        "demand",
        "capacity",
        "unit",
        "ratio",
        "state",
        "clause",
        "table_status",
    ]
    write_csv(path, header, rows)


def _force_rows(mark: str, forces: Forces, units: UnitSystem) -> Iterable[list[str]]:
    names = list(forces.members)
    edges = np.cumsum([len(forces.members[n].station) for n in names])[:-1]
    members = list(forces.members.values())
    whole = ([m.axial for m in members], [m.shear for m in members], [m.moment for m in members])
    axial, shear, moment = (np.split(settled(np.concatenate(field, axis=1)), edges, axis=1) for field in whole)
    for c, combination in enumerate(forces.combinations):
        start = [mark, forces.structure, forces.stage, combination.name]
        for k, name in enumerate(names):
            columns = zip(forces.members[name].station.tolist(), axial[k][c].tolist(), shear[k][c].tolist(), moment[k][c].tolist(), strict=True)
            for station, n, v, m in columns:
                yield [*start, name, cell(station, units.length), cell(n, units.force), cell(v, units.force), cell(m, units.moment)]


def forces_of(one: TrussAssessment, units: UnitSystem, after: Assessed | None = None) -> str:
    """The rows of one truss in forces.csv: its structures intact, as found and as repaired."""
    known = [assessed.forces for assessed in _structures(one, after) if assessed.forces is not None]
    return csv_text(row for forces in known for row in _force_rows(one.truss.mark, forces, units))


def write_forces_csv(path: Path, rows: Iterable[str], units: UnitSystem) -> None:
    """Forces of every member at its stations, in every combination and structure. Tension and sagging are positive. rows: ``forces_of`` each truss"""
    header = [
        "truss",
        "structure",
        "stage",
        "combination",
        "member",
        f"station_{units.length_unit}",
        f"axial_{units.force_unit}",
        f"shear_{units.force_unit}",
        f"moment_{units.moment_unit}",
    ]
    write_csv(path, header, rows)


EnvelopeRow = tuple[str, str, str, str, str, float, str, str, float]
"""truss, structure, member, force, greatest or least, value (lb, in-lb), combination, stage, station (in)."""


def write_envelope_csv(path: Path, rows: Iterable[EnvelopeRow], units: UnitSystem) -> None:
    """The greatest and the least axial force, shear and moment of every member, and where each comes from."""
    factors = {"axial": (units.force, units.force_unit), "shear": (units.force, units.force_unit), "moment": (units.moment, units.moment_unit)}
    header = ["truss", "structure", "member", "force", "which", "value", "unit", "combination", "stage", f"station_{units.length_unit}"]
    held = list(rows)
    values = settled(np.array([row[5] for row in held], dtype=float)).tolist()
    write_csv(path, header, [csv_text(
        [*row[:5], cell(value, factors[row[3]][0]), factors[row[3]][1], row[6], row[7], cell(row[8], units.length)]
        for row, value in zip(held, values, strict=True)
    )])  # fmt: skip


def _number(value: float) -> float | str | None:
    """A number that JSON can hold: null where there is none, the word where it has no bound."""
    if math.isnan(value):
        return None
    return rounded(value) if math.isfinite(value) else "infinite"


def _result(assessment: TrussAssessment) -> str:
    """The answer for one truss as found; what does not pass weighs more than what cannot be checked."""
    if assessment.as_found.no_safe_load_path:
        return State.DOES_NOT_PASS.value
    results = [r for _, r in assessment.as_found.results()]
    if any(r.state is State.DOES_NOT_PASS or (not math.isnan(r.ratio) and not at_most(r.ratio, 1.0)) for r in results):
        return State.DOES_NOT_PASS.value
    unchecked = not results or any(r.state is State.CANNOT_BE_CHECKED for r in results)
    return State.CANNOT_BE_CHECKED.value if unchecked else State.PASSES.value


def _worst(assessed: Assessed) -> dict[str, object] | None:
    if assessed.worst is None:
        return None
    place, r = assessed.worst
    return {
        "kind": place.kind,
        "member": place.member,
        "joint": place.joint,
        "place": place.name,
        "check": r.check,
        "ratio": _number(r.ratio),
        "combination": r.combination,
        "clause": str(r.cite),
        "table_status": r.table_status.words,
    }


def _finding(f: Finding) -> dict[str, object]:
    return {
        "kind": f.kind,
        "member": f.member,
        "joint": f.joint,
        "title": f.title,
        "cause": f.cause,
        "ratio": _number(f.ratio),
        "combination": f.combination,
    }


def _snow(snow: SnowCapacity | None, units: UnitSystem) -> dict[str, object] | None:
    if snow is None:
        return None
    return {
        "factor": _number(snow.factor),
        "at_least": snow.at_least,
        "flat_roof_today": _number(snow.flat_roof_today * units.area_load),
        "flat_roof_allowed": _number(snow.flat_roof_allowed * units.area_load),
        "unit": units.area_load_unit,
        "governing": snow.governing,
    }


def _truss_summary(assessment: TrussAssessment, units: UnitSystem) -> dict[str, object]:
    truss = assessment.truss
    counts = assessment.as_found.count.states
    drawing = f"drawings/{drawing_name(truss.mark)}"
    return {
        "mark": truss.mark,
        "type": truss.type,
        "bay": truss.bay,
        "result": _result(assessment),
        "no_safe_load_path": assessment.as_found.no_safe_load_path,
        "worst_as_found": _worst(assessment.as_found),
        "worst_intact": _worst(assessment.intact),
        "checks_as_found": {state.value: counts.get(state, 0) for state in State},
        "findings": [_finding(f) for f in assessment.findings],
        "snow": _snow(assessment.snow, units),
        "assumptions": list(assessment.assumptions),
        "flags": list(assessment.flags),
        "files": [f"{drawing}.dxf", f"{drawing}.svg"],
    }


def summary_json(assessments: Sequence[TrussAssessment], project: Project) -> dict[str, object]:
    """What ``assess --json`` prints."""
    order = [State.PASSES.value, State.CANNOT_BE_CHECKED.value, State.DOES_NOT_PASS.value]
    return {
        "project": {"name": project.name, "number": project.number, "revision": project.revision, "date": project.date, "units": project.units.name},
        "status": "PRELIMINARY",
        "standards": [project.wood_standard, project.load_standard],
        "method": project.method,
        "result": max((_result(a) for a in assessments), key=order.index, default=State.CANNOT_BE_CHECKED.value),
        "assumptions": list(project.assumptions),
        "trusses": [_truss_summary(a, project.units) for a in assessments],
        "files": ["analysis/forces.csv", "analysis/truss_model.json", "analysis/truss_model.schema.json", "assessment.csv"],
    }
