"""Sheets, lists and report of the work in stages and of the safety as found, read back from disk."""

from __future__ import annotations

import csv
import math
from dataclasses import replace
from pathlib import Path

import pytest
from sheet_reader import read_svg
from test_sheets import _collisions

import detailgen
from detailgen import pipeline
from detailgen.core.units import MM
from detailgen.model.assessment import StagedWork
from detailgen.outputs.drawings import write_svg
from detailgen.outputs.drawings.register import SAFETY, work_number
from detailgen.outputs.drawings.sheet_set import draw_set
from detailgen.outputs.drawings.work_sheet import draw_safety, draw_work
from detailgen.outputs.report.calculations import report_content
from detailgen.outputs.schedules.stages import shoring, stages, write_stage_checks

SAMPLES = Path(detailgen.__file__).parent / "samples"


def staged(sample: str, count: int = 1):
    project = pipeline.read_project(SAMPLES / sample)
    project = replace(project, trusses=project.trusses[:count])
    package, _ = pipeline.decide(project, (), {}, jobs=1, progress=lambda _: None)
    trusses = []
    for one in package.trusses:
        work, safety = pipeline.stages_of(project, one)
        trusses.append(replace(one, staged=work, safety=safety))
    return replace(package, trusses=tuple(trusses))


@pytest.fixture(scope="module", params=["printworks", "printworks_si", "boathouse"])
def package(request):
    return staged(request.param)


@pytest.fixture(scope="module")
def sheets(package, tmp_path_factory):
    folder = tmp_path_factory.mktemp("work")
    found = {}
    for drawing in (*draw_work(package.trusses[0], package), *draw_safety(package)):
        write_svg(drawing, folder / f"{drawing.name}.svg")
        found[drawing.name] = drawing, read_svg(folder / f"{drawing.name}.svg")
    return found


def words_of(drawing) -> str:
    shapes = [*drawing.paper, *(s for v in drawing.views for s in v.shapes)]
    return " ".join(s.text.replace("\N{NO-BREAK SPACE}", " ") for s in shapes if hasattr(s, "text"))


def test_both_sheets_are_there_and_in_the_set(package, sheets) -> None:
    mark = package.trusses[0].before.truss.mark
    assert set(sheets) == {work_number(mark, package), SAFETY}
    names = [s.drawing.name for s in draw_set(package)]
    assert set(sheets) < set(names)
    assert names[1] == SAFETY


def test_nothing_overlaps(sheets) -> None:
    for _, (_, texts, strokes) in sheets.values():
        assert _collisions([(words, box) for _, words, box in texts], strokes) == []


def test_every_shore_stands_on_the_sheet_with_its_force_and_stop(package, sheets) -> None:
    one, units = package.trusses[0], package.project.units
    words = words_of(sheets[work_number(one.before.truss.mark, package)][0])
    for shore in one.staged.shores:
        assert units.write_force(shore.force) in words
    for line in one.staged.lines:
        assert line.title in words
        assert f"{line.ratio:.2f}" in words
    assert "ORDER OF WORK" in words
    assert "HOLD until" in words
    if one.staged.shores:
        assert "SHORES AND JACKS" in words
        assert "kerf" in words


def test_the_interim_snow_limit_and_what_is_counted_are_told(package, sheets) -> None:
    one = package.trusses[0]
    words = words_of(sheets[work_number(one.before.truss.mark, package)][0])
    assert f"INTERIM SNOW LIMIT {package.project.units.write_area_load(one.staged.snow)}" in words
    assert "people and material on the bottom chord" in words


def test_the_safety_sheet_says_when_to_clear(package, sheets) -> None:
    safety, area = package.trusses[0].safety, package.project.units.write_area_load
    words = words_of(sheets[SAFETY][0])
    assert f"CLEAR THE BUILDING at {area(safety.close)}" in words
    assert area(safety.allowed) in words
    assert "EMERGENCY SHORES" in words
    for joint, push in safety.shores:
        assert joint in words
        assert package.project.units.write_force(push) in words


def test_repair_sheet_and_list_of_shores_agree(package) -> None:
    one = package.trusses[0]
    sheet = next(s.drawing for s in draw_set(package) if s.file.endswith("_repair"))
    words = words_of(sheet)
    assert work_number(one.before.truss.mark, package) in words
    if one.staged.shores:
        assert package.project.units.write_force(one.staged.shores[0].force) in words
        assert "________" not in words
    rows = shoring(package).rows
    assert [row[1] for row in rows] == [s.joint for s in one.staged.shores]
    for row, shore in zip(rows, one.staged.shores, strict=True):
        assert row[3] == pytest.approx(shore.force * package.project.units.force, rel=1e-6)
        assert row[5] == pytest.approx(shore.stop * package.project.units.length, rel=1e-6)


def test_stages_as_tables(package, tmp_path) -> None:
    one = package.trusses[0]
    table = stages(package)
    assert [row[2] for row in table.rows] == [n.title for n in one.staged.lines]
    assert len(table.header) == len(table.rows[0])
    assert write_stage_checks(package, tmp_path / "stages.csv")
    rows = list(csv.DictReader((tmp_path / "stages.csv").open(encoding="utf-8")))
    assert {r["stage"] for r in rows} == {n.title for n in one.staged.lines}
    for line in one.staged.lines:
        ratios = [float(r["ratio"]) for r in rows if r["stage"] == line.title and r["ratio"] not in ("", "infinite")]
        assert max(ratios) == pytest.approx(line.ratio, rel=1e-6)


def test_stops_are_whole_sixteenths_or_millimetres(package) -> None:
    step = 1 / 16 if package.project.units.name == "US" else MM
    for shore in package.trusses[0].staged.shores:
        assert math.isclose(shore.stop / step, round(shore.stop / step), abs_tol=1e-6)


def test_the_report_has_safety_and_stages(package) -> None:
    truss = report_content(package)["trusses"][0]
    assert truss["safety"]["depths"]
    assert len(truss["staged"]["rows"]) == len(package.trusses[0].staged.lines)
    assert len(truss["staged"]["shores"]) == len(package.trusses[0].staged.shores)
    if package.trusses[0].staged.shores:
        assert truss["staged"]["bearing"]["lines"]


def test_where_stages_are_not_worked_out_the_engineer_is_asked() -> None:
    package = staged("printworks")
    one = replace(package.trusses[0], staged=StagedWork("T2", "forces come from another analysis, which holds no stages"))
    bare = replace(package, trusses=(one,))
    assert draw_work(one, bare) == []
    words = words_of(next(s.drawing for s in draw_set(bare) if s.file.endswith("_repair")))
    assert "________" in words
    assert "another analysis" in words
    assert "another analysis" in report_content(bare)["trusses"][0]["staged"]["words"][0]
    assert shoring(bare).rows == ()
