"""A small change of the survey is not lost on the way: tables and drawing follow."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from command_line import copy_of, detailgen_run, files_in, only_project

CHANGES = {
    "one inch of span": ("span: 48'-0\"", "span: 48'-1\""),
    "ten percent of snow": ("ground: 35 psf", "ground: 38.5 psf"),
    "another grade": ("grade: No.1, product: sawn", "grade: No.2, product: sawn"),
    "an eighth of web": ("thickness: 2 in, depth: 5-3/4 in", "thickness: 2-1/8 in, depth: 5-3/4 in"),
}


def written(folder: Path, *changes: tuple[str, str]) -> dict[str, bytes]:
    project = copy_of("boathouse", folder / "job", *changes)
    answer = detailgen_run("assess", project, "--out", folder / "out")
    assert answer.code in (0, 1), answer.err
    return files_in(only_project(folder / "out"))


@pytest.fixture(scope="module")
def before(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    return written(tmp_path_factory.mktemp("before"))


def worst(files: dict[str, bytes]) -> float:
    rows = csv.DictReader(files["assessment.csv"].decode().splitlines())
    return max(float(r["ratio"]) for r in rows if r["structure"] == "as found" and r["ratio"])


@pytest.mark.parametrize("change", CHANGES.values(), ids=CHANGES)
def test_a_change_reaches_tables_and_drawing(change: tuple[str, str], before: dict[str, bytes], tmp_path: Path) -> None:
    after = written(tmp_path, change)
    assert set(after) == set(before)
    same = [name for name in before if before[name] == after[name] and not name.endswith(".schema.json")]
    forces_follow = "grade" not in change[0]  # another grade of one species may have the same stiffness, and then the same forces
    assert [n for n in same if forces_follow or not n.startswith("analysis/")] == []


def test_changes_go_the_right_way(before: dict[str, bytes], tmp_path: Path) -> None:
    snow = written(tmp_path / "snow", CHANGES["ten percent of snow"])
    grade = written(tmp_path / "grade", CHANGES["another grade"])
    web = written(tmp_path / "web", CHANGES["an eighth of web"])
    assert worst(web) < worst(before) < min(worst(snow), worst(grade))


def test_a_remark_in_the_survey_changes_nothing(before: dict[str, bytes], tmp_path: Path) -> None:
    assert written(tmp_path, ("loads:\n", "# measured twice\nloads:\n")) == before
