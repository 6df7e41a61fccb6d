"""The demo from the wheel, away from the checkout. The dependencies are those of the environment in which the tests run: a fresh
environment with all of them takes minutes, and the gate sets one up anyway."""

from __future__ import annotations

from pathlib import Path

import pytest
from command_line import files_in
from package_runs import DEMO, demo
from test_e2e_wheel import installed, run

__all__ = ["installed"]


@pytest.fixture(scope="module")
def away(installed: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """The installed copy, and a folder in which its demo ran."""
    folder = tmp_path_factory.mktemp("away")
    before = files_in(installed / "detailgen" / "samples")
    answer = run(installed, folder, "demo")
    assert answer.returncode == 0, answer.stdout[-300:] + answer.stderr
    assert files_in(installed / "detailgen" / "samples") == before  # the demo writes nothing beside its sample
    return installed, folder


def test_the_wheel_writes_the_demo_of_the_checkout(away: tuple[Path, Path]) -> None:
    ours, theirs = files_in(demo().folder), files_in(away[1] / "out" / DEMO)
    assert sorted(theirs) == sorted(ours)
    assert [name for name in ours if ours[name] != theirs[name]] == []


def test_nothing_else_is_written(away: tuple[Path, Path]) -> None:
    assert [p.name for p in away[1].iterdir()] == ["out"]
    assert [p.name for p in (away[1] / "out").iterdir()] == [DEMO]


def test_the_samples_come_without_marks_of_somebody(away: tuple[Path, Path]) -> None:
    assert list((away[0] / "detailgen" / "samples").rglob("marks.json")) == []


def test_the_checker_of_the_wheel_passes_it(away: tuple[Path, Path]) -> None:
    installed, folder = away
    assert run(installed, folder, "check", folder / "out" / DEMO / "drawings").returncode == 0
