"""The work on a bottom-chord splice in stages: as found under dead load, jacked until the broken panel pulls no more, spliced, jacks out.

Each stage is an increment on the structure that exists then, and every member and joint is checked in it. A ply that is spliced while
the chord still pulls takes nothing of that pull: the jacks are what makes the plies share again, and their force is worked out here.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from detailgen.analysis.build import build_frame
from detailgen.analysis.frame import Unstable, solve
from detailgen.assessment.assess import check_all
from detailgen.assessment.forces import member_forces
from detailgen.assessment.members import grade_of
from detailgen.assessment.modelling import as_asked
from detailgen.core.clause import Cite
from detailgen.core.tolerance import rounded
from detailgen.loads.cases import build_cases
from detailgen.loads.combinations import expand
from detailgen.model.assessment import Combination, Forces, MemberForces, Place, StagedWork, StageLine
from detailgen.model.frame import FrameModel
from detailgen.model.project import Project, Truss, Wood
from detailgen.model.structure import Floats, LoadCase
from detailgen.standards.interface import LoadStandard, WoodStandard

JACKS = "jacks"
SOURCE = Cite("house rule", "stages of the work")


def _frame(truss: Truss, project: Project, wood: WoodStandard) -> FrameModel:
    def modulus(w: Wood, thickness: float, depth: float) -> float:
        return wood.stiffness(grade_of(w), thickness, depth).E

    return as_asked(build_frame(truss, modulus, damaged=True), truss, project.modelling, wood)


def _broken_panels(truss: Truss) -> list[tuple[str, str]]:
    """Panels of the bottom chord in which a ply is broken."""
    chord = truss.bottom
    at = [d.at for d in truss.damage if d.kind == "break" and d.member == "bottom chord"]
    return [(a, b) for a, b in itertools.pairwise(chord) if any(truss.joints[a][0] <= x < truss.joints[b][0] for x in at)]


def _unit_jacks(model: FrameModel, joints: Sequence[str]) -> LoadCase:
    """A force of one pound upward at each joint that is jacked."""
    n, m = len(model.structure.joints), len(model.structure.ends)
    nodal = np.zeros((n, 3))
    for joint in joints:
        nodal[model.structure.joint_names.index(joint), 1] = 1.0
    return LoadCase(JACKS, nodal, np.zeros((m, 2)), (), np.zeros(m), np.zeros((n, 3)))


def _worst(places: Sequence[Place]) -> tuple[str, str, float]:
    known = [(p, r) for p in places if (r := p.worst) is not None and not math.isnan(r.ratio) and r.unit != "in"]
    if not known:
        return "", "", math.nan
    place, result = max(known, key=lambda pair: rounded(pair[1].ratio))
    return place.name, result.check, result.ratio


def _jack_sets(truss: Truss, panels: Sequence[tuple[str, str]]) -> list[tuple[str, ...]]:
    """Joints to jack at: those beside the broken panels, with one more on each side, and all of the bottom chord."""
    inner = truss.bottom[1:-1]
    beside = [inner.index(j) for p in panels for j in p if j in inner]
    low, high = min(beside), max(beside)
    sets = [inner[max(low - more, 0) : high + more + 1] for more in (0, 1)] + [inner]
    return list(dict.fromkeys(sets))


@dataclass(frozen=True)
class _Jacked:
    """The truss as found on its jacks: their force (lb) and lift (in), and the governing place."""

    joints: tuple[str, ...]
    force: float
    lift: float
    members: dict[str, MemberForces]
    line: StageLine


def _jack(project: Project, truss: Truss, model: FrameModel, dead: LoadCase, panels: Sequence[tuple[str, str]], joints: tuple[str, ...],
          wood: WoodStandard) -> tuple[_Jacked, float, StageLine] | None:  # fmt: skip
    """Equal jacks at some joints until no broken panel pulls; None where they do not relieve it. Also the pull and the truss before."""
    answers = solve(model.structure, [dead, _unit_jacks(model, joints)], active=model.active)
    rows = [model.structure.member.index(f"{a}-{b}") for a, b in panels]
    pull, relief = answers.axial[0, rows].mean(axis=1), answers.axial[1, rows].mean(axis=1)
    if not (relief < 0).all() or not (pull > 0).any():
        return None
    force = float((pull / -relief).max())
    shored = member_forces(model, answers)
    lines = []
    for title, weight in (("as found, dead load", 0.0), ("jacked, before the splice is made", force)):
        combination = Combination("D + jacks" if weight else "D", (("D", 1.0), (JACKS, weight)), "permanent", SOURCE)
        members = {n: _mixed(m, np.array([[1.0, weight]])) for n, m in shored.items()}
        places = check_all(project, truss, model, Forces("as found", title, (combination,), members, "analysis"), wood)
        lines.append(StageLine(title, *_worst(places)))
    at = [model.structure.joint_names.index(j) for j in joints]
    return _Jacked(joints, force, float(answers.displacement[1, at, 1].max()) * force, members, lines[1]), float(pull.max()), lines[0]


def staged_work(project: Project, found: Truss, repaired: Truss, wood: WoodStandard, standard: LoadStandard) -> StagedWork | None:
    """The stages of splicing the broken panels of a bottom chord; None where nothing is broken there or a structure cannot stand.

    found: the truss with its damage; repaired: with its splices
    """
    panels = _broken_panels(found)
    if not panels or project.modelling.one_by_one:
        return None
    before, after = _frame(found, project, wood), _frame(repaired, project, wood)
    try:
        loads, later = (build_cases(t, project.loads, m, standard) for t, m in ((found, before), (repaired, after)))
        tried = [t for s in _jack_sets(found, panels) if (t := _jack(project, found, before, loads.cases[0], panels, s, wood)) is not None]
        if not tried:
            return None
        # The fewest jacks under which everything passes; where nothing passes, those under which least is wrong.
        jacked, pull, first = next((t for t in tried if t[0].line.ratio <= 1.0), min(tried, key=lambda t: rounded(t[0].line.ratio)))
        answers = solve(after.structure, [*later.cases, _unit_jacks(after, jacked.joints)], active=after.active)
    except Unstable:
        return None
    combinations = expand(standard, later.kinds)
    once = np.array([[*(dict(c.factors).get(case.name, 0.0) for case in later.cases), 0.0] for c in combinations])
    # What stood on the jacks stays; then the jacks come out and every load but that dead load comes on, all on the repaired truss.
    step = once.copy()
    step[:, 0] -= 1.0
    step[:, -1] = -jacked.force
    staged, gaps, scale = {}, {}, 0.0
    for name, member in member_forces(after, answers).items():
        at_once, more = _mixed(member, once), _mixed(member, step)
        axial, shear, moment = (_on(more.station, jacked.members[name], w) + getattr(more, w) for w in ("axial", "shear", "moment"))
        staged[name] = MemberForces(name, more.station, axial, shear, moment)
        gaps[name] = float(np.abs(axial - at_once.axial).max())
        scale = max(scale, float(np.abs(at_once.axial).max()))
    forces = Forces("as repaired", "service, staged", combinations, staged, "analysis")
    last = StageLine("jacks out, in service", *_worst(check_all(project, repaired, after, forces, wood)))
    most = max(gaps, key=lambda n: rounded(gaps[n]))
    lines = (first, jacked.line, last)
    return StagedWork(found.mark, jacked.joints, jacked.force, jacked.lift, pull, lines, most, gaps[most] / scale if scale else 0.0)


def _mixed(member: MemberForces, weights: Floats) -> MemberForces:
    return MemberForces(member.member, member.station, weights @ member.axial, weights @ member.shear, weights @ member.moment)


def _on(station: Floats, held: MemberForces, what: str) -> Floats:
    """What a stage before left in a member (1, s), at the stations of the next structure, which may have a joint more at its splice."""
    values: Floats = getattr(held, what)
    if len(station) == len(held.station) and np.allclose(station, held.station):
        return values
    between: Floats = np.interp(station, held.station, values[0])
    return between[None, :]
