"""What a repair costs by weights that a project may set: steel, bolts, timber, strands, hours on site. It compares repairs; it is no estimate."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from detailgen.core.units import POUND, UnitSystem
from detailgen.model.detail import BOUGHT, Detail
from detailgen.model.project import Truss
from detailgen.remedies.contract import Repair

WEIGHTS = {"steel": 6.0, "bolts": 15.0, "timber": 4.0, "strands": 12.0, "field hours": 90.0}
"""Per pound, per bolt, per pound, per pound, per hour; of one money, whatever its name (ours, to be set to the practice's own)."""
ITEM = "cost of "
"""Items of a truss's overrides that set a weight: "cost of steel" and so on; the value is a number."""
PER_HOLE, PER_PART, SHORED = 0.25, 1.0, 8.0
"""Hours on site: for each hole that is drilled there, for each part that is fitted, for shores at a joint (ours)."""
LIGHT, PER_LIGHT = 2.0, 0.25
"""A part under so many pounds (a filler, an anchor) takes so many hours to fit (ours)."""


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


def effort_of(detail: Detail, *, shored: bool = True) -> Effort:
    """From the joint as it is built. ``shored``: shores are set for it, unless it says that it needs none."""
    times = detail.times
    new = [p for p in detail.parts if not p.existing]
    own = [p for p in new if p.kind not in BOUGHT]
    holes = sum(1 for p in detail.parts for h in p.holes if h.template)
    fitted = sum(PER_LIGHT if p.weight < LIGHT else PER_PART for p in new)
    hours = PER_HOLE * holes + fitted + (SHORED if shored and not detail.shores.startswith("none") else 0.0)
    return Effort(
        steel=times * sum(p.weight for p in own if p.material == "steel"), bolts=float(times * len((*detail.bolts, *detail.longer))),
        timber=times * sum(p.weight for p in own if p.material == "wood"), strands=times * sum(p.weight for p in new if p.kind in BOUGHT),
        hours=times * hours,
    )  # fmt: skip


def effort_of_repair(repair: Repair) -> Effort:
    """All details of a repair, shores once; of strands, which a detail shows only in part, the whole length."""
    effort = sum((effort_of(d, shored=False) for d in repair.further), effort_of(repair.detail))
    strands = repair.truss.strands
    if repair.stressing is None or strands is None:
        return effort
    shown = sum(p.weight * d.times for d in (repair.detail, *repair.further) for p in d.parts if p.kind == "strand")
    return replace(effort, strands=effort.strands - shown + strands.weight)


def effort_of_all(repairs: Iterable[Repair]) -> Effort:
    return sum((effort_of_repair(r) for r in repairs), Effort())


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
