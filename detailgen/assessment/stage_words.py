"""What is done in each stage of the work, and what must hold before the next begins."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from detailgen.core.tolerance import at_most
from detailgen.core.units import UnitSystem
from detailgen.model.assessment import Shore, StageCheck, StageLine
from detailgen.model.project import Truss

AS_FOUND = "Keep people from under the truss. Look again: is it still as surveyed?"
AS_FOUND_HOLD = "No snow beyond what is stated lies on the roof, and the forecast brings none. Bearings are free to move where the survey says so."
SNUG_HOLD = "Bases bear, posts are plumb and braced both ways, blocks lie full under all plies, every jack is locked against running down."
JACKED_HOLD = "Force and lift of every jack are written down. Stop reached before the force: go no further, lock the jacks, call the engineer."
CUT_HOLD = "Before the cut: the jacks hold their force, and a saw kerf a third deep into the ply neither opens nor closes. If it moves, stop."
DRILLED = "Clamp the new parts, drill through their holes, put no bolt off."
DRILLED_HOLD = "Bolts go in one by one as each hole is drilled; no hole stays open over night."
FITTED = "Put in all bolts and tighten them snug."
FITTED_HOLD = "All bolts are in, washers bear, nuts are snug; an engineer or special inspector has looked."
BESIDE = "Press, drill and bolt the side members as their sheets say; from now on they take their share of what comes."
OUT_HOLD = "Lifts and bearings are measured and written down beside the values below. A bearing that sticks: stop, call the engineer."
FREED_HOLD = "The strip slides under the whole seat; force and lift are written down; wall and chord are tied. Nobody works at the heel before."
STRESSED_HOLD = "Force and elongation agree within what the stressing table allows. Nobody stands behind or above an anchor."
SERVICE = "The truss carries its loads by itself."
LONG_RUN = "Wood goes on giving way under what lasts. Tighten the bolts again after the first heating season."


def _joined(names: Sequence[str]) -> str:
    return f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else "".join(names)


def where(member: str, ply: str, panels: Sequence[str]) -> str:
    run = f"{panels[0].split('-')[0]}-{panels[-1].split('-')[-1]}"
    return f"{ply} ply {run}" if member.endswith("chord") else f"{ply} ply of {member}"


def snug(joints: Sequence[str]) -> str:
    return f"Set shores with jacks at {_joined(list(joints))} and bring them up snug: no lift yet."


def jacked(force: dict[str, float], short: str, units: UnitSystem) -> str:
    each = ", ".join(f"{j} {units.write_force(f)}" for j, f in force.items())
    end = f" {short[:1].upper()}{short[1:]} ends it before the chord is free of pull." if short else ""
    return f"Lift all jacks together in quarters of their force: {each}.{end}"


def lifted(force: Mapping[str, float], units: UnitSystem) -> str:
    each = ", ".join(f"{j} {units.write_force(f)}" for j, f in force.items())
    return f"Lift all jacks together in quarters of their force: {each}. So much dead load is off the chord while the side members are fitted."


def cut(what: str) -> str:
    return f"Cut out what is drawn of the {what}, of no other ply; drill for the new parts."


def put_in(what: str) -> str:
    return f"Put in the new parts of the {what}; all bolts in and snug."


def freed(joint: str, force: Mapping[str, float], short: str, units: UnitSystem) -> str:
    each = ", ".join(f"{j} {units.write_force(f)}" for j, f in force.items())
    end = f" {short[:1].upper()}{short[1:]} ends it before the heel is free." if short else ""
    return f"Lift in quarters of the force until a strip of paper slides between truss and seat at {joint}: {each}.{end} The heel is free then."


def heel_anew(joint: str, hangs: str) -> str:
    tied = f"Strap the loose ends of both chords together (they hang on one another with {hangs}). "
    return f"{tied}Take the old heel {joint} apart and put the new one in by its sheet, all bolts in and snug; then let the jacks down in quarters."


def stressed(number: int, count: int, force: float, units: UnitSystem) -> str:
    which = "the strands" if count == 1 else f"strands, pull {number} of {count},"
    snug = "Shores snug under the joints of the bottom chord, free to let it rise. " if number == 1 else ""
    return f"{snug}Stress {which} by the stressing table and lock them off: {units.write_force(force)} in all once the wedges have seated."


def out(joints: Sequence[str]) -> str:
    return f"Let all jacks at {_joined(list(joints))} down together, a quarter of their force at a time, then take the shores out."


def unchecked(checks: Sequence[StageCheck]) -> tuple[str, ...]:
    return tuple(f"Stage '{c.stage}': {c.place} cannot be checked ({c.check})." for c in checks)


def warnings(
    truss: Truss, short: str, left: float, shores: Sequence[Shore], lines: Sequence[StageLine], difference: float, ratios: tuple[float, float],
    units: UnitSystem, *, from_zero: bool, tells: float,
) -> tuple[str, ...]:  # fmt: skip
    """What must be known before the work begins."""
    work, out = truss.work, []
    if work.snow == 0:
        out.append("No snow is counted while the truss is worked on: the survey names none. Work on a clear roof only; when it snows, stop.")
    if work.construction == 0:
        out.append("No people and no material are counted on roof or chord while the truss is worked on: the survey names none.")
    if shores and not work.base:
        out.append("What the shores stand on was not surveyed: the engineer looks at every base (slab, soil, floor and what is under it) first.")
    elif shores and work.base_carries == 0:
        out.append(f"The shores stand on: {work.base}. What it carries was not surveyed.")
    if from_zero:
        out.append("As found the truss cannot stand by itself on paper. What keeps it up is unknown, and so is what is locked up in it.")
    if short:
        stays = f"lets {units.write_force(left)} of pull stay beside the ply that is put in"
        out.append(f"{short[:1].upper()}{short[1:]} {stays}: it takes none of that.")
    over = [line for line in lines if not math.isnan(line.ratio) and not at_most(line.ratio, 1.0)]
    if over and over[0] is lines[0]:
        stands = f"{over[0].place} stands at {over[0].ratio:.2f} ({over[0].check})"
        out.append(f"Before anything is done {stands}: shores come first, and nobody else goes under it.")
        over = [line for line in over if (line.place, line.check, line.ratio) != (over[0].place, over[0].check, over[0].ratio)]
    out += [f"Stage '{n.title}': {n.place} stands at {n.ratio:.2f} ({n.check}). Other shoring or bracing is needed there." for n in over]
    out += [f"Shore at {s.joint}: {w}." for s in shores for w in s.warnings]
    once, staged = ratios
    if difference > tells:
        out.append(f"Built in stages a force differs by {100 * difference:.1f} % of the greatest from the answer for all loads at once.")
    if at_most(once, 1.0) and not at_most(staged, 1.0):
        out.append(f"For all loads at once everything passes ({once:.2f}); built in stages it does not ({staged:.2f}).")
    return tuple(out)
