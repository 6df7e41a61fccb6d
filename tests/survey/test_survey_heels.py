"""The entry of the survey for shoes and seats of heels: what it says is kept, what is wrong is told."""

from __future__ import annotations

import pytest
from surveys import SHORT, problems_of, project_of

from detailgen.core.units import MM
from detailgen.model.member import Heel


def with_heels(*entries: str) -> str:
    listed = "".join(f"      - {entry}\n" for entry in entries)
    return SHORT.replace("    panels: 6\n", f"    panels: 6\n    heels:\n{listed}", 1)


def ends() -> tuple[str, str]:
    bottom = project_of(SHORT).trusses[0].bottom
    return bottom[0], bottom[-1]


def test_both_heels_where_no_joint_is_named() -> None:
    left, right = ends()
    heels = project_of(with_heels("{set back: 2'-6\", plate: 25 mm, seat: {length: 10 in, kind: brick, carries: 250 psi}}")).trusses[0].heels
    assert [h.joint for h in heels] == [left, right]
    assert heels[0] == Heel(left, 30.0, pytest.approx(25 * MM), seat=10.0, bears=250.0, on="brick")


def test_what_is_left_out_is_not_surveyed() -> None:
    left, _ = ends()
    assert project_of(with_heels(f"{{joints: [{left}]}}")).trusses[0].heels == (Heel(left),)
    assert project_of(SHORT).trusses[0].heels == ()


@pytest.mark.parametrize(("entry", "found"), [
    ("{joints: [L1]}", "'L1'"), ("{weld leg: 1/4 in}", "nothing"), ("{weld length: 12 in}", "nothing"), ("{plate: 3}", "a bare number"),
    ("{seat: {kind: brick}}", "nothing"),
])  # fmt: skip
def test_faults_are_told(entry: str, found: str) -> None:
    told = problems_of(with_heels(entry))
    assert any(found in p.found for p in told), told


def test_a_heel_is_told_once() -> None:
    left, _ = ends()
    told = problems_of(with_heels(f"{{joints: [{left}]}}", "{plate: 1 in}"))
    assert any(f"the heel {left} a second time" in p.found for p in told)
