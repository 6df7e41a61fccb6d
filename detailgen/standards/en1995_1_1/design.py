"""From characteristic to design values (2.3, 2.4, 3.1) and the size effect (3.2, 3.3); what the tables of this folder hold about them."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np

from detailgen.core.clause import Cite, Number
from detailgen.core.errors import NotCovered
from detailgen.core.table import read_table
from detailgen.standards.interface import Floats

DOCUMENT = "EN 1995-1-1:2004+A1"
TABLES = Path(__file__).parent / "tables"
DRY, WET = 2, 3
"""Service classes: a dry wood counts as class 2, which has the k_mod of class 1; a wet one as class 3."""


def X_d(k_mod: Number, X_k: Number, gamma_M: Number) -> Number:
    """Design value of a strength.

    k_mod: modification factor for duration of load and moisture, -
    X_k: characteristic strength, MPa
    gamma_M: partial factor of the material, -
    Returns: MPa
    Source: EN 1995-1-1:2004+A1, 2.4.1, equation 2.14
    """
    return k_mod * X_k / gamma_M


def R_d(k_mod: Number, R_k: Number, gamma_M: Number) -> Number:
    """Design value of a resistance.

    k_mod: modification factor for duration of load and moisture, -
    R_k: characteristic resistance, N
    gamma_M: partial factor of the connection, -
    Returns: N
    Source: EN 1995-1-1:2004+A1, 2.4.3, equation 2.17
    """
    return k_mod * R_k / gamma_M


def k_h(reference: Number, size: Number, exponent: Number, greatest: Number) -> Number:
    """Factor of the size effect in bending and tension: shallow pieces are stronger.

    reference: size from which on the factor is 1, mm
    size: depth in bending, or the greater side in tension, mm
    exponent: exponent of the product, -
    greatest: greatest value of the product, -
    Returns: -
    Source: EN 1995-1-1:2004+A1, 3.2(3) and 3.3(3), equations 3.1 and 3.2
    """
    return np.minimum(np.maximum((reference / size) ** exponent, 1.0), greatest)


def service_class(wet: bool) -> int:
    return WET if wet else DRY


def k_mod(product: str, wet: bool, durations: Sequence[str]) -> tuple[Floats, Cite]:
    """Modification factor per combination from the duration of its shortest load.

    Raises: NotCovered for a product without a row, or a duration that no class holds
    """
    classes, values = read_table(TABLES, "load_duration"), read_table(TABLES, "k_mod")
    row = values.find(product=product, service_class=float(service_class(wet)))
    names = []
    for duration in durations:
        try:
            names.append(str(classes.find(duration=duration)["class"]))
        except NotCovered:
            known = ", ".join(str(r["duration"]) for r in classes)
            raise NotCovered(f"load duration '{duration}'; known are {known}", f"{DOCUMENT} 2.3.1.2") from None
    cite = values.cite(row)
    status = min(cite.status, classes.cite().status)
    return np.array([float(row[n]) for n in names]), Cite(cite.document, cite.clause, cite.table, status)


def gamma_M(of: str) -> tuple[float, Cite]:
    """Partial factor of a product, or of "connections"."""
    table = read_table(TABLES, "gamma_M")
    row = table.find(of=of)
    return float(row["gamma_M"]), table.cite(row)


def size_factor(product: str, size: Number) -> tuple[Number, Cite]:
    """k_h of a product for a size (mm)."""
    table = read_table(TABLES, "size_effect")
    row = table.find(product=product)
    value = k_h(float(row["reference"]), size, float(row["exponent"]), float(row["greatest"]))
    cite = table.cite(row)
    return value, Cite(cite.document, str(row["clause"]), cite.table, cite.status)


def product_of(beta_c: float) -> str:
    """The product whose straightness a factor beta_c stands for. Raises NotCovered for another value."""
    return str(read_table(TABLES, "column_imperfection").find(beta_c=beta_c)["product"])
