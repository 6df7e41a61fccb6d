"""Printed answers of textbooks and closed forms, each with its source in frame_cases.json."""

from __future__ import annotations

import importlib.util
import json
from pathlib import Path

import pytest

PUBLISHED = Path(__file__).resolve().parents[1] / "published"


def _adapter():
    spec = importlib.util.spec_from_file_location("published_plane_frame", PUBLISHED / "plane_frame.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


ADAPTER = _adapter()
CASES = json.loads((PUBLISHED / "frame_cases.json").read_text(encoding="utf-8"))["cases"]


def test_every_case_is_read():
    assert len(CASES) == 13
    assert sum(len(case["expected"]) for case in CASES) == 36


@pytest.mark.parametrize("case", CASES, ids=[case["id"] for case in CASES])
def test_printed_answer(case):
    values = ADAPTER.expected_values(case)
    for printed in case["expected"]:
        assert set(printed["tolerance"]) <= {"rel", "abs"}
        allowed = printed["tolerance"].get("rel", 0.0) * abs(printed["value"]) + printed["tolerance"].get("abs", 0.0)
        assert abs(values[printed["name"]] - printed["value"]) <= allowed, (printed["name"], values[printed["name"]], case["source"])


def test_a_question_that_no_answer_has_is_refused():
    with pytest.raises(ValueError, match="twist"):
        ADAPTER.probe(ADAPTER.solve_case(CASES[0]["inputs"]), {"kind": "twist"})
