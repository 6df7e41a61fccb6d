"""What every repair is made with: the bolt that is ordered, its hole, the weight of timber. Inches, pounds, psi."""

from __future__ import annotations

from detailgen.assessment import sections
from detailgen.loads import cases

BOLT_GRADE, BOLT_YIELD = "ASTM A307", 45000.0
"""Bending yield of the bolt (psi; NDS 2018 table I1, from memory)."""
HOLE_OVER_BOLT = sections.HOLE_OVER_BOLT
"""Hole in plate and wood alike, so that the part that is drilled first can be the template for the others."""
WOOD_WEIGHT = cases.WOOD_WEIGHT
