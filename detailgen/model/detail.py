"""One repair joint as it is to be built: the neutral record from which sheets, cut files, solids and lists are made.

Axes of a detail: x along the member, y across it in the truss plane, z toward the viewer; its origin is the work point of the detail
(for a splice the cut, for a detail of a web its middle; x runs from the web's first joint to its last; for a web's end its joint, x into the web).
A flat part lies in a plane of constant z: its profile, holes and slots are drawn in the part's own axes and placed by ``Placement``.
Inches, pounds, psi, radians.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

from detailgen.core.clause import Cite
from detailgen.core.result import CheckResult

MARKED_OUT = "marked out"
"""Template of a hole that is laid out by tape and drilled on site."""

PUT_BACK = "put back"
"""Group of a hole in a new part that repeats an old one: a bolt that was drawn for the work goes through it again, where it stood."""
OLD_HOLES = "old holes"
"""What such a hole is drilled through, as the table of holes says it."""


@dataclass(frozen=True)
class Vertex:
    """A corner of an outline; ``bulge`` is the tangent of a quarter of the arc's angle to the next corner (0: a straight line)."""

    x: float
    y: float
    bulge: float = 0.0


@dataclass(frozen=True)
class Hole:
    """A round hole in a part's own axes. ``template`` is the key of the part through which it is drilled on site; "" for a shop hole.

    MARKED_OUT stands where no part is the template: the hole is laid out by tape on the part itself.
    """

    x: float
    y: float
    diameter: float
    bolt: str  # key of its bolt group; "" for none
    template: str = ""

    @property
    def made(self) -> str:
        return "field" if self.template else "shop"


def passing_group(part: str, key: str) -> str:
    """The group of a part's hole by its key: "strand ..." names what passes it; so does "rod ...", whose holes each part has in places of its own."""
    if key.startswith("strand "):
        return "strands"
    return f"ties, {part}" if key.startswith("rod ") else key


def slotted_group(part: str, key: str) -> str:
    """The same of a slot: each part has the slots that strands pass in places of its own."""
    return f"strands, {part}" if key.startswith("strand ") else key


@dataclass(frozen=True)
class Slot:
    """A slot with round ends: centre, overall length, width, direction of its length (rad) in the part's own axes."""

    x: float
    y: float
    length: float
    width: float
    angle: float
    bolt: str = ""


@dataclass(frozen=True)
class Placement:
    """Where a flat part stands in its detail: its own origin goes to (x, y), turned by ``angle`` (rad); its far face lies at z."""

    x: float
    y: float
    z: float
    angle: float = 0.0


STRANDS = "posttension"
"""The remedy whose details belong to a whole chord."""
BAR = "bar"
BOUGHT = ("strand", "anchor", "rod", "nut")
"""Kinds of parts that are bought as they are: strand and its anchors; threaded rod, cut to length, and its nuts with their washers."""
THREADED = ("strand", "rod")
"""Kinds of bought parts that are threaded through the holes of others."""


@dataclass(frozen=True)
class Timber:
    """What the order of a new timber says besides species, grade and size. ``product``: sawn or glulam; ``camber``: rise at its middle (in);
    ``sawn_from``: depth of the straight timber that a curved one is band-sawn out of (in; 0: it is straight)."""

    product: str = "sawn"
    treatment: str = ""
    camber: float = 0.0
    appearance: str = ""  # of glulam
    sawn_from: float = 0.0
    made_of: str = ""  # stock that it is made out of, where its grade depends on that


@dataclass(frozen=True)
class Part:
    """One piece. ``kind``: plate, bar (a flat bar on edge, sawn to length), filler, block, sister, side member, brace, ply, or one of ``BOUGHT``.
    ``grain`` is the angle (rad) of the grain to the part's x axis; nan for steel.

    ``key`` is unique in its detail; marks come later from the register of the whole project. ``existing`` parts are drawn light.
    """

    key: str
    kind: str
    name: str
    outline: tuple[Vertex, ...]  # counter-clockwise, closed
    holes: tuple[Hole, ...]
    slots: tuple[Slot, ...]
    thickness: float
    placement: Placement
    material: str  # "steel" or "wood"
    specification: str  # "ASTM A36", "Douglas Fir-Larch No.1"
    grain: float
    existing: bool
    unit_weight: float  # lb/in3
    finish: str = ""
    open_ends: tuple[float, ...] = ()  # x (own axes) at which an existing part is cut off by a break line: it runs on
    facts: tuple[tuple[str, str], ...] = ()  # what else must be known of it: product, moisture in service, reference values of the project
    handed: str = ""  # what on one face keeps it from being turned over: a bevelled edge, a weld, a mark on the face
    timber: Timber | None = None  # of a new timber
    stands: bool = False  # a rectangular plate across the truss: its outline is its edge, ``thickness`` the width of its face

    @property
    def as_cut(self) -> Part:
        """The part as it lies on the bench: of one that stands its face, length along x."""
        if not self.stands:
            return self
        xs, ys = [v.x for v in self.outline], [v.y for v in self.outline]
        long, thin = sorted((max(xs) - min(xs), max(ys) - min(ys)), reverse=True)
        a, b = long / 2, self.thickness / 2
        face = (Vertex(-a, -b), Vertex(a, -b), Vertex(a, b), Vertex(-a, b))
        return replace(self, outline=face, thickness=thin, stands=False)

    @property
    def area(self) -> float:
        """Net area of the face (in2)."""
        gross = 0.0
        for a, b in zip(self.outline, (*self.outline[1:], self.outline[0]), strict=True):
            gross += (a.x * b.y - b.x * a.y) / 2
            if a.bulge:
                theta = 4 * math.atan(a.bulge)
                chord = math.hypot(b.x - a.x, b.y - a.y)
                radius = chord / (2 * math.sin(abs(theta) / 2))
                gross += math.copysign(radius**2 * (abs(theta) - math.sin(abs(theta))) / 2, theta)
        cut = sum(math.pi * h.diameter**2 / 4 for h in self.holes)
        cut += sum((s.length - s.width) * s.width + math.pi * s.width**2 / 4 for s in self.slots)
        return gross - cut

    @property
    def weight(self) -> float:
        """lb"""
        return self.area * self.thickness * self.unit_weight


@dataclass(frozen=True)
class Bolt:
    """A through bolt at (x, y) of the detail: from z ``low`` to z ``high`` is its grip. ``head``: the side of the truss on which its head stands."""

    group: str
    x: float
    y: float
    diameter: float
    low: float
    high: float
    length: float
    grade: str
    washers: int  # under head and nut together
    head: str = "near"

    @property
    def way(self) -> float:
        """1 where the head stands at ``high``, toward the viewer who looks at the near side; -1 where it stands at ``low``."""
        return -1.0 if self.head == "far" else 1.0

    @property
    def seat(self) -> float:
        """z of the face that the head, or the washer under it, bears on."""
        return self.low if self.head == "far" else self.high


@dataclass(frozen=True)
class Interface:
    """Two parts that touch, what passes between them per bolt group, what it could carry, and the yield mode that decides (lb)."""

    first: str
    second: str
    force: float
    capacity: float
    mode: str


@dataclass(frozen=True)
class PlyLoad:
    """Extreme forces of one part at a bolt group (lb, both positive), and the angle (rad) of the force to the part's grain.

    ``lasting``: by the duration of the shortest load in the combination, the extreme tension and compression (lb).
    """

    part: str
    tension: float
    compression: float
    angle: float
    lasting: tuple[tuple[str, float, float], ...] = ()


@dataclass(frozen=True)
class Group:
    """Bolts that act together: parts far to near, interfaces, loads. ``spacing`` and ``gauge`` are pitch along and between rows (in)."""

    key: str
    diameter: float
    positions: tuple[tuple[float, float], ...]
    parts: tuple[str, ...]
    interfaces: tuple[Interface, ...]
    loads: tuple[PlyLoad, ...]
    rows: int
    per_row: int
    spacing: float
    gauge: float


@dataclass(frozen=True)
class Zone:
    """A region of the face view in which no new bolt may stand: centre and size (in), and why."""

    x: float
    y: float
    length: float
    depth: float
    why: str


@dataclass(frozen=True)
class Weld:
    """A weld as its symbol says it; (x, y) is on its joint, in the detail's axes.

    ``kind``: fillet, square, bevel, vee. ``size``: leg of a fillet, depth of a groove (in; 0: through). ``side`` of the arrow's end: arrow, other,
    both. ``length`` of each run (in; 0: the whole joint), ``pitch`` from middle to middle of runs (in), ``count`` of runs.
    """

    x: float
    y: float
    kind: str
    size: float
    side: str = "arrow"
    length: float = 0.0
    pitch: float = 0.0
    count: int = 0
    around: bool = False
    field: bool = False
    tail: str = ""


@dataclass(frozen=True)
class Why:
    """Why a dimension is what it is: rule, least value that the rule asks, value provided (in), clause."""

    dimension: str
    rule: str
    required: float
    provided: float
    cite: Cite


ACROSS, FROM_LEFT, FROM_RIGHT = "across", "from the left", "from the right"
"""How a detail is looked at: across the truss, or along it from outside of its left or right end. Then x runs across the truss (to the viewer's
right), y up, and z along the chord toward the viewer, from its end grain; end grain is what faces the viewer."""
ON_TOP, UNDER = "on the upper edge", "on the lower edge"
"""A detail that is looked at square to an edge of its member, in the plane of the truss. Then x runs across the truss, the near side to the
viewer's right, y along the member, and z off the edge toward the viewer."""
EDGES = (ON_TOP, UNDER)


@dataclass(frozen=True)
class Detail:
    """A repair joint. ``also_at``: further stations (in) where the same joint is built once more."""

    key: str
    title: str
    truss: str
    remedy: str
    member: str
    station: float  # x of its work point along the truss, in
    parts: tuple[Part, ...]
    bolts: tuple[Bolt, ...]
    groups: tuple[Group, ...]
    zones: tuple[Zone, ...]
    whys: tuple[Why, ...]
    order: tuple[str, ...]  # order of assembly, one sentence each
    notes: tuple[str, ...]
    results: tuple[CheckResult, ...] = field(default=(), compare=False)
    brings: tuple[tuple[str, ...], ...] = ()  # by sentence of the order: keys of the new parts that it brings in
    drawn: tuple[str, ...] = ()  # old bolts that are drawn for the work, by member and joint: "U3-L3 at L3"
    welds: tuple[Weld, ...] = ()
    axis: str = ACROSS
    also_at: tuple[float, ...] = ()
    joint: str = ""  # of a web's end: the joint that is its work point
    beside: tuple[str, ...] = ()  # other members whose timbers are among the parts
    removed: tuple[str, ...] = ()  # old bolts that come out for good with their plates, by member and joint
    longer: tuple[Bolt, ...] = ()  # longer bolts in the places of old ones that are drawn; the group of each says whose: "U3-L3 at L3"
    shores: str = ""  # what is said of shores where none stand under a chord beside it, "none" and why not; "": both sides, by the engineer

    @property
    def held(self) -> str:
        """What must be held while old bolts of a web's end are drawn, which no stage of the work counts; "" where none are."""
        return f"{self.joint}, and web {self.member} held while its bolts are drawn" if self.joint and self.drawn and not self.removed else ""

    @property
    def times(self) -> int:
        """How often it is built."""
        return 1 + len(self.also_at)

    @property
    def bought(self) -> tuple[Part, ...]:
        """Parts that no shop makes: strand, rod and what holds them. They have no mark."""
        return tuple(p for p in self.parts if p.kind in BOUGHT)

    def part(self, key: str) -> Part:
        return next(p for p in self.parts if p.key == key)
