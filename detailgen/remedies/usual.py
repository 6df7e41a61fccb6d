"""What every repair is made with: the bolt that is ordered, its hole, the weight of timber. Inches, pounds, psi."""

from __future__ import annotations

from collections.abc import Sequence

from detailgen.assessment import sections
from detailgen.core.result import CheckResult
from detailgen.loads import cases
from detailgen.model.member import Wood
from detailgen.standards.interface import WoodStandard

BOLT_GRADE, BOLT_YIELD = "ASTM A307", 45000.0
"""Bending yield of the bolt (psi; NDS 2018 table I1, from memory)."""
HOLE_OVER_BOLT = sections.HOLE_OVER_BOLT
"""Hole in plate and wood alike, so that the part that is drilled first can be the template for the others."""
WOOD_WEIGHT = cases.WOOD_WEIGHT
NEW_GRADE = "No.2"
FILLER_BEYOND = 2.5
"""A filler block of a splice reaches this far (in) beyond its outer bolt columns: at least two diameters of the largest bolt (ours)."""
NUT, TIP = 0.9, 0.6
"""Height of a nut with its washer, and what its bolt stands out beyond it, at most, in diameters (ours; the survey says no more of old ones)."""
STEP = 1.0
"""Stocked bolts go by this length at most (in): so much farther may the tip of a new one stand out."""
WASHER = 1.35
"""Half of a washer or nut, in diameters (common practice, no published source)."""


def new_wood(standard: WoodStandard, old: Wood) -> Wood:
    """Dry sawn timber of an old member's species in the usual grade; the member's own where the standard does not hold that grade."""
    grades = standard.known_woods().get(f"sawn: {old.species}", ())
    if NEW_GRADE in grades:
        return Wood("sawn", old.species, NEW_GRADE)
    return Wood(old.product, old.species, old.grade, values=old.values, source=old.source)


def mode_of(bolts: Sequence[CheckResult]) -> str:
    """The way in which bolts yield, as the sheet of the first of their checks names it; empty where none does."""
    start = "Z, mode "
    return next((name.removeprefix(start) for r in bolts[:1] for name in r.calculation.named if name.startswith(start)), "")
