"""How far a replacement piece reaches into sound wood, and where its ends may be."""

from __future__ import annotations

SOUND = {"decay": 24.0, "split": 6.0, "check": 6.0, "break": 6.0}
"""From the end of what is damaged to the cut, at least (in): decay reaches farther along the grain than is seen (ours, common practice)."""
FARTHEST = 120.0
"""A cut farther than this from the damage (in) is not looked for (ours)."""
STEP = 3.0
"""Cuts are tried at every so many inches (ours)."""
LEAST_ROOM = 12.0
"""Beside a cut: with less (in) no splice is looked for (ours)."""
TRIES = 12
"""Places that are dimensioned at most at each end, the nearest first (ours)."""
AT_JOINT = 12.0
"""Length of the chord (in) about a joint that is kept free for the bolts that are put back (ours)."""
OVER = 0.25
"""Rough stock is ordered thicker and deeper than the surveyed ply by this (in), to be planed to it (ours)."""
STAGGER = 24.0
"""Between a cut and the new joints of other plies, at least (in): no section of the chord has two joints (ours)."""
COMBINATIONS = ("combination 2", "combination 5")
"""Glued laminated timber of one grade throughout, whose value does not hang on which lamination is planed off; the lower is tried first (ours)."""
APPEARANCE = "industrial"
