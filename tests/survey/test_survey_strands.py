"""What a survey says of strands: the room behind the heels, and the tools they are pulled with."""

from __future__ import annotations

import math

import pytest
from surveys import SHORT, problems_of, project_of

from detailgen.core.units import MM
from detailgen.model.added import StrandSeat
from detailgen.model.project import Stressing


def with_room(text: str) -> str:
    return SHORT.replace("    panels: 6\n", f"    panels: 6\n    heel room: {text}\n", 1)


def with_tools(text: str) -> str:
    return SHORT.replace("types:\n", f"stressing: {text}\ntypes:\n", 1)


def test_room_behind_both_heels_in_both_unit_systems() -> None:
    assert project_of(with_room("{left: 4'-0\", right: 500 mm}")).trusses[0].heel_room == (48.0, pytest.approx(500 * MM))


def test_room_that_nobody_measured_is_nothing_and_no_tools_are_the_usual_ones() -> None:
    found = project_of(SHORT)
    assert found.trusses[0].heel_room == (0.0, 0.0)
    assert found.stressing == Stressing()
    assert not found.stressing.given


def test_tools_as_given_and_the_rest_as_usual() -> None:
    found = project_of(with_tools("{strands: [0.6 in.], seating: 6 mm, jack length: 20 in, ram diameter: 2 in}")).stressing
    assert found.sizes == ("0.6 in.",)
    assert found.seating == pytest.approx(6 * MM)
    assert (found.jack_length, found.stroke) == (20.0, Stressing().stroke)
    assert found.ram_area == pytest.approx(math.pi)
    assert found.given


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (with_room("{left: 4 ft}"), "right"), (with_room("{left: 48, right: 4 ft}"), "bare number"), (with_room("{left: 0 in, right: 4 ft}"), "0 in"),
        (with_room("{left: 4 ft, right: 4 lb}"), "unit of force"), (with_room("4 ft"), "4 ft"),
        (with_room("{left: 4 ft, right: 4 ft, top: 1 ft}"), "top"),
        (with_tools("{seating: 1/4}"), "bare number"), (with_tools("{seating: -1/4 in}"), "-1/4 in"), (with_tools("{strands: [5/8 in.]}"), "5/8 in."),
        (with_tools("{stroke: 8 lb}"), "unit of force"), (with_tools("{pump: 3 hp}"), "pump"),
    ],
)  # fmt: skip
def test_faults_are_told_with_their_line(text: str, words: str) -> None:
    problems = problems_of(text)
    line = next(k for k, row in enumerate(text.splitlines(), start=1) if "heel room:" in row or row.startswith("stressing:"))
    assert [p.line for p in problems] == [line]
    assert words in f"{problems[0].field} {problems[0].found} {problems[0].allowed}"


SHOE_TEXT = "{on: shoe, face: 1-1/4 in, gap: 1/2 in, low: -4 in, high: 4 in, width: 9-3/4 in, weld: {leg: 1/4 in, length: 80 in}}"


def with_seat(text: str) -> str:
    return SHORT.replace("    panels: 6\n", f"    panels: 6\n    strand bearing: {text}\n", 1)


def test_where_plates_of_strands_may_press_is_end_grain_unless_the_survey_says_so() -> None:
    assert project_of(SHORT).trusses[0].seats == (StrandSeat(), StrandSeat())
    found = project_of(with_seat(f"{{right: {SHOE_TEXT}}}"))
    left, right = found.trusses[0].seats
    assert left == StrandSeat()
    assert right == StrandSeat("shoe", 1.25, -4.0, 4.0, 9.75, 0.5, 0.25, 80.0, "E60", 33000.0, 60000.0)
    assert any("ASTM A7, from memory" in a for a in found.assumptions)
    left = project_of(with_seat("{left: {on: top chord, face: 50 mm, low: -3 in, high: 5 in}}")).trusses[0].seats[0]
    assert (left.on, left.face, left.low, left.high) == ("top chord", pytest.approx(50 * MM), -3.0, 5.0)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("{left: {on: wall}}", "'wall'"), ("{left: {on: shoe, face: 1 in, low: -4 in, high: 4 in, width: 9 in, gap: 1/2 in}}", "'weld'"),
        ("{left: {on: top chord, face: 1 in, low: -4 in}}", "'high'"), ("{left: {on: end grain, face: 1 in}}", "'face' beside 'on: end grain'"),
        (f"{{left: {SHOE_TEXT.replace('high: 4', 'high: -5')}}}", "over the lower edge at -4"),
        (f"{{left: {SHOE_TEXT.replace('gap: 1/2', 'gap: 2')}}}", 'less than the 1 1/4"'),
        (f"{{left: {SHOE_TEXT.replace('gap: 1/2 in', 'gap: -1/2 in')}}}", "-1/2 in"),
        ("{left: {on: top chord, face: 1 in, low: -4 in, high: 4 in, width: 9 in}}", "'width' beside 'on: top chord'"),
    ],
)  # fmt: skip
def test_faults_of_a_seat_are_told_at_their_line(text: str, words: str) -> None:
    problems = problems_of(with_seat(text))
    assert len(problems) == 1
    line = next(k for k, row in enumerate(with_seat(text).splitlines(), start=1) if "strand bearing:" in row)
    assert problems[0].line == line
    assert words in f"{problems[0].field} {problems[0].found} {problems[0].allowed}"


def test_where_strands_are_wanted_and_with_which_force() -> None:
    found = project_of(SHORT.replace("    panels: 6\n", "    panels: 6\n    strand run: {height: -2 in, off: 6-1/2 in}\n", 1)).trusses[0]
    assert (found.run_height, found.run_off) == (-2.0, 6.5)
    assert math.isnan(project_of(SHORT).trusses[0].run_off)
    assert project_of(with_tools("{force: 24 kip}")).stressing.force == 24000.0


def test_what_stands_across_the_chord() -> None:
    text = "[{what: blocking, material: wood, at: 12', thickness: 1-1/2 in, low: -6 in, high: 6 in, inner: 5 in, outer: 15 in, slot: yes}]"
    (one,) = project_of(SHORT.replace("    panels: 6\n", f"    panels: 6\n    across the chord: {text}\n", 1)).trusses[0].across
    assert (one.what, one.steel, one.x, one.thickness, one.low, one.high, one.inner, one.outer, one.slot) == (
        "blocking", False, 144.0, 1.5, -6.0, 6.0, 5.0, 15.0, True,
    )  # fmt: skip
    assert math.isnan(one.pulled)


@pytest.mark.parametrize(("old", "new", "words"), [
    ("high: 6 in", "high: -7 in", "over the lower edge"), ("outer: 15 in", "outer: 4 in", "more than the 5"),
    ("at: 12'", "at: 60'", "between the heels"), ("material: wood", "material: stone", "stone"), ("thickness: 1-1/2 in", "thickness: -1 in", "-1 in"),
])  # fmt: skip
def test_faults_of_what_stands_across(old: str, new: str, words: str) -> None:
    text = "[{what: blocking, material: wood, at: 12', thickness: 1-1/2 in, low: -6 in, high: 6 in, inner: 5 in, outer: 15 in}]"
    (problem,) = problems_of(SHORT.replace("    panels: 6\n", f"    panels: 6\n    across the chord: {text.replace(old, new)}\n", 1))
    assert words in f"{problem.field} {problem.found} {problem.allowed}"
