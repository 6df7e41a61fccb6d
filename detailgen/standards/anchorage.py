"""What may be asked about the anchorage of strand and the steel parts around it: strand and its stressing, welds, plates bent flat, brackets, struts.

Like ``interface``: numbers in, numbers or CheckResults out; no job and no document is named. Inches, pounds, psi, radians.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Protocol, runtime_checkable

from detailgen.core.clause import Calculation, Cite
from detailgen.core.result import CheckResult
from detailgen.standards.interface import Floats


@dataclass(frozen=True)
class Strand:
    """One prestressing strand: diameter (in), area (in2), breaking strength and yield load (lb), modulus (psi), weight (lb/ft)."""

    size: str
    diameter: float
    area: float
    breaking: float
    yield_load: float
    modulus: float
    weight: float
    cite: Cite


@runtime_checkable
class StrandStandard(Protocol):
    """A specification of prestressing strand."""

    @property
    def key(self) -> str: ...
    @property
    def name(self) -> str: ...
    def strand_sizes(self) -> Sequence[str]: ...
    def strand(self, size: str) -> Strand:
        """Raises NotCovered for a size that the specification's table does not hold."""
        ...


@dataclass(frozen=True)
class StressingLimit:
    """A limit of the force (lb) in one strand: "jacking", "after seating", "service", "least at lock-off"."""

    when: str
    force: float
    cite: Cite


@dataclass(frozen=True)
class StressingRequest:
    """``count`` strands alike, straight along one chord, stressed to the same jack force (lb each).

    ``length`` is between the grips (in), ``seating`` the travel of the wedges (in), ``deviation`` the sum of angles (rad), ``run`` the kind of
    run by the standard's name. ``chord_tension`` (lb) is what the chord carries meanwhile; creep and shrinkage are its wood's, ``warming`` (F).
    """

    strand: Strand
    count: int
    length: float
    jack: float
    seating: float
    run: str
    chord_modulus: float  # psi
    chord_area: float  # in2
    chord_tension: float = 0.0
    deviation: float = 0.0
    creep: float = 0.0
    ageing: float = 1.0
    shrinkage: float = 0.0
    hours: float = 1.0
    warming: float = 0.0
    pulls: tuple[tuple[tuple[int, ...], float], ...] = ()
    """In order: strands that are pulled at once (by their number from 0), and to which share of the jack force; none: one after another, whole."""


@dataclass(frozen=True)
class StressingForces:
    """Forces per strand in the order of stressing (lb), losses of each by name, elongation of the strand and travel of the ram (in)."""

    locked: float  # as its own wedges have seated
    after: Floats  # (count,) when the last one is locked
    long_term: Floats  # (count,)
    losses: Mapping[str, Floats]
    elongation: float
    ram_travel: float
    calculation: Calculation = field(default_factory=Calculation, repr=False, compare=False)


@runtime_checkable
class StressingStandard(Protocol):
    """A standard for the stressing of strand."""

    @property
    def key(self) -> str: ...
    @property
    def name(self) -> str: ...
    def stressing_limits(self, strand: Strand) -> Sequence[StressingLimit]: ...
    def elongation_tolerance(self) -> tuple[float, Cite]:
        """Greatest difference between measured and computed elongation, as a share of the computed one, and where it comes from."""
        ...

    def stressing_forces(self, request: StressingRequest) -> StressingForces:
        """Raises NotCovered for a run that the standard's table does not hold."""
        ...


@dataclass(frozen=True)
class PartLoad:
    """The force (lb) on one steel part per combination; compression is negative. Only it counts for struts; a groove weld
    across the force tells it from a pull; else the sign does not matter."""

    where: str
    force: Floats  # (c,)
    combinations: tuple[str, ...]
    stage: str = "service"


@dataclass(frozen=True)
class SteelStrut:
    """A strut: area (in2), least radius of gyration (in), length (in), yield stress (psi), the kind of its most slender wall and that wall's width
    over thickness. ``eccentricity`` (in) is that of the force about the weak axis, ``section_modulus`` (in3) about it. Its ends are pins, or ``held``
    against turning."""

    area: float
    radius: float
    length: float
    F_y: float
    shape: str
    wall: float
    eccentricity: float = 0.0
    section_modulus: float = 0.0
    held: bool = False


@dataclass(frozen=True)
class FilletWeld:
    """Fillet welds in one line: leg and whole length (in), angle of the force to it (rad), electrode.

    ``thinner`` is the thickness (in) of the thinner part joined, F_y and F_u (psi) are its own; ``edge`` is that of the part whose edge is welded.
    """

    leg: float
    length: float
    angle: float
    electrode: str
    thinner: float
    edge: float
    F_y: float
    F_u: float


@dataclass(frozen=True)
class GrooveWeld:
    """A groove weld between two plates or bars: complete penetration, or partial with grooves ``depth`` deep (in) on one side or two.

    ``process`` (SMAW, GMAW, FCAW, SAW), ``position`` (flat, horizontal, vertical, overhead) and ``groove`` (J or U, 60 deg V, 60 deg bevel, 45 deg
    bevel) decide the throat of partial penetration. ``along``: the force runs along the weld; otherwise across it. ``bears``: finished to bear.
    ``thinner`` is the thickness (in) of the thinner part joined, F_y and F_u (psi) are its own.
    """

    complete: bool
    length: float
    along: bool
    electrode: str
    thinner: float
    F_y: float
    F_u: float
    depth: float = 0.0
    sides: int = 1
    process: str = "SMAW"
    position: str = "flat"
    groove: str = "45 deg bevel"
    bears: bool = False


@dataclass(frozen=True)
class Overhang:
    """A plate ``width`` wide that overhangs what holds it by ``arm`` (in), loaded at its tip or, ``even``, over the whole overhang."""

    thickness: float
    width: float
    arm: float
    F_y: float
    even: bool


@dataclass(frozen=True)
class RibbedPlate:
    """A plate ``width`` wide with ribs alike, welded upright on its pulled face, that overhangs by ``arm`` to the force at its tip (in)."""

    thickness: float
    width: float
    arm: float
    F_y: float
    ribs: int
    rib: float  # thickness of one rib
    depth: float  # of a rib, from the plate's face


@dataclass(frozen=True)
class PulledPlate:
    """A plate that is pulled: width and thickness, the width that a slot takes across the pull (in), yield stress and strength (psi)."""

    width: float
    thickness: float
    cut: float
    F_y: float
    F_u: float


@dataclass(frozen=True)
class Barrel:
    """A round barrel on a plate, about the plate's hole: diameters (in), yield stress of the softer of both (psi)."""

    diameter: float
    hole: float
    F_y: float


@dataclass(frozen=True)
class Rod:
    """A threaded rod that is pulled: its kind by the standard's table, diameter (in)."""

    kind: str
    diameter: float


@dataclass(frozen=True)
class Contact:
    """Steel that presses on steel, both finished: area (in2), yield stress of the softer of both (psi)."""

    area: float
    F_y: float


@dataclass(frozen=True)
class Bracket:
    """A bracket bolted to a face and pulled along it at ``eccentricity`` from the face: bolt by its kind, lines of bolts along the pull (in)."""

    bolt: str
    diameter: float
    eccentricity: float
    lines: tuple[float, ...]
    per_line: int


@runtime_checkable
class SteelPartStandard(Protocol):
    """A standard for the steel parts around an anchor: one result per check and combination, 'cannot be checked' where its rules end."""

    @property
    def key(self) -> str: ...
    @property
    def name(self) -> str: ...
    def strut_checks(self, strut: SteelStrut, load: PartLoad) -> Sequence[CheckResult]: ...
    def weld_checks(self, weld: FilletWeld, load: PartLoad) -> Sequence[CheckResult]: ...
    def groove_checks(self, weld: GrooveWeld, load: PartLoad) -> Sequence[CheckResult]: ...
    def overhang_checks(self, plate: Overhang, load: PartLoad) -> Sequence[CheckResult]: ...
    def pulled_checks(self, plate: PulledPlate, load: PartLoad) -> Sequence[CheckResult]: ...
    def ribbed_checks(self, plate: RibbedPlate, load: PartLoad) -> Sequence[CheckResult]: ...
    def seam(self, plate: RibbedPlate) -> float:
        """Share of the force at the tip that all ribs together hand to the plate over the overhang, by beam theory."""
        ...

    def barrel_checks(self, barrel: Barrel, load: PartLoad) -> Sequence[CheckResult]: ...
    def contact_checks(self, contact: Contact, load: PartLoad) -> Sequence[CheckResult]: ...
    def bracket_checks(self, bracket: Bracket, load: PartLoad) -> Sequence[CheckResult]: ...
    def rod_checks(self, rod: Rod, load: PartLoad) -> Sequence[CheckResult]: ...
