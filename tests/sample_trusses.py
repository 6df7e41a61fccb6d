"""The samples, read once, for the tests of loads, analysis and assessment."""

from __future__ import annotations

import os
import pickle
import time
from dataclasses import replace
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
BENT = "ropewalk"
"""Purlins between its panel points bend its top chord."""
STRUNG = "granary"
"""Its bottom chord is whole, and pulled too much."""
BRACED = "netloft"
"""Its webs and its bottom chord buckle out of the truss, beside an anchored bay."""

WEAK_HEEL = "tannery"
"""Its top chords bear on too little of their end grain."""


@cache
def project(name: str) -> Project:
    return pipeline.read_project(SAMPLES / name)


def truss(name: str, mark: str) -> Truss:
    return next(t for t in project(name).trusses if t.mark == mark)


@cache
def decided(name: str) -> Package:
    """A sample's package, before anything is written: one process of the test run decides it, the others read what that one kept."""
    kept = Path(os.environ["DETAILGEN_TESTS_SHARED"]) / f"decided-{name}"
    begun, part = kept.with_suffix(".begun"), kept.with_suffix(".part")
    if not kept.exists():
        try:
            begun.touch(exist_ok=False)
        except FileExistsError:
            while begun.exists():
                time.sleep(0.2)
        else:
            try:
                package = pipeline.decide(project(name), (), {}, jobs=1, progress=lambda _: None)[0]
                part.write_bytes(pickle.dumps(package))
                part.rename(kept)
                return package
            finally:
                begun.unlink()
    return pickle.loads(kept.read_bytes())


@cache
def assessed(name: str, mark: str) -> TrussAssessment:
    return pipeline.assess_one(project(name), truss(name, mark))


def too_short() -> Truss:
    """The malthouse with a web that was cut an inch above its work point: too little laps the chord for any bolts through both."""
    found = truss(SHORT_END, "G3")
    ends = (
        replace(c, end=-1.0, bolts=replace(c.bolts, positions=((2.0, 0.0),))) if (c.member, c.joint) == ("U1-L1", "L1") else c
        for c in found.connections
    )
    return replace(found, connections=tuple(ends))


def butting() -> Truss:
    """The malthouse with a web as thick as its chord that stands on the chord's edge: their faces are flush, and old bolts hold nothing."""
    found = truss(SHORT_END, "G3")
    webs = tuple(replace(m, plies=tuple(replace(q, thickness=8.5) for q in m.plies)) if m.name == "U1-L1" else m for m in found.members)
    ends = (
        replace(c, end=-5.75, bolts=replace(c.bolts, positions=((8.0, 0.0),))) if (c.member, c.joint) == ("U1-L1", "L1") else c
        for c in found.connections
    )
    return replace(found, members=webs, connections=tuple(ends))


def all_trusses() -> list[tuple[str, str]]:
    return [(name, t.mark) for name in (US_SAMPLE, SI_SAMPLE, SLENDER, SHORT_END) for t in project(name).trusses]


def passes(one: Repaired) -> bool:
    """Everything as repaired passes, and nothing was refused."""
    return all(r.state is State.PASSES for _, r in one.after.results()) and not one.refusals
