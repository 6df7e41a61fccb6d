"""The access: what a survey says of it, what it may leave out, and its faults."""

from __future__ import annotations

import pytest
from surveys import SHORT, problems_of, project_of

from detailgen.core.units import MM
from detailgen.model.project import Access


def with_access(text: str) -> str:
    return SHORT.replace("types:\n", f"access: {text}\ntypes:\n", 1)


def test_an_access_in_both_unit_systems() -> None:
    found = project_of(with_access("{longest: 12 ft, heaviest: 120 lb, near: 900 mm, below: 14'-6\"}")).access
    assert found == Access(144.0, 120.0, pytest.approx(900 * MM), 0.0, 174.0, 0.0)


def test_without_an_access_nothing_is_known() -> None:
    assert project_of(SHORT).access is None


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("{longest: 12}", "bare number"), ("{longest: 0 ft}", "0 ft"), ("{heaviest: 12 ft}", "unit of length"), ("{width: 3 ft}", "width"),
        ("wide", "wide"),
    ],
)  # fmt: skip
def test_faults_of_an_access_are_told_with_their_line(text: str, words: str) -> None:
    (problem,) = problems_of(with_access(text))
    line = next(k for k, row in enumerate(with_access(text).splitlines(), start=1) if row.startswith("access:"))
    assert problem.line == line
    assert words in f"{problem.field} {problem.found} {problem.allowed}"


def test_the_survey_says_from_which_side_bolts_are_put_in() -> None:
    assert {t.bolts_from for t in project_of(SHORT).trusses} == {"near"}
    from_far = SHORT.replace("types:\n", "access: {bolts from: far}\ntypes:\n", 1)
    found = project_of(from_far)
    assert found.access.bolts_from == "far"
    assert {t.bolts_from for t in found.trusses} == {"far"}
    lines = from_far.splitlines()
    k = next(k for k, row in enumerate(lines) if row.lstrip().startswith("- mark:"))
    indent = " " * (len(lines[k]) - len(lines[k].lstrip()) + 2)
    own = project_of("\n".join([*lines[: k + 1], f"{indent}bolts from: near", *lines[k + 1 :]]))
    assert own.trusses[0].bolts_from == "near"
    (problem,) = problems_of(SHORT.replace("types:\n", "access: {bolts from: left}\ntypes:\n", 1))
    assert "left" in problem.found
    assert "near" in problem.allowed
    assert "far" in problem.allowed
