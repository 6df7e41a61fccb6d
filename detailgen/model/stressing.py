"""The stressing of a truss's strands: what the crew pulls, in which order, to which force and length, and what the record has room for."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class StrandPiece:
    """One strand to cut: where it runs, from anchor to anchor, tails beyond the anchors at the stressing and the fixed end, and whole length (in)."""

    label: str
    size: str
    side: str
    height: float  # from the chord's axis
    between: float
    stressing_tail: float
    fixed_tail: float

    @property
    def length(self) -> float:
        return self.between + self.stressing_tail + self.fixed_tail


@dataclass(frozen=True)
class StressingStep:
    """One pull. Force in lb, gauge in psi (nan: by the jack's chart); elongation from the first mark, its limits and ram travel in inches."""

    number: int
    strand: str
    action: str
    share: float
    force: float
    gauge: float
    elongation: float
    low: float
    high: float
    ram_travel: float
    locked: str  # strands that are locked meanwhile
    hold: str  # what is looked at before work goes on; "" where it just goes on


@dataclass(frozen=True)
class LiftOff:
    """Force (lb) of each strand at a time after lock-off, dead load alone on the roof; ``due``: when it is measured."""

    when: str
    forces: tuple[tuple[str, float], ...]
    due: str = ""


@dataclass(frozen=True)
class StrandForce:
    """Least and greatest force of one strand over all combinations of a kind (lb), and under which."""

    state: str
    least: float
    least_under: str
    most: float
    most_under: str


@dataclass(frozen=True)
class BracketPlan:
    """A bracket short of one end, tied to the end plate there: x of its head's face under the barrels and of the end plate's outer face, the head's
    size (in), the ties, and the length of chord between bracket and end grain."""

    side: str
    face: float
    end: float
    head: tuple[float, float]  # thickness along the chord, height
    base: float  # length along the chord
    ties: tuple[float, float]  # heights over the chord's axis
    tie_diameter: float
    tie_length: float
    tie_material: str
    nut: str
    nut_size: tuple[float, float]  # diameter over the washer, height of washer and nut
    inboard: float
    stretch: float  # of the ties while strands are pulled, in

    @property
    def count(self) -> int:
        """Ties on both faces."""
        return 2 * len(self.ties)


@dataclass(frozen=True)
class CorePlan:
    """Holes cored into what stands behind a heel, in line with the strands (in)."""

    side: str
    depth: float
    diameter: float
    count: int


@dataclass(frozen=True)
class StressingPlan:
    """Everything about one truss's strands that is not steel or timber."""

    truss: str
    size: str
    count: int
    stressing_end: str
    least: float  # lb, of all strands together: window
    least_where: str
    greatest: float
    greatest_where: str
    jack: float  # lb, each
    locked: float  # lb, all together at lock-off of the last
    lasting: float
    seating: float
    shortening: float  # of the chord while all strands are pulled, in
    movement: float  # of the sliding heel from before to after, in, toward the other heel
    together: bool  # both strands of a pair are pulled at once
    one_sided: float  # lb, greatest difference of force between the faces while strands are pulled
    strands: tuple[StrandPiece, ...]
    steps: tuple[StressingStep, ...]
    lift_off: tuple[LiftOff, ...]
    losses: tuple[tuple[str, tuple[float, ...]], ...]  # by name: lb of each strand in the order of stressing
    forces: tuple[StrandForce, ...]
    warnings: tuple[str, ...]
    barrel: float
    anchor_length: float
    guides: tuple[float, ...]  # x of guides, in
    run_height: float
    run_z: float
    anchor_x: tuple[float, float]  # x of the faces under the anchors, in
    assumptions: tuple[str, ...] = ()
    upkeep: tuple[str, ...] = ()  # corrosion, fire, what is looked at and when
    usual_each: float = 0.0  # what common practice takes one anchor as good for (lb); 0: nothing is said of this size
    pulls: int = 1  # locked one after another; strands that are pulled at once count once
    bracket: BracketPlan | None = None
    core: CorePlan | None = None
