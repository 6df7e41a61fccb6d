"""ACI 318-19 and common practice of post-tensioning: stressing limits and losses of strand on a wood chord."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from detailgen.core.clause import Cite
from detailgen.standards.anchorage import Strand, StressingForces, StressingLimit, StressingRequest


@dataclass(frozen=True)
class Aci31819:
    """What the rest of the program may ask of this standard."""

    key: str = "aci318_19"
    name: str = "ACI 318-19 (stressing limits and losses)"

    def stressing_limits(self, strand: Strand) -> Sequence[StressingLimit]:
        """Limits of the force in one strand, by name."""
        from detailgen.standards.aci318_19.limits import limits

        return limits(strand)

    def elongation_tolerance(self) -> tuple[float, Cite]:
        """Greatest difference between measured and computed elongation, as a share of the computed one."""
        from detailgen.standards.aci318_19.limits import elongation_tolerance

        return elongation_tolerance()

    def stressing_forces(self, request: StressingRequest) -> StressingForces:
        """What is left in each strand. Raises NotCovered for a run without friction coefficients."""
        from detailgen.standards.aci318_19.stressing import stressing_forces

        return stressing_forces(request)


STANDARD = Aci31819()
