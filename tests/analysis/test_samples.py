"""The frames of the sample trusses: equilibrium of every joint in every combination, and an independent program.

The boathouse has bearings beside the heel (rigid arms), which PyNiteFEA lacks: it is compared with its bearings at the work points.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from plane_frames import joint_residual
from Pynite import FEModel3D
from sample_trusses import SI_SAMPLE, SLENDER, US_SAMPLE, all_trusses, project, truss

from detailgen.analysis.build import build_frame
from detailgen.analysis.frame import combine, solve
from detailgen.assessment.members import grade_of
from detailgen.loads.cases import build_cases
from detailgen.loads.combinations import expand
from detailgen.pipeline import known_standards

WOOD, LOADS = known_standards()


def frame_of(name: str, mark: str, *, damaged: bool, at_work_points: bool = False):
    chosen, owner = truss(name, mark), project(name)
    if at_work_points:
        left, right = chosen.supports
        chosen = replace(chosen, supports=(replace(left, offset=(0.0, 0.0)), replace(right, offset=(0.0, 0.0))))
    standard = WOOD[owner.wood_standard]
    model = build_frame(chosen, lambda w, t, d: standard.stiffness(grade_of(w), t, d).E, damaged=damaged)
    loads = build_cases(chosen, owner.loads, model, LOADS[owner.load_standard])
    return model, loads


@pytest.mark.parametrize(("name", "mark"), all_trusses())
@pytest.mark.parametrize("damaged", [False, True])
def test_every_joint_and_the_whole_truss_balance_in_every_combination(name: str, mark: str, damaged: bool) -> None:
    model, loads = frame_of(name, mark, damaged=damaged)
    structure = model.structure
    answers = solve(structure, loads.cases, active=model.active)
    rows = expand(LOADS["asce7_16"], loads.kinds)
    factors = np.array([[dict(c.factors).get(case, 0.0) for case in answers.names] for c in rows])
    combined = combine(answers, [c.name for c in rows], factors)
    for k, combination in enumerate(rows):
        weights = [dict(combination.factors).get(c.name, 0.0) for c in loads.cases]
        whole = replace(
            loads.cases[0],
            nodal=sum(w * c.nodal for w, c in zip(weights, loads.cases, strict=True)),
            distributed=sum(w * c.distributed for w, c in zip(weights, loads.cases, strict=True)),
        )
        scale = float(np.abs(combined.reaction[k]).max())
        residual = joint_residual(structure, whole, combined.axial[k], combined.shear[k], combined.moment[k], combined.reaction[k])
        assert np.abs(residual[:, :2]).max() < 1e-6 * scale
        assert np.abs(residual[:, 2]).max() < 1e-6 * scale * 672
        load = (whole.distributed * model.length[:, None]).sum(axis=0) + whole.nodal[:, :2].sum(axis=0)
        assert combined.reaction[k, :, :2].sum(axis=0) == pytest.approx(-load, abs=1e-6 * scale)


def independent(structure, case) -> FEModel3D:
    model = FEModel3D()
    for joint, (x, y) in enumerate(structure.joints):
        model.add_node(f"J{joint}", float(x), float(y), 0.0)
        model.def_support(f"J{joint}", bool(structure.fixed[joint, 0]), bool(structure.fixed[joint, 1]), True, True, True, False)
    for element, (start, end) in enumerate(structure.ends):
        E, inertia = float(structure.E[element]), float(max(structure.I[element], 1.0))
        model.add_material(f"M{element}", E, E / 2.6, 0.3, 0.0)
        model.add_section(f"S{element}", float(structure.A[element]), inertia, inertia, inertia)
        model.add_member(f"E{element}", f"J{start}", f"J{end}", f"M{element}", f"S{element}")
        model.def_releases(f"E{element}", Rzi=bool(structure.spring[element, 0] == 0), Rzj=bool(structure.spring[element, 1] == 0))
        for direction, value in zip(("FX", "FY"), case.distributed[element], strict=True):
            model.add_member_dist_load(f"E{element}", direction, float(value), float(value))
    model.analyze_linear(check_stability=False)
    return model


@pytest.mark.parametrize(("name", "mark"), [(US_SAMPLE, "T2"), (SI_SAMPLE, "T2"), (SLENDER, "C")])
@pytest.mark.parametrize("case_name", ["D", "S unbalanced left"])
def test_agrees_with_an_independent_program(name: str, mark: str, case_name: str) -> None:
    model, loads = frame_of(name, mark, damaged=False, at_work_points=True)
    case = next(c for c in loads.cases if c.name == case_name)
    ours = solve(model.structure, [case], stations=3)
    theirs = independent(model.structure, case)
    axial, moment = np.empty_like(ours.axial[0]), np.empty_like(ours.moment[0])
    for element, (start, end) in enumerate(model.structure.ends):
        member = theirs.members[f"E{element}"]
        sense = 1.0 if model.structure.joints[end, 0] > model.structure.joints[start, 0] + 1e-9 else -1.0
        for station, place in enumerate(ours.fraction * member.L()):
            axial[element, station] = -member.axial(float(place), "Combo 1")
            moment[element, station] = -sense * member.moment("Mz", float(place), "Combo 1")
    chord = np.array([k != "web" for k in model.kind])  # an upright web's sense of bending differs between the two; its moment is its own weight's
    assert np.abs(ours.axial[0] - axial).max() <= 1e-5 * np.abs(axial).max()
    assert np.abs(ours.moment[0] - moment)[chord].max() <= 1e-5 * np.abs(moment).max()
