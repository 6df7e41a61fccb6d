"""Splices, and what repairs add to a truss: sisters, side members, brace lines, strands, new pieces. Inches, pounds, psi, radians."""

from __future__ import annotations

import math
from dataclasses import dataclass

from detailgen.model.imposed import Imposed
from detailgen.model.member import Bolts, Filler, Plate, Scab, Wood


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
