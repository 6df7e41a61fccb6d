"""What goes out: repaired trusses, their details, marks over the whole project, status."""

from __future__ import annotations

import zlib
from collections.abc import Mapping
from dataclasses import dataclass

from detailgen.core.shelf import Kept, Shelf
from detailgen.model.assessment import Assessed, HandCheck, SafetyNow, StagedWork, TrussAssessment, Variation
from detailgen.model.detail import Detail, Part
from detailgen.model.project import Project, Truss
from detailgen.model.stressing import StressingPlan

PROPOSED, PRELIMINARY, ISSUED = "PROPOSED", "PRELIMINARY", "ISSUED"
"""Proposed until the engineer accepts each repair by name; preliminary while a governing table has not been read against print."""


@dataclass(frozen=True)
class Intervention:
    """A repair that was chosen: which remedy, for which finding, why, and the numbers that name it."""

    key: str  # the detail's key
    remedy: str
    truss: str
    title: str
    because: str
    parameters: Mapping[str, str]
    runners_up: tuple[str, ...]  # the winners by other orders of preference, in words


@dataclass(frozen=True)
class Refusal:
    """A repair that was not possible here: short by how much, blocked by what."""

    key: str
    remedy: str
    truss: str
    reason: str
    clause: str = ""


@dataclass(frozen=True)
class Rows:
    """What tables hold of a truss, as it will be written: its rows of assessment.csv, forces.csv and stages.csv, and its part of truss_model.json.

    Packed to a tenth of their size until then, here or on a shelf.
    """

    packed: tuple[bytes, ...] | Kept[tuple[bytes, ...]]

    @classmethod
    def of(cls, checks: str, forces: str, stages: str, model: str) -> Rows:
        return cls(tuple(zlib.compress(text.encode(), 1) for text in (checks, forces, stages, model)))

    def aside(self, shelf: Shelf) -> Rows:
        return Rows(shelf.put(self.packed)) if isinstance(self.packed, tuple) else self

    def _text(self, which: int) -> str:
        packed = self.packed.get() if isinstance(self.packed, Kept) else self.packed
        return zlib.decompress(packed[which]).decode()

    @property
    def checks(self) -> str:
        return self._text(0)

    @property
    def forces(self) -> str:
        return self._text(1)

    @property
    def stages(self) -> str:
        return self._text(2)

    @property
    def model(self) -> str:
        return self._text(3)


@dataclass(frozen=True)
class Repaired:
    """One truss before and after. ``status`` is by detail key; ``truss`` is the repaired truss, None where nothing changed it.

    ``rows``: its rows of the tables, where its structures hold but the results that are told besides (``model/governing.py``).
    """

    before: TrussAssessment
    after: Assessed
    details: tuple[Detail, ...]
    interventions: tuple[Intervention, ...]
    refusals: tuple[Refusal, ...]
    status: Mapping[str, str]
    assumptions: tuple[str, ...] = ()
    truss: Truss | None = None
    variations: tuple[Variation, ...] = ()  # would another assumption change the repair?
    hand_check: HandCheck | None = None
    staged: StagedWork | None = None
    stressing: StressingPlan | None = None
    safety: SafetyNow | None = None
    rows: Rows | None = None


@dataclass(frozen=True)
class Marked:
    """One mark over the whole project: the part, and every (detail key, part key) that is made as it."""

    mark: str
    part: Part
    uses: tuple[tuple[str, str], ...]

    @property
    def quantity(self) -> int:
        return len(self.uses)


@dataclass(frozen=True)
class Package:
    """Everything that is written out."""

    project: Project
    trusses: tuple[Repaired, ...]
    marks: tuple[Marked, ...]
    status: str
    standards: tuple[str, ...]
    assumptions: tuple[str, ...]
    notices: tuple[str, ...] = ()  # what the user must be told about this run

    @property
    def details(self) -> tuple[Detail, ...]:
        return tuple(d for t in self.trusses for d in t.details)

    def mark_of(self, detail: str, part: str) -> str:
        """The mark of a detail's part; "" for existing parts, which have none."""
        return next((m.mark for m in self.marks if (detail, part) in m.uses), "")

    def status_of(self, detail: str) -> str:
        return next(t.status[detail] for t in self.trusses if detail in t.status)
