"""The standard's combinations, with every arrangement of the roof's variable load."""

from __future__ import annotations

import itertools
import re
from collections.abc import Mapping

from detailgen.core.clause import Cite
from detailgen.loads.cases import ORIGINAL
from detailgen.model.assessment import Combination
from detailgen.standards.interface import METHODS, LoadStandard

_TERM = re.compile(r"(?P<factor>[\d.]*)\s*(?P<kind>[A-Za-z]+)")


def _name(rule: str, chosen: Mapping[str, str]) -> str:
    """'D + 0.75S' with S -> 'S balanced' becomes 'D + 0.75 S balanced'."""
    terms = []
    for term in rule.split(" + "):
        match = _TERM.fullmatch(term.strip())
        factor, kind = (match["factor"], match["kind"]) if match else ("", term)
        terms.append(f"{factor} {chosen.get(kind, kind)}".strip())
    return " + ".join(terms)


def expand(standard: LoadStandard, kinds: Mapping[str, tuple[str, ...]], method: str = METHODS[0]) -> tuple[Combination, ...]:
    """Combinations of the standard for these kinds of load, one per arrangement; last the original design load by itself, if there is one."""
    combinations = []
    for rule in standard.combinations([k for k in kinds if k != ORIGINAL], method):
        factors = dict(rule.factors)
        for arrangement in itertools.product(*(kinds[k] for k in factors)):
            chosen = dict(zip(factors, arrangement, strict=True))
            cases = tuple((case, factors[kind]) for kind, case in chosen.items())
            combinations.append(Combination(_name(rule.name, chosen), cases, rule.duration, rule.cite))
    return tuple(combinations)


def original_design(kinds: Mapping[str, tuple[str, ...]]) -> tuple[Combination, ...]:
    """The uniform load of the original design as a combination of its own, judged as a load of ten years (C_D = 1.0 or its like)."""
    if ORIGINAL not in kinds:
        return ()
    return (Combination(ORIGINAL, ((ORIGINAL, 1.0),), "ten years", Cite("survey", "original design load")),)
