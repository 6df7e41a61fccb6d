"""Packages as a user makes them: one demo for all tests that only look, and a survey of one truss for those that change something."""

from __future__ import annotations

import atexit
import csv
import functools
import io
import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import asdict, dataclass
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


def _made_once(name: str, words: Callable[[Path], Sequence[str | Path]]) -> Made:
    """A package that one process of the test run makes and the others look at. ``words``: of the command, for a folder of its own."""
    home = Path(os.environ["DETAILGEN_TESTS_SHARED"]) / name
    said = home / "answer.json"
    try:
        home.mkdir()
    except FileExistsError:
        until = time.monotonic() + 240.0
        while not said.exists():
            assert time.monotonic() < until, f"nobody made the package {name}"
            time.sleep(0.2)
    else:
        answer = detailgen_run(*words(home), "--out", home / "out")
        written = home / "answer.part"
        written.write_text(json.dumps(asdict(answer)), encoding="utf-8")
        written.rename(said)
    folder = next((p for p in sorted((home / "out").glob("*")) if (p / "package.json").exists()), home / "out")
    return Made(Answer(**json.loads(said.read_text(encoding="utf-8"))), folder)


@functools.cache
def demo() -> Made:
    """The demo, made once; look, and do not touch."""
    return _made_once("demo", lambda home: ("demo",))


@functools.cache
def sample_package(sample: str) -> Made:
    """The package of a sample, made once; look, and do not touch."""
    if sample == "printworks":
        return demo()
    return _made_once(sample, lambda home: ("package", copy_without_marks(sample, home / "job")))


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
