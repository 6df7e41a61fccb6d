"""What a brace line may be made of, and the rules of its blocks and bolts. Inches, pounds."""

from __future__ import annotations

from detailgen.stock.plates import dry_lumber

SHARE = 0.02
"""A line must hold at least this share of the compression in each member that it braces (common practice, no published source of our own; a rule
of the first years of the twentieth century for the lacing of steel columns)."""
STOCKY = 11.0
"""Up to this length over width a column hardly buckles, and no line is thought of (ours; the border of short columns in older rules for timber)."""
MOST_LINES = 3
"""Between two brace points of a chord; a web has one, at its middle (ours)."""
DIAMETERS = (0.5, 0.625, 0.75)
"""Bolts are in inches in every project: the standard's values and the stock are."""
PER_GROUP = (2, 3, 4)
"""Bolts on each side of a joint of the line."""
END = 7.0
"""From the end of a timber to its first bolt, at least, in diameters: the full value in tension of softwood (NDS 2018 table 12.5.1A)."""
SPACING = 4.0
"""Between bolts in a row, at least, in diameters (NDS 2018 table 12.5.1B, full value)."""
EDGE = 1.5
"""From a row to an edge, at least, in diameters (NDS 2018 table 12.5.1C, load along the grain)."""
CLEAR = 1.0
"""Clear distance between a line's timbers and what stands beside them in the truss (ours)."""
OVER = 1.5
"""Room over the timber for heads and washers (ours)."""
NAIL, NAILS_PER_BLOCK = "16d common", 2
"""Nails driven aslant through each block at the member hold the line where it is laid (common practice)."""
ANCHOR_SHARE = 0.5
"""Of the give that the brace's stiffness allows, the line may use this much: the rest is left to its anchor (ours)."""
WOOD_ON_WOOD = 0.5
"""Slip modulus of bolts between wood and wood as a share of that between wood and steel: two thirds by NDS 2018 11.3.6, half by EN 1995 7.1; the less
counts."""


LEAST_HEIGHT, GREATEST_WIDTH = 1.5, 7.25
"""Timbers are no less high off the member, and no wider along it (in): boards split at their bolts, and wider ones cup (ours)."""


def timbers() -> list[tuple[float, float]]:
    """Height off the member and width along it (in) of the stocked timbers that may be laid, the least first."""
    thick, deep = dry_lumber()
    found = {(t, d) for t in thick if t >= LEAST_HEIGHT for d in deep if t <= d <= GREATEST_WIDTH}
    return sorted(found, key=lambda s: (s[0] * s[1], s))
