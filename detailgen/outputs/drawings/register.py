"""Which sheets a package has, and their numbers: discipline S, then the kind of sheet (0 general, 2 elevations, 4 strands, 5 details, 6 schedules,
7 shop drawings, 8 forms and sheets of the field) and a serial number, after the pattern of the US National CAD Standard (from memory). Past 99 it
has three digits, so that many sheets of one kind never take the numbers of the next."""

from __future__ import annotations

from detailgen.model.package import Package

COVER, SAFETY, SCHEDULES, SHOP, FORM = "S-001", "S-011", "S-601", "S-701", "S-801"
ELEVATIONS, STRANDS, DETAILS, FIELD = 2, 4, 5, 8


def _numbered(kind: int, serial: int) -> str:
    return f"S-{kind}{serial:02d}"


def found_number(mark: str, package: Package) -> str:
    """S-201 and on: each truss as found, its removal and repair right after it."""
    return _numbered(ELEVATIONS, 1 + _before(mark, package))


def repair_number(mark: str, package: Package) -> str:
    return _numbered(ELEVATIONS, 2 + _before(mark, package))


def _before(mark: str, package: Package) -> int:
    """Sheets of the trusses that stand before this one."""
    count = 0
    for one in package.trusses:
        if one.before.truss.mark == mark:
            return count
        count += 2 if one.details else 1
    raise ValueError(f"the package has no truss {mark}")


def strands_number(mark: str, package: Package) -> str:
    """S-401 and on: the strands of each post-tensioned truss."""
    marks = [t.before.truss.mark for t in package.trusses if t.stressing is not None]
    return _numbered(STRANDS, 1 + marks.index(mark))


def detail_number(key: str, package: Package) -> str:
    """S-501 and on, in the order of the package."""
    return _numbered(DETAILS, 1 + [d.key for d in package.details].index(key))


def work_number(mark: str, package: Package) -> str:
    """S-811 and on: shoring, jacking and order of work of each truss."""
    return _numbered(FIELD, 11 + _place(mark, package))


def _place(mark: str, package: Package) -> int:
    return [one.before.truss.mark for one in package.trusses].index(mark)
