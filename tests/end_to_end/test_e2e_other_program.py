"""analysis/truss_model.json solved again by PyNiteFEA from the file alone, and the file against its published schema.

PyNiteFEA has no rigid arms: they are short bars here, ten thousand times stiffer than the chord, which costs some figures.
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from command_line import SAMPLES, copy_of, detailgen_run, only_project
from jsonschema import Draft202012Validator
from Pynite import FEModel3D

RIGID = 1e4


def rebuilt(truss: dict, factors: dict[str, float]) -> FEModel3D:
    """The truss in the other program, under one combination."""
    model = FEModel3D()
    for name, (x, y) in truss["joints"].items():
        model.add_node(name, x, y, 0.0)
        way = truss["supports"].get(name, {"x": False, "y": False, "rotation": False})
        model.def_support(name, way["x"], way["y"], True, True, True, way["rotation"])
    stiffest = max(s["E"] for s in truss["sections"].values())
    model.add_material("rigid", stiffest * RIGID, stiffest * RIGID / 2.6, 0.3, 0.0)
    for name, s in truss["sections"].items():
        model.add_material(f"wood of {name}", s["E"], s["E"] / 2.6, 0.3, 0.0)
        # A web is pinned at both ends, so that its bending stiffness is of no matter there.
        model.add_section(name, s["A"], s["I"], s["I"], s["I"])
    widest = max(truss["sections"], key=lambda n: truss["sections"][n]["A"])
    for element in truss["elements"]:
        ends = []
        for joint, arm in zip(element["joints"], element["offset"], strict=True):
            if any(arm):
                x, y = truss["joints"][joint]
                end = f"{joint} arm {arm}"  # elements with the same arm share it: the other program joins what stands at one place
                if end not in model.nodes:
                    model.add_node(end, x + arm[0], y + arm[1], 0.0)
                    model.def_support(end, False, False, True, True, True, False)
                    model.add_member(f"rigid {end}", joint, end, "rigid", widest)
                ends.append(end)
            else:
                ends.append(joint)
        model.add_member(element["name"], *ends, f"wood of {element['section']}", element["section"])
        model.def_releases(element["name"], Rzi=element["spring"][0] == 0, Rzj=element["spring"][1] == 0)
        assert all(s in (0, "rigid") for s in element["spring"])
    for case in truss["load_cases"]:
        factor = factors.get(case["name"], 0.0)
        if not factor:
            continue
        for joint, force in case["nodal"].items():
            for direction, value in zip(("FX", "FY", "MZ"), force, strict=True):
                model.add_node_load(joint, direction, factor * value)
        for name, load in case["distributed"].items():
            for direction, value in zip(("FX", "FY"), load, strict=True):
                model.add_member_dist_load(name, direction, factor * value, factor * value)
        for load in case["point"]:
            for direction, value in zip(("FX", "FY"), load["force"], strict=True):
                model.add_member_pt_load(load["element"], direction, factor * value, load["distance"])
        assert not case["strain"]
        assert not case["settlement"]
    model.analyze_linear(check_stability=False)
    return model


def written(name: str, place: Path, *changes: tuple[str, str]) -> dict:
    project = copy_of(name, place / "job", *changes) if changes else SAMPLES / name
    answer = detailgen_run("assess", project, "--out", place / "out")
    assert answer.code == 1, answer.err
    folder = only_project(place / "out") / "analysis"
    model = json.loads((folder / "truss_model.json").read_text(encoding="utf-8"))
    schema = json.loads((folder / "truss_model.schema.json").read_text(encoding="utf-8"))
    Draft202012Validator.check_schema(schema)
    assert [e.message for e in Draft202012Validator(schema).iter_errors(model)] == []
    spoiled = json.loads(json.dumps(model))
    spoiled["trusses"][0]["elements"][0]["colour"] = "red"
    assert list(Draft202012Validator(schema).iter_errors(spoiled))
    return model


PURLINS = ("    supports: {left: pin, right: roller,", "    purlins: every 5 ft\n    purlin height: 8 in\n    supports: {left: pin, right: roller,")


@pytest.mark.parametrize(
    ("name", "changes", "exact"),
    [("printworks", (), 1e-5), ("boathouse", (), 1e-4), ("boathouse", (PURLINS,), 1e-4)],
    ids=["curved", "arms", "purlins"],
)
def test_the_file_alone_gives_the_same_forces(name: str, changes: tuple[tuple[str, str], ...], exact: float, tmp_path: Path) -> None:
    truss = written(name, tmp_path, *changes)["trusses"][0]
    factors = {c["name"]: c["factors"] for c in truss["combinations"]}
    chosen = [r for r in truss["results"] if r["combination"] in ("D", "D + S unbalanced left", "D + Lr at L2", "D + S partial right")]
    assert len(chosen) >= 3
    for result in chosen:
        model = rebuilt(truss, factors[result["combination"]])
        axial, moment, theirs_axial, theirs_moment = [], [], [], []
        for element in truss["elements"]:
            ours = result["element_end_forces"][element["name"]]
            member = model.members[element["name"]]
            beside = 1e-6 * member.L()  # where a load stands at an end, ours are the values within the element
            for end, place in (("start", beside), ("end", member.L() - beside)):
                axial.append(ours[end]["axial"])
                theirs_axial.append(-member.axial(place, "Combo 1"))
                if "rigid" in element["spring"]:
                    moment.append(ours[end]["moment"])
                    theirs_moment.append(-member.moment("Mz", place, "Combo 1"))
        for ours_, theirs in ((axial, theirs_axial), (moment, theirs_moment)):
            assert np.abs(theirs).max() > 100.0
            assert np.abs(np.array(ours_) - np.array(theirs)).max() <= exact * np.abs(theirs).max(), result["combination"]
