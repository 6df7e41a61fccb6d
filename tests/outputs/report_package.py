"""A whole package for the tests of report and lists: the sample building, its assessment, and the hand-made splice detail on each truss.

The detail's results are those of an existing splice of the intact truss: real calculations, though not of this detail.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from splice_fixture import splice_detail

import detailgen
from detailgen import standards
from detailgen.assessment.assess import Imported, assess_truss
from detailgen.core.discovery import discover
from detailgen.model.assessment import TrussAssessment
from detailgen.model.package import PROPOSED, Intervention, Marked, Package, Refusal, Repaired
from detailgen.model.project import Project, Truss
from detailgen.standards.interface import LoadStandard, WoodStandard
from detailgen.survey import read, read_forces

SAMPLES = Path(detailgen.__file__).parent / "samples"
FOUND = discover(standards, "STANDARD")
WOOD = {k: s for k, s in FOUND.items() if isinstance(s, WoodStandard)}
LOADS = {k: s for k, s in FOUND.items() if isinstance(s, LoadStandard)}


def assess(project: Project, truss: Truss) -> TrussAssessment:
    """As the pipeline does it, without the outputs that it loads."""

    def imported(combinations) -> Imported:
        return read_forces(Path(project.folder) / truss.forces.file, truss, combinations, project.units) if truss.forces else {}

    return assess_truss(project, truss, WOOD[project.wood_standard], LOADS[project.load_standard], imported)


def make_package(sample: str = "printworks", trusses: int = 1) -> Package:
    project = read(SAMPLES / sample, WOOD, LOADS)
    repaired, uses = [], {"PL-1": [], "FB-1": []}
    for truss in project.trusses[:trusses]:
        before = assess(project, truss)
        results = next(p.results for p in before.intact.places if p.kind == "splice")
        detail = replace(splice_detail(), key=f"{truss.mark}-splice-near", truss=truss.mark, results=results)
        choice = Intervention(
            detail.key, "splice", truss.mark, detail.title, "The near ply is broken 2'-3\" from splice S1; the far ply alone is over its tension.",
            {"bolts": "2 rows of 3, 3/4 in", "plates": "1/4 in x 7 in, both faces"}, ("shortest: 2 rows of 3, 7/8 in",),
        )  # fmt: skip
        refusal = Refusal(f"{truss.mark}-splice-far", "splice", truss.mark, "No layout fits between the bolts of webs U3-L4 and U4-L4: 2.5 in short.",
                          "NDS 2018 12.5.1")  # fmt: skip
        after = replace(before.intact, structure="as repaired")
        repaired.append(Repaired(before, after, (detail,), (choice,), (refusal,), {detail.key: PROPOSED}, ("Gap of 6 in. stays open.",)))
        uses["PL-1"] += [(detail.key, "plate-near"), (detail.key, "plate-inner")]
        uses["FB-1"] += [(detail.key, "filler-right"), (detail.key, "filler-left")]
    first = repaired[0].details[0]
    marks = (
        Marked("PL-1", first.part("plate-near"), tuple(uses["PL-1"])),
        Marked("FB-1", first.part("filler-right"), tuple(uses["FB-1"])),
    )
    standards = ("NDS 2018", "ASCE/SEI 7-16", "AISC 360-16")
    return Package(project, tuple(repaired), marks, PROPOSED, standards, ("New bolts carry all; old bolts at the splice count zero.",))
