"""The wheel is whole: built, installed away from the checkout, it starts a project, assesses its own sample and writes the demo.

The dependencies are those of the environment in which the tests run: a fresh environment with all of them takes minutes, and the gate sets
one up anyway.
"""

from __future__ import annotations

import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from command_line import PACKAGE, ROOT, SAMPLES, environment, files_in
from package_runs import DEMO, demo

WALK = """
import sys, pathlib, detailgen
assert pathlib.Path(detailgen.__file__).is_relative_to(sys.argv[1]), detailgen.__file__
from detailgen.__main__ import main
sys.argv = ["detailgen", *sys.argv[2:]]
main()
"""


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder into which the wheel is installed."""
    place = tmp_path_factory.mktemp("wheel")
    for words in (
        ["build", "--wheel", "--no-isolation", "--outdir", place, ROOT],
        ["pip", "install", "--quiet", "--no-deps", "--no-index", "--target", place / "site", "--find-links", place, "detailgen"],
    ):
        done = subprocess.run([sys.executable, "-m", *map(str, words)], capture_output=True, text=True, check=False, cwd=place)
        assert done.returncode == 0, done.stdout + done.stderr
    (wheel,) = place.glob("*.whl")
    assert not [n for n in zipfile.ZipFile(wheel).namelist() if n.startswith(("tests/", "out/")) or "__pycache__" in n]
    return place / "site"


def run(installed: Path, away: Path, *words: str | Path, **more: str) -> subprocess.CompletedProcess[str]:
    """The installed copy only: away from the checkout, the checkout not on the path."""
    env = environment(PYTHONPATH=str(installed), PYTHONSAFEPATH="1", **more)
    return subprocess.run(
        [sys.executable, "-c", WALK, str(installed), *map(str, words)], cwd=away, env=env, capture_output=True, text=True, check=False
    )


def test_templates_tables_and_samples_are_in_the_wheel(installed: Path) -> None:
    for source, there in ((PACKAGE, installed / "detailgen"), (ROOT / "templates_src", installed / "detailgen" / "_templates")):
        wanted = {p.relative_to(source) for p in source.rglob("*") if p.is_file() and p.suffix in (".py", ".csv", ".yaml", ".txt", ".typ", ".typed")}
        assert len(wanted) > 1
        assert [str(p) for p in sorted(wanted) if not (there / p).is_file()] == []


def test_it_works_away_from_the_checkout(installed: Path, tmp_path: Path) -> None:
    made = run(installed, tmp_path, "new", "job")
    assert made.returncode == 0, made.stderr
    assert run(installed, tmp_path, "assess", "job").returncode == 1
    sample = installed / "detailgen" / "samples" / SAMPLES.joinpath("boathouse").name
    before = files_in(sample)
    answer = run(installed, tmp_path, "assess", sample)
    assert answer.returncode == 1, answer.stderr
    assert {p.parts[0] for p in map(Path, files_in(tmp_path / "out"))} == {"Warehouse-roof-assessment", "Pikes-Landing-Boathouse-assessment"}
    assert files_in(sample) == before  # nothing beside it


@pytest.fixture(scope="module")
def away(installed: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """The installed copy, and a folder in which its demo ran: another world (test_package_same_bytes), with one thread and an old processor."""
    folder = tmp_path_factory.mktemp("away")
    before = files_in(installed / "detailgen" / "samples")
    world = {
        "PYTHONHASHSEED": "77", "TZ": "America/St_Johns", "LANG": "tr_TR.UTF-8", "OPENBLAS_NUM_THREADS": "1", "OPENBLAS_CORETYPE": "Sandybridge",
        "NPY_DISABLE_CPU_FEATURES": "AVX512F AVX512CD AVX512_SKX AVX2 FMA3",
    }  # fmt: skip
    answer = run(installed, folder, "demo", "--jobs", "1", **world)
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
