"""Characteristic values of strength classes (EN 338, EN 14080), and a project's own values in their place. MPa and kg/m3."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from detailgen.core.clause import Cite, TableStatus
from detailgen.core.errors import NotCovered
from detailgen.core.table import read_table
from detailgen.standards.en1995_1_1.design import DOCUMENT, TABLES
from detailgen.standards.en1995_1_1.edge import from_MPa, to_MPa
from detailgen.standards.interface import Stiffness, WoodGrade

CLASSES = {"sawn": "strength_classes_sawn", "glulam": "strength_classes_glulam"}
NEEDED = ("f_m_k", "f_t_0_k", "f_c_0_k", "f_c_90_k", "f_v_k", "E_0_mean", "E_0_05", "rho_k", "rho_mean")
DENSITIES = ("rho_k", "rho_mean")


@dataclass(frozen=True)
class Timber:
    """Characteristic values of one wood."""

    product: str
    kind: str  # "softwood" or "hardwood"
    grade: str
    wet: bool
    f_m_k: float
    f_t_0_k: float
    f_c_0_k: float
    f_c_90_k: float
    f_v_k: float
    E_0_mean: float
    E_0_05: float
    rho_k: float
    rho_mean: float
    cites: tuple[tuple[str, Cite], ...]

    def cite_of(self, name: str) -> Cite:
        return dict(self.cites)[name]


def known_woods() -> dict[str, tuple[str, ...]]:
    """Classes in printed order by ``product: kind of wood``."""
    found: dict[str, list[str]] = {}
    for product, name in CLASSES.items():
        for row in read_table(TABLES, name):
            found.setdefault(f"{product}: {row['kind']}", []).append(str(row["grade"]))
    return {key: tuple(grades) for key, grades in found.items()}


def _given(wood: WoodGrade) -> dict[str, tuple[float, Cite]]:
    unknown = [name for name, _ in wood.given if name not in NEEDED]
    if unknown:
        raise NotCovered(f"project values {', '.join(unknown)} have no place here; known are {', '.join(NEEDED)}", f"{DOCUMENT} 2.4.1")
    bad = [name for name, value in wood.given if not value > 0]
    if bad:
        raise NotCovered(f"project values {', '.join(bad)} must be above zero", f"{DOCUMENT} 2.4.1")
    cite = Cite("project file", wood.source or "no source stated", "", TableStatus.READ)
    return {name: (value if name in DENSITIES else to_MPa(value), cite) for name, value in wood.given}


@lru_cache(maxsize=1024)
def timber(wood: WoodGrade) -> Timber:
    """Values of a wood by its kind ("softwood") and strength class ("C24", "GL24h").

    Raises: NotCovered for a wood that neither the tables nor the project's own values hold
    """
    known, given = known_woods(), _given(wood)
    if wood.product not in CLASSES:
        raise NotCovered(f"{wood.product}; known are {', '.join(CLASSES)}", f"{DOCUMENT} 3.2, 3.3")
    kind, grade, found = wood.species.strip().casefold(), wood.grade.strip().casefold(), dict(given)
    table = read_table(TABLES, CLASSES[wood.product])
    row = next((r for r in table if str(r["grade"]).casefold() == grade and r["kind"] == kind), None)
    if row is not None:
        found = {name: (float(row[name]), table.cite(row)) for name in NEEDED} | given
    elif set(given) != set(NEEDED) or kind not in ("softwood", "hardwood"):
        exists = "; ".join(f"{k}: {', '.join(g)}" for k, g in known.items())
        raise NotCovered(f"no strength class {wood.grade} of {wood.product} {wood.species}; the tables hold {exists}", f"{DOCUMENT} 3.2, 3.3")
    values = {name: value for name, (value, _) in found.items()}
    return Timber(wood.product, kind, wood.grade, wood.wet, cites=tuple((n, c) for n, (_, c) in found.items()), **values)


def stiffness(wood: WoodGrade) -> Stiffness:
    """Mean modulus (psi) and specific gravity (mean density over that of water)."""
    values = timber(wood)
    return Stiffness(from_MPa(values.E_0_mean), values.rho_mean / 1000, values.cite_of("E_0_mean"))
