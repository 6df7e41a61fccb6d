"""Quantities as people write them, read into inch, pound-force, psi and radian, and written back.

Inside the program every length is in inches, force in pounds, stress and area load in psi, angle in radians.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction

FOOT = 12.0
MM = 1 / 25.4
POUND = 0.45359237
"""A pound of mass, kg."""
NEWTON = 1 / 4.4482216152605
"""Pound-force per newton (exact by definition of the pound and of standard gravity)."""
KN = 1000 * NEWTON
MPA = NEWTON / MM**2

UNITS: dict[str, dict[str, float]] = {
    "length": {"in": 1.0, '"': 1.0, "ft": FOOT, "'": FOOT, "mm": MM, "cm": 10 * MM, "m": 1000 * MM},
    "force": {"lb": 1.0, "lbf": 1.0, "kip": 1000.0, "N": NEWTON, "kN": KN},
    "stress": {"psi": 1.0, "ksi": 1000.0, "MPa": MPA, "N/mm2": MPA},
    "area load": {"psf": 1 / FOOT**2, "kPa": MPA / 1000, "kN/m2": MPA / 1000},
    "line load": {"plf": 1 / FOOT, "lb/ft": 1 / FOOT, "lb/in": 1.0, "kN/m": NEWTON / MM, "N/mm": NEWTON / MM},
    "unit weight": {"pcf": 1 / FOOT**3, "kN/m3": KN / (1000 * MM) ** 3},
    "moment": {"in-lb": 1.0, "ft-lb": FOOT, "kip-in": 1000.0, "kip-ft": 12000.0, "kN-m": KN * 1000 * MM, "N-mm": NEWTON * MM},
    "stiffness": {"lb/in": 1.0, "kip/in": 1000.0, "N/mm": NEWTON / MM, "kN/mm": KN / MM},
    "rotational stiffness": {"in-lb/rad": 1.0, "kip-in/rad": 1000.0, "kip-ft/rad": 12000.0, "kN-m/rad": KN * 1000 * MM},
    "angle": {"deg": math.pi / 180, "rad": 1.0},
}
EXAMPLES = {
    "length": "2-1/2 in, 3'-6 1/4\", 38 mm",
    "force": "24 kip, 800 lb, 12 kN",
    "stress": "1500 psi, 10 MPa",
    "area load": "20 psf, 1.2 kPa",
    "line load": "40 plf, 0.6 kN/m",
    "unit weight": "35 pcf, 5.5 kN/m3",
    "moment": "40 kip-in, 5 kN-m",
    "stiffness": "12000 lb/in, 2.5 kN/mm",
    "rotational stiffness": "900 kip-in/rad, 100 kN-m/rad",
    "angle": "12 deg",
}

_NUMBER = r"(?:\d+[ -]\d+/\d+|\d+/\d+|\d+\.\d+|\.\d+|\d+)"
_SIMPLE = re.compile(rf"(?P<sign>[+-]?)\s*(?P<number>{_NUMBER})\s*(?P<unit>[A-Za-z'\"][\w/'\"-]*)")
_FEET_INCHES = re.compile(rf"(?P<sign>[+-]?)\s*(?P<feet>\d+)\s*(?:'|ft)\s*-?\s*(?P<inches>{_NUMBER})\s*(?:\"|in)")
_BARE = re.compile(rf"[+-]?\s*{_NUMBER}")
_QUOTES = str.maketrans({"’": "'", "′": "'", "”": '"', "″": '"', "–": "-", "−": "-", "²": "2", "³": "3"})


class QuantityError(ValueError):
    """A text that is not a quantity of the wanted kind: what was found and what is allowed."""

    def __init__(self, found: str, allowed: str) -> None:
        self.found, self.allowed = found, allowed
        super().__init__(f"found {found}; allowed: {allowed}")


def _number(text: str) -> float:
    whole, _, rest = text.replace("-", " ").partition(" ")
    try:
        return float(Fraction(whole) + (Fraction(rest) if rest else 0))
    except ZeroDivisionError:
        raise QuantityError(f"'{text}', a division by zero", "a number such as 2-1/2") from None


def article(kind: str) -> str:
    """'an' before a vowel, else 'a'."""
    return "an" if kind[:1] in "aeiou" else "a"


def parse(text: str, kind: str) -> float:
    """Read one quantity.

    text: as people write it, unit included ("2-1/2 in", "20 psf")
    kind: a key of UNITS
    Returns: the value in inside units (in, lb, psi, lb/in, lb/in3, in-lb, in-lb/rad, rad)
    Raises: QuantityError for a bare number, an unknown unit, or a unit of another kind
    """
    clean = text.strip().translate(_QUOTES)
    allowed = f"{article(kind)} {kind} with its unit, such as {EXAMPLES[kind]}"
    if kind == "length" and (match := _FEET_INCHES.fullmatch(clean)):
        value = int(match["feet"]) * FOOT + _number(match["inches"])
        return -value if match["sign"] == "-" else value
    if match := _SIMPLE.fullmatch(clean):
        unit = match["unit"]
        if unit in UNITS[kind]:
            value = _number(match["number"]) * UNITS[kind][unit]
            return -value if match["sign"] == "-" else value
        others = [k for k, units in UNITS.items() if unit in units]
        meant = f"'{unit}' is a unit of {others[0]}" if others else f"'{unit}' is no unit known here"
        raise QuantityError(f"'{text}' ({meant})", allowed)
    if _BARE.fullmatch(clean):
        raise QuantityError(f"'{text}', a bare number", allowed)
    raise QuantityError(f"'{text}'", allowed)


_TOLD = re.compile(r"(?<![\w.,/'-])(?:(\d+)-(?=\d+/))?(\d[\d,]*(?:\.\d+|/\d+)?) (in\.|psi|lb)(?![\w/-])")
"""A quantity in sentences that are the same in every project, each number with its own unit: '2.5 in.', '1-1/2 in.', '1,200 lb', '180 psi'."""


def feet_inches(value_in: float, denominator: int = 16) -> str:
    """Length (in) as feet, inches and fractions, to the nearest 1/denominator: 3'-6 1/4"."""
    ticks = round(abs(value_in) * denominator)
    feet, ticks = divmod(ticks, 12 * denominator)
    whole, part = divmod(ticks, denominator)
    sign = "-" if value_in < 0 and (feet or whole or part) else ""
    fraction = str(Fraction(part, denominator)) if part else ""
    inches = f"{whole} {fraction}".strip() if whole or feet or not part else fraction
    return f"{sign}{feet}'-{inches}\"" if feet else f'{sign}{inches}"'


@dataclass(frozen=True)
class UnitSystem:
    """How a project writes numbers. Each factor turns inside units into written units."""

    name: str
    length_unit: str
    length: float
    force_unit: str
    force: float
    stress_unit: str
    stress: float
    moment_unit: str
    moment: float
    area_load_unit: str
    area_load: float
    big_force_unit: str
    big_force: float

    def write_length(self, value_in: float) -> str:
        """A length (in) as this project's drawings write it."""
        return feet_inches(value_in) if self.name == "US" else f"{round(value_in / MM)} mm"

    def write_made(self, value_in: float) -> str:
        """A length (in) as it is made: millimetres with up to two decimals where they are not whole, since timber and bolts come in inches."""
        return feet_inches(value_in) if self.name == "US" else f"{round(value_in * self.length, 2):g} mm"

    def write_force(self, value_lb: float) -> str:
        """A force (lb) for reading: whole tens of pounds, or kN to one decimal."""
        return f"{round(value_lb, -1):,.0f} lb" if self.name == "US" else f"{value_lb * self.force:.1f} kN"

    def write_force_up(self, value_lb: float) -> str:
        """A force (lb) that something must take, rounded up: whole tens of pounds, or kN to one decimal."""
        step = 10.0 if self.name == "US" else 0.1 / self.force
        return self.write_force(math.ceil(round(value_lb / step, 6)) * step)

    def told(self, text: str) -> str:
        """A sentence of a standard, which knows no project, with its lengths, forces and stresses in this project's units."""
        return text if self.name == "US" else _TOLD.sub(self._turned, text)

    def _turned(self, found: re.Match[str]) -> str:
        value, unit = int(found[1] or 0) + float(Fraction(found[2].replace(",", ""))), found[3]
        if unit == "psi":
            return f"{value * self.stress:.3g} {self.stress_unit}"
        return self.write_force(value) if unit == "lb" else self.write_made(value)

    def write_area_load(self, value_psi: float) -> str:
        """An area load (psi) for reading."""
        return f"{value_psi * self.area_load:.1f} psf" if self.name == "US" else f"{value_psi * self.area_load:.2f} kPa"


US = UnitSystem("US", "in", 1.0, "lb", 1.0, "psi", 1.0, "in_lb", 1.0, "psf", FOOT**2, "kip", 0.001)
SI = UnitSystem("SI", "mm", 1 / MM, "kN", 1 / KN, "MPa", 1 / MPA, "kN_m", 1 / UNITS["moment"]["kN-m"], "kPa", 1000 / MPA, "kN", 1 / KN)
SYSTEMS = {"US": US, "SI": SI}
