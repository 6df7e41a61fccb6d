"""Sizes of what goes with a strand, clearances and house rules. Inches, pounds.

Anchors, sheaths and jacks are bought: their sizes here are common practice, no published source, and every sheet says that the supplier's decide.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from detailgen.core.clause import Cite
from detailgen.core.units import KN, MM, UnitSystem

OURS = Cite("house rule", "post-tensioning")
PRACTICE = Cite("common practice", "no published source")


@dataclass(frozen=True)
class Anchor:
    """A barrel with its wedges: outside diameter and length; of the strand's sheath the outside diameter; hole in the plate under the barrel."""

    size: str
    barrel: float
    length: float
    sheath: float
    hole: float


ANCHORS = {
    "1/2 in.": Anchor("1/2 in.", 1.75, 2.0, 0.65, 11 / 16),
    "0.6 in.": Anchor("0.6 in.", 2.125, 2.25, 0.75, 13 / 16),
}


def size_words(size: str, units: UnitSystem) -> str:
    """The size of a strand as a project's units name it: by its inches, or by its diameter in millimetres."""
    return size if units.name == "US" else f"{float(Fraction(size.removesuffix(' in.'))) * units.length:.1f} mm"


TAKEN_AS_GOOD = 24000.0
"""One wedge anchor on a half-inch strand is taken as good for about this force (common practice, no published source); shown beside ours."""
RUN = "greased and sheathed"

MOST_PAIRS = 3
APART = 3.0
"""Between anchors over one another, at least (ours): a barrel and a hand's breadth for the wedges; two jacks do not stand there together."""
CLEAR = 0.5
"""Between a sheath and anything that it passes (ours)."""
NEAR_AXIS = 0.5
"""Strands may stand this much farther off the faces for a height that helps the bending more (ours)."""
EDGE = 1.5
"""From a strand's centre to the chord's upper and lower edge, at least: the barrel stays on the plate (ours)."""
HEIGHT_STEP = 1.0

SLOT_GRID = {"US": Fraction(1, 16), "SI": Fraction(10, 254)}
SLOT_PLAY, SLOT_EDGE, SLOT_SHOWN = 1.0, 1.0, 6.0
"""A slot is so much longer than wide, so that the strand can be set; at least so much of the part stays beside it, over and under it (ours). Length
of chord that its drawing shows on either side (in)."""

PAD = {"US": 3 / 8, "SI": 10 * MM}
"""Steel between end grain and end plate, so that the plate clears the shoe's edges and presses on the plies alone (ours)."""
PLATE_STEEL, PLATE_FINISH = "ASTM A36", "hot-dip galvanized"
PLATE_OVER = 0.5
"""An end plate reaches this far past its barrels (ours)."""
SPARE_TAIL = 6.0
"""Strand beyond the jack's grip (ours)."""
TAIL_LEFT = 12.0
"""Tail that stays beyond the anchor under a cap, long enough to grip for a later lift-off (ours; the jack's chart decides)."""
FIXED_TAIL = 2.0
HAND = 6.0
"""Room beyond the jack and its tail for whoever reads the gauge from the side (ours)."""

GUIDE_BOLT = 0.5
GUIDE_BAR, GUIDE_WIDTH = {"US": 0.25, "SI": 6 * MM}, {"US": 2.0, "SI": 50 * MM}
GREATEST_ROWS, FAR_BOLTS = 5.0, 24.0
"""Bolts over and under strands through one bar with round holes: so far apart at most (in; NDS 2018 12.5.1.3), else the bar has slots for the upper
one; and so many thicknesses of the bar (AISC 360-16 J3.5)."""
GUIDE_SLOT, OVER_SLOT = 1 / 4, 1.25
"""A slot is so much longer than its hole: more than dry wood moves over a foot across its grain (ours). From its middle to the bar's end (in; over
AISC 360-16 J3.4 with the increment of table J3.5 for half-inch bolts)."""
DRAG = 0.002 / 12
"""Of a strand's force an inch of sheath takes off so much while it is pulled (the wobble of ACI 318, from memory, at its upper end): that is all that
pulls at a guide."""
GUIDE_PLAY = 1 / 16
"""Between a sheath and the guide's bar (ours): it holds the strand to the chord and catches it if it breaks."""
GUIDE_BLOCK = 6.0
"""Length of a guide's blocks along the chord and the grain (in): six bolt diameters to either end; they carry nothing (ours)."""
STEP = {"US": 250.0, "SI": KN}
"""Jacking forces are whole multiples of this (lb); a gauge shows no less."""
HEAVY = {"US": (1.25, 1.5, 1.75, 2.0), "SI": tuple(t * MM for t in (30, 40, 50))}
"""Thicker plate than the stock list holds (in), to order (common practice, no published source)."""
LEAST_PLATE = 25 * MM
"""End plates and heads are no thinner (in; ours): with the force that wedges ask for and the clearance beside the chord none holds."""
PAD_LESS, PAD_SHORTER = 1 / 8, 1 / 4
"""A pad is so much narrower than its ply and so much lower (in): it never bears on what stands beside (ours)."""

END_PLATE, RIBS = "end plate", "ribs"
"""Item of a truss's overrides, and its value, for a plate with ribs where a plain one would do: lighter to lift behind a heel."""
RIB_PLATES = {"US": (1.0, 1.25, 1.5), "SI": tuple(t * MM for t in (25, 30, 40))}
RIB_THICKNESS = {"US": (1 / 2, 3 / 4, 1.0), "SI": tuple(t * MM for t in (12, 20, 25))}
RIB_DEPTH = {"US": (2.0, 2.5, 3.0, 4.0, 5.0), "SI": tuple(t * MM for t in (50, 60, 80, 100, 120))}
"""Plates that get ribs, and flat bars for these (in; usual sizes, from memory)."""
RIB_WELDS = {"US": (1 / 4, 5 / 16, 3 / 8, 1 / 2), "SI": tuple(t * MM for t in (6, 8, 10, 12))}
RIB_ELECTRODE = "E70"
RIB_CLEAR = 3 / 8
"""Between a barrel and the toe of a rib's weld, at least (ours)."""
NOSE = 3.0
"""Diameter of the jack's nose, which reaches the barrel between ribs that stand out beyond it (common practice, no published source)."""
NOSE_PLAY = 1 / 4
"""Between nose and rib (ours)."""
OFF = {"US": Fraction(1, 8), "SI": Fraction(10, 254)}
"""Strands stand off the truss's plane by whole multiples of this: 1/8 in. or 1 mm."""
ONE_SIDED = 0.5
"""Share of its own force with which the first strand of a pair is pulled before its partner is pulled whole (ours)."""
STEPS = (0.1, 0.5, 1.0)
"""Shares of the jacking force at which work stops for measuring: slack is out, half way, full (common practice)."""

ANCHORED_AT = "strand anchorage"
"""Item of a truss's overrides: which of these is wanted."""
END_PLATES, BRACKET, CORED, BOLTED = "end plates", "bracket", "cored wall", "bolted bracket"


@dataclass(frozen=True)
class TieSize:
    """A threaded rod: diameter; its hardened washer: outside diameter and thickness; height of its heavy nut; hole (from memory: ASTM F436, A563)."""

    diameter: float
    washer: float
    washer_thickness: float
    nut: float
    hole: float

    @property
    def area(self) -> float:
        return math.pi * self.diameter**2 / 4

    @property
    def stack(self) -> float:
        """Washer and nut (in)."""
        return self.washer_thickness + self.nut

    @property
    def past(self) -> float:
        """Thread beyond the nut (in): a second nut that locks it, and a quarter of an inch (ours)."""
        return self.nut + 0.25


TIES = tuple(
    TieSize(d, washer, 5 / 32, d, hole)
    for d, washer, hole in ((3 / 4, 1.46875, 13 / 16), (7 / 8, 1.75, 15 / 16), (1.0, 2.0, 1.125), (1.25, 2.5, 1.375))
)
TIE_KIND, TIE_STEEL = "F1554 Grade 55, threaded rod", "ASTM F1554 Grade 55, threaded over its length, hot-dip galvanized"
TIE_NUT = "ASTM A563 heavy hex nut, tapped oversize, with ASTM F436 washer"
FINGERS = 1.5
"""Room behind a tie's end for the fingers that hold its nut (ours)."""
JACK_PLAY = 0.25
"""Between the jack and a tie beside it (ours)."""
BRACKET_STEP, FARTHEST = {"US": 3.0, "SI": 75 * MM}, 120.0
"""Brackets are tried so far apart, up to so far from the chord's end (in, ours): rods are stocked 12 ft long."""
WHOLE = {"US": Fraction(1), "SI": Fraction(250, 254)}
"""A bracket stands so many whole steps from the chord's end: 1 in. or 25 mm."""
BASE = {"US": 3 / 8, "SI": 10 * MM}
"""Thickness of the base that holds a bracket's head to the chord (ours)."""
HELD = 0.05
"""Share of the jacking force in one strand that the base must hold in any direction (ours): it keeps the head in line, the ties carry the force."""
BASE_BOLTS, BASE_END = {"US": 5.0, "SI": 125 * MM}, 1.5
"""Between the base's two columns of bolts; from a slot's end to the head's face or the base's end (in, ours)."""
WELD = {"US": 1 / 4, "SI": 6 * MM}
"""Fillets on both faces of a head along its base (in, ours)."""
ELECTRODE = "E70"
CORE_OVER = 1.0
"""A core is so much wider than what goes into it (in, ours)."""
