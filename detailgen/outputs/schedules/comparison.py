"""Our forces beside those of another analysis, as a table and in words."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from pathlib import Path

from detailgen.core.units import UnitSystem
from detailgen.model.assessment import Difference
from detailgen.outputs.schedules.cells import cell


def write_comparison_csv(path: Path, compared: Sequence[Difference], units: UnitSystem) -> None:
    """One row for each member and kind of force: where the two analyses differ most."""
    where = ("truss", "structure", "member", "force", "combination", f"station_{units.length_unit}")
    header = (*where, "ours", "theirs", "difference", "unit", "share_of_greatest")
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.writer(stream, lineterminator="\n")
        writer.writerow(header)
        for d in compared:
            unit, factor = (units.moment_unit.replace("_", "-"), units.moment) if d.what == "moment" else (units.force_unit, units.force)
            numbers = (cell(d.ours, factor), cell(d.theirs, factor), cell(d.ours - d.theirs, factor))
            writer.writerow((d.truss, d.structure, d.member, d.what, d.combination, cell(d.station, units.length), *numbers, unit, cell(d.share)))


def comparison_lines(compared: Sequence[Difference]) -> list[str]:
    """For each truss and structure the largest difference of each kind of force."""
    lines = []
    for mark, structure in dict.fromkeys((d.truss, d.structure) for d in compared):
        here = [d for d in compared if (d.truss, d.structure) == (mark, structure)]
        parts = []
        for what in dict.fromkeys(d.what for d in here):
            most = max((d for d in here if d.what == what), key=lambda d: d.share)
            parts.append(f"{what} {100 * most.share:.1f} % ({most.member}, {most.combination})")
        lines.append(f"Truss {mark}, {structure}: largest difference from the other analysis, of the greatest of its kind: {'; '.join(parts)}.")
    return lines
