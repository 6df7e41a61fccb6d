"""Runner of the published cases: ``pytest tests/published [--cases FILE_OR_FOLDER]``.

Without the option the project's own copy runs beside the other tests of this folder. With it only those cases are collected.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from pathlib import Path

import pytest
from case_files import OWN, CaseFileError, load

RUNNER = "test_published_cases.py"


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--cases", default=None, metavar="FILE_OR_FOLDER", help="run only the published cases of this file or folder")


def given_path(config: pytest.Config) -> Path | None:
    given = config.getoption("--cases", default=None)
    return None if given is None else Path(config.invocation_params.dir) / given


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    if "published_case" not in metafunc.fixturenames:
        return
    path = given_path(metafunc.config)
    try:
        cases = [case for file in ((path,) if path else OWN) for case in load(file)]
    except CaseFileError as error:
        raise pytest.UsageError(str(error)) from None
    metafunc.parametrize("published_case", cases, ids=[str(c["id"]) for c in cases])


def pytest_configure(config: pytest.Config) -> None:
    path = given_path(config)
    if path is not None:
        try:
            load(path)
        except CaseFileError as error:
            raise pytest.UsageError(str(error)) from None


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    if given_path(config) is None:
        return
    chosen = [item for item in items if item.path.name == RUNNER]
    if len(chosen) < len(items):
        config.hook.pytest_deselected(items=[item for item in items if item not in chosen])
        items[:] = chosen


def pytest_ignore_collect(collection_path: Path, config: pytest.Config) -> bool | None:
    if given_path(config) is not None and collection_path.suffix == ".py" and collection_path.name != RUNNER:
        return True
    return None


def topic_lines(outcomes: Iterable[tuple[str, str]]) -> list[str]:
    """One line per topic from (topic, outcome) pairs."""
    counts: dict[str, Counter[str]] = {}
    for topic, outcome in outcomes:
        counts.setdefault(topic, Counter())[outcome] += 1
    lines = []
    for topic, count in sorted(counts.items()):
        total, skipped = sum(count.values()), count["skipped"]
        what = "" if not skipped else " (not implemented)" if skipped == total else f" ({skipped} not implemented)"
        lines.append(f"{topic}: {count['passed']}/{total}{what}")
    return lines


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    outcomes = [
        (str(value), outcome)
        for outcome in ("passed", "failed", "skipped")
        for report in terminalreporter.getreports(outcome)
        for name, value in getattr(report, "user_properties", ())
        if name == "published topic"
    ]
    if outcomes:
        terminalreporter.section("published cases: passed/total by topic")
        for line in topic_lines(outcomes):
            terminalreporter.write_line(line)
