"""What the survey's tests share: a stand-in for a wood standard, the starter's text, a short project, and reading of a text."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping, Sequence
from pathlib import Path

from detailgen.core.clause import Cite
from detailgen.core.errors import InputError, InputProblem, NotCovered
from detailgen.core.result import CheckResult
from detailgen.core.templates import template_path
from detailgen.model.project import Project
from detailgen.standards.interface import ConnectionRequest, MemberRequest, Stiffness, WoodGrade
from detailgen.survey import read


class FewWoods:
    """Knows three woods, and no sawn piece thicker than 12 in."""

    key, name = "nds_2018", "a stand-in"

    def known_woods(self) -> Mapping[str, tuple[str, ...]]:
        grades = ("Select Structural", "No.1", "No.2")
        return {"sawn: Douglas Fir-Larch": grades, "sawn: Southern Pine": ("No.1",), "glulam: Douglas Fir": ("24F-V4",)}

    def stiffness(self, wood: WoodGrade, thickness: float, depth: float) -> Stiffness:
        values = dict(wood.given)
        if {"E", "G"} <= values.keys():
            return Stiffness(values["E"], values["G"], Cite("given", ""))
        if wood.grade not in self.known_woods().get(f"{wood.product}: {wood.species}", ()):
            raise NotCovered(f"no row for {wood.species} {wood.grade}")
        if thickness > 12:
            raise NotCovered("no size class for this thickness")
        return Stiffness(1.9e6, 0.5, Cite("stand-in", ""))

    def member_checks(self, requests: Sequence[MemberRequest]) -> Sequence[Sequence[CheckResult]]:
        raise NotImplementedError

    def connection_checks(self, request: ConnectionRequest) -> Sequence[CheckResult]:
        raise NotImplementedError


STANDARDS = {"nds_2018": FewWoods()}
LOADS = ("asce7_16",)
STARTER = template_path("new_project/project.yaml").read_text(encoding="utf-8")

SHORT = """\
project: {name: Barn, revision: 0, date: 2026-05-04, units: US, view: looking north}
standards: {wood: nds_2018, loads: asce7_16}
loads:
  roof dead: 15 psf
  roof live: 20 psf
  snow: {ground: 30 psf, thermal: 1.1}
types:
  A:
    span: 48'-0"
    panels: 6
    top points: above
    wood: {species: Douglas Fir-Larch, grade: No.1}
    top chord:
      rise: 7 ft
      plies: {two: {thickness: 2-1/2 in, depth: 9-1/2 in, gap: 3 in}}
      braces: every 24 in
    bottom chord:
      plies: {two: {thickness: 2-1/2 in, depth: 9-1/2 in, gap: 3 in}}
      braces: joints
    webs:
      - members: [U1-L1, U1-L2, U2-L2, U2-L3, U3-L3, U4-L3, U4-L4, U5-L4, U5-L5]
        plies: {one: {thickness: 3 in, depth: 5-1/2 in}}
    connections:
      - members: all webs
        bolts: {diameter: 3/4 in, at: [[3 in, 0 in]]}
        end: 4 in
    splices:
      - {chord: bottom chord, ply: near, at: 20'-0", behaviour: hinge}
trusses:
  - mark: T1
    type: A
    tributary width: 18 ft
    damage:
      - {kind: break, member: bottom chord, ply: far, at: 22', photo: 3}
"""
"""About the shortest survey of a whole truss."""


def project_of(text: str, **files: str) -> Project:
    """Read a text as a project file, with other files beside it."""
    with tempfile.TemporaryDirectory() as folder:
        for name, content in files.items():
            (Path(folder) / name.replace("_", ".")).write_text(content, encoding="utf-8")
        path = Path(folder) / "project.yaml"
        path.write_bytes(text.encode("utf-8", "surrogatepass"))
        return read(path, STANDARDS, LOADS)


def problems_of(text: str, **files: str) -> tuple[InputProblem, ...]:
    """The problems of a text; fails where it has none."""
    try:
        project_of(text, **files)
    except InputError as error:
        return error.problems
    raise AssertionError("read without a problem")


def swapped(old: str, new: str, text: str = SHORT) -> str:
    """The text with one place changed, which must exist."""
    assert text.count(old) >= 1, f"'{old}' is not in the text"
    return text.replace(old, new, 1)


def line_of(part: str, text: str) -> int:
    """1-based line in which a part first stands."""
    return text[: text.index(part)].count("\n") + 1
