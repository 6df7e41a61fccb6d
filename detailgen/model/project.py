"""What this job is: the survey, resolved. Inches, pounds, psi, radians; x along the span from the left heel work point, y up, z toward the viewer."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from detailgen.core.clause import ReadTables
from detailgen.core.units import UnitSystem
from detailgen.model.imposed import Imposed


@dataclass(frozen=True)
class Wood:
    """Species, grade and moisture as surveyed. ``values`` (psi; G without unit) replace the standard's tables and carry their source."""

    product: str  # "sawn" or "glulam"
    species: str
    grade: str
    wet: bool = False
    values: tuple[tuple[str, float], ...] = ()
    source: str = ""

    @property
    def facts(self) -> tuple[tuple[str, str], ...]:
        """What a drawing says of it beside its name."""
        own = ((name, f"{value:.7g}" if name == "G" else f"{value:.7g} psi") for name, value in self.values)
        return ("product", self.product), ("service", "wet" if self.wet else "dry"), *own


@dataclass(frozen=True)
class Ply:
    """One ply of a member: measured thickness (z) and depth (in the truss plane), in, and the z of its centre.

    ``layers`` are the depths of planks stacked over the ply's depth, bottom first; empty for one solid piece.
    ``composite`` says whether the layers act together ("full"), slip on one another ("partial") or act each by itself ("none").
    ``joint`` is the force per length that a slip of one inch between neighbouring layers takes (lb/in per in); partial only.
    """

    name: str
    thickness: float
    depth: float
    z: float
    wood: Wood
    layers: tuple[float, ...] = ()
    composite: str = "full"
    joint: float = 0.0


@dataclass(frozen=True)
class Member:
    """A chord over all its joints, or a web between two. Stations run from the first joint along the member's axis (a chord: along x)."""

    name: str
    kind: str  # "bottom chord", "top chord", "web"
    joints: tuple[str, ...]
    plies: tuple[Ply, ...]
    bow: float = 0.0
    braces: tuple[float, ...] = ()  # stations held out of plane, ends not counted
    """For a chord: x; for a web: distance from its first joint."""
    carries: str = "both"  # or "tension" (a rod), "compression" (a strut that only bears)


@dataclass(frozen=True)
class Bolts:
    """A bolt group. Positions (along, across) in the axes of its member, from the joint's work point or from the cut of a splice (in)."""

    diameter: float
    positions: tuple[tuple[float, float], ...]
    bending_yield: float  # psi
    missing: int = 0
    root: float = 0.0  # root diameter (in) where threads lie in a shear plane; 0: they do not, or nobody knows


@dataclass(frozen=True)
class Plate:
    """An existing steel plate or strap that the bolts pass: thickness, width across its length, z of its centre (in)."""

    thickness: float
    width: float
    z: float
    bearing_strength: float  # psi, dowel bearing
    end: float  # distance from the first work point (or cut) to the plate's end, along (in)
    per_row: bool = False  # each row of bolts has a plate of its own; width is that of all together


@dataclass(frozen=True)
class Filler:
    """Blocking between plies that the bolts pass; it fills the gap and carries nothing."""

    thickness: float
    z: float


@dataclass(frozen=True)
class Scab:
    """An existing wood splice piece, centred over the cut: thickness, depth, z of its centre, whole length (in)."""

    name: str
    thickness: float
    depth: float
    z: float
    length: float
    wood: Wood


@dataclass(frozen=True)
class Pad:
    """New timber on a face of a web, with its grain along it: thickness, depth, z of its centre, from and to along the web from the joint (in)."""

    name: str
    thickness: float
    depth: float
    z: float
    start: float
    end: float
    wood: Wood


@dataclass(frozen=True)
class Blocks:
    """Pads bolted to a web that stand on the chord: they take what the web is pushed with, and nothing of what it is pulled with."""

    bolts: Bolts
    pads: tuple[Pad, ...]


@dataclass(frozen=True)
class Connection:
    """A bolted end of a member at a joint.

    ``end`` is how far the member runs beyond the work point (in; negative where it stops short).
    """

    name: str
    member: str
    joint: str
    bolts: Bolts
    end: float
    plates: tuple[Plate, ...] = ()
    fillers: tuple[Filler, ...] = ()
    condition: float = 1.0
    idle: tuple[Bolts, ...] = ()  # old bolts that stay in their holes, or old holes: they count as carrying nothing
    pads: tuple[Pad, ...] = ()  # that the bolts hand the member's force to
    blocks: Blocks | None = None  # with them the connection itself holds tension alone
    passing: tuple[Bolts, ...] = ()  # further new bolts of the joint, between what is new and a timber: they weaken what they pass
    weight: float = 0.0  # of new bolts and steel, lb
    new: bool = False
    over: float = 0.0  # thickness of new covers over pads on either face, in


@dataclass(frozen=True)
class EndBearing:
    """A member's end that pushes end grain on a shoe or on wood: the contact face (in) and whether a steel face lies there."""

    member: str
    joint: str
    width: float
    height: float
    steel: bool


@dataclass(frozen=True)
class Heel:
    """The shoe and the seat of a heel as surveyed. Lengths in inches, ``bears`` in psi; 0: not surveyed.

    The shoe's plate lies square behind the top chord's end grain, ``set_back`` from the work point along that chord's axis, its thickness
    ``plate``; fillets of the given ``leg``, ``weld`` long together on each side of the truss, hold it to the side straps. The truss lies on
    ``seat`` inches of its bottom chord, in the middle of the bearing point; ``bears`` is what may press on what is under it, by the engineer.
    """

    joint: str
    set_back: float = 0.0
    plate: float = 0.0
    leg: float = 0.0
    weld: float = 0.0
    F_y: float = 0.0  # yield stress of the shoe's steel, psi
    seat: float = 0.0
    bears: float = 0.0
    on: str = ""  # what is under it, in words
    new: bool = False  # a new shoe, all of whose parts the repair's own checks judge


@dataclass(frozen=True)
class Splice:
    """A butt joint of one ply of a chord at x. Bolt positions are along from the cut, on each side alike."""

    name: str
    chord: str
    ply: str
    x: float
    behaviour: str  # "hinge", "one ply continuous", "fixed", "semi-rigid"
    stiffness: float  # in-lb/rad, semi-rigid only
    bolts: Bolts | None
    plates: tuple[Plate, ...] = ()
    fillers: tuple[Filler, ...] = ()
    scabs: tuple[Scab, ...] = ()
    condition: float = 1.0
    gap: float = 0.0  # length cut out between the two faces, in; bolts are along from their face
    slip: float = 0.0  # stiffness along the ply of both sides' bolts together, lb/in; 0: no slip is counted
    weight: float = 0.0  # of new steel and blocks, lb
    new: bool = False
    off: float = 0.0  # how far off the truss's plane the bolts of a new one end, in
    declined: tuple[tuple[Imposed, str], ...] = ()  # what it was asked to stand clear of and cannot, and why


@dataclass(frozen=True)
class Sister:
    """New timbers along a web of one ply, bolted to its faces between the chords: they stiffen it and take no force from the joints.

    ``start`` and ``end`` are from the web's first joint along it, bolt positions along from there and across its axis (in).
    """

    name: str
    member: str
    thickness: float
    depth: float
    sides: tuple[str, ...]  # "far", "near"
    start: float
    end: float
    wood: Wood
    bolts: Bolts
    weight: float  # of timber and bolts, lb


END_GRAIN, SHOE, TOP_END = "end grain", "shoe", "top chord"
"""What the plates of strands may press on at a heel."""


@dataclass(frozen=True)
class StrandSeat:
    """What the plate of the strands presses on at one heel. Lengths in inches; ``low`` and ``high`` from the chord's axis, ``face`` outward from the
    chord's end grain.

    Of a shoe: width of its back across the truss, the gap that is open between back and end grain, leg and whole length of the fillets that hold
    its sides to the back, their electrode, yield stress and strength of the old steel (psi). Of the rest these are 0.
    """

    on: str = END_GRAIN
    face: float = 0.0
    low: float = 0.0
    high: float = 0.0
    width: float = 0.0
    gap: float = 0.0
    leg: float = 0.0
    weld: float = 0.0
    electrode: str = ""
    F_y: float = 0.0
    F_u: float = 0.0

    @property
    def back(self) -> float:
        """Thickness of a shoe's back (in)."""
        return self.face - self.gap


@dataclass(frozen=True)
class Across:
    """Something that stands across the bottom chord where strands run beside it: blocking, a lug of a splice, a brace. In inches: x of its middle
    and its thickness along the chord, heights from the chord's axis, how far off the truss's plane it begins and ends, on both faces.

    ``slot``: it may be cut for the strands; ``pulled``: tension square to the truss's plane that a steel one carries (lb), nan where nobody knows.
    """

    what: str
    steel: bool
    x: float
    thickness: float
    low: float
    high: float
    inner: float
    outer: float
    slot: bool = False
    pulled: float = math.nan


@dataclass(frozen=True)
class SideMember:
    """A segment of new timber on the faces of a chord, fitted while dead load acts: it takes part in what comes later only.

    ``start`` and ``end`` are x of the truss between which it counts (of one that is pulled: from where on the bolts of an end have handed all over,
    so that some of these stand outside), bolt positions along from the middle between them (on the chord's axis, along its tangent there) and across
    from the chord's axis (in). ``slip`` is the stiffness of the bolts of one end along the chord (lb/in), ``across`` that of all bolts over the
    length, at right angles to it (lb/in per in). ``tight``: the bound at which most goes into the new timbers, else the one at which least does:
    there ``least_slip`` takes the place of ``slip`` (0: no force along the chord passes), and the bolts of both ends together run through ``play``
    (in) before they pull. ``lifted`` is the part of the dead load (0 to 1) that something unnamed carries while they are fitted, ``jacks`` what is
    jacked under joints of the bottom chord meanwhile (lb).
    """

    name: str
    chord: str
    at: str  # the panel in which it stands ("U1-U2"), or the panel point that it runs past ("U1")
    thickness: float
    depth: float
    sides: tuple[str, ...]  # "far", "near"
    start: float
    end: float
    length: float  # along the chord, in
    wood: Wood
    bolts: Bolts
    spacing: float  # greatest distance between columns of bolts, in
    slip: float
    across: float
    weight: float  # of timber, blocks and bolts, lb
    pockets: tuple[tuple[float, float, float], ...] = ()  # holes for bolts of webs that pass it: along and across as its bolts, diameter
    tight: bool = True
    lifted: float = 0.0
    least_slip: float = 0.0
    play: float = 0.0
    jacks: tuple[tuple[str, float], ...] = ()

    @property
    def outer(self) -> tuple[float, float]:
        """x of the truss from the first bolt to the last of one that is pulled, of others from start to end."""
        middle, reach = (self.start + self.end) / 2, max((abs(a) for a, _ in self.bolts.positions), default=0.0)
        return (middle - reach, middle + reach) if self.least_slip > 0 else (self.start, self.end)

    @property
    def element(self) -> str:
        """Its name in the frame."""
        return f"side member {self.at}"

    def share_in(self, low: float, high: float) -> float:
        """How much of its length lies between two places (x, in)."""
        return max(0.0, min(high, self.end) - max(low, self.start)) / (self.end - self.start)


@dataclass(frozen=True)
class BraceLine:
    """A timber along the building, laid on one edge of a member and held to it: the member is braced there, as by a surveyed brace.

    ``station`` as in ``Member.braces``, ``edge``: "upper" or "lower"; width along the member and height off its edge (in).
    """

    name: str
    member: str
    station: float
    edge: str
    width: float
    height: float
    weight: float  # of timbers, blocks and bolts for one truss, lb


@dataclass(frozen=True)
class Strands:
    """Strands in pairs along both faces of a chord, straight from one of its ends to the other, where plates press on what the seats say.

    ``height`` is that of their common centre over the chord's axis, ``overrun`` from the heel work points to the faces that the anchors bear on.
    ``jacked``, ``locked`` and ``lasting`` are forces of all strands together (lb): at the jack, when the last one is locked off, after all losses.
    """

    name: str
    chord: str
    count: int
    area: float  # in2, of all
    modulus: float  # psi
    height: float
    overrun: tuple[float, float]  # left, right; in
    locked: float
    lasting: float
    guides: tuple[float, ...] = ()  # x of the guides
    guide_bolts: Bolts | None = None  # of one guide, from its x and the chord's axis
    weight: float = 0.0  # of strand, guides and end plates, lb
    jacked: float = 0.0
    seats: tuple[StrandSeat, StrandSeat] = (StrandSeat(), StrandSeat())  # left, right


@dataclass(frozen=True)
class NewPiece:
    """A new length of a chord's ply between two cuts (x, in). ``wood``: what it is made of; None: as the ply."""

    chord: str
    ply: str
    start: float
    end: float
    wood: Wood | None = None


@dataclass(frozen=True)
class NoDrillZone:
    """Old metal or old holes that bar new work: a split ring, shear plate, strap, heel shoe or hole, in the axes of its member."""

    member: str
    kind: str
    along: float
    across: float
    length: float
    depth: float


@dataclass(frozen=True)
class Damage:
    """Something found. ``at`` is the station of its middle (a chord: x), ``length`` its extent. ``amount`` is the size of a bow or sag (in)."""

    kind: str  # break, split, check, decay, failed connector, bow, missing bolt, sag
    member: str
    ply: str  # "" = every ply
    at: float
    length: float
    photo: str
    factor: float
    basis: str
    amount: float = 0.0
    connection: str = ""


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
class SnowInput:
    ground_snow: float  # psi
    exposure: float
    thermal: float
    importance: float
    slippery: bool
    risk: str = "II"
    winter_wind: float = 0.0  # 0: not given
    eaves: tuple[str, str] = ("free", "free")  # left, right: "free", "near" (a roof or the ground close below), "valley" (an adjoining barrel)
    drifts: tuple[DriftInput, ...] = ()


@dataclass(frozen=True)
class DriftInput:
    """A higher roof or parapet beside the roof (in). ``trusses`` are the marks of those it concerns; none: all."""

    kind: str  # "higher roof" or "parapet"
    side: str  # "left", "right", "end wall"
    height: float
    upper: float  # length of the higher roof; 0 for a parapet
    lower: float  # length of this roof at right angles to the step; 0: the span
    distance: float  # from an end wall to the truss
    trusses: tuple[str, ...] = ()


@dataclass(frozen=True)
class GivenLoad:
    """A load that the engineer gives: psi of plan area at x (in), down positive. Snow lies on the balanced snow, rain and wind stand alone."""

    name: str
    kind: str  # "snow", "rain", "wind"
    points: tuple[tuple[float, float], ...]
    trusses: tuple[str, ...] = ()


@dataclass(frozen=True)
class OriginalDesign:
    """The uniform load on plan (psi) that the truss was first designed for, and the tension stress then allowed (psi; 0 = unknown)."""

    total: float
    tension_stress: float = 0.0
    source: str = ""


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
class Loads:
    """Area loads in psi."""

    roof_dead: float
    roof_dead_on: str  # "slope" or "plan"
    ceiling_dead: float
    unit_weight: float  # lb/in3; 0 = not given
    roof_live: float
    snow: SnowInput | None
    original: OriginalDesign | None = None
    live_reduced: bool = False  # the roof live load is reduced by area and slope
    concentrated: float = 0.0  # lb, at any joint of the bottom chord, one at a time; 0: none
    given: tuple[GivenLoad, ...] = ()


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
