"""The lists as CSV files and as one workbook with the same numbers."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from pathlib import Path

from detailgen.model.package import Package
from detailgen.outputs.schedules.fabrication import joints_list, plates_list, timber_order, timber_stock
from detailgen.outputs.schedules.lists import Cell, Listing, listings
from detailgen.outputs.schedules.stressing import anchors_list, heel_forces, strand_forces, strands_list
from detailgen.outputs.schedules.workbook import write_workbook


def write_list(one: Listing, folder: Path) -> Path:
    path = folder / f"{one.name}.csv"
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.writer(stream, lineterminator="\n")
        writer.writerow(one.header)
        writer.writerows(one.texts)
    return path


def write_lists(package: Package, folder: Path) -> list[Path]:
    """Every list as CSV, and all of them in schedules.xlsx. A list with nothing to say is not written. Returns what was written."""
    made = (*listings(package), plates_list(package), timber_order(package), timber_stock(package), joints_list(package))
    lists = [one for one in (*made, strands_list(package), anchors_list(package), strand_forces(package), heel_forces(package)) if one.rows]
    paths = [write_list(one, folder) for one in lists]
    if lists:
        path = folder / "schedules.xlsx"
        sheets: Sequence[tuple[str, Sequence[Sequence[Cell]]]] = [(one.name, (one.header, *one.rows)) for one in lists]
        write_workbook(path, sheets, title=f"{package.project.name}, revision {package.project.revision}", date=package.project.date)
        paths.append(path)
    return paths
