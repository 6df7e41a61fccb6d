"""What programs read: one JSON document and nothing else, silence when asked, progress only where a person watches."""

from __future__ import annotations

import json
import os
import pty
import select
import subprocess
import sys
import time
from pathlib import Path

import pytest
from command_line import SAMPLES, Answer, detailgen_run, environment, files_in


def strict(text: str) -> dict:
    """One JSON document without NaN, Infinity or a key twice; trailing words are an error of json.loads itself."""

    def no_such_number(word: str) -> float:
        raise ValueError(f"{word} is no JSON")

    def each_once(pairs: list[tuple[str, object]]) -> dict[str, object]:
        assert len({k for k, _ in pairs}) == len(pairs)
        return dict(pairs)

    return json.loads(text, parse_constant=no_such_number, object_pairs_hook=each_once)


@pytest.fixture(scope="module")
def machine(tmp_path_factory: pytest.TempPathFactory) -> tuple[Answer, Path]:
    out = tmp_path_factory.mktemp("machine") / "out"
    return detailgen_run("assess", SAMPLES / "printworks", "--out", out, "--json"), out


def test_json_is_one_document_and_nothing_else(machine: tuple[Answer, Path]) -> None:
    answer, _ = machine
    assert answer.err == ""
    assert answer.code == 1
    summary = strict(answer.out)
    assert summary["result"] == "does not pass"
    assert summary["status"] == "PRELIMINARY"
    assert [t["mark"] for t in summary["trusses"]] == ["T2", "T3", "T5", "T6"]


def test_json_names_the_files_that_were_written(machine: tuple[Answer, Path]) -> None:
    answer, out = machine
    summary = strict(answer.out)
    folder = Path(summary["folder"])
    assert folder.parent == out
    assert summary["files"] == sorted(files_in(folder))
    for truss in summary["trusses"]:
        assert set(truss["files"]) <= set(summary["files"])


def test_json_says_what_the_page_says(machine: tuple[Answer, Path], tmp_path: Path) -> None:
    summary = strict(machine[0].out)
    page = detailgen_run("assess", SAMPLES / "printworks", "--out", tmp_path / "out").out
    for truss in summary["trusses"]:
        worst = truss["worst_as_found"]
        assert f"Truss {truss['mark']} (type A, {truss['bay']}): does not pass as found, largest demand/capacity {worst['ratio']:.2f}" in page
        assert f"{100 * truss['snow']['factor']:.0f} % of today's" in page
        assert all(finding["title"] in " ".join(page.split()) for finding in truss["findings"])


def test_the_written_model_is_strict_json(machine: tuple[Answer, Path]) -> None:
    folder = Path(strict(machine[0].out)["folder"])
    strict((folder / "analysis" / "truss_model.json").read_text(encoding="utf-8"))


def test_bad_input_leaves_standard_output_empty_even_with_json(tmp_path: Path) -> None:
    (tmp_path / "project.yaml").write_text("nothing", encoding="utf-8")
    answer = detailgen_run("assess", tmp_path, "--json", "--out", tmp_path / "out")
    assert (answer.code, answer.out) == (2, "")
    assert "project.yaml" in answer.err


def test_quiet_prints_nothing_and_still_writes(tmp_path: Path) -> None:
    answer = detailgen_run("assess", SAMPLES / "boathouse", "--quiet", "--out", tmp_path / "out")
    assert answer == Answer(1, "", "")
    assert files_in(tmp_path / "out")


def on_a_terminal(*words: str | Path) -> str:
    """What the tool shows on standard error where that is a terminal; standard output is a file."""
    keeper, terminal = pty.openpty()
    with subprocess.Popen(
        [sys.executable, "-m", "detailgen", *map(str, words)], env=environment(), stdout=subprocess.DEVNULL, stderr=terminal
    ) as run:
        os.close(terminal)
        seen, until = b"", time.monotonic() + 60
        while time.monotonic() < until:
            if not select.select([keeper], [], [], 0.1)[0]:
                if run.poll() is not None:
                    break
                continue
            try:
                piece = os.read(keeper, 4096)
            except OSError:  # the other end has closed
                break
            if not piece:
                break
            seen += piece
    os.close(keeper)
    return seen.decode()


def test_progress_shows_on_a_terminal_only(tmp_path: Path) -> None:
    assert "truss C ..." in on_a_terminal("assess", SAMPLES / "boathouse", "--out", tmp_path / "out")
    assert on_a_terminal("assess", SAMPLES / "boathouse", "--out", tmp_path / "out", "--json") == ""
    assert detailgen_run("assess", SAMPLES / "boathouse", "--out", tmp_path / "out").err == ""


def test_a_reader_that_goes_away_sees_no_traceback(tmp_path: Path) -> None:
    """`detailgen assess ... | head -1`: the pipe closes early."""
    with subprocess.Popen(
        [sys.executable, "-m", "detailgen", "assess", str(SAMPLES / "boathouse"), "--out", str(tmp_path / "out")],
        env=environment(PYTHONUNBUFFERED="1"), stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    ) as run:  # fmt: skip
        assert run.stdout is not None
        assert run.stderr is not None
        run.stdout.close()
        assert b"Traceback" not in run.stderr.read()
