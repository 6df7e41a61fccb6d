"""Whatever is done to a survey, reading it ends in a project or in an InputError whose problems have their lines."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from surveys import SHORT, STARTER, project_of

from detailgen.core.errors import InputError, InputProblem

VALUES = ["", "-1", "0 in", "1e9 ft", "9" * 60, "1/0 in", "99999 ft", "0.001 in", "every 1 in", "none", "no", "~", "[]", "{}", "[[]]", "{a: b}",
          "A", "L0", "U1-L1", "all webs", "single", "joints", "top", "glulam", "break", "missing bolt"]  # fmt: skip
SIGNS = ["*x", "&x", "!!int", "'", '"', "#", "\t", "\n", ": ", "- ", "[", "}", "\x00", "é"]
WORDS = [*VALUES, *SIGNS]
SHARE = st.floats(0, 1, exclude_max=True)


def reads_or_refuses(text: str) -> None:
    problems: tuple[InputProblem, ...] | None = None
    try:
        project_of(text)
    except InputError as error:
        problems = error.problems
        str(error).encode()
    if problems is not None:
        lines = len(text.splitlines()) + 2
        assert problems
        assert all(0 <= p.line <= lines and p.found and p.allowed for p in problems)


@settings(max_examples=120, suppress_health_check=[HealthCheck.too_slow])
@given(st.sampled_from([STARTER, SHORT]), st.lists(st.tuples(st.floats(0, 1), st.integers(0, 40), st.sampled_from(WORDS)), min_size=1, max_size=4))
def test_pieces_cut_out_and_put_in(text: str, edits: list[tuple[float, int, str]]) -> None:
    for at, length, word in edits:
        start = int(at * len(text))
        text = text[:start] + word + text[start + length :]
    reads_or_refuses(text)


@settings(max_examples=120, suppress_health_check=[HealthCheck.too_slow])
@given(st.sampled_from([STARTER, SHORT]), st.lists(st.tuples(SHARE, st.sampled_from(WORDS)), min_size=1, max_size=4))
def test_values_replaced(text: str, edits: list[tuple[float, str]]) -> None:
    lines = text.splitlines()
    for at, word in edits:
        number = int(at * len(lines))
        key, colon, _ = lines[number].partition(": ")
        lines[number] = f"{key}{colon}{word}" if colon else lines[number]
    reads_or_refuses("\n".join(lines))


@settings(max_examples=60, suppress_health_check=[HealthCheck.too_slow])
@given(st.sampled_from([STARTER, SHORT]), st.lists(st.tuples(SHARE, SHARE), min_size=1, max_size=3))
def test_lines_swapped_and_dropped(text: str, moves: list[tuple[float, float]]) -> None:
    lines = text.splitlines()
    for a, b in moves:
        i, j = int(a * len(lines)), int(b * len(lines))
        lines[i], lines[j] = lines[j], lines[i]
        del lines[min(i, j)]
    reads_or_refuses("\n".join(lines))


@settings(max_examples=60)
@given(st.text(max_size=200))
def test_any_text(text: str) -> None:
    reads_or_refuses(text)
