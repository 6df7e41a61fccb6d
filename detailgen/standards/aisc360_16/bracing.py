"""Braces that hold a column at a point (appendix 6): what they must be able to take, and how stiff they must be."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from detailgen.core.clause import Calculation, Cite, Number, require
from detailgen.core.table import read_table
from detailgen.standards.aisc360_16.strength import TABLES
from detailgen.standards.interface import ALLOWABLE_STRESS

Floats = NDArray[np.float64]


def P_br(P_r: Number) -> Number:
    """Required strength of a point brace of a column that is out of line by its braced length over 500.

    P_r: compression in the column, lb
    Returns: lb
    Source: AISC 360-16, A-6 (appendix 6), 6.2.2, equation A-6-3
    """
    return 0.01 * P_r


def P_br_bowed(P_br: Number, bow: Number, L_br: Number) -> Number:
    """The same for a column that is farther out of line: the force grows as the bow does.

    P_br: required strength for a column that is out of line by L_br / 500, lb
    bow: how far the column is out of line at the brace, in
    L_br: unbraced length beside the brace, in
    Returns: lb
    Source: AISC 360-16, commentary to A-6 (appendix 6)
    """
    require((np.asarray(bow) >= 0) & (np.asarray(L_br) > 0), "a bow of none or more over a length above zero", "AISC 360-16 appendix 6")
    return P_br * np.maximum(1.0, bow / (L_br / 500))


def beta_br(P_r: Number, L_br: Number, Omega: Number) -> Number:
    """Required stiffness of a point brace, service loads.

    P_r: compression in the column, lb
    L_br: unbraced length beside the brace, in
    Omega: safety factor, -
    Returns: lb/in
    Source: AISC 360-16, A-6 (appendix 6), 6.2.2, equation A-6-4b
    """
    return Omega * 8 * P_r / L_br


def beta_br_design(P_r: Number, L_br: Number, phi: Number) -> Number:
    """Required stiffness of a point brace, factored loads.

    P_r: compression in the column, lb
    L_br: unbraced length beside the brace, in
    phi: resistance factor, -
    Returns: lb/in
    Source: AISC 360-16, A-6 (appendix 6), 6.2.2, equation A-6-4a
    """
    return 8 * P_r / L_br / phi


def point_brace(sheet: Calculation, compression: Floats, length: float, bow: float, method: str = ALLOWABLE_STRESS) -> tuple[Floats, Floats]:
    """Strength (lb) and stiffness (lb/in) that a point brace needs, per compression (lb), all put on the sheet.

    length: unbraced length beside the brace, in; bow: how far the braced member is out of line, in
    """
    table = read_table(TABLES, "bracing")
    row = table.find(limit_state="point brace of a column")
    column, symbol = ("omega", "Omega") if method == ALLOWABLE_STRESS else ("phi", "phi")
    P_r = sheet.given("P_r", compression, "lb", Cite("analysis", "compression in the braced member"))
    L_br = sheet.given("L_br", length, "in", Cite("detail", "longest length without a brace beside this one"))
    delta = sheet.given("bow", bow, "in", Cite("survey", "how far the member is out of line"))
    strength = sheet(P_br_bowed, P_br=sheet(P_br, P_r=P_r), bow=delta, L_br=L_br)
    factor = {symbol: float(sheet.given(symbol, float(row[column]), "-", table.cite(row)))}
    stiffness = sheet(beta_br if method == ALLOWABLE_STRESS else beta_br_design, P_r=P_r, L_br=L_br, **factor)
    return np.asarray(strength, dtype=float), np.asarray(stiffness, dtype=float)
