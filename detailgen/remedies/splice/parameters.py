"""What a splice may be made of: the grid of the search, from stock sizes and shop practice."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

DIAMETERS = (0.5, 0.625, 0.75, 0.875, 1.0)
PER_ROW = (2, 3, 4, 5, 6, 7, 8, 9, 10)
GAUGES = {1: (0.0,), 2: (2.0, 2.5, 3.0, 3.5, 4.0, 4.5, 5.0), 3: (1.5, 2.0, 2.5)}
ONE_ROW_UP_TO = 6.0
"""Plies deeper than this (in) get at least two rows: one line of large bolts splits an old solid chord along it (ours, common practice)."""
SPACING_STEP, GREATEST_SPACING = 0.5, 7.0
PLATE_THICKNESSES = (0.25, 0.375, 0.5)
PLATE_WIDTHS = (3.0, 4.0, 5.0, 6.0, 7.0, 8.0)

BOLT_GRID, PLATE_GRID = Fraction(1, 16), Fraction(1, 4)
"""Shop grid of hole positions and of plate lengths (in)."""
HOLE_OVER_BOLT = 1 / 16
"""Hole in plate and wood alike, so that the plate can be the drilling template (DECISIONS 7)."""
CLEAR = 1.0
"""Clear distance (in) kept between new plates and whatever stands already (ours)."""
SHARE_OF_CHORD = 0.5
"""A splice develops at least this share of the intact ply's net allowable tension (DECISIONS 10: ours, common practice)."""

PLATE_GRADE = "ASTM A36"
F_Y, F_U = 36000.0, 58000.0
STEEL_BEARING = 87000.0
"""Dowel bearing of hot-rolled A36 plate: 1.5 F_u (NDS 2018 12.3.3 and table I1, seen in a worked example)."""
BOLT_GRADE, BOLT_YIELD = "ASTM A307", 45000.0
STEEL_WEIGHT, WOOD_WEIGHT = 490 / 1728, 35 / 1728
BLOCK_GRADE = "No.2"


@dataclass(frozen=True)
class Arrangement:
    """How the plies of a chord are held: ``faces`` in the words of standards.interface.SpliceLayouts; what it asks of the site."""

    key: str
    faces: str
    plates_per_ply: int
    every_ply_cut: bool
    single_ply: bool


ARRANGEMENTS = (
    Arrangement("plates on both faces of each ply", "two steel", 2, every_ply_cut=False, single_ply=False),
    Arrangement("plates on both faces of a single ply", "two steel", 2, every_ply_cut=True, single_ply=True),
    Arrangement("structural block between the plies", "steel and wood", 1, every_ply_cut=True, single_ply=False),
    Arrangement("outer plates, open gap filled", "one steel", 1, every_ply_cut=True, single_ply=False),
)
ORDERS = {
    "fewest bolts": ("bolts", "length", "weight"),
    "shortest": ("length", "bolts", "weight"),
    "lightest": ("weight", "bolts", "length"),
}
"""Orders of preference; the first is the default (DECISIONS 9)."""
