"""A package by strength design (LRFD): the project file names the method, everything follows it, and every reader is told."""

from __future__ import annotations

import json

import pytest
from package_runs import edit, kept_folder, one_truss, package, words_of
from pypdf import PdfReader

BY_STRENGTH = ("{wood: nds_2018, loads: asce7_16}", "{wood: nds_2018, loads: asce7_16, method: strength}")
LIGHTER = ("concentrated: 2000 lb", "concentrated: 1900 lb")
"""By strength the bolts of an upright stand at 1.01 under 2,000 lb."""


@pytest.fixture(scope="module")
def made():
    home = kept_folder("strength")
    return package(one_truss(home / "job", BY_STRENGTH, LIGHTER), home / "out")


def text_of(path):
    return " ".join(" ".join(page.extract_text() for page in PdfReader(path).pages).split())


def test_it_passes_and_its_drawings_pass_the_checker(made):
    assert made.answer.code == 0, made.answer.err
    assert "all drawings pass the checker" in words_of(made.answer)
    assert {"NDS 2018 (LRFD)", "AISC 360-16 (LRFD)"} <= set(made.manifest["standards"])


def test_all_combinations_are_factored(made):
    rows = made.rows("assessment.csv")
    shares = ("permanent", "snow", "construction")  # what a splice develops is told by the shortest load
    names = {r["combination"] for r in rows if r["combination"] not in ("", *shares)}
    assert "1.2 D + 1.6 S balanced" in names
    assert all(n.startswith(("1.4 D", "1.2 D", "0.9 D")) for n in names)


def test_sheets_and_report_name_the_method(made):
    sheets, report = (text_of(made.folder / f) for f in ("drawings/all_sheets.pdf", "report/calculations.pdf"))
    assert "Design method strength (LRFD): loads are factored" in sheets
    assert sheets.count("NDS 2018 (LRFD)") >= 3  # in the title block of every sheet
    assert "design method strength (LRFD): loads are factored" in report
    assert "By strength design: loads are factored" in report


def test_the_checker_takes_resistance_factors_where_the_outline_says_that_loads_are_factored(made):
    checks = json.dumps(json.loads((made.folder / "checks" / "checks.json").read_text(encoding="utf-8")))
    assert "of the plate at the" in checks
    dxf = next((made.folder / "cut").glob("*.dxf")).read_text(encoding="utf-8")
    assert "loads=factored" in dxf


def test_a_method_that_is_not_known_is_named_with_its_line(tmp_path):
    project = one_truss(tmp_path / "job", (BY_STRENGTH[0], BY_STRENGTH[1].replace("strength", "plastic")))
    answer = package(project, tmp_path / "out").answer
    assert answer.code == 2
    assert "project.yaml:13: standards.method: found 'plastic'" in words_of(answer) + " ".join(answer.err.split())


def test_the_first_design_and_the_stages_stay_with_allowable_stress(made):
    assert "judged by allowable stress" in words_of(made.answer) + text_of(made.folder / "report/calculations.pdf")


def test_imported_forces_in_service_are_not_taken_for_factored_ones(tmp_path):
    from package_runs import copy_without_marks

    project = copy_without_marks("printworks", tmp_path / "job")
    edit(project, BY_STRENGTH)
    answer = package(project, tmp_path / "out").answer
    assert answer.code == 2
    assert "in strength design its forces must be factored" in " ".join(answer.err.split())
