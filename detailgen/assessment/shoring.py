"""Where shores stand and what they lift with: the fewest joints and least forces under which the work passes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from detailgen.analysis.frame import WithEnds
from detailgen.analysis.overlay import GOES, STAYS
from detailgen.analysis.staged import Build
from detailgen.assessment.members import grade_of
from detailgen.assessment.staging import Works
from detailgen.core.result import CheckResult
from detailgen.core.tolerance import rounded
from detailgen.model.assessment import Shore
from detailgen.model.project import Truss, WorkWindow
from detailgen.model.shores import WIDE
from detailgen.model.structure import Floats
from detailgen.standards.interface import AcrossRequest, WoodStandard

BLOCKS = {"US": (6.0, 8.0, 10.0, 12.0, 16.0, 20.0, 24.0), "SI": tuple(mm / 25.4 for mm in (150, 200, 250, 300, 400, 500, 600))}
"""Lengths along the grain of the block between jack and chord (in; ours)."""
STOP_OVER_LIFT = 1.25
"""The jack stops at this much of the lift that its force should need: more means that the truss is not what it was taken for (ours)."""
STOP_LEAST = 1 / 8
"""Least stop (in): a smaller one cannot be read on site (ours)."""


@dataclass(frozen=True)
class Jacks:
    """Forces of jacks that act together (joint -> lb), their lifts (in), and how much pull they leave beside the ply (lb)."""

    force: Mapping[str, float]
    lift: Mapping[str, float]
    left: float
    short: str = ""  # what limits them before the pull is gone


def may_stand(truss: Truss, repaired: Truss | None = None) -> tuple[str, ...]:
    """Joints of the bottom chord at which a shore may stand: not where its block would reach under a length of ply that is cut out."""
    inner = truss.bottom[1:-1]
    allowed = truss.work.shores or inner
    reach = WIDE / 2

    def cut_away(joint: str) -> bool:
        return any(piece.start - reach < truss.joints[joint][0] < piece.end + reach for piece in (repaired.pieces if repaired is not None else ()))

    return tuple(j for j in inner if j in allowed and j not in truss.work.barred and not cut_away(j))


def joint_sets(truss: Truss, panels: Sequence[str], joints: Sequence[str]) -> list[tuple[str, ...]]:
    """Joints to jack at: those beside the panels, then with one more on each side, and so on to all at which a shore may stand."""
    order = {j: k for k, j in enumerate(truss.bottom)}
    ends = [order[j] for p in panels for j in p.split("-") if j in order]
    if not joints or not ends:
        return []
    left = [j for j in joints if order[j] <= min(ends)][::-1] or list(joints[:1])
    right = [j for j in joints if order[j] >= max(ends)] or list(joints[-1:])
    between = [j for j in joints if min(ends) < order[j] < max(ends)]
    steps = range(1, max(len(left), len(right)) + 1)
    sets = [tuple(sorted({*left[:more], *between, *right[:more]}, key=order.__getitem__)) for more in steps]
    return list(dict.fromkeys(sets))


def pull_beside(works: Works, build: Build, panels: Sequence[str]) -> Floats:
    """Mean axial force (lb) of what carries in each of these panels."""
    mean = build.axial
    found = dict.fromkeys(panels, 0.0)
    for run in works.overlay.runs:
        if run.panel in found and run.life in (STAYS, GOES) and build.active[run.elements].all():
            found[run.panel] += float(mean[run.elements].mean())
    return np.array([found[p] for p in panels])


def jacks_for(
    works: Works, build: Build, panels: Sequence[str], joints: Sequence[str],
) -> tuple[list[Jacks], dict[int, WithEnds]]:  # fmt: skip
    """Jacks that take the pull off some panels: all with one force, and all with one lift, at each set of joints.

    build: as found, before any shore bears
    Returns: the jacks, and what one pound in each shore by itself does
    """
    rows = {j: works.base.structure.joint_names.index(j) for j in joints}
    pull = pull_beside(works, build, panels)
    if not (pull > 0).any() or not joints:
        return [], {}
    pushes = dict(zip((works.overlay.shores[j] for j in joints), build.pushed([works.overlay.shores[j] for j in joints]), strict=True))
    relief, lift = {}, {}
    for joint in joints:
        one = build.jacked(pushes, {works.overlay.shores[joint]: 1.0})
        relief[joint] = pull - pull_beside(works, one, panels)
        lift[joint] = {j: float(one.moved[r, 1] - build.moved[r, 1]) for j, r in rows.items()}
    return jacks_by(works.found, panels, joints, pull, relief, lift), pushes


def jacks_by(
    truss: Truss, panels: Sequence[str], joints: Sequence[str], pull: Floats, relief: Mapping[str, Floats], lift: Mapping[str, Mapping[str, float]],
) -> list[Jacks]:  # fmt: skip
    """The same from what is known already: ``pull`` in the panels (lb), and by joint what one pound jacked there takes off it (``relief``) and
    by how much it lifts each joint (``lift``, in)."""
    found: list[Jacks] = []
    for chosen in joint_sets(truss, panels, joints):
        patterns = [np.ones(len(chosen))]
        give = np.array([[lift[b][a] for b in chosen] for a in chosen])
        level = np.linalg.solve(give, np.ones(len(chosen)))
        if len(chosen) > 1 and (level > 0).all():
            patterns.append(level / level.max())
        for pattern in patterns:
            relieved = np.add.reduce([w * relief[j] for w, j in zip(pattern, chosen, strict=True)])
            jacks = _sized(truss.work, pull, chosen, pattern, relieved, give @ pattern)
            if jacks is not None and not any(_alike(jacks, other) for other in found):
                found.append(jacks)
    return found


def _sized(work: WorkWindow, pull: Floats, chosen: Sequence[str], pattern: Floats, relief: Floats, lift: Floats) -> Jacks | None:
    """The pattern times the force that takes the pull off, or as far as stop, jack and base let it."""
    if (relief[pull > 0] <= 0).any():
        return None
    size = float((pull[pull > 0] / relief[pull > 0]).max())
    limits = [("the jack's stop", work.stop / float(lift.max()) if work.stop > 0 else np.inf),
              ("the jack's force", work.jack / float(pattern.max()) if work.jack > 0 else np.inf),
              ("what the base carries", work.base_carries / float(pattern.max()) if work.base_carries > 0 else np.inf)]  # fmt: skip
    name, most = min(limits, key=lambda one: one[1])
    short = name if most < size * (1 - 1e-9) else ""
    size = min(size, most)
    forces = {j: size * float(w) for j, w in zip(chosen, pattern, strict=True)}
    lifts = {j: size * float(v) for j, v in zip(chosen, lift, strict=True)}
    return Jacks(forces, lifts, max(float((pull - size * relief).max()), 0.0) if short else 0.0, short)


def _alike(one: Jacks, other: Jacks) -> bool:
    return one.force.keys() == other.force.keys() and all(abs(one.force[j] - other.force[j]) < 0.01 * other.force[j] for j in other.force)


def cut_over(works: Works, joint: str) -> tuple[str, ...]:
    """Plies of the bottom chord that are out on both sides of a joint for some time of the work, so that no shore bears them there."""
    out = [{r.ply for r in works.overlay.runs if r.life != STAYS and joint in r.panel.split("-")[at : at + 1]} for at in (0, 1)]
    plies = {p.name for m in works.found.members if m.kind == "bottom chord" for p in m.plies}
    return tuple(sorted(out[0] & out[1] & plies))


def bearing_of(
    truss: Truss, wood: WoodStandard, joint: str, push: float, duration: str, name: str, units: str, out: Sequence[str] = (),
) -> tuple[float, CheckResult]:  # fmt: skip
    """The shortest block (in) on which the chord bears the shore's greatest force, and its check; the longest where none is enough.

    out: plies that are not there all the time
    """
    chord = next(m for m in truss.members if m.kind == "bottom chord")
    plies = [p for p in chord.plies if p.name not in out] or list(chord.plies)
    first = plies[0]
    width = sum(p.thickness for p in plies)
    x = truss.joints[joint][0]
    result: CheckResult | None = None
    for block in BLOCKS[units]:
        end = min(x, truss.span - x) - block / 2
        request = AcrossRequest(
            f"bottom chord on the shore at {joint}", grade_of(first.wood), width, first.depth, block, end, np.array([max(push, 0.0)]), (name,),
            (duration,), len(plies), "work",
        )  # fmt: skip
        (result,) = wood.across_checks(request)
        if not result.ratio > 1.0:
            break
    assert result is not None
    return block, result


def up_to(value: float, step: float) -> float:
    return float(np.ceil(rounded(value / step)) * step)


def shores_of(
    works: Works, jacks: Jacks, most: Mapping[str, tuple[float, str, str]], joints: Sequence[str],
) -> tuple[Shore, ...]:  # fmt: skip
    """The shores as they are to be built.

    most: by joint the greatest push in any stage (lb), the load that makes it, and its duration
    """
    truss, work, units = works.found, works.found.work, works.project.units
    step = 1 / 16 if units.name == "US" else 1 / 25.4
    shores = []
    for joint in joints:
        push, name, duration = most[joint]
        out = cut_over(works, joint)
        block, bearing = bearing_of(truss, works.wood, joint, push, duration, name, units.name, out)
        lift = jacks.lift.get(joint, 0.0)
        stop = up_to(max(STOP_OVER_LIFT * lift, STOP_LEAST), step)
        warnings = []
        if work.stop > 0:
            stop = min(stop, work.stop)
        if out:
            warnings.append(f"the {' and '.join(out)} ply over it is cut away meanwhile, so the block bears on the plies that stay")
        if not bearing.ratio <= 1.0:
            warnings.append("the chord is crushed even on the longest block")
        if 0 < work.jack < push:
            warnings.append(f"over the {units.write_force(work.jack)} that a jack takes")
        if 0 < work.base_carries < push:
            warnings.append(f"over the {units.write_force(work.base_carries)} that the {work.base or 'base'} carries")
        x, force = truss.joints[joint][0], jacks.force.get(joint, 0.0)
        shores.append(Shore(joint, x, force, lift, stop, push, block, bearing, work.height, tuple(warnings)))
    return tuple(shores)


def changed_panels(works: Works) -> tuple[str, ...]:
    """Panels of a bottom chord in which a ply is taken out or put in again."""
    chords = {m.name for m in works.repaired.members if m.kind == "bottom chord"}
    return tuple(dict.fromkeys(r.panel for r in works.overlay.runs if r.life != STAYS and r.member in chords))
