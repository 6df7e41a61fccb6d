"""Heels that are made anew, one at a time: jacked beside it until nothing presses on its seat, taken apart, put together, let down."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from detailgen.assessment import stage_words as say
from detailgen.assessment.connections import end_name
from detailgen.assessment.heels import heel_name
from detailgen.assessment.shoring import Jacks, jacks_for
from detailgen.assessment.stage_checks import Checks, check, worst_of
from detailgen.assessment.staging import Moment, Row, Works
from detailgen.core.errors import NotCovered
from detailgen.core.tolerance import at_most, rounded
from detailgen.model.project import Truss

if TYPE_CHECKING:
    from detailgen.assessment.stages import Course

UPWARD = 1


def remade_heels(found: Truss, repaired: Truss) -> tuple[str, ...]:
    """Joints of the heels that get a new shoe, left to right."""
    new = {h.joint for h in repaired.heels if h.new} - {h.joint for h in found.heels if h.new}
    return tuple(j for j in (repaired.bottom[0], repaired.bottom[-1]) if j in new)


def only_heels(found: Truss, repaired: Truss) -> bool:
    """Are new heels all that the repair brings?"""
    joints = remade_heels(found, repaired)

    def without(truss: Truss) -> Truss:
        chords = {m.name for m in truss.members if m.kind != "web"}
        return replace(
            truss, heels=(), connections=tuple(c for c in truss.connections if c.joint not in joints or c.member not in chords),
            bearings=tuple(b for b in truss.bearings if b.joint not in joints), damage=(),
        )  # fmt: skip

    return bool(joints) and without(found) == without(repaired)


def _end_panel(truss: Truss, joint: str) -> str:
    return "-".join(truss.bottom[:2] if joint == truss.bottom[0] else truss.bottom[-2:])


def remake(course: Course, rows: Sequence[Row], places: Sequence[str]) -> tuple[Jacks, Moment]:
    """All stages of the heels. Returns the jacks of all of them together, and the moment at which least stands.

    Raises: NotCovered where no shore may stand, Unstable
    """
    works = course.works
    joints = remade_heels(works.found, works.repaired)
    chosen: dict[str, Jacks] = {}
    for joint in joints:
        chosen[joint] = _jacks(course, joint, rows, places)
    course.joints = tuple(j for j in works.found.bottom if any(j in jacks.force for jacks in chosen.values()))
    free: list[Moment] = []
    for number, joint in enumerate(joints, start=1):
        jacks, shores = chosen[joint], works.overlay.shores
        pushes = dict(zip((shores[j] for j in jacks.force), course.build.pushed([shores[j] for j in jacks.force]), strict=True))
        before = course.build
        course.build = before.fork()
        course.build.stand([shores[j] for j in jacks.force])
        course.stage(f"shores snug for heel {joint}", say.snug(tuple(jacks.force)), say.SNUG_HOLD, rows, "found")
        course.build = before.jacked(pushes, {shores[j]: f for j, f in jacks.force.items()})
        seat = works.base.structure.joint_names.index(joint)
        course.build.release(seat, UPWARD)
        does = say.freed(joint, jacks.force, jacks.short, works.project.units)
        free.append(course.stage(free_title(joint), does, say.FREED_HOLD, rows, "found"))
        course.build.hold(seat, UPWARD)
        last = number == len(joints)
        if last:
            course.build.add(works.new_weight(course.build))
        structure = "repaired" if last else "found"
        course.build.take_out([shores[j] for j in jacks.force])
        hangs = works.project.units.write_force(_hangs(works, free[-1], joint))
        title, does = f"heel {joint} made anew and let down", say.heel_anew(joint, hangs)
        course.stage(title, does, say.FITTED_HOLD, rows, structure, drilled=True, sistered=True)
    together = Jacks({j: f for x in chosen.values() for j, f in x.force.items()}, {j: v for x in chosen.values() for j, v in x.lift.items()},
                     max(x.left for x in chosen.values()), next((x.short for x in chosen.values() if x.short), ""))  # fmt: skip
    weak = apart(check(works, free), works)
    return together, max(free, key=lambda m: rounded(w.ratio) if (w := worst_of(weak[m.title])) is not None else -math.inf)


def _hangs(works: Works, moment: Moment, joint: str) -> float:
    """What the loose ends of both chords hang on one another with (lb): the top chord's pull at a heel that is free."""
    panel = "-".join(works.found.top[:2] if joint == works.found.top[0] else works.found.top[-2:])
    axial = works.axial(moment)
    at = 0 if joint == works.found.top[0] else -1
    return max((float(f[:, at].max()) for (name, _), f in axial.items() if name == panel), default=0.0)


def apart(checks: Checks, works: Works) -> Checks:
    """The checks without those of a heel's own parts while it is taken apart."""
    for joint in remade_heels(works.found, works.repaired):
        title = free_title(joint)
        names = {heel_name(joint), *(end_name(works.found, m.name, joint) for m in works.found.members if m.kind != "web" and joint in m.joints)}
        checks[title] = [c for c in checks.get(title, ()) if c.place not in names]
    return checks


def free_title(joint: str) -> str:
    return f"heel {joint} free"


def _jacks(course: Course, joint: str, rows: Sequence[Row], places: Sequence[str]) -> Jacks:
    """The fewest joints at which jacks free a heel and the dead load passes; else those under which least is wrong."""
    works = course.works
    tried, pushes = jacks_for(works, course.build, (_end_panel(works.found, joint),), places)
    if not tried:
        raise NotCovered(f"a joint of the bottom chord at which a shore may free the heel {joint}")
    shores = works.overlay.shores
    moments = [
        works.moment(f"tried {k}", course.build.jacked(pushes, {shores[j]: f for j, f in jacks.force.items()}), rows[:1], "found")
        for k, jacks in enumerate(tried)
    ]  # fmt: skip
    found = check(works, moments)

    def worst(k: int) -> float:
        one = worst_of(found[f"tried {k}"])
        return rounded(one.ratio) if one is not None else math.inf

    whole = [k for k, jacks in enumerate(tried) if not jacks.short] or list(range(len(tried)))
    return tried[next((k for k in whole if at_most(worst(k), 1.0)), min(whole, key=lambda k: (worst(k), k)))]
