"""Every load and every way of analysis that a survey can ask for, from one project file to forces: each leaves its mark, and everything balances."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from sample_trusses import SAMPLES, SLENDER, project, truss

from detailgen.assessment.assess import assess_truss
from detailgen.core.errors import InputError
from detailgen.core.units import UNITS
from detailgen.model.project import Project
from detailgen.pipeline import read_project, standards_of

PSF = UNITS["area load"]["psf"]
LOADS = """loads:
  roof live reduction: yes
  concentrated: 2000 lb
  given:
    - {name: sliding, kind: snow, points: [[0 ft, 18 psf], [12 ft, 18 psf]]}
    - {name: ponding, kind: rain, points: [[20 ft, 5 psf], [28 ft, 5 psf]]}
    - {name: uplift, kind: wind, points: [[0 ft, -24 psf], [48 ft, -12 psf]]}
"""
SNOW = (
    "snow: {ground: 20 psf, exposure: 1.0, thermal: 1.0, importance: 1.0, slippery: no, winter wind: 0.4, left eave: valley, right eave: near, "
    "drifts: [{beside: higher roof, side: left, height: 9 ft, roof above: 60 ft}, {beside: parapet, side: right, height: 5 ft}]}"
)


def asked(tmp_path, *changes: tuple[str, str], standard: str = "asce7_16", method: str = "allowable stress") -> Project:
    text = (SAMPLES / SLENDER / "project.yaml").read_text(encoding="utf-8")
    for old, new in (
        ("loads: asce7_16", f"loads: {standard}, method: {method}"),
        ("loads:\n", LOADS), ("  roof live: 20 psf\n", "  roof live: 20 psf\n"),
        ("snow: {ground: 35 psf, exposure: 0.9, thermal: 1.2, importance: 1.0, slippery: no}", SNOW),
        ("    end bearings:", "    purlins: every 6 ft\n    purlin height: 9 in\n    end bearings:"), *changes,
    ):  # fmt: skip
        assert old in text, old
        text = text.replace(old, new, 1)
    file = tmp_path / "project.yaml"
    file.write_text(text, encoding="utf-8")
    return read_project(file)


def found_for(owner: Project):
    return assess_truss(owner, owner.trusses[0], *standards_of(owner))


def balance(found, owner: Project) -> None:
    """Under every combination the bearings take what the cases bring, in both directions, and nothing turns."""
    structure, answers = found.structure, found.answers
    place = structure.joints
    ends = place[structure.ends] + structure.offset
    length = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
    cases = {c.name: c for c in found.cases}

    def load(case):
        """Sum of forces and moment about the origin."""
        middle = ends.mean(axis=1)
        force = case.distributed * length[:, None]
        total = np.concatenate([case.nodal[:, :2].sum(axis=0) + force.sum(axis=0),
                                [case.nodal[:, 2].sum() + (place[:, 0] * case.nodal[:, 1] - place[:, 1] * case.nodal[:, 0]).sum()
                                 + (middle[:, 0] * force[:, 1] - middle[:, 1] * force[:, 0]).sum()]])  # fmt: skip
        for element, fx, fy, distance in case.point:
            at = ends[element, 0] + (ends[element, 1] - ends[element, 0]) * distance / length[element]
            total += np.array([fx, fy, at[0] * fy - at[1] * fx])
        return total

    for combination in found.combinations:
        if combination.name in answers.names:
            reaction = answers.reaction[answers.names.index(combination.name)]
        else:
            reaction = sum(f * answers.reaction[answers.names.index(n)] for n, f in combination.factors)
        brought = sum(f * load(cases[n]) for n, f in combination.factors)
        turned = (place[:, 0] * reaction[:, 1] - place[:, 1] * reaction[:, 0]).sum() + reaction[:, 2].sum()
        taken = np.array([reaction[:, 0].sum(), reaction[:, 1].sum(), turned])
        scale = max(np.abs(brought[:2]).max(), 1.0)
        np.testing.assert_allclose(taken + brought, 0.0, atol=1e-6 * scale * owner.trusses[0].span, err_msg=combination.name)


@pytest.mark.parametrize("method", ["allowable stress", "strength"])
@pytest.mark.parametrize("standard", ["asce7_16", "asce7_22"])
def test_every_load_of_one_survey(tmp_path, standard: str, method: str) -> None:
    owner = asked(tmp_path, standard=standard, method=method)
    found = found_for(owner)
    names = {c.name for c in found.cases}
    assert {"D", "Lr full span", "Lr left half", "Lr right half", "Lr at L1", "Lr at L5", "S balanced", "S sliding", "R ponding", "W uplift"} <= names
    for word in ("unbalanced", "partial", "drift", "valley"):
        assert any(word in n for n in names if n.startswith("S ")), (word, sorted(names))
    assert any("reduced to" in a for a in found.assumptions)
    assert all(c.point for c in found.cases if c.name in ("D", "S balanced", "W uplift"))  # through the purlins
    wind = [c for c in found.combinations if "W uplift" in dict(c.factors)]
    assert any(dict(c.factors)["D"] < 1 for c in wind)  # uplift with the least dead load
    kinds = {n.split()[0] for c in found.combinations for n in dict(c.factors)}
    assert kinds == {"D", "Lr", "S", "R", "W"}
    pictures = {p.name for p in found.pictures}
    assert {n for n in names if n.startswith(("S ", "R ", "W ", "Lr full", "Lr left"))} <= pictures
    balance(found, owner)


def test_uplift_turns_chords_round(tmp_path) -> None:
    """24 to 12 psf upward on 11 psf of roofing: the bottom chord is pushed, and judged so."""
    found = found_for(asked(tmp_path))
    forces = found.intact.forces
    uplift = [k for k, c in enumerate(forces.combinations) if c.name.startswith("0.6 D")]
    assert forces.members["L2-L3"].axial[uplift].min() < -1000
    place = next(p for p in found.intact.places if p.name == "bottom chord L2-L3")
    assert any(r.check == "compression with buckling" and r.combination.startswith("0.6 D") for r in place.results)


ANALYSIS = [
    "shear: yes", "web bolts slip: yes", "free travel: 1/32 in", "second order: yes", "shear: yes, web bolts slip: yes, second order: yes",
]  # fmt: skip


@pytest.mark.parametrize("words", ANALYSIS)
def test_every_way_of_analysis_moves_the_forces_and_balances(tmp_path, words: str) -> None:
    plain = asked(tmp_path)
    owner = asked(tmp_path, ("\ntypes:\n", f"\nanalysis: {{{words}}}\n\ntypes:\n"))
    was, found = found_for(plain), found_for(owner)
    a, b = (np.concatenate([f.intact.forces.members[m].axial for m in ("U3-L3", "L3-U4")], axis=1) for f in (was, found))
    assert not np.allclose(a, b, rtol=1e-4, atol=1.0)
    if "second order" not in words:  # there the loads have moved with the truss
        balance(found, owner)


def test_a_wall_gives_way_as_far_as_a_roller_goes() -> None:
    """Two pins whose right one has moved by what the roller moves under dead load: under dead load it is the truss on its roller."""
    wood, loads = standards_of(project(SLENDER))
    chosen = replace(truss(SLENDER, "C"), damage=())
    left, right = chosen.supports
    free = assess_truss(project(SLENDER), chosen, wood, loads)
    at = free.structure.joint_names.index(right.joint)
    gone = float(free.answers.displacement[free.answers.names.index("D"), at, 0])
    assert gone > 0.0
    pinned = replace(right, kind="pin", settlement=(gone, 0.0))
    held = assess_truss(project(SLENDER), replace(chosen, supports=(left, pinned)), wood, loads)
    for member, forces in free.intact.forces.members.items():
        np.testing.assert_allclose(held.intact.forces.members[member].axial[0], forces.axial[0], rtol=1e-6, atol=0.01)
    rigid = assess_truss(project(SLENDER), replace(chosen, supports=(left, replace(right, kind="pin"))), wood, loads)
    assert rigid.intact.forces.members["L2-L3"].axial[0].max() < 0.9 * free.intact.forces.members["L2-L3"].axial[0].max()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (("panels: 6", "panel points: [8', 8', 16', 24', 40']"), "after 8'-0"),
        (("      rise: 7'-0\"\n", "      points: [[0', 0'], [4', 0'], [24', 7'], [48', 0']]\n"), "above the heels"),
        (("U1-L1, L1-U2", "U1-L1, L1-L1"), "twice the same joint"),
        (("      rise: 7'-0\"\n", "      radius: 23 ft\n"), "at least half the span"),
    ],
    ids=["a panel without length", "a top joint on the heel line", "a web from a joint to itself", "a radius under half the span"],
)
def test_members_without_length_are_named(tmp_path, change: tuple[str, str], words: str) -> None:
    with pytest.raises(InputError) as error:
        asked(tmp_path, change)
    assert words in str(error.value)
    assert "project.yaml:" in str(error.value)
