"""YAML that is not plain data is refused in words, with its line, and before it can do harm."""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from surveys import LOADS, SHORT, STANDARDS, line_of, problems_of, swapped

from detailgen.core.errors import InputError
from detailgen.survey import read
from detailgen.survey.document import MOST_BYTES


def words(text: str) -> str:
    return "\n".join(str(p) for p in problems_of(text))


def test_alias_and_anchor() -> None:
    plies = "{two: {thickness: 2-1/2 in, depth: 9-1/2 in, gap: 3 in}}\n      braces: "
    text = swapped(f"{plies}every", f"&both {plies}every")
    text = swapped(f"{plies}joints", "*both\n      braces: joints", text)
    anchor, alias = problems_of(text)
    assert (anchor.field, anchor.line) == ("types.A.top chord.plies", line_of("&both", text))
    assert (alias.field, alias.line) == ("types.A.bottom chord.plies", line_of("*both", text))
    assert "reference to another place" in alias.found


@pytest.mark.parametrize(
    ("line", "part"),
    [
        ("  name: !!python/object/apply:os.system ['echo']", "the tag"),
        ("  name: !mine x", "the tag"),
        ("  name: Barn\n  name: Shed", "'name' a second time"),
        ("  name: 'Barn", "cannot be read"),
        ("\tname: Barn", "Indent with spaces"),
        ("  ? [a, b]\n  : c", "a key that is no text"),
        ('  name: "\\x07"', "U+0007"),
        ('  name: "\\uD800"', "U+D800"),
        ('  name: "\\UFFFFFFFF"', "cannot hold"),
        ("  name: \x07", "U+0007"),
        ("  name:", "nothing after the colon"),
        ("  name: ''", "an empty text"),
    ],
)
def test_strange_yaml(line: str, part: str) -> None:
    text = f"project:\n{line}\n"
    assert part in words(text)
    problem = next(p for p in problems_of(text) if part in str(p))
    assert problem.line in (0, 2, 3, 4)


def test_a_duplicate_key_names_both_lines() -> None:
    text = swapped("  roof live: 20 psf", "  roof live: 20 psf\n  roof live: 25 psf")
    [problem] = problems_of(text)
    assert problem.line == line_of("25 psf", text)
    assert f"line {line_of('20 psf', text)} already" in problem.allowed


def test_several_documents() -> None:
    [problem] = problems_of(SHORT + "---\nother: 1\n")
    assert problem.line == SHORT.count("\n") + 1
    assert "second document" in problem.found


@pytest.mark.parametrize(
    "text",
    [
        "a: &a [x, x]\n" + "".join(f"b{i}: &b{i} [*a, *a, *a, *a, *a, *a, *a, *a]\n" for i in range(50)),
        "[" * 100_000,
        "{a: " * 50_000,
        "- " * 50_000,
        "a: " + "x" * (MOST_BYTES + 1),
        "\n".join(f"k{i}: 1" for i in range(30_000)),
        "? " * 10_000,
        "%YAML 9.9\n---\na: 1\n",
        "%YAML " + "9" * 6_000 + ".1\n---\na: 1\n",
    ],
    ids=["references", "brackets", "tables", "lists", "size", "entries", "keys", "version", "long version"],
)
def test_bombs_end_soon(text: str) -> None:
    start = time.process_time()
    assert problems_of(text)
    assert time.process_time() - start < 15  # a guard against what grows without end, no measure of speed


def test_deep_nesting_has_its_line() -> None:
    text = SHORT + "extra:\n" + "".join("  " * i + "- \n" for i in range(1, 30))
    assert any("levels of nesting" in p.found and p.line > SHORT.count("\n") for p in problems_of(text))


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    (tmp_path / "b.yaml").write_bytes(b"a: \xff")
    long = tmp_path / ("n" * 400)
    for path, part in [(tmp_path / "no.yaml", "no such file"), (long, "cannot be read"), (tmp_path, "no such file"), (tmp_path / "b.yaml", "UTF-8")]:
        with pytest.raises(InputError, match=part):
            read(path, STANDARDS, LOADS)


def test_folder_and_file_read_the_same(tmp_path: Path) -> None:
    (tmp_path / "project.yaml").write_text("\ufeff" + SHORT, encoding="utf-8")
    assert read(tmp_path, STANDARDS, LOADS) == read(tmp_path / "project.yaml", STANDARDS, LOADS)
