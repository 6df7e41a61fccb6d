"""Local stresses in groups of bolts (Appendix E): net section, row tear-out, group tear-out.

They are always computed where bolts push a wood part towards one of its ends: spacing that meets the tables is not enough.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from detailgen.core.clause import Calculation, Cite, Number, require
from detailgen.core.table import read_table
from detailgen.core.tolerance import rounded_length
from detailgen.standards.interface import ConnectedPart, Floats
from detailgen.standards.nds_2018.adjustment import factors
from detailgen.standards.nds_2018.group_action import Row, rows_along, rows_that_count
from detailgen.standards.nds_2018.member_factors import one_section
from detailgen.standards.nds_2018.method import Method
from detailgen.standards.nds_2018.reference import GLULAM, ReferenceValues

TABLES = Path(__file__).parent / "tables"

CHECKS = {
    "net section at the bolts": "Appendix E.2",
    "row tear-out": "Appendix E.3",
    "group tear-out": "Appendix E.4",
}


def A_net(t: Number, w: Number, n_h: Number, D_h: Number) -> Number:
    """Net area at the critical cross-section of a bolt group.

    t: thickness, in
    w: width across the grain, in
    n_h: number of holes in the section, -
    D_h: diameter of the holes, in
    Returns: in2
    Source: NDS 2018, 3.1.2 and Appendix E.2
    """
    return t * (w - n_h * D_h)


def Z_NT(F_t_prime: Number, A_net: Number) -> Number:
    """Tension at the net section.

    F_t_prime: adjusted tension value, psi
    A_net: net area, in2
    Returns: lb
    Source: NDS 2018, Appendix E.2, equation E.2-1
    """
    return F_t_prime * A_net


def F_v_connection(F_v_prime: Number, C_vr: Number) -> Number:
    """Shear value of glulam at connections.

    F_v_prime: adjusted shear value, psi
    C_vr: shear reduction factor, -
    Returns: psi
    Source: NDS 2018, 5.3.10
    """
    return F_v_prime * C_vr


def C_vr(sheet: Calculation) -> float:
    """Shear reduction factor of glulam at connections, put on the sheet."""
    table = read_table(TABLES, "connection_factors")
    row = table.find(factor="C_vr", condition="glulam at connections")
    return float(sheet.given("C_vr", float(row["value"]), "-", table.cite(row)))


def Z_RT_row(n: Number, F_v: Number, t: Number, s_critical: Number) -> Number:
    """Tear-out of one row: two shear planes, mean stress half of the greatest.

    n: number of bolts in the row, -
    F_v: shear value that counts, psi
    t: thickness, in
    s_critical: least of end distance and spacings in the row, in
    Returns: lb
    Source: NDS 2018, Appendix E.3, equation E.3-2
    """
    return n * F_v * t * s_critical


def A_group_net(t: Number, n_rows: Number, s_row: Number, D_h: Number) -> Number:
    """Net area between the first and the last row.

    t: thickness, in
    n_rows: number of rows, -
    s_row: mean distance between rows, in
    D_h: diameter of the holes, in
    Returns: in2
    Source: NDS 2018, Appendix E.4
    """
    return t * (n_rows - 1) * (s_row - D_h)


def Z_GT(Z_RT_first: Number, Z_RT_last: Number, F_t_prime: Number, A_group_net: Number) -> Number:
    """Tear-out of the group between its first and last row.

    Z_RT_first: tear-out of the first row, lb
    Z_RT_last: tear-out of the last row, lb
    F_t_prime: adjusted tension value, psi
    A_group_net: net area between these rows, in2
    Returns: lb
    Source: NDS 2018, Appendix E.4, equation E.4-1
    """
    return Z_RT_first / 2 + Z_RT_last / 2 + F_t_prime * A_group_net


@dataclass(frozen=True)
class LocalValues:
    """What a group may carry by each local stress, and by its bolts (lb); Z_GT is inf for a single row."""

    bolts: Number
    Z_NT: Number
    Z_RT: Number
    Z_GT: Number

    @property
    def governs(self) -> Number:
        return np.minimum(np.minimum(self.bolts, self.Z_NT), np.minimum(self.Z_RT, self.Z_GT))


def local_values(
    *, t: Number, w: Number, D_h: Number, bolts_per_row: Sequence[Number], s_row: Number, s_critical: Number | Sequence[Number], n_h: Number,
    F_t_prime: Number, F_v: Number, Z_prime: Number, C_g: Number = 1.0,
) -> LocalValues:  # fmt: skip
    """Appendix E for one wood part; arrays over layouts are allowed for everything but the number of rows.

    t, w, D_h, s_row, s_critical: thickness, width, hole, mean distance of rows, least of end distance and spacing (one, or one per row), in
    n_h: holes in the net section; F_t_prime, F_v: psi; Z_prime: adjusted value of one bolt without C_g, lb
    """
    count = len(bolts_per_row)
    require(count >= 1, "a group needs a row", "NDS 2018 Appendix E")
    critical: list[Number] = list(s_critical) if isinstance(s_critical, (list, tuple)) else [s_critical] * count  # type: ignore[list-item]
    rows = [Z_RT_row(n, F_v, t, s) for n, s in zip(bolts_per_row, critical, strict=True)]
    group = Z_GT(rows[0], rows[-1], F_t_prime, A_group_net(t, count, s_row, D_h)) if count > 1 else np.inf
    total = sum(rows[1:], start=rows[0])
    return LocalValues(sum(bolts_per_row[1:], start=bolts_per_row[0]) * Z_prime * C_g, Z_NT(F_t_prime, A_net(t, w, n_h, D_h)), total, group)


def holes_in_one_section(rows: Sequence[Row], D: float) -> int:
    """Most rows with a hole in one net section: staggered holes near each other along the grain count together (3.1.2.2)."""
    together = one_section() * D
    starts = sorted({u for row in rows for u in row.along})
    return max(sum(any(-1e-9 <= u - start < together - 1e-6 for u in row.along) for row in rows) for start in starts)


def loaded_end(part: ConnectedPart, sense: int) -> tuple[float, int, float]:
    """The end that the bolts push the part towards: its coordinate, its direction along the grain (+-1), and the share of the force along the grain.

    sense: 1 while the connected member is in tension, -1 in compression. The end is inf where the part runs through or is loaded across.
    """
    cosine = math.cos(part.load_angle) * sense
    if abs(cosine) < 1e-9:
        return math.inf, 1, 0.0
    return (part.ends[1], 1, cosine) if cosine > 0 else (part.ends[0], -1, -cosine)


@dataclass(frozen=True)
class LocalCheck:
    """Resistance (lb, one entry per combination) of one part by one local stress."""

    check: str
    capacity: Floats
    sheet: Calculation


def local_checks(
    part: ConnectedPart, values: ReferenceValues, D: float, D_h: float, time: tuple[Floats, Cite], sense: int, by: Method
) -> list[LocalCheck]:
    """Appendix E for one part whose loaded end is finite. time: load duration or time effect, one entry per combination, and where it stands."""
    end, direction, _ = loaded_end(part, sense)
    if not math.isfinite(end):
        return []
    t, w = part.thickness, part.edges[1] - part.edges[0]
    grain_lines = rows_along(part.bolts)
    rows = rows_that_count(grain_lines)
    some = factors(values, t, w)
    tension, tear, group = Calculation(), Calculation(), Calculation()

    def F_t(sheet: Calculation) -> Number:
        reference = sheet.given(f"F_t of {part.name}", values.Ft, "psi", values.cite_of("Ft"))
        C_M = sheet.given("C_M", some.C_M["Ft"].value, "-", some.C_M["Ft"].cite)
        C_F = sheet.given("C_F", some.C_F["Ft"].value, "-", some.C_F["Ft"].cite)
        return sheet(by.F_t_prime, F_t=reference, **by.terms(sheet, "Ft", *time), C_M=C_M, C_t=1.0, C_F=C_F)  # type: ignore[no-any-return]

    def F_v(sheet: Calculation) -> Number:
        reference = sheet.given(f"F_v of {part.name}", values.Fv, "psi", values.cite_of("Fv"))
        C_M = sheet.given("C_M", some.C_M["Fv"].value, "-", some.C_M["Fv"].cite)
        adjusted = sheet(by.F_v_prime, F_v=reference, **by.terms(sheet, "Fv", *time), C_M=C_M, C_t=1.0)
        if values.size_class != GLULAM:
            return adjusted  # type: ignore[no-any-return]
        return sheet(F_v_connection, F_v_prime=adjusted, C_vr=C_vr(sheet))  # type: ignore[no-any-return]

    def tear_out(sheet: Calculation) -> list[Number]:
        shear = F_v(sheet)
        out: list[Number] = []
        for row in rows:
            end_distance = min(direction * (end - u) for u in row.along)
            critical = rounded_length(min((end_distance, *row.spacings)))
            out.append(sheet(Z_RT_row, n=float(len(row.along)), F_v=shear, t=t, s_critical=critical))
        return out

    area = tension(A_net, t=t, w=w, n_h=float(holes_in_one_section(grain_lines, D)), D_h=D_h)
    found = [LocalCheck("net section at the bolts", np.asarray(tension(Z_NT, F_t_prime=F_t(tension), A_net=area)), tension)]
    rows_torn = tear_out(tear)
    total = np.sum(np.stack([np.asarray(z) for z in rows_torn]), axis=0)
    if len(rows) > 1:
        tear.given("Z_RT (all rows)", total, "lb", values.cite_of("Fv"))
    found.append(LocalCheck("row tear-out", total, tear))
    if len(rows) > 1:
        torn = tear_out(group)
        mean = ((rows[-1].low + rows[-1].high) - (rows[0].low + rows[0].high)) / 2 / (len(rows) - 1)
        net = group(A_group_net, t=t, n_rows=float(len(rows)), s_row=rounded_length(mean), D_h=D_h)
        capacity = group(Z_GT, Z_RT_first=torn[0], Z_RT_last=torn[-1], F_t_prime=F_t(group), A_group_net=net)
        found.append(LocalCheck("group tear-out", np.asarray(capacity), group))
    return found
