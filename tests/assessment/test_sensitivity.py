"""Whether another assumption would change the repair: each row is the truss solved again with that assumption."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sample_trusses import SLENDER, US_SAMPLE, project, truss

from detailgen.assessment.assess import solve_repaired
from detailgen.assessment.sensitivity import LOOKED_AT, sensitivity
from detailgen.model.assessment import Variation
from detailgen.pipeline import known_standards

WOOD, LOADS = known_standards()
STANDARDS = (WOOD["nds_2018"], LOADS["asce7_16"])


def sound(name: str, mark: str):
    """The truss without its damage, a stand-in for a repaired one, without the concentrated load, so that a chord governs."""
    owner = project(name)
    return replace(owner, loads=replace(owner.loads, concentrated=0.0)), replace(truss(name, mark), damage=(), forces=None)


def rows(name: str, mark: str, **changes) -> dict[str, Variation]:
    owner, chosen = sound(name, mark)
    chosen = replace(chosen, **changes)
    _, forces, check = solve_repaired(owner, chosen, *STANDARDS)
    return {v.title: v for v in sensitivity(owner, chosen, *STANDARDS, (forces, check(None)), ())}


@pytest.fixture(scope="module")
def found() -> dict[str, Variation]:
    return rows(US_SAMPLE, "T2")


def test_every_assumption_has_its_row(found: dict[str, Variation]) -> None:
    assert list(found) == [
        "as modelled", "splices are hinges", "bolts of the webs slip", "wood one grade lower", "both supports hold against thrust",
        "of two plies the near one takes 60 %", "of two plies the far one takes 60 %", "top chord straight between the joints",
    ]  # fmt: skip
    assert not found["as modelled"].changes
    assert found["as modelled"].ratio > LOOKED_AT


def test_a_lower_grade_is_the_truss_surveyed_with_that_grade(found: dict[str, Variation]) -> None:
    """The row agrees with a truss whose survey says so: bottom chord No.2 in place of No.1, everything else Select Structural to No.1."""
    owner, chosen = sound(US_SAMPLE, "T2")
    lower = {"Select Structural": "No.1", "No.1": "No.2"}
    members = tuple(
        replace(m, plies=tuple(replace(p, wood=replace(p.wood, grade=lower[p.wood.grade])) for p in m.plies)) for m in chosen.members
    )  # fmt: skip
    _, _, check = solve_repaired(owner, replace(chosen, members=members), *STANDARDS)
    worst = max(r.ratio for p in check(None) for r in p.results if r.unit != "in" and r.ratio == r.ratio)
    assert found["wood one grade lower"].ratio == pytest.approx(worst, rel=1e-9)


def test_sixty_percent_of_a_chord_of_two_plies(found: dict[str, Variation]) -> None:
    """1.2 times the force on the one ply: the tension part of its ratio grows by as much."""
    base, more = found["as modelled"].ratio, found["of two plies the near one takes 60 %"].ratio
    assert 1.15 * base < more <= 1.2 * base + 1e-9


def test_walls_that_hold_against_thrust_show_what_a_pin_hides(found: dict[str, Variation]) -> None:
    pushed = found["both supports hold against thrust"]
    assert pushed.changes  # the bottom chord is pushed and is too slender for that
    assert pushed.place.startswith("bottom chord")


def test_slip_of_the_webs_moves_little_here(found: dict[str, Variation]) -> None:
    assert found["bolts of the webs slip"].ratio != found["as modelled"].ratio
    assert found["bolts of the webs slip"].ratio == pytest.approx(found["as modelled"].ratio, rel=0.05)


def test_a_straight_chord_has_the_other_row() -> None:
    titles = list(rows(SLENDER, "C"))
    assert "top chord curved between the joints" in titles
    assert not [t for t in titles if "splices" in t]  # this truss has none
