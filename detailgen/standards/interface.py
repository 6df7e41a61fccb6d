"""What the rest of the program may ask of a standard: requests with numbers in, CheckResults out.

A standard's folder offers one object called ``STANDARD`` with a ``key``. Nothing here knows a job, and no document is named here:
allowable stress, load and resistance factors and partial factors all fit behind these requests.
Lengths in inches, forces in pounds, stresses and area loads in psi, angles in radians.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, is_dataclass, replace
from typing import Protocol, TypeVar, runtime_checkable

import numpy as np
from numpy.typing import NDArray

from detailgen.core.clause import Calculation, Cite
from detailgen.core.errors import NotCovered
from detailgen.core.result import CheckResult

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

DURATIONS = ("permanent", "ten years", "snow", "construction", "wind", "impact")
"""How long the shortest load of a combination acts; roof live load counts as construction."""


ALLOWABLE_STRESS, STRENGTH, PARTIAL_FACTORS = "allowable stress", "strength", "partial factors"
METHODS = (ALLOWABLE_STRESS, STRENGTH)
"""How resistance is compared with load; a standard for loads names the combinations of each."""


def method_of(standard: object) -> str:
    """How a standard sets resistance against load: "allowable stress" unless it has a ``method`` of its own.

    Loads and wood of one project must go by the same: service loads against resistances that count on factored ones are unsafe.
    """
    return str(getattr(standard, "method", ALLOWABLE_STRESS))


S = TypeVar("S")


def by_method(standard: S, method: str) -> S:
    """The same standard working by one of the ``methods`` that it offers.

    Raises: NotCovered where it does not work by that method
    """
    if method_of(standard) == method:
        return standard
    offered = getattr(standard, "methods", (method_of(standard),))
    if method not in offered:
        name = getattr(standard, "name", type(standard).__name__)
        raise NotCovered(f"{name} does not work by {method}; it works by {' and '.join(offered)}")
    assert is_dataclass(standard)
    assert not isinstance(standard, type)
    return replace(standard, method=method)


@dataclass(frozen=True)
class WoodGrade:
    """A wood as surveyed. ``given`` are a project's own reference values with their stated source, named by the standard's own symbols: stresses and
    moduli in psi whatever the standard works in, specific gravity without unit, densities in kg/m3."""

    product: str  # "sawn" or "glulam"
    species: str
    grade: str
    wet: bool = False
    given: tuple[tuple[str, float], ...] = ()
    source: str = ""


@dataclass(frozen=True)
class Stiffness:
    """What the analysis needs of a wood."""

    E: float  # psi, for deflection and force distribution
    specific_gravity: float
    cite: Cite


@dataclass(frozen=True)
class Demands:
    """k points: a station of a member under a combination. Axial is positive in tension."""

    axial: Floats  # (k,), lb
    moment: Floats  # (k,), in-lb, in the plane of the truss
    shear: Floats  # (k,), lb
    station: Floats  # (k,), in along the member
    combination: Ints  # (k,), index into ``combinations``
    combinations: tuple[str, ...]
    durations: tuple[str, ...]  # one of DURATIONS per combination
    stage: str = "service"
    interim: tuple[bool, ...] = ()  # per combination: a moment of the work, not of service; none: all are of service


@dataclass(frozen=True)
class MemberRequest:
    """One wood piece (a ply, or a layer that acts by itself) over one length between joints.

    ``thickness`` is across the truss, ``depth`` in its plane. Arrays are per point of ``demands``.
    ``net_area`` and ``net_modulus`` are the section left by holes; ``condition`` (0 to 1) is what damage leaves of it.
    ``length_in_plane`` and ``length_out_of_plane`` are effective lengths against buckling in and out of the truss plane;
    ``unbraced_bending`` is the unbraced length of the bending compression edge; ``bow`` is a measured out-of-plane bow.
    """

    where: str
    wood: WoodGrade
    thickness: float
    depth: float
    demands: Demands
    net_area: Floats
    net_modulus: Floats
    condition: Floats
    length_in_plane: float
    length_out_of_plane: float
    unbraced_bending: float
    bow: float = 0.0
    zero_moment_length: float = 0.0  # length between points of zero moment, for a volume factor
    laminations: int = 0  # glulam: number of laminations over the depth; 0: from the depth
    radius: float = 0.0  # of the curved axis, in, crown up: a moment that stretches the bottom edge flattens it; 0: straight
    connection_depth: Floats | None = None  # per point: depth (in) that counts for shear where bolts hang load on the piece; inf: none do
    connection_to_end: Floats | None = None  # per point: how far (in) that connection is from the piece's nearest end


@dataclass(frozen=True)
class ConnectedPart:
    """One part that a bolt group passes, in its own axes: along its grain (or a plate's length) and across it.

    ``bolts`` are centres in the part's axes; ``ends`` and ``edges`` are the coordinates of its two ends (along; +-inf where the part
    runs through) and two edges (across). ``load_angle`` is the direction, in the part's axes, of the force that the bolts exert ON this part
    when the connected member is in tension; in compression it is opposite. ``side`` is "member" for parts of the member whose
    force is carried, "other" for those that take it.
    """

    name: str
    material: str  # "wood" or "steel"
    thickness: float
    side: str
    load_angle: float
    bolts: Floats  # (n, 2)
    ends: tuple[float, float]
    edges: tuple[float, float]
    wood: WoodGrade | None = None
    bearing_strength: float = 0.0  # dowel bearing strength of a steel part, psi
    condition: float = 1.0
    per_row: bool = False  # a steel part that is a plate of its own for each row of bolts


@dataclass(frozen=True)
class ConnectionRequest:
    """A bolt group: its parts in order across the truss (far to near), touching each other unless ``gaps`` says otherwise.

    ``axial`` is the member's force (lb, tension positive), one entry per combination. ``reverses``: tension and compression both count
    for distances (the caller decides by its own rule).
    """

    where: str
    diameter: float
    bolt_bending_yield: float  # psi
    parts: tuple[ConnectedPart, ...]
    gaps: tuple[float, ...]  # open distance between part k and k+1, in; 0 where they touch
    axial: Floats  # (c,)
    combinations: tuple[str, ...]
    durations: tuple[str, ...]
    reverses: bool
    stage: str = "service"
    hole_oversize: float = 1 / 16
    root_diameter: float = 0.0  # in, where threads lie in a shear plane; 0: they do not
    bolt_tensile: float = 0.0  # tensile strength of the bolts, psi; 0: not stated
    washer_diameter: float = 0.0  # in, under head and nut on wood; 0: none that could be counted
    distances: bool = True  # are the distances told by themselves? What a short one takes from the bolts counts either way


@dataclass(frozen=True)
class BearingRequest:
    """End grain that pushes on a face: contact area (in2) and the member's force per combination (lb, compression negative).

    ``angle``: between the force and the grain (rad)."""

    where: str
    wood: WoodGrade
    thickness: float
    depth: float
    area: float
    steel_face: bool
    axial: Floats  # (c,)
    combinations: tuple[str, ...]
    durations: tuple[str, ...]
    stage: str = "service"
    angle: float = 0.0


@dataclass(frozen=True)
class AcrossRequest:
    """A block or plate that presses on wood across its grain: plies of one wood, their thickness together and depth (in), length along the grain
    and distance of the block from the wood's end (in), and the push per combination (lb, positive)."""

    where: str
    wood: WoodGrade
    thickness: float
    depth: float
    length: float
    end: float
    push: Floats  # (c,)
    combinations: tuple[str, ...]
    durations: tuple[str, ...]
    plies: int = 1
    stage: str = "service"
    pushed_by: str = "force of the shore"


@dataclass(frozen=True)
class ToeNailRequest:
    """Nails driven aslant through the end of a piece into the wood that it stands against: ``load`` (lb, positive) per combination on all of them,
    across the nails; ``thickness`` (in) is what they may enter of that wood."""

    where: str
    nail: str  # "16d common"
    count: int
    piece: WoodGrade
    main: WoodGrade
    thickness: float
    load: Floats  # (c,)
    combinations: tuple[str, ...]
    durations: tuple[str, ...]
    stage: str = "service"


@dataclass(frozen=True)
class SpliceLayouts:
    """L layouts of a bolted splice of one ply, as arrays (L,); one side of the cut. Lengths in inches.

    ``faces``: how the plies' faces are held: "one steel" (a plate on one face), "two steel" (a plate on each face),
    "steel and wood" (of two plies alike: a plate on the outer face of each, a structural block between them; the least plane counts for all),
    "wood" (of two plies alike: the block between them and nothing else). A block runs past the last bolt by ``block_end``.
    ``end`` is from the cut to the first bolt, ``spacing`` along the row, ``gauge`` between neighbouring rows.
    ``plates_per_face`` share the rows of a face: 1 holds them all, as many as rows leave the wood free to shrink between them.
    """

    wood: WoodGrade
    ply_thickness: float
    ply_depth: float
    faces: str
    block_thickness: float
    block_wood: WoodGrade | None
    diameter: Floats
    root_diameter: Floats  # in the yield equations: the diameter itself, or the root of the thread where that lies in a shear plane
    rows: Floats
    per_row: Floats
    spacing: Floats
    gauge: Floats
    end: Floats
    plate_thickness: Floats
    plate_width: Floats
    steel_bearing: float  # dowel bearing strength of the plates, psi
    bolt_bending_yield: float  # psi
    duration: str
    tension: bool  # the ply can be in tension
    compression: bool
    plates_per_face: int = 1
    hole_oversize: float = 1 / 16
    bolt_tensile: float = 0.0  # tensile strength of the bolts, psi; 0: not stated
    block_end: Floats | None = None


BOLTS, ONE_ACROSS, NET_SECTION = "bolts", "one bolt across", "net section at the bolts"
"""Capacities of a splice that every wood standard gives: all bolts along the grain, one bolt across it, what the holes leave in tension."""
OFF_MIDDLE, NET_OF_BLOCK = "net section with the force off its middle", "net section of the block"
"""Where a ply is held on one face, or not alike on both; where a block carries. Both count for tension and for compression."""
OF_BLOCK = "of the block"
"""What the names of a block's own capacities end with; they are given in the force of one ply."""


def lever(layouts: SpliceLayouts) -> Floats:
    """Distance (in) from a ply's middle to the force that its splice takes from it, every shear plane carrying alike (statics).

    A plate takes its share on its own middle plane, a block on the face of the ply.
    """
    plate, ply = layouts.plate_thickness, np.full(layouts.diameter.shape, layouts.ply_thickness)
    return {"one steel": (ply + plate) / 2, "steel and wood": plate / 4, "wood": ply / 2}.get(layouts.faces, 0.0 * plate)


def share_of_block(layouts: SpliceLayouts) -> float:
    """What a block between two plies carries across the cut, over the force of one ply: half of each beside plates, all of both without."""
    return {"steel and wood": 1.0, "wood": 2.0}.get(layouts.faces, 0.0)


@dataclass(frozen=True)
class SpliceValues:
    """What a standard allows per layout (L,): capacities in lb of one ply on one side of the cut, and least distances in inches.

    ``capacities`` holds BOLTS, ONE_ACROSS, NET_SECTION; each other one is a resistance of the ply in tension, by the standard's own name.
    ``least`` maps a name to (absolute least, provided); ``full`` gives what the full value asks, where a shorter distance costs capacity.
    """

    capacities: Mapping[str, Floats]
    least: Mapping[str, tuple[Floats, Floats]]
    full: Mapping[str, Floats]
    cites: Mapping[str, Cite]
    modes: tuple[str, ...]  # the yield mode that governs one bolt, per layout
    block_bending: Floats | None = None  # in-lb: moment of one ply that a block may take by itself, where it is all that holds the plies


@dataclass(frozen=True)
class PlateLayouts:
    """L plates of a splice as arrays (L,); one side of the cut. ``free`` is the length between the innermost bolts of the two sides."""

    F_y: float  # psi
    F_u: float  # psi
    thickness: Floats
    width: Floats
    diameter: Floats
    hole: Floats
    rows: Floats
    per_row: Floats
    spacing: Floats
    gauge: Floats
    end: Floats  # from the outermost bolt to the plate's end
    free: Floats


@dataclass(frozen=True)
class PlateValues:
    """What a steel standard allows per plate (L,): capacities in lb, bending in in-lb, least and greatest distances in inches."""

    tension: Mapping[str, Floats]
    compression: Mapping[str, Floats]
    bending: Floats
    least: Mapping[str, tuple[Floats, Floats]]  # name -> (least, provided)
    greatest: Mapping[str, tuple[Floats, Floats]]  # name -> (greatest, provided)
    cites: Mapping[str, Cite] = field(default_factory=dict)


@dataclass(frozen=True)
class PlateRequest:
    """One plate of a bolted splice: bolts (n, 2) of one side of the cut in the plate's axes, its end and edges, forces per combination.

    ``axial`` (lb, tension positive) and ``moment`` (in-lb, in the plate's plane) are the plate's own shares; ``free`` as in PlateLayouts.
    """

    where: str
    F_y: float
    F_u: float
    thickness: float
    width: float
    diameter: float
    hole: float
    bolts: Floats
    end: float
    free: float
    axial: Floats
    moment: Floats
    combinations: tuple[str, ...]
    stage: str = "service"


@runtime_checkable
class SteelStandard(Protocol):
    """A standard for steel plates in bolted timber splices."""

    @property
    def key(self) -> str: ...
    @property
    def name(self) -> str: ...
    def plate_values(self, layouts: PlateLayouts) -> PlateValues:
        """Array-safe, for a search over many layouts."""
        ...

    def plate_checks(self, request: PlateRequest) -> Sequence[CheckResult]:
        """One result per check and combination, with steps; geometry checks once per combination with unit "in"."""
        ...


@runtime_checkable
class WoodStandard(Protocol):
    """A standard for wood members and their connections."""

    @property
    def key(self) -> str: ...
    @property
    def name(self) -> str: ...
    def stiffness(self, wood: WoodGrade, thickness: float, depth: float) -> Stiffness:
        """Raises NotCovered for a wood that the standard's tables do not hold."""
        ...

    def known_woods(self) -> Mapping[str, tuple[str, ...]]:
        """Grades by ``product: species``, for messages to people."""
        ...

    def member_checks(self, requests: Sequence[MemberRequest]) -> Sequence[Sequence[CheckResult]]:
        """Of each request one result per check and combination (its worst station). All pieces of a truss are asked for at once."""
        ...

    def connection_checks(self, request: ConnectionRequest) -> Sequence[CheckResult]:
        """One result per check and combination; 'cannot be checked' where the arrangement is not covered."""
        ...

    def bearing_checks(self, request: BearingRequest) -> Sequence[CheckResult]:
        """One result per combination that pushes."""
        ...

    def across_checks(self, request: AcrossRequest) -> Sequence[CheckResult]:
        """One result per combination, of compression across the grain."""
        ...

    def creep(self, wood: WoodGrade) -> tuple[float, Cite]:
        """What creep adds to a lasting movement in the long run, as a share of the movement at once."""
        ...

    def one_section(self) -> float:
        """Holes nearer along the grain than so many diameters of their bolts count in one section."""
        ...

    def greatest_slenderness(self) -> tuple[float, Cite]:
        """Of a column in service, effective length over thickness; infinite where the standard sets no limit."""
        ...

    def splice_values(self, layouts: SpliceLayouts) -> SpliceValues:
        """Array-safe, for a search over many layouts. Raises NotCovered for woods and bolts that the standard does not cover."""
        ...

    def slip_modulus(self, diameter: float, wood: WoodGrade | None = None, *, steel: bool = True) -> float:
        """Load per slip (lb/in) of one bolt between wood and steel, or wood and wood. A standard that needs the wood raises NotCovered without it."""
        ...


@runtime_checkable
class ToeNailStandard(Protocol):
    """A wood standard that has a rule for nails driven aslant."""

    def toe_nail_checks(self, request: ToeNailRequest) -> Sequence[CheckResult]:
        """One result per combination; 'cannot be checked' where the arrangement is not covered."""
        ...


@runtime_checkable
class BracingStandard(Protocol):
    """A standard that says what a brace must be able to take and how stiff it must be."""

    @property
    def name(self) -> str: ...
    def point_brace(self, sheet: Calculation, compression: Floats, length: float, bow: float) -> tuple[Floats, Floats]:
        """Strength (lb) and stiffness (lb/in) that a brace at one point of a column needs, per compression (lb, positive), put on the sheet.

        length: unbraced length beside the brace, in; bow: how far the column is out of line, in
        """
        ...


@dataclass(frozen=True)
class DriftSource:
    """Something that stands above the roof beside it, so that snow drifts there. Lengths in inches.

    ``upper`` is the length of the higher roof at right angles to the step, ``lower`` that of this roof. Beside an end wall the
    step runs along the truss, ``distance`` from it; ``width`` is the width of roof that the truss carries.
    """

    kind: str  # "higher roof" or "parapet"
    side: str  # "left", "right" or "end wall"
    height: float  # of the step above the roof surface
    upper: float  # 0 for a parapet
    lower: float
    distance: float = 0.0
    width: float = 0.0


@dataclass(frozen=True)
class SnowSite:
    """What the site and the building say about snow."""

    ground_snow: float  # psi
    exposure: float  # C_e
    thermal: float  # C_t
    importance: float  # I_s
    slippery: bool
    risk: str = "II"  # risk category
    winter_wind: float = 0.0  # winter wind parameter W_2; 0: not given
    eaves: tuple[str, str] = ("free", "free")  # left, right: "free", "near" (a roof or the ground close below), "valley" (an adjoining barrel)
    drifts: tuple[DriftSource, ...] = ()


@dataclass(frozen=True)
class RoofLive:
    """What the reduction of a roof's live load depends on: the load (psi), the area that the truss carries (in2), and the roof's shape."""

    load: float
    area: float
    rise: float  # in
    span: float  # in
    curved: bool


@dataclass(frozen=True)
class RoofCurve:
    """The roof along the truss: x from the left eave (in) and the slope there (radians, positive where the roof rises to the right)."""

    x: Floats
    slope: Floats
    crown: float
    span: float
    rise: float


@dataclass(frozen=True)
class RoofPressure:
    """A vertical load per horizontal area (psi) along x, linear between the points."""

    name: str
    x: Floats
    pressure: Floats
    calculation: Calculation = field(default_factory=Calculation)
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class CombinationRule:
    """factors by kind of load: D, Lr, S, ...; the shortest load decides the duration."""

    name: str
    factors: tuple[tuple[str, float], ...]
    duration: str
    cite: Cite


@runtime_checkable
class LoadStandard(Protocol):
    """A standard for loads and their combinations."""

    @property
    def key(self) -> str: ...
    @property
    def name(self) -> str: ...
    def snow(self, roof: RoofCurve, site: SnowSite) -> Sequence[RoofPressure]:
        """Balanced first, then every other arrangement that is needed: unbalanced, in valleys, in part, drifted."""
        ...

    def snow_weight(self, ground_snow: float) -> tuple[float, Cite]:
        """Unit weight of snow (lb/in3) at a site with this ground snow load (psi), and where it comes from."""
        ...

    def roof_live(self, request: RoofLive) -> tuple[float, Calculation]:
        """The reduced roof live load (psi) and how it came about. Raises NotCovered."""
        ...

    def combinations(self, kinds: Sequence[str], method: str = METHODS[0]) -> Sequence[CombinationRule]:
        """The combinations of one of METHODS in which these kinds of load take part."""
        ...

    def residual(self, kind: str) -> tuple[float, Cite]:
        """The factor of a kind of load on a structure of which a part has been lost, and where it comes from. Raises NotCovered."""
        ...
