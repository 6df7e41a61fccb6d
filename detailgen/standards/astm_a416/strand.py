"""Seven-wire strand, Grade 270: least breaking strength, area, yield, modulus."""

from __future__ import annotations

from pathlib import Path

from detailgen.core.clause import Number
from detailgen.core.errors import NotCovered
from detailgen.core.table import read_table
from detailgen.standards.anchorage import Strand

TABLES = Path(__file__).parent / "tables"
DOCUMENT = "ASTM A416"
KSI, KIP = 1000.0, 1000.0


def F_pu(f_pu: Number, A_p: Number) -> Number:
    """Least breaking strength.

    f_pu: tensile strength, psi
    A_p: area of the strand, in2
    Returns: lb
    Source: ASTM A416, 6.1, table 1
    """
    return f_pu * A_p


def F_py(share: Number, F_pu: Number) -> Number:
    """Least load at 1 % extension, which counts as yield.

    share: share of the breaking strength, -
    F_pu: least breaking strength, lb
    Returns: lb
    Source: ASTM A416, 6.3, table 2
    """
    return share * F_pu


def sizes() -> tuple[str, ...]:
    """Names of the sizes in printed order."""
    return tuple(str(r["size"]) for r in read_table(TABLES, "strand"))


def strand(size: str) -> Strand:
    """A strand by its size, such as "1/2 in.". Raises NotCovered for a size that the table does not hold."""
    table, material = read_table(TABLES, "strand"), read_table(TABLES, "material")
    found = next((r for r in table if r["size"] == size), None)
    if found is None:
        raise NotCovered(f"strand of size '{size}'; the table holds {', '.join(sizes())}", f"{DOCUMENT} table 1")
    breaking = float(found["breaking"]) * KIP
    share = float(read_table(TABLES, "yield_share").find(relaxation="low")["of_breaking"])
    modulus = material.find(property="E_p")
    cite = min(table.cite(found), material.cite(modulus), key=lambda c: c.status)
    return Strand(
        size, float(found["diameter"]), float(found["area"]), breaking, float(F_py(share, breaking)), float(modulus["value"]) * KSI,
        float(found["weight"]), cite,
    )  # fmt: skip
