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
