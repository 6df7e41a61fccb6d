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
TRIES = 240
"""Patterns that are judged by the standard at most, the least work first (ours)."""


def step(system: str) -> Fraction:
    """Grid (in) on which bolts stand along and across the web."""
    return 4 * shop_grid(system).holes
