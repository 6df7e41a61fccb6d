"""What a web's sister may be made of, and the rules of its pattern of bolts."""

from __future__ import annotations

from fractions import Fraction

from detailgen.stock.plates import shop_grid

DIAMETERS = (0.5, 0.625, 0.75)
"""Bolts are in inches in every project: the standard's values and the stock are."""
SIDES: dict[str, tuple[str, ...]] = {"one": ("near",), "both": ("far", "near")}

LEAST_THICKNESS = 1.5
"""Thinner stock is boards (in; ours)."""
CLEAR = 1.0
"""Clear distance (in) between a sister and the timbers and bolts that meet its web's end (ours)."""
BOLT_HEAD = 1.5
"""Room (in) that the head or washer of an existing bolt takes beyond its radius (ours)."""
LEAST_SHARE = 0.5
"""A sister shorter than this share of its web is refused: too much of the web stays bare (ours)."""

# The pattern follows what NDS 15.3.4 asks of bolted built-up columns (from memory), though the column is not counted as one: its sister stops short.
END = 7.0
"""From a sister's end to its first bolt, at least, in diameters: the full value in tension of softwood (NDS 2018 table 12.5.1A)."""
EDGE = 1.5
"""From a row to an edge, at least, in diameters (NDS 2018 table 12.5.1C, load along the grain)."""
SPACING = 4.0
"""Between bolts in a row, at least, in diameters (NDS 2018 table 12.5.1B, full value)."""
GAUGE = 1.5
"""Between rows, at least, in diameters (NDS 2018 table 12.5.1D, load along the grain); and never over five inches for timbers that shrink alike."""
GREATEST_SPACING = 6.0
"""Between bolts in a row, at most, in thicknesses of the thinnest timber (NDS 2018 15.3.4, from memory)."""
ONE_ROW_UP_TO = 3.0
"""Timbers deeper than this many thicknesses of the thinnest get two rows (NDS 2018 15.3.4, from memory)."""
BRACE_FORCE = 0.02
"""A brace line must hold this share of the force in each web that it braces (common practice, no published source here)."""
SOFTENED = 1 / 3
"""Share of the mean stiffness with which a bow grows under load, for the bolts alone: near E_min (ours)."""


def grids(system: str) -> tuple[Fraction, Fraction]:
    """Steps (in) of bolt spacing and of sister length, so that every hole of a centred pattern falls on the shop's grid."""
    made = shop_grid(system)
    return 2 * made.holes, 2 * made.plate_length
