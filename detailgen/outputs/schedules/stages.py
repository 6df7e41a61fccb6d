"""The work in stages as tables: shores, stages with their hold points, and every place in every stage."""

from __future__ import annotations

import math
from pathlib import Path

from detailgen.core.units import UnitSystem
from detailgen.model.package import Package, Repaired
from detailgen.outputs.schedules.cells import cell, csv_text, unit_of, write_csv
from detailgen.outputs.schedules.lists import Cell, Listing


def _number(value: float, factor: float) -> float | str:
    text = cell(value, factor)
    return float(text) if text else ""


def shoring(package: Package) -> Listing:
    """Points, forces, lifts, stops and blocks, and room for what is read on site."""
    u = package.project.units
    rows: list[tuple[Cell, ...]] = []
    for one in package.trusses:
        for s in one.staged.shores if one.staged is not None else ():
            numbers = (s.x * u.length, s.force * u.force, s.lift * u.length, s.stop * u.length, s.most * u.force, s.block * u.length)
            rows.append((one.before.truss.mark, s.joint, *(_number(v, 1.0) for v in numbers), _number(s.bearing.ratio, 1.0), "", ""))
    at, f = u.length_unit, u.force_unit
    header = ("truss", "joint", f"from_left_{at}", f"jack_{f}", f"lift_{at}", f"stop_{at}", f"carries_at_most_{f}", f"block_{at}", "bearing_ratio",
              f"read_{f}", f"read_{at}")  # fmt: skip
    return Listing("shoring", header, tuple(rows))


def stages(package: Package) -> Listing:
    """What is done in each stage, what governs, how the bearings move, and what must hold before it goes on."""
    u = package.project.units
    rows: list[tuple[Cell, ...]] = []
    for one in package.trusses:
        for k, n in enumerate(one.staged.lines if one.staged is not None else (), start=1):
            ratio = "" if math.isnan(n.ratio) else _number(n.ratio, 1.0)
            left, right = (_number(m, u.length) for m in n.moved)
            rows.append((one.before.truss.mark, k, n.title, n.place, n.check, n.combination, ratio, left, right, n.does, n.hold, "", ""))
    at = u.length_unit
    header = ("truss", "stage", "title", "governs", "check", "load", "ratio", f"left_bearing_{at}", f"right_bearing_{at}", "do", "hold_until", "by",
              "date")  # fmt: skip
    return Listing("stages", header, tuple(rows))


def stage_checks_of(one: Repaired, units: UnitSystem) -> str:
    """The rows of one truss in stages.csv: every place in every stage with what governs it there."""
    rows = []
    for c in one.staged.checks if one.staged is not None else ():
        unit, factor = unit_of(c.unit, units)
        ratio = cell(c.ratio) if math.isfinite(c.ratio) else "infinite"
        numbers = (cell(c.demand, factor), cell(c.capacity, factor), unit, ratio)
        rows.append([one.before.truss.mark, c.stage, c.place, c.check, c.combination, *numbers, c.clause])
    return csv_text(rows)


def write_stage_checks(package: Package, path: Path) -> bool:
    """The stages of every truss. Nothing is written where no truss has stages."""
    rows = [t.rows.stages if t.rows is not None else stage_checks_of(t, package.project.units) for t in package.trusses]
    if any(rows):
        write_csv(path, ["truss", "stage", "where", "check", "load", "demand", "capacity", "unit", "ratio", "clause"], rows)
    return any(rows)
