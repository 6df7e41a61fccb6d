"""What the assessment hands on: forces, checks by place, findings with their cause, the snow that the roof may carry."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from detailgen.core.clause import Calculation, Cite, ReadTables
from detailgen.core.result import CheckResult, State, by_readings
from detailgen.core.shelf import Kept, Shelf
from detailgen.core.tolerance import at_most, rounded
from detailgen.core.units import UnitSystem
from detailgen.model.project import Truss
from detailgen.model.structure import FrameResult, LoadCase, Structure

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Combination:
    """Load cases with their factors; ``duration`` names the shortest load (standards.interface.DURATIONS)."""

    name: str
    factors: tuple[tuple[str, float], ...]
    duration: str
    cite: Cite
    interim: bool = False  # a moment of the work, not of service


@dataclass(frozen=True)
class MemberForces:
    """Forces of one member between two joints: c combinations at s stations (in from its first joint). lb and in-lb, tension and sagging positive."""

    member: str
    station: Floats  # (s,)
    axial: Floats  # (c, s)
    shear: Floats  # (c, s)
    moment: Floats  # (c, s)


@dataclass(frozen=True)
class Forces:
    """All members of one structure in one stage. ``source`` is "analysis" or the name of an imported file."""

    structure: str  # "intact", "as found", "as repaired"
    stage: str
    combinations: tuple[Combination, ...]
    members: Mapping[str, MemberForces]
    source: str
    strands: Floats | None = None  # (c,): force of all strands together, lb
    distances: bool = True  # are the distances of bolts told by themselves?
    bearings: Mapping[str, Floats] | None = None  # by heel (c, 2): what the bearing pushes back along the span and up, lb; None: not known


@dataclass(frozen=True)
class Place:
    """One thing that is checked: a member between two joints, a bolted end, a splice."""

    kind: str  # "member", "connection", "splice"; of a repair's new parts: its remedy
    member: str  # member between two joints, e.g. "L3-L4", "U2-L3"
    joint: str  # connections and splices: where; "" for members
    name: str  # for people, e.g. "web U2-L3 at L3"
    results: tuple[CheckResult, ...]

    def told(self, units: UnitSystem) -> Place:
        """The same, with reasons why something cannot be checked in a project's own units."""
        if not any(r.missing for r in self.results):
            return self
        return replace(self, results=tuple(replace(r, missing=units.told(r.missing)) if r.missing else r for r in self.results))

    @cached_property
    def worst(self) -> CheckResult | None:
        """The result that governs: the largest ratio of demand to capacity, or a distance that is too short.

        A distance that is kept says nothing about how far a place is used; it stands here only where nothing else does.
        """
        known = [r for r in self.results if not math.isnan(r.ratio)]
        used = [r for r in known if r.unit != "in" or not at_most(r.ratio, 1.0)]
        if used or known:
            return max(used or known, key=lambda r: rounded(r.ratio))  # of equals the first, so that noise does not choose
        return self.results[0] if self.results else None

    @property
    def unchecked(self) -> tuple[CheckResult, ...]:
        return tuple(r for r in self.results if r.state is State.CANNOT_BE_CHECKED)


@dataclass(frozen=True)
class Count:
    """How many results a structure has, by state, and how many rest on each table that was looked up, by document and table."""

    states: Mapping[State, int]
    tables: Mapping[tuple[str, str], tuple[Cite, int]]

    @property
    def results(self) -> int:
        return sum(self.states.values())


@dataclass(frozen=True)
class Assessed:
    """One structure, checked. ``no_safe_load_path`` is the reason why no numbers are passed on; empty if there is a path.

    ``counted``: how many results there were, where ``places`` hold but those that are told (``model/governing.py``).
    """

    structure: str
    forces: Forces | None
    places: tuple[Place, ...]
    no_safe_load_path: str = ""
    counted: Count | None = None

    @cached_property
    def count(self) -> Count:
        if self.counted is not None:
            return self.counted
        results = [r for _, r in self.results()]
        resting = Counter(id(r.calculation) for r in results)
        tables: dict[tuple[str, str], tuple[Cite, int]] = {}
        for which, sheet in {id(r.calculation): r.calculation for r in results}.items():
            for key, cite in {(c.document, c.table): c for c in sheet.tables}.items():
                tables[key] = (cite, tables.get(key, (cite, 0))[1] + resting[which])
        return Count(Counter(r.state for r in results), tables)

    def results(self) -> Iterator[tuple[Place, CheckResult]]:
        for place in self.places:
            for result in place.results:
                yield place, result

    def by_readings(self, read: ReadTables) -> Assessed:
        """The same once the tables that a practice has read against print count as read."""
        sheets: dict[int, Calculation] = {}
        return replace(self, places=tuple(replace(p, results=by_readings(p.results, read, sheets)) for p in self.places)) if read else self

    @cached_property
    def worst(self) -> tuple[Place, CheckResult] | None:
        governing = [(p, p.worst) for p in self.places]
        known = [(p, r) for p, r in governing if r is not None and not math.isnan(r.ratio)]
        used = [(p, r) for p, r in known if r.unit != "in" or not at_most(r.ratio, 1.0)]
        return max(used or known, key=lambda pair: rounded(pair[1].ratio), default=None)

    @property
    def failing(self) -> tuple[Place, ...]:
        """Places over 1.0, the worst first."""
        known = [(p, p.worst.ratio) for p in self.places if p.worst is not None and not math.isnan(p.worst.ratio)]
        over = [(p, ratio) for p, ratio in known if not at_most(ratio, 1.0)]
        return tuple(p for p, _ in sorted(over, key=lambda o: -rounded(o[1])))


class Shelved(Assessed):
    """A structure whose forces and places stand on a shelf: each is fetched when somebody asks for it."""

    def __init__(self, whole: Assessed, shelf: Shelf) -> None:
        self.__dict__.update(structure=whole.structure, no_safe_load_path=whole.no_safe_load_path, counted=whole.count, kept=shelf.put(whole))

    @property
    def whole(self) -> Assessed:
        kept: Kept[Assessed] = self.__dict__["kept"]
        return kept.get()

    @property
    def forces(self) -> Forces | None:
        return self.whole.forces

    @property
    def places(self) -> tuple[Place, ...]:
        return self.whole.places

    @property
    def worst(self) -> tuple[Place, CheckResult] | None:
        return self.whole.worst


@dataclass(frozen=True)
class Finding:
    """Something that is wrong, and why, in sentences."""

    kind: str  # "overstress", "damage", "no safe load path", "cannot be checked", "movement"
    member: str
    joint: str
    title: str
    cause: str
    ratio: float
    combination: str = ""


@dataclass(frozen=True)
class SnowCapacity:
    """How much of today's snow the roof may carry as found: the factor on all snow at which the first check reaches 1.0.

    Loads are flat-roof snow loads (psi of plan area) that go with the factor. ``at_least`` marks a search that ended at its upper bound.
    """

    factor: float
    flat_roof_today: float
    governing: str
    at_least: bool = False

    @property
    def flat_roof_allowed(self) -> float:
        return self.factor * self.flat_roof_today


@dataclass(frozen=True)
class LoadPicture:
    """A load along the span for drawing and report: x (in) and load per horizontal area (psi), and single forces (x, lb downward)."""

    name: str
    x: Floats
    pressure: Floats
    forces: tuple[tuple[float, float], ...] = ()
    note: str = ""


@dataclass(frozen=True)
class Variation:
    """The truss as repaired with one assumption changed: the place that then governs, and whether something passes 1.0 that did not."""

    title: str
    ratio: float
    place: str
    check: str
    combination: str
    changes: bool


@dataclass(frozen=True)
class StageLine:
    """A stage of the work: what is done, what must hold before it goes on, and the place that governs in it.

    ``moved`` are the bearings' movements along the span since the truss was found (in, left and right), ``shores`` the forces of the shores that
    last in it (lb), in the order of the work's shores.
    """

    title: str
    place: str
    check: str
    ratio: float
    combination: str = ""
    does: str = ""
    hold: str = ""
    moved: tuple[float, float] = (0.0, 0.0)
    shores: tuple[float, ...] = ()
    strands: tuple[float, ...] = ()  # forces of the strands that are locked, lb, in the order in which they are stressed


@dataclass(frozen=True)
class StageCheck:
    """What governs one place in one stage. ``capacity`` is 1 where an interaction is checked."""

    stage: str
    place: str
    check: str
    combination: str
    demand: float
    capacity: float
    unit: str
    ratio: float
    clause: str


@dataclass(frozen=True)
class Shore:
    """A shore with its jack: what it lifts with and how far (lb, in), the stop, the greatest force in any stage, the block under the chord.

    ``force`` is 0 for a shore that is only snug. ``bearing`` is the check of the chord on the block of ``block`` in. along the grain.
    """

    joint: str
    x: float
    force: float
    lift: float
    stop: float
    most: float
    block: float
    bearing: CheckResult
    height: float  # in; 0: not surveyed
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True)
class Stressing:
    """How strands are stressed: ``element`` is what stands for all of them in the repaired frame, in ``count`` equal parts one after another.

    ``locked`` is what all of them hold together when the last part is locked off, ``lasting`` what is left after all losses (lb).
    """

    element: str
    count: int
    locked: float
    lasting: float


@dataclass(frozen=True)
class StagedWork:
    """The work on one truss stage by stage. ``why_not`` says why it was not worked out; then there is nothing else.

    ``pull`` (lb) is the dead load's pull in the plies beside the one that is repaired, ``left`` what the jacks leave of it. ``difference`` is the
    largest difference of an axial force (of a member or one of its plies) from the answer for all loads at once, of the greatest in the truss.
    ``snow`` is what the roof may carry while the work is at its weakest (psi of plan; nan: not worked out).
    """

    truss: str
    why_not: str = ""
    shores: tuple[Shore, ...] = ()
    pull: float = 0.0
    left: float = 0.0
    lines: tuple[StageLine, ...] = ()
    checks: tuple[StageCheck, ...] = ()
    member: str = ""
    difference: float = 0.0
    at_once: float = math.nan
    staged: float = math.nan
    snow: float = math.nan
    snow_stage: str = ""
    warnings: tuple[str, ...] = ()

    @property
    def joints(self) -> tuple[str, ...]:
        """Where shores stand."""
        return tuple(s.joint for s in self.shores)


@dataclass(frozen=True)
class SnowDepth:
    """A kind of snow with its weight (lb/in3), and the depth on the roof (in) at which it weighs what the roof is watched for and closed at."""

    kind: str
    weight: float
    watch: float
    close: float
    source: str


@dataclass(frozen=True)
class SafetyNow:
    """What a truss as found may carry now, and what helps in an emergency. Loads psi of plan on the roof.

    ``watch`` and ``close`` are the loads at which somebody looks and at which the building is cleared; ``ground`` is the ground snow that goes with
    ``close`` on this roof. ``shores`` are joints with the push (lb) under ``shored``, what the truss carries once shores stand snug there.
    """

    truss: str
    known: bool  # a snow load could be found
    today: float
    allowed: float
    at_least: bool
    governing: str
    watch: float
    close: float
    ground: float
    depths: tuple[SnowDepth, ...]
    shores: tuple[tuple[str, float], ...]
    shored: float
    shored_at_least: bool
    notes: tuple[str, ...]


@dataclass(frozen=True)
class HandLine:
    """One line that a reviewer can follow: how it is worked, its value (lb, in-lb or in), and what the analysis says (nan: nothing)."""

    part: str  # "loads", "reactions", "chord"
    what: str
    working: str
    by_hand: float
    unit: str
    ours: float


@dataclass(frozen=True)
class HandForce:
    """What an element pulls at a joint: axial force (lb, tension positive), direction (rad), and its parts along the span and upward."""

    member: str
    axial: float
    angle: float
    along: float
    upward: float


@dataclass(frozen=True)
class HandCheck:
    """A truss as found under one combination, worked by hand: loads, reactions, a chord, a joint, a connection."""

    truss: str
    combination: str
    lines: tuple[HandLine, ...]
    joint: str
    forces: tuple[HandForce, ...]
    rest: tuple[float, float]  # what is left at the joint, lb
    place: str
    connection: CheckResult | None


@dataclass(frozen=True)
class Difference:
    """The largest difference between our forces and those of another analysis in one member: lb or in-lb, station in inches.

    ``share`` is of the greatest value of its kind in the truss.
    """

    truss: str
    structure: str
    member: str
    what: str  # "axial", "shear", "moment"
    combination: str
    station: float
    ours: float
    theirs: float
    share: float


@dataclass(frozen=True)
class TrussAssessment:
    """Everything about one truss before repair."""

    truss: Truss
    combinations: tuple[Combination, ...]
    cases: tuple[LoadCase, ...]
    pictures: tuple[LoadPicture, ...]
    intact: Assessed
    as_found: Assessed
    findings: tuple[Finding, ...]
    snow: SnowCapacity | None
    assumptions: tuple[str, ...]
    flags: tuple[str, ...]  # what page one must say
    structure: Structure | None = None  # as found
    answers: FrameResult | None = None  # per load case, as found
    original: Assessed | None = None
    notes: tuple[str, ...] = ()  # what the original design meant, what reverses

    def by_readings(self, read: ReadTables) -> TrussAssessment:
        return replace(self, intact=self.intact.by_readings(read), as_found=self.as_found.by_readings(read)) if read else self
