"""What a web's new end may be made of, and how its bolts are set out."""

from __future__ import annotations

from fractions import Fraction

from detailgen.stock.plates import shop_grid

DIAMETERS = (0.5, 0.625, 0.75, 0.875, 1.0)
"""Bolts are in inches in every project: the standard's values and the stock are."""
ROWS = (1, 2)
PER_ROW = (1, 2, 3, 4)
LEAST_BOLTS, MOST_BOLTS = 2, 8

# Aims, in diameters: with them a pattern is moved to its best place in the lap. Whether it is good enough the wood standard says.
END = 7.0
"""From a loaded end to the first bolt (NDS 2018 table 12.5.1A, full value in tension of softwood)."""
LOADED_EDGE = 4.0
"""From a bolt to a chord's edge, either one: the force may turn round (NDS 2018 table 12.5.1C, loaded edge)."""
EDGE = 1.5
"""From a bolt to an edge along which it pulls, at least (NDS 2018 table 12.5.1C)."""
SPACINGS = (3.0, 4.0)
"""Between bolts in a row: the least, and the full value (NDS 2018 table 12.5.1B)."""
GAUGES = (3.0, 4.0, 5.0)
"""Between two rows, besides the widest that the web's edges allow; the rows of a web lie at an angle in the chord (ours)."""
GREATEST_GAUGE = 5.0
"""Between two rows at most (in): the chord's grain runs across the web and holds them, as one splice plate would (ours, after NDS 2018 12.5.1.3)."""
FROM_OLD = 3.0
"""From a new bolt to an old one, in diameters (the mean of both), along x or along y (ours; after the least spacing in a row)."""
LARGER = 0.125
"""A bolt in an old one's hole is thicker by this (in) at least: the hole is drilled out, so that none of its worn edge is left (ours)."""
DRILL = 1.5
"""Room round a drill in line with a new hole (in; common practice, no published source)."""
OLD_HEAD = 0.9
"""Half the width of an old bolt's head over its corners, in diameters (regular square and hexagon heads; common practice)."""
OLD_WASHER = 2.75
"""Outside diameter of an old bolt's washer, in diameters, where its size is not stocked (common practice, no published source)."""
REACH = 18.0
"""Timber that is drawn beyond the outermost bolt (in)."""
HUNG = "shear at connections"
"""As the wood standard calls the shear that a chord carries past the bolts that hang load on it: bolts nearer to its far edge leave it more depth."""
TRIES = 240
"""Patterns that are judged by the standard at most, the least work first (ours)."""


def step(system: str) -> Fraction:
    """Grid (in) on which bolts stand along and across the web."""
    return 4 * shop_grid(system).holes


# Covers on both faces: steel gussets, or timbers that extend the web past its short end.

BLOCKS = "bearing blocks"
"""Pads on the web that stand on the chord: the way for a web that is pushed more than it is pulled."""
SQUARE = 0.05
"""Cosine of the angle between web and chord up to which blocks stand square (ours): a slanting web would slide."""
COVERS = {"gussets": "steel", "extended end": "wood"}
"""Ways of bringing a web's force past its lap, by name, and what they are made of."""
COVER_ROWS, COVER_PER_ROW = (1, 2), (2, 3, 4)
"""Bolts of a cover, and of a pad under it, along the web."""
CHORD_ROWS, CHORD_PER_ROW = (1, 2), (2, 3)
"""Bolts of a cover through the chord: rows along the web, bolts in each; two rows where they stand beside the web's tail."""
BLOCK_REACH = 2.0
"""A block reaches so far (in) beyond its bolts, at least: a shorter one splits when it is drilled (ours)."""
COVER_SPACING = 4.0
"""Between bolts in a row, in diameters (full value, NDS 2018 table 12.5.1B)."""
COVER_EDGE = 2.0
"""From a bolt to an edge of pad, block or cover beside it, in diameters, at least (ours: more than NDS 2018 table 12.5.1C asks)."""
PLATE_EDGE = 1.75
"""From a bolt to a gusset's end and side, in diameters, at least 1-1/4 in. (ours: more than AISC 360-16 table J3.4 asks)."""
LEAST_PLATE_EDGE = 1.25
GUSSETS = {"US": (0.25, 0.375, 0.5), "SI": (6 / 25.4, 10 / 25.4, 12 / 25.4)}
"""Thicknesses of gussets (in)."""
TIMBERS = (1.5, 2.5, 3.5)
"""Thicknesses of timber covers: dry stocked lumber (in)."""
CLEAR_OF_CHORD = 0.5
"""Between a pad and the chord: wood shrinks, and a pad that rested there would carry (in; ours)."""
FLUSH = 1 / 8
"""Faces closer than this (in) are flush (as timbers that touch)."""
LEAST_PAD = 1.0
"""A thinner filler (in) splits at its bolts and is offered neither as a pad nor as packing (ours)."""
PAD_GRADE = "No.2"
GREATEST_ROWS = 5.0
"""Outer rows across the grain under one cover at most this far apart (in; NDS 2018 12.5.1.3)."""
PLATE_GRADE, STEEL_BEARING = "ASTM A36", 87000.0
"""Dowel bearing of hot-rolled A36 plate: 1.5 F_u (NDS 2018 12.3.3 and table I1, seen in a worked example)."""
BRACKET_BOLT = "A307"
"""The bolts by their name in the table of the steel standard."""
