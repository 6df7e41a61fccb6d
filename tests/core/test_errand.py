"""Work beside the walk: same files and same errors with a spare core and without one, and nothing outlives the block."""

from __future__ import annotations

import contextlib
import os
import signal
import time
from collections.abc import Callable, Generator
from pathlib import Path

import pytest

from detailgen.core import errand as module
from detailgen.core.errand import errand
from detailgen.core.errors import OutputError


@pytest.fixture(params=[True, False], ids=["beside", "in turn"], autouse=True)
def cores(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> bool:
    if request.param and not hasattr(os, "fork"):
        pytest.skip("this machine cannot fork")
    monkeypatch.setattr(module, "spare_core", lambda: request.param)
    return bool(request.param)


def writes(path: Path) -> Callable[[], Callable[[str], None]]:
    def write(text: str) -> None:
        path.write_text(text)

    return lambda: write


def test_it_does_what_it_is_handed(tmp_path: Path) -> None:
    with errand(writes(tmp_path / "a")) as one, errand(writes(tmp_path / "b")) as other:
        other.hand("second")
        one.hand("first")
        one.end()
        other.end()
    assert (tmp_path / "a").read_text() + (tmp_path / "b").read_text() == "firstsecond"


def counts(upto: int) -> Generator[int, None, None]:
    yield from range(upto)
    raise OutputError("out of numbers")


def test_a_generator_answers_one_after_another() -> None:
    with errand(lambda: counts) as one:
        one.hand(2)
        assert [one.end(), one.end()] == [0, 1]
        with pytest.raises(OutputError, match="out of numbers"):
            one.end()


def fails() -> Callable[[], None]:
    raise OutputError("no room in the inn")


@pytest.mark.parametrize("when", ["first half", "second half"])
def test_its_error_is_raised_at_its_end(when: str) -> None:
    with errand(fails if when == "first half" else lambda: fails) as one:  # type: ignore[arg-type, return-value]
        one.hand()
        with pytest.raises(OutputError, match="no room in the inn"):
            one.end()


def test_one_that_nobody_waits_for_is_stopped(tmp_path: Path) -> None:
    def slow() -> None:
        time.sleep(0.3)
        (tmp_path / "late").write_text("x")

    with contextlib.suppress(ZeroDivisionError), errand(lambda: slow) as one:
        one.hand()
        raise ZeroDivisionError
    time.sleep(0.4)
    assert not (tmp_path / "late").exists()


@pytest.mark.parametrize("cores", [True], ids=["beside"], indirect=True)  # in turn there is no process to kill
def test_a_killed_one_is_told() -> None:
    with errand(lambda: lambda: os.kill(os.getpid(), signal.SIGKILL)) as one:
        one.hand()
        with pytest.raises(OutputError, match="killed"):
            one.end()
