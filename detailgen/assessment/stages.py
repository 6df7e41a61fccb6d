"""The work on a truss in stages: shores snug, jacked, ply by ply cut and replaced, strands one after another, shores out, service short and long.

Each stage is an increment on the structure that stands then; every member and joint is checked in it with what may lie on the roof meanwhile.
A ply that is put in while its chord still pulls takes nothing of that pull: the jacks are what makes the plies share again.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from detailgen.analysis.frame import Unstable
from detailgen.analysis.overlay import COMES, GOES, STAYS, Run
from detailgen.analysis.staged import Build
from detailgen.assessment import stage_words as say
from detailgen.assessment.beside import jacks_of
from detailgen.assessment.members import grade_of
from detailgen.assessment.shoring import Jacks, changed_panels, jacks_for, may_stand, pull_beside, shores_of
from detailgen.assessment.stage_checks import Checks, check, newly_unchecked, passes, worst_of
from detailgen.assessment.stage_heels import apart, only_heels, remade_heels, remake
from detailgen.assessment.stage_results import both_ratios, difference_of, in_service, snow_levels, snow_limit
from detailgen.assessment.staging import Moment, Row, Works, window_rows
from detailgen.core.errors import NotCovered
from detailgen.core.tolerance import at_most, rounded
from detailgen.model.assessment import Assessed, StageCheck, StagedWork, StageLine, Stressing
from detailgen.model.project import Project, Truss
from detailgen.standards.interface import LoadStandard, WoodStandard

SETTLE = 6
"""Rounds in which the jacking forces are found that leave all strands alike: each leaves some percent of the last one's error."""
TELLS = 0.02
"""Staged forces that differ from those for all loads at once by more than this part of the greatest are a warning (ours)."""


@dataclass
class _Stage:
    moment: Moment
    does: str
    hold: str
    moved: tuple[float, float]
    shores: tuple[float, ...]
    strands: tuple[float, ...] = ()


@dataclass
class Course:
    """The stages of one truss as they are gone through."""

    works: Works
    build: Build
    stages: list[_Stage] = field(default_factory=list)
    joints: tuple[str, ...] = ()  # of the shores

    def stage(
        self, title: str, does: str, hold: str, rows: Sequence[Row], structure: str, *, drilled: bool = False, sistered: bool = False,
    ) -> Moment:  # fmt: skip
        works, build = self.works, self.build
        moment = works.moment(title, build, rows, structure, drilled=drilled, sistered=sistered)
        ends = [works.base.structure.joint_names.index(s.joint) for s in works.repaired.supports]
        moved = (float(build.moved[ends[0], 0]), float(build.moved[ends[1], 0]))
        axial, overlay = build.axial, works.overlay
        shores = tuple(max(-float(axial[overlay.shores[j]]), 0.0) for j in self.joints)
        strands = tuple(float(axial[e]) for e in overlay.strands if build.active[e])
        self.stages.append(_Stage(moment, does, hold, moved, shores, strands))
        return moment


def _units_of_work(runs: Sequence[Run]) -> list[tuple[str, str, tuple[str, ...]]]:
    """Plies that go or come: (member, ply, panels), neighbouring panels together, in the order of the truss."""
    order = list(dict.fromkeys(r.panel for r in runs))
    found: list[tuple[str, str, list[str]]] = []
    for panel in order:
        for member, ply in dict.fromkeys((r.member, r.ply) for r in runs if r.panel == panel and r.life != STAYS):
            before = next((u for u in found if u[:2] == (member, ply) and u[2][-1].split("-")[-1] == panel.split("-")[0]), None)
            if before is not None:
                before[2].append(panel)
            else:
                found.append((member, ply, [panel]))
    return [(member, ply, tuple(panels)) for member, ply, panels in found]


def staged_work(
    project: Project, found: Truss, repaired: Truss, wood: WoodStandard, standard: LoadStandard, *, at_once: Assessed | None = None,
    stressing: Stressing | None = None, no_path: bool = False,
) -> StagedWork:  # fmt: skip
    """All stages of one truss's repair.

    found, repaired: the truss with its damage, and with its repairs in
    at_once: the same truss judged for all loads at once, to compare with
    stressing: strands of the repaired truss
    no_path: as found it has no load path that could be relied on: what is locked up in it is left out
    """
    if project.modelling.one_by_one:
        return StagedWork(found.mark, "free travel of bolts or the deformed truss is asked for: increments cannot be added up then")
    try:
        return _staged(project, found, repaired, wood, standard, at_once, stressing, no_path)
    except Unstable as unstable:
        return StagedWork(found.mark, f"a structure on the way cannot stand: {unstable}")
    except NotCovered as error:
        return StagedWork(found.mark, f"{error.what} is not covered")


def _staged(
    project: Project, found: Truss, repaired: Truss, wood: WoodStandard, standard: LoadStandard, at_once: Assessed | None,
    stressing: Stressing | None, no_path: bool, choice: int = 0,
) -> StagedWork:  # fmt: skip
    """choice: which of the jacks under which the dead load passes; what may come on besides may ask for more of them"""
    places = may_stand(found, repaired)
    works = Works(project, found, repaired, wood, standard, places, stressing)
    course = Course(works, Build(works.overlay.structure, works.overlay.standing_as_found))
    rows = window_rows(found, works.factors)
    panels = changed_panels(works)
    cut = [u for u in _units_of_work(works.overlay.runs) if set(u[2]) & set(panels)]
    shored = bool(cut)
    from_zero = _first(course, rows, places, shored=shored, no_path=no_path)
    pull = pull_beside(works, course.build, panels) if panels else np.zeros(0)
    jacks, more = Jacks({}, {}, 0.0), False
    checks: Checks = {}
    lifts = {} if shored else jacks_of(repaired.side_members)
    if shored and not from_zero:
        jacks, more, checks = _shored(course, rows, panels, places, choice)
    elif lifts:
        jacks = _lifted(course, rows, lifts)
    heels = remade_heels(found, repaired)
    if heels and not shored:
        jacks, weakest = remake(course, rows, places)
    if not only_heels(found, repaired):
        through = _through_the_plies(course, rows, jacks)
        weakest = through if shored or not heels else weakest
    if stressing is not None:
        _strands(course, rows, stressing)
    if shored or lifts:
        course.build.take_out([works.overlay.shores[j] for j in course.joints])
        course.stage("shores out", say.out(course.joints), say.OUT_HOLD, rows, "repaired", drilled=True, sistered=True)
        if heels:
            warned = remake(course, rows, places)[0]
            jacks = Jacks({**warned.force, **jacks.force}, {**warned.lift, **jacks.lift}, jacks.left, jacks.short)
    course.stage("in service", say.SERVICE, "", works.service_rows(""), "repaired", drilled=True, sistered=True)
    _long_run(course, stressing)
    course.stage("in service, in the long run", say.LONG_RUN, "", works.service_rows(", long run"), "repaired", drilled=True, sistered=True)
    *later, service, _ = moments = [s.moment for s in course.stages]
    levels = snow_levels(works, weakest)
    checks |= check(works, [*(m for m in later if m.title not in checks), *levels])
    checks = apart(checks, works) if heels else checks
    if more and not all(passes(checks[m.title]) for m in later):
        return _staged(project, found, repaired, wood, standard, at_once, stressing, no_path, choice + 1)
    checks |= in_service(works, moments[-2:], at_once if stressing is None else None)
    member, difference = ("", 0.0) if stressing is not None else difference_of(works, service)
    most = _most(course)
    lines = tuple(_line(s, checks[s.moment.title]) for s in course.stages)
    shores = shores_of(works, jacks, most, course.joints)
    snow = snow_limit(works, checks)
    ratios = both_ratios(checks, at_once)
    warnings = say.warnings(found, jacks.short, jacks.left, shores, lines, difference, ratios, project.units, from_zero=from_zero, tells=TELLS)
    told = {s.moment.title: checks[s.moment.title] for s in course.stages}
    warnings += say.unchecked(newly_unchecked(told, course.stages[0].moment.title))
    every = tuple(c for each in told.values() for c in each)
    return StagedWork(
        found.mark, "", shores, float(pull.max(initial=0.0)), jacks.left, lines, every, member, difference, *ratios, snow, weakest.title, warnings
    )


def _first(course: Course, rows: Sequence[Row], places: Sequence[str], *, shored: bool, no_path: bool) -> bool:
    """The truss as found under its dead load. Without a load path: on shores from the beginning, whatever is locked up in it left out."""
    works, start = course.works, course.build.fork()
    if not (no_path and shored and places):
        try:
            course.build.add(works.case("D as found", course.build))
            course.stage("as found", say.AS_FOUND, say.AS_FOUND_HOLD, rows, "found")
        except Unstable:
            if not shored or not places:
                raise
        else:
            return False
    course.build, course.joints = start, tuple(places)
    course.build.stand([works.overlay.shores[j] for j in places])
    course.build.add(works.case("D as found", course.build))
    course.stage("on shores", say.snug(places), say.SNUG_HOLD, rows, "found")
    return True


def _shored(
    course: Course, rows: Sequence[Row], panels: Sequence[str], places: Sequence[str], choice: int,
) -> tuple[Jacks, bool, Checks]:  # fmt: skip
    """Snug and jacked, at the fewest joints under which the dead load passes, else where least is wrong.

    Returns: the jacks, whether there are more of them to choose from, and the checks as found
    """
    works, before = course.works, course.build
    tried, pushes = jacks_for(works, before, panels, places)
    shores = works.overlay.shores
    builds = [before.jacked(pushes, {shores[j]: f for j, f in jacks.force.items()}) for jacks in tried]
    lasting = [works.moment(f"tried {k}", build, rows[:1], "found") for k, build in enumerate(builds)]
    checks = check(works, [*(s.moment for s in course.stages), *lasting])
    as_found = {s.moment.title: checks[s.moment.title] for s in course.stages}
    if not tried:  # nothing pulls there: shores only stand by
        course.joints = tuple(j for j in places if any(j in p.split("-") for p in panels)) or tuple(places)
        _snug(course, rows)
        return Jacks({}, {}, 0.0), False, as_found

    def worst(k: int) -> float:
        one = worst_of(checks[f"tried {k}"])
        return rounded(one.ratio) if one is not None else math.inf

    whole = [k for k, jacks in enumerate(tried) if not jacks.short] or list(range(len(tried)))
    order = [k for k in whole if at_most(worst(k), 1.0)] or [min(whole, key=lambda k: (worst(k), k))]
    chosen = tried[order[choice]]
    course.joints = tuple(chosen.force)
    _snug(course, rows)
    course.build = builds[order[choice]]
    course.stage("jacked", say.jacked(dict(chosen.force), chosen.short, works.project.units), say.JACKED_HOLD, rows, "found")
    return chosen, choice + 1 < len(order), as_found


def _lifted(course: Course, rows: Sequence[Row], lifts: Mapping[str, float]) -> Jacks:
    """Snug and jacked as the side members ask: they are fitted while part of the dead load is off their chord."""
    shores, names = course.works.overlay.shores, course.works.base.structure.joint_names
    course.joints = tuple(j for j in course.works.repaired.bottom if j in lifts)
    before, elements = course.build, [shores[j] for j in course.joints]
    _snug(course, rows)
    pushes = dict(zip(elements, before.pushed(elements), strict=True))
    course.build = before.jacked(pushes, {shores[j]: lifts[j] for j in course.joints})
    up = {j: float(course.build.moved[names.index(j), 1] - before.moved[names.index(j), 1]) for j in course.joints}
    course.stage("jacked", say.lifted(lifts, course.works.project.units), say.JACKED_HOLD, rows, "found")
    return Jacks(lifts, up, 0.0)


def _snug(course: Course, rows: Sequence[Row]) -> None:
    course.build = course.build.fork()
    course.build.stand([course.works.overlay.shores[j] for j in course.joints])
    course.stage("shores snug", say.snug(course.joints), say.SNUG_HOLD, rows, "found")


def _through_the_plies(course: Course, rows: Sequence[Row], jacks: Jacks) -> Moment:
    """One ply after another: drilled or cut out, then put in. Returns the moment at which least stands."""
    works, overlay = course.works, course.works.overlay
    units = _units_of_work(overlay.runs)
    weakest = course.stages[-1].moment
    if not units:
        course.stage("drilled", say.DRILLED, say.DRILLED_HOLD, rows, "found", drilled=True)
        weakest = course.stages[-1].moment
        course.build.add(works.new_weight(course.build))
        _beside(course)
        course.stage("new parts fitted", say.FITTED, say.FITTED_HOLD, rows, "repaired", drilled=True, sistered=True)
        return weakest
    weight = works.new_weight(course.build)
    for k, (member, ply, panels) in enumerate(units):
        where = say.where(member, ply, panels)
        of = [r for r in overlay.runs if r.ply == ply and r.panel in panels]
        course.build.take_out([int(e) for r in of if r.life == GOES for e in r.elements])
        goes = any(r.life == GOES for r in of) or any(d.kind == "break" and d.member == member and d.ply in ("", ply) for d in works.found.damage)
        structure = "found" if not k else "repaired"
        if goes or not k:
            title = f"{where} cut out" if goes else "drilled"
            course.stage(title, say.cut(where) if goes else say.DRILLED, say.CUT_HOLD if goes else say.DRILLED_HOLD, rows, structure, drilled=True)
            weakest = course.stages[-1].moment
        course.build.stand([int(e) for r in of if r.life == COMES for e in r.elements])
        if not k:
            course.build.add(weight)
        if any(r.life == COMES for r in of):
            course.stage(f"{where} put in", say.put_in(where), say.FITTED_HOLD, rows, "repaired", drilled=True, sistered=True)
    if _beside(course):
        course.stage("side members fitted", say.BESIDE, say.FITTED_HOLD, rows, "repaired", drilled=True, sistered=True)
    return weakest


def _beside(course: Course) -> bool:
    """Timbers beside chords take part from now on, free of force; returns whether there are any."""
    elements = [int(e) for r in course.works.overlay.beside for e in r.elements]
    course.build.stand(elements)
    return bool(elements)


def _strands(course: Course, rows: Sequence[Row], stressing: Stressing) -> None:
    """One part after another: an outside force while it is jacked, a member once it is locked. Each later one slackens those before it."""
    works, elements = course.works, course.works.overlay.strands
    each = stressing.locked / stressing.count
    forces = np.full(len(elements), each)
    for _ in range(SETTLE):
        trial = course.build.fork()
        for element, force in zip(elements, forces, strict=True):
            trial.stress({element: float(force)})
        forces += each - trial.axial[list(elements)]
    for k, (element, force) in enumerate(zip(elements, forces, strict=True), start=1):
        course.build.stress({element: float(force)})
        does = say.stressed(k, len(elements), float(force), works.project.units)
        course.stage(f"strands {k} of {len(elements)} locked", does, say.STRESSED_HOLD, rows, "repaired", drilled=True, sistered=True)


def _long_run(course: Course, stressing: Stressing | None) -> None:
    """Creep under what lasts: old wood under what is more than it carried before it was damaged, new wood under all of it; strands relax."""
    works, build, overlay = course.works, course.build, course.works.overlay
    phi, lasting, long_since = np.zeros(len(build.active)), build.axial.copy(), works.long_since()
    for run in works.runs(build):
        member = works.repaired.member(run.member)
        ply = next(p for p in member.plies if p.name in run.plies)
        phi[run.elements] = works.wood.creep(grade_of(ply.wood))[0]
        lasting[run.elements] -= long_since.get((run.panel, run.ply), 0.0)
    for run in works.beside(build):
        side = next(s for s in works.repaired.side_members if s.element == run.panel)
        phi[run.elements] = works.wood.creep(grade_of(side.wood))[0]
    build.creep(phi, lasting)
    standing = [e for e in overlay.strands if build.active[e]]
    if stressing is not None and standing:
        held = float(build.axial[standing].sum())
        s = overlay.structure
        trial = build.fork()
        trial.shorten(dict.fromkeys(standing, held / float((s.E * s.A)[standing].sum())))
        share = (held - stressing.lasting) / (held - float(trial.axial[standing].sum()))  # it is linear: so much of the trial is what is lost
        build.shorten(dict.fromkeys(standing, share * held / float((s.E * s.A)[standing].sum())))


def _most(course: Course) -> dict[str, tuple[float, str, str]]:
    """By shore its greatest push over all stages, and the load that makes it."""
    found = {}
    for joint in course.joints:
        element, best = course.works.overlay.shores[joint], (0.0, "D", "permanent")
        for stage in course.stages:
            pushes = -stage.moment.result.axial[:, element].mean(axis=1)
            k = int(pushes.argmax())
            if pushes[k] > best[0]:
                best = (float(pushes[k]), f"{stage.moment.title}: {stage.moment.rows[k].name}", stage.moment.rows[k].duration)
        found[joint] = best
    return found


def _line(stage: _Stage, checks: Sequence[StageCheck]) -> StageLine:
    worst = worst_of(checks)
    governs = ("", "", math.nan, "") if worst is None else (worst.place, worst.check, worst.ratio, worst.combination)
    return StageLine(stage.moment.title, *governs, stage.does, stage.hold, stage.moved, stage.shores, stage.strands)
