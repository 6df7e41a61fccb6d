"""What a remedy chooses from, read from its parameters, and examples at the least and the greatest of it.

A range is a constant of a remedy's ``parameters.py`` that holds several numbers (or sizes by diameter), by system of units or not; its bounds are
the least and the greatest. A constant named LEAST_, MOST_, GREATEST_ or FARTHEST_ is one bound. ``RULES`` of a test module says which of these are
no choice, and why. An example offers the remedy only the values that it shows (``only``), or a survey that asks for them, and lets its own search
answer; what stands in the detail is then measured.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass
from types import ModuleType

import pytest

from detailgen.checker.check import check_detail
from detailgen.model.detail import Detail
from detailgen.model.package import Refusal
from detailgen.remedies.contract import Repair

LIMITS = ("LEAST_", "MOST_", "GREATEST_", "FARTHEST")
SYSTEMS = ("US", "SI")
Bounds = frozenset[tuple[str, float]]


@dataclass(frozen=True)
class Example:
    """``shows``: values by range, as they stand in the detail that ``made`` answers while nothing else of these ranges is offered (``narrow``)."""

    name: str
    shows: Mapping[str, float]
    made: Callable[[], Repair | Refusal]
    narrow: bool = True

    @property
    def bounds(self) -> Bounds:
        return frozenset((range_, round(value, 6)) for range_, value in self.shows.items())


def numbers(value: object) -> tuple[float, ...]:
    """The values of a range; () where it is none."""
    if not isinstance(value, tuple) or len(value) < 2:
        return ()
    sizes = [getattr(v, "diameter", v) if is_dataclass(v) else v for v in value]
    return tuple(float(v) for v in sizes) if all(isinstance(v, (int, float)) for v in sizes) else ()


def ranges(values: Mapping[str, object], of: str = "") -> dict[str, tuple[float, ...]]:
    """Ranges by name; of one that differs by the system of units (or by what else it goes by) each by itself: "GAUGES US"."""
    found: dict[str, tuple[float, ...]] = {}
    for key, value in values.items():
        name = f"{of} {key}".strip()
        if isinstance(value, Mapping):
            found |= ranges({str(k): v for k, v in value.items()}, name)
        elif is_dataclass(value) and key in SYSTEMS:
            found |= ranges({f.name: getattr(value, f.name) for f in fields(value)}, name)
        elif several := numbers(value):
            found[name] = several
        elif key.upper().startswith(LIMITS) and isinstance(value, (int, float)):
            found[name] = (float(value),)
    return found


def declared(parameters: ModuleType, rules: Mapping[str, str], more: Mapping[str, object]) -> Bounds:
    """Every bound that a remedy declares but its rules; ``more``: ranges that stand elsewhere, by name."""
    own = {k: v for k, v in vars(parameters).items() if k.isupper() and not k.startswith("_")}
    found = ranges(own | dict(more))
    unknown = rules.keys() - found.keys()
    assert not unknown, f"no range of {parameters.__name__}: {sorted(unknown)}"
    return frozenset((name, round(v, 6)) for name, several in found.items() if name not in rules for v in (min(several), max(several)))


@contextlib.contextmanager
def narrowed(parameters: ModuleType, only: Mapping[str, float]) -> Iterator[None]:
    """While it lasts each of these ranges offers one value alone; a limit stays what it is."""
    with pytest.MonkeyPatch.context() as patch:
        for name, value in only.items():
            key, _, system = name.partition(" ")
            old = getattr(parameters, key)
            if isinstance(old, Mapping):
                patch.setattr(parameters, key, {**old, system: _one_of(old[system], value)})
            elif isinstance(old, tuple):
                patch.setattr(parameters, key, _one_of(old, value))
        yield


def _one_of(several: tuple[object, ...], value: float) -> tuple[object, ...]:
    kept = tuple(v for v, size in zip(several, numbers(several), strict=True) if abs(size - value) < 1e-6)
    assert kept, f"{value} is not offered"
    return kept


def accepted(example: Example, parameters: ModuleType, reads: Mapping[str, Callable[[Repair], set[float]]]) -> Repair:
    """The repair of an example; the remedy's rules and the independent checker pass it, and what it shows stands in it."""
    with narrowed(parameters, example.shows if example.narrow else {}):
        repair = example.made()
    assert isinstance(repair, Repair), repair.reason
    assert repair.results
    assert all(r.passes for r in repair.results), [r for r in repair.results if not r.passes]
    wrong = [found for detail in (repair.detail, *repair.further) for found in check_detail(detail) if not found.passes]
    assert not wrong, wrong
    for name, value in example.shows.items():
        assert {round(v, 4) for v in reads[name](repair)} == {round(value, 4)}, name
    return repair


def thickness(detail: Detail, *kinds: str) -> set[float]:
    """Of the new parts whose key begins so."""
    return {q.thickness for q in detail.parts if q.key.startswith(kinds) and not q.existing}
