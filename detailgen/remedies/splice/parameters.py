"""What a splice may be made of: the grid of the search, from stock sizes and shop practice."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from detailgen.stock.plates import shop_grid

DIAMETERS = (0.5, 0.625, 0.75, 0.875, 1.0)
"""Bolts are in inches in every project: the standard's values and the stock are."""
PER_ROW = (2, 3, 4, 5, 6, 7, 8, 9, 10)
ONE_ROW_UP_TO = 6.0
"""Plies deeper than this (in) get at least two rows: one line of large bolts splits an old solid chord along it (ours, common practice)."""


@dataclass(frozen=True)
class Shop:
    """Sizes and grids (in) of a project's own system of units: what is stocked as plate, and where holes and cuts may be."""

    thicknesses: tuple[float, ...]
    widths: tuple[float, ...]
    gauges: Mapping[int, tuple[float, ...]]  # by number of rows
    wide_gauges: tuple[float, ...]  # of two rows that share no plate
    spacing_step: Fraction
    greatest_spacing: float
    holes: Fraction
    lengths: Fraction


_THICKNESSES = {"US": (0.25, 0.375, 0.5), "SI": (6, 10, 12)}
_WIDTHS = {"US": (3, 4, 5, 6, 7, 8), "SI": (80, 100, 130, 150, 180, 200)}
_GAUGES: dict[str, dict[int, tuple[float, ...]]] = {
    "US": {1: (0.0,), 2: (2.0, 2.5, 3.0, 3.5, 4.0, 4.5, 5.0), 3: (1.5, 2.0, 2.5)},
    "SI": {1: (0,), 2: (50, 65, 75, 90, 100, 115, 125), 3: (40, 50, 63)},
}
_WIDE_GAUGES = {"US": (5.5, 6.0, 6.5, 7.0, 7.5, 8.0, 9.0, 10.0), "SI": (130, 140, 150, 160, 180, 200, 220, 250)}
_SPACINGS = {"US": (Fraction(1, 2), 7.0), "SI": (Fraction(10), 180.0)}
"""Step and greatest spacing, as the other sizes in inches or millimetres."""


@cache
def shop(system: str) -> Shop:
    """The grid of the search for projects in "US" or "SI" units."""
    unit = Fraction(1) if system == "US" else Fraction(10, 254)
    sizes, made = float(unit), shop_grid(system)
    step, greatest = _SPACINGS[system]
    return Shop(
        thicknesses=tuple(sizes * t for t in _THICKNESSES[system]), widths=tuple(sizes * w for w in _WIDTHS[system]),
        gauges={n: tuple(sizes * g for g in all_of) for n, all_of in _GAUGES[system].items()},
        wide_gauges=tuple(sizes * g for g in _WIDE_GAUGES[system]),
        spacing_step=step * unit, greatest_spacing=greatest * sizes, holes=made.holes, lengths=made.plate_length,
    )  # fmt: skip


BETWEEN_PLATES = 0.5
"""Clear distance (in) between two plates on one face: the wood shrinks, and the edges are galvanized (ours)."""
CLEAR = 1.0
"""Clear distance (in) kept between new plates and whatever stands already (ours)."""
SHARE_OF_CHORD = 0.5
"""A splice develops at least this share of the intact ply's net allowable tension (ours, common practice)."""

PLATE_GRADE = "ASTM A36"
STEEL_BEARING = 87000.0
"""Dowel bearing of hot-rolled A36 plate: 1.5 F_u (NDS 2018 12.3.3 and table I1, seen in a worked example)."""
BLOCK_GRADE = "No.2"


@dataclass(frozen=True)
class Arrangement:
    """How the plies of a chord are held: ``faces`` in the words of standards.interface.SpliceLayouts; what it asks of the site.

    ``second``: looked for only where nothing else fits, or where it is asked for by name.
    """

    key: str
    faces: str
    plates_per_ply: int
    every_ply_cut: bool
    single_ply: bool
    second: bool = False

    @property
    def blocked(self) -> bool:
        """Does a block between the plies carry?"""
        return self.faces in ("steel and wood", "wood")


ARRANGEMENTS = (
    Arrangement("plates on both faces of each ply", "two steel", 2, every_ply_cut=False, single_ply=False),
    Arrangement("plates on both faces of a single ply", "two steel", 2, every_ply_cut=True, single_ply=True),
    Arrangement("structural block between the plies", "steel and wood", 1, every_ply_cut=True, single_ply=False),
    Arrangement("outer plates, open gap filled", "one steel", 1, every_ply_cut=True, single_ply=False),
    # No steel runs beside a block that splits: so it comes last (ours).
    Arrangement("structural block alone between the plies", "wood", 0, every_ply_cut=True, single_ply=False, second=True),
)
ORDERS = {
    "fewest bolts": ("bolts", "length", "weight"),
    "shortest": ("length", "bolts", "weight"),
    "lightest": ("weight", "bolts", "length"),
}
"""Orders of preference; the first is the default."""
