"""Members of a truss, their connections and heels, and what was found on them, as the survey says. Inches, pounds, psi, radians."""

from __future__ import annotations

from dataclasses import dataclass


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
