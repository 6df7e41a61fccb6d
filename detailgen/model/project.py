"""What this job is: the survey, resolved. Inches, pounds, psi, radians; x along the span from the left heel work point, y up, z toward the viewer."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from detailgen.core.clause import ReadTables
from detailgen.core.units import UnitSystem
from detailgen.model.added import Across, BraceLine, NewPiece, SideMember, Sister, Splice, Strands, StrandSeat
from detailgen.model.member import Connection, Damage, EndBearing, Heel, Member, NoDrillZone, Ply, Wood
from detailgen.model.roof_loads import Loads


@dataclass(frozen=True)
class Arc:
    """The top chord's centre line as a circle (in)."""

    radius: float
    centre_x: float
    centre_y: float


@dataclass(frozen=True)
class Support:
    """Bearing at a heel. ``offset`` is the bearing point seen from the heel work point (in)."""

    joint: str
    kind: str  # "pin" or "roller"
    offset: tuple[float, float]
    thrust: float = 0.0  # stiffness of the wall against thrust at a roller, lb/in; 0: it gives way
    settlement: tuple[float, float] = (0.0, 0.0)  # how far it has moved since the truss was set, in


@dataclass(frozen=True)
class ForceImport:
    """Forces from another analysis: where they stand and how long their combinations' shortest loads act."""

    file: str
    durations: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class WorkWindow:
    """What may lie on the truss while it is worked on, and where shores may stand. Loads psi of plan, forces lb, lengths in; 0 or none: not surveyed.

    ``shores`` are the joints at which a shore may stand (none: any between the heels), ``barred`` those at which none may.
    """

    snow: float = 0.0
    construction: float = 0.0
    construction_on: str = "roof"  # or "bottom chord"
    shores: tuple[str, ...] = ()
    barred: tuple[str, ...] = ()
    stop: float = 0.0  # most that a jack may lift
    jack: float = 0.0  # most that a jack and its shore can take
    height: float = 0.0  # from the base to the chord's underside
    base: str = ""  # what the shores stand on
    base_carries: float = 0.0  # what it takes under one shore


@dataclass(frozen=True)
class Override:
    """A default set aside by the engineer, with the reason; page one repeats it."""

    item: str
    value: str
    reason: str


@dataclass(frozen=True)
class Truss:
    """One truss with its type's geometry and its own findings."""

    mark: str
    type: str
    bay: str
    tributary_width: float
    span: float
    joints: Mapping[str, tuple[float, float]]
    bottom: tuple[str, ...]  # joints of the bottom chord, left to right
    top: tuple[str, ...]  # joints of the top chord, heels included
    arc: Arc | None
    curved: bool
    members: tuple[Member, ...]
    connections: tuple[Connection, ...]
    splices: tuple[Splice, ...]
    supports: tuple[Support, Support]
    zones: tuple[NoDrillZone, ...] = ()
    damage: tuple[Damage, ...] = ()
    forces: ForceImport | None = None
    overrides: tuple[Override, ...] = ()
    bearings: tuple[EndBearing, ...] = ()
    purlins: tuple[float, ...] = ()  # x of the purlins that bring the roof's load, heels not counted; none: it comes all along the chord
    purlin_height: float = 0.0  # of the middle of a purlin above the chord's axis, at right angles to it
    sisters: tuple[Sister, ...] = ()
    lines: tuple[BraceLine, ...] = ()  # new ones; their stations are among the braces of their members too
    side_members: tuple[SideMember, ...] = ()
    pieces: tuple[NewPiece, ...] = ()  # put in where a ply was cut out
    work: WorkWindow = WorkWindow()
    strands: Strands | None = None
    bolts_from: str = "near"  # side of the truss from which bolts are put in
    heel_room: tuple[float, float] = (0.0, 0.0)  # clear distance beyond the bottom chord's end, left and right (in); 0: not surveyed
    heels: tuple[Heel, ...] = ()  # shoes and seats, where they were surveyed
    seats: tuple[StrandSeat, StrandSeat] = (StrandSeat(), StrandSeat())  # where plates of strands may press at the left and right heel
    run_height: float = math.nan  # where the engineer wants the strands: their middle over the chord's axis (in); nan: the tool chooses
    run_off: float = math.nan  # and their distance from the truss's plane
    across: tuple[Across, ...] = ()  # what stands across the bottom chord

    @property
    def one_sided(self) -> bool:
        """Does any member carry force of one sense only, so that load cases cannot be added up?"""
        return any(m.carries != "both" for m in self.members)

    def member(self, name: str) -> Member:
        return next(m for m in self.members if m.name == name)

    def wood_at(self, chord: str, ply: Ply, x: float) -> Wood:
        """What a chord's ply is made of at x (in): its own wood, or another of which a new piece was put in."""
        own = (p for p in self.pieces if p.wood is not None and (p.chord, p.ply) == (chord, ply.name) and p.start < x < p.end)
        return next((p.wood for p in own if p.wood is not None), ply.wood)

    def heel(self, joint: str) -> Heel | None:
        """What was surveyed of the shoe and seat at a heel."""
        return next((h for h in self.heels if h.joint == joint), None)


@dataclass(frozen=True)
class Modelling:
    """What the analysis counts beyond the plain frame."""

    shear: bool = False  # members shear
    slip: bool = False  # bolts of the webs slip by the standard's stiffness
    play: float = 0.0  # free travel of each bolted end of a web before it bears, in
    second_order: bool = False  # forces act on the deformed truss

    @property
    def one_by_one(self) -> bool:
        """Load cases cannot be added up: each combination is solved by itself."""
        return self.play > 0 or self.second_order


@dataclass(frozen=True)
class Access:
    """How new parts get to the truss and what room stands around it: longest piece (in), heaviest (lb), free distances (in); 0: not surveyed."""

    longest: float = 0.0
    heaviest: float = 0.0
    near: float = 0.0
    far: float = 0.0
    below: float = 0.0
    above: float = 0.0
    bolts_from: str = "near"  # side from which bolts are put in: their heads stand there


@dataclass(frozen=True)
class AnchoredBay:
    """A bay of the building that takes the force of brace lines along it, by the word of whoever designed it.

    ``members``: "webs", "bottom chord" or "top chord", whose lines it holds; ``leaning``: trusses that lean on one line; ``takes``: what it takes of
    each line either way (lb); ``spacing`` of the trusses (in; 0: the width of roof that a truss carries); ``trusses``: marks, none: all.
    """

    where: str
    members: str
    leaning: int
    takes: float
    spacing: float = 0.0
    trusses: tuple[str, ...] = ()


METHOD_WORDS = {"allowable stress": "allowable stress (ASD)", "strength": "strength (LRFD): loads are factored"}
"""How sheets and reports name the method of design."""


@dataclass(frozen=True)
class Stressing:
    """What strands are stressed with and what they lose by. The jack stands behind an anchor: ``jack_length`` with its ram in, ``stroke`` more with
    it out. ``ram_area`` (in2) makes a gauge reading of a force; 0: the jack's own chart does."""

    sizes: tuple[str, ...] = ()  # strand sizes that may be used; none: all that the specification holds from 1/2 in. on
    seating: float = 0.25  # in
    jack_length: float = 22.0
    jack_diameter: float = 5.0
    stroke: float = 8.0
    ram_area: float = 0.0
    creep: float = 0.6
    shrinkage: float = 3e-4
    warming: float = 40.0  # F, of the roof space over the day of stressing
    years: float = 50.0
    force: float = 0.0  # wanted at the jack, each strand (lb); 0: the least that does
    given: bool = False  # does the survey say any of this?


@dataclass(frozen=True)
class Project:
    name: str
    number: str
    location: str
    revision: str
    date: str  # of the revision
    units: UnitSystem
    code_path: str
    view: str
    grid: str
    wood_standard: str
    load_standard: str
    loads: Loads
    trusses: tuple[Truss, ...]
    assumptions: tuple[str, ...] = ()
    folder: str = ""
    templates: str = ""  # the firm's own templates; "": those of the tool
    tables_read: ReadTables = frozenset()  # tables of the standards that the practice has read against print
    access: Access | None = None
    modelling: Modelling = Modelling()
    stressing: Stressing = Stressing()
    method: str = "allowable stress"  # or "strength"
    anchored: tuple[AnchoredBay, ...] = ()
