"""Reference design values: which row of the Supplement a surveyed wood and section belongs to."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from detailgen.core.clause import Cite, TableStatus
from detailgen.core.errors import NotCovered
from detailgen.core.table import Table, read_table
from detailgen.core.tolerance import rounded_length
from detailgen.standards.interface import Stiffness, WoodGrade

TABLES = Path(__file__).parent / "tables"
DIMENSION, STRINGERS, POSTS, GLULAM = "dimension lumber", "beams and stringers", "posts and timbers", "glulam"
DIMENSION_BELOW = 4.5
"""Least dimension (in) from which sawn wood counts as timber: nominal 5 in. is 4-1/2 in. dressed (NDS 4.1.3)."""
STRINGER_EXCESS = 2.0
"""Beams and stringers are more than this much (in) wider than thick (NDS 4.1.3.4)."""
NEEDED = ("Fb", "Ft", "Fv", "Fc_perp", "Fc", "E", "E_min", "G")
OPTIONAL = ("Fb_neg", "Fby", "E_min_y", "E_axial")
FOLLOWS = {"Fb_neg": "Fb", "Fby": "Fb", "E_min_y": "E_min", "E_axial": "E"}
"""A project value for the one on the right also replaces the one on the left, unless that is given too."""

Row = Mapping[str, str | float]
Found = tuple[str, str, dict[str, tuple[float, Cite]]]
"""Species, grade as the table writes it, and values with their source."""


@dataclass(frozen=True)
class ReferenceValues:
    """Reference design values of one wood in one section (psi; G without unit), before any adjustment.

    Fb counts for moments that stretch the bottom edge, Fb_neg for the opposite, Fby for bending about the weak axis of glulam;
    E_min is for bending in the truss plane, E_min_y across it. Sawn wood has one value for each pair.
    """

    product: str
    species: str
    grade: str
    size_class: str
    wet: bool
    Fb: float
    Fb_neg: float
    Fby: float
    Ft: float
    Fv: float
    Fc_perp: float
    Fc: float
    E: float
    E_axial: float
    E_min: float
    E_min_y: float
    G: float
    cites: tuple[tuple[str, Cite], ...]

    def cite_of(self, name: str) -> Cite:
        """Where one of the values stands."""
        return dict(self.cites)[name]

    @property
    def cite(self) -> Cite:
        """The least sure source among all the values."""
        return min((c for _, c in self.cites), key=lambda c: c.status)


def size_class(thickness: float, depth: float) -> str:
    """Size class of sawn wood by its measured size (in)."""
    least, greatest = sorted((rounded_length(thickness), rounded_length(depth)))
    if least < DIMENSION_BELOW:
        return DIMENSION
    return STRINGERS if rounded_length(greatest - least) > STRINGER_EXCESS else POSTS


def nominal_width(width: float) -> float:
    """Smallest standard nominal width (in) that is not below the measured one; the last stands for all wider ones."""
    widths = sorted({float(row["width"]) for row in read_table(TABLES, "size_factor")})
    return next((w for w in widths if w >= rounded_length(width)), widths[-1])


def size_factor_row(species: str, thickness: float, depth: float) -> tuple[Row, Cite]:
    """Row of the size factors of dimension lumber for a measured section (in)."""
    least, greatest = sorted((rounded_length(thickness), rounded_length(depth)))
    table = read_table(TABLES, "size_factor")
    steps = sorted({float(row["thickness_to"]) for row in table})
    step = next((t for t in steps if least <= t), steps[-1])
    row = table.find(table_of="4B" if _plain(species) == "southernpine" else "4A", thickness_to=step, width=nominal_width(greatest))
    return row, table.cite(row)


def _plain(text: str) -> str:
    return re.sub(r"[\s\-–.]+", "", text).casefold()


def _grade_today(wood: WoodGrade) -> str:
    for row in read_table(TABLES, "grade_names"):
        if (row["product"], _plain(str(row["species"])), _plain(str(row["old_name"]))) == (wood.product, _plain(wood.species), _plain(wood.grade)):
            return str(row["grade"])
    grade = _plain(wood.grade)
    return grade.removeprefix("axial") if wood.product == "glulam" else grade


def _rows(table: Table, wood: WoodGrade) -> list[Row]:
    grade = _plain(_grade_today(wood))
    return [r for r in table if _plain(str(r["species"])) == _plain(wood.species) and _plain(str(r["grade"])) == grade]


def known_woods() -> dict[str, tuple[str, ...]]:
    """Grades in printed order by ``product: species``."""
    found: dict[str, dict[str, None]] = {}
    for product, name in (("sawn", "sawn_reference"), ("glulam", "glulam_bending"), ("glulam", "glulam_axial")):
        for row in read_table(TABLES, name):
            found.setdefault(f"{product}: {row['species']}", {})[str(row["grade"])] = None
    return {key: tuple(grades) for key, grades in found.items()}


def _not_covered(wood: WoodGrade, what: str) -> NotCovered:
    exists = "; ".join(f"{key}: {', '.join(grades)}" for key, grades in known_woods().items() if key.startswith(wood.product))
    asked = f"{wood.product} {wood.species} {wood.grade}{what}"
    return NotCovered(f"no reference values for {asked}; the tables hold {exists or 'sawn and glulam'}", "NDS 2018 Supplement")


def _of(row: Row, cite: Cite, columns: Iterable[tuple[str, str]]) -> dict[str, tuple[float, Cite]]:
    return {name: (float(row[column]), cite) for name, column in columns}


def _sawn(wood: WoodGrade, thickness: float, depth: float) -> Found:
    table = read_table(TABLES, "sawn_reference")
    group = size_class(thickness, depth)
    width = nominal_width(max(thickness, depth))
    rows = [r for r in _rows(table, wood) if r["size_class"] == group]
    fitting = [r for r in rows if float(r["width_from"]) <= width <= float(r["width_to"])]
    if not fitting:
        raise _not_covered(wood, f" as {group}" + (f", nominal width {width:g} in." if rows else ""))
    row = fitting[0]
    return str(row["species"]), str(row["grade"]), _of(row, table.cite(row), ((name, name) for name in NEEDED))


def laminations(species: str, depth: float) -> int:
    """Whole laminations over a depth (in). Raises NotCovered for a species without a lamination thickness."""
    return int(rounded_length(depth / lamination(species)[0]))


def lamination(species: str) -> tuple[float, Cite]:
    """Thickness of a lamination (in)."""
    table = read_table(TABLES, "glulam_layup")
    for row in table:
        if _plain(str(row["species"])) == _plain(species):
            return float(row["lamination"]), table.cite(row)
    raise NotCovered(f"no lamination thickness for glulam of {species}", "NDS 2018 Supplement table 1D")


def volume_exponent(species: str) -> tuple[float, Cite]:
    """Exponent x of the volume factor."""
    table = read_table(TABLES, "glulam_layup")
    for row in table:
        if _plain(str(row["species"])) == _plain(species):
            return float(row["volume_exponent"]), table.cite(row)
    raise NotCovered(f"no volume factor exponent for glulam of {species}", "NDS 2018 5.3.6")


def _glulam(wood: WoodGrade, depth: float, count: int) -> Found:
    bending, moduli, axial = (read_table(TABLES, n) for n in ("glulam_bending", "glulam_bending_moduli", "glulam_axial"))
    for row in _rows(bending, wood):
        columns = [("Fb", "Fbx_pos"), ("Fb_neg", "Fbx_neg"), ("Ft", "Ft"), ("Fv", "Fvx"), ("Fc_perp", "Fc_perp"), ("Fc", "Fc"), ("E", "Ex")]
        columns.append(("G", "G"))
        second = moduli.find(grade=row["grade"], species=row["species"])
        more = (("Fby", "Fby"), ("E_min", "Ex_min"), ("E_min_y", "Ey_min"), ("E_axial", "E_axial"))
        return str(row["species"]), str(row["grade"]), _of(row, bending.cite(row), columns) | _of(second, moduli.cite(second), more)
    for row in _rows(axial, wood):
        count = count or laminations(wood.species, depth)
        if count < 2:
            raise _not_covered(wood, f" with {count} lamination over {depth:g} in.")
        some, number = ("4_or_more", "4_or_more") if count >= 4 else ("2_or_3", str(count))
        columns = [("Ft", "Ft"), ("Fv", "Fvx"), ("Fc_perp", "Fc_perp"), ("Fc", f"Fc_{some}"), ("Fby", f"Fby_{number}"), ("E", "E")]
        columns += [("E_axial", "E"), ("E_min", "E_min"), ("E_min_y", "E_min"), ("G", "G")]
        deep = read_table(TABLES, "glulam_axial_depth")
        step = [r for r in deep if rounded_length(depth) > float(r["depth_over"])][-1]
        factor, cite = float(step["Fbx_factor"]), axial.cite(row)
        if factor != 1.0:
            cite = cite.also(deep.cite(step))
        bent = (float(row["Fbx_to_15_in"]) * factor, cite)
        return str(row["species"]), str(row["grade"]), _of(row, axial.cite(row), columns) | {"Fb": bent, "Fb_neg": bent}
    raise _not_covered(wood, "")


def _given(wood: WoodGrade) -> dict[str, tuple[float, Cite]]:
    unknown = [name for name, _ in wood.given if name not in NEEDED + OPTIONAL]
    if unknown:
        raise NotCovered(f"project values {', '.join(unknown)} have no place here; known are {', '.join(NEEDED + OPTIONAL)}", "NDS 2018 4.2, 5.2")
    bad = [name for name, value in wood.given if not value > 0]
    if bad:
        raise NotCovered(f"project values {', '.join(bad)} must be above zero", "NDS 2018 4.2, 5.2")
    cite = Cite("project file", wood.source or "no source stated", "", TableStatus.READ)
    return {name: (value, cite) for name, value in wood.given}


@lru_cache(maxsize=4096)
def wood_values(wood: WoodGrade, thickness: float, depth: float, laminations_over_depth: int = 0) -> ReferenceValues:
    """Reference values of a wood in a measured section.

    thickness: across the truss, in
    depth: in the truss plane, in
    laminations_over_depth: of glulam; 0 = as many whole ones as the depth holds
    Raises: NotCovered for a wood that neither the tables nor the project's own values hold
    """
    given = _given(wood)
    own = all(name in given for name in NEEDED)
    if wood.product not in ("sawn", "glulam"):
        raise _not_covered(wood, "")
    species, grade, found = wood.species, wood.grade, dict(given)
    try:
        if wood.product == "sawn":
            species, grade, found = _sawn(wood, thickness, depth)
        else:
            species, grade, found = _glulam(wood, depth, laminations_over_depth)
    except NotCovered:
        if not own:
            raise
    found |= given
    for name, base in FOLLOWS.items():
        if name not in given and (base in given or name not in found):
            found[name] = found[base]
    group = GLULAM if wood.product == "glulam" else size_class(thickness, depth)
    values = {name: value for name, (value, _) in found.items()}
    return ReferenceValues(wood.product, species, grade, group, wood.wet, cites=tuple((n, c) for n, (_, c) in found.items()), **values)


def stiffness(wood: WoodGrade, thickness: float, depth: float) -> Stiffness:
    """What the analysis needs: E for shortening and deflection (wet service counted) and specific gravity."""
    values = wood_values(wood, thickness, depth)
    table = read_table(TABLES, "wet_service")
    row = table.find(size_class=values.size_class)
    factor = float(row["E"]) if wood.wet else 1.0
    cite = values.cite_of("E_axial")
    return Stiffness(values.E_axial * factor, values.G, cite.also(table.cite(row)) if wood.wet else cite)
