"""The two methods of design: which clause adjusts a value, and which factors it takes beside those that both know.

Everything else of this folder (stability, interaction, yield modes, distances, local stresses) is the same by either.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from detailgen.core.clause import Calculation, Cite, Number
from detailgen.standards.interface import ALLOWABLE_STRESS, STRENGTH
from detailgen.standards.nds_2018 import adjustment, curved, members, strength_design

Clause = Callable[..., Number]
UNTIMED = ("Fc_perp", "E_min")
"""Values that know neither load duration nor time effect."""


@dataclass(frozen=True)
class Method:
    """The adjusted values of one method as its clauses give them, and the symbol of the factor by which time enters."""

    name: str
    time: str
    F_t_prime: Clause
    F_c_star: Clause
    F_v_prime: Clause
    F_c_perp_prime: Clause
    E_min_prime: Clause
    F_b_0: Clause
    F_b2_prime: Clause
    F_rt_prime: Clause
    Z_prime: Clause
    times: Callable[[Sequence[str]], tuple[tuple[float, ...], Cite]]
    """Factor per duration of the shortest load, and where it stands. Raises NotCovered."""
    greatest_at_connections: Callable[[], float]
    converts: bool

    def terms(self, sheet: Calculation, value: str, time: Number, cite: Cite) -> dict[str, Any]:
        """The method's own factors of a value ("Fb", "connections", ...), put on the sheet. ``time`` and its ``cite`` do not count for UNTIMED."""
        found: dict[str, Any] = {}
        if self.converts:
            factors = strength_design.conversion(value)
            found["K_F"] = sheet.given("K_F", factors.K_F, "-", factors.cite)
            found["phi"] = sheet.given("phi", factors.phi, "-", factors.cite)
        if value not in UNTIMED:
            found[self.time] = sheet.given(self.time, time, "-", cite)
        return found


ALLOWABLE = Method(
    ALLOWABLE_STRESS, "C_D", adjustment.F_t_prime, adjustment.F_c_star, adjustment.F_v_prime, adjustment.F_c_perp_prime, adjustment.E_min_prime,
    adjustment.F_b_0, members.F_b2_prime, curved.F_rt_prime, adjustment.Z_prime, adjustment.duration_factors,
    adjustment.greatest_at_connections, converts=False,
)  # fmt: skip
BY_STRENGTH = Method(
    STRENGTH, "lam", strength_design.F_t_prime, strength_design.F_c_star, strength_design.F_v_prime, strength_design.F_c_perp_prime,
    strength_design.E_min_prime, strength_design.F_b_0, strength_design.F_b2_prime, strength_design.F_rt_prime, strength_design.Z_prime,
    strength_design.time_effects, strength_design.greatest_at_connections, converts=True,
)  # fmt: skip


def method(name: str) -> Method:
    """The method of a name of standards.interface.METHODS."""
    return {m.name: m for m in (ALLOWABLE, BY_STRENGTH)}[name]
