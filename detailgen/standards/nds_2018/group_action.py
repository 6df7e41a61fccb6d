"""Rows of bolts and the group action factor (11.3.6)."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from detailgen.core.clause import Calculation, Number, require
from detailgen.core.table import read_table
from detailgen.core.tolerance import rounded_length

TABLES = Path(__file__).parent / "tables"
SAME_ROW = 1 / 16
"""Bolts whose distance across the load is at most this (in) stand in one row (a choice of this house)."""

Floats = NDArray[np.float64]


def gamma(k: Number, e: Number, D: Number) -> Number:
    """Load/slip modulus of a connection, one fastener.

    k: coefficient by the members' materials, lb/in
    e: exponent by the kind of fastener, -
    D: diameter, in
    Returns: lb/in
    Source: NDS 2018, 11.3.6.1
    """
    return k * D**e


def C_g(n: Number, s: Number, D: Number, gamma: Number, E_m: Number, A_m: Number, E_s: Number, A_s: Number) -> Number:
    """Group action factor of a row.

    n: number of fasteners in a row, -
    s: spacing of the fasteners in a row, in
    D: diameter, in
    gamma: load/slip modulus, lb/in
    E_m: modulus of elasticity of the main member, psi
    A_m: gross area of the main member, in2
    E_s: modulus of elasticity of the side members, psi
    A_s: gross area of the side members together, in2
    R_EA: lesser ratio of the members' stiffness, -
    u: term of the load-slip curve, -
    m: term of the load-slip curve, -
    C: factor of a fastener of 1/4 in. and more, -
    Returns: -
    Source: NDS 2018, 11.3.6.1, equation 11.3-1
    Raises: OutOfRange for a row without spacing, area or bolt
    """
    require((n >= 1) & (s > 0) & (E_m * A_m > 0) & (E_s * A_s > 0), "a row needs a bolt, a spacing, and members with an area", "NDS 2018 11.3.6.1")
    R_EA = np.minimum(E_s * A_s / (E_m * A_m), E_m * A_m / (E_s * A_s))
    u = 1 + gamma * s / 2 * (1 / (E_m * A_m) + 1 / (E_s * A_s))
    m = u - np.sqrt(u**2 - 1)
    C = m * (1 - m ** (2 * n)) * (1 + R_EA) / (n * ((1 + R_EA * m**n) * (1 + m) - 1 + m ** (2 * n)) * (1 - m))
    return np.where(D < 0.25, 1.0, C)


def A_across(t: Number, b: Number) -> Number:
    """Area that counts for a member loaded across its grain.

    t: thickness of the member, in
    b: overall width of the fastener group along the grain, in
    Returns: in2
    Source: NDS 2018, 11.3.6.3
    """
    return t * b


@dataclass(frozen=True)
class Row:
    """Bolts in one line along the load: their places along it, sorted, and the least and greatest place across it (in)."""

    along: tuple[float, ...]
    low: float
    high: float

    @property
    def spacings(self) -> tuple[float, ...]:
        return tuple(rounded_length(b - a) for a, b in itertools.pairwise(self.along))


def turned(bolts: Floats, angle: float) -> Floats:
    """Places (along, across) seen in axes turned by ``angle`` (rad)."""
    c, s = np.cos(angle), np.sin(angle)
    return np.column_stack([bolts[:, 0] * c + bolts[:, 1] * s, bolts[:, 1] * c - bolts[:, 0] * s])


def rows_along(bolts: Floats, angle: float = 0.0) -> tuple[Row, ...]:
    """Rows of bolts along the direction ``angle`` (rad), from one side to the other."""
    places = turned(bolts, angle)
    rows: list[list[tuple[float, float]]] = []
    for along, across in sorted(((float(u), float(v)) for u, v in places), key=lambda p: (p[1], p[0])):
        if rows and across - rows[-1][0][1] <= SAME_ROW + 1e-9:
            rows[-1].append((along, across))
        else:
            rows.append([(along, across)])
    return tuple(Row(tuple(sorted(u for u, _ in row)), row[0][1], row[-1][1]) for row in rows)


def closer_than_a_quarter(a: Row, b: Row) -> bool:
    """Are two staggered neighbour rows closer than 1/4 of the spacing between their nearest bolts along the rows (11.3.6.2)?"""
    nearest = min(abs(p - q) for p in a.along for q in b.along)
    return (b.low + b.high) / 2 - (a.low + a.high) / 2 < nearest / 4 - 1e-9


def rows_that_count(rows: tuple[Row, ...]) -> tuple[Row, ...]:
    """Rows for the group action factor: staggered neighbours that stand close become one (11.3.6.2).

    An even number of rows is joined pair by pair, an odd number in every run of close neighbours: the most conservative reading.
    """
    out: list[Row] = []
    for k, row in enumerate(rows):
        may_join = k % 2 == 1 if len(rows) % 2 == 0 else True
        if out and may_join and closer_than_a_quarter(rows[k - 1], row):
            last = out[-1]
            out[-1] = Row(tuple(sorted(last.along + row.along)), last.low, row.high)
        else:
            out.append(row)
    return tuple(out)


def group_action(rows: tuple[Row, ...], D: float, members: str, main: tuple[float, float], side: tuple[float, float], sheet: Calculation) -> float:
    """The least group action factor of the rows: with the row's greatest spacing where its bolts stand unevenly (both ours, on the safe side).

    members: row of the load/slip table; main, side: modulus (psi) and gross area (in2) of the members on either side
    """
    table = read_table(TABLES, "connection_load_slip")
    line = table.find(members=members)
    k = sheet.given("k", float(line["coefficient"]), "lb/in", table.cite(line))
    slip = sheet(gamma, k=k, e=float(line["exponent"]), D=D)
    several = [r for r in rows if len(r.along) > 1]
    if not several:
        sheet.given("C_g (one bolt in a row)", 1.0, "-", table.cite(line))
        return 1.0
    trial = [float(C_g(len(r.along), max(r.spacings), D, slip, *main, *side)) for r in several]
    row = several[int(np.argmin(trial))]
    return float(sheet(C_g, n=float(len(row.along)), s=max(row.spacings), D=D, gamma=slip, E_m=main[0], A_m=main[1], E_s=side[0], A_s=side[1]))
