"""Where forces are greatest: the true extremes of moments within elements, and envelopes over combinations and stages."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from detailgen.analysis.elements import bars_of, by_bar
from detailgen.core.tolerance import rounded
from detailgen.model.assessment import Forces
from detailgen.model.structure import Floats, FrameResult, LoadCase, Structure


@dataclass(frozen=True)
class MomentExtremes:
    """Greatest and least moment (k, m) in-lb of each element, and how far (in) from its start they stand."""

    greatest: Floats
    greatest_at: Floats
    least: Floats
    least_at: Floats


def moment_extremes(structure: Structure, loads: Sequence[LoadCase], result: FrameResult) -> MomentExtremes:
    """The extremes between, at and beside the stations: where the shear is nothing, at point loads, at the ends.

    loads: the whole load of each row of ``result``
    """
    m = len(structure.ends)
    bars = bars_of(structure, np.arange(m))
    across = by_bar(np.array([load.distributed for load in loads]), bars.to_bar)[:, :, 1]
    shape = (len(loads), m)
    greatest, least = np.full(shape, -np.inf), np.full(shape, np.inf)
    greatest_at, least_at = np.zeros(shape), np.zeros(shape)

    def take(row: int, element: int, value: float, place: float) -> None:
        if value > greatest[row, element]:
            greatest[row, element], greatest_at[row, element] = value, place
        if value < least[row, element]:
            least[row, element], least_at[row, element] = value, place

    for row, load in enumerate(loads):
        points: dict[int, list[tuple[float, float]]] = {}
        for element, fx, fy, place in load.point:
            cx, cy = bars.direction[element]
            points.setdefault(element, []).append((place, fy * cx - fx * cy))
        for element in range(m):
            length, q = float(bars.length[element]), float(across[row, element])
            x, V, M = 0.0, float(result.shear[row, element, 0]), float(result.moment[row, element, 0])
            # What stands at the very start is in the first station already.
            stops = sorted(p for p in points.get(element, ()) if p[0] > 1e-9 * length)
            take(row, element, M, 0.0)
            for stop, lift in (*stops, (length, 0.0)):
                run = stop - x
                if q and 0 < -V / q < run:
                    take(row, element, M - V**2 / (2 * q), x - V / q)
                M += V * run + q * run**2 / 2
                V += q * run + lift
                x = stop
                take(row, element, M, x)
    return MomentExtremes(greatest, greatest_at, least, least_at)


@dataclass(frozen=True)
class Extreme:
    """One end of an envelope: the value (lb or in-lb) and where it comes from."""

    value: float
    combination: str
    stage: str
    station: float


def envelope(stages: Sequence[Forces]) -> Mapping[str, Mapping[tuple[str, str], Extreme]]:
    """For each member the greatest and least axial force, shear and moment over all combinations, stations and stages.

    The keys are ("axial", "greatest") and so on. Of equal values the first by stage, combination and station stands.
    """
    found: dict[str, dict[tuple[str, str], Extreme]] = {}
    for forces in stages:
        for name, member in forces.members.items():
            best = found.setdefault(name, {})
            for what in ("axial", "shear", "moment"):
                values: Floats = getattr(member, what)
                for which, sign in (("greatest", 1.0), ("least", -1.0)):
                    signed = sign * values
                    row, column = np.unravel_index(int(signed.argmax()), signed.shape)
                    value = float(values[row, column])
                    old = best.get((what, which))
                    if old is None or sign * rounded(value) > sign * rounded(old.value):
                        best[(what, which)] = Extreme(value, forces.combinations[row].name, forces.stage, float(member.station[column]))
    return found
