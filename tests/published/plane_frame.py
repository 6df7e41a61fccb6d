"""Runs the published plane-frame cases through the analysis: their records in, one number per expected value out.

Nothing is computed here beyond the change of records and the factor or sense that a case asks for.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from detailgen.analysis.frame import combine, solve, solve_stages
from detailgen.model.structure import FrameResult, LoadCase, Structure

_DOF = {"x": 0, "y": 1, "rz": 2}
_END = {"i": 0, "j": -1}


def structure_of(inputs: Mapping[str, Any]) -> Structure:
    nodes, members, supports = inputs["nodes"], inputs["members"], inputs["supports"]
    return Structure(
        joint_names=tuple(str(number) for number in range(len(nodes))),
        joints=np.array(nodes, dtype=float),
        ends=np.array([(member["i"], member["j"]) for member in members]),
        E=np.array([member["E"] for member in members], dtype=float),
        A=np.array([member["A"] for member in members], dtype=float),
        I=np.array([member["I"] for member in members], dtype=float),
        spring=np.array([[0.0 if member[pin] else np.inf for pin in ("pin_i", "pin_j")] for member in members]),
        offset=np.array([[member.get(arm, (0.0, 0.0)) for arm in ("offset_i", "offset_j")] for member in members], dtype=float),
        fixed=np.array([supports.get(str(number), (False, False, False)) for number in range(len(nodes))]),
        member=tuple(str(number) for number in range(len(members))),
        station=np.zeros(len(members)),
    )


def load_case_of(name: str, loads: Mapping[str, Any], joints: int, elements: int) -> LoadCase:
    nodal, settlement = np.zeros((joints, 3)), np.zeros((joints, 3))
    distributed, strain = np.zeros((elements, 2)), np.zeros(elements)
    for node, load in loads.get("nodal", {}).items():
        nodal[int(node)] = load
    for member, load in loads.get("dist", {}).items():
        distributed[int(member)] = load
    for member, value in loads.get("strain", {}).items():
        strain[int(member)] = value
    for settled in loads.get("settle", ()):
        settlement[settled["node"], _DOF[settled["dof"]]] = settled["value"]
    point = tuple((int(member), fx, fy, place) for member, listed in loads.get("point", {}).items() for fx, fy, place in listed)
    return LoadCase(name, nodal, distributed, point, strain, settlement)


def solve_case(inputs: Mapping[str, Any]) -> FrameResult:
    """The last row is the answer: the only combination, or the state after the last stage."""
    structure = structure_of(inputs)
    elements = len(structure.ends)
    cases = [load_case_of(name, loads, len(structure.joints), elements) for name, loads in inputs["cases"].items()]
    if "stages" in inputs:
        stages = [(np.isin(np.arange(elements), stage["active"]), stage["add"]) for stage in inputs["stages"]]
        return solve_stages(structure, cases, stages)
    combos: Mapping[str, Mapping[str, float]] = inputs["combos"]
    factors = np.array([[combo.get(case.name, 0.0) for case in cases] for combo in combos.values()])
    return combine(solve(structure, cases), tuple(combos), factors)


def probe(result: FrameResult, question: Mapping[str, Any]) -> float:
    kind = question["kind"]
    if kind == "reaction":
        value = result.reaction[-1, question["node"], _DOF[question["dof"]]]
    elif kind == "displacement":
        value = result.displacement[-1, question["node"], _DOF[question["dof"]]]
    elif kind == "axial":
        value = result.axial[-1, question["member"], _END[question["end"]]]
    elif kind == "moment":
        value = result.end_moment[-1, question["member"], _END[question["end"]]]
    elif kind in ("min_axial", "max_axial", "max_abs_axial"):
        value = _extreme(kind, result.axial[-1, question["members"]])
    else:
        raise ValueError(f"A case asks for {kind}, which no answer of the analysis has.")
    if question.get("sense") == "magnitude":
        value = abs(value)
    return float(value) * float(question.get("scale", 1.0))


def _extreme(kind: str, axial: np.ndarray[Any, Any]) -> float:
    if kind == "min_axial":
        return float(axial.min())
    return float((np.abs(axial) if kind == "max_abs_axial" else axial).max())


def expected_values(case: Mapping[str, Any]) -> dict[str, float]:
    """The product's number for every expected value of the case, by its name."""
    result = solve_case(case["inputs"])
    questions: Sequence[Mapping[str, Any]] = case["expected"]
    return {question["name"]: probe(result, question["probe"]) for question in questions}
