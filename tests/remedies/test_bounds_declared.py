"""No remedy has a bound without an accepted example: what its parameters declare against what its examples show."""

from __future__ import annotations

import importlib
from types import ModuleType, SimpleNamespace

import pytest
from bounds import declared, ranges

from detailgen.remedies import choose


def folder(remedy: object) -> str:
    return type(remedy).__module__.split(".")[2]


def examples_of(name: str) -> ModuleType:
    return importlib.import_module(f"test_bounds_{name}")


def without_example(parameters: ModuleType, examples: ModuleType) -> list[tuple[str, float]]:
    shown = frozenset().union(*(e.bounds for e in examples.EXAMPLES))
    return sorted(declared(parameters, examples.RULES, examples.MORE) - shown)


@pytest.mark.parametrize("remedy", choose.all_remedies().values(), ids=lambda r: r.key)
def test_every_bound_has_its_example(remedy) -> None:
    name = folder(remedy)
    parameters = importlib.import_module(f"detailgen.remedies.{name}.parameters")
    examples = examples_of(name)
    assert declared(parameters, examples.RULES, examples.MORE), "a remedy that declares nothing to choose from"
    assert not without_example(parameters, examples)


def test_a_wider_range_a_new_one_and_a_new_limit_are_missed() -> None:
    heel = importlib.import_module("detailgen.remedies.heel.parameters")
    grown = SimpleNamespace(**vars(heel) | {"SHOE_COLUMNS": (1, 2, 3, 4), "WASHERS": (1.0, 2.0), "MOST_WELDS": 7,
                                           "LEGS": heel.LEGS | {"US": (0.125, 0.375)}})  # fmt: skip
    missing = without_example(grown, examples_of("heel"))  # type: ignore[arg-type]
    assert missing == [("LEGS US", 0.125), ("MOST_WELDS", 7.0), ("SHOE_COLUMNS", 4.0), ("WASHERS", 1.0), ("WASHERS", 2.0)]


def test_ranges_are_read_by_system_and_by_what_else_they_go_by() -> None:
    given = {"A": (1, 3, 2), "B": {"US": (0.5, 1.0), "SI": {2: (5.0, 4.0)}}, "LEAST_C": 7, "D": 8.0, "E": ("x", "y"), "F": (1.0,)}
    assert ranges(given) == {"A": (1.0, 3.0, 2.0), "B US": (0.5, 1.0), "B SI 2": (5.0, 4.0), "LEAST_C": (7.0,)}
