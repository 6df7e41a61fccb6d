"""A package around the hand-made splice detail: a truss of the hand-made kind, its assessment, marks."""

from __future__ import annotations

from dataclasses import replace

from hand_made import OVER, make_assessment, make_project, make_truss
from splice_fixture import splice_detail

from detailgen.core.units import US, UnitSystem
from detailgen.model.detail import Detail
from detailgen.model.package import PROPOSED, Marked, Package, Repaired

FILLERS = ("filler-right", "filler-left")


def make_package(units: UnitSystem = US, detail: Detail | None = None, *, status: str = PROPOSED) -> Package:
    """One truss with one detail; plates alike are PL-1, fillers FB-1."""
    detail = detail or splice_detail()
    truss = make_truss(detail.truss)
    project = make_project(truss, units)
    before = make_assessment(truss, OVER)
    steel = [p for p in detail.parts if p.material == "steel"]
    blocks = [p for p in detail.parts if not p.existing and p.material == "wood"]
    kinds = (("PL-1", steel), ("FB-1", blocks))
    marks = tuple(Marked(mark, parts[0], tuple((detail.key, p.key) for p in parts)) for mark, parts in kinds if parts)
    after = replace(before.intact, structure="as repaired")
    repaired = Repaired(before, after, (detail,), (), (), {detail.key: status})
    return Package(project, (repaired,), marks, status, ("NDS 2018", "ASCE/SEI 7-16", "AISC 360-16"), ())
