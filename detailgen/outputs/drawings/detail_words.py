"""How a sheet of a detail writes lengths, sizes, parts and bolts."""

from __future__ import annotations

import math

from detailgen.core.units import MM, UnitSystem, feet_inches
from detailgen.model.detail import Bolt, Detail, Part
from detailgen.model.outlines import bounds, depth_of
from detailgen.model.package import Package
from detailgen.outputs.drawings.lettering import NO_BREAK

MM_DECIMALS = 1
"""Millimetres are written to a tenth where they are not whole, so that chains add up where sizes were chosen in inches."""


def number(value: float, units: UnitSystem) -> str:
    """A length (in) as dimensions write it: feet and inches, or millimetres without their unit."""
    if units.name == "US":
        return feet_inches(value)
    return f"{as_written(value, units) / MM + 0.0:.{MM_DECIMALS}f}".rstrip("0").rstrip(".")


def as_written(value: float, units: UnitSystem) -> float:
    """The length (in) that `number` writes for a length (in)."""
    step = MM / 10**MM_DECIMALS if units.name == "SI" else 1 / 16
    whole = math.floor(abs(value) / step + 0.5 + 1e-6) if units.name == "SI" else round(abs(value) / step)  # half up: 6.35 mm is 6.4
    return math.copysign(whole * step, value)


def length(value: float, units: UnitSystem) -> str:
    """A length (in) as notes and tables write it; it is never broken over two lines."""
    return (number(value, units) if units.name == "US" else f"{number(value, units)} mm").replace(" ", NO_BREAK)


def size(part: Part, units: UnitSystem) -> str:
    """Thickness x width x length."""
    part = part.as_cut
    x0, _, x1, _ = bounds(part.outline)
    parts = [number(v, units).replace(" ", NO_BREAK) for v in (part.thickness, depth_of(part.outline), x1 - x0)]
    if part.open_ends:  # it runs on: no length
        parts.pop()
    return f" x{NO_BREAK}".join(parts) + ("" if units.name == "US" else f"{NO_BREAK}mm")


def standing(part: Part) -> str:
    """(E) for what stands there; (N) for a timber that comes with the work on another truss."""
    return "(N)" if part.kind == "brace" or not part.existing else "(E)"


def label(detail: Detail, part: Part, package: Package) -> str:
    """(N) PL-1 or (E), and the part's name."""
    mark = package.mark_of(detail.key, part.key)
    return f"{standing(part)} {part.name}" if part.existing else f"(N) {mark} {part.name}".replace("  ", " ")


def diameter_words(value: float, units: UnitSystem) -> str:
    """A diameter (in): 13/16" dia."""
    return f"{length(value, units)} dia"


def bolt_callout(bolts: tuple[Bolt, ...], units: UnitSystem) -> str:
    """Quantity, diameter, length, grade and washers of bolts that are alike."""
    bolt = bolts[0]
    washers = {0: "no washer", 1: "washer under nut", 2: "washer under head and nut"}.get(bolt.washers, f"{bolt.washers} washers each")
    return f"(N) {len(bolts)} bolts {diameter_words(bolt.diameter, units)} x {length(bolt.length, units)}, {bolt.grade}, {washers}"


def alike(bolts: tuple[Bolt, ...]) -> list[tuple[Bolt, ...]]:
    """Bolts that are bought alike, in order of first use."""
    kinds: dict[tuple[float, float, str, int, float, str], list[Bolt]] = {}
    for b in bolts:
        kinds.setdefault((b.diameter, b.length, b.grade, b.washers, round(b.high - b.low, 6), b.head), []).append(b)
    return [tuple(group) for group in kinds.values()]
