"""Single values of the project file: quantities with their unit, plain numbers, words. Each reads text and knows its JSON Schema."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic_core import PydanticCustomError, core_schema

from detailgen.core.tolerance import LENGTH_IN
from detailgen.core.units import EXAMPLES, UNITS, QuantityError, article, feet_inches, parse
from detailgen.survey.document import cut

MOST_LETTERS = 40
"""A quantity longer than this is none; it keeps numbers inside what a float holds."""
_FIGURE = r"(\d+[ -]\d+/\d+|\d+/\d+|\d+\.\d+|\.\d+|\d+)"
_FEET = rf"\d+\s*('|ft)\s*-?\s*{_FIGURE}\s*(\"|in)"
GREATEST = {"length": 1e5, "unit weight": 1.0}
"""Sanity bounds in inside units: no truss is 8,000 ft long, no wood weighs 1 lb/in3."""


def refuse(found: str, allowed: str, to_do: str = "") -> PydanticCustomError:
    """An error that carries the three parts of an InputProblem."""
    return PydanticCustomError("refused", "{found}", {"found": found, "allowed": allowed, "to_do": to_do})


class _Scalar:
    """Reads one text; subclasses say how."""

    def read(self, value: Any) -> Any:  # noqa: ANN401
        raise NotImplementedError

    def schema(self) -> dict[str, Any]:
        raise NotImplementedError

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> core_schema.CoreSchema:  # noqa: ANN401
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(self, source: core_schema.CoreSchema, handler: GetJsonSchemaHandler) -> dict[str, Any]:
        return self.schema()


@dataclass(frozen=True)
class Quantity(_Scalar):
    """A number with its unit. ``positive``: more than 0; ``signed``: may be negative; neither: 0 or more."""

    kind: str
    positive: bool = False
    signed: bool = False

    def read(self, value: Any) -> float:  # noqa: ANN401
        text = str(value)
        if len(text) > MOST_LETTERS:
            raise refuse(f"'{cut(text)}'", f"{article(self.kind)} {self.kind} with its unit, such as {EXAMPLES[self.kind]}")
        try:
            number = parse(text, self.kind)
        except QuantityError as error:
            bare = "bare number" in error.found
            first = EXAMPLES[self.kind].split(", ")[0].split(" ")[-1]
            raise refuse(error.found, error.allowed, f"Write the unit, for instance '{text} {first}'." if bare else "") from None
        if self.positive and number <= LENGTH_IN * (self.kind == "length"):
            raise refuse(f"'{text}'", f"{article(self.kind)} {self.kind} of more than 0")
        if not self.signed and number < 0:
            raise refuse(f"'{text}'", f"{article(self.kind)} {self.kind} of 0 or more")
        if abs(number) > GREATEST.get(self.kind, 1e12):
            most = feet_inches(GREATEST["length"]) if self.kind == "length" else "a size that can be built"
            raise refuse(f"'{text}'", f"at most {most}", "Check the unit.")
        return number

    def schema(self) -> dict[str, Any]:
        units = "|".join(re.escape(u) for u in sorted(UNITS[self.kind], key=lambda u: (-len(u), u)))
        sign = r"[+-]?\s*" if self.signed else r"\+?\s*"
        plain = rf"{_FIGURE}\s*({units})"
        pattern = rf"^\s*{sign}({_FEET}|{plain})\s*$" if self.kind == "length" else rf"^\s*{sign}{plain}\s*$"
        return {"type": "string", "pattern": pattern, "examples": EXAMPLES[self.kind].split(", ")}


@dataclass(frozen=True)
class Figure(_Scalar):
    """A number without a unit, from ``least`` to ``most``."""

    least: float
    most: float
    what: str = "number"
    whole: bool = False

    @property
    def allowed(self) -> str:
        return f"{article(self.what)} {self.what} from {self.least:g} to {self.most:g}"

    def read(self, value: Any) -> float | int:  # noqa: ANN401
        text = str(value)
        pattern = r"[+-]?\d{1,9}" if self.whole else r"[+-]?(\d{1,12}(\.\d{0,20})?|\.\d{1,20})"
        if not re.fullmatch(pattern, text, re.ASCII):
            raise refuse(f"'{cut(text)}'", self.allowed, "It takes no unit." if re.match(r"[+-]?[\d.]", text) else "")
        number = int(text) if self.whole else float(text)
        if not (math.isfinite(number) and self.least <= number <= self.most):
            raise refuse(f"'{text}'", self.allowed)
        return number

    def schema(self) -> dict[str, Any]:
        return {"type": "integer" if self.whole else "number", "minimum": self.least, "maximum": self.most}


@dataclass(frozen=True)
class Wording(_Scalar):
    """Text. ``optional``: may be empty."""

    optional: bool = False

    def read(self, value: Any) -> str:  # noqa: ANN401
        text = " ".join(str(value).split())
        if not text and not self.optional:
            raise refuse("an empty text", "a text")
        if len(text) > 400:
            raise refuse(f"a text of {len(text)} letters", "at most 400 letters", "Shorten it; long notes belong in a file of their own.")
        return text

    def schema(self) -> dict[str, Any]:
        return {"type": ["string", "number"]} if self.optional else {"type": ["string", "number"], "minLength": 1}


@dataclass(frozen=True)
class Day(_Scalar):
    """A date, year first."""

    def read(self, value: Any) -> str:  # noqa: ANN401
        try:
            if not re.fullmatch(r"\d{4}-\d\d-\d\d", str(value), re.ASCII):
                raise ValueError
            return date.fromisoformat(str(value)).isoformat()
        except ValueError:
            raise refuse(f"'{cut(str(value))}'", "a date as year-month-day, such as 2026-05-04") from None

    def schema(self) -> dict[str, Any]:
        return {"type": "string", "pattern": r"^\d{4}-\d\d-\d\d$", "examples": ["2026-05-04"]}


@dataclass(frozen=True)
class Answer(_Scalar):
    """Yes or no."""

    def read(self, value: Any) -> bool:  # noqa: ANN401
        known = {"yes": True, "true": True, "no": False, "false": False}
        if str(value).lower() not in known:
            raise refuse(f"'{cut(str(value))}'", "yes or no")
        return known[str(value).lower()]

    def schema(self) -> dict[str, Any]:
        return {"enum": ["yes", "no", True, False]}


@dataclass(frozen=True)
class Bracing(_Scalar):
    """Brace points in words: ``joints``, ``none``, or ``every 24 in``. Reads to a spacing: 0 for none, -1 for joints."""

    def read(self, value: Any) -> float:  # noqa: ANN401
        text = str(value)
        if text == "joints":
            return -1.0
        if text == "none":
            return 0.0
        if text.startswith("every "):
            spacing = float(Quantity("length", positive=True).read(text.removeprefix("every ").strip()))
            if spacing < 1:
                raise refuse(f"'{text}'", "a spacing of 1 in. or more")
            return spacing
        raise refuse(f"'{cut(text)}'", "joints, none, 'every 24 in', or a list of stations")

    def schema(self) -> dict[str, Any]:
        length = str(Quantity("length").schema()["pattern"])
        return {
            "type": "string",
            "pattern": f"^(joints|none|every {length.removeprefix('^').removesuffix('$')})$",
            "examples": ["joints", "none", "every 24 in"],
        }


Length = Annotated[float, Quantity("length")]
PositiveLength = Annotated[float, Quantity("length", positive=True)]
Coordinate = Annotated[float, Quantity("length", signed=True)]
AreaLoad = Annotated[float, Quantity("area load")]
SignedAreaLoad = Annotated[float, Quantity("area load", signed=True)]
PositiveAreaLoad = Annotated[float, Quantity("area load", positive=True)]
UnitWeight = Annotated[float, Quantity("unit weight", positive=True)]
Stress = Annotated[float, Quantity("stress", positive=True)]
Force = Annotated[float, Quantity("force")]
PositiveForce = Annotated[float, Quantity("force", positive=True)]
Angle = Annotated[float, Quantity("angle", signed=True)]
Slip = Annotated[float, Quantity("stiffness", positive=True)]
RotationalStiffness = Annotated[float, Quantity("rotational stiffness", positive=True)]
Words = Annotated[str, Wording()]
Note = Annotated[str, Wording(optional=True)]
IsoDate = Annotated[str, Day()]
YesNo = Annotated[bool, Answer()]
Braced = Annotated[float, Bracing()]
Remaining = Annotated[float, Figure(0, 1, "factor")]
SnowFactor = Annotated[float, Figure(0.5, 2, "factor")]
WinterWind = Annotated[float, Figure(0.1, 1, "parameter")]
Gravity = Annotated[float, Figure(0.2, 1.2, "specific gravity")]
Panels = Annotated[int, Figure(2, 100, "whole number", whole=True)]
Count = Annotated[int, Figure(1, 1000, "whole number", whole=True)]
