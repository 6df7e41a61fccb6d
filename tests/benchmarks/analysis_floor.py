"""How much longer the analysis takes than the least that scipy needs for the same equations. Run by hand; prints both medians.

The least: element matrices of a plane frame in vectorised numpy, assembly of a sparse matrix, one factorisation, one solve for all
load cases. No loads on elements, no forces along them, no reactions, no checks. The structure is a bowstring truss of 29 members.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.linalg import splu

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "analysis"))

from plane_frames import bowstring, roof_cases

from detailgen.analysis.frame import solve
from detailgen.model.structure import Floats, Structure

ROUNDS = 2000


def least(structure: Structure, place: np.ndarray, loads: Floats) -> Floats:
    """``place`` (m, 6) numbers the equations, -1 where there is none; ``loads`` (f, k)."""
    vector = structure.joints[structure.ends[:, 1]] - structure.joints[structure.ends[:, 0]]
    length = np.hypot(vector[:, 0], vector[:, 1])
    c, s = vector.T / length
    m = len(length)
    turn = np.zeros((m, 6, 6))
    turn[:, 0, 0] = turn[:, 1, 1] = turn[:, 3, 3] = turn[:, 4, 4] = c
    turn[:, 0, 1] = turn[:, 3, 4] = s
    turn[:, 1, 0] = turn[:, 4, 3] = -s
    turn[:, 2, 2] = turn[:, 5, 5] = 1.0
    ea, ei = structure.E * structure.A / length, structure.E * structure.I / length
    local = np.zeros((m, 6, 6))
    local[:, 0, 0] = local[:, 3, 3] = ea
    local[:, 0, 3] = local[:, 3, 0] = -ea
    local[:, 1, 1] = local[:, 4, 4] = 12 * ei / length**2
    local[:, 1, 4] = local[:, 4, 1] = -12 * ei / length**2
    for row in (2, 5):
        local[:, 1, row] = local[:, row, 1] = 6 * ei / length
        local[:, 4, row] = local[:, row, 4] = -6 * ei / length
        local[:, row, row] = 4 * ei
    local[:, 2, 5] = local[:, 5, 2] = 2 * ei
    blocks = turn.transpose(0, 2, 1) @ local @ turn
    keep = (place[:, :, None] >= 0) & (place[:, None, :] >= 0)
    rows = np.broadcast_to(place[:, :, None], keep.shape)[keep]
    columns = np.broadcast_to(place[:, None, :], keep.shape)[keep]
    matrix = coo_array((blocks[keep], (rows, columns)), shape=(len(loads), len(loads))).tocsc()
    return splu(matrix).solve(loads)


def timed(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def main() -> None:
    structure = bowstring()
    cases = roof_cases(structure)
    free = ~structure.fixed.reshape(-1)
    number = np.where(free, np.cumsum(free) - 1, -1).astype(np.int32)
    place = number[(3 * structure.ends[:, :, None] + np.arange(3)).reshape(-1, 6)]
    loads = np.array([case.nodal.reshape(-1)[free] for case in cases]).T
    for _ in range(50):
        least(structure, place, loads)
        solve(structure, cases)
    # In turns, so that whatever else the machine does falls on both.
    pairs = [(timed(lambda: least(structure, place, loads)), timed(lambda: solve(structure, cases))) for _ in range(ROUNDS)]
    floor, ours = (statistics.median(column) * 1e6 for column in zip(*pairs, strict=True))
    print(f"{len(structure.ends)} members, {len(cases)} load cases, {loads.shape[0]} equations, {ROUNDS} rounds")
    print(f"least of scipy  {floor:8.1f} microseconds")
    print(f"analysis        {ours:8.1f} microseconds")
    print(f"ratio           {ours / floor:8.2f}")


if __name__ == "__main__":
    main()
