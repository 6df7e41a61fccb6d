"""A whole truss of the samples assessed by EN 1995-1-1 through the interface, its woods given as strength classes.

No published source, and no design: the loads are unfactored, which a project is not allowed (test_two_standards_one_interface). What is proved is
that the walk of an assessment asks nothing that only one standard can answer.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, is_dataclass, replace
from pathlib import Path

import pytest

import detailgen
from detailgen.assessment.assess import assess_truss
from detailgen.core.result import State
from detailgen.core.units import MM, MPA
from detailgen.model.member import Wood
from detailgen.pipeline import read_project
from detailgen.standards import asce7_16, en1995_1_1

SAMPLE = Path(detailgen.__path__[0]) / "samples" / "printworks_si"


def by_strength_class(thing):
    """The same record with every wood in it as C24 or GL24h."""
    if isinstance(thing, Wood):
        return replace(thing, species="softwood", grade="C24" if thing.product == "sawn" else "GL24h", values=(), source="")
    if is_dataclass(thing) and not isinstance(thing, type):
        return replace(thing, **{f.name: by_strength_class(getattr(thing, f.name)) for f in fields(thing) if f.init})
    return tuple(by_strength_class(t) for t in thing) if type(thing) is tuple else thing


@dataclass(frozen=True)
class Fitted(type(en1995_1_1.STANDARD)):
    """The standard as a European shop would meet it: holes 1 mm over, bolts of 4.6. The survey tells neither yet."""

    def connection_checks(self, request):
        return super().connection_checks(replace(request, hole_oversize=MM, bolt_tensile=400 * MPA))


class Unfactored(type(asce7_16.STANDARD)):
    """Loads as they are, whatever method asks for them."""

    def combinations(self, kinds, method="allowable stress"):
        return super().combinations(kinds)


@pytest.fixture(scope="module")
def project():
    return read_project(SAMPLE)


def assessed(project, standard):
    return assess_truss(project, by_strength_class(project.trusses[0]), standard, Unfactored())


def test_every_member_and_every_bolt_gets_a_number(project):
    found = [r for _, r in assessed(project, Fitted()).intact.results()]
    checks = {r.check for r in found}
    assert {"tension and bending", "compression and bending, weak axis", "shear", "end bearing", "bolts", "end distance", "edge distance",
            "splitting across the grain"} <= checks  # fmt: skip
    assert not [r for r in found if r.state is State.CANNOT_BE_CHECKED]
    assert all(r.steps for r in found if r.check in ("bolts", "shear"))
    assert {r.cite.document for r in found} == {"EN 1995-1-1:2004+A1"}


def test_what_the_survey_does_not_tell_is_said_in_one_finding(project):
    result = assessed(project, en1995_1_1.STANDARD)
    missing = {r.missing for _, r in result.intact.results() if r.state is State.CANNOT_BE_CHECKED}
    assert missing == {"holes larger than the bolts by 1.59 mm; covered are 0 to 1 mm (EN 1995-1-1:2004+A1 10.4.3(1))"}
    assert any("cannot be checked" in f.title for f in result.findings)
