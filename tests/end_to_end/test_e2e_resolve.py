"""analysis/truss_model.json is enough to solve the truss again: a small dense stiffness program that reads nothing else finds the same forces.

It shares no code and no formulation with the tool: an element's end that is not rigid gets a rotation of its own, tied to its joint by
a spring. Element matrix and fixed-end forces: any text on matrix structural analysis (common practice, no published source).
"""

from __future__ import annotations

import json
import math
from pathlib import Path

import numpy as np
import pytest
from command_line import SAMPLES, copy_of, detailgen_run, only_project

SEMI_RIGID = "".join(
    f"      - {{chord: bottom chord, ply: {ply}, at: 20', behaviour: semi-rigid, stiffness: 900 kip-in/rad}}\n" for ply in ("near", "far")
)
SPLICED = ("    supports:", "    splices:\n" + SEMI_RIGID + "    supports:")
WEB_GONE = ("    damage:\n", "    damage:\n      - {kind: break, member: U1-L1, at: 1', photo: B09}\n")


class Elastic:
    """One element: how its six end movements follow from the frame's unknowns, its stiffness, and its fixed-end forces."""

    def __init__(self, truss: dict, element: dict, joint: dict[str, int], own: list[int], count: int) -> None:
        ends = [np.add(truss["joints"][name], arm) for name, arm in zip(element["joints"], element["offset"], strict=True)]
        self.length = L = math.dist(*ends)
        self.c, self.s = (ends[1] - ends[0]) / L
        section = truss["sections"][element["section"]]
        EA, EI = section["E"] * section["A"] / L, section["E"] * section["I"] / L**3
        self.k = np.zeros((6, 6))
        self.k[np.ix_([0, 3], [0, 3])] = EA * np.array([[1, -1], [-1, 1]])
        a, b, c = 6 * L, 4 * L**2, 2 * L**2
        bend = np.array([[12, a, -12, a], [a, b, -a, c], [-12, -a, 12, -a], [a, c, -a, b]])
        self.k[np.ix_([1, 2, 4, 5], [1, 2, 4, 5])] = EI * bend
        self.map = np.zeros((6, count))
        for end, (name, (ox, oy)) in enumerate(zip(element["joints"], element["offset"], strict=True)):
            x, y, turn = (3 * joint[name] + i for i in range(3))
            for axis, (cx, cy) in enumerate(((self.c, self.s), (-self.s, self.c))):  # along, across
                self.map[3 * end + axis, [x, y, turn]] += cx, cy, -oy * cx + ox * cy
            self.map[3 * end + 2, own[end]] = 1.0
        self.name = element["name"]

    def fixed(self, truss: dict, factors: dict[str, float]) -> np.ndarray:
        load = np.zeros(2)
        for case in truss["load_cases"]:
            load += factors.get(case["name"], 0.0) * np.array(case["distributed"].get(self.name, (0.0, 0.0)))
        along, across, L = self.c * load[0] + self.s * load[1], -self.s * load[0] + self.c * load[1], self.length
        return -np.array([along * L / 2, across * L / 2, across * L**2 / 12, along * L / 2, across * L / 2, -across * L**2 / 12])


def solved(truss: dict, factors: dict[str, float]) -> dict[str, list[float]]:
    """Axial, shear and moment at the start and the end of each element, in the signs that the model states."""
    assert not any(case[key] for case in truss["load_cases"] for key in ("point", "strain", "settlement"))  # none of these here
    joint = {name: k for k, name in enumerate(truss["joints"])}
    alive = [e for e in truss["elements"] if truss["sections"][e["section"]]["A"] > 0]  # what is broken carries nothing
    count, owns, springs = 3 * len(joint), [], []
    for element in alive:
        own = [3 * joint[name] + 2 for name in element["joints"]]
        for end, spring in enumerate(element["spring"]):
            if spring != "rigid":
                springs.append((count, own[end], spring))
                own[end], count = count, count + 1
        owns.append(own)
    parts = [Elastic(truss, element, joint, own, count) for element, own in zip(alive, owns, strict=True)]
    K, f = np.zeros((count, count)), np.zeros(count)
    for part in parts:
        K += part.map.T @ part.k @ part.map
        f -= part.map.T @ part.fixed(truss, factors)
    for case in truss["load_cases"]:
        for name, force in case["nodal"].items():
            f[3 * joint[name] : 3 * joint[name] + 3] += factors.get(case["name"], 0.0) * np.array(force)
    for a, b, spring in springs:
        K[np.ix_([a, b], [a, b])] += spring * np.array([[1, -1], [-1, 1]])
    held = {3 * joint[name] + k for name, way in truss["supports"].items() for k, key in enumerate(("x", "y", "rotation")) if way[key]}
    free = [k for k in range(count) if k not in held and K[k, k] > 0]
    u = np.zeros(count)
    u[free] = np.linalg.solve(K[np.ix_(free, free)], f[free])
    found = {}
    for part in parts:
        q = part.k @ part.map @ u + part.fixed(truss, factors)
        found[part.name] = [-q[0], q[1], -q[2], q[3], -q[4], q[5]]
    return found


@pytest.fixture(scope="module", params=["arms and a sag", "semi-rigid splices and a web gone", "curved chord and a broken ply"])
def truss(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> dict:
    """The first truss of a written model."""
    place: Path = tmp_path_factory.mktemp("resolve")
    changes = [SPLICED, WEB_GONE] if "semi-rigid" in request.param else []
    project = SAMPLES / "printworks" if "curved" in request.param else copy_of("boathouse", place / "job", *changes)
    answer = detailgen_run("assess", project, "--out", place / "out")
    assert answer.code == 1, answer.err
    return json.loads((only_project(place / "out") / "analysis" / "truss_model.json").read_text(encoding="utf-8"))["trusses"][0]


def test_the_model_alone_gives_the_same_forces(truss: dict) -> None:
    """Every end force of every element in every combination, to 1e-5 of the greatest of its kind."""
    factors = {c["name"]: c["factors"] for c in truss["combinations"]}
    assert len(truss["results"]) == len(factors) >= 9
    for result in truss["results"]:
        theirs = solved(truss, factors[result["combination"]])
        ours = {name: [*end["start"].values(), *end["end"].values()] for name, end in result["element_end_forces"].items()}
        keys = [key for end in next(iter(result["element_end_forces"].values())).values() for key in end]
        order = [keys.index(k) + shift for shift in (0, 3) for k in ("axial", "shear", "moment")]
        names = sorted(theirs)
        mine, other = np.array([[ours[name][k] for k in order] for name in names]), np.array([theirs[name] for name in names])
        for column in range(3):
            both = [column, column + 3]
            scale = np.abs(other[:, both]).max()
            assert scale > 100.0
            assert np.abs(mine[:, both] - other[:, both]).max() <= 1e-5 * scale, (result["combination"], column)
        for name in set(ours) - set(theirs):
            assert not any(ours[name]), f"{name} is broken and carries something"


def test_moved_numbers_would_be_seen(truss: dict) -> None:
    """The comparison bites: one section a percent larger is another truss."""
    other = json.loads(json.dumps(truss))
    name = other["elements"][0]["section"]
    other["sections"][name]["I"] *= 1.01
    factors = truss["combinations"][0]["factors"]
    before, after = solved(truss, factors), solved(other, factors)
    scale = max(abs(row[2]) for row in before.values())
    assert max(abs(before[n][k] - after[n][k]) for n in before for k in (2, 5)) > 1e-5 * scale
