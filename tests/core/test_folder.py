"""A folder is written whole or not at all."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from detailgen.core.errors import OutputError
from detailgen.core.folder import whole_folder


def names(folder: Path) -> list[str]:
    return sorted(p.name for p in folder.iterdir())


def test_new_folder_takes_the_place_of_the_old(tmp_path: Path) -> None:
    for text in ("first", "second"):
        with whole_folder(tmp_path, "job") as work:
            (work / "a.txt").write_text(text)
    assert names(tmp_path) == ["job"]
    assert (tmp_path / "job" / "a.txt").read_text() == "second"


def test_a_failure_leaves_the_old_one_untouched(tmp_path: Path) -> None:
    with whole_folder(tmp_path, "job") as work:
        (work / "a.txt").write_text("good")

    def fail() -> None:
        with whole_folder(tmp_path, "job") as work:
            (work / "a.txt").write_text("half")
            raise RuntimeError

    with pytest.raises(RuntimeError):
        fail()
    assert names(tmp_path) == ["job"]
    assert (tmp_path / "job" / "a.txt").read_text() == "good"


def test_a_killed_run_is_mended_by_the_next(tmp_path: Path) -> None:
    program = (
        "import sys,time; from pathlib import Path; from detailgen.core.folder import whole_folder\n"
        "with whole_folder(Path(sys.argv[1]), 'job') as w:\n (w/'half').write_text('x'); print('in', flush=True); time.sleep(60)"
    )
    run = subprocess.Popen([sys.executable, "-c", program, str(tmp_path)], stdout=subprocess.PIPE, text=True)
    assert run.stdout is not None
    assert run.stdout.readline() == "in\n"
    run.send_signal(signal.SIGKILL)
    run.wait()
    assert names(tmp_path) != ["job"]
    with whole_folder(tmp_path, "job") as work:
        (work / "whole").write_text("x")
    assert names(tmp_path) == ["job"]
    assert names(tmp_path / "job") == ["whole"]


def test_a_run_killed_between_the_two_renames_loses_nothing(tmp_path: Path) -> None:
    (tmp_path / ".replaced-job~1").mkdir()
    (tmp_path / ".replaced-job~1" / "kept").write_text("x")
    with pytest.raises(RuntimeError), whole_folder(tmp_path, "job"):
        raise RuntimeError
    assert names(tmp_path / "job") == ["kept"]


def test_a_file_in_the_way_is_said(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("a file")
    with pytest.raises(OutputError, match="Choose another folder"), whole_folder(tmp_path / "out", "job"):
        pass


@pytest.mark.parametrize("pause", [0.0])
def test_leftovers_of_other_names_are_left_alone(tmp_path: Path, pause: float) -> None:
    (tmp_path / "notes").mkdir()
    with whole_folder(tmp_path, "job"):
        time.sleep(pause)
    assert "notes" in names(tmp_path)
    assert os.access(tmp_path / "job", os.X_OK)
