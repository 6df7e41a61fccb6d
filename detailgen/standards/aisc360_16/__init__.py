"""AISC 360-16, allowable strength design or load and resistance factors: steel plates in bolted timber splices; steel parts around anchors (ASD)."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar

from detailgen.core.result import CheckResult
from detailgen.standards.anchorage import (
    Barrel,
    Bracket,
    Contact,
    FilletWeld,
    GrooveWeld,
    Overhang,
    PartLoad,
    PulledPlate,
    RibbedPlate,
    Rod,
    SteelStrut,
)  # fmt: skip
from detailgen.standards.interface import ALLOWABLE_STRESS, METHODS, Floats, PlateLayouts, PlateRequest, PlateValues

if TYPE_CHECKING:
    from detailgen.core.clause import Calculation

Part = TypeVar("Part")


@dataclass(frozen=True)
class Aisc36016:
    """What the rest of the program may ask of this standard."""

    key: str = "aisc360_16"
    method: str = ALLOWABLE_STRESS
    methods: tuple[str, ...] = METHODS

    @property
    def name(self) -> str:
        return f"AISC 360-16 ({'ASD' if self.method == ALLOWABLE_STRESS else 'LRFD'})"

    def plate_values(self, layouts: PlateLayouts) -> PlateValues:
        """Capacities, least and greatest distances of many plates."""
        from detailgen.standards.aisc360_16.plates import plate_values

        return plate_values(layouts, self.method)

    def plate_checks(self, request: PlateRequest) -> Sequence[CheckResult]:
        """One result per check and combination; 'cannot be checked' where the bolts stand in no rectangular pattern."""
        from detailgen.standards.aisc360_16.checks import plate_checks

        return plate_checks(request, self.method)

    def point_brace(self, sheet: Calculation, compression: Floats, length: float, bow: float) -> tuple[Floats, Floats]:
        """Strength (lb) and stiffness (lb/in) that a brace of a column needs, per compression (lb)."""
        from detailgen.standards.aisc360_16.bracing import point_brace

        return point_brace(sheet, compression, length, bow, self.method)

    def _service(self, checks: Callable[[Part, PartLoad], list[CheckResult]], part: Part, load: PartLoad) -> Sequence[CheckResult]:
        """Checks of a part around an anchor, which are worked out for loads in service only: refused for factored loads."""
        if self.method == ALLOWABLE_STRESS:
            return checks(part, load)
        from detailgen.core.clause import Cite
        from detailgen.core.result import cannot_be_checked
        from detailgen.standards.aisc360_16.strength import DOCUMENT

        why = "parts around an anchor are checked by allowable strength only; set 'method: allowable stress'"
        return [cannot_be_checked(load.where, "steel part", why, Cite(DOCUMENT, "B3.1"), stage=load.stage)]

    def strut_checks(self, strut: SteelStrut, load: PartLoad) -> Sequence[CheckResult]:
        """One result per combination that compresses the strut; with an eccentricity a second one."""
        from detailgen.standards.aisc360_16.part_checks import strut_checks

        return self._service(strut_checks, strut, load)

    def weld_checks(self, weld: FilletWeld, load: PartLoad) -> Sequence[CheckResult]:
        """One result per combination."""
        from detailgen.standards.aisc360_16.part_checks import weld_checks

        return self._service(weld_checks, weld, load)

    def groove_checks(self, weld: GrooveWeld, load: PartLoad) -> Sequence[CheckResult]:
        """One result per combination; across the weld a pull and a push have limits of their own."""
        from detailgen.standards.aisc360_16.part_checks import groove_checks

        return self._service(groove_checks, weld, load)

    def overhang_checks(self, plate: Overhang, load: PartLoad) -> Sequence[CheckResult]:
        """One result per combination."""
        from detailgen.standards.aisc360_16.part_checks import overhang_checks

        return self._service(overhang_checks, plate, load)

    def pulled_checks(self, plate: PulledPlate, load: PartLoad) -> Sequence[CheckResult]:
        """Yielding of the whole section and rupture beside the slot, per combination."""
        from detailgen.standards.aisc360_16.part_checks import pulled_checks

        return self._service(pulled_checks, plate, load)

    def ribbed_checks(self, plate: RibbedPlate, load: PartLoad) -> Sequence[CheckResult]:
        """Bending of plate and ribs, and shear of the ribs, per combination."""
        from detailgen.standards.aisc360_16.part_checks import ribbed_checks

        return self._service(ribbed_checks, plate, load)

    def seam(self, plate: RibbedPlate) -> float:
        """What the welds of the ribs bring over along the overhang, per pound at its tip."""
        from detailgen.core.clause import Calculation
        from detailgen.standards.aisc360_16.plate_bending import ribbed_seam

        return ribbed_seam(plate, Calculation())

    def barrel_checks(self, barrel: Barrel, load: PartLoad) -> Sequence[CheckResult]:
        """One result per combination."""
        from detailgen.standards.aisc360_16.part_checks import barrel_checks

        return self._service(barrel_checks, barrel, load)

    def contact_checks(self, contact: Contact, load: PartLoad) -> Sequence[CheckResult]:
        """One result per combination."""
        from detailgen.standards.aisc360_16.part_checks import contact_checks

        return self._service(contact_checks, contact, load)

    def bracket_checks(self, bracket: Bracket, load: PartLoad) -> Sequence[CheckResult]:
        """Shear, and where that passes tension with shear, per combination."""
        from detailgen.standards.aisc360_16.part_checks import bracket_checks

        return self._service(bracket_checks, bracket, load)

    def rod_checks(self, rod: Rod, load: PartLoad) -> Sequence[CheckResult]:
        """One result per combination that pulls the rod."""
        from detailgen.standards.aisc360_16.part_checks import rod_checks

        return self._service(rod_checks, rod, load)


STANDARD = Aisc36016()
