"""ASCE 7-16: snow on roofs, roof live load, combinations for allowable stress and for strength design."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from detailgen.core.clause import Calculation, Cite
from detailgen.standards.interface import METHODS, CombinationRule, RoofCurve, RoofLive, RoofPressure, SnowSite


@dataclass(frozen=True)
class Asce716:
    """What the rest of the program may ask of this standard."""

    key: str = "asce7_16"
    name: str = "ASCE 7-16"

    def snow(self, roof: RoofCurve, site: SnowSite) -> Sequence[RoofPressure]:
        """Balanced first, then every other arrangement that is needed. Raises OutOfRange, NotCovered."""
        from detailgen.standards.asce7_16.roofs import roof_snow

        return roof_snow(roof, site)

    def snow_weight(self, ground_snow: float) -> tuple[float, Cite]:
        """Unit weight of snow (lb/in3) at a site with this ground snow load (psi)."""
        from detailgen.core.units import UNITS
        from detailgen.standards.asce7_16.snow import gamma

        return float(gamma(ground_snow / UNITS["area load"]["psf"])) * UNITS["unit weight"]["pcf"], Cite("ASCE 7-16", "7.7.1, equation 7.7-1")

    def roof_live(self, request: RoofLive) -> tuple[float, Calculation]:
        """The reduced roof live load (psi) and how it came about. Raises OutOfRange."""
        from detailgen.standards.asce7_16.live import reduced

        return reduced(request)

    def combinations(self, kinds: Sequence[str], method: str = METHODS[0]) -> Sequence[CombinationRule]:
        """The combinations of a method in which these kinds of load take part."""
        from detailgen.standards.asce7_16.combinations import TABLE

        return TABLE.combinations(kinds, method)

    def residual(self, kind: str) -> tuple[float, Cite]:
        """The factor of a kind of load on a structure of which a part has been lost. Raises NotCovered."""
        from detailgen.standards.asce7_16.combinations import TABLE

        return TABLE.residual(kind)


STANDARD = Asce716()
