"""How steep something is, as it is set out: rise over 12 in. or over 1000 mm, the round number on the longer leg (common practice, no published
source)."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from detailgen.core.units import UnitSystem

NOTHING = math.radians(0.005)
BASE = {"US": 12, "SI": 1000}


@dataclass(frozen=True)
class Bevel:
    """The legs of the triangle as they are written: level and plumb. ``up``: it rises to the right."""

    level: str
    plumb: str
    up: bool
    degrees: float

    @property
    def words(self) -> str:
        """Plumb leg to level leg: 6 7/8 : 12; in SI with the degrees."""
        return f"{self.plumb} : {self.level}"


def bevel_of(angle: float, units: UnitSystem) -> Bevel | None:
    """The bevel of a line at ``angle`` (rad) to the level; None for one that is level or plumb."""
    turned = (angle + math.pi / 2) % math.pi - math.pi / 2
    steep = abs(turned)
    if steep < NOTHING or math.pi / 2 - steep < NOTHING:
        return None
    base = BASE[units.name]
    short = base * math.tan(min(steep, math.pi / 2 - steep))
    legs = (str(base), _short(short, units))
    level, plumb = legs if steep <= math.pi / 4 else (legs[1], legs[0])
    return Bevel(level, plumb, turned > 0, math.degrees(steep))


def _short(value: float, units: UnitSystem) -> str:
    """The shorter leg: to a sixteenth of an inch, or to a millimetre."""
    if units.name == "SI":
        return str(round(value))
    ticks = Fraction(round(value * 16), 16)
    whole, rest = divmod(ticks, 1)
    return f"{whole} {rest}".strip() if whole and rest else str(rest if rest else whole)


def bevel_words(angle: float, units: UnitSystem) -> str:
    """A bevel as a table writes it."""
    found = bevel_of(angle, units)
    if found is None:
        return "level" if abs(math.sin(angle)) < 0.5 else "plumb"
    way = "up" if found.up else "down"
    degrees = f", {found.degrees:.1f}\N{DEGREE SIGN}" if units.name == "SI" else ""
    return f"{found.words} {way}{degrees}"
