"""A seeded part of the mutation suite: every breach is found where it is, and nobody is accused wrongly.

The whole suite is ``tests/benchmarks/checker_mutants.py``.
"""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import replace

import pytest
from confusion import ACCUSED, ELSEWHERE, FOUND, MISSED, PASSED, lines, run, variants
from faults import GROSS, LIMITS, at_limit, gross
from lean_sheet import Sheet

from detailgen.checker import check_file, rules
from detailgen.core.result import State


@pytest.fixture(scope="module")
def details():
    return variants()


@pytest.mark.parametrize("metric", [False, True])
def test_sound_sheets_pass(details, metric, tmp_path):
    for detail in details:
        (tmp_path / "sound.dxf").write_text(Sheet(detail, metric=metric).text())
        assert [r for r in check_file(tmp_path / "sound.dxf") if r.state is not State.PASSES] == []


@pytest.mark.parametrize("seed", [1, 2])
def test_confusion(details, seed, tmp_path):
    table, wrong = run(details, random.Random(seed), 60, tmp_path)
    print("\n".join(lines(table)))
    total = sum(table.values(), Counter())
    assert total[MISSED] == total[ELSEWHERE] == total[ACCUSED] == 0, [(w[:5], w[6]) for w in wrong]
    assert (total[FOUND], total[PASSED]) == (40, 20)


@pytest.mark.parametrize("kind", [*GROSS, *LIMITS])
def test_each_kind_bites(kind, details, tmp_path, monkeypatch):
    """One of each at least, so that no kind is forgotten by chance."""
    monkeypatch.setattr("faults.GROSS", (kind,))
    monkeypatch.setattr("faults.LIMITS", (kind,))
    rng = random.Random(5)
    made = None
    while made is None:
        detail = rng.choice(details)
        made = gross(detail, rng, metric=False) if kind in GROSS else at_limit(detail, rng, True, False)
    (tmp_path / "mutant.dxf").write_text(made.sheet.text())
    found = [r for r in check_file(tmp_path / "mutant.dxf") if r.state is not State.PASSES]
    assert any(w in r.where for r in found for w in made.where) or (made.anywhere and found)


def test_a_checker_that_looks_away_is_caught(details, tmp_path, monkeypatch):
    """The suite itself can fail: with a tolerance of 1/8 in. the breaches beyond a limit pass, and it says so."""
    monkeypatch.setattr(rules, "READING_IN", 1 / 8)
    table, _ = run(details, random.Random(1), 30, tmp_path)
    assert sum(table.values(), Counter())[MISSED] >= 5


def test_the_sheets_are_not_the_products(details):
    """The lean writer names the same facts and no more."""
    detail = replace(details[0], parts=details[0].parts[:1])
    text = Sheet(detail).text()
    assert text.count("\nkind=hole\n") == len(detail.parts[0].holes)
    assert "length=" not in text
