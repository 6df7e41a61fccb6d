"""Fixtures of the outputs: one hand-made assessment in feet, in metric units, and without a load path."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hand_made import OVER, make_assessment, make_project, make_truss

from detailgen.core.units import SI
from detailgen.model.assessment import TrussAssessment
from detailgen.model.project import Project, Truss


@pytest.fixture
def truss() -> Truss:
    return make_truss()


@pytest.fixture
def assessment(truss: Truss) -> TrussAssessment:
    return make_assessment(truss, OVER, unchecked=("L7-U7",))


@pytest.fixture
def project(truss: Truss) -> Project:
    return make_project(truss)


@pytest.fixture
def project_si(truss: Truss) -> Project:
    return replace(make_project(truss), units=SI)


@pytest.fixture
def no_path(truss: Truss) -> TrussAssessment:
    return make_assessment(truss, {"U3-L4": 1.14}, no_path="Joint L4 can move down: with both plies of the bottom chord broken nothing holds it")
