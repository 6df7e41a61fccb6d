"""Stressing limits of strand (20.3.2.5) and what a stressing record is held to (26.10.2)."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from detailgen.core.clause import Cite, Number
from detailgen.core.table import read_table
from detailgen.standards.anchorage import Strand, StressingLimit

TABLES = Path(__file__).parent / "tables"
DOCUMENT = "ACI 318-19"


def F_limit(of_strength: Number, F_pu: Number, of_yield: Number, F_py: Number) -> Number:
    """Greatest (or least) force in a strand: the lesser of a share of its strength and of its yield.

    of_strength: share of the breaking strength, -
    F_pu: least breaking strength, lb
    of_yield: share of the yield load, -
    F_py: load at 1 % extension, lb
    Returns: lb
    Source: ACI 318-19, 20.3.2.5.1
    """
    return np.minimum(of_strength * F_pu, of_yield * F_py)


def fraction(P: Number, F_pu: Number) -> Number:
    """Force over the breaking strength.

    P: force in a strand, lb
    F_pu: least breaking strength, lb
    Returns: -
    Source: ACI 318-19, 20.3.2.5.1
    """
    return P / F_pu


def F_of(when: str, F_pu: float, F_py: float = np.inf) -> float:
    """A limit (lb) by its name in the table; a row without a share of yield (inf) goes by strength alone."""
    row = read_table(TABLES, "stress_limits").find(when=when)
    return float(F_limit(float(row["of_strength"]), F_pu, float(row["of_yield"]), F_py))


def limits(strand: Strand) -> tuple[StressingLimit, ...]:
    """Every limit of one strand: its name, the force (lb) and its source."""
    table = read_table(TABLES, "stress_limits")
    found = []
    for row in table:
        cite = table.cite(row)
        force = F_of(str(row["when"]), strand.breaking, strand.yield_load)
        status = min(cite.status, strand.cite.status)
        found.append(StressingLimit(str(row["when"]), force, Cite(cite.document, str(row["clause"]), cite.table, status)))
    return tuple(found)


def elongation_tolerance() -> tuple[float, Cite]:
    """Greatest difference between measured and computed elongation, as a share of the computed one."""
    table = read_table(TABLES, "elongation")
    row = table.rows[0]
    return float(row["share"]), table.cite(row)
