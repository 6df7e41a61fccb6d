"""Would another assumption change the repair? The truss as repaired, solved and checked again with one assumption changed at a time."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial

import numpy as np

from detailgen.assessment.assess import solve_repaired
from detailgen.assessment.modelling import slipping, web_slip
from detailgen.core.errors import InputError, NotCovered
from detailgen.core.result import CheckResult
from detailgen.core.tolerance import at_most, rounded
from detailgen.model.assessment import Forces, Place, Variation
from detailgen.model.frame import FrameModel
from detailgen.model.member import Member
from detailgen.model.project import Project, Truss
from detailgen.standards.interface import LoadStandard, WoodStandard

LOOKED_AT = 0.6
"""Places under this ratio as repaired are not looked at again: no single assumption below makes a force two thirds larger (ours)."""
UNEVEN = 0.1
"""One of two plies stiffer and the other softer by this part of their stiffness and then some: shares of 60 and 40 percent (ours)."""

LOWER = {
    "Dense Select Structural": "Select Structural", "Select Structural": "No.1", "No.1 & Btr": "No.1", "Dense No.1": "No.1", "No.1": "No.2",
    "Dense No.2": "No.2", "No.2": "No.3",
}  # fmt: skip
"""What a grader who was too kind would have called one grade lower; grades between (No.1 & Btr, dense ones) are passed over."""

Altered = Callable[[FrameModel], FrameModel]


def _lower(truss: Truss, wood: WoodStandard) -> Truss | None:
    """Every ply one grade lower where the standard holds that grade; None where no ply has a lower grade."""
    grades = wood.known_woods()
    moved = False

    def member(m: Member) -> Member:
        nonlocal moved
        plies = []
        for ply in m.plies:
            below = LOWER.get(ply.wood.grade)
            if below in grades.get(f"{ply.wood.product}: {ply.wood.species}", ()):
                ply, moved = replace(ply, wood=replace(ply.wood, grade=below)), True
            plies.append(ply)
        return replace(m, plies=tuple(plies))

    changed = replace(truss, members=tuple(member(m) for m in truss.members))
    return changed if moved else None


def _uneven(truss: Truss, first: bool) -> Altered | None:
    """Chords of two plies whose shares are 60 to 40; the frame's own stiffness stays."""
    chords = {m.name: m for m in truss.members if m.kind != "web" and len(m.plies) == 2}
    if not chords:
        return None
    plies = {p.name for m in chords.values() for p in m.plies[:1]}

    def altered(model: FrameModel) -> FrameModel:
        parts = {}
        for name, found in model.parts.items():
            whole = [p for p in found if not p.broken]
            if len(whole) == 2 and len({p.ply for p in whole}) == 2 and any(p.ply in plies for p in whole):
                ours = [1 + UNEVEN * 2 * (1 if (p.ply in plies) is first else -1) for p in found]
                axial = sum(w * p.axial_share for w, p in zip(ours, found, strict=True))
                bending = sum(w * p.bending_share for w, p in zip(ours, found, strict=True))
                found = tuple(
                    replace(p, axial_share=w * p.axial_share / axial, bending_share=w * p.bending_share / bending)
                    for w, p in zip(ours, found, strict=True)
                )
            parts[name] = found
        return replace(model, parts=parts)

    return altered


def _slipping(truss: Truss, wood: WoodStandard) -> Altered | None:
    """The bolts at both ends of each web as springs in line with it."""
    stiffness = web_slip(truss, wood)
    return partial(slipping, stiffness=stiffness) if stiffness else None


def _trials(truss: Truss, wood: WoodStandard) -> list[tuple[str, Truss, Altered | None]]:
    """The assumptions and the truss with each of them changed."""
    found: list[tuple[str, Truss, Altered | None]] = []
    for behaviour, words in (("hinge", "splices are hinges"), ("fixed", "splices are fixed")):
        changed = tuple(replace(s, behaviour=behaviour, stiffness=0.0) if s.behaviour != behaviour else s for s in truss.splices)
        if changed != truss.splices:
            found.append((words, replace(truss, splices=changed), None))
    if (slip := _slipping(truss, wood)) is not None:
        found.append(("bolts of the webs slip", truss, slip))
    if (lower := _lower(truss, wood)) is not None:
        found.append(("wood one grade lower", lower, None))
    pins = all(s.kind == "pin" for s in truss.supports)
    left, right = truss.supports
    if pins:
        found.append(("one support rolls", replace(truss, supports=(left, replace(right, kind="roller"))), None))
    else:
        held = (replace(left, kind="pin"), replace(right, kind="pin"))
        found.append(("both supports hold against thrust", replace(truss, supports=held), None))
    for first in (True, False):
        if (uneven := _uneven(truss, first)) is not None:
            chord = next(m for m in truss.members if m.kind != "web" and len(m.plies) == 2)
            found.append((f"of two plies the {chord.plies[0 if first else 1].name} one takes 60 %", truss, uneven))
    if truss.arc is not None:
        words = "top chord straight between the joints" if truss.curved else "top chord curved between the joints"
        found.append((words, replace(truss, curved=not truss.curved), None))
    return found


def _worst(places: Sequence[Place]) -> tuple[Place, CheckResult] | None:
    known = [(p, r) for p in places if (r := p.worst) is not None and not math.isnan(r.ratio) and r.unit != "in"]
    return max(known, key=lambda pair: rounded(pair[1].ratio), default=None)


def _pull(forces: Forces, member: str) -> float:
    return float(np.abs(forces.members[member].axial).max())


def sensitivity(
    project: Project, truss: Truss, wood: WoodStandard, standard: LoadStandard, base: tuple[Forces, Sequence[Place]], new_parts: Sequence[Place],
) -> tuple[Variation, ...]:  # fmt: skip
    """One row per assumption, the first as modelled.

    truss: as repaired
    base: its forces and all its places
    new_parts: places of new parts, judged for the base; their ratios follow the axial force of the member that they lie in
    """
    forces, places = base
    own = _worst([*places, *new_parts])
    if own is None:
        return ()
    rows = [Variation("as modelled", own[1].ratio, own[0].name, own[1].check, own[1].combination, changes=False)]
    names = [p.name for p in places if (r := p.worst) is not None and r.ratio >= LOOKED_AT]
    over = {p.name for p in [*places, *new_parts] if (r := p.worst) is not None and not at_most(r.ratio, 1.0)}
    for title, changed, altered in _trials(truss, wood):
        try:
            _, other, check = solve_repaired(project, changed, wood, standard, altered=altered, distances=False)
            found = list(check(names))
        except (NotCovered, InputError):
            continue  # a grade that is not listed for this size, or a truss that cannot stand so: no row
        for place in new_parts:
            result = place.worst
            if result is not None and place.member in forces.members and result.unit != "in":
                growth = _pull(other, place.member) / max(_pull(forces, place.member), 1e-9)
                scaled = replace(result, demand=result.demand * growth, ratio=result.ratio * growth)
                found.append(replace(place, results=(scaled,)))
        worst = _worst(found)
        if worst is None:
            continue
        place, result = worst
        now_over = {p.name for p in found if (r := p.worst) is not None and r.unit != "in" and not at_most(r.ratio, 1.0)}
        rows.append(Variation(title, result.ratio, place.name, result.check, result.combination, changes=bool(now_over - over)))
    return tuple(rows)
