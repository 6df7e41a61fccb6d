"""Layouts and seconds of one search for a splice, for each arrangement. Run by hand.

One search is what a round of the walk asks: every layout of the grid, judged by every rule under every duration, and the preferred one.
"afresh" makes grid and values of the wood anew, as the first truss of a process does; "again" is a later round, which finds them kept.
The very first search of the process reads the tables of the standards as well.
"""

from __future__ import annotations

import statistics
import time
from dataclasses import replace

import numpy as np

from detailgen.remedies.splice import parameters as p
from detailgen.remedies.splice import search
from detailgen.standards.aisc360_16 import STANDARD as STEEL
from detailgen.standards.interface import WoodGrade
from detailgen.standards.nds_2018 import STANDARD as WOOD

ROUNDS = 15
LAYOUTS, SECONDS = 20_000, 0.3
DEMAND = search.Demand(
    axial=np.array([6000.0, 13600.0, 11000.0, -900.0]), moment=np.array([2000.0, 4000.0, -3000.0, 500.0]),
    shear=np.array([100.0, 200.0, 150.0, 50.0]),
    durations=("permanent", "snow", "construction", "construction"), names=("D", "D + S", "D + Lr", "D + Lr left"),
)  # fmt: skip


def one_search(question: search.Question, *, afresh: bool) -> tuple[int, int, float]:
    """Layouts tried, layouts that hold, seconds."""
    if afresh:
        search._grid.cache_clear()
        search._whole_grid.cache_clear()
    start = time.perf_counter()
    layouts = search.grid(question)
    answer = search.evaluate(question, layouts, WOOD, STEEL)
    chosen = search.best(question, answer, "fewest bolts")
    seconds = time.perf_counter() - start
    assert chosen is not None
    return len(layouts.diameter), int(answer.feasible.sum()), seconds


def main() -> None:
    print(f"{'arrangement':40}{'layouts':>9}{'hold':>8}{'first':>8}{'afresh':>8}{'worst':>8}{'again':>8}  s")
    met = True
    for arrangement in p.ARRANGEMENTS:
        # A block alone is looked for where little force passes; its layouts are fewer, as no plate is chosen.
        share = 0.5 if arrangement.second else 1.0
        demand = replace(DEMAND, axial=share * DEMAND.axial, moment=share * DEMAND.moment, shear=share * DEMAND.shear)
        question = search.Question(WoodGrade("sawn", "Douglas Fir-Larch", "No.1"), 2.5, 9.5, arrangement, 3.5, demand, 6.0, 40.0, p.SHARE_OF_CHORD)
        found = [one_search(question, afresh=True) for _ in range(ROUNDS)]
        again = [one_search(question, afresh=False)[2] for _ in range(ROUNDS)]
        layouts, hold, first = found[0]
        seconds = [s for _, _, s in found[1:]]
        median = statistics.median(seconds)
        met &= (layouts > LAYOUTS or arrangement.second) and median < SECONDS
        print(f"{arrangement.key:40}{layouts:9,}{hold:8,}{first:8.3f}{median:8.3f}{max(seconds):8.3f}{statistics.median(again):8.3f}")
    print(f"target: more than {LAYOUTS:,} layouts under {SECONDS} s, afresh: {'met' if met else 'NOT met'}")


if __name__ == "__main__":
    main()
