"""Members that carry tension or compression only, from the survey into the frame: closed form, against the truss without what is loose, and told."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from sample_trusses import SAMPLES, SLENDER, project, truss

from detailgen.analysis.build import build_frame
from detailgen.analysis.contacts import solve_contacts
from detailgen.analysis.frame import solve, summed
from detailgen.assessment.assess import assess_truss
from detailgen.core.errors import InputError, NotCovered
from detailgen.loads.cases import build_cases
from detailgen.loads.combinations import expand
from detailgen.model.added import Strands
from detailgen.model.project import Modelling
from detailgen.model.structure import LoadCase, Structure
from detailgen.pipeline import known_standards, read_project

WOOD, LOADS = known_standards()
STANDARDS = (WOOD["nds_2018"], LOADS["asce7_16"])
MIDDLE = ("L3-U4", "U3-L3")


def with_rods(carries: str):
    chosen = truss(SLENDER, "C")
    members = tuple(replace(m, carries=carries) if m.name in MIDDLE else m for m in chosen.members)
    return replace(chosen, members=members)


def panel(sense: tuple[int, int]) -> Structure:
    """A square panel of 100 in. with two diagonals, pinned: posts and beam of the same bars."""
    joints = np.array([[0.0, 0.0], [100.0, 0.0], [0.0, 100.0], [100.0, 100.0]])
    ends = np.array([[0, 2], [1, 3], [2, 3], [0, 3], [1, 2]])
    m = len(ends)
    fixed = np.zeros((4, 3), dtype=bool)
    fixed[:2, :2] = True
    return Structure(("A", "B", "C", "D"), joints, ends, np.full(m, 1.6e6), np.full(m, 20.0), np.zeros(m), np.zeros((m, 2)), np.zeros((m, 2, 2)),
                     fixed, tuple("12345"), np.zeros(m), sense=np.array([0, 0, 0, *sense]))  # fmt: skip


@pytest.mark.parametrize(("sense", "pulls", "pushes"), [((1, 1), 1.0, 0.0), ((-1, -1), 0.0, -1.0)])
def test_a_crossed_panel_in_closed_form(sense, pulls, pushes) -> None:
    """Statics: with rods the diagonal that is pulled takes all of the force across, H times the square root of 2; with struts the other one."""
    structure = panel(sense)
    nodal = np.zeros((4, 3))
    nodal[2, 0] = 1000.0
    load = LoadCase("H", nodal, np.zeros((5, 2)), (), np.zeros(5), np.zeros((4, 3)))
    axial = solve_contacts(structure, [load]).result.axial[0].mean(axis=1)
    np.testing.assert_allclose(axial[3:], 1000 * np.sqrt(2) * np.array([pulls, pushes]), atol=1e-6)
    np.testing.assert_allclose(axial[:3], [0.0, -1000.0 * pulls, -1000.0] if pulls else [1000.0, 0.0, 0.0], atol=1e-6)


@pytest.mark.parametrize(("carries", "sign"), [("tension", 1.0), ("compression", -1.0)])
def test_a_truss_is_the_one_without_what_is_loose(carries: str, sign: float) -> None:
    """Every combination again, by plain superposition, with the loose webs made a billion times softer: they still weigh."""
    chosen = with_rods(carries)
    found = assess_truss(project(SLENDER), chosen, *STANDARDS)
    forces = found.intact.forces
    model = build_frame(chosen, lambda *_: 1.6e6, damaged=False)
    loads = build_cases(chosen, project(SLENDER).loads, model, STANDARDS[1])
    cases = {c.name: c for c in loads.cases}
    combinations = expand(STANDARDS[1], loads.kinds)
    contacts = solve_contacts(model.structure, [summed(model.structure, c.name, [(cases[n], f) for n, f in c.factors]) for c in combinations])
    rods = np.array([name in MIDDLE for name in model.structure.member])
    assert (sign * contacts.result.axial[:, rods].mean(axis=2) > -1e-6).all()
    assert (contacts.state[:, rods] == 0).any()
    for k in range(len(combinations)):
        soft = np.where(contacts.state[k] == 0, 1e-9, 1.0)
        weak = replace(model.structure, sense=None, E=model.structure.E * soft)
        load = summed(model.structure, combinations[k].name, [(cases[n], f) for n, f in combinations[k].factors])
        plain = solve(weak, [load])
        carry = soft == 1.0
        np.testing.assert_allclose(contacts.result.axial[k][carry], plain.axial[0][carry], rtol=1e-5, atol=0.05)
    row = [c.name for c in forces.combinations].index("D + S unbalanced right")
    assert all(sign * forces.members[m].axial[row].mean() >= 0.0 for m in MIDDLE)


def test_what_is_loose_is_told_and_its_check_asks_nothing() -> None:
    found = assess_truss(project(SLENDER), with_rods("tension"), *STANDARDS)
    (line,) = [a for a in found.assumptions if a.startswith("Truss C: web L3-U4")]
    assert "carries tension only, as surveyed; it is loose under" in line
    assert "D + S unbalanced right" in line
    assert any("adding up combinations" in a for a in found.assumptions)
    place = next(p for p in found.intact.places if p.name == "web L3-U4")
    assert all(r.check != "compression with buckling" for r in place.results)


def test_the_survey_says_it_once_for_its_webs(tmp_path) -> None:
    text = (SAMPLES / SLENDER / "project.yaml").read_text(encoding="utf-8")
    file = tmp_path / "project.yaml"
    file.write_text(text.replace("        bow: 1/4 in\n", "        bow: 1/4 in\n        carries: tension\n", 1), encoding="utf-8")
    (one, *_) = read_project(file).trusses
    webs = [m for m in one.members if m.kind == "web"]
    assert one.one_sided
    assert {m.carries for m in webs} == {"tension", "both"} or {m.carries for m in webs} == {"tension"}
    sense = build_frame(one, lambda *_: 1.6e6, damaged=False).structure.sense
    assert sense is not None
    assert set(sense.tolist()) <= {0, 1}
    file.write_text(text.replace("        bow: 1/4 in\n", "        bow: 1/4 in\n        carries: pulling\n", 1), encoding="utf-8")
    with pytest.raises(InputError) as error:
        read_project(file)
    assert "carries" in str(error.value)
    assert "pulling" in str(error.value)


def test_one_sense_beside_the_deformed_truss_is_refused_with_its_line(tmp_path) -> None:
    text = (SAMPLES / SLENDER / "project.yaml").read_text(encoding="utf-8")
    file = tmp_path / "project.yaml"
    file.write_text("analysis: {second order: yes}\n" + text.replace("        bow: 1/4 in\n", "        bow: 1/4 in\n        carries: tension\n", 1))
    with pytest.raises(InputError, match="carries one sense only"):
        read_project(file)


def test_strands_beside_one_sense_are_refused() -> None:
    run = Strands("S1", "bottom chord", 2, 0.3, 28.5e6, 0.0, (6.0, 6.0), 20000.0, 18000.0)
    with pytest.raises(NotCovered, match="strands"):
        assess_truss(project(SLENDER), replace(with_rods("tension"), strands=run), *STANDARDS)
    owner = replace(project(SLENDER), modelling=Modelling(play=1 / 32))
    with pytest.raises(NotCovered, match="strands"):
        assess_truss(owner, replace(truss(SLENDER, "C"), strands=run), *STANDARDS)
