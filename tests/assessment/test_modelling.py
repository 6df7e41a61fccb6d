"""What the survey asks of the analysis beyond the plain frame reaches the forces, and is told."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from sample_trusses import SLENDER, US_SAMPLE, assessed, project, truss

from detailgen.analysis.build import build_frame
from detailgen.analysis.contacts import solve_contacts
from detailgen.analysis.frame import solve, summed
from detailgen.assessment.assess import assess_truss
from detailgen.assessment.modelling import as_asked, web_slip
from detailgen.core.errors import InputError
from detailgen.loads.cases import build_cases
from detailgen.model.project import Modelling
from detailgen.outputs.schedules.truss_model import truss_model
from detailgen.pipeline import known_standards

WOOD, LOADS = known_standards()
STANDARDS = (WOOD["nds_2018"], LOADS["asce7_16"])


def with_modelling(name: str, mark: str, asked: Modelling, **changes):
    owner = replace(project(name), modelling=asked)
    return owner, assess_truss(owner, replace(truss(name, mark), **changes), *STANDARDS)


def intact(found, member: str, combination: str):
    forces = found.intact.forces
    return forces.members[member].axial[[c.name for c in forces.combinations].index(combination)]


def test_web_slip_is_the_bolts_of_both_ends_in_line() -> None:
    """Boathouse: two 3/4 in. bolts at each end of a web, 270,000 D^1.5 lb/in each (NDS 11.3.6): both ends in line give that of one bolt."""
    found = web_slip(truss(SLENDER, "C"), STANDARDS[0])
    assert set(found) == {m.name for m in truss(SLENDER, "C").members if m.kind == "web"}
    assert found["U2-L2"] == pytest.approx(270000 * 0.75**1.5)


def test_slip_and_shear_reach_the_frame() -> None:
    chosen = truss(SLENDER, "C")
    model = build_frame(chosen, lambda *_: 1.6e6, damaged=False)
    changed = as_asked(model, chosen, Modelling(shear=True, slip=True), STANDARDS[0]).structure
    web = np.array([k == "web" for k in model.kind])
    assert np.isfinite(changed.slip[web]).all()
    assert np.isinf(changed.slip[~web]).all()
    np.testing.assert_allclose(changed.shear, 5 / 6 * changed.A * changed.E / 16)  # G a sixteenth of E, a rectangle
    _, plain = with_modelling(SLENDER, "C", Modelling())
    _, soft = with_modelling(SLENDER, "C", Modelling(shear=True, slip=True))
    here, there = (intact(f, "L3-U4", "D + S unbalanced right") for f in (plain, soft))
    assert here[0] != pytest.approx(there[0], rel=1e-4)
    assert here[0] == pytest.approx(there[0], rel=0.3)


def test_free_travel_is_solved_combination_by_combination() -> None:
    """Bolts that travel 1/16 in. before they bear: the same as the frame solved with that contact, and no web that carries has the wrong sign."""
    asked = Modelling(play=1 / 32)
    owner, found = with_modelling(SLENDER, "C", asked, damage=())
    chosen = replace(truss(SLENDER, "C"), damage=())
    model = as_asked(found_model(chosen), chosen, asked, STANDARDS[0])
    loads = build_cases(chosen, owner.loads, model, STANDARDS[1])
    assert (model.structure.play[np.array([k == "web" for k in model.kind])] == 1 / 16).all()
    combination = next(c for c in found.combinations if c.name == "D + S unbalanced left")
    cases = {c.name: c for c in loads.cases}
    alone = solve_contacts(model.structure, [summed(model.structure, "one", [(cases[n], f) for n, f in combination.factors])])
    row = model.structure.member.index("L3-U4")
    assert intact(found, "L3-U4", combination.name)[0] == pytest.approx(float(alone.result.axial[0, row, 0]))
    assert any("adding up combinations" in a for a in found.assumptions)
    plain = solve(model.structure, [summed(model.structure, "one", [(cases[n], f) for n, f in combination.factors])])
    assert float(alone.result.axial[0, row, 0]) != pytest.approx(float(plain.axial[0, row, 0]), rel=1e-3)


def found_model(chosen):
    standard = STANDARDS[0]
    from detailgen.assessment.members import grade_of

    return build_frame(chosen, lambda w, t, d: standard.stiffness(grade_of(w), t, d).E, damaged=False)


def test_the_deformed_truss_grows_a_little_and_says_so_when_it_is_much() -> None:
    owner, found = with_modelling(US_SAMPLE, "T2", Modelling(second_order=True))
    plain = assessed(US_SAMPLE, "T2")
    here, there = (intact(f, "L3-L4", "D + S balanced")[0] for f in (plain, found))
    assert here != there
    assert here == pytest.approx(there, rel=0.01)
    assert not [f for f in found.flags if "deformed" in f]  # under 5 percent
    sound = replace(truss(US_SAMPLE, "T2"), damage=())
    heavy = replace(owner, loads=replace(owner.loads, roof_dead=owner.loads.roof_dead * 40))
    assert any("grow by" in f and "deformed truss" in f for f in assess_truss(heavy, sound, *STANDARDS).flags)
    heavier = replace(owner, loads=replace(owner.loads, roof_dead=owner.loads.roof_dead * 150))
    with pytest.raises(InputError, match="buckles in its plane under its loads"):
        assess_truss(heavier, sound, *STANDARDS)


def test_the_model_file_says_what_was_counted() -> None:
    owner, found = with_modelling(SLENDER, "C", Modelling(slip=True, second_order=True))
    model = truss_model([found], owner)
    assert model["analysis"] == "elastic plane frame; bolts of the webs slip, forces act on the deformed truss, each combination solved by itself"
    assert len(model["trusses"][0]["results"]) == len(found.combinations)
    assert any("slip" in e for e in model["trusses"][0]["elements"])
    assert truss_model([assessed(SLENDER, "C")], project(SLENDER))["analysis"] == "linear elastic plane frame"


def test_a_wall_that_holds_takes_thrust_and_page_one_says_so() -> None:
    """The chord's tension falls by what the wall takes: between a roller and a pin."""
    chosen = truss(US_SAMPLE, "T2")
    left, right = chosen.supports
    pulls = []
    for supports in ((left, right), (left, replace(right, thrust=20000.0)), (left, replace(right, kind="pin"))):
        found = assess_truss(project(US_SAMPLE), replace(chosen, damage=(), supports=supports), *STANDARDS)
        pulls.append(intact(found, "L3-L4", "D + S balanced")[0])
        assert any("counted on against thrust" in f for f in found.flags) is (supports[1].thrust > 0)
    assert pulls[0] > pulls[1] > pulls[2]
