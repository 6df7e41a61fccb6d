"""What a remedy offers, and what it may ask for.

A remedy is a folder that exports one object called ``REMEDY``: it finds its sites in what was found or in what still fails, and answers each site
with a Repair or a Refusal.
A Repair carries the truss as it then is (holes, weight, slip, healed damage), so that the next walk through loads, analysis and assessment
counts every consequence by the same code that judged the truss as found.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Protocol, runtime_checkable

from detailgen.core.result import CheckResult
from detailgen.model.assessment import Assessed, Forces, Place, StagedWork, TrussAssessment
from detailgen.model.detail import Detail
from detailgen.model.frame import FrameModel
from detailgen.model.imposed import Imposed
from detailgen.model.package import Intervention, Refusal
from detailgen.model.project import Project, Truss
from detailgen.model.stressing import StressingPlan
from detailgen.standards.anchorage import SteelPartStandard, StrandStandard, StressingStandard
from detailgen.standards.interface import Floats, SteelStandard, WoodStandard


@dataclass(frozen=True)
class Solved:
    """A truss with its frame and forces as repaired. ``check`` judges the places with the given names, all when None."""

    truss: Truss
    model: FrameModel
    forces: Forces
    check: Callable[[Sequence[str] | None], tuple[Place, ...]]

    @cached_property
    def assessed(self) -> Assessed:
        """All places, checked when first asked for: while the walk goes round few of them are."""
        return Assessed("as repaired", self.forces, self.check(None))

    @cached_property
    def _looked_at(self) -> dict[str, Place]:
        return {}

    def places(self, names: Sequence[str]) -> tuple[Place, ...]:
        """Members between joints by the names of their places; one that several remedies ask for is judged once."""
        if new := [n for n in names if n not in self._looked_at]:
            self._looked_at.update((place.name, place) for place in self.check(new) if place.kind == "member")
        return tuple(self._looked_at[n] for n in names if n in self._looked_at)


@dataclass(frozen=True)
class Anchorage:
    """The standards for strand and what holds it; a job without them gets no strands."""

    strand: StrandStandard
    stressing: StressingStandard
    parts: SteelPartStandard


@dataclass(frozen=True)
class Job:
    """What a remedy may ask for. ``solve`` analyses and checks a changed truss as repaired; ``staged`` follows the work on it stage by stage."""

    project: Project
    wood: WoodStandard
    steel: SteelStandard
    solve: Callable[[Truss], Solved]
    anchorage: Anchorage | None = None
    staged: Callable[[Solved, StressingPlan | None], StagedWork] | None = None


@dataclass(frozen=True)
class Site:
    """A place that asks for a repair: the plies of a member at x (in), the length that goes out of them, and the finding in words.

    ``place`` names the one place of the member that is answered, where it is not the member along its length: remedies that ask for the same
    member and place are rivals.
    ``last``: this site is asked only where other remedies leave the member failing, and is no rival that each of them is compared with.
    ``lacks``: what the remedy cannot do without and the survey does not have; such a site is asked only where no other remedy asks for its member.
    ``asked``: what other repairs have asked of its parts so far, the latest last; only a remedy that ``gives_way`` is told.
    """

    key: str
    truss: str
    member: str
    plies: tuple[str, ...]
    x: float
    gap: float
    because: str
    place: str = ""
    lacks: str = ""
    asked: tuple[Imposed, ...] = ()
    last: bool = False


@dataclass(frozen=True)
class Repair:
    """A dimensioned repair. ``sizes`` are what must not shrink once the walk has gone round twice.

    ``place`` names the member between joints that it weakens ("": none), ``lost`` how much of its section (in of width) its holes take.
    """

    site: Site
    truss: Truss
    intervention: Intervention
    detail: Detail
    sizes: Mapping[str, float]
    results: tuple[CheckResult, ...]  # checks of the new parts themselves
    place: str
    lost: float
    further: tuple[Detail, ...] = ()  # details of the same repair elsewhere on the truss
    stressing: StressingPlan | None = None
    asks: tuple[Imposed, ...] = ()  # of other repairs: they are told in the next round


def lasting(axial: Floats, durations: Sequence[str]) -> tuple[tuple[str, float, float], ...]:
    """Extreme tension and compression (lb) by the duration of the shortest load, from the forces of all combinations."""
    found: dict[str, tuple[float, float]] = {}
    for force, duration in zip(axial, durations, strict=True):
        tension, compression = found.get(duration, (0.0, 0.0))
        found[duration] = max(tension, float(force)), max(compression, float(-force))
    return tuple((duration, *forces) for duration, forces in sorted(found.items()))


class Remedy(Protocol):
    """One kind of repair; it is one of those that ``Heals`` or ``Strengthens`` tell of besides.

    It may say besides: ``mends``, the kinds of damage that it makes good (a remedy that is forced bars others that mend the same); ``order``, its
    place among those that ask for one member (the lower goes first; 50 where nothing is said); ``gives_way``, that it leaves room for what others
    ask (``Imposed``) where it can, and says in the truss where it cannot.
    """

    @property
    def key(self) -> str: ...
    @property
    def title(self) -> str: ...
    def dimension(self, job: Job, truss: Truss, site: Site, solved: Solved, least: Mapping[str, float], most_lost: float) -> Repair | Refusal:
        """Choose and dimension the repair of one site.

        truss: with the other sites' repairs in, this site's out
        solved: the truss as repaired in the last round, for the demand
        least: sizes that may not be undercut
        most_lost: how much of the section that runs through its holes may take (in); inf: not limited
        """
        ...


@runtime_checkable
class Heals(Protocol):
    """A remedy that is asked for by what was found, before any other repair is looked at."""

    def sites(self, job: Job, before: TrussAssessment) -> Sequence[Site]:
        """Where this remedy is asked for, from what was found."""
        ...

    def healed(self, truss: Truss, site: Site) -> Truss:
        """The truss with this site's damage made good, before anything is dimensioned: the structure for the first demand."""
        ...


@runtime_checkable
class Strengthens(Protocol):
    """A remedy for what is sound but too weak: it is asked again and again, as what others do may be enough or may ask for more."""

    def still_failing(self, job: Job, solved: Solved) -> Sequence[Site]:
        """Where it is asked for in a truss whose damage is made good."""
        ...
