"""`new` and `assess` leave exactly what they promise, and their exit codes say what came of it."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest
import yaml
from command_line import SAMPLES, copy_of, detailgen_run, files_in, only_project


def promised(*marks: str) -> set[str]:
    """The files of an assessment, as README.md lists them."""
    tables = {"assessment.csv", "analysis/forces.csv", "analysis/envelope.csv", "analysis/truss_model.json", "analysis/truss_model.schema.json"}
    tables |= {"drawings/safety.svg", "drawings/safety.dxf"}
    return tables | {f"drawings/truss_{mark}.{kind}" for mark in marks for kind in ("svg", "dxf")}


def test_a_new_project_can_be_assessed_as_it_is(tmp_path: Path) -> None:
    made = detailgen_run("new", tmp_path / "job")
    assert made.code == 0, made.err
    assert set(files_in(tmp_path / "job")) == {"project.yaml", "project.schema.json"}
    assessed = detailgen_run("assess", tmp_path / "job", "--out", tmp_path / "out")
    assert assessed.code == 1, assessed.err
    assert assessed.err == ""
    assert "does not pass as found" in assessed.out
    assert set(files_in(only_project(tmp_path / "out"))) == promised("T1", "T2")


def test_new_overwrites_nothing(tmp_path: Path) -> None:
    (tmp_path / "project.yaml").write_text("mine", encoding="utf-8")
    answer = detailgen_run("new", tmp_path)
    assert answer.code == 2
    assert "exists already" in answer.err
    assert files_in(tmp_path) == {"project.yaml": b"mine"}


def test_the_schema_accepts_the_starter_and_refuses_a_misspelt_key(tmp_path: Path) -> None:
    detailgen_run("new", tmp_path)
    schema = json.loads((tmp_path / "project.schema.json").read_text(encoding="utf-8"))
    # An editor reads 1.0 as a number and `no` as a truth value, so the plain loader is the right one here.
    project = yaml.safe_load((tmp_path / "project.yaml").read_text(encoding="utf-8").replace("date: 2026-05-04", "date: '2026-05-04'"))
    jsonschema.validate(project, schema)
    project["loads"]["roof deat"] = "12 psf"
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(project, schema)


@pytest.mark.parametrize(("sample", "marks"), [("printworks", ("T2", "T3", "T5", "T6")), ("boathouse", ("C",))])
def test_samples_fail_as_found_and_leave_the_promised_files(sample: str, marks: tuple[str, ...], tmp_path: Path) -> None:
    answer = detailgen_run("assess", SAMPLES / sample, "--out", tmp_path / "out", cwd=tmp_path)
    assert answer.code == 1, answer.err
    folder = only_project(tmp_path / "out")
    written = files_in(folder)
    assert set(written) == promised(*marks)
    assert all(len(content) > 500 for content in written.values())
    assert f"({len(written)} files)" in answer.out
    for line in ("does not pass as found", "What fails and why:", "Snow that it may carry as found:", "Not for construction"):
        assert line in answer.out
    assert set(files_in(tmp_path)) == {str(Path("out") / folder.name / name) for name in written}  # nothing beside it


def test_a_sound_truss_ends_with_zero(tmp_path: Path) -> None:
    """The boathouse under half of its snow: its webs are then strong enough."""
    project = copy_of("boathouse", tmp_path / "job", ("ground: 35 psf", "ground: 18 psf"))
    answer = detailgen_run("assess", project, "--out", tmp_path / "out")
    assert answer.code == 0, answer.out
    assert "passes as found" in answer.out
    assert "What fails and why" not in answer.out
    svg = (only_project(tmp_path / "out") / "drawings" / "truss_C.svg").read_text(encoding="utf-8")
    assert "every check passes as found" in svg


def test_what_cannot_be_checked_is_not_called_a_failure_and_not_a_pass(tmp_path: Path) -> None:
    text = (SAMPLES / "boathouse" / "project.yaml").read_text(encoding="utf-8")
    bearings = text[text.index("    end bearings:") : text.index("    supports:")]
    project = copy_of("boathouse", tmp_path / "job", ("ground: 35 psf", "ground: 18 psf"), (bearings, ""))
    answer = detailgen_run("assess", project, "--out", tmp_path / "out")
    assert answer.code == 1
    assert "cannot be checked in full" in answer.out
    assert "does not pass" not in answer.out
    table = (only_project(tmp_path / "out") / "assessment.csv").read_text(encoding="utf-8")
    assert "no connection was surveyed here" in table


def test_help_names_every_command_and_exit_codes_hold(tmp_path: Path) -> None:
    answer = detailgen_run("--help", cwd=tmp_path)
    assert answer.code == 0
    assert {"new", "assess"} <= set(answer.out.split())
    assert detailgen_run("no-such-command", cwd=tmp_path).code == 2
    assert files_in(tmp_path) == {}
