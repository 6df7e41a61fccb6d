"""Our forces beside those of another analysis: the largest difference of each member."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from detailgen.core.tolerance import rounded
from detailgen.model.assessment import Difference, Floats, Forces, MemberForces

WHAT = ("axial", "shear", "moment")
NEAR = 0.01
"""Part of a member's length by which a jump may stand elsewhere in another program (ours)."""


def _between(ours: MemberForces, values: Floats, stations: Floats) -> tuple[Floats, Floats]:
    """Our values (s,) just left and just right of their stations: straight between ours, both sides where ours jump."""
    x = ours.station
    last = len(x) - 1
    sides = []
    for side in ("left", "right"):
        k = np.clip(np.searchsorted(x, stations, side="left" if side == "left" else "right"), 1, last)
        run = x[k] - x[k - 1]
        share = np.where(run > 0, (stations - x[k - 1]) / np.where(run > 0, run, 1.0), float(side == "right"))
        sides.append(values[k - 1] + (values[k] - values[k - 1]) * np.clip(share, 0.0, 1.0))
    return sides[0], sides[1]


def _nearest(ours: MemberForces, own: Floats, stations: Floats, values: Floats) -> Floats:
    """Of our values at and closely beside each station the one that is nearest to theirs."""
    reach = NEAR * ours.station[-1]
    shifted = [np.clip(stations + step * reach, 0.0, ours.station[-1]) for step in (0.0, -0.5, 0.5, -1.0, 1.0)]
    trials = np.array([side for place in shifted for side in _between(ours, own, place)])
    chosen: Floats = trials[np.abs(trials - values).argmin(axis=0), np.arange(len(stations))]
    return chosen


def compare(mark: str, ours: Forces, theirs: tuple[Sequence[str], Mapping[str, MemberForces]]) -> tuple[Difference, ...]:
    """The largest difference of axial force, shear and moment in each member, over the combinations that both have.

    Where ours jumps at or close to one of their stations the nearest value counts.
    ``share`` is of the greatest value of its kind in the truss, ours or theirs.
    """
    names, members = theirs
    own = {c.name: k for k, c in enumerate(ours.combinations)}
    common = [(own[n], k) for k, n in enumerate(names) if n in own]
    if not common:
        return ()
    found = []
    for what in WHAT:
        rows: list[tuple[str, int, float, float, float]] = []
        greatest = 0.0
        for name, member in members.items():
            if name not in ours.members:
                continue
            here = ours.members[name]
            # Another program may measure a curved panel along its arc: both run from end to end.
            stations = member.station * (here.station[-1] / member.station[-1])
            best = (0, 0.0, 0.0, 0.0, -1.0)
            for mine, other in common:
                values: Floats = getattr(member, what)[other]
                nearer = _nearest(here, getattr(here, what)[mine], stations, values)
                gap = np.abs(nearer - values)
                k = int(gap.argmax())
                greatest = max(greatest, float(np.abs(getattr(here, what)[mine]).max()), float(np.abs(values).max()))
                if rounded(float(gap[k])) > rounded(best[4]):
                    best = (mine, float(stations[k]), float(nearer[k]), float(values[k]), float(gap[k]))
            rows.append((name, *best[:4]))
        found += [
            Difference(mark, ours.structure, name, what, ours.combinations[k].name, station, a, b, abs(a - b) / greatest if greatest else 0.0)
            for name, k, station, a, b in rows
        ]
    return tuple(found)
