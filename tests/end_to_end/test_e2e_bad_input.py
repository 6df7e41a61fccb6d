"""Bad input: a sentence with file and line, exit code 2, nothing written, and never a traceback."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from command_line import SAMPLES, Answer, copy_of, detailgen_run, files_in

BOMB = "bomb:\n  a: &a [x, x, x, x, x, x, x, x, x]\n  b: &b [*a, *a, *a, *a, *a, *a, *a, *a, *a]\n  c: &c [*b, *b, *b, *b, *b, *b, *b, *b, *b]\n"
HINGE = "behaviour: hinge, bolts: {diameter: 3/4 in, at: [[7 in, 0 in]]}"
HINGES = "".join(
    f"      - {{name: H{x}{ply}, chord: bottom chord, ply: {ply}, at: {x} ft, {HINGE}}}\n" for x in (17, 18.5, 20) for ply in ("near", "far")
)  # three hinges in one panel of either sample: the middle one hangs on nothing

FAULTS = [
    ("unknown grade", ("grade: No.1", "grade: No.7"), "types.B.wood.grade", "No.7"),
    ("negative depth", ("depth: 11-1/2 in", "depth: -11-1/2 in"), "types.B.bottom chord.plies.two.depth", "-11-1/2 in"),
    ("web to a missing joint", ("[U1-L1, L1-U2", "[U1-L9, L1-U2"), "types.B.webs[0].members", "L9"),
    ("missing load", ("  roof live: 20 psf\n", ""), "loads.roof live", "nothing"),
    ("unit mix-up", ("roof dead: 11 psf", "roof dead: 11 ft"), "loads.roof dead", "unit of length"),
    ("bare number", ("span: 48'-0\"", "span: 576"), "types.B.span", "bare number"),
    ("alias", ("roof live: 20 psf", "roof live: &live 20 psf\n  ceiling dead: *live"), "loads.ceiling dead", "*live"),
    ("bomb", ("standards:", BOMB + "standards:"), "bomb", "*a"),
    ("two rollers", ("left: pin", "left: roller"), "types.B.supports", "two rollers"),
    ("two pins without a word", ("right: roller", "right: pin"), "types.B.supports", "two pins"),
    ("misspelt key", ("tributary width", "tributary with"), "tributary with", "tributary width"),
    ("a mechanism", ("    supports:", "    splices:\n" + HINGES + "    supports:"), "trusses.C", "cannot stand"),
]


def refused(answer: Answer, out: Path) -> str:
    """What every refusal has in common. Returns what was said."""
    assert answer.code == 2, answer.out
    assert answer.out == ""
    assert not out.exists(), "something was written"
    assert "nothing was written" in answer.err
    return answer.err


@pytest.mark.parametrize(("change", "field", "found"), [f[1:] for f in FAULTS], ids=[f[0] for f in FAULTS])
def test_a_fault_is_named_with_its_line(change: tuple[str, str], field: str, found: str, tmp_path: Path) -> None:
    project = copy_of("boathouse", tmp_path / "job", change)
    said = refused(detailgen_run("assess", project, "--out", tmp_path / "out"), tmp_path / "out")
    lines = [line for line in said.splitlines() if field in line and found in line]
    assert lines, said
    match = re.match(rf"{re.escape(str(project / 'project.yaml'))}:(\d+): ", lines[0])
    assert match, lines[0]
    # The line is where a person would look: the changed place, or the entry that owns it.
    text = (project / "project.yaml").read_text(encoding="utf-8").splitlines()
    assert 1 <= int(match[1]) <= len(text)
    assert "allowed: " in lines[0]


def test_the_line_is_the_line_of_the_fault(tmp_path: Path) -> None:
    project = copy_of("boathouse", tmp_path / "job", ("depth: 11-1/2 in", "depth: -11-1/2 in"), ("roof live: 20 psf", "roof live: 20"))
    said = refused(detailgen_run("assess", project, "--out", tmp_path / "out"), tmp_path / "out")
    text = (project / "project.yaml").read_text(encoding="utf-8").splitlines()
    named = [int(n) for n in re.findall(r"project\.yaml:(\d+):", said)]
    assert named == [k for k, line in enumerate(text, 1) if "-11-1/2 in" in line or line.endswith("roof live: 20")]  # both faults at once, in order
    assert "2 faults" in said


def test_several_processes_refuse_a_mechanism_in_the_same_words(tmp_path: Path) -> None:
    text = (SAMPLES / "printworks" / "project.yaml").read_text(encoding="utf-8")
    splices = text[text.index("    splices:\n") : text.index("    supports:")]
    project = copy_of("printworks", tmp_path / "job", (splices, "    splices:\n" + HINGES))
    one, two = (detailgen_run("assess", project, "--out", tmp_path / "out", "--jobs", jobs) for jobs in ("1", "2"))
    assert "cannot stand" in refused(one, tmp_path / "out")
    assert one == two


@pytest.mark.parametrize(
    ("content", "found"),
    [(b"", "nothing"), (b"\n\n# only a remark\n", "nothing"), (bytes(range(256)) * 8, "not UTF-8"), (b"\x7fELF\x02\x01\x01\x00", "cannot"),
     (b"- a\n- b\n", "no table"), (b"a: [1, 2\nb: }", "cannot be read"), (b"a:\n\tb: 1\n", "tabs")],
    ids=["empty", "remarks", "binary", "program", "list", "brackets", "tabs"],
)  # fmt: skip
def test_files_that_are_no_survey(content: bytes, found: str, tmp_path: Path) -> None:
    (tmp_path / "project.yaml").write_bytes(content)
    said = refused(detailgen_run("assess", tmp_path, "--out", tmp_path / "out"), tmp_path / "out")
    assert str(tmp_path / "project.yaml") in said
    assert found in said


def test_a_folder_that_does_not_exist(tmp_path: Path) -> None:
    said = refused(detailgen_run("assess", tmp_path / "nowhere", "--out", tmp_path / "out"), tmp_path / "out")
    assert str(tmp_path / "nowhere") in said
    assert "no such file" in said


def test_imported_forces_that_do_not_cover_a_member(tmp_path: Path) -> None:
    project = copy_of("printworks", tmp_path / "job")
    table = project / "forces_T5.csv"
    rows = table.read_text(encoding="utf-8").splitlines(keepends=True)
    table.write_text("".join(r for r in rows if ",U3-L4," not in r), encoding="utf-8")
    said = refused(detailgen_run("assess", project, "--out", tmp_path / "out"), tmp_path / "out")
    assert re.search(r"forces_T5\.csv:\d+: .*U3-L4", said)


def test_imported_forces_with_a_word_for_a_number(tmp_path: Path) -> None:
    project = copy_of("printworks", tmp_path / "job")
    table = project / "forces_T5.csv"
    rows = table.read_text(encoding="utf-8").splitlines(keepends=True)
    cells = rows[7].split(",")
    rows[7] = ",".join([*cells[:6], "nan", *cells[7:]])
    table.write_text("".join(rows), encoding="utf-8")
    said = refused(detailgen_run("assess", project, "--out", tmp_path / "out"), tmp_path / "out")
    assert "forces_T5.csv:8:" in said


@pytest.mark.parametrize("blocked", ["out", "out/Pikes-Landing-Boathouse-assessment/deep"])
def test_an_output_folder_that_cannot_be_written(blocked: str, tmp_path: Path) -> None:
    """A file stands where a folder should be: exit code 2, and that file is as it was."""
    place = tmp_path / "out" if blocked == "out" else tmp_path / "file"
    place.write_text("mine", encoding="utf-8")
    out = place if blocked == "out" else place / "out"
    answer = detailgen_run("assess", SAMPLES / "boathouse", "--out", out)
    assert answer.code == 2
    assert answer.out == ""
    assert "cannot be written" in answer.err
    assert str(out) in answer.err
    assert files_in(tmp_path) == {place.name: b"mine"}
