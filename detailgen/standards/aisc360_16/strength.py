"""Nominal strength to available strength (B3), and what the tables of this folder hold: safety factors, elastic modulus, steels."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from detailgen.core.clause import Calculation, Cite, Number
from detailgen.core.table import read_table
from detailgen.standards.interface import ALLOWABLE_STRESS, STRENGTH

DOCUMENT = "AISC 360-16"
TABLES = Path(__file__).parent / "tables"
KSI = 1000.0


def R_allowable(R_n: Number, Omega: Number) -> Number:
    """Allowable strength.

    R_n: nominal strength, lb
    Omega: safety factor, -
    Returns: lb
    Source: AISC 360-16, B3.2, equation B3-2
    """
    return R_n / Omega


def M_allowable(M_n: Number, Omega: Number) -> Number:
    """Allowable moment.

    M_n: nominal moment, in-lb
    Omega: safety factor, -
    Returns: in-lb
    Source: AISC 360-16, B3.2, equation B3-2
    """
    return M_n / Omega


def R_design(R_n: Number, phi: Number) -> Number:
    """Design strength for factored loads.

    R_n: nominal strength, lb
    phi: resistance factor, -
    Returns: lb
    Source: AISC 360-16, B3.1, equation B3-1
    """
    return phi * R_n


def M_design(M_n: Number, phi: Number) -> Number:
    """Design moment for factored loads.

    M_n: nominal moment, in-lb
    phi: resistance factor, -
    Returns: in-lb
    Source: AISC 360-16, B3.1, equation B3-1
    """
    return phi * M_n


@dataclass(frozen=True)
class Strengths:
    """A nominal strength and what may be used of it: by resistance factor (design) and by safety factor (allowable)."""

    nominal: float
    design: float
    allowable: float


def _factor(column: str, limit_state: str, sheet: Calculation) -> float:
    table = read_table(TABLES, "omega")
    row = table.find(limit_state=limit_state)
    cite = Cite(DOCUMENT, str(row["clause"]), "omega", table.cite(row).status)
    return float(sheet.given("Omega" if column == "omega" else column, float(row[column]), "-", cite))


def Omega(limit_state: str, sheet: Calculation) -> float:
    """Safety factor of a limit state, put on the sheet. Raises NotCovered for a limit state that the table does not hold."""
    return _factor("omega", limit_state, sheet)


def available(R_n: Number, limit_state: str, sheet: Calculation, method: str = ALLOWABLE_STRESS) -> Number:
    """What may be used of a nominal strength (lb) by a method: through the safety factor, or the resistance factor. Raises NotCovered."""
    if method == STRENGTH:
        factored: Number = sheet(R_design, R_n=R_n, phi=_factor("phi", limit_state, sheet))
        return factored
    allowed: Number = sheet(R_allowable, R_n=R_n, Omega=_factor("omega", limit_state, sheet))
    return allowed


def available_moment(M_n: Number, limit_state: str, sheet: Calculation, method: str = ALLOWABLE_STRESS) -> Number:
    """What may be used of a nominal moment (in-lb) by a method. Raises NotCovered."""
    if method == STRENGTH:
        factored: Number = sheet(M_design, M_n=M_n, phi=_factor("phi", limit_state, sheet))
        return factored
    allowed: Number = sheet(M_allowable, M_n=M_n, Omega=_factor("omega", limit_state, sheet))
    return allowed


def strengths(R_n: Number, limit_state: str) -> Strengths:
    """Both available strengths of one nominal strength."""
    sheet = Calculation()
    phi, safety = _factor("phi", limit_state, sheet), _factor("omega", limit_state, sheet)
    return Strengths(float(R_n), float(R_design(R_n, phi)), float(R_allowable(R_n, safety)))


def elastic_modulus(sheet: Calculation) -> float:
    """E (psi), put on the sheet."""
    table = read_table(TABLES, "material")
    row = table.find(property="E")
    return float(sheet.given("E", float(row["value"]) * KSI, "psi", table.cite(row)))


@dataclass(frozen=True)
class SteelGrade:
    """Specified least yield stress and tensile strength (psi)."""

    name: str
    F_y: float
    F_u: float
    cite: Cite


def steel_grade(name: str) -> SteelGrade:
    """A plate steel by its specification, such as "ASTM A36". Raises NotCovered for a steel that the table does not hold."""
    table = read_table(TABLES, "steel_grades")
    row = table.find(grade=name)
    return SteelGrade(name, float(row["F_y"]) * KSI, float(row["F_u"]) * KSI, table.cite(row))
