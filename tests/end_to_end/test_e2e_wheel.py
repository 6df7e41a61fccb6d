"""The wheel is whole: built, installed away from the checkout, it starts a project and assesses its own sample."""

from __future__ import annotations

import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from command_line import PACKAGE, ROOT, SAMPLES, environment, files_in

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


def run(installed: Path, away: Path, *words: str | Path) -> subprocess.CompletedProcess[str]:
    """The installed copy only: away from the checkout, the checkout not on the path."""
    env = environment(PYTHONPATH=str(installed), PYTHONSAFEPATH="1")
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
