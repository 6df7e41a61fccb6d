"""What every way beyond bolts alone is asked with, and what it answers: a choice, or by what it misses."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from detailgen.core.result import CheckResult
from detailgen.model.assessment import Floats
from detailgen.model.detail import Detail
from detailgen.model.member import Connection
from detailgen.model.project import Truss
from detailgen.remedies.contract import Job, Site, Solved
from detailgen.remedies.cost import effort_of, weights_of
from detailgen.remedies.web_end.cover_search import Nearest, over_one
from detailgen.remedies.web_end.site import End


@dataclass(frozen=True)
class Choice:
    """A way that passes: in words, as it is built, what governs it, its own checks and stated cost."""

    way: str
    words: str
    worst: CheckResult
    own: tuple[CheckResult, ...]
    detail: Detail
    connection: Connection
    cost: float


@dataclass(frozen=True)
class Asked:
    """What every way is asked with."""

    job: Job
    truss: Truss
    site: Site
    solved: Solved
    end: End
    axial: Floats
    wished: Sequence[float]
    least: Mapping[str, float]
    hangs: bool = False  # shear of the chord beside the bolts must pass too, though it failed before

    @property
    def durations(self) -> tuple[str, ...]:
        return tuple(c.duration for c in self.solved.forces.combinations)

    def cost(self, detail: Detail) -> float:
        return effort_of(detail).cost(weights_of(self.truss)[0])


def missed(what: str, worst: CheckResult) -> Nearest:
    stands = f"stands at {over_one(worst.ratio)} ({worst.check})" if worst.ratio == worst.ratio else f"cannot be checked ({worst.missing})"
    return Nearest(f"{what}: {worst.where} {stands}", worst.ratio if math.isfinite(worst.ratio) else math.inf)
