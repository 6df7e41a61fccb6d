"""How much snow the roof may carry as found."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from detailgen.assessment.forces import weighted
from detailgen.core.tolerance import at_most, rounded
from detailgen.model.assessment import Combination, Forces, Place, SnowCapacity

CheckPlaces = Callable[[Forces, Sequence[str] | None], Sequence[Place]]
"""Checks the places with these names (all when None) under the given forces."""

MOST = 3.0
"""Factors on today's snow beyond this are not of interest: the answer is then 'at least'."""
PARTS = (3, 60, 60)
"""Each round divides the interval into so many parts: after the last one the factor is known to 3 / (3 x 60 x 60) = 0.0003.
All places are looked at in the first round only, so that one is short."""


def _snow_pairs(forces: Forces, snow_cases: Sequence[str]) -> list[tuple[Combination, int, int, float]]:
    """(combination, its index, index of dead load alone, what that one is multiplied by) for every one of dead load and the snow's largest factor.

    In strength design dead load stands alone at another factor than beside snow.
    """
    alone = {k: dict(c.factors)["D"] for k, c in enumerate(forces.combinations) if set(dict(c.factors)) == {"D"}}
    first = next(iter(alone), None)
    with_snow = [(c, k, dict(c.factors)) for k, c in enumerate(forces.combinations)]
    with_snow = [(c, k, f) for c, k, f in with_snow if len(f) == 2 and "D" in f and set(f) & set(snow_cases)]
    most = max((next(v for n, v in f.items() if n != "D") for _, _, f in with_snow), default=0.0)
    return [] if first is None else [(c, k, first, f["D"] / alone[first]) for c, k, f in with_snow if most in f.values()]


def snow_capacity(forces: Forces, snow_cases: Sequence[str], flat_roof: float, check: CheckPlaces) -> SnowCapacity | None:
    """The factor on today's snow (all its arrangements together) at which the first check reaches 1.0.

    forces: combinations of one structure, dead load alone and dead load with each arrangement of snow among them
    flat_roof: today's flat-roof snow load, psi
    Returns: None where the forces do not hold both
    """
    pairs = _snow_pairs(forces, snow_cases)
    if not pairs:
        return None

    def over(factors: np.ndarray, names: Sequence[str] | None) -> tuple[dict[float, list[tuple[float, str, str]]], set[str]]:
        """For each factor the places over 1.0 (ratio, place, check), and the names of all of them."""
        rows: list[tuple[Combination, Sequence[tuple[int, float]]]] = []
        factor_of = {}
        for s in factors:
            for combination, snow, dead, times in pairs:
                name = f"{combination.name} x {s:.6f}"
                factor_of[name] = float(s)
                rows.append((Combination(name, combination.factors, combination.duration, combination.cite), ((dead, times * (1 - s)), (snow, s))))
        found: dict[float, list[tuple[float, str, str]]] = {float(s): [] for s in factors}
        for place in check(replace(weighted(forces, rows), distances=False), names):
            for result in place.results:
                # a distance that is too short stays so under any snow: it is a finding of its own
                if result.unit != "in" and result.ratio == result.ratio and not at_most(result.ratio, 1.0):
                    found[factor_of[result.combination]].append((result.ratio, place.name, result.check))
        return found, {name for hits in found.values() for _, name, _ in hits}

    low, high, names = 0.0, MOST, None
    governing = ""
    for parts in PARTS:
        factors = np.linspace(low, high, parts + 1)
        found, failing = over(factors, names)
        first = next((s for s in found if found[s]), None)
        if first is None:
            return SnowCapacity(MOST, flat_roof, "", at_least=True)
        worst = min(found[first], key=lambda hit: (-rounded(hit[0]), hit[1:]))  # of equals the first by name, so that noise does not choose
        governing = f"{worst[1]}: {worst[2]}"
        if first == low and low == 0.0:
            return SnowCapacity(0.0, flat_roof, governing)
        step = factors[1] - factors[0]
        low, high, names = first - step, first, sorted({name for _, name, _ in found[first]} & failing)
    return SnowCapacity(math.floor(float(low) * 1e4) / 1e4, flat_roof, governing)
