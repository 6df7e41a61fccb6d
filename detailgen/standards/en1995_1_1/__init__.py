"""EN 1995-1-1 with amendment A1, partial factors: wood members and bolted connections. Newton and millimetre within, converted in ``edge``."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from detailgen.core.clause import Cite
from detailgen.core.result import CheckResult
from detailgen.standards.interface import (
    PARTIAL_FACTORS,
    AcrossRequest,
    BearingRequest,
    ConnectionRequest,
    MemberRequest,
    SpliceLayouts,
    SpliceValues,
    Stiffness,
    WoodGrade,
)


@dataclass(frozen=True)
class En199511:
    """What the rest of the program may ask of this standard."""

    key: str = "en1995_1_1"
    name: str = "EN 1995-1-1 (partial factors)"
    method: str = PARTIAL_FACTORS

    def stiffness(self, wood: WoodGrade, thickness: float, depth: float) -> Stiffness:
        """E_0,mean (psi) for the analysis; the size of the section does not matter here."""
        from detailgen.standards.en1995_1_1.reference import stiffness

        return stiffness(wood)

    def known_woods(self) -> Mapping[str, tuple[str, ...]]:
        """Strength classes by ``product: kind of wood``."""
        from detailgen.standards.en1995_1_1.reference import known_woods

        return known_woods()

    def member_checks(self, requests: Sequence[MemberRequest]) -> Sequence[Sequence[CheckResult]]:
        """Of each request one result per check and combination (its worst station). Forces are design values of the combination."""
        from detailgen.standards.en1995_1_1.checks import member_checks

        return [member_checks(request) for request in requests]

    def connection_checks(self, request: ConnectionRequest) -> Sequence[CheckResult]:
        """One result per check and combination; 'cannot be checked' where the arrangement is not covered."""
        from detailgen.standards.en1995_1_1.connections import connection_checks

        return connection_checks(request)

    def bearing_checks(self, request: BearingRequest) -> Sequence[CheckResult]:
        """One result per combination that pushes."""
        from detailgen.standards.en1995_1_1.checks import bearing_checks

        return bearing_checks(request)

    def across_checks(self, request: AcrossRequest) -> Sequence[CheckResult]:
        """One result per combination, of compression across the grain."""
        from detailgen.standards.en1995_1_1.across import across_checks

        return across_checks(request)

    def creep(self, wood: WoodGrade) -> tuple[float, Cite]:
        """k_def of 3.1.4; a dry wood counts as service class 2."""
        from detailgen.standards.en1995_1_1.across import creep

        return creep(wood)

    def one_section(self) -> float:
        """Twice half the least spacing along the grain (5.2)."""
        from detailgen.standards.en1995_1_1.sections import one_section

        return one_section()

    def greatest_slenderness(self) -> tuple[float, Cite]:
        """No limit is set: buckling (6.3.2) decides."""
        return math.inf, Cite("EN 1995-1-1", "6.3.2")

    def splice_values(self, layouts: SpliceLayouts) -> SpliceValues:
        """Design resistances and least distances of many splice layouts."""
        from detailgen.standards.en1995_1_1.splices import splice_values

        return splice_values(layouts)

    def slip_modulus(self, diameter: float, wood: WoodGrade | None = None, *, steel: bool = True) -> float:
        """K_ser (lb/in) of one bolt of a diameter (in), from the mean density of the wood, whatever it is bolted to. Raises NotCovered without a
        wood."""
        from detailgen.standards.en1995_1_1.splices import slip_modulus

        return slip_modulus(diameter, wood)


STANDARD = En199511()
