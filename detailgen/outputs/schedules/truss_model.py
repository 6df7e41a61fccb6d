"""The trusses as other programs can solve them again: structure, loads, combinations, and our own results beside them."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from detailgen.core.tolerance import rounded
from detailgen.core.units import MM, NEWTON, UnitSystem
from detailgen.model.assessment import Combination, Floats, TrussAssessment
from detailgen.model.project import Project
from detailgen.model.structure import FrameResult, LoadCase, Structure
from detailgen.outputs.schedules.cells import settled

Json = dict[str, object]
SCHEMA = Path(__file__).with_suffix(".schema.json")
"""The published schema of the file; it is written beside it."""

CONVENTIONS = {
    "axes": "x along the span, y up, rotation counter-clockwise; origin at the left heel work point",
    "offset": "rigid arm from the joint to the end of the element",
    "spring": "rotational stiffness between element end and joint; 'rigid' has no release, 0 is a pin",
    "station": "distance along the member at which the element begins",
    "distributed": "force per length of element, in global axes",
    "point": "force in global axes at a distance from the element's start",
    "strain": "stress-free strain, positive lengthens",
    "reaction": "force of the support on the structure",
    "axial": "tension positive",
    "shear": "positive where it turns the left piece clockwise",
    "moment": "sagging positive (tension on the right-hand side looking from start to end)",
    "combination": "sum of load cases times factors",
}


@dataclass(frozen=True)
class _Units:
    """One consistent set; each factor turns inside units into written ones."""

    length: float
    force: float
    names: Mapping[str, str]

    @property
    def stress(self) -> float:
        return self.force / self.length**2

    @property
    def moment(self) -> float:
        return self.force * self.length


_US = _Units(
    1.0,
    1.0,
    {"length": "in", "force": "lb", "stress": "psi", "moment": "in-lb", "line load": "lb/in", "rotational stiffness": "in-lb/rad", "angle": "rad"},
)
_SI = _Units(
    1 / MM,
    1 / NEWTON,
    {"length": "mm", "force": "N", "stress": "MPa", "moment": "N-mm", "line load": "N/mm", "rotational stiffness": "N-mm/rad", "angle": "rad"},
)


def _units(system: UnitSystem) -> _Units:
    return _US if system.name == "US" else _SI


def _r(value: float, factor: float = 1.0) -> float:
    return rounded(float(value) * factor) + 0.0


def _fine(value: float, factor: float) -> float:
    """A coordinate with ten figures: a curved chord solved again from seven misses its bending by more than 1e-5."""
    return float(f"{float(value) * factor:.10g}") + 0.0


def _spring(value: float, factor: float) -> float | str:
    return "rigid" if math.isinf(value) else _r(value, factor)


def _elements(s: Structure, u: _Units) -> tuple[Json, list[Json]]:
    """Sections by name, and the elements that refer to them."""
    keys = [(_r(e, u.stress), _r(a, u.length**2), _r(i, u.length**4)) for e, a, i in zip(s.E, s.A, s.I, strict=True)]
    names = {key: f"S{n}" for n, key in enumerate(dict.fromkeys(keys), 1)}
    sections: Json = {name: {"E": e, "A": a, "I": i} for (e, a, i), name in names.items()}
    elements: list[Json] = [
        {
            "name": f"E{k + 1}",
            "member": s.member[k],
            "station": _r(s.station[k], u.length),
            "joints": [s.joint_names[j] for j in s.ends[k]],
            "section": names[keys[k]],
            "spring": [_spring(v, u.moment) for v in s.spring[k]],
            "offset": [[_r(v, u.length) for v in end] for end in s.offset[k]],
            **_more(s, k, u),
        }
        for k in range(len(s.ends))
    ]
    return sections, elements


def _more(s: Structure, k: int, u: _Units) -> Json:
    """What only some elements have: shear, slip, one sense, free travel."""
    found: Json = {}
    if s.shear is not None and math.isfinite(s.shear[k]):
        found["shear"] = _r(s.shear[k], u.force)
    if s.slip is not None and math.isfinite(s.slip[k]):
        found["slip"] = _r(s.slip[k], u.force / u.length)
    if s.sense is not None and s.sense[k]:
        found["sense"] = "pulls only" if s.sense[k] > 0 else "pushes only"
    if s.play is not None and s.play[k] > 0:
        found["play"] = _r(s.play[k], u.length)
    return found


def _ground(s: Structure, u: _Units) -> Json:
    """Springs between joints and the ground, where there are any."""
    if s.support_spring is None or not s.support_spring.any():
        return {}
    factors = (u.force / u.length, u.force / u.length, u.moment)
    rows = np.flatnonzero(s.support_spring.any(axis=1))
    return {"support_springs": {s.joint_names[j]: [_r(v, f) for v, f in zip(s.support_spring[j], factors, strict=True)] for j in rows}}


def _case(case: LoadCase, s: Structure, u: _Units) -> Json:
    """One load case; rows of zeros are left out."""
    force = (u.force, u.force, u.moment)
    per = u.force / u.length
    return {
        "name": case.name,
        "nodal": {s.joint_names[j]: [_r(v, f) for v, f in zip(case.nodal[j], force, strict=True)] for j in np.flatnonzero(case.nodal.any(axis=1))},
        "distributed": {f"E{k + 1}": [_r(v, per) for v in case.distributed[k]] for k in np.flatnonzero(case.distributed.any(axis=1))},
        "point": [
            {"element": f"E{k + 1}", "force": [_r(fx, u.force), _r(fy, u.force)], "distance": _r(distance, u.length)}
            for k, fx, fy, distance in case.point
        ],
        "strain": {f"E{k + 1}": _r(case.strain[k]) for k in np.flatnonzero(case.strain)},
        "settlement": {
            s.joint_names[j]: [_r(v, f) for v, f in zip(case.settlement[j], (u.length, u.length, 1.0), strict=True)]
            for j in np.flatnonzero(case.settlement.any(axis=1))
        },
    }


def _combined(answers: FrameResult, combination: Combination, field: Floats) -> Floats:
    """Superpose one field of the answers. Raises ValueError for a load case that was not solved."""
    place = {name: k for k, name in enumerate(answers.names)}
    if combination.name in place:  # solved by itself, as load cases cannot be added up
        return settled(field[place[combination.name]])
    total = np.zeros(field.shape[1:])
    for name, factor in combination.factors:
        if name not in place:
            raise ValueError(f"combination {combination.name} uses the load case {name}, which was not solved")
        total += factor * field[place[name]]
    return settled(total)


def _answers(answers: FrameResult, combination: Combination, s: Structure, u: _Units) -> Json:
    displacement, reaction = _combined(answers, combination, answers.displacement), _combined(answers, combination, answers.reaction)
    axial, shear, moment = (_combined(answers, combination, f) for f in (answers.axial, answers.shear, answers.moment))
    held = np.flatnonzero(s.fixed.any(axis=1))

    def end(k: int, at: int) -> Json:
        return {"axial": _r(axial[k, at], u.force), "shear": _r(shear[k, at], u.force), "moment": _r(moment[k, at], u.moment)}

    return {
        "combination": combination.name,
        "displacements": {
            name: [_r(v, f) for v, f in zip(displacement[j], (u.length, u.length, 1.0), strict=True)] for j, name in enumerate(s.joint_names)
        },
        "reactions": {s.joint_names[j]: [_r(v, f) for v, f in zip(reaction[j], (u.force, u.force, u.moment), strict=True)] for j in held},
        "element_end_forces": {f"E{k + 1}": {"start": end(k, 0), "end": end(k, -1)} for k in range(len(s.ends))},
    }


def _one(assessment: TrussAssessment, u: _Units) -> Json:
    truss = assessment.truss
    out: Json = {
        "mark": truss.mark,
        "type": truss.type,
        "bay": truss.bay,
        "structure": "as found",
        "combinations": [
            {"name": c.name, "factors": dict(c.factors), "duration": c.duration, "clause": str(c.cite)} for c in assessment.combinations
        ],
        "stages": [
            {
                "name": a.forces.stage,
                "structure": a.structure,
                "combinations": [c.name for c in a.forces.combinations],
                "forces_from": a.forces.source,
            }
            for a in (assessment.intact, assessment.as_found)
            if a.forces is not None
        ],
    }
    s = assessment.structure
    if s is None:
        out["missing"] = assessment.as_found.no_safe_load_path or "no frame was solved for this truss"
        return out
    sections, elements = _elements(s, u)
    out |= _ground(s, u)
    out |= {
        "joints": {name: [_fine(x, u.length), _fine(y, u.length)] for name, (x, y) in zip(s.joint_names, s.joints, strict=True)},
        "supports": {
            s.joint_names[j]: dict(zip(("x", "y", "rotation"), (bool(v) for v in s.fixed[j]), strict=True))
            for j in np.flatnonzero(s.fixed.any(axis=1))
        },
        "sections": sections,
        "elements": elements,
        "load_cases": [_case(c, s, u) for c in assessment.cases],
    }
    if assessment.answers is None:
        out["missing"] = assessment.as_found.no_safe_load_path or "no frame was solved for this truss"
    else:
        out["results"] = [_answers(assessment.answers, c, s, u) for c in assessment.combinations if c.factors]
    return out


def _words(project: Project) -> str:
    asked = project.modelling
    alone = asked.one_by_one or any(t.one_sided for t in project.trusses)
    said = (
        ("members shear", asked.shear), ("bolts of the webs slip", asked.slip), ("bolts of the webs have free travel", asked.play > 0),
        ("forces act on the deformed truss", asked.second_order),
    )  # fmt: skip
    counted = [words for words, yes in said if yes] + ["each combination solved by itself"] * alone
    return f"elastic plane frame; {', '.join(counted)}" if counted else "linear elastic plane frame"


def truss_model(assessments: Sequence[TrussAssessment], project: Project) -> Json:
    """Everything that is needed to solve the trusses as found elsewhere, and our results. Units are one consistent set."""
    u = _units(project.units)
    return {
        "project": {"name": project.name, "number": project.number, "revision": project.revision, "date": project.date},
        "units": dict(u.names),
        "analysis": _words(project),
        "conventions": CONVENTIONS,
        "trusses": [_one(a, u) for a in assessments],
    }


def _json(model: Json) -> str:
    return json.dumps(model, indent=1, sort_keys=True, ensure_ascii=False, allow_nan=False)


def model_of(assessment: TrussAssessment, project: Project) -> str:
    """The part of one truss, as it stands in the file."""
    return "  " + _json(_one(assessment, _units(project.units))).replace("\n", "\n  ")


def write_truss_model_json(path: Path, parts: Iterable[str], project: Project) -> None:
    """The model, one truss after another, and its schema beside it. parts: ``model_of`` each, at least one"""
    before, after = _json(truss_model((), project)).split('"trusses": []')
    with path.open("w", encoding="utf-8", newline="\n") as stream:
        stream.write(f'{before}"trusses": [')
        for k, part in enumerate(parts):
            stream.write(f"{',' if k else ''}\n{part}")
        stream.write(f"\n ]{after}\n")
    path.with_suffix(".schema.json").write_bytes(SCHEMA.read_bytes())
