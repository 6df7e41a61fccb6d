"""What a practice sees of the standards: the list, one table, one clause; and its own readings, which turn PRELIMINARY off."""

from __future__ import annotations

import shutil
from collections import Counter
from pathlib import Path

import pytest
from click.testing import CliRunner

from detailgen import cli, pipeline, telling
from detailgen.core.clause import Calculation, Cite, TableStatus
from detailgen.core.errors import InputError, NotCovered
from detailgen.standards import catalogue

SAMPLE = Path(cli.__file__).parent / "samples" / "boathouse"


def run(*words):
    return CliRunner().invoke(cli.main, list(words))


def reading(key, name, sha256=""):
    folder = catalogue.HERE / key / "tables"
    digest = sha256 or catalogue.read_table(folder, name).sha256
    return f"  - {{standard: {key}, table: {name}, sha256: {digest}, name: A. Reader, date: 2026-06-01}}\n"


def every_table():
    return [(key, name) for key in catalogue.documents() for name in catalogue.table_names(key)]


@pytest.fixture
def job(tmp_path):
    return Path(shutil.copytree(SAMPLE, tmp_path / "job"))


def assessed(job):
    project = pipeline.read_project(job)
    return project, [r for truss in project.trusses for _, r in pipeline.assess_one(project, truss).as_found.results()]


def test_without_readings_no_result_is_read_and_with_all_of_them_every_result_is(job):
    _, before = assessed(job)
    assert {r.table_status for r in before} <= {TableStatus.FROM_MEMORY, TableStatus.PRINT, TableStatus.NONE}
    assert TableStatus.FROM_MEMORY in {r.table_status for r in before}
    (job / "tables_read.yaml").write_text("tables_read:\n" + "".join(reading(*t) for t in every_table()), encoding="utf-8")
    project, after = assessed(job)
    unread = Counter((r.check, r.table_status.words) for r in after if r.table_status not in (TableStatus.READ, TableStatus.NONE))
    assert not unread
    assert not any("lapsed" in a for a in project.assumptions)
    same = ("where", "check", "demand", "capacity", "ratio", "state", "combination")
    assert [[str(getattr(r, n)) for n in same] for r in before] == [[str(getattr(r, n)) for n in same] for r in after]


def test_one_reading_counts_for_its_table_alone(job):
    (job / "tables_read.yaml").write_text("tables_read:\n" + reading("nds_2018", "load_duration"), encoding="utf-8")
    project, results = assessed(job)
    assert project.tables_read == {("NDS 2018", "load_duration")}
    steps = [s for r in results for s in r.steps if s.cite.table]
    assert {s.cite.status for s in steps if s.cite.table == "load_duration"} == {TableStatus.READ}
    assert TableStatus.READ not in {s.cite.status for s in steps if s.cite.table != "load_duration"}
    assert TableStatus.FROM_MEMORY in {r.table_status for r in results}


def test_a_reading_of_another_state_of_the_table_has_lapsed_and_is_told(job):
    (job / "tables_read.yaml").write_text("tables_read:\n" + reading("nds_2018", "load_duration", "0" * 64), encoding="utf-8")
    project = pipeline.read_project(job)
    assert project.tables_read == frozenset()
    assert any("load_duration by A. Reader on 2026-06-01 has lapsed" in a for a in project.assumptions)
    assert "has lapsed" in run("standards", "--project", str(job)).output


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("tables_read: yes\n", "no list"),
        ("tables_read:\n  - {standard: nds_2018, table: load_duration, sha256: a, name: b}\n", "date"),
        ("tables_read:\n  - {standard: nds_2018, table: no_such, sha256: a, name: b, date: 2026-01-01}\n", "no_such"),
        ("tables_read:\n  - {standard: other, table: load_duration, sha256: a, name: b, date: 2026-01-01}\n", "other"),
    ],
)
def test_a_fault_in_the_readings_is_bad_input(job, text, named):
    (job / "tables_read.yaml").write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=named):
        pipeline.read_project(job)
    answer = run("standards", "--project", str(job))
    assert answer.exit_code == 2
    assert "tables_read.yaml" in answer.output


def test_a_value_of_two_tables_is_read_only_when_both_are():
    both = Cite("D", "1", "a", TableStatus.PRINT).also(Cite("D", "1", "b", TableStatus.FROM_MEMORY))
    assert both.status is TableStatus.FROM_MEMORY
    assert both.status_by(frozenset({("D", "a")})) is TableStatus.FROM_MEMORY
    assert both.status_by(frozenset({("D", "a"), ("D", "b")})) is TableStatus.READ
    assert both.status_by(frozenset({("E", "a"), ("E", "b")})) is TableStatus.FROM_MEMORY


def test_a_value_from_another_sheet_goes_by_that_sheet():
    inner, outer = Calculation(), Calculation()
    inner.given("x", 1.0, "-", Cite("D", "1", "a", TableStatus.FROM_MEMORY))
    outer.given("y", 2.0, "-", Cite("D", "2", "", inner.status), inner)
    assert outer.status is TableStatus.FROM_MEMORY
    assert outer.by_readings(frozenset()).status is TableStatus.FROM_MEMORY
    assert outer.by_readings(frozenset({("D", "a")})).status is TableStatus.READ


def test_the_list_names_every_table_with_its_status():
    answer = run("standards")
    assert answer.exit_code == 0
    for key, name in every_table():
        assert any(line.split()[:1] == [name] for line in answer.output.splitlines()), (key, name)
    assert "from memory" in answer.output
    assert "PRELIMINARY" in answer.output


def test_one_table_is_printed_whole_with_units_and_the_entry_for_its_reading():
    answer = run("standards", "--table", "wet_service")
    lines = answer.output.splitlines()
    table = catalogue.table("wet_service")[1]
    for row in table:
        assert any(line.startswith(str(row["size_class"])) and f"{row['Fc']:g}" in line.split() for line in lines)
    assert table.sha256 in answer.output
    assert "psi" in answer.output


@pytest.mark.parametrize("name", ["wet_servise", "nds_2018/nothing", "asce7_16/wet_service"])
def test_an_unknown_table_is_told_with_near_names(name):
    answer = run("standards", "--table", name)
    assert answer.exit_code == 2
    assert "there is no table" in answer.output
    if name == "wet_servise":
        assert "wet_service" in answer.output


def test_a_clause_is_explained_from_its_code():
    answer = run("explain", "C_P")
    pieces = ("Column stability factor", "3.7.1.5", "a = (1 + r) / (2 × c)", "a - sqrt(a^2 - r / c)", "F_c_star  psi", "range: c must", "coverage")
    for piece in pieces:
        assert piece in answer.output, piece


BY_NUMBER = [("11.3.6", "C_g:"), ("3.9-3", "compression_and_bending:"), ("Appendix E", "Z_RT_row:"), ("k_theta", "K_theta:")]


@pytest.mark.parametrize(("asked", "named"), BY_NUMBER)
def test_a_clause_is_found_by_number_or_symbol(asked, named):
    assert named in run("explain", asked).output


def test_a_number_finds_its_own_parts_only():
    names = {c.name for c in catalogue.explain("3.7.1", "nds_2018").clauses}
    assert "C_P" in names
    assert "f_t" not in names
    assert not catalogue._under("3.9-11", "3.9-1")
    assert catalogue._under("12.5.1A", "12.5.1")


def test_what_is_not_done_is_said_where_no_code_answers():
    lines = telling.clause_lines("2.3.4", "nds_2018")
    assert lines
    assert all("not done" in line for line in lines if line.lstrip().startswith("coverage"))


def test_a_clause_that_nobody_knows_is_told_with_near_names():
    with pytest.raises(NotCovered, match="near it: C_g"):
        catalogue.explain("Cg")
    assert run("explain", "Cg").exit_code == 2
    assert run("explain", "C_g", "--standard", "nothing").exit_code == 2


@pytest.mark.parametrize("key", catalogue.documents())
def test_every_clause_in_the_code_has_its_line_of_coverage(key):
    of_a_document = [c for c in catalogue.clauses(key) if not c.text.source.startswith(("survey", "project", "mechanics", "practice"))]
    missing = [(c.name, c.text.source) for c in of_a_document if not catalogue.covering(c)]
    assert not missing
