"""What a new heel may be made of."""

from __future__ import annotations

from detailgen.core.units import MM

DIAMETERS = (0.625, 0.75, 0.875, 1.0)
"""Bolts are in inches in every project: the standard's values and the stock are."""
ROWS = (1, 2)
ONE_ROW_UP_TO = 6.0
"""Chords deeper than this (in) get two rows: one line of large bolts splits an old solid chord along it (ours, common practice)."""
PER_ROW = tuple(range(2, 13))
SPACINGS = (4.0, 5.0, 6.0)
"""Between bolts in a row, in diameters: the full value in wood (NDS 2018 table 12.5.1B), and more where rows tear out."""
END = 7.0
"""From the chord's end, or from what is not sound, to the first bolt, in diameters (NDS 2018 table 12.5.1A, full value in tension of softwood)."""
GREATEST_GAUGE = 5.0
"""Between two rows through one steel plate and wood at most (in; NDS 2018 12.5.1.3)."""
GAUGES = {"US": (3.0, 3.5, 4.0, 4.5, 5.0), "SI": tuple(v * MM for v in (75, 90, 100, 115, 125))}
SIDES = {"US": (0.375, 0.5, 0.625), "SI": tuple(v * MM for v in (10, 12, 15))}
"""Thicknesses of side plates and flanges (in): stocked ones, no thinner, as they stand on their edge (ours)."""
LEAST_SHOE = 12 * MM
"""The plate behind the end grain and the sole are no thinner (in; ours); they are of stocked plate."""
SHOE_COLUMNS = (1, 2, 3)
"""Columns of two bolts each that hold the shoe's flanges to the side plates."""
LEGS = {"US": (0.1875, 0.25, 0.3125, 0.375), "SI": tuple(v * MM for v in (5, 6, 8, 10))}
"""Legs of the fillets of the shoe (in)."""
ELECTRODE = "E70"
PLATE_STEEL, PLATE_FINISH = "ASTM A36", "hot-dip galvanized"
STEEL_BEARING = 87000.0
"""Dowel bearing of hot-rolled A36 plate, psi: 1.5 F_u (NDS 2018 12.3.3 and table I1, seen in a worked example)."""
SHORTER = 0.25
"""The plate is so much lower than the end grain is deep (in): it never bears on what stands beside (ours)."""
FRICTION = 0.2
"""What the top chord's shear at its end grain may be beside its thrust: less than wood slides on steel with (common practice, no published
source)."""
OVER_CHORD = 0.25
"""Clear between the shoe and the bottom chord's upper edge (in; ours)."""
EDGE = 1.5
"""From a bolt in steel to the edge of its plate, in diameters: over the least of AISC 360-16 table J3.4 for these sizes (ours)."""
SPACING = 3.0
"""Between bolts in steel, in diameters: what AISC 360-16 J3.3 prefers."""
GRIPS = 4.0
"""The side plates hold the top chord beside its end over this length (in; ours): it bears, and cannot step aside."""
FAR_EDGE, FARTHEST_EDGE = 12.0, 6.0
"""From the first bolts to the side plates' outer edge at most: twelve thicknesses, and inches (AISC 360-16 J3.5)."""
LEDGE = 0.5
"""The sole stands out so far beyond each side plate (in): room for the fillet that keeps them (ours)."""
KEEPING = 0.25
"""Leg of the fillets that keep the side plates on the sole (in; they carry nothing: the plates bear; ours)."""
KEEPING_LENGTH = 2.0
FROM_OLD = 3.0
"""From a new bolt to an old hole, in diameters (the mean of both), along or across (ours; after the least spacing in a row)."""
SOUND = {"decay": 24.0, "split": 6.0, "check": 6.0, "break": 6.0}
"""Bolts of the bottom chord stay this far from what was found (in; ours)."""
SOUND_END = {"decay": 12.0, "split": 6.0, "check": 0.0, "break": 6.0}
"""End grain that bears stays this far from what was found (in; ours): it is pressed, not pulled, and is looked at when it is cut."""
CUT_STEP, MOST_CUT = 0.5, 36.0
"""The top chord's end may be cut back in these steps, and so far, until the shoe goes in and the wood is sound (in; ours)."""
AIM = 0.97
"""A pattern of bolts is taken up to this much of what it carries (ours): what is full to the last is undone by the next assumption."""
BOLT_COUNTS = 17.0
"""What a bolt with its holes counts beside a pound of steel where heels are compared (ours, from the stated cost's weights)."""
SHOWN = 18.0
"""Timber that is drawn beyond the new steel (in)."""
