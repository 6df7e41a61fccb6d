"""The splice made in stages: what the jacks take off the chord, and what it means if they do not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from sample_trusses import SLENDER, US_SAMPLE, project, truss

from detailgen.analysis.build import build_frame
from detailgen.analysis.frame import solve, solve_stages
from detailgen.assessment.members import grade_of
from detailgen.assessment.stages import JACKS, _unit_jacks, staged_work
from detailgen.loads.cases import build_cases
from detailgen.model.project import Modelling
from detailgen.pipeline import known_standards

WOOD, LOADS = known_standards()
STANDARDS = (WOOD["nds_2018"], LOADS["asce7_16"])


def healed(chosen):
    return replace(chosen, damage=tuple(d for d in chosen.damage if d.kind != "break"))


@pytest.fixture(scope="module")
def work():
    chosen = truss(US_SAMPLE, "T2")
    return staged_work(project(US_SAMPLE), chosen, healed(chosen), *STANDARDS)


def frame(chosen):
    def modulus(w, t, d):
        return STANDARDS[0].stiffness(grade_of(w), t, d).E

    return build_frame(chosen, modulus, damaged=True)


def test_the_jacks_take_the_pull_off_the_broken_panel(work) -> None:
    """Solved again here: dead load and the stated jacks leave no axial force in L2-L3, and the joints rise by no more than the stop."""
    chosen, owner = truss(US_SAMPLE, "T2"), project(US_SAMPLE)
    model = frame(chosen)
    dead = build_cases(chosen, owner.loads, model, STANDARDS[1]).cases[0]
    jacks = _unit_jacks(model, work.joints)
    both = replace(dead, name="both", nodal=dead.nodal + work.force * jacks.nodal)
    answers = solve(model.structure, [dead, both, replace(jacks, nodal=work.force * jacks.nodal)], active=model.active)
    row = model.structure.member.index("L2-L3")
    assert float(answers.axial[0, row].mean()) == pytest.approx(work.pull, rel=1e-9)
    assert abs(float(answers.axial[1, row].mean())) < 1e-6 * work.pull
    rise = [float(answers.displacement[2, model.structure.joint_names.index(j), 1]) for j in work.joints]
    assert max(rise) == pytest.approx(work.lift)
    assert work.force > 0


def test_three_stages_each_with_its_governing_place(work) -> None:
    assert [n.title for n in work.lines] == ["as found, dead load", "jacked, before the splice is made", "jacks out, in service"]
    assert work.lines[0].place == "bottom chord L2-L3"
    assert work.lines[0].ratio < 1.0
    assert all(n.ratio > 0 for n in work.lines)


def test_in_service_it_is_what_stages_added_up_are() -> None:
    """Independent way: the same structure built up by solve_stages with both frames laid over one another is the sum of the increments.

    A truss whose repair does not change its stiffness (nothing is broken in the first frame either) must give the all-at-once answer.
    """
    chosen = truss(US_SAMPLE, "T2")
    found = staged_work(project(US_SAMPLE), chosen, healed(chosen), *STANDARDS)
    assert found is not None
    assert found.difference < 0.01  # relieved to nothing, the ply that is spliced shares as if it had always been there
    model = frame(healed(chosen))
    dead = build_cases(healed(chosen), project(US_SAMPLE).loads, model, STANDARDS[1]).cases[0]
    jacks = replace(_unit_jacks(model, found.joints), name=JACKS)
    active = np.ones(len(model.structure.ends), dtype=bool)
    built = solve_stages(model.structure, [dead, jacks], [(active, {"D": 1.0}), (active, {JACKS: found.force}), (active, {JACKS: -found.force})])
    np.testing.assert_allclose(built.axial[2], solve(model.structure, [dead]).axial[0], atol=1e-6 * np.abs(built.axial).max())


def test_where_nothing_is_broken_there_are_no_stages() -> None:
    chosen = truss(SLENDER, "C")
    assert staged_work(project(SLENDER), chosen, chosen, *STANDARDS) is None
    broken = truss(US_SAMPLE, "T2")
    asked = replace(project(US_SAMPLE), modelling=Modelling(second_order=True))
    assert staged_work(asked, broken, healed(broken), *STANDARDS) is None
