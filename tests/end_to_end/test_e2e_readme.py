"""README.md tells the truth: its commands are those of the gate, its excerpts come from the tool and the samples as they are."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from command_line import ROOT, SAMPLES, detailgen_run, only_project

README = ROOT / "README.md"


def block(mark: str) -> list[str]:
    """The lines of the fenced block after an HTML comment."""
    found = re.search(rf"^<!-- {mark} -->\n```\w+\n(.*?)^```$", README.read_text(encoding="utf-8"), re.MULTILINE | re.DOTALL)
    assert found, f"README.md has no block after <!-- {mark} -->"
    return found[1].splitlines()


def test_the_printed_excerpt_is_what_the_tool_prints(tmp_path: Path) -> None:
    said = detailgen_run("assess", SAMPLES / "boathouse", "--out", tmp_path / "out").out.splitlines()
    excerpt = block("said")
    places = [said.index(line) for line in excerpt if line in said]
    assert [line for line in excerpt if line not in said] == []
    assert places == sorted(places)


def test_the_survey_excerpt_is_the_sample() -> None:
    sample = (SAMPLES / "boathouse" / "project.yaml").read_text(encoding="utf-8").splitlines()
    excerpt = [line for line in block("survey") if line.strip() not in ("", "...")]
    assert [line for line in excerpt if line not in sample] == []
    places = [sample.index(line) for line in excerpt]
    assert places == sorted(places)


@pytest.mark.parametrize("mark", ["run", "test"])
def test_a_command_is_one_line_with_locked_versions(mark: str) -> None:
    (line,) = block(mark)
    assert line.startswith("python3 -m venv .venv && ")
    assert "-c requirements.lock" in line


def test_every_dependency_is_locked() -> None:
    import tomllib

    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    wanted = [*project["project"]["dependencies"], *project["project"]["optional-dependencies"]["test"], *project["build-system"]["requires"]]
    locked = {
        line.partition("==")[0].lower().replace("_", "-")
        for line in (ROOT / "requirements.lock").read_text(encoding="utf-8").splitlines()
        if re.fullmatch(r"[\w.-]+==[\w.]+", line)
    }
    assert [name for name in (re.match(r"[\w-]+", w)[0].lower() for w in wanted) if name not in locked] == []


def test_the_files_that_readme_lists_are_those_that_stand_there(tmp_path: Path) -> None:
    detailgen_run("assess", SAMPLES / "tannery", "--quiet", "--out", tmp_path)  # a truss whose heels were surveyed
    found = (str(p.relative_to(only_project(tmp_path))) for p in tmp_path.rglob("*") if p.is_file())
    there = {re.sub(r"\.dxf$", ".svg", re.sub(r"truss_\w\d+\.", "truss_<mark>.", name)) for name in found}  # a drawing is one row, in both forms
    section = README.read_text(encoding="utf-8").split("## What it leaves")[1].split("\n## ")[0]
    listed = set(re.findall(r"^\| `([\w/.<>]+)`", section, re.MULTILINE))
    assert listed == there
