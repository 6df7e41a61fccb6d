"""NDS 2018 by allowable stress or by strength (load and resistance factor design): wood members and bolted connections."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from detailgen.core.clause import Cite
from detailgen.core.result import CheckResult
from detailgen.standards.interface import (
    ALLOWABLE_STRESS,
    METHODS,
    AcrossRequest,
    BearingRequest,
    ConnectionRequest,
    MemberRequest,
    SpliceLayouts,
    SpliceValues,
    Stiffness,
    ToeNailRequest,
    WoodGrade,
)

if TYPE_CHECKING:
    from detailgen.standards.nds_2018.method import Method


@dataclass(frozen=True)
class Nds2018:
    """What the rest of the program may ask of this standard."""

    key: str = "nds_2018"
    method: str = ALLOWABLE_STRESS
    methods: tuple[str, ...] = METHODS

    @property
    def name(self) -> str:
        return "NDS 2018" if self.method == ALLOWABLE_STRESS else "NDS 2018 (LRFD)"

    @cached_property
    def _by(self) -> Method:
        from detailgen.standards.nds_2018.method import method

        return method(self.method)

    def stiffness(self, wood: WoodGrade, thickness: float, depth: float) -> Stiffness:
        """E (psi) for the analysis and specific gravity. Raises NotCovered for a wood that the tables do not hold."""
        from detailgen.standards.nds_2018.reference import stiffness

        return stiffness(wood, thickness, depth)

    def known_woods(self) -> Mapping[str, tuple[str, ...]]:
        """Grades by ``product: species``."""
        from detailgen.standards.nds_2018.reference import known_woods

        return known_woods()

    def member_checks(self, requests: Sequence[MemberRequest]) -> Sequence[Sequence[CheckResult]]:
        """Of each request one result per check and combination (its worst station)."""
        from detailgen.standards.nds_2018.checks import member_checks

        return member_checks(requests, self._by)

    def connection_checks(self, request: ConnectionRequest) -> Sequence[CheckResult]:
        """One result per check and combination; 'cannot be checked' where the arrangement is not covered."""
        from detailgen.standards.nds_2018.connections import connection_checks
        from detailgen.standards.nds_2018.reference import wood_values

        return connection_checks(request, wood_values, self._by)

    def bearing_checks(self, request: BearingRequest) -> Sequence[CheckResult]:
        """One result per combination that pushes."""
        from detailgen.standards.nds_2018.bearing import bearing_checks

        return bearing_checks(request, self._by)

    def across_checks(self, request: AcrossRequest) -> Sequence[CheckResult]:
        """One result per combination, of compression across the grain."""
        from detailgen.standards.nds_2018.across import across_checks

        return across_checks(request, self._by)

    def toe_nail_checks(self, request: ToeNailRequest) -> Sequence[CheckResult]:
        """One result per combination, of the nails' lateral value."""
        from detailgen.standards.nds_2018.toe_nails import toe_nail_checks

        return toe_nail_checks(request, self._by)

    def creep(self, wood: WoodGrade) -> tuple[float, Cite]:
        """K_cr - 1 of 3.5.2."""
        from detailgen.standards.nds_2018.member_factors import creep

        return creep(wood)

    def one_section(self) -> float:
        """Diameters along the grain within which staggered holes count together (3.1.2.2)."""
        from detailgen.standards.nds_2018.member_factors import one_section

        return one_section()

    def greatest_slenderness(self) -> tuple[float, Cite]:
        """l_e/d of a solid column in service (3.7.1.4)."""
        from detailgen.standards.nds_2018.columns import IN_SERVICE, slenderness_limit

        return slenderness_limit(IN_SERVICE)

    def splice_values(self, layouts: SpliceLayouts) -> SpliceValues:
        """Capacities and least distances of many splice layouts."""
        from detailgen.standards.nds_2018.splices import splice_values

        return splice_values(layouts, self._by)

    def slip_modulus(self, diameter: float, wood: WoodGrade | None = None, *, steel: bool = True) -> float:
        """Load per slip (lb/in) of one bolt between wood and steel, or wood and wood: gamma of 11.3.6, whatever the wood is."""
        from detailgen.standards.nds_2018.splices import slip_modulus

        return float(slip_modulus(diameter, steel=steel))


STANDARD = Nds2018()
