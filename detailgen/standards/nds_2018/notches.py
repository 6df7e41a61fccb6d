"""Shear where a member is cut or hung on (3.4.3): notches, and connections near an end; how deep a notch may be (4.4.3, 5.4.5)."""

from __future__ import annotations

import numpy as np

from detailgen.core.clause import Cite, Number, require
from detailgen.core.errors import NotCovered
from detailgen.core.table import read_table
from detailgen.standards.nds_2018.reference import TABLES


def V_r_notch(F_v_prime: Number, b: Number, d: Number, d_n: Number) -> Number:
    """Shear that a member notched on its tension face carries.

    F_v_prime: adjusted shear value, psi
    b: breadth, in
    d: depth without the notch, in
    d_n: depth left at the notch, in
    Returns: lb
    Source: NDS 2018, 3.4.3.2 (a), equation 3.4-3
    """
    require((d_n > 0) & (d_n <= d), "the depth left at a notch lies between zero and the whole depth", "NDS 2018 3.4.3.2")
    return 2 / 3 * F_v_prime * b * d_n * (d_n / d) ** 2


def V_r_notch_round(F_v_prime: Number, A_n: Number, d: Number, d_n: Number) -> Number:
    """Shear that a round member notched on its tension face carries.

    F_v_prime: adjusted shear value, psi
    A_n: area left at the notch, in2
    d: depth without the notch, in
    d_n: depth left at the notch, in
    Returns: lb
    Source: NDS 2018, 3.4.3.2 (b), equation 3.4-4
    """
    require((d_n > 0) & (d_n <= d), "the depth left at a notch lies between zero and the whole depth", "NDS 2018 3.4.3.2")
    return 2 / 3 * F_v_prime * A_n * (d_n / d) ** 2


def V_r_compression_notch(F_v_prime: Number, b: Number, d: Number, d_n: Number, e: Number) -> Number:
    """Shear that a member notched on the compression face of its end carries.

    F_v_prime: adjusted shear value, psi
    b: breadth, in
    d: depth without the notch, in
    d_n: depth left at the notch, in
    e: how far the notch reaches inside the inner edge of the support, in
    Returns: lb
    Source: NDS 2018, 3.4.3.2 (e), equation 3.4-5
    """
    require((d_n > 0) & (d_n <= d), "the depth left at a notch lies between zero and the whole depth", "NDS 2018 3.4.3.2")
    require(e >= 0, "a notch reaches zero or more inside the support", "NDS 2018 3.4.3.2")
    return 2 / 3 * F_v_prime * b * np.maximum(d - (d - d_n) / d_n * e, d_n)


def V_r_connection(F_v_prime: Number, b: Number, d: Number, d_e: Number, to_end: Number) -> Number:
    """Shear that a member carries where a connection hangs on it.

    F_v_prime: adjusted shear value, psi
    b: breadth, in
    d: depth, in
    d_e: depth less the distance from the unloaded edge to the nearest bolt's centre or connector's edge, in
    to_end: distance of the connection from the member's end, in
    Returns: lb
    Source: NDS 2018, 3.4.3.3, equations 3.4-6 and 3.4-7
    """
    require((d_e > 0) & (d_e <= d), "the depth that counts at a connection lies between zero and the whole depth", "NDS 2018 3.4.3.3")
    return 2 / 3 * F_v_prime * b * d_e * np.where(to_end < 5 * d, (d_e / d) ** 2, 1.0)


def greatest_notch(product: str, face: str, place: str, d: float, b: float) -> tuple[float, Cite]:
    """Greatest depth of a notch (in) in a member b by d (in).

    product: "sawn" or "glulam"; face: "tension" or "compression"; place: "end", "outer thirds", "middle third"
    """
    table = read_table(TABLES, "notch_limits")
    rows = [r for r in table if (r["product"], r["face"], r["place"]) == (product, face, place)]
    if product == "sawn" and b >= 3.5:
        rows += [r for r in table if (r["product"], r["face"], r["place"]) == ("sawn 3-1/2 in. and thicker", face, place)]
    if not rows:
        raise NotCovered(f"no rule for a notch in the {face} face of {product}, {place}", f"NDS 2018 {table.clause}")
    row = min(rows, key=lambda r: min(float(r["fraction"]) * d, float(r["greatest"])))
    return min(float(row["fraction"]) * d, float(row["greatest"])), table.cite(row)
