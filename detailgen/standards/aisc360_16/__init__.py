"""AISC 360-16, allowable strength design: steel plates in bolted timber splices, and steel parts around anchors."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from detailgen.core.result import CheckResult
from detailgen.standards.anchorage import Barrel, Bracket, FilletWeld, GrooveWeld, Overhang, PartLoad, SteelStrut
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

    def strut_checks(self, strut: SteelStrut, load: PartLoad) -> Sequence[CheckResult]:
        """One result per combination that compresses the strut; with an eccentricity a second one."""
        from detailgen.standards.aisc360_16.part_checks import strut_checks

        return strut_checks(strut, load)

    def weld_checks(self, weld: FilletWeld, load: PartLoad) -> Sequence[CheckResult]:
        """One result per combination."""
        from detailgen.standards.aisc360_16.part_checks import weld_checks

        return weld_checks(weld, load)

    def groove_checks(self, weld: GrooveWeld, load: PartLoad) -> Sequence[CheckResult]:
        """One result per combination; across the weld a pull and a push have limits of their own."""
        from detailgen.standards.aisc360_16.part_checks import groove_checks

        return groove_checks(weld, load)

    def overhang_checks(self, plate: Overhang, load: PartLoad) -> Sequence[CheckResult]:
        """One result per combination."""
        from detailgen.standards.aisc360_16.part_checks import overhang_checks

        return overhang_checks(plate, load)

    def barrel_checks(self, barrel: Barrel, load: PartLoad) -> Sequence[CheckResult]:
        """One result per combination."""
        from detailgen.standards.aisc360_16.part_checks import barrel_checks

        return barrel_checks(barrel, load)

    def bracket_checks(self, bracket: Bracket, load: PartLoad) -> Sequence[CheckResult]:
        """Shear, and where that passes tension with shear, per combination."""
        from detailgen.standards.aisc360_16.part_checks import bracket_checks

        return bracket_checks(bracket, load)


STANDARD = Aisc36016()
