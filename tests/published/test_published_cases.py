"""Every published case, one test each. Sources stand in the cases; a case with ``from_memory`` was recalled, not read in print."""

from __future__ import annotations

import importlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from case_files import FRAME_TOPIC, Adapter, expected_of, faults, known_topics, rounding_of
from plane_frame import expected_values

MODULES = [importlib.import_module(p.stem) for p in sorted(Path(__file__).parent.glob("adapters_*.py"))]
ADAPTERS: dict[str, Adapter] = {topic: adapter for module in MODULES for topic, adapter in module.ADAPTERS.items()}
TOPICS = known_topics()


def computed(case: dict[str, Any]) -> Callable[[], dict[str, float]] | None:
    """What runs the product for this case; None where its topic has no adapter."""
    if case["topic"] == FRAME_TOPIC:
        return lambda: expected_values(case)
    adapter = ADAPTERS.get(case["topic"])
    return None if adapter is None else lambda: adapter(dict(case["inputs"]), rounding_of(case))


def raised_by_an_adapter(error: NotImplementedError) -> bool:
    """Did an adapter say itself that its topic is not implemented for these inputs? From anywhere else it is a defect of the product."""
    last = error.__traceback__
    while last is not None and last.tb_next is not None:
        last = last.tb_next
    files = [module.__file__ for module in MODULES]
    return last is not None and last.tb_frame.f_code.co_filename in files


def test_case(published_case: dict[str, Any], record_property: Callable[[str, object], None]) -> None:
    topic = published_case["topic"]
    record_property("published topic", topic)
    wrong = faults(published_case, TOPICS)
    if wrong:
        pytest.fail(f"fault of the case file, case {published_case['id']}: {'; '.join(wrong)}", pytrace=False)
    run = computed(published_case)
    if run is None:
        pytest.skip(f"topic {topic}: not implemented")
    try:
        got = run()
    except NotImplementedError as error:
        if not raised_by_an_adapter(error):
            raise
        pytest.skip(f"topic {topic}: not implemented ({error})")
    differ = [
        f"{e.name}: expected {e.value:g} within {e.tolerance:g}, got {got.get(e.name, 'nothing')}"
        for e in expected_of(published_case)
        if e.name not in got or not e.met_by(got[e.name])
    ]
    assert not differ, f"{published_case.get('source', '')}\n" + "\n".join(differ)
