"""The text of an exchange file (ISO 10303-21): entities numbered in the order in which they are written, strings, numbers, header."""

from __future__ import annotations

import re
from dataclasses import dataclass

NOISE = 1e-12
"""A coordinate or direction cosine below it is zero."""


@dataclass(frozen=True)
class Header:
    description: str
    name: str
    time: str
    system: str
    schema: str


def encoded(text: str) -> str:
    """A string literal of ISO 10303-21: quotes and backslashes doubled, other characters as \\X2\\ or \\X4\\ and their hexadecimal code."""
    text = text.replace("\\", "\\\\").replace("'", "''")
    if text.isascii() and text.isprintable():
        return f"'{text}'"
    text = re.sub("[\U00010000-\U0010ffff]+", lambda m: "\\X4\\" + m[0].encode("utf-32-be").hex().upper() + "\\X0\\", text)
    return "'" + re.sub(r"[^ -~]+", lambda m: "\\X2\\" + m[0].encode("utf-16-be").hex().upper() + "\\X0\\", text) + "'"


def real(value: float) -> str:
    """A number as ISO 10303-21 has it, to twelve figures."""
    if abs(value) < NOISE:
        return "0."
    mantissa, power, exponent = f"{value:.12G}".partition("E")
    return (mantissa if "." in mantissa else f"{mantissa}.") + power + exponent


class Exchange:
    """Entities as they are written; a reference is its text, ``#7``. What says the same twice within one product is written once."""

    def __init__(self) -> None:
        self.lines: list[str] = []
        self.known: dict[str, str] = {}
        self.numbers: dict[float, str] = {}

    def add(self, entity: str) -> str:
        self.lines.append(entity)
        return f"#{len(self.lines)}"

    def once(self, entity: str) -> str:
        """For what has no identity of its own: points, directions, placements, units."""
        found = self.known.get(entity)
        if found is None:
            found = self.known[entity] = self.add(entity)
        return found

    def forget(self) -> None:
        """Begin a new product: it shares nothing with the one before."""
        self.known.clear()

    def number(self, value: float) -> str:
        """``real``, remembered: most numbers of a product are said often."""
        found = self.numbers.get(value)
        if found is None:
            found = self.numbers[value] = real(value)
        return found

    def point(self, x: float, y: float, z: float) -> str:
        return self.once(f"CARTESIAN_POINT('',({self.number(x)},{self.number(y)},{self.number(z)}))")

    def direction(self, x: float, y: float, z: float) -> str:
        return self.once(f"DIRECTION('',({self.number(x)},{self.number(y)},{self.number(z)}))")

    def placement(self, point: str, axis: str, along: str) -> str:
        return self.once(f"AXIS2_PLACEMENT_3D('',{point},{axis},{along})")

    def text(self, header: Header) -> str:
        data = [f"#{k}={line};" for k, line in enumerate(self.lines, start=1)]
        description, name, time, system, schema = (encoded(v) for v in vars(header).values())
        return "\n".join((
            "ISO-10303-21;", "HEADER;", f"FILE_DESCRIPTION(({description}),'2;1');", f"FILE_NAME({name},{time},(''),(''),{system},{system},'');",
            f"FILE_SCHEMA(({schema}));", "ENDSEC;", "DATA;", *data, "ENDSEC;", "END-ISO-10303-21;", "",
        ))  # fmt: skip
