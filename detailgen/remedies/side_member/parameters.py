"""What side members may be made of, and the rules of their pattern of bolts."""

from __future__ import annotations

from fractions import Fraction

from detailgen.stock.plates import shop_grid

DIAMETERS = (0.5, 0.625, 0.75)
"""Bolts are in inches in every project: the standard's values and the stock are."""
SIDES: dict[str, tuple[str, ...]] = {"both": ("far", "near"), "one": ("near",)}
"""On one face only where the engineer asks for it, and the chord is one ply: a bolt through a second ply would hang that on nothing; and the force
that it takes pulls the chord off its axis."""
LEAST_THICKNESS = 1.5
NEW_GRADE = "No.1"

CLEAR = 1.0
"""Clear distance (in) between new timbers and what stands at a panel point (ours)."""
BOLT_HEAD = 1.5
"""Room (in) that the head or washer of an old bolt takes beyond its radius (ours)."""
LEAST_LENGTH = 40.0
"""Shorter side members (in) are not worth their bolts (ours)."""
LEAST_DEPTH = 0.5
"""A side member is at least this part of the chord's depth, or it is refused: its bolts would stand too near to its edges (ours)."""
SLOPE_OF_GRAIN = 1 / 12
"""A curve sawn out of straight timber runs off its grain by at most this at its ends (ours; grading rules for Select Structural joists and planks
allow as much, from memory). The piece is graded after it is sawn."""

END = {"top chord": 4.0, "bottom chord": 7.0}
"""From a side member's end to its first bolt, at least, in diameters: the full value in compression and across the grain, and in tension of
softwood (NDS 2018 table 12.5.1A)."""
EDGE = 4.0
"""From a bolt to an edge, at least, in diameters: the loaded edge, as the chord bends both ways (NDS 2018 table 12.5.1C)."""
SPACING = 5.0
"""Between columns of bolts, at least, in diameters: between rows of bolts loaded across the grain, whatever their slenderness (12.5.1D)."""
GAUGE = 4.0
"""Between the two rows, at least, in diameters: in a row, full value (NDS 2018 table 12.5.1B); never over five inches (12.5.1.3)."""
GREATEST_GAUGE = 5.0
GREATEST_SPACING = 6.0
"""Between columns, at most, in thicknesses of the thinnest timber (NDS 2018 15.3.4, from memory)."""
ONE_ROW_UP_TO = 3.0
"""Timbers deeper than this many thicknesses of the thinnest get two rows (NDS 2018 15.3.4, from memory)."""
LEAST_AT_END = 2
"""Columns of bolts at each end that bring force into a side member and take it out again; those between hand over the load on their way (ours)."""
SOFT = 2 / 3
"""Part of the slip modulus that counts across the chord where the side member takes least (EN 1995-1-1 2.2.2(2): K_u; from memory)."""
PLAY = 2.0
"""The middle is pressed by this many times the play of a bolt in its hole before it is drilled: its own play and that of the end bolts (ours)."""
MOST_HELD = 8
"""Columns of bolts at each end of a timber that is pulled, at most (ours): more would be as long as half of a panel."""
STITCH = 24.0
"""Greatest distance (in) between columns that hold a pulled timber to its chord, but where webs stand in the gap (ours)."""
SHIFT = 2.0
"""Between the holes of its two ends a timber is moved along the chord by this many times the play of a bolt, so that the bolts of both ends bear as
soon as they are in (ours)."""
PLAY_LEFT = 1 / 64
"""What gauge and drill leave of the play of both ends together, all the same (in; ours). Bolts are not forced: NDS 2018 12.1.3.2, from memory."""
FARTHER = (0.0, 24.0, 48.0, 72.0, 96.0, 144.0)
"""How far beyond the length that is pulled too much the ends of a timber are tried (in; ours): a longer one gives its bolts more to pull on."""
LIFTS = 3
"""Sets of joints to jack at that are tried, the fewest first (ours)."""
PARTS = (0.5, 0.75, 1.0)
"""Parts of the dead load's pull that each set is asked to lift off, the lesser first: jacks press on webs that were made to be pulled (ours)."""
TRIES = 8
"""Timbers that are solved for at most, those first that should be enough (ours)."""
NEARLY = 0.02
"""One that is foreseen to leave the chord over its limit by no more is still solved for (ours)."""


def grids(system: str) -> tuple[Fraction, Fraction]:
    """Steps (in) of bolts and of length, so that every hole of a centred pattern falls on the shop's grid."""
    made = shop_grid(system)
    return 2 * made.holes, 2 * made.plate_length
