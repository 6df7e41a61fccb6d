"""Load and resistance factor design (Appendix N): what a reference value becomes. The checks of this folder work by allowable stress."""

from __future__ import annotations

from dataclasses import dataclass

from detailgen.core.clause import Cite, Number, require
from detailgen.core.errors import NotCovered
from detailgen.core.table import read_table
from detailgen.standards.nds_2018.reference import TABLES


def F_n(F: Number, K_F: Number, phi: Number, lam: Number) -> Number:
    """Design value for load and resistance factor design, every other factor but that of load duration being in F.

    F: reference value with its factors, without load duration, psi
    K_F: format conversion factor, -
    phi: resistance factor, -
    lam: time effect factor, -
    Returns: psi
    Source: NDS 2018, Appendix N.3, tables N1 to N3
    """
    return F * K_F * phi * lam


def F_reference(F_n: Number, k: Number, phi: Number) -> Number:
    """Reference value from a nominal one that was converted with K_F = k / phi, as the editions up to 2005 wrote it.

    F_n: nominal value, psi
    k: numerator of the format conversion factor, -
    phi: resistance factor, -
    Returns: psi
    Source: NDS 2018, Appendix N.3.1, table N1
    """
    require(k > 0, "numerator must be above zero", "NDS 2018 table N1")
    return F_n * phi / k


@dataclass(frozen=True)
class Conversion:
    """Factors of one design value."""

    K_F: float
    phi: float
    cite: Cite


def conversion(value: str) -> Conversion:
    """K_F and phi of "Fb", "Ft", "Fv", "Fc", "Fc_perp", "E_min" or "connections"."""
    table = read_table(TABLES, "format_conversion")
    row = table.find(value=value)
    return Conversion(float(row["K_F"]), float(row["phi"]), table.cite(row))


def time_effect(combination: str, live_load: str = "any") -> tuple[float, Cite]:
    """lambda of a load combination as table N3 writes it; live_load "storage", "occupancy" or "impact" where it matters."""
    table = read_table(TABLES, "time_effect")
    for row in table:
        if row["combination"] == combination and row["live_load"] in ("any", live_load):
            return float(row["lambda"]), table.cite(row)
    raise NotCovered(f"no time effect factor for {combination} with live load {live_load}", "NDS 2018 table N3")
