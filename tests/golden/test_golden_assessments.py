"""Regression: the samples' assessments as they were when last agreed to, compared by meaning.

These are our own earlier answers, so they prove nothing about being right (tests/published does that); they show that something moved.
There is no script to refresh them. To accept a change: say it in CHANGELOG.md under "Changes that alter drawings or numbers", delete the
golden file, run this test once (it writes the file and fails), look at the difference in git, and commit both.
"""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest
from sample_trusses import SHORT_END, SI_SAMPLE, SLENDER, US_SAMPLE, assessed, project

from detailgen.core.result import CheckResult
from detailgen.model.assessment import Assessed, TrussAssessment

HERE = Path(__file__).parent
TO_DO = 'Add a line to CHANGELOG.md under "Changes that alter drawings or numbers", then delete {name} and run this test again.'


def figures(value: float) -> float | str:
    """Four significant figures, as one reads them; JSON has no infinity."""
    return float(f"{value:.4g}") if math.isfinite(value) else str(value)


def place(result: CheckResult | None) -> list[object]:
    """What governs a place: ratio, check, combination, clause; or why it has no ratio."""
    if result is None:
        return ["nothing to check"]
    if math.isnan(result.ratio):
        return ["cannot be checked", result.missing]
    return [figures(result.ratio), result.check, result.combination, f"{result.cite.document} {result.cite.clause}"]


def structure(found: Assessed) -> dict[str, object]:
    return {"no safe load path": found.no_safe_load_path, "places": {p.name: place(p.worst) for p in found.places}}


def meaning(truss: TrussAssessment) -> dict[str, object]:
    """What a reader takes from an assessment."""
    snow = truss.snow
    return {
        "intact": structure(truss.intact),
        "as found": structure(truss.as_found),
        "findings": [[f.kind, f.title, figures(f.ratio) if math.isfinite(f.ratio) else ""] for f in truss.findings],
        "snow": None if snow is None else [figures(snow.factor), snow.governing, "at least" if snow.at_least else "just"],
    }


def flat(value: object, path: str = "") -> dict[str, object]:
    """Nested tables and lists as paths to values, so that a difference can be named."""
    if isinstance(value, dict):
        return {k: v for key, inner in value.items() for k, v in flat(inner, f"{path} > {key}").items()}
    if isinstance(value, list):
        return {k: v for key, inner in enumerate(value) for k, v in flat(inner, f"{path}[{key}]").items()}
    return {path.removeprefix(" > "): value}


def differences(before: object, after: object) -> list[str]:
    """What is different, path by path. Numbers may differ by one in their fourth figure: rounding alone does that (1.000 and 1.001)."""
    old, new = flat(before), flat(after)
    found = []
    for path in sorted(old.keys() | new.keys()):
        a, b = old.get(path, "nothing"), new.get(path, "nothing")
        if isinstance(a, float) and isinstance(b, float) and math.isclose(a, b, rel_tol=1.1e-3):
            continue
        if a != b:
            found.append(f"{path}: was {a}, is {b}")
    return found


@pytest.mark.parametrize("sample", [US_SAMPLE, SI_SAMPLE, SLENDER, SHORT_END])
def test_the_assessment_is_as_agreed(sample: str) -> None:
    now = json.loads(json.dumps({t.mark: meaning(assessed(sample, t.mark)) for t in project(sample).trusses}))
    file = HERE / f"assessment_{sample}.json"
    if not file.exists():
        file.write_text(json.dumps(now, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
        pytest.fail(f"{file.name} was missing: it is written now. Read it, commit it, and run again.")
    moved = differences(json.loads(file.read_text(encoding="utf-8")), now)
    assert not moved, "\n".join([f"{len(moved)} numbers or words moved. {TO_DO.format(name=file.name)}", *moved[:40]])


def test_the_comparison_sees_a_moved_number_and_a_lost_place() -> None:
    one = {"T": {"places": {"a": [0.5, "x"], "b": [0.9, "y"]}}}
    assert differences(one, {"T": {"places": {"a": [0.5, "x"], "b": [0.9, "y"]}}}) == []
    assert differences(one, {"T": {"places": {"a": [0.502, "x"], "b": [0.9, "y"]}}}) == ["T > places > a[0]: was 0.5, is 0.502"]
    assert len(differences(one, {"T": {"places": {"a": [0.5, "x"]}}})) == 2
