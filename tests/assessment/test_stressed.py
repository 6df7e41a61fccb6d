"""A chord with strands: what comes before them, what they push, what comes after."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from sample_trusses import SLENDER, project, truss

from detailgen import pipeline
from detailgen.analysis.build import STRANDS
from detailgen.assessment import stressed as s
from detailgen.assessment.assess import solve_repaired
from detailgen.core.clause import Cite
from detailgen.model.added import Strands
from detailgen.model.assessment import Combination
from detailgen.model.frame import FrameModel
from detailgen.model.project import Truss
from detailgen.model.structure import LoadCase, Structure

KIP = 1000.0
CASES = Path(__file__).parents[1] / "published" / "cases.json"
HERE = Cite("test", "by hand")


def chord_with_strands(E: float, A: float, height: float = 0.0) -> FrameModel:
    """A straight chord of two panels between a pin and a roller, and strands beside it: 28,500 ksi, two of 0.153 in2."""
    joints = ("L0", "L1", "L2")
    ends = np.array([[0, 1], [1, 2], [0, 2]])
    offset = np.zeros((3, 2, 2))
    offset[2] = [[0.0, height], [0.0, height]]
    structure = Structure(
        joints, np.array([[0.0, 0.0], [360.0, 0.0], [720.0, 0.0]]), ends, np.array([E, E, 28_500 * KIP]), np.array([A, A, 0.306]),
        np.array([500.0, 500.0, 1.0]), np.array([[np.inf] * 2, [np.inf] * 2, [0.0] * 2]), offset,
        np.array([[1, 1, 0], [0, 0, 0], [0, 1, 0]], dtype=bool), ("L0-L1", "L1-L2", STRANDS), np.zeros(3),
    )  # fmt: skip
    length = np.array([360.0, 360.0, 720.0])
    return FrameModel(
        structure, np.ones(3, dtype=bool), ("bottom chord", "bottom chord", STRANDS), np.array([0.0, 360.0, 0.0]), np.array([360.0, 720.0, 720.0]),
        length, np.zeros(3), np.zeros(3), {"L0-L1": 360.0, "L1-L2": 360.0}, {},
    )  # fmt: skip


def pull(model: FrameModel, name: str, force: float) -> LoadCase:
    nodal = np.zeros((3, 3))
    nodal[2, 0] = force
    return LoadCase(name, nodal, np.zeros((3, 2)), (), np.zeros(3), np.zeros((3, 3)))


def row(name: str, *factors: tuple[str, float], state: str = s.NEW) -> tuple[Combination, str]:
    return Combination(name, factors, "snow", HERE), state


def test_the_published_chord() -> None:
    """Shared case pt-chord: dead 30 kip, two strands 48 kip, snow 25 kip; expected by a stiffness split by hand."""
    given = next(c["inputs"] for c in json.loads(CASES.read_text(encoding="utf-8")) if c["id"] == "pt-chord")
    model = chord_with_strands(given["Ew_ksi"] * KIP, given["Aw_in2"])
    found = s.solve_stressed(model, [pull(model, "D", given["ND_kip"] * KIP), pull(model, "S", given["dN_kip"] * KIP)])
    rows = [row("lock-off", ("D", 1.0)), row("snow", ("D", 1.0), ("S", 1.0))]
    forces = s.with_totals(found, rows, {s.NEW: given["P_kip"] * KIP}, "as repaired", "service")
    assert forces.members["L0-L1"].axial[:, 0] == pytest.approx([-18 * KIP, 4364], rel=1e-3)
    assert forces.strands == pytest.approx([48 * KIP, 50_640], rel=1e-3)
    assert found.pick_up()["S"] / (25 * KIP) == pytest.approx(0.1054, rel=1e-3)


def test_strands_put_on_at_once_would_be_another_answer() -> None:
    """Dead load that came first stays in the chord: with strands as members from the start they would take a tenth of it."""
    model = chord_with_strands(1600 * KIP, 46.25)
    found = s.solve_stressed(model, [pull(model, "D", 30 * KIP)])
    forces = s.with_totals(found, [row("lock-off", ("D", 1.0))], {s.NEW: 48 * KIP}, "as repaired", "service")
    assert forces.strands is not None
    assert float(forces.strands[0]) == pytest.approx(48 * KIP)
    assert found.pick_up()["D"] == pytest.approx(0.1054 * 30 * KIP, rel=1e-3)


def test_less_dead_load_than_at_stressing_comes_off_chord_and_strands_together() -> None:
    model = chord_with_strands(1600 * KIP, 46.25)
    found = s.solve_stressed(model, [pull(model, "D", 30 * KIP)])
    forces = s.with_totals(found, [row("0.6D", ("D", 0.6))], {s.NEW: 48 * KIP}, "as repaired", "service")
    assert forces.strands is not None
    assert float(forces.strands[0]) == pytest.approx(48 * KIP - 0.4 * 0.1054 * 30 * KIP, rel=1e-4)
    assert forces.members["L0-L1"].axial[0, 0] + forces.strands[0] == pytest.approx(0.6 * 30 * KIP)


@pytest.mark.parametrize("height", [-3.0, 0.0, 2.5])
def test_strands_off_the_axis_bend_the_chord_and_leave_no_reaction(height: float) -> None:
    """Equilibrium: anywhere along a straight chord the moment is the strands' force times their height; it hogs where they lie low."""
    model = chord_with_strands(1600 * KIP, 46.25, height)
    found = s.solve_stressed(model, [pull(model, "D", 0.0)])
    forces = s.with_totals(found, [row("lock-off", ("D", 1.0))], {s.NEW: 10 * KIP}, "as repaired", "service")
    assert forces.members["L0-L1"].moment[0] == pytest.approx(np.full(5, 10 * KIP * height), abs=1e-4)
    assert found.before.reaction[-1] == pytest.approx(np.zeros((3, 3)), abs=1e-9)


def test_a_lost_pair_leaves_the_others_as_a_force_alone() -> None:
    model = chord_with_strands(1600 * KIP, 46.25)
    found = s.solve_stressed(model, [pull(model, "D", 30 * KIP), pull(model, "S", 25 * KIP)])
    forces = s.with_totals(found, [row("lost", ("D", 1.0), ("S", 0.2), state=s.LOST)], {s.LOST: 24 * KIP}, "as repaired", "service")
    assert forces.members["L1-L2"].axial[0, 0] == pytest.approx(30 * KIP + 5 * KIP - 24 * KIP)


def with_run(one: Truss, locked: float, lasting: float, height: float = 0.0) -> Truss:
    return replace(one, strands=Strands("strands", "bottom chord", 2, 0.306, 28.5e6, height, (4.0, 4.0), locked, lasting, jacked=locked))


def test_heel_bolts_keep_the_whole_thrust() -> None:
    """Equilibrium of the chord's end: its bolts bring in what the panel pulls and what the plate on the end grain pushes."""
    wood, loads = pipeline.known_standards()
    job, one = project(SLENDER), truss(SLENDER, "C")
    plain = solve_repaired(job, one, wood[job.wood_standard], loads[job.load_standard])
    strung = solve_repaired(job, with_run(one, 20 * KIP, 18 * KIP), wood[job.wood_standard], loads[job.load_standard])
    name = "bottom chord L0-L1 at L0"
    bare, held = (next(p for p in check([name]) if p.kind == "connection" and p.name == name) for _, _, check in (plain, strung))
    assert bare.worst is not None
    assert held.worst is not None
    standing = [k for k, c in enumerate(strung[1].combinations) if s.LOST not in c.name]
    assert strung[1].members["L0-L1"].axial[standing, 0].max() < plain[1].members["L0-L1"].axial[:, 0].max() - 15 * KIP
    assert held.worst.demand == pytest.approx(bare.worst.demand, rel=0.05)  # this chord sags by 1-1/4 in. below straight strands


def test_every_service_combination_stands_twice_beside_lock_off_and_a_lost_pair() -> None:
    wood, loads = pipeline.known_standards()
    job, one = project(SLENDER), truss(SLENDER, "C")
    _, plain, _ = solve_repaired(job, one, wood[job.wood_standard], loads[job.load_standard])
    _, forces, _ = solve_repaired(job, with_run(one, 20 * KIP, 18 * KIP), wood[job.wood_standard], loads[job.load_standard])
    names = [c.name for c in forces.combinations]
    assert names[0] == s.LOCK_OFF
    for c in plain.combinations:
        assert {f"{c.name}, {s.NEW}", f"{c.name}, {s.RELAXED}"} <= set(names)
    assert sum(s.LOST in n for n in names) == len({f for c in plain.combinations for f, _ in c.factors if f.startswith("S ")})
    assert forces.strands is not None
    assert len(forces.strands) == len(names)
    assert set(forces.members) == set(plain.members)


def test_a_pair_is_lost_under_dead_load_and_a_fifth_of_the_snow() -> None:
    """ASCE 7-16 2.5.2.2, what is left after an extraordinary event: 0.2 S (from memory); dead load whole, as everywhere in this method."""
    loads = pipeline.known_standards()[1]["asce7_16"]
    rows = [c for c, state in s.rows_of((), ("S balanced", "S unbalanced left"), loads) if state == s.LOST]
    assert [dict(c.factors) for c in rows] == [{"D": 1.0, "S balanced": 0.2}, {"D": 1.0, "S unbalanced left": 0.2}]
    assert [c.duration for c in rows] == ["snow", "snow"]
    assert {str(c.cite) for c in rows} == {"ASCE 7-16 2.5.2.2, table residual_capacity"}
    (bare,) = (c for c, state in s.rows_of((), (), loads) if state == s.LOST)
    assert (dict(bare.factors), bare.duration) == ({"D": 1.0}, "permanent")
