"""The same survey gives the same bytes: over hash seeds, time zones, languages, threads, folders and processes."""

from __future__ import annotations

import shutil
from pathlib import Path

from command_line import SAMPLES, detailgen_run, files_in

WORLDS = [
    {"PYTHONHASHSEED": "0", "TZ": "UTC", "LANG": "C", "OPENBLAS_NUM_THREADS": "1"},
    {"PYTHONHASHSEED": "4242", "TZ": "Pacific/Kiritimati", "LANG": "de_DE.UTF-8", "LC_ALL": "C.UTF-8", "OPENBLAS_NUM_THREADS": "2"},
    {"PYTHONHASHSEED": "77", "TZ": "America/St_Johns", "LANG": "tr_TR.UTF-8", "OPENBLAS_NUM_THREADS": "2", "OPENBLAS_CORETYPE": "Sandybridge"},
]


def test_every_world_writes_the_same_bytes(tmp_path: Path) -> None:
    written, said = [], []
    for k, world in enumerate(WORLDS):
        away = tmp_path / f"somewhere {k}" / "else"
        away.mkdir(parents=True)
        project = SAMPLES / "boathouse"
        if k:  # another place on the disk, and a relative path to it
            shutil.copytree(project, away / "survey")
            project = Path("survey")
        answer = detailgen_run("assess", project, "--out", "out", cwd=away, **world)
        assert answer.code == 1, answer.err
        written.append(files_in(away / "out"))
        said.append(answer.out)
    assert len(written[0]) >= 5
    for other in written[1:]:
        assert sorted(other) == sorted(written[0])
        assert [name for name in other if other[name] != written[0][name]] == []
    assert said[1:] == said[:1] * (len(WORLDS) - 1)


def test_several_processes_write_the_same_bytes_as_one(tmp_path: Path) -> None:
    answers = [detailgen_run("assess", SAMPLES / "printworks", "--out", tmp_path / jobs, "--jobs", jobs) for jobs in ("1", "2")]
    one, two = (files_in(tmp_path / jobs) for jobs in ("1", "2"))
    assert one == two
    assert len(one) == 15  # one more truss, two drawings more
    assert answers[0].out.replace(str(tmp_path / "1"), "") == answers[1].out.replace(str(tmp_path / "2"), "")
