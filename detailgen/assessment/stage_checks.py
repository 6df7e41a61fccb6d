"""Every member and joint checked in the stages of the work: those that are judged alike in one go."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

import numpy as np

from detailgen.analysis.build import panel_name, panels
from detailgen.analysis.overlay import Run
from detailgen.assessment.beside import check_beside, place_of
from detailgen.assessment.connections import check_connections, end_name, splice_name
from detailgen.assessment.members import check_members, grade_of, place_name
from detailgen.assessment.sections import HoleGroup, hole_groups
from detailgen.assessment.staging import SOURCE, Moment, Works
from detailgen.core.result import CheckResult
from detailgen.core.tolerance import at_most, rounded
from detailgen.model.assessment import Combination, Forces, MemberForces, Place, StageCheck
from detailgen.model.frame import FrameModel
from detailgen.model.project import Truss

Checks = dict[str, list[StageCheck]]
"""What governs each place, by the stage's title."""


def check(works: Works, moments: Sequence[Moment], wanted: Collection[str] | None = None) -> Checks:
    """What governs each place in each stage.

    wanted: only places in these panels
    """
    alike: dict[tuple[object, ...], list[Moment]] = {}
    for m in moments:
        alike.setdefault((m.structure, m.sistered, m.build.active[works.overlay.of >= 0].tobytes()), []).append(m)
    found: Checks = {}
    for group in alike.values():
        _together(found, _check_alike(works, group, wanted, drilled=False))
        bored = [m for m in group if m.structure == "found" and m.drilled]
        weakened = _weakened(works) if bored else set()
        weakened = weakened if wanted is None else weakened & set(wanted)
        if weakened:  # new holes count where they are; everywhere else nothing has changed
            _together(found, _check_alike(works, bored, weakened, drilled=True))
    return found


def _together(found: Checks, more: Checks) -> None:
    """Add what was found later; it replaces what it judges anew."""
    for title, checks in more.items():
        new = {c.place for c in checks}
        found[title] = [*(c for c in found.get(title, ()) if c.place not in new), *checks]


def _unstiffened(truss: Truss, found: Truss) -> Truss:
    """The truss without what the work has yet to bring against buckling: sisters of its webs, brace lines."""
    held = {m.name: m.braces for m in found.members}
    members = tuple(replace(m, braces=held[m.name]) if truss.lines else m for m in truss.members)
    return replace(truss, sisters=found.sisters, lines=found.lines, members=members)


def _holes(works: Works, which: str) -> tuple[HoleGroup, ...]:
    if which not in works.holes:
        works.holes[which] = hole_groups(works.found if which == "found" else works.repaired, works.base)
    return works.holes[which]


def _weakened(works: Works) -> set[str]:
    """Panels that the repair drills."""
    before, after = ({(h.member, h.ply, h.at): h.holes for h in _holes(works, which)} for which in ("found", "repaired"))
    return {key[0] for key, holes in after.items() if before.get(key) != holes}


def _check_alike(works: Works, moments: Sequence[Moment], wanted: Collection[str] | None, *, drilled: bool) -> Checks:
    first = moments[0]
    truss = works.found if first.structure == "found" and not drilled else works.repaired
    holes = _holes(works, "found" if truss is works.found else "repaired")
    if not first.sistered:
        truss = _unstiffened(truss, works.found)
    runs = works.runs(first.build)
    staying = [r for r in runs if not r.ply]
    asked = None if wanted is None else _names_in(truss, wanted)
    combinations, owner = [], {}
    for m in moments:
        for row in m.rows:
            name = f"{row.stage or m.title}|{row.name}"
            combinations.append(Combination(name, (), row.duration, SOURCE, row.interim))
            owner[name] = (row.stage or m.title, row.name)
    plies = {r.panel: r.plies for r in staying}
    model = works.overlay.frame_of(first.structure, plies)
    places = _places(works, truss, model, _forces(works, moments, [*staying, *works.beside(first.build)], combinations), holes, asked)
    away = {splice_name(s) for s in truss.splices if s.ply not in plies.get(_panel_at(truss, s.chord, s.x), ())}
    checked = [p for p in places if p.kind != "splice" or p.name not in away]
    for run in (r for r in runs if r.ply and (wanted is None or r.panel in wanted)):
        alone = works.overlay.frame_of(first.structure, {run.panel: run.plies})
        pair = next(p for p in panels(truss.member(run.member)) if panel_name(p) == run.panel)
        only = {place_name(truss.member(run.member), pair)}
        only |= {splice_name(s) for s in truss.splices if s.ply == run.ply and _panel_at(truss, s.chord, s.x) == run.panel}
        checked += _places(works, truss, alone, _forces(works, moments, [run], combinations), holes, only)
    return _governing(checked, owner)


def _forces(works: Works, moments: Sequence[Moment], runs: Sequence[Run], combinations: Sequence[Combination]) -> Forces:
    each = [works.overlay.forces(m.result, runs) for m in moments]
    none = np.zeros((len(combinations), 2))
    members = {name: MemberForces(name, np.array([0.0, length]), none, none, none) for name, length in works.base.member_length.items()
               if name not in {r.panel for r in works.overlay.beside}}  # fmt: skip
    for name, f in each[0].items():
        axial, shear, moment = (np.concatenate([getattr(e[name], what) for e in each]) for what in ("axial", "shear", "moment"))
        members[name] = MemberForces(name, f.station, axial, shear, moment)
    pulled = list(works.overlay.strands)
    strands = np.concatenate([m.result.axial[:, pulled].mean(axis=2).sum(axis=1) for m in moments]) if pulled else None
    names = works.base.structure.joint_names
    bearings = {s.joint: np.concatenate([m.result.reaction[:, names.index(s.joint), :2] for m in moments]) for s in works.repaired.supports}
    return Forces("as repaired", "work", tuple(combinations), members, "analysis", strands, distances=False, bearings=bearings)


def _places(
    works: Works, truss: Truss, model: FrameModel, forces: Forces, holes: tuple[HoleGroup, ...], only: set[str] | None,
) -> list[Place]:  # fmt: skip
    places = (
        *check_members(truss, model, forces, holes, works.wood, damaged=True, only=only),
        *check_connections(truss, model, forces, works.wood, damaged=True, only=only),
        *check_beside(truss, model, forces, works.wood, grade_of, only),
    )
    return [p.told(works.project.units) for p in places]


def _names_in(truss: Truss, wanted: Collection[str]) -> set[str]:
    """Names of all places in some panels."""
    names = {place_name(m, p) for m in truss.members for p in panels(m) if panel_name(p) in wanted}
    names |= {splice_name(s) for s in truss.splices if _panel_at(truss, s.chord, s.x) in wanted}
    names |= {place_of(s) for s in truss.side_members if s.element in wanted}
    for member in truss.members:
        pairs = panels(member)
        ends = ((pairs[0], pairs[0][0]), (pairs[-1], pairs[-1][1]))
        names |= {end_name(truss, member.name, joint) for pair, joint in ends if panel_name(pair) in wanted}
    return names


def _panel_at(truss: Truss, chord: str, x: float) -> str:
    member = truss.member(chord)
    return panel_name(next((p for p in panels(member) if x <= truss.joints[p[1]][0] + 1e-6), panels(member)[-1]))


def _governing(places: Sequence[Place], owner: Mapping[str, tuple[str, str]]) -> Checks:
    """What governs each place, and what could not be checked there, with a ratio that is no number."""
    best: dict[tuple[str, str], tuple[float, CheckResult, str]] = {}
    missing: dict[tuple[str, str, str], StageCheck] = {}
    titles = tuple(dict.fromkeys(title for title, _ in owner.values()))
    for place in places:
        for r in place.results:
            if math.isnan(r.ratio):
                for title, row in [owner[r.combination]] if r.combination in owner else [(t, "") for t in titles]:
                    check = StageCheck(title, place.name, f"{r.check}: {r.missing}", row, math.nan, math.nan, r.unit, math.nan, str(r.cite))
                    missing.setdefault((title, place.name, check.check), check)
            elif r.unit != "in":
                title, row = owner[r.combination]
                key, ratio = (title, place.name), rounded(r.ratio)
                if key not in best or ratio > best[key][0]:
                    best[key] = (ratio, r, row)
    found: Checks = {}
    for (title, name), (_, r, row) in best.items():
        found.setdefault(title, []).append(StageCheck(title, name, r.check, row, r.demand, r.capacity, r.unit, r.ratio, str(r.cite)))
    for one in missing.values():
        found.setdefault(one.stage, []).append(one)
    return found


def worst_of(checks: Sequence[StageCheck]) -> StageCheck | None:
    """Of equals the first."""
    return max((c for c in checks if not math.isnan(c.ratio)), key=lambda c: rounded(c.ratio), default=None)


def passes(checks: Sequence[StageCheck]) -> bool:
    """Does everything pass that can be checked?"""
    return all(math.isnan(c.ratio) or at_most(c.ratio, 1.0) for c in checks)


def newly_unchecked(checks: Checks, before: str) -> list[StageCheck]:
    """What cannot be checked in a stage although it could be before the work."""
    known = {(c.place, c.check) for c in checks.get(before, ()) if math.isnan(c.ratio)}
    found = {(c.place, c.check): c for title, each in checks.items() for c in each if title != before and math.isnan(c.ratio)}
    return [c for key, c in found.items() if key not in known]
