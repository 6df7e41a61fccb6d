"""Where forces are greatest: the true extremes of moments within elements, and envelopes over combinations and stages."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from detailgen.core.tolerance import rounded
from detailgen.model.assessment import Floats, Forces, MemberForces


def true_moments(member: MemberForces) -> Floats:
    """The moments (c, s) of a member, those between stations included: where the shear changes its sign between two stations, the moment there
    stands at the nearer one.

    Loads are even between stations, as in a frame that has a joint at every single load: then the shear runs straight and this is exact. Imported
    forces are read in the same way.
    """
    before, after = member.shear[:, :-1], member.shear[:, 1:]
    run = np.diff(member.station)
    turns = (before * after < 0) & (run > 0)
    if not turns.any():
        return member.moment
    part = np.where(turns, before / np.where(turns, before - after, 1.0), 0.0)
    peak = member.moment[:, :-1] + before * part * run / 2
    most, least = turns & (before > 0), turns & (before < 0)
    moments = member.moment.copy()
    for beside, here in ((moments[:, :-1], part < 0.5), (moments[:, 1:], part >= 0.5)):
        np.maximum(beside, peak, out=beside, where=most & here)
        np.minimum(beside, peak, out=beside, where=least & here)
    return moments


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
        for what in ("axial", "shear", "moment"):
            fields: dict[str, Floats] = {n: true_moments(m) if what == "moment" else getattr(m, what) for n, m in forces.members.items()}
            largest = max((float(np.abs(f).max(initial=0.0)) for f in fields.values()), default=0.0) or 1.0
            for name, values in fields.items():
                member, best = forces.members[name], found.setdefault(name, {})
                for which, sign in (("greatest", 1.0), ("least", -1.0)):
                    ranked = (sign * values / largest).round(9)  # so that noise does not choose between equals
                    row, column = np.unravel_index(int(ranked.argmax()), ranked.shape)
                    value = float(values[row, column])
                    old = best.get((what, which))
                    if old is None or sign * rounded(value) > sign * rounded(old.value):
                        best[(what, which)] = Extreme(value, forces.combinations[row].name, forces.stage, float(member.station[column]))
    return found
