"""Anchored bays of the survey and their faults."""

from __future__ import annotations

import pytest
from surveys import SHORT, problems_of, project_of

from detailgen.model.project import AnchoredBay

GOOD = "{bay: grid lines 4 to 5, holds: bottom chord, takes: 3 kip, leaning: 4, spacing: 2.5 m}"


def with_bays(text: str) -> str:
    return SHORT.replace("types:\n", f"anchored bays: [{text}]\ntypes:\n", 1)


def test_none_is_the_rule_and_every_entry_is_read() -> None:
    assert project_of(SHORT).anchored == ()
    (bay,) = project_of(with_bays(GOOD)).anchored
    assert bay == AnchoredBay("grid lines 4 to 5", "bottom chord", 4, 3000.0, pytest.approx(2500 / 25.4), ())


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("takes: 3 kip", "takes: 3000", "bare number"), ("takes: 3 kip, ", "", "takes"), ("takes: 3 kip", "takes: 0 kip", "more than 0"),
        ("holds: bottom chord", "holds: heels", "webs"), ("leaning: 4", "leaning: 0", "from 1 to 1000"),
        ("leaning: 4", "leaning: 1.5", "whole number"),
        ("spacing: 2.5 m", "trusses: [T9]", "'T9', no truss of this file"), ("bay: grid lines 4 to 5, ", "", "bay"),
        ("leaning", "leanign", "leaning"),
    ],
)  # fmt: skip
def test_faults_are_told_with_their_line(old: str, new: str, words: str) -> None:
    text = with_bays(GOOD.replace(old, new))
    problems = problems_of(text)
    line = next(k for k, row in enumerate(text.splitlines(), start=1) if row.startswith("anchored bays:"))
    assert problems
    assert {p.line for p in problems} == {line}
    assert words in " ".join(f"{p.field} {p.found} {p.allowed} {p.to_do}" for p in problems)
