"""Forces from another analysis: one table in, member forces out. Everything after works as with our own."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Collection
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from detailgen.core.errors import InputError
from detailgen.core.tolerance import rounded_length
from detailgen.core.units import UnitSystem, feet_inches
from detailgen.model.assessment import MemberForces
from detailgen.model.project import Truss
from detailgen.survey.document import Node, Report, cut
from detailgen.survey.fill import choice, suggest
from detailgen.survey.force_table import NUMBERS, WORDS, Columns, lines_of
from detailgen.survey.geometry import arc_slope

STRUCTURES = ("intact", "as found", "as repaired")
BEYOND = 0.02
"""A station may miss a member's end by this share of its length: other programs round, or measure along the arc."""

Row = tuple[float, float, float, float]
"""Station, axial, shear, moment."""


@dataclass
class _Rows:
    """Rows of one structure."""

    stage: str = ""
    combinations: dict[str, int] = field(default_factory=dict)  # name -> first line
    values: dict[tuple[str, str], list[Row]] = field(default_factory=dict)  # by (combination, member)
    lines: dict[tuple[str, str], int] = field(default_factory=dict)


def between_joints(truss: Truss) -> dict[str, float]:
    """Every member between two joints and its length (in): chord panels, bottom first, then webs. A curved panel has the length of its arc."""
    out: dict[str, float] = {}
    for chord in (truss.bottom, truss.top):
        for a, b in itertools.pairwise(chord):
            length = math.dist(truss.joints[a], truss.joints[b])
            if chord is truss.top and truss.curved and truss.arc is not None:
                turn = abs(arc_slope(truss.arc, truss.joints[a][0]) - arc_slope(truss.arc, truss.joints[b][0]))
                length = truss.arc.radius * turn
            out[f"{a}-{b}"] = length
    for member in truss.members:
        if member.kind == "web":
            out[member.name] = math.dist(truss.joints[member.joints[0]], truss.joints[member.joints[1]])
    return out


def _number(text: str, column: str, line: int, report: Report) -> float | None:
    try:
        if not re.fullmatch(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?", text, re.ASCII) or len(text) > 60:
            raise ValueError
        value = float(text)
        if not math.isfinite(value):
            raise ValueError
        return value
    except ValueError:
        found = f"'{cut(text)}'" if text else "nothing"
        report.add(Node(column, line), found, "a number, with a point and without unit", "The column's name says the unit.")
        return None


def _member(name: str, known: dict[str, float], line: int, report: Report) -> bool:
    if name in known:
        return True
    a, _, b = name.partition("-")
    if f"{b}-{a}" in known:
        advice = "Stations and signs count from the first joint: turn name, stations and signs around."
        report.add(Node("member", line), f"'{name}'", f"{b}-{a}", advice)
    else:
        found = f"'{cut(name)}', no member of this truss between two joints"
        report.add(Node("member", line), found, choice(tuple(known)), suggest(name, tuple(known)))
    return False


def _take(row: dict[str, str], line: int, columns: Columns, known: dict[str, float], groups: dict[str, _Rows], report: Report) -> None:
    structure, stage, combination, member = (row[c] for c in WORDS[1:])
    numbers = [_number(row[c], columns.name[c], line, report) for c in NUMBERS]
    sound = _member(member, known, line, report)
    if structure not in STRUCTURES:
        report.add(Node("structure", line), f"'{cut(structure)}'", choice(STRUCTURES), suggest(structure, STRUCTURES))
        sound = False
    if not combination:
        report.add(Node("combination", line), "nothing", "the name of a combination")
        sound = False
    station, axial, shear, moment = numbers
    if not sound or station is None or axial is None or shear is None or moment is None:
        return
    group = groups.setdefault(structure, _Rows(stage))
    if stage != group.stage:
        allowed = f"one stage for each structure; the rows above say '{group.stage}'"
        report.add(Node("stage", line), f"'{cut(stage)}'", allowed, "Leave the other stages out.")
    factor = columns.factor
    x = rounded_length(station * factor["station"])
    length = known[member]
    if not -BEYOND * length <= x <= (1 + BEYOND) * length:
        report.add(Node(columns.name["station"], line), feet_inches(x), f"a station of {member}, from 0 to {feet_inches(length)}")
    group.combinations.setdefault(combination, line)
    key = (combination, member)
    group.lines.setdefault(key, line)
    rows = group.values.setdefault(key, [])
    before = sum(1 for other in rows if other[0] == x)
    within = BEYOND * length < x < (1 - BEYOND) * length
    if before > within:
        allowed = "each station once; twice between the ends where a force jumps: left of it, then right of it"
        found = f"{member} at {feet_inches(x)} in {cut(combination)} {before + 1} times"
        report.add(Node(columns.name["station"], line), found, allowed)
    rows.append((x, axial * factor["axial"], shear * factor["shear"], moment * factor["moment"]))


def _covered(structure: str, group: _Rows, known: dict[str, float], report: Report) -> None:
    """Every member in every combination, at the same stations, from end to end."""
    for combination, line in group.combinations.items():
        missing = tuple(m for m in known if (combination, m) not in group.values)
        if missing:
            found = f"no forces of {choice(missing)} in '{cut(combination)}', {structure}"
            report.add(Node("member", line), found, "every member of the truss in every combination", "Add the rows.")
    first: dict[str, list[float]] = {}
    for (combination, member), values in group.values.items():
        stations, line = sorted(row[0] for row in values), group.lines[(combination, member)]
        place = Node("station", line)
        length = known[member]
        if len(stations) < 2 or stations[0] > BEYOND * length or stations[-1] < (1 - BEYOND) * length:
            found = f"stations of {member} in '{cut(combination)}' from {feet_inches(stations[0])} to {feet_inches(stations[-1])}"
            report.add(place, found, f"stations from 0 to {feet_inches(length)}, both ends included")
        if first.setdefault(member, stations) != stations:
            found = f"other stations of {member} in '{cut(combination)}' than in the combination before"
            report.add(place, found, "the same stations in every combination")


def _table(member: str, group: _Rows) -> MemberForces:
    names = list(group.combinations)
    # A stable sort: of two rows at one station the first stays left of the second.
    values = np.array([sorted(group.values[(c, member)], key=lambda row: row[0]) for c in names], dtype=float)
    return MemberForces(member, values[0, :, 0], values[:, :, 1], values[:, :, 2], values[:, :, 3])


Imported = dict[str, tuple[list[str], dict[str, MemberForces]]]


def read_forces(path: Path, truss: Truss, combination_names: Collection[str] | None, units: UnitSystem) -> Imported:
    """Forces of one truss from a table with the columns of forces.csv: CSV, or the first sheet of a workbook.

    path: the table; rows of other trusses are passed over
    combination_names: combinations whose durations are known; any other needs one in the truss's ``forces``. None: durations do not matter
    units: of the project, for messages; the table's own stand in its headers
    Returns: for each structure its combinations and the forces of each member between two joints (lb, in-lb, stations in)
    Raises: InputError with every problem of the table
    """
    report = Report(str(path))
    known = between_joints(truss)
    groups: dict[str, _Rows] = {}
    try:
        _read_rows(path, truss, known, units, groups, report)
    except InputError as error:
        if not report.problems:
            raise
        report.problems += error.problems
    if combination_names is not None:
        _durations(truss, groups, combination_names, report)
    for structure, group in groups.items():
        _covered(structure, group, known, report)
    if report.problems:
        raise InputError(report.problems)
    return {s: (list(g.combinations), {m: _table(m, g) for m in known}) for s, g in groups.items()}


def trusses_in(path: Path, units: UnitSystem) -> tuple[str, ...]:
    """The marks that a table of forces holds, in its order. Raises InputError."""
    report = Report(str(path))
    lines = lines_of(path)
    line, header = next(lines, (1, []))
    columns = Columns(header, line, units, report)
    report.stop_if_any()
    return tuple(dict.fromkeys(columns.row(cells)["truss"] for _, cells in lines if len(cells) == columns.width))


def _read_rows(path: Path, truss: Truss, known: dict[str, float], units: UnitSystem, groups: dict[str, _Rows], report: Report) -> None:
    lines = lines_of(path)
    line, header = next(lines, (1, []))
    columns = Columns(header, line, units, report)
    if report.problems:
        return
    for line, cells in lines:
        if len(cells) != columns.width:
            report.add(Node("", line), f"{len(cells)} cells", f"{columns.width}, as in the first line")
            continue
        row = columns.row(cells)
        if row["truss"] == truss.mark:
            _take(row, line, columns, known, groups, report)
    if not groups and not report.problems:
        found = f"no row of truss {truss.mark}"
        report.add(Node("truss", 0), found, f"rows with truss {truss.mark}", "Look at the marks in the column truss.")


def _durations(truss: Truss, groups: dict[str, _Rows], combination_names: Collection[str], report: Report) -> None:
    """Every combination is known or has its duration in the survey."""
    stated = {name for name, _ in truss.forces.durations} if truss.forces is not None else set()
    for group in groups.values():
        for name, line in group.combinations.items():
            if name not in combination_names and name not in stated:
                known_names = f"{choice(tuple(combination_names))}; " if combination_names else ""
                allowed = f"{known_names}any other with its duration in the project file"
                to_do = (f"Add 'forces: {{durations: {{{cut(name)}: snow}}}}' to truss {truss.mark}, with its shortest load; "
                         "in strength design its forces must be factored.")  # fmt: skip
                report.add(Node("combination", line), f"'{cut(name)}', a combination that is not known", allowed, to_do)
