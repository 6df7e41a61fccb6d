"""What cannot be helped, as a user sees it: what fails, by how much, what was refused and why; exit code 1."""

from __future__ import annotations

import json
import re
import shutil
from pathlib import Path

import pytest
from command_line import PACKAGE, copy_of, detailgen_run

BESIDE_THE_HEEL = "{kind: break, member: bottom chord, at: 20 in, length: 4 in, photo: G9}"
"""Both plies, so near to the heel that neither a splice nor a piece finds room."""


def test_a_truss_that_nothing_helps(tmp_path: Path) -> None:
    changes = ("    damage:\n", f"    damage:\n      - {BESIDE_THE_HEEL}\n")
    project = copy_of("malthouse", tmp_path / "malthouse", changes)
    answer = detailgen_run("package", project, "--out", tmp_path / "out")
    assert answer.code == 1, answer.err
    said = " ".join(answer.out.split())
    assert "NO SAFE LOAD PATH as found" in said
    assert re.search(r"Refused, splice G5-splice-1: no layout fits: [\d,]+ tried", said)
    assert "Refused, replacement G5-" in said
    assert "NO SAFE LOAD PATH as repaired: with what was refused the truss cannot stand: " in said
    manifest = json.loads((tmp_path / "out" / "Thornby-Malthouse" / "package.json").read_text(encoding="utf-8"))
    assert manifest["result"]["G5"]["repairs"] == {}
    assert len(manifest["result"]["G5"]["refusals"]) >= 2


@pytest.fixture
def without_help_for_webs(tmp_path: Path) -> dict[str, str]:
    """The tool without the folders of the two remedies that help a slender web; nothing else is touched."""
    home = tmp_path / "tool"
    shutil.copytree(PACKAGE, home / "detailgen", ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copytree(PACKAGE.parent / "templates_src", home / "templates_src")
    for folder in ("sister", "brace"):
        shutil.rmtree(home / "detailgen" / "remedies" / folder)
    return {"PYTHONPATH": str(home)}


def test_without_a_remedy_the_tool_says_what_it_cannot_solve(tmp_path: Path, without_help_for_webs: dict[str, str]) -> None:
    project = copy_of("boathouse", tmp_path / "boathouse")
    answer = detailgen_run("package", project, "--out", tmp_path / "out", cwd=tmp_path, **without_help_for_webs)
    assert answer.code == 1, answer.err
    said = " ".join(answer.out.split())
    assert "no remedy asks for web U3-L3 at 1.49 (compression and bending); web L3-U4 at 1.49 (compression and bending)." in said
    installed = re.search(r"Installed: ([^.]*)\.", said)
    assert installed is not None
    assert "web sister" not in installed[1]
    assert "brace" not in installed[1]
    assert "bottom-chord splice" in installed[1]
    assert "As repaired (as found 1.49): largest demand/capacity 1.49, web U3-L3, compression and bending also over: web L3-U4 1.49" in said
