"""Published cases: reading the files, finding their faults, comparing a computed number with a printed one."""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
OWN = (HERE / "cases.json", HERE / "frame_cases.json")
FRAME_TOPIC = "plane_frame"
FRAME_ALWAYS, FRAME_SOMETIMES = {"nodes", "members", "supports", "cases"}, {"combos", "stages"}

Rounding = Callable[[str, float], float]
Adapter = Callable[[dict[str, Any], Rounding], dict[str, float]]


class CaseFileError(Exception):
    """A file that holds no cases."""


@dataclass(frozen=True)
class Expected:
    name: str
    value: float
    tolerance: float  # absolute

    def met_by(self, got: float) -> bool:
        return abs(float(got) - self.value) <= self.tolerance * (1 + 1e-9)


def cases_in(path: Path) -> list[dict[str, Any]] | None:
    """The cases of one file: a list, or a mapping with ``cases``. None where the file is neither."""
    try:
        content = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, json.JSONDecodeError) as error:
        raise CaseFileError(f"{path}: cannot be read as JSON ({error})") from None
    if isinstance(content, dict):
        content = content.get("cases")
    if not isinstance(content, list) or not all(isinstance(c, dict) and {"id", "topic"} <= set(c) for c in content):
        return None
    return content


def load(path: Path) -> list[dict[str, Any]]:
    """Cases of a file, or of every file in a folder that holds cases. Raises CaseFileError where there are none."""
    if path.is_dir():
        files = [(f, cases_in(f)) for f in sorted(path.glob("*.json"))]
    elif path.is_file():
        files = [(path, cases_in(path))]
    else:
        raise CaseFileError(f"{path}: there is no such file or folder")
    cases = [case for _, found in files for case in found or ()]
    if not cases:
        raise CaseFileError(f"{path}: holds no cases; a case file is a list of cases or a mapping with a list under 'cases'")
    return cases


def known_topics() -> dict[str, dict[str, Any]]:
    topics: dict[str, dict[str, Any]] = json.loads((HERE / "topics.json").read_text(encoding="utf-8"))
    return topics


def faults(case: Mapping[str, Any], topics: Mapping[str, Mapping[str, Any]]) -> list[str]:
    """What is wrong with the case itself."""
    topic, inputs, expected = case["topic"], case.get("inputs"), case.get("expected")
    if not isinstance(inputs, dict) or not expected:
        return ["a case needs inputs and expected values"]
    if topic == FRAME_TOPIC:
        always, sometimes = FRAME_ALWAYS, FRAME_SOMETIMES
    elif topic in topics:
        always, sometimes = set(topics[topic]["always"]), set(topics[topic]["sometimes"])
    else:
        return _bad_expected(case)
    found = [f"input {key} is missing" for key in sorted(always - set(inputs))]
    found += [f"input {key} is not one that topic {topic} has" for key in sorted(set(inputs) - always - sometimes)]
    return found + _bad_expected(case)


def _bad_expected(case: Mapping[str, Any]) -> list[str]:
    try:
        list(expected_of(case))
    except (KeyError, TypeError, ValueError) as error:
        return [f"an expected value lacks a name, a value or a tolerance (abs or rel): {error!r}"]
    return []


def expected_of(case: Mapping[str, Any]) -> Iterable[Expected]:
    """Expected values of a case, in either of its two forms."""
    listed = case["expected"]
    entries = [(e["name"], e, e["tolerance"]) for e in listed] if isinstance(listed, list) else [(n, e, e) for n, e in listed.items()]
    for name, entry, tolerance in entries:
        value = float(entry["value"])
        yield Expected(name, value, float(tolerance["abs"]) if "abs" in tolerance else float(tolerance["rel"]) * abs(value))


def rounding_of(case: Mapping[str, Any]) -> Rounding:
    """Round half up to the multiple that the printed table uses; what the case does not name stays as it is."""
    multiples: Mapping[str, float] = case.get("rounding") or {}

    def rounded(name: str, value: float) -> float:
        if name not in multiples:
            return value
        return math.floor(float(value) / multiples[name] + 0.5 + 1e-9) * multiples[name]

    return rounded
