"""Combinations for allowable stress design (2.4.1), read from the table."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from detailgen.core.errors import NotCovered
from detailgen.core.table import read_table
from detailgen.standards.asce7_16.snow import TABLES
from detailgen.standards.interface import CombinationRule

KINDS = ("D", "L", "Lr", "S", "R", "W")
_TERM = re.compile(r"(?P<factor>[\d.]*)\(?(?P<inner>[\d.]*)(?P<kind>[A-Za-z]+)\)?")


def _rules() -> tuple[tuple[CombinationRule, frozenset[str], str], ...]:
    table = read_table(TABLES, "asd_combinations")
    return tuple(
        (
            CombinationRule(
                str(row["name"]), tuple((k, float(row[k])) for k in KINDS if float(row[k]) != 0.0), str(row["duration"]), table.cite(row)
            ),
            frozenset(str(row["needs"]).split()),
            str(row["without"]),
        )
        for row in table
    )


def combinations(kinds: Sequence[str]) -> tuple[CombinationRule, ...]:
    """The combinations in which these kinds of load take part. A rule all of whose part is contained in another is left out by the table.

    Raises: NotCovered for a kind that the table does not hold
    """
    unknown = [k for k in kinds if k not in KINDS]
    if unknown:
        raise NotCovered(f"no combinations with {', '.join(unknown)}; known are {', '.join(KINDS)}", "ASCE 7-16 2.4.1")
    acting = set(kinds)
    return tuple(rule for rule, needs, without in _rules() if needs <= acting and without not in acting)


def _factors(name: str) -> dict[str, float]:
    """Factors as a combination's name spells them: 'D + 0.75(0.6W) + 0.75S'."""
    found = {}
    for term in name.replace(" ", "").split("+"):
        match = _TERM.fullmatch(term)
        if match is None or match["kind"] not in KINDS:
            raise NotCovered(f"no combination {name}: '{term}' is no load known here", "ASCE 7-16 2.4.1")
        found[match["kind"]] = float(match["factor"] or 1) * float(match["inner"] or 1)
    return found


def combine(name: str, loads: Mapping[str, float]) -> float:
    """Sum of loads by a combination of 2.4.1, given by its name. Raises NotCovered where the table has no such combination."""
    wanted = _factors(name)
    for rule, _, _ in _rules():
        factors = dict(rule.factors)
        if factors.keys() == wanted.keys() and all(abs(factors[k] - wanted[k]) < 1e-9 for k in factors):
            return sum(factor * loads.get(kind, 0.0) for kind, factor in rule.factors)
    raise NotCovered(f"no combination {name}", "ASCE 7-16 2.4.1")
