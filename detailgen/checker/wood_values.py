"""What the wood of a part may be stressed with, read from the tables of its standard by the part's name, measured section and stated facts.

Where a fact is not stated (how long the load lasts, dry or wet) a value has two bounds: what it is at least, and at most.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from detailgen.checker.drawing import Face
from detailgen.checker.rules import Row, table_of
from detailgen.core.clause import Cite
from detailgen.core.errors import NotCovered
from detailgen.core.table import Table
from detailgen.core.tolerance import rounded_length
from detailgen.core.units import MM, QuantityError, parse

MPA = 145.03773773
"""psi"""
TIMBER_FROM, STRINGER_OVER = 4.5, 2.0
"""Sawn wood from 5 in. nominal is timber; a stringer is over 2 in. wider than thick (in; NDS 4.1.3)."""
DURATION, MOISTURE = "how long the load lasts (duration)", "whether it is dry or wet in service"
SERVICE_CLASS = {"dry": 2.0, "wet": 3.0}
"""EN 1995-1-1 2.3.1.3; class 2 has the k_mod of class 1."""


@dataclass(frozen=True)
class Span:
    """A value that is at least ``low`` and at most ``high``."""

    low: float
    high: float

    def __mul__(self, other: Span | float) -> Span:
        a, b = (other.low, other.high) if isinstance(other, Span) else (other, other)
        return Span(self.low * a, self.high * b)

    def __add__(self, other: Span) -> Span:
        return Span(self.low + other.low, self.high + other.high)


ONE = Span(1.0, 1.0)


@dataclass(frozen=True)
class Stress:
    """Tension along the grain at a net section, tension and shear around a block (psi), each with its source; ``missing`` facts."""

    tension: Span
    block_tension: Span
    shear: Span
    of_tension: Cite
    of_shear: Cite
    missing: tuple[str, ...]


def stress_of(face: Face, thickness: float, depth: float, duration: str) -> Stress:
    """Values of a wood part of a measured section (in). Raises NotCovered for what no table holds."""
    ways = {"nds_2018": _by_nds, "en1995_1_1": _by_eurocode}
    if face.standard not in ways:
        raise NotCovered(f"strength of wood by the standard '{face.standard}'")
    product = product_of(face)
    if product not in ("sawn", "glulam"):
        raise NotCovered("whether it is sawn or glulam")
    return ways[face.standard](face, product, thickness, depth, duration)


def product_of(face: Face) -> str:
    """Sawn or glulam: as stated, else as the specification says; "" where neither does."""
    if stated := face.facts.get("product", ""):
        return stated
    if re.search(r"glulam|combination|\b\d\dF|\bGL\d\d", face.specification, re.IGNORECASE):
        return "glulam"
    return "sawn" if re.search(r"No\. ?\d|Select|Structural|Construction|Standard|Stud|\b[CD]\d\d", face.specification, re.IGNORECASE) else ""


def service_of(face: Face) -> str:
    """dry, wet, or "" where nobody says; new wood says it behind its grade."""
    if stated := face.facts.get("service", ""):
        return stated
    return next((word for word in ("dry", "wet") if face.specification.endswith(f", {word}")), "")


def _named(face: Face) -> str:
    return _plain(face.specification.removesuffix(", dry").removesuffix(", wet"))


@lru_cache(maxsize=4096)
def _plain(text: str) -> str:
    return re.sub(r"[^a-z0-9&]+", "", text.casefold())


def _given(face: Face, name: str) -> tuple[float, Cite] | None:
    """A value of the project instead of the table's (psi)."""
    text = face.facts.get(name, "")
    try:
        return (parse(text, "stress"), Cite("tags", f"{name} as stated")) if text else None
    except QuantityError as fault:
        raise NotCovered(f"{name} that can be read: '{text}' ({fault})") from fault


def _row(face: Face, tables: Sequence[Table], product: str, keep: dict[str, str]) -> tuple[Table, Row] | None:
    """The row whose species and grade make up the part's name, in today's name of the grade."""
    own = _named(face)
    for old in table_of(face.standard, "grade_names"):
        if old["product"] == product and _plain(f"{old['species']}{old['old_name']}") == own:
            own = _plain(f"{old['species']}{old['grade']}")
    for table in tables:
        for row in table:
            names = [f"{row['species']}{row['grade']}"] + ([f"{row['species']}axial{row['grade']}"] if table.name == "glulam_axial" else [])
            if own in map(_plain, names) and all(row[k] == v for k, v in keep.items()):
                return table, row
    return None


def _by_nds(face: Face, product: str, thickness: float, depth: float, duration: str) -> Stress:
    """F_t' and F_v' of NDS 4.3 and 5.3 (C_t 1): reference value, C_D, C_M, size factor of dimension lumber, C_vr of glulam at connections."""
    least, greatest = sorted((rounded_length(thickness), rounded_length(depth)))
    size = "glulam"
    if product == "sawn":
        size = "dimension lumber" if least < TIMBER_FROM else "beams and stringers" if greatest - least > STRINGER_OVER else "posts and timbers"
    widths = table_of(face.standard, "size_factor")
    nominal = _step([float(r["width"]) for r in widths], greatest)
    if product == "sawn":
        reference = table_of(face.standard, "sawn_reference")
        rows = [r for r in reference if float(r["width_from"]) <= nominal <= float(r["width_to"])]
        one = _row(face, [_only(reference, rows)], product, {"size_class": size})
        shear = "Fv"
    else:
        one = _row(face, [table_of(face.standard, n) for n in ("glulam_bending", "glulam_axial")], product, {})
        shear = "Fvx"
    tabled = {} if one is None else {n: (float(one[1][c]), one[0].cite(one[1])) for n, c in (("Ft", "Ft"), ("Fv", shear))}
    found: dict[str, tuple[float, Cite]] = {}
    for name in ("Ft", "Fv"):
        value = _given(face, name) or tabled.get(name)
        if value is None:
            raise NotCovered(f"{name} of '{face.specification}' as {size} (no row; it may be stated as {name}=... psi)")
        found[name] = value
    factored = factored_loads(face)
    lasts, missing = (_time_effect if factored else _duration)(face, duration)
    by_strength = {n: _conversion(face, n) if factored else 1.0 for n in found}
    service, wet = service_of(face), table_of(face.standard, "wet_service").find(size_class=size)
    missing += () if service else (MOISTURE,)
    moist = {n: Span(min(1.0, float(wet[n])), 1.0) if not service else Span(*(2 * [float(wet[n]) if service == "wet" else 1.0])) for n in found}
    sized = at_joint = 1.0
    if size == "dimension lumber":
        sized = _size_factor(widths, "4B" if _named(face).startswith("southernpine") else "4A", least, nominal)
    if product == "glulam":
        at_joint = float(table_of(face.standard, "connection_factors").find(factor="C_vr", condition="glulam at connections")["value"])
    tension = ONE * found["Ft"][0] * lasts * moist["Ft"] * (sized * by_strength["Ft"])
    shearing = ONE * found["Fv"][0] * lasts * moist["Fv"] * (at_joint * by_strength["Fv"])
    return Stress(tension, tension, shearing, found["Ft"][1], found["Fv"][1], missing)


def _duration(face: Face, duration: str) -> tuple[Span, tuple[str, ...]]:
    """C_D, for connections at most 1.6 (table 11.3.1, note 2); any of the table's where nobody says how long the load lasts."""
    table = table_of(face.standard, "load_duration")
    most = float(table_of(face.standard, "connection_factors").find(factor="C_D", condition="greatest at connections")["value"])
    if not duration:
        values = [min(float(r["C_D"]), most) for r in table]
        return Span(min(values), max(values)), (DURATION,)
    value = min(float(_duration_row(table, duration)["C_D"]), most)
    return Span(value, value), ()


LEADING = {
    "permanent": ("1.4D", "any"), "ten years": ("1.2D + 1.6L + 0.5(Lr or S or R)", "occupancy"),
    "snow": ("1.2D + 1.6(Lr or S or R) + (L or 0.5W)", "any"), "construction": ("1.2D + 1.6(Lr or S or R) + (L or 0.5W)", "any"),
    "wind": ("1.2D + 1.0W + L + 0.5(Lr or S or R)", "any"), "impact": ("1.2D + 1.6L + 0.5(Lr or S or R)", "impact"),
}  # fmt: skip
"""The combination of NDS table N3 in which a load of each duration leads."""


def factored_loads(face: Face) -> bool:
    """Are the loads those of strength design? Raises NotCovered where what is stated is neither."""
    said = face.facts.get("loads", "service")
    if said not in ("service", "factored"):
        raise NotCovered(f"whether its loads are of service or factored: '{said}' is neither")
    return said == "factored"


def _time_effect(face: Face, duration: str) -> tuple[Span, tuple[str, ...]]:
    """lambda of table N3, at connections no more than its note 2 says; any of the table's where nobody says how long the load lasts."""
    table = table_of(face.standard, "time_effect")
    most = float(table_of(face.standard, "time_effect_limits").find(where="connections")["lambda"])
    if not duration:
        values = [min(float(r["lambda"]), most) for r in table]
        return Span(min(values), max(values)), (DURATION,)
    if duration not in LEADING:
        raise NotCovered(f"a duration that the standard knows instead of '{duration}': {', '.join(LEADING)}")
    combination, live_load = LEADING[duration]
    value = min(float(table.find(combination=combination, live_load=live_load)["lambda"]), most)
    return Span(value, value), ()


def _conversion(face: Face, value: str) -> float:
    """K_F times phi of tables N1 and N2."""
    row = table_of(face.standard, "format_conversion").find(value=value)
    return float(row["K_F"]) * float(row["phi"])


def _duration_row(table: Table, duration: str) -> Row:
    try:
        return table.find(duration=duration)
    except NotCovered:
        raise NotCovered(f"a duration that the standard knows instead of '{duration}': {', '.join(str(r['duration']) for r in table)}") from None


def _step(values: Sequence[float], value: float) -> float:
    """The least of some steps that is not below a value; the last one stands for all beyond."""
    steps = sorted(set(values))
    return next((s for s in steps if s >= value), steps[-1])


def _only(table: Table, rows: Sequence[Row]) -> Table:
    return Table(table.name, table.document, table.clause, table.key, table.units, tuple(rows), table.status, table.sha256)


def _size_factor(table: Table, of: str, thickness: float, nominal: float) -> float:
    rows = [r for r in table if r["table_of"] == of]
    step = _step([float(r["thickness_to"]) for r in table], thickness)
    fitting = [r for r in rows if float(r["thickness_to"]) == step and float(r["width"]) == nominal]
    if not fitting:
        raise NotCovered(f"a size factor of table {of} for {thickness:g} x {nominal:g} in. nominal")
    return float(fitting[0]["Ft"])


def _by_eurocode(face: Face, product: str, thickness: float, depth: float, duration: str) -> Stress:
    """f_t,0,d with k_h (3.2, 3.3) by the partial factor of the wood, f_t,0 and f_v around a block by that of connections (2.4.1, 2.4.3)."""
    table = table_of(face.standard, f"strength_classes_{product}")
    row = next((r for r in table if _named(face).endswith(_plain(str(r["grade"])))), None)
    if row is None:
        raise NotCovered(f"the strength class of '{face.specification}'")
    factors = table_of(face.standard, "gamma_M")
    of_wood, of_joint = (float(factors.find(of=n)["gamma_M"]) for n in (product, "connections"))
    grows = table_of(face.standard, "size_effect").find(product=product)
    size = max(thickness, depth) / MM
    k_h = min(max((float(grows["reference"]) / size) ** float(grows["exponent"]), 1.0), float(grows["greatest"]))
    service = service_of(face)
    classes = table_of(face.standard, "load_duration")
    names = {str(_duration_row(classes, duration)["class"])} if duration else {str(r["class"]) for r in classes}
    rows = [r for r in table_of(face.standard, "k_mod") if r["product"] == product and (not service or r["service_class"] == SERVICE_CLASS[service])]
    values = [float(r[n]) for r in rows for n in names]
    missing = tuple(fact for fact, known in ((DURATION, duration), (MOISTURE, service)) if not known)
    k_mod = Span(min(values), max(values))
    f_t, f_v = float(row["f_t_0_k"]) * MPA, float(row["f_v_k"]) * MPA
    cite = table.cite(row)
    return Stress(k_mod * (f_t * k_h / of_wood), k_mod * (f_t / of_joint), k_mod * (f_v / of_joint), cite, cite, missing)
