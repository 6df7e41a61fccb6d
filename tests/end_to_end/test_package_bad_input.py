"""What cannot be packaged: folders that cannot be written, templates that lack something, repairs that cannot be, several projects."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from command_line import PACKAGE, ROOT, Answer, detailgen_run, environment, files_in
from package_runs import DEMO, edit, one_truss, one_truss_made, package, sheet_of, words_of

HINGE = "behaviour: hinge, bolts: {diameter: 3/4 in, at: [[7 in, 0 in]]}"
HINGES = "".join(
    f"      - {{name: H{x}{ply}, chord: bottom chord, ply: {ply}, at: {x} ft, {HINGE}}}\n" for x in (36, 37.5, 39) for ply in ("near", "far")
)  # three in one panel: the middle one hangs on nothing
SUPPORTS, DAMAGE = "    supports: {left", "    damage:\n      - {kind: break, member: bottom chord, ply: near"


def project_and_package(tmp_path: Path) -> tuple[Path, Path]:
    made, project = one_truss_made()
    shutil.copytree(project, tmp_path / "job")
    shutil.copytree(made.folder.parent, tmp_path / "out")
    return tmp_path / "job", tmp_path / "out"


def test_an_output_folder_that_is_a_file(tmp_path: Path) -> None:
    project = one_truss(tmp_path / "job")
    (tmp_path / "out").write_text("a file", encoding="utf-8")
    answer = detailgen_run("package", project, "--out", tmp_path / "out")
    assert (answer.code, answer.out) == (2, "")
    assert f"{tmp_path / 'out'}: cannot be written" in answer.err
    assert not (project / "marks.json").exists()
    assert (tmp_path / "out").read_text(encoding="utf-8") == "a file"


def test_a_package_folder_that_is_a_file(tmp_path: Path) -> None:
    """Something of the user's stands where the package would go: it is told, or kept, but nothing is half-written."""
    project = one_truss(tmp_path / "job")
    (tmp_path / "out" / "deeper").mkdir(parents=True)
    (tmp_path / "out" / "deeper" / "file").write_text("a file", encoding="utf-8")
    answer = detailgen_run("demo", "--out", tmp_path / "out" / "deeper" / "file" / "out")
    assert (answer.code, answer.out) == (2, "")
    assert "cannot be written" in answer.err
    assert sorted(p.name for p in project.iterdir()) == ["forces_T5.csv", "project.yaml"]


def test_a_disk_that_is_full_leaves_the_old_package(tmp_path: Path) -> None:
    """No file may grow over 200 kB: the tables do."""
    project, out = project_and_package(tmp_path)
    before = files_in(out), files_in(project)
    command = f"ulimit -f 200; trap '' XFSZ; exec {sys.executable} -m detailgen package {project} --out {out}"
    done = subprocess.run(["bash", "-c", command], env=environment(), capture_output=True, text=True, check=False)
    assert "Traceback" not in done.stderr
    assert (done.returncode, done.stdout) == (2, "")
    assert "cannot be written" in done.stderr
    assert (files_in(out), files_in(project)) == before


def test_a_project_folder_that_takes_no_marks(tmp_path: Path) -> None:
    """As where it is read-only. (A folder stands in the way: this holds for the superuser as well.)"""
    project = one_truss(tmp_path / "job")
    (project / ".marks.json").mkdir()
    answer = detailgen_run("package", project, "--out", tmp_path / "out")
    assert (answer.code, answer.out) == (2, "")
    assert f"{project}: the marks of the parts cannot be kept here" in answer.err
    assert list((tmp_path / "out").iterdir()) == []


def test_marks_that_are_no_marks(tmp_path: Path) -> None:
    for k, text in enumerate(("[1, 2", '["PL-1"]', '{"a": 1}', '{"a": "PL"}')):
        project = one_truss(tmp_path / f"job {k}")
        (project / "marks.json").write_text(text, encoding="utf-8")
        answer = detailgen_run("package", project, "--out", tmp_path / "out")
        assert answer.code == 2
        assert f"{project / 'marks.json'}: found a damaged file" in answer.err
        assert (project / "marks.json").read_text(encoding="utf-8") == text
    assert not (tmp_path / "out").exists()


def test_edits_that_cannot_be_kept_stay_where_they_are(tmp_path: Path) -> None:
    project, out = project_and_package(tmp_path)
    (project / "edited").write_text("a file", encoding="utf-8")
    sheet = sheet_of(out / DEMO)
    sheet.write_bytes(sheet.read_bytes() + b"\n")
    before = files_in(out)
    answer = package(project, out).answer
    assert (answer.code, answer.out) == (2, "")
    assert f"{project / 'edited'}: files edited by hand" in answer.err
    assert files_in(out) == before


# Templates of a firm: a copy of the tool with one of them changed.
@pytest.fixture(scope="module")
def copy_of_the_tool(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("tool")
    shutil.copytree(PACKAGE, place / "detailgen", ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copytree(ROOT / "templates_src", place / "templates_src")
    return place


def with_template(tool: Path, name: str, text: str | None, project: Path, out: Path) -> Answer:
    """A run of the copy with one template changed, or taken away; it is as before afterwards."""
    file = tool / "templates_src" / name
    whole = file.read_text(encoding="utf-8")
    try:
        if text is None:
            file.unlink()
        else:
            assert text != whole
            file.write_text(text, encoding="utf-8")
        return detailgen_run("package", project, "--out", out, cwd=tool, PYTHONPATH=str(tool))
    finally:
        file.write_text(whole, encoding="utf-8")


def without_line(name: str, part: str) -> str:
    lines = (ROOT / "templates_src" / name).read_text(encoding="utf-8").splitlines(keepends=True)
    assert any(part in line for line in lines)
    return "".join(line for line in lines if part not in line)


LACKING = [
    pytest.param("report/calculations.typ", "#let project = content.project", "unknown variable: project", id="calculations"),
    pytest.param("notes/status.txt", "PROPOSED:", "PROPOSED", id="status"),
    pytest.param("notes/cautions.txt", None, "cautions.txt", id="no cautions"),
    pytest.param("notes/detail_sheet.txt", None, "detail_sheet.txt", id="no notes"),
]


@pytest.mark.parametrize(("name", "line", "told"), LACKING)
def test_a_template_that_lacks_something_is_named(name: str, line: str | None, told: str, copy_of_the_tool: Path, tmp_path: Path) -> None:
    project = one_truss(tmp_path / "job")
    text = None if line is None else without_line(name, line)
    answer = with_template(copy_of_the_tool, name, text, project, tmp_path / "out")
    assert (answer.code, answer.out) == (2, "")
    assert told in answer.err
    assert Path(name).name in answer.err
    assert list((tmp_path / "out").glob("*")) == []


def test_cautions_that_were_emptied_are_missed(copy_of_the_tool: Path, tmp_path: Path) -> None:
    project = one_truss(tmp_path / "job")
    answer = with_template(copy_of_the_tool, "notes/cautions.txt", "\n", project, tmp_path / "out")
    assert answer.code == 2
    assert "cautions.txt" in answer.err


# A splice that is forced where it cannot be: refused with numbers, the rest is written.
NO_PIECE = "item: forbid repair, value: replacement, reason: a test"  # which would stand in for the splice
REFUSED = [
    ("an arrangement for two broken plies", DAMAGE,
     f"    overrides: [{{item: splice arrangement, value: 'outer plates, open gap filled', reason: a test}}, {{{NO_PIECE}}}]\n",
     ["Refused, splice T2-splice-1", "1 of 2 plies", "plates on both faces of each ply"]),
    ("a bolt over an inch", DAMAGE, f"    overrides: [{{item: splice bolt diameter, value: 1-1/8 in, reason: a test}}, {{{NO_PIECE}}}]\n",
     ["Refused, splice T2-splice-1", "a bolt over 1 in. is not covered"]),
    ("no room between straps", SUPPORTS,
     "    no drill zones: [{kind: strap, member: bottom chord, along: 19'-6\", length: 4 in, depth: 9-1/2 in}]\n",
     ["Refused, splice T2-splice-1", "no layout fits", "room on the chord", "strap", "%"]),
]  # fmt: skip


@pytest.mark.parametrize(("before", "text", "told"), [r[1:] for r in REFUSED], ids=[r[0] for r in REFUSED])
def test_a_splice_that_cannot_be_is_refused_with_numbers(before: str, text: str, told: list[str], tmp_path: Path) -> None:
    alone = () if NO_PIECE in text else ((DAMAGE, f"    overrides: [{{{NO_PIECE}}}]\n{DAMAGE}"),)
    project = one_truss(tmp_path / "job", (before, text + before), *alone)
    made = package(project, tmp_path / "out")
    assert made.answer.code == 1, made.answer.err
    said = words_of(made.answer)
    assert [t for t in told if t not in said] == [], said
    manifest = made.manifest
    (reason,) = manifest["result"]["T2"]["refusals"]
    assert reason in said
    assert any(c.isdigit() for c in reason)
    assert manifest["result"]["T2"]["as_repaired"] == manifest["result"]["T2"]["as_found"]
    assert "no repair was possible" in manifest["not_applicable"]["cut/"]
    assert not (made.folder / "cut").exists()


def renamed(project: Path, name: str) -> Path:
    edit(project, ("name: Harrow Lane Printworks", f"name: {name}"))
    return project


def test_two_projects_at_once(tmp_path: Path) -> None:
    one, two = renamed(one_truss(tmp_path / "one"), "First Hall"), renamed(one_truss(tmp_path / "two"), "Second Hall")
    answer = detailgen_run("package", one, two, "--out", tmp_path / "out", "--json")
    assert (answer.code, answer.err) == (0, "")
    told = json.loads(answer.out)
    assert [t["project"] for t in told] == ["First Hall", "Second Hall"]
    for t, name in zip(told, ("First-Hall", "Second-Hall"), strict=True):
        assert t["folder"] == str(tmp_path / "out" / name)
        assert t["files"] == sorted(files_in(tmp_path / "out" / name))
    assert sorted(p.name for p in (tmp_path / "out").iterdir()) == ["First-Hall", "Second-Hall"]
    assert (one / "marks.json").read_bytes() == (two / "marks.json").read_bytes()


def test_two_projects_of_one_name_do_not_replace_each_other(tmp_path: Path) -> None:
    one, two = renamed(one_truss(tmp_path / "one"), "First Hall"), renamed(one_truss(tmp_path / "two"), "First, Hall")
    answer = detailgen_run("package", one, two, "--out", tmp_path / "out")
    assert answer.code == 2
    assert f"{two}" in answer.err
    assert "would replace" in answer.err
    assert not (tmp_path / "out").exists()


def test_a_fault_in_the_second_project_is_found_before_the_first_is_written(tmp_path: Path) -> None:
    one, two = renamed(one_truss(tmp_path / "one"), "First Hall"), one_truss(tmp_path / "two", ("span: 56'-0\"", "span: 672"))
    answer = detailgen_run("package", one, two, "--out", tmp_path / "out")
    assert answer.code == 2
    assert f"{two / 'project.yaml'}:" in answer.err
    assert "types.A.span" in answer.err
    assert not (tmp_path / "out").exists()


def test_a_truss_that_cannot_stand_is_named_with_its_line(tmp_path: Path) -> None:
    text = (one_truss(tmp_path / "whole") / "project.yaml").read_text(encoding="utf-8")
    splices = text[text.index("    splices:\n") : text.index("    supports:")]
    project = one_truss(tmp_path / "job", (splices, "    splices:\n" + HINGES))
    answer = detailgen_run("package", project, "--out", tmp_path / "out")
    assert (answer.code, answer.out) == (2, "")
    line = 1 + (project / "project.yaml").read_text(encoding="utf-8").splitlines().index("  - mark: T2")
    assert f"{project / 'project.yaml'}:{line}: " in answer.err
    assert not (tmp_path / "out").exists()
