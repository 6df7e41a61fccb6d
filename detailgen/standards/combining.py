"""Combinations of loads as an edition's table lists them: a row per combination, a column per kind of load."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from pathlib import Path

from detailgen.core.clause import Cite
from detailgen.core.errors import NotCovered
from detailgen.core.table import read_table
from detailgen.standards.interface import ALLOWABLE_STRESS, METHODS, STRENGTH, CombinationRule

KINDS = ("D", "L", "Lr", "S", "R", "W")
TABLE = {ALLOWABLE_STRESS: "asd_combinations", STRENGTH: "strength_combinations"}
_TERM = re.compile(r"(?P<factor>[\d.]*)\(?(?P<inner>[\d.]*)(?P<kind>[A-Za-z]+)\)?")


class CombinationTable:
    """The combinations of one edition."""

    def __init__(self, document: str, tables: Path) -> None:
        self.document, self.tables = document, tables

    def _rules(self, method: str) -> tuple[tuple[CombinationRule, frozenset[str], str], ...]:
        if method not in METHODS:
            raise NotCovered(f"no design method '{method}'; known are {' and '.join(METHODS)}", f"{self.document} chapter 2")
        table = read_table(self.tables, TABLE[method])
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

    def combinations(self, kinds: Sequence[str], method: str) -> tuple[CombinationRule, ...]:
        """The combinations in which these kinds of load take part. A rule all of whose part is contained in another is left out by the table.

        Raises: NotCovered for a kind that the table does not hold
        """
        unknown = [k for k in kinds if k not in KINDS]
        if unknown:
            raise NotCovered(f"no combinations with {', '.join(unknown)}; known are {', '.join(KINDS)}", f"{self.document} chapter 2")
        acting = set(kinds)
        return tuple(rule for rule, needs, without in self._rules(method) if needs <= acting and without not in acting)

    def residual(self, kind: str) -> tuple[float, Cite]:
        """The factor of a kind of load on a structure of which a part has been lost. Raises NotCovered where the table has none."""
        table = read_table(self.tables, "residual_capacity")
        row = table.find(kind=kind)
        return float(row["factor"]), table.cite(row)

    def _factors(self, name: str) -> dict[str, float]:
        """Factors as a combination's name spells them: 'D + 0.75(0.6W) + 0.75S'."""
        found = {}
        for term in name.replace(" ", "").split("+"):
            match = _TERM.fullmatch(term)
            if match is None or match["kind"] not in KINDS:
                raise NotCovered(f"no combination {name}: '{term}' is no load known here", f"{self.document} chapter 2")
            found[match["kind"]] = float(match["factor"] or 1) * float(match["inner"] or 1)
        return found

    def combine(self, name: str, loads: Mapping[str, float], method: str = ALLOWABLE_STRESS) -> float:
        """Sum of loads by a combination given by its name. Raises NotCovered where the table has no such combination."""
        wanted = self._factors(name)
        for rule, _, _ in self._rules(method):
            factors = dict(rule.factors)
            if factors.keys() == wanted.keys() and all(abs(factors[k] - wanted[k]) < 1e-9 for k in factors):
                return sum(factor * loads.get(kind, 0.0) for kind, factor in rule.factors)
        raise NotCovered(f"no combination {name}", f"{self.document} chapter 2")
