"""A second run replaces the folder whole; a run that is killed leaves the old one, and the next mends what it left."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from command_line import copy_of, detailgen_run, environment, files_in, only_project


def test_a_second_run_replaces_the_folder_whole(tmp_path: Path) -> None:
    project = copy_of("boathouse", tmp_path / "job")
    detailgen_run("assess", project, "--out", tmp_path / "out")
    folder = only_project(tmp_path / "out")
    first = files_in(folder)
    (folder / "drawings" / "left over.svg").write_text("of another truss", encoding="utf-8")
    file = project / "project.yaml"
    file.write_text(file.read_text(encoding="utf-8").replace("mark: C", "mark: D"), encoding="utf-8")
    detailgen_run("assess", project, "--out", tmp_path / "out")
    second = files_in(only_project(tmp_path / "out"))
    assert set(second) == {name.replace("truss_C", "truss_D") for name in first}


def test_bad_input_leaves_the_old_folder(tmp_path: Path) -> None:
    project = copy_of("boathouse", tmp_path / "job")
    detailgen_run("assess", project, "--out", tmp_path / "out")
    before = files_in(tmp_path / "out")
    file = project / "project.yaml"
    file.write_text(file.read_text(encoding="utf-8").replace("48'-0\"", "480"), encoding="utf-8")
    assert detailgen_run("assess", project, "--out", tmp_path / "out").code == 2
    assert files_in(tmp_path / "out") == before


PAUSE = """
import pathlib, sys, time
whole = pathlib.Path.write_text
def slowly(path, *words, **more):
    whole(path, *words, **more)
    if path.suffix == ".dxf":
        print("half", flush=True)
        time.sleep(60)
pathlib.Path.write_text = slowly
from detailgen.__main__ import main
sys.argv = ["detailgen", "assess", sys.argv[1], "--out", sys.argv[2]]
main()
"""


def killed(command: list[str], after: float | None) -> None:
    """Start, and kill without warning: after some seconds, or where the first line is printed."""
    with subprocess.Popen(command, env=environment(), stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True) as run:
        if after is None:
            assert run.stdout is not None
            assert run.stdout.readline() == "half\n"
        else:
            time.sleep(after)
        os.kill(run.pid, signal.SIGKILL)


def test_a_kill_while_writing_leaves_the_old_folder_and_the_next_run_mends(tmp_path: Path) -> None:
    out = tmp_path / "out"
    project = copy_of("boathouse", tmp_path / "job")
    detailgen_run("assess", project, "--out", out)
    name = only_project(out).name
    before = files_in(out / name)
    file = project / "project.yaml"
    file.write_text(file.read_text(encoding="utf-8").replace("ground: 35 psf", "ground: 40 psf"), encoding="utf-8")
    killed([sys.executable, "-c", PAUSE, str(project), str(out)], None)
    hidden = [p.name for p in out.iterdir() if p.name != name]
    assert len(hidden) == 1
    assert hidden[0].startswith(".")
    assert files_in(out / name) == before
    assert detailgen_run("assess", project, "--out", out).code == 1
    after = files_in(only_project(out))
    assert set(after) == set(before)
    assert after["assessment.csv"] != before["assessment.csv"]


@pytest.mark.parametrize("seed", range(3))
def test_a_kill_at_any_moment_leaves_old_or_new_and_nothing_between(seed: int, tmp_path: Path) -> None:
    out = tmp_path / "out"
    project = copy_of("boathouse", tmp_path / "job")
    detailgen_run("assess", project, "--out", out)
    name = only_project(out).name
    old = files_in(out / name)
    file = project / "project.yaml"
    file.write_text(file.read_text(encoding="utf-8").replace("ground: 35 psf", "ground: 40 psf"), encoding="utf-8")
    detailgen_run("assess", project, "--out", tmp_path / "wanted")
    new = files_in(tmp_path / "wanted" / name)
    killed([sys.executable, "-m", "detailgen", "assess", str(project), "--out", str(out)], random.Random(seed).uniform(0.9, 1.6))
    found = files_in(out / name) if (out / name).exists() else None
    assert found in (old, new, None)  # None: between the two renames; the old one stands aside, and comes back
    if found is None:
        assert [p for p in out.iterdir() if files_in(p) == old]
    assert detailgen_run("assess", project, "--out", out).code == 1
    assert files_in(only_project(out)) == new
