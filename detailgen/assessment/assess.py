"""One truss, assessed: loads, forces intact and as found, checks, findings with their cause, the snow that it may carry."""

from __future__ import annotations

import contextlib
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from detailgen.analysis.build import build_frame, panel_name, panels
from detailgen.analysis.frame import Unstable, combine
from detailgen.analysis.second_order import Buckles
from detailgen.assessment import findings as say
from detailgen.assessment.beside import check_beside, solve_as_built
from detailgen.assessment.connections import check_connections
from detailgen.assessment.forces import bearing_forces, member_forces
from detailgen.assessment.members import check_members, grade_of, place_name
from detailgen.assessment.modelling import as_asked, solve_one_by_one
from detailgen.assessment.sections import hole_groups
from detailgen.assessment.snow import snow_capacity
from detailgen.assessment.stressed import forces_with, rows_of, solve_stressed
from detailgen.core.clause import Cite
from detailgen.core.errors import InputError, InputProblem, NotCovered
from detailgen.core.tolerance import rounded
from detailgen.loads.cases import LoadSet, build_cases
from detailgen.loads.combinations import expand, original_design
from detailgen.model.assessment import Assessed, Combination, Finding, Forces, MemberForces, Place, SnowCapacity, TrussAssessment
from detailgen.model.frame import FrameModel
from detailgen.model.member import Wood
from detailgen.model.project import Project, Truss
from detailgen.model.structure import FrameResult
from detailgen.standards.anchorage import SteelPartStandard
from detailgen.standards.interface import ALLOWABLE_STRESS, STRENGTH, LoadStandard, WoodStandard, by_method, method_of

NO_PATH = 3.0
"""A ratio over this means that the truss as found has no load path that could be relied on (house rule, ours)."""
STAGE = "service"

Imported = Mapping[str, tuple[Sequence[str], Mapping[str, MemberForces]]]
"""Imported forces by structure: combination names and forces of each member between joints."""


@dataclass(frozen=True)
class _Solved:
    """A structure with its answers per load case and its combined forces."""

    model: FrameModel
    loads: LoadSet
    answers: FrameResult  # per load case, linear
    forces: Forces
    one_by_one: FrameResult | None = None  # per combination, where load cases cannot be added up
    warnings: tuple[str, ...] = ()
    told: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Job:
    """What every step of one truss needs."""

    project: Project
    truss: Truss
    wood: WoodStandard
    standard: LoadStandard
    parts: SteelPartStandard | None = None

    @property
    def one_by_one(self) -> bool:
        """Load cases cannot be added up: each combination is solved by itself."""
        return self.project.modelling.one_by_one or self.truss.one_sided

    def modulus(self, wood: Wood, thickness: float, depth: float) -> float:
        return self.wood.stiffness(grade_of(wood), thickness, depth).E

    def model(self, *, damaged: bool) -> FrameModel:
        return build_frame(self.truss, self.modulus, damaged=damaged)

    def loads(self, model: FrameModel) -> LoadSet:
        return build_cases(self.truss, self.project.loads, model, self.standard)


def _combined(truss: Truss, model: FrameModel, answers: FrameResult, combinations: Sequence[Combination], structure: str) -> Forces:
    factors = np.zeros((len(combinations), len(answers.names)))
    for k, combination in enumerate(combinations):
        for case, factor in combination.factors:
            factors[k, answers.names.index(case)] = factor
    result = combine(answers, [c.name for c in combinations], factors)
    return Forces(structure, STAGE, tuple(combinations), member_forces(model, result), "analysis", bearings=bearing_forces(model, result, truss))


def _solve(job: _Job, structure: str, *, damaged: bool, altered: Callable[[FrameModel], FrameModel] | None = None) -> _Solved:
    asked = job.project.modelling
    model = as_asked(job.model(damaged=damaged), job.truss, asked, job.wood)
    if altered is not None:
        model = altered(model)
    loads = job.loads(model)
    combinations = expand(job.standard, loads.kinds, method_of(job.wood))
    if job.truss.strands is not None:
        if job.one_by_one or method_of(job.wood) != ALLOWABLE_STRESS:
            raise NotCovered("strands where load cases cannot be added up, or by strength design")
        stressed = solve_stressed(model, loads.cases)
        rows = rows_of(combinations, loads.kinds.get("S", ()), job.standard)
        return _Solved(model, loads, stressed.after, forces_with(stressed, job.truss.strands, rows, structure, STAGE))
    if job.one_by_one and job.truss.side_members:
        raise NotCovered("timbers beside a chord where load cases cannot be added up")
    sides = job.truss.side_members
    answers = solve_as_built(model, loads.cases, model.active, min((s.lifted for s in sides), default=0.0), sides)
    if not job.one_by_one:
        return _Solved(model, loads, answers, _combined(job.truss, model, answers, combinations, structure))
    found = solve_one_by_one(model, job.truss, loads, combinations, asked)
    members, bearings = member_forces(model, found.result), bearing_forces(model, found.result, job.truss)
    forces = Forces(structure, STAGE, combinations, members, "analysis", bearings=bearings)
    return _Solved(model, loads, answers, forces, found.result, found.warnings, found.told)


def _check(job: _Job, model: FrameModel, forces: Forces, *, damaged: bool, only: Sequence[str] | None = None) -> tuple[Place, ...]:
    """All places of one structure; with ``only``, those with these names."""
    asked = None if only is None else {panel_name(pair) for m in job.truss.members for pair in panels(m) if place_name(m, pair) in only}
    holes = hole_groups(job.truss, model, asked) if asked is None or asked else ()
    places = (
        *check_members(job.truss, model, forces, holes, job.wood, damaged=damaged, only=only),
        *check_connections(job.truss, model, forces, job.wood, damaged=damaged, only=only, parts=job.parts),
        *check_beside(job.truss, model, forces, job.wood, grade_of, only),
    )
    return tuple(p.told(job.project.units) for p in places)


def _loose(unstable: Unstable) -> str:
    """What moves, in words; a point of the frame between two joints is told by them."""
    panel, _, point = unstable.joint.partition(".")
    what = f"a point of the chord between {' and '.join(panel.split('-'))}" if point else f"joint {panel}"
    if isinstance(unstable, Buckles):
        return f"it buckles in its plane under its loads, most at {what}"
    motion = {"x": "can move along the span", "y": "can move up and down", "rotation": "can turn"}[unstable.direction]
    return f"{what} {motion}, and nothing resists it"


def _refuse(job: _Job, unstable: Unstable) -> InputError:
    return InputError([
        InputProblem(
            "project", 0, f"trusses.{job.truss.mark}", f"an intact truss that cannot stand: {_loose(unstable)}", "a stable truss",
            "Look for a missing web, a joint without support, or three hinges in one panel.",
        )
    ])  # fmt: skip


def _imported_forces(job: _Job, model: FrameModel, imported: Imported, structure: str, combinations: Sequence[Combination]) -> Forces | None:
    """Imported forces in the place of the analysis. Combinations of the same name keep their factors; others only have a duration."""
    if structure not in imported or job.truss.forces is None:
        return None
    names, members = imported[structure]
    known = {c.name: c for c in combinations}
    stated = dict(job.truss.forces.durations)
    source = Cite("imported forces", job.truss.forces.file)
    rows = tuple(known.get(n) or Combination(n, (), stated[n], source) for n in names)
    return Forces(structure, STAGE, rows, members, job.truss.forces.file)


def _left_out(truss: Truss, combinations: Sequence[Combination], given: Forces) -> list[str]:
    """Combinations of the standard that imported forces do not hold: nothing is checked under them."""
    held = {c.name for c in given.combinations}
    missing = [c.name for c in combinations if c.name not in held]
    if not missing:
        return []
    named = ", ".join(missing[:3]) + (f" and {len(missing) - 3} more" if len(missing) > 3 else "")
    return [f"{given.source} holds no forces of truss {truss.mark} under {named}: nothing is checked under them."]


def own_forces(project: Project, truss: Truss, wood: WoodStandard, standard: LoadStandard) -> dict[str, Forces]:
    """Our own forces of a truss, intact and as found, whatever is imported; a structure that is a mechanism is left out.

    Raises: InputError where the intact truss is a mechanism
    """
    job = _Job(project, truss, wood, standard)
    try:
        found = {"intact": _solve(job, "intact", damaged=False).forces}
    except Unstable as unstable:
        raise _refuse(job, unstable) from None
    with contextlib.suppress(Unstable):
        found["as found"] = _solve(job, "as found", damaged=True).forces
    return found


def assess_truss(
    project: Project, truss: Truss, wood: WoodStandard, standard: LoadStandard, read_imported: Callable[[Sequence[str]], Imported] | None = None,
    parts: SteelPartStandard | None = None,
) -> TrussAssessment:  # fmt: skip
    """Assess one truss intact and as found.

    read_imported: given the names of the combinations, the forces of another analysis by structure; they replace the tool's own
    parts: a standard for the steel of the heels' shoes; without it that cannot be checked
    Raises: InputError where the intact truss is a mechanism (the joint is named)
    """
    job = _Job(project, truss, wood, standard, parts)
    try:
        whole = _solve(job, "intact", damaged=False)
    except Unstable as unstable:
        raise _refuse(job, unstable) from None
    combinations = whole.forces.combinations
    assumptions = [*project.assumptions, *whole.loads.assumptions, *_made_dry(truss)]
    if job.one_by_one and whole.loads.pressures:
        assumptions.append("The snow that the roof may carry is found by adding up combinations, although each was solved by itself.")

    intact_forces = whole.forces
    imported = read_imported([c.name for c in combinations]) if read_imported else {}
    if imported:
        intact_forces = _imported_forces(job, whole.model, imported, "intact", combinations) or intact_forces
        assumptions.append(f"Forces of truss {truss.mark} come from {intact_forces.source}: the tool's own analysis is not used for them.")
        assumptions += _left_out(truss, combinations, intact_forces)
        if method_of(wood) == STRENGTH and any(not c.factors for c in intact_forces.combinations):
            assumptions.append(f"Forces of {intact_forces.source} under combinations that are not the standard's own are taken as factored.")
    intact = Assessed("intact", intact_forces, _check(job, whole.model, intact_forces, damaged=False))

    found_model, loads = whole.model, whole.loads
    answers: FrameResult | None = whole.one_by_one or whole.answers
    warnings, told = whole.warnings, whole.told
    reason, found_forces = "", None
    try:
        found = _solve(job, "as found", damaged=True)
        found_model, loads, answers, found_forces = found.model, found.loads, found.one_by_one or found.answers, found.forces
        warnings, told = found.warnings, found.told
    except Unstable as unstable:
        answers, reason = None, f"as found the truss is a mechanism: {_loose(unstable)}"
        found_model = job.model(damaged=True)
    if imported:
        answers = None
        found_forces = _imported_forces(job, found_model, imported, "as found", combinations)
        if found_forces is None and truss.damage:
            assumptions.append(f"{intact_forces.source} holds no forces as found: the forces of the intact truss act on the damaged sections.")
        found_forces = found_forces or replace(intact_forces, structure="as found")
        reason = ""
    places: tuple[Place, ...] = ()
    if found_forces is not None and not reason:
        places = _check(job, found_model, found_forces, damaged=True)
    as_found = Assessed("as found", found_forces, places, reason)
    # A distance that is too short is a fault of geometry: it says nothing about a load path.
    strength = [(p, r) for p, r in as_found.results() if r.unit != "in" and r.ratio == r.ratio]
    worst = max(strength, key=lambda pair: rounded(pair[1].ratio), default=None)
    causes: list[Finding] = []
    if worst is not None and worst[1].ratio > NO_PATH:
        place, result = worst
        stands = f"stands at {result.ratio:.2f}" if math.isfinite(result.ratio) else "has nothing left to carry its force"
        reason = f"{place.name} {stands} ({result.check}, {result.combination}); over {NO_PATH:g} nothing can be relied on"
        # No numbers of such a structure are passed on: the causes stay, their ratios do not.
        causes = [replace(f, ratio=math.inf) for f in say.overstress(as_found, truss, found_model, project.units) if f.ratio > NO_PATH]
        as_found = Assessed("as found", None, (), reason)
        answers = None
    if reason:
        title = "No safe load path as found"
        causes = [Finding("no safe load path", "", "", title, f"{reason[0].upper()}{reason[1:]}.", math.inf), *causes]
    else:
        causes = say.overstress(as_found, truss, found_model, project.units)

    snow = None if reason else _snow(job, found_model, as_found, whole.loads)
    original = _original(job, whole)
    notes = [say.reversal_note(intact_forces, truss, project.units), *_original_note(job, whole, original, intact_forces)]
    used = as_found if as_found.places else intact
    assumptions = list(dict.fromkeys([*told, *assumptions]))
    return TrussAssessment(
        truss=truss, combinations=combinations, cases=loads.cases, pictures=whole.loads.pictures, intact=intact, as_found=as_found,
        findings=(*causes, *say.damages(truss, project.units), *say.unchecked(used, project.units)), snow=snow, assumptions=tuple(assumptions),
        flags=(*_flags(truss), *warnings), structure=found_model.structure, answers=answers, original=original, notes=tuple(notes),
    )  # fmt: skip


CheckPlaces = Callable[[Sequence[str] | None], tuple[Place, ...]]
"""Checks the places with these names of a solved structure (all when None)."""


def solve_repaired(
    project: Project, truss: Truss, wood: WoodStandard, standard: LoadStandard, read_imported: Callable[[Sequence[str]], Imported] | None = None,
    *, altered: Callable[[FrameModel], FrameModel] | None = None, distances: bool = True, parts: SteelPartStandard | None = None,
) -> tuple[FrameModel, Forces, CheckPlaces]:  # fmt: skip
    """A truss with repairs in: its frame, its forces, and the checks of whichever of its places are asked for. What damage is left counts.

    altered: changes the frame before it is solved
    distances: are the distances of bolts told by themselves?
    Raises: InputError where it is a mechanism
    """
    job = _Job(project, truss, wood, standard, parts)
    try:
        solved = _solve(job, "as repaired", damaged=True, altered=altered)
    except Unstable as unstable:
        raise _refuse(job, unstable) from None
    forces = solved.forces
    imported = read_imported([c.name for c in forces.combinations]) if read_imported else {}
    if imported:
        given = _imported_forces(job, solved.model, imported, "as repaired", forces.combinations)
        intact = _imported_forces(job, solved.model, imported, "intact", forces.combinations)
        forces = given or (replace(intact, structure="as repaired") if intact else forces)
    forces = replace(forces, distances=distances)
    return solved.model, forces, lambda names: _check(job, solved.model, forces, damaged=True, only=names)


def _snow(job: _Job, model: FrameModel, as_found: Assessed, loads: LoadSet) -> SnowCapacity | None:
    """How much snow it may carry as found; none where there is no snow or no load path."""
    if as_found.forces is None or not loads.pressures:
        return None
    return snow_capacity(
        as_found.forces, loads.kinds["S"], loads.flat_roof_snow, lambda forces, names: _check(job, model, forces, damaged=True, only=names)
    )


def _original(job: _Job, whole: _Solved) -> Assessed | None:
    """The intact truss under the load of its first design, which was a load in service: judged by allowable stress."""
    combinations = original_design(whole.loads.kinds)
    if not combinations:
        return None
    if job.one_by_one:
        alone = solve_one_by_one(whole.model, job.truss, whole.loads, combinations, job.project.modelling)
        forces = Forces("intact", STAGE, combinations, member_forces(whole.model, alone.result), "analysis")
    else:
        forces = _combined(job.truss, whole.model, whole.answers, combinations, "intact")
    holes = hole_groups(job.truss, whole.model)
    wood = by_method(job.wood, ALLOWABLE_STRESS) if method_of(job.wood) == STRENGTH else job.wood
    return Assessed("intact", forces, check_members(job.truss, whole.model, forces, holes, wood, damaged=False))


def _original_note(job: _Job, whole: _Solved, original: Assessed | None, today: Forces) -> list[str]:
    """What the load of the original design asked of the truss, beside today's loads."""
    given = job.project.loads.original
    if original is None or original.forces is None or given is None:
        return []
    u = job.project.units

    def greatest(forces: Forces, kind: str, sign: int) -> float:
        members = [m.axial for name, m in forces.members.items() if _kind(job.truss, name) == kind]
        return max(max(float((sign * a).max()) for a in members), 0.0)

    def line(forces: Forces) -> str:
        chord, pulled, pushed = greatest(forces, "bottom chord", 1), greatest(forces, "web", 1), greatest(forces, "web", -1)
        webs = f"webs up to {u.write_force(pulled)} tension and {u.write_force(pushed)} compression"
        return f"bottom chord {u.write_force(chord)} tension, {webs}"

    now = "Today, factored" if method_of(job.wood) == STRENGTH else "Today"
    text = f"Original design, {u.write_area_load(given.total)} over the whole span: {line(original.forces)}. {now}: {line(today)}."
    if given.tension_stress > 0:
        text += f" Tension then allowed: {given.tension_stress * u.stress:,.4g} {u.stress_unit} ({given.source})."
    return [text]


def _kind(truss: Truss, panel: str) -> str:
    a, b = panel.split("-")
    if any({a, b} <= {x, y} for x, y in zip(truss.bottom[:-1], truss.bottom[1:], strict=True)):
        return "bottom chord"
    if any({a, b} <= {x, y} for x, y in zip(truss.top[:-1], truss.top[1:], strict=True)):
        return "top chord"
    return "web"


def _made_dry(truss: Truss) -> tuple[str, ...]:
    """What the values of old joints rest on where several rows of bolts could have split wood that dried in place."""
    bolts = [c.bolts for c in truss.connections] + [s.bolts for s in truss.splices if s.bolts is not None]
    if not any(len({round(y, 3) for _, y in b.positions}) > 1 for b in bolts):
        return ()
    return (
        "Existing joints count as made of dry wood. Where several rows of bolts were set in green wood that dried in place, the standard leaves "
        "as little as 0.4 of their value (NDS 2018 table 11.3.3): look for checks along the rows, and enter what is left as their condition.",
    )


def _flags(truss: Truss) -> tuple[str, ...]:
    """What page one must say: overrides, damage, two pins."""
    flags = [f"Override, {o.item}: {o.value or 'yes'} ({o.reason})." for o in truss.overrides]
    if all(s.kind == "pin" for s in truss.supports):
        flags.append("Both supports are pins: wall thrust hides chord tension.")
    if any(s.thrust > 0 for s in truss.supports):
        flags.append("A wall is counted on against thrust: it hides chord tension. Its stiffness and strength must be shown.")
    return tuple(flags)
