"""Tables: exact columns, both unit systems, blanks, order, the model that others can solve, the summary for programs."""

from __future__ import annotations

import csv
import json
import math

import numpy as np
import pytest
from hand_made import COMBINATIONS, OVER, make_assessment, make_project, make_truss
from hypothesis import given
from hypothesis import strategies as st

from detailgen.core.units import SI, US
from detailgen.outputs.schedules.assessment_tables import (
    checks_of,
    forces_of,
    summary_json,
    write_assessment_csv,
    write_forces_csv,
)
from detailgen.outputs.schedules.cells import cell, settled, unit_of
from detailgen.outputs.schedules.truss_model import model_of, truss_model, write_truss_model_json


def _rows(path):
    with path.open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def test_assessment_columns_and_rows(assessment, tmp_path):
    write_assessment_csv(tmp_path / "a.csv", [checks_of(assessment, US)], US)
    rows = _rows(tmp_path / "a.csv")
    assert list(rows[0]) == [
        "truss", "structure", "stage", "combination", "where", "station_in", "check", "demand", "capacity", "unit", "ratio", "state", "clause",
        "table_status",
    ]  # fmt: skip
    count = sum(len(p.results) for p in assessment.intact.places)
    assert [r["structure"] for r in rows] == ["intact"] * count + ["as found"] * count
    first = rows[0]
    assert first == {
        "truss": "T3", "structure": "intact", "stage": "service", "combination": "D + S", "where": "bottom chord L0-L1", "station_in": "45",
        "check": "compression and bending", "demand": "700", "capacity": "1000", "unit": "psi", "ratio": "0.7", "state": "passes",
        "clause": "NDS 2018 3.8.1, table 4A", "table_status": "from memory",
    }  # fmt: skip
    assert {r["state"] for r in rows} == {"passes", "does not pass", "cannot be checked"}


def test_what_does_not_apply_is_blank(assessment, tmp_path):
    write_assessment_csv(tmp_path / "a.csv", [checks_of(assessment, US)], US)
    rows = _rows(tmp_path / "a.csv")
    unknown = next(r for r in rows if r["state"] == "cannot be checked")
    assert (unknown["demand"], unknown["capacity"], unknown["ratio"], unknown["station_in"]) == ("", "", "", "")
    assert ": " in unknown["check"]  # a reader of the table alone must see why
    assert "nan" not in (tmp_path / "a.csv").read_text(encoding="utf-8")


def test_assessment_in_metric_units(assessment, tmp_path):
    write_assessment_csv(tmp_path / "a.csv", [checks_of(assessment, SI)], SI)
    rows = _rows(tmp_path / "a.csv")
    assert "station_mm" in rows[0]
    assert "station_in" not in rows[0]
    stress = next(r for r in rows if r["unit"] == "MPa")
    assert float(stress["capacity"]) == pytest.approx(1000 * 0.00689475729)  # 1 psi = 6894.757 Pa
    assert float(stress["station_mm"]) == pytest.approx(45 * 25.4)
    force = next(r for r in rows if r["unit"] == "kN")
    assert float(force["capacity"]) == pytest.approx(4.4482216152605)
    assert {r["unit"] for r in rows} == {"MPa", "kN", ""}


def test_no_safe_load_path_has_one_row_and_no_number(no_path, tmp_path):
    write_assessment_csv(tmp_path / "a.csv", [checks_of(no_path, US)], US)
    found = [r for r in _rows(tmp_path / "a.csv") if r["structure"] == "as found"]
    assert [(r["state"], r["ratio"]) for r in found] == [("does not pass", "")]
    assert found[0]["check"] == f"safe load path: {no_path.as_found.no_safe_load_path}"


@pytest.mark.parametrize(
    ("units", "columns", "axial"),
    [
        (US, ["station_in", "axial_lb", "shear_lb", "moment_in_lb"], 1000.123),
        (SI, ["station_mm", "axial_kN", "shear_kN", "moment_kN_m"], 1000.123456789 * 4.4482216152605e-3),
    ],
)
def test_force_columns(assessment, tmp_path, units, columns, axial):
    write_forces_csv(tmp_path / "f.csv", [forces_of(assessment, units)], units)
    rows = _rows(tmp_path / "f.csv")
    assert list(rows[0]) == ["truss", "structure", "stage", "combination", "member", *columns]
    panels = sum(len(m.joints) - 1 for m in assessment.truss.members)
    assert len(rows) == 2 * len(COMBINATIONS) * panels * 3
    second = next(r for r in rows if r["member"] == "L1-L2")
    assert float(second[columns[1]]) == pytest.approx(axial, rel=1e-6)
    assert {r["structure"] for r in rows} == {"intact", "as found"}


def test_forces_of_a_truss_without_path_are_of_the_intact_one(no_path, tmp_path):
    write_forces_csv(tmp_path / "f.csv", [forces_of(no_path, US)], US)
    assert {r["structure"] for r in _rows(tmp_path / "f.csv")} == {"intact"}


def test_order_of_trusses_is_kept(assessment, tmp_path):
    other = make_assessment(make_truss("A1"), {})
    write_assessment_csv(tmp_path / "a.csv", [checks_of(one, US) for one in (assessment, other)], US)
    marks = [r["truss"] for r in _rows(tmp_path / "a.csv")]
    assert list(dict.fromkeys(marks)) == ["T3", "A1"]
    assert marks == sorted(marks, key=["T3", "A1"].index)


def test_a_unit_without_a_place_is_an_error():
    with pytest.raises(ValueError, match="furlong"):
        unit_of("furlong", US)


@pytest.mark.parametrize(
    ("unit", "name", "factor"),
    [
        ("in2", "mm2", 645.16),
        ("in3", "mm3", 16387.064),
        ("lb/in", "kN/m", 0.1751268),
        ("in-lb", "kN-m", 0.000112984829),
        ("in", "mm", 25.4),
        ("-", "-", 1.0),
    ],
)
def test_metric_factors(unit, name, factor):
    # Factors from NIST Special Publication 811, appendix B.8 (from memory), and the exact inch of 25.4 mm.
    got = unit_of(unit, SI)
    assert got[0] == name
    assert got[1] == pytest.approx(factor, rel=1e-6)


@given(st.floats(min_value=-1e12, max_value=1e12))
def test_cells_keep_seven_figures(value):
    assert float(cell(value)) == pytest.approx(value, rel=1e-6, abs=1e-300)
    assert len(cell(value).lstrip("-").replace(".", "").split("e")[0].strip("0")) <= 8


def test_cells_of_nothing_and_of_no_bound():
    assert (cell(math.nan), cell(math.inf), cell(-0.0), cell(3.0)) == ("", "inf", "0", "3")


def test_noise_of_the_arithmetic_is_not_written():
    field = np.array([12699.42, 8.6e-12, -3e-13, 0.5])
    assert settled(field).tolist() == [12699.42, 0.0, 0.0, 0.5]
    assert settled(field + np.array([1e-9, 1e-12, -1e-12, 1e-10])).tolist() == settled(field).tolist()
    assert settled(np.zeros(3)).tolist() == [0.0, 0.0, 0.0]


# The model


def test_model_is_complete_and_sorted(assessment, project, tmp_path):
    write_truss_model_json(tmp_path / "m.json", [model_of(assessment, project)], project)
    text = (tmp_path / "m.json").read_text(encoding="utf-8")
    model = json.loads(text)
    assert text == json.dumps(model, indent=1, sort_keys=True, ensure_ascii=False) + "\n"
    write_truss_model_json(tmp_path / "two.json", [model_of(assessment, project)] * 2, project)
    whole = truss_model([assessment, assessment], project)  # the parts, written one after another, are the whole written at once
    assert (tmp_path / "two.json").read_text(encoding="utf-8") == json.dumps(whole, indent=1, sort_keys=True, ensure_ascii=False) + "\n"
    assert model["units"]["force"] == "lb"
    truss = model["trusses"][0]
    assert {"joints", "supports", "sections", "elements", "load_cases", "combinations", "stages", "results"} <= set(truss)
    assert truss["supports"] == {"L0": {"x": True, "y": True, "rotation": False}, "L2": {"x": False, "y": True, "rotation": False}}
    assert truss["sections"] == {"S1": {"A": 28.5, "E": 1600000.0, "I": 214.34}}
    first = truss["elements"][0]
    assert first["joints"] == ["L0", "L1"]
    assert first["spring"] == ["rigid", 0.0]
    assert first["offset"] == [[0.0, 2.0], [0.0, 0.0]]
    assert truss["load_cases"][0]["nodal"] == {"L1": [0.0, -800.0, 0.0]}
    assert truss["load_cases"][0]["distributed"] == {"E1": [0.0, -1.0], "E2": [0.0, -1.0]}
    assert truss["load_cases"][0]["point"] == [{"element": "E1", "force": [0.0, -50.0], "distance": 12.0}]
    assert truss["combinations"][1]["factors"] == {"dead": 1.0, "snow balanced": 1.0}
    assert [s["structure"] for s in truss["stages"]] == ["intact", "as found"]


def test_results_are_the_cases_superposed(assessment, project):
    results = truss_model([assessment], project)["trusses"][0]["results"]
    assert [r["combination"] for r in results] == ["D", "D + S"]
    a = assessment.answers
    both = results[1]
    assert both["displacements"]["L2"] == pytest.approx((a.displacement[0, 2] + a.displacement[1, 2]).tolist())
    assert both["reactions"]["L2"] == pytest.approx((a.reaction[0, 2] + a.reaction[1, 2]).tolist())
    end = both["element_end_forces"]["E2"]["end"]
    assert end == pytest.approx({"axial": a.axial[:, 1, -1].sum(), "shear": a.shear[:, 1, -1].sum(), "moment": a.moment[:, 1, -1].sum()})


def test_metric_model_is_one_consistent_set(assessment, project, project_si):
    us, si = (truss_model([assessment], p)["trusses"][0] for p in (project, project_si))
    e, f = us["sections"]["S1"], si["sections"]["S1"]
    # E A / L is a force per length in both: N/mm against lb/in.
    stiffness = [s["E"] * s["A"] / math.dist(t["joints"]["L0"], t["joints"]["L1"]) for s, t in ((e, us), (f, si))]
    assert stiffness[1] / stiffness[0] == pytest.approx(4.4482216152605 / 25.4, rel=1e-6)
    assert si["elements"][1]["spring"][0] == pytest.approx(1e6 * 4.4482216152605 * 25.4, rel=1e-6)
    assert si["load_cases"][0]["distributed"]["E1"][1] == pytest.approx(-0.1751268, rel=1e-6)


def test_a_combination_of_an_unsolved_case_is_an_error(assessment, project):
    from dataclasses import replace

    wrong = replace(assessment, combinations=(replace(COMBINATIONS[0], factors=(("wind", 1.0),)),))
    with pytest.raises(ValueError, match="wind"):
        truss_model([wrong], project)


def test_a_truss_without_path_says_why_there_are_no_results(no_path, project):
    truss = truss_model([no_path], project)["trusses"][0]
    assert "results" not in truss
    assert truss["missing"].startswith("Joint L4 can move down")


# The summary


def test_summary(assessment, project):
    summary = summary_json([assessment], project)
    json.dumps(summary, allow_nan=False)
    truss = summary["trusses"][0]
    assert (summary["result"], truss["result"]) == ("does not pass", "does not pass")
    assert truss["worst_as_found"]["ratio"] == 1.64
    assert truss["worst_as_found"]["member"] == "U3-L4"
    assert truss["findings"][0]["ratio"] == 1.64
    assert truss["findings"][-1]["ratio"] is None
    assert truss["snow"]["flat_roof_allowed"] == pytest.approx(12.4)
    assert truss["snow"]["unit"] == "psf"
    counts = truss["checks_as_found"]
    assert sum(counts.values()) == sum(1 for _ in assessment.as_found.results())
    assert counts["does not pass"] == sum(r.ratio > 1.0 for _, r in assessment.as_found.results())
    assert truss["flags"]
    assert truss["files"] == ["drawings/truss_T3.dxf", "drawings/truss_T3.svg"]


def test_summary_tells_the_three_answers_apart(project):
    sound = make_truss(damage=False)
    answers = [
        summary_json([make_assessment(sound, over, unchecked=unchecked)], make_project(sound))["result"]
        for over, unchecked in (({}, ()), ({}, ("L7-U7",)), (OVER, ("L7-U7",)))
    ]
    assert answers == ["passes", "cannot be checked", "does not pass"]


def test_summary_without_path(no_path, project):
    truss = summary_json([no_path], project)["trusses"][0]
    assert truss["result"] == "does not pass"
    assert truss["no_safe_load_path"].startswith("Joint L4")
    assert truss["worst_as_found"] is None
    assert truss["snow"] is None
