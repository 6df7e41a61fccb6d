"""A package lives with its project: marks that stay, acceptances that lapse, edits that are kept, changes that go through, kills."""

from __future__ import annotations

import json
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import ezdxf
import pytest
from command_line import detailgen_run, environment, files_in
from package_runs import DEMO, Made, at_once, demo, edit, one_truss, one_truss_made, package, sheet_of, words_of
from test_package_contents import texts_of

from detailgen.standards import catalogue

KEY = "T2-splice-1"


@pytest.fixture(scope="module")
def first() -> tuple[Made, Path]:
    return one_truss_made()


def project_again(first: tuple[Made, Path], tmp_path: Path) -> tuple[Path, Path]:
    """A copy of the first project and of its package, to change."""
    made, project = first
    shutil.copytree(project, tmp_path / "job")
    shutil.copytree(made.folder.parent, tmp_path / "out")
    return tmp_path / "job", tmp_path / "out"


def status_and_hash(made: Made) -> tuple[str, str]:
    repair = made.manifest["result"]["T2"]["repairs"][KEY]
    return repair["status"], repair["hash"]


def marks(made: Made) -> set[str]:
    return {row["mark"] for row in made.rows("schedules/parts.csv")}


def test_the_first_run_keeps_the_marks_beside_the_project(first: tuple[Made, Path]) -> None:
    made, project = first
    assert made.answer.code == 0, made.answer.out[-400:] + made.answer.err
    book = json.loads((project / "marks.json").read_text(encoding="utf-8"))
    assert set(book.values()) == marks(made)
    assert sorted(p.name for p in project.iterdir()) == ["forces_T5.csv", "marks.json", "project.yaml"]  # no leftovers


def test_a_second_run_keeps_the_marks(first: tuple[Made, Path], tmp_path: Path) -> None:
    project, out = project_again(first, tmp_path)
    book = project / "marks.json"
    numbers = json.loads(book.read_text(encoding="utf-8"))
    renamed = {signature: f"{mark.split('-')[0]}-{int(mark.split('-')[1]) + 6}" for signature, mark in numbers.items()}
    book.write_text(json.dumps(renamed), encoding="utf-8")  # as if six others had been numbered before, and freed since
    again = package(project, out)
    assert marks(again) == set(renamed.values())
    assert json.loads(book.read_text(encoding="utf-8")) == renamed
    for name in ("cut", "models"):
        assert any("-7" in p.name or b"-7" in p.read_bytes() for p in (again.folder / name).iterdir())


def accept(project: Path, digest: str, key: str = KEY) -> None:
    (project / "accepted.yaml").write_text(f"accepted:\n  - {{repair: {key}, hash: {digest}, name: A. Reader, date: 2026-06-01}}\n", encoding="utf-8")


def test_acceptance_makes_it_preliminary_and_a_change_lapses_it(first: tuple[Made, Path], tmp_path: Path) -> None:
    project, out = project_again(first, tmp_path)
    status, digest = status_and_hash(first[0])
    assert status == first[0].manifest["status"] == "PROPOSED"
    accept(project, digest)
    taken = package(project, out)
    assert status_and_hash(taken) == ("PRELIMINARY", digest)  # its tables have not been read against print
    assert taken.manifest["status"] == "PRELIMINARY"
    assert taken.answer.code == 0
    assert taken.manifest["notices"] == []
    assert f"Repair {KEY}, PRELIMINARY" in words_of(taken.answer)
    before, after = texts_of(sheet_of(first[0].folder)), texts_of(sheet_of(taken.folder))
    assert "PROPOSED" in before
    assert "PROPOSED" not in after
    assert "rests on a table that has not been read against print" in after
    assert taken.manifest["input_sha256"] != first[0].manifest["input_sha256"]
    # The numbers are those that were accepted.
    assert files_in(taken.folder)["schedules/parts.csv"] == files_in(first[0].folder)["schedules/parts.csv"]

    edit(project, ("ground: 25 psf", "ground: 27.5 psf"))
    lapsed = package(project, out)
    status, other = status_and_hash(lapsed)
    assert status == lapsed.manifest["status"] == "PROPOSED"
    assert other != digest
    (notice,) = lapsed.manifest["notices"]
    assert "T2-splice-1 by A. Reader, 2026-06-01, has lapsed" in notice
    assert other in notice
    assert notice in words_of(lapsed.answer)
    assert "PROPOSED" in texts_of(sheet_of(lapsed.folder))


def test_accepted_and_with_its_tables_read_it_is_issued(first: tuple[Made, Path], tmp_path: Path) -> None:
    project, out = project_again(first, tmp_path)
    accept(project, status_and_hash(first[0])[1])
    every = [(key, table) for key in catalogue.documents() for table in catalogue.tables(key)]
    lines = [f"  - {{standard: {k}, table: {t.name}, sha256: {t.sha256}, name: A. Reader, date: 2026-06-01}}\n" for k, t in every]
    (project / "tables_read.yaml").write_text("tables_read:\n" + "".join(lines), encoding="utf-8")
    made = package(project, out)
    assert status_and_hash(made)[0] == made.manifest["status"] == "ISSUED"
    words = texts_of(sheet_of(made.folder))
    assert "PRELIMINARY" not in words
    assert "not been read against print" not in words


def test_acceptance_of_another_detail_changes_nothing(first: tuple[Made, Path], tmp_path: Path) -> None:
    project, out = project_again(first, tmp_path)
    accept(project, status_and_hash(first[0])[1], key="T3-splice-1")
    again = package(project, out)
    assert status_and_hash(again)[0] == "PROPOSED"
    (notice,) = again.manifest["notices"]
    assert "T3-splice-1 by A. Reader, 2026-06-01, meets no repair of this project: it has T2-splice-1." in notice


FAULTS = [
    ("no list", "accepted: yes\n", ":1", "no list"),
    ("a field is missing", "accepted:\n  - {repair: T2-splice-1, hash: abc, date: 2026-06-01}\n", ":2", "name"),
    ("a word too many", "accepted:\n\n  - {repair: a, hash: b, name: c, date: 2026-06-01, by: d}\n", ":3", "'by'"),
    ("no date", "accepted:\n  - {repair: a, hash: b, name: c, date: next week}\n", ":2", "next week"),
    ("no YAML", "accepted: [1, 2\nb: }", ":", "accepted.yaml"),
]


@pytest.mark.parametrize(("text", "line", "named"), [f[1:] for f in FAULTS], ids=[f[0] for f in FAULTS])
def test_a_fault_in_the_acceptances_is_named_with_its_line(text: str, line: str, named: str, first: tuple[Made, Path], tmp_path: Path) -> None:
    project = one_truss(tmp_path / "job")
    (project / "accepted.yaml").write_text(text, encoding="utf-8")
    answer = detailgen_run("package", project, "--out", tmp_path / "out")
    assert (answer.code, answer.out) == (2, "")
    assert f"{project / 'accepted.yaml'}{line}" in answer.err
    assert named in answer.err
    assert not (tmp_path / "out").exists()
    assert not (project / "marks.json").exists()


CHANGES = [("span: 56'-0\"", "span: 56'-1\""), ("ground: 25 psf", "ground: 27.5 psf"), ("wood: {grade: No.1}", "wood: {grade: Select Structural}")]


def test_a_changed_survey_changes_plate_numbers_and_sheet(first: tuple[Made, Path], tmp_path: Path) -> None:
    """An inch of span, a tenth of snow, another grade of the chord."""
    old, _ = first
    projects = [one_truss(tmp_path / f"job {k}", change) for k, change in enumerate(CHANGES)]
    runs = [(("package", project, "--out", tmp_path / f"out {k}"), None, {}) for k, project in enumerate(projects)]
    answers = at_once(runs[:2]) + at_once(runs[2:])
    for k, answer in enumerate(answers):
        new = Made(answer, tmp_path / f"out {k}" / DEMO)
        # With a tenth more snow the sound ply beside the splice is over: no splice mends that, and the exit code says so.
        assert answer.code == (1 if new.manifest["result"]["T2"]["as_repaired"] > 1.0 else 0), answer.out[-300:] + answer.err
        assert status_and_hash(new)[1] != status_and_hash(old)[1], CHANGES[k]
        ours, theirs = files_in(old.folder), files_in(new.folder)
        drawn = [sheet_of(m.folder).relative_to(m.folder).as_posix() for m in (old, new)]
        assert ours[drawn[0]] != theirs[drawn[1]]
        assert ours["assessment.csv"] != theirs["assessment.csv"]
        assert new.manifest["result"]["T2"]["as_repaired"] != old.manifest["result"]["T2"]["as_repaired"]
        if k:  # an inch of span moves the demand by two parts in a thousand: numbers move, the plate may hold
            plate = {r["mark"]: r for r in new.rows("schedules/parts.csv") if r["kind"] == "plate"}
            assert plate != {r["mark"]: r for r in old.rows("schedules/parts.csv") if r["kind"] == "plate"}, CHANGES[k]


def test_a_layout_that_lets_everything_pass_is_found_where_there_is_one(tmp_path: Path) -> None:
    """At 26.2 psf bolts of 1/2 in. leave enough of the sound ply (0.98); the fewest bolts do not (1.01)."""
    made = package(one_truss(tmp_path / "job", ("ground: 25 psf", "ground: 26.2 psf")), tmp_path / "out")
    assert made.manifest["result"]["T2"]["as_repaired"] <= 1.0


def move_a_hole(sheet: Path) -> bytes:
    drawing = ezdxf.readfile(sheet)
    drawing.modelspace().query("CIRCLE").first.translate(0.25, 0, 0)
    drawing.saveas(sheet)
    return sheet.read_bytes()


def test_an_edited_drawing_is_kept_beside_the_project_and_the_package_is_fresh(first: tuple[Made, Path], tmp_path: Path) -> None:
    project, out = project_again(first, tmp_path)
    folder = out / DEMO
    drawn, cut = move_a_hole(sheet_of(folder)), move_a_hole(next((folder / "cut").iterdir()))
    (folder / "drawings" / "sketch.dxf").write_bytes(drawn + b"\n")  # somebody's own
    again = package(project, out)
    kept = files_in(project / "edited")
    assert sorted(kept.values()) == sorted([drawn, cut, drawn + b"\n"])
    assert all(f"{project / 'edited' / name}" in words_of(again.answer) for name in kept)
    assert words_of(again.answer).count("Edited by hand, kept aside:") == 3
    assert files_in(again.folder) == files_in(first[0].folder)


def test_without_its_manifest_every_drawing_is_kept(first: tuple[Made, Path], tmp_path: Path) -> None:
    """Nobody knows then what was edited."""
    project, out = project_again(first, tmp_path)
    drawn = move_a_hole(sheet_of(out / DEMO))
    (out / DEMO / "package.json").write_text('{"files": [1, 2]}', encoding="utf-8")
    answer = package(project, out, "--json").answer
    assert answer.code == 0
    assert drawn in files_in(project / "edited").values()
    (told,) = json.loads(answer.out)
    assert len(told["edited_and_kept_aside"]) == len(list((out / DEMO).rglob("*.dxf")))


def test_an_edited_drawing_of_the_demo_is_kept_beside_the_output(tmp_path: Path) -> None:
    out = tmp_path / "out"
    shutil.copytree(demo().folder, out / DEMO)
    drawn = move_a_hole(sheet_of(out / DEMO))
    answer = detailgen_run("demo", "--out", out)
    assert answer.code == 0
    assert list(files_in(out / f"{DEMO}-edited").values()) == [drawn]
    assert f"Edited by hand, kept aside: {out / f'{DEMO}-edited'}" in words_of(answer)
    assert files_in(out / DEMO) == files_in(demo().folder)


KILLED_WHILE_WRITING = """
import os, signal, sys
from detailgen import packing
def never(*_):
    os.kill(os.getpid(), signal.SIGKILL)
packing.manifest = never
"""
KILLED_BETWEEN_THE_RENAMES = """
import os, pathlib, signal, sys
whole = pathlib.Path.rename
def half(self, target):
    whole(self, target)
    if pathlib.Path(target).name.startswith(".replaced-"):
        os.kill(os.getpid(), signal.SIGKILL)
pathlib.Path.rename = half
"""
RUN = """
from detailgen.__main__ import main
sys.argv = ["detailgen", *sys.argv[1:]]
main()
"""


def killed(program: str, *words: str | Path) -> None:
    done = subprocess.run([sys.executable, "-c", program + RUN, *map(str, words)], env=environment(), capture_output=True, check=False, timeout=120)
    assert done.returncode == -signal.SIGKILL, done.stderr.decode()


@pytest.mark.parametrize("program", [KILLED_WHILE_WRITING, KILLED_BETWEEN_THE_RENAMES], ids=["while writing", "between the renames"])
def test_a_kill_leaves_the_old_package_and_the_next_run_mends(program: str, first: tuple[Made, Path], tmp_path: Path) -> None:
    project, out = project_again(first, tmp_path)
    old = files_in(out / DEMO)
    edit(project, ("wood: {grade: No.1}", "wood: {grade: Select Structural}"))
    killed(program, "package", project, "--out", out)
    assert [p for p in out.iterdir() if files_in(p) == old]  # under its name, or set aside
    if program == KILLED_WHILE_WRITING:
        assert files_in(out / DEMO) == old
    mended = package(project, out)
    assert mended.answer.code == 0
    assert [p.name for p in out.iterdir()] == [DEMO]
    assert files_in(mended.folder)["assessment.csv"] != old["assessment.csv"]
    assert not (project / "edited").exists()


def test_a_killed_assessment_is_not_taken_for_the_package(first: tuple[Made, Path], tmp_path: Path) -> None:
    _, project = first
    out = tmp_path / "out"
    assert detailgen_run("assess", project, "--out", out).code == 1
    old = files_in(out / f"{DEMO}-assessment")
    killed(KILLED_BETWEEN_THE_RENAMES, "assess", project, "--out", out)
    package(project, out)
    assert [p for p in out.iterdir() if files_in(p) == old]  # set aside still, under its own name
    assert detailgen_run("assess", project, "--out", out).code == 1
    assert sorted(p.name for p in out.iterdir()) == [DEMO, f"{DEMO}-assessment"]
    assert files_in(out / f"{DEMO}-assessment") == old
