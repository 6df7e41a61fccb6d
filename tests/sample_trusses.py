"""The samples, read once, for the tests of loads, analysis and assessment."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import detailgen
from detailgen import pipeline
from detailgen.core.result import State
from detailgen.model.assessment import TrussAssessment
from detailgen.model.package import Package, Repaired
from detailgen.model.project import Project, Truss

SAMPLES = Path(detailgen.__file__).parent / "samples"
US_SAMPLE, SI_SAMPLE, SLENDER, SHORT_END = "printworks", "printworks_si", "boathouse", "malthouse"
STRUNG, BRACED = "granary", "netloft"
"""Whose bottom chord is whole, and pulled too much; whose webs and bottom chord buckle out of the truss, beside an anchored bay."""


@cache
def project(name: str) -> Project:
    return pipeline.read_project(SAMPLES / name)


def truss(name: str, mark: str) -> Truss:
    return next(t for t in project(name).trusses if t.mark == mark)


@cache
def decided(name: str) -> Package:
    """A sample's package, before anything is written."""
    return pipeline.decide(project(name), (), {}, jobs=1, progress=lambda _: None)[0]


@cache
def assessed(name: str, mark: str) -> TrussAssessment:
    return pipeline.assess_one(project(name), truss(name, mark))


def all_trusses() -> list[tuple[str, str]]:
    return [(name, t.mark) for name in (US_SAMPLE, SI_SAMPLE, SLENDER, SHORT_END) for t in project(name).trusses]


def passes(one: Repaired) -> bool:
    """Everything as repaired passes, and nothing was refused."""
    return all(r.state is State.PASSES for _, r in one.after.results()) and not one.refusals
