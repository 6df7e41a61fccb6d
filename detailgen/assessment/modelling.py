"""What the survey asks of the analysis beyond the plain frame: shear, slip and free travel of bolts, the deformed truss."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from detailgen.analysis.contacts import Contacts, solve_contacts
from detailgen.analysis.frame import summed
from detailgen.analysis.second_order import solve_second_order
from detailgen.loads.cases import LoadSet
from detailgen.model.assessment import Combination
from detailgen.model.frame import FrameModel
from detailgen.model.project import Modelling, Truss
from detailgen.model.structure import FrameResult
from detailgen.standards.interface import WoodStandard

SHEAR = 5 / 6 / 16
"""Shear stiffness of a wood section as part of E A: five sixths of the area (rectangle), G a sixteenth of E (common practice, softwood)."""


def web_slip(truss: Truss, wood: WoodStandard) -> dict[str, float]:
    """Stiffness (lb/in) of the bolts at both ends of each web, in line with it; webs without surveyed bolts are left out."""
    ends: dict[str, list[float]] = {}
    for c in truss.connections:
        if truss.member(c.member).kind == "web":
            count = len(c.bolts.positions) - c.bolts.missing
            if count > 0:
                ends.setdefault(c.member, []).append(wood.slip_modulus(c.bolts.diameter) * count)
    return {name: 1 / sum(1 / k for k in found) for name, found in ends.items()}


def slipping(model: FrameModel, stiffness: dict[str, float]) -> FrameModel:
    """The frame with the slip of its webs' bolts."""
    slip = np.array([stiffness.get(name, math.inf) for name in model.structure.member])
    return replace(model, structure=replace(model.structure, slip=slip))


def as_asked(model: FrameModel, truss: Truss, asked: Modelling, wood: WoodStandard) -> FrameModel:
    """The frame with what the survey asks for."""
    structure = model.structure
    if asked.shear:
        stiffness = np.where(structure.A > 0, SHEAR * structure.E * structure.A, 1.0)
        model = replace(model, structure=replace(structure, shear=stiffness))
    if asked.slip:
        model = slipping(model, web_slip(truss, wood))
    if asked.play > 0:
        bolted = {c.member for c in truss.connections if truss.member(c.member).kind == "web"}
        ends = {m: sum(1 for c in truss.connections if c.member == m) for m in bolted}
        play = np.array([asked.play * ends.get(name, 0) for name in structure.member])
        model = replace(model, structure=replace(model.structure, play=play))
    return model


@dataclass(frozen=True)
class OneByOne:
    """Answers with a row per combination, where load cases cannot be added up, and what must be said about them."""

    result: FrameResult
    warnings: tuple[str, ...]
    told: tuple[str, ...] = ()


def _idle(model: FrameModel, truss: Truss, found: Contacts) -> tuple[str, ...]:
    """Which members of one sense carry nothing, and under what."""
    lines, names = [], found.result.names
    for member in (m for m in truss.members if m.carries != "both"):
        pieces = [k for k, name in enumerate(model.structure.member) if name == member.name and model.active[k]]
        loose = np.flatnonzero((found.state[:, pieces] == 0).any(axis=1)) if pieces else np.array([], dtype=np.int64)
        under = ", ".join(names[k] for k in loose[:3].tolist()) + (f" and {len(loose) - 3} more" if len(loose) > 3 else "")
        what = f"it is loose under {under}" if len(loose) else "it carries in every combination"
        lines.append(f"Truss {truss.mark}: web {member.name} carries {member.carries} only, as surveyed; {what}.")
    return tuple(lines)


def solve_one_by_one(model: FrameModel, truss: Truss, loads: LoadSet, combinations: Sequence[Combination], asked: Modelling) -> OneByOne:
    """Every combination by itself: bolts with free travel bear one way or the other, some members carry one sense only, the deformed truss
    depends on the whole load.

    Raises: Unstable
    """
    cases = {c.name: c for c in loads.cases}
    whole = [summed(model.structure, c.name, [(cases[n], f) for n, f in c.factors]) for c in combinations]
    if asked.second_order:
        found = solve_second_order(model.structure, whole, active=model.active)
        return OneByOne(found.result, found.warnings())
    contacts = solve_contacts(model.structure, whole, active=model.active)
    return OneByOne(contacts.result, (), _idle(model, truss, contacts))
