"""AISC 360-16, allowable strength design: steel plates in bolted timber splices."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from detailgen.core.result import CheckResult
from detailgen.standards.interface import PlateLayouts, PlateRequest, PlateValues


@dataclass(frozen=True)
class Aisc36016:
    """What the rest of the program may ask of this standard."""

    key: str = "aisc360_16"
    name: str = "AISC 360-16 (ASD)"

    def plate_values(self, layouts: PlateLayouts) -> PlateValues:
        """Capacities, least and greatest distances of many plates."""
        from detailgen.standards.aisc360_16.plates import plate_values

        return plate_values(layouts)

    def plate_checks(self, request: PlateRequest) -> Sequence[CheckResult]:
        """One result per check and combination; 'cannot be checked' where the bolts stand in no rectangular pattern."""
        from detailgen.standards.aisc360_16.checks import plate_checks

        return plate_checks(request)


STANDARD = Aisc36016()
