"""Plate, flat bar, lumber for fillers, steels and shop grids as they are bought and made. Inches and psi, whatever the system."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from pathlib import Path

from detailgen.core.clause import Cite
from detailgen.core.errors import NotCovered
from detailgen.core.table import read_table
from detailgen.core.tolerance import LENGTH_IN
from detailgen.core.units import MM, SYSTEMS

TABLES = Path(__file__).parent / "tables"
KSI = 1000.0


def _sizes(system: str, table: str, column: str) -> tuple[float, ...]:
    if system not in SYSTEMS:
        raise NotCovered(f"system of units '{system}'; known: {', '.join(SYSTEMS)}", "stock")
    name, unit = (table, 1.0) if system == "US" else (f"{table}_mm", MM)
    return tuple(float(row[column]) * unit for row in read_table(TABLES, name))


@cache
def plate_thicknesses(system: str = "US") -> tuple[float, ...]:
    """Stocked plate thicknesses (in), ascending; the millimetre series for "SI"."""
    return _sizes(system, "plate_thicknesses", "thickness")


@cache
def flat_bar_widths(system: str = "US") -> tuple[float, ...]:
    """Stocked flat bar widths (in), ascending; the millimetre series for "SI"."""
    return _sizes(system, "flat_bar_widths", "width")


@dataclass(frozen=True)
class ShopGrid:
    """Grids (in) of hole positions and of plate lengths."""

    holes: Fraction
    plate_length: Fraction


@cache
def shop_grid(system: str = "US") -> ShopGrid:
    """1/16 in. and 1/4 in. for "US"; 1 mm and 5 mm for "SI"."""
    rows = (read_table(TABLES, "shop_grids").find(system=system, quantity=q) for q in ("holes", "plate length"))
    return ShopGrid(*(Fraction(int(float(r["numerator"])), int(float(r["denominator"]))) for r in rows))


@dataclass(frozen=True)
class PlateSteel:
    """A steel that is stocked as plate: least yield stress and tensile strength (psi)."""

    grade: str
    F_y: float
    F_u: float
    cite: Cite


def plate_steel(grade: str = "ASTM A36") -> PlateSteel:
    """A stocked steel. Raises NotCovered for another grade."""
    table = read_table(TABLES, "steel_grades")
    row = table.find(grade=grade)
    return PlateSteel(grade, float(row["F_y"]) * KSI, float(row["F_u"]) * KSI, table.cite(row))


@cache
def steel_unit_weight() -> float:
    """lb/in3"""
    return float(read_table(TABLES, "densities").find(material="steel")["unit_weight"]) / 12**3


@cache
def dry_lumber() -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Dressed thicknesses and depths (in) of dry lumber that is stocked, ascending."""
    thick = sorted(float(r["thickness"]) for r in read_table(TABLES, "lumber") if r["moisture"] == "dry")
    return tuple(thick), tuple(sorted(float(r["depth"]) for r in read_table(TABLES, "lumber_depths")))


@cache
def lumber_lengths(system: str = "US") -> tuple[float, ...]:
    """Lengths (in) of sawn timber on sale, ascending; the millimetre series for "SI"."""
    return _sizes(system, "lumber_lengths", "length")


def sawn_stock_fits(thickness: float, depth: float, length: float, system: str = "US") -> bool:
    """Is there sawn timber on sale from which a piece of this size (in) is made?"""
    thick = max(float(r["thickness"]) for r in read_table(TABLES, "lumber"))
    deep = max(float(r["depth"]) for r in read_table(TABLES, "lumber_depths"))
    sizes = ((thickness, thick), (depth, deep), (length, lumber_lengths(system)[-1]))
    return all(asked <= there + LENGTH_IN for asked, there in sizes)


@cache
def glulam_widths(species: str) -> tuple[float, ...]:
    """Finished widths (in) of glued laminated timber on sale, ascending; none where they are not known for a species."""
    return tuple(sorted(float(r["width"]) for r in read_table(TABLES, "glulam_widths") if r["species"] == species))


@dataclass(frozen=True)
class FillerStock:
    """What a filler is made from: nominal and dressed thickness (in), and whether it must be resawn or planed to its own."""

    nominal: float
    dressed: float
    resawn: bool


def filler_stock(thickness: float) -> FillerStock:
    """The thinnest stocked lumber from which a filler of this thickness (in) is made. Raises NotCovered over the thickest."""
    if thickness <= 0:
        raise NotCovered(f"a filler {thickness:g} in. thick", "stock")
    rows = sorted((float(r["thickness"]), float(r["nominal_thickness"])) for r in read_table(TABLES, "lumber"))
    for dressed, nominal in rows:
        if dressed >= thickness - LENGTH_IN:
            return FillerStock(nominal, dressed, dressed > thickness + LENGTH_IN)
    raise NotCovered(f"a filler {thickness:g} in. thick; the thickest stocked lumber is {rows[-1][0]:g} in.: build it up of layers", "stock")
