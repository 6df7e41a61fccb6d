"""What rides on outlines and holes as extended data: ``key=value`` texts. Only facts that a drawing cannot show; never a length or a result."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from detailgen.core.errors import NotCovered
from detailgen.core.units import MM, QuantityError, parse

APPLICATION = "DETAILGEN"
EIGHTHS = 8
CONNECTORS = ("split ring", "shear plate")
"""Their own size is in their name."""
_SIZE = r"(?:\d+[ -]\d+/\d+|\d+/\d+|\d+\.\d+|\.\d+|\d+)\s*(?:in\.?|mm|\")"
_FASTENER = re.compile(rf"(?P<kind>.*[A-Za-z].*?)\s+(?P<size>{_SIZE})")


@dataclass(frozen=True)
class Load:
    """How one bolt group loads a part: forces (lb) while the connected member is in tension or in compression; ``direction`` (degrees, view axes)
    is that of the force of the bolts on this part while it is in tension. ``lasting``: the same forces by the duration of the shortest load."""

    group: str
    tension: float
    compression: float
    direction: float
    lasting: tuple[tuple[str, float, float], ...] = ()


@dataclass(frozen=True)
class Tags:
    """The texts of one entity. ``faults`` names those that cannot be read."""

    values: Mapping[str, str]
    loads: tuple[Load, ...] = ()
    faults: tuple[str, ...] = ()

    def __getitem__(self, key: str) -> str:
        return self.values.get(key, "")


@lru_cache(maxsize=4096)
def read_tags(texts: tuple[str, ...]) -> Tags:
    values: dict[str, str] = {}
    loads: list[Load] = []
    faults: list[str] = []
    for text in texts:
        key, sign, value = text.partition("=")
        if not sign:
            faults.append(f"'{text}' is no key=value")
        elif key == "load":
            group, *rest = value.split(";")
            numbers = dict(item.split("=", 1) for item in rest if "=" in item)
            try:
                tension, compression, direction = (float(numbers[k]) for k in ("tension", "compression", "direction"))
                lasts = numbers.get("duration", "").strip()
                loads.append(Load(group.strip(), tension, compression, direction, ((lasts, tension, compression),)))
            except (KeyError, ValueError):
                faults.append(f"'{text}' states no tension, compression and direction")
        elif key in values and values[key] != value:
            faults.append(f"{key} is stated twice: '{values[key]}' and '{value}'")
        else:
            values[key.strip()] = value.strip()
    return Tags(values, gathered(loads), tuple(faults))


def gathered(loads: Iterable[Load]) -> tuple[Load, ...]:
    """One load per group and direction, from one for each duration."""
    out: dict[tuple[str, float], Load] = {}
    for x in loads:
        known = out.get((x.group, x.direction))
        most = x if known is None else Load(x.group, max(known.tension, x.tension), max(known.compression, x.compression), x.direction,
                                            known.lasting + x.lasting)  # fmt: skip
        out[x.group, x.direction] = most
    return tuple(out.values())


@dataclass(frozen=True)
class Fastener:
    kind: str
    diameter: float

    @property
    def has_bolt_hole(self) -> bool:
        """Is its hole a little larger than it is? Screws and nails are bored smaller, if at all."""
        return self.kind == "bolt" or self.kind.endswith(CONNECTORS)

    @property
    def named_as_it_is(self) -> bool:
        """Some kinds say in their name which diameters they are of: "nail under 5 mm", "screw over 6 mm"."""
        bound = re.search(r"\b(under|from|over) ([\d.]+) mm\b", self.kind)
        if bound is None:
            return True
        mm, limit = self.diameter / MM, float(bound[2])
        return {"under": mm < limit, "from": mm > limit - 1e-6, "over": mm > limit}[bound[1]]


@lru_cache(maxsize=1024)
def fastener(text: str) -> Fastener:
    """Kind and diameter (in) of a fastener such as "bolt 3/4 in", "lag screw 1/2 in", "nail under 5 mm 4 mm"; a connector may come without
    the size of its bolt. Raises NotCovered for anything else.

    A designation in whole millimetres ("bolt 19 mm") names the inch bolt, in eighths, that rounds to it, because the tables are for inch
    bolts; with a decimal ("bolt 20.0 mm") it is the diameter itself, as it is where no inch bolt rounds to it.
    """
    match = _FASTENER.fullmatch(text.strip())
    if match is None and text.endswith(CONNECTORS):
        return Fastener(text, math.nan)
    if not match:
        raise NotCovered(f"fastener '{text}' is not known" if text else "no fastener is stated")
    try:
        diameter = parse(match["size"], "length")
    except QuantityError as fault:
        raise NotCovered(f"fastener '{text}': {fault}") from fault
    inch = round(diameter * EIGHTHS) / EIGHTHS
    whole = re.fullmatch(r"(\d+) ?mm", match["size"])
    return Fastener(match["kind"], inch if whole and round(inch / MM) == int(whole[1]) else diameter)
