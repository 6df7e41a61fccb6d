"""The time of the work: snow and construction load, places of shores, stops, and their faults."""

from __future__ import annotations

import pytest
from surveys import SHORT, problems_of, project_of

from detailgen.core.units import MM, UNITS
from detailgen.model.project import WorkWindow

PSF = UNITS["area load"]["psf"]


def with_work(text: str, own: str = "", access: str = "") -> str:
    found = SHORT.replace("types:\n", f"{access}work: {text}\ntypes:\n", 1)
    return found.replace("trusses:\n  - mark: ", f"trusses:\n  - work: {own}\n    mark: ", 1) if own else found


def test_without_it_nothing_lies_on_the_truss_and_shores_stand_anywhere() -> None:
    assert project_of(SHORT).trusses[0].work == WorkWindow()


def test_every_entry_in_both_unit_systems() -> None:
    text = (
        "{snow: 5 psf, construction: 0.25 kPa, construction on: bottom chord, no shores at: [L3], jack stop: 12 mm, jack force: 12 kip, "
        "shore height: 10 ft, base: {kind: slab on ground, carries: 9 kip}}"
    )
    found = project_of(with_work(text)).trusses[0].work
    assert found.snow == pytest.approx(5 * PSF)
    assert found.construction == pytest.approx(0.25 * UNITS["area load"]["kPa"])
    assert (found.construction_on, found.barred, found.jack, found.height) == ("bottom chord", ("L3",), 12000.0, 120.0)
    assert found.stop == pytest.approx(12 * MM)
    assert (found.base, found.base_carries) == ("slab on ground", 9000.0)


def test_a_truss_has_its_own_entries_before_those_of_the_file() -> None:
    found = project_of(with_work("{snow: 5 psf, jack stop: 1/2 in}", "{snow: 0 psf, shores at: [L2, L4]}")).trusses[0].work
    assert (found.snow, found.stop, found.shores) == (0.0, 0.5, ("L2", "L4"))


def test_the_height_under_the_chord_comes_from_the_access_where_it_is_not_given() -> None:
    assert project_of(with_work("{snow: 5 psf}", access="access: {below: 14 ft}\n")).trusses[0].work.height == 168.0


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("{snow: 5}", "bare number"), ("{snow: 5 ft}", "unit of length"), ("{construction on: floor}", "floor"),
        ("{shores at: [L0]}", "'L0', no joint of the bottom chord between the heels"), ("{no shores at: [U2]}", "'U2'"),
        ("{shores at: [L2, L3], no shores at: [L3]}", "one of the two lists only"), ("{jack stop: 0 in}", "0 in"),
        ("{jack force: 3 in}", "unit of length"), ("{base: {carries: 3 kip}}", "kind"), ("{snwo: 3 psf}", "snwo"), ("soon", "soon"),
    ],
)  # fmt: skip
def test_faults_are_told_once_with_their_line(text: str, words: str) -> None:
    (problem,) = problems_of(with_work(text))
    line = next(k for k, row in enumerate(with_work(text).splitlines(), start=1) if row.startswith("work:"))
    assert problem.line == line
    assert words in f"{problem.field} {problem.found} {problem.allowed}"


def test_a_fault_in_a_truss_s_own_entries() -> None:
    (problem,) = problems_of(with_work("{snow: 5 psf}", "{shores at: [L9]}"))
    assert "'L9'" in problem.found
    assert "L1, L2" in problem.allowed
