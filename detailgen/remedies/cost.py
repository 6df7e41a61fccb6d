"""What a repair costs by weights that a project may set: steel, bolts, timber, strands, hours on site. It compares repairs; it is no estimate."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from detailgen.core.units import POUND, UnitSystem
from detailgen.model.detail import BOUGHT, Detail
from detailgen.model.project import Truss

WEIGHTS = {"steel": 6.0, "bolts": 15.0, "timber": 4.0, "strands": 12.0, "field hours": 90.0}
"""Per pound, per bolt, per pound, per pound, per hour; of one money, whatever its name (ours, to be set to the practice's own)."""
ITEM = "cost of "
"""Items of a truss's overrides that set a weight: "cost of steel" and so on; the value is a number."""
PER_HOLE, PER_PART, SHORED = 0.25, 1.0, 8.0
"""Hours on site: for each hole that is drilled there, for each part that is fitted, for shores at a joint (ours)."""


@dataclass(frozen=True)
class Effort:
    """What goes into a repair: lb, bolts, lb, lb, hours."""

    steel: float = 0.0
    bolts: float = 0.0
    timber: float = 0.0
    strands: float = 0.0
    hours: float = 0.0

    def __add__(self, other: Effort) -> Effort:
        return Effort(self.steel + other.steel, self.bolts + other.bolts, self.timber + other.timber, self.strands + other.strands,
                      self.hours + other.hours)  # fmt: skip

    def cost(self, weights: Mapping[str, float]) -> float:
        amounts = (self.steel, self.bolts, self.timber, self.strands, self.hours)
        return round(sum(weights[name] * amount for name, amount in zip(WEIGHTS, amounts, strict=True)), 2)

    def words(self, weights: Mapping[str, float], units: UnitSystem) -> str:
        mass, factor = ("lb", 1.0) if units.name == "US" else ("kg", POUND)
        named = [(self.steel * factor, f"{mass} of steel"), (self.bolts, "bolts"), (self.timber * factor, f"{mass} of timber"),
                 (self.strands * factor, f"{mass} of strand and anchors"), (self.hours, "hours on site")]  # fmt: skip
        return f"{self.cost(weights):,.0f} by the stated weights ({', '.join(f'{v:,.0f} {name}' for v, name in named if v > 0.5)})"


def effort_of(detail: Detail) -> Effort:
    """From the joint as it is built."""
    times = detail.times
    new = [p for p in detail.parts if not p.existing]
    own = [p for p in new if p.kind not in BOUGHT]
    holes = sum(1 for p in detail.parts for h in p.holes if h.template)
    hours = PER_HOLE * holes + PER_PART * len(new) + (0.0 if detail.shores.startswith("none") else SHORED)
    return Effort(
        steel=times * sum(p.weight for p in own if p.material == "steel"), bolts=float(times * len(detail.bolts)),
        timber=times * sum(p.weight for p in own if p.material == "wood"), strands=times * sum(p.weight for p in new if p.kind in BOUGHT),
        hours=times * hours,
    )  # fmt: skip


def effort_of_all(details: Iterable[Detail]) -> Effort:
    return sum((effort_of(d) for d in details), Effort())


def weights_of(truss: Truss) -> tuple[dict[str, float], str]:
    """The weights for a truss, and what is wrong with those that its overrides set ("": nothing)."""
    weights, wrong = dict(WEIGHTS), ""
    for override in truss.overrides:
        if not override.item.startswith(ITEM):
            continue
        name = override.item.removeprefix(ITEM)
        try:
            value = float(override.value)
        except ValueError:
            value = -1.0
        if name not in WEIGHTS or not 0 <= value < 1e9:
            wrong = f"override '{override.item}': found '{override.value}'; allowed: a number of 0 or more for {', '.join(ITEM + n for n in WEIGHTS)}"
        else:
            weights[name] = value
    return weights, wrong
