"""What the shop and the supplier get: parts, bolts, lumber to cut."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction

from detailgen.core.tolerance import rounded, rounded_length
from detailgen.core.units import MM, UnitSystem
from detailgen.model.detail import BAR, Bolt, Part
from detailgen.model.outlines import bounds
from detailgen.model.package import Marked, Package

Cell = str | int | float

KILOGRAM = 0.45359237
"""kg per pound (exact by definition). Weights go to the fabricator as mass in SI projects, not as force."""
SPARE_SHARE, LEAST_SPARES = 0.05, 2
"""Spare bolts for each size and length: 5 %, at least 2 (ours, common practice). They stand in bolts.csv beside the quantity, not in it."""


@dataclass(frozen=True)
class Listing:
    """One table: its name, first row, and rows."""

    name: str
    header: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]

    @property
    def texts(self) -> list[list[str]]:
        """The rows as they are written: whole numbers without a decimal point."""
        return [[_written(c) for c in row] for row in self.rows]


def extent(part: Part) -> tuple[float, float]:
    """Length (along the part's x) and width of a part's outline (in), arcs included."""
    x0, y0, x1, y1 = bounds(part.outline)
    return rounded_length(x1 - x0), rounded_length(y1 - y0)


def grain_extent(part: Part) -> tuple[float, float]:
    """Length along a timber's grain, and its width (in): of one that is sawn to a curve, of what it is sawn out of."""
    along, across = extent(part)
    if part.timber is not None and part.timber.sawn_from:
        across = part.timber.sawn_from
    return (across, along) if abs(math.sin(part.grain)) > math.sqrt(0.5) else (along, across)


def thickness_name(thickness: float, units: UnitSystem) -> str:
    """A thickness (in) as part of a file name: 1-4in, 1-1-2in, 10mm."""
    if units.name == "SI":
        return f"{rounded(round(thickness / MM, 3)):g}mm"
    ticks = Fraction(rounded_length(thickness)).limit_denominator(64)
    whole, rest = divmod(ticks, 1)
    parts = ([str(whole)] if whole or not rest else []) + ([f"{rest.numerator}-{rest.denominator}"] if rest else [])
    return "-".join(parts) + "in"


def cut_file_name(marked: Marked, units: UnitSystem) -> str:
    """The cut file of a mark, seen from the package folder; "" for wood, which is cut by the list and drilled in the field, and for a bar, which is
    sawn to its length."""
    if marked.part.material != "steel" or marked.part.kind == BAR:
        return ""
    return f"cut/{marked.mark}_{thickness_name(marked.part.thickness, units)}_x{marked.quantity}.dxf"


def made(part: Part) -> str:
    """Where its holes are made: shop, field, or both; a part without holes is finished in the shop."""
    return " and ".join(sorted({h.made for h in part.holes}, reverse=True)) or "shop"


def spares(quantity: int) -> int:
    return max(LEAST_SPARES, math.ceil(SPARE_SHARE * quantity))


def natural(mark: str) -> tuple[str, int]:
    """PL-2 stands before PL-10."""
    match = re.fullmatch(r"(.*?)(\d+)", mark)
    return (match[1], int(match[2])) if match else (mark, 0)


def length_of(value: float, units: UnitSystem) -> float:
    return rounded_length(value) if units.name == "US" else rounded(round(value * units.length, 3))


def weight_of(value: float, units: UnitSystem) -> float:
    return round(value * (1.0 if units.name == "US" else KILOGRAM), 2)


def parts_list(package: Package) -> Listing:
    """Every mark. Weights are rounded each; the total is quantity times that, so that the columns agree."""
    units = package.project.units
    u, w = units.length_unit, "lb" if units.name == "US" else "kg"
    header = ("mark", "kind", "material", "quantity", f"length_{u}", f"width_{u}", f"thickness_{u}", f"weight_each_{w}", f"weight_total_{w}")
    rows = []
    for m in sorted(package.marks, key=lambda m: natural(m.mark)):
        length, width = extent(m.part)
        each = weight_of(m.part.weight, units)
        sizes = (length_of(length, units), length_of(width, units), length_of(m.part.thickness, units))
        finish = m.part.finish or "none"
        file = cut_file_name(m, units)
        rows.append((m.mark, m.part.kind, m.part.specification, m.quantity, *sizes, each, round(each * m.quantity, 2), finish, made(m.part), file))
    return Listing("parts", (*header, "finish", "made", "file"), tuple(rows))


def bolts_list(package: Package, *, again: bool = False) -> Listing:
    """Bolts by diameter, grade and length, with the least and greatest grip that this length serves; ``again``: the longer ones in the places of
    old bolts, through old holes."""
    units = package.project.units
    u = units.length_unit
    header = (f"diameter_{u}", "grade", f"length_{u}", f"grip_min_{u}", f"grip_max_{u}", "quantity", "spares", "nuts", "washers", "where")
    sizes: dict[tuple[float, str, float], list[tuple[str, Bolt]]] = {}
    for detail in package.details:
        for bolt in (detail.longer if again else detail.bolts) * detail.times:
            key = (rounded_length(bolt.diameter), bolt.grade, rounded_length(bolt.length))
            sizes.setdefault(key, []).append((detail.key, bolt))
    rows = []
    for (diameter, grade, length), found in sorted(sizes.items()):
        grips = [length_of(b.high - b.low, units) for _, b in found]
        more = spares(len(found))
        washers = sum(b.washers for _, b in found) + more * max(b.washers for _, b in found)
        where = "; ".join(f"{key}: {sum(k == key for k, _ in found)}" for key in dict.fromkeys(k for k, _ in found))
        size = (length_of(diameter, units), grade, length_of(length, units), min(grips), max(grips))
        rows.append((*size, len(found), more, len(found) + more, washers, where))
    return Listing("longer_bolts" if again else "bolts", header, tuple(rows))


def cut_list(package: Package) -> Listing:
    """Lumber to cut: length along the grain; where any is sawn to a curve, how each is sawn."""
    units = package.project.units
    u = units.length_unit
    curved = any(m.part.timber is not None and m.part.timber.sawn_from for m in package.marks)
    rows: list[tuple[Cell, ...]] = []
    for m in sorted(package.marks, key=lambda m: natural(m.mark)):
        if m.part.material != "wood":
            continue
        along, across = grain_extent(m.part)
        sizes = (length_of(m.part.thickness, units), length_of(across, units), length_of(along, units))
        sawn = (("band-sawn to a curve" if m.part.timber is not None and m.part.timber.sawn_from else "straight"),) if curved else ()
        rows.append((m.mark, m.quantity, *sizes, m.part.specification, *sawn))
    header = ("mark", "quantity", f"thickness_{u}", f"width_{u}", f"length_{u}", "species_grade", *(("sawn",) if curved else ()))
    return Listing("cut_list", header, tuple(rows))


def listings(package: Package) -> tuple[Listing, ...]:
    """All lists that have something to say."""
    found = (parts_list(package), bolts_list(package), bolts_list(package, again=True), cut_list(package))
    return tuple(one for one in found if one.rows)


def _written(value: Cell) -> str:
    return str(int(value)) if isinstance(value, float) and value == int(value) else str(value)
