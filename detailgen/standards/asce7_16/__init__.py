"""ASCE 7-16: snow on roofs and combinations for allowable stress design."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from detailgen.standards.interface import CombinationRule, RoofCurve, RoofPressure, SnowSite


@dataclass(frozen=True)
class Asce716:
    """What the rest of the program may ask of this standard."""

    key: str = "asce7_16"
    name: str = "ASCE 7-16"

    def snow(self, roof: RoofCurve, site: SnowSite) -> Sequence[RoofPressure]:
        """Balanced first, then unbalanced with the left and with the right half loaded, where they are needed."""
        from detailgen.standards.asce7_16.roofs import roof_snow

        return roof_snow(roof, site)

    def combinations(self, kinds: Sequence[str]) -> Sequence[CombinationRule]:
        """The combinations in which these kinds of load take part."""
        from detailgen.standards.asce7_16.combinations import combinations

        return combinations(kinds)


STANDARD = Asce716()
