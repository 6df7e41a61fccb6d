"""Packages as a user makes them: one demo for all tests that only look, and a survey of one truss for those that change something."""

from __future__ import annotations

import atexit
import csv
import functools
import io
import json
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from command_line import SAMPLES, Answer, detailgen_run, environment

DEMO = "Harrow-Lane-Printworks"


@dataclass(frozen=True)
class Made:
    """A package on disk and what was said when it was made."""

    answer: Answer
    folder: Path

    @property
    def manifest(self) -> dict:
        return json.loads((self.folder / "package.json").read_text(encoding="utf-8"))

    def rows(self, name: str) -> list[dict[str, str]]:
        return list(csv.DictReader(io.StringIO((self.folder / name).read_text(encoding="utf-8"))))


def kept_folder(name: str) -> Path:
    """A folder that lasts as long as the tests run."""
    folder = Path(tempfile.mkdtemp(prefix=f"package-{name}-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    return folder


@functools.cache
def demo() -> Made:
    """The demo, made once."""
    out = kept_folder("demo")
    return Made(detailgen_run("demo", "--out", out), out / DEMO)


@functools.cache
def one_truss_made() -> tuple[Made, Path]:
    """The package of one truss, made once, and its project; look, and do not touch."""
    home = kept_folder("one")
    project = one_truss(home / "job")
    return package(project, home / "out"), project


def copy_without_marks(sample: str, folder: Path) -> Path:
    """A copy of a sample as the wheel has it, whatever somebody ran in this checkout."""
    shutil.copytree(SAMPLES / sample, folder, ignore=shutil.ignore_patterns("marks.json", "edited"))
    return folder


def edit(project: Path, *changes: tuple[str, str]) -> None:
    """Replace texts of a project file; each must be there."""
    file = project / "project.yaml"
    text = file.read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text, f"the project no longer holds {old!r}"
        text = text.replace(old, new)
    file.write_text(text, encoding="utf-8")


def one_truss(folder: Path, *changes: tuple[str, str]) -> Path:
    """The sample building with truss T2 alone, which is faster; texts of its project file replaced."""
    copy_without_marks("printworks", folder)
    file = folder / "project.yaml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text[: text.index("  - mark: T3")], encoding="utf-8")
    edit(folder, *changes)
    return folder


def package(project: Path, out: Path, *words: str | Path) -> Made:
    """``detailgen package`` of the sample building or a copy of it."""
    return Made(detailgen_run("package", project, "--out", out, *words), out / DEMO)


def at_once(runs: Iterable[tuple[Sequence[str | Path], Path | None, dict[str, str]]]) -> list[Answer]:
    """Several runs at the same time: words, folder to start in, more environment."""
    begun = [
        subprocess.Popen([sys.executable, "-m", "detailgen", *map(str, words)], cwd=cwd, env=environment(**env), text=True,
                         stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        for words, cwd, env in runs
    ]  # fmt: skip
    answers = []
    for run in begun:
        out, err = run.communicate(timeout=180)
        assert "Traceback" not in out + err, err
        answers.append(Answer(run.returncode, out, err))
    return answers


def words_of(answer: Answer) -> str:
    """What was printed, without its line breaks."""
    return " ".join(answer.out.split())


def sheet_of(folder: Path, detail: str = "T2-splice-1") -> Path:
    """The sheet on which the faces of a detail's parts stand."""
    found = sorted((folder / "drawings").glob(f"{detail}*.dxf"))
    assert found
    return found[0]
