"""How far the analysis reaches. Run by hand; prints CPU seconds.

1. A frame of about 4,000 members with 6 load cases against the least that scipy needs for the same equations (see analysis_floor.py).
2. 100 load cases of one truss: one factorisation, against 100 single solves.
3. 1,000 trusses one after another: memory at the end against memory after the first 50.
"""

from __future__ import annotations

import resource
import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "analysis"))

from analysis_floor import least
from plane_frames import bowstring, roof_cases

from detailgen.analysis.frame import solve
from detailgen.model.structure import Structure


def cpu(work: Callable[[], object], rounds: int) -> float:
    spent = []
    for _ in range(rounds):
        start = time.process_time()
        work()
        spent.append(time.process_time() - start)
    return statistics.median(spent)


def beside_each_other(one: Structure, count: int) -> Structure:
    """Many trusses in one structure."""
    n = len(one.joints)
    shift = [np.array([2000.0 * k, 0.0]) for k in range(count)]
    return Structure(
        joint_names=tuple(f"{name} of {k}" for k in range(count) for name in one.joint_names),
        joints=np.vstack([one.joints + s for s in shift]), ends=np.vstack([one.ends + n * k for k in range(count)]), E=np.tile(one.E, count),
        A=np.tile(one.A, count), I=np.tile(one.I, count), spring=np.tile(one.spring, (count, 1)), offset=np.tile(one.offset, (count, 1, 1)),
        fixed=np.tile(one.fixed, (count, 1)), member=one.member * count, station=np.tile(one.station, count),
    )  # fmt: skip


def many_members() -> None:
    structure = beside_each_other(bowstring(), 138)
    cases = roof_cases(structure)
    free = ~structure.fixed.reshape(-1)
    number = np.where(free, np.cumsum(free) - 1, -1).astype(np.int32)
    place = number[(3 * structure.ends[:, :, None] + np.arange(3)).reshape(-1, 6)]
    loads = np.array([case.nodal.reshape(-1)[free] for case in cases]).T
    floor, ours = cpu(lambda: least(structure, place, loads), 7), cpu(lambda: solve(structure, cases), 7)
    print(f"{len(structure.ends)} members, 6 load cases: scipy alone {floor:.3f} s, analysis {ours:.3f} s, ratio {ours / floor:.2f}")


def many_cases() -> None:
    structure = bowstring()
    cases = roof_cases(structure, 100)
    together, single = cpu(lambda: solve(structure, cases), 15), cpu(lambda: [solve(structure, [c]) for c in cases], 5)
    print(f"100 load cases: together {1000 * together:.2f} ms, one by one {1000 * single:.2f} ms")


def many_trusses() -> None:
    first = 0
    start = time.process_time()
    for number in range(1000):
        structure = bowstring(8 + number % 5)
        solve(structure, roof_cases(structure, 6, number))
        if number == 50:
            first = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    grown = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - first
    print(f"1,000 trusses: {time.process_time() - start:.1f} s, memory grown by {grown / 1024:.1f} MB since the 50th")


if __name__ == "__main__":
    many_members()
    many_cases()
    many_trusses()
