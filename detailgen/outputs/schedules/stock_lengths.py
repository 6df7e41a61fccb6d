"""Which stock lengths to buy for pieces of given lengths: the least bought length, by a library's whole-number programming."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Column = tuple[float, tuple[int, ...]]
"""Length of one piece of stock, and how many of each length are cut from it."""
MOST = 3000
"""So many ways to cut are weighed against each other by the library, and the answer is the best there is; where there are more pieces are put
where they first fit, which buys little more where they are many and short."""


@dataclass(frozen=True)
class Cutting:
    """``times`` pieces of stock of one length, each cut into so many of every length asked for."""

    stock: float
    counts: tuple[int, ...]
    times: int

    def left_over(self, lengths: Sequence[float], kerf: float) -> float:
        used = sum(n * (x + kerf) for n, x in zip(self.counts, lengths, strict=True))
        return self.stock - used


def cut_stock(lengths: Sequence[float], wanted: Sequence[int], stock: Sequence[float], kerf: float) -> list[Cutting]:
    """How to cut pieces from stock so that the least length is bought; of equal answers one piece of stock, else the library's first.

    lengths: of the pieces (all different), wanted: how many of each, stock: lengths on sale, kerf: lost with each piece
    Raises: ValueError where a piece is longer than the longest stock
    """
    if any(x + kerf > max(stock) for x in lengths):
        raise ValueError(f"a piece of {max(lengths):g} is longer than the longest stock, {max(stock):g}")
    sizes, need = np.array(lengths) + kerf, np.array(wanted, dtype=np.float64)
    least = _least_bought(float(sizes @ need), stock)
    if least in stock:
        return [Cutting(least, tuple(wanted), 1)]
    from scipy.optimize import Bounds, LinearConstraint, milp  # a quarter of a second, and few pieces need it

    columns = _all_columns(sizes, wanted, stock)
    if len(columns) > MOST:
        return _trimmed(_first_fit(sizes, wanted, stock), list(wanted), sizes, stock)
    cuts = np.array([c for _, c in columns], dtype=np.float64).T
    price = np.array([s for s, _ in columns])
    whole = milp(price, integrality=np.ones(len(columns), dtype=int), bounds=Bounds(0, np.inf), constraints=LinearConstraint(cuts, lb=need))
    if whole.x is None:
        raise ValueError(f"no way to cut the pieces was found: {whole.message}")
    times = [round(float(n)) for n in whole.x]
    return _trimmed([Cutting(s, c, n) for (s, c), n in zip(columns, times, strict=True) if n > 0], list(wanted), sizes, stock)


def _least_bought(total: float, stock: Sequence[float]) -> float:
    """The least sum of stock lengths that reaches the total; where that is one piece, no cutting can buy less. Infinite beyond the longest stock."""
    if total > max(stock):
        return float("inf")
    sums, reached = {0.0}, set[float]()
    while sums:
        more = {s + x for s in sums for x in stock}
        reached |= {s for s in more if s >= total}
        sums = {s for s in more if s < total}
    return min(reached, default=0.0)


def _all_columns(sizes: Floats, wanted: Sequence[int], stock: Sequence[float]) -> list[Column]:
    """Every way to cut one piece of stock, in the shortest that holds it; no more than one over ``MOST`` are listed."""
    ways = [range(min(int(max(stock) // size), n) + 1) for size, n in zip(sizes, wanted, strict=True)]
    found: list[Column] = []
    for counts in itertools.product(*ways):
        used = float(sum(n * size for n, size in zip(counts, sizes, strict=True)))
        if 0 < used <= max(stock):
            found.append((min(s for s in stock if s >= used), counts))
            if len(found) > MOST:
                break
    return found


def _first_fit(sizes: Floats, wanted: Sequence[int], stock: Sequence[float]) -> list[Cutting]:
    """The longest piece first, each into the first piece of the longest stock that has room for it."""
    pieces: list[list[int]] = []
    room: list[float] = []
    for k in sorted(range(len(sizes)), key=lambda k: -sizes[k]):
        for _ in range(wanted[k]):
            n = next((n for n, free in enumerate(room) if free >= sizes[k]), len(room))
            if n == len(room):
                room.append(max(stock))
                pieces.append([0] * len(sizes))
            room[n] -= float(sizes[k])
            pieces[n][k] += 1
    return [Cutting(max(stock), tuple(counts), 1) for counts in pieces]


def _trimmed(cuttings: list[Cutting], wanted: list[int], sizes: Floats, stock: Sequence[float]) -> list[Cutting]:
    """No piece more than was asked for, each from the shortest stock that holds what is cut from it."""
    out: dict[tuple[float, tuple[int, ...]], int] = {}
    for one in sorted(cuttings, key=lambda c: (-c.stock, c.counts)):
        for _ in range(one.times):
            taken = tuple(min(n, left) for n, left in zip(one.counts, wanted, strict=True))
            wanted = [left - n for left, n in zip(wanted, taken, strict=True)]
            if any(taken):
                used = float(sum(n * size for n, size in zip(taken, sizes, strict=True)))
                key = (min(x for x in stock if x >= used), taken)
                out[key] = out.get(key, 0) + 1
    return [Cutting(s, c, n) for (s, c), n in out.items()]
